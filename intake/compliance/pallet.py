"""The batteries of one batch as the rules look at them: chemistry family and condition."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.model.battery import LEAD_ACID, WHOLE_CASES, Batch, Battery, Chemistry
from intake.model.verdict import Handling, Verdict

UNIDENTIFIED = frozenset({Chemistry.OTHER, Chemistry.UNKNOWN})
VALVE_REGULATED = frozenset({Chemistry.AGM, Chemistry.GEL})


class Condition(StrEnum):
    """Condition as far as carriage and handling care."""

    INTACT = "intact"
    SUSPECT = "suspect"
    CASE_NOT_READ = "case not read"
    """The ``Case`` cell could not be read, and nothing else speaks of damage."""
    DAMAGED = "damaged"


@dataclass(frozen=True, slots=True)
class Item:
    """One battery with what is known of it. ``mass_kg`` None: neither weighed nor estimated."""

    battery: Battery
    verdict: Verdict
    mass_kg: float | None
    mass_estimated: bool

    @property
    def lead_acid(self) -> bool:
        """Six cells with sulfuric acid."""
        return self.battery.chemistry in LEAD_ACID

    @property
    def lithium(self) -> bool:
        """Lithium iron phosphate: the one lithium chemistry that the sheet knows."""
        return self.battery.chemistry is Chemistry.LFP

    @property
    def unidentified(self) -> bool:
        """Other or unknown: may be lithium, nickel or anything else."""
        return self.battery.chemistry in UNIDENTIFIED

    @property
    def condition(self) -> Condition:
        """The worst that case and handling say."""
        return condition_of(handling=self.verdict.handling, case=self.battery.case)


def condition_of(*, handling: Handling, case: str | None) -> Condition:
    """Return the worst of what grading and the ``Case`` column say; ``case`` None is one not read."""
    if handling is Handling.DAMAGED or (case is not None and case not in WHOLE_CASES):
        return Condition.DAMAGED
    if handling is Handling.SUSPECT:
        return Condition.SUSPECT
    return Condition.INTACT if case in WHOLE_CASES else Condition.CASE_NOT_READ


def pallet_of(
    batch: Batch, verdicts: Sequence[Verdict], masses: Sequence[tuple[float | None, bool]]
) -> tuple[Item, ...]:
    """Join batteries, verdicts and masses, which stand in the same order.

    Raises
    ------
    ValueError
        the three are not of one length.
    """
    return tuple(
        Item(battery, verdict, mass_kg, estimated)
        for battery, verdict, (mass_kg, estimated) in zip(batch.batteries, verdicts, masses, strict=True)
    )
