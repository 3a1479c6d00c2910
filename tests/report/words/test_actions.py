"""What to do with each battery now: one group each, the most dangerous first."""

import pytest

from intake.model.battery import HoldReading
from intake.model.rules import Remedy
from intake.model.verdict import Evidence, Grade
from intake.report.labels.label import headline
from intake.report.words.actions import (
    ACTION_OF_REMEDY,
    Action,
    action_for,
    action_groups,
    next_step_in_few_words,
    on_offer,
    step_in_full,
    why_apart,
)
from intake.report.words.wording import load_wording
from tests.report.builders import battery, held, mixed_result, result_of


def graded(one):
    return result_of([one]).graded[0]


CASES = {
    "damaged": (battery(1, case="leaking", rest_voltage_v=12.7), Action.APART),
    "suspect lithium": (battery(1, "LFP", rest_voltage_v=2.0), Action.APART),
    "unidentified": (battery(1, "unknown", rest_voltage_v=12.7), Action.APART),
    "row with an error": (battery(1, rest_voltage_v=12.7, row_errors=("x",)), Action.MEND),
    "no reading": (battery(1, rest_voltage_v=None), Action.READ),
    "hold under 12 h": (held(1, "AGM", (0.5, 13.318), (1.0, 13.283)), Action.READ),
    "rests high": (battery(1, rest_voltage_v=12.7), Action.CHARGE),
    "rests low": (battery(1, rest_voltage_v=12.0), Action.RECOVER),
    "terminal loose": (battery(1, rest_voltage_v=12.7, terminals="loose"), Action.RECOVER),
    "holds": (held(1, "flooded", (24.0, 12.8)), Action.STRENGTH),
    "note against its case": (
        battery(1, "LFP", case="sound", note="slightly swollen", rest_voltage_v=13.2),
        Action.APART,
    ),
    "spent": (held(1, "flooded", (0.5, 12.60), (24.0, 12.02)), Action.RECYCLE),
}


@pytest.mark.parametrize(("one", "action"), CASES.values(), ids=CASES)
def test_each_battery_has_its_group(one, action):
    assert action is action_for(graded(one))


def test_only_what_may_be_sold_now_is_on_offer():
    tested = {"rated_cca_a": 600.0, "measured_cca_a": 590.0}
    ready = (held(1, "AGM", (24.0, 12.9)), held(2, "AGM", (24.0, 12.9), **tested))
    waiting = (
        CASES["rests high"][0],
        CASES["hold under 12 h"][0],
        CASES["note against its case"][0],
        held(7, "AGM", (24.0, 12.95), terminals="corroded", **tested),
        CASES["damaged"][0],
        held(8, "AGM", (24.0, 12.6)),
    )
    alone = [on_offer(result_of([one]).graded) for one in (*ready, *waiting)]

    assert [1, 1] + [0] * len(waiting) == alone
    assert 2 == on_offer(result_of(ready).graded)


def test_every_remedy_has_a_group_and_every_group_its_words():
    assert set(Remedy) == set(ACTION_OF_REMEDY)
    assert {action.value for action in Action} == set(load_wording().actions)


def test_groups_come_in_the_order_of_work_and_count_their_batteries():
    groups = action_groups(mixed_result())
    order = list(Action)

    assert sorted((group.action for group in groups), key=order.index) == [one.action for one in groups]
    assert 48 == sum(group.count for group in groups)


