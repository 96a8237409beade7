"""The water phase of a bottle held still or flying free, beside the quasi-steady closed form.

Our law gives the jet's speed; SciPy integrates it over the volume of the air, since
dt = dV / (C_d A v) and dI = C_v rho v dV need no stepping in time.
"""

from __future__ import annotations

from functools import cache
from math import exp, log, pi

from outside import COMPUTED, OutsideCheck, absolute, register, relative
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from loftwright.physics.water_jet import water_jet_speed, water_thrust_per_speed_squared

SOURCE = "Quasi-steady Bernoulli, G. A. Finney, Am. J. Phys. 68 (2000) 223"
RHO, AMBIENT = 1000.0, 101325.0
BOTTLE, WATER, GAUGE, THROAT = 2.0e-3, 0.7e-3, 5e5, pi / 4 * 21.5e-3**2


CLOSE = relative(5e-4)


def check(quantity, inputs, expected, ours, tolerance=CLOSE):
    register(
        OutsideCheck(
            model="Water jet",
            quantity=quantity,
            source=SOURCE,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=COMPUTED,
        )
    )


@cache
def fired(exponent, *, water=WATER, gauge=GAUGE, throat=THROAT, flow=1.0, area_ratio=0.0):
    """Fire a held bottle: speed and thrust at first, what is left at last, time and impulse."""
    air = BOTTLE - water

    def pressure(volume):
        return (gauge + AMBIENT) * (air / volume) ** exponent

    def speed(volume):
        return water_jet_speed(pressure(volume) - AMBIENT, RHO, area_ratio, 0.0)

    per_square = water_thrust_per_speed_squared(RHO, throat, flow, 1.0)
    last = min(BOTTLE, air * exp(log(1.0 + gauge / AMBIENT) / exponent))

    # Near the outside pressure the speed goes to zero with the root of what is left: the variable
    # u with V = last - (last - air) (1 - u)^2 takes the root away.
    def rates(u, _):
        volume = last - (last - air) * (1.0 - u) ** 2
        stretch = 2.0 * (last - air) * (1.0 - u)
        v = speed(volume)
        time = stretch / (flow * throat * v) if v > 0 else 0.0
        return time, time * per_square * v * v

    run = solve_ivp(rates, (0.0, 1.0 - 1e-9), (0.0, 0.0), rtol=1e-9, atol=1e-12)
    return {
        "first speed": speed(air),
        "first thrust": per_square * speed(air) ** 2,
        "last pressure": pressure(last),
        "last thrust": per_square * speed(last) ** 2,
        "time": run.y[0, -1],
        "impulse": run.y[1, -1],
        "volume": last - air,
    }


def gained_speed(exponent, dry_mass, water=WATER, gauge=GAUGE):
    """Speed that a free rocket gains: no drag, no gravity, no head of water."""
    air = BOTTLE - water

    def rate(volume, _):
        over = (gauge + AMBIENT) * (air / volume) ** exponent - AMBIENT
        v = water_jet_speed(over, RHO, 0.0, 0.0)
        thrust = water_thrust_per_speed_squared(RHO, THROAT, 1.0, 1.0) * v * v
        mass = dry_mass + RHO * (BOTTLE - volume)
        return [thrust / mass / (THROAT * v) if v > 0 else 0.0]

    return solve_ivp(rate, (air, BOTTLE), [0.0], rtol=1e-10, atol=1e-12).y[0, -1]


BASE = "2.0 L, 0.7 L water, 5 bar gauge, 21.5 mm"
QUANTITIES = (
    ("first speed of the jet, m/s", "first speed"),
    ("first thrust, N", "first thrust"),
    ("pressure at water out, Pa", "last pressure"),
    ("thrust at water out, N", "last thrust"),
    ("time of water out, s", "time"),
    ("impulse of the water, N s", "impulse"),
)
for exponent, *values, gain in (
    (1.00, 31.6228, 363.050, 390861.2, 210.232, 0.070614, 19.23168, 45.9237),
    (1.10, 31.6228, 363.050, 374381.1, 198.266, 0.071733, 18.95804, 45.0887),
    (1.25, 31.6228, 363.050, 350954.6, 181.256, 0.073476, 18.55263, 43.8534),
    (1.40, 31.6228, 363.050, 328994.0, 165.311, 0.075305, 18.15303, 42.6377),
):
    inputs = f"{BASE}, exponent {exponent:.2f}"
    for (quantity, key), expected in zip(QUANTITIES, values, strict=True):
        check(quantity, inputs, expected, lambda n=exponent, k=key: fired(n)[k])
    check(
        "speed gained by a free rocket of 0.15 kg, m/s",
        inputs,
        gain,
        lambda n=exponent: gained_speed(n, 0.15),
    )

for variant, options, expectations in (
    (
        "nozzle 9 mm",
        {"throat": pi / 4 * 9e-3**2},
        {"first thrust": 63.6173, "last thrust": 28.9674, "time": 0.429747, "impulse": 18.15303},
    ),
    (
        "flow coefficient 0.95",
        {"flow": 0.95},
        {"first thrust": 344.898, "time": 0.079268, "impulse": 18.15303},
    ),
    (
        "approach velocity in 108 mm",
        {"area_ratio": (21.5 / 108.0) ** 2},
        {"first speed": 31.6476, "first thrust": 363.621},
    ),
    (
        "1.6 L water, 1.5 bar gauge (overfilled)",
        {"water": 1.6e-3, "gauge": 1.5e5},
        {"volume": 0.365349e-3, "last pressure": 101325.0, "impulse": 3.53320},
    ),
):
    for key, expected in expectations.items():
        chosen = tuple(options.items())
        names = {k: q for q, k in QUANTITIES} | {"volume": "water expelled, m³"}
        check(
            names[key],
            f"{BASE}, exponent 1.40, but {variant}",
            expected,
            lambda o=chosen, k=key: fired(1.4, **dict(o))[k],
        )

for mass, product in ((10.0, 17.5072), (100.0, 18.0857), (1000.0, 18.1463)):
    check(
        "mass times speed gained, N s (nears the impulse held still)",
        f"{BASE}, exponent 1.40, dry mass {mass:g} kg",
        product,
        lambda m=mass: m * gained_speed(1.4, m),
    )

check(
    "first thrust as twice the throat times gauge pressure, N",
    BASE,
    2.0 * 3.63050e-4 * 5e5,
    lambda: fired(1.4)["first thrust"],
)


@cache
def best_fill(bar, dry_mass):
    best = minimize_scalar(
        lambda share: -gained_speed(1.4, dry_mass, share * BOTTLE, bar * 1e5),
        bounds=(0.2, 0.6),
        method="bounded",
        options={"xatol": 1e-5},
    )
    return best.x, -best.fun


for bar, row in (
    (3, ((0.3351, 37.6650), (0.3586, 31.7536), (0.4000, 22.7043))),
    (5, ((0.3659, 50.6846), (0.3915, 42.9022), (0.4366, 30.9198))),
    (8, ((0.3863, 65.7314), (0.4131, 55.7722), (0.4606, 40.3852))),
):
    for dry_mass, (share, gain) in zip((0.10, 0.15, 0.30), row, strict=True):
        inputs = f"2 L, {bar} bar gauge, {dry_mass} kg dry, exponent 1.40, water phase only"
        case = (bar, dry_mass)
        check("best share of water", inputs, share, lambda c=case: best_fill(*c)[0], absolute(5e-4))
        check(
            "most speed gained, m/s", inputs, gain, lambda c=case: best_fill(*c)[1], absolute(0.01)
        )
