"""Which edition of a batch's documents this is: what changed since the one before, why, and who says so."""

from typing import NamedTuple

GRADE = "grade"
"""Field of a change that is no cell of the workbook."""
HOLD = "hold readings"
"""Field of a change in the hold readings of a battery, in whatever columns they stand."""
BATTERY = "battery"
"""Field of a change of a whole row: a battery that is new, or gone."""
PRESENT, ABSENT = "in the batch", "not in the batch"
"""What such a change is from and to."""


class Change(NamedTuple):
    """One cell or one grade that differs from the revision before."""

    tag: str
    """Empty for the Batch sheet."""
    field: str
    """Header of the column, or ``grade``."""
    before: str
    """Empty: it was blank, or the battery was not there."""
    after: str
    """Empty: it is blank now, or the battery is gone."""


class Revision(NamedTuple):
    """One edition in the chain of a batch's documents."""

    number: int = 1
    reason: str | None = None
    """Why it was graded again; None for the first."""
    by: str | None = None
    replaces: str | None = None
    """SHA-256 of the results.json of the revision before."""
    changes: tuple[Change, ...] = ()


FIRST = Revision()
