"""T. F. Googerty, Practical Forging and Art Smithing, Milwaukee, 1915."""

import math

import pytest

from patterns.forging.bend import ring_stock
from patterns.forging.weld import (
    WeldRule,
    closed_weld,
    end_for_weld,
    scarf_length,
    upset,
    weld_allowance,
)

INCH = 25.4


def test_ring_with_its_weld() -> None:
    """Exercise 14: ring 10 in inside of 1 in stock, 11 x 3 1/7 = 34 4/7, + 1/2 in for welding.

    22/7 for pi is 0.0139 in on this ring, less than 1/64.
    """
    bar = ring_stock(inside_diameter=10 * INCH, thickness=INCH)
    weld = weld_allowance(thickness=INCH, rule=WeldRule.LAP).length
    assert (bar + weld) / INCH == pytest.approx(34 + 4 / 7 + 1 / 2, abs=1 / 64)


@pytest.mark.parametrize("thickness", [1 / 4, 3 / 8, 1 / 2, 3 / 4])
def test_scarf_a_little_longer_than_thick(thickness: float) -> None:
    """Chapter 2: "a little longer than the thickness of the iron, perhaps 1 1/2 times"."""
    ours = scarf_length(thickness=thickness * INCH) / INCH
    assert thickness < ours <= 1.5 * thickness * (1 + 1e-12)


def test_end_upset_for_a_scarf() -> None:
    # chapter 2: a 3/4 in round bar is upset to about one inch in diameter
    assert end_for_weld(thickness=0.75 * INCH) / INCH == pytest.approx(1.0, rel=1e-12)


def test_what_that_end_takes_of_the_bar() -> None:
    # (1 / 0.75)^2 = 16/9: an inch of upset end takes 1.778 in of bar, and shortens it by 0.778
    ends = [math.pi / 4 * (d * INCH) ** 2 for d in (0.75, 1.0)]
    end = upset(
        length=INCH, area_before=ends[0], area_after=ends[1], thickness=0.75 * INCH
    )  # fmt: skip
    assert end.stock / INCH == pytest.approx(16 / 9, rel=1e-12)
    assert end.shortening / INCH == pytest.approx(7 / 9, rel=1e-12)
    assert end.straight  # 2.37 diameters


def test_lap_without_a_scarf() -> None:
    """Chapter 2: 1 x 1/4 in iron, lapped about 5/16 in and hammered down.

    Two bars make 1/2 in, welded to 1/4 in: the lap doubles, and the whole is as long as the two
    bars were. So the volume asks for no allowance, only the fire does.
    """
    lap = closed_weld(half=INCH / 4, bit=0.0, welded=INCH / 4)
    assert lap.stack == pytest.approx(INCH / 2, rel=1e-12)
    bars, lapped = 6.0 + 8.0, 5 / 16
    assert bars - 2 * lapped + lap.growth * lapped == pytest.approx(bars, rel=1e-12)


def test_the_rules_in_their_order() -> None:
    lengths = [weld_allowance(thickness=20.0, rule=rule).length for rule in WeldRule]
    assert lengths == sorted(lengths)
    assert lengths == pytest.approx([20 / 3, 7.5, 10.0, 20.0], rel=1e-12)
    for rule in WeldRule:
        allowance = weld_allowance(thickness=20.0, rule=rule)
        assert (allowance.least, allowance.most) == pytest.approx((20 / 3, 20.0), rel=1e-12)


def test_a_forum_answer_takes_a_third() -> None:
    """An answer on the length of a ring: 5 ft of 1 in iron, 1/3 in for the weld.

    Its 15 ft 3 in and 7 1/2 in more is 3 1/8 times the diameter, and 3 for the thickness: 190.8 in
    against 191.97 by the middle line; what is checked is the weld alone.
    """
    assert weld_allowance(thickness=INCH, rule=WeldRule.THIRD).length / INCH == pytest.approx(1 / 3)


def test_welds_that_cannot_be() -> None:
    for law in (scarf_length, end_for_weld, weld_allowance):
        with pytest.raises(ValueError, match="thickness must be more than 0"):
            law(thickness=0.0)
    with pytest.raises(ValueError, match="cannot be set down"):
        closed_weld(half=6.0, bit=3.0, welded=15.1)
    with pytest.raises(ValueError, match="bit cannot be thinner"):
        closed_weld(half=6.0, bit=-0.1, welded=10.0)
    with pytest.raises(ValueError, match="loses between 0 and 100 %"):
        closed_weld(half=6.0, bit=3.0, welded=10.0, loss=1.0)
    with pytest.raises(ValueError, match="half must be more than 0"):
        closed_weld(half=math.nan, bit=3.0, welded=10.0)
