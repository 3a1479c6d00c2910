import math

import pytest

from intake.grading.capacity_test import CapacityRatio, capacity_ratio
from intake.grading.load_test import load_test_counts
from intake.grading.quantities import Bench
from intake.grading.strength_tests import strength_steps
from intake.model.battery import Chemistry, HoldReading
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Handling, Step
from tests.grading.builders import (
    GOOD,
    PERFECT,
    PLAIN,
    POLICY,
    RECYCLE_STREAM,
    assert_same,
    battery,
    fired,
    graded,
    held,
    policy_with,
    rules,
    step_of,
    sure,
)

LEAD_ACID = ("flooded", "flooded sealed", "EFB", "AGM", "gel")
AGAIN = "Recover and charge it fully, then repeat this test and hold-test it."
EQUALISE = "Charge fully, equalise the cells, then test again."
BALANCE = "Charge fully, balance the cells, then test again."


def steps(one, bench=PERFECT):
    return tuple(strength_steps(one, bench=bench))


def test_nothing_is_said_of_what_was_not_read():
    assert [] == rules(steps(battery("flooded")))


def test_the_rules_are_listed_in_the_order_of_the_contract():
    everything = {
        "rated_capacity_ah": 60.0,
        "rated_cca_a": 500.0,
        "delivered_capacity_ah": 60.0,
        "measured_cca_a": 500.0,
        "load_voltage_v": 10.0,
        "load_time_s": 15.0,
        "load_current_a": 250.0,
        "rest_voltage_v": 12.6,
        "internal_resistance_mohm": 5.0,
        "rated_resistance_mohm": 5.0,
        "specific_gravity": (1.26,) * 6,
        "cell_voltages_v": (3.3,) * 4,
    }
    common = ["capacity-low", "capacity-spent", "cranking-low", "cranking-spent"]
    gravities = ["gravity-spread", "gravity-low", "gravity-stale"]
    flooded = [*common, "load-test-fails", "resistance-high", *gravities]
    assert flooded == rules(steps(held("flooded", (12.0, 12.8), **everything)))
    lfp = [*common, "resistance-high", "cell-spread", "cell-overdischarged"]
    assert lfp == rules(steps(battery("LFP", **everything)))
    assert [*common, "load-test-fails", "resistance-high"] == rules(steps(battery("AGM", **everything)))
    assert ["cranking-low", "cranking-spent", "resistance-high"] == rules(
        steps(battery("unknown", **everything))
    )


# Capacity


@pytest.mark.parametrize(
    ("chemistry", "hours", "temperature_c", "p", "kappa"),
    [
        ("flooded", 20.0, 25.0, 1.25, 0.006),
        ("flooded sealed", 10.0, 25.0, 1.25, 0.006),
        ("EFB", 10.0, 25.0, 1.25, 0.006),
        ("AGM", 10.0, 25.0, 1.10, 0.006),
        ("gel", 10.0, 25.0, 1.15, 0.006),
        ("LFP", 10.0, 25.0, 1.03, 0.0),
        *((chemistry, 5.0, 15.0, p, 0.006) for chemistry, p in (("AGM", 1.10), ("gel", 1.15))),
        *((chemistry, 4.99, 15.0, p, 0.010) for chemistry, p in (("AGM", 1.10), ("gel", 1.15))),
        *((chemistry, 5.0, 15.0, 1.25, 0.006) for chemistry in ("flooded", "flooded sealed", "EFB")),
        *((chemistry, 4.99, 35.0, 1.25, 0.010) for chemistry in ("flooded", "flooded sealed", "EFB")),
        ("LFP", 5.0, 15.0, 1.03, 0.0),
        ("LFP", 1.0, 15.0, 1.03, 0.0),
    ],
)
def test_a_capacity_is_brought_to_the_20_hour_rate_and_25_degrees(chemistry, hours, temperature_c, p, kappa):
    """The ratio q = C (I/I20)^(p-1) / (1 + kappa (T - 25)) / rated with I = C/hours and I20 = rated/20."""
    found = capacity_ratio(
        delivered_capacity_ah=45.0,
        discharge_time_h=hours,
        rated_capacity_ah=60.0,
        temperature_c=temperature_c,
        chemistry=Chemistry(chemistry),
        policy=POLICY,
    )
    expected = 45 * (45 / hours / 3) ** (p - 1) / (1 + kappa * (temperature_c - 25)) / 60
    u = math.hypot(0.03, 0.07 * expected * math.log(45 / hours / 3))
    assert CapacityRatio(pytest.approx(expected, abs=1e-12), pytest.approx(u)) == found


