"""A panel of the voltage plot."""

import pytest

from intake.model.verdict import Grade
from intake.report.drawing.marks import DiscMark, LineMark, ShapeMark, TextMark
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_points import VoltagePoint
from intake.report.plots.voltages import voltage_panel

LIMITS = (("rest", 12.40), ("hold 80 %", 12.47), ("hold 60 %", 12.30))
WIDTH, HEIGHT = 240.0, 120.0


def panel(points, limits=LIMITS):
    block = voltage_panel(Typesetter(), "flooded", points, limits, width=WIDTH, height=HEIGHT)
    return [mark for mark, _, _ in block.placed]


def points(*voltages, grade=Grade.RESALE, held=False):
    return [VoltagePoint(voltage, 0.03, grade, held) for voltage in sorted(voltages)]


def texts(marks):
    return [mark.text for mark in marks if isinstance(mark, TextMark)]


def test_every_point_is_drawn_left_to_right_the_higher_the_voltage_the_further_up():
    discs = [mark for mark in panel(points(12.2, 12.5, 12.7)) if isinstance(mark, DiscMark)]

    assert 3 == len(discs)
    assert discs[0].x < discs[1].x < discs[2].x
    assert discs[0].y > discs[1].y > discs[2].y


def test_limits_have_lines_of_their_own_and_labels_that_keep_apart():
    marks = panel(points(12.5))
    labels = [mark for mark in marks if isinstance(mark, TextMark) and mark.text.startswith(("hold", "rest"))]
    dashes = {mark.dash for mark in marks if isinstance(mark, LineMark) and mark.width == 0.8}

    assert ["hold 80 % 12.47", "rest 12.40", "hold 60 % 12.30"] == [label.text for label in labels]
    assert labels[1].y - labels[0].y >= 8
    assert labels[2].y - labels[1].y >= 8
    assert 3 == len(dashes)


def test_a_bar_shows_the_interval_of_a_point():
    marks = panel(points(12.5))
    disc = next(mark for mark in marks if isinstance(mark, DiscMark))
    (bar,) = [mark for mark in marks if isinstance(mark, LineMark) and mark.x1 == mark.x2]

    assert disc.x == bar.x1
    assert disc.y == pytest.approx((bar.y1 + bar.y2) / 2)


def test_what_a_hold_settles_at_has_a_thicker_bar():
    thin, thick = (
        next(
            mark
            for mark in panel(points(12.5, held=held))
            if isinstance(mark, LineMark) and mark.x1 == mark.x2
        )
        for held in (False, True)
    )

    assert thin.width < thick.width


@pytest.mark.parametrize(
    ("voltages", "expected"),
    [
        ((12.5,), None),
        ((0.3, 12.5), "below the scale: 0.30 V"),
        ((12.5, 20.0), "above the scale: 20.00 V"),
        ((0.1, 0.2, 0.3, 12.5), "below the scale: 0.10, 0.20, 0.30 V"),
        ((0.1, 0.2, 0.3, 0.4, 12.5), "below the scale: 4, 0.10 to 0.40 V"),
        ((0.1, 0.2, 0.3, 0.4, 12.5, 18.0, 19.0, 20.0), "below the scale: 4; above the scale: 3"),
    ],
)
def test_voltages_beyond_the_scale_are_named_or_counted(voltages, expected):
    found = [text for text in texts(panel(points(*voltages))) if "the scale" in text]

    assert [expected] * bool(expected) == found


@pytest.mark.parametrize("grade", list(Grade))
def test_everything_stays_within_the_panel(grade):
    for count in (1, 60, 900):
        marks = panel(points(*(11.0 + 3 * number / count for number in range(count)), 0.2, 19.0, grade=grade))
        for mark in marks:
            if isinstance(mark, LineMark):
                xs, ys = (mark.x1, mark.x2), (mark.y1, mark.y2)
            elif isinstance(mark, ShapeMark):
                xs, ys = zip(*mark.points, strict=True)
            elif isinstance(mark, DiscMark):
                xs, ys = (mark.x - mark.radius, mark.x + mark.radius), (mark.y,)
            else:
                xs, ys = (mark.x, mark.x + Typesetter().width(mark.text, mark.style)), (mark.y,)
            assert min(xs) >= 0
            assert max(xs) <= WIDTH
            assert min(ys) >= 0
            assert max(ys) <= HEIGHT


def test_the_panel_is_titled_with_its_chemistry_and_how_many_it_shows():
    assert "flooded: 2 with a voltage" in texts(panel(points(12.4, 12.5)))
