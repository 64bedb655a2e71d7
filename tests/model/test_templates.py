"""The parts to cut: sized for the process by its rules, true to the head, refused where they must.

Rules are those of the tables of processes, which are held to their sources elsewhere; here a figure
of theirs is written out by hand where it decides. Shapes are measured with Shapely.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise

import pytest
import shapely
from cases import FOLDED, dealt

from patterns import blank, profiles, report, stencil, templates
from patterns.blank import ForgePlan
from patterns.contour import Contour
from patterns.cut_check import check
from patterns.cut_file import CutFile
from patterns.drift import drifts
from patterns.errors import BadInputError
from patterns.processes import Rules, rules
from patterns.templates import Template, Way, way_of
from patterns.to_cut import runs_of

GAUGE_16 = 0.0598 * 25.4
THREE_SIXTEENTHS = 3.0 / 16.0 * 25.4
WAYS = {
    "laser 16 ga": rules("laser", GAUGE_16),
    "laser 1/8 in": rules("laser", 25.4 / 8.0),
    "plasma 3/16 in": rules("plasma", THREE_SIXTEENTHS),
    "plasma 14 ga": rules("plasma", 0.0747 * 25.4),
    "waterjet 1/8 in": rules("waterjet", 25.4 / 8.0),
    "hand 16 ga": rules("hand", GAUGE_16),
}
_PLANS: dict[str, ForgePlan] = {}


def planned(name: str) -> ForgePlan:
    if name not in _PLANS:
        _PLANS[name] = blank.plan(profiles.load(name).design)
    return _PLANS[name]


@cache
def _of(name: str, asked: Rules, letters: str | None, part: str) -> tuple[Template, ...]:
    return templates.templates(planned(name), way_of(asked, letters, "in"), [part]).made


def made(name: str, asked: Rules, letters: str | None = None, *parts: str) -> dict[str, Template]:
    """The templates of some parts, or of the usual ones; each part is made once for every test."""
    found = [_of(name, asked, letters, part) for part in parts or templates.USUAL]
    return {template.name: template for each in found for template in each}


def test_parts_made_by_themselves_are_those_of_a_set() -> None:
    """So that the tests may look at what was made part by part."""
    for name, by in (("belt-hatchet", "laser 16 ga"), ("camp-axe", "plasma 14 ga")):
        asked = WAYS[by]
        for parts in (None, templates.NAMES):
            whole = templates.templates(planned(name), way_of(asked, None, "in"), parts)
            assert tuple(made(name, asked, None, *(parts or ())).values()) == whole.made


def ring(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(contour.points(0.001))


def metal(template: Template) -> shapely.Polygon:
    outline, *holes = template.part.cuts
    return shapely.Polygon(outline.points(0.001), [hole.points(0.001) for hole in holes])


def across(contour: Contour) -> float:
    return contour.bounds.width


# Two processes, two sets of figures --------------------------------------------------------------


def mouths(template: Template, wide: float) -> dict[str, list[tuple[float, float]]]:
    """Where the notches open in the lower and in the upper edge, from left to right."""
    outline = ring(template.part.cuts[0])
    left, _, right, _ = outline.bounds
    found = {}
    for edge, y in (("lower", 1e-6), ("upper", wide - 1e-6)):
        level = shapely.LineString([(left - 1, y), (right + 1, y)]).intersection(outline)
        ends = sorted(line.bounds[::2] for line in shapely.get_parts(level))
        found[edge] = [(a[1], b[0]) for a, b in pairwise(ends)]
    return found


def test_plasma_in_three_sixteenths_and_laser_in_sixteen_gauge_differ() -> None:
    """By hand: plasma's holes are 1.5 x 3/16 in = 7.14 mm or more, laser's one thickness of 1.52;
    so the laser's are what hand and eye want, 7 mm for the hole and 4 mm for an even notch."""
    laser = made("belt-hatchet", WAYS["laser 16 ga"])["blank"]
    plasma = made("belt-hatchet", WAYS["plasma 3/16 in"])["blank"]
    wide = planned("belt-hatchet").design.bar.width
    assert across(laser.part.cuts[1]) == pytest.approx(7.0)
    assert across(plasma.part.cuts[1]) == pytest.approx(1.5 * THREE_SIXTEENTHS)
    assert len(laser.part.cuts) == 2  # the centre line is marked
    assert len(plasma.part.cuts) == 3  # a hole, since it cannot be marked
    assert across(plasma.part.cuts[2]) == pytest.approx(1.5 * THREE_SIXTEENTHS)
    assert laser.part.marks
    assert not plasma.part.marks
    assert not plasma.part.labels
    fine, coarse = mouths(laser, wide), mouths(plasma, wide)
    for edge, least in (("upper", 4.0), ("lower", 3.0)):
        assert [b - a for a, b in fine[edge]] == pytest.approx([least] * 2, abs=1e-4)
        assert all(b - a >= 1.5 * THREE_SIXTEENTHS for a, b in coarse[edge])


