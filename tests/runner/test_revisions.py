"""Grading a batch again: the same changes nothing, anything else is a revision with a reason."""

import json
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from intake.cli.main import main
from intake.model.revision import FIRST
from intake.runner.replace_folder import FolderInTheWay
from intake.runner.revisions import revision_of, standing_set
from intake.runner.season_list import read_season
from intake.runner.sums import SUMS
from tests.season import cracked, row
from tests.simple_workbook import BATCH, write_workbook

SECOND = ("--reason", "second readings")
HANG_S = 600
"""Only to end a hang; a busy machine takes its time."""
COMMAND = (sys.executable, "-m", "intake")


@pytest.fixture
def yard(tmp_path):
    """Return a folder with one workbook that is graded."""
    write(tmp_path, [row("B-1"), cracked("B-2")])
    assert 0 == grade(tmp_path)
    return tmp_path


def write(folder, batteries, **batch):
    write_workbook(folder / "A.xlsx", batteries, batch={**BATCH, "Batch": "A", **batch})


def grade(folder, *options):
    return main(["grade", str(folder / "A.xlsx"), "--out", str(folder / "graded"), "--quiet", *options])


def results(folder, *below):
    return folder.joinpath("graded", "A", *below, "A-results.json")


def read(path):
    return json.loads(path.read_text(encoding="utf-8"))


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): sha256(path.read_bytes()).hexdigest()
        for path in sorted((folder / "graded" / "A").rglob("*"))
        if path.is_file()
    }


def test_the_first_set_is_revision_1(yard):
    document = read(results(yard))
    assert (1, None, None, None, []) == tuple(
        document[key] for key in ("revision", "reason", "by", "replaces", "changes")
    )


def test_another_result_needs_a_reason_even_with_overwrite(yard, capsys):
    before = everything(yard)
    write(yard, [row("B-1"), row("B-2")])
    for options in ((), ("--overwrite",)):
        assert 4 == grade(yard, *options)
        said = capsys.readouterr().err
        assert "B-2 Case: cracked → sound" in said
        assert '--reason "second readings"' in said
    assert before == everything(yard)


def test_a_revision_keeps_the_set_before_and_says_what_changed(yard):
    before = everything(yard)
    old = results(yard).read_bytes()
    write(yard, [row("B-1"), row("B-2"), row("B-3")])
    assert 0 == grade(yard, *SECOND, "--by", "Officer 1")
    document = read(results(yard))
    assert (2, "second readings", "Officer 1", sha256(old).hexdigest()) == tuple(
        document[key] for key in ("revision", "reason", "by", "replaces")
    )
    assert [
        {"tag": "B-2", "field": "Case", "from": "cracked", "to": "sound"},
        {"tag": "B-2", "field": "grade", "from": "recycle", "to": "resale-after-charge"},
        {"tag": "B-3", "field": "battery", "from": "not in the batch", "to": "in the batch"},
    ] == [one for one in document["changes"] if one["field"] in ("Case", "grade", "battery")]
    kept = {
        name.replace("/earlier/1/", "/"): digest
        for name, digest in everything(yard).items()
        if "/earlier/1/" in name
    }
    assert before == kept


def test_the_inspector_stands_for_a_revision_without_a_name(yard):
    write(yard, [row("B-1", Note="read again"), cracked("B-2")])
    assert 0 == grade(yard, *SECOND)
    assert BATCH["Inspector"] == read(results(yard))["by"]


def test_a_battery_that_is_gone_is_a_change(yard):
    write(yard, [row("B-1")])
    assert 0 == grade(yard, *SECOND)
    assert {"tag": "B-2", "field": "battery", "from": "in the batch", "to": "not in the batch"} in read(
        results(yard)
    )["changes"]


def test_a_chain_of_revisions_keeps_each_one(yard):
    digests = [sha256(results(yard).read_bytes()).hexdigest()]
    for number in (2, 3):
        write(yard, [row("B-1", **{"Rest voltage (V)": 12.7 + number / 100}), cracked("B-2")])
        assert 0 == grade(yard, "--reason", f"reading {number}")
        digests.append(sha256(results(yard).read_bytes()).hexdigest())
    assert 3 == read(results(yard))["revision"]
    assert digests[1] == read(results(yard))["replaces"]
    assert digests[0] == read(results(yard, "earlier", "2"))["replaces"]
    assert digests[:2] == [
        sha256(results(yard, "earlier", str(number)).read_bytes()).hexdigest() for number in (1, 2)
    ]


