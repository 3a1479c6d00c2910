"""The batteries of the disposal sheet: those of each stream, doubtful lithium, and the unresolved."""

from collections.abc import Sequence

from intake.model.battery import LEAD_ACID
from intake.model.kilograms import kg_in_words
from intake.model.result import GradedBattery
from intake.report.disposal.assessment import ASSESSMENT, REMARK, assessed, assessment_row
from intake.report.disposal.content import DisposalContent, StreamPart, is_doubtful_lithium
from intake.report.disposal.words import condition_in_words, handling_in_words, officer_line, seen_parts
from intake.report.drawing.blocks import stack
from intake.report.drawing.flow import Block
from intake.report.drawing.list_table import Align, Cell, Column, ListTable, Part, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import LEAD, MUTED, STRONG
from intake.report.drawing.writer import Writer
from intake.report.words.actions import next_step_in_few_words
from intake.report.words.battery import identity_lines
from intake.report.words.reasons import reason_in_few_words
from intake.report.words.tag_order import by_tag
from intake.report.words.totals import Total

_DOUBTFUL = "lithium, or may be, and not known to be intact: never among the intact ones."
_UNRESOLVED = "In no stream, no count and no mass of this sheet: they leave only once they have a grade."
_HEADING = 50.0
"""Points that the heading of the unresolved takes above its table."""
_OF_A_STREAM = (
    Column("Tag, position", 21),
    Column("What it is", 26),
    Column("kg", 8, Align.POINT),
    Column("V", 8, Align.POINT),
    Column("Seen", 36),
    Column("Why recycled", 38),
)
_ENERGY = Column("Wh", 8, Align.POINT)
"""Asked of lithium, and of what may be."""
_BEFORE_ENERGY = 2
_POSITION = Column("Position", 26)
_OPEN = (
    Column("Tag", 20),
    _POSITION,
    Column("What it is", 40),
    Column("Handling", 12),
    Column("Next step", 44, style=STRONG),
)


def place_batteries(writer: Writer, content: DisposalContent) -> None:
    """Place a line for each battery of each stream, and the assessment of doubtful lithium."""
    for part in content.parts:
        handling, seen = _common_handling(part), _commonly_seen(part)
        common = ", ".join([handling, *seen] if handling else seen)
        writer.part(part.name, f"{_amount(part)} All of them: {common}." if common else _amount(part))
        rows = [_row(one, handling=not handling, but=seen) for one in by_tag(part.batteries)]
        columns = list(_OF_A_STREAM)
        if any(one.battery.chemistry not in LEAD_ACID for one in part.batteries):
            columns.insert(_BEFORE_ENERGY, _ENERGY)
            for row, one in zip(rows, by_tag(part.batteries), strict=True):
                row.insert(_BEFORE_ENERGY, officer_line(one).energy)
        writer.table(columns, rows, title=part.name)
    ones = [one for part in content.parts for one in part.batteries if assessed(one)]
    ones += [one for one in content.unresolved if assessed(one) or is_doubtful_lithium(one)]
    if ones:
        writer.section("Assessment of lithium, or what may be, that is damaged or suspect", REMARK)
        writer.table(ASSESSMENT, [assessment_row(one) for one in by_tag(ones)], title="Assessment")


def place_unresolved(writer: Writer, content: DisposalContent) -> None:
    """Place the batteries that have no stream yet, doubtful lithium first."""
    ones = content.unresolved
    if not ones:
        return
    title = f"Unresolved ({len(ones)})"
    doubtful = ", ".join(one.name for one in ones if is_doubtful_lithium(one))
    writer.section(title, _UNRESOLVED)
    if doubtful:
        writer.flow.keep_with_next(stack(writer.lines(f"{doubtful}: {_DOUBTFUL}", STRONG)))
    _unresolved(writer, content).place(writer.flow, title=title)


def unresolved_fit(writer: Writer, content: DisposalContent) -> bool:
    """Say whether the list of the unresolved fits on what is left of this page."""
    doubtful = ", ".join(one.name for one in content.unresolved if is_doubtful_lithium(one))
    above: list[Block] = writer.lines(f"{doubtful}: {_DOUBTFUL}", STRONG) if doubtful else []
    needed = _HEADING + stack(above).height + _unresolved(writer, content).block().height
    return needed <= writer.flow.room


def _unresolved(writer: Writer, content: DisposalContent) -> ListTable:
    placed = any(one.battery.position for one in content.unresolved)
    rows = [
        (
            Words(one.name, LEAD),
            *([one_line(one.battery.position or "")] if placed else []),
            ", ".join(part for part in identity_lines(one.battery) if part),
            one.condition.value,
            next_step_in_few_words(one),
        )
        for one in content.unresolved
    ]
    columns = [column for column in _OPEN if placed or column is not _POSITION]
    return ListTable(writer.setter, columns, rows, width=writer.width)


def _common_handling(part: StreamPart) -> str:
    """Return how all of a stream are handled, where it is out of the ordinary and the same for all."""
    told = {handling_in_words(one) for one in part.batteries}
    plain = any(officer_line(one).plain for one in part.batteries)
    return "" if plain or len(told) > 1 or len(part.batteries) == 1 else told.pop()


def _commonly_seen(part: StreamPart) -> list[str]:
    """Return what was seen on every battery of a stream of several."""
    first, *others = map(seen_parts, part.batteries)
    return [one for one in first if others and all(one in other for other in others)]


def _amount(part: StreamPart) -> str:
    total = part.total
    words = [f"{total.count} {'battery' if total.count == 1 else 'batteries'}"]
    if total.count > total.without_mass:
        words += [f"{kg_in_words(total.mass_kg)} kg net", _estimated_part(total)]
    if total.without_mass:
        words.append(f"{total.without_mass} without a mass")
    if part.largest_kg is not None and total.count > 1:
        words.append(f"heaviest {kg_in_words(part.largest_kg)} kg")
    return ", ".join(filter(None, words)) + "."


def _estimated_part(total: Total) -> str:
    """Return how much of the mass is estimated, nothing where all of it was weighed."""
    if not total.mass_estimated_kg:
        return ""
    if total.mass_estimated_kg < total.mass_kg:
        return f"{kg_in_words(total.mass_estimated_kg)} kg of it estimated"
    return "estimated" if total.count - total.without_mass == 1 else "all of it estimated"


def _row(one: GradedBattery, *, handling: bool, but: Sequence[str]) -> list[Cell]:
    """Return the cells of a battery, what was seen of all left out."""
    line = officer_line(one)
    seen = ", ".join(part for part in seen_parts(one) if part not in but)
    condition = "" if line.plain else condition_in_words(one, handling=handling)
    told: tuple[Part, ...] = (seen, Words(condition, STRONG))
    reason = reason_in_few_words(one)
    told_as_seen = reason.casefold() in map(str.casefold, seen_parts(one))
    why = ("as seen" if told_as_seen else reason, "" if line.plain else Words(line.note, MUTED))
    tag = (Words(one.name, LEAD), one_line(one.battery.position or ""))
    what = ", ".join(part for part in (*identity_lines(one.battery), line.made) if part)
    return [tag, what, line.mass, line.voltage, told, why]
