"""``intake verify``: whether the documents of graded batches still stand."""

import argparse
import sys

from intake.cli.exit_codes import ExitCode
from intake.cli.progress import with_progress
from intake.cli.reading_options import settings_from
from intake.cli.screen_text import counted, no_batch, printable
from intake.runner.verify.compare_documents import Standing
from intake.runner.verify.find_batches import find_batches
from intake.runner.verify.verify_batches import Verification, verify_batches, verify_season


def run(options: argparse.Namespace) -> ExitCode:
    """Recompute each graded batch and say of each document how it stands."""
    settings = settings_from(options)
    if settings is None:
        return ExitCode.USAGE
    folders = find_batches(options.folder) if options.folder.is_dir() else []
    if not folders:
        print(printable(no_batch(options.folder)), file=sys.stderr)
        return ExitCode.USAGE
    fallen = unchecked = nothing = 0
    done = verify_batches(folders, settings, workbooks=options.workbooks, jobs=options.jobs)
    for one in with_progress(done, total=len(folders), quiet=options.quiet):
        fallen += not one.stands
        nothing += not one.checked
        unchecked += any(document.standing is Standing.UNCHECKED for document in one.documents)
        _tell(one, quiet=options.quiet)
    season = verify_season(options.folder, folders)
    if season:
        _tell(season, quiet=options.quiet)
    if not options.quiet:
        left = f", {unchecked} not or only in part checked" if unchecked else ""
        print(f"{counted(len(folders), 'graded folder')} looked at, {fallen} no longer standing{left}.")
    if fallen or (season and not season.stands):
        return ExitCode.FALLEN
    return ExitCode.NOTHING_CHECKED if nothing else ExitCode.DONE


def _tell(one: Verification, *, quiet: bool) -> None:
    shown = [doc for doc in one.documents if not quiet or doc.standing is not Standing.STANDS]
    if shown:
        print(printable(f"{one.folder}:"))
    reasons = {document.remark for document in one.documents if document.standing is Standing.UNCHECKED}
    if len(reasons) == 1 and not one.checked and len(one.documents) > 1:
        count = counted(len(one.documents), "document")
        print(printable(f"  {count} {Standing.UNCHECKED.value}: {reasons.pop()}"))
        return
    for document in shown:
        remark = f": {document.remark}" if document.remark else ""
        print(printable(f"  {document.name} {document.standing.value}{remark}"))
