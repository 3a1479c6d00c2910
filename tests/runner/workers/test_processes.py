"""Work on several processes: in order, and with an end for every item whatever becomes of a process."""

import os
import signal
import subprocess
import sys
import time
from functools import partial
from multiprocessing import active_children

import pytest

from intake.runner.workers.in_order import Workers
from intake.runner.workers.processes import processes
from tests.architecture.source import ROOT


def squared(number):
    return number * number


def later_first(number):
    time.sleep(0.3 if number == 0 else 0)
    return number


def killed(number, *, victims, once=None):
    if number in victims and not (once and (once / str(number)).exists()):
        if once:
            (once / str(number)).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def interrupted(number):
    raise KeyboardInterrupt


def failing(number):
    raise ValueError(f"number {number}")


def nothing(number):
    return None


@pytest.mark.parametrize("jobs", [1, 2])
@pytest.mark.parametrize("count", [0, 1, 30])
def test_results_come_in_the_order_of_the_items(jobs, count):
    with Workers(processes(jobs)) as workers:
        assert [n * n for n in range(count)] == list(workers.each(squared, range(count), lost=nothing))


def test_a_slow_first_item_is_waited_for():
    with Workers(processes(2)) as workers:
        assert [0, 1, 2, 3] == list(workers.each(later_first, range(4), lost=nothing))


def test_the_same_processes_do_one_kind_of_work_after_another():
    with Workers(processes(2)) as workers:
        first = set(workers.each(process_id, range(6), lost=nothing))
        assert set(workers.each(process_id, range(6), lost=nothing)) <= first
        assert os.getpid() not in first


def process_id(number):
    return os.getpid()


@pytest.mark.parametrize(("jobs", "items", "started"), [(5, 2, 2), (5, 3, 3), (2, 3, 2)])
def test_no_more_processes_are_started_than_there_are_items(jobs, items, started):
    with Workers(processes(jobs)) as workers:
        assert list(range(items)) == list(workers.each(later_first, range(items), lost=nothing))
        assert started == len(active_children())
    assert not active_children()


def test_an_item_that_ends_its_process_is_given_up_and_the_others_are_done():
    with Workers(processes(2)) as workers:
        done = list(
            workers.each(partial(killed, victims={3, 9}), range(12), lost=lambda number: f"lost {number}")
        )
    assert ["lost 3" if n == 3 else "lost 9" if n == 9 else n for n in range(12)] == done


def test_an_item_whose_process_was_ended_once_is_done_after_all(tmp_path):
    with Workers(processes(2)) as workers:
        assert [0, 1] == list(workers.each(later_first, range(2), lost=nothing))  # both processes stand ready
        work = partial(killed, victims={0}, once=tmp_path)
        assert list(range(8)) == list(workers.each(work, range(8), lost=nothing))


def lost_beside_a_long_one(number, *, begun, ended):
    """Item 0 stays at work; item 1 then ends its own process. Both are done the next time."""
    if number == 0 and not begun.exists():
        begun.touch()
        time.sleep(3600)
    while not begun.exists():
        time.sleep(0.01)
    if number == 1 and not ended.exists():
        ended.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def test_a_process_that_ends_beside_one_at_work_is_noticed(tmp_path):
    work = partial(lost_beside_a_long_one, begun=tmp_path / "begun", ended=tmp_path / "ended")
    with Workers(processes(2)) as workers:
        assert [0, 1] == list(workers.each(work, range(2), lost=nothing))


def test_an_error_of_the_work_is_raised_here():
    with Workers(processes(2)) as workers, pytest.raises(ValueError, match="number 0"):
        list(workers.each(failing, range(3), lost=nothing))


def test_an_interrupt_of_a_process_interrupts_the_run():
    with Workers(processes(2)) as workers, pytest.raises(KeyboardInterrupt):
        list(workers.each(interrupted, range(3), lost=nothing))


SLEEPERS = """
import sys, time
from intake.runner.workers.in_order import Workers
from intake.runner.workers.processes import processes
from tests.runner.workers.test_processes import tell_and_sleep
if __name__ == "__main__":
    with Workers(processes(2)) as workers:
        list(workers.each(tell_and_sleep, range(4), lost=print))
"""


def tell_and_sleep(number):
    sys.stderr.write(f"{os.getpid()}\n")
    sys.stderr.flush()
    time.sleep(600)


def is_running(process):
    try:
        with open(f"/proc/{process}/stat", encoding="ascii") as status:
            return status.read().rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks into /proc")
def test_no_process_outlives_a_parent_that_was_killed(tmp_path):
    program = tmp_path / "sleepers.py"
    program.write_text(SLEEPERS, encoding="utf-8")
    parent = subprocess.Popen(
        [sys.executable, program],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert parent.stderr is not None
    children = [int(parent.stderr.readline()) for _ in range(2)]
    assert all(map(is_running, children))

    parent.kill()
    parent.wait()
    parent.stderr.close()

    end = time.monotonic() + 240
    while any(map(is_running, children)) and time.monotonic() < end:
        time.sleep(0.05)
    assert [] == [child for child in children if is_running(child)]
