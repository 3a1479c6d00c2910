"""One task of the person in words."""

from datetime import date, datetime, timedelta

import pytest

from intake.model.plan import TaskKind
from intake.report.plan.content import plan_content
from intake.report.plan.task import task_text
from tests.changed import replace
from tests.report.builders import battery, result_of
from tests.report.plan_builders import ESTIMATE, at, small_plan, small_result, small_tasks

FRIDAY = date(2026, 11, 20)


def text_of(kind, tag, *, day=FRIDAY, **fields):
    plan = small_plan(**fields)
    (task,) = (one for one in plan.tasks if (one.kind, one.tag) == (kind, tag))
    return task_text(task, plan_content(plan, small_result()), day=day)


def test_connecting_names_station_current_stages_and_when_it_is_done():
    text = text_of(TaskKind.CONNECT, "B-001")

    assert "Connect to S1" == text.title
    assert ("flooded, 45 Ah, position layer 1, place 3", ("at",)) == (text.battery, text.to_write)
    charge, by_hand, remark = text.beside
    assert charge == (
        "Recover at 2.2 A for 4 h, then charge at 9 A at most for up to 6.2 h: done between 17:35 and 18:20."
    )
    assert by_hand == "Without automatic change-over: charge from 12:05."
    assert "Look twice." == remark


def with_recovery_until(moment):
    """Return the tasks, with the charge of B-001 for six hours after a recovery that ends at a moment."""
    for one in small_tasks():
        if (one.kind, one.tag) == (TaskKind.RECOVER, "B-001"):
            yield replace(one, end=moment)
        elif (one.kind, one.tag) == (TaskKind.CHARGE, "B-001"):
            yield replace(one, start=moment, end=moment + timedelta(hours=6))
        else:
            yield one


@pytest.mark.parametrize(
    ("ends", "by_hand"),
    [
        (at(20, 16, 59), "charge from 16:59."),
        (at(20, 17), "charge from Mon 08:00 (next shift); take it off when done, by Mon 14:00."),
    ],
)
def test_a_station_is_set_by_hand_only_while_somebody_is_there(ends, by_hand):
    _, told, _ = text_of(TaskKind.CONNECT, "B-001", tasks=tuple(with_recovery_until(ends))).beside
    assert told == f"Without automatic change-over: {by_hand}"


def test_a_stage_set_late_makes_the_next_one_late_as_well():
    tasks = []
    for one in with_recovery_until(at(20, 18)):
        tasks.append(one)
        if (one.kind, one.tag) == (TaskKind.CHARGE, "B-001"):
            tasks.append(replace(one, kind=TaskKind.EQUALISE, start=one.end, end=at(21, 3)))
    _, told, _ = text_of(TaskKind.CONNECT, "B-001", tasks=tuple(tasks)).beside
    assert "charge from Mon 08:00, equalise from Mon 14:00 (next shift);" in told
    assert told.endswith("by Mon 17:00.")


def test_a_charge_alone_needs_no_change_over():
    assert not any("change-over" in line for line in text_of(TaskKind.CONNECT, "B-003").beside)


def test_a_charge_whose_time_is_known_is_done_by_one_moment():
    exact = replace(ESTIMATE, hours_low=ESTIMATE.hours_high)
    batteries = tuple(replace(one, estimate=exact, remarks=()) for one in small_plan().batteries)

    charge, _ = text_of(TaskKind.CONNECT, "B-001", batteries=batteries).beside
    assert charge.endswith("done by 18:20.")


def paused_tasks():
    """Return the tasks, with the charge of B-001 off from Friday 17:00 to Monday 08:00."""
    for one in small_tasks():
        if (one.kind, one.tag) == (TaskKind.CHARGE, "B-001"):
            yield replace(one, end=at(20, 17))
            yield replace(one, start=at(23, 8), end=at(23, 9, 20))
        else:
            yield one


def test_a_paused_charge_has_its_hours_in_all_and_the_moment_it_is_done():
    charge, *_ = text_of(TaskKind.CONNECT, "B-001", tasks=tuple(paused_tasks())).beside
    assert charge == (
        "Recover at 2.2 A for 4 h, then charge at 9 A at most for up to 6.2 h: done by Mon 09:20."
    )


def test_a_paused_charge_is_off_until_it_goes_on():
    content = plan_content(small_plan(tasks=tuple(paused_tasks())), small_result())
    (stands,) = content.on("S1")
    assert stands.pauses == [(at(20, 17), at(23, 8))]
    assert [stands.goes_on(one) for one in (at(20, 16, 59), at(20, 17), at(21, 0), at(23, 8))] == [
        None,
        at(23, 8),
        at(23, 8),
        at(23, 8),
    ]
    assert stands.goes_on(at(23, 8, 1)) is None


