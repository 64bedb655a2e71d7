"""Weights of bars per foot, as printed and listed."""

import math

import pytest

from patterns.contour import Contour
from patterns.forging.density import bar_length, bar_mass, steel_mass, wrought_iron_mass
from patterns.sources import STEEL_DENSITY, Basis, Constant
from patterns.units import GRAMS_PER_POUND


def pounds_per_foot(section: Contour) -> float:
    return steel_mass(section.area * 12 * 25.4) / GRAMS_PER_POUND


def pounds_of_iron_per_foot(section: Contour) -> float:
    return wrought_iron_mass(section.area * 12 * 25.4) / GRAMS_PER_POUND


def square(side: float) -> Contour:
    return Contour.rectangle(1.0, 2.0, 1.0 + 25.4 * side, 2.0 + 25.4 * side)


def bar_round(diameter: float) -> Contour:
    return Contour.circle(3.0, -4.0, 25.4 * diameter / 2.0)


@pytest.mark.parametrize(
    ("size", "of_square", "of_round"),
    [
        (1 / 16, 0.013, 0.010),
        (1 / 8, 0.052, 0.041),
        (3 / 16, 0.117, 0.092),
        (1 / 4, 0.208, 0.164),
        (5 / 16, 0.326, 0.256),
        (3 / 8, 0.469, 0.368),
        (7 / 16, 0.638, 0.501),
        (1 / 2, 0.833, 0.654),
        (9 / 16, 1.055, 0.828),
        (5 / 8, 1.302, 1.023),
        (11 / 16, 1.576, 1.237),
    ],
)
def test_square_and_round_rolled_iron(size: float, of_square: float, of_round: float) -> None:
    """Shop Practice, vol. 1, "Weights of Round and Square Rolled Iron", lb for 12 in.

    Printed to 0.001 lb.
    """
    for section, printed in ((square(size), of_square), (bar_round(size), of_round)):
        assert pounds_of_iron_per_foot(section) == pytest.approx(printed, abs=0.0005001)


def test_flat_iron_two_by_four() -> None:
    # Shop Practice, vol. 2, "Weight of Forging": 2 x 2 in 13.33 lb, 2 x 4 in twice that, 26.66
    flat = Contour.rectangle(0.0, 0.0, 2 * 25.4, 4 * 25.4)
    assert pounds_of_iron_per_foot(flat) == pytest.approx(26.66, abs=0.011)


def test_steel_by_side_and_diameter() -> None:
    """Factors of a steel reference page: 3.40 L^2, 2.67 D^2 and, across flats, 2.9473 D^2.

    Two places for square and round. The hexagon's factor has five figures but was made from a
    density not stated: 0.02 % allowed.
    """
    assert pounds_per_foot(square(1.0)) == pytest.approx(3.40, abs=0.005)
    assert pounds_per_foot(bar_round(1.0)) == pytest.approx(2.67, abs=0.005)
    corner = 25.4 / math.sqrt(3.0)
    hexagon = Contour.polygon(
        (corner * math.cos(k * math.pi / 3), corner * math.sin(k * math.pi / 3)) for k in range(6)
    )
    assert pounds_per_foot(hexagon) == pytest.approx(2.9473, rel=0.0002)


def test_flat_steel_two_by_three() -> None:
    # a stock dealer's list of hot-rolled flats: 2 x 3 in, 20.4 lb per foot
    flat = Contour.rectangle(0.0, 0.0, 2 * 25.4, 3 * 25.4)
    assert pounds_per_foot(flat) == pytest.approx(20.4, abs=0.05)
    ours = bar_mass(thickness=2 * 25.4, width=3 * 25.4, length=12 * 25.4)
    assert ours / GRAMS_PER_POUND == pytest.approx(20.4, abs=0.05)


def test_ten_feet_of_half_by_two() -> None:
    """A worked example on a page of bar weights: 1/2 x 2 x 120 in, printed 33.99 lb.

    It multiplies by 0.2833 lb per cubic inch, 0.11 % less than our 0.2836, and cuts 33.996.
    """
    ours = bar_mass(thickness=12.7, width=50.8, length=120 * 25.4) / GRAMS_PER_POUND
    assert ours == pytest.approx(33.99, rel=0.0013)
    back = bar_length(mass=33.99 * GRAMS_PER_POUND, thickness=12.7, width=50.8)
    assert back / 25.4 == pytest.approx(120.0, rel=0.0013)


def test_bars_that_are_none() -> None:
    with pytest.raises(ValueError, match="width must be more than 0"):
        bar_mass(thickness=12.7, width=0.0, length=100.0)
    with pytest.raises(ValueError, match="mass must be more than 0"):
        bar_length(mass=0.0, thickness=12.7, width=38.1)
    with pytest.raises(ValueError, match="cannot be less than 0"):
        wrought_iron_mass(-1.0)


def test_density_in_the_old_unit() -> None:
    # two roads to g/mm3 that share no factor: 7850 kg/m3 and the dealers' 490 lb/ft3 (490.06)
    dealers = Constant("density of steel", 490.0, "lb/ft3", None, "", Basis.COMMON_PRACTICE)
    assert dealers.inside == pytest.approx(STEEL_DENSITY.inside, rel=0.0002)
    assert dealers.inside != pytest.approx(STEEL_DENSITY.inside, rel=0.00001)
