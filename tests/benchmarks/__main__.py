"""Compares `intake` with the bare libraries, sizes with one another, and one process with two, in one run.

``python -m tests.benchmarks [--runs 5] [--sizes 48,480,4800] [--workbooks 200]`` prints the tables of the
guide. Nothing here passes or fails: figures of one machine and one hour, to be read beside each other.
"""

import argparse
import json
import math
import os
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import NamedTuple

from tests.benchmarks.amounts import amounts_of
from tests.benchmarks.pallets import write_pallet

FLOOR = Path(__file__).with_name("floor.py")


class Cost(NamedTuple):
    """What one process took."""

    seconds: float
    """On the clock."""
    processor_s: float
    """Of the processor: what a busy machine does not change much."""
    peak_mb: float


def cost(*command: str | Path) -> Cost:
    """Run a Python process to its end; what was compiled is kept, as it is where the command is installed."""
    start = time.perf_counter()
    with open(os.devnull, "wb") as nowhere:
        process = os.posix_spawn(
            sys.executable,
            [sys.executable, *map(str, command)],
            {**os.environ, "PYTHONPATH": str(FLOOR.parents[2]), "PYTHONDONTWRITEBYTECODE": ""},
            file_actions=[(os.POSIX_SPAWN_DUP2, nowhere.fileno(), 1)],
        )
        _, status, usage = os.wait4(process, 0)
    if os.waitstatus_to_exitcode(status) not in (0, 1):
        raise SystemExit(f"{command} ended with {status}")
    return Cost(time.perf_counter() - start, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def grade(workbook: Path, out: Path, *options: str) -> Cost:
    """Grade a workbook or a folder of them."""
    return cost("-m", "intake", "grade", workbook, "--out", out, "--overwrite", *options)


def against_the_floor(folder: Path, runs: int) -> None:
    """Print the whole process against the floor, in turns, for the 48-battery example."""
    book = write_pallet(folder / "one.xlsx", batteries=48, batch="ONE")
    grade(book, folder / "out")
    amounts = folder / "amounts.json"
    amounts.write_text(json.dumps(amounts_of(folder / "out" / "ONE", batteries=48)))
    (folder / "floor").mkdir()
    ours, floor, check = [], [], []
    for run in range(runs):
        ours.append(grade(book, folder / f"out-{run}").processor_s)
        floor.append(cost(FLOOR, book, amounts, folder / "floor").processor_s)
        check.append(cost("-m", "intake", "check", book).processor_s)
    print(f"\n| 48 batteries, processor time, {runs} runs in turns | median | least |\n|---|---|---|")
    for name, figures in (("intake grade", ours), ("the floor", floor), ("intake check", check)):
        print(f"| {name} | {median(figures):.2f} s | {min(figures):.2f} s |")
    print(f"\nRatio of medians {median(ours) / median(floor):.2f}, of least {min(ours) / min(floor):.2f}.")


def against_size(folder: Path, sizes: list[int]) -> None:
    """Print time and memory a battery for growing workbooks."""
    print("\n| batteries in one workbook | processor time | each | peak memory | exponent |")
    print("|---|---|---|---|---|")
    before: tuple[int, float] | None = None
    for size in sizes:
        book = write_pallet(folder / f"{size}.xlsx", batteries=size, batch=f"N{size}")
        _, seconds, peak_mb = grade(book, folder / "sizes")
        exponent = math.log(seconds / before[1]) / math.log(size / before[0]) if before else math.nan
        before = size, seconds
        each = f"{1000 * seconds / size:.1f} ms"
        print(f"| {size:,} | {seconds:.1f} s | {each} | {peak_mb:.0f} MB | {exponent:.2f} |", flush=True)


def against_jobs(folder: Path, workbooks: int) -> None:
    """Print one process against two over a folder of workbooks."""
    pallets = folder / "pallets"
    pallets.mkdir()
    for number in range(workbooks):
        write_pallet(pallets / f"{number:04}.xlsx", batteries=48, batch=f"P-{number:04}")
    one, two = (grade(pallets, folder / f"jobs-{jobs}", "--jobs", str(jobs)).seconds for jobs in (1, 2))
    times = f"{one:.0f} s on one process, {two:.0f} s on two"
    print(f"\n{workbooks} workbooks of 48: {times}, {one / two:.2f} times as fast.")


def main() -> None:
    """Print all tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--sizes", default="48,480,4800")
    parser.add_argument("--workbooks", type=int, default=200)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        if options.runs:
            against_the_floor(folder, options.runs)
        if options.sizes:
            against_size(folder, [int(size) for size in options.sizes.split(",")])
        if options.workbooks:
            against_jobs(folder, options.workbooks)


if __name__ == "__main__":
    main()
