"""Killed, stopped, out of room, in the way: the old documents or the new, never a mix, nothing left over."""

import itertools
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.cli.main import main
from intake.runner import grade_many as grading
from intake.runner.season_list import SEASON_LIST
from intake.runner.settings import Settings
from tests.cli.loads import fill_in
from tests.hostile.command import HANG_S, ROOT
from tests.simple_workbook import BATCH, CRACKED, FLAT, GOOD, write_workbook

Documents = dict[str, bytes]

_AT_EVENT = """
import os, signal, sys
which, at, count = int(sys.argv.pop(1)), int(sys.argv.pop(1)), 0
def watch(event, args):
    global count
    count += 1
    if count == at:
        os.kill(os.getpid(), which)
from intake.cli.main import main
sys.addaudithook(watch)
code = main()
if not at:
    print(count)
sys.stdout.flush()
os._exit(code)
"""
"""Sends itself a signal before the so-manieth file opened, folder made or module read."""


def started(*arguments: str | Path, program: tuple[str, ...] = ("-m", "intake")) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-B", *program, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        cwd=ROOT,
        start_new_session=True,
        preexec_fn=_listens_to_the_keyboard,
    )


def _listens_to_the_keyboard() -> None:
    """Undo what a background job inherits: there the keyboard's interrupt is ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def ended(process: subprocess.Popen[str]) -> tuple[int, str, str]:
    out, err = process.communicate(timeout=HANG_S)
    return process.returncode, out, err


def at_event(signal_number: int, event: int, *arguments: str | Path) -> tuple[int, str, str]:
    return ended(started(str(signal_number), str(event), *arguments, program=("-c", _AT_EVENT)))


def folders(out: Path) -> list[str]:
    """Return the folders below one, hidden ones too; the season's list is beside them."""
    return sorted(one.name for one in out.iterdir() if one.name != SEASON_LIST)


def documents(folder: Path) -> Documents:
    return {
        one.relative_to(folder).as_posix(): one.read_bytes() for one in folder.rglob("*") if one.is_file()
    }


class Bench:
    """An old and a new workbook of one batch, and the documents of each."""

    def __init__(self, folder: Path) -> None:
        self.old_book = write_workbook(folder / "old.xlsx", [GOOD, FLAT])
        self.new_book = write_workbook(
            folder / "new.xlsx", [GOOD, FLAT], batch={**BATCH, "Inspector": "Bench 2"}
        )
        self.old, self.new = (self._graded(book) for book in (self.old_book, self.new_book))
        self.out = folder / "out"
        self.target = self.out / "T-1"

    def _graded(self, book: Path) -> Documents:
        out = book.with_suffix("")
        assert 0 == main(["grade", str(book), "--out", str(out), "--quiet"])
        return documents(out / "T-1")

    def command(self, book: Path) -> tuple[str | Path, ...]:
        return "grade", book, "--out", self.out, "--overwrite"

    def put_old(self) -> None:
        assert 0 == main([*map(str, self.command(self.old_book)), "--quiet"])
        assert self.old == documents(self.target)
        assert ["T-1"] == folders(self.out)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(tmp_path_factory.mktemp("bench"))


@pytest.fixture(scope="module")
def events(bench: Bench) -> int:
    """How many events a whole run has."""
    code, out, _ = at_event(0, 0, *bench.command(bench.new_book))
    assert 0 == code
    return int(out.splitlines()[-1])


