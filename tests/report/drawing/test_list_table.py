"""Lists: shares of the width, figures below each other on the point, heads that repeat."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.blocks import stack
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.list_table import GAP, TO_WRITE, Align, Column, ListTable, RowsOf, Words
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.styles import LEAD, STRONG
from intake.report.drawing.typesetter import Typesetter

SHEET = sheet_of(Paper.A4)
WIDTH = 208.0
COLUMNS = (Column("Name of a thing", 3), Column("kg", 1, Align.POINT))


def drawn(rows, columns=COLUMNS, **options):
    setter = Typesetter()
    return setter, ListTable(setter, columns, rows, width=WIDTH, **options).block()


def texts(block):
    return [
        (mark.x + dx, mark.text, mark.style) for mark, dx, _ in block.placed if isinstance(mark, TextMark)
    ]


def told(page):
    return [mark.text for mark, _, _ in page.placed if isinstance(mark, TextMark)]


def test_columns_share_what_the_gaps_leave():
    _, block = drawn([("a", "b")], [Column("x", 3), Column("y", 1)])

    assert [0.0, 150 + GAP] == [x for x, text, _ in texts(block) if text in "ab"]


def test_decimal_points_stand_below_each_other_and_the_longest_ends_at_the_edge():
    setter, block = drawn([("a", "12.5"), ("b", "3.25"), ("c", "100")])
    figures = [(x, text, style) for x, text, style in texts(block) if text[0].isdigit()]
    points = [x + setter.width(text.partition(".")[0], style) for x, text, style in figures]

    assert [points[0]] * 3 == pytest.approx(points)
    assert pytest.approx(WIDTH) == max(x + setter.width(text, style) for x, text, style in figures)


def test_the_head_of_a_column_of_figures_ends_at_its_edge():
    setter, block = drawn([("a", "1")])
    ((x, text, style),) = [one for one in texts(block) if one[1] == "kg"]

    assert pytest.approx(WIDTH) == x + setter.width(text, style)


def test_words_wrap_in_their_column_and_make_the_row_higher():
    _, low = drawn([("short", "1")])
    _, high = drawn([("a name of so many words that one line cannot hold them", "1")])

    assert high.height > low.height + 8


def test_a_cell_may_hold_lines_in_styles_of_their_own_and_drawings():
    shape = Block(9.0, ((LineMark(0, 0, 1, 1), 0.0, 0.0),))
    _, block = drawn([((Words("B-1", LEAD), "place 3", shape), "")])
    found = {text: style for _, text, style in texts(block)}

    assert LEAD == found["B-1"]
    assert "place 3" in found
    assert 3 == sum(isinstance(mark, LineMark) for mark, _, _ in block.placed)


def test_an_empty_cell_takes_no_room_and_one_to_write_in_does():
    _, empty = drawn([("", "")])
    _, free = drawn([(TO_WRITE, "")])

    assert pytest.approx(TO_WRITE.height) == free.height - empty.height


def test_the_last_rows_may_be_sums_in_bold():
    _, block = drawn([("a", "1"), ("All", "1")], sum_rows=1)
    found = {text: style for _, text, style in texts(block)}

    assert STRONG == found["All"]
    assert STRONG != found["a"]


def test_the_head_repeats_below_the_title_on_each_further_page():
    flow = Flow(SHEET)
    rows = [(f"row {number}", str(number)) for number in range(90)]
    ListTable(Typesetter(), COLUMNS, rows, width=SHEET.room_width).place(flow, title="The list")

    assert len(flow.pages) > 1
    assert ["Name of a thing", "kg", "row 0"] == told(flow.pages[0])[:3]
    for page in flow.pages[1:]:
        assert ["The list, continued", "Name of a thing", "kg"] == told(page)[:3]


def test_without_a_title_only_the_head_repeats():
    flow = Flow(SHEET)
    rows = [(f"row {number}", "1") for number in range(90)]
    ListTable(Typesetter(), COLUMNS, rows, width=SHEET.room_width).place(flow)

    assert ["Name of a thing", "kg"] == told(flow.pages[1])[:2]


def test_a_head_never_stands_alone_at_the_foot_of_a_page():
    flow = Flow(SHEET)
    flow.place(Block(flow.room - 20, ()))
    ListTable(Typesetter(), COLUMNS, [("a", "1")], width=SHEET.room_width).place(flow)

    assert [] == told(flow.pages[0])
    assert ["Name of a thing", "kg", "a", "1"] == told(flow.pages[1])


def test_a_row_taller_than_a_page_is_divided_between_lines():
    flow = Flow(SHEET)
    ListTable(Typesetter(), COLUMNS, [("word " * 3000, "1")], width=SHEET.room_width).place(flow)
    words = " ".join(" ".join(told(page)) for page in flow.pages).split()

    assert len(flow.pages) > 1
    assert 3000 == words.count("word")


def test_a_table_without_rows_is_its_head():
    _, block = drawn([])

    assert ["Name of a thing", "kg"] == [text for _, text, _ in texts(stack([block]))]


@pytest.mark.parametrize(
    ("room_for", "last_page"),
    [(2.5, ["c", "d"]), (3.5, ["c", "d"]), (1.5, ["a", "b", "c", "d"]), (4.5, None)],
)
def test_neither_the_first_nor_the_last_row_stands_alone_on_its_page(room_for, last_page):
    """Four rows, and room for so many on the first page: each end takes its neighbour along."""
    setter = Typesetter()
    rows = [(name, "1") for name in "abcd"]
    row = ListTable(setter, COLUMNS, rows[:1], width=WIDTH).block().height
    height = ListTable(setter, COLUMNS, rows, width=WIDTH).block().height
    each = (height - row) / 3
    flow = Flow(SHEET)
    flow.place(Block(SHEET.room_height - (row - each) - room_for * each, ()))
    ListTable(setter, COLUMNS, rows, width=WIDTH).place(flow)

    pages = [[text for text in told(page) if text in "abcd"] for page in flow.pages]
    assert list("abcd") == [text for page in pages for text in page]
    assert (pages[1] if len(pages) > 1 else None) == last_page


def test_rows_made_when_they_are_placed_print_as_those_made_before():
    figures = ["12.5", "3.25", "100"]
    _, made = drawn(RowsOf(figures, lambda figure: ("a", figure)))
    _, listed = drawn([("a", figure) for figure in figures])

    assert texts(listed) == texts(made)


def test_a_row_is_made_when_it_is_asked_for_and_not_before():
    asked = []
    rows = RowsOf(["a", "b", "c"], lambda name: asked.append(name) or (name, "1"))

    assert 3 == len(rows)
    assert [] == asked
    assert ("c", "1") == rows[-1]
    assert [("b", "1"), ("c", "1")] == list(rows[1:])
    assert ["c", "b", "c"] == asked


def test_each_row_is_made_once_to_be_measured_and_once_to_be_placed():
    asked = []
    rows = RowsOf(["1.5", "2.25"], lambda figure: asked.append(figure) or (figure, "a", figure))
    columns = (Column("kg", 1, Align.POINT), Column("Name", 1), Column("V", 1, Align.POINT))
    ListTable(Typesetter(), columns, rows, width=WIDTH)
    measured = len(asked)
    drawn(rows, columns)

    assert 2 == measured
    assert 6 == len(asked)
