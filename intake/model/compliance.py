"""What the documents may say about rules: statements with their sources, and what was chosen for a batch."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import NamedTuple


class Purpose(StrEnum):
    """What batteries are carried for, where a rule holds for that alone."""

    DISPOSAL = "disposal"
    """For disposal or recycling."""
    SALE = "sale"


class Statement(NamedTuple):
    """One sentence about a rule. ``text`` None: print ``heading`` with "confirm locally" and no value."""

    heading: str
    text: str | None
    source: str
    """Title, section and edition, as printed beside the text; empty only when ``text`` is None."""
    checked: str = ""
    """How far the source was checked, in words."""
    valid_from: date | None = None
    valid_to: date | None = None
    short: str | None = None
    """What the first page prints for it: a code, a packing instruction, a mark; only while it is in force."""
    purpose: Purpose | None = None
    """What the batteries must be carried for; None: it holds for both."""

    def holds(self, day: date) -> bool:
        """Say whether it is in force on a day."""
        begun = self.valid_from is None or self.valid_from <= day
        return begun and (self.valid_to is None or day <= self.valid_to)


class FormPlaces(NamedTuple):
    """How the legal forms of one jurisdiction number their entries, and where that is known from."""

    title: str
    source: str
    prefix: str
    """What precedes each number or letter."""
    places: Mapping[str, str]
    """Number or letter on the form, by the key of the entry."""
    streams: tuple[str, ...] = ()
    """The waste streams that it is for; empty: for any load."""
    purpose: Purpose | None = None
    """What the batteries must be carried for; None: for both."""


class RuleData(NamedTuple):
    """Which rule data the documents remind of."""

    name: str
    edition: str
    checked_on: date
    """The day on which its statements were last held against their sources."""
    review_by: date
    """The last day for which it was meant to serve without a new look."""
    speaks_from: date
    """The earliest day that it speaks of."""
    sha256: str
    """Of the jurisdiction's file and of what is shared by all."""

    def covers(self, day: date) -> bool:
        """Say whether the data speak of a day."""
        return self.speaks_from <= day <= self.review_by


class Stream(NamedTuple):
    """One waste stream of one jurisdiction, as it stands on the batch's day."""

    key: str
    title: str
    tags: tuple[str, ...]
    """Tags of the recycle batteries that belong to it, in workbook order."""
    transport_line: Statement | None = None
    waste_codes: tuple[Statement, ...] = ()
    packing: tuple[Statement, ...] = ()
    storage: tuple[Statement, ...] = ()
    statements: tuple[Statement, ...] = ()
    """Everything else the rule data say about the stream."""

    def carried_for(self, purpose: Purpose | None) -> "Stream":
        """Return the stream with what applies to batteries that are carried for a purpose.

        A purpose that is not settled (None) leaves out nothing: what holds for one alone says so.
        """
        if purpose is None:
            return self

        def kept(ones: tuple[Statement, ...]) -> tuple[Statement, ...]:
            return tuple(one for one in ones if one.purpose in (None, purpose))

        return self._replace(
            waste_codes=() if purpose is Purpose.SALE else self.waste_codes,
            packing=kept(self.packing),
            storage=kept(self.storage),
            statements=kept(self.statements),
        )


class HandlingNote(NamedTuple):
    """How to handle one kind of battery, in the project's own words."""

    key: str
    title: str
    applies_to: str
    """Which batteries of this batch it is for, in words, like ``4 LFP, suspect``."""
    lines: tuple[str, ...]
    source: str


class Compliance(NamedTuple):
    """All that the documents of one batch say about rules and hazards."""

    jurisdiction: str
    rules_date: date
    """The day whose rules are shown: the ship date, else Received."""
    rules_date_is_ship_date: bool
    streams: tuple[Stream, ...] = ()
    """Only those that have a battery, in the jurisdiction's order."""
    stream_by_tag: Mapping[str, str] = {}
    load_warnings: tuple[Statement, ...] = ()
    """About what is in the streams: the load."""
    pallet_warnings: tuple[Statement, ...] = ()
    """About everything that stands on the pallet."""
    general: tuple[Statement, ...] = ()
    """Storage clocks, retention, evidence of use: what holds for the whole consignment."""
    resale: tuple[Statement, ...] = ()
    """What holds for the batteries that may be resold: the warning that some are not proven first."""
    handling_notes: tuple[HandlingNote, ...] = ()
    load_handling_notes: tuple[HandlingNote, ...] = ()
    """Of these, what the batteries in the streams and the unresolved ones need."""
    cautions: tuple[str, ...] = ()
    """The statements that stand on every document."""
    data_name: str = ""
    data_built: str = ""
    rule_data: RuleData | None = None
    forms: tuple[FormPlaces, ...] = ()
    """How the legal forms that may be needed number their entries."""


class LoadOnPaper(NamedTuple):
    """All that a load sheet says about rules and hazards."""

    jurisdiction: str
    """Its name."""
    streams: tuple[Stream, ...]
    """Those that have a battery in the load, with what applies to it for its purpose and on its date."""
    carriage: Mapping[str, str]
    """For each battery, as batch/tag, the stream whose rules of carriage it meets, waste or not."""
    warnings: tuple[Statement, ...]
    general: tuple[Statement, ...]
    """What holds for the whole consignment."""
    forms: tuple[FormPlaces, ...]
    cautions: tuple[str, ...]
    rule_data: RuleData
