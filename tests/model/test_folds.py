"""Heads of every fold, bit, bevel, eye and edge: what must hold for all of them.

Random heads that a smith might ask for; what the program refuses in its own words is passed over,
but not more than a share of each kind.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from typing import Any

import pytest
import shapely
from designs import (
    FOLDED,
    LOPSIDED,
    Raw,
    changed,
    examples,
    mirrored,
    mm,
    planned,
    raws,
    read,
    twice,
    wide_designs,
    wide_raws,
    written,
)
from hypothesis import assume, given
from soundness import FINE, SLACK, line, polygon, sound, thinnest, told

from patterns import profiles
from patterns.blank import ForgePlan, plan
from patterns.derived import eye_heights
from patterns.errors import BadInputError
from patterns.folds import FOLDS
from patterns.parameters import BEVELS, BIT_FORMS

# Random heads ------------------------------------------------------------------------------------


@pytest.mark.parametrize("fold", FOLDS)
def test_random_heads_are_sound(fold: str) -> None:
    """Outline, eye, balance, marks and figures; and most heads of each kind are accepted."""
    seen: Counter[str] = Counter()

    @examples(60)
    @given(wide_raws(fold=fold))
    def run(raw: Raw) -> None:
        kinds = [raw["bit"].get("form", "inserted"), raw["blade"].get("bevel", "both")]
        kinds += [key for group, key in (("blade", "toe_back"), ("eye", "flare")) if key in
                  raw[group]]  # fmt: skip
        kinds += [key for key in ("plate",) if key in raw]
        try:
            profile = read(raw)
            made = plan(profile.design, "mm")
        except BadInputError as error:
            told(error.faults)
            seen["refused"] += 1
            return
        sound(profile, made)
        seen["accepted"] += 1
        seen.update(kinds)

    run()
    assert seen["accepted"] >= 1.5 * seen["refused"], seen
    kinds = [*BEVELS, "toe_back", "flare", "inserted"]
    kinds += ["plate"] if FOLDS[fold].square_poll else []
    kinds += [] if FOLDS[fold].bit_in_front else [*BIT_FORMS]
    assert all(seen[kind] >= 3 for kind in kinds), seen


# Containment -------------------------------------------------------------------------------------

SHAPES = {name: (lambda raw=raw: planned(raw)) for name, raw in {**LOPSIDED, **FOLDED}.items()}
SHAPES |= {name: (lambda name=name: plan(profiles.load(name).design, "mm"))
           for name in profiles.shipped()}  # fmt: skip


@pytest.mark.parametrize("name", SHAPES)
def test_the_eye_lies_in_the_head_with_its_walls(name: str) -> None:
    """At mid-height the least way from eye to skin is the wall; above and below, less by the lean.

    The eye's offset at the ends is worked here from taper and flare alone: half of the taper's
    share of the height, and half of the flare.
    """
    made = SHAPES[name]()
    head, design = made.head, made.design
    view, wall = head.plan, design.wall.thickness
    outside, hole = polygon(view.outside), polygon(head.eye.contour, view.eye_back)
    assert outside.is_valid
    assert outside.contains(hole)
    assert thinnest(made, hole) == pytest.approx(wall, abs=SLACK)
    # and back to back: the poll as thick as it is said to be
    assert hole.distance(shapely.LineString([(0.0, -50.0), (0.0, 50.0)])) == pytest.approx(
        view.poll_thickness, abs=SLACK
    )
    above, below = eye_heights(design)
    for label, height in (("top", above), ("middle", 0.0), ("bottom", -below)):
        offset = design.eye.taper / 2.0 * height / (above + below)
        offset += design.eye.flare / 2.0 * (0.0 if label == "middle" else 1.0)
        _, y, contour = next(s for s in head.eye_sections if s[0] == label)
        assert y == pytest.approx(height)
        section = polygon(contour, view.eye_back)
        assert outside.contains(section)
        assert thinnest(made, section) >= wall - max(offset, 0.0) - SLACK
        want = hole.buffer(offset, quad_segs=200)
        assert section.hausdorff_distance(want) < SLACK, label
    # from above the blade's taper closes on the skin's end: the whole outside is one body
    assert isinstance(outside, shapely.Polygon)


def test_a_thin_place_would_be_seen() -> None:
    """The measure itself: an eye shifted by half a millimetre no longer keeps its walls."""
    made = planned(FOLDED["round"])
    hole = polygon(made.head.eye.contour, made.head.plan.eye_back + 0.5)
    assert thinnest(made, hole) < made.design.wall.thickness - 0.1
    grown = polygon(made.head.eye.contour, made.head.plan.eye_back).buffer(0.05)
    assert thinnest(made, grown) < made.design.wall.thickness - SLACK


# Upside down, twice as large ---------------------------------------------------------------------


def upside_down(raw: Raw) -> Raw:
    """The mirrored head, its edge's corners changed about too."""
    found = mirrored(raw)
    blade = found["blade"]
    if "toe_back" in blade:
        blade["toe_back"], blade["heel_back"] = blade["heel_back"], blade["toe_back"]
    return found


