"""Whole plans of graded batches, checked from their records alone."""

from datetime import date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from random import Random

import pytest

from intake.bench.schedule import NeverDone
from intake.model.battery import HoldReading
from intake.model.plan import TaskKind
from intake.runner.run_batch import grade_batch, read_batch
from intake.runner.settings import Settings
from tests.bench.builders import MONDAY_MORNING, POLICY, faults, plan_of
from tests.changed import replace
from tests.report.builders import battery, held, mixed_result, result_of

EXAMPLES = Path(__file__).parents[2] / "example_batches"
CHARGED = ("connect", "charge", "disconnect", "settle", "read-short", "read-long")


@cache
def example(name):
    settings = Settings(policy=POLICY, today=date(2026, 12, 31))
    read = read_batch(EXAMPLES / name / f"{name}.xlsx", settings)
    return grade_batch(read, read.batch, settings)


def tasks_of(plan, tag):
    return [task for task in plan.tasks if task.tag == tag]


def kinds_of(plan, tag):
    return [task.kind.value for task in tasks_of(plan, tag)]


@pytest.mark.parametrize(
    ("stations", "qualified"),
    [
        ("1", False),
        ("2", True),
        ("4", False),
        ("8", True),
        ("2x10A:lead,1x6A:agm:gel,1x20A:lfp:apart", True),
    ],
)
def test_the_example_of_48(stations, qualified):
    result = example("counter_returns_48")
    plan = plan_of(result, stations, qualified=qualified)
    assert faults(plan, result) == []
    assert len(plan.batteries) + len(plan.held_back) == 48
    assert plan.bound <= plan.end
    assert plan.gap_percent < 3


@pytest.mark.parametrize("name", ["powersports_20", "storm_damaged_16", "bad_row_errors"])
@pytest.mark.parametrize("shifts", [("08:00-17:00",), ("06:00-10:00", "11:00-15:30"), ("20:00-04:00",)])
def test_other_examples_and_shifts(name, shifts):
    result = example(name)
    assert faults(plan_of(result, "3", shifts=shifts, days="mon-sat", qualified=True), result) == []


def test_a_mixed_batch_on_few_short_days():
    result = mixed_result()
    plan = plan_of(result, "3", shifts=("09:00-11:00",), days="tue,fri", qualified=True)
    assert faults(plan, result) == []
    assert {task.start.strftime("%a") for task in plan.tasks if task.needs_person} == {"Tue", "Fri"}


def test_one_battery_by_hand():
    """60 Ah counted from empty: 72 Ah at 10 A and 3 h taper, 10 h 12 min, so it is off next morning."""
    result = result_of([battery(1, "flooded", rest_voltage_v=12.7, delivered_capacity_ah=60.0)])
    plan = plan_of(result, "1")
    monday, tuesday, wednesday = (datetime(2026, 11, day, 8) for day in (23, 24, 25))
    minute = timedelta(minutes=1)
    assert [(task.kind.value, task.place, task.start, task.end) for task in plan.tasks] == [
        ("connect", "S1", monday, monday + 5 * minute),
        ("charge", "S1", monday + 5 * minute, monday + 617 * minute),
        ("disconnect", "S1", tuesday, tuesday + 5 * minute),
        ("settle", "shelf", tuesday + 5 * minute, wednesday),
        ("read-short", "shelf", tuesday + 35 * minute, tuesday + 38 * minute),
        ("read-long", "shelf", wednesday, wednesday + 3 * minute),
    ]
    assert [task.due for task in plan.tasks if task.due] == [
        tuesday + 35 * minute,
        tuesday + 725 * minute,
    ]
    (one,) = plan.batteries
    assert (one.station, one.finished, one.estimate.hours_high) == (
        "S1",
        wednesday + 3 * minute,
        pytest.approx(10.2),
    )
    assert (plan.start, plan.end, plan.bound, plan.gap_percent) == (monday, one.finished, one.finished, 0)
    assert plan.mean_finished_h == pytest.approx(48.05)
    assert (plan.late_readings, plan.latest_reading_h) == (1, pytest.approx(24 - 725 / 60))


def test_recovery_first_levelling_last():
    gravity = (1.18, 1.21, 1.18, 1.18, 1.18, 1.18)
    result = result_of([battery(1, "flooded", rest_voltage_v=12.1, specific_gravity=gravity)])
    plan = plan_of(result, "1")
    stages = [task for task in plan.tasks if task.place == "S1" and not task.needs_person]
    assert [task.kind.value for task in stages] == ["recover", "charge", "equalise"]
    assert [stages[place].end - stages[place].start for place in (0, 2)] == [
        timedelta(hours=4),
        timedelta(hours=3),
    ]
    assert stages[0].end == stages[1].start
    assert stages[1].end == stages[2].start


