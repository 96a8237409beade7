"""Where each number stands in the flat arrays of a release program and of its lanes.

A program is two arrays: ``ints`` begins with the names of *header* below, rows of stages, exits,
acts and steps follow; ``floats`` begins with the names of *numbers*, constants of the steps follow.
What LANES controllers remember is two more: row after row, each LANES wide, so that
``whole[STAGE + lane]`` is that lane's stage. Rows whose number depends on the program begin where
its header says.
"""

__all__: list[str] = []  # imported by name

LANES = 32
NEVER = 2**31 - 1  # ms or samples; in place of a time that does not come
NOT_YET = -1  # of a time: it has not come. As table.NO_TIME

# --- ints: header -----------------------------------------------------------------------------
(
    WIDTH,  # LANES
    ESTIMATOR,
    STAGES,  # how many
    OUTPUTS,
    MOST_EXITS,  # of any stage
    # where rows begin in ints
    STAGE_ROWS,
    EXIT_ROWS,
    ACT_ROWS,
    STEP_ROWS,
    # where rows begin in a state's whole numbers
    HOLDING,  # one for each exit of a stage: since when it holds [ms], or NOT_YET
    LEVEL,  # one for each output: 0 or 1
    UNTIL,  # end of its pulse [ms], or NEVER
    OPENED,  # the sample in which its level first went up, or NOT_YET; kept through power cuts
    STACK,  # of conditions: 0 or 1
    WHOLE_SIZE,
) = range(15)
HEADER = 15

# --- ints: a row of each kind -------------------------------------------------------------------
(STAGE_FIRST_EXIT, STAGE_EXITS, STAGE_FIRST_ACT, STAGE_ACTS, STAGE_GROUND, STAGE_LAUNCH) = range(6)
STAGE_ROW = 6
(
    EXIT_TO,
    EXIT_FIRST_STEP,
    EXIT_STEPS,
    EXIT_HOLD,
    EXIT_NOT_BEFORE,
    EXIT_NOT_AFTER,  # or NEVER
    EXIT_BACKUP,  # or NEVER
    EXIT_SINCE,  # row of the state that its clock counts from: ENTERED or LAUNCHED
) = range(8)
EXIT_ROW = 8
(ACT_OUTPUT, ACT_LEVEL, ACT_FOR) = range(3)  # for: NEVER without an end
ACT_ROW = 3
(STEP_OP, STEP_SEEN) = range(2)  # seen: its row of the state's single-precision numbers
STEP_ROW = 2

# --- floats: numbers ------------------------------------------------------------------------------
(
    LEAST,  # Pa
    MOST,  # Pa
    HEIGHT_GAIN,
    CLIMB_GAIN,
    REFERENCE_GAIN,
    SECONDS,  # from one sample to the next
    C0,
    C1,
    C2,
    C3,
    C4,
    C5,
    ZERO,
    UNKNOWN,  # not-a-number
    CONSTANTS,  # the first of the steps' constants, one for each step
) = range(15)

# --- state: whole numbers ---------------------------------------------------------------------
(
    STAGE,
    ENTERED,  # ms
    LAUNCHED,  # ms, or NOT_YET
    HAS_HEIGHT,
    IS_GROUND,  # whether the stage follows the reference pressure
    SENSED,  # the sample in which launch was first sensed, or NOT_YET; kept through power cuts
    NEXT_END,  # of any pulse [ms], or NEVER
    # of this sample
    GOOD,  # whether the reading of pressure is taken
    GOING,  # stage that is entered; NOT_YET from one sample to the next
    TOGETHER,  # what goes for all lanes together, as follows
) = (LANES * i for i in range(10))
WHOLE_ROWS = 10
(
    ONE_STAGE,  # the stage that all lanes are in, or NOT_YET
    PULSES,  # whether any output's pulse will end
    OPENINGS,  # how many levels have gone up so far: it grows when one does
) = (TOGETHER + i for i in range(3))

# --- state: single precision ----------------------------------------------------------------------
(
    REFERENCE,  # Pa
    HEIGHT,  # m
    CLIMB,  # m/s
    HIGHEST,  # m
    # of this sample: the height as read [m], and what conditions see, in the order of table.Seen,
    # as far as any looks at it
    MEASURED,
    SEEN,
    SEEN_CLIMB,
    SEEN_DROP,
    SEEN_PRESSURE,
    SEEN_PUSH,
    SEEN_SWITCH,
) = (LANES * i for i in range(11))
SINGLE_ROWS = 11
