"""What is graded for resale, before it is drawn: by evidence, strongest first, with what each is worth."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from intake.model.battery import Battery, Price
from intake.model.result import BatchResult, GradedBattery
from intake.model.value import Amount, Road
from intake.model.verdict import Evidence, Grade
from intake.report.resale.words import capacity_first
from intake.report.words.actions import (
    LOOK_AGAIN,
    cleans_first,
    lacks_capacity,
    next_step_in_few_words,
    why_apart,
)
from intake.report.words.battery import strength_lines
from intake.report.words.tag_order import by_tag
from intake.report.words.totals import Total, total_of
from intake.report.words.value_totals import advice_for, road_of, roads_of, value_total


class Offer(NamedTuple):
    """One battery graded for resale."""

    number: int
    """Of its condition sheet; 0 where it has none."""
    graded: GradedBattery
    price: str | None
    """The site's own resale price, as written."""
    scrap: str
    """What it earns as scrap."""
    do: str
    """Sell, test first, or scrap."""
    told: str
    """When its charge pays, or what is missing."""


@dataclass(frozen=True, slots=True)
class Sums:
    """Amounts of one section, each over the same batteries; None: not known of any."""

    count: int
    """How many batteries each amount adds up."""
    left_out: tuple[str, ...]
    """The tags of the others: an amount that is known of their neighbours is not known of them."""
    asked: Decimal | None
    sold: Amount | None
    scrapped: Amount | None


class Section(NamedTuple):
    """Offers of one kind of evidence with their sums."""

    key: str
    title: str
    told: str
    offers: tuple[Offer, ...]
    total: Total
    sums: Sums


class ResaleContent(NamedTuple):
    """The whole document."""

    sections: tuple[Section, ...]
    """Those that have a battery, the strongest evidence first."""
    priced: bool
    """The batch has a resale price."""
    currency: str

    @property
    def offers(self) -> tuple[Offer, ...]:
        """All of them in the order of the sections."""
        return tuple(offer for section in self.sections for offer in section.offers)

    @property
    def sheets(self) -> tuple[Offer, ...]:
        """Those that have a condition sheet."""
        return tuple(offer for offer in self.offers if offer.number)


APART = "apart"
SECTIONS = {
    "capacity": (
        "Tested: capacity measured",
        "Charged, read at 12 h or later, and its capacity measured.",
        "charge, then sell",
    ),
    "strength": (
        "Tested: under load or by cranking current",
        "Charged, read at 12 h or later, and tested under a short heavy current; capacity not tested.",
        "charge, then sell",
    ),
    "holds": (
        "Holds charge; capacity not tested",
        "Charged, then read at 12 h or later. Offered with these words, or tested first.",
        "charge, then test or sell untested",
    ),
    "waits": (
        "Hold not finished",
        "Charged, read within hours. Leave it standing, connect nothing, read again at 12 h.",
        "test first: read at 12 h",
    ),
    "measured": (
        "Capacity measured; charge and hold first",
        "Its capacity test was passed; nothing was read after a charge. Not to be offered as tested yet.",
        "charge, hold 12 h first",
    ),
    "untested": (
        "Not tested: charge and hold first",
        "Nothing was read after a charge; no test counts before that. Not to be priced or offered as tested.",
        "test first: hold 12 h",
    ),
    APART: (
        "Set apart: not for sale before a second look",
        "Look into the cause beside each, correct the workbook, grade again. No price counts until then.",
        LOOK_AGAIN,
    ),
}
_BY_EVIDENCE = {
    Evidence.CAPACITY: "capacity",
    Evidence.STRENGTH: "strength",
    Evidence.LONG_HOLD: "holds",
    Evidence.SHORT_HOLD: "waits",
    Evidence.REST_ONLY: "untested",
    Evidence.NONE: "untested",
}


