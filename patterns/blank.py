"""The forge plan: from the finished head back to the bar.

The bar is three zones long: the poll's block ``P`` in the middle, a raw strap ``l_raw`` on each
side of it, and beyond the shoulders, ``S`` apart, the two halves that become the blade. Each zone
must bring what it becomes and what fire, grinder and shears take on the way:

``P = b + 2 t + overhang``, the width of the head at the eye;
``2 l t = A``, the plan's area ahead of the poll as far as the shoulders, gives the drawn strap
``l``;
``l_raw = l t w / (T W (1 - loss))`` and ``S = P + 2 l_raw``, with ``w`` the strap's mean height;
``L = S + 2 l_half``, the halves by the volume of the blade, less what the bit brings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from . import sources
from .derived import hand_spread, left_of_bar
from .errors import BadInputError, Fault
from .forging import bend, spread
from .forging.density import steel_mass
from .forging.scale import fraction_left
from .forging.shoulder import before_drifting
from .head import Head, finish
from .heat_treatment import doubts_about
from .parameters import Design
from .units import both, fine
from .units import length as shown

# When a doubt is raised, or a word chosen, where no source draws the line: margins of our own.
THIN_WALL, THICK_WALL = 0.35, 0.7
"""Wall over bar, on either side of the half that is usual."""
POLL_SLACK = 0.3
"""What a poll may come out thinner than wanted without a word [mm]."""
POLL_UPSET = 1.25
"""Poll wanted over poll to be had, above which the middle must be upset first: the work stops."""
POLL_WASTE = 0.15
"""Share of the poll's block that may be dressed away without a word."""
NATURAL = 0.1
"""How near the spread needed must be to the spread of drawing to come by itself."""
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


@dataclass(frozen=True)
class Zone:
    """What one zone of the bar was and becomes [mm3]."""

    name: str
    bar: float
    finished: float
    scale: float
    weld: float = 0.0
    grinding: float = 0.0
    trimming: float = 0.0
    dressing: float = 0.0

    @property
    def losses(self) -> float:
        return self.scale + self.weld + self.grinding + self.trimming + self.dressing


@dataclass(frozen=True)
class Strap:
    """One strap between poll and shoulder [mm]."""

    raw_length: float
    drawn_length: float
    divider: float
    wall: float
    drawn_thickness: float
    mean_height: float
    plain_length: float
    shortest: float
    longest: float


@dataclass(frozen=True)
class Spread:
    """What drawing the strap does to its height [mm], and what the ears ask for."""

    coefficient: float
    coefficient_needed: float
    natural_height: float
    bite: float
    verdict: str


@dataclass(frozen=True)
class BitPlan:
    """The bit as cut from its stock and as forged before it is set in [mm]."""

    stock: tuple[float, float]
    cut_length: float
    length: float
    depth: float
    thickness: float
    scarf: float
    tip: float
    insertion: float
    overlap: float


@dataclass(frozen=True)
class Stage:
    """A stage of the work, with the mass of the iron [g] and what to check [mm]."""

    name: str
    mass: float
    checks: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class ForgePlan:
    """All that the patterns are drawn from. Lengths [mm], volumes [mm3]."""

    head: Head
    poll: float
    shoulders: float
    half: float
    cut_length: float
    strap: Strap
    spread: Spread
    bit: BitPlan
    zones: tuple[Zone, ...]
    units: str

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        """The work in order."""
        return _stages(self)

    @cached_property
    def doubts(self) -> tuple[Doubt, ...]:
        """What to think about before the fire is lit; in the plan's units."""
        return tuple(_doubts(self))

    @property
    def design(self) -> Design:
        return self.head.design

    @property
    def stopped(self) -> bool:
        return any(doubt.stops for doubt in self.doubts)


