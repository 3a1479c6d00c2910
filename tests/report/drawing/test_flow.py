"""Blocks over pages: nothing below the foot, headings with what they head."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Style

SHEET = sheet_of(Paper.A4)
STYLE = Style(8)


def block(height, name="x", **kwargs):
    return Block(height, ((TextMark(0, 0, name, STYLE), 0.0, 0.0),), **kwargs)


def names(flow):
    return [[mark.text for mark, _, _ in page.placed] for page in flow.pages]


@pytest.fixture
def flow():
    return Flow(SHEET)


def test_a_block_that_just_fits_stays_on_the_page(flow):
    flow.place(block(SHEET.room_height - 10, "first"))
    flow.place(block(10, "second"))

    assert [["first", "second"]] == names(flow)


def test_a_block_that_does_not_fit_goes_to_the_next_page(flow):
    flow.place(block(SHEET.room_height - 10, "first"))
    flow.place(block(10.1, "second"))

    assert [["first"], ["second"]] == names(flow)


def test_a_heading_goes_to_the_next_page_with_what_it_heads(flow):
    flow.place(block(SHEET.room_height - 50, "first"))
    flow.keep_with_next(block(20, "heading"))
    flow.place(block(31, "text"))

    assert [["first"], ["heading", "text"]] == names(flow)


def test_a_heading_stays_where_both_fit(flow):
    flow.place(block(SHEET.room_height - 50, "first"))
    flow.keep_with_next(block(20, "heading"))
    flow.place(block(30, "text"))

    assert [["first", "heading", "text"]] == names(flow)


def test_the_head_repeats_on_each_new_page_and_only_meanwhile(flow):
    with flow.repeating(block(10, "head")):
        for number in range(3):
            flow.place(block(SHEET.room_height - 20, f"row {number}"))
    flow.place(block(SHEET.room_height, "after"))

    assert [["row 0"], ["head", "row 1"], ["head", "row 2"], ["after"]] == names(flow)


def test_a_page_that_opens_with_a_heading_has_no_repeated_head(flow):
    flow.place(block(SHEET.room_height - 10, "first"))
    flow.keep_with_next(block(20, "heading"))
    with flow.repeating(block(10, "head")):
        flow.place(block(30, "row"))

    assert [["first"], ["heading", "row"]] == names(flow)


def test_space_at_the_top_of_a_page_is_not_taken(flow):
    flow.space(30)

    assert SHEET.room_height == pytest.approx(flow.room)


def test_space_between_blocks_and_after_a_waiting_heading_is_taken(flow):
    flow.place(block(10))
    flow.space(30)
    flow.keep_with_next(block(5))
    flow.space(7)

    assert SHEET.room_height - 52 == pytest.approx(flow.room)
    assert 12 == flow.waiting


def test_the_outline_leads_to_the_page_and_height_of_the_section(flow):
    flow.place(block(SHEET.room_height - 10))
    flow.place(block(20, outline=("Section", 0)))

    assert [] == flow.pages[0].outline
    (entry,) = flow.pages[1].outline
    assert ("Section", 0, SHEET.top) == (entry.title, entry.level, entry.y)
