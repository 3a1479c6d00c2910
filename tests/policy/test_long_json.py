"""A long JSON file is read piece by piece: as the strict reader reads it, one entry in memory at a time."""

import json
import random
import tracemalloc
from collections.abc import Iterator
from typing import Any

import pytest

from intake.policy import strict_json
from intake.policy.long_json import read_long_json
from intake.policy.strict_json import read_strict_json
from intake.report.json.results import results_document
from tests.report.builders import mixed_result

LISTED = {"long": lambda one: one}


def pieces_of(content: bytes, size: int) -> Iterator[bytes]:
    return (content[start : start + size] for start in range(0, len(content), size))


def ending(read: Any) -> tuple[str, Any]:
    """Return what came of reading: a value, or the kind of refusal."""
    try:
        return "read", read()
    except RecursionError:
        return "nested too deeply", None
    except ValueError:
        return "refused", None


WHOLE = [
    b"{}",
    b" { } ",
    b"[]",
    b"7",
    b'"text"',
    b"null",
    b'{"long": []}',
    b'{"long": [ ]}',
    b'{"long": [1, -2.5e+9, 1E-3, "a", null, true, [2], {"b": 3}], "c": "d"}',
    b'{"a": 1.5, "b": -0, "long": {"no": "list"}, "c": 1e+9}',
    '\ufeff{"long": ["ü→\U0001f50b"],\r\n\t"z": "\\ud83d\\udd0b \\u00fc \\" \\\\"}'.encode(),
    b"12345678901234567890",
    b"-1.25e-7",
]
REFUSED = [
    b"",
    b"  ",
    b"{",
    b"}",
    b"[1,]",
    b'{"long": [1,]}',
    b'{"long": [1 2]}',
    b'{"long": [,1]}',
    b'{"long": [1',
    b'{"long": [1}',
    b'{"a": 1,}',
    b'{"a" 1}',
    b"{1: 2}",
    b'{"a": 1} {}',
    b'{"a": 1} x',
    b'{"a": 1.}',
    b'{"a": 1e+}',
    b'{"a": -}',
    b'{"a": nul}',
    b'{"a": NaN}',
    b'{"long": [Infinity]}',
    b'{"long": [1e999]}',
    b'{"a": 1, "a": 2}',
    b'{"long": [1], "long": [2]}',
    b'{"long": [{"b": 1, "b": 2}]}',
    b'{"long": ["\\ud800"]}',
    b'{"\\ud800": 1}',
    b'{"a": "\n"}',
    b'{"long": ["\xff"]}',
    b'{"a": "\xe2\x86',
    '{"a": 1}'.encode("utf-16"),
]


@pytest.mark.parametrize("size", [1, 2, 3, 7, 1000])
@pytest.mark.parametrize("content", WHOLE)
def test_wherever_a_piece_ends_the_value_is_that_of_the_strict_reader(content: bytes, size: int) -> None:
    assert read_strict_json(content) == read_long_json(pieces_of(content, size), LISTED)


@pytest.mark.parametrize("size", [1, 2, 3, 7, 1000])
@pytest.mark.parametrize("content", REFUSED)
def test_what_the_strict_reader_refuses_is_refused(content: bytes, size: int) -> None:
    with pytest.raises(ValueError, match=r"^[^\n]+$"):
        read_strict_json(content)
    with pytest.raises(ValueError, match=r"^[^\n]+$"):
        read_long_json(pieces_of(content, size), LISTED)


def test_a_record_with_anything_done_to_it_ends_as_the_strict_reader_says() -> None:
    document = results_document(mixed_result())
    document["batteries"] = document["batteries"][:3]
    chance, each = random.Random(17), {"batteries": lambda one: one, "findings": lambda one: one}
    wholes = [json.dumps(document, indent=indent).encode() for indent in (None, 1)]
    endings = []
    for _ in range(300):
        content = bytearray(chance.choice(wholes))
        place = chance.randrange(len(content))
        match chance.randrange(4):
            case 0:
                content[place] ^= 1 << chance.randrange(8)
            case 1:
                del content[place : place + chance.randrange(1, 40)]
            case 2:
                content[place:place] = chance.choice([b",", b"]", b"}", b" ", b"e9", b'"', b"\n", b"[["])
            case _:
                del content[place:]
        whole, size = bytes(content), chance.choice([5, 64, 1000, 100_000])
        endings.append(ending(lambda: read_strict_json(whole)))  # noqa: B023  # called at once
        assert endings[-1] == ending(lambda: read_long_json(pieces_of(whole, size), each))  # noqa: B023  # same
    assert 20 < sum(how == "read" for how, _ in endings) < 280


@pytest.mark.parametrize("before", [b"", b'{"a": ', b'{"long": ', b'{"long": [', b'{"long": [{"b": '])
def test_a_deep_nest_is_a_recursion_error(before: bytes) -> None:
    for nest in (b"[" * 100_000, b'{"a":' * 100_000, b"[" * 100_000 + b"]" * 100_000):
        with pytest.raises(RecursionError):
            read_long_json(pieces_of(before + nest, 1 << 18), LISTED)


@pytest.mark.parametrize("digits", [b"9", b"0.9", b"1e9"])
def test_a_number_of_a_million_digits_is_refused(digits: bytes) -> None:
    content = b'{"long": [%s%s]}' % (digits, b"9" * 1_000_000)
    with pytest.raises(ValueError, match="is not a number that can be used"):
        read_long_json(pieces_of(content, 1 << 18), LISTED)


def test_a_place_is_counted_from_the_begin_of_the_file() -> None:
    content = b'{"long": [' + b'"ab", ' * 1000 + b'"c" "d"]}'
    for size in (10, 100_000):
        with pytest.raises(ValueError, match=r"^',' or ']' was expected at character 6,015$"):
            read_long_json(pieces_of(content, size), LISTED)
    with pytest.raises(ValueError, match=r"^Expecting value at character 9$"):
        read_long_json([b'{"ab": [', b"x]}"], LISTED)


def test_a_document_of_too_many_values_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(strict_json, "VALUES_MOST", 7)
    assert {"long": [1, 2, 3, 4, 5, 6]} == read_long_json([b'{"long": [1,2,3,4,5', b",6]}"], LISTED)
    with pytest.raises(ValueError, match="million values"):
        read_long_json([b'{"long": [1,2,3,4,5,6', b",7]}"], LISTED)


def test_an_entry_is_reduced_before_the_next_is_read() -> None:
    taken: list[int] = []
    order: list[int] = []
    pieces = iter([b'{"long": [1   ', b", 2   ", b", 3, 4]}"])

    def asked_for() -> Iterator[bytes]:
        for piece in pieces:
            yield piece
            order.append(len(taken))

    assert {"long": [None] * 4} == read_long_json(asked_for(), {"long": taken.append})
    assert [1, 2, 3, 4] == taken
    assert [1, 2] == order[:2]


def peak_for(entries: int) -> int:
    """Return the most bytes that are held while so many entries are read and forgotten."""
    entry = json.dumps({f"key {number}": f"text {number}" for number in range(100)}).encode()

    def content() -> Iterator[bytes]:
        yield b'{"long": ['
        for number in range(entries):
            yield entry + (b"," if number < entries - 1 else b"]}")

    tracemalloc.start()
    try:
        assert entries == len(read_long_json(content(), {"long": lambda _: None})["long"])
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_ten_times_the_entries_take_no_more_memory() -> None:
    peak_for(10)
    few, many = peak_for(100), peak_for(1000)
    assert many < few + 1000 * 16, (few, many)
