"""The engine against a second reading of the same contract, made without sight of the engine."""

from collections import Counter
from pathlib import Path
from random import Random

import pytest

from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from tests.external.independent_quantities import u_meter, volts_at
from tests.external.independent_reading import RULE_NAMES, Answer, grade
from tests.external.random_batch import edge_pair, meter_for, random_batteries, write_workbook

SEEDS = (11, 23, 47)
COUNT = 500


def a_battery(
    chemistry: Chemistry, *holds: tuple[float, float], rest: float | None = None, rested: float = 24.0
) -> Battery:
    """Return a sound battery at 25 degC; holds are hours and volts."""
    return Battery(
        tag="B-001",
        row=2,
        chemistry=chemistry,
        case="sound",
        rest_voltage_v=rest,
        rested_h=rested,
        temperature_c=25.0,
        hold_readings=tuple(HoldReading(hours, volts, 25.0) for hours, volts in holds),
    )


GOOD_METER, PLAIN_METER = (0.1, 0.01), (0.5, 0.02)
GOOD_REST = a_battery(Chemistry.FLOODED, rest=12.55)
WEAK_REST = a_battery(Chemistry.FLOODED, rest=12.45)
EARLY_REST = a_battery(Chemistry.FLOODED, rest=12.43, rested=2.0)
GOOD_HOLD = a_battery(Chemistry.AGM, (0.5, 13.318), (1.0, 13.283))
EARLY_HOLD = a_battery(Chemistry.FLOODED, (0.5, 12.30))
FALLEN_HOLD = a_battery(Chemistry.FLOODED, (0.5, 12.30), (12.0, 12.02))
LEAKING_HOLD = a_battery(Chemistry.AGM, (24.0, 13.00), (96.0, 12.90), (168.0, 12.85))


@pytest.mark.parametrize(
    ("battery", "meter", "verdict", "evidence", "decisive", "rules"),
    [
        (GOOD_REST, GOOD_METER, "resale-after-charge", "rest-only", "rests-high", {"rests-high"}),
        (WEAK_REST, PLAIN_METER, "reconditionable", "rest-only", "needs-recovery", {"needs-recovery"}),
        (EARLY_REST, GOOD_METER, "reconditionable", "rest-only", "needs-recovery", {"needs-recovery"}),
        (GOOD_HOLD, GOOD_METER, "resale-after-charge", "short-hold", "hold-high", {"hold-high"}),
        (EARLY_HOLD, GOOD_METER, "unresolved", "short-hold", "hold-low", {"hold-low"}),
        (FALLEN_HOLD, GOOD_METER, "recycle", "long-hold", "hold-low", {"hold-low"}),
        (
            LEAKING_HOLD,
            GOOD_METER,
            "reconditionable",
            "long-hold",
            "leak-suspect",
            {"leak-suspect", "hold-high"},
        ),
    ],
)
def test_the_worked_examples_of_the_text_come_out(
    battery: Battery,
    meter: tuple[float, float],
    verdict: str,
    evidence: str,
    decisive: str,
    rules: set[str],
) -> None:
    found = grade(battery, a=meter[0], d=meter[1])
    assert (verdict, evidence, "intact", decisive, rules) == (
        found.grade,
        found.evidence,
        found.handling,
        found.decisive,
        found.rules,
    )
    assert found.leave_standing is (battery in (GOOD_HOLD, EARLY_HOLD))


