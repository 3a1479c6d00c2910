"""The two shipped typefaces: registered once, measured by their own widths."""

from enum import StrEnum
from functools import cache
from io import BytesIO

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from intake.policy.resources import resource


class Face(StrEnum):
    """A typeface, by the name under which it is registered."""

    REGULAR = "DejaVuSansCondensed"
    BOLD = "DejaVuSansCondensed-Bold"


EM = 1000.0
"""Widths of signs are in thousandths of the type size."""


@cache
def load_face(face: Face) -> TTFont:
    """Register the shipped font file and return the font."""
    font = TTFont(face.value, BytesIO(resource("templates", f"fonts/{face.value}.ttf").read_bytes()))
    pdfmetrics.registerFont(font)
    return font


@cache
def sign_widths(face: Face) -> dict[int, float]:
    """Return the width of each sign by its code point, in thousandths of the type size."""
    widths: dict[int, float] = load_face(face).face.charWidths
    return widths


@cache
def printable_codes() -> frozenset[int]:
    """Return the code points that both faces can draw."""
    both = (load_face(face).face.charToGlyph for face in Face)
    return frozenset.intersection(*(frozenset(glyphs) for glyphs in both))
