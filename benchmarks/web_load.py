"""How long pages take while twenty people read and one 10 000-flight forecast is flown.

    python benchmarks/web_load.py [--readers N] [--seconds S] [--write]

The server is the command itself, in a process of its own, on a copy of a demo campaign. Readers are
tasks of this process: each opens a page, waits for all of it, looks at it for a while, and goes to
another; while work runs, each also has its card refreshed as the page on work does. They take their
share of the same processors, and so are counted against the pages. ``--write`` puts the tables into
docs/speed.md.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import platform
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import quantiles

import httpx

HOME = Path(__file__).resolve().parent.parent
CAMPAIGN = HOME / "examples" / "sedge-lift-flown"
FLIGHTS = 10_000
LIMIT = 500.0  # ms at the 95th percentile
CARD = 0.7  # s between two looks at how far work has come
LEFT_OUT = re.compile(r"/api/openapi|/static/|\.zip$|\.csv$|/answer\.json$|/phone$")
LINK = re.compile(r'href="(/[^"#]*)"')


@dataclass
class Watch:
    """Milliseconds of each answer, by page; and what was no answer."""

    times: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    wrong: list[str] = field(default_factory=list)


@contextmanager
def served(home: Path) -> Iterator[tuple[str, str]]:
    """Serve a campaign as a person does; yield its address and its token."""
    words = ["serve", str(home), "--port", "0", "--no-open", "--json", "--until-input-ends"]
    process = subprocess.Popen(
        [sys.executable, "-m", "loftwright", *words], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert process.stdout is not None
    assert process.stdin is not None
    lines = []
    for line in process.stdout:
        lines.append(line)
        if line.rstrip() == b"}":
            break
    address = json.loads(b"".join(lines))["address"].rstrip("/")
    token = json.loads((home / ".loftwright" / "server.json").read_text())["token"]
    try:
        yield address, token
    finally:
        process.stdin.close()
        process.wait(30)


def page_name(path: str) -> str:
    """What a page is called in the table: names of things in its address are left out."""
    path = path.partition("?")[0]
    path = re.sub(r"\d{8}-\d{6}-[0-9a-f]{6}", "…", path)
    path = re.sub(r"^/(strips)/.*", r"/\1/…", path)
    return re.sub(r"/\d{4}-\d{2}-\d{2}-\w", "/…", re.sub(r"/[FAD]\d+$", "/…", path))


def found_pages(client: httpx.Client) -> list[str]:
    """Follow links from the first page; return one address for each kind of page."""
    known: dict[str, str] = {}
    waiting = ["/"]
    while waiting:
        path = waiting.pop(0)
        if page_name(path) in known or LEFT_OUT.search(path):
            continue
        answer = client.get(path)
        if answer.status_code != 200:
            continue
        known[page_name(path)] = path
        waiting += [each.replace("&amp;", "&") for each in LINK.findall(answer.text)]
    return list(known.values())


async def one_job(client: httpx.AsyncClient, token: str, ended: asyncio.Event) -> list[float]:
    """Fly forecasts, one after the other, until told to end; return how long each took [s]."""
    took = []
    signed = {"X-Loftwright-Token": token}
    while not ended.is_set():
        start = time.monotonic()
        asked = {"flights": FLIGHTS, "seed": len(took) + 1}
        answer = await client.post("/api/commands/forecast", json=asked, headers=signed)
        job = answer.json()
        while job["state"] == "running" and not ended.is_set():
            await asyncio.sleep(0.2)
            job = (await client.get(f"/api/jobs/{job['id']}")).json()
        if ended.is_set():
            await client.post(f"/api/jobs/{job['id']}/cancel", headers=signed)
        else:
            assert job["state"] == "done", job
            took.append(time.monotonic() - start)
    return took


async def reader(
    address: str, pages: list[str], think: float, watch: Watch, ended: asyncio.Event, seed: int
) -> None:
    """Read pages until told to end, with a look at each of half to one and a half ``think``."""
    chosen = random.Random(seed)
    async with httpx.AsyncClient(base_url=address, timeout=60) as client:
        await asyncio.sleep(chosen.uniform(0, think))
        while not ended.is_set():
            path = chosen.choice(pages)
            await timed(client, path, watch)
            until = time.monotonic() + think * chosen.uniform(0.5, 1.5)
            while (left := until - time.monotonic()) > 0 and not ended.is_set():
                await asyncio.sleep(min(left, CARD))
                if left > CARD:
                    await timed(client, "/work", watch)


async def timed(client: httpx.AsyncClient, path: str, watch: Watch) -> None:
    """Note how long a page took, to its last byte."""
    start = time.perf_counter()
    answer = await client.get(path)
    watch.times[page_name(path)].append(1e3 * (time.perf_counter() - start))
    if answer.status_code != 200:
        watch.wrong.append(f"{answer.status_code} {path}")


async def measured(
    address: str, token: str, pages: list[str], readers: int, think: float, seconds: float
) -> tuple[Watch, list[float]]:
    """Let readers read for some seconds while a forecast is flown."""
    watch, ended = Watch(), asyncio.Event()
    async with httpx.AsyncClient(base_url=address, timeout=60) as client:
        work = asyncio.create_task(one_job(client, token, ended))
        await asyncio.sleep(1.0)  # it flies by then
        people = [reader(address, pages, think, watch, ended, seed) for seed in range(readers)]
        reading = [asyncio.create_task(each) for each in people]
        await asyncio.sleep(seconds)
        ended.set()
        await asyncio.gather(*reading)
        return watch, await work


def table(name: str, watch: Watch, took: list[float]) -> tuple[list[str], float]:
    """Return the lines of a table, and the 95th percentile of the slowest page [ms]."""
    lines = [f"| {name} | asked | median | 95th percentile | slowest |", "|---|---|---|---|---|"]
    worst = 0.0
    for page, times in sorted(watch.times.items()):
        cut = quantiles(times, n=20) if len(times) > 1 else times * 19
        worst = max(worst, cut[18])
        lines.append(
            f"| `{page}` | {len(times)} | {cut[9]:.0f} ms | {cut[18]:.0f} ms | "
            f"{max(times):.0f} ms |"
        )
    every = [each for times in watch.times.values() for each in times]
    cut = quantiles(every, n=20)
    lines.append(
        f"| **all** | {len(every)} | {cut[9]:.0f} ms | **{cut[18]:.0f} ms** | {max(every):.0f} ms |"
    )
    if took:
        lines.append(f"\nForecasts of {FLIGHTS} flights beside it: {min(took):.0f} s each at best.")
    if watch.wrong:
        lines.append(f"\nNot answered with a page: {len(watch.wrong)}, e.g. {watch.wrong[0]}")
    return lines, worst


def written(lines: list[str]) -> None:
    """Put the tables between their marks in docs/speed.md."""
    page = HOME / "docs" / "speed.md"
    text = page.read_text(encoding="utf-8")
    before, _, rest = text.partition("<!-- web -->\n")
    after = rest.partition("<!-- end web -->")[2]
    page.write_text(f"{before}<!-- web -->\n{chr(10).join(lines)}\n\n<!-- end web -->{after}")


def main() -> int:
    """Measure, print, and fail where a page is too slow."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--readers", type=int, default=20)
    asked.add_argument("--seconds", type=float, default=30.0)
    asked.add_argument("--write", action="store_true")
    options = asked.parse_args()
    machine = f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}"
    lines = [f"Measured on {machine}, Python {platform.python_version()}.", ""]
    with tempfile.TemporaryDirectory() as folder:
        own = shutil.ignore_patterns(".loftwright")
        home = Path(shutil.copytree(CAMPAIGN, Path(folder) / "campaign", ignore=own))
        with served(home) as (address, token):
            with httpx.Client(base_url=address, timeout=60) as client:
                pages = found_pages(client)
                for path in pages:  # once, so that what is kept in memory is there
                    client.get(path)
            worst = 0.0
            for think, name in ((1.0, "1 s of looking"), (0.1, "0.1 s of looking")):
                told, took = asyncio.run(
                    measured(address, token, pages, options.readers, think, options.seconds)
                )
                rows, slowest = table(f"{options.readers} readers, {name}", told, took)
                lines += [*rows, ""]
                worst = worst or slowest
    print("\n".join(lines))
    if options.write:
        written(lines[:-1])
    print(f"slowest page at the 95th percentile, 1 s of looking: {worst:.0f} ms; limit {LIMIT:.0f}")
    return 0 if worst < LIMIT else 1


if __name__ == "__main__":
    sys.exit(main())
