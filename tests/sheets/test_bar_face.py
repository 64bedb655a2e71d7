"""The bar's face as sheets and cutting files draw it holds the metal of the balance."""

from __future__ import annotations

import pytest

from patterns import blank, profiles
from patterns.bar_views import bar_face
from patterns.templates import blank_part, usual_way

CHEEKS = ("fold.form=cheeks", "bar.section=1/4 x 2 1/2 in", "wall.thickness=7/32 in",
          "ears.above=3/4 in", "ears.below=1 in", "bit.insertion=2 1/2 in",
          "bit.tip=1/8 in")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        *((name, ()) for name in profiles.shipped()),
        ("belt-hatchet", CHEEKS),
        ("belt-hatchet", (*CHEEKS, "fold.waist=1 3/4 in")),
    ],
)
def test_its_area_times_the_thickness_is_the_bar(name: str, changes: tuple[str, ...]) -> None:
    plan = blank.plan(profiles.load(name, changes).design)
    body = sum(zone.bar for zone in plan.zones if zone.name not in ("bit", "plate"))
    face = bar_face(plan)
    # a waist by its walls' height is drawn in 48 steps a side
    assert face.area * plan.design.bar.thickness == pytest.approx(body, rel=1e-9)
    assert face.bounds.width == pytest.approx(plan.cut_length, rel=1e-12)
    assert blank_part(plan, usual_way("in")).cuts[0].bounds.width == pytest.approx(
        plan.cut_length, rel=1e-9
    )


def test_an_undrawn_waist_is_as_wide_as_its_walls_ask() -> None:
    """At every place the plate, less what fire takes, has the section of the wall there.

    Back and shoulder by hand: w = h t / (T left). Within 2 %: heights are laid out along the inside
    of the wall, whose back bends most, and the mean is that of the metal.
    """
    plan = blank.plan(profiles.load("belt-hatchet", CHEEKS).design)
    assert plan.undrawn
    bar, left = plan.design.bar, 0.985**7
    share = plan.design.wall.thickness / (bar.thickness * left)
    rows = sorted(
        (v.x, v.y) for v in bar_face(plan).vertices if 0.0 <= v.x <= plan.shoulders / 2.0 + 1e-9
    )
    tall = {x: max(b for a, b in rows if a == x) - min(b for a, b in rows if a == x)
            for x, _ in rows}  # fmt: skip
    back = plan.design.poll.height
    assert back is not None
    assert tall[0.0] == pytest.approx(back * share, rel=0.02)
    neck = plan.design.blade.neck_above + plan.design.blade.neck_below
    assert tall[max(tall)] == pytest.approx(neck * share, rel=0.02)
    told = blank.plan(profiles.load("belt-hatchet", (*CHEEKS, "fold.waist=1 3/4 in")).design)
    assert not told.undrawn
    assert told.strap.raw_length < told.strap.divider
