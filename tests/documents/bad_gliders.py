"""Malformed gliders: one edit each of a described glider that reads without a word."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

from documents.bad_documents import PAYLOAD, WHOLE, reported
from documents.bad_input import Case, Section

from loftwright.errors import Problem

GLIDER = """name = "Dunlin"
kind = "glider"
mass = "25 g"

[carried]
from_nose = "0.35 m"
offset = "65 mm"
length = "340 mm"
width = "60 mm"
thickness = "20 mm"

[wing]
from_nose = "85 mm"
span = "400 mm"
root_chord = "90 mm"
tip_chord = "70 mm"
thickness = "3 mm"
camber = 0.02

[tailplane]
from_nose = "285 mm"
span = "150 mm"
root_chord = "50 mm"
tip_chord = "40 mm"
thickness = "3 mm"

[fuselage]
length = "340 mm"
width = "10 mm"
depth = "15 mm"

[balance]
from_nose = "113 mm"

[glide]
glide_ratio = "5.5 ± 0.5"

[release]
when = "apogee"
"""


def glider(text: str) -> Callable[[Path], Sequence[Problem]]:
    """Put a glider's text in the place of the payload of the whole campaign."""

    def problems(folder: Path) -> Sequence[Problem]:
        copy = Path(shutil.copytree(WHOLE, folder / "campaign"))
        (copy / PAYLOAD).write_text(text, encoding="utf-8")
        return reported(copy)

    return problems


def edit(name: str, old: str, new: str, code: str | tuple[str, ...], line: int) -> Case:
    assert GLIDER.count(old) == 1, f"{old!r} stands {GLIDER.count(old)} times"
    codes = (code,) if isinstance(code, str) else code
    written = new or f"without {old.splitlines()[0]}"
    return Case(name, written, codes, line, glider(GLIDER.replace(old, new)))


WING = GLIDER[GLIDER.index("[wing]") : GLIDER.index("[tailplane]")]
BALANCE = '[balance]\nfrom_nose = "113 mm"\n'

CASES = (
    edit("wing without a balance", BALANCE, "", "payload-no-balance", 12),
    edit("tail without a wing", WING, "",
         ("doc-not-used", "doc-not-used", "doc-not-used", "payload-glide-short"), 12),
    edit("two measured glides", '"5.5 ± 0.5"', '"5.5"\nsink = "0.9 m/s"',
         "payload-glide-twice", 37),
    edit("area twice", "[glide]", '[glide]\nwing_area = "300 cm^2"', "doc-not-used", 36),
    edit("span of one side in metres", 'span = "400 mm"', 'span = "2.4 m"',
         "payload-wing-shape", 14),
    edit("wing of a block", 'tip_chord = "70 mm"\nthickness = "3 mm"',
         'tip_chord = "70 mm"\nthickness = "3 cm"', "payload-thick-wing", 17),
    edit("tail in front", 'from_nose = "285 mm"', 'from_nose = "28 mm"',
         "payload-tail-ahead", 21),
    edit("balance from the vehicle's nose", '"113 mm"', '"1.13 m"',
         "payload-balance-off-glider", 33),
    edit("tail behind the fuselage", 'from_nose = "285 mm"', 'from_nose = "385 mm"',
         "payload-past-fuselage", 21),
    edit("inertia in the wrong unit", '"113 mm"',
         '"113 mm"\ninertia_roll = "900 g cm^2"\ninertia_pitch = "1200 g cm^2"\n'
         'inertia_yaw = "0.2 kg m^2"', "payload-inertia", 36),
    edit("dihedral upright", "camber = 0.02", 'dihedral = "60 deg"', "doc-out-of-bounds", 18),
    edit("camber in millimetres", "camber = 0.02", "camber = 2", "doc-out-of-bounds", 18),
    edit("no thickness", 'tip_chord = "70 mm"\nthickness = "3 mm"', 'tip_chord = "70 mm"',
         "doc-missing-field", 12),
    edit("pod with a wing", 'kind = "glider"', 'kind = "pod"\ndescent = { rate = "4 m/s" }',
         ("doc-not-used",) * 5, 13),
)  # fmt: skip

SECTION = Section(
    "Gliders",
    "Each is one edit of a campaign whose described glider reads without a word.",
    CASES,
)
