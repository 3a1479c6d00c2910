"""Whether what is said of a resale lot comes true: the range "likely unfit", the limit from a draw."""

import math
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence

from tests.simulation.fit import LEAST_CAPACITY
from tests.simulation.graded import Graded
from tests.simulation.intake_workbook import CAPACITY, CRANKING, HOLD_96, LOAD, REST
from tests.simulation.lot import LEVELS, PRIOR, Range, likely_unfit, likely_unfit_by_chance, limit_holds
from tests.simulation.tables import Sets, likelihood_ratio, share

READ: Mapping[str, str] = {
    "rest": REST.name,
    "hold": HOLD_96.name,
    "load": LOAD.name,
    "cranking": CRANKING.name,
    "capacity": CAPACITY.name,
}
"""Level of evidence and the set of readings that gives it."""

LEAST_LOT = 5
"""Smaller lots say nothing about a share."""

NAMES = 100
"""Batch names under which each lot is drawn anew: another name draws other tags."""


def at_level(batteries: Sequence[Graded], level: str) -> list[Graded]:
    """Return those that have the readings of a level; cranking is for starters, a load test for lead-acid."""
    blocks = {"load": lambda block: not block.lfp, "cranking": lambda block: block.rated_cca_a is not None}
    applies = blocks.get(level, lambda block: True)
    return [one for one in batteries if applies(one.bench.specimen.block)]


def lots(batteries: Sequence[Graded]) -> list[list[Graded]]:
    """Return what each pallet offers, lots of fewer than five left out."""
    found: dict[str, list[Graded]] = defaultdict(list)
    for one in batteries:
        if one.outcome == "sold":
            found[one.pallet].append(one)
    return [lot for lot in found.values() if len(lot) >= LEAST_LOT]


def true_number(lot: Sequence[Graded]) -> int:
    """Return how many of a lot are not fit."""
    return sum(not one.truth.fit for one in lot)


def holds(stated: Range, true: int) -> bool:
    """Whether a range, outwards to whole batteries, holds the true number."""
    return math.floor(stated[0]) <= true <= math.ceil(stated[1])


def range_table(sets: Sets, prior: Range = PRIOR) -> str:
    """Return how often the range holds: the shares alone, and with the chance that lots differ."""
    lines = [
        "| level | stated | fit over not fit | sound over unfit | lots | range holds % | with chance % |",
        "|---|---|---|---|---|---|---|",
    ]
    for level, stated in LEVELS.items():
        batteries = at_level(sets[READ[level]], level)
        found_here = _said(likelihood_ratio(batteries))
        without_middling = [one for one in batteries if one.truth.worth != "middling"]
        offered = lots(batteries)
        found = [
            sum(holds(range_of(len(lot), stated, prior), true_number(lot)) for lot in offered)
            for range_of in (likely_unfit, likely_unfit_by_chance)
        ]
        lines.append(
            f"| {level} | {stated:g} | {found_here} | {_said(likelihood_ratio(without_middling))} "
            f"| {len(offered)} | {share(found[0], len(offered)):.0f} | {share(found[1], len(offered)):.0f} |"
        )
    return "\n".join(lines)


def _said(ratio: tuple[float, float, float]) -> str:
    return f"{ratio[0]:.2f} ({ratio[1]:.2f} to {ratio[2]:.2f})"


def family(one: Graded) -> str:
    """Return the kind of which a sample is drawn."""
    block = one.bench.specimen.block
    if block.lfp:
        return "LFP"
    return "lead-acid starter" if block.rated_cca_a else "lead-acid other"


def says_failed(one: Graded) -> bool:
    """Whether a capacity test did not show 80 % for certain: a capacity rule caps or scraps it."""
    return not one.fired.keys().isdisjoint({"capacity-low", "capacity-spent"})


def is_short(one: Graded) -> bool:
    """Whether it truly delivers less than 80 %: what a test without error would say."""
    return one.truth.capacity < LEAST_CAPACITY


def limit_answers(sets: Sets, drawn: int, *, fails: Callable[[Graded], bool] = says_failed) -> list[bool]:
    """Return for each lot of one kind and each of many draws whether the limit from it holds."""
    tested = {(one.pallet, one.bench.specimen.tag): one for one in sets[CAPACITY.name]}
    answers = []
    for lot in lots(sets[HOLD_96.name]):
        kinds: dict[str, list[Graded]] = defaultdict(list)
        for one in lot:
            kinds[family(one)].append(tested[one.pallet, one.bench.specimen.tag])
        for members in kinds.values():
            failing = {one.bench.specimen.tag: fails(one) for one in members}
            short = sum(is_short(one) for one in members)
            answers += [
                limit_holds(f"{members[0].pallet}-{name}", failing, short, min(drawn, len(members)))
                for name in range(NAMES)
            ]
    return answers


def limit_table(sets: Sets) -> str:
    """Return how often the upper limit from a drawn sample holds."""
    lines = [
        "| drawn of each kind | draws | holds % | by a test without error % |",
        "|---|---|---|---|",
    ]
    for drawn in (1, 3, 5, 10, 15):
        said, exact = (limit_answers(sets, drawn, fails=fails) for fails in (says_failed, is_short))
        shares = [f"{share(sum(answers), len(answers)):.1f}" for answers in (said, exact)]
        lines.append(f"| {drawn} | {len(said):,} | {' | '.join(shares)} |")
    return "\n".join(lines)
