"""Tables of what the grades are worth: each takes graded batteries and returns Markdown."""

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from statistics import median

from tests.simulation.fit import LEAST_CAPACITY, LEAST_CRANKING, WORTHS
from tests.simulation.graded import Graded

Sets = Mapping[str, Sequence[Graded]]
OUTCOMES = ("sold", "held", "scrapped")

CLAIMS: Mapping[str, tuple[str, Callable[[Graded], bool]]] = {
    "capacity-low": ("under 80 % of rated", lambda one: one.truth.capacity < 0.80),
    "capacity-spent": ("under 60 % of rated", lambda one: one.truth.capacity < 0.60),
    "cranking-low": ("cranks under 75 % of rated", lambda one: (one.truth.cranking or 0) < 0.75),
    "cranking-spent": ("cranks under 50 % of rated", lambda one: (one.truth.cranking or 0) < 0.50),
    "hold-cell-down": ("a cell is down", lambda one: _leaks(one)),
    "hold-drop-high": ("leaks", lambda one: _leaks(one)),
    "hold-drop-fails": ("leaks", lambda one: _leaks(one)),
    "leak-suspect": ("leaks", lambda one: _leaks(one)),
    "leak-fails": ("leaks", lambda one: _leaks(one)),
    "load-test-fails": ("unfit", lambda one: one.truth.worth == "unfit"),
    "load-collapses": ("not fit", lambda one: not one.truth.fit),
    "no-voltage": ("unfit", lambda one: one.truth.worth == "unfit"),
    "hold-low": ("not fit", lambda one: not one.truth.fit),
}
"""Rule, what it says of a battery, and whether that is true."""

LEAK_RULES = ("leak-suspect", "leak-fails", "hold-drop-high", "hold-drop-fails", "hold-drop-unclear")


def _leaks(one: Graded) -> bool:
    return not one.truth.faults.isdisjoint({"leak", "short"})


def share(part: int, whole: int) -> float:
    """Return a share in %; nan of nothing."""
    return 100 * part / whole if whole else math.nan


def count(batteries: Iterable[Graded], *, of: Callable[[Graded], bool]) -> tuple[int, int]:
    """Return how many are so, and how many there are."""
    answers = [of(one) for one in batteries]
    return sum(answers), len(answers)


def likelihood_ratio(batteries: Sequence[Graded]) -> tuple[float, float, float]:
    """Return P(sold given fit) over P(sold given not fit), and its 95 % interval."""
    good, goods = count((one for one in batteries if one.truth.fit), of=_sold)
    bad, bads = count((one for one in batteries if not one.truth.fit), of=_sold)
    if not good or not bad:
        return (math.nan,) * 3
    ratio = (good / goods) / (bad / bads)
    spread = math.exp(1.96 * math.sqrt(1 / good - 1 / goods + 1 / bad - 1 / bads))
    return ratio, ratio / spread, ratio * spread


def _sold(one: Graded) -> bool:
    return one.outcome == "sold"


def _outcomes(batteries: Sequence[Graded]) -> str:
    return " / ".join(
        _percent(*count(batteries, of=lambda one, outcome=outcome: one.outcome == outcome))
        for outcome in OUTCOMES
    )


def _percent(part: int, whole: int) -> str:
    value = share(part, whole)
    return "–" if math.isnan(value) else f"{value:.1f}" if value < 1 or value > 99 else f"{value:.0f}"


def truth_table(batteries: Sequence[Graded]) -> str:
    """How many are sound, middling and unfit, and why not fit; a battery may have several reasons."""
    worths = [f"{sum(one.truth.worth == worth for one in batteries)} {worth}" for worth in WORTHS]
    reasons: dict[str, int] = defaultdict(int)
    for one in batteries:
        reasons["capacity under 80 %"] += one.truth.capacity < LEAST_CAPACITY
        reasons["cranking under 75 %"] += (one.truth.cranking or 1) < LEAST_CRANKING
        for fault in one.truth.faults:
            reasons[fault] += 1
    said = ", ".join(f"{reason} {number}" for reason, number in sorted(reasons.items()))
    return f"{len(batteries)} batteries: {', '.join(worths)}. Not fit for: {said}."


def outcome_table(sets: Sets) -> str:
    """What becomes of sound, middling and unfit batteries, and what a sale is worth as evidence."""
    lines = [
        "| readings | sound sold / held / scrapped % | middling | unfit | lot: not fit | likelihood ratio |",
        "|---|---|---|---|---|---|",
    ]
    for name, batteries in sets.items():
        cells = [_outcomes([one for one in batteries if one.truth.worth == worth]) for worth in WORTHS]
        lot = [one for one in batteries if _sold(one)]
        unfit, offered = count(lot, of=lambda one: not one.truth.fit)
        ratio, low, high = likelihood_ratio(batteries)
        lines.append(
            f"| {name} | {' | '.join(cells)} | {_percent(unfit, offered)} % ({unfit} of {offered}) "
            f"| {ratio:.2f} ({low:.2f} to {high:.2f}) |"
        )
    return "\n".join(lines)


ROUNDING = 0.05
"""Intervals are printed to the tenth of a percent at most."""


