"""The shipped numbers against the grading contract, written out by hand: an edit shows as a difference."""

import hashlib
import json

import pytest
from jsonschema import Draft202012Validator

from intake.model.battery import Chemistry
from intake.policy.cited import CitedTable, CitedValue, Status
from intake.policy.grading_policy import GradingPolicy, load_grading_policy, shipped_policy_text
from intake.policy.resources import resource, resource_text

LEAD_ACID = ("flooded", "flooded sealed", "EFB", "AGM", "gel")
DOCUMENT = json.loads(shipped_policy_text())


def each_lead_acid(place, value):
    return {f"{place}/{name}": value for name in LEAD_ACID}


CONTRACT = {
    "decision/risk_limit": (0.05, "1"),
    "decision/comparison_decimals": (9, "1"),
    "decision/coverage_factor": (1.96, "1"),
    "meter/assumed_accuracy_percent": (0.5, "%"),
    "meter/assumed_accuracy_volts": (0.02, "V"),
    "meter/better_accuracy_percent": (0.05, "%"),
    "meter/better_accuracy_volts": (0.001, "V"),
    "meter/rectangular_divisor": (3**0.5, "1"),
    "meter/worth_at_v": (12.60, "V"),
    "meter/lfp_plateau_from_percent": (40, "%"),
    "meter/lfp_plateau_to_percent": (70, "%"),
    "temperature/reference_c": (25, "°C"),
    **each_lead_acid("temperature/coefficient_v_per_k", (0.0015, "V/K")),
    "temperature/coefficient_v_per_k/LFP": (0.0007, "V/K"),
    "temperature/unknown_uncertainty_v": (0.015, "V"),
    "temperature/lowest_c": (-20, "°C"),
    "temperature/highest_c": (55, "°C"),
    "temperature/outside_below_c": (10, "°C"),
    "temperature/outside_above_c": (35, "°C"),
    "temperature/outside_uncertainty_v_per_k": (0.0010, "V/K"),
    "open_circuit/table_uncertainty_v/flooded": (0.030, "V"),
    "open_circuit/table_uncertainty_v/flooded sealed": (0.050, "V"),
    "open_circuit/table_uncertainty_v/EFB": (0.050, "V"),
    "open_circuit/table_uncertainty_v/AGM": (0.060, "V"),
    "open_circuit/table_uncertainty_v/gel": (0.060, "V"),
    "open_circuit/table_uncertainty_v/LFP": (0.010, "V"),
    **each_lead_acid("open_circuit/interval_uncertainty_v", (0.090, "V")),
    "open_circuit/interval_uncertainty_v/LFP": (0.010, "V"),
    "rest/assumed_rested_h": (0.5, "h"),
    "rest/shortest_rested_h": (0.5, "h"),
    "rest/lfp_settled_from_h": (3, "h"),
    "rest/lfp_unsettled_uncertainty_v": (0.030, "V"),
    "rest/lfp_settled_uncertainty_v": (0.010, "V"),
    "rest/reversed_at_most_v": (-0.5, "V"),
    "rest/no_voltage_below_v": (0.5, "V"),
    **each_lead_acid("rest/highest_v", (15.0, "V")),
    "rest/highest_v/LFP": (14.6, "V"),
    **each_lead_acid("rest/sound_v", (12.4, "V")),
    "rest/sound_v/LFP": (13.0, "V"),
    "rest/lfp_bms_open_below_v": (6.0, "V"),
    "rest/lfp_deep_below_v": (8.8, "V"),
    "rest/cell_suspect_from_v": (10.2, "V"),
    "rest/cell_suspect_to_v": (10.9, "V"),
    "rest/cell_suspect_from_h": (2, "h"),
    "rest/implausible_rested_from_h": (4, "h"),
    "rest/implausible_above_full_v": (0.40, "V"),
    "rest/unused_sound_v": (11.4, "V"),
    "rest/capacity_shown_from_v": (6.0, "V"),
    "hold/shortest_h": (0.5, "h"),
    "hold/long_from_h": (12, "h"),
    "hold/settled_from_h": (24, "h"),
    "hold/slope_v_per_efold/AGM": (0.055, "V"),
    "hold/slope_v_per_efold/gel": (0.055, "V"),
    "hold/slope_v_per_efold/flooded": (0.040, "V"),
    "hold/slope_v_per_efold/flooded sealed": (0.040, "V"),
    "hold/slope_v_per_efold/EFB": (0.040, "V"),
    "hold/slope_v_per_efold/LFP": (0, "V"),
    "hold/own_slope_ratio": (1.9, "1"),
    "hold/slope_relative_uncertainty": (0.3, "1"),
    "hold/settled_uncertainty_v": (0.010, "V"),
    "hold/high_state_of_charge_percent": (80, "%"),
    "hold/middle_state_of_charge_percent": (60, "%"),
    "hold/cell_down_from_v": (10.2, "V"),
    "hold/cell_down_to_v": (10.9, "V"),
    "hold/cell_down_from_h": (2, "h"),
    "hold/drop_fails_v": (0.100, "V"),
    "hold/drop_high_v": (0.050, "V"),
    "hold/lfp_drop_first_at_most_v": (13.50, "V"),
    "hold/rise_allowance_v": (0.010, "V"),
    "hold/pair_late_from_h": (24, "h"),
    "hold/pair_span_from_h": (24, "h"),
    "hold/pair_early_from_h": (2, "h"),
    "hold/lfp_pair_early_from_h": (3, "h"),
    "hold/pair_ratio": (1.9, "1"),
    "hold/temperature_apart_k": (5, "K"),
    "hold/drop_again_times": (3, "1"),
    "self_discharge/fit_from_h": (2, "h"),
    "self_discharge/fewest_readings": (3, "1"),
    "self_discharge/last_from_h": (96, "h"),
    "self_discharge/common_share": (0.5, "1"),
    "self_discharge/reading_noise_v": (0.002, "V"),
    "self_discharge/leak_fails_v_per_day": (0.0050, "V/d"),
    "self_discharge/leak_suspect_v_per_day": (0.0015, "V/d"),
    "self_discharge/suspect_probability": (0.80, "1"),
    "self_discharge/month_days": (30.4, "d"),
    "self_discharge/slope_from_percent": (60, "%"),
    "self_discharge/cells": (6, "1"),
    "self_discharge/read_again_h": (168, "h"),
    "storage/temperature_c": (20, "°C"),
    "storage/percent_per_month/flooded": (8, "%"),
    "storage/percent_per_month/flooded sealed": (4, "%"),
    "storage/percent_per_month/EFB": (4, "%"),
    "storage/percent_per_month/AGM": (4, "%"),
    "storage/percent_per_month/gel": (3, "%"),
    "storage/percent_per_month/LFP": (3, "%"),
    "storage/factor_below": (2.06, "1"),
    "storage/factor_above": (2.28, "1"),
    "storage/factor_step_k": (10, "K"),
    **each_lead_acid("storage/recharge_at_percent", (80, "%")),
    "storage/recharge_at_percent/LFP": (50, "%"),
    "storage/longest_days": (180, "d"),
    "capacity/assumed_discharge_h": (20, "h"),
    "capacity/rating_h": (20, "h"),
    "capacity/long_from_h": (5, "h"),
    **each_lead_acid("capacity/long_coefficient_per_k", (0.006, "1/K")),
    "capacity/long_coefficient_per_k/LFP": (0, "1/K"),
    **each_lead_acid("capacity/short_coefficient_per_k", (0.010, "1/K")),
    "capacity/short_coefficient_per_k/LFP": (0, "1/K"),
    "capacity/peukert_exponent/flooded": (1.25, "1"),
    "capacity/peukert_exponent/flooded sealed": (1.25, "1"),
    "capacity/peukert_exponent/EFB": (1.25, "1"),
    "capacity/peukert_exponent/AGM": (1.10, "1"),
    "capacity/peukert_exponent/gel": (1.15, "1"),
    "capacity/peukert_exponent/LFP": (1.03, "1"),
    "capacity/uncertainty": (0.03, "1"),
    "capacity/rate_uncertainty": (0.07, "1"),
    "capacity/low_below": (0.80, "1"),
    "capacity/spent_below": (0.60, "1"),
    "cranking/low_below": (0.75, "1"),
    "cranking/spent_below": (0.50, "1"),
    "load_test/shortest_s": (13, "s"),
    "load_test/longest_s": (17, "s"),
    "load_test/least_share_of_cca": (0.4, "1"),
    "load_test/least_amperes_per_ah": (2.5, "A/Ah"),
    "load_test/least_rest_v": (12.4, "V"),
    "load_test/lowest_c": (-18, "°C"),
    "load_test/highest_c": (40, "°C"),
    "load_test/by_capacity_addition_v": (0.9, "V"),
    "load_test/open_circuit_from_h": (2, "h"),
    "load_test/collapse_below_limit_v": (1.0, "V"),
    "resistance/high_from": (1.3, "1"),
    "resistance/spent_from": (2.0, "1"),
    "specific_gravity/spread_high_above": (0.025, "1"),
    "specific_gravity/spread_fails_above": (0.050, "1"),
    "specific_gravity/lowest": (1.150, "1"),
    "lfp_cells/spread_high_above_v": (0.05, "V"),
    "lfp_cells/spread_fails_above_v": (0.30, "V"),
    "lfp_cells/overdischarged_below_v": (2.0, "V"),
    "lfp_cells/dead_below_v": (1.5, "V"),
    "cross_checks/age_warning_years": (5, "a"),
    "cross_checks/gravity_against_rest_v": (0.25, "V"),
    "cross_checks/cells_against_block_v": (0.2, "V"),
    "lot/confidence": (0.95, "1"),
    "lot/most_unfit_share": (0.10, "1"),
    "lot/likelihood_ratio/rest": (1.1, "1"),
    "lot/likelihood_ratio/hold": (1.3, "1"),
    "lot/likelihood_ratio/load": (1.5, "1"),
    "lot/likelihood_ratio/cranking": (2.3, "1"),
    "lot/likelihood_ratio/capacity": (5, "1"),
    "lot/unfit_share_low": (0.2, "1"),
    "lot/unfit_share_high": (0.5, "1"),
    # reference/electrochemistry.md, section 7: not in the contract
    "mass/kg_per_ah/flooded": (0.25, "kg/Ah"),
    "mass/kg_per_ah/flooded sealed": (0.25, "kg/Ah"),
    "mass/kg_per_ah/EFB": (0.27, "kg/Ah"),
    "mass/kg_per_ah/AGM": (0.29, "kg/Ah"),
    "mass/kg_per_ah/gel": (0.32, "kg/Ah"),
    "mass/kg_per_ah/LFP": (0.12, "kg/Ah"),
    "mass/relative_uncertainty": (0.20, "1"),
}
"""Value and unit of every single number of the grading contract."""

