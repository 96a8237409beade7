"""Malformed documents: one edit each of a campaign that reads without a word."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

from documents.bad_input import Case, Section

from loftwright.documents import read_campaign
from loftwright.errors import Problem, ProblemError

WHOLE = Path(__file__).with_name("whole")
STAGED = Path(__file__).with_name("staged")  # with several payloads, boosters and an upper stage

CAMPAIGN, VEHICLE, PAYLOAD, SITE = (
    "campaign.toml", "vehicle.toml", "payload.toml", "site.toml"
)  # fmt: skip


def reported(folder: Path) -> Sequence[Problem]:
    """Return everything that reading the campaign reports, errors and warnings."""
    try:
        return read_campaign(folder).warnings
    except ProblemError as error:
        return error.problems


def edited(
    file: str, old: str, new: str, campaign: Path = WHOLE
) -> Callable[[Path], Sequence[Problem]]:
    """Replace ``old``, which must stand there once, in a file of a campaign."""

    def problems(folder: Path) -> Sequence[Problem]:
        copy = Path(shutil.copytree(campaign, folder / "campaign"))
        text = (copy / file).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
        (copy / file).write_text(text.replace(old, new), encoding="utf-8")
        return reported(copy)

    return problems


def replaced(file: str, content: bytes | None) -> Callable[[Path], Sequence[Problem]]:
    """Put ``content`` in the place of a file; None takes the file away."""

    def problems(folder: Path) -> Sequence[Problem]:
        copy = Path(shutil.copytree(WHOLE, folder / "campaign"))
        (copy / file).unlink()
        if content is not None:
            (copy / file).write_bytes(content)
        return reported(copy)

    return problems


def edit(name: str, file: str, old: str, new: str, code: str | tuple[str, ...], line: int) -> Case:
    codes = (code,) if isinstance(code, str) else code
    written = new or f"without {old.splitlines()[0]}"
    return Case(name, written, codes, line, edited(file, old, new))


def staged(
    name: str, file: str, old: str, new: str, code: str | tuple[str, ...], line: int | None = None
) -> Case:
    """Declare an edit of the staged campaign; its line is the first changed one if not given."""
    codes = (code,) if isinstance(code, str) else code
    written = new or f"without {old.splitlines()[0]}"
    problems = edited(file, old, new, STAGED)
    text = (STAGED / file).read_text(encoding="utf-8")
    first = text[: text.index(old)].count("\n") + 1
    return Case(name, written, codes, first if line is None else line, problems)


def empty(folder: Path) -> Sequence[Problem]:
    (folder / "autumn-lifts").mkdir()
    return reported(folder / "autumn-lifts")


def whole_bytes(file: str) -> bytes:
    return (WHOLE / file).read_bytes()


GAUGE = 'gauge_pressure = "60 psi ± 2 psi"'
WATER = 'water_volume = "0.65 L ± 0.02 L"'
VOLUME = 'volume = "2.0 L ± 0.01 L"'
VESSEL = """[[vessel]]
volume = "2.0 L ± 0.01 L"
diameter = "108 mm"
length = "300 mm"
from_nose = "0.45 m"
wall = "0.30 mm"
proof_gauge_pressure = "100 psi"
"""
DRY = 'dry = "186 g ± 1 g"'
BALANCE = 'balance_from_nose = "0.38 m ± 5 mm"'
PROFILE = 'profile = "ogive"'

QUANTITIES = (
    edit("decimal comma", VEHICLE, VOLUME, 'volume = "2,0 L"', "quantity-decimal-comma", 9),
    edit("thousands", VEHICLE, VOLUME, 'volume = "2,000 mL"', "quantity-separator", 9),
    edit("two points", VEHICLE, GAUGE, 'gauge_pressure = "6.0.5 bar"', "quantity-unreadable", 26),
    edit("no unit", VEHICLE, GAUGE, 'gauge_pressure = "60"', "quantity-no-unit", 26),
    edit("bare number", VEHICLE, GAUGE, "gauge_pressure = 60", "quantity-not-text", 26),
    edit("unit without quotes", VEHICLE, GAUGE, "gauge_pressure = 60 psi", "doc-unquoted", 26),
    edit("unknown unit", VEHICLE, GAUGE, 'gauge_pressure = "60 PSI"', "quantity-unknown-unit", 26),
    edit("coulomb", VEHICLE, '"15 degC"', '"15 C"', "quantity-unknown-unit", 27),
    edit("two ounces", VEHICLE, WATER, 'water_volume = "20 fl oz"', "quantity-unclear-unit", 25),
    edit("wrong kind", VEHICLE, WATER, 'water_volume = "0.65 kg"', "quantity-wrong-dimension", 25),
    edit("absolute", VEHICLE, GAUGE, 'gauge_pressure = "5 bara"', "quantity-wrong-dimension", 26),
    edit("gauge", SITE, '"1008 hPa ± 1 hPa"', '"14 psig"', "quantity-wrong-dimension", 8),
    edit("not finite", VEHICLE, DRY, 'dry = "nan g"', "quantity-not-finite", 5),
    edit("negative spread", VEHICLE, DRY, 'dry = "186 g ± -1 g"', "quantity-negative-spread", 5),
    edit("remark", VEHICLE, DRY, 'dry = "186 g or so"', "quantity-trailing", 5),
    edit("unclear percent", VEHICLE, "0.95 ± 0.04", "0.95 ± 4 %", "quantity-unclear-percent", 18),
    edit("hard space", VEHICLE, '"186 g ± 1 g"', '"186\u00a0g"', "quantity-odd-character", 5),
    edit("typographic minus", SITE, '"4.9 deg"', '"−4.9 deg"', "quantity-odd-character", 4),
)

FIELDS = (
    edit("misspelt field", VEHICLE, 'wall = "', 'wal = "', "doc-unknown-field", 13),
    edit(
        "field of another table",
        VEHICLE,
        "[nozzle]",
        '[nozzle]\ngas = "dry"',
        "doc-unknown-field",
        17,
    ),
    edit("misspelt table", VEHICLE, "[nozzle]", "[nozle]", "doc-unknown-table", 16),
    edit("unknown table", SITE, "[launch]", "[sun]\n[launch]", "doc-unknown-table", 19),
    edit("missing field", VEHICLE, 'throat_diameter = "21.5 mm"', "", "doc-missing-field", 16),
    edit(
        "missing table",
        VEHICLE,
        '[nose]\nprofile = "ogive"\nlength = "160 mm"',
        "",
        "doc-missing-table",
        1,
    ),
    edit("misspelt choice", VEHICLE, PROFILE, 'profile = "ogiv"', "doc-unknown-choice", 31),
    edit("unknown choice", PAYLOAD, 'kind = "glider"', 'kind = "balloon"', "doc-unknown-choice", 3),
    edit("quoted count", VEHICLE, "count = 4", 'count = "4"', "doc-wrong-kind", 39),
    edit("half a fin", VEHICLE, "count = 4", "count = 3.5", "doc-wrong-kind", 39),
    edit("two fins", VEHICLE, "count = 4", "count = 2", "doc-out-of-bounds", 39),
    edit("number as name", VEHICLE, 'name = "Teasel"', "name = 7", "doc-wrong-kind", 2),
    edit("empty name", VEHICLE, 'name = "Teasel"', 'name = " "', "doc-wrong-kind", 2),
    edit("single brackets", VEHICLE, "[[vessel]]", "[vessel]", "doc-wrong-kind", 8),
    edit("double brackets", VEHICLE, "[fill]", "[[fill]]", "doc-wrong-kind", 24),
    edit("another word", VEHICLE, "[canopy]", "[parachute]", "doc-unknown-table", 47),
    edit("a number for a table", VEHICLE, '"Teasel"', '"Teasel"\ntail = 3', "doc-wrong-kind", 3),
    edit("a list for a quantity", VEHICLE, DRY, 'dry = ["186 g"]', "quantity-not-text", 5),
    edit("a switch for a text", VEHICLE, PROFILE, "profile = true", "doc-unknown-choice", 31),
    edit("two lines of text", VEHICLE, '"Teasel"', '"Tea\\nsel"', "doc-wrong-kind", 2),
    edit("a number in words", VEHICLE, '"0.95 ± 0.04"', '"good"', "quantity-unreadable", 18),
    edit("not a plain number", VEHICLE, '"0.95 ± 0.04"', "inf", "quantity-not-finite", 18),
    edit(
        "numbers for vessels",
        VEHICLE,
        "[mass]",
        "vessel = [1, 2]\n[mass]",
        ("doc-wrong-kind", "doc-duplicate"),
        4,
    ),
    edit("a date", VEHICLE, DRY, "dry = 2026-05-01", "quantity-not-text", 5),
    edit("negative volume", VEHICLE, VOLUME, 'volume = "-2 L"', "doc-out-of-bounds", 9),
    edit("fins ahead of the nose", VEHICLE, '"0.72 m"', '"-20 mm"', "doc-out-of-bounds", 45),
    edit("coefficient above one", VEHICLE, "0.95 ± 0.04", "1.2", "doc-out-of-bounds", 18),
    edit("beyond the pole", SITE, '"52.1 deg"', '"152.1 deg"', "doc-out-of-bounds", 3),
    edit("humidity in percent", SITE, '"60 %"', "60", "doc-out-of-bounds", 10),
)

TEXT = (
    edit("no closing bracket", VEHICLE, "[fill]", "[fill", "doc-syntax", 24),
    edit("no closing quote", VEHICLE, '"Teasel"', '"Teasel', "doc-syntax", 2),
    edit("curly quotes", VEHICLE, '"Teasel"', "“Teasel”", "doc-syntax", 2),
    edit("colon", VEHICLE, PROFILE, 'profile: "ogive"', "doc-syntax", 31),
    edit("no value", VEHICLE, PROFILE, "profile =", "doc-syntax", 31),
    edit("word without quotes", VEHICLE, PROFILE, "profile = ogive", "doc-unquoted", 31),
    edit("field twice", VEHICLE, PROFILE, f'{PROFILE}\nprofile = "cone"', "doc-duplicate", 32),
    edit("table twice", VEHICLE, "[canopy]", "[fill]\n[canopy]", "doc-duplicate", 47),
    edit("stray words", SITE, "[air]", "measured at noon\n[air]", "doc-syntax", 7),
    Case(
        "an older encoding", "±, saved in Windows-1252", ("doc-encoding",), 5,
        replaced(VEHICLE, whole_bytes(VEHICLE).decode().encode("cp1252")),
    ),
    Case(
        "UTF-16", "the whole file, saved in UTF-16", ("doc-encoding",), 1,
        replaced(SITE, whole_bytes(SITE).decode().encode("utf-16")),
    ),
    Case("an empty file", "nothing", ("doc-missing-table",) * 4, 1, replaced(SITE, b"")),
    Case(
        "a picture", "a file of 200 kB", ("doc-too-large",), 7,
        replaced(SITE, b"\x89PNG" * 50_000),
    ),
    Case(
        "endless brackets", "a = [[[[…", ("doc-too-large",), None,
        replaced(SITE, b"a = " + b"[" * 1900),
    ),
    edit("endless number", VEHICLE, "count = 4", f"count = {'9' * 10}", "doc-out-of-bounds", 39),
)  # fmt: skip

FILES = (
    Case("no campaign.toml", "an empty folder", ("file-missing",), None, empty),
    Case(
        "no folder", "a name that is not there", ("file-no-folder",), None,
        lambda folder: reported(folder / "autumn"),
    ),
    edit("misspelt file", CAMPAIGN, '"site.toml"', '"sites.toml"', "file-missing", 7),
    edit("a file elsewhere", CAMPAIGN, '"site.toml"', '"../site.toml"', "file-outside", 7),
    edit("an absolute path", CAMPAIGN, '"site.toml"', '"/etc/passwd"', "file-outside", 7),
    edit("a Windows path", CAMPAIGN, '"site.toml"', "'C:\\site.toml'", "file-outside", 7),
    edit("one file twice", CAMPAIGN, '"site.toml"', '"vehicle.toml"', "file-twice", 7),
    edit("no avionics", CAMPAIGN, "units", 'avionics = "box.toml"\nunits', "file-missing", 4),
)  # fmt: skip

BETWEEN_FIELDS = (
    edit("too much water", VEHICLE, WATER, 'water_volume = "2.5 L"', "vehicle-too-much-water", 25),
    edit("over proof", VEHICLE, '"60 psi ± 2 psi"', '"120 psi"', "vehicle-over-proof", 26),
    edit("over proof, in bar", VEHICLE, '"60 psi ± 2 psi"', '"7 bar"', "vehicle-over-proof", 26),
    edit("throat of a vessel", VEHICLE, '"21.5 mm"', '"215 mm"', "vehicle-throat-too-wide", 17),
    edit("tube too thick", VEHICLE, '"21.0 mm"', '"22 mm"', "vehicle-tube-too-thick", 21),
    edit("tube too long", VEHICLE, '"250 mm"', '"250 cm"', "vehicle-tube-too-long", 22),
    edit("body shorter than its nose", VEHICLE, 'length = "160 mm"', 'length = "1.6 m"',
         ("vehicle-nose-too-long", "vehicle-fins-on-nose"), 32),
    edit("tail too long", VEHICLE, "[canopy]",
         '[tail]\ndiameter = "30 mm"\nlength = "0.8 m"\n[canopy]',
         "vehicle-tail-too-long", 49),
    edit("vessel behind the tail", VEHICLE, '"0.45 m"', '"0.65 m"', "vehicle-vessel-outside", 12),
    edit("vessel wider than the body", VEHICLE, 'diameter = "110 mm"', 'diameter = "90 mm"',
         "vehicle-vessel-outside", 10),
    edit("vessel too small", VEHICLE, '"2.0 L ± 0.01 L"', '"3.0 L"', "vehicle-vessel-too-small", 9),
    edit("wrong prefix", VEHICLE, '"2.0 L ± 0.01 L"', '"2.0 mL"',
         ("vehicle-vessel-too-large", "vehicle-too-much-water"), 9),
    edit("wall of a pipe", VEHICLE, '"0.30 mm"', '"30 mm"',
         ("vehicle-vessel-outside", "vehicle-wall-too-thick"), 10),
    edit("fins behind the tail", VEHICLE, '"0.72 m"', '"0.82 m"', "vehicle-fins-outside", 45),
    edit("fins on the nose", VEHICLE, '"0.72 m"', '"72 mm"', "vehicle-fins-on-nose", 45),
    edit("tip and root swapped", VEHICLE, 'tip_chord = "60 mm"', 'tip_chord = "160 mm"',
         "vehicle-fins-swapped", 41),
    edit("fin of a block", VEHICLE, '"2 mm"', '"20 cm"', "vehicle-fins-too-thick", 44),
    edit("balance behind the tail", VEHICLE, BALANCE, 'balance_from_nose = "3.8 m"',
         "vehicle-balance-outside", 6),
    edit("ballast behind the tail", VEHICLE, "[nozzle]",
         '[ballast]\nmass = "20 g"\nfrom_nose = "0.9 m"\n[nozzle]', "vehicle-ballast-outside", 18),
    edit("no mass at all", VEHICLE, DRY, "", "vehicle-no-mass", 4),
    edit("no balance", VEHICLE, BALANCE, "", "vehicle-no-balance", 4),
    edit("no vessel", VEHICLE, VESSEL, "", "vehicle-no-vessel", 1),
    edit("nozzle ahead of the vessel", VEHICLE, "[nozzle]", '[nozzle]\nfrom_nose = "8 cm"',
         "vehicle-nozzle-ahead", 17),
    edit("one part twice", VEHICLE, "[[vessel]]",
         '[[part]]\nname = "all"\nmass = "93 g"\nfrom_nose = "0 m"\nlength = "0.76 m"\n' * 2
         + "[[vessel]]",
         "vehicle-same-name", 14),
    edit("descent without a field", PAYLOAD, 'kind = "glider"', 'kind = "pod"\ndescent = {}',
         ("payload-one-descent", "doc-not-used"), 4),
    edit("time of an unused trigger", VEHICLE, '"apogee"', '"apogee"\ntime = "3 s"',
         "doc-not-used", 50),
    edit("part behind the tail", VEHICLE, "[[vessel]]",
         '[[part]]\nname = "all"\nmass = "186 g"\nfrom_nose = "0.2 m"\nlength = "0.9 m"\n'
         "[[vessel]]",
         ("vehicle-balance-disagrees", "vehicle-part-outside"), 6),
    edit("parts weigh less", VEHICLE, "[[vessel]]",
         '[[part]]\nname = "all"\nmass = "160 g"\nfrom_nose = "0 m"\nlength = "0.76 m"\n[[vessel]]',
         "vehicle-mass-disagrees", 5),
    edit("parts weigh far less", VEHICLE, "[[vessel]]",
         '[[part]]\nname = "all"\nmass = "16 g"\nfrom_nose = "0 m"\nlength = "0.76 m"\n[[vessel]]',
         "vehicle-mass-disagrees", 5),
    edit("no exponent", VEHICLE, '"moist"', '"polytropic"', "vehicle-no-exponent", 28),
    edit("exponent unused", VEHICLE, 'gas = "moist"', 'exponent = "1.2"', "doc-not-used", 28),
    edit("canopy without its time", VEHICLE, '"apogee"', '"time"', "doc-no-trigger", 49),
    edit("release without its climb", PAYLOAD, 'climb = "50 ft/s"', "", "doc-no-trigger", 21),
    edit("glider without a polar", PAYLOAD,
         '[glide]\nwing_area = "400 cm^2"\nglide_ratio = "4.5 ± 0.5"', "", "payload-no-glide", 3),
    edit("pod that glides", PAYLOAD, '"glider"', '"pod"',
         ("payload-no-descent", "doc-not-used"), 3),
    edit("two descents", PAYLOAD, 'kind = "glider"\nmass = "38 g"',
         'kind = "pod"\nmass = "38 g"\ndescent = { rate = "4 m/s", drag_area = "0.05 m^2" }',
         ("payload-one-descent", "doc-not-used"), 5),
    edit("canopy without a coefficient", PAYLOAD, 'kind = "glider"\nmass = "38 g"',
         'kind = "pod"\nmass = "38 g"\ndescent = { how = "canopy", diameter = "400 mm" }',
         ("payload-descent-parts", "doc-not-used"), 5),
    edit("tumbling on a diameter", PAYLOAD, 'kind = "glider"\nmass = "38 g"',
         'kind = "pod"\nmass = "38 g"\n'
         'descent = { how = "tumbling", diameter = "400 mm", drag_coefficient = "0.9" }',
         ("payload-descent-parts", "doc-not-used"), 5),
    edit("measured and built up", PAYLOAD, 'kind = "glider"\nmass = "38 g"',
         'kind = "pod"\nmass = "38 g"\ndescent = { rate = "4 m/s", area = "40 cm^2" }',
         ("payload-one-descent", "doc-not-used"), 5),
    edit("payload behind the vehicle", PAYLOAD, '"0.35 m"', '"3.5 m"', "payload-outside", 7),
    edit("weak gust", SITE, '"10 mph"', '"1 mph"', "site-weak-gust", 17),
    edit("wind within the grass", SITE, '"2 m"', '"2 cm"', "site-low-wind", 15),
)  # fmt: skip

CAMERA, BADGE, BOOSTERS, UPPER = "camera.toml", "badge.toml", "boosters.toml", "upper.toml"
AROUND = 'around = "90 deg"'
HOOK = 'along = "18 N ± 2 N"\npeel = "9 N ± 1 N"'

CARRIED = (
    edit("no strength at all", PAYLOAD, '"6 N ± 0.8 N"', '"0 N"', "doc-out-of-bounds", 18),
    edit("payload ahead of the nose", PAYLOAD, '"0.35 m"', '"-5 cm"', "doc-out-of-bounds", 7),
    edit("front end ahead of the nose", PAYLOAD, '"0.35 m"', '"0.10 m"', "payload-sticks-out", 7),
    edit("rear end behind the tail", PAYLOAD, '"0.35 m"', '"0.75 m"',
         "payload-sticks-out", 7),
    edit("from the skin", PAYLOAD, '"65 mm"', '"10 mm"', "payload-inside-body", 8),
    edit("on the axis", PAYLOAD, 'offset = "65 mm"\n', 'offset = "0 mm"\n', "payload-on-axis", 8),
    edit("inside, and not", PAYLOAD, 'offset = "65 mm"', 'offset = "65 mm"\nhow = "inside"',
         "payload-not-inside", 8),
    edit("balance off its own end", PAYLOAD, 'offset = "65 mm"',
         'front_from_nose = "0.36 m"\noffset = "65 mm"', "payload-balance-outside", 8),
    edit("drag twice", PAYLOAD, 'thickness = "20 mm"',
         'thickness = "20 mm"\ndrag_coefficient = 0.8\ndrag_area = "9 cm^2"',
         "payload-two-drags", 13),
    edit("factor on a measured drag", PAYLOAD, 'thickness = "20 mm"',
         'thickness = "20 mm"\ndrag_factor = 1.2\ndrag_area = "9 cm^2"', "doc-not-used", 12),
    edit("wrapped, with an offset", PAYLOAD, 'offset = "65 mm"',
         'how = "wrapped"\noffset = "65 mm"', "doc-not-used", 9),
    edit("wrapped twice around", PAYLOAD, 'offset = "65 mm"\nlength = "300 mm"\nwidth = "60 mm"',
         'how = "wrapped"\nlength = "300 mm"\nwidth = "600 mm"', "payload-wrap-too-wide", 10),
    edit("wider than between two fins", PAYLOAD, '"0.35 m"\noffset = "65 mm"\nlength = "300 mm"'
         '\nwidth = "60 mm"', '"0.69 m"\noffset = "65 mm"\nlength = "300 mm"\nwidth = "12 cm"',
         "payload-on-fins", 6),
    edit("hold and retainer", PAYLOAD, "[release]",
         '[[retainer]]\nkind = "hook"\nalong = "9 N"\n[release]', "doc-not-used", 20),
    edit("payload2 alone", CAMPAIGN, 'payload = "payload.toml"', 'payload2 = "payload.toml"',
         "payload-out-of-turn", 6),
    edit("nothing to ride on", PAYLOAD, 'mass = "38 g"', 'mass = "38 g"\non = "upper"',
         "payload-no-upper", 5),
    staged("beside a fin", PAYLOAD, f'from_nose = "0.37 m"\nfront_from_nose = "0.24 m"\n'
           f'offset = "66 mm"\n{AROUND}', 'from_nose = "0.70 m"\noffset = "66 mm"\n'
           'around = "45 deg"', ("payload-on-fins", "payload-on-booster"), 9),
    staged("two payloads in one place", CAMERA, 'around = "270 deg"', 'around = "80 deg"',
           "payload-on-payload", 8),
    staged("in the way of a booster", PAYLOAD, AROUND, 'around = "10 deg"', "payload-on-booster"),
    staged("a hook that bears nothing", PAYLOAD, f'[[retainer]]\nkind = "hook"\n'
           f'from_nose = "0.26 m"\n{HOOK}', '[[retainer]]\nkind = "hook"',
           "payload-retainer-empty"),
    staged("pins alone", BADGE, 'kind = "strap"\npeel = "5 N"\npreload = "3 N"',
           'kind = "pin"\nalong = "4 N"\nacross = "4 N"', "payload-not-held", 19),
    staged("a strap without preload", BADGE, 'preload = "3 N"', "",
           ("payload-not-held", "payload-not-held"), 19),
    staged("a pin against peeling", PAYLOAD, 'kind = "hook"', 'kind = "pin"', "doc-not-used", 24),
    staged("no retainers at all", PAYLOAD, "count = 2", "count = 0", "doc-out-of-bounds"),
)  # fmt: skip

STAGES = (
    staged("boosters in the body", BOOSTERS, 'offset = "102 mm"', 'offset = "95 mm"',
           "stage-inside"),
    staged("boosters behind the vehicle", BOOSTERS, 'from_nose = "0.35 m"', 'from_nose = "0.90 m"',
           "stage-apart"),
    staged("one booster", BOOSTERS, "count = 2", "count = 1", "doc-out-of-bounds"),
    staged("boosters on fins", VEHICLE, 'around = "45 deg"', 'around = "5 deg"',
           "stage-on-fins", 8),
    staged("parting without its time", BOOSTERS, 'part_when = "spent"', 'part_when = "time"',
           "doc-no-trigger"),
    staged("upper stage behind the nose", UPPER, '"-0.44 m"', '"0.44 m"', "stage-not-ahead"),
    staged("upper stage off the nose", UPPER, '"-0.44 m"', '"-0.84 m"', "stage-apart"),
    staged("upper stage in the body", UPPER, '"-0.44 m"', '"-0.04 m"', "stage-overlap"),
    staged("firing without its climb", UPPER, 'fires = "parting"', 'fires = "climb"',
           "doc-no-trigger"),
    staged("no table of its own", UPPER, '[stack]\nfrom_nose = "-0.44 m"\npart_when = "air out"\n'
           'fires = "parting"\nfires_delay = "0.1 s ± 0.03 s"\n', "", "doc-missing-table", 1),
    staged("missing boosters", CAMPAIGN, '"boosters.toml"', '"bosters.toml"', "file-missing"),
    staged("too much water above", UPPER, '"0.20 L ± 0.01 L"', '"0.70 L"',
           "vehicle-too-much-water"),
)  # fmt: skip

SQUARE = 'corners = ["-9 m, -9 m", "9 m, -9 m", "9 m, 9 m", "-9 m, 9 m"]'


def shape(name: str, fields: str, code: str | tuple[str, ...], line: int) -> Case:
    """A shape beside the pad; its first own field stands on line 24."""
    codes = (code,) if isinstance(code, str) else code
    whole = f'[[shape]]\nname = "Long wood"\n{fields}\n[launch]'
    return Case(name, fields, codes, line, edited(SITE, "[launch]", whole))


def field(name: str, corners: str, code: str | tuple[str, ...]) -> Case:
    return shape(name, f'kind = "field edge"\ncorners = [{corners}]', code, 22)


SHAPES = (
    field("decimal comma in a corner", '"9,5 m, 9 m", "-9 m, 9 m", "0 m, -9 m"', "site-corner"),
    field("corner without a unit", '"9 m, 9", "-9 m, 9 m", "0 m, -9 m"', "quantity-no-unit"),
    field("corner in pounds", '"9 lb, 9 m", "-9 m, 9 m", "0 m, -9 m"', "quantity-wrong-dimension"),
    field("corners as numbers", "[9, 9], [-9, 9], [0, -9]", ("site-corner",) * 3),
    field("uncertain corner", '"9 m ± 1 m, 9 m", "-9 m, 9 m", "0 m, -9 m"', "site-corner"),
    field("corner beyond the pole", '"99 deg, 4 deg", "52 deg, 4 deg", "52 deg, 5 deg"',
          "site-corner"),
    field("metres beside degrees in a corner", '"9 m, 52.1 deg", "-9 m, 9 m", "0 m, -9 m"',
          "site-corner-mixed"),
    field("metres beside degrees", '"9 m, 9 m", "-9 m, 9 m", "52.1 deg, 4.9 deg"',
          "site-corner-mixed"),
    field("a text for a list", '"9 m, 9 m"', "site-few-corners"),
    field("no corners", "", "site-few-corners"),
    field("closed by hand", '"9 m, 9 m", "-9 m, 9 m", "0 m, -9 m", "9 m, 9 m"',
          "site-corner-twice"),
    field("bow tie", '"-9 m, -9 m", "9 m, 9 m", "9 m, -9 m", "-9 m, 9 m"', "site-crossing"),
    field("all on one line", '"-9 m, -9 m", "0 m, 0 m", "9 m, 9 m"', "site-no-area"),
    field("longitude first", '"4.9 deg, 52.1 deg", "4.9 deg, 52.2 deg", "4.8 deg, 52.1 deg"',
          "site-far-corner"),
    field("pad outside the field", '"9 m, 9 m", "30 m, 9 m", "9 m, 30 m"', "site-pad-outside"),
    field("too many corners", ",".join(['"1m,1m"'] * 201), "site-corner"),
    shape("corners as one text", 'kind = "field edge"\ncorners = "9 m, 9 m"', "doc-wrong-kind", 22),
    shape("pad in a wood", f'kind = "trees"\nheight = "9 m"\n{SQUARE}', "site-pad-caught", 23),
    shape("trees without height",
          'kind = "trees"\ncorners = ["9 m, 9 m", "30 m, 9 m", "9 m, 30 m"]',
          "site-no-height", 21),
    shape("another word for trees", f'kind = "forest"\n{SQUARE}', "doc-unknown-choice", 21),
    shape("another word for corners",
          'kind = "water"\npoints = ["9 m, 9 m", "30 m, 9 m", "9 m, 30 m"]',
          "doc-unknown-field", 22),
    shape("width of a wood",
          'kind = "trees"\nheight = "9 m"\nwidth = "3 m"\n'
          'corners = ["9 m, 9 m", "30 m, 9 m"]', "doc-not-used", 23),
    shape("two of one name",
          f'kind = "field edge"\n{SQUARE}\n[[shape]]\nname = "Long wood"\nkind = "field edge"\n'
          f"{SQUARE}", "site-same-name", 24),
    edit("wind without its height", SITE, 'at_height = "2 m"', "", "site-no-wind-height", 13),
)  # fmt: skip

SECTION = Section(
    "Documents",
    "Each is one edit of a campaign that reads without a word.",
    (*QUANTITIES, *FIELDS, *TEXT, *FILES, *BETWEEN_FIELDS, *CARRIED, *STAGES, *SHAPES),
)
