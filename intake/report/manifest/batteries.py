"""The batteries of the manifest, grade by grade, under heads that repeat on each page."""

from intake.model.result import BatchResult
from intake.model.verdict import Grade
from intake.report.drawing.blocks import RowLook, line_of, place_row, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.marks import LineMark
from intake.report.drawing.page import Placed
from intake.report.drawing.palette import GREY, SLATE
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.manifest.battery import (
    DEGREE_POINT,
    HOUR_POINT,
    MARK_WIDTH,
    VOLT_POINT,
    BatteryEntry,
    EntryColumns,
)
from intake.report.words.totals import Total, batteries_by_grade, total_of
from intake.report.words.wording import load_wording

_GRADE = Style(17, Face.BOLD, SLATE)
_CONTINUED = Style(11, Face.BOLD, SLATE)
_SUM = Style(10, Face.BOLD)
_TEXT = Style(8.5)
_MEANING = Style(8.5, colour=GREY)
_HEAD = Style(7.5, Face.BOLD, SLATE)
_LOOK = RowLook(above=5, below=6, rule_width=0.6)
_READINGS_WIDTH, _CHARGE_WIDTH, _GAP = 138.0, 106.0, 12.0
_KEY = (
    "V: as read, not reduced to 25 °C. h: hours of rest, or since the end of charge. "
    "State of charge with its 95 % interval. u: standard uncertainty. "
    "P: probability that the true value keeps to the limit in brackets."
)


class BatteryList:
    """Sets and places the batteries of a batch."""

    def __init__(self, setter: Typesetter, width: float) -> None:
        charge_x = _READINGS_WIDTH + _GAP
        reason_x = charge_x + _CHARGE_WIDTH + _GAP
        self._setter = setter
        self._width = width
        self._columns = EntryColumns(
            readings_width=_READINGS_WIDTH,
            charge_x=charge_x,
            charge_width=_CHARGE_WIDTH,
            reason_x=reason_x,
            reason_width=width - reason_x,
        )

    def place(self, flow: Flow, result: BatchResult) -> None:
        """Place every grade in its order; an empty one says so."""
        entry = BatteryEntry(self._setter, self._columns, result)
        flow.place(stack(text_lines(self._setter, _KEY, _MEANING, self._width)))
        for grade, ones in batteries_by_grade(result).items():
            flow.space(14)
            flow.keep_with_next(self._heading(grade, total_of(ones)))
            if not ones:
                text = "No battery of this batch has this grade."
                flow.place(stack(text_lines(self._setter, text, _TEXT, self._width)))
                continue
            flow.keep_with_next(self._heads())
            with flow.repeating(stack([self._continued(grade), self._heads()])):
                for one in ones:
                    place_row(flow, entry.bands(one), look=_LOOK)

    def _heading(self, grade: Grade, total: Total) -> Block:
        words = load_wording().grades[grade]
        amount = _amount(total)
        amount_x = self._width - self._setter.width(amount, _SUM)
        amount_block = Block(_GRADE.leading, _on_baseline(line_of(_SUM, (amount_x, amount)), _GRADE, _SUM))
        title = side_by_side([*_named(grade, words.title, _GRADE, 5.5, 18.0), (0.0, amount_block)])
        meaning = text_lines(self._setter, words.meaning, _MEANING, self._width)
        heading = stack([title, *meaning, Block(4, ())])
        return Block(heading.height, heading.placed, outline=(f"{words.title} ({total.count})", 0))

    def _continued(self, grade: Grade) -> Block:
        title = f"{load_wording().grades[grade].title}, continued"
        return side_by_side(_named(grade, title, _CONTINUED, 4.0, MARK_WIDTH))

    def _heads(self) -> Block:
        heads = line_of(
            _HEAD,
            (0.0, "Reading"),
            (VOLT_POINT - 8, "V"),
            (HOUR_POINT - 7, "h"),
            (DEGREE_POINT - 12, "°C"),
            (self._columns.charge_x, "State of charge"),
            (self._columns.reason_x, "Reason and next step"),
        )
        return stack([heads, Block(4, ((LineMark(0, 2, self._width, 2, 0.9, SLATE), 0.0, 0.0),))])


def _amount(total: Total) -> str:
    number = f"{total.count} {'battery' if total.count == 1 else 'batteries'}"
    if not total.count:
        return number
    estimated = f", {total.mass_estimated_kg:.1f} kg of it estimated" if total.mass_estimated_kg else ""
    return f"{number}, {total.mass_kg:.1f} kg{estimated}"


def _named(grade: Grade, title: str, style: Style, radius: float, indent: float) -> list[tuple[float, Block]]:
    middle = style.baseline - 0.36 * style.size
    shape = Block(0.0, [(mark, 0.0, 0.0) for mark in grade_mark(grade, radius + 0.5, middle, radius)])
    return [(0.0, shape), (indent, line_of(style, (0.0, title)))]


def _on_baseline(block: Block, of: Style, style: Style) -> list[Placed]:
    return [(mark, dx, dy + of.baseline - style.baseline) for mark, dx, dy in block.placed]
