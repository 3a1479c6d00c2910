"""The table at the end of a run over several workbooks: one line each, and a line of sums."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from intake.model.finding import Severity
from intake.model.verdict import Grade
from intake.runner.grade_many import Outcome

_COUNTS = ("batteries", *(grade.value for grade in Grade), "errors", "warnings")


class SummaryRow(NamedTuple):
    """One workbook of a run."""

    name: str
    """The batch, or the workbook where no batch was graded."""
    counts: tuple[int, ...]
    """Batteries, each grade in the order of :class:`Grade`, errors, warnings."""
    ending: str
    where: str


def summary_row(outcome: Outcome) -> SummaryRow:
    """Return what the table keeps of an outcome; its findings are let go."""
    grades = dict(outcome.by_grade)
    severities = [one.severity for one in outcome.findings]
    counts = (
        outcome.batteries,
        *(grades.get(grade.value, 0) for grade in Grade),
        severities.count(Severity.ERROR),
        severities.count(Severity.WARNING),
    )
    where = str(outcome.folder) if outcome.folder else str(outcome.path)
    return SummaryRow(outcome.batch or outcome.path.name, counts, outcome.ending.value, where)


def summary_lines(rows: Sequence[SummaryRow]) -> Iterator[str]:
    """Yield the table line by line, figures under their headings."""
    sums = tuple(sum(column) for column in zip(*(row.counts for row in rows), strict=True))
    names = ("batch", *(row.name for row in rows), f"{len(rows)} workbooks")
    endings = ("ending", *(row.ending for row in rows))
    name_width, ending_width = (max(map(len, texts)) for texts in (names, endings))
    widths = [max(len(word), len(str(total))) for word, total in zip(_COUNTS, sums, strict=True)]

    def line(name: str, counts: Sequence[object], ending: str = "", where: str = "") -> str:
        figures = "  ".join(str(one).rjust(width) for one, width in zip(counts, widths, strict=True))
        return f"{name.ljust(name_width)}  {figures}  {ending.ljust(ending_width)}  {where}".rstrip()

    yield line("batch", _COUNTS, "ending", "where")
    for row in rows:
        yield line(*row)
    yield line(names[-1], sums)
