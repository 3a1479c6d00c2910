"""What holds of every battery, not of chosen ones. Derandomised: the same cases at every run."""

import math
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, assume, event, example, given, settings
from hypothesis import strategies as st

from intake.grading.batch_figures import batch_figures
from intake.grading.decision import grade_of, handling_of, reasons_in_order
from intake.grading.grade_battery import grade_battery
from intake.model.battery import Battery, Chemistry, HoldReading
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Handling, Verdict
from intake.policy.grading_policy import load_grading_policy
from tests.changed import replace
from tests.properties.strategies import TIMES, batteries, finite, meters, sound_batteries

POLICY = load_grading_policy()
SHORT = settings(
    max_examples=80 * TIMES,
    derandomize=TIMES == 1,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
"""The same few cases at every run; how long a case takes on a shared machine says nothing."""
WORTH = {Grade.RECYCLE: 0, Grade.RECONDITIONABLE: 1, Grade.RESALE: 2}
"""The decided grades, the lowest first."""
STRENGTH = {Grade.RESALE: 0, Grade.RECONDITIONABLE: 1, Grade.UNRESOLVED: 2, Grade.RECYCLE: 3}
"""Which grade beats which when several rules fire; what fires more never comes out lower here."""
HANDLING = [Handling.INTACT, Handling.SUSPECT, Handling.DAMAGED]
GOOD = (0.1, 0.01)


def graded(one: Battery, meter: tuple[float, float] = GOOD) -> Verdict:
    percent, fixed_v = meter
    return grade_battery(one, accuracy_percent=percent, accuracy_volts=fixed_v, policy=POLICY)


def a_battery(chemistry: str = "flooded", **fields) -> Battery:
    usual = {"case": "sound", "rested_h": 24.0, "temperature_c": 25.0}
    return Battery(tag="B-001", row=2, chemistry=Chemistry(chemistry), **(usual | fields))


@SHORT
@given(one=batteries(), meter=meters())
def test_grading_never_raises_and_always_says_why_and_what_next(one, meter):
    verdict = graded(one, meter)
    event(verdict.grade)
    assert verdict.reasons
    assert verdict.decisive.fired
    assert verdict.decisive.effect is not Effect.NOTE
    assert verdict.next_step.strip()
    assert all(step.text.strip() and step.source and step.status for step in verdict.steps)


@SHORT
@given(one=batteries(), meter=meters())
def test_a_trace_replays_to_its_verdict(one, meter):
    verdict = graded(one, meter)
    reasons = reasons_in_order(verdict.steps)
    grade = grade_of(reasons[0])
    handling = handling_of(verdict.steps, chemistry=one.chemistry)
    assert (verdict.reasons, verdict.grade, verdict.handling) == (reasons, grade, handling)
    assert {id(step) for step in verdict.steps if step.fired} == {id(step) for step in reasons}


@SHORT
@given(one=batteries(), meter=meters())
def test_every_probability_is_one_and_every_interval_holds_its_value(one, meter):
    verdict = graded(one, meter)
    weighed = [step.probability for step in verdict.steps if step.probability is not None]
    assert all(0 <= probability <= 1 for probability in weighed)
    charges = [verdict.state_of_charge, verdict.held_charge and verdict.held_charge.state_of_charge]
    for charge in filter(None, charges):
        assert 0 <= charge.low_percent <= charge.value_percent <= charge.high_percent <= 100
    loss = verdict.self_discharge
    assert loss is None or loss.low <= loss.percent_per_month <= loss.high


@settings(SHORT, max_examples=40 * TIMES)
@given(
    pallet=st.lists(batteries(), max_size=6).flatmap(
        lambda rows: st.tuples(st.just(rows), st.permutations(range(len(rows))))
    ),
    meter=meters(),
)
def test_the_order_of_the_rows_changes_no_verdict_and_no_figure(pallet, meter):
    rows, order = pallet
    shuffled = [rows[place] for place in order]
    verdicts = [graded(one, meter) for one in rows]
    again = [graded(one, meter) for one in shuffled]
    assert [verdicts[place] for place in order] == again
    figures, other = (
        batch_figures(some, theirs, accuracy_percent=meter[0], accuracy_volts=meter[1], policy=POLICY)
        for some, theirs in ((rows, verdicts), (shuffled, again))
    )
    assert figures.meter_worth_percent == other.meter_worth_percent
    for mine, its in ((figures.in_use, other.in_use), (figures.better, other.better)):
        assert pytest.approx(mine.wrong_acceptances) == its.wrong_acceptances
        assert pytest.approx(mine.wrong_rejections) == its.wrong_rejections


def assert_no_worse(lower: Verdict, higher: Verdict) -> None:
    """Compare two verdicts of which the second rests on a higher voltage, where both are decided."""
    assume(lower.grade in WORTH and higher.grade in WORTH)
    event(f"{lower.grade} to {higher.grade}")
    assert WORTH[lower.grade] <= WORTH[higher.grade]


@settings(SHORT, max_examples=150 * TIMES)
@given(one=sound_batteries(rested=True), rise_v=finite(0.001, 5.0), meter=meters())
@example(a_battery(rest_voltage_v=0.1), 12.5, GOOD)
@example(a_battery(rest_voltage_v=12.41), 0.03, GOOD)
def test_a_higher_rest_voltage_never_worsens_a_decided_grade(one, rise_v, meter):
    """Inside the plausible band, all else equal, both decided, without a load test.

    Left out by what the contract says: a load test counts only from 12.4 V at rest, so a higher rest
    voltage can let a bad load test in; outside -0.5 V to the highest open-circuit voltage a reading is
    unresolved.
    """
    highest = 14.6 if one.chemistry is Chemistry.LFP else FULL_V[one.chemistry.value] + 0.4
    assume(one.rest_voltage_v + rise_v <= highest)
    higher = replace(one, rest_voltage_v=one.rest_voltage_v + rise_v)
    assert_no_worse(graded(one, meter), graded(higher, meter))


GRADABLE = ("flooded", "flooded sealed", "EFB", "AGM", "gel", "LFP")


FULL_V = {"flooded": 12.65, "flooded sealed": 12.75, "EFB": 12.75, "AGM": 12.90, "gel": 12.85}


def along_the_band(chemistry: str, lowest_v: float) -> list[float]:
    """Return every 50 mV of the plausible band after a day of rest."""
    highest = 14.6 if chemistry == "LFP" else FULL_V[chemistry] + 0.4
    return [lowest_v + 0.05 * place for place in range(round((highest - lowest_v) / 0.05) + 1)]


@pytest.mark.parametrize("chemistry", GRADABLE)
@pytest.mark.parametrize("meter", [GOOD, (0.5, 0.02)])
def test_decided_grades_only_rise_along_the_whole_band_of_rest_voltages(chemistry, meter):
    verdicts = [
        graded(a_battery(chemistry, rest_voltage_v=one, bms_reset_tried=True), meter)
        for one in along_the_band(chemistry, -0.45)
    ]
    worths = [WORTH[verdict.grade] for verdict in verdicts]
    assert sorted(worths) == worths
    assert {0, 1, 2} == set(worths)


@pytest.mark.parametrize("chemistry", GRADABLE)
@pytest.mark.parametrize("hours", [(24.0,), (0.5, 12.0), (10.0, 14.0)])
def test_decided_grades_only_rise_along_the_whole_band_of_last_hold_voltages(chemistry, hours):
    *earlier, last = hours
    verdicts = [
        graded(
            a_battery(
                chemistry,
                hold_readings=(
                    *(HoldReading(hour, 13.3, 25.0) for hour in earlier if chemistry != "LFP"),
                    *(HoldReading(hour, 14.4, 25.0) for hour in earlier if chemistry == "LFP"),
                    HoldReading(last, volts, 25.0),
                ),
            )
        )
        for volts in along_the_band(chemistry, 0.0)
    ]
    worths = [WORTH[verdict.grade] for verdict in verdicts if verdict.grade in WORTH]
    assert sorted(worths) == worths
    assert {0, 2} <= set(worths)


def with_last(one: Battery, rise_v: float) -> Battery:
    *earlier, last = one.hold_readings
    return replace(one, hold_readings=(*earlier, replace(last, voltage_v=last.voltage_v + rise_v)))


@settings(SHORT, max_examples=150 * TIMES)
@given(one=sound_batteries(least_holds=1), rise_v=finite(0.001, 2.0), meter=meters())
@example(a_battery(hold_readings=(HoldReading(24.0, 10.1, 25.0),)), 0.2, GOOD)
@example(a_battery("AGM", hold_readings=(HoldReading(24.0, 12.55, 25.0),)), 0.2, GOOD)
@example(
    a_battery("AGM", hold_readings=(HoldReading(1, 13.2, 25.0), HoldReading(24.0, 12.9, 25.0))), 0.2, GOOD
)
def test_a_higher_last_hold_voltage_never_worsens_a_decided_grade(one, rise_v, meter):
    """Inside the plausible band, all else equal, both decided.

    Left out by what the contract says: the first of several readings (a higher one is a larger drop and a
    steeper slope of the battery's own), a load test (it counts only from 12.4 V before the load), and a step
    from an unresolved low hold into the band of a missing cell, which decides.
    """
    highest = 14.6 if one.chemistry is Chemistry.LFP else 15.0
    assume(one.hold_readings[-1].voltage_v + rise_v <= highest)
    assert_no_worse(graded(one, meter), graded(with_last(one, rise_v), meter))


def test_the_band_of_a_missing_cell_is_where_a_higher_hold_voltage_can_decide_against_a_battery():
    """The exception that the property above leaves out, so that it is seen to be one."""
    low = graded(a_battery("AGM", hold_readings=(HoldReading(2.0, 10.1, 25.0),)))
    band = graded(a_battery("AGM", hold_readings=(HoldReading(2.0, 10.3, 25.0),)))
    assert (Grade.UNRESOLVED, Grade.RECYCLE) == (low.grade, band.grade)


def asked_handling(verdict: Verdict) -> int:
    """Return how severe the handling is that the rules that fired ask for."""
    return max(HANDLING.index(step.handling) for step in verdict.reasons)


def assert_no_better(before: Verdict, after: Verdict) -> None:
    """Compare grade and handling."""
    assert STRENGTH[before.grade] <= STRENGTH[after.grade]
    assert asked_handling(before) <= asked_handling(after)
    assert HANDLING.index(before.handling) <= HANDLING.index(after.handling)


def test_an_lfp_block_that_one_rule_leaves_unresolved_stays_suspect_whatever_else_decides():
    early = a_battery("LFP", hold_readings=(HoldReading(0.1, 13.4, 25.0),))
    recalled = replace(early, under_recall=True)
    assert (Grade.UNRESOLVED, Handling.SUSPECT) == (graded(early).grade, graded(early).handling)
    assert (Grade.RECYCLE, Handling.DAMAGED) == (graded(recalled).grade, graded(recalled).handling)


@SHORT
@given(one=batteries(), case=st.sampled_from(["cracked", "leaking", "swollen", "burnt"]))
def test_a_worse_case_never_improves_a_verdict(one, case):
    whole = replace(one, case="sound")
    assert_no_better(graded(whole), graded(replace(one, case=case)))
    assert graded(whole).grade is graded(replace(one, case="scuffed")).grade


@SHORT
@given(one=batteries())
def test_worse_terminals_never_improve_a_verdict(one):
    verdicts = [
        graded(replace(one, terminals=terminals)) for terminals in ("sound", "corroded", "loose", "broken")
    ]
    assert verdicts[0].grade is verdicts[1].grade
    for before, after in pairwise(verdicts):
        assert_no_better(before, after)


@SHORT
@given(
    one=batteries(chemistries=(Chemistry.FLOODED,)),
    lowest=finite(1.0, 1.3),
    spreads=st.tuples(finite(0.0, 0.1), finite(0.0, 0.1)).map(sorted),
)
@example(a_battery(rest_voltage_v=12.6), 1.245, [0.025, 0.026])
@example(a_battery(rest_voltage_v=12.6), 1.245, [0.050, 0.051])
def test_gravities_further_apart_never_improve_a_verdict(one, lowest, spreads):
    near, far = (
        replace(one, specific_gravity=(lowest, lowest, lowest + spread, lowest, lowest, lowest))
        for spread in spreads
    )
    assert_no_better(graded(near), graded(far))


@SHORT
@given(
    one=batteries(chemistries=(Chemistry.LFP,)),
    highest_v=finite(0.0, 5.0),
    spreads=st.tuples(finite(0.0, 1.0), finite(0.0, 1.0)).map(sorted),
)
@example(a_battery("LFP", rest_voltage_v=13.2), 3.35, [0.05, 0.051])
@example(a_battery("LFP", rest_voltage_v=13.2), 3.35, [0.30, 0.301])
def test_cells_further_apart_never_improve_a_verdict(one, highest_v, spreads):
    assume(highest_v >= spreads[1])
    near, far = (
        replace(one, cell_voltages_v=(highest_v, highest_v - spread, highest_v, highest_v))
        for spread in spreads
    )
    assert_no_better(graded(near), graded(far))


@settings(SHORT, max_examples=150 * TIMES)
@given(one=sound_batteries(), meter=meters(), share=finite(0.0, 1.0))
@example(a_battery(rest_voltage_v=12.45), (0.5, 0.02), 0.2)
@example(a_battery("AGM", hold_readings=(HoldReading(24.0, 12.48, 25.0),)), (0.5, 0.02), 0.0)
def test_a_tighter_meter_never_turns_certainty_into_doubt(one, meter, share):
    """At the same readings: what was decided stays decided, and what was sure stays as sure.

    Every probability moves away from one half, so one at the limit itself stays where it is. With two hold
    readings or more a tighter meter weighs them otherwise (the battery's own slope counts for more), and may
    see that they contradict each other: those are left out.
    """
    assume(len(one.hold_readings) < 2)
    coarse = graded(one, meter)
    fine = graded(one, (meter[0] * share, meter[1] * share))
    event(f"{coarse.grade} to {fine.grade}")
    assert coarse.grade is Grade.UNRESOLVED or fine.grade is not Grade.UNRESOLVED
    for before, after in zip(coarse.steps, fine.steps, strict=True):
        assert before.rule == after.rule
        if before.probability is not None and after.probability is not None:
            assert abs(before.probability - 0.5) <= abs(after.probability - 0.5) + 1e-9
            assert (before.probability - 0.5) * (after.probability - 0.5) >= 0


WHAT_A_METER_HAS_TO_SEE = {Rule.LEAK_SUSPECT, Rule.HOLD_CONTRADICTS}
"""Rules that keep a battery from sale by something small that a coarse meter does not see."""


@settings(SHORT, max_examples=150 * TIMES)
@given(one=sound_batteries(), meter=meters(), share=finite(0.0, 1.0))
@example(a_battery(rest_voltage_v=12.45), (0.5, 0.02), 0.2)
@example(a_battery("AGM", hold_readings=(HoldReading(24.0, 12.75, 25.0),)), (0.5, 0.02), 0.1)
def test_a_larger_meter_error_never_raises_a_grade_to_resale(one, meter, share):
    """Left out by what the contract says: a leak or a rise that only the better meter shows.

    How far that goes is said by two properties of their own, at the end.
    """
    fine = graded(one, (meter[0] * share, meter[1] * share))
    assume(not WHAT_A_METER_HAS_TO_SEE & {step.rule for step in fine.reasons})
    coarse = graded(one, meter)
    event(f"{fine.grade} to {coarse.grade}")
    assert coarse.grade is not Grade.RESALE or fine.grade is Grade.RESALE


SETTLING = {"AGM": 0.055, "gel": 0.055, "flooded": 0.040, "flooded sealed": 0.040, "EFB": 0.040, "LFP": 0.0}


def settling(chemistry: str, hours: list[float], start_v: float) -> Battery:
    """Return a battery whose readings all lie on its chemistry's own curve: they agree with each other."""
    b = SETTLING[chemistry]
    volts = [start_v - b * math.log(hour) for hour in hours]
    holds = tuple(HoldReading(hour, volt, 25.0) for hour, volt in zip(hours, volts, strict=True))
    return a_battery(chemistry, hold_readings=holds)


@settings(SHORT, max_examples=150 * TIMES)
@given(
    chemistry=st.sampled_from(sorted(SETTLING)),
    hours=st.lists(finite(0.5, 24.0), min_size=1, max_size=4, unique=True).map(sorted),
    place=st.integers(0, 4),
    later_h=finite(0.5, 30.0),
    start_v=finite(12.2, 13.5),
)
@example("AGM", [2.0, 24.0], 2, 30.0, 13.0)
def test_one_more_reading_that_agrees_never_worsens_a_grade_beyond_a_cap(
    chemistry, hours, place, later_h, start_v
):
    """Readings up to two days, by a good meter.

    What was fit for sale stays so or is capped, never condemned or left open. Later than some 38 times the
    first reading the doubt of settling alone may leave a drop unclear (AGM, 2 h and a week, nothing between).
    """
    place = min(place, len(hours))
    hour = (
        later_h + hours[-1]
        if place == len(hours)
        else (hours[place] + (hours[place - 1] if place else 0)) / 2
    )
    assume(hour >= 0.5)
    assume(hour not in hours)
    before = graded(settling(chemistry, hours, start_v))
    assume(before.grade is Grade.RESALE)
    after = graded(settling(chemistry, sorted([*hours, hour]), start_v))
    event(f"{before.grade} to {after.grade}")
    assert after.grade in (Grade.RESALE, Grade.RECONDITIONABLE)


@settings(SHORT, max_examples=150 * TIMES)
@given(
    chemistry=st.sampled_from(sorted(SETTLING)),
    hours=st.lists(finite(0.5, 200.0), min_size=2, max_size=4, unique=True).map(sorted),
    start_v=finite(12.6, 13.7),
    falls=st.lists(finite(0.0, 0.2), min_size=4, max_size=4),
    more_v=finite(0.001, 0.5),
    meter=st.sampled_from([GOOD, (0.5, 0.02), (0.05, 0.001)]),
)
@example("LFP", [3.0, 24.0], 13.5, [0.14, 0.0, 0.0, 0.0], 0.01, GOOD)
@example("AGM", [24.0, 96.0, 168.0], 13.1, [0.08, 0.05, 0.0, 0.0], 0.02, GOOD)
def test_a_larger_fall_never_grades_better(chemistry, hours, start_v, falls, more_v, meter):
    """The last reading of a hold lower, all else equal, above the band of a missing cell, no load or SG.

    With a load test: the last property.
    """
    volts = [start_v]
    for fall in falls[: len(hours) - 1]:
        volts.append(volts[-1] - fall)
    assume(volts[-1] - more_v > 11.0)
    grades = []
    for last_v in (volts[-1], volts[-1] - more_v):
        taken = zip(hours, [*volts[:-1], last_v], strict=True)
        holds = tuple(HoldReading(hour, volt, 25.0) for hour, volt in taken)
        grades.append(graded(a_battery(chemistry, hold_readings=holds), meter).grade)
    event(f"{grades[0]} to {grades[1]}")
    assert STRENGTH[grades[0]] <= STRENGTH[grades[1]]


@settings(SHORT, max_examples=100 * TIMES)
@given(
    chemistry=st.sampled_from(["AGM", "flooded"]),
    falls=st.tuples(finite(0.0, 0.3), finite(0.0, 0.3)),
    meter=st.sampled_from([(0.5, 0.02), (0.1, 0.01), (0.05, 0.001), (1.0, 0.1)]),
)
@example("AGM", (0.10, 0.05), (0.5, 0.02))
def test_a_leak_that_a_meter_lets_pass_is_smaller_than_the_page_says_it_would_have_shown(
    chemistry, falls, meter
):
    """What a larger meter error may raise to resale: a leak that only a better meter shows.

    The rules of the leak ask for a loss that is likely, so a coarse meter lets more pass. The reader is not
    left alone with that: the figure beside the grade is larger than any loss that passed.
    """
    volts = (13.0, 13.0 - falls[0], 13.0 - falls[0] - falls[1])
    holds = tuple(
        HoldReading(hours, volt, 25.0) for hours, volt in zip((24.0, 96.0, 168.0), volts, strict=True)
    )
    verdict = graded(a_battery(chemistry, hold_readings=holds), meter)
    event(verdict.grade)
    if verdict.grade is Grade.RESALE:
        assert verdict.self_discharge.rate_v_per_day < verdict.self_discharge.seen_from_v_per_day


@settings(SHORT, max_examples=100 * TIMES)
@given(rise_v=finite(0.0, 0.2), meter=st.sampled_from([(0.5, 0.02), (0.1, 0.01), (0.05, 0.001)]))
@example(0.04, (0.5, 0.02))
def test_a_rise_that_a_coarse_meter_allows_is_one_that_its_own_error_explains(rise_v, meter):
    """The other case: to a coarse meter such a rise is none, and 10 mV count as none with any meter."""
    holds = (HoldReading(24.0, 12.9, 25.0), HoldReading(48.0, 12.9 + rise_v, 25.0))
    verdict = graded(a_battery("AGM", hold_readings=holds), meter)
    explained_v = 1.645 * math.sqrt(2) * meter[1] / math.sqrt(3) + 0.010
    assume(abs(rise_v - explained_v) > 1e-4)
    contradicts = any(step.rule is Rule.HOLD_CONTRADICTS for step in verdict.reasons)
    assert contradicts == (rise_v > explained_v)
    assert not contradicts or verdict.grade is Grade.UNRESOLVED


@settings(SHORT, max_examples=150 * TIMES)
@given(
    chemistry=st.sampled_from([kind for kind in sorted(SETTLING) if kind != "LFP"]),
    last_v=finite(11.2, 13.2),
    more_v=finite(0.001, 1.0),
    load_v=finite(5.0, 11.5),
)
@example("AGM", 12.41, 0.02, 9.0)
@example("flooded", 12.60, 0.25, 8.4)
def test_a_larger_fall_with_a_load_test_never_brings_a_battery_to_sale(chemistry, last_v, more_v, load_v):
    """A load test counts only from 12.4 V, so a lower reading may turn a failed one into one to be repeated.

    That is the one way in which a larger fall grades better, and it leads to the bench, never to a sale.
    """
    assume(last_v - more_v > 11.0)
    load = {"rated_cca_a": 500.0, "load_current_a": 250.0, "load_time_s": 15.0, "load_voltage_v": load_v}
    grades = [
        graded(
            a_battery(
                chemistry,
                hold_readings=(HoldReading(24.0, 13.2, 25.0), HoldReading(96.0, volts, 25.0)),
                **load,
            )
        ).grade
        for volts in (last_v, last_v - more_v)
    ]
    event(f"{grades[0]} to {grades[1]}")
    assert grades[1] is not Grade.RESALE or grades[0] is Grade.RESALE
    assert STRENGTH[grades[0]] <= STRENGTH[grades[1]] or grades[1] is Grade.RECONDITIONABLE