@pytest.mark.parametrize(
    ("battery", "meter", "form", "printed"),
    [
        (GOOD_REST, GOOD_METER, "{rest_u_v:.4f} {rest_to_be_sure_v:.3f}", "0.0164 12.427"),
        (
            WEAK_REST,
            PLAIN_METER,
            "{rest_u_v:.4f} {rest_to_be_sure_v:.3f} {rest_p:.3f}",
            "0.0485 12.480 0.849",
        ),
        (
            EARLY_REST,
            GOOD_METER,
            "{rest_u_v:.4f} {rest_to_be_sure_v:.3f} {rest_p:.3f}",
            "0.0810 12.533 0.644",
        ),
        (
            GOOD_HOLD,
            GOOD_METER,
            "{own_b_v:.4f} {used_b_v:.4f} {star_v:.3f} {hold_u_v:.4f} {hold_80_to_be_sure_v:.3f}",
            "0.0505 0.0520 13.118 0.0693 12.774",
        ),
        (
            EARLY_HOLD,
            GOOD_METER,
            "{star_v:.3f} {u_settle_v:.4f} {hold_u_v:.4f} {hold_60_p:.3f}",
            "12.145 0.0475 0.0577 0.004",
        ),
        (
            FALLEN_HOLD,
            GOOD_METER,
            "{own_b_v:.4f} {used_b_v:.4f} {star_v:.3f} {hold_u_v:.4f}",
            "0.0881 0.0860 11.960 0.0341",
        ),
        (
            LEAKING_HOLD,
            GOOD_METER,
            "{fit_b_v:.4f} {r_v_per_day:.4f} {u_r_v_per_day:.4f} {suspect_p:.3f} {leak_p:.3f}",
            "0.0589 0.0059 0.0030 0.930 0.618",
        ),
        (
            LEAKING_HOLD,
            GOOD_METER,
            "{drop_v:.3f} {u_drop_v:.3f} {drop_at_most_100_p:.3f}",
            "0.043 0.033 0.957",
        ),
        (
            LEAKING_HOLD,
            GOOD_METER,
            "{self_discharge_percent_per_month:.1f} {could_have_seen_v_per_day:.4f}",
            "15.9 0.0064",
        ),
    ],
)
def test_the_workings_of_the_worked_examples_come_out(
    battery: Battery, meter: tuple[float, float], form: str, printed: str
) -> None:
    """Every figure that the text prints beside its examples, in the digits that it prints."""
    assert printed == form.format(**dict(grade(battery, a=meter[0], d=meter[1]).figures))


def test_the_limits_and_meters_of_the_worked_examples_come_out() -> None:
    limits = f"{volts_at(Chemistry.AGM, 80):.2f} {volts_at(Chemistry.FLOODED, 60):.2f}"
    meters = f"{u_meter(12.55, 0.1, 0.01):.4f} {u_meter(12.45, 0.5, 0.02):.4f}"
    assert ("12.66 12.30", "0.0130 0.0475") == (limits, meters)
    leak = dict(grade(LEAKING_HOLD, a=0.1, d=0.01).figures)
    assert 95 == pytest.approx(leak["self_discharge_of_one_cell"], abs=1)  # the text: six times 15.9
    for battery in (GOOD_HOLD, FALLEN_HOLD):
        assert "drop_v" not in dict(grade(battery, a=0.1, d=0.01).figures)


def of_random(battery: Battery) -> Answer:
    """Return the second reading's answer, with the meter the battery was read with."""
    a, d = meter_for(battery)
    return grade(battery, a=a, d=d)


def reading(battery: Battery) -> tuple[str, str, str, frozenset[str], str]:
    """Return what of the answer the engine is compared with."""
    answer = of_random(battery)
    return answer.grade, answer.evidence, answer.handling, answer.rules, answer.decisive


def test_the_random_batteries_try_every_rule_field_and_count_of_readings() -> None:
    """A comparison is worth what it tries: each rule fires, and is left alone, in at least ten cases."""
    batteries = [one for seed in SEEDS for one in random_batteries(seed=seed, count=COUNT)]
    answers = [of_random(one) for one in batteries]
    fired = Counter(rule for answer in answers for rule in answer.rules)
    assert set(RULE_NAMES.split()) == set(fired)
    assert all(10 <= times <= len(batteries) - 10 for times in fired.values()), fired
    evidence = Counter(answer.evidence for answer in answers)
    assert {"none", "rest-only", "short-hold", "long-hold", "strength", "capacity"} == set(evidence)
    assert all(times >= 50 for times in evidence.values()), evidence
    assert set(Chemistry) == {one.chemistry for one in batteries}
    assert {0, 1, 2, 3, 4, 7} == {len(one.hold_readings) for one in batteries}
    fitted = [answer for answer in answers if "r_v_per_day" in dict(answer.figures)]
    assert 100 <= len(fitted) < len(batteries) - 100
    never_given = set(Battery._fields) - {
        name for name in Battery._fields for one in batteries if getattr(one, name) not in (None, ())
    }
    assert {"marking", "rest_began", "rest_read_at", "charge_ended"} == never_given


