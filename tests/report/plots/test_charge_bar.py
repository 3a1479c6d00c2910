"""The state of charge in words and as a bar."""

import pytest

from intake.model.verdict import Evidence, Grade, Handling, StateOfCharge, Verdict
from intake.report.drawing.marks import LineMark, ShapeMark, TextMark
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.charge_bar import charge_bar

WIDTH = 100.0


def verdict(charge=None):
    return Verdict(Grade.RESALE, Evidence.REST_ONLY, Handling.INTACT, "next", (), (), state_of_charge=charge)


def drawn(one):
    placed = [item for block in charge_bar(Typesetter(), one, width=WIDTH) for item in block.placed]
    marks = [mark for mark, _, _ in placed]
    return (
        [mark.text for mark in marks if isinstance(mark, TextMark)],
        [mark for mark in marks if isinstance(mark, ShapeMark)],
        [mark for mark in marks if isinstance(mark, LineMark)],
    )


def test_without_a_charge_nothing_is_drawn():
    texts, shapes, lines = drawn(verdict())

    assert (["not known"], [], []) == (texts, shapes, lines)


@pytest.mark.parametrize(("low", "value", "high"), [(32, 50, 71), (0, 0, 0), (100, 100, 100), (0, 50, 100)])
def test_the_bar_reaches_from_the_low_to_the_high_end_and_stays_within_the_width(low, value, high):
    texts, (_, interval), (tick,) = drawn(verdict(StateOfCharge(value, low, high, 12.4, 0.02, 0.09)))
    places = [x for x, _ in interval.points]

    assert low == pytest.approx(min(places))
    assert max(high, low + 0.8) == pytest.approx(max(places))
    assert value == tick.x1
    assert [f"{value} %", *([f"{low} to {high} %"] if low < high else [])] == texts


def test_where_height_is_short_the_interval_stands_beside_the_value():
    charge = verdict(StateOfCharge(50, 40, 60, 12.2204, 0.0163, 0.09))
    below = charge_bar(Typesetter(), charge, width=WIDTH)
    beside = charge_bar(Typesetter(), charge, width=WIDTH, interval_beside=True)
    texts = [mark.text for mark, _, _ in beside[0].placed]

    assert ["50 %", "(40 to 60 %)"] == texts
    assert len(below) == len(beside) + 1
