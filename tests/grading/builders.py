"""Small batteries, meters and policies for the tests of this room."""

import json
from collections.abc import Iterable
from typing import Any

import pytest

from intake.grading.grade_battery import grade_battery
from intake.grading.quantities import Bench
from intake.model.battery import Battery, Chemistry, HoldReading
from intake.model.verdict import Step, Verdict
from intake.policy.grading_policy import (
    GradingPolicy,
    assemble_policy,
    load_grading_policy,
    shipped_policy_text,
)
from tests.changed import replace

POLICY = load_grading_policy()
GOOD = Bench(POLICY, 0.1, 0.01)
"""0.1 % of reading and 10 mV."""
PLAIN = Bench(POLICY, 0.5, 0.02)
"""0.5 % of reading and 20 mV: the meter that is assumed."""
PERFECT = Bench(POLICY, 0.0, 0.0)
"""A meter without error."""
RECYCLE_STREAM = "Hand it to the recycle stream."


def battery(chemistry: str = "flooded", **fields: Any) -> Battery:
    """Return a sound battery at 25 degC that rested for a day; nothing else was read."""
    usual: dict[str, Any] = {"case": "sound", "rested_h": 24.0, "temperature_c": 25.0}
    return Battery(tag="B-001", row=2, chemistry=Chemistry(chemistry), **(usual | fields))


def held(chemistry: str, *readings: tuple[float, float], **fields: Any) -> Battery:
    """Return a battery with hold readings of so many hours and volts, taken at 25 degC."""
    holds = tuple(HoldReading(hours, volts, 25.0) for hours, volts in readings)
    return battery(chemistry, hold_readings=holds, **fields)


def graded(one: Battery, bench: Bench = GOOD) -> Verdict:
    """Grade one battery on a bench."""
    return grade_battery(
        one,
        accuracy_percent=bench.accuracy_percent,
        accuracy_volts=bench.accuracy_volts,
        policy=bench.policy,
    )


def step_of(steps: Iterable[Step], rule: str) -> Step:
    """Return the only step of a rule."""
    (found,) = (step for step in steps if step.rule.id == rule)
    return found


def rules(steps: Iterable[Step]) -> list[str]:
    """Return the rules of all steps, fired or not."""
    return [step.rule.id for step in steps]


def fired(steps: Iterable[Step]) -> list[str]:
    """Return the rules that fired."""
    return [step.rule.id for step in steps if step.fired]


def assert_same(expected: Step, found: Step) -> None:
    """Compare two steps: words to the letter, figures to 1e-9, the probability to 1e-6."""
    blank: dict[str, Any] = {"measured": None, "limit": None, "limit_to_be_sure": None, "probability": None}
    assert replace(expected, **blank) == replace(found, **blank)
    for figure in ("measured", "limit", "limit_to_be_sure"):
        wanted = getattr(expected, figure)
        if isinstance(wanted, float):
            wanted = pytest.approx(wanted, abs=1e-9)
        assert wanted == getattr(found, figure)
    if expected.probability is None:
        assert found.probability is None
    else:
        assert pytest.approx(expected.probability, abs=1e-6) == found.probability


def sure(limit: float, u: float) -> float:
    """Return the acceptance limit at the contract's risk of 0.05, z written out."""
    return limit + 1.6448536269514722 * u


def policy_with(**numbers: Any) -> GradingPolicy:
    """Return the shipped policy with some numbers changed: ``hold__long_from_h=6``."""
    document = json.loads(shipped_policy_text())
    for place, number in numbers.items():
        entry = document
        for key in place.split("__"):
            entry = entry[key]
        entry["value"] = number
    return assemble_policy(document, "0" * 64)


def policy_of_own_sources() -> GradingPolicy:
    """Return the shipped policy with the place of each value as its source, to see what a rule rests on."""
    document = json.loads(shipped_policy_text())
    _name_sources(document, "")
    return assemble_policy(document, "0" * 64)


def _name_sources(entry: dict[str, Any], place: str) -> None:
    if "source" in entry:
        entry["source"] = place.strip()
    for key, inner in entry.items():
        if isinstance(inner, dict):
            _name_sources(inner, f"{place} {key}")