def test_a_stage_without_a_current_of_its_own_has_its_hours():
    tasks = tuple(
        replace(one, kind=TaskKind.EQUALISE) if one.kind is TaskKind.RECOVER else one for one in small_tasks()
    )

    charge, *_ = text_of(TaskKind.CONNECT, "B-001", tasks=tasks).beside
    assert charge.startswith("Equalise for 4 h, then charge")


@pytest.mark.parametrize(
    ("qualified", "expected"), [(True, "Connect to S2 in the marked place"), (False, "Connect to S2")]
)
def test_the_marked_place_is_named_where_suspect_ones_are_worked_on(qualified, expected):
    assert expected == text_of(TaskKind.CONNECT, "B-003", qualified=qualified).title


def test_taking_off_names_the_station():
    text = text_of(TaskKind.DISCONNECT, "B-001")

    assert ("Take off S1", ()) == (text.title, text.beside)


def test_a_charge_that_ends_on_another_day_names_that_day_once():
    text = text_of(TaskKind.CONNECT, "B-001", day=date(2026, 11, 19))

    assert text.beside[0].endswith("done between Fri 17:35 and 18:20.")


def test_a_reading_asks_for_volts_temperature_and_the_clock():
    text = text_of(TaskKind.READ_SHORT, "B-003")

    assert ("First hold reading, shelf", ("V", "°C", "at")) == (text.title, text.to_write)
    assert () == text.beside
    assert "LFP, position D4" == text.battery


def test_a_late_reading_says_since_when_it_is_due():
    text = text_of(TaskKind.READ_LONG, "B-001", day=date(2026, 11, 24))

    assert ("Due since Mon 20:08.",) == text.beside


def test_a_reading_due_before_the_plan_says_so():
    tasks = tuple(
        replace(one, due=at(20, 8)) if (one.kind, one.tag) == (TaskKind.READ_LONG, "B-002") else one
        for one in small_tasks()
    )
    told = text_of(TaskKind.READ_LONG, "B-002", tasks=tasks).beside
    assert "Due already when the plan starts." in told


@pytest.mark.parametrize(("late_min", "told"), [(30, False), (31, True)])
def test_half_an_hour_is_not_worth_a_remark(late_min, told):
    tasks = tuple(
        replace(one, start=one.due + timedelta(minutes=late_min)) if one.kind is TaskKind.READ_SHORT else one
        for one in small_tasks()
    )

    assert told == bool(text_of(TaskKind.READ_SHORT, "B-003", tasks=tasks).beside)


def test_a_battery_without_a_station_has_its_remarks_beside_the_reading():
    text = text_of(TaskKind.READ_LONG, "B-002", day=date(2026, 11, 23))

    assert ("Due since Fri 18:00.", "Last read at 2 h.") == text.beside
    assert "position" not in text.battery


def test_what_goes_on_by_itself_asks_for_nothing():
    text = text_of(TaskKind.SETTLE, "B-002")

    assert ("Settle, shelf", (), ()) == (text.title, text.beside, text.to_write)


def test_a_reading_tells_when_it_comes_off_the_charger_and_from_when_to_read():
    assert ("Off at 14:05 by this plan; read from 14:35.",) == first_reading_beside(14, 5)


def test_a_first_reading_is_repeated_after_three_hours_while_the_person_is_there():
    """The shift closes at 17:00."""
    assert ("Off at 13:59 by this plan; read from 14:29 and at 16:59.",) == first_reading_beside(13, 59)
    assert ("Off at 14:00 by this plan; read from 14:30.",) == first_reading_beside(14, 0)


def first_reading_beside(hour, minute):
    plan = small_plan()
    off = datetime(2026, 11, 20, hour, minute)
    task = replace(
        next(one for one in plan.tasks if (one.kind, one.tag) == (TaskKind.READ_SHORT, "B-003")),
        counted_from=off,
        due=off + timedelta(minutes=30),
    )
    return task_text(task, plan_content(plan, small_result()), day=FRIDAY).beside


def test_corroded_terminals_are_cleaned_before_the_clips_go_on():
    result = result_of([battery(1, rest_voltage_v=12.05, rated_capacity_ah=45.0, terminals="corroded")])
    plan = small_plan(batteries=small_plan().batteries[:1], tasks=small_tasks()[:1] + small_tasks()[2:3])
    text = task_text(plan.tasks[0], plan_content(plan, result), day=FRIDAY)

    assert "Clean the terminals first." == text.beside[0]
