"""What a hold says of self-discharge, in one sentence."""

from intake.model.battery import LEAD_ACID
from intake.model.result import GradedBattery

_FULL = 100.0
"""Percent a month: a loss beyond all charge, or an interval as wide, is no figure to print."""
_MILLI = 1000
READ_AFTER_A_WEEK = "read again after a week"


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
    seen = f"a loss of {loss.seen_from_v_per_day * _MILLI:.1f} mV a day would have shown"
    falls = f"{loss.rate_v_per_day * _MILLI:.0f} mV a day"
    if loss.may_be_a_leak:
        return f"Self-discharge: it falls {falls} beyond settling and may leak; {READ_AFTER_A_WEEK}."
    if not loss.tells_a_leak or loss.high - max(loss.percent_per_month, 0.0) > _FULL:
        return f"Self-discharge: this hold cannot tell; only {seen}."
    if loss.low > _FULL:
        return f"Self-discharge: it loses {falls} beside settling, more than a full charge in a month."
    if loss.percent_per_month <= 0:
        return (
            f"Self-discharge: none seen, at most {loss.high:.1f} % a month if it had already settled; {seen}."
        )
    cells = round(loss.single_cell_percent_per_month / loss.percent_per_month)
    one_cell = cells * round(loss.percent_per_month, 1)  # of the printed figure, as a reader would
    alone = f"{one_cell:.0f} %" if one_cell < _FULL else "all"
    low = f"{loss.low:.1f}" if loss.low > 0 else "none"
    return (
        f"Self-discharge {loss.percent_per_month:.1f} % a month of the whole block "
        f"({low} to {loss.high:.1f} %, the higher if it had already settled), "
        f"or {alone} of one cell if a single cell loses it; {seen}."
    )
