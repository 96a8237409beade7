"""Whatever vehicle is written down: the cutaway stays whole, to scale and readable."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import synthetic
from report.synthetic import Q
from report.test_strip import boxes

from loftwright.documents.campaign import Campaign
from loftwright.documents.payload import Carried
from loftwright.documents.vehicle import Body, Fill, Fins, LaunchTube, Nose, Tail, Vessel
from loftwright.report.cutaway import WIDTHS, draw_cutaway
from loftwright.report.profile import fin_views, vessel_outline, water_level

NAMESPACE = "{http://www.w3.org/2000/svg}"


@st.composite
def vessels(draw: st.DrawFn, diameter: float, start: float, length: float) -> Vessel:
    inner = 0.96 * diameter
    share = draw(st.floats(0.55, 0.95))
    volume = share * 3.14159 / 4 * inner**2 * length
    return Vessel(
        volume=Q(volume), diameter=Q(inner), length=Q(length), from_nose=Q(start), wall=Q(3e-4)
    )


@st.composite
def campaigns(draw: st.DrawFn) -> Campaign:
    """Vehicles from a fat half-metre to a lean three metres, one or two vessels, odd fins."""
    plain = synthetic.campaign(draw(st.sampled_from(["metric", "us"])))
    length = draw(st.floats(0.45, 3.0))
    diameter = draw(st.floats(0.05, 0.16))
    nose = draw(st.floats(0.05, 0.3)) * length
    count = draw(st.sampled_from([1, 2]))
    room = (length - nose) / count
    bottles = tuple(
        draw(vessels(diameter, nose + k * room + 0.02 * room, 0.95 * room)) for k in range(count)
    )
    total = sum(v.volume.value for v in bottles)
    chord = draw(st.floats(0.05, 0.25)) * length
    vehicle = replace(
        plain.vehicle,
        vessel=bottles,
        nose=Nose(
            profile=draw(st.sampled_from(["cone", "ogive", "ellipsoid", "parabola"])),
            length=Q(nose),
        ),
        body=Body(diameter=Q(diameter), length=Q(length)),
        tail=draw(
            st.sampled_from([None, Tail(diameter=Q(0.5 * diameter), length=Q(0.05 * length))])
        ),
        nozzle=replace(plain.vehicle.nozzle, from_nose=None),
        fill=Fill(
            water_volume=Q(draw(st.floats(0, 0.8)) * total),
            gauge_pressure=Q(4e5),
            temperature=Q(288.15),
        ),
        launch_tube=draw(
            st.sampled_from([None, LaunchTube(outer_diameter=Q(0.021), length=Q(0.6 * room))])
        ),
        fins=(
            Fins(
                count=draw(st.integers(3, 8)),
                root_chord=Q(chord),
                tip_chord=Q(draw(st.floats(0, 1)) * chord),
                span=Q(draw(st.floats(0.3, 1.5)) * diameter),
                sweep=Q(draw(st.floats(0, 1)) * chord),
                thickness=Q(0.002),
                from_nose=Q(length - chord),
            ),
        ),
    )
    carried = Carried(
        from_nose=Q(draw(st.floats(0.2, 0.8)) * length),
        offset=Q(0.5 * diameter + 0.015),
        length=Q(0.2 * length),
        width=Q(0.05),
        thickness=Q(0.02),
    )
    assert plain.payload is not None
    payload = replace(plain.payload, carried=carried)
    return replace(plain, vehicle=vehicle, payload=draw(st.sampled_from([None, payload])))


@st.composite
def checks(draw: st.DrawFn, length: float) -> dict[str, object]:
    full, empty, acts = (draw(st.floats(0.2, 0.95)) * length for _ in range(3))
    return {
        "balance_from_nose_m": {"full": full, "empty": empty},
        "aerodynamic_centre_from_nose_m": acts,
        "stability_calibres": {"full": (acts - full) / 0.1, "empty": (acts - empty) / 0.1},
    }


@settings(deadline=None, max_examples=60)
@given(st.data(), st.sampled_from(list(WIDTHS)))
def test_any_vehicle_is_drawn_whole_and_its_words_stay_apart(
    data: st.DataObject, width: str
) -> None:
    campaign = data.draw(campaigns())
    check = data.draw(checks(campaign.vehicle.body.length.value))
    frame = WIDTHS[width]
    drawn = draw_cutaway(campaign, check, frame)
    root = ET.fromstring(drawn)
    assert "nan" not in drawn
    assert "inf" not in drawn.replace("infl", "")
    placed = boxes(drawn)
    for one, other in combinations(placed, 2):
        assert not one.overlaps(other), (one, other)
    assert all(box.left >= 0 and box.right < frame.width + 8 for box in placed)
    height = float(root.get("viewBox", "").split()[3])
    assert all(box.bottom <= height for box in placed)


@settings(deadline=None, max_examples=40)
@given(campaigns())
def test_any_vehicle_stays_inside_its_frame(campaign: Campaign) -> None:
    for frame in WIDTHS.values():
        root = ET.fromstring(draw_cutaway(campaign, {}, frame))
        width, height = (float(v) for v in root.get("viewBox", "").split()[2:])
        for path in root.iter(f"{NAMESPACE}path"):
            data = path.get("d", "")
            if "H" in data or "Z" not in data:
                continue
            x, y = (float(v) for v in data[1:].split("l")[0].split(","))
            assert 0 <= x <= width
            assert 0 <= y <= height


@settings(deadline=None)
@given(campaigns())
def test_the_level_leaves_just_the_water_below(campaign: Campaign) -> None:
    vehicle = campaign.vehicle
    outlines = [vessel_outline(v, 0.0107) for v in vehicle.vessel]
    stated = [v.volume.value for v in vehicle.vessel]
    water = vehicle.fill.water_volume.value
    level = water_level(outlines, stated, water)
    if level is None:
        assert water == 0
        return
    assert outlines[0][0][0] <= level <= outlines[-1][-1][0]
    # A little more water never stands lower.
    higher = water_level(outlines, stated, 1.05 * water)
    assert higher is not None
    assert higher <= level + 1e-9


@given(st.integers(3, 8), st.floats(0.02, 0.2))
def test_no_fin_reaches_past_its_span(count: int, radius: float) -> None:
    fins = replace(synthetic.vehicle().fins[0], count=count)
    reach = radius + fins.span.value + 1e-12
    for view in fin_views(fins, radius):
        assert all(abs(side) <= reach for _, side in view.corners)
        assert view.corners[0][0] == pytest.approx(fins.from_nose.value)


@given(st.integers(3, 8))
def test_each_fin_is_seen_once(count: int) -> None:
    fins = replace(synthetic.vehicle().fins[0], count=count)
    assert len(fin_views(fins, 0.05)) == count


def test_the_water_line_stands_where_the_level_is() -> None:
    campaign = synthetic.campaign()
    vehicle = campaign.vehicle
    level = water_level(
        [vessel_outline(vehicle.vessel[0], 0.01075)],
        [vehicle.vessel[0].volume.value],
        vehicle.fill.water_volume.value,
    )
    root = ET.fromstring(draw_cutaway(campaign, synthetic.check(), WIDTHS["wide"]))
    body = next(p for p in root.iter(f"{NAMESPACE}path") if p.get("fill") == "var(--shell)"
                and p.get("stroke-width") == "1.5" and "Z" in p.get("d", "")
                and p.get("d", "").count("l") > 20)  # fmt: skip
    top = float(body.get("d", "")[1:].split("l")[0].split(",")[1])
    surface = next(
        line for line in root.iter(f"{NAMESPACE}line") if line.get("stroke") == "var(--vehicle)"
    )
    ground = [float(t.get("y2", 0)) for t in root.iter(f"{NAMESPACE}line")]
    plumb_top, plumb_end = top, max(ground)
    assert plumb_top < float(surface.get("y1", 0)) < plumb_end
    ticks = [
        float(line.get("y1", 0))
        for line in root.iter(f"{NAMESPACE}line")
        if line.get("stroke-width") == "2"
    ]
    # The ticks of a known distance give the scale: 0.451 m and 0.618 m from the nose.
    scale = (max(ticks) - min(ticks)) / (0.618 - 0.451)
    assert level is not None
    assert float(surface.get("y1", 0)) == pytest.approx(top + level * scale, abs=0.6)
