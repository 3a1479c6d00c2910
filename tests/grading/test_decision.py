import pytest

from intake.grading.decision import grade_of, handling_of, reasons_in_order
from intake.model.battery import Chemistry
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Handling, Step


def step(rule, effect=Effect.NOTE, *, fired=True, handling=Handling.INTACT):
    return Step(rule=Rule(rule), fired=fired, effect=effect, text="", handling=handling)


RECYCLE = step("no-voltage", Effect.RECYCLE)
UNRESOLVED = step("no-reading", Effect.UNRESOLVED)
CAP = step("needs-recovery", Effect.CAP_RECONDITIONABLE)
SELL = step("rests-high", Effect.CAP_RESALE)
NOTE = step("cell-suspect", Effect.NOTE)
SILENT = step("case-breached", Effect.RECYCLE, fired=False)
ROW_ERROR = step("row-error", Effect.UNRESOLVED)


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ((UNRESOLVED, RECYCLE), (RECYCLE, UNRESOLVED)),
        ((CAP, UNRESOLVED), (UNRESOLVED, CAP)),
        ((SELL, CAP), (CAP, SELL)),
        ((NOTE, SELL), (SELL, NOTE)),
        ((SILENT, SELL), (SELL,)),
        ((NOTE, SELL, CAP, UNRESOLVED, RECYCLE), (RECYCLE, NOTE, SELL, CAP, UNRESOLVED)),
        ((RECYCLE, ROW_ERROR), (ROW_ERROR, RECYCLE)),
        ((UNRESOLVED, ROW_ERROR, RECYCLE), (ROW_ERROR, UNRESOLVED, RECYCLE)),
    ],
)
def test_the_strongest_effect_stands_first_and_the_others_follow_in_listing_order(steps, expected):
    assert expected == reasons_in_order(steps)


def test_of_two_equal_effects_the_first_listed_decides():
    first, second = (
        step("terminal-loose", Effect.CAP_RECONDITIONABLE),
        step("lfp-deep", Effect.CAP_RECONDITIONABLE),
    )
    assert (first, second) == reasons_in_order((first, second))


@pytest.mark.parametrize(
    ("decisive", "expected"),
    [
        (RECYCLE, Grade.RECYCLE),
        (UNRESOLVED, Grade.UNRESOLVED),
        (CAP, Grade.RECONDITIONABLE),
        (SELL, Grade.RESALE),
    ],
)
def test_the_grade_is_what_the_decisive_step_leaves(decisive, expected):
    assert expected is grade_of(decisive)


DAMAGED = step("lfp-overdischarged", handling=Handling.DAMAGED)
SUSPECT = step("bms-may-be-open", handling=Handling.SUSPECT)
NOT_FIRED = step("not-diagnosable", handling=Handling.DAMAGED, fired=False)


@pytest.mark.parametrize(
    ("steps", "chemistry", "expected"),
    [
        ((SELL,), Chemistry.FLOODED, Handling.INTACT),
        ((SELL, SUSPECT), Chemistry.FLOODED, Handling.SUSPECT),
        ((DAMAGED, SUSPECT), Chemistry.FLOODED, Handling.DAMAGED),
        ((SUSPECT, DAMAGED), Chemistry.FLOODED, Handling.DAMAGED),
        ((SELL, NOT_FIRED), Chemistry.LFP, Handling.INTACT),
        ((UNRESOLVED,), Chemistry.FLOODED, Handling.INTACT),
        ((UNRESOLVED,), Chemistry.LFP, Handling.SUSPECT),
        ((UNRESOLVED, DAMAGED), Chemistry.LFP, Handling.DAMAGED),
        ((RECYCLE,), Chemistry.LFP, Handling.INTACT),
        ((RECYCLE, UNRESOLVED), Chemistry.LFP, Handling.SUSPECT),
        ((RECYCLE, UNRESOLVED), Chemistry.FLOODED, Handling.INTACT),
    ],
)
def test_handling_is_the_worst_that_a_fired_step_asks_for_and_an_unresolved_lfp_is_suspect(
    steps, chemistry, expected
):
    """Whatever decides: an LFP that one rule condemns and another leaves open is suspect."""
    assert expected is handling_of(steps, chemistry=chemistry)
