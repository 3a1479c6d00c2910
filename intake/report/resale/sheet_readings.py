"""The readings of one battery as a small table with their intervals at 25 degC, and its charge below."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from intake.model.result import GradedBattery
from intake.model.verdict import StateOfCharge
from intake.report.drawing.blocks import line_of, side_by_side, stack
from intake.report.drawing.flow import Block
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import RULE
from intake.report.drawing.styles import HEAD, LABEL, TEXT
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.charge_bar import charge_bar
from intake.report.plots.hold import is_projected
from intake.report.plots.voltage_points import COVERAGE_FACTOR
from intake.report.words.battery import voltage_lines

_VOLT, _HOUR, _DEGREE, _REDUCED = 66.0, 108.0, 140.0, 174.0
"""Where the decimal points stand."""
WIDTH = 246.0
_LABEL_WIDTH = 72.0
_LEAST_LINES = 3
"""First reading, how many more, last."""
_BETWEEN = 5.0


class ReadingLine(NamedTuple):
    """One row of the table as texts."""

    label: str
    voltage: str = ""
    hours: str = ""
    temperature: str = ""
    reduced: str = ""
    """At 25 degC with the half-width of its 95 % interval."""


def reading_lines(one: GradedBattery) -> list[ReadingLine]:
    """Return all readings, then what the hold settles at."""
    return [*_read(one), *_settled(one)]


def _read(one: GradedBattery) -> Iterator[ReadingLine]:
    lines = voltage_lines(one.battery)
    if one.battery.rest_voltage_v is not None:
        line = lines.pop(0)
        reduced = _reduced_charge(one.verdict.state_of_charge)
        yield ReadingLine(line.label, line.voltage, line.hours, line.temperature, reduced)
    known = {reading.after_h: reading for reading in one.verdict.reduced_readings}
    for reading, line in zip(one.battery.hold_readings, lines, strict=True):
        found = known.get(reading.after_charge_h)
        reduced = (
            "too soon, not used"
            if found is None
            else _with_interval(found.voltage_25c_v, found.standard_uncertainty_v)
        )
        yield ReadingLine(line.label, line.voltage, line.hours, line.temperature, reduced)


def _settled(one: GradedBattery) -> Iterator[ReadingLine]:
    held = one.verdict.held_charge
    if held is not None:
        label = "settles at" if is_projected(held) else "settled"
        hours = "24" if is_projected(held) else ""
        yield ReadingLine(label, hours=hours, reduced=_reduced_charge(held.state_of_charge))


def _reduced_charge(charge: StateOfCharge | None) -> str:
    if charge is None:
        return ""
    return _with_interval(charge.voltage_25c_v, charge.standard_uncertainty_v)


def _with_interval(voltage_v: float, uncertainty_v: float) -> str:
    return f"{voltage_v:.3f} ± {COVERAGE_FACTOR * uncertainty_v:.3f}"


def readings_block(setter: Typesetter, one: GradedBattery, *, height: float) -> tuple[Block, bool]:
    """Return table and charge in no more than ``height`` points, and whether all readings are there.

    Where there is too little room the readings between the first and the last ones are counted.
    """
    bar = stack(charge_bar(setter, one.verdict, width=WIDTH - _LABEL_WIDTH, interval_beside=True))
    label = line_of(HEAD, (0.0, "State of charge"))
    charge = stack([Block(_BETWEEN, ()), side_by_side([(0.0, _lowered(label, 2.5)), (_LABEL_WIDTH, bar)])])
    lines = reading_lines(one)
    head = _head(setter)
    most = max(int((height - charge.height - head.height) / TEXT.leading), _LEAST_LINES)
    whole = len(lines) <= most
    table = [_row(setter, line) for line in lines]
    if not whole:
        left_out = len(lines) - most + 1
        told = line_of(LABEL, (0.0, f"{left_out} more readings stand under Notes"))
        last = most - 2
        table = [table[0], Block(TEXT.leading, told.placed), *table[len(table) - last :]]
    return stack([head, *table, charge]), whole


def _lowered(block: Block, by: float) -> Block:
    return stack([Block(by, ()), block])


def _head(setter: Typesetter) -> Block:
    heads = line_of(
        HEAD,
        (0.0, "Reading"),
        *((point - setter.width(text, HEAD) / 2, text) for point, text in _HEADS),
    )
    line = LineMark(0, 1, WIDTH, 1, 0.6, RULE)
    return stack([heads, Block(2.5, ((line, 0.0, 0.0),))])


_HEADS = ((_VOLT, "V read"), (_HOUR, "h"), (_DEGREE, "°C"), (_REDUCED + 12, "V at 25 °C, 95 %"))


def _row(setter: Typesetter, line: ReadingLine) -> Block:
    figures = (
        (line.voltage, _VOLT),
        (line.hours, _HOUR),
        (line.temperature, _DEGREE),
    )
    reduced = line.reduced
    reduced_x = _before(setter, reduced, _REDUCED) if "±" in reduced else _REDUCED - 14
    return line_of(
        TEXT,
        (0.0, line.label),
        *((_before(setter, text, point), text) for text, point in figures if text),
        *(((reduced_x, reduced),) if reduced else ()),
    )


def _before(setter: Typesetter, figure: str, point: float) -> float:
    return point - setter.width(figure.partition(".")[0], TEXT)


def readings_in_words(one: GradedBattery) -> str:
    """Return all readings as running text, for where the table had no room for them."""
    return "; ".join(_in_words(line) for line in reading_lines(one))


def _in_words(line: ReadingLine) -> str:
    parts: Iterable[tuple[str, str]] = (
        (line.voltage, "V"),
        (line.hours, "h"),
        (line.temperature, "°C"),
    )
    read = " ".join(f"{text} {unit}" for text, unit in parts if text)
    reduced = f" ({line.reduced}{' V at 25 °C' if '±' in line.reduced else ''})" if line.reduced else ""
    return f"{line.label} {read}{reduced}"
