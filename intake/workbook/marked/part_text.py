"""Text of findings as a workbook's parts hold it."""

import re
from xml.sax.saxutils import escape

_NO_CHARACTER = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_READ_AS_CODE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")


def plain_note(text: str) -> str:
    """Return text without signs that no part may hold, and safe from being decoded (``_x0041_``)."""
    return _READ_AS_CODE.sub("_x005F_", _NO_CHARACTER.sub(" ", text))


def xml_text(text: str) -> str:
    """Return such a text for the inside of an element or of an attribute in quotation marks."""
    return escape(plain_note(text), {'"': "&quot;"})
