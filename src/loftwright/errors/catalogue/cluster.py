"""Codes of flying on several machines."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "cluster-address",
        "This is no address of a scheduler",
        "What was given to --cluster begins in a way that Dask does not know, or lacks a host or "
        "a port.",
        "Nothing can be reached there, so nothing is tried.",
        "Give the address as the scheduler says it when it starts: kind, host and port.",
        "loftwright forecast DIR --flights 1000000 --cluster tcp://192.0.2.7:8786",
    ),
    Entry(
        "cluster-no-loop",
        "Nothing can wait for the cluster's answers",
        "This machine gave no thread or no event loop for the talk with the scheduler, or the "
        "thread did not begin within half a minute.",
        "Without it no scheduler can be asked, however well it runs.",
        "End other programs, or wait until this machine has less to do; where the message speaks "
        "of too many open files or threads, raise that limit.",
        "ulimit -n     # open files that a program may have\n"
        "ulimit -u     # threads and programs that you may have",
    ),
    Entry(
        "cluster-silent",
        "The cluster does not answer",
        "No scheduler answers at the address of --cluster, or it has no worker, within a quarter "
        "of a minute.",
        "Nobody is there to fly.",
        "See whether the scheduler and its workers run and whether a firewall stands between; the "
        "scheduler says its address when it starts.",
        "dask scheduler                          # on one machine\n"
        "dask worker tcp://192.0.2.7:8786        # on every machine that is to fly",
    ),
    Entry(
        "cluster-differs",
        "A worker computes with other code",
        "The workers named have another version of Loftwright, its code, NumPy or numba than this "
        "machine, or lack one of them.",
        "Their flights could differ from those of this machine, and nobody could tell which of "
        "them flew which.",
        "Install the same versions on every machine and start the workers again.",
        "python -m pip install 'loftwright[cluster]==0.1.0'",
    ),
    Entry(
        "cluster-lost",
        "The cluster was lost on the way",
        "The scheduler has ended, no worker was left for a minute, or several workers ended one "
        "after the other over the same flights.",
        "The ensemble is not complete. With --parquet, what had come in is kept.",
        "See why they ended, a lack of memory for instance, start them again, and go on with "
        "--resume.",
        "loftwright forecast DIR --flights 1000000 --cluster tcp://192.0.2.7:8786 "
        "--parquet million.parquet --resume",
    ),
)
