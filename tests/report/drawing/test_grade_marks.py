"""One shape for each grade."""

import pytest

from intake.model.verdict import Grade
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.marks import DiscMark, LineMark, ShapeMark


def test_each_grade_has_a_shape_of_its_own_in_grey():
    full, square, cross, triangle = (grade_mark(grade, 0, 0, 3) for grade in Grade)

    assert [DiscMark, ShapeMark, LineMark, ShapeMark] == [
        type(one[0]) for one in (full, square, cross, triangle)
    ]
    assert full[0].stroke is None
    assert 4 == len(square[0].points)
    assert square[0].fill != full[0].fill
    assert 2 == len(cross)
    assert 3 == len(triangle[0].points)


@pytest.mark.parametrize("grade", list(Grade))
def test_a_shape_stands_about_its_place_and_is_about_as_large_as_asked(grade):
    xs = []
    for mark in grade_mark(grade, 10, 20, 3):
        if isinstance(mark, DiscMark):
            xs += [mark.x - mark.radius, mark.x + mark.radius]
        elif isinstance(mark, LineMark):
            xs += [mark.x1, mark.x2]
        else:
            xs += [x for x, _ in mark.points]

    assert 10 == pytest.approx((min(xs) + max(xs)) / 2)
    assert 4.5 < max(xs) - min(xs) < 6.5
