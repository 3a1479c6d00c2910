"""Hostile and odd workbooks, built small and the same every time."""

import random
from collections.abc import Mapping, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape
from zipfile import ZIP_BZIP2

from tests.simple_workbook import BATCH, GOOD
from tests.workbook.archives import MAIN, SHEET, STRICT, pack, parts, row_xml, sheet_xml, text_cell

BATTERIES = "xl/worksheets/sheet2.xml"
"""The part of the Batteries sheet in a filled workbook."""


class Raw(str):
    """The XML of a cell as it stands, with ``{ref}`` where its name goes."""


Value = str | float | Raw


def cell_xml(ref: str, value: Value) -> str:
    if isinstance(value, Raw):
        return value.replace("{ref}", ref)
    if isinstance(value, bool):
        return f'<c r="{ref}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, str):
        return text_cell(ref, escape(value))
    return f'<c r="{ref}"><v>{value!r}</v></c>'


def letters(column: int) -> str:
    """Return the name of a column counted from 0."""
    first, last = divmod(column, 26)
    return (chr(64 + first) if first else "") + chr(65 + last)


def grid_xml(rows: Sequence[Sequence[Value | None]]) -> str:
    return "".join(
        row_xml(
            number,
            "".join(
                cell_xml(f"{letters(column)}{number}", value)
                for column, value in enumerate(row)
                if value is not None
            ),
        )
        for number, row in enumerate(rows, start=1)
    )


def batch_xml(batch: Mapping[str, Value]) -> str:
    return grid_xml(list(batch.items()))


def batteries_xml(batteries: Sequence[Mapping[str, Value]]) -> str:
    headers = list(dict.fromkeys(header for one in batteries for header in one))
    return grid_xml([headers, *([one.get(header) for header in headers] for one in batteries)])


def filled(
    batteries: Sequence[Mapping[str, Value]] = (GOOD,),
    *,
    batch: Mapping[str, Value] = BATCH,
    before: str = "",
    after: str = "",
    workbook_more: str = "",
) -> dict[str, str | bytes]:
    """Return the parts of a workbook that grades; ``before`` and ``after`` stand around the battery rows."""
    sheets = {
        "Batch": sheet_xml(batch_xml(batch)),
        "Batteries": sheet_xml(batteries_xml(batteries), before=before, after=after),
    }
    return parts(sheets, workbook_more=workbook_more)


def one(**fields: Value) -> dict[str, str | bytes]:
    """Return a workbook of one battery with these fields, named without unit and with ``_`` for a blank."""
    headers = {header.split(" (")[0].lower(): header for header in (*GOOD, "Mass (kg)", "Made", "Note")}
    changed = {headers[name.replace("_", " ")]: value for name, value in fields.items()}
    return filled([{**GOOD, **changed}])


def _bytes_in(content: Mapping[str, str | bytes], old: bytes, new: bytes) -> bytes:
    return pack(content).replace(old, new)


def _sheet(xml: str) -> dict[str, str | bytes]:
    return {**filled(), BATTERIES: xml}


def _with_type(declaration: str, use: str = "") -> dict[str, str | bytes]:
    return _sheet(f"<?xml version='1.0'?>{declaration}{sheet_xml(batteries_xml([{**GOOD}]))}{use}")


def _renamed(xml: str) -> str:
    return xml.replace('name="Batteries"', 'name="batch "')


def _without(name: str) -> dict[str, str | bytes]:
    return {part: text for part, text in filled().items() if part != name}


def _flipped() -> bytes:
    content = bytearray(pack(filled()))
    content[content.index(b"xl/worksheets/sheet2.xml") + 60] ^= 0x10
    return bytes(content)


_LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_DAMAGED, _TYPE = "damaged", "declares a document type"


class Refused(NamedTuple):
    """A file that is not read, and words of the sentence that says why."""

    content: bytes
    words: str


