"""``intake watch``: papers for whoever saves a workbook into a folder."""

import argparse
import signal
import sys
import threading
from pathlib import Path

from intake import __version__
from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import settings_from
from intake.cli.screen_text import no_folder
from intake.model.paper import Paper
from intake.model.printable import printable
from intake.runner.replace_folder import not_written
from intake.runner.settings import Settings
from intake.runner.watch.set_up import set_up_inbox
from intake.runner.watch.watch_inbox import Watch, WatchOptions
from intake.runner.workers.processes import processes


def run(options: argparse.Namespace) -> ExitCode:
    """Set up or serve a folder."""
    settings = settings_from(options)
    if settings is None:
        return ExitCode.USAGE
    inbox, out = options.inbox, options.out or options.inbox / "graded"
    if options.set_up:
        return _set_up(inbox, out, Paper(options.paper))
    if not inbox.is_dir():
        print(printable(f"{no_folder(inbox)} Make one with: intake watch --set-up {inbox}"), file=sys.stderr)
        return ExitCode.USAGE
    return _serve(inbox, out, settings, options)


def _set_up(inbox: Path, out: Path, paper: Paper) -> ExitCode:
    try:
        written = set_up_inbox(inbox, out, paper=paper, version=__version__)
    except OSError as problem:
        print(printable(not_written(problem, inbox)), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    for path in written:
        print(printable(f"{path} is ready."))
    print(printable(f"Now run: intake watch {inbox} --out {out}"))
    return ExitCode.DONE


def _serve(inbox: Path, out: Path, settings: Settings, options: argparse.Namespace) -> ExitCode:
    stop = threading.Event()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name) and threading.current_thread() is threading.main_thread():
            signal.signal(getattr(signal, name), lambda *_: stop.set())
    say = (lambda _: None) if options.quiet else _say
    try:
        watch = Watch(
            WatchOptions(
                inbox,
                out,
                settings,
                at=processes(options.jobs),
                moment_s=options.moment,
                polling=options.polling,
            ),
            say=say,
        )
    except OSError as problem:
        print(printable(not_written(problem, out)), file=sys.stderr)
        return ExitCode.NOT_WRITTEN
    if not options.once:
        watch.run(stop)
        return ExitCode.DONE
    watch.once(stop)
    if watch.not_written:
        return ExitCode.NOT_WRITTEN
    if watch.rejected:
        return ExitCode.REJECTED
    return ExitCode.ROW_ERRORS if watch.row_errors else ExitCode.DONE


def _say(line: str) -> None:
    print(printable(line), flush=True)