SEALED = [(0, 11.80), (25, 12.05), (50, 12.26), (75, 12.48), (100, 12.75)]
PERCENTS = (1, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 100)
DISCHARGE = (
    *(10.08, 11.95, 12.60, 12.88, 13.00, 13.13, 13.16),
    *(13.19, 13.24, 13.33, 13.36, 13.41, 13.61, 14.32),
)
CHARGE = (
    *(11.04, 12.25, 12.82, 13.08, 13.24, 13.28, 13.30),
    *(13.35, 13.40, 13.44, 13.46, 13.54, 13.91, 14.40),
)
GRAVITIES = (
    1.05,
    1.10,
    1.12,
    1.15,
    1.155,
    1.19,
    1.20,
    1.215,
    1.225,
    1.24,
    1.25,
    1.265,
    1.28,
    1.30,
    1.31,
    1.32,
)
BODE = (
    *(11.491, 11.793, 11.902, 12.060, 12.086, 12.269, 12.321, 12.402),
    *(12.456, 12.538, 12.594, 12.679, 12.766, 12.884, 12.944, 13.005),
)
TABLES = {
    "open_circuit/lead_acid/flooded": (
        [(0, 11.80), (25, 12.03), (50, 12.22), (75, 12.42), (100, 12.65)],
        "% -> V",
    ),
    "open_circuit/lead_acid/flooded sealed": (SEALED, "% -> V"),
    "open_circuit/lead_acid/EFB": (SEALED, "% -> V"),
    "open_circuit/lead_acid/AGM": (
        [(0, 11.80), (25, 12.10), (50, 12.35), (75, 12.60), (100, 12.90)],
        "% -> V",
    ),
    "open_circuit/lead_acid/gel": (
        [(0, 11.80), (25, 12.05), (50, 12.38), (75, 12.60), (100, 12.85)],
        "% -> V",
    ),
    "open_circuit/lfp_discharge_branch": ([*zip(PERCENTS, DISCHARGE, strict=True)], "% -> V"),
    "open_circuit/lfp_charge_branch": ([*zip(PERCENTS, CHARGE, strict=True)], "% -> V"),
    "rest/relaxation_uncertainty_v": (
        [(0.5, 0.150), (2, 0.080), (4, 0.060), (12, 0.020), (24, 0.010)],
        "h -> V",
    ),
    "load_test/least_voltage_v": (
        [(-18, 8.5), (-12, 8.7), (-7, 8.9), (-1, 9.1), (4, 9.3), (10, 9.4), (16, 9.5), (21, 9.6)],
        "°C -> V",
    ),
    # reference/electrochemistry.md, section 2a
    "cross_checks/gravity_to_block_v": ([*zip(GRAVITIES, BODE, strict=True)], "SG -> V"),
}
"""Points and unit of every table."""


