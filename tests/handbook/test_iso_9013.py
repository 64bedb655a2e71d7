"""ISO 9013, limit deviations and perpendicularity.

Cells as a metal supplier reprints the standard's tables (the standard itself was not seen), bounds
of the bands as printed there: thickness "> lower to <= upper", length ">= lower to < upper".
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.iso_9013 import CLASSES, LENGTHS, bands, deviation, perpendicularity


@pytest.mark.parametrize(
    ("tolerance_class", "thickness", "length", "printed"),
    [
        # the four corners of class 1, and the middle
        (1, 0.5, 1.0, 0.075),
        (1, 0.5, 7000.0, 1.60),
        (1, 280.0, 500.0, 4.4),
        (1, 280.0, 7000.0, 8.4),
        (1, 5.0, 20.0, 0.25),
        (1, 5.0, 5000.0, 1.10),
        (1, 8.0, 5.0, 0.25),
        (1, 12.0, 100.0, 0.40),
        (1, 17.0, 3000.0, 1.2),
        (1, 22.0, 200.0, 0.70),
        (1, 30.0, 20.0, 0.70),
        (1, 30.0, 3000.0, 2.25),
        (1, 40.0, 3000.0, 2.5),
        (1, 120.0, 50.0, 2.0),
        # class 2
        (2, 0.5, 1.0, 0.5),
        (2, 0.5, 3000.0, 0.9),
        (2, 2.0, 7000.0, 1.4),
        (2, 5.0, 5.0, 0.8),
        (2, 5.0, 50.0, 0.9),
        (2, 5.0, 200.0, 1.1),
        (2, 8.0, 5.0, 1.0),
        (2, 8.0, 200.0, 1.4),
        (2, 12.0, 500.0, 2.3),
        (2, 24.0, 1500.0, 3.0),
    ],
)
def test_printed(tolerance_class: int, thickness: float, length: float, printed: float) -> None:
    assert deviation(length, thickness, tolerance_class) == printed


@pytest.mark.parametrize(
    ("tolerance_class", "thickness", "length"),
    [
        (1, 6.31, 2.9),  # a dash in the table
        (1, 25.1, 9.9),
        (1, 210.0, 300.0),
        (2, 6.31, 2.9),
        (2, 0.9, 4000.0),  # the reprint prints eight cells in this row
        (2, 25.01, 100.0),  # rows not read
        (1, 300.1, 500.0),
        (1, 5.0, 8000.0),
        (1, 5.0, 0.0),
        (1, 0.0, 50.0),
        (1, -1.0, 50.0),
        (1, 5.0, -50.0),
        (1, math.nan, 50.0),
        (1, 5.0, math.nan),
        (1, math.inf, 50.0),
        (1, 5.0, math.inf),
    ],
)
def test_nothing_is_given(tolerance_class: int, thickness: float, length: float) -> None:
    assert deviation(length, thickness, tolerance_class) is None


def test_bounds_of_thickness() -> None:
    """The upper bound belongs to the row: "> 1 to <= 3.15". 1/8 in is 3.175 mm, in the next."""
    assert deviation(20.0, 1.0, 1) == 0.10
    assert deviation(20.0, math.nextafter(1.0, 2.0), 1) == 0.20
    assert deviation(20.0, 3.15, 1) == 0.20
    assert deviation(20.0, 25.4 / 8, 1) == 0.25
    assert deviation(20.0, 25.0, 2) == 1.8


def test_bounds_of_length() -> None:
    """The lower bound belongs to the band: ">= 3 to < 10"."""
    assert deviation(math.nextafter(3.0, 0.0), 2.0, 1) == 0.10
    assert deviation(3.0, 2.0, 1) == 0.15
    assert deviation(math.nextafter(10.0, 0.0), 2.0, 1) == 0.15
    assert deviation(10.0, 2.0, 1) == 0.20


def test_no_such_class() -> None:
    with pytest.raises(ValueError, match="class 3"):
        deviation(20.0, 2.0, 3)


@given(
    st.sampled_from(CLASSES),
    st.floats(0.01, 300.0),
    st.floats(0.01, 300.0),
    st.floats(0.01, 7999.0),
    st.floats(0.01, 7999.0),
)
def test_longer_or_thicker_is_never_held_closer(
    tolerance_class: int, thin: float, thick: float, short: float, long: float
) -> None:
    thin, thick = sorted((thin, thick))
    short, long = sorted((short, long))
    small, large = deviation(short, thin, tolerance_class), deviation(long, thick, tolerance_class)
    if small is not None and large is not None:
        assert small <= large


@given(st.floats(0.01, 25.0), st.floats(0.01, 5999.0))
def test_class_1_is_the_closer(thickness: float, length: float) -> None:
    # from 6 m on the tables cross: 1 to 3.15 mm thick, 1.75 in class 1 and 1.4 in class 2
    first, second = (deviation(length, thickness, each) for each in CLASSES)
    if first is not None and second is not None:
        assert first < second


def test_bands_are_the_table_row() -> None:
    assert [each[2] for each in bands(8.0, 2)] == [
        None, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2.0,
    ]  # fmt: skip
    assert (bands(8.0, 2)[0][0], bands(8.0, 2)[-1][1]) == (0.0, LENGTHS[-1])


@pytest.mark.parametrize(
    ("quality", "at_10_mm"), [(1, 0.08), (2, 0.22), (3, 0.5), (4, 1.0), (5, 1.55)]
)
def test_perpendicularity(quality: int, at_10_mm: float) -> None:
    """u = .05 + .003 a; .15 + .007 a; .4 + .01 a; .8 + .02 a; 1.2 + .035 a: worked by hand."""
    assert perpendicularity(10.0, quality) == pytest.approx(at_10_mm, abs=1e-12)
