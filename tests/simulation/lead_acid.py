"""A lead-acid block from its cells: acid, active mass, hard sulphate, shunts, welds.

Nothing here is a table of voltages by charge: a voltage follows from the acid that is left. Charge drawn is
in Ah at the 20 h rate, one figure a cell, counted from a charge that took everything the cell would take.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

from tests.simulation.acid import EMF_V_PER_K, LEAST_MOLALITY, Acid, cell_emf_v
from tests.simulation.settling import Settling

EMPTY_MOLALITY = 1.2
"""mol/kg at which the acid in the pores no longer carries a 20 h current: about SG 1.07 (assumed)."""

ACTIVATION_V = 0.030
"""Of one cell, V per e-fold of current, both electrodes together (assumed)."""

EXCHANGE_SHARE = 0.05
"""Current at which the activation begins, as a share of the cranking current when new (assumed)."""

RESISTANCE_PER_K = 0.0186
"""Resistance grows about 2.2 times from 25 to -18 °C, acid and reaction together (assumed)."""

CRANKING_C, CRANKING_V = -18.0, 7.2
"""SAE J537: 7.2 V after 30 s at -18 °C."""

EMPTY_V = 10.5
"""End of a capacity test of a 12 V block (common practice)."""

REVERSED_V = -0.8
"""A cell that is driven beyond its charge turns over and stays about there (from memory)."""

Q10 = 2.1
"""Of self-discharge: TM 9-6140-200-14, p. 4-14 gives 2.06 to 2.28."""


@dataclass(frozen=True)
class Cell:
    """One cell."""

    acid: Acid
    """What it holds when nothing of it is bound."""
    active_ah: float
    """What the plates could deliver, hard sulphate included."""
    sulphate_ah: float
    """Of that, what is bound in sulphate that no charge brings back; its acid is bound too."""
    wetness: float
    """Share of the plates that the acid still wets."""
    surface: float
    """Share of the new plates' surface that still carries a cranking current."""
    self_discharge_per_day: float
    """Share of its capacity that reactions in the cell use up a day at 25 °C."""
    shunt_per_day: float = 0.0
    """Share of its capacity that a bridge between the plates carries a day; infinite for a dead short."""

    @property
    def capacity_ah(self) -> float:
        """What it delivers at the 20 h rate and 25 °C."""
        by_mass = (self.active_ah - self.sulphate_ah) * self.wetness
        return max(0.0, min(by_mass, self.acid.ah_down_to(EMPTY_MOLALITY) - self.sulphate_ah))

    def drawn_by_standing(self, *, days: float, temperature_c: float) -> float:
        """Return the Ah that the cell loses by itself."""
        warmth: float = Q10 ** ((temperature_c - 25) / 10)
        share = self.self_discharge_per_day * warmth * days
        if self.shunt_per_day:
            share += self.shunt_per_day * days if math.isfinite(self.shunt_per_day) else math.inf
        return self.capacity_ah * share if self.capacity_ah else 0.0

    def bridged_flat(self, drawn_ah: float) -> bool:
        """Whether a bridge has pulled the cell down to nothing."""
        return self.shunt_per_day > 0 and drawn_ah >= self.capacity_ah

    def emf_v(self, drawn_ah: float, temperature_c: float) -> float:
        """Return its voltage at rest."""
        if self.bridged_flat(drawn_ah):
            return 0.0
        deepest = self.acid.ah_down_to(LEAST_MOLALITY)
        molality = self.acid.molality_after(min(self.sulphate_ah + drawn_ah, deepest))
        return cell_emf_v(molality=molality, temperature_c=temperature_c)


