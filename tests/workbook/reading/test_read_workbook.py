import hashlib
import math
import sys
import warnings
from datetime import datetime, time, timedelta
from pathlib import Path

import pytest
import xlsxwriter

from intake.model.raw_workbook import CellKind, RawCell, RawSheet, WorkbookRefused
from intake.workbook.reading import read_rows
from intake.workbook.reading import read_workbook as module
from intake.workbook.reading.read_workbook import read_workbook
from tests.workbook.archives import (
    MAIN,
    SHEET,
    STRICT,
    number_cell,
    parts,
    row_xml,
    save,
    save_sheet,
    sheet_xml,
    text_cell,
)


def only_sheet(path: Path) -> RawSheet:
    (sheet,) = read_workbook(path).sheets
    return sheet


def cells(path: Path) -> dict[str, object]:
    return {cell.ref: cell.value for row in only_sheet(path).rows for cell in row.cells.values()}


def refused(path: Path) -> WorkbookRefused:
    with pytest.raises(WorkbookRefused) as caught:
        read_workbook(path)
    assert caught.value.hint.endswith(".")
    assert str(caught.value).count("\n") == 0
    return caught.value


def test_a_workbook_comes_with_its_name_digest_sheets_and_located_cells(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(2, text_cell("B2", "Tag") + number_cell("C2", 12.5)))
    path = save_sheet(tmp_path, xml)
    raw = read_workbook(path)
    assert "batch.xlsx" == raw.name
    assert hashlib.sha256(path.read_bytes()).hexdigest() == raw.sha256
    (row,) = raw.sheets[0].rows
    assert 2 == row.number
    assert {2: RawCell(2, 2, "Tag"), 3: RawCell(2, 3, 12.5)} == dict(row.cells)


@pytest.mark.parametrize("name", ["batch.xls", "batch.XLS ", "batch", "batch.ods"])
def test_content_counts_and_not_the_file_name(tmp_path: Path, name: str) -> None:
    path = save(tmp_path, parts(), name)
    assert {"A1": "Tag"} == cells(path)


def test_a_file_of_another_kind_is_refused_under_the_right_name(tmp_path: Path) -> None:
    assert "text or .csv" in str(refused(save(tmp_path, b"Tag,Case\n")))


def test_blank_cells_and_blank_rows_are_left_out(tmp_path: Path) -> None:
    blanks = "".join(
        text_cell(f"{'ABCD'[n]}2", text) for n, text in enumerate([" ", "\u00a0", "\u200b", "\t"])
    )
    rows = row_xml(1, text_cell("A1", "Tag") + text_cell("B1", "  ")) + row_xml(2, blanks) + row_xml(3, "")
    assert {"A1": "Tag"} == cells(save_sheet(tmp_path, sheet_xml(rows + row_xml(4, '<c r="A4" s="0"/>'))))


def test_text_comes_through_as_it_is(tmp_path: Path) -> None:
    texts = ["=1+1", " 12,43 V\u00a0", "_x0041_", "\u202eabc", "<b>&</b>"]
    rows = "".join(
        row_xml(n, text_cell(f"A{n}", text.replace("&", "&amp;").replace("<", "&lt;")))
        for n, text in enumerate(texts, 1)
    )
    assert texts == list(cells(save_sheet(tmp_path, sheet_xml(rows))).values())


def test_a_declared_size_that_is_too_small_loses_nothing(tmp_path: Path) -> None:
    rows = row_xml(1, text_cell("A1", "Tag")) + row_xml(3, number_cell("D3", 7))
    xml = sheet_xml(rows, before='<dimension ref="A1:A1"/>')
    assert {"A1": "Tag", "D3": 7} == cells(save_sheet(tmp_path, xml))


def test_a_declared_size_that_is_too_large_costs_nothing(tmp_path: Path) -> None:
    rows = row_xml(1, text_cell("A1", "Tag")) + row_xml(1_048_576, '<c r="XFD1048576" s="0"/>')
    xml = sheet_xml(rows, before='<dimension ref="A1:XFD1048576"/>')
    assert {"A1": "Tag"} == cells(save_sheet(tmp_path, xml))


def test_hidden_and_filtered_rows_are_told(tmp_path: Path) -> None:
    rows = (
        row_xml(1, text_cell("A1", "Tag"))
        + row_xml(2, text_cell("A2", "B-1"), more=' hidden="1"')
        + row_xml(3, text_cell("A3", "  "), more=' hidden="1"')
    )
    sheet = only_sheet(save_sheet(tmp_path, sheet_xml(rows, after='<autoFilter ref="A1:A3"/>')))
    assert frozenset({2}) == sheet.hidden_rows
    assert sheet.filtered is True


