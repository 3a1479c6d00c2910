"""What is known of the rules of one jurisdiction: dated statements with their sources.

The records mirror a file of ``templates/jurisdictions/`` under ``schemas/jurisdiction.schema.json``.
``intake/policy/rule_data.py`` finds the files.
"""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import Any, NamedTuple

from intake.model.compliance import FormPlaces, Purpose, RuleData
from intake.policy.sources import Source

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
    CARRIAGE = "carriage"
    """Whatever leaves the yard."""
    RECYCLE = "recycle"
    RESALE = "resale"
    RECONDITIONABLE = "reconditionable"


class Rule(NamedTuple):
    """One statement as the data hold it, before it is applied to a day."""

    heading: str
    text: str | None
    standing: Standing
    sources: tuple[Source, ...] = ()
    valid_from: date | None = None
    """First day on which it holds; None: as far back as anybody will ask."""
    valid_to: date | None = None
    """Last day on which it holds."""
    when: When = When.ALWAYS
    regions: tuple[str, ...] = ()
    """The regions that it holds in; empty: in all."""
    short: str | None = None
    """What the first page prints for it: a code, a packing instruction, a mark."""
    purpose: Purpose | None = None
    """What the batteries must be carried for; None: it holds for both."""


class StreamRules(NamedTuple):
    """What is known of one waste stream."""

    key: str
    title: str
    transport_line: Rule
    waste_codes: tuple[Rule, ...]
    packing: tuple[Rule, ...]
    storage: tuple[Rule, ...]
    statements: tuple[Rule, ...]


class Regions(NamedTuple):
    """The parts of a jurisdiction whose rules differ."""

    called: str
    """What a region is, like ``US state``."""
    names: Mapping[str, tuple[str, ...]]
    """Other words for each region that a statement names."""

    def named(self, text: str) -> str | None:
        """Return the region that a text means, None where no statement names it."""
        wanted = text.strip().casefold()
        for name, others in self.names.items():
            if wanted in (name.casefold(), *(one.casefold() for one in others)):
                return name
        return None


class Jurisdiction(NamedTuple):
    """One jurisdiction's data. ``load_warnings`` are keyed by the condition that calls for them."""

    key: str
    name: str
    rule_data: RuleData
    streams: tuple[StreamRules, ...]
    general: tuple[Rule, ...]
    load_warnings: Mapping[str, Rule]
    order: int
    """Where it stands in the list of choices, smallest first."""
    synonyms: tuple[str, ...] = ()
    """Other words for it that a workbook may hold."""
    forms: tuple[FormPlaces, ...] = ()
    """How its legal forms number their entries, the usual one first."""
    regions: Regions | None = None
    """What its regions are called; None: the data know of none."""
    points_per_kg: Mapping[str, int] = {}
    """Points of the small-load sum for each kg, by waste stream; empty: there is no such sum."""


_MIDDLE = 50
"""The place of a jurisdiction that names none."""


def jurisdiction_of(
    document: Mapping[str, Any], sources: Mapping[str, Source], titles: Mapping[str, str], *, sha256: str
) -> Jurisdiction:
    """Return the record of a document that keeps to the schema.

    Parameters
    ----------
    sources
        every source that the document may name, by its id.
    titles
        the title of each waste stream.
    sha256
        the digest of the data.
    """
    return Jurisdiction(
        key=document["key"],
        name=document["name"],
        rule_data=RuleData(
            name=f"{_DATA_NAME}: {document['name']}",
            edition=document["edition"],
            checked_on=date.fromisoformat(document["checked_on"]),
            review_by=date.fromisoformat(document["review_by"]),
            speaks_from=date.fromisoformat(document["speaks_from"]),
            sha256=sha256,
        ),
        streams=tuple(_stream(entry, sources, titles) for entry in document["streams"]),
        general=_rules(document["general"], sources),
        load_warnings={name: _rule(entry, sources) for name, entry in document["load_warnings"].items()},
        order=document.get("order", _MIDDLE),
        synonyms=tuple(document.get("synonyms", ())),
        forms=tuple(_form(entry) for entry in document.get("forms", ())),
        regions=_regions(document.get("regions")),
        points_per_kg=document.get("points_per_kg", {}),
    )


def _form(entry: Mapping[str, Any]) -> FormPlaces:
    given = {"streams": tuple(entry.get("streams", ())), "purpose": _purpose(entry)}
    return FormPlaces(**{**entry, **given})


def _regions(entry: Mapping[str, Any] | None) -> Regions | None:
    if entry is None:
        return None
    return Regions(entry["called"], {name: tuple(others) for name, others in entry["names"].items()})


def _stream(
    entry: Mapping[str, Any], sources: Mapping[str, Source], titles: Mapping[str, str]
) -> StreamRules:
    return StreamRules(
        key=entry["key"],
        title=titles[entry["key"]],
        transport_line=_rule(entry["transport_line"], sources),
        waste_codes=_rules(entry["waste_codes"], sources),
        packing=_rules(entry["packing"], sources),
        storage=_rules(entry["storage"], sources),
        statements=_rules(entry["statements"], sources),
    )


def _rules(entries: list[Mapping[str, Any]], sources: Mapping[str, Source]) -> tuple[Rule, ...]:
    return tuple(_rule(entry, sources) for entry in entries)


def _rule(entry: Mapping[str, Any], sources: Mapping[str, Source]) -> Rule:
    return Rule(
        heading=entry["heading"],
        text=entry["text"],
        standing=Standing(entry["status"]),
        sources=tuple(sources[name] for name in entry.get("sources", ())),
        valid_from=_day(entry.get("valid_from")),
        valid_to=_day(entry.get("valid_to")),
        when=When(entry.get("when", When.ALWAYS)),
        regions=tuple(entry.get("regions", ())),
        short=entry.get("short"),
        purpose=_purpose(entry),
    )


def _purpose(entry: Mapping[str, Any]) -> Purpose | None:
    return Purpose(entry["purpose"]) if "purpose" in entry else None


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
