"""``intake new``: a blank workbook, its short form, or the form for a pen."""

import argparse
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from intake import __version__
from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import rules_can_be_used
from intake.cli.screen_text import exists_already
from intake.model.paper import Paper
from intake.model.printable import printable
from intake.runner.replace_folder import not_written
from intake.runner.write_forms import write_pen_form_file
from intake.workbook.blank.write import write_blank_workbook

_FILLED_IN = "Its Guide sheet says how to fill it in."
_PRINTED = "Print it, fill it in, and type it into a workbook from: intake new --short FILE.xlsx"


def run(options: argparse.Namespace) -> ExitCode:
    """Write what is asked for; refuse to overwrite."""
    if options.file is None and options.pen is None:
        print("Give the new workbook a name, such as: intake new pallet-17.xlsx", file=sys.stderr)
        return ExitCode.USAGE
    if not rules_can_be_used(options.rule_data):
        return ExitCode.USAGE
    for path, suffix in ((options.file, ".xlsx"), (options.pen, ".pdf")):
        if path is not None and path.suffix.lower() != suffix:
            print(printable(f"{path}: give it a name that ends in {suffix}."), file=sys.stderr)
            return ExitCode.USAGE
    codes = []
    if options.file is not None:
        write = partial(write_blank_workbook, rules_folder=options.rule_data, short=options.short)
        codes.append(_write(options.file, write, _FILLED_IN))
    if options.pen is not None:
        print_form = partial(write_pen_form_file, paper=Paper(options.paper), version=__version__)
        codes.append(_write(options.pen, print_form, _PRINTED))
    return max(codes)


def _write(path: Path, write: Callable[[Path], None], ready: str) -> ExitCode:
    try:
        write(path)
    except FileExistsError:
        print(printable(exists_already(path)), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    except OSError as problem:
        print(printable(not_written(problem, path)), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    print(printable(f"{path} is ready. {ready}"))
    return ExitCode.DONE
