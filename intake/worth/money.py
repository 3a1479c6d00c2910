"""Exact decimals in, rounded amounts and chances out."""

from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Context, Decimal

from intake.model.value import Amount

EXACT = Context(prec=120)
"""Digits enough for every sum and product here, so that only the end is rounded."""
_CENT, _PER_MILLE = Decimal("0.01"), Decimal("0.001")
_DECIMALS = 6
"""Of a mass in kg or a probability, as ``results.json`` gives them or finer."""
ROUNDING = (
    "Amounts are calculated in exact decimals and rounded once, at the end, to 0.01, a half to the even "
    "digit. Sums add the rounded ends; both ends of a sum are reached only if every battery goes the same "
    "way. The chance of success from which the work pays is rounded up."
)


def exact(value: float, *, decimals: int = _DECIMALS) -> Decimal:
    """Return a mass or a probability as the decimal that it is printed as."""
    return Decimal(repr(round(value, decimals)))


def rounded(amount: Decimal) -> Decimal:
    """Return an amount rounded to 0.01, half to even, never as a negative zero."""
    return amount.quantize(_CENT, ROUND_HALF_EVEN, EXACT) + 0


def rounded_up(chance: Decimal) -> Decimal:
    """Return a chance rounded up to 0.1 %, so that it never promises too much."""
    return chance.quantize(_PER_MILLE, ROUND_CEILING, EXACT)


def between(*amounts: Decimal) -> Amount:
    """Return the interval that spans the amounts, its ends rounded."""
    return Amount(rounded(min(amounts)), rounded(max(amounts)))
