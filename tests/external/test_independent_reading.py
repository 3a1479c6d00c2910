"""The engine against a second reading of the same contract, made without sight of the engine."""

from collections import Counter
from dataclasses import fields
from math import hypot
from pathlib import Path
from random import Random

import pytest

from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from intake.model.verdict import Evidence, Grade, Handling
from tests.external.independent_reading import (
    RULE_NAMES,
    excess_drop,
    grade,
    probability,
    settled,
    u_meter,
    volts_at,
)
from tests.external.random_batch import edge_pair, meter_for, random_batteries, write_workbook

SEEDS = (11, 23, 47)
COUNT = 500


def a_battery(chemistry: Chemistry, *holds: tuple[float, float], rest: float | None = None) -> Battery:
    """Return a sound battery at 25 degC; holds are hours and volts, the rest voltage was read after 24 h."""
    return Battery(
        tag="B-001",
        row=2,
        chemistry=chemistry,
        case="sound",
        rest_voltage_v=rest,
        rested_h=24.0,
        temperature_c=25.0,
        hold_readings=tuple(HoldReading(hours, volts, 25.0) for hours, volts in holds),
    )


GOOD_REST = a_battery(Chemistry.FLOODED, rest=12.55)
WEAK_REST = a_battery(Chemistry.FLOODED, rest=12.45)
GOOD_HOLD = a_battery(Chemistry.AGM, (0.5, 13.318), (1.0, 13.283))
EARLY_HOLD = a_battery(Chemistry.FLOODED, (0.5, 12.30))
FALLEN_HOLD = a_battery(Chemistry.FLOODED, (0.5, 12.30), (12.0, 12.02))


@pytest.mark.parametrize(
    ("battery", "a", "d", "verdict", "evidence", "rules"),
    [
        (GOOD_REST, 0.1, 0.01, Grade.RESALE, Evidence.REST_ONLY, {"rests-high"}),
        (WEAK_REST, 0.5, 0.02, Grade.RECONDITIONABLE, Evidence.REST_ONLY, {"needs-recovery"}),
        (GOOD_HOLD, 0.1, 0.01, Grade.RESALE, Evidence.SHORT_HOLD, {"hold-high"}),
        (EARLY_HOLD, 0.1, 0.01, Grade.UNRESOLVED, Evidence.SHORT_HOLD, {"hold-low"}),
        (FALLEN_HOLD, 0.1, 0.01, Grade.RECYCLE, Evidence.LONG_HOLD, {"hold-low", "hold-drop-high"}),
    ],
)
def test_the_worked_examples_of_the_text_come_out(
    battery: Battery, a: float, d: float, verdict: Grade, evidence: Evidence, rules: set[str]
) -> None:
    assert (verdict, evidence, Handling.INTACT, rules) == grade(battery, a=a, d=d)


def test_the_workings_of_the_worked_examples_come_out() -> None:
    """Every figure that the text prints beside its examples, in the digits that it prints."""
    good_meter, plain_meter = u_meter(12.55, 0.1, 0.01), u_meter(12.45, 0.5, 0.02)
    drop, u_drop = excess_drop(FALLEN_HOLD, 0.01)
    expected = (
        "rest: 0.0130 0.0164 1.000; 0.0475 0.0485 0.849; "
        "hold: 13.123 12.66; 12.145 12.30; 11.959; drop: 0.153 0.0390 0.912"
    )
    found = (
        f"rest: {good_meter:.4f} {hypot(good_meter, 0.010):.4f} "
        f"{probability(12.55 - 12.4, hypot(good_meter, 0.010)):.3f}; "
        f"{plain_meter:.4f} {hypot(plain_meter, 0.010):.4f} "
        f"{probability(12.45 - 12.4, hypot(plain_meter, 0.010)):.3f}; "
        f"hold: {settled(GOOD_HOLD, 0.1, 0.01)[0]:.3f} {volts_at(Chemistry.AGM, 80):.2f}; "
        f"{settled(EARLY_HOLD, 0.1, 0.01)[0]:.3f} {volts_at(Chemistry.FLOODED, 60):.2f}; "
        f"{settled(FALLEN_HOLD, 0.1, 0.01)[0]:.3f}; "
        f"drop: {drop:.3f} {u_drop:.4f} {1 - probability(0.100 - drop, u_drop):.3f}"
    )
    assert expected == found