TURNED_BY_A_WORD = frozenset(
    {
        *(
            "case-breached",
            "dented",
            "under-recall",
            "terminal-broken",
            "terminal-loose",
            "terminal-corroded",
        ),
        *("recovery-failed", "not-filled", "chemistry-unclear", "not-diagnosable", "no-reading"),
    }
)
"""Rules that no reading turns by a step: a choice does, or whether anything was read."""


def test_a_seed_gives_the_same_batteries_each_time() -> None:
    assert random_batteries(seed=11, count=20) == random_batteries(seed=11, count=20)
    assert random_batteries(seed=11, count=20) != random_batteries(seed=12, count=20)


def test_an_unreadable_row_is_unresolved_however_clear_the_rest_of_it_is() -> None:
    broken = Battery(tag="B-1", row=2, chemistry=Chemistry.LFP, case="cracked", row_errors=("Rested: soon",))
    found = grade(broken, a=0.5, d=0.02)
    assert ("unresolved", "none", "damaged") == (found.grade, found.evidence, found.handling)


def differences(batteries: list[Battery]) -> list[str]:
    """Return where the engine answers otherwise; a row error leaves the rules out of the comparison."""
    from intake.grading.grade_battery import grade_battery
    from intake.policy.grading_policy import load_grading_policy

    policy, names, found = load_grading_policy(), set(RULE_NAMES.split()), []
    for battery in batteries:
        a, d = meter_for(battery)
        verdict = grade_battery(battery, accuracy_percent=a, accuracy_volts=d, policy=policy)
        fired = {step.rule.id for step in verdict.steps if step.fired} & names
        decisive = verdict.decisive.rule.id
        expected = reading(battery)
        engine = (verdict.grade, verdict.evidence, verdict.handling, fired, decisive)
        compared = 3 if battery.row_errors else 5
        if expected[:compared] != engine[:compared]:
            found.append(f"expected {expected}\nfound {engine}\nwith a = {a}, d = {d}\nof {battery}")
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_the_engine_answers_as_the_second_reading_does(seed: int) -> None:
    """Grade, evidence, handling, rules fired and the decisive one, on batteries around every limit."""
    differing = differences(random_batteries(seed=seed, count=COUNT))
    assert not differing, f"{len(differing)} differ; first:\n" + "\n\n".join(differing[:3])


def printed_figures(battery: Battery) -> dict[str, float]:
    """Return the engine's figures under the second reading's names."""
    from intake.grading.grade_battery import grade_battery
    from intake.policy.grading_policy import load_grading_policy

    a, d = meter_for(battery)
    verdict = grade_battery(battery, accuracy_percent=a, accuracy_volts=d, policy=load_grading_policy())
    found: dict[str, float] = {}
    rest, held, leak = verdict.state_of_charge, verdict.held_charge, verdict.self_discharge
    if rest is not None:
        found |= {"rest_low_percent": rest.low_percent, "rest_high_percent": rest.high_percent}
    if held is not None:
        charge = held.state_of_charge
        found |= {"star_v": charge.voltage_25c_v, "hold_u_v": charge.standard_uncertainty_v}
        found |= {"held_percent": charge.value_percent}
        found |= {"held_low_percent": charge.low_percent, "held_high_percent": charge.high_percent}
    if leak is not None:
        found |= {"self_discharge_percent_per_month": leak.percent_per_month}
        found |= {"self_discharge_low": leak.low, "self_discharge_high": leak.high}
        found |= {"self_discharge_of_one_cell": leak.single_cell_percent_per_month}
        found |= {"r_v_per_day": leak.rate_v_per_day, "u_r_v_per_day": leak.rate_uncertainty_v_per_day}
        found |= {"could_have_seen_v_per_day": leak.seen_from_v_per_day}
    for step in verdict.steps:
        name = TO_BE_SURE.get(step.rule.id)
        if step.fired and name is not None and step.limit_to_be_sure is not None:
            found[name] = step.limit_to_be_sure
    return found


