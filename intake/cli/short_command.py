"""``intake WORKBOOK.xlsx``: the short way, and what dropping a workbook on the command does."""

import argparse

from intake.cli.check_command import tell
from intake.cli.exit_codes import ExitCode
from intake.cli.grade_command import ending_code, tell_not_written
from intake.cli.reading_options import settings_from
from intake.model.printable import printable
from intake.runner.grade_many import Ending, grade_many
from intake.runner.read_many import read_safely


def run(options: argparse.Namespace) -> ExitCode:
    """Check a workbook and, if nothing rejects it, grade it beside itself; end with what to print first."""
    settings = settings_from(options)
    if settings is None:
        return ExitCode.USAGE
    path = options.workbook
    read = read_safely(path, settings)
    tell(path, read, quiet=False, going_on=True)
    if read.batch is None:
        return ExitCode.REJECTED
    out = options.out or path.parent / "graded"
    (outcome,) = grade_many([path], out, settings._replace(renew=True), resume=True)
    if outcome.ending is Ending.NOT_WRITTEN:
        tell_not_written(outcome)
        return ExitCode.NOT_WRITTEN
    if outcome.ending is Ending.REJECTED or outcome.folder is None:
        return ExitCode.REJECTED
    grades = ", ".join(f"{count} {grade}" for grade, count in outcome.by_grade if count)
    print(printable(f"Graded: {grades}."))
    print(printable(f"Print this paper first: {outcome.folder / f'{outcome.batch}-manifest.pdf'}"))
    return ending_code(outcome)
