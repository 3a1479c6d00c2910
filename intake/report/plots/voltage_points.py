"""The voltage of each battery with its interval, by chemistry, in rising order: what the plot shows."""

from collections.abc import Iterable
from typing import NamedTuple

from intake.model.battery import Chemistry
from intake.model.result import GradedBattery
from intake.model.verdict import Grade
from intake.report.words.charge_and_remarks import charge_that_counts
from intake.report.words.reasons import is_close

COVERAGE_FACTOR = 1.96
"""JCGM 100:2008: half-width of the 95 % interval in standard uncertainties, normal distribution."""


class VoltagePoint(NamedTuple):
    """One battery's rest voltage, or what its hold settles at, at 25 degC where a table reduces it."""

    voltage_v: float
    half_width_v: float
    """Of the 95 % interval; 0 where none is known."""
    grade: Grade
    held: bool
    name: str = ""
    """The tag, where the point matters: a reading close to its limit, or one that no grade came of."""


def points_by_chemistry(graded: Iterable[GradedBattery]) -> dict[Chemistry, list[VoltagePoint]]:
    """Return the points of every chemistry that has a voltage, sorted by voltage."""
    found: dict[Chemistry, list[VoltagePoint]] = {}
    for one in graded:
        point = _point(one)
        if point is not None:
            found.setdefault(one.battery.chemistry, []).append(point)
    return {
        chemistry: sorted(found[chemistry], key=lambda point: point.voltage_v)
        for chemistry in Chemistry
        if chemistry in found
    }


def _point(one: GradedBattery) -> VoltagePoint | None:
    grade, held = one.verdict.grade, one.verdict.held_charge is not None
    name = one.name if grade is Grade.UNRESOLVED or is_close(one.verdict.decisive) else ""
    charge = charge_that_counts(one.verdict)
    if charge is not None:
        half_width = COVERAGE_FACTOR * charge.standard_uncertainty_v
        return VoltagePoint(charge.voltage_25c_v, half_width, grade, held, name)
    if one.battery.rest_voltage_v is not None:
        return VoltagePoint(one.battery.rest_voltage_v, 0.0, grade, held, name)
    return None
