"""Shop Practice, vol. 2, chapters on forging (after J. L. Bacon, Forge-Practice)."""

import pytest

from patterns.contour import Contour
from patterns.forging.bend import ring_stock
from patterns.forging.density import steel_mass, wrought_iron_mass
from patterns.forging.weld import scarf_length
from patterns.units import GRAMS_PER_POUND

CUBIC_INCH = 25.4**3


def pounds(cubic_inches: float) -> float:
    return steel_mass(cubic_inches * CUBIC_INCH) / GRAMS_PER_POUND


def pounds_of_iron(cubic_inches: float) -> float:
    return wrought_iron_mass(cubic_inches * CUBIC_INCH) / GRAMS_PER_POUND


def test_scarf_of_a_lap_weld() -> None:
    """ "Lap Welding": about 1 1/2 times the thickness; on a bar 1/2 in thick about 3/4 in."""
    assert scarf_length(thickness=0.5 * 25.4) / 25.4 == pytest.approx(3 / 4, rel=1e-12)


def test_weight_of_wrought_iron() -> None:
    # 480 lb per cubic foot, .2779 per cubic inch: 480/1728 = .27778, so the book is 0.04 % high
    assert pounds_of_iron(1728.0) == pytest.approx(480.0, rel=1e-9)
    assert pounds_of_iron(1.0) == pytest.approx(0.2779, rel=0.0005)


def test_weight_of_steel() -> None:
    # 490 lb per cubic foot and .2835 per cubic inch, "Weight of Forging"; 7850 kg/m3 is 490.06,
    # and .2835 is 490/1728 = .28356 cut to four places
    assert pounds(1728.0) == pytest.approx(490.0, abs=0.5)
    assert pounds(1.0) == pytest.approx(0.2835, abs=0.0001 + 0.2835 * 0.00012)


def test_connecting_rod() -> None:
    """Fig. 89: 171 3/7 cubic inches of wrought iron weigh 47.64 lb.

    The book works with .2779 lb per cubic inch, which is 0.04 % more than its own 480 lb per
    cubic foot.
    """
    assert pounds_of_iron(171 + 3 / 7) == pytest.approx(47.64, rel=0.0005)


def test_small_forging() -> None:
    """Fig. 87: 11/14, 3/4 and 1 cubic inch (2 15/28) of wrought iron weigh .7 lb (one figure)."""
    assert pounds_of_iron(11 / 14 + 3 / 4 + 1) == pytest.approx(0.7, abs=0.05)


@pytest.mark.parametrize("thickness", [0.25, 0.375, 0.5])
def test_eye_bent_from_a_bar(thickness: float) -> None:
    """Fig. 58, "Ring and Eye Bending": 2 in x 3 1/7 = 6 2/7 in, taken as 6 3/8.

    The diameter "to be used" is that of the middle line, so the thickness drops out; 22/7 for pi
    makes 0.0025 in.
    """
    ours = ring_stock(inside_diameter=(2.0 - thickness) * 25.4, thickness=thickness * 25.4) / 25.4
    assert ours == pytest.approx(6 + 2 / 7, abs=0.003)
    assert ours < 6 + 3 / 8


def test_weldless_ring() -> None:
    """Fig. 101, "Weldless Rings": 4 in outside, 3 in inside, from stock 1 1/2 in wide.

    Printed: 12.57 - 7.07 = 5.50 sq in; 3.66 in of stock (5.5 / 1.5 cut to two places); 3 11/16
    with a small amount for scale.
    """
    outer, inner = (Contour.circle(7.0, -3.0, 25.4 * r).area / 25.4**2 for r in (2.0, 1.5))
    assert outer == pytest.approx(12.57, abs=0.005)
    assert inner == pytest.approx(7.07, abs=0.005)
    assert outer - inner == pytest.approx(5.50, abs=0.01)  # two figures, each rounded
    assert (outer - inner) / 1.5 == pytest.approx(3.66, abs=0.01)
    assert (outer - inner) / 1.5 < 3 + 11 / 16
