import math

import pytest

from intake.grading.quantities import Bench
from intake.grading.rest_screen import RestReading, rest_reading, rest_steps
from intake.model.battery import Use
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
HOLD_TEST = "charge it fully, let it settle, and hold-test it: read at three hours and at twelve hours."


def steps(one, bench=PERFECT):
    return tuple(rest_steps(one, bench=bench))


def rested(chemistry, voltage_v, **fields):
    return battery(chemistry, rest_voltage_v=voltage_v, **fields)


@pytest.mark.parametrize(
    ("one", "expected"),
    [
        (battery("flooded"), ["no-reading"]),
        (battery("LFP"), ["no-reading"]),
        (
            rested("flooded", 12.6),
            [
                "no-reading",
                "reading-reversed",
                "reading-implausible",
                "not-rested",
                "no-voltage",
                "needs-recovery",
                "rests-high",
                "cell-suspect",
            ],
        ),
        (
            rested("LFP", 13.2, bms_reset_tried=True),
            [
                "no-reading",
                "reading-reversed",
                "reading-implausible",
                "not-rested",
                "bms-may-be-open",
                "lfp-overdischarged",
                "lfp-deep",
                "needs-recovery",
                "rests-high",
            ],
        ),
        (rested("other", 12.6), ["no-reading", "reading-reversed", "not-rested"]),
    ],
)
def test_the_rules_are_listed_in_the_order_of_the_contract(one, expected):
    assert expected == rules(steps(one))


def test_a_rest_reading_says_what_was_read_what_it_is_at_25_degrees_and_how_sure_it_is():
    found = rest_reading(rested("flooded", 12.55, temperature_c=35.0, rested_h=12.0), bench=GOOD)
    # hypot(0.02255 / sqrt(3), 0.020)
    assert RestReading(12.55, pytest.approx(12.535), pytest.approx(0.0238642, abs=1e-7), 12.0) == found


@pytest.mark.parametrize(("hours", "u_rest"), [(2.999, 0.030), (3.0, 0.010)])
def test_an_lfp_block_comes_to_rest_in_three_hours(hours, u_rest):
    found = rest_reading(rested("LFP", 13.2, rested_h=hours), bench=GOOD)
    # hypot(0.0232 / sqrt(3), u_rest)
    assert pytest.approx(math.hypot(0.0133945, u_rest), abs=1e-7) == found.uncertainty_v


def test_a_blank_rest_time_counts_as_half_an_hour_and_a_blank_temperature_as_doubt():
    found = rest_reading(rested("flooded", 12.60, rested_h=None, temperature_c=None), bench=GOOD)
    u = math.hypot(0.0226 / math.sqrt(3), 0.015, 0.150)
    assert RestReading(12.60, 12.60, pytest.approx(u), 0.5) == found


@pytest.mark.parametrize("one", [battery("flooded"), rested("other", 12.6), rested("unknown", 12.6)])
def test_without_a_voltage_or_a_table_there_is_no_rest_reading(one):
    assert rest_reading(one, bench=GOOD) is None


def test_no_reading_asks_for_one():
    expected = Step(
        rule=Rule.NO_READING,
        fired=True,
        effect=Effect.UNRESOLVED,
        text="There is neither a rest voltage nor a hold reading.",
        source="Nothing can be said without a reading",
        status="common practice",
        next_step="Measure the rest voltage after a rest of a day, or at least two hours.",
    )
    assert_same(expected, step_of(steps(battery("AGM")), "no-reading"))
    found = step_of(steps(rested("AGM", 12.6)), "no-reading")
    assert (False, "A rest voltage was read.") == (found.fired, found.text)


@pytest.mark.parametrize("chemistry", ["flooded", "LFP", "other"])
@pytest.mark.parametrize(
    ("voltage_v", "fires"), [(-12.6, True), (-0.501, True), (-0.5, True), (-0.499, False), (0.0, False)]
)
def test_a_reversed_reading_is_unresolved(chemistry, voltage_v, fires):
    expected = Step(
        rule=Rule.READING_REVERSED,
        fired=fires,
        effect=Effect.UNRESOLVED,
        text=f"The rest voltage is {voltage_v:g} V; reversed is -0.5 V or less.",
        measured=voltage_v,
        limit=-0.5,
        unit="V",
        next_step="Swap the meter's leads and read again; if the sign stays, one or more cells are reversed.",
        source=POLICY.rest.reversed_at_most_v.source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(rested(chemistry, voltage_v)), "reading-reversed"))


