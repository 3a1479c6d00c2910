"""The results workbook, read back with another library."""

import re
import zipfile
from datetime import date, datetime

import openpyxl
import pytest
from openpyxl.utils import get_column_letter, range_boundaries

from intake.model.paper import Paper
from intake.report.json.results import results_document
from intake.report.words.reasons import reason_in_full
from intake.report.xlsx.results import write_results_workbook
from tests.changed import replace
from tests.report.builders import LONG_NOTE, battery, many_batteries, mixed_batteries, mixed_result, result_of
from tests.report.priced import priced_result

HOSTILE = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\tx",
    "\r=1",
    "http://example.org",
    "<r><t>x</t></r>",
    "_x0041_",
    "'quoted",
]


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    path = tmp_path_factory.mktemp("xlsx") / "r.xlsx"
    write_results_workbook(mixed_result(), path)
    return path


@pytest.fixture(scope="module")
def values(path):
    return openpyxl.load_workbook(path, data_only=True)


@pytest.fixture(scope="module")
def formulas(path):
    return openpyxl.load_workbook(path)


def rows_of(sheet):
    header, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(header, row, strict=True)) for row in rows]


def written(folder, *batteries, **kwargs):
    path = folder / "w.xlsx"
    write_results_workbook(result_of(batteries, **kwargs), path)
    return openpyxl.load_workbook(path)


def test_five_sheets_and_without_prices_four(values, tmp_path):
    assert ["Summary", "Batteries", "Value", "Findings", "Reasons"] == values.sheetnames
    unpriced = written(tmp_path, battery(1, rest_voltage_v=12.7), batch={"prices": ()})
    assert ["Summary", "Batteries", "Findings", "Reasons"] == unpriced.sheetnames
    assert not any("value" in str(row[0]).lower() for row in unpriced["Summary"].iter_rows(values_only=True))


def test_one_row_for_each_battery_with_its_verdict(values):
    rows = rows_of(values["Batteries"])

    assert [one.tag for one in mixed_batteries()] == [row["Tag"] for row in rows]
    for row, one in zip(rows, mixed_result().graded, strict=True):
        assert one.verdict.grade.value == row["Grade"]
        assert one.verdict.evidence.value == row["Evidence"]
        assert one.verdict.handling.value == row["Handling"]
        assert reason_in_full(one.verdict.decisive) == row["Decisive reason"]
        assert one.verdict.next_step == row["Next step"]
        assert one.mass_kg == pytest.approx(row["Mass (kg)"]) if one.mass_kg else row["Mass (kg)"] is None


def test_one_row_for_each_rule_that_fired(values):
    rows = rows_of(values["Reasons"])
    fired = [(one.battery.tag, step.rule.id) for one in mixed_result().graded for step in one.verdict.reasons]

    assert fired == [(row["Tag"], row["Rule"]) for row in rows]
    assert len(mixed_result().graded) == sum(row["Decides"] == "yes" for row in rows)


def test_no_reason_speaks_in_signs_and_the_probability_keeps_its_column(values):
    batteries, reasons = rows_of(values["Batteries"]), rows_of(values["Reasons"])
    told = [str(row[name]) for row in batteries for name in ("Decisive reason", "Further reasons")]
    told += [str(row["Reason"]) for row in reasons]

    assert [] == [text for text in told if "P(" in text or ", u 0" in text]
    assert any("With this meter it takes 12.43 V to be sure of 12.40 V." in text for text in told)
    assert any(isinstance(row["Probability"], float) for row in reasons)


def test_one_row_for_each_finding(values):
    assert ["note", "error", "warning"] == [row["Severity"] for row in rows_of(values["Findings"])]


def test_sums_are_live_formulas_and_their_stored_values_are_right(values, formulas):
    stored, live = values["Summary"], formulas["Summary"]
    totals = results_document(mixed_result())["totals"]
    lines = {row[0].value: row[0].row for row in live.iter_rows(max_col=1) if row[0].value}
    for grade, total in totals["by_grade"].items():
        row = lines[grade]
        expected = [total[key] for key in ("count", "mass_kg", "mass_estimated_kg", "without_mass")]
        assert expected == pytest.approx([stored.cell(row, column).value for column in range(2, 6)])
        cells = [live.cell(row, column).value for column in range(2, 6)]
        for cell, function in zip(cells, ("COUNTIF", "SUMIF", "SUMIFS", "COUNTIFS"), strict=True):
            assert cell.startswith(f"={function}(Batteries!")
            assert f"$A{row}" in cell


