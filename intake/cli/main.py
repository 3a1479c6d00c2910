"""Entry point: picks the command, and turns every ending into one line and an exit code."""

import contextlib
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from intake.cli.arguments import build_parser
from intake.cli.exit_codes import ExitCode
from intake.cli.screen_text import printable


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code."""
    options = build_parser().parse_args(arguments)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        command = import_module(f"intake.cli.{options.command}_command")
        code = ExitCode(command.run(options))
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        return _say("Stopped. Nothing half-written is left.", ExitCode.INTERRUPTED)
    except BrokenPipeError:
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.DONE
    except Exception as fault:  # the last net: a defect of ours is told in one line, never as a trace
        text = f"intake itself failed ({type(fault).__name__}: {fault}). This is a defect; please report it."
        return _say(text, ExitCode.REJECTED)


def _say(text: str, code: ExitCode) -> ExitCode:
    print(printable(text), file=sys.stderr)
    return code
