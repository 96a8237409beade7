"""The long abuse run: general-purpose fuzzers and requests of our own against our own server.

    python benchmarks/abuse/run.py --tools VENV [--minutes M] [--only ours,schemathesis,wapiti]

VENV is a virtual environment outside the project with schemathesis and wapiti3 (and greenlet) in
it. The server listens on loopback, on a copy of a demo campaign that lies beside files which nobody
may touch; nothing else is sent anything. Every process notes what it opens, writes, moves and takes
away (see sitecustomize.py), and every answer's status is noted. Fails where an answer is 5xx, or
where anything outside the campaign was touched. docs/reference/abuse-run.md says what came of it.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import re
import shutil
import string
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from urllib.parse import urlencode

import httpx

HERE = Path(__file__).resolve().parent
REPOSITORY = HERE.parent.parent
sys.path.insert(0, str(REPOSITORY / "tests"))

from web.abusing import (
    FIELDS,
    RAW,
    WORDS,
    footprint,
    raw_request,
    sent_raw,
    statuses,
    targets,
)

CAMPAIGN = REPOSITORY / "examples" / "sedge-lift-flown"
# Modules of wapiti that ask nobody but the server.
WAPITI = "backup,cookieflags,crlf,csp,exec,file,htaccess,http_headers,methods,permanentxss,"
WAPITI += "redirect,sql,timesql,upload,xss"
CHANGES = re.compile(r"^(write|os\.|shutil\.|sqlite3)")
# Where a process may write besides the campaign: scratch of Python's own, and compiled kernels.
SCRATCH = re.compile(
    r"/loftwright-[^/]*(/|$)|/tmp[a-z0-9_]{8}(/|$)|/__pycache__/|^/dev/null$"
    r"|^/tmp$|^/tmp/[a-z0-9_]{8}$"  # tempfile tries whether it may write there
)


class Run:
    """The campaign, the server and what is noted of them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.around = folder / "around"
        self.home = self.around / "campaign"
        self.statuses, self.audit = folder / "statuses.txt", folder / "audit.txt"
        self.said = folder / "server.txt"
        self.around.mkdir()
        shutil.copytree(CAMPAIGN, self.home, ignore=shutil.ignore_patterns(".loftwright"))
        for name in ("secret.txt", "secret.toml", "secret.csv", "secret.json"):
            (self.around / name).write_text("a-secret-that-no-answer-has")
        self.before = footprint(self.around, but=[self.home])

    def start(self) -> None:
        path = os.pathsep.join([str(HERE), str(REPOSITORY / "src")])
        watched = os.environ | {"PYTHONPATH": path, "ABUSE_AUDIT": str(self.audit)}
        watched |= {"HOME": str(self.folder / "home"), "PYTHONDONTWRITEBYTECODE": "1"}
        watched |= {"XDG_CACHE_HOME": os.environ.get("XDG_CACHE_HOME", str(Path.home() / ".cache"))}
        (self.folder / "home").mkdir()
        words = [sys.executable, str(HERE / "counted.py"), str(self.home), str(self.statuses)]
        self.server = subprocess.Popen(
            words, env=watched, stdout=self.said.open("wb"), stderr=subprocess.STDOUT
        )
        announced = self.home / ".loftwright" / "server.json"
        while not announced.is_file():
            assert self.server.poll() is None, self.said.read_text()
            time.sleep(0.05)
        told = json.loads(announced.read_text())
        self.address, self.token = told["address"].rstrip("/"), told["token"]
        self.port = int(self.address.rpartition(":")[2])

    def stop(self) -> None:
        signed = {"X-Loftwright-Token": self.token}
        with httpx.Client(base_url=self.address, timeout=60) as client:
            for job in client.get("/api/jobs").json()["jobs"]:
                if job["state"] == "running":
                    client.post(f"/api/jobs/{job['id']}/cancel", headers=signed)
        self.server.terminate()
        self.server.wait(30)

    def alive(self) -> bool:
        return self.server.poll() is None