def test_a_group_is_parted_by_cause_hour_or_stream():
    groups = action_groups(
        result_of(
            [
                battery(1, case="leaking"),
                battery(2, case="cracked"),
                battery(3, case="cracked"),
                held(4, "AGM", (0.5, 13.318)),
                battery(5, rest_voltage_v=0.1),
                held(6, "AGM", (0.5, 12.7), (24.0, 12.95)),
            ]
        )
    )
    told = {line.told: line.tags for group in groups for line in group.lines}

    assert ("B-001",) == told["damaged: case leaking"]
    assert ("B-002", "B-003") == told["damaged: case cracked"]
    assert ("B-004",) == told["at 12 h after its charge"]
    assert ("B-005",) == told["Lead-acid, wet, case whole"]
    assert ("B-006",) == told["check the hours, then at 48 h after its charge"]


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (CASES["damaged"][0], "set apart, do not charge"),
        (CASES["unidentified"][0], "set apart, have it identified"),
        (CASES["hold under 12 h"][0], "leave standing, read at 12 h"),
        (CASES["rests high"][0], "charge, then hold 12 h"),
        (CASES["rests low"][0], "recover, charge, then hold"),
        (CASES["holds"][0], "capacity test"),
        (held(1, "flooded", (24.0, 12.8), rated_cca_a=600.0), "load or cranking test"),
        (CASES["spent"][0], "recycle"),
        (held(1, "AGM", (0.5, 12.7), (24.0, 12.95)), "check the hours, read again at 48 h"),
        (CASES["no reading"][0], "measure the rest voltage"),
    ],
)
def test_the_next_step_is_told_in_few_words(one, words):
    assert words == next_step_in_few_words(graded(one))


LOADED = {"load_current_a": 180.0, "load_time_s": 15.0, "load_voltage_v": 10.9, "rated_capacity_ah": 60.0}


@pytest.mark.parametrize(
    ("cca", "action", "few", "said"),
    [
        (None, Action.STRENGTH, "capacity test", "Resale: TEST CAPACITY"),
        (400.0, Action.SELL, "charge, then sell", "Resale: TESTED"),
    ],
)
def test_a_load_test_sells_a_starter_battery_only(cca, action, few, said):
    """For any other kind the next step asks for its capacity, and so does every paper."""
    found = graded(held(1, "AGM", (24.0, 12.95), rated_cca_a=cca, **LOADED))

    assert (Grade.RESALE, Evidence.STRENGTH) == (found.verdict.grade, found.verdict.evidence)
    assert (action, few, said) == (action_for(found), next_step_in_few_words(found), headline(found))
    assert ("measure its capacity" in found.verdict.next_step) is (cca is None)


def test_the_group_of_tests_is_named_for_every_test_that_it_asks_for():
    ones = [held(1, "LFP", (24.0, 13.4)), held(2, "AGM", (24.0, 12.95), rated_cca_a=600.0)]
    (group,) = action_groups(result_of(ones))
    title = load_wording().actions[group.action].title.casefold()

    assert {"capacity test", "load or cranking test"} == {line.told for line in group.lines}
    assert "strength" in title
    assert "capacity" in title


def test_a_battery_set_apart_is_told_so_before_what_its_grade_asks_for():
    suspect = graded(battery(1, "LFP", rest_voltage_v=13.3, terminals="corroded"))

    assert Action.APART is action_for(suspect)
    assert step_in_full(suspect).startswith("Set apart, qualified person only. ")
    assert step_in_full(suspect).endswith(suspect.verdict.next_step)
    intact = graded(battery(1, rest_voltage_v=12.7))
    assert intact.verdict.next_step == step_in_full(intact)
    asked = graded(battery(1, "LFP", rest_voltage_v=2.0))
    assert asked.verdict.next_step == step_in_full(asked)


def test_a_recall_is_told_first_of_a_battery_whose_row_has_an_error():
    one = battery(1, rest_voltage_v=12.9, under_recall=True, row_errors=("Rested: x",))
    found = graded(one)
    (group,) = action_groups(result_of([one]))

    assert Action.MEND is group.action
    assert ["under recall: do not charge or sell, follow its notice"] == [line.told for line in group.lines]
    assert "do not charge or sell, under recall; mend the row" == next_step_in_few_words(found)
    assert step_in_full(found).startswith("Do not charge or sell it; follow the recall notice. ")
    assert "Unresolved: UNDER RECALL" == headline(found)
    (plain,) = action_groups(result_of([battery(1, rest_voltage_v=12.9, row_errors=("Rested: x",))]))
    assert [""] == [line.told for line in plain.lines]


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({}, "damaged: case cracked"),
        ({"under_recall": True}, "damaged: case cracked; under recall"),
        ({"row_errors": ("x",)}, "damaged: case cracked; its row has an error"),
        (
            {"under_recall": True, "row_errors": ("x",)},
            "damaged: case cracked; under recall; its row has an error",
        ),
    ],
)
def test_a_recall_and_a_row_error_stand_beside_what_sets_a_battery_apart(fields, told):
    assert told == why_apart(graded(battery(1, rest_voltage_v=12.9, case="cracked", **fields)))


