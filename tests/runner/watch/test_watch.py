"""A watched folder, looked at with a clock of its own; and once as a process that is killed."""

import os
import signal
import subprocess
import sys
import threading
import time
from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from intake.cli.main import main
from intake.policy.grading_policy import load_grading_policy
from intake.runner.settings import Settings
from intake.runner.watch import watch_inbox
from intake.runner.watch.inbox import Inbox, marked_beside, origin
from intake.runner.watch.ledger import LOG_NAME, Done, Ledger
from intake.runner.watch.watch_inbox import Watch, WatchOptions
from tests.simple_workbook import BAD_ROW, BATCH, GOOD, write_workbook

PAPERS = ("manifest", "disposal", "resale", "labels")
WAIT_S = 600
"""The machine may be busy."""


class Yard:
    """A watched folder whose clock stands still until it is moved."""

    def __init__(self, folder: Path) -> None:
        self.inbox, self.out = folder / "inbox", folder / "out"
        self.inbox.mkdir(exist_ok=True)
        self.seconds = 0.0
        self.said: list[str] = []
        self.stop = threading.Event()
        self.start()

    def start(self) -> None:
        """Begin anew, as after a crash."""
        settings = Settings(load_grading_policy(), date(2026, 11, 25))
        self.watch = Watch(
            WatchOptions(self.inbox, self.out, settings),
            say=self.said.append,
            now=lambda: datetime(2026, 11, 25, 8),
            clock=lambda: self.seconds,
        )

    def save(self, name: str = "pallet.xlsx", *rows: dict[str, object], batch: str = "T-1") -> Path:
        return write_workbook(self.inbox / name, rows or (GOOD,), batch={**BATCH, "Batch": batch})

    def look(self, *, after_s: float = 2.0) -> list[str]:
        """Look, let time pass, look again; return what was said."""
        before = len(self.said)
        self.watch.look(self.stop)
        self.seconds += after_s
        self.watch.look(self.stop)
        return self.said[before:]


@pytest.fixture
def yard(tmp_path):
    return Yard(tmp_path)


def papers(yard, batch="T-1"):
    return {f"{batch}-{name}.pdf" for name in PAPERS} <= {one.name for one in (yard.out / batch).glob("*")}


def test_a_workbook_is_graded_once_it_has_stood_for_a_moment(yard):
    yard.save()
    assert [] == yard.look(after_s=1.9)
    (line,) = yard.look(after_s=0.2)
    assert line.startswith("2026-11-25 08:00:00  pallet.xlsx: graded, batch T-1, 1 battery, 0 errors.")
    assert "Print T-1-manifest.pdf first." in line
    assert all(f"T-1-{name}.pdf" in line for name in PAPERS)
    assert papers(yard)
    assert [line] == (yard.out / LOG_NAME).read_text(encoding="utf-8").splitlines()


def test_nothing_is_graded_twice_nor_after_a_restart(yard):
    yard.save()
    assert 1 == len(yard.look())
    assert [] == yard.look()
    os.utime(yard.inbox / "pallet.xlsx")
    assert [] == yard.look()
    yard.start()
    assert [] == yard.look()


def test_exact_earlier_bytes_that_come_back_are_told_once_and_grade_nothing(yard):
    first = yard.save().read_bytes()
    yard.look()
    second = yard.save("pallet.xlsx", {**GOOD, "Note": "read again"}).read_bytes()
    assert "graded" in yard.look()[0]
    manifest = (yard.out / "T-1" / "T-1-manifest.pdf").read_bytes()
    for content in (first, second):
        (yard.inbox / "pallet.xlsx").write_bytes(content)
        (line,) = yard.look()
        assert "pallet.xlsx: the same bytes as an earlier save" in line
        assert "To have it graded again, open it and save it." in line
        assert [] == yard.look()
        yard.start()
        assert [] == yard.look()
    assert manifest == (yard.out / "T-1" / "T-1-manifest.pdf").read_bytes()


def test_earlier_bytes_that_come_back_while_nobody_watches_are_told_too(yard):
    first = yard.save().read_bytes()
    yard.look()
    yard.save("pallet.xlsx", {**GOOD, "Note": "read again"})
    yard.look()
    (yard.inbox / "pallet.xlsx").write_bytes(first)
    yard.start()
    assert 1 == len(yard.look())


def test_a_workbook_beside_its_mended_marked_copy_is_no_earlier_save(yard):
    yard.save(batch="")
    yard.look()
    mend(yard.inbox / "pallet-marked.xlsx", "T-1")
    assert "graded" in yard.look()[0]
    yard.start()
    assert [] == yard.look()


