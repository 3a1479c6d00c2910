"""What the exit codes mean. They are a promise; the messages are not."""

from enum import IntEnum


class ExitCode(IntEnum):
    """The documented exit codes."""

    DONE = 0
    """Every workbook graded or checked, no error finding."""
    ROW_ERRORS = 1
    """Documents written, but some battery is unresolved for an error in its row."""
    USAGE = 2
    """Wrong usage."""
    REJECTED = 3
    """At least one workbook was rejected: nothing was written for it, everything for the others.

    ``summarise``: a results file was left out; the register holds the others.
    """
    NOT_WRITTEN = 4
    """A document could not be written; nothing half-written is left."""
    FALLEN = 5
    """``verify``: a document no longer stands."""
    NOTHING_CHECKED = 6
    """``verify``: of at least one batch nothing could be checked, and nothing differs."""
    INTERRUPTED = 130
    """Stopped by the keyboard."""
