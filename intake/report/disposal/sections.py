"""The sections of the disposal sheet that follow page 1: form entries, what the rules say, handling."""

from collections.abc import Mapping

from intake.model.compliance import Purpose
from intake.model.result import BatchResult
from intake.report.disposal.content import DisposalContent
from intake.report.disposal.words import kilograms
from intake.report.drawing.blocks import stack
from intake.report.drawing.list_table import TO_WRITE, Cell, Column, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import STRONG, TEXT
from intake.report.drawing.writer import Writer
from intake.report.words.by_stream import (
    by_stream,
    statements_by_stream,
    told_by_stream,
    told_or_confirm,
)
from intake.report.words.form_entries import Entry, entries_in_order, lines_to_fill, load_form_entries
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
        asked = entries_in_order(forms, Purpose.DISPOSAL)
        rows = [self._entry(place, group, one) for place, one, group in asked]
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
            return by_stream((part.number, told_or_confirm(part.stream.transport_line)) for part in parts)
        if one.key == "waste-codes":
            return by_stream((part.number, "; ".join(codes_in_short(part.stream, day))) for part in parts)
        if one.key == "quantity":
            return by_stream((part.number, f"{kilograms(part.total)} kg net") for part in parts)
        return one.here

    def rules(self) -> None:
        """Place what the rule data say of the streams and of the whole consignment, each statement once."""
        if not self._content.parts:
            return
        writer = self._writer
        writer.section("What the rules say, and of which streams")
        numbered = [(part.number, part.stream) for part in self._content.parts]
        found = statements_by_stream(numbered, storage=True)
        compliance = self._result.compliance
        found.update((one, "all") for one in compliance.general if one not in compliance.resale)
        with writer.continued("What the rules say"):
            writer.columns(told_by_stream(found, self._sources))
        self._stream_lines()

    def _stream_lines(self) -> None:
        """Place what is to be filled in for each stream, a column a stream."""
        parts = self._content.parts
        self._writer.section("To fill in, stream by stream")
        named = len(parts) <= _MOST_NAMED
        heads = [part.name if named else f"Stream {part.number}" for part in parts]
        columns = (Column("", 50 if named else 70), *(Column(head, 31) for head in heads))
        forms = self._result.compliance.forms
        asked = {part.number: lines_to_fill(part.stream.key, Purpose.DISPOSAL, forms) for part in parts}
        lines = dict.fromkeys(line for ones in asked.values() for line in ones)
        rows = [
            (line.label, *(TO_WRITE if line in asked[part.number] else "–" for part in parts))
            for line in lines
        ]
        self._writer.table(columns, rows, title="To fill in", whole=True)

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


_MOST_NAMED = 2
"""Streams whose titles fit side by side above lines to fill in."""
_EVIDENCE_HEADING = 30.0
"""Points that the heading of the index of evidence takes."""
_NOT_FOR_A_LOAD = frozenset({"charging-area"})
