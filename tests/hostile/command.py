"""The command line in a process of its own, watched: network, children, writing outside the target."""

import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
HANG_S = 60
"""Only to end a hang; speed is measured elsewhere."""

_WATCHED = """
import os, sys
target = os.path.realpath(sys.argv.pop(1))
writing = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC
changing = {f"os.{one}" for one in "mkdir rename remove rmdir link symlink truncate chmod".split()}
network = ("socket.", "urllib.", "ftplib.", "http.", "smtplib.", "subprocess.", "os.system", "os.exec")

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

from intake.cli.main import main
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
"""


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


def run(*arguments: str | Path, target: Path) -> Ran:
    """Run ``intake`` with these arguments; it may write below ``target`` and nowhere else."""
    command = [sys.executable, "-B", "-c", _WATCHED, str(target), *map(str, arguments)]
    done = subprocess.run(
        command,
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        timeout=HANG_S,
        check=False,
        stdin=subprocess.DEVNULL,
    )
    err, _, peak = done.stderr.rpartition("PEAK ")
    assert peak.strip().isdigit(), done.stderr
    return Ran(done.returncode, done.stdout, err, int(peak) / 1024)