def entries(document, place=""):
    """Yield the place and the entry of every value and table of a policy file."""
    if "value" in document or "points" in document:
        yield place, document
        return
    for key, inner in document.items():
        if isinstance(inner, dict):
            yield from entries(inner, f"{place}/{key}".lstrip("/"))


def records(record, place=""):
    """Yield the place and the cited record of every value and table of a loaded policy."""
    if isinstance(record, CitedValue | CitedTable):
        yield place, record
        return
    if record is None:
        return
    inner = record._asdict() if isinstance(record, tuple) else record
    for key, value in inner.items():
        if not isinstance(value, str):
            yield from records(value, f"{place}/{key}".lstrip("/"))


ENTRIES = dict(entries(DOCUMENT))


def test_the_file_holds_the_numbers_of_the_contract_and_no_others():
    graded = {place for place in ENTRIES if not place.startswith("bench/")}  # these have a test of their own
    assert set(CONTRACT) | set(TABLES) == graded


@pytest.mark.parametrize("place", CONTRACT)
def test_a_number_of_the_file_is_that_of_the_contract(place):
    assert CONTRACT[place] == (ENTRIES[place]["value"], ENTRIES[place]["unit"])


@pytest.mark.parametrize("place", TABLES)
def test_a_table_of_the_file_is_that_of_the_contract(place):
    points, unit = TABLES[place]
    assert ([list(point) for point in points], unit) == (ENTRIES[place]["points"], ENTRIES[place]["unit"])