def resale_content(result: BatchResult, *, all_sheets: bool) -> ResaleContent:
    """Sort the batteries that are graded for resale.

    A battery has a condition sheet where a hold or a strength test was read, or with ``all_sheets``.
    """
    resale = [one for one in by_tag(result.graded) if one.verdict.grade is Grade.RESALE]
    found: dict[str, list[GradedBattery]] = {key: [] for key in SECTIONS}
    for one in resale:
        found[_section_of(one)].append(one)
    sections = []
    number = 0
    for key, ones in found.items():
        offers = []
        for one in ones:
            read = bool(one.battery.hold_readings or strength_lines(one.battery))
            has_sheet = key != APART and (all_sheets or read)
            number += has_sheet
            offers.append(_offer(result, one, key, number if has_sheet else 0))
        if offers:
            sections.append(_section(result, key, offers))
    priced = any(one.resale_price is not None for one in result.batch.prices)
    return ResaleContent(tuple(sections), priced, result.batch.currency or "")


def _section_of(one: GradedBattery) -> str:
    if one.stands_apart:
        return APART
    return "measured" if capacity_first(one) else _BY_EVIDENCE[one.verdict.evidence]


def _offer(result: BatchResult, one: GradedBattery, key: str, number: int) -> Offer:
    scrapped = road_of(result, one, Road.RECYCLE)
    value = result.value.by_row[one.battery.row] if result.value is not None else None
    scrap = value is not None and value.worth_it is False
    apart = key == APART
    return Offer(
        number=number,
        graded=one,
        price=None if apart else _price(one.battery, result.batch.prices),
        scrap=scrapped.amount.text if scrapped is not None and scrapped.amount is not None else "",
        do=_do(one, key, scrap=scrap),
        told=why_apart(one).partition(": ")[2] if apart else _worth(result, one),
    )


def _do(one: GradedBattery, key: str, *, scrap: bool) -> str:
    """Return sell, test first, or scrap; what keeps a battery apart goes before its price."""
    if key == APART:
        return next_step_in_few_words(one)
    if scrap:
        return "scrap"
    if cleans_first(one):
        return next_step_in_few_words(one)
    return "capacity test first" if lacks_capacity(one) else SECTIONS[key][2]


def _price(battery: Battery, prices: Iterable[Price]) -> str | None:
    """Return the asking price of a battery's chemistry and size."""
    capacity = battery.rated_capacity_ah
    for one in prices:
        bounds = (one.from_ah, one.to_ah)
        if one.chemistry is not battery.chemistry or (capacity is None and bounds != (None, None)):
            continue
        low, high = (-1.0 if bounds[0] is None else bounds[0]), bounds[1]
        if capacity is None or (low <= capacity and (high is None or capacity <= high)):
            return one.resale_price
    return None


def _worth(result: BatchResult, one: GradedBattery) -> str:
    """Return when charging it pays, as one in so many, and advice against it."""
    sold = road_of(result, one, Road.RESELL)
    advice = advice_for(result, one)
    if sold is None or advice:
        return advice
    if sold.amount is None:
        return f"not known without: {', '.join(sold.missing)}"
    if sold.break_even is None or sold.break_even <= 0:
        return ""
    return f"worth charging if 1 in {int(1 / sold.break_even)} passes"


def _section(result: BatchResult, key: str, offers: list[Offer]) -> Section:
    title, told, _ = SECTIONS[key]
    return Section(
        key=key,
        title=title,
        told=told,
        offers=tuple(offers),
        total=total_of(offer.graded for offer in offers),
        sums=_sums(result, offers),
    )


def _sums(result: BatchResult, offers: list[Offer]) -> Sums:
    """Add up the batteries of which every amount is known that is known of any."""
    known = [_known(result, offer) for offer in offers]
    kinds = set[str]().union(*known)
    summed = [offer for offer, its in zip(offers, known, strict=True) if kinds and its == kinds]
    left_out = [offer.graded.name for offer, its in zip(offers, known, strict=True) if its != kinds]
    ones = [offer.graded for offer in summed]

    def amount(road: Road) -> Amount | None:
        return value_total(result, ones, road).amount if summed and road in kinds else None

    asked = sum((Decimal(offer.price or 0) for offer in summed), Decimal(0))
    return Sums(
        count=len(summed),
        left_out=tuple(left_out),
        asked=asked if summed and _ASKED in kinds else None,
        sold=amount(Road.RESELL),
        scrapped=amount(Road.RECYCLE),
    )


def _known(result: BatchResult, offer: Offer) -> set[str]:
    """Return which amounts of a battery are known."""
    roads = (road.road for road in roads_of(result, offer.graded) if road.amount is not None)
    return {*roads, *([] if offer.price is None else [_ASKED])}


_ASKED = "asked"
