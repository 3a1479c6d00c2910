"""What must not go together, and what is not proven, over the whole pallet."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date

from intake.compliance.dated_statements import statement_on
from intake.compliance.named_batteries import counts_in_words, tags_in_words
from intake.compliance.pallet import Item
from intake.compliance.streams import stream_of
from intake.model.compliance import Statement
from intake.model.condition import UNCLEAR, Condition
from intake.model.kilograms import grams, grams_in_words
from intake.model.verdict import HELD, Grade
from intake.policy.jurisdictions import Jurisdiction

Pallet = Sequence[Item]

_HEAVY_KG = 30.0
"""ADR P908: above this net mass one battery per outer packaging (transport manual of 2023, p. 22)."""

_KEEP_APART = "Keep it so, and ask the transport adviser before they share a vehicle with the intact ones."
_USED_NOT_PROVEN = "used-not-proven"
_SMALL_LOAD = "small-load"


def load_warnings(pallet: Pallet, jurisdiction: Jurisdiction, day: date) -> tuple[Statement, ...]:
    """Return the warnings that this pallet calls for and the jurisdiction has words for."""
    found = [(key, search(pallet)) for key, search in _SEARCHES]
    found.append((_SMALL_LOAD, _points(pallet, jurisdiction.points_per_kg)))
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
    return _beside_intact([item for item in pallet if item.condition is Condition.DAMAGED], pallet)


def _damaged_lead_acid_with_intact(pallet: Pallet) -> str:
    damaged = [item for item in _lead_acid(pallet) if item.condition is Condition.DAMAGED]
    return _beside_intact(damaged, pallet)


def _damaged_lithium_with_intact(pallet: Pallet) -> str:
    """Search for damaged ones that are lithium or may be."""
    damaged = [item for item in pallet if not item.lead_acid and item.condition is Condition.DAMAGED]
    return _beside_intact(damaged, pallet)


def _beside_intact(damaged: Pallet, pallet: Pallet) -> str:
    """Order out the damaged that stand with intact ones; of those packed without any, say where they are."""
    intact = [item for item in pallet if item.condition is Condition.INTACT]
    among = {item.package for item in intact} | {""}
    mixed = [item for item in damaged if item.package in among]
    apart = [item for item in damaged if item.package not in among]
    found = []
    if words := _pairs(mixed, intact):
        found.append(f"{words} Take the damaged ones out.")
    if apart and intact:
        found.append(f"Packed without intact ones: {tags_in_words(apart)}. {_KEEP_APART}")
    return " ".join(found)


def _undiagnosed_lithium(pallet: Pallet) -> str:
    return _these([item for item in _lithium(pallet) if item.condition in UNCLEAR])


def _unidentified_beside_others(pallet: Pallet) -> str:
    return _pairs(_unidentified(pallet), [item for item in pallet if not item.unidentified])


def _points(pallet: Pallet, points_per_kg: Mapping[str, int]) -> str:
    """Return the small-load sum: kg of each stream by its points, and what is missing from it."""
    counted = [(item, points_per_kg.get(stream_of(item), 0)) for item in pallet]
    factors = {one for _, one in counted}
    shared = {factor: [item for item, one in counted if one == factor] for factor in factors}
    parts, total_g = [], 0
    for factor in sorted(shared, reverse=True):
        mass_g = sum(grams(item.mass_kg) for item in shared[factor] if item.mass_kg is not None)
        if factor:
            parts.append(f"{grams_in_words(mass_g)} kg × {factor}")
            total_g += mass_g * factor
    if not parts:
        return ""
    points = [item for factor, items in shared.items() if factor for item in items]
    words = f"Here {' + '.join(parts)} = {grams_in_words(total_g, decimals=0)} points, net"
    estimated = sum(item.mass_estimated for item in points if item.mass_kg is not None)
    unknown = sum(item.mass_kg is None for item in points)
    words += f", {estimated} of {len(points)} estimated" if estimated else ""
    words += f", {unknown} without a mass not counted" if unknown else ""
    unidentified = len(shared.get(0, ()))
    words += f", {unidentified} not identified not counted" if unidentified else ""
    return f"{words}."


def _note_says_damage(pallet: Pallet) -> str:
    """Return what is to be seen first: by its note, or by a load's own record of a note that was cleared."""
    doubted = (item.lead_acid and item.condition is Condition.SUSPECT for item in pallet)
    return _these([item for item, doubt in zip(pallet, doubted, strict=True) if doubt or item.look_again])


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
    ("note-says-damage", _note_says_damage),
    ("undiagnosed-lithium", _undiagnosed_lithium),
    ("damaged-with-intact", _damaged_with_intact),
    ("damaged-lithium-with-intact", _damaged_lithium_with_intact),
    ("damaged-lead-acid-with-intact", _damaged_lead_acid_with_intact),
    ("unidentified-in-load", _unidentified_beside_others),
    ("lithium-or-nickel-with-wet", _lithium_or_nickel_with_wet),
    ("mixed-chemistries", _mixed_chemistries),
    ("acid-with-alkali", _acid_with_alkali),
    ("heavy-damaged-lithium", _heavy_damaged_lithium),
    ("case-plastic-unknown", _case_plastic_unknown),
    ("case-plastic-other", _case_plastic_other),
    (_USED_NOT_PROVEN, _used_not_proven),
)
"""Each condition with its search, the most dangerous first."""
