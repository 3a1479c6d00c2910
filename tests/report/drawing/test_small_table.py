"""Small tables: figures below each other on the point."""

import pytest

from intake.report.drawing.flow import Block
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.small_table import STRONG, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Typesetter

COLUMNS = (Column("Name of a thing", 60), Column("kg", 50, Align.POINT))


def drawn(rows, columns=COLUMNS):
    setter = Typesetter()
    return setter, small_table(setter, columns, rows)


def texts(block):
    return [
        (mark.x + dx, mark.text, mark.style) for mark, dx, _ in block.placed if isinstance(mark, TextMark)
    ]


def test_decimal_points_stand_below_each_other_and_the_longest_ends_at_the_edge():
    setter, block = drawn([Row(("a", "12.5")), Row(("b", "3.25")), Row(("c", "100"))])
    figures = [(x, text, style) for x, text, style in texts(block) if text[0].isdigit()]
    points = [x + setter.width(text.partition(".")[0], style) for x, text, style in figures]

    assert [points[0]] * 3 == pytest.approx(points)
    assert 60 + 8 + 50 == pytest.approx(max(x + setter.width(text, style) for x, text, style in figures))


def test_the_head_of_a_column_of_figures_ends_at_its_edge():
    setter, block = drawn([Row(("a", "1"))])
    ((x, text, style),) = [one for one in texts(block) if one[1] == "kg"]

    assert 118 == pytest.approx(x + setter.width(text, style))


def test_words_wrap_in_their_column_and_make_the_row_higher():
    _, low = drawn([Row(("short", "1"))])
    _, high = drawn([Row(("a name of many words", "1"))])

    assert high.height > low.height + 8


def test_a_mark_stands_first_and_the_words_are_set_in():
    shape = Block(0.0, ((LineMark(0, 0, 1, 1), 0.0, 0.0),))
    _, block = drawn([Row(("a", "1"), style=STRONG, mark=shape, indent=13)])

    assert 13 == next(x for x, text, _ in texts(block) if text == "a")


def test_each_row_has_a_line_below_it():
    _, block = drawn([Row(("a", "1")), Row(("b", "2"))])

    assert 3 == sum(isinstance(mark, LineMark) for mark, _, _ in block.placed)


def test_a_table_without_rows_is_its_head():
    _, block = drawn([])

    assert {"kg"} < {text for _, text, _ in texts(block)}
