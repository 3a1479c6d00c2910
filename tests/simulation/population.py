"""Pallets of used batteries, drawn by chance with all that is true of them.

The shares are a guess at what comes back, not a measurement; two populations that differ much bound what they
do to the result. Self-discharge lies within a handbook's 2 % a month (gel) to 12 % (old traction plates) at
20 °C; acid fills and Peukert exponents are from memory.
"""

import random
from dataclasses import dataclass

from tests.simulation.acid import acid_for
from tests.simulation.fit import LEAK_PER_DAY, Block, Truth, truth_of
from tests.simulation.lead_acid import Cell, LeadAcidBlock, resistance_when_new
from tests.simulation.lfp import LfpBlock, LfpCell
from tests.simulation.settling import Settling

Range = tuple[float, float]

SURFACE_EXPONENT: Range = (0.3, 1.0)
"""Mass that softens or is bound costs capacity in full, cranking by this power: a short current needs little
more than the plates' surface (assumed)."""


@dataclass(frozen=True)
class Kind:
    """What batteries of one kind have in common."""

    chemistry: str
    starter: bool
    sizes_ah: tuple[float, ...]
    full_gravity: Range
    monthly_loss: Range
    """Share of the charge, at 25 °C, when nothing leaks."""
    peukert: Range
    tafel_v: float
    """Settling of the block after a charge, V per e-fold; 20 % scatter from block to block."""
    tau_h: float
    """Middle of its settling times; a factor of 1.5 either way is one standard deviation.

    The measured AGM block stood at 13.24 V 2.4 h after its charge and was falling by 55 mV per e-fold: it
    meets the voltage of the strongest acid in use (1.33, 13.04 V) after some 70 h. Flooded: manuals ask for
    24 h of rest.
    """
    dries_out: bool


STARTERS = (44.0, 60.0, 70.0, 80.0, 95.0)
FLOODED = Kind("flooded", True, STARTERS, (1.255, 1.280), (0.03, 0.10), (1.15, 1.30), 0.040, 24, False)
SEALED = Kind("flooded sealed", True, STARTERS, (1.265, 1.290), (0.02, 0.06), (1.15, 1.30), 0.040, 24, False)
EFB = Kind("EFB", True, STARTERS, (1.270, 1.290), (0.02, 0.06), (1.15, 1.30), 0.040, 24, False)
AGM = Kind("AGM", True, STARTERS, (1.285, 1.320), (0.015, 0.04), (1.05, 1.15), 0.055, 72, True)
STANDBY_AGM = Kind(
    "AGM", False, (40, 75, 100, 200), (1.285, 1.320), (0.015, 0.04), (1.05, 1.15), 0.055, 24, True
)
GEL = Kind("gel", False, (40, 60, 100, 200), (1.265, 1.300), (0.01, 0.03), (1.10, 1.25), 0.055, 72, True)
LFP_SIZES = (20.0, 50.0, 100.0, 200.0)


@dataclass(frozen=True)
class Population:
    """What a pallet is made of."""

    name: str
    kinds: tuple[tuple[Kind | None, float], ...]
    """Kind and weight; None is LFP."""
    worn: float
    """Share of batteries that have had a life; the others come back hardly used."""
    left_flat: float
    """Share that stood discharged and sulphated."""
    faulty: float
    """Share with one of the faults below."""
    charge_power: float
    """Charge as received is u**(1/power): 1 is even, larger is fuller; half of it for what was left flat."""


RETURNS = Population(
    "counter returns",
    ((FLOODED, 18), (SEALED, 32), (EFB, 13), (AGM, 15), (STANDBY_AGM, 5), (GEL, 5), (None, 12)),
    worn=0.45,
    left_flat=0.15,
    faulty=0.16,
    charge_power=1.6,
)
STRIPPED = Population(
    "stripped from old plant",
    ((FLOODED, 15), (SEALED, 10), (AGM, 10), (STANDBY_AGM, 30), (GEL, 20), (None, 15)),
    worn=0.75,
    left_flat=0.30,
    faulty=0.25,
    charge_power=1.0,
)

LEAD_FAULTS = (("short", 3), ("bridge", 4), ("impure", 3), ("weld", 3), ("weak cell", 5))
LFP_FAULTS = (("bridge", 3), ("protection", 2), ("unequal", 4), ("weak cell", 3))


@dataclass(frozen=True)
class Specimen:
    """One battery, what is true of it, and how it came in."""

    tag: str
    block: Block
    truth: Truth
    received_charge: float
    """Share of what it can hold."""
    rested_h: float
    came_from_charge: bool
    """Whether its last use charged it, so that its voltage comes down; else it comes up."""
    undercharge: float
    """Share that the bench's charge leaves out."""
    reset_tried: bool


def draw_pallet(
    population: Population, batteries: int, chance: random.Random, *, settling: float = 1.0
) -> list[Specimen]:
    """Return so many batteries; all settling times times ``settling``."""
    kinds, weights = zip(*population.kinds, strict=True)
    pallet = []
    for number, kind in enumerate(chance.choices(kinds, weights, k=batteries), start=1):
        flat = chance.random() < population.left_flat
        power = population.charge_power * (0.5 if flat else 1)
        if kind is None:
            block: Block = _lfp(population, chance, settling)
        else:
            block = _lead_acid(kind, population, chance, settling, flat=flat)
        pallet.append(
            Specimen(
                tag=f"S-{number:04}",
                block=block,
                truth=truth_of(block),
                received_charge=chance.random() ** (1 / power),
                rested_h=round(min(max(chance.lognormvariate(3.0, 1.2), 0.5), 500), 1),
                came_from_charge=chance.random() < 0.5,
                undercharge=chance.uniform(0, 0.03),
                reset_tried=chance.random() < 0.6,
            )
        )
    return pallet


