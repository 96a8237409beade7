"""What figures, events and inputs are called in front of a person."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

__all__ = ["FIGURES", "Figure", "figure", "input_words"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure's words and the kind of unit that it is shown in."""

    words: str
    kind: str


FIGURES: Final[dict[str, Figure]] = {
    "apogee_m": Figure("greatest height", "height"),
    "apogee_time_s": Figure("time of greatest height", "time"),
    "max_speed_m_s": Figure("greatest speed", "speed"),
    "max_climb_m_s": Figure("fastest climb", "speed"),
    "canopy_rate_m_s": Figure("rate of descent under canopy", "speed"),
    "max_acceleration_m_s2": Figure("greatest acceleration", "acceleration"),
    "guide_exit_speed_m_s": Figure("speed leaving the guide", "speed"),
    "tube_clear_s": Figure("clear of the tube", "time"),
    "guide_exit_s": Figure("clear of the guide", "time"),
    "water_out_s": Figure("water out", "time"),
    "burnout_s": Figure("end of thrust", "time"),
    "boosters_out_s": Figure("end of the boosters' thrust", "time"),
    "burnout_speed_m_s": Figure("speed at end of thrust", "speed"),
    "hold_load_n": Figure("greatest pull on the hold", "force"),
    "hold_load_time_s": Figure("time of that pull", "time"),
    "hold_use_time_s": Figure("time at which the hold is nearest to giving way", "time"),
    "burnout_lean_rad": Figure("path off the guide at end of thrust", "angle"),
    "water_left_kg": Figure("water left aboard", "small_mass"),
    "release_time_s": Figure("time at which it leaves", "time"),
    "release_height_m": Figure("height as it leaves", "height"),
    "release_climb_m_s": Figure("climb as it leaves", "speed"),
    "release_speed_m_s": Figure("speed as it leaves", "speed"),
    "release_lean_rad": Figure("lean of the vehicle as it leaves", "angle"),
    "fin_clearance_m": Figure("nearest to the fins on its way", "small_length"),
    "body_clearance_m": Figure("nearest to the body on its way", "small_length"),
    "carry_trim_deg": Figure("largest steady angle to the flow", "degrees"),
    "veer_m": Figure("to the side of the climb without payload", "distance"),
    "start_s": Figure("fires", "time"),
    "start_height_m": Figure("height as it fires", "height"),
    "torn_off": Figure("torn off before its release", "chance"),
    "recontact": Figure("touches what it has left", "chance"),
    "canopy_open_s": Figure("canopy open", "time"),
    "canopy_open_height_m": Figure("height when the canopy opens", "height"),
    "canopy_open_speed_m_s": Figure("speed when the canopy opens", "speed"),
    "canopy_load_n": Figure("greatest pull of the canopy", "force"),
    "reach_m": Figure("farthest touchdown from the pad", "distance"),
    "ground_energy_j": Figure("greatest energy at the ground", "energy"),
    "inside_field": Figure("everything comes down inside the field", "chance"),
    "field_margin_m": Figure("nearest touchdown to the edge of the field", "distance"),
    "tree_risk": Figure("something ends in the trees", "chance"),
    "building_risk": Figure("something ends on a building", "chance"),
    "glide_ratio": Figure("glide ratio, left alone", "number"),
    "sink_m_s": Figure("sink rate, left alone", "speed"),
    "glide_speed_m_s": Figure("gliding speed, left alone", "speed"),
    "phugoid_period_s": Figure("period of its slow swing", "time"),
    "phugoid_damping": Figure("damping of its slow swing", "number"),
    "time_aloft_s": Figure("time aloft", "time"),
    "release_energy_j": Figure("energy of the payload at release", "energy"),
    "hold_margin": Figure("what the hold has left, as a share of its load", "number"),
    "proof_margin": Figure("proof over fill pressure", "number"),
    "stability_calibres": Figure("least stability, in calibres", "number"),
    "stored_energy_j": Figure("energy stored in the air", "energy"),
    "fill_fraction": Figure("share of the vessel that is water", "number"),
    "liftoff_mass_kg": Figure("mass at liftoff", "mass"),
    "pressure_test_distance_m": Figure("distance to keep while filling", "distance"),
    "peak_thrust_n": Figure("peak thrust", "force"),
    "impulse_n_s": Figure("impulse", "impulse"),
    "air_out_s": Figure("air out", "time"),
    "pressure_at_water_out_pa": Figure(
        "absolute pressure when the water is out", "absolute_pressure"
    ),
    "temperature_at_water_out_k": Figure("air temperature when the water is out", "temperature"),
    "initial_air_mass_kg": Figure("air in the vessel at the start", "small_mass"),
    "time_s": Figure("time", "time"),
    "distance_m": Figure("distance from the pad", "distance"),
    "east_m": Figure("east of the pad", "distance"),
    "north_m": Figure("north of the pad", "distance"),
    "speed_m_s": Figure("speed at the ground", "speed"),
    "energy_j": Figure("energy at the ground", "energy"),
    "up_m": Figure("above the pad at the end", "height"),
}

