"""Headings, clauses and lines to fill in."""

from datetime import date

import pytest

from intake.model.compliance import Statement
from intake.model.paper import Paper
from intake.report.drawing.blocks import stack
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import TEXT, Clauses
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter

SHEET = sheet_of(Paper.A4)


@pytest.fixture
def clauses():
    return Clauses(Typesetter(), SHEET.room_width)


def told(page):
    return [mark.text for mark, _, _ in page.placed if isinstance(mark, TextMark)]


def statement_told(clauses, statement, remark=""):
    flow = Flow(SHEET)
    clauses.statement(flow, statement, remark)
    return told(flow.pages[0])


def lines_in(block):
    return [(mark.x1 + dx, mark.x2 + dx) for mark, dx, _ in block.placed if isinstance(mark, LineMark)]


def test_a_statement_has_source_check_and_validity_in_small_print(clauses):
    one = Statement("Code", "16 06 01*.", "List 3", "read", date(2026, 12, 9), date(2027, 1, 1))

    assert [
        "Code",
        "16 06 01*.",
        "List 3 · read · valid from 2026-12-09, valid until 2027-01-01 · streams 1, 2",
    ] == statement_told(clauses, one, "streams 1, 2")


def test_a_withheld_statement_prints_its_heading_and_no_value(clauses):
    one = Statement("Tunnel code", None, "", "not checked")

    assert ["Tunnel code", "confirm locally"] == statement_told(clauses, one)


def test_a_withheld_statement_says_from_when_it_holds(clauses):
    one = Statement("Code", None, "", valid_from=date(2026, 12, 9))

    assert ["Code", "confirm locally, valid from 2026-12-09"] == statement_told(clauses, one)


def test_no_statements_leave_no_heading(clauses):
    flow = Flow(SHEET)
    clauses.statements(flow, "Packing", ())
    flow.place(stack(clauses.lines("End", TEXT)))

    assert ["End"] == told(flow.pages[0])


def test_a_section_names_itself_again_on_its_next_page(clauses):
    flow = Flow(SHEET)
    clauses.section(flow, "Packing")
    with clauses.continued(flow, "Packing"):
        for number in range(80):
            clauses.text_row(flow, f"Heading {number}", "Text")

    assert len(flow.pages) > 1
    for page in flow.pages[1:]:
        assert "Packing, continued" == told(page)[0]


def test_a_line_to_fill_in_begins_after_its_label_and_ends_at_the_edge(clauses):
    block = clauses.to_fill("Date", width=120)
    ((begin, end),) = lines_in(block)

    assert clauses.setter.width("Date", TEXT) < begin
    assert 120 == end


def test_what_is_known_stands_before_the_line(clauses):
    block = clauses.to_fill("Name", width=400, known="Yard 2", label_width=150)
    ((begin, _),) = lines_in(block)

    assert begin > 150
    assert ["Name", "Yard 2"] == told(block)


def test_what_is_known_and_long_has_the_line_below(clauses):
    short = clauses.to_fill("Name", width=400, known="Yard 2", label_width=150)
    long = clauses.to_fill("Name", width=400, known="Yard " * 40, label_width=150)
    ((begin, _),) = lines_in(long)

    assert 150 == begin
    assert long.height > short.height


def test_columns_share_the_width(clauses):
    width = clauses.column_width(2)
    rows = clauses.in_columns([clauses.to_fill(text, width=width) for text in "ABC"], columns=2)

    assert [["A", "B"], ["C"]] == [told(row) for row in rows]
    assert pytest.approx(SHEET.room_width) == lines_in(rows[0])[1][1]
