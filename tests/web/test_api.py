"""Every path of the description against the running server, and answers against commands."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from pathlib import Path

import httpx
import jsonschema
import pytest
from web.serving import Served, copied, serving

from loftwright.web.api.description import description
from loftwright.web.api.verbs import VERBS, words_of
from loftwright.web.incoming.inbox import Inbox

LOG = b"time,pressure\n" + b"".join(b"%d,%d\n" % (i * 20, 101325 - i) for i in range(50))
PATIENCE = 60.0  # s


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    home = copied("sedge-lift-flown", tmp_path_factory.mktemp("api") / "sedge-lift")
    with serving(home) as found:
        yield found


@pytest.fixture(scope="module")
def client(served: Served):
    with httpx.Client(base_url=served.url, timeout=30) as made:
        yield made


def told(answer: httpx.Response, path: str) -> dict:
    """The answer, held to what the description promises of it."""
    method = answer.request.method.lower()
    promised = description()["paths"][path][method]["responses"]
    assert str(answer.status_code) in promised, (path, answer.status_code, answer.text)
    found = promised[str(answer.status_code)]
    if "$ref" in found:
        found = description()["components"]["responses"]["Problems"]
    schema = found["content"]["application/json"]["schema"]
    whole = {**schema, "components": description()["components"]}
    body = answer.json()
    jsonschema.Draft202012Validator(whole).validate(body)
    assert answer.headers["content-type"] == "application/json"
    return body


def post(client, served, path, **more):
    return client.post(path, headers={"X-Loftwright-Token": served.token}, **more)


def started(client, served, verb, given) -> dict:
    body = told(post(client, served, f"/api/commands/{verb}", json=given), f"/api/commands/{verb}")
    end = time.monotonic() + PATIENCE
    while body["state"] == "running" and time.monotonic() < end:
        body = told(client.get(f"/api/jobs/{body['id']}"), "/api/jobs/{job}")
    return body


def command(*words: object) -> str:
    """What the command itself writes."""
    run = [sys.executable, "-m", "loftwright", *map(str, words)]
    return subprocess.run(run, check=False, capture_output=True, text=True, encoding="utf-8").stdout


def test_the_description_is_one(client):
    body = told(client.get("/api/openapi.json"), "/api/openapi.json")
    assert body == description()
    assert body["openapi"] == "3.1.0"
    for path, methods in body["paths"].items():
        for operation in methods.values():
            assert operation["summary"]
            names = {
                each["name"] for each in operation.get("parameters", ()) if each["in"] == "path"
            }
            assert names == set(re.findall(r"\{(\w+)\}", path))
            assert "5" not in {status[0] for status in operation["responses"]}
    for schema in body["components"]["schemas"].values():
        jsonschema.Draft202012Validator.check_schema(schema)


def test_every_endpoint_is_described_and_every_description_answers(served):
    from loftwright.web.api.routes import ROUTES

    described = set(description()["paths"])
    routed = {route.path for route in ROUTES}
    verbs = {f"/api/commands/{verb}" for verb in VERBS}
    assert described == (routed - {"/api/commands/{verb}"}) | verbs


@pytest.mark.parametrize(
    ("path", "target", "words"),
    [
        ("/api/check", "/api/check", ["check"]),
        ("/api/ledger", "/api/ledger", ["ledger", "list"]),
        ("/api/ledger", "/api/ledger?closed=true", ["ledger", "list", "--closed"]),
        ("/api/reliability", "/api/reliability", ["ledger", "reliability"]),
        ("/api/readiness", "/api/readiness", ["ledger", "ready"]),
    ],
)
def test_answers_are_those_of_the_command_to_the_byte(client, served, path, target, words):
    answer = client.get(target)
    told(answer, path)
    assert answer.text == command(*words, served.home, "--json")


def test_items_and_codes_are_those_of_the_command(client, served):
    name = told(client.get("/api/flights"), "/api/flights")["flights"][0]["name"]
    answer = client.get(f"/api/ledger/{name}")
    told(answer, "/api/ledger/{item}")
    assert answer.text == command("ledger", "show", served.home, name, "--json")
    answer = client.get("/api/codes/guard-host")
    told(answer, "/api/codes/{code}")
    assert answer.text == command("explain", "guard-host", "--json")


@pytest.mark.parametrize(
    "item", ["none", "--help", "--version", "-h", "..", "a" * 300, "\u202e", "F1;"]
)
def test_items_that_are_not_there_are_told_as_the_command_tells(client, served, item):
    from urllib.parse import quote

    answer = client.get(f"/api/ledger/{quote(item)}")
    if item != "..":
        assert answer.status_code == 422
        told(answer, "/api/ledger/{item}")
        assert answer.text == command("ledger", "show", served.home, "--json", "--", item)


def test_a_kept_forecast_is_as_it_stands(client, served):
    flights = client.get("/api/flights").json()["flights"]
    kept = [each["name"] for each in flights if each["has_forecast"]]
    for name in kept:
        answer = client.get(f"/api/flights/{name}/forecast")
        told(answer, "/api/flights/{flight}/forecast")
        assert answer.content == (served.home / "flights" / name / "forecast.json").read_bytes()
    for name in ["none", "..", "%2e%2e", "sedge-lift"]:
        answer = client.get(f"/api/flights/{name}/forecast")
        assert answer.status_code in {400, 404}


def test_a_command_is_a_job_whose_answer_is_that_of_the_command(client, served):
    body = started(client, served, "check", {})
    assert body["state"] == "done"
    answer = client.get(f"/api/jobs/{body['id']}/answer")
    told(answer, "/api/jobs/{job}/answer")
    assert answer.text == command("check", served.home, "--json")
    assert body["command"] == f"loftwright check {served.home}"
    listed = told(client.get("/api/jobs"), "/api/jobs")
    assert body["id"] in [each["id"] for each in listed["jobs"]]


def test_a_job_that_fails_answers_its_problems(client, served):
    body = started(client, served, "ledger-close", {"item": "A999"})
    assert body["state"] == "failed"
    answer = client.get(f"/api/jobs/{body['id']}/answer")
    assert answer.json()["problems"]
    assert answer.text == command("ledger", "close", served.home, "A999", "--json")


def test_a_finding_is_written_and_read_back(client, served):
    said = "Hook's edge <b>bent</b>; \u00fcbel"
    given = {"what": said, "sure": "known", "unsettled": True}
    body = started(client, served, "ledger-finding", given)
    assert body["state"] == "done"
    found = client.get(f"/api/jobs/{body['id']}/answer").json()["finding"]
    shown = client.get(f"/api/ledger/F{found['number']}").json()
    assert shown["finding"] == found
    assert found["what"] == said


def test_long_work_is_cancelled(client, served):
    path = "/api/commands/rehearse"
    body = told(post(client, served, path, json={"flights": 100000}), path)
    assert body["state"] == "running"
    early = client.get(f"/api/jobs/{body['id']}/answer")
    assert early.status_code == 409
    told(early, "/api/jobs/{job}/answer")
    assert post(client, served, f"/api/jobs/{body['id']}/cancel").status_code == 200
    end = time.monotonic() + PATIENCE
    while body["state"] == "running" and time.monotonic() < end:
        body = told(
            post(client, served, f"/api/jobs/{body['id']}/cancel"), "/api/jobs/{job}/cancel"
        )
    assert body["state"] == "stopped"


def test_files_come_in_are_recorded_and_go(client, served):
    files = {"file": ("../board <1>.csv", LOG)}
    came = told(post(client, served, "/api/inbox/files", files=files), "/api/inbox/files")
    (file,) = came["files"]
    assert (file["name"], file["kind"]) == ("board 1.csv", "log")
    assert told(client.get("/api/inbox"), "/api/inbox")["files"] == [file]
    words = words_of(VERBS["record"], {"flight": "x", "files": [file["id"]]}, Inbox(served.home))
    assert words[2:] == ["--name=board 1.csv", str(Inbox(served.home).find(file["id"]).path)]
    path = f"/api/inbox/{file['id']}/discard"
    gone = told(post(client, served, path), "/api/inbox/{file}/discard")
    assert gone["files"] == [file]
    again = post(client, served, path)
    assert again.status_code == 422
    told(again, "/api/inbox/{file}/discard")


@pytest.mark.parametrize(
    ("verb", "given", "status"),
    [
        ("forecast", {"csv": "/tmp/x.csv"}, 422),
        ("forecast", {"report": "x.html"}, 422),
        ("forecast", {"cluster": "tcp://192.0.2.7:8786"}, 422),
        ("forecast", {"flights": 1}, 422),
        ("rehearse", {"truth": "/etc/passwd"}, 422),
        ("rehearse", {"try": ["/"]}, 422),
        ("ledger-finding", {"what": "--help"}, 422),
        ("ledger-finding", {}, 422),
        ("record", {"flight": "x", "files": ["/etc/passwd"]}, 422),
        ("record", {"flight": "x", "files": ["0" * 16]}, 422),
        ("serve", {}, 404),
        ("ledger-export", {"to": "/tmp/x"}, 404),
        ("new", {}, 404),
        ("forecast", [], 422),
    ],
)
def test_no_path_no_other_machine_and_no_other_command(client, served, verb, given, status):
    answer = post(client, served, f"/api/commands/{verb}", json=given)
    assert answer.status_code == status
    assert answer.json()["problems"]


@pytest.mark.parametrize("path", sorted(description()["paths"]))
def test_other_methods_are_told_which_there_are(client, path):
    target = re.sub(r"\{\w+\}", "x", path)
    answer = client.request("OPTIONS", target)
    assert answer.status_code == 405
    told_methods = set(answer.headers["allow"].lower().split(", ")) - {"head"}
    assert told_methods == set(description()["paths"][path])


def test_changes_need_the_token(client, served):
    for path in ("/api/commands/check", "/api/jobs/x/cancel", "/api/inbox/0/discard"):
        assert client.post(path, json={}).status_code == 403
        wrong = client.post(path, json={}, headers={"X-Loftwright-Token": "x"})
        assert wrong.status_code == 403
    other = post(client, served, "/api/commands/check", content=b"a=b")
    assert other.status_code == 415


def test_no_more_jobs_than_run_at_once(client, served, monkeypatch):
    monkeypatch.setattr("loftwright.web.api.routes.MOST_JOBS", 0)
    answer = post(client, served, "/api/commands/check", json={})
    assert answer.status_code == 429
    told(answer, "/api/commands/check")


def test_every_word_of_a_command_stays_one(tmp_path: Path):
    given = {
        "flights": 4.0,
        "set": ["a.b=--csv=/etc/x", "c.d=e f"],
        "ballistic": True,
        "tolerance": 1e-5,
    }
    assert words_of(VERBS["forecast"], given, Inbox(tmp_path)) == [
        "forecast",
        "--flights=4",
        "--set=a.b=--csv=/etc/x",
        "--set=c.d=e f",
        "--tolerance=1e-05",
        "--ballistic",
    ]
    assert json.dumps(given)