TO_BE_SURE = {
    "needs-recovery": "rest_to_be_sure_v",
    "rests-high": "rest_to_be_sure_v",
    "hold-high": "hold_80_to_be_sure_v",
    "hold-middle": "hold_60_to_be_sure_v",
    "hold-low": "hold_60_to_be_sure_v",
}
"""Which of the second reading's figures a rule prints as its limit to be sure."""


@pytest.mark.parametrize("seed", SEEDS)
def test_the_engine_prints_the_figures_of_the_second_reading(seed: int) -> None:
    """Settled voltage, its uncertainty, states of charge, self-discharge and limits to be sure."""
    compared: Counter[str] = Counter()
    for battery in random_batteries(seed=seed, count=COUNT):
        if battery.row_errors:
            continue
        expected, found = dict(of_random(battery).figures), printed_figures(battery)
        for name in ("rest_low_percent", "star_v", "r_v_per_day"):
            assert (name in expected) is (name in found), f"{name} of {battery}"
        expected = {name: value for name, value in expected.items() if name in found}
        assert expected == pytest.approx(found, rel=1e-7, abs=1e-7), battery
        compared.update(list(found))
    assert set(TO_BE_SURE.values()) < set(compared)
    assert all(times >= 50 for times in compared.values()), compared


def pairs_one_step_apart(seed: int) -> list[list[Battery]]:
    """Return pairs of batteries one step apart in one reading, between which the second reading turns."""
    random = Random(seed)
    return [edge_pair(random, one, reading) for one in random_batteries(seed=seed + 1, count=COUNT)]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_engine_turns_at_the_same_millivolt_as_the_second_reading(seed: int) -> None:
    batteries = [one for pair in pairs_one_step_apart(seed) for one in pair]
    differing = differences(batteries)
    assert len(batteries) >= COUNT
    assert not differing, f"{len(differing)} differ; first:\n" + "\n\n".join(differing[:3])


def test_every_rule_that_a_reading_turns_is_tried_on_both_sides_of_its_limit() -> None:
    pairs = [pair for seed in SEEDS for pair in pairs_one_step_apart(seed) if pair]
    turned = Counter(rule for low, high in pairs for rule in of_random(low).rules ^ of_random(high).rules)
    expected = set(RULE_NAMES.split()) - TURNED_BY_A_WORD
    assert expected == {rule for rule, times in turned.items() if times >= 3}, turned


def test_a_random_workbook_holds_what_the_batteries_hold(tmp_path: Path) -> None:
    """Read back cell by cell: the rest voltages, every hold reading, and text that is no formula."""
    import openpyxl

    batteries = random_batteries(seed=11, count=60)
    write_workbook(tmp_path / "R11.xlsx", batteries, meter=(0.1, 0.01))
    book = openpyxl.load_workbook(tmp_path / "R11.xlsx")
    rows = [[cell.value for cell in row] for row in book["Batteries"].iter_rows()]
    at = {header: place for place, header in enumerate(rows[0])}
    assert [one.tag for one in batteries] == [row[at["Tag"]] for row in rows[1:]]
    assert [one.rest_voltage_v for one in batteries] == [row[at["Rest voltage (V)"]] for row in rows[1:]]
    assert [one.note for one in batteries] == [row[at["Note"]] for row in rows[1:]]
    headers, *further = book["Hold readings"].iter_rows(values_only=True)
    places = [headers.index(header) for header in ("Tag", "After charge (h)", "Voltage (V)")]
    written = [tuple(row[place] for place in places) for row in further]
    for row in rows[1:]:
        pairs = (("Hold start after (h)", "Hold start (V)"), ("Hold end after (h)", "Hold end (V)"))
        written += [(row[0], row[at[h]], row[at[v]]) for h, v in pairs if row[at[v]] is not None]
    readings = [(one.tag, r.after_charge_h, r.voltage_v) for one in batteries for r in one.hold_readings]
    assert sorted(readings) == sorted(written)
    assert {one.chemistry for one in batteries} & LEAD_ACID
