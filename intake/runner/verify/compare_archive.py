"""Where a workbook's archive differs from the same archive written anew.

Both are walked side by side, part by part and then entry by entry of the directory. Every byte has to be the
same, but for parts that were packed by another library, and for the sizes and places that follow from that.
So there is no room for anything else: no archive in front, no comment, no part, no name or time of its own.
"""

import io
import struct
import zipfile
from collections.abc import Iterator

from intake.runner.verify.same_content import RAW, same_content

_LOCAL, _CENTRAL, _END = struct.Struct("<4s5H3I2H"), struct.Struct("<4s6H3I5H2I"), struct.Struct("<4s4H2IH")
_DEFLATED = 8
_MAKERS = (0, 3)
"""High byte of the version that made a part: the system on which it was written; nothing else follows."""


def archive_differences(old: bytes, new: bytes) -> Iterator[str]:
    """Yield where ``old`` differs from ``new``, for people; nothing where only the packing does."""
    try:
        yield from _walk(old, new)
    except (struct.error, IndexError):
        yield "it is no whole workbook any more"


def _walk(old: bytes, new: bytes) -> Iterator[str]:
    members = _members(new)
    places, sizes, at = {}, {}, 0
    for one in members:
        whole = new[one.header_offset : _end_of(new, one)]
        begin = len(whole) - one.compress_size
        head = list(_LOCAL.unpack_from(old, at))
        places[one.filename], sizes[one.filename] = at, head[7]
        expected = list(_LOCAL.unpack_from(whole))
        expected[7] = head[7]  # the packed size
        names = old[at + _LOCAL.size : at + begin]
        if head != expected or names != whole[_LOCAL.size : begin]:
            yield f"the head of part {one.filename}, or what precedes it"
            return
        packed = old[at + begin : at + begin + head[7]]
        if not _same(packed, whole[begin:], one):
            yield f"part {one.filename}"
        at += begin + head[7]
    yield from _directory(old, new, places, sizes, at)


def _directory(
    old: bytes, new: bytes, places: dict[str, int], sizes: dict[str, int], at: int
) -> Iterator[str]:
    """Yield what differs in the directory at the end, which begins at ``at``; it ends the file."""
    start, place = at, _start_of_directory(new)
    for one in zipfile.ZipFile(io.BytesIO(new)).infolist():
        length = _CENTRAL.size + sum(_CENTRAL.unpack_from(new, place)[10:13])
        expected, found = list(_CENTRAL.unpack_from(new, place)), list(_CENTRAL.unpack_from(old, at))
        expected[8], expected[16] = sizes[one.filename], places[one.filename]
        if found[1] & 0xFF == expected[1] & 0xFF and found[1] >> 8 in _MAKERS:
            expected[1] = found[1]
        texts = slice(_CENTRAL.size, length)
        if found != expected or old[at:][texts] != new[place:][texts]:
            yield f"the directory's entry of part {one.filename}"
            return
        at, place = at + length, place + length
    end = list(_END.unpack_from(new, place))
    end[6] = start  # where the directory begins
    if old[at:] != _END.pack(*end):
        yield "the end of the workbook's archive, or what follows it"
    elif all(sizes[one.filename] == one.compress_size for one in _members(new)):
        yield "the workbook's container, or its packing, was changed"  # another library packs to other sizes


def _members(new: bytes) -> list[zipfile.ZipInfo]:
    with zipfile.ZipFile(io.BytesIO(new)) as archive:
        return sorted(archive.infolist(), key=lambda one: one.header_offset)


def _end_of(new: bytes, one: zipfile.ZipInfo) -> int:
    names = _LOCAL.unpack_from(new, one.header_offset)[9:11]
    return one.header_offset + _LOCAL.size + int(sum(names)) + one.compress_size


def _start_of_directory(new: bytes) -> int:
    end = _END.unpack_from(new, len(new) - _END.size)
    return int(end[6])


def _same(old: bytes, new: bytes, one: zipfile.ZipInfo) -> bool:
    return old == new or (one.compress_type == _DEFLATED and same_content(old, new, wrapping=RAW))
