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
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from . import sources
from .derived import hand_spread, left_of_bar, poll_height
from .errors import BadInputError, Fault
from .folds import Fold, fold_of
from .forging import bend, spread
from .forging.barbs import Barbs, barbs
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
WALL_UPSET = 1.25
"""Wall over what the fire leaves of the bar's thickness, above which it cannot be had."""
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
    """One strap between poll and shoulder [mm].

    ``drawn_length`` is finished, ``divider`` before the drift stretches it; both hold the ``lap``
    of a tongue, whose scarf runs out from the wall's thickness to nothing.
    """

    raw_length: float
    raw_width: float
    drawn_length: float
    divider: float
    wall: float
    drawn_thickness: float
    mean_height: float
    plain_length: float
    shortest: float
    longest: float
    lap: float = 0.0


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
    """The bit as cut from its stock and as forged before it is set in [mm].

    Thickness and tip are of one leg where it is overlaid; its ``depth`` too, so that it is forged
    twice as wide, flat, and folded along its middle.
    """

    stock: tuple[float, float]
    cut_length: float
    length: float
    depth: float
    thickness: float
    scarf: float
    tip: float
    insertion: float
    overlap: float
    overlaid: bool
    barbs: Barbs | None

    @property
    def barb_row(self) -> float:
        """How far from the bit's back its barbs stand [mm]: in the middle of what the body covers
        of its full thickness, or of what it covers at all."""
        return (self.overlap + (self.scarf if self.overlap > self.scarf else 0.0)) / 2.0


@dataclass(frozen=True)
class PlatePlan:
    """The plate of the poll, as cut and as ground [mm]."""

    stock: tuple[float, float]
    cut_length: float
    thickness: float
    width: float
    height: float


@dataclass(frozen=True)
class Mark:
    """A mark across one face of the bar, ``x`` [mm] from its datum.

    ``kind`` is what it is for: *poll* and *shoulder* are the ends of a strap, *cut* is where the
    back is cut.
    """

    face: str
    kind: str
    x: float


@dataclass(frozen=True)
class Part:
    """A stretch of the bar [mm]: *half*, *strap* or *poll*."""

    kind: str
    start: float
    end: float

    @property
    def length(self) -> float:
        return self.end - self.start


