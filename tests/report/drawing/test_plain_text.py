"""Text from a cell, made fit to stand in a document."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.report.drawing.plain_text import one_line, without_control_signs


@pytest.mark.parametrize("sign", ["\r\n", "\r", "\v", "\f", "\x85", "\u2028", "\u2029", "\n"])
def test_every_line_break_becomes_a_line_feed(sign):
    assert "a\nb" == without_control_signs(f"a{sign}b")


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x1b", "\x7f", "\u00ad", "\u202e", "\u200b", "\ufeff"])
def test_signs_that_steer_are_dropped(sign):
    assert "ab" == without_control_signs(f"a{sign}b")


@pytest.mark.parametrize("sign", ["\ud800", "\ue000", "\u0378"])
def test_signs_without_a_meaning_are_shown_as_such(sign):
    assert "a\ufffdb" == without_control_signs(f"a{sign}b")


def test_a_tab_is_a_space():
    assert "a b" == without_control_signs("a\tb")


def test_plain_text_is_left_alone():
    assert "  12.4 V,  = " == without_control_signs("  12.4 V,  = ")


def test_one_line_has_single_spaces_and_no_break():
    assert "a b c" == one_line(" a\r\n\tb   c\n")


@given(st.text())
def test_cleaning_twice_changes_nothing_more(text):
    once = without_control_signs(text)

    assert once == without_control_signs(once)
