"""Figures rounded to the smith's mark: none off by more than half a mark, none from another, and
what they do to the eye found again by the balance of the metal, in closed form and by the table of
slips."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache, partial
from typing import Any

import pytest
from designs import FOLDED, Raw, examples, planned, wide_designs
from hypothesis import given
from hypothesis import strategies as st

from patterns import blank, profiles, templates
from patterns.blank import ForgePlan
from patterns.drawing import Purpose
from patterns.folds import FOLDS
from patterns.forecast import closed as eye_of
from patterns.forecast import mass_of, strap_of
from patterns.parameters import FINEST, Design
from patterns.piece import Piece
from patterns.rounding import (
    FELT,
    Figure,
    Rule,
    aim,
    beside,
    data,
    doubts,
    figures,
    hit,
    residue,
    rounded_piece,
    rule_of,
    stepped,
)
from patterns.sensitivity import MARK, WALL, piece_of, sensitivity
from patterns.sheets import blank as blank_sheet
from patterns.sheets import straps
from patterns.units import length, read_length

INCH = 25.4
STEPS = {"1/64": INCH / 64, "1/32": INCH / 32, "1/16": INCH / 16, "mm": 1.0}
"""The marks of each rule, apart [mm]."""
TOLD = tuple(STEPS)


def marked(design: Design, finest: str, units: str = "in") -> ForgePlan:
    return blank.plan(replace(design, hand=replace(design.hand, finest=finest)), units)


@cache
def shipped(name: str, finest: str, units: str = "in") -> ForgePlan:
    return marked(profiles.load(name).design, finest, units)


@cache
def of_fold(fold: str, finest: str) -> ForgePlan:
    return marked(planned(FOLDED[fold]).design, finest)


# Rounding itself ---------------------------------------------------------------------------------


@given(st.integers(0, 100_000), st.sampled_from((64, 32, 16)))
@examples(200)
def test_the_nearest_mark_of_an_inch(thousandths: int, parts: int) -> None:
    """By exact fractions; of two as near, the greater, so that steel is left."""
    exact = Fraction(thousandths, 1000)
    wanted = Fraction(math.floor(exact * parts + Fraction(1, 2)), parts)
    found = Rule("in", parts).nearest(float(exact) * INCH)
    assert found == pytest.approx(float(wanted) * INCH, abs=1e-9)
    assert Rule("in", parts).nearest(-float(exact) * INCH) == -found


@pytest.mark.parametrize(
    ("text", "rule", "wanted"),
    [
        ("1 1/32 in", Rule("in", 16), "1 1/16 in"),  # just between 1 and 1 1/16
        ("1 3/32 in", Rule("in", 16), "1 1/8 in"),
        ("2 1/64 in", Rule("in", 32), "2 1/32 in"),
        ("3/128 in", Rule("in", 64), "1/32 in"),
        ("10.5 mm", Rule("mm", 1), "11 mm"),
        ("11.5 mm", Rule("mm", 1), "12 mm"),
        ("1.03 in", Rule("in", 16), "1 in"),
        ("0.2 mm", Rule("mm", 1), "0 mm"),
    ],
)
def test_halves_go_outward(text: str, rule: Rule, wanted: str) -> None:
    """Worked by hand. A hair of a computer's rounding either way makes no difference."""
    exact = read_length(text)
    for hair in (0.0, 1e-12, -1e-12):
        assert rule.shown(rule.nearest(exact + hair)) == wanted


# Never accumulated -------------------------------------------------------------------------------


def strays(found: Mapping[str, Figure], step: float) -> list[str]:
    """The figures that are not on a mark, or more than half a mark from where they should be.

    A width between two even marks, and what lies between two places, may be off by two halves.
    """
    wide = {"poll", "shoulders", "cut"}
    one_sided = "poll" not in found
    bad = []
    for name, figure in found.items():
        off = abs(figure.rounded - figure.exact)
        most = step if name in wide and not (one_sided and name == "cut") else step / 2.0
        marks = figure.rounded / step
        if off > most * (1.0 + 1e-6) or abs(marks - round(marks)) > 1e-6:
            bad.append(name)
    return bad


