"""Loads that were written, read back from their JSON."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from intake.model.account import Departure, SentLoad
from intake.model.battery import Chemistry
from intake.model.kilograms import grams
from intake.model.load import LoadKind
from intake.policy.results_schema import results_problem
from intake.runner.find_results import find_results
from intake.runner.read_results import ResultsRefused, written_json

LOAD_SUFFIX = "-load.json"


@dataclass(frozen=True, slots=True)
class WrittenLoad:
    """One load as its JSON says it."""

    path: Path
    name: str
    document: dict[str, Any]
    sha256: str


def written_loads(roots: Iterable[Path], *, recursive: bool) -> tuple[list[WrittenLoad], list[str]]:
    """Return every load below the folders, and a sentence for each file that could not be used."""
    loads: dict[str, WrittenLoad] = {}
    left_out: list[str] = []
    for root in roots:
        files, closed = find_results(root, recursive=recursive, suffix=LOAD_SUFFIX)
        left_out += [f"{root / one.file}: {one.reason}" for one in closed]
        for _, path in files:
            try:
                load = read_load(path)
            except ResultsRefused as refusal:
                left_out.append(f"{path}: {refusal}")
                continue
            earlier = loads.setdefault(load.name.casefold(), load)
            if earlier.sha256 != load.sha256:
                left_out.append(f"{path}: load {load.name} stands in {earlier.path} with other contents.")
    return list(loads.values()), left_out


def read_load(path: Path) -> WrittenLoad:
    """Return one load.

    Raises
    ------
    ResultsRefused
        The file cannot be read, is damaged, or was not written by intake.
    """
    document, digest = written_json(path)
    broken = results_problem(document, "load")
    if broken is not None:
        raise ResultsRefused(f"It does not keep to the load schema: {broken}.")
    try:
        date.fromisoformat(document["load"]["date"])
    except ValueError as problem:
        day = document["load"]["date"]
        raise ResultsRefused(f"load/date is {day:.20}, which is no day of the calendar.") from problem
    return WrittenLoad(path, document["load"]["load"], document, digest)


def gone_by_load(loads: Iterable[WrittenLoad], *, but: str = "") -> dict[tuple[str, str], str]:
    """Return the load that took each battery, by batch and tag in lower case.

    Parameters
    ----------
    but
        The load that is being written again: its own batteries may be in it.
    """
    return {
        (one["batch"].casefold(), one["tag"].casefold()): load.name
        for load in loads
        if load.name.casefold() != but.casefold()
        for one in load.document["batteries"]
    }


def sent_load(load: WrittenLoad) -> SentLoad:
    """Return a load as the yard's account needs it."""
    head, receipt = load.document["load"], load.document["receipt"]
    day, kind = date.fromisoformat(head["date"]), LoadKind(head["kind"])
    received_kg = receipt.get("weight_kg")
    return SentLoad(
        load=load.name,
        kind=kind,
        day=day,
        consignee=head["consignee"],
        departures=tuple(
            Departure(
                load=load.name,
                kind=kind,
                day=day,
                consignee=head["consignee"],
                batch=one["batch"],
                tag=one["tag"],
                chemistry=Chemistry(one["chemistry"]),
                stream=one.get("stream"),
                mass_g=None if one.get("mass_kg") is None else grams(one["mass_kg"]),
            )
            for one in load.document["batteries"]
        ),
        received_on=date.fromisoformat(receipt["received_on"]) if receipt.get("received_on") else None,
        received_g=None if received_kg is None else grams(received_kg),
        received_count=receipt.get("count"),
        differences=receipt.get("differences"),
    )
