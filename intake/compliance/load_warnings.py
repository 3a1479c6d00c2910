"""What must not go together, and what is not proven, over the whole pallet."""

import math
from collections.abc import Callable, Sequence
from datetime import date

from intake.compliance.dated_statements import statement_on
from intake.compliance.named_batteries import counts_in_words, tags_in_words
from intake.compliance.pallet import Condition, Item
from intake.model.compliance import Statement
from intake.model.verdict import HELD, Grade
from intake.policy.jurisdictions import Jurisdiction

Pallet = Sequence[Item]

_HEAVY_KG = 30.0
"""ADR P908: above this net mass one battery per outer packaging (transport manual of 2023, p. 22)."""

_USED_NOT_PROVEN = "used-not-proven"


def load_warnings(pallet: Pallet, jurisdiction: Jurisdiction, day: date) -> tuple[Statement, ...]:
    """Return the warnings that this pallet calls for and the jurisdiction has words for."""
    found = ((key, search(pallet)) for key, search in _SEARCHES)
    return tuple(
        statement_on(jurisdiction.load_warnings[key], day, found=words)
        for key, words in found
        if words and key in jurisdiction.load_warnings
    )


def resale_warnings(pallet: Pallet, jurisdiction: Jurisdiction, day: date) -> tuple[Statement, ...]:
    """Return the one of them that is about the batteries to resell, where it applies."""
    words = _used_not_proven(pallet)
    if not words or _USED_NOT_PROVEN not in jurisdiction.load_warnings:
        return ()
    return (statement_on(jurisdiction.load_warnings[_USED_NOT_PROVEN], day, found=words),)


def _pairs(first: Pallet, second: Pallet) -> str:
    """Say which batteries stand beside which, empty unless there are both."""
    if not first or not second:
        return ""
    return f"Here {counts_in_words(first)} ({tags_in_words(first)}) beside {counts_in_words(second)}."


def _these(items: Pallet) -> str:
    return f"Here {counts_in_words(items)} ({tags_in_words(items)})." if items else ""


def _lead_acid(pallet: Pallet) -> list[Item]:
    return [item for item in pallet if item.lead_acid]


def _lithium(pallet: Pallet) -> list[Item]:
    return [item for item in pallet if item.lithium]


def _unidentified(pallet: Pallet) -> list[Item]:
    return [item for item in pallet if item.unidentified]


def _lithium_or_nickel_with_wet(pallet: Pallet) -> str:
    return _pairs([item for item in pallet if item.lithium or item.unidentified], _lead_acid(pallet))


def _mixed_chemistries(pallet: Pallet) -> str:
    return _pairs(_lithium(pallet), _lead_acid(pallet))


def _acid_with_alkali(pallet: Pallet) -> str:
    return _pairs(_unidentified(pallet), _lead_acid(pallet))


def _damaged_with_intact(pallet: Pallet) -> str:
    damaged = [item for item in pallet if item.condition is Condition.DAMAGED]
    return _pairs(damaged, [item for item in pallet if item.condition is Condition.INTACT])


def _undiagnosed_lithium(pallet: Pallet) -> str:
    unclear = (Condition.SUSPECT, Condition.CASE_NOT_READ)
    return _these([item for item in _lithium(pallet) if item.condition in unclear])


def _lithium_mass(pallet: Pallet) -> str:
    lithium = _lithium(pallet)
    if not lithium:
        return ""
    known = [item for item in lithium if item.mass_kg is not None]
    parts = [f"{math.fsum(item.mass_kg for item in lithium if item.mass_kg is not None):.1f} kg net of LFP"]
    estimated = sum(item.mass_estimated for item in known)
    if estimated:
        parts.append(f"{estimated} of {len(known)} estimated")
    if len(known) < len(lithium):
        parts.append(f"{len(lithium) - len(known)} without a mass not counted")
    return f"Here {', '.join(parts)}."


def _heavy_damaged_lithium(pallet: Pallet) -> str:
    lithium = [item for item in _lithium(pallet) if item.condition is not Condition.INTACT]
    return _these([item for item in lithium if item.mass_kg is not None and item.mass_kg > _HEAVY_KG])


def _case_plastic_unknown(pallet: Pallet) -> str:
    return _these([item for item in _lead_acid(pallet) if item.battery.case_plastic == "unknown"])


def _case_plastic_other(pallet: Pallet) -> str:
    return _these([item for item in _lead_acid(pallet) if item.battery.case_plastic == "other"])


def _used_not_proven(pallet: Pallet) -> str:
    resale = [item for item in pallet if item.verdict.grade is Grade.RESALE]
    return _these([item for item in resale if item.verdict.evidence not in HELD])


_SEARCHES: tuple[tuple[str, Callable[[Pallet], str]], ...] = (
    ("undiagnosed-lithium", _undiagnosed_lithium),
    ("damaged-with-intact", _damaged_with_intact),
    ("lithium-or-nickel-with-wet", _lithium_or_nickel_with_wet),
    ("mixed-chemistries", _mixed_chemistries),
    ("acid-with-alkali", _acid_with_alkali),
    ("lithium-mass", _lithium_mass),
    ("heavy-damaged-lithium", _heavy_damaged_lithium),
    ("case-plastic-unknown", _case_plastic_unknown),
    ("case-plastic-other", _case_plastic_other),
    (_USED_NOT_PROVEN, _used_not_proven),
)
"""Each condition with its search, the most dangerous first."""
