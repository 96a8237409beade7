"""Flights on a real cluster of processes: the same bits, and clear words when it cannot be."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import socket
import sys
import threading
import weakref
from functools import cache

import pytest
from flight.campaigns import example

from loftwright.errors import ProblemError
from loftwright.flight import cluster, loop_thread
from loftwright.flight.blocks import fly_block, recipe_of
from loftwright.flight.cluster import fly_on_cluster, fly_remote
from loftwright.flight.fingerprint import fingerprint
from loftwright.flight.forecast import forecast
from loftwright.flight.results import Ensemble

distributed = pytest.importorskip("distributed", reason="the optional distributed is not installed")

CAMPAIGN = example("sedge-lift")
RECIPE = recipe_of(CAMPAIGN, 1, 1e-6)
FLIGHTS = 3000


def local_cluster(workers: int):
    return distributed.LocalCluster(
        n_workers=workers,
        threads_per_worker=1,
        processes=True,
        host="127.0.0.1",
        dashboard_address=":0",
        silence_logs=50,
    )


@pytest.fixture(scope="module")
def two():
    """A scheduler with two workers, each a process."""
    with local_cluster(2) as found:
        yield found


@cache
def here() -> Ensemble:
    return forecast(CAMPAIGN, flights=FLIGHTS)


def refused(address, *, patience=2.0) -> tuple[str, str]:
    with pytest.raises(ProblemError) as caught:
        list(fly_on_cluster(address, RECIPE, 0, 600, patience=patience))
    (problem,) = caught.value.problems
    assert problem.mend
    assert "\n" not in problem.message
    return problem.code, problem.message


def test_flights_are_those_of_one_machine_to_the_last_digit(two):
    there = forecast(CAMPAIGN, flights=FLIGHTS, cluster=two.scheduler_address)
    for one, other in ((there.columns, here().columns), (there.drawn, here().drawn)):
        assert list(one) == list(other)
        for name, values in one.items():
            assert values.tobytes() == other[name].tobytes(), name
    assert there.statistics == here().statistics
    assert there.drivers == here().drivers
    for name, lane in there.band.lanes.items():
        assert lane.tobytes() == here().band.lanes[name].tobytes()
    assert there.provenance == here().provenance


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_a_lost_worker_loses_no_flight(two):
    with distributed.Client(two.scheduler_address, set_as_default=False) as client:
        process = next(iter(client.run(os.getpid).values()))
    blocks = []
    for block in fly_on_cluster(two.scheduler_address, RECIPE, 0, FLIGHTS):
        if not blocks:
            os.kill(process, signal.SIGKILL)
        blocks.append(block)
    assert [block.first for block in blocks] == sorted(block.first for block in blocks)
    apogees = b"".join(block.columns["apogee_m"].tobytes() for block in blocks)
    assert apogees == here().columns["apogee_m"].tobytes()


def test_workers_with_other_code_are_refused_by_name(two):
    def spoil() -> None:
        from loftwright.flight import fingerprint as module

        module.version = lambda _name: "1.0"

    def mend() -> None:
        from importlib.metadata import version

        from loftwright.flight import fingerprint as module

        module.version = version

    with distributed.Client(two.scheduler_address, set_as_default=False) as client:
        client.run(spoil)
        code, message = refused(two.scheduler_address)
        client.run(mend)
    assert code == "cluster-differs"
    assert "tcp://127.0.0.1" in message
    assert "numpy 1.0, here" in message


def test_workers_without_loftwright_are_refused_by_name(two):
    def spoil() -> None:
        import sys

        sys.modules["loftwright.flight.fingerprint"] = None

    def mend() -> None:
        import sys

        del sys.modules["loftwright.flight.fingerprint"]

    with distributed.Client(two.scheduler_address, set_as_default=False) as client:
        client.run(spoil)
        code, message = refused(two.scheduler_address)
        client.run(mend)
    assert code == "cluster-differs"
    assert "cannot be asked" in message


def test_a_worker_that_joins_later_is_asked_too():
    with pytest.raises(ProblemError, match="joined later"):
        fly_remote(RECIPE, 0, 10, {**fingerprint(), "code": "other"})
    block = fly_remote(RECIPE, 0, 10, fingerprint())
    alone = fly_block(RECIPE, 0, 10)
    assert block.columns["apogee_m"].tobytes() == alone.columns["apogee_m"].tobytes()


def test_an_address_where_nobody_answers_is_told_in_time():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        code, message = refused(f"tcp://127.0.0.1:{taken.getsockname()[1]}", patience=0.5)
    assert code == "cluster-silent"
    assert "within" in message


NO_ADDRESSES = (
    "",
    "nonsense",
    "ftp://127.0.0.1:1",
    "tcp://127.0.0.1",
    "tcp://127.0.0.1:port",
    "tcp://127.0.0.1:0",
    "tcp://127.0.0.1:65536",
    "tcp://:8786",
    "tcp://1:2:3",
)


@pytest.mark.parametrize("address", NO_ADDRESSES)
def test_what_is_no_address_is_refused_before_anything_starts(address, monkeypatch):
    def start(*_args, **_options):
        raise AssertionError("a thread or a client was started")

    monkeypatch.setattr(threading.Thread, "start", start)
    monkeypatch.setattr(distributed.Client, "__init__", start)
    assert refused(address)[0] == "cluster-address"


def test_the_kind_of_address_that_is_not_known_is_named():
    assert "ftp://" in refused("ftp://127.0.0.1:1")[1]


def threads() -> set[str]:
    return {each.name for each in threading.enumerate()}


NO_LOOP = {"given up": ("", "did not begin"), "no room": ("too many open files", "too many")}


@pytest.mark.parametrize("case", NO_LOOP)
def test_a_loop_that_does_not_start_is_told(case, monkeypatch):
    fault, said = NO_LOOP[case]
    held = threading.Event()

    def new_loop():
        if fault:
            raise OSError(fault)
        held.wait()
        return asyncio.SelectorEventLoop()

    monkeypatch.setattr(cluster, "STARTS_WITHIN", 60.0 if fault else 0.05)
    monkeypatch.setattr(loop_thread, "_new_loop", new_loop)
    code, message = refused("tcp://127.0.0.1:1")
    held.set()
    assert code == "cluster-no-loop"
    assert said in message
    for each in threading.enumerate():  # that begins after all sees that nobody waits any more
        if each.name == loop_thread.NAME:
            each.join(60.0)
    assert loop_thread.NAME not in threads()


def test_a_thread_that_the_system_refuses_is_told(monkeypatch):
    def start(_thread):
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", start)
    code, message = refused("tcp://127.0.0.1:1")
    assert code == "cluster-no-loop"
    assert "can't start new thread" in message


# The one that nobody can reach, and the one that wants keys that are not there.
@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "tls://127.0.0.1:1"])
def test_a_client_that_could_not_connect_leaves_nothing_behind(address):
    before = threads()
    assert refused(address, patience=0.2)[0] == "cluster-silent"
    assert threads() - before == set()


def test_a_dropped_client_that_is_collected_meanwhile_holds_nothing_up(two, monkeypatch):
    """A client that failed is collected by the very thread that another one waits for.

    Dask's own way to start a loop waits ten seconds for the lock that it holds itself, and gives
    up without a word.
    """

    def new_loop():
        gc.collect()
        collected.append(gone() is None)
        return asyncio.SelectorEventLoop()

    collected: list[bool] = []
    monkeypatch.setattr(cluster, "STARTS_WITHIN", 5.0)
    monkeypatch.setattr(loop_thread, "_new_loop", new_loop)
    gc.collect()
    gc.disable()
    try:
        gone = dropped_client()
        assert gone() is not None
        blocks = list(fly_on_cluster(two.scheduler_address, RECIPE, 0, 600))
    finally:
        gc.enable()
    assert collected == [True]
    assert sum(len(block.columns["apogee_m"]) for block in blocks) == 600


def dropped_client() -> weakref.ref:
    """Return what is left of a client that failed to connect and that nobody closed."""
    client = distributed.Client.__new__(distributed.Client)
    with pytest.raises(TypeError):
        client.__init__("tls://127.0.0.1:1", timeout=0.2, set_as_default=False)
    return weakref.ref(client)


def test_a_scheduler_without_workers_is_told():
    with local_cluster(0) as empty:
        code, message = refused(empty.scheduler_address, patience=0.5)
    assert code == "cluster-silent"
    assert "no worker" in message


def test_the_last_worker_gone_is_told(monkeypatch):
    monkeypatch.setattr(cluster, "ALONE", 0.3)
    monkeypatch.setattr(cluster, "LOOK", 0.1)
    with local_cluster(1) as short:
        blocks = fly_on_cluster(short.scheduler_address, RECIPE, 0, 50_000)
        next(blocks)
        short.scale(0)
        with pytest.raises(ProblemError) as caught:
            list(blocks)
    assert [problem.code for problem in caught.value.problems] == ["cluster-lost"]


def test_a_scheduler_that_ends_is_told(monkeypatch):
    monkeypatch.setattr(cluster, "LOOK", 0.1)
    with local_cluster(1) as short:
        blocks = fly_on_cluster(short.scheduler_address, RECIPE, 0, 50_000)
        next(blocks)
        short.close()
        with pytest.raises(ProblemError) as caught:
            list(blocks)
    assert [problem.code for problem in caught.value.problems] == ["cluster-lost"]


def test_a_missing_extra_is_told(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    code, _ = refused("tcp://127.0.0.1:1")
    assert code == "command-needs-extra"


def test_the_digest_is_of_the_code_wherever_it_lies():
    assert set(fingerprint()) == {"loftwright", "code", "numpy", "numba"}
    assert len(fingerprint()["code"]) == 16
