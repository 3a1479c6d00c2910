"""What one battery's sums start from: the site's prices of its chemistry, and its mass."""

from decimal import Decimal
from typing import NamedTuple

from intake.model.battery import Price
from intake.model.result import GradedBattery
from intake.model.value import Road
from intake.policy.dictionary import load_dictionary
from intake.policy.grading_policy import GradingPolicy
from intake.worth.money import exact

MASS = "Mass (kg)"
RESALE, SCRAP, DISPOSAL = "resale_price", "scrap_price_per_kg", "disposal_cost"
COST = {Road.RESELL: "charge_cost", Road.RECONDITION: "recondition_cost"}
"""The price that stands for the bench work of a road."""
_MASS_DECIMALS = 3
"""Grams, as every document gives the mass."""


class Terms(NamedTuple):
    """Exact figures of one battery."""

    price: Price
    mass_kg: tuple[Decimal, Decimal] | None
    """Lightest and heaviest; equal where it was weighed."""
    mass_text: str

    def amount(self, key: str) -> Decimal | None:
        """Return one of its prices; None where the cell is blank, which is never taken for 0."""
        text = getattr(self.price, key)
        return None if text is None else Decimal(text)

    def text(self, key: str) -> str:
        """Return one of its prices as it was written."""
        return str(getattr(self.price, key))

    def missing(self, *keys: str, mass: bool = True) -> tuple[str, ...]:
        """Name the columns of the prices that are blank, and the mass where it is not known."""
        headers = {one.key: one.header for one in load_dictionary().sheets["prices"].columns}
        blank = [headers[key] for key in keys if getattr(self.price, key) is None]
        return (*blank, MASS) if mass and self.mass_kg is None else tuple(blank)


def terms_of(one: GradedBattery, price: Price, *, policy: GradingPolicy) -> Terms:
    """Gather prices and mass; an estimated mass spans its relative uncertainty, about 95 %."""
    if one.mass_kg is None:
        return Terms(price, None, "")
    mass = exact(one.mass_kg, decimals=_MASS_DECIMALS)
    if not one.mass_estimated:
        return Terms(price, (mass, mass), f"{mass:f} kg")
    share = exact(policy.mass.relative_uncertainty.value)
    text = f"estimated {mass:f} kg ± {share * 100:.0f} %"
    return Terms(price, (mass * (1 - share), mass * (1 + share)), text)