def forked(at: int, *arguments: str | Path, quiet: bool = True) -> int:
    """Grade in a child that has everything loaded and kills itself at the so-manieth event; 0: never.

    Returns the exit code, minus the signal's number if it was killed.
    """
    child = os.fork()
    if child == 0:
        try:
            seen = itertools.count(1)
            sys.addaudithook(lambda *_: os.kill(os.getpid(), signal.SIGKILL) if next(seen) == at else None)
            code = main([*map(str, arguments), *(["--quiet"] if quiet else [])])
        finally:
            os._exit(code if at else next(seen) // EVENTS_A_STEP)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


EVENTS_A_STEP = 100
"""A child can say a number up to 255: it says how many hundred events a whole run has."""


def kill_at_instants(bench: Bench, count: int) -> None:
    """Kill at seeded events; each next run has to find a whole set and clear up."""
    chance = random.Random(count)
    bench.put_old()
    events = forked(0, *bench.command(bench.new_book)) * EVENTS_A_STEP
    assert bench.new == documents(bench.target)
    found = []
    for number in range(count):
        bench.put_old()
        at = chance.randrange(1, events) if number % 2 else events - chance.randrange(events // 4)
        killed = forked(at, *bench.command(bench.new_book)) == -signal.SIGKILL
        left = documents(bench.target)
        assert left in (bench.old, bench.new), (number, at)
        found.append((killed, left == bench.new))
    bench.put_old()
    assert count // 2 <= sum(killed for killed, _ in found)
    assert any(not new for _, new in found)


def test_a_kill_at_any_instant_leaves_one_whole_set(bench: Bench) -> None:
    kill_at_instants(bench, 20)


def kill_during_a_revision(folder: Path, count: int) -> None:
    """Kill while a set of documents is moved below the one that replaces it."""
    old_book = write_workbook(folder / "old.xlsx", [GOOD, FLAT])
    new_book = write_workbook(folder / "new.xlsx", [FLAT])
    out = folder / "out"
    again = ("grade", new_book, "--out", out, "--reason", "second readings")

    def put_old() -> None:
        shutil.rmtree(out, ignore_errors=True)
        assert 0 == main(["grade", str(old_book), "--out", str(out), "--quiet"])

    put_old()
    old = documents(out / "T-1")
    events = forked(0, *again) * EVENTS_A_STEP
    new = documents(out / "T-1")
    assert {f"earlier/1/{name}" for name in old} < set(new)
    chance, found = random.Random(count), []
    for number in range(count):
        put_old()
        at = chance.randrange(1, events) if number % 2 else events - chance.randrange(events // 4)
        killed = forked(at, *again) == -signal.SIGKILL
        left = documents(out / "T-1")
        assert left in (old, new), (number, at)
        found.append((killed, left == new))
        assert forked(0, *again[:4]) in range(256)
        assert ["T-1"] == [one.name for one in out.iterdir() if one.is_dir()]
    assert count // 2 <= sum(killed for killed, _ in found)
    assert any(not whole for _, whole in found)


def test_a_kill_during_a_revision_leaves_one_whole_state(tmp_path: Path) -> None:
    kill_during_a_revision(tmp_path, 12)


@pytest.mark.long
def test_two_hundred_kills_during_a_revision_leave_one_whole_state(tmp_path: Path) -> None:
    kill_during_a_revision(tmp_path, 200)


def kill_during_a_load(folder: Path, count: int) -> None:
    """Kill while the documents of a load take the place of those without its receipt."""
    book = write_workbook(folder / "batch.xlsx", [CRACKED, {**CRACKED, "Tag": "B-9"}])
    graded, loads = folder / "graded", folder / "loads"
    assert 0 == main(["grade", str(book), "--out", str(graded), "--quiet"])
    listed = folder / "listed.xlsx"
    assert 0 == main(["load", "new", str(graded), "--out", str(listed)])
    first = fill_in(listed, folder / "first.xlsx")
    received = fill_in(listed, folder / "received.xlsx", **{"Received on": "2026-06-12"})
    again = ("load", "write", received, "--out", loads, "--overwrite")

    def put_old() -> None:
        assert 0 == main(["load", "write", str(first), "--out", str(loads), "--overwrite"])

    put_old()
    old = documents(loads / "L-1")
    events = forked(0, *again, quiet=False) * EVENTS_A_STEP
    new = documents(loads / "L-1")
    assert old != new
    chance, killed = random.Random(count), 0
    for number in range(count):
        put_old()
        at = chance.randrange(1, events) if number % 2 else events - chance.randrange(events // 4)
        killed += forked(at, *again, quiet=False) == -signal.SIGKILL
        assert documents(loads / "L-1") in (old, new), (number, at)
    assert count // 2 <= killed
    put_old()
    assert ["L-1"] == [one.name for one in loads.iterdir()]


def test_a_kill_while_a_load_is_written_leaves_one_whole_state(tmp_path: Path) -> None:
    kill_during_a_load(tmp_path, 10)


@pytest.mark.long
def test_two_hundred_kills_while_a_load_is_written_leave_one_whole_state(tmp_path: Path) -> None:
    kill_during_a_load(tmp_path, 200)


@pytest.mark.long
def test_a_kill_at_two_hundred_instants_leaves_one_whole_set(bench: Bench) -> None:
    kill_at_instants(bench, 200)


def test_a_kill_from_outside_leaves_one_whole_set(bench: Bench) -> None:
    """By the clock, wherever the process happens to be: in a library, in the system, between two files."""
    chance = random.Random(5)
    begun = time.monotonic()
    ended(started(*bench.command(bench.new_book)))
    whole_s = time.monotonic() - begun
    for number in range(4):
        bench.put_old()
        process = started(*bench.command(bench.new_book))
        time.sleep(chance.uniform(0.3, 1.0) * whole_s)
        process.kill()
        ended(process)
        assert documents(bench.target) in (bench.old, bench.new), number
    bench.put_old()


def test_an_interrupt_at_any_instant_is_told_in_one_line_and_leaves_nothing_half_written(
    bench: Bench, events: int
) -> None:
    chance = random.Random(7)
    for event in sorted(chance.sample(range(1, events), 10)):
        bench.put_old()
        code, _, err = at_event(signal.SIGINT, event, *bench.command(bench.new_book))
        assert (130, ["Stopped. Nothing half-written is left."]) == (code, err.splitlines()), event
        assert ["T-1"] == folders(bench.out)
        assert documents(bench.target) in (bench.old, bench.new)


def test_an_interrupt_of_two_workers_is_told_in_one_line(tmp_path: Path) -> None:
    for number in range(6):
        write_workbook(
            tmp_path / f"b{number}.xlsx",
            [{**GOOD, "Tag": f"B-{n}"} for n in range(200)],
            batch={**BATCH, "Batch": f"T-{number}"},
        )
    process = started("grade", tmp_path, "--out", tmp_path / "out", "--jobs", "2")
    deadline = time.monotonic() + HANG_S
    while not (tmp_path / "out").exists() and time.monotonic() < deadline:
        time.sleep(0.05)
    os.killpg(process.pid, signal.SIGINT)
    code, _, err = ended(process)
    assert (130, ["Stopped. Nothing half-written is left."]) == (code, err.splitlines())
    assert [] == list((tmp_path / "out").glob(".*"))


def test_a_kill_of_two_workers_leaves_nothing_once_any_batch_is_graded(bench: Bench, tmp_path: Path) -> None:
    """The killed batches are never graded again: whichever run comes next clears what no lock holds."""
    kept, out = tmp_path / "kept", tmp_path / "out"
    kept.mkdir()
    for number in range(4):
        write_workbook(
            kept / f"b{number}.xlsx",
            [{**GOOD, "Tag": f"B-{n}"} for n in range(150)],
            batch={**BATCH, "Batch": f"K-{number}"},
        )
    process = started("grade", kept, "--out", out, "--jobs", "2")
    deadline = time.monotonic() + HANG_S
    while len(list(out.glob(".*.partial/filling/*"))) < 2 and time.monotonic() < deadline:
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGKILL)
    ended(process)
    assert [] != list(out.glob(".*.partial"))
    assert 0 == main(["grade", str(bench.old_book), "--out", str(out), "--quiet"])
    assert [] == list(out.glob(".*"))
    assert "T-1" in folders(out)
    assert all((one / "SHA256SUMS").is_file() for one in out.iterdir() if one.is_dir())


def test_two_runs_into_one_target_leave_one_whole_set(bench: Bench) -> None:
    for number in range(3):
        bench.put_old()
        runs = [started(*bench.command(book)) for book in (bench.old_book, bench.new_book)]
        results = [ended(run) for run in runs]
        assert {0, 4} >= {code for code, _, _ in results}, (number, results)
        assert all(len(err.splitlines()) <= 1 for _, _, err in results)
        assert documents(bench.target) in (bench.old, bench.new)
        assert ["T-1"] == folders(bench.out)


def test_two_runs_into_a_new_target_leave_one_whole_set(bench: Bench, tmp_path: Path) -> None:
    out = tmp_path / "out"
    runs = [started("grade", book, "--out", out) for book in (bench.old_book, bench.new_book)]
    results = [ended(run) for run in runs]
    assert [0, 4] == sorted(code for code, _, _ in results), results
    assert [0, 1] == sorted(len(err.splitlines()) for _, _, err in results)
    assert documents(out / "T-1") in (bench.old, bench.new)
    assert ["T-1"] == folders(out)


def test_no_room_for_a_document_gives_code_4_in_one_line(bench: Bench) -> None:
    """A limit on the size of a file stands in for a disk that fills up in the middle of one."""
    bench.put_old()
    limited = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (9000, 9000)); "
    run = "from intake.cli.main import main; raise SystemExit(main())"
    code, _, err = ended(started(*bench.command(bench.new_book), program=("-c", limited + run)))
    assert (4, 1) == (code, len(err.splitlines()))
    assert "could not be written" in err
    assert bench.old == documents(bench.target)
    assert ["T-1"] == folders(bench.out)


def mounted(folder: Path, options: str) -> Iterator[Path]:
    """Put a small file system of its own at a folder for as long as a test takes."""
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder]
    if subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("only a person who may mount a file system can have a small or a closed one")
    yield folder
    subprocess.run(["umount", folder], check=True)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    yield from mounted(tmp_path / "small", "size=40k")


@pytest.fixture
def closed_disk(tmp_path: Path) -> Iterator[Path]:
    yield from mounted(tmp_path / "closed", "ro")


def test_a_full_disk_gives_code_4_in_one_line(bench: Bench, small_disk: Path) -> None:
    code, _, err = ended(started("grade", bench.new_book, "--out", small_disk / "out"))
    assert (4, 1) == (code, len(err.splitlines()))
    assert "no space left" in err
    assert [] == [one for one in small_disk.rglob("*") if one.is_file() or one.name.startswith(".")]


@pytest.mark.parametrize(("command", "option"), [("grade", "--out"), ("check", "--marked")])
def test_a_target_that_may_not_be_written_gives_code_4_in_one_line(
    bench: Bench, closed_disk: Path, command: str, option: str
) -> None:
    code, _, err = ended(started(command, bench.new_book, option, closed_disk / "out"))
    assert (4, 1) == (code, len(err.splitlines()))
    assert "read-only file system" in err
    assert [] == list(closed_disk.iterdir())


def test_an_input_that_vanishes_between_two_looks_is_rejected_and_the_other_graded(
    bench: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    stays = write_workbook(tmp_path / "a.xlsx", batch={**BATCH, "Batch": "T-A"})
    goes = write_workbook(tmp_path / "b.xlsx", batch={**BATCH, "Batch": "T-B"})
    read = grading.read_safely

    def late(path: Path, settings: Settings) -> object:
        goes.unlink(missing_ok=True)
        return read(path, settings)

    monkeypatch.setattr(grading, "read_safely", late)
    assert 3 == main(["grade", str(stays), str(goes), "--out", str(tmp_path / "out")])
    assert "There is no such file." in capsys.readouterr().out
    assert ["T-A"] == folders(tmp_path / "out")
