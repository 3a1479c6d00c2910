"""Options that several commands share, turned into settings."""

import argparse
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from intake.checks.cells.dates import DateOrder
from intake.model.paper import Paper, PaperDocument, Printing
from intake.model.printable import printable
from intake.policy.grading_policy import GradingPolicy, load_grading_policy
from intake.policy.policy_file import PolicyRefused, read_grading_policy
from intake.policy.rule_data import RulesRefused, load_rules
from intake.runner.read_many import find_workbooks, other_spreadsheets
from intake.runner.settings import Settings
from intake.runner.workers.processes import processes
from intake.runner.workers.workplace import Workplace

_NAMED = 3
"""Files that are named; the others are counted."""


def settings_from(options: argparse.Namespace) -> Settings | None:
    """Return the settings, or None after saying why the policy file or the rule data cannot be used."""
    policy, rules = policy_from(options.policy), getattr(options, "rule_data", None)
    if policy is None or not rules_can_be_used(rules):
        return None
    order = DateOrder.DAY_FIRST if getattr(options, "day_first", False) else None
    return Settings(
        policy=policy,
        today=date.today(),
        paper=Paper(getattr(options, "paper", Paper.A4)),
        printing=Printing(
            getattr(options, "papers", None) or tuple(PaperDocument),
            getattr(options, "sheets", "tested") == "all",
        ),
        date_order=DateOrder.MONTH_FIRST if getattr(options, "month_first", False) else order,
        strict=getattr(options, "strict", False),
        overwrite=getattr(options, "overwrite", False),
        reason=getattr(options, "reason", None),
        by=getattr(options, "by", None),
        rules_folder=rules,
    )


def policy_from(path: Path | None) -> GradingPolicy | None:
    """Return the policy in force, or None after saying why the file cannot be used."""
    if path is None:
        return load_grading_policy()
    try:
        return read_grading_policy(path)
    except PolicyRefused as refusal:
        _say_why(refusal)
        return None


def rules_can_be_used(folder: Path | None) -> bool:
    """Say whether a site's own rule data can be used; False after saying why they cannot."""
    try:
        load_rules(folder)
    except RulesRefused as refusal:
        _say_why(refusal)
        return False
    return True


def _say_why(refusal: PolicyRefused | RulesRefused) -> None:
    for line in (f"{refusal}:", *(f"  {problem}" for problem in refusal.problems)):
        print(printable(line), file=sys.stderr)


def workbooks_from(paths: list[Path], *, recursive: bool, leave_out: Path | None = None) -> list[Path] | None:
    """Return the workbooks that the paths stand for, or None after saying which folder holds none.

    See :func:`find_workbooks` for ``recursive`` and ``leave_out``. A file found twice counts once.
    """
    found: dict[object, Path] = {}
    for path in paths:
        inside = find_workbooks(path, recursive=recursive, leave_out=leave_out)
        if not inside:
            where = "no .xlsx workbook, nor do the folders below it" if recursive else "no .xlsx workbook"
            print(printable(f"The folder {path} holds {where}."), file=sys.stderr)
            _tell_not_read(path)
            return None
        _tell_not_read(path)
        for one in inside:
            found.setdefault(_identity(one), one)
    return list(found.values())


def _tell_not_read(folder: Path) -> None:
    """Name what lies in a folder and may be meant as a workbook, but is none that is read."""
    names = [one.name for one in other_spreadsheets(folder)]
    if names:
        more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        text = f"Not read in {folder}: {', '.join(names[:_NAMED])}{more}. Save an intake workbook as .xlsx."
        print(printable(text), file=sys.stderr)


def _identity(path: Path) -> object:
    """Return what is the same for two paths to one file."""
    try:
        about = path.stat()
    except (OSError, ValueError):
        return path
    return (about.st_dev, about.st_ino) if about.st_ino else path.resolve()


@contextmanager
def workplace(
    options: argparse.Namespace, *, seen: Sequence[Path], out: Path | None = None
) -> Iterator[Workplace | None]:
    """Give what ``--jobs`` or ``--cluster`` names; None: this process.

    Parameters
    ----------
    seen
        Files that every worker of a cluster has to see, beside the site's rules and a workbook that is kept.
    out
        The folder that is written into; None: workers write nothing.

    Raises
    ------
    NoWorkplace
        The cluster cannot be used.
    """
    if options.cluster is None:
        yield processes(options.jobs)
        return
    from intake.runner.workers.cluster import cluster

    rules = sorted(options.rule_data.iterdir()) if options.rule_data else []
    workbooks = getattr(options, "workbooks", None)
    kept = find_workbooks(workbooks, recursive=True) if workbooks else []
    with cluster(options.cluster, seen=[*seen, *rules, *kept[:1]], out=out) as at:
        yield at
