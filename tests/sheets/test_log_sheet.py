"""The log's sheet: its headings are the file's, and it is one page on letter and on A4."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from patterns import blank, build, pages, profiles
from patterns.blank import ForgePlan
from patterns.derived import eye_heights
from patterns.forging.density import steel_mass
from patterns.logbook import LOGGED, Entry
from patterns.rows import rows
from patterns.schema import specs
from patterns.sheets import log

HALF_MARK = {"in": 25.4 / 128.0, "mm": 0.05}
"""What a printed length may be rounded by [mm]."""
HALF_DIGIT = {"in": 28.3495 / 20.0, "mm": 0.5}
"""What a printed mass may be rounded by: half of 0.1 oz, or of 1 g [g]."""


def planned(name: str) -> ForgePlan:
    return blank.plan(profiles.load(name).design)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", list(profiles.shipped()))
def test_one_page_and_room_for_eight_pieces(name: str, units: str) -> None:
    plan = planned(name)
    (drawing,) = log.draw(plan, units)
    for paper in ("letter", "a4"):
        assert len(pages.lay(drawing, build.legend(plan, units), paper)) == 1
    bounds = [stroke.contour.bounds for stroke in drawing.strokes]
    upright = sorted({box.left for box in bounds if box.width < 1e-9})
    boxes = [b - a for a, b in pairwise(upright)][1:]  # the first is the plan's own column
    assert len(boxes) == 8
    assert min(boxes) >= 15.0


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize(
    "name", [n for n in profiles.shipped() if profiles.load(n).design.fold.form in LOGGED]
)
def test_the_plans_column_typed_into_a_file_is_a_row_of_the_log(
    name: str, units: str, tmp_path: Path
) -> None:
    """Every heading as printed, units and all, and every planned figure: read without a fault."""
    plan = planned(name)
    lines = [line for taken in log.lines(plan, units).values() for line in taken]
    printed = {label.text for label in log.draw(plan, units)[0].labels}
    assert {line.heading for line in lines} | {"name"} <= printed
    assert {line.planned for line in lines if line.planned} <= printed
    file = tmp_path / "log.csv"
    headings = ",".join(["name", *(line.heading for line in lines)])
    file.write_text(f"{headings}\nplan,{','.join(line.planned for line in lines)}\n")
    (row,) = rows(Entry, file, "log", units)
    entry: Entry = row.value

    def near(value: float) -> object:
        return pytest.approx(value, abs=HALF_MARK[units] + 1e-9)

    def weighs(grams: float) -> object:
        return pytest.approx(grams, abs=HALF_DIGIT[units] + 1e-3)

    design, strap = plan.design, plan.strap
    assert entry.section == pytest.approx(design.bar.section, rel=1e-4)
    assert entry.length == near(plan.cut_length)
    assert (entry.poll, entry.shoulders) == (near(plan.poll), near(plan.shoulders))
    assert entry.bite == near(design.hand.bite)
    assert entry.drawn_left == entry.drawn_right == near(strap.divider)
    assert entry.wall == near(strap.wall)  # as the drift leaves it
    assert entry.drift_stretch == pytest.approx(design.allowances.drift_stretch)
    assert entry.fold == design.fold.form
    assert entry.ears == near(sum(eye_heights(design)))
    assert entry.eye_form == design.eye.form
    assert entry.eye_length == near(plan.head.eye.length)
    assert entry.eye_width == near(plan.head.eye.width)
    assert entry.eye_perimeter == near(plan.head.eye.perimeter)
    assert (entry.heats, entry.bit_heats) == (design.allowances.heats, design.allowances.bit_heats)
    bar = steel_mass(plan.cut_length * design.bar.thickness * design.bar.width)
    assert entry.mass_in == weighs(bar)
    kept = sum(zone.bar - zone.scale - zone.weld for zone in plan.zones)
    assert entry.mass_out == weighs(steel_mass(kept))
    steel = sum(zone.bar for zone in plan.zones if zone.name in ("bit", "plate"))
    assert entry.bit_mass == (weighs(steel_mass(steel)) if steel else None)


def test_a_fold_that_cannot_be_logged_says_so() -> None:
    changes = ("fold.form=one-sided", "fold.lap=1 in", "bar.section=3/4 x 1 1/4 in")
    plan = blank.plan(profiles.load("belt-hatchet", changes).design)
    texts = [label.text for label in log.draw(plan, "in")[0].labels]
    assert any("reads no pieces of this fold" in text for text in texts)


def test_every_measure_that_must_be_there_is_on_the_sheet() -> None:
    groups = log.lines(planned("belt-hatchet"), "in").values()
    headings = {line.heading.partition(" [")[0] for taken in groups for line in taken}
    needed = {name.replace("_", " ") for name, spec in specs(Entry) if spec.required}
    assert needed <= headings
