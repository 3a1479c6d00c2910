"""Two machines with one folder of documents: whole sets, whatever their process numbers and names are."""

import subprocess
import sys
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.hostile.command import HANG_S, ROOT
from tests.simple_workbook import BATCH, FLAT, GOOD, write_workbook

ROUNDS = 5
LONG_ROUNDS = 20


def of_its_own(name: str) -> list[str]:
    """Return the command that starts another in process numbers, and under a machine name, of its own."""
    named = f'hostname {name}; exec "$@"' if name else 'exec "$@"'
    spaces = ["--pid", "--fork", "--kill-child", *(["--uts"] if name else [])]
    return ["unshare", *spaces, "sh", "-c", named, "sh"]


@pytest.fixture(scope="module", autouse=True)
def _namespaces() -> None:
    tried = subprocess.run([*of_its_own("one"), "true"], capture_output=True, check=False)
    if tried.returncode:
        pytest.skip("only a person who may make namespaces can have two machines on one")


def written(folder: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in folder.iterdir()}


def rounds(folder: Path, machines: tuple[str, str], count: int) -> None:
    books = [
        write_workbook(folder / "one.xlsx", [GOOD, FLAT]),
        write_workbook(folder / "two.xlsx", [GOOD, FLAT], batch={**BATCH, "Inspector": "Bench 2"}),
    ]
    sets = []
    for book in books:
        assert 0 == main(["grade", str(book), "--out", str(folder / book.stem), "--quiet"])
        sets.append(written(folder / book.stem / "T-1"))
    out = folder / "out"
    for number in range(count):
        runs = [
            subprocess.Popen(
                [
                    *of_its_own(machine),
                    sys.executable,
                    "-Bm",
                    "intake",
                    "grade",
                    str(book),
                    "--out",
                    str(out),
                    "--overwrite",
                    "--quiet",
                ],
                cwd=ROOT,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                encoding="utf-8",
            )
            for machine, book in zip(machines, books, strict=True)
        ]
        told = [run.communicate(timeout=HANG_S)[0] for run in runs]
        codes = sorted(run.returncode for run in runs)
        assert codes in ([0, 0], [0, 4]), (number, told)
        assert (4 in codes) == any("by another run meanwhile" in one for one in told), (number, told)
        assert written(out / "T-1") in sets, number
        assert ["T-1"] == [one.name for one in out.iterdir() if one.is_dir()], number


def test_equal_process_numbers_under_one_name(tmp_path: Path) -> None:
    rounds(tmp_path, ("", ""), ROUNDS)


def test_equal_process_numbers_under_two_names(tmp_path: Path) -> None:
    rounds(tmp_path, ("one", "two"), ROUNDS)


@pytest.mark.long
@pytest.mark.parametrize("machines", [("", ""), ("one", "two")])
def test_twenty_rounds(tmp_path: Path, machines: tuple[str, str]) -> None:
    rounds(tmp_path, machines, LONG_ROUNDS)
