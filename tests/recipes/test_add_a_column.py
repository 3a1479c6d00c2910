"""The steps of the guide, "Add a column", in a copy of the project: three files."""

import json

import openpyxl
import pypdf

from tests.simple_workbook import CRACKED, GOOD, write_workbook

SCHEMA, RECORD, GUIDE = "schemas/batch.schema.json", "intake/model/battery.py", "templates/guide.json"
HEADER = "Shelf life (months)"
COLUMN = {
    "x-header": HEADER,
    "x-aliases": ["Months on the shelf"],
    "x-form": "number",
    "x-help": "How long it may stand unused, by its maker.",
    "x-listed": True,
    "type": "number",
    "minimum": 0,
    "maximum": 600,
}


def add_column(copy):
    copy.replace(
        SCHEMA,
        '     "case_plastic": {',
        f'     "shelf_months": {json.dumps(COLUMN)},\n     "case_plastic": {{',
    )
    copy.replace(GUIDE, '"marking", "case_plastic"', '"marking", "shelf_months", "case_plastic"')
    copy.add_after(RECORD, "    position: str | None = None\n", "    shelf_months: float | None = None\n")


def test_a_column_is_three_files_and_is_read_checked_and_printed(copy, tmp_path, named_files):
    add_column(copy)
    pallet = write_workbook(tmp_path / "pallet.xlsx", [{**GOOD, "months on the shelf": 18}, CRACKED])

    copy.grade(pallet, tmp_path / "graded")
    blank = copy.run("-m", "intake", "new", tmp_path / "blank.xlsx")

    folder = tmp_path / "graded" / "T-1"
    results = json.loads((folder / "T-1-results.json").read_text())
    assert [18, None] == [one["shelf_months"] for one in results["batteries"]]
    heads = [cell.value for cell in openpyxl.load_workbook(folder / "T-1-results.xlsx")["Batteries"][1]]
    assert HEADER in heads
    pages = [page.extract_text() for page in pypdf.PdfReader(folder / "T-1-manifest.pdf").pages]
    assert 1 == sum(f"{HEADER}: 18" in " ".join(text.split()) for text in pages)
    assert 0 == blank.returncode, blank.stderr
    book = openpyxl.load_workbook(tmp_path / "blank.xlsx")
    for sheet in ("Batteries", "Guide"):
        assert HEADER in [cell.value for row in book[sheet].iter_rows() for cell in row]
    assert named_files("Add a column") == copy.touched() == {SCHEMA, RECORD, GUIDE}


def test_the_copy_with_a_column_passes_its_own_tests(copy):
    add_column(copy)
    copy.test(
        "tests/architecture", "tests/policy", "tests/checks", "tests/workbook/blank", "tests/report/json",
        "tests/report/xlsx", "tests/report/words",
    )  # fmt: skip
