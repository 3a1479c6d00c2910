"""The sections of the manifest: order of work, list, unusual batteries in full, findings, handling."""

import re

from intake.model.battery import LEAD_ACID, Battery
from intake.model.condition import Condition
from intake.model.finding import Severity
from intake.model.kilograms import kg_in_words
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Effect
from intake.report.drawing.blocks import side_by_side, stack
from intake.report.drawing.flow import Block
from intake.report.drawing.grade_marks import grade_block
from intake.report.drawing.list_table import Align, Column, ListTable, Row, RowsOf, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import HEAD, LEAD, MUTED, STRONG, TEXT
from intake.report.drawing.writer import Writer
from intake.report.manifest.content import FindingLine, ManifestContent, errors_in_words
from intake.report.manifest.since_revision import place_changes
from intake.report.plots.comparison import comparison_block, comparison_of
from intake.report.words.actions import ActionGroup, next_step_in_few_words, on_offer, step_in_full
from intake.report.words.batch_facts import lead_facts
from intake.report.words.battery import (
    FROM_MEMORY,
    charge_in_words,
    counting_reading,
    identity_lines,
    reading_lines,
)
from intake.report.words.charge_and_remarks import further_reasons, notes_beside
from intake.report.words.listed_columns import listed_lines
from intake.report.words.loss import loss_in_words
from intake.report.words.lot import lot_in_words
from intake.report.words.reasons import reason_in_few_words, reason_in_full, step_in_few_words
from intake.report.words.revision import revision_lines
from intake.report.words.sources import WEAK, Sources
from intake.report.words.totals import Total, total_of, totals_by_grade
from intake.report.words.wording import load_wording

NO_FORM = "A record of intake, no legal form: no shipping paper, consignment note or declaration."
_GUTTER = 18.0
_TAGS_SHARE = 0.55
"""Of the width of page 1, for the tags of a group."""
_INTACT = ", intact"
_SHORT = 40
"""Characters in which the batteries of a note are named by kind."""
_WHY = 36
"""Share of the width in which a comparison is drawn, in hundredths."""
_SEVERITY = {Severity.ERROR: "mend", Severity.WARNING: "check", Severity.NOTE: "note"}


