"""Numbers that cannot exist without unit, source and status."""

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise


class Status(StrEnum):
    """How far a value was checked."""

    OPENED = "opened"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    SITE_CHOICE = "site choice"
    FROM_SIMULATION = "from simulation"


@dataclass(frozen=True, slots=True)
class CitedValue:
    """One number with its unit, where it comes from and how far that was checked.

    Raises
    ------
    ValueError
        unit or source is blank.
    """

    value: float
    unit: str
    source: str
    status: Status

    def __post_init__(self) -> None:
        if not self.unit.strip() or not self.source.strip():
            raise ValueError("a policy value needs a unit and a source")


@dataclass(frozen=True, slots=True)
class CitedTable:
    """Points (x, y) with rising x, between which a quantity is interpolated.

    Raises
    ------
    ValueError
        unit or source is blank, or the x values do not rise.
    """

    points: tuple[tuple[float, float], ...]
    unit: str
    source: str
    status: Status

    def __post_init__(self) -> None:
        if not self.unit.strip() or not self.source.strip():
            raise ValueError("a policy table needs a unit and a source")
        if any(later[0] <= earlier[0] for earlier, later in pairwise(self.points)):
            raise ValueError("the first figures of a policy table must rise")
