"""What is known of the batteries that are offered, and what is to be expected of them."""

from enum import StrEnum
from typing import NamedTuple


class LotKind(StrEnum):
    """Batteries that are sampled together."""

    STARTER = "lead-acid starter"
    LEAD_ACID = "lead-acid other"
    LFP = "LFP"


class Sampled(NamedTuple):
    """What capacity tests of a random draw say of one kind, without any assumption."""

    kind: LotKind
    offered: int
    """Batteries of the kind that were offered on less than a capacity test, the drawn ones among them."""
    drawn: int
    """Of these, tested in the order of the draw."""
    failed: int
    """Of the drawn ones, under the capacity that a serviceable battery has."""
    unfit_at_most: int | None
    """Upper 95 % limit on the number unfit among those offered; None where nothing was drawn."""
    sample: int
    """The smallest draw without a failure that brings the limit down to the site's most unfit share."""
    draw: tuple[str, ...]
    """The tags of that draw, in its order."""


class Expected(NamedTuple):
    """How many of those offered on one kind of reading are likely unfit. From simulation."""

    reading: str
    """rest, hold, load, cranking or capacity: the strongest that was taken."""
    offered: int
    unfit_low: float
    unfit_high: float


class Lot(NamedTuple):
    """All batteries graded resale-after-charge."""

    offered: int
    sampled: tuple[Sampled, ...]
    """The kinds that are there."""
    expected: tuple[Expected, ...]
    """By the strongest reading, the weakest first; only those that are there."""
    unfit_low: int
    unfit_high: int
    """About this many of all that are offered are likely unfit: the ends with the chance of the draw."""
    own_share: bool
    """Whether the site's own share unfit was used, not the assumed range."""
    most_unfit_share: float
    status: str
    """How far the likelihood ratios were checked."""
