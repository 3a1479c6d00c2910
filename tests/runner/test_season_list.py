"""The digests of a set and the list of a season, told by the usual command and by nothing of ours."""

import hashlib
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from pypdf import PdfReader

from intake.cli.main import main
from intake.runner import grade_many
from intake.runner.season_list import SEASON_LIST, add_to_season, read_season
from intake.runner.sums import SUMS, read_sums
from tests.simple_workbook import CRACKED, FLAT, GOOD, write_workbook


@pytest.fixture
def graded(tmp_path: Path) -> Path:
    book = write_workbook(tmp_path / "pallet.xlsx", [GOOD, FLAT])
    assert 0 == main(["grade", str(book), "--out", str(tmp_path / "out"), "--quiet"])
    return tmp_path / "out"


def season_lines(out: Path) -> list[list[str]]:
    return [line.split("\t") for line in (out / SEASON_LIST).read_text(encoding="utf-8").splitlines()]


def grade_again(out: Path, rows) -> int:
    book = write_workbook(out.parent / "pallet.xlsx", rows)
    return main(["grade", str(book), "--out", str(out), "--reason", "second readings", "--quiet"])


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="the usual command is not on this system")
def test_the_usual_command_checks_a_set(graded):
    folder = graded / "T-1"
    command = ["sha256sum", "--check", "--strict", SUMS]
    assert 0 == subprocess.run(command, cwd=folder, capture_output=True, check=False).returncode

    (folder / "T-1-labels.pdf").write_bytes(b"")
    assert 1 == subprocess.run(command, cwd=folder, capture_output=True, check=False).returncode


def test_every_document_is_in_it_and_the_manifest_last(graded):
    names = list(read_sums(graded / "T-1"))
    assert sorted(entry.name for entry in (graded / "T-1").iterdir() if entry.name != SUMS) == sorted(names)
    assert "T-1-manifest.pdf" == names[-1]


def test_the_manifest_bears_the_seal_beside_the_lines_to_sign(graded):
    lines = (graded / "T-1" / SUMS).read_bytes().splitlines(keepends=True)
    seal = hashlib.sha256(b"".join(lines[:-1])).hexdigest()
    pages = [page.extract_text() for page in PdfReader(graded / "T-1" / "T-1-manifest.pdf").pages]
    (text,) = [page for page in pages if "Signature" in page]
    assert seal in text
    assert "sed '$d' SHA256SUMS | sha256sum" in " ".join(text.split())


def test_the_season_has_a_line_for_each_set(graded):
    first = hashlib.sha256((graded / "T-1" / SUMS).read_bytes()).hexdigest()
    assert [["T-1", "1", first]] == season_lines(graded)

    assert 0 == grade_again(graded, [GOOD, CRACKED])
    second = hashlib.sha256((graded / "T-1" / SUMS).read_bytes()).hexdigest()
    assert [["T-1", "1", first], ["T-1", "2", second]] == season_lines(graded)


def test_the_same_set_again_adds_no_line(graded):
    before = (graded / SEASON_LIST).read_bytes()
    book = graded.parent / "pallet.xlsx"
    assert 0 == main(["grade", str(book), "--out", str(graded), "--overwrite", "--quiet"])
    assert before == (graded / SEASON_LIST).read_bytes()


def test_a_set_that_another_run_has_replaced_adds_no_line(graded):
    before = (graded / SEASON_LIST).read_bytes()
    add_to_season(graded, "T-1", 2, "0" * 64)
    assert before == (graded / SEASON_LIST).read_bytes()


def test_a_line_cut_off_is_not_run_on_into(graded):
    listed = graded / SEASON_LIST
    listed.write_bytes(b"T-0\t1\tabc")
    assert 0 == grade_again(graded, [GOOD, CRACKED])
    assert [3, 3] == [len(line) for line in season_lines(graded)]
    assert "line 1 is not batch, revision and digest" == read_season(graded).faults[0]


def test_a_run_killed_before_it_listed_its_set_is_made_good_by_the_next(graded, monkeypatch):
    """The working folder that it left tells of it."""
    listed = (graded / SEASON_LIST).read_bytes()
    monkeypatch.setattr(grade_many, "add_to_season", lambda *_: None)
    assert 0 == grade_again(graded, [GOOD, CRACKED])
    monkeypatch.undo()
    assert listed == (graded / SEASON_LIST).read_bytes()

    left = graded / ".T-1.00ff.partial"
    left.mkdir()
    other = write_workbook(graded.parent / "other.xlsx", batch={**_BATCH, "Batch": "T-2"})
    assert 0 == main(["grade", str(other), "--out", str(graded), "--quiet"])

    assert ["1", "2", "1"] == [line[1] for line in season_lines(graded)]
    assert 0 == main(["verify", str(graded), "--workbooks", str(graded.parent), "--quiet"])


_BATCH = {
    "Batch": "T-1",
    "Site": "Test yard",
    "Received": "2026-06-05",
    "Inspector": "Bench 1",
    "Jurisdiction": "EU",
}


@pytest.mark.parametrize(
    "content", [b"", b"x", b"0" * 64 + b"  a/b\n", b"0" * 64 + b" a\n", b"0" * 64 + b"  a", b"\0" * 9]
)
def test_other_lines_in_the_digests_are_refused(tmp_path, content):
    (tmp_path / SUMS).write_bytes(content)
    with pytest.raises(ValueError, match="holds other lines"):
        read_sums(tmp_path)


def test_what_is_no_file_is_not_read(tmp_path):
    for name, read in ((SUMS, read_sums), (SEASON_LIST, read_season)):
        (tmp_path / name).mkdir()
        with pytest.raises(ValueError, match="a folder, a pipe or a device"):
            read(tmp_path)


def test_a_list_that_can_not_be_written_is_told_and_the_documents_stand(tmp_path, capsys):
    (tmp_path / "out" / SEASON_LIST).mkdir(parents=True)
    book = write_workbook(tmp_path / "pallet.xlsx", [GOOD])
    assert 4 == main(["grade", str(book), "--out", str(tmp_path / "out")])
    told = capsys.readouterr().err
    assert re.search(
        r"The documents stand in .*T-1, but .*SEASON-SHA256SUMS could not be added to: is a dir", told
    )
    assert ["SEASON-SHA256SUMS", "T-1"] == sorted(one.name for one in (tmp_path / "out").iterdir())