@pytest.mark.parametrize(
    ("chemistry", "limit"), [*((chemistry, 15.0) for chemistry in LEAD_ACID), ("LFP", 14.6)]
)
@pytest.mark.parametrize(("above_v", "fires"), [(-0.001, False), (0.0, False), (0.001, True), (5.0, True)])
def test_a_voltage_above_any_open_circuit_voltage_is_unresolved(chemistry, limit, above_v, fires):
    voltage_v = round(limit + above_v, 3)
    expected = Step(
        rule=Rule.READING_IMPLAUSIBLE,
        fired=fires,
        effect=Effect.UNRESOLVED,
        text=f"The rest voltage is {voltage_v:g} V; above {limit:g} V it is no open-circuit voltage.",
        measured=voltage_v,
        limit=limit,
        unit="V",
        next_step="Disconnect everything, let it rest, and measure the rest voltage again.",
        source=POLICY.rest.highest_v["LFP" if chemistry == "LFP" else "flooded"].source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(rested(chemistry, voltage_v, rested_h=3.99)), "reading-implausible"))


FULL = {"flooded": 12.65, "flooded sealed": 12.75, "EFB": 12.75, "AGM": 12.90, "gel": 12.85}


@pytest.mark.parametrize("chemistry", LEAD_ACID)
@pytest.mark.parametrize(
    ("rested_h", "above_v", "fires"),
    [(4.0, 0.40, False), (4.0, 0.401, True), (3.99, 0.401, False), (None, 0.401, False), (100.0, 1.0, True)],
)
def test_after_a_long_rest_a_voltage_far_above_full_is_unresolved(chemistry, rested_h, above_v, fires):
    one = rested(chemistry, FULL[chemistry] + above_v, rested_h=rested_h)
    assert fires == ("reading-implausible" in fired(steps(one)))


def test_after_a_long_rest_the_reading_is_told_at_25_degrees():
    expected = Step(
        rule=Rule.READING_IMPLAUSIBLE,
        fired=True,
        effect=Effect.UNRESOLVED,
        text="After 24 h the rest voltage is 13.310 V at 25 °C; above 13.30 V something still charges it.",
        measured=13.31,
        limit=13.30,
        unit="V",
        next_step="Disconnect everything, let it rest, and measure the rest voltage again.",
        source="; ".join(
            (POLICY.rest.implausible_above_full_v.source, POLICY.rest.implausible_rested_from_h.source)
        ),
        status="site choice",
    )
    found = steps(rested("AGM", 13.295, temperature_c=15.0))
    assert_same(expected, step_of(found, "reading-implausible"))
    assert "reading-implausible" not in fired(steps(rested("AGM", 13.31, temperature_c=35.0)))


def test_an_lfp_block_may_rest_high():
    assert "reading-implausible" not in fired(steps(rested("LFP", 14.5, rested_h=100.0)))


@pytest.mark.parametrize(
    ("rested_h", "fires", "told", "measured"),
    [
        (0.0, True, "0 h", 0.0),
        (0.49, True, "0.49 h", 0.49),
        (0.5, False, "0.5 h", 0.5),
        (0.51, False, "0.51 h", 0.51),
        (None, False, "an unstated time, taken as 0.5 h", 0.5),
    ],
)
@pytest.mark.parametrize("chemistry", ["flooded", "LFP", "unknown"])
def test_a_voltage_counts_after_half_an_hour_of_rest(chemistry, rested_h, fires, told, measured):
    expected = Step(
        rule=Rule.NOT_RESTED,
        fired=fires,
        effect=Effect.UNRESOLVED,
        text=f"It rested {told}; a rest voltage counts from 0.5 h.",
        measured=measured,
        limit=0.5,
        unit="h",
        next_step="Let it rest, two hours at least and better a day, then measure the rest voltage again.",
        source=POLICY.rest.shortest_rested_h.source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(rested(chemistry, 12.6, rested_h=rested_h)), "not-rested"))


def test_an_unstated_rest_is_never_too_short_even_where_a_site_asks_for_more():
    bench = Bench(policy_with(rest__shortest_rested_h=2), 0.0, 0.0)
    assert "not-rested" not in fired(steps(rested("flooded", 12.6, rested_h=None), bench))
    assert "not-rested" in fired(steps(rested("flooded", 12.6, rested_h=1.9), bench))


