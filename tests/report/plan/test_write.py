"""The bench plan as a file: read back with other libraries."""

from datetime import date

import pytest

from intake.model.battery import Chemistry
from intake.model.paper import Paper
from intake.model.plan import TaskKind
from intake.report.plan.content import plan_content
from intake.report.plan.words import day_in_words
from intake.report.plan.write import write_plan
from tests.changed import replace
from tests.report.builders import battery, mixed_result, result_of
from tests.report.plan_builders import ESTIMATE, at, mixed_plan, small_plan, small_result, task
from tests.report.read_pdf import flat, fonts, outside, overlapping, smallest_size, texts, words_by_page

BOTH = pytest.mark.parametrize("paper", list(Paper))


def written(folder, plan, result, *, paper=Paper.A4):
    path = folder / "p.pdf"
    write_plan(plan, replace(result, paper=paper), path)
    return path


def pages_of(folder, plan, result):
    return [flat(text) for text in texts(written(folder, plan, result))]


@pytest.fixture(scope="module")
def mixed(tmp_path_factory):
    return {
        paper: written(tmp_path_factory.mktemp(paper.value), mixed_plan(), mixed_result(), paper=paper)
        for paper in Paper
    }


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    return pages_of(tmp_path_factory.mktemp("small"), small_plan(), small_result())


@BOTH
def test_every_page_carries_batch_name_number_and_digests(mixed, paper):
    pages = [flat(text) for text in texts(mixed[paper])]
    for number, page in enumerate(pages, start=1):
        assert "Batch 2026-W47-P03" in page
        assert f"page {number} of {len(pages)}" in page
        assert "0123456789ab" in page
        assert "fedcba987654" in page


@BOTH
def test_nothing_runs_past_the_margin_the_key_of_the_chart_least_of_all(mixed, paper):
    for size, words in words_by_page(mixed[paper]):
        assert size[0] - 42 >= max(word.right for word in words)


def test_all_fonts_are_embedded(mixed):
    assert all(name.endswith("embedded") for name in fonts(mixed[Paper.A4]))


def test_the_first_page_tells_end_bound_and_counts(small):
    assert "This plan finishes Tue 2026-11-24 08:03" in small[0]
    assert "no plan can finish before Mon 2026-11-23 20:03" in small[0]
    assert "5 batteries: 2 go on a station and are read, 1 are only read, 2 have nothing to do" in small[0]
    assert "no --start given" in small[0]
    assert "Wall chart" in small[0]
    assert "S2 lead-acid and LFP" in " ".join(small)


def test_a_start_that_was_given_is_told_alone(tmp_path):
    pages = pages_of(tmp_path, small_plan(start_was_given=True, qualified=True), small_result())

    assert "--start" not in pages[0]
    assert "only by the qualified person, alone in the marked place" in pages[0]
    assert "lead-acid and LFP, in the marked place" in " ".join(pages)


def test_days_stand_in_order_with_their_tasks_in_time_order(small):
    whole = " ".join(small)
    days = [whole.index(f"Bench sheet, {day}") for day in ("Friday 2026-11-20", "Monday", "Tuesday")]
    assert sorted(days) == days
    assert "Bench sheet, Monday 2026-11-23" not in small[1], "more than two tasks: a sheet of its own"
    order = ["08:00 B-001", "08:05 B-003", "12:10 B-003", "12:45 B-003"]
    places = [small[1].index(text) for text in order]
    assert sorted(places) == places


def test_a_last_day_of_one_task_shares_the_page_of_the_day_before(small):
    assert any("Day 2 of 3" in page and "Day 3 of 3" in page for page in small)


def test_two_rows_with_one_tag_that_get_nothing_to_do_are_told_apart_by_their_rows(tmp_path):
    twins = [
        battery(1, tag="Y-17", case="leaking", row_errors=("x",)),
        battery(2, tag="Y-17", row_errors=("x",)),
    ]
    held = [replace(small_plan().held_back[0], tag="Y-17", row=one.row, reason="It is so.") for one in twins]
    result = result_of([*(one.battery for one in small_result().graded), *twins])
    whole = " ".join(pages_of(tmp_path, small_plan(held_back=tuple(held)), result))

    assert f"Y-17 (row {twins[0].row}), AGM; Y-17 (row {twins[1].row}), AGM" in whole


def test_a_day_says_what_stands_on_the_stations_before_and_after(small):
    friday, monday = (page for page in small if "Day 1 of 3" in page or "Day 2 of 3" in page)

    assert "Stays on a station over the weekend: S1 B-001, done by 18:20." in friday
    assert "On the stations since an earlier day: S1 B-001, done by Fri 18:20." in monday