def discharged(chemistry, share, **fields):
    """Return a 100 Ah battery that gave this share of it at just the 20 h current, 5 A."""
    usual = {"rated_capacity_ah": 100.0, "discharge_time_h": 20.0 * share}
    return battery(chemistry, delivered_capacity_ah=100.0 * share, **(usual | fields))


@pytest.mark.parametrize("chemistry", [*LEAD_ACID, "LFP"])
@pytest.mark.parametrize(
    ("share", "expected"),
    [
        (0.95, []),
        (0.8494, []),  # 0.80 + 1.645 * 0.03 = 0.84935
        (0.8493, ["capacity-low"]),
        (0.70, ["capacity-low"]),
        (0.5507, ["capacity-low"]),  # 0.60 - 1.645 * 0.03 = 0.55065
        (0.5506, ["capacity-spent"]),
        (0.20, ["capacity-spent"]),
    ],
)
def test_a_capacity_passes_is_low_or_is_spent(chemistry, share, expected):
    assert expected == fired(steps(discharged(chemistry, share)))


def test_a_capacity_is_told_with_its_ratio_and_the_probability_of_reaching_the_limit():
    found = steps(discharged("AGM", 0.70))
    text = "It delivered 70 Ah, 0.700 of the rated 100 Ah at the 20 h rate and 25 °C, u 0.030: "
    peukert = POLICY.capacity.peukert_exponent["AGM"].source
    low = Step(
        rule=Rule.CAPACITY_LOW,
        fired=True,
        effect=Effect.CAP_RECONDITIONABLE,
        text=text + "P(≥ 0.8) = 0.000.",
        measured=0.70,
        limit=0.8,
        limit_to_be_sure=sure(0.8, 0.03),
        unit="1",
        probability=0.5 * math.erfc(0.1 / 0.03 / math.sqrt(2)),
        next_step=AGAIN,
        source=f"{POLICY.capacity.low_below.source}; {peukert}",
        status="opened",
    )
    spent = Step(
        rule=Rule.CAPACITY_SPENT,
        fired=False,
        effect=Effect.RECYCLE,
        text=text + "P(≥ 0.6) = 1.000.",
        measured=0.70,
        limit=0.6,
        limit_to_be_sure=sure(0.6, 0.03),
        unit="1",
        probability=1 - 0.5 * math.erfc(0.1 / 0.03 / math.sqrt(2)),
        next_step=RECYCLE_STREAM,
        source=f"{POLICY.capacity.spent_below.source}; {peukert}",
        status="common practice",
    )
    assert_same(low, step_of(found, "capacity-low"))
    assert_same(spent, step_of(found, "capacity-spent"))


def test_a_blank_discharge_time_counts_as_20_hours_and_a_blank_temperature_as_25_degrees():
    found = steps(discharged("flooded", 0.90, discharge_time_h=None, temperature_c=None))
    assert pytest.approx(0.9**1.25) == step_of(found, "capacity-low").measured
    bench = Bench(policy_with(capacity__assumed_discharge_h=10), 0.0, 0.0)
    found = steps(discharged("flooded", 0.90, discharge_time_h=None), bench)
    assert pytest.approx(0.9 * 1.8**0.25) == step_of(found, "capacity-low").measured


def test_a_capacity_is_judged_at_the_temperature_that_was_read():
    cold = steps(discharged("flooded", 0.90, discharge_time_h=20.0, temperature_c=15.0))
    assert pytest.approx(0.9**1.25 / (1 - 0.006 * 10)) == step_of(cold, "capacity-low").measured


@pytest.mark.parametrize(
    "one",
    [
        discharged("AGM", 0.5, rated_capacity_ah=None),
        battery("AGM", rated_capacity_ah=100.0),
        discharged("unknown", 0.5),
    ],
)
def test_a_capacity_needs_a_rating_a_discharge_and_a_known_chemistry(one):
    assert [] == rules(steps(one))


