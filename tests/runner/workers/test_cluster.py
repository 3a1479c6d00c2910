"""Work on a cluster: as on one machine, byte by byte, and an end for every run whatever becomes of it."""

import os
import signal
import socket
import subprocess
import sys
import threading
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest

from intake.cli.main import main
from intake.runner.season_list import SEASON_LIST
from intake.runner.workers import cluster as on_cluster
from intake.runner.workers import on_worker
from intake.runner.workers.in_order import Workers
from tests.architecture.source import ROOT
from tests.runner.workers.loopback import HANG_S, loopback, until
from tests.runner.workers.test_processes import failing, killed, nothing, squared
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD, write_workbook

pytest.importorskip("distributed", reason="distributed (the extra `cluster`) is not installed")

DIES_WHILE_WRITING = """
import os, signal, sys
def watch(event, args):
    if event == "os.rename" and str(args[0]).endswith("filling"):
        os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(watch)
"""
DIES_ONCE_WRITTEN = """
import os, signal, sys
def watch(event, args):
    if event == "open" and str(args[0]).endswith("SEASON-SHA256SUMS"):
        os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(watch)
"""
HOLDS_THE_SECOND = """
import os, sys, time
sets = []
def watch(event, args):
    if event == "os.rename" and str(args[0]).endswith("filling"):
        sets.append(args[0])
        if len(sets) == 2:
            os.close(os.open({held!r}, os.O_CREAT | os.O_WRONLY))
            while not os.path.exists({go!r}):
                time.sleep(0.05)
sys.addaudithook(watch)
"""
OTHER_VERSION = "import intake; intake.__version__ = '0.0.9'"
NO_LOCKS = "import fcntl; fcntl.flock = lambda *_: None"


def books(folder: Path, count: int) -> Path:
    folder.mkdir(parents=True)
    for number in range(count):
        write_workbook(folder / f"{number}.xlsx", [GOOD, FLAT], batch={**BATCH, "Batch": f"T-{number}"})
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file; of the season's list the lines in order, since it tells what was written when."""
    found = {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }
    if SEASON_LIST in found:
        found[SEASON_LIST] = b"\n".join(sorted(found[SEASON_LIST].splitlines()))
    return found


def graded_here(pallets: Path, out: Path) -> dict[str, bytes]:
    assert 0 == main(["grade", str(pallets), "--out", str(out), "--quiet"])
    return contents(out)


@pytest.fixture(scope="module")
def two_workers(tmp_path_factory):
    with loopback(tmp_path_factory.mktemp("cluster") / "it") as made:
        made.add_worker()
        made.add_worker()
        yield made


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory):
    """Give a scheduler that each test adds a worker of its own to."""
    with loopback(tmp_path_factory.mktemp("cluster") / "it") as made:
        yield made


