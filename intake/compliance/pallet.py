"""The batteries of one batch as the rules look at them: chemistry family and condition."""

from collections.abc import Sequence
from typing import NamedTuple

from intake.model.battery import LEAD_ACID, Batch, Battery, Chemistry
from intake.model.condition import Condition, worst_of_shared_tags
from intake.model.result import GradedBattery
from intake.model.verdict import Grade, Verdict
from intake.policy.second_look import why_apart

UNIDENTIFIED = frozenset({Chemistry.OTHER, Chemistry.UNKNOWN})
VALVE_REGULATED = frozenset({Chemistry.AGM, Chemistry.GEL})


class Item(NamedTuple):
    """One battery as carriage counts it."""

    graded: GradedBattery
    package: str = ""
    """Name of the package that holds it in a load; empty where it stands in none."""

    @property
    def battery(self) -> Battery:
        """Its row."""
        return self.graded.battery

    @property
    def verdict(self) -> Verdict:
        """How it was graded."""
        return self.graded.verdict

    @property
    def mass_kg(self) -> float | None:
        """Weighed, else estimated; None: neither."""
        return self.graded.mass_kg

    @property
    def mass_estimated(self) -> bool:
        """Whether its mass was estimated."""
        return self.graded.mass_estimated

    @property
    def name(self) -> str:
        """Its tag, with its row where other rows have the tag too."""
        return self.graded.name

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
        return self.graded.is_unidentified

    @property
    def condition(self) -> Condition:
        """The worst that case, handling and note say, of this row and any other with its tag."""
        return self.graded.condition_when(packed=True)

    @property
    def dented(self) -> bool:
        """A dented lead-acid battery that is no waste yet: the bench may charge it once it is seen tight."""
        if self.graded.worst_of_tag is not None or self.verdict.grade is Grade.RECYCLE:
            return False
        return self.graded.condition_when(packed=False) is Condition.DENTED

    @property
    def look_again(self) -> str:
        """Why it stands apart first, from a note that speaks of damage; empty where nothing asks for it."""
        return self.graded.look_again


def item_of(
    battery: Battery, verdict: Verdict, *, mass_kg: float | None, mass_estimated: bool, package: str = ""
) -> Item:
    """Return a battery whose tag is its own."""
    graded = GradedBattery(battery, verdict, None, mass_kg, mass_estimated, look_again=why_apart(battery))
    return Item(graded, package)


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
        item_of(battery, verdict, mass_kg=mass_kg, mass_estimated=estimated)
        for battery, verdict, (mass_kg, estimated) in zip(batch.batteries, verdicts, masses, strict=True)
    ]
    shared = worst_of_shared_tags([one.battery.tag for one in items], [one.condition for one in items])
    return tuple(
        Item(item.graded._replace(worst_of_tag=worst)) for item, worst in zip(items, shared, strict=True)
    )
