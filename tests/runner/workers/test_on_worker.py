"""What a worker looks at before it takes work, and how it does one piece."""

import os
import pickle
import threading
import time
from functools import partial
from pathlib import Path

import pytest

from intake.policy.rule_data import load_rules
from intake.runner.file_lock import Lock, take_lock
from intake.runner.workers import on_worker
from intake.runner.workers.on_worker import Ticket, WorkerUnfit, do, ticket_for, why_unfit


@pytest.fixture(autouse=True)
def _little_patience(monkeypatch):
    monkeypatch.setattr(on_worker, "PATIENCE_S", 0.2)
    monkeypatch.setattr(on_worker, "_PAUSE_S", 0.01)


def here():
    return os.getcwd()


def refused():
    raise ValueError("this one")


@pytest.fixture
def book(tmp_path):
    path = tmp_path / "pallet.xlsx"
    path.write_bytes(b"a workbook")
    return path


class TestLook:
    def test_a_file_that_is_the_same_and_a_lock_that_is_held(self, tmp_path, book):
        with (tmp_path / "owner").open("wb") as held:
            assert Lock.TAKEN is take_lock(held)
            assert why_unfit(ticket_for([book], locked=tmp_path / "owner")) is None

    def test_a_file_that_is_another_or_not_there(self, book):
        ticket = ticket_for([book], locked=None)
        book.write_bytes(b"another")
        unfit = why_unfit(ticket)
        assert unfit.passing
        assert f"does not see {book} as this command does" in unfit.sentence
        book.unlink()
        assert why_unfit(ticket) == unfit

    def test_a_relative_path_leads_from_the_folder_of_the_command(self, tmp_path, monkeypatch, book):
        monkeypatch.chdir(tmp_path)
        ticket = ticket_for([Path("pallet.xlsx")], locked=None)
        monkeypatch.chdir("/")
        assert why_unfit(ticket) is None
        assert "/" == os.getcwd()

    def test_a_lock_that_nobody_seems_to_hold(self, tmp_path):
        (tmp_path / "work").mkdir()
        (tmp_path / "work" / "owner").touch()
        unfit = why_unfit(ticket_for([], locked=tmp_path / "work" / "owner"))
        assert not unfit.passing
        assert unfit.sentence.startswith(f"File locks in {tmp_path} do not reach the worker on ")

    def test_a_lock_that_is_not_there_yet(self, tmp_path):
        unfit = why_unfit(ticket_for([], locked=tmp_path / "work" / "owner"))
        assert unfit.passing
        assert f"does not see {tmp_path} as this command does" in unfit.sentence

    def test_a_folder_that_may_not_be_written_in(self, tmp_path):
        unfit = why_unfit(ticket_for([], locked=tmp_path))  # opening a folder is refused to everyone
        assert not unfit.passing
        assert f"may not write in {tmp_path.parent.parent}: is a directory." in unfit.sentence

    @pytest.mark.parametrize("name", ["intake", "openpyxl", "reportlab", "XlsxWriter", "python-dateutil"])
    def test_another_version_of_what_the_bytes_depend_on(self, name):
        ticket: Ticket = pickle.loads(ticket_for([], locked=None))
        versions = tuple((one, "0.0.9" if one == name else has) for one, has in ticket.versions)
        unfit = why_unfit(pickle.dumps(ticket._replace(versions=versions)))
        assert not unfit.passing
        assert " this command 0.0.9. Install the same" in unfit.sentence
        assert f" has {name} " in unfit.sentence

    def test_a_library_that_is_missing_is_another_version(self):
        assert "none" == on_worker._version("no-such-library")


class TestWork:
    def test_it_is_done_in_the_folder_of_the_command(self, tmp_path, monkeypatch):
        monkeypatch.chdir(tmp_path)
        ticket = ticket_for([], locked=None)
        monkeypatch.chdir("/")
        assert (True, str(tmp_path)) == do(ticket, pickle.dumps(here))
        assert "/" == os.getcwd()

    def test_a_folder_that_is_not_there_is_done_without(self, tmp_path, monkeypatch):
        (tmp_path / "gone").mkdir()
        monkeypatch.chdir(tmp_path / "gone")
        ticket = ticket_for([], locked=None)
        monkeypatch.chdir("/")
        (tmp_path / "gone").rmdir()
        assert (True, "/") == do(ticket, pickle.dumps(here))

    def test_what_it_raises_is_given_back(self):
        well, fault = do(ticket_for([], locked=None), pickle.dumps(refused))
        assert not well
        assert "this one" == str(fault)

    def test_an_unfit_worker_takes_none(self, book):
        ticket = ticket_for([book], locked=None)
        book.unlink()
        with pytest.raises(WorkerUnfit, match="does not see"):
            do(ticket, pickle.dumps(here))

    def test_storage_is_given_a_moment(self, monkeypatch, book):
        monkeypatch.setattr(on_worker, "PATIENCE_S", 60.0)
        ticket = ticket_for([book], locked=None)
        book.unlink()
        late = threading.Timer(0.2, book.write_bytes, (b"a workbook",))
        late.start()
        assert do(ticket, pickle.dumps(here))[0]
        late.join()

    def test_rule_data_are_read_anew_for_each_run(self):
        before = load_rules()
        do(ticket_for([], locked=None), pickle.dumps(here))
        assert load_rules() is not before

    def test_one_piece_at_a_time_whatever_the_threads(self, tmp_path):
        ticket = ticket_for([], locked=None)
        log: list[str] = []
        with_log.log = log
        threads = [
            threading.Thread(target=do, args=(ticket, pickle.dumps(partial(with_log, n)))) for n in "ab"
        ]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert log in (["a", "a", "b", "b"], ["b", "b", "a", "a"])


def with_log(name):
    with_log.log.append(name)
    time.sleep(0.05)
    with_log.log.append(name)
