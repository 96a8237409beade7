"""Where each number stands in the kernel's flat tables.

A table is one flat array: row after row, each row LANES flights wide. A name below is the offset
of its row, so ``p[DRY_MASS + lane]`` is that flight's number. Sixteen lanes is what compilers turn
into vector instructions; four or eight they unroll instead (measured; see docs, "Speed").
"""

__all__: list[str] = []  # imported by name

LANES = 16

# --- state ------------------------------------------------------------------------------------
(
    EAST,
    NORTH,
    UP,  # m, from the pad
    V_EAST,
    V_NORTH,
    V_UP,  # m/s
    Q0,
    Q1,
    Q2,
    Q3,  # attitude, body to ground, scalar first
    ROLL_RATE,
    PITCH_RATE,
    YAW_RATE,  # rad/s, body axes x forward, y, z
    WATER,  # kg
    GAS,  # kg, dry part of the gas inside
    GAS_TEMPERATURE,  # K
    IMPULSE,  # N s, thrust integrated
) = (LANES * i for i in range(17))
STATES = 17
SIZE = STATES * LANES  # of a table of states, and of one stage's rates

# Size of each state that its absolute tolerance refers to.
TYPICAL = (
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    1.0,
    0.1,
    0.01,
    100.0,
    1.0,
)

# --- parameters: fixed for a flight -------------------------------------------------------------
PARAMETER_COUNT = 176
(
    # air, wind, ground
    GRAVITY,  # m/s2
    PAD_PRESSURE,  # Pa
    PAD_TEMPERATURE,  # K
    PAD_DENSITY,  # kg/m3
    VISCOSITY,  # Pa s
    WIND_EAST, WIND_NORTH,  # m/s per unit of ln(height/roughness), where the air goes to
    ROUGHNESS,  # m
    # gusts: five rows a wave, read together in this order; level waves in pairs, see flight.gusts
    GUST_0_EAST, GUST_0_NORTH, GUST_0_UP, GUST_0_RATE, GUST_0_PHASE,  # rad/m, rad/s, rad
    GUST_1_EAST, GUST_1_NORTH, GUST_1_UP, GUST_1_RATE, GUST_1_PHASE,
    GUST_2_EAST, GUST_2_NORTH, GUST_2_UP, GUST_2_RATE, GUST_2_PHASE,
    GUST_3_EAST, GUST_3_NORTH, GUST_3_UP, GUST_3_RATE, GUST_3_PHASE,
    GUST_4_EAST, GUST_4_NORTH, GUST_4_UP, GUST_4_RATE, GUST_4_PHASE,
    GUST_5_EAST, GUST_5_NORTH, GUST_5_UP, GUST_5_RATE, GUST_5_PHASE,
    GUST_6_EAST, GUST_6_NORTH, GUST_6_UP, GUST_6_RATE, GUST_6_PHASE,
    GUST_7_EAST, GUST_7_NORTH, GUST_7_UP, GUST_7_RATE, GUST_7_PHASE,
    GUST_8_EAST, GUST_8_NORTH, GUST_8_UP, GUST_8_RATE, GUST_8_PHASE,
    GUST_9_EAST, GUST_9_NORTH, GUST_9_UP, GUST_9_RATE, GUST_9_PHASE,
    GUST_10_EAST, GUST_10_NORTH, GUST_10_UP, GUST_10_RATE, GUST_10_PHASE,
    GUST_11_EAST, GUST_11_NORTH, GUST_11_UP, GUST_11_RATE, GUST_11_PHASE,
    GUST_ALONG_0, GUST_ALONG_1, GUST_ALONG_2, GUST_ALONG_3,  # m/s
    GUST_ACROSS_0, GUST_ACROSS_1, GUST_ACROSS_2, GUST_ACROSS_3,  # m/s
    GUST_UPRIGHT,  # m/s
    # pad
    AXIS_EAST, AXIS_NORTH, AXIS_UP,  # unit vector along the guide
    GUIDE_LENGTH,  # m
    HELD,  # 1 on the test stand
    # mass
    DRY_MASS, DRY_BALANCE, DRY_ACROSS, DRY_ALONG,  # kg, m from nose, kg m2
    COLUMN_AREA, COLUMN_AFT, NOZZLE,  # m2, m, m
    PAYLOAD_MASS, PAYLOAD_FROM_NOSE, PAYLOAD_Y, PAYLOAD_Z,
    PAYLOAD_ACROSS, PAYLOAD_ALONG,  # kg, m; body axes from the axis
    # boost
    VESSEL_VOLUME, WATER_DENSITY, GAS_CONSTANT,
    THROAT_AREA, FLOW_COEFFICIENT, VELOCITY_COEFFICIENT,
    MOIST,  # 1: saturated air that condenses; 0: fixed exponent
    EXPONENT,  # of p V^n, when not moist
    BREAKTHROUGH,  # kg of water left when air breaks through
    DRY,  # 1 when no water was filled in
    TUBE_AREA, TUBE_LENGTH,
    # aerodynamics, areas in m2 (coefficient times reference area), places in m from nose
    NOSE_SLOPE, NOSE_CENTRE, TAIL_SLOPE, TAIL_CENTRE, FIN_SLOPE, FIN_CENTRE,
    CROSS_AREA, CROSS_CENTRE, CROSS_DAMPING,  # m2, m, m5
    ROLL_FORCING, ROLL_DAMPING,  # m3, m4
    BODY_LENGTH, BODY_FRICTION, FIN_CHORD, FIN_FRICTION, PRESSURE_DRAG,
    BASE_DIAMETER, REFERENCE_AREA, SURFACE_ROUGHNESS,
    MEASURED_DRAG, PAYLOAD_DRAG,
    # release and canopy: what triggers them (see events), when, how
    RELEASE_KIND, RELEASE_CLIMB, RELEASE_TIME, RELEASE_DELAY, TOSS_SPEED,
    CANOPY_KIND, CANOPY_CLIMB, CANOPY_TIME, CANOPY_DELAY,
    CANOPY_DRAG, CANOPY_DIAMETER, FILLING_CONSTANT,
    # payload alone
    LIFT_AREA, DRAG_AREA,
    # --- memory: changes at events ---
    ON_GUIDE,  # 1 while guided
    ATTACHED,  # 1 while the payload is on
    RELEASE_AT, CANOPY_AT,  # s, infinite until triggered
    CANOPY_OPENED, CANOPY_FILLING,  # s, s
    APOGEE_SEEN,
    SPAN_EAST, SPAN_NORTH,  # direction of the payload's span, level
    TOP_SPEED, TOP_ACCELERATION, TOP_THRUST, TOP_LOAD, TOP_HOLD,  # largest met so far, SI
    STEPS_TAKEN, STEPS_REFUSED,
    # --- worked out anew for every set of rates, and shared by the loops that make them up ---
    FLOW_EAST, FLOW_NORTH, FLOW_UP, DENSITY,  # m/s through the air, kg/m3
    MASS, BALANCE, ACROSS, ALONG, SIDE_Y, SIDE_Z,  # kg, m from nose, kg m2, kg m2, m, m
    FORCE_X, FORCE_Y, FORCE_Z, MOMENT_X, MOMENT_Y, MOMENT_Z,  # N, N m, body axes
    THRUST, DAMPING,  # N, N m s
) = (LANES * i for i in range(PARAMETER_COUNT))  # fmt: skip

