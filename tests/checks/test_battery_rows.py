from datetime import date

import pytest

from intake.checks.battery_rows import for_chemistry
from intake.model.battery import Battery, Chemistry
from intake.model.like_findings import gather_like
from tests.checks.builders import GOOD, LFP, cell, check_rows, column, error_cell, told, unsaved_formula

GRAVITIES = {f"SG {place}": 1.26 for place in range(1, 7)}
CELLS = {f"Cell {place} (V)": 3.3 for place in range(1, 5)}


def only(checked):
    assert checked.batch is not None, checked.findings
    (battery,) = checked.batch.batteries
    return battery


def test_a_row_becomes_a_battery_with_every_column_in_its_place():
    row = {
        "Tag": "B-1", "Chemistry": "wet", "Rated capacity (Ah)": 60, "Rated CCA (A)": 540,
        "CCA standard": "en",
        "Mass (kg)": 15.2, "Made": "2024-03", "Marking": "12 V", "Position": "A1", "Case plastic": "pp",
        "Non-spillable mark": "yes", "Under recall": "no", "Case": "ok", "Terminals": "sound",
        "Rest voltage (V)": 12.65, "Rested (h)": 24, "Temperature (°C)": 25, "Hold temperature (°C)": 20,
        "Charge returned (Ah)": 30, "Load current (A)": 270, "Load time (s)": 15, "Load voltage (V)": 10.2,
        "Measured CCA (A)": 500, "Delivered capacity (Ah)": 50, "Discharge time (h)": 20,
        "Internal resistance (mΩ)": 6, "Rated resistance (mΩ)": 5, "Note": "=stored", **GRAVITIES,
    }  # fmt: skip
    checked = check_rows(row)
    battery = only(checked)
    assert battery.made is not None
    assert "2024-03" == battery.made.text
    expected = Battery(
        tag="B-1", row=2, chemistry=Chemistry.FLOODED, case="sound", terminals="sound", rated_capacity_ah=60,
        rated_cca_a=540, cca_standard="EN", mass_kg=15.2, made=battery.made, marking="12 V", position="A1",
        case_plastic="PP", non_spillable_mark=True, under_recall=False, rest_voltage_v=12.65, rested_h=24,
        temperature_c=25, hold_temperature_c=20, charge_returned_ah=30, load_current_a=270, load_time_s=15,
        load_voltage_v=10.2, measured_cca_a=500, delivered_capacity_ah=50, discharge_time_h=20,
        internal_resistance_mohm=6, rated_resistance_mohm=5, specific_gravity=(1.26,) * 6, note="=stored",
    )  # fmt: skip
    assert (expected, ()) == (battery, checked.findings)


def test_the_unit_of_a_header_counts_for_the_figures_under_it():
    row = {key: value for key, value in GOOD.items() if key != "Rest voltage (V)"}
    assert 12.65 == only(check_rows({**row, "Rest voltage (mV)": 12650})).rest_voltage_v


def test_blank_cells_take_their_documented_meaning():
    battery = only(check_rows({"Tag": "B-1", "Chemistry": "AGM", "Case": "sound"}))
    assert Battery("B-1", 2, Chemistry.AGM, "sound") == battery
    assert ("unknown", False, None) == (
        battery.case_plastic,
        battery.non_spillable_mark,
        battery.under_recall,
    )


@pytest.mark.parametrize("value", ["twelve", error_cell(), unsaved_formula(), 21, "1,234", date(2012, 6, 5)])
def test_an_unreadable_value_that_a_grade_rests_on_is_a_row_error(value):
    checked = check_rows({**GOOD, "Rest voltage (V)": value})
    battery = only(checked)
    assert [("error", "Batteries!D2", "Rest voltage (V)")] == told(checked.findings)
    (found,) = checked.findings
    assert ("B-1", False) == (found.tag, found.rejects)
    assert (f"Rest voltage (V), Batteries!D2: {found.message}",) == battery.row_errors
    assert (None, 24.0) == (battery.rest_voltage_v, battery.rested_h)


@pytest.mark.parametrize(
    ("header", "value"),
    [
        ("Made", "long ago"),
        ("Mass (kg)", "heavy"),
        ("CCA standard", "ours"),
        ("Case plastic", "wood"),
        ("Non-spillable mark", "maybe"),
        ("Charge returned (Ah)", -1),
        ("Marking", error_cell()),
        ("Position", unsaved_formula()),
        ("Note", error_cell()),
    ],
)
def test_an_unreadable_value_that_no_grade_rests_on_is_left_blank_with_a_warning(header, value):
    """The columns are those that the input contract lists."""
    checked = check_rows({**GOOD, header: value})
    battery = only(checked)
    assert [("warning", "Batteries!G2", header)] == told(checked.findings)
    assert checked.findings[0].message.endswith("The value is left blank.")
    assert only(check_rows(GOOD)) == battery


