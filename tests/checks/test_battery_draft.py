from intake.checks.battery_draft import GROUP_SIZES, BatteryDraft
from intake.checks.find_columns import FoundColumn
from intake.checks.list_rows import RowPlace
from intake.model.battery import Battery, Chemistry, HoldReading
from intake.policy.dictionary import load_dictionary
from tests.checks.builders import column, log


def draft(**values):
    found = FoundColumn(column("batteries", "rest_voltage_v"), 4, None)
    row = RowPlace(9, ("rest_voltage_v",), {"rest_voltage_v": found})
    return BatteryDraft(row, "B-1", chemistry=Chemistry.AGM, values={"case": "sound", **values})


def test_a_draft_without_more_than_its_row_is_a_bare_battery():
    assert Battery("B-1", 9, Chemistry.AGM, "sound") == draft().finished()


def test_what_is_no_field_of_a_battery_stays_behind():
    assert Battery("B-1", 9, Chemistry.AGM, "sound") == draft(hold_start_v=13.0).finished()


def test_hold_readings_are_sorted_by_hour():
    one = draft()
    one.hold = [HoldReading(12.0, 12.8), HoldReading(0.5, 13.0), HoldReading(3.0, 12.9)]
    assert [0.5, 3.0, 12.0] == [reading.after_charge_h for reading in one.finished().hold_readings]


def test_gravities_and_cells_are_whole_or_none():
    gravities = {f"specific_gravity {place}": 1.2 + place / 100 for place in range(1, 7)}
    cells = {f"cell_voltages_v {place}": 3.3 for place in range(1, 5)}
    whole = draft(**gravities, **cells).finished()
    assert ((1.21, 1.22, 1.23, 1.24, 1.25, 1.26), (3.3, 3.3, 3.3, 3.3)) == (
        whole.specific_gravity,
        whole.cell_voltages_v,
    )
    del gravities["specific_gravity 4"], cells["cell_voltages_v 1"]
    partial = draft(**gravities, **cells).finished()
    assert ((), ()) == (partial.specific_gravity, partial.cell_voltages_v)


def test_the_groups_are_as_large_as_the_dictionary_has_them():
    keys = [one.key for one in load_dictionary().sheets["batteries"].columns if one.place]
    assert GROUP_SIZES == {key: keys.count(key) for key in keys}


def test_a_failure_is_a_finding_and_stands_beside_the_battery():
    one, findings = draft(), log()
    one.fail("It is wrong.", "Mend it.", one.row.spot("rest_voltage_v", "B-1"), findings)
    assert ("Rest voltage (V), Batteries!D9: It is wrong.",) == one.finished().row_errors
    assert ["D9"] == [found.cell for found in findings.found]


def test_given_asks_for_the_cell_and_not_for_its_value():
    assert draft().given("rest_voltage_v")
    assert not draft(mass_kg=3.0).given("mass_kg")
