"""Rows of patterned bars."""

import pytest

from intake.report.drawing.marks import DiscMark, LineMark, ShapeMark, TextMark
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.bar_rows import Bar, Part, Pattern, bar_rows, legend, patterned

WIDTH = 500.0


def row(parts, longest=40.0, label="2026-09", beside="beside"):
    return bar_rows(Typesetter(), [Bar(label, parts, beside, longest)], width=WIDTH)[0]


def bars(block):
    """Return left and right end of each part, the white grounds of the figures left out."""
    shapes = [mark for mark, _, _ in block.placed if isinstance(mark, ShapeMark) and mark.stroke]
    return [(min(x for x, _ in one.points), max(x for x, _ in one.points)) for one in shapes]


def texts(block):
    return [mark.text for mark, _, _ in block.placed if isinstance(mark, TextMark)]


def test_parts_are_as_long_as_their_share_of_the_longest_and_join():
    block = row([Part(10, Pattern.SOLID), Part(30, Pattern.DOTTED)])

    ((left, middle), (second, right)) = bars(block)
    assert 3 == pytest.approx((right - middle) / (middle - left))
    assert middle == second


def test_label_bar_and_text_beside_take_up_the_whole_width():
    setter = Typesetter()
    bars_of_two = [
        Bar("short", [Part(40, Pattern.SOLID)], "a long text beside it", 40),
        Bar("a long label", [Part(20, Pattern.SOLID)], "x", 40),
    ]
    first, second = bar_rows(setter, bars_of_two, width=WIDTH)
    (label, beside) = (mark for mark, _, _ in first.placed if isinstance(mark, TextMark))
    (long_label, _) = (mark for mark, _, _ in second.placed if isinstance(mark, TextMark))
    ((left, right),) = bars(first)

    assert WIDTH == pytest.approx(beside.x + setter.width(beside.text, beside.style))
    assert setter.width(long_label.text, long_label.style) < left == bars(second)[0][0]
    assert 0 == label.x
    assert right < beside.x
    assert 2 == pytest.approx((right - left) / (bars(second)[0][1] - left))


def test_a_bar_without_a_part_has_its_label_and_what_stands_beside():
    block = row([])

    assert [] == bars(block)
    assert ["2026-09", "beside"] == texts(block)
    assert [] == bar_rows(Typesetter(), [], width=WIDTH)


@pytest.mark.parametrize(("value", "shown"), [(2, True), (1, False)])
def test_a_figure_stands_inside_where_it_has_room(value, shown):
    assert shown == ("7" in texts(row([Part(value, Pattern.STRIPED, "7")])))


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
