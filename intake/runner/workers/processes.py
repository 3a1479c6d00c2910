"""Processes on this machine: what the standard executor leaves to whoever starts them."""

import os
import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread
from typing import ParamSpec, TypeVar

from intake.runner.workers.workplace import Workplace

Given = ParamSpec("Given")
Work = TypeVar("Work")

_AHEAD_PER_JOB = 4


def processes(jobs: int) -> Workplace | None:
    """Return so many processes that each take the next item; None where one job is enough: this process."""
    return None if jobs == 1 else _Processes(jobs)


class _Processes:
    """A workplace on this machine."""

    fewest = 2

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs

    def open(self) -> "_Pool":
        return _Pool(self._jobs)

    def ahead(self) -> int:
        return self._jobs * _AHEAD_PER_JOB


class _Pool(ProcessPoolExecutor):
    """The standard executor, whose work an interrupt ends in order."""

    def __init__(self, jobs: int) -> None:
        super().__init__(
            max_workers=jobs,
            mp_context=get_context("spawn"),  # a fork would copy the locks of the progress bar's thread
            initializer=_begin,
        )
        # Else the library starts a process beside the thread that watches for lost ones, which may miss it.
        self._safe_to_dynamically_spawn_children = False

    def submit(
        self, work: Callable[Given, Work], /, *args: Given.args, **kwargs: Given.kwargs
    ) -> "Future[Work]":
        return super().submit(_interruptible, partial(work, *args, **kwargs))


def _begin() -> None:
    """Set up a process: no trace when it is interrupted while idle, and an end when its parent is killed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def _interruptible(work: Callable[[], Work]) -> Work:
    """Do the work so that an interrupt ends it in order, with nothing half-written left."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        return work()
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
