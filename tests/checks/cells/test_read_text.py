from datetime import date, datetime, time, timedelta

import pytest

from intake.checks.cells.parsed_cell import Taken
from intake.checks.cells.read_text import read_choice, read_identifier, read_text
from intake.model.finding import Severity
from intake.policy.dictionary import Form, load_dictionary
from tests.checks.builders import cell, column, noted, refusal, value_of

CHEMISTRY = column("batteries", "chemistry")
CASE = column("batteries", "case")
RECALL = column("batteries", "under_recall")
TERMINALS = column("batteries", "terminals")
TAG = column("batteries", "tag")
BATCH = column("batch", "batch")
CURRENCY = column("batch", "currency")
NOTE = column("batteries", "note")
POSITION = column("batteries", "position")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("flooded", "flooded"),
        ("FLOODED sealed", "flooded sealed"),
        ("flooded-sealed", "flooded sealed"),
        ("flooded_sealed", "flooded sealed"),
        ("floodedsealed", "flooded sealed"),
        ("wet", "flooded"),
        ("VRLA AGM", "AGM"),
        ("vrla-agm", "AGM"),
        ("LiFePO4", "LFP"),
        ("lifepo₄", "LFP"),
        ("ca/ca", "flooded sealed"),
        (" g e l ", "gel"),
        ("?", "unknown"),
        ("ＡＧＭ", "AGM"),
    ],
)
def test_a_choice_ignores_case_blanks_and_hyphens_and_knows_the_trade_s_words(text, expected):
    assert expected == value_of(read_choice(cell(text), CHEMISTRY))


@pytest.mark.parametrize(
    ("value", "expected"),
    [(True, "yes"), (False, "no"), (1, "yes"), (0.0, "no"), ("Y", "yes"), ("TRUE", "yes"), ("nein", "no")],
)
def test_yes_and_no_may_be_ticked_or_counted(value, expected):
    assert expected == value_of(read_choice(cell(value), RECALL))


@pytest.mark.parametrize(
    "value", ["led", "-", "", "agm gel", True, 7, date(2021, 3, 14), time(1), timedelta(1)]
)
def test_another_word_is_refused_with_the_list(value):
    found = refusal(read_choice(cell(value), CHEMISTRY))
    listed = "flooded, flooded sealed, EFB, AGM, gel, LFP, other, unknown"
    assert f"is not one of {listed}." in found.message
    assert listed in found.hint


def test_a_word_for_nothing_is_to_be_left_out_where_that_is_allowed():
    assert "Leave the cell empty" in refusal(read_choice(cell("n/a"), TERMINALS)).hint
    assert "Leave the cell empty" not in refusal(read_choice(cell("n/a"), CASE)).hint
    assert "Leave the cell empty" not in refusal(read_choice(cell("rusty"), TERMINALS)).hint


def test_every_word_of_the_dictionary_means_its_choice():
    for sheet in load_dictionary().sheets.values():
        for one in sheet.columns:
            if one.form is Form.CHOICE:
                own = {choice: (choice, *one.synonyms.get(choice, ())) for choice in one.choices}
                for choice, words in own.items():
                    assert {choice} == {value_of(read_choice(cell(word), one)) for word in words}


@pytest.mark.parametrize("text", ["B-001", "b.1_2", "x" * 32, "-", "007"])
def test_a_tag_is_kept_as_it_is_written(text):
    assert text == value_of(read_identifier(cell(f" {text}\u00a0"), TAG))


@pytest.mark.parametrize("value", ["B 1", "B/1", "x" * 33, "Ä1", "B\u200b1", "B\n1", "#1"])
def test_other_signs_in_a_tag_are_refused(value):
    found = refusal(read_identifier(cell(value), TAG))
    assert "expected at most 32 of letters, digits, point, underscore, hyphen." in found.message


def test_a_batch_begins_with_a_letter_or_digit():
    assert "A.1" == value_of(read_identifier(cell("A.1"), BATCH))
    refusal(read_identifier(cell(".A1"), BATCH))
    assert "x" * 40 == value_of(read_identifier(cell("x" * 40), BATCH))
    refusal(read_identifier(cell("x" * 41), BATCH))


