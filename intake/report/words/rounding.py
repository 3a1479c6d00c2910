"""How many decimals a quantity is worth in the results that programs and spreadsheets read."""

PERCENT_DECIMALS = 2
VOLT_DECIMALS = 4
UNCERTAINTY_DECIMALS = 5
PROBABILITY_DECIMALS = 6
MASS_DECIMALS = 3
HOUR_DECIMALS = 4
COUNT_DECIMALS = 4
"""For expected numbers of batteries."""
SIGNIFICANT_DIGITS = 7
"""For a measured value or a limit in whatever unit."""


def significant(value: float | str | None) -> float | str | None:
    """Round a number to significant digits; leave words and None as they are."""
    return float(f"{value:.{SIGNIFICANT_DIGITS}g}") if isinstance(value, float) else value
