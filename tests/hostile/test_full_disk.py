"""Room that runs out at any stage of any command: code 4, one sentence, the old documents, nothing left over.

A limit on the size of a file stands in for a disk that is full: the first document that grows beyond it
cannot be written on.
"""

import os
import resource
import shutil
import sys
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.cli.loads import fill_in
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD, write_workbook

PERIOD = ["--from", "2026-06-01", "--to", "2026-06-30"]


@pytest.fixture(scope="module")
def yard_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("yard")
    book = write_workbook(root / "old.xlsx", [GOOD, FLAT, CRACKED])
    write_workbook(root / "new.xlsx", [GOOD, FLAT, CRACKED], batch={**BATCH, "Inspector": "Bench 2"})
    write_workbook(root / "other.xlsx", [GOOD, FLAT, CRACKED, BAD_ROW], batch={**BATCH, "Batch": "T-2"})
    (root / "in").mkdir()
    shutil.copy(root / "other.xlsx", root / "in")
    out = str(root / "out")
    assert 0 == main(["grade", str(book), "--out", out, "--quiet"])
    assert 0 == main(["load", "new", out, "--out", str(root / "listed.xlsx")])
    fill_in(root / "listed.xlsx", root / "load.xlsx")
    return root


@pytest.fixture
def yard(yard_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(yard_once, tmp_path / "yard"))


COMMANDS: dict[str, list[str]] = {
    "grade": ["grade", "other.xlsx", "--out", "out"],
    "grade again": ["grade", "new.xlsx", "--out", "out", "--overwrite"],
    "check": ["check", "other.xlsx", "--marked", "marked"],
    "plan": ["plan", "old.xlsx", "--stations", "2", "--out", "plans"],
    "load new": ["load", "new", "out", "--out", "second.xlsx"],
    "load write": ["load", "write", "load.xlsx", "--out", "out"],
    "summarise": ["summarise", "out", *PERIOD],
    "new": ["new", "blank.xlsx"],
    "pen form": ["new", "--pen", "form.pdf"],
    "set up": ["watch", "--set-up", "inbox", "--out", "papers"],
    "watch": ["watch", "in", "--out", "papers", "--once", "--moment", "0.1"],
}
LIMITS = (0, 1, 100, 1_000, 3_000, 6_000, 9_000, 12_000, 20_000, 40_000, 10_000_000)


def limited(yard: Path, command: list[str], most_bytes: int) -> tuple[int, str]:
    """Run a command in a child that can write no longer file; return its code and what it printed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        code = 99
        try:
            os.chdir(yard)
            os.dup2(writing, 1)
            os.dup2(writing, 2)
            sys.stdout, sys.stderr = (os.fdopen(number, "w", encoding="utf-8") for number in (1, 2))
            sys.dont_write_bytecode = True  # a module cut short by the limit would be loaded by later tests
            resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
            code = int(main(command))
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as printed:
        text = printed.read()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), text


def files(folder: Path) -> dict[str, bytes]:
    return {
        one.relative_to(folder).as_posix(): one.read_bytes() for one in folder.rglob("*") if one.is_file()
    }


@pytest.mark.parametrize("name", COMMANDS)
def test_whatever_does_not_fit_is_told_and_leaves_all_as_it_was(yard: Path, name: str) -> None:
    before, kept = files(yard), Path(shutil.copytree(yard, yard.with_name("kept")))
    codes = []
    for most_bytes in LIMITS:
        shutil.rmtree(yard)
        shutil.copytree(kept, yard)
        code, printed = limited(yard, COMMANDS[name], most_bytes)
        codes.append(code)
        assert code in (0, 1, 4), (most_bytes, printed)
        assert "defect" not in printed, (most_bytes, printed)
        if code != 4:
            continue
        told = [line for line in printed.splitlines() if "file too large" in line]
        assert 1 == len(told), (most_bytes, printed)
        left = {one: content for one, content in files(yard).items() if one not in before}
        logs = {one for one in left if one.endswith((".log", ".jsonl")) or one.startswith("inbox/")}
        assert set(left) == logs, (most_bytes, set(left))
        assert before == {one: content for one, content in files(yard).items() if one in before}
        assert [] == list(yard.rglob(".*.partial")), most_bytes
    assert 4 == codes[0]
    assert codes[-1] in (0, 1)
