"""What is possible but odd about a plan: data with a reason and a source, not exceptions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from . import sources
from .bar_plan import BarPlan, BitPlan
from .derived import left_of_bar
from .heat_treatment import doubts_about
from .units import both, fine

# When a doubt is raised where no source draws the line: margins of our own.
THIN_WALL, THICK_WALL = 0.35, 0.7
"""Wall over bar, on either side of the half that is usual."""
POLL_SLACK = 0.3
"""What a poll may come out thinner than wanted without a word [mm]."""
POLL_UPSET = 1.25
"""Poll wanted over poll to be had, above which the middle must be upset first: the work stops."""
POLL_WASTE = 0.15
"""Share of the poll's block that may be dressed away without a word."""
WALL_UPSET = 1.25
"""Wall over what the fire leaves of the bar's thickness, above which it cannot be had."""
UNDRAWN = 0.8
"""Wall over what the fire leaves of a plate, below which it can no longer be called undrawn."""
STACKED = 1.15
"""Thickness of the blade over that of what lies folded there, above which it must be upset."""
WELD_COVER = 0.75
"""Share of the edge behind which bit and body must lie together over a scarf's length."""
IN_FRONT = 0.25
"""How far ahead of the eye the bit that closes its front may end, over the eye's length."""
PEENED = 0.3
"""How far above the spread of drawing the ears may be before the peening is called a doubt."""


@dataclass(frozen=True)
class Doubt:
    """Something to think about before the fire is lit.

    ``stops``: the work as planned cannot go on.
    """

    field: str
    message: str
    source: str
    stops: bool = False


def doubts(plan: BarPlan) -> Iterator[Doubt]:
    """Every doubt about a plan, in its units."""
    yield from _of_walls(plan)
    yield from _of_the_poll(plan)
    yield from _of_the_strap(plan)
    if plan.bit is not None:
        yield from _of_the_bit(plan, plan.bit)
    yield from _of_steels(plan)
    yield from _of_the_blade(plan)


def _of_walls(plan: BarPlan) -> Iterator[Doubt]:
    head, strap, units = plan.head, plan.strap, plan.units
    thinnest, _ = head.wall_range
    least = sources.WALL_LOWEST
    if thinnest < least.inside - 1e-6:
        yield Doubt(
            "wall.thickness",
            f"the wall is {fine(thinnest, units)} at its thinnest: under "
            f"{both(least.inside, units)} it may burn in welding or crack in drifting",
            str(least),
        )
    share = strap.wall / plan.design.bar.thickness
    usual = plan.fold.straps == 2 and not plan.fold.waisted  # the source tells of no other
    if usual and not THIN_WALL <= share <= THICK_WALL:
        yield Doubt(
            "wall.thickness",
            f"the wall is {share:.2f} of the bar's thickness; about half is usual",
            str(sources.WALL_SHARE),
        )
    left = plan.design.bar.thickness * left_of_bar(plan.design)
    if plan.undrawn and strap.wall < UNDRAWN * left:
        yield Doubt(
            "wall.thickness",
            f"the plate is not drawn, but fire leaves {fine(left, units)} of it, more than a wall "
            f"of {fine(strap.wall, units)}: take a thinner plate, or tell fold.waist and draw it",
            "balance of the walls' volume",
        )
    if strap.drawn_thickness > left:
        yield Doubt(
            "wall.thickness",
            f"the fire leaves {fine(left, units)} of the bar, less than a wall of "
            f"{fine(strap.drawn_thickness, units)}",
            "balance of the walls' volume",
            strap.drawn_thickness > WALL_UPSET * left,
        )


def _of_the_poll(plan: BarPlan) -> Iterator[Doubt]:
    head, units = plan.head, plan.units
    left, balance = head.plan.poll_thickness, "balance of the poll's volume"
    if head.poll_wanted > left + POLL_SLACK:
        short = head.poll_wanted > POLL_UPSET * left
        yield Doubt(
            "poll.thickness",
            f"the block leaves a poll {both(left, units)} thick, not "
            f"{both(head.poll_wanted, units)}: the patterns show what it leaves; take a "
            "thicker bar or a lower poll",
            balance,
            short,
        )
    if plan.poll and plan.zone("poll").dressing > POLL_WASTE * plan.zone("poll").bar:
        over = plan.zone("poll").dressing / plan.zone("poll").bar
        yield Doubt(
            "poll.thickness",
            f"the block holds {over * 100:.0f} % more metal than this "
            "poll: it must be ground or cut away; a thicker or higher poll would use it",
            balance,
        )


def _of_the_strap(plan: BarPlan) -> Iterator[Doubt]:
    strap, ears, units, design = plan.strap, plan.spread, plan.units, plan.design
    if ears.coefficient_needed > ears.coefficient + PEENED:
        yield Doubt(
            "ears",
            f"the walls want a mean height of {both(strap.mean_height, units)}; drawing with this "
            f"bite gives {both(ears.natural_height, units)}: the rest must be peened",
            str(sources.SPREAD_CONSTANT),
        )
    if ears.bite != design.hand.bite:
        yield Doubt(
            "hand.bite",
            f"the spread is reckoned for a bite of {both(ears.bite, units)}, the nearest for which "
            "it is known on this bar",
            str(sources.BITE_SHARE_LEAST),
        )
    scarf = sources.SCARF_SHARE.value * strap.wall
    if plan.fold.laps and strap.lap < scarf:
        yield Doubt(
            "fold.lap",
            f"the tongue laps {both(strap.lap, units)} on the cheek; a scarf would be "
            f"{both(scarf, units)}",
            str(sources.SCARF_SHARE),
        )


