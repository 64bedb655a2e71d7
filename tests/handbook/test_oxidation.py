"""Growth of scale: R. Y. Chen and W. Y. D. Yuen, Oxidation of Metals 59 (2003), 433-468.

The coefficients are FROM MEMORY; what is checked is the order of magnitude.
"""

import math

import pytest

from patterns.forging.scale import loss_in_heat, metal_lost, oxide_thickness
from patterns.sources import SCALE_PER_HEAT, SCALE_PER_HEAT_LEAST, SCALE_PER_HEAT_MOST


def test_against_a_measured_scale() -> None:
    """Materials (MDPI) 18 (2025), no. 11, 2463: 401 +- 4.3 um after 15 min at 1000 deg C.

    That piece also scaled while it was heated and cooled at 5 K a minute, which the law leaves
    out: it must give less, and no less than half.
    """
    assert 0.5 * 0.401 < oxide_thickness(temperature=1000.0, minutes=15.0) < 0.401


def test_against_the_same_scale_with_heating_and_cooling() -> None:
    """The same trial, its whole course: 700 to 1000 deg C at 5 K a minute, 15 min, and down.

    Growth by the root of time means that the squares of equal short times add. 15 % are allowed
    for the porous scale on a curved wall, and for what grew below 700 deg C. A rate twice or half
    as great, or an energy a twentieth off, would fail.
    """

    def square(celsius: float, minutes: float) -> float:
        return oxide_thickness(temperature=celsius, minutes=minutes) ** 2

    steps = 600
    ramp = sum(square(700.0 + 300.0 * (k + 0.5) / steps, 60.0 / steps) for k in range(steps))
    whole = math.sqrt(2.0 * ramp + square(1000.0, 15.0))
    assert whole == pytest.approx(0.401, rel=0.15)


def test_another_model_gives_more() -> None:
    """The same paper quotes a model that gives 670.6 um for 15 min at 1000 deg C, and calls it too
    much. Ours stands between a third and half of it: the doubt is kept in sight."""
    ours = oxide_thickness(temperature=1000.0, minutes=15.0)
    assert 0.6706 / 3.0 < ours < 0.6706 / 2.0


def test_four_times_as_long_is_twice_as_thick() -> None:
    short = oxide_thickness(temperature=1100.0, minutes=5.0)
    assert oxide_thickness(temperature=1100.0, minutes=20.0) == pytest.approx(2.0 * short)


def test_default_loss_lies_where_the_law_puts_it() -> None:
    """Five minutes hot on a bar of 1/2 x 1 1/2 in: the default loss per heat stands between a
    bright cherry and a bright orange (900 and 1100 deg C), and the second-hand 1 to 3 % for a
    reheat overlaps that span."""

    def lost(celsius: float) -> float:
        oxide = oxide_thickness(temperature=celsius, minutes=5.0)
        return metal_lost(oxide=oxide, thickness=12.7, width=38.1)

    assert lost(900.0) < SCALE_PER_HEAT.inside < lost(1100.0)
    assert lost(900.0) < SCALE_PER_HEAT_MOST.inside
    assert lost(1100.0) > SCALE_PER_HEAT_LEAST.inside
    assert SCALE_PER_HEAT_LEAST.inside < SCALE_PER_HEAT.inside < SCALE_PER_HEAT_MOST.inside


def test_metal_lost_against_the_core_that_is_left() -> None:
    # scale of 0.05 mm eats 0.05/1.77 = 0.028249 mm a face; of 12.7 x 38.1 mm it leaves
    # 12.643503 x 38.043503. Counting the corners twice adds 0.07 % of the loss.
    eaten = 0.05 / 1.77
    core = (12.7 - 2 * eaten) * (38.1 - 2 * eaten)
    exact = 1.0 - core / (12.7 * 38.1)
    ours = metal_lost(oxide=0.05, thickness=12.7, width=38.1)
    assert ours == pytest.approx(exact, rel=0.002)
    assert ours > exact


@pytest.mark.parametrize(
    ("thickness", "width", "by_hand"),
    [
        # 0.25 / 1.77 = 0.141243 mm a face, times perimeter over area
        (12.7, 38.1, 0.029658),  # 101.6 / 483.87 = 0.209974
        (25.4, 25.4, 0.022243),  # 4 / 25.4 = 0.157480
        (3.0, 40.0, 0.101224),  # 86 / 120 = 0.716667
    ],
)
def test_perimeter_over_area(thickness: float, width: float, by_hand: float) -> None:
    ours = metal_lost(oxide=0.25, thickness=thickness, width=width)
    assert ours == pytest.approx(by_hand, rel=1e-4)


def test_loss_in_a_heat_is_scale_on_that_bar() -> None:
    # an hour at 1000 deg C on 12.7 x 38.1 mm: twice the root of a quarter of it
    heat = {"temperature": 1000.0, "thickness": 12.7, "width": 38.1}
    assert loss_in_heat(**heat, minutes=60.0) == pytest.approx(
        2.0 * loss_in_heat(**heat, minutes=15.0), rel=1e-12
    )
    scale = oxide_thickness(temperature=1000.0, minutes=15.0)
    # 0.2476 mm of scale on that bar: 0.2476 / 1.77 x 0.209974
    assert scale == pytest.approx(0.2476, abs=0.0001)
    assert loss_in_heat(**heat, minutes=15.0) == pytest.approx(0.02937, abs=0.00002)


def test_reheats_second_hand() -> None:
    """1 to 3 % is said of every reheat: five minutes at 900 to 1100 deg C on the bars that hatchets
    are made of, 3/8 to 3/4 in thick, must touch that range at every thickness."""
    for thickness in (9.525, 12.7, 19.05):
        low, high = (
            loss_in_heat(temperature=t, minutes=5.0, thickness=thickness, width=38.1)
            for t in (900.0, 1100.0)
        )
        assert low < SCALE_PER_HEAT_MOST.inside
        assert high > SCALE_PER_HEAT_LEAST.inside


def test_the_thin_bar_loses_more() -> None:
    thin = metal_lost(oxide=0.2, thickness=6.35, width=38.1)
    assert thin > metal_lost(oxide=0.2, thickness=12.7, width=38.1)


@pytest.mark.parametrize("celsius", [699.0, 1251.0, math.nan])
def test_outside_the_range_it_refuses(celsius: float) -> None:
    with pytest.raises(ValueError, match="from 700 to 1250 deg C"):
        oxide_thickness(temperature=celsius, minutes=5.0)


def test_a_bar_of_nothing_but_scale_is_refused() -> None:
    with pytest.raises(ValueError, match="no iron"):
        metal_lost(oxide=1.77, thickness=2.0, width=30.0)
    with pytest.raises(ValueError, match="time must be more than 0"):
        oxide_thickness(temperature=1000.0, minutes=0.0)
