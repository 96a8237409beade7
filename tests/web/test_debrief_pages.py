"""The debrief pages: files come in, wrong readings are corrected, what was found is kept."""

from __future__ import annotations

import html
import io
import os
import re
import shutil
import time
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting
from evidence.synthetic_logs import flown, written

from loftwright.documents import read_campaign
from loftwright.documents.flights import flights_of
from loftwright.evidence.recorded_flight import read_recorded_flight
from loftwright.flight.firing import static_firing
from loftwright.ledger.ledger import open_ledger
from loftwright.web.debrief.takes import Takes
from loftwright.web.incoming.inbox import Inbox
from loftwright.web.jobs import State

PATIENCE = 120.0
FLIGHT = flown(seconds=45.0)
FEET = 0.3048  # m, exact (NIST SP 811, B.8)
LIFT = "sedge-lift-flown"
THIRD = "2026-05-16-a"


def messy() -> str:
    """Two flights in one file, heights in feet that nobody says, decimal commas, an odd clock."""
    time_s = np.concatenate([FLIGHT.time, FLIGHT.time + 60.0])
    feet = np.concatenate([FLIGHT.height, 0.8 * FLIGHT.height]) / FEET
    air = np.full(len(time_s), 63.0)
    names, above = ("tick", "alt", "temp (F)"), ("# my board", "# v3")
    columns = [time_s * 1e3, feet, air]
    return written(columns, names, delimiter=";", decimal=",", digits=(0, 2, 1), above=above)


class Pages:
    """A served campaign, asked as a browser asks."""

    def __init__(self, served: Any) -> None:
        self.served = served
        self.client = httpx.Client(base_url=served.url, follow_redirects=True, timeout=60.0)

    def send(self, *files: tuple[str, bytes], **fields: str) -> httpx.Response:
        parts: list[Any] = [("token", (None, self.served.token))]
        parts += [(name, (None, text)) for name, text in fields.items()]
        parts += [("file", (name, content)) for name, content in files]
        return self.client.post("/debrief/files", files=parts)

    def post(self, path: str, **fields: str) -> httpx.Response:
        return self.client.post(path, data={"token": self.served.token, **fields})

    def ended(self, page: str) -> httpx.Response:
        """Wait until no work runs any more, and load a page."""
        until = time.monotonic() + PATIENCE
        while running := self.served.bench.jobs.running():
            assert time.monotonic() < until, running[0].said()
            os.sched_yield()
        return self.client.get(page)


@pytest.fixture
def opened(serve) -> Iterator[Callable[[str], Pages]]:
    made: list[Pages] = []

    def start(example: str) -> Pages:
        made.append(Pages(serve(example)))
        return made[-1]

    yield start
    for each in made:
        each.client.close()


@pytest.fixture
def pages(opened) -> Pages:
    found: Pages = opened(LIFT)
    return found


def inbox_of(pages: Pages) -> tuple[Any, ...]:
    return Inbox(pages.served.home).all()


# ---------------------------------------------------------------- what is refused


def zipped() -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as packed:
        packed.writestr("log.csv", messy())
    return content.getvalue()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.csv", b""),
        ("log.zip", zipped()),
        ("zeros.csv", bytes(4_000_000)),
        ("nul.csv", b"time,pressure\n1,\x002\n" * 40),
        ("words.txt", b"nothing but words\n"),
    ],
    ids=["empty", "zip", "zeros", "NUL", "words"],
)
def test_what_is_no_record_is_refused_in_words_and_not_kept(pages, name, content):
    answer = pages.send((name, content))
    assert answer.status_code == 422
    assert "no record that can be read" in answer.text
    assert inbox_of(pages) == ()
    assert flights_of(pages.served.home) == ("2026-05-09-a", "2026-05-09-b", THIRD)


def test_one_bad_file_keeps_the_good_ones_from_coming_in(pages):
    answer = pages.send(("board.csv", messy().encode()), ("log.zip", zipped()))
    assert answer.status_code == 422
    assert inbox_of(pages) == ()


def test_nothing_chosen_is_said(pages):
    answer = pages.send()
    assert answer.status_code == 422
    assert "no file was chosen" in answer.text.lower()


