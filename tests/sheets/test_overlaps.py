"""No lettering touches other lettering or a line, on any sheet of any design, in either unit."""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest
import shapely
from cases import FOLDED, dealt

from patterns import blank, profiles, templates
from patterns.contour import Contour
from patterns.drawing import Drawing, Label, Purpose, Stroke
from patterns.errors import BadInputError
from patterns.sheets import SHEETS

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
    "to 1/16 in": ("hand.finest=1/16",),
    "to 1 mm": ("hand.finest=mm",),
    "overhang": ("poll.overhang=1/4 in", "poll.sides_forward=1/8 in"),
}


UNITS = ["in", "mm"]
SHIPPED = list(profiles.shipped())
CHANGED = list(product([change for change in CHANGES if change != "as shipped"], UNITS))


@pytest.mark.parametrize(
    ("name", "change", "units"),
    [*((name, "as shipped", units) for name, units in dealt(SHIPPED, UNITS, 1, whole=FOLDED)),
     *((name, *change) for name, change in dealt(SHIPPED, CHANGED, 3))],
)  # fmt: skip
def test_nothing_overlaps(name: str, change: str, units: str) -> None:
    """A head of each fold as shipped in both units, every other in one; three changes of each."""
    changes = CHANGES[change]
    design = profiles.load(name).design
    if design.ears.form == "none":
        changes = tuple(each for each in changes if not each.startswith("ears"))
    if change != "as shipped" and (refused := why_not(name, changes)):
        pytest.skip(f"no such head: {refused}")
    assert touching(planned(name, changes), units) == []


def why_not(name: str, changes: tuple[str, ...]) -> str:
    """Why a shipped head cannot be changed so; nothing if it can."""
    try:
        planned(name, changes)
    except BadInputError as error:
        return str(error)
    return ""


def test_most_heads_can_be_changed_so() -> None:
    """So that the skips above do not come to swallow the test."""
    pairs = [(name, change) for name in profiles.shipped() for change in CHANGES]
    can = sum(not why_not(name, CHANGES[change]) for name, change in pairs)
    assert can > len(pairs) / 2


def touching(plan: blank.ForgePlan, units: str) -> list[str]:
    """Every overlap on the sheets and the patterns of a plan."""
    found = [hit for sheet in SHEETS for each in sheet.draw(plan, units) for hit in overlaps(each)]
    names = (*templates.PATTERNS, "drift-plate")  # the other gauges are on their sheet
    for template in templates.templates(plan, templates.usual_way(units), names).made:
        found += overlaps(template.drawing())
    return found


OTHERWISE: dict[str, tuple[str, ...]] = {
    "round": ("fold.form=round",),
    "closed": ("fold.form=closed", "poll.thickness=3/4 in"),
    "closed, wide bar": ("fold.form=closed", "poll.thickness=1 in", "bar.section=5/8 x 1 1/4 in",
                         "wall.thickness=1/4 in"),
    "one-sided": ("fold.form=one-sided", "fold.lap=1 in", "bar.section=3/4 x 1 1/4 in"),
    "cheeks": ("fold.form=cheeks", "bar.section=1/4 x 2 1/2 in", "wall.thickness=7/32 in",
               "ears.above=3/4 in", "ears.below=3/4 in", "bit.insertion=2 1/2 in",
               "bit.tip=1/8 in"),
    "cheeks, waist told": ("fold.form=cheeks", "bar.section=1/4 x 2 1/2 in", "fold.waist=1 1/2 in",
                           "wall.thickness=3/16 in", "ears.above=3/4 in", "ears.below=3/4 in",
                           "bit.insertion=2 1/2 in", "bit.tip=1/8 in"),
    "plate": ("plate.thickness=1/4 in", "plate.stock=1/4 x 1 1/4 in"),
    "plate of its own steel": ("plate.thickness=1/8 in", "plate.stock=1/8 x 1 in",
                               "plate.steel=W1", "bit.barbs=raised"),
    "overlaid": ("bit.form=overlaid", "bit.thickness=1/8 in"),
    "no bit": ("bit.form=none", "bit.stock=", "bit.thickness=", "bit.insertion=",
               "bar.steel=1084"),
    "no bit, a plate": ("bit.form=none", "bit.stock=", "bit.thickness=", "bit.insertion=",
                        "bar.steel=1084", "plate.thickness=1/8 in", "plate.stock=1/8 x 1 in"),
    "barbs": ("bit.barbs=raised",),
    "waisted eye": ("eye.flare=1/16 in", "eye.taper=1/32 in"),
    "one bevel": ("blade.bevel=one",),
    "convex": ("blade.bevel=convex",),
    "toe and heel": ("blade.edge_radius=", "blade.edge_centre=", "blade.toe_back=1/4 in",
                     "blade.heel_back=3/8 in"),
}  # fmt: skip
"""The belt hatchet folded, steeled and ground in other ways."""


@pytest.mark.parametrize(("way", "units"), dealt(list(OTHERWISE), UNITS, 1))
def test_nothing_overlaps_otherwise(way: str, units: str) -> None:
    assert touching(planned("belt-hatchet", OTHERWISE[way]), units) == []


def test_an_overlap_is_seen() -> None:
    """The check itself: a word on a line, and a word on a word."""
    line = Stroke(Contour.line((0.0, 1.0), (50.0, 1.0)), Purpose.THIN)
    words = (Label("poll", 5.0, 0.0), Label("shoulder", 6.0, 1.0))
    assert len(overlaps(Drawing("x", "x", (line,), words))) == 3
    assert overlaps(Drawing("x", "x", (line,), (Label("poll", 5.0, 3.0),))) == []
