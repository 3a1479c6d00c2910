"""Which batteries stand apart until somebody has looked again: decided here, and asked by all others."""

from collections.abc import Sequence

from intake.model.battery import WHOLE_CASES, Battery
from intake.model.condition import MAY_BE_WORKED_ON, UNCLEAR, Condition, condition_of, worst_of_shared_tags
from intake.model.result import GradedBattery
from intake.model.verdict import Handling, Verdict
from intake.policy.damage_words import damage_words, in_quotes


def look_again_because(*, case: str | None, note: str | None) -> str:
    """Return why a battery stands apart first: its note speaks of damage, its case does not; else empty.

    ``case`` None is one not read.
    """
    words = damage_words(note or "") if case is None or case in WHOLE_CASES else ()
    if not words:
        return ""
    return f"the note says {in_quotes(words)}: correct the case or the note, grade again"


def why_apart(battery: Battery) -> str:
    """Return why a battery stands apart first; empty where nothing asks for it."""
    return look_again_because(case=battery.case, note=battery.note)


def handled_as(*, handling: Handling, case: str | None, note: str | None) -> Handling:
    """Return how a battery is handled when it leaves: as carriage counts its case, suspect in doubt."""
    told = look_again_because(case=case, note=note)
    condition = condition_of(handling=handling, case=case, look_again=bool(told), packed=True)
    if condition is Condition.DAMAGED:
        return Handling.DAMAGED
    return Handling.SUSPECT if condition in UNCLEAR else handling


def which_stand_apart(
    tags: Sequence[str], found: Sequence[tuple[Handling, str | None, str | None]]
) -> list[bool]:
    """Say for each battery of a record whether it stands apart, by handling, case, note and a shared tag."""
    conditions = [
        condition_of(handling=handling, case=case, look_again=bool(look_again_because(case=case, note=note)))
        for handling, case, note in found
    ]
    shared = worst_of_shared_tags(tags, conditions)
    worst = (worst or own for worst, own in zip(shared, conditions, strict=True))
    return [one not in MAY_BE_WORKED_ON for one in worst]


def looked_over(graded: Sequence[GradedBattery]) -> tuple[GradedBattery, ...]:
    """Return the batteries of a batch with what keeps each apart, whatever its grade."""
    whys = [why_apart(one.battery) for one in graded]
    found = [one._replace(look_again=why) if why else one for one, why in zip(graded, whys, strict=True)]
    shared = worst_of_shared_tags([one.battery.tag for one in found], [one.condition for one in found])
    return tuple(
        one if worst is None else one._replace(worst_of_tag=worst)
        for one, worst in zip(found, shared, strict=True)
    )


def not_apart(graded: Sequence[GradedBattery]) -> list[tuple[Battery, Verdict]]:
    """Return with its verdict each battery that nothing keeps apart: what a lot may be drawn from."""
    return [(one.battery, one.verdict) for one in graded if not one.look_again]
