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
    # the same four of side boosters, each of them
    BOOSTER_WATER,
    BOOSTER_GAS,
    BOOSTER_GAS_TEMPERATURE,
    BOOSTER_IMPULSE,
) = (LANES * i for i in range(21))
STATES = 21
SIZE = STATES * LANES  # of a table of states, and of one stage's rates
# From a quantity of the vehicle's own gas and water to the same one of its boosters.
BOOSTER_STATE = BOOSTER_WATER - WATER

# Size of each state that its absolute tolerance refers to.
TYPICAL = (
    1.0, 1.0, 1.0,
    1.0, 1.0, 1.0,
    1.0, 1.0, 1.0, 1.0,
    1.0, 1.0, 1.0,
    0.1, 0.01, 100.0, 1.0,
    0.1, 0.01, 100.0, 1.0,
)  # fmt: skip
# A light wing damps a wrong turning rate within hundredths of a second, before it has turned it
# far: rates of a glider may err ten times as much (landings with and without: see docs, "Speed").
TYPICAL_GLIDING = (*TYPICAL[:10], 10.0, 10.0, 10.0)

# --- parameters: fixed for a flight -------------------------------------------------------------
COMMON_COUNT = 229
(
    # air, wind, ground
    GRAVITY,  # m/s2
    PAD_PRESSURE,  # Pa
    PAD_TEMPERATURE,  # K
    PAD_DENSITY,  # kg/m3
    VISCOSITY,  # Pa s
    WIND_EAST, WIND_NORTH,  # m/s per unit of ln(height/roughness), where the air goes to
    ROUGHNESS,  # m
    TREES_RAISED,  # m, what stands on the ground is taller by this than its shapes say
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
    # mass; of a body without water the whole of it
    DRY_MASS, DRY_BALANCE, DRY_ACROSS, DRY_ALONG,  # kg, m from nose, kg m2
    # boost
    GAS_CONSTANT, WATER_DENSITY,
    MOIST,  # 1: saturated air that condenses; 0: fixed exponent
    EXPONENT,  # of p V^n, when not moist
    TUBE_AREA, TUBE_LENGTH,
    # one set of vessels and nozzle ...
    COLUMN_AREA, COLUMN_AFT, NOZZLE,  # m2, m, m
    VESSEL_VOLUME, THROAT_AREA, FLOW_COEFFICIENT, VELOCITY_COEFFICIENT,
    BREAKTHROUGH,  # kg of water left when air breaks through
    DRY,  # 1 when no water was filled in
    # ... and that of each of its side boosters
    BOOSTER_COLUMN_AREA, BOOSTER_COLUMN_AFT, BOOSTER_NOZZLE,
    BOOSTER_VESSEL_VOLUME, BOOSTER_THROAT_AREA,
    BOOSTER_FLOW_COEFFICIENT, BOOSTER_VELOCITY_COEFFICIENT,
    BOOSTER_BREAKTHROUGH, BOOSTER_DRY,
    BOOSTER_COUNT, BOOSTER_OUT,  # how many; m from the axis
    # aerodynamics, areas in m2 (coefficient times reference area), places in m from nose
    NOSE_SLOPE, NOSE_CENTRE, TAIL_SLOPE, TAIL_CENTRE, FIN_SLOPE, FIN_CENTRE,
    CROSS_AREA, CROSS_CENTRE, CROSS_DAMPING,  # m2, m, m5
    ROLL_FORCING, ROLL_DAMPING,  # m3, m4
    BODY_LENGTH, BODY_FRICTION, FIN_CHORD, FIN_FRICTION, PRESSURE_DRAG,
    BODY_ROUGH, FIN_ROUGH,  # friction coefficient fully rough
    BASE_RATIO, REFERENCE_AREA,  # base over body diameter; m2
    MEASURED_DRAG,
    # canopy, and starting in the air: what triggers them (see events), when, how
    CANOPY_KIND, CANOPY_CLIMB, CANOPY_TIME, CANOPY_DELAY,
    CANOPY_DRAG, CANOPY_DIAMETER, FILLING_CONSTANT,
    START_CLIMB, START_TIME, START_DELAY,
    START_AFTER,  # 1 where the delay runs from its parting
    # a point on its polar
    LIFT_AREA, DRAG_AREA,
    # size of a carried body, and of what it leaves (see parting)
    REACH_FORE, REACH_AFT, REACH_SIDE, REACH_FOLDED, REACH_UP, UNFOLDING,  # m; s
    LEFT_RADIUS, LEFT_LENGTH, LEFT_FIN_FORE, LEFT_FIN_AFT, LEFT_FIN_TIP,
    LEFT_FIN_COUNT, LEFT_FIN_COSINE, LEFT_FIN_SINE, LEFT_FIN_Y, LEFT_FIN_Z,
    # --- memory: changes at events ---
    ON_GUIDE,  # 1 while guided
    CANOPY_AT, START_AT,  # s, far until triggered
    START_KIND,  # NEVER once it has started
    CANOPY_OPENED, CANOPY_FILLING,  # s, s
    APOGEE_SEEN,
    BOOSTERS_PUSH,  # 1 water, 2 air, 0 spent or gone
    OWN_PUSH,  # the same of the vehicle itself, while its boosters are on
    LEFT_AT,  # s, when this body was let go
    LEFT_EAST, LEFT_NORTH, LEFT_UP,  # what it left, at that moment: place,
    LEFT_V_EAST, LEFT_V_NORTH, LEFT_V_UP,  # velocity,
    LEFT_Q0, LEFT_Q1, LEFT_Q2, LEFT_Q3, LEFT_ROLL, LEFT_PITCH, LEFT_YAW,  # attitude, spin,
    LEFT_A_EAST, LEFT_A_NORTH, LEFT_A_UP, LEFT_BALANCE,  # acceleration and balance
    LEAST_FINS, LEAST_BODY,  # m, smallest distances from it met so far
    SPAN_EAST, SPAN_NORTH,  # direction of a point's span, level
    TOP_SPEED, TOP_ACCELERATION, TOP_THRUST, TOP_LOAD,  # largest met so far, SI
    STEPS_TAKEN, STEPS_REFUSED,
    # --- worked out anew for every set of rates, and shared by the loops that make them up ---
    FLOW_EAST, FLOW_NORTH, FLOW_UP, DENSITY,  # m/s through the air, kg/m3
    FLOW_X, FLOW_Y, FLOW_Z,  # the same motion in body axes
    MASS, BALANCE, SIDE_Y, SIDE_Z,  # kg, m from nose, m, m
    INERTIA_XX, INERTIA_YY, INERTIA_ZZ, INERTIA_XY, INERTIA_XZ, INERTIA_YZ,  # kg m2
    SHIELDED,  # share of the nose that sits behind something
    FORCE_X, FORCE_Y, FORCE_Z, MOMENT_X, MOMENT_Y, MOMENT_Z,  # N, N m, body axes
    THRUST, DAMPING,  # N, N m s
    LAST_A_EAST, LAST_A_NORTH, LAST_A_UP,  # m/s2, where the last step ended
) = (LANES * i for i in range(COMMON_COUNT))  # fmt: skip
MEMORY_FIRST = ON_GUIDE
BOOSTER_SET = BOOSTER_COLUMN_AREA - COLUMN_AREA