def test_a_day_says_which_station_is_off_overnight_and_when_it_goes_on(tmp_path):
    tasks = []
    for one in small_plan().tasks:
        if (one.kind, one.tag) == (TaskKind.CHARGE, "B-001"):
            tasks += [replace(one, end=at(20, 17)), replace(one, start=at(23, 8), end=at(23, 8, 3))]
        else:
            tasks.append(one)
    pages = pages_of(tmp_path, small_plan(tasks=tuple(tasks)), small_result())
    friday, monday = (page for page in pages if "Day 1 of 3" in page or "Day 2 of 3" in page)

    assert "Stays on a station over the weekend: S1 B-001, off until Mon 08:00, done by Mon 08:03." in friday
    assert "On the stations since an earlier day: S1 B-001, off until 08:00, done by 08:03." in monday


@pytest.mark.parametrize(
    ("first", "off", "told"),
    [(19, 20, "overnight"), (20, 23, "over the weekend"), (20, 24, "for 4 nights"), (21, 23, "for 2 nights")],
)
def test_a_day_says_for_how_long_its_batteries_are_left(tmp_path, first, off, told):
    connect, take_off = (
        replace(one, start=at(day, 8), end=at(day, 8, 5))
        for one, day in zip(
            [
                next(one for one in small_plan().tasks if (one.kind, one.tag) == (kind, "B-003"))
                for kind in (TaskKind.CONNECT, TaskKind.DISCONNECT)
            ],
            (first, off),
            strict=True,
        )
    )
    charge = replace(connect, kind=TaskKind.CHARGE, start=connect.end, needs_person=False)
    pages = pages_of(tmp_path, small_plan(tasks=(connect, charge, take_off)), small_result())
    assert f"Stays on a station {told}: S2 B-003" in " ".join(pages)


def test_a_connecting_names_the_chemistry_beside_the_place(small):
    (friday,) = (page for page in small if "Day 1 of 3" in page)
    assert "B-001 flooded layer 1, place 3 Connect to S1" in friday


def test_a_reading_has_its_time_after_at_as_every_other_line(small):
    (friday,) = (page for page in small if "Day 1 of 3" in page)
    assert "First hold reading, shelf V °C at" in friday


@pytest.mark.parametrize(("low_h", "told"), [(10.21, " 10.2 h:"), (9.5, " 9.5 to 10.2 h:")])
def test_one_length_is_not_told_as_a_span(tmp_path, low_h, told):
    estimate = replace(ESTIMATE, hours_low=low_h, hours_high=10.24)
    batteries = tuple(
        replace(one, estimate=estimate) if one.station else one for one in small_plan().batteries
    )
    whole = " ".join(pages_of(tmp_path, small_plan(batteries=batteries), small_result()))
    assert told in whole
    assert "10.2 to 10.2" not in whole


def test_the_cautions_stand_once_on_the_first_page_and_every_day_names_it(mixed):
    first, *others = (flat(text) for text in texts(mixed[Paper.A4]))

    assert "local codes and licensed practice come first" in first
    assert "Eye protection and gloves on" in first
    assert "Eye protection and gloves on" not in " ".join(others)
    days = len(plan_content(mixed_plan(), mixed_result()).days)
    assert days == " ".join(others).count("Cautions: page 1.")


def test_a_day_of_two_tasks_shares_its_page_with_the_next(tmp_path):
    plan = small_plan()
    friday = plan.tasks[0].start.date()
    few = [task for task in plan.tasks if not task.needs_person or task.start.date() != friday]
    kept = [task for task in plan.tasks if task.needs_person and task.start.date() == friday][:2]
    tasks = tuple(sorted([*few, *kept], key=lambda task: task.start))
    pages = pages_of(tmp_path, replace(plan, tasks=tasks), small_result())

    assert any("Day 1 of 3" in page and "Day 2 of 3" in page for page in pages)


def test_cautions_are_those_of_what_is_on_the_bench(small, tmp_path):
    lead_acid = tuple(one for one in small_plan().batteries if one.chemistry is not Chemistry.LFP)
    tags = {one.tag for one in lead_acid}
    tasks = tuple(task for task in small_plan().tasks if task.tag in tags)
    plan = small_plan(batteries=lead_acid, tasks=tasks)

    assert "BMS" in small[0]
    assert "BMS" not in pages_of(tmp_path, plan, small_result())[0]


def test_every_task_of_the_person_stands_on_its_day(mixed):
    pages = [flat(text) for text in texts(mixed[Paper.A4])]
    for day in plan_content(mixed_plan(), mixed_result()).days:
        sheet = " ".join(page for page in pages if f"Bench sheet, {day_in_words(day.day)}" in page)
        for one in day.tasks:
            assert f"{one.start:%H:%M} {one.tag[:9]}" in sheet


def test_batteries_with_nothing_to_do_stand_together_by_reason_with_the_next_step(tmp_path, small):
    whole = " ".join(small)
    assert "Nothing to do on the bench (2)" in whole
    assert "It is damaged and is never charged. Keep it apart. B-004, AGM" in whole

    held = small_plan().held_back[0]
    plan = small_plan(
        held_back=(held, replace(held, tag="B-005"), replace(held, tag="B-006", next_step="Ask."))
    )
    whole = " ".join(pages_of(tmp_path, plan, small_result()))
    assert "It is damaged and is never charged. Keep it apart. B-004, AGM; B-005, AGM" in whole
    assert "It is damaged and is never charged. Ask. B-006, AGM" in whole


