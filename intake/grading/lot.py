"""The lot: what a random draw says of the batteries offered, exactly, and what is to be expected of them.

The draw goes by the digests of batch and tag, so that nobody chooses. The limit is that of sampling without
replacement (hypergeometric): the largest number unfit with which so few failures are not yet improbable.
"""

import hashlib
import math
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import takewhile
from statistics import NormalDist

from intake.grading.capacity_test import measured_ratio
from intake.grading.decision import reasons_in_order
from intake.grading.load_test import load_test_counts
from intake.grading.next_steps import is_starter
from intake.grading.quantities import at_least
from intake.model.battery import Battery, Chemistry
from intake.model.lot import Expected, Lot, LotKind, Sampled
from intake.model.rules import Rule
from intake.model.verdict import HELD, TESTED, Effect, Evidence, Grade, Verdict
from intake.policy.cited import CitedValue
from intake.policy.grading_policy import GradingPolicy, LotPolicy

Offer = tuple[Battery, Verdict]
_BY_THE_TEST = (Rule.CAPACITY_LOW, Rule.CAPACITY_SPENT, Rule.NEEDS_RECOVERY)
"""What a capacity test brings about, flatness included; without these the battery was on offer before it."""


def lot_of(batch: str, graded: Sequence[Offer], *, policy: GradingPolicy) -> Lot:
    """Return what is known of the resale lot of a batch, and what is to be expected of it.

    Parameters
    ----------
    batch
        The name of the batch; it goes into the draw.
    graded
        Every battery with its verdict.
    policy
        Confidence, the site's most unfit share, likelihood ratios and shares unfit.
    """
    offered = [one for one in graded if one[1].grade is Grade.RESALE]
    expected = _expected(offered, policy)
    numbers = policy.lot
    ratios = numbers.likelihood_ratio
    z = NormalDist().inv_cdf(numbers.confidence.value)
    return Lot(
        offered=len(offered),
        sampled=tuple(
            _sampled(kind, ones, batch, policy) for kind, ones in _by_kind(graded, policy).items() if ones
        ),
        expected=expected,
        unfit_low=max(0, math.floor(_with_chance([(one.offered, one.unfit_low) for one in expected], -z))),
        unfit_high=min(
            len(offered), math.ceil(_with_chance([(one.offered, one.unfit_high) for one in expected], z))
        ),
        own_share=numbers.unfit_share is not None,
        most_unfit_share=numbers.most_unfit_share.value,
        status=ratios.hold.status.value,
    )


def _by_kind(graded: Sequence[Offer], policy: GradingPolicy) -> Mapping[LotKind, list[Battery]]:
    kinds: dict[LotKind, list[Battery]] = {kind: [] for kind in LotKind}
    for battery, verdict in graded:
        if _was_offered(battery, verdict, policy):
            kinds[kind_of(battery)].append(battery)
    return kinds


def kind_of(battery: Battery) -> LotKind:
    """Return the kind that a battery is sampled with."""
    if battery.chemistry is Chemistry.LFP:
        return LotKind.LFP
    return LotKind.STARTER if is_starter(battery) else LotKind.LEAD_ACID


def _was_offered(battery: Battery, verdict: Verdict, policy: GradingPolicy) -> bool:
    """Say whether a battery is on offer, or was before its capacity was tested."""
    if measured_ratio(battery, policy=policy) is None:
        return verdict.grade is Grade.RESALE
    others = [step for step in verdict.reasons if step.rule not in _BY_THE_TEST]
    return not others or reasons_in_order(others)[0].effect in (Effect.CAP_RESALE, Effect.NOTE)


def _sampled(kind: LotKind, ones: Sequence[Battery], batch: str, policy: GradingPolicy) -> Sampled:
    """Count the draw as far as it has been tested in its order; who was tested out of turn does not count."""
    ratios = {one.tag: measured_ratio(one, policy=policy) for one in ones}
    order = draw_order(batch, list(ratios))
    tested = list(takewhile(lambda tag: ratios[tag] is not None, order))
    waiting = [tag for tag in order if ratios[tag] is None]
    low = policy.capacity.low_below.value
    failed = sum(
        not at_least(ratio.value, low, policy=policy)
        for ratio in (ratios[tag] for tag in tested)
        if ratio is not None
    )
    offered, drawn = len(tested) + len(waiting), len(tested)
    risk = 1 - policy.lot.confidence.value
    sample = sample_size(offered, most_share=policy.lot.most_unfit_share.value, risk=risk)
    return Sampled(
        kind=kind,
        offered=offered,
        drawn=drawn,
        failed=failed,
        unfit_at_most=most_unfit(offered, drawn=drawn, failed=failed, risk=risk) if drawn else None,
        sample=sample,
        draw=(*tested, *waiting)[:sample],
    )


