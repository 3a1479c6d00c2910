"""Head and foot of every page."""

from datetime import date

import pytest

from intake.model.paper import Paper
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, furniture_of
from intake.report.drawing.typesetter import Typesetter
from tests.report.builders import battery, result_of

SHEET = sheet_of(Paper.A4)
ONE = (battery(1, rest_voltage_v=12.7),)


def furnished(count=1, **batch):
    furniture = PageFurniture(SHEET, furniture_of(result_of(ONE, batch=batch), "Some document"))
    heads = [furniture.head(number, count) for number in range(1, count + 1)]
    return [[mark for mark, _, _ in head if isinstance(mark, TextMark)] for head in heads]


def test_every_page_is_numbered_and_told_how_many_there_are():
    assert ["page 1 of 3", "page 2 of 3", "page 3 of 3"] == [marks[2].text for marks in furnished(3)]


def test_the_head_names_batch_and_document_and_the_foot_where_it_comes_from():
    furniture = PageFurniture(SHEET, furniture_of(result_of(ONE), "Some document"))
    foot = "".join(mark.text for mark, _, _ in furniture.foot if isinstance(mark, TextMark))

    assert ["Batch 2026-W47-P03", "Some document", "page 1 of 1"] == [mark.text for mark in furnished()[0]]
    assert foot.startswith("workbook 0123456789ab · policy fedcba987654")


@pytest.mark.parametrize("name", ["B", "M" * 20, "W" * 40])
def test_a_batch_of_any_length_leaves_room_for_the_rest_of_its_line(name):
    setter = Typesetter()
    batch, document, number = furnished(batch=name)[0][:3]

    assert batch.x + setter.width(batch.text, batch.style) < document.x
    assert document.x + setter.width(document.text, document.style) < number.x
    assert SHEET.right == pytest.approx(number.x + setter.width(number.text, number.style))


@pytest.mark.parametrize(
    ("due", "warned"), [(date(2026, 11, 19), True), (date(2026, 11, 20), False), (None, False)]
)
def test_an_overdue_calibration_is_on_every_page(due, warned):
    for marks in furnished(2, calibration_due=due):
        assert warned == any("calibration" in mark.text for mark in marks)
