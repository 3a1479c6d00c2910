"""From the steps to the grade. Recycle beats unresolved beats a cap; the lower cap wins."""

from collections.abc import Sequence

from intake.model.battery import Chemistry
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Handling, Step

_STRONGEST_FIRST = (
    Effect.RECYCLE,
    Effect.UNRESOLVED,
    Effect.CAP_RECONDITIONABLE,
    Effect.CAP_RESALE,
    Effect.NOTE,
)
_HANDLING_WORST_LAST = (Handling.INTACT, Handling.SUSPECT, Handling.DAMAGED)


def reasons_in_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps that fired, the decisive one first, else in listing order.

    A row error decides alone: what the row says cannot be trusted to a grade.
    """
    fired = [step for step in steps if step.fired]
    decisive = min(
        fired, key=lambda step: (step.rule is not Rule.ROW_ERROR, _STRONGEST_FIRST.index(step.effect))
    )
    return (decisive, *(step for step in fired if step is not decisive))


def grade_of(decisive: Step) -> Grade:
    """Return the grade that the decisive step leaves."""
    return Grade(decisive.effect.value)


def handling_of(steps: Sequence[Step], *, chemistry: Chemistry) -> Handling:
    """Return the worst handling that a step asks for.

    An LFP battery that any rule left unresolved is at least suspect, whatever decides.
    """
    fired = [step for step in steps if step.fired]
    asked = [step.handling for step in fired]
    if chemistry is Chemistry.LFP and any(step.effect is Effect.UNRESOLVED for step in fired):
        asked.append(Handling.SUSPECT)
    return max(asked, key=_HANDLING_WORST_LAST.index)