def measure(plan: ForgePlan, name: str) -> float:
    found: Any = plan
    for part in name.split("."):
        found = getattr(found, part)
    return float(found)


MEASURES = (
    "cut_length", "poll", "shoulders", "half", "strap.raw_length", "strap.drawn_length",
    "strap.divider", "strap.plain_length", "strap.shortest", "strap.longest", "strap.raw_width",
    "strap.mean_height", "head.plan.wall_area", "head.plan.width", "head.length",
    "head.edge_length", "head.wedge_room",
)  # fmt: skip


@examples(60)
@given(wide_designs())
def test_upside_down(drawn: tuple[Raw, ForgePlan]) -> None:
    """Same bar, marks, bit and mass; it balances as far on the other side of the centre line."""
    raw, one = drawn
    assume("beard" not in raw["blade"])
    other = planned(upside_down(raw))
    assert other.head.mass == pytest.approx(one.head.mass, rel=1e-9)
    (ahead, above), (ahead_too, below) = one.head.balance, other.head.balance
    assert ahead_too == pytest.approx(ahead, abs=1e-7)
    assert below == pytest.approx(-above, abs=1e-7)
    # the edge found from its corners is so to 1e-9 of the radius
    measures = tuple(m for m in MEASURES if m != "head.wedge_room")
    for name in measures:
        assert measure(other, name) == pytest.approx(measure(one, name), rel=1e-8), name
    assert [(m.face, m.kind) for m in other.marks] == [(m.face, m.kind) for m in one.marks]
    assert [m.x for m in other.marks] == pytest.approx([m.x for m in one.marks], rel=1e-8)
    assert other.head.volumes == pytest.approx(one.head.volumes, rel=1e-8)
    a, b = one.head.side.contour.bounds, other.head.side.contour.bounds
    assert (b.top, b.bottom) == pytest.approx((-a.bottom, -a.top), abs=1e-6)
    # the wedge goes in at the top: its room is that of the other end
    offsets = [one.head.eye_offset(y) for y in (eye_heights(one.design)[0], 0.0)]
    offsets.append(one.head.eye_offset(-eye_heights(one.design)[1]))
    assert other.head.wedge_room == pytest.approx(2 * (offsets[2] - min(offsets)), abs=1e-9)


@examples(40)
@given(wide_designs())
def test_twice_the_size(drawn: tuple[Raw, ForgePlan]) -> None:
    """Marks double, areas grow fourfold and volumes eightfold. Doubts and bite are absolute."""
    raw, one = drawn
    two = twice(raw)
    lengths = tuple(m for m in MEASURES if m != "head.plan.wall_area")
    for name in lengths:
        assert measure(two, name) == pytest.approx(2 * measure(one, name), rel=1e-7), name
    assert two.head.plan.wall_area == pytest.approx(4 * one.head.plan.wall_area, rel=1e-7)
    assert two.head.mass == pytest.approx(8 * one.head.mass, rel=1e-7)
    assert [m.x for m in two.marks] == pytest.approx([2 * m.x for m in one.marks], rel=1e-7)
    assert two.head.balance == pytest.approx([2 * x for x in one.head.balance], abs=1e-4)
    assert [zone.name for zone in two.zones] == [zone.name for zone in one.zones]
    for large, small in zip(two.zones, one.zones, strict=True):
        for part in ("bar", "finished", "scale", "weld", "grinding", "trimming", "dressing"):
            assert getattr(large, part) == pytest.approx(
                8 * getattr(small, part), rel=1e-6, abs=1e-6
            ), (small.name, part)
    if one.plate and two.plate:
        assert two.plate.cut_length == pytest.approx(2 * one.plate.cut_length, rel=1e-7)


