"""Evidence is kept byte for byte, whole or not at all; what is half there never counts."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.debrief.flown import flown_campaign
from loftwright.documents import read_campaign
from loftwright.documents.edit import set_values
from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.flights import LONGEST, flight_folder, flights_of, name_fault
from loftwright.documents.reading import read_document
from loftwright.errors import ProblemError
from loftwright.evidence import keeping
from loftwright.evidence.keeping import keep_file, note_entry, open_flight
from loftwright.evidence.recorded_flight import read_recorded_flight

DEMO = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift"


@pytest.fixture
def campaign(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "sedge-lift"))


@pytest.fixture
def flight(campaign: Path) -> Path:
    return open_flight(read_campaign(campaign), "a-1")[0]


@pytest.fixture
def original(tmp_path: Path) -> Path:
    path = tmp_path / "board.bin"
    path.write_bytes(os.urandom(3 << 20))
    return path


def codes(error: pytest.ExceptionInfo[ProblemError]) -> list[str]:
    return [problem.code for problem in error.value.problems]


def take(flight: Path, original: Path) -> None:
    note_entry(flight, keep_file(flight, original), {"kind": "other"})


def test_a_file_of_any_size_is_copied_in_pieces(flight: Path, original: Path) -> None:
    seen: list[tuple[int, int]] = []
    taken = keep_file(flight, original, progress=lambda done, total: seen.append((done, total)))
    assert taken.path.read_bytes() == original.read_bytes()
    assert taken.sha256 == hashlib.sha256(original.read_bytes()).hexdigest()
    assert seen[-1] == (3 << 20, 3 << 20)
    assert len(seen) >= 3


def test_the_flight_document_keeps_its_comments(flight: Path, original: Path) -> None:
    path = flight / "flight.toml"
    path.write_text(path.read_text() + "# mine\n")
    take(flight, original)
    assert "# mine\n" in path.read_text()
    assert read_document(path, FlightRecord).evidence[0].file == "board.bin"


# What a kill leaves behind is what stands there when any one step never came.
STEPS = ("os.fsync", "os.link", "os.rename", "pathlib.Path.chmod", "pathlib.Path.open")


class KilledError(BaseException):
    """In place of a signal: nothing but ``finally`` runs after it."""


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("after", range(6))
def test_killed_at_any_step_nothing_half_counts(
    campaign: Path, original: Path, monkeypatch: pytest.MonkeyPatch, step: str, after: int
) -> None:
    left = [after]

    def killing(real):  # type: ignore[no-untyped-def]
        def call(*args, **kwargs):  # type: ignore[no-untyped-def]
            left[0] -= 1
            if left[0] < 0:
                raise KilledError
            return real(*args, **kwargs)

        return call

    module, _, name = step.rpartition(".")
    owner = os if module == "os" else Path
    # A kill runs no clean-up either.
    with monkeypatch.context() as patched:
        patched.setattr(owner, name, killing(getattr(owner, name)))
        patched.setattr(Path, "unlink", lambda *_, **__: None)
        patched.setattr(shutil, "rmtree", lambda *_, **__: None)
        try:
            folder, _ = open_flight(read_campaign(campaign), "a-1")
            take(folder, original)
        except KilledError:
            pass
    if flights_of(campaign):
        for kept in read_recorded_flight(campaign, "a-1").files:
            assert kept.path.read_bytes() == original.read_bytes()
    folder, _ = open_flight(read_campaign(campaign), "a-1")
    take(folder, original)
    (kept,) = read_recorded_flight(campaign, "a-1").files
    assert kept.path.read_bytes() == original.read_bytes()
    assert read_campaign(folder / "build").hashes == read_campaign(campaign).hashes


def test_halves_that_were_left_behind_are_taken_away(flight: Path, original: Path) -> None:
    old, new = (flight / "evidence" / f".{name}.part" for name in ("old", "new"))
    for half in (old, new):
        half.write_bytes(b"half")
    os.utime(old, (1.0, 1.0))
    keep_file(flight, original)
    assert (old.exists(), new.exists()) == (False, True)


def test_a_file_that_grows_meanwhile_is_refused(flight: Path, original: Path) -> None:
    def grow(done: int, total: int) -> None:
        with original.open("ab") as stream:
            stream.write(b"more")

    with pytest.raises(ProblemError) as caught:
        keep_file(flight, original, progress=grow)
    assert codes(caught) == ["record-changed"]
    assert list((flight / "evidence").iterdir()) == []


def test_without_links_a_file_is_kept_all_the_same(
    flight: Path, original: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(95, "not supported")

    monkeypatch.setattr(keeping.os, "link", refuse)
    take(flight, original)
    assert [each.name for each in (flight / "evidence").iterdir()] == ["board.bin"]


@pytest.mark.parametrize("path", [Path("/dev/zero"), Path("none"), Path("/")])
def test_only_regular_files_are_evidence(flight: Path, path: Path) -> None:
    with pytest.raises(ProblemError):
        keep_file(flight, path, "x.bin")
    assert list((flight / "evidence").iterdir()) == []


def test_evidence_that_was_changed_or_lost_is_told(
    campaign: Path, flight: Path, original: Path
) -> None:
    take(flight, original)
    kept = flight / "evidence" / "board.bin"
    kept.chmod(0o644)
    kept.write_bytes(b"other")
    with pytest.raises(ProblemError) as caught:
        read_recorded_flight(campaign, "a-1")
    assert codes(caught) == ["record-file-changed"]
    assert caught.value.problems[0].where.line is not None
    kept.unlink()
    with pytest.raises(ProblemError) as caught:
        read_recorded_flight(campaign, "a-1")
    assert codes(caught) == ["record-file-gone"]


def test_a_stray_file_is_told_and_does_not_count(campaign: Path, flight: Path) -> None:
    (flight / "evidence" / "stray.csv").write_text("x")
    (flight / "evidence" / ".half.csv.0123.part").write_text("x")
    read = read_recorded_flight(campaign, "a-1")
    assert [each.code for each in read.warnings] == ["record-file-unlisted"]
    assert read.files == ()


def test_documents_as_flown_that_were_changed_are_told(campaign: Path, flight: Path) -> None:
    site = flight / "build" / "site.toml"
    site.chmod(0o644)
    site.write_text(site.read_text() + "\n# later\n")
    with pytest.raises(ProblemError) as caught:
        read_recorded_flight(campaign, "a-1")
    assert codes(caught) == ["record-build-changed"]


def test_no_such_flight_is_told_with_the_nearest(campaign: Path, flight: Path) -> None:
    with pytest.raises(ProblemError) as caught:
        read_recorded_flight(campaign, "a-2")
    assert codes(caught) == ["record-no-flight"]
    assert "the flights are a-1" in caught.value.problems[0].mend


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [("reading", "bord", "record-no-reading"), ("source", "bord", "record-no-source")],
)
def test_what_an_entry_names_must_be_there(
    campaign: Path, flight: Path, original: Path, field: str, value: str, code: str
) -> None:
    note_entry(flight, keep_file(flight, original), {"kind": "other", field: value})
    with pytest.raises(ProblemError) as caught:
        read_recorded_flight(campaign, "a-1")
    assert codes(caught) == [code]


# The conditions of the day.

DAY = {
    "conditions.water_volume": "0.50 L ± 0.01 L",
    "conditions.gauge_pressure": "70 psi ± 1 psi",
    "conditions.pressure": "990 hPa",
    "conditions.temperature": "9 degC ± 1 degC",
    "conditions.humidity": "80 %",
    "conditions.wind_speed": "4 m/s ± 1 m/s",
    "conditions.wind_from": "90 deg",
    "conditions.wind_at_height": "3 m",
}


def test_the_conditions_of_the_day_stand_in_the_documents(campaign: Path, flight: Path) -> None:
    expected = read_recorded_flight(campaign, "a-1").campaign
    assert flown_campaign(read_recorded_flight(campaign, "a-1")) == expected
    set_values(flight / "flight.toml", DAY, FlightRecord)
    flown = flown_campaign(read_recorded_flight(campaign, "a-1"))
    fill, air, wind = flown.vehicle.fill, flown.site.air, flown.site.wind
    # 1 psi = 6894.757 Pa: NIST SP 811 (2008), appendix B.8
    assert fill.gauge_pressure.value == pytest.approx(70 * 6894.757, rel=1e-6)
    assert (fill.water_volume.value, fill.water_volume.sd) == pytest.approx((0.5e-3, 1e-5))
    assert fill.temperature == expected.vehicle.fill.temperature
    assert air.pressure is not None
    assert (air.pressure.value, air.humidity.value) == pytest.approx((99_000.0, 0.8))
    assert (air.temperature.value, air.temperature.sd) == pytest.approx((282.15, 1.0))
    assert (wind.speed.value, wind.speed.sd, wind.at_height.value) == pytest.approx((4, 1, 3))
    assert wind.coming_from.value == pytest.approx(1.5707963, rel=1e-6)
    assert wind.roughness == expected.site.wind.roughness
    before = expected.site.wind
    assert before.gust is not None
    assert wind.gust is not None
    assert wind.gust.value / wind.speed.value == pytest.approx(
        before.gust.value / before.speed.value
    )


def test_more_water_than_there_is_room_for_is_refused(campaign: Path, flight: Path) -> None:
    set_values(flight / "flight.toml", {"conditions.water_volume": "9 L"}, FlightRecord)
    with pytest.raises(ProblemError) as caught:
        flown_campaign(read_recorded_flight(campaign, "a-1"))
    problem = caught.value.problems[0]
    assert problem.where.file == "flights/a-1/flight.toml"
    assert "conditions of the day" in problem.message


@given(st.text(max_size=LONGEST + 5))
def test_a_name_is_refused_or_stays_one_step_below(name: str) -> None:
    home = Path("/campaign")
    if name_fault(name) is not None:
        with pytest.raises(ProblemError):
            flight_folder(home, name)
        return
    folder = flight_folder(home, name)
    assert folder.parent == home / "flights"
    assert folder.name == name
