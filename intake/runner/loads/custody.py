"""All that is known of one battery, in order of time: batches, readings, grades, loads, receipts."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from intake.runner.find_results import find_results
from intake.runner.loads.read_loads import WrittenLoad, written_loads
from intake.runner.read_results import ResultsRefused, results_document


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

    Capitals in the tag do not matter. A tag that stands in several batches gives the events of all.
    """
    roots = list(roots)
    events: list[Event] = []
    left_out: list[str] = []
    for root in roots:
        files, closed = find_results(root, recursive=recursive)
        left_out += [f"{root / one.file}: {one.reason}" for one in closed]
        for _, path in files:
            try:
                events += _graded(tag, path)
            except ResultsRefused as refusal:
                left_out.append(f"{path}: {refusal}")
    loads, unread = written_loads(roots, recursive=recursive)
    for load in loads:
        events += _loaded(tag, load)
    order = ("received", "read", "graded", "left", "received by the consignee")
    return sorted(set(events), key=lambda one: (one.day, order.index(one.what), one.batch)), left_out + unread


def _graded(tag: str, path: Path) -> Iterator[Event]:
    document, _ = results_document(path)
    said = document["batch"]
    for one in document["batteries"]:
        if one["tag"].casefold() != tag.casefold():
            continue
        place = (said["batch"], one["tag"])
        sender = f" from {said['received_from']}" if said.get("received_from") else ""
        yield Event(said["received"], "received", *place, f"{one['chemistry']}{sender}", path.name)
        read_on = said.get("read_on") or said["received"]
        reader = said.get("read_by") or said["inspector"]
        yield Event(read_on, "read", *place, f"by {reader}, {_readings(one)}", path.name)
        yield Event(read_on, "graded", *place, _grade(document, one), path.name)


def _readings(one: dict[str, Any]) -> str:
    charge = one.get("held_charge") or one.get("state_of_charge")
    return f"{charge['voltage_25c_v']:.3f} V at 25 °C" if charge else "no voltage"


def _grade(document: dict[str, Any], one: dict[str, Any]) -> str:
    reasons = one["reasons"]
    rule = f" by {reasons[0]['rule']}" if reasons else ""
    return f"{one['grade']} ({one['evidence']}){rule}, revision {document.get('revision', 1)}"


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
            differences = f": {receipt['differences']}" if receipt.get("differences") else ""
            text = f"by {receipt.get('received_by') or head['consignee']}{differences}"
            yield Event(receipt["received_on"], "received by the consignee", *place, text, load.path.name)
