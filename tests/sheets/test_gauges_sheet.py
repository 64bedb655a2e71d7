"""The printed gauges, measured on the picture: pages at 600 dpi, line by line.

A cut is drawn with a thick line whose middle is the contour, so a slot is measured from middle to
middle of its lines: the centre of the ink across the line, which grey pixels give to a fraction of
one. What must come out is taken from the head and the plan, not from the drawing.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from patterns import blank, build, gauges, pages, profiles
from patterns.contour import Contour
from patterns.drawing import Drawing, Purpose
from patterns.gauges import TOLERANCE, Gauge
from patterns.pages import Page
from patterns.sheets import gauges as sheet
from patterns.sheets.layout import Board
from patterns.writers import pdf

sys.path.insert(0, str(Path(__file__).parent.parent / "writers"))
from readers import LEGEND, PIXEL, check_bars, render

NAMES = list(profiles.shipped())
ANGLE = 0.15
"""How far an angle may be off on the picture [degrees]: a line's middle that is out by a fifth of a
pixel at one end of a flank of 5 mm leans by 0.1, and there are two. The worst seen is 0.12, in the
narrowest notch."""
WIDTH = PIXEL / 2.0
"""How far a slot's width may be off on the picture [mm]."""


@cache
def planned(name: str, changes: tuple[str, ...] = ()) -> blank.ForgePlan:
    return blank.plan(profiles.load(name, changes).design)


class Picture:
    """One gauge, alone on a page or where a sheet has it, rendered; places in the gauge's own
    millimetres."""

    def __init__(self, gauge: Gauge, drawing: Drawing | None = None) -> None:
        at = (0.0, 0.0)
        if drawing is None:
            board = Board("mm")
            for cut in gauge.cuts:
                board.add(cut, Purpose.CUT)
            drawing = board.drawing("gauge", "Gauge")
            page = pages.fitted(drawing, LEGEND)
        else:
            at = where(gauge, drawing)
            (page,) = pages.lay(drawing, LEGEND)
        self.dx, self.dy = page.dx + at[0], page.dy + at[1]
        self.ink = 1.0 - render(pdf.write([(drawing, [page])], "Gauge"), 0) / 255.0
        check_bars(255.0 * (1.0 - self.ink))

    def middle(self, start: tuple[float, float], way: tuple[int, int]) -> float:
        """The middle of the first line met from a place, along a level (or plumb) line [mm]."""
        height = self.ink.shape[0]
        column = (start[0] + self.dx) / PIXEL - 0.5
        row = height - (start[1] + self.dy) / PIXEL - 0.5
        if way[0]:
            line, at = self.ink[round(row)], round(column)
            line, sign = (line[at:], 1.0) if way[0] > 0 else (line[at::-1], -1.0)
            origin = (at + 0.5) * PIXEL - self.dx
        else:
            line, at = self.ink[:, round(column)], round(row)
            line, sign = (line[at::-1], 1.0) if way[1] > 0 else (line[at:], -1.0)
            origin = (height - at - 0.5) * PIXEL - self.dy
        (dark,) = np.nonzero(line > 0.5)
        assert len(dark)
        first = dark[0]
        after = np.nonzero(line[first:] <= 0.5)[0]
        last = first + (after[0] if len(after) else len(line) - first)
        low, high = max(first - 2, 0), last + 2
        weight = line[low:high]
        centre = float((weight * np.arange(low, low + len(weight))).sum() / weight.sum())
        return float(origin + sign * centre * PIXEL)

    def across(self, x: float, y: float) -> float:
        """From line to line, level, through a place [mm]."""
        return self.middle((x, y), (1, 0)) - self.middle((x, y), (-1, 0))


