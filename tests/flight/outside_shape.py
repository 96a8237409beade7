"""The assembled vehicle beside Barrowman's worked examples, from document fields to totals."""

from __future__ import annotations

from flight.test_shape import (
    CONE_THREE_FINS,
    CONE_WORDS,
    OGIVE_BOAT_TAIL,
    OGIVE_WORDS,
    RATIO,
    Values,
    Words,
)
from outside import COMPUTED, OutsideCheck, absolute, register

from loftwright.flight.shape import Aerodynamics, aerodynamic_centre, aerodynamics

SOURCE = "J. S. Barrowman, MS thesis (1967), NASA CR-153840; Barrowman and Barrowman (1966)"


def his(values: Values, words: Words) -> Aerodynamics:
    """Return the vehicle with 1 + tau in place of the (1 + tau)^2 that we take."""
    aero = aerodynamics(values, words)
    return aero._replace(fin_slope=aero.fin_slope / (1 + RATIO))


def total(aero: Aerodynamics) -> float:
    """Return the slope of the whole vehicle."""
    return aero.nose_slope + aero.tail_slope + aero.fin_slope


for name, values, words, slope, centre in (
    ("cone, three fins", CONE_THREE_FINS, CONE_WORDS, 10.355595, 0.993420),
    ("ogive, four fins, boat-tail", OGIVE_BOAT_TAIL, OGIVE_WORDS, 11.265977, 0.794437),
):
    for quantity, expected, ours in (
        (
            "slope of a whole vehicle from its documents, 1/rad",
            slope,
            lambda v=values, w=words: total(his(v, w)),
        ),
        (
            "aerodynamic centre of a whole vehicle from its documents, m",
            centre,
            lambda v=values, w=words: aerodynamic_centre(his(v, w)),
        ),
    ):
        register(
            OutsideCheck(
                model="Normal force",
                quantity=quantity,
                source=SOURCE,
                inputs=f"{name}; interference 1 + tau as in the source",
                expected=expected,
                ours=ours,
                tolerance=absolute(1e-5),
                standing=COMPUTED,
            )
        )
