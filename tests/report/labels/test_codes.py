"""Modules of the two codes; that they decode is shown on the page, in test_labels_pdf."""

import pytest

from intake.report.drawing.page import POINTS_PER_MM
from intake.report.labels.codes import Box, bar_modules, bars_mark, qr_mark, qr_modules

A4_LABEL = Box(0.0, 5.0, 63.5 * POINTS_PER_MM, 12.0)


def dark(modules):
    """Return every dark module as column and row; none may be covered twice."""
    cells = [
        (column + across, row + down)
        for column, row, columns, rows in modules.rectangles
        for across in range(columns)
        for down in range(rows)
    ]
    assert len(cells) == len(set(cells))
    return set(cells)


def test_rectangles_cover_the_finder_pattern_of_the_qr_code():
    """Seven by seven: a ring of one module, a gap of one, three by three in the middle (ISO/IEC 18004)."""
    cells = dark(qr_modules("2026-W47-P03/B-001"))
    expected = {
        (column, row)
        for column in range(7)
        for row in range(7)
        if column in (0, 6) or row in (0, 6) or (2 <= column <= 4 and 2 <= row <= 4)
    }
    assert expected == {cell for cell in cells if cell[0] < 8 and cell[1] < 8}


def test_equal_runs_below_each_other_become_one_rectangle():
    code = qr_modules("2026-W47-P03/B-001")
    assert (2, 2, 3, 3) in code.rectangles
    assert len(code.rectangles) < len(dark(code)) / 2


@pytest.mark.parametrize("text", ["A/1", "2026-W47-P03/B-001", "b" * 40 + "/" + "t" * 32])
def test_the_qr_code_keeps_four_modules_clear_on_every_side(text):
    box = Box(3.0, 4.0, 45.0, 45.0)
    mark = qr_mark(text, box)
    size = qr_modules(text).width * mark.step_x
    assert pytest.approx(4 * mark.step_x) == mark.x - box.x
    assert pytest.approx(4 * mark.step_y) == mark.y - box.y
    assert pytest.approx(4 * mark.step_x) == box.x + box.width - mark.x - size


def test_bars_begin_and_end_as_code_128_does():
    """Start B is 211214, stop is 2331112; text of 3 signs: 3 x 11 and check between (ISO/IEC 15417)."""
    code = bar_modules("a/b")
    assert 11 + 3 * 11 + 11 + 13 == code.width
    assert ((0, 0, 2, 1), (3, 0, 1, 1), (6, 0, 1, 1)) == code.rectangles[:3]
    end = code.width
    assert ((end - 13, 0, 2, 1), (end - 8, 0, 3, 1), (end - 4, 0, 1, 1), (end - 2, 0, 2, 1)) == (
        code.rectangles[-4:]
    )


@pytest.mark.parametrize("signs", [1, 5, 12, 20, 25])
def test_bars_keep_ten_modules_clear_and_are_wide_enough(signs):
    text = "b" * signs
    mark = bars_mark(text, A4_LABEL)
    width = bar_modules(text).width * mark.step_x
    assert mark.x - A4_LABEL.x >= 10 * mark.step_x - 1e-9
    assert A4_LABEL.x + A4_LABEL.width - mark.x - width >= 10 * mark.step_x - 1e-9
    assert 0.19 * POINTS_PER_MM <= mark.step_x <= 0.38 * POINTS_PER_MM


@pytest.mark.parametrize(("modules", "there"), [(0.1901, True), (0.1899, False)])
def test_bars_narrower_than_the_least_module_are_left_out(modules, there):
    """Text of 20 signs: 11 modules for start, each sign and check, 13 for stop, 20 kept clear."""
    width = (11 * 22 + 13 + 20) * modules * POINTS_PER_MM
    assert there == (bars_mark("b" * 20, Box(0.0, 0.0, width, 10.0)) is not None)


def test_modules_are_whole_dots_of_a_printer_where_that_is_wide_enough():
    dots = bars_mark("b" * 16, A4_LABEL).step_x / (72 / 600)
    assert pytest.approx(round(dots)) == dots
