"""A folder of documents is replaced as a whole or not at all."""

import errno
from collections.abc import Callable
from functools import partial
from pathlib import Path
from threading import Thread

import pytest

from intake.runner import file_lock
from intake.runner import replace_folder as module
from intake.runner.replace_folder import FolderInTheWay, WrittenMeanwhile, why_not_written
from tests.hostile.command import HANG_S

replace_folder = partial(module.replace_folder, documents=("b-results.json", "b-extra.pdf"))


def fill_with(text: str) -> Callable[[Path], None]:
    def fill(folder: Path) -> None:
        (folder / "b-results.json").write_text(text, encoding="utf-8")

    return fill


def fail_half_way(folder: Path) -> None:
    (folder / "b-results.json").write_text("half", encoding="utf-8")
    raise OSError(errno.ENOSPC, "No space left on device")


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


@pytest.mark.parametrize(
    ("name", "held"),
    [
        *((name, False) for name in ("CON", "nul", "Com1", "LPT9", "aux.2026", "PRN.x-plan", "A.", "A..")),
        *((name, True) for name in ("CON-1", "COM10", "COM", "LPT", "NULL", "A.1", "A.CON", "A-", "CONS.1")),
    ],
)
def test_a_name_that_windows_cannot_hold_is_refused_there_alone(tmp_path, monkeypatch, name, held):
    monkeypatch.setattr(module, "ON_WINDOWS", True)
    if held:
        replace_folder(tmp_path / "out" / name, fill_with("new"), overwrite=False)
    else:
        with pytest.raises(FolderInTheWay, match=r"Windows.* Change the name in the workbook\.$"):
            replace_folder(tmp_path / "out" / name, fill_with("new"), overwrite=False)
        assert not (tmp_path / "out").exists()
    monkeypatch.setattr(module, "ON_WINDOWS", False)
    replace_folder(tmp_path / "out" / name, fill_with("newer"), overwrite=True)
    assert [name] == names(tmp_path / "out")


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
        if self.name == "whole" and not target.exists():
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
        if self.name == "whole":
            raise OSError(errno.EACCES, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse_staging)
    with pytest.raises(OSError, match="Permission denied"):
        replace_folder(tmp_path / "b", fill_with("new"), overwrite=True)

    assert ["b"] == names(tmp_path)
    assert "old" == (tmp_path / "b" / "b-results.json").read_text(encoding="utf-8")


def test_on_other_systems_there_is_no_exchange(tmp_path, monkeypatch):
    monkeypatch.setattr(module.sys, "platform", "win32")

    assert module._swap_names(tmp_path / "a", tmp_path / "b") is False


USERS = ("b-input.xlsx", "b-results.json.bak", "photo.jpg", "b.xlsx")
"""Names that begin like documents, or do not; none is one."""