# --- what a vehicle carries: one block of rows a thing, behind the common rows --------------------
ITEM_ROWS = 35
(
    ITEM_MASS, ITEM_FROM_NOSE, ITEM_Y, ITEM_Z,  # kg, m; body axes from the axis
    ITEM_IXX, ITEM_IYY, ITEM_IZZ, ITEM_IYZ,  # kg m2, about its own balance, vehicle's axes
    ITEM_DRAG, ITEM_SIDE,  # m2, drag area along and across
    ITEM_SLOPE, ITEM_CENTRE,  # m2 a radian, m from nose
    ITEM_PUSH,  # m2, force away from the axis in straight flow
    ITEM_SHIELD,  # 1: the nose of its carrier is behind it
    ITEM_ALONG, ITEM_ACROSS, ITEM_PEEL, ITEM_GRIP,  # N, N, N, friction coefficient
    ITEM_TIP,  # pull off the body at one end, for each newton along the axis
    ITEM_WHEN, ITEM_CLIMB, ITEM_TIME, ITEM_DELAY, ITEM_TOSS,  # release; m/s, s, s, m/s
    # --- memory ---
    ITEM_ATTACHED,  # 1 while it is on
    ITEM_AT,  # s, far until triggered
    ITEM_TOP_LOAD, ITEM_TOP_LOAD_TIME, ITEM_TOP_USE, ITEM_TOP_USE_TIME,
    # --- worked out anew ---
    ITEM_LOAD_ALONG, ITEM_LOAD_ACROSS, ITEM_LOAD_OUT, ITEM_LOAD, ITEM_USE,  # N, share
) = (LANES * i for i in range(COMMON_COUNT, COMMON_COUNT + ITEM_ROWS))  # fmt: skip
ITEM = ITEM_ROWS * LANES  # from one thing's row to the next one's
MOST_ITEMS = 5
# A glider carries nothing: its wing takes the place of those blocks.
WING_FIRST = ITEM_MASS

