"""The condition that papers show: handling as graded, and what keeps a battery from being called intact."""

from collections.abc import Sequence
from enum import StrEnum

from intake.model.battery import WHOLE_CASES
from intake.model.verdict import Handling


class Condition(StrEnum):
    """Condition as far as carriage and handling care, the least grave first."""

    INTACT = "intact"
    CASE_NOT_READ = "case not read"
    """The ``Case`` cell could not be read, and nothing else speaks of damage."""
    DENTED = "dented"
    """A dented lead-acid case, which is no waste: apart until somebody has seen that it is tight."""
    LOOK_AGAIN = "look again"
    """The note speaks of damage that the ``Case`` column does not have."""
    SUSPECT = "suspect"
    DAMAGED = "damaged"


MAY_BE_WORKED_ON = (Condition.INTACT, Condition.CASE_NOT_READ)
"""What nothing keeps apart from the others."""
UNCLEAR = (Condition.CASE_NOT_READ, Condition.DENTED, Condition.LOOK_AGAIN, Condition.SUSPECT)
"""Neither known to be intact nor to be damaged."""

_IN_ORDER = tuple(Condition)


def worst(conditions: Sequence[Condition]) -> Condition:
    """Return the gravest of some conditions."""
    return max(conditions, key=_IN_ORDER.index)


def condition_of(
    *, handling: Handling, case: str | None, look_again: bool = False, packed: bool = False
) -> Condition:
    """Return the worst that grading, the ``Case`` column and the note say; ``case`` None is one not read.

    ``packed``: as carriage and the recycler count it. Any case that is not whole is damaged there, also
    the dented lead-acid one that the bench may still work on.
    """
    broken = case is not None and case not in WHOLE_CASES
    if handling is Handling.DAMAGED or (packed and broken):
        return Condition.DAMAGED
    if handling is Handling.SUSPECT:
        return Condition.SUSPECT
    if look_again:
        return Condition.LOOK_AGAIN
    if broken:
        return Condition.DENTED
    return Condition.INTACT if case is not None else Condition.CASE_NOT_READ


def worst_of_shared_tags(tags: Sequence[str], conditions: Sequence[Condition]) -> list[Condition | None]:
    """Return for each battery the worst condition among those with its tag; None where no other has it.

    Tags are alike whatever their case. While a tag is doubtful nobody knows which battery a row is about.
    """
    same: dict[str, list[Condition]] = {}
    for tag, condition in zip(tags, conditions, strict=True):
        same.setdefault(tag.casefold(), []).append(condition)
    shared = (same[tag.casefold()] for tag in tags)
    return [worst(ones) if len(ones) > 1 else None for ones in shared]
