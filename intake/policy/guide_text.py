"""The wording of the blank workbook and of the form for a pen, loaded from ``templates/guide.json``."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from intake.policy.resources import resource_text


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the Guide: a short label and what there is to say."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the Guide."""

    heading: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Neighbouring columns of ``Batteries`` under one band."""

    title: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PenWords:
    """What the form for pen and paper says beside its columns."""

    title: str
    caution: str
    foot: str


@dataclass(frozen=True, slots=True)
class StartWords:
    """What the page beside a watched folder says; ``{inbox}``, ``{out}`` and ``{log}`` stand for places."""

    title: str
    lead: str
    steps: tuple[Entry, ...]
    caution: str


@dataclass(frozen=True, slots=True)
class GuideText:
    """All of it. ``legends`` stand above each sheet, by the sheet's key in the dictionary."""

    title: str
    basis: str
    legends: Mapping[str, str]
    groups: tuple[Group, ...]
    short: tuple[str, ...]
    """Keys of the columns of the short form beyond those that are needed or for a grade."""
    short_fields: tuple[str, ...]
    """Keys of the fields of its Batch sheet beyond those that are needed."""
    chemistry: tuple[Entry, ...]
    """The questions that settle the chemistry, each with its answer."""
    pen: PenWords
    start: StartWords
    sections: tuple[Section, ...]


def _start(entry: dict[str, Any]) -> StartWords:
    steps = tuple(Entry(**step) for step in entry["steps"])
    return StartWords(entry["title"], entry["lead"], steps, entry["caution"])


@cache
def load_guide_text() -> GuideText:
    """Return the shipped wording."""
    document = json.loads(resource_text("templates", "guide.json"))
    return GuideText(
        title=document["title"],
        basis=document["basis"],
        legends=document["legends"],
        groups=tuple(Group(one["title"], tuple(one["keys"])) for one in document["groups"]),
        short=tuple(document["short"]),
        short_fields=tuple(document["short_fields"]),
        chemistry=tuple(Entry(**entry) for entry in document["chemistry"]),
        pen=PenWords(**document["pen"]),
        start=_start(document["start"]),
        sections=tuple(
            Section(one["heading"], tuple(Entry(**entry) for entry in one["entries"]))
            for one in document["sections"]
        ),
    )
