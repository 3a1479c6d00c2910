"""JSON as it was meant: no NaN, no infinity, no key given twice."""

import json
import math
from pathlib import Path
from typing import Any


def read_strict_json(content: bytes) -> Any:
    """Return the value that a JSON file holds.

    Raises
    ------
    ValueError
        it is no JSON, holds a number that can not be used, or gives one key twice.
    RecursionError
        it is nested too deeply.
    """
    return json.loads(
        content,
        parse_constant=_no_constant,
        parse_float=_finite,
        parse_int=_finite_integer,
        object_pairs_hook=_each_key_once,
    )


def read_json_file(path: Path) -> tuple[bytes, Any]:
    """Return the bytes of a JSON file and the value that it holds.

    Raises
    ------
    ValueError
        it can not be read or is no JSON; ``str()`` is a sentence without its point.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise ValueError(f"the file can not be read: {error.strerror or error}") from error
    try:
        return content, read_strict_json(content)
    except (ValueError, RecursionError) as error:
        raise ValueError(f"this is not a JSON file: {error}") from error


def _no_constant(text: str) -> float:
    raise ValueError(f"{text:.20} is not a number that can be used")


def _finite(text: str) -> float:
    number = float(text)
    return number if math.isfinite(number) else _no_constant(text)


def _finite_integer(text: str) -> int:
    _finite(text)
    return int(text)


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entries = dict(pairs)
    if len(entries) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in entries if keys.count(key) > 1)
        raise ValueError(f"the key {twice[:40]!r} stands twice in one place")
    return entries
