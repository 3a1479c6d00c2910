import os
import warnings
from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from intake.policy.dictionary import Form, Sheet, load_dictionary
from intake.policy.rule_data import load_rules
from intake.workbook.blank import write as blank_workbook
from intake.workbook.blank.write import blank_workbook_bytes, write_blank_workbook
from intake.workbook.reading.read_workbook import read_workbook
from tests.checks.builders import check

SHEETS = load_dictionary().sheets
HEADER_ROW = {"batteries": 5, "hold_readings": 4, "prices": 4}
LISTS = [sheet for key, sheet in SHEETS.items() if key != "batch"]


@pytest.fixture
def blank(tmp_path: Path) -> Path:
    path = tmp_path / "blank.xlsx"
    write_blank_workbook(path)
    return path


@pytest.fixture
def opened(blank: Path) -> Workbook:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return load_workbook(blank)


def test_the_five_sheets_stand_in_order(opened: Workbook) -> None:
    assert ["Batch", "Batteries", "Hold readings", "Prices", "Guide"] == opened.sheetnames
    assert "Batch" == opened.active.title


def test_the_header_row_is_the_first_that_holds_the_first_header_and_nothing_is_below(blank: Path) -> None:
    raw = {sheet.name: sheet for sheet in read_workbook(blank).sheets}
    for sheet in LISTS:
        headers = [column.header for column in sheet.columns]
        holding = [row for row in raw[sheet.name].rows if headers[0] in {c.value for c in row.cells.values()}]
        assert [HEADER_ROW[sheet.key]] == [row.number for row in holding]
        assert headers == [cell.value for cell in holding[0].cells.values()]
        assert HEADER_ROW[sheet.key] == raw[sheet.name].rows[-1].number
        assert raw[sheet.name].filtered is False


def test_every_batch_field_stands_alone_with_an_empty_value_beside_it(blank: Path) -> None:
    rows = read_workbook(blank).sheets[0].rows
    headers = [column.header for column in SHEETS["batch"].columns]
    assert headers == [row.cells[1].value for row in rows[-len(headers) :]]
    assert all(2 not in row.cells for row in rows[-len(headers) :])


def test_nothing_but_the_fields_of_the_batch_sheet_reads_as_one(opened: Workbook) -> None:
    """A value typed beside the title is not taken for the batch's name."""
    labels = [str(row[0].value).casefold() for row in opened["Batch"].iter_rows() if row[0].value]
    for column in SHEETS["batch"].columns:
        assert 1 == labels.count(column.header.casefold())


@pytest.mark.parametrize("sheet", LISTS, ids=lambda sheet: sheet.name)
def test_needed_columns_are_told_by_a_word_by_weight_and_by_a_line(opened: Workbook, sheet: Sheet) -> None:
    page = opened[sheet.name]
    for place, column in enumerate(sheet.columns, start=1):
        row = HEADER_ROW[sheet.key]
        marker, header = page.cell(row - 1, place), page.cell(row, place)
        tier = "needed" if column.needed else "for a grade" if column.for_grade else None
        assert tier == marker.value
        assert column.needed == bool(header.font.b)
        assert ("thick" if column.needed else "thin") == header.border.bottom.style


@pytest.mark.parametrize("sheet", LISTS, ids=lambda sheet: sheet.name)
def test_every_header_has_its_note(opened: Workbook, sheet: Sheet) -> None:
    for place, column in enumerate(sheet.columns, start=1):
        assert column.help in opened[sheet.name].cell(HEADER_ROW[sheet.key], place).comment.text