def test_the_sum_line_adds_the_lines_above_it(values, formulas):
    live, stored = formulas["Summary"], values["Summary"]
    row = next(cell.row for (cell,) in live.iter_rows(max_col=1) if cell.value == "Sum")

    assert f"=SUM(B{row - 4}:B{row - 1})" == live.cell(row, 2).value
    assert 48 == stored.cell(row, 2).value
    assert sum(stored.cell(row - back, 3).value for back in range(1, 5)) == pytest.approx(
        stored.cell(row, 3).value
    )


def test_formulas_cover_every_battery(formulas):
    references = {
        reference
        for row in formulas["Summary"].iter_rows(values_only=True)
        for cell in row
        if isinstance(cell, str) and cell.startswith("=")
        for reference in re.findall(r"Batteries!\$[A-Z]+\$\d+:\$[A-Z]+\$\d+", cell)
    }

    assert references
    for reference in references:
        assert re.search(r"\$2:\$[A-Z]+\$49\Z", reference)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_stays_text_whatever_it_begins_with(tmp_path, text):
    book = written(tmp_path, battery(1, rest_voltage_v=12.7, note=text, position=text))
    sheet = book["Batteries"]
    header = [cell.value for cell in sheet[1]]
    for name in ("Note", "Position"):
        cell = sheet.cell(2, header.index(name) + 1)
        assert "s" == cell.data_type
        assert text.strip("\t\r").strip() in cell.value
        assert cell.hyperlink is None


def test_no_cell_of_the_lists_is_a_formula(formulas):
    for name in ("Batteries", "Findings", "Reasons"):
        for row in formulas[name].iter_rows():
            assert not any(cell.data_type == "f" for cell in row)


def test_a_text_longer_than_a_cell_can_hold_is_cut_with_a_sign(tmp_path):
    book = written(tmp_path, battery(1, rest_voltage_v=12.7, note="x" * 40_000))
    (note,) = (row["Note"] for row in rows_of(book["Batteries"]))

    assert 32_767 == len(note)
    assert note.endswith("x…")


def test_control_signs_do_not_reach_a_cell(tmp_path):
    book = written(tmp_path, battery(1, rest_voltage_v=12.7, note="a\x00b\x1bc\r\nd"))

    assert ["abc\nd"] == [row["Note"] for row in rows_of(book["Batteries"])]


def test_lists_have_a_filter_a_header_in_sight_and_print_on_one_width(formulas):
    for name in ("Batteries", "Findings", "Reasons"):
        sheet = formulas[name]
        assert sheet.auto_filter.ref.startswith("A1:")
        assert "B2" == sheet.freeze_panes
        assert "landscape" == sheet.page_setup.orientation
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.page_setup.fitToWidth in (None, 1)  # 1 where it is left out
        assert 0 == sheet.page_setup.fitToHeight
        assert "$1:$1" == sheet.print_title_rows


def test_units_stand_in_the_headers(values):
    header = [cell.value for cell in values["Batteries"][1]]

    for name in ("Mass (kg)", "State of charge, low (%)", "Voltage at 25 °C (V)"):
        assert name in header


def test_the_filter_covers_every_battery(tmp_path):
    path = tmp_path / "w.xlsx"
    write_results_workbook(result_of(many_batteries(400)), path)
    sheet = openpyxl.load_workbook(path)["Batteries"]

    assert sheet.auto_filter.ref.endswith("401")
    assert 401 == sheet.max_row


def test_rows_are_high_enough_for_their_wrapped_text(tmp_path):
    short = battery(1, rest_voltage_v=12.7)
    marked = battery(2, rest_voltage_v=12.7, row_errors=(2 * LONG_NOTE,))
    sheet = written(tmp_path, short, marked)["Batteries"]

    assert 60 > sheet.row_dimensions[2].height
    assert 300 < sheet.row_dimensions[3].height <= 409


def test_the_paper_is_the_one_of_the_run(tmp_path, formulas):
    path = tmp_path / "w.xlsx"
    write_results_workbook(replace(mixed_result(), paper=Paper.LETTER), path)

    assert 9 == formulas["Batteries"].page_setup.paperSize
    assert 1 == openpyxl.load_workbook(path)["Batteries"].page_setup.paperSize


def test_a_batch_without_recycle_and_findings_has_no_stream_sums(tmp_path):
    book = written(tmp_path, battery(1, rest_voltage_v=12.7))
    labels = [cell.value for (cell,) in book["Summary"].iter_rows(max_col=1)]

    assert "Waste stream of the recycle grade" not in labels
    assert 1 == book["Findings"].max_row


