"""The same work for many items, done here or handed to a workplace, and given back in order."""

from collections.abc import Callable, Iterator, Sequence
from types import TracebackType
from typing import TYPE_CHECKING, Self, TypeVar

from intake.runner.workers.workplace import Workplace

if TYPE_CHECKING:
    from intake.runner.workers.handed_out import HandedOut

Item = TypeVar("Item")
Work = TypeVar("Work")


class Workers:
    """What a workplace has to do for a run; without a workplace the work is done in this process."""

    def __init__(self, at: Workplace | None) -> None:
        self._at = at
        self._handed_out: HandedOut | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._handed_out is not None:
            self._handed_out.close()

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
        if self._handed_out is None:
            from intake.runner.workers.handed_out import HandedOut  # one workbook needs no executor

            self._handed_out = HandedOut(self._at)
        yield from self._handed_out.each(work, items, lost=lost)
