"""A person who thinks in feet reads feet: on every page, on a phone that only looks as well."""

from __future__ import annotations

import asyncio
import html
import re
from pathlib import Path

import httpx
import pytest
from web.asking import ask
from web.every_page import Filled, address, page_paths
from web.serving import copied
from web.test_jobs import ended

from loftwright.web.app import create_app
from loftwright.web.config import Config
from loftwright.web.guard import Lan
from loftwright.web.guard.lan import cookie_name

# Sensors' pascals are their own; so are grams, litres and kilograms (common practice, no source).
METRIC = re.compile(
    r"\d[\d.,]*[ \u00a0](?:mm|cm|km|m|m/s|m/s²|m/s\^2|km/h|N|N s|bar|bara|hPa|kPa|MPa|°C|degC|J"
    r"|cm²|cm\^2|m²|m\^2|kg m²|kg m\^2|g cm\^2)(?![\w/^²³])"
)
# What is quoted from documents and recorded files stands as it was written there: lines of a text,
# what stands in a field, what a slider begins at, the range of a column in the unit of its file.
QUOTED = re.compile(
    r"<(?P<tag>code|option|textarea|style|script)\b.*?</(?P=tag)>|<p class=\"hint range\">.*?</p>",
    re.DOTALL,
)
OF_DOCUMENTS = ("/describe/{document}", "/describe/{document}/text")


def metric_on(page: str) -> list[str]:
    """Return what a page says in metric units, without what it quotes."""
    lines = re.sub(r"<[^>]*>", "\n", QUOTED.sub(" ", page)).split("\n")
    return [said for line in lines if METRIC.search(said := html.unescape(line).strip())]


def test_what_is_sought_is_found() -> None:
    page = '<p>It is 3.2&nbsp;m long</p><code>x = "4 m"</code><p>4 min, 12 mph, 3 m² of it</p>'
    assert metric_on(page) == ["It is 3.2\u00a0m long", "4 min, 12 mph, 3 m² of it"]
    assert metric_on("<p>4 min, 12 mph, 60 psi, 38 g, 0.65 L</p>") == []


@pytest.mark.parametrize("path", [each for each in page_paths() if each not in OF_DOCUMENTS])
def test_no_page_speaks_metric_to_who_thinks_in_feet(filled: Filled, path: str) -> None:
    assert 'units = "us"' in (filled.served.home / "campaign.toml").read_text()
    for _ in range(2):  # while what it starts is worked out, and with the answer
        said = httpx.get(filled.served.url + address(path, filled.kept), follow_redirects=True)
        assert metric_on(said.text) == []
        for job in filled.served.bench.jobs.running():
            ended(job)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copied("sedge-lift", tmp_path_factory.mktemp("looked") / "lift")


@pytest.mark.parametrize(
    "path", ["/", "/describe", "/describe/site", "/forecast", "/pad", "/program/program-board"]
)
def test_a_phone_that_only_looks_reads_what_the_laptop_does(home: Path, path: str) -> None:
    lan = Lan("192.168.1.20")
    bench = create_app(home, Config(port=8042, token="right", lan=lan, look_only=True))
    secret = asyncio.run(lan.enter(lan.new_code(), "a phone"))
    html_wanted = ("Accept", "text/html")
    here = ask(bench, "GET", path, [("Host", "127.0.0.1:8042"), html_wanted])
    known = ("Cookie", f"{cookie_name(8042)}={secret}")
    there = ask(
        bench,
        "GET",
        path,
        [("Host", "192.168.1.20:8042"), html_wanted, known],
        client=("192.168.1.33", 40000),
    )
    assert here.status == there.status == 200
    assert words(there.text) == [each for each in words(here.text) if each != "Phone"]


def words(page: str) -> list[str]:
    said = re.sub(r"<[^>]*>", "\n", QUOTED.sub(" ", page)).split("\n")
    return [each.strip() for each in said if each.strip()]
