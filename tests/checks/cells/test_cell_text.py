from datetime import date, datetime, time, timedelta

import pytest

from intake.checks.cells.cell_text import (
    cell_text,
    counted,
    is_blank,
    is_control,
    is_placeholder,
    plain,
    plain_figures,
    quoted,
)
from tests.checks.builders import cell, error_cell, unsaved_formula


@pytest.mark.parametrize("value", [None, "", "  ", "\u00a0", "\u200b\ufeff", "\t\n", "\x07", "\ufffe"])
def test_a_cell_that_shows_nothing_is_blank(value):
    assert is_blank(cell(value))


@pytest.mark.parametrize("one", [cell("x"), cell(0), cell(False), error_cell(), unsaved_formula()])
def test_a_cell_that_shows_something_is_not_blank(one):
    assert not is_blank(one)


def test_a_cell_that_is_not_there_is_blank():
    assert is_blank(None)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, ""),
        (True, "TRUE"),
        (False, "FALSE"),
        (12, "12"),
        (12.0, "12"),
        (12.43, "12.43"),
        (1 << 199, str(1 << 199)),
        (1 << 200, "a very long number"),
        pytest.param(10**5000, "a very long number", id="5001 digits"),
        (float("inf"), "inf"),
        (datetime(2021, 3, 14), "2021-03-14"),
        (datetime(2021, 3, 14, 8, 30), "2021-03-14 08:30:00"),
        (date(2021, 3, 14), "2021-03-14"),
        (time(12, 30), "12:30:00"),
        (timedelta(hours=12.5), "12:30:00"),
        ("text", "text"),
    ],
)
def test_a_cell_reads_in_plain_words(value, expected):
    assert expected == cell_text(value)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("abc", '"abc"'),
        (" a\n b\u00a0c ", '"a b c"'),
        ("a\u200bb\x07", '"a‹U+200B›b‹U+0007›"'),
        ("x" * 60, '"' + "x" * 60 + '"'),
        ("x" * 61, '"' + "x" * 59 + '…"'),
    ],
)
def test_a_quotation_is_one_line_of_at_most_sixty_characters(value, expected):
    assert expected == quoted(value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("  Rest\u00a0 voltage\n(V)", "Rest voltage (V)"), ("ＡＧＭ", "AGM"), ("℃", "°C"), ("\u200fgel", "gel")],
)
def test_plain_text_has_single_blanks_and_common_forms(text, expected):
    assert expected == plain(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("١٢٫٤٣", "12.43"),
        ("١٬٢٣٤", "1 234"),
        ("１２．４３Ｖ", "12.43V"),
        ("\u22125", "-5"),
        ("5٪", "5%"),
        ("12\u202f430", "12 430"),
        ("\u200e12", "12"),
        ("12²", "12²"),
    ],
)
def test_figures_of_every_script_take_their_common_form(text, expected):
    """A raised digit is no digit of the figure."""
    assert expected == plain_figures(text)


@pytest.mark.parametrize(
    ("sign", "expected"),
    [("\n", False), ("\t", False), ("a", False), ("\x00", True), ("\ud800", True), ("\uffff", True)],
)
def test_control_signs_are_those_that_can_not_be_printed(sign, expected):
    assert expected is is_control(sign)


@pytest.mark.parametrize("text", ["n/a", " N/A ", "-", "–", "?", "none"])
def test_words_for_nothing_are_placeholders(text):
    assert is_placeholder(text)


def test_a_reading_is_no_placeholder():
    assert not is_placeholder("0")


@pytest.mark.parametrize(("number", "expected"), [(0, "0 rows"), (1, "1 row"), (2, "2 rows")])
def test_a_count_agrees_with_its_word(number, expected):
    assert expected == counted(number, "row")
