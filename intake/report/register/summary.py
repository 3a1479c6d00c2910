"""The first page of a register: what period it is, its sums, and what to know before using them."""

from collections.abc import Sequence

from intake.model.register import Register
from intake.model.verdict import Grade
from intake.report.drawing.blocks import line_of, side_by_side
from intake.report.drawing.flow import Block
from intake.report.drawing.list_table import Align, Cell, Column, ListTable, Row
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import TEXT
from intake.report.drawing.writer import Fact, Writer
from intake.report.plots.bar_rows import patterned
from intake.report.register.plots import GRADE_PATTERNS
from intake.report.register.views import Line, View
from intake.report.register.words import counted, kilograms, owed_in_words, period_in_words, register_remarks
from intake.report.words.batch_facts import NOT_GIVEN
from intake.report.words.wording import load_wording

_GUTTER = 16.0
_FACTS_SHARE = 0.46
_INDENT = 16.0
_MOST_SITES = 3
_NO_FORM = "A count of what was graded, no legal form: no declaration, no proof of what was sold or sent off."


def place_summary(writer: Writer, register: Register, whole: Line, grades: View) -> None:
    """Place title, facts beside the sums by grade, and the remarks."""
    writer.title(f"Period register {period_in_words(register.period)}", _NO_FORM)
    left = _FACTS_SHARE * (writer.width - _GUTTER)
    right = writer.width - _GUTTER - left
    facts = writer.fact_block(_about(register, whole), width=left)
    sums = _sums(writer, grades, whole, right)
    writer.flow.place(side_by_side([(0.0, facts), (left + _GUTTER, sums)]))
    writer.part("Before the figures are used")
    writer.points(register_remarks(register))


def _about(register: Register, whole: Line) -> Sequence[Fact]:
    period = register.period
    limit = period.storage_limit_days
    yields = whole.share_percent(Grade.RESALE), whole.share_percent(Grade.UNRESOLVED)
    told = ["–" if share is None else f"{share:.1f} % of batteries" for share in yields]
    sites = list(dict.fromkeys(one_line(one.site) for one in register.batches))
    return (
        ("Site", "; ".join(sites[:_MOST_SITES]) + ("; and others" if len(sites) > _MOST_SITES else "")),
        ("Counted by", "day received, both ends in"),
        ("Closing date", period.closing.isoformat()),
        ("Site's storage limit", NOT_GIVEN if limit is None else f"{limit} days"),
        ("Batches", f"{whole.batches} (earlier {register.before}, later {register.after})"),
        (
            "Files not counted",
            f"{len(register.left_out)} left out, {counted(len(register.copies), 'copy', 'copies')}",
        ),
        ("Resale yield", told[0]),
        ("of these, shown", f"{whole.resale_proven} of {whole.by_grade[Grade.RESALE]} by a hold"),
        ("Unresolved", told[1]),
        ("Still owed a test", owed_in_words(whole)),
    )


def _sums(writer: Writer, grades: View, whole: Line, width: float) -> Block:
    columns = (
        Column("Grade", 92),
        Column("number", 36, Align.POINT),
        Column("kg", 44, Align.POINT),
        Column("estimated", 44, Align.POINT),
    )
    rows: list[Row] = [(_named(Grade(line.key)), *_figures(line, whole)) for line in grades.lines]
    rows.append((whole.title, *_figures(whole, whole)))
    return ListTable(writer.setter, columns, rows, width=width, sum_rows=1).block()


def _figures(line: Line, whole: Line) -> tuple[str, str, str]:
    mass, estimated = (kilograms(one, whole.mass_g) for one in (line.mass_g, line.mass_estimated_g))
    return str(line.count), mass, estimated


def _named(grade: Grade) -> Cell:
    """Return the pattern of a grade in the plots with its title behind it."""
    pattern = [(mark, 0.0, 0.0) for mark in patterned(0.0, 2.0, 11.0, 7.0, GRADE_PATTERNS[grade])]
    title = line_of(TEXT, (0.0, load_wording().grades[grade].title))
    return side_by_side([(0.0, Block(0.0, pattern)), (_INDENT, title)])