@pytest.mark.parametrize("chemistry", LEAD_ACID)
@pytest.mark.parametrize(
    ("voltage_v", "fires"),
    [(-0.5, False), (-0.499, True), (0.0, True), (0.499, True), (0.5, False), (0.501, False)],
)
def test_a_lead_acid_block_without_voltage_is_recycled(chemistry, voltage_v, fires):
    expected = Step(
        rule=Rule.NO_VOLTAGE,
        fired=fires,
        effect=Effect.RECYCLE,
        text=f"The block shows {voltage_v:g} V; no voltage is under 0.5 V.",
        measured=voltage_v,
        limit=0.5,
        unit="V",
        next_step=RECYCLE_STREAM,
        source=POLICY.rest.no_voltage_below_v.source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(rested(chemistry, voltage_v)), "no-voltage"))


@pytest.mark.parametrize(
    ("voltage_v", "open_"),
    [(-0.5, False), (-0.499, True), (0.0, True), (5.999, True), (6.0, False), (6.001, False)],
)
@pytest.mark.parametrize("tried", [None, False, True])
def test_few_volts_at_the_posts_of_an_lfp_block_may_be_an_open_bms_until_a_reset_was_tried(
    voltage_v, open_, tried
):
    found = steps(rested("LFP", voltage_v, bms_reset_tried=tried))
    expected = Step(
        rule=Rule.BMS_MAY_BE_OPEN,
        fired=open_ and not tried,
        effect=Effect.UNRESOLVED,
        handling=Handling.SUSPECT,
        text=f"The posts show {voltage_v:g} V; below 6 V the protection circuit may be open.",
        measured=voltage_v,
        limit=6.0,
        unit="V",
        next_step=(
            "A qualified person resets the BMS by the maker's instructions, then reads the voltage again."
        ),
        source=POLICY.rest.lfp_bms_open_below_v.source,
        status="common practice",
    )
    assert_same(expected, step_of(found, "bms-may-be-open"))
    assert (tried is True) == ("lfp-overdischarged" in rules(found))
    assert (open_ and tried is True) == ("lfp-overdischarged" in fired(found))


@pytest.mark.parametrize(("voltage_v", "fires"), [(5.999, True), (6.0, False)])
@pytest.mark.parametrize("holds", [(), ((12.0, 13.4),)])
def test_an_lfp_block_that_stays_low_after_a_reset_is_recycled_as_damaged_even_beside_a_hold(
    holds, voltage_v, fires
):
    one = held("LFP", *holds, rest_voltage_v=voltage_v, bms_reset_tried=True)
    expected = Step(
        rule=Rule.LFP_OVERDISCHARGED,
        fired=fires,
        effect=Effect.RECYCLE,
        handling=Handling.DAMAGED,
        text=(f"After a BMS reset the posts show {voltage_v:g} V; below 6 V the cells are over-discharged."),
        measured=voltage_v,
        limit=6.0,
        unit="V",
        next_step="Do not charge it; keep it apart and hand it to the recycle stream as damaged.",
        source=POLICY.rest.lfp_bms_open_below_v.source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(one), "lfp-overdischarged"))


@pytest.mark.parametrize(
    ("voltage_v", "fires"),
    [(5.999, False), (6.0, True), (6.001, True), (8.799, True), (8.8, False), (8.801, False)],
)
def test_a_deeply_discharged_lfp_block_is_for_a_qualified_person_at_low_current(voltage_v, fires):
    expected = Step(
        rule=Rule.LFP_DEEP,
        fired=fires,
        effect=Effect.CAP_RECONDITIONABLE,
        handling=Handling.SUSPECT,
        text=(f"The rest voltage is {voltage_v:g} V; from 6 V and below 8.8 V it is deeply discharged."),
        measured=voltage_v,
        limit=8.8,
        unit="V",
        next_step=(
            "A qualified person brings it up at low current by the maker's instructions; then hold-test it."
        ),
        source=f"{POLICY.rest.lfp_bms_open_below_v.source}; {POLICY.rest.lfp_deep_below_v.source}",
        status="common practice",
    )
    assert_same(expected, step_of(steps(rested("LFP", voltage_v)), "lfp-deep"))


