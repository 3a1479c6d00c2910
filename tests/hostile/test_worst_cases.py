"""At the limits: what is read stays under 400 MB, what is refused under 200 MB and in one sentence."""

import pytest

from tests.hostile.command import run
from tests.hostile.worst_cases import READ, REFUSED, written

ANY_MB_MOST, REFUSED_MB_MOST = 400, 200
QUICK = ("a declared size of the whole sheet", "2,990 parts")
SLOW = tuple(name for name in READ if name not in QUICK)
WORDS = {
    "33 MiB": "The file is 33.0 MiB",
    "32 MiB of noise": "damaged",
    "20,000 parts": "over 3,000 parts",
    "ratio bomb": "over 200 times its size",
    "over 12 million tags": "12.1 million tags",
    "over 150,000 styles": "A part of the workbook holds over 150,000 pieces",
    "over 700,000 pieces of text": "The table of texts holds over 700,000 pieces",
    "one text of a million pieces": "One text of the workbook holds over 10,000 pieces",
    "one row of 60 MiB": "over 8 MiB",
    "over 250,000 merges": "over 250,000 pieces beside its cells",
    "100,000 column descriptions": "over 20,000 pieces above its cells",
    "nested 100,000 deep": "nests over 200 deep",
    "a value in the last cell": "a value in row 1,048,576",
    "a value in 130,000 rows": "a value in row 130,000",
    "one long text in 9,000 cells": "over 32,000,000 characters",
}


@pytest.mark.parametrize("name", [*QUICK, *(pytest.param(one, marks=pytest.mark.long) for one in SLOW)])
def test_what_is_within_the_limits_is_read_in_little_memory(name: str, tmp_path) -> None:
    ran = run("check", written(READ[name](), tmp_path / "worst.xlsx"), "--quiet", target=tmp_path / "none")
    assert (True, "") == (ran.code in (0, 1, 3), ran.err)
    assert ran.peak_mb < ANY_MB_MOST


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_beyond_a_limit_is_refused_in_one_sentence_and_little_memory(name: str, tmp_path) -> None:
    ran = run("check", written(REFUSED[name](), tmp_path / "worst.xlsx"), target=tmp_path / "none")
    assert (3, "", 3) == (ran.code, ran.err, len(ran.lines)), ran.lines
    assert WORDS[name] in ran.lines[1]
    assert ran.peak_mb < REFUSED_MB_MOST