def test_a_crash_between_the_papers_and_the_record_grades_nothing_twice(yard):
    yard.save()
    yard.look()
    before = (yard.out / "T-1" / "T-1-manifest.pdf").stat().st_mtime_ns
    (yard.out / ".intake-watch.jsonl").unlink()
    yard.start()
    (line,) = yard.look()
    assert "graded already" in line
    assert before == (yard.out / "T-1" / "T-1-manifest.pdf").stat().st_mtime_ns


def test_a_record_cut_short_by_a_crash_is_read_as_far_as_it_goes(yard):
    yard.save()
    yard.look()
    with (yard.out / ".intake-watch.jsonl").open("a") as file:
        file.write('{"sha256": "ab')
    yard.start()
    assert [] == yard.look()


def test_a_workbook_that_is_still_being_copied_is_waited_for(yard):
    whole = yard.save("whole.tmp.xlsx").read_bytes()
    (yard.inbox / "whole.tmp.xlsx").unlink()
    path = yard.inbox / "pallet.xlsx"
    path.write_bytes(whole[:-200])
    assert [] == yard.look(after_s=5)
    path.write_bytes(whole)
    assert [] == yard.look(after_s=1)
    assert "graded" in yard.look(after_s=1.5)[0]


def test_what_never_becomes_a_workbook_is_rejected_in_the_end(yard):
    (yard.inbox / "pallet.xlsx").write_bytes(b"not a workbook")
    assert [] == yard.look(after_s=29)
    (line,) = yard.look(after_s=2)
    assert "pallet.xlsx: rejected" in line


def test_lock_and_temporary_files_are_left_alone(yard):
    for name in (".~lock.pallet.xlsx#", "~$pallet.xlsx", ".hidden.xlsx", "lu1234.tmp", "notes.txt"):
        (yard.inbox / name).write_bytes(b"x")
    assert [] == yard.look(after_s=60)


def test_a_rejected_workbook_gets_its_marked_copy_beside_it_which_is_no_workbook_of_its_own(yard):
    yard.save(batch="")
    (line,) = yard.look()
    assert "pallet.xlsx: rejected" in line
    assert "Mend the cells marked in pallet-marked.xlsx and save it." in line
    assert [] == yard.look(after_s=60)
    assert ["pallet-marked.xlsx", "pallet.xlsx"] == sorted(one.name for one in yard.inbox.iterdir())
    assert not list(yard.out.glob("*/*.pdf"))


def mend(path, value, sheet="Batch", label="Batch"):
    book = load_workbook(path)
    for row in book[sheet].iter_rows():
        if row[0].value == label:
            row[1].value = value
    book.save(path)


def test_the_marked_copy_mended_and_saved_gets_the_papers(yard):
    yard.save(batch="")
    yard.look()
    mend(yard.inbox / "pallet-marked.xlsx", "T-1")
    (line,) = yard.look()
    assert "pallet-marked.xlsx: graded, batch T-1" in line
    assert papers(yard)


def test_a_marked_copy_that_somebody_works_on_is_never_written_over(yard):
    yard.save(batch="")
    yard.look()
    mend(yard.inbox / "pallet-marked.xlsx", "half/mended")
    worked_on = (yard.inbox / "pallet-marked.xlsx").read_bytes()
    assert "pallet-marked-2.xlsx" in yard.look()[0]
    yard.save(batch="still/wrong")
    assert "pallet-marked-2.xlsx" in yard.look()[0]
    assert worked_on == (yard.inbox / "pallet-marked.xlsx").read_bytes()


def test_row_errors_are_graded_and_marked_and_the_mended_copy_is_the_next_revision(yard):
    yard.save("pallet.xlsx", GOOD, BAD_ROW)
    (line,) = yard.look()
    assert "graded, batch T-1, 2 batteries, 1 error." in line
    assert "Mend the cells marked in pallet-marked.xlsx" in line
    book = load_workbook(yard.inbox / "pallet-marked.xlsx")
    book["Batteries"]["D3"] = 12.5
    book.save(yard.inbox / "pallet-marked.xlsx")
    (line,) = yard.look()
    assert "pallet-marked.xlsx: graded, batch T-1, 2 batteries, 0 errors." in line
    assert (yard.out / "T-1").is_dir()


def test_another_pallet_under_the_same_batch_name_never_takes_its_place(yard):
    yard.save("north.xlsx")
    yard.look()
    before = (yard.out / "T-1" / "T-1-results.json").read_bytes()
    yard.save("south.xlsx", {**GOOD, "Tag": "S-9"})
    (line,) = yard.look()
    assert "south.xlsx: rejected. The batch name T-1 belongs to north.xlsx already." in line
    assert before == (yard.out / "T-1" / "T-1-results.json").read_bytes()
    yard.start()
    yard.save("east.xlsx", {**GOOD, "Tag": "E-9"})
    assert "belongs to north.xlsx" in yard.look()[0]


