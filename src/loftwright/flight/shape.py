"""From the documents' shapes to the numbers that forces and moments are made of.

Small incidence follows Barrowman (nose, narrowing, fins); fins on a body are taken together with
what they induce on it, ``K_W(B) + K_B(W) = (1 + tau)^2`` of slender-body theory (NACA Report
1307). Large incidence adds a cross-flow force (NACA Report 1048). Drag is given as areas that
the kernel multiplies with friction coefficients at the Reynolds number of the moment.

Lengths run aft from the nose tip, slopes are per radian on ``reference_area``. Every number may
also be an array ``(n,)``, see `flat`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from loftwright.flight import outline
from loftwright.flight.carried import drag_area
from loftwright.flight.flat import larger, rows
from loftwright.physics.crossflow import crossflow_proportion
from loftwright.physics.fins import fin_set_centre, fin_set_slope
from loftwright.physics.form import body_form_factor, fin_form_factor
from loftwright.physics.interference import fin_body_interference
from loftwright.physics.roll import fin_lift_slope, roll_damping, roll_forcing
from loftwright.physics.slender import (
    cone_centre,
    conical_change_centre,
    conical_change_slope,
    ellipsoid_centre,
    nose_slope,
    ogive_centre,
    parabola_centre,
)

__all__ = ["Aerodynamics", "aerodynamic_centre", "aerodynamics"]

PI = 3.141592653589793
CYLINDER_DRAG = 1.2  # endless cylinder across the flow below the drag crisis, NACA Report 1048
PLATE_DRAG = 1.17  # flat plate square to the flow, Hoerner, Fluid-Dynamic Drag, ch. 3 (memory)
# A fin at roll angle f meets the cross-flow's part sin f and passes on the part sin f of its
# force, so it counts with the mean of |sin f|^3 over a turn.
MEAN_SINE_CUBED = 4 / (3 * PI)
# Flat fins, front edge lightly rounded and rear edge square: about 0.3 + 0.2 on thickness times
# span (judgement between round and square edges, after Hoerner ch. 3).
FIN_EDGE_DRAG = 0.5
# Flow follows a narrowing of up to about 10 degrees to the axis and leaves a steeper one
# (judgement after Hoerner ch. 3 on boat-tails): 2 tan 10 degrees of diameter per length.
STEEPEST_NARROWING = 0.3527

NOSE_CENTRE = {
    "cone": cone_centre,
    "ogive": ogive_centre,
    "ellipsoid": ellipsoid_centre,
    "parabola": parabola_centre,
}

Row = dict[str, float]


class Aerodynamics(NamedTuple):
    """The shape as the forces see it; SI, lengths aft of the nose tip, slopes per radian.

    With airspeed components ``u`` along the axis and ``w`` across, ``V`` their sum, ``rho`` the
    air's density and ``p`` the roll rate:

    - rolling moment ``rho/2 (u |u| roll_forcing - |u| p roll_damping)``;
    - cross-flow force ``rho/2 w^2 crossflow_area``, acting at ``crossflow_centre``, and against a
      turning rate ``q`` the moment ``rho/2 |q| q crossflow_damping`` about it;
    - drag at zero incidence from `loftwright.physics.drag.drag_area`, or ``measured_drag_area``
      (coefficient times area) where that is not 0;
    - the payload adds ``payload_drag_area`` (coefficient times area), acting at
      ``payload_from_nose`` and ``payload_offset`` to the side.
    """

    reference_area: float  # m^2, the body's cross-section
    nose_slope: float
    nose_centre: float  # m
    tail_slope: float  # 0 without a narrowing
    tail_centre: float  # m
    fin_slope: float  # all sets, body included; 0 without fins
    fin_centre: float  # m
    crossflow_area: float  # m^2, drag coefficient times area
    crossflow_centre: float  # m
    roll_forcing: float  # m^3, all sets, cant included
    roll_damping: float  # m^4
    body_friction_area: float  # m^2, wetted area times form factor
    fin_friction_area: float  # m^2, both sides times form factor
    fin_chord: float  # m, mean aerodynamic chord (body length without fins)
    pressure_drag_area: float  # m^2, drag coefficient times area of fin edges
    base_diameter: float  # m, where the flow leaves the body
    body_length: float  # m
    roughness: float  # m
    measured_drag_area: float  # m^2, coefficient times area; 0 when not measured
    payload_drag_area: float  # m^2, coefficient times area; 0 without a payload
    payload_from_nose: float  # m
    payload_offset: float  # m
    crossflow_damping: float  # m^5


def _body_outline(values: Mapping[str, float], words: Mapping[str, str | int]) -> Row:
    """Return side area, its centre, wetted area and effective base diameter of the body."""
    diameter, length = values["vehicle.body.diameter"], values["vehicle.body.length"]
    nose_length = values["vehicle.nose.length"]
    tail_length = values.get("vehicle.tail.length", 0.0)
    tail_start = length - tail_length
    pieces = [
        outline.nose(str(words["vehicle.nose.profile"]), nose_length, diameter),
        outline.cylinder(nose_length, tail_start - nose_length, diameter),
    ]
    base = diameter
    if "vehicle.tail.length" in values:
        end = values["vehicle.tail.diameter"]
        pieces.append(outline.frustum(tail_start, tail_length, diameter, end))
        base = larger(end, diameter - STEEPEST_NARROWING * tail_length)
    whole = outline.joined(pieces)
    return {
        "side": whole.side_area,
        "centre": whole.centre,
        "wetted": whole.wetted_area,
        "base": base,
    }


def _tail(values: Mapping[str, float]) -> tuple[float, float]:
    """Return slope and centre of the tail's narrowing; the slope is 0 where there is none.

    The whole narrowing counts, even where the flow would leave it: that puts the aerodynamic
    centre too far forward rather than too far aft.
    """
    if "vehicle.tail.length" not in values:
        return 0.0, values["vehicle.body.length"]
    front, aft = values["vehicle.body.diameter"], values["vehicle.tail.diameter"]
    length = values["vehicle.tail.length"]
    start = values["vehicle.body.length"] - length
    slope = conical_change_slope(front, aft, front)
    return slope, start + conical_change_centre(front, aft, length)


def _fin_set(fins: Row, count: int, diameter: float, reference_area: float) -> Row:
    """Return the shares of one set of fins: slope, moments of slope and areas, drag areas."""
    root, tip, span = fins["root_chord"], fins["tip_chord"], fins["span"]
    sweep, start = fins["sweep"], fins["from_nose"]
    radius = diameter / 2
    area = outline.fin_area(root, tip, span)
    chord = outline.mean_chord(root, tip)
    alone = fin_set_slope(count, root, tip, span, sweep, diameter, 0.0)
    lift = fin_lift_slope(alone, count, reference_area, area)
    slope = alone * fin_body_interference(radius / (radius + span))
    across = count * area * PLATE_DRAG * MEAN_SINE_CUBED
    middle = start + _area_centre(root, tip, sweep)
    return {
        "slope": slope,
        "slope_moment": slope * (start + fin_set_centre(root, tip, sweep)),
        "crossflow": across,
        "crossflow_moment": across * middle,
        "forcing": roll_forcing(count, lift, root, tip, span, radius) * fins["cant"],
        "damping": roll_damping(count, lift, root, tip, span, radius),
        "area": count * area,
        "area_chord": count * area * chord,
        "friction": 2 * count * area * fin_form_factor(fins["thickness"] / chord),
        "edges": FIN_EDGE_DRAG * count * span * fins["thickness"],
    }


def _area_centre(root: float, tip: float, sweep: float) -> float:
    """Return the middle of a fin's area aft of its root's leading edge, m."""
    chords = root + tip
    return (root**2 + root * tip + tip**2 + sweep * (root + 2 * tip)) / (3 * chords)


def _no_fins(length: float) -> Row:
    """Return what a vehicle without fins has of them: nothing, anywhere harmless."""
    nothing = ("slope", "crossflow", "crossflow_moment", "forcing", "damping", "friction", "edges")
    return dict.fromkeys(nothing, 0.0) | {
        "centre": length,
        "middle": length,
        "chord": length,
    }


def _fin_totals(
    values: Mapping[str, float], words: Mapping[str, str | int], reference_area: float
) -> Row:
    """Sum the shares of all sets of fins, and find their common centre and mean chord."""
    sets = rows(values, "vehicle.fins")
    if not sets:
        return _no_fins(values["vehicle.body.length"])
    diameter = values["vehicle.body.diameter"]
    counts = [int(row["count"]) for row in rows(words, "vehicle.fins")]
    shares = [
        _fin_set(fins, count, diameter, reference_area)
        for fins, count in zip(sets, counts, strict=True)
    ]
    total = {name: sum(share[name] for share in shares) for name in shares[0]}
    return total | {
        "centre": total["slope_moment"] / total["slope"],
        "middle": total["crossflow_moment"] / total["crossflow"],
        "chord": total["area_chord"] / total["area"],
    }


def _payload(
    values: Mapping[str, float], words: Mapping[str, str | int]
) -> tuple[float, float, float]:
    """Return drag area, place and offset of the payload as carried; zeros without one."""
    if "payload.mass" not in values:
        return 0.0, 0.0, 0.0
    return (
        drag_area(values, words, "payload"),
        values["payload.carried.from_nose"],
        values["payload.carried.offset"],
    )


def _measured_drag_area(values: Mapping[str, float]) -> float:
    """Return the measured drag coefficient times its area; 0 when nothing was measured."""
    if "vehicle.drag.coefficient" not in values:
        return 0.0
    diameter = values["vehicle.drag.reference_diameter"]
    return values["vehicle.drag.coefficient"] * PI / 4 * diameter**2


def _crossflow_damping(width: float, length: float, centre: float) -> float:
    """Integrate ``width |x - centre|^3`` over the body, its side taken as even, m^5."""
    return width * (centre**4 + (length - centre) ** 4) / 4


def aerodynamics(values: Mapping[str, float], words: Mapping[str, str | int]) -> Aerodynamics:
    """Assemble the vehicle's shape into the numbers that forces are made of.

    ``values`` and ``words`` are those of `loftwright.documents.flatten.flatten`.
    """
    diameter, length = values["vehicle.body.diameter"], values["vehicle.body.length"]
    area = PI / 4 * diameter**2
    fineness = length / diameter
    body = _body_outline(values, words)
    fins = _fin_totals(values, words, area)
    bare = crossflow_proportion(fineness) * CYLINDER_DRAG * body["side"]
    across = bare + fins["crossflow"]
    centre = (bare * body["centre"] + fins["crossflow_moment"]) / across
    tail_slope, tail_centre = _tail(values)
    payload_drag_area, payload_from_nose, payload_offset = _payload(values, words)
    return Aerodynamics(
        reference_area=area,
        nose_slope=nose_slope(diameter, diameter),
        nose_centre=NOSE_CENTRE[str(words["vehicle.nose.profile"])](values["vehicle.nose.length"]),
        tail_slope=tail_slope,
        tail_centre=tail_centre,
        fin_slope=fins["slope"],
        fin_centre=fins["centre"],
        crossflow_area=across,
        crossflow_centre=centre,
        roll_forcing=fins["forcing"],
        roll_damping=fins["damping"],
        body_friction_area=body["wetted"] * body_form_factor(fineness),
        fin_friction_area=fins["friction"],
        fin_chord=fins["chord"],
        pressure_drag_area=fins["edges"],
        base_diameter=body["base"],
        body_length=length,
        roughness=values["vehicle.body.roughness"],
        measured_drag_area=_measured_drag_area(values),
        payload_drag_area=payload_drag_area,
        payload_from_nose=payload_from_nose,
        payload_offset=payload_offset,
        crossflow_damping=_crossflow_damping(bare / length, length, centre)
        + fins["crossflow"] * abs(fins["middle"] - centre) ** 3,
    )


def aerodynamic_centre(aero: Aerodynamics) -> float:
    """Return where the air acts at small incidence, m aft of the nose tip.

    The slope-weighted mean of nose, narrowing and fins (Barrowman 1967).
    """
    slope = aero.nose_slope + aero.tail_slope + aero.fin_slope
    moment = (
        aero.nose_slope * aero.nose_centre
        + aero.tail_slope * aero.tail_centre
        + aero.fin_slope * aero.fin_centre
    )
    return moment / slope
