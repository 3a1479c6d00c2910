"""A folder of documents is replaced as a whole or not at all."""

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from intake.runner import replace_folder as module
from intake.runner.replace_folder import FolderInTheWay, clear_leftovers, replace_folder


def fill_with(text: str):
    def fill(folder: Path) -> None:
        (folder / "b-results.json").write_text(text, encoding="utf-8")

    return fill


def fail_half_way(folder: Path) -> None:
    (folder / "b-results.json").write_text("half", encoding="utf-8")
    raise OSError(errno.ENOSPC, "No space left on device")


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


@pytest.fixture
def dead_process() -> int:
    finished = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True
    )
    return int(finished.stdout)


def test_a_failing_writer_leaves_nothing_behind(tmp_path):
    with pytest.raises(OSError, match="No space"):
        replace_folder(tmp_path / "out" / "b", fail_half_way, overwrite=False)

    assert [] == names(tmp_path / "out")


def test_a_failing_writer_leaves_the_old_documents_whole(tmp_path):
    replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)

    with pytest.raises(OSError, match="No space"):
        replace_folder(tmp_path / "b", fail_half_way, overwrite=True)

    assert ["b"] == names(tmp_path)
    assert "old" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_an_existing_folder_is_refused_without_overwrite(tmp_path):
    replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)

    with pytest.raises(FolderInTheWay, match="--overwrite"):
        replace_folder(tmp_path / "b", fill_with("new"), overwrite=False)

    assert "old" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("documents", "stands"), [((), True), (("b-results.json",), True), (("b.json",), False)]
)
def test_only_documents_of_ones_own_are_replaced(tmp_path, documents, stands):
    replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)

    try:
        replace_folder(tmp_path / "b", fill_with("new"), overwrite=True, documents=documents)
        replaced = True
    except FolderInTheWay:
        replaced = False

    assert stands == replaced
    text = "new" if stands else "old"
    assert text == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_a_folder_with_somebody_elses_file_is_refused_even_with_overwrite(tmp_path):
    replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)
    (tmp_path / "b" / "photo.jpg").write_bytes(b"mine")

    with pytest.raises(FolderInTheWay, match="photo.jpg"):
        replace_folder(tmp_path / "b", fill_with("new"), overwrite=True)

    assert b"mine" == (tmp_path / "b" / "photo.jpg").read_bytes()


