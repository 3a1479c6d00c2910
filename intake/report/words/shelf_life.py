"""Until when a battery is best sold or charged again, in words."""

from collections.abc import Iterable

from intake.model.battery import Chemistry
from intake.model.result import GradedBattery
from intake.model.storage import ShelfLife
from intake.model.verdict import Grade
from intake.report.words.battery import FROM_MEMORY
from intake.report.words.loss import READ_AFTER_A_WEEK
from intake.report.words.sources import Sources

_EMPTIED = "as its capacity test emptied it"


def recharge_in_few_words(one: GradedBattery) -> str:
    """Return the day for a list; or that a fall is to be looked into first; empty where there is no day."""
    life, loss = one.shelf_life, one.verdict.self_discharge
    if life is None:
        waits = one.verdict.grade is Grade.RESALE and loss is not None and loss.may_be_a_leak
        return f"falls fast: {READ_AFTER_A_WEEK}" if waits else ""
    if not life.days:
        return "recharge now"
    if life.day is None:
        return f"no date, {_EMPTIED}: recharge {life.days} days after its next full charge"
    return f"recharge by {life.day}"


def recharge_in_full(life: ShelfLife | None) -> str:
    """Return the day with what it rests on; empty where there is none to tell."""
    if life is None:
        return ""
    if life.days == life.longest_days:
        until = f"{life.longest_days} days, the longest storage"
    else:
        whose = " of its own" if life.measured else ""
        loses = f"{life.percent_per_month:.1f} % a month{whose} at {life.temperature_c:g} °C"
        until = f"{loses} down to {life.down_to_percent:g} %"
    if life.day is None:
        until = until.removeprefix(f"{life.days} days, ")
        within = f"within {life.days} days of its next full charge"
        return f"Best sold or recharged {within} ({until}). No date, {_EMPTIED}."
    when = f"by {life.day}" if life.days else "now"
    return f"Best sold or recharged {when} ({life.charge_percent:.0f} % on {life.read_on}; {until})."


def shelf_lives_explained(graded: Iterable[GradedBattery], sources: Sources) -> str:
    """Return what the days of all batteries rest on, once; empty where none has a day."""
    lives = [(one.battery.chemistry, one.shelf_life) for one in graded if one.shelf_life is not None]
    if not lives:
        return ""
    first = lives[0][1]
    marks = sorted({f"{life.down_to_percent:g} %" for _, life in lives}, reverse=True)
    of_kinds = {kind: life for kind, life in lives if not life.measured}
    told = ", ".join(
        f"{kind.value} {of_kinds[kind].percent_per_month:.1f} %{_source(of_kinds[kind], sources)}"
        for kind in Chemistry
        if kind in of_kinds
    )
    lost = f" Lost in a month there, by kind: {told}." if told else ""
    return (
        "Recharge by: best sold or recharged by that day. Counted from the charge at the last hold reading "
        f"down to {' or '.join(marks)}, on a shelf at {first.temperature_c:g} °C, and never more than "
        f"{first.longest_days} days. A warmer shelf brings the day nearer.{lost}"
    )


def _source(life: ShelfLife, sources: Sources) -> str:
    return sources.note(life.source, weak=life.status == FROM_MEMORY)
