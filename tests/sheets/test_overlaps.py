"""No lettering touches other lettering or a line, on any sheet of any design, in either unit."""

from __future__ import annotations

from functools import cache

import pytest
import shapely

from patterns import blank, profiles
from patterns.contour import Contour
from patterns.drawing import Drawing, Label, Purpose, Stroke
from patterns.sheets import SHEETS, steel

CLEAR = 0.15
"""White that must be left round every letter [mm], beyond half of the thickest line."""


def overlaps(drawing: Drawing) -> list[str]:
    """Every label that touches a label or a line, in words."""
    boxes = [shapely.Polygon(label.outline(CLEAR).points()) for label in drawing.labels]
    lines = []
    for stroke in drawing.strokes:
        points = stroke.contour.points(0.02)
        lines.append(shapely.LineString([*points, points[0]] if stroke.contour.closed else points))
    found = []
    tree = shapely.STRtree(lines)
    for i, (label, box) in enumerate(zip(drawing.labels, boxes, strict=True)):
        for j in tree.query(box, predicate="intersects"):
            purpose = drawing.strokes[j].purpose
            found.append(f"{drawing.name}: {label.text!r} touches a line ({purpose.value})")
        found += [
            f"{drawing.name}: {label.text!r} touches {other.text!r}"
            for other, place in zip(drawing.labels[:i], boxes[:i], strict=True)
            if place.intersects(box)
        ]
    return found


@cache
def planned(name: str, changes: tuple[str, ...] = ()) -> blank.ForgePlan:
    return blank.plan(profiles.load(name, changes).design)


CHANGES: dict[str, tuple[str, ...]] = {
    "as shipped": (),
    "slim eye": ("eye.width=12 mm", "eye.front_radius=2 mm"),
    "wide bar": ("bar.section=10 x 50 mm", "ears.above=30 mm", "ears.below=34 mm"),
    "tapered": ("eye.taper=1/32 in",),
    "thin bit": ("bit.thickness=1/8 in", "bit.stock=1/8 x 3/4 in", "bit.scarf=1/4 in"),
    "overhang": ("poll.overhang=1/4 in", "poll.sides_forward=1/8 in"),
}


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("change", list(CHANGES))
@pytest.mark.parametrize("name", list(profiles.shipped()))
def test_nothing_overlaps(name: str, change: str, units: str) -> None:
    plan = planned(name, CHANGES[change])
    found = [hit for sheet in SHEETS for hit in overlaps(sheet.draw(plan, units))]
    patterns = [make(plan, units) for make in steel.PATTERNS]
    found += [hit for pattern in patterns if pattern is not None for hit in overlaps(pattern)]
    assert found == []


def test_an_overlap_is_seen() -> None:
    """The check itself: a word on a line, and a word on a word."""
    line = Stroke(Contour.line((0.0, 1.0), (50.0, 1.0)), Purpose.THIN)
    words = (Label("poll", 5.0, 0.0), Label("shoulder", 6.0, 1.0))
    assert len(overlaps(Drawing("x", "x", (line,), words))) == 3
    assert overlaps(Drawing("x", "x", (line,), (Label("poll", 5.0, 3.0),))) == []
