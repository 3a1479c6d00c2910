"""Counts and masses by grade and waste stream, and what the meter is worth, as tables."""

from collections.abc import Iterator

from intake.model.battery import Chemistry
from intake.model.result import BatchResult
from intake.model.verdict import BatchFigures, Grade
from intake.report.drawing.blocks import stack, text_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.small_table import BODY, COLUMN_GAP, STRONG, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_frame import SMALL
from intake.report.words.batch_facts import accuracy_in_words
from intake.report.words.battery import chemistry_in_words
from intake.report.words.totals import Total, total_of, totals_by_grade, totals_by_stream
from intake.report.words.wording import load_wording

_INDENT = 13.0
_FIGURES = (
    Column("number", 36, Align.POINT),
    Column("kg", 38, Align.POINT),
    Column("kg of it estimated", 50, Align.POINT),
)
_DECISIONS = (Column("accepted", 42, Align.POINT), Column("rejected", 42, Align.POINT))
_TOLD = (
    "± %: what the meter alone is worth, of full charge. "
    "Accepted: graded for resale, though truly below the limit. "
    "Rejected: held back, though truly above it."
)


def totals_table(setter: Typesetter, result: BatchResult, width: float) -> Block:
    """Return counts and masses by grade, the recycle grade divided by waste stream."""
    whole = total_of(result.graded)
    rows = [*_rows(result), _row("All", whole)]
    name_width = width - sum(column.width + COLUMN_GAP for column in _FIGURES)
    table = small_table(
        setter, (Column("Grade, and waste stream of what is recycled", name_width), *_FIGURES), rows
    )
    if not whole.without_mass:
        return table
    lack = "battery has no mass and is" if whole.without_mass == 1 else "batteries have no mass and are"
    note = f"{whole.without_mass} {lack} missing from the kilograms."
    return stack([table, *text_lines(setter, note, SMALL, width)])


def _rows(result: BatchResult) -> Iterator[Row]:
    for grade, total in totals_by_grade(result).items():
        yield _row(load_wording().grades[grade].title, total, mark=grade_block(grade))
        if grade is Grade.RECYCLE:
            for one in totals_by_stream(result):
                yield Row(_cells(one.title, one.total), indent=_INDENT)


def _row(name: str, total: Total, *, mark: Block | None = None) -> Row:
    return Row(_cells(name, total), style=STRONG, mark=mark, indent=_INDENT if mark else 0.0)


def _cells(name: str, total: Total) -> tuple[str, ...]:
    return (name, str(total.count), f"{total.mass_kg:.1f}", f"{total.mass_estimated_kg:.1f}")


def grade_block(grade: Grade) -> Block:
    """Return the shape of a grade, for the start of a line of table text."""
    return Block(0.0, [(mark, 0.0, 0.0) for mark in grade_mark(grade, 4.0, BODY.leading / 2, 3.2)])


def meter_tables(setter: Typesetter, figures: BatchFigures, width: float) -> Block:
    """Return what the meter in use is worth, and wrong decisions to expect with it and a better one."""
    decisions = [
        Row(
            (
                f"{name}, {accuracy_in_words(risk)}",
                f"{risk.wrong_acceptances:.2f}",
                f"{risk.wrong_rejections:.2f}",
            )
        )
        for name, risk in (("Meter in use", figures.in_use), ("Better meter", figures.better))
    ]
    name_width = width - sum(column.width + COLUMN_GAP for column in _DECISIONS)
    columns = (Column("Wrong decisions to expect", name_width), *_DECISIONS)
    return stack(
        [
            _worth_table(setter, figures, width),
            Block(7, ()),
            small_table(setter, columns, decisions),
            Block(2, ()),
            *text_lines(setter, _TOLD, SMALL, width),
        ]
    )


def _worth_table(setter: Typesetter, figures: BatchFigures, width: float) -> Block:
    """Return the table by chemistry, in two columns of chemistries."""
    cells = [
        (chemistry_in_words(Chemistry(chemistry)), f"± {percent:.1f}")
        for chemistry, percent in figures.meter_worth_percent
    ]
    if not cells:
        return stack(text_lines(setter, "No battery here whose charge a voltage tells.", BODY, width))
    half = -(-len(cells) // 2)
    pairs = zip(cells[:half], [*cells[half:], ("", "")], strict=False)
    rows = [Row((*first, "", *second)) for first, second in pairs]
    name_width = (width - 2 * 40 - 4 * COLUMN_GAP) / 2
    columns = (
        Column("Meter in use", name_width),
        Column("± %", 40, Align.POINT),
        Column("", 0),
        Column("", name_width),
        Column("± %", 40, Align.POINT),
    )
    return small_table(setter, columns, rows)
