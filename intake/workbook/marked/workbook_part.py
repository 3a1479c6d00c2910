"""The workbook part of a marked copy: its sheets, the list of findings among them, macros left out."""

from dataclasses import dataclass
from xml.dom.minidom import Document, Element

from intake.model.finding import FINDINGS_SHEET
from intake.workbook.marked.package import (
    CONTENT_TYPES,
    DOCUMENT_RELATIONS,
    Package,
    add_element,
    elements,
    parse,
    serialised,
)

_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
SHEET_TYPE = f"{_KIND}.worksheet+xml"
"""What a worksheet is declared as."""
STYLES_TYPE = f"{_KIND}.styles+xml"
"""What the styles are declared as."""
_PLAIN_TYPE = f"{_KIND}.sheet.main+xml"
_WITH_MACROS = (
    "application/vnd.ms-excel.sheet.macroEnabled.main+xml",
    "application/vnd.ms-excel.template.macroEnabled.main+xml",
)
_BOOK_TYPES = frozenset({_PLAIN_TYPE, f"{_KIND}.template.main+xml", *_WITH_MACROS})
_MACROS = "vbaProject"
_SIGNATURES = "_xmlsignatures/"


@dataclass(frozen=True, slots=True)
class ListedSheet:
    """One entry of the workbook's list of sheets."""

    name: str
    part: str
    kind: str
    """``worksheet``, ``chartsheet`` and the like."""


def find_book(package: Package) -> str:
    """Return the name of the workbook part: the one declared as such, or that the package itself leads to.

    Some libraries declare it as what every .xml part is by default, which names none.
    """
    for one in elements(parse(package.read(CONTENT_TYPES)), "Override"):
        if one.getAttribute("ContentType") in _BOOK_TYPES:
            return one.getAttribute("PartName").lstrip("/")
    for relation in package.relations(""):
        if relation.kind == "officeDocument" and relation.target in package:
            return relation.target
    raise ValueError("a file without a workbook part")


def listed_sheets(package: Package, book: str) -> list[ListedSheet]:
    """Return the sheets in their order."""
    relations = {one.key: one for one in package.relations(book)}
    found = []
    for entry in _entries(parse(package.read(book))):
        relation = relations[entry.getAttributeNS(DOCUMENT_RELATIONS, "id")]
        found.append(ListedSheet(entry.getAttribute("name"), relation.target, relation.kind))
    return found


def _entries(document: Document) -> list[Element]:
    return [entry for group in elements(document, "sheets") for entry in elements(group, "sheet")]


def place_list(package: Package, book: str, content: bytes, old: ListedSheet | None) -> None:
    """Put the list of findings in its place, first of all or where an earlier one stands, and open at it."""
    if old is not None:
        package.write(old.part, content)
        names = [sheet.name for sheet in listed_sheets(package, book)]
        _open_at(package, book, names.index(old.name))
        return
    part = package.free_name("xl/worksheets/sheet{}.xml")
    package.write(part, content)
    package.declare(part, SHEET_TYPE)
    key = package.relate(book, "worksheet", part)
    document = parse(package.read(book))
    entries = _entries(document)
    number = 1 + max(int(entry.getAttribute("sheetId")) for entry in entries)
    (group,) = elements(document, "sheets")
    attributes = {"name": FINDINGS_SHEET, "sheetId": str(number), "xmlns:mark": DOCUMENT_RELATIONS}
    add_element(group, "sheet", {**attributes, "mark:id": key}, before=entries[0])
    for name in elements(document, "definedName"):
        if name.hasAttribute("localSheetId"):
            name.setAttribute("localSheetId", str(int(name.getAttribute("localSheetId")) + 1))
    package.write(book, serialised(document))
    _open_at(package, book, 0)


def _open_at(package: Package, book: str, place: int) -> None:
    """Let the workbook open at one of its sheets."""
    document = parse(package.read(book))
    for view in elements(document, "workbookView"):
        view.setAttribute("activeTab", str(place))
        view.setAttribute("firstSheet", str(place))
    package.write(book, serialised(document))


def drop_what_runs(package: Package, book: str) -> list[str]:
    """Leave out macros, and a signature that the marks would break; say what was left out."""
    lost = []
    macros = [one for one in package.relations(book) if one.kind == _MACROS]
    for one in macros:
        package.unrelate(book, one.key)
        for part in (one.target, *(further.target for further in package.relations(one.target))):
            if part in package:
                package.undeclare(part)
                package.drop(part)
    if macros:
        lost.append("macros")
    package.declare(book, _PLAIN_TYPE)
    signatures = [part for part in package if part.casefold().startswith(_SIGNATURES)]
    for part in signatures:
        package.undeclare(part)
        package.drop(part)
    if signatures:
        lost.append("the digital signature")
        for relation in package.relations(""):
            if relation.kind == "origin":
                package.unrelate("", relation.key)
    return lost
