"""``intake check``: what is wrong with a workbook."""

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path

from intake.cli.exit_codes import ExitCode
from intake.cli.progress import with_progress
from intake.cli.reading_options import settings_from, workbooks_from
from intake.cli.screen_text import (
    closing_line,
    counted,
    finding_json,
    finding_lines,
    severity_counts,
    warn_of_today,
)
from intake.model.finding import Finding, Severity
from intake.model.printable import printable
from intake.runner.read_many import read_many
from intake.runner.replace_folder import not_written
from intake.runner.run_batch import ReadBatch
from intake.runner.workers.processes import processes
from intake.workbook.marked.write import MarkedCopyRefused, marked_copy_path, write_marked_copy


def run(options: argparse.Namespace) -> ExitCode:
    """Check each workbook and print its findings."""
    settings = settings_from(options)
    paths = workbooks_from(options.paths, recursive=options.recursive, leave_out=options.marked)
    if settings is None or paths is None:
        return ExitCode.USAGE
    code = ExitCode.DONE
    reads = with_progress(
        read_many(paths, settings, at=processes(options.jobs)), total=len(paths), quiet=options.quiet
    )
    for path, read in zip(paths, reads, strict=True):
        if options.json:
            for one in read.findings:
                print(finding_json(str(path), one))
        else:
            tell(path, read, quiet=options.quiet)
        if read.batch is None:
            code = max(code, ExitCode.REJECTED)
        elif read.row_errors:
            code = max(code, ExitCode.ROW_ERRORS)
        if options.marked is not None and not write_marked(
            path,
            options.marked,
            read.findings,
            sha256=read.source_sha256,
            overwrite=options.overwrite,
            say_where=not options.quiet and not options.json,
        ):
            code = max(code, ExitCode.NOT_WRITTEN)
    return code


def write_marked(
    path: Path, folder: Path, findings: Iterable[Finding], *, sha256: str, overwrite: bool, say_where: bool
) -> bool:
    """Write the marked copy of one workbook and say where; False after saying why there is none.

    Parameters
    ----------
    sha256
        Of the bytes that were checked; empty: it could not be read at all, so there is no cell to mark,
        and the finding says so.
    """
    if not sha256:
        return True
    target = marked_copy_path(path, folder)
    try:
        write_marked_copy(path, target, tuple(findings), sha256=sha256, overwrite=overwrite)
    except MarkedCopyRefused as refusal:
        problem = f"{path}: {refusal}"
    except FileExistsError:
        problem = f"{target} exists already. Add --overwrite to replace it."
    except OSError as error:
        problem = f"{not_written(error, target)} Nothing was left there."
    else:
        if say_where:
            print(printable(f"  marked copy in {target}"))
        return True
    print(printable(problem), file=sys.stderr)
    return False


def tell(path: Path, read: ReadBatch, *, quiet: bool, going_on: bool = False) -> None:
    """Print the findings of one workbook, errors last, and one closing line: what was read, what to do."""
    if quiet and read.batch is not None and not read.row_errors:
        return
    counts = severity_counts(read.findings)
    if read.batch is None:
        print(printable(f"{path}: REJECTED, {counts}"))
    else:
        batteries = counted(len(read.batch.batteries), "battery")
        print(printable(f"{path}: batch {read.batch.batch}, {batteries}, {counts}"))
    for line in finding_lines(read.findings, least=Severity.ERROR if quiet else Severity.NOTE):
        print(line)
    warn_of_today(path, read.of_today)
    print(printable(f"{path.name}: {closing_line(read.batch, read.findings, path, going_on=going_on)}"))
