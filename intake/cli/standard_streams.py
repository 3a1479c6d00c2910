"""What is printed, where nobody reads it or it cannot be written: the work goes on all the same."""

import io
import os
import select
import sys
from typing import TextIO

_RESULTS, _ERRORS = 1, 2


class _Outlet(io.RawIOBase):
    """Writes to an open file by its number; what cannot be written is let go, and why is kept."""

    def __init__(self, number: int) -> None:
        self._number = number
        self.lost: OSError | None = None

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self._number

    def isatty(self) -> bool:
        return os.isatty(self._number)

    def write(self, content: object) -> int:
        data = bytes(memoryview(content))  # type: ignore[arg-type]  # whatever holds bytes
        while self.lost is None:
            try:
                return os.write(self._number, data)
            except BlockingIOError:
                select.select([], [self._number], [])
            except OSError as problem:
                self.lost = problem
        return len(data)


class StandardStreams:
    """The two streams of a process, made safe to print to for as long as a command runs."""

    def __init__(self) -> None:
        self._out = self._err = None
        _occupy()
        if sys.stdout is None or sys.stdout is sys.__stdout__:
            sys.stdout, self._out = _safe(sys.stdout, _RESULTS)
        if sys.stderr is None or sys.stderr is sys.__stderr__:
            sys.stderr, self._err = _safe(sys.stderr, _ERRORS)
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")

    def why_lost(self) -> str:
        """Say why results could not be printed; empty where they were, or where the reader has gone."""
        sys.stdout.flush()
        lost = self._out.lost if self._out else None
        if lost is None or isinstance(lost, BrokenPipeError):
            return ""
        return (lost.strerror or str(lost)).lower()


def _occupy() -> None:
    """Open what is closed among the first three numbers: a document would be given it and be printed into."""
    for number in range(_ERRORS + 1):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


def _safe(stream: TextIO | None, number: int) -> tuple[TextIO, _Outlet]:
    outlet = _Outlet(number)
    encoding = stream.encoding if stream is not None else "utf-8"
    at_once = number == _ERRORS or outlet.isatty()
    text = io.TextIOWrapper(
        io.BufferedWriter(outlet), encoding=encoding, errors="replace", line_buffering=at_once
    )
    return text, outlet
