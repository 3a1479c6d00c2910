"""Whether a document on the disk is the one that would be written today, and if not, where it differs."""

import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

_PDF_STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
_PDF_PLACE = re.compile(rb"/Length \d+|\nxref\n.*\Z|/ID\s*\[.*?\]", re.DOTALL)
_MOST_PLACES = 5


class Standing(StrEnum):
    """What comparing a document came to."""

    STANDS = "stands"
    DIFFERS = "differs"
    UNCHECKED = "can not be checked"


@dataclass(frozen=True, slots=True)
class Comparison:
    """One document and how it stands."""

    name: str
    standing: Standing
    remark: str = ""
    """Where it differs, why it can not be checked, or on what ground it stands."""


def compare(written: Path, expected: Path) -> Comparison:
    """Compare one written document with the same document written anew.

    The bytes decide. Where they differ only by how they were packed (another compression library),
    the unpacked content decides, and the remark says so.
    """
    name = expected.name
    try:
        old, new = written.read_bytes(), expected.read_bytes()
    except FileNotFoundError:
        return Comparison(name, Standing.DIFFERS, "the file is missing")
    except OSError as problem:
        return Comparison(name, Standing.UNCHECKED, f"it can not be read: {problem.strerror}")
    if old == new:
        return Comparison(name, Standing.STANDS)
    places = list(_differences(written.suffix, old, new))
    if places:
        more = f" and {len(places) - _MOST_PLACES} more" if len(places) > _MOST_PLACES else ""
        return Comparison(name, Standing.DIFFERS, "; ".join(places[:_MOST_PLACES]) + more)
    return Comparison(name, Standing.STANDS, "packed differently, its unpacked content is the same")


def _differences(suffix: str, old: bytes, new: bytes) -> Iterator[str]:
    """Yield the places where two documents differ in content; nothing when only the packing does."""
    if suffix == ".json":
        yield from _json_differences(old, new)
    elif suffix == ".xlsx":
        yield from _zip_differences(old, new)
    else:
        yield from _pdf_differences(old, new)


def _json_differences(old: bytes, new: bytes) -> Iterator[str]:
    try:
        found = list(_value_differences(json.loads(old), json.loads(new), ""))
    except (ValueError, RecursionError):
        found = ["it is no JSON file any more"]
    yield from found or ["white space or the order of keys"]


def _value_differences(old: Any, new: Any, place: str) -> Iterator[str]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys((*old, *new)):
            yield from _value_differences(old.get(key), new.get(key), f"{place}/{key}")
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for number, pair in enumerate(zip(old, new, strict=True)):
            yield from _value_differences(*pair, f"{place}/{_name_of(pair[1], number)}")
    elif old != new or type(old) is not type(new):
        yield f"{place.lstrip('/')}: {_short(old)} instead of {_short(new)}"


def _name_of(entry: Any, number: int) -> str:
    return str(entry.get("tag") or number) if isinstance(entry, dict) else str(number)


def _short(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    longest = 60
    return text if len(text) <= longest else text[:longest] + "…"


def _zip_differences(old: bytes, new: bytes) -> Iterator[str]:
    try:
        old_parts, new_parts = _zip_parts(old), _zip_parts(new)
    except (zipfile.BadZipFile, zlib.error, OSError, NotImplementedError, RuntimeError, EOFError):
        yield "it is no workbook any more"
        return
    for part in dict.fromkeys((*old_parts, *new_parts)):
        if old_parts.get(part) != new_parts.get(part):
            yield f"part {part}"
    if old_parts == new_parts and not _packed_otherwise(old, new):
        yield "the workbook's container"


def _zip_parts(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _packed_otherwise(old: bytes, new: bytes) -> bool:
    """Say whether two containers of equal parts differ only by how the parts were packed."""
    with zipfile.ZipFile(io.BytesIO(old)) as one, zipfile.ZipFile(io.BytesIO(new)) as other:
        sizes = [[member.compress_size for member in archive.infolist()] for archive in (one, other)]
        frames = [
            [(member.filename, member.date_time, member.file_size) for member in archive.infolist()]
            for archive in (one, other)
        ]
    return sizes[0] != sizes[1] and frames[0] == frames[1]


def _pdf_differences(old: bytes, new: bytes) -> Iterator[str]:
    old_packed, new_packed = (_PDF_STREAM.findall(content) for content in (old, new))
    if len(old_packed) != len(new_packed):
        yield f"{len(old_packed)} streams instead of {len(new_packed)}"
        return
    streams = [
        f"stream {number} of {len(new_packed)}"
        for number, (one, other) in enumerate(zip(old_packed, new_packed, strict=True), start=1)
        if _unpacked(one) != _unpacked(other)
    ]
    if _pdf_frame(old) != _pdf_frame(new):
        yield "the document's frame"
    elif not streams and list(map(len, old_packed)) == list(map(len, new_packed)):
        # another library would pack to other lengths
        yield "bytes between its pages or pictures, or their packing, were changed"
    yield from streams


def _pdf_frame(content: bytes) -> bytes:
    """Return everything outside the streams that does not depend on how they are packed."""
    return _PDF_PLACE.sub(b"", _PDF_STREAM.sub(b"stream", content))


def _unpacked(stream: bytes) -> bytes:
    """Return what a stream holds; the line's end that may follow its packed bytes is no part of it."""
    opener = zlib.decompressobj()
    try:
        content = opener.decompress(stream)
    except zlib.error:
        return stream
    return content if opener.eof and not opener.unused_data.strip() else stream
