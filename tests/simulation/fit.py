"""What is true of a battery: fit, as the grading contract defines it, and how far from it.

Fit means: at least 80 % of rated capacity, cranking at least 75 % of rated where it is a starter, no short,
no leak, no broken connection.
"""

import math
from dataclasses import dataclass

from tests.simulation.lead_acid import LeadAcidBlock
from tests.simulation.lfp import LfpBlock

Block = LeadAcidBlock | LfpBlock

LEAST_CAPACITY, LEAST_CRANKING = 0.80, 0.75
MIDDLING_CAPACITY, MIDDLING_CRANKING = 0.60, 0.50
"""Down to here a battery without a fault still does lighter work: middling. Below, or with a fault: unfit."""

SHORT_PER_DAY = 1.0
"""A bridge that empties its cell within a day is a short, a slower one a leak."""

LEAK_PER_DAY = 0.005
"""Loss of a whole block's charge from which it leaks: flat in half a year, faster than any sound kind."""

WORTHS = ("sound", "middling", "unfit")


@dataclass(frozen=True)
class Truth:
    """What the simulator knows and no workbook says."""

    capacity: float
    """Share of the rated capacity at the 20 h rate and 25 °C."""
    cranking: float | None
    """Share of the rated cranking current; None where it is no starter."""
    faults: frozenset[str]
    """Of short, leak, broken connection, dead protection circuit."""

    @property
    def fit(self) -> bool:
        """Whether it does what its label says."""
        return self._reaches(LEAST_CAPACITY, LEAST_CRANKING)

    @property
    def worth(self) -> str:
        """Sound (fit), middling or unfit."""
        if self.fit:
            return "sound"
        return "middling" if self._reaches(MIDDLING_CAPACITY, MIDDLING_CRANKING) else "unfit"

    def _reaches(self, capacity: float, cranking: float) -> bool:
        cranks = self.cranking is None or self.cranking >= cranking
        return self.capacity >= capacity and cranks and not self.faults


def truth_of(block: Block) -> Truth:
    """Return what is true of a block."""
    cranking = None if block.rated_cca_a is None else block.cranking_a() / block.rated_cca_a
    return Truth(block.capacity_ah() / block.rated_ah, cranking, frozenset(_faults(block)))


def _faults(block: Block) -> list[str]:
    bridges = [cell.shunt_per_day for cell in block.cells]
    standing = [cell.self_discharge_per_day for cell in block.cells]
    faults = []
    if max(bridges) >= SHORT_PER_DAY:
        faults.append("short")
    if 0 < max(bridges) < SHORT_PER_DAY or max(standing) >= LEAK_PER_DAY:
        faults.append("leak")
    if isinstance(block, LeadAcidBlock) and block.weld_ohm > 0:
        faults.append("broken connection")
    if isinstance(block, LfpBlock) and block.protection_broken:
        faults.append("dead protection circuit")
    return faults


def loss_percent_per_month(block: Block, *, temperature_c: float) -> float:
    """Return what standing costs the whole block, its cells averaged; infinite with a dead short."""
    if isinstance(block, LfpBlock):
        return 100 * 30.4 * sum(cell.lost(1.0) for cell in block.cells) / len(block.cells)
    a_day = [
        cell.drawn_by_standing(days=1, temperature_c=temperature_c) / cell.capacity_ah
        if cell.capacity_ah
        else math.inf
        for cell in block.cells
    ]
    return 100 * 30.4 * sum(a_day) / len(a_day)
