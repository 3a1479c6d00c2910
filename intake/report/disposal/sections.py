"""The sections of the disposal sheet: the load at a glance, form entries, what the rules say, batteries."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from intake.model.compliance import Statement
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Grade
from intake.report.disposal.assessment import assessed, assessment_rows
from intake.report.disposal.content import DisposalContent, StreamPart, is_doubtful_lithium
from intake.report.disposal.words import officer_line
from intake.report.drawing.blocks import stack
from intake.report.drawing.list_table import TO_WRITE, Align, Cell, Column, Part, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import LEAD, MUTED, STRONG, TEXT
from intake.report.drawing.writer import Fact, Writer
from intake.report.words.actions import next_step_in_few_words
from intake.report.words.batch_facts import lead_facts
from intake.report.words.battery import kind_lines
from intake.report.words.form_entries import Entry, entries_in_order, load_form_entries
from intake.report.words.reasons import reason_in_few_words
from intake.report.words.sources import CONFIRM, WEAK, Sources
from intake.report.words.tag_order import by_tag
from intake.report.words.totals import Total

NO_FORM = (
    "This is no legal form. It is not a manifest, shipping paper, consignment note or declaration, and "
    "never travels in place of one. It holds what was found at intake, and proposals for a competent "
    "person to check."
)
NOTHING = "No battery of this batch is graded recycle: there is no waste stream and nothing to consign."
_KNOWN, _PROPOSED, _YOURS = "known", "proposed", "yours"
_ELSEWHERE = {Grade.RESALE: "for resale after charge", Grade.RECONDITIONABLE: "reconditionable"}
_DOUBTFUL = "lithium, or may be, and not known to be intact: never among the intact ones."
_UNRESOLVED = "In no stream, no count and no mass of this sheet: they leave only once they have a grade."


class Sections:
    """Sets and places the sections of one disposal sheet."""

    def __init__(self, writer: Writer, result: BatchResult, content: DisposalContent) -> None:
        self._writer = writer
        self._result = result
        self._content = content
        self.sources = Sources()

    def at_a_glance(self) -> None:
        """Place page 1: the streams of the load, what must still be decided, and its warnings."""
        writer, content = self._writer, self._content
        count = content.recycle.count
        amount = (
            f"{count} {'battery' if count == 1 else 'batteries'} to recycle"
            if count
            else "nothing to recycle"
        )
        writer.title(f"{self._result.batch.batch}: {amount}")
        writer.text(NO_FORM, STRONG)
        writer.facts([*lead_facts(self._result), *_rule_facts(self._result)], columns=2)
        if self._result.batch.note:
            writer.long_text(f"Note: {one_line(self._result.batch.note)}")
        if content.parts:
            self._streams()
        else:
            writer.text(NOTHING)
        writer.text(counted_in_words(content), MUTED)
        self._statements("Before anything is loaded", self._result.compliance.load_warnings)
        if content.parts:
            self._status()

    def _streams(self) -> None:
        columns = (
            Column("Stream", 24, style=STRONG),
            Column("count", 7, Align.POINT),
            Column("net kg", 9, Align.POINT),
            Column("Proposed description, to be confirmed", 33, style=STRONG),
            Column("Waste code", 19),
            Column("Gross kg", 9),
            Column("Packages, marks", 17),
        )
        rows: list[Row] = [
            (
                part.name,
                str(part.total.count),
                _kilograms(part.total),
                self._description(part),
                self._codes(part),
                TO_WRITE,
                "",
            )
            for part in self._content.parts
        ]
        whole = self._content.recycle
        rows.append(("All", str(whole.count), _kilograms(whole), "", "", TO_WRITE, ""))
        self._writer.table(columns, rows, sum_rows=1)
        self._writer.flow.space(4)

    def _description(self, part: StreamPart) -> Cell:
        """Return the line to copy, its sources below it in a lighter style, so that nobody copies them."""
        line = part.stream.transport_line
        note = "" if line is None else self.sources.note(line.source).strip()
        return (_text(line), Words(note, MUTED)) if note else _text(line)

    def _codes(self, part: StreamPart) -> str:
        """Return the waste codes of the day where they are short; what is dated or long stands further on."""
        day = self._result.compliance.rules_date
        found = [one for one in part.stream.waste_codes if _holds(one, day)]
        if not found or any(one.text is None for one in found):
            return f"{CONFIRM}; see What the rules say"
        whole = " ".join(one.text or "" for one in found)
        return whole if len(whole) <= _SHORT else "see What the rules say"

    def _status(self) -> None:
        writer = self._writer
        writer.section("Waste or not: decided by the officer", "Never filled in by the program.")
        columns = [Column(head, share) for head, share in _STATUS]
        rows = [(part.name, "waste / not waste", TO_WRITE, "", "") for part in self._content.parts]
        writer.table(columns, rows)

    def entries(self) -> None:
        """Place the entries of the form in its own order, each known, proposed, or left to be written."""
        if not self._content.parts:
            return
        forms = self._result.compliance.forms
        told = " ".join(f"{form.title}: {form.source}" for form in forms)
        self._writer.section("Entries of the forms", told)
        columns = (
            Column("Form", 26),
            Column("Entry", 48),
            Column("What to write", 54, style=STRONG),
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
            return (place, named, Words(self._proposed(one), TEXT), _PROPOSED)
        value = one_line(known.get(one.known, ""))
        return (place, named, value or TO_WRITE, _KNOWN if value else _YOURS)

    def _proposed(self, one: Entry) -> str:
        """Return what the sheet proposes for an entry, stream by stream where it can."""
        parts = self._content.parts
        if one.key == "description":
            return " ".join(f"{part.number}: {_text(part.stream.transport_line)}." for part in parts)
        if one.key == "quantity":
            return " ".join(f"{part.number}: {_kilograms(part.total)} kg net." for part in parts)
        return one.here

    def rules(self) -> None:
        """Place what the rule data say of the streams and of the whole consignment, each statement once."""
        if not self._content.parts:
            return
        writer = self._writer
        writer.section("What the rules say", "Each once, with the numbers of the streams that it is for.")
        found = _with_numbers(self._content.parts)
        compliance = self._result.compliance
        of_the_load = [one for one in compliance.general if one not in compliance.resale]
        found.update((one, "all streams") for one in of_the_load)
        withheld = [_withheld(one) for one in found if one.text is None]
        with writer.continued("What the rules say"):
            for one, numbers in found.items():
                if one.text is not None:
                    writer.paragraph(f"{one.heading} ({numbers})", self._told(one))
            if withheld:
                writer.paragraph("Confirm locally", f"No checked value is held of: {'; '.join(withheld)}.")
        self._stream_lines()

    def _stream_lines(self) -> None:
        """Place what is to be filled in for each stream, a column a stream."""
        parts = self._content.parts
        self._writer.section("To fill in, stream by stream")
        columns = (Column("", 48), *(Column(part.name, 30) for part in parts))
        asked = {part.number: _lines_to_fill(part) for part in parts}
        labels = dict.fromkeys(label for one in asked.values() for label in one)
        rows = [
            (label, *(TO_WRITE if label in asked[part.number] else "–" for part in parts)) for label in labels
        ]
        self._writer.table(columns, rows, title="To fill in")

    def batteries(self) -> None:
        """Place a line for each battery of each stream, and the assessment of doubtful lithium."""
        for part in self._content.parts:
            self._writer.part(part.name, _amount(part))
            columns = (
                Column("Tag, position", 20),
                Column("What it is", 22),
                Column("Wh", 9, Align.POINT),
                Column("kg", 8, Align.POINT),
                Column("V", 8, Align.POINT),
                Column("Seen", 38),
                Column("Why recycled", 30),
            )
            self._writer.table(columns, [_battery(one) for one in by_tag(part.batteries)], title=part.name)
        self._assessments()

    def _assessments(self) -> None:
        ones = [one for part in self._content.parts for one in part.batteries if assessed(one)]
        ones += [one for one in self._content.unresolved if assessed(one)]
        if not ones:
            return
        remark = "For a competent person to judge, battery by battery, with what was seen at intake."
        self._writer.section("Assessment of lithium that is damaged or suspect", remark)
        columns = (
            Column("Tag", 18, style=LEAD),
            Column("Criterion (SP 376)", 60),
            Column("Seen at intake", 40),
            Column("Judged", 14),
        )
        rows = [row for one in by_tag(ones) for row in assessment_rows(one)]
        self._writer.table(columns, rows, title="Assessment")

    def unresolved(self) -> None:
        """Place the batteries that have no stream yet, doubtful lithium first."""
        ones = self._content.unresolved
        if not ones:
            return
        title = f"Unresolved ({len(ones)})"
        doubtful = ", ".join(one.name for one in ones if is_doubtful_lithium(one))
        self._writer.section(title, _UNRESOLVED)
        if doubtful:
            self._writer.flow.keep_with_next(stack(self._writer.lines(f"{doubtful}: {_DOUBTFUL}", STRONG)))
        columns = (
            Column("Tag", 22),
            Column("Position", 24),
            Column("What it is", 34),
            Column("Handling", 14),
            Column("Next step", 46, style=STRONG),
        )
        rows = [
            (
                Words(one.name, LEAD),
                one_line(one.battery.position or ""),
                ", ".join(part for part in kind_lines(one.battery) if part),
                one.condition.value,
                next_step_in_few_words(one),
            )
            for one in ones
        ]
        self._writer.table(columns, rows, title=title)

    def handling(self) -> None:
        """Place hazards and first measures; what all notes say, once at the head."""
        notes = self._result.compliance.handling_notes
        if not notes or not (self._content.parts or self._content.unresolved):
            return
        common = [line for line in notes[0].lines if all(line in note.lines for note in notes)]
        self._writer.section("Hazards and first measures", " ".join([*common, "* common practice."]))
        with self._writer.continued("Hazards and first measures"):
            for note in (one for one in notes if one.key not in _NOT_FOR_A_LOAD):
                own = [line for line in note.lines if line not in common]
                texts = " ".join(line.replace(" (common practice)", WEAK) for line in own)
                self._writer.paragraph(note.title, texts + self.sources.note(note.source))

    def evidence(self) -> None:
        """Place the lines that say where each proof is kept."""
        if self._content.parts:
            self._writer.section("Index of evidence", "Reference, and where it is kept.")
            labels: list[Fact] = [(label, "") for label in (*load_form_entries().evidence, "Keep until")]
            self._writer.fill(labels)

    def _statements(self, title: str, statements: Sequence[Statement]) -> None:
        if not statements:
            return
        self._writer.section(title)
        with self._writer.continued(title):
            for one in statements:
                self._writer.paragraph(one.heading, self._told(one))

    def _told(self, one: Statement) -> str:
        return _text(one) + self.sources.note(one.source)


_NOT_FOR_A_LOAD = frozenset({"charging-area"})
_SHORT = 60
"""Characters of a waste code that still stand in the table of the load."""
_STATUS = (("Stream", 44), ("Strike out", 26), ("Decided by", 30), ("Date", 16), ("Signature", 30))


def counted_in_words(content: DisposalContent) -> str:
    """Say where the batteries of the batch are that are not in a stream."""
    parts = [f"{len(content.unresolved)} unresolved, listed apart"]
    parts += [f"{count} {_ELSEWHERE[grade]}" for grade, count in content.elsewhere]
    net = "Net: the batteries alone; an estimate comes from the rated capacity."
    return f"Not in this load: {', '.join(parts)}. {net}"


def _rule_facts(result: BatchResult) -> list[Fact]:
    compliance, batch = result.compliance, result.batch
    basis = "the ship date" if compliance.rules_date_is_ship_date else "received: no ship date is given"
    data = compliance.rule_data
    facts = [("Jurisdiction", one_line(", ".join(one for one in (batch.jurisdiction, batch.region) if one)))]
    if data is None or data.covers(compliance.rules_date):
        facts.append(("Rules of", f"{compliance.rules_date}, {basis}"))
    if data:
        told = f"edition {one_line(data.edition)}, checked {data.checked_on}, review by {data.review_by}"
        facts.append(("Rule data", told))
    return facts


def _text(one: Statement | None) -> str:
    return CONFIRM if one is None or one.text is None else one.text


def _kilograms(total: Total) -> str:
    if total.count == total.without_mass:
        return "–"
    return f"{total.mass_kg:.1f}"


def _amount(part: StreamPart) -> str:
    total = part.total
    words = [f"{total.count} {'battery' if total.count == 1 else 'batteries'}"]
    if total.count > total.without_mass:
        words.append(f"{total.mass_kg:.1f} kg net, {total.mass_estimated_kg:.1f} kg of it estimated")
    if total.without_mass:
        words.append(f"{total.without_mass} without a mass")
    if part.largest_kg is not None:
        words.append(f"heaviest {part.largest_kg:.1f} kg")
    return ", ".join(words) + "."


def _battery(one: GradedBattery) -> Row:
    line = officer_line(one)
    made = f"made {line.made}" if one.battery.made else ""
    seen = f"{line.seen}, mass estimated" if line.mass_method == "estimated" else line.seen
    told: tuple[Part, ...] = (seen,) if line.plain else (seen, Words(line.condition, STRONG))
    why = (reason_in_few_words(one), "" if line.plain else Words(line.note, MUTED))
    tag = (Words(one.name, LEAD), one_line(one.battery.position or ""))
    what = ", ".join(part for part in (*kind_lines(one.battery), made) if part)
    return (tag, what, line.energy, line.mass, line.voltage, told, why)


def _with_numbers(parts: Iterable[StreamPart]) -> dict[Statement, str]:
    """Return each statement once, with the numbers of the streams that have it."""
    found: dict[Statement, list[str]] = {}
    for part in parts:
        stream = part.stream
        for one in (*stream.waste_codes, *stream.packing, *stream.storage, *stream.statements):
            found.setdefault(one, []).append(str(part.number))
    return {one: ", ".join(numbers) for one, numbers in found.items()}


def _holds(one: Statement, day: date) -> bool:
    return (one.valid_from is None or one.valid_from <= day) and (one.valid_to is None or day <= one.valid_to)


def _withheld(one: Statement) -> str:
    return f"{one.heading}, from {one.valid_from}" if one.valid_from else one.heading


def _lines_to_fill(part: StreamPart) -> list[str]:
    key = part.stream.key
    family = "lead-acid" if key.startswith("lead-acid") else "lithium" if key.startswith("lfp") else "other"
    return [
        one.label for one in load_form_entries().stream_lines if not one.families or family in one.families
    ]
