"""The wording of handling notes and cautions, from ``templates/handling-notes.json``."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from intake.policy.resources import resource_text
from intake.policy.sources import Source, load_sources


class NoteLine(NamedTuple):
    """One piece of advice. Without a source it is common practice of the trade."""

    text: str
    sources: tuple[Source, ...] = ()


class NoteWording(NamedTuple):
    """One handling note before it is known which batteries it is for."""

    key: str
    title: str
    lines: tuple[NoteLine, ...]


class Wording(NamedTuple):
    """All notes in the order in which they are printed, and the cautions of every document."""

    notes: tuple[NoteWording, ...]
    cautions: tuple[str, ...]
    deference: str
    """What comes before every note: local codes and licensed practice."""


@cache
def load_wording() -> Wording:
    """Return the shipped wording."""
    document = json.loads(resource_text("templates", "handling-notes.json"))
    return Wording(
        notes=tuple(
            NoteWording(entry["key"], entry["title"], tuple(_line(line) for line in entry["lines"]))
            for entry in document["notes"]
        ),
        cautions=tuple(document["cautions"]),
        deference=document["deference"],
    )


def _line(entry: Mapping[str, Any]) -> NoteLine:
    return NoteLine(entry["text"], tuple(load_sources()[name] for name in entry.get("sources", ())))
