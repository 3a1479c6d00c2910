"""A state of charge in words with its interval drawn below."""

from intake.model.verdict import StateOfCharge, Verdict
from intake.report.drawing.blocks import line_of, text_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import INK, PALE, RULE, SLATE
from intake.report.drawing.styles import LABEL, LEAD, TEXT
from intake.report.drawing.typesetter import Typesetter
from intake.report.words.battery import interval_in_words
from intake.report.words.charge_and_remarks import charge_told

_VALUE, _INTERVAL, _SMALL = LEAD, TEXT, LABEL
_BAR_HEIGHT, _THICKNESS = 9.0, 4.0


def charge_bar(
    setter: Typesetter, verdict: Verdict, *, width: float, interval_beside: bool = False
) -> list[Block]:
    """Return the lines that show the charge a hold proves, else the one at rest, else that there is none.

    The interval stands below the value, or beside it where height is short.
    """
    charge = charge_told(verdict)
    if charge is None:
        return text_lines(setter, "not known", _INTERVAL, width)
    if charge.interval_only:
        lines = [line_of(_VALUE, (0.0, interval_in_words(charge)))]
    else:
        value = f"{charge.value_percent:.0f} %"
        interval = interval_in_words(charge)
        lines = [line_of(_VALUE, (0.0, value)), line_of(_INTERVAL, (0.0, interval))]
        if interval == value:
            del lines[1]
        elif interval_beside:
            beside = TextMark(setter.width(value, _VALUE) + 6, _VALUE.baseline, f"({interval})", _INTERVAL)
            lines = [Block(_VALUE.leading, (*lines[0].placed, (beside, 0.0, 0.0)))]
    lines.append(_bar(charge, width))
    return lines


def _bar(charge: StateOfCharge, width: float) -> Block:
    def x(percent: float) -> float:
        return width * percent / 100

    top = (_BAR_HEIGHT - _THICKNESS) / 2
    low, high = x(charge.low_percent), x(charge.high_percent)
    marks: list[Mark] = [
        rectangle(0, top, width, _THICKNESS, fill=PALE, stroke=RULE),
        rectangle(low, top, max(high - low, 0.8), _THICKNESS, fill=SLATE),
    ]
    if not charge.interval_only:
        at = x(charge.value_percent)
        marks.append(LineMark(at, 1, at, _BAR_HEIGHT - 1, 1.2, INK))
    return Block(_BAR_HEIGHT, [(mark, 0.0, 0.0) for mark in marks])
