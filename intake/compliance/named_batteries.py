"""Batteries named and counted in words, for sentences that stand in a table cell."""

from collections import Counter
from collections.abc import Sequence

from intake.compliance.pallet import Item
from intake.model.battery import Chemistry
from intake.model.condition import Condition

_MOST_TAGS = 6
"""So many tags are written out, the rest is counted."""


def tags_in_words(items: Sequence[Item]) -> str:
    """Return ``A1, A2``, in a load ``A1, A2 in P-1; A3 in P-2``, or the first few and ``and 12 more``."""
    shown, hidden = items[:_MOST_TAGS], len(items) - _MOST_TAGS
    packed: dict[str, list[str]] = {}
    for item in shown:
        packed.setdefault(item.package, []).append(item.name)
    told = [", ".join(names) + (f" in {package}" if package else "") for package, names in packed.items()]
    return "; ".join(told) + (f" and {hidden} more" if hidden > 0 else "")


def counts_in_words(items: Sequence[Item]) -> str:
    """Return the number of each chemistry in the order of the workbook's choices: ``3 flooded, 1 LFP``."""
    found = Counter(item.battery.chemistry for item in items)
    return ", ".join(f"{found[one]} {_NAMES.get(one, one.value)}" for one in Chemistry if found[one])


def conditions_in_words(items: Sequence[Item]) -> str:
    """Return the conditions that occur, mildest first: ``suspect or damaged``.

    Empty where intact ones stand among others: then the words would say no more than "any".
    """
    found = {Condition.DENTED if item.dented else item.condition for item in items}
    if Condition.INTACT in found and len(found) > 1:
        return ""
    return " or ".join(one.value for one in Condition if one in found)


_NAMES = {
    Chemistry.OTHER: "of other chemistry",
    Chemistry.UNKNOWN: "of unknown chemistry",
}