@pytest.mark.parametrize(
    ("voltage_v", "rule", "effect", "probability", "first"),
    [
        (12.55, "rests-high", Effect.CAP_RESALE, 1.0, "Before sale "),
        (12.45, "needs-recovery", Effect.CAP_RECONDITIONABLE, 0.8485704, "Recover what can be recovered, "),
    ],
)
def test_the_screen_weighs_the_rest_voltage_against_12_4_volts(voltage_v, rule, effect, probability, first):
    """The first two worked examples of the contract."""
    bench, u = (GOOD, "0.0164") if voltage_v == 12.55 else (PLAIN, "0.0485")
    u_v = math.hypot((bench.accuracy_percent / 100 * voltage_v + bench.accuracy_volts) / math.sqrt(3), 0.010)
    found = steps(rested("flooded", voltage_v), bench)
    expected = Step(
        rule=Rule(rule),
        fired=True,
        effect=effect,
        text=(
            f"Rest voltage {voltage_v} V, at 25 °C {voltage_v:.3f} V, u {u} V: "
            f"P(≥ 12.4 V) = {probability:.3f}."
        ),
        measured=voltage_v,
        limit=12.4,
        unit="V",
        limit_to_be_sure=sure(12.4, u_v),
        probability=probability,
        next_step=first + HOLD_TEST,
        source=POLICY.rest.sound_v["flooded"].source,
        status="opened",
    )
    assert_same(expected, step_of(found, rule))
    assert [rule] == fired(found)


@pytest.mark.parametrize(
    ("chemistry", "sound_v"), [*((chemistry, 12.4) for chemistry in LEAD_ACID), ("LFP", 13.0)]
)
@pytest.mark.parametrize(
    ("above_v", "expected"),
    [(-0.1, "needs-recovery"), (0.0164, "needs-recovery"), (0.0165, "rests-high"), (0.3, "rests-high")],
)
def test_a_voltage_is_high_from_1_645_standard_uncertainties_above_the_limit(
    chemistry, sound_v, above_v, expected
):
    """A day of rest and a meter without error leave u = 0.010 V, so the edge lies 0.01645 V above."""
    found = steps(rested(chemistry, sound_v + above_v))
    assert [expected] == fired(found)
    other = {"needs-recovery": "rests-high", "rests-high": "needs-recovery"}[expected]
    assert step_of(found, other).probability == step_of(found, expected).probability
    assert sound_v == step_of(found, expected).limit


@pytest.mark.parametrize(
    ("temperature_c", "expected"), [(35.0, "rests-high"), (37.4, "needs-recovery"), (None, "rests-high")]
)
def test_the_voltage_is_weighed_at_25_degrees(temperature_c, expected):
    # 12.435 V less 0.0015 V/K: 12.420 V at 35 degC, 12.4164 V at 37.4 degC; blank: u = hypot(0.010, 0.015) V
    assert [expected] == fired(steps(rested("AGM", 12.435, temperature_c=temperature_c)))


# Unused, and flat after a capacity test


@pytest.mark.parametrize("chemistry", [*LEAD_ACID, "LFP"])
@pytest.mark.parametrize(
    ("voltage_v", "expected"),
    [(11.4164, ["needs-recovery"]), (11.4165, ["unused-prepare"]), (12.4164, ["unused-prepare"])],
)
def test_an_unused_battery_is_prepared_where_a_used_one_would_be_recovered(chemistry, voltage_v, expected):
    """A day of rest and a meter without error: sure of 11.4 V from 11.41645 V."""
    assert expected == fired(steps(rested(chemistry, voltage_v, use=Use.UNUSED)))
    assert ["needs-recovery"] == fired(steps(rested(chemistry, voltage_v)))


def test_an_unused_battery_that_rests_high_needs_no_preparation():
    assert ["rests-high"] == fired(steps(rested("AGM", 12.8, use=Use.UNUSED)))


def test_the_preparation_is_told():
    found = step_of(steps(rested("AGM", 12.0, use=Use.UNUSED), GOOD), "unused-prepare")
    u = math.hypot(0.022 / math.sqrt(3), 0.010)
    expected = Step(
        rule=Rule.UNUSED_PREPARE,
        fired=True,
        effect=Effect.CAP_RESALE,
        text=f"Rest voltage 12 V, at 25 °C 12.000 V, u {u:.4f} V: P(≥ 11.4 V) = 1.000.",
        measured=12.0,
        limit=11.4,
        unit="V",
        limit_to_be_sure=sure(11.4, u),
        probability=1.0,
        next_step=(
            "It is unused: give it a preparation charge of an hour at most, let it rest for half an hour, "
            "then hold-test it: read at three hours and at twelve hours."
        ),
        source=POLICY.rest.unused_sound_v.source,
        status="site choice",
    )
    assert_same(expected, found)
    assert Grade.RESALE is graded(rested("AGM", 12.0, use=Use.UNUSED)).grade


