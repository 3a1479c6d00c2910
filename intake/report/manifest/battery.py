"""One battery of the manifest: tag, what it is, readings, charge, reason, next step, remarks."""

from dataclasses import dataclass

from intake.model.result import BatchResult, GradedBattery
from intake.report.drawing.blocks import Band, Cell, line_of, text_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.fonts import Face
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.handling_flag import handling_flag
from intake.report.drawing.kept_together import SEPARATOR, with_currency_kept, with_units_kept
from intake.report.drawing.palette import GREY
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.plots.charge_bar import charge_bar
from intake.report.words.battery import (
    doubt_about,
    identity_in_words,
    inspection_in_words,
    strength_lines,
    voltage_lines,
)
from intake.report.words.charge_and_remarks import notes_beside, other_rules, warnings_by_row
from intake.report.words.value_totals import advice_for
from intake.report.words.wording import load_wording

TAG = Style(14, Face.BOLD)
MARK_WIDTH = 14.0
VOLT_POINT, HOUR_POINT, DEGREE_POINT = 56.0, 94.0, 124.0
"""Where the decimal points of volts, hours and degrees stand in a list of readings."""

_FACT = Style(8.5)
_TEXT = Style(8)
_STRONG = Style(8, Face.BOLD)
_SMALL = Style(7, colour=GREY)
_GAP: Band = ((0.0, [Block(3, ())]),)


@dataclass(frozen=True, slots=True)
class EntryColumns:
    """Where the columns of an entry stand and how wide they are, in points."""

    readings_width: float
    charge_x: float
    charge_width: float
    reason_x: float
    reason_width: float

    @property
    def width(self) -> float:
        """Of the whole entry."""
        return self.reason_x + self.reason_width


class BatteryEntry:
    """Sets batteries as rows of a list."""

    def __init__(self, setter: Typesetter, columns: EntryColumns, result: BatchResult) -> None:
        self._setter = setter
        self._columns = columns
        self._titles = {stream.key: stream.title for stream in result.compliance.streams}
        self._warnings = warnings_by_row(result)
        self._result = result

    def bands(self, one: GradedBattery) -> list[Band]:
        """Return the entry: a tag that is too long for its column stands on a line of its own."""
        columns = self._columns
        facts: Cell = (columns.charge_x, self._facts(one))
        beside = columns.charge_x - MARK_WIDTH - 6
        if self._setter.width(self._setter.printable(one.battery.tag), TAG) <= beside:
            title: list[Band] = [[*self._tag(one, beside), facts]]
        else:
            title = [self._tag(one, columns.width - MARK_WIDTH), [facts]]
        main: Band = [
            (0.0, self._readings(one)),
            (columns.charge_x, charge_bar(self._setter, one.verdict, width=columns.charge_width)),
            (columns.reason_x, self._reasons(one)),
        ]
        return [*title, _GAP, main, *self._remarks(one)]

    def _tag(self, one: GradedBattery, width: float) -> list[Cell]:
        middle = TAG.baseline - 0.36 * TAG.size
        shape = [(mark, 0.0, 0.0) for mark in grade_mark(one.verdict.grade, 4.7, middle, 4.2)]
        return [
            (0.0, [Block(0.0, shape)]),
            (MARK_WIDTH, text_lines(self._setter, one.battery.tag, TAG, width)),
        ]

    def _facts(self, one: GradedBattery) -> list[Block]:
        evidence = f"evidence: {load_wording().evidence[one.verdict.evidence]}"
        facts = [
            identity_in_words(one),
            SEPARATOR.join((inspection_in_words(one.battery), evidence)),
        ]
        if one.stream is not None:
            facts.append(f"stream: {self._titles.get(one.stream, one.stream)}")
        width = self._columns.width - self._columns.charge_x
        lines = [
            line for fact in facts for line in text_lines(self._setter, with_units_kept(fact), _FACT, width)
        ]
        return [*lines, *handling_flag(self._setter, one.verdict.handling)]

    def _readings(self, one: GradedBattery) -> list[Block]:
        lines = [
            line_of(
                _TEXT,
                (0.0, reading.label),
                (self._before_point(reading.voltage, VOLT_POINT), reading.voltage),
                (self._before_point(reading.hours, HOUR_POINT), reading.hours),
                (self._before_point(reading.temperature, DEGREE_POINT), reading.temperature),
            )
            for reading in voltage_lines(one.battery)
        ]
        others = strength_lines(one.battery) if lines else ["no voltage read", *strength_lines(one.battery)]
        for text in others:
            lines += text_lines(self._setter, text, _TEXT, self._columns.readings_width)
        return lines

    def _before_point(self, figure: str, point: float) -> float:
        """Return where a figure begins so that its decimal point stands at ``point``."""
        return point - self._setter.width(figure.partition(".")[0], _TEXT)

    def _reasons(self, one: GradedBattery) -> list[Block]:
        verdict = one.verdict
        lines = self._reason_lines(verdict.decisive.text, _TEXT)
        doubt = doubt_about(verdict.decisive)
        if doubt:
            lines += self._reason_lines(doubt, _SMALL)
        for note in notes_beside(one):
            lines += self._reason_lines(f"Beside it: {note}", _TEXT)
        also = other_rules(one)
        if also:
            lines += self._reason_lines(f"Also: {also}", _SMALL)
        lines.append(Block(2, ()))
        lines += self._reason_lines(f"Next: {verdict.next_step}", _STRONG)
        advice = advice_for(self._result, one)
        if advice:
            told = with_currency_kept(f"Value: {advice}", self._result.batch.currency)
            lines += text_lines(self._setter, told, _TEXT, self._columns.reason_width)
        for warning in self._warnings[one.battery.row]:
            lines += self._reason_lines(f"Look again: {warning}", _TEXT)
        return lines

    def _reason_lines(self, text: str, style: Style) -> list[Block]:
        return text_lines(self._setter, with_units_kept(one_line(text)), style, self._columns.reason_width)

    def _remarks(self, one: GradedBattery) -> list[Band]:
        remarks = [
            f"{label}: {one_line(text)}"
            for label, text in (("Marking", one.battery.marking), ("Note", one.battery.note))
            if text
        ]
        width = self._columns.width
        lines = [line for text in remarks for line in text_lines(self._setter, text, _TEXT, width)]
        return [_GAP, [(0.0, lines)]] if lines else []
