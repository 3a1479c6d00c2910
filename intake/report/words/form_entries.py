"""Which entries a legal form asks for, from ``templates/form-entries.json``."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

from intake.model.compliance import FormPlaces
from intake.policy.resources import resource_text
from intake.report.words.tag_order import tag_key


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
    asked: bool = False
    """It stands only where a form of the jurisdiction gives it a place."""


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


def entries_in_order(forms: Sequence[FormPlaces]) -> list[tuple[str, Entry, str]]:
    """Return place, entry and title of its group, in the order of the first form, then of the next.

    What only some forms ask for is left out where none of these does. Entries without a place come last.
    """
    found = [
        (_places(one, forms), one, group.title)
        for group in load_form_entries().groups
        for one in group.entries
    ]
    found.sort(key=lambda entry: [(not place, tag_key(place)) for place in entry[0]])
    return [
        ("; ".join(place for place in places if place), one, title)
        for places, one, title in found
        if any(places) or not one.asked
    ]


def _places(one: Entry, forms: Sequence[FormPlaces]) -> list[str]:
    """Return where each form has the entry; empty where it has it not."""
    return [
        f"{form.prefix} {form.places[one.key]}".strip() if one.key in form.places else "" for form in forms
    ]
