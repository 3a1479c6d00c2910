"""How a document ends: its sources never trail over a page that holds a few of them alone."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.words.closing import place_closing, place_sources
from intake.report.words.sources import Sources

SHEET = sheet_of(Paper.LETTER)
HEADING = 40.0
"""Points, at the least, that the heading of the sources takes with its key."""


def ending(room, number, place=place_sources):
    """Return the texts of each page where a document has so much room left and cites so many sources."""
    writer, sources = Writer(Flow(SHEET), Typesetter()), Sources()
    for one in range(1, number + 1):
        sources.note(
            f"Report no. {one} on what a used battery weighs, and on which scale; 2024 (report, excerpt)"
        )
    writer.flow.place(Block(SHEET.room_height - room, ()))
    place(writer, sources)
    return [
        " ".join(mark.text for mark, _, _ in page.placed if isinstance(mark, TextMark))
        for page in writer.flow.pages
    ]


def signed(writer, sources):
    """Place what ten cautions and a line to sign take: some 200 points."""
    place_closing(writer, [f"Caution {one}." for one in range(1, 11)], ["Graded by"], sources)


def named(page, number):
    return [one for one in range(1, number + 1) if f"no. {one} on" in page.replace("\u00a0", " ")]


@pytest.mark.parametrize(
    ("room", "number", "pages"),
    [
        pytest.param(300, 10, [range(1, 11)], id="room enough"),
        pytest.param(HEADING + 175, 22, [range(1, 23)], id="room for what runs on"),
        pytest.param(HEADING + 40, 22, [(), range(1, 23)], id="a page of its own"),
    ],
)
def test_all_sources_of_a_document_stand_on_one_page(room, number, pages):
    told = ending(room, number)
    assert [list(page) for page in pages] == [named(page, number) for page in told]


def test_notes_run_on_only_where_they_then_end_with_the_page():
    roomy, tight = ending(300, 22)[0], ending(HEADING + 175, 22)[0]
    assert "[22]" not in roomy
    assert [f"[{number}]" in tight.replace("\u00a0", " ") for number in range(1, 23)] == [True] * 22


def test_more_sources_than_a_page_can_hold_begin_at_once():
    first, *others = ending(300, 200)
    assert named(first, 200)[:3] == [1, 2, 3]
    assert sorted(one for page in (first, *others) for one in named(page, 200)) == list(range(1, 201))


def test_without_sources_nothing_is_placed():
    assert [""] == ending(300, 0)


@pytest.mark.parametrize(
    ("room", "number", "cautions_on", "sources_on"),
    [
        pytest.param(400, 6, 1, 1, id="room for both"),
        pytest.param(240, 6, 2, 2, id="a short list is not left alone"),
        pytest.param(240, 60, 1, 2, id="a long list fills its own page"),
        pytest.param(100, 6, 2, 2, id="no room for the cautions either"),
        pytest.param(240, 0, 1, None, id="no sources"),
    ],
)
def test_a_short_list_of_sources_never_stands_alone_on_a_page(room, number, cautions_on, sources_on):
    told = ending(room, number, signed)
    assert [cautions_on] == [page for page, text in enumerate(told, start=1) if "Caution 10." in text]
    assert [cautions_on] == [page for page, text in enumerate(told, start=1) if "Graded by" in text]
    on = [page for page, text in enumerate(told, start=1) if number and named(text, number)]
    assert ([] if sources_on is None else [sources_on]) == on


def test_cautions_come_before_the_lines_to_sign_and_these_before_the_sources():
    (told,) = ending(SHEET.room_height, 3, signed)
    places = [told.index(words) for words in ("Cautions", "Caution 10.", "Sign-off", "Graded by", "Sources")]
    assert sorted(places) == places
