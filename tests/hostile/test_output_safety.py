"""Every text of a hostile workbook comes out as the same plain text: no formula, markup, link or path."""

import json
import zipfile
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from intake.cli.main import main
from tests.hostile.workbooks import filled
from tests.simple_workbook import BATCH, GOOD
from tests.workbook.archives import save

HOSTILE = (
    "=1+1",
    "+1-1",
    "-2+3",
    "@SUM(A1)",
    "=cmd|' /C calc'!A0",
    '=HYPERLINK("http://127.0.0.1/","here")',
    "http://127.0.0.1/steal",
    "file:///etc/passwd",
    "mailto:a@b.c",
    "internal:Batch!A1",
    "{=1+1}",
    "<b>bold</b>",
    '<img src="file:///etc/passwd"/>',
    '<a href="http://127.0.0.1/">x</a>',
    "<para>&nbsp;</para>",
    "<font size=99>",
    "</para></b>",
    "<onDraw name='x' label='y'/>",
    "a & b < c > d",
    "&amp;",
    "&#0;",
    "../../../etc/passwd",
    "C:\\\\temp\\\\x",
    "$(touch x) `id`",
    "%n%s%d",
    "{0.__class__}",
    "(a) Tj ET",
    "endstream endobj",
    "_x0041_",
    "<!ENTITY x>",
    "]]>",
    "<?xml?>",
)
ODD = (
    "\t=1+1",
    "one\nline\nafter\nanother",
    "שלום \u202eabc",
    "🔋 battery 👩‍🔧",
    "電池",
    "e\u0301\u0323" * 20,
    "x" * 5_000,
    "word " * 2_000,
    "\u200b\u200c\ufeff",
    "a\x7fb",
)
"""Texts whose signs a PDF may show in another form; that all is written is what counts."""
FIELDS = ("Site", "Inspector", "Received from", "Consignee", "Meter", "Note")


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    batteries = [
        {**GOOD, "Tag": f"H-{number}", "Marking": text, "Position": text, "Note": text}
        for number, text in enumerate((*HOSTILE, *ODD))
    ]
    batch = {**BATCH, **dict(zip(FIELDS, HOSTILE[9:], strict=False))}
    workbook = save(folder, filled(batteries, batch=batch))
    assert 0 == main(["grade", str(workbook), "--out", str(folder / "out")])
    return folder / "out" / "T-1"


def squeezed(text: str) -> str:
    return "".join(text.split())


def test_json_holds_every_text(graded: Path) -> None:
    document = json.loads((graded / "T-1-results.json").read_text(encoding="utf-8"))
    everything = squeezed(json.dumps(document, ensure_ascii=False))
    missing = [text for text in HOSTILE if squeezed(json.dumps(text, ensure_ascii=False)) not in everything]
    assert [] == missing


TAKEN_AS = {
    "\t=1+1": "=1+1",
    "word " * 2_000: ("word " * 2_000)[:-1],
    "\u200b\u200c\ufeff": None,
    "a\x7fb": "ab",
}
"""Texts that lose blanks at their ends, signs without width that stand alone, or control signs."""
IN_DOCUMENTS = {
    "שלום \u202eabc": "שלום abc",
    "🔋 battery 👩\u200d🔧": "🔋 battery 👩🔧",
    "e\u0301\u0323" * 20: "ẹ\u0301" * 20,
}
"""Signs that steer the direction of writing stay in the JSON alone; marks on a letter stand in one order."""


def test_json_holds_each_note_sign_by_sign(graded: Path) -> None:
    document = json.loads((graded / "T-1-results.json").read_text(encoding="utf-8"))
    expected = [TAKEN_AS.get(text, text) for text in (*HOSTILE, *ODD)]
    assert expected == [one.get("note") for one in document["batteries"]]


def test_the_results_workbook_holds_each_note_sign_by_sign(graded: Path) -> None:
    sheet = openpyxl.load_workbook(graded / "T-1-results.xlsx")["Batteries"]
    held = {str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None}
    taken = [TAKEN_AS.get(text, text) for text in (*HOSTILE, *ODD)]
    assert [] == [text for text in taken if text is not None and IN_DOCUMENTS.get(text, text) not in held]


@pytest.mark.parametrize("name", ["resale", "labels"])
def test_the_other_documents_show_every_text_as_it_is_typed(graded: Path, name: str) -> None:
    pages = PdfReader(graded / f"T-1-{name}.pdf").pages
    shown = squeezed("".join(page.extract_text() for page in pages))
    assert [] == [text for text in HOSTILE if squeezed(text) not in shown]


def test_the_results_workbook_holds_them_as_text_and_nothing_leads_out(graded: Path) -> None:
    book = openpyxl.load_workbook(graded / "T-1-results.xlsx")
    texts = [
        str(cell.value)
        for page in book.worksheets
        for row in page.iter_rows()
        for cell in row
        if cell.data_type == "s"
    ]
    formulas = [
        str(cell.value)
        for page in book.worksheets
        for row in page.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    assert [] == [text for text in HOSTILE if not any(text in one for one in texts)]
    assert [] == [text for text in HOSTILE if any(text in one for one in formulas)]
    with zipfile.ZipFile(graded / "T-1-results.xlsx") as archive:
        relations = b"".join(archive.read(name) for name in archive.namelist() if name.endswith(".rels"))
    assert b"External" not in relations


def test_every_pdf_is_whole_and_holds_no_link_picture_of_a_file_or_script(graded: Path) -> None:
    documents = sorted(graded.glob("*.pdf"))
    assert documents
    for path in documents:
        reader = PdfReader(path)
        assert reader.pages
        raw = path.read_bytes()
        for sign in (b"/URI", b"/Launch", b"/JavaScript", b"/GoToR", b"/SubmitForm", b"/OpenAction"):
            assert sign not in raw, (path.name, sign)
        outside = [
            annotation
            for page in reader.pages
            for annotation in page.get("/Annots", [])
            if "/A" in annotation.get_object() and "/URI" in annotation.get_object()["/A"]
        ]
        assert [] == outside


def test_the_manifest_shows_every_text_as_it_is_typed(graded: Path) -> None:
    shown = squeezed("".join(page.extract_text() for page in PdfReader(graded / "T-1-manifest.pdf").pages))
    assert [] == [text for text in HOSTILE if squeezed(text) not in shown]


def test_no_text_became_a_path(graded: Path) -> None:
    assert {"T-1", "SEASON-SHA256SUMS"} == {one.name for one in graded.parent.iterdir()}
    assert all(one.is_file() and one.name.startswith(("T-1-", "SHA256SUMS")) for one in graded.iterdir())
