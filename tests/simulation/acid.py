"""Sulphuric acid in a lead-acid cell: what it is made of, and the voltage that goes with it.

Sources: Bode 1977, the electrode polynomials added up, as coded in an open battery-modelling library; acid
density of Myhre 1998 (`tests/external/data/acid_sg_molality_ocv.csv`); molar masses are constants of nature.
"""

import csv
import math
from bisect import bisect_left
from dataclasses import dataclass
from pathlib import Path

MOL_PER_AH = 3600 / 96485.332
"""Of electrons, of acid used up and of water formed: double sulphation takes one acid an electron."""

WATER_KG_PER_MOL = 0.018015
EMF_V_PER_K = 0.00022
"""Of one cell near full charge: a handbook's 0.20 to 0.25 mV/K (from memory)."""

LEAST_MOLALITY = 0.3
"""mol/kg: below it Bode's polynomial was never fitted."""

WATER_AT_25_C = 0.99705
"""g/cm³: a hydrometer's gravity is relative to water, the density of the table is not."""

_TABLE = Path(__file__).parents[1] / "external" / "data" / "acid_sg_molality_ocv.csv"


def _measured() -> tuple[list[float], list[float]]:
    with _TABLE.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    return [float(row["sg"]) for row in rows], [float(row["molality"]) for row in rows]


_DENSITIES, _MOLALITIES = _measured()


def molality_of(*, gravity: float) -> float:
    """Return mol of acid per kg of water at a specific gravity of 1.06 to 1.32, acid and water at 25 °C."""
    density = gravity * WATER_AT_25_C
    high = min(max(bisect_left(_DENSITIES, density), 1), len(_DENSITIES) - 1)
    left, right = _DENSITIES[high - 1], _DENSITIES[high]
    share = (density - left) / (right - left)
    return _MOLALITIES[high - 1] + share * (_MOLALITIES[high] - _MOLALITIES[high - 1])


def cell_emf_v(*, molality: float, temperature_c: float = 25.0) -> float:
    """Return the electromotive force of one cell, in V."""
    decades = math.log10(max(molality, LEAST_MOLALITY))
    at_25 = 1.922 + 0.148 * decades + 0.063 * decades**2 + 0.074 * decades**3 + 0.034 * decades**4
    return at_25 + EMF_V_PER_K * (temperature_c - 25)


@dataclass(frozen=True, slots=True)
class Acid:
    """What a cell holds when nothing of it is bound in sulphate."""

    acid_mol: float
    water_kg: float

    def molality_after(self, drawn_ah: float) -> float:
        """Return mol/kg after a discharge of so many Ah."""
        used = MOL_PER_AH * drawn_ah
        return (self.acid_mol - used) / (self.water_kg + WATER_KG_PER_MOL * used)

    def ah_down_to(self, molality: float) -> float:
        """Return the Ah that bring the acid down to a molality."""
        return (self.acid_mol - molality * self.water_kg) / (MOL_PER_AH * (1 + WATER_KG_PER_MOL * molality))

    def without_water(self, share: float) -> "Acid":
        """Return the same acid after a share of its water has gone."""
        return Acid(self.acid_mol, self.water_kg * (1 - share))


def acid_for(*, capacity_ah: float, full_gravity: float, empty_gravity: float) -> Acid:
    """Return the acid of a cell that goes from one gravity to the other while it delivers its capacity."""
    full, empty = molality_of(gravity=full_gravity), molality_of(gravity=empty_gravity)
    used = MOL_PER_AH * capacity_ah
    water = used * (1 + WATER_KG_PER_MOL * empty) / (full - empty)
    return Acid(full * water, water)
