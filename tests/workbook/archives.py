"""Small .xlsx archives, made part by part, so that a test can break exactly one thing."""

from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
DOCUMENT = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"

SHEET = "xl/worksheets/sheet1.xml"
"""The part of the first sheet."""


def sheet_xml(rows: str, *, before: str = "", after: str = "", namespace: str = MAIN) -> str:
    """Return a worksheet whose table holds ``rows``."""
    return f'<worksheet xmlns="{namespace}">{before}<sheetData>{rows}</sheetData>{after}</worksheet>'


def row_xml(number: int | str, cells: str, *, more: str = "") -> str:
    """Return one row."""
    return f'<row r="{number}"{more}>{cells}</row>'


def text_cell(ref: str, text: str) -> str:
    """Return a cell that holds a text."""
    return f'<c r="{ref}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def number_cell(ref: str, number: object, *, more: str = "") -> str:
    """Return a cell that holds a number."""
    return f'<c r="{ref}"{more}><v>{number}</v></c>'


def parts(
    sheets: Mapping[str, str] | None = None,
    *,
    strings: str | None = None,
    workbook_more: str = "",
    number_formats: tuple[str, ...] = (),
) -> dict[str, str | bytes]:
    """Return the parts of a workbook: sheet names and their XML, cell styles from 1."""
    sheets = {"Batteries": sheet_xml(row_xml(1, text_cell("A1", "Tag")))} if sheets is None else sheets
    places = range(1, len(sheets) + 1)
    overrides = [("/xl/workbook.xml", "sheet.main"), ("/xl/styles.xml", "styles")]
    overrides += [(f"/xl/worksheets/sheet{place}.xml", "worksheet") for place in places]
    overrides += [("/xl/sharedStrings.xml", "sharedStrings")] if strings is not None else []
    listed = "".join(
        f'<sheet name="{name}" sheetId="{place}" r:id="rId{place}"/>'
        for place, name in zip(places, sheets, strict=True)
    )
    related = "".join(
        f'<Relationship Id="rId{place}" Type="{DOCUMENT}/worksheet" Target="worksheets/sheet{place}.xml"/>'
        for place in places
    )
    found: dict[str, str | bytes] = {
        "[Content_Types].xml": f'<Types xmlns="{_TYPES}">'
        + "".join(f'<Override PartName="{one}" ContentType="{_KIND}.{kind}+xml"/>' for one, kind in overrides)
        + "</Types>",
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{DOCUMENT}">{workbook_more}'
        f"<sheets>{listed}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}">{related}</Relationships>',
        "xl/styles.xml": _styles(number_formats),
    }
    for place, xml in zip(places, sheets.values(), strict=True):
        found[f"xl/worksheets/sheet{place}.xml"] = xml
    if strings is not None:
        found["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}">{strings}</sst>'
    return found


def _styles(number_formats: tuple[str, ...]) -> str:
    codes = "".join(
        f'<numFmt numFmtId="{number}" formatCode="{code}"/>'
        for number, code in enumerate(number_formats, 164)
    )
    cells = '<xf numFmtId="0"/>' + "".join(
        f'<xf numFmtId="{number}"/>' for number, _ in enumerate(number_formats, 164)
    )
    known = f'<numFmts count="{len(number_formats)}">{codes}</numFmts>' if codes else ""
    return (
        f'<styleSheet xmlns="{MAIN}">{known}<fonts><font/></fonts>'
        "<fills><fill><patternFill/></fill></fills><borders><border/></borders>"
        f'<cellStyleXfs><xf numFmtId="0"/></cellStyleXfs><cellXfs>{cells}</cellXfs></styleSheet>'
    )


def pack(content: Mapping[str, str | bytes], *, method: int = ZIP_DEFLATED) -> bytes:
    """Return the archive of some parts, in their order."""
    target = BytesIO()
    with ZipFile(target, "w", method) as archive:
        for name, data in content.items():
            archive.writestr(name, data)
    return target.getvalue()


def save(folder: Path, content: Mapping[str, str | bytes] | bytes, name: str = "batch.xlsx") -> Path:
    """Write an archive, or bytes as they are, and return where."""
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else pack(content))
    return path


def save_sheet(folder: Path, xml: str, *, name: str = "Batteries", **more: object) -> Path:
    """Write a workbook with one sheet."""
    return save(folder, parts({name: xml}, **more))
