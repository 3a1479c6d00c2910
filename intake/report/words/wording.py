"""The longer texts of the documents, from ``templates/wording.json``."""

import json
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from intake.model.rules import Rule
from intake.model.verdict import Evidence, Grade
from intake.policy.evidence_words import evidence_words
from intake.policy.resources import resource_text


class GradeWords(NamedTuple):
    """A grade as a heading and in lists."""

    title: str
    short: str
    """In one word, for lists."""


class ActionWords(NamedTuple):
    """A group of the order of work, and the one thing to do with it."""

    title: str
    do: str


class SourcedText(NamedTuple):
    """A statement and where it comes from."""

    text: str
    source: str


class ResaleWords(NamedTuple):
    """What one kind of evidence is called on a condition sheet, what it shows and what it cannot show."""

    badge: str
    shows: str
    can_not_show: str


class BuyerCautions(NamedTuple):
    """What a buyer is warned of: whatever the battery, and by chemistry."""

    general: str
    lead_acid: str
    lithium: str


class Wording(NamedTuple):
    """All texts."""

    grades: Mapping[Grade, GradeWords]
    evidence: Mapping[Evidence, str]
    actions: Mapping[str, ActionWords]
    reasons: Mapping[Rule, str]
    """Each rule in a few words, with ``{measured}``, ``{limit}``, ``{needed}`` and both as percent."""
    limits_of_a_grade: tuple[SourcedText, ...]
    resale: Mapping[Evidence, ResaleWords]
    resale_capacity_first: ResaleWords
    """Where a capacity was measured and no hold reading counts yet."""
    buyer_cautions: BuyerCautions
    sale: str
    """Who decides on it, and what a condition sheet is not."""


@cache
def load_wording() -> Wording:
    """Return the shipped texts."""
    document = json.loads(resource_text("templates", "wording.json"))
    cautions = document["buyer_cautions"]
    return Wording(
        grades={grade: GradeWords(**document["grades"][grade.value]) for grade in Grade},
        evidence=evidence_words(),
        actions={key: ActionWords(**words) for key, words in document["actions"].items()},
        reasons={rule: document["reasons"].get(rule.id, _by_title(rule)) for rule in Rule},
        limits_of_a_grade=tuple(SourcedText(**entry) for entry in document["limits_of_a_grade"]),
        resale={one: ResaleWords(**document["resale"][one.value]) for one in Evidence},
        resale_capacity_first=ResaleWords(**document["resale"]["capacity-first"]),
        buyer_cautions=BuyerCautions(
            general=cautions["all"], lead_acid=cautions["lead-acid"], lithium=cautions["lithium"]
        ),
        sale=document["sale"],
    )


def _by_title(rule: Rule) -> str:
    """Return the title with its figures, for a rule that has no words of its own yet."""
    return f"{rule.title.lower()}: {{measured}}, limit {{limit}}"
