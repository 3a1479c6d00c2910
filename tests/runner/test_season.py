"""A season of pallets: killed twice on the way, started again, verified, and ten changed bytes found."""

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.architecture.source import ROOT
from tests.benchmarks.pallets import write_pallet

SEED = 20261125
HANG_S = 4 * 3600


def started(printed: Path, *arguments: str | Path) -> subprocess.Popen[str]:
    """Start a run whose words go to a file: a pipe that nobody empties would stop it."""
    with printed.open("w", encoding="utf-8") as words:
        return subprocess.Popen(
            [sys.executable, "-m", "intake", *map(str, arguments)],
            stdout=words,
            stderr=subprocess.STDOUT,
            text=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )


def finished(printed: Path, *arguments: str | Path) -> tuple[int, str]:
    code = started(printed, *arguments).wait(timeout=HANG_S)
    return code, printed.read_text(encoding="utf-8")


def killed_when_written(process: subprocess.Popen[str], out: Path, count: int) -> None:
    """Kill a run once so many batches stand."""
    while process.poll() is None and len(batches(out)) < count:
        time.sleep(0.1)
    process.kill()
    process.wait()


def batches(out: Path) -> list[Path]:
    return sorted(entry for entry in out.glob("[!.]*") if entry.is_dir())


@pytest.mark.parametrize(
    ("workbooks", "batteries"), [pytest.param(12, 5), pytest.param(1000, 12, marks=pytest.mark.long)]
)
def test_a_run_killed_twice_finishes_and_verify_names_just_the_files_that_were_changed(
    tmp_path, workbooks, batteries
):
    pallets, out, words = (tmp_path / name for name in ("pallets", "graded", "printed.txt"))
    pallets.mkdir()
    for number in range(workbooks):
        write_pallet(pallets / f"{number:04}.xlsx", batteries=batteries, batch=f"P-{number:04}")
    run = ("grade", pallets, "--out", out, "--jobs", "2")

    for share in (0.25, 0.6):
        killed_when_written(started(words, *run), out, round(workbooks * share))
        assert round(workbooks * share) <= len(batches(out)) < workbooks
    before = {
        folder.name: (folder / f"{folder.name}-manifest.pdf").stat().st_mtime_ns for folder in batches(out)
    }
    code, printed = finished(words, *run)

    assert 0 == code, printed[-2000:]
    assert [f"P-{number:04}" for number in range(workbooks)] == [folder.name for folder in batches(out)]
    assert [] == [entry.name for entry in out.iterdir() if entry.name.startswith(".")]
    assert len(before) * 2 == printed.count("graded already")  # a line each, and a row each of the table
    for name, stamp in before.items():
        assert stamp == (out / name / f"{name}-manifest.pdf").stat().st_mtime_ns

    verify = ("verify", out, "--workbooks", pallets, "--jobs", "2")
    code, printed = finished(words, *verify)
    assert 0 == code, printed[-2000:]
    assert workbooks * 7 + 1 == printed.count(" stands\n")

    chance = random.Random(SEED)
    changed = chance.sample([file for folder in batches(out) for file in sorted(folder.iterdir())], 10)
    for file in changed:
        content = bytearray(file.read_bytes())
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        file.write_bytes(content)
    code, printed = finished(words, *verify, "--quiet")

    assert 5 == code
    named = {line.split()[0] for line in printed.splitlines() if line.startswith("  ") and " differs" in line}
    assert {file.name for file in changed} == named
