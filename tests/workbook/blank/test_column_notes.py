import pytest

from intake.policy.dictionary import Column, Form, load_dictionary
from intake.workbook.blank.column_notes import (
    form_text,
    limits_text,
    note_text,
    number_format,
    synonyms_text,
    width_characters,
)

COLUMNS = [column for sheet in load_dictionary().sheets.values() for column in sheet.columns]


def number(**more: object) -> Column:
    return Column("x", "Voltage (V)", Form.NUMBER, "Help.", unit="V", **more)


@pytest.mark.parametrize(
    ("column", "expected"),
    [
        (number(minimum=-20, maximum=20), "in V, from -20 to 20"),
        (number(exclusive_minimum=0, maximum=2000), "in V, over 0 to 2,000"),
        (number(exclusive_minimum=0), "in V, over 0"),
        (number(minimum=0), "in V, 0 or more"),
        (number(), "in V"),
        (Column("x", "SG 1", Form.NUMBER, "Help.", unit="SG", minimum=1.0, maximum=1.4), "from 1 to 1.4"),
    ],
)
def test_limits_are_told_in_words_with_their_unit(column: Column, expected: str) -> None:
    assert expected == limits_text(column)


@pytest.mark.parametrize(
    ("form", "expected"),
    [
        (Form.NUMBER, "A number in V."),
        (Form.MONEY, "An amount of money."),
        (Form.DATE, "A date, such as 2026-11-20."),
        (Form.PARTIAL_DATE, "A date, a month or a year."),
        (Form.CHOICE, "One of: yes, no."),
        (Form.TEXT, ""),
        (Form.IDENTIFIER, ""),
    ],
)
def test_each_form_says_what_may_be_typed(form: Form, expected: str) -> None:
    assert expected == form_text(Column("x", "X", form, "Help.", unit="V", choices=("yes", "no")))


@pytest.mark.parametrize(
    ("form", "expected"),
    [
        (Form.DATE, "yyyy-mm-dd"),
        (Form.MONEY, "0.00"),
        (Form.NUMBER, "0.00##"),
        (Form.PARTIAL_DATE, "@"),
        (Form.IDENTIFIER, "@"),
        (Form.CHOICE, "@"),
    ],
)
def test_only_dates_and_figures_are_more_than_text(form: Form, expected: str) -> None:
    assert expected == number_format(Column("x", "X", form, "Help.", unit="V"))


def test_a_unit_without_customary_decimals_shows_what_was_typed() -> None:
    assert "General" == number_format(Column("x", "X", Form.NUMBER, "Help.", unit="Ah"))


def test_a_note_says_first_that_a_column_is_needed() -> None:
    assert "Needed. Help." == note_text(Column("x", "X", Form.TEXT, "Help.", needed=True))
    assert "Help." == note_text(Column("x", "X", Form.TEXT, "Help."))


def test_synonyms_are_told_by_the_choice_they_stand_for() -> None:
    column = Column("x", "X", Form.CHOICE, "Help.", synonyms={"AGM": ("mat", "VRLA AGM"), "gel": ()})
    assert "AGM: mat, VRLA AGM" == synonyms_text(column)


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.header)
def test_every_header_word_and_every_choice_fits_its_column(column: Column) -> None:
    width = width_characters(column)
    assert all(len(word) < width for word in column.header.split())
    assert all(len(choice) < width for choice in column.choices)
