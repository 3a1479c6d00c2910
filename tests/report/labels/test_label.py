"""What a label says."""

import pytest

from intake.model.battery import HoldReading, Recovery
from intake.model.paper import Paper
from intake.report.drawing.marks import TextMark
from intake.report.drawing.typesetter import Typesetter
from intake.report.labels.label import headline, label_marks, tag_in_words, when_in_words
from tests.report.builders import battery, held, result_of


def test_a_tag_stands_alone():
    assert "B-001" == tag_in_words(battery(1), twin=False)


def test_a_tag_that_stands_twice_has_its_row():
    assert "B-001 (row 5)" == tag_in_words(battery(1), twin=True)


def test_a_row_without_a_tag_says_so():
    assert "no tag, row 17" == tag_in_words(battery(1, tag="row 17", row=17), twin=False)
    assert "no tag, row 17" == tag_in_words(battery(1, tag="row 17", row=17), twin=True)


def only(one):
    result = result_of([one])
    return result.graded[0], result.batch


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (battery(1, rest_voltage_v=12.75), "Resale: CHARGE, THEN TEST"),
        (held(1, "AGM", (0.5, 13.318), (1.0, 13.283)), "Resale: READ AGAIN"),
        (held(1, "AGM", (24.0, 12.9)), "Resale: TEST CAPACITY"),
        (held(1, "AGM", (24.0, 12.9), rated_cca_a=600.0), "Resale: TEST STRENGTH"),
        (held(1, "AGM", (24.0, 12.9), rated_cca_a=600.0, measured_cca_a=590.0), "Resale: TESTED"),
        (battery(1, rest_voltage_v=12.0), "Recondition: RECOVER"),
        (battery(1, rest_voltage_v=0.1), "Recycle"),
        (battery(1, rest_voltage_v=12.7, case="leaking"), "Recycle: SET APART"),
        (
            battery(1, "LFP", rest_voltage_v=13.3, recovery=Recovery.DID_NOT_HOLD),
            "Recycle: LITHIUM, SET APART",
        ),
        (battery(1, "LFP", hold_readings=(HoldReading(24.0, 12.6, 25.0),)), "Recycle: LITHIUM"),
        (battery(1, "LFP", rest_voltage_v=2.0), "Unresolved: SET APART"),
        (battery(1, "unknown", rest_voltage_v=12.7), "Unresolved: NOT IDENTIFIED, SET APART"),
        (battery(1, "other", case="leaking"), "Recycle: NOT IDENTIFIED, SET APART"),
        (battery(1, "AGM", rest_voltage_v=12.7, temperature_c=58.0), "Unresolved: HOT, SET APART"),
        (battery(1, rest_voltage_v=None), "Unresolved: READ AGAIN"),
        (battery(1, rest_voltage_v=12.7, row_errors=("x",)), "Unresolved: ASK THE OFFICE"),
    ],
)
def test_untested_stock_says_its_next_step_and_tested_stock_that_it_is(one, words):
    assert words == headline(only(one)[0])


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "read 2026-11-20"),
        ({"rated_cca_a": 600.0, "measured_cca_a": 590.0}, "cranking tested 2026-11-20"),
        ({"delivered_capacity_ah": 58.0, "discharge_time_h": 20.0}, "capacity tested 2026-11-20"),
    ],
)
def test_a_label_says_what_was_tested_and_when(fields, words):
    one, batch = only(held(1, "AGM", (24.0, 12.9), **fields))
    assert words == when_in_words(one, batch.last_written_day)


def test_set_apart_is_never_parted_between_lines():
    one, batch = only(battery(1, rest_voltage_v=12.7, case="leaking"))
    marks = label_marks(Typesetter(), one, batch.batch, Paper.A4, day=batch.last_written_day, twin=False)
    lines = [mark.text.replace("\N{NO-BREAK SPACE}", " ") for mark in marks if isinstance(mark, TextMark)]

    assert any("SET APART" in line for line in lines)


def test_the_grade_over_a_next_step_ends_with_a_colon():
    for one, said in (
        (battery(1, rest_voltage_v=12.0), "Recondition:"),
        (battery(1, rest_voltage_v=12.75), "Resale:"),
        (battery(1, rest_voltage_v=12.7, row_errors=("x",)), "Unresolved:"),
    ):
        found, batch = only(one)
        marks = label_marks(
            Typesetter(), found, batch.batch, Paper.LETTER, day=batch.last_written_day, twin=False
        )
        texts = [mark.text.replace("\N{NO-BREAK SPACE}", " ") for mark in marks if isinstance(mark, TextMark)]

        assert headline(found).startswith(said)
        assert any(said in text for text in texts), texts


@pytest.mark.parametrize(("place", "printed"), [("row 2", True), ("a place with a long name", False)])
def test_size_and_day_of_the_reading_go_before_the_position(place, printed):
    one, _ = only(battery(1, rest_voltage_v=12.75, rated_cca_a=540.0, position=place))
    day = only(battery(1))[1].last_written_day
    marks = label_marks(Typesetter(), one, "2026-06-returns-07", Paper.LETTER, day=day, twin=False)
    told = " ".join(
        mark.text.replace("\N{NO-BREAK SPACE}", " ") for mark in marks if isinstance(mark, TextMark)
    )

    assert "540 A · read 2026-11-20" in told
    assert printed == (place in told)