def test_a_block_that_delivers_nothing_is_spent():
    assert ["capacity-spent"] == fired(steps(discharged("AGM", 0.0, discharge_time_h=20.0)))


# Cranking


@pytest.mark.parametrize(
    ("measured_a", "expected"),
    [
        (500.0, []),
        (375.0, []),
        (374.9, ["cranking-low"]),
        (250.0, ["cranking-low"]),
        (249.9, ["cranking-low", "cranking-spent"]),
        (0.0, ["cranking-low", "cranking-spent"]),
    ],
)
def test_a_cranking_current_is_low_below_three_quarters_and_spent_below_half(measured_a, expected):
    assert expected == fired(steps(battery("EFB", measured_cca_a=measured_a, rated_cca_a=500.0)))


def test_a_cranking_current_is_told_with_its_share():
    found = steps(battery("EFB", measured_cca_a=200.0, rated_cca_a=500.0))
    low = Step(
        rule=Rule.CRANKING_LOW,
        fired=True,
        effect=Effect.CAP_RECONDITIONABLE,
        text="It cranks 200 A of a rated 500 A, 0.4000; the limit is 0.75.",
        measured=0.4,
        limit=0.75,
        unit="1",
        next_step=AGAIN,
        source=POLICY.cranking.low_below.source,
        status="site choice",
    )
    spent = Step(
        rule=Rule.CRANKING_SPENT,
        fired=True,
        effect=Effect.RECYCLE,
        text="It cranks 200 A of a rated 500 A, 0.4000; the limit is 0.5.",
        measured=0.4,
        limit=0.5,
        unit="1",
        next_step=RECYCLE_STREAM,
        source=POLICY.cranking.spent_below.source,
        status="site choice",
    )
    assert_same(low, step_of(found, "cranking-low"))
    assert_same(spent, step_of(found, "cranking-spent"))


@pytest.mark.parametrize("fields", [{"measured_cca_a": 200.0}, {"rated_cca_a": 500.0}])
def test_a_cranking_current_needs_a_rating_and_a_rating_a_current(fields):
    assert [] == rules(steps(battery("EFB", **fields)))


# Load test


def loaded(voltage_v, chemistry="flooded", **fields):
    """Return a battery of 500 A and 80 Ah under half its cranking current for 15 s at 25 degC."""
    usual = {
        "rest_voltage_v": 12.6,
        "load_current_a": 250.0,
        "load_time_s": 15.0,
        "rated_cca_a": 500.0,
        "rated_capacity_ah": 80.0,
    }
    return battery(chemistry, load_voltage_v=voltage_v, **(usual | fields))


@pytest.mark.parametrize(
    ("temperature_c", "limit_v"),
    [
        (40.0, 9.6),
        (25.0, 9.6),
        (None, 9.6),
        (21.0, 9.6),
        (18.5, 9.55),
        (16.0, 9.5),
        (10.0, 9.4),
        (4.0, 9.3),
        (1.5, 9.2),
        (-1.0, 9.1),
        (-7.0, 8.9),
        (-12.0, 8.7),
        (-18.0, 8.5),
    ],
)
def test_a_load_test_fails_under_the_least_voltage_at_its_temperature(temperature_c, limit_v):
    fields = {"temperature_c": temperature_c, "rest_voltage_v": 12.7}
    for voltage_v, expected in (
        (limit_v + 0.001, False),
        (limit_v, False),
        (limit_v - 0.001, True),
    ):
        found = step_of(steps(loaded(voltage_v, **fields)), "load-test-fails")
        assert (expected, pytest.approx(limit_v)) == (found.fired, found.limit)


