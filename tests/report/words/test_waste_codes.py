"""Codes, packages and marks in short, as a first page prints them."""

from datetime import date

from intake.model.compliance import Statement, Stream
from intake.report.words.waste_codes import codes_in_short, packages_in_short

DAY = date(2026, 12, 9)


def stream(*codes, packing=(), statements=()):
    return Stream("lead-acid-wet", "Wet", ("A",), None, codes, packing, (), statements)


def code(text, short=None, **dates):
    return Statement("Waste code", text, "a law", short=short, **dates)


def test_each_code_in_force_has_a_line():
    shown = stream(code("16 06 01*, and so on.", "16 06 01*"), code("Of households.", "20 01 42*"))

    assert ("16 06 01*", "20 01 42*") == codes_in_short(shown, DAY)


def test_a_code_that_is_not_in_force_on_the_day_is_left_out():
    old = code("Old.", "20 01 33*", valid_to=date(2026, 12, 8))
    new = code("New.", "20 01 42*", valid_from=date(2026, 12, 9))

    assert ("20 01 33*",) == codes_in_short(stream(old, new), date(2026, 12, 8))
    assert ("20 01 42*",) == codes_in_short(stream(old, new), date(2026, 12, 9))


def test_a_code_that_was_not_checked_is_to_be_confirmed_beside_those_that_were():
    assert ("16 06 01*", "confirm locally") == codes_in_short(stream(code("T", "16 06 01*"), code(None)), DAY)


def test_without_a_code_in_short_it_is_to_be_confirmed():
    assert ("confirm locally",) == codes_in_short(stream(code("A long text.")), DAY)
    assert ("confirm locally",) == codes_in_short(stream(), DAY)


def test_packing_and_marks_have_a_line_each():
    packing = (Statement("Packing", "Long.", "a law", short="P801"), Statement("Boxes", "Long.", "a law"))
    mark = (Statement("Mark", "Long.", "a law", short='mark "X"'),)

    assert ("P801", 'mark "X"') == packages_in_short(stream(packing=packing, statements=mark))
    assert ("confirm locally",) == packages_in_short(stream())
