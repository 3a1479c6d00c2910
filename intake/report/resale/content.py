"""What is graded for resale, before it is drawn: sections by evidence, sheets by number, sums of prices."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from intake.model.battery import Chemistry, Price
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import HELD, Evidence, Grade
from intake.report.words.totals import Total, total_of

_STRONGEST_FIRST = (Evidence.CAPACITY, Evidence.STRENGTH, Evidence.LONG_HOLD, Evidence.SHORT_HOLD)


@dataclass(frozen=True, slots=True)
class Offer:
    """One battery graded for resale."""

    number: int
    """Of its condition sheet."""
    graded: GradedBattery
    price: str | None
    """The site's own resale price for its chemistry, as written."""


@dataclass(frozen=True, slots=True)
class Section:
    """Offers of one kind of evidence with their sums."""

    title: str
    told: str
    proven: bool
    offers: tuple[Offer, ...]
    total: Total
    value: Decimal
    """Sum of the prices."""
    without_price: int


@dataclass(frozen=True, slots=True)
class ResaleContent:
    """The whole document."""

    sections: tuple[Section, ...]
    """All of them, the empty ones too, the strongest evidence first."""
    priced: bool
    """The batch has a resale price."""
    currency: str

    @property
    def offers(self) -> tuple[Offer, ...]:
        """All of them in the order of the sections."""
        return tuple(offer for section in self.sections for offer in section.offers)


def resale_content(result: BatchResult) -> ResaleContent:
    """Sort the batteries that are graded for resale."""
    resale = [one for one in result.graded if one.verdict.grade is Grade.RESALE]
    prices = _resale_prices(result.batch.prices)
    by_evidence = [
        [one for one in resale if one.verdict.evidence is evidence] for evidence in _STRONGEST_FIRST
    ]
    unproven = [one for one in resale if one.verdict.evidence not in HELD]
    sections = []
    first = 1
    for words, ones in zip(_SECTIONS, (*by_evidence, unproven), strict=True):
        sections.append(_section(words, ones, prices, first))
        first += len(ones)
    return ResaleContent(tuple(sections), bool(prices), result.batch.currency or "")


_SECTIONS = (
    ("Tested: capacity measured", "Charged, read after 12 h or later, and its capacity measured.", True),
    (
        "Tested: under load or by cranking current",
        "Charged, read after 12 h or later, and tested under a short heavy current; capacity not tested.",
        True,
    ),
    (
        "Held a charge for 12 h or more",
        "Charged, then read after 12 h or later; strength and capacity not tested.",
        True,
    ),
    (
        "Held a charge for less than 12 h",
        "Charged, read within hours; what lead-acid settles at is reckoned for 24 h. Not tested.",
        True,
    ),
    (
        "Charge and hold-test first",
        (
            "Not proven. Only a voltage at rest is known: not to be priced or offered as tested until a "
            "charge and a hold have been read."
        ),
        False,
    ),
)


def _resale_prices(prices: Iterable[Price]) -> dict[Chemistry, str]:
    return {one.chemistry: one.resale_price for one in prices if one.resale_price is not None}


def _section(
    words: tuple[str, str, bool],
    ones: list[GradedBattery],
    prices: Mapping[Chemistry, str],
    first: int,
) -> Section:
    title, told, proven = words
    offers = tuple(
        Offer(number, one, prices.get(one.battery.chemistry)) for number, one in enumerate(ones, start=first)
    )
    known = [Decimal(offer.price) for offer in offers if offer.price is not None]
    return Section(
        title=title,
        told=told,
        proven=proven,
        offers=offers,
        total=total_of(ones),
        value=sum(known, Decimal(0)),
        without_price=len(offers) - len(known),
    )
