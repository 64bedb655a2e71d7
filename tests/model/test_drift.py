"""The drift against the eye, by sections, by solids and by the elongation as it is printed."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
import trimesh
from designs import examples, wide_designs
from hypothesis import given
from hypothesis import strategies as st
from solid import both_sides, eye_points

from patterns import drift as drifting
from patterns import profiles
from patterns.derived import eye_heights, left_of_bar
from patterns.drift import DRESSED, HEATS, Drift, Part, drifts, prismoid, stock
from patterns.head import Head, finish

NAMES = list(profiles.shipped())

FORMS = {
    "teardrop": (),
    "stadium": ("eye.form=stadium",),
    "ellipse": ("eye.form=ellipse",),
    "superellipse": ("eye.form=superellipse", "eye.exponent=3.5"),
    "circle": ("eye.form=circle", "eye.length=1 in", "eye.width=1 in"),
}
LEANS = {
    "straight": (),
    "tapered": ("eye.taper=1 mm",),
    "tapered down": ("eye.taper=-1 mm",),
    "waisted": ("eye.flare=1 mm",),
    "waisted and tapered": ("eye.flare=1.2 mm", "eye.taper=0.6 mm"),
}


def headed(name: str, changes: tuple[str, ...] = ()) -> Head:
    return finish(profiles.load(name, changes).design)


HEADS = {
    f"{form}, {lean}": headed("belt-hatchet", (*changes, *more))
    for form, changes in FORMS.items()
    for lean, more in LEANS.items()
} | {name: headed(name) for name in NAMES}


def polygon(drift: Drift, s: float) -> shapely.Polygon:
    return shapely.Polygon(drift.section(s).points(0.001))


def off_the_eye(head: Head, drift: Drift, s: float) -> float:
    """Hausdorff distance [mm] of a section from the eye, which is made from its own equation."""
    length = head.eye.length
    eye = shapely.affinity.translate(both_sides(eye_points(head.design.eye)), -length / 2.0)
    edges = [shapely.segmentize(shape.exterior, 0.2) for shape in (eye, polygon(drift, s))]
    return float(shapely.hausdorff_distance(*edges))


# The eye itself ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", HEADS)
def test_at_the_middle_it_is_the_eye(name: str) -> None:
    """Within 0.01 mm by size, girth, outline, and as much by area; a little way off it is not."""
    head = HEADS[name]
    for drift in drifts(head):
        section = drift.section(drift.middle)
        assert section.bounds.width == pytest.approx(head.eye.length, abs=0.01)
        assert section.bounds.height == pytest.approx(head.eye.width, abs=0.01)
        assert section.length == pytest.approx(head.eye.perimeter, abs=0.01)
        assert section.area == pytest.approx(head.eye.area, abs=0.01 * head.eye.perimeter)
        assert off_the_eye(head, drift, drift.middle) < 0.01
        assert off_the_eye(head, drift, drift.middle + 6.0) > 0.01


@examples(30)
@given(wide_designs())
def test_at_the_middle_it_is_the_eye_of_any_design(found: tuple[object, object]) -> None:
    head = found[1].head  # type: ignore[attr-defined]
    for drift in drifts(head):
        assert off_the_eye(head, drift, drift.middle) < 0.01


@examples(80)
@given(wide_designs())
def test_it_follows_the_eye_within_what_is_told(found: tuple[object, object]) -> None:
    """In its cold place, at every height where it works: never further out than ``off`` says."""
    head: Head = found[1].head  # type: ignore[attr-defined]
    above, below = eye_heights(head.design)
    sides = set()
    for drift in drifts(head):
        told = dict(drift.off)
        waisted = len(drift.off) == len(drift.mouths) and drift.off[0][0] == drift.mouths[0][0]
        for side, _ in drift.mouths:
            sides.add(side)
            up = 1.0 if side == "above" else -1.0
            for share in np.linspace(-1.0, 1.0, 41):
                y = share * (above if share > 0.0 else below)
                place = drift.middle + up * y
                if not drift.working[0] - 1e-9 <= place <= drift.working[1]:
                    assert waisted
                    assert up * y < 0.0
                    continue
                out = drift.form_at(place)[0] - head.eye_offset(y)
                entering = up * y > 0.0
                if waisted and not entering:
                    assert out <= 1e-9  # beyond the waist it only has to be the smaller
                    continue
                end = "above" if y > 0.0 else "below"
                limit = told[end]
                assert min(0.0, limit) - 1e-9 <= out <= max(0.0, limit) + 1e-9
                if abs(share) == 1.0:
                    assert out == pytest.approx(limit, abs=1e-9)
    if len(sides) == 2:
        assert min(head.eye_offset(above), head.eye_offset(-below)) > drifting.SAME


@examples(80)
@given(wide_designs())
def test_where_the_eye_is_straight_the_taper_is_small(found: tuple[object, object]) -> None:
    head: Head = found[1].head  # type: ignore[attr-defined]
    eye = head.design.eye
    for drift in drifts(head):
        assert min(drift.slopes) > 0.0
        if eye.taper == 0.0 and eye.flare == 0.0:
            assert max(drift.slopes) <= 0.005 + 1e-12
            for _, off in drift.off:
                assert 2.0 * abs(off) <= 0.02 * head.eye.width + 1e-9


def test_which_way_it_goes_in() -> None:
    def sides(name: str) -> list[str]:
        return [drift.side for drift in drifts(HEADS[name])]

    assert sides("teardrop, straight") == ["above"]
    assert sides("teardrop, tapered") == ["above"]
    assert sides("teardrop, tapered down") == ["below"]
    assert sides("teardrop, waisted") == ["both"]
    assert sides("teardrop, waisted and tapered") == ["above", "below"]


# Driving -----------------------------------------------------------------------------------------


@examples(60)
@given(wide_designs(), st.data())
def test_it_grows_all_the_way(found: tuple[object, object], data: st.DataObject) -> None:
    """From the small end to the bevel no section is smaller than one ahead of it: sizes, areas, and
    the outlines themselves."""
    head: Head = found[1].head  # type: ignore[attr-defined]
    for drift in drifts(head):
        end = drift.part("bevel").start
        places = np.linspace(0.0, end, 80)
        sizes = [(*drift.size(s), drift.area(s), drift.girth(s)) for s in places]
        for one, next_ in pairwise(sizes):
            assert all(b >= a - 1e-9 for a, b in zip(one, next_, strict=True))
        a, b = sorted(data.draw(st.floats(0.0, end)) for _ in range(2))
        assert shapely.buffer(polygon(drift, b), 0.003).covers(polygon(drift, a))


@pytest.mark.parametrize("name", HEADS)
def test_the_cold_eye_lets_it_in_as_far_as_its_mark(name: str) -> None:
    """Section by section inside the eye, on the way in and in its place, but for what is told."""
    head = HEADS[name]
    above, below = eye_heights(head.design)
    half = head.eye.length / 2.0
    for drift in drifts(head):
        up = -1.0 if drift.side == "below" else 1.0
        spare = max(0.0, *(off for _, off in drift.off)) + 0.005
        for y, by in ((above, 0.0), (0.0, 0.0), (-below, 0.0), (0.0, 9.0), (above, 9.0)):
            place = drift.middle + up * y - by
            if not 0.0 <= place <= drift.length:
                continue
            hole = shapely.Polygon((x - half, z) for x, z in _grown_eye(head, head.eye_offset(y)))
            assert shapely.buffer(hole, spare).covers(polygon(drift, place)), (y, by)
        # driven too far it does not go in
        far = polygon(drift, drift.hot)
        assert not shapely.buffer(both_sides(eye_points(head.design.eye)), spare).covers(
            shapely.affinity.translate(far, half)
        )


def _grown_eye(head: Head, by: float) -> list[tuple[float, float]]:
    """The eye from its equation, offset by Shapely."""
    eye = both_sides(eye_points(head.design.eye))
    return list(shapely.buffer(eye, by, quad_segs=64).exterior.coords)


# Hot ---------------------------------------------------------------------------------------------

AT_900, AT_200 = 1.18e-2, 2.3184e-3
"""Elongation by EN 1993-1-2:2005, 3.4.1.1, worked out by hand: 2e-5 x 900 - 6.2e-3, and
1.2e-5 x 200 + 0.4e-8 x 200^2 - 2.416e-4."""


@pytest.mark.parametrize("name", HEADS)
def test_at_the_hot_mark_the_warm_drift_has_the_hot_eyes_girth(name: str) -> None:
    head = HEADS[name]
    assert (drifting.FINISHING, drifting.WARM) == (900.0, 200.0)
    for drift in drifts(head):
        around = polygon(drift, drift.hot).length * (1.0 + AT_200)
        assert around == pytest.approx(head.eye.perimeter * (1.0 + AT_900), abs=0.02)
        cold = polygon(drift, drift.middle).length * (1.0 + AT_200)
        assert cold < head.eye.perimeter * (1.0 + AT_900) - 0.1
        assert drift.on == drift.hot - drift.middle > 0.0


@pytest.mark.parametrize("name", HEADS)
def test_its_unlikeness_is_what_the_outlines_show(name: str) -> None:
    head = HEADS[name]
    grow = (1.0 + AT_900) / (1.0 + AT_200)
    for drift in drifts(head):
        box = drift.section(drift.hot).bounds
        shown = box.width - grow * head.eye.length, box.height - grow * head.eye.width
        assert drift.unlikeness == pytest.approx(shown, abs=0.01)


def test_hotter_iron_is_driven_further() -> None:
    cooler, hotter = (drifting.net_growth(heat) for heat in (900.0, 1000.0))
    assert hotter - cooler == pytest.approx(2e-3 / (1.0 + AT_200), rel=1e-9)  # 2e-5 a degree
    assert drifting.net_growth(200.0, 200.0) == 0.0


@pytest.mark.parametrize("name", HEADS)
def test_the_marks_lie_on_the_working_part(name: str) -> None:
    for drift in drifts(HEADS[name]):
        first, last = drift.working
        places = {mark.name: mark.at for mark in drift.marks}
        assert all(first < at < last for at in places.values())
        for side, height in drift.mouths:
            assert places[f"{side}, cold"] - places["middle"] == pytest.approx(height)
            assert places[f"{side}, hot"] - places["middle, hot"] == pytest.approx(height)


# Volume ------------------------------------------------------------------------------------------


def test_a_bar_that_tapers_both_ways() -> None:
    """10 x 40 to 4 x 60 over 100: V = L/6 (2 a0 b0 + a0 b1 + a1 b0 + 2 a1 b1) = 34 000 exactly, as
    a hull of the eight corners has it; the frustum of a pyramid and the mean area do not."""
    found = prismoid(100.0, 10.0 * 40.0, 7.0 * 50.0, 4.0 * 60.0)
    corners = [(0.0, y, z) for y in (-5.0, 5.0) for z in (-20.0, 20.0)]
    corners += [(100.0, y, z) for y in (-2.0, 2.0) for z in (-30.0, 30.0)]
    assert found == pytest.approx(34000.0, abs=1e-9)
    assert trimesh.convex.convex_hull(np.array(corners)).volume == pytest.approx(found, rel=1e-9)
    assert abs(100.0 / 3.0 * (400.0 + 240.0 + math.sqrt(96000.0)) - found) > 300.0
    assert abs(100.0 / 2.0 * (400.0 + 240.0) - found) > 300.0


def lofted(drift: Drift, per_piece: int = 40) -> trimesh.Trimesh:
    """A closed solid through the sections at the ends of the parts, by points of the contour."""
    rings = []
    for s in [0.0, *(part.end for part in drift.parts)]:
        pieces = drift.section(s).pieces
        rings.append([(*p.at(i / per_piece), s) for p in pieces for i in range(per_piece)])
    count = len(rings[0])
    points = [point for ring in rings for point in ring]
    faces = []
    for j in range(len(rings) - 1):
        for i in range(count):
            a, b = j * count + i, j * count + (i + 1) % count
            faces += [(a, b, a + count), (b, b + count, a + count)]
    for ring, turn in ((0, 1), (len(rings) - 1, -1)):
        points.append((0.0, 0.0, rings[ring][0][2]))
        for i in range(count):
            one, two = ring * count + i, ring * count + (i + 1) % count
            faces.append((len(points) - 1, two, one)[::turn])
    return trimesh.Trimesh(np.array(points), np.array(faces), process=False)


@pytest.mark.parametrize("name", HEADS)
def test_volume_by_a_solid(name: str) -> None:
    """A solid of triangles; its chords leave out a little of every arc."""
    for drift in drifts(HEADS[name]):
        solid = lofted(drift)
        assert solid.is_watertight
        assert solid.volume == pytest.approx(drift.volume(), rel=6e-4)
        assert solid.extents[2] == pytest.approx(drift.length)


@pytest.mark.parametrize("left_on", [0.0, DRESSED])
@pytest.mark.parametrize("name", ["teardrop, straight", "ellipse, waisted", "tomahawk"])
def test_volume_by_slabs(name: str, left_on: float) -> None:
    """Shapely's area of a thousand sections, offset by Shapely."""
    for drift in drifts(HEADS[name]):
        total = 0.0
        for part in drift.parts:
            step = part.length / 200.0
            for i in range(200):
                shape = polygon(drift, part.start + (i + 0.5) * step)
                total += shapely.buffer(shape, left_on, quad_segs=32).area * step
        assert drift.volume(left_on) == pytest.approx(total, rel=2e-4)


