"""The same work for many workbooks, on several processes, handed back in order."""

import os
import signal
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread
from types import TracebackType
from typing import Self, TypeVar

Item = TypeVar("Item")
Work = TypeVar("Work")

_AHEAD_PER_JOB = 4
"""Workbooks handed out before they are asked for; what they give back waits in memory."""


class Workers:
    """So many processes that each take the next workbook; none of their own where one job is enough."""

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._close()

    def each(
        self, work: Callable[[Item], Work], items: Sequence[Item], *, lost: Callable[[Item], Work]
    ) -> Iterator[Work]:
        """Do the work for each item and yield what it gives, in the order given.

        ``lost`` says what stands for an item whose process the system ended (for want of memory,
        as a rule) even when it ran alone. ``work`` has to be picklable.
        """
        if self._jobs == 1 or len(items) < 2:
            yield from map(work, items)
            return
        left = iter(items)
        handed_out: deque[tuple[Item, Future[Work]]] = deque()
        while True:
            for item in islice(left, self._jobs * _AHEAD_PER_JOB - len(handed_out)):
                handed_out.append((item, self._hand_out(work, item)))
            if not handed_out:
                return
            item, future = handed_out.popleft()
            try:
                yield future.result()
            except BrokenProcessPool:
                self._close()
                yield _alone(work, item, lost)
                handed_out = deque(
                    (item, future if _finished(future) else self._hand_out(work, item))
                    for item, future in handed_out
                )

    def _hand_out(self, work: Callable[[Item], Work], item: Item) -> "Future[Work]":
        if self._pool is None:
            self._pool = _processes(self._jobs)
        try:
            return self._pool.submit(_interruptible, work, item)
        except BrokenProcessPool as broken:
            future: Future[Work] = Future()
            future.set_exception(broken)
            return future

    def _close(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None


def _processes(jobs: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(
        max_workers=jobs,
        mp_context=get_context("spawn"),  # a fork would copy the locks of the progress bar's thread
        initializer=_begin,
    )


def _alone(work: Callable[[Item], Work], item: Item, lost: Callable[[Item], Work]) -> Work:
    """Do the work for one item in a process of its own, so that it can end no other's."""
    with _processes(1) as pool:
        try:
            return pool.submit(_interruptible, work, item).result()
        except BrokenProcessPool:
            return lost(item)


def _finished(future: "Future[Work]") -> bool:
    return future.done() and not future.cancelled() and future.exception() is None


def _begin() -> None:
    """Set up a process: no trace when it is interrupted while idle, and an end when its parent is killed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def _interruptible(work: Callable[[Item], Work], item: Item) -> Work:
    """Do the work so that an interrupt ends it in order, with nothing half-written left."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        return work(item)
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
