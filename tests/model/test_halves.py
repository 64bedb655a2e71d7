"""One half as it is spread: its outline against the finished head, its metal against the plan."""

from __future__ import annotations

import pytest
import shapely
from designs import examples, wide_designs
from hypothesis import given

from patterns import blank, profiles
from patterns.blank import ForgePlan
from patterns.halves import bit_outline, forged_outline, half_outline, spread_half, uncovered

NAMES = profiles.shipped()


def planned(name: str) -> ForgePlan:
    return blank.plan(profiles.load(name).design)


@pytest.mark.parametrize("name", NAMES)
def test_a_half_begins_at_the_eye_and_is_as_wide_as_the_edge_asks(name: str) -> None:
    """Measured on the outline by Shapely: where it begins, how long it is, how wide ahead."""
    plan = planned(name)
    half, trim = spread_half(plan), plan.design.allowances.trimming
    shape = shapely.Polygon(half.contour.points(0.001))
    left, _, right, _ = shape.bounds
    assert (left, right) == pytest.approx((0.0, half.length), abs=1e-6)
    room = plan.head.length + trim - plan.head.plan.eye_front
    assert 0.3 * room < half.length <= room + 1e-6
    ahead = shape.intersection(shapely.box(right / 2.0, -500.0, 500.0, 500.0))
    assert ahead.bounds[3] - ahead.bounds[1] == pytest.approx(half.end, abs=0.5)


@pytest.mark.parametrize("name", NAMES)
def test_a_half_holds_the_metal_that_the_plan_has_for_it(name: str) -> None:
    """Area by Shapely times thickness times the halves: the blade's zone, scale and weld off."""
    plan = planned(name)
    half, zone = spread_half(plan), plan.zone("blade")
    area = shapely.Polygon(half.contour.points(0.001)).area
    metal = area * half.thickness * plan.fold.halves
    assert metal == pytest.approx(zone.bar - zone.scale - zone.weld, rel=1e-4)
    assert half.thickness < plan.design.bar.thickness


@examples(60)
@given(wide_designs())
def test_any_half_is_a_simple_outline(drawn: tuple[object, ForgePlan]) -> None:
    _, plan = drawn
    half = spread_half(plan)
    shape = shapely.Polygon(half.contour.points(0.01))
    assert shape.is_valid
    assert half.length > 0.0 < half.thickness
    assert 0.0 < half.end <= half.contour.bounds.height + 1e-6


@pytest.mark.parametrize("name", [n for n in NAMES if planned(n).bit is not None])
def test_bit_and_what_it_leaves_in_sight_are_the_half(name: str) -> None:
    """By area, with Shapely: nothing is drawn twice and nothing is lost, and the bit is as deep as
    it is told, measured on the centre line with what is trimmed off."""
    plan = planned(name)
    assert plan.bit is not None
    bit = shapely.Polygon(bit_outline(plan).points(0.01))
    whole = shapely.Polygon(forged_outline(plan).points(0.01))
    assert whole.buffer(0.02).contains(bit)
    if not plan.bit.overlaid:
        half = shapely.Polygon(half_outline(plan).points(0.01))
        seen = [shapely.Polygon(part.points(0.01)) for part in uncovered(plan)]
        assert sum(part.area for part in seen) == pytest.approx(
            half.area - half.intersection(bit).area, abs=2.0
        )
        assert all(part.intersection(bit).area < 0.5 for part in seen)
    edge = plan.head.side.edge
    across = shapely.LineString([(-50.0, edge.y), (900.0, edge.y)]).intersection(bit)
    deep = plan.head.blade.bit.depth + plan.design.allowances.trimming
    assert across.length == pytest.approx(deep, abs=0.1)