def test_a_name_is_never_a_path(pages):
    before = sorted(path for path in pages.served.home.rglob("*") if ".loftwright" not in str(path))
    answer = pages.send(("../../x", messy().encode()))
    assert answer.status_code == 200
    assert "../../x" not in answer.text
    after = sorted(path for path in pages.served.home.rglob("*") if ".loftwright" not in str(path))
    assert before == after
    assert not (pages.served.home.parent / "x").exists()


def test_markup_in_a_name_or_a_column_is_shown_as_it_is(pages):
    text = messy().replace("alt", "<b>alt</b>").replace("my board", "<script>x</script>")
    answer = pages.send(("<img src=x onerror=alert(1)>.csv", text.encode()))
    assert "<b>alt" not in answer.text
    assert "&lt;b&gt;alt&lt;/b&gt;" in answer.text
    assert "<img" not in answer.text
    assert "<script>x" not in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "/incoming/none",
        "/incoming/..%2f..%2fx",
        "/debrief/none",
        "/debrief/..%2fx",
        f"/debrief/{THIRD}/evidence/7",
        f"/debrief/{THIRD}/evidence/x",
        "/stand/none",
    ],
)
def test_what_is_not_there_is_said(pages, path):
    assert pages.client.get(path).status_code in (400, 404, 422)


@pytest.mark.parametrize("text", ["a\0b", "\ud800".encode("utf-8", "surrogatepass"), "x" * 50_000])
def test_odd_texts_in_forms_are_no_fault(pages, text):
    for path in (f"/debrief/{THIRD}/keep", f"/debrief/{THIRD}/otherwise", "/learn"):
        fields = {"finding": text, "liftoff": text, "flight": text, "field": text, "sure": text}
        answer = pages.client.post(path, data={"token": pages.served.token, **fields})
        assert answer.status_code < 500
    for job in pages.served.bench.jobs.running():
        job.cancel()


# ---------------------------------------------------------------- taking in


def plain(answer: httpx.Response) -> str:
    """The page with common blanks only."""
    return answer.text.replace("\u00a0", " ")


def incoming(answer: httpx.Response) -> str:
    assert answer.status_code == 200, answer.text
    return answer.url.path


def test_a_reading_is_corrected_and_the_file_kept_byte_for_byte(pages):
    page = incoming(pages.send(("log.csv", messy().encode())))
    said = {"file-0:is-1": "time", "file-0:unit-1": "ms", "file-0:is-2": "height"}
    # Heights in metres would be a flight of three times the height, and that is said.
    wrong = pages.post(f"{page}/look", **said, **{"file-0:unit-2": "m", "file-0:flight": "1"})
    assert "rises 904 ft" in plain(wrong)
    right = pages.post(f"{page}/look", **said, **{"file-0:unit-2": "ft", "file-0:flight": "1"})
    assert "rises 275 ft" in plain(right)
    assert "--unit 2=ft" in right.text
    measured = {"record:conditions.wind_speed": "6 mph ± 2 mph", "record:outcome": "success"}
    pages.post(f"{page}/keep", flight="a-1", **measured)
    done = pages.ended(page)
    assert "Kept, byte for byte" in done.text
    kept = read_recorded_flight(pages.served.home, "a-1")
    assert (kept.folder / "evidence" / "log.csv").read_bytes() == messy().encode()
    assert kept.record.outcome == "success"
    assert kept.record.conditions.wind_speed is not None
    assert kept.logs[0].entry.flight_number == 1
    assert inbox_of(pages) == ()
    # The same file once more is said to be known, and kept once.
    page = incoming(pages.send(("log.csv", messy().encode()), flight="a-1"))
    assert "The same bytes are kept already" in pages.client.get(page).text
    pages.post(f"{page}/keep", **{"file-0:flight": "1"})
    assert "Kept already" in pages.ended(page).text
    assert len(read_recorded_flight(pages.served.home, "a-1").files) == 1


def test_nothing_is_half_done_where_a_field_is_wrong(pages):
    page = incoming(pages.send(("log.csv", messy().encode())))
    said = {
        "file-0:is-1": "time",
        "file-0:unit-1": "ms",
        "file-0:unit-2": "ft",
        "file-0:flight": "1",
    }
    answer = pages.post(
        f"{page}/keep", flight="a-1", **said, **{"record:conditions.wind_gust": "six"}
    )
    assert answer.status_code == 422
    assert 'value="six"' in answer.text  # what was typed is still there
    assert "a-1" not in flights_of(pages.served.home)
    assert pages.served.bench.jobs.all() == []


