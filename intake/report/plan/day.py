"""The bench sheet of one day: what is on the stations, and the person's tasks to tick off."""

from collections.abc import Sequence

from intake.model.plan import PlannedTask, TaskKind
from intake.report.drawing.blocks import Band, RowLook, line_of, place_row, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import CONTINUED, SMALL, TEXT, Clauses
from intake.report.drawing.kept_together import with_units_kept
from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import INK, SLATE
from intake.report.drawing.typesetter import Style
from intake.report.plan.content import READINGS, BenchDay, Occupation, PlanContent
from intake.report.plan.task import CLOCK, TaskText, task_text
from intake.report.plan.words import (
    cautions_for,
    day_in_words,
    load_plan_words,
    moment_seen_from,
    working_time_in_words,
)

_TITLE = Style(16, Face.BOLD, SLATE)
_HEAD = Style(7.5, Face.BOLD, SLATE)
_TIME = Style(10, Face.BOLD)
_TAG = Style(9.5, Face.BOLD)
_TASK = Style(9, Face.BOLD)
_NOTE = Style(7.5)
_CAUTION = Style(7.5)
_LOOK = RowLook(above=4, below=4, rule_width=0.4)
_BOX = 10.0
_TIME_X, _TAG_X, _TASK_X = 27.0, 66.0, 178.0
_FIELDS_WIDTH, _FIELD_GAP, _BESIDE = 168.0, 6.0, 2.0
_CLOCK_LINE = 84.0
_WRITING = 20.0


