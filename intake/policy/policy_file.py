"""A site's own grading policy file: read, validated, every problem named with its place."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

from intake.policy.grading_policy import GradingPolicy, assemble_policy
from intake.policy.resources import resource_text
from intake.policy.strict_json import read_json_file

_PROBLEMS_MOST, _LONGEST = 50, 300
"""Problems that are printed, and characters of one: it quotes what may be the whole file."""


class PolicyRefused(Exception):
    """A policy file cannot be used. ``problems`` are plain sentences, one each."""

    def __init__(self, name: str, problems: list[str]) -> None:
        super().__init__(f"{name}: this grading policy cannot be used")
        self.problems = problems


def read_grading_policy(path: Path) -> GradingPolicy:
    """Read and validate a site's own policy file.

    Raises
    ------
    PolicyRefused
        the file is missing, is no JSON, or breaks the schema; every problem is named with its place.
    """
    try:
        content, document = read_json_file(path)
    except ValueError as problem:
        raise PolicyRefused(path.name, [str(problem)]) from problem
    problems = _schema_problems(document) or _range_problems(document) or _sense_problems(document)
    if problems:
        raise PolicyRefused(path.name, problems)
    return assemble_policy(document, hashlib.sha256(content).hexdigest())


def _schema() -> dict[str, Any]:
    schema: dict[str, Any] = json.loads(resource_text("schemas", "grading-policy.schema.json"))
    return schema


def _schema_problems(document: object) -> list[str]:
    from jsonschema import Draft202012Validator

    validator = Draft202012Validator(_schema())
    errors = sorted(
        validator.iter_errors(document), key=lambda one: [str(part) for part in one.absolute_path]
    )
    told = [f"{'/'.join(map(str, error.absolute_path)) or 'the file'}: {error.message}" for error in errors]
    more = [f"and {len(told) - _PROBLEMS_MOST:,} more problems"] if len(told) > _PROBLEMS_MOST else []
    return [*(one if len(one) <= _LONGEST else f"{one[:_LONGEST]}…" for one in told[:_PROBLEMS_MOST]), *more]


def _range_problems(document: Mapping[str, Any]) -> list[str]:
    """Name each figure beyond what its unit can mean of a 12 V battery: the schema gives the ranges."""
    schema = _schema()
    ranges, smallest = schema["x-ranges"], schema["x-smallest"]
    problems = []
    for place, unit, figure in _figures(document, ""):
        low, high = ranges[unit]
        if not low <= figure <= high:
            problems.append(f"{place}: {figure:g} must be from {low:g} to {high:g} {unit}")
        elif 0 < abs(figure) < smallest:
            problems.append(f"{place}: {figure:g} is too small to be meant; write 0 or at least {smallest:g}")
    return problems


def _figures(entry: Any, place: str) -> Iterator[tuple[str, str, float]]:
    """Yield place, unit and value of each figure, those of tables column by column."""
    if not isinstance(entry, dict):
        return
    if "points" in entry:
        units = entry["unit"].split(" -> ")
        for number, point in enumerate(entry["points"]):
            for unit, figure in zip(units, point, strict=True):
                yield f"{place}/points/{number}", unit, figure
    elif "value" in entry:
        yield place, entry["unit"], entry["value"]
    else:
        for key, value in entry.items():
            yield from _figures(value, f"{place}/{key}".lstrip("/"))


def _tables(entry: Any, place: str) -> list[tuple[str, list[list[float]]]]:
    if not isinstance(entry, dict):
        return []
    if "points" in entry:
        return [(place, entry["points"])]
    return [found for key, value in entry.items() for found in _tables(value, f"{place}/{key}".lstrip("/"))]


_MIDDLE_MARK = "hold/middle_state_of_charge_percent"
_HIGH_MARK = "hold/high_state_of_charge_percent"
_FALLING = "rest/relaxation_uncertainty_v"
"""The one table whose second figures fall."""


def _sense_problems(document: Mapping[str, Any]) -> list[str]:
    """Name what a schema cannot say: tables in order, limits the right way round."""
    problems = []
    for place, points in _tables(document, ""):
        direction = -1 if place == _FALLING else 1
        pairs = list(pairwise(points))
        if any(later[0] <= earlier[0] for earlier, later in pairs):
            problems.append(f"{place}/points: the first figures must rise from point to point")
        if any(direction * (later[1] - earlier[1]) <= 0 for earlier, later in pairs):
            word = "fall" if direction < 0 else "rise"
            problems.append(f"{place}/points: the second figures must {word} from point to point")
    branches = [] if problems else _branch_problems(document)
    for lower, upper in _ORDERED:
        if _value(document, lower) > _value(document, upper):
            problems.append(
                f"{lower} ({_value(document, lower)}) must not be above {upper} ({_value(document, upper)})"
            )
    return problems + (branches or _mark_problems(document))


def _branch_problems(document: Mapping[str, Any]) -> list[str]:
    """Name where the charge branch lies under the discharge branch, so that no charge lies between them."""
    upper, lower = (
        document["open_circuit"][f"lfp_{name}_branch"]["points"] for name in ("charge", "discharge")
    )
    return [
        f"open_circuit/lfp_charge_branch/points: at {charge:g} % it must not be under lfp_discharge_branch"
        for charge in sorted({point[0] for point in (*upper, *lower)})
        if _between(upper, charge) < _between(lower, charge)
    ]


def _between(points: list[list[float]], x: float) -> float:
    """Return the table's second figure at ``x``, that of the nearest end beyond its ends."""
    for earlier, later in pairwise(points):
        if earlier[0] <= x <= later[0]:
            return earlier[1] + (later[1] - earlier[1]) * (x - earlier[0]) / (later[0] - earlier[0])
    return points[0][1] if x < points[0][0] else points[-1][1]


