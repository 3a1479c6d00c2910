from intake.checks.cells.parsed_cell import Unreadable, note
from intake.checks.finding_log import FindingLog, Spot
from intake.model.finding import Finding, Severity


def test_a_finding_carries_its_sheet_cell_tag_and_field():
    log = FindingLog("Batteries", 2)
    log.add(Severity.ERROR, "Wrong.", "Mend it.", Spot(12, 6, "B-1", "Mass (kg)"))
    expected = Finding(
        Severity.ERROR,
        "Wrong.",
        "Mend it.",
        sheet="Batteries",
        cell="F12",
        tag="B-1",
        field="Mass (kg)",
        sheet_order=2,
        row=12,
        column=6,
    )
    assert [expected] == log.found


def test_without_row_or_column_no_cell_is_named():
    assert ["", "", "", "A1"] == [Spot().cell, Spot(row=3).cell, Spot(column=3).cell, Spot(1, 1).cell]


def test_each_severity_has_its_word():
    log = FindingLog("Batch", 1)
    log.reject("a.", "b.")
    log.warn("a.", "b.")
    log.note("a.", "b.")
    assert [Severity.ERROR, Severity.WARNING, Severity.NOTE] == [one.severity for one in log.found]
    assert [True, False, False] == [one.rejects for one in log.found]


def test_a_value_that_is_left_blank_says_so():
    log = FindingLog("Batteries", 2)
    log.warn_blank(Unreadable('"x" is no number.', "Type one."), Spot(2, 1))
    (found,) = log.found
    assert (Severity.WARNING, "A2") == (found.severity, found.cell)
    assert '"x" is no number. The value is left blank.' == found.message


def test_remarks_become_findings_one_by_one():
    log = FindingLog("Batteries", 2)
    log.remark((note("a."), note("b.", "c.")), Spot(2, 1))
    assert [("a.", "A2"), ("b.", "A2")] == [(one.message, one.cell) for one in log.found]
    assert "c." == log.found[1].hint
