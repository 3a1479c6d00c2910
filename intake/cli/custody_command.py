"""``intake custody``: all that is known of one battery, in order of time."""

import argparse
import sys
from dataclasses import asdict

from intake.cli.exit_codes import ExitCode
from intake.cli.screen_text import json_line, no_folder
from intake.model.printable import printable
from intake.runner.loads.custody import Event, custody_of


def run(options: argparse.Namespace) -> ExitCode:
    """Print the events of one tag."""
    for folder in options.folders:
        if not folder.is_dir():
            print(printable(no_folder(folder)), file=sys.stderr)
            return ExitCode.USAGE
    events, left_out = custody_of(options.tag, options.folders, recursive=options.recursive)
    for line in left_out:
        print(printable(f"left out: {line}"), file=sys.stderr)
    if options.json:
        for one in events:
            print(json_line(asdict(one)))
    else:
        _print_by_battery(events)
    if not events:
        print(printable(f"No battery with the tag {options.tag} was found there."), file=sys.stderr)
        return ExitCode.USAGE
    return ExitCode.REJECTED if left_out else ExitCode.DONE


def _print_by_battery(events: list[Event]) -> None:
    """Print the events of each battery in order of time, under its name where several share the tag."""
    batteries = list(dict.fromkeys((one.batch, one.tag) for one in events))
    if len(batteries) > 1:
        print(printable(f"{len(batteries)} batteries have this tag, each in a batch of its own."))
    for batch, tag in batteries:
        if len(batteries) > 1:
            print()
            print(printable(f"Battery {tag} of batch {batch}"))
        for one in events:
            if (one.batch, one.tag) == (batch, tag):
                print(printable(f"{one.day or 'day not known'}  {batch}/{tag}  {one.what}: {one.text}"))