# What each fold asks for -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fold", "changes", "field"),
    [
        ("round", {"poll__thickness": mm(9)}, "poll.thickness"),
        ("round", {"poll__overhang": mm(2)}, "poll.overhang"),
        ("round", {"poll__sides_forward": mm(2)}, "poll.sides_forward"),
        ("round", {"plate": {"thickness": mm(3), "stock": (mm(5), mm(40))}}, "plate.thickness"),
        ("round", {"fold__lap": mm(20)}, "fold.lap"),
        ("block", {"fold__waist": mm(20)}, "fold.waist"),
        ("block", {"plate__thickness": mm(13)}, "poll.thickness"),
        ("closed", {"poll__thickness": mm(9)}, "poll.thickness"),
        ("closed", {"poll__overhang": mm(2)}, "poll.overhang"),
        ("closed", {"fold__hinge": mm(7)}, "fold.hinge"),
        ("one-sided", {"fold__lap": mm(64)}, "fold.lap"),
        ("cheeks", {"fold__waist": mm(63)}, "fold.waist"),
        ("cheeks", {"bit": {"form": "none"}}, "bit.form"),
        ("cheeks", {"bit__form": "overlaid", "bit__barbs": "none"}, "bit.form"),
        ("block", {"bit__barbs": "raised"}, "bit.barbs"),
        ("block", {"blade__bevel": "both"}, "blade.grind"),
        ("block", {"blade__grind": mm(20)}, "blade.grind"),
        ("block", {"eye__flare": mm(6), "eye__taper": mm(6)}, "eye.flare"),
        ("round", {"blade__edge_radius": mm(57)}, "blade.edge_radius"),
        ("round", {"blade__heel_back": mm(60)}, "blade.toe_back"),
        ("round", {"blade__edge_centre": mm(0)}, "blade.edge_centre"),
    ],
)
def test_what_a_fold_does_not_have_is_refused(
    fold: str, changes: dict[str, Any], field: str
) -> None:
    for units in ("mm", "in"):
        with pytest.raises(BadInputError) as caught:
            planned(changed(FOLDED[fold], **changes), units)
        told(caught.value.faults)
        assert field in [fault.field for fault in caught.value.faults], str(caught.value)


@pytest.mark.parametrize(
    ("fold", "group", "key"),
    [
        ("closed", "poll", "thickness"), ("one-sided", "fold", "lap"), ("cheeks", "poll", "height"),
        ("block", "plate", "stock"), ("block", "plate", "thickness"), ("round", "bit", "stock"),
        ("round", "bit", "insertion"), ("round", "blade", "toe_back"),
    ],
)  # fmt: skip
def test_what_a_fold_needs_is_asked_for(fold: str, group: str, key: str) -> None:
    raw = changed(FOLDED[fold])
    del raw[group][key]
    with pytest.raises(BadInputError) as caught:
        planned(raw)
    told(caught.value.faults)
    assert f"{group}.{key}" in [fault.field for fault in caught.value.faults]


@pytest.mark.parametrize("wall", ["7", "6.999999"])
def test_a_plate_as_thick_as_the_wall(wall: str) -> None:
    """A waist that is told wider than the wall is high is drawn in from its edges, not thinned."""
    raw = changed(
        FOLDED["cheeks"], bar={"section": (mm(7), mm(62))}, wall__thickness=mm(wall),
        fold__waist=mm(62), allowances={"scale_per_heat": "0 %"},
    )  # fmt: skip
    made = planned(raw)
    sound(read(raw), made)
    assert made.strap.mean_height < 62.0
    assert "from its edges" in made.spread.verdict
    assert made.spread.natural_height == pytest.approx(62.0, rel=1e-4)
    # by volume: as long as wall and waist make it
    assert made.strap.raw_length == pytest.approx(
        made.head.walls.volume / 2.0 / (7.0 * 62.0), rel=1e-9
    )


def test_shared_metal() -> None:
    """The same head of each fold: only what stands round the eye's back and front may differ.

    Without plate and lap the finished blade ahead of the first station is the same to the last
    digit; and the whole of a one-sided head weighs more than a round one by just the metal that a
    single step, half as long, leaves between eye and neck: nothing, for the eye is the same hole.
    """
    base = changed(LOPSIDED["stadium"], poll={"height": mm(41)})
    one = planned(changed(base, fold={"form": "round"}))
    other = planned(changed(base, fold={"form": "one-sided", "lap": mm(20)}))
    assert other.head.ahead == one.head.ahead
    assert other.head.mass == pytest.approx(one.head.mass, rel=1e-12)
    # the tongue has both walls and the lap; its wall is longer, for it closes less of the nose
    assert other.head.plan.cap_length == pytest.approx(one.head.plan.cap_length / 2.0)
    assert other.strap.drawn_length > 2.0 * one.strap.drawn_length


# An edge by its corners --------------------------------------------------------------------------


