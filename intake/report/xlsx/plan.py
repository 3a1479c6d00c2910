"""``plan.xlsx``: the bench plan to tick off on a screen or on paper, one row a task in time order."""

from collections.abc import Sequence
from datetime import datetime, time
from pathlib import Path

from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from intake.model.plan import HeldBack, Plan, PlannedBattery, PlannedTask
from intake.model.result import BatchResult
from intake.report.drawing.plain_text import one_line
from intake.report.plan.content import PlanContent, plan_content
from intake.report.plan.task import task_text
from intake.report.plan.words import (
    cautions_for,
    gap_in_words,
    lateness_in_words,
    load_plan_words,
    moment_in_words,
    moment_seen_from,
    takes_in_words,
    working_time_in_words,
)
from intake.report.words.batch_facts import Fact, provenance_facts
from intake.report.words.rounding import PERCENT_DECIMALS
from intake.report.xlsx.book import (
    CellValue,
    Formats,
    ListColumn,
    formats_of,
    lines_in_cell,
    set_up_print,
    write_cell,
    write_list,
)
from intake.report.xlsx.new_book import new_book

TICK, DONE = "Done", "yes"
_FACT_WIDTHS = (30, 88)
_LINE_PT = 13.5


def write_plan_workbook(plan: Plan, result: BatchResult, path: Path) -> None:
    """Write the workbook of a plan: the same bytes for the same plan, whatever the day.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    with new_book(path) as book:
        _fill(book, plan, result)


def _fill(book: Workbook, plan: Plan, result: BatchResult) -> None:
    book.set_properties(
        {
            "title": f"Bench plan of batch {plan.batch}",
            "subject": "Charging stations and readings in time order",
            "author": "intake",
            "comments": f"intake {plan.version}",
            "created": datetime.combine(result.batch.received, time()),
        }
    )
    looks = formats_of(book)
    sorted_plan = plan_content(plan, result)
    tasks, batteries, held_back, facts = (
        book.add_worksheet(name) for name in ("Tasks", "Batteries", "Nothing to do", "Plan")
    )
    write_list(tasks, _task_columns(sorted_plan, looks), plan.tasks, looks)
    if plan.tasks:
        tasks.data_validation(1, 0, len(plan.tasks), 0, {"validate": "list", "source": [DONE]})
    write_list(batteries, _battery_columns(looks), plan.batteries, looks)
    write_list(held_back, _held_back_columns(looks), plan.held_back, looks)
    _write_facts(facts, _facts(plan, result), looks)
    for sheet in (tasks, batteries, held_back):
        set_up_print(sheet, paper=result.paper, batch=plan.batch, landscape=True, repeat_header=True)
    set_up_print(facts, paper=result.paper, batch=plan.batch, landscape=False, repeat_header=False)


def _task_columns(content: PlanContent, looks: Formats) -> tuple[ListColumn[PlannedTask], ...]:
    text, strong = looks.text, looks.strong
    words = load_plan_words().tasks

    def told(task: PlannedTask) -> CellValue:
        return "\n".join((*task_text(task, content, day=task.start.date()).beside, words[task.kind].do))

    return (
        ListColumn(TICK, 5.5, text, _left_blank),
        ListColumn("Day", 10.5, text, lambda one: one.start.date().isoformat()),
        ListColumn("From", 6, strong, lambda one: f"{one.start:%H:%M}"),
        ListColumn("To", 9.5, text, lambda one: moment_seen_from(one.end, one.start.date())),
        ListColumn("Tag", 12, strong, lambda one: one.tag),
        ListColumn("Task", 13, strong, lambda one: words[one.kind].name),
        ListColumn("Place", 8, text, lambda one: one.place),
        ListColumn("By", 8, text, lambda one: "person" if one.needs_person else "by itself"),
        ListColumn("What to do", 52, text, told),
        ListColumn("Due from", 9.5, text, _due),
        ListColumn("Really done at", 7.5, text, _left_blank),
        ListColumn("Voltage (V)", 8, looks.volts, _left_blank, figure=True),
        ListColumn("Hours after, or rested (h)", 8, looks.percent, _left_blank, figure=True),
        ListColumn("Temperature (°C)", 12, looks.percent, _left_blank, figure=True),
        ListColumn("Battery", 20, text, lambda one: task_text(one, content, day=one.start.date()).battery),
    )


def _left_blank(_: PlannedTask) -> CellValue:
    """Leave room for what the person writes."""
    return None


def _due(task: PlannedTask) -> CellValue:
    return None if task.due is None else moment_seen_from(task.due, task.start.date())


def _battery_columns(looks: Formats) -> tuple[ListColumn[PlannedBattery], ...]:
    text, hours = looks.text, looks.percent

    def figure(one: PlannedBattery, name: str) -> CellValue:
        value = getattr(one.estimate, name, None)
        return None if value is None else round(value, PERCENT_DECIMALS)

    return (
        ListColumn("Tag", 15, looks.strong, lambda one: one.tag),
        ListColumn("Chemistry", 11, text, lambda one: one.chemistry.value),
        ListColumn("Grade", 18.5, text, lambda one: one.grade.value),
        ListColumn("Station", 9, looks.strong, lambda one: one.station or "none needed"),
        ListColumn("Current (A)", 8, hours, lambda one: figure(one, "current_a"), figure=True),
        ListColumn("Recovery (A)", 9, hours, lambda one: figure(one, "recover_current_a"), figure=True),
        ListColumn("Charge, low (Ah)", 9, hours, lambda one: figure(one, "charge_low_ah"), figure=True),
        ListColumn("Charge, high (Ah)", 9, hours, lambda one: figure(one, "charge_high_ah"), figure=True),
        ListColumn("On station, low (h)", 10, hours, lambda one: figure(one, "hours_low"), figure=True),
        ListColumn("On station, high (h)", 10, hours, lambda one: figure(one, "hours_high"), figure=True),
        ListColumn("Last reading", 16, text, lambda one: f"{one.finished:%Y-%m-%d %H:%M}"),
        ListColumn("Working", 44, text, lambda one: one.estimate.working if one.estimate else None),
        ListColumn("Remarks", 40, text, lambda one: "\n".join(one.remarks)),
        ListColumn("Sources", 50, text, lambda one: one.estimate.source if one.estimate else None),
        ListColumn("How far checked", 16, text, lambda one: one.estimate.status if one.estimate else None),
    )


def _held_back_columns(looks: Formats) -> tuple[ListColumn[HeldBack], ...]:
    text = looks.text
    return (
        ListColumn("Tag", 15, looks.strong, lambda one: one.tag),
        ListColumn("Chemistry", 11, text, lambda one: one.chemistry.value),
        ListColumn("Grade", 18.5, text, lambda one: one.grade.value),
        ListColumn("Why", 56, text, lambda one: one.reason),
        ListColumn("Next step", 56, text, lambda one: one.next_step),
    )


def _facts(plan: Plan, result: BatchResult) -> tuple[Fact, ...]:
    stations = (
        (
            f"Station {one.name}",
            f"{one.current_a:g} A, takes {takes_in_words(one)}"
            + (", in the marked place" if one.apart and plan.qualified else ""),
        )
        for one in plan.stations
    )
    cautions = cautions_for(one.chemistry for one in plan.batteries)
    return (
        ("Site", one_line(result.batch.site)),
        ("Received", result.batch.received.isoformat()),
        ("Starts", moment_in_words(plan.start)),
        ("Working time", f"{working_time_in_words(plan)}, one person"),
        ("Finishes", gap_in_words(plan)),
        ("Late readings", lateness_in_words(plan)),
        ("Qualified person", "yes" if plan.qualified else "no"),
        *stations,
        *(("Taken for granted", text) for text in plan.notes),
        *(("Caution", one.text) for one in cautions),
        *provenance_facts(result),
    )


def _write_facts(sheet: Worksheet, facts: Sequence[Fact], looks: Formats) -> None:
    for place, width in enumerate(_FACT_WIDTHS):
        sheet.set_column(place, place, width)
    write_cell(sheet, 0, 0, "Bench plan", looks.title)
    for row, (label, text) in enumerate(facts, start=2):
        write_cell(sheet, row, 0, label, looks.label)
        write_cell(sheet, row, 1, text, looks.text)
        sheet.set_row(row, _LINE_PT * lines_in_cell(text, _FACT_WIDTHS[1]))
