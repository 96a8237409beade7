"""The standard atmosphere, altimetry and viscosity beside published tables and a library."""

from __future__ import annotations

from fluids.atmosphere import ATMOSPHERE_1976
from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.physics.altimetry import (
    altimeter_setting,
    layer_thickness,
    pressure_altitude,
    true_height,
    weather_service_altitude,
)
from loftwright.physics.atmosphere import (
    air_density_at,
    air_pressure_at,
    air_temperature_at,
    dynamic_viscosity,
    speed_of_sound,
)
from loftwright.physics.standard_atmosphere import (
    geopotential_height,
    moist_air_density,
    standard_density,
    standard_pressure,
    standard_temperature,
)

MODEL = "Standard atmosphere"
USSA = "U.S. Standard Atmosphere, 1976, NASA TM-X-74335, table I"
FOOT = 0.3048

# geopotential height m: T K, p Pa, rho kg/m3, a m/s
TABLE = {
    -500.0: (291.40, 107477.5, 1.28489, 342.208),
    0.0: (288.15, 101325.0, 1.225000, 340.294),
    100.0: (287.50, 100129.4, 1.213282, 339.910),
    200.0: (286.85, 98945.33, 1.201651, 339.526),
    500.0: (284.90, 95460.84, 1.167268, 338.370),
    1000.0: (281.65, 89874.57, 1.111642, 336.434),
    2000.0: (275.15, 79495.22, 1.006490, 332.529),
    5000.0: (255.65, 54019.91, 0.736115, 320.530),
    11000.0: (216.65, 22632.06, 0.363918, 295.070),
}


def check(quantity, inputs, expected, ours, tolerance, source=USSA, standing=COMPUTED):
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


for height, (temperature, pressure, density, sound) in TABLE.items():
    place = f"geopotential height {height:g} m"
    near = relative(1e-5)
    check("temperature, K", place, temperature, lambda h=height: standard_temperature(h), near)
    check(
        "pressure, Pa",
        place,
        pressure,
        lambda h=height: standard_pressure(h),
        near,
        standing=READ if height == 11000.0 else COMPUTED,
    )
    check("density, kg/m³", place, density, lambda h=height: standard_density(h), near)
    check(
        "speed of sound, m/s",
        place,
        sound,
        lambda h=height: speed_of_sound(standard_temperature(h)),
        near,
    )

for height, geopotential, pressure in (
    (1000.0, 999.843, 89876.3),
    (5000.0, 4996.070, 54048.3),
    (10000.0, 9984.293, 26499.9),
):
    place = f"geometric height {height:g} m"
    check(
        "geopotential height, m",
        place,
        geopotential,
        lambda h=height: geopotential_height(h),
        absolute(1e-3),
    )
    check(
        "pressure, Pa",
        place,
        pressure,
        lambda h=height: standard_pressure(geopotential_height(h)),
        absolute(0.1),
    )

check(
    "viscosity, Pa s",
    "288.15 K",
    1.78938e-5,
    lambda: dynamic_viscosity(288.15),
    absolute(1e-9),
)

for feet, hectopascal in ((-5000, 1210.23), (-1000, 1050.41), (-500, 1031.69), (-400, 1027.98)):
    check(
        "pressure, hPa",
        f"{feet} ft",
        hectopascal,
        lambda h=feet * FOOT: standard_pressure(h) / 100.0,
        absolute(0.01),
        source="Altitude and pressure conversion table, sensorsone.co.uk",
        standing=READ,
    )

NWS = "National Weather Service pressure altitude, test values of the MetPy library"
for hectopascal, printed, by_standard in (
    (975.2, 321.5, 321.664),
    (987.5, 216.5, 216.589),
    (956.0, 487.6, 487.850),
    (943.0, 601.7, 601.913),
):
    check(
        "pressure altitude, weather service's constants, m",
        f"{hectopascal} hPa",
        printed,
        lambda p=hectopascal: weather_service_altitude(100.0 * p),
        absolute(0.1),
        source=NWS,
        standing=READ,
    )
    check(
        "pressure altitude, m",
        f"{hectopascal} hPa",
        by_standard,
        lambda p=hectopascal: pressure_altitude(100.0 * p, 101325.0),
        absolute(1e-3),
        source="ISO 2533:1975, solved for height",
    )

for low, high, temperature, thickness in (
    (1013.25, 950.0, 288.15, 543.6575),
    (1000.0, 500.0, 273.15, 5542.0213),
    (1000.0, 500.0, 268.0, 5437.5314),
):
    check(
        "thickness of a layer, m",
        f"{low:g} to {high:g} hPa, {temperature} K",
        thickness,
        lambda a=low, b=high, t=temperature: layer_thickness(100 * a, 100 * b, t),
        absolute(0.01),
        source="Hypsometric equation, R 287.05307 J/(kg K)",
    )

for hectopascal, elevation in ((840.0, 1600.0), (1000.0, 30.0)):
    # The laboratory takes 288 K for 288.15 K: its reduction is 0.05 % larger than the standard's.
    check(
        "altimeter setting less station pressure, hPa",
        f"{hectopascal:g} hPa at {elevation:g} m",
        hectopascal * ((1 + 8.4229e-5 * elevation / hectopascal**0.19028) ** 5.2553 - 1),
        lambda p=hectopascal, h=elevation: altimeter_setting(100 * p, h) / 100.0 - p,
        relative(1e-3),
        source="Earth Observing Laboratory, UCAR, aeronautical pressure correction",
    )

check(
    "true height on a warm day, m",
    "100 m indicated, 303.15 K instead of 288.15 K",
    105.206,
    lambda: true_height(100.0, 303.15, 288.15),
    absolute(1e-3),
    source="Hypsometric equation as a ratio",
)

check(
    "density of moist air, kg/m³",
    "101325 Pa, 20 °C, 50 % humidity",
    1.1992,
    lambda: moist_air_density(101325.0, 293.15, 0.5),
    relative(1e-3),
    source="CIPM-2007 formula for the density of moist air, Metrologia 45 (2008) 149",
    standing=MEMORY,
)

LIBRARY = "fluids library, ATMOSPHERE_1976"
for height in (300.0, 1500.0):
    theirs = ATMOSPHERE_1976(height)
    place = f"geometric height {height:g} m"
    upward = geopotential_height(height)
    for name, expected, ours in (
        (
            "temperature by the kernel's law, K",
            theirs.T,
            lambda h=upward: air_temperature_at(h, 288.15),
        ),
        (
            "pressure by the kernel's law, Pa",
            theirs.P,
            lambda h=upward: air_pressure_at(h, 101325.0, 288.15),
        ),
        (
            "density by the kernel's law, kg/m³",
            theirs.rho,
            lambda h=upward: air_density_at(h, 1.225, 288.15),
        ),
        ("viscosity, Pa s", theirs.mu, lambda h=upward: dynamic_viscosity(standard_temperature(h))),
    ):
        check(name, place, expected, ours, relative(1e-5), source=LIBRARY, standing=READ)
