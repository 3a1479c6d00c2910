"""Blocks in two columns over pages: nothing lost, nothing below the foot, the last columns alike."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.two_columns import GUTTER, column_width, divided, place_in_columns
from intake.report.drawing.typesetter import Style

SHEET = sheet_of(Paper.A4)


def block(name, height):
    return Block(height, ((TextMark(0, 0, name, Style(8)), 0.0, 0.0),))


def columns(flow):
    """Return the names in the left and in the right column, page by page."""
    middle = SHEET.left + column_width(SHEET.room_width) + GUTTER / 2
    pages = [[(mark.text, x) for mark, x, _ in page.placed] for page in flow.pages]
    return [
        ([name for name, x in page if x < middle], [name for name, x in page if x > middle]) for page in pages
    ]


@pytest.fixture
def flow():
    return Flow(SHEET)


def test_both_columns_are_as_equally_long_as_can_be(flow):
    place_in_columns(flow, [block("a", 30), block("b", 30), block("c", 30), block("d", 20)])

    assert [(["a", "b"], ["c", "d"])] == columns(flow)


def test_the_right_column_may_be_the_longer_one(flow):
    place_in_columns(flow, [block("a", 30), block("b", 20), block("c", 20)])

    assert [(["a"], ["b", "c"])] == columns(flow)


def test_a_single_block_stands_to_the_left(flow):
    place_in_columns(flow, [block("a", 30)])

    assert [(["a"], [])] == columns(flow)


def test_a_page_is_filled_before_the_next_one_is_begun(flow):
    half = SHEET.room_height / 2
    place_in_columns(flow, [block(name, half) for name in "abcdef"])

    assert [(["a", "b"], ["c", "d"]), (["e"], ["f"])] == columns(flow)


def test_a_block_that_does_not_fit_on_the_rest_of_the_page_begins_the_next_one(flow):
    flow.place(block("above", SHEET.room_height - 10))
    place_in_columns(flow, [block("a", 11), block("b", 11)])

    assert [(["above"], []), (["a"], ["b"])] == columns(flow)


def test_a_right_column_stays_empty_where_its_first_block_is_too_high(flow):
    flow.place(block("above", SHEET.room_height - 20))
    place_in_columns(flow, [block("a", 15), block("b", 30)])

    assert [(["above", "a"], []), (["b"], [])] == columns(flow)


@pytest.mark.parametrize(("lines", "heights"), [(1, [11]), (3, [31]), (4, [20, 21]), (5, [20, 10, 21])])
def test_a_paragraph_is_never_parted_from_a_single_line(lines, heights):
    parts = divided([block(str(number), 10) for number in range(lines)], below=1)

    assert heights == [one.height for one in parts]
