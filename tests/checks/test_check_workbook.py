import pytest

from intake.checks import finding_log
from intake.checks.cells.dates import DateOrder
from intake.checks.check_workbook import batch_name
from intake.model.battery import Chemistry
from intake.model.finding import Severity
from intake.model.raw_workbook import RawWorkbook
from tests.changed import replace
from tests.checks.builders import (
    BATCH,
    GOOD,
    POLICY,
    batch_sheet,
    check,
    check_rows,
    error_cell,
    grid,
    listed,
    told,
    unsaved_formula,
    workbook,
)


def book(*sheets):
    return RawWorkbook("t.xlsx", "0" * 64, sheets)


def test_a_clean_workbook_gives_its_batch_and_no_finding():
    checked = check_rows(GOOD, {**GOOD, "Tag": "B-2", "Chemistry": "LFP", "Rest voltage (V)": 13.2})
    assert checked.batch is not None
    assert () == checked.findings
    assert "T-1" == checked.batch.batch
    assert [("B-1", Chemistry.FLOODED), ("B-2", Chemistry.LFP)] == [
        (one.tag, one.chemistry) for one in checked.batch.batteries
    ]


def test_an_empty_workbook_lacks_both_needed_sheets():
    checked = check(book())
    assert checked.batch is None
    assert ['The sheet "Batch" is missing.', 'The sheet "Batteries" is missing.'] == [
        one.message for one in checked.findings
    ]
    assert [True, True] == [one.rejects for one in checked.findings]
    assert ["workbook", "workbook"] == [one.place for one in checked.findings]


def test_a_missing_sheet_does_not_hide_the_findings_of_the_other():
    checked = check(book(listed("Batteries", [{**GOOD, "Case": "x"}])))
    assert ["", "Batteries"] == [one.sheet for one in checked.findings]
    checked = check(book(batch_sheet({**BATCH, "Site": None})))
    assert ["", "Batch"] == [one.sheet for one in checked.findings]


def test_sheet_names_ignore_case_and_blanks():
    checked = check(book(replace(batch_sheet(), name=" BATCH"), listed("batteries ", [GOOD])))
    assert checked.batch is not None
    assert () == checked.findings


def test_other_sheets_are_ignored_with_one_note_but_guide_and_findings_without():
    more = [
        grid("Guide", [["Tag"]]),
        grid("findings", [["Tag"]]),
        grid("Shift plan", [["x"]]),
        grid("Sheet3", []),
    ]
    checked = check(workbook(more=more))
    assert [("note", "workbook", "")] == told(checked.findings)
    assert 'Ignored, as their names are not known: "Shift plan", "Sheet3".' == checked.findings[0].message
    assert checked.batch is not None


def test_a_second_sheet_of_a_known_name_is_ignored_by_name():
    checked = check(workbook(more=[listed("BATTERIES", [{**GOOD, "Tag": "B-2"}])]))
    assert checked.batch is not None
    assert ["B-1"] == [one.tag for one in checked.batch.batteries]
    assert '"BATTERIES"' in checked.findings[0].message


@pytest.mark.parametrize(
    "lines", [[], [["Tag", "Chemistry", "Case"]], [["Tag", "Chemistry", "Case"], [], [" "]]]
)
def test_no_battery_at_all_rejects(lines):
    checked = check(book(batch_sheet(), grid("Batteries", lines)))
    assert checked.batch is None
    assert ["The sheet holds no battery."] == [one.message for one in checked.findings]


def test_batteries_without_headers_reject_once():
    checked = check(book(batch_sheet(), grid("Batteries", [["B-1", "AGM", "sound"]])))
    assert checked.batch is None
    assert 1 == len(checked.findings)


@pytest.mark.parametrize("header", ["Tag", "Chemistry", "Case"])
def test_a_missing_needed_column_rejects_once_and_not_row_by_row(header):
    rows = [
        {key: value for key, value in {**GOOD, "Tag": tag}.items() if key != header} for tag in ("B-1", "B-2")
    ]
    checked = check_rows(*rows)
    assert checked.batch is None
    assert [("error", "Batteries", header)] == told(checked.findings)


def test_an_empty_sheet_of_hold_readings_does_no_harm():
    assert () == check(workbook(more=[grid("Hold readings", [])])).findings


def test_hold_readings_without_headers_reject():
    checked = check(workbook(more=[grid("Hold readings", [["B-1", 3, 12.9]])]))
    assert checked.batch is None
    assert [("error", "Hold readings", "")] == told(checked.findings)


def test_hidden_rows_are_noted_and_kept():
    sheet = listed("Batteries", [GOOD, {**GOOD, "Tag": "B-2"}], hidden_rows=frozenset({3}), filtered=True)
    checked = check(book(batch_sheet(), sheet))
    assert checked.batch is not None
    assert 2 == len(checked.batch.batteries)
    assert ["1 row is hidden by a filter; it still counts."] == [one.message for one in checked.findings]


