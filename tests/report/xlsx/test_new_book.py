"""Workbooks written row by row: nothing is lost or held, and a full disk gives its own error."""

import errno
import gc
import os
import re
import subprocess
import sys
import time
import tracemalloc
import zipfile
from datetime import datetime
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
from xlsxwriter.exceptions import FileCreateError

from intake.report.xlsx.book import ListColumn, formats_of, write_cell, write_list
from intake.report.xlsx.new_book import new_book
from intake.report.xlsx.results import write_results_workbook
from tests.changed import replace
from tests.report.builders import mixed_result

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
CODE = re.compile("_x([0-9A-Fa-f]{4})_")
TEXTS = (
    "_x0041_",
    "_x00e9_",
    "_x005F_",
    "_x005F_x0041_",
    "x005F_",
    "_x0041_x0042_",
    "_x0041__x0042_",
    "__x0041__",
    "a_x000D_b",
    "line\n_x000A_\n\nline",
    " blanks _x0041_ around ",
    "=1+1 & <b>_x0041_</b>",
    "=1+1",
    "@SUM(A1)",
    "-1",
    "http://example.org",
    "<r><t>_x0041_</t></r>",
    "_x004_",
    "_X0041_",
    "plain",
)
"""Texts that look like the code of a sign, lie near to it, or mean something else to a spreadsheet."""


def written(path: Path, *texts: str) -> Path:
    with new_book(path) as book:
        book.set_properties({"created": datetime(2026, 11, 20)})
        looks = formats_of(book)
        columns = [ListColumn("Text", 20, looks.strong, lambda one: one)]
        write_list(book.add_worksheet("A"), columns, texts, looks)
    return path


def first_column(path: Path) -> list[object]:
    return [cell.value for (cell,) in openpyxl.load_workbook(path)["A"].iter_rows(min_row=2, max_col=1)]


def decoded(path: Path) -> list[str]:
    """Read the first column as the standard says: each ``t`` of a cell with its codes taken back."""
    with zipfile.ZipFile(path) as archive:
        sheet = ElementTree.fromstring(archive.read("xl/worksheets/sheet1.xml"))
    texts = [
        "".join(
            CODE.sub(lambda code: chr(int(code[1], 16)), part.text or "") for part in cell.iter(f"{MAIN}t")
        )
        for cell in sheet.iter(f"{MAIN}c")
    ]
    return texts[1:]


def test_every_text_is_the_same_to_a_reader_that_knows_codes_and_to_one_that_does_not(tmp_path):
    path = written(tmp_path / "t.xlsx", *TEXTS)
    guarded = [f" {text}" if text.startswith("<r>") else text for text in TEXTS]

    assert guarded == first_column(path)
    assert guarded == decoded(path)


def test_a_text_cut_into_runs_looks_like_the_others(tmp_path):
    book = openpyxl.load_workbook(written(tmp_path / "t.xlsx", "plain", "_x0041_"), rich_text=True)
    plain, runs = (book["A"].cell(row, 1) for row in (2, 3))

    assert plain.style_id == runs.style_id
    assert plain.font.b is True
    assert {(True, 10.0)} == {(run.font.b, run.font.sz) for run in runs.value}


def test_no_text_is_a_formula_or_a_link(tmp_path):
    sheet = openpyxl.load_workbook(written(tmp_path / "t.xlsx", *TEXTS))["A"]

    assert {"s"} == {cell.data_type for (cell,) in sheet.iter_rows(max_col=1)}
    assert not any(cell.hyperlink for (cell,) in sheet.iter_rows(max_col=1))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("x" * 32_767, "x" * 32_767),
        ("x" * 32_768, "x" * 32_766 + "…"),
        ("🔋" * 16_383, "🔋" * 16_383),
        ("🔋" * 16_384, "🔋" * 16_383 + "…"),
        ("x" + "🔋" * 16_384, "x" + "🔋" * 16_382 + "…"),
    ],
    ids=["whole", "one too many", "pairs", "one pair too many", "a pair would be halved"],
)
def test_a_text_is_cut_at_what_a_cell_can_hold_with_a_sign_and_between_signs(tmp_path, text, expected):
    """A sign beyond U+FFFF counts twice."""
    assert [expected] == first_column(written(tmp_path / "t.xlsx", text))


