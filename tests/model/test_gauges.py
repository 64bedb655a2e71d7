"""The gauges against the head that they are to try: measured with Shapely and on the blade's own
section, not on the parameters.

No published drawing of gauges like these was found that prints its sizes, so nothing here is
compared with a book; each gauge is tried on the model of the iron as it would be at the bench.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from designs import examples, planned_or_dropped, raws, wide_designs
from hypothesis import given
from shapely.affinity import translate

from patterns import blank, gauges, profiles, report
from patterns.contour import SAGITTA, Contour
from patterns.derived import eye_heights
from patterns.gauges import FRAME, RELIEF, TOLERANCE, WEB, Gauge, Opening
from patterns.head import grown
from patterns.views import blade_section

FINE = 1e-4
NAMES = list(profiles.shipped())
WAYS: dict[str, tuple[str, ...]] = {
    "one bevel": ("blade.bevel=one",),
    "convex": ("blade.bevel=convex",),
    "flared": ("eye.flare=1/16 in", "eye.taper=1/32 in"),
    "wider below": ("eye.taper=-1/32 in",),
    "no trimming": ("allowances.trimming=0 mm", "allowances.grinding=0 mm"),
    "no bit": ("bit.form=none", "bit.stock=", "bit.thickness=", "bit.insertion=",
               "bar.steel=1084"),
}  # fmt: skip
EVERY = [*((name, ()) for name in NAMES), *(("belt-hatchet", way) for way in WAYS.values())]
IDS = [*NAMES, *WAYS]


@cache
def planned(name: str, changes: tuple[str, ...] = ()) -> blank.ForgePlan:
    return blank.plan(profiles.load(name, changes).design)


def polygon(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(contour.points(FINE))


def body(gauge: Gauge) -> shapely.Polygon:
    """What is left of the sheet when a gauge is cut."""
    outside, *holes = gauge.cuts
    return shapely.Polygon(outside.points(FINE), [hole.points(FINE) for hole in holes])


def holes(card: Gauge) -> list[shapely.Polygon]:
    """The openings of a card: what its own rectangle has and it has not, from left to right."""
    box = card.cuts[0].bounds
    left = shapely.box(box.left, box.bottom, box.right, box.top).difference(body(card))
    parts = [part for part in shapely.get_parts(left) if part.area > 0.1]
    return sorted(parts, key=lambda part: part.bounds[0])


def across(shape: shapely.Polygon, y: float) -> tuple[float, float]:
    """Where a level line enters and leaves a shape; the shape must have no gap in it there."""
    left, _, right, _ = shape.bounds
    cut = shape.intersection(shapely.LineString([(left - 1.0, y), (right + 1.0, y)]))
    assert cut.geom_type == "LineString"
    (a, _), (b, _) = cut.coords
    return min(a, b), max(a, b)


# Any gauge -------------------------------------------------------------------------------------


def sound(plan: blank.ForgePlan, every: tuple[Gauge, ...]) -> None:
    """Every cut is closed and simple, the outside first; windows lie in it; letters stand on it."""
    mark = report.revision(plan.design)
    for gauge in every:
        outside, *inside = gauge.cuts
        assert outside.closed
        assert outside.area > 0.0
        for cut in gauge.cuts:
            assert cut.closed
            assert polygon(cut).is_valid, gauge.name
        for hole in inside:
            assert hole.area < 0.0
            assert polygon(outside).contains(polygon(hole))
        iron = body(gauge)
        boxes = [shapely.Polygon(label.outline().points()) for label in gauge.labels]
        for label, box in zip(gauge.labels, boxes, strict=True):
            assert iron.buffer(-0.8).covers(box), (gauge.name, label.text)
            assert label.height >= 2.1
        for one, other in itertools.combinations(boxes, 2):
            assert not one.intersects(other)
        if gauge.openings:
            webs(gauge)
            words = " ".join(label.text for label in gauge.labels)
            assert mark in words
            assert all(row in words for opening in gauge.openings for row in opening.rows)


def webs(card: Gauge) -> None:
    """Slots keep clear of one another and of the card's ends by the width that is stated."""
    found, box = holes(card), card.cuts[0].bounds
    assert len(found) == len(card.openings)
    least = WEB - 1e-6
    for one, other in itertools.pairwise(found):
        assert other.bounds[0] - one.bounds[2] >= least
    assert found[0].bounds[0] - box.left >= least
    assert box.right - found[-1].bounds[2] >= least
    assert min(part.bounds[1] for part in found) - box.bottom >= least


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_every_gauge_is_sound(name: str, way: tuple[str, ...], units: str) -> None:
    plan = planned(name, way)
    every = gauges.gauges(plan, units)
    sound(plan, every)
    mark = report.revision(plan.design)
    for gauge in every:  # of a shipped head, each can be told apart once it is cut
        words = " ".join(label.text for label in gauge.labels)
        assert mark in words, gauge.name


