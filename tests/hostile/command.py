"""The command line in a process of its own, watched: network, children, writing outside the target."""

import atexit
import json
import os
import select
import signal
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
HANG_S = 300
"""Only to end a hang; speed is measured elsewhere."""
COMMANDS = ("check", "grade")

_WATCHED = """
import importlib, json, os, sys
writing = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC
changing = {f"os.{one}" for one in "mkdir rename remove rmdir link symlink truncate chmod".split()}
network = ("socket.", "urllib.", "ftplib.", "http.", "smtplib.", "subprocess.", "os.system", "os.exec")
target = ""

def inside(path):
    if isinstance(path, int):
        return True
    full = os.path.realpath(os.fsdecode(path))
    return full == os.devnull or full == target or full.startswith(target + os.sep)

def watch(event, args):
    bad = event.startswith(network)
    if event == "open" and isinstance(args[2], int) and args[2] & writing:
        bad = not inside(args[0])
    if event in changing:
        bad = not all(inside(one) for one in args if isinstance(one, (str, bytes)))
    if bad:
        os.write(2, f"FORBIDDEN {event} {args!r}\\n".encode())
        os._exit(99)

def run(arguments, within, printed, complained):
    global target
    target = os.path.realpath(within)
    for number, path in enumerate((os.devnull, printed, complained)):
        os.dup2(os.open(path, os.O_RDWR), number)
    sys.argv[1:] = arguments
    sys.addaudithook(watch)
    try:
        code = main()
    except SystemExit as stop:
        code = stop.code
    sys.stdout.flush()
    sys.stderr.flush()
    with open("/proc/self/status") as status:
        peak = next(line.split()[1] for line in status if line.startswith("VmHWM"))
    os.write(2, f"PEAK {peak}\\n".encode())
    os._exit(int(code))

from intake.cli.main import main
for command in sys.argv[1:]:
    importlib.import_module(f"intake.cli.{command}_command")
for line in sys.stdin:
    child = os.fork()
    if not child:
        run(*json.loads(line))
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
"""Forks a child for each command it gets. A child's peak begins with what this program itself holds."""


class Ran(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str
    peak_mb: float
    """The most memory it had at any time."""

    @property
    def lines(self) -> list[str]:
        """All that was printed."""
        return (self.out + self.err).splitlines()


class Watched:
    """A Python that has loaded these commands only, and runs ``intake`` in children of its own."""

    def __init__(self, *commands: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-B", "-c", _WATCHED, *commands],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
            cwd=ROOT,
            start_new_session=True,
        )

    def run(self, *arguments: str | Path, target: Path) -> Ran:
        """Run ``intake`` with these arguments; it may write below ``target`` and nowhere else."""
        assert self._process.stdin
        assert self._process.stdout
        with tempfile.TemporaryDirectory() as folder:
            printed, complained = Path(folder, "out"), Path(folder, "err")
            printed.touch()
            complained.touch()
            told = [[*map(str, arguments)], str(target), str(printed), str(complained)]
            self._process.stdin.write(json.dumps(told) + "\n")
            self._process.stdin.flush()
            ended, _, _ = select.select([self._process.stdout], [], [], HANG_S)
            if not ended:
                os.killpg(self._process.pid, signal.SIGKILL)
            code = self._process.stdout.readline()
            out, err = (path.read_bytes().decode("utf-8") for path in (printed, complained))
        assert code, "it hangs"
        err, _, peak = err.rpartition("PEAK ")
        assert peak.strip().isdigit(), err + peak
        return Ran(int(code), out, err, int(peak) / 1024)

    def close(self) -> None:
        self._process.communicate()


@cache
def _loaded() -> Watched:
    watched = Watched(*COMMANDS)
    atexit.register(watched.close)
    return watched


def run(*arguments: str | Path, target: Path) -> Ran:
    """Run ``intake`` in a child of a process that has everything loaded already."""
    return _loaded().run(*arguments, target=target)


def run_afresh(*arguments: str | Path, target: Path) -> Ran:
    """Run ``intake`` in a child that has to load its command while it is watched."""
    watched = Watched()
    try:
        return watched.run(*arguments, target=target)
    finally:
        watched.close()