@pytest.mark.parametrize("sheet", LISTS, ids=lambda sheet: sheet.name)
def test_every_column_that_has_a_rule_has_it_on_four_hundred_rows(opened: Workbook, sheet: Sheet) -> None:
    page = opened[sheet.name]
    ruled = {
        span.min_col: (rule, span)
        for rule in page.data_validations.dataValidation
        for span in rule.sqref.ranges
    }
    for place, column in enumerate(sheet.columns, start=1):
        if column.form in (Form.TEXT, Form.PARTIAL_DATE, Form.TIME, Form.DATE_TIME):
            assert place not in ruled
        else:
            rule, span = ruled[place]
            first = HEADER_ROW[sheet.key] + 1
            assert (first, first + 399) == (span.min_row, span.max_row)
            assert "warning" == rule.errorStyle
            if column.form is Form.CHOICE:
                assert f'"{",".join(column.choices)}"' == rule.formula1


def test_the_three_tiers_stand_in_order_from_the_left_each_in_a_lighter_shade(opened: Workbook) -> None:
    page, columns = opened["Batteries"], SHEETS["batteries"].columns
    tiers = [one.tier for one in columns]
    assert tiers == sorted(tiers, key=["needed", "for a grade", ""].index)
    assert ["tag", "chemistry", "case", "rest_voltage_v", "rested_h"] == [one.key for one in columns[:5]]
    assert {"rest_began", "rest_read_at", "temperature_c", "rated_capacity_ah"} == {
        one.key for one in columns[5:9]
    }
    shades = list(dict.fromkeys(page.cell(5, place).fill.fgColor.rgb for place in range(1, len(columns) + 1)))
    assert 3 == len(shades)
    assert shades == sorted(shades)


def test_a_worked_example_stands_above_the_headers_where_it_is_never_read(
    blank: Path, opened: Workbook
) -> None:
    example = [cell.value for cell in opened["Batteries"][3]][:6]
    assert ["e.g. B-001", "AGM", "sound", "12.55", "15.5", "2026-11-20 16:30"] == example
    fields = {"Batch": "T-1", "Site": "Y", "Received": "2026-06-05", "Inspector": "I", "Jurisdiction": "EU"}
    for row in opened["Batch"].iter_rows(max_col=2):
        if row[0].value in fields:
            row[1].value = fields[row[0].value]
    for place, value in enumerate(("B-9", "gel", "cracked"), start=1):
        opened["Batteries"].cell(6, place).value = value
    opened.save(blank)
    checked = check(read_workbook(blank))
    assert checked.batch is not None, checked.findings
    assert ["B-9"] == [one.tag for one in checked.batch.batteries]
    assert None is checked.batch.batteries[0].rest_voltage_v


def test_batch_fields_have_their_rules(opened: Workbook) -> None:
    rules = {str(rule.sqref): rule for rule in opened["Batch"].data_validations.dataValidation}
    row = 4 + [column.key for column in SHEETS["batch"].columns].index("jurisdiction")
    assert f'"{",".join(load_rules())}"' == rules[f"B{row}"].formula1


def test_headers_stay_in_sight_on_screen_and_on_paper(opened: Workbook) -> None:
    page = opened["Batteries"]
    assert "B6" == page.freeze_panes
    assert ("$2:$5", "$A:$A") == (page.print_title_rows, page.print_title_cols)
    assert "landscape" == page.page_setup.orientation


def test_printed_pages_end_between_bands(opened: Workbook) -> None:
    page = opened["Batteries"]
    bands = {cell.column for cell in page[2] if cell.value}
    breaks = [found.id + 1 for found in page.col_breaks.brk]
    assert breaks
    assert set(breaks) <= bands


def test_the_guide_tells_every_column_and_the_words_that_are_understood(opened: Workbook) -> None:
    text = "\n".join(str(cell.value) for row in opened["Guide"] for cell in row if cell.value)
    for sheet in SHEETS.values():
        for column in sheet.columns:
            assert column.help in text
            if column.place is None:
                assert column.header in text
    assert "SG 1 to SG 6" in text
    assert "Cell 1 (V) to Cell 4 (V)" in text
    assert "LFP: LiFePO4" in text


