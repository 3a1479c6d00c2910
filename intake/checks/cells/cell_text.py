"""Cell contents as words: quoted for a message, plain for a comparison, cleaned for keeping."""

import unicodedata
from datetime import date, datetime, time

from intake.model.raw_workbook import CellKind, CellValue, RawCell

_QUOTED_LENGTH = 60
_KEPT_CONTROLS = "\n\t"
_NONCHARACTERS = "\ufffe\uffff"
_LONGEST_WHOLE_NUMBER_BITS = 200

PLACEHOLDERS = frozenset({"n/a", "na", "n.a.", "none", "nil", "-", "--", "–", "—", "?", "x"})
"""What people write where nothing was measured."""


def is_control(sign: str) -> bool:
    """Return whether a sign cannot stand in a document: a control sign, half of a pair, no character."""
    if sign in _KEPT_CONTROLS:
        return False
    return sign in _NONCHARACTERS or unicodedata.category(sign) in ("Cc", "Cs")


def is_blank(cell: RawCell | None) -> bool:
    """Return whether a cell shows nothing: no value, or only white space and signs without width."""
    if cell is None:
        return True
    if cell.kind is not CellKind.VALUE:
        return False
    if isinstance(cell.value, str):
        return all(
            sign.isspace() or is_control(sign) or unicodedata.category(sign) == "Cf" for sign in cell.value
        )
    return cell.value is None


def cell_text(value: CellValue) -> str:
    """Return what a cell shows, in plain words: whole numbers without decimals, dates as ISO."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int):
        return str(value) if value.bit_length() <= _LONGEST_WHOLE_NUMBER_BITS else "a very long number"
    if isinstance(value, float):
        return format(value, ".15g")
    if isinstance(value, datetime):
        midnight = value.time() == time(0)
        return value.date().isoformat() if midnight else value.isoformat(sep=" ", timespec="seconds")
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value)


def quoted(value: CellValue) -> str:
    """Return a cell's content in quotation marks, cut to 60 characters."""
    shown = " ".join(cell_text(value).split())
    shown = "".join(sign if sign.isprintable() else f"‹U+{ord(sign):04X}›" for sign in shown)
    if len(shown) > _QUOTED_LENGTH:
        shown = shown[: _QUOTED_LENGTH - 1] + "…"
    return f'"{shown}"'


def plain(text: str) -> str:
    """Return text for comparing: compatible forms unified, widthless signs dropped, blanks single."""
    unified = unicodedata.normalize("NFKC", text)
    return " ".join("".join(sign for sign in unified if unicodedata.category(sign) != "Cf").split())


def plain_figures(text: str) -> str:
    """Return text with every script's decimal digits, signs and blanks in their common form.

    Raised and circled digits stay as they are: ``12²`` must not become 122.
    """
    signs = "".join(_plain_sign(sign) for sign in text if unicodedata.category(sign) != "Cf")
    return " ".join(signs.split())


_COMMON_SIGNS = {
    "\u2212": "-",
    "\u066a": "%",
    "\u066b": ".",  # Arabic decimal separator
    "\u066c": " ",  # Arabic thousands separator
}
_FULL_WIDTH_FIRST, _FULL_WIDTH_LAST, _FULL_WIDTH_SHIFT = "\uff01", "\uff5e", 0xFEE0


def _plain_sign(sign: str) -> str:
    digit = unicodedata.decimal(sign, None)
    if digit is not None:
        return str(digit)
    if _FULL_WIDTH_FIRST <= sign <= _FULL_WIDTH_LAST:
        return chr(ord(sign) - _FULL_WIDTH_SHIFT)
    return _COMMON_SIGNS.get(sign, sign)


def is_placeholder(text: str) -> bool:
    """Return whether a text stands for nothing, like ``n/a``."""
    return plain(text).casefold() in PLACEHOLDERS


def counted(number: int, word: str) -> str:
    """Return ``1 row`` or ``2 rows``."""
    if number == 1:
        return f"1 {word}"
    return f"{number} {word.removesuffix('y')}ies" if word.endswith("y") else f"{number} {word}s"


LEAVE_EMPTY = "Leave the cell empty if nothing was measured."
