"""Bend allowances printed elsewhere, each with its own neutral line."""

import math

import pytest

from patterns.forging.bend import bend_length


def test_sheet_metal_workbench_readme() -> None:
    """FreeCAD SheetMetal workbench, README: T = 2, K = 0.38, R = 1.64; 90 degrees: 3.76991 mm."""
    length = bend_length(turning=math.pi / 2.0, inside_radius=1.64, thickness=2.0, neutral=0.38)
    assert length == pytest.approx(3.76991, abs=5e-6)  # printed to five places


@pytest.mark.parametrize(
    ("radius", "thick", "degrees"), [(0.5, 0.25, 90.0), (0.125, 0.040, 120.0), (0.3125, 0.1875, 45)]
)
def test_aviation_rule(radius: float, thick: float, degrees: float) -> None:
    """US Navy aviation structural manuals: (0.01743 R + 0.0078 T) per degree, inches.

    0.01743 is pi/180 rounded low (0.14 %), and 0.0078 carries two figures (0.6 %); K follows as
    0.0078 over pi/180.
    """
    printed = (0.01743 * radius + 0.0078 * thick) * degrees
    ours = bend_length(
        turning=math.radians(degrees),
        inside_radius=25.4 * radius,
        thickness=25.4 * thick,
        neutral=0.447,
    )
    assert ours / 25.4 == pytest.approx(printed, rel=0.0016)


def test_sizes_that_are_none_are_refused() -> None:
    with pytest.raises(ValueError, match="thickness must be more than 0"):
        bend_length(turning=1.0, inside_radius=1.0, thickness=0.0)
    with pytest.raises(ValueError, match="cannot be negative"):
        bend_length(turning=1.0, inside_radius=-1.0, thickness=1.0)
    with pytest.raises(ValueError, match="cannot be negative"):
        bend_length(turning=math.nan, inside_radius=1.0, thickness=1.0)
    with pytest.raises(ValueError, match="inside the bar"):
        bend_length(turning=1.0, inside_radius=1.0, thickness=1.0, neutral=1.1)