@examples(35)
@given(raws())
def test_gauges_of_any_head(raw: dict) -> None:
    plan = planned_or_dropped(raw)
    sound(plan, gauges.gauges(plan, "mm"))


@examples(35)
@given(wide_designs())
def test_gauges_of_odd_heads(found: tuple) -> None:
    plan = found[1]
    sound(plan, gauges.gauges(plan, "in"))


def test_unsound_gauges_are_seen() -> None:
    plan = planned("belt-hatchet")
    card = gauges.strap_gauge(plan, "mm")
    wide = replace(card.openings[1], at=card.openings[0].at + 1.0)
    with pytest.raises(AssertionError):
        webs(replace(card, openings=(card.openings[0], wide, card.openings[1])))
    box = card.cuts[0].bounds
    near = Contour.polygon(
        [(0.0, box.bottom), (box.right, box.bottom), (box.right, 0.0), (20.0, 0.0), (20.0, -9.0),
         (15.0, -9.0), (15.0, 0.0), (12.0, 0.0), (12.0, -9.0), (7.0, -9.0), (7.0, 0.0), (0.0, 0.0)]
    )  # fmt: skip
    with pytest.raises(AssertionError):
        webs(replace(card, cuts=(near,)))


# The edge's angle ------------------------------------------------------------------------------


def wedge(plan: blank.ForgePlan, deep: float) -> shapely.Polygon:
    """The last of the blade's own section, its edge down at the origin, the flat face of a single
    bevel upright at the left."""
    x, low, high = blade_section(plan.head, plan.head.length - deep)
    shift = low[-1]  # the edge's point: both sides meet there
    left = [(z - shift, plan.head.length - a) for a, z in zip(x, low, strict=True)]
    right = [(z - shift, plan.head.length - a) for a, z in zip(x, high, strict=True)]
    return shapely.Polygon([*left, *reversed(right)])


def tried(plan: blank.ForgePlan, card: Gauge, opening: Opening) -> tuple[float, float]:
    """The blade held in a notch, its edge at the notch's point: area where iron would stand in the
    card, and area of light above the relief [mm2]."""
    deep = min(opening.depth, plan.head.blade.bevel_width) - 0.01
    point = point_of(opening)
    iron = translate(wedge(plan, deep), *point)
    zone = shapely.box(point[0] - 60.0, point[1] + RELIEF, point[0] + 60.0, point[1] + deep)
    notch = min(holes(card), key=lambda part: abs(part.centroid.x - point[0]))
    return iron.intersection(body(card)).area, notch.intersection(zone).difference(iron).area


def point_of(opening: Opening) -> tuple[float, float]:
    """Middle of the relief: of the arcs of an opening [mm]."""
    arcs = [p for p in Contour(opening.run, closed=False).pieces
            if not p.is_line and abs(p.radius - RELIEF) < 1e-6]  # fmt: skip
    centres = {(round(p.centre[0], 6), round(p.centre[1], 6)) for p in arcs}
    ((x, y),) = centres
    return opening.at + x, y


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_the_blade_closes_its_own_notch_and_no_other(name: str, way: tuple[str, ...]) -> None:
    """The blade's section in each notch: in RIGHT no iron in the card and no light; in the keener
    one iron in the card; in the blunter one light."""
    plan = planned(name, way)
    card = gauges.edge_gauge(plan)
    keen, right, blunt = card.openings
    slack = 2.0 * right.depth * 2.0 * SAGITTA  # both sides, each as far off as an arc may be
    iron, light = tried(plan, card, right)
    assert iron < slack
    assert light < slack
    area = math.tan(math.radians(5.0)) / 2.0 * (right.depth - RELIEF) ** 2 / 2.0
    assert tried(plan, card, keen)[0] > area / 2.0 > slack
    assert tried(plan, card, blunt)[1] > area / 2.0