def where(gauge: Gauge, drawing: Drawing) -> tuple[float, float]:
    """How far a gauge was carried to its place on a sheet [mm]."""
    own = gauge.cuts[0].vertices
    for stroke in drawing.strokes:
        there = stroke.contour.vertices
        if stroke.purpose is Purpose.CUT and len(there) == len(own):
            by = there[0].x - own[0].x, there[0].y - own[0].y
            if all(math.dist((a.x + by[0], a.y + by[1]), b[:2]) < 1e-6
                   for a, b in zip(own, there, strict=True)):  # fmt: skip
                return by
    raise AssertionError(f"{gauge.name} is not on {drawing.name}")


def lean(picture: Picture, places: list[tuple[float, float]], way: int) -> float:
    """The lean of a flank from upright [degrees]: a straight line through its middles on many
    rows, by least squares."""
    found = [(y, picture.middle((x, y), (way, 0))) for x, y in places]
    y, x = np.array(found).T
    return math.degrees(math.atan(float(np.polyfit(y, x, 1)[0])))


def opened(picture: Picture, gauge: Gauge, number: int) -> float:
    """The angle between a notch's flanks on the picture [degrees]."""
    opening = gauge.openings[number]
    left, right = opening.at + opening.run[-1].x, opening.at + opening.run[0].x
    # inside the notch all the way, from its mouth's middle to the point under it
    top, foot = -0.6, -(opening.depth - 1.0 - 0.9)
    share = np.linspace(top, foot, 40)
    point = point_x(gauge, number)
    middle = (left + right) / 2.0
    places = [(middle + (point - middle) * y / -opening.depth, y) for y in share]
    return lean(picture, places, 1) - lean(picture, places, -1)


def point_x(gauge: Gauge, number: int) -> float:
    """x under a notch's point: of the lowest place of its relief."""
    opening = gauge.openings[number]
    lowest = min(
        (place for p in Contour(opening.run, closed=False).pieces for place in p.extremes()),
        key=lambda place: place[1],
    )
    return opening.at + lowest[0]


NOTCHES = [("belt-hatchet", ()), ("splitting-hatchet", ()), ("broad-hatchet", ()),
           ("kindling-hatchet", ()), ("belt-hatchet", ("blade.edge_angle=17.5",)),
           ("belt-hatchet", ("blade.bevel=one", "blade.edge_angle=33"))]  # fmt: skip


def check_angles(
    plan: blank.ForgePlan, card: Gauge, drawing: Drawing | None = None
) -> list[float]:  # fmt: skip
    """The three notches on the picture against the blade's thickness behind its edge; the errors
    [degrees]."""
    blade = plan.head.blade
    near = 0.01
    thick = float(blade.thickness(np.array(plan.head.length - near), np.array(blade.edge.y)))
    half = math.degrees(2.0 * math.atan(thick / 2.0 / near))
    angle = math.degrees(math.atan(thick / near)) if blade.bevel.one_face else half
    picture = Picture(card, drawing)
    errors = [opened(picture, card, i) - (angle + by) for i, by in enumerate((-5.0, 0.0, 5.0))]
    assert max(map(abs, errors)) < ANGLE, errors
    return errors


@pytest.mark.parametrize(("name", "way"), NOTCHES)
def test_angles_on_the_picture(name: str, way: tuple[str, ...]) -> None:
    plan = planned(name, way)
    check_angles(plan, gauges.edge_gauge(plan))


@pytest.mark.parametrize("name", ["belt-hatchet", "broad-hatchet"])
def test_angles_and_slots_on_the_sheet_itself(name: str) -> None:
    """As the smith has it: with its letters and its neighbours, on a page of letter."""
    plan = planned(name)
    drawing = next(iter(sheet.draw(plan, "mm")))
    check_angles(plan, gauges.edge_gauge(plan), drawing)
    check_slots([slots(plan)[0]], drawing)


@pytest.mark.parametrize("by", [0.5, -0.5])
@pytest.mark.parametrize("name", ["belt-hatchet", "broad-hatchet"])
def test_an_angle_half_a_degree_off_is_seen(name: str, by: float) -> None:
    plan = planned(name)
    blade = replace(plan.design.blade, edge_angle=plan.design.blade.edge_angle + by)
    wrong = replace(plan, head=replace(plan.head, design=replace(plan.design, blade=blade)))
    with pytest.raises(AssertionError):
        check_angles(plan, gauges.edge_gauge(wrong))


