import math

import pytest

from intake.grading.batch_figures import batch_figures
from intake.grading.quantities import Bench
from intake.model.battery import Chemistry, Use
from intake.model.verdict import MeterRisk
from tests.grading.builders import GOOD, PERFECT, PLAIN, POLICY, battery, graded, held, policy_with


def figures(*batteries, bench=PLAIN):
    return batch_figures(
        batteries,
        [graded(one, bench) for one in batteries],
        accuracy_percent=bench.accuracy_percent,
        accuracy_volts=bench.accuracy_volts,
        policy=bench.policy,
    )


def below(distance_v, bench, voltage_v, u_table=0.0):
    """P that the true voltage lies below a limit so far below the reading, worked without the engine."""
    u_meter = (bench.accuracy_percent / 100 * voltage_v + bench.accuracy_volts) / math.sqrt(3)
    return 0.5 * math.erfc(distance_v / math.hypot(u_meter, 0.010, u_table) / math.sqrt(2))


def rested(voltage_v, **fields):
    return battery("flooded", rest_voltage_v=voltage_v, **fields)


BETTER = Bench(POLICY, 0.05, 0.001)


def test_an_empty_batch_expects_nothing_wrong():
    found = figures()
    assert MeterRisk(0.5, 0.02, 0.0, 0.0) == found.in_use
    assert MeterRisk(0.05, 0.001, 0.0, 0.0) == found.better
    assert () == found.meter_worth_percent


def test_wrong_acceptances_are_summed_over_what_is_sold():
    found = figures(rested(12.50), rested(12.52), rested(12.45))
    expected = below(0.10, PLAIN, 12.50) + below(0.12, PLAIN, 12.52)
    assert pytest.approx(expected) == found.in_use.wrong_acceptances


def test_wrong_rejections_are_summed_over_what_a_voltage_holds_back():
    found = figures(rested(12.50), rested(12.45), rested(12.38))
    expected = 1 - below(0.05, PLAIN, 12.45) + 1 - below(-0.02, PLAIN, 12.38)
    assert pytest.approx(expected) == found.in_use.wrong_rejections


def test_the_better_meter_grades_the_same_readings_anew():
    """12.45 V is held back by the plain meter and sold by the better one."""
    found = figures(rested(12.45))
    assert (0.0, pytest.approx(1 - below(0.05, PLAIN, 12.45))) == (
        found.in_use.wrong_acceptances,
        found.in_use.wrong_rejections,
    )
    assert (pytest.approx(below(0.05, BETTER, 12.45)), 0.0) == (
        found.better.wrong_acceptances,
        found.better.wrong_rejections,
    )
    assert (0.5, 0.02) == (found.in_use.accuracy_percent, found.in_use.accuracy_volts)


@pytest.mark.parametrize(
    ("voltage_v", "distance_v"), [(12.62, -0.04), (12.0, -0.66)], ids=["hold-middle", "hold-low"]
)
def test_a_hold_that_holds_back_is_a_rejection_by_its_own_limit(voltage_v, distance_v):
    found = figures(held("AGM", (24.0, voltage_v)), bench=PLAIN)
    assert pytest.approx(1 - below(distance_v, PLAIN, voltage_v, 0.060)) == found.in_use.wrong_rejections
    assert 0.0 == found.in_use.wrong_acceptances


def test_a_hold_that_sells_is_an_acceptance_by_its_own_limit_even_beside_a_rest_voltage():
    found = figures(held("AGM", (24.0, 12.80), rest_voltage_v=12.2))
    assert pytest.approx(below(0.14, PLAIN, 12.80, 0.060)) == found.in_use.wrong_acceptances
    assert 0.0 == found.in_use.wrong_rejections


@pytest.mark.parametrize(
    "one",
    [
        rested(12.45, case="cracked"),
        rested(12.45, terminals="loose"),
        rested(12.45, rested_h=0.4),
        rested(12.45, row_errors=("x",)),
        held("AGM", (2.0, 12.5)),
        held("AGM", (24.0, 12.48)),
        held("AGM", (24.0, 13.1), (48.0, 12.8)),
        battery("other", rest_voltage_v=12.45),
        rested(12.0, use=Use.UNUSED),
        rested(12.0, rated_capacity_ah=60.0, delivered_capacity_ah=60.0, discharge_time_h=20.0),
        battery("flooded"),
    ],
)
def test_what_something_else_decides_is_neither(one):
    found = figures(one)
    assert (0.0, 0.0) == (found.in_use.wrong_acceptances, found.in_use.wrong_rejections)


def test_a_meter_without_error_leaves_what_the_rest_leaves():
    found = figures(rested(12.42), rested(12.41), bench=PERFECT)
    assert pytest.approx(below(0.02, PERFECT, 12.42)) == found.in_use.wrong_acceptances
    assert pytest.approx(1 - below(0.01, PERFECT, 12.41)) == found.in_use.wrong_rejections


def test_the_meters_worth_is_told_for_each_chemistry_that_is_there_and_has_a_table():
    batch = [battery(name) for name in ("LFP", "other", "AGM", "flooded", "AGM")]
    found = figures(*batch).meter_worth_percent
    assert [Chemistry.FLOODED, Chemistry.AGM, Chemistry.LFP] == [name for name, _ in found]
    assert [11.05, 8.54, 25.62] == [round(worth, 2) for _, worth in found]
    assert [3.01] == [
        round(worth, 2) for _, worth in figures(battery("flooded"), bench=GOOD).meter_worth_percent
    ]


def test_the_better_meter_is_the_policys():
    policy = policy_with(meter__better_accuracy_percent=0.2, meter__better_accuracy_volts=0.003)
    better = figures(rested(12.6), bench=Bench(policy, 0.5, 0.02)).better
    assert (0.2, 0.003) == (better.accuracy_percent, better.accuracy_volts)
