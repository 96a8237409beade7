"""The ledger as pages: all that the command does, each form once, nothing lost."""

from __future__ import annotations

import io
import re
import struct
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser

from loftwright.cli.ledger import SUBCOMMANDS
from loftwright.errors import ProblemError
from loftwright.ledger.exchange import content
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.taking_in import take_in
from loftwright.web.once import Once
from loftwright.web.pages.ledger_keep import unpack

# What of the command is where on the pages.
PLACES = {
    "take-in": "/ledger/keep",
    "list": "/ledger",
    "show": "/ledger/flights/2026-05-09-a",
    "compare": "/ledger/compare?one=2026-05-09-a&other=2026-05-16-a",
    "finding": "/ledger/add/finding",
    "action": "/ledger/add/action",
    "decision": "/ledger/add/decision",
    "close": "/ledger/A1",
    "judge": "/ledger/flights/2026-05-09-b",
    "reliability": "/ledger/reliability",
    "ready": "/ledger/ready",
    "verify": "/ledger/keep",
    "export": "/ledger/keep",
    "import": "/ledger/keep",
}


@pytest.fixture
def flown(serve):
    served = serve("sedge-lift-flown")
    with open_ledger(served.home) as ledger:
        take_in(ledger)
        ledger.add_action("Hold the battery", who="Pell")
    return served


def get(served, path: str) -> str:
    said = httpx.get(f"{served.url}{path}")
    assert said.status_code == 200, said.text
    return said.text


def send(served, path: str, **fields: str | list[str]) -> httpx.Response:
    return httpx.post(f"{served.url}{path}", data={"token": served.token, **fields})


def entries(served) -> dict[str, int]:
    with open_ledger(served.home) as ledger:
        return {name: len(rows) for name, rows in content(ledger).items()}


def test_all_that_the_command_does_has_a_page() -> None:
    assert set(PLACES) == set(SUBCOMMANDS)


@pytest.mark.parametrize("path", sorted(set(PLACES.values())))
def test_a_page_shows_and_names_its_command(flown, path: str) -> None:
    assert "loftwright ledger" in get(flown, path)


def test_an_entry_is_kept_once_however_often_it_is_sent(flown) -> None:
    fields = {
        "what": "The battery slipped",
        "flight": "2026-05-09-b",
        "explains": "release",
        "sure": "likely",
        "evidence": "2026-05-09-b/board.csv",
        "unsettled": "yes",
        "who": "Runa",
        "once": "key-1",
    }
    with ThreadPoolExecutor(4) as pool:
        asked = [pool.submit(send, flown, "/ledger/add/finding", **fields) for _ in range(4)]
        said = [each.result() for each in asked]
    assert {(each.status_code, each.headers["location"]) for each in said} == {(303, "/ledger/F1")}
    with open_ledger(flown.home) as ledger:
        (finding,) = ledger.findings()
    assert finding.explains == "release"
    assert [each.file for each in finding.evidence] == ["board.csv"]
    assert finding.is_open
    assert "The battery slipped" in get(flown, "/ledger/F1")


def test_a_form_that_is_refused_keeps_what_was_said(flown) -> None:
    said = send(flown, "/ledger/add/decision", what="Fly with <b>two</b> cells", why="", once="k")
    assert said.status_code == 422
    assert "why it was decided is empty" in said.text.lower()
    assert "Fly with &lt;b&gt;two&lt;/b&gt; cells" in said.text
    assert entries(flown)["decision"] == 0
    again = send(flown, "/ledger/add/decision", what="Fly so", why="it held", once="k")
    assert again.headers["location"] == "/ledger/D1"


def test_an_action_for_a_finding_and_its_end(flown) -> None:
    send(flown, "/ledger/add/finding", what="It slipped", unsettled="yes")
    send(flown, "/ledger/add/action", what="Strap it", due="2026-06-01", finding="1", who="Ivo")
    assert "F1" in get(flown, "/ledger/A2")
    for item in ("A2", "F1"):
        said = send(flown, f"/ledger/close/{item}", flight="2026-05-16-a")
        assert said.headers["location"] == f"/ledger/{item}"
    with open_ledger(flown.home) as ledger:
        assert ledger.action(2).closed_by == "2026-05-16-a"
        assert not ledger.finding(1).is_open
    assert "Strap it" not in get(flown, "/ledger")
    assert "Strap it" in get(flown, "/ledger?closed=yes&what=actions")
    assert "Strap it" not in get(flown, "/ledger?closed=yes&q=nowhere")


def test_a_function_is_judged(flown) -> None:
    place = "/ledger/flights/2026-05-09-b"
    said = send(flown, f"{place}/judge", function="canopy", outcome="worked", why="seen", who="Ivo")
    assert said.headers["location"] == place
    assert "as it was judged" in get(flown, place)
    assert send(flown, f"{place}/judge", function="luck", outcome="worked").status_code == 422


@pytest.mark.parametrize(
    "path",
    ["/ledger/X1", "/ledger/add/other", "/ledger/A99999999999", "/ledger/..%2f..%2fetc"],
)
def test_what_is_not_there_is_told(flown, path: str) -> None:
    # A path that climbs is refused before any page is asked.
    assert httpx.get(f"{flown.url}{path}").status_code == (400 if ".." in path else 404)


