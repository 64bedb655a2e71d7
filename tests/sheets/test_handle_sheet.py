"""The handle's sheets: what is drawn is what is lettered, on one page each, and on whole tiles."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise

import pytest
import shapely
from test_overlaps import overlaps

from patterns import blank, build, pages, profiles
from patterns.contour import Contour
from patterns.drawing import Drawing, Purpose
from patterns.hafting import hafting
from patterns.sheets import handle

ALL = list(profiles.shipped())
HANDLES = {
    "straight": (),
    "curved": ("handle.form=curved",),
    "no length": ("handle.length=",),
    "slim, deep end": ("handle.share=0.5", "handle.depth=60 mm", "handle.form=curved"),
    "long": ("handle.length=47 in", "handle.form=curved"),
}


@cache
def planned(name: str, changes: tuple[str, ...]) -> blank.ForgePlan:
    return blank.plan(profiles.load(name, changes).design)


def drawings(name: str, way: str, units: str) -> dict[str, Drawing]:
    drawn = handle.draw(planned(name, HANDLES[way]), units)
    return {drawing.name: drawing for drawing in drawn}


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("way", list(HANDLES))
@pytest.mark.parametrize("name", ALL)
def test_nothing_overlaps(name: str, way: str, units: str) -> None:
    found = [text for d in drawings(name, way, units).values() for text in overlaps(d)]
    assert found == []


EYES = {
    "hourglass": ("eye.flare=1 mm",), "narrow top": ("eye.taper=-1 mm",),
    "wide top": ("eye.taper=1.2 mm",), "slim": ("eye.width=11 mm", "eye.front_radius=3 mm"),
    "round": ("eye.form=circle", "eye.width=", "eye.taper=1.5 mm"),
}  # fmt: skip


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("eye", list(EYES))
def test_nothing_overlaps_round_any_eye(eye: str, units: str) -> None:
    name = {"slim": "splitting-hatchet", "round": "tomahawk"}.get(eye, "northern-axe")
    plan = planned(name, EYES[eye])
    assert [text for d in handle.draw(plan, units) for text in overlaps(d)] == []


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", ALL)
def test_the_tongue_is_on_one_page_of_letter(name: str, units: str) -> None:
    plan = planned(name, ())
    drawn = drawings(name, "straight", units)
    assert {"handle-tongue", "handle-outline"} <= set(drawn) <= {
        "handle-tongue", "handle-sections", "handle-outline"
    }  # fmt: skip
    foot = build.legend(plan, units)
    for key, drawing in drawn.items():
        if key != "handle-outline":
            assert len(pages.lay(drawing, foot, "letter")) == 1


@pytest.mark.parametrize("paper", ["letter", "a4", "tabloid"])
@pytest.mark.parametrize("way", ["straight", "curved"])
@pytest.mark.parametrize("name", ALL)
def test_every_word_is_whole_on_some_tile(name: str, way: str, paper: str) -> None:
    """Joins cut no lettering, and the tiles show all of the drawing."""
    plan = planned(name, HANDLES[way])
    for units in ("in", "mm"):
        drawing = drawings(name, way, units)["handle-outline"]
        windows = [page.window for page in pages.lay(drawing, build.legend(plan, units), paper)]
        for label in drawing.labels:
            box = label.outline().bounds
            assert any(
                w.left <= box.left and box.right <= w.right
                and w.bottom <= box.bottom and box.top <= w.top
                for w in windows
            ), label.text  # fmt: skip
        shown = shapely.union_all([shapely.box(w.left, w.bottom, w.right, w.top) for w in windows])
        box = drawing.bounds
        assert shapely.box(box.left, box.bottom, box.right, box.top).within(shown)


def test_tiles_carry_the_drawing_unscaled() -> None:
    """Neighbours show the same place at the same distance from their common cross."""
    plan = planned("carpenters-axe", ())
    drawing = drawings("carpenters-axe", "straight", "mm")["handle-outline"]
    laid = pages.lay(drawing, build.legend(plan, "mm"), "letter")
    assert len(laid) > 3
    for one, other in pairwise(laid):
        assert one.window.bottom == pytest.approx(other.window.bottom)
        assert one.window.right - other.window.left == pytest.approx(pages.OVERLAP)
        assert one.dx + one.window.left == pytest.approx(other.dx + other.window.left)


def outlines(drawing: Drawing) -> list[Contour]:
    return [s.contour for s in drawing.strokes if s.purpose is Purpose.OUTLINE and s.contour.closed]


@pytest.mark.parametrize("way", ["straight", "curved"])
@pytest.mark.parametrize("name", ["belt-hatchet", "carpenters-axe", "tomahawk"])
def test_the_stations_are_what_is_drawn(name: str, way: str) -> None:
    """Each figure of the table against the drawn outline, cut there by Shapely, to 0.1 mm."""
    drawing = drawings(name, way, "mm")["handle-outline"]
    side, front = (shapely.Polygon(c.points(0.002)) for c in outlines(drawing))
    names = [label.text for label in drawing.labels if label.anchor == "right"]
    assert names[0] == "from the top of the eye"
    columns: dict[float, list[tuple[float, str]]] = {}
    for label in drawing.labels:
        if label.anchor == "middle" and re.fullmatch(r"[\d.]+", label.text):
            columns.setdefault(label.x, []).append((-label.y, label.text))
    assert len(columns) >= 5
    line = front.centroid.y
    for x, found in columns.items():
        figures = dict(zip(names, (float(t) for _, t in sorted(found)), strict=True))
        nudge = x + 1e-6  # past the step of the shoulder
        cut = shapely.LineString([(nudge, -500.0), (nudge, 500.0)])
        at = side.intersection(cut).bounds
        assert figures["from the top of the eye"] == pytest.approx(x, abs=0.051)
        if "depth" in figures:
            assert figures["depth"] == pytest.approx(at[3] - at[1], abs=0.09)
        else:
            assert figures["line to front"] == pytest.approx(at[3], abs=0.07)
            assert figures["line to back"] == pytest.approx(-at[1], abs=0.07)
        wide = front.intersection(cut).bounds
        assert figures["width"] == pytest.approx(wide[3] - wide[1], abs=0.09)
        assert (wide[3] + wide[1]) / 2.0 == pytest.approx(line, abs=0.05)


@pytest.mark.parametrize("name", ALL)
def test_the_outline_is_drawn_full_size(name: str) -> None:
    plan = planned(name, HANDLES["curved"])
    asked = plan.design.handle.length
    assert asked is not None
    drawing = drawings(name, "curved", "in")["handle-outline"]
    for contour in outlines(drawing):
        assert contour.bounds.right == pytest.approx(asked, abs=0.01)
        assert contour.bounds.width == pytest.approx(asked + 6.35, abs=0.01)
    side, _ = outlines(drawing)
    shaft = hafting(plan.head).shaft
    assert shaft is not None
    assert side.area == pytest.approx(shaft.side.area)


def test_the_wedge_and_the_sections_are_drawn_full_size() -> None:
    """Belt hatchet: a wedge 1.55 in long, and a tongue of 1 3/4 x 5/8 in."""
    plan = planned("belt-hatchet", ())
    (tongue, _) = handle.draw(plan, "in")
    boxes = [c.bounds for c in outlines(tongue)]
    assert any(box.height == pytest.approx(1.55 * 25.4) for box in boxes)
    assert any(
        (box.width, box.height) == pytest.approx((1.75 * 25.4, 0.625 * 25.4)) for box in boxes
    )


def words(drawing: Drawing) -> str:
    return " ".join(label.text for label in drawing.labels)


def test_the_sheet_says_where_the_hold_comes_from() -> None:
    def told(name: str, *changes: str) -> str:
        return words(handle.draw(planned(name, changes), "in")[0])

    assert "straight" in told("belt-hatchet")
    assert "locks the head" in told("camp-axe")
    assert "CAUTION" in told("camp-axe", "eye.taper=-1 mm")
    assert "no wedge" in told("tomahawk")
    assert "CAUTION" not in told("camp-axe") + told("belt-hatchet") + told("tomahawk")


def test_without_a_length_a_length_is_asked_for() -> None:
    """The tongue alone, and how its outline is to be had; with a length no such words."""
    for name in ("belt-hatchet", "camp-axe", "tomahawk"):
        alone = handle.draw(planned(name, HANDLES["no length"]), "in")
        assert "handle-outline" not in [drawing.name for drawing in alone]
        assert "--length" in " ".join(map(words, alone))
        assert "--length" not in " ".join(map(words, handle.draw(planned(name, ()), "in")))


def test_a_curve_over_which_a_head_cannot_slip_is_said() -> None:
    *_, outline = handle.draw(planned("tomahawk", HANDLES["curved"]), "in")
    assert "Drawn straight" in words(outline)
    *_, outline = handle.draw(planned("camp-axe", HANDLES["curved"]), "in")
    assert "curve is ours" in words(outline)