# --- phases of a flight, in the order they can follow each other -------------------------------
TUBE_PHASE, WATER_PHASE, AIR_PHASE, COAST_PHASE, CANOPY_PHASE, PAYLOAD_PHASE, ENDED = range(7)

# How many leading rows of the state a phase moves: all; a rigid body; a point.
ROWS = (17, 17, 17, 13, 6, 6, 0)

# --- what triggers a release or a canopy --------------------------------------------------------
NEVER, BY_CLIMB, BY_APOGEE, BY_TIME = (0.0, 1.0, 2.0, 3.0)

# --- figures of one flight, a row of the results table ------------------------------------------
(
    TUBE_CLEAR_TIME,
    GUIDE_EXIT_TIME, GUIDE_EXIT_SPEED,
    WATER_OUT_TIME, WATER_OUT_PRESSURE, WATER_OUT_TEMPERATURE,
    AIR_OUT_TIME, BURNOUT_SPEED, BURNOUT_LEAN, WATER_LEFT,
    APOGEE_TIME, APOGEE_HEIGHT,
    RELEASED_TIME, RELEASED_HEIGHT, RELEASED_CLIMB, RELEASED_SPEED,
    OPENED_TIME, OPENED_HEIGHT, OPENED_SPEED, CANOPY_LOAD,
    MAX_SPEED, MAX_ACCELERATION, PEAK_THRUST, TOTAL_IMPULSE, HOLD_LOAD,
    VEHICLE_DOWN_TIME, VEHICLE_DOWN_EAST, VEHICLE_DOWN_NORTH, VEHICLE_DOWN_SPEED,
    VEHICLE_DOWN_MASS,
    PAYLOAD_DOWN_TIME, PAYLOAD_DOWN_EAST, PAYLOAD_DOWN_NORTH, PAYLOAD_DOWN_SPEED,
    OUTCOME, STEPS, REJECTED,
) = range(37)  # fmt: skip
FIGURE_COUNT = 37

# --- outcomes ------------------------------------------------------------------------------------
LANDED, STAYED, FIRED, OUT_OF_TIME, LOST = range(5)

# --- columns of a recorded sample ---------------------------------------------------------------
RECORD_TIME, RECORD_PHASE, RECORD_STATE = 0, 1, 2  # then the 17 states
RECORD_ACCELERATION, RECORD_THRUST, RECORD_PRESSURE = 19, 22, 23  # 3, 1 and 1 columns
RECORD_COLUMNS = 24
