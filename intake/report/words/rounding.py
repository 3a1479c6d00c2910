"""How many decimals a quantity is worth in the results that programs and spreadsheets read."""

PERCENT_DECIMALS = 2
VOLT_DECIMALS = 4
UNCERTAINTY_DECIMALS = 5
PROBABILITY_DECIMALS = 6
HOUR_DECIMALS = 4
COUNT_DECIMALS = 4
"""For expected numbers of batteries."""
SIGNIFICANT_DIGITS = 7
"""For a measured value or a limit in whatever unit."""


DECIMALS = {
    "value_percent": PERCENT_DECIMALS,
    "low_percent": PERCENT_DECIMALS,
    "high_percent": PERCENT_DECIMALS,
    "percent_per_month": PERCENT_DECIMALS,
    "single_cell_percent_per_month": PERCENT_DECIMALS,
    "low": PERCENT_DECIMALS,
    "high": PERCENT_DECIMALS,
    "meter_worth_percent": PERCENT_DECIMALS,
    "gap_percent": PERCENT_DECIMALS,
    "charge_percent": PERCENT_DECIMALS,
    "shares_percent": PERCENT_DECIMALS,
    "voltage_25c_v": VOLT_DECIMALS,
    "reading_25c_v": VOLT_DECIMALS,
    "standard_uncertainty_v": UNCERTAINTY_DECIMALS,
    "interval_uncertainty_v": UNCERTAINTY_DECIMALS,
    "probability": PROBABILITY_DECIMALS,
    "hours_low": HOUR_DECIMALS,
    "hours_high": HOUR_DECIMALS,
    "mean_finished_h": HOUR_DECIMALS,
    "latest_reading_h": HOUR_DECIMALS,
    "wrong_acceptances": COUNT_DECIMALS,
    "wrong_rejections": COUNT_DECIMALS,
}
"""By the name of an attribute; a figure with no entry here is written as it was read."""
MASSES = frozenset({"mass_kg", "mass_estimated_kg"})
"""Attributes that are written in kg to the gram."""
SIGNIFICANT = frozenset(
    {
        "measured",
        "limit",
        "limit_to_be_sure",
        "rate_v_per_day",
        "rate_uncertainty_v_per_day",
        "seen_from_v_per_day",
        "current_a",
        "recover_current_a",
        "charge_low_ah",
        "charge_high_ah",
    }
)
"""Attributes that are rounded to significant digits."""


def significant(value: float | str | None) -> float | str | None:
    """Round a number to significant digits; leave words and None as they are."""
    return float(f"{value:.{SIGNIFICANT_DIGITS}g}") if isinstance(value, float) else value
