"""Normal force by our sums beside a vortex lattice that shares no formula with them."""

from __future__ import annotations

from math import pi

import pytest
from flight.two_routes import VEHICLES, is_fresh, routes
from flight.vortex_lattice import Fins, body_by_strips, fins_by_lattice

# NACA Report 1307: charts claim about 10 % on lift and 0.02 body lengths on the centre.
LIFT, PLACE = 0.10, 0.02
# What we meet; a change that leaves it has moved our sums, or the lattice.
MET_LIFT, MET_PLACE = 0.025, 0.012


def thin(count: int, ratio: float) -> Fins:
    """Slender triangular fins, fifty times as long as their span, on a body of this ratio."""
    span = 0.02
    return Fins(count, 1.0, 1e-3, span, 1.0, 0.0, ratio * span / (1.0 - ratio))


# ---------------------------------------------------------------- the lattice itself


@pytest.mark.parametrize("aspect_ratio", [0.05, 0.1])
def test_a_slender_wing_alone(aspect_ratio):
    """R. T. Jones, NACA Report 835 (1946): pi A / 2 on the plan form."""
    span = 0.5 * aspect_ratio
    wing, body = fins_by_lattice(Fins(2, 1.0, 1.0, span, 0.0, 0.0, 0.0), turned=0.5 * pi)
    assert wing.slope / (2.0 * span) == pytest.approx(0.5 * pi * aspect_ratio, rel=0.01)
    assert body.slope == 0.0


@pytest.mark.parametrize(("aspect_ratio", "slope"), [(1, 1.4833), (2, 2.6026), (4, 3.8832)])
def test_a_wing_of_any_aspect_ratio(aspect_ratio, slope):
    """Helmbold's formula, good to some 5 % for straight wings; lattices lie below it."""
    wing, _ = fins_by_lattice(Fins(2, 1.0, 1.0, 0.5 * aspect_ratio, 0.0, 0.0, 0.0), turned=0.5 * pi)
    assert wing.slope / aspect_ratio == pytest.approx(slope, rel=0.08)


@pytest.mark.parametrize(
    ("ratio", "on_wing", "on_body"),
    [(0.1, 1.07697, 0.13303), (0.3, 1.25276, 0.43724), (0.5, 1.45028, 0.79972)],
)
def test_wing_and_body_of_slender_body_theory(ratio, on_wing, on_body):
    """K_W(B) and K_B(W) of NACA Report 1307 come out of the images."""
    alone, _ = fins_by_lattice(thin(2, 0.0), turned=0.5 * pi)
    wing, body = fins_by_lattice(thin(2, ratio), turned=0.5 * pi)
    assert wing.slope / alone.slope == pytest.approx(on_wing, rel=0.01)
    assert body.slope / alone.slope == pytest.approx(on_body, rel=0.01)


@pytest.mark.parametrize(("count", "share"), [(3, 2.0 ** (-1 / 3)), (4, 1.0), (6, 2.0 ** (1 / 3))])
def test_slender_stars(count, share):
    """Apparent mass of a star of n fins over that of a plate: 2^(1 - 4/n).

    A. E. Bryson, J. Aero. Sci. 20 (1953) 297 (from memory).
    """
    plate, _ = fins_by_lattice(thin(2, 0.0), turned=0.5 * pi)
    star, _ = fins_by_lattice(thin(count, 1e-4))
    assert star.slope / plate.slope == pytest.approx(share, rel=0.02)


@pytest.mark.parametrize("count", [3, 4, 5])
def test_three_fins_and_more_feel_the_same_at_every_angle(count):
    fins = Fins(count, 0.15, 0.09, 0.12, 0.07, 0.77, 0.055)
    one, other = (fins_by_lattice(fins, 3, 8, turned)[0].slope for turned in (0.1, 0.7))
    assert one == pytest.approx(other, rel=1e-9)


def test_finer_panels_change_little():
    fins = Fins(4, 0.15, 0.09, 0.12, 0.07, 0.77, 0.055)
    coarse, fine = (fins_by_lattice(fins, *panels)[0].slope for panels in ((4, 10), (8, 20)))
    assert coarse == pytest.approx(fine, rel=3e-3)


def test_strips_count_the_cross_section_that_was_gained():
    cone = body_by_strips(lambda x: 0.05 * x / 0.3, 0.0, 0.3)
    assert cone.slope == pytest.approx(2.0 * pi * 0.05**2, rel=1e-12)
    assert cone.centre == pytest.approx(0.2, rel=1e-6)


# ---------------------------------------------------------------- ours beside it


@pytest.mark.parametrize("name", list(VEHICLES))
def test_both_routes_agree_far_within_what_the_charts_claim(name):
    both = routes(name)
    for ours, theirs in both.parts.values():
        assert ours.slope == pytest.approx(theirs.slope, rel=min(LIFT, MET_LIFT))
        assert abs(ours.centre - theirs.centre) < min(PLACE, MET_PLACE) * both.length


def test_the_table_in_the_docs_is_fresh():
    assert is_fresh(), "run: python tests/flight/two_routes.py"