def test_a_batch_without_a_chemistry_that_a_voltage_tells_has_no_worth(tmp_path):
    book = written(tmp_path, battery(1, "unknown", rest_voltage_v=12.7))
    labels = [cell.value for (cell,) in book["Summary"].iter_rows(max_col=1)]

    assert "The meter in use tells the charge to within" not in labels


def test_the_workbook_says_when_it_was_received_not_when_it_was_written(values):
    assert datetime(2026, 11, 20) == values.properties.created
    assert date(2026, 11, 20) == mixed_result().batch.received


def test_the_same_result_gives_the_same_bytes(path, tmp_path):
    again = tmp_path / "again.xlsx"
    write_results_workbook(mixed_result(), again)

    assert path.read_bytes() == again.read_bytes()
    with zipfile.ZipFile(path) as archive:
        assert {(1980, 1, 31, 0, 0, 0)} == {member.date_time for member in archive.infolist()}


def test_a_file_that_can_not_be_written_is_an_os_error(tmp_path):
    with pytest.raises(OSError, match="nowhere"):
        write_results_workbook(mixed_result(), tmp_path / "nowhere" / "r.xlsx")


def test_where_only_an_interval_is_known_no_single_charge_is_shown(values):
    rows = {row["Tag"]: row for row in rows_of(values["Batteries"])}
    names = ("State of charge, low (%)", "State of charge (%)", "State of charge, high (%)")

    assert [False, True, False] == [rows["B-029"][name] is None for name in names]  # LFP at rest
    assert [False, False, False] == [rows["B-012"][name] is None for name in names]  # LFP after a hold


def test_no_charge_stands_where_an_open_protection_circuit_hides_the_cells(tmp_path):
    path = tmp_path / "r.xlsx"
    one, two = battery(1, "LFP", rest_voltage_v=2.4), battery(2, "LFP", rest_voltage_v=13.2)
    write_results_workbook(result_of([one, two]), path)
    hidden, shown = rows_of(openpyxl.load_workbook(path)["Batteries"])

    assert (None, None) == (hidden["State of charge, low (%)"], hidden["State of charge, high (%)"])
    assert shown["State of charge, low (%)"] < shown["State of charge, high (%)"]
    assert 2.4 == pytest.approx(hidden["Voltage at 25 °C (V)"], abs=0.01)


def test_a_long_batch_note_is_whole_in_the_summary(tmp_path):
    heights = []
    for note in ("short", LONG_NOTE[:300]):
        path = tmp_path / f"{len(note)}.xlsx"
        result = result_of([battery(1, rest_voltage_v=12.7)])
        write_results_workbook(replace(result, batch=replace(result.batch, note=note)), path)
        sheet = openpyxl.load_workbook(path)["Summary"]
        (row,) = (cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.value == "Note")
        heights.append(sheet.row_dimensions[row].height)

    assert heights[1] >= 4 * heights[0]


def test_what_a_list_prints_is_narrow_enough_for_type_that_can_be_read(tmp_path):
    """145 digits across the sheet were measured to print in 9 points on A4; 155 leave over 8 on Letter."""
    write_results_workbook(priced_result(), tmp_path / "r.xlsx")
    book = openpyxl.load_workbook(tmp_path / "r.xlsx")
    for name in ("Batteries", "Value", "Findings", "Reasons"):
        sheet = book[name]
        last = sheet.max_column
        if sheet.print_area:
            _, _, last, lowest = range_boundaries(sheet.print_area.rpartition("!")[2])
            assert lowest == sheet.max_row
        printed = sum(sheet.column_dimensions[get_column_letter(place)].width for place in range(1, last + 1))
        assert printed <= 155, name


def test_figures_show_the_decimals_that_the_pages_print(path):
    """Charge and the meter's worth in whole per cent, expected wrong decisions to a tenth."""
    book = openpyxl.load_workbook(path)
    head, first = (book["Batteries"][row] for row in (1, 2))
    charges = [cell for name, cell in zip(head, first, strict=True) if "State of charge" in str(name.value)]
    summary = {str(row[0].value): row[1].number_format for row in book["Summary"].iter_rows(max_col=2)}

    assert ["0"] * 3 == [one.number_format for one in charges]
    assert "0.0" == next(look for name, look in summary.items() if name.startswith("with the meter in use"))
    assert "0" == summary["flooded"]
