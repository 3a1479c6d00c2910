"""``intake custody``: all that is known of one battery, in order of time."""

import argparse
import sys
from dataclasses import asdict

from intake.cli.exit_codes import ExitCode
from intake.cli.screen_text import json_line, no_folder
from intake.model.printable import printable
from intake.runner.loads.custody import custody_of


def run(options: argparse.Namespace) -> ExitCode:
    """Print the events of one tag."""
    for folder in options.folders:
        if not folder.is_dir():
            print(printable(no_folder(folder)), file=sys.stderr)
            return ExitCode.USAGE
    events, left_out = custody_of(options.tag, options.folders, recursive=options.recursive)
    for line in left_out:
        print(printable(f"left out: {line}"), file=sys.stderr)
    for one in events:
        if options.json:
            print(json_line(asdict(one)))
        else:
            print(printable(f"{one.day or 'day not known'}  {one.batch}/{one.tag}  {one.what}: {one.text}"))
    if not events:
        print(printable(f"No battery with the tag {options.tag} was found there."), file=sys.stderr)
        return ExitCode.USAGE
    return ExitCode.REJECTED if left_out else ExitCode.DONE