# --- phases of a flight --------------------------------------------------------------------------
(
    BOOSTED_PHASE, TUBE_PHASE, WATER_PHASE, AIR_PHASE, COAST_PHASE,
    CANOPY_PHASE, POINT_PHASE, GLIDE_PHASE, ENDED,
) = range(9)  # fmt: skip

# How many leading rows of the state a phase moves: all; a vehicle; a rigid body; a point.
ROWS = (21, 17, 17, 17, 13, 6, 6, 13, 0)

# --- what triggers a release, a canopy or a start -------------------------------------------------
NEVER, BY_CLIMB, BY_APOGEE, BY_TIME, BY_SPENT = (0.0, 1.0, 2.0, 3.0, 4.0)

# --- figures of one body's flight, a row of the results table ------------------------------------
(
    TUBE_CLEAR_TIME,
    GUIDE_EXIT_TIME, GUIDE_EXIT_SPEED,
    WATER_OUT_TIME, WATER_OUT_PRESSURE, WATER_OUT_TEMPERATURE,
    AIR_OUT_TIME, BURNOUT_SPEED, BURNOUT_LEAN, WATER_LEFT,
    BOOSTERS_OUT_TIME, STARTED_TIME, STARTED_HEIGHT,
    APOGEE_TIME, APOGEE_HEIGHT,
    OPENED_TIME, OPENED_HEIGHT, OPENED_SPEED, CANOPY_LOAD,
    MAX_SPEED, MAX_ACCELERATION, PEAK_THRUST, TOTAL_IMPULSE,
    LET_GO_TIME, FIN_CLEARANCE, BODY_CLEARANCE,
    DOWN_TIME, DOWN_EAST, DOWN_NORTH, DOWN_UP, DOWN_SPEED, DOWN_MASS, CAUGHT,
    OUTCOME, STEPS, REJECTED,
    # of each thing carried, one block a thing
    RELEASED_TIME, RELEASED_HEIGHT, RELEASED_CLIMB, RELEASED_SPEED, RELEASED_LEAN, TORN,
    HOLD_LOAD, HOLD_LOAD_TIME, HOLD_USE, HOLD_USE_TIME,
) = range(46)  # fmt: skip
ITEM_FIGURES = 10
FIGURE_COUNT = RELEASED_TIME + MOST_ITEMS * ITEM_FIGURES

# --- outcomes ------------------------------------------------------------------------------------
LANDED, STAYED, FIRED, OUT_OF_TIME, LOST, HUNG = range(6)

# --- columns of a recorded sample ---------------------------------------------------------------
RECORD_TIME, RECORD_PHASE, RECORD_STATE = 0, 1, 2  # then the states
RECORD_ACCELERATION = RECORD_STATE + STATES  # 3 columns
RECORD_THRUST, RECORD_PRESSURE = RECORD_ACCELERATION + 3, RECORD_ACCELERATION + 4
RECORD_USE = RECORD_ACCELERATION + 5  # how much of its hold each thing carried takes
RECORD_COLUMNS = RECORD_USE + MOST_ITEMS

# --- columns of a departure: when, then the state of what leaves, and of what it leaves -----------
DEPART_TIME, DEPART_TORN, DEPART_STATE = 0, 1, 2  # 13 columns
DEPART_LEFT = DEPART_STATE + 13  # 13 columns, then acceleration and balance
DEPARTURE_COLUMNS = DEPART_LEFT + 13 + 4
