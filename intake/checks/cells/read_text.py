"""Choices, identifiers and free texts from a cell."""

import re
from collections.abc import Mapping
from datetime import date, time, timedelta
from functools import cache

from intake.checks.cells.cell_text import (
    LEAVE_EMPTY,
    cell_text,
    counted,
    is_control,
    is_placeholder,
    plain,
    quoted,
)
from intake.checks.cells.parsed_cell import Remark, Taken, Unreadable, note
from intake.model.finding import Severity
from intake.model.raw_workbook import RawCell
from intake.policy.dictionary import Column

YES_NO = ("yes", "no")
_IGNORED_IN_CHOICES = str.maketrans("", "", " -_.")
_MOST_DIGITS = 15
"""A spreadsheet program keeps no more digits of a number."""
_CODE_LETTERS = 3
"""Of a currency code."""
_TURNED_INTO_DATE = (
    "The spreadsheet program has turned it into a date or time. Format the column as text and type it again."
)


def read_choice(cell: RawCell, column: Column) -> Taken[str] | Unreadable:
    """Return the choice that a cell names by its own word or one of the trade's."""
    value = cell.value
    if isinstance(value, bool) and column.choices == YES_NO:
        return Taken("yes" if value else "no")
    words = _choice_words(column.choices, tuple(column.synonyms.items()))
    chosen = words.get(_squeezed(cell_text(value)))
    if chosen is not None:
        return Taken(chosen)
    for family in column.families:
        if _squeezed(cell_text(value)) in {_squeezed(word) for word in family.words}:
            return Unreadable(f"{quoted(value)} names a family only, not which kind.", family.hint)
    hint = f"Type one of: {', '.join(column.choices)}."
    if is_placeholder(cell_text(value)) and not column.needed:
        hint = f"{hint} {LEAVE_EMPTY}"
    return Unreadable(f"{quoted(value)} is not one of {', '.join(column.choices)}.", hint)


def fill_in(column: Column) -> str:
    """Return what to do about a needed cell that is empty."""
    choices = f" One of: {', '.join(column.choices)}." if column.choices else ""
    return f"Fill it in. {column.help}{choices}"


def _squeezed(text: str) -> str:
    return plain(text).casefold().translate(_IGNORED_IN_CHOICES)


@cache
def _choice_words(
    choices: tuple[str, ...], synonyms: tuple[tuple[str, tuple[str, ...]], ...]
) -> Mapping[str, str]:
    own = {_squeezed(choice): choice for choice in choices}
    trade = {_squeezed(word): choice for choice, words in synonyms for word in words}
    return trade | own


def read_identifier(cell: RawCell, column: Column) -> Taken[str] | Unreadable:
    """Return a tag or batch name; a whole number becomes its digits, with a note."""
    value = cell.value
    if isinstance(value, bool):
        return _no_identifier(cell, column, "Format the column as text and type the name again.")
    if isinstance(value, date | time | timedelta):
        return _no_identifier(cell, column, _TURNED_INTO_DATE)
    if isinstance(value, int | float):
        return _identifier_from_number(cell, column, value)
    typed = cell_text(value).strip()
    if not _fits(typed, column):
        return _no_identifier(cell, column, f"{column.help} Leave out blanks and other signs.")
    return Taken(typed)


def _identifier_from_number(cell: RawCell, column: Column, value: int | float) -> Taken[str] | Unreadable:
    as_text = "Format the column as text and type the name again as it is written."
    if isinstance(value, float) and not value.is_integer():
        return _no_identifier(cell, column, as_text)
    if abs(value) >= 10**_MOST_DIGITS:
        message = (
            f"{quoted(value)} is a number of more than {_MOST_DIGITS} digits, of which the last are lost."
        )
        return Unreadable(message, as_text)
    digits = str(int(value))
    if re.fullmatch("0+", cell.number_format):
        digits = digits.zfill(len(cell.number_format))
    if not _fits(digits, column):
        return _no_identifier(cell, column, as_text)
    remark = note(
        f"The number in this cell was taken as {quoted(digits)}; a spreadsheet program drops leading zeros.",
        "If zeros are missing, format the column as text and type the name again.",
    )
    return Taken(digits, (remark,))


def _fits(text: str, column: Column) -> bool:
    return column.pattern is None or re.fullmatch(column.pattern, text) is not None


def _no_identifier(cell: RawCell, column: Column, hint: str) -> Unreadable:
    signs = "letters" if column.max_length == _CODE_LETTERS else "letters, digits, point, underscore, hyphen"
    return Unreadable(
        f"{quoted(cell.value)} cannot be used; expected at most {column.max_length} of {signs}.", hint
    )


def read_text(cell: RawCell, column: Column) -> Taken[str]:
    """Return a cell's content as text, line breaks kept; what could not be printed is taken out."""
    typed = cell_text(cell.value).replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ").strip()
    kept = "".join(sign for sign in typed if not is_control(sign))
    remarks: list[Remark] = []
    if kept != typed:
        lost = len(typed) - len(kept)
        remarks.append(note(f"{quoted(kept)}: {counted(lost, 'control character')} taken out."))
    if column.max_length is not None and len(kept) > column.max_length:
        remarks.append(_too_long(kept, column.max_length))
        kept = kept[: column.max_length]
    return Taken(kept, tuple(remarks))


def _too_long(text: str, limit: int) -> Remark:
    return Remark(
        Severity.WARNING,
        f"{quoted(text)} has {len(text):,} characters; the first {limit:,} are kept.",
        "Shorten the text, or move the rest to Note.",
    )
