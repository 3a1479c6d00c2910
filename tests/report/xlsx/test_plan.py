"""The plan's workbook, read back with another library."""

from datetime import datetime

import openpyxl
import pytest

from intake.model.paper import Paper
from intake.report.plan.words import load_plan_words
from intake.report.xlsx.plan import write_plan_workbook
from tests.changed import replace
from tests.report.builders import battery, mixed_result, result_of
from tests.report.plan_builders import mixed_plan, planned, small_plan, small_result

LISTS = ("Tasks", "Batteries", "Nothing to do")


def written(folder, plan, result):
    path = folder / "p.xlsx"
    write_plan_workbook(plan, result, path)
    return path


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    return openpyxl.load_workbook(written(tmp_path_factory.mktemp("xlsx"), small_plan(), small_result()))


def rows_of(sheet):
    header, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(header, row, strict=True)) for row in rows]


def test_four_sheets(small):
    assert [*LISTS, "Plan"] == small.sheetnames


def test_one_row_for_each_task_in_time_order(tmp_path):
    rows = rows_of(openpyxl.load_workbook(written(tmp_path, mixed_plan(), mixed_result()))["Tasks"])
    words = load_plan_words().tasks

    assert [
        (f"{one.start:%Y-%m-%d}", f"{one.start:%H:%M}", one.tag, words[one.kind].name, one.place)
        for one in mixed_plan().tasks
    ] == [tuple(row[name] for name in ("Day", "From", "Tag", "Task", "Place")) for row in rows]
    moments = [(row["Day"], row["From"]) for row in rows]
    assert sorted(moments) == moments


def test_what_the_person_does_and_what_goes_on_by_itself_can_be_told_apart(small):
    by = [row["By"] for row in rows_of(small["Tasks"])]

    assert ["person" if one.needs_person else "by itself" for one in small_plan().tasks] == by


def test_a_task_has_its_end_its_due_time_and_what_to_do(small):
    long_reading = rows_of(small["Tasks"])[8]

    assert ("08:03", "Fri 18:00") == (long_reading["To"], long_reading["Due from"])
    assert long_reading["What to do"].startswith("Due since Fri 18:00.")
    assert "Hold end (V)" in long_reading["What to do"]
    assert "Mon 08:00" == rows_of(small["Tasks"])[1]["To"]


def test_what_is_written_down_by_hand_is_left_blank(small):
    for row in rows_of(small["Tasks"]):
        for name in (
            "Done",
            "Really done at",
            "Voltage (V)",
            "Hours after, or rested (h)",
            "Temperature (°C)",
        ):
            assert row[name] is None


def test_the_tick_column_offers_yes_for_every_task(small):
    (rule,) = small["Tasks"].data_validations.dataValidation

    assert ("list", '"yes"', "A2:A14") == (rule.type, rule.formula1, str(rule.sqref))


def test_each_battery_has_station_charge_hours_and_remarks(small):
    first, second, _ = rows_of(small["Batteries"])

    assert ("S1", 9.0, 2.25, 24.18, 29.04, 9.5, 10.25) == tuple(
        first[name]
        for name in (
            "Station",
            "Current (A)",
            "Recovery (A)",
            "Charge, low (Ah)",
            "Charge, high (Ah)",
            "On station, low (h)",
            "On station, high (h)",
        )
    )
    assert ("Look twice.", "2026-11-24 08:03") == (first["Remarks"], first["Last reading"])
    assert "54 % missing at most" in first["Working"]
    assert ("none needed", None, None) == (second["Station"], second["Current (A)"], second["Working"])


def test_each_battery_with_nothing_to_do_has_its_reason(small):
    rows = rows_of(small["Nothing to do"])

    assert [("B-004", "It is damaged and is never charged.", "Keep it apart.")] == [
        (row["Tag"], row["Why"], row["Next step"]) for row in rows[:1]
    ]
    assert 2 == len(rows)


def test_the_plan_sheet_tells_end_bound_stations_notes_cautions_and_digests(small):
    facts = [(label, text) for label, text in small["Plan"].iter_rows(values_only=True, min_row=3)]

    assert ("Station S1", "10 A, takes lead-acid") in facts
    assert ("Station S2", "5 A, takes lead-acid and LFP") in facts
    assert ("Taken for granted", "Charging runs on overnight.") in facts
    assert ("Workbook SHA-256", "0123456789abcdef" * 4) in facts
    assert "no plan can finish before Mon 2026-11-23 20:03" in dict(facts)["Finishes"]
    assert any(label == "Caution" and "BMS" in text for label, text in facts)


def test_the_marked_place_is_named_where_suspect_ones_are_worked_on(tmp_path):
    book = openpyxl.load_workbook(written(tmp_path, small_plan(qualified=True), small_result()))
    facts = dict(book["Plan"].iter_rows(values_only=True, min_row=3))

    assert facts["Station S2"].endswith(", in the marked place")
    assert "yes" == facts["Qualified person"]


@pytest.mark.parametrize("text", ["=1+1", "@SUM(A1)", "http://example.org", "<r><t>x</t></r>"])
def test_text_of_cells_stays_text(tmp_path, text):
    result = result_of([battery(1, "AGM", rest_voltage_v=12.0, position=text)], batch={"site": text})
    book = openpyxl.load_workbook(written(tmp_path, planned(result, "1"), result))

    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert not any(cell.data_type == "f" or cell.hyperlink for cell in cells)
    assert any(str(cell.value).strip() == text for cell in cells)


def test_lists_have_a_filter_a_header_in_sight_and_print_on_one_width(small):
    for name in LISTS:
        sheet = small[name]
        assert sheet.auto_filter.ref.startswith("A1:")
        assert "B2" == sheet.freeze_panes
        assert "landscape" == sheet.page_setup.orientation
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert "$1:$1" == sheet.print_title_rows


def test_an_empty_plan_has_headers_alone(tmp_path):
    plan = small_plan(tasks=(), batteries=(), held_back=(), notes=())
    book = openpyxl.load_workbook(written(tmp_path, plan, small_result()))

    assert [1, 1, 1] == [book[name].max_row for name in LISTS]
    assert [] == book["Tasks"].data_validations.dataValidation


def test_the_paper_is_the_one_of_the_run(tmp_path, small):
    result = replace(small_result(), paper=Paper.LETTER)

    assert 9 == small["Tasks"].page_setup.paperSize
    letter = openpyxl.load_workbook(written(tmp_path, small_plan(), result))
    assert 1 == letter["Tasks"].page_setup.paperSize


def test_the_same_plan_gives_the_same_bytes_and_the_day_of_receipt(tmp_path, small):
    first = written(tmp_path, small_plan(), small_result()).read_bytes()

    assert first == written(tmp_path, small_plan(), small_result()).read_bytes()
    assert datetime(2026, 11, 20) == small.properties.created