class TestAsOnOneMachine:
    def both(self, capsys, two_workers, *arguments):
        """Run a command here and on the cluster; return for each its code, its lines and its complaints."""
        told = []
        for out, where in (("alone", ()), ("spread", ("--cluster", two_workers.address))):
            code = main([one.replace("OUT", out) for one in arguments] + list(where))
            printed = capsys.readouterr()
            told.append((code, printed.out.replace(out, "OUT"), printed.err.replace(out, "OUT")))
        return told

    def test_the_three_commands_write_say_and_return_the_same(
        self, tmp_path, monkeypatch, capsys, two_workers
    ):
        monkeypatch.chdir(tmp_path)
        pallets = books(tmp_path / "pallets", 5)
        write_workbook(pallets / "row.xlsx", [GOOD, BAD_ROW], batch={**BATCH, "Batch": "T-row"})
        write_workbook(pallets / "twin.xlsx", [CRACKED], batch={**BATCH, "Batch": "T-0"})
        (pallets / "empty.xlsx").write_bytes(b"")
        (pallets / "copy.xlsx").write_bytes((pallets / "3.xlsx").read_bytes())

        here, there = self.both(capsys, two_workers, "grade", "pallets", "--out", "OUT")
        assert here == there
        assert 3 == here[0]
        assert "T-1: 2 batteries" in here[1]
        assert contents(tmp_path / "alone") == contents(tmp_path / "spread")
        assert 1 + 7 * 5 == len(contents(tmp_path / "alone"))
        assert [] == list((tmp_path / "spread").glob(".*"))

        labels = "T-2/T-2-labels.pdf"
        for out in ("alone", "spread"):
            (tmp_path / out / labels).write_bytes(b"changed")
        here, there = self.both(capsys, two_workers, "verify", "OUT", "--workbooks", "pallets")
        assert here == there
        assert 5 == here[0]

        period = ("--from", "2026-06-01", "--to", "2026-06-30")
        for more in ((), ("--verify", "--workbooks", "pallets", "--overwrite")):
            here, there = self.both(capsys, two_workers, "summarise", "OUT", *period, *more)
            assert here == there
            assert (3 if more else 0) == here[0]
            assert contents(tmp_path / "alone") == contents(tmp_path / "spread")

        again = self.both(capsys, two_workers, "grade", "pallets", "--out", "OUT")
        assert again[0] == again[1]
        assert "T-1: graded already" in again[0][1]

    def test_work_is_given_back_in_order_and_an_error_of_it_is_raised_here(self, tmp_path, two_workers):
        with on_cluster.cluster(two_workers.address, seen=[], out=None) as at:
            with Workers(at) as workers:
                assert [n * n for n in range(30)] == list(workers.each(squared, range(30), lost=nothing))
                assert [9] == list(workers.each(squared, [3], lost=nothing))
            with Workers(at) as workers, pytest.raises(ValueError, match="number 0"):
                list(workers.each(failing, range(3), lost=nothing))

    def test_a_rejected_run_leaves_no_folder(self, tmp_path, capsys, two_workers):
        (tmp_path / "empty.xlsx").write_bytes(b"")
        code = main(["grade", str(tmp_path / "empty.xlsx"), "--cluster", two_workers.address])
        assert 3 == code
        assert ["empty.xlsx"] == os.listdir(tmp_path)

    def test_a_folder_of_documents_that_is_a_file_is_named(self, tmp_path, capsys, two_workers):
        book = write_workbook(tmp_path / "pallet.xlsx")
        code = main(["grade", str(book), "--out", str(book), "--cluster", two_workers.address])
        assert 4 == code
        assert 1 == len(capsys.readouterr().err.splitlines())

    def test_the_address_of_a_worker_is_told_from_a_scheduler_s(self, capsys, tmp_path, two_workers):
        from distributed import Client

        with Client(two_workers.address, set_as_default=False) as client:
            worker = next(iter(client.nthreads()))
        assert 2 == main(["grade", str(write_workbook(tmp_path / "pallet.xlsx")), "--cluster", worker])
        assert "a worker answers there, not its scheduler" in capsys.readouterr().err


class TestLostWorkers:
    def test_workers_killed_in_the_middle_cost_nothing_but_time(self, tmp_path, capsys):
        pallets = books(tmp_path / "pallets", 8)
        expected = graded_here(pallets, tmp_path / "here")
        capsys.readouterr()
        assert 0 == main(["grade", str(pallets), "--out", str(tmp_path / "here"), "--overwrite"])
        lines = capsys.readouterr().out
        with loopback(tmp_path / "cluster") as made:
            victims = [made.add_worker(DIES_WHILE_WRITING), made.add_worker(DIES_ONCE_WRITTEN)]
            made.add_worker()
            out = tmp_path / "there"
            code = main(["grade", str(pallets), "--out", str(out), "--cluster", made.address])
            assert [-signal.SIGKILL, -signal.SIGKILL] == [one.wait(HANG_S) for one in victims]
        assert 0 == code
        assert lines == capsys.readouterr().out.replace(str(out), str(tmp_path / "here"))
        assert expected == contents(out)
        assert [] == list(out.glob(".*"))

    def test_an_item_that_ends_its_workers_is_given_up_and_its_neighbours_are_done(self, tmp_path):
        with loopback(tmp_path / "cluster", DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES="0") as made:
            for _ in range(4):  # the item ends three: with neighbours, after them, and alone
                made.add_worker()
            work = partial(killed, victims={3})
            with on_cluster.cluster(made.address, seen=[], out=None) as at, Workers(at) as workers:
                done = list(workers.each(work, range(8), lost=lambda number: f"lost {number}"))
        assert ["lost 3" if n == 3 else n for n in range(8)] == done


