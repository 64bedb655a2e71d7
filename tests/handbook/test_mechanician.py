"""Cameron Knight, The Mechanician: the rule for the length of bar in a forging."""

import pytest

from patterns.forging.spread import drawn
from patterns.forging.weld import closed_weld, upset


def test_plunger_joints() -> None:
    """ "Plunger Joints": 12 1/2 square inches are to be 7, over 20 inches: 11.2 in of bar.

    "12 1/2 : 7 :: 20 : 11 3/16, 11.2 is the true amount". The width is kept, so every law that
    stands on the volume must tell the same, whichever way it is asked.
    """
    bar = drawn(thickness_before=12.5, thickness_after=7.0, width=1.0, length=11.2, spread=0.0)
    assert bar.length == pytest.approx(20.0, rel=1e-12)
    assert bar.width == 1.0
    back = upset(length=11.2, area_before=7.0, area_after=12.5, thickness=2.0)
    assert back.stock == pytest.approx(20.0, rel=1e-12)
    lap = closed_weld(half=6.0, bit=0.5, welded=7.0)
    assert lap.growth * 11.2 == pytest.approx(20.0, rel=1e-12)


def test_a_quarter_for_burning() -> None:
    """The same page allows "only an eighth or a quarter of an inch for heating and burning" on that
    piece: 1.1 to 2.2 % of 11.2 in. Burnt metal grows the weld by so much less."""
    for inch in (1 / 8, 1 / 4):
        loss = inch / (11.2 + inch)
        lap = closed_weld(half=6.0, bit=0.5, welded=7.0, loss=loss)
        assert lap.growth * (11.2 + inch) == pytest.approx(20.0, rel=1e-12)
        assert 0.01 < loss < 0.023
