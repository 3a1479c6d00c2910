"""A mark stands as long as its cell holds what was found in it, worked out by an office program."""

import subprocess
from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook

from intake.cli.main import main
from intake.model.raw_workbook import CellKind, RawCell
from intake.workbook.marked.still_there import still_there
from tests.simple_workbook import BATCH, GOOD, write_workbook


@pytest.mark.parametrize(
    ("value", "formula"),
    [
        (None, 'B2=""'),
        ("SLA", 'EXACT(B2,"SLA")'),
        ('6" x', 'EXACT(B2,"6"" x")'),
        ("x" * 201, "LEN(B2)=201"),
        ("a\nb", "LEN(B2)=3"),
        (True, "B2=TRUE"),
        (124.7, "IF(ISNUMBER(B2),ABS(B2-(124.7))<1E-9,FALSE)"),
        (7, "IF(ISNUMBER(B2),ABS(B2-(7.0))<1E-9,FALSE)"),
        (datetime(2026, 11, 20), "IF(ISNUMBER(B2),ABS(B2-(46346.0))<1E-9,FALSE)"),
    ],
)
def test_the_formula_compares_with_what_was_found(value, formula):
    cell = None if value is None else RawCell(2, 2, value)
    assert formula == still_there("B2", cell)


def test_an_error_and_a_formula_without_result_are_told_apart():
    assert "ISERROR(B2)" == still_there("B2", RawCell(2, 2, "#DIV/0!", CellKind.ERROR))
    assert "" == still_there("B2", RawCell(2, 2, None, CellKind.UNSAVED_FORMULA))


@pytest.fixture
def marked(tmp_path: Path) -> Path:
    rows = [{**GOOD, "Tag": "B-1", "Chemistry": "SLA"}, {**GOOD, "Tag": "B-2", "Rest voltage (V)": 124.7}]
    path = write_workbook(tmp_path / "p.xlsx", rows, batch={**BATCH, "Site": ""})
    assert 3 == main(["check", str(path), "--marked", str(tmp_path / "m")])
    return tmp_path / "m" / "p.xlsx"


def test_the_list_has_the_errors_first_a_filter_and_links(marked: Path) -> None:
    page = load_workbook(marked)["Findings"]
    severities = [page.cell(row, 2).value for row in range(8, page.max_row + 1)]
    order = ["error of the batch", "error", "warning", "note"]
    assert severities == sorted(severities, key=order.index)
    assert "A7:H" in page.auto_filter.ref
    assert all(page.cell(row, 4).hyperlink for row in range(8, 8 + severities.count("error")))


@pytest.mark.office
def test_marks_clear_when_the_cells_are_mended_in_an_office_program(marked: Path, tmp_path: Path) -> None:
    """The formulas of the rules are put into cells of their own, and the office program works them out."""
    book = load_workbook(marked)
    page = book["Batteries"]
    rules = {
        str(area.sqref): rule.formula[0]
        for area, ones in page.conditional_formatting._cf_rules.items()
        for rule in ones
    }
    assert {"B2", "D3"} == set(rules)
    scratch = book.create_sheet("Scratch")
    for row, (ref, formula) in enumerate(sorted(rules.items()), start=1):
        scratch.cell(row, 1).value = "=" + formula.replace(f"{ref}", f"Batteries!{ref}")
    book.save(tmp_path / "before.xlsx")
    page["B2"], page["D3"] = "AGM", 12.47
    book.save(tmp_path / "after.xlsx")
    for name, expected in (("before", [True, True]), ("after", [False, False])):
        command = ["soffice", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir"]
        folders = [str(tmp_path / "out"), str(tmp_path / f"{name}.xlsx")]
        subprocess.run([*command, *folders], check=True, capture_output=True)
        worked_out = load_workbook(tmp_path / "out" / f"{name}.xlsx", data_only=True)["Scratch"]
        assert expected == [bool(worked_out.cell(row, 1).value) for row in (1, 2)]