def test_a_recall_that_sets_a_battery_apart_is_said_once():
    assert "damaged: under recall" == why_apart(
        graded(battery(1, "LFP", rest_voltage_v=13.3, under_recall=True))
    )


CRANKED = {"rated_cca_a": 600.0, "measured_cca_a": 590.0}


@pytest.mark.parametrize(
    ("one", "action", "few", "told", "said"),
    [
        (
            held(1, "AGM", (24.0, 12.95), terminals="corroded", **CRANKED),
            Action.READ,
            "clean the terminals, then read again",
            "clean the terminals, then read again",
            "Resale: CLEAN, READ AGAIN",
        ),
        (
            held(1, "AGM", (24.0, 12.95), terminals="corroded"),
            Action.READ,
            "clean the terminals, then read again",
            "clean the terminals, then read again",
            "Resale: CLEAN, READ AGAIN",
        ),
        (
            held(1, "AGM", (1.0, 13.283), terminals="corroded"),
            Action.READ,
            "clean the terminals, leave standing, read at 12 h",
            "at 12 h after its charge",
            "Resale: CLEAN, READ AGAIN",
        ),
        (
            battery(1, rest_voltage_v=12.75, terminals="corroded"),
            Action.CHARGE,
            "clean the terminals, charge, then hold 12 h",
            "clean the terminals first",
            "Resale: CLEAN, THEN CHARGE",
        ),
    ],
)
def test_corroded_terminals_are_cleaned_before_a_battery_is_tested_or_sold(one, action, few, told, said):
    found = graded(one)
    (group,) = action_groups(result_of([one]))

    assert (Grade.RESALE, action, few) == (
        found.verdict.grade,
        action_for(found),
        next_step_in_few_words(found),
    )
    assert (told, said) == (group.lines[0].told, headline(found))
    assert step_in_full(found).startswith("Clean the terminals, then read again. ")
    assert step_in_full(found).endswith(found.verdict.next_step)


@pytest.mark.parametrize(
    ("one", "action", "few", "told", "said"),
    [
        (
            battery(1, rest_voltage_v=12.75, under_recall=True),
            Action.RECYCLE,
            "do not charge or sell; follow the recall notice",
            "Lead-acid, wet, case whole; under recall: follow its notice",
            "Recycle: UNDER RECALL",
        ),
        (
            battery(1, "LFP", rest_voltage_v=13.3, under_recall=True),
            Action.APART,
            "set apart, do not charge; follow the recall notice",
            "damaged: under recall",
            "Recycle: LITHIUM, SET APART",
        ),
    ],
)
def test_a_recall_is_told_wherever_the_next_step_is(one, action, few, told, said):
    found = graded(one)
    (group,) = action_groups(result_of([one]))

    assert (action, few) == (action_for(found), next_step_in_few_words(found))
    assert (told, said) == (group.lines[0].told, headline(found))
    assert "recall notice" in step_in_full(found)


