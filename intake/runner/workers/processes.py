"""Processes on this machine as a place of work."""

from typing import TYPE_CHECKING

from intake.runner.workers.workplace import Workplace

if TYPE_CHECKING:
    from intake.runner.workers.pool import Pool

_AHEAD_PER_JOB = 4


def processes(jobs: int) -> Workplace | None:
    """Return so many processes that each take the next item; None where one job is enough: this process."""
    return None if jobs == 1 else _Processes(jobs)


class _Processes:
    """A workplace on this machine."""

    fewest = 2

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs

    def open(self, items: int, /) -> "Pool":
        from intake.runner.workers.pool import Pool  # one workbook needs no second process

        return Pool(min(self._jobs, items))  # all are started at once, with work or without

    def ahead(self) -> int:
        return self._jobs * _AHEAD_PER_JOB
