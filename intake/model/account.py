"""The yard's account: what came in, what left, what is on hand, and what does not add up."""

from dataclasses import dataclass
from datetime import date

from intake.model.battery import Chemistry
from intake.model.load import LoadKind
from intake.model.verdict import Grade, Handling


@dataclass(frozen=True, slots=True)
class StockItem:
    """One battery that came in, with its present grade."""

    batch: str
    tag: str
    received: date
    chemistry: Chemistry
    grade: Grade
    handling: Handling
    stream: str | None
    mass_g: int | None
    """None: neither weighed nor estimated."""


@dataclass(frozen=True, slots=True)
class Departure:
    """One battery that left in a load."""

    load: str
    kind: LoadKind
    day: date
    consignee: str
    batch: str
    tag: str
    chemistry: Chemistry
    stream: str | None
    mass_g: int | None


@dataclass(frozen=True, slots=True)
class SentLoad:
    """One load with what its receiver answered."""

    load: str
    kind: LoadKind
    day: date
    consignee: str
    departures: tuple[Departure, ...]
    received_on: date | None
    received_g: int | None
    """Net, as the receiver weighed it; None: not told."""
    received_count: int | None
    differences: str | None


@dataclass(frozen=True, slots=True)
class Amount:
    """Batteries counted and weighed. Those without a mass are missing from the grams."""

    count: int = 0
    mass_g: int = 0


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One line: opening + came in = sold + shipped + returned + on hand + difference."""

    title: str
    opening: Amount
    """On hand on the morning of the first day."""
    came_in: Amount
    sold: Amount
    shipped: Amount
    returned: Amount
    on_hand: Amount
    """On the evening of the closing date."""
    difference: Amount
    """What the others leave; 0 where all adds up."""


@dataclass(frozen=True, slots=True)
class OnHand:
    """A battery that is still in the yard on the closing date."""

    item: StockItem
    days: int
    """Since it was received."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that does not add up, by battery or by load."""

    load: str
    batch: str
    tag: str
    """Empty where it is about the load as a whole."""
    text: str


@dataclass(frozen=True, slots=True)
class Account:
    """The whole account from the first day to the closing date."""

    whole: AccountLine
    by_chemistry: tuple[AccountLine, ...]
    by_stream: tuple[AccountLine, ...]
    by_consignee: tuple[AccountLine, ...]
    """Only what left: nothing came in from a consignee."""
    loads: tuple[SentLoad, ...]
    """Those that left from the first day to the closing date."""
    on_hand: tuple[OnHand, ...]
    """Suspect, damaged and unidentified first, then the longest held."""
    differences: tuple[Difference, ...]
