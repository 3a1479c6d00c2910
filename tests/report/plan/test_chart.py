"""The wall chart: lanes, bars, ticks, and where a page ends."""

from datetime import timedelta
from itertools import pairwise

import pytest

from intake.model.paper import Paper
from intake.model.plan import TaskKind
from intake.report.drawing.flow import Flow
from intake.report.drawing.marks import LineMark, ShapeMark, TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.palette import INK, PALE
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.plan.bar import PATTERNS, STRIP, frame, pattern
from intake.report.plan.chart import WallChart
from intake.report.plan.content import STAGES, plan_content
from tests.changed import replace
from tests.report.builders import mixed_result
from tests.report.plan_builders import S1, at, mixed_plan, small_plan, small_result, small_tasks, task
from tests.report.read_blocks import told

SHEET = sheet_of(Paper.A4)
TICKS = (TaskKind.CONNECT, TaskKind.DISCONNECT, TaskKind.READ_SHORT, TaskKind.READ_LONG, TaskKind.READ_REST)


def charted(plan, result=None):
    flow = Flow(SHEET)
    WallChart(Writer(flow, Typesetter())).place(plan_content(plan, result or small_result()))
    return flow


def marks_of(flow, kind):
    return [(mark, dx, dy) for page in flow.pages for mark, dx, dy in page.placed if isinstance(mark, kind)]


def one_battery(tag, start, end, station="S1"):
    """Return the tasks of a charge between two moments."""
    minutes = timedelta(minutes=5)
    return (
        task(TaskKind.CONNECT, tag, station, start, start + minutes),
        task(TaskKind.CHARGE, tag, station, start + minutes, end - minutes, needs_person=False),
        task(TaskKind.DISCONNECT, tag, station, end - minutes, end),
    )


class TestPattern:
    @pytest.mark.parametrize("kind", list(PATTERNS))
    def test_a_pattern_stays_in_its_strip(self, kind):
        for mark in pattern(kind, left=10.0, right=31.5, top=2.0):
            points = mark.points if isinstance(mark, ShapeMark) else ((mark.x1, mark.y1), (mark.x2, mark.y2))
            assert all(10.0 <= x <= 31.5 for x, _ in points)
            assert all(2.0 - 1e-9 <= y <= 2.0 + STRIP + 1e-9 for _, y in points)

    def test_no_two_patterns_are_the_same(self):
        drawn = [tuple(map(repr, pattern(kind, left=0.0, right=40.0, top=0.0))) for kind in PATTERNS]

        assert len(PATTERNS) == len(set(drawn)) == 5

    def test_every_stage_on_a_station_has_one(self):
        assert set(STAGES) == set(PATTERNS)

    @pytest.mark.parametrize(
        ("left", "right", "sides"), [(False, False, 2), (True, False, 1), (True, True, 0)]
    )
    def test_a_side_where_the_bar_goes_on_stays_open(self, left, right, sides):
        marks = frame(left=0, right=9, top=0, bottom=20, open_left=left, open_right=right)

        assert sides == sum(isinstance(mark, LineMark) and mark.x1 == mark.x2 for mark in marks)


