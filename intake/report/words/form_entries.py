"""Which entries a legal form asks for, from ``templates/form-entries.json``."""

import json
from dataclasses import dataclass, field
from functools import cache

from intake.policy.resources import resource_text


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that a form asks for. Without ``here`` it is a line to fill in."""

    key: str
    """What the rule data of a jurisdiction call it where they say its number on the form."""
    entry: str
    here: str = ""
    """Where this document has it."""
    known: str = ""
    """The field of the batch that helps to fill it in."""
    lead: str = ""
    """What stands before that field's value."""


@dataclass(frozen=True, slots=True)
class EntryGroup:
    """Entries about one party or matter."""

    title: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class StreamLine:
    """A line to fill in for one stream; no families: for every stream."""

    label: str
    families: tuple[str, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class FormEntries:
    """All of them."""

    groups: tuple[EntryGroup, ...]
    stream_lines: tuple[StreamLine, ...]
    evidence: tuple[str, ...]
    sign_off: tuple[str, ...]


@cache
def load_form_entries() -> FormEntries:
    """Return the shipped entries."""
    document = json.loads(resource_text("templates", "form-entries.json"))
    return FormEntries(
        groups=tuple(
            EntryGroup(group["title"], tuple(Entry(**one) for one in group["entries"]))
            for group in document["groups"]
        ),
        stream_lines=tuple(
            StreamLine(one["label"], tuple(one.get("families", ()))) for one in document["stream_lines"]
        ),
        evidence=tuple(document["evidence"]),
        sign_off=tuple(document["sign_off"]),
    )
