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


def custody_of(tag: str, roots: Iterable[Path], *, recursive: bool) -> tuple[list[Event], list[str]]:
    """Return the events of every battery of that tag, and a sentence for each file that was left out.

    Capitals in the tag do not matter. A tag that stands in several batches gives the events of all, and
    every revision of a batch counts.
    """
    roots = list(roots)
    events: list[Event] = []
    left_out: list[str] = []
    for root in roots:
        files, closed = find_results(root, recursive=recursive)
        left_out += [f"{root / one.file}: {one.reason}" for one in closed]
        for _, path in files:
            for one in (path, *sorted(path.parent.glob(f"{EARLIER}/*/{escape(path.name)}"))):
                try:
                    events += _graded(tag, one)
                except ResultsRefused as refusal:
                    left_out.append(f"{one}: {refusal}")
    loads, unread = written_loads(roots, recursive=recursive)
    for load in loads:
        events += _loaded(tag, load)
    order = ("received", "read", "graded", "left", "received by the consignee")
    events = sorted(set(events), key=lambda one: (one.day, order.index(one.what), one.batch, one.text))
    return events, left_out + unread


def _graded(tag: str, path: Path) -> Iterator[Event]:
    document, _ = results_document(path)
    said = document["batch"]
    for one in document["batteries"]:
        if one["tag"].casefold() != tag.casefold():
            continue
        place = (said["batch"], one["tag"])
        sender = f" from {said['received_from']}" if said.get("received_from") else ""
        yield Event(said["received"], "received", *place, f"{one['chemistry']}{sender}", path.name)
        for day, text in _readings(said, one["readings"]):
            yield Event(day, "read", *place, text, path.name)
        day = said.get("latest_reading") or said["received"]
        yield Event(day, "graded", *place, _grade(document, one), path.name)


def _readings(said: dict[str, Any], readings: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield the day of each voltage that was read, and what was read by whom with which meter."""
    read_on = said.get("read_on") or said["received"]
    reader = said.get("read_by") or said["inspector"]
    meter = f", meter {said['meter']}" if said.get("meter") else ""
    if readings["rest_voltage_v"] is not None:
        day = (readings.get("rest_read_at") or read_on)[:_DAY]
        yield day, f"by {reader}: {readings['rest_voltage_v']:g} V at rest{meter}"
    for one in readings["hold_readings"]:
        day = (one.get("read_at") or read_on)[:_DAY]
        by = one.get("read_by") or reader
        yield day, f"by {by}: {one['voltage_v']:g} V, {one['after_charge_h']:g} h after charge{meter}"


def _grade(document: dict[str, Any], one: dict[str, Any]) -> str:
    reasons = one["reasons"]
    rule = f" by {reasons[0]['rule']}" if reasons else ""
    number, reason = document.get("revision", 1), document.get("reason")
    why = f": {reason} ({document.get('by')})" if reason else ""
    return f"{one['grade']} ({one['evidence']}){rule}, revision {number}{why}"


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