@pytest.mark.parametrize("by", WAYS)
@pytest.mark.parametrize("name", profiles.shipped())
def test_notches_tell_the_marks(name: str, by: str) -> None:
    """An even notch is even about its mark; an upright side stands plumb on it, half-way down."""
    plan = planned(name)
    template = made(name, WAYS[by], None, "blank").get("blank")
    if template is None or plan.fold.waisted:
        return
    wide = plan.design.bar.width
    notches = mouths(template, wide)
    outline = ring(template.part.cuts[0])
    outer = sorted(mark.x for mark in plan.marks if mark.face == "outer")
    inner = sorted(mark.x for mark in plan.marks if mark.face == "inner")
    assert [(a + b) / 2.0 for a, b in notches["upper"]] == pytest.approx(outer, abs=1e-6)
    assert len(notches["lower"]) == len(inner)
    for x, (a, b) in zip(inner, notches["lower"], strict=True):
        assert min(abs(x - a), abs(x - b)) < 1e-6
        # plumb: a millimetre up, the side is still at the mark
        level = shapely.LineString([(a - 2, 1.0), (b + 2, 1.0)]).intersection(outline)
        ends = [end for line in shapely.get_parts(level) for end in line.bounds[::2]]
        assert min(abs(x - end) for end in ends) < 1e-6


@pytest.mark.parametrize(
    ("name", "by"), dealt(list(profiles.shipped()), list(WAYS), 2, whole=FOLDED[:2])
)
def test_webs_and_holes_are_what_the_process_asks_for(name: str, by: str) -> None:
    """Measured on the shapes, not by the program's own check."""
    asked = WAYS[by]
    for template in made(name, asked).values():
        if template.along:
            continue  # of another thickness
        outline, *holes = (ring(cut) for cut in template.part.cuts)
        assert all(outline.contains(hole) for hole in holes)
        for hole in holes:
            circle = 2.0 * math.sqrt(hole.area / math.pi)
            round_ = abs(hole.length / (math.pi * circle) - 1.0) < 1e-4
            if round_:
                assert circle >= asked.hole - 3e-3  # flattened
            assert outline.exterior.distance(hole) >= asked.edge - 2e-3
        for one, other in combinations(holes, 2):
            assert one.distance(other) >= asked.web - 2e-3


@pytest.mark.parametrize(
    ("name", "by"), dealt(list(profiles.shipped()), list(WAYS), 1, whole=FOLDED[:2])
)
def test_what_is_made_passes_its_own_check(name: str, by: str) -> None:
    for template in made(name, WAYS[by], None, *templates.NAMES).values():
        asked = WAYS[by]
        if template.along:
            asked = asked if template.sawn else rules(asked.process, template.thickness)
        runs = runs_of(template.drawing())
        found = check(CutFile(template.name, "R2000", "mm", runs), asked)
        faults = [one.name for one in found.findings if one.severity == "fault"]
        assert not faults or template.sawn, (template.name, found.findings)


def test_most_of_a_set_is_made() -> None:
    """So that the loops above do not come to look at nothing."""
    for by, least in (("laser 16 ga", 7), ("waterjet 1/8 in", 3), ("plasma 3/16 in", 2)):
        counts = [len(made(name, WAYS[by])) for name in profiles.shipped()]
        assert sum(counts) >= least * len(counts), (by, counts)


# The parts themselves ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", profiles.shipped())
def test_the_heads_window_ends_where_the_eye_does(name: str) -> None:
    plan = planned(name)
    template = made(name, WAYS["laser 16 ga"], None, "head")["head"]
    outline, window = template.part.cuts
    view = plan.head.plan
    box = window.bounds
    assert (box.left, box.right) == pytest.approx((view.eye_back, view.eye_front), abs=1e-9)
    assert (box.bottom + box.top) == pytest.approx(0.0, abs=1e-9)
    assert outline == plan.head.side.contour
    assert outline.area > 0.0 > window.area
    assert ring(outline).contains(ring(window))


