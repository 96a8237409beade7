"""The exponent of trapped moist air beside an independent integration."""

from __future__ import annotations

from outside import COMPUTED, OutsideCheck, absolute, register

from loftwright.physics.gas import moist_expansion_exponent, moist_mean_exponent

SOURCE = "Saturated adiabat with Buck (1981) vapour pressure, J. Appl. Meteorol. 20, 1527"

# absolute pressure kPa: (exponent at the start, mean to 1.7 volumes) at 10, 20, 30 degC
TABLE = {
    200: ((1.2703, 1.3276), (1.2328, 1.2793), (1.2024, 1.2276)),
    300: ((1.2987, 1.3508), (1.2620, 1.3149), (1.2287, 1.2677)),
    400: ((1.3169, 1.3629), (1.2826, 1.3348), (1.2489, 1.2948)),
    500: ((1.3296, 1.3702), (1.2978, 1.3472), (1.2648, 1.3133)),
    600: ((1.3389, 1.3751), (1.3095, 1.3558), (1.2777, 1.3265)),
    900: ((1.3562, 1.3833), (1.3327, 1.3702), (1.3048, 1.3498)),
}

for kilopascal, row in TABLE.items():
    for celsius, (start, mean) in zip((10, 20, 30), row, strict=True):
        state = (celsius + 273.15, 1000.0 * kilopascal)
        for quantity, expected, ours in (
            (
                "exponent at the start of expansion",
                start,
                lambda s=state: moist_expansion_exponent(*s),
            ),
            (
                "mean exponent to 1.7 volumes",
                mean,
                lambda s=state: moist_mean_exponent(*s, 1.7),
            ),
        ):
            register(
                OutsideCheck(
                    model="Trapped air",
                    quantity=quantity,
                    source=SOURCE,
                    inputs=f"{kilopascal} kPa absolute, {celsius} °C",
                    expected=expected,
                    ours=ours,
                    tolerance=absolute(0.003),
                    standing=COMPUTED,
                )
            )
