"""Titles, sections, facts, lines to fill in and the closing of a document."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.list_table import Column
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.styles import TEXT
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer

SHEET = sheet_of(Paper.A4)


@pytest.fixture
def writer():
    return Writer(Flow(SHEET), Typesetter())


def told(page):
    return [mark.text for mark, _, _ in page.placed if isinstance(mark, TextMark)]


def lines_in(block):
    return [(mark.x1 + dx, mark.x2 + dx) for mark, dx, _ in block.placed if isinstance(mark, LineMark)]


def test_title_and_sections_are_bookmarks(writer):
    writer.title("Pallet  7")
    writer.section("The list", "What it holds.")
    writer.part("First part")
    writer.text("Words.")
    (page,) = writer.flow.pages

    assert [("Pallet 7", 0), ("The list", 0), ("First part", 1)] == [
        (one.title, one.level) for one in page.outline
    ]
    assert ["Pallet 7", "The list", "What it holds.", "First part", "Words."] == told(page)


def test_a_heading_never_stands_alone_at_the_foot_of_a_page(writer):
    writer.flow.place(Block(writer.flow.room - 25, ()))
    writer.section("The list")
    writer.text("Words.")

    assert [[], ["The list", "Words."]] == [told(page) for page in writer.flow.pages]


def test_a_section_names_itself_again_on_its_next_page(writer):
    writer.section("Packing")
    with writer.continued("Packing"):
        writer.points([f"Text {number}" for number in range(90)])

    assert len(writer.flow.pages) > 1
    for page in writer.flow.pages[1:]:
        assert "Packing, continued" == told(page)[0]


def test_no_word_is_parted_for_the_title_in_front_of_its_paragraph(writer):
    """A word that fits the column, and not the end of the line that the title begins."""
    writer.columns([("A title that fills very nearly all of its line", "It holds decabromodiphenyl ether.")])
    (page,) = writer.flow.pages

    assert "It holds decabromodiphenyl ether." == " ".join(told(page)[1:])


def test_facts_are_read_down_the_columns(writer):
    writer.facts([("Site", "Yard 2"), ("Meter", "No. 3"), ("Ship date", "not given")], columns=2)

    assert ["Site", "Yard 2", "Meter", "No. 3", "Ship date", "not given"] == told(writer.flow.pages[0])


def test_no_facts_take_no_room(writer):
    assert 0 == writer.fact_block([]).height


def test_a_line_to_fill_in_begins_after_its_name_and_ends_at_the_edge(writer):
    ((begin, end),) = lines_in(writer.to_fill("Date", width=120))

    assert writer.setter.width("Date", TEXT) < begin
    assert 120 == end


def test_what_is_known_stands_before_the_line(writer):
    block = writer.to_fill("Name", "Yard 2", width=400)
    ((begin, _),) = lines_in(block)

    assert begin > writer.setter.width("Name", TEXT) + 20
    assert ["Name", "Yard 2"] == [mark.text for mark, _, _ in block.placed if isinstance(mark, TextMark)]


def test_what_is_known_and_long_has_the_line_below(writer):
    short, long = (writer.to_fill("Name", known, width=300) for known in ("Yard 2", "Yard " * 30))
    ((begin, _),) = lines_in(long)

    assert 0 == begin
    assert long.height > short.height + 15


def test_lines_to_fill_in_share_the_width(writer):
    rows = writer.fill_rows([("A", ""), ("B", ""), ("C", "")], columns=2)

    assert 2 == len(rows)
    assert pytest.approx(writer.width) == lines_in(rows[0])[1][1]


def test_cautions_stay_with_the_lines_to_sign(writer):
    writer.flow.place(Block(0.8 * SHEET.room_height, ()))
    rows = writer.sign_off_rows(["Graded by"], [f"Caution {number}." for number in range(1, 11)])
    writer.section("Cautions")
    writer.together(rows)
    page = writer.flow.pages[-1]

    assert 2 == len(writer.flow.pages)
    assert "Cautions" == told(page)[0]
    assert ["10", "Caution 10.", "Sign-off", "Graded by", "Date", "Signature"] == told(page)[-6:]


def test_a_table_goes_on_under_its_title(writer):
    writer.section("The list")
    writer.table([Column("Tag", 1)], [(f"B-{number}",) for number in range(80)], title="The list")

    assert ["The list, continued", "Tag"] == told(writer.flow.pages[1])[:2]


def test_a_short_table_that_is_to_stand_whole_goes_to_the_next_page_with_its_heading(writer):
    writer.flow.place(Block(writer.flow.room - 60, ()))
    writer.section("Stations")
    writer.table([Column("Name", 1)], [(f"S{number}",) for number in range(5)], title="Stations", whole=True)

    assert [[], ["Stations", "Name", "S0", "S1", "S2", "S3", "S4"]] == [
        told(one) for one in writer.flow.pages
    ]


def test_a_table_longer_than_a_page_goes_on_even_if_it_is_to_stand_whole(writer):
    writer.table([Column("Name", 1)], [(f"S{number}",) for number in range(99)], title="Long", whole=True)

    assert 1 < len(writer.flow.pages)
    assert "Long, continued" in told(writer.flow.pages[1])