# ---------------------------------------------------------------- our own requests


def routes() -> list[tuple[str, str]]:
    from loftwright.web.app import page_routes

    found = {
        (route.path, method)
        for route in page_routes()
        for method in getattr(route, "methods", None) or ("GET",)
    }
    return sorted(found)


def ours(run: Run, seconds: float) -> int:
    """Throw every odd word at every route, then whatever chance makes, then odd bytes."""
    sent, until = 0, time.monotonic() + seconds
    every = [(path, method, word) for path, method in routes() for word in WORDS]
    random.Random(1).shuffle(every)
    with httpx.Client(base_url=run.address, timeout=60) as client:
        for path, method, word in every:
            for target in targets(path, word):
                sent += thrown(client, run, method, target, dict.fromkeys(FIELDS[::3], word))
            if time.monotonic() > until:
                break
        chance, until = random.Random(2), time.monotonic() + seconds / 3
        while time.monotonic() < until:
            path, method = chance.choice(routes())
            word = "".join(chance.choices(string.printable + "\0\x1b\u202e\ud83d\ude00é", k=20))
            word = word.encode("utf-8", "replace").decode()
            fields = {chance.choice(FIELDS): chance.choice(WORDS) for _ in range(4)}
            sent += thrown(client, run, method, next(targets(path, word)), fields)
    for template in RAW:
        whole = raw_request(template, run.port)
        for content in (whole, whole[: len(whole) // 2], whole * 2):
            assert all(each < 500 for each in statuses(sent_raw(run.port, content))), content[:200]
            sent += 1
    return sent


def thrown(client: httpx.Client, run: Run, method: str, target: str, fields: dict) -> int:
    signed = {"X-Loftwright-Token": run.token}
    body = urlencode(fields, errors="replace").encode()
    form = {"Content-Type": "application/x-www-form-urlencoded"}
    try:
        url = httpx.URL(f"{run.address}{target}")
    except httpx.InvalidURL:
        return 0
    kept = {"headers": signed} if method != "POST" else {"headers": signed | form, "content": body}
    answer = client.request(method, url, follow_redirects=False, **kept)
    assert b"a-secret-that-no-answer-has" not in answer.content, target
    return 1


# ---------------------------------------------------------------- general-purpose tools


def schemathesis(run: Run, tools: Path, seconds: float) -> str:
    """Let schemathesis make requests from the description, right ones and wrong ones."""
    words = [
        str(tools / "bin" / "schemathesis"), "run", f"{run.address}/api/openapi.json",
        "--header", f"X-Loftwright-Token: {run.token}", "--max-time", str(int(seconds)),
        "--max-examples", "400", "--continue-on-failure", "--request-timeout", "60", "--no-color",
        "--exclude-checks", "unsupported_method,positive_data_acceptance",
        "--generation-database", "none",
    ]  # fmt: skip
    return told(words, run.folder, seconds + 120)


def wapiti(run: Run, tools: Path, seconds: float) -> str:
    """Let wapiti follow every link and form, and attack what it finds."""
    words = [
        str(tools / "bin" / "wapiti"), "--url", f"{run.address}/", "--scope", "domain",
        "--module", WAPITI, "--flush-session", "--header", f"X-Loftwright-Token: {run.token}",
        "--max-scan-time", str(int(seconds * 0.3)), "--max-attack-time", str(int(seconds * 0.05)),
        "--format", "txt", "--output", str(run.folder / "wapiti.txt"), "--no-bugreport",
        "--max-links-per-page", "60", "--max-files-per-dir", "40", "--verbose", "1",
        "--store-session", str(run.folder / "wapiti"),
    ]  # fmt: skip
    said = told(words, run.folder, seconds + 120)
    report = run.folder / "wapiti.txt"
    return said[-3000:] + (report.read_text(errors="replace") if report.is_file() else "")


def told(words: list[str], folder: Path, seconds: float) -> str:
    """Run a tool in a folder of its own, with no home but that; return what it said."""
    place = folder / Path(words[0]).name
    place.mkdir(exist_ok=True)
    clean = {"PATH": os.environ["PATH"], "HOME": str(place), "LANG": "C.UTF-8"}
    with (place / "said.txt").open("wb") as said:
        process = subprocess.Popen(words, cwd=place, env=clean, stdout=said, stderr=said)
        try:
            process.wait(seconds)
        except subprocess.TimeoutExpired:
            process.terminate()
            process.wait(30)
    return (place / "said.txt").read_text(errors="replace")


# ---------------------------------------------------------------- what came of it


def touched(run: Run) -> list[str]:
    """Return what was written, moved or taken away outside the campaign."""
    found = set()
    cache = str(Path.home() / ".cache")
    for line in run.audit.read_text(errors="replace").splitlines():
        what, _, shown = line.partition("\t")
        path = str(ast.literal_eval(shown)) if shown[:1] in "'\"" else shown
        if what == "read" and ("secret." in path or path in {"/etc/passwd", "/etc/shadow"}):
            found.add(f"{what} {path}")
        is_own = path.startswith((str(run.home), cache, str(run.statuses)))
        if CHANGES.match(what) and not is_own and not SCRATCH.search(path):
            found.add(f"{what} {path}")
    if footprint(run.around, but=[run.home]) != run.before:
        found.add("the files beside the campaign are not as they were")
    return sorted(found)


def started_and_asked(run: Run) -> Counter[str]:
    """Return the programs that were started and the addresses that were connected to."""
    found: Counter[str] = Counter()
    for line in run.audit.read_text(errors="replace").splitlines():
        what, _, shown = line.partition("\t")
        if what in {"subprocess.Popen", "os.system", "os.exec", "socket.connect"}:
            found[f"{what} {shown[:80]}"] += 1
    return found


def summed_up(run: Run) -> bool:
    lines = run.statuses.read_text(errors="replace").splitlines()
    by_status = Counter(line.split()[0] for line in lines)
    faults = [line for line in lines if line.startswith("5")]
    outside = touched(run)
    print("answers by status:", dict(sorted(by_status.items())), "in all", len(lines))
    print("5xx:", len(faults), *sorted(set(faults))[:20], sep="\n  ")
    print("touched outside:", len(outside), *outside[:40], sep="\n  ")
    print("started or asked:", *started_and_asked(run).most_common(20), sep="\n  ")
    return not faults and not outside


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--tools", type=Path, required=True)
    asked.add_argument("--minutes", type=float, default=10.0)
    asked.add_argument("--only", default="ours,schemathesis,wapiti")
    asked.add_argument("--keep", type=Path, help="keep what was noted in this new folder")
    options = asked.parse_args()
    wanted = options.only.split(",")
    seconds = 60.0 * options.minutes / len(wanted)
    folder = options.keep or Path(tempfile.mkdtemp(prefix="loftwright-abuse-"))
    folder.mkdir(exist_ok=True)
    run = Run(folder)
    run.start()
    try:
        for name in wanted:
            before = len(run.statuses.read_text().splitlines()) if run.statuses.exists() else 0
            if name == "ours":
                said = f"{ours(run, seconds)} requests"
            else:
                said = {"schemathesis": schemathesis, "wapiti": wapiti}[name](
                    run, options.tools, seconds
                )
            after = len(run.statuses.read_text().splitlines())
            print(f"--- {name}: {after - before} answers\n{said[-6000:]}")
        well = run.alive()
    finally:
        if run.alive():
            run.stop()
    print("still answering at the end:", well)
    print("what the server said:", run.said.read_text()[-3000:])
    return 0 if summed_up(run) and well else 1


if __name__ == "__main__":
    sys.exit(main())
