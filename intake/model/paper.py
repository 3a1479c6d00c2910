"""Paper sizes that the documents come in."""

from enum import StrEnum


class Paper(StrEnum):
    """A sheet of paper."""

    A4 = "a4"
    """210 x 297 mm."""
    LETTER = "letter"
    """8.5 x 11 in."""