@dataclass(frozen=True)
class LeadAcidBlock:
    """Six cells in series, and what joins them."""

    kind: str
    rated_ah: float
    rated_cca_a: float | None
    """None where it is no starter."""
    cells: tuple[Cell, ...]
    weld_ohm: float
    """In the connections beyond what is usual; infinite for an open one."""
    cell_ohm: float
    """Of one cell at 25 °C when new and full."""
    cranking_new_a: float
    """What it cranked when new, in the sense of SAE J537; for what is no starter, what it would have."""
    peukert: float
    after_charge: Settling
    after_discharge: Settling

    @property
    def lfp(self) -> bool:
        """Whether it is a lithium block."""
        return False

    def open_circuit_v(self, drawn_ah: Sequence[float], temperature_c: float) -> float:
        """Return the voltage at the posts once everything has settled."""
        if math.isinf(self.weld_ohm):
            return 0.0
        return sum(cell.emf_v(drawn, temperature_c) for cell, drawn in zip(self.cells, drawn_ah, strict=True))

    def loaded_v(self, drawn_ah: Sequence[float], current_a: float, temperature_c: float) -> float:
        """Return the voltage at the posts under a current of some seconds."""
        if math.isinf(self.weld_ohm):
            return 0.0
        cells = zip(self.cells, drawn_ah, strict=True)
        total = sum(self._loaded_cell_v(cell, drawn, current_a, temperature_c) for cell, drawn in cells)
        return max(0.0, total - current_a * self.weld_ohm)

    def _loaded_cell_v(self, cell: Cell, drawn_ah: float, current_a: float, temperature_c: float) -> float:
        cold = math.exp(RESISTANCE_PER_K * (25 - temperature_c))
        if cell.bridged_flat(drawn_ah):
            return -current_a * self.cell_ohm * cold
        left = 1 - drawn_ah / cell.capacity_ah if cell.capacity_ah else 0.0
        if left <= 0.02 or cell.surface <= 0:
            return REVERSED_V
        thin_acid = 1 + 0.5 * (1 - left) ** 2 / (left + 0.05)
        ohmic = current_a * self.cell_ohm * cold * thin_acid / cell.surface
        start = EXCHANGE_SHARE * self.cranking_new_a * cell.surface
        activation = ACTIVATION_V * math.log1p(current_a / start)
        return max(REVERSED_V, cell.emf_v(drawn_ah, temperature_c) - activation - ohmic)

    @property
    def full(self) -> list[float]:
        """Charge drawn from each cell right after a full charge."""
        return [cell.drawn_by_standing(days=1e-3, temperature_c=25) for cell in self.cells]

    def cranking_a(self) -> float:
        """Return the current that takes it down to 7.2 V at -18 °C, from full."""
        return _where_it_falls(
            lambda amperes: self.loaded_v(self.full, amperes, CRANKING_C) - CRANKING_V,
            upper=4 * self.cranking_new_a,
        )

    def capacity_ah(self) -> float:
        """Return what it delivers to 10.5 V at the 20 h rate and 25 °C."""
        return self.capacity_at(self.rated_ah / 20)

    def capacity_at(self, current_a: float) -> float:
        """Return the same at another current, by the voltage lost in it; Peukert's part is the caller's."""

        def above(drawn: float) -> float:
            return self.loaded_v([start + drawn for start in self.full], current_a, 25.0) - EMPTY_V

        return _where_it_falls(above, upper=2 * self.rated_ah)


def _where_it_falls(above: Callable[[float], float], *, upper: float) -> float:
    """Return where a falling difference reaches zero; 0 if it starts below."""
    if above(1e-6) <= 0:
        return 0.0
    return float(brentq(above, 1e-6, upper, xtol=1e-4))


def resistance_when_new(*, cranking_a: float, acid: Acid) -> float:
    """Return the ohms of one new cell at 25 °C that make a block crank so many amperes."""
    emf = cell_emf_v(molality=acid.molality_after(0.0)) + EMF_V_PER_K * (CRANKING_C - 25)
    left = emf - ACTIVATION_V * math.log1p(1 / EXCHANGE_SHARE) - CRANKING_V / 6
    return left / cranking_a / math.exp(RESISTANCE_PER_K * (25 - CRANKING_C))
