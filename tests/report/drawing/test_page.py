"""Sheets of paper."""

import pytest

from intake.model.paper import Paper
from intake.report.drawing.page import sheet_of


@pytest.mark.parametrize(
    ("paper", "width", "height"), [(Paper.A4, 595.276, 841.890), (Paper.LETTER, 612, 792)]
)
def test_sheets_have_their_size_in_points_and_margins_within(paper, width, height):
    sheet = sheet_of(paper)

    assert (width, height) == pytest.approx((sheet.width, sheet.height), abs=0.001)
    assert 0 < sheet.left < sheet.right < sheet.width
    assert 0 < sheet.top < sheet.bottom < sheet.height
    assert sheet.left == pytest.approx(sheet.width - sheet.right)
