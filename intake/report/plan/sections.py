"""The sections of a bench plan: work order with cautions and chart, a sheet a day, what they rest on."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from intake.model.battery import Battery
from intake.model.plan import ChargeEstimate, HeldBack, Plan, PlannedBattery, PlannedTask, Station, TaskKind
from intake.model.result import BatchResult
from intake.report.drawing.blocks import stack
from intake.report.drawing.flow import Block
from intake.report.drawing.list_table import Align, Column, Row, Words
from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import INK
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import LABEL, LEAD, MUTED, STRONG, TEXT
from intake.report.drawing.writer import Fact, Writer
from intake.report.plan.chart import WallChart
from intake.report.plan.content import READINGS, BenchDay, ChangeOver, Occupation, PlanContent
from intake.report.plan.task import CLOCK, TaskText, change_over_text, task_text
from intake.report.plan.words import (
    cautions_for,
    day_in_words,
    gap_in_words,
    lateness_in_words,
    load_plan_words,
    moment_in_words,
    moment_seen_from,
    takes_in_words,
    working_time_in_words,
)
from intake.report.words.actions import next_step_in_few_words
from intake.report.words.battery import chemistry_in_words
from intake.report.words.sources import Sources
from intake.report.words.wording import load_wording

_SHARES_ITS_PAGE = 2
"""A day of so many tasks at most shares its page with the next, or with the one before where it fits."""
_ALMOST_EMPTY = 0.6
"""Share of a page that the end of a day's list leaves empty; the next day then begins below it."""
_SHORT_DAY = 170.0
"""Points that such a day takes at most."""
_BOX, _WRITING, _BESIDE, _FIELD_GAP = 10.0, 16.0, 2.0, 6.0
_FIELDS_WIDTH, _CLOCK_LINE = 126.0, 70.0
_CAUTIONS = "Cautions; local codes and licensed practice come first, a foreign source is not law here."


