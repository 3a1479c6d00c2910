"""A scheduler and workers as processes of their own on the loopback address."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.architecture.source import ROOT

HANG_S = 360
"""Only to end a hang."""


def until(is_so: Callable[[], object], what: str) -> None:
    """Wait until something is so."""
    end = time.monotonic() + HANG_S
    while not is_so():
        assert time.monotonic() < end, what
        time.sleep(0.05)


class Loopback:
    """A scheduler, and the workers that were added to it."""

    def __init__(self, folder: Path, **configuration: str) -> None:
        folder.mkdir(parents=True)
        self._folder, self._configuration = folder, configuration
        self._processes: list[subprocess.Popen[bytes]] = []
        about = folder / "scheduler.json"
        self.scheduler = self._start(
            "dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(about), name="s"
        )
        until(lambda: about.exists() and about.read_text(encoding="utf-8").endswith("}"), "no scheduler")
        self.address: str = json.loads(about.read_text(encoding="utf-8"))["address"]

    def add_worker(self, beginning: str = "", *, before: tuple[str, ...] = ()) -> subprocess.Popen[bytes]:
        """Add a worker that runs some lines first; ``before`` is a command that starts it."""
        name = f"w{len(self._processes)}"
        (self._folder / name).mkdir()
        (self._folder / name / "sitecustomize.py").write_text(beginning, encoding="utf-8")
        worker = self._start(
            "dask_worker",
            self.address,
            *("--host", "127.0.0.1", "--nthreads", "1", "--no-nanny"),
            *("--local-directory", str(self._folder / name)),
            name=name,
            before=before,
        )
        until(lambda: "Registered to" in self._said(name) or worker.poll() is not None, f"no worker {name}")
        assert worker.poll() is None, self._said(name)
        return worker

    def _said(self, name: str) -> str:
        return (self._folder / f"{name}.log").read_text(encoding="utf-8", errors="replace")

    def _start(
        self, module: str, *arguments: str, name: str, before: tuple[str, ...] = ()
    ) -> "subprocess.Popen[bytes]":
        paths = os.pathsep.join((str(self._folder / name), str(ROOT)))
        with (self._folder / f"{name}.log").open("wb") as log:
            process = subprocess.Popen(
                [*before, sys.executable, "-m", f"distributed.cli.{module}", *arguments, "--no-dashboard"],
                stdout=log,
                stderr=log,
                cwd=self._folder,
                env={**os.environ, "PYTHONPATH": paths, **self._configuration},
                start_new_session=True,
            )
        self._processes.append(process)
        return process

    def end(self) -> None:
        """End every process that is left."""
        for process in reversed(self._processes):
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
            process.wait(HANG_S)


@contextmanager
def loopback(folder: Path, **configuration: str) -> Iterator[Loopback]:
    """Give a scheduler without workers."""
    made = Loopback(folder, **configuration)
    try:
        yield made
    finally:
        made.end()
