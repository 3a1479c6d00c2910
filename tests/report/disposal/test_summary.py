"""The first page of the disposal sheet."""

from intake.model.paper import Paper
from intake.report.disposal.content import disposal_content
from intake.report.disposal.summary import NO_FORM, NOTHING, DisposalSummary, counted_in_words
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from tests.report.builders import battery, result_of
from tests.report.read_blocks import after, told

SHEET = sheet_of(Paper.A4)
CRACKED = {"case": "cracked", "rest_voltage_v": 0.3}


def summary_of(*batteries, **batch):
    flow, result = Flow(SHEET), result_of(batteries, batch=batch)
    DisposalSummary(Clauses(Typesetter(), SHEET.room_width)).place(flow, result, disposal_content(result))
    return told(flow)


def test_it_opens_with_the_count_and_says_that_it_is_no_form():
    texts = summary_of(battery(1, **CRACKED))

    assert "2026-W47-P03: 1 battery to recycle" == texts[0]
    assert NO_FORM in " ".join(texts)


def test_gross_mass_and_packages_are_left_to_fill_in():
    *figures, gross, packages = after(summary_of(battery(1, **CRACKED, mass_kg=14.5)), "All", 8)

    assert ["All", "1", "14.5", "0.0", "0", "14.5"] == figures
    assert {"_"} == set(gross) == set(packages)


def test_a_stream_without_any_mass_prints_no_zero_kilograms():
    figures = after(summary_of(battery(1, **CRACKED, rated_capacity_ah=None)), "All", 6)

    assert ["All", "1", "–", "0.0", "1", "–"] == figures


def test_status_lines_are_blank():
    texts = summary_of(battery(1, **CRACKED))
    blanks = after(texts, "waste / not waste", 4)
    row = texts[len(texts) - texts[::-1].index("waste / not waste") :]

    assert ["waste / not waste", "decided by", "date", "signature"] == blanks
    assert [{"_"}] * 3 == [set(text) for text in row]


def test_an_empty_stream_leaves_no_status_lines():
    texts = summary_of(battery(1, rest_voltage_v=12.7))

    assert NOTHING in texts
    assert "waste / not waste" not in texts


def test_no_warnings_leave_no_heading():
    texts = summary_of(battery(1, rest_voltage_v=12.7), jurisdiction="US")

    assert "Before anything is loaded" not in texts


def test_every_battery_is_accounted_for():
    result = result_of(
        [battery(1, **CRACKED), battery(2, "unknown", rest_voltage_v=12.0), battery(3, rest_voltage_v=12.7)]
    )

    assert (
        "Of 3 batteries in the batch: 1 in this sheet's streams; 1 unresolved, listed apart further on; "
        "1 for resale after charge, not in this sheet."
    ) == counted_in_words(result, disposal_content(result))