@pytest.mark.parametrize("overwrite", [False, True])
def test_a_folder_that_another_run_has_put_there_meanwhile_counts_as_one_that_was_there(tmp_path, overwrite):
    def fill_late(folder: Path) -> None:
        fill_with("ours")(folder)
        (tmp_path / "b").mkdir()
        fill_with("theirs")(tmp_path / "b")

    if overwrite:
        replace_folder(tmp_path / "b", fill_late, overwrite=True)
    else:
        with pytest.raises(FolderInTheWay, match="--overwrite"):
            replace_folder(tmp_path / "b", fill_late, overwrite=False)

    assert ["b"] == names(tmp_path)
    left = (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")
    assert ("ours" if overwrite else "theirs") == left


@pytest.mark.parametrize("overwrite", [False, True])
def test_a_folder_that_appears_at_the_very_last_moment_does_so_too(tmp_path, monkeypatch, overwrite):
    rename = Path.rename

    def late(self: Path, target: Path) -> Path:
        if self.name.endswith(".partial") and not target.exists():
            target.mkdir()
            fill_with("theirs")(target)
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", late)
    if overwrite:
        replace_folder(tmp_path / "b", fill_with("ours"), overwrite=True)
    else:
        with pytest.raises(FolderInTheWay, match="--overwrite"):
            replace_folder(tmp_path / "b", fill_with("ours"), overwrite=False)

    assert ["b"] == names(tmp_path)
    left = (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")
    assert ("ours" if overwrite else "theirs") == left


@pytest.mark.parametrize("kind", ["file", "link"])
def test_a_target_that_is_no_folder_is_refused(tmp_path, kind):
    target = tmp_path / "b"
    if kind == "file":
        target.write_text("x", encoding="utf-8")
    else:
        (tmp_path / "elsewhere").mkdir()
        target.symlink_to(tmp_path / "elsewhere")

    with pytest.raises(FolderInTheWay, match="is no folder"):
        replace_folder(target, fill_with("new"), overwrite=True)


def test_overwrite_replaces_the_whole_folder(tmp_path):
    def fill_two(folder: Path) -> None:
        fill_with("old")(folder)
        (folder / "b-extra.pdf").write_bytes(b"old")

    replace_folder(tmp_path / "b", fill_two, overwrite=False)
    replace_folder(tmp_path / "b", fill_with("new"), overwrite=True)

    assert ["b"] == names(tmp_path)
    assert ["b-results.json"] == names(tmp_path / "b")
    assert "new" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_without_an_atomic_exchange_two_renames_do(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_swap_names", lambda first, second: False)
    replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)
    replace_folder(tmp_path / "b", fill_with("new"), overwrite=True)

    assert ["b"] == names(tmp_path)
    assert "new" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_when_the_second_rename_fails_the_old_folder_is_put_back(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_swap_names", lambda first, second: False)
    replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)
    rename = Path.rename

    def refuse_staging(self: Path, target: Path) -> Path:
        if self.name.endswith(".partial"):
            raise OSError(errno.EACCES, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse_staging)
    with pytest.raises(OSError, match="Permission denied"):
        replace_folder(tmp_path / "b", fill_with("new"), overwrite=True)

    assert ["b"] == names(tmp_path)
    assert "old" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_what_a_killed_run_left_is_cleared(tmp_path, dead_process):
    (tmp_path / f".b.{dead_process}.partial").mkdir()
    (tmp_path / f".b.{dead_process}.partial" / "half").write_text("x", encoding="utf-8")

    replace_folder(tmp_path / "b", fill_with("new"), overwrite=False)

    assert ["b"] == names(tmp_path)


def test_an_old_folder_that_a_killed_run_had_moved_aside_is_put_back(tmp_path, dead_process):
    aside = tmp_path / f".b.{dead_process}.previous"
    aside.mkdir()
    fill_with("old")(aside)

    clear_leftovers(tmp_path)

    assert ["b"] == names(tmp_path)


def test_an_old_folder_moved_aside_is_dropped_once_the_new_one_stands(tmp_path, dead_process):
    (tmp_path / "b").mkdir()
    (tmp_path / f".b.{dead_process}.previous").mkdir()

    clear_leftovers(tmp_path)

    assert ["b"] == names(tmp_path)


def test_the_working_folder_of_a_living_run_is_left_alone(tmp_path):
    living = tmp_path / f".b.{os.getppid()}.partial"
    living.mkdir()

    clear_leftovers(tmp_path)

    assert [living.name] == names(tmp_path)


def test_other_hidden_folders_and_files_are_left_alone(tmp_path, dead_process):
    (tmp_path / ".git").mkdir()
    (tmp_path / f".b.{dead_process}.partial").write_text("a file", encoding="utf-8")

    clear_leftovers(tmp_path)

    assert [f".b.{dead_process}.partial", ".git"] == names(tmp_path)


def test_on_other_systems_there_is_no_exchange(tmp_path, monkeypatch):
    monkeypatch.setattr(module.sys, "platform", "win32")

    assert module._swap_names(tmp_path / "a", tmp_path / "b") is False


@pytest.mark.parametrize(("age_s", "left"), [(3500, 1), (3700, 0)])
def test_where_processes_can_not_be_asked_after_the_age_of_the_folder_decides(
    tmp_path, monkeypatch, age_s, left
):
    monkeypatch.setattr(module.sys, "platform", "win32")
    folder = tmp_path / f".b.{os.getppid()}.partial"
    folder.mkdir()
    then = time.time() - age_s
    os.utime(folder, (then, then))

    clear_leftovers(tmp_path)

    assert left == len(names(tmp_path))