@pytest.mark.parametrize("value", ["wod", None])
def test_a_chemistry_that_is_not_readable_or_blank_is_a_row_error_and_unknown(value):
    checked = check_rows({**GOOD, "Chemistry": value})
    battery = only(checked)
    assert [("error", "Batteries!B2", "Chemistry")] == told(checked.findings)
    assert Chemistry.UNKNOWN is battery.chemistry
    assert 1 == len(battery.row_errors)


@pytest.mark.parametrize("value", ["dropped", None])
def test_a_case_that_is_not_readable_or_blank_is_a_row_error(value):
    checked = check_rows({**GOOD, "Case": value})
    assert [("error", "Batteries!C2", "Case")] == told(checked.findings)
    assert only(checked).case is None


@pytest.mark.parametrize("value", [None, "B 1", True, 7.5])
def test_a_row_without_a_usable_tag_is_named_by_its_row(value):
    checked = check_rows({**GOOD, "Tag": value, "Rest voltage (V)": "dead"})
    battery = only(checked)
    assert "row 2" == battery.tag
    assert [("error", "Batteries!A2", "Tag"), ("error", "Batteries!D2", "Rest voltage (V)")] == told(
        checked.findings
    )
    assert ["row 2", "row 2"] == [one.tag for one in checked.findings]
    assert 2 == len(battery.row_errors)


def test_a_number_as_tag_is_taken_with_a_note():
    checked = check_rows({**GOOD, "Tag": cell(7, "000")})
    assert "007" == only(checked).tag
    assert [("note", "Batteries!A2", "Tag")] == told(checked.findings)
    assert "007" == checked.findings[0].tag


def test_a_tag_that_stands_more_than_once_is_an_error_in_each_of_its_rows():
    rows = [{**GOOD, "Tag": tag} for tag in ("B-1", "B-2", "b-1", "B-1")]
    checked = check_rows(*rows)
    assert checked.batch is not None
    assert [1, 0, 1, 1] == [len(one.row_errors) for one in checked.batch.batteries]
    assert ['The tag "B-1" stands in A2, A4 and A5.'] * 3 == [one.message for one in checked.findings]


def test_a_tag_that_stands_in_many_rows_names_the_first_few():
    checked = check_rows(*[GOOD] * 9)
    messages = [one.message for one in checked.findings if "stands in" in one.message]
    assert 'The tag "B-1" stands in A2, A3, A4, A5, A6 and 4 more cells.' == messages[0]
    assert messages[0] == messages[8]
    five = [one.message for one in check_rows(*[GOOD] * 5).findings if "stands in" in one.message]
    assert 'The tag "B-1" stands in A2, A3, A4, A5 and A6.' == five[4]


def test_two_rows_of_one_tag_are_told_in_one_line_and_once():
    (group,) = gather_like(check_rows(*[GOOD] * 2).findings)
    assert ('The tag "B-1" stands in A2 and A3.', "Batteries!A2:A3") == (group.message, group.place)


def test_rows_without_tags_are_no_twins():
    checked = check_rows({**GOOD, "Tag": None}, {**GOOD, "Tag": None})
    assert ["A2", "A3"] == [one.cell for one in checked.findings]


@pytest.mark.parametrize("chemistry", ["flooded sealed", "EFB", "AGM", "gel", "LFP", "other", "unknown"])
def test_gravities_count_for_flooded_alone(chemistry):
    checked = check_rows({**GOOD, "Chemistry": chemistry, "SG 2": "bad", **GRAVITIES, "SG 3": "bad"})
    assert [("warning", "Batteries!G2", "SG 2")] == told(checked.findings)
    assert () == only(checked).specific_gravity
    assert f"this one is {chemistry}. It is not used." in checked.findings[0].message


@pytest.mark.parametrize("chemistry", ["flooded", "flooded sealed", "EFB", "AGM", "gel", "other", "unknown"])
def test_cell_voltages_and_the_protection_circuit_count_for_lfp_alone(chemistry):
    checked = check_rows({**GOOD, "Chemistry": chemistry, "BMS reset tried": "yes", **CELLS})
    assert [
        ("warning", "Batteries!G2", "BMS reset tried"),
        ("warning", "Batteries!H2", "Cell 1 (V)"),
    ] == told(checked.findings)
    battery = only(checked)
    assert ((), None) == (battery.cell_voltages_v, battery.bms_reset_tried)


def test_lfp_takes_its_own_columns_without_a_word():
    checked = check_rows({**LFP, "BMS reset tried": False, **CELLS})
    battery = only(checked)
    assert () == checked.findings
    assert ((3.3,) * 4, False) == (battery.cell_voltages_v, battery.bms_reset_tried)


def test_an_unreadable_chemistry_gives_no_second_finding():
    checked = check_rows({**GOOD, "Chemistry": "wod", "BMS reset tried": "x", "SG 1": "y", "Cell 1 (V)": "y"})
    assert [("error", "Batteries!B2", "Chemistry")] == told(checked.findings)


def test_a_hold_voltage_of_lfp_has_a_lower_limit():
    hold = column("batteries", "hold_start_v")
    assert 14.6 == for_chemistry(hold, Chemistry.LFP).maximum
    assert 15 == for_chemistry(hold, Chemistry.AGM).maximum
    rest = column("batteries", "rest_voltage_v")
    assert 20 == for_chemistry(rest, Chemistry.LFP).maximum


