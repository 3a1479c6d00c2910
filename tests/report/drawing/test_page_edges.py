"""Head and foot of every page."""

from datetime import date, datetime

import pytest

from intake.model.paper import Paper
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, furniture_of
from intake.report.drawing.typesetter import Typesetter
from tests.changed import replace
from tests.report.builders import battery, result_of

SHEET = sheet_of(Paper.A4)
ONE = (battery(1, rest_voltage_v=12.7),)


def furnished(count=1, **batch):
    furniture = PageFurniture(SHEET, furniture_of(result_of(ONE, batch=batch), "Some document"))
    heads = [furniture.head(number, count) for number in range(1, count + 1)]
    return [[mark for mark, _, _ in head if isinstance(mark, TextMark)] for head in heads]


def test_every_page_is_numbered_and_told_how_many_there_are():
    assert ["page 1 of 3", "page 2 of 3", "page 3 of 3"] == [marks[1].text for marks in furnished(3)]


def test_the_head_names_batch_and_document_and_the_foot_where_it_comes_from():
    furniture = PageFurniture(SHEET, furniture_of(result_of(ONE), "Some document"))
    foot = "".join(mark.text for mark, _, _ in furniture.foot if isinstance(mark, TextMark))

    assert [
        "Batch 2026-W47-P03",
        "page 1 of 1",
        "Some document, read 2026-11-20, revision 1",
    ] == [mark.text for mark in furnished()[0]]
    assert foot.startswith("workbook 0123456789ab · policy fedcba987654")


@pytest.mark.parametrize("name", ["B", "M" * 20, "W" * 40])
def test_a_batch_of_any_length_leaves_room_for_the_rest_of_its_line(name):
    setter = Typesetter()
    batch, number, document = furnished(batch=name)[0][:3]

    assert batch.x + setter.width(batch.text, batch.style) < number.x
    assert batch.y < document.y
    assert SHEET.right == pytest.approx(number.x + setter.width(number.text, number.style))


@pytest.mark.parametrize(
    ("due", "warned"), [(date(2026, 11, 19), True), (date(2026, 11, 20), False), (None, False)]
)
def test_an_overdue_calibration_is_on_every_page(due, warned):
    for marks in furnished(2, calibration_due=due):
        assert warned == any("calibration" in mark.text for mark in marks)


def test_the_latest_reading_of_any_battery_is_told():
    late = datetime(2026, 11, 24, 9, 30)
    ones = [battery(1, rest_voltage_v=12.7, rest_read_at=late), battery(2, rest_voltage_v=12.7)]
    furniture = furniture_of(result_of(ones, batch={"read_on": date(2026, 11, 21)}), "Some document")

    assert "Some document, read 2026-11-24, revision 1" == furniture.document


def test_a_long_name_of_the_policy_is_cut_after_digests_and_version():
    result = replace(result_of(ONE), policy_name="A policy of many words " * 20)
    foot = [mark.text for mark, _, _ in PageFurniture(SHEET, furniture_of(result, "X")).foot[1:]]

    assert 2 == len(foot)
    assert "intake 9.9.9" in foot[0]
    assert foot[1].endswith("…")
