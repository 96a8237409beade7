"""What to think twice about before the pump is connected: vessels, fill, fins and the pad."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from loftwright.documents.finding import Finding
from loftwright.flight.facts import LEAST_GAUGE, Facts
from loftwright.flight.flat import rows
from loftwright.flight.outline import mean_chord
from loftwright.physics.atmosphere import GRAVITY
from loftwright.physics.vessel import hydrostatic_test_pressure
from loftwright.units import format_quantity, from_si

__all__ = ["RULES", "concern"]

PROOF_FACTOR = hydrostatic_test_pressure(1.0, 1.0)  # ASME BPVC VIII-1 UG-99(b)
# Plain bottles have been seen to burst from 8.6 bar on; judgement, not a standard.
UNTESTED_LIMIT = 6e5  # Pa gauge
EDUCATION_LIMIT = 90 * 6894.757293168  # Pa gauge, NASA Glenn's page: never above 90 psi
# Biaxially stretched PET tears at 150 to 220 MPa (handbook range, from memory).
PET_STRENGTH = 150e6
# Share of water. The best share of a drag-free 2 L boost lies between 0.33 and 0.46 (computed for
# 3 to 8 bar and 0.1 to 0.3 kg dry), and is flat around it.
USUAL_FILL = (0.2, 0.5)
LOWEST_LAUNCH = math.radians(60.0)
# Beyond it the column's own motion, which the boost takes as small, is a quarter of the jet's.
WIDEST_THROAT = 0.5  # of the vessel's diameter (judgement)
THINNEST_FIN = 0.01  # of the mean chord
ROUGHEST = 0.5e-3  # m
STEEPEST_WIND = 0.27  # wind over guide-exit speed; its arc tangent is 15 degrees


def concern(code: str, path: tuple[str | int, ...], message: str, mend: str) -> Finding:
    """Return a warning; ``path`` begins with the document's role (``"vehicle"``, ``"site"``)."""
    return Finding(code, path, message, mend, "warning")


FILL = ("vehicle", "fill", "gauge_pressure")


def proof_test(facts: Facts) -> Iterator[Finding]:
    """Every vessel has been proof-tested, with room between test and fill pressure."""
    gauge = facts.values[FILL_PATH]
    if gauge < LEAST_GAUGE:
        return
    margin = facts.proof_margin()
    if margin is None:
        yield _untested(facts, gauge)
    elif margin < PROOF_FACTOR - 1e-9:
        enough = _limit(facts, PROOF_FACTOR * gauge, math.ceil)
        most = _limit(facts, margin * gauge / PROOF_FACTOR, math.floor)
        told = math.floor(100.0 * margin) / 100.0  # 1.2999 is not said to be 1.30
        yield concern(
            "check-proof-close",
            FILL,
            f"the proof test was only {told:.2f} times this pressure; "
            f"the boiler code asks for {PROOF_FACTOR:.1f} times (ASME VIII-1, UG-99(b))",
            f"proof-test with water, from afar, to {enough} or more, or fill to {most} at most",
        )


def _untested(facts: Facts, gauge: float) -> Finding:
    """Return the concern about the first vessel that was never tested."""
    vessels = rows(facts.values, "vehicle.vessel")
    index = next(i for i, each in enumerate(vessels) if "proof_gauge_pressure" not in each)
    enough = _limit(facts, PROOF_FACTOR * gauge, math.ceil)
    mend = (
        f"fill it with water, pump it to {enough} from afar, hold a minute, "
        f'and write proof_gauge_pressure = "{enough}"'
    )
    path = ("vehicle", "vessel", index, "proof_gauge_pressure")
    if gauge > UNTESTED_LIMIT:
        limit = _pressure(facts, UNTESTED_LIMIT)
        message = f"this vessel was never proof-tested and is filled beyond {limit}"
        return concern("check-untested-pressure", path, message, mend)
    return concern("check-no-proof", path, "this vessel was never proof-tested", mend)


def education_limit(facts: Facts) -> Iterator[Finding]:
    """Plain bottles stay below what a public safety page calls the most."""
    gauge = facts.values[FILL_PATH]
    plain = any(row["material"] == "PET" for row in rows(facts.words, "vehicle.vessel"))
    if plain and gauge > EDUCATION_LIMIT and facts.proof_margin() is not None:
        limit = _pressure(facts, EDUCATION_LIMIT)
        yield concern(
            "check-high-pressure",
            FILL,
            f"this is above {limit}, which NASA Glenn's page on water rockets says never to pass",
            "fill less; above it, people wrap or sleeve their vessels and stand far away",
        )


def wall_stress(facts: Facts) -> Iterator[Finding]:
    """The wall of a PET vessel stays below what stretched PET bears."""
    materials = [row["material"] for row in rows(facts.words, "vehicle.vessel")]
    for index, stress in enumerate(facts.hoop_stresses()):
        if materials[index] != "PET" or stress <= PET_STRENGTH:
            continue
        yield concern(
            "check-wall-stress",
            ("vehicle", "vessel", index, "wall"),
            f"the wall carries {stress / 1e6:.0f} MPa; stretched PET tears at 150 to 220 MPa",
            "fill less, or measure the wall again at the middle of the bottle",
        )


