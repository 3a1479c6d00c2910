"""Text from a cell, made fit to stand in a document: one form of each sign, no control signs."""

import unicodedata
from functools import cache

_BREAKS = ("\r\n", "\r", "\v", "\f", "\x85", "\u2028", "\u2029")
_INVISIBLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
"""Control, format, half of a surrogate pair, private use, not assigned."""


def without_control_signs(text: str) -> str:
    """Return the text with line feeds as its only line breaks and without signs that steer a device.

    A tab becomes a space; a soft hyphen, a direction mark or the like is dropped; half a surrogate pair,
    a private or unassigned sign becomes U+FFFD.
    """
    if text.isascii() and text.isprintable():
        return text
    for one in _BREAKS:
        text = text.replace(one, "\n")
    return "".join(map(_visible, unicodedata.normalize("NFC", text)))


@cache
def _visible(sign: str) -> str:
    if sign == "\n":
        return sign
    if sign == "\t":
        return " "
    category = unicodedata.category(sign)
    if category not in _INVISIBLE:
        return sign
    return "" if category in ("Cc", "Cf") else "\ufffd"


def one_line(text: str) -> str:
    """Return the text on one line, without doubled spaces."""
    return " ".join(without_control_signs(text).split())
