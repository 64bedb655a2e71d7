"""Drifting by a case that can be reckoned exactly: a ring opened on a round drift.

Its section is plane and its metal stays, so the area ``pi (R^2 - r^2)`` does; by Pappus that is
the middle line times the wall, and the law must give the wall exactly.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.forging.shoulder import (
    before_drifting,
    cap_after_drifting,
    cap_of_eye,
    drifted,
)
from patterns.forging.spread import drawn


def opened(inner: float, wall: float, larger: float) -> float:
    """Wall of a ring once its hole is opened from one radius to a larger: by areas alone."""
    area = math.pi * ((inner + wall) ** 2 - inner**2)
    return math.sqrt(area / math.pi + larger**2) - larger


def test_ring_of_shop_practice() -> None:
    """Shop Practice, vol. 2, Fig. 101: 4 in outside, 3 in inside, area printed 5.50 sq in.

    Opened to 3 1/4 in inside: 5.50 / pi + 1.625^2 = 4.3914, R = 2.09556, the wall 0.4706 in. The
    two printed figures behind 5.50 are rounded, 0.05 %.
    """
    middle = [math.pi * (d + t) for d, t in ((3.0, 0.5), (3.25, 0.4706))]
    wall = drifted(length=middle[0], thickness=0.5, stretch=middle[1] / middle[0] - 1.0)
    assert wall.thickness == pytest.approx(0.4706, abs=0.0003)
    assert wall.length * wall.thickness == pytest.approx(5.50, abs=0.005)


@given(st.floats(2.0, 40.0), st.floats(0.5, 15.0), st.floats(1.0, 1.5))
def test_ring_opened_on_a_drift(inner: float, wall: float, wider: float) -> None:
    after = opened(inner, wall, inner * wider)
    before_line = math.tau * (inner + wall / 2.0)
    after_line = math.tau * (inner * wider + after / 2.0)
    found = drifted(
        length=before_line, thickness=wall, stretch=max(after_line / before_line - 1.0, 0.0)
    )
    assert found.thickness == pytest.approx(after, rel=1e-9)
    assert found.length == pytest.approx(after_line, rel=1e-9)


@given(st.floats(5.0, 80.0), st.floats(2.0, 12.0), st.floats(0.0, 0.5))
def test_what_is_drawn_is_what_drifts_to_it(length: float, wall: float, stretch: float) -> None:
    drawn_to = before_drifting(length=length, thickness=wall, stretch=stretch)
    again = drifted(length=drawn_to.length, thickness=drawn_to.thickness, stretch=stretch)
    assert (again.length, again.thickness) == pytest.approx((length, wall), rel=1e-12)
    assert drawn_to.length <= length
    assert drawn_to.thickness >= wall


def test_drifting_is_drawing_without_spread() -> None:
    # the law of drawing at s = 0, which keeps the height: 6 mm to 5 mm lengthens by a fifth
    wall = drifted(length=40.0, thickness=6.0, stretch=0.2)
    strap = drawn(thickness_before=6.0, thickness_after=5.0, width=38.0, length=40.0, spread=0.0)
    assert (wall.length, wall.thickness) == pytest.approx((strap.length, strap.thickness))


def test_the_cap_grows_by_what_the_walls_lose() -> None:
    # 10 mm bar, 5 mm wall, 25 %: the wall is 4 mm, the step 6, two of them 12; before, 10
    assert cap_of_eye(bar_thickness=10.0, wall=5.0) == 10.0
    cap = cap_after_drifting(bar_thickness=10.0, wall=5.0, stretch=0.25)
    assert cap == pytest.approx(12.0, rel=1e-12)
    ramp = cap_after_drifting(bar_thickness=10.0, wall=5.0, stretch=0.25, step=1.5)
    assert ramp == pytest.approx(18.0, rel=1e-12)
    assert cap_after_drifting(bar_thickness=10.0, wall=5.0, stretch=0.0) == 10.0


def test_what_a_drift_cannot_do() -> None:
    for stretch in (-0.01, math.nan, math.inf):
        with pytest.raises(ValueError, match="cannot shorten"):
            drifted(length=40.0, thickness=5.0, stretch=stretch)
        with pytest.raises(ValueError, match="cannot shorten"):
            before_drifting(length=40.0, thickness=5.0, stretch=stretch)
        with pytest.raises(ValueError, match="cannot shorten"):
            cap_after_drifting(bar_thickness=9.0, wall=5.0, stretch=stretch)
    with pytest.raises(ValueError, match="length must be more than 0"):
        drifted(length=0.0, thickness=5.0, stretch=0.02)
