"""DIN 6935, cold bending of flat steel, as quoted in German trade tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.forging.bend import bend_length, cold_neutral, din_k, din_shortening

BOOK = {"opening": math.radians(60.0), "inside_radius": 6.0, "thickness": 5.0}


def test_worked_example_of_the_trade_tables() -> None:
    """Legs 16 and 21 mm, r = 6, s = 5, beta = 60 degrees.

    Printed: k = 0.7 (read from the chart), v = 5.77, L = 31.2, rounded up to 32 mm.
    """
    v = din_shortening(**BOOK, k=0.7)
    assert v == pytest.approx(5.77, abs=0.005)  # printed to two places
    assert 16.0 + 21.0 - v == pytest.approx(31.2, abs=0.05)  # printed to one place
    assert math.ceil(16.0 + 21.0 - v) == 32


def test_formula_behind_the_chart() -> None:
    # the chart reads 0.7 to one place; the formula's 0.6896 moves the length by 0.05 mm
    assert din_k(inside_radius=6.0, thickness=5.0) == pytest.approx(0.7, abs=0.05)
    assert din_shortening(**BOOK) == pytest.approx(5.77, abs=0.06)
    assert din_shortening(**BOOK) != pytest.approx(5.77, abs=0.005)


@pytest.mark.parametrize(
    ("radius", "thickness", "printed"),
    [
        (1.0, 1.0, 1.9),
        (1.6, 1.0, 2.1),
        (2.5, 1.0, 2.4),
        (4.0, 2.0, 4.5),
        (6.0, 3.0, 6.7),
        (10.0, 6.0, 12.7),
        (16.0, 8.0, 17.8),
    ],
)
def test_table_of_v_at_a_right_angle(radius: float, thickness: float, printed: float) -> None:
    """Table of shortenings at 90 degrees in trade tables: values from memory, not re-read.

    Printed to 0.1 mm, hence half of that as the tolerance.
    """
    v = din_shortening(opening=math.pi / 2.0, inside_radius=radius, thickness=thickness)
    assert v == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(
    ("ratio", "share"),
    [
        (1.0, 0.325),  # log 1 = 0: k = 0.65
        (10.0**0.5, 0.45),  # log = 1/2: k = 0.90; still below five
        (10.0, 0.5),  # beyond five thicknesses: the middle
    ],
)
def test_neutral_line_by_hand(ratio: float, share: float) -> None:
    assert cold_neutral(inside_radius=3.0 * ratio, thickness=3.0) == pytest.approx(share, rel=1e-12)


def test_k_is_almost_one_where_the_level_begins() -> None:
    # 0.65 + 0.5 log10(5) = 0.99949: the printed formula and the level part by 0.05 %
    assert din_k(inside_radius=15.0, thickness=3.0) == pytest.approx(1.0, abs=0.0006)
    assert din_k(inside_radius=15.0, thickness=3.0) < 1.0


def test_too_sharp_a_bend_is_refused_and_the_limit_owns_up() -> None:
    with pytest.raises(ValueError, match="from memory"):
        din_k(inside_radius=1.9, thickness=3.0)
    assert din_k(inside_radius=2.0, thickness=3.0) < 0.65


def test_both_formulas_meet_at_a_right_angle() -> None:
    # tan 45 degrees = 1; a hair beyond must not jump
    square = din_shortening(opening=math.pi / 2.0, inside_radius=8.0, thickness=4.0)
    beyond = din_shortening(opening=math.pi / 2.0 + 1e-9, inside_radius=8.0, thickness=4.0)
    assert beyond == pytest.approx(square, abs=1e-6)


def test_nearly_straight_is_neglected() -> None:
    """DIN leaves v out above 165 degrees, and that is a step, not a fading out.

    At 164.9 degrees, r = 8, s = 4: k = 0.65 + 0.5 log10(2) = 0.80051, neutral radius 9.60103;
    24 tan(7.55 deg) - 0.263545 x 9.60103 = 3.18093 - 2.53030 = 0.6506 mm.
    """
    at = {"inside_radius": 8.0, "thickness": 4.0}
    assert din_shortening(opening=math.radians(165.1), **at) == 0.0
    assert din_shortening(opening=math.radians(164.9), **at) == pytest.approx(0.6506, abs=0.0002)


@pytest.mark.parametrize("degrees", [0.0, -10.0, 180.1, math.nan])
def test_impossible_openings_are_refused(degrees: float) -> None:
    with pytest.raises(ValueError, match="more than 0 and at most 180"):
        din_shortening(opening=math.radians(degrees), inside_radius=8.0, thickness=4.0)


@given(st.floats(0.65, 40.0), st.floats(0.5, 20.0), st.floats(0.01, math.tau))
def test_cold_never_asks_for_more_than_hot(ratio: float, thick: float, turning: float) -> None:
    at = {"inside_radius": ratio * thick * 1.000001, "thickness": thick}
    cold = bend_length(turning=turning, neutral=cold_neutral(**at), **at)
    assert cold <= bend_length(turning=turning, **at) * (1.0 + 1e-12)
