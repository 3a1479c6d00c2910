"""The readings of a condition sheet."""

import math

import pytest

from intake.report.drawing.typesetter import Typesetter
from intake.report.resale.sheet_readings import ReadingLine, reading_lines, readings_block, readings_in_words
from tests.report.builders import battery, held, result_of


def graded(one):
    return result_of([one]).graded[0]


def test_each_reading_has_its_value_at_25_degrees_with_its_95_percent_interval():
    """Meter 0.1 % + 0.01 V: u = (0.012900 + 0.01)/sqrt(3) = 0.01322 V, times 1.96 is 0.026 V."""
    (read, settled) = reading_lines(graded(held(1, "AGM", (24.0, 12.9))))
    assert ("hold", "12.9", "24", "21") == (read.label, read.voltage, read.hours, read.temperature)
    assert read.reduced.endswith(f"± {1.96 * (0.0129 + 0.01) / math.sqrt(3):.3f}")
    assert "settled" == settled.label
    assert settled.hours == ""


def test_a_reading_that_came_too_soon_is_listed_and_said_not_to_be_used():
    lines = reading_lines(graded(held(1, "AGM", (0.2, 13.4), (24.0, 12.9))))
    assert ReadingLine("hold", "13.4", "0.2", "21", "too soon, not used") == lines[0]


def test_what_is_reckoned_for_24_hours_is_told_apart_from_what_was_read():
    last = reading_lines(graded(held(1, "AGM", (0.5, 13.318), (2.0, 13.25))))[-1]
    assert ("settled, reckoned", "24", "") == (last.label, last.hours, last.voltage)


def test_a_rest_voltage_stands_first():
    lines = reading_lines(graded(held(1, "AGM", (24.0, 12.9), rest_voltage_v=12.1)))
    assert ["rest", "hold", "settled"] == [line.label for line in lines]
    assert "±" in lines[0].reduced


def test_without_a_table_of_its_chemistry_a_reading_stands_as_it_was_read():
    (line,) = reading_lines(graded(battery(1, "other", rest_voltage_v=12.6)))
    assert ("rest", "12.6", "") == (line.label, line.voltage, line.reduced)


MANY = held(1, "AGM", *((float(hours), 13.2 - hours / 100) for hours in range(1, 13)))


@pytest.mark.parametrize("height", [82.0, 100.0, 140.0, 400.0])
def test_the_table_keeps_to_its_height(height):
    block, _ = readings_block(Typesetter(), graded(MANY), height=height)
    assert block.height <= height


def test_readings_that_have_no_room_are_counted_and_none_is_lost():
    block, whole = readings_block(Typesetter(), graded(MANY), height=100.0)
    texts = [mark.text for mark, _, _ in block.placed if hasattr(mark, "text")]
    shown = sum(text == "hold" for text in texts)
    assert not whole
    assert f"{12 - shown} more readings stand under Notes" in texts
    told = readings_in_words(graded(MANY))
    assert all(f"{13.2 - hours / 100:g} V {hours} h" in told for hours in range(1, 13))


def test_with_room_all_readings_are_there():
    _, whole = readings_block(Typesetter(), graded(MANY), height=300.0)
    assert whole
