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
    placed: set[_Placed] = set()
    left_out: list[str] = []
    for root in roots:
        files, closed = find_results(root, recursive=recursive)
        left_out += [f"{root / one.file}: {one.reason}" for one in closed]
        for _, path in files:
            for one in (path, *sorted(path.parent.glob(f"{EARLIER}/*/{escape(path.name)}"))):
                try:
                    placed.update(_graded(tag, one))
                except ResultsRefused as refusal:
                    left_out.append(f"{one}: {refusal}")
    loads, unread = written_loads(roots, recursive=recursive)
    for load in loads:
        placed.update(_Placed(one) for one in _loaded(tag, load))
    in_order = sorted(placed, key=lambda one: one.key)
    return [one.event for one in in_order], left_out + unread


def _graded(tag: str, path: Path) -> Iterator[_Placed]:
    document, _ = results_document(path)
    said = document["batch"]
    for one in document["batteries"]:
        if one["tag"].casefold() != tag.casefold():
            continue
        place = (said["batch"], one["tag"])
        sender = f" from {said['received_from']}" if said.get("received_from") else ""
        yield _Placed(Event(said["received"], "received", *place, f"{one['chemistry']}{sender}", path.name))
        for at, hours, text in _readings(said, one["readings"]):
            yield _Placed(Event(at[:_DAY], "read", *place, text, path.name), at[_DAY:], hours)
        day = said.get("latest_reading") or said["received"]
        graded = Event(day, "graded", *place, _grade(document, one), path.name)
        yield _Placed(graded, number=document.get("revision", 1))


def _readings(said: dict[str, Any], readings: dict[str, Any]) -> Iterator[tuple[str, float, str]]:
    """Yield when each voltage was read, how long after the charge, and what by whom with which meter."""
    read_on = said.get("read_on") or said["received"]
    reader = said.get("read_by") or said["inspector"]
    meter = f", meter {said['meter']}" if said.get("meter") else ""
    if readings["rest_voltage_v"] is not None:
        at = readings.get("rest_read_at") or read_on
        yield at, 0.0, f"by {reader}: {_volts(readings['rest_voltage_v'])} V at rest{meter}"
    for one in readings["hold_readings"]:
        by, hours = one.get("read_by") or reader, one["after_charge_h"]
        told = f"by {by}: {_volts(one['voltage_v'])} V, {hours:g} h after charge{meter}"
        yield one.get("read_at") or read_on, hours, told


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
