"""The wall chart: stations as lanes, time to the right, two days to a band, the person's tasks as ticks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from intake.model.plan import Station, TaskKind
from intake.report.drawing.blocks import stack
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.page import Placed
from intake.report.drawing.palette import GREY, INK, PALE, RULE, SLATE
from intake.report.drawing.styles import HEAD, LABEL, PLOT, PLOT_TAG
from intake.report.drawing.writer import Writer
from intake.report.plan.bar import PATTERNS, STRIP, frame, pattern
from intake.report.plan.content import READINGS, Occupation, PlanContent, shifts_between
from intake.report.plan.words import day_in_words, load_plan_words

_TITLE = "Wall chart"
_TOLD = (
    "One lane a station, two days a band, hours of the local clock; below, a tick for each task of the "
    "person."
)
_DAYS_IN_BAND = 2
_HOURS = range(0, 24, 6)
_DAY_STYLE, _HOUR_STYLE, _LANE_STYLE, _SMALL, _TAG = HEAD, LABEL, PLOT_TAG, LABEL, PLOT
_LANE_GAP, _PADDING, _TICK = 3.0, 1.5, 8.0
_LEAST_NAME, _LARGEST_NAME = 30.0, 90.0
_BELOW = 4.0
_LEAST_LABEL = 14.0
_CLEAR = 0.5
"""Points that the ground of a lane leaves free, for the line above it."""
_KEY = PLOT
_SAMPLE, _KEY_GAP, _KEY_LINE = 20.0, 9.0, 12.0
_PERSON = (
    ("connect", (TaskKind.CONNECT,)),
    ("take off", (TaskKind.DISCONNECT,)),
    ("read", READINGS),
)


@dataclass(frozen=True, slots=True)
class _Lane:
    name: str
    told: str
    apart: bool
    bars: tuple[Occupation, ...]


@dataclass(frozen=True, slots=True)
class _Window:
    """The time a band shows and where it stands."""

    start: datetime
    end: datetime
    left: float
    right: float

    def x(self, moment: datetime) -> float:
        share = (moment - self.start) / (self.end - self.start)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


class WallChart:
    """Sets and places the chart."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer
        self._setter = writer.setter
        self._width = writer.width

    def _key(self) -> Block:
        """Return what the patterns and ticks mean, in as many lines as the width asks for."""
        words = load_plan_words().tasks
        entries: list[tuple[list[Mark], str]] = [
            (pattern(kind, left=0, right=_SAMPLE, top=2.0), words[kind].name.lower()) for kind in PATTERNS
        ]
        entries.append(([rectangle(0, 2.0, _SAMPLE, STRIP, stroke=INK)], "off: done, or paused"))
        entries.append(([rectangle(0, 2.0, _SAMPLE, STRIP, fill=PALE, stroke=RULE)], "shift"))
        placed: list[Placed] = []
        x = y = 0.0
        for marks, text in entries:
            word = TextMark(_SAMPLE + 4, 7.5, text, _KEY)
            width = _SAMPLE + 4 + self._setter.width(text, _KEY)
            if x + width > self._width:
                x, y = 0.0, y + _KEY_LINE
            placed += [(mark, x, y) for mark in (*marks, word)]
            x += width + _KEY_GAP
        return Block(y + _KEY_LINE, placed)

    def place(self, content: PlanContent) -> None:
        """Place title, key and bands; two days in which nothing happens are left out."""
        if not content.days:
            return
        flow = self._writer.flow
        self._writer.section(_TITLE, _TOLD)
        flow.keep_with_next(stack([self._key(), Block(4, ())]))
        with self._writer.continued(_TITLE):
            self._place_bands(flow, content)

    def _place_bands(self, flow: Flow, content: PlanContent) -> None:
        left = min(max(_LEAST_NAME, *self._name_widths(content)) + 6, _LARGEST_NAME)
        for start, end in _bands(content):
            window = _Window(start, end, left, self._width)
            lanes = _lanes(content, start, end)
            if not lanes and not _person_tasks(content, start, end):
                continue
            self._place_band(flow, content, window, lanes)

    def _name_widths(self, content: PlanContent) -> Iterator[float]:
        for one in content.plan.stations:
            current = self._setter.width(_current(one), _SMALL)
            yield self._setter.width(one.name, _LANE_STYLE) + 4 + current
            yield self._setter.width("marked place", _SMALL) if content.plan.qualified else 0.0

    def _place_band(self, flow: Flow, content: PlanContent, window: _Window, lanes: Sequence[_Lane]) -> None:
        """Place a band, its lanes divided where a page does not hold them all."""
        head, person = self._head(window), self._person(content, window)
        part: list[Block] = []
        for lane in lanes:
            block = self._lane(content, window, lane)
            used = sum(one.height for one in part) + head.height + person.height + _BELOW
            if part and used + block.height > flow.full_room:
                flow.place(stack([head, *part]))
                part = []
            part.append(block)
        flow.place(stack([head, *part, person, Block(_BELOW, ())]))

    def _head(self, window: _Window) -> Block:
        marks: list[Mark] = []
        day = window.start
        while day < window.end:
            x = window.x(day)
            marks.append(TextMark(x + 2, 8, day_in_words(day.date()), _DAY_STYLE))
            for hour in _HOURS:
                at = window.x(day + timedelta(hours=hour))
                text = f"{hour:02}"
                shift = 0.0 if hour == 0 else self._setter.width(text, _HOUR_STYLE) / 2
                marks.append(TextMark(at - shift + (2 if hour == 0 else 0), 17, text, _HOUR_STYLE))
            day += timedelta(days=1)
        marks.append(LineMark(window.left, 19, window.right, 19, 0.6, SLATE))
        return Block(19.0, [(mark, 0.0, 0.0) for mark in marks])

    def _lane(self, content: PlanContent, window: _Window, lane: _Lane) -> Block:
        """Return one station's lane, as high as its longest wrapped tag needs."""
        labels = [self._label(window, bar) for bar in lane.bars]
        lines = max((len(label) for label in labels), default=1)
        inside = max(lines * _TAG.leading + STRIP + 2 * _PADDING, 2 * _LANE_STYLE.leading)
        height = inside + _LANE_GAP
        marks: list[Mark] = list(_background(content, window, height))
        foot = _LANE_GAP / 2 + _LANE_STYLE.baseline
        marks.append(TextMark(0, foot, lane.name, _LANE_STYLE))
        marks.append(TextMark(self._setter.width(lane.name, _LANE_STYLE) + 4, foot, lane.told, _SMALL))
        if lane.apart:
            marks.append(TextMark(0, foot + _SMALL.leading, "marked place", _SMALL))
        for bar, label in zip(lane.bars, labels, strict=True):
            marks += self._bar(window, bar, label, top=_LANE_GAP / 2, bottom=_LANE_GAP / 2 + inside)
        marks.append(LineMark(0, height, window.right, height, 0.4, RULE))
        return Block(height, [(mark, 0.0, 0.0) for mark in marks])

    def _label(self, window: _Window, bar: Occupation) -> list[str]:
        """Return the wrapped tag; none on a short end of a bar whose longer part has it in another band."""
        room = window.x(bar.end) - window.x(bar.start) - 3
        here = min(bar.end, window.end) - max(bar.start, window.start)
        if room < _LEAST_LABEL and 2 * here < bar.end - bar.start:
            return []
        widest = max(self._setter.width(sign, _TAG) for sign in self._setter.printable(bar.tag))
        return self._setter.wrap(bar.tag, _TAG, max(room, widest))

    def _bar(
        self, window: _Window, bar: Occupation, label: Sequence[str], *, top: float, bottom: float
    ) -> Iterator[Mark]:
        left, right = window.x(bar.start), window.x(bar.end)
        yield from frame(
            left=left,
            right=right,
            top=top,
            bottom=bottom,
            open_left=bar.start < window.start,
            open_right=bar.end > window.end,
        )
        for number, text in enumerate(label):
            yield TextMark(left + 1.5, top + _PADDING + _TAG.baseline + number * _TAG.leading, text, _TAG)
        for stage in bar.stages:
            if stage.end > window.start and stage.start < window.end:
                yield from pattern(
                    stage.kind, left=window.x(stage.start), right=window.x(stage.end), top=bottom - STRIP
                )

    def _person(self, content: PlanContent, window: _Window) -> Block:
        """Return the ticks of the one person's tasks, a row for each kind."""
        rows = []
        for name, kinds in _PERSON:
            marks: list[Mark] = list(_background(content, window, _TICK + 1))
            marks.append(TextMark(0, _TICK - 1, name, _SMALL))
            for task in content.plan.tasks:
                if task.kind in kinds and window.start <= task.start < window.end:
                    x = window.x(task.start)
                    marks.append(LineMark(x, 1.0, x, _TICK, 0.7, INK))
            marks.append(LineMark(0, _TICK + 1, window.right, _TICK + 1, 0.3, RULE))
            rows.append(Block(_TICK + 1, [(mark, 0.0, 0.0) for mark in marks]))
        return stack(rows)