def test_what_is_not_settled_is_not_taken_in(pages):
    page = incoming(pages.send(("log.csv", messy().encode())))
    assert pages.post(f"{page}/keep", flight="a-1").status_code == 422
    # What is put right on the page redraws the files alone: the last button is never shut.
    last = pages.client.get(page).text.rpartition("/keep")[2]
    assert "disabled" not in last.partition("</button>")[0]
    both = {"file-0:is-1": "height", "file-0:is-2": "height"}
    answer = pages.post(f"{page}/keep", flight="a-1", **both)
    assert answer.status_code == 422
    assert "columns 1 and 2 are both said to be height" in answer.text.lower()
    assert pages.served.bench.jobs.all() == []


@pytest.mark.parametrize(
    ("field", "word"),
    [
        ("factor-2", "three"),
        ("every", "soon"),
        ("decimal", "tab"),
        ("as", "<b>poem</b>"),
        ("unit-2", "ells"),
        ("is-2", "colour"),
        ("flight", "9"),
        ("reading", "none such"),
    ],
)
def test_what_cannot_be_is_said_and_can_be_put_right(pages, field, word):
    page = incoming(pages.send(("log.csv", messy().encode())))
    wrong = pages.post(f"{page}/look", **{f"file-0:{field}": word})
    assert wrong.status_code == 200
    assert "<b>poem" not in wrong.text
    right = {"file-0:is-1": "time", "file-0:unit-1": "ms", "file-0:is-2": "height"}
    right |= {"file-0:unit-2": "ft", "file-0:flight": "1", "file-0:factor-2": ""}
    pages.post(f"{page}/look", **{"file-0:every": "", "file-0:reading": "", "file-0:as": "log"})
    assert "rises 275 ft" in plain(pages.post(f"{page}/look", **right))


def test_what_nobody_wants_is_thrown_away(pages):
    page = incoming(pages.send(("log.csv", messy().encode())))
    assert len(inbox_of(pages)) == 1
    assert "log.csv" in pages.client.get("/debrief").text
    pages.post(f"{page}/drop")
    assert inbox_of(pages) == ()
    assert Takes(pages.served.home).all() == []


def test_what_waits_stays_whatever_the_clock_says(pages, monkeypatch):
    page = incoming(pages.send(("log.csv", messy().encode())))
    real = time.time
    for days in (8, 400, -400):
        monkeypatch.setattr(time, "time", lambda days=days: real() + days * 24 * 3600)
        assert f'href="{page}"' in pages.client.get("/debrief").text
        pages.send(("log.zip", zipped()))  # refused; what waits is swept before
        assert [each.name for each in inbox_of(pages)] == ["log.csv"]
        assert "log.csv" in pages.client.get(page).text


def test_what_came_in_otherwise_can_be_looked_at_and_thrown_away(pages):
    sent = [("token", (None, pages.served.token)), ("file", ("log.csv", messy().encode()))]
    assert pages.client.post("/api/inbox/files", files=sent).status_code == 201
    (file,) = inbox_of(pages)
    listed = pages.client.get("/debrief").text
    assert "Look at log.csv" in listed
    page = incoming(pages.post("/debrief/look", file=file.id))
    assert "Look at log.csv" not in pages.client.get("/debrief").text  # it is listed by its page
    pages.post(f"{page}/drop")
    assert inbox_of(pages) == ()
    assert "Not taken in yet" not in pages.client.get("/debrief").text
    assert pages.post("/debrief/look", file=file.id).status_code == 422


def test_files_that_somebody_else_threw_away_wait_no_longer(pages):
    page = incoming(pages.send(("log.csv", messy().encode())))
    Inbox(pages.served.home).discard(inbox_of(pages)[0].id)
    assert f'href="{page}"' not in pages.client.get("/debrief").text
    assert Takes(pages.served.home).all() == []


def test_what_no_flight_keeps_any_more_is_not_thrown_away_as_taken_in(pages):
    page = incoming(pages.send(("log.csv", messy().encode())))
    said = {"file-0:is-1": "time", "file-0:unit-1": "ms", "file-0:is-2": "height"}
    said |= {"file-0:unit-2": "ft", "file-0:flight": "1"}
    pages.post(f"{page}/keep", flight="a-1", **said)
    while pages.served.bench.jobs.running():
        os.sched_yield()
    shutil.rmtree(pages.served.home / "flights" / "a-1")
    assert "Look at log.csv" in pages.client.get("/debrief").text
    assert [each.name for each in inbox_of(pages)] == ["log.csv"]