@pytest.mark.parametrize("name", profiles.shipped())
def test_drift_plates_leave_even_light(name: str) -> None:
    """The drift's own section inside the window, as far off all round."""
    plan = planned(name)
    plates = made(name, WAYS["laser 16 ga"], None, "drift-plate")
    places = [(drift, at) for drift in drifts(plan.head)
              for at in (drift.working[0], drift.hot, drift.working[1])]  # fmt: skip
    assert len(plates) == len(places)
    for template, (drift, at) in zip(plates.values(), places, strict=True):
        window, section = ring(template.part.cuts[1]), ring(drift.section(at))
        assert window.contains(section)
        gaps = [
            window.exterior.distance(shapely.Point(point))
            for point in section.exterior.segmentize(1.0).coords
        ]
        assert min(gaps) == pytest.approx(0.4, abs=5e-3)
        assert max(gaps) == pytest.approx(0.4, abs=5e-3)


@pytest.mark.parametrize("name", profiles.shipped())
def test_bit_and_plate_keep_their_rolling_direction(name: str) -> None:
    plan = planned(name)
    found = made(name, WAYS["laser 16 ga"])
    assert ("bit" in found) == (plan.bit is not None)
    assert ("plate" in found) == (plan.plate is not None)
    for template in found.values():
        assert template.along == (template.name in ("bit", "plate"))
    if plan.bit is not None:
        box = found["bit"].part.cuts[0].bounds
        assert (box.width, box.height) == pytest.approx((plan.bit.cut_length, plan.bit.stock[1]))
        assert found["bit"].thickness == plan.bit.stock[0]
        said = " ".join(label.text for label in found["bit"].part.labels)
        assert "scarf" in said
        assert len(found["bit"].part.marks) == 5  # the arrow


@pytest.mark.parametrize("by", ["waterjet 1/8 in", "laser 16 ga"])
@pytest.mark.parametrize("name", ["belt-hatchet", "camp-axe", "tomahawk", "small-wrap"])
def test_a_stencil_leaves_each_part_in_one_piece(name: str, by: str) -> None:
    plain = made(name, WAYS[by], "none", "blank", "head")
    lettered = made(name, WAYS[by], "stencil", "blank", "head")
    missing = plain.keys() - lettered.keys()
    if missing:  # a revision, which every version changes, may be too long for a small blank
        assert missing == {"blank"}
        asked = way_of(WAYS[by], "stencil", "in")
        (fault,) = templates.templates(planned(name), asked, ["blank"]).refused["blank"]
        assert fault.field == "blank, letters"
        assert name != "camp-axe", "on the largest blank they have room"
    for template in lettered.values():
        whole = metal(template)
        assert whole.is_valid
        assert isinstance(whole, shapely.Polygon)
        assert len(template.part.cuts) > len(plain[template.name].part.cuts) + 3
        assert not template.part.labels


def test_plates_that_are_cut_through_are_told_apart() -> None:
    """Drift plates differ by less than the cut may be off: each has letters of its own, and the
    two halves of a revision stand in the order in which they are read."""
    for name in ("belt-hatchet", "carpenters-axe"):
        found = made(name, WAYS["waterjet 1/8 in"], "stencil", "drift-plate")
        letters = {
            tuple(sorted(round(abs(cut.area), 3) for cut in template.part.cuts[2:]))
            for template in found.values()
        }
        assert len(letters) == len(found) == 3


def test_a_revision_in_two_rows_is_read_from_its_first_half() -> None:
    """Round the hole for the centre line it has no room as one block."""
    (template,) = made("bow-tie-hatchet", WAYS["waterjet 1/8 in"], "stencil", "blank").values()
    mark = report.revision(planned("bow-tie-hatchet").design)
    outline, *holes = template.part.cuts
    middle = (outline.bounds.bottom + outline.bounds.top) / 2.0
    upper = [hole for hole in holes if hole.bounds.bottom > middle]
    sizes = templates._through(WAYS["waterjet 1/8 in"])
    for half, same in ((mark[:4], True), (mark[4:], False)):
        areas = sorted(abs(letter.area) for letter in stencil.word(half, *sizes))
        found = sorted(abs(hole.area) for hole in upper)
        assert (found == pytest.approx(areas, abs=0.01)) is same


# What is refused ---------------------------------------------------------------------------------


