"""The rules of the hold test: too soon, one cell down, contradicted, and the level that is held."""

import math
from statistics import NormalDist

import pytest

from intake.grading.hold_test import hold_steps
from intake.grading.settling import evaluate_hold
from intake.model.battery import Chemistry, HoldReading
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Handling, Step
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
U_TABLE = {"flooded": 0.030, "flooded sealed": 0.050, "EFB": 0.050, "AGM": 0.060, "gel": 0.060, "LFP": 0.010}
"""The spread of the tables by the contract, V."""
CLOSED = "Recover it at low current (its cells do not open: no equalising), charge it fully"
HOLD_ON = "Leave it standing, do not charge it, and read it again at twelve hours after the charge."
LEVELS = ("hold-high", "hold-middle", "hold-low", "hold-unclear")


def steps(one, bench=PERFECT):
    return tuple(hold_steps(one, bench=bench))


def level(one, bench=PERFECT):
    return [rule for rule in fired(steps(one, bench)) if rule in LEVELS]


@pytest.mark.parametrize(
    ("one", "text", "fires"),
    [
        (
            held("AGM", (0.1, 13.5), (0.25, 13.4)),
            (
                "The last hold reading is 0.25 h after the charge; readings count from 0.5 h. "
                "2 earlier reading(s) are listed and not used."
            ),
            True,
        ),
        (
            held("other", (0.1, 13.5), (1.0, 13.4)),
            (
                "The last hold reading is 1 h after the charge; readings count from 0.5 h. "
                "1 earlier reading(s) are listed and not used."
            ),
            False,
        ),
        (
            held("LFP", (0.5, 13.5)),
            "The last hold reading is 0.5 h after the charge; readings count from 0.5 h.",
            False,
        ),
    ],
)
def test_a_hold_with_early_readings_only_is_too_soon(one, text, fires):
    expected = Step(
        rule=Rule.HOLD_TOO_SOON,
        fired=fires,
        effect=Effect.UNRESOLVED,
        text=text,
        measured=one.hold_readings[-1].after_charge_h,
        limit=0.5,
        unit="h",
        next_step="Wait until half an hour after the end of charge, then read the open-circuit voltage.",
        source=POLICY.hold.shortest_h.source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(one), "hold-too-soon"))


def test_too_soon_is_all_that_is_said_without_a_reading_that_counts_or_a_table():
    assert ["hold-too-soon"] == rules(steps(held("AGM", (0.1, 13.5))))
    assert ["hold-too-soon"] == rules(steps(held("unknown", (12.0, 13.5))))
    assert [] == rules(steps(battery("AGM")))
    assert evaluate_hold(held("AGM", (0.1, 13.5)), bench=GOOD) is None
    assert evaluate_hold(held("other", (12.0, 13.5)), bench=GOOD) is None


def test_the_rules_are_listed_in_the_order_of_the_contract():
    drops = ["hold-drop-fails", "hold-drop-unclear", "hold-drop-high"]
    leaks = ["leak-fails", "leak-suspect"]
    expected = ["hold-too-soon", "hold-cell-down", "hold-contradicts", *drops, *leaks, *LEVELS]
    assert expected == rules(steps(held("AGM", (24.0, 12.9), (72.0, 12.8), (96.0, 12.8))))
    lfp = ["hold-too-soon", "hold-contradicts", *drops, *LEVELS]
    assert lfp == rules(steps(held("LFP", (24.0, 13.4), (72.0, 13.4), (96.0, 13.4))))
    assert ["hold-too-soon", *LEVELS] == rules(steps(held("AGM", (0.5, 12.9))))


# One cell down


