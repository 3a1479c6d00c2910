"""What differs between two results of one batch: every cell of the workbook, and every grade.

A battery of a results document is reduced to what a person reads of it before it is compared, so that
no document is needed whole.
"""

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from intake.model.revision import ABSENT, BATTERY, GRADE, HOLD, PRESENT, Change
from intake.policy.dictionary import Column, load_dictionary

Document = Mapping[str, Any]
"""A results document, or one battery of it, as plain values."""


class BatteryTexts(NamedTuple):
    """What is compared of one battery."""

    tag: str
    texts: tuple[str, ...]
    """Of each column, the hold readings and the grade, in the order of `_fields`; blank: there is none."""


def texts_of(battery: Document) -> BatteryTexts:
    """Return what is compared of a battery of a results document.

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError
        It is none.
    """
    readings = battery["readings"]
    values = [_value(battery, column) for column in _columns()]
    texts = (*values, readings.get("hold_readings"), battery[GRADE])
    # many batteries have the same texts: each is held once
    return BatteryTexts(battery["tag"], tuple(sys.intern(_text(one)) for one in texts))


def changes_between(before: Document, after: Document) -> tuple[Change, ...]:
    """Return the changes, the Batch sheet first, then battery by battery in the order of the later one.

    Batteries are matched by tag; of a tag that appears twice, in the order of the rows. A battery without a
    tag goes by its row.

    Parameters
    ----------
    before, after
        Results documents whose batteries are reduced to their `texts_of`.
    """
    return (
        *_batch_changes(before["batch"], after["batch"]),
        *_battery_changes(before["batteries"], after["batteries"]),
    )


def battery_changes(changes: Sequence[Change]) -> tuple[Change, ...]:
    """Return those that are about a battery: its cells or its grade."""
    return tuple(one for one in changes if one.tag)


def _batch_changes(before: Document, after: Document) -> Iterator[Change]:
    for column in load_dictionary().sheets["batch"].columns:
        yield from _differ("", column.header, _text(before.get(column.key)), _text(after.get(column.key)))


def _battery_changes(before: Iterable[BatteryTexts], after: Iterable[BatteryTexts]) -> Iterator[Change]:
    old = dict(_by_tag(before))
    for key, one in _by_tag(after):
        was = old.pop(key, None)
        if was is None:
            yield Change(one.tag, BATTERY, ABSENT, PRESENT)
            continue
        for field, first, second in zip(_fields(), was.texts, one.texts, strict=True):
            yield from _differ(one.tag, field, first, second)
    for one in old.values():
        yield Change(one.tag, BATTERY, PRESENT, ABSENT)


def _by_tag(batteries: Iterable[BatteryTexts]) -> Iterator[tuple[tuple[str, int], BatteryTexts]]:
    """Yield each battery under its tag, with the number of those of that tag before it."""
    seen: Counter[str] = Counter()
    for one in batteries:
        tag = one.tag.casefold()
        yield (tag, seen[tag]), one
        seen[tag] += 1


@cache
def _columns() -> tuple[Column, ...]:
    """Return the columns of the Batteries sheet whose cells are compared, each by itself."""
    return tuple(
        one
        for one in load_dictionary().sheets["batteries"].columns
        if one.key != "tag" and one.place in (None, 1) and one.joins is None
    )


@cache
def _fields() -> tuple[str, ...]:
    return (*(one.header for one in _columns()), HOLD, GRADE)


def _value(battery: Document, column: Column) -> Any:
    """Return what a column says; an estimated mass is no cell."""
    if column.key == "mass_kg" and battery["mass_estimated"]:
        return None
    inside: Document = battery["readings"] if column.reading else battery
    return inside.get(column.key)


def _differ(tag: str, field: str, before: str, after: str) -> Iterator[Change]:
    if before != after:
        yield Change(tag, field, before, after)


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
