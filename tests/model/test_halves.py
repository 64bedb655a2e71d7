"""One half as it is spread: its outline against the finished head, its metal against the plan."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from designs import examples, wide_designs
from hypothesis import given

from patterns import blank, profiles
from patterns.blank import ForgePlan
from patterns.halves import FLAT, spread_half

NAMES = profiles.shipped()


def planned(name: str) -> ForgePlan:
    return blank.plan(profiles.load(name).design)


@pytest.mark.parametrize("name", NAMES)
def test_a_half_covers_the_blade_that_it_becomes(name: str) -> None:
    """Every point of the finished outline ahead of the shoulder, and behind where a bit stands
    alone, lies inside by what is trimmed; points further ahead lie outside."""
    plan = planned(name)
    half, blade = spread_half(plan), plan.head.blade
    start, trim = plan.head.plan.shoulder[0], plan.design.allowances.trimming
    shape = shapely.Polygon(half.contour.points(FLAT))
    bare = blade.cover if plan.bit is not None and not plan.bit.overlaid else 0.0
    inside = outside = 0
    for x, y in plan.head.side.contour.points(0.5):
        depth = float(blade.depth(np.array(x), np.array(y)))
        place = shapely.Point(x - start, y)
        if x > start + 2.0 and depth > bare + 0.1:
            assert shape.contains(place)
            near_cut = depth < bare + 2.0 * trim or x - start < 2.0 * trim
            if not near_cut:
                assert shape.exterior.distance(place) == pytest.approx(trim, abs=0.05)
            inside += 1
        elif bare > 1.0 and depth < bare - 0.1:
            assert not shape.contains(place)
            outside += 1
    assert inside > 5
    assert outside > 3 or bare <= 1.0


@pytest.mark.parametrize("name", NAMES)
def test_a_half_holds_the_metal_that_the_plan_has_for_it(name: str) -> None:
    """Area by Shapely times thickness times the halves: the blade's zone with its scale off."""
    plan = planned(name)
    half, zone = spread_half(plan), plan.zone("blade")
    area = shapely.Polygon(half.contour.points(0.001)).area
    metal = area * half.thickness * plan.fold.halves
    assert metal == pytest.approx(zone.bar - zone.scale, rel=1e-4)
    assert half.thickness < plan.design.bar.thickness


@examples(60)
@given(wide_designs())
def test_any_half_is_a_simple_outline(drawn: tuple[object, ForgePlan]) -> None:
    _, plan = drawn
    half = spread_half(plan)
    shape = shapely.Polygon(half.contour.points(FLAT))
    assert shape.is_valid
    assert half.length > 0.0 < half.thickness
    assert 0.0 < half.end <= half.contour.bounds.height + 1e-6
