"""Workers on other machines, by the scheduler of a ``dask.distributed`` cluster. Only here is it named."""

import asyncio
import logging
import pickle
import warnings
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from threading import Event, Lock, Thread
from time import monotonic, sleep
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from intake.runner.work_folder import work_folder
from intake.runner.workers import on_worker
from intake.runner.workers.on_worker import Unfit, WorkerUnfit, do, ticket_for, why_unfit
from intake.runner.workers.workplace import NoWorkplace, Workplace, WorkplaceLost

if TYPE_CHECKING:
    from distributed import Client

Given = ParamSpec("Given")
Work = TypeVar("Work")

CONNECT_S = 10.0
"""How long the scheduler may take to answer."""
NO_WORKER_S = 60.0
"""How long a scheduler may be without a worker: one that ended is started again by then."""
_LOOK_S = 2.0
_PAUSE_S = 0.5
_CLOSE_S = 5.0
_AHEAD_PER_WORKER = 4
_NOT_INSTALLED = (
    "--cluster needs the extra [cluster], which is not installed here. Run pip install '.[cluster]' in the"
    " folder that intake was installed from."
)
_LOGGERS = (
    "distributed",
    "distributed.client",
    "distributed.gc",
    "tornado",
    "tornado.application",
    "asyncio",
)


@contextmanager
def cluster(address: str, *, seen: Sequence[Path], out: Path | None) -> Iterator[Workplace]:
    """Give a workplace whose workers are those of the scheduler at an address.

    Parameters
    ----------
    address
        The scheduler's: ``tcp://host:port``, or ``tls://host:port`` with the certificates of dask's own
        configuration.
    seen
        Files that every worker has to see as this machine does.
    out
        The folder that workers write into; None: they write nothing.

    Raises
    ------
    NoWorkplace
        There is none that can be used, and nothing was begun.
    OSError
        ``out`` cannot be written into.
    """
    client = _connected(address)
    try:
        with _locked_file(out) as locked:
            ticket = ticket_for(seen, locked=locked)
            _look_at_workers(client, ticket, address)
            place = _Cluster(client, ticket, address)
            try:
                yield place
            finally:
                place.leave()
    finally:
        with suppress(Exception):  # a scheduler that is gone need not hear of it
            client.close(timeout=_CLOSE_S)


def _connected(address: str) -> "Client":
    """Return a client of the scheduler at an address."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # versions are compared by what the documents depend on
        try:
            from distributed import Client
        except ImportError as problem:
            raise NoWorkplace(_NOT_INSTALLED) from problem
        for name in _LOGGERS:
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
        try:
            kind = asyncio.run(asyncio.wait_for(_kind_of_server(address), CONNECT_S))
            if kind == "Scheduler":
                return Client(address, timeout=CONNECT_S, set_as_default=False, name="intake")
            why = f"a {kind.lower()} answers there, not its scheduler"
        except (OSError, MemoryError):  # no answer in time, or one that is read as a huge message
            why = f"nothing answers there as a scheduler does, in {CONNECT_S:g} s"
        except Exception as problem:
            why = _first_line(problem)
            if address.startswith("tls:"):
                why = "the certificates under distributed.comm.tls in dask's configuration cannot be used"
    raise NoWorkplace(
        f"No dask scheduler can be reached at {address}: {why}. Check the address, and that it runs."
    )


async def _kind_of_server(address: str) -> str:
    """Ask what listens at an address; dask's client would wait for ever for something else to answer."""
    from distributed.comm.core import connect
    from distributed.security import Security

    comm = await connect(address, timeout=CONNECT_S, **Security().get_connection_args("client"))
    await comm.write({"op": "identity", "reply": True, "close": True})
    answer = await comm.read()
    return str(answer["type"])


@contextmanager
def _locked_file(out: Path | None) -> Iterator[Path | None]:
    """Give a file in ``out`` whose lock is held, for workers to try; what is left of it is cleared."""
    if out is None:
        yield None
        return
    missing = not out.exists()
    out.mkdir(parents=True, exist_ok=True)
    try:
        with work_folder(out / "cluster", ()) as work:
            yield work.owner
    finally:
        if missing:
            with suppress(OSError):
                out.rmdir()


def _look_at_workers(client: "Client", ticket: bytes, address: str) -> None:
    """Ask every worker that is there whether it can take the work; one that comes later is asked then."""
    until = monotonic() + on_worker.PATIENCE_S
    while unfit := _unfit_workers(client, ticket, address):
        if monotonic() > until or not all(one.passing for one in unfit):
            raise NoWorkplace(next(one for one in sorted(unfit, key=lambda one: one.passing)).sentence)
        sleep(_PAUSE_S)


def _unfit_workers(client: "Client", ticket: bytes, address: str) -> list[Unfit]:
    try:
        answers = client.run(why_unfit, ticket, on_error="return", callback_timeout=on_worker.PATIENCE_S)
    except Exception as problem:
        raise NoWorkplace(
            f"The scheduler at {address} does not reach its workers: {_first_line(problem)}."
        ) from problem
    return [
        one if isinstance(one, Unfit) else _strange(name, one)
        for name, one in answers.items()
        if one is not None
    ]


