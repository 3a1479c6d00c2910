"""The batteries of the manifest, grade by grade, each with its readings, reason and next step."""

from collections.abc import Mapping, Sequence

from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Grade, Handling
from intake.report.battery_words import (
    SEPARATOR,
    doubt_about,
    identity_in_words,
    inspection_in_words,
    strength_lines,
    voltage_lines,
)
from intake.report.charge_bar import charge_bar
from intake.report.flow import Block, Flow
from intake.report.fonts import Face
from intake.report.grade_marks import grade_mark
from intake.report.marks import LineMark
from intake.report.page import Placed
from intake.report.palette import GREY, SLATE
from intake.report.plain_text import one_line
from intake.report.reading_words import further_reasons
from intake.report.setting import Band, RowLook, line_of, place_row, side_by_side, stack, text_lines
from intake.report.totals import Total, batteries_by_grade, total_of
from intake.report.typesetter import Style, Typesetter
from intake.report.wording import load_wording

_GRADE = Style(17, Face.BOLD, SLATE)
_SUM = Style(10, Face.BOLD)
_MEANING = Style(8.5, colour=GREY)
_HEAD = Style(7.5, Face.BOLD, SLATE)
_TAG = Style(14, Face.BOLD)
_FACT = Style(8.5)
_HANDLING = Style(8.5, Face.BOLD)
_TEXT = Style(8)
_STRONG = Style(8, Face.BOLD)
_SMALL = Style(7, colour=GREY)
_FIGURE = Style(8)
_LOOK = RowLook(above=5, below=6, rule_width=0.6)
_MARK_WIDTH, _GAP = 14.0, 12.0
_LEFT_WIDTH = 138.0
"""The tag stands over the readings."""
_CHARGE_WIDTH = 92.0
_VOLT_POINT, _HOUR_POINT, _DEGREE_POINT = 56.0, 94.0, 124.0
"""Where the decimal points of volts, hours and degrees stand in a list of readings."""