def sides(opening: Opening) -> float:
    """The angle between a flat notch's sides, by its vertices [degrees]."""
    pieces = [p for p in Contour(opening.run, closed=False).pieces if p.is_line]
    first, last = pieces[0], pieces[-1]
    ways = [math.atan2(p[1][1] - p[0][1], p[1][0] - p[0][0])
            for p in (((first.x1, first.y1), (first.x0, first.y0)),
                      ((last.x0, last.y0), (last.x1, last.y1)))]  # fmt: skip
    return math.degrees(ways[1] - ways[0])


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_the_notch_stands_open_by_the_models_angle(name: str, way: tuple[str, ...]) -> None:
    """The angle by the vertices, against the blade's thickness a hundredth behind its edge."""
    plan = planned(name, way)
    blade = plan.head.blade
    if plan.design.blade.bevel == "convex":
        pytest.skip("rounded: tried against the blade's section")
    near = 0.01
    thick = float(blade.thickness(np.array(plan.head.length - near), np.array(blade.edge.y)))
    angle = math.degrees(2.0 * math.atan(thick / 2.0 / near))
    if blade.bevel.one_face:
        angle = math.degrees(math.atan(thick / near))
    keen, right, blunt = gauges.edge_gauge(plan).openings
    assert sides(right) == pytest.approx(angle, abs=1e-6)
    assert sides(keen) == pytest.approx(angle - 5.0, abs=1e-6)
    assert sides(blunt) == pytest.approx(angle + 5.0, abs=1e-6)


