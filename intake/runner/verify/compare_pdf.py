"""Where a PDF differs from the same document written anew.

Both are walked side by side, object by object. Every byte has to be the same, but for streams that another
library packed, and for the lengths and places that follow from that; these are reckoned and compared too. So
there is no room for anything else: no update at the end, no object or comment between, nothing in front.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from intake.runner.verify.same_content import ZLIB, same_content

_OBJECT = re.compile(rb"(\d+) 0 obj\n")
_LENGTH = re.compile(rb"/Length (\d+)(?!\d)")
_TABLE_PLACE = re.compile(rb"\nstartxref\n(\d+)\n%%EOF\n\Z")
_ENTRY = re.compile(rb"(\d{10}) 00000 n \n")
_STREAM = b"\nstream\n"
_FRAME = "the PDF file was changed outside its pages and pictures"
_MOST_OBJECTS = 3
"""That are named."""


@dataclass(frozen=True, slots=True)
class _Piece:
    """An object as it was written anew. ``packed`` None: it holds no packed stream."""

    number: int
    whole: bytes
    before: bytes = b""
    """Up to the figure of its length."""
    between: bytes = b""
    packed: bytes | None = None
    after: bytes = b""


def pdf_differences(old: bytes, new: bytes) -> Iterator[str]:
    """Yield where ``old`` differs from ``new``, for people; nothing where only the packing does."""
    around = _around(old, new)
    if around:
        yield around
        return
    start, pieces, table = _pieces(new)
    if not pieces or old[:start] != new[:start]:
        yield _FRAME
        return
    places, at, same_length = {0: 0}, start, True
    changed: list[int] = []
    for piece in pieces:
        places[piece.number] = at
        length, differs = _length(old, at, piece)
        if differs:
            changed.append(piece.number)
        if length is None:
            yield _content(changed, len(pieces))
            return
        same_length = same_length and length == len(piece.whole)
        at += length
    if changed:
        yield _content(changed, len(pieces))
    if old[at:] != _moved(table, new, places, at):
        yield _FRAME
    elif same_length and not changed:  # another library would pack to other lengths
        yield "bytes of the file were changed, though its text and pictures unpack to the same"


def _content(changed: list[int], count: int) -> str:
    """Say that the content was changed, and where, for whoever opens the file itself."""
    more = "" if len(changed) <= _MOST_OBJECTS else f" and {len(changed) - _MOST_OBJECTS} more"
    numbers = ", ".join(map(str, changed[:_MOST_OBJECTS]))
    noun = "object" if len(changed) == 1 else "objects"
    return f"its content is not what the workbook gives ({noun} {numbers}{more} of {count} in the PDF file)"


def _around(old: bytes, new: bytes) -> str:
    if len(old) > len(new) and old.startswith(new):
        return f"{len(old) - len(new):,} bytes were added after its end"
    if len(old) > len(new) and old.endswith(new):
        return f"{len(old) - len(new):,} bytes were added before its beginning"
    if len(old) < len(new) and new.startswith(old):
        return f"its last {len(new) - len(old):,} bytes are missing"
    return ""


def _pieces(new: bytes) -> tuple[int, list[_Piece], int]:
    """Return where the first object begins, the objects in their order, and where their table begins."""
    told = _TABLE_PLACE.search(new)
    if told is None:
        return 0, [], 0
    table = int(told[1])
    starts = sorted(int(place) for place in _ENTRY.findall(new, table))
    pieces = []
    for start, end in zip(starts, [*starts[1:], table], strict=True):
        number = _OBJECT.match(new, start)
        if number is None:
            return 0, [], 0
        pieces.append(_piece(int(number[1]), new[start:end]))
    return min(starts, default=0), pieces, table


def _piece(number: int, whole: bytes) -> _Piece:
    head_end = whole.find(_STREAM)
    length = _LENGTH.search(whole, 0, head_end) if head_end >= 0 else None
    if length is None or b"/FlateDecode" not in whole[:head_end]:
        return _Piece(number, whole)
    begin = head_end + len(_STREAM)
    end = begin + int(length[1])
    return _Piece(
        number, whole, whole[: length.start(1)], whole[length.end(1) : begin], whole[begin:end], whole[end:]
    )


def _length(old: bytes, at: int, piece: _Piece) -> tuple[int | None, bool]:
    """Return how many bytes of ``old`` the object takes, None if that cannot be told, and if it differs."""
    if old.startswith(piece.whole, at):
        return len(piece.whole), False
    if piece.packed is None or not old.startswith(piece.before, at):
        return None, True
    figure = re.compile(rb"[1-9]\d{0,9}").match(old, at + len(piece.before))
    if figure is None or not old.startswith(piece.between, figure.end()):
        return None, True
    begin = figure.end() + len(piece.between)
    end = begin + int(figure[0])
    if not old.startswith(piece.after, end):
        return None, True
    differs = not same_content(old[begin:end], piece.packed, wrapping=ZLIB)
    return end + len(piece.after) - at, differs


def _moved(table: int, new: bytes, places: dict[int, int], at: int) -> bytes:
    """Return the table of objects and the rest as they have to be, with the objects at these places."""
    numbers = iter(sorted(places)[1:])
    moved = _ENTRY.sub(lambda _: b"%010d 00000 n \n" % places[next(numbers)], new[table:])
    return _TABLE_PLACE.sub(b"\nstartxref\n%d\n%%%%EOF\n" % at, moved)
