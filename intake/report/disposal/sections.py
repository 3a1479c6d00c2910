"""The sections of the disposal sheet that follow page 1: form entries, what the rules say, handling."""

from collections.abc import Iterable, Mapping

from intake.model.compliance import Statement
from intake.model.result import BatchResult
from intake.report.disposal.content import DisposalContent, StreamPart
from intake.report.disposal.words import kilograms, told_or_confirm
from intake.report.drawing.blocks import stack
from intake.report.drawing.list_table import TO_WRITE, Cell, Column, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import STRONG, TEXT
from intake.report.drawing.writer import Writer
from intake.report.words.form_entries import Entry, entries_in_order, load_form_entries
from intake.report.words.sources import WEAK, Sources
from intake.report.words.waste_codes import codes_in_short

_KNOWN, _PROPOSED, _YOURS = "known", "proposed", "yours"
_FOR_THE_OFFICER = frozenset({"dangerous-goods", "packages", "signatures"})
"""Entries that the sheet speaks of and does not fill."""


class Sections:
    """Sets and places the sections of one disposal sheet."""

    def __init__(
        self, writer: Writer, result: BatchResult, content: DisposalContent, sources: Sources
    ) -> None:
        self._writer = writer
        self._result = result
        self._content = content
        self._sources = sources
        self._evidence_placed = False

    def entries(self) -> None:
        """Place the entries of the form in its own order, each known, proposed, or left to be written."""
        if not self._content.parts:
            return
        forms = self._result.compliance.forms
        told = " ".join(f"{form.title}: {form.source}" for form in forms)
        self._writer.section("Entries of the forms", told)
        columns = (
            Column("Form", 23),
            Column("Entry", 59),
            Column("What to write", 55, style=STRONG),
            Column("", 13),
        )
        rows = [self._entry(place, group, one) for place, one, group in entries_in_order(forms)]
        self._writer.table(columns, rows, title="Entries of the forms")

    def _entry(self, place: str, group: str, one: Entry) -> Row:
        batch = self._result.batch
        known: Mapping[str, str] = {
            "site": batch.site,
            "received_from": batch.received_from or "",
            "consignee": batch.consignee or "",
        }
        named: Cell = (
            one.entry
            if one.entry not in ("Name", "Address, telephone")
            else f"{group.split(':')[0]}: {one.entry[0].lower()}{one.entry[1:]}"
        )
        if one.here:
            standing = _YOURS if one.key in _FOR_THE_OFFICER else _PROPOSED
            return (place, named, Words(self._proposed(one), TEXT), standing)
        value = one_line(known.get(one.known, ""))
        return (place, named, value or TO_WRITE, _KNOWN if value else _YOURS)

    def _proposed(self, one: Entry) -> str:
        """Return what the sheet proposes for an entry, stream by stream where it can."""
        parts, day = self._content.parts, self._result.compliance.rules_date
        if one.key == "description":
            return _by_stream((part, told_or_confirm(part.stream.transport_line)) for part in parts)
        if one.key == "waste-codes":
            return _by_stream((part, "; ".join(codes_in_short(part.stream, day))) for part in parts)
        if one.key == "quantity":
            return _by_stream((part, f"{kilograms(part.total)} kg net") for part in parts)
        return one.here

    def rules(self) -> None:
        """Place what the rule data say of the streams and of the whole consignment, each statement once."""
        if not self._content.parts:
            return
        writer = self._writer
        writer.section("What the rules say, and of which streams")
        found = _with_numbers(self._content.parts)
        compliance = self._result.compliance
        of_the_load = [one for one in compliance.general if one not in compliance.resale]
        found.update((one, "all") for one in of_the_load)
        withheld = [_withheld(one) for one in found if one.text is None]
        with writer.continued("What the rules say"):
            told = [
                (f"{one.heading} ({numbers})", self._told(one))
                for one, numbers in found.items()
                if one.text is not None
            ]
            if withheld:
                told.append(("Confirm locally", f"No checked value is held of: {'; '.join(withheld)}."))
            writer.columns(told)
        self._stream_lines()

    def _stream_lines(self) -> None:
        """Place what is to be filled in for each stream, a column a stream."""
        parts = self._content.parts
        self._writer.section("To fill in, stream by stream")
        named = len(parts) <= _MOST_NAMED
        heads = [part.name if named else f"Stream {part.number}" for part in parts]
        columns = (Column("", 50 if named else 70), *(Column(head, 31) for head in heads))
        asked = {part.number: _lines_to_fill(part) for part in parts}
        labels = dict.fromkeys(label for one in asked.values() for label in one)
        rows = [
            (label, *(TO_WRITE if label in asked[part.number] else "–" for part in parts)) for label in labels
        ]
        self._writer.table(columns, rows, title="To fill in")

    def handling(self) -> None:
        """Place hazards and first measures; what all notes say, once at the head."""
        notes = self._result.compliance.load_handling_notes
        if not notes or not (self._content.parts or self._content.unresolved):
            return
        common = [line for line in notes[0].lines if all(line in note.lines for note in notes)]
        self._writer.section("Hazards and first measures", " ".join([*common, "* common practice."]))
        with self._writer.continued("Hazards and first measures"):
            told = []
            for note in (one for one in notes if one.key not in _NOT_FOR_A_LOAD):
                own = [line for line in note.lines if line not in common]
                texts = " ".join(line.replace(" (common practice)", WEAK) for line in own)
                told.append((note.title, texts + self._sources.note(note.source)))
            self._writer.columns(told, undivided=True)

    def evidence(self, *, where_it_fits: bool = False) -> None:
        """Place the lines that say where each proof is kept, once; if asked, only where there is room."""
        lines = self._writer.fill_rows([(one, "") for one in (*load_form_entries().evidence, "Keep until")])
        needed = _EVIDENCE_HEADING + stack(lines).height
        if self._evidence_placed or not self._content.parts:
            return
        if where_it_fits and needed > self._writer.flow.room:
            return
        self._evidence_placed = True
        self._writer.section("Index of evidence: what, and where it is kept")
        self._writer.flow.place(stack(lines))

    def _told(self, one: Statement) -> str:
        return told_or_confirm(one) + self._sources.note(one.source)


