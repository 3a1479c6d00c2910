"""No step of a batch's way to its documents asks every battery about every other one."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import mkdtemp

import pytest

from intake.cli.main import main
from tests.benchmarks.pallets import write_pallet

SIZES = (48, 96, 192)
"""Whole rounds of the example's rows, so that each further one finds the same texts measured already."""


@contextmanager
def counted() -> Iterator[list[int]]:
    """Count the calls of functions and the turns of generators meanwhile: the same on any machine."""
    calls = [0]

    def count(_: object, event: str, __: object) -> None:
        if event == "call":
            calls[0] += 1

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        yield calls
    finally:
        sys.setprofile(before)


def calls_for(folder, *, batteries: int) -> int:
    book = write_pallet(folder / f"{batteries}.xlsx", batteries=batteries, batch=f"G{batteries}")
    out = mkdtemp(dir=folder)
    with counted() as calls:
        assert 0 == main(["grade", str(book), "--out", out, "--quiet"])
    return calls[0]


@pytest.fixture(scope="module")
def calls(tmp_path_factory) -> list[int]:
    folder = tmp_path_factory.mktemp("growth")
    calls_for(folder, batteries=48)  # whatever is loaded or cached once
    return [calls_for(folder, batteries=size) for size in SIZES]


def test_calls_grow_in_proportion_to_the_batteries(calls):
    """Of calls = a + b n + c n², c follows from three sizes.

    One call for each pair of batteries would make c 1, and 48,000 batteries five times as dear as they are.
    The pages that begin one battery sooner or later leave it uncertain by some tenths.
    """
    (n, *_), (first, second, third) = SIZES, calls
    assert ((third - second) / 2 - (second - first)) / (3 * n**2) < 0.5, calls