@examples(60)
@given(raws())
def test_corners_lie_as_far_back_as_asked(raw: Raw) -> None:
    """Toe and heel of the drawn arc; and the same head by the radius and centre that it finds."""
    blade = raw["blade"]
    for key in ("edge_radius", "edge_centre"):
        blade.pop(key, None)
    tall = float(blade["toe"] + blade["heel"])
    share = (float(blade["toe"]) % 7.0) / 7.0
    blade["toe_back"] = mm(f"{0.5 + 0.12 * share * tall:.2f}")
    blade["heel_back"] = mm(f"{0.5 + 0.12 * (1.0 - share) * tall:.2f}")
    try:
        made = planned(raw)
    except BadInputError as error:
        told(error.faults)
        assume(False)
        raise
    edge = made.head.side.edge
    foremost = polygon(made.head.side.contour).bounds[2]
    assert foremost == pytest.approx(made.head.length, abs=SLACK)
    for corner, key in ((edge.toe, "toe_back"), (edge.heel, "heel_back")):
        assert made.head.length - corner[0] == pytest.approx(float(blade[key]), abs=1e-7)
    # both corners on the drawn line, foremost between them
    drawn = line([edge.piece])
    for corner in (edge.toe, edge.heel):
        assert drawn.distance(shapely.Point(corner)) < 1e-9
    assert edge.heel[1] < edge.y < edge.toe[1]
    if not 20.0 <= edge.radius <= 2000.0:
        return
    table = written(raw)
    del table["blade"]["toe_back"], table["blade"]["heel_back"]
    table["blade"] |= {"edge_radius": f"{edge.radius!r} mm", "edge_centre": f"{edge.y:.12f} mm"}
    second = plan(profiles.read(table, "trial", "mm").design, "mm")
    assert second.head.mass == pytest.approx(made.head.mass, rel=1e-9)
    assert second.cut_length == pytest.approx(made.cut_length, rel=1e-9)


def test_corners_by_hand() -> None:
    """Even corners: R = (h^2 + b^2) / 2 b. 40 mm up and down, 8 mm back: (1600 + 64) / 16 = 104.

    Uneven ones, from a circle of 65 about a point 3 below the centre line: the toe 36 above that
    lies 65 - sqrt(4225 - 1296) = 10.8802 back, the heel 25 below it 65 - 60 = 5 back.
    """
    base = changed(LOPSIDED["stadium"])
    for key in ("edge_radius", "edge_centre"):
        del base["blade"][key]
    even = planned(changed(base, blade__toe=mm(40), blade__heel=mm(40), blade__toe_back=mm(8),
                           blade__heel_back=mm(8)))  # fmt: skip
    assert even.head.side.edge.radius == pytest.approx(104.0, rel=1e-9)
    assert even.head.side.edge.y == pytest.approx(0.0, abs=1e-7)
    back = 65.0 - math.sqrt(65.0**2 - 36.0**2)
    odd = planned(changed(base, blade__toe=mm(33), blade__heel=mm(28), blade__heel_back=mm(5),
                          blade__toe_back=mm(f"{back:.8f}")))  # fmt: skip
    assert odd.head.side.edge.radius == pytest.approx(65.0, rel=1e-7)
    assert odd.head.side.edge.y == pytest.approx(-3.0, abs=1e-6)


@pytest.mark.parametrize(("toe", "heel"), [(38.5, 38.5), (80, 1), (39, 39), (90, 90)])
def test_no_arc_turns_so_far(toe: float, heel: float) -> None:
    """77 mm from toe to heel: a half circle is 38.5 back at both; one corner alone no further than
    the radius of the arc that ends level there."""
    base = changed(LOPSIDED["stadium"], blade__toe_back=mm(toe), blade__heel_back=mm(heel))
    for key in ("edge_radius", "edge_centre"):
        del base["blade"][key]
    for units in ("mm", "in"):
        with pytest.raises(BadInputError) as caught:
            planned(base, units)
        told(caught.value.faults)
        assert any(fault.field == "blade.toe_back" for fault in caught.value.faults)


def test_straps_and_steps_by_fold() -> None:
    """How many of each, counted on the drawn plan view: what is closed of the eye is not wall."""
    for name, raw in FOLDED.items():
        made = planned(raw)
        view, fold = made.head.plan, FOLDS[name]
        around = line(view.eye_wall).length
        closed = view.form.perimeter - 2.0 * around
        assert closed == pytest.approx(view.cap_length, abs=0.02)  # ellipses are arcs: 0.004 mm
        step = made.design.hand.step * (made.design.bar.thickness - made.design.wall.thickness)
        bit = made.design.bit.tip if fold.bit_in_front else 0.0
        assert view.cap_length == pytest.approx(fold.front_steps * step + bit)
        assert view.rear_length == pytest.approx(fold.rear_steps * step)
        kinds = Counter((mark.face, mark.kind) for mark in made.marks)
        expected = {
            "block": {("outer", "poll"): 2, ("inner", "shoulder"): 2},
            "round": {("inner", "shoulder"): 2},
            "closed": {("outer", "cut"): 1, ("inner", "poll"): 2, ("inner", "shoulder"): 2},
            "one-sided": {("inner", "shoulder"): 1},
            "cheeks": {("inner", "shoulder"): 2},
        }
        assert kinds == expected[name]
        parts = Counter(part.kind for part in made.parts)
        assert parts == {
            "half": fold.halves, "strap": fold.straps,
            **({"poll": 1} if name in ("block", "closed") else {}),
        }  # fmt: skip
        for a, b in itertools.pairwise(made.parts):
            assert a.end == b.start
    assert FINE < SLACK
