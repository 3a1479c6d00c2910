"""A long JSON file, read piece by piece: each entry of a long list is reduced before the next is read.

It refuses what `intake.policy.strict_json` refuses. The library's own decoder reads each value; here is only
what stands between the values of the outermost object, and where a piece of the file ends.
"""

import codecs
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from json import JSONDecodeError
from typing import Any

from intake.policy.strict_json import STRICT, refuse_half_a_pair, refuse_too_many, values_in

Reduce = Callable[[Any], Any]
"""What is kept of an entry."""

_SPACE = re.compile(r"[ \t\n\r]*")
_LOOK_AHEAD = 2
"""Characters: as many as may stand behind a number that is cut off, as ``e+`` of ``1e+9``."""


def read_long_json(pieces: Iterable[bytes], each: Mapping[str, Reduce]) -> Any:
    """Return the value that a JSON file holds.

    Parameters
    ----------
    pieces
        The bytes of the file, in order.
    each
        By key of the outermost object: what is kept of each entry of the list there. Whatever else stands
        there is kept as it is.

    Raises
    ------
    ValueError
        it is no JSON in UTF-8, holds a number that cannot be used or far too many values, or gives one
        key twice.
    RecursionError
        it is nested too deeply.
    """
    text = _Text(pieces)
    value = dict(_entries(text, each)) if text.peek() == "{" else text.value()
    if text.peek():
        raise text.wrong("the end of the file")
    return value


def _entries(text: "_Text", each: Mapping[str, Reduce]) -> Iterator[tuple[str, Any]]:
    seen: set[str] = set()
    text.expect("{")
    if text.peek() == "}":
        text.expect("}")
        return
    more = True
    while more:
        if text.peek() != '"':
            raise text.wrong("a key")
        key = text.value()
        if key in seen:
            raise ValueError(f"the key {key[:40]!r} appears twice in one place")
        seen.add(key)
        text.expect(":")
        is_long = key in each and text.peek() == "["
        yield key, [each[key](one) for one in _listed(text)] if is_long else text.value()
        more = text.expect(",}") == ","


def _listed(text: "_Text") -> Iterator[Any]:
    text.expect("[")
    if text.peek() == "]":
        text.expect("]")
        return
    more = True
    while more:
        yield text.value()
        more = text.expect(",]") == ","


class _Text:
    """The text of a file from where the reading stands to the end of the last piece that was taken in."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        self._pieces = iter(pieces)
        self._decoder = codecs.getincrementaldecoder("utf-8-sig")()
        self._held = ""
        self._at = 0
        self._passed = 0
        """Characters that are held no longer."""
        self._values = 0
        self._ended = False

    def peek(self) -> str:
        """Return the next character that is no white space; empty: there is none."""
        while True:
            self._at = _SPACE.match(self._held, self._at).end()  # type: ignore[union-attr]  # it always matches
            if self._at < len(self._held):
                return self._held[self._at]
            if not self._take_in():
                return ""

    def expect(self, signs: str) -> str:
        """Return the next character and go on behind it; it has to be one of these."""
        found = self.peek()
        if not found or found not in signs:
            raise self.wrong(" or ".join(map(repr, signs)))
        self._at += 1
        return found

    def value(self) -> Any:
        """Return the value that begins with the next character, and go on behind it."""
        self.peek()
        while True:
            try:
                value, end = STRICT.raw_decode(self._held, self._at)
            except JSONDecodeError as problem:
                if self._take_in():
                    continue
                place = self._passed + problem.pos + 1
                raise ValueError(f"{problem.msg} at character {place:,}") from problem
            if end + _LOOK_AHEAD < len(self._held) or not self._take_in():
                refuse_half_a_pair(value, self._held, self._at, end)
                self._at = end
                return value

    def wrong(self, expected: str) -> ValueError:
        """Return what to raise where something else stands than is expected."""
        return ValueError(f"{expected} was expected at character {self._passed + self._at + 1:,}")

    def _take_in(self) -> bool:
        """Take in as much again as is held, a piece at least, and let go of what was read; False: the end."""
        if self._ended:
            return False
        rest = self._held[self._at :]
        taken, signs = [rest], 0
        while not signs or signs < len(rest):
            piece = next(self._pieces, b"")
            self._values += values_in(piece)
            refuse_too_many(self._values)
            try:
                taken.append(self._decoder.decode(piece, final=not piece))
            except UnicodeDecodeError as problem:
                raise ValueError("it is not in UTF-8") from problem
            signs += len(taken[-1])
            if not piece:
                self._ended = True
                break
        self._passed += self._at
        self._held, self._at = "".join(taken), 0
        return True
