import pytest

from intake.model.battery import Batch, Battery, Chemistry, HoldReading, Price, Recovery, Use
from intake.policy.dictionary import Column, Form, load_dictionary
from intake.policy.rule_data import load_rules

SHEETS = load_dictionary().sheets


def column(sheet, key, place=None):
    (found,) = (one for one in SHEETS[sheet].columns if (one.key, one.place) == (key, place))
    return found


def of_the_contract(sheet, headers):
    """Return the contract's headers in the dictionary's order; a column that was added may stand anywhere."""
    return [one.header for one in SHEETS[sheet].columns if one.header in headers.split("|")]


def test_the_sheets_stand_in_the_order_of_the_input_contract():
    expected = [
        ("batch", "Batch", True),
        ("batteries", "Batteries", True),
        ("hold_readings", "Hold readings", False),
        ("prices", "Prices", False),
    ]
    assert expected == [(one.key, one.name, one.needed) for one in SHEETS.values()]
    assert [] == [one.key for one in SHEETS.values() if not one.help]


def test_the_dictionary_is_read_once():
    assert load_dictionary() is load_dictionary()


def test_the_headers_of_batteries_are_those_of_the_input_contract():
    expected = (
        "Tag|Chemistry|Case|"
        "Rest voltage (V)|Rested (h)|Rest began|Rest read at|Temperature (°C)|Rated capacity (Ah)|"
        "Terminals|Position|Use|Under recall|Recovery|BMS reset tried|"
        "Charge ended|Hold start (V)|Hold start after (h)|Hold start read at|"
        "Hold end (V)|Hold end after (h)|Hold end read at|Hold temperature (°C)|Charge returned (Ah)|"
        "Load current (A)|Load time (s)|Load voltage (V)|Rated CCA (A)|CCA standard|Measured CCA (A)|"
        "Delivered capacity (Ah)|Discharge time (h)|Internal resistance (mΩ)|Rated resistance (mΩ)|"
        "SG 1|SG 2|SG 3|SG 4|SG 5|SG 6|Cell 1 (V)|Cell 2 (V)|Cell 3 (V)|Cell 4 (V)|"
        "Made|Mass (kg)|Marking|Case plastic|Non-spillable mark|Note"
    )
    assert expected.split("|") == of_the_contract("batteries", expected)


@pytest.mark.parametrize(
    ("sheet", "headers"),
    [
        (
            "batch",
            (
                "Batch|Site|Received|Received from|Inspector|Read on|Read by|Region|Incoming note|"
                "Incoming carrier|Received at|"
                "Jurisdiction|Consignee|Ship date|Meter|"
                "Meter accuracy (% of reading)|Meter accuracy (V)|Calibration due|Currency|Note"
            ),
        ),
        ("hold_readings", "Tag|After charge (h)|Read at|Voltage (V)|Temperature (°C)|Read by"),
        (
            "prices",
            (
                "Chemistry|From (Ah)|To (Ah)|"
                "Resale price|Scrap price per kg|Recondition cost|Charge cost|Disposal cost"
            ),
        ),
    ],
)
def test_the_headers_of_the_other_sheets_are_those_of_the_input_contract(sheet, headers):
    assert headers.split("|") == of_the_contract(sheet, headers)


def test_what_is_needed_is_what_the_input_contract_says():
    needed = {(sheet.key, one.key) for sheet in SHEETS.values() for one in sheet.columns if one.needed}
    expected = {("batch", key) for key in ("batch", "site", "received", "inspector", "jurisdiction")}
    expected |= {("batteries", key) for key in ("tag", "chemistry", "case")}
    expected |= {("hold_readings", key) for key in ("tag", "after_charge_h", "voltage_v")}
    expected |= {("prices", "chemistry")}
    assert expected == needed


def test_a_grade_rests_on_all_others_of_the_input_contract():
    decisive = {one.key for one in SHEETS["batteries"].columns if one.decisive}
    assert 33 <= len(decisive)
    assert {"tag", "case", "under_recall", "rest_voltage_v", "hold_end_v", "specific_gravity"} <= decisive


def test_no_grade_rests_on_the_columns_that_the_input_contract_lists_as_such():
    expected = {
        "made",
        "mass_kg",
        "marking",
        "position",
        "case_plastic",
        "non_spillable_mark",
        "cca_standard",
        "charge_returned_ah",
        "note",
    }
    assert expected <= {one.key for one in SHEETS["batteries"].columns if not one.decisive}


@pytest.mark.parametrize(
    ("sheet", "key", "unit", "minimum", "exclusive_minimum", "maximum"),
    [
        ("batch", "meter_accuracy_percent", "%", 0, None, 5),
        ("batch", "meter_accuracy_volts", "V", 0, None, 1),
        ("batteries", "rated_capacity_ah", "Ah", None, 0, 300),
        ("batteries", "rated_cca_a", "A", None, 0, 2000),
        ("batteries", "mass_kg", "kg", None, 0, 100),
        ("batteries", "rest_voltage_v", "V", -20, None, 20),
        ("batteries", "rested_h", "h", 0, None, 10_000),
        ("batteries", "temperature_c", "°C", -60, None, 90),
        ("batteries", "hold_temperature_c", "°C", -60, None, 90),
        ("batteries", "hold_start_v", "V", 0, None, 15),
        ("batteries", "hold_end_v", "V", 0, None, 15),
        ("batteries", "charge_returned_ah", "Ah", 0, None, None),
        ("batteries", "load_current_a", "A", None, 0, None),
        ("batteries", "load_time_s", "s", None, 0, None),
        ("batteries", "measured_cca_a", "A", 0, None, None),
        ("batteries", "delivered_capacity_ah", "Ah", 0, None, None),
        ("batteries", "discharge_time_h", "h", None, 0, None),
        ("batteries", "internal_resistance_mohm", "mΩ", None, 0, None),
        ("batteries", "rated_resistance_mohm", "mΩ", None, 0, None),
        ("hold_readings", "voltage_v", "V", 0, None, 15),
    ],
)
def test_a_number_has_the_limits_of_the_input_contract(sheet, key, unit, minimum, exclusive_minimum, maximum):
    found = column(sheet, key)
    assert (Form.NUMBER, unit, minimum, exclusive_minimum, maximum) == (
        found.form,
        found.unit,
        found.minimum,
        found.exclusive_minimum,
        found.maximum,
    )


