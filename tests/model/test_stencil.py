"""Stencil letters: nothing falls out that should stay, and nothing is thinner than asked for."""

from __future__ import annotations

import itertools

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns import stencil

SIGNS = sorted(stencil.SIGNS - {" "})


def shapes(text: str, height: float, stroke: float, bridge: float) -> list[shapely.Polygon]:
    return [shapely.Polygon(c.points()) for c in stencil.word(text, height, stroke, bridge)]


def narrowest(found: list[shapely.Polygon]) -> float:
    return min((a.distance(b) for a, b in itertools.combinations(found, 2)), default=float("inf"))


@settings(max_examples=60, deadline=None)
@given(
    st.text(SIGNS, min_size=1, max_size=5),
    st.floats(0.5, 6.0), st.floats(0.5, 1.2), st.floats(1.0, 2.0),
)  # fmt: skip
def test_metal_between_letters_and_in_them_is_a_bridge_wide(
    text: str, stroke: float, share: float, more: float
) -> None:
    bridge = share * stroke
    height = more * stencil.least_height(stroke, bridge, 0.0)
    found = shapes(text, height, stroke, bridge)
    plate = shapely.box(-500, -500, 5000, 5000).difference(shapely.union_all(found))
    assert isinstance(plate, shapely.Polygon)  # in one piece: no island has fallen out
    assert all(shape.is_valid for shape in found)
    # a simplified corner stands out by the share of a stroke that the module says
    assert narrowest(found) >= bridge - 2.0 * 0.04 * stroke - 1e-6


@pytest.mark.parametrize("sign", SIGNS)
def test_every_stroke_is_as_wide_as_asked_for(sign: str) -> None:
    stroke, bridge = 2.0, 2.0
    for shape in shapes(sign, stencil.least_height(stroke, bridge, 0.0), stroke, bridge):
        # the tool, narrower than the stroke by what simplifying takes, gets in everywhere
        assert not shape.buffer(-0.5 * stroke + 0.1).is_empty
        assert shape.area > 0.7 * stroke**2


def test_a_closed_letter_without_a_bridge_would_fall_out() -> None:
    """The control: an O of one ring has an island, and the letters here have none."""
    ring = shapely.Point(0, 0).buffer(10).difference(shapely.Point(0, 0).buffer(8))
    plate = shapely.box(-50, -50, 50, 50).difference(ring)
    assert len(shapely.get_parts(plate)) == 2
    assert len(stencil.word("O", 30, 2, 2)) == 2


def test_the_line_stands_on_the_origin_as_high_as_asked_for() -> None:
    box = shapely.union_all(shapes("HEL", 30.0, 2.0, 2.0)).bounds
    assert box == pytest.approx((0.0, 0.0, box[2], 30.0), abs=1e-6)


@pytest.mark.parametrize("sign", SIGNS)
def test_no_sign_stands_out_above_or_below_its_line(sign: str) -> None:
    """The points of an N or W would, where their strokes meet at a slant."""
    boxes = [c.bounds for c in stencil.word(sign, 12.0, 1.6, 1.5)]
    assert min(box.bottom for box in boxes) >= -1e-9
    assert max(box.top for box in boxes) <= 12.0 + 1e-9


def test_letters_are_clockwise_as_holes_are() -> None:
    assert all(c.area < 0 for c in stencil.word("AB 3/8", 30.0, 2.0, 2.0))


@pytest.mark.parametrize("text", ["A&B", "50 %", "?"])
def test_other_signs_are_refused_by_name(text: str) -> None:
    with pytest.raises(ValueError, match="no stencil letters for"):
        stencil.word(text, 30.0, 2.0, 2.0)


def test_low_letters_are_refused() -> None:
    with pytest.raises(ValueError, match="too low"):
        stencil.word("A", 9.9, 2.0, 2.0)
