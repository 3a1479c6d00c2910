"""A scheduler or a worker that answers what it should not: one sentence each, and no waiting without end."""

from concurrent.futures import Executor, Future

import pytest

from intake.runner.workers import cluster as on_cluster
from intake.runner.workers import on_worker
from intake.runner.workers.in_order import Workers
from intake.runner.workers.workplace import NoWorkplace, WorkplaceLost
from tests.runner.workers.test_processes import nothing, squared

pytest.importorskip("distributed", reason="distributed (the extra `cluster`) is not installed")
AT_WORK = {"status": "paused", "nthreads": 2, "metrics": {"task_counts": {"executing": 1}}}


class Odd(Executor):
    """A client and its executor in one, whose tasks end as the test wants."""

    def __init__(self, *, looks=None, ends=None, scheduler=True):
        self.looks, self.ends = looks or {}, ends
        self.scheduler = self if scheduler else None

    identity = None

    def run(self, *given, **options):
        if isinstance(self.looks, Exception):
            raise self.looks
        return self.looks

    def get_executor(self, **options):
        return self

    def sync(self, what, **options):
        return {"workers": {"w": AT_WORK}}

    def submit(self, *given):
        if self.ends is None:
            raise RuntimeError("the client is closed")
        future = Future()
        future.set_exception(self.ends)
        return future

    def close(self, **options):
        raise TimeoutError


def of(odd, monkeypatch):
    monkeypatch.setattr(on_worker, "PATIENCE_S", 0.2)
    monkeypatch.setattr(on_cluster, "_PAUSE_S", 0.01)
    monkeypatch.setattr(on_cluster, "_connected", lambda address: odd)
    with on_cluster.cluster("tcp://a:1", seen=[], out=None) as at, Workers(at) as workers:
        return list(workers.each(squared, [1, 2], lost=nothing))


def test_workers_that_the_scheduler_does_not_reach(monkeypatch):
    with pytest.raises(NoWorkplace, match="The scheduler at tcp://a:1 does not reach its workers: no way"):
        of(Odd(looks=TimeoutError("no way\nat all")), monkeypatch)


def test_a_worker_that_does_not_answer_for_a_while(monkeypatch):
    with pytest.raises(NoWorkplace, match="The worker w does not answer: gone"):
        of(Odd(looks={"w": OSError("gone")}), monkeypatch)


def test_a_task_that_cannot_be_unpacked(monkeypatch):
    with pytest.raises(WorkplaceLost, match="A worker could not take the work: no such module"):
        of(Odd(ends=ImportError("no such module")), monkeypatch)


def test_a_client_that_is_closed(monkeypatch):
    with pytest.raises(WorkplaceLost, match="the client is closed"):
        of(Odd(), monkeypatch)


def test_a_client_that_has_given_up_its_scheduler(monkeypatch):
    with pytest.raises(WorkplaceLost):
        of(Odd(scheduler=False), monkeypatch)


def test_a_run_that_has_ended_takes_no_more(monkeypatch):
    monkeypatch.setattr(on_cluster, "_connected", lambda address: Odd())
    with on_cluster.cluster("tcp://a:1", seen=[], out=None) as at:
        pass
    with Workers(at) as workers, pytest.raises(WorkplaceLost, match=r"The run ended\."):
        list(workers.each(squared, [1], lost=nothing))
