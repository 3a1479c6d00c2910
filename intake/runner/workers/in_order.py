"""The same work for many items, handed to an executor and given back in order."""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future
from concurrent.futures import wait as wait_for
from itertools import islice
from types import TracebackType
from typing import Generic, NamedTuple, Self, TypeVar

from intake.runner.workers.workplace import Workplace

Item = TypeVar("Item")
Work = TypeVar("Work")


class _Handed(NamedTuple, Generic[Item, Work]):
    """An item and the promise of what comes of it."""

    item: Item
    future: "Future[Work]"
    again: bool = False
    """Whether it was lost once before."""


class Workers:
    """What a workplace has to do for a run; without a workplace the work is done in this process."""

    def __init__(self, at: Workplace | None) -> None:
        self._at = at
        self._executor: Executor | None = None

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

        ``lost`` gives the answer for an item whose process was ended (for want of memory, as a rule) even
        when nothing else of the run was at work. ``work`` has to be picklable, and to bear being done again:
        a process may end between doing it and saying so.

        Raises
        ------
        WorkplaceLost
            The place itself is gone.
        """
        if self._at is None or len(items) < self._at.fewest:
            yield from map(work, items)
            return
        left = iter(items)
        handed_out: deque[_Handed[Item, Work]] = deque()
        while True:
            for item in islice(left, max(0, self._at.ahead() - len(handed_out))):
                handed_out.append(_Handed(item, self._hand_out(work, item)))
            if not handed_out:
                return
            first = handed_out.popleft()
            try:
                yield first.future.result()
            except BrokenExecutor:
                wait_for([one.future for one in handed_out])
                self._close()
                yield self._alone(work, first.item, lost)
                handed_out = deque(self._once_more(work, one) for one in handed_out)

    def _once_more(self, work: Callable[[Item], Work], one: "_Handed[Item, Work]") -> "_Handed[Item, Work]":
        """Hand an item out again that was lost with a neighbour; one lost twice waits to be done alone.

        So an item that ends its process ends three at most.
        """
        if one.again or _finished(one.future):
            return one
        return _Handed(one.item, self._hand_out(work, one.item), again=True)

    def _hand_out(self, work: Callable[[Item], Work], item: Item) -> "Future[Work]":
        assert self._at is not None
        if self._executor is None:
            self._executor = self._at.open()
        try:
            return self._executor.submit(work, item)
        except BrokenExecutor as broken:
            future: Future[Work] = Future()
            future.set_exception(broken)
            return future

    def _alone(self, work: Callable[[Item], Work], item: Item, lost: Callable[[Item], Work]) -> Work:
        """Do the work for one item while nothing else is handed out: another may have ended it."""
        try:
            return self._hand_out(work, item).result()
        except BrokenExecutor:
            self._close()
            return lost(item)

    def _close(self) -> None:
        if self._executor is not None:
            self._executor.shutdown(wait=True, cancel_futures=True)
            self._executor = None


def _finished(future: "Future[Work]") -> bool:
    return future.done() and not future.cancelled() and not isinstance(future.exception(), BrokenExecutor)
