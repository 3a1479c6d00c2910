"""The first page of a register: what period it is, its sums, and what to know before using them."""

from collections.abc import Sequence

from intake.model.register import Register
from intake.model.verdict import Grade
from intake.report.drawing.blocks import line_of, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import TEXT, Clauses
from intake.report.drawing.palette import GREY, SLATE
from intake.report.drawing.small_table import COLUMN_GAP, STRONG, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Style
from intake.report.plots.bar_rows import patterned
from intake.report.register.plots import GRADE_PATTERNS
from intake.report.register.views import Line, View
from intake.report.register.words import counted, kilograms, period_in_words, register_remarks
from intake.report.words.batch_facts import NOT_GIVEN, Fact
from intake.report.words.wording import load_wording

_TITLE = Style(20, Face.BOLD, SLATE)
_SUBTITLE = Style(9, colour=GREY)
_FACT = Style(9)
_LABEL = Style(7.5, colour=GREY, line_factor=_FACT.leading / 7.5)
_LABEL_WIDTH, _GUTTER = 86.0, 16.0
_FACTS_SHARE = 0.44
_INDENT, _DASH = 16.0, 9.0
_NO_FORM = "A count of what was graded, no legal form: no declaration, no proof of what was sold or sent off."


def place_summary(flow: Flow, clauses: Clauses, register: Register, whole: Line, grades: View) -> None:
    """Place title, facts beside the sums by grade, and the remarks."""
    setter, width = clauses.setter, clauses.width
    named = f"Period register {period_in_words(register.period)}"
    title = stack(
        [*text_lines(setter, named, _TITLE, width), *text_lines(setter, _NO_FORM, _SUBTITLE, width)]
    )
    flow.place(Block(title.height, title.placed, outline=("What came in and what it became", 0)))
    flow.space(9)
    left = _FACTS_SHARE * (width - _GUTTER)
    flow.place(
        side_by_side(
            [
                (0.0, _facts(clauses, _about(register, whole), left)),
                (left + _GUTTER, _sums(clauses, grades, whole, width - _GUTTER - left)),
            ]
        )
    )
    clauses.part(flow, "Before the figures are used")
    for text in register_remarks(register):
        lines = clauses.lines(text, TEXT, width=width - _DASH)
        words = [(0.0, line_of(TEXT, (0.0, "–"))), (_DASH, stack(lines))]
        flow.place(stack([side_by_side(words), Block(1.5, ())]))


def _about(register: Register, whole: Line) -> Sequence[Fact]:
    period = register.period
    limit = period.storage_limit_days
    wrong = whole.wrong_acceptances
    yields = whole.share_percent(Grade.RESALE), whole.share_percent(Grade.UNRESOLVED)
    told = ["–" if share is None else f"{share:.1f} % of batteries" for share in yields]
    return (
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
        ("Still owed a test", counted(whole.owed, "battery", "batteries")),
        (
            "Wrongly accepted",
            NOT_GIVEN if wrong is None else f"{wrong:.2f} expected",
        ),
    )


def _facts(clauses: Clauses, facts: Sequence[Fact], width: float) -> Block:
    return stack(
        [
            side_by_side(
                [
                    (0.0, line_of(_LABEL, (0.0, label))),
                    (
                        _LABEL_WIDTH,
                        stack(text_lines(clauses.setter, text, _FACT, width - _LABEL_WIDTH)),
                    ),
                ]
            )
            for label, text in facts
        ]
    )


def _sums(clauses: Clauses, grades: View, whole: Line, width: float) -> Block:
    figures = (
        Column("number", 40, Align.POINT),
        Column("kg", 48, Align.POINT),
        Column("kg of it estimated", 50, Align.POINT),
    )
    rows = [
        Row(
            (load_wording().grades[Grade(line.key)].title, *_figures(line, whole)),
            mark=_mark(Grade(line.key)),
            indent=_INDENT,
        )
        for line in grades.lines
    ]
    rows.append(Row((whole.title, *_figures(whole, whole)), style=STRONG))
    name = Column("Grade", width - sum(column.width + COLUMN_GAP for column in figures))
    return small_table(clauses.setter, (name, *figures), rows)


def _figures(line: Line, whole: Line) -> tuple[str, str, str]:
    mass, estimated = (kilograms(one, whole.mass_g) for one in (line.mass_g, line.mass_estimated_g))
    return str(line.count), mass, estimated


def _mark(grade: Grade) -> Block:
    """Return the pattern of a grade in the plots, for the start of a line."""
    return Block(0.0, [(mark, 0.0, 0.0) for mark in patterned(0.0, 2.0, 11.0, 7.0, GRADE_PATTERNS[grade])])