@pytest.mark.parametrize(
    ("voltage_v", "bench", "effect", "next_step", "probability", "u"),
    [
        # u = (0.005 * 9.5 + 0.02) / sqrt(3) = 0.0390 V; 0.1 V is 2.566 u
        (9.5, PLAIN, Effect.RECYCLE, RECYCLE_STREAM, 0.9948561, "0.0390"),
        # u = (0.005 * 9.55 + 0.02) / sqrt(3) = 0.0391 V; 0.05 V is 1.278 u
        (9.55, PLAIN, Effect.CAP_RECONDITIONABLE, AGAIN, 0.8994222, "0.0391"),
        (9.55, GOOD, Effect.RECYCLE, RECYCLE_STREAM, 0.9999953, "0.0113"),
        (9.599, PERFECT, Effect.RECYCLE, RECYCLE_STREAM, 1.0, "0.0000"),
    ],
)
def test_a_failed_load_test_recycles_where_the_meter_is_sure_of_it_else_caps(
    voltage_v, bench, effect, next_step, probability, u
):
    u_v = (bench.accuracy_percent / 100 * voltage_v + bench.accuracy_volts) / math.sqrt(3)
    expected = Step(
        rule=Rule.LOAD_TEST_FAILS,
        fired=True,
        effect=effect,
        text=(
            f"{voltage_v:g} V under load, u {u} V; at least 9.60 V is asked at this temperature: "
            f"P(below) = {probability:.3f}."
        ),
        measured=voltage_v,
        limit=9.6,
        limit_to_be_sure=sure(9.6, u_v),
        unit="V",
        probability=probability,
        next_step=next_step,
        source=POLICY.load_test.least_voltage_v.source,
        status="opened",
    )
    assert_same(expected, step_of(steps(loaded(voltage_v), bench), "load-test-fails"))


LITTLE = "199.9 A is less than the 200 A it takes"
NOT_USED = [
    ({"load_time_s": 12.99}, "it took 12.99 s instead of 13 to 17 s", 9.6),
    ({"load_time_s": 17.01}, "it took 17.01 s instead of 13 to 17 s", 9.6),
    ({"load_time_s": None}, "its current or time is missing", 9.6),
    ({"load_current_a": None}, "its current or time is missing", 10.5),
    ({"load_current_a": 199.9}, LITTLE, 10.5),
    ({"load_current_a": 199.9, "rated_capacity_ah": None}, LITTLE, 10.5),
    ({"load_current_a": 199.9, "rated_cca_a": None}, LITTLE, 10.5),
    ({"load_current_a": 199.9, "rated_capacity_ah": 300.0}, LITTLE, 10.5),
    (
        {"rated_cca_a": None, "rated_capacity_ah": None},
        "neither rated CCA nor rated capacity is known",
        10.5,
    ),
    ({"temperature_c": -18.1}, "-18.1 °C lies outside -18 to 40 °C", 8.5),
    ({"temperature_c": 40.1}, "40.1 °C lies outside -18 to 40 °C", 9.6),
]


def of_the_load(found):
    return [rule for rule in found if rule.startswith("load")]


@pytest.mark.parametrize(("fields", "why", "limit_v"), NOT_USED)
def test_a_load_test_outside_its_terms_is_noted_and_not_used(fields, why, limit_v):
    one = loaded(5.0, **fields)
    expected = Step(
        rule=Rule.LOAD_TEST_NOT_USED,
        fired=True,
        effect=Effect.NOTE,
        text=f"The load test is not used: {why}.",
        measured=5.0,
        limit=limit_v,
        unit="V",
        source=POLICY.load_test.least_voltage_v.source,
        status="opened",
    )
    assert ["load-test-not-used"] == of_the_load(rules(steps(one)))
    assert_same(expected, step_of(steps(one), "load-test-not-used"))


TOO_FLAT = [
    ({"rest_voltage_v": None}, "there is no open-circuit voltage from before it"),
    ({"rest_voltage_v": 12.399}, "it stood at 12.399 V before the load, under the 12.4 V it takes"),
    (
        {"rest_voltage_v": 12.41, "temperature_c": 35.0},
        "it stood at 12.395 V before the load, under the 12.4 V it takes",
    ),
]