def draw_order(batch: str, tags: Sequence[str]) -> tuple[str, ...]:
    """Return tags in the order of SHA-256("batch/tag")."""
    return tuple(sorted(tags, key=lambda tag: hashlib.sha256(f"{batch}/{tag}".encode()).hexdigest()))


def probability_of_at_most(failed: int, *, offered: int, unfit: int, drawn: int) -> float:
    """Return the hypergeometric probability of drawing at most so many of the unfit ones, failed <= drawn."""
    ways = sum(
        math.comb(unfit, found) * math.comb(offered - unfit, drawn - found) for found in range(failed + 1)
    )
    return ways / math.comb(offered, drawn)


def most_unfit(offered: int, *, drawn: int, failed: int, risk: float) -> int:
    """Return the largest number unfit among those offered with which the draw has a chance over ``risk``."""
    possible = range(failed + 1, offered - (drawn - failed) + 1)
    more = bisect_left(
        possible,
        True,
        key=lambda unfit: probability_of_at_most(failed, offered=offered, unfit=unfit, drawn=drawn) <= risk,
    )
    return failed + more


def sample_size(offered: int, *, most_share: float, risk: float) -> int:
    """Return the smallest draw that, without a failure, leaves at most that share of those offered unfit."""
    one_too_many = math.floor(most_share * offered) + 1
    if one_too_many > offered:
        return 0
    possible = range(1, offered + 1)
    enough = bisect_left(
        possible,
        True,
        key=lambda drawn: probability_of_at_most(0, offered=offered, unfit=one_too_many, drawn=drawn) <= risk,
    )
    return possible[enough]


def _expected(offered: Sequence[Offer], policy: GradingPolicy) -> tuple[Expected, ...]:
    numbers = policy.lot
    ratios = numbers.likelihood_ratio
    by_reading: dict[str, tuple[CitedValue, int]] = {}
    for battery, verdict in offered:
        reading = strongest_reading(battery, verdict.evidence, policy=policy)
        ratio, count = by_reading.get(reading, (getattr(ratios, reading), 0))
        by_reading[reading] = (ratio, count + 1)
    low, high = _shares(numbers)
    return tuple(
        Expected(
            reading=reading,
            offered=count,
            unfit_low=count * unfit_share(low, ratio.value),
            unfit_high=count * unfit_share(high, ratio.value),
        )
        for reading, (ratio, count) in sorted(by_reading.items(), key=lambda item: item[1][0].value)
    )


def _with_chance(groups: Sequence[tuple[int, float]], z: float) -> float:
    """Return a number unfit that z standard deviations of a binomial draw lie from the one expected.

    Even where the share is known, lots of a few dozen differ.
    """
    mean = sum(unfit for _, unfit in groups)
    variance = sum(unfit * (1 - unfit / offered) for offered, unfit in groups)
    return mean + z * math.sqrt(variance)


def _shares(numbers: LotPolicy) -> tuple[float, float]:
    """Return the share unfit before any reading: the site's own, else the range that is assumed."""
    if numbers.unfit_share is not None:
        return numbers.unfit_share.value, numbers.unfit_share.value
    return numbers.unfit_share_low.value, numbers.unfit_share_high.value


def unfit_share(prior: float, ratio: float) -> float:
    """Return the share unfit of what is offered: prior / (prior + (1 - prior) LR)."""
    return prior / (prior + (1 - prior) * ratio)


def strongest_reading(battery: Battery, evidence: Evidence, *, policy: GradingPolicy) -> str:
    """Return the policy's name of the strongest reading that counts."""
    if evidence is Evidence.CAPACITY:
        return "capacity"
    if evidence in TESTED:
        cranked = battery.measured_cca_a is not None and battery.rated_cca_a is not None
        return "cranking" if cranked or not load_test_counts(battery, policy=policy) else "load"
    return "hold" if evidence in HELD else "rest"