def test_the_random_batteries_try_every_rule_field_and_count_of_readings() -> None:
    """A comparison is worth what it tries: each rule fires, and is left alone, in at least ten cases."""
    batteries = [one for seed in SEEDS for one in random_batteries(seed=seed, count=COUNT)]
    fired = Counter(
        rule for one in batteries for rule in grade(one, a=meter_for(one)[0], d=meter_for(one)[1])[3]
    )
    assert set(RULE_NAMES.split()) == set(fired)
    assert all(10 <= times <= len(batteries) - 10 for times in fired.values()), fired
    assert set(Chemistry) == {one.chemistry for one in batteries}
    assert {0, 1, 2, 3, 4} == {len(one.hold_readings) for one in batteries}
    never_given = {field.name for field in fields(Battery)} - {
        field.name
        for field in fields(Battery)
        for one in batteries
        if getattr(one, field.name) not in (None, ())
    }
    assert {"marking"} == never_given


def test_a_seed_gives_the_same_batteries_each_time() -> None:
    assert random_batteries(seed=11, count=20) == random_batteries(seed=11, count=20)
    assert random_batteries(seed=11, count=20) != random_batteries(seed=12, count=20)


def test_an_unreadable_row_is_unresolved_however_clear_the_rest_of_it_is() -> None:
    broken = Battery(tag="B-1", row=2, chemistry=Chemistry.LFP, case="cracked", row_errors=("Rested: soon",))
    verdict, evidence, handling, _ = grade(broken, a=0.5, d=0.02)
    expected = Grade.UNRESOLVED, Evidence.NONE, Handling.DAMAGED
    assert expected == (verdict, evidence, handling)


def reading(battery: Battery) -> tuple[Grade, Evidence, Handling, set[str]]:
    """Return the second reading's answer, with the meter the battery was read with."""
    a, d = meter_for(battery)
    return grade(battery, a=a, d=d)


def differences(batteries: list[Battery]) -> list[str]:
    """Return where the engine answers otherwise; a row error leaves the rules out of the comparison."""
    from intake.grading.grade_battery import grade_battery
    from intake.policy.grading_policy import load_grading_policy

    policy, names, found = load_grading_policy(), set(RULE_NAMES.split()), []
    for battery in batteries:
        a, d = meter_for(battery)
        verdict = grade_battery(battery, accuracy_percent=a, accuracy_volts=d, policy=policy)
        fired = {step.rule.id for step in verdict.steps if step.fired} & names
        expected, engine = reading(battery), (verdict.grade, verdict.evidence, verdict.handling, fired)
        compared = 3 if battery.row_errors else 4
        if expected[:compared] != engine[:compared]:
            found.append(f"expected {expected}\nfound {engine}\nwith a = {a}, d = {d}\nof {battery}")
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_the_engine_answers_as_the_second_reading_does(seed: int) -> None:
    """Grade, evidence, handling and rules fired, on batteries around every limit."""
    differing = differences(random_batteries(seed=seed, count=COUNT))
    assert not differing, f"{len(differing)} differ; first:\n" + "\n\n".join(differing[:3])


@pytest.mark.parametrize("seed", SEEDS)
def test_the_engine_turns_at_the_same_millivolt_as_the_second_reading(seed: int) -> None:
    """Pairs of batteries one step apart in one reading, between which the second reading's answer changes."""
    random = Random(seed)
    pairs = [edge_pair(random, one, reading) for one in random_batteries(seed=seed + 1, count=COUNT // 2)]
    batteries = [one for pair in pairs for one in pair]
    differing = differences(batteries)
    assert len(batteries) >= COUNT // 2
    assert not differing, f"{len(differing)} differ; first:\n" + "\n\n".join(differing[:3])


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
    written = [(row[0], row[1], row[2]) for row in book["Hold readings"].iter_rows(2, values_only=True)]
    for row in rows[1:]:
        pairs = (("Hold start after (h)", "Hold start (V)"), ("Hold end after (h)", "Hold end (V)"))
        written += [(row[0], row[at[h]], row[at[v]]) for h, v in pairs if row[at[v]] is not None]
    readings = [(one.tag, r.after_charge_h, r.voltage_v) for one in batteries for r in one.hold_readings]
    assert sorted(readings) == sorted(written)
    assert {one.chemistry for one in batteries} & LEAD_ACID
