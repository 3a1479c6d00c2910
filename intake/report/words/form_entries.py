"""Which entries a legal form asks for, from ``templates/form-entries.json``."""

import json
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from intake.model.compliance import FormPlaces, Purpose
from intake.policy.resources import resource_text
from intake.report.words.tag_order import tag_key

PACKAGES = "packages"
"""Key of the line about the packages of a stream."""


class Entry(NamedTuple):
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
    purpose: Purpose | None = None
    """What the batteries must be carried for; None: it is asked of both."""


class EntryGroup(NamedTuple):
    """Entries about one party or matter."""

    title: str
    entries: tuple[Entry, ...]


class StreamLine(NamedTuple):
    """A line to fill in for one stream; no families: for every stream."""

    label: str
    families: tuple[str, ...] = ()
    key: str = ""
    """What a document calls it that knows some of it, and a form that has a place for it."""
    asked: bool = False
    """It stands only where a form of the jurisdiction gives it a place."""
    purpose: Purpose | None = None
    """What the batteries must be carried for; None: it is asked of both."""


class FormEntries(NamedTuple):
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
            EntryGroup(group["title"], tuple(map(_entry, group["entries"]))) for group in document["groups"]
        ),
        stream_lines=tuple(
            StreamLine(
                one["label"],
                tuple(one.get("families", ())),
                one.get("key", ""),
                one.get("asked", False),
                _purpose(one),
            )
            for one in document["stream_lines"]
        ),
        evidence=tuple(document["evidence"]),
        sign_off=tuple(document["sign_off"]),
    )


def _entry(entry: Mapping[str, Any]) -> Entry:
    return Entry(**{**entry, "purpose": _purpose(entry)})


def _purpose(entry: Mapping[str, Any]) -> Purpose | None:
    return Purpose(entry["purpose"]) if "purpose" in entry else None


def entries_in_order(forms: Sequence[FormPlaces], purpose: Purpose | None) -> list[tuple[str, Entry, str]]:
    """Return place, entry and title of its group, in the order of the first form, then of the next.

    What is asked of another purpose is left out, and what only some forms ask for where none of these does.
    Entries without a place come last.
    """
    found = [
        (_places(one, forms), one, group.title)
        for group in load_form_entries().groups
        for one in group.entries
        if one.purpose is None or purpose in (None, one.purpose)
    ]
    found.sort(key=lambda entry: [(not place, tag_key(place)) for place in entry[0]])
    return [
        ("; ".join(place for place in places if place), one, title)
        for places, one, title in found
        if any(places) or not one.asked
    ]


def lines_to_fill(stream: str, purpose: Purpose | None, forms: Sequence[FormPlaces] = ()) -> list[StreamLine]:
    """Return what has to be filled in by hand for a stream, by its key and what it is carried for.

    What only some forms ask for is left out where none of these does.
    """
    family = (
        "lead-acid" if stream.startswith("lead-acid") else "lithium" if stream.startswith("lfp") else "other"
    )
    return [
        one
        for one in load_form_entries().stream_lines
        if (not one.families or family in one.families)
        and (one.purpose is None or purpose in (None, one.purpose))
        and (not one.asked or any(one.key in form.places for form in forms))
    ]


def _places(one: Entry, forms: Sequence[FormPlaces]) -> list[str]:
    """Return where each form has the entry; empty where it has it not."""
    return [
        f"{form.prefix} {form.places[one.key]}".strip() if one.key in form.places else "" for form in forms
    ]
