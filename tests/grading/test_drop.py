"""The pair of a hold and the drop over it."""

import math
from statistics import NormalDist

import pytest

from intake.grading.drop import drop_steps, levelling, pair_of
from intake.grading.quantities import Bench
from intake.grading.settling import evaluate_hold
from intake.model.battery import Chemistry, HoldReading
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Step
from tests.changed import replace
from tests.grading.builders import (
    GOOD,
    PERFECT,
    POLICY,
    RECYCLE_STREAM,
    assert_same,
    battery,
    fired,
    graded,
    held,
    rules,
    step_of,
    sure,
)

LEAD_ACID = ("flooded", "flooded sealed", "EFB", "AGM", "gel")
SLOPES = {"flooded": 0.040, "flooded sealed": 0.040, "EFB": 0.040, "AGM": 0.055, "gel": 0.055}
"""The default b of the contract, V per e-fold."""
CLOSED = "Recover it at low current (its cells do not open: no equalising), charge it fully"


def steps(one, bench=PERFECT):
    return tuple(drop_steps(evaluate_hold(one, bench=bench), bench=bench))


def hours_of(pair):
    return None if pair is None else (pair.first.after_charge_h, pair.last.after_charge_h)


@pytest.mark.parametrize(
    ("chemistry", "hours", "expected"),
    [
        # a late pair: from 24 h, a day apart
        ("AGM", (24.0, 48.0), (24.0, 48.0)),
        ("AGM", (24.0, 47.99), (24.0, 47.99)),  # no day apart, but 1.9 times the hours: an early pair
        ("AGM", (23.99, 48.0), (23.99, 48.0)),
        ("AGM", (2.0, 24.0, 48.0), (24.0, 48.0)),
        ("AGM", (2.0, 23.99, 48.0), (2.0, 48.0)),
        ("AGM", (24.0, 30.0, 54.0), (24.0, 54.0)),
        ("AGM", (30.0, 53.99), None),
        # an early pair: from 2 h (LFP 3 h), 1.9 times the hours
        ("AGM", (2.0, 3.8), (2.0, 3.8)),
        ("AGM", (2.0, 3.79), None),
        ("AGM", (1.99, 12.0), None),
        ("AGM", (0.5, 2.0, 6.0, 12.0), (2.0, 12.0)),
        ("AGM", (0.5, 12.0), None),
        ("LFP", (3.0, 5.7), (3.0, 5.7)),
        ("LFP", (2.99, 12.0), None),
        ("LFP", (2.99, 6.0, 12.0), (6.0, 12.0)),
        ("AGM", (12.0,), None),
    ],
)
def test_the_pair_is_the_latest_reading_and_the_earliest_settled_one_before_it(chemistry, hours, expected):
    hold = evaluate_hold(held(chemistry, *((hour, 13.0) for hour in hours)), bench=PERFECT)
    assert expected == hours_of(pair_of(hold, policy=POLICY))


def test_a_pair_carries_its_voltages_at_25_degrees():
    readings = (HoldReading(24.0, 13.0, 27.0), HoldReading(48.0, 12.9, 25.0))
    pair = pair_of(evaluate_hold(battery("AGM", hold_readings=readings), bench=PERFECT), policy=POLICY)
    assert (pytest.approx(12.997), 12.9) == (pair.first_v, pair.last_v)
    assert pytest.approx(math.log(2)) == pair.efolds


