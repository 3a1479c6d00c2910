"""What a hold says of self-discharge, in one sentence."""

from intake.model.battery import LEAD_ACID
from intake.model.result import GradedBattery

_TELLS_WITHIN = 100.0
"""Percent a month, either way, in which a figure still says something."""
_MILLI = 1000


def loss_in_words(one: GradedBattery) -> str:
    """Return the loss a month with its interval, or that it cannot be told; nothing without a hold."""
    verdict = one.verdict
    if verdict.held_charge is None:
        return ""
    if one.battery.chemistry not in LEAD_ACID:
        return "Self-discharge: no figure; the flat voltage of LFP hides it."
    loss = verdict.self_discharge
    if loss is None:
        return ""
    seen = f"it would have shown {loss.seen_from_v_per_day * _MILLI:.1f} mV a day"
    if loss.high - loss.percent_per_month > _TELLS_WITHIN:
        return f"Self-discharge: this hold cannot tell; {seen}."
    return (
        f"Self-discharge {loss.percent_per_month:.1f} % a month ({loss.low:.1f} to {loss.high:.1f}) of the "
        f"whole block, {loss.single_cell_percent_per_month:.0f} % if one cell does it; {seen}."
    )
