"""The pages: self-contained, escaped, small, in order, and whole in every odd case."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from report import synthetic

from loftwright.flight.results import Band
from loftwright.report.cautions import CAUTIONS, DEFERENCE
from loftwright.report.page import firing_page, forecast_page
from loftwright.report.theme import DARK, LIGHT, contrast_ratio

VOID = {"meta", "link", "br", "img", "input", "hr"}


class Reader(HTMLParser):
    """Collects what the tests look at, and refuses unbalanced tags."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.headings: list[tuple[int, str]] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append((int(tag[1]), ""))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and re.fullmatch("h[1-6]", self.open[-1]):
            level, words = self.headings[-1]
            self.headings[-1] = (level, words + data)
        if not {"script", "style"} & set(self.open):
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert not reader.open
    return reader


@pytest.fixture(scope="module")
def full() -> str:
    ensemble = synthetic.ensemble()
    return forecast_page(synthetic.campaign(), ensemble.nominal, ensemble, synthetic.check())


@pytest.fixture(scope="module")
def fired() -> str:
    fitted = {"flow_coefficient": {"value": 0.934, "sd": 0.012}}
    return firing_page(
        synthetic.campaign(), synthetic.firing(), synthetic.records(), {"fitted": fitted}
    )


def test_a_forecast_of_two_thousand_flights_is_small(full: str) -> None:
    assert len(full.encode()) < 600_000


@pytest.mark.parametrize("which", ["full", "fired"])
def test_nothing_is_fetched(which: str, request: pytest.FixtureRequest) -> None:
    page = request.getfixturevalue(which)
    without_names = page.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert "http:" not in without_names
    assert "https:" not in without_names
    assert not re.search(r"url\(|@import|\bsrc=", without_names)
    links = [a for tag, a in read(page).tags if tag in ("link", "a", "img", "iframe", "script")]
    assert all((a.get("href") or "data:,").startswith("data:") for a in links)
    assert all("src" not in a for a in links)
    assert "default-src 'none'" in page


@pytest.mark.parametrize("which", ["full", "fired"])
def test_every_picture_is_well_formed_and_described(
    which: str, request: pytest.FixtureRequest
) -> None:
    pictures = re.findall(r"<svg.*?</svg>", request.getfixturevalue(which), re.S)
    assert len(pictures) >= 5
    for picture in pictures:
        root = ET.fromstring(picture)
        assert root.get("role") == "img"
        title, description = root[0], root[1]
        assert title.tag.endswith("title")
        assert title.text
        assert description.tag.endswith("desc")
        assert description.text
        assert "NaN" not in picture
        assert ">nan" not in picture


@pytest.mark.parametrize("which", ["full", "fired"])
def test_headings_come_in_order(which: str, request: pytest.FixtureRequest) -> None:
    levels = [level for level, _ in read(request.getfixturevalue(which)).headings]
    assert levels[0] == 1
    assert set(levels[1:]) == {2}


def test_the_answer_comes_first_then_why_then_the_detail(full: str) -> None:
    reader = read(full)
    assert [words.strip() for _, words in reader.headings] == [
        "Evening lifts", "!  Think twice".replace("!  ", "! ")[2:], "The whole flight",
        "The boost, shown larger", "On the pad", "Where it comes down",
        "What drives the spread", "Figures", "Before you pump", "Where this comes from",
    ]  # fmt: skip
    text = reader.text
    order = ["About 42", "nine times in ten", "Think twice", "The whole flight", "SHA-256"]
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_tables_name_their_rows_and_columns(full: str) -> None:
    heads = [attributes for tag, attributes in read(full).tags if tag == "th"]
    assert heads
    assert all(a.get("scope") in ("row", "col") for a in heads)


@pytest.mark.parametrize("which", ["full", "fired"])
def test_cautions_are_whole(which: str, request: pytest.FixtureRequest) -> None:
    text = read(request.getfixturevalue(which)).text
    assert all(caution in text for caution in (*CAUTIONS, DEFERENCE))


def test_provenance_is_told(full: str) -> None:
    text = read(full).text
    for word in ("seed 7", "2000 flights", "Model 0.1.0", "b" * 64, "vehicle.toml"):
        assert word in text
    assert "Douglas and T. Peucker" in text  # the references of a law that ran


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_name_full_of_markup_stays_text(units: str) -> None:
    ensemble = synthetic.ensemble(60)
    campaign = synthetic.campaign(units, name=synthetic.NASTY)
    page = forecast_page(campaign, ensemble.nominal, ensemble, synthetic.check())
    assert "<b>&" not in page
    reader = read(page)
    assert reader.headings[0] == (1, synthetic.NASTY)
    firing = firing_page(campaign, synthetic.firing(), synthetic.records(1))
    assert read(firing).headings[0] == (1, synthetic.NASTY)


def test_a_script_end_in_a_name_does_not_end_the_script() -> None:
    campaign = synthetic.campaign(name="</script><script>alert(1)</script>")
    reader = read(forecast_page(campaign, synthetic.flight()))
    assert sum(tag == "script" for tag, _ in reader.tags) == 2