def refusals(name: str, asked: Rules, letters: str | None = None) -> dict[str, str]:
    found = templates.templates(planned(name), way_of(asked, letters, "mm"), templates.NAMES)
    return {name: "\n".join(map(str, faults)) for name, faults in found.refused.items()}


def test_a_gauge_that_the_cut_cannot_be_true_enough_for_is_refused() -> None:
    """ISO 9013, class 2, sheet of 3.15 to 6.3 mm: 3 to 10 mm may be off by 0.8; the straps' gauge
    tries 1/128 in. Class 1 in 1 to 3.15 mm: by 0.15."""
    said = refusals("belt-hatchet", WAYS["plasma 3/16 in"])
    assert "cut true to 0.80 mm" in said["strap-gauge"]
    assert "true to 0.20 mm" in said["strap-gauge"]
    assert "strap-gauge" not in refusals("belt-hatchet", WAYS["laser 16 ga"])


def test_a_thin_wall_behind_the_eye_is_refused_for_plasma() -> None:
    said = refusals("trade-hatchet", WAYS["plasma 3/16 in"])
    assert "4.8 mm of metal behind the eye" in said["head"]
    assert "7.1 mm at least" in said["head"]
    assert "thinner sheet" in said["head"]


def test_letters_that_have_no_room_are_refused() -> None:
    said = refusals("belt-hatchet", WAYS["plasma 3/16 in"], "stencil")
    assert "stencil letters" in said["blank"]
    assert "--letters none" in said["blank"]


def test_letters_that_the_process_cannot_make_are_a_fault() -> None:
    with pytest.raises(BadInputError, match="plasma cannot mark"):
        way_of(WAYS["plasma 3/16 in"], "mark", "in")
    with pytest.raises(BadInputError, match="mark, stencil, none"):
        way_of(WAYS["laser 16 ga"], "engrave", "in")


def test_a_part_that_breaks_a_rule_is_refused_whatever_the_rule() -> None:
    """The net under all of it: a web that nothing here provides for."""
    asked = replace(WAYS["laser 16 ga"], edge=40.0)
    found = templates.templates(planned("belt-hatchet"), Way(asked, "none", "in"), ["blank"])
    assert not found.made
    assert found.refused


def test_of_several_plates_none_goes_without_a_word() -> None:
    """One that has no room for letters takes none of the others with it."""
    way = way_of(rules("waterjet", 6.35), "stencil", "in")
    found = templates.templates(planned("camp-axe"), way, ["drift-plate"])
    names = [template.name for template in found.made]
    refused = [fault.field.split(",")[0] for faults in found.refused.values() for fault in faults]
    assert names
    assert refused
    numbers = sorted(int(name.rsplit("-", 1)[1]) for name in (*names, *refused))
    assert numbers == list(range(1, len(numbers) + 1))
    marked = templates.templates(planned("camp-axe"), way_of(WAYS["laser 16 ga"], None, "in"),
                                 ["drift-plate"])  # fmt: skip
    assert len(numbers) == len(marked.made)


@pytest.mark.parametrize("name", ["belt-hatchet", "bow-tie-hatchet"])
def test_plates_without_letters_are_known_by_their_notches(name: str) -> None:
    """Their sizes differ by less than the cut may be off."""
    plates = made(name, WAYS["waterjet 1/8 in"], None, "drift-plate")
    for number, template in enumerate(plates.values(), 1):
        outline = ring(template.part.cuts[0])
        left, bottom, right, _ = outline.bounds
        level = shapely.LineString([(left, bottom + 1e-6), (right, bottom + 1e-6)])
        assert len(shapely.get_parts(level.intersection(outline))) == number + 1
        assert f"Known by its {number} notch" in template.said
    assert len(plates) >= 3


def test_what_is_not_marked_is_told() -> None:
    """By plasma there is neither the thin line of a half nor the word on the scarf's side."""
    marked = made("belt-hatchet", WAYS["laser 16 ga"], None, "half", "bit")
    assert "Thin line: as finished." in marked["half"].said
    assert "scarf this side" in [label.text for label in marked["bit"].part.labels]
    assert "Scarf" not in marked["bit"].said
    bare = made("belt-hatchet", WAYS["plasma 14 ga"], None, "half", "bit")
    assert not bare["half"].part.marks
    assert "Thin line" not in bare["half"].said
    assert bare["bit"].said.endswith("Scarf one long side.")
    folded = made("trade-hatchet", WAYS["plasma 14 ga"], None, "bit")
    assert folded["bit"].said.endswith("Scarf both long sides; fold in the middle.")
