"""Vessels, canopies, energies and distances beside codes, rules and handbooks."""

from __future__ import annotations

from functools import cache

from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative
from scipy.integrate import solve_ivp

from loftwright.physics.ballistics import terminal_speed_of
from loftwright.physics.canopy import (
    ballistic_parameter,
    canopy_drag_area,
    filled_fraction,
    filling_time,
    opening_factor_linear,
    opening_factor_quadratic,
)
from loftwright.physics.hazard import (
    FATAL_ENERGY,
    LIGHT_INJURY_ENERGY,
    POUND_PER_SQUARE_INCH,
    SERIOUS_INJURY_ENERGY,
    bystander_distance,
    kinetic_energy,
    pad_distance,
    speed_at_energy,
)
from loftwright.physics.stored_energy import (
    availability,
    blast_distance,
    code_distance,
    expansion_energy,
    linear_energy,
    tnt_mass,
)
from loftwright.physics.vessel import (
    allowable_stress,
    axial_stress,
    burst_derived_pressure,
    hoop_stress,
    hoop_stress_thick,
    hydrostatic_test_pressure,
    hydrostatic_test_pressure_europe,
    pneumatic_test_pressure,
    von_mises_stress,
)

VESSEL, CANOPY, HAZARD = "Pressure vessel", "Canopy", "Energies and distances"


