"""Friction, form and base drag, spheres and cylinders, beside other lines, tables and a library."""

from __future__ import annotations

from fluids.drag import Clift_Gauvin, Morrison
from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.physics.bluff import (
    cylinder_drag,
    sphere_drag,
    sphere_drag_morrison,
    stokes_drag,
)
from loftwright.physics.drag import base_drag_coefficient, skin_friction
from loftwright.physics.form import body_form_factor, fuselage_form_factor

SCHLICHTING = "H. Schlichting, Boundary-Layer Theory, 7th ed. (1979), eqs. 7.34 and 21.16"
LAST_DIGIT = absolute(6e-7)


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Drag",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- friction

# Re: laminar, Prandtl-Schlichting, the same minus 1700/Re (None where laminar rules), Schoenherr
FRICTION = {
    1e5: (0.004200, 0.007156, None, 0.007179),
    3e5: (0.002425, 0.005656, None, 0.005623),
    5e5: (0.001878, 0.005106, None, 0.005057),
    1e6: (0.001328, 0.004471, 0.002771, 0.004409),
    3e6: (0.000767, 0.003670, 0.003103, 0.003600),
    1e7: (0.000420, 0.003004, 0.002834, 0.002934),
    1e8: (0.000133, 0.002128, 0.002111, 0.002072),
}
for re, (laminar, turbulent, mixed, schoenherr) in FRICTION.items():
    place = f"Re {re:g}, smooth"
    ours = lambda r=re: skin_friction(r, 0.0)  # noqa: E731
    if mixed is None:
        check("mean friction, laminar line", place, laminar, ours, LAST_DIGIT, SCHLICHTING)
        continue
    check("mean friction, laminar front", place, mixed, ours, LAST_DIGIT, SCHLICHTING)
    whole = lambda r=re: skin_friction(r, 0.0) + 1700.0 / r  # noqa: E731
    check("mean friction, turbulent from the tip", place, turbulent, whole, LAST_DIGIT, SCHLICHTING)
    check(
        "mean friction, turbulent from the tip, by another line",
        place,
        schoenherr,
        whole,
        relative(0.04),
        "K. E. Schoenherr, Trans. SNAME 40 (1932) 279; ± 4 % as stated for flat-plate lines",
    )
check(
    "mean friction, fully rough",
    "Re 1e9, roughness over length 1e-4",
    0.032 * 1e-4**0.2,
    lambda: skin_friction(1e9, 1e-4) + 1700.0 / 1e9,
    relative(1e-9),
    "S. F. Hoerner, Fluid-Dynamic Drag (1965), ch. 5",
    MEMORY,
)

# ---------------------------------------------------------------- form and base

for fineness, body, fuselage in (
    (5, 1.19016, 1.49250),
    (8, 1.07996, 1.13719),
    (10, 1.05443, 1.08500),
    (12, 1.04014, 1.06472),
    (15, 1.02789, 1.05528),
):
    place = f"length over diameter {fineness}"
    check(
        "form factor of a body",
        place,
        body,
        lambda f=fineness: body_form_factor(f),
        absolute(6e-6),
        "S. F. Hoerner, Fluid-Dynamic Drag (1965), ch. 6",
    )
    check(
        "form factor of a fuselage",
        place,
        fuselage,
        lambda f=fineness: fuselage_form_factor(f),
        absolute(6e-6),
        "USAF Stability and Control DATCOM, section 4.2.3.1",
    )

HOERNER = "S. F. Hoerner, J. Aeronaut. Sci. 17 (1950) 622"
for forebody, base in ((0.10, 0.09171), (0.15, 0.07488), (0.20, 0.06485), (0.30, 0.05295)):
    for ratio, share in ((1.0, 1.0), (0.5, 0.125)):
        check(
            "base drag",
            f"forebody {forebody:.2f}, base over body {ratio:g}",
            share * base,
            lambda f=forebody, r=ratio: base_drag_coefficient(f, r),
            absolute(6e-6),
            HOERNER,
        )

# ---------------------------------------------------------------- spheres and cylinders

CLIFT = "R. Clift, J. R. Grace, M. E. Weber, Bubbles, Drops, and Particles (1978), table 5.1"
MORRISON = "F. A. Morrison, An Introduction to Fluid Mechanics (2013), eq. 8.83"
# as many digits as are printed
for re, stokes, clift, morrison in (
    (0.1, 240.0, 247.40, 240.22),
    (1.0, 24.0, 27.600, 24.673),
    (10.0, None, 4.1512, 3.9676),
    (1e2, None, 1.0938, 1.0381),
    (1e3, None, 0.46615, 0.48376),
    (1e4, None, 0.41672, 0.39260),
    (1e5, None, 0.49175, 0.42571),
    (1e6, None, None, 0.12959),
):
    place, near = f"Re {re:g}", relative(6e-5)
    if stokes is not None:
        check(
            "sphere, creeping flow",
            place,
            stokes,
            lambda r=re: stokes_drag(r),
            near,
            "G. G. Stokes (1851)",
        )
    if clift is not None:
        check("sphere, Clift and Gauvin", place, clift, lambda r=re: sphere_drag(r), near, CLIFT)
    check(
        "sphere, Morrison",
        place,
        morrison,
        lambda r=re: sphere_drag_morrison(r),
        near,
        MORRISON,
    )

LIBRARY = "fluids library, fluids.drag"
for re in (2.0, 300.0, 5e4):
    check(
        "sphere, Clift and Gauvin, beside a library's constants for it",
        f"Re {re:g}",
        Clift_Gauvin(re),
        lambda r=re: sphere_drag(r),
        relative(0.06),  # what the authors claim for either set of constants
        LIBRARY,
        READ,
    )
    check(
        "sphere, Morrison, beside a library",
        f"Re {re:g}",
        Morrison(re),
        lambda r=re: sphere_drag_morrison(r),
        relative(0.01),
        LIBRARY,
        READ,
    )

MEASURED = "Measured drag of smooth spheres, ma.iup.edu/projects/CalcDEMma/drag/drag07.html"
for re, measured in (
    (0.1585, 169.8),
    (3.02, 10.86),
    (15.49, 3.388),
    (144.5, 0.9204),
    (512.9, 0.5623),
    (3162.0, 0.4074),
    (1.556e4, 0.4395),
    (1e5, 0.4624),
):
    check(
        "sphere, measured",
        f"Re {re:g}",
        measured,
        lambda r=re: sphere_drag(r),
        relative(0.10),
        MEASURED,
        READ,
    )

SUCKER = "D. Sucker and H. Brauer, Waerme- und Stoffuebertragung 8 (1975) 149"
for re, coefficient, source, standing in (
    (1.0, 10.0, SUCKER, READ),
    (1e2, 1.45, SUCKER, READ),
    (1e5, 1.2, SUCKER, READ),
    (10.0, 2.8, "Handbook table of circular cylinders", MEMORY),
    (1e3, 1.0, "Handbook table of circular cylinders", MEMORY),
    (1e4, 1.1, "Handbook table of circular cylinders", MEMORY),
):
    check(
        "cylinder across the flow",
        f"Re {re:g}",
        coefficient,
        lambda r=re: cylinder_drag(r),
        relative(0.15),
        source,
        standing,
    )
