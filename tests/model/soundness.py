"""What must hold for the plan of any head, whatever its fold, bit, bevel or eye.

Measured on the geometry with Shapely and by sums over the bar, not on the parameters.
"""

from __future__ import annotations

import dataclasses
import itertools
import json
import math
from collections.abc import Iterable

import pytest
import shapely

from patterns import report
from patterns.blank import ForgePlan
from patterns.contour import Contour, Piece
from patterns.derived import eye_heights
from patterns.errors import Fault
from patterns.profiles import Profile

FINE = 1e-4
"""Sagitta [mm] wherever an arc is flattened here."""

SLACK = 0.01
"""What an ellipse's arcs (0.004 mm), the flattening and Shapely's offsets may add up to [mm]."""

ROUNDING = 1e-9


def line(pieces: Iterable[Piece]) -> shapely.LineString:
    run = list(pieces)
    return shapely.LineString([*(q for p in run for q in p.points(FINE)), run[-1].at(1.0)])


def polygon(contour: Contour, by: float = 0.0) -> shapely.Polygon:
    """The contour, carried along by ``by`` [mm]."""
    return shapely.Polygon([(x + by, y) for x, y in contour.points(FINE)])


def told(faults: Iterable[Fault]) -> None:
    """Every fault names its field, what was given, what is allowed and what to change."""
    found = list(faults)
    assert found
    for fault in found:
        assert fault.field
        assert fault.given, fault
        assert fault.allowed, fault
        assert fault.change, fault
        assert str(fault).isprintable()
        assert "nan" not in str(fault).split()
        assert "inf" not in str(fault).split()


def shaped(plan: ForgePlan) -> None:
    """The outline is one simple line; the eye lies inside the outside, with its walls round it."""
    head = plan.head
    outline = polygon(head.side.contour)
    assert outline.is_valid
    assert outline.exterior.is_simple
    assert head.side.contour.area > 0.0
    view = head.plan
    outside = polygon(view.outside)
    hole = polygon(head.eye.contour, view.eye_back)
    assert outside.is_valid
    assert hole.is_valid
    assert outside.contains(hole)
    assert thinnest(plan, hole) > plan.design.wall.thickness - SLACK
    # tapered or flared, at the top and at the bottom of the ears
    for _, y, contour in head.eye_sections:
        section = polygon(contour, view.eye_back)
        assert section.is_valid
        assert outside.contains(section)
        least = plan.design.wall.thickness - max(head.eye_offset(y), 0.0)
        assert least > 0.0
        assert thinnest(plan, section) > least - SLACK


def thinnest(plan: ForgePlan, hole: shapely.Polygon) -> float:
    """Least way from an eye to the skin, without the back of a poll as thick as it was asked."""
    view = plan.head.plan
    skin = line(view.skin)
    if view.poll_width:
        skin = skin.intersection(shapely.box(view.eye_back, -1.0, 1000.0, 1000.0))
    return float(skin.distance(hole))


def balanced(plan: ForgePlan) -> None:
    """Bar, bit and plate are the finished head and its losses, zone by zone and in all."""
    for zone in plan.zones:
        losses = (zone.scale, zone.weld, zone.grinding, zone.trimming, zone.dressing)
        assert min(zone.bar, zone.finished) > 0.0, zone
        assert min(losses) >= 0.0, zone
        assert zone.bar == pytest.approx(zone.finished + sum(losses), rel=ROUNDING), zone
    assert sum(z.finished for z in plan.zones) == pytest.approx(plan.head.volume, rel=ROUNDING)
    # and the bar as it is marked, part by part, by its sections
    thick, wide = plan.design.bar.section
    narrow = plan.strap.raw_width if plan.fold.waisted else wide
    section = {"strap": thick * narrow, "poll": thick * wide, "half": thick * (narrow + wide) / 2}
    body = sum(section[part.kind] * part.length for part in plan.parts)
    zones = {z.name: z.bar for z in plan.zones}
    extra = {"bit": plan.bit, "plate": plan.plate}
    for name, cut in extra.items():
        assert (name in zones) == (cut is not None)
        if cut is not None:
            stock = cut.cut_length * math.prod(cut.stock)
            assert zones.pop(name) == pytest.approx(stock, rel=ROUNDING)
    assert sum(zones.values()) == pytest.approx(body, rel=ROUNDING)


def marked(plan: ForgePlan) -> None:
    """Marks in order and inside the bar; parts tile it from end to end."""
    for parts, whole in ((plan.parts, plan.cut_length), (plan.drawn_parts, plan.drawn_over_all)):
        assert all(part.length > 0.0 for part in parts)
        assert all(a.end == pytest.approx(b.start, abs=1e-9) for a, b in itertools.pairwise(parts))
        assert parts[-1].end - parts[0].start == pytest.approx(whole, rel=ROUNDING)
    start, end = plan.parts[0].start, plan.parts[-1].end
    ends = {round(part.start, 9) for part in plan.parts[1:]}
    if plan.fold.halves == 2 and plan.fold.back == "wall":
        ends.remove(0.0)  # where the straps meet and the iron runs on, nothing is marked
    places = [mark.x for mark in plan.marks]
    assert all(start < x < end for x in places)
    assert ends == {round(mark.x, 9) for mark in plan.marks if mark.kind != "cut"}
    assert len(set(plan.marks)) == len(plan.marks)
    if plan.fold.halves == 2:
        assert sorted(places) == pytest.approx([-x for x in sorted(places, reverse=True)])
    strap = plan.strap
    assert 0.0 < strap.shortest <= strap.drawn_length <= strap.longest
    assert strap.divider <= strap.drawn_length + 1e-9


def figured(profile: Profile, plan: ForgePlan, units: str) -> None:
    """Every figure of the report is a number; its words can be printed."""
    json.loads(report.as_json(profile, plan), parse_constant=pytest.fail)
    worded(plan, units)
    above, below = eye_heights(plan.design)
    names = [name for name, *_ in plan.head.eye_sections]
    assert names == ["top", "middle", "bottom"]
    assert above > 0.0
    assert below > 0.0


def worded(plan: ForgePlan, units: str) -> None:
    """The summary and the doubts can be printed."""
    assert all(text.isprintable() for text in report.summary(plan, units))
    for doubt in plan.doubts:
        assert doubt.field
        assert doubt.message.isprintable()
        assert doubt.source


def same(one: ForgePlan, other: ForgePlan) -> None:
    """Two plans of one head have the same figures, to the last digit, whatever their words."""
    for field in dataclasses.fields(one):
        if field.name not in ("head", "units"):
            assert getattr(one, field.name) == getattr(other, field.name), field.name
    a, b = one.head, other.head
    assert a.volume == b.volume
    assert a.side.contour == b.side.contour
    assert a.plan.outside == b.plan.outside
    assert a.eye_sections == b.eye_sections


def sound(profile: Profile, plan: ForgePlan, units: str = "mm") -> None:
    shaped(plan)
    balanced(plan)
    marked(plan)
    figured(profile, plan, units)