def check(model, quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model=model,
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- stress

TIMOSHENKO = "Thin-walled and Lamé cylinders, S. Timoshenko, Strength of Materials"
for bar, radius, wall, hoop, axial, mises, thick, mean in (
    (5, 54.0, 0.30, 90.000, 45.000, 77.942, 90.251, 90.250),
    (8, 54.0, 0.30, 144.000, 72.000, 124.708, 144.401, 144.400),
    (8, 45.0, 0.25, 144.000, 72.000, 124.708, 144.401, 144.400),
    (12, 32.5, 0.30, 130.000, 65.000, 112.583, 130.603, 130.600),
):
    inputs = f"{bar} bar gauge, inner radius {radius} mm, wall {wall:.2f} mm"
    case = (1e5 * bar, 1e-3 * radius, 1e-3 * wall)
    halfway = (1e5 * bar, 1e-3 * (radius + wall / 2), 1e-3 * wall)
    for name, expected, ours in (
        ("hoop stress, MPa", hoop, lambda c=case: hoop_stress(*c) / 1e6),
        ("axial stress, MPa", axial, lambda c=case: axial_stress(*c) / 1e6),
        (
            "von Mises stress, MPa",
            mises,
            lambda c=case: von_mises_stress(hoop_stress(*c), axial_stress(*c)) / 1e6,
        ),
        (
            "hoop stress at the inner surface, MPa",
            thick,
            lambda c=case: hoop_stress_thick(*c) / 1e6,
        ),
        ("hoop stress on the mean radius, MPa", mean, lambda c=halfway: hoop_stress(*c) / 1e6),
    ):
        check(VESSEL, name, inputs, expected, ours, absolute(6e-4), TIMOSHENKO)

# ---------------------------------------------------------------- proof factors

EXACT = relative(1e-12)
for name, inputs, expected, ours, source, standing in (
    (
        "water test over working pressure",
        "stress ratio 1",
        1.3,
        lambda: hydrostatic_test_pressure(1.0, 1.0),
        "ASME BPVC section VIII division 1, UG-99(b)",
        READ,
    ),
    (
        "gas test over working pressure",
        "stress ratio 1",
        1.1,
        lambda: pneumatic_test_pressure(1.0, 1.0),
        "ASME BPVC section VIII division 1, UG-100",
        READ,
    ),
    (
        "working pressure over burst pressure of a sister",
        "strengths alike, no joint",
        0.25,
        lambda: burst_derived_pressure(1.0, 1.0, 1.0, 1.0),
        "ASME BPVC section VIII division 1, UG-101",
        READ,
    ),
    (
        "allowable stress, MPa",
        "ultimate 350 MPa, yield 300 MPa",
        100.0,
        lambda: allowable_stress(350.0, 300.0),
        "ASME BPVC section II part D",
        READ,
    ),
    (
        "allowable stress, MPa",
        "ultimate 350 MPa, yield 120 MPa",
        80.0,
        lambda: allowable_stress(350.0, 120.0),
        "ASME BPVC section II part D",
        READ,
    ),
    (
        "water test over working pressure, Europe",
        "load correction 1",
        1.43,
        lambda: hydrostatic_test_pressure_europe(1.0, 1.0),
        "Directive 2014/68/EU, annex I, 7.4",
        MEMORY,
    ),
    (
        "water test over working pressure, Europe",
        "load correction 1.2",
        1.5,
        lambda: hydrostatic_test_pressure_europe(1.0, 1.2),
        "Directive 2014/68/EU, annex I, 7.4",
        MEMORY,
    ),
):
    check(VESSEL, name, inputs, expected, ours, EXACT, source, standing)

# ---------------------------------------------------------------- stored energy

PCC2 = "ASME PCC-2, article 501, appendices II and III"
for litres, bar, energy, tnt, distance, heat, work in (
    (2, 5, 1200.644, 0.000281384, 1.651, 2500.00, 1143.74),
    (2, 8, 2095.764, 0.000491165, 1.988, 4000.00, 2343.47),
    (1.3, 5, 780.418, 0.0001829, 1.430, 1625.00, 743.43),
    (10, 10, 13625.087, 0.00319319, 3.711, 25000.00, 16301.28),
    (200, 10, 272501.749, 0.0638638, 10.072, 500000.00, 326025.57),
):
    inputs = f"{litres:g} L, {bar} bar gauge, outside 101 kPa"
    state = (1e5 * bar + 101e3, 1e-3 * litres)
    for name, expected, ours, tolerance in (
        ("energy of expansion, J", energy, lambda s=state: expansion_energy(*s), relative(1e-6)),
        (
            "equivalent TNT, kg",
            tnt,
            lambda s=state: tnt_mass(expansion_energy(*s)),
            relative(1e-5),
        ),
        (
            "blast distance, m",
            distance,
            lambda s=state: blast_distance(expansion_energy(*s)),
            absolute(6e-4),
        ),
        (
            "distance with the floor, m",
            30.0,
            lambda s=state: code_distance(expansion_energy(*s)),
            absolute(1e-9),
        ),
        (
            "heat that raises the pressure, J",
            heat,
            lambda b=bar, v=litres: linear_energy(1e5 * b, 1e-3 * v, 1.4),
            absolute(6e-3),
        ),
        (
            "isothermal availability, J",
            work,
            lambda s=state: availability(s[0], 101e3, s[1]),
            absolute(6e-3),
        ),
    ):
        check(HAZARD, name, inputs, expected, ours, tolerance, PCC2)
check(
    HAZARD,
    "distance with the floor, m",
    "200 MJ",
    max(60.0, 20.0 * (2.0 * 200e6 / 4266920.0) ** (1 / 3)),
    lambda: code_distance(200e6),
    relative(1e-9),
    PCC2,
)

# ---------------------------------------------------------------- canopy

KNACKE = "T. W. Knacke, NWC TP 6575 (1991), ch. 5"
NEAR = relative(1e-5)
for mass, diameter, coefficient, density, area, speed, energy in (
    (0.35, 0.60, 0.75, 1.225, 0.212058, 5.140608, 4.6245),
    (0.35, 0.90, 0.75, 1.225, 0.477129, 3.427072, 2.0553),
    (0.15, 0.45, 0.80, 1.112, 0.127235, 4.560013, 1.5595),
):
    inputs = f"{mass} kg, canopy {diameter:.2f} m, C_D0 {coefficient:.2f}, {density} kg/m³"
    case = (mass, density, canopy_drag_area(diameter, coefficient))
    for name, expected, ours, tolerance in (
        ("drag area, m²", area, lambda c=case: c[2], NEAR),
        ("rate of descent, m/s", speed, lambda c=case: terminal_speed_of(*c), NEAR),
        (
            "energy at the ground, J",
            energy,
            lambda c=case: kinetic_energy(c[0], terminal_speed_of(*c)),
            absolute(5.1e-5),  # half of the last digit given
        ),
    ):
        check(CANOPY, name, inputs, expected, ours, tolerance, KNACKE)

FOOT, POUND, SLUG_PER_FT3 = 0.3048, 0.45359237, 515.378818
for coefficient, feet in ((0.75, 112.829), (0.85, 105.984)):
    check(
        CANOPY,
        "rate of descent, ft/s",
        f"4800 lb, canopy {feet} ft, C_D0 {coefficient}, 5000 ft standard day",
        25.0,
        lambda c=coefficient, d=feet: (
            terminal_speed_of(
                4800 * POUND, 0.00204834 * SLUG_PER_FT3, canopy_drag_area(d * FOOT, c)
            )
            / FOOT
        ),
        NEAR,
        "Drone recovery example, aerodecelerator.org wiki (start data read)",
    )

PFLANZ = "Pflanz's method as in T. W. Knacke, NWC TP 6575 (1991), section 5.4; maximum re-derived"
PARAMETERS = (0.02, 0.05, 0.1, 0.2, 0.5, 1, 1.5, 2, 5, 10, 100)
LINEAR = (
    *(0.06495, 0.10270, 0.14524, 0.20540, 0.32476, 0.45928),
    *(0.56250, 0.64000, 0.82645, 0.90703, 0.99007),
)
QUADRATIC = (
    *(0.04291, 0.07904, 0.12547, 0.19917, 0.36688, 0.56250),
    *(0.66942, 0.73469, 0.87891, 0.93652, 0.99337),
)
for parameter, linear, quadratic in zip(PARAMETERS, LINEAR, QUADRATIC, strict=True):
    inputs = f"ballistic parameter {parameter:g}"
    check(
        CANOPY,
        "opening factor, area growing linearly",
        inputs,
        linear,
        lambda a=parameter: opening_factor_linear(a),
        absolute(6e-6),
        PFLANZ,
    )
    check(
        CANOPY,
        "opening factor, area growing quadratically",
        inputs,
        quadratic,
        lambda a=parameter: opening_factor_quadratic(a),
        absolute(6e-6),
        PFLANZ,
    )


@cache
def filling_peak(parameter):
    """Largest drag over full steady drag while `filled_fraction` grows, gravity left out."""

    def slowing(t, v):
        return [-filled_fraction(t, 1.0) * v[0] ** 2 / parameter]

    # Velocity in units of the first one, time of the filling time: dv/dt = -f v² / A.
    run = solve_ivp(slowing, (0, 1), [1.0], rtol=1e-10, atol=1e-12, dense_output=True)
    return max(filled_fraction(t / 1e4, 1.0) * run.sol(t / 1e4)[0] ** 2 for t in range(10001))


for parameter, quadratic in ((0.2, 0.19917), (2.0, 0.73469)):
    check(
        CANOPY,
        "largest drag while filling, kernel's law integrated",
        f"ballistic parameter {parameter:g}",
        quadratic,
        lambda a=parameter: filling_peak(a),
        absolute(1e-5),
        PFLANZ,
    )

LOAD = "0.35 kg, canopy 0.60 m, C_D0 0.75, 15 m/s, filling constant 8, 1.225 kg/m³"
AREA = canopy_drag_area(0.60, 0.75)
STEADY = 0.5 * 1.225 * 15.0**2 * AREA


def load_parameter() -> float:
    return ballistic_parameter(0.35, 1.225, AREA, 15.0, filling_time(8.0, 0.60, 15.0))


for name, expected, ours in (
    ("filling time, s", 0.3200, lambda: filling_time(8.0, 0.60, 15.0)),
    ("ballistic parameter", 0.561393, load_parameter),
    ("steady force at line stretch, N", 29.22417, lambda: STEADY),
    ("opening force, infinite mass, N", 49.6811, lambda: 1.7 * STEADY),
    (
        "opening force, linear growth, N",
        10.0566,
        lambda: opening_factor_linear(load_parameter()) * STEADY,
    ),
    (
        "opening force, quadratic growth, N",
        11.5824,
        lambda: opening_factor_quadratic(load_parameter()) * STEADY,
    ),
):
    check(CANOPY, name, LOAD, expected, ours, NEAR, PFLANZ)

# ---------------------------------------------------------------- thresholds and distances

LIMITS = (
    ("11 ft-lbf", LIGHT_INJURY_ENERGY, 14.9140, "14 CFR 107.120", READ),
    ("25 ft-lbf", SERIOUS_INJURY_ENERGY, 33.8954, "14 CFR 107.130", READ),
    ("58 ft-lbf", FATAL_ENERGY, 78.6374, "RCC 321 and 323", MEMORY),
)
for name, ours, expected, source, standing in LIMITS:
    check(
        HAZARD, "threshold, J", name, expected, lambda e=ours: e, absolute(6e-5), source, standing
    )

for mass, *speeds in (
    (0.05, 24.425, 36.821, 56.085),
    (0.10, 17.271, 26.037, 39.658),
    (0.15, 14.102, 21.259, 32.381),
    (0.25, 10.923, 16.467, 25.082),
    (0.35, 9.232, 13.917, 21.198),
    (0.50, 7.724, 11.644, 17.736),
):
    for (name, limit, *_), expected in zip(LIMITS, speeds, strict=True):
        check(
            HAZARD,
            f"speed that reaches {name}, m/s",
            f"{mass:.2f} kg",
            expected,
            lambda m=mass, e=limit: speed_at_energy(m, e),
            absolute(6e-4),
            "Kinetic energy",
        )

for height, distance in ((100, 457.2), (300, 457.2), (1828.8, 457.2), (3000, 750.0)):
    check(
        HAZARD,
        "distance of persons not associated, m",
        f"expected height {height:g} m",
        distance,
        lambda h=height: bystander_distance(h),
        absolute(1e-9),
        "14 CFR 101.25(g)",
        READ,
    )
PAGE = "NASA Glenn Research Center, water rocket safety page"
for psi, distance in ((20, 26.0), (40, 51.0), (60, 77.0), (80, 102.0)):
    check(
        HAZARD,
        "distance of spectators, m",
        f"{psi} psi",
        distance,
        lambda p=psi: pad_distance(p * POUND_PER_SQUARE_INCH),
        absolute(1e-6),
        PAGE,
        READ,
    )
check(
    HAZARD,
    "distance of spectators, m",
    "50 psi, between the points",
    64.0,
    lambda: pad_distance(50 * POUND_PER_SQUARE_INCH),
    absolute(1.0),
    PAGE,
)
