"""Shop Practice, vol. 1, chapter on forging: bolts."""

import math

import pytest

from patterns.forging.weld import upset

INCH = 25.4


def test_head_of_a_three_quarter_bolt() -> None:
    """ "Bolts": .75 x 1.5 + .125 = 1 1/4 in wide, 5/8 in deep; .9766 cubic inch; 2.22 in of bar.

    The book takes .44 for the area of the bar, which is .4418: 0.4 %, and prints three figures.
    "About 2 1/4 inches" are cut.
    """
    side = 0.75 * 1.5 + 0.125
    head = upset(
        length=side / 2 * INCH,
        area_before=math.pi / 4 * (0.75 * INCH) ** 2,
        area_after=(side * INCH) ** 2,
        thickness=0.75 * INCH,
    )
    assert side == 1.25
    assert head.stock / INCH == pytest.approx(2.22, abs=0.005 + 0.004 * 2.22)
    assert 2.2 < head.stock / INCH < 2.25
    # the book's own figures without its rounded area: .9766 / .44179
    assert head.stock / INCH == pytest.approx(0.9766 / 0.44179, rel=1e-4)
    assert head.shortening == pytest.approx(head.stock - side / 2 * INCH, rel=1e-12)
