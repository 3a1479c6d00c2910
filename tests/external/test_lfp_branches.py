"""The LFP tables against the measurement they were taken from, and against what it says about a reading."""

import numpy as np

from intake.grading.quantities import interpolate, reduce_to_reference
from intake.grading.state_of_charge import state_of_charge_at_rest
from intake.model.battery import Chemistry
from intake.policy.grading_policy import load_grading_policy
from tests.external.agreement import check
from tests.external.published import columns_of
from tests.grading.builders import policy_with
from tests.simulation.lfp import cell_v

POLICY = load_grading_policy()
DISCHARGE = POLICY.open_circuit.lfp_discharge_branch.points
CHARGE = POLICY.open_circuit.lfp_charge_branch.points
CELLS = 4
EXACT = policy_with(open_circuit__interval_uncertainty_v__LFP=0)
"""The policy with tables that are exactly right."""


def measured(temperature="25C"):
    """ESC toolbox OCV data, commit e82af55: percent and block volts on the two branches."""
    headers = ("soc_pct", f"dis_{temperature}_V_per_cell", f"chg_{temperature}_V_per_cell")
    return {
        percent: (CELLS * down, CELLS * up)
        for percent, down, up in columns_of("lfp_ocv_measured_c30.csv", *headers)
    }


@check(
    "LFP discharge and charge branch at every state of charge of the tables",
    against="measured at about C/27 and 25 °C, times four: ESC toolbox OCV data, commit e82af55",
    within=5.1,
    unit="mV",
)
def test_both_branches_are_the_measured_ones_to_the_table_rounding():
    """The tables are printed to 10 mV."""
    for percent, _ in DISCHARGE:
        down, up = measured()[percent]
        yield f"discharge, {percent} %", 1000 * down, 1000 * interpolate(DISCHARGE, percent)
        yield f"charge, {percent} %", 1000 * up, 1000 * interpolate(CHARGE, percent)


@check(
    "mean of the LFP branches at half charge",
    against="the same data, 13.232 V; another cell's half-cell data, 13.24 V",
    within=15,
    unit="mV",
)
def test_the_mean_of_the_branches_at_half_charge():
    found = (interpolate(DISCHARGE, 50) + interpolate(CHARGE, 50)) / 2
    for told, expected in (("measured", 13.232), ("half cells", 13.24)):
        yield told, 1000 * expected, 1000 * found


@check(
    "mean of the LFP branches from 20 to 95 %, another maker's cell",
    against="Safari and Delacourt 2011, J. Electrochem. Soc. 158, A562: formulas of both electrodes",
    within=40,
    unit="mV",
)
def test_the_mean_of_the_branches_follows_the_published_electrode_potentials():
    """At the ends the windows of lithium content decide, which are assumed: no case there."""
    for percent, down_v in DISCHARGE:
        if 20 <= percent <= 95:
            found = (down_v + interpolate(CHARGE, percent)) / 2
            yield f"{percent} %", 1000 * CELLS * cell_v(percent / 100), 1000 * found


def test_the_published_potentials_lie_between_the_branches_from_10_to_98_percent():
    between = [
        down_v <= CELLS * cell_v(percent / 100) <= interpolate(CHARGE, percent)
        for percent, down_v in DISCHARGE
        if 10 <= percent <= 98
    ]
    assert len(between) > 8
    assert all(between)


LEFT = {12.4: (6, 8), 12.8: (10, 16), 13.0: (17, 30), 13.2: (28, 62), 13.25: (32, 71), 13.3: (51, 75)} | {
    13.4: (70, 94),
    13.5: (94, 96),
}
"""Volts read by a perfect meter, and the states of charge whose measured branches bracket them."""


@check(
    "state of charge that a perfect meter leaves of an LFP block, eight voltages, 13.25 V: 32 to 71 %",
    against="the same data: every state of charge whose branches bracket the voltage",
    within=2,
    unit="% charge",
)
def test_what_a_perfect_meter_leaves_of_the_state_of_charge():
    for voltage_v, (low, high) in LEFT.items():
        found = state_of_charge_at_rest(
            voltage_25c_v=voltage_v, uncertainty_v=0.0, chemistry=Chemistry.LFP, policy=EXACT
        )
        yield f"{voltage_v} V, low", low, found.low_percent
        yield f"{voltage_v} V, high", high, found.high_percent


@check(
    "the same interval at 13.25 V from all 101 measured points",
    against="numpy.interp on the same data",
    within=1,
    unit="% charge",
)
def test_the_same_interval_straight_from_the_measurement():
    curve = measured()
    percents = np.array(list(curve))
    down, up = np.array(list(curve.values())).T
    yield "low", np.interp(13.25, up, percents), LEFT[13.25][0]
    yield "high", np.interp(13.25, down, percents), LEFT[13.25][1]


def middle_v(temperature_c):
    return sum(measured(f"{temperature_c}C")[50]) / 2


@check(
    "LFP voltage at half charge at -25, 5, 25 and 45 °C",
    against="the same data: 13.190, 13.219, 13.232 and 13.246 V",
    within=0.5,
    unit="mV",
)
def test_the_plateau_as_measured_at_four_temperatures():
    for temperature_c, expected_v in ((-25, 13.190), (5, 13.219), (25, 13.232), (45, 13.246)):
        yield temperature_c, 1000 * expected_v, 1000 * middle_v(temperature_c)


@check(
    "the same reduced to 25 °C by the policy's 0.7 mV/K, 5 to 45 °C",
    against="the same data at 25 °C",
    within=2,
    unit="mV",
)
def test_the_plateau_hardly_moves_with_temperature():
    """At -25 °C the coefficient leaves 7 mV."""
    for temperature_c in (-25, 5, 25, 45):
        reduced = reduce_to_reference(
            voltage_v=middle_v(temperature_c),
            temperature_c=temperature_c,
            chemistry=Chemistry.LFP,
            policy=POLICY,
        )
        if temperature_c > 0:
            yield temperature_c, 1000 * middle_v(25), 1000 * reduced.voltage_25c_v
        assert abs(reduced.voltage_25c_v - 13.232) < 0.010
