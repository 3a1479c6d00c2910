import pytest

from intake.checks.find_columns import find_columns, slot
from intake.model.finding import Severity
from intake.policy.dictionary import load_dictionary
from tests.checks.builders import column, grid, log, told

BATTERIES = load_dictionary().sheets["batteries"]
HOLD = load_dictionary().sheets["hold_readings"]
PRICES = load_dictionary().sheets["prices"]
NEEDED = ["Tag", "Chemistry", "Case"]


def find(lines, wanted=BATTERIES, *, required=True):
    found_log = log(wanted.name)
    return find_columns(grid(wanted.name, lines), wanted, found_log, required=required), found_log.found


def test_columns_are_found_in_any_order_without_a_word():
    columns, findings = find([["Case", None, "Rest voltage (V)", "SG 2", "Tag", "Chemistry"]])
    assert columns is not None
    assert [] == findings
    assert 1 == columns.header_row
    assert {"case": 1, "rest_voltage_v": 3, "specific_gravity 2": 4, "tag": 5, "chemistry": 6} == {
        key: one.number for key, one in columns.by_slot.items()
    }


def test_a_slot_tells_columns_of_one_key_apart():
    assert "tag" == slot(column("batteries", "tag"))
    assert "specific_gravity 6" == slot(column("batteries", "specific_gravity", 6))


@pytest.mark.parametrize("row", [1, 2, 20])
def test_the_header_row_is_the_first_with_the_tag_down_to_row_twenty(row):
    above = [["Yard 2: Case and chemistry"]] + [["Case", "Chemistry"]] * 18
    columns, findings = find([*above[: row - 1], NEEDED, ["Tag"]])
    assert columns is not None
    assert (row, []) == (columns.header_row, findings)


def test_below_row_twenty_no_header_is_looked_for():
    columns, findings = find([*[["title"]] * 20, NEEDED])
    assert columns is None
    (found,) = findings
    assert found.rejects
    assert 'No row of the first 20 holds the header "Tag".' == found.message


def test_an_empty_sheet_has_no_header_row():
    assert find([])[0] is None


def test_each_unknown_header_is_noted_once_at_its_cell():
    _, findings = find([[*NEEDED, "Ticket no.", 7]])
    assert [("note", "Batteries!D1", ""), ("note", "Batteries!E1", "")] == told(findings)
    assert ['"Ticket no."', '"7"'] == [one.message.split("header ")[1].split(" is")[0] for one in findings]


def test_a_header_that_stands_twice_rejects_and_names_both_cells():
    columns, findings = find([[*NEEDED, "OCV", "Rest voltage (mV)"]])
    (found,) = findings
    assert columns is not None
    assert 4 == columns.by_slot["rest_voltage_v"].number
    assert (True, "E1", "Rest voltage (V)") == (found.rejects, found.cell, found.field)
    assert "appears twice: in D1 and in E1" in found.message


@pytest.mark.parametrize("missing", NEEDED)
def test_a_needed_column_that_is_missing_rejects_once_with_the_candidates(missing):
    others = [header for header in NEEDED if header != missing]
    columns, findings = find([["title"], [*others, "Etiquette", "Remark"]])
    assert columns is not None
    rejecting = [one for one in findings if one.rejects]
    assert [("error", "Batteries", missing)] == told(rejecting)
    assert f'The column "{missing}" is missing. Headers that are not known: "Etiquette" (C2).' == (
        rejecting[0].message
    )


def test_without_unknown_headers_no_candidates_are_named():
    _, findings = find([["Tag", "Case"]])
    assert ['The column "Chemistry" is missing.'] == [one.message for one in findings]


def test_without_a_tag_the_row_with_most_headers_is_the_header_row():
    columns, _ = find([["Case"], ["Chemistry", "Case", "Made"], ["Case", "Chemistry"]])
    assert columns is not None
    assert 2 == columns.header_row


def test_a_missing_column_of_hold_readings_rejects_too():
    _, findings = find([["Tag", "Voltage (V)"]], HOLD)
    assert [("error", "Hold readings", "After charge (h)")] == told(findings)
    assert findings[0].rejects


def test_a_sheet_that_is_not_required_is_left_unused_with_a_warning():
    _, findings = find([["Resale price"]], PRICES, required=False)
    (found,) = findings
    assert (Severity.WARNING, False) == (found.severity, found.rejects)
    assert 'The column "Chemistry" is missing. The sheet is not used.' == found.message
    columns, findings = find([["x"]], PRICES, required=False)
    assert columns is None
    assert [("warning", "Prices", "")] == told(findings)


def test_a_header_in_another_unit_is_noted_once():
    columns, findings = find([[*NEEDED, "Temperature (°F)"]])
    assert columns is not None
    unit = columns.by_slot["temperature_c"].header_unit
    assert unit is not None
    assert "°F" == unit.name
    assert [("note", "Batteries!D1", "Temperature (°C)")] == told(findings)
    assert 'taken as °F, as "Temperature (°F)" says, and converted to °C.' in findings[0].message


def test_brackets_that_are_not_understood_are_noted():
    _, findings = find([["Tag (painted)", "Chemistry", "Case", "Rest voltage (shed)"]])
    assert [
        '"painted" in the brackets of "Tag (painted)" is ignored.',
        '"shed" in the brackets of "Rest voltage (shed)" is ignored; numbers are taken as V.',
    ] == [one.message for one in findings]
