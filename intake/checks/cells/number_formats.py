"""What a cell's number format shows of its value."""

import re

from intake.model.battery import DatePrecision

_LITERAL = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
"""Parts of a number format that only print, pad, or name a language or colour."""
_CLOCK = frozenset("hs")
_DATE = frozenset("ymd")


def shows_percent(number_format: str) -> bool:
    """Return whether a format shows a hundredfold, as ``0.0%`` does and ``0.0"%"`` does not."""
    return "%" in _LITERAL.sub("", number_format)


def shown_precision(number_format: str) -> DatePrecision:
    """Return how much of a date a format shows: ``mmm-yy`` a month, ``yyyy`` a year, else the day."""
    letters = _date_letters(number_format)
    if letters in ({"y", "m"}, {"m"}):
        return DatePrecision.MONTH
    return DatePrecision.YEAR if letters == {"y"} else DatePrecision.DAY


def shows_clock(number_format: str) -> bool:
    """Return whether a format shows a time of day, as ``d/m/yy hh:mm`` does."""
    return bool(_date_letters(number_format) & _CLOCK)


def hides_year(number_format: str) -> bool:
    """Return whether a format shows a month without its year, as ``d-mmm`` does."""
    letters = _date_letters(number_format)
    return "m" in letters and not letters & (_CLOCK | {"y"})


def _date_letters(number_format: str) -> frozenset[str]:
    signs = _LITERAL.sub("", number_format).lower()
    return frozenset() if signs == "general" else frozenset(signs) & (_CLOCK | _DATE)
