"""Remarks beside a battery."""

import pytest

from intake.model.finding import Finding, Severity
from intake.report.words.charge_and_remarks import (
    charge_that_counts,
    charge_told,
    further_reasons,
    warnings_by_row,
)
from tests.report.builders import battery, held, result_of

REST = battery(1, rest_voltage_v=12.7)


def finding(message, *, severity=Severity.WARNING, tag="B-001", sheet="Batteries", row=5):
    return Finding(severity, message, "hint", sheet=sheet, tag=tag, row=row)


def warnings(*findings):
    return warnings_by_row(result_of([REST], findings=findings))[REST.row]


def test_the_charge_that_a_hold_shows_counts_before_the_one_at_rest():
    result = result_of([held(1, "AGM", (12.0, 12.9), rest_voltage_v=12.0), REST])
    tested, rested = result.graded

    assert tested.verdict.held_charge.state_of_charge is charge_that_counts(tested.verdict)
    assert rested.verdict.state_of_charge is charge_that_counts(rested.verdict)


@pytest.mark.parametrize(
    ("chemistry", "fields", "told"),
    [
        ("flooded", {"rest_voltage_v": -12.4}, False),
        ("flooded", {"rest_voltage_v": -0.4}, False),
        ("AGM", {"rest_voltage_v": 0.49}, False),
        ("AGM", {"rest_voltage_v": 0.5}, True),
        ("AGM", {"rest_voltage_v": 13.29}, True),
        ("AGM", {"rest_voltage_v": 13.4}, False),
        ("LFP", {"rest_voltage_v": 5.9}, False),
        ("LFP", {"rest_voltage_v": 5.9, "bms_reset_tried": True}, False),
        ("LFP", {"rest_voltage_v": 6.0, "bms_reset_tried": True}, True),
    ],
)
def test_no_charge_is_told_where_the_posts_do_not_show_the_cells(chemistry, fields, told):
    (one,) = result_of([battery(1, chemistry, **fields)]).graded

    assert told is (charge_told(one.verdict) is not None)


def test_the_charge_that_a_hold_shows_is_told_whatever_the_rest_voltage_was():
    (one,) = result_of([held(1, "AGM", (12.0, 12.9), rest_voltage_v=0.1)]).graded

    assert one.verdict.held_charge.state_of_charge is charge_told(one.verdict)


def test_no_charge_is_told_where_the_readings_of_a_hold_contradict_each_other():
    readings = ((0.5, 12.70), (24.0, 12.95))
    (rising,) = result_of([held(1, "AGM", *readings, rest_voltage_v=12.7)]).graded

    assert rising.verdict.held_charge is not None
    assert charge_told(rising.verdict) is None


def test_further_reasons_are_all_but_the_decisive_one():
    (one,) = result_of([battery(1, rest_voltage_v=12.7, terminals="loose")]).graded

    assert "terminal-loose" == one.verdict.decisive.rule.id
    assert ["rests-high"] == [step.rule.id for step in further_reasons(one)]


@pytest.mark.parametrize(
    "other",
    [
        finding("x", severity=Severity.NOTE),
        finding("x", severity=Severity.ERROR),
        finding("x", tag="B-002"),
        finding("x", tag=""),
        finding("x", row=6),
    ],
    ids=["note", "error", "other tag", "no tag", "other row"],
)
def test_what_is_no_warning_of_the_row_is_left_out(other):
    assert () == warnings(other)


def test_a_warning_of_the_row_or_of_its_tag_elsewhere_is_kept_once():
    assert ("a", "b", "c") == warnings(
        finding("a"), finding("b", row=0), finding("a"), finding("c", sheet="Hold readings", row=77)
    )


def test_a_warning_names_the_column_it_is_about():
    about = Finding(
        Severity.WARNING, "2018 is long ago.", "Look.", sheet="Batteries", tag="B-001", row=5, field="Made"
    )

    assert ("Made: 2018 is long ago.",) == warnings(about)
