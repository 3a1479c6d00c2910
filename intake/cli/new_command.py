"""``intake new``: a blank workbook."""

import argparse
import sys

from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import rules_can_be_used
from intake.cli.screen_text import printable
from intake.workbook.blank.write import write_blank_workbook


def run(options: argparse.Namespace) -> ExitCode:
    """Write the blank workbook; refuse to overwrite."""
    path = options.file
    if not rules_can_be_used(options.rule_data):
        return ExitCode.USAGE
    if path.suffix.lower() != ".xlsx":
        print(printable(f"{path}: give the new workbook a name that ends in .xlsx."), file=sys.stderr)
        return ExitCode.USAGE
    try:
        write_blank_workbook(path, options.rule_data)
    except FileExistsError:
        print(printable(f"{path} exists already and is left as it is. Choose another name."), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    except OSError as problem:
        text = f"{path} could not be written: {(problem.strerror or str(problem)).lower()}."
        print(printable(text), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    print(printable(f"{path} is ready. Its Guide sheet says how to fill it in."))
    return ExitCode.DONE