@examples(40)
@given(wide_designs(), st.floats(0.0, 1.0))
def test_areas_are_the_sections(found: tuple[object, object], way: float) -> None:
    for drift in drifts(found[1].head):  # type: ignore[attr-defined]
        s = way * drift.length
        assert drift.area(s) == pytest.approx(drift.section(s).area, rel=1e-3)
        assert drift.girth(s) == pytest.approx(drift.section(s).length, rel=1e-3)


def test_places_beyond_the_ends_are_refused() -> None:
    (drift,) = drifts(HEADS["belt-hatchet"])
    for s in (-0.1, drift.length + 0.1):
        with pytest.raises(ValueError, match="along the drift"):
            drift.section(s)


@pytest.mark.parametrize("step", [12.7, 10.0])
def test_stations_go_from_end_to_end(step: float) -> None:
    (drift,) = drifts(HEADS["belt-hatchet"])
    places = drift.stations(step)
    assert places[0] == 0.0
    assert places[-1] == pytest.approx(drift.length)
    gaps = np.diff(places)
    assert gaps[:-1] == pytest.approx(step)
    assert 0.0 < gaps[-1] <= step + 1e-9


# Stock -------------------------------------------------------------------------------------------


def bars(head: Head, drift: Drift, units: str, heats: int = HEATS) -> tuple[drifting.Stock, ...]:
    return stock(
        drift, units=units, loss_per_heat=head.design.allowances.scale_per_heat,
        bite=head.design.hand.bite, heats=heats,
    )  # fmt: skip


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", HEADS)
def test_stock_holds_the_drift(name: str, units: str) -> None:
    head = HEADS[name]
    for drift in drifts(head):
        found = bars(head, drift, units)
        assert found
        areas = [bar.area for bar in found]
        assert areas == sorted(areas)
        greatest = max(
            shapely.buffer(polygon(drift, s), DRESSED, quad_segs=32).area
            for s in np.linspace(0.0, drift.length, 150)
        )
        left = (1.0 - head.design.allowances.scale_per_heat) ** HEATS
        for bar in found:
            area = math.pi * bar.size**2 / 4.0 if bar.form == "round" else bar.size**2
            assert area >= greatest * (1.0 - 1e-4)  # drawn down, never upset
            assert bar.length * area * left == pytest.approx(drift.volume(DRESSED), rel=1e-9)
            assert bar.length < drift.length
        sold = drifting.INCH_THICKNESSES if units == "in" else drifting.METRIC_THICKNESSES
        for form in ("round", "square"):
            (least, *_) = [bar.size for bar in found if bar.form == form]
            below = [size for size in sold if size < least]
            assert not below or drifting.bar_area(form, max(below)) < drift.greatest


def test_more_heats_never_need_less() -> None:
    head = HEADS["belt-hatchet"]
    (drift,) = drifts(head)
    lengths = [bars(head, drift, "in", heats)[0].length for heats in range(9)]
    assert lengths == sorted(lengths)
    first = bars(head, drift, "in", 0)[0]
    assert first.length * first.area == pytest.approx(drift.volume(DRESSED))
    assert left_of_bar(head.design) < 1.0


def test_a_bar_flattens_by_the_law_of_spread() -> None:
    """A 1 in bite on 1 1/2 in square: s = 0.14 + 0.36 (2/3) - 0.054 (4/9) = 0.356; to half the
    thickness it is 2^0.356 = 1.280 times as wide."""
    assert drifting.flattened(38.1, 19.05, 25.4) == pytest.approx(38.1 * 1.280, rel=1e-3)


def test_a_part_runs_evenly() -> None:
    part = Part("lead", 10.0, 30.0, (0.0, 0.4), (0.6, 1.0))
    assert part.at(15.0) == pytest.approx((0.1, 0.7))
