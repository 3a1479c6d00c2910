"""What a register counts: lines of batteries and masses, of the whole period and by each view."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from intake.model.battery import Chemistry
from intake.model.register import GradedBatch, Group, Register
from intake.model.verdict import HELD, Grade
from intake.policy.rule_data import load_rules
from intake.policy.waste_streams import stream_titles
from intake.report.drawing.plain_text import one_line
from intake.report.words.batch_facts import NOT_GIVEN
from intake.report.words.totals import GRADE_ORDER


@dataclass(frozen=True, slots=True)
class Line:
    """The batteries of one line. Masses in grams, of those that have one."""

    key: str
    title: str
    batches: int
    count: int
    mass_g: int
    mass_estimated_g: int
    without_mass: int
    by_grade: dict[Grade, int]
    resale_proven: int
    """Of those graded for resale, how many a hold has shown."""
    owed_apart: int
    """Of those still owed a test, how many are set apart: a trained person sees to them first."""
    wrong_acceptances: float | None
    """None: not told by chemistry, grade or stream, or no batch gives it."""
    without_figures: int
    """Batches that give no expected wrong acceptances and are missing from the sum."""

    def share_percent(self, grade: Grade) -> float | None:
        """Return the share of all batteries of the line in %, those not graded too; None: no battery."""
        return 100 * self.by_grade[grade] / self.count if self.count else None

    @property
    def resale_owed(self) -> int:
        """Return how many of those graded for resale still want charging and a hold test."""
        return self.by_grade[Grade.RESALE] - self.resale_proven

    @property
    def owed(self) -> int:
        """Return how many still want a test: for resale without a hold, reconditionable, unresolved."""
        return self.resale_owed + self.by_grade[Grade.RECONDITIONABLE] + self.by_grade[Grade.UNRESOLVED]


@dataclass(frozen=True, slots=True)
class View:
    """One way to divide the period."""

    key: str
    title: str
    heading: str
    """Of the column with the titles of the lines."""
    lines: tuple[Line, ...]
    by_batch: bool
    """Whether a batch belongs to one line as a whole, so that yields and expected errors can be told."""


Chosen = tuple[GradedBatch, Sequence[Group]]
"""A batch with those of its groups that a line takes."""


def whole_line(register: Register) -> Line:
    """Return the line of the whole period."""
    return _line("all", "All", [(one, one.groups) for one in register.batches], by_batch=True)


def recycle_line(register: Register) -> Line:
    """Return the line of everything that is graded recycle, which the waste streams divide."""
    chosen = [(one, [group for group in one.groups if group.stream is not None]) for one in register.batches]
    return _line("recycle", "All", [(one, groups) for one, groups in chosen if groups], by_batch=False)


def views_of(register: Register) -> tuple[View, ...]:
    """Return all views: grade, chemistry, waste stream, jurisdiction, supplier, month."""
    batches = register.batches
    return (
        _by_group(
            "grade",
            "Grades",
            "Grade",
            batches,
            [(one.value, one.value) for one in GRADE_ORDER],
            lambda group: group.grade.value,
            all_lines=True,
        ),
        _by_group(
            "chemistry",
            "Chemistries",
            "Chemistry",
            batches,
            [(one.value, one.value) for one in Chemistry],
            lambda group: group.chemistry.value,
        ),
        _by_group(
            "stream",
            "Waste streams",
            "Waste stream of the recycle grade",
            batches,
            list(stream_titles().items()),
            lambda group: group.stream,
        ),
        _by_batch(
            "jurisdiction",
            "Jurisdictions",
            "Jurisdiction",
            batches,
            lambda one: one.jurisdiction,
            order=_jurisdiction_order,
        ),
        _by_batch("supplier", "Suppliers", "Received from", batches, supplier_of),
        _by_batch("month", "Months", "Month received", batches, lambda one: month_of(one.received)),
    )


def _jurisdiction_order(key: str) -> tuple[int, str]:
    """Return the place of a jurisdiction: as the workbook's choices stand, then those of a site."""
    shipped = list(load_rules())
    return (shipped.index(key) if key in shipped else len(shipped), key)


def supplier_of(one: GradedBatch) -> str:
    """Return who handed the batch over, as it is written, on one line."""
    return one_line(one.received_from or "") or NOT_GIVEN


def month_of(day: date) -> str:
    """Return a month like ``2026-11``."""
    return day.isoformat()[:7]


def month_number(day: date) -> int:
    """Return a month like 202611: a text like ``2026-11`` is a date to a spreadsheet's sums."""
    return 100 * day.year + day.month


def chemistry_counts(register: Register) -> dict[tuple[str, Chemistry], int]:
    """Return the number of batteries by month received and chemistry."""
    counts: Counter[tuple[str, Chemistry]] = Counter()
    for one in register.batches:
        for group in one.groups:
            counts[month_of(one.received), group.chemistry] += group.count
    return dict(counts)


def _by_group(
    key: str,
    title: str,
    heading: str,
    batches: Sequence[GradedBatch],
    known: Sequence[tuple[str, str]],
    of: Callable[[Group], str | None],
    *,
    all_lines: bool = False,
) -> View:
    lines = []
    for name, words in known:
        chosen = [(one, [group for group in one.groups if of(group) == name]) for one in batches]
        chosen = [(one, groups) for one, groups in chosen if groups]
        if chosen or all_lines:
            lines.append(_line(name, words, chosen, by_batch=False))
    return View(key, title, heading, tuple(lines), by_batch=False)


def _by_batch(
    key: str,
    title: str,
    heading: str,
    batches: Sequence[GradedBatch],
    of: Callable[[GradedBatch], str],
    *,
    order: Callable[[str], Any] = str.casefold,
) -> View:
    """Divide by something that a batch has; spellings that differ only in case are one line."""
    alike: dict[str, list[GradedBatch]] = {}
    for one in batches:
        alike.setdefault(of(one).casefold(), []).append(one)
    named = [(of(ones[0]), ones) for ones in alike.values()]
    lines = [
        _line(name, name, [(one, one.groups) for one in ones], by_batch=True)
        for name, ones in sorted(named, key=lambda entry: order(entry[0]))
    ]
    return View(key, title, heading, tuple(lines), by_batch=True)


def _line(key: str, title: str, chosen: Iterable[Chosen], *, by_batch: bool) -> Line:
    ones = list(chosen)
    groups = [group for _, some in ones for group in some]
    figures = [one.wrong_acceptances for one, _ in ones if one.wrong_acceptances is not None]
    return Line(
        key=key,
        title=title,
        batches=len(ones),
        count=sum(group.count for group in groups),
        mass_g=sum(group.mass_g for group in groups),
        mass_estimated_g=sum(group.mass_estimated_g for group in groups),
        without_mass=sum(group.without_mass for group in groups),
        by_grade={grade: sum(one.count for one in groups if one.grade is grade) for grade in GRADE_ORDER},
        resale_proven=sum(one.count for one in groups if one.grade is Grade.RESALE and one.evidence in HELD),
        owed_apart=sum(len(one.apart) for one in groups if _is_owed(one)),
        wrong_acceptances=sum(figures) if by_batch and figures else None,
        without_figures=len(ones) - len(figures) if by_batch else 0,
    )


def _is_owed(group: Group) -> bool:
    """Say whether its batteries still want a test, as :attr:`Line.owed` counts them."""
    if group.grade is Grade.RESALE:
        return group.evidence not in HELD
    return group.grade is not Grade.RECYCLE
