"""First lines that say where the rest stands."""

import pytest

from intake.report.drawing.fitted_text import first_lines
from intake.report.drawing.typesetter import Style, Typesetter

STYLE = Style(8)
SETTER = Typesetter()
WIDTH = 120.0
REST = "… (more)"


def first(text, most):
    return first_lines(SETTER, SETTER.wrap(text, STYLE, WIDTH), STYLE, WIDTH, most=most, rest=REST)


def test_a_text_that_fits_is_left_as_it_is():
    assert ["short"] == first("short", 1)
    assert SETTER.wrap("word " * 8, STYLE, WIDTH) == first("word " * 8, 2)


@pytest.mark.parametrize("text", ["word " * 60, "N" * 300, "N" * 40 + " word" * 50])
@pytest.mark.parametrize("most", [1, 2, 3])
def test_a_longer_one_ends_in_where_its_rest_stands_and_keeps_to_the_width(text, most):
    lines = first(text, most)
    assert most == len(lines)
    assert lines[-1].endswith(REST)
    assert all(SETTER.width(line, STYLE) <= WIDTH for line in lines)
    assert text.startswith(lines[0].removesuffix(REST).rstrip())
