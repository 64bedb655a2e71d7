"""T. F. Googerty, Hand-Forging and Wrought-Iron Ornamental Work, 1911."""

import pytest

from patterns.forging.bend import ring_stock
from patterns.forging.weld import weld_allowance


def test_ring_rule_page_69() -> None:
    """Inside diameter plus thickness, times 3 1/7: a ring 10 in inside of 1 in bar.

    11 x 22/7 = 34 4/7 in (an electronic copy prints 34-1/7, a slip of the figure). The book's
    22/7 is 0.04 % more than pi; on this ring that is 0.0139 in, less than 1/64.
    """
    ours = ring_stock(inside_diameter=10 * 25.4, thickness=25.4) / 25.4
    assert ours == pytest.approx(34 + 4 / 7, abs=1 / 64)
    assert ours < 34 + 4 / 7


def test_the_middle_line_and_no_other_fits_the_rule() -> None:
    # a neutral line 1/10 of the thickness off the middle is 0.6 in out on this ring
    for neutral in (0.4, 0.6):
        off = ring_stock(inside_diameter=10 * 25.4, thickness=25.4, neutral=neutral) / 25.4
        assert abs(off - (34 + 4 / 7)) > 0.5


def test_waste_in_the_weld_page_69() -> None:
    """To that ring "about 3/8 in." is added for waste in making the weld; stock 1 in."""
    weld = weld_allowance(thickness=25.4)
    assert weld.length / 25.4 == pytest.approx(3 / 8, rel=1e-12)
    assert weld.least < weld.length < weld.most