class DaySheets:
    """Sets and places the bench sheets, each day on pages of its own."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter = clauses.setter
        self._width = clauses.width
        self._fields_x = clauses.width - _FIELDS_WIDTH

    def place(self, flow: Flow, content: PlanContent) -> None:
        """Place every day with a task for the person."""
        for number, day in enumerate(content.days, start=1):
            flow.turn_page()
            self._place_day(flow, content, day, f"Day {number} of {len(content.days)}")

    def _place_day(self, flow: Flow, content: PlanContent, day: BenchDay, number: str) -> None:
        name = day_in_words(day.day)
        title = stack(
            [
                *text_lines(self._setter, f"Bench sheet, {name}", _TITLE, self._width),
                Block(2, ()),
                *self._clauses.lines(_lead(day, number, content), TEXT),
            ]
        )
        flow.place(Block(title.height, title.placed, outline=(f"Bench sheet, {name}", 0)))
        flow.space(5)
        cautions = self._cautions(content, day)
        flow.place(cautions)
        flow.space(4)
        flow.place(self._how(day))
        if day.before:
            flow.space(3)
            text = f"On the stations since an earlier day: {_stands(day.before, day)}."
            flow.place(stack(self._clauses.lines(text, _NOTE)))
        flow.space(6)
        flow.keep_with_next(self._heads())
        continued = self._clauses.lines(f"Bench sheet, {name}, continued", CONTINUED)
        with flow.repeating(stack([*continued, Block(3, ()), cautions, Block(5, ()), self._heads()])):
            for task in day.tasks:
                place_row(flow, [self._task(task, content, day)], look=_LOOK)
        if day.after:
            flow.space(5)
            text = f"Stays on a station over night: {_stands(day.after, day)}."
            flow.place(stack(self._clauses.lines(text, _NOTE)))

    def _cautions(self, content: PlanContent, day: BenchDay) -> Block:
        """Return the cautions for what is worked on that day, in a box."""
        tags = {task.tag for task in day.tasks} | {one.tag for one in (*day.before, *day.after)}
        texts = [one.text for one in cautions_for(content.planned[tag].chemistry for tag in tags)]
        inside = stack(
            [
                *text_lines(
                    self._setter,
                    "Cautions; local codes and licensed practice come first",
                    _HEAD,
                    self._width - 12,
                ),
                *text_lines(self._setter, " ".join(texts), _CAUTION, self._width - 12),
            ],
            x=6,
        )
        height = inside.height + 8
        box = rectangle(0, 0, self._width, height, stroke=SLATE)
        return Block(height, [(box, 0.0, 0.0), *((mark, dx, dy + 4) for mark, dx, dy in inside.placed)])

    def _how(self, day: BenchDay) -> Block:
        """Return what each kind of task of the day means, once."""
        words = load_plan_words().tasks
        kinds = {task.kind for task in day.tasks}
        lines = [
            line
            for kind in TaskKind
            if kind in kinds
            for line in text_lines(self._setter, f"{words[kind].name}: {words[kind].do}", _NOTE, self._width)
        ]
        return stack(lines)

    def _heads(self) -> Block:
        heads = line_of(
            _HEAD,
            (0.0, "Done"),
            (_TIME_X, "Time"),
            (_TAG_X, "Tag, battery"),
            (_TASK_X, "Task"),
            (self._fields_x, "To write down"),
        )
        line = LineMark(0, 2, self._width, 2, 0.9, SLATE)
        return stack([heads, Block(3, ((line, 0.0, 0.0),))])

    def _task(self, task: PlannedTask, content: PlanContent, day: BenchDay) -> Band:
        text = task_text(task, content, day=day.day)
        box = Block(_BOX + 2, ((rectangle(0.5, 1.5, _BOX, _BOX, stroke=INK), 0.0, 0.0),))
        time = [line_of(_TIME, (0.0, f"{task.start:%H:%M}"))]
        tag = text_lines(self._setter, task.tag, _TAG, _TASK_X - _TAG_X - 8)
        tag += text_lines(self._setter, text.battery, SMALL, _TASK_X - _TAG_X - 8)
        room = self._fields_x - _TASK_X - 10
        what = text_lines(self._setter, text.title, _TASK, room)
        for line in text.beside:
            what += text_lines(self._setter, with_units_kept(line), _NOTE, room)
        return [
            (0.0, [box]),
            (_TIME_X, time),
            (_TAG_X, tag),
            (_TASK_X, what),
            (self._fields_x, [self._fields(text)]),
        ]

    def _fields(self, text: TaskText) -> Block:
        """Return a line to write on for each unit, or one after the word for the time of day."""
        if text.to_write == (CLOCK,):
            return self._written([(CLOCK, True)], _CLOCK_LINE)
        labels = sum(self._setter.width(unit, _NOTE) + _BESIDE for unit in text.to_write)
        gaps = _FIELD_GAP * (len(text.to_write) - 1)
        line = (_FIELDS_WIDTH - labels - gaps) / max(len(text.to_write), 1)
        return self._written([(unit, False) for unit in text.to_write], line)

    def _written(self, fields: Sequence[tuple[str, bool]], length: float) -> Block:
        """Return lines of one length, each with its word before or behind it."""
        marks: list[Mark] = []
        x, foot = 0.0, _WRITING - 4
        for word, before in fields:
            width = self._setter.width(word, _NOTE)
            begin = x + width + _BESIDE if before else x
            marks.append(LineMark(begin, foot, begin + length, foot, 0.5, INK))
            marks.append(TextMark(x if before else x + length + _BESIDE, foot - 1, word, _NOTE))
            x += length + _BESIDE + width + _FIELD_GAP
        return Block(_WRITING, [(mark, 0.0, 0.0) for mark in marks])


def _lead(day: BenchDay, number: str, content: PlanContent) -> str:
    readings = sum(task.kind in READINGS for task in day.tasks)
    minutes = sum((task.end - task.start).total_seconds() for task in day.tasks) / 60
    return (
        f"{number}. Shift {working_time_in_words(content.plan)}. {_tasks(len(day.tasks), readings)}, "
        f"{minutes:.0f} min in all."
    )


def _tasks(number: int, readings: int) -> str:
    if number == 1:
        return "1 task for one person, a reading" if readings else "1 task for one person"
    which = {0: "none of them a reading", 1: "one of them a reading"}.get(
        readings, f"{readings} of them readings"
    )
    return f"{number} tasks for one person, {which}"


def _stands(ones: Sequence[Occupation], day: BenchDay) -> str:
    return "; ".join(
        f"{one.station} {one.tag}, done by {moment_seen_from(one.ready, day.day)}" for one in ones
    )