def test_findings_come_in_sheet_order_whatever_the_order_of_the_checks():
    """Batteries stands before Batch here; rows from the top, cells from the left."""
    rows = [
        {**GOOD, "Tag": "B-1", "Made": "2019", "Rested (h)": "long"},
        {**GOOD, "Tag": "B-2", "Case": "x"},
        {**GOOD, "Tag": "B-1", "Chemistry": "x"},
    ]
    checked = check(
        book(
            grid("Ours", [["x"]]),
            listed("Batteries", rows),
            batch_sheet({**BATCH, "Site": None}),
            listed("Hold readings", [{"Tag": "B-9", "After charge (h)": 1, "Voltage (V)": 13}]),
        )
    )
    assert [
        "workbook",
        "Batteries!A2",
        "Batteries!E2",
        "Batteries!G2",
        "Batteries!C3",
        "Batteries!A4",
        "Batteries!B4",
        "Batch!B2",
        "Hold readings!A2",
    ] == [one.place for one in checked.findings]


def test_at_most_one_finding_stands_for_a_cause_at_a_cell():
    checked = check_rows({**GOOD, "Rest voltage (V)": "1,234", "Made": "03/04/21"})
    places = [one.place for one in checked.findings]
    assert sorted(set(places)) == sorted(places)


def test_a_sheet_as_people_type_it_names_the_one_wrong_cell():
    """Decimal commas, units, months, blank and filtered rows, a title, synonyms; one figure is two-way."""
    lines = [
        ["Returns of week 47"],
        [],
        [
            "tag ",
            "Technology",
            "CASE",
            "Rest  voltage",
            "Rested (hours)",
            "Temp",
            "Made",
            "Rated Ah",
            "Weight",
            "Rack",
        ],
        ["B-001", "wet", "OK", "12,43", "24", "18,5", "March 2021", "60", "15,2 kg", "3"],
        [],
        ["B-002", "VRLA AGM", "Scuffed", "12430 mV", "30 min", "77 °F", "03/2022", "70 Ah", "33 lb"],
        [None, " ", "\u00a0"],
        ["B-003", "LiFePO4", "sound", "13,21\u00a0V", "48 h", "20", 2023, "100"],
        ["B-004", "Flooded-Sealed", "sound", "12,610", "24", "19", "2024-05", "45"],
        [],
    ]
    checked = check(book(batch_sheet(), grid("Batteries", lines)))
    assert [("error", "Batteries!D9", "Rest voltage (V)")] == told(checked.findings, Severity.ERROR)
    assert [("warning", "Batteries!G4", "Made")] == told(checked.findings, Severity.WARNING)  # its age
    assert ["J3", "D6", "E6", "F6", "I6"] == [
        one.cell for one in checked.findings if one.severity is Severity.NOTE
    ]
    assert checked.batch is not None
    assert [12.43, 12.43, 13.21, None] == [one.rest_voltage_v for one in checked.batch.batteries]
    assert [24.0, 0.5, 48.0, 24.0] == [one.rested_h for one in checked.batch.batteries]
    assert [18.5, 25.0, 20.0, 19.0] == [one.temperature_c for one in checked.batch.batteries]
    assert ["2021-03", "2022-03", "2023", "2024-05"] == [
        one.made.text for one in checked.batch.batteries if one.made
    ]
    assert [0, 0, 0, 1] == [len(one.row_errors) for one in checked.batch.batteries]


def test_the_date_order_reaches_the_rows():
    checked = check(workbook({**GOOD, "Made": "03/04/2022"}), date_order=DateOrder.MONTH_FIRST)
    assert checked.batch is not None
    made = checked.batch.batteries[0].made
    assert made is not None
    assert "2022-03-04" == made.text


def test_every_finding_says_what_to_do():
    row = {
        **GOOD, "Made": "x", "Rested (h)": error_cell(), "Mass (kg)": unsaved_formula(), "Hold end (V)": 12.8,
        "Terminals": "x", "SG 1": 1.2, "Cell 1 (V)": 3, "Ours": 1,
    }  # fmt: skip
    checked = check_rows(
        row, batch={**BATCH, "Ship date": "x"}, hold=[{"Tag": "x"}], prices=[{"Chemistry": "x"}]
    )
    assert len(checked.findings) >= 9
    assert all(one.message.endswith(".") and one.hint.endswith(".") for one in checked.findings)


def test_a_sheet_with_too_many_findings_rejects_the_workbook_and_is_read_no_further(monkeypatch):
    monkeypatch.setattr(finding_log, "FINDINGS_MOST", 3)
    bad = {**GOOD, "Rest voltage (V)": "dead"}
    three = check_rows(*({**bad, "Tag": f"B-{n}"} for n in range(3)))
    assert three.batch is not None
    assert 3 == len(three.findings)
    four = check_rows(*({**bad, "Tag": f"B-{n}"} for n in range(4)))
    assert four.batch is None
    assert 4 == len(four.findings)
    assert four.findings[0].rejects
    assert "findings on one sheet; it was read no further." in four.findings[0].message


def test_a_first_look_at_the_name_of_a_batch_sheet_with_too_many_findings_gives_none(monkeypatch):
    raw = workbook(batch={**BATCH, "Ours 1": "x", "Ours 2": "x"})
    assert "T-1" == batch_name(raw, policy=POLICY)
    monkeypatch.setattr(finding_log, "FINDINGS_MOST", 1)
    assert batch_name(raw, policy=POLICY) is None


def test_a_first_look_at_a_workbook_without_a_batch_sheet_gives_no_name():
    raw = workbook()
    assert batch_name(replace(raw, sheets=raw.sheets[1:]), policy=POLICY) is None
