"""``intake new``: a blank workbook."""

import argparse
import sys

from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import rules_can_be_used
from intake.cli.screen_text import exists_already, printable
from intake.runner.replace_folder import not_written
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
        print(printable(exists_already(path)), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    except OSError as problem:
        print(printable(not_written(problem, path)), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    print(printable(f"{path} is ready. Its Guide sheet says how to fill it in."))
    return ExitCode.DONE