@pytest.mark.parametrize("place", ENTRIES)
def test_every_number_says_its_unit_its_source_and_how_far_it_was_checked(place):
    entry = ENTRIES[place]
    assert {"unit", "source", "status"} == set(entry) - {"value", "points"}
    assert entry["unit"].strip()
    assert len(entry["source"].strip()) > 2
    assert entry["status"] in [*Status]


@pytest.mark.parametrize(
    ("place", "status"),
    [
        ("decision/risk_limit", "site choice"),
        ("open_circuit/lead_acid/flooded sealed", "from memory"),
        ("open_circuit/lead_acid/EFB", "from memory"),
        ("open_circuit/lead_acid/flooded", "opened"),
        ("open_circuit/lfp_discharge_branch", "opened"),
        ("hold/slope_v_per_efold/AGM", "opened"),
        ("hold/slope_v_per_efold/flooded", "from memory"),
        ("rest/lfp_deep_below_v", "common practice"),
        ("temperature/coefficient_v_per_k/AGM", "from memory"),
        ("resistance/high_from", "from memory"),
    ],
)
def test_what_nobody_opened_does_not_say_it_was(place, status):
    """The contract and its reference mark these as provisional, remembered, assumed or read."""
    assert status == ENTRIES[place]["status"]


def test_the_file_keeps_its_schema():
    schema = json.loads(resource_text("schemas", "grading-policy.schema.json"))
    Draft202012Validator.check_schema(schema)
    assert [] == [error.message for error in Draft202012Validator(schema).iter_errors(DOCUMENT)]


def test_the_loaded_policy_holds_what_the_file_holds():
    found = dict(records(load_grading_policy()))
    assert set(ENTRIES) == set(found)
    for place, entry in ENTRIES.items():
        record = found[place]
        if isinstance(record, CitedValue):
            assert entry["value"] == record.value, place
        else:
            assert entry["points"] == [list(point) for point in record.points], place
        assert (entry["unit"], entry["source"], entry["status"]) == (
            record.unit,
            record.source,
            record.status.value,
        )
        assert isinstance(record.status, Status)


def test_the_loaded_numbers_are_floats():
    found = [one.value for _, one in records(load_grading_policy()) if isinstance(one, CitedValue)]
    assert {float} == {type(value) for value in found}
    tables = [one for _, one in records(load_grading_policy()) if isinstance(one, CitedTable)]
    assert {float} == {type(figure) for table in tables for point in table.points for figure in point}


def test_the_policy_carries_its_name_and_the_digest_of_its_file():
    policy = load_grading_policy()
    content = resource("templates", "grading-policy.json").read_bytes()
    assert (DOCUMENT["name"], hashlib.sha256(content).hexdigest()) == (policy.name, policy.sha256)
    assert content.decode("utf-8") == shipped_policy_text()
    assert load_grading_policy() is policy


def test_the_policy_has_one_record_for_each_group_of_the_file():
    groups = set(GradingPolicy._fields) - {"name", "sha256"}
    assert set(DOCUMENT) - {"schema", "name"} == groups


def test_chemistries_are_keys_of_the_model():
    policy = load_grading_policy()
    assert {Chemistry(name) for name in LEAD_ACID} == set(policy.open_circuit.lead_acid)
    assert {*map(Chemistry, LEAD_ACID), Chemistry.LFP} == set(policy.rest.sound_v)