def test_what_gets_nothing_is_told_why():
    result = result_of(
        [
            battery(4, "AGM", case="leaking"),
            battery(3, "flooded", rest_voltage_v=0.2),
            battery(2, "LFP", rest_voltage_v=7.0),
            battery(1, "unknown", rest_voltage_v=12.0),
        ]
    )
    plan = plan_of(result)
    assert [one.tag for one in plan.held_back] == ["B-001", "B-002", "B-003", "B-004"]
    assert plan.tasks == plan.batteries == ()
    assert (plan.start, plan.end, plan.bound) == (datetime(2026, 11, 23, 8),) * 3
    assert (plan.gap_percent, plan.mean_finished_h, plan.late_readings, plan.latest_reading_h) == (0, 0, 0, 0)


def test_suspect_lithium_is_alone_in_the_marked_place_until_its_last_reading():
    suspects = [battery(place, "LFP", rest_voltage_v=7.5, rested_h=30.0) for place in (1, 2, 3)]
    sound = [battery(place, "AGM", rest_voltage_v=12.9) for place in range(4, 9)]
    result = result_of([*suspects, *sound])
    plan = plan_of(result, "1,2:lead", qualified=True)
    assert faults(plan, result) == []
    for one in suspects:
        assert {task.place for task in tasks_of(plan, one.tag)} == {"S1"}
    refused = plan_of(result, "1,2:lead")
    assert [one.tag for one in refused.held_back] == [one.tag for one in suspects]
    assert faults(refused, result) == []


STAGES = (TaskKind.RECOVER, TaskKind.CHARGE, TaskKind.EQUALISE, TaskKind.BALANCE)


def stages_of(plan, tag):
    return [task for task in tasks_of(plan, tag) if task.kind in STAGES]


@pytest.mark.parametrize(
    ("one", "station"),
    [
        (battery(1, "flooded", rest_voltage_v=10.5, rested_h=24.0), "1"),
        (battery(1, "LFP", rest_voltage_v=7.5, rested_h=30.0), "1x5A"),
    ],
    ids=["a cell may be down", "suspect lithium"],
)
def test_a_suspect_one_is_charged_in_shifts_only(one, station):
    """Longer than a shift of nine hours: paused overnight, for as many hours in all as by its estimate."""
    result = result_of([one])
    plan = plan_of(result, station, qualified=True)
    assert faults(plan, result) == []
    stages = stages_of(plan, one.tag)
    assert {task.start.time() for task in stages} >= {time(8)}
    assert len({task.start.date() for task in stages}) == 2
    charged = sum((task.end - task.start for task in stages), timedelta()) / timedelta(hours=1)
    (planned,) = plan.batteries
    assert charged == pytest.approx(planned.estimate.hours_high, abs=1 / 60)
    assert "on charge only while somebody is there" in " ".join(planned.remarks)


def test_a_suspect_one_that_fits_a_shift_is_charged_in_one_piece():
    """It waits for a shift that is long enough rather than being paused; a sound one runs on overnight."""
    suspect = battery(1, "flooded", rest_voltage_v=10.5, rested_h=24.0)
    sound = battery(2, "flooded", rest_voltage_v=12.0, rested_h=24.0)
    shifts = ("06:00-22:00",)
    result = result_of([suspect, sound])
    plan = plan_of(result, "1", shifts=shifts, start=MONDAY_MORNING + timedelta(hours=16))
    assert faults(plan, result) == []
    assert len({task.start.date() for task in stages_of(plan, suspect.tag)}) == 1
    over_night = [task for task in plan.tasks if not task.needs_person and task.kind in STAGES]
    assert any(task.start.date() < task.end.date() for task in over_night if task.tag == sound.tag)


def test_the_check_of_these_tests_sees_a_charge_without_anybody():
    one = battery(1, "flooded", rest_voltage_v=10.5, rested_h=24.0)
    result = result_of([one])
    plan = plan_of(result, "1")
    last = stages_of(plan, one.tag)[-1]
    longer = replace(last, end=last.end + timedelta(hours=12))
    spoilt = tuple(longer if task is last else task for task in plan.tasks)
    assert any("unattended" in fault for fault in faults(replace(plan, tasks=spoilt), result))


def test_the_same_batch_gives_the_same_plan():
    result = example("storm_damaged_16")
    told = {"stations": "1x10A,1x20A:lead,1x6A", "shifts": ("06:00-22:00",), "qualified": True}
    assert plan_of(result, **told) == plan_of(result, **told)


def test_silent_lithium_is_read_in_the_marked_place():
    result = result_of([battery(1, "LFP", rest_voltage_v=2.0, bms_reset_tried=False)])
    plan = plan_of(result, qualified=True)
    assert [(task.kind.value, task.place) for task in plan.tasks] == [("read-rest", "marked place")]


def test_the_order_of_rows_changes_nothing():
    result = example("powersports_20")
    before = plan_of(result, "3")
    for seed in range(3):
        swapped = list(result.graded)
        Random(seed).shuffle(swapped)
        assert plan_of(replace(result, graded=tuple(swapped)), "3") == before