@pytest.mark.parametrize("fold", FOLDS)
def test_each_by_itself_from_the_datum(fold: str) -> None:
    @examples(25)
    @given(wide_designs(fold=fold), st.sampled_from(TOLD), st.sampled_from(("in", "mm")))
    def run(drawn: tuple[Raw, ForgePlan], finest: str, units: str) -> None:
        plan = marked(drawn[1].design, finest, units)
        found = figures(plan, units)
        assert strays(found, STEPS[finest]) == []
        places = {mark.kind: mark.x for mark in plan.marks if mark.x > 0.0}
        for kind, x in places.items():  # the plan's own marks, from its own datum
            assert found[f"{kind} mark"].exact == pytest.approx(x, abs=1e-9)
        assert found["end"].exact == pytest.approx(plan.parts[-1].end, abs=1e-9)
        if plan.fold.halves == 1:
            tongue = found["end"].rounded - found["shoulder mark"].rounded
            assert found["shoulders"].rounded == pytest.approx(tongue, abs=1e-9)
            return
        for wide, place in (("poll", "poll mark"), ("shoulders", "shoulder mark"), ("cut", "end")):
            half = found[place].rounded if place in found else 0.0
            assert found[wide].rounded == pytest.approx(2.0 * half, abs=1e-9)

    run()


def chained(plan: ForgePlan, step: float, way: str) -> dict[str, Figure]:
    """Wrong on purpose: one figure rounded from another that was rounded."""

    def near(x: float) -> float:
        return math.floor(x / step + 0.5) * step

    found = dict(figures(plan, "in"))
    shoulder, end = found["shoulder mark"], found["end"]
    if way == "poll from shoulder":
        inward = near(plan.strap.raw_length)
        found["poll mark"] = Figure(plan.poll / 2.0, shoulder.rounded - inward)
    else:
        found["end"] = Figure(end.exact, shoulder.rounded + near(plan.half))
    return found


@pytest.mark.parametrize("way", ["poll from shoulder", "end from shoulder"])
def test_a_chain_of_roundings_is_seen(way: str) -> None:
    """Of heads with a poll, some stray by more than half a mark if they are marked in a chain."""
    name = "poll mark" if way == "poll from shoulder" else "end"
    seen = 0
    for finest in TOLD:
        plans = [shipped(each, finest) for each in profiles.shipped()]
        plans = [plan for plan in plans if plan.poll]
        assert all(strays(figures(plan, "in"), STEPS[finest]) == [] for plan in plans)
        for plan in plans:
            seen += name in strays(chained(plan, STEPS[finest], way), STEPS[finest])
    assert seen >= 5


# What is printed ---------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("finest", FINEST)
@pytest.mark.parametrize("name", profiles.shipped())
def test_what_is_printed_reads_back_as_the_figure(name: str, finest: str, units: str) -> None:
    """Printing rounds nothing again: the text, read, is the figure."""
    plan = shipped(name, finest, units)
    for key, figure in figures(plan, units).items():
        text = hit(plan, key, units)
        zero = text == "0 in"
        assert (0.0 if zero else read_length(text)) == pytest.approx(figure.rounded, abs=1e-9)
        unit = {"fine": units, "mm": "mm"}.get(finest, "in")
        assert text.endswith(f" {unit}")
        exact = beside(plan, key, units).partition("(")[2].rstrip(")")
        if finest == "fine":
            assert text == length(figure.exact, units)
            assert aim(plan, key, units) == figure.exact
        else:  # a decimal in the chosen unit
            assert exact.endswith(f" {units}")
            assert "/" not in exact
            fineness = 0.0005 * INCH if units == "in" else 0.005
            assert read_length(exact) == pytest.approx(figure.exact, abs=fineness * 1.001)
            assert aim(plan, key, units) == figure.rounded
            assert stepped(plan, key, units) == beside(plan, key, units)


def test_the_example_of_the_words() -> None:
    """The belt hatchet's dividers, 1.733 in: 1.733 x 16 = 27.7, so 28/16; 44.0 mm, so 44 mm."""
    plan = shipped("belt-hatchet", "1/16")
    assert beside(plan, "dividers", "in") == "1 3/4 in (1.733 in)"
    assert beside(plan, "dividers", "mm") == f"1 3/4 in ({plan.strap.divider:.2f} mm)"
    assert beside(shipped("belt-hatchet", "mm"), "dividers", "in") == "44 mm (1.733 in)"
    assert stepped(shipped("belt-hatchet", "fine"), "dividers", "in") == "1.733 in"