_MOST_NAMED = 2
"""Streams whose titles fit side by side above lines to fill in."""
_EVIDENCE_HEADING = 30.0
"""Points that the heading of the index of evidence takes."""
_NOT_FOR_A_LOAD = frozenset({"charging-area"})


def _by_stream(texts: Iterable[tuple[StreamPart, str]]) -> str:
    """Return a text for each stream, those alike once, with the numbers of the streams before them."""
    numbers: dict[str, list[str]] = {}
    for part, text in texts:
        numbers.setdefault(text, []).append(str(part.number))
    return " ".join(f"{', '.join(of)}: {text}." for text, of in numbers.items())


def _with_numbers(parts: Iterable[StreamPart]) -> dict[Statement, str]:
    """Return each statement once, with the numbers of the streams that have it."""
    found: dict[Statement, list[str]] = {}
    for part in parts:
        stream = part.stream
        for one in (*stream.waste_codes, *stream.packing, *stream.storage, *stream.statements):
            found.setdefault(one, []).append(str(part.number))
    return {one: ", ".join(numbers) for one, numbers in found.items()}


def _withheld(one: Statement) -> str:
    return f"{one.heading}, from {one.valid_from}" if one.valid_from else one.heading


def _lines_to_fill(part: StreamPart) -> list[str]:
    key = part.stream.key
    family = "lead-acid" if key.startswith("lead-acid") else "lithium" if key.startswith("lfp") else "other"
    return [
        one.label for one in load_form_entries().stream_lines if not one.families or family in one.families
    ]
