"""Text as large as its box allows."""

from intake.report.drawing.fonts import Face
from intake.report.drawing.typesetter import Typesetter
from intake.report.labels.codes import BLACK, Box
from intake.report.labels.text import fit_lines, fit_tag, fit_words, label_style, text_marks

SETTER = Typesetter()


def test_a_word_that_is_too_wide_becomes_smaller_instead_of_divided():
    narrow = Box(0, 0, 60, 100)
    found = fit_words(SETTER, "Reconditionable", narrow, largest=30)
    assert ("Reconditionable",) == found.lines
    assert SETTER.width("Reconditionable", found.style) <= 60
    assert SETTER.width("Reconditionable", label_style(found.style.size + 0.5, Face.BOLD)) > 60


def test_a_word_that_no_size_fits_is_divided():
    found = fit_words(SETTER, "Reconditionable", Box(0, 0, 12, 100), largest=30)
    assert len(found.lines) > 1
    assert "Reconditionable" == "".join(found.lines)


def test_words_take_the_lines_that_make_them_largest():
    assert 2 == len(fit_words(SETTER, "Resale after charge", Box(0, 0, 100, 40), largest=30).lines)
    assert 1 == len(fit_words(SETTER, "Resale after charge", Box(0, 0, 100, 12), largest=30).lines)


def test_the_largest_size_is_not_passed():
    assert 14.0 == fit_words(SETTER, "AGM", Box(0, 0, 500, 500), largest=14.0).style.size


def test_a_tag_stays_on_one_line_unless_breaking_makes_it_clearly_larger():
    assert ("CR-001",) == fit_tag(SETTER, "CR-001", Box(0, 0, 150, 25), largest=30).lines
    long = fit_tag(SETTER, "PALLET-7.ROW_12.POSITION_03.A-01", Box(0, 0, 150, 33), largest=30)
    assert ("PALLET-7.ROW_12.", "POSITION_03.A-01") == long.lines
    flat = fit_tag(SETTER, "pallet_12.row-3.pos-4", Box(0, 0, 150, 15), largest=30)
    assert 1 == len(flat.lines)


def test_text_that_is_too_long_for_the_smallest_size_is_set_whole():
    text = "x" * 400
    found = fit_lines(SETTER, text, Box(0, 0, 50, 8), Face.REGULAR, 7.0)
    assert text == "".join(found.lines)
    assert 3.0 == found.style.size


def test_lines_stand_below_each_other_in_the_middle_of_the_box():
    box = Box(10, 20, 100, 40)
    found = fit_lines(SETTER, "one two", box, Face.REGULAR, 5.0)
    (mark,) = text_marks(found, box)
    assert 10 == mark.x
    assert 20 < mark.y - mark.style.size < mark.y < 60
    assert BLACK == mark.style.colour