@pytest.mark.parametrize("chemistry", LEAD_ACID)
@pytest.mark.parametrize(
    ("voltage_v", "fires"), [(10.199, False), (10.2, True), (10.57, True), (10.9, True), (10.901, False)]
)
def test_a_lead_acid_block_that_holds_five_cells_voltage_is_recycled(chemistry, voltage_v, fires):
    expected = Step(
        rule=Rule.HOLD_CELL_DOWN,
        fired=fires,
        effect=Effect.RECYCLE,
        text=(f"{voltage_v:.3f} V at 25 °C, 2 h after a full charge; from 10.2 to 10.9 V one cell is down."),
        measured=voltage_v,
        limit=10.9,
        unit="V",
        next_step=RECYCLE_STREAM,
        source=f"{POLICY.hold.cell_down_from_v.source}; {POLICY.hold.cell_down_to_v.source}",
        status="opened",
    )
    assert_same(expected, step_of(steps(held(chemistry, (2.0, voltage_v))), "hold-cell-down"))


@pytest.mark.parametrize(
    ("one", "listed"),
    [
        (held("AGM", (1.999, 10.5)), False),
        (held("AGM", (2.0, 10.5)), True),
        (held("AGM", (0.5, 10.5), (2.0, 12.6)), True),
        (held("LFP", (12.0, 10.5)), False),
    ],
)
def test_a_cell_is_down_from_two_hours_on_and_never_in_an_lfp_block(one, listed):
    assert listed == ("hold-cell-down" in rules(steps(one)))


def test_the_band_of_a_missing_cell_is_compared_at_25_degrees():
    one = battery("AGM", hold_readings=(HoldReading(2.0, 10.91, 35.0),))
    assert step_of(steps(one), "hold-cell-down").fired
    assert "hold-cell-down" in fired(graded(one).steps)


# Readings that rise


def test_a_reading_above_an_earlier_one_contradicts_it():
    """The allowance of the contract: 1.645 sqrt(2) d / sqrt(3) + 0.010 V, 0.0234 V with d = 0.01 V."""
    allowed = sure(0.010, math.sqrt(2) * 0.01 / math.sqrt(3))
    one = held("AGM", (12.0, 12.90), (24.0, 12.93))
    expected = Step(
        rule=Rule.HOLD_CONTRADICTS,
        fired=True,
        effect=Effect.UNRESOLVED,
        text=(
            "The reading at 24 h lies +0.030 V from the lowest one before it, at 25 °C; a resting battery "
            "does not rise, and the meter explains 0.023 V."
        ),
        measured=0.03,
        limit=allowed,
        unit="V",
        next_step=(
            "Check the hours of the readings, take everything off the posts, let it stand, and read it again "
            "at 48 h or later."
        ),
        again_after_h=48.0,
        source=POLICY.hold.rise_allowance_v.source,
        status="site choice",
    )
    assert_same(expected, step_of(steps(one, GOOD), "hold-contradicts"))
    assert (Grade.UNRESOLVED, "hold-contradicts") == (graded(one).grade, graded(one).decisive.rule.id)


@pytest.mark.parametrize("chemistry", [*LEAD_ACID, "LFP"])
@pytest.mark.parametrize(
    ("hours_and_volts", "expected"),
    [
        (((12.0, 12.9), (24.0, 12.91)), False),
        (((12.0, 12.9), (24.0, 12.9101)), True),
        (((12.0, 12.9), (24.0, 12.8), (48.0, 12.85)), True),
        (((12.0, 12.9), (24.0, 12.95), (48.0, 12.85)), True),
        (((12.0, 12.9), (24.0, 12.91), (48.0, 12.92)), True),
        (((12.0, 12.92), (24.0, 12.91), (48.0, 12.92)), False),
        (((12.0, 12.9), (24.0, 12.8), (48.0, 12.7)), False),
        (((0.4, 12.8), (12.0, 12.9)), False),
        (((0.4, 12.8), (12.0, 12.9), (24.0, 12.9)), False),
    ],
)
def test_every_reading_that_counts_is_held_against_all_before_it(chemistry, hours_and_volts, expected):
    """A meter without error: 0.010 V are allowed."""
    assert expected == ("hold-contradicts" in fired(steps(held(chemistry, *hours_and_volts))))


