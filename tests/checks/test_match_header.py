import pytest

from intake.checks.match_header import match_header
from intake.policy.dictionary import load_dictionary

SHEETS = load_dictionary().sheets


def keys(text, sheet="batteries"):
    return [column.key for column in match_header(text, SHEETS[sheet]).columns]


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Rest voltage (V)", "rest_voltage_v"),
        ("rest  VOLTAGE", "rest_voltage_v"),
        ("\u00a0Rest\nvoltage (v) ", "rest_voltage_v"),
        ("Rest voltage[V]", "rest_voltage_v"),
        ("Rest voltage（V）", "rest_voltage_v"),
        ("Rest voltage ()", "rest_voltage_v"),
        ("OCV", "rest_voltage_v"),
        ("ocv (V)", "rest_voltage_v"),
        ("Weight", "mass_kg"),
        ("weight (kg)", "mass_kg"),
        ("Temperature (℃)", "temperature_c"),
        ("TAG", "tag"),
    ],
)
def test_a_header_is_known_whatever_its_case_blanks_and_unit(text, key):
    match = match_header(text, SHEETS["batteries"])
    assert ([key], None, "") == ([one.key for one in match.columns], match.unit, match.ignored_bracket)


@pytest.mark.parametrize(
    "text", ["", "Voltage at rest", "Rest voltage (V) (shed)", "SG", "SG 7", "(V)", "Price"]
)
def test_another_header_is_unknown(text):
    assert [] == keys(text)


def test_every_header_and_alias_means_its_own_column():
    for sheet in load_dictionary().sheets.values():
        for column in sheet.columns:
            for text in (column.header, *column.aliases):
                match = match_header(text, sheet)
                assert ((column,), None, "") == (match.columns, match.unit, match.ignored_bracket)


def test_numbered_columns_are_told_apart():
    (third,) = match_header("sg 3", SHEETS["batteries"]).columns
    (fourth,) = match_header("Cell 4", SHEETS["batteries"]).columns
    assert [("specific_gravity", 3), ("cell_voltages_v", 4)] == [
        (one.key, one.place) for one in (third, fourth)
    ]


@pytest.mark.parametrize(
    ("text", "unit"),
    [("Rest voltage (mV)", "mV"), ("Temperature (°F)", "°F"), ("Mass (lb)", "lb"), ("Weight (lbs)", "lbs")],
)
def test_another_unit_in_the_brackets_is_the_unit_of_plain_numbers(text, unit):
    match = match_header(text, SHEETS["batteries"])
    assert match.unit is not None
    assert (unit, "") == (match.unit.name, match.ignored_bracket)


@pytest.mark.parametrize("text", ["Rest voltage (volts)", "Rested (hours)", "Cell 1 (volt)"])
def test_another_name_of_the_same_unit_changes_nothing(text):
    match = match_header(text, SHEETS["batteries"])
    assert (1, None, "") == (len(match.columns), match.unit, match.ignored_bracket)


@pytest.mark.parametrize(
    ("text", "bracket"),
    [
        ("Rest voltage (A)", "A"),
        ("Rest voltage (MV)", "MV"),
        ("Internal resistance (MΩ)", "MΩ"),
        ("Tag (painted)", "painted"),
        ("Rest voltage (shed)", "shed"),
    ],
)
def test_brackets_that_are_not_understood_are_ignored_by_name(text, bracket):
    match = match_header(text, SHEETS["batteries"])
    assert (1, None, bracket) == (len(match.columns), match.unit, match.ignored_bracket)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Meter accuracy (% of reading)", ["meter_accuracy_percent"]),
        ("meter accuracy (% OF Reading)", ["meter_accuracy_percent"]),
        ("Meter accuracy (%)", ["meter_accuracy_percent"]),
        ("Meter accuracy (V)", ["meter_accuracy_volts"]),
        ("Meter accuracy (mV)", ["meter_accuracy_volts"]),
        ("Meter accuracy", ["meter_accuracy_percent", "meter_accuracy_volts"]),
        ("Meter accuracy (counts)", ["meter_accuracy_percent", "meter_accuracy_volts"]),
    ],
)
def test_the_two_meter_accuracies_are_told_apart_by_their_brackets(text, expected):
    match = match_header(text, SHEETS["batch"])
    assert expected == [column.key for column in match.columns]
    assert "" == match.ignored_bracket


def test_a_meter_accuracy_in_millivolts_is_converted():
    unit = match_header("Meter accuracy (mV)", SHEETS["batch"]).unit
    assert unit is not None
    assert "mV" == unit.name
