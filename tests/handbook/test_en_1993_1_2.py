"""EN 1993-1-2:2005 (Eurocode 3, part 1-2): elongation, 3.4.1.1, and unit mass, 3.2.2.

Second source: metku, an independent package of Eurocode formulas written by others. It is in the
extra `opinions`, since it brings much with it; without it two tests are skipped.
"""

import math

import pytest

from patterns.forging.density import steel_mass
from patterns.forging.expansion import cold_length, elongation, hot_length


@pytest.mark.parametrize(
    "celsius", [20, 21.5, 100, 333, 600, 749.99, 750, 800, 860, 860.01, 950, 1113, 1200]
)
def test_elongation_against_an_independent_package(celsius: float) -> None:
    metku = pytest.importorskip("metku.eurocodes.en1993.en1993_1_2")
    # the same closed form in double precision: only the last digits may differ
    assert elongation(celsius) == pytest.approx(
        metku.therm_elongation(celsius), rel=1e-12, abs=1e-16
    )


def test_elongation_by_hand_from_the_printed_equations() -> None:
    # 3.1a at 600: 7.2e-3 + 1.44e-3 - 0.2416e-3; 3.1c at 1100: 22e-3 - 6.2e-3
    assert elongation(600.0) == pytest.approx(8.3984e-3, rel=1e-12)
    assert elongation(1100.0) == pytest.approx(15.8e-3, rel=1e-12)


def test_no_elongation_at_the_reference_temperature() -> None:
    # 2.4e-4 + 0.016e-4 - 2.416e-4 = 0; rounding leaves less than 1e-18
    assert elongation(20.0) == pytest.approx(0.0, abs=1e-18)


def test_the_printed_curve_steps_down_at_750() -> None:
    # 3.1a just below 750: 9.0e-3 + 2.25e-3 - 0.2416e-3 = 11.0084e-3, then 3.1b: 11.0e-3
    below = elongation(math.nextafter(750.0, 0.0))
    assert below - elongation(750.0) == pytest.approx(8.4e-6, rel=1e-6)


def test_the_curve_is_joined_at_860() -> None:
    # 3.1c at 860: 17.2e-3 - 6.2e-3 = 11.0e-3
    above = elongation(math.nextafter(860.0, 1000.0))
    assert above == pytest.approx(elongation(860.0), rel=1e-12)


@pytest.mark.parametrize("celsius", [19.99, -20.0, 1200.01, math.nan, math.inf])
def test_outside_the_range_it_refuses(celsius: float) -> None:
    with pytest.raises(ValueError, match="from 20 to 1200 deg C"):
        elongation(celsius)


def test_cold_from_hot_undoes_hot_from_cold() -> None:
    hot = hot_length(203.2, temperature=1050.0)
    # 1.48 % of 203.2 mm is 3.007 mm
    assert hot - 203.2 == pytest.approx(3.007, abs=0.001)
    assert cold_length(hot, temperature=1050.0) == pytest.approx(203.2, rel=1e-14)


def test_shrink_rule_of_the_die_sinkers() -> None:
    """Shop Practice, vol. 1 (drop-forging dies): 1/8 in per foot, 12 in to 12 1/8 in.

    The page names no temperature. Work leaves the dies between a dull and a bright heat; the rule
    must fall between the elongations at 700 and 900 deg C (common practice for a finishing heat).
    """
    assert elongation(700.0) < (1 / 8) / 12 < elongation(900.0)


def test_density_against_an_independent_package() -> None:
    data = pytest.importorskip("metku.materials.steel_data")
    # metku keeps kg per mm3; one litre is 1e6 mm3
    grams = data.steels["S355"]["rho"] * 1000.0 * 1e6
    assert steel_mass(1e6) == pytest.approx(grams, rel=1e-12)
