"""Handling told by a word and by a pattern."""

from itertools import combinations

import pytest

from intake.model.condition import Condition
from intake.report.drawing.marks import GridMark, ShapeMark
from intake.report.drawing.typesetter import Typesetter
from intake.report.labels.codes import Box
from intake.report.labels.handling import strip_marks, word_marks
from intake.report.labels.stock import WITH_BARS, WITHOUT_BARS

LAYOUTS = [*WITH_BARS.values(), *WITHOUT_BARS.values()]
EACH = pytest.mark.parametrize("layout", LAYOUTS)


def filled(marks):
    return [type(mark) for mark in marks if getattr(mark, "fill", None) is not None]


@EACH
def test_damaged_is_hatched_suspect_is_dotted_intact_is_an_empty_frame(layout):
    kinds = {one: set(filled(strip_marks(one, layout.strip))) for one in Condition}
    assert {
        Condition.DAMAGED: {ShapeMark},
        Condition.SUSPECT: {GridMark},
        Condition.LOOK_AGAIN: {GridMark},
        Condition.CASE_NOT_READ: {GridMark},
        Condition.DENTED: {GridMark},
        Condition.INTACT: set(),
    } == kinds


@EACH
def test_the_pattern_stays_inside_its_strip(layout):
    strip = layout.strip
    for handling in Condition:
        for mark in strip_marks(handling, strip):
            if isinstance(mark, GridMark):
                xs = [mark.x + (c + w) * mark.step_x for c, _, w, _ in mark.rectangles]
                ys = [mark.y + (r + h) * mark.step_y for _, r, _, h in mark.rectangles]
            else:
                xs, ys = zip(*mark.points, strict=True)
            assert strip.x - 1e-6 <= min(xs) <= max(xs) <= strip.x + strip.width + 1e-6
            assert strip.y - 1e-6 <= min(ys) <= max(ys) <= strip.y + strip.height + 1e-6


@EACH
def test_dots_do_not_touch(layout):
    (dots, _) = strip_marks(Condition.SUSPECT, layout.strip)
    for (c1, r1, w1, h1), (c2, r2, w2, h2) in combinations(dots.rectangles, 2):
        assert c1 + w1 <= c2 or c2 + w2 <= c1 or r1 + h1 < r2 or r2 + h2 < r1


@EACH
def test_the_word_stands_inside_its_frame_and_the_frame_inside_its_place(layout):
    setter = Typesetter()
    for handling, word in ((Condition.SUSPECT, "Suspect"), (Condition.DAMAGED, "Damaged")):
        text, frame = word_marks(setter, handling, layout.handling)
        assert word == text.text
        xs, ys = zip(*frame.points, strict=True)
        ink = frame.width / 2
        assert min(xs) + ink < text.x
        assert text.x + setter.width(word, text.style) < max(xs) - ink
        assert min(ys) + ink < text.y - 0.73 * text.style.size
        assert max(xs) + ink <= layout.handling.x + layout.handling.width + 1e-6
        assert max(ys) + ink <= layout.handling.y + layout.handling.height + 1e-6


def test_the_frame_is_heavier_the_more_care_is_needed():
    box = Box(0, 0, 60, 16)
    suspect, damaged = Condition.SUSPECT, Condition.DAMAGED
    widths = [word_marks(Typesetter(), one, box)[1].width for one in (suspect, damaged)]
    assert () == word_marks(Typesetter(), Condition.INTACT, box)
    assert sorted(set(widths)) == widths


@EACH
@pytest.mark.parametrize("condition", [one for one in Condition if one is not Condition.INTACT])
def test_the_word_is_no_smaller_than_eight_points(layout, condition):
    (word, _) = word_marks(Typesetter(), condition, layout.handling)

    assert word.style.size >= 8
