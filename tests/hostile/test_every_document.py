"""Texts that look like formulas or markup, in every column that takes text: text in all documents."""

import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from intake.cli.main import main
from intake.policy.dictionary import load_dictionary
from tests.cli.loads import fill_in
from tests.hostile.workbooks import batch_xml, batteries_xml
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD
from tests.workbook.archives import parts, save, sheet_xml

FORMULA, MARKUP = "=cmd|'/C x'!A0&", '<img src="x"/>&amp;<para>'
NUMBERED = "Zz{0}zZ"
"""By which a text is known again wherever it stands."""


def texts(sheet: str, workbook: str = "batch") -> dict[str, str]:
    """Return for each column of a sheet that takes any text one that looks like both."""
    columns = [one for one in load_dictionary(workbook).sheets[sheet].columns if one.form == "text"]
    assert columns
    return {one.header: f"{FORMULA}{MARKUP}{NUMBERED.format(number)}" for number, one in enumerate(columns)}


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("yard")
    about = {**texts("batch"), **{key: BATCH[key] for key in BATCH if key not in texts("batch")}}
    own = texts("batteries")
    rows = [{**row, **own} for row in (GOOD, FLAT, CRACKED, BAD_ROW)]
    rows += [{**GOOD, "Tag": f"{FORMULA}1"}, {**GOOD, "Tag": "B-8", "Chemistry": f"{FORMULA}{MARKUP}"}]
    sheets = {
        "Batch": sheet_xml(batch_xml(about)),
        "Batteries": sheet_xml(batteries_xml([{**row, f"{FORMULA}<b>": FORMULA} for row in rows])),
        "=Own+1": sheet_xml(""),
    }
    book = save(root, parts(sheets), "=book&amp;.xlsx")
    out = root / "out"
    assert 1 == main(["grade", str(book), "--out", str(out), "--sheets", "all"])
    assert 1 == main(["check", str(book), "--marked", str(root / "marked"), "--quiet"])
    assert 1 == main(["plan", str(book), "--stations", "2", "--out", str(root / "plans")])
    consignee = f"{FORMULA}{MARKUP}"
    listed = root / "listed.xlsx"
    assert 0 == main(["load", "new", str(out), "--out", str(listed), "--consignee", consignee])
    receipt = {**texts("receipt", "load"), "Received on": "2026-06-12"}
    head = {**texts("load", "load"), "Jurisdiction": "EU"}
    load = fill_in(listed, root / "load.xlsx", head=head, **receipt)
    _as_text(load)
    assert 0 == main(["load", "write", str(load), "--out", str(root / "loads")])
    assert 0 == main(
        ["summarise", str(out), "--loads", str(root / "loads"), "--from", "2026-06-01", "--to", "2026-06-30"]
    )
    return root


def _as_text(path: Path) -> None:
    """Let every cell that looks like a formula be the text that it is."""
    book = openpyxl.load_workbook(path)
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    cell.data_type = "s"
    book.save(path)


WORKBOOKS = {
    "results": "out/T-1/T-1-results.xlsx",
    "marked copy": "marked/=book&amp;.xlsx",
    "plan": "plans/T-1-plan/T-1-plan.xlsx",
    "list of a load": "listed.xlsx",
    "load": "loads/L-1/L-1-load.xlsx",
    "register": "out/register-2026-06-01-to-2026-06-30/register.xlsx",
}
PAPERS = {
    "manifest": "out/T-1/T-1-manifest.pdf",
    "disposal": "out/T-1/T-1-disposal.pdf",
    "resale": "out/T-1/T-1-resale.pdf",
    "labels": "out/T-1/T-1-labels.pdf",
    "plan": "plans/T-1-plan/T-1-plan.pdf",
    "load": "loads/L-1/L-1-load.pdf",
    "register": "out/register-2026-06-01-to-2026-06-30/register.pdf",
}


@pytest.mark.filterwarnings("ignore:Workbook contains no default style")
@pytest.mark.parametrize("name", WORKBOOKS)
def test_no_cell_of_a_workbook_calculates_what_was_typed(yard: Path, name: str) -> None:
    book = openpyxl.load_workbook(yard / WORKBOOKS[name])
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    formulas = [str(cell.value) for cell in cells if cell.data_type == "f"]
    assert [] == [one for one in formulas if "cmd|" in one or "Zz" in one]
    typed = [cell for cell in cells if "cmd|" in str(cell.value)]
    assert typed
    assert {"s"} >= {cell.data_type for cell in typed}
    with zipfile.ZipFile(yard / WORKBOOKS[name]) as archive:
        links = [archive.read(one) for one in archive.namelist() if one.endswith(".rels")]
        names = "".join(archive.read(one).decode() for one in archive.namelist() if "workbook.xml" in one)
    assert b"External" not in b"".join(links)
    assert "cmd|" not in "".join(re.findall(r"<definedName.*?</definedName>", names))


@pytest.mark.parametrize("name", PAPERS)
def test_each_paper_shows_what_was_typed_and_does_nothing_with_it(yard: Path, name: str) -> None:
    path = yard / PAPERS[name]
    reader = PdfReader(path)
    shown = "".join("".join(page.extract_text() for page in reader.pages).split())
    if name != "plan":
        assert "=cmd|" in shown
        assert '<imgsrc="x"/>&amp;<para>' in shown or name in ("labels", "register"), shown[:3000]
    raw = path.read_bytes()
    assert [] == [sign for sign in (b"/URI", b"/Launch", b"/JavaScript", b"/OpenAction") if sign in raw]
    assert [] == [
        page for page in reader.pages for one in page.get("/Annots", []) if "/A" in one.get_object()
    ]


def test_every_text_of_the_batch_and_of_a_battery_is_in_the_results(yard: Path) -> None:
    book = openpyxl.load_workbook(yard / WORKBOOKS["results"])
    held = {str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row}
    missing = [text for text in (*texts("batch").values(), *texts("batteries").values()) if text not in held]
    assert len(missing) < len(texts("batch")), missing
