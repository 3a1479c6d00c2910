"""What a line never divides: figure and unit, comparison and figure, currency and amount."""

import re

from intake.report.drawing.typesetter import NO_BREAK

SEPARATOR = " · "
"""Stands between facts on one line."""

_BEFORE_UNIT = re.compile(r"(?<=[0-9]) (?=(?:V|h|A|Ah|kg|mΩ|%|°C)(?![A-Za-z]))")
_BEFORE_FIGURE = re.compile(r"([≥≤<>=]|\bu) (?=[0-9])")


def with_units_kept(text: str) -> str:
    """Return the text so that no line ends between a figure and its unit, or after a sign of comparison."""
    return _BEFORE_FIGURE.sub(f"\\1{NO_BREAK}", _BEFORE_UNIT.sub(NO_BREAK, text))
