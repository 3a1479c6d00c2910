"""A battery's readings and state of charge as plain text and figures, the same in every document."""

from intake.model.result import GradedBattery
from intake.model.verdict import StateOfCharge, Step


def charge_that_counts(one: GradedBattery) -> StateOfCharge | None:
    """Return the state of charge that the hold shows, else the one at rest, else None."""
    held = one.verdict.held_charge
    return held.state_of_charge if held else one.verdict.state_of_charge


def further_reasons(one: GradedBattery) -> tuple[Step, ...]:
    """Return the rules that fired beside the decisive one."""
    return one.verdict.reasons[1:]
