"""Work handed out to an executor, some ahead for each process, and given back in order."""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future
from concurrent.futures import wait as wait_for
from itertools import islice
from typing import Generic, NamedTuple, TypeVar

from intake.runner.workers.workplace import Workplace

Item = TypeVar("Item")
Work = TypeVar("Work")


class _Handed(NamedTuple, Generic[Item, Work]):
    """An item and the promise of what comes of it."""

    item: Item
    future: "Future[Work]"
    again: bool = False
    """Whether it was lost once before."""


class HandedOut:
    """The executor of a workplace, opened when there is work for it and again when it has broken."""

    def __init__(self, at: Workplace) -> None:
        self._at = at
        self._executor: Executor | None = None
        self._items = 0
        """The most that were to be handed out; as a rule the first work of a run has the most."""

    def each(
        self, work: Callable[[Item], Work], items: Sequence[Item], *, lost: Callable[[Item], Work]
    ) -> Iterator[Work]:
        """Do the work for each item; see `Workers`."""
        self._items = max(self._items, len(items))
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
                self.close()
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
        if self._executor is None:
            self._executor = self._at.open(self._items)
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
            self.close()
            return lost(item)

    def close(self) -> None:
        """End the processes, and what they have not begun."""
        if self._executor is not None:
            self._executor.shutdown(wait=True, cancel_futures=True)
            self._executor = None


def _finished(future: "Future[Work]") -> bool:
    return future.done() and not future.cancelled() and not isinstance(future.exception(), BrokenExecutor)