def test_a_workbook_saved_again_without_a_change_keeps_its_revision(yard):
    yard.save()
    yard.look()
    yard.save(batch="T-1")
    book = load_workbook(yard.inbox / "pallet.xlsx")
    book["Batch"]["H1"] = "another byte"
    book.save(yard.inbox / "pallet.xlsx")
    (line,) = yard.look()
    assert "pallet.xlsx: graded, batch T-1" in line
    assert not (yard.out / "T-1" / "earlier").exists()


def test_readings_that_a_later_save_takes_away_are_counted_in_the_log(yard):
    yard.save()
    yard.look()
    yard.save("pallet.xlsx", {**GOOD, "Rest voltage (V)": None})
    (line,) = yard.look()
    assert "Of revision 1, 1 reading is not in this one." in line
    yard.save("pallet.xlsx", {**GOOD, "Note": "read once more"})
    (line,) = yard.look()
    assert "not in this one" not in line


def test_once_ends_though_a_workbook_cannot_be_written_for(yard, monkeypatch):
    from intake.runner import grade_many

    def full(*_arguments, **_options):
        raise OSError(28, "No space left on device")

    yard.save()
    monkeypatch.setattr(grade_many, "write_documents", full)
    yard.watch._clock = time.monotonic
    yard.watch._inbox.moment_s = 0.1
    yard.watch.once(yard.stop)
    assert 1 == yard.watch.not_written


def test_a_full_disk_is_said_and_the_workbook_is_tried_again(yard, monkeypatch):
    from intake.runner import grade_many

    real = grade_many.write_documents

    def full(*_arguments, **_options):
        raise OSError(28, "No space left on device")

    yard.save()
    monkeypatch.setattr(grade_many, "write_documents", full)
    (line,) = yard.look()
    assert "pallet.xlsx: not written." in line
    assert [] == yard.look(after_s=30)
    monkeypatch.setattr(grade_many, "write_documents", real)
    assert "graded" in yard.look(after_s=60)[0]


def test_a_fault_of_our_own_is_said_and_the_others_have_their_turn(yard, monkeypatch):
    def fails(*_arguments, **_options):
        raise RuntimeError("inside")

    yard.save("one.xlsx", batch="T-1")
    monkeypatch.setattr(watch_inbox, "first_look", fails)
    assert "Please report this defect." in yard.look()[0]
    monkeypatch.undo()
    yard.save("two.xlsx", batch="T-2")
    assert "two.xlsx: graded" in yard.look()[0]


def test_a_folder_that_is_away_for_a_while_is_said_and_waited_for(yard):
    yard.inbox.rename(yard.inbox.with_name("away"))
    yard.stop.set()  # so that nothing is waited for here
    (line,) = yard.look()
    assert "cannot be read just now: the folder is not there." in line
    yard.stop.clear()
    yard.inbox.with_name("away").rename(yard.inbox)
    yard.save()
    assert "graded" in yard.look()[0]


def test_a_signal_between_two_workbooks_ends_after_the_first(yard):
    for number in range(3):
        yard.save(f"p{number}.xlsx", batch=f"T-{number}")
    yard.watch.look(yard.stop)
    yard.seconds += 3
    yard.stop.set()
    yard.watch.look(yard.stop)
    assert 1 == sum("graded" in line for line in yard.said)


def test_two_hundred_workbooks_at_once(yard):
    for number in range(200):
        yard.save(f"p{number:03}.xlsx", batch=f"T-{number:03}")
    lines = yard.look()
    assert 200 == len(lines)
    assert all("graded, batch" in line for line in lines)
    assert 200 == len(list(yard.out.glob("*/*-manifest.pdf")))
    yard.start()
    assert [] == yard.look()


def test_what_is_known_survives_in_words_of_the_program(tmp_path):
    ledger = Ledger(tmp_path)
    ledger.add(Done("ab", "T-1", "north"))
    ledger.add(Done("cd", "", "north", ours=True))
    again = Ledger(tmp_path)
    assert (True, False, "north", None) == (
        again.knows("ab"),
        again.wrote("ab"),
        again.origin_of("t-1"),
        again.origin_of("T-2"),
    )
    assert again.wrote("cd")


def test_a_line_of_the_log_is_one_line(tmp_path):
    line = Ledger(tmp_path).log("one\nand\ttwo", at=datetime(2026, 11, 25, 8))
    assert "2026-11-25 08:00:00  one and two" == line
    assert f"{line}\n" == (tmp_path / LOG_NAME).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Pallet.xlsx", "pallet"),
        ("pallet-marked.xlsx", "pallet"),
        ("pallet-marked-3.xlsx", "pallet"),
        ("pallet-marked-x.xlsx", "pallet-marked-x"),
        ("un-marked.xlsx", "un"),
    ],
)
def test_a_marked_copy_is_known_by_its_name(name, expected):
    assert expected == origin(Path(name))