def _bands(content: PlanContent) -> Iterator[tuple[datetime, datetime]]:
    start = datetime.combine(content.plan.start.date(), time())
    while start < content.plan.end:
        yield start, start + timedelta(days=_DAYS_IN_BAND)
        start += timedelta(days=_DAYS_IN_BAND)


def _lanes(content: PlanContent, start: datetime, end: datetime) -> list[_Lane]:
    lanes = []
    for station in content.plan.stations:
        bars = tuple(one for one in content.on(station.name) if one.start < end and one.end > start)
        apart = station.apart and content.plan.qualified
        lanes.append(_Lane(station.name, _current(station), apart, bars))
    return lanes if any(lane.bars for lane in lanes) else []


def _current(station: Station) -> str:
    return f"{station.current_a:g} A"


def _person_tasks(content: PlanContent, start: datetime, end: datetime) -> bool:
    return any(one.needs_person and start <= one.start < end for one in content.plan.tasks)


def _background(content: PlanContent, window: _Window, height: float) -> Iterator[Mark]:
    """Yield the shifts as a pale ground, a line at each hour that is named, a stronger one at midnight."""
    for opens, closes in shifts_between(content.plan, window.start, window.end):
        x = window.x(opens)
        yield rectangle(x, _CLEAR, window.x(closes) - x, height - _CLEAR, fill=PALE)
    day = window.start
    while day <= window.end:
        yield LineMark(window.x(day), 0, window.x(day), height, 0.7, GREY)
        day += timedelta(days=1)
