"""Masses as every paper says them: counted in whole grams, rounded in decimals, a half upwards."""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

_GRAMS_PER_KG = 1000


def grams(mass_kg: float) -> int:
    """Return a mass in kg as whole grams; half a gram counts as one."""
    return int((Decimal(repr(mass_kg)) * _GRAMS_PER_KG).to_integral_value(ROUND_HALF_UP))


def in_kg(mass_g: int) -> float:
    """Return whole grams in kg."""
    return mass_g / _GRAMS_PER_KG


def sum_kg(masses_kg: Iterable[float]) -> float:
    """Return a sum in kg, of whole grams, so that it does not depend on the order of the batteries."""
    return in_kg(sum(grams(one) for one in masses_kg))


def grams_in_words(mass_g: int, *, decimals: int = 1) -> str:
    """Return whole grams as kg for a person, like ``64.0`` for 63,950 g."""
    step = Decimal(1).scaleb(-decimals)
    return f"{(Decimal(mass_g) / _GRAMS_PER_KG).quantize(step, ROUND_HALF_UP):f}"


def kg_in_words(mass_kg: float, *, decimals: int = 1) -> str:
    """Return a mass in kg for a person, like ``64.0`` for 63.95 kg."""
    return grams_in_words(grams(mass_kg), decimals=decimals)
