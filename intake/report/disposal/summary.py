"""The first page of the disposal sheet: the batch, its streams, warnings, and who decides on waste."""

from collections.abc import Sequence

from intake.model.compliance import Statement
from intake.model.result import BatchResult
from intake.model.verdict import Grade
from intake.report.disposal.content import DisposalContent, StreamPart
from intake.report.drawing.blocks import line_of, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import SMALL, TEXT, Clauses
from intake.report.drawing.palette import GREY, SLATE
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.small_table import COLUMN_GAP, STRONG, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.words.batch_facts import Fact, batch_facts, meter_facts
from intake.report.words.totals import Total

_TITLE = Style(20, Face.BOLD, SLATE)
_LEAD = Style(9, Face.BOLD)
_FACT = Style(9)
_LABEL = Style(7.5, colour=GREY, line_factor=_FACT.leading / 7.5)
_LABEL_WIDTH, _GUTTER = 74.0, 16.0
_WRITING_ROOM = Block(17, ())
"""Makes a row of a table high enough for handwriting."""
_FIGURES = (
    Column("number", 36, Align.POINT),
    Column("net kg", 38, Align.POINT),
    Column("kg of it estimated", 46, Align.POINT),
    Column("without mass", 40, Align.POINT),
    Column("heaviest kg", 42, Align.POINT),
    Column("gross kg", 46),
    Column("packages, type", 76),
)
_STATUS = (
    Column("waste / not waste", 78),
    Column("decided by", 92),
    Column("date", 60),
    Column("signature", 96),
)
NO_FORM = (
    "This is no legal form. It is not a manifest, shipping paper, consignment note or declaration, and "
    "never travels in place of one. It holds what was found at intake, and proposals for a competent "
    "person to check."
)
NOTHING = "No battery of this batch is graded recycle: there is no waste stream and nothing to consign."
_NET = (
    "Net: the batteries alone, without pallet or packing. Weighed where not said otherwise; an estimate "
    "comes from the rated capacity. Batteries without a mass are missing from the kilograms."
)
_WARNINGS = "Before anything is loaded"
_STATUS_TOLD = "Never filled in by the tool. Strike out what does not apply."
_ELSEWHERE = {Grade.RESALE: "for resale after charge", Grade.RECONDITIONABLE: "reconditionable"}


class DisposalSummary:
    """Sets and places the first page."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter: Typesetter = clauses.setter
        self._width = clauses.width

    def place(self, flow: Flow, result: BatchResult, content: DisposalContent) -> None:
        """Place everything; a batch without recycle batteries says so in place of its tables."""
        for block in (self._title(result, content), self._facts(result)):
            flow.place(block)
            flow.space(8)
        flow.place(self._streams(content) if content.parts else self._nothing())
        flow.space(2)
        flow.place(stack(self._clauses.lines(counted_in_words(result, content), SMALL)))
        self._load_warnings(flow, result.compliance.load_warnings)
        if content.parts:
            self._clauses.section(flow, "Legal status, decided by the officer", _STATUS_TOLD)
            flow.place(self._status(content.parts))

    def _load_warnings(self, flow: Flow, warnings: Sequence[Statement]) -> None:
        if not warnings:
            return
        self._clauses.section(flow, _WARNINGS)
        with self._clauses.continued(flow, _WARNINGS):
            for one in warnings:
                self._clauses.statement(flow, one)

    def _title(self, result: BatchResult, content: DisposalContent) -> Block:
        count = content.recycle.count
        amount = (
            f"{count} {'battery' if count == 1 else 'batteries'} to recycle"
            if count
            else "nothing to recycle"
        )
        lines = text_lines(self._setter, f"{result.batch.batch}: {amount}", _TITLE, self._width)
        lines += text_lines(self._setter, NO_FORM, _LEAD, self._width)
        title = stack(lines)
        return Block(title.height, title.placed, outline=("The batch and its waste streams", 0))

    def _facts(self, result: BatchResult) -> Block:
        half = (self._width - _GUTTER) / 2
        facts = (*batch_facts(result.batch), *_rule_facts(result), *meter_facts(result))
        first = -(-len(facts) // 2)
        columns = side_by_side(
            [
                (0.0, self._fact_list(facts[:first], half)),
                (half + _GUTTER, self._fact_list(facts[first:], half)),
            ]
        )
        note = one_line(result.batch.note or "")
        return stack([columns, self._fact_list([("Note", note)], self._width)]) if note else columns

    def _fact_list(self, facts: Sequence[Fact], width: float) -> Block:
        rows = [
            side_by_side(
                [
                    (0.0, line_of(_LABEL, (0.0, label))),
                    (_LABEL_WIDTH, stack(text_lines(self._setter, text, _FACT, width - _LABEL_WIDTH))),
                ]
            )
            for label, text in facts
        ]
        return stack(rows)

    def _streams(self, content: DisposalContent) -> Block:
        rows = [
            Row((part.name, *self._amounts(part.total, part.largest_kg)), mark=_WRITING_ROOM)
            for part in content.parts
        ]
        largest = max(
            (part.largest_kg for part in content.parts if part.largest_kg is not None), default=None
        )
        rows.append(Row(("All", *self._amounts(content.recycle, largest)), style=STRONG, mark=_WRITING_ROOM))
        name_width = self._width - sum(column.width + COLUMN_GAP for column in _FIGURES)
        table = small_table(self._setter, (Column("Waste stream", name_width), *_FIGURES), rows)
        return stack([table, Block(3, ()), *self._clauses.lines(_NET, SMALL)])

    def _nothing(self) -> Block:
        return stack(self._clauses.lines(NOTHING, TEXT))

    def _amounts(self, total: Total, largest_kg: float | None) -> tuple[str, ...]:
        return (
            str(total.count),
            f"{total.mass_kg:.1f}" if total.count > total.without_mass else "–",
            f"{total.mass_estimated_kg:.1f}",
            str(total.without_mass),
            "–" if largest_kg is None else f"{largest_kg:.1f}",
            *(self._blank(column.width) for column in _FIGURES[-2:]),
        )

    def _status(self, parts: Sequence[StreamPart]) -> Block:
        name_width = self._width - sum(column.width + COLUMN_GAP for column in _STATUS)
        blanks = tuple(self._blank(column.width) for column in _STATUS[1:])
        rows = [Row((part.name, "waste / not waste", *blanks), mark=_WRITING_ROOM) for part in parts]
        return small_table(self._setter, (Column("Waste stream", name_width), *_STATUS), rows)

    def _blank(self, width: float) -> str:
        """Return a line to write on that fills a column."""
        return "_" * int(width / self._setter.width("_", STRONG))


def _rule_facts(result: BatchResult) -> tuple[Fact, ...]:
    compliance = result.compliance
    basis = (
        "the ship date" if compliance.rules_date_is_ship_date else "the day received: no ship date is given"
    )
    return (
        ("Rules of", f"{compliance.rules_date}, {basis}"),
        ("Rule data", f"{one_line(compliance.data_name)}, gathered {compliance.data_built}"),
    )


def counted_in_words(result: BatchResult, content: DisposalContent) -> str:
    """Return where every battery of the batch is, so that the count can be checked."""
    parts = [f"{content.recycle.count} in this sheet's streams" if content.parts else "none to recycle"]
    if content.unresolved:
        parts.append(f"{len(content.unresolved)} unresolved, listed apart further on")
    parts += [
        f"{count} {_ELSEWHERE[grade]}, not in this sheet" for grade, count in content.elsewhere if count
    ]
    count = len(result.graded)
    return f"Of {count} {'battery' if count == 1 else 'batteries'} in the batch: {'; '.join(parts)}."
