"""Where the tags of points stand: on no point, no interval, no other tag, and inside the frame."""

import pytest

from intake.model.verdict import Grade
from intake.report.drawing.marks import DiscMark, LineMark, ShapeMark, TextMark
from intake.report.drawing.palette import WHITE
from intake.report.drawing.styles import PLOT_TAG
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_points import VoltagePoint
from intake.report.plots.voltages import voltage_panel

LIMITS = (("rest", 12.40), ("hold 80 %", 12.66), ("hold 60 %", 12.45))
WIDTH, HEIGHT = 240.0, 110.0


def panel(points):
    block = voltage_panel(Typesetter(), "AGM", points, LIMITS, width=WIDTH, height=HEIGHT)
    return [mark for mark, _, _ in block.placed]


def point(voltage, name="", half=0.12, grade=Grade.RESALE):
    return VoltagePoint(voltage, half, grade, True, name)


def area(mark):
    """Return left, top, right and bottom of a tag."""
    width = Typesetter().width(mark.text, mark.style)
    return (mark.x, mark.y - 0.7 * mark.style.size, mark.x + width, mark.y)


def meets(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def tags(marks):
    return [mark for mark in marks if isinstance(mark, TextMark) and mark.style is PLOT_TAG]


CROWDED = [
    point(12.45, "CR-037"),
    point(12.46),
    point(12.51, "CR-041"),
    point(12.56, "CR-028"),
    point(12.79),
    point(12.85),
    point(12.92),
    point(12.94),
]


def test_a_tag_covers_no_point_no_interval_and_no_other_tag():
    marks = panel(CROWDED)
    named = tags(marks)
    bars = [
        (mark.x1 - 0.8, min(mark.y1, mark.y2), mark.x1 + 0.8, max(mark.y1, mark.y2))
        for mark in marks
        if isinstance(mark, LineMark) and mark.x1 == mark.x2 and mark.width == 1.6
    ]
    discs = [
        (mark.x - mark.radius, mark.y - mark.radius, mark.x + mark.radius, mark.y + mark.radius)
        for mark in marks
        if isinstance(mark, DiscMark)
    ]

    assert {"CR-037", "CR-041", "CR-028"} == {mark.text for mark in named}
    assert (8, 8) == (len(bars), len(discs))
    assert [] == [mark.text for mark in named for other in (*bars, *discs) if meets(area(mark), other)]
    assert [] == [
        (one.text, other.text)
        for place, one in enumerate(named)
        for other in named[place + 1 :]
        if meets(area(one), area(other))
    ]


def test_no_line_runs_through_a_tag_as_it_stands_on_white():
    marks = panel([point(12.45, "CR-1", half=0.19)])
    (tag,) = tags(marks)
    ground = [mark for mark in marks if isinstance(mark, ShapeMark) and mark.fill == WHITE]
    (behind,) = [mark for mark in ground if marks.index(mark) == marks.index(tag) - 1]
    xs, ys = zip(*behind.points, strict=True)

    left, top, right, bottom = area(tag)
    assert min(xs) <= left
    assert max(xs) >= right - 1e-6
    assert min(ys) <= top
    assert max(ys) >= bottom


@pytest.mark.parametrize("voltage", [12.3, 12.5, 12.9, 0.2, 19.0])
def test_a_tag_stays_inside_the_frame(voltage):
    found = tags(panel([point(voltage, "A-LONG-TAG-0001 (row 117)"), point(12.6)]))

    assert 1 == len(found)
    left, top, right, bottom = area(found[0])
    assert left >= 0
    assert right <= WIDTH
    assert top >= 14
    assert bottom <= HEIGHT - 12


def test_of_more_tags_than_there_is_room_for_none_covers_another():
    crowd = [point(12.45 + number / 1000, f"CR-{number:03d}") for number in range(60)]
    named = tags(panel(crowd))

    assert 3 <= len(named) < 60
    areas = [area(mark) for mark in named]
    assert not any(meets(one, other) for place, one in enumerate(areas) for other in areas[place + 1 :])