@pytest.fixture
def short(tmp_path: Path) -> Workbook:
    path = tmp_path / "short.xlsx"
    write_blank_workbook(path, short=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return load_workbook(path)


def test_the_short_form_has_what_a_grade_needs_and_three_columns_more(short: Workbook) -> None:
    assert ["Batch", "Batteries", "Guide"] == short.sheetnames
    assert [
        "Tag",
        "Chemistry",
        "Case",
        "Rest voltage (V)",
        "Rested (h)",
        "Rest began",
        "Rest read at",
        "Temperature (°C)",
        "Rated capacity (Ah)",
        "Terminals",
        "Position",
        "Note",
    ] == [cell.value for cell in short["Batteries"][5]]
    fields = [row[0].value for row in short["Batch"].iter_rows(min_row=4) if row[0].value]
    assert {"Batch", "Site", "Received", "Inspector", "Jurisdiction", "Read on", "Meter"} <= set(fields)
    assert "Currency" not in fields


def test_the_short_form_is_one_page_on_its_side_with_thirty_ruled_rows(short: Workbook) -> None:
    page = short["Batteries"]
    setup = page.page_setup
    assert "landscape" == setup.orientation
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert {None} == {setup.fitToWidth, setup.fitToHeight}  # as the file format says it: one page each way
    assert page.print_area.endswith("$A$1:$L$35")
    ruled = [row for row in range(6, 60) if page.cell(row, 1).border.bottom.style]
    assert list(range(6, 36)) == ruled


def test_no_cell_of_the_blank_is_a_formula(opened: Workbook) -> None:
    assert not [cell for page in opened for row in page for cell in row if cell.data_type == "f"]


def test_the_bytes_never_change() -> None:
    assert blank_workbook_bytes() == blank_workbook_bytes()


def test_the_file_says_the_same_day_forever(opened: Workbook) -> None:
    assert datetime(2026, 1, 1) == opened.properties.created


def test_an_existing_file_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "mine.xlsx"
    path.write_bytes(b"mine")
    with pytest.raises(FileExistsError, match="there already"):
        write_blank_workbook(path)
    assert b"mine" == path.read_bytes()
    assert [path] == list(tmp_path.iterdir())


def test_a_link_that_leads_nowhere_is_not_written_through(tmp_path: Path) -> None:
    path = tmp_path / "link.xlsx"
    path.symlink_to(tmp_path / "elsewhere.xlsx")
    with pytest.raises(FileExistsError):
        write_blank_workbook(path)
    assert not (tmp_path / "elsewhere.xlsx").exists()


def test_a_file_that_appears_meanwhile_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "raced.xlsx"

    def slow(*_: object, **_options: bool) -> bytes:
        path.write_bytes(b"theirs")
        return b"ours"

    monkeypatch.setattr(blank_workbook, "blank_workbook_bytes", slow)
    with pytest.raises(FileExistsError):
        write_blank_workbook(path)
    assert b"theirs" == path.read_bytes()
    assert [path] == list(tmp_path.iterdir())


def no_links(*_arguments: object) -> None:
    raise OSError(95, "Operation not supported")


def test_a_disk_without_links_gets_the_file_by_renaming(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "link", no_links)
    write_blank_workbook(tmp_path / "new.xlsx")
    assert blank_workbook_bytes() == (tmp_path / "new.xlsx").read_bytes()
    assert ["new.xlsx"] == [one.name for one in tmp_path.iterdir()]


def test_a_disk_without_links_does_not_overwrite_either(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "raced.xlsx"

    def slow(*_: object, **_options: bool) -> bytes:
        path.write_bytes(b"theirs")
        return b"ours"

    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(blank_workbook, "blank_workbook_bytes", slow)
    with pytest.raises(FileExistsError):
        write_blank_workbook(path)
    assert b"theirs" == path.read_bytes()


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_blank_workbook(tmp_path / "new.xlsx")
    assert [] == list(tmp_path.iterdir())


def test_a_missing_folder_is_said_by_the_system(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        write_blank_workbook(tmp_path / "none" / "new.xlsx")
