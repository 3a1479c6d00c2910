"""``intake check``: what is wrong with a workbook."""

import argparse

from intake.cli.exit_codes import ExitCode
from intake.cli.plain_text import counted, finding_json, finding_lines, printable, severity_counts
from intake.cli.progress import with_progress
from intake.cli.reading_options import settings_from, workbooks_from
from intake.model.finding import Severity
from intake.runner.read_many import read_many
from intake.runner.run_batch import ReadBatch


def run(options: argparse.Namespace) -> ExitCode:
    """Check each workbook and print its findings."""
    settings = settings_from(options)
    paths = workbooks_from(options.paths)
    if settings is None or paths is None:
        return ExitCode.USAGE
    code = ExitCode.DONE
    reads = with_progress(
        read_many(paths, settings, jobs=options.jobs), total=len(paths), quiet=options.quiet
    )
    for path, read in zip(paths, reads, strict=True):
        if options.json:
            for one in read.findings:
                print(finding_json(str(path), one))
        else:
            _tell(str(path), read, quiet=options.quiet)
        if read.batch is None:
            code = max(code, ExitCode.REJECTED)
        elif read.row_errors:
            code = max(code, ExitCode.ROW_ERRORS)
    return code


def _tell(path: str, read: ReadBatch, *, quiet: bool) -> None:
    if read.batch is None:
        print(printable(f"{path}: REJECTED, {severity_counts(read.findings)}"))
    elif not quiet or read.row_errors:
        batteries = f"{len(read.batch.batteries)} batteries"
        print(printable(f"{path}: batch {read.batch.batch}, {batteries}, {severity_counts(read.findings)}"))
    for line in finding_lines(read.findings, least=Severity.ERROR if quiet else Severity.NOTE):
        print(line)
    if read.row_errors and read.batch is not None:
        errors = counted(read.row_errors, "row error")
        print(f"  {errors}: the battery of each stays unresolved until it is mended.")
