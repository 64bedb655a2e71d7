"""Forging Industry Association, Design rules for parts made by upset forging."""

import math

import pytest

from patterns.forging.weld import upset


def bolt(diameters: float, diameter: float = 12.0) -> bool:
    """Whether so many diameters of a round bar, upset to twice its area, go in one blow."""
    area = math.pi / 4 * diameter**2
    return upset(
        length=diameters * diameter / 2.0,
        area_before=area,
        area_after=2.0 * area,
        thickness=diameter,
    ).straight


@pytest.mark.parametrize("diameter", [4.0, 12.7, 40.0])
def test_rule_1(diameter: float) -> None:
    """Not more than three times the diameter can be gathered in one blow without buckling."""
    assert bolt(2.0, diameter)
    assert bolt(3.0, diameter)
    assert not bolt(3.01, diameter)


def test_flat_bar_buckles_the_thin_way() -> None:
    # 1/2 x 1 1/2 in: the side that counts is 1/2 in
    sizes = {"length": 30.0, "area_before": 12.7 * 38.1, "area_after": 15.0 * 38.1}
    assert upset(**sizes, thickness=12.7).slenderness == pytest.approx(30.0 * 15.0 / 12.7**2)
    assert upset(**sizes, thickness=12.7).straight


def test_what_is_no_upsetting() -> None:
    good = {"length": 20.0, "area_before": 100.0, "area_after": 150.0, "thickness": 10.0}
    assert upset(**good).stock == pytest.approx(30.0, rel=1e-12)
    with pytest.raises(ValueError, match="makes a bar stouter"):
        upset(**(good | {"area_after": 100.0}))
    # a round bar of 100 mm2 is 11.28 mm thick, and no bar is thicker for its area
    assert upset(**(good | {"thickness": 11.28})).slenderness > 2.6
    with pytest.raises(ValueError, match=r"at most 11\.3 mm thick"):
        upset(**(good | {"thickness": 11.3}))
    with pytest.raises(ValueError, match="area after must be more than 0"):
        upset(**(good | {"area_after": math.nan}))
