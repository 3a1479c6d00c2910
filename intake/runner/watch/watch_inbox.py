"""The loop of a watched folder: wake, look, grade what is complete, mark what is rejected."""

import hashlib
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from intake.model.finding import Severity
from intake.runner.first_look import first_look
from intake.runner.grade_many import Ending, Outcome, grade_many
from intake.runner.settings import Settings
from intake.runner.watch.inbox import Inbox, marked_beside, origin
from intake.runner.watch.ledger import Done, Ledger
from intake.runner.workers.workplace import Workplace
from intake.workbook.marked.write import MarkedCopyRefused, write_marked_copy

MOMENT_S = 2.0
"""How long a workbook has to stand unchanged."""
_RETRY_S = 60.0
"""After which a workbook that could not be written for is tried again."""
_SAVED_AGAIN = "saved again in the watched folder"
_CAME_BACK = (
    "the same bytes as an earlier save of it, so nothing is graded and the papers stay as they are. To have"
    " it graded again, open it and save it."
)
_CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class WatchOptions:
    """The settings of a watch."""

    inbox: Path
    out: Path
    settings: Settings
    at: Workplace | None = None
    """Where the work is done; None: in this process."""
    moment_s: float = MOMENT_S
    polling: bool = False
    """Look every moment, and trust no message of the system: for folders on other machines."""


