"""The section of one waste stream."""

import pytest

from intake.model.paper import Paper
from intake.report.disposal.content import disposal_content
from intake.report.disposal.streams import StreamSections
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from tests.report.builders import battery, result_of
from tests.report.read_blocks import after, told

SHEET = sheet_of(Paper.A4)
CRACKED = {"case": "cracked", "rest_voltage_v": 0.3}
SHARED = "What holds for several streams"


def placed(*batteries, **batch):
    flow = Flow(SHEET)
    sections = StreamSections(Clauses(Typesetter(), SHEET.room_width))
    sections.place(flow, disposal_content(result_of(batteries, batch=batch)))
    return flow


def test_the_description_is_a_proposal_to_be_confirmed():
    texts = told(placed(battery(1, **CRACKED), jurisdiction="US"))

    assert [
        "Proposed description, US order, to be confirmed",
        "UN2794, Batteries, wet, filled with acid, electric storage, 8",
    ] == after(texts, "Proposed description, US order, to be confirmed", 2)


def test_without_a_checked_description_there_is_a_line_to_fill_in():
    texts = told(placed(battery(1, **CRACKED), jurisdiction="other"))
    heading = "Transport description, order of the regime that applies"

    assert [heading, "confirm locally"] == after(texts, heading, 2)


@pytest.mark.parametrize(
    ("label", "asked", "chemistry"),
    [
        ("UN 38.3 test summary: where kept", True, "LFP"),
        ("UN 38.3 test summary: where kept", False, "flooded"),
        ("Case plastic: scan result, POPs named", True, "flooded"),
        ("Case plastic: scan result, POPs named", False, "LFP"),
        ("Hazardous properties", True, "LFP"),
        ("Hazardous properties", True, "flooded"),
    ],
)
def test_lines_to_fill_in_are_those_of_the_chemistry(label, asked, chemistry):
    assert asked is (label in told(placed(battery(1, chemistry, case="burnt"))))


def test_one_stream_shares_nothing():
    assert SHARED not in told(placed(battery(1, **CRACKED)))


def test_shared_statements_are_referred_to_and_follow_once():
    texts = told(placed(battery(1, "LFP", case="swollen"), battery(2, **CRACKED)))

    assert 2 == texts.count("See also")
    assert 1 == texts.count("Word WASTE")
    assert texts.index(SHARED) < texts.index("Word WASTE")


def test_a_section_is_not_begun_at_the_foot_of_a_page():
    flow = placed(*(battery(n, **CRACKED) for n in range(1, 10)), battery(11, "LFP", case="swollen"))
    heading = "2 Lithium iron phosphate, damaged or not diagnosable"
    (y,) = [dy for page in flow.pages for mark, _, dy in page.placed if getattr(mark, "text", "") == heading]

    assert y < SHEET.bottom - 200
