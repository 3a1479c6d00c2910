"""The register workbook, read back with another library and computed anew by an office program."""

import re
import shutil
import subprocess
import zipfile
from datetime import datetime

import openpyxl
import pytest

from intake.model.paper import Paper
from intake.report.json.register import register_document
from intake.report.xlsx.register import write_register_workbook
from tests.changed import replace
from tests.register.builders import QUARTER
from tests.report.register_builders import (
    hostile_register,
    mixed_batches,
    mixed_register,
    register_of,
)

VIEWS = {
    "Grades": "by_grade",
    "Chemistries": "by_chemistry",
    "Waste streams": "by_stream",
    "Jurisdictions": "by_jurisdiction",
    "Suppliers": "by_supplier",
    "Months": "by_month",
}
LISTS = [
    "Account",
    "Loads",
    "On hand",
    "Differences",
    "Meters",
    "Repeated tags",
    "Storage",
    "Storage rules",
    "Not counted",
    "Batches",
    "Data",
]
FIGURES = {
    "Batches": "batches",
    "Batteries": "count",
    "Mass (kg)": "mass_kg",
    "of which estimated (kg)": "mass_estimated_kg",
    "without mass": "without_mass",
    "for resale, a hold has shown it": "resale_proven",
    "still owed a test": "owed_a_test",
    "Expected wrong acceptances": "wrong_acceptances",
}
SHARES = {
    "Resale yield (% of batteries)": "resale-after-charge",
    "Unresolved (% of batteries)": "unresolved",
}


def written(folder, register):
    path = folder / "register.xlsx"
    write_register_workbook(register, path)
    return path


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return written(tmp_path_factory.mktemp("register"), mixed_register())


@pytest.fixture(scope="module")
def values(path):
    return openpyxl.load_workbook(path, data_only=True)


@pytest.fixture(scope="module")
def formulas(path):
    return openpyxl.load_workbook(path)


@pytest.fixture(scope="module")
def document():
    return register_document(mixed_register())


def rows_of(sheet):
    header, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(header, row, strict=True)) for row in rows]


def test_a_sheet_for_each_view_then_the_lists(values):
    assert ["Summary", *VIEWS, *LISTS] == values.sheetnames


@pytest.mark.parametrize("name", VIEWS)
def test_stored_results_are_those_of_the_document(values, document, name):
    *rows, _ = rows_of(values[name])
    lines = document["views"][VIEWS[name]]

    assert len(lines) == len(rows)
    for row, line in zip(rows, lines, strict=True):
        for header in row.keys() & FIGURES.keys():
            assert (line[FIGURES[header]] or 0) == pytest.approx(row[header]), header
        for header in row.keys() & SHARES.keys():
            assert line["shares_percent"][SHARES[header]] == pytest.approx(row[header])
        for grade in row.keys() & line["by_grade"].keys():
            assert line["by_grade"][grade] == row[grade]


@pytest.mark.parametrize("name", VIEWS)
def test_every_figure_of_a_view_is_a_formula_over_all_rows_of_the_data(formulas, name):
    sheet, rows = formulas[name], {"Data": formulas["Data"].max_row, "Batches": formulas["Batches"].max_row}
    first = 3 if name == "Suppliers" else 2

    cells = [cell for row in sheet.iter_rows(min_row=2, min_col=first) for cell in row]
    assert all(cell.data_type == "f" for cell in cells)
    references = {
        ref for cell in cells for ref in re.findall(r"(\w+)!\$[A-Z]+\$2:\$[A-Z]+\$(\d+)", cell.value)
    }
    assert references
    assert all(int(last) == rows[sheet_name] for sheet_name, last in references)


@pytest.mark.parametrize("name", VIEWS)
def test_the_last_line_adds_up_the_others(values, document, name):
    *rows, total = rows_of(values[name])

    for header in ("Batteries", "Mass (kg)", "of which estimated (kg)", "without mass"):
        assert sum(row[header] for row in rows) == pytest.approx(total[header])
    whole = (
        document["totals"]["by_grade"]["recycle"] if name == "Waste streams" else document["totals"]["count"]
    )
    assert whole == total["Batteries"]


@pytest.mark.parametrize("name", ["Grades", "Waste streams"])
def test_shares_of_the_sum_make_100(values, name):
    *rows, total = rows_of(values[name])

    assert 100 == pytest.approx(sum(row["Share of the sum (% of batteries)"] for row in rows), abs=0.05)
    assert 100 == total["Share of the sum (% of batteries)"]


def test_the_summary_gives_the_whole_with_live_sums(values, formulas, document):
    stored = {row[0].value: row[1].value for row in values["Summary"].iter_rows(max_col=2)}
    live = {row[0].value: row[1].value for row in formulas["Summary"].iter_rows(max_col=2)}
    totals = document["totals"]

    for label, key in (
        ("Batches", "batches"),
        ("Batteries", "count"),
        ("Mass (kg)", "mass_kg"),
        ("of which estimated (kg)", "mass_estimated_kg"),
        ("Batteries without mass", "without_mass"),
        ("Expected wrong acceptances", "wrong_acceptances"),
    ):
        assert totals[key] == pytest.approx(stored[label])
        assert live[label].startswith("=")
    assert datetime(2026, 12, 31) == stored["Closing date"]
    assert 60 == stored["Storage limit of the site (days)"]
    assert all(text in stored for text in document["remarks"] + document["cautions"])


