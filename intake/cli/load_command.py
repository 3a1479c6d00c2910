"""``intake load new`` and ``intake load write``: what leaves the yard."""

import argparse
import sys
from datetime import date
from pathlib import Path

from intake.checks.cells.dates import DateOrder
from intake.cli.check_command import write_marked
from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import rules_can_be_used
from intake.cli.screen_text import counted, exists_already, finding_lines, no_folder, rejected
from intake.model.finding import Severity
from intake.model.load import LoadKind
from intake.model.paper import Paper
from intake.model.printable import printable
from intake.runner.loads.graded_stock import graded_stocks
from intake.runner.loads.new_load import fit_to_leave, write_new_load
from intake.runner.loads.read_loads import gone_by_load, written_loads
from intake.runner.loads.write_load import read_load_workbook, write_load
from intake.runner.replace_folder import FolderInTheWay, not_written, why_not_written


def run(options: argparse.Namespace) -> ExitCode:
    """List what may leave, or write what leaves."""
    return _new(options) if options.action == "new" else _write(options)


def _new(options: argparse.Namespace) -> ExitCode:
    path: Path = options.out
    if path.suffix.lower() != ".xlsx":
        return _say(f"{path}: give the load workbook a name that ends in .xlsx.", ExitCode.USAGE)
    for folder in options.folders:
        if not folder.is_dir():
            return _say(no_folder(folder), ExitCode.USAGE)
    stocks, left_out = graded_stocks(options.folders, recursive=options.recursive)
    loads, unread = written_loads([*options.folders, *options.loads], recursive=options.recursive)
    for line in (*left_out, *unread):
        print(printable(f"left out: {line}"))
    if not stocks:
        return _say("No graded batch was found there.", ExitCode.USAGE)
    kind = LoadKind(options.kind)
    streams = [one.strip() for one in (options.streams or "").split(",") if one.strip()]
    gone = gone_by_load(loads)
    batteries = fit_to_leave(stocks, gone, kind=kind, streams=streams)
    if not batteries:
        return _say(f"No battery there is fit for a load of the kind {kind.value}.", ExitCode.USAGE)
    try:
        write_new_load(
            path, stocks, batteries, kind=kind, consignee=options.consignee, paper=Paper(options.paper)
        )
    except FileExistsError:
        return _say(exists_already(path), ExitCode.NOT_WRITTEN)
    except OSError as problem:
        return _say(not_written(problem, path), ExitCode.NOT_WRITTEN)
    earlier = f"{len(gone)} left earlier" if gone else "none left earlier"
    print(printable(f"{path}: {counted(len(batteries), 'row')}, {earlier}."))
    print(
        printable(
            f"  Tick what leaves, fill in Load and Packages, save, then: intake load write {path} --out loads"
        )
    )
    return ExitCode.REJECTED if left_out or unread else ExitCode.DONE


def _write(options: argparse.Namespace) -> ExitCode:
    order = DateOrder.DAY_FIRST if options.day_first else None
    order = DateOrder.MONTH_FIRST if options.month_first else order
    if not rules_can_be_used(options.rule_data):
        return ExitCode.USAGE
    read = read_load_workbook(
        options.workbook,
        options.out,
        today=date.today(),
        date_order=order,
        rules_folder=options.rule_data,
    )
    code = ExitCode.DONE
    if options.marked is not None and not write_marked(
        options.workbook,
        options.marked,
        read.findings,
        sha256=read.source_sha256,
        overwrite=options.overwrite,
        say_where=True,
    ):
        code = ExitCode.NOT_WRITTEN
    for line in finding_lines(read.findings, least=Severity.NOTE):
        print(line)
    load = read.load
    if load is None:
        print(printable(rejected(options.workbook)))
        return max(code, ExitCode.REJECTED)
    try:
        folder = write_load(read, load, options.out, paper=Paper(options.paper), overwrite=options.overwrite)
    except (OSError, FolderInTheWay) as problem:
        return _say(why_not_written(problem, options.out / load.head.load), ExitCode.NOT_WRITTEN)
    print(printable(f"{load.head.load}: {len(load.batteries)} batteries, documents in {folder}"))
    return code


def _say(text: str, code: ExitCode) -> ExitCode:
    print(printable(text), file=sys.stderr)
    return code
