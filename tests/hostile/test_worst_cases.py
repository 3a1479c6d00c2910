"""At the limits: what is read stays under 400 MB, what is refused under 200 MB and in one sentence."""

import pytest

from tests.hostile.command import run
from tests.hostile.worst_cases import READ, REFUSED, written

ANY_MB_MOST, REFUSED_MB_MOST = 400, 200
QUICK = ("64,000 cell styles", "a declared size of the whole sheet", "2,990 parts")
SLOW = tuple(name for name in READ if name not in QUICK)


@pytest.mark.parametrize("name", [*QUICK, *(pytest.param(one, marks=pytest.mark.long) for one in SLOW)])
def test_what_is_within_the_limits_is_read_in_little_memory(name: str, tmp_path) -> None:
    ran = run("check", written(READ[name](), tmp_path / "worst.xlsx"), "--quiet", target=tmp_path / "none")
    assert (True, "") == (ran.code in (0, 1, 3), ran.err)
    assert ran.peak_mb < ANY_MB_MOST


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_beyond_a_limit_is_refused_in_one_sentence_and_little_memory(name: str, tmp_path) -> None:
    ran = run("check", written(REFUSED[name](), tmp_path / "worst.xlsx"), target=tmp_path / "none")
    assert (3, "", 3) == (ran.code, ran.err, len(ran.lines)), ran.lines
    assert ran.lines[1].endswith(".")
    assert ran.peak_mb < REFUSED_MB_MOST