@pytest.mark.parametrize(("fields", "why"), TOO_FLAT)
@pytest.mark.parametrize(("voltage_v", "collapses"), [(8.6, False), (8.599, True), (7.2, True)])
def test_a_load_test_of_a_flat_battery_is_not_used_but_a_collapse_is_no_matter_of_charge(
    fields, why, voltage_v, collapses
):
    found = steps(loaded(voltage_v, **fields))
    assert ["load-test-not-used", "load-collapses"] == of_the_load(rules(found))
    assert f"The load test is not used: {why}." == step_of(found, "load-test-not-used").text
    expected = Step(
        rule=Rule.LOAD_COLLAPSES,
        fired=collapses,
        effect=Effect.CAP_RECONDITIONABLE,
        text=f"It fell to {voltage_v:g} V under load; below 8.60 V a low charge alone does not explain it.",
        measured=voltage_v,
        limit=8.6,
        unit="V",
        next_step="Charge it fully, let it rest for two hours, and repeat the load test.",
        source="; ".join(
            (POLICY.load_test.least_voltage_v.source, POLICY.load_test.collapse_below_limit_v.source)
        ),
        status="site choice",
    )
    assert_same(expected, step_of(found, "load-collapses"))


def test_a_collapse_keeps_a_battery_from_sale():
    one = held(
        "flooded", (1.0, 12.9), load_voltage_v=7.2, load_current_a=250.0, load_time_s=15.0, rated_cca_a=500.0
    )
    verdict = graded(one)
    assert (Grade.RECONDITIONABLE, "load-collapses") == (verdict.grade, verdict.decisive.rule.id)


@pytest.mark.parametrize(
    ("current_a", "fields", "limit_v"),
    [
        (200.0, {}, 9.6),  # 0.4 x 500 A
        (199.9, {"rated_capacity_ah": 79.0}, 10.5),  # under that, but over 2.5 x 79 Ah
        (200.0, {"rated_cca_a": None}, 10.5),
        (200.0, {"rated_cca_a": 1500.0}, 10.5),
    ],
)
def test_a_load_that_only_counts_by_the_capacity_has_to_keep_0_9_volts_more(current_a, fields, limit_v):
    for voltage_v, expected in ((limit_v, False), (limit_v - 0.001, True)):
        found = step_of(steps(loaded(voltage_v, load_current_a=current_a, **fields)), "load-test-fails")
        assert (expected, pytest.approx(limit_v)) == (found.fired, found.limit)


@pytest.mark.parametrize(
    ("holds", "rest_v", "used"),
    [
        (((2.0, 12.8),), 11.9, True),
        (((2.0, 12.8),), None, True),
        (((2.0, 12.3),), 12.8, False),
        (((1.99, 12.8),), 11.9, False),
        (((1.99, 12.3),), 12.8, True),
        (((2.0, 12.8), (12.0, 12.3)), 12.8, False),
        (((2.0, 12.3), (12.0, 12.8)), None, True),
    ],
)
def test_the_voltage_before_the_load_is_the_latest_of_the_hold_else_that_at_rest(holds, rest_v, used):
    one = held(
        "flooded",
        *holds,
        rest_voltage_v=rest_v,
        load_voltage_v=9.9,
        load_current_a=250.0,
        load_time_s=15.0,
        rated_cca_a=500.0,
    )
    assert used == ("load-test-fails" in rules(steps(one)))
    assert used == load_test_counts(one, policy=POLICY)


def test_the_voltage_before_the_load_is_reduced_with_the_temperature_of_its_own_reading():
    readings = (HoldReading(12.0, 12.41, 35.0),)
    one = loaded(9.9, hold_readings=readings)
    assert "it stood at 12.395 V" in step_of(steps(one), "load-test-not-used").text


@pytest.mark.parametrize(
    "fields",
    [
        {"load_time_s": 13.0},
        {"load_time_s": 17.0},
        {"load_current_a": 200.0},
        {"load_current_a": 200.0, "rated_capacity_ah": None},
        {"load_current_a": 200.0, "rated_cca_a": None},
        {"load_current_a": 200.0, "rated_capacity_ah": 300.0},
        {"load_current_a": 200.0, "rated_cca_a": 1500.0},
        {"rest_voltage_v": 12.4},
        {"rest_voltage_v": 12.4, "temperature_c": None},
        {"rest_voltage_v": 12.385, "temperature_c": 15.0},
        {"rest_voltage_v": 12.6, "temperature_c": -18.0},
        {"rest_voltage_v": 12.6, "temperature_c": 40.0},
    ],
)
def test_a_load_test_on_the_edge_of_its_terms_is_used(fields):
    found = steps(loaded(8.0, **fields))
    assert ["load-test-fails"] == of_the_load(fired(found))


