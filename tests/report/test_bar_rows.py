"""Rows of patterned bars."""

import pytest

from intake.report.bar_rows import Part, Pattern, bar_row, legend, patterned
from intake.report.marks import DiscMark, LineMark, ShapeMark, TextMark
from intake.report.typesetter import Typesetter

SIZES = {"longest": 40, "width": 500.0, "label_width": 60.0, "value_width": 140.0}
ROOM = 300.0


def row(parts, **fields):
    return bar_row(Typesetter(), "2026-09", parts, "beside", **(SIZES | fields))


def bars(block):
    """Return left and right end of each part, the white grounds of the figures left out."""
    shapes = [mark for mark, _, _ in block.placed if isinstance(mark, ShapeMark) and mark.stroke]
    return [(min(x for x, _ in one.points), max(x for x, _ in one.points)) for one in shapes]


def texts(block):
    return [mark.text for mark, _, _ in block.placed if isinstance(mark, TextMark)]


def test_parts_are_as_long_as_their_share_of_the_longest_and_join():
    block = row([Part(10, Pattern.SOLID), Part(0, Pattern.PALE), Part(30, Pattern.DOTTED)])

    ((left, middle), (second, right)) = bars(block)
    assert (60, 60 + ROOM / 4, 60 + ROOM) == pytest.approx((left, middle, right))
    assert middle == second


def test_a_bar_without_a_value_has_its_label_and_what_stands_beside():
    block = row([], longest=0)

    assert [] == bars(block)
    assert ["2026-09", "beside"] == texts(block)


@pytest.mark.parametrize(("value", "shown"), [(2, True), (1, False)])
def test_a_figure_stands_inside_where_it_has_room(value, shown):
    assert shown == ("7" in texts(row([Part(value, Pattern.STRIPED, "7")])))


def test_a_long_label_makes_the_row_higher():
    long = bar_row(Typesetter(), "word " * 30, [], "", **SIZES)

    assert long.height > row([]).height


@pytest.mark.parametrize("width", [0.5, 3.0, 16.0, 133.3])
@pytest.mark.parametrize("pattern", list(Pattern))
def test_no_pattern_leaves_its_rectangle(pattern, width):
    for mark in patterned(10.0, 20.0, width, 9.5, pattern):
        if isinstance(mark, LineMark):
            xs, ys = (mark.x1, mark.x2), (mark.y1, mark.y2)
        elif isinstance(mark, DiscMark):
            xs = (mark.x - mark.radius, mark.x + mark.radius)
            ys = (mark.y - mark.radius, mark.y + mark.radius)
        else:
            xs, ys = zip(*mark.points, strict=True)
        assert 10 - 1e-9 <= min(xs) <= max(xs) <= 10 + width + 1e-9
        assert 20 - 1e-9 <= min(ys) <= max(ys) <= 29.5 + 1e-9


def test_the_four_patterns_differ_without_colour():
    def looks(pattern):
        marks = list(patterned(0.0, 0.0, 16.0, 8.0, pattern))
        return marks[0].fill, len(marks), {type(one) for one in marks} == {ShapeMark}

    assert 4 == len({looks(one) for one in Pattern})


def test_a_legend_names_each_pattern_in_order():
    block = legend(Typesetter(), [(Pattern.SOLID, "one"), (Pattern.PALE, "two")])

    assert ["one", "two"] == texts(block)
    places = [mark.x for mark, _, _ in block.placed if isinstance(mark, TextMark)]
    assert places[0] < places[1]
