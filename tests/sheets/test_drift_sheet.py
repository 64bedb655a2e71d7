"""The sheets of the drift and of the edge's cover: what is drawn is what was reckoned."""

from __future__ import annotations

import math

import pytest

from patterns import blank, build, pages, profiles
from patterns.blank import ForgePlan
from patterns.contour import Contour
from patterns.drawing import Drawing, Purpose
from patterns.drift import FINISHING, WARM, drifts, stock
from patterns.edge_cover import PITCH, edge_cover
from patterns.sheets import drift as sheet
from patterns.sheets import edge_cover as cover_sheet
from patterns.units import fine, length, mass, temperature

NAMES = list(profiles.shipped())
UNITS = ("in", "mm")
PLANS = {name: blank.plan(profiles.load(name).design) for name in NAMES}
UNEVEN = blank.plan(profiles.load("belt-hatchet", ("eye.flare=1.2 mm", "eye.taper=0.6 mm")).design)


def texts(drawing: Drawing) -> str:
    return " ".join(label.text for label in drawing.labels)


def outlines(drawing: Drawing) -> list[Contour]:
    return [s.contour for s in drawing.strokes
            if s.purpose is Purpose.OUTLINE and s.contour.closed and not s.filled]  # fmt: skip


def pages_of(drawing: Drawing, plan: ForgePlan, units: str) -> int:
    return len(pages.lay(drawing, build.legend(plan, units), "letter"))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_one_letter_page_each(name: str, units: str) -> None:
    """But for the strap of a head that is longer than the paper when it is halved."""
    plan = PLANS[name]
    for drawing in (*sheet.draw(plan, units), *cover_sheet.draw(plan, units)):
        if drawing.name == "edge-cover-strap" and plan.head.length > 250.0:
            continue
        assert pages_of(drawing, plan, units) == 1, drawing.name


# Drift -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_the_section_drawn_at_the_middle_is_the_eye(name: str) -> None:
    """Read from the drawing: the outline under the words is the eye's, within 0.01 mm."""
    plan = PLANS[name]
    eye = plan.head.eye
    drawing = next(d for d in sheet.draw(plan, "mm") if d.name.endswith("-sections"))
    heads = [each for each in drawing.labels if each.anchor == "middle"]
    (label,) = [each for each in heads if each.text.startswith("middle of the eye")]
    below = [c for c in outlines(drawing) if c.bounds.top < label.y
             and c.bounds.left < label.x < c.bounds.right]  # fmt: skip
    drawn = max(below, key=lambda contour: contour.bounds.top)
    assert drawn.bounds.width == pytest.approx(eye.length, abs=0.01)
    assert drawn.bounds.height == pytest.approx(eye.width, abs=0.01)
    assert drawn.length == pytest.approx(eye.perimeter, abs=0.01)
    assert drawn.area == pytest.approx(eye.area, abs=0.01 * eye.perimeter)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_views_and_marks_are_full_size(name: str, units: str) -> None:
    plan = PLANS[name]
    (drift,) = drifts(plan.head)
    drawing = sheet.draw(plan, units)[0]
    long, wide = outlines(drawing)[:2]
    assert (long.bounds.width, wide.bounds.width) == pytest.approx((drift.length,) * 2)
    assert long.bounds.height == pytest.approx(drift.size(drift.working[1])[0])
    assert wide.bounds.height == pytest.approx(drift.size(drift.working[1])[1])
    thick = [s.contour.bounds.left for s in drawing.strokes if s.purpose is Purpose.MARK]
    hot = {mark.at for mark in drift.marks if mark.name in ("above, hot", "below, hot")}
    assert thick
    assert set(thick) <= hot  # nothing else is drawn so thick
    words = texts(drawing)
    for at in thick:
        assert f"HERE, {length(at, units)}" in words or f", {length(at, units)}" in words
    assert length(drift.on, units) in words
    assert mass(drift.mass, units) in words
    assert "mushrooms" in words


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_every_station_is_in_the_table(name: str, units: str) -> None:
    plan = PLANS[name]
    (drift,) = drifts(plan.head)
    drawing = next(d for d in sheet.draw(plan, units) if d.name.endswith("-sections"))
    rows = texts(drawing)
    for s in drift.stations(sheet.STEP[units]):
        for size in drift.size(s):
            assert fine(size, units).removesuffix(f" {units}") in rows
        assert length(s, units) in rows
    assert temperature(FINISHING, units) in rows
    assert temperature(WARM, units) in rows
    for _, off in drift.off:
        if abs(off) > 0.005:
            assert fine(2.0 * abs(off), units) in rows


@pytest.mark.parametrize("units", UNITS)
def test_the_bars_are_listed_least_first(units: str) -> None:
    plan = PLANS["belt-hatchet"]
    (drift,) = drifts(plan.head)
    allow = plan.design.allowances
    bars = stock(drift, units=units, loss_per_heat=allow.scale_per_heat,
                 bite=plan.design.hand.bite)  # fmt: skip
    drawing = sheet.draw(plan, units)[2]
    words = texts(drawing)
    places = [words.index(f"{length(bar.length, units)} (") for bar in bars]
    assert places == sorted(places)
    areas = [abs(c.area) for c in outlines(drawing)]
    assert areas[0] == pytest.approx(bars[0].area)  # the least bar's end, full size
    assert "common practice" in words.lower()


def test_a_waisted_eye_that_leans_unevenly_has_two_drifts() -> None:
    names = [drawing.name for drawing in sheet.draw(UNEVEN, "in")]
    assert len(set(names)) == 6
    assert {"drift-above", "drift-below"} <= set(names)
    assert all(name.startswith(sheet.NAME) for name in names)


# Cover -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_panel_and_welt_are_drawn_with_the_same_holes(name: str, units: str) -> None:
    plan = PLANS[name]
    cover = edge_cover(plan.head, pitch=PITCH[units])
    drawing = cover_sheet.draw(plan, units)[0]
    panel, welt = outlines(drawing)
    assert panel.area == pytest.approx(cover.panel.area)
    assert welt.area == pytest.approx(cover.welt.area)
    dots = [s.contour.bounds for s in drawing.strokes
            if s.filled and s.purpose is Purpose.OUTLINE]  # fmt: skip
    middles = [((b.left + b.right) / 2.0, (b.bottom + b.top) / 2.0) for b in dots]
    count = len(cover.holes)
    assert len(middles) == 2 * count + 4  # and four for the strap
    over = welt.bounds.left - panel.bounds.left
    for (x0, y0), (x1, y1) in zip(middles[:count], middles[-count:], strict=True):
        assert math.dist((x0 + over, y0), (x1, y1)) < 1e-9
    words = texts(drawing)
    assert f"{count} holes, {fine(cover.pitch, units)} apart" in words
    assert "cut 2, one turned over" in words


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_half_of_the_strap_is_drawn(name: str, units: str) -> None:
    plan = PLANS[name]
    cover = edge_cover(plan.head, pitch=PITCH[units])
    drawing = cover_sheet.draw(plan, units)[1]
    (strap,) = [s.contour for s in drawing.strokes
                if s.purpose is Purpose.OUTLINE and not s.contour.closed]  # fmt: skip
    assert strap.bounds.width == pytest.approx(cover.strap_length / 2.0)
    assert strap.bounds.height == pytest.approx(cover.strap_width)
    words = texts(drawing)
    assert length(cover.strap_length, units) in words
    assert "damp" in words
