"""The forge plan balances: what the bar brings is what the head keeps and what is lost."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
import shapely
from designs import LOPSIDED, SIXTY_FOURTH, Raw, designs, examples, planned, read
from hypothesis import assume, given
from solid import Solid

from patterns import blank, profiles, report
from patterns.blank import ForgePlan

EXACT = 1e-9
"""Sums of a few thousand terms in double precision; anything real would be far larger."""

HEADS = [*LOPSIDED, *profiles.shipped()]


def head_by_name(name: str) -> ForgePlan:
    return planned(LOPSIDED[name]) if name in LOPSIDED else blank.plan(profiles.load(name).design)


@examples(60)
@given(designs())
def test_every_zone_balances(drawn: tuple[Raw, ForgePlan]) -> None:
    """Conservation of volume: what is in the bar is in the head, the scale or the swarf."""
    _, plan = drawn
    head = plan.head
    for zone in plan.zones:
        assert zone.bar == pytest.approx(zone.finished + zone.losses, rel=EXACT)
        parts = (zone.scale, zone.grinding, zone.trimming, zone.dressing, zone.finished)
        assert min(parts) >= 0.0
    assert [zone.name for zone in plan.zones] == ["poll", "walls", "blade", "bit"]
    assert sum(z.finished for z in plan.zones) == pytest.approx(head.volume, rel=EXACT)
    assert {z.name: z.finished for z in plan.zones} == pytest.approx(head.volumes, rel=EXACT)
    bar = plan.design.bar
    body = sum(z.bar for z in plan.zones[:3])
    # a poll that the block cannot fill would leave the bar short; the plan must not let it
    assert body == pytest.approx(plan.cut_length * bar.thickness * bar.width, rel=EXACT)
    bit = plan.bit
    assert plan.zones[3].bar == pytest.approx(
        bit.cut_length * bit.stock[0] * bit.stock[1], rel=EXACT
    )


@examples(60)
@given(designs())
def test_the_losses_are_those_that_were_asked_for(drawn: tuple[Raw, ForgePlan]) -> None:
    """Scale by the heats, a share of what is there each time; grinding off both faces."""
    raw, plan = drawn
    a = raw["allowances"]
    share = 1.0 - float(a["scale_per_heat"].removesuffix(" %")) / 100.0
    left, bit_left = share ** a["heats"], share ** a["bit_heats"]
    for zone in plan.zones:
        kept = zone.bar - zone.scale
        assert kept == pytest.approx(
            zone.bar * (bit_left if zone.name == "bit" else left), rel=EXACT
        )
    blade, bit = plan.zones[2:]
    ground = blade.grinding + bit.grinding
    assert ground == pytest.approx(
        2.0 * float(a["grinding"]) * plan.head.ahead.area, rel=EXACT, abs=1e-9
    )
    assert (ground > 0.0) == (a["grinding"] > 0)


@examples(60)
@given(designs())
def test_lengths_along_the_bar(drawn: tuple[Raw, ForgePlan]) -> None:
    """P = b + 2 t + overhang; S = P + 2 raw; L = S + 2 half; raw = l t w / (T W left)."""
    _, plan = drawn
    design, strap = plan.design, plan.strap
    wall, bar = design.wall.thickness, design.bar
    left = (1.0 - design.allowances.scale_per_heat) ** design.allowances.heats
    width = plan.head.eye.width
    assert plan.poll == pytest.approx(width + 2 * wall + design.poll.overhang, rel=EXACT)
    assert plan.shoulders == pytest.approx(plan.poll + 2 * strap.raw_length, rel=EXACT)
    assert plan.cut_length == pytest.approx(plan.shoulders + 2 * plan.half, rel=EXACT)
    assert strap.raw_length == pytest.approx(
        strap.drawn_length * wall * strap.mean_height / (bar.thickness * bar.width * left),
        rel=EXACT,
    )
    # what the drift stretches is drawn shorter and thicker
    assert strap.divider * strap.drawn_thickness == pytest.approx(
        strap.drawn_length * wall, rel=EXACT
    )
    assert strap.divider == pytest.approx(
        strap.drawn_length / (1.0 + design.allowances.drift_stretch), rel=EXACT
    )
    assert strap.shortest <= strap.plain_length + 1e-9
    assert strap.drawn_length <= strap.longest + 1e-9
    # no strap is higher in the mean than the ears, nor lower than the lowest of the outline
    outline = plan.head.side.contour.bounds
    assert 0.0 < strap.mean_height <= outline.height


@pytest.mark.parametrize("name", [n for n in HEADS if head_by_name(n).fold.back == "block"])
def test_strap_by_area_is_the_neutral_line_without_the_corners(name: str) -> None:
    """Bending keeps the plan's area: Pappus' rule on the wall's middle line gives the same strap.

    The middle line counts the poll as a strip as thick as the wall, ``P t``; the plan has instead
    the corners' fill, but not the part of the wall's ring that the poll's block covers. Both are
    measured here with Shapely. Its arcs of 400 chords a quarter and the eye's 2000 points lose
    3e-6 of the ring; an ellipse's biarcs stand up to 0.002 mm off, times its length, 1e-4 of it.
    """
    plan = head_by_name(name)
    head, design = plan.head, plan.design
    solid, t = Solid(head), design.wall.thickness
    covered = solid.band.difference(solid.ahead_of_poll).area
    fill = solid.walls.difference(solid.band).area
    by_corners = (fill + plan.poll * t - covered) / (2.0 * t)
    # the hot neutral line lies in the middle; another moves area and line by the same step
    assert design.hand.neutral == 0.5
    assert plan.strap.drawn_length - by_corners == pytest.approx(
        plan.strap.plain_length, abs=2e-4 * plan.strap.drawn_length
    )
    # the comparison sees the corners: they are worth many times the tolerance
    assert by_corners > 20 * 2e-4 * plan.strap.drawn_length


@pytest.mark.parametrize("name", [n for n in HEADS if head_by_name(n).fold.back == "wall"])
def test_a_strap_that_runs_through_is_its_middle_line(name: str) -> None:
    """No poll, no corners: area over thickness and the neutral line are one and the same."""
    plan = head_by_name(name)
    assert plan.strap.drawn_length == pytest.approx(plan.strap.plain_length, rel=1e-4)


@examples(40)
@given(designs())
def test_cold_bound_of_the_strap(drawn: tuple[Raw, ForgePlan]) -> None:
    """Bent cold, the neutral line lies nearer to the inside.

    DIN 6935: k/2 = 0.325 + 0.25 lg(r/t), the share of the thickness from the inside. With the
    eye's half width for r; the formula holds from r/t = 0.65 up to where it gives one
    half. The strap is shorter by the turning, times the shift, over two.
    """
    _, plan = drawn
    wall, neutral = plan.design.wall.thickness, plan.design.hand.neutral
    ratio = plan.head.eye.width / 2.0 / wall
    assume(ratio > 0.66)
    cold = min(0.5, 0.325 + 0.25 * math.log10(ratio), neutral)
    shift = plan.head.plan.turning * (neutral - cold) * wall / 2.0
    assert plan.strap.plain_length - plan.strap.shortest == pytest.approx(shift, abs=1e-9)


@examples(40)
@given(designs())
def test_stages_only_lose(drawn: tuple[Raw, ForgePlan]) -> None:
    """Each stage weighs its zones at 7850 kg/m3 (EN 1993-1-2, 3.2.2)."""
    _, plan = drawn
    mass = {stage.name: stage.mass for stage in plan.stages}
    bar = plan.design.bar
    assert mass["bar cut"] == pytest.approx(
        plan.cut_length * bar.thickness * bar.width * 0.00785, rel=EXACT
    )
    assert mass["ground"] == pytest.approx(plan.head.volume * 0.00785, rel=EXACT)
    everything = mass["bar cut"] + mass["bit cut"]
    assert everything >= mass["forged"] * (1.0 - EXACT)
    assert mass["forged"] >= mass["ground"] * (1.0 - EXACT)
    assert mass["bit cut"] >= mass["bit forged"] * (1.0 - EXACT)
    losses = sum(zone.losses for zone in plan.zones) * 0.00785
    assert everything - mass["ground"] == pytest.approx(losses, rel=1e-7, abs=1e-6)
    for stage in plan.stages:
        for check in stage.checks:
            assert math.isfinite(check.size), check.what
            assert check.size > 0.0, check.what


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [n for inner in value.values() for n in numbers(inner)]
    if isinstance(value, list):
        return [n for inner in value for n in numbers(inner)]
    return [value] if isinstance(value, int | float) else []


@examples(40)
@given(designs(step=SIXTY_FOURTH))
def test_plan_json(drawn: tuple[Raw, ForgePlan]) -> None:
    """``plan.json`` can be read by anyone, says what it promises, and its figures agree."""
    raw, plan = drawn
    text = report.as_json(read(raw), plan).decode()

    def refuse(word: str) -> None:
        raise AssertionError(word)

    found = json.loads(text, parse_constant=refuse)
    assert all(math.isfinite(n) for n in numbers(found))
    promised = {
        "bar": {"thickness", "width", "cut_length"},
        "marks": {"poll", "shoulder"},
        "strap": {"raw_length", "drawn_length", "wall_thickness", "mean_height"},
        "eye": {"form", "length", "width", "perimeter"},
        "head": {"mass", "length", "edge_length", "balance", "outline_area", "volume"},
    }
    for group, keys in promised.items():
        assert keys <= set(found[group]), group
    for row in found["balance"]:
        assert {"zone", "bar", "finished", "losses"} <= set(row)
        assert row["bar"] == pytest.approx(row["finished"] + row["losses"], rel=EXACT)
    for row in found["doubts"]:
        assert row["field"]
        assert row["message"]
        assert row["source"]
    assert found["bit"]
    assert found["revision"] == report.revision(plan.design)
    poll, shoulder = found["marks"]["poll"], found["marks"]["shoulder"]
    assert poll[0] == -poll[1] < 0.0
    assert shoulder[0] == -shoulder[1] < poll[0]
    half_bar = found["bar"]["cut_length"] / 2.0
    assert half_bar > shoulder[1]
    assert shoulder[1] - poll[1] == pytest.approx(found["strap"]["raw_length"], rel=EXACT)
    assert found["head"]["mass"] == pytest.approx(found["head"]["volume"] * 0.00785, rel=EXACT)
    assert sum(r["finished"] for r in found["balance"]) == pytest.approx(
        found["head"]["mass"], rel=EXACT
    )
    outline = shapely.Polygon(plan.head.side.contour.points(1e-3))
    # chords of 0.001 mm sagitta lose at most that times the outline's length
    assert found["head"]["outline_area"] == pytest.approx(
        outline.area, abs=1e-3 * outline.exterior.length
    )
