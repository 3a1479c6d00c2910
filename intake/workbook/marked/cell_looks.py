"""The looks of a marked copy, added behind those that the workbook has: greys only, told apart in print."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple
from xml.dom.minidom import Element

from intake.model.finding import Severity
from intake.workbook.marked.package import (
    add_element,
    elements,
    parse,
    remove,
    root_of,
    serialised,
)
from intake.workbook.reading.sheet_scan import SPREADSHEET

NO_STYLES = (
    f'<styleSheet xmlns="{SPREADSHEET}"><fonts count="1"><font/></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
    '<cellXfs count="1"><xf/></cellXfs></styleSheet>'
).encode()
"""The styles of a workbook that comes without any."""

_PATTERNS = {
    Severity.ERROR: ("lightUp", "FF595959", "FFDCDCDC"),
    Severity.WARNING: ("lightHorizontal", "FF8C8C8C", "FFECECEC"),
    Severity.NOTE: ("gray0625", "FF8C8C8C", "FFFAFAFA"),
}
"""Pattern, its lines and its ground."""
_EDGES = ("left", "right", "top", "bottom")
_AFTER_DIFFERENTIALS = ("tableStyles", "colors", "extLst")


class _Node(NamedTuple):
    """An element to be added."""

    name: str
    attributes: Mapping[str, str] = {}
    children: "tuple[_Node, ...]" = ()


_BOLD = _Node("b")
_LOOKS = {
    "title": (_BOLD, "14", {}),
    "head": (_BOLD, "10", {"wrapText": "1"}),
    "text": (None, "10", {"wrapText": "1"}),
    "plain": (None, "10", {"horizontal": "left"}),
    "link": (_Node("u"), "10", {}),
}
"""Weight or line, size in points, and alignment."""


@dataclass(frozen=True, slots=True)
class Looks:
    """Where the added looks stand among the workbook's own."""

    marks: Mapping[Severity, int]
    """Differential formats of marked cells."""
    cells: Mapping[str, int]
    """Cell formats of the list of findings."""


def add_looks(styles: bytes) -> tuple[bytes, Looks]:
    """Return the styles part with the looks of a marked copy; one that has them already gets no more."""
    document = parse(styles)
    root = root_of(document)
    differentials = _differentials(root)
    marks = {one: _place(differentials, _mark(one)) for one in Severity}
    fonts, formats = (_only(root, name) for name in ("fonts", "cellXfs"))
    cells = {name: _place(formats, _format(_place(fonts, _font(name)), name)) for name in _LOOKS}
    return serialised(document), Looks(marks, cells)


def _mark(severity: Severity) -> _Node:
    pattern, line, ground = _PATTERNS[severity]
    colour = _Node("color", {"rgb": line})
    fill = _Node(
        "patternFill",
        {"patternType": pattern},
        (_Node("fgColor", {"rgb": line}), _Node("bgColor", {"rgb": ground})),
    )
    font = (_Node("font", {}, (_BOLD,)),) if severity is Severity.ERROR else ()
    edges = tuple(_Node(edge, {"style": "thin"}, (colour,)) for edge in _EDGES)
    return _Node("dxf", {}, (*font, _Node("fill", {}, (fill,)), _Node("border", {}, edges)))


def _font(look: str) -> _Node:
    stress, size, _ = _LOOKS[look]
    first = (stress,) if stress else ()
    return _Node("font", {}, (*first, _Node("sz", {"val": size}), _Node("name", {"val": "Arial"})))


def _format(font: int, look: str) -> _Node:
    alignment = _Node("alignment", {"vertical": "top", **_LOOKS[look][2]})
    plain = {"numFmtId": "0", "fontId": str(font), "fillId": "0", "borderId": "0"}
    return _Node("xf", {**plain, "applyFont": "1", "applyAlignment": "1"}, (alignment,))


def _only(root: Element, name: str) -> Element:
    return next(one for one in elements(root, name) if one.parentNode is root)


def _children(parent: Element) -> list[Element]:
    return [one for one in parent.childNodes if isinstance(one, Element)]


def _differentials(root: Element) -> Element:
    """Return the list of differential formats, made where it belongs if there is none."""
    for one in _children(root):
        if one.localName == "dxfs":
            return one
    following = next((one for one in _children(root) if one.localName in _AFTER_DIFFERENTIALS), None)
    return add_element(root, "dxfs", {"count": "0"}, before=following)


def _place(group: Element, node: _Node) -> int:
    """Return the number of an entry of a list, added at its end if it is not there."""
    there = _children(group)
    entry = _add(group, node)
    for number, one in enumerate(there):
        if one.toxml() == entry.toxml():
            remove(entry)
            return number
    group.setAttribute("count", str(len(there) + 1))
    return len(there)


def _add(parent: Element, node: _Node) -> Element:
    added = add_element(parent, node.name, node.attributes)
    for child in node.children:
        _add(added, child)
    return added