def test_a_reading_that_was_taken_is_done():
    """The plan is made anew on Tuesday: two are read once, one twice, the others as before."""
    fresh = [battery(place, "AGM", rest_voltage_v=12.9) for place in range(1, 6)]
    before = plan_of(result_of(fresh))
    assert [tuple(kinds_of(before, one.tag)) for one in fresh] == [CHARGED] * 5
    read = [
        replace(fresh[0], hold_readings=(HoldReading(0.5, 13.3, 20.0), HoldReading(12.2, 13.1, 20.0))),
        *(replace(one, hold_readings=(HoldReading(0.5, 13.3, 20.0),)) for one in fresh[1:3]),
        *fresh[3:],
    ]
    result = result_of(read)
    after = plan_of(result, start=MONDAY_MORNING + timedelta(days=1))
    assert faults(after, result) == []
    assert [one.tag for one in after.held_back] == ["B-001"]
    assert [kinds_of(after, f"B-00{place}") for place in (2, 3)] == [["settle", "read-long"]] * 2
    assert [tuple(kinds_of(after, f"B-00{place}")) for place in (4, 5)] == [CHARGED] * 2
    assert all(
        task.due == after.start + timedelta(hours=11.5) for task in tasks_of(after, "B-002") if task.due
    )


def test_a_hold_is_read_not_early_and_no_later_than_it_must():
    """Off by 10:00 at the latest, or not before the evening: else the long reading waits for the morning."""
    result = result_of([held(1, "AGM", (0.5, 13.3)), held(2, "AGM", (10.0, 13.2))])
    plan = plan_of(result)
    long, soon = (next(task for task in tasks_of(plan, tag) if task.due) for tag in ("B-001", "B-002"))
    assert (soon.start, soon.due) == (plan.start + timedelta(hours=2),) * 2
    assert (long.due, long.start) == (plan.start + timedelta(hours=11.5), plan.start + timedelta(days=1))
    assert (plan.late_readings, plan.latest_reading_h) == (1, 12.5)


def test_nothing_begins_before_the_start_or_the_first_shift():
    result = result_of([battery(1, "AGM", rest_voltage_v=12.9)])
    saturday = datetime(2026, 11, 28, 10)
    assert plan_of(result, start=saturday).start == datetime(2026, 11, 30, 8)
    assert plan_of(result, start=datetime(2026, 11, 25, 10, 17)).start == datetime(2026, 11, 25, 10, 17)


def test_what_the_work_is_worth_stands_beside_it():
    result = result_of([battery(1, "AGM", rest_voltage_v=12.9), battery(2, "AGM", rest_voltage_v=12.0)])
    one, two = plan_of(result, worth={"B-002": "Not worth it.", "B-001": ""}).batteries
    assert one.remarks == ()
    assert two.remarks[-1] == "Not worth it."


def test_the_plan_says_what_it_was_made_from():
    result = result_of([battery(1, "AGM", rest_voltage_v=12.9)])
    plan = plan_of(result, "2x8A:lead", shifts=("06:00-14:00", "14:00-22:00"), days="mon-sat", qualified=True)
    assert (plan.batch, plan.source_name, plan.source_sha256) == (
        result.batch.batch,
        result.source_name,
        result.source_sha256,
    )
    assert (plan.policy_name, plan.policy_sha256, plan.version) == (
        result.policy_name,
        result.policy_sha256,
        result.version,
    )
    assert plan.shifts == ("06:00-14:00", "14:00-22:00")
    assert plan.days == ("mon", "tue", "wed", "thu", "fri", "sat")
    assert [one.name for one in plan.stations] == ["S1", "S2"]
    assert (plan.qualified, plan.start_was_given) == (True, True)
    assert "connects (5 min), disconnects (5 min) and reads (3 min)" in plan.notes[0]
    assert {task.kind for task in plan.tasks} >= {TaskKind.CONNECT, TaskKind.READ_LONG}


def test_work_that_never_fits():
    with pytest.raises(NeverDone):
        plan_of(result_of([battery(1, "AGM", rest_voltage_v=12.9)]), shifts=("08:00-08:03",))


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        ("connect", {"start": datetime(2026, 11, 23, 7, 55), "end": datetime(2026, 11, 23, 8)}),
        ("read-short", {"start": datetime(2026, 11, 24, 8, 34), "end": datetime(2026, 11, 24, 8, 37)}),
        ("read-long", {"kind": TaskKind.READ_REST}),
        ("disconnect", {"start": datetime(2026, 11, 24, 8, 2), "end": datetime(2026, 11, 24, 8, 7)}),
        ("charge", {"end": datetime(2026, 11, 24, 9)}),
    ],
)
def test_the_check_of_these_tests_sees_a_fault(kind, change):
    """Two batteries on one station; the second is connected when the first one is off."""
    batteries = [
        battery(place, "flooded", rest_voltage_v=12.7, delivered_capacity_ah=60.0) for place in (1, 2)
    ]
    result = result_of(batteries)
    plan = plan_of(result, "1")
    assert faults(plan, result) == []
    first = next(task for task in plan.tasks if task.kind.value == kind)
    spoilt = tuple(replace(task, **change) if task is first else task for task in plan.tasks)
    assert faults(replace(plan, tasks=spoilt), result) != []
