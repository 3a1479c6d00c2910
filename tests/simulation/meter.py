"""A voltmeter and a thermometer as they are: one gain and offset for the whole pallet, noise and steps."""

import random
from dataclasses import dataclass

STEP_V = 0.01
"""What a handheld meter shows of a 12 V block."""


@dataclass(frozen=True, slots=True)
class MeterClass:
    """What the maker promises: so much of the reading and so many volts beside."""

    percent: float
    volts: float

    @property
    def name(self) -> str:
        """As the tables say it."""
        return f"{self.percent:g} % + {self.volts:g} V"


FINE = MeterClass(0.1, 0.01)
PLAIN = MeterClass(0.5, 0.02)


@dataclass(frozen=True, slots=True)
class Meter:
    """One meter inside its class: gain and half of the fixed part are its own, the rest changes."""

    gain: float
    offset_v: float
    noise_v: float
    sold_as: MeterClass

    def read(self, volts: float, chance: random.Random) -> float:
        """Return what the display shows."""
        shown = volts * (1 + self.gain) + self.offset_v + chance.uniform(-self.noise_v, self.noise_v)
        return round(round(shown / STEP_V) * STEP_V, 4)


def draw_meter(sold_as: MeterClass, chance: random.Random) -> Meter:
    """Return a meter that keeps its maker's promise."""
    noise = max(0.0, sold_as.volts / 2 - STEP_V / 2)
    return Meter(
        gain=chance.uniform(-sold_as.percent, sold_as.percent) / 100,
        offset_v=chance.uniform(-sold_as.volts, sold_as.volts) / 2,
        noise_v=noise,
        sold_as=sold_as,
    )


def read_temperature(true_c: float, chance: random.Random) -> float:
    """Return what a contact thermometer shows, to the degree."""
    return float(round(true_c + chance.uniform(-1, 1)))
