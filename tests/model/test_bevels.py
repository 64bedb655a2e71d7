"""The bevel behind the edge: both faces, one face, convex; measured on sections of the blade.

The angle of an edge is measured here as one would with a gauge: on a section cut square to the
edge, between the two faces a little behind it. Nothing below asks the package for a slope.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from designs import FOLDED, LOPSIDED, Raw, changed, examples, mm, planned, wide_designs, written
from hypothesis import given
from hypothesis import strategies as st

from patterns import blank, profiles, views
from patterns.blank import ForgePlan
from patterns.errors import BadInputError
from patterns.parameters import BEVELS
from patterns.thickness import bevel_of

NEAR = 0.01
"""How far behind the edge its angle is measured [mm]."""


def faces(plan: ForgePlan, depth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Both faces at depths behind the edge's foremost point [mm], on a level section."""
    blade, head = plan.head.blade, plan.head
    x = head.length - depth
    thick = blade.thickness(x, np.full_like(x, head.side.edge.y))
    middle = blade.middle(thick)
    return middle - thick / 2.0, middle + thick / 2.0


def opened(plan: ForgePlan) -> float:
    """Angle between the faces at the edge [degrees]."""
    low, high = faces(plan, np.array([0.0, NEAR]))
    lean = [math.atan2(float(f[1] - f[0]), NEAR) for f in (low, high)]
    return math.degrees(lean[1] - lean[0])


@examples(40)
@given(wide_designs(), st.sampled_from(BEVELS))
def test_the_edge_has_the_angle_asked(drawn: tuple[Raw, ForgePlan], form: str) -> None:
    """0.01 mm behind the edge a convex bevel of 15 mm or more has turned by less than 0.03 deg."""
    _, plan = drawn
    head, blade = plan.head, plan.design.blade
    if not head.side.edge.heel[1] < head.side.edge.y < head.side.edge.toe[1]:
        return  # the foremost point is a corner: no section is square to the edge there
    assert opened(plan) == pytest.approx(blade.edge_angle, abs=0.05)
    # and by the law alone, of all three forms
    law = bevel_of(form, math.radians(blade.edge_angle))
    if form == "convex":
        law = replace(law, reach=20.0, apex=30.0)
    thin = float(law.thickness(np.array(1e-6))) / 1e-6
    angle = math.atan(thin) if form == "one" else 2.0 * math.atan(thin / 2.0)
    assert math.degrees(angle) == pytest.approx(blade.edge_angle, abs=1e-4)


def test_a_wrong_angle_would_be_seen() -> None:
    """Half the angle, or one-bevel reckoned as of both faces, is degrees away."""
    plan = planned(FOLDED["one-sided"])
    assert plan.design.blade.bevel == "one"
    asked = math.radians(plan.design.blade.edge_angle)
    # the width of a bevel of two faces at the same angle is less: 2 tan(a/2) < tan(a)
    low, high = faces(plan, np.array([0.0, 1.0]))
    thick = float((high - low)[1])
    assert thick == pytest.approx(math.tan(asked), rel=1e-9)
    assert abs(math.degrees(2.0 * math.atan(thick / 2.0) - asked)) > 0.5


@pytest.mark.parametrize("name", ["one-sided", "round"])
def test_one_face_is_flat(name: str) -> None:
    """From the first station to the edge one face is a plane; the whole taper is on the other."""
    plan = planned(FOLDED[name])
    assert plan.design.blade.bevel == "one"
    x, low, high = views.blade_section(plan.head, plan.head.blade.start)
    assert np.ptp(low) < 1e-9
    assert low[0] == pytest.approx(-plan.head.blade.stations[0][1] / 2.0)
    assert high[0] == pytest.approx(plan.head.blade.stations[0][1] / 2.0)
    assert high[-1] == pytest.approx(low[-1], abs=1e-9)
    assert (np.diff(x) > 0.0).all()
    depth = np.linspace(0.0, plan.head.length - plan.head.blade.start, 400)
    low, high = faces(plan, depth)
    assert np.ptp(low) < 1e-9
    assert np.ptp(high) > 5.0
    # all heights, not the middle alone
    blade, edge = plan.head.blade, plan.head.side.edge
    y = np.linspace(edge.heel[1], edge.toe[1], 21)[:, None]
    places = np.linspace(blade.start, plan.head.length, 90)
    thick = blade.thickness(places, y + np.zeros_like(places))
    assert np.ptp(blade.middle(thick) - thick / 2.0) < 1e-9


def test_both_faces_are_alike() -> None:
    for name in ("cheeks", "block"):
        plan = planned(FOLDED[name])
        assert plan.design.blade.bevel != "one"
        _, low, high = views.blade_section(plan.head, plan.head.blade.start)
        assert low == pytest.approx(-high, abs=1e-12)


