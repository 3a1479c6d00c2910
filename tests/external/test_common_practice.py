"""What every bench in the trade goes by. Each line is common practice and stands without a source."""

import pytest

from intake.grading.grade_battery import grade_battery
from intake.grading.state_of_charge import percent_at, state_of_charge_at_rest, voltage_at_v
from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from intake.model.verdict import Grade
from intake.policy.dictionary import load_dictionary
from intake.policy.grading_policy import load_grading_policy

POLICY = load_grading_policy()
GRADABLE = [*sorted(LEAD_ACID), Chemistry.LFP]


def graded(chemistry, *holds, meter=(0.1, 0.01), **fields):
    readings = tuple(HoldReading(hours, volts, 25.0) for hours, volts in holds)
    usual = {"case": "sound", "terminals": "sound", "temperature_c": 25.0}
    one = Battery(tag="B-1", row=2, chemistry=chemistry, hold_readings=readings, **(usual | fields))
    return grade_battery(one, accuracy_percent=meter[0], accuracy_volts=meter[1], policy=POLICY)


def volts(chemistry, percent):
    return voltage_at_v(state_of_charge_percent=percent, chemistry=chemistry, policy=POLICY)


@pytest.mark.parametrize("chemistry", GRADABLE)
@pytest.mark.parametrize(("rested_h", "counts"), [(0.4, False), (0.5, True), (24.0, True)])
def test_a_rest_voltage_counts_after_30_minutes_or_more(chemistry, rested_h, counts):
    """Common practice: rest voltage after 30 min or more tracks state of charge."""
    verdict = graded(chemistry, rest_voltage_v=volts(chemistry, 90), rested_h=rested_h)
    assert counts == (verdict.grade is not Grade.UNRESOLVED)


@pytest.mark.parametrize("chemistry", GRADABLE)
def test_a_rest_voltage_tracks_state_of_charge(chemistry):
    """Common practice: more charge, more volts, and back."""
    charges = [
        state_of_charge_at_rest(
            voltage_25c_v=volts(chemistry, percent), uncertainty_v=0.0, chemistry=chemistry, policy=POLICY
        ).value_percent
        for percent in range(5, 100, 5)
    ]
    assert sorted(set(charges)) == charges


@pytest.mark.parametrize("chemistry", GRADABLE)
@pytest.mark.parametrize(
    ("hours", "percent", "expected"),
    [
        (24.0, 88, Grade.RESALE),
        (24.0, 70, Grade.RECONDITIONABLE),
        (24.0, 40, Grade.RECYCLE),
        (12.0, 20, Grade.RECYCLE),
        (3.0, 20, Grade.UNRESOLVED),
    ],
)
def test_what_a_charged_battery_holds_says_how_healthy_it_is(chemistry, hours, percent, expected):
    """Common practice: 80 % and up is expected of a healthy battery.

    60 to 80 % is serviceable but reduced, below 60 % is suspect and is watched up to 12 h.
    """
    verdict = graded(chemistry, (hours, volts(chemistry, percent)), meter=(0.03, 0.001))
    assert expected is verdict.grade


@pytest.mark.parametrize("chemistry", GRADABLE)
def test_part_charged_is_told_from_deep_discharged(chemistry):
    """Common practice: 12.4 V (lead-acid) and 13.0 V (LFP) part charged from deep discharged."""
    limit_v = 13.0 if chemistry is Chemistry.LFP else 12.4
    for voltage_v, expected in ((limit_v + 0.1, Grade.RESALE), (limit_v - 0.1, Grade.RECONDITIONABLE)):
        assert expected is graded(chemistry, rest_voltage_v=voltage_v, rested_h=24.0).grade
    assert limit_v == POLICY.rest.sound_v[chemistry].value


def test_an_lfp_block_below_8_8_volts_is_brought_up_at_low_current():
    """Common practice: 8.8 V is the low-current limit of a block, 2.2 V a cell."""
    low, above = (graded(Chemistry.LFP, rest_voltage_v=one, rested_h=24.0) for one in (8.79, 8.8))
    assert "low current" in low.next_step
    assert "low current" not in above.next_step
    assert pytest.approx(4 * 2.2) == POLICY.rest.lfp_deep_below_v.value


@pytest.mark.parametrize(
    ("temperature_c", "counts"), [(-20.1, False), (-20.0, True), (55.0, True), (55.1, False)]
)
def test_readings_count_from_minus_20_to_55_degrees(temperature_c, counts):
    """Common practice: the working range of the readings."""
    verdict = graded(Chemistry.AGM, rest_voltage_v=12.9, rested_h=24.0, temperature_c=temperature_c)
    assert counts == (verdict.grade is not Grade.UNRESOLVED)


def test_a_12_8_volt_lfp_block_is_four_cells_in_series():
    """Common practice: 4 x 3.2 V, charged to 4 x 3.65 V; so the workbook asks for four cell voltages."""
    cells = [one for one in load_dictionary().sheets["batteries"].columns if one.key == "cell_voltages_v"]
    assert 4 == len(cells)
    assert pytest.approx(4 * 3.65) == POLICY.rest.highest_v[Chemistry.LFP].value
    assert 10 < percent_at(voltage_25c_v=4 * 3.2, chemistry=Chemistry.LFP, policy=POLICY) < 20


def test_lead_acid_is_six_cells_in_series():
    """Common practice: 2.1 V a full cell at rest, so 12.6 V and up, and no more than 2.2 V."""
    assert all(6 * 2.1 <= volts(chemistry, 100) <= 6 * 2.2 for chemistry in LEAD_ACID)
    gravities = [
        one for one in load_dictionary().sheets["batteries"].columns if one.key == "specific_gravity"
    ]
    assert 6 == len(gravities)