@pytest.mark.parametrize(
    ("chemistry", "few", "said", "in_full"),
    [
        ("flooded", "charge, equalise, hold", "Recondition: CHARGE, LEVEL", "Charge it fully, equalise it, "),
        ("LFP", "charge, balance the cells, hold", "Recondition: CHARGE, LEVEL", "Charge it fully, balance "),
        ("AGM", "recover, charge, then hold", "Recondition: RECOVER", "Recover it at low current "),
    ],
)
def test_cells_are_brought_level_after_the_charge_and_only_where_they_can_be(chemistry, few, said, in_full):
    """In the order of the bench plan, on every paper."""
    volts = {"flooded": 12.4, "LFP": 13.3, "AGM": 12.6}[chemistry]
    found = graded(held(1, chemistry, (24.0, volts)))

    assert ("hold-middle", Grade.RECONDITIONABLE) == (found.verdict.decisive.rule.id, found.verdict.grade)
    assert (few, said) == (next_step_in_few_words(found), headline(found))
    assert step_in_full(found).startswith(in_full)


def test_a_reversed_reading_asks_for_the_leads_to_be_swapped():
    (group,) = action_groups(result_of([battery(1, rest_voltage_v=-12.4)]))

    assert ["swap the meter's leads, read again"] == [line.told for line in group.lines]


def test_only_what_is_graded_for_resale_waits_for_clean_terminals():
    flat = graded(battery(1, rest_voltage_v=12.0, terminals="corroded"))
    lithium = graded(battery(1, "LFP", rest_voltage_v=13.3, terminals="corroded"))
    sound = graded(held(1, "AGM", (24.0, 12.95), **CRANKED))

    assert ("Recondition: RECOVER", "Resale: SET APART") == (headline(flat), headline(lithium))
    assert (Action.SELL, "Resale: TESTED") == (action_for(sound), headline(sound))


def test_a_starter_battery_whose_cranking_counts_is_asked_for_its_capacity():
    """The hold leaves its charge in doubt: unresolved, though it cranks well."""
    one = held(
        1,
        "flooded",
        (24.0, 12.31),
        rated_cca_a=600.0,
        measured_cca_a=560.0,
        cca_standard="EN",
    )
    found = graded(one)

    assert (Grade.UNRESOLVED, Evidence.STRENGTH) == (found.verdict.grade, found.verdict.evidence)
    assert Action.STRENGTH is action_for(found)
    assert "better meter or capacity test" == next_step_in_few_words(found)
    assert "measure its capacity" in found.verdict.next_step
    assert "Unresolved: TEST CAPACITY" == headline(found)


def test_a_battery_whose_capacity_is_measured_and_whose_hold_is_unclear_wants_a_better_meter():
    one = held(1, "flooded", (24.0, 12.31), rated_capacity_ah=60.0, delivered_capacity_ah=58.0)
    found = graded(one)

    assert (Grade.UNRESOLVED, Evidence.CAPACITY) == (found.verdict.grade, found.verdict.evidence)
    assert Action.READ is action_for(found)
    assert "read it with a better meter" == next_step_in_few_words(found)
    assert "better meter" in found.verdict.next_step
    assert "Unresolved: READ AGAIN" == headline(found)


@pytest.mark.parametrize(
    ("one", "few", "big"),
    [
        (
            battery(1, rest_voltage_v=11.2, temperature_c=-14.0),
            "let it warm up, then read again",
            "Recondition: WARM FIRST",
        ),
        (
            battery(1, "LFP", rest_voltage_v=13.35, temperature_c=-5.0),
            "let it warm up, then read again",
            "Resale: WARM FIRST",
        ),
        (
            battery(1, "LFP", rest_voltage_v=13.35, temperature_c=46.0),
            "let it cool, then read again",
            "Resale: COOL FIRST",
        ),
    ],
)
def test_no_paper_says_charge_at_a_temperature_at_which_the_plan_connects_nothing(one, few, big):
    found = graded(one)
    assert Action.READ is action_for(found)
    assert few == next_step_in_few_words(found)
    assert big == headline(found)
    assert step_in_full(found).startswith("Let it c")
    assert "Then read it again." in step_in_full(found)
    (group,) = action_groups(result_of([one]))
    assert few == group.lines[0].told


