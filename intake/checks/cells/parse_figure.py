"""Figures as people type them, as exact decimals: every way a figure can be read, never a guess."""

import re
from decimal import Decimal
from typing import NamedTuple

from intake.checks.cells.cell_text import plain_figures

_LONGEST = 60
"""Characters; nothing longer is a figure."""
_PARTS = re.compile(r"([+-]?) ?([0-9.,][0-9., ]*)(.*)")
_POWER_OF_TEN = re.compile(r"[eE][+-]?[0-9]+")

_DIGITS = re.compile(r"[0-9]+")
_DOT_DECIMAL = re.compile(r"[0-9]*\.[0-9]+")
_COMMA_DECIMAL = re.compile(r"[0-9]*,[0-9]+")
_COMMA_TWO_WAY = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_GROUPED_BY_COMMA = re.compile(r"[1-9][0-9]{0,2}(,[0-9]{3})+\.[0-9]+|[1-9][0-9]{0,2}(,[0-9]{3}){2,}")
_GROUPED_BY_DOT = re.compile(r"[1-9][0-9]{0,2}(\.[0-9]{3})+,[0-9]+|[1-9][0-9]{0,2}(\.[0-9]{3}){2,}")
_GROUPED_BY_SPACE = re.compile(r"[1-9][0-9]{0,2}( [0-9]{3})+([.,][0-9]+)?")


class Figure(NamedTuple):
    """A figure and the words behind it. ``readings``: none = no figure, two = it can be read two ways."""

    readings: tuple[Decimal, ...]
    unit: str
    """What follows the figure, as typed."""

    @property
    def power_of_ten(self) -> bool:
        """Whether it is written like ``1e5``."""
        return _POWER_OF_TEN.fullmatch(self.unit) is not None


def parse_figure(text: str) -> Figure | None:
    """Return the figure at the start of a text; None where there is none.

    ``12,43`` is 12.43; a dot is always decimal; ``1,234`` has two readings; ``1.234,5`` and ``1,234.5``
    have one; blanks may part the digits in threes.
    """
    parts = _PARTS.fullmatch(plain_figures(text))
    if parts is None or len(parts[0]) > _LONGEST:
        return None
    sign, figure, unit = parts.groups()
    readings = _readings(figure.strip())
    if sign == "-":
        readings = tuple(-one for one in readings)
    return Figure(readings, unit.strip())


def _readings(figure: str) -> tuple[Decimal, ...]:
    if _COMMA_TWO_WAY.fullmatch(figure):
        return Decimal(figure.replace(",", ".")), Decimal(figure.replace(",", ""))
    if _DIGITS.fullmatch(figure) or _DOT_DECIMAL.fullmatch(figure):
        return (Decimal(figure),)
    if _COMMA_DECIMAL.fullmatch(figure):
        return (Decimal(figure.replace(",", ".")),)
    if _GROUPED_BY_COMMA.fullmatch(figure):
        return (Decimal(figure.replace(",", "")),)
    if _GROUPED_BY_DOT.fullmatch(figure):
        return (Decimal(figure.replace(".", "").replace(",", ".")),)
    if _GROUPED_BY_SPACE.fullmatch(figure):
        return (Decimal(figure.replace(" ", "").replace(",", ".")),)
    return ()
