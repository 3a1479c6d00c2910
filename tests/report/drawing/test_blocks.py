"""Lines, stacks and rows as blocks."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.blocks import (
    RowLook,
    line_of,
    place_row,
    place_together,
    side_by_side,
    stack,
    text_lines,
)
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Style, Typesetter

SHEET = sheet_of(Paper.A4)
STYLE = Style(8)
LOOK = RowLook(above=3, below=4, rule_width=0.5)


def lines(count, prefix=""):
    return [line_of(STYLE, (0.0, f"{prefix}{number}")) for number in range(count)]


def texts(page):
    return [mark.text for mark, _, _ in page.placed if isinstance(mark, TextMark)]


def test_text_becomes_one_block_a_line():
    setter = Typesetter()
    blocks = text_lines(setter, "one two", STYLE, setter.width("one", STYLE), x=5)

    assert [STYLE.leading] * 2 == [block.height for block in blocks]
    assert [(5, "one"), (5, "two")] == [(block.placed[0][0].x, block.placed[0][0].text) for block in blocks]


def test_a_stack_is_as_high_as_its_blocks_and_keeps_their_order():
    stacked = stack(lines(3), x=7)

    assert 3 * STYLE.leading == pytest.approx(stacked.height)
    assert [7, 7, 7] == [dx for _, dx, _ in stacked.placed]
    assert [0, STYLE.leading, 2 * STYLE.leading] == pytest.approx([dy for _, _, dy in stacked.placed])


def test_blocks_side_by_side_are_as_high_as_the_highest():
    assert 30 == side_by_side([(0.0, Block(10, ())), (50.0, Block(30, ()))]).height
    assert 0 == side_by_side([]).height


def test_a_row_has_room_above_and_below_and_a_line():
    flow = Flow(SHEET)
    place_row(flow, [[(0.0, lines(2)), (50.0, lines(3))], [(0.0, lines(1))]], look=LOOK)

    assert SHEET.room_height - 4 * STYLE.leading - 7 == pytest.approx(flow.room)
    assert 1 == sum(isinstance(mark, LineMark) for mark, _, _ in flow.pages[0].placed)


def test_a_row_without_a_rule_has_no_line():
    flow = Flow(SHEET)
    place_row(flow, [[(0.0, lines(1))]], look=RowLook(rule_width=0))

    assert not any(isinstance(mark, LineMark) for mark, _, _ in flow.pages[0].placed)


def test_a_row_that_fits_on_a_page_is_never_divided():
    flow = Flow(SHEET)
    flow.place(Block(SHEET.room_height / 2, ()))
    count = int(0.9 * SHEET.room_height / STYLE.leading)
    place_row(flow, [[(0.0, lines(count))]], look=LOOK)

    assert [[], [str(number) for number in range(count)]] == [texts(page) for page in flow.pages]


def test_a_row_taller_than_a_page_is_divided_by_lines_and_nothing_is_lost():
    flow = Flow(SHEET)
    place_row(flow, [[(0.0, lines(200, "a")), (50.0, lines(150, "b"))], [(0.0, lines(30, "c"))]], look=LOOK)
    found = [text for page in flow.pages for text in texts(page)]

    assert len(flow.pages) > 2
    for prefix, count in (("a", 200), ("b", 150), ("c", 30)):
        assert [f"{prefix}{number}" for number in range(count)] == [
            text for text in found if text.startswith(prefix)
        ]
    for page in flow.pages:
        assert SHEET.bottom >= max(dy for _, _, dy in page.placed)


def test_a_line_higher_than_a_page_has_one_to_itself_and_the_row_ends():
    flow = Flow(SHEET)
    high = stack(lines(200, "high"))
    place_row(flow, [[(0.0, [*lines(2, "a"), high, *lines(3, "b")]), (50.0, lines(1, "c"))]], look=LOOK)

    assert [["a0", "a1", "c0"], 200, ["b0", "b1", "b2"]] == [
        len(found) if found[0] == "high0" else found for found in map(texts, flow.pages)
    ]


def test_a_divided_row_begins_below_its_heading():
    flow = Flow(SHEET)
    flow.keep_with_next(stack(lines(1, "heading")))
    place_row(flow, [[(0.0, lines(200))]], look=LOOK)

    assert ["heading0", "0"] == texts(flow.pages[0])[:2]


def test_a_divided_row_does_not_begin_at_the_very_foot():
    flow = Flow(SHEET)
    flow.place(Block(SHEET.room_height - 40, ()))
    place_row(flow, [[(0.0, lines(200))]], look=LOOK)

    assert [] == texts(flow.pages[0])


def test_a_row_that_fits_a_page_only_without_its_heading_is_divided():
    flow = Flow(SHEET)
    count = int((SHEET.room_height - 7) / STYLE.leading)
    flow.keep_with_next(stack(lines(3, "heading")))
    place_row(flow, [[(0.0, lines(count))]], look=LOOK)

    assert 2 == len(flow.pages)
    assert "heading0" == texts(flow.pages[0])[0]
    assert SHEET.bottom >= max(dy for _, _, dy in flow.pages[0].placed)


def test_rows_that_belong_together_go_to_a_new_page_together_up_to_a_share_of_it():
    for most, pages in ((1.0, [["filler"], ["0", "1", "2"]]), (0.001, [["filler", "0"], ["1", "2"]])):
        flow = Flow(SHEET)
        flow.place(Block(SHEET.room_height - 1.5 * STYLE.leading, line_of(STYLE, (0.0, "filler")).placed))
        place_together(flow, lines(3), most=most)

        assert pages == [texts(page) for page in flow.pages]