def test_a_cold_battery_is_seen_not_to_be_frozen_before_its_charge_is_spoken_of():
    told = step_in_full(graded(battery(1, rest_voltage_v=11.2, temperature_c=-14.0)))
    assert told.startswith("Let it come to the bench's temperature first, and see that it is not frozen.")
    assert told.index("A frozen battery is never charged.") < told.index("charge it fully")


def test_a_cold_one_that_wants_a_test_is_warmed_before_it():
    one = graded(battery(1, "LFP", hold_readings=(HoldReading(24.0, 13.5, -5.0),)))
    assert "let it warm up, capacity test" == next_step_in_few_words(one)
    assert "Resale: WARM FIRST" == headline(one)


def test_a_cold_one_with_corroded_terminals_is_warmed_then_cleaned():
    one = graded(battery(1, rest_voltage_v=12.65, temperature_c=-40.0 / 2, terminals="corroded"))
    assert "let it warm up, clean the terminals, then read again" == next_step_in_few_words(one)


@pytest.mark.parametrize(
    "one",
    [
        battery(1, rest_voltage_v=0.1, temperature_c=-14.0),
        held(1, "AGM", (0.5, 13.318), (1.0, 13.283), temperature_c=-25.0),
        battery(1, rest_voltage_v=11.2, temperature_c=10.0),
        battery(1, rest_voltage_v=11.2, temperature_c=-14.0, case="sound", note="swollen"),
    ],
)
def test_what_is_not_charged_next_or_is_warm_enough_is_not_sent_to_warm_up(one):
    found = graded(one)
    assert "warm up" not in next_step_in_few_words(found)
    assert "bench's temperature" not in step_in_full(found)


def test_a_loose_terminal_is_mended_before_anything_else():
    loose = graded(battery(1, rest_voltage_v=12.0, temperature_c=-14.0, terminals="loose"))
    assert "Recondition: MEND TERMINAL" == headline(loose)
    assert "mend the connection first" == next_step_in_few_words(loose)
    dented = graded(battery(1, rest_voltage_v=12.7, terminals="loose", case="dented"))
    assert step_in_full(dented).endswith("made good by a qualified person before that.")


def test_a_lead_acid_battery_that_was_read_hot_is_left_alone():
    hot = graded(battery(1, "AGM", rest_voltage_v=12.7, temperature_c=58.0))
    assert Action.APART is action_for(hot)
    assert "set apart, hot: leave it alone until it is cool" == next_step_in_few_words(hot)
    assert why_apart(hot).startswith("hot: leave it alone outdoors, away from others")
    assert step_in_full(hot).startswith("It is hot: leave it alone outdoors, away from others")
    assert "do not charge it" in step_in_full(hot)


@pytest.mark.parametrize("temperature_c", [55.0, -21.0, 20.0])
def test_one_that_is_no_hotter_than_readings_count_is_not_called_hot(temperature_c):
    one = graded(battery(1, "AGM", rest_voltage_v=12.7, temperature_c=temperature_c))
    assert not one.is_hot
    assert "hot" not in step_in_full(one)


def test_hot_lithium_stays_with_the_qualified():
    one = graded(battery(1, "LFP", rest_voltage_v=13.3, temperature_c=62.0))
    assert one.is_hot
    assert "set apart, qualified person only" == next_step_in_few_words(one)


def test_one_that_has_cooled_since_is_read_anew():
    held_hot = (HoldReading(1.0, 12.9, 58.0), HoldReading(13.0, 12.85, 20.0))
    assert not graded(battery(1, "AGM", hold_readings=held_hot)).is_hot


@pytest.mark.parametrize(
    "one",
    [
        battery(1, rest_voltage_v=0.1, temperature_c=58.0),
        battery(1, hold_readings=(HoldReading(1.0, 12.9, 58.0),)),
    ],
)
def test_a_hot_one_is_left_alone_before_its_own_next_step(one):
    found = graded(one)
    assert step_in_full(found).startswith("It is hot: leave it alone outdoors, away from others")
    assert step_in_full(found).endswith(found.verdict.next_step)
