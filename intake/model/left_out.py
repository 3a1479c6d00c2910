"""What could not be counted, apart from the register: every run that looks through folders may have some."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A results file that is in no sum, and why."""

    file: str
    reason: str
