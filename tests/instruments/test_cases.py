"""The cases of a rehearsal: what each fault changes, what it leaves alone, and its chance."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest
from documents.bad_wired import WIRED
from instruments.pair import flattened, pair, single, with_chances
from instruments.sensing import LANES, compiled_sense

from loftwright.documents.avionics import FaultChance
from loftwright.documents.reading import read_campaign
from loftwright.errors import ProblemError
from loftwright.errors.catalogue import find
from loftwright.instruments.actuators import free_at
from loftwright.instruments.cases import cases, happenings, inputs, scene_of
from loftwright.instruments.fault import GROUPS
from loftwright.instruments.faults import library
from loftwright.instruments.kernel import slots
from loftwright.instruments.kernel.sense import begin
from loftwright.instruments.rows import NAMES, place
from loftwright.units import Quantity

FLIGHTS = 32
FLOWN = Path(__file__).parents[2] / "examples" / "sedge-lift-flown"


def scene(campaign=None, flights=FLIGHTS, first=0):
    campaign = campaign or pair()
    values, words = flattened(campaign, flights, first)
    return scene_of(campaign, values, words, 1, first, flights)


def all_cases(campaign=None, flights=FLIGHTS, first=0):
    campaign = campaign or pair()
    values, words = flattened(campaign, flights, first)
    return cases(campaign, values, words, 1, first, flights)


def case_of(name, part, campaign=None):
    return next(
        each for each in all_cases(campaign) if each.faults == (name,) and each.part == part
    )


EVERY = [(each.faults[0], each.part) for each in all_cases()[1:]]


def test_the_nominal_case_comes_first_and_is_as_documented():
    nominal = all_cases()[0]
    assert (nominal.faults, nominal.part, nominal.chance, nominal.values) == ((), "", 1.0, None)
    assert nominal.programs == {"main": "main", "backup": "backup"}
    for table in nominal.lanes.values():
        assert table.shape == (slots.PARAMETERS, FLIGHTS)
        assert table.dtype == np.float32


def test_every_fault_happens_somewhere_and_is_complete():
    names = {name for name, _ in EVERY}
    assert names == set(library())
    assert len(library()) >= 30
    for fault in library().values():
        assert fault.says.endswith(".")
        assert "{part}" in fault.says
        assert fault.chance_source
        assert fault.group in GROUPS


@pytest.mark.parametrize(("name", "part"), EVERY)
def test_a_fault_changes_something_and_says_what(name, part):
    nominal = all_cases()[0]
    case = case_of(name, part)
    lanes = any(
        not np.array_equal(table, nominal.lanes[controller], equal_nan=True)
        for controller, table in case.lanes.items()
    )
    actuators = any(
        case.actuators[each] is not nominal.actuators[each] and changed(case, nominal, each)
        for each in nominal.actuators
    )
    assert lanes or actuators or case.values or case.programs != nominal.programs
    assert case.says[0].isupper()
    assert "{" not in case.says
    assert 0.0 < case.chance < 0.2


def changed(case, nominal, actuator):
    one, other = case.actuators[actuator], nominal.actuators[actuator]
    return any(
        not np.array_equal(getattr(one, field), getattr(other, field))
        for field in one.__dataclass_fields__
    )


@pytest.mark.parametrize(("name", "part"), EVERY)
def test_what_a_flight_s_fault_is_depends_on_the_flight_alone(name, part):
    def of(flights, first):
        return next(
            each
            for each in all_cases(None, flights, first)
            if (each.faults, each.part) == ((name,), part)
        )

    whole, late = of(FLIGHTS, 0), of(8, 24)
    for controller, table in late.lanes.items():
        np.testing.assert_array_equal(table, whole.lanes[controller][:, 24:])
    for path, values in (late.values or {}).items():
        np.testing.assert_array_equal(values, whole.values[path][24:])


def sensed(case, controller, port, flight=0):
    """Return what a controller reads in one case of one flight, over samples of the port."""
    table = case.lanes[controller][:, [flight]]
    p = np.ascontiguousarray(np.broadcast_to(table, (slots.PARAMETERS, LANES))).ravel()
    m = np.zeros(slots.MEMORIES * LANES, np.float32)
    begin(p, m)
    singles = [np.zeros(LANES, np.float32) for _ in range(2)]
    wholes = [np.zeros(LANES, np.int32) for _ in range(4)]
    rows = []
    quiet = np.zeros(slots.NOISE_ROWS * LANES, np.float32)
    for k, each in enumerate(port):
        compiled_sense()(
            k, np.full(LANES, each, np.float32), np.full(LANES, 9.8, np.float32), quiet,
            np.zeros(LANES, np.float32), p, m, *singles, *wholes,
        )  # fmt: skip
        rows.append([float(array[0]) for array in (*singles, *wholes)])
    return np.array(rows).T


def climbing(case, controller="main", flight=0, samples=1500):
    """The port's pressure by the samples of a controller that climbs at 40 m/s from liftoff."""
    table = case.lanes[controller]
    step = table[place("STEP"), flight]
    times = table[place("FIRST_AT"), flight] + step * np.arange(samples)
    return times, 1e5 - 12.0 * 40.0 * np.clip(times, 0.0, None)