@pytest.mark.parametrize(
    "path", ["/ledger/F9", "/ledger/flights/nowhere", "/ledger/compare?one=a&other=b"]
)
def test_what_the_ledger_does_not_have_is_told(flown, path: str) -> None:
    said = httpx.get(f"{flown.url}{path}")
    assert said.status_code == 422
    assert "ledger has no" in said.text


@pytest.mark.parametrize(
    "query", ["wanted=abc", "wanted=0", "confidence=100", "weight=200", "may_fail=-1", "count=x"]
)
def test_what_cannot_be_asked_is_told(flown, query: str) -> None:
    assert httpx.get(f"{flown.url}/ledger/reliability?{query}").status_code == 422


def test_reliability_is_that_of_the_command(flown) -> None:
    text = get(flown, "/ledger/reliability?wanted=80&confidence=90&count=all&may_fail=1")
    assert "--wanted 80% --confidence 90% --count all --weight 0.5 --may-fail 1" in text
    from loftwright.ledger.reliability import Asked, reliability

    asked = Asked(wanted=0.8, confidence=0.9, count="all", may_fail=1)
    with open_ledger(flown.home) as ledger:
        found = reliability(ledger, asked)
    for each in found.functions:
        assert f"{each.more.by_formula} more by the success-run formula" in text


def test_an_export_is_the_same_twice_and_can_be_put_in_again(flown, tmp_path: Path) -> None:
    first, second = (httpx.get(f"{flown.url}/ledger/export.zip").content for _ in range(2))
    assert first == second
    before = entries(flown)
    archive = tmp_path / "ledger.zip"
    archive.write_bytes(first)
    names = zipfile.ZipFile(io.BytesIO(first)).namelist()
    assert "ledger/ledger.json" in names
    for path in flown.home.glob("ledger.sqlite*"):
        path.unlink()
    said = upload(flown, first)
    assert said.status_code == 303, said.text
    assert entries(flown) == before
    full = upload(flown, first)
    assert full.status_code == 422
    assert "ledger" in full.text
    assert not list((flown.home / ".loftwright/inbox").glob("*/content"))


def upload(served, archive: bytes, name: str = "ledger.zip") -> httpx.Response:
    return httpx.post(
        f"{served.url}/ledger/import/files",
        files={"token": (None, served.token), "archive": (name, archive)},
    )


@pytest.mark.parametrize("name", ["../../evil", "/etc/evil", "a/../../evil", "..\\evil", "c:evil"])
def test_no_name_in_an_archive_leads_out_of_it(tmp_path: Path, name: str) -> None:
    archive = tmp_path / "bad.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("ledger/ledger.json", "{}")
        packed.writestr(name, "evil")
    to = tmp_path / "to"
    to.mkdir()
    with pytest.raises(ProblemError) as caught:
        unpack(archive, to)
    assert caught.value.problems[0].code == "ledger-export-unfit"
    assert not list(tmp_path.rglob("*evil*"))


def test_an_archive_with_damaged_content_is_refused(tmp_path: Path) -> None:
    archive = tmp_path / "bad.zip"
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("ledger/ledger.json", "[1, 2, 3]" * 100)
    content = bytearray(archive.read_bytes())
    begins = content.index(b"ledger.json") + len("ledger.json")
    content[begins : begins + 4] = b"\xff" * 4  # no block of a deflated stream begins so
    archive.write_bytes(content)
    to = tmp_path / "to"
    to.mkdir()
    with pytest.raises(ProblemError, match="no archive that can be read"):
        unpack(archive, to)


@pytest.mark.parametrize("large", [False, True])
def test_a_list_of_contents_that_no_ledger_has_is_not_read(tmp_path: Path, large: bool) -> None:
    # PKWARE, APPNOTE 4.3.16 (end of central directory) and 4.3.15 (that of its larger form).
    locator = struct.pack("<4sLQL", b"PK\x06\x07", 0, 0, 1) if large else b""
    listed = 0 if large else 2**31
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 1, 1, listed, 0, 3) + b"end"
    archive = tmp_path / "ledger.zip"
    archive.write_bytes(locator + end)
    with pytest.raises(ProblemError, match="larger than any ledger"):
        unpack(archive, tmp_path / "out")


def test_an_entry_that_says_less_than_it_holds_fills_nothing(tmp_path: Path) -> None:
    archive = tmp_path / "ledger.zip"
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("ledger.json", bytes(32 << 20))
    content = archive.read_bytes()
    told = (32 << 20).to_bytes(4, "little")
    archive.write_bytes(content.replace(told, (1000).to_bytes(4, "little")))
    (tmp_path / "out").mkdir()
    with pytest.raises(ProblemError, match="no archive that can be read"):
        unpack(archive, tmp_path / "out")
    assert sum(each.stat().st_size for each in (tmp_path / "out").rglob("*")) <= 1000


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 no archive", b"{}"])
def test_what_is_no_archive_is_refused(flown, content: bytes) -> None:
    said = upload(flown, content)
    assert said.status_code == 422
    assert entries(flown)["action"] == 1