def _fault(faults: tuple[tuple[str, int], ...], population: Population, chance: random.Random) -> str:
    if chance.random() >= population.faulty:
        return ""
    names, weights = zip(*faults, strict=True)
    return str(chance.choices(names, weights)[0])


def _wear(population: Population, chance: random.Random) -> float:
    return chance.uniform(0.05, 0.60) if chance.random() < population.worn else chance.uniform(0, 0.12)


def _lead_acid(
    kind: Kind, population: Population, chance: random.Random, settling: float, *, flat: bool
) -> LeadAcidBlock:
    rated = chance.choice(kind.sizes_ah)
    rated_cca = round(rated * chance.uniform(8, 10.5) / 10) * 10.0
    cranking_new = rated_cca * chance.uniform(1.02, 1.25)
    gravity = chance.uniform(*kind.full_gravity)
    capacity_new = rated * chance.uniform(1.0, 1.12)
    acid = acid_for(capacity_ah=capacity_new, full_gravity=gravity, empty_gravity=chance.uniform(1.09, 1.13))
    wear = _wear(population, chance)
    sulphate = chance.uniform(0.05, 0.50) if flat else chance.uniform(0, 0.10) * wear
    dry = chance.uniform(0, 0.30) * wear if kind.dries_out else chance.uniform(0, 0.12) * wear
    corroded = chance.uniform(0.3, 1.1) * wear
    shallow = chance.uniform(*SURFACE_EXPONENT)
    loss = chance.uniform(*kind.monthly_loss) / 30.4
    fault = _fault(LEAD_FAULTS, population, chance)
    if fault == "impure":
        loss = LEAK_PER_DAY * 10 ** chance.uniform(0.15, 1)
    bad = chance.randrange(6)
    cells = []
    for place in range(6):
        scatter = 0.01 + 0.05 * wear
        active = 1 - wear * chance.gauss(1, 0.1) + chance.gauss(0, scatter)
        bound = min(max(sulphate * chance.gauss(1, 0.15), 0), 0.9)
        if fault == "weak cell" and place == bad:
            active *= chance.uniform(0.2, 0.75)
        active = min(max(active, 0.05), 1.1)
        wetness = 1 - (2 if kind.dries_out else 1) * max(0, dry - 0.03)
        cells.append(
            Cell(
                acid=acid.without_water(max(0, dry * chance.gauss(1, 0.1))),
                active_ah=capacity_new * active,
                sulphate_ah=capacity_new * active * bound,
                wetness=wetness,
                surface=max(0.05, (active * (1 - bound)) ** shallow * wetness * (1 - 0.5 * min(corroded, 1))),
                self_discharge_per_day=loss * max(0.5, chance.gauss(1, 0.1)),
                shunt_per_day=_shunt(fault, chance) if place == bad else 0.0,
            )
        )
    return LeadAcidBlock(
        kind=kind.chemistry,
        rated_ah=rated,
        rated_cca_a=rated_cca if kind.starter else None,
        cells=tuple(cells),
        weld_ohm=_weld(chance) if fault == "weld" else 0.0,
        cell_ohm=resistance_when_new(cranking_a=cranking_new, acid=acid),
        cranking_new_a=cranking_new,
        peukert=chance.uniform(*kind.peukert),
        after_charge=_settling(kind.tafel_v, kind.tau_h * settling, chance.uniform(1.2, 2.0), chance),
        after_discharge=_settling(0.09, 2.0 * settling, -chance.uniform(0.5, 1.0), chance),
    )


def _settling(tafel_v: float, tau_h: float, start_v: float, chance: random.Random) -> Settling:
    return Settling(tafel_v * max(0.3, chance.gauss(1, 0.2)), tau_h * chance.lognormvariate(0, 0.4), start_v)


def _shunt(fault: str, chance: random.Random) -> float:
    """Return what a bridge carries; as a leak it empties its cell in 3 to 70 days, half of them within 14."""
    if fault == "short":
        return float("inf") if chance.random() < 0.6 else 10 ** chance.uniform(0.3, 1.7)
    return 0.07 * 5 ** chance.uniform(-1, 1) if fault == "bridge" else 0.0


def _weld(chance: random.Random) -> float:
    return float("inf") if chance.random() < 0.3 else 10 ** chance.uniform(-2.3, -0.7)


def _lfp(population: Population, chance: random.Random, settling: float) -> LfpBlock:
    rated = chance.choice(LFP_SIZES)
    wear = _wear(population, chance) * 0.7
    fault = _fault(LFP_FAULTS, population, chance)
    bad = chance.randrange(4)
    gaps = [abs(chance.gauss(0, 0.12 if fault == "unequal" else 0.01)) for _ in range(4)]
    cells = []
    for place in range(4):
        share = chance.uniform(1.0, 1.04) * (1 - wear) * chance.gauss(1, 0.01)
        if fault == "weak cell" and place == bad:
            share *= chance.uniform(0.2, 0.75)
        cells.append(
            LfpCell(
                capacity_ah=rated * share,
                missing_at_full=min(gaps[place] - min(gaps), 0.8),
                self_discharge_per_day=chance.uniform(0.002, 0.03) / 30.4,
                shunt_per_day=_shunt(fault, chance) if place == bad else 0.0,
            )
        )
    tail = Settling(4 * chance.uniform(0.004, 0.015), chance.uniform(0.4, 3) * settling, 4 * 0.05)
    return LfpBlock(rated, tuple(cells), fault == "protection", tail)
