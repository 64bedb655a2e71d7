"""The stages: every one drawn at true size with its checks, words without faults of fit."""

from __future__ import annotations

import pytest
import shapely

from patterns import blank, pages, profiles
from patterns.blank import ForgePlan
from patterns.build import legend
from patterns.drawing import Drawing, Purpose
from patterns.sheets import stages
from patterns.stages import FULLER_LEFT

NAMES = profiles.shipped()
LETTER = ("belt-hatchet", "tomahawk", "small-wrap", "kindling-hatchet")
"""Heads whose every stage fits one page of letter."""


def planned(name: str) -> ForgePlan:
    return blank.plan(profiles.load(name).design)


def drawn(name: str, stage: str, units: str = "mm") -> Drawing:
    return next(d for d in stages.draw(planned(name), units) if d.name.endswith(stage))


def outlines(drawing: Drawing) -> list[shapely.Polygon]:
    return [
        shapely.Polygon(s.contour.points(0.01))
        for s in drawing.strokes
        if s.purpose is Purpose.OUTLINE and s.contour.closed
    ]


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", NAMES)
def test_each_stage_with_words_has_a_sheet_and_its_checks_on_it(name: str, units: str) -> None:
    plan = planned(name)
    sheets = stages.draw(plan, units)
    told = [stage for stage in plan.stages if stage.doing]
    assert len(sheets) == len(told)
    for number, (sheet, stage) in enumerate(zip(sheets, told, strict=True), 1):
        assert sheet.name.startswith(f"stages-{number:02d}-")
        texts = [label.text for label in sheet.labels]
        for check in stage.checks:
            assert texts.count(check.what) == 1
            assert check.tool in texts
        assert ("hot, 1830 F" in texts or "hot, 1000 C" in texts) is not stage.cold
        said = " ".join(texts)
        assert all(word in said for word in stage.doing.split())


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", LETTER)
def test_a_hatchets_stages_take_a_page_each(name: str, units: str) -> None:
    plan = planned(name)
    foot = legend(plan, units)
    for sheet in stages.draw(plan, units):
        assert len(pages.lay(sheet, foot)) == 1, sheet.name


@pytest.mark.parametrize("name", [n for n in NAMES if not planned(n).undrawn])
def test_grooves_stand_plumb_on_the_marks(name: str) -> None:
    """The fullered bar, cut at each mark and beside it: full thickness on the thick side, what the
    fuller leaves on the other."""
    plan = planned(name)
    thick = plan.design.bar.thickness
    (bar,) = outlines(drawn(name, "fullered"))
    left = plan.strap.drawn_thickness + FULLER_LEFT
    for mark in plan.marks:
        if mark.kind == "cut":
            continue
        here = [
            bar.intersection(shapely.LineString([(x, -1.0), (x, thick + 1.0)])).length
            for x in (mark.x - 0.02, mark.x + 0.02)
        ]
        assert max(here) == pytest.approx(thick, abs=0.05)
        assert min(here) == pytest.approx(max(left, plan.strap.drawn_thickness), abs=0.1)


@pytest.mark.parametrize("name", NAMES)
def test_the_last_stage_is_the_finished_head_and_the_one_before_it_larger(name: str) -> None:
    """By Shapely: the forged outline is the finished one with what is trimmed off all round."""
    plan = planned(name)
    head = shapely.Polygon(plan.head.side.contour.points(0.01))
    trim = plan.design.allowances.trimming
    ground = max(outlines(drawn(name, "ground")), key=lambda shape: shape.area)
    assert ground.symmetric_difference(head).area < 0.02 * head.length
    forged = max(outlines(drawn(name, "forged")), key=lambda shape: shape.area)
    assert forged.area == pytest.approx(head.area + trim * head.length, rel=0.01)
    assert forged.contains(head)


def test_marks_cannot_be_taken_for_the_other_face() -> None:
    """Solid points on the outer strip, open flags on the inner one, each strip named."""
    sheet = drawn("belt-hatchet", "marked")
    solid = [s for s in sheet.strokes if s.purpose is Purpose.MARK and s.filled]
    opened = [s for s in sheet.strokes if s.purpose is Purpose.MARK and s.contour.closed
              and not s.filled]  # fmt: skip
    assert len(solid) == len(opened) == 2
    names = {label.text: label.y for label in sheet.labels if "FACE" in label.text}
    assert names["OUTER FACE"] > names["INNER FACE"]
    assert min(s.contour.bounds.bottom for s in solid) > max(
        s.contour.bounds.top for s in opened
    )  # fmt: skip