def test_the_furthest_rise_is_told():
    one = held("AGM", (12.0, 12.9), (24.0, 12.8), (48.0, 12.95), (72.0, 12.93))
    found = step_of(steps(one), "hold-contradicts")
    assert pytest.approx(0.15) == found.measured
    assert "The reading at 48 h lies +0.150 V" in found.text
    alike = step_of(steps(held("AGM", (12.0, 12.9), (24.0, 12.95), (48.0, 12.95))), "hold-contradicts")
    assert "The reading at 24 h lies +0.050 V" in alike.text
    falls = step_of(steps(held("AGM", (12.0, 12.9), (24.0, 12.8), (48.0, 12.78))), "hold-contradicts")
    assert pytest.approx(-0.02) == falls.measured
    assert "The reading at 48 h lies -0.020 V" in falls.text


def test_a_rise_is_judged_at_25_degrees():
    readings = (HoldReading(12.0, 12.9, 15.0), HoldReading(24.0, 12.93, 35.0))
    assert "hold-contradicts" not in fired(steps(battery("AGM", hold_readings=readings)))


# The level


@pytest.mark.parametrize(
    ("chemistry", "v80", "v60"),
    [
        ("flooded", 12.466, 12.300),
        ("flooded sealed", 12.534, 12.348),
        ("EFB", 12.534, 12.348),
        ("AGM", 12.660, 12.450),
        ("gel", 12.650, 12.468),
        ("LFP", 13.330, 13.190),
    ],
)
def test_a_settled_voltage_is_high_middle_low_or_unclear(chemistry, v80, v60):
    """A day after the charge a meter without error leaves u = hypot(0.010, the spread of the table)."""
    edge = sure(0.0, math.hypot(0.010, U_TABLE[chemistry]))
    near, far = edge - 1e-4, edge + 1e-4
    for voltage_v, expected in (
        (v80 + far, "hold-high"),
        (v80 + near, "hold-middle"),
        *([(v60 + far, "hold-middle")] if v60 + far < v80 + edge else []),
        (v60 + near, "hold-unclear"),
        (v60, "hold-unclear"),
        (v60 - near, "hold-unclear"),
        (v60 - far, "hold-low"),
    ):
        assert [expected] == level(held(chemistry, (24.0, voltage_v))), voltage_v


@pytest.mark.parametrize(
    ("hours", "voltage_v", "expected"),
    [
        (2.9, 13.3820, "hold-middle"),
        (2.9, 13.3821, "hold-high"),
        (3.0, 13.3532, "hold-middle"),
        (3.0, 13.3533, "hold-high"),
    ],
)
def test_an_lfp_level_is_surer_from_three_hours(hours, voltage_v, expected):
    assert [expected] == level(held("LFP", (hours, voltage_v)))


def test_the_level_is_judged_on_the_settled_voltage_and_not_on_the_reading():
    """The fifth worked example: V* 12.145, u_settle 0.0475, u 0.0577, P(>= V60) 0.004."""
    one = held("flooded", (0.5, 12.30))
    found = steps(one, GOOD)
    settled_v = 12.30 - 0.04 * math.log(48)
    u_settle = math.hypot(0.3 * 0.04 * math.log(48), 0.010)
    u = math.hypot((0.0123 + 0.01) / math.sqrt(3), u_settle, 0.030)
    expected = Step(
        rule=Rule.HOLD_LOW,
        fired=True,
        effect=Effect.UNRESOLVED,
        text=(
            "12.3 V at 0.5 h, at 25 °C 12.300 V; slope 0.0400 V per e-fold (the chemistry's): "
            "settles at 12.145 V, u 0.0577 V: P(≥ 12.300 V, that is 60 % charge) = 0.004."
        ),
        measured=settled_v,
        limit=12.30,
        unit="V",
        limit_to_be_sure=sure(12.30, u),
        charge_percent=60,
        probability=1 - NormalDist(settled_v, u).cdf(12.30),
        next_step=HOLD_ON,
        source=(
            f"{POLICY.open_circuit.lead_acid['flooded'].source}; "
            f"{POLICY.hold.slope_v_per_efold['flooded'].source}"
        ),
        status="from memory",
    )
    assert_same(expected, step_of(found, "hold-low"))
    assert Grade.UNRESOLVED is graded(one).grade