_TOUCHDOWN: Final = re.compile(
    r"touchdown_(?P<body>\w+?)_(?P<key>time_s|distance_m|east_m|north_m|speed_m_s|energy_j|up_m)"
)
_BOOSTER: Final = re.compile(r"booster(\d+)")

# What one body of several does; those of the first payload in flight have no body before them.
_OF_BODY: Final = re.compile(r"(?P<body>vehicle|payload\d?|upper|boosters?|booster\d)_(?P<key>\w+)")
_ALONE: Final = {
    "reach_m": "touchdown from the pad",
    "inside_field": "comes down inside the field",
    "field_margin_m": "touchdown from the edge of the field",
    "tree_risk": "ends in the trees",
    "building_risk": "ends on a building",
}

_SUFFIXES: Final = (
    ("_m_s2", "acceleration"),
    ("_m3", "volume"),
    ("gauge_pressure_pa", "gauge_pressure"),
    ("_m_s", "speed"),
    ("_n_s", "impulse"),
    ("_pa", "absolute_pressure"),
    ("_kg", "mass"),
    ("_m", "height"),
    ("_s", "time"),
    ("_n", "force"),
    ("_j", "energy"),
    ("_k", "temperature"),
)

_INPUTS: Final[dict[str, str]] = {
    "vehicle.mass.dry": "dry mass",
    "vehicle.mass.balance_from_nose": "balance point",
    "vehicle.nozzle.flow_coefficient": "flow losses of the nozzle",
    "vehicle.nozzle.velocity_coefficient": "speed losses of the jet",
    "vehicle.nozzle.throat_diameter": "throat diameter",
    "vehicle.nozzle.breakthrough_volume": "water left when air breaks through",
    "vehicle.fill.water_volume": "water filled in",
    "vehicle.fill.gauge_pressure": "fill pressure",
    "vehicle.fill.temperature": "temperature of the fill",
    "vehicle.fill.exponent": "how the air expands",
    "vehicle.ballast.mass": "ballast",
    "vehicle.ballast.from_nose": "place of the ballast",
    "vehicle.drag.coefficient": "measured drag",
    "vehicle.canopy.drag_coefficient": "drag of the canopy",
    "vehicle.canopy.delay": "delay of the canopy",
    "vehicle.canopy.filling_constant": "how fast the canopy fills",
    "payload.mass": "payload mass",
    "payload.carried.drag_coefficient": "drag of the payload as carried",
    "payload.carried.drag_area": "drag of the payload as carried",
    "payload.carried.drag_factor": "drag of the payload as carried",
    "payload.carried.push_coefficient": "push of the air off the body on the payload",
    "payload.glide.glide_ratio": "glide ratio of the payload",
    "payload.glide.lift_coefficient": "lift of the payload in its glide",
    "payload.wing.warp": "twist between the glider's wings",
    "payload.wing.curl": "curl left in the glider's wing",
    "payload.wing.incidence": "incidence of the glider's wing",
    "payload.wing.washout": "washout of the glider's wing",
    "payload.tailplane.incidence": "incidence of the glider's tailplane",
    "payload.fin.cant": "cant of the glider's fin",
    "payload.balance.from_nose": "balance point of the glider",
    "payload.glide.sink": "sink rate of the payload",
    "payload.descent.rate": "descent rate of the payload",
    "payload.descent.drag_area": "drag of the payload coming down",
    "payload.descent.diameter": "diameter of the payload's canopy or rotor",
    "payload.descent.area": "area of the payload coming down",
    "payload.descent.surface": "surface of the payload",
    "payload.descent.drag_coefficient": "drag coefficient of the payload coming down",
    "payload.release.climb": "climb at which it is let go",
    "payload.release.time": "time at which it is let go",
    "payload.release.delay": "delay of the release",
    "payload.toss.speed": "how hard the payload is pushed off",
    "payload.hold.strength": "strength of the hold",
    "site.wind.speed": "wind speed",
    "site.wind.from": "wind direction",
    "site.wind.roughness": "roughness of the ground upwind",
    "site.wind.gust": "gusts",
    "site.air.temperature": "air temperature",
    "site.air.pressure": "air pressure",
    "site.air.humidity": "humidity",
    "site.launch.elevation": "lean of the guide",
    "site.launch.azimuth": "direction the guide leans to",
    "site.wind.waves": "gusts as they come",
    "rest": "unexplained, or acting together",
}

