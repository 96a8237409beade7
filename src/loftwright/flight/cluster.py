"""Blocks flown on other machines, through Dask's scheduler; the same numbers as here.

A block is a pure function of its recipe and the numbers of its flights, so a block whose worker is
lost is flown again by another. Every worker is asked what it computes with, when it is met and
again with every block: one that would give other numbers is refused.
"""

from __future__ import annotations

import sys
from collections.abc import Generator, Iterator, Mapping
from contextlib import contextmanager, suppress
from logging import CRITICAL, getLogger
from threading import Event, Lock
from time import monotonic
from typing import Any

from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.blocks import AHEAD, Block, Recipe, fly_block, in_order, spans
from loftwright.flight.fingerprint import fingerprint
from loftwright.flight.loop_thread import LoopThread, NoLoopError

__all__ = ["fly_on_cluster", "fly_remote"]

OPTION = "--cluster"
STARTS_WITHIN = 30.0  # s, of a thread of ours, on a machine that is busy
ANSWERS_WITHIN = 15.0  # s, of a scheduler and of its first worker
ALONE = 60.0  # s without any worker, and the cluster is given up
LOOK = 5.0  # s between two looks at whether workers are left
RETRIES = 3  # of a block that failed
LEAST_WINDOW = 64  # blocks under way, so that workers who join later find work
MOST_PORT = 2**16
TOLD = 3  # workers named in a message

_LOADING = Lock()
_LOADED = Event()


def fly_on_cluster(
    address: str, recipe: Recipe, first: int, flights: int, *, patience: float = ANSWERS_WITHIN
) -> Generator[Block]:
    """Fly flights ``first`` to ``flights`` on the workers of the scheduler at ``address``.

    Raises
    ------
    ProblemError
        When the extra is not installed, the address is none, nothing answers there within
        ``patience`` seconds, no worker is there or all are lost, a worker computes with other
        code, or this machine starts no thread that could wait for answers.
    """
    ours = fingerprint()
    with _client(address, patience) as client:
        threads = _meet(client, address, patience, ours)

        def submit(start: int, count: int) -> _Remote:
            job = client.submit(fly_remote, recipe, start, count, ours, pure=False, retries=RETRIES)
            return _Remote(job, client, address)

        window = max(AHEAD * threads, LEAST_WINDOW)
        yield from in_order(submit, spans(first, flights, threads), window)


def fly_remote(recipe: Recipe, first: int, count: int, ours: Mapping[str, str]) -> Block:
    """Fly a block on a worker's thread, unless the worker's code is not ``ours``."""
    theirs = fingerprint()
    if theirs != ours:
        raise _differs({"one that joined later": theirs}, ours)
    with _LOADING:  # threads of one worker must not compile side by side
        if not _LOADED.is_set():
            fly_block(recipe, first, 1)
            _LOADED.set()
    return fly_block(recipe, first, count)


class _Remote:
    """A block under way on the cluster."""

    def __init__(self, job: Any, client: Any, address: str) -> None:
        self._job, self._client, self._address = job, client, address

    def result(self) -> Block:
        """Wait for the block as long as there are workers."""
        from concurrent.futures import CancelledError

        from distributed import KilledWorker

        seen = monotonic()
        while True:
            try:
                block: Block = self._job.result(timeout=LOOK)
            except TimeoutError:
                if self._has_workers():
                    seen = monotonic()
                elif monotonic() - seen > ALONE:
                    raise _lost(self._address, "its last worker has gone") from None
            except KilledWorker as error:
                raise _lost(self._address, "several workers ended over one block") from error
            except (CancelledError, OSError) as error:
                raise _lost(self._address, "its scheduler has gone") from error
            else:
                return block

    def _has_workers(self) -> bool:
        try:
            return bool(self._client.nthreads())
        except OSError:  # a scheduler that cannot say so; waited for as if it had none
            return False

    def cancel(self) -> object:
        """Give the block up."""
        return self._job.cancel()


@contextmanager
def _client(address: str, patience: float) -> Iterator[Any]:
    """Connect to a scheduler for as long as its answers are wanted."""
    try:
        from distributed import Client
    except ImportError as error:
        raise _needs_distributed() from error
    if fault := _fault_of(address):
        mend = "give kind, host and port as the scheduler says them, e.g. tcp://192.0.2.7:8786"
        raise _refused("cluster-address", address, fault, mend)
    # There before it connects, so that one that cannot is closed like any other: left to itself
    # it keeps its thread, and waits for a lock of Dask's wherever it happens to be collected.
    client = Client.__new__(Client)
    with _quiet(), _loop(address) as loop:
        try:
            _connect(client, address, loop, patience)
            yield client
        finally:
            _close(client)


