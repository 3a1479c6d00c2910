"""All that is known of one battery, in order of time: batches, readings, grades, loads, receipts."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from glob import escape
from pathlib import Path
from typing import Any

from intake.runner.find_results import EARLIER, find_results
from intake.runner.loads.read_loads import WrittenLoad, written_loads
from intake.runner.read_results import ResultsRefused, results_document

_DAY = len("2026-11-27")
"""Characters of a time that say the day."""
_ORDER = ("received", "read", "graded", "left", "received by the consignee")
"""What comes first where all is of one day."""
_NO_TEST = {"none": "no reading counts"}
"""Evidence that would not tell a person what it means."""
_AT_REST = -1.0
"""In place of hours after the charge: a rest reading, which comes first of its day."""
_FEWEST_DECIMALS = 2
"""Of a voltage."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a battery."""

    day: str
    """ISO; empty where the day is not known."""
    what: str
    """received, read, graded, left, received by the consignee."""
    batch: str
    tag: str
    text: str
    file: str


@dataclass(frozen=True, slots=True)
class _Placed:
    """An event with what puts it in order on its day."""

    event: Event
    clock: str = ""
    """Time of day of a reading; empty where it is not known."""
    number: float = 0.0
    """Hours after the charge of a reading, or the number of a revision."""

    @property
    def key(self) -> tuple[str, int, str, str, str, float, str]:
        one = self.event
        return (one.day, _ORDER.index(one.what), one.batch, one.tag, self.clock, self.number, one.text)


def custody_of(tag: str, roots: Iterable[Path], *, recursive: bool) -> tuple[list[Event], list[str]]:
    """Return the events of every battery of that tag, and a sentence for each file that was left out.

    Capitals in the tag do not matter. A tag that stands in several batches gives the events of all, and
    every revision of a batch counts.
    """
    roots = list(roots)

    def wanted(battery: dict[str, Any]) -> dict[str, Any] | None:
        return battery if battery["tag"].casefold() == tag.casefold() else None

    placed: set[_Placed] = set()
    left_out: list[str] = []
    for root in roots:
        files, closed = find_results(root, recursive=recursive)
        left_out += [f"{root / one.file}: {one.reason}" for one in closed]
        for _, path in files:
            revisions = []
            for one in (path, *sorted(path.parent.glob(f"{EARLIER}/*/{escape(path.name)}"))):
                try:
                    revisions.append(results_document(one, battery=wanted).document)
                except ResultsRefused as refusal:
                    left_out.append(f"{one}: {refusal}")
            placed.update(_graded(revisions, path.name))
    loads, unread = written_loads(roots, recursive=recursive)
    for load in loads:
        placed.update(_Placed(one) for one in _loaded(tag, load))
    in_order = sorted(placed, key=lambda one: one.key)
    return [one.event for one in in_order], left_out + unread


def _graded(revisions: Iterable[dict[str, Any]], file: str) -> Iterator[_Placed]:
    """Yield the events of all revisions of one batch, of which only the batteries of the tag were kept."""
    told: dict[tuple[str, str], _Readings] = {}
    for document in sorted(revisions, key=lambda one: int(one.get("revision", 1))):
        said = document["batch"]
        for one in filter(None, document["batteries"]):
            place = (said["batch"], one["tag"])
            sender = f" from {said['received_from']}" if said.get("received_from") else ""
            yield _Placed(Event(said["received"], "received", *place, f"{one['chemistry']}{sender}", file))
            told.setdefault(place, _Readings()).add(said, one["readings"])
            day = said.get("latest_reading") or said["received"]
            graded = Event(day, "graded", *place, _grade(document, one), file)
            yield _Placed(graded, number=document.get("revision", 1))
    for place, readings in told.items():
        for reading in readings.all:
            event = Event(reading.at[:_DAY], "read", *place, reading.told, file)
            yield _Placed(event, reading.at[_DAY:], reading.hours)


