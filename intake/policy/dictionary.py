"""The column dictionaries of the workbooks that people fill in: the one place that knows their columns.

``schemas/batch.schema.json`` describes the intake workbook, ``schemas/load.schema.json`` the load workbook.
"""

import json
from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from intake.policy.resources import resource_text
from intake.policy.rule_data import load_rules


class Form(StrEnum):
    """How a cell is read."""

    TEXT = "text"
    IDENTIFIER = "identifier"
    """Text that must match ``pattern``; a number that was typed as one is taken with care."""
    NUMBER = "number"
    DATE = "date"
    PARTIAL_DATE = "partial date"
    """A date of which the day, or day and month, may be missing."""
    TIME = "time"
    """A time of day."""
    DATE_TIME = "date and time"
    """A day and a time of day; the day may be left out where the reader knows which is meant."""
    CHOICE = "choice"
    MONEY = "money"
    """A decimal amount, kept as exact text."""


class Family(NamedTuple):
    """Words that name several choices at once, and how to decide between them."""

    words: tuple[str, ...]
    hint: str


class Column(NamedTuple):
    """One column of a list sheet, or one field of ``Batch``. Limits are None where there are none."""

    key: str
    header: str
    """As the blank workbook prints it, unit in brackets."""
    form: Form
    help: str
    aliases: tuple[str, ...] = ()
    unit: str | None = None
    needed: bool = False
    instead: str | None = None
    """Key of the column that may be filled in instead of this needed one."""
    for_grade: bool = False
    """A battery stays unresolved, or fewer come out well, without it."""
    decisive: bool = False
    """A grade rests on it: an unreadable value is an error, else a warning."""
    reading: bool = False
    """Measured, or said of a measurement: under ``readings`` in results.json."""
    listed: bool = False
    """Printed beside each battery in the manifest's list, and a column of results.xlsx."""
    joins: str | None = None
    """Key of the list that its cells are joined to; the battery has no attribute of its own for them."""
    minimum: float | None = None
    exclusive_minimum: float | None = None
    maximum: float | None = None
    lfp_maximum: float | None = None
    """The maximum for LFP, where it is lower."""
    choices: tuple[str, ...] = ()
    synonyms: Mapping[str, tuple[str, ...]] = {}
    families: tuple[Family, ...] = ()
    clock: str | None = None
    """Header of the column for a clock time, beside one for hours."""
    plausible: tuple[float, float] | None = None
    """Between which a usual value lies, to name a slipped decimal point."""
    standard: str | None = None
    """Key of the column that a standard written beside the figure fills."""
    pattern: str | None = None
    max_length: int | None = None
    example: str | float | None = None
    place: int | None = None
    """From 1: which of several columns that share one key."""

    @property
    def tier(self) -> str:
        """Which of the three kinds of columns it is, in words; empty for more evidence."""
        return "needed" if self.needed else "for a grade" if self.for_grade else ""


class Sheet(NamedTuple):
    """One sheet of the workbook."""

    key: str
    """batch, batteries, hold_readings, prices."""
    name: str
    needed: bool
    help: str
    columns: tuple[Column, ...]
    """In the order of the blank workbook; SG and Cell columns spread out, one each."""
    workbook: str
    """Name of the dictionary that it stands in: ``batch`` or ``load``."""


class Dictionary(NamedTuple):
    """All sheets that are read, and the units that convert.

    ``units`` maps a column's unit to the units it may be written in: a factor, or the name of a
    conversion that is no factor (``fahrenheit``, ``kelvin``).
    """

    sheets: Mapping[str, Sheet]
    units: Mapping[str, Mapping[str, float | str]]


def _columns(key: str, entry: Mapping[str, Any], rules_folder: Path | None) -> list[Column]:
    choices, synonyms = tuple(entry.get("enum", ())), entry.get("x-synonyms", {})
    if entry.get("x-choices-from") == "jurisdictions":
        rules = load_rules(rules_folder)
        choices, synonyms = tuple(rules), {key: one.synonyms for key, one in rules.items()}
    count = entry.get("x-columns")
    return [
        Column(
            key=key,
            header=entry["x-header"].replace("{n}", str(place)),
            form=Form(entry["x-form"]),
            help=entry["x-help"],
            aliases=tuple(entry.get("x-aliases", ())),
            unit=entry.get("x-unit"),
            needed=entry.get("x-needed", False),
            instead=entry.get("x-instead"),
            for_grade=entry.get("x-for-grade", False),
            decisive=entry.get("x-decisive", False),
            reading=entry.get("x-reading", False),
            listed=entry.get("x-listed", False),
            joins=entry.get("x-joins"),
            minimum=entry.get("minimum"),
            exclusive_minimum=entry.get("exclusiveMinimum"),
            maximum=entry.get("maximum"),
            lfp_maximum=entry.get("x-lfp-maximum"),
            choices=choices,
            synonyms={choice: tuple(words) for choice, words in synonyms.items()},
            families=tuple(Family(tuple(one["words"]), one["hint"]) for one in entry.get("x-families", ())),
            clock=entry.get("x-clock"),
            plausible=tuple(entry["x-plausible"]) if "x-plausible" in entry else None,
            standard=entry.get("x-standard"),
            pattern=entry.get("pattern"),
            max_length=entry.get("maxLength"),
            example=entry.get("x-example"),
            place=place if count else None,
        )
        for place in range(1, (count or 1) + 1)
    ]


@cache
def load_dictionary(workbook: str = "batch", *, rules_folder: Path | None = None) -> Dictionary:
    """Return the column dictionary of a workbook.

    Parameters
    ----------
    workbook
        ``batch`` or ``load``.
    rules_folder
        a site's own rule data, whose jurisdictions can be chosen beside the shipped ones.
    """
    schema = json.loads(resource_text("schemas", f"{workbook}.schema.json"))
    sheets = {}
    for key, entry in schema["properties"].items():
        if "x-sheet" not in entry:
            continue
        properties = entry.get("items", entry)["properties"]
        sheets[key] = Sheet(
            key=key,
            name=entry["x-sheet"],
            needed=entry["x-needed"],
            help=entry["x-help"],
            columns=tuple(
                one for name, value in properties.items() for one in _columns(name, value, rules_folder)
            ),
            workbook=workbook,
        )
    return Dictionary(sheets=sheets, units=schema.get("x-units", {}))