def miss(interval: Mapping[str, float], low: str, high: str, true: float) -> float:
    """Return by how much an interval misses the truth, in percent of charge or a month; 0 if it covers."""
    beside = max(interval[low] - true, true - interval[high])
    return beside if beside > ROUNDING else 0.0


def charge_misses(batteries: Iterable[Graded]) -> list[tuple[Graded, str, float]]:
    """Return for each sound battery and each interval of its charge by how much it misses."""
    found = []
    for one in batteries:
        if not one.truth.fit:
            continue
        at_rest, held = one.entry["state_of_charge"], one.entry["held_charge"]
        if at_rest is not None and one.bench.rest.hours >= 24:
            true = one.bench.rest.true_charge_percent
            found.append((one, "at rest for a day", miss(at_rest, "low_percent", "high_percent", true)))
        if held is not None:
            true = next(
                reading.true_charge_percent
                for reading in one.bench.holds
                if math.isclose(reading.hours, held["after_h"])
            )
            found.append((one, "held", miss(held, "low_percent", "high_percent", true)))
    return found


def coverage_table(sets: Sets) -> str:
    """How often the printed 95 % intervals cover: charge of sound batteries, self-discharge of sound ones."""
    misses: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    for name, batteries in sets.items():
        for one, what, by in charge_misses(batteries):
            misses[name, f"charge {what}", "LFP" if one.bench.specimen.block.lfp else "lead-acid"].append(by)
        for one in batteries:
            loss = one.entry["self_discharge"]
            if loss is not None and one.truth.fit:
                by = miss(loss, "low", "high", one.bench.loss_percent_per_month)
                misses[name, "self-discharge a month", "lead-acid"].append(by)
    lines = [
        "| readings | interval | of sound | covers % | of | misses by, median |",
        "|---|---|---|---|---|---|",
    ]
    for (name, what, family), all_by in misses.items():
        if what != "charge at rest for a day" or name == next(iter(sets)):
            beside = [by for by in all_by if by]
            middle = f"{median(beside):.1f} %" if beside else "–"
            covers = _percent(len(all_by) - len(beside), len(all_by))
            lines.append(f"| {name} | {what} | {family} | {covers} | {len(all_by)} | {middle} |")
    return "\n".join(lines)


def leak_table(sets: Sets) -> str:
    """Leaking lead-acid blocks: found by a leak rule, sold; and how often a leak rule fires on sound ones."""
    lines = [
        "| readings | leaks | leak rule fires % | in one cell | in all | sold % | fires on sound ones % |",
        "|---|---|---|---|---|---|---|",
    ]
    for name, batteries in sets.items():
        acid = [one for one in batteries if not one.bench.specimen.block.lfp]
        leaks = [one for one in acid if "leak" in one.truth.faults]
        through_one = [
            one for one in leaks if max(c.shunt_per_day for c in one.bench.specimen.block.cells) > 0
        ]
        through_all = [one for one in leaks if one not in through_one]
        caught = [_percent(*count(some, of=caught_leak)) for some in (leaks, through_one, through_all)]
        sold = _percent(*count(leaks, of=_sold))
        alarm = _percent(*count((one for one in acid if one.truth.fit), of=caught_leak))
        lines.append(f"| {name} | {len(leaks)} | {' | '.join(caught)} | {sold} | {alarm} |")
    return "\n".join(lines)


def caught_leak(one: Graded) -> bool:
    """Whether a leak rule fired."""
    return not one.fired.keys().isdisjoint(LEAK_RULES)


def scrapping_rules(batteries: Sequence[Graded]) -> dict[str, tuple[int, int]]:
    """Return by rule that scraps: how many sound batteries it fires on, and how many others."""
    found: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for one in batteries:
        for rule, effect in one.fired.items():
            if effect == "recycle":
                found[rule][0 if one.truth.fit else 1] += 1
    return {rule: (sound, others) for rule, (sound, others) in found.items()}


def guard_table(sets: Sets) -> str:
    """Which rule scraps sound batteries, and how many; more than 1 in 100 breaks the guard."""
    lines = [
        "| readings | rule that scraps | sound | of sound % | others | guard |",
        "|---|---|---|---|---|---|",
    ]
    for name, batteries in sets.items():
        sound = sum(one.truth.fit for one in batteries)
        rules = scrapping_rules(batteries)
        for rule, (wrong, right) in sorted(rules.items()):
            if wrong:
                verdict = "broken" if share(wrong, sound) > 1 else "kept"
                lines.append(
                    f"| {name} | {rule} | {wrong} | {share(wrong, sound):.2f} | {right} | {verdict} |"
                )
        spared = {rule: right for rule, (wrong, right) in rules.items() if not wrong}
        lines.append(f"| {name} | {len(spared)} other rules | 0 | 0 | {sum(spared.values())} | kept |")
    return "\n".join(lines)


def claim_table(sets: Sets) -> str:
    """How often what a rule says came true, over all sets of readings where it fired."""
    lines = ["| readings | rule | says | fired | true % |", "|---|---|---|---|---|"]
    for name, batteries in sets.items():
        for rule, (says, holds) in CLAIMS.items():
            true, fired = count((one for one in batteries if rule in one.fired), of=holds)
            if fired:
                lines.append(f"| {name} | {rule} | {says} | {fired} | {_percent(true, fired)} |")
    return "\n".join(lines)
