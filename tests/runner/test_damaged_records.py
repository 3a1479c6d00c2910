"""A record that stands, or is kept, and is damaged in any place: told in a sentence, never taken for ours."""

import copy
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from intake.cli.main import main
from tests.simple_workbook import CRACKED, FLAT, GOOD, write_workbook

Place = tuple[str | int, ...]
GONE = object()
"""Stands for a key that is taken out."""
VALUES = (None, True, 0, -1, 3.5, 10**300, "", "x", [], {}, [None], GONE)
OURS = ("batch", "batteries", "revision", "reason", "by", "replaces", "changes", "totals", "rule_data")


@pytest.fixture(scope="module")
def yard_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a workbook, its second readings, and the documents of both."""
    root = tmp_path_factory.mktemp("yard")
    for name, voltage in (("first", 11.9), ("second", 12.7), ("third", 12.5)):
        write_workbook(root / f"{name}.xlsx", [GOOD, {**FLAT, "Rest voltage (V)": voltage}, CRACKED])
    assert 0 == main(["grade", str(root / "first.xlsx"), "--out", str(root / "out"), "--quiet"])
    assert 0 == graded(root, "second")
    return root


@pytest.fixture
def yard(yard_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(yard_once, tmp_path / "yard"))


def graded(root: Path, name: str) -> int:
    out = str(root / "out")
    return main(["grade", str(root / f"{name}.xlsx"), "--out", out, "--reason", "second readings", "--quiet"])


def record_of(root: Path) -> Path:
    return root / "out" / "T-1" / "T-1-results.json"


def places(part: Any, place: Place = ()) -> Iterator[Place]:
    """Yield the places of a record down to the fields of its first battery and first change."""
    if place:
        yield place
    if isinstance(part, dict) and len(place) < 3:
        for key, inside in part.items():
            yield from places(inside, (*place, key))
    if isinstance(part, list) and part and len(place) == 1:
        yield from places(part[0], (*place, 0))


def damaged(document: dict[str, Any], place: Place, value: object) -> dict[str, Any]:
    """Return a copy of a record with another value in one place."""
    changed = copy.deepcopy(document)
    inside: Any = changed
    for key in place[:-1]:
        inside = inside[key]
    if value is GONE:
        del inside[place[-1]]
    else:
        inside[place[-1]] = value
    return changed


def variants(document: dict[str, Any]) -> list[tuple[Place, int]]:
    """Return places, each with some of the values; all of them where the chain itself is said."""
    found = [place for place in places(document) if place[0] in OURS]
    assert len(found) > 60
    return [
        (place, number)
        for count, place in enumerate(found)
        for number in range(len(VALUES))
        if len(place) == 1 or number in (count % len(VALUES), len(VALUES) - 1)
    ]


@pytest.mark.parametrize("part", range(2))
def test_grade_keeps_what_it_cannot_read_and_says_so(
    yard: Path, capsys: pytest.CaptureFixture[str], part: int
) -> None:
    record = record_of(yard)
    document = json.loads(record.read_bytes())
    kept = Path(shutil.copytree(yard / "out", yard / "kept"))
    codes = set()
    for place, number in variants(document)[part::7]:
        shutil.rmtree(yard / "out")
        shutil.copytree(kept, yard / "out")
        content = json.dumps(damaged(document, place, VALUES[number]))
        record.write_text(content, encoding="utf-8")
        code = graded(yard, "third")
        printed = capsys.readouterr()
        told = printed.out + printed.err
        codes.add(code)
        assert code in (0, 4), (place, VALUES[number], told)
        assert len(told.splitlines()) == (1 if code else 0), (place, VALUES[number], told)
        earlier = sorted(one.name for one in (yard / "out" / "T-1" / "earlier").iterdir())
        assert earlier == (["1"] if code else ["1", "2"]), (place, VALUES[number], told)
        if code:
            assert content == record.read_text(encoding="utf-8")
    assert {0, 4} == codes


@pytest.mark.parametrize("part", range(2))
@pytest.mark.parametrize("below", ["", "earlier/1"])
def test_verify_names_it_and_calls_it_no_defect(
    yard: Path, capsys: pytest.CaptureFixture[str], below: str, part: int
) -> None:
    record = record_of(yard).parent / below / record_of(yard).name
    document = json.loads(record.read_bytes())
    (yard / "first.xlsx").unlink()
    (yard / "third.xlsx").unlink()
    tried = [one for one in variants(document) if len(one[0]) == 1 or one[0][0] == "batteries"][part::10]
    for place, number in tried:
        changed = json.dumps(damaged(document, place, VALUES[number]))
        record.write_text(changed, encoding="utf-8")
        code = main(["verify", str(yard / "out"), "--workbooks", str(yard / "second.xlsx"), "--quiet"])
        told = capsys.readouterr()
        same = json.loads(changed) == document
        assert (5, "") == (code, told.err) or same, (place, VALUES[number], told)
        assert "T-1-results.json differs" in told.out or same
        assert "defect" not in told.out, (place, VALUES[number], told.out)
        assert "itself failed" not in told.out, (place, VALUES[number], told.out)


@pytest.mark.parametrize(("number", "missing"), [(1_000_000, 3), (1_000_001, 0), (10**300, 0)])
def test_a_record_that_names_countless_revisions_is_told_at_once(
    yard: Path, capsys: pytest.CaptureFixture[str], number: int, missing: int
) -> None:
    record = record_of(yard)
    document = {**json.loads(record.read_bytes()), "revision": number}
    record.write_text(json.dumps(document), encoding="utf-8")
    assert 5 == main(["verify", str(yard / "out"), "--workbooks", str(yard / "second.xlsx"), "--quiet"])
    told = capsys.readouterr().out.splitlines()
    assert missing == sum("the file is missing" in line for line in told), told
    assert "T-1-results.json differs" in "".join(told)
    assert len(told) < 15


@pytest.mark.parametrize("text", ["\\ud800", "a\\udfffb", "\\uD83D\\uD83D"])
def test_half_of_a_pair_that_no_file_can_hold_again_is_refused(
    yard: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    record = record_of(yard)
    content = record.read_text(encoding="utf-8").replace("second readings", text)
    record.write_text(content, encoding="utf-8")
    assert 4 == graded(yard, "third")
    assert "cannot be read, so what changed since cannot be told" in capsys.readouterr().err
