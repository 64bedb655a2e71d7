"""Controlled Hand Forging, lessons 7 (upsetting) and 18 (using the peen)."""

import pytest

from patterns.forging.spread import coefficient_of_peen
from patterns.forging.weld import end_for_weld, upset

INCH = 25.4


def test_end_of_a_half_inch_bar() -> None:
    """Lesson 7: an inch of the end of 1/2 in square is upset by 25 %, to 5/8 in.

    (5/8)^2 / (1/2)^2 = 25/16: it takes 1 9/16 in of bar, 3.1 sides. That is the most that the
    machines' rule lets go in one blow, and a little more.
    """
    end = upset(
        length=INCH,
        area_before=(0.5 * INCH) ** 2,
        area_after=(0.625 * INCH) ** 2,
        thickness=0.5 * INCH,
    )
    assert end.stock / INCH == pytest.approx(1 + 9 / 16, rel=1e-12)
    assert end.slenderness == pytest.approx(3.125, rel=1e-12)
    assert not end.straight
    # the lesson's 25 % beside the 33 % of the weld's end
    assert 0.625 * INCH < end_for_weld(thickness=0.5 * INCH) < 0.7 * INCH


@pytest.mark.parametrize("width", [3 / 8, 3 / 4])
def test_peens_that_the_lesson_allows(width: float) -> None:
    # 3/8 to 3/4 in wide: at either end it answers, a 64th beyond it refuses
    peen = {"peen_length": 1.5 * INCH, "bar_width": 2.0 * INCH, "along": True}
    assert coefficient_of_peen(peen_width=width * INCH, **peen) > 0.5
    beyond = width + (1 / 64 if width > 0.5 else -1 / 64)
    with pytest.raises(ValueError, match=r"9\.525 to 19\.05 mm wide"):
        coefficient_of_peen(peen_width=beyond * INCH, **peen)


def test_metal_moves_at_right_angles_to_the_peen() -> None:
    """Turning the peen by 90 degrees swaps width and length: the two coefficients sum to one, as
    long as the whole peen bears on the bar."""
    peen = {"peen_width": 11.0, "peen_length": 29.0, "bar_width": 38.0}
    both = [coefficient_of_peen(**peen, along=along) for along in (True, False)]
    assert sum(both) == pytest.approx(1.0, rel=1e-12)
    assert both[0] == pytest.approx(29 / 40, rel=1e-12)  # by hand
    # on a bar of 20 mm only 20 mm of the peen bear across it
    narrow = coefficient_of_peen(**(peen | {"bar_width": 20.0}), along=False)
    assert narrow == pytest.approx(11 / 31, rel=1e-12)


def test_what_is_no_peen_is_refused() -> None:
    with pytest.raises(ValueError, match="longer than wide"):
        coefficient_of_peen(peen_width=15.0, peen_length=15.0, bar_width=38.0, along=True)
    with pytest.raises(ValueError, match="narrower than the peen"):
        coefficient_of_peen(peen_width=15.0, peen_length=30.0, bar_width=14.0, along=True)
    with pytest.raises(ValueError, match="peen width must be more than 0"):
        coefficient_of_peen(peen_width=0.0, peen_length=30.0, bar_width=14.0, along=True)
