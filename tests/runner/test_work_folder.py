"""A working folder belongs to the holder of its lock; a killed run's is cleared, no user's file with it."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from intake.runner import file_lock
from intake.runner import work_folder as module
from intake.runner.file_lock import Lock, take_lock, wait_for_lock
from intake.runner.work_folder import clear_leftovers, work_folder

DOCUMENTS = ("b-results.json",)


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def leftover(parent: Path, *, host: str | None = None, locked: bool = True, age_s: float = 0) -> Path:
    """Return a working folder as a killed run leaves it, with half a set in it."""
    folder = parent / ".b.00ff00ff00ff00ff.partial"
    (folder / "filling").mkdir(parents=True)
    (folder / "filling" / "b-results.json").write_text("half", encoding="utf-8")
    record = [module._host() if host is None else host, locked, *DOCUMENTS]
    (folder / "owner").write_text(json.dumps(record), encoding="utf-8")
    then = time.time() - age_s
    os.utime(folder, (then, then))
    return folder


DAY_S = 24 * 3600


@pytest.mark.parametrize(
    ("host", "locked", "age_s", "left"),
    [
        (None, True, 0, 0),
        ("another machine", True, 0, 1),
        ("another machine", True, DAY_S - 60, 1),
        ("another machine", True, DAY_S + 60, 0),
        (None, False, 0, 1),
        (None, False, DAY_S - 60, 1),
        (None, False, DAY_S + 60, 0),
    ],
)
def test_what_no_lock_holds_is_cleared_at_once_here_and_else_when_old(tmp_path, host, locked, age_s, left):
    leftover(tmp_path, host=host, locked=locked, age_s=age_s)

    clear_leftovers(tmp_path)

    assert left == len(names(tmp_path))


@pytest.mark.parametrize("age_s", [0, 30 * DAY_S])
def test_what_a_lock_holds_is_never_cleared(tmp_path, age_s):
    folder = leftover(tmp_path, age_s=age_s)
    with (folder / "owner").open("rb+") as file:
        assert Lock.TAKEN is take_lock(file)
        clear_leftovers(tmp_path)

        assert ["b-results.json"] == names(folder / "filling")


@pytest.mark.parametrize(("age_s", "left"), [(DAY_S - 60, 1), (DAY_S + 60, 0)])
def test_where_there_are_no_locks_the_age_decides(tmp_path, monkeypatch, age_s, left):
    def no_locks(file, *, wait: bool) -> None:
        raise OSError(37, "No locks available")

    leftover(tmp_path, age_s=age_s)
    monkeypatch.setattr(file_lock, "_lock", no_locks)

    clear_leftovers(tmp_path)

    assert left == len(names(tmp_path))
    with work_folder(tmp_path / "c", DOCUMENTS) as work:
        assert json.loads((work.path / "owner").read_bytes())[1] is False


@pytest.mark.parametrize("signed", [True, False])
def test_a_folder_in_which_nothing_was_begun_goes_at_once(tmp_path, signed):
    folder = tmp_path / ".b.00ff.partial"
    folder.mkdir()
    if signed:
        (folder / "owner").write_bytes(b"")

    clear_leftovers(tmp_path)

    assert [] == names(tmp_path)


@pytest.mark.parametrize("when", ["before it is signed", "while it is signed"])
def test_a_run_whose_new_folder_was_just_cleared_makes_another(tmp_path, monkeypatch, when):
    take, cleared = module.take_lock, []

    def late(file) -> Lock:
        if cleared:
            return take(file)
        cleared.append(file)
        if when == "before it is signed":
            clear_leftovers(tmp_path)
            return take(file)
        return Lock.HELD_ELSEWHERE

    monkeypatch.setattr(module, "take_lock", late)
    with work_folder(tmp_path / "b", DOCUMENTS) as work:
        assert ["filling", "owner"] == names(work.path)
        clear_leftovers(tmp_path)
        assert [work.path.name] == names(tmp_path)
    assert [] == names(tmp_path)


@pytest.mark.parametrize(("times", "made"), [(1, True), (4, True), (5, False)])
def test_a_new_folder_that_is_cleared_before_it_has_an_owner_is_made_again(
    tmp_path, monkeypatch, times, made
):
    """Another run that clears up takes a folder with nothing in it for one in which nothing was begun."""
    make, cleared = Path.mkdir, []

    def cleared_at_once(folder: Path, *rest: int) -> None:
        make(folder, *rest)
        if folder.suffix == ".partial" and len(cleared) < times:
            cleared.append(folder)
            clear_leftovers(tmp_path)

    monkeypatch.setattr(Path, "mkdir", cleared_at_once)
    if made:
        with work_folder(tmp_path / "b", DOCUMENTS) as work:
            assert ["filling", "owner"] == names(work.path)
    else:
        with pytest.raises(FileNotFoundError), work_folder(tmp_path / "b", DOCUMENTS):
            pass
    assert len(cleared) == times
    assert [] == names(tmp_path)


@pytest.mark.parametrize("record", [b"", b"{", b"[]", b"7", b"[" * 9999])
def test_without_a_record_of_its_owner_nothing_is_removed(tmp_path, record):
    """What is in it may be a user's: it cannot be told."""
    folder = leftover(tmp_path, age_s=2 * DAY_S)
    (folder / "owner").write_bytes(record)

    clear_leftovers(tmp_path)

    assert ["b-results.json"] == names(folder / "filling")


