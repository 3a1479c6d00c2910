"""Any number of the policy at any extreme: refused, or each kind of battery gets a possible result."""

import copy
import json
import random
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from intake.policy.grading_policy import shipped_policy_text
from intake.policy.policy_file import PolicyRefused, read_grading_policy
from intake.policy.results_schema import results_problem
from intake.report.json.results import results_document
from intake.runner.own_results import impossible_results
from intake.runner.run_batch import grade_batch, read_batch
from intake.runner.settings import Settings
from tests.simple_workbook import BATCH, write_workbook

SHIPPED = json.loads(shipped_policy_text())
EXTREMES = (0, -1, 0.5, 1, 101, 200, 1000, 9000, 1e-9, 1e-300, 1e9, 1e300, -1e9, -273.2)
CHEMISTRIES = ("flooded", "flooded sealed", "EFB", "AGM", "gel", "LFP", "unknown")
Place = tuple[str | int, ...]


def numbers(entry: object, place: Place = ()) -> Iterator[Place]:
    if isinstance(entry, dict):
        for key, value in entry.items():
            yield from numbers(value, (*place, key))
    elif isinstance(entry, list):
        for key, value in enumerate(entry):
            yield from numbers(value, (*place, key))
    elif isinstance(entry, int | float):
        yield place


PLACES = list(numbers(SHIPPED))
ALL = [(place, extreme) for place in PLACES for extreme in EXTREMES]


@pytest.fixture(scope="module")
def pallet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    rows, holds = [], []
    for number, chemistry in enumerate(CHEMISTRIES):
        lithium = chemistry == "LFP"
        row = {
            "Tag": f"B-{number}",
            "Chemistry": chemistry,
            "Case": "sound",
            "Made": "2019-05",
            "Rated capacity (Ah)": 60,
            "Rest voltage (V)": 13.2 if lithium else 12.5,
            "Rested (h)": 20,
            "Temperature (°C)": 14,
        }
        rows += [row, {**row, "Tag": f"C-{number}", "Rest voltage (V)": 11.2, "Temperature (°C)": ""}]
        for hours, volts in ((0.5, 12.95), (2, 12.9), (12, 12.8), (24, 12.75)):
            shift = 0.6 if lithium else 0.0
            holds.append(
                {"Tag": f"B-{number}", "After charge (h)": hours, "Voltage (V)": round(volts + shift, 3)}
            )
    path = tmp_path_factory.mktemp("pallet") / "pallet.xlsx"
    return write_workbook(path, rows, batch=BATCH, sheets={"Hold readings": holds})


def graded(pallet: Path, folder: Path, place: Place, extreme: float) -> bool:
    """Set one number to an extreme; say whether the policy was accepted, and then it has to grade."""
    document = copy.deepcopy(SHIPPED)
    entry: object = document
    for key in place[:-1]:
        entry = entry[key]  # type: ignore[index]  # JSON is nested as it likes
    entry[place[-1]] = extreme  # type: ignore[index]  # JSON is nested as it likes
    file = folder / "site.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    try:
        policy = read_grading_policy(file)
    except PolicyRefused:
        return False
    settings = Settings(policy=policy, today=date(2027, 1, 1))
    read = read_batch(pallet, settings)
    assert read.batch is not None, (place, extreme, read.findings)
    result = grade_batch(read, read.batch, settings)
    assert impossible_results(result) is None, (place, extreme)
    again = json.loads(json.dumps(results_document(result), allow_nan=False, default=str))
    assert results_problem(again) is None, (place, extreme)
    return True


def tried(pallet: Path, folder: Path, cases: list[tuple[Place, float]]) -> None:
    accepted = sum(graded(pallet, folder, *case) for case in cases)
    assert 0 < accepted < len(cases)


def test_each_accepted_policy_grades(pallet: Path, tmp_path: Path) -> None:
    tried(pallet, tmp_path, random.Random(9).sample(ALL, 60))


@pytest.mark.long
def test_every_number_at_every_extreme(pallet: Path, tmp_path: Path) -> None:
    tried(pallet, tmp_path, ALL)


@pytest.mark.parametrize(
    ("place", "extreme", "says"),
    [
        (("open_circuit", "lead_acid", "flooded", "points", 4, 0), 1000, "1000 must be from 0 to 100 %"),
        (("cross_checks", "age_warning_years", "value"), 9000, "9000 must be from 0 to 100 a"),
        (("meter", "rectangular_divisor", "value"), 1e-300, "too small to be meant"),
        (("rest", "sound_v", "AGM", "value"), 124, "124 must be from -20 to 20 V"),
    ],
)
def test_the_impossible_is_named_with_its_place(
    tmp_path: Path, place: Place, extreme: float, says: str
) -> None:
    document = copy.deepcopy(SHIPPED)
    entry: object = document
    for key in place[:-1]:
        entry = entry[key]  # type: ignore[index]  # JSON is nested as it likes
    entry[place[-1]] = extreme  # type: ignore[index]  # JSON is nested as it likes
    file = tmp_path / "site.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(PolicyRefused) as refused:
        read_grading_policy(file)
    (problem,) = refused.value.problems
    assert says in problem
    assert problem.startswith("/".join(map(str, place)).removesuffix("/value")[:30])
