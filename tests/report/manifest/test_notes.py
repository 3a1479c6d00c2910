"""The closing sections of the manifest."""

from dataclasses import replace

from intake.model.compliance import Statement
from intake.model.finding import Finding, Severity
from intake.model.paper import Paper
from intake.report.drawing.flow import Flow
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from intake.report.manifest.notes import Notes
from tests.report.builders import battery, result_of

SHEET = sheet_of(Paper.A4)
RESULT = result_of([battery(1, rest_voltage_v=12.7)])


def told(result):
    flow = Flow(SHEET)
    Notes(Typesetter(), SHEET.room_width).place(flow, result)
    marks = [mark for page in flow.pages for mark, _, _ in page.placed if isinstance(mark, TextMark)]
    return [mark.text for mark in marks]


def with_compliance(**changes):
    return replace(RESULT, compliance=replace(RESULT.compliance, **changes))


def test_without_warnings_and_notes_their_headings_are_left_out():
    texts = told(with_compliance(load_warnings=(), handling_notes=()))

    assert "Handling" not in texts
    assert "Before this pallet is moved or loaded" not in texts
    assert "What a grade can not show" in texts


def test_a_warning_without_a_checked_value_says_confirm_locally():
    texts = told(with_compliance(load_warnings=(Statement("Mixed load", None, ""),)))

    assert "Confirm locally." == texts[texts.index("Mixed load") + 1]


def test_a_warning_stands_with_its_source_and_how_it_was_checked():
    texts = told(with_compliance(load_warnings=(Statement("Mixed load", "Part them.", "Rule 1", "read"),)))
    start = texts.index("Mixed load")

    assert ["Mixed load", "Part them.", "Rule 1; read"] == texts[start : start + 3]


def test_a_finding_names_its_place_tag_and_column():
    finding = Finding(
        Severity.WARNING, "Too old.", "Look.", sheet="Batteries", cell="G5", tag="B-001", field="Made"
    )
    texts = told(replace(RESULT, findings=(finding,)))
    start = texts.index("Findings of the check (1)")

    assert ["warning", "Batteries!G5, B-001", "Made: Too old.", "Look."] == texts[start + 1 : start + 5]


def test_every_caution_is_printed_and_the_lines_to_sign_come_last():
    texts = told(with_compliance(cautions=("First.", "Second.", "Third.", "Fourth.", "Fifth.", "Sixth.")))

    for caution in ("First.", "Second.", "Third.", "Fourth.", "Fifth.", "Sixth."):
        assert 1 == texts.count(caution)
    assert ["Sign-off", "Graded by", "Date", "Signature"] == texts[-4:]
