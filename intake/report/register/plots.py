"""Three plots of a register, each the answer to one question."""

from collections.abc import Mapping, Sequence
from datetime import date

from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.kilograms import grams_in_words
from intake.model.register import Register
from intake.model.verdict import Grade
from intake.report.drawing.flow import Block
from intake.report.drawing.writer import Writer
from intake.report.plots.bar_rows import Bar, Part, Pattern, bar_rows, legend
from intake.report.register.views import Line, View, chemistry_counts, month_of
from intake.report.register.words import counted
from intake.report.words.battery import chemistry_in_words
from intake.report.words.totals import GRADE_ORDER
from intake.report.words.wording import load_wording

GRADE_PATTERNS: Mapping[Grade, Pattern] = {
    Grade.RESALE: Pattern.SOLID,
    Grade.RECONDITIONABLE: Pattern.STRIPED,
    Grade.RECYCLE: Pattern.PALE,
    Grade.UNRESOLVED: Pattern.DOTTED,
}
_KINDS = (
    (Pattern.SOLID, "lead-acid", LEAD_ACID),
    (Pattern.STRIPED, "lithium iron phosphate", frozenset({Chemistry.LFP})),
    (Pattern.DOTTED, "other and unknown", frozenset({Chemistry.OTHER, Chemistry.UNKNOWN})),
)
_OWED_LEGEND = (
    (GRADE_PATTERNS[Grade.RESALE], "resale, no hold yet"),
    (GRADE_PATTERNS[Grade.RECONDITIONABLE], "reconditionable"),
    (GRADE_PATTERNS[Grade.UNRESOLVED], "unresolved"),
)
_OWED_TOLD = (
    "By the month received: graded for resale, but no hold has shown it; reconditionable, to be treated and "
    "tested again; unresolved, waiting for one measurement. Oldest: days from Received to the closing date."
)
_NOTHING_OWED = "Nothing: every battery is either shown by a hold or goes to the recycler."
_MOST_MONTHS = 36
"""Up to so many months, those in which nothing came in stand there too."""


class Plots:
    """Places the plots one below the other."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer
        self._setter = writer.setter

    def place(self, register: Register, months: View, chemistries: View) -> None:
        """Place all three; none where no battery came in."""
        if not months.lines:
            return
        self._came_in(register, months)
        self._became(chemistries)
        self._owed(register, months)

    def _came_in(self, register: Register, months: View) -> None:
        self._head(
            "What came in?",
            "Batteries by the month received, with their mass as far as it is known.",
            [(pattern, words) for pattern, words, _ in _KINDS],
        )
        longest = max(line.count for line in months.lines)
        counts = chemistry_counts(register)
        rows = []
        for month, line in _by_month(months).items():
            numbers = [sum(counts.get((month, one), 0) for one in kinds) for _, _, kinds in _KINDS]
            beside = "nothing"
            if line is not None:
                mass = grams_in_words(line.mass_g, decimals=0)
                beside = f"{counted(line.count, 'battery', 'batteries')}, {mass} kg"
            parts = _parts([pattern for pattern, _, _ in _KINDS], numbers)
            rows.append(Bar(month, parts, beside, longest))
        self._writer.together(bar_rows(self._setter, rows, width=self._writer.width))

    def _became(self, chemistries: View) -> None:
        titles = load_wording().grades
        self._head(
            "What did it become?",
            "Batteries of each chemistry by grade; every bar is 100 % of its chemistry.",
            [(pattern, titles[grade].title) for grade, pattern in GRADE_PATTERNS.items()],
        )
        rows = []
        for line in chemistries.lines:
            parts = _parts(
                [GRADE_PATTERNS[grade] for grade in GRADE_ORDER],
                [line.by_grade[grade] for grade in GRADE_ORDER],
            )
            beside = counted(line.count, "battery", "batteries")
            label = chemistry_in_words(Chemistry(line.key))
            rows.append(Bar(label, parts, beside, line.count))
        self._writer.together(bar_rows(self._setter, rows, width=self._writer.width))

    def _owed(self, register: Register, months: View) -> None:
        owed = [line for line in months.lines if line.owed]
        self._head("What is still owed a test?", _OWED_TOLD if owed else _NOTHING_OWED, _OWED_LEGEND)
        longest = max((line.owed for line in owed), default=0)
        rows = []
        for line in owed:
            numbers = (
                line.resale_owed,
                line.by_grade[Grade.RECONDITIONABLE],
                line.by_grade[Grade.UNRESOLVED],
            )
            parts = _parts([pattern for pattern, _ in _OWED_LEGEND], numbers)
            days = (register.period.closing - _first_day(register, line.key)).days
            apart = f", {line.owed_apart} set apart" if line.owed_apart else ""
            beside = f"{line.owed} of {line.count}{apart}, oldest {counted(days, 'day')}"
            rows.append(Bar(line.key, parts, beside, longest))
        self._writer.together(bar_rows(self._setter, rows, width=self._writer.width) or [Block(1, ())])

    def _head(self, question: str, told: str, entries: Sequence[tuple[Pattern, str]]) -> None:
        self._writer.part(question, told)
        self._writer.flow.keep_with_next(legend(self._setter, entries))


def _parts(patterns: Sequence[Pattern], numbers: Sequence[int]) -> list[Part]:
    """Return a part for each number that is not 0, the number inside it."""
    return [
        Part(number, pattern, str(number))
        for pattern, number in zip(patterns, numbers, strict=True)
        if number
    ]


def _by_month(months: View) -> dict[str, Line | None]:
    """Return the line of each month, None for a month between in which nothing came in."""
    lines: dict[str, Line | None] = {line.key: line for line in months.lines}
    first, last = (_number(months.lines[place].key) for place in (0, -1))
    if last - first >= _MOST_MONTHS:
        return lines
    names = [f"{number // 12:04d}-{number % 12 + 1:02d}" for number in range(first, last + 1)]
    return {name: lines.get(name) for name in names}


def _number(month: str) -> int:
    year, number = month.split("-")
    return int(year) * 12 + int(number) - 1


def _first_day(register: Register, month: str) -> date:
    return min(one.received for one in register.batches if month_of(one.received) == month)