def plan(design: Design, units: str = "in") -> ForgePlan:
    """Plan the bar, the bit and every stage for a head.

    Raises
    ------
    BadInputError
        With every fault of the design; messages in ``units`` (in or mm).
    """
    head = finish(design, units)
    a, bar = design.allowances, design.bar
    left = left_of_bar(design)
    bit_left = fraction_left(a.bit_heats, loss_per_heat=a.scale_per_heat)
    section = bar.thickness * bar.width

    poll = head.plan.poll_width
    block = poll * section
    strap = _strap(head, left)
    half, blade = _blade_zone(head, left)
    bit, bit_zone = _bit(head, bit_left, units)
    walls = head.walls.volume
    spare = block * left - head.poll.volume  # nothing but rounding where the bar sets the poll
    zones = (
        Zone("poll", block, head.poll.volume, block * (1.0 - left),
             dressing=spare if spare > 1e-9 * block else 0.0),
        Zone("walls", walls / left, walls, walls / left - walls),
        blade,
        bit_zone,
    )  # fmt: skip
    shoulders = poll + 2.0 * strap.raw_length
    cut = shoulders + 2.0 * half
    ears = _spread(head, strap)
    return ForgePlan(head, poll, shoulders, half, cut, strap, ears, bit, zones, units)


def _strap(head: Head, left: float) -> Strap:
    design, view = head.design, head.plan
    wall = design.wall.thickness
    hand = design.hand
    drawn = view.drawn_strap(neutral=hand.neutral, offset=hand.wrap)
    shift = drawn - view.wall_area / (2.0 * wall)

    def plain(neutral: float) -> float:
        whole = bend.wrapped_strap(
            perimeter=head.eye.perimeter, cap=view.cap_length, turning=view.turning, wall=wall,
            neutral=neutral,
        )  # fmt: skip
        return (whole - view.poll_width) / 2.0 + hand.wrap

    before = before_drifting(
        length=drawn, thickness=wall, stretch=design.allowances.drift_stretch
    )  # fmt: skip
    radius = head.eye.width / 2.0
    try:
        cold = min(bend.cold_neutral(inside_radius=radius, thickness=wall), hand.neutral)
    except ValueError:  # a tighter bend than the standard speaks of
        cold = hand.neutral
    return Strap(
        raw_length=head.walls.volume / 2.0 / (design.bar.thickness * design.bar.width * left),
        drawn_length=drawn,
        divider=before.length,
        wall=wall,
        drawn_thickness=before.thickness,
        mean_height=head.walls.volume / (2.0 * drawn * wall),
        plain_length=plain(hand.neutral),
        shortest=plain(cold),
        longest=max(drawn, _square_corners(head) / (2.0 * wall) + shift),
    )


def _square_corners(head: Head) -> float:
    """The walls' plan area if the poll's sides were carried square to the eye's widest place."""
    view = head.plan
    side = view.poll_width / 2.0
    empty, x = 0.0, view.eye_back
    for piece in view.skin_wall:
        if piece.y1 < piece.y0 and x > view.eye_back + head.design.poll.sides_forward + 1e-6:
            break
        empty += side * (piece.x1 - piece.x0) - piece.under
        x = piece.x1
    return view.wall_area + 2.0 * max(empty, 0.0)


def _blade_zone(head: Head, left: float) -> tuple[float, Zone]:
    """Length of each half on the bar, and the balance of the two."""
    a, bar, ahead = head.design.allowances, head.design.bar, head.ahead
    finished = head.volumes["blade"]
    grinding = 2.0 * a.grinding * (ahead.area - ahead.bit_area)
    trimming = a.trimming * (ahead.rim - ahead.rim_bit)
    whole, weld = _welded(finished + grinding + trimming, left, a.weld_loss)
    zone = Zone("blade", whole, finished, whole * (1.0 - left), weld, grinding, trimming)
    return whole / 2.0 / (bar.thickness * bar.width), zone


def _welded(forged: float, left: float, loss: float) -> tuple[float, float]:
    """What stock a volume forged and welded wants, and what of it the weld takes [mm3]."""
    before = forged / (1.0 - loss)
    return before / left, before - forged