@pytest.mark.parametrize(
    ("sheet", "key", "choices"),
    [
        ("batteries", "cca_standard", "SAE EN IEC DIN JIS"),
        ("batteries", "case_plastic", "PP other unknown"),
        ("batteries", "non_spillable_mark", "yes no"),
        ("batteries", "under_recall", "yes no"),
        ("batteries", "case", "sound scuffed dented cracked leaking swollen burnt"),
        ("batteries", "terminals", "sound corroded loose broken"),
        ("batteries", "bms_reset_tried", "yes no"),
    ],
)
def test_a_choice_offers_what_the_input_contract_offers(sheet, key, choices):
    found = column(sheet, key)
    assert (Form.CHOICE, tuple(choices.split())) == (found.form, found.choices)


@pytest.mark.parametrize("sheet", ["batteries", "prices"])
def test_the_chemistries_are_those_of_the_model(sheet):
    assert [one.value for one in Chemistry] == list(column(sheet, "chemistry").choices)


@pytest.mark.parametrize(("key", "record"), [("use", Use), ("recovery", Recovery)])
def test_use_and_recovery_are_those_of_the_model(key, record):
    assert [one.value for one in record] == list(column("batteries", key).choices)


@pytest.mark.parametrize(
    ("key", "count", "form"), [("specific_gravity", 6, "SG"), ("cell_voltages_v", 4, "V")]
)
def test_columns_that_share_a_key_are_counted_from_one(key, count, form):
    found = [one for one in SHEETS["batteries"].columns if one.key == key]
    assert list(range(1, count + 1)) == [one.place for one in found]
    assert {form} == {one.unit for one in found}
    assert count == len({one.header for one in found})


def test_a_column_of_its_own_has_no_place():
    assert column("batteries", "tag").place is None


def test_a_text_carries_its_pattern_length_aliases_synonyms_and_example():
    tag = column("batteries", "tag")
    assert (Form.IDENTIFIER, "^[A-Za-z0-9._-]{1,32}$", 32) == (tag.form, tag.pattern, tag.max_length)
    assert "Battery tag" in tag.aliases
    assert "wet" in column("batteries", "chemistry").synonyms["flooded"]
    assert column("batteries", "rest_voltage_v").example
    assert {} == column("batteries", "note").synonyms


def test_a_bare_column_has_no_limits():
    bare = Column(key="k", header="K", form=Form.TEXT, help="h")
    assert ((), None, False, False, None, (), {}) == (
        bare.aliases,
        bare.unit,
        bare.needed,
        bare.decisive,
        bare.maximum,
        bare.choices,
        bare.synonyms,
    )


def test_every_synonym_stands_beside_a_choice_that_is_there_and_means_one_thing():
    for sheet in SHEETS.values():
        for one in sheet.columns:
            assert set(one.synonyms) <= set(one.choices), one.key
            words = [word.casefold() for known in one.synonyms.values() for word in known]
            assert len(words) == len(set(words)), one.key


def test_no_header_or_alias_of_a_sheet_stands_for_two_columns():
    for sheet in SHEETS.values():
        names = [name.casefold() for one in sheet.columns for name in (one.header, *one.aliases)]
        assert len(names) == len(set(names)), sheet.key


def test_every_key_is_a_field_of_a_record():
    joined = {f"hold_{end}_{what}" for end in ("start", "end") for what in ("v", "after_h", "read_at")}
    for sheet, record, others in (
        ("batch", Batch, set()),
        ("batteries", Battery, joined),
        ("hold_readings", HoldReading, {"tag"}),
        ("prices", Price, set()),
    ):
        keys = {one.key for one in SHEETS[sheet].columns}
        assert keys - others <= set(record._fields), sheet


def test_every_unit_of_a_column_can_be_written_and_stands_for_itself():
    units = load_dictionary().units
    used = {one.unit for sheet in SHEETS.values() for one in sheet.columns if one.unit}
    assert used <= set(units)
    assert {1} == {units[unit][unit] for unit in used}


@pytest.mark.parametrize(
    ("unit", "written", "factor"),
    [
        ("V", "mV", 0.001),
        ("h", "min", 1 / 60),
        ("h", "d", 24),
        ("kg", "lb", 0.45359237),  # by definition: international yard and pound agreement, 1959
        ("kg", "oz", 0.45359237 / 16),
        ("mΩ", "Ω", 1000),
        ("mΩ", "µΩ", 0.001),
        ("A", "kA", 1000),
        ("°C", "°F", "fahrenheit"),
        ("°C", "K", "kelvin"),
    ],
)
def test_a_unit_converts_by_its_definition(unit, written, factor):
    expected = factor if isinstance(factor, str) else pytest.approx(factor)
    assert expected == load_dictionary().units[unit][written]


def test_the_jurisdictions_to_choose_from_are_those_that_have_a_file():
    found = column("batch", "jurisdiction")
    rules = load_rules()

    assert tuple(rules) == found.choices
    assert {key: one.synonyms for key, one in rules.items()} == found.synonyms
    assert {"US", "EU", "UK", "other"} <= set(found.choices)