def test_a_blocked_vent_hides_the_climb():
    nominal, blocked = all_cases()[0], case_of("vent blocked", "nose bay")
    _, port = climbing(nominal)
    assert np.ptp(sensed(nominal, "main", port)[0]) > 2000.0
    assert np.ptp(sensed(blocked, "main", port)[0]) < 1000.0


def test_a_dead_sensor_reads_nothing_from_then_on():
    case = case_of("sensor dead", "baro")
    times, port = climbing(case)
    read = sensed(case, "main", port)[0]
    when = case.lanes["main"][place("FAIL_FROM"), 0]
    assert np.isnan(read[times > when + 0.1]).all()
    assert np.isfinite(read[times < when - 0.1]).all()


def test_a_flat_battery_stops_everything_on_it_and_nothing_else():
    case, nominal = case_of("battery flat", "main cell"), all_cases()[0]
    assert not np.array_equal(case.lanes["main"], nominal.lanes["main"])
    assert case.lanes["backup"] is nominal.lanes["backup"] or np.array_equal(
        case.lanes["backup"], nominal.lanes["backup"], equal_nan=True
    )
    times, port = climbing(case)
    alive = sensed(case, "main", port)[4]
    assert not alive[times > 6.5].any()
    late = np.full(FLIGHTS, 9.0)
    assert np.isinf(free_at(case.actuators["latch"], late)).all()
    assert np.isfinite(free_at(case.actuators["lid"], late)).all()


def test_an_early_line_is_open_before_liftoff_in_half_of_all_flights():
    case = case_of("false launch by handling", "vehicle")
    opens = case.lanes["main"][place("LINE_OPENS")]
    early = opens < 0.0
    assert 0.2 < early.mean() < 0.8
    assert (opens[~early] == 0.0).all()


def test_a_controller_that_is_exchanged_runs_the_other_s_program_at_its_pace():
    case, nominal = case_of("controllers swapped", "main and backup"), all_cases()[0]
    assert case.programs == {"main": "backup", "backup": "main"}
    assert (case.lanes["main"][place("STEP_MS")] == 50.0).all()
    for name in ("PORT_FLOW", "STEP"):
        ours = case.lanes["main"][place(name)] / nominal.lanes["main"][place(name)]
        np.testing.assert_allclose(ours, 2.5, rtol=1e-5)


def test_two_faults_do_what_each_does():
    now = scene()
    told = {(each.fault.name, each.part.name): each for each in happenings(pair(), now)}
    one, other = told["vent blocked", "nose bay"], told["battery sags", "main cell"]
    both = inputs(now, one, other)
    alone = [inputs(now, one), inputs(now, other)]
    row = both.lanes["main"]
    assert (row[place("PORT_FLOW")] == 0.0).all()
    np.testing.assert_array_equal(
        row[place("RESISTANCE")], alone[1].lanes["main"][place("RESISTANCE")]
    )
    assert both.faults == ("vent blocked", "battery sags")
    assert both.chance == pytest.approx(alone[0].chance * alone[1].chance)