def _of_the_bit(plan: BarPlan, bit: BitPlan) -> Iterator[Doubt]:
    head, units = plan.head, plan.units
    blade = head.fore.part.blade  # x from the front of the eye
    thick = blade.bit.thickness
    hardened = sources.HARDENED_DEPTH
    if bit.insertion < hardened.inside:
        yield Doubt(
            "bit.insertion",
            f"the bit reaches {both(bit.insertion, units)} behind the edge; "
            f"{both(hardened.inside, units)} of hardened steel is asked of axes",
            str(hardened),
        )
    at_end = float(blade.taper(np.array([head.fore.side.edge.foremost - bit.insertion]))[0])
    if bit.overlap <= 0.0 or at_end <= thick:
        yield Doubt(
            "bit",
            f"no weld: bit and body lie together over {both(max(bit.overlap, 0.0), units)}, and "
            f"the blade is {both(at_end, units)} thick at the bit's end, the bit "
            f"{both(thick, units)}; set it deeper, thin it, or thicken the blade there",
            "geometry of the blade",
            True,
        )
    elif bit.overlap < sources.SCARF_SHARE.value * bit.thickness:
        yield Doubt(
            "bit.insertion",
            f"bit and body lie together over {both(bit.overlap, units)} only; a scarf would be "
            f"{both(sources.SCARF_SHARE.value * bit.thickness, units)}",
            str(sources.SCARF_SHARE),
        )
    cover = head.fore.weld_cover
    if bit.overlap > 0.0 and cover < WELD_COVER:
        yield Doubt(
            "blade.heel" if plan.design.blade.beard is None else "blade.beard",
            f"the weld is undercut: bit and body lie together over a scarf's length behind "
            f"{cover * 100:.0f} % of the edge only; widen the blade behind toe and heel, or set "
            "the bit less deep there",
            "geometry of the blade",
        )
    gap = head.fore.side.edge.foremost - bit.insertion
    if plan.fold.bit_in_front and gap > IN_FRONT * head.eye.length:
        yield Doubt(
            "bit.insertion",
            f"the bit ends {both(gap, units)} ahead of the eye, whose front its back is reckoned "
            "to close: set it deeper",
            "geometry of the blade",
        )


def _of_steels(plan: BarPlan) -> Iterator[Doubt]:
    design, units = plan.design, plan.units
    body, found = design.bar.steel, []
    if plan.bit is not None:
        found += doubts_about(design.bit.steel, body, units)
    elif design.bit.form == "none":
        found += doubts_about(body, None, units, "bar.steel")
    if plan.plate is not None:
        found += doubts_about(design.plate.steel, body, units, "plate.steel")
    yield from (Doubt(*each) for each in dict.fromkeys(found))


def _of_the_blade(plan: BarPlan) -> Iterator[Doubt]:
    head, units, angle = plan.head, plan.units, plan.design.blade.edge_angle
    for place, thick in head.fore.part.blade.stations:
        there = _stacked(plan, place)
        if thick > STACKED * there:
            yield Doubt(
                "blade.stations",
                f"{both(place, units)} ahead of the eye the blade is {both(thick, units)} thick, "
                f"and what is folded together there only {both(there, units)}: it must be upset; "
                "take a thicker bar or thin the blade",
                "thickness of the bar",
            )
            break
    low, high = sources.EDGE_ANGLE_LEAST, sources.EDGE_ANGLE_MOST
    if not low.value <= angle <= high.value:
        yield Doubt(
            "blade.edge_angle",
            f"an edge of {angle:g} degrees lies outside {low.value:g} to {high.value:g}",
            str(low if angle < low.value else high),
        )
    ratio = head.mass / (head.length * head.edge_length)
    light, heavy = sources.HEAVINESS_LEAST, sources.HEAVINESS_MOST
    if not light.value <= ratio <= heavy.value:
        yield Doubt(
            "blade",
            f"{head.mass:.0f} g on {both(head.length, units)} of length and "
            f"{both(head.edge_length, units)} of edge is outside what known axes weigh",
            str(light if ratio < light.value else heavy),
        )


def _stacked(plan: BarPlan, place: float) -> float:
    """How thick the bar lies, folded and after scale, at a place ahead of the eye [mm]."""
    design, fold, blade = plan.design, plan.fold, plan.head.fore.part.blade
    stack = fold.halves * design.bar.thickness * left_of_bar(design)
    if plan.bit is not None and not plan.bit.overlaid:
        ends = plan.head.fore.side.edge.foremost - blade.bit.depth
        stack += blade.bit.thickness if place >= ends else 0.0
    if plan.strap.lap:
        stack += plan.strap.wall * max(1.0 - place / plan.strap.lap, 0.0)
    return stack