def test_error_cells_are_told_from_typed_text(tmp_path: Path) -> None:
    rows = row_xml(1, '<c r="A1" t="e"><v>#N/A</v></c>' + text_cell("B1", "#N/A"))
    (row,) = only_sheet(save_sheet(tmp_path, sheet_xml(rows))).rows
    assert [("#N/A", CellKind.ERROR), ("#N/A", CellKind.VALUE)] == [
        (cell.value, cell.kind) for cell in row.cells.values()
    ]


def test_a_formula_counts_by_its_saved_value_and_says_when_it_has_none(tmp_path: Path) -> None:
    formulas = (
        number_cell("A1", 1)
        + '<c r="B1"><f>A1+1</f></c><c r="C1"><f>A1+1</f><v>2</v></c>'
        + '<c r="D1" t="str"><f>""</f><v></v></c><c r="E1"><f t="shared" si="0"/></c>'
    )
    (row,) = only_sheet(save_sheet(tmp_path, sheet_xml(row_xml(1, formulas)))).rows
    assert [1, 2, 3, 5] == list(row.cells)
    assert RawCell(1, 2, None, CellKind.UNSAVED_FORMULA) == row.cells[2]
    assert RawCell(1, 3, 2) == row.cells[3]
    assert CellKind.UNSAVED_FORMULA is row.cells[5].kind


def test_a_row_that_holds_only_an_unsaved_formula_is_not_lost(tmp_path: Path) -> None:
    rows = row_xml(1, text_cell("A1", "Tag")) + row_xml(5, '<c r="A5"><f>NOW()</f></c>')
    assert [1, 5] == [row.number for row in only_sheet(save_sheet(tmp_path, sheet_xml(rows))).rows]


@pytest.mark.parametrize("code", ["0.0&quot; Ah&quot;", "0.0\\ \\A\\h", "0&quot; days&quot;"])
def test_a_unit_in_the_number_format_makes_no_date(tmp_path: Path, code: str) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", 60.5, more=' s="1"')))
    (row,) = only_sheet(save_sheet(tmp_path, xml, number_formats=(code,))).rows
    assert 60.5 == row.cells[1].value
    assert code.replace("&quot;", '"') == row.cells[1].number_format


@pytest.mark.parametrize(
    ("serial", "expected"),
    [(45981, datetime(2025, 11, 20)), (62.5, datetime(1900, 3, 2, 12)), (0.5, time(12))],
)
def test_a_date_format_makes_a_date_and_keeps_the_format_beside_it(
    tmp_path: Path, serial: float, expected: object
) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", serial, more=' s="1"')))
    (row,) = only_sheet(save_sheet(tmp_path, xml, number_formats=("yyyy-mm-dd",))).rows
    assert expected == row.cells[1].value
    assert "yyyy-mm-dd" == row.cells[1].number_format


