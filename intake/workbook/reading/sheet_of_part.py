"""Which sheet a part of a workbook holds, by the names that people see; read before anything is trusted."""

import re
from html import unescape
from posixpath import join, normpath
from zipfile import ZipFile

_BOOK, _LINKS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
_READ_BYTES = 1024 * 1024
_SHEET = re.compile(r"<(?:\w+:)?sheet\s([^<>]*)>")
_LINK = re.compile(r"<(?:\w+:)?Relationship\s([^<>]*)>")
_VALUE = re.compile(r"""([\w:]+)\s*=\s*(?:"([^"<]*)"|'([^'<]*)')""")


def sheet_of_part(archive: ZipFile, part: str) -> str:
    """Return the name of the sheet that a part holds; empty where that cannot be told."""
    try:
        links = {one.get("Id"): one.get("Target", "") for one in _tags(archive, _LINKS, _LINK)}
        for sheet in _tags(archive, _BOOK, _SHEET):
            link = next((value for name, value in sheet.items() if name.endswith(":id")), None)
            if normpath(join("/xl", links.get(link, ""))).lstrip("/") == part:
                return sheet.get("name", "")
    except Exception:  # the file is refused anyhow; it may be broken here as well
        return ""
    return ""


def _tags(archive: ZipFile, name: str, tag: re.Pattern[str]) -> list[dict[str, str]]:
    with archive.open(name) as part:
        text = part.read(_READ_BYTES).decode("utf-8", errors="replace")
    return [
        {key: unescape(double or single) for key, double, single in _VALUE.findall(found)}
        for found in tag.findall(text)
    ]