_TABLES: Final[dict[str, str]] = {
    "vessel": "vessel",
    "fins": "fins",
    "part": "part",
    "body": "body",
    "canopy": "canopy",
    "launch_tube": "launch tube",
    "nozzle": "nozzle",
}


# Documents with the fields of another.
_LIKE: Final[dict[str, str]] = {
    "payload2": "payload",
    "payload3": "payload",
    "boosters": "vehicle",
    "upper": "vehicle",
}


def figure(key: str, names: Mapping[str, str] | None = None) -> Figure:
    """Return words and kind of a figure's key; unknown keys are read by their unit suffix.

    ``names`` hold what bodies are called; a body is called by its own word where it is left out.
    """
    if key in FIGURES:
        return FIGURES[key]
    landed, own = _TOUCHDOWN.fullmatch(key), _OF_BODY.fullmatch(key)
    if landed:
        base = FIGURES[landed["key"]]
        words = "touchdown" if landed["key"] == "time_s" else base.words
        return Figure(f"{_called(landed['body'], names)}: {words}", base.kind)
    if own and (own["key"] in FIGURES or own["body"] not in ("vehicle", "payload")):
        base = figure(own["key"])
        words = _ALONE.get(own["key"], base.words)
        return Figure(f"{_called(own['body'], names)}: {words}", base.kind)
    for suffix, kind in _SUFFIXES:
        if key.endswith(suffix):
            # "_pa" goes, "gauge pressure" stays.
            words = key.removesuffix(suffix if suffix.startswith("_") else "_pa")
            return Figure(words.replace("_", " "), kind)
    return Figure(key.replace("_", " "), "number")


def _called(body: str, names: Mapping[str, str] | None) -> str:
    known = names or {}
    booster = _BOOSTER.fullmatch(body)
    if booster and "boosters" in known:
        return f"{known['boosters']} {booster[1]}"
    return known.get(body, body)


def input_words(path: str) -> str:
    """Return what a drawn input is called, from its document path.

    >>> input_words("vehicle.vessel.0.volume")
    'vessel 1: volume'
    >>> input_words("upper.fill.water_volume")
    'upper: water filled in'
    """
    if path in _INPUTS:
        return _INPUTS[path]
    root, _, rest = path.partition(".")
    if root in _LIKE:
        words = input_words(f"{_LIKE[root]}.{rest}")
        return f"{root}: {words.removeprefix(f'{_LIKE[root]} ')}"
    steps = path.split(".")
    last = steps[-1].replace("_", " ")
    numbered = [s for s in steps if s.isdigit()]
    number = f" {int(numbered[0]) + 1}" if numbered else ""
    table = next((_TABLES[s] for s in reversed(steps[:-1]) if s in _TABLES), None)
    if table:
        return f"{table}{number}: {last}"
    return " ".join(s.replace("_", " ") for s in steps if not s.isdigit())
