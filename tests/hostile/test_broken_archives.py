"""Two hundred damaged copies of honest workbooks: an answer or a plain refusal, and never a wrong battery.

Every other copy is cut short, the rest have some bits turned over. A copy that still reads (a bit of a date
stamp, say) has to read as the whole workbook does: the check sums of an archive see to that.
"""

import random
import socket
from pathlib import Path

import pytest

from intake.cli.main import main
from intake.model.raw_workbook import RawSheet, WorkbookRefused
from intake.workbook.reading.read_workbook import read_workbook
from tests.example_workbooks import EXAMPLES
from tests.hostile.workbooks import filled
from tests.simple_workbook import GOOD
from tests.workbook.archives import pack, save

COPIES = 200


def sources() -> list[bytes]:
    example = EXAMPLES / "storm_damaged_16" / "storm_damaged_16.xlsx"
    return [pack(filled()), example.read_bytes()]


def damaged(whole: bytes, number: int) -> bytes:
    chance = random.Random(number)
    if number % 2:
        return whole[: chance.randrange(1, len(whole))]
    content = bytearray(whole)
    for _ in range(chance.choice((1, 1, 2, 8, 64))):
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    return bytes(content)


def read(path: Path) -> tuple[RawSheet, ...] | str:
    """Return the sheets, or the sentence that refuses the file."""
    try:
        return read_workbook(path).sheets
    except WorkbookRefused as refusal:
        return str(refusal)


@pytest.mark.parametrize("part", range(4))
def test_damage_is_refused_or_harmless(
    part: int, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(socket, "socket", None)
    wholes = sources()
    expected = [read(save(tmp_path, whole)) for whole in wholes]
    refused = 0
    for number in range(part, COPIES, 4):
        source = number // 4 % len(wholes)
        path = save(tmp_path, damaged(wholes[source], number))
        found = read(path)
        if not isinstance(found, str):
            assert expected[source] == found, number
            continue
        refused += 1
        assert (".", 1) == (found[-1], len(found.splitlines()))
        code = main(["check", str(path)])
        printed = capsys.readouterr()
        assert (3, "", 3) == (code, printed.err, len(printed.out.splitlines()))
        assert "defect" not in printed.out
    assert COPIES // 4 * 0.6 < refused
    assert ["batch.xlsx"] == [one.name for one in tmp_path.iterdir()]


@pytest.mark.parametrize("way", ["written over from its start", "written over from its end"])
def test_a_workbook_that_changes_while_it_is_read_is_one_of_the_two_or_refused(
    way: str, tmp_path: Path
) -> None:
    """What is read may be the beginning of one version and the end of the other."""
    old = pack(filled([{**GOOD, "Tag": "B-1"}, {**GOOD, "Tag": "B-2"}]))
    new = pack(filled([{**GOOD, "Tag": "B-1"}, {**GOOD, "Tag": "B-2", "Rest voltage (V)": 11.11}]))
    if way == "written over from its end":
        old, new = new, old
    known = [read(save(tmp_path, one)) for one in (old, new)]
    assert known[0] != known[1]
    seen = set()
    for place in range(0, max(len(old), len(new)) + 1, 3):
        found = read(save(tmp_path, new[:place] + old[place:]))
        assert isinstance(found, str) or found in known, place
        seen.add("refused" if isinstance(found, str) else known.index(found))
    assert {"refused", 0, 1} == seen
