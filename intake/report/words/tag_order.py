"""The order in which people look for a tag: figures by their value, B-2 before B-10."""

import re
from collections.abc import Iterable

from intake.model.result import GradedBattery

_FIGURES = re.compile(r"(\d+)")


def tag_key(tag: str) -> tuple[tuple[int, int, str], ...]:
    """Return what tags are sorted by: runs of figures by value, everything else without regard to case."""
    parts = _FIGURES.split(tag.casefold())
    return tuple(
        (0, int(part), part) if place % 2 else (1, 0, part) for place, part in enumerate(parts) if part
    )


def by_tag(graded: Iterable[GradedBattery]) -> list[GradedBattery]:
    """Return batteries by tag, those of one tag by row."""
    return sorted(graded, key=lambda one: (tag_key(one.battery.tag), one.battery.row))