@pytest.mark.parametrize("by", [-0.5, 0.5])
@pytest.mark.parametrize("way", ["one bevel", "convex", "flared"])
def test_a_wrong_angle_is_seen(way: str, by: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a degree off, and the blade no longer closes the notch."""
    plan = planned("belt-hatchet", WAYS[way])
    blade = replace(plan.design.blade, edge_angle=plan.design.blade.edge_angle + by)
    wrong = replace(plan, head=replace(plan.head, design=replace(plan.design, blade=blade)))
    card = gauges.edge_gauge(wrong)
    right = card.openings[1]
    slack = 2.0 * right.depth * 2.0 * SAGITTA
    assert tried(plan, card, right)[0 if by < 0.0 else 1] > slack


# Slots -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_the_straps_slots(name: str, way: tuple[str, ...]) -> None:
    """By the cut card: as wide as the drawn strap and a little more and less, past its middle."""
    plan = planned(name, way)
    go, stop = holes(gauges.strap_gauge(plan, "mm"))
    wide = [across(slot, -1.0)[1] - across(slot, -1.0)[0] for slot in (go, stop)]
    strap = plan.strap.drawn_thickness
    assert wide == pytest.approx([strap + TOLERANCE, strap - TOLERANCE], abs=1e-9)
    deep = -go.bounds[1]
    above, below = eye_heights(plan.design)
    assert deep == -stop.bounds[1]
    assert deep > (above + below) / 2.0
    assert deep > plan.strap.mean_height / 2.0


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_the_blades_slots(name: str, way: tuple[str, ...]) -> None:
    """Each slot as wide as the finished blade is there behind its step, and as with the grinding
    on both faces ahead of it; the last at the bevel's back."""
    plan = planned(name, way)
    head, grinding = plan.head, plan.design.allowances.grinding
    slots = [hole for card in gauges.blade_gauges(plan, "mm") for hole in holes(card)]
    stations = gauges.stations(plan)
    assert len(slots) == len(stations)
    for slot, station in zip(slots, stations, strict=True):
        x = np.array(head.plan.eye_front + station.ahead)
        there = float(head.blade.thickness(x, np.array(head.side.edge.y)))
        outer, inner = (across(slot, y)[1] - across(slot, y)[0] for y in (-1.0, -23.0))
        assert inner == pytest.approx(there, abs=1e-6)
        assert outer == pytest.approx(there + 2.0 * grinding, abs=1e-6)
    assert stations[-1].bevel
    assert [s.ahead for s in stations] == sorted(s.ahead for s in stations)


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_the_bits_slots(name: str, way: tuple[str, ...]) -> None:
    """Against the bit as it lies in the blade, where both of its legs count if it is overlaid."""
    plan = planned(name, way)
    found = gauges.bit_gauge(plan, "mm")
    if plan.bit is None:
        assert found == ()
        return
    (card,) = found
    lying, legs = plan.head.blade.bit, 2.0 if plan.bit.overlaid else 1.0
    end, middle, whole, *section = holes(card)
    wide = [across(slot, -1.0)[1] - across(slot, -1.0)[0] for slot in (end, middle, whole)]
    back = lying.depth - np.array([0.0, lying.scarf / 2.0, lying.scarf])
    assert wide == pytest.approx(lying.plate(back) / legs, abs=1e-9)
    for notch in section:  # as thick at each distance from its bottom as the scarf from its end
        for share in (0.01, 0.3, 0.7, 0.99):
            left, right = across(notch, notch.bounds[1] + share * lying.scarf)
            thick = float(lying.plate(np.array(lying.depth - share * lying.scarf))) / legs
            assert right - left == pytest.approx(thick, abs=1e-6)


# Plugs -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_plugs_are_the_eye_less_the_fit(name: str, way: tuple[str, ...]) -> None:
    plan = planned(name, way)
    fit = gauges.plug_fit(plan.head)
    assert 0.0 < fit <= gauges.FIT
    found = gauges.plugs(plan, "mm")
    sections = {at: contour for at, _, contour in plan.head.eye_sections}
    assert len(found) == (3 if len({round(c.area, 9) for c in sections.values()}) > 1 else 1)
    for plug in found:
        eye = polygon(sections.get(plug.name, sections["middle"]))
        own = polygon(plug.cuts[0])
        assert eye.contains(own)
        assert own.symmetric_difference(eye.buffer(-fit, quad_segs=64)).area < 0.01
        edge = shapely.points(own.exterior.coords)
        assert shapely.distance(edge, eye.exterior) == pytest.approx(fit, abs=0.002)


LEANING = [("camp-axe", ()), ("tomahawk", ()), ("felling-axe", ()), ("carpenters-axe", ()),
           ("belt-hatchet", WAYS["flared"]), ("belt-hatchet", WAYS["wider below"])]  # fmt: skip


@pytest.mark.parametrize(("name", "way"), LEANING)
def test_a_plug_sticks_where_it_is_said_to(name: str, way: tuple[str, ...]) -> None:
    """The plug carried down, or up, through sections of the eye until one does not hold it: in a
    hundred steps, and in ten from the last of them that holds it on."""
    plan = planned(name, way)
    head, fit = plan.head, gauges.plug_fit(plan.head)
    above, below = eye_heights(plan.design)
    for _, height, section in head.eye_sections:
        plug = polygon(grown(section, -fit))
        seat = gauges.seat(head, height, fit)
        way_in = np.linspace(above, -below, 1001)
        if not seat.above:
            way_in = way_in[::-1]

        def holds(y: float, plug: shapely.Polygon = plug) -> bool:
            eye = grown(head.eye.contour, head.eye_offset(float(y)) + 1e-3)
            return bool(polygon(eye).covers(plug))

        stuck = None
        first = next((i for i in range(0, 1001, 10) if not holds(way_in[i])), None)
        if first is not None:
            last = max(0, first - 10)
            near = next(i for i in range(last, first + 1) if not holds(way_in[i]))
            stuck = float(way_in[near])
        if seat.stop is None:
            assert stuck is None
        else:
            assert stuck is not None
            lean = max(map(abs, (head.eye_offset(above) / above, head.eye_offset(-below) / below)))
            assert abs(stuck - seat.stop) < (above + below) / 1000.0 + 2e-3 / (lean or 1.0) + 0.05


def test_some_plugs_stick_and_some_pass() -> None:
    """So that the test above looks at both."""
    stops = [
        gauges.seat(plan.head, y, gauges.plug_fit(plan.head)).stop
        for plan in itertools.starmap(planned, LEANING)
        for _, y, _ in plan.head.eye_sections
    ]
    assert None in stops
    assert sum(stop is not None for stop in stops) > 6


# The head's outline ----------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_template_and_window_are_the_heads_outline(name: str, way: tuple[str, ...]) -> None:
    plan = planned(name, way)
    over, window = gauges.go_over(plan, "mm"), gauges.negative(plan, "mm")
    outline = polygon(plan.head.side.contour)
    template, hole = polygon(over.cuts[0]), polygon(window.cuts[1])
    assert over.cuts[0].area == pytest.approx(outline.area, abs=FINE * outline.length)
    assert -window.cuts[1].area == pytest.approx(outline.area, abs=FINE * outline.length)
    assert shapely.hausdorff_distance(template.exterior, outline.exterior) < 2.0 * FINE
    assert hole.symmetric_difference(template).area < 2.0 * FINE * outline.exterior.length
    frame = polygon(window.cuts[0])
    assert frame.exterior.distance(hole) == pytest.approx(FRAME, abs=1e-9)
    assert template.buffer(-1.5).contains(polygon(over.cuts[1]))


def test_a_wrong_outline_is_seen() -> None:
    outline = planned("broad-hatchet").head.side.contour
    wrong = replace(
        outline, vertices=(outline.vertices[0]._replace(x=0.1), *outline.vertices[1:])
    )  # fmt: skip
    assert shapely.hausdorff_distance(polygon(wrong).exterior, polygon(outline).exterior) > 0.05


# Halves ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_a_half_lies_wherever_the_finished_blade_has_more_than_the_bit(
    name: str, way: tuple[str, ...]
) -> None:
    """Places all over the blade: inside the body's outline where the finished blade is thicker
    than its bit, outside where the bit is all of it."""
    plan = planned(name, way)
    head = plan.head
    front, shape = head.plan.eye_front, polygon(head.side.contour)
    outline = polygon(gauges.body_outline(plan))
    _, low, right, high = shape.bounds
    x, y = (
        field.ravel()
        for field in np.meshgrid(np.linspace(front + 0.1, right, 90), np.linspace(low, high, 90))
    )
    inside = shapely.contains_xy(shape.buffer(-0.1), x, y)
    x, y = x[inside], y[inside]
    iron = head.blade.thickness(x, y) - head.blade.bit_thickness(x, y)
    clear = shapely.distance(outline.exterior, shapely.points(x, y)) > 0.05
    there = shapely.contains_xy(outline, x, y)
    assert (there[clear] == (iron[clear] > 1e-9)).all()
    assert there.sum() > 500
    assert polygon(gauges.half_outline(plan)).buffer(1e-6).covers(outline)


