"""Lithium that is damaged or suspect against the criteria of special provision 376, with what was seen."""

from intake.model.battery import Chemistry
from intake.model.condition import Condition
from intake.model.result import GradedBattery
from intake.report.disposal.words import undiagnosed_because
from intake.report.drawing.list_table import TO_WRITE, Column, Row
from intake.report.drawing.styles import LEAD

CRITERIA = (
    "Known to be defective for safety reasons",
    "Leaked or vented: look again before loading",
    "Cannot be diagnosed before carriage",
    "Physical or mechanical damage",
)
"""ADR 3.3, special provision 376 (German mirror, ADR 2025, excerpt); each in the project's own words."""
REMARK = (
    "Criteria of ADR SP 376, elsewhere an aid to be confirmed: what was seen, below it a competent person's "
    "judgement."
)
ASSESSMENT = (Column("Tag", 19, style=LEAD), *(Column(one, 30) for one in CRITERIA))
_LEAKING = frozenset({"leaking", "burnt"})
_WHOLE = frozenset({"sound", "scuffed"})


def assessed(one: GradedBattery) -> bool:
    """Say whether a battery is lithium and is not known to be intact."""
    return one.battery.chemistry is Chemistry.LFP and one.condition is not Condition.INTACT


def assessment_row(one: GradedBattery) -> Row:
    """Return what was seen under each criterion, with room for the judgement below it."""
    seen = (_recall(one), _leak(one), undiagnosed_because(one) or "can be read", _damage(one))
    return (one.name, *((told, TO_WRITE) for told in seen))


def _recall(one: GradedBattery) -> str:
    return {None: "recall not checked", True: "under recall", False: "no recall found"}[
        one.battery.under_recall
    ]


def _leak(one: GradedBattery) -> str:
    case = one.battery.case
    if case is None:
        return "case not read"
    if one.look_again:
        return one.look_again
    return f"case {case}" if case in _LEAKING else "no leak noted"


def _damage(one: GradedBattery) -> str:
    case = one.battery.case or "not read"
    told = [] if case in _WHOLE else [f"case {case}"]
    if one.battery.terminals not in (None, "sound"):
        told.append(f"terminals {one.battery.terminals}")
    return ", ".join(told) or f"none noted: case {case}"
