"""The readings of a condition sheet."""

import pytest

from intake.report.drawing.typesetter import Typesetter
from intake.report.resale.sheet_readings import reading_lines, readings_block
from tests.report.builders import held, result_of


def graded(one):
    return result_of([one]).graded[0]


def test_what_is_reckoned_for_24_hours_is_told_apart_from_what_was_read():
    last = reading_lines(graded(held(1, "AGM", (0.5, 13.318), (2.0, 13.25))))[-1]
    assert ("settles at", "24", "") == (last.label, last.hours, last.voltage)


def test_a_rest_voltage_stands_first():
    lines = reading_lines(graded(held(1, "AGM", (24.0, 12.9), rest_voltage_v=12.1)))
    assert ["rest", "hold", "settled"] == [line.label for line in lines]
    assert "±" in lines[0].reduced


MANY = held(1, "AGM", *((float(hours), 13.2 - hours / 100) for hours in range(1, 13)))


@pytest.mark.parametrize("height", [82.0, 100.0, 140.0, 400.0])
def test_the_table_keeps_to_its_height(height):
    block, _ = readings_block(Typesetter(), graded(MANY), height=height)
    assert block.height <= height


def test_with_room_all_readings_are_there():
    _, whole = readings_block(Typesetter(), graded(MANY), height=300.0)
    assert whole