def test_each_marked_copy_of_a_marked_copy_has_the_next_number():
    names = ["p.xlsm"]
    for _ in range(3):
        names.append(marked_beside(Path(names[-1])).name)
    assert ["p-marked.xlsx", "p-marked-2.xlsx", "p-marked-3.xlsx"] == names[1:]


def test_a_workbook_that_goes_away_is_forgotten(tmp_path):
    inbox = Inbox(tmp_path, 2)
    path = write_workbook(tmp_path / "p.xlsx")
    assert [] == inbox.settled(0)
    assert inbox.waiting
    path.unlink()
    assert [] == inbox.settled(5)
    assert not inbox.waiting


class TestCommand:
    def test_set_up_writes_the_page_and_the_forms(self, tmp_path, capsys):
        inbox, out = tmp_path / "in", tmp_path / "papers"
        assert 0 == main(["watch", "--set-up", str(inbox), "--out", str(out)])
        (page,) = PdfReader(inbox / "START-HERE.pdf").pages
        text = " ".join(page.extract_text().split())
        assert "Start here" in text
        assert "-marked.xlsx" in text
        assert "never say that a load or a sale is lawful or safe" in text
        forms = sorted(one.name for one in (inbox / "blank forms").iterdir())
        assert ["intake-full.xlsx", "intake-short.xlsx", "pen-form.pdf"] == forms
        assert f"intake watch {inbox} --out {out}" in capsys.readouterr().out
        assert 0 == main(["watch", "--set-up", str(inbox), "--out", str(out)])

    def test_the_forms_are_no_workbooks_to_be_graded(self, tmp_path, capsys):
        inbox = tmp_path / "in"
        main(["watch", "--set-up", str(inbox)])
        assert 0 == main(["watch", str(inbox), "--once", "--moment", "0.1"])
        assert not (inbox / "graded" / LOG_NAME).exists()

    def test_once_grades_what_is_there_and_ends(self, tmp_path, capsys):
        write_workbook(tmp_path / "p.xlsx")
        assert 0 == main(["watch", str(tmp_path), "--once", "--moment", "0.1", "--out", str(tmp_path / "o")])
        assert (tmp_path / "o" / "T-1" / "T-1-manifest.pdf").is_file()
        write_workbook(tmp_path / "q.xlsx", batch={**BATCH, "Batch": ""})
        assert 3 == main(["watch", str(tmp_path), "--once", "--moment", "0.1", "--out", str(tmp_path / "o")])
        write_workbook(tmp_path / "r.xlsx", (BAD_ROW,), batch={**BATCH, "Batch": "T-3"})
        assert 1 == main(["watch", str(tmp_path), "--once", "--moment", "0.1", "--out", str(tmp_path / "o")])
        assert [] == capsys.readouterr().err.splitlines()

    def test_a_folder_that_is_not_there_is_wrong_usage(self, tmp_path, capsys):
        assert 2 == main(["watch", str(tmp_path / "none"), "--once"])
        assert "--set-up" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="signals of a POSIX system")
@pytest.mark.parametrize("polling", [[], ["--polling"]])
def test_a_process_serves_goes_on_after_a_kill_and_stops_on_a_signal(tmp_path, polling):
    inbox, out = tmp_path / "in", tmp_path / "out"
    inbox.mkdir()
    arguments = [sys.executable, "-m", "intake", "watch", str(inbox), "--out", str(out), "--moment", "0.2"]

    def started():
        return subprocess.Popen([*arguments, *polling], stdout=subprocess.PIPE, text=True)

    first = started()
    try:
        write_workbook(inbox / "a.xlsx", batch={**BATCH, "Batch": "A"})
        wait_for(out / LOG_NAME, "a.xlsx: graded, batch A")
    finally:
        first.kill()
        first.communicate()
    write_workbook(inbox / "b.xlsx", batch={**BATCH, "Batch": "B"})
    second = started()
    try:
        wait_for(out / LOG_NAME, "b.xlsx: graded, batch B")
    finally:
        second.send_signal(signal.SIGTERM)
        said, _ = second.communicate(timeout=WAIT_S)
    assert 0 == second.returncode
    assert "a.xlsx: graded," not in said
    assert said.splitlines()[-1].endswith("stopped")


def wait_for(log, words):
    """Wait for a line of the log: by then all that is done about its workbook is done."""
    end = time.monotonic() + WAIT_S
    while not (log.exists() and words in log.read_text(encoding="utf-8")):
        assert time.monotonic() < end, f"no line with {words!r}"
        time.sleep(0.1)
