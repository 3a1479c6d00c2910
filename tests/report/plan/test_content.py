"""A plan sorted by days and stations."""

from datetime import date
from itertools import pairwise

from intake.model.plan import TaskKind
from intake.report.plan.content import plan_content, shifts_between
from tests.changed import replace
from tests.report.builders import mixed_result
from tests.report.plan_builders import at, mixed_plan, small_plan, small_result, small_tasks, task


def content(**fields):
    return plan_content(small_plan(**fields), small_result())


def test_only_days_on_which_the_person_does_something_get_a_sheet():
    assert [date(2026, 11, 20), date(2026, 11, 23), date(2026, 11, 24)] == [one.day for one in content().days]


def test_a_day_has_the_persons_tasks_alone_in_time_order():
    day = content().days[0]

    assert ["B-001", "B-003", "B-003", "B-003"] == [one.tag for one in day.tasks]
    assert sorted(one.start for one in day.tasks) == [one.start for one in day.tasks]
    assert all(one.needs_person for one in day.tasks)


def test_every_task_of_the_person_stands_on_one_day():
    sheets = plan_content(mixed_plan(), mixed_result()).days

    assert [one for one in mixed_plan().tasks if one.needs_person] == [
        task for day in sheets for task in day.tasks
    ]


def test_what_stays_over_night_is_told_on_both_days():
    friday, monday, tuesday = content().days

    assert [[], ["B-001"], []] == [[one.tag for one in day.before] for day in (friday, monday, tuesday)]
    assert [["B-001"], [], []] == [[one.tag for one in day.after] for day in (friday, monday, tuesday)]


def test_a_battery_stands_on_its_station_from_the_first_hand_to_the_last():
    (first,) = content().on("S1")

    assert ("B-001", at(20, 8), at(23, 8, 8)) == (first.tag, first.start, first.end)
    assert [TaskKind.RECOVER, TaskKind.CHARGE] == [one.kind for one in first.stages]
    assert at(20, 18, 20) == first.ready


def test_a_battery_without_a_stage_is_ready_when_it_is_connected():
    connected = task(TaskKind.CONNECT, "B-001", "S1", at(20, 8), at(20, 8, 5))

    (one,) = content(tasks=(connected,)).occupations
    assert at(20, 8) == one.ready


def test_no_station_holds_two_in_the_chart_of_a_real_plan():
    for station in mixed_plan().stations:
        stands = plan_content(mixed_plan(), mixed_result()).on(station.name)
        assert 1 < len(stands)
        assert all(one.end <= later.start for one, later in pairwise(stands))


def test_shifts_are_cut_at_the_window_and_only_on_working_days():
    plan = small_plan()

    assert [(at(20, 8), at(20, 17))] == shifts_between(plan, at(20, 0), at(22, 0))
    assert [(at(20, 10), at(20, 12))] == shifts_between(plan, at(20, 10), at(20, 12))
    assert [] == shifts_between(plan, at(20, 17), at(23, 8))
    assert [(at(20, 16), at(20, 17)), (at(23, 8), at(23, 9))] == shifts_between(plan, at(20, 16), at(23, 9))


def test_a_shift_over_midnight_belongs_to_the_day_on_which_it_begins():
    plan = small_plan(shifts=("22:00-06:00",), days=("fri",))

    assert [(at(20, 22), at(21, 6))] == shifts_between(plan, at(20, 0), at(23, 0))
    assert [(at(21, 0), at(21, 6))] == shifts_between(plan, at(21, 0), at(22, 0))


def recovered_overnight():
    """Return the tasks, with B-001 ready for its charge on Friday at 18:00, after the shift."""
    for one in small_tasks():
        if (one.kind, one.tag) == (TaskKind.RECOVER, "B-001"):
            yield replace(one, end=at(20, 18))
        elif (one.kind, one.tag) == (TaskKind.CHARGE, "B-001"):
            yield replace(one, start=at(20, 18), end=at(20, 23))
        else:
            yield one


def test_a_change_over_outside_a_shift_is_a_line_of_the_next_shift():
    found = content(tasks=tuple(recovered_overnight()))
    by_day = {one.day.day: one.by_hand for one in found.days}

    assert {20: (), 24: ()} == {day: lines for day, lines in by_day.items() if day != 23}
    (line,) = by_day[23]
    assert ("B-001", "S1", TaskKind.CHARGE) == (line.tag, line.station, line.kind)
    assert (at(23, 8), at(23, 17), at(23, 13)) == (line.start, line.end, line.ready)


def test_a_change_over_within_a_shift_is_no_line_of_its_own():
    assert [()] * 3 == [one.by_hand for one in content().days]


def test_a_change_over_makes_a_day_of_its_own_where_nothing_else_is_done():
    tasks = tuple(
        one for one in recovered_overnight() if not (one.start.date().day == 23 and one.needs_person)
    )

    assert [20, 23, 24] == [one.day.day for one in content(tasks=tasks).days]