class TestChart:
    def test_each_band_names_its_two_days_its_stations_and_the_persons_rows(self):
        texts = told(charted(small_plan()))

        days = [text for text in texts if "2026-11" in text]
        assert ["Fri", "Sat", "Sun", "Mon", "Tue", "Wed"] == [day[:3] for day in days]
        assert 2 == texts.count("S1") == texts.count("S2")
        assert 3 == texts.count("connect") == texts.count("take off") == texts.count("read")

    def test_a_stretch_without_anything_is_left_out(self):
        tasks = (*one_battery("B-001", at(20, 8), at(20, 12)), *one_battery("B-003", at(24, 8), at(24, 12)))

        days = [text for text in told(charted(small_plan(tasks=tasks))) if "2026-11" in text]
        assert ["20", "21", "24", "25"] == [day[-2:] for day in days]

    def test_a_bar_that_goes_on_has_its_tag_in_both_bands(self):
        texts = told(charted(small_plan()))

        assert (2, 1) == (texts.count("B-001"), texts.count("B-003"))

    def test_a_short_end_of_a_bar_carries_no_tag(self):
        tasks = one_battery("B-001", at(21, 12), at(22, 0, 30))

        assert 1 == told(charted(small_plan(tasks=tasks))).count("B-001")

    def test_a_bar_halved_by_midnight_carries_its_tag(self):
        tasks = one_battery("B-001", at(21, 23, 30), at(22, 0, 30))

        assert 2 == "".join(told(charted(small_plan(tasks=tasks)))).count("B-001")

    def test_each_task_of_the_person_has_a_tick(self):
        ticks = [
            mark
            for mark, _, _ in marks_of(charted(mixed_plan(), mixed_result()), LineMark)
            if mark.x1 == mark.x2 and (mark.y1, mark.width, mark.colour) == (1.0, 0.7, INK)
        ]

        assert sum(one.kind in TICKS for one in mixed_plan().tasks) == len(ticks)

    def test_tags_of_one_lane_do_not_run_into_each_other(self):
        setter = Typesetter()
        tags = {one.tag for one in mixed_plan().batteries}
        lanes = {}
        for mark, dx, dy in marks_of(charted(mixed_plan(), mixed_result()), TextMark):
            if mark.text in tags:
                lanes.setdefault(round(mark.y + dy, 3), []).append((mark.x + dx, mark))
        assert len(tags) / 2 < sum(map(len, lanes.values()))
        for ones in lanes.values():
            for (x, mark), (later, _) in pairwise(sorted(ones, key=lambda one: one[0])):
                assert x + setter.width(mark.text, mark.style) < later

    def test_shifts_are_a_pale_ground(self):
        grounds = [mark for mark, _, _ in marks_of(charted(small_plan()), ShapeMark) if mark.fill == PALE]

        widths = {
            round(max(x for x, _ in mark.points) - min(x for x, _ in mark.points), 3) for mark in grounds
        }
        assert 1 == len(widths - {20.0})  # beside the sample in the key

    def test_a_long_tag_makes_its_lane_higher_and_is_whole(self):
        tag = "PALLET-7.ROW_12.POSITION_03.A-01"
        plan = small_plan(
            batteries=(replace(small_plan().batteries[0], tag=tag),),
            tasks=tuple(replace(one, tag=tag) for one in small_tasks() if one.tag == "B-001"),
        )
        result = small_result()
        battery = replace(result.graded[0].battery, tag=tag)
        result = replace(result, graded=(replace(result.graded[0], battery=battery),))

        assert 2 == "".join(told(charted(plan, result))).count(tag)

    def test_many_stations_go_on_over_pages_and_every_page_names_the_days(self):
        stations = tuple(replace(S1, name=f"S{number}") for number in range(1, 101))
        plan = small_plan(
            stations=stations, tasks=one_battery("B-001", at(20, 8), at(20, 18)), end=at(20, 18)
        )

        flow = charted(plan)
        texts = [
            [mark.text for mark, _, _ in page.placed if isinstance(mark, TextMark)] for page in flow.pages
        ]
        assert 2 < len(texts)
        assert all("Friday 2026-11-20" in page for page in texts[1:])
        assert [one.name for one in stations] == [
            text for page in texts for text in page if text.startswith("S") and text[1:].isdigit()
        ]

    def test_the_marked_place_is_named_where_suspect_ones_are_worked_on(self):
        assert "marked place" in told(charted(small_plan(qualified=True)))
        assert "marked place" not in told(charted(small_plan()))

    def test_the_key_names_every_pattern(self):
        named = {"recover", "charge", "equalise", "balance", "off: done, or paused", "shift"}

        assert named <= set(told(charted(small_plan())))