TESTED = {"rated_capacity_ah": 60.0, "discharge_time_h": 20.0}


@pytest.mark.parametrize(
    ("chemistry", "voltage_v", "delivered_ah", "expected"),
    [
        ("AGM", 11.9, 54.0, ["capacity-shown"]),
        ("AGM", 11.9, 45.0, ["needs-recovery"]),
        ("AGM", 6.0, 54.0, ["capacity-shown"]),
        ("AGM", 5.999, 54.0, ["needs-recovery"]),
        ("AGM", 12.8, 54.0, ["rests-high"]),
        ("LFP", 12.0, 57.0, ["capacity-shown"]),
        ("LFP", 8.0, 57.0, ["lfp-deep", "capacity-shown"]),
    ],
)
def test_a_battery_that_is_flat_after_its_capacity_test_is_not_recovered(
    chemistry, voltage_v, delivered_ah, expected
):
    one = rested(chemistry, voltage_v, delivered_capacity_ah=delivered_ah, **TESTED)
    assert expected == fired(steps(one))


def test_a_shown_capacity_is_told_and_sells():
    one = rested("AGM", 11.9, delivered_capacity_ah=57.0, **TESTED)
    expected = Step(
        rule=Rule.CAPACITY_SHOWN,
        fired=True,
        effect=Effect.CAP_RESALE,
        text=(
            "Its capacity test gave 0.945 of what is rated, which leaves a battery flat: its 11.9 V, if 6 V "
            "or more, say nothing against it."
        ),
        measured=0.95 * 0.95**0.1,
        limit=0.8,
        unit="1",
        limit_to_be_sure=sure(0.8, math.hypot(0.03, 0.07 * 0.95**1.1 * math.log(0.95))),
        next_step="Before sale " + HOLD_TEST,
        source=f"{POLICY.rest.capacity_shown_from_v.source}; {POLICY.capacity.low_below.source}",
        status="site choice",
    )
    assert_same(expected, step_of(steps(one), "capacity-shown"))
    assert (Grade.RESALE, "capacity-shown") == (graded(one).grade, graded(one).decisive.rule.id)


def test_neither_is_listed_where_it_can_not_fire():
    listed = rules(steps(rested("AGM", 12.0)))
    assert "unused-prepare" not in listed
    assert "capacity-shown" not in listed


def test_a_poor_capacity_is_not_listed_as_one_that_says_nothing_against_a_flat_battery():
    one = rested("AGM", 11.9, delivered_capacity_ah=40.0, **TESTED)
    assert "capacity-shown" not in rules(steps(one))


def test_lithium_is_judged_by_the_voltage_as_read_however_long_it_rested():
    """The higher mark after four hours is one of acid, that leaves its surface charge behind."""
    step = step_of(steps(rested("LFP", 13.3, rested_h=48.0)), "reading-implausible")
    assert (13.3, 14.6, False) == (step.measured, step.limit, step.fired)


def test_an_unused_battery_with_a_capacity_test_shows_both():
    one = rested("AGM", 12.0, use=Use.UNUSED, delivered_capacity_ah=57.0, **TESTED)
    assert ["unused-prepare", "capacity-shown"] == fired(steps(one))


@pytest.mark.parametrize("chemistry", ["flooded", "EFB", "other"])
def test_before_it_is_filled_no_voltage_says_anything(chemistry):
    assert [] == rules(steps(rested(chemistry, 0.1, use=Use.UNUSED_DRY)))
    assert [] == rules(steps(battery(chemistry, use=Use.UNUSED_DRY)))


def test_an_lfp_block_takes_no_acid_and_is_screened_whatever_its_use_says():
    one = rested("LFP", 0.1, use=Use.UNUSED_DRY, bms_reset_tried=True)
    assert ["lfp-overdischarged", "needs-recovery"] == fired(steps(one))
    assert "not-filled" not in fired(graded(one).steps)


