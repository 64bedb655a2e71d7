"""The shoulder's ramp is the long side of a right triangle."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.contour import Contour
from patterns.forging.shoulder import cap_of_eye, step_face, step_of_ramp


@pytest.mark.parametrize(
    ("degrees", "step"),
    [(90.0, 1.0), (45.0, math.sqrt(2.0)), (30.0, 2.0), (60.0, 2.0 / math.sqrt(3.0))],
)
def test_well_known_triangles(degrees: float, step: float) -> None:
    assert step_of_ramp(math.radians(degrees)) == pytest.approx(step, rel=1e-12)


@given(st.floats(1.0, 20.0), st.floats(0.0, 60.0))
def test_against_the_measured_ramp(rise: float, run: float) -> None:
    # a ramp drawn from corner to corner: its length is what the tape would read
    across = Contour.polygon([(0.0, 0.0), (run + 1e-3, 0.0), (run + 1e-3, rise)])
    face = across.length - rise - (run + 1e-3)
    angle = math.atan2(rise, run + 1e-3)
    ours = step_face(bar_thickness=rise + 5.0, wall=5.0, step=step_of_ramp(angle))
    assert ours == pytest.approx(face, rel=1e-9)


def test_both_shoulders() -> None:
    # bar 3/8, wall 3/16 in, ramps 3-4-5: 3/16 high, 1/4 long, the face 5/16; twice that is 5/8
    step = step_of_ramp(math.atan2(3.0, 4.0))
    assert step == pytest.approx(5 / 3, rel=1e-12)
    cap = cap_of_eye(bar_thickness=9.525, wall=4.7625, step=step)
    assert cap / 25.4 == pytest.approx(5 / 8, rel=1e-12)


def test_no_step_at_all() -> None:
    assert cap_of_eye(bar_thickness=9.525, wall=9.525) == 0.0
    with pytest.raises(ValueError, match="thicker than the bar"):
        cap_of_eye(bar_thickness=9.525, wall=9.6)
    for step in (0.99, -1.0, math.nan, math.inf):
        with pytest.raises(ValueError, match="at least as long"):
            step_face(bar_thickness=9.525, wall=4.0, step=step)
    for degrees in (0.0, -5.0, 90.1, math.nan):
        with pytest.raises(ValueError, match="at most 90 degrees"):
            step_of_ramp(math.radians(degrees))
