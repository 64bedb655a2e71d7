"""The forge plan: from the finished head back to the bar.

The bar of a symmetrical fold is three zones long: what stands behind the eye, ``P`` in the middle,
a raw strap ``l_raw`` on each side of it, and beyond the shoulders, ``S`` apart, the two halves that
become the blade. Each zone must bring what it becomes and what fire, grinder and shears take on the
way:

``P = b + 2 t + overhang``, the width of the head at the eye, where a block is left; by the poll's
volume where two ends are folded shut; nothing where the strap runs through;
``2 l t = A``, the plan's area from the poll as far as the shoulders, gives the drawn strap ``l``;
``l_raw = l t w / (T W (1 - loss))`` and ``S = P + 2 l_raw``, with ``w`` the strap's mean height;
``L = S + 2 l_half``, the halves by the volume of the blade, less what the bit brings.

A one-sided fold has one strap, the tongue, as long as both walls and the lap, and one half, the
body. What differs from fold to fold is asked of :mod:`folds`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from .bar_plan import NATURAL, BarPlan, BitPlan, PlatePlan, Spread, Strap, Zone
from .derived import hand_spread, left_of_bar, poll_height
from .doubts import Doubt, doubts
from .errors import BadInputError, Fault
from .folds import fold_of, is_undrawn
from .forging import bend, spread
from .forging.barbs import barbs
from .forging.scale import fraction_left
from .forging.shoulder import before_drifting
from .head import Head, finish, heights_at
from .parameters import Design
from .stages import Stage, stages
from .thickness import BitSection
from .units import length as shown


@dataclass(frozen=True)
class ForgePlan(BarPlan):
    """All that the patterns are drawn from: the bar's plan with its stages and doubts."""

    def __hash__(self) -> int:
        """Of a few figures: what is kept by the plan is asked for many times, and all of a plan
        takes as long to hash as such a thing takes to find."""
        return hash((self.half, self.shoulders, self.units))

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        """The work in order."""
        return tuple(stages(self))

    @cached_property
    def doubts(self) -> tuple[Doubt, ...]:
        """What to think about before the fire is lit; in the plan's units."""
        return tuple(doubts(self))

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
    head, fold = finish(design, units), fold_of(design)
    a, bar = design.allowances, design.bar
    left = left_of_bar(design)
    steel_left = fraction_left(a.bit_heats, loss_per_heat=a.scale_per_heat)
    section = bar.thickness * bar.width

    poll = _poll_on_bar(head, section * left)
    block = poll * section
    spare = block * left - head.poll.volume  # nothing but rounding where the bar sets the poll
    walls = head.walls.volume
    zones = [
        Zone("poll", block, head.poll.volume, block * (1.0 - left),
             dressing=spare if spare > 1e-9 * block else 0.0),
        Zone("walls", walls / left, walls, walls / left - walls),
    ]  # fmt: skip
    if head.lap:
        whole, weld = _welded(head.lap, left, a.weld_loss)
        zones.append(Zone("lap", whole, head.lap, whole * (1.0 - left), weld))
    strap = _strap(head, sum(zone.bar for zone in zones[1:]) / fold.straps / bar.thickness)
    half, blade = _blade_zone(head, strap, left)
    zones.append(blade)
    bit, plate = None, None
    if head.ahead.bit.volume > 0.0:
        bit, zone = _bit(head, steel_left, units)
        zones.append(zone)
    if head.plate.volume > 0.0:
        plate, zone = _plate(head, steel_left)
        zones.append(zone)
    shoulders = poll + fold.straps * strap.raw_length
    cut = shoulders + fold.halves * half
    ears = _spread(head, strap)
    kept = tuple(zone for zone in zones if zone.bar > 0.0)
    return ForgePlan(head, poll, shoulders, half, cut, strap, ears, bit, plate, kept, units)


