"""The scale of the voltage plot, and labels that keep apart."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.verdict import Grade
from intake.report.plots.voltage_points import VoltagePoint
from intake.report.plots.voltage_scale import Scale, scale_for, spread

LIMITS = (("rest", 12.4), ("hold 80 %", 12.47), ("hold 60 %", 12.3))


def point(voltage, half_width=0.0):
    return VoltagePoint(voltage, half_width, Grade.RESALE, held=False)


def test_the_scale_shows_the_limits_and_every_point_near_them_with_its_interval():
    scale = scale_for([point(12.0, 0.1), point(12.8, 0.2)], LIMITS)

    for voltage in (11.9, 13.0, 12.3, 12.47):
        assert scale.shows(voltage)


def test_a_point_far_from_the_limits_does_not_stretch_the_scale():
    scale = scale_for([point(0.3), point(12.5)], LIMITS)

    assert not scale.shows(0.3)
    assert scale.low_v > 12
    assert 0 == scale.share(0.3)
    assert 1 == scale.share(20)


@pytest.mark.parametrize(("voltage", "near"), [(11.3, True), (11.29, False), (13.27, True), (13.28, False)])
def test_near_is_one_volt_below_the_lowest_limit_and_eight_tenths_above_the_highest(voltage, near):
    assert near == scale_for([point(voltage)], LIMITS).shows(voltage)


def test_without_limits_every_point_is_shown():
    scale = scale_for([point(0.3), point(12.5)], ())

    assert scale.shows(0.3)
    assert scale.shows(12.5)


def test_a_single_point_still_has_a_scale():
    scale = scale_for([point(7.9)], ())

    assert 0.5 == pytest.approx(scale.share(7.9))
    assert scale.high_v - scale.low_v > 0.4


def test_points_beyond_the_scale_stand_clear_of_the_lowest_limit():
    with_beyond = scale_for([point(0.3), point(12.5)], LIMITS)
    without = scale_for([point(12.5)], LIMITS)

    assert with_beyond.low_v < without.low_v
    assert with_beyond.high_v == without.high_v


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (12.0, 12.45, (12.0, 12.1, 12.2, 12.3, 12.4)),
        (11.7, 12.9, (11.8, 12.0, 12.2, 12.4, 12.6, 12.8)),
        (0.2, 13.1, (2.0, 4.0, 6.0, 8.0, 10.0, 12.0)),
        (0, 100, ()),
    ],
)
def test_ticks_are_round_and_at_most_six(low, high, expected):
    assert expected == Scale(low, high).ticks


def test_places_that_are_apart_stay():
    assert [10, 30, 50] == spread([10, 30, 50], gap=8, low=0, high=60)


def test_places_too_close_are_moved_apart_within_the_room():
    moved = spread([57, 58, 59], gap=8, low=0, high=60)

    assert [44, 52, 60] == moved


def test_where_the_room_is_too_small_they_are_spread_evenly():
    assert [0, 5, 10] == pytest.approx(spread([4, 5, 6], gap=8, low=0, high=10))


def test_no_places_are_no_places():
    assert [] == spread([], gap=8, low=0, high=10)


@given(st.lists(st.floats(0, 100), max_size=6).map(sorted))
def test_any_places_end_up_in_the_room_and_apart(places):
    moved = spread(places, gap=8, low=0, high=100)

    assert all(-1e-6 <= place <= 100 + 1e-6 for place in moved)
    assert all(later - earlier >= 8 - 1e-6 for earlier, later in pairwise(moved))
