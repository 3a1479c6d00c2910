"""How many batteries and how much mass: by grade, by waste stream, and of the whole batch."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from intake.model.kilograms import sum_kg
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Grade

GRADE_ORDER = (Grade.RESALE, Grade.RECONDITIONABLE, Grade.RECYCLE, Grade.UNRESOLVED)
"""The order in which every document lists the grades."""


@dataclass(frozen=True, slots=True)
class Total:
    """Number and mass of some batteries."""

    count: int
    mass_kg: float
    """Of those that have a mass, weighed or estimated."""
    mass_estimated_kg: float
    """The estimated part of it."""
    without_mass: int
    """How many have no mass and are missing from the sum."""


class StreamTotal(NamedTuple):
    """The batteries of one waste stream."""

    key: str
    title: str
    total: Total


def total_of(graded: Iterable[GradedBattery]) -> Total:
    """Count batteries and sum their masses in kg."""
    ones = list(graded)
    weights = [(one.mass_kg, one.mass_estimated) for one in ones if one.mass_kg is not None]
    return Total(
        count=len(ones),
        mass_kg=sum_kg(mass for mass, _ in weights),
        mass_estimated_kg=sum_kg(mass for mass, estimated in weights if estimated),
        without_mass=len(ones) - len(weights),
    )


def batteries_by_grade(result: BatchResult) -> dict[Grade, list[GradedBattery]]:
    """Return the batteries of every grade, also of the empty ones, each in workbook order."""
    found: dict[Grade, list[GradedBattery]] = {grade: [] for grade in GRADE_ORDER}
    for one in result.graded:
        found[one.verdict.grade].append(one)
    return found


def totals_by_grade(result: BatchResult) -> dict[Grade, Total]:
    """Return the total of every grade, also of the empty ones."""
    return {grade: total_of(ones) for grade, ones in batteries_by_grade(result).items()}


def totals_by_stream(result: BatchResult) -> tuple[StreamTotal, ...]:
    """Return the total of every waste stream that has a battery, in the jurisdiction's order."""
    found: dict[str, list[GradedBattery]] = {}
    for one in result.graded:
        if one.stream is not None:
            found.setdefault(one.stream, []).append(one)
    return tuple(
        StreamTotal(stream.key, stream.title, total_of(found[stream.key]))
        for stream in result.compliance.streams
        if stream.key in found
    )
