"""Which row of prices is for a battery: by chemistry, and by rated capacity where rows have bands."""

from collections.abc import Iterable

from intake.model.battery import Chemistry, Price


def price_for(
    prices: Iterable[Price], *, chemistry: Chemistry, rated_capacity_ah: float | None
) -> Price | None:
    """Return the row for a battery; None where there is none, or its capacity is needed and not known.

    Both ends belong to a band; where one ends and the next begins, the next counts.
    """
    rows = [one for one in prices if one.chemistry is chemistry]
    fitting = [one for one in rows if _holds(one, rated_capacity_ah)]
    return max(fitting, key=lambda one: one.from_ah or 0, default=None)


def _holds(price: Price, rated_capacity_ah: float | None) -> bool:
    if price.from_ah is None and price.to_ah is None:
        return True
    if rated_capacity_ah is None:
        return False
    above = price.from_ah is None or rated_capacity_ah >= price.from_ah
    return above and (price.to_ah is None or rated_capacity_ah <= price.to_ah)