def test_overwrite_alone_serves_a_set_whose_batteries_and_grades_stay(yard):
    write(yard, [row("B-1"), cracked("B-2")], Note="another note on the batch")
    assert 4 == grade(yard)
    assert 0 == grade(yard, "--overwrite", "--paper", "letter")
    document = read(results(yard))
    assert (1, "letter") == (document["revision"], document["run"]["paper"])
    assert not (yard / "graded" / "A" / "earlier").exists()


def test_overwrite_of_a_revision_keeps_its_place_and_the_ones_before(yard):
    write(yard, [row("B-1"), row("B-2")])
    assert 0 == grade(yard, *SECOND)
    second = read(results(yard))
    assert 0 == grade(yard, "--overwrite")
    assert second == read(results(yard))
    assert results(yard, "earlier", "1").is_file()


def test_a_reason_for_nothing_is_no_revision(yard, capsys):
    before = everything(yard)
    assert 4 == grade(yard, *SECOND)
    assert before == everything(yard)
    assert "exists already" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--reason", "--by"])
def test_a_blank_reason_or_name_is_wrong_usage(yard, option):
    with pytest.raises(SystemExit) as ended:
        grade(yard, option, "  ")
    assert 2 == ended.value.code


def test_a_set_from_before_revisions_counts_as_the_first(yard):
    document = read(results(yard))
    for key in ("revision", "reason", "by", "replaces", "changes"):
        del document[key]
    assert FIRST == revision_of(document)


def test_a_damaged_record_stands_in_the_way(yard):
    results(yard).write_text("{", encoding="utf-8")
    with pytest.raises(FolderInTheWay, match="cannot be read"):
        standing_set(yard / "graded" / "A", "A")
    assert 4 == grade(yard, "--overwrite")
    assert "{" == results(yard).read_text(encoding="utf-8")


def test_documents_that_are_protected_from_writing_are_kept_as_they_are(yard, monkeypatch):
    """An auditor may protect them; the system then refuses to open them for writing."""
    protected = {one.stat().st_ino for one in (yard / "graded" / "A").iterdir()}
    usual = Path.open

    def refuse(self, mode="r", *rest, **more):
        if "+" in mode and self.exists() and self.stat().st_ino in protected:
            raise PermissionError(13, "Permission denied", str(self))
        return usual(self, mode, *rest, **more)

    before = results(yard).read_bytes()
    write(yard, [row("B-1", **{"Rest voltage (V)": 12.5}), cracked("B-2")])
    monkeypatch.setattr(Path, "open", refuse)
    assert 0 == grade(yard, *SECOND)
    assert before == results(yard, "earlier", "1").read_bytes()


def test_two_people_grading_at_once_lose_nothing(yard):
    """Each of two runs ends as a revision of its own or refuses clearly; every set that stood is kept."""
    seen = {sha256(results(yard).read_bytes()).hexdigest()}
    for turn in range(3):
        books = []
        for side in ("left", "right"):
            book = yard / f"{side}.xlsx"
            voltage = 12.5 + turn / 100 + (0.3 if side == "left" else 0)
            batteries = [row("B-1", **{"Rest voltage (V)": voltage}), cracked("B-2")]
            write_workbook(book, batteries, batch={**BATCH, "Batch": "A"})
            books.append(book)
        runs = [
            subprocess.Popen(
                [*COMMAND, "grade", str(book), "--out", str(yard / "graded"), "--quiet", *SECOND],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            for book in books
        ]
        ended = [(run.communicate(timeout=HANG_S)[1], run.returncode) for run in runs]
        assert all(code == 0 or (code == 4 and "another run" in said) for said, code in ended), ended
        assert any(code == 0 for _, code in ended)
        seen.add(sha256(results(yard).read_bytes()).hexdigest())
    top = read(results(yard))["revision"]
    chain = [results(yard, "earlier", str(number)) for number in range(1, top)]
    digests = [sha256(path.read_bytes()).hexdigest() for path in (*chain, results(yard))]
    assert seen <= set(digests)
    assert digests[:-1] == [read(path)["replaces"] for path in (*chain[1:], results(yard))]
    sums = [sha256((path.parent / SUMS).read_bytes()).hexdigest() for path in (*chain, results(yard))]
    listed = read_season(yard / "graded")
    assert ((), sums) == (listed.faults, [line.digest for line in listed.by_batch["A"]])