def test_a_duration_format_makes_a_duration(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", 1.5, more=' s="1"')))
    path = save_sheet(tmp_path, xml, number_formats=("[h]:mm",))
    assert {"A1": timedelta(days=1.5)} == cells(path)


def test_dates_of_a_1904_workbook_come_out_right(tmp_path: Path) -> None:
    path = tmp_path / "mac.xlsx"
    with xlsxwriter.Workbook(str(path), {"date_1904": True}) as workbook:
        sheet = workbook.add_worksheet("Batch")
        sheet.write_datetime(0, 1, datetime(2026, 11, 20), workbook.add_format({"num_format": "yyyy-mm-dd"}))
    assert {"B1": datetime(2026, 11, 20)} == cells(path)


def test_a_date_beyond_the_calendar_is_an_error_cell_and_no_warning(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", 99999999, more=' s="1"')))
    path = save_sheet(tmp_path, xml, number_formats=("yyyy-mm-dd",))
    (row,) = only_sheet(path).rows
    assert CellKind.ERROR is row.cells[1].kind


@pytest.mark.parametrize(
    ("written", "expected"),
    [("1e999", math.inf), ("9" * 400, math.inf), ("-" + "9" * 400, -math.inf), ("9" * 30, int("9" * 30))],
)
def test_numbers_beyond_all_measure_come_through_for_the_checks(
    tmp_path: Path, written: str, expected: float
) -> None:
    assert {"A1": expected} == cells(save_sheet(tmp_path, sheet_xml(row_xml(1, number_cell("A1", written)))))


@pytest.mark.parametrize("text", ["NaN", "INF", "12 V", "0x1F", "1e", ".", " "])
def test_a_number_cell_without_a_number_is_refused_with_its_place(tmp_path: Path, text: str) -> None:
    rows = row_xml(1, text_cell("A1", "Tag")) + row_xml(2, number_cell("D2", text))
    assert "Sheet 'Batteries' has a cell D2" in str(refused(save_sheet(tmp_path, sheet_xml(rows))))


@pytest.mark.parametrize("text", ["12", "-0.0", "+1.5", "1e308", "1.5E-3", ".5", "5.", " 7 "])
def test_a_number_may_be_written_as_any_program_writes_it(tmp_path: Path, text: str) -> None:
    rows = row_xml(1, number_cell("A1", text))
    assert {"A1": float(text)} == cells(save_sheet(tmp_path, sheet_xml(rows)))


def test_a_foreign_sheet_may_hold_what_is_no_number(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", "NaN")))
    assert () == only_sheet(save_sheet(tmp_path, xml, name="Remarks")).rows


def test_true_and_false_come_as_such(tmp_path: Path) -> None:
    rows = row_xml(1, '<c r="A1" t="b"><v>1</v></c><c r="B1" t="b"><v>0</v></c>')
    assert {"A1": True, "B1": False} == cells(save_sheet(tmp_path, sheet_xml(rows)))


def test_a_foreign_sheet_gives_only_its_name(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, text_cell("A1", "Tag")))
    raw = read_workbook(save(tmp_path, parts({"My notes": xml, " BATTERIES ": xml, "Guide": xml})))
    assert [("My notes", 0), (" BATTERIES ", 1), ("Guide", 0)] == [
        (one.name, len(one.rows)) for one in raw.sheets
    ]


def test_a_heavy_foreign_sheet_is_guarded_but_has_no_row_limit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "ROWS_MOST", 3)
    foreign = sheet_xml(row_xml(9, number_cell("A9", 1)))
    good = sheet_xml(row_xml(1, text_cell("A1", "Tag")))
    assert 2 == len(read_workbook(save(tmp_path, parts({"Other": foreign, "Batch": good}))).sheets)
    broken = sheet_xml(row_xml(2, "") + row_xml(1, ""))
    assert "out of order" in str(refused(save(tmp_path, parts({"Other": broken, "Batch": good}))))


def test_a_sheet_without_any_value_has_no_rows(tmp_path: Path) -> None:
    assert () == only_sheet(save_sheet(tmp_path, sheet_xml(""))).rows


@pytest.mark.parametrize("names", [("Batteries", "BATTERIES"), ("Other", "other "), ("Batch", "Batch")])
def test_two_sheets_of_one_name_are_refused(tmp_path: Path, names: tuple[str, str]) -> None:
    content = parts({names[0]: sheet_xml(""), "x": sheet_xml("")})
    content["xl/workbook.xml"] = str(content["xl/workbook.xml"]).replace('"x"', f'"{names[1]}"')
    assert "Two sheets are called" in str(refused(save(tmp_path, content)))


def test_rows_columns_and_cells_are_limited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", 1)) + row_xml(4, number_cell("C4", 1)))
    path = save_sheet(tmp_path, xml)
    for name, fits, words in (
        ("ROWS_MOST", 4, "a value in row 4, and at most 3 rows"),
        ("COLUMNS_MOST", 3, "in column 3 from the left, and at most 2 columns"),
        ("CELLS_MOST", 2, "2 filled cells, and at most 1 are read"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(module, name, fits)
            assert 2 == len(only_sheet(path).rows)
            patch.setattr(module, name, fits - 1)
            assert words in str(refused(path))


def test_the_shipped_row_and_column_limits(tmp_path: Path) -> None:
    fits = sheet_xml(row_xml(100_000, number_cell("SR100000", 1)))
    assert {"SR100000": 1} == cells(save_sheet(tmp_path, fits))
    long = sheet_xml(row_xml(100_001, number_cell("A100001", 1)))
    assert "at most 100,000 rows" in str(refused(save_sheet(tmp_path, long)))
    wide = sheet_xml(row_xml(1, number_cell("SS1", 1)))
    assert "at most 512 columns" in str(refused(save_sheet(tmp_path, wide)))


def test_a_text_over_the_formats_length_is_refused_with_its_place(tmp_path: Path) -> None:
    assert 32_767 == len(str(cells(save_sheet(tmp_path, long_text(32_767)))["B1"]))
    message = str(refused(save_sheet(tmp_path, long_text(32_768))))
    assert "32,768 characters in row 1, column 2, and at most 32,767" in message


def test_one_long_text_in_many_cells_is_limited_in_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(read_rows, "CHARACTERS_MOST", 30)
    pointers = [row_xml(n, f'<c r="A{n}" t="s"><v>0</v></c>') for n in (1, 2, 3, 4)]
    strings = "<si><t>ten signs.</t></si>"
    three = save_sheet(tmp_path, sheet_xml("".join(pointers[:3])), strings=strings)
    assert ["ten signs."] * 3 == list(cells(three).values())
    four = save_sheet(tmp_path, sheet_xml("".join(pointers)), strings=strings)
    assert "'Batteries' has over 30 characters in its cells down to row 4" in str(refused(four))


def long_text(length: int) -> str:
    return sheet_xml(row_xml(1, text_cell("B1", "x" * length)))


def test_the_strict_variant_is_refused_and_not_read_as_empty(tmp_path: Path) -> None:
    content = parts()
    content["xl/workbook.xml"] = str(content["xl/workbook.xml"]).replace(MAIN, STRICT)
    refusal = refused(save(tmp_path, content))
    assert "strict variant" in str(refusal)
    assert "ordinary .xlsx" in refusal.hint


def test_a_sheet_in_a_foreign_namespace_is_refused_and_not_read_as_empty(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, text_cell("A1", "Tag")), namespace="urn:other")
    message = str(refused(save_sheet(tmp_path, xml)))
    assert "Sheet 'Batteries' is stored in a variant" in message


def test_a_listed_sheet_that_is_not_in_the_file_is_refused_and_not_skipped(tmp_path: Path) -> None:
    content = parts({"Batch": sheet_xml(""), "Batteries": sheet_xml("")})
    del content["xl/worksheets/sheet2.xml"]
    assert "lists a sheet that is not in the file" in str(refused(save(tmp_path, content)))


@pytest.mark.parametrize("kind", ["dialogsheet", "macrosheet"])
def test_a_sheet_without_a_grid_is_no_worksheet(tmp_path: Path, kind: str) -> None:
    other = f'<{kind} xmlns="{MAIN}"/>'
    raw = read_workbook(save(tmp_path, parts({"Old": other, "Batch": sheet_xml("")})))
    assert ["Batch"] == [one.name for one in raw.sheets]
    assert "no worksheet" in str(refused(save(tmp_path, parts({"Old": other}))))


def test_a_sheet_that_is_one_chart_is_no_worksheet(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(str(tmp_path / "chart.xlsx"))
    book.add_worksheet("Batch").write("A1", 1)
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Batch!$A$1:$A$1"})
    book.add_chartsheet("Plot").set_chart(chart)
    book.close()
    assert ["Batch"] == [one.name for one in read_workbook(tmp_path / "chart.xlsx").sheets]


@pytest.mark.parametrize(
    ("part", "content"),
    [
        ("[Content_Types].xml", "<Types/>"),
        ("xl/_rels/workbook.xml.rels", "<Relationships/>"),
        (
            "xl/styles.xml",
            f'<styleSheet xmlns="{MAIN}"><fonts><font><sz val="x"/></font></fonts></styleSheet>',
        ),
        (SHEET, sheet_xml(row_xml(1, '<c r="A1" t="s"><v>7</v></c>'))),
        (SHEET, sheet_xml(row_xml(1, number_cell("A1", 1, more=' s="99"')))),
        (SHEET, sheet_xml(row_xml(1, number_cell("A1", 1, more=' s="-1"')))),
        (SHEET, sheet_xml(row_xml(1, '<c r="A1" t="d"><v>soon</v></c>'))),
    ],
)
def test_whatever_the_library_raises_becomes_one_sentence(tmp_path: Path, part: str, content: str) -> None:
    broken = {**parts(strings="<si><t>one</t></si>"), part: content}
    assert "do not fit together" in str(refused(save(tmp_path, broken)))


def test_nothing_that_the_library_prints_or_warns_of_reaches_the_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    from openpyxl.reader import excel

    real = excel.apply_stylesheet

    called = []

    def loud(*arguments: object, **options: object) -> object:
        called.append(arguments)
        print("0 is out of range")
        print("look here", file=sys.stderr)
        warnings.warn("unknown extension", stacklevel=1)
        return real(*arguments, **options)

    monkeypatch.setattr(excel, "apply_stylesheet", loud)
    assert {"A1": "Tag"} == cells(save(tmp_path, parts()))
    assert called
    assert ("", "") == tuple(capfd.readouterr())


def test_a_shared_text_is_read(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, '<c r="A1" t="s"><v>1</v></c>'))
    assert {"A1": "two"} == cells(save_sheet(tmp_path, xml, strings="<si><t>one</t></si><si><t>two</t></si>"))


def test_what_follows_the_last_value_can_not_spoil_it(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, text_cell("A1", "Tag")), after='<sheetProtection password="not hexadecimal"/>')
    assert {"A1": "Tag"} == cells(save_sheet(tmp_path, xml))