def test_meters_storage_tags_and_files_are_listed(values, document):
    meters, storage = rows_of(values["Meters"]), rows_of(values["Storage"])

    standing = "Standing on the closing date"
    assert [one["standing"] for one in document["meters"]] == [row[standing] for row in meters]
    assert [(one["batch"], one["days"], one["standing"]) for one in document["storage"]] == [
        (row["Batch"], row["Days held"], row[standing]) for row in storage
    ]
    assert [("B-1", "OLD"), ("B-1", "S-1"), ("B-2", "S-1"), ("B-2", "O-1")] == [
        (row["Tag"], row["Batch"]) for row in rows_of(values["Repeated tags"])
    ]
    assert [
        ("x/x-results.json", "It is empty."),
        ("old/S-1-results.json", "The same bytes as S-1/S-1-results.json, which is counted."),
    ] == [(row["Results file"], row["Why it is not counted"]) for row in rows_of(values["Not counted"])]
    withheld = {row["Reminder"] for row in rows_of(values["Storage rules"]) if not row["Source"]}
    assert {"confirm locally"} == withheld


def test_lists_and_views_have_a_filter_a_header_in_sight_and_print_on_one_width(formulas):
    for name in (*VIEWS, *LISTS):
        sheet = formulas[name]
        assert sheet.auto_filter.ref.startswith("A1:")
        assert sheet.freeze_panes in ("B2", "C2")
        assert "landscape" == sheet.page_setup.orientation
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert "$1:$1" == sheet.print_title_rows


def test_the_sum_is_outside_the_filter(formulas):
    for name in VIEWS:
        sheet = formulas[name]
        assert "Sum" == sheet.cell(sheet.max_row, 1).value
        assert sheet.auto_filter.ref.endswith(str(sheet.max_row - 1))


def test_text_stays_text_and_no_supplier_is_a_condition(tmp_path):
    book = openpyxl.load_workbook(written(tmp_path, hostile_register()))

    for name in LISTS:
        for row in book[name].iter_rows():
            for cell in row:
                assert cell.hyperlink is None
                live = name in ("Meters", "Storage") and cell.row > 1 and str(cell.value).startswith("=IF(")
                assert live or cell.data_type != "f"
    suppliers = book["Suppliers"]
    for row in suppliers.iter_rows(min_row=2, max_row=suppliers.max_row - 1):
        assert "n" == row[0].data_type
        assert "s" == row[1].data_type
    assert {"=1+1", ">5*", "*"} <= {row[1].value for row in suppliers.iter_rows(min_row=2)}


def test_a_register_of_nothing_is_written_too(tmp_path):
    path = written(tmp_path, register_of([]))
    book = openpyxl.load_workbook(path, data_only=True)

    totals = {row[0].value: row[1].value for row in book["Summary"].iter_rows(max_col=2)}
    assert 0 == totals["Batteries"]
    assert not totals["Resale yield (% of batteries)"]
    assert 2 == book["Suppliers"].max_row


def test_without_a_limit_its_cell_is_blank(tmp_path):
    register = register_of(mixed_batches(), period=replace(QUARTER, storage_limit_days=None))
    book = openpyxl.load_workbook(written(tmp_path, register), data_only=True)

    cells = {row[0].value: row[1].value for row in book["Summary"].iter_rows(max_col=2)}
    assert cells["Storage limit of the site (days)"] is None
    assert {"no limit given"} == {row["Standing on the closing date"] for row in rows_of(book["Storage"])}


def test_the_same_register_gives_the_same_bytes_on_its_own_paper(path, tmp_path):
    assert path.read_bytes() == written(tmp_path, mixed_register()).read_bytes()

    letter = openpyxl.load_workbook(written(tmp_path, replace(mixed_register(), paper=Paper.LETTER)))
    assert {1} == {sheet.page_setup.paperSize for sheet in letter}


def without_results(path, target):
    """Write the workbook again with the stored result of every formula taken out."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name.startswith("xl/worksheets/sheet"):
                content = re.sub(rb"(</f>)<v>[^<]*</v>", rb"\1", content)
                content = re.sub(rb' t="str"(><f>)', rb"\1", content)
            new.writestr(name, content)
    return target


@pytest.mark.office
@pytest.mark.parametrize("build", [mixed_register, hostile_register], ids=["mixed", "hostile"])
def test_an_office_program_computes_the_stored_results(tmp_path, build):
    soffice = shutil.which("soffice")
    assert soffice, "LibreOffice is needed"
    path = written(tmp_path, build())
    stripped = without_results(path, tmp_path / "stripped.xlsx")
    subprocess.run(
        [
            soffice,
            f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
            *("--headless", "--convert-to", "xlsx", "--outdir", str(tmp_path / "again"), str(stripped)),
        ],
        check=True,
        capture_output=True,
        timeout=600,
    )
    stored = openpyxl.load_workbook(path, data_only=True)
    computed = openpyxl.load_workbook(tmp_path / "again" / "stripped.xlsx", data_only=True)
    live = openpyxl.load_workbook(path)
    seen = 0
    for sheet in live:
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
            expected = stored[sheet.title][cell.coordinate].value or 0
            found = computed[sheet.title][cell.coordinate].value or 0
            seen += 1
            place = f"{sheet.title}!{cell.coordinate}"
            assert found == (pytest.approx(expected, abs=0.006) if expected != str(expected) else expected), (
                place
            )
    assert seen > 50