@pytest.mark.parametrize("chemistry", ["LFP", "other"])
def test_a_load_test_says_nothing_of_other_chemistries(chemistry):
    assert [] == [rule for rule in rules(steps(loaded(8.0, chemistry))) if rule.startswith("load")]


@pytest.mark.parametrize("chemistry", LEAD_ACID)
def test_a_load_test_speaks_of_every_lead_acid_block(chemistry):
    assert "load-test-fails" in fired(steps(loaded(8.0, chemistry)))


# Internal resistance


@pytest.mark.parametrize(
    ("measured_mohm", "fires", "effect", "limit", "next_step"),
    [
        (10.0, False, Effect.CAP_RECONDITIONABLE, 1.3, AGAIN),
        (12.99, False, Effect.CAP_RECONDITIONABLE, 1.3, AGAIN),
        (13.0, True, Effect.CAP_RECONDITIONABLE, 1.3, AGAIN),
        (19.99, True, Effect.CAP_RECONDITIONABLE, 1.3, AGAIN),
        (20.0, True, Effect.RECYCLE, 2.0, RECYCLE_STREAM),
        (50.0, True, Effect.RECYCLE, 2.0, RECYCLE_STREAM),
    ],
)
def test_a_resistance_is_high_from_1_3_and_spent_from_2_times_its_rating(
    measured_mohm, fires, effect, limit, next_step
):
    limits = POLICY.resistance
    one = battery("gel", internal_resistance_mohm=measured_mohm, rated_resistance_mohm=10.0)
    expected = Step(
        rule=Rule.RESISTANCE_HIGH,
        fired=fires,
        effect=effect,
        text=(
            f"The internal resistance is {measured_mohm:g} mΩ of a rated 10 mΩ, "
            f"{measured_mohm / 10:.4f} times; the limit is {limit:g}."
        ),
        measured=measured_mohm / 10,
        limit=limit,
        unit="1",
        next_step=next_step,
        source=(limits.high_from if limit == 1.3 else limits.spent_from).source,
        status="from memory" if limit == 1.3 else "site choice",
    )
    assert_same(expected, step_of(steps(one), "resistance-high"))


@pytest.mark.parametrize("fields", [{"internal_resistance_mohm": 9.0}, {"rated_resistance_mohm": 3.0}])
def test_a_resistance_needs_a_rating_and_a_rating_a_resistance(fields):
    assert [] == rules(steps(battery("gel", **fields)))


# Specific gravity


@pytest.mark.parametrize(
    ("highest", "fires", "effect", "limit", "next_step"),
    [
        (1.245, False, Effect.CAP_RECONDITIONABLE, 0.025, EQUALISE),
        (1.270, False, Effect.CAP_RECONDITIONABLE, 0.025, EQUALISE),
        (1.271, True, Effect.CAP_RECONDITIONABLE, 0.025, EQUALISE),
        (1.295, True, Effect.CAP_RECONDITIONABLE, 0.025, EQUALISE),
        (1.296, True, Effect.RECYCLE, 0.050, RECYCLE_STREAM),
    ],
)
def test_gravities_that_lie_apart_cap_and_then_recycle(highest, fires, effect, limit, next_step):
    spread = round(highest - 1.245, 3)
    limits = POLICY.specific_gravity
    expected = Step(
        rule=Rule.GRAVITY_SPREAD,
        fired=fires,
        effect=effect,
        text=f"The specific gravities lie {spread:.3f} apart; the limit is {limit:.3f}.",
        measured=spread,
        limit=limit,
        unit="1",
        next_step=next_step,
        source=(limits.spread_high_above if limit == 0.025 else limits.spread_fails_above).source,
        status="opened",
    )
    one = battery("flooded", specific_gravity=(1.245, 1.245, 1.245, highest, 1.245, 1.245))
    assert_same(expected, step_of(steps(one), "gravity-spread"))


