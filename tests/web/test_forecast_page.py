"""The forecast page in a browser: by keyboard, beside a baseline, into the documents and back."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting
from web.serving import vouched
from web.shown_commands import answer_of, parsed
from web.test_jobs import ended

WATER = "vehicle.fill.water_volume"
PATIENCE = 90.0


def wait(browser: Any) -> Any:
    return waiting(browser, PATIENCE)


def find(browser: Any, selector: str) -> Any:
    return browser.find_element("css selector", selector)


def text(browser: Any, selector: str) -> str:
    """Return the text of what may be put anew at any moment; "" where there is nothing."""
    script = "return document.querySelector(arguments[0])?.innerText ?? ''"
    return str(browser.execute_script(script, selector))


def slider(browser: Any, path: str, inner: str) -> Any:
    return find(browser, f'[data-path="{path}"] {inner}')


def at_rest(browser: Any, flights: int = 400) -> str:
    """Wait for the finer answer; return what is said first."""
    wait(browser).until(
        lambda b: (
            b.execute_script("return document.querySelector('#picture')?.dataset.flights")
            == str(flights)
        )
    )
    return text(browser, "#glance .lead")


def water(home: Path) -> str:
    return tomllib.loads((home / "vehicle.toml").read_text("utf-8"))["fill"]["water_volume"]


@needs_browser
def test_a_slider_by_keyboard_into_the_document_and_back(serve: Any, browser: Any) -> None:
    from selenium.webdriver.common.keys import Keys

    served = serve("stand-bottle")
    before = water(served.home)
    look(browser, f"{served.url}/forecast")
    first = at_rest(browser)
    thumb = slider(browser, WATER, "input[type=range]")
    thumb.send_keys(Keys.SHIFT, Keys.ARROW_LEFT)
    wait(browser).until(lambda b: text(b, "#glance .lead") != first)
    at_rest(browser)
    assert "beside as written" in text(browser, "#glance")
    assert text(browser, "#glance .beside-it")
    assert "--set" in text(browser, ".command code")
    assert f"set={WATER}" in browser.current_url.replace("%3D", "=")
    assert water(served.home) == before  # nothing is written until it is said so
    is_quiet(browser, served.url)
    assert findings_of_axe(browser) == []

    find(browser, "#write-it").click()
    wait(browser).until(lambda b: "Written into the documents" in text(b, "main"))
    assert water(served.home) != before
    find(browser, 'form[action="/forecast/undo"] button').click()
    wait(browser).until(lambda b: "Taken back" in text(b, "main"))
    assert water(served.home) == before
    assert at_rest(browser) == first


@needs_browser
def test_the_shown_command_flies_what_is_seen(serve: Any, browser: Any) -> None:
    from selenium.webdriver.common.keys import Keys

    served = serve("sedge-lift")
    query = urlencode([("set", f"{WATER}=0.8 L"), ("set", "site.wind.speed=9 mph ± 2 mph")])
    look(browser, f"{served.url}/forecast?{query}")
    at_rest(browser)
    shown = find(browser, "#picture").get_attribute("data-answer")
    slider(browser, WATER, "input[type=range]").send_keys(Keys.PAGE_UP)
    wait(browser).until(
        lambda b: find(b, "#picture").get_attribute("data-answer") not in (shown, None)
    )
    at_rest(browser)
    command = text(browser, ".command code")
    assert command.count("--set") == 2
    assert f"'{WATER}=0.8 L'" not in command
    answer = answer_of(command)
    assert len(answer["settings"]) == 2
    low, middle, high = (
        answer["figures"]["apogee_m"][each] / 0.3048 for each in ("p05", "p50", "p95")
    )
    said = " ".join(text(browser, "#glance").replace("\u00a0", " ").split())
    assert f"{middle:.0f} ft {low:.0f} to {high:.0f} ft" in said
    assert f"About {middle:.0f} ft up" in said


@needs_browser
def test_a_bad_value_is_told_beside_its_slider_and_a_pin_survives_a_reload(
    serve: Any, browser: Any
) -> None:
    from selenium.webdriver.common.keys import Keys

    served = serve("stand-bottle")
    look(browser, f"{served.url}/forecast")
    at_rest(browser)
    box = slider(browser, WATER, ".slider-text")
    box.clear()
    box.send_keys("half a gallon", Keys.ENTER)
    wait(browser).until(lambda b: slider(b, WATER, ".wrong").text)
    assert box.get_attribute("aria-invalid") == "true"
    box.clear()
    box.send_keys("400 mL", Keys.ENTER)
    wait(browser).until(lambda b: not slider(b, WATER, ".wrong").text)
    # Typed in another unit, the thumb stands where it belongs.
    wait(browser).until(
        lambda b: float(slider(b, WATER, "input[type=range]").get_attribute("value")) == 0.4
    )
    find(browser, "#pin-name").send_keys("little water")
    find(browser, "#pin").click()
    wait(browser).until(lambda b: "little water" in text(b, "#baseline"))
    pressure = slider(browser, "vehicle.fill.gauge_pressure", "input[type=range]")
    pressure.send_keys(Keys.ARROW_LEFT)
    at_rest(browser)
    browser.refresh()
    lead = at_rest(browser)
    assert "little water" in text(browser, "#baseline")
    assert slider(browser, WATER, ".slider-text").get_attribute("value") == "400 mL"
    assert "beside little water" in text(browser, "#glance")
    answer = answer_of(text(browser, ".command code"))
    (against,) = answer["against"]  # with the slider's own spread behind it
    assert against.startswith(f"{WATER}=400 mL")
    assert answer["differences"]["apogee_m"]["median"] < 0.0
    assert lead


@needs_browser
def test_a_document_that_changes_beside_the_open_page_is_told(serve: Any, browser: Any) -> None:
    served = serve("stand-bottle")
    look(browser, f"{served.url}/forecast")
    first = at_rest(browser)
    assert text(browser, "#of-others") == ""
    path = served.home / "vehicle.toml"
    before = path.read_text("utf-8")
    value = tomllib.loads(before)["fill"]["water_volume"]
    path.write_text(before.replace(f'"{value}"', '"0.2 L ± 10 mL"'), "utf-8")
    browser.execute_script("window.dispatchEvent(new Event('focus'))")  # whoever comes back
    wait(browser).until(lambda b: "documents have changed" in text(b, "#of-others"))
    assert at_rest(browser) != first
    is_quiet(browser, served.url)
    assert findings_of_axe(browser) == []
    browser.refresh()
    at_rest(browser)
    assert text(browser, "#of-others") == ""


def test_the_page_shows_the_command_and_forecasts_that_were_flown(serve: Any) -> None:
    served = serve("stand-bottle")
    form = {"token": served.token, "flights": "20", "seed": "3", "set": f"{WATER}=0.5 L"}
    flown = httpx.post(f"{served.url}/forecast/fly", data=form)
    assert flown.status_code == 303
    asked = parse_qs(urlsplit(flown.headers["location"]).query)
    assert asked["set"] == [f"{WATER}=0.5 L"], "the sliders stay where they were put"
    assert WATER in asked["show"]
    page = httpx.get(f"{served.url}/forecast").text
    assert "Forecast, 20 flights, with other values" in page
    job = served.bench.jobs.latest("forecast")
    assert job.words[2:] == ["--flights", "20", "--seed", "3", "--set", f"{WATER}=0.5 L"]


CLIMB = "program.board.climbing.climb=12 m/s"
PROGRAMS = ["whatif", "--flights", "20", "--seed", "3", "--programs"]
DOCUMENTS = ["forecast", "--flights", "20", "--seed", "3"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"set": CLIMB}, [*PROGRAMS, "--set", CLIMB]),
        ({"set": [f"{WATER}=0.5 L", CLIMB]},
         [*PROGRAMS, "--set", f"{WATER}=0.5 L", "--set", CLIMB]),
        ({"programs": "yes"}, PROGRAMS),
        ({"programs": ""}, DOCUMENTS),
        ({"set": f"{WATER}=0.5 L", "programs": ""}, [*DOCUMENTS, "--set", f"{WATER}=0.5 L"]),
    ],
)  # fmt: skip
def test_what_is_flown_in_full_is_what_the_picture_is_of(
    serve: Any, monkeypatch: pytest.MonkeyPatch, more: dict[str, Any], words: list[str]
) -> None:
    served, asked = serve("sedge-lift"), []
    monkeypatch.setattr(served.bench.jobs, "start", lambda words, **_: asked.append(words))
    form = {"token": served.token, "flights": "20", "seed": "3", **more}
    there = httpx.post(f"{served.url}/forecast/fly", data=form).headers["location"]
    assert asked == [words]
    query = parse_qs(urlsplit(there).query)
    assert query.get("set", []) == [word for word in words[5:] if "=" in word]
    assert ("programs" in query) == bool(more.get("programs"))


@pytest.mark.parametrize(
    ("path", "more"),
    [("fly", {}), ("more/firing", {"set": f"{WATER}=0.5 L"})],
)
def test_a_form_that_is_sent_twice_begins_one_job(
    serve: Any, path: str, more: dict[str, str]
) -> None:
    served = serve("stand-bottle")
    form = {"token": served.token, "flights": "20", "seed": "3", "once": "k", **more}
    for _ in range(2):
        assert httpx.post(f"{served.url}/forecast/{path}", data=form).status_code == 303
    assert len(served.bench.jobs.all()) == 1


def test_what_the_optimiser_found_goes_onto_the_sliders(serve: Any) -> None:
    served = serve("stand-bottle")
    form = {
        "token": served.token, "way": "most", "figure": "apogee", "near": "",
        "vary": WATER, f"from.{WATER}": "0.3 L", f"to.{WATER}": "0.6 L",
        "limits": "max_acceleration < 90 g\n", "flights": "",
    }  # fmt: skip
    assert httpx.post(f"{served.url}/forecast/best", data=form).status_code == 303
    job = served.bench.jobs.latest("forecast")
    assert job.words[2:] == [
        "--aim", "most apogee", "--vary", f"{WATER}=0.3 L..0.6 L",
        "--limit", "max_acceleration < 90 g",
    ]  # fmt: skip
    ended(job)
    (job.folder / "answer.json").write_text(f'{{"values": {{"{WATER}": 0.00041}}}}')
    vouched(job.folder)
    there = httpx.get(f"{served.url}/forecast/take/{job.id}").headers["location"]
    assert "0.41+L" in there
    assert f'href="/forecast/take/{job.id}"' in httpx.get(f"{served.url}/work/{job.id}").text


def test_a_search_in_which_nothing_moves_is_refused_on_the_page(serve: Any) -> None:
    served = serve("sedge-lift")
    form = {"token": served.token, "way": "most", "figure": "apogee"}
    said = httpx.post(f"{served.url}/forecast/best", data=form)
    assert said.status_code == 422
    assert "Tick one number or more under what may move" in said.text
    assert '<a class="button" href="/forecast">Back to Forecast</a>' in said.text
    assert served.bench.jobs.all() == []


def test_a_number_of_a_program_is_written_where_it_stands(serve: Any) -> None:
    served = serve("sedge-lift-mended")
    form = {"token": served.token, "set": "program.board.climbing.climb=45 ft/s"}
    assert httpx.post(f"{served.url}/forecast/write", data=form).status_code == 303
    program = tomllib.loads((served.home / "program-board.toml").read_text("utf-8"))
    assert program["stage"][1]["way"][0]["when"] == "climb < 45 ft/s"
    assert httpx.post(f"{served.url}/forecast/undo", data=form).status_code == 303
    program = tomllib.loads((served.home / "program-board.toml").read_text("utf-8"))
    assert program["stage"][1]["way"][0]["when"] == "climb < 50 ft/s"


def test_a_plain_number_is_written_as_the_document_has_it(serve: Any) -> None:
    served = serve("stand-bottle")
    form = {"token": served.token, "set": "vehicle.nozzle.flow_coefficient=1"}
    reply = httpx.post(f"{served.url}/forecast/write", data=form)
    assert reply.status_code == 303, reply.text
    vehicle = tomllib.loads((served.home / "vehicle.toml").read_text("utf-8"))
    assert vehicle["nozzle"]["flow_coefficient"] == "1"


def test_a_value_that_somebody_else_changed_is_not_written_over(serve: Any) -> None:
    served = serve("stand-bottle")
    digest = served.bench.read_campaign().hashes["vehicle.toml"]
    vehicle = served.home / "vehicle.toml"
    text = vehicle.read_text("utf-8").replace(water(served.home), "0.33 L")
    vehicle.write_text(text, "utf-8")
    form = {
        "token": served.token, "set": f"{WATER}=0.5 L", "based_on": f"vehicle.toml={digest}",
    }  # fmt: skip
    reply = httpx.post(f"{served.url}/forecast/write", data=form)
    assert reply.status_code == 409
    assert "0.33 L" in reply.text
    assert vehicle.read_text("utf-8") == text


@needs_browser
def test_a_glider_with_a_program_fits_everybody_on_a_phone(serve: Any, browser: Any) -> None:
    served = serve("sedge-lift-mended")
    look(browser, f"{served.url}/forecast?programs=1", width=390, scheme="dark")
    wait(browser).until(lambda b: "the release program decides" in text(b, "#state"))
    wait(browser).until(
        lambda b: b.execute_script("return !!document.querySelector('#picture svg')")
    )
    assert findings_of_axe(browser) == []
    wide = "return document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert browser.execute_script(wide) <= 0
    parsed(text(browser, ".command code"))
    assert " --programs" in text(browser, ".command code")
    look(browser, f"{served.url}/forecast/more", width=390)
    browser.execute_script(
        "for (const each of document.querySelectorAll('details')) each.open = true"
    )
    assert findings_of_axe(browser) == []
    assert browser.execute_script(wide) <= 0
    is_quiet(browser, served.url)
