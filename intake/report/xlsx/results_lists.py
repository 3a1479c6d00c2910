"""The list sheets of the results workbook: batteries, findings, reasons."""

from collections.abc import Iterator

from intake.model.finding import Finding
from intake.model.kilograms import grams, in_kg
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Step
from intake.policy.dictionary import Column, Form
from intake.report.words.actions import next_step_in_few_words, step_in_full
from intake.report.words.charge_and_remarks import (
    charge_that_counts,
    charge_told,
    further_reasons,
    warnings_by_row,
)
from intake.report.words.listed_columns import listed_columns, listed_value
from intake.report.words.reasons import reason_in_few_words, reason_in_full
from intake.report.words.rounding import PERCENT_DECIMALS, VOLT_DECIMALS, significant
from intake.report.words.shelf_life import recharge_in_few_words
from intake.report.xlsx.book import CellValue, Formats, ListColumn

GRADE, STREAM, MASS, ESTIMATED = "Grade", "Waste stream", "Mass (kg)", "Mass estimated"
LAST_PRINTED, LAST_REASON_PRINTED = "Mass (kg)", "Reason"
"""The columns up to which batteries and reasons print, in type of 9 points or more; what is not printed may
be wide, so that rows stay low."""
DIMENSIONLESS = "1"
"""The unit of a pure number, as the policy writes it."""


def battery_columns(result: BatchResult, looks: Formats) -> tuple[ListColumn[GradedBattery], ...]:
    """Return the columns of the sheet with one row per battery."""
    titles = {stream.key: stream.title for stream in result.compliance.streams}
    warnings = warnings_by_row(result)
    text, strong = looks.text, looks.strong
    return (
        ListColumn("Tag", 15, strong, lambda one: one.name),
        ListColumn("Position", 14, text, lambda one: one.battery.position),
        ListColumn("Chemistry", 11, text, lambda one: one.battery.chemistry.value),
        ListColumn(GRADE, 18.5, strong, lambda one: one.verdict.grade.value),
        ListColumn("Evidence", 10, text, lambda one: one.verdict.evidence.value),
        ListColumn("Handling", 10, text, lambda one: one.condition.value),
        ListColumn("Reason in short", 33, text, reason_in_few_words),
        ListColumn("Do next", 26, strong, next_step_in_few_words),
        ListColumn(MASS, 8, looks.kilograms, _mass, figure=True),
        ListColumn(STREAM, 20, text, lambda one: titles.get(one.stream or "", one.stream)),
        ListColumn(ESTIMATED, 10, text, lambda one: "yes" if one.mass_estimated else "no"),
        ListColumn(
            "State of charge, low (%)", 8.5, looks.count, lambda one: _charge(one, "low_percent"), figure=True
        ),
        ListColumn("State of charge (%)", 8.5, looks.count, _charge_value, figure=True),
        ListColumn(
            "State of charge, high (%)",
            8.5,
            looks.count,
            lambda one: _charge(one, "high_percent"),
            figure=True,
        ),
        ListColumn("Decisive reason", 90, text, lambda one: reason_in_full(one.verdict.decisive)),
        ListColumn("Next step", 60, text, step_in_full),
        ListColumn("Best sold or recharged by", 36, text, recharge_in_few_words),
        ListColumn("Warnings", 60, text, lambda one: "\n".join(warnings[one.battery.row])),
        ListColumn("Voltage at 25 °C (V)", 11, looks.volts, _voltage, figure=True),
        ListColumn(
            "Further reasons",
            120,
            text,
            lambda one: "\n".join(f"{step.rule.id}: {reason_in_full(step)}" for step in further_reasons(one)),
        ),
        *(_listed(column, looks) for column in listed_columns()),
        ListColumn("Note", 100, looks.long_text, lambda one: one.battery.note),
        ListColumn("Workbook row", 10, looks.count, lambda one: one.battery.row, figure=True),
    )


def _listed(column: Column, looks: Formats) -> ListColumn[GradedBattery]:
    figure = column.form is Form.NUMBER
    look = looks.figure if figure else looks.text
    return ListColumn(column.header, 14, look, lambda one: listed_value(one.battery, column), figure=figure)


def _mass(one: GradedBattery) -> CellValue:
    return None if one.mass_kg is None else in_kg(grams(one.mass_kg))


def _voltage(one: GradedBattery) -> CellValue:
    charge = charge_that_counts(one.verdict)
    return None if charge is None else round(charge.voltage_25c_v, VOLT_DECIMALS)


def _charge_value(one: GradedBattery) -> CellValue:
    """Return the most likely charge, nothing where only the interval is known."""
    charge = charge_told(one.verdict)
    return None if charge is None or charge.interval_only else _charge(one, "value_percent")


def _charge(one: GradedBattery, name: str) -> CellValue:
    charge = charge_told(one.verdict)
    return None if charge is None else round(getattr(charge, name), PERCENT_DECIMALS)


def finding_columns(looks: Formats) -> tuple[ListColumn[Finding], ...]:
    """Return the columns of the sheet with one row per finding."""
    text = looks.text
    return (
        ListColumn("Severity", 9, looks.strong, lambda one: one.severity.value),
        ListColumn("Sheet", 12, text, lambda one: one.sheet),
        ListColumn("Cell", 7, text, lambda one: one.cell),
        ListColumn("Tag", 13, text, lambda one: one.tag),
        ListColumn("Column or field", 19, text, lambda one: one.field),
        ListColumn("What was found", 48, text, lambda one: one.message),
        ListColumn("What to do", 42, text, lambda one: one.hint),
    )


Reason = tuple[GradedBattery, Step]


def fired_rules(result: BatchResult) -> Iterator[Reason]:
    """Yield each battery with each of its rules that fired, the decisive one first."""
    return ((one, step) for one in result.graded for step in one.verdict.reasons)


def reason_columns(looks: Formats) -> tuple[ListColumn[Reason], ...]:
    """Return the columns of the sheet with one row per fired rule."""
    text = looks.text
    return (
        ListColumn("Tag", 15, looks.strong, lambda one: one[0].name),
        ListColumn("Decides", 9, text, lambda one: "yes" if one[1] is one[0].verdict.decisive else "no"),
        ListColumn("Rule", 21, text, lambda one: one[1].rule.id),
        ListColumn("Effect", 19, text, lambda one: one[1].effect.value),
        ListColumn(LAST_REASON_PRINTED, 78, text, lambda one: reason_in_full(one[1])),
        ListColumn("Measured", 18, looks.volts, lambda one: significant(one[1].measured), figure=True),
        ListColumn("Limit", 36, looks.volts, lambda one: significant(one[1].limit), figure=True),
        ListColumn("Unit", 6, text, lambda one: "" if one[1].unit == DIMENSIONLESS else one[1].unit),
        ListColumn("Probability", 11, looks.probability, lambda one: one[1].probability, figure=True),
        ListColumn("Source of the limit", 110, text, lambda one: one[1].source),
        ListColumn("How far checked", 16, text, lambda one: one[1].status),
    )
