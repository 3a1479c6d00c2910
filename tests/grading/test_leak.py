"""The fit over a hold, the self-discharge it gives, and the rules of a leak."""

import math
import statistics
from statistics import NormalDist

import pytest

from intake.grading.leak import Fit, fit_of, leak_steps, self_discharge
from intake.grading.quantities import Bench
from intake.grading.settling import evaluate_hold
from intake.model.battery import HoldReading
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Step
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
    policy_with,
    rules,
    step_of,
    sure,
)

WEEK = held("AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85))
"""The last worked example of the contract."""


def fit(one, bench=GOOD):
    return fit_of(evaluate_hold(one, bench=bench), bench=bench)


def steps(one, bench=GOOD):
    return tuple(leak_steps(evaluate_hold(one, bench=bench), bench=bench))


def leaking(rate_v_per_day, hours=(24.0, 96.0, 168.0), chemistry="AGM", b=0.055):
    """Return a battery that settles along the default slope and loses so much a day beside it."""
    return held(chemistry, *((h, 13.2 - b * math.log(h) - rate_v_per_day * h / 24) for h in hours))


def test_the_worked_example_comes_out():
    """B 0.0589, r 0.0059 V/day, u_r 0.0030, P(r > 0.0015) 0.930, P(r > 0.0050) 0.618."""
    found = fit(WEEK)
    assert (3, 0, 168.0) == (found.readings, found.left_out, found.last_h)
    assert (0.0589, 0.0059, 0.0030) == (
        round(found.slope_v_per_efold, 4),
        round(found.rate_v_per_day, 4),
        round(found.rate_uncertainty_v_per_day, 4),
    )
    probabilities = [round(step.probability, 3) for step in steps(WEEK)]
    assert [0.618, 0.930] == probabilities
    loss = self_discharge(evaluate_hold(WEEK, bench=GOOD), bench=GOOD)
    assert (15.9, 95) == (round(loss.percent_per_month, 1), int(loss.single_cell_percent_per_month))
    assert 6.4 == round(loss.seen_from_v_per_day * 1000, 1)


def test_readings_on_the_curve_itself_give_it_back():
    found = fit(leaking(0.004))
    assert pytest.approx((0.055, 0.004)) == (found.slope_v_per_efold, found.rate_v_per_day)


@pytest.mark.parametrize(
    ("hours", "readings"), [((2.0, 24.0), 2), ((1.99, 24.0), None), ((1.99, 2.0, 24.0), 2)]
)
def test_readings_count_from_two_hours_and_it_takes_two_of_them(hours, readings):
    found = fit(held("AGM", *((hour, 13.0) for hour in hours)))
    assert readings == (found and found.readings)


def test_an_lfp_block_has_no_fit_and_no_figure():
    one = held("LFP", (24.0, 13.4), (96.0, 13.38), (168.0, 13.36))
    assert fit(one) is None
    assert [] == rules(steps(one))
    assert graded(one).self_discharge is None


@pytest.mark.parametrize(
    ("temperatures", "readings", "left_out"),
    [
        ((30.0, 25.0, 25.0), 3, 0),
        ((30.1, 25.0, 25.0), 2, 1),
        ((19.9, 30.1, 25.0), None, None),
        ((None, 25.0, 25.0), 3, 0),
    ],
)
def test_readings_more_than_5_kelvin_from_the_latest_are_left_out(temperatures, readings, left_out):
    holds = tuple(
        HoldReading(h, v, t)
        for h, v, t in zip((24.0, 96.0, 168.0), (13.0, 12.9, 12.85), temperatures, strict=True)
    )
    found = fit(battery("AGM", hold_readings=holds))
    assert (readings, left_out) == ((found.readings, found.left_out) if found else (None, None))


def test_a_reading_that_is_left_out_is_named_and_no_longer_counts():
    holds = tuple(
        HoldReading(h, v, t) for h, v, t in ((24, 13.0, 35.0), (96, 12.9, 25.0), (168, 12.85, 25.0))
    )
    (found,) = steps(battery("AGM", hold_readings=holds))
    expected = Step(
        rule=Rule.LEAK_READING_LEFT_OUT,
        fired=True,
        effect=Effect.NOTE,
        text=(
            "1 reading(s) taken more than 5 K from the latest one's temperature are left out of the "
            "self-discharge."
        ),
        source=POLICY.hold.temperature_apart_k.source,
        status="site choice",
    )
    assert expected == found


def test_half_of_the_meters_fixed_part_is_common_to_its_readings():
    """Two readings and a certain slope: u_r = sqrt(2) u over the days between them, 3 here."""
    policy = policy_with(hold__slope_relative_uncertainty=0)
    found = fit(held("AGM", (24.0, 13.0), (96.0, 12.9)), Bench(policy, 5.0, 0.02))
    u = math.hypot(0.02 / 2 / math.sqrt(3), 0.002)
    assert isinstance(found, Fit)
    assert pytest.approx(math.sqrt(2) * u / 3) == found.rate_uncertainty_v_per_day
    assert pytest.approx((0.1 - 0.055 * math.log(4)) / 3) == found.rate_v_per_day
    assert 0.055 == found.slope_v_per_efold


def test_two_readings_lean_on_the_slope_of_the_chemistry():
    """With two readings the slope is the default and its 30 % stand in u_r."""
    found = fit(held("AGM", (24.0, 13.0), (96.0, 12.9)))
    u = math.hypot(0.01 / 2 / math.sqrt(3), 0.002)
    expected = math.hypot(math.sqrt(2) * u, 0.3 * 0.055 * math.log(4)) / 3
    assert pytest.approx(0.055) == found.slope_v_per_efold
    assert pytest.approx(expected) == found.rate_uncertainty_v_per_day


def test_the_same_fall_is_the_same_loss_wherever_the_voltages_lie():
    low, high = (
        graded(held("AGM", (24.0, start), (96.0, start - 0.14))).self_discharge for start in (12.95, 13.05)
    )
    assert pytest.approx(low.percent_per_month) == high.percent_per_month
    assert low.percent_per_month > 0


@pytest.mark.parametrize(
    ("chemistry", "slope", "percent_per_v"),
    [
        ("flooded", 0.040, 40 / 0.35),
        ("EFB", 0.040, 40 / 0.402),
        ("AGM", 0.055, 40 / 0.45),
        ("gel", 0.055, 40 / 0.382),
    ],
)
def test_the_loss_a_month_comes_by_the_tables_upper_slope_with_its_interval(chemistry, slope, percent_per_v):
    one = leaking(0.002, chemistry=chemistry, b=slope)
    loss = self_discharge(evaluate_hold(one, bench=GOOD), bench=GOOD)
    a_month = 30.4 * percent_per_v
    u = fit(one).rate_uncertainty_v_per_day
    assert pytest.approx(0.002 * a_month) == loss.percent_per_month
    assert pytest.approx((0.002 - 1.96 * u) * a_month) == loss.low
    assert pytest.approx(fit(one).highest_v_per_day * a_month) == loss.high
    assert pytest.approx(6 * 0.002 * a_month) == loss.single_cell_percent_per_month
    assert pytest.approx((0.002, u, sure(0.0015, u))) == (
        loss.rate_v_per_day,
        loss.rate_uncertainty_v_per_day,
        loss.seen_from_v_per_day,
    )


def test_the_interval_ends_where_the_whole_fall_is_a_loss_as_nobody_measured_settling_that_late():
    """The last worked example: 13.00, 12.90 and 12.85 V at 1, 4 and 7 days fall by 25 mV a day."""
    u = math.hypot(0.5 * 0.01 / math.sqrt(3), 0.002) / math.sqrt(18)
    assert pytest.approx(0.025 + 1.96 * u) == fit(WEEK).highest_v_per_day


def test_early_readings_are_left_out_of_the_upper_end_where_two_later_ones_are_there():
    """What falls within the first day is settling for certain: 12.90 to 12.84 V over three days count."""
    one = held("AGM", (2.0, 13.02), (12.0, 12.93), (24.0, 12.90), (96.0, 12.84))
    u = math.hypot(0.5 * 0.01 / math.sqrt(3), 0.002) / math.sqrt(4.5)
    assert pytest.approx(0.020 + 1.96 * u) == fit(one).highest_v_per_day
    early = held("AGM", (2.0, 13.00), (12.0, 12.90), (23.9, 12.86), (96.0, 12.86))
    days = [hours / 24 for hours in (2.0, 12.0, 23.9, 96.0)]
    fall = -statistics.linear_regression(days, [13.00, 12.90, 12.86, 12.86]).slope
    assert fit(early).highest_v_per_day > fall > 0.020


def test_where_settling_explains_nothing_the_interval_ends_at_the_fits_own_upper_limit():
    """Readings that fall faster the later it gets would ask for less than no settling."""
    found = fit(held("AGM", (24.0, 12.900), (96.0, 12.900), (168.0, 12.700)))
    assert pytest.approx(found.rate_v_per_day + 1.96 * found.rate_uncertainty_v_per_day) == (
        found.highest_v_per_day
    )


def test_a_voltage_that_rises_is_not_clipped_to_no_loss():
    assert graded(held("AGM", (24.0, 12.9), (96.0, 12.9))).self_discharge.percent_per_month < 0


@pytest.mark.parametrize(
    ("hours", "listed"),
    [
        ((24.0, 48.0, 96.0), True),
        ((24.0, 48.0, 95.9), False),
        ((2.0, 24.0, 96.0), True),
        ((1.9, 24.0, 96.0), False),
        ((24.0, 168.0), False),
    ],
)
def test_a_leak_takes_three_readings_and_four_days(hours, listed):
    expected = ["leak-fails", "leak-suspect"] if listed else []
    assert expected == rules(steps(held("AGM", *((hour, 13.0) for hour in hours))))


@pytest.mark.parametrize(("hours", "tells"), [((24.0, 48.0, 96.0), True), ((24.0, 96.0), False)])
def test_the_figure_says_whether_the_hold_tells_a_leak_from_settling(hours, tells):
    one = held("AGM", *((hour, 13.0) for hour in hours))
    assert self_discharge(evaluate_hold(one, bench=GOOD), bench=GOOD).tells_a_leak is tells


def test_a_leak_is_told_with_its_rate():
    found = steps(WEEK)
    rate, u = fit(WEEK).rate_v_per_day, fit(WEEK).rate_uncertainty_v_per_day
    slope = POLICY.hold.slope_v_per_efold["AGM"].source
    text = (
        "Over 3 readings to 168 h it loses 0.0059 V a day beside settling (0.0589 V per e-fold), u 0.0030: "
    )
    fails = Step(
        rule=Rule.LEAK_FAILS,
        fired=False,
        effect=Effect.RECYCLE,
        text=text + "P(> 0.005 V a day) = 0.618.",
        measured=rate,
        limit=0.005,
        unit="V/d",
        limit_to_be_sure=sure(0.005, u),
        probability=1 - NormalDist(rate, u).cdf(0.005),
        next_step=RECYCLE_STREAM,
        source=f"{POLICY.self_discharge.leak_fails_v_per_day.source}; {slope}",
        status="site choice",
    )
    suspect = Step(
        rule=Rule.LEAK_SUSPECT,
        fired=True,
        effect=Effect.CAP_RECONDITIONABLE,
        text=text + "P(> 0.0015 V a day) = 0.930.",
        measured=rate,
        limit=0.0015,
        unit="V/d",
        limit_to_be_sure=sure(0.0015, u),
        probability=1 - NormalDist(rate, u).cdf(0.0015),
        next_step=(
            "Recover it at low current (its cells do not open: no equalising), charge it fully, and hold it "
            "again over a week."
        ),
        source=f"{POLICY.self_discharge.leak_suspect_v_per_day.source}; {slope}",
        status="site choice",
    )
    assert_same(fails, step_of(found, "leak-fails"))
    assert_same(suspect, step_of(found, "leak-suspect"))


def test_a_leak_fails_from_1_645_and_is_suspect_from_0_842_standard_uncertainties_over_its_limit():
    u = fit(leaking(0.0)).rate_uncertainty_v_per_day
    for rule, limit, z in (("leak-fails", 0.0050, 1.6448536), ("leak-suspect", 0.0015, 0.8416212)):
        for beyond, expected in ((-1e-6, False), (1e-6, True)):
            assert expected == (rule in fired(steps(leaking(limit + z * u + beyond)))), rule


@pytest.mark.parametrize(("last_h", "again_h"), [(96.0, 168.0), (167.9, 168.0), (168.0, None), (200.0, None)])
def test_a_suspected_leak_is_read_again_after_a_week(last_h, again_h):
    found = step_of(steps(leaking(0.02, (24.0, 48.0, last_h), "flooded", 0.040)), "leak-suspect")
    step = (
        "Leave it standing, do not charge it, and read it again at 168 h after the charge, a week."
        if again_h
        else "Charge it fully, equalise it, and hold it again over a week."
    )
    assert (again_h, step) == (found.again_after_h, found.next_step)


@pytest.mark.parametrize(
    ("one", "grade", "decisive"),
    [
        (leaking(0.0), Grade.RESALE, "hold-high"),
        (leaking(0.006), Grade.RECONDITIONABLE, "leak-suspect"),
        (leaking(0.012), Grade.RECYCLE, "leak-fails"),
        (leaking(0.012, (24.0, 72.0)), Grade.RESALE, "hold-high"),
    ],
)
def test_what_a_leak_decides(one, grade, decisive):
    verdict = graded(one, PERFECT)
    assert (grade, decisive) == (verdict.grade, verdict.decisive.rule.id)