class BatteryList:
    """Sets and places the batteries of a batch."""

    def __init__(self, setter: Typesetter, width: float, titles: Mapping[str, str]) -> None:
        self._setter = setter
        self._width = width
        self._titles = titles
        """Of the waste streams, by key."""
        self._charge_x = _LEFT_WIDTH + _GAP
        self._reason_x = self._charge_x + _CHARGE_WIDTH + _GAP
        self._reason_width = width - self._reason_x

    def place(self, flow: Flow, result: BatchResult) -> None:
        """Place every grade in its order; an empty one says so."""
        for grade, ones in batteries_by_grade(result).items():
            flow.space(14)
            flow.keep_with_next(self._heading(grade, total_of(ones)))
            if not ones:
                text = "No battery of this batch has this grade."
                flow.place(stack(text_lines(self._setter, text, _FACT, self._width)))
                continue
            flow.keep_with_next(self._column_heads(None))
            with flow.repeating(self._column_heads(grade)):
                for one in ones:
                    place_row(flow, self._bands(one), look=_LOOK)

    def _heading(self, grade: Grade, total: Total) -> Block:
        words = load_wording().grades[grade]
        number = f"{total.count} {'battery' if total.count == 1 else 'batteries'}"
        estimated = f", {total.mass_estimated_kg:.1f} kg of it estimated" if total.mass_estimated_kg else ""
        amount = f"{number}, {total.mass_kg:.1f} kg{estimated}" if total.count else number
        title = side_by_side(
            [
                (0.0, _mark_block(grade, _GRADE, 5.5)),
                (18.0, line_of(_GRADE, (0.0, words.title))),
                (
                    self._width - self._setter.width(amount, _SUM),
                    Block(_GRADE.leading, _on_baseline(line_of(_SUM, (0.0, amount)), _GRADE, _SUM)),
                ),
            ]
        )
        heading = stack(
            [title, *text_lines(self._setter, words.meaning, _MEANING, self._width), Block(4, ())]
        )
        return Block(heading.height, heading.placed, outline=(f"{words.title} ({total.count})", 0))

    def _column_heads(self, grade: Grade | None) -> Block:
        """Return the heads of the columns, under the grade's name where the list goes on."""
        lines = []
        if grade is not None:
            title = f"{load_wording().grades[grade].title}, continued"
            style = Style(11, Face.BOLD, SLATE)
            lines.append(
                side_by_side(
                    [(0.0, _mark_block(grade, style, 4)), (_MARK_WIDTH, line_of(style, (0.0, title)))]
                )
            )
        heads = line_of(
            _HEAD,
            (0.0, "Tag and readings"),
            (_VOLT_POINT - 5, "V"),
            (_HOUR_POINT - 9, "h"),
            (_DEGREE_POINT - 14, "°C"),
            (self._charge_x, "State of charge"),
            (self._reason_x, "Reason and next step"),
        )
        rule = Block(4, ((LineMark(0, 2, self._width, 2, 0.9, SLATE), 0.0, 0.0),))
        return stack([*lines, heads, rule])

    def _bands(self, one: GradedBattery) -> list[Band]:
        facts = self._facts(one)
        tag_room = self._charge_x - _MARK_WIDTH - 6
        tag = one.battery.tag
        if self._setter.width(self._setter.printable(tag), _TAG) <= tag_room:
            title: list[Band] = [
                [*self._tag_cells(one, tag_room), (self._charge_x, self._fact_lines(facts, self._charge_x))]
            ]
        else:
            title = [
                self._tag_cells(one, self._width - _MARK_WIDTH),
                [(self._charge_x, self._fact_lines(facts, self._charge_x))],
            ]
        gap: Band = [(0.0, [Block(3, ())])]
        main: Band = [
            (0.0, self._readings(one)),
            (self._charge_x, self._charge(one)),
            (self._reason_x, self._reasons(one)),
        ]
        return [*title, gap, main, *self._remarks(one)]

    def _tag_cells(self, one: GradedBattery, width: float) -> list[tuple[float, list[Block]]]:
        return [
            (0.0, [_mark_block(one.verdict.grade, _TAG, 4.2)]),
            (_MARK_WIDTH, text_lines(self._setter, one.battery.tag, _TAG, width)),
        ]

    def _facts(self, one: GradedBattery) -> list[tuple[str, Style]]:
        verdict = one.verdict
        evidence = f"evidence: {load_wording().evidence[verdict.evidence]}"
        facts = [
            (identity_in_words(one), _FACT),
            (SEPARATOR.join((inspection_in_words(one.battery), evidence)), _FACT),
        ]
        if one.stream is not None:
            facts.append((f"stream: {self._titles.get(one.stream, one.stream)}", _FACT))
        if verdict.handling is not Handling.INTACT:
            facts.append((f"Handle as {verdict.handling.value}", _HANDLING))
        return facts

    def _fact_lines(self, facts: Sequence[tuple[str, Style]], x: float) -> list[Block]:
        return [
            line for text, style in facts for line in text_lines(self._setter, text, style, self._width - x)
        ]

    def _readings(self, one: GradedBattery) -> list[Block]:
        lines = [
            line_of(
                _FIGURE,
                (0.0, reading.label),
                (self._before_point(reading.voltage, _VOLT_POINT), reading.voltage),
                (self._before_point(reading.hours, _HOUR_POINT), reading.hours),
                (self._before_point(reading.temperature, _DEGREE_POINT), reading.temperature),
            )
            for reading in voltage_lines(one.battery)
        ]
        if not lines:
            lines = text_lines(self._setter, "no voltage read", _FIGURE, _LEFT_WIDTH)
        for text in strength_lines(one.battery):
            lines += text_lines(self._setter, text, _FIGURE, _LEFT_WIDTH)
        return lines

    def _before_point(self, figure: str, point: float) -> float:
        """Return where a figure begins so that its decimal point stands at ``point``."""
        return point - self._setter.width(figure.partition(".")[0], _FIGURE)

    def _charge(self, one: GradedBattery) -> list[Block]:
        return charge_bar(self._setter, one.verdict, width=_CHARGE_WIDTH)

    def _reasons(self, one: GradedBattery) -> list[Block]:
        verdict = one.verdict
        lines = self._wrapped(verdict.decisive.text, _TEXT)
        doubt = doubt_about(verdict.decisive)
        if doubt:
            lines += self._wrapped(doubt, _SMALL)
        also = [step.rule for step in further_reasons(one)]
        if also:
            lines += self._wrapped(f"Also: {', '.join(also)}", _SMALL)
        lines.append(Block(2, ()))
        lines += self._wrapped(f"Next: {verdict.next_step}", _STRONG)
        for warning in verdict.warnings:
            lines += self._wrapped(f"Look again: {warning}", _TEXT)
        return lines

    def _wrapped(self, text: str, style: Style) -> list[Block]:
        return text_lines(self._setter, text, style, self._reason_width)

    def _remarks(self, one: GradedBattery) -> list[Band]:
        remarks = [
            f"{label}: {one_line(text)}"
            for label, text in (("Marking", one.battery.marking), ("Note", one.battery.note))
            if text
        ]
        lines = [line for text in remarks for line in text_lines(self._setter, text, _TEXT, self._width)]
        return [[(0.0, [Block(3, ()), *lines])]] if lines else []


def _mark_block(grade: Grade, beside: Style, radius: float) -> Block:
    middle = beside.baseline - 0.36 * beside.size
    return Block(0.0, [(mark, 0.0, 0.0) for mark in grade_mark(grade, radius + 0.5, middle, radius)])


def _on_baseline(block: Block, of: Style, style: Style) -> list[Placed]:
    return [(mark, dx, dy + of.baseline - style.baseline) for mark, dx, dy in block.placed]
