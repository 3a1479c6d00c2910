"""Parts that other programs wrote, grafted into a valid workbook: it reads and grades as without."""

import json
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape

import pytest

from intake.cli.main import main
from intake.policy.grading_policy import load_grading_policy
from intake.runner.run_batch import ReadBatch, read_batch
from intake.runner.settings import Settings
from intake.workbook.marked.write import write_marked_copy
from tests.hostile.workbooks import BATTERIES, filled
from tests.simple_workbook import BAD_ROW, CRACKED, FLAT, GOOD
from tests.workbook.archives import DOCUMENT, SHEET, save

Parts = dict[str, str | bytes]

THIRD_PARTY = Path(__file__).with_name("third_party")
SOURCES = sorted(one.name for one in THIRD_PARTY.iterdir() if one.is_dir())
SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))
ROWS = [{**GOOD, "Note": "a < b"}, FLAT, CRACKED, BAD_ROW, {**GOOD, "Tag": "B-6", "Note": "Date"}]
KIND = "application/vnd.openxmlformats-officedocument"


def part(source: str, name: str) -> str | None:
    path = THIRD_PARTY / source / name
    return path.read_text(encoding="utf-8") if path.is_file() else None


def with_part(parts: Parts, name: str, content: str, *, kind: str, relation: str, key: str) -> Parts:
    """Return the parts with one more that the workbook part points to."""
    types, related = str(parts["[Content_Types].xml"]), str(parts["xl/_rels/workbook.xml.rels"])
    override = f'<Override PartName="/xl/{name}" ContentType="{KIND}.{kind}+xml"/>'
    relationship = f'<Relationship Id="{key}" Type="{DOCUMENT}/{relation}" Target="{name}"/>'
    return {
        **parts,
        f"xl/{name}": content,
        "[Content_Types].xml": types.replace("</Types>", f"{override}</Types>"),
        "xl/_rels/workbook.xml.rels": related.replace("</Relationships>", f"{relationship}</Relationships>"),
    }


def styles(parts: Parts, source: str) -> Parts:
    """Give the workbook another table of styles, and each text cell one of them in turn."""
    xml = part(source, "styles.xml")
    assert xml
    cells = re.search(r"<cellXfs.*?</cellXfs>", xml, re.DOTALL)
    assert cells
    count = len(re.findall(r"<xf[ />]", cells[0]))
    assert count
    number = iter(range(10_000))

    def styled(match: re.Match[str]) -> str:
        return f'{match[1]} s="{next(number) % count}"{match[2]}'

    related = with_part(parts, "styles.xml", xml, kind="spreadsheetml.styles", relation="styles", key="rId90")
    types = str(parts["[Content_Types].xml"])
    ours = re.sub(r'(<c r="[A-Z]+\d+")( t=)', styled, str(parts[BATTERIES]))
    return {**related, BATTERIES: ours, "[Content_Types].xml": types}


def theme(parts: Parts, source: str) -> Parts:
    xml = part(source, "theme1.xml")
    if xml is None:
        return parts
    return with_part(parts, "theme/theme1.xml", xml, kind="theme", relation="theme", key="rId91")


def strings(parts: Parts, source: str) -> Parts:
    """Let our texts follow theirs in the table of shared texts."""
    xml = part(source, "sharedStrings.xml")
    if xml is None:
        return parts
    at, added = xml.count("<si>"), []

    def shared(match: re.Match[str]) -> str:
        added.append(f'<si><t xml:space="preserve">{match[2]}</t></si>')
        return f'{match[1]} t="s"><v>{at + len(added) - 1}</v></c>'

    pattern = r'(<c r="[A-Z]+\d+"(?: s="\d+")?) t="inlineStr"><is><t xml:space="preserve">(.*?)</t></is></c>'
    sheets = {name: re.sub(pattern, shared, str(parts[name])) for name in (SHEET, BATTERIES)}
    assert len(added) > 20
    whole = re.sub(r' (count|uniqueCount)="\d+"', "", xml).replace("</sst>", f"{''.join(added)}</sst>")
    kind = "spreadsheetml.sharedStrings"
    more = with_part(parts, "sharedStrings.xml", whole, kind=kind, relation="sharedStrings", key="rId92")
    return {**more, **sheets}