def test_holding_to_digests_runs_as_work(flown) -> None:
    said = send(flown, "/ledger/verify", once="v")
    assert re.fullmatch(r"/work/[\w-]+", said.headers["location"])
    (job,) = flown.bench.jobs.all()
    assert job.command == f"loftwright ledger verify {flown.home}"


def test_a_damaged_ledger_is_told_on_every_page(flown) -> None:
    (flown.home / "ledger.sqlite").write_bytes(b"no database at all " * 100)
    for path in sorted(set(PLACES.values())):
        said = httpx.get(f"{flown.url}{path}")
        assert said.status_code == 422, path
        assert "ledger" in said.text
    assert httpx.get(f"{flown.url}/").status_code == 200


def test_a_key_that_failed_may_be_used_again() -> None:
    once, said = Once(), []

    def act() -> int:
        said.append(1)
        if len(said) == 1:
            raise ValueError("not yet")
        return len(said)

    with pytest.raises(ValueError, match="not yet"):
        once.do("k", act)
    assert [once.do("k", act) for _ in range(3)] == [2, 2, 2]
    assert once.do("", act) == 3


def test_a_flight_whose_folder_is_not_here_has_no_debrief_to_go_to(flown) -> None:
    import shutil

    httpx.get(f"{flown.url}/ledger")  # takes its flights in
    name = next(path.name for path in sorted((flown.home / "flights").iterdir()))
    page = f"{flown.url}/ledger/flights/{name}"
    assert f'href="/debrief/{name}"' in httpx.get(page).text
    shutil.rmtree(flown.home / "flights" / name)
    alone = httpx.get(page).text
    assert f'href="/debrief/{name}"' not in alone
    assert "is not in this folder" in alone


@needs_browser
def test_entries_are_sorted_by_keyboard(flown, browser) -> None:
    from selenium.webdriver.common.keys import Keys

    with open_ledger(flown.home) as ledger:
        take_in(ledger)
        for what, due in (
            ("Strap it", "2026-06-10"),
            ("Weigh it", None),
            ("Test it", "2026-06-02"),
        ):
            ledger.add_action(what, who="Pell", due=due)
        for number in range(8):
            ledger.add_action(f"Drill hole {number}", due=f"2026-07-{number + 1:02}")
    look(browser, f"{flown.url}/ledger?what=actions")
    assert findings_of_axe(browser) == []
    cells = (
        "return [...document.querySelectorAll('.listed tbody tr')].map(r => r.cells[arguments[0]]"
    )
    due = f"{cells}.textContent)"

    def head(word: str):
        return browser.find_element("xpath", f"//th[.//button[.='{word}']]")

    head("due").find_element("tag name", "button").send_keys(Keys.ENTER)
    found = browser.execute_script(due, 3)
    assert found[:2] == ["2026-06-02", "2026-06-10"]
    assert found[-1] == "–"  # what has no date comes last, whichever way
    browser.switch_to.active_element.send_keys(Keys.SPACE)
    found = browser.execute_script(due, 3)
    assert (found[0], found[-1]) == ("2026-07-08", "–")
    assert head("due").get_attribute("aria-sort") == "descending"
    head("action").find_element("tag name", "button").send_keys(Keys.ENTER)
    assert browser.execute_script(due, 0) == [f"A{n}" for n in range(1, 13)]  # not A1, A10
    sorts = "return document.querySelectorAll('[aria-sort]').length"
    assert browser.execute_script(sorts) == 1
    assert findings_of_axe(browser) == []
    for path in ("", "/reliability", "/flights/2026-05-16-a"):
        browser.get(f"{flown.url}/ledger{path}")
        assert browser.find_elements("css selector", "table[data-sorts] button.sort")
    is_quiet(browser, flown.url)


def test_an_entry_in_cells_says_what_its_line_says(flown) -> None:
    from loftwright.report import ledger_words as words

    with open_ledger(flown.home) as ledger:
        take_in(ledger)
        ledger.add_finding("A plug slipped", flight="2026-05-16-a", explains="release",
                           evidence=["board.csv"], unsettled=True, who="Runa")  # fmt: skip
        ledger.add_finding("Plain")
        ledger.add_action("Strap it", who="Pell", due="2026-06-01", finding=1)
        ledger.add_action("Weigh it")
        ledger.close_action(3, why="not needed")
        ledger.add_decision("Two cells", why="one went dark", who="Ivo")
        pairs = [(words.finding_row(e), words.finding_line(e)) for e in ledger.findings()]
        pairs += [(words.action_row(e), words.action_line(e)) for e in ledger.actions()]
        pairs += [(words.decision_row(e), words.decision_line(e)) for e in ledger.decisions()]
    assert len(pairs) == 6
    for row, line in pairs:
        said = {word.strip(".,;:()") for cell in row for word in cell.casefold().split()}
        told = {word.strip(".,;:()") for word in line.casefold().split()[1:]}
        assert told - {"from", "due", "by"} <= said, (row, line)
