"""What the first page says of a later revision: what rose, what fell, and what is missing."""

import pytest

from intake.model.revision import ABSENT, BATTERY, GRADE, HOLD, PRESENT, Change, Revision
from intake.report.words.revision import (
    lowered_in_words,
    missing_in_words,
    raised_in_words,
    revision_in_words,
    revision_lines,
)

CHANGES = (
    Change("P-1", GRADE, "resale-after-charge", "recycle"),
    Change("P-2", GRADE, "reconditionable", "unresolved"),
    Change("P-3", GRADE, "reconditionable", "resale-after-charge"),
    Change("P-4", GRADE, "recycle", "unresolved"),
    Change("P-5", GRADE, "recycle", "reconditionable"),
    Change("P-6", "Case", "sound", "cracked"),
)


def third(*changes):
    return Revision(number=3, reason="saved again", by="A", changes=changes)


def test_a_first_revision_says_nothing():
    assert () == revision_lines(Revision())


def test_what_rose_and_what_fell_is_named():
    assert (
        "Lowered since revision 2: P-1 (resale-after-charge → recycle), P-2 (reconditionable → unresolved)."
        == lowered_in_words(third(*CHANGES))
    )
    assert (
        "Raised since revision 2: P-3 (reconditionable → resale-after-charge), "
        "P-5 (recycle → reconditionable)." == raised_in_words(third(*CHANGES))
    )
    assert "" == lowered_in_words(third(*CHANGES[2:]))
    assert "" == raised_in_words(third(*CHANGES[:2], *CHANGES[5:]))


@pytest.mark.parametrize(("count", "ends"), [(6, "P-5 (recycle → resale-after-charge)."), (8, "")])
def test_so_many_are_named_and_the_rest_is_counted(count, ends):
    told = raised_in_words(
        third(*(Change(f"P-{n}", GRADE, "recycle", "resale-after-charge") for n in range(count)))
    )
    assert told.endswith(ends or " and 2 more, listed under Since revision 2.")


@pytest.mark.parametrize(
    ("change", "gone"),
    [
        (Change("P-1", "Rest voltage (V)", "12.5", ""), 1),
        (Change("P-1", "Rest voltage (V)", "12.5", "12.6"), 0),
        (Change("P-1", "Rest voltage (V)", "", "12.6"), 0),
        (Change("P-1", HOLD, "1 / 12.9; 24 / 12.8; 48 / 12.7", "1 / 12.9"), 2),
        (Change("P-1", HOLD, "1 / 12.9", "1 / 12.9; 24 / 12.8"), 0),
        (Change("P-1", "Cell 1 (V)", "3.3; 3.3; 3.3; 3.3", "; 3.3; 3.3; 3.3"), 1),
        (Change("P-1", "Temperature (°C)", "20", ""), 0),
        (Change("P-1", "Note", "dropped", ""), 0),
        (Change("P-1", BATTERY, ABSENT, PRESENT), 0),
    ],
)
def test_readings_that_are_gone_are_counted(change, gone):
    told = missing_in_words(third(change))
    assert told.startswith(
        {0: "", 1: "Of revision 2, 1 reading is", 2: "Of revision 2, 2 readings are"}[gone]
    )
    assert bool(gone) is bool(told)


def test_a_battery_that_is_gone_is_named():
    gone = Change("P-9", BATTERY, PRESENT, ABSENT)
    reading = Change("P-1", "Load voltage (V)", "9.6", "")

    assert (
        "Of revision 2, battery P-9 is not in this one. If it was not taken out on purpose, the wrong "
        "workbook may have been saved." == missing_in_words(third(gone))
    )
    assert missing_in_words(third(gone, reading)).startswith(
        "Of revision 2, 1 reading and battery P-9 are not in this one."
    )
    both = (gone, Change("P-8", BATTERY, PRESENT, ABSENT))
    assert missing_in_words(third(*both)).startswith("Of revision 2, batteries P-9, P-8 are not")


def test_why_it_was_graded_again_stands_first_and_what_is_missing_before_the_grades():
    lines = revision_lines(third(Change("P-9", BATTERY, PRESENT, ABSENT), *CHANGES))

    assert ["Revision", "Of", "Raised", "Lowered"] == [line.split()[0] for line in lines]
    assert "Revision 3, replaces 2: saved again (A)" == lines[0]
    assert "Revision 2, replaces 1: no reason kept" == revision_in_words(Revision(number=2))
