"""Whole heads against what has been printed about others."""

from __future__ import annotations

import pytest
from designs import LOPSIDED, Raw, changed, inch, planned

from patterns import blank, profiles
from patterns.blank import ForgePlan
from patterns.units import GRAMS_PER_POUND

INCH = 25.4


def hatchet() -> Raw:
    """An ordinary polled hatchet of our own, to be forged from flat bar 1/2 x 1 1/2 in.

    Eye 2 x 5/8 in; wall half the bar's thickness, the rule of thumb of a Russian smithing handbook
    (section 1.2.7 b: ends of 10 to 12 mm strip drawn to 5 to 6 mm).
    """
    return {
        "name": "Polled hatchet",
        "bar": {"section": (inch("1/2"), inch("1 1/2"))},
        "wall": {"thickness": inch("1/4")},
        "eye": {"form": "teardrop", "length": inch("2"), "width": inch("5/8"),
                "front_radius": inch("1/8")},
        "ears": {"form": "pointed", "above": inch("1 1/8"), "below": inch("1 1/8")},
        "poll": {},
        "blade": {
            "reach": inch("3 3/4"), "toe": inch("1 1/4"), "heel": inch("1 3/4"),
            "neck_above": inch("5/8"), "neck_below": inch("5/8"), "edge_radius": inch("4 1/2"),
            "edge_angle": 25,
            "stations": [(inch("3/8"), inch("3/4")), (inch("1 1/2"), inch("1/2")),
                         (inch("3"), inch("1/4"))],
            "top": {"leave": 2, "arrive": 20}, "bottom": {"leave": 2, "arrive": 38},
        },
        "bit": {"stock": (inch("1/4"), inch("1")), "thickness": inch("3/16"),
                "insertion": inch("1 1/4"), "scarf": inch("3/8"), "tip": inch("1/16")},
    }  # fmt: skip


PUBLISHED = {"poll": 1.0, "raw": 1.5, "half": 2.0, "cut": 8.0, "pounds": 1.5}
"""A working smith's pictorial, joetheblacksmith.com: 1/2 x 1 1/2 in flat, 8 in long, marked for a
1 in poll, 1 1/2 in twice for the eye and 2 in twice for the blade; the head weighs 1.5 lb."""


def test_stock_of_a_polled_hatchet() -> None:
    """The plan of a hatchet near that bar and that weight divides the bar much as the smith did.

    The page gives neither eye, wall, ears nor outline; all of these are ours. The blade's reach and
    its thickness were chosen so that bar and head come out near 8 in and 1.5 lb, so these two are
    not independent of each other: that the one goes with the other is what is checked, to 5 %,
    since the heats (8, at 1.5 %) are a guess that moves it by about 1.5 % for each heat.
    Nothing was chosen to bring out the poll, the straps or how the bar divides.

    Bands: the poll, 1/8 in, is the eye's width and two walls, which the smith may well have made
    1/16 in less each. The strap, 3/8 in: an eye longer by 1/4 in alone moves it by 0.15 in, ears
    higher by 1/8 in by 0.05 in. Still the band is narrow enough that the usual mistakes fall out:
    the strap marked as long as it is drawn, or without regard to its ears, or to the fire.
    """
    plan = planned(hatchet())
    strap = plan.strap
    assert plan.poll / INCH == pytest.approx(PUBLISHED["poll"], abs=1 / 8)
    assert strap.raw_length / INCH == pytest.approx(PUBLISHED["raw"], abs=3 / 8)
    assert plan.half / INCH == pytest.approx(PUBLISHED["half"], abs=1 / 4)
    assert plan.cut_length / INCH == pytest.approx(PUBLISHED["cut"], abs=3 / 8)
    per_inch = plan.head.mass / GRAMS_PER_POUND / (plan.cut_length / INCH)
    assert per_inch == pytest.approx(PUBLISHED["pounds"] / PUBLISHED["cut"], rel=0.05)
    bar, a = plan.design.bar, plan.design.allowances
    for mistake in (
        strap.drawn_length,
        strap.raw_length * bar.width / strap.mean_height,
        strap.raw_length * (1.0 - a.scale_per_heat) ** a.heats,
    ):
        assert abs(mistake / INCH - PUBLISHED["raw"]) > 3 / 8
    assert not plan.stopped


def test_the_published_strap_lies_among_ordinary_eyes() -> None:
    """1 1/2 in of bar for each strap is what an eye between 2 x 5/8 and 2 1/2 x 3/4 in asks for.

    These two are common practice for hatchet handles; ears of 1 1/8 and 1 1/4 in go with them.
    """

    def raw(length: str, width: str, ear: str) -> float:
        design = changed(
            hatchet(), eye__length=inch(length), eye__width=inch(width),
            ears__above=inch(ear), ears__below=inch(ear), blade__stations=[
                (inch("3/8"), inch("7/8")), (inch("1 1/2"), inch("1/2")), (inch("3"), inch("1/4"))
            ],
        )  # fmt: skip
        return planned(design).strap.raw_length / INCH

    assert raw("2", "5/8", "1 1/8") < PUBLISHED["raw"] < raw("2 1/2", "3/4", "1 1/4")


HEADS = [*LOPSIDED, *profiles.shipped()]


def plan_of(name: str) -> ForgePlan:
    return planned(LOPSIDED[name]) if name in LOPSIDED else blank.plan(profiles.load(name).design)


@pytest.mark.parametrize("name", profiles.shipped())
def test_heaviness(name: str) -> None:
    """Mass over length times edge, as of heads that were weighed: 0.011 to 0.09 g/mm2.

    Royal Armouries 24929, a thin broad axe, 220 x 190 mm and 495 g: 0.0118, rounded down. British
    Museum 1982,0103.231, a felling axe with a heavy butt, 277 x 147 mm and 2748.5 g: 0.0675, and a
    third more for heavier ones. Inches for millimetres or a density off by ten would fall out.
    """
    head = plan_of(name).head
    heaviness = head.mass / (head.length * head.side.edge.length)
    assert 0.011 <= heaviness <= 0.09
    for wrong in (10.0, 0.1):
        assert not 0.011 <= heaviness * wrong <= 0.09


def test_the_envelope_would_catch_a_block() -> None:
    """A plain billet 60 mm thick as long and high as its edge weighs 0.47 g/mm2, a sheet of 1 mm
    0.008: neither is an axe."""
    assert 60.0 * 0.00785 > 0.09
    assert 1.0 * 0.00785 < 0.011


@pytest.mark.parametrize("name", HEADS)
def test_straps_take_less_bar_than_they_are_long(name: str) -> None:
    """Drawing lengthens: common practice, and by the volume for any wall thinner than the bar."""
    plan = plan_of(name)
    if plan.fold.waisted:  # cut to its width, and not drawn
        return
    assert plan.strap.raw_length < plan.strap.drawn_length
    bar, wall = plan.design.bar.thickness, plan.design.wall.thickness
    # drawn at most as far as thinning alone would, if the strap grew no higher and lost nothing
    assert plan.strap.mean_height > 0.8 * plan.design.bar.width
    assert plan.strap.drawn_length < plan.strap.raw_length * bar / wall * 1.05