def water_share(facts: Facts) -> Iterator[Finding]:
    """The water takes a usual share of the vessel."""
    water = facts.values["vehicle.fill.water_volume"]
    share = water / (water + facts.gas_volume)
    low, high = USUAL_FILL
    if water > 0 and not low - 1e-9 <= share <= high + 1e-9:
        yield concern(
            "check-fill-share",
            ("vehicle", "fill", "water_volume"),
            f"water takes {100 * share:.0f} % of the vessel; most boosts are best between "
            f"{100 * low:.0f} and {100 * high:.0f} %",
            "try others with forecast, or leave it so if you mean it",
        )


def wide_throat(facts: Facts) -> Iterator[Finding]:
    """The throat is narrow against the vessel, as the boost takes it to be."""
    throat = facts.values["vehicle.nozzle.throat_diameter"]
    bore = min(row["diameter"] for row in rows(facts.values, "vehicle.vessel"))
    if throat > WIDEST_THROAT * bore:
        yield concern(
            "check-throat-wide",
            ("vehicle", "nozzle", "throat_diameter"),
            f"the throat is {throat / bore:.2f} of the vessel's width; the boost is worked out "
            "for throats up to half of it, and too strong beyond",
            "do not trust speeds and heights of this vehicle",
        )


def thin_fins(facts: Facts) -> Iterator[Finding]:
    """Fins are thick enough that flutter, which is not modelled, is unlikely."""
    for index, fins in enumerate(rows(facts.values, "vehicle.fins")):
        chord = mean_chord(fins["root_chord"], fins["tip_chord"])
        if fins["thickness"] < THINNEST_FIN * chord:
            yield concern(
                "check-thin-fins",
                ("vehicle", "fins", index, "thickness"),
                "these fins are thinner than 1 % of their chord; flutter is not modelled",
                "use stiffer fins, and look at them on a film of the boost",
            )


def rough_surface(facts: Facts) -> Iterator[Finding]:
    """The surface is not rougher than anything that flies."""
    if facts.values["vehicle.body.roughness"] > ROUGHEST:
        limit = format_quantity(ROUGHEST, "length", unit="mm")
        yield concern(
            "check-rough",
            ("vehicle", "body", "roughness"),
            f"a sand roughness above {limit} is that of cast concrete",
            'see whether the unit is right; a bottle has about "0.01 mm", tape "0.1 mm"',
        )


def launch_elevation(facts: Facts) -> Iterator[Finding]:
    """The guide stands near the vertical."""
    if facts.flies and facts.values["site.launch.elevation"] < LOWEST_LAUNCH:
        yield concern(
            "check-launch-low",
            ("site", "launch", "elevation"),
            "the guide leans more than 30 degrees from the vertical: it flies far and comes "
            "down fast, canopy or not",
            "stand the guide at 80 degrees or more",
        )


def guide_exit_speed(facts: Facts) -> float | None:
    """Estimate the speed at which the vehicle leaves the guide, m/s; None without thrust.

    Constant static thrust over the length of guide or launch tube, whichever is longer.
    """
    if facts.pull is None:
        return None
    length = max(
        facts.values["site.launch.guide_length"], facts.values.get("vehicle.launch_tube.length", 0)
    )
    net = facts.pull.felt_at_liftoff - GRAVITY
    return math.sqrt(2 * max(net, 0.0) * length)


def guide_length(facts: Facts) -> Iterator[Finding]:
    """The vehicle is fast against the wind when the guide lets it go."""
    speed = guide_exit_speed(facts)
    wind = facts.values.get("site.wind.gust", facts.values["site.wind.speed"])
    if not facts.flies or speed is None or wind <= STEEPEST_WIND * speed:
        return
    shown, blown = (format_quantity(each, "speed", facts.system) for each in (speed, wind))
    yield concern(
        "check-guide-short",
        ("site", "launch", "guide_length"),
        f"it leaves the guide at about {shown} into a wind of up to {blown}: the air meets it "
        f"{math.degrees(math.atan2(wind, speed)):.0f} degrees from the side, and it turns into "
        "the wind",
        "use a longer guide, or wait for less wind",
    )


def _pressure(facts: Facts, value: float) -> str:
    return str(format_quantity(value, "gauge_pressure", facts.system))


def _limit(facts: Facts, value: float, rounded: Callable[[float], int]) -> str:
    """Return a pressure that is a limit, to three figures, never rounded to the side that hurts."""
    unit = format_quantity(value, "gauge_pressure", facts.system).unit
    number = from_si(value, "gauge_pressure", unit)
    places = max(0, 2 - math.floor(math.log10(number)))
    least = 1e-9 if rounded is math.floor else -1e-9  # what is whole stays so
    return f"{rounded((number + least) * 10**places) / 10**places:.{places}f} {unit}"


FILL_PATH = ".".join(FILL)

RULES = (
    proof_test,
    education_limit,
    wall_stress,
    water_share,
    wide_throat,
    thin_fins,
    rough_surface,
    launch_elevation,
    guide_length,
)
