"""A pool of processes: what the standard executor leaves to whoever starts them."""

import os
import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Work = TypeVar("Work")


class Pool(ProcessPoolExecutor):
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
        """Hand work to a process; see the standard executor."""
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