def test_a_drop_is_told_with_the_settling_that_explains_it():
    """The last worked example: E 0.043, u_E 0.033, P(E <= 0.1) 0.957, without the middle reading."""
    found = steps(held("AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85)), GOOD)
    assert ["hold-drop-fails", "hold-drop-unclear", "hold-drop-high"] == rules(found)
    assert [] == fired(found)
    text = (
        "It fell 0.150 V from 24 to 168 h; settling accounts for 0.107 V, 0.043 V is beyond it, u 0.0331 V: "
    )
    slope = POLICY.hold.slope_v_per_efold["AGM"]
    excess, u = (
        0.15 - 0.055 * math.log(7),
        math.hypot(math.sqrt(2) * 0.01 / math.sqrt(3), 0.0165 * math.log(7)),
    )
    fails = Step(
        rule=Rule.HOLD_DROP_FAILS,
        fired=False,
        effect=Effect.RECYCLE,
        text=text + "P(> 0.1 V) = 0.043.",
        measured=excess,
        limit=0.1,
        unit="V",
        limit_to_be_sure=sure(0.1, u),
        probability=1 - NormalDist(excess, u).cdf(0.1),
        next_step=RECYCLE_STREAM,
        source=f"{POLICY.hold.drop_fails_v.source}; {slope.source}",
        status="site choice",
    )
    unclear = replace(
        fails,
        rule=Rule.HOLD_DROP_UNCLEAR,
        effect=Effect.UNRESOLVED,
        text=text + "P(≤ 0.1 V) = 0.957.",
        limit_to_be_sure=sure(0.1, -u),
        probability=NormalDist(excess, u).cdf(0.1),
        next_step="Leave it standing, do not charge it, and read it again at 192 h or later.",
        again_after_h=192.0,
    )
    high = replace(
        fails,
        rule=Rule.HOLD_DROP_HIGH,
        effect=Effect.CAP_RECONDITIONABLE,
        text=text + "P(> 0.05 V) = 0.416.",
        limit=0.05,
        limit_to_be_sure=sure(0.05, u),
        probability=1 - NormalDist(excess, u).cdf(0.05),
        next_step=f"{CLOSED}, and hold-test it again over a day or longer.",
        source=f"{POLICY.hold.drop_high_v.source}; {slope.source}",
    )
    for expected in (fails, unclear, high):
        assert_same(expected, step_of(found, expected.rule.id))


@pytest.mark.parametrize("chemistry", LEAD_ACID)
@pytest.mark.parametrize(("rule", "limit_v"), [("hold-drop-fails", 0.100), ("hold-drop-high", 0.050)])
def test_a_drop_fires_from_1_645_standard_uncertainties_beyond_its_limit(chemistry, rule, limit_v):
    """24 to 48 h, a meter without error: the settling b ln 2 and its 30 % are all the doubt there is."""
    tail = SLOPES[chemistry] * math.log(2)
    edge = limit_v + tail + 1.6448536 * 0.3 * tail
    for drop, expected in ((edge - 1e-5, False), (edge + 1e-5, True)):
        found = steps(held(chemistry, (24.0, 13.0), (48.0, 13.0 - drop)))
        assert expected == (rule in fired(found))


@pytest.mark.parametrize("chemistry", LEAD_ACID)
def test_a_drop_is_unclear_from_1_645_standard_uncertainties_short_of_its_limit_until_it_fails(chemistry):
    tail = SLOPES[chemistry] * math.log(2)
    doubt = 1.6448536 * 0.3 * tail
    for beyond, expected in (
        (-doubt - 1e-5, False),
        (-doubt + 1e-5, True),
        (doubt - 1e-5, True),
        (doubt + 1e-5, False),
    ):
        found = steps(held(chemistry, (24.0, 13.0), (48.0, 13.0 - 0.100 - tail - beyond)))
        assert expected == ("hold-drop-unclear" in fired(found))


def test_a_drop_that_fails_is_not_called_high_or_unclear_as_well():
    assert ["hold-drop-fails"] == fired(steps(held("AGM", (24.0, 13.0), (48.0, 12.7))))


def test_a_high_drop_may_be_unclear_too():
    assert ["hold-drop-unclear", "hold-drop-high"] == fired(steps(held("AGM", (24.0, 13.0), (48.0, 12.86))))


def test_the_fixed_error_of_the_meter_makes_a_drop_less_sure_and_its_gain_does_not():
    one = held("AGM", (24.0, 13.0), (48.0, 12.842))
    assert "hold-drop-fails" in fired(steps(one, Bench(POLICY, 5.0, 0.0)))
    assert "hold-drop-fails" not in fired(steps(one, Bench(POLICY, 0.0, 0.01)))


@pytest.mark.parametrize(("rule", "limit_v"), [("hold-drop-fails", 0.100), ("hold-drop-high", 0.050)])
@pytest.mark.parametrize(("beyond_v", "expected"), [(0.0232, False), (0.0233, True)])
def test_an_lfp_block_has_no_settling_to_allow_for_but_two_readings_to_doubt(
    rule, limit_v, beyond_v, expected
):
    """u_E = sqrt(2) 0.010 V with a meter without error: sure from 0.02326 V beyond the limit."""
    found = steps(held("LFP", (3.0, 13.4), (12.0, 13.4 - limit_v - beyond_v)))
    assert expected == (rule in fired(found))


@pytest.mark.parametrize(
    ("first_v", "allowed", "excess_v"), [(13.4, "0.000", 0.04), (13.5, "0.000", 0.14), (13.6, "0.100", 0.14)]
)
def test_what_an_lfp_block_reads_above_13_5_volts_is_surface_charge_and_no_drop(first_v, allowed, excess_v):
    found = step_of(steps(held("LFP", (3.0, first_v), (24.0, 13.36))), "hold-drop-fails")
    assert pytest.approx(excess_v) == found.measured
    assert f"settling accounts for {allowed} V" in found.text


def test_a_larger_fall_of_an_lfp_block_never_grades_better():
    """Second reading 13.36 V at 24 h, the first at 3 h from 13.36 to 13.70 V: across the 13.5 V as well."""
    order = [Grade.RESALE, Grade.RECONDITIONABLE, Grade.UNRESOLVED, Grade.RECYCLE]
    grades = [
        graded(held("LFP", (3.0, 13.36 + step / 200), (24.0, 13.36)), PERFECT).grade for step in range(68)
    ]
    places = [order.index(grade) for grade in grades]
    assert sorted(places) == places
    assert {Grade.RESALE, Grade.UNRESOLVED, Grade.RECYCLE} <= set(grades)


def test_the_surface_charge_of_an_lfp_block_is_judged_as_read():
    cold = (HoldReading(3.0, 13.5, 5.0), HoldReading(12.0, 13.2, 5.0))
    found = step_of(steps(battery("LFP", hold_readings=cold)), "hold-drop-fails")
    assert pytest.approx(0.3) == found.measured


@pytest.mark.parametrize(
    ("temperatures", "judged"),
    [
        ((25.0, 20.0), True),
        ((20.0, 25.0), True),
        ((25.0, 19.9), False),
        ((20.0, 25.1), False),
        ((None, 5.0), True),
        ((45.0, None), True),
        ((None, None), True),
    ],
)
def test_readings_more_than_5_kelvin_apart_are_not_judged(temperatures, judged):
    readings = tuple(
        HoldReading(h, v, t) for h, v, t in zip((24.0, 48.0), (13.0, 12.9), temperatures, strict=True)
    )
    found = steps(battery("AGM", hold_readings=readings))
    every = ["hold-drop-fails", "hold-drop-unclear", "hold-drop-high"]
    assert (every if judged else ["hold-drop-not-judged"]) == rules(found)


def test_a_drop_that_is_not_judged_says_so():
    cooled = (HoldReading(24.0, 13.0, 45.0), HoldReading(48.0, 12.85, -15.0))
    (found,) = steps(battery("AGM", hold_readings=cooled))
    expected = Step(
        rule=Rule.HOLD_DROP_NOT_JUDGED,
        fired=True,
        effect=Effect.NOTE,
        text=(
            "The readings at 24 and 48 h were taken at 45 and -15 °C, more than 5 K apart: no drop is judged."
        ),
        source=POLICY.hold.temperature_apart_k.source,
        status="site choice",
    )
    assert expected == found


@pytest.mark.parametrize(
    ("hours", "again_h"),
    [
        ((24.0, 48.0), 72.0),
        ((24.0, 71.99), 72.0),
        ((24.0, 72.0), 96.0),
        ((24.0, 96.0), 120.0),
        ((2.0, 5.0), 6.0),
        ((2.0, 12.0), 36.0),
    ],
)
def test_an_unclear_drop_is_read_again_at_three_times_the_hours_or_a_day_on(hours, again_h):
    tail = 0.055 * math.log(hours[1] / hours[0])
    found = step_of(steps(held("AGM", (hours[0], 13.0), (hours[1], 12.9 - tail))), "hold-drop-unclear")
    assert found.fired
    assert again_h == found.again_after_h
    assert (
        f"Leave it standing, do not charge it, and read it again at {again_h:g} h or later."
        == found.next_step
    )


@pytest.mark.parametrize(
    ("one", "grade", "decisive"),
    [
        (held("AGM", (24.0, 13.1), (48.0, 12.85)), Grade.RECYCLE, "hold-drop-fails"),
        (held("AGM", (24.0, 13.2), (48.0, 13.06)), Grade.UNRESOLVED, "hold-drop-unclear"),
        (held("AGM", (24.0, 13.2), (48.0, 13.09)), Grade.RECONDITIONABLE, "hold-drop-high"),
        (held("LFP", (3.0, 13.49), (12.0, 13.36)), Grade.RECYCLE, "hold-drop-fails"),
        (held("LFP", (0.5, 13.49), (12.0, 13.36)), Grade.RESALE, "hold-high"),
        (held("LFP", (0.5, 13.51), (12.0, 13.36)), Grade.RESALE, "hold-high"),
    ],
)
def test_what_a_drop_decides(one, grade, decisive):
    verdict = graded(one, PERFECT)
    assert (grade, decisive) == (verdict.grade, verdict.decisive.rule.id)


@pytest.mark.parametrize(
    ("chemistry", "told"),
    [
        ("flooded", "Charge it fully, equalise it"),
        ("flooded sealed", CLOSED),
        ("EFB", CLOSED),
        ("AGM", CLOSED),
        ("gel", CLOSED),
        ("LFP", "Charge it fully, balance its cells"),
    ],
)
def test_only_cells_that_open_are_equalised(chemistry, told):
    assert told == levelling(Chemistry(chemistry))


def test_an_lfp_drop_is_doubted_for_the_meter_and_for_settling():
    found = step_of(steps(held("LFP", (3.0, 13.4), (12.0, 13.3)), GOOD), "hold-drop-fails")
    u = math.hypot(math.sqrt(2) * 0.01 / math.sqrt(3), math.sqrt(2) * 0.010)
    assert pytest.approx(sure(0.1, u)) == found.limit_to_be_sure


def test_a_high_drop_is_levelled_as_its_chemistry_is():
    flooded = step_of(steps(held("flooded", (24.0, 13.0), (48.0, 12.85))), "hold-drop-high")
    assert flooded.next_step.startswith("Charge it fully, equalise it, and hold-test it again")
