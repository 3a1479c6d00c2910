"""What a bench reads of each battery, once and with one meter: every set of readings shares its figures.

Temperature of a capacity: multiplier of IEEE 485, as a cubic (edition not opened). Noise of the strength
tests is assumed: 1 % of current times time, 6 % of a cranking current inferred from conductance.
"""

import random
from dataclasses import dataclass

from tests.simulation.fit import loss_percent_per_month
from tests.simulation.lead_acid import LeadAcidBlock
from tests.simulation.lfp import LfpBlock
from tests.simulation.meter import Meter, read_temperature
from tests.simulation.population import Specimen

HOLD_HOURS = (0.5, 12.0, 24.0, 96.0, 168.0)
LOAD_SECONDS = 15.0


@dataclass(frozen=True)
class Reading:
    """One open-circuit voltage, as shown, with the charge that was there."""

    hours: float
    volts: float
    temperature_c: float
    true_charge_percent: float


@dataclass(frozen=True)
class Bench:
    """All that the bench could read of one battery."""

    specimen: Specimen
    rest: Reading
    holds: tuple[Reading, ...]
    load_current_a: float | None
    load_v: float | None
    cranking_a: float | None
    delivered_ah: float
    discharge_h: float
    loss_percent_per_month: float
    """True, of the whole block, at the hold's mean temperature."""


def read_pallet(pallet: list[Specimen], meter: Meter, chance: random.Random) -> list[Bench]:
    """Return what one bench reads of a pallet."""
    room_c = chance.uniform(15, 24)
    return [_read(specimen, meter, room_c, chance) for specimen in pallet]


def _read(specimen: Specimen, meter: Meter, room_c: float, chance: random.Random) -> Bench:
    read = _read_lfp if isinstance(specimen.block, LfpBlock) else _read_lead_acid
    return read(specimen, meter, room_c, chance)


def _reading(
    hours: float, true_v: float, true_c: float, charge: float, meter: Meter, chance: random.Random
) -> Reading:
    shown = max(0.0, meter.read(true_v, chance))
    return Reading(hours, shown, read_temperature(true_c, chance), 100 * charge)


def _read_lead_acid(specimen: Specimen, meter: Meter, room_c: float, chance: random.Random) -> Bench:
    block = specimen.block
    assert isinstance(block, LeadAcidBlock)
    least = min(cell.capacity_ah for cell in block.cells)

    def charge_left(drawn: list[float]) -> float:
        left = min(cell.capacity_ah - ah for cell, ah in zip(block.cells, drawn, strict=True))
        return max(0.0, left / least) if least else 0.0

    def drawn_after(hours: float, start_ah: float, at_c: float) -> list[float]:
        return [start_ah + c.drawn_by_standing(days=hours / 24, temperature_c=at_c) for c in block.cells]

    def voltage(hours: float, start_ah: float, after: str) -> Reading:
        at_c = room_c + chance.uniform(-1.5, 1.5)
        drawn = drawn_after(hours, start_ah, room_c)
        volts = block.open_circuit_v(drawn, at_c)
        if volts > 0:
            volts += (block.after_charge if after == "charge" else block.after_discharge).left_v(hours)
        return _reading(hours, volts, at_c, charge_left(drawn), meter, chance)

    came_from = "charge" if specimen.came_from_charge else "discharge"
    rest = voltage(specimen.rested_h, (1 - specimen.received_charge) * least, came_from)
    left_out = specimen.undercharge * least
    holds = tuple(voltage(hours, left_out, "charge") for hours in HOLD_HOURS)
    current = round(block.rated_cca_a / 2 if block.rated_cca_a else 3 * block.rated_ah)
    loaded = block.loaded_v(drawn_after(100, left_out, room_c), current, room_c)
    conducts = block.cranking_a() * chance.gauss(1, 0.06)
    test_a = block.rated_ah / 10
    slower = (test_a / (block.rated_ah / 20)) ** (1 - block.peukert)
    delivered = block.capacity_at(test_a) * slower / _cell_size_factor(room_c) - left_out
    delivered = max(0.0, delivered * chance.gauss(1, 0.01))
    return Bench(
        specimen=specimen,
        rest=rest,
        holds=holds,
        load_current_a=current,
        load_v=max(0.0, meter.read(loaded, chance)),
        cranking_a=round(max(0.0, conducts)) if block.rated_cca_a else None,
        delivered_ah=round(delivered, 1),
        discharge_h=max(0.1, round(delivered / test_a, 1)),
        loss_percent_per_month=loss_percent_per_month(block, temperature_c=room_c),
    )


def _cell_size_factor(temperature_c: float) -> float:
    """Return how much larger a cell must be than at 25 °C: the cubic of IEEE 485 in hundreds of °C."""
    x = temperature_c / 100
    return -2.8117 * x**3 + 4.1916 * x**2 - 2.4941 * x + 1.405


def _read_lfp(specimen: Specimen, meter: Meter, room_c: float, chance: random.Random) -> Bench:
    block = specimen.block
    assert isinstance(block, LfpBlock)
    full = block.capacity_ah()

    def charge_left(charges: list[float]) -> float:
        left = min(share * cell.capacity_ah for share, cell in zip(charges, block.cells, strict=True))
        return left / full if full else 0.0

    def voltage(hours: float, drawn_ah: float, branches: list[float]) -> Reading:
        at_c = room_c + chance.uniform(-1.5, 1.5)
        charges = block.charges_after(hours / 24, drawn=drawn_ah / block.rated_ah)
        if specimen.reset_tried:
            charges = block.woken(charges)
        volts = block.open_circuit_v(charges, at_c, branches)
        if volts > 0:
            volts += block.after_charge.left_v(hours) * max(branches[0], 0)
        return _reading(hours, volts, at_c, charge_left(charges), meter, chance)

    last = 1.0 if specimen.came_from_charge else -1.0
    rest = voltage(specimen.rested_h, (1 - specimen.received_charge) * full, [last * chance.random()] * 4)
    left_out = specimen.undercharge * full
    holds = tuple(voltage(hours, left_out, block.branches_after(hours / 24)) for hours in HOLD_HOURS)
    test_a = block.rated_ah / 10
    delivered = max(0.0, (full - left_out) * chance.gauss(1, 0.01))
    return Bench(
        specimen=specimen,
        rest=rest,
        holds=holds,
        load_current_a=None,
        load_v=None,
        cranking_a=None,
        delivered_ah=round(delivered, 1),
        discharge_h=max(0.1, round(delivered / test_a, 1)),
        loss_percent_per_month=loss_percent_per_month(block, temperature_c=room_c),
    )