def test_other_hidden_folders_files_and_links_are_left_alone(tmp_path):
    (tmp_path / ".git").mkdir()
    (tmp_path / ".b.00.partial").write_text("a file", encoding="utf-8")
    leftover(tmp_path / "elsewhere", age_s=2 * DAY_S)
    (tmp_path / ".c.00.partial").symlink_to(tmp_path / "elsewhere" / ".b.00ff00ff00ff00ff.partial")

    clear_leftovers(tmp_path)

    assert [".b.00.partial", ".c.00.partial", ".git", "elsewhere"] == names(tmp_path)
    assert [".b.00ff00ff00ff00ff.partial"] == names(tmp_path / "elsewhere")


def test_a_folder_that_is_not_there_has_no_leftovers(tmp_path):
    clear_leftovers(tmp_path / "none")

    assert [] == names(tmp_path)


def killed_after_exchange(parent: Path) -> Path:
    """Return what a run leaves that was killed before it handed a user's files back."""
    folder = leftover(parent)
    (folder / "filling").rename(folder / "whole")
    for name in ("photo.jpg", "b-notes.txt", ".DS_Store"):
        (folder / "whole" / name).write_text(f"mine: {name}", encoding="utf-8")
    (parent / "b").mkdir()
    (parent / "b" / "b-results.json").write_text("new", encoding="utf-8")
    return folder


def test_a_users_files_come_back_from_a_killed_run(tmp_path):
    killed_after_exchange(tmp_path)

    clear_leftovers(tmp_path)

    assert ["b"] == names(tmp_path)
    assert [".DS_Store", "b-notes.txt", "b-results.json", "photo.jpg"] == names(tmp_path / "b")
    assert "new" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_a_file_that_comes_back_replaces_no_newer_one(tmp_path):
    killed_after_exchange(tmp_path)
    (tmp_path / "b" / "photo.jpg").write_text("newer", encoding="utf-8")

    clear_leftovers(tmp_path)

    assert "newer" == (tmp_path / "b" / "photo.jpg").read_text(encoding="utf-8")
    assert "mine: photo.jpg" == (tmp_path / "b" / "photo.jpg (2)").read_text(encoding="utf-8")


def test_a_users_files_stay_in_the_working_folder_where_there_is_no_other_place(tmp_path):
    folder = killed_after_exchange(tmp_path)
    (tmp_path / "b" / "b-results.json").unlink()
    (tmp_path / "b").rmdir()

    clear_leftovers(tmp_path)

    assert [".DS_Store", "b-notes.txt", "photo.jpg"] == names(folder / "whole")


def test_an_old_set_moved_aside_is_put_back(tmp_path):
    folder = leftover(tmp_path)
    (folder / "aside").mkdir()
    (folder / "aside" / "b-results.json").write_text("old", encoding="utf-8")

    clear_leftovers(tmp_path)

    assert ["b"] == names(tmp_path)
    assert "old" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_an_old_set_moved_aside_is_dropped_once_the_new_one_stands(tmp_path):
    folder = leftover(tmp_path)
    (folder / "aside").mkdir()
    (folder / "aside" / "b-results.json").write_text("old", encoding="utf-8")
    (tmp_path / "b").mkdir()
    (tmp_path / "b" / "b-results.json").write_text("new", encoding="utf-8")

    clear_leftovers(tmp_path)

    assert ["b"] == names(tmp_path)
    assert "new" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


_HOLDER = """
import sys, time
from pathlib import Path
from intake.runner.work_folder import work_folder
with work_folder(Path(sys.argv[1]), ("b-results.json",)) as work:
    print(work.path.name, flush=True)
    time.sleep(600)
"""


def test_a_kill_lets_the_lock_go(tmp_path):
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLDER, tmp_path / "b"], stdout=subprocess.PIPE, encoding="utf-8"
    )
    with holder:
        assert holder.stdout
        name = holder.stdout.readline().strip()
        clear_leftovers(tmp_path)
        assert [name] == names(tmp_path)
        holder.send_signal(signal.SIGKILL)
        holder.wait()
    clear_leftovers(tmp_path)
    assert [] == names(tmp_path)


def test_two_folders_for_one_target_have_names_of_their_own(tmp_path):
    with work_folder(tmp_path / "b", DOCUMENTS) as one, work_folder(tmp_path / "b", DOCUMENTS) as two:
        assert one.path != two.path
        clear_leftovers(tmp_path)
        assert 2 == len(names(tmp_path))
    assert [] == names(tmp_path)


def test_a_lock_is_waited_for(tmp_path):
    path = tmp_path / "list"
    path.write_bytes(b"")
    with path.open("rb+") as one, path.open("rb+") as two:
        wait_for_lock(one)
        assert Lock.HELD_ELSEWHERE is take_lock(two)
    with path.open("rb+") as again:
        wait_for_lock(again)
