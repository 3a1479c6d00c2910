"""``intake summarise``: the period register over graded batches."""

import argparse
import sys
from collections import Counter
from pathlib import Path

from intake.cli.exit_codes import ExitCode
from intake.cli.progress import with_progress
from intake.cli.reading_options import rules_can_be_used, settings_from, workplace
from intake.cli.screen_text import carried_lines, counted, no_batch, no_folder
from intake.model.paper import Paper
from intake.model.printable import printable
from intake.model.register import Period, Register
from intake.model.verdict import Grade
from intake.report.register.words import differences_in_words
from intake.runner.find_results import SUFFIX, find_results
from intake.runner.loads.read_loads import LOAD_SUFFIX
from intake.runner.replace_folder import FolderInTheWay, why_not_written
from intake.runner.summarise_batches import read_each, summarise, write_register
from intake.runner.verify.verified_results import verified_results


def run(options: argparse.Namespace) -> ExitCode:
    """Read the results files, write the register, and name what was left out."""
    period = _period(options)
    if isinstance(period, str):
        return _say(period, ExitCode.USAGE)
    if not options.folder.is_dir():
        return _say(no_folder(options.folder), ExitCode.USAGE)
    if not rules_can_be_used(options.rule_data):
        return ExitCode.USAGE
    files, closed = find_results(options.folder, recursive=options.recursive)
    loads: list[tuple[str, Path]] = []
    for folder in (options.folder, *options.loads):
        found, shut = find_results(folder, recursive=options.recursive, suffix=LOAD_SUFFIX)
        loads += found
        if folder is not options.folder:
            closed += shut
    if not files and not closed:
        return _say(no_batch(options.folder), ExitCode.USAGE)
    home = options.folder.resolve().name
    if options.out is None and any(name == f"{home}{SUFFIX}" for name, _ in files):
        text = f"{options.folder} is the folder of one batch. Say with --out where the register goes."
        return _say(text, ExitCode.USAGE)
    settings = settings_from(options) if options.verify else None
    if options.verify and settings is None:
        return ExitCode.USAGE
    with workplace(options, seen=[path for _, path in files[:1]]) as at:
        if settings:
            files, fallen = verified_results(
                options.folder, files, settings, workbooks=options.workbooks, at=at
            )
            closed += fallen
        read = read_each(files, at=at)
        register = summarise(
            with_progress(read, total=len(files), quiet=options.quiet, what="Results"),
            closed,
            period,
            paper=Paper(options.paper),
            loads=loads,
            rules_folder=options.rule_data,
        )
    target = (options.out or options.folder) / f"register-{period.first}-to-{period.last}"
    for one in register.left_out:
        print(printable(f"left out: {one.file}: {one.reason}"))
    try:
        carried = write_register(register, target, overwrite=options.overwrite)
    except (OSError, FolderInTheWay) as problem:
        return _say(why_not_written(problem, target), ExitCode.NOT_WRITTEN)
    if not options.quiet:
        for line in _lines(register):
            print(printable(line))
        print(printable(f"  register in {target}"))
        for line in carried_lines(carried):
            print(printable(line))
    return ExitCode.REJECTED if register.left_out else ExitCode.DONE


def _period(options: argparse.Namespace) -> Period | str:
    """Return the period, or why there is none."""
    closing = options.closing or options.last
    if options.last < options.first:
        return f"--to {options.last} lies before --from {options.first}."
    if closing < options.last:
        return f"--closing {closing} lies before the end of the period, {options.last}."
    return Period(options.first, options.last, closing, options.storage_limit)


def _lines(register: Register) -> list[str]:
    period = register.period
    grades: Counter[Grade] = Counter()
    for one in register.batches:
        for group in one.groups:
            grades[group.grade] += group.count
    count = sum(grades.values())
    batches = f"{len(register.batches)} {'batch' if len(register.batches) == 1 else 'batches'}"
    batteries = f"{count} {'battery' if count == 1 else 'batteries'}"
    if register.batches:
        by_grade = ", ".join(f"{grades[grade]} {grade.value}" for grade in Grade)
        lines = [f"{period.first} to {period.last}: {batches}, {batteries}: {by_grade}"]
    else:
        lines = [f"{period.first} to {period.last}: no batch was received."]
    if register.before or register.after:
        lines.append(f"  received earlier {register.before}, later {register.after}: in no sum")
    lines += [f"  counted once: {one.file} has the same bytes as {one.of}" for one in register.copies]
    lines += _account_lines(register)
    if register.repeated_tags:
        lines.append(f"  {counted(len(register.repeated_tags), 'tag')} in more than one batch")
    return lines


def _account_lines(register: Register) -> list[str]:
    whole, differences = register.account.whole, register.account.differences
    out = whole.sold.count + whole.shipped.count + whole.returned.count
    if not out and not differences:
        return []
    line = (
        f"  on hand before {whole.opening.count} + came in {whole.came_in.count} = sold {whole.sold.count}"
        f" + shipped {whole.shipped.count} + returned {whole.returned.count}"
        f" + on hand {whole.on_hand.count} + difference {whole.difference.count}"
    )
    return [line, *(f"  {one}" for one in differences_in_words(differences))]


def _say(text: str, code: ExitCode) -> ExitCode:
    print(printable(text), file=sys.stderr)
    return code
