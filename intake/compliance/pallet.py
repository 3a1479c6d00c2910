"""The batteries of one batch as the rules look at them: chemistry family and condition."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from intake.model.battery import LEAD_ACID, Batch, Battery, Chemistry
from intake.model.condition import Condition, condition_of, worst_of_shared_tags
from intake.model.verdict import Grade, Verdict
from intake.policy.second_look import why_apart

UNIDENTIFIED = frozenset({Chemistry.OTHER, Chemistry.UNKNOWN})
VALVE_REGULATED = frozenset({Chemistry.AGM, Chemistry.GEL})


@dataclass(frozen=True, slots=True)
class Item:
    """One battery with what is known of it. ``mass_kg`` None: neither weighed nor estimated."""

    battery: Battery
    verdict: Verdict
    mass_kg: float | None
    mass_estimated: bool
    worst_of_tag: Condition | None = None
    """The worst condition of all rows with its tag; None where the tag is its own."""

    @property
    def name(self) -> str:
        """Its tag, with its row where other rows have the tag too."""
        shared = self.worst_of_tag is not None
        return f"{self.battery.tag} (row {self.battery.row})" if shared else self.battery.tag

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
        """The worst that case, handling and note say, of this row and any other with its tag."""
        if self.worst_of_tag is not None:
            return self.worst_of_tag
        return condition_of(
            handling=self.verdict.handling,
            case=self.battery.case,
            look_again=bool(self.look_again),
            packed=True,
        )

    @property
    def dented(self) -> bool:
        """A dented lead-acid battery that is no waste yet: the bench may charge it once it is seen tight."""
        if self.worst_of_tag is not None or self.verdict.grade is Grade.RECYCLE:
            return False
        return condition_of(handling=self.verdict.handling, case=self.battery.case) is Condition.DENTED

    @property
    def look_again(self) -> str:
        """Why it stands apart first, from a note that speaks of damage; empty where nothing asks for it."""
        return why_apart(self.battery)


def pallet_of(
    batch: Batch, verdicts: Sequence[Verdict], masses: Sequence[tuple[float | None, bool]]
) -> tuple[Item, ...]:
    """Join batteries, verdicts and masses, which stand in the same order.

    Raises
    ------
    ValueError
        the three are not of one length.
    """
    items = [
        Item(battery, verdict, mass_kg, estimated)
        for battery, verdict, (mass_kg, estimated) in zip(batch.batteries, verdicts, masses, strict=True)
    ]
    shared = worst_of_shared_tags([one.battery.tag for one in items], [one.condition for one in items])
    return tuple(replace(item, worst_of_tag=worst) for item, worst in zip(items, shared, strict=True))