def test_a_high_level_sells():
    """The fourth worked example: V* 13.118, u 0.0693, limit to be sure 12.774."""
    one = held("AGM", (0.5, 13.318), (1.0, 13.283))
    found = steps(one, GOOD)
    hold = evaluate_hold(one, bench=GOOD)
    expected = Step(
        rule=Rule.HOLD_HIGH,
        fired=True,
        effect=Effect.CAP_RESALE,
        text=(
            "13.283 V at 1 h, at 25 °C 13.283 V; slope 0.0520 V per e-fold (its own, weighed with the "
            "chemistry's): settles at 13.118 V, u 0.0693 V: P(≥ 12.660 V, that is 80 % charge) = 1.000."
        ),
        measured=hold.settled_v,
        limit=12.66,
        unit="V",
        limit_to_be_sure=sure(12.66, hold.uncertainty_v),
        charge_percent=80,
        probability=1.0,
        next_step="Charge it, then offer it with its condition sheet.",
        source="; ".join(
            (POLICY.open_circuit.lead_acid["AGM"].source, POLICY.hold.slope_v_per_efold["AGM"].source)
        ),
        status="opened",
    )
    assert_same(expected, step_of(found, "hold-high"))
    assert 12.774 == round(step_of(found, "hold-high").limit_to_be_sure, 3)
    assert [False, False, False] == [step_of(found, rule).fired for rule in LEVELS[1:]]


@pytest.mark.parametrize(
    ("hours", "voltage_v", "rule", "effect", "next_step"),
    [
        (12.0, 12.9, "hold-high", Effect.CAP_RESALE, "Charge it, then offer it with its condition sheet."),
        (
            11.99,
            12.9,
            "hold-high",
            Effect.CAP_RESALE,
            "Charge it, then offer it with its condition sheet.",
        ),
        (
            12.0,
            12.60,
            "hold-middle",
            Effect.CAP_RECONDITIONABLE,
            CLOSED + ", and hold-test it again.",
        ),
        (
            11.99,
            12.60,
            "hold-middle",
            Effect.CAP_RECONDITIONABLE,
            CLOSED + ", and hold-test it again.",
        ),
        (12.0, 12.0, "hold-low", Effect.RECYCLE, RECYCLE_STREAM),
        (11.99, 12.0, "hold-low", Effect.UNRESOLVED, HOLD_ON),
        (
            12.0,
            12.48,
            "hold-unclear",
            Effect.UNRESOLVED,
            "Read it again with a better meter, or measure its capacity by a discharge.",
        ),
        (11.99, 12.48, "hold-unclear", Effect.UNRESOLVED, HOLD_ON),
    ],
)
def test_what_follows_from_a_level_depends_on_twelve_hours(hours, voltage_v, rule, effect, next_step):
    one = held("AGM", (hours, voltage_v))
    found = step_of(steps(one), rule)
    assert [rule] == level(one)
    assert (True, effect, Handling.INTACT, next_step) == (
        found.fired,
        found.effect,
        found.handling,
        found.next_step,
    )


@pytest.mark.parametrize(
    ("rule", "limit", "mark", "probability"),
    [
        ("hold-high", 12.66, 80, NormalDist().cdf(-0.21 / math.hypot(0.010, 0.060))),
        ("hold-middle", 12.45, 60, 0.5),
        ("hold-low", 12.45, 60, 0.5),
        ("hold-unclear", 12.45, 60, 0.5),
    ],
)
def test_each_level_is_told_with_the_probability_that_it_weighed(rule, limit, mark, probability):
    found = step_of(steps(held("AGM", (24.0, 12.45))), rule)
    assert found.text.endswith(f" P(≥ {limit:.3f} V, that is {mark} % charge) = {probability:.3f}.")
    assert (pytest.approx(limit), pytest.approx(probability)) == (found.limit, found.probability)
    assert (pytest.approx(12.45), "V") == (found.measured, found.unit)


