"""The table at the end of a run over several workbooks."""

from pathlib import Path

from intake.cli.summary_table import summary_lines, summary_row
from intake.model.finding import Finding, Severity
from intake.runner.grade_many import Ending, Outcome

GRADES = ("resale-after-charge", "reconditionable", "recycle", "unresolved")


def outcome(batch, counts, ending=Ending.WRITTEN, findings=()):
    by_grade = tuple(zip(GRADES, counts, strict=True)) if counts else ()
    return Outcome(
        Path(f"{batch or 'broken'}.xlsx"),
        ending,
        tuple(Finding(one, "m", "h") for one in findings),
        batch=batch,
        batteries=sum(counts),
        by_grade=by_grade,
        folder=Path("out") / batch if batch else None,
    )


def test_each_workbook_has_a_line_and_the_sums_stand_below():
    rows = [
        summary_row(outcome("P-1", (1, 2, 3, 4), findings=[Severity.ERROR, Severity.WARNING, Severity.NOTE])),
        summary_row(outcome("P-200", (100, 0, 0, 5), Ending.GRADED_ALREADY, [Severity.WARNING] * 2)),
        summary_row(outcome("", (), Ending.REJECTED, [Severity.ERROR])),
    ]
    head, first, second, third, last = (line.split() for line in summary_lines(rows))

    assert ["batch", "batteries", *GRADES, "errors", "warnings", "ending", "where"] == head
    assert ["P-1", "10", "1", "2", "3", "4", "1", "1", "written", "out/P-1"] == first
    assert ["P-200", "105", "100", "0", "0", "5", "0", "2", "graded", "already", "out/P-200"] == second
    assert ["broken.xlsx", "0", "0", "0", "0", "0", "1", "0", "rejected", "broken.xlsx"] == third
    assert ["3", "workbooks", "115", "101", "2", "3", "9", "2", "3"] == last


def test_figures_stand_under_their_headings():
    lines = list(summary_lines([summary_row(outcome("P-1", (1, 2, 3, 4)))]))
    for word, figure in zip(GRADES, "1234", strict=True):
        end = lines[0].index(word) + len(word)
        assert figure == lines[1][end - 1]