class Sections:
    """Sets and places the sections of one manifest."""

    def __init__(self, writer: Writer, result: BatchResult, content: ManifestContent) -> None:
        self._writer = writer
        self._result = result
        self._content = content
        self._words = load_wording()
        self._steps: dict[tuple[str, str, bool, str | None], str] = {}
        self.sources = Sources()

    def order_of_work(self) -> None:
        """Place page 1: what to do now, with which batteries."""
        writer, count = self._writer, len(self._result.graded)
        counted = f"{count} {'battery' if count == 1 else 'batteries'}"
        writer.title(f"{self._result.batch.batch}: {counted}, in the order of work", NO_FORM)
        writer.facts(lead_facts(self._result), columns=3)
        for line in (*revision_lines(self._result.revision), *errors_in_words(self._result.findings)):
            writer.text(line, STRONG)
        if self._result.batch.note:
            writer.long_text(f"Note: {one_line(self._result.batch.note)}")
        rows = [self._group(group) for group in self._content.groups]
        columns = (Column("", 1, Align.POINT, LEAD), Column("Do now", 7), Column("With these batteries", 11))
        writer.table(columns, rows or [("0", "Nothing to do: the batch has no battery.", "")])
        writer.flow.space(10)
        self._totals()

    def _group(self, group: ActionGroup) -> Row:
        words = self._words.actions[group.action]
        width = self._writer.width * _TAGS_SHARE
        tags = [
            block
            for line in group.lines
            for block in self._writer.run_in("  ".join(line.tags), line.told, width=width, style=MUTED)
        ]
        return (str(group.count), (Words(words.title, LEAD), words.do), tuple(tags))

    def _totals(self) -> None:
        writer = self._writer
        rows: list[Row] = [
            (grade_block(grade, self._words.grades[grade].title, STRONG), *_amounts(total))
            for grade, total in totals_by_grade(self._result).items()
        ]
        whole = total_of(self._result.graded)
        rows.append(("All", *_amounts(whole)))
        figures = [Column(head, 2, Align.POINT) for head in ("number", "kg", "estimated")]
        width = 0.5 * (writer.width - _GUTTER)
        table = ListTable(
            writer.setter, [Column("Grade", 4), *figures], rows, width=width, sum_rows=1
        ).block()
        right = self._evidence(writer.width - _GUTTER - width)
        writer.flow.place(side_by_side([(0.0, table), (width + _GUTTER, right)]))
        if whole.without_mass:
            lack = (
                "battery has no mass and is" if whole.without_mass == 1 else "batteries have no mass and are"
            )
            writer.text(f"{whole.without_mass} {lack} missing from the kilograms.")

    def _evidence(self, width: float) -> Block:
        """Return what the evidence of the resale lot is worth."""
        head = self._writer.lines("What the resale lot is worth", HEAD, width=width)
        told = [
            self._writer.lines(text, TEXT, width=width)
            for text in lot_in_words(self._result.lot, on_offer=on_offer(self._result.graded))
        ]
        return stack([*head, *(line for lines in told for line in lines)])

    def the_list(self) -> None:
        """Place a line for each battery."""
        if not self._content.listed:
            return
        self._writer.section("The list")
        columns = (
            Column("Tag, position", 73),
            Column("What it is", 61),
            Column("Reading, charge", 110),
            Column("Grade and reason", 149),
            Column("Next step", 85, style=STRONG),
        )
        self._writer.table(columns, RowsOf(self._content.listed, self._line), title="The list")

    def _line(self, one: GradedBattery) -> Row:
        grade = one.verdict.grade
        notes = [step for step in further_reasons(one) if step.effect is Effect.NOTE]
        told = reason_in_few_words(one)
        reasons: tuple[Words | str, ...] = (told, *(Words(step_in_few_words(step), MUTED) for step in notes))
        return (
            (Words(one.name, LEAD), one_line(one.battery.position or "")),
            (*identity_lines(one.battery), *map(one_line, listed_lines(one.battery))),
            (counting_reading(one.battery), charge_in_words(one.verdict)),
            (grade_block(grade, self._words.grades[grade].short, STRONG), *reasons),
            next_step_in_few_words(one),
        )

    def since_revision(self) -> None:
        """Place what changed since the revision before."""
        place_changes(self._writer, self._result.revision)

    def in_full(self) -> None:
        """Place what was read of the unusual batteries, and the decisive comparison."""
        ones = self._content.in_full
        if not ones:
            return
        remark = "Unresolved, close to a limit, contradicted, suspect or damaged."
        self._writer.section(f"In full ({len(ones)})", remark)
        columns = (
            Column("Battery", 16),
            Column("What was read", 21),
            Column("Why", _WHY),
            Column("Next step", 24),
        )
        self._writer.table(columns, RowsOf(ones, self._entry), title="In full")

    def _entry(self, one: GradedBattery) -> Row:
        verdict, battery = one.verdict, one.battery
        width = self._writer.width * _WHY / 100
        why: list[Block | Words | str] = []
        comparison = comparison_of(verdict.decisive)
        if comparison is not None:
            why.append(comparison_block(self._writer.setter, comparison, width))
        why.append(reason_in_full(verdict.decisive) + self._doubt(one))
        beside = (*notes_beside(one), *verdict.warnings, loss_in_words(one))
        why += [one_line(text) for text in beside if text]
        intact = one.condition is Condition.INTACT
        flag = "" if intact else Words(one.condition.value.upper(), STRONG)
        return (
            (
                Words(one.name, LEAD),
                grade_block(verdict.grade, self._words.grades[verdict.grade].short, STRONG),
                flag,
                _kind(battery),
            ),
            (*reading_lines(battery), Words(one_line(battery.note or ""), MUTED)),
            tuple(why),
            Words(self._step(one), STRONG),
        )

    def _step(self, one: GradedBattery) -> str:
        """Return the next step; where it was told before, in a few words and where it stands whole.

        Lithium is never an example for lead-acid, nor one kind of damage for another.
        """
        few = next_step_in_few_words(one)
        few = f"{few[0].upper()}{few[1:]}"
        text = one_line(step_in_full(one))
        alike = (few, text, one.battery.chemistry in LEAD_ACID, one.battery.case)
        first = self._steps.setdefault(alike, one.name)
        return text if first == one.name else f"{few}: as {first}"

    def _doubt(self, one: GradedBattery) -> str:
        step = one.verdict.decisive
        weak = step.status == FROM_MEMORY or "provisional" in f"{step.source} {step.status}".lower()
        return self.sources.note(step.source, weak=True) if weak else ""

    def findings(self) -> None:
        """Place the findings of the check, like ones on one line."""
        lines, noted = self._content.findings, self._content.only_noted
        told = f"{noted} more, of how cells were read, ask for nothing: see results.xlsx." if noted else ""
        if lines:
            mend = any(line.severity is Severity.ERROR for line in lines)
            remark = f"Mend: the battery has no grade for it. {told}" if mend else told
            self._writer.section("Findings", remark.strip())
            columns = (Column("", 7, style=STRONG), Column("Found", 59), Column("Where", 17))
            self._writer.table(columns, [_finding(line) for line in lines], title="Findings")

    def handling(self) -> None:
        """Place what is said of each kind of battery on this pallet; what all notes say, once at the head."""
        notes = self._result.compliance.handling_notes
        warnings = self._result.compliance.pallet_warnings
        if not notes and not warnings:
            return
        common = (
            [line for line in notes[0].lines if all(line in note.lines for note in notes)] if notes else []
        )
        self._writer.section("Handling", " ".join([*common, "* common practice: no source was opened."]))
        with self._writer.continued("Handling"):
            for note in notes:
                own = [line for line in note.lines if line not in common]
                texts = [line.replace(" (common practice)", WEAK) for line in own]
                title = f"{note.title} – {_whom(note.applies_to, note.title)}"
                self._writer.paragraph(title, " ".join(texts) + self.sources.note(note.source))
            for one in warnings:
                text = one.text or "Confirm locally."
                self._writer.paragraph(one.heading, text + self.sources.note(one.source))

    def limits(self) -> None:
        """Place what a grade cannot show, and what the meter in use is worth."""
        title = "What a grade cannot show"
        self._writer.section(title)
        texts = [one.text + self.sources.note(one.source) for one in self._words.limits_of_a_grade]
        with self._writer.continued(title):
            self._writer.points([*texts, *_meter(self._result)])


def _amounts(total: Total) -> tuple[str, str, str]:
    return (str(total.count), kg_in_words(total.mass_kg), kg_in_words(total.mass_estimated_kg))


def _kind(battery: Battery) -> str:
    return ", ".join(part for part in identity_lines(battery) if part)


def _whom(applies_to: str, title: str) -> str:
    """Return which batteries a note is for; only how many, where it is for many kinds."""
    if len(applies_to) <= _SHORT:
        return applies_to.removesuffix(_INTACT) if title.endswith(_INTACT) else applies_to
    return f"{sum(int(number) for number in re.findall(r'[0-9]+', applies_to))} batteries"


def _finding(line: FindingLine) -> Row:
    places = ", ".join(line.places) + (f" and {line.more} more" if line.more else "")
    return (_SEVERITY[line.severity], f"{line.what} {line.hint}".strip(), places)


def _meter(result: BatchResult) -> list[str]:
    worth = [f"{name} ± {percent:.0f} %" for name, percent in result.figures.meter_worth_percent]
    return [f"The meter in use: {', '.join(worth)} of charge."] if worth else []