class TestStopped:
    @pytest.fixture
    def held(self, tmp_path):
        """Give a cluster whose one worker waits in the middle of its second batch."""
        held, go = tmp_path / "held", tmp_path / "go"
        with loopback(tmp_path / "cluster") as made:
            made.worker = made.add_worker(HOLDS_THE_SECOND.format(held=str(held), go=str(go)))
            made.held, made.go = held, go
            yield made

    def test_a_lost_scheduler_leaves_whole_sets_and_the_next_run_goes_on(self, tmp_path, capsys, held):
        pallets, out = books(tmp_path / "pallets", 6), tmp_path / "out"
        expected = graded_here(pallets, tmp_path / "here")

        def lose():
            until(held.held.exists, "no batch was held")
            held.scheduler.kill()

        losing = threading.Thread(target=lose)
        losing.start()
        code = main(["grade", str(pallets), "--out", str(out), "--cluster", held.address, "--quiet"])
        losing.join()
        printed = capsys.readouterr()
        assert 4 == code
        lost = f"The scheduler at {held.address} is lost. Nothing half-written is left."
        assert f"{lost} Start the same command again; batches already graded are skipped.\n" == printed.err
        (whole,) = [one.name for one in out.glob("[!.]*") if one.is_dir()]
        set_here = {name: content for name, content in expected.items() if name.startswith(f"{whole}/")}
        assert set_here == {f"{whole}/{name}": content for name, content in contents(out / whole).items()}

        held.go.touch()
        held.worker.wait(HANG_S)
        with loopback(tmp_path / "another") as made:
            made.add_worker()
            code = main(["grade", str(pallets), "--out", str(out), "--cluster", made.address])
        assert 0 == code
        assert "graded already" in capsys.readouterr().out
        assert expected == contents(out)
        assert [] == list(out.glob(".*"))

    def test_an_interrupt_takes_back_what_no_worker_has_begun(self, tmp_path, held):
        from distributed import Client

        pallets, out = books(tmp_path / "pallets", 12), tmp_path / "out"
        process = subprocess.Popen(
            [sys.executable, "-m", "intake", "grade", pallets, "--out", out, "--cluster", held.address],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            cwd=ROOT,
            start_new_session=True,
        )
        until(held.held.exists, "no batch was held")
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=HANG_S)
        assert (130, 1) == (process.returncode, len(err.splitlines())), err
        assert err.startswith("Stopped.")
        with Client(held.address, set_as_default=False) as client:
            until(lambda: not client.run_on_scheduler(tasks_known), "tasks are still known")
        held.go.touch()
        until(lambda: not list(out.glob(".*")), "a batch was not finished")
        assert 2 == len([one for one in out.iterdir() if one.is_dir()])


def tasks_known(dask_scheduler):
    return len(dask_scheduler.tasks)


@pytest.mark.parametrize(("fallen", "code"), [(True, 5), (False, 6)])
def test_verify_stops_in_the_middle_with_what_it_has_found(tmp_path, capsys, monkeypatch, fallen, code):
    pallets, out = books(tmp_path / "pallets", 2), tmp_path / "out"
    graded_here(pallets, out)
    if fallen:
        (out / "T-0" / "T-0-labels.pdf").write_bytes(b"changed")
    monkeypatch.setattr("intake.cli.verify_command.verify_batches", lost_after_the_first)
    assert code == main(["verify", str(out), "--workbooks", str(pallets)])
    assert "It is gone. The folders not named above were not checked. Start" in capsys.readouterr().err


def lost_after_the_first(folders, *given, **options):
    from intake.runner.verify.verify_batches import verify_batches
    from intake.runner.workers.workplace import WorkplaceLost

    yield from verify_batches(folders[:1], *given, **options)
    raise WorkplaceLost("It is gone.")


