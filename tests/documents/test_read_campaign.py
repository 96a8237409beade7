"""Reading a folder: what comes out, and every problem in one run."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from documents.bad_documents import WHOLE
from documents.bad_wired import WIRED
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import flatten, read_campaign, read_document
from loftwright.documents.edit import set_values
from loftwright.documents.payload import Payload
from loftwright.documents.vehicle import Vehicle
from loftwright.errors import Problem, ProblemError, as_line
from loftwright.units import Quantity

PSI = 6894.757293168361


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(WHOLE, tmp_path / "campaign"))


def rewrite(folder: Path, file: str, *edits: tuple[str, str]) -> None:
    text = (folder / file).read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    (folder / file).write_text(text, encoding="utf-8")


def problems_of(folder: Path) -> tuple[Problem, ...]:
    with pytest.raises(ProblemError) as caught:
        read_campaign(folder)
    return caught.value.problems


def test_values_are_si_with_their_uncertainty(folder: Path) -> None:
    campaign = read_campaign(folder)
    vehicle = campaign.vehicle
    assert vehicle.vessel[0].volume == Quantity(2e-3, 1e-5)
    assert vehicle.fill.gauge_pressure == Quantity(60 * PSI, 2 * PSI)
    assert vehicle.fill.temperature == Quantity(288.15)
    assert vehicle.fins[0].count == 4
    assert campaign.site.wind.coming_from.value == pytest.approx(4.18879, rel=1e-6)
    assert campaign.site.air.humidity == Quantity(0.6)
    assert campaign.payload is not None
    assert campaign.payload.release.climb == Quantity(15.24)


def test_what_is_left_out_takes_its_default(folder: Path) -> None:
    vehicle = read_campaign(folder).vehicle
    assert vehicle.nozzle.velocity_coefficient == Quantity(0.97, 0.02)
    assert vehicle.vessel[0].material == "PET"
    assert vehicle.part == ()
    assert vehicle.drag is None


def test_hashes_are_of_the_bytes_that_stand_there(folder: Path) -> None:
    hashes = read_campaign(folder).hashes
    assert sorted(hashes) == ["campaign.toml", "payload.toml", "site.toml", "vehicle.toml"]
    for name, digest in hashes.items():
        assert digest == hashlib.sha256((folder / name).read_bytes()).hexdigest()


def test_the_campaign_file_stands_for_its_folder(folder: Path) -> None:
    assert read_campaign(folder / "campaign.toml").head == read_campaign(folder).head


def test_payload_and_avionics_are_optional(folder: Path) -> None:
    rewrite(folder, "campaign.toml", ('payload = "payload.toml"\n', ""))
    campaign = read_campaign(folder)
    assert (campaign.payload, campaign.avionics) == (None, None)


def test_avionics_are_read_and_counted_among_the_documents() -> None:
    campaign = read_campaign(WIRED)
    assert campaign.warnings == ()
    assert campaign.avionics is not None
    assert campaign.avionics.barometer[0].noise == Quantity(1.5, 0.0)
    assert list(campaign.documents) == ["vehicle", "payload", "avionics", "site"]
    assert "avionics.toml" in campaign.hashes
    assert campaign.programs["main"].stage[1].launch
    assert "program-main.toml" in campaign.hashes
    values, sds, words = flatten(campaign)
    assert values["avionics.barometer.0.noise"] == 1.5
    assert sds["avionics.barometer.0.warming"] == 2.0
    assert words["avionics.controller.0.senses"] == "baro, accel, pad line"


def test_warnings_do_not_stop_reading(folder: Path) -> None:
    rewrite(folder, "vehicle.toml", ('tip_chord = "60 mm"', 'tip_chord = "130 mm"'))
    (warning,) = read_campaign(folder).warnings
    assert (warning.code, warning.severity) == ("vehicle-fins-swapped", "warning")


def test_every_problem_of_every_file_in_one_run_in_order(folder: Path) -> None:
    rewrite(folder, "campaign.toml", ('units = "metric"', 'units = "imperial"'))
    rewrite(
        folder,
        "vehicle.toml",
        ('dry = "186 g ± 1 g"', "dry = 186 g"),
        ('volume = "2.0 L ± 0.01 L"', 'volume = "2,0 L"'),
        ("[nozzle]", "[nozle]"),
        ('"21.5 mm"', '"21.5 psi"'),
        ('"60 psi ± 2 psi"', '"120 psi"'),
        ("count = 4", "count = 4.5"),
    )
    rewrite(folder, "payload.toml", ("[hold]", "[hold"), ('"6 N ± 0.8 N"', '"6 kg"'))
    rewrite(folder, "site.toml", ("speed", "sped"), ('"10 mph"', '"1 mph"'))
    found = [(p.where.file, p.where.line, p.code) for p in problems_of(folder)]
    assert found == [
        ("campaign.toml", 4, "doc-unknown-choice"),
        ("vehicle.toml", 5, "doc-unquoted"),
        ("vehicle.toml", 9, "quantity-decimal-comma"),
        ("vehicle.toml", 16, "doc-unknown-table"),
        ("vehicle.toml", 17, "quantity-wrong-dimension"),
        ("vehicle.toml", 26, "vehicle-over-proof"),
        ("vehicle.toml", 39, "doc-wrong-kind"),
        ("payload.toml", 17, "doc-syntax"),
        ("payload.toml", 18, "quantity-wrong-dimension"),
        ("site.toml", 13, "doc-unknown-field"),
        ("site.toml", 17, "site-weak-gust"),
    ]


def test_one_message_tells_place_value_reason_and_remedy(folder: Path) -> None:
    rewrite(folder, "vehicle.toml", ('"60 psi ± 2 psi"', '"8 bara"'))
    (problem,) = problems_of(folder)
    assert as_line(problem) == (
        'vehicle.toml:26:21 fill.gauge_pressure = "8 bara": an absolute pressure stands where a '
        'gauge pressure is needed. Mend: write it as gauge, e.g. "60 psi ± 2 psi".'
    )
    assert problem.where.source == 'gauge_pressure = "8 bara"'
    assert problem.where.width == len("bara")


def test_a_broken_head_does_not_hide_the_rest(folder: Path) -> None:
    rewrite(folder, "campaign.toml", ('site = "site.toml"', "site = site.toml"))
    rewrite(folder, "site.toml", ('"2 m"', '"2 s"'))
    assert [problem.code for problem in problems_of(folder)] == [
        "doc-unquoted",
        "quantity-wrong-dimension",
    ]


def test_many_slips_in_one_file_are_all_reported(folder: Path) -> None:
    text = (folder / "site.toml").read_text(encoding="utf-8").replace('"', "")
    (folder / "site.toml").write_text(text, encoding="utf-8")
    codes = [problem.code for problem in problems_of(folder)]
    assert codes == ["doc-unquoted"] * 14


def test_text_in_place_of_a_table_of_another_file(folder: Path) -> None:
    (folder / "vehicle.toml").write_bytes((folder / "site.toml").read_bytes())
    codes = {problem.code for problem in problems_of(folder)}
    assert codes == {"doc-unknown-table", "doc-missing-table", "doc-missing-field", *codes}
    assert "vehicle-no-vessel" in codes


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"60 psi ± 2 psi"', '"100 psi"'),
        ('"0.65 L ± 0.02 L"', '"2000 mL"'),
        ('"0.72 m"', '"73 cm"'),
    ],
)
def test_what_just_fits_is_accepted(folder: Path, old: str, new: str) -> None:
    rewrite(folder, "vehicle.toml", (old, new))
    assert read_campaign(folder).warnings == ()


def test_a_byte_order_mark_and_windows_line_ends_are_read(folder: Path) -> None:
    for file in folder.iterdir():
        windows = file.read_bytes().replace(b"\n", b"\r\n")
        file.write_bytes(b"\xef\xbb\xbf" + windows)
    assert flatten(read_campaign(folder)) == flatten(read_campaign(WHOLE))
    rewrite(folder, "site.toml", ('"2 m"', '"2 s"'))
    assert problems_of(folder)[0].where.line == 15


@pytest.mark.skipif(os.name != "posix", reason="links need rights on Windows")
def test_a_link_must_not_leave_the_folder(folder: Path, tmp_path: Path) -> None:
    shutil.move(folder / "site.toml", tmp_path / "elsewhere.toml")
    (folder / "site.toml").symlink_to(tmp_path / "elsewhere.toml")
    assert [problem.code for problem in problems_of(folder)] == ["file-outside"]


@pytest.mark.parametrize("name", ["..", ".", "/", "a/../../b", "C:x", "//host/x", "a\\b", "~/../x"])
def test_names_that_lead_elsewhere_are_refused(folder: Path, name: str) -> None:
    rewrite(folder, "campaign.toml", ('"payload.toml"', f"'{name}'"))
    (problem,) = problems_of(folder)
    assert problem.code in {"file-outside", "file-not-a-file", "file-missing"}
    assert (problem.where.file, problem.where.line) == ("campaign.toml", 6)


@given(st.text(min_size=1, max_size=12) | st.text("./\\:~ab", max_size=9) | st.just("x" * 5000))
def test_any_file_name_reads_nothing_outside(name: str) -> None:
    with tempfile.TemporaryDirectory() as outer:
        folder = Path(shutil.copytree(WHOLE, Path(outer) / "campaign"))
        (Path(outer) / "b").write_text("secret", encoding="utf-8")
        set_values(folder / "campaign.toml", {"payload": name})
        for problem in problems_of(folder):
            assert problem.where.file == "campaign.toml"
            assert problem.code.startswith(("file-", "doc-wrong-kind", "doc-too-large"))


def test_a_folder_that_cannot_be_is_told() -> None:
    for name in ("x" * 5000, "nowhere/at/all", "a\0b"):
        (problem,) = problems_of(Path(name))
        assert problem.code == "file-no-folder"


def test_a_single_document_reads_for_tools(folder: Path) -> None:
    assert read_document(folder / "vehicle.toml", Vehicle) == read_campaign(folder).vehicle
    with pytest.raises(ProblemError):
        read_document(folder / "vehicle.toml", Payload)
    with pytest.raises(ProblemError) as caught:
        read_document(folder / "none.toml", Vehicle)
    assert caught.value.problems[0].code == "file-missing"


def test_reading_loads_no_heavy_library() -> None:
    code = (
        "import sys; from pathlib import Path; from loftwright.documents import read_campaign\n"
        "read_campaign(Path(sys.argv[1])); print(*sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(WHOLE)], capture_output=True, text=True, check=True
    )
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    heavy = {"tomlkit", "numpy", "scipy", "numba", "rich", "jinja2", "click", "difflib", "pint"}
    assert loaded & heavy == set()
