"""Windows of strips over the wire: strict about what is asked, the same files as the command's."""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import httpx
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from report.stripped import END, START, long_strip
from web.serving import copied, serving

from loftwright.cli import main
from loftwright.errors import ProblemError
from loftwright.report.strip_file import write_strip
from loftwright.report.strip_model import Strip
from loftwright.web.bench import Bench

JOB = "20260101-120000-abcdef"
BASE = f"/strips/{JOB}"


@dataclass(frozen=True)
class Asked:
    """A workbench, and the file of the one strip that a job kept."""

    client: httpx.Client
    bench: Bench
    kept: Path


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    home = copied("stand-bottle", tmp_path_factory.mktemp("home") / "bottle")
    kept = home / ".loftwright" / "jobs" / JOB / "strips" / "0.npz"
    kept.parent.mkdir(parents=True)
    write_strip(kept, long_strip(20_000))
    with serving(home) as served, httpx.Client(base_url=served.url, timeout=60.0) as client:
        yield Asked(client, served.bench, kept)


def test_a_window_comes_with_its_samples_and_its_command(asked: Asked) -> None:
    query = {"from": "3", "to": "3.5", "without": "climb", "width": "medium"}
    told = asked.client.get(f"{BASE}/0/window", params=query).json()
    assert told["schema"] == "loftwright/strip-window/1"
    assert told["whole"] == [START, END]
    assert told["lanes"] == ["height", "climb", "board"]
    assert told["svg"].startswith("<svg")
    assert 'class="strip medium"' in told["svg"]
    assert told["command"] == (
        f"loftwright strip {asked.kept} --from 3.0s --to 3.5s --without climb --width medium "
        "--png the-flight-all.png --svg the-flight-all.svg --csv the-flight-all.csv"
    )
    log = long_strip(20_000).lanes[0].curves[0]
    (line,) = [each for each in told["readout"]["lanes"][0]["lines"] if each["name"] == "log"]
    assert not line["thinned"]
    shown = np.flatnonzero((log.time >= 3.0) & (log.time <= 3.5))
    rows = np.arange(shown[0] - 1, shown[-1] + 2)
    assert line["t"] == log.time[rows].tolist()
    assert line["v"] == [None if np.isnan(v) else v for v in log.value[rows].tolist()]


@pytest.mark.parametrize(
    "part", [{}, {"from": "3.25", "to": "11.5"}, {"without": "climb"}, {"width": "half"}]
)
def test_files_are_the_same_as_the_commands(asked: Asked, tmp_path: Path, part, capsys) -> None:
    words = [str(asked.kept)]
    for name, value in part.items():
        words += [f"--{name}", value if name in ("without", "width") else f"{value}s"]
    drawn, table = tmp_path / "part.svg", tmp_path / "part.csv"
    assert main.run(["strip", *words, "--svg", str(drawn), "--csv", str(table)]) == 0
    for path in (drawn, table):
        answer = asked.client.get(f"{BASE}/0{path.suffix}", params=part)
        assert answer.status_code == 200
        assert answer.content == path.read_bytes()
        assert "attachment" in answer.headers["content-disposition"]


def test_the_command_that_is_shown_writes_what_the_page_saves(
    asked: Asked, tmp_path: Path, monkeypatch
) -> None:
    query = {"from": "3", "to": "9.5", "without": "climb", "width": "narrow"}
    told = asked.client.get(f"{BASE}/0/window", params=query).json()
    monkeypatch.chdir(tmp_path)
    assert main.run([*shlex.split(told["command"])[1:], "--dark"]) == 0
    for suffix in ("svg", "csv"):
        answer = asked.client.get(f"{BASE}/0.{suffix}", params=query)
        assert answer.content == Path(f"{told['name']}.{suffix}").read_bytes()
    assert Path(f"{told['name']}.png").read_bytes()[:4] == b"\x89PNG"


texts = st.text(max_size=30) | st.sampled_from(
    ["nan", "inf", "-inf", "1e309", "-1e308", "1_0", "0x1p3", "", " 1 ", "climb", "wide", "half"]
)
times = texts | st.floats().map(repr) | st.floats(START - 5, END + 5).map(repr)
queries = st.fixed_dictionaries(
    {},
    optional={
        "from": times, "to": times, "without": st.lists(texts, max_size=3), "width": texts,
        "lanes": texts,
    },
)  # fmt: skip