class Watch:
    """One watched folder. ``say`` is given each line of the log."""

    def __init__(
        self,
        options: WatchOptions,
        *,
        say: Callable[[str], None],
        now: Callable[[], datetime] = datetime.now,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._options = options
        self._say, self._now, self._clock = say, now, clock
        options.out.mkdir(parents=True, exist_ok=True)
        self._inbox = Inbox(options.inbox, options.moment_s)
        self._ledger = Ledger(options.out)
        self._retry_s: dict[Path, float] = {}
        self._digests: dict[Path, str] = {}
        """Of each workbook as it was when its turn came."""
        self._away = False
        self.rejected = self.not_written = self.row_errors = 0

    def run(self, stop: threading.Event) -> None:
        """Serve the folder until ``stop`` is set; what is being written then is finished."""
        self._log(f"watching {self._options.inbox}")
        for _ in _wakes(self._options, stop):
            self.look(stop)
        self._log("stopped")

    def once(self, stop: threading.Event) -> None:
        """Serve what is in the folder now, and wait no longer than it takes to stand unchanged."""
        self.look(stop)
        while self._inbox.waiting - self._retry_s.keys() and not stop.wait(self._options.moment_s / 4):
            self.look(stop)

    def look(self, stop: threading.Event) -> None:
        """Grade every workbook that is complete now; what goes wrong with one does not stop the others."""
        try:
            paths = self._inbox.settled(self._clock())
        except OSError as problem:
            if not self._away:
                self._log(f"{self._options.inbox} cannot be read just now: {problem.strerror or problem}.")
            self._away = True
            stop.wait(self._options.moment_s)
            return
        self._away = False
        paths = [path for path in paths if self._retry_s.get(path, 0) <= self._clock()]
        todo = [path for path in paths if self._is_new(path)]
        try:
            for outcome in self._graded(todo):
                self._settle(outcome)
                if stop.is_set():
                    return
        except Exception as fault:  # a watch goes on; the next save of these workbooks is another try
            for path in todo:
                self._inbox.take(path)
            self._log(f"intake itself failed ({type(fault).__name__}: {fault}). Please report this defect.")

    def _is_new(self, path: Path) -> bool:
        digest = _sha256(path)
        if digest is None:
            return False
        self._digests[path] = digest
        if self._ledger.knows(digest):
            self._inbox.take(path)
            if self._ledger.came_back(digest, path.name):
                self._log(f"{path.name}: {_CAME_BACK}")
            return False
        return True

    def _graded(self, paths: list[Path]) -> Iterator[Outcome]:
        options = self._options
        again = options.settings._replace(reason=_SAVED_AGAIN, renew=True)
        allowed = []
        for path in paths:
            batch = first_look(path, settings=options.settings).batch or ""
            before = self._ledger.origin_of(batch)
            if before is None or before == origin(path):
                allowed.append(path)
            else:
                self._refuse_name(path, batch, before)
        yield from grade_many(allowed, options.out, again, at=options.at, resume=True)

    def _refuse_name(self, path: Path, batch: str, before: str) -> None:
        self.rejected += 1
        self._done(path, "")
        self._log(
            f"{path.name}: rejected. The batch name {batch} belongs to {before}.xlsx already. Another pallet:"
            f" give it a batch name of its own. The same pallet: save it as {before}.xlsx."
        )

    def _settle(self, outcome: Outcome) -> None:
        path = outcome.path
        errors = sum(one.severity is Severity.ERROR for one in outcome.findings)
        if outcome.ending is Ending.NOT_WRITTEN:
            self.not_written += 1
            self._retry_s[path] = self._clock() + _RETRY_S
            self._log(f"{path.name}: not written. {outcome.problem} It is tried again.")
            return
        self._retry_s.pop(path, None)
        marked = self._what_to_do(outcome) if errors else ""
        self._done(path, outcome.batch if outcome.ending is not Ending.REJECTED else "")
        if outcome.ending is Ending.REJECTED:
            self.rejected += 1
            first = next(one for one in outcome.findings if one.severity is Severity.ERROR)
            self._log(
                f"{path.name}: rejected, {_errors(errors)}, nothing was written. {first.message}{marked}"
            )
        elif outcome.ending is Ending.SAME_AS_ANOTHER:
            self._log(f"{path.name}: {outcome.problem}")
        elif outcome.ending is Ending.GRADED_ALREADY:
            self._log(f"{path.name}: batch {outcome.batch} is graded already from the same workbook")
        else:
            self.row_errors += outcome.row_errors
            papers = ", ".join(sorted(one.name for one in (outcome.folder or path).glob("*.pdf")))
            batteries = "1 battery" if outcome.batteries == 1 else f"{outcome.batteries} batteries"
            missing = f" {outcome.missing}" if outcome.missing else ""
            told = f"graded, batch {outcome.batch}, {batteries}, {_errors(errors)}"
            self._log(
                f"{path.name}: {told}. In {outcome.folder}: {papers}."
                f" Print {outcome.batch}-manifest.pdf first.{missing}{marked}"
            )

    def _what_to_do(self, outcome: Outcome) -> str:
        """Mark the cells of a workbook with errors, or say what to do about one without such cells."""
        first = next(one for one in outcome.findings if one.severity is Severity.ERROR)
        of_cells = any(one.sheet for one in outcome.findings if one.severity is Severity.ERROR)
        return self._mark(outcome) if of_cells else f" {first.hint}"

    def _mark(self, outcome: Outcome) -> str:
        """Put the marked copy beside a workbook with errors; return the words for the log."""
        path, target = outcome.path, marked_beside(outcome.path)
        digest = self._digests[path]
        try:
            while target.exists() and not self._ledger.wrote(_sha256(target) or ""):
                target = marked_beside(target)  # somebody has worked on that one
            write_marked_copy(path, target, outcome.findings, sha256=digest, overwrite=True)
        except MarkedCopyRefused as refusal:
            return f" {refusal}"
        except OSError as problem:
            return f" No marked copy can be made: {(problem.strerror or str(problem)).lower()}."
        self._ledger.add(Done(_sha256(target) or "", "", origin(path), ours=True, name=target.name))
        return f" Mend the cells marked in {target.name} and save it."

    def _done(self, path: Path, batch: str) -> None:
        self._ledger.add(Done(self._digests[path], batch, origin(path), name=path.name))
        self._inbox.take(path)

    def _log(self, text: str) -> None:
        self._say(self._ledger.log(text, at=self._now()))


def _wakes(options: WatchOptions, stop: threading.Event) -> Iterator[None]:
    """Yield whenever something in the folder may have changed, and every moment in any case.

    The messages of the system are only there to be quick: a folder on another machine sends none.
    """
    if not options.polling:
        from watchfiles import watch

        with suppress(OSError, RuntimeError):
            for _ in watch(
                options.inbox,
                watch_filter=None,
                recursive=False,
                stop_event=stop,
                rust_timeout=int(options.moment_s * 1000),
                yield_on_timeout=True,
                raise_interrupt=False,
            ):
                yield
                if stop.is_set():
                    return
    while not stop.is_set():
        yield
        stop.wait(options.moment_s)


def _errors(count: int) -> str:
    return "1 error" if count == 1 else f"{count} errors"


def _sha256(path: Path) -> str | None:
    digest = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while chunk := file.read(_CHUNK):
                digest.update(chunk)
    except OSError:
        return None
    return digest.hexdigest()
