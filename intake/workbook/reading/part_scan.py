"""One pass over one XML part of the archive: bounded, without document types, and read as what it is."""

from collections.abc import Iterable
from pathlib import PurePosixPath
from typing import NamedTuple
from xml.parsers.expat import ExpatError, ParserCreate

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading.file_kind import SAVE_AS_XLSX
from intake.workbook.reading.limits import (
    HELD_BYTES_MOST,
    MARKUP_PIECE_BYTES_MOST,
    MIB,
    NESTING_MOST,
    PART_BYTES_MOST,
    PART_ELEMENTS_MOST,
    SHEET_BYTES_MOST,
    STRING_ELEMENTS_MOST,
    STRINGS_BYTES_MOST,
    TEXT_ELEMENTS_MOST,
)
from intake.workbook.reading.sheet_scan import SAVE_AGAIN, SPLIT, SPREADSHEET, SheetFacts, SheetScanner

WORKSHEET = f"{SPREADSHEET} worksheet"
_STRINGS = f"{SPREADSHEET} sst"
_WORKBOOK = f"{SPREADSHEET} workbook"
_TEXT_DEPTH = 2
_SHEET_ENTRY = f"{SPREADSHEET} sheet"
_STRICT = "http://purl.oclc.org/ooxml/"
_BYTES_MOST = {WORKSHEET: SHEET_BYTES_MOST, _STRINGS: STRINGS_BYTES_MOST}
_KIND = {WORKSHEET: "a worksheet", _STRINGS: "the table of texts"}


class PartFacts(NamedTuple):
    """What was seen in one part."""

    root: str
    """Namespace and name of the outermost element, parted by a blank."""
    sheet_names: tuple[str, ...] = ()
    """Of the part that lists the sheets."""
    sheet: SheetFacts | None = None
    """Of a worksheet."""


def scan_part(name: str, blocks: Iterable[bytes], *, unpacked_bytes: int) -> PartFacts | None:
    """Read one part to its end; None if it is no XML.

    Raises
    ------
    WorkbookRefused
        the part is too large for its kind, carries a document type, nests too deep, is broken, is saved in
        the strict variant, or is a worksheet with rows or cells out of order.
    """
    scan: _PartScan | None = None
    for number, block in enumerate(blocks):
        if number == 0 and _is_xml(name, block):
            scan = _PartScan(unpacked_bytes)
        if scan is not None:
            scan.feed(block)
    return None if scan is None else scan.finish()


_PICTURES = frozenset(
    {".svg", ".png", ".jpg", ".jpeg", ".gif", ".emf", ".wmf", ".bmp", ".tif", ".tiff", ".vml"}
)
"""Never opened here. An .svg may carry a document type, and an old .vml need not be well-formed."""


def _is_xml(name: str, start: bytes) -> bool:
    suffix = PurePosixPath(name).suffix.lower()
    if suffix in _PICTURES:
        return False
    return suffix in (".xml", ".rels") or start.lstrip(b"\xef\xbb\xbf\xff\xfe\x00 \t\r\n").startswith(b"<")


class _PartScan:
    """The parser of one part: its first element says what the others are held to."""

    def __init__(self, unpacked_bytes: int) -> None:
        self._unpacked_bytes = unpacked_bytes
        self._fed = 0
        self._depth = 0
        self._elements = self._in_text = 0
        self._text_began: int | None = None
        self._root = ""
        self._sheet_names: list[str] = []
        self._sheet: SheetScanner | None = None
        self._parser = ParserCreate(namespace_separator=" ")
        self._parser.buffer_text = True
        self._parser.StartDoctypeDeclHandler = _refuse_document_type
        self._parser.StartElementHandler = self._first_element

    def feed(self, block: bytes) -> None:
        self._fed += len(block)
        self._parse(block, final=False)
        began = self._sheet.row_began if self._sheet else self._text_began
        if began is not None and self._fed - began > HELD_BYTES_MOST + len(block):
            raise WorkbookRefused(
                f"One row or one text of the workbook takes over {HELD_BYTES_MOST // MIB} MiB.", SAVE_AGAIN
            )
        if self._fed - self._parser.CurrentByteIndex > MARKUP_PIECE_BYTES_MOST + len(block):
            raise WorkbookRefused(
                f"One tag or comment inside the workbook is over {MARKUP_PIECE_BYTES_MOST // MIB} MiB long.",
                SAVE_AGAIN,
            )

    def finish(self) -> PartFacts:
        self._parse(b"", final=True)
        sheet = self._sheet.facts() if self._sheet else None
        return PartFacts(self._root, tuple(self._sheet_names), sheet)

    def _parse(self, block: bytes, *, final: bool) -> None:
        try:
            self._parser.Parse(block, final)
        except (ExpatError, LookupError, ValueError) as error:
            raise WorkbookRefused(
                "The workbook is damaged: a part of it is broken off.", SAVE_AGAIN
            ) from error

    def _first_element(self, name: str, attributes: dict[str, str]) -> None:
        self._root = name
        if name.startswith(_STRICT):
            raise WorkbookRefused(
                "The workbook is saved in the strict variant of the format, which cannot be read.",
                SAVE_AS_XLSX,
            )
        self._refuse_large()
        if name == WORKSHEET:
            self._sheet = SheetScanner(self._parser)
            return
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._start(name, attributes)

    def _refuse_large(self) -> None:
        most = _BYTES_MOST.get(self._root, PART_BYTES_MOST)
        if self._unpacked_bytes > most:
            raise WorkbookRefused(
                f"{_KIND.get(self._root, 'A part').capitalize()} of the workbook unpacks to"
                f" {self._unpacked_bytes / MIB:.1f} MiB, and at most {most // MIB} MiB are read.",
                SPLIT,
            )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._elements += 1
        if self._depth > NESTING_MOST:
            refuse_nesting()
        if self._root == _STRINGS:
            self._start_in_strings()
        elif self._elements > PART_ELEMENTS_MOST:
            _refuse_pieces("A part of the workbook", PART_ELEMENTS_MOST)
        if name == _SHEET_ENTRY and self._root == _WORKBOOK:
            self._sheet_names.append(attributes.get("name", ""))

    def _start_in_strings(self) -> None:
        if self._depth == _TEXT_DEPTH:
            self._text_began, self._in_text = self._parser.CurrentByteIndex, 0
        self._in_text += 1
        if self._in_text > TEXT_ELEMENTS_MOST:
            _refuse_pieces("One text of the workbook", TEXT_ELEMENTS_MOST)
        if self._elements > STRING_ELEMENTS_MOST:
            _refuse_pieces("The table of texts", STRING_ELEMENTS_MOST)

    def _end(self, _name: str) -> None:
        if self._depth == _TEXT_DEPTH:
            self._text_began = None
        self._depth -= 1


def _refuse_pieces(what: str, most: int) -> None:
    raise WorkbookRefused(
        f"{what} holds over {most:,} pieces.",
        SPLIT,
    )


def _refuse_document_type(*_declaration: object) -> None:
    raise WorkbookRefused(
        "A part of the workbook declares a document type, which no spreadsheet program writes.", SAVE_AGAIN
    )


def refuse_nesting() -> None:
    """Refuse a part whose elements stand too deep inside each other."""
    raise WorkbookRefused(f"A part of the workbook nests over {NESTING_MOST} deep.", SAVE_AGAIN)