def refused_files() -> dict[str, Refused]:
    """Return every file that is refused as a whole, by name."""
    whole = pack(filled())
    sheet = sheet_xml(batteries_xml([GOOD]))
    bomb = {**filled(), "xl/theme/theme1.xml": f'<a xmlns="b">{" " * 30_000_000}</a>'}
    raw: dict[str, tuple[bytes | dict[str, str | bytes], str]] = {
        "cut in half": (whole[: len(whole) // 2], _DAMAGED),
        "one bit flipped": (_flipped(), _DAMAGED),
        "zip bomb": (bomb, "200 times its size"),
        "zip bomb in a sheet": (_sheet(sheet_xml('<row r="1"/>' + " " * 20_000_000)), "200 times its size"),
        "bomb packed otherwise": (pack(bomb, method=ZIP_BZIP2), "packed in a way"),
        "entity expansion": (_with_type(f'<!DOCTYPE w [<!ENTITY l0 "lol">{_LAUGHS}]>'), _TYPE),
        "external entity": (_with_type('<!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/passwd">]>'), _TYPE),
        "external document type": (_with_type('<!DOCTYPE w SYSTEM "http://127.0.0.1/w.dtd">'), _TYPE),
        "nested": (_sheet(sheet_xml("", after="<a>" * 500 + "</a>" * 500)), "nests over 200"),
        "no sheet part": (_without(BATTERIES), "not in the file"),
        "no workbook part": (_without("xl/workbook.xml"), "no worksheet"),
        "no content types": (_without("[Content_Types].xml"), "not an .xlsx workbook"),
        "no relations": (_without("xl/_rels/workbook.xml.rels"), _DAMAGED),
        "sheet names alike": (
            {**filled(), "xl/workbook.xml": _renamed(str(filled()["xl/workbook.xml"]))},
            "Two sheets are called",
        ),
        "part names alike": ({**filled(), SHEET.upper(): sheet}, "twice"),
        "part that leads out": ({**filled(), "../../out.xml": "<a/>"}, "leads out of the file"),
        "password": (_OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "password"),
        "old xls": (_OLE + b"\0" * 600, "old .xls"),
        "ods": (
            pack({"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<a/>"}),
            ".ods",
        ),
        "docx": (pack({"[Content_Types].xml": "<Types/>", "word/document.xml": "<a/>"}), "text document"),
        "csv": (b"Tag;Case\r\nB-1;sound\r\n", "text or .csv"),
        "pdf": (b"%PDF-1.7\n%\xe2\xe3\n", "PDF"),
        "web page": (b"<html><table></table></html>", "web page"),
        "zero bytes": (b"", "zero bytes"),
        "noise": (random.Random(1).randbytes(5000), "another kind of file"),
        "strict variant": (_sheet(sheet_xml("", namespace=STRICT)), "strict variant"),
        "foreign namespace": (_sheet(sheet.replace(MAIN, "urn:other")), "variant of the format"),
        "row two milliard": (_sheet(sheet_xml(row_xml(2_000_000_000, ""))), "row numbered 2000000000"),
        "rows out of order": (_sheet(sheet_xml(row_xml(2, "") + row_xml(1, ""))), "out of order"),
        "row twice": (_sheet(sheet_xml(row_xml(2, "") + row_xml(2, ""))), "stand twice"),
        "value in the last row": (
            _sheet(sheet_xml(batteries_xml([GOOD]) + row_xml(1_048_576, text_cell("A1048576", "x")))),
            "'Batteries' has a value in row 1,048,576",
        ),
        "value in the last column": (
            _sheet(sheet_xml(row_xml(1, text_cell("XFD1", "x")))),
            "'Batteries' has a value in column 16,384",
        ),
        "text too long": (_sheet(sheet_xml(row_xml(1, text_cell("A1", "x" * 32_768)))), "32,768 characters"),
        "129 sheets": (
            parts({f"S{n}": sheet_xml("") for n in range(129)}),
            "129 sheets, and at most 128",
        ),
        "unknown encoding": (_sheet(f"<?xml version='1.0' encoding='ebcdic-9'?>{sheet}"), _DAMAGED),
        "text that points nowhere": (
            _sheet(sheet_xml(row_xml(1, '<c r="A1" t="s"><v>99</v></c>'))),
            "do not fit together",
        ),
        "style that is not there": (
            _sheet(sheet_xml(row_xml(1, '<c r="A1" s="99"><v>1</v></c>'))),
            "do not fit together",
        ),
    }
    return {
        name: Refused(content if isinstance(content, bytes) else pack(content), words)
        for name, (content, words) in raw.items()
    }