def _strange(worker: str, problem: Exception) -> Unfit:
    """Say why a worker did not even look: as a rule it has another intake, or none."""
    if isinstance(problem, OSError):
        return Unfit(f"The worker {worker} does not answer: {_first_line(problem)}.", passing=True)
    ours = dict(on_worker.own_versions())["intake"]
    text = f"The worker {worker} does not find intake {ours} ({_first_line(problem)}). Install that there."
    return Unfit(text, passing=False)


class _Cluster:
    """A workplace on other machines, which is looked at every other second."""

    fewest = 1

    def __init__(self, client: "Client", ticket: bytes, address: str) -> None:
        self._client, self._ticket, self._address = client, ticket, address
        self._executor = client.get_executor(pure=False)
        self._lock = Lock()
        self._waiting: set[Future[Any]] = set()
        self._problem: NoWorkplace | WorkplaceLost | None = None
        self._left = Event()
        self._threads = 1
        self._had_workers = False
        Thread(target=self._watch, daemon=True).start()

    def open(self, _items: int, /) -> Executor:
        return _Handing(self)

    def ahead(self) -> int:
        return self._threads * _AHEAD_PER_WORKER

    def leave(self) -> None:
        """Give up what is still waited for."""
        self._left.set()
        self._fail(WorkplaceLost("The run ended."))

    def hand_out(self, work: Callable[[], Work]) -> "Future[Work]":
        """Have a piece of work done by a worker."""
        future: Future[Work] = Future()
        future.set_running_or_notify_cancel()
        with self._lock:
            self._waiting.add(future)
        try:
            if self._problem:
                raise self._problem
            inner = self._executor.submit(do, self._ticket, pickle.dumps(work))
            inner.add_done_callback(partial(self._pass_on, future))
        except Exception as problem:
            self._settle(future, fault=self._lost(problem))
        return future

    def _pass_on(self, future: "Future[Any]", done: "Future[tuple[bool, Any]]") -> None:
        """Give what came of a piece of work to whoever waits for it."""
        from distributed.scheduler import KilledWorker

        if done.cancelled():
            self._fail(self._no_scheduler())
            return
        problem = done.exception()
        if isinstance(problem, KilledWorker):
            self._settle(future, fault=BrokenExecutor(str(problem)))
        elif problem is not None:
            self._settle(future, fault=self._lost(problem))
        else:
            well, what = done.result()
            self._settle(future, what, fault=None if well else what)

    def _no_scheduler(self) -> WorkplaceLost:
        return WorkplaceLost(f"The scheduler at {self._address} is lost.")

    def _lost(self, problem: BaseException) -> Exception:
        if isinstance(problem, NoWorkplace | WorkplaceLost):
            return problem
        if isinstance(problem, WorkerUnfit):
            return WorkplaceLost(f"{problem}")
        return WorkplaceLost(f"A worker could not take the work: {_first_line(problem)}.")

    def _settle(self, future: "Future[Any]", value: Any = None, *, fault: BaseException | None) -> None:
        with self._lock:
            if future not in self._waiting:
                return
            self._waiting.remove(future)
        if fault is None:
            future.set_result(value)
        else:
            future.set_exception(fault)

    def _fail(self, why: NoWorkplace | WorkplaceLost) -> None:
        """Tell everyone who waits that nothing will come."""
        with self._lock:
            self._problem = self._problem or why
            waiting = list(self._waiting)
        for future in waiting:
            self._settle(future, fault=self._problem)

    def _count(self) -> bool:
        """Count the threads of the workers that take work or are at it; False where there is none.

        One that has used most of its memory takes no more.
        """
        scheduler = self._client.scheduler
        if scheduler is None:
            raise ConnectionError
        answer = self._client.sync(scheduler.identity, callback_timeout=CONNECT_S)
        useful = [
            one
            for one in answer["workers"].values()
            if one["status"] == "running" or one["metrics"]["task_counts"].get("executing")
        ]
        self._threads = max(1, sum(one["nthreads"] for one in useful))
        return bool(useful)

    def _watch(self) -> None:
        """See to it that nobody waits for ever: without a scheduler, or without a worker, nothing comes."""
        last_seen = monotonic()
        while not self._left.is_set():
            try:
                if self._count():
                    last_seen, self._had_workers = monotonic(), True
            except Exception:
                self._fail(self._no_scheduler())
                return
            if monotonic() - last_seen > NO_WORKER_S:
                self._fail(self._no_worker())
                return
            self._left.wait(_LOOK_S)

    def _no_worker(self) -> NoWorkplace | WorkplaceLost:
        if not self._had_workers:
            text = f"The scheduler at {self._address} has no worker. Start some, then try again."
            return NoWorkplace(text)
        return WorkplaceLost(
            f"No worker of the scheduler at {self._address} has taken work for {NO_WORKER_S:g} s."
        )


class _Handing(Executor):
    """The standard interface to a cluster."""

    def __init__(self, place: _Cluster) -> None:
        self._place = place

    def submit(
        self, work: Callable[Given, Work], /, *args: Given.args, **kwargs: Given.kwargs
    ) -> "Future[Work]":
        return self._place.hand_out(partial(work, *args, **kwargs))


def _first_line(problem: BaseException) -> str:
    return (str(problem).splitlines() or [type(problem).__name__])[0][:200].rstrip(".")