def test_a_convex_notch_on_the_picture() -> None:
    """As wide at each depth as the bevel's law has the blade thick, on the drawn felling axe."""
    plan = planned("felling-axe")
    card = gauges.edge_gauge(plan)
    picture = Picture(card)
    opening = card.openings[1]
    for behind in (1.8, 2.5, 4.0, 6.0, 8.0, 9.5):
        level = behind - opening.depth
        thick = float(
            plan.head.blade.thickness(
                np.array(plan.head.length - behind), np.array(plan.head.side.edge.y)
            )
        )
        # the row of pixels is up to half a pixel from the level that is asked for
        assert picture.across(opening.at, level) == pytest.approx(thick, abs=WIDTH + 0.01)


def slots(plan: blank.ForgePlan) -> list[tuple[Gauge, list[tuple[int, float, float]]]]:
    """Cards of a plan with slots: opening, level, and the width that the plan asks for there."""
    strap, head = plan.strap.drawn_thickness, plan.head
    go_and_stop = [(0, -5.0, strap + TOLERANCE), (1, -5.0, strap - TOLERANCE)]
    found = [(gauges.strap_gauge(plan, "mm"), go_and_stop)]
    if plan.bit is not None:
        bit = plan.bit
        middle = (bit.thickness + bit.tip) / 2.0
        wanted = [(0, -6.0, bit.tip), (1, -6.0, middle), (2, -6.0, bit.thickness)]
        found.append((gauges.bit_gauge(plan, "mm")[0], wanted))
    both, first = 2.0 * plan.design.allowances.grinding, 0
    stations = gauges.stations(plan)
    for card in gauges.blade_gauges(plan, "mm"):
        wanted = []
        for i in range(len(card.openings)):
            x = np.array(head.plan.eye_front + stations[first + i].ahead)
            there = float(head.blade.thickness(x, np.array(head.side.edge.y)))
            wanted += [(i, -6.0, there + both), (i, -18.0, there)]
        first += len(card.openings)
        found.append((card, wanted))
    return found


def check_slots(
    found: list[tuple[Gauge, list[tuple[int, float, float]]]], drawing: Drawing | None = None
) -> None:  # fmt: skip
    for card, wanted in found:
        picture = Picture(card, drawing)
        for number, level, width in wanted:
            wide = picture.across(card.openings[number].at, level)
            assert abs(wide - width) < WIDTH, (card.name, number, wide, width)


@pytest.mark.parametrize("name", ["belt-hatchet", "broad-hatchet", "small-wrap", "trade-hatchet"])
def test_slots_on_the_picture(name: str) -> None:
    check_slots(slots(planned(name)))


@pytest.mark.parametrize("number", [0, 1])
def test_a_slot_a_tenth_off_is_seen(number: int) -> None:
    """One side of one slot moved by 0.1 mm."""
    ((card, wanted), *_) = slots(planned("belt-hatchet"))
    opening = card.openings[number]
    side = opening.at + opening.run[0].x
    (cut,) = card.cuts
    moved = tuple(v._replace(x=v.x + 0.1) if abs(v.x - side) < 1e-9 else v for v in cut.vertices)
    assert sum(a != b for a, b in zip(moved, cut.vertices, strict=True)) == 2
    with pytest.raises(AssertionError):
        check_slots([(replace(card, cuts=(replace(cut, vertices=moved),)), wanted)])