def _bit(head: Head, left: float, units: str) -> tuple[BitPlan, Zone]:
    design, ahead, edge = head.design, head.ahead, head.fore.side.edge
    bit, a = design.bit, design.allowances
    finished = ahead.bit.volume
    grinding = 2.0 * a.grinding * ahead.bit_area
    # the edge is left as thick as grinding takes it down from, and is trimmed to its curve
    trimming = a.trimming * (ahead.rim_bit + 2.0 * a.grinding * edge.length)
    forged = finished + grinding + trimming
    stock, weld = _welded(forged, left, a.weld_loss)
    length = math.dist(edge.toe, edge.heel)
    depth = bit.scarf + (stock * left / length - bit.scarf * (bit.thickness + bit.tip) / 2.0) / (
        bit.thickness
    )
    if depth < bit.scarf:
        raise BadInputError(
            [
                Fault(
                    "bit.scarf", shown(bit.scarf, units),
                    f"less than the depth of the forged bit, {shown(max(depth, 0.0), units)}",
                    "make the scarf shorter, the bit thinner or the insertion deeper",
                )
            ]
        )  # fmt: skip
    zone = Zone("bit", stock, finished, stock * (1.0 - left), weld, grinding, trimming)
    cut = stock / (bit.stock[0] * bit.stock[1])
    overlap = bit.insertion - bit.thickness / head.fore.part.blade.slope
    return BitPlan(
        bit.stock, cut, length, depth, bit.thickness, bit.scarf, bit.tip, bit.insertion, overlap
    ), zone


def _spread(head: Head, strap: Strap) -> Spread:
    design = head.design
    bar, hand = design.bar, design.hand
    bite, s = hand_spread(bar.width, hand)
    thickness = {"thickness_before": bar.thickness, "thickness_after": strap.wall}
    needed = spread.spread_needed(
        **thickness, width_before=bar.width, width_after=strap.mean_height
    )
    natural = spread.drawn(**thickness, width=bar.width, length=1.0, spread=s).width
    if needed < 0.0:
        verdict = "narrower than the bar: draw the strap in from its edges too"
    elif needed < s - NATURAL:
        verdict = "less than drawing gives: keep dressing the strap's edges"
    elif needed <= s + NATURAL:
        verdict = "comes by itself in drawing"
    else:
        verdict = "more than drawing gives: spread the strap with a peen held along the bar"
    return Spread(s, needed, natural, bite, verdict)


def _stages(plan: ForgePlan) -> tuple[Stage, ...]:
    head, zones, strap, bit = plan.head, plan.zones, plan.strap, plan.bit
    poll, shoulders, cut, half = plan.poll, plan.shoulders, plan.cut_length, plan.half
    body, steel = zones[:3], zones[3]
    bar = steel_mass(sum(z.bar for z in body))
    forged = steel_mass(sum(z.bar - z.scale - z.weld for z in body))
    bit_welded = steel_mass(steel.bar - steel.scale - steel.weld)
    bit_forged = steel_mass(steel.bar - steel.scale)
    design = head.design
    ground = head.mass
    return (
        Stage("bar cut", bar, (("length", cut),)),
        Stage("marked", bar, (("outer face: poll marks apart", poll),
                              ("inner face: shoulder marks apart", shoulders))),
        Stage("straps drawn", bar, (("each strap, poll to shoulder", strap.divider),
                                    ("strap thick", strap.drawn_thickness),
                                    ("over all", poll + 2.0 * (strap.divider + half)))),
        Stage("folded", bar, (("width at the eye", head.plan.form.width + 2.0 * strap.wall),
                              ("eye long", head.eye.length), ("eye wide", head.eye.width))),
        Stage("bit cut", steel_mass(steel.bar), (("length", bit.cut_length),)),
        Stage("bit forged", bit_forged, (("long", bit.length), ("deep", bit.depth),
                                         ("thick", bit.thickness), ("scarf", bit.scarf))),
        Stage("welded and forged", forged + bit_welded,
              (("length", head.length + design.allowances.trimming),)),
        Stage("ground", ground, (("length", head.length), ("edge", head.edge_length))),
    )  # fmt: skip


