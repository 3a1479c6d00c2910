"""An LFP block of four cells: electrode potentials, hysteresis, unequal charge, a protection circuit.

Safari and Delacourt 2011 (J. Electrochem. Soc. 158, A562): the potentials of both electrodes, fitted to slow
charge and discharge of a graphite/LFP cell; their coefficients through public copies that agree. The windows
of lithium content are assumed. Hysteresis at rest: about 20 mV between the branches of the LFP electrode
(Dreyer 2010, from memory), more from the graphite; assumed 14 mV to either side, a cell.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, tanh

from tests.simulation.settling import Settling

POSITIVE_EMPTY, POSITIVE_FULL = 0.95, 0.03
NEGATIVE_EMPTY, NEGATIVE_FULL = 0.0085, 0.80
"""Lithium content of the electrodes at the ends of the charge (assumed, near the published windows)."""

HALF_GAP_V = 0.014
TURN_SHARE = 0.05
"""Share of the capacity that takes a cell from one branch to the other (assumed)."""

RECOVERED = 0.002
"""Share of charge at which an empty cell stands once nothing is drawn (assumed)."""

V_PER_K = 0.0002
"""Of one cell on the plateau (measured 0.7 mV/K for four)."""


def positive_v(content: float) -> float:
    """Return the potential of the LFP electrode against lithium."""
    free = 1 - content
    steep = 3.2482e-6 * exp(20.2646 * free**3.7995) - 3.2474e-6 * exp(20.2645 * free**3.8003)
    return 3.4323 - 0.8428 * exp(-80.2493 * free**1.3198) + steep


def negative_v(content: float) -> float:
    """Return the potential of the graphite electrode against lithium."""
    return (
        0.6379
        + 0.5416 * exp(-305.5309 * content)
        + 0.044 * tanh(-(content - 0.1958) / 0.1088)
        - 0.1978 * tanh((content - 1.0571) / 0.0854)
        - 0.6875 * tanh((content + 0.0117) / 0.0529)
        - 0.0175 * tanh((content - 0.5692) / 0.0875)
    )


def cell_v(charge: float, *, branch: float = 0.0) -> float:
    """Return a cell's rest voltage at a share of its charge; 1 is the branch after a charge, -1 the other."""
    charge = min(max(charge, 0.0), 1.0)
    positive = positive_v(POSITIVE_EMPTY + charge * (POSITIVE_FULL - POSITIVE_EMPTY))
    negative = negative_v(NEGATIVE_EMPTY + charge * (NEGATIVE_FULL - NEGATIVE_EMPTY))
    return positive - negative + branch * HALF_GAP_V


@dataclass(frozen=True)
class LfpCell:
    """One cell."""

    capacity_ah: float
    missing_at_full: float
    """Share of its capacity that it lacks when the fullest cell ends the block's charge."""
    self_discharge_per_day: float
    shunt_per_day: float = 0.0

    def lost(self, days: float) -> float:
        """Return the share of its capacity that it loses by itself."""
        return (self.self_discharge_per_day + self.shunt_per_day) * days


@dataclass(frozen=True)
class LfpBlock:
    """Four cells in series behind a protection circuit."""

    rated_ah: float
    cells: tuple[LfpCell, ...]
    protection_broken: bool
    """The circuit stays open for good."""
    after_charge: Settling
    kind: str = "LFP"
    rated_cca_a: None = None

    @property
    def lfp(self) -> bool:
        """Whether it is a lithium block."""
        return True

    def open_circuit_v(
        self, charges: Sequence[float], temperature_c: float, branches: Sequence[float] = (0, 0, 0, 0)
    ) -> float:
        """Return the voltage at the posts by each cell's share of charge.

        The protection circuit opens as soon as a cell is empty; behind an open one there is no voltage.
        """
        if self.protection_broken or min(charges) <= 0:
            return 0.0
        volts = [cell_v(charge, branch=branch) for charge, branch in zip(charges, branches, strict=True)]
        return sum(volts) + 4 * V_PER_K * (temperature_c - 25)

    def charges_after(self, days: float, *, drawn: float = 0.0) -> list[float]:
        """Return each cell's share of charge so long after a full charge, a share drawn from the block."""
        ah = drawn * self.rated_ah
        return [
            max(0.0, 1 - cell.missing_at_full - cell.lost(days) - ah / cell.capacity_ah)
            for cell in self.cells
        ]

    def woken(self, charges: Sequence[float]) -> list[float]:
        """Return the charges after a reset: an empty cell recovers a little, a bridged one does not."""
        return [
            max(RECOVERED, charge) if not cell.shunt_per_day else charge
            for charge, cell in zip(charges, self.cells, strict=True)
        ]

    def branches_after(self, days: float) -> list[float]:
        """Return where between its branches each cell is, so long after a charge."""
        return [max(-1.0, 1 - 2 * cell.lost(days) / TURN_SHARE) for cell in self.cells]

    def capacity_ah(self) -> float:
        """Return what it delivers from a full charge until its first cell is empty."""
        if self.protection_broken:
            return 0.0
        return min(cell.capacity_ah * (1 - cell.missing_at_full) for cell in self.cells)

    def cranking_a(self) -> float:
        """Return nothing: it is no starter."""
        return math.nan