class Sections:
    """Sets and places the sections of one plan."""

    def __init__(self, writer: Writer, result: BatchResult, content: PlanContent) -> None:
        self._writer = writer
        self._result = result
        self._content = content
        self._plan = content.plan
        self.sources = Sources()

    def work_order(self) -> None:
        """Place page 1: by when what is done, cautions, and the chart of the stations."""
        writer, plan = self._writer, self._plan
        writer.title("Bench plan")
        writer.text(gap_in_words(plan), STRONG)
        writer.text(f"{_counts(plan)} {lateness_in_words(plan)}")
        writer.facts(self._facts(), columns=2)
        cautions = cautions_for(one.chemistry for one in plan.batteries)
        if cautions:
            told = " ".join(one.text + self.sources.note(one.source) for one in cautions)
            writer.paragraph(_CAUTIONS, told)
        WallChart(writer).place(self._content)

    def _facts(self) -> list[Fact]:
        plan, batch = self._plan, self._result.batch
        told = "" if plan.start_was_given else ", no --start given"
        qualified = "only by the qualified person, alone in the marked place"
        return [
            ("Site", one_line(batch.site)),
            ("Received", batch.received.isoformat()),
            ("Plan starts", f"{moment_in_words(plan.start)}{told}"),
            ("Working time", f"{working_time_in_words(plan)}, one person"),
            ("Suspect ones", qualified if plan.qualified else "no station without --qualified"),
        ]

    def days(self) -> None:
        """Place a sheet for each day with a task for the person."""
        flow, few = self._writer.flow, False
        for number, day in enumerate(self._content.days, start=1):
            lines = len(day.tasks) + len(day.by_hand)
            short = number > 1 and lines <= _SHARES_ITS_PAGE and flow.room > _SHORT_DAY
            if not few and not short:
                flow.turn_page()
            before = flow.page_number
            self._day(day, f"Day {number} of {len(self._content.days)}")
            ran_over = flow.page_number > before and flow.room > _ALMOST_EMPTY * flow.full_room
            few = lines <= _SHARES_ITS_PAGE or ran_over

    def _day(self, day: BenchDay, number: str) -> None:
        writer = self._writer
        title = f"Bench sheet, {day_in_words(day.day)}"
        writer.section(title, _lead(day, number, self._content))
        opens = datetime.combine(day.day, time())
        texts = []
        if day.before:
            texts.append(f"On the stations since an earlier day: {_stands(day.before, day, opens)}.")
        if day.after:
            stands = _stands(day.after, day, opens + timedelta(days=1))
            texts.append(f"Stays on a station {_until_next(day, self._content)}: {stands}.")
        if texts:
            writer.flow.keep_with_next(stack([line for text in texts for line in writer.lines(text, TEXT)]))
        columns = (
            Column("Done", 26),
            Column("Time", 32, style=LEAD),
            Column("Tag, battery", 82),
            Column("Task", 212),
            Column("To write down", _FIELDS_WIDTH),
        )
        rows = [(one.start, self._change_over(one)) for one in day.by_hand]
        rows += [(task.start, self._task(task, day)) for task in day.tasks]
        writer.table(columns, [row for _, row in sorted(rows, key=lambda timed: timed[0])], title=title)

    def _task(self, task: PlannedTask, day: BenchDay) -> Row:
        text = task_text(task, self._content, day=day.day)
        graded = self._content.graded[task.tag]
        battery, step = graded.battery, graded.verdict.next_step
        beside = [line for line in text.beside if line != step]
        if task.kind is TaskKind.READ_REST:
            beside.append(f"{_sentence(next_step_in_few_words(graded))}.")
        return (
            _box(),
            f"{task.start:%H:%M}",
            (Words(task.tag, LEAD), *(Words(line, MUTED) for line in _what_and_where(battery, task))),
            (Words(text.title, STRONG), *beside),
            self._fields(text),
        )

    def _change_over(self, one: ChangeOver) -> Row:
        text = change_over_text(one)
        battery = self._content.graded[one.tag].battery
        place = one_line(battery.position or "") or chemistry_in_words(battery.chemistry)
        return (
            _box(),
            f"{one.start:%H:%M}",
            (Words(one.tag, LEAD), Words(place, MUTED)),
            (Words(text.title, STRONG), *text.beside),
            self._fields(text),
        )

    def _fields(self, text: TaskText) -> Block:
        """Return a line to write on for each unit, or one after the word for the time of day."""
        if text.to_write == (CLOCK,):
            return self._written([(CLOCK, True)], _CLOCK_LINE)
        labels = sum(self._writer.setter.width(unit, LABEL) + _BESIDE for unit in text.to_write)
        gaps = _FIELD_GAP * (len(text.to_write) - 1)
        line = (_FIELDS_WIDTH - labels - gaps) / max(len(text.to_write), 1)
        return self._written([(unit, unit == CLOCK) for unit in text.to_write], line)

    def _written(self, fields: Sequence[tuple[str, bool]], length: float) -> Block:
        """Return lines of one length, each with its word before or behind it."""
        marks: list[Mark] = []
        x, foot = 0.0, _WRITING - 3
        for word, before in fields:
            width = self._writer.setter.width(word, LABEL)
            begin = x + width + _BESIDE if before else x
            marks.append(LineMark(begin, foot, begin + length, foot, 0.5, INK))
            marks.append(TextMark(x if before else x + length + _BESIDE, foot - 1, word, LABEL))
            x += length + _BESIDE + width + _FIELD_GAP
        return Block(_WRITING, [(mark, 0.0, 0.0) for mark in marks])

    def how(self) -> None:
        """Place what each kind of task of the plan means, once."""
        words = load_plan_words().tasks
        kinds = dict.fromkeys(task.kind for task in self._plan.tasks)
        if kinds:
            self._writer.section("How each task is done")
            for kind, word in words.items():
                if kind in kinds:
                    self._writer.paragraph(word.name, word.do)

    def held_back(self) -> None:
        """Place a row for each reason why batteries get nothing to do; none: nothing."""
        if not self._plan.held_back:
            return
        by_reason: dict[tuple[str, str], list[HeldBack]] = {}
        for one in self._plan.held_back:
            by_reason.setdefault((one.reason, one.next_step), []).append(one)
        title = f"Nothing to do on the bench ({len(self._plan.held_back)})"
        self._writer.section(title, "None of these gets a station or a reading.")
        columns = (Column("Why, and the next step", 52), Column("Batteries", 48))
        rows = [
            ((Words(reason, STRONG), Words(next_step, MUTED)), "; ".join(map(self._named, some)))
            for (reason, next_step), some in by_reason.items()
        ]
        self._writer.table(columns, rows, title=title)

    def _named(self, one: HeldBack) -> str:
        """Return its tag, with its row where another row has the tag too, and its chemistry."""
        names = {other.battery.row: other.name for other in self._result.graded}
        return f"{names.get(one.row, one.tag)}, {chemistry_in_words(one.chemistry)}"

    def batteries(self) -> None:
        """Place how long each battery is on its station, how that is worked out, and the stations."""
        ones = self._plan.batteries
        if ones:
            title = f"Batteries on the bench ({len(ones)})"
            self._writer.section(title, "How long each is charged at most, and how that is worked out.")
            columns = (
                Column("Tag", 18, style=LEAD),
                Column("What it is, where", 38),
                Column("Charging time, last reading", 78),
            )
            self._writer.table(columns, [self._battery(one) for one in ones], title=title)
        self._stations()
        if self._plan.notes:
            self._writer.section("What this plan takes for granted")
            self._writer.points(self._plan.notes)

    def _battery(self, one: PlannedBattery) -> Row:
        estimate = one.estimate
        told = [f"Last reading {moment_in_words(one.finished)}."]
        if estimate is not None:
            text = f"{_hours_in_words(estimate)}: {estimate.working}"
            sources = ((source, status != "opened") for source, status in estimate.sources)
            told.append(text + self.sources.notes(sources))
        station = f"station {one.station}" if one.station else "no station needed"
        grade = load_wording().grades[one.grade].short.lower()
        return (one.tag, f"{one.chemistry.value}, {grade}, {station}", " ".join(told))

    def _stations(self) -> None:
        columns = (
            Column("Station", 20, style=STRONG),
            Column("takes", 50),
            Column("current (A)", 14, Align.POINT),
            Column("batteries", 14, Align.POINT),
            Column("hours in use", 16, Align.POINT),
        )
        rows = [self._station(one) for one in self._plan.stations]
        self._writer.section("Stations")
        self._writer.table(columns, rows, title="Stations", whole=True)

    def _station(self, station: Station) -> Row:
        stands = self._content.on(station.name)
        hours = sum((one.end - one.start for one in stands), timedelta()) / timedelta(hours=1)
        place = ", in the marked place" if station.apart and self._plan.qualified else ""
        takes = f"{takes_in_words(station)}{place}"
        return (station.name, takes, f"{station.current_a:g}", str(len(stands)), f"{hours:.1f}")