@pytest.mark.parametrize(
    "said",
    [
        "",
        "[]",
        "{}",
        '{"flight": null, "job": null, "files": [{"file": "../../../secret.csv", "name": "a.csv", '
        '"told": {}, "waits": null}]}',
    ],
)
def test_a_take_that_is_damaged_or_leads_out_of_the_campaign_is_none(pages, said):
    takes = Takes(pages.served.home)
    takes.folder.mkdir(parents=True)
    (pages.served.home.parent / "secret.csv").write_text("t,p\n0,1\n", "utf-8")
    (takes.folder / f"{'a' * 16}.json").write_text(said, "utf-8")
    assert takes.all() == []
    answer = pages.client.get(f"/incoming/{'a' * 16}")
    assert answer.status_code == 422
    assert "do not wait here" in plain(answer)
    assert pages.client.get("/debrief").status_code == 200


def test_the_columns_of_a_kept_log_are_corrected(pages):
    answer = pages.post(f"/debrief/{THIRD}/columns/0")
    page = incoming(answer)
    before = read_recorded_flight(pages.served.home, THIRD)
    pages.post(f"{page}/keep", **{"file-0:is-3": "not used", "file-0:source": "board"})
    assert "Kept already" in pages.ended(page).text
    after = read_recorded_flight(pages.served.home, THIRD)
    assert after.files[0].entry.sha256 == before.files[0].entry.sha256
    assert after.files[0].reading is not None
    assert {each.role for each in after.files[0].reading.column} == {"time", "pressure", "state"}


def test_a_flight_is_begun_before_it_is_flown(pages):
    pages.post("/debrief/begin", flight="to-come", flights="10")
    page = pages.ended("/debrief")
    assert "to-come" in page.text
    kept = read_recorded_flight(pages.served.home, "to-come")
    assert kept.forecast is not None
    assert "There is no log of this flight yet" in pages.client.get("/debrief/to-come").text
    assert pages.post("/debrief/begin", flight="../x").status_code == 422


# ---------------------------------------------------------------- the flight


def test_a_debrief_is_worked_out_once_and_known_in_the_list(pages):
    assert "not known yet" in pages.client.get("/debrief").text
    pages.client.get(f"/debrief/{THIRD}")
    pages.client.get(f"/debrief/{THIRD}")
    page = pages.ended(f"/debrief/{THIRD}")
    assert len(pages.served.bench.jobs.all()) == 1
    assert "What happened when" in page.text
    assert "How far the record can be trusted" in page.text
    assert "274 ft" in plain(pages.client.get("/debrief"))
    # Another record is another debrief.
    flight = pages.served.home / "flights" / THIRD / "flight.toml"
    flight.write_text(flight.read_text().replace("21.0 s", "21.5 s"))
    pages.client.get(f"/debrief/{THIRD}")
    assert len(pages.served.bench.jobs.all()) == 2
    pages.ended("/debrief")


def test_figures_and_a_finding_are_kept_in_one_step_and_once(pages):
    words = {"finding": "The latch servo stuck.", "sure": "possible", "explains": "release"}
    for _ in range(2):
        answer = pages.post(f"/debrief/{THIRD}/keep", unsettled="yes", **words)
        page = pages.ended(str(answer.url.copy_with(fragment=None).raw_path.decode()))
    assert "This is finding F1 already." in page.text
    with open_ledger(pages.served.home) as ledger:
        (found,) = ledger.findings(THIRD)
        assert (found.what, found.explains) == ("The latch servo stuck.", "release")
        assert {each.name for each in ledger.figures(THIRD)} >= {"apogee_m", "max_climb_m_s"}
    pages.ended(f"/debrief/{THIRD}")
    assert "F1" in pages.client.get("/debrief").text