def test_one_flight_has_no_percentiles() -> None:
    text = read(forecast_page(synthetic.campaign(), synthetic.flight())).text
    assert "One flight, exactly as the documents have it" in text
    assert "95 %" not in text
    assert "drives the spread" not in text


def test_without_payload_canopy_tail_tube_and_fins() -> None:
    ensemble = synthetic.ensemble(60, with_payload=False)
    page = forecast_page(synthetic.campaign(bare=True), ensemble.nominal, ensemble)
    text = read(page).text
    assert "Wren" not in text.replace(synthetic.campaign().head.question, "")
    assert "lets go" not in text
    assert "Think twice" not in text
    assert "climb as it leaves , m/s –" in text


def test_a_single_flight_in_an_ensemble_is_a_page() -> None:
    ensemble = synthetic.ensemble(1)
    read(forecast_page(synthetic.campaign(), ensemble.nominal, ensemble))


def test_columns_of_nan_are_dashes_not_numbers() -> None:
    ensemble = synthetic.ensemble(40)
    columns = {k: np.full_like(v, np.nan) for k, v in ensemble.columns.items()}
    nothing = dict.fromkeys(("p05", "p50", "p95", "mean", "sd"), float("nan"))
    empty = replace(
        ensemble,
        columns=columns,
        statistics=dict.fromkeys(columns, nothing),
        band=Band(ensemble.band.time, {k: v * np.nan for k, v in ensemble.band.lanes.items()}),
    )
    text = read(forecast_page(synthetic.campaign(), ensemble.nominal, empty)).text
    assert not re.search(r"\bnan\b", text, re.I)


def test_a_flight_of_no_duration_is_a_page() -> None:
    flight = synthetic.flight(with_payload=False)
    track = flight.tracks["vehicle"]
    columns = {
        name: getattr(track, name)[:1]
        for name in (
            "time", "position", "velocity", "acceleration", "attitude", "rates", "water_mass",
            "gas_mass", "gas_temperature", "gauge_pressure", "thrust",
        )
    }  # fmt: skip
    still = replace(track, events={"liftoff": 0.0}, **columns)
    grounded = replace(
        flight,
        tracks={"vehicle": still},
        figures=dict.fromkeys(flight.figures),
        touchdown={},
        outcome="The vehicle never left the guide.",
    )
    text = read(forecast_page(synthetic.campaign(bare=True), grounded)).text
    assert "The vehicle never left the guide." in text


def test_a_firing_shows_records_and_fit(fired: str) -> None:
    text = read(fired).text
    assert "stand-2.csv 71.0 ± 0.80 N s" in text.replace("\u00a0", " ")
    assert "flow coefficient 0.934 0.012" in text
    assert "3 records average" in text


def test_a_firing_without_records_says_nothing_of_them() -> None:
    text = read(firing_page(synthetic.campaign(), synthetic.firing())).text
    assert "Measured" not in text
    assert "Fitted" not in text


def test_a_fitted_band_replaces_the_model_line() -> None:
    firing = synthetic.firing()
    spread = np.array([0.9, 0.96, 1.0, 1.04, 1.1])
    band = Band(firing.time, {"thrust_n": firing.thrust[:, None] * spread})
    page = firing_page(synthetic.campaign(), firing, synthetic.records(1), {"band": band})
    assert page.count('class="band"') == 2 * 3  # outer and inner, on three widths
    text = read(page).text
    assert "what new firings, filled as these were, would measure after the fit" in text
    assert "the model as written, before the fit" in text


def test_notes_of_a_fit_stand_below_it_escaped() -> None:
    fitted = {"flow_coefficient": {"value": 0.934, "sd": 0.012}}
    notes = ["flow: informed by <central> time", "a single record"]
    page = firing_page(
        synthetic.campaign(), synthetic.firing(), synthetic.records(),
        {"fitted": fitted, "notes": notes},
    )  # fmt: skip
    assert "<central>" not in page
    assert all(note in read(page).text for note in notes)


def test_the_same_result_gives_the_same_page(full: str) -> None:
    ensemble = synthetic.ensemble()
    again = forecast_page(synthetic.campaign(), ensemble.nominal, ensemble, synthetic.check())
    assert again == full


# Web Content Accessibility Guidelines 2.1, success criterion 1.4.3: 4.5 for text.
@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("role", ["ink", "quiet", "vehicle", "payload", "warning"])
@pytest.mark.parametrize("ground", ["paper", "shell"])
def test_text_stands_out(theme: dict[str, str], role: str, ground: str) -> None:
    assert contrast_ratio(theme[role], theme[ground]) >= 4.5


def test_contrast_of_known_pairs() -> None:
    # WCAG 2.1, definition of contrast ratio: black on white is 21, and #767676 is the lightest
    # grey that passes on white (from memory).
    assert contrast_ratio("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast_ratio("#FFFFFF", "#767676") == pytest.approx(4.54, abs=0.01)


def test_both_themes_hold_the_same_roles(full: str) -> None:
    assert LIGHT.keys() == DARK.keys()
    for role in set(re.findall(r"var\(--(\w+)\)", full)):
        assert role in LIGHT
