"""The parts of an .xlsx file as a marked copy changes them: all others pass through byte for byte."""

import posixpath
from collections.abc import Iterator, Mapping
from io import BytesIO
from typing import NamedTuple
from xml.dom.minidom import Document, Element, parseString
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

CONTENT_TYPES = "[Content_Types].xml"
DOCUMENT_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_NO_RELATIONS = f'<Relationships xmlns="{_PACKAGE_RELATIONS}"/>'.encode()
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The first moment an archive can name: the same bytes on any day."""


class Relation(NamedTuple):
    """One arrow from a part to another."""

    key: str
    kind: str
    """The last word of its type, like ``comments``."""
    target: str
    """Name of the part in the archive; the address itself where it leads outside."""


class Package:
    """An archive that passed the guard, with changes on top."""

    def __init__(self, content: bytes) -> None:
        self._archive = ZipFile(BytesIO(content))
        self._names = {one.casefold(): one for one in self._archive.namelist() if not one.endswith("/")}
        self._changed: dict[str, bytes] = {}
        self._dropped: set[str] = set()

    def __iter__(self) -> Iterator[str]:
        yield from (one for one in self._names.values() if one not in self._dropped)

    def __contains__(self, name: str) -> bool:
        return self._names.get(name.casefold(), "") not in {"", *self._dropped}

    def read(self, name: str) -> bytes:
        """Return a part; part names know no capitals."""
        stored = self._names[name.casefold()]
        return self._changed[stored] if stored in self._changed else self._archive.read(stored)

    def write(self, name: str, content: bytes) -> None:
        """Replace a part or add a new one."""
        self._changed[self._names.setdefault(name.casefold(), name)] = content

    def drop(self, name: str) -> None:
        """Leave a part out."""
        self._dropped.add(self._names[name.casefold()])

    def free_name(self, pattern: str) -> str:
        """Return the first name of a pattern like ``xl/comments{}.xml`` that no part has."""
        number = 1
        while pattern.format(number).casefold() in self._names:
            number += 1
        return pattern.format(number)

    def packed(self) -> bytes:
        """Return the archive, the parts in their old order, new ones last."""
        target = BytesIO()
        with ZipFile(target, "w", ZIP_DEFLATED) as archive:
            for name in self:
                member = ZipInfo(name, _EARLIEST)
                member.compress_type = ZIP_DEFLATED
                archive.writestr(member, self.read(name))
        return target.getvalue()

    def relations(self, part: str) -> list[Relation]:
        """Return the arrows that leave a part."""
        name = _relations_of(part)
        if name not in self:
            return []
        found = []
        for one in elements(parse(self.read(name)), "Relationship"):
            target = one.getAttribute("Target")
            if one.getAttribute("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", posixpath.dirname(part), target)).lstrip("/")
            found.append(Relation(one.getAttribute("Id"), _last_word(one.getAttribute("Type")), target))
        return found

    def relate(self, part: str, kind: str, target: str) -> str:
        """Draw an arrow from a part to another; return its key."""
        name = _relations_of(part)
        document = parse(self.read(name) if name in self else _NO_RELATIONS)
        taken = {one.getAttribute("Id") for one in elements(document, "Relationship")}
        key = next(key for number in range(1, len(taken) + 2) if (key := f"rIdMark{number}") not in taken)
        entry = {"Id": key, "Type": f"{DOCUMENT_RELATIONS}/{kind}", "Target": f"/{target}"}
        add_element(root_of(document), "Relationship", entry)
        self.write(name, serialised(document))
        return key

    def unrelate(self, part: str, key: str) -> None:
        """Take an arrow away."""
        name = _relations_of(part)
        document = parse(self.read(name))
        for one in elements(document, "Relationship"):
            if one.getAttribute("Id") == key:
                remove(one)
        self.write(name, serialised(document))

    def declare(self, part: str, content_type: str) -> None:
        """Say of a part what it is."""
        document = parse(self.read(CONTENT_TYPES))
        for one in _declarations(document, part):
            one.setAttribute("ContentType", content_type)
            break
        else:
            entry = {"PartName": f"/{part}", "ContentType": content_type}
            add_element(root_of(document), "Override", entry)
        self.write(CONTENT_TYPES, serialised(document))

    def undeclare(self, part: str) -> None:
        """Forget what a part is."""
        document = parse(self.read(CONTENT_TYPES))
        for one in _declarations(document, part):
            remove(one)
        self.write(CONTENT_TYPES, serialised(document))


def _declarations(document: Document, part: str) -> list[Element]:
    named = part.casefold()
    return [
        one
        for one in elements(document, "Override")
        if one.getAttribute("PartName").lstrip("/").casefold() == named
    ]


def _relations_of(part: str) -> str:
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def _last_word(address: str) -> str:
    return address.rsplit("/", 1)[-1]


def parse(content: bytes) -> Document:
    """Return a part that the guard has passed as a tree that keeps its names as they are written."""
    return parseString(content)


def root_of(document: Document) -> Element:
    """Return the outermost element."""
    root = document.documentElement
    if not isinstance(root, Element):
        raise ValueError("a part without an element")
    return root


def elements(parent: Document | Element, name: str) -> list[Element]:
    """Return the elements of a name, whatever prefix they are written with, at any depth."""
    return list(parent.getElementsByTagNameNS("*", name))


def add_element(
    parent: Element, name: str, attributes: Mapping[str, str], before: Element | None = None
) -> Element:
    """Add a child that is written with its parent's prefix."""
    document = parent.ownerDocument
    if document is None:
        raise ValueError("an element outside any part")
    written = f"{parent.prefix}:{name}" if parent.prefix else name
    child = document.createElementNS(parent.namespaceURI, written)
    for key, value in attributes.items():
        child.setAttribute(key, value)
    parent.insertBefore(child, before)
    return child


def remove(element: Element) -> None:
    """Take an element out of its part."""
    if element.parentNode is not None:
        element.parentNode.removeChild(element)


def serialised(document: Document) -> bytes:
    """Return a tree as a part."""
    return bytes(document.toxml(encoding="UTF-8", standalone=True))
