"""Cell notes of a marked copy: laid beside those that are there, taken out again by their first words."""

import re
from collections.abc import Mapping
from xml.dom.minidom import Element, Text

from intake.workbook.marked.package import add_element, elements, parse, remove, root_of, serialised
from intake.workbook.reading.sheet_scan import SPREADSHEET

NOTE_SIGN = "[intake check]"
"""How every note of a marked copy begins."""

NOTES_MOST = 5_000
"""Cells of one sheet that get a note; the others are marked and listed. Keeps the part below its limit."""

NO_NOTES = f'<comments xmlns="{SPREADSHEET}"><authors/><commentList/></comments>'.encode()
"""A part of notes that holds none."""

NO_DRAWING = (
    b'<xml xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
    b' xmlns:x="urn:schemas-microsoft-com:office:excel"></xml>'
)
"""A drawing of notes that shows none."""

_AUTHOR = "intake check"
_GAP = "\n\n"
_SHAPE = re.compile(rb"<v:shape\b.*?</v:shape>", re.DOTALL)
_PLACE = re.compile(rb"<x:(Row|Column)>\s*(\d+)\s*</x:\1>")
_SHAPE_NUMBER = re.compile(rb"_x0000_s(\d+)")
_BOX_KIND = (
    b'<v:shapetype xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
    b' id="_x0000_t202" coordsize="21600,21600" o:spt="202" path="m,l,21600r21600,l21600,xe">'
    b'<v:stroke joinstyle="miter"/><v:path gradientshapeok="t" o:connecttype="rect"/></v:shapetype>'
)
_BOX_COLUMNS, _BOX_SIGNS_A_LINE, _BOX_LINES_SPARE = 5, 36, 3
_FIRST_SHAPE = 1025
"""Smaller numbers belong to the program that draws."""


def with_notes(notes: bytes, texts: Mapping[str, str]) -> tuple[bytes, frozenset[str], frozenset[str]]:
    """Return the notes part with these texts and without those of an earlier run.

    Also the cells whose note is new and needs a box, and those whose note is gone with its box.
    """
    document = parse(notes)
    root = root_of(document)
    there = {one.getAttribute("ref"): one for one in elements(root, "comment")}
    emptied = {ref for ref, one in there.items() if not _without_sign(one)}
    for ref in emptied:
        remove(there.pop(ref))
    author = _author(root)
    (listed,) = elements(root, "commentList")
    for ref, text in texts.items():
        if ref in there:
            _write(elements(there[ref], "text")[0], _GAP + text)
        else:
            note = add_element(listed, "comment", {"ref": ref, "authorId": author})
            _write(add_element(note, "text", {}), text)
    new = texts.keys() - there.keys()
    return serialised(document), frozenset(new), frozenset(emptied)


def _author(root: Element) -> str:
    (authors,) = elements(root, "authors")
    known = ["".join(text.data for text in _texts(one)) for one in elements(authors, "author")]
    if _AUTHOR not in known:
        _say(add_element(authors, "author", {}), _AUTHOR)
        known.append(_AUTHOR)
    return str(known.index(_AUTHOR))


def _write(text: Element, words: str) -> None:
    run = add_element(text, "r", {})
    _say(add_element(run, "t", {"xml:space": "preserve"}), words)


def _say(element: Element, words: str) -> None:
    if element.ownerDocument is not None:
        element.appendChild(element.ownerDocument.createTextNode(words))


def _texts(element: Element) -> list[Text]:
    return [one for one in element.childNodes if isinstance(one, Text)]


def _without_sign(note: Element) -> bool:
    """Cut what an earlier run wrote off a note; say whether anything of it is left."""
    texts = [text for one in elements(note, "t") for text in _texts(one)]
    whole = "".join(one.data for one in texts)
    sign = whole.find(NOTE_SIGN)
    if sign < 0:
        return True
    left = len(whole[:sign].rstrip("\r\n"))
    for one in texts:
        one.data, left = one.data[:left], max(0, left - len(one.data))
    return any(one.data.strip() for one in texts)


def with_boxes(drawing: bytes, new: Mapping[tuple[int, int], str], gone: frozenset[tuple[int, int]]) -> bytes:
    """Return the drawing with a box for each new note, by row and column from 1, and without some others."""
    kept = _SHAPE.sub(lambda shape: b"" if _cell_of(shape[0]) in gone else shape[0], drawing)
    number = max((int(one) for one in _SHAPE_NUMBER.findall(kept)), default=0)
    number = max(number + 1, _FIRST_SHAPE)
    kind = b"" if b'"_x0000_t202"' in kept or not new else _BOX_KIND
    boxes = b"".join(
        _box(number + order, row, column, text) for order, ((row, column), text) in enumerate(new.items())
    )
    end = kept.rindex(b"</xml>")
    return kept[:end] + kind + boxes + kept[end:]


def _cell_of(shape: bytes) -> tuple[int, int]:
    place = {name: int(number) + 1 for name, number in _PLACE.findall(shape)}
    return place.get(b"Row", 0), place.get(b"Column", 0)


def _box(number: int, row: int, column: int, text: str) -> bytes:
    lines = sum(1 + len(line) // _BOX_SIGNS_A_LINE for line in text.split("\n")) + _BOX_LINES_SPARE
    anchor = (column, 15, max(row - 2, 0), 10, column + _BOX_COLUMNS, 15, max(row - 2, 0) + lines, 4)
    return (
        f'<v:shape xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
        f' xmlns:x="urn:schemas-microsoft-com:office:excel" id="_x0000_s{number}" type="#_x0000_t202"'
        ' style="position:absolute;visibility:hidden" fillcolor="#f7f7f7" o:insetmode="auto">'
        '<v:fill color2="#f7f7f7"/><v:path o:connecttype="none"/>'
        '<v:textbox style="mso-direction-alt:auto"><div style="text-align:left"></div></v:textbox>'
        '<x:ClientData ObjectType="Note"><x:MoveWithCells/><x:SizeWithCells/>'
        f"<x:Anchor>{', '.join(str(one) for one in anchor)}</x:Anchor><x:AutoFill>False</x:AutoFill>"
        f"<x:Row>{row - 1}</x:Row><x:Column>{column - 1}</x:Column></x:ClientData></v:shape>"
    ).encode()