@settings(
    deadline=None, max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(query=queries, what=st.sampled_from(["/window", ".svg", ".csv"]))
def test_whatever_is_asked_is_answered_or_refused(asked: Asked, query, what) -> None:
    answer = asked.client.get(f"{BASE}/0{what}", params=query)
    # 400 is the guard, which no address with control characters passes.
    assert answer.status_code in (200, 400, 422), answer.text
    if answer.status_code == 422:
        codes = {each["code"] for each in answer.json()["problems"]}
        assert codes <= {"strip-window", "strip-no-lane", "strip-asked"}


@settings(
    deadline=None, max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(key=st.text(min_size=1, max_size=90), number=st.text(min_size=1, max_size=12))
def test_no_path_leads_anywhere_else(asked: Asked, key: str, number: str) -> None:
    from urllib.parse import quote

    address = f"/strips/{quote(key, safe='')}/{quote(number, safe='')}/window"
    assert 400 <= asked.client.get(address).status_code < 500


@pytest.mark.parametrize(
    "address",
    [
        f"{BASE}/1/window",
        f"{BASE}/-1/window",
        f"{BASE}/0x0/window",
        f"{BASE}/1234567/window",
        f"/strips/{'a' * 300}/0/window",
        "/strips/none/0.svg",
    ],
)
def test_strips_that_are_not_there_are_missing(asked: Asked, address: str) -> None:
    answer = asked.client.get(address)
    assert answer.status_code == 404
    assert [each["code"] for each in answer.json()["problems"]] == ["strip-missing"]


@pytest.mark.parametrize(
    "key", ["..", "../..", ".", "", "/etc", "a/../b", "a\0b", "a" * 81, JOB + "/"]
)
def test_no_key_leads_out_of_the_folder(asked: Asked, key: str) -> None:
    assert asked.bench.strips.path(key, 0) is None
    with pytest.raises(ProblemError) as caught:
        asked.bench.strips.find(key, 0)
    assert [each.code for each in caught.value.problems] == ["strip-missing"]


@pytest.mark.parametrize(
    "address",
    [
        "/strips/../0/window",
        "/strips/%2e%2e%2f%2e%2e/0/window",
        f"{BASE}/../../0/window",
        f"{BASE}/{'9' * 5000}/window",
        f"{BASE}/%00/window",
    ],
)
def test_addresses_that_mean_harm_are_refused(asked: Asked, address: str) -> None:
    # By the guard, or because there is no such strip.
    assert asked.client.get(address).status_code in (400, 404, 414)


def test_a_damaged_file_is_told(asked: Asked) -> None:
    folder = asked.kept.parents[2] / "20260101-130000-abcdef" / "strips"
    folder.mkdir(parents=True)
    content = bytearray(asked.kept.read_bytes())
    content[len(content) // 2] ^= 1
    (folder / "0.npz").write_bytes(content)
    answer = asked.client.get("/strips/20260101-130000-abcdef/0/window")
    assert answer.status_code == 422
    assert [each["code"] for each in answer.json()["problems"]] == ["strip-file"]
    # Once it is mended it is read anew.
    shutil.copyfile(asked.kept, folder / "0.npz")
    assert asked.client.get("/strips/20260101-130000-abcdef/0/window").status_code == 200


def test_pages_lay_strips_here_for_a_while(asked: Asked) -> None:
    strip = long_strip(100)
    address = asked.bench.strips.put("what-if-1", [strip, Strip("none", "", 0.0, 0.0, ())])
    assert address == "/strips/what-if-1"
    told = asked.client.get(f"{address}/0/window").json()
    assert told["command"] is None
    assert asked.client.get(f"{address}/1/window").status_code == 200
    assert asked.client.get(f"{address}/2/window").status_code == 404
    for number in range(30):
        asked.bench.strips.put(f"what-if-{number + 2}", [strip])
    assert asked.client.get(f"{address}/0/window").status_code == 404
    with pytest.raises(ValueError, match="key"):
        asked.bench.strips.put("../x", [strip])