def test_the_original_comes_as_it_was_kept(pages):
    answer = pages.client.get(f"/debrief/{THIRD}/evidence/0")
    kept = pages.served.home / "flights" / THIRD / "evidence" / "board.csv"
    assert answer.content == kept.read_bytes()
    assert answer.headers["content-disposition"].startswith("attachment")
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_a_link_out_of_the_evidence_leads_nowhere(pages):
    kept = pages.served.home / "flights" / THIRD / "evidence" / "board.csv"
    kept.unlink()
    kept.symlink_to("/etc/hostname")
    assert pages.client.get(f"/debrief/{THIRD}/evidence/0").status_code == 404


# ---------------------------------------------------------------- the record


def based_on(page: str) -> str:
    found = re.search(r'name="based_on" value="([0-9a-f]{64})"', page)
    assert found is not None
    return found[1]


def test_what_people_saw_is_written_with_comments_kept(pages):
    path = f"/debrief/{THIRD}/record"
    page = pages.client.get(path)
    answer = pages.post(
        path,
        based_on=based_on(page.text),
        **{
            "record:conditions.wind_speed": "7 mph ± 1 mph",
            "record:saw.1.what": "canopy open",
            "record:saw.1.by": "Ana",
            "record:stopwatch.0.begin": "",
            "record:stopwatch.0.end": "",
            "record:stopwatch.0.time": "",
            "record:stopwatch.0.by": "",
        },
    )
    assert answer.status_code == 200
    text = (pages.served.home / "flights" / THIRD / "flight.toml").read_text()
    assert text.startswith("# Invented for the demo")
    record = read_recorded_flight(pages.served.home, THIRD).record
    assert [each.what for each in record.saw] == ["release", "canopy open"]
    assert record.stopwatch == ()
    assert record.conditions.wind_speed.value == pytest.approx(7 * 0.44704)  # NIST SP 811, B.8


def test_a_flight_may_be_called_whatever_a_folder_may(pages):
    odd = "gust #3 & 7 %41"
    flights = pages.served.home / "flights"
    (flights / THIRD).rename(flights / odd)
    links = re.findall(r'href="(/debrief/[^"]+)"', pages.client.get("/debrief").text)
    place = next(html.unescape(each) for each in links if "gust" in each)
    form = pages.client.get(f"{place}/record")
    assert odd in html.unescape(form.text)
    sent = {"token": pages.served.token, "based_on": based_on(form.text)}
    saved = pages.client.post(f"{place}/record", data=sent, follow_redirects=False)
    assert saved.headers["location"] == place


def test_two_pages_never_lose_an_edit(pages):
    path = f"/debrief/{THIRD}/record"
    first = based_on(pages.client.get(path).text)
    flight = pages.served.home / "flights" / THIRD / "flight.toml"
    flight.write_text(flight.read_text() + "\n# another hand\n")
    answer = pages.post(path, based_on=first, **{"record:note": "Mine."})
    assert answer.status_code == 409
    assert "changed meanwhile" in answer.text
    assert 'value="Mine."' in answer.text
    assert "another hand" in flight.read_text()
    again = pages.post(path, based_on=based_on(answer.text), **{"record:note": "Mine."})
    assert again.status_code == 200
    assert 'note = "Mine."' in flight.read_text()


# ---------------------------------------------------------------- learning


def test_what_flights_teach_is_looked_at_before_it_is_written(pages):
    field = "vehicle.nozzle.velocity_coefficient"
    vehicle = pages.served.home / "vehicle.toml"
    before = vehicle.read_text()
    pages.post("/learn", flight="2026-05-09-a", field=field)
    page = pages.ended("/learn")
    assert "Write it into the documents" in page.text
    assert vehicle.read_text() == before
    fit = pages.served.bench.jobs.latest("learn")
    vehicle.write_text(before + "\n# meanwhile\n")
    assert pages.post("/learn/write", fit=fit.id).status_code == 409
    assert vehicle.read_text() == before + "\n# meanwhile\n"
    vehicle.write_text(before)
    pages.post("/learn/write", fit=fit.id)
    page = pages.ended("/learn")
    wrote = pages.served.bench.jobs.latest("learn")
    assert wrote.state is State.DONE, (wrote.words, wrote.answer(), wrote.said())
    assert "Written into the documents" in page.text
    assert vehicle.read_text() != before


