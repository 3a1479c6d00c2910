"""Text to lines: cleaned, missing signs replaced, wrapped by measured width."""

import re
import unicodedata
from functools import cache
from typing import NamedTuple

from intake.report.drawing.fonts import EM, Face, printable_codes, sign_widths
from intake.report.drawing.palette import INK, Colour
from intake.report.drawing.plain_text import without_control_signs

MISSING_SIGN = "□"
NO_BREAK = "\u00a0"
"""Holds two words on one line."""
_HIGHEST_CODE = 0xFFFF
"""Beyond it the text that a reader copies out of the file comes out wrong."""
_RIGHT_TO_LEFT = frozenset({"R", "AL"})
"""Drawn in the order of storage such a script would be unreadable."""
_WIDTHS_MOST = 20_000
"""Words whose width is remembered; some 200 bytes each."""
_ASCII_PRINTABLE = re.compile(r"[ -~]*\Z")
_BREAKABLE = re.compile(f"[^\\S{NO_BREAK}]+")
_PIECE = re.compile(r"[^-_./,;:]*[-_./,;:]+|[^-_./,;:]+")
"""Where a word that is too long is broken first: after such a sign."""


class Style(NamedTuple):
    """A way to set text. Sizes in points."""

    size: float
    face: Face = Face.REGULAR
    colour: Colour = INK
    line_factor: float = 1.28

    @property
    def leading(self) -> float:
        """Height of one line."""
        return self.size * self.line_factor

    @property
    def baseline(self) -> float:
        """From the top of a line to the foot of its letters."""
        return (self.leading - self.size) / 2 + 0.80 * self.size


_shown_as_they_are: set[str] = set()
"""Signs of texts that came out unchanged: a text of such signs alone does too, in its composed form."""


class Typesetter:
    """Sets the text of one document and counts the signs that it could not print."""

    def __init__(self) -> None:
        self.replaced = 0
        """How many signs were replaced by the missing sign."""
        self._widths: dict[tuple[str, Face], float] = {}

    def printable(self, text: str) -> str:
        """Return the text without control signs, each sign that cannot be printed replaced."""
        if _ASCII_PRINTABLE.match(text) or (
            _shown_as_they_are.issuperset(text) and unicodedata.is_normalized("NFC", text)
        ):
            return text
        clean = without_control_signs(text)
        shown = "".join(sign if sign == "\n" or _can_print(sign) else MISSING_SIGN for sign in clean)
        if shown == text:
            _shown_as_they_are.update(text)
        self.replaced += shown.count(MISSING_SIGN) - clean.count(MISSING_SIGN)
        return shown

    def width(self, text: str, style: Style) -> float:
        """Return the width in points of text that is printable as it stands."""
        return self._ems(text, style.face) * style.size / EM

    def _ems(self, text: str, face: Face) -> float:
        key = (text, face)
        known = self._widths.get(key)
        if known is None:
            if len(self._widths) >= _WIDTHS_MOST:
                self._widths.clear()  # the tags and marks of a large batch come once each
            widths = sign_widths(face)
            known = self._widths[key] = sum(widths[ord(sign)] for sign in text)
        return known

    def wrap(self, text: str, style: Style, width: float, *, begin: float = 0.0) -> list[str]:
        """Break text into lines no wider than ``width`` points; a word that is wider is broken too.

        Of the first line ``begin`` points are taken; it is empty where the first word does not fit behind.
        """
        room, taken = width * EM / style.size, begin * EM / style.size
        lines: list[str] = []
        for paragraph in self.printable(text).split("\n"):
            lines += self._wrap_words(_words(paragraph), style.face, room, 0.0 if lines else taken)
        return lines or [""]

    def _wrap_words(self, words: list[str], face: Face, room: float, taken: float) -> list[str]:
        lines: list[str] = []
        line, used = "", taken
        space = self._ems(" ", face)
        for word in words:
            needed = self._ems(word, face)
            if line and used + space + needed <= room:
                line, used = f"{line} {word}", used + space + needed
                continue
            if not line and used + needed <= room:
                line, used = word, used + needed
                continue
            if line or used:
                lines.append(line)
            *full, line = [word] if needed <= room else self._break_word(word, face, room)
            lines += full
            used = self._ems(line, face)
        return [*lines, line] if line else lines

    def _break_word(self, word: str, face: Face, room: float) -> list[str]:
        """Break a word after a joining sign where one stands, else wherever the line is full."""
        lines: list[str] = []
        line, used = "", 0.0
        for piece in _PIECE.findall(word):
            needed = self._ems(piece, face)
            if line and used + needed > room:
                lines.append(line)
                line, used = "", 0.0
            if needed > room:
                *full, piece = self._break_anywhere(piece, face, room)
                lines += full
                needed = self._ems(piece, face)
            line, used = line + piece, used + needed
        return [*lines, line]

    def _break_anywhere(self, piece: str, face: Face, room: float) -> list[str]:
        widths = sign_widths(face)
        lines: list[str] = []
        line, used = "", 0.0
        for sign in piece:
            needed = widths[ord(sign)]
            if line and used + needed > room:
                lines.append(line)
                line, used = "", 0.0
            line, used = line + sign, used + needed
        return [*lines, line]


def _words(paragraph: str) -> list[str]:
    """Split at white space where a line may end; what holds words together becomes a plain space."""
    if NO_BREAK not in paragraph:
        return paragraph.split()
    return [word.replace(NO_BREAK, " ") for word in _BREAKABLE.split(paragraph) if word]


@cache
def _can_print(sign: str) -> bool:
    code = ord(sign)
    return (
        code <= _HIGHEST_CODE
        and code in printable_codes()
        and unicodedata.bidirectional(sign) not in _RIGHT_TO_LEFT
    )
