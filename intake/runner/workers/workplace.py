"""What the runner knows of a place where work is done, and how that place may fail."""

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:  # the command loads this before it knows whether there is anything to hand out
    from concurrent.futures import Executor


class Workplace(Protocol):
    """Processes that work is handed to. All that is asked of them is an executor."""

    fewest: int
    """So many items are worth handing out; fewer are done here."""

    def open(self, items: int, /) -> "Executor":
        """Return an executor for so many items at a time.

        One that lost a process at work raises ``BrokenExecutor`` and is replaced.
        """

    def ahead(self) -> int:
        """Return how many items are handed out before they are asked for; their results wait in memory."""


class NoWorkplace(Exception):
    """The place cannot be used, and nothing was begun. ``str()`` says why and what to do."""


class WorkplaceLost(Exception):
    """The place was lost in the middle of a run. ``str()`` says why and what to do."""
