"""Whether a document on the disk is the one that would be written today, and if not, where it differs."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from intake.policy.regular_file import Unreadable, read_regular_file
from intake.runner.sums import digest_of
from intake.runner.verify.compare_archive import archive_differences
from intake.runner.verify.compare_pdf import pdf_differences

_MOST_PLACES = 5
_MIB = 1024 * 1024


class Standing(StrEnum):
    """What comparing a document came to."""

    STANDS = "stands"
    DIFFERS = "differs"
    UNCHECKED = "cannot be checked"


@dataclass(frozen=True, slots=True)
class Comparison:
    """One document and how it stands."""

    name: str
    standing: Standing
    remark: str = ""
    """Where it differs, why it cannot be checked, or on what ground it stands."""


def compare(written: Path, expected: Path) -> Comparison:
    """Compare one written document with the same document written anew.

    The bytes decide. Where they differ only by how they were packed (another compression library),
    the unpacked content decides, and the remark says so.
    """
    name = expected.name
    if _same_bytes(written, expected):
        return Comparison(name, Standing.STANDS)
    new = expected.read_bytes()
    try:
        old = read_regular_file(written, most_bytes=2 * len(new) + _MIB)
    except FileNotFoundError:
        return Comparison(name, Standing.DIFFERS, "the file is missing")
    except Unreadable as problem:
        return Comparison(name, Standing.DIFFERS, str(problem))
    except OSError as problem:
        return Comparison(name, Standing.UNCHECKED, f"it cannot be read: {problem.strerror}")
    places = list(_differences(expected.suffix, old, new))
    if places:
        more = f" and {len(places) - _MOST_PLACES} more" if len(places) > _MOST_PLACES else ""
        return Comparison(name, Standing.DIFFERS, "; ".join(places[:_MOST_PLACES]) + more)
    return Comparison(name, Standing.STANDS, "packed differently, its unpacked content is the same")


def _same_bytes(written: Path, expected: Path) -> bool:
    """Say whether two files are alike, without holding either whole."""
    try:
        same_size = written.stat().st_size == expected.stat().st_size
    except OSError:
        return False
    return same_size and digest_of(written) == digest_of(expected)


def _differences(suffix: str, old: bytes, new: bytes) -> Iterator[str]:
    """Yield the places where two documents differ in content; nothing when only the packing does."""
    if suffix == ".json":
        yield from _json_differences(old, new)
    elif suffix == ".xlsx":
        yield from archive_differences(old, new)
    elif suffix == ".pdf":
        yield from pdf_differences(old, new)
    else:
        yield "its bytes"


def _json_differences(old: bytes, new: bytes) -> Iterator[str]:
    try:
        found = list(_value_differences(json.loads(old), json.loads(new), ""))
    except (ValueError, RecursionError):
        found = ["it is no JSON file any more"]
    yield from found or ["white space, the order of keys, or a key that appears twice"]


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
