"""Which batteries stand apart until somebody has looked again: decided here, and asked by all others."""

from collections.abc import Sequence
from dataclasses import replace

from intake.model.battery import WHOLE_CASES
from intake.model.condition import worst_of_shared_tags
from intake.model.result import GradedBattery
from intake.policy.damage_words import damage_words


def look_again_because(*, case: str | None, note: str | None) -> str:
    """Return why a battery stands apart first: its note speaks of damage, its case does not; else empty.

    ``case`` None is one not read.
    """
    words = damage_words(note or "") if case is None or case in WHOLE_CASES else ()
    if not words:
        return ""
    said = " and ".join(f'"{word}"' for word in words)
    return f"the note says {said}: correct the case or the note, grade again"


def looked_over(graded: Sequence[GradedBattery]) -> tuple[GradedBattery, ...]:
    """Return the batteries of a batch with what keeps each apart, whatever its grade."""
    whys = [look_again_because(case=one.battery.case, note=one.battery.note) for one in graded]
    found = [replace(one, look_again=why) if why else one for one, why in zip(graded, whys, strict=True)]
    shared = worst_of_shared_tags([one.battery.tag for one in found], [one.condition for one in found])
    return tuple(
        one if worst is None else replace(one, worst_of_tag=worst)
        for one, worst in zip(found, shared, strict=True)
    )
