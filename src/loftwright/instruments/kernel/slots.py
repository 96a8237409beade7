"""Where each number of an instrument stands in the flat tables of ``sense``.

A table is one flat array: row after row, each row LANES cases wide. A name below is the offset of
its row, so ``p[PORT_FLOW + lane]`` is that case's number. Tables are single precision. Times are
seconds, zero at first motion and negative on the pad; a window runs from its FROM up to, but not
including, its UNTIL. A window that never comes begins at ``FAR``, one that always was at ``-FAR``.
"""

__all__: list[str] = []  # imported by name

LANES = 32
FAR = 1e30  # s; sooner or later than anything

# --- parameters: fixed for a case ----------------------------------------------------------------
PARAMETERS = 59
(
    # the samples
    FIRST_AT,  # s, of sample 0
    STEP,  # s, from one sample to the next, by true time
    STEP_MS,  # ms, by the controller's own clock, a whole number
    # the bay: see `sense._bay`
    PORT_FLOW,  # sqrt(Pa), K of the vents over one sample; 0 where they are blocked
    HEATING,  # Pa a sample that a closed bay gains by warming up
    LEAK_FROM, LEAK_UNTIL, LEAK,  # Pa a sample that gas leaking into the bay adds to a closed one
    GUST_FROM, GUST_UNTIL, GUST,  # Pa on the outside of the vents
    # the barometer
    WARM_UNTIL, DRIFT,  # s; Pa a second while it warms up
    NOISE, BURST_FROM, BURST_UNTIL, BURST,  # Pa; a factor on noise
    JITTER,  # samples
    SHARE,  # of the last reading that a new value moves the sensor's own filter; 1 without one
    EVERY,  # s between new values; at most STEP: one each sample
    DROP_ABOVE, REPEAT_ABOVE,  # normal deviate above which a sample is lost, or the last repeated
    FREEZE_FROM, FREEZE_UNTIL,  # no new values
    FAIL_FROM, FAIL_UNTIL, FAIL_READS,  # reads this, Pa; not-a-number reads nothing
    LEAST, MOST, UNDER, OVER,  # Pa, range, and what it reads outside of it
    RESOLUTION, FINENESS,  # Pa, steps a pascal
    # the accelerometer
    PUSH_BIAS, PUSH_NOISE, PUSH_RANGE,  # m/s2
    PUSH_FREEZE_FROM, PUSH_FREEZE_UNTIL,
    PUSH_FAIL_FROM, PUSH_FAIL_UNTIL, PUSH_FAIL_READS,
    BUMP_FROM, BUMP_UNTIL, BUMP,  # m/s2, somebody handles the vehicle
    # the line
    LINE_OPENS, LINE_CLOSES,  # open in between
    # the supply
    VOLTAGE, RESISTANCE, OWN_DRAW,  # V, ohm, A of all controllers on this battery
    FLAT_FROM, FLAT_VOLTAGE,  # s; V without load from then on
    BROWNOUT, START_UP,  # V, s
    OPENS_AT, OPEN_FOR,  # m/s2 at which a connector opens; s until it has closed again
    OPEN_FROM, OPEN_UNTIL,  # a connector is open
    RESET_FROM, RESET_UNTIL,  # the controller is held in reset
) = (LANES * i for i in range(PARAMETERS))  # fmt: skip

# --- memory: from one sample to the next ---------------------------------------------------------
MEMORIES = 38
NOT_FAILING = -FAR  # in place of what a sensor reads that fails
(
    LAST_PORT,  # Pa
    EXCESS,  # Pa, bay above port
    LAST_BAY,  # Pa
    FILTERED,  # Pa, the sensor's own filter
    HELD,  # Pa, last value that the sensor gave
    AGE,  # s since its last value was due
    HELD_PUSH,  # m/s2
    LAST_DRAW,  # A, of actuators when power was last looked into
    OPEN_AGAIN,  # s, until when a shaken connector stays open
    READY_AT,  # s, when a controller that has power runs
    WAS_CUT,  # 1, 0: whether power was cut by anything but shaking
    WAS_ALIVE,  # 1, 0
    ZERO_SAMPLE,  # number of the sample at which its clock began
    # which windows are open: 1, 0
    GUSTS, LEAKS, BURSTS, FREEZES, FAILS, PUSH_FREEZES, PUSH_FAILS, BUMPS, OPENS, RESETS, LINE_OPEN,
    # what is in force until the next edge of a window: see `in_force`
    SINCE,  # s, since when
    NEXT_EDGE,  # s
    GUST_NOW,  # Pa
    GAINED,  # Pa a sample, of a closed bay
    WARMTH,  # Pa, by which warming up has moved the barometer; while it does, of each sample
    LOUD,  # Pa, of noise
    FRESH,  # 1, 0: the sensor takes a new value; where it is slow, of each sample
    READS,  # Pa, of a barometer that fails, or NOT_FAILING
    BUMP_NOW,  # m/s2
    PUSH_READS,  # m/s2, of an accelerometer that fails, or NOT_FAILING
    SOURCE,  # V without load
    CUT,  # 1, 0: power is cut, whatever shakes or draws
    RESTART_NOW,  # 1, 0
) = (LANES * i for i in range(MEMORIES - 1))  # fmt: skip
# The last row holds what goes for all lanes together.
(
    BEGUN,  # 0 before the first sample
    EDGE_SAMPLE,  # number of the sample in which some window may open or close next
    WARMING,  # 1 while some barometer warms up
    SLOW,  # 1 where some sensor has not a new value for every sample
    SETTLED,  # 1 while every controller either runs or is cut, and goes on like that
) = (LANES * (MEMORIES - 1) + i for i in range(5))

# --- noise: standard normals of one sample, one row a kind ---------------------------------------
NOISE_ROWS = 3
NOISE_PRESSURE, NOISE_PUSH, NOISE_LUCK = (LANES * i for i in range(NOISE_ROWS))
