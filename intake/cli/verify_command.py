"""``intake verify``: whether the documents of graded batches still stand."""

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path

from intake.cli.exit_codes import ExitCode
from intake.cli.progress import with_progress
from intake.cli.reading_options import settings_from, workplace
from intake.cli.screen_text import counted, no_batch
from intake.model.printable import printable
from intake.runner.sums import SUMS
from intake.runner.verify.compare_documents import Standing
from intake.runner.verify.find_batches import find_batches
from intake.runner.verify.verify_batches import Verification, verify_batches, verify_season
from intake.runner.verify.verify_loads import digests_of_results, find_loads, verify_loads
from intake.runner.verify.verify_registers import find_registers, verify_registers
from intake.runner.workers.workplace import WorkplaceLost

_WHAT_TO_DO = (
    "Do not rely on a document that differs. Ask who changed it or its workbook; then put back a copy that "
    "is known to be whole, or grade the workbook again."
)


def run(options: argparse.Namespace) -> ExitCode:
    """Recompute each graded batch and say of each document how it stands."""
    settings = settings_from(options)
    if settings is None:
        return ExitCode.USAGE
    root: Path = options.folder
    folders = find_batches(root) if root.is_dir() else []
    loads = [
        one
        for place in (root, *options.loads, *options.further)
        if place.is_dir()
        for one in find_loads(place)
    ]
    registers = find_registers(root) if root.is_dir() else []
    if not folders and not loads and not registers:
        print(printable(no_batch(root)), file=sys.stderr)
        return ExitCode.USAGE
    tally = _Tally(quiet=options.quiet)
    try:
        with workplace(options, seen=[one.path / SUMS for one in folders[:1]]) as at:
            done = verify_batches(folders, settings, workbooks=options.workbooks, at=at)
            for one in with_progress(done, total=len(folders), quiet=options.quiet):
                tally.add(one)
    except WorkplaceLost as lost:
        text = f"{lost} The folders not named above were not checked. Start the same command again."
        print(printable(text), file=sys.stderr)
        return ExitCode.FALLEN if tally.fallen else ExitCode.NOTHING_CHECKED
    season = verify_season(root, folders) if folders else None
    if season:
        _tell(season, quiet=options.quiet)
    results = digests_of_results(folders) if folders else None
    for one in verify_loads(loads, settings, workbooks=options.workbooks, results=results):
        tally.add(one)
    for one in verify_registers(
        registers, root, loads=[*options.loads, *options.further], rules_folder=settings.rules_folder
    ):
        tally.add(one)
    if not options.quiet:
        parts = [counted(len(folders), "graded folder")] if folders or not (loads or registers) else []
        parts += [counted(len(loads), "load")] if loads else []
        parts += [counted(len(registers), "register")] if registers else []
        if tally.fallen:
            print(_WHAT_TO_DO)
        left = f", {tally.unchecked} not or only in part checked" if tally.unchecked else ""
        print(f"{', '.join(parts)} checked, {tally.fallen} no longer standing{left}.")
    if tally.fallen or (season and not season.stands):
        return ExitCode.FALLEN
    return ExitCode.NOTHING_CHECKED if tally.nothing else ExitCode.DONE


@dataclass(slots=True)
class _Tally:
    """How many folders do not stand, could not be checked in part, or not at all."""

    quiet: bool
    fallen: int = 0
    unchecked: int = 0
    nothing: int = 0

    def add(self, one: Verification) -> None:
        """Count one folder and say how its documents stand."""
        self.fallen += not one.stands
        self.nothing += not one.checked
        self.unchecked += any(document.standing is Standing.UNCHECKED for document in one.documents)
        _tell(one, quiet=self.quiet)


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