class TestUsersFiles:
    @pytest.fixture(params=[True, False], ids=["swap", "two renames"])
    def target(self, tmp_path, monkeypatch, request) -> Path:
        if not request.param:
            monkeypatch.setattr(module, "_swap_names", lambda first, second: False)
        replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)
        for name in USERS:
            (tmp_path / "b" / name).write_text(name, encoding="utf-8")
        (tmp_path / "b" / "photos").mkdir()
        (tmp_path / "b" / "photos" / "b-results.json").write_text("mine", encoding="utf-8")
        return tmp_path / "b"

    def test_they_are_carried_over_untouched_and_named(self, target):
        before = {name: (target / name).stat().st_ino for name in (*USERS, "photos")}

        carried = replace_folder(target, fill_with("new"), overwrite=True)

        assert sorted((*USERS, "photos")) == list(carried)
        assert before == {name: (target / name).stat().st_ino for name in before}
        assert [*USERS] == [(target / name).read_text(encoding="utf-8") for name in USERS]
        assert "mine" == (target / "photos" / "b-results.json").read_text(encoding="utf-8")
        assert "new" == (target / "b-results.json").read_text(encoding="utf-8")
        assert ["b"] == names(target.parent)

    def test_a_folder_that_holds_nothing_else_is_in_nobodys_way(self, target):
        (target / "b-results.json").unlink()

        assert sorted((*USERS, "photos")) == list(replace_folder(target, fill_with("new"), overwrite=False))
        assert "new" == (target / "b-results.json").read_text(encoding="utf-8")

    def test_a_document_of_another_run_that_comes_between_stays(self, target, monkeypatch):
        """Both found no document there and both were allowed to write; the quicker one has written."""
        (target / "b-results.json").unlink()
        exchange = module._exchange
        rounds = []

        def late(work, place: Path) -> None:
            if not rounds:
                fill_with("theirs")(target)
            rounds.append(place)
            exchange(work, place)

        monkeypatch.setattr(module, "_exchange", late)
        with pytest.raises(FolderInTheWay, match="--overwrite"):
            replace_folder(target, fill_with("ours"), overwrite=False)

        assert "theirs" == (target / "b-results.json").read_text(encoding="utf-8")
        assert sorted((*USERS, "b-results.json", "photos")) == names(target)
        assert ["b"] == names(target.parent)

    @pytest.mark.parametrize(
        "name", [".DS_Store", "Thumbs.db", "desktop.ini", "~$b-results.xlsx", ".~lock.b-results.xlsx#"]
    )
    def test_what_systems_and_office_programs_leave_is_in_nobodys_way_and_not_named(self, tmp_path, name):
        replace_folder(tmp_path / "b", fill_with("old"), overwrite=False)
        (tmp_path / "b" / name).write_text("x", encoding="utf-8")

        assert () == replace_folder(tmp_path / "b", fill_with("new"), overwrite=True)
        assert sorted((name, "b-results.json")) == names(tmp_path / "b")

    def test_a_folder_named_like_a_document_is_not_replaced(self, target):
        (target / "b-extra.pdf").mkdir()
        (target / "b-extra.pdf" / "mine").write_text("mine", encoding="utf-8")

        with pytest.raises(FolderInTheWay, match="b-extra.pdf is a folder. Move it away first"):
            replace_folder(target, fill_with("new"), overwrite=True)

        assert "mine" == (target / "b-extra.pdf" / "mine").read_text(encoding="utf-8")
        assert "old" == (target / "b-results.json").read_text(encoding="utf-8")

    def test_the_workbook_itself_is_not_replaced_by_a_document_of_its_name(self, target):
        with pytest.raises(FolderInTheWay, match="is the workbook itself"):
            replace_folder(target, fill_with("new"), overwrite=True, source=target / "b-results.json")

        assert "old" == (target / "b-results.json").read_text(encoding="utf-8")

    def test_a_folder_of_documents_is_replaced_with_all_that_is_in_it(self, tmp_path):
        def fill(folder: Path) -> None:
            fill_with("new")(folder)
            (folder / "earlier").mkdir()
            (folder / "earlier" / "1").write_text("new", encoding="utf-8")

        for _ in range(2):
            module.replace_folder(
                tmp_path / "b", fill, overwrite=True, documents=("b-results.json", "earlier")
            )
        assert ["b-results.json", "earlier"] == names(tmp_path / "b")
        assert ["b"] == names(tmp_path)


@pytest.mark.parametrize(
    ("there", "says"), [(True, "What stood there is unchanged"), (False, "Nothing was left")]
)
def test_a_failure_says_what_is_left(tmp_path, there, says):
    if there:
        (tmp_path / "b").mkdir()
    assert says in why_not_written(OSError(errno.ENOSPC, "No space left on device"), tmp_path / "b")


class TestTwoRunsAtOnce:
    def test_none_takes_the_place_of_another_that_has_not_settled(self, tmp_path):
        """What the first writes down of its set must be of the set that stands."""
        target, waited, ended = tmp_path / "b", [], []

        def settle() -> None:
            other = Thread(target=second)
            other.start()
            other.join(0.5)
            waited.append(other.is_alive())
            waited.append(read_in(target))
            ended.append(other)

        def second() -> None:
            put("second", target)

        put("first", target, settle=settle)
        ended[0].join(HANG_S)
        assert [True, "first"] == waited
        assert "second" == read_in(target)

    def test_what_stands_is_asked_before_it_is_replaced(self, tmp_path, monkeypatch):
        target = tmp_path / "b"
        put("first", target)
        monkeypatch.setattr(module, "_put_in_place", None)
        with pytest.raises(WrittenMeanwhile):
            put("second", target, expected=lambda folder: "first" not in read_in(folder))
        assert "first" == read_in(target)

    def test_where_folders_have_no_locks_it_is_asked_afterwards_too(self, tmp_path, monkeypatch):
        target, asked = tmp_path / "b", []
        monkeypatch.setattr(file_lock, "_lock_number", no_locks)
        put("first", target)

        def expected(folder) -> bool:
            asked.append(folder)
            return len(asked) == 1

        with pytest.raises(WrittenMeanwhile):
            put("second", target, expected=expected)
        assert "first" == read_in(target)
        assert 2 == len(asked)

    def test_a_folder_that_cannot_be_opened_is_gone_on_with(self, tmp_path):
        with file_lock.folder_locked(tmp_path / "none"):
            assert not (tmp_path / "none").exists()


def no_locks(number):
    raise OSError(95, "Operation not supported")


def put(text, target, **more):
    return replace_folder(target, fill_with(text), overwrite=True, **more)


def read_in(folder):
    return (folder / "b-results.json").read_text(encoding="utf-8")