@pytest.mark.parametrize("name", profiles.shipped())
def test_lines_are_never_rounded(name: str) -> None:
    """Outlines, marks and contours to cut are the same to the last digit at every mark."""
    kept = {Purpose.OUTLINE, Purpose.CENTRE, Purpose.CUT}

    def lines(finest: str) -> list[Any]:
        plan = shipped(name, finest)
        drawn = [*blank_sheet.draw(plan, "in"), *straps.draw(plan, "in")]
        drawn.append(templates.blank_part(plan, templates.usual_way("in")).drawing("blank", ""))
        found = [s for d in drawn for s in d.strokes if s.purpose in kept]
        marks = [s for s in drawn[0].strokes if s.purpose is Purpose.MARK]
        return [found, marks]

    # the hole of the pattern stands by itself, whatever is lettered beside it
    exact = lines("fine")
    for finest in ("1/16", "mm"):
        assert lines(finest) == exact


# What it does to the eye -------------------------------------------------------------------------

PLANS: dict[str, Callable[[str], ForgePlan]] = {
    **{name: partial(shipped, name) for name in profiles.shipped()},
    **{f"fold {fold}": partial(of_fold, fold) for fold in FOLDED},
}


def by_balance(plan: ForgePlan) -> Piece:
    """The rounded piece by brute force: the wall is narrowed down until the metal between the
    rounded marks fills the strap that the rounded dividers step."""
    exact, found = piece_of(plan).piece, figures(plan, "in")
    halves, lap = plan.fold.halves, found["lap"].rounded if "lap" in found else 0.0
    end, shoulder = found["end"].rounded, found["shoulder mark"].rounded
    poll = found["poll mark"].rounded if "poll mark" in found else 0.0
    apart = end - shoulder if halves == 1 else 2.0 * shoulder
    bit = exact.bit
    if bit.stock is not None and bit.length is not None:
        steels = [(x, found[name].rounded - found[name].exact) for name, x in
                  (("bit", plan.bit), ("plate", plan.plate)) if x is not None]  # fmt: skip
        more = sum(math.prod(x.stock) * by for x, by in steels)
        bit = replace(bit, length=bit.length + more / math.prod(bit.stock))

    def at(wall: float) -> Piece:
        fold = exact.fold
        if fold.lap_bar is not None:  # as long and thick as it is, so much metal
            share = lap / plan.strap.lap * wall / plan.strap.wall
            fold = replace(fold, lap=lap, lap_bar=fold.lap_bar * share)
        return replace(
            exact,
            bar=replace(exact.bar, length=end if halves == 1 else 2.0 * end),
            marks=replace(exact.marks, poll=2.0 * poll, shoulders=apart),
            strap=replace(exact.strap, wall=wall), fold=fold, bit=bit,
        )  # fmt: skip

    if plan.undrawn:
        return at(plan.strap.wall)
    low, high = 0.5 * plan.strap.wall, 1.5 * plan.strap.wall
    for _ in range(80):
        middle = (low + high) / 2.0
        long = strap_of(at(middle)).divider > found["dividers"].rounded
        low, high = (middle, high) if long else (low, middle)
    return at((low + high) / 2.0)


@pytest.mark.parametrize("finest", FINEST)
@pytest.mark.parametrize("name", PLANS)
def test_the_residue_by_the_balance_of_the_metal(name: str, finest: str) -> None:
    plan = PLANS[name](finest)
    found, piece = residue(plan, "in"), by_balance(plan)
    eye = eye_of(piece, strap_of(piece))
    assert eye is not None
    assert found.eye is not None
    was = plan.head.eye
    assert found.eye.round == pytest.approx(eye.eye.perimeter - was.perimeter, abs=1e-5)
    assert found.eye.long == pytest.approx(eye.eye.length - was.length, abs=1e-5)
    assert found.eye.wide == pytest.approx(eye.eye.width - was.width, abs=1e-5)
    ratio = eye.eye.length / eye.eye.width - was.length / was.width
    assert found.eye.ratio == pytest.approx(ratio, abs=1e-6)
    mine = rounded_piece(plan, "in")
    assert mine.strap.wall == pytest.approx(piece.strap.wall, rel=1e-9)
    if piece.fold.lap_bar is None:
        assert mine.fold.lap_bar is None
    else:
        assert mine.fold.lap_bar == pytest.approx(piece.fold.lap_bar, rel=1e-9)
    masses = mass_of(piece)[1] - mass_of(piece_of(plan).piece)[1]
    assert found.mass == pytest.approx(masses, abs=1e-5)


