"""Barbs of a bit: rows laid out anew, place by place, from the rule in words.

The pitch is four thicknesses, at least 3/8 in; a row stands at least half a pitch inside both ends
and even about the middle; the rows of the two faces are staggered by half a pitch; a barb is a
third of the thickness high, at most 1/16 in. The rule is our own; barbs are common practice, their
figures are in no source.
"""

from __future__ import annotations

import itertools

import pytest
from designs import FOLDED, Raw, changed, examples, mm, planned, wide_designs
from hypothesis import given
from hypothesis import strategies as st

from patterns.blank import ForgePlan
from patterns.forging.barbs import barbs

INCH = 25.4
SIZES = st.tuples(st.floats(1.0, 500.0), st.floats(0.2, 40.0))


@examples(300)
@given(SIZES)
def test_rows(size: tuple[float, float]) -> None:
    length, thick = size
    row = barbs(length=length, thickness=thick)
    pitch = max(4.0 * thick, 3.0 / 8.0 * INCH)
    assert row.pitch == pytest.approx(pitch)
    assert row.height == pytest.approx(min(thick / 3.0, INCH / 16.0))
    assert row.count == len(row.near) + len(row.far) == 2 * len(row.near) - 1
    for face in (row.near, row.far):
        assert all(0.0 < place < length for place in face)
        for a, b in itertools.pairwise(face):
            assert b - a == pytest.approx(pitch)
        assert list(face) == pytest.approx([length - place for place in reversed(face)])
    if len(row.near) > 1:
        assert min(row.near) >= pitch / 2.0 - 1e-9
    # staggered: a barb of one face lies half-way between two of the other
    for a, place, b in zip(row.near, row.far, row.near[1:], strict=False):
        assert place - a == pytest.approx(b - place) == pytest.approx(pitch / 2.0)
    # as many as fit, none more
    many = 1
    while many * pitch <= length - pitch + 1e-9 * length:
        many += 1
    assert len(row.near) in (many, many - (1 if abs((many - 1) * pitch - length + pitch) < 1e-6
                                          else 0))  # fmt: skip


@pytest.mark.parametrize(("length", "thickness"), [(0, 4), (-1, 4), (90, 0), (90, -2)])
def test_no_size_is_refused(length: float, thickness: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        barbs(length=length, thickness=thickness)


def test_by_hand() -> None:
    """A bit 80 long, 3 thick: 4 x 3 = 12 mm pitch (3/8 in is 9.525); 68 / 12 = 5.67, so 6 barbs, 60
    mm from first to last, from 10 to 70; between them 5 on the other face, from 16 to 64; 1 high.
    """
    row = barbs(length=80.0, thickness=3.0)
    assert row.near == pytest.approx((10, 22, 34, 46, 58, 70))
    assert row.far == pytest.approx((16, 28, 40, 52, 64))
    assert (row.pitch, row.height) == pytest.approx((12.0, 1.0))
    # 2 mm thin: 9.525 apart, 2/3 high; 6 mm thick: 24 apart, no higher than 1/16 in
    assert barbs(length=80.0, thickness=2.0).pitch == pytest.approx(9.525)
    assert barbs(length=80.0, thickness=2.0).height == pytest.approx(2.0 / 3.0)
    assert barbs(length=80.0, thickness=6.0).height == pytest.approx(1.5875)


@examples(40)
@given(wide_designs(bit="inserted"))
def test_barbs_of_a_plan_stand_on_the_forged_bit(drawn: tuple[Raw, ForgePlan]) -> None:
    """Inside the bit, along the edge and across: where the body lies over it, so that it is held.

    How far from the edge a row stands is the forged bit's depth less its way from the back.
    """
    raw, plan = drawn
    bit = plan.bit
    assert bit is not None
    assert (bit.barbs is not None) == (raw["bit"].get("barbs") == "raised")
    if bit.barbs is None:
        return
    assert all(0.0 < place < bit.length for place in (*bit.barbs.near, *bit.barbs.far))
    if bit.overlap > 0.0:  # otherwise there is no weld, and the plan is stopped
        assert 0.0 < bit.barb_row < bit.overlap
        assert bit.barb_row < bit.depth


def test_a_longer_bit_has_more() -> None:
    few = planned(changed(FOLDED["round"], blade__heel=mm(30), bit__thickness=mm(4))).bit
    # of cheeks a bit is as high as these at its back; of the others as long as its edge
    many = planned(changed(FOLDED["round"], blade__heel=mm(47), bit__thickness=mm(4))).bit
    assert few is not None
    assert many is not None
    assert few.barbs is not None
    assert many.barbs is not None
    assert many.barbs.count > few.barbs.count