@pytest.mark.parametrize(("lowest", "fires"), [(1.149, True), (1.150, False), (1.151, False)])
def test_a_gravity_below_1_150_after_a_charge_recycles(lowest, fires):
    one = held("flooded", (0.25, 12.0), specific_gravity=(1.16, lowest, 1.16, 1.16, 1.16, 1.16))
    expected = Step(
        rule=Rule.GRAVITY_LOW,
        fired=fires,
        effect=Effect.RECYCLE,
        text=f"After a charge the lowest specific gravity is {lowest:.3f}; the limit is 1.150.",
        measured=lowest,
        limit=1.150,
        unit="1",
        next_step=RECYCLE_STREAM,
        source=POLICY.specific_gravity.lowest.source,
        status="opened",
    )
    assert_same(expected, step_of(steps(one), "gravity-low"))


@pytest.mark.parametrize(
    ("hold_v", "stale"),
    [(11.80, True), (11.81, False), (12.06, False), (12.31, False), (12.32, True), (12.9, True)],
)
def test_gravities_that_do_not_fit_the_hold_are_noted_and_not_used(hold_v, stale):
    """Mean 1.150: 12.06 V by Bode 1977; 0.25 V either way still fits."""
    by_acid_v = 12.06
    one = held("flooded", (12.0, hold_v), specific_gravity=(1.14, 1.15, 1.15, 1.15, 1.15, 1.16))
    found = steps(one)
    assert ["gravity-stale" if stale else "gravity-low"] == fired(found)
    expected = Step(
        rule=Rule.GRAVITY_STALE,
        fired=stale,
        effect=Effect.NOTE,
        text=(
            f"The gravities stand for {by_acid_v:.2f} V, the hold's last reading is {hold_v:g} V: they seem "
            "older than the charge and are not used."
        ),
        measured=abs(by_acid_v - hold_v),
        limit=0.25,
        unit="V",
        source="; ".join(
            (POLICY.cross_checks.gravity_to_block_v.source, POLICY.cross_checks.gravity_against_rest_v.source)
        ),
        status=step_of(found, "gravity-stale").status,
    )
    assert_same(expected, step_of(found, "gravity-stale"))


def test_strong_gravities_are_neither_low_nor_stale():
    one = held("flooded", (12.0, 12.0), specific_gravity=(1.26,) * 6)
    assert [] == fired(steps(one))


def test_without_a_charge_a_low_gravity_says_nothing():
    assert ["gravity-spread"] == rules(steps(battery("flooded", specific_gravity=(1.10,) * 6)))


@pytest.mark.parametrize("chemistry", ["flooded sealed", "EFB", "AGM", "gel", "LFP", "unknown"])
def test_a_gravity_is_of_a_flooded_block_only(chemistry):
    assert [] == rules(steps(held(chemistry, (12.0, 12.9), specific_gravity=(1.1, 1.2, 1.2, 1.2, 1.2, 1.2))))


# LFP cells


@pytest.mark.parametrize(
    ("highest_v", "fires", "effect", "limit", "next_step"),
    [
        (3.30, False, Effect.CAP_RECONDITIONABLE, 0.05, BALANCE),
        (3.35, False, Effect.CAP_RECONDITIONABLE, 0.05, BALANCE),
        (3.351, True, Effect.CAP_RECONDITIONABLE, 0.05, BALANCE),
        (3.60, True, Effect.CAP_RECONDITIONABLE, 0.05, BALANCE),
        (3.601, True, Effect.RECYCLE, 0.30, RECYCLE_STREAM),
    ],
)
def test_cells_that_lie_apart_cap_and_then_recycle(highest_v, fires, effect, limit, next_step):
    spread = round(highest_v - 3.30, 3)
    limits = POLICY.lfp_cells
    expected = Step(
        rule=Rule.CELL_SPREAD,
        fired=fires,
        effect=effect,
        text=f"The cell voltages lie {spread:.3f} V apart; the limit is {limit:.3f} V.",
        measured=spread,
        limit=limit,
        unit="V",
        next_step=next_step,
        source=(limits.spread_high_above_v if limit == 0.05 else limits.spread_fails_above_v).source,
        status="site choice",
    )
    one = battery("LFP", cell_voltages_v=(3.30, highest_v, 3.30, 3.30))
    assert_same(expected, step_of(steps(one), "cell-spread"))