@dataclass(frozen=True)
class Stage:
    """A stage of the work, with the mass of the iron [g] and what to check [mm]."""

    name: str
    mass: float
    checks: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class ForgePlan:
    """All that the patterns are drawn from. Lengths [mm], volumes [mm3].

    ``poll`` is the bar between the straps, ``shoulders`` that and the raw straps together, ``half``
    the length of each half.
    """

    head: Head
    poll: float
    shoulders: float
    half: float
    cut_length: float
    strap: Strap
    spread: Spread
    bit: BitPlan | None
    plate: PlatePlan | None
    zones: tuple[Zone, ...]
    units: str

    @property
    def fold(self) -> Fold:
        return fold_of(self.design)

    @cached_property
    def marks(self) -> tuple[Mark, ...]:
        """Every mark. The datum is the middle of the bar, or the body's end if the fold has one."""
        if self.fold.halves == 1:
            return (Mark("inner", "shoulder", self.half),)
        shoulders = [Mark("inner", "shoulder", x) for x in _either_side(self.shoulders)]
        match self.fold.back:
            case "block":
                return (*(Mark("outer", "poll", x) for x in _either_side(self.poll)), *shoulders)
            case "cut":
                steps = (Mark("inner", "poll", x) for x in _either_side(self.poll))
                return (Mark("outer", "cut", 0.0), *steps, *shoulders)
        return tuple(shoulders)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The bar from end to end as it is marked."""
        return self._laid(self.strap.raw_length)

    @cached_property
    def drawn_parts(self) -> tuple[Part, ...]:
        """The bar from end to end when its straps are drawn."""
        return self._laid(self.strap.divider)

    @property
    def drawn_over_all(self) -> float:
        """Length of the bar with its straps drawn [mm]."""
        return self.drawn_parts[-1].end - self.drawn_parts[0].start

    def _laid(self, strap: float) -> tuple[Part, ...]:
        if self.fold.halves == 1:
            return Part("half", 0.0, self.half), Part("strap", self.half, self.half + strap)
        poll = self.poll / 2.0
        end = poll + strap
        middle = (Part("poll", -poll, poll),) if self.poll else ()
        return (
            Part("half", -end - self.half, -end), Part("strap", -end, -poll), *middle,
            Part("strap", poll, end), Part("half", end, end + self.half),
        )  # fmt: skip

    def zone(self, name: str) -> Zone:
        """The zone of a name; raises :class:`KeyError` if the head has none."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        """The work in order."""
        return tuple(_stages(self))

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


def _either_side(width: float) -> tuple[float, float]:
    return -width / 2.0, width / 2.0


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
    across = stock * left / length - section.scarf * (section.thickness + section.tip) / 2.0
    depth = section.scarf + across / section.thickness
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
    raised = bit.barbs == "raised"
    return BitPlan(
        stock=bit.stock,
        cut_length=stock / math.prod(bit.stock),
        length=length,
        depth=depth,
        thickness=bit.thickness,
        scarf=bit.scarf,
        tip=bit.tip,
        insertion=section.depth,
        overlap=section.depth - head.fore.part.blade.cover,
        overlaid=section.overlaid,
        barbs=barbs(length=length, thickness=bit.thickness) if raised else None,
    ), zone


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
    return PlatePlan(plate.stock, cut, plate.thickness, wide, tall), zone


def _spread(head: Head, strap: Strap) -> Spread:
    design = head.design
    bar, hand, wide = design.bar, design.hand, strap.raw_width
    bite, s = hand_spread(wide, hand)
    if fold_of(design).waisted and design.fold.waist is None:
        by = "cut to its width and not drawn: raise the ears with a peen"
        return Spread(s, s, wide, bite, by)
    thickness = {"thickness_before": bar.thickness, "thickness_after": strap.wall}
    needed = spread.spread_needed(**thickness, width_before=wide, width_after=strap.mean_height)
    natural = spread.drawn(**thickness, width=wide, length=1.0, spread=s).width
    if needed < 0.0:
        verdict = "narrower than the bar: draw the strap in from its edges too"
    elif needed < s - NATURAL:
        verdict = "less than drawing gives: keep dressing the strap's edges"
    elif needed <= s + NATURAL:
        verdict = "comes by itself in drawing"
    else:
        verdict = "more than drawing gives: spread the strap with a peen held along the bar"
    return Spread(s, needed, natural, bite, verdict)


def _stages(plan: ForgePlan) -> Iterator[Stage]:
    head, strap, bit, plate, fold = plan.head, plan.strap, plan.bit, plan.plate, plan.fold
    design = plan.design
    steels = [zone for zone in plan.zones if zone.name in ("bit", "plate")]
    body = [zone for zone in plan.zones if zone not in steels]
    bar = steel_mass(sum(z.bar for z in body))
    forged = steel_mass(sum(z.bar - z.scale - z.weld for z in plan.zones))
    start = "poll" if plan.poll else "centre"
    yield Stage("bar cut", bar, (("length", plan.cut_length),))
    yield Stage("marked", bar, tuple(_mark_checks(plan)))
    drawn = [(f"each strap, {start} to shoulder", strap.divider)]
    if fold.halves == 1:
        drawn = [("tongue, shoulder to end", strap.divider), ("scarf of the lap", strap.lap)]
    yield Stage("straps drawn", bar, (*drawn, ("strap thick", strap.drawn_thickness),
                                      ("over all", plan.drawn_over_all)))  # fmt: skip
    yield Stage(
        "folded",
        bar,
        (
            ("width at the eye", head.plan.form.width + 2.0 * strap.wall),
            ("eye long", head.eye.length),
            ("eye wide", head.eye.width),
        ),
    )
    if bit is not None:
        zone = plan.zone("bit")
        yield Stage("bit cut", steel_mass(zone.bar), (("length", bit.cut_length),))
        wide = (("wide, flat", 2.0 * bit.depth),) if bit.overlaid else (("deep", bit.depth),)
        yield Stage(
            "bit forged",
            steel_mass(zone.bar - zone.scale),
            (("long", bit.length), *wide, ("thick", bit.thickness), ("scarf", bit.scarf)),
        )
    if plate is not None:
        yield Stage(
            "plate cut", steel_mass(plan.zone("plate").bar), (("length", plate.cut_length),)
        )
    yield Stage("welded and forged", forged,
                (("length", head.length + design.allowances.trimming),))  # fmt: skip
    yield Stage("ground", head.mass, (("length", head.length), ("edge", head.edge_length)))


def _mark_checks(plan: ForgePlan) -> Iterator[tuple[str, float]]:
    """The figures of the marks: two that stand even about the middle are one width."""
    if plan.fold.halves == 1:
        yield "inner face: shoulder mark from the body's end", plan.half
        return
    for face in ("outer", "inner"):
        for kind, width in (("cut", 0.0), ("poll", plan.poll), ("shoulder", plan.shoulders)):
            if any(mark.face == face and mark.kind == kind for mark in plan.marks):
                if kind == "cut":
                    deep = plan.design.bar.thickness - plan.design.fold.hinge
                    yield f"{face} face: cut across the middle, deep", deep
                else:
                    yield f"{face} face: {kind} marks apart", width


def _doubts(plan: ForgePlan) -> Iterator[Doubt]:
    yield from _doubts_of_walls(plan)
    yield from _doubts_of_the_poll(plan)
    yield from _doubts_of_the_strap(plan)
    if plan.bit is not None:
        yield from _doubts_of_the_bit(plan, plan.bit)
    yield from _doubts_of_steels(plan)
    yield from _doubts_of_the_blade(plan)


def _doubts_of_walls(plan: ForgePlan) -> Iterator[Doubt]:
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
    if strap.drawn_thickness > left:
        yield Doubt(
            "wall.thickness",
            f"the fire leaves {fine(left, units)} of the bar, less than a wall of "
            f"{fine(strap.drawn_thickness, units)}",
            "balance of the walls' volume",
            strap.drawn_thickness > WALL_UPSET * left,
        )


def _doubts_of_the_poll(plan: ForgePlan) -> Iterator[Doubt]:
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


def _doubts_of_the_strap(plan: ForgePlan) -> Iterator[Doubt]:
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


def _doubts_of_the_bit(plan: ForgePlan, bit: BitPlan) -> Iterator[Doubt]:
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
    gap = head.fore.side.edge.foremost - bit.insertion
    if plan.fold.bit_in_front and gap > IN_FRONT * head.eye.length:
        yield Doubt(
            "bit.insertion",
            f"the bit ends {both(gap, units)} ahead of the eye, whose front its back is reckoned "
            "to close: set it deeper",
            "geometry of the blade",
        )


def _doubts_of_steels(plan: ForgePlan) -> Iterator[Doubt]:
    design, units = plan.design, plan.units
    body, found = design.bar.steel, []
    if plan.bit is not None:
        found += doubts_about(design.bit.steel, body, units)
    elif design.bit.form == "none":
        found += doubts_about(body, None, units, "bar.steel")
    if plan.plate is not None:
        found += doubts_about(design.plate.steel, body, units, "plate.steel")
    yield from (Doubt(*each) for each in dict.fromkeys(found))


def _doubts_of_the_blade(plan: ForgePlan) -> Iterator[Doubt]:
    head, units, angle = plan.head, plan.units, plan.design.blade.edge_angle
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