def _doubts(plan: ForgePlan) -> list[Doubt]:
    head, strap, ears, bit = plan.head, plan.strap, plan.spread, plan.bit
    zones, units, design = plan.zones, plan.units, plan.design
    blade = head.fore.part.blade  # x from the front of the eye
    found: list[Doubt] = []

    def doubt(field: str, message: str, source: object, stops: bool = False) -> None:
        found.append(Doubt(field, message, str(source), stops))

    thinnest, _ = head.wall_range
    least = sources.WALL_LOWEST
    if thinnest < least.inside - 1e-6:
        doubt(
            "wall.thickness",
            f"the wall is {fine(thinnest, units)} at its thinnest: under "
            f"{both(least.inside, units)} it may burn in welding or crack in drifting",
            least,
        )
    share = strap.wall / design.bar.thickness
    if not THIN_WALL <= share <= THICK_WALL:
        doubt(
            "wall.thickness",
            f"the wall is {share:.2f} of the bar's thickness; about half is usual",
            sources.WALL_SHARE,
        )
    left = head.plan.poll_thickness
    if head.poll_wanted > left + POLL_SLACK:
        short = head.poll_wanted > POLL_UPSET * left
        doubt(
            "poll.thickness",
            f"the block leaves a poll {both(left, units)} thick, not "
            f"{both(head.poll_wanted, units)}: the patterns show what it leaves; take a "
            "thicker bar or a lower poll",
            "balance of the poll's volume",
            short,
        )
    if zones[0].dressing > POLL_WASTE * zones[0].bar:
        doubt(
            "poll.thickness",
            f"the block holds {zones[0].dressing / zones[0].bar * 100:.0f} % more metal than this "
            "poll: it must be ground or cut away; a thicker or higher poll would use it",
            "balance of the poll's volume",
        )
    if ears.coefficient_needed > ears.coefficient + PEENED:
        doubt(
            "ears",
            f"the walls want a mean height of {both(strap.mean_height, units)}; drawing with this "
            f"bite gives {both(ears.natural_height, units)}: the rest must be peened",
            sources.SPREAD_CONSTANT,
        )
    if ears.bite != design.hand.bite:
        doubt(
            "hand.bite",
            f"the spread is reckoned for a bite of {both(ears.bite, units)}, the nearest for which "
            "it is known on this bar",
            sources.BITE_SHARE_LEAST,
        )
    hardened = sources.HARDENED_DEPTH
    if bit.insertion < hardened.inside:
        doubt(
            "bit.insertion",
            f"the bit reaches {both(bit.insertion, units)} behind the edge; "
            f"{both(hardened.inside, units)} of hardened steel is asked of axes",
            hardened,
        )
    at_end = float(blade.taper(np.array([head.fore.side.edge.foremost - bit.insertion]))[0])
    if bit.overlap <= 0.0 or at_end <= bit.thickness:
        doubt(
            "bit",
            f"no weld: the body covers the bit over {both(max(bit.overlap, 0.0), units)} and is "
            f"{both(at_end, units)} thick at its end, the bit {both(bit.thickness, units)}; set it "
            "deeper, thin it, or thicken the blade there",
            "geometry of the blade",
            True,
        )
    elif bit.overlap < sources.SCARF_SHARE.value * bit.thickness:
        doubt(
            "bit.insertion",
            f"the body covers the bit over {both(bit.overlap, units)} only; a scarf would be "
            f"{both(sources.SCARF_SHARE.value * bit.thickness, units)}",
            sources.SCARF_SHARE,
        )
    found += [Doubt(*each) for each in doubts_about(design.bit.steel, design.bar.steel, units)]
    low, high = sources.EDGE_ANGLE_LEAST, sources.EDGE_ANGLE_MOST
    if not low.value <= design.blade.edge_angle <= high.value:
        doubt(
            "blade.edge_angle",
            f"an edge of {design.blade.edge_angle:g} degrees lies outside {low.value:g} to "
            f"{high.value:g}",
            low if design.blade.edge_angle < low.value else high,
        )
    ratio = head.mass / (head.length * head.edge_length)
    light, heavy = sources.HEAVINESS_LEAST, sources.HEAVINESS_MOST
    if not light.value <= ratio <= heavy.value:
        doubt(
            "blade",
            f"{head.mass:.0f} g on {both(head.length, units)} of length and "
            f"{both(head.edge_length, units)} of edge is outside what known axes weigh",
            light if ratio < light.value else heavy,
        )
    return found
