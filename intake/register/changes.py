"""What differs between two results of one batch: every cell of the workbook, and every grade."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from intake.model.revision import ABSENT, BATTERY, GRADE, HOLD, PRESENT, Change
from intake.policy.dictionary import Column, load_dictionary

Document = Mapping[str, Any]
"""A results document, or one battery of it, as plain values."""


def changes_between(before: Document, after: Document) -> tuple[Change, ...]:
    """Return the changes, the Batch sheet first, then battery by battery in the order of the later one.

    Batteries are matched by tag; of a tag that appears twice, in the order of the rows. A battery without a
    tag goes by its row.
    """
    return (*_batch_changes(before["batch"], after["batch"]), *_battery_changes(before, after))


def battery_changes(changes: Sequence[Change]) -> tuple[Change, ...]:
    """Return those that are about a battery: its cells or its grade."""
    return tuple(one for one in changes if one.tag)


def _batch_changes(before: Document, after: Document) -> Iterator[Change]:
    for column in load_dictionary().sheets["batch"].columns:
        yield from _differ("", column.header, before.get(column.key), after.get(column.key))


def _battery_changes(before: Document, after: Document) -> Iterator[Change]:
    old, new = _by_tag(before["batteries"]), _by_tag(after["batteries"])
    for key, one in new.items():
        if key in old:
            yield from _cells(old[key], one)
        else:
            yield Change(one["tag"], BATTERY, ABSENT, PRESENT)
    for key, one in old.items():
        if key not in new:
            yield Change(one["tag"], BATTERY, PRESENT, ABSENT)


def _by_tag(batteries: Sequence[Document]) -> dict[tuple[str, int], Document]:
    found: dict[tuple[str, int], Document] = {}
    for one in batteries:
        number = 0
        while (one["tag"].casefold(), number) in found:
            number += 1
        found[one["tag"].casefold(), number] = one
    return found


def _cells(before: Document, after: Document) -> Iterator[Change]:
    tag = after["tag"]
    for column in load_dictionary().sheets["batteries"].columns:
        if column.key != "tag" and column.place in (None, 1) and column.joins is None:
            yield from _differ(tag, column.header, _value(before, column), _value(after, column))
    yield from _differ(
        tag, HOLD, before["readings"].get("hold_readings"), after["readings"].get("hold_readings")
    )
    yield from _differ(tag, GRADE, before[GRADE], after[GRADE])


def _value(battery: Document, column: Column) -> Any:
    """Return what a column says; an estimated mass is no cell."""
    if column.key == "mass_kg" and battery["mass_estimated"]:
        return None
    inside: Document = battery["readings"] if column.reading else battery
    return inside.get(column.key)


def _differ(tag: str, field: str, before: Any, after: Any) -> Iterator[Change]:
    first, second = _text(before), _text(after)
    if first != second:
        yield Change(tag, field, first, second)


def _text(value: Any) -> str:
    """Return a value as a person reads it; blank where there is none."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Mapping):
        parts = (f"{_text(one)}" for one in value.values() if one is not None)
        return " / ".join(parts)
    if isinstance(value, list | tuple):
        return "; ".join(_text(one) for one in value)
    return str(value)