@examples(60)
@given(wide_designs(bevel="convex"))
def test_a_convex_bevel_has_no_dent(drawn: tuple[Raw, ForgePlan]) -> None:
    """From the edge straight back to the first station the blade never gets thinner, unless its
    stations do; and nowhere does its thickness jump: 2 tan(a/2) for each step at most."""
    _, plan = drawn
    blade, edge = plan.head.blade, plan.head.side.edge
    steepest = 2.0 * math.tan(math.radians(plan.design.blade.edge_angle) / 2.0)
    # only where the stations themselves thicken towards the eye all the way
    thicknesses = [t for _, t in blade.stations]
    falls = all(a >= b for a, b in itertools.pairwise(thicknesses))
    for share in (0.02, 0.25, 0.5, 0.75, 0.98):
        y = edge.heel[1] + share * (edge.toe[1] - edge.heel[1])
        front = edge.x + math.sqrt(edge.radius**2 - (y - edge.y) ** 2)
        x = np.linspace(front, blade.start, 2000)
        thick = blade.thickness(x, np.full_like(x, y))
        step = abs(float(x[1] - x[0]))
        lean = math.sqrt(edge.radius**2 - (y - edge.y) ** 2) / edge.radius
        assert float(np.abs(np.diff(thick)).max()) <= steepest * step * max(1.0, lean) * 1.0001
        if falls:
            assert float(np.diff(thick).min()) >= -1e-9


@pytest.mark.parametrize("grind", [30, 31, None])
def test_a_convex_bevel_is_round(grind: float | None) -> None:
    """A parabola: s d (1 - d / 2 D); its angle falls evenly all the way.

    Where its reach ends, g, it leans as the cheek m does there: s (1 - g / D) = m.
    """
    raw = changed(FOLDED["block"], blade__grind=None if grind is None else mm(grind))
    if grind is None:
        del raw["blade"]["grind"]
    plan = planned(raw)
    reach = plan.head.blade.bevel.reach
    if grind is not None:
        assert reach == grind
    asked = math.radians(plan.design.blade.edge_angle)
    apex = plan.head.blade.bevel.apex
    stations = sorted(plan.design.blade.stations)
    end = plan.head.fore.side.edge.foremost - reach
    i = max(i for i, (x, _) in enumerate(stations) if x < end or i == 0)
    (x0, t0), (x1, t1) = stations[i : i + 2]
    lean = (t0 - t1) / (x1 - x0)
    assert 2.0 * math.tan(asked / 2.0) * (1.0 - reach / apex) == pytest.approx(lean, rel=1e-6)
    width = plan.head.blade.bevel_width
    assert 5.0 < width < reach
    depth = np.linspace(0.0, width * 0.999, 500)
    low, high = faces(plan, depth)
    thick = high - low
    assert thick == pytest.approx(2 * math.tan(asked / 2) * depth * (1 - depth / (2 * apex)))
    assert float(np.diff(thick, 2).max()) < 0.0
    # bulges over the straight line from the edge to where it ends
    assert (thick[1:-1] > depth[1:-1] / depth[-1] * thick[-1]).all()
    # beyond it is the taper of the stations
    behind = np.linspace(width * 1.001, plan.head.length - plan.head.blade.start, 50)
    low, high = faces(plan, behind)
    front = plan.head.plan.eye_front
    places, stated = zip(*sorted(plan.design.blade.stations), strict=True)
    want = np.interp(plan.head.length - behind - front, places, stated)
    assert high - low == pytest.approx(want, abs=1e-9)


def test_a_convex_edge_is_thinner_than_a_flat_one() -> None:
    """Of the same angle at the edge, the rounded one takes off more: lighter, and further back.

    By some 8 mm of bevel: at a depth d it is s d^2 / 2 D thinner, 0.69 x 64 / 86 = 0.5 mm at its
    end; a third of that on the mean, over 8 mm and 80 mm of edge, is 107 mm3, 0.8 g.
    """
    base = FOLDED["block"]
    convex = planned(base)
    flat = changed(base, blade__bevel="both")
    del flat["blade"]["grind"]
    both = planned(flat)
    assert 0.35 < both.head.mass - convex.head.mass < 1.4
    assert convex.head.blade.bevel_width > both.head.blade.bevel_width + 0.3
    one = planned(changed(flat, blade__bevel="one"))
    # a bevel on one face alone is shorter at the same angle, so the head is heavier
    assert one.head.mass > both.head.mass
    t = float(one.head.blade.taper(np.array(one.head.length - one.head.blade.bevel_width)))
    assert one.head.blade.bevel_width == pytest.approx(
        t / math.tan(math.radians(base["blade"]["edge_angle"])), rel=1e-6
    )


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("grind", [8, 14, 20])
def test_a_grind_that_does_not_reach_the_cheek_is_refused(grind: float, units: str) -> None:
    """The message tells how far it must go; so far it is taken, at the first trial."""
    raw = changed(FOLDED["block"], blade__grind=mm(grind))
    with pytest.raises(BadInputError) as caught:
        planned(raw, units)
    (fault,) = caught.value.faults
    assert fault.field == "blade.grind"
    told = re.search(r"the cheek, (.+?) \(|the cheek, (.+?) at", fault.allowed)
    assert told is not None
    table = written(raw)
    table["blade"]["grind"] = told[1] or told[2]
    blank.plan(profiles.read(table, "trial", units).design, units)


def test_no_grind_would_do() -> None:
    """A cheek that thickens as fast as the bevel: the angle is at fault, not a grind not given."""
    raw = changed(LOPSIDED["superellipse"], blade__bevel="convex", blade__edge_angle=14)
    for grind in (None, mm(90)):
        if grind is not None:
            raw = changed(raw, blade__grind=grind)
        with pytest.raises(BadInputError) as caught:
            planned(raw)
        assert [fault.field for fault in caught.value.faults] == ["blade.edge_angle"]