@pytest.mark.parametrize("name", ["camp-axe", "belt-hatchet", "tomahawk"])
def test_plugs_on_the_picture(name: str) -> None:
    """Length and width of each plug between the middles of its lines: the eye's less the fit."""
    plan = planned(name)
    fit = gauges.plug_fit(plan.head)
    sections = {at: contour for at, _, contour in plan.head.eye_sections}
    for plug in gauges.plugs(plan, "mm"):
        eye = sections.get(plug.name, sections["middle"]).bounds
        picture = Picture(plug)
        middle = ((eye.left + eye.right) / 2.0, 0.0)
        assert picture.across(*middle) == pytest.approx(eye.width - 2.0 * fit, abs=WIDTH)
        widest = max(plug.cuts[0].pieces, key=lambda p: max(y for _, y in p.extremes()))
        x, _ = max(widest.extremes(), key=lambda place: place[1])
        tall = picture.middle((x, 0.0), (0, 1)) - picture.middle((x, 0.0), (0, -1))
        assert tall == pytest.approx(eye.height - 2.0 * fit, abs=WIDTH)
        assert tall != pytest.approx(eye.height, abs=WIDTH)  # a plug without its fit would be seen


# The sheets ------------------------------------------------------------------------------------


def drawn(plan: blank.ForgePlan, units: str = "in") -> dict[str, Drawing]:
    return {drawing.name: drawing for drawing in sheet.draw(plan, units)}


def laid(plan: blank.ForgePlan, drawing: Drawing, paper: str = "letter") -> list[Page]:
    return pages.lay(drawing, build.legend(plan, "in"), paper)


@pytest.mark.parametrize("name", NAMES)
def test_every_gauge_is_on_the_sheets_as_it_is(name: str) -> None:
    """Every cut of the model is on a drawing, moved and no more; each drawing has its name."""
    plan = planned(name)
    drawings = drawn(plan)
    assert {"gauges-edge", "gauges-eye", "gauges-head", "gauges-negative", "gauges-halves"} <= set(
        drawings
    )
    every = [s.contour for d in drawings.values() for s in d.strokes if s.purpose is Purpose.CUT]
    cuts = [cut for gauge in gauges.gauges(plan, "in") for cut in gauge.cuts]
    assert len(every) == len(cuts)

    def shape(contour: Contour) -> tuple[tuple[float, ...], ...]:
        v = contour.vertices
        return tuple((round(a.x - v[0].x, 6), round(a.y - v[0].y, 6), a.bulge) for a in v)

    assert sorted(map(shape, every)) == sorted(map(shape, cuts))


LONG = {"carpenters-axe": {"gauges-head", "gauges-negative"}}
"""Heads that are longer than the paper."""


@pytest.mark.parametrize("name", NAMES)
def test_each_fits_a_page_of_letter_where_the_head_does(name: str) -> None:
    plan = planned(name)
    for units in ("in", "mm"):
        for drawing in drawn(plan, units).values():
            count = len(laid(plan, drawing))
            assert (count > 1) == (drawing.name in LONG.get(name, set())), drawing.name


def test_words_say_what_there_is_not() -> None:
    drawings = drawn(planned("small-wrap"))
    words = " ".join(label.text for label in drawings["gauges-edge"].labels)
    assert "no bit" in words
    assert "BIT THICKNESS" not in words
    halves = " ".join(label.text for label in drawings["gauges-halves"].labels)
    assert "One body only" in halves
    words = " ".join(label.text for label in drawn(planned("belt-hatchet"))["gauges-edge"].labels)
    assert "no bit" not in words


def test_the_pages_bars_are_true() -> None:
    plan = planned("belt-hatchet")
    drawings = drawn(plan)
    sheets = [(d, laid(plan, d)) for d in drawings.values()]
    data = pdf.write(sheets, "Gauges")
    for number in range(len(sheets)):
        check_bars(render(data, number))


def test_a_picture_a_hundredth_larger_is_seen() -> None:
    """The way of measuring itself: a slot's card one per cent larger."""
    ((card, wanted), *_) = slots(planned("belt-hatchet"))
    larger = replace(card, cuts=tuple(cut.scaled(1.01) for cut in card.cuts))
    with pytest.raises(AssertionError):
        check_slots([(larger, wanted)])
