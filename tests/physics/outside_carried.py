"""Things carried on the side beside theory and handbooks."""

from __future__ import annotations

import math

from outside import COMPUTED, MEMORY, OutsideCheck, register, relative

from loftwright.physics.protuberance import (
    boundary_layer_thickness,
    mean_layer_pressure,
    protuberance_drag_area,
    standing_edge_slope,
)
from loftwright.physics.retention import hold_use

MODEL = "Things on the side"


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model=MODEL,
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# A pair of low wings on a body: 2 pi (r_m^2 - R^2)^2 / r_m^2 of slender-body theory. Four edges in
# the mean over all roll angles are such a pair in its own plane.
for height, radius in ((0.010, 0.055), (0.020, 0.055), (0.020, 0.045), (0.030, 0.060)):
    tip = radius + height
    check(
        "normal-force slope of two opposite edges in their plane, m²/rad",
        f"edges {1e3 * height:.0f} mm high on a body of radius {1e3 * radius:.0f} mm",
        2.0 * math.pi * (tip * tip - radius * radius) ** 2 / (tip * tip),
        lambda h=height, r=radius: 4.0 * standing_edge_slope(h, r),
        relative(1e-12),
        "W. C. Pitts, J. N. Nielsen, G. E. Kaattari, NACA Report 1307 (1957), slender-body limit",
    )
check(
    "normal-force slope of a wing of lowest aspect ratio, on its area, 1/rad",
    "aspect ratio 0.5: span 0.1 m, area 0.02 m²; no body",
    math.pi / 2.0 * 0.5,
    lambda: 4.0 * standing_edge_slope(0.05, 0.0) / 0.02,
    relative(1e-12),
    "R. T. Jones, NACA Report 835 (1946), eq. for low aspect ratio: pi A / 2",
)

# Hoerner's own line through measured layers is a cube root; ours is the one-seventh power.
for share in (0.3, 0.5, 1.0):
    check(
        "effective dynamic pressure on a protuberance, share of the outer one",
        f"height over layer thickness {share}",
        0.75 * share ** (1.0 / 3.0),
        lambda s=share: mean_layer_pressure(0.0, s, 1.0),
        relative(0.12),
        "S. F. Hoerner, Fluid-Dynamic Drag (1965), ch. 5: 0.75 (h/δ)^(1/3)",
        MEMORY,
    )
check(
    "thickness of a turbulent layer, mm",
    "0.5 m behind the front, Reynolds number 1e6",
    11.67,
    lambda: 1e3 * boundary_layer_thickness(0.5, 1e6),
    relative(1e-3),
    "H. Schlichting, Boundary-Layer Theory, 7th ed. (1979), eq. 21.8: 0.37 x Re^(-1/5)",
)
check(
    "drag coefficient of a long square-edged block, on its front",
    "no boundary layer, friction left out",
    0.83,
    lambda: protuberance_drag_area(0.65, 0.20, 0.1, 0.1, 1.0, 0.0, 0.0) / 0.01,
    relative(0.05),
    "S. F. Hoerner, Fluid-Dynamic Drag (1965), ch. 3: blunt cylinders along the flow, l/d over 2",
    MEMORY,
)
for shear, tension in ((0.6, 0.8), (0.28, 0.96), (0.8, 0.6)):
    check(
        "use of a fastener at the edge of the elliptic interaction",
        f"shear {shear}, tension {tension} of what each alone bears",
        1.0,
        lambda s=shear, t=tension: hold_use(s, 0.0, -t, 0.2, 1.0, 1.0, 1.0),
        relative(1e-9),
        "E. F. Bruhn, Analysis and Design of Flight Vehicle Structures (1973): R_s² + R_t² = 1",
    )
