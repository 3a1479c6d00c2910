"""Entry point: picks the command, and turns every ending into one line and an exit code."""

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from intake.cli.arguments import SHORT_WAY, build_parser
from intake.cli.exit_codes import ExitCode
from intake.cli.standard_streams import StandardStreams
from intake.model.printable import printable
from intake.model.raw_workbook import WORKBOOK_ENDINGS
from intake.runner.workers.workplace import NoWorkplace, WorkplaceLost

_PRINTS_ONLY = ("check", "explain", "policy", "custody")
"""Commands whose result is what they print."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code."""
    streams = StandardStreams()
    given = sys.argv[1:] if arguments is None else arguments
    parser = build_parser()
    if not given:
        parser.exit(ExitCode.USAGE, parser.format_help())
    options = parser.parse_args(_with_command(given))
    try:
        command = import_module(f"intake.cli.{options.command}_command")
        return _told(ExitCode(command.run(options)), streams, options.command)
    except KeyboardInterrupt:
        return _say(_stopped(options), ExitCode.INTERRUPTED)
    except NoWorkplace as refusal:
        return _say(str(refusal), ExitCode.USAGE)
    except WorkplaceLost as lost:
        skipped = "; batches already graded are skipped" if options.command == "grade" else ""
        text = f"{lost} Nothing half-written is left. Start the same command again{skipped}."
        return _say(text, ExitCode.NOT_WRITTEN)
    except OSError as problem:
        where = f" ({problem.filename})" if problem.filename else ""
        why = (problem.strerror or str(problem)).lower()
        return _say(f"The system refuses what is needed: {why}{where}.", ExitCode.NOT_WRITTEN)
    except Exception as fault:  # the last net: a defect of ours is reported in one line, never as a trace
        text = f"intake itself failed ({type(fault).__name__}: {fault}). This is a defect; please report it."
        return _say(text, ExitCode.REJECTED)


def _with_command(arguments: Sequence[str]) -> list[str]:
    """Put the command before a workbook, or any other file, that stands alone."""
    first = arguments[0]
    alone = first.lower().endswith(WORKBOOK_ENDINGS) or os.path.isfile(first)
    return [SHORT_WAY, *arguments] if alone and not first.startswith("-") else list(arguments)


def _told(code: ExitCode, streams: StandardStreams, command: str) -> ExitCode:
    """Return the code of a command; what it could not print is missed where it writes nothing else."""
    why = streams.why_lost()
    if why and command in _PRINTS_ONLY and code in (ExitCode.DONE, ExitCode.ROW_ERRORS):
        return _say(f"What was found could not be printed: {why}.", ExitCode.NOT_WRITTEN)
    return code


def _stopped(options: argparse.Namespace) -> str:
    if getattr(options, "cluster", None):
        return "Stopped. Workers finish the batch that each has begun; nothing half-written is left."
    return "Stopped. Nothing half-written is left."


def _say(text: str, code: ExitCode) -> ExitCode:
    print(printable(text), file=sys.stderr)
    return code
