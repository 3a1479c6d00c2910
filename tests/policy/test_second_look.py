"""Batteries that are set apart first: a note against its case, and a tag that appears twice."""

import pytest

from intake.model.battery import HoldReading
from intake.model.condition import Condition
from intake.model.verdict import Handling
from intake.policy.second_look import handled_as, look_again_because
from intake.report.words.actions import Action, action_for, next_step_in_few_words, step_in_full, why_apart
from tests.report.builders import battery, result_of


@pytest.mark.parametrize(
    ("case", "note", "apart"),
    [
        ("sound", "swollen", True),
        (None, "swollen", True),
        ("sound", "not swollen", False),
        ("sound", None, False),
        ("leaking", "leaking", False),
    ],
)
def test_a_note_of_damage_beside_a_whole_case_sets_it_apart(case, note, apart):
    assert apart is bool(look_again_because(case=case, note=note))


@pytest.mark.parametrize(
    ("handling", "case", "note", "expected"),
    [
        ("intact", "sound", None, "intact"),
        ("intact", "sound", "swollen", "suspect"),
        ("intact", None, None, "suspect"),
        ("intact", "dented", None, "damaged"),
        ("suspect", "sound", None, "suspect"),
        ("damaged", "leaking", "leaking", "damaged"),
        ("damaged", None, "swollen", "damaged"),
    ],
)
def test_what_leaves_is_handled_as_suspect_where_note_or_case_leaves_a_doubt(handling, case, note, expected):
    assert expected == handled_as(handling=Handling(handling), case=case, note=note).value


def test_a_noted_battery_is_neither_charged_nor_drawn():
    result = result_of([battery(1, "LFP", case="sound", note="swollen", rest_voltage_v=13.2)])
    (one,) = result.graded

    assert one.condition is Condition.LOOK_AGAIN
    assert "set apart, look again first" == next_step_in_few_words(one)
    assert 'The note says "swollen"' in step_in_full(one)
    assert 0 == result.lot.offered


def test_all_that_bear_a_tag_are_handled_as_the_worst_of_them():
    twins = [
        battery(1, tag="Y-17", case="leaking", row_errors=("x",)),
        battery(2, tag="y-17", case="sound", rest_voltage_v=12.7, row_errors=("x",)),
        battery(3, case="sound", rest_voltage_v=12.7),
    ]
    first, second, alone = result_of(twins).graded

    assert [Condition.DAMAGED] * 2 == [first.condition, second.condition]
    assert [Action.APART] * 2 == [action_for(first), action_for(second)]
    assert f"y-17 (row {second.battery.row})" == second.name
    assert Condition.INTACT is alone.condition
    assert alone.battery.tag == alone.name


def test_a_case_that_was_not_read_is_never_intact():
    (one,) = result_of([battery(1, case=None, rest_voltage_v=12.7, row_errors=("x",))]).graded
    assert Condition.CASE_NOT_READ is one.condition


def test_a_dented_lead_acid_battery_is_apart_until_seen_tight():
    at_rest, held, whole, spent = result_of(
        [
            battery(1, case="dented", rest_voltage_v=12.7),
            battery(2, case="dented", hold_readings=(HoldReading(1.0, 12.9, 25.0),)),
            battery(3, case="scuffed", rest_voltage_v=12.7),
            battery(4, case="dented", under_recall=True, rest_voltage_v=12.7),
        ]
    ).graded

    for one in (at_rest, held):
        assert Condition.DENTED is one.condition
        assert Action.APART is action_for(one)
        assert "set apart, see that its case is tight" == next_step_in_few_words(one)
        assert why_apart(one).startswith("dented: see that its case is tight")
        assert step_in_full(one).startswith("Set it apart")
        assert "before anything is connected" in step_in_full(one)
    assert "under watch" in step_in_full(at_rest)
    assert "read it again" in step_in_full(held)
    assert not whole.stands_apart
    assert Condition.DAMAGED is spent.condition
    assert next_step_in_few_words(spent).startswith("set apart, do not charge")


def test_what_was_not_read_is_to_be_measured():
    (one,) = result_of([battery(1, rest_voltage_v=None)]).graded
    assert "measure the rest voltage" == next_step_in_few_words(one)