def test_a_round_eye_in_closed_form() -> None:
    """The strap of a round poll round a circle: half of a ring's part.

    Walls ``t`` thick round a circle of perimeter ``p``, of which ``c`` is closed by the shoulders,
    have the area ``t (p - c) + pi t^2 (1 - c / p)``; so ``2 l = p - c + pi t (1 - c / p)``, a
    quadratic in p. The shoulders close twice their height ``T - t``, at a square step.
    """
    for finest in TOLD:
        plan = shipped("tomahawk", finest)
        found, design = figures(plan, "in"), plan.design
        assert design.eye.form == "circle"
        assert (plan.fold.name, design.hand.step, design.hand.wrap) == ("round", 1.0, 0.0)
        before, now = found["dividers"].exact, found["dividers"].rounded
        raw = found["shoulder mark"].rounded / found["shoulder mark"].exact
        t = plan.strap.wall * raw * before / now  # the same metal in a strap of another length
        side = now * (1.0 + design.allowances.drift_stretch)
        c = 2.0 * (design.bar.thickness - t)
        b, d = math.pi * t - c - 2.0 * side, -math.pi * t * c
        p = (-b + math.sqrt(b * b - 4.0 * d)) / 2.0
        eye = residue(plan, "in").eye
        assert eye is not None
        assert eye.round == pytest.approx(p - plan.head.eye.perimeter, abs=1e-5)


DRAWN = [
    name for name in profiles.shipped()
    if shipped(name, "fine").fold.straps == 2 and not shipped(name, "fine").undrawn
]  # fmt: skip
"""Heads whose table of slips has both marks and the wall."""


@pytest.mark.parametrize("finest", TOLD)
@pytest.mark.parametrize("name", DRAWN)
def test_no_more_than_the_table_of_slips_says(name: str, finest: str) -> None:
    """The greatest that half a mark in each figure can do, by the slips of the straps' table.

    The table moves the marks and the wall with the strap's length by volume. From it follows what
    each does by itself: a longer strap, ``e_S 2 l_raw / D``; a wider poll at the same strap,
    ``e_P + e_S``; a thicker wall at the same length, ``e_t + e_D D / t``.
    """
    plan = shipped(name, finest)
    step, strap = STEPS[finest], plan.strap
    found = residue(plan, "in")
    by = {e.slip.split(" +")[0]: e.eye for e in sensitivity(plan)}
    shoulders, poll = by["shoulder marks"], by.get("poll marks", 0.0)
    assert shoulders is not None
    assert poll is not None
    assert by["walls"] is not None
    e_s, e_t = shoulders / MARK, by["walls"] / WALL
    e_p = poll / MARK if plan.poll else -e_s  # no poll: what would be its effect is nothing
    e_d = e_s * 2.0 * strap.raw_length / strap.divider
    e_w = e_t + e_d * strap.divider / strap.wall
    marks = step if plan.poll else step / 2.0  # what a raw strap may be off by: two half marks
    thinner = strap.wall * (marks / strap.raw_length + step / 2.0 / strap.divider)
    most = abs(e_p + e_s) * step + abs(e_d) * step / 2.0 + abs(e_w) * thinner
    assert found.eye is not None
    assert abs(found.eye.round) <= 1.1 * most + 0.01  # the table's slips are no infinitesimals
    assert found.by_thickness is not None
    loose = abs(e_s) * step + (abs(e_p) * step if plan.poll else 0.0)
    assert abs(found.by_thickness) <= 1.1 * loose + 0.01
    # and the figures' own signs and sizes give the change itself
    off = {key: figure.rounded - figure.exact for key, figure in figures(plan, "in").items()}
    by_marks = e_s * off["shoulders"] + (e_p * off["poll"] if plan.poll else 0.0)
    assert found.by_thickness == pytest.approx(by_marks, abs=0.1 * loose + 0.01)


