"""The contact sheet: at one scale, nothing touching, nothing cut, and no word of full size."""

from __future__ import annotations

from functools import cache

import pytest
import shapely
from test_overlaps import overlaps

from patterns import contact, pages, profiles
from patterns.contour import Contour, Vertex
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.errors import BadInputError
from patterns.head import finish
from patterns.resize import Factors, scaled

LONG = ("blade.reach=230 mm", "blade.toe=40 mm", "blade.heel=60 mm", "blade.edge_radius=300 mm",
        'blade.stations=[["10 mm", "21 mm"], ["100 mm", "13 mm"], ["225 mm", "4 mm"]]')  # fmt: skip
"""A head of 300 mm, as a carpenter's axe has (invented)."""


@cache
def heads(count: int) -> tuple[contact.Shown, ...]:
    """Shipped heads, large and small; some with names too long for a line."""
    found = [contact.Shown("long-axe", finish(profiles.load("camp-axe", LONG).design))]
    for i in range(count - 1):
        name = list(profiles.shipped())[i % len(profiles.shipped())]
        words = "-with-a-name-that-is-too-long-for-one-line" if i % 5 == 4 else ""
        design = profiles.load(name, ("handle.length=", f"name=Head {i}{words}")).design
        factor = (0.8, 1.0, 1.15, 1.3)[i % 4]
        head = finish(scaled(design, Factors.alike(factor)))
        found.append(contact.Shown(f"head-{i}{words}", head))
    return tuple(found)


def pictures(drawing: Drawing) -> list[Contour]:
    return [s.contour for s in drawing.strokes if s.purpose is Purpose.OUTLINE]


def sheets(count: int, units: str, paper: str) -> tuple[bool, pages.Legend, list[Drawing]]:
    foot = contact.legend(heads(count))
    lying, found = contact.paged(heads(count), units, foot, paper)
    return lying, foot, found


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("paper", list(pages.PAPERS))
@pytest.mark.parametrize("count", [1, 12, 20])
def test_nothing_touches_and_nothing_is_cut(count: int, paper: str, units: str) -> None:
    lying, foot, found = sheets(count, units, paper)
    assert sum(len(pictures(each)) for each in found) == count
    for number, drawing in enumerate(found, 1):
        assert overlaps(drawing) == []
        page = pages.sheet(drawing, foot, paper, lying, number, len(found))
        assert overlaps(page.furniture) == []
        box, window = drawing.bounds, page.window
        assert window.left <= box.left
        assert window.bottom <= box.bottom
        assert box.right <= window.right
        assert box.top <= window.top
        size = sorted((page.width, page.height))
        assert size == pytest.approx(sorted(pages.PAPERS[paper]))
        shapes = [shapely.box(*_corners(c)).buffer(1.0) for c in pictures(drawing)]
        assert not any(a.intersects(b) for i, a in enumerate(shapes) for b in shapes[:i])


def _corners(contour: Contour) -> tuple[float, float, float, float]:
    box = contour.bounds
    return box.left, box.bottom, box.right, box.top


@pytest.mark.parametrize("units", ["in", "mm"])
def test_all_on_one_sheet(units: str) -> None:
    drawing = contact.whole(heads(20), units)
    assert len(pictures(drawing)) == 20
    assert overlaps(drawing) == []
    assert drawing.bounds.width <= contact.WIDE + 1e-9


def test_every_head_is_a_quarter_of_full_size_in_order_of_mass() -> None:
    _, _, found = sheets(20, "in", "letter")
    drawn = [picture for each in found for picture in pictures(each)]
    order = sorted(heads(20), key=lambda shown: shown.head.mass)
    for picture, shown in zip(drawn, order, strict=True):
        full = shown.head.side.contour
        assert picture.bounds.width == pytest.approx(shown.head.length / 4.0, abs=1e-9)
        assert picture.area == pytest.approx(full.area / 16.0, rel=1e-12)
        assert [v.bulge for v in picture.vertices] == [v.bulge for v in full.vertices]


def test_the_scale_bars_measure_heads() -> None:
    """A head's 8 in is 2 in of paper; a check bar is as long as it says."""
    drawing = contact.whole(heads(1), "in")
    bars = [s.contour.bounds for s in drawing.strokes if s.filled]
    ends = {round(b.bottom, 3): [] for b in bars}
    for stroke in drawing.strokes:
        box = stroke.contour.bounds
        if stroke.purpose is Purpose.DIMENSION and round(box.bottom, 3) in ends:
            ends[round(box.bottom, 3)] += [box.left, box.right]
    long = sorted(max(each) - min(each) for each in ends.values())
    assert long == pytest.approx([200.0 / 4.0, 8.0 * 25.4 / 4.0])


def test_the_views_show_the_eye() -> None:
    drawing = contact.whole(heads(1), "in")
    head = heads(1)[0].head
    hidden = sorted(s.contour.bounds.left for s in drawing.strokes if s.purpose is Purpose.HIDDEN)
    assert [4.0 * x for x in hidden] == pytest.approx([head.plan.eye_back, head.plan.eye_front])
    areas = [s.contour.area for s in drawing.strokes if s.contour.closed]
    assert any(16.0 * area == pytest.approx(head.eye.area, rel=1e-3) for area in areas)


def test_a_plate_on_the_poll_is_shown_in_both_views() -> None:
    steeled = ("plate.thickness=1/4 in", "plate.stock=1/4 x 1 1/4 in")
    head = finish(profiles.load("belt-hatchet", steeled).design)
    drawing = contact.whole([contact.Shown("steeled", head)], "in")
    seams = [
        s.contour.bounds
        for s in drawing.strokes
        if s.contour.bounds.width == 0.0 and s.contour.bounds.left == pytest.approx(6.35 / 4.0)
    ]
    tall = sorted(4.0 * box.height for box in seams)
    assert tall == pytest.approx(sorted([head.plan.poll_width, 31.75]))
    assert overlaps(drawing) == []


def test_the_revision_changes_with_a_head() -> None:
    assert contact.legend(heads(12)).revision != contact.legend(heads(12)[:-1]).revision
    assert contact.legend(heads(12)).revision == contact.legend(heads(12)).revision


def test_a_head_too_tall_for_the_paper_is_never_shrunk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(pages.PAPERS, "stamp", (140.0, 120.0))
    with pytest.raises(BadInputError, match="no picture is shrunk"):
        sheets(1, "in", "stamp")


def test_a_drawing_larger_than_the_sheet_is_refused() -> None:
    foot = contact.legend(heads(1))
    wide = Drawing("x", "X", (Stroke(Contour.rectangle(0, 0, 250, 50), Purpose.THIN),))
    with pytest.raises(ValueError, match="larger than the sheet"):
        pages.sheet(wide, foot, "letter", False, 1, 1)


def test_scaling_keeps_arcs() -> None:
    contour = Contour((Vertex(1.0, 2.0, 0.5), Vertex(5.0, 2.0, -0.25), Vertex(3.0, 6.0)))
    small = contour.scaled(0.25)
    assert small.length == pytest.approx(contour.length / 4.0)
    assert small.area == pytest.approx(contour.area / 16.0)
    assert [v.bulge for v in small.vertices] == [v.bulge for v in contour.vertices]
    for factor in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="must be more than 0"):
            contour.scaled(factor)
