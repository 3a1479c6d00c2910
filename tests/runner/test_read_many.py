"""Workbooks found, read in order, and a fault of our own that stops nobody."""

from datetime import date
from pathlib import Path

from intake.policy.grading_policy import load_grading_policy
from intake.runner import read_many as module
from intake.runner.read_many import find_workbooks, read_many
from intake.runner.settings import Settings
from intake.runner.workers.processes import processes
from tests.simple_workbook import BATCH, GOOD, write_workbook

SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))


def test_a_folder_gives_its_workbooks_by_name_without_lock_files(tmp_path):
    for name in (
        "b.xlsx",
        "a.XLSX",
        "c.xlsm",
        "~$b.xlsx",
        ".~lock.b.xlsx",
        "~WRL0001.xlsx",
        ".hidden.xlsx",
        "notes.txt",
    ):
        (tmp_path / name).write_bytes(b"")

    assert ["a.XLSX", "b.xlsx", "c.xlsm"] == [path.name for path in find_workbooks(tmp_path)]


def test_folders_below_are_looked_into_when_asked_but_not_hidden_ones_nor_the_documents(tmp_path):
    for name in ("z.xlsx", "b/x.xlsx", "a/y.xlsx", "a/c/w.xlsx", ".git/n.xlsx", "out/B/x.xlsx"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"")

    found = find_workbooks(tmp_path, recursive=True, leave_out=tmp_path / "a" / ".." / "out")
    assert ["z.xlsx", "a/y.xlsx", "a/c/w.xlsx", "b/x.xlsx"] == [
        path.relative_to(tmp_path).as_posix() for path in found
    ]
    assert [tmp_path / "z.xlsx"] == find_workbooks(tmp_path)
    assert 5 == len(find_workbooks(tmp_path, recursive=True))


def test_what_an_earlier_run_wrote_below_is_no_intake_workbook(tmp_path):
    written = (
        "old/B/B-results.xlsx",
        "old/B-plan/B-plan.xlsx",
        "old/register-2026-01-01-to-2026-03-31/register.xlsx",
    )
    typed = ("B/B.xlsx", "B/C-results.xlsx", "plans/B-plan.xlsx", "register.xlsx")
    for name in (*written, *typed):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"")

    found = find_workbooks(tmp_path, recursive=True)
    assert set(typed) == {path.relative_to(tmp_path).as_posix() for path in found}


def test_a_file_stands_for_itself_whatever_its_name(tmp_path):
    assert [tmp_path / "x.txt"] == find_workbooks(tmp_path / "x.txt")


def test_workbooks_come_back_in_the_order_given_on_several_processes(tmp_path):
    paths = [
        write_workbook(tmp_path / f"{name}.xlsx", [GOOD], batch={**BATCH, "Batch": name}) for name in "dacb"
    ]

    assert ["d", "a", "c", "b"] == [read.batch.batch for read in read_many(paths, SETTINGS, at=processes(2))]


def test_a_fault_of_our_own_is_a_finding_and_the_next_workbook_is_read(tmp_path, monkeypatch):
    paths = [write_workbook(tmp_path / f"{name}.xlsx", batch={**BATCH, "Batch": name}) for name in "ab"]
    read_batch = module.read_batch

    def fail_once(path, settings):
        if path.name == "a.xlsx":
            raise ZeroDivisionError("a defect")
        return read_batch(path, settings)

    monkeypatch.setattr(module, "read_batch", fail_once)
    first, second = read_many(paths, SETTINGS, at=None)

    assert first.batch is None
    assert "intake itself failed" in first.findings[0].message
    assert "b" == second.batch.batch


def test_a_folder_that_can_not_be_opened_stands_for_itself_and_says_so(tmp_path, monkeypatch):
    write_workbook(tmp_path / "a.xlsx")
    (tmp_path / "closed").mkdir()
    iterdir = Path.iterdir

    def refuse(self: Path):
        if self.name == "closed":
            raise PermissionError(13, "Permission denied")
        return iterdir(self)

    monkeypatch.setattr(Path, "iterdir", refuse)
    found = find_workbooks(tmp_path, recursive=True)
    assert [tmp_path / "a.xlsx", tmp_path / "closed"] == found
    sound, closed = read_many(found, SETTINGS, at=None)
    assert sound.batch is not None
    assert closed.batch is None
    assert "folder cannot be opened: permission denied" in closed.findings[0].message
    assert [tmp_path / "closed"] == find_workbooks(tmp_path / "closed")


def test_links_to_folders_are_followed_once(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x.xlsx").write_bytes(b"")
    (tmp_path / "a" / "up").symlink_to(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "y.xlsx").write_bytes(b"")
    (tmp_path / "start").mkdir()
    (tmp_path / "start" / "one").symlink_to(tmp_path / "a")
    (tmp_path / "start" / "two").symlink_to(tmp_path / "elsewhere")
    found = find_workbooks(tmp_path / "start", recursive=True)
    assert {"x.xlsx", "y.xlsx"} == {path.name for path in found}
    assert 2 == len(found)