def test_each_battery_on_the_bench_shows_how_its_time_is_reckoned(small):
    whole = " ".join(small)

    assert "9.5 to 10.2 h: 45 Ah × 54 % missing at most" in whole
    assert "[5, 6*]" in whole, "the mark stands only at the one that was not opened"
    for source in (
        "Charge factor: Charge returned over charge taken",
        "Current: 10 to 25 A per 100 Ah is usual",
    ):
        assert 1 == whole.count(source)
    assert "flooded, recondition, station S1" in whole
    assert "AGM, unresolved, no station needed" in whole
    assert "What this plan takes for granted" in whole
    assert "HSE COSHH SR18" in whole


def test_a_plan_with_nothing_to_do_says_so(tmp_path):
    plan = small_plan(tasks=(), batteries=(), notes=(), end=small_plan().start, bound=small_plan().start)
    pages = pages_of(tmp_path, plan, small_result())

    assert "Nothing is planned." in pages[0]
    assert "Wall chart" not in " ".join(pages)
    assert "Bench sheet" not in " ".join(pages)
    assert "It is damaged and is never charged." in " ".join(pages)


def test_a_plan_without_anything_held_back_leaves_the_list_out(tmp_path):
    assert "Nothing to do on the bench" not in " ".join(
        pages_of(tmp_path, small_plan(held_back=()), small_result())
    )


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    first = written(tmp_path, small_plan(), small_result()).read_bytes()

    assert first == written(tmp_path, small_plan(), small_result()).read_bytes()


def test_an_overdue_meter_is_told_on_every_page(tmp_path):
    result = small_result()
    batch = replace(result.batch, calibration_due=date(2026, 1, 1))
    pages = pages_of(tmp_path, small_plan(), replace(result, batch=batch))

    assert all("Meter calibration was due 2026-01-01" in page for page in pages)


def test_a_day_counts_its_tasks_in_plain_words(small):
    (last,) = (page for page in small if "Day 3 of 3" in page)
    (second,) = (page for page in small if "Day 2 of 3" in page)
    (first,) = (page for page in small if "Day 1 of 3" in page)

    assert "4 tasks, one of them a reading, 18 min in all." in first
    assert "4 tasks, 3 of them readings, 14 min in all." in second
    assert "1 task, a reading, 3 min in all." in last


@BOTH
def test_no_words_overlap_or_reach_into_the_margin(mixed, paper):
    for size, words in words_by_page(mixed[paper]):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_nothing_is_set_in_less_than_eight_points(mixed):
    assert 8 <= smallest_size(mixed[Paper.A4])


def test_a_change_over_that_waits_for_the_shift_is_a_line_with_its_time_window(tmp_path):
    tasks = tuple(
        replace(one, end=at(20, 18))
        if (one.kind, one.tag) == (TaskKind.RECOVER, "B-001")
        else replace(one, start=at(20, 18), end=at(20, 23))
        if (one.kind, one.tag) == (TaskKind.CHARGE, "B-001")
        else one
        for one in small_plan().tasks
    )
    whole = " ".join(pages_of(tmp_path, small_plan(tasks=tasks), small_result()))

    assert "Set S1 to charge if it has not gone on" in whole
    assert "Between 08:00 and 17:00; done by 13:00 at the latest. Take it off only then" in whole
    assert whole.index("Set S1 to charge") < whole.index("Take off S1")
    assert 1 == whole.count("And 1 line for a station without automatic change-over.")


def test_the_end_of_a_long_day_does_not_leave_a_page_to_itself(tmp_path):
    """Sixteen readings fill a page and spill a few lines over: the next day begins below them."""
    plan = small_plan()
    reading = next(one for one in plan.tasks if one.kind is TaskKind.READ_SHORT)
    for number in range(14, 40):
        many = [
            replace(reading, start=at(20, 13, minute), end=at(20, 13, minute + 1), due=at(20, 13, minute))
            for minute in range(number)
        ]
        tasks = tuple(sorted([*plan.tasks, *many], key=lambda one: one.start))
        pages = pages_of(tmp_path, replace(plan, tasks=tasks), small_result())
        spilled = [page for page in pages if "Friday 2026-11-20, continued" in page]
        if spilled and spilled[0].count("First hold reading") <= 5:
            assert "Bench sheet, Monday 2026-11-23" in spilled[0]
            return
    raise AssertionError("no day spilled over")


def test_a_rest_reading_says_what_comes_with_it(tmp_path):
    result = result_of([battery(1, rest_voltage_v=-11.9, terminals="corroded")])
    (one,) = small_plan().batteries[1:2]
    plan = small_plan(
        tasks=(task(TaskKind.READ_REST, "B-001", "shelf", at(20, 8), at(20, 8, 3)),),
        batteries=(replace(one, tag="B-001", remarks=(result.graded[0].verdict.next_step,)),),
    )
    whole = " ".join(pages_of(tmp_path, plan, result))

    assert "Rest reading, shelf Clean the terminals first. Swap the meter's leads, read again." in whole