@pytest.mark.parametrize(("name", "way"), EVERY, ids=IDS)
def test_a_half_is_larger_by_the_trimming(name: str, way: tuple[str, ...]) -> None:
    """Every point of the body's outline lies so far inside the half's, but at the shoulder."""
    plan = planned(name, way)
    trimming, front = plan.design.allowances.trimming, plan.head.plan.eye_front
    body, half = (polygon(f(plan)) for f in (gauges.body_outline, gauges.half_outline))
    rim = [p for p in body.exterior.coords if p[0] > front + 2.0 * trimming + 1.0]
    away = shapely.distance(shapely.points(rim), half.exterior)
    assert away == pytest.approx(trimming, abs=2.0 * SAGITTA)
    assert half.bounds[0] == pytest.approx(front, abs=1e-9)
    ends = [p for p in half.exterior.coords if abs(p[0] - front) < 1e-9]
    assert max(p[1] for p in ends) - min(p[1] for p in ends) > 4.0  # a straight end to lay on


@pytest.mark.parametrize("name", NAMES)
def test_the_halves_hold_what_is_forged_of_the_blade(name: str) -> None:
    """Mean thickness times area, both halves, is the finished blade with what is yet to come off:
    summed by hand over the balance."""
    plan = planned(name)
    zone = plan.zone("blade")
    volume = gauges.half_thickness(plan) * gauges.half_outline(plan).area * plan.fold.halves
    assert volume == pytest.approx(zone.finished + zone.grinding + zone.trimming, rel=1e-9)
    # and no half is thicker than the bar that it is spread from
    assert gauges.half_thickness(plan) < plan.design.bar.thickness