WINDOWS = ("FAIL", "PUSH_FAIL", "LEAK", "OPEN", "RESET", "FREEZE", "GUST", "BURST", "BUMP")


def at(table, name):
    return table[place(name)].astype(float)


def test_two_faults_are_never_less_than_one_of_them():
    """Whatever window a fault has, with another it lasts as long at the least."""
    now, nominal = scene(pair()), inputs(scene(pair()))
    single = happenings(pair(), now)
    met = 0
    for one, other in permutations(single, 2):
        both = inputs(now, one, other)
        for alone in (inputs(now, one), inputs(now, other)):
            for controller, window in product(alone.lanes, WINDOWS):
                table, whole = alone.lanes[controller], both.lanes[controller]
                begin, end = f"{window}_FROM", f"{window}_UNTIL"
                there = at(table, begin) < at(nominal.lanes[controller], begin)
                assert (at(whole, begin) <= at(table, begin))[there].all()
                assert (at(whole, end) >= at(table, end))[there].all()
                met += int(there.any())
            for name, actuation in alone.actuators.items():
                there = actuation.dark_from < slots.FAR
                assert (both.actuators[name].dark_from <= actuation.dark_from)[there].all()
                assert (both.actuators[name].dark_until >= actuation.dark_until)[there].all()
                met += int(there.any())
    assert met > 100


def test_two_faults_of_the_flight_meet_in_its_values():
    now = scene()
    told = {each.fault.name: each for each in happenings(pair(), now)}
    one, other = told["vessel leaks"], told["wrong pressure"]
    gauge = "vehicle.fill.gauge_pressure"
    both = inputs(now, one, other).values[gauge]
    single_one = inputs(now, one).values[gauge] / now.value(gauge)
    single_other = inputs(now, other).values[gauge] / now.value(gauge)
    np.testing.assert_allclose(both, now.value(gauge) * single_one * single_other)


def test_chances_of_the_document_come_first():
    campaign = with_chances(
        pair(),
        FaultChance(name="latch jams", part="lid", chance=Quantity(0.2)),
        FaultChance(name="latch jams", chance=Quantity(0.1)),
        FaultChance(name="vent blocked", chance=Quantity(0.0)),
    )
    told = {
        (each.fault.name, each.part.name): each.chance for each in happenings(campaign, scene())
    }
    assert told["latch jams", "latch"] == 0.1
    assert told["latch jams", "lid"] == 0.2
    assert ("vent blocked", "nose bay") not in told


def test_a_fault_that_the_library_does_not_have_is_refused_at_its_place():
    campaign = with_chances(single(), FaultChance(name="vent blokked", chance=Quantity(0.01)))
    with pytest.raises(ProblemError) as caught:
        happenings(campaign, scene(single()))
    (problem,) = caught.value.problems
    assert problem.code == "avionics-no-such-fault"
    assert (problem.where.file, problem.where.line) == ("avionics.toml", 70)
    assert problem.mend == 'did you mean "vent blocked"?'
    assert find(problem.code) is not None
    assert (WIRED / "avionics.toml").read_text("utf-8").splitlines()[69].startswith("name")


def test_a_campaign_without_avionics_cannot_be_rehearsed():
    campaign = replace(single(), avionics=None)
    with pytest.raises(ProblemError) as caught:
        scene(campaign)
    assert caught.value.problems[0].code == "avionics-none"


def test_every_parameter_has_its_own_row():
    assert [place(name) for name in NAMES] == list(range(slots.PARAMETERS))


def test_of_several_payloads_a_sentence_names_the_one_it_is_of():
    campaign = read_campaign(FLOWN)
    values, words = flattened(campaign, 2, 0)
    said = {
        each.part.name: each.says
        for each in happenings(campaign, scene_of(campaign, values, words, 1, 0, 2))
        if each.fault.name == "hold gives way early"
    }
    assert set(said) == {"payload", "payload2"}
    for root, sentence in said.items():
        assert sentence.startswith(f'What holds the payload "{campaign.payloads[root].name}"')
    alone = replace(campaign, payload2=None)
    one = next(
        each
        for each in happenings(alone, scene_of(alone, values, words, 1, 0, 2))
        if each.part.name == "payload"
    )
    assert "the payload " in one.says