def test_only_a_middle_level_names_a_mark_above_that_it_missed():
    found = steps(held("AGM", (24.0, 12.56)))
    missed = step_of(found, "hold-middle").missed
    u = math.hypot(0.010, 0.060)

    assert (80, pytest.approx(12.66)) == (missed.charge_percent, missed.limit)
    assert pytest.approx(sure(12.66, u), abs=1e-9) == missed.limit_to_be_sure
    assert pytest.approx(NormalDist().cdf(-0.10 / u), abs=1e-9) == missed.probability
    assert [None, None, None] == [
        step_of(found, rule).missed for rule in ("hold-high", "hold-low", "hold-unclear")
    ]


@pytest.mark.parametrize(
    ("one", "slope_told", "sources", "status"),
    [
        (held("AGM", (24.0, 12.9)), "12.900 V; settles at 12.900 V", ["table"], "opened"),
        (held("gel", (23.0, 12.9)), "(the chemistry's):", ["table", "slope"], "from memory"),
        (
            held("flooded", (1.0, 12.9), (12.0, 12.8)),
            "(its own, weighed with the chemistry's):",
            ["table", "slope"],
            "from memory",
        ),
        (held("AGM", (1.0, 13.0), (24.0, 12.9)), "12.900 V; settles at 12.900 V", ["table"], "opened"),
        (held("LFP", (0.5, 13.4)), "13.400 V; settles at 13.400 V", ["branch"], "opened"),
    ],
)
def test_a_level_names_the_table_and_the_slope_only_where_it_rests_on_one(one, slope_told, sources, status):
    found = step_of(steps(one), "hold-high")
    known = {"branch": POLICY.open_circuit.lfp_discharge_branch.source}
    if one.chemistry is not Chemistry.LFP:
        known["table"] = POLICY.open_circuit.lead_acid[one.chemistry].source
        known["slope"] = POLICY.hold.slope_v_per_efold[one.chemistry].source
    assert slope_told in found.text
    assert ("; ".join(known[name] for name in sources), status) == (found.source, found.status)


@pytest.mark.parametrize(
    ("one", "grade", "decisive"),
    [
        (held("AGM", (0.25, 13.5), rest_voltage_v=12.9), Grade.UNRESOLVED, "hold-too-soon"),
        (held("AGM", (2.0, 10.5)), Grade.RECYCLE, "hold-cell-down"),
        (held("AGM", (12.0, 12.9), (24.0, 13.0)), Grade.UNRESOLVED, "hold-contradicts"),
        (held("AGM", (12.0, 12.9)), Grade.RESALE, "hold-high"),
        (held("AGM", (12.0, 12.68)), Grade.RECONDITIONABLE, "hold-middle"),
        (held("AGM", (12.0, 12.0)), Grade.RECYCLE, "hold-low"),
        (held("AGM", (11.0, 12.0)), Grade.UNRESOLVED, "hold-low"),
        (held("AGM", (12.0, 12.48)), Grade.UNRESOLVED, "hold-unclear"),
    ],
)
def test_what_a_hold_decides(one, grade, decisive):
    verdict = graded(one, PERFECT)
    assert (grade, decisive) == (verdict.grade, verdict.decisive.rule.id)


@pytest.mark.parametrize(
    ("chemistry", "volts", "first"),
    [
        ("flooded", 12.40, "Charge it fully, equalise it"),
        ("AGM", 12.60, "Recover it at low current (its cells do not open: no equalising), charge"),
        ("LFP", 13.28, "Charge it fully, balance its cells"),
    ],
)
def test_what_is_held_in_the_middle_is_levelled_only_where_its_kind_bears_that(chemistry, volts, first):
    step = step_of(steps(held(chemistry, (24.0, volts))), "hold-middle")
    assert step.fired
    assert step.next_step.startswith(first)