def _mark_problems(document: Mapping[str, Any]) -> list[str]:
    """Name marks of the hold test that no voltage tells apart."""
    points = document["open_circuit"]["lfp_discharge_branch"]["points"]
    middle, high = _value(document, _MIDDLE_MARK), _value(document, _HIGH_MARK)
    if points[0][0] <= middle < high <= points[-1][0]:
        return []
    within = "both within open_circuit/lfp_discharge_branch"
    return [f"{_MIDDLE_MARK} ({middle}) must be below {_HIGH_MARK} ({high}), {within}"]


def _value(document: Mapping[str, Any], place: str) -> float:
    entry: Any = document
    for key in place.split("/"):
        entry = entry[key]
    return float(entry["value"])


_ORDERED = (
    ("temperature/lowest_c", "temperature/highest_c"),
    ("rest/reversed_at_most_v", "rest/no_voltage_below_v"),
    ("rest/lfp_bms_open_below_v", "rest/lfp_deep_below_v"),
    ("rest/cell_suspect_from_v", "rest/cell_suspect_to_v"),
    ("hold/cell_down_from_v", "hold/cell_down_to_v"),
    ("hold/shortest_h", "hold/long_from_h"),
    ("hold/long_from_h", "hold/settled_from_h"),
    ("hold/drop_high_v", "hold/drop_fails_v"),
    ("self_discharge/leak_suspect_v_per_day", "self_discharge/leak_fails_v_per_day"),
    ("temperature/outside_below_c", "temperature/outside_above_c"),
    ("lot/unfit_share_low", "lot/unfit_share_high"),
    ("capacity/spent_below", "capacity/low_below"),
    ("cranking/spent_below", "cranking/low_below"),
    ("load_test/shortest_s", "load_test/longest_s"),
    ("load_test/lowest_c", "load_test/highest_c"),
    ("resistance/high_from", "resistance/spent_from"),
    ("specific_gravity/spread_high_above", "specific_gravity/spread_fails_above"),
    ("lfp_cells/spread_high_above_v", "lfp_cells/spread_fails_above_v"),
    ("lfp_cells/dead_below_v", "lfp_cells/overdischarged_below_v"),
    ("bench/assumed_capacity_low_ah", "bench/assumed_capacity_high_ah"),
)
"""Pairs of limits of which the first must not be above the second."""