def _poll_on_bar(head: Head, section: float) -> float:
    """Length of bar between the straps [mm]: ``section`` is what fire leaves of the bar's [mm2]."""
    match fold_of(head.design).back:
        case "block":
            return head.plan.poll_width
        case "cut":
            return head.poll.volume / section
    return 0.0


def _strap(head: Head, area: float) -> Strap:
    """A strap of so much of the bar's face [mm2]."""
    design, view, fold = head.design, head.plan, fold_of(head.design)
    wall = design.wall.thickness
    hand = design.hand
    sides = 2.0 / fold.straps  # walls that one strap becomes
    lap = design.fold.lap or 0.0
    held = view.poll_width if fold.back == "block" else 0.0  # of the wrap, by the block
    side = view.drawn_strap(neutral=hand.neutral, offset=hand.wrap)
    shift = side - view.wall_area / (2.0 * wall)

    def plain(neutral: float) -> float:
        whole = bend.wrapped_strap(
            perimeter=head.eye.perimeter, cap=view.cap_length + view.rear_length,
            turning=view.turning, wall=wall, neutral=neutral,
        )  # fmt: skip
        return sides * ((whole - held) / 2.0 + hand.wrap) + lap

    before = before_drifting(
        length=sides * side, thickness=wall, stretch=design.allowances.drift_stretch
    )  # fmt: skip
    radius = head.eye.width / 2.0
    try:
        cold = min(bend.cold_neutral(inside_radius=radius, thickness=wall), hand.neutral)
    except ValueError:  # a tighter bend than the standard speaks of
        cold = hand.neutral
    wide = design.bar.width
    if fold.waisted:  # if not told, as wide as need be for a strap that is not drawn longer
        wide = design.fold.waist or area / before.length
    corners = _square_corners(head) if fold.back == "block" else view.wall_area
    return Strap(
        raw_length=area / wide,
        raw_width=wide,
        drawn_length=sides * side + lap,
        divider=before.length + lap,
        wall=wall,
        drawn_thickness=before.thickness,
        mean_height=head.walls.volume / (2.0 * side * wall),
        plain_length=plain(hand.neutral),
        shortest=min(plain(cold), sides * side + lap),
        longest=max(sides * max(side, corners / (2.0 * wall) + shift) + lap, plain(hand.neutral)),
        lap=lap,
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


def _blade_zone(head: Head, strap: Strap, left: float) -> tuple[float, Zone]:
    """Length of each half on the bar, and the balance of the blade.

    A half is as wide as the bar, but tapers to the waist where there is one.
    """
    design, ahead = head.design, head.ahead
    a, bar = design.allowances, design.bar
    finished = head.volumes["blade"]
    grinding = 2.0 * a.grinding * (ahead.area - ahead.bit_area)
    trimming = a.trimming * (ahead.rim - ahead.rim_bit)
    whole, weld = _welded(finished + grinding + trimming, left, a.weld_loss)
    zone = Zone("blade", whole, finished, whole * (1.0 - left), weld, grinding, trimming)
    section = bar.thickness * (strap.raw_width + bar.width) / 2.0
    return whole / fold_of(design).halves / section, zone


def _welded(forged: float, left: float, loss: float) -> tuple[float, float]:
    """What stock a volume forged and welded wants, and what of it the weld takes [mm3]."""
    before = forged / (1.0 - loss)
    return before / left, before - forged


def _bit(head: Head, left: float, units: str) -> tuple[BitPlan, Zone]:
    design, ahead, edge = head.design, head.ahead, head.fore.side.edge
    bit, a, section = design.bit, design.allowances, head.fore.part.blade.bit
    assert bit.stock is not None
    assert bit.thickness is not None
    finished = ahead.bit.volume
    grinding = 2.0 * a.grinding * ahead.bit_area
    # the edge is left as thick as grinding takes it down from, and is trimmed to its curve
    trimming = a.trimming * (ahead.rim_bit + 2.0 * a.grinding * edge.length)
    forged = finished + grinding + trimming
    stock, weld = _welded(forged, left, a.weld_loss)
    length = math.dist(edge.toe, edge.heel)
    back = length
    if fold_of(design).bit_in_front:  # it narrows to what the cheeks are high near its end
        (high,), (low,) = heights_at(head, [head.blade.start])
        back = min(high - low, length)
    depth = _forged_depth(section, stock * left, length, back)
    if depth < section.scarf:
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
    plan = BitPlan(
        stock=bit.stock,
        cut_length=stock / math.prod(bit.stock),
        length=length,
        back=back,
        depth=depth,
        thickness=bit.thickness,
        scarf=bit.scarf,
        tip=bit.tip,
        insertion=section.depth,
        overlap=section.depth - head.fore.part.blade.cover,
        overlaid=section.overlaid,
    )
    if bit.barbs == "raised":
        wide = back + (length - back) * min(plan.barb_row / depth, 1.0)
        plan = replace(plan, barbs=barbs(length=wide, thickness=bit.thickness))
    return plan, zone


def _forged_depth(section: BitSection, volume: float, length: float, back: float) -> float:
    """How deep a bit comes out that is so long at its edge and at its back [mm].

    Its width runs straight from one to the other; at the back its scarf thins it.
    """
    scarf, thick, tip = section.scarf, section.thickness, section.tip
    plain = scarf + (volume / length - scarf * (thick + tip) / 2.0) / thick
    if back == length or plain < scarf:
        return plain

    def lacks(depth: float) -> float:
        root = back + (length - back) * scarf / depth  # width where the scarf begins
        body = thick * (depth - scarf) * (length + root) / 2.0
        wedge = scarf * (2.0 * thick * root + thick * back + tip * root + 2.0 * tip * back) / 6.0
        return volume - body - wedge

    low, high = plain, plain * length / back + scarf
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if lacks(middle) > 0.0 else (low, middle)
    return (low + high) / 2.0


def _plate(head: Head, left: float) -> tuple[PlatePlan, Zone]:
    design, a = head.design, head.design.allowances
    plate, wide, tall = design.plate, head.plan.poll_width, poll_height(head.design)
    assert plate.stock is not None
    assert plate.thickness is not None
    finished = head.plate.volume
    grinding = a.grinding * wide * tall
    trimming = 2.0 * a.trimming * (wide + tall) * plate.thickness
    whole, weld = _welded(finished + grinding + trimming, left, a.weld_loss)
    zone = Zone("plate", whole, finished, whole * (1.0 - left), weld, grinding, trimming)
    cut = whole / math.prod(plate.stock)
    return PlatePlan(plate.stock, cut, plate.thickness, wide, tall, a.trimming, a.grinding), zone


def _spread(head: Head, strap: Strap) -> Spread:
    design, part = head.design, fold_of(head.design).strap
    bar, hand, wide = design.bar, design.hand, strap.raw_width
    bite, s = hand_spread(wide, hand)
    if is_undrawn(design):
        by = "cut to its width and not drawn: raise the ears with a peen"
        return Spread(s, s, wide, bite, by, cut=True)
    narrowed = f"narrower than the {part} was: draw it in from its edges too"
    if strap.wall == bar.thickness:  # of a plate: its waist gains nothing, but is drawn in
        return Spread(s, 0.0, wide, bite, narrowed)
    thickness = {"thickness_before": bar.thickness, "thickness_after": strap.wall}
    needed = spread.spread_needed(**thickness, width_before=wide, width_after=strap.mean_height)
    natural = spread.drawn(**thickness, width=wide, length=1.0, spread=s).width
    if needed < 0.0:
        verdict = narrowed
    elif needed < s - NATURAL:
        verdict = f"less than drawing gives: keep dressing the {part}'s edges"
    elif needed <= s + NATURAL:
        verdict = "comes by itself in drawing"
    else:
        verdict = f"more than drawing gives: spread the {part} with a peen held along the bar"
    return Spread(s, needed, natural, bite, verdict)