def test_a_currency_is_three_letters():
    assert "EUR" == value_of(read_identifier(cell("EUR"), CURRENCY))
    assert "at most 3 of letters." in refusal(read_identifier(cell("EU1"), CURRENCY)).message


@pytest.mark.parametrize(
    ("value", "number_format", "expected"),
    [
        (7, "General", "7"),
        (7.0, "General", "7"),
        (7, "000", "007"),
        (7, "00000", "00007"),
        (1234, "000", "1234"),
        (7, "0.00", "7"),
        (999_999_999_999_999, "0", "999999999999999"),
    ],
)
def test_a_whole_number_becomes_its_digits_and_leading_zeros_are_in_doubt(value, number_format, expected):
    taken, words = noted(read_identifier(cell(value, number_format), TAG))
    assert expected == taken
    assert f'"{expected}"' in words
    assert "drops leading zeros" in words


def test_more_than_fifteen_digits_are_lost():
    message = refusal(read_identifier(cell(10**15), TAG)).message
    assert message.startswith('"1000000000000000" is a number of more than 15 digits')
    assert "the last are lost" in message
    assert "the last are lost" in refusal(read_identifier(cell(-1e15), TAG)).message


@pytest.mark.parametrize("value", [7.5, True, float("nan"), float("inf"), -7])
def test_other_numbers_are_no_name(value):
    refusal(read_identifier(cell(value), BATCH))


@pytest.mark.parametrize("value", [date(2021, 3, 1), datetime(2021, 3, 1), time(3, 1), timedelta(1)])
def test_a_name_that_became_a_date_says_so(value):
    assert "turned it into a date" in refusal(read_identifier(cell(value), TAG)).hint


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (" a b ", "a b"),
        ("a\r\nb\rc\nd", "a\nb\nc\nd"),
        ("a\tb", "a b"),
        ("=1+1", "=1+1"),
        ("<b>", "<b>"),
        (12.0, "12"),
        (12.5, "12.5"),
        (True, "TRUE"),
        (date(2021, 3, 14), "2021-03-14"),
        ("עברית", "עברית"),
    ],
)
def test_a_text_is_kept_as_text(value, expected):
    assert expected == value_of(read_text(cell(value), NOTE))


def test_control_characters_are_taken_out_and_counted():
    assert ("ab", '"ab": 1 control character taken out.') == noted(read_text(cell("a\x00b"), NOTE))
    assert ("ab", '"ab": 2 control characters taken out.') == noted(read_text(cell("a\x1b\ufffeb"), NOTE))


def test_a_text_over_the_limit_is_a_warning_that_says_what_is_kept():
    assert "x" * 200 == value_of(read_text(cell("x" * 200), POSITION))
    outcome = read_text(cell("x" * 201), POSITION)
    assert isinstance(outcome, Taken)
    (remark,) = outcome.remarks
    assert "x" * 200 == outcome.value
    assert Severity.WARNING is remark.severity
    assert "has 201 characters; the first 200 are kept" in remark.message
    assert "Shorten the text, or move the rest to Note." == remark.hint


@pytest.mark.parametrize(
    ("typed", "way_out"),
    [
        ("lead acid", "Caps that come off: flooded."),
        ("Lead-Acid", "Caps that come off: flooded."),
        ("SLA", "look for AGM, GEL or EFB on the label"),
        ("S.L.A.", "look for AGM, GEL or EFB on the label"),
        ("vrla", "look for AGM, GEL or EFB on the label"),
        ("MF", "Not sure: unknown."),
        ("lithium", "LFP only if the label says LFP"),
        ("Li-Ion", "Any other lithium: other."),
    ],
)
def test_a_family_is_refused_and_the_hint_says_how_to_decide(typed, way_out):
    found = refusal(read_choice(cell(typed), CHEMISTRY))
    assert "names a family only" in found.message
    assert way_out in found.hint


@pytest.mark.parametrize("typed", ["a.g.m.", "A.G.M", "agm."])
def test_full_stops_do_not_matter_in_a_choice(typed):
    assert "AGM" == value_of(read_choice(cell(typed), CHEMISTRY))
