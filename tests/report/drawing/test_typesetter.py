"""Text to lines: nothing is lost, nothing is wider than its room."""

import tracemalloc
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.report.drawing.fonts import Face
from intake.report.drawing.typesetter import MISSING_SIGN, NO_BREAK, Style, Typesetter
from tests.report.builders import CYRILLIC, GREEK, LONG_NOTE, LONG_TAG

PLAIN, BOLD = Style(8), Style(8, Face.BOLD)


@pytest.fixture
def setter():
    return Typesetter()


def test_words_are_kept_in_order_and_lines_in_their_room(setter):
    lines = setter.wrap(LONG_NOTE, PLAIN, 200)

    assert LONG_NOTE.split() == " ".join(lines).split()
    assert max(setter.width(line, PLAIN) for line in lines) <= 200


def test_a_line_is_as_full_as_it_can_be(setter):
    """A next word that would still fit is never left to the next line."""
    lines = setter.wrap(LONG_NOTE, PLAIN, 200)

    for line, following in pairwise(lines):
        assert setter.width(f"{line} {following.split()[0]}", PLAIN) > 200


def test_a_text_that_fits_exactly_stays_on_one_line(setter):
    width = setter.width("just fits", PLAIN)

    assert ["just fits"] == setter.wrap("just fits", PLAIN, width)
    assert ["just", "fits"] == setter.wrap("just fits", PLAIN, width - 0.01)


def test_a_word_that_is_too_long_breaks_after_a_joining_sign(setter):
    lines = setter.wrap(LONG_TAG, BOLD, 90)

    assert LONG_TAG == "".join(lines)
    assert all(line[-1] in "-_." for line in lines[:-1])


def test_a_word_without_such_a_sign_breaks_where_the_line_is_full(setter):
    lines = setter.wrap("N" * 300, PLAIN, 100)

    assert "N" * 300 == "".join(lines)
    assert all(setter.width(line, PLAIN) <= 100 < setter.width(f"{line}N", PLAIN) for line in lines[:-1])


def test_a_long_word_starts_on_a_line_of_its_own_and_the_next_follows_it(setter):
    assert ["ab", "NNN", "NN c"] == setter.wrap("ab NNNNN c", PLAIN, setter.width("NNN", PLAIN) + 5)


def test_a_first_line_that_is_begun_is_shorter_and_the_next_are_not(setter):
    lines = setter.wrap(LONG_NOTE, PLAIN, 200, begin=120)

    assert LONG_NOTE.split() == " ".join(lines).split()
    assert setter.width(lines[0], PLAIN) <= 80 < setter.width(f"{lines[0]} {lines[1].split()[0]}", PLAIN)
    assert max(setter.width(line, PLAIN) for line in lines[1:]) > 80


def test_a_first_word_wider_than_the_rest_of_a_begun_line_starts_the_next(setter):
    width = setter.width("decabromodiphenyl", PLAIN)

    assert ["", "decabromodiphenyl", "ether"] == setter.wrap("decabromodiphenyl ether", PLAIN, width, begin=9)
    assert ["decabromodiphenyl", "ether"] == setter.wrap("decabromodiphenyl ether", PLAIN, width + 9, begin=9)


def test_a_room_narrower_than_a_sign_takes_one_sign_a_line(setter):
    assert ["a", "b", "c"] == setter.wrap("abc", PLAIN, 1)


def test_line_feeds_break_and_empty_lines_between_are_dropped(setter):
    assert ["one", "two"] == setter.wrap("one\n\ntwo", PLAIN, 200)


def test_no_text_is_one_empty_line(setter):
    assert [""] == setter.wrap("", PLAIN, 200)
    assert [""] == setter.wrap("  \n ", PLAIN, 200)


def test_words_held_together_are_not_parted(setter):
    width = setter.width("at 12.4", PLAIN)

    assert ["at", "12.4 V"] == setter.wrap(f"at 12.4{NO_BREAK}V", PLAIN, width)
    assert ["at 12.4", "V"] == setter.wrap("at 12.4 V", PLAIN, width)


def test_greek_and_cyrillic_are_printed_as_they_are(setter):
    assert GREEK == setter.printable(GREEK)
    assert CYRILLIC == setter.printable(CYRILLIC)
    assert 0 == setter.replaced


@pytest.mark.parametrize(
    "sign",
    ["電", "\U0001f600", "\U0001d11e", "א", "ب", "\ue000", "\u0378"],
    ids=["no glyph", "beyond the plane", "music", "Hebrew", "Arabic", "private", "unassigned"],
)
def test_what_can_not_be_printed_is_a_box_and_is_counted(setter, sign):
    shown = setter.printable(f"a{sign}b{sign}")

    assert shown in (f"a{MISSING_SIGN}b{MISSING_SIGN}", "a\ufffdb\ufffd")
    assert setter.replaced == shown.count(MISSING_SIGN)


def test_a_box_that_stood_in_the_text_is_not_counted(setter):
    assert "□ and □" == setter.printable("□ and 電")
    assert 1 == setter.replaced


def test_a_letter_with_a_separate_accent_becomes_one_sign(setter):
    assert "é й" == setter.printable("e\u0301 \u0438\u0306")


def test_bold_is_wider_and_size_is_proportional(setter):
    assert setter.width("Width", PLAIN) < setter.width("Width", BOLD)
    assert 2 * setter.width("Width", PLAIN) == pytest.approx(setter.width("Width", Style(16)))


@given(st.text(max_size=200), st.floats(20, 300))
def test_any_text_wraps_into_any_room(text, width):
    setter = Typesetter()
    lines = setter.wrap(text, PLAIN, width)

    assert "".join(setter.printable(text).replace(NO_BREAK, "").split()) == "".join("".join(lines).split())
    assert all(setter.width(line, PLAIN) <= width + 1e-6 for line in lines)
    assert all(sign.isprintable() for line in lines for sign in line)


def test_widths_are_remembered_of_so_many_words_only(setter):
    """A hundred thousand tags, all remembered, would take up 24 MB."""
    known = [setter.width(f"T-{number}", PLAIN) for number in range(10)]
    tracemalloc.start()
    for number in range(100_000):
        setter.width(f"T-{number}", PLAIN)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert peak < 8e6
    assert known == [setter.width(f"T-{number}", PLAIN) for number in range(10)]
