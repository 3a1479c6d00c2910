"""What is known of the rules of one jurisdiction: dated statements with their sources.

The records mirror ``templates/jurisdictions/*.json`` under ``schemas/jurisdiction.schema.json``. The
shipped files are validated by the tests, not at every run.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Any

from intake.policy.resources import resource_text

JURISDICTIONS = ("US", "EU", "UK", "other")
"""Those that have a file."""

_DATA_NAME = "Reminders of the rules"


class Standing(StrEnum):
    """What a statement rests on."""

    OPENED = "opened"
    """Excerpts of its sources were read."""
    PROPOSAL = "proposal"
    """A reading or proposal of this tool, no source says it outright; never a code or a transport entry."""
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    """Only the heading is kept: there is no value that could be printed."""


class When(StrEnum):
    """Which batches a statement about the whole consignment is for."""

    ALWAYS = "always"
    RECYCLE = "recycle"
    RESALE = "resale"
    RECONDITIONABLE = "reconditionable"


@dataclass(frozen=True, slots=True)
class Source:
    """A published text. ``citation`` is title, section and edition as printed."""

    citation: str
    evidence: str
    """``authority``: the law text, an official letter or guidance; ``secondary``: a report about the rule."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One statement as the data hold it, before it is looked at on a day."""

    heading: str
    text: str | None
    standing: Standing
    sources: tuple[Source, ...] = ()
    valid_from: date | None = None
    """First day on which it holds; None: as far back as anybody will ask."""
    valid_to: date | None = None
    """Last day on which it holds."""
    when: When = When.ALWAYS


@dataclass(frozen=True, slots=True)
class StreamRules:
    """What is known of one waste stream."""

    key: str
    title: str
    transport_line: Rule
    waste_codes: tuple[Rule, ...]
    packing: tuple[Rule, ...]
    storage: tuple[Rule, ...]
    statements: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Jurisdiction:
    """One jurisdiction's data. ``load_warnings`` are keyed by the condition that calls for them."""

    key: str
    name: str
    data_name: str
    built: str
    """The day on which the statements were gathered, ISO."""
    streams: tuple[StreamRules, ...]
    general: tuple[Rule, ...]
    load_warnings: Mapping[str, Rule]


@cache
def load_sources() -> Mapping[str, Source]:
    """Return every source that the shipped statements and notes name, by its id."""
    document = json.loads(resource_text("templates/jurisdictions", "sources.json"))
    return {key: Source(entry["citation"], entry["evidence"]) for key, entry in document["sources"].items()}


@cache
def load_jurisdiction(key: str) -> Jurisdiction:
    """Return the shipped data of one of ``JURISDICTIONS``.

    Raises
    ------
    ValueError
        there are no data under that name.
    """
    if key not in JURISDICTIONS:
        raise ValueError(f"no rules are held for {key!r}; known are {', '.join(JURISDICTIONS)}")
    document = json.loads(resource_text("templates/jurisdictions", f"{key.lower()}.json"))
    return Jurisdiction(
        key=document["key"],
        name=document["name"],
        data_name=f"{_DATA_NAME}: {document['name']}",
        built=document["built"],
        streams=tuple(_stream(entry) for entry in document["streams"]),
        general=_rules(document["general"]),
        load_warnings={name: _rule(entry) for name, entry in document["load_warnings"].items()},
    )


def jurisdiction_problems(document: object) -> list[str]:
    """Name everything in a jurisdiction document that breaks the schema or does not fit together.

    Returns
    -------
    list of str
        Plain sentences, each with its place in the document; empty if it can be used.
    """
    from jsonschema import Draft202012Validator

    validator = Draft202012Validator(json.loads(resource_text("schemas", "jurisdiction.schema.json")))
    problems = [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]
    return problems or _reference_problems(document, "$")


def _reference_problems(entry: Any, place: str) -> list[str]:
    """Name the sources that are not listed, and the periods that end before they begin."""
    if isinstance(entry, list):
        return [one for n, part in enumerate(entry) for one in _reference_problems(part, f"{place}[{n}]")]
    if not isinstance(entry, dict):
        return []
    unknown = [name for name in entry.get("sources", ()) if name not in load_sources()]
    problems = [f"{place}: the source {name!r} is not in sources.json" for name in unknown]
    if entry.get("valid_from", "") > entry.get("valid_to", "9999-12-31"):
        problems.append(f"{place}: valid_from is after valid_to")
    parts = ((f"{place}.{key}", part) for key, part in entry.items() if key != "sources")
    return problems + [one for inner, part in parts for one in _reference_problems(part, inner)]


def _stream(entry: Mapping[str, Any]) -> StreamRules:
    return StreamRules(
        key=entry["key"],
        title=entry["title"],
        transport_line=_rule(entry["transport_line"]),
        waste_codes=_rules(entry["waste_codes"]),
        packing=_rules(entry["packing"]),
        storage=_rules(entry["storage"]),
        statements=_rules(entry["statements"]),
    )


def _rules(entries: list[Mapping[str, Any]]) -> tuple[Rule, ...]:
    return tuple(_rule(entry) for entry in entries)


def _rule(entry: Mapping[str, Any]) -> Rule:
    return Rule(
        heading=entry["heading"],
        text=entry["text"],
        standing=Standing(entry["status"]),
        sources=tuple(load_sources()[name] for name in entry.get("sources", ())),
        valid_from=_day(entry.get("valid_from")),
        valid_to=_day(entry.get("valid_to")),
        when=When(entry.get("when", When.ALWAYS)),
    )


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