def _sentence(words: str) -> str:
    """Return words with a capital at their head, the others as they are."""
    return words[:1].upper() + words[1:]


def _box() -> Block:
    """Return a box to tick."""
    return Block(_BOX + 2, ((rectangle(0.5, 1.5, _BOX, _BOX, stroke=INK), 0.0, 0.0),))


def _what_and_where(battery: Battery, task: PlannedTask) -> list[str]:
    """Return where a battery stands, else what it is; where it is connected, both."""
    place, chemistry = one_line(battery.position or ""), chemistry_in_words(battery.chemistry)
    if task.kind is TaskKind.CONNECT:
        return [chemistry, place] if place else [chemistry]
    return [place or chemistry]


def _hours_in_words(estimate: ChargeEstimate) -> str:
    low, high = f"{estimate.hours_low:.1f}", f"{estimate.hours_high:.1f}"
    return f"{high} h" if low == high else f"{low} to {high} h"


def _counts(plan: Plan) -> str:
    on_station = sum(one.station is not None for one in plan.batteries)
    return (
        f"{len(plan.batteries) + len(plan.held_back)} batteries: {on_station} go on a station and are read, "
        f"{len(plan.batteries) - on_station} are only read, {len(plan.held_back)} have nothing to do on the "
        "bench."
    )


def _lead(day: BenchDay, number: str, content: PlanContent) -> str:
    readings = sum(task.kind in READINGS for task in day.tasks)
    minutes = sum((task.end - task.start).total_seconds() for task in day.tasks) / 60
    return (
        f"{number}. Shift {working_time_in_words(content.plan)}. {_tasks(len(day.tasks), readings)}, "
        f"{minutes:.0f} min in all.{_by_hand(len(day.by_hand))} Off later, read later. Cautions: page 1."
    )


def _by_hand(number: int) -> str:
    """Say how many lines are only for stations that do not change over by themselves."""
    if not number:
        return ""
    lines = "1 line" if number == 1 else f"{number} lines"
    return f" And {lines} for a station without automatic change-over."


def _tasks(number: int, readings: int) -> str:
    if number == 1:
        return "1 task, a reading" if readings else "1 task"
    which = {0: "none of them a reading", 1: "one of them a reading"}.get(
        readings, f"{readings} of them readings"
    )
    return f"{number} tasks, {which}"


def _until_next(day: BenchDay, content: PlanContent) -> str:
    """Return for how long nobody is at the bench after a day, in words."""
    following = min((one.day for one in content.days if one.day > day.day), default=day.day)
    nights = (following - day.day).days
    if nights <= 1:
        return "overnight"
    friday, weekend = 4, 3
    if day.day.weekday() == friday and nights == weekend:
        return "over the weekend"
    return f"for {nights} nights"


def _stands(ones: Sequence[Occupation], day: BenchDay, moment: datetime) -> str:
    return "; ".join(f"{one.station} {one.tag}, {_until(one, moment, day.day)}" for one in ones)


def _until(one: Occupation, moment: datetime, day: date) -> str:
    goes_on = one.goes_on(moment)
    off = f"off until {moment_seen_from(goes_on, day)}, " if goes_on else ""
    return f"{off}done by {moment_seen_from(one.ready, day)}"