def on_the_rule(finest: str) -> Design:
    """The belt hatchet with its dividers, marks, cut length and bit brought onto the marks, each
    by what moves it and none that comes before: wrap offset, scale, trimming, stock of the bit."""
    design = profiles.load("belt-hatchet", [f"hand.finest={finest}"]).design
    step = STEPS[finest]
    if finest == "mm":
        design = replace(design, wall=replace(design.wall, thickness=5.0),
                         eye=replace(design.eye, width=16.0))  # fmt: skip

    def brought(
        design: Design, of: Callable[[ForgePlan], float], put: Callable[[Design, float], Design],
        x: float, dx: float,
    ) -> Design:  # fmt: skip
        def at(x: float) -> float:
            return of(blank.plan(put(design, x)))

        y, ahead = at(x), at(x + dx)
        wanted = round(y / step) * step
        for _ in range(30):
            if abs(y - wanted) < 1e-10:
                break
            x, dx = x + (wanted - y) * dx / (ahead - y), dx
            y, ahead = at(x), at(x + dx)
        return put(design, x)

    def wrap(d: Design, x: float) -> Design:
        return replace(d, hand=replace(d.hand, wrap=x))

    def scale(d: Design, x: float) -> Design:
        return replace(d, allowances=replace(d.allowances, scale_per_heat=x))

    def trimming(d: Design, x: float) -> Design:
        return replace(d, allowances=replace(d.allowances, trimming=x))

    def stock(d: Design, x: float) -> Design:
        assert d.bit.stock is not None
        return replace(d, bit=replace(d.bit, stock=(d.bit.stock[0], x)))

    design = brought(design, lambda p: p.strap.divider, wrap, 0.0, 0.05)
    a = design.allowances
    design = brought(design, lambda p: p.shoulders / 2.0, scale, a.scale_per_heat, 1e-4)
    design = brought(design, lambda p: p.cut_length / 2.0, trimming, a.trimming, 0.05)
    assert design.bit.stock is not None
    wide = design.bit.stock[1]
    return brought(design, lambda p: p.bit.cut_length if p.bit else 0.0, stock, wide, 0.05)


@pytest.mark.parametrize("finest", TOLD)
def test_nothing_is_left_over_where_the_marks_fall_on_the_rule(finest: str) -> None:
    design = on_the_rule(finest)
    plan = blank.plan(design)
    for name, figure in figures(plan, "in").items():
        if name != "over all":  # the end of the bar as drawn is no mark
            assert figure.rounded == pytest.approx(figure.exact, abs=1e-8), name
    found = residue(plan, "in")
    assert found.eye is not None
    assert found.by_thickness is not None
    assert found.reach is not None
    for left in (found.eye.round, found.eye.long, found.by_thickness, found.reach, found.mass):
        assert left == pytest.approx(0.0, abs=1e-5)
    # and a strap that is 0.4 of a mark longer leaves just that, twice round
    by = 0.4 * STEPS[finest]
    off = blank.plan(replace(design, hand=replace(design.hand, wrap=design.hand.wrap + by)))
    assert figures(off, "in")["dividers"].rounded == pytest.approx(plan.strap.divider, abs=1e-8)
    eye = residue(off, "in").eye
    assert eye is not None
    assert eye.round < -1.5 * by


@examples(40)
@given(wide_designs(), st.sampled_from(FINEST), st.sampled_from(("in", "mm")))
def test_every_head_has_a_residue_or_no_eye(
    drawn: tuple[Raw, ForgePlan], finest: str, units: str
) -> None:
    plan = marked(drawn[1].design, finest, units)
    found = data(plan)["residue"]
    numbers = [found["mass"], *(found["eye"] or {}).values()]
    assert all(math.isfinite(x) for x in numbers)
    eye = residue(plan, units).eye
    coarse = eye is None or abs(eye.round) > FELT
    assert bool(doubts(plan, units)) == coarse
    assert rounded_piece(plan, units).marks.shoulders > rounded_piece(plan, units).marks.poll


def test_the_walls_of_an_undrawn_plate_stay() -> None:
    plan = shipped("bow-tie-hatchet", "1/16")
    assert plan.undrawn
    assert rounded_piece(plan, "in").strap.wall == plan.strap.wall
    assert hit(plan, "dividers", "in") == hit(plan, "shoulder mark", "in")
    found = residue(plan, "in")
    assert found.eye is not None
    assert found.by_thickness == pytest.approx(found.eye.round, abs=1e-9)


def test_the_rule_that_is_not_told_is_of_the_chosen_unit() -> None:
    plan = shipped("belt-hatchet", "fine")
    assert (rule_of(plan, "in").name, rule_of(plan, "mm").name) == ("1/64 in", "0.1 mm")
    told = shipped("belt-hatchet", "1/32")
    assert rule_of(told, "in") == rule_of(told, "mm") == Rule("in", 32)