def test_a_row_that_is_on_the_disk_already_is_refused_not_lost(tmp_path):
    def write_upwards():
        with new_book(tmp_path / "t.xlsx") as book:
            sheet, look = book.add_worksheet("A"), formats_of(book).text
            write_cell(sheet, 3, 0, "below", look)
            write_cell(sheet, 0, 0, "above", look)

    with pytest.raises(ValueError, match="row 1, column 1 of A could not be written"):
        write_upwards()
    assert [] == list(tmp_path.iterdir())


def test_rights_and_time_zone_of_the_disk_change_no_byte(tmp_path, monkeypatch):
    first = written(tmp_path / "a.xlsx", *TEXTS).read_bytes()
    usual = zipfile.ZipInfo.from_file

    def other_rights(*arguments, **named):
        part = usual(*arguments, **named)
        part.external_attr = 0o100755 << 16
        return part

    monkeypatch.setattr(zipfile.ZipInfo, "from_file", other_rights)
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    time.tzset()
    try:
        second = written(tmp_path / "b.xlsx", *TEXTS).read_bytes()
    finally:
        monkeypatch.undo()
        time.tzset()
    assert first == second


def test_what_is_kept_for_a_battery_is_little(tmp_path):
    """The library alone would hold 20 cells of each battery and the reasons' to the end, some 12 kB."""
    one, path = mixed_result(), tmp_path / "r.xlsx"
    many = replace(one, graded=one.graded * 10, findings=one.findings * 10)
    write_results_workbook(one, path)  # whatever is loaded or cached once
    peaks = []
    for result in (one, many):
        gc.collect()
        tracemalloc.start()
        write_results_workbook(result, path)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert (peaks[1] - peaks[0]) / (len(many.graded) - len(one.graded)) < 1_500


WRITES = (
    "import sys, resource; from pathlib import Path; "
    "resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]),) * 2); "
    "from tests.report.xlsx.test_new_book import written_until_full; written_until_full(Path(sys.argv[1]))"
)


MANY = tuple(f"row {number} of a longer text" for number in range(2_000))


def written_until_full(folder: Path) -> None:
    """Print the name of the error that ends the writing of many rows."""
    try:
        written(folder / "t.xlsx", *MANY)
    except OSError as problem:
        print(type(problem).__name__, errno.errorcode[problem.errno or 0])
        ring = [problem]
        ring.append(ring)  # what the error holds is dropped in any order
        del ring
    gc.collect()


@pytest.mark.parametrize("stage", ["before a row", "first rows", "rows", "part of the sheet"])
def test_a_disk_that_is_full_at_any_stage_is_told_by_its_own_error_and_nothing_is_left(tmp_path, stage):
    """The most that a file may take stands in for the disk; the part of a sheet holds its rows and more."""
    with zipfile.ZipFile(written(tmp_path / "whole.xlsx", *MANY)) as archive:
        part = archive.getinfo("xl/worksheets/sheet1.xml").file_size
    most_bytes = {"before a row": 0, "first rows": 3_000, "rows": part // 2, "part of the sheet": part - 1}[
        stage
    ]
    folder = tmp_path / "out"
    folder.mkdir()
    ran = subprocess.run(
        [sys.executable, "-B", "-X", "dev", "-c", WRITES, folder, str(most_bytes)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
    )
    assert ("OSError EFBIG", "") == (ran.stdout.strip(), ran.stderr)
    assert [] == list(folder.rglob("*"))


def test_what_the_library_itself_refuses_is_no_matter_of_the_disk(tmp_path):
    with pytest.raises(FileCreateError, match="no system"), new_book(tmp_path / "t.xlsx"):
        raise FileCreateError("no system's error")
    assert [] == list(tmp_path.iterdir())
