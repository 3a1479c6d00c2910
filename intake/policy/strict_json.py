"""JSON as it was meant: UTF-8, no NaN, no infinity, no key given twice; of a size that memory can hold."""

import json
import math
import re
import sys
from pathlib import Path
from typing import Any

from intake.policy.regular_file import Unreadable, read_regular_file

_FILE_BYTES_MOST = 4 * 1024 * 1024
"""A policy or the rule data of a jurisdiction: the shipped ones have 100 kB at most."""
VALUES_MOST = 8_000_000
"""Values of one document, each some 100 bytes in memory; a batch of 48,000 batteries has 6 million."""
_HALF_A_PAIR = re.compile(r"\\u[dD][89a-fA-F]")
_NUMBER_LONGEST = 400
"""Characters of one number; the longest that can be used has 309 before its point."""


def read_strict_json(content: bytes) -> Any:
    """Return the value that a JSON file holds.

    Raises
    ------
    ValueError
        it is no JSON in UTF-8, holds a number that cannot be used or far too many values, or gives one
        key twice.
    RecursionError
        it is nested too deeply.
    """
    refuse_too_many(values_in(content))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise ValueError("it is not in UTF-8") from problem
    value = STRICT.decode(text)
    refuse_half_a_pair(value, text)
    return value


def read_json_file(path: Path) -> tuple[bytes, Any]:
    """Return the bytes of a JSON file and the value that it holds.

    Raises
    ------
    ValueError
        it cannot be read or is no JSON; ``str()`` is a sentence without its point.
    """
    try:
        content = read_regular_file(path, most_bytes=_FILE_BYTES_MOST)
    except Unreadable as problem:
        raise ValueError(f"the file cannot be read: {problem}") from problem
    except OSError as error:
        raise ValueError(f"the file cannot be read: {error.strerror or error}") from error
    try:
        return content, read_strict_json(content)
    except RecursionError as error:
        raise ValueError("this is not a JSON file: it is nested too deeply") from error
    except ValueError as error:
        raise ValueError(f"this is not a JSON file: {error}") from error


def values_in(content: bytes) -> int:
    """Return how many values some JSON may hold: never fewer than it does."""
    return content.count(b",") + content.count(b"[") + content.count(b"{")


def refuse_too_many(values: int) -> None:
    """Refuse so many values that memory might not hold them.

    Raises
    ------
    ValueError
        There are more than are read.
    """
    if values > VALUES_MOST:
        raise ValueError(f"it holds over {VALUES_MOST / 1e6:.0f} million values")


def refuse_half_a_pair(value: Any, text: str, first: int = 0, end: int = sys.maxsize) -> None:
    """Refuse a value with a text that no file can hold again; it was read from this part of a text.

    Raises
    ------
    ValueError
        It holds one.
    """
    if not _HALF_A_PAIR.search(text, first, end):
        return
    try:
        json.dumps(value, ensure_ascii=False).encode()
    except UnicodeEncodeError as problem:
        raise ValueError("it holds half of a surrogate pair") from problem


def _no_constant(text: str) -> float:
    raise ValueError(f"{text:.20} is not a number that can be used")


def _finite(text: str) -> float:
    number = math.inf if len(text) > _NUMBER_LONGEST else float(text)
    return number if math.isfinite(number) else _no_constant(text)


def _finite_integer(text: str) -> int:
    _finite(text)
    return int(text)


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entries: dict[str, Any] = {}
    for key, value in pairs:
        if key in entries:
            raise ValueError(f"the key {key[:40]!r} appears twice in one place")
        entries[key] = value
    return entries


STRICT = json.JSONDecoder(
    parse_constant=_no_constant,
    parse_float=_finite,
    parse_int=_finite_integer,
    object_pairs_hook=_each_key_once,
)
"""Reads JSON as it was meant."""
