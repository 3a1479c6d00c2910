"""Units as people write them, and their conversion to a column's own."""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from intake.checks.cells.cell_text import plain
from intake.policy.dictionary import load_dictionary

_CASE_MATTERS = "mμ"
"""Prefixes whose capital means something else: milli or mega."""
_FAHRENHEIT_OFFSET, _KELVIN_OFFSET = Decimal(32), Decimal("273.15")
_CELSIUS_PER_FAHRENHEIT = Decimal(5) / Decimal(9)


class WrittenUnit(NamedTuple):
    """A unit that was written, of the same kind as the column's own."""

    name: str
    """As the dictionary spells it."""
    conversion: float | str
    """The factor to the column's unit, or the name of a conversion that is no factor."""

    @property
    def converts(self) -> bool:
        """Whether values change on the way to the column's unit."""
        return self.conversion != 1

    def to_own(self, amount: Decimal) -> Decimal:
        """Return an amount in the column's own unit."""
        if self.conversion == "fahrenheit":
            return (amount - _FAHRENHEIT_OFFSET) * _CELSIUS_PER_FAHRENHEIT
        if self.conversion == "kelvin":
            return amount - _KELVIN_OFFSET
        return amount * Decimal(repr(self.conversion))


def find_unit(text: str, own: str | None) -> WrittenUnit | None:
    """Return the unit that ``text`` names, if it is one that converts to ``own``; else None.

    Capitals do not matter, but for the prefix milli: ``MV`` and ``MΩ`` are not understood.
    """
    if own is None:
        return None
    typed = _spelling(text)
    found = _words(own).get(typed.casefold())
    if found is not None and _is_prefixed(found, own) and typed[0] not in _CASE_MATTERS:
        return None
    return found


def _spelling(text: str) -> str:
    return plain(text).replace(" ", "").rstrip(".")


@cache
def _words(own: str) -> Mapping[str, WrittenUnit]:
    units = load_dictionary().units.get(own, {})
    return {_spelling(name).casefold(): WrittenUnit(name, conversion) for name, conversion in units.items()}


def _is_prefixed(unit: WrittenUnit, own: str) -> bool:
    """Return whether a unit is another one with a prefix before it, as mV is V."""
    word = _spelling(unit.name).casefold()
    return word[0] in _CASE_MATTERS and word[1:] in _words(own)
