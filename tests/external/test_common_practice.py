"""What every bench in the trade goes by. Each line is common practice and stands without a source."""

import pytest

from intake.grading.grade_battery import grade_battery
from intake.grading.state_of_charge import (
    state_of_charge_after_charge,
    state_of_charge_at_rest,
    voltage_at_v,
)
from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from intake.model.verdict import Grade
from intake.policy.dictionary import load_dictionary
from intake.policy.grading_policy import load_grading_policy
from tests.external.agreement import check

POLICY = load_grading_policy()
GRADABLE = [*sorted(LEAD_ACID), Chemistry.LFP]


def graded(chemistry, *holds, meter=(0.1, 0.01), **fields):
    readings = tuple(HoldReading(hours, volts, 25.0) for hours, volts in holds)
    usual = {"case": "sound", "terminals": "sound", "temperature_c": 25.0}
    one = Battery(tag="B-1", row=2, chemistry=chemistry, hold_readings=readings, **(usual | fields))
    return grade_battery(one, accuracy_percent=meter[0], accuracy_volts=meter[1], policy=POLICY)


def volts(chemistry, percent):
    return voltage_at_v(state_of_charge_percent=percent, chemistry=chemistry, policy=POLICY)


@check("a rest voltage counts after 30 min or more", against="common practice")
def test_a_rest_voltage_counts_after_30_minutes_or_more():
    for chemistry in GRADABLE:
        for rested_h, counts in ((0.49, False), (0.5, True), (24.0, True)):
            verdict = graded(chemistry, rest_voltage_v=volts(chemistry, 90), rested_h=rested_h)
            yield f"{chemistry}, {rested_h} h", counts, verdict.grade is not Grade.UNRESOLVED


@check("it tracks state of charge: more charge, more volts, and back", against="common practice")
def test_a_rest_voltage_tracks_state_of_charge():
    for chemistry in GRADABLE:
        charges = [
            state_of_charge_at_rest(
                voltage_25c_v=volts(chemistry, percent), uncertainty_v=0.0, chemistry=chemistry, policy=POLICY
            ).value_percent
            for percent in range(5, 100, 5)
        ]
        yield chemistry, sorted(set(charges)), charges


@check(
    "after a charge 80 % and up is expected of a healthy battery, 60 to 80 % is serviceable but reduced, "
    "below 60 % is suspect and is watched up to 12 h",
    against="common practice",
)
def test_what_a_charged_battery_holds_says_how_healthy_it_is():
    for chemistry in GRADABLE:
        for hours, percent, expected in (
            (24.0, 95, Grade.RESALE),
            (24.0, 74, Grade.RECONDITIONABLE),
            (24.0, 40, Grade.RECYCLE),
            (12.0, 20, Grade.RECYCLE),
            (11.9, 20, Grade.UNRESOLVED),
            (3.0, 20, Grade.UNRESOLVED),
        ):
            verdict = graded(chemistry, (hours, volts(chemistry, percent)), meter=(0.03, 0.001))
            yield f"{chemistry}, {percent} % at {hours} h", expected, verdict.grade


@check(
    "12.4 V (lead-acid) and 13.0 V (LFP) tell part charged from deep discharged", against="common practice"
)
def test_part_charged_is_told_from_deep_discharged():
    for chemistry in GRADABLE:
        limit_v = 13.0 if chemistry is Chemistry.LFP else 12.4
        assert limit_v == POLICY.rest.sound_v[chemistry].value
        for voltage_v, expected in ((limit_v + 0.1, Grade.RESALE), (limit_v - 0.1, Grade.RECONDITIONABLE)):
            verdict = graded(chemistry, rest_voltage_v=voltage_v, rested_h=24.0)
            yield f"{chemistry}, {voltage_v} V", expected, verdict.grade


@check("an LFP block below 8.8 V, 2.2 V a cell, is brought up at low current", against="common practice")
def test_an_lfp_block_below_8_8_volts_is_brought_up_at_low_current():
    assert pytest.approx(4 * 2.2) == POLICY.rest.lfp_deep_below_v.value
    for voltage_v, expected in ((8.79, True), (8.8, False)):
        verdict = graded(Chemistry.LFP, rest_voltage_v=voltage_v, rested_h=24.0)
        yield voltage_v, expected, "low current" in verdict.next_step


@check("readings count from -20 to 55 °C", against="common practice")
def test_readings_count_from_minus_20_to_55_degrees():
    for temperature_c, counts in ((-20.1, False), (-20.0, True), (55.0, True), (55.1, False)):
        verdict = graded(Chemistry.AGM, rest_voltage_v=12.9, rested_h=24.0, temperature_c=temperature_c)
        yield temperature_c, counts, verdict.grade is not Grade.UNRESOLVED


def cells_asked_for(key):
    return sum(one.key == key for one in load_dictionary().sheets["batteries"].columns)


@check("a 12.8 V LFP block is four cells in series, 3.2 V each, charged to 3.65 V", against="common practice")
def test_a_12_8_volt_lfp_block_is_four_cells_in_series():
    found = state_of_charge_after_charge(
        voltage_25c_v=4 * 3.2, uncertainty_v=0.01, chemistry=Chemistry.LFP, policy=POLICY
    )
    assert 10 < found.value_percent < 20
    yield "cells in the workbook", 4, cells_asked_for("cell_voltages_v")
    yield "highest voltage", 4 * 3.65, POLICY.rest.highest_v[Chemistry.LFP].value


@check(
    "a lead-acid block is six cells in series, full at rest from 2.1 to 2.2 V each", against="common practice"
)
def test_lead_acid_is_six_cells_in_series():
    yield "cells in the workbook", 6, cells_asked_for("specific_gravity")
    for chemistry in sorted(LEAD_ACID):
        yield chemistry, True, 6 * 2.1 <= volts(chemistry, 100) <= 6 * 2.2