# One cell down


@pytest.mark.parametrize("chemistry", LEAD_ACID)
@pytest.mark.parametrize(
    ("voltage_v", "fires"), [(10.199, False), (10.2, True), (10.5, True), (10.9, True), (10.901, False)]
)
def test_a_rest_voltage_of_five_cells_is_noted(chemistry, voltage_v, fires):
    found = steps(rested(chemistry, voltage_v, rested_h=2.0))
    expected = Step(
        rule=Rule.CELL_SUSPECT,
        fired=fires,
        effect=Effect.NOTE,
        text=f"Rest voltage {voltage_v:.3f} V at 25 °C; from 10.2 to 10.9 V one cell may be down.",
        measured=voltage_v,
        limit=10.9,
        unit="V",
        source=f"{POLICY.rest.cell_suspect_from_v.source}; {POLICY.rest.cell_suspect_to_v.source}",
        status="opened",
    )
    assert_same(expected, step_of(found, "cell-suspect"))
    assert "needs-recovery" in fired(found)


@pytest.mark.parametrize(
    ("chemistry", "rested_h", "listed"),
    [("AGM", None, False), ("AGM", 1.999, False), ("AGM", 2.0, True), ("LFP", 24.0, False)],
)
def test_a_cell_is_suspected_after_two_hours_of_rest_only(chemistry, rested_h, listed):
    assert listed == ("cell-suspect" in rules(steps(rested(chemistry, 10.5, rested_h=rested_h))))


def test_the_band_of_a_missing_cell_is_compared_at_25_degrees():
    found = step_of(steps(rested("AGM", 10.91, temperature_c=35.0)), "cell-suspect")
    assert found.fired
    assert pytest.approx(10.895) == found.measured


@pytest.mark.parametrize("reset", [None, True])
@pytest.mark.parametrize("chemistry", ["flooded", "LFP"])
@pytest.mark.parametrize("hours", [0.1, 12.0])
def test_any_hold_reading_takes_the_decision_from_the_rest_voltage(hours, chemistry, reset):
    one = held(chemistry, (hours, 12.9), rest_voltage_v=10.5, rested_h=0.1, bms_reset_tried=reset)
    expected = ["lfp-overdischarged"] if chemistry == "LFP" and reset else []
    assert expected == rules(steps(one))
    assert [] == rules(steps(held(chemistry, (hours, 12.9), bms_reset_tried=reset)))


@pytest.mark.parametrize(
    ("one", "grade", "handling", "decisive"),
    [
        (battery("flooded"), Grade.UNRESOLVED, Handling.INTACT, "no-reading"),
        (rested("flooded", -12.6), Grade.UNRESOLVED, Handling.INTACT, "reading-reversed"),
        (rested("flooded", 15.1), Grade.UNRESOLVED, Handling.INTACT, "reading-implausible"),
        (rested("flooded", 12.8, rested_h=0.4), Grade.UNRESOLVED, Handling.INTACT, "not-rested"),
        (rested("flooded", 0.1, rested_h=0.4), Grade.RECYCLE, Handling.INTACT, "no-voltage"),
        (rested("LFP", 0.1), Grade.UNRESOLVED, Handling.SUSPECT, "bms-may-be-open"),
        (rested("LFP", 0.1, bms_reset_tried=True), Grade.RECYCLE, Handling.DAMAGED, "lfp-overdischarged"),
        (rested("LFP", 8.0), Grade.RECONDITIONABLE, Handling.SUSPECT, "lfp-deep"),
        (rested("LFP", 14.7), Grade.UNRESOLVED, Handling.SUSPECT, "reading-implausible"),
        (rested("flooded", 12.0), Grade.RECONDITIONABLE, Handling.INTACT, "needs-recovery"),
        (rested("flooded", 10.5), Grade.RECONDITIONABLE, Handling.INTACT, "needs-recovery"),
        (rested("flooded", 12.6), Grade.RESALE, Handling.INTACT, "rests-high"),
        (rested("LFP", 13.2), Grade.RESALE, Handling.INTACT, "rests-high"),
    ],
)
def test_what_the_rest_voltage_alone_decides(one, grade, handling, decisive):
    verdict = graded(one)
    assert (grade, handling, decisive) == (verdict.grade, verdict.handling, verdict.decisive.rule.id)
    assert verdict.next_step == step_of(verdict.steps, decisive).next_step