def fired(home: Path) -> bytes:
    """A record of the bottle's own firing on the stand: tare, weight of the water, noise."""
    firing = static_firing(read_campaign(home))
    time_s = np.arange(0.0, 4.0, 1 / 2000)
    push = np.interp(time_s - 1.5, firing.time, firing.thrust, left=0.0, right=0.0)
    water = np.interp(time_s - 1.5, firing.time, firing.water_mass)
    noise = np.random.default_rng(1).normal(0.0, 0.1, time_s.size)
    force = push + 0.3 + 9.81 * (firing.water_mass[0] - water) + noise
    rows = "\n".join(f"{value:.3f}" for value in force)
    return f"% rate 2000 Hz\n% force in N\n{rows}\n".encode()


def test_a_firing_is_taken_in_fitted_and_written_after_a_look(opened):
    pages = opened("stand-bottle")
    record = fired(pages.served.home)
    page = incoming(pages.send(("stand.txt", record)))
    pages.post(f"{page}/keep", flight="stand-1")
    assert "Kept, byte for byte" in pages.ended(page).text
    assert "stand-1" in pages.client.get("/debrief").text
    with ThreadPoolExecutor(8) as several:  # who looks at once starts it once
        list(several.map(pages.client.get, ["/stand/stand-1"] * 8))
    page = pages.ended("/stand/stand-1").text
    assert [each.page for each in pages.served.bench.jobs.all()].count("stand") == 1
    assert "Write it into the vehicle" in page
    vehicle = pages.served.home / "vehicle.toml"
    before = vehicle.read_text()
    fit = next(each for each in pages.served.bench.jobs.all() if each.page == "stand")
    assert fit.state is State.DONE
    for _ in range(2):  # a double click
        pages.post("/stand/stand-1/write", fit=fit.id, again="yes", once="a key")
    assert sum("--write" in each.words for each in pages.served.bench.jobs.all()) == 1
    pages.ended("/stand/stand-1")
    assert vehicle.read_text() != before


# ---------------------------------------------------------------- in the browser


@needs_browser
def test_the_whole_way_in_the_browser(serve, browser, tmp_path: Path) -> None:
    from selenium.webdriver.support.ui import Select

    served = serve(LIFT)
    log = tmp_path / "messy.csv"
    log.write_text(messy())
    wait = waiting(browser, PATIENCE)
    look(browser, f"{served.url}/debrief", 390)
    assert findings_of_axe(browser) == []
    browser.find_element("id", "files").send_keys(str(log))
    browser.find_element("css selector", ".drop button").click()
    wait.until(lambda b: "/incoming/" in b.current_url)

    def says(words: str) -> None:
        wait.until(lambda b: words in b.find_element("id", "files-seen").text)

    def choose(name: str, word: str) -> None:
        def chosen(b: Any) -> bool:
            Select(b.find_element("id", name)).select_by_visible_text(word)
            return True

        wait.until(chosen)

    says("No column is known to be time")
    choose("f0-is-1", "time")
    wait.until(lambda b: b.find_elements("id", "f0-unit-1"))
    choose("f0-unit-1", "ms")
    choose("f0-unit-2", "m")
    says("The file holds 2 flights")
    browser.find_element("id", "f0-flight-1").click()
    says("rises 904 ft")
    choose("f0-unit-2", "ft")
    says("rises 275 ft")
    assert browser.execute_script("return document.activeElement.id") == "f0-unit-2"
    assert findings_of_axe(browser) == []
    browser.find_element("id", "forecast").click()
    flight = browser.find_element("id", "flight")
    flight.clear()
    flight.send_keys("odd-1")
    browser.find_element("css selector", "#files-seen .main-act").click()
    wait.until(lambda b: "Kept, byte for byte" in b.find_element("tag name", "main").text)
    wait.until(lambda b: b.find_element("css selector", "main a.main-act").click() or True)
    wait.until(lambda b: "What happened when" in b.find_element("tag name", "main").text)
    browser.find_element("id", "finding").send_keys("The board counts in feet.")
    browser.find_element("css selector", ".keep .main-act").click()
    wait.until(lambda b: b.find_elements("css selector", ".said-kept"))
    assert "finding F1" in browser.find_element("id", "kept").text
    wait.until(lambda b: "What happened when" in b.find_element("tag name", "main").text)
    assert findings_of_axe(browser) == []
    is_quiet(browser, served.url)
    with open_ledger(served.home) as ledger:
        assert [each.what for each in ledger.findings("odd-1")] == ["The board counts in feet."]
