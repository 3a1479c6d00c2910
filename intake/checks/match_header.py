"""Which column of the dictionary a header means, and in which unit its plain numbers stand."""

import re
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from intake.checks.cells.cell_text import plain
from intake.checks.cells.written_units import WrittenUnit, find_unit
from intake.policy.dictionary import Column, Sheet, load_dictionary

_BRACKET = re.compile(r"(?P<name>.*?) ?[(\[](?P<bracket>[^()\[\]]*)[)\]]")


class _Words(NamedTuple):
    name: str
    bracket: str


class HeaderMatch(NamedTuple):
    """What a header means. ``columns``: none = unknown, several = it could be any of them."""

    columns: tuple[Column, ...]
    unit: WrittenUnit | None = None
    """The unit of plain numbers, where it is not the column's own."""
    ignored_bracket: str = ""
    """The text in brackets that is not understood."""


def match_header(text: str, sheet: Sheet) -> HeaderMatch:
    """Return what ``text`` means as a header of one sheet of a dictionary.

    Capitals, blanks and the unit in brackets do not matter, unless two headers differ in the
    bracket alone.
    """
    words = _words(text)
    by_words, by_name = _by_words(sheet.workbook, sheet.key), _by_name(sheet.workbook, sheet.key)
    columns = by_words.get(_folded(words), ()) or by_name.get(words.name.casefold(), ())
    if len(columns) > 1:
        fitting = tuple(column for column in columns if find_unit(words.bracket, column.unit))
        columns = fitting if len(fitting) == 1 else columns
    if len(columns) != 1 or not words.bracket:
        return HeaderMatch(columns)
    (column,) = columns
    unit = find_unit(words.bracket, column.unit)
    if unit is not None:
        return HeaderMatch(columns, unit if unit.converts else None)
    is_wording = find_unit(words.bracket.casefold(), column.unit) is None
    known = is_wording and _folded(words) in by_words
    return HeaderMatch(columns, ignored_bracket="" if known else words.bracket)


def _words(text: str) -> _Words:
    typed = plain(text)
    match = _BRACKET.fullmatch(typed)
    return _Words(match["name"], match["bracket"].strip()) if match else _Words(typed, "")


def _folded(words: _Words) -> _Words:
    return _Words(words.name.casefold(), words.bracket.casefold())


@cache
def _by_words(workbook: str, sheet_key: str) -> Mapping[_Words, tuple[Column, ...]]:
    columns = load_dictionary(workbook).sheets[sheet_key].columns
    return {_folded(_words(name)): (one,) for one in columns for name in (one.header, *one.aliases)}


@cache
def _by_name(workbook: str, sheet_key: str) -> Mapping[str, tuple[Column, ...]]:
    found: dict[str, tuple[Column, ...]] = {}
    for words, (column,) in _by_words(workbook, sheet_key).items():
        others = found.get(words.name, ())
        if all(column is not other for other in others):
            found[words.name] = (*others, column)
    return found
