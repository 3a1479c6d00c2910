"""The small plot of a condition sheet."""

from itertools import pairwise

import pytest

from intake.report.drawing.marks import DiscMark, LineMark, TextMark
from intake.report.drawing.palette import INK, WHITE
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.hold import hold_plot, is_projected
from tests.report.builders import LIMITS, battery, held, result_of

WIDTH, HEIGHT = 260.0, 100.0


def plot(one):
    graded = result_of([one]).graded[0]
    limits = LIMITS.get(one.chemistry, ())
    block = hold_plot(Typesetter(), graded, limits, width=WIDTH, height=HEIGHT)
    assert HEIGHT == block.height
    return [mark for mark, _, _ in block.placed]


def words(marks):
    return [mark.text for mark in marks if isinstance(mark, TextMark)]


def discs(marks):
    return [mark for mark in marks if isinstance(mark, DiscMark)]


SHORT = held(1, "AGM", (0.5, 13.318), (2.0, 13.25))


def test_readings_are_filled_and_what_is_reckoned_is_open():
    found = discs(plot(SHORT))
    assert [WHITE, INK, INK] == [disc.fill for disc in found]
    open_one, first, second = found
    assert first.x < second.x < open_one.x
    assert first.y < second.y < open_one.y


def test_hours_stand_on_a_logarithmic_scale():
    """From 0.5 to 2 h is two doublings, from 2 to 24 h log2(12) of them."""
    open_one, first, second = discs(plot(SHORT))
    assert pytest.approx(2 / 3.585, rel=1e-3) == (second.x - first.x) / (open_one.x - second.x)


def test_the_settling_is_a_dashed_line_from_the_last_reading_to_24_hours():
    marks = plot(SHORT)
    open_one, _, last = discs(marks)
    (line,) = [one for one in marks if isinstance(one, LineMark) and one.dash == (2.5, 1.5)]
    assert (last.x, last.y, open_one.x, open_one.y) == (line.x1, line.y1, line.x2, line.y2)


def test_a_hold_is_held_against_its_own_limits_and_a_rest_against_its_own():
    assert {"hold 80 % 12.66", "hold 60 % 12.45"} <= set(words(plot(SHORT)))
    assert "rest 12.40" not in words(plot(SHORT))
    rested = words(plot(battery(1, "AGM", rest_voltage_v=12.8)))
    assert {"rest 12.40", "rested 24 h"} <= set(rested)
    assert not [one for one in rested if one.startswith("hold")]


@pytest.mark.parametrize(
    "one",
    [held(1, "AGM", (24.0, 12.9)), held(1, "AGM", (0.5, 13.1), (72.0, 12.8)), held(1, "LFP", (6.0, 13.4))],
)
def test_a_settled_hold_and_an_lfp_block_are_not_projected(one):
    assert not is_projected(result_of([one]).graded[0].verdict.held_charge)
    assert {INK} == {disc.fill for disc in discs(plot(one))}


def test_a_reading_that_came_too_soon_is_not_drawn():
    assert 2 == len(discs(plot(held(1, "AGM", (0.2, 13.4), (24.0, 12.9), (48.0, 12.88)))))


def test_hour_figures_never_meet():
    marks = plot(held(1, "AGM", (0.5, 13.1), (720.0, 12.8)))
    foot = max(mark.y for mark in marks if isinstance(mark, TextMark))
    setter = Typesetter()
    row = sorted(
        (mark.x, mark.x + setter.width(mark.text, mark.style))
        for mark in marks
        if isinstance(mark, TextMark) and mark.y == foot
    )
    assert len(row) > 5
    assert all(end < begin for (_, end), (begin, _) in pairwise(row))


@pytest.mark.parametrize("one", [SHORT, battery(1, rest_voltage_v=12.75), held(1, "LFP", (96.0, 13.4))])
def test_every_mark_stays_within_the_plot(one):
    setter = Typesetter()
    for mark in plot(one):
        if isinstance(mark, TextMark):
            assert 0 <= mark.x
            assert mark.x + setter.width(mark.text, mark.style) <= WIDTH
            assert 0 <= mark.y <= HEIGHT
        elif isinstance(mark, DiscMark):
            assert 0 <= mark.x <= WIDTH
            assert 0 <= mark.y <= HEIGHT


def test_without_a_voltage_the_plot_says_so():
    assert ["No voltage to plot."] == words(plot(battery(1, "other", rest_voltage_v=12.6)))
