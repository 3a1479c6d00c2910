"""Paper sizes that the documents come in, and which documents are printed."""

from enum import StrEnum
from typing import NamedTuple


class Paper(StrEnum):
    """A sheet of paper."""

    A4 = "a4"
    """210 x 297 mm."""
    LETTER = "letter"
    """8.5 x 11 in."""


class PaperDocument(StrEnum):
    """A document of a batch that is made to be printed."""

    MANIFEST = "manifest"
    DISPOSAL = "disposal"
    RESALE = "resale"
    LABELS = "labels"


class Printing(NamedTuple):
    """Which documents of a batch are written beside its record and its workbook of results."""

    documents: tuple[PaperDocument, ...] = tuple(PaperDocument)
    """In the order of `PaperDocument`."""
    all_sheets: bool = False
    """A condition sheet for every battery for resale, also where nothing was tested."""


ALL_PAPERS = Printing()
"""Every document, with the condition sheets of what was tested."""