def _connect(client: Any, address: str, loop: Any, patience: float) -> None:
    try:
        client.__init__(address, loop=loop, timeout=patience, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        message = f"no scheduler answers there within {patience:.0f} s"
        mend = "see whether it runs and can be reached, e.g. tcp://192.0.2.7:8786"
        raise _refused("cluster-silent", address, message, mend) from error


def _close(client: Any) -> None:
    """Close a client, however far it has come."""
    if getattr(client, "status", "newly-created") == "newly-created":
        return
    with suppress(TimeoutError):  # a scheduler that does not hear that we go
        client.close(timeout=LOOK)
    client.status = "closed"  # its loop ends now, and nothing may be asked of it any more


@contextmanager
def _loop(address: str) -> Iterator[Any]:
    """Run an event loop on a thread of its own for as long as the client needs it."""
    thread = LoopThread()
    try:
        loop = thread.start(STARTS_WITHIN)
    except NoLoopError as error:
        message = f"no connection can be tried, for nothing waits for answers: {error}"
        mend = "end other programs, or wait until this machine has less to do, and try again"
        raise _refused("cluster-no-loop", address, message, mend) from error
    try:
        yield loop
    finally:
        thread.stop(LOOK)


def _fault_of(address: str) -> str:
    """Return why ``address`` cannot be one of a scheduler; empty when it can."""
    from distributed.comm import get_address_host_port, parse_address
    from distributed.comm.registry import get_backend

    scheme, _ = parse_address(address)
    try:
        get_backend(scheme)
    except ValueError:
        return f"Dask knows no way to reach what begins with {scheme}://"
    try:
        host, port = get_address_host_port(address)
    except ValueError:
        return "this is no address with a host and a port"
    if not host or not 0 < port < MOST_PORT:
        return "this is no address with a host and a port that can be"
    return ""


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the client from logging what is told as a problem, with a traceback each."""
    log = getLogger("distributed.client")
    before = log.level
    log.setLevel(CRITICAL)
    try:
        yield
    finally:
        log.setLevel(before)


def _meet(client: Any, address: str, patience: float, ours: Mapping[str, str]) -> int:
    """Ask every worker what it computes with; return the number of their threads."""
    try:
        client.wait_for_workers(1, timeout=patience)
    except TimeoutError as error:
        message = f"the scheduler has no worker, and none came within {patience:.0f} s"
        mend = "start workers: dask worker ADDRESS"
        raise _refused("cluster-silent", address, message, mend) from error
    try:
        found = client.run(fingerprint, on_error="return")
        threads: int = sum(client.nthreads().values())
    except OSError as error:
        raise _lost(address, "its scheduler has gone") from error
    if other := {worker: theirs for worker, theirs in found.items() if theirs != ours}:
        raise _differs(other, ours)
    return threads


def _differs(workers: Mapping[str, Any], ours: Mapping[str, str]) -> ProblemError:
    """Name the workers that would give other numbers, and in what they differ."""
    said = [f"{worker} ({_difference(theirs, ours)})" for worker, theirs in workers.items()]
    more = f" and {len(said) - TOLD} more" if len(said) > TOLD else ""
    message = f"workers compute with other code than this machine: {', '.join(said[:TOLD])}{more}"
    mend = "install the same loftwright, numpy and numba on every machine"
    return ProblemError([Problem("cluster-differs", message, Where(field=OPTION), mend)])


def _difference(theirs: Any, ours: Mapping[str, str]) -> str:
    if not isinstance(theirs, dict):
        return f"cannot be asked: {theirs}"
    pairs = ((name, theirs.get(name, "none"), mine) for name, mine in ours.items())
    return ", ".join(f"{name} {other}, here {mine}" for name, other, mine in pairs if other != mine)


def _lost(address: str, why: str) -> ProblemError:
    mend = "start workers again; with --parquet, --resume goes on where this stopped"
    return _refused("cluster-lost", address, f"the cluster stopped answering: {why}", mend)


def _refused(code: str, address: str, message: str, mend: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(field=OPTION, value=address), mend)])


def _needs_distributed() -> ProblemError:
    message = "flying on several machines needs distributed, which is not installed here"
    mend = f"{sys.executable} -m pip install 'distributed>=2025', here and on every worker"
    return ProblemError([Problem("command-needs-extra", message, Where(field=OPTION), mend)])