@dataclass(slots=True)
class _Reading:
    """One voltage: when, how many hours after the charge (-1: at rest), and what by whom with which meter."""

    at: str
    hours: float
    volts: float
    text: str
    round: str
    """Day of the readings of its batch, in the revision that has it."""
    own_time: bool
    """Whether its time was written; else it has the day of its round."""
    repeated: bool = False
    """Whether a later revision has it with another day, that of its own round."""

    @property
    def key(self) -> tuple[float, float, str]:
        """What two revisions share of an unchanged reading."""
        return (self.hours, self.volts, self.at if self.own_time else "")

    @property
    def told(self) -> str:
        """What is printed of it."""
        return f"{self.text}, first recorded" if self.repeated else self.text


class _Readings:
    """The readings of one battery in all revisions, each once.

    A reading without a time of its own takes the day of its batch, which a second round moves. Where the
    next revision has the same figure at the same hours, it is the same reading: the earliest day counts.
    A reader or a meter that was corrected within one round stands beside the one before.
    """

    def __init__(self) -> None:
        self.all: list[_Reading] = []
        self._standing: dict[tuple[float, float, str], _Reading] = {}
        """Those of the revision before."""

    def add(self, said: dict[str, Any], readings: dict[str, Any]) -> None:
        """Add those of the next revision."""
        now = {}
        for one in _readings(said, readings):
            before = self._standing.get(one.key)
            if before is not None and before.round != one.round:
                before.repeated = before.repeated or before.at != one.at
                before.at = min(before.at, one.at)
            elif before is None or before.text != one.text:
                self.all.append(one)
            now[one.key] = before or one
        self._standing = now


def _readings(said: dict[str, Any], readings: dict[str, Any]) -> Iterator[_Reading]:
    """Yield each voltage of a revision."""
    read_on = said.get("read_on") or said["received"]
    reader = said.get("read_by") or said["inspector"]
    meter = f", meter {said['meter']}" if said.get("meter") else ""
    volts = readings["rest_voltage_v"]
    if volts is not None:
        at = readings.get("rest_read_at")
        text = f"by {reader}: {_volts(volts)} V at rest{meter}"
        yield _Reading(at or read_on, _AT_REST, volts, text, read_on, bool(at))
    for one in readings["hold_readings"]:
        by, hours, volts = one.get("read_by") or reader, one["after_charge_h"], one["voltage_v"]
        text = f"by {by}: {_volts(volts)} V, {hours:g} h after charge{meter}"
        at = one.get("read_at")
        yield _Reading(at or read_on, hours, volts, text, read_on, bool(at))


def _volts(volts: float) -> str:
    """Return a voltage as it was read, with two decimals at least."""
    decimals = len(repr(volts).partition(".")[2])
    return f"{volts:.{max(_FEWEST_DECIMALS, decimals)}f}"


def _grade(document: dict[str, Any], one: dict[str, Any]) -> str:
    evidence, reasons = one["evidence"], one["reasons"]
    rule = f", by the rule {reasons[0]['rule']}" if reasons else ""
    number, reason = document.get("revision", 1), document.get("reason")
    why = f": {reason} ({document.get('by')})" if reason else ""
    return f"{one['grade']} ({_NO_TEST.get(evidence, evidence)}){rule}, revision {number}{why}"


def _loaded(tag: str, load: WrittenLoad) -> Iterator[Event]:
    head, receipt = load.document["load"], load.document["receipt"]
    for one in load.document["batteries"]:
        if one["tag"].casefold() != tag.casefold():
            continue
        place = (one["batch"], one["tag"])
        package = f" in package {one['package']}" if one.get("package") else ""
        text = f"load {load.name}, {head['kind']}, to {head['consignee']}{package}"
        yield Event(head["date"], "left", *place, text, load.path.name)
        if receipt.get("received_on"):
            said = receipt.get("differences")
            differences = f"; differences of the whole load: {said}" if said else ""
            text = f"load {load.name}, by {receipt.get('received_by') or head['consignee']}{differences}"
            yield Event(receipt["received_on"], "received by the consignee", *place, text, load.path.name)
