"""``intake grade``: the main job."""

import argparse
import sys

from intake.cli.exit_codes import ExitCode
from intake.cli.progress import with_progress
from intake.cli.reading_options import settings_from, workbooks_from, workplace
from intake.cli.screen_text import (
    carried_lines,
    counted,
    finding_lines,
    json_line,
    rejected,
    severity_counts,
    warn_of_today,
)
from intake.cli.summary_table import SummaryRow, summary_lines, summary_row
from intake.model.finding import Severity
from intake.model.printable import printable
from intake.runner.grade_many import Ending, Outcome, grade_many
from intake.runner.read_many import is_folder


def run(options: argparse.Namespace) -> ExitCode:
    """Grade each workbook and say what became of it."""
    settings = settings_from(options)
    first = options.paths[0]
    out = options.out or (first if is_folder(first) else first.parent) / "graded"
    paths = workbooks_from(options.paths, recursive=options.recursive, leave_out=out)
    if settings is None or paths is None:
        return ExitCode.USAGE
    code = ExitCode.DONE
    rows: list[SummaryRow] = []
    resume = options.cluster is not None or any(is_folder(path) for path in options.paths)
    with workplace(options, seen=paths[:1], out=out) as at:
        outcomes = grade_many(paths, out, settings, at=at, resume=resume)
        for outcome in with_progress(outcomes, total=len(paths), quiet=options.quiet):
            if options.json:
                print(_json(outcome), flush=True)
            else:
                _tell(outcome, quiet=options.quiet)
            rows.append(summary_row(outcome))
            code = max(code, ending_code(outcome))
    if len(paths) > 1 and not options.quiet and not options.json:
        print()
        for line in summary_lines(rows):
            print(printable(line))
    return code


def ending_code(outcome: Outcome) -> ExitCode:
    """Return the exit code that one workbook asks for."""
    if outcome.ending is Ending.NOT_WRITTEN:
        return ExitCode.NOT_WRITTEN
    if outcome.ending is Ending.REJECTED:
        return ExitCode.REJECTED
    return ExitCode.ROW_ERRORS if outcome.row_errors else ExitCode.DONE


def tell_not_written(outcome: Outcome) -> None:
    """Say why the documents of a workbook were not written."""
    print(printable(f"{outcome.path}: {outcome.problem}"), file=sys.stderr)


def _tell(outcome: Outcome, *, quiet: bool) -> None:
    if outcome.ending is Ending.NOT_WRITTEN:
        tell_not_written(outcome)
        return
    if outcome.ending is Ending.REJECTED:
        print(printable(rejected(outcome.path)))
    elif outcome.ending is Ending.SAME_AS_ANOTHER:
        if not quiet:
            print(printable(f"{outcome.path}: {outcome.problem}."))
        return
    elif outcome.ending is Ending.GRADED_ALREADY:
        if not quiet:
            print(printable(f"{outcome.batch}: graded already, from the same workbook; left as it stands."))
        return
    elif not quiet:
        grades = ", ".join(f"{count} {grade}" for grade, count in outcome.by_grade)
        print(printable(f"{outcome.batch}: {counted(outcome.batteries, 'battery')}: {grades}"))
        print(printable(f"  documents in {outcome.folder}"))
        for line in carried_lines(outcome.carried):
            print(printable(line))
        print(f"  findings: {severity_counts(outcome.findings)}")
        warn_of_today(outcome.path, outcome.of_today)
    for line in finding_lines(outcome.findings, least=Severity.ERROR if quiet else Severity.WARNING):
        print(line)


def _json(outcome: Outcome) -> str:
    return json_line(
        {
            "workbook": str(outcome.path),
            "ending": outcome.ending.value,
            "batch": outcome.batch,
            "batteries": outcome.batteries,
            "by_grade": dict(outcome.by_grade),
            "folder": str(outcome.folder) if outcome.folder else None,
            "row_errors": outcome.row_errors,
            "problem": outcome.problem,
            "left_untouched": list(outcome.carried),
        }
    )
