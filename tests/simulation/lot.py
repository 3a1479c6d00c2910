"""The statements about a resale lot, worked out here by the contract's formulas and nothing else.

scipy's hypergeometric distribution is the referee for the limit; the range is Bayes' rule in odds.
"""

import hashlib
from collections.abc import Iterable, Mapping
from functools import cache

from scipy.stats import binom, hypergeom

LEVELS: Mapping[str, float] = {"rest": 1.1, "hold": 1.3, "load": 1.5, "cranking": 2.3, "capacity": 5.0}
"""Likelihood ratio of a sale by what was read, as the contract gives it."""

Range = tuple[float, float]

PRIOR: Range = (0.2, 0.5)
"""Share of unfit batteries at intake where a site knows nothing of its own."""


def unfit_share(prior: float, ratio: float) -> float:
    """Return the share of unfit ones in a lot whose members were offered on such evidence."""
    return prior / (prior + (1 - prior) * ratio)


def likely_unfit(offered: int, ratio: float, prior: Range = PRIOR) -> Range:
    """Return from how many to how many of a lot are likely unfit."""
    return offered * unfit_share(prior[0], ratio), offered * unfit_share(prior[1], ratio)


def likely_unfit_by_chance(
    offered: int, ratio: float, prior: Range = PRIOR, *, outside: float = 0.05
) -> Range:
    """Return the same with the chance in it: even with a share known for certain, lots differ."""
    low, high = (unfit_share(share, ratio) for share in prior)
    return float(binom.ppf(outside, offered, low)), float(binom.ppf(1 - outside, offered, high))


def draw_order(batch: str, tags: Iterable[str]) -> list[str]:
    """Return tags in the order of the draw: by SHA-256 of batch and tag, so that nobody chooses."""
    return sorted(tags, key=lambda tag: hashlib.sha256(f"{batch}/{tag}".encode()).hexdigest())


@cache
def most_unfit(offered: int, drawn: int, failed: int, *, confidence: float = 0.95) -> int:
    """Return the exact upper limit of the number unfit among those offered, the drawn ones included."""
    fits = [
        unfit
        for unfit in range(failed, offered - drawn + failed + 1)
        if hypergeom.cdf(failed, offered, unfit, drawn) > 1 - confidence
    ]
    return max(fits)


def sample_for(offered: int, share: float, *, confidence: float = 0.95) -> int:
    """Return how many must be drawn, none failing, to be sure of at most such a share."""
    one_too_many = int(share * offered) + 1
    return next(
        drawn
        for drawn in range(offered + 1)
        if one_too_many > offered or hypergeom.cdf(0, offered, one_too_many, drawn) <= 1 - confidence
    )


def limit_holds(batch: str, failing: Mapping[str, bool], truly_short: int, drawn: int) -> bool:
    """Whether the limit from one draw holds the true number; ``failing`` is what a test of each would say."""
    tested = draw_order(batch, failing)[:drawn]
    failed = sum(failing[tag] for tag in tested)
    return truly_short <= most_unfit(len(failing), drawn, failed)
