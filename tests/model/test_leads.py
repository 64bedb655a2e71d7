"""Lead-ins: the pierce in the scrap, one touch with the contour, tangent, clear of all else.

Distances and sides by Shapely, which the leads take no distance from.
"""

from __future__ import annotations

import math

import pytest
import shapely
from designs import examples
from hypothesis import given
from hypothesis import strategies as st

from patterns import profiles
from patterns.blank import ForgePlan, plan
from patterns.contour import Contour, Vertex
from patterns.eye import eye_form, stadium
from patterns.gauges import gauges
from patterns.leads import FORMS, PIERCE, SHORTER, LeadError, Led, with_lead
from patterns.offset import parallel
from patterns.templates import PATTERNS, templates, usual_way

NAMES = list(profiles.shipped())
PLANS: dict[str, ForgePlan] = {}
FINE = 1e-4


def planned(name: str) -> ForgePlan:
    if name not in PLANS:
        PLANS[name] = plan(profiles.load(name).design, "in")
    return PLANS[name]


def area(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(contour.points(FINE))


def line(contour: Contour) -> shapely.LineString:
    points = contour.points(FINE)
    return shapely.LineString(points + points[: int(contour.closed)])


def faults(
    led: Led, contour: Contour, inside: bool, clearance: float, obstacles: list[Contour]
) -> list[str]:
    """What is wrong with a lead and the contour that it goes round."""
    found = []
    ring, lead = area(contour), line(led.lead)
    end = led.contour.vertices[0]
    if led.lead.closed or math.dist(led.lead.vertices[-1][:2], end[:2]) > 1e-9:
        found.append("the lead does not end where the contour begins")
    if ring.contains(shapely.Point(led.pierce)) != inside:
        found.append("the pierce is not in the scrap")
    if ring.exterior.distance(shapely.Point(led.pierce)) < PIERCE * clearance - 1e-3:
        found.append("the pierce is too near")
    # all but the end's own surroundings keep off the contour, and on one side of it
    off = lead.difference(shapely.Point(end[:2]).buffer(0.2 * led.lead.length))
    if off.distance(ring.exterior) <= 0.0 or ring.contains(off) != inside:
        found.append("the lead touches the contour before its end")
    if not lead.is_simple:
        found.append("the lead crosses itself")
    if (led.contour.area > 0.0) != inside:
        found.append("the contour runs the wrong way round")
    if abs(abs(led.contour.area) - abs(contour.area)) > 1e-9 * abs(contour.area) + 1e-9:
        found.append("the contour's area is not what it was")
    if area(led.contour).symmetric_difference(ring).area > 1e-3 * contour.length:
        found.append("the contour is not what it was")
    into, out = led.lead.pieces[-1].angle_at(1.0), led.contour.pieces[0].angle_at(0.0)
    turn = math.remainder(out - into, math.tau)
    last = led.contour.pieces[-1].angle_at(1.0)
    smooth = abs(math.remainder(out - last, math.tau)) < 1e-3
    arc = not led.lead.pieces[-1].is_line
    if arc and abs(turn) > 1e-6:
        found.append("the arc is not tangent")
    # square-on to a line or arc; to the nearest point from a hole's middle it may be a corner
    if not arc and smooth and abs(turn - math.pi / 2.0) > 1e-3:
        found.append("the straight lead is not square, from the left")
    for other in obstacles:
        if lead.distance(line(other)) < clearance - 1e-3:
            found.append("an obstacle is too near")
    return found


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", NAMES[::3])
def test_patterns_and_gauges(name: str, form: str) -> None:
    """Everything of a head that is cut: a lead of 6 mm for a kerf of 1.5 mm, or words of why none
    fits."""
    parts = [list(gauge.cuts) for gauge in gauges(planned(name), "in")]
    made = templates(planned(name), usual_way("in"), PATTERNS).made
    parts += [list(each.part.cuts) for each in made]
    done = 0
    for cuts in parts:
        for number, cut in enumerate(cuts):
            rest = [other for other in cuts if other is not cut]
            try:
                led = with_lead(
                    cut, inside=number > 0, length=6.0, clearance=0.75, obstacles=rest, form=form
                )
            except LeadError:
                assert number > 0
                assert shapely.maximum_inscribed_circle(area(cut)).length < 2.0 * 1.5
                continue
            done += 1
            assert faults(led, cut, number > 0, 0.75, rest) == []
            assert led.lead.length <= 6.0 + 1e-9
    assert done > 10


def test_a_long_line_is_begun_at_its_middle() -> None:
    led = with_lead(Contour.rectangle(0, 0, 60, 20), inside=False, length=5.0)
    assert led.contour.vertices[0].x == pytest.approx(30.0)
    quarter = led.lead.pieces[0]
    assert quarter.sweep == pytest.approx(math.pi / 2.0)
    assert quarter.length == pytest.approx(5.0)


def test_a_corner_of_the_part_where_no_line_is_long() -> None:
    """And never the point of a notch: a star's inner corners are passed over."""
    points = [
        (r * math.cos(i * math.pi / 7.0), r * math.sin(i * math.pi / 7.0))
        for i, r in enumerate([22.0, 18.0] * 7)
    ]
    for inside in (False, True):
        led = with_lead(Contour.polygon(points), inside=inside, length=10.0)
        radius = math.hypot(*led.contour.vertices[0][:2])
        # a hole's inner corner is a corner of the part
        assert radius == pytest.approx(18.0 if inside else 22.0)
        assert faults(led, Contour.polygon(points), inside, 0.0, []) == []


def test_the_whole_path_is_one_open_run() -> None:
    led = with_lead(stadium(50.0, 20.0).contour, inside=True, length=5.0)
    assert not led.path.closed
    assert led.path.length == pytest.approx(led.lead.length + led.contour.length)
    assert led.path.vertices[-1][:2] == led.contour.vertices[0][:2]
    for one, other in zip(led.path.pieces, led.path.pieces[1:], strict=False):
        assert math.dist((one.x1, one.y1), (other.x0, other.y0)) < 1e-9


def test_obstacles_are_gone_round() -> None:
    """Another part along the longest side: the cut begins at the side that is free."""
    plate = Contour.rectangle(0, 0, 60, 30)
    beside = [Contour.rectangle(0, 33, 60, 40), Contour.line((-5.0, -3.0), (65.0, -3.0))]
    led = with_lead(plate, inside=False, length=6.0, clearance=0.75, obstacles=beside)
    assert faults(led, plate, False, 0.75, beside) == []
    assert led.contour.vertices[0].x in (0.0, 60.0)
    shut = [*beside, Contour.line((-3.0, -5.0), (-3.0, 45.0)), Contour.line((63, -5), (63, 45))]
    short = with_lead(plate, inside=False, length=6.0, clearance=0.75, obstacles=shut)
    assert short.lead.length == pytest.approx(3.0) or short.lead.length < 6.0
    assert faults(short, plate, False, 0.75, shut) == []
    near = [parallel(plate, 1.0)]
    with pytest.raises(LeadError, match=r"no room outside .* 3\.00 mm"):
        with_lead(plate, inside=False, length=6.0, clearance=0.75, obstacles=near)


@pytest.mark.parametrize("radius", [1.6, 2.0, 3.0, 3.9])
def test_a_small_hole_from_its_middle(radius: float) -> None:
    hole = Contour.circle(10.0, 5.0, radius)
    led = with_lead(hole, inside=True, length=9.0, clearance=0.75)
    assert faults(led, hole, True, 0.75, []) == []
    assert led.pierce == pytest.approx((10.0, 5.0), abs=2e-3)
    assert led.lead.length == pytest.approx(radius, abs=2e-3)


def test_a_hole_too_small_is_refused() -> None:
    with pytest.raises(LeadError, match=r"the hole is too small for .*\(at 11\.40, 5\.00 mm\)"):
        with_lead(Contour.circle(10.0, 5.0, 1.4), inside=True, length=6.0, clearance=0.75)
    with pytest.raises(LeadError, match="too small"):
        with_lead(Contour.rectangle(0, 0, 40, 2.0), inside=True, length=6.0, clearance=0.75)


def test_what_cannot_be_led() -> None:
    square = Contour.rectangle(0, 0, 20, 20)
    with pytest.raises(ValueError, match="open"):
        with_lead(Contour.line((0, 0), (9, 0)), inside=False, length=3.0)
    with pytest.raises(ValueError, match="form"):
        with_lead(square, inside=False, length=3.0, form="loop")
    for length, clearance in ((0.0, 0.5), (-1.0, 0.5), (math.inf, 0.5), (3.0, -0.1)):
        with pytest.raises(ValueError, match="must be more"):
            with_lead(square, inside=False, length=length, clearance=clearance)


def test_a_bad_lead_would_be_seen() -> None:
    """Negative controls of the test's own eye."""
    square = Contour.rectangle(0, 0, 40, 40)
    good = with_lead(square, inside=False, length=6.0, clearance=0.75)
    assert faults(good, square, False, 0.75, []) == []
    mirrored = Led(
        Contour.line((20.0, 34.0), (20.0, 40.0)), with_lead(square, inside=False, length=6.0)[1]
    )
    assert "the pierce is not in the scrap" in faults(mirrored, square, False, 0.75, [])
    across = Led(Contour.line((20.0, -8.0), (20.0, 40.0)), good.contour)
    assert "the lead touches the contour before its end" in faults(across, square, False, 0.0, [])
    back = Led(good.lead, good.contour.reversed())
    assert "the contour runs the wrong way round" in faults(back, square, False, 0.75, [])
    leaning = Led(Contour.line((24.0, 46.0), good.contour.vertices[0][:2]), good.contour)
    assert "the straight lead is not square, from the left" in faults(
        leaning, square, False, 0.75, []
    )
    assert "an obstacle is too near" in faults(
        good, square, False, 0.75, [Contour.rectangle(-2.0, -2.0, 42.0, 42.0)]
    )


EYE = eye_form("teardrop", 50.8, 15.875, 1.8, 2.5).contour


@examples(150)
@given(
    st.lists(st.tuples(st.floats(10.0, 40.0), st.floats(-0.5, 0.5)), min_size=3, max_size=9),
    st.booleans(), st.floats(2.0, 12.0), st.sampled_from(FORMS),
)  # fmt: skip
def test_random_shapes(
    corners: list[tuple[float, float]], inside: bool, length: float, form: str
) -> None:
    count = len(corners)
    contour = Contour(
        tuple(
            Vertex(r * math.cos(i * math.tau / count), r * math.sin(i * math.tau / count), b)
            for i, (r, b) in enumerate(corners)
        )
    )
    if not area(contour).is_valid or abs(contour.area) < 100.0:
        contour = EYE
    try:
        led = with_lead(contour, inside=inside, length=length, clearance=0.4, form=form)
    except LeadError:
        assert shapely.maximum_inscribed_circle(area(contour)).length < max(SHORTER) * length
        return
    assert faults(led, contour, inside, 0.4, []) == []