@pytest.mark.parametrize(
    ("row", "volts", "wrong"),
    [(LFP, 14.6, False), (LFP, 14.61, True), (GOOD, 15.0, False), (GOOD, 15.01, True), (GOOD, 0, False)],
)
def test_a_hold_voltage_over_the_limit_is_a_row_error(row, volts, wrong):
    checked = check_rows({**row, "Hold start (V)": volts, "Hold start after (h)": 1})
    expected = [("error", "Batteries!G2", "Hold start (V)")] if wrong else []
    assert expected == told(checked.findings)


def test_an_empty_needed_cell_says_what_may_be_written_there():
    checked = check_rows(GOOD | {"Case": None})
    (finding,) = checked.findings
    assert "The cell is empty, and this value is needed." == finding.message
    assert finding.hint.startswith("Fill it in. ")
    assert finding.hint.endswith("One of: sound, scuffed, dented, cracked, leaking, swollen, burnt.")


def test_a_sign_for_nothing_in_a_column_of_figures_counts_as_blank_with_a_note():
    for sign in ("-", "x", "n/a", "none", " N/A ", "—"):
        checked = check_rows({**GOOD, "Load current (A)": sign, "Mass (kg)": sign})
        assert (None, None) == (only(checked).load_current_a, only(checked).mass_kg)
        assert [("note", "Batteries!G2", "Load current (A)"), ("note", "Batteries!H2", "Mass (kg)")] == told(
            checked.findings
        )
        assert ["B-1", "B-1"] == [one.tag for one in checked.findings]


def test_a_sign_for_nothing_stays_an_error_where_a_value_is_needed():
    for row in ({"Case": "-"}, {"Chemistry": "n/a"}):
        assert ["error"] == [one.severity.value for one in check_rows(GOOD | row).findings]
    checked = check_rows(GOOD, hold=[{"Tag": "B-1", "After charge (h)": 1, "Voltage (V)": "-"}])
    assert [("error", "Hold readings!C2", "Voltage (V)")] == told(checked.findings)


@pytest.mark.parametrize(
    ("typed", "amps"),
    [
        ("680 EN", 680),
        ("680EN", 680),
        ("EN 680", 680),
        ("680 A EN", 680),
        ("680A (EN)", 680),
        ("en: 680", 680),
    ],
)
def test_a_standard_beside_a_current_fills_the_empty_column(typed, amps):
    checked = check_rows({**GOOD, "Rated CCA (A)": typed})
    battery = only(checked)
    assert (amps, "EN") == (battery.rated_cca_a, battery.cca_standard)
    assert [("note", "Batteries!G2", "Rated CCA (A)")] == told(checked.findings)


def test_a_standard_beside_a_current_may_say_the_same_as_its_column():
    checked = check_rows({**GOOD, "Rated CCA (A)": "680 EN", "CCA standard": "en"})
    assert ((), "EN") == (checked.findings, only(checked).cca_standard)


def test_two_standards_in_one_row_are_a_warning():
    for more in ({"CCA standard": "SAE"}, {"Measured CCA (A)": "600 SAE"}):
        checked = check_rows({**GOOD, "Rated CCA (A)": "680 EN", **more})
        assert ["warning"] == [one.severity.value for one in checked.findings if "two" in one.message]


@pytest.mark.parametrize("typed", ["680 XY", "EN SAE 680", "EN 680 SAE", "EN", "680 CCA EN"])
def test_what_is_no_current_with_one_standard_is_an_error(typed):
    assert "error" in [one.severity.value for one in check_rows({**GOOD, "Rated CCA (A)": typed}).findings]


def test_a_row_of_words_that_are_no_tag_is_asked_about_once_and_is_no_battery():
    checked = check_rows(GOOD, {"Tag": "layer 2"}, {**GOOD, "Tag": "B-2"})
    assert checked.batch is not None
    assert ["B-1", "B-2"] == [one.tag for one in checked.batch.batteries]
    (found,) = checked.findings
    assert ("error", "A3", "") == (found.severity, found.cell, found.tag)
    assert 'Row 3 holds nothing but "layer 2", which is no tag: a heading?' in found.message
    assert "Clear it, or fill in the row" in found.hint


@pytest.mark.parametrize(
    "row",
    [
        {"Tag": "layer-2"},
        {"Tag": 12},
        {"Tag": error_cell()},
        {"Tag": "layer 2", "Case": "sound"},
        {"Tag": "layer 2", "Note": "see the lorry"},
    ],
)
def test_a_row_that_may_be_a_battery_stays_one(row):
    checked = check_rows(GOOD, row)
    assert checked.batch is not None
    assert [False, True] == [bool(one.row_errors) for one in checked.batch.batteries]


def test_headings_alone_are_no_batch():
    checked = check_rows({**dict.fromkeys(GOOD), "Tag": "layer 1"})
    assert checked.batch is None
    assert any("holds no battery" in one.message for one in checked.findings)