class TestRefused:
    def refusal(self, tmp_path, capsys, address):
        book = write_workbook(tmp_path / "pallet.xlsx")
        code = main(["grade", str(book), "--out", str(tmp_path / "out"), "--cluster", address])
        printed = capsys.readouterr()
        assert "" == printed.out
        (line,) = printed.err.splitlines()
        assert not (tmp_path / "out").exists()
        return code, line

    def test_another_version_on_a_worker(self, tmp_path, capsys, scheduler):
        worker = scheduler.add_worker(OTHER_VERSION)
        code, line = self.refusal(tmp_path, capsys, scheduler.address)
        worker.kill()
        assert 2 == code
        assert f"has intake 0.0.9, this command {dict(on_worker.own_versions())['intake']}." in line

    def test_another_library_of_the_same_name_on_a_worker(self, tmp_path, capsys, scheduler):
        foreign = "import sys, types; sys.modules['intake'] = types.ModuleType('intake')"
        worker = scheduler.add_worker(foreign)
        code, line = self.refusal(tmp_path, capsys, scheduler.address)
        worker.kill()
        assert 2 == code
        assert "does not find intake" in line

    def test_locks_that_do_not_reach_a_worker(self, tmp_path, capsys, scheduler):
        worker = scheduler.add_worker(NO_LOCKS)
        code, line = self.refusal(tmp_path, capsys, scheduler.address)
        worker.kill()
        assert 2 == code
        assert f"File locks in {tmp_path / 'out'} do not reach the worker" in line

    def test_storage_that_a_worker_does_not_see(self, tmp_path, capsys, monkeypatch, scheduler):
        monkeypatch.setattr(on_worker, "PATIENCE_S", 2.0)
        apart = ("unshare", "--mount", "sh", "-c", f'mount -t tmpfs tmpfs "{tmp_path}" && exec "$@"', "sh")
        if subprocess.run([*apart, "true"], capture_output=True, check=False).returncode:
            pytest.skip("only a person who may mount a file system can hide a folder from a worker")
        worker = scheduler.add_worker(before=apart)
        code, line = self.refusal(tmp_path, capsys, scheduler.address)
        worker.kill()
        assert 2 == code
        assert f"does not see {tmp_path / 'pallet.xlsx'} as this command does" in line

    def test_no_worker_at_all(self, tmp_path, capsys, monkeypatch):
        monkeypatch.setattr(on_cluster, "NO_WORKER_S", 1.0)
        with loopback(tmp_path / "cluster") as made:
            code, line = self.refusal(tmp_path, capsys, made.address)
        assert (2, True) == (code, "has no worker" in line)

    def test_no_worker_any_more(self, tmp_path, capsys, monkeypatch):
        monkeypatch.setattr(on_cluster, "NO_WORKER_S", 1.0)
        with loopback(tmp_path / "cluster") as made:
            made.add_worker(DIES_WHILE_WRITING)
            code, line = self.refusal(tmp_path, capsys, made.address)
        assert (4, True) == (code, "has taken work for 1 s" in line)

    def test_a_worker_that_comes_later_and_has_another_version(self, tmp_path, capsys, monkeypatch):
        look = on_cluster._look_at_workers

        def look_too_early(*given):
            look(*given)
            adding.start()

        monkeypatch.setattr(on_cluster, "_look_at_workers", look_too_early)
        with loopback(tmp_path / "cluster") as made:
            adding = threading.Thread(target=made.add_worker, args=(OTHER_VERSION,))
            code, line = self.refusal(tmp_path, capsys, made.address)
            adding.join()
        assert (4, True) == (code, "has intake 0.0.9" in line)


class TestWrongAddress:
    @pytest.fixture(autouse=True)
    def _soon(self, monkeypatch):
        monkeypatch.setattr(on_cluster, "CONNECT_S", 1.5)

    @contextmanager
    def listening(self, answer):
        """Listen at a free port and give its number; ``answer`` is sent to who comes, None: nothing is."""
        with socket.create_server(("127.0.0.1", 0)) as server:
            kept = []

            def serve():
                while True:
                    try:
                        visitor, _ = server.accept()
                    except OSError:
                        return
                    kept.append(visitor)
                    if answer is not None:
                        visitor.sendall(answer)
                        visitor.close()

            threading.Thread(target=serve, daemon=True).start()
            yield server.getsockname()[1]
            for visitor in kept:
                visitor.close()

    def refusal(self, tmp_path, capsys, address):
        assert 2 == main(["grade", str(write_workbook(tmp_path / "pallet.xlsx")), "--cluster", address])
        (line,) = capsys.readouterr().err.splitlines()
        return line

    @pytest.mark.parametrize("answer", [None, b"", b"HTTP/1.1 400 Bad Request\r\n\r\n" * 20])
    def test_what_listens_is_no_scheduler(self, tmp_path, capsys, answer):
        with self.listening(answer) as port:
            line = self.refusal(tmp_path, capsys, f"127.0.0.1:{port}")
        assert f"No dask scheduler can be reached at tcp://127.0.0.1:{port}: nothing answers" in line

    def test_nothing_listens(self, tmp_path, capsys):
        with self.listening(None) as port:
            pass
        assert "nothing answers" in self.refusal(tmp_path, capsys, f"tcp://127.0.0.1:{port}")

    def test_certificates_are_missing(self, tmp_path, capsys):
        with self.listening(None) as port:
            line = self.refusal(tmp_path, capsys, f"tls://127.0.0.1:{port}")
        assert "certificates" in line

    def test_the_extra_is_not_installed(self, tmp_path, capsys, monkeypatch):
        monkeypatch.setitem(sys.modules, "distributed", None)
        assert "pip install '.[cluster]'" in self.refusal(tmp_path, capsys, "127.0.0.1:1")

    @pytest.mark.parametrize(
        "address",
        ["scheduler", "127.0.0.1", "127.0.0.1:0", "127.0.0.1:65536", "ftp://a:1", "tcp://a b:1", ""],
    )
    def test_what_is_no_address_is_wrong_usage(self, tmp_path, capsys, address):
        with pytest.raises(SystemExit) as ending:
            main(["grade", str(tmp_path), "--cluster", address])
        assert 2 == ending.value.code
        assert "is no address of a scheduler" in capsys.readouterr().err
