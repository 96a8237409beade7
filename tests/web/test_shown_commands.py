"""Every command that a page shows is one, and answers what the page says.

Amounts are taken from the command's answer in SI and written here in the units of the demo, so
that neither the page nor the command vouches for the other.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from web.every_page import FLIGHT, STAND, Filled, address, page_paths
from web.shown_commands import answer_of, parsed, read_text, shown_in

from loftwright.web.api.checking import slips
from loftwright.web.api.verbs import VERBS, schema_of, words_of
from loftwright.web.incoming.inbox import Inbox
from loftwright.web.jobs import State

PAGES = page_paths()
# Pages that show no command, and why.
SILENT = {
    "/forecast/more": "several forms, each of another command, which the page of its work shows",
    "/work": "lists what was commanded",
    "/describe/{document}/text": "a text editor",
}
MORE = [
    *(f"/ledger/add/{kind}" for kind in ("finding", "action", "decision")),
    "/ledger/add/finding?flight=2026-05-16-a&explains=release&what=--it+stuck%3B+%22twice%22",
    *(f"/ledger/{item}" for item in ("F1", "a1", "D1")),
    "/ledger?closed=1",
    "/ledger/reliability?wanted=99.53&confidence=66.6&count=same&weight=33&may_fail=2",
    *(f"/describe/{name}" for name in ("campaign", "payload", "payload2", "avionics", "site")),
    "/program/program-timer",
    f"/program/program-board/replay?log={FLIGHT}/board.csv&line_opens=20+s&liftoff=24.1+s",
    "/forecast?set=vehicle.fill.water_volume=0.8+L+%C2%B1+0.01+L",
]


def page_of(filled: Filled, path: str) -> str:
    said = httpx.get(filled.served.url + path, follow_redirects=True, timeout=60)
    assert said.status_code == 200, said.text
    return said.text


@pytest.mark.parametrize("path", [*PAGES, *MORE])
def test_a_shown_command_is_one(filled: Filled, path: str) -> None:
    commands = shown_in(page_of(filled, address(path, filled.kept)))
    for each in commands:
        parsed(each)
    assert bool(commands) is (path not in SILENT)


def test_a_command_that_is_none_would_be_seen() -> None:
    import click

    for wrong in ("loftwright tune", "loftwright forecast . --speed 3", "loftwright ledger show"):
        with pytest.raises(click.ClickException):
            parsed(wrong)


def test_work_shows_the_command_that_it_runs(filled: Filled) -> None:
    for job in filled.served.bench.jobs.all():
        parsed(job.command)
        words = job.words
        assert job.asked["whole"][: len(words)] == words


# ---------------------------------------------------------------- what the page says


def feet(metres: float, places: int = 0) -> str:
    return f"{metres / 0.3048:.{places}f} ft"


def check_said(answer: dict[str, Any]) -> Iterator[str]:
    yield f"liftoff mass {answer['liftoff_mass_kg']:.2f} kg"
    yield f"dry mass {1e3 * answer['dry_mass_kg']:.0f} g"
    yield f"balance, empty, {answer['balance_from_nose_m']['empty'] / 0.0254:.1f} in"
    yield f"stability, empty {answer['stability_calibres']['empty']:.1f} calibres"
    yield f"proof over fill pressure {answer['proof_margin']:.2f} times"
    yield f"energy stored in the air {answer['stored_energy_j'] / 1.3558179483:.0f} ft lbf"


def glance_said(answer: dict[str, Any]) -> Iterator[str]:
    yield answer["question"]
    yield f"{len(answer['against'])} things speak against it"
    yield from (each["says"] for each in answer["against"][:6])  # more are folded
    yield answer["next"]["says"]
    yield answer["next"]["why"]


def list_said(answer: dict[str, Any]) -> Iterator[str]:
    for each in answer["flights"]:
        went = " ".join(one["outcome"] for one in each["functions"].values())
        yield f"{each['outcome']} {went}"
    for kind in ("findings", "actions", "decisions"):
        assert answer[kind]
        yield from (f"{kind[0].upper()}{each['number']} {each['what']}" for each in answer[kind])


def reliability_said(answer: dict[str, Any]) -> Iterator[str]:
    for name, each in answer["functions"].items():
        worked, flown = (round(each["exact_tally"][key]) for key in ("worked", "flights"))
        # An interval is rounded outward.
        low = math.floor(100 * each["exact"][0] + 1e-9)
        high = math.ceil(100 * each["exact"][1] - 1e-9)
        yield f"{name}: {worked} of {flown} worked exact 95 %: {low} to {high} %"
        # A least is rounded down.
        yield f"{name}: at least {math.floor(1e3 * each['lower'] + 1e-9) / 10:g} %"
        yield f"{each['more']['by_formula']} more by the success-run formula"


def ready_said(answer: dict[str, Any]) -> Iterator[str]:
    yield answer["lead"]
    yield from (each["says"] for each in answer["reasons"])


def compare_said(answer: dict[str, Any]) -> Iterator[str]:
    one, other = answer["flights"]
    for name, went in one["functions"].items():
        yield f"{name} {went['outcome']} {other['functions'][name]['outcome']}"
    (apogee,) = [each for each in answer["figures"][1] if each["name"] == "apogee_m"]
    yield f"{apogee['value'] / 0.3048:.1f} ± {apogee['sd'] / 0.3048:.1f} ft"


def show_said(answer: dict[str, Any]) -> Iterator[str]:
    for name, went in answer["flight"]["functions"].items():
        yield f"{name} {went['outcome']} {went['says']}"


def action_said(answer: dict[str, Any]) -> Iterator[str]:
    yield from (str(answer["action"][key]) for key in ("what", "who", "due"))


def program_said(answer: dict[str, Any]) -> Iterator[str]:
    (program,) = answer["programs"]
    for each in program["outputs"]:
        early, late = each["opens_earliest_s"], each["opens_latest_s"]
        yield f"{each['name']} opens {early:.3g} s to {late:.3g} s after launch is sensed"
    yield from (each["says"] for each in program["promises"])


def replay_said(answer: dict[str, Any]) -> Iterator[str]:
    for each in answer["entered"][1:]:
        height, climb = each["height_m"] / 0.3048, each["climb_m_s"] / 0.3048
        when = f"{each['time_s']:.2f} s {each['since_launch_s']:.2f} s"
        yield f"{when} {each['name']} {height:.1f} ft {climb:.1f} ft/s"
    for each in answer["switched"]:
        yield f"{each['time_s']:.2f} s {each['since_launch_s']:.2f} s {each['output']} on"
    yield f"the highest single reading is {feet(answer['record']['raw_highest_m'], 1)} over"


def watched_said(answer: dict[str, Any]) -> Iterator[str]:
    for each in answer["flights"]:
        yield f"payload {each['payload']}, vehicle {each['vehicle']}"
        yield f"height when the canopy opens {feet(each['figures']['canopy_open_height_m'])}"
        yield f"apogee {each['figures']['apogee_time_s']:.2f} s"


def cell_said(answer: dict[str, Any]) -> Iterator[str]:
    for each in answer["flights"]:
        yield f"{each['payload']} {each['vehicle']} {each['field']}"
        yield feet(each["figures"]["canopy_open_height_m"])


def pad_said(answer: dict[str, Any]) -> Iterator[str]:
    for part in answer["parts"]:
        yield part["head"]
        yield from part["lines"]


SAID: dict[str, Callable[[dict[str, Any]], Iterator[str]]] = {
    "/": glance_said,
    "/describe": check_said,
    "/pad": pad_said,
    "/ledger": list_said,
    "/ledger/reliability": reliability_said,
    "/ledger/ready": ready_said,
    "/ledger/compare": compare_said,
    "/ledger/flights/{flight}": show_said,
    "/ledger/{item}": action_said,
    "/program/{name:path}": program_said,
    "/program/{name:path}/replay": replay_said,
    "/rehearse/{job}/{case}/flight/{number:int}": watched_said,
    "/rehearse/{job}/{case}/{outcome}": cell_said,
}


@pytest.mark.parametrize("path", SAID)
def test_a_page_says_what_its_command_answers(filled: Filled, path: str) -> None:
    page = page_of(filled, address(path, filled.kept))
    # By casefold, for a sentence begins with a capital.
    text = read_text(page).casefold()
    wanted = list(SAID[path](answer_of(shown_in(page)[0])))
    assert wanted
    assert [each for each in wanted if " ".join(each.split()).casefold() not in text] == []


def test_work_on_a_page_answers_as_its_command_does(filled: Filled) -> None:
    page_of(filled, f"/stand/{STAND}")  # begins the fit
    bench = filled.served.bench
    for job in (filled.kept.jobs["work"], bench.jobs.latest("stand")):
        while job.state is State.RUNNING:
            pass
        own, other = job.answer(), answer_of(job.command)
        for each in (own, other):
            del each["files"]
        assert own == other


# ---------------------------------------------------------------- what forms ask for

FORMS: dict[str, dict[str, Any]] = {
    "/forecast/fly": {"flights": "40", "seed": "7", "set": "vehicle.fill.water_volume=0.8 L"},
    "/forecast/best": {
        "way": "near", "figure": "apogee", "near": "80 m", "flights": "20",
        "limits": "max_acceleration < 60 g\nproof_margin > 1.2",
        "vary": "vehicle.fill.water_volume", "set": "site.wind.speed=3 m/s",
        "from.vehicle.fill.water_volume": "0.5 L", "to.vehicle.fill.water_volume": "1 L",
    },
    "/forecast/more/firing": {
        "set": "vehicle.fill.water_volume=0.8 L\nvehicle.fill.pressure=60 psi",
    },
    "/forecast/more/compare": {"set": "vehicle.fill.water_volume=0.8 L", "flights": "20"},
    "/forecast/more/explore": {
        "path1": "vehicle.fill.water_volume", "from1": "0.5 L", "to1": "1 L",
        "path2": "vehicle.fill.pressure", "from2": "50 psi", "to2": "80 psi",
        "figures": "apogee\nrange", "limits": "apogee > 40 m", "flights": "20",
    },
    "/forecast/more/sensitivity": {"figure": ["apogee", "release_height"], "flights": "64"},
    "/rehearse": {
        "flights": "10", "seed": "3", "which": "some", "pairs": "yes",
        "fault": ["battery flat: cell", "canopy tangles"],
        "tries": "vehicle.fill.water_volume=0.8 L\nboard.let go.climb=30 ft/s",
    },
    "/rehearse/tune": {
        "flights": "4", "seed": "1", "points": "5", "aim": "released_well",
        "against": "release_height", "limits": "lost < 1 %",
        "from board.let go.climb": "20 ft/s", "to board.let go.climb": "60 ft/s",
    },
    "/debrief/begin": {"flight": "2027-01-01-a", "flights": "400", "seed": "2"},
    f"/debrief/{FLIGHT}/otherwise": {"liftoff": "24.1 s", "campaign": "yes"},
    f"/debrief/{FLIGHT}/causes": {"flights": "40", "seed": "2", "pairs": "yes", "again": "yes"},
    f"/debrief/{FLIGHT}/keep": {
        "finding": "--it stuck; 'twice'", "sure": "known", "explains": "release",
        "unsettled": "yes", "by": "Ivo",
    },
    "/learn": {"flight": [FLIGHT], "field": "vehicle.drag_coefficient", "seed": "4"},
    "/ledger/verify": {},
}  # fmt: skip


@pytest.mark.parametrize("path", FORMS)
def test_what_a_form_asks_for_is_a_command(filled: Filled, path: str, monkeypatch) -> None:
    jobs, asked = filled.served.bench.jobs, []

    def started(words, *, page, title):
        asked.append(words)
        return filled.kept.jobs["work"]

    monkeypatch.setattr(jobs, "start", started)
    # What would be written beside the work that was not begun.
    for place in ("rehearse.rehearsals._keep_documents", "pages.debrief_learn.note_stand"):
        monkeypatch.setattr(f"loftwright.web.{place}", lambda *_: None)
    token = {"token": filled.served.token}
    said = httpx.post(filled.served.url + path, data=token | FORMS[path], timeout=60)
    assert said.status_code == 303, read_text(said.text)
    (words,) = asked
    context = parsed(_shell([*words[0].split(), str(filled.served.home), *words[1:]]))
    given = {str(each) for each in _leaves(list(context.params.values()))}
    for name, value in FORMS[path].items():
        texts = value if isinstance(value, list) else re.split("\n", value)
        if name not in ("way", "which", "vary", "again", "pairs", "campaign", "unsettled"):
            missed = [text for text in texts if not any(text in each for each in given)]
            assert missed == [], name


def _shell(words: list[str]) -> str:
    import shlex

    return shlex.join(["loftwright", *words])


def _leaves(value: Any) -> Iterator[Any]:
    if isinstance(value, list | tuple):
        for each in value:
            yield from _leaves(each)
    else:
        yield value


# ---------------------------------------------------------------- what programs ask for


def _filled(schema: dict[str, Any], largest: bool) -> Any:
    """Return a value that a schema allows, at one end of what it allows."""
    kind = schema["type"]
    if "enum" in schema:
        return schema["enum"][-1 if largest else 0]
    if kind == "array":
        least = schema.get("minItems", 1)
        return [_filled(schema["items"], largest)] * (2 if largest else least)
    if kind == "boolean":
        return True
    if kind == "string":
        return "x" * schema.get("maxLength", 1) if largest else "a=--b 'c'"
    low = schema.get("minimum", 0)
    if kind == "integer":
        return schema["maximum"] if largest else low
    top = schema.get("maximum", schema.get("exclusiveMaximum"))
    return (low + top) / 2 if largest else low


@pytest.mark.parametrize("largest", [False, True])
@pytest.mark.parametrize("key", VERBS)
def test_whatever_the_description_allows_is_a_command(tmp_path, key: str, largest: bool) -> None:
    verb = VERBS[key]
    allowed = {name: one for name, one in schema_of(verb)["properties"].items() if name != "files"}
    given = {name: _filled(one, largest) for name, one in allowed.items()}
    assert list(slips(given, schema_of(verb))) == []
    words = words_of(verb, given, Inbox(tmp_path))
    context = parsed(_shell([*words[0].split(), str(tmp_path), *words[1:]]))
    told = {str(each) for each in _leaves(list(context.params.values()))}
    for name, value in given.items():
        for each in value if isinstance(value, list) else [value]:
            assert str(each) in told, name