def sheets(parts: Parts, source: str) -> Parts:
    """Put a further sheet behind ours, with hidden rows, merged cells and whatever else it has."""
    xml = part(source, "sheet1.xml")
    assert xml
    if "xl/sharedStrings.xml" not in parts:  # its texts would point nowhere
        xml = re.sub(r'<c [^>]*t="s"[^>]*><v>\d+</v></c>', "", xml)
    if 'Id="rId90"' not in str(parts["xl/_rels/workbook.xml.rels"]):
        xml = re.sub(r' s="\d+"', "", xml)
    listed = '<sheet name="Sheet1" sheetId="93" state="hidden" r:id="rId93"/></sheets>'
    book = str(parts["xl/workbook.xml"]).replace("</sheets>", listed)
    kind = "spreadsheetml.worksheet"
    more = with_part(parts, "worksheets/sheet93.xml", xml, kind=kind, relation="worksheet", key="rId93")
    return {**more, "xl/workbook.xml": book}


def names(parts: Parts, source: str) -> Parts:
    """Define names that point to our sheets, to cells that are gone, outside, and to themselves."""
    defined = {
        "_xlnm._FilterDatabase": "Batteries!$A$1:$F$5",
        "_xlnm.Print_Titles": "Batteries!$1:$1",
        f"of_{source}": "'[1]Other book'!$A$1",
        "gone": "#REF!",
        "Tag": "OFFSET(Batteries!$A$1,0,0,COUNTA(Batteries!$A:$A),1)",
        "loop": "loop+1",
    }
    xml = "".join(
        f'<definedName name="{name}"{local(name)}>{escape(text)}</definedName>'
        for name, text in defined.items()
    )
    book = str(parts["xl/workbook.xml"]).replace("</sheets>", f"</sheets><definedNames>{xml}</definedNames>")
    return {**parts, "xl/workbook.xml": book}


def local(name: str) -> str:
    return ' localSheetId="1" hidden="1"' if name.startswith("_xlnm.") else ""


GRAFTS = {
    "styles": (styles,),
    "theme": (theme,),
    "shared texts": (strings,),
    "names": (names,),
    "further sheet": (sheets,),
    "all": (styles, theme, strings, names, sheets),
}


def grafted(source: str, graft: str) -> Parts:
    parts = dict(filled(ROWS))
    for one in GRAFTS[graft]:
        parts = one(parts, source)
    return parts


def told(read: ReadBatch) -> list[tuple[str, str]]:
    return [(one.place, one.message) for one in read.findings if "Sheet1" not in one.message]


@pytest.mark.parametrize("graft", GRAFTS)
@pytest.mark.parametrize("source", SOURCES)
def test_it_reads_and_is_marked_as_without(source: str, graft: str, tmp_path: Path) -> None:
    plain = read_batch(save(tmp_path, filled(ROWS), "plain.xlsx"), SETTINGS)
    book = save(tmp_path, grafted(source, graft), "grafted.xlsx")

    read = read_batch(book, SETTINGS)

    assert plain.batch
    assert plain.batch == read.batch
    assert told(plain) == told(read)
    assert any("Sheet1" in one.message for one in read.findings) == (graft in ("further sheet", "all"))
    write_marked_copy(book, tmp_path / "marked.xlsx", read.findings, sha256=read.source_sha256)
    again = read_batch(tmp_path / "marked.xlsx", SETTINGS)
    assert (read.batch, told(read)) == (again.batch, told(again))


@pytest.mark.parametrize("source", SOURCES)
def test_all_together_grade_and_verify_as_without(source: str, tmp_path: Path) -> None:
    batteries = []
    for name, parts in (("plain", filled(ROWS)), ("grafted", grafted(source, "all"))):
        book = save(tmp_path, parts, f"{name}.xlsx")
        out = tmp_path / name
        assert 1 == main(["grade", str(book), "--out", str(out), "--quiet"])
        assert 0 == main(["verify", str(out), "--workbooks", str(book), "--quiet"])
        batteries.append(json.loads((out / "T-1" / "T-1-results.json").read_bytes())["batteries"])
    assert batteries[0] == batteries[1]


def test_there_are_parts_of_each_kind() -> None:
    found: Mapping[str, int] = {
        name: sum((THIRD_PARTY / one / name).is_file() for one in SOURCES)
        for name in ("styles.xml", "theme1.xml", "sharedStrings.xml", "sheet1.xml")
    }
    assert {"styles.xml": 5, "theme1.xml": 3, "sharedStrings.xml": 4, "sheet1.xml": 5} == found


@pytest.mark.parametrize("source", SOURCES)
def test_a_foreign_sheet_in_the_place_of_ours_is_told_what_it_lacks(
    source: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = grafted(source, "all")
    book = save(tmp_path, {**parts, BATTERIES: str(parts["xl/worksheets/sheet93.xml"])})
    assert 3 == main(["check", str(book)])
    printed = capsys.readouterr().out
    assert "defect" not in printed
    assert "Batteries" in printed or "fit together" in printed