UP_SLOWLY = "A qualified person brings the cell up at low current by the maker's instructions."
DEAD = "Do not charge it; keep it apart and hand it to the recycle stream as damaged."


@pytest.mark.parametrize(
    ("lowest_v", "fires", "effect", "handling", "limit", "next_step"),
    [
        (2.001, False, Effect.CAP_RECONDITIONABLE, Handling.SUSPECT, 2.0, UP_SLOWLY),
        (2.0, False, Effect.CAP_RECONDITIONABLE, Handling.SUSPECT, 2.0, UP_SLOWLY),
        (1.999, True, Effect.CAP_RECONDITIONABLE, Handling.SUSPECT, 2.0, UP_SLOWLY),
        (1.5, True, Effect.CAP_RECONDITIONABLE, Handling.SUSPECT, 2.0, UP_SLOWLY),
        (1.499, True, Effect.RECYCLE, Handling.DAMAGED, 1.5, DEAD),
        (0.0, True, Effect.RECYCLE, Handling.DAMAGED, 1.5, DEAD),
    ],
)
def test_a_cell_below_2_volts_is_suspect_and_below_1_5_volts_damaged(
    lowest_v, fires, effect, handling, limit, next_step
):
    limits = POLICY.lfp_cells
    expected = Step(
        rule=Rule.CELL_OVERDISCHARGED,
        fired=fires,
        effect=effect,
        handling=handling,
        text=f"The lowest cell stands at {lowest_v:g} V; the limit is {limit:g} V.",
        measured=lowest_v,
        limit=limit,
        unit="V",
        next_step=next_step,
        source=(limits.overdischarged_below_v if limit == 2.0 else limits.dead_below_v).source,
        status="opened",
    )
    one = battery("LFP", cell_voltages_v=(2.01, 2.01, lowest_v, 2.01))
    assert_same(expected, step_of(steps(one), "cell-overdischarged"))


@pytest.mark.parametrize("chemistry", [*LEAD_ACID, "unknown"])
def test_cell_voltages_are_of_an_lfp_block_only(chemistry):
    assert [] == rules(steps(battery(chemistry, cell_voltages_v=(1.0, 3.3, 3.3, 3.3))))


GOOD_REST = {"rest_voltage_v": 12.7}


@pytest.mark.parametrize(
    ("one", "grade", "handling", "decisive"),
    [
        (discharged("AGM", 0.95, **GOOD_REST), Grade.RESALE, Handling.INTACT, "rests-high"),
        (discharged("AGM", 0.70, **GOOD_REST), Grade.RECONDITIONABLE, Handling.INTACT, "capacity-low"),
        (discharged("AGM", 0.50, **GOOD_REST), Grade.RECYCLE, Handling.INTACT, "capacity-spent"),
        (loaded(9.9), Grade.RESALE, Handling.INTACT, "rests-high"),
        (loaded(9.59), Grade.RECONDITIONABLE, Handling.INTACT, "load-test-fails"),
        (loaded(9.0), Grade.RECYCLE, Handling.INTACT, "load-test-fails"),
        (loaded(9.0, load_time_s=10.0), Grade.RESALE, Handling.INTACT, "rests-high"),
        (
            battery("LFP", rest_voltage_v=13.2, cell_voltages_v=(1.9, 1.9, 1.9, 1.9)),
            Grade.RECONDITIONABLE,
            Handling.SUSPECT,
            "cell-overdischarged",
        ),
        (
            battery("LFP", rest_voltage_v=13.2, cell_voltages_v=(1.4, 1.4, 1.4, 1.4)),
            Grade.RECYCLE,
            Handling.DAMAGED,
            "cell-overdischarged",
        ),
        (
            battery("AGM", measured_cca_a=200.0, rated_cca_a=500.0, **GOOD_REST),
            Grade.RECYCLE,
            Handling.INTACT,
            "cranking-spent",
        ),
    ],
)
def test_what_a_strength_test_decides(one, grade, handling, decisive):
    verdict = graded(one)
    assert (grade, handling, decisive) == (verdict.grade, verdict.handling, verdict.decisive.rule.id)
