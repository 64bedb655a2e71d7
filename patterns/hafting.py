"""The handle that a head is hung on: tongue, kerf and wedge, shoulder, outline.

x runs ahead from the handle's line and y up it from the middle of the eye, as in :mod:`hang`; z
runs across. Every section is symmetrical about z = 0, as the eye is.

A handle goes in from below and is wedged on top. So its *tongue* is at each height no larger than
the narrowest of the eye on the way up to it; where the eye is wider on top a wedge fills what is
left. Where the eye is round and wider on top the head slips on over the handle's other end
instead, and the handle's own taper holds it: the same rule, from above, and no wedge.

Below the shoulder the outline follows a line, straight or curved, with a depth (front to back) and
a width (across) at each height. Both are polynomials from place to place whose slopes agree where
they meet; they are laid down as tangent arcs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise

from . import sources
from .contour import Contour, Piece, Point
from .curves import laid
from .derived import eye_heights
from .hang import touching
from .head import Head, grown
from .outline import Edge
from .parameters import Design

FIT = 0.0
"""Play between tongue and eye [mm]: none. Wood is rasped until it drives in, and what is off the
steel rattles; so the pattern is the eye's own section."""

SHOULDER_GAP = (sources.SHOULDER_GAP_LEAST.inside + sources.SHOULDER_GAP_MOST.inside) / 2.0
"""From the bottom of the eye to the shoulder [mm], half-way between the limits of the source."""

SHOULDER_STEP = 3.175
"""How far the shoulder stands out of the tongue all round [mm], 1/8 in, and the radius of the
hollow above it: ours. So the hollow begins no nearer to the head than the least gap."""

WEDGE_SHORT = 0.9
"""How deep the wedge goes, as a share of the kerf's depth: ours, so that it does not bottom out."""

WEDGE_TIP = 0.5
"""Thin end of the wedge as a share of the kerf: ours, so that it starts by itself."""

WEDGE_SPARE = 12.7
"""What of the wedge stands out of the eye to be struck [mm], 1/2 in: ours; it is sawn off."""

SQUEEZE = 0.1
"""How much the wedge squeezes the wood, as a share of the eye's width on top: ours."""

WIDEST_KERF = 1.0 / 3.0
"""Of the tongue's width at its narrowest, at the most: ours; only the slimmest eyes come near."""

THICKEST_WEDGE = 0.8
"""Of the eye's width on top, at the most: ours; only the slimmest eyes come near."""

END_RADIUS = 6.35
"""Rounding of the handle's end [mm], 1/4 in, or a quarter of what is there: ours."""

END_WIDER = 1.1
"""Width across the swell over the width across the grip: ours."""

SLIMMEST, THICKEST = 0.6, 1.6
"""Limits of the width across the grip, as shares of the eye's width: ours."""

BOW = 0.8
"""How much of the slope that the grain allows the bow back takes up: ours; the rest, and more, is
there for the way forward to the grip."""

_STEEPEST = 1.875
"""Steepest slope of :func:`_eased` over its mean."""

_BLEND = 25.0
"""Over which a handle that slips on loses the lean of its eye [mm], at the most."""


def slips_on(design: Design) -> bool:
    """Whether the handle goes in from above and holds by its own taper: a round eye, wider on
    top, as common practice has it."""
    return design.eye.form == "circle" and design.eye.taper > 0.0


# Tongue ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Tongue:
    """What of the handle is in the eye and stands out of it on top.

    ``eye`` is the eye's middle section with its middle at the origin; ``knots`` are heights and how
    far the tongue's sides stand out of that section there, linear between. ``proud`` is how far it
    stands out on top [mm].
    """

    eye: Contour
    knots: tuple[Point, ...]
    proud: float

    @property
    def bottom(self) -> float:
        """Height of the eye's bottom [mm]."""
        return self.knots[0][0]

    @property
    def above(self) -> float:
        """Height of the eye's top [mm]."""
        return self.knots[-1][0]

    def offset(self, y: float) -> float:
        """How far the tongue stands out of the eye's middle section at a height [mm]; it runs on
        plumb below the eye and above it."""
        return _between(self.knots, y)

    def section(self, y: float) -> Contour:
        """The tongue's section at a height."""
        return grown(self.eye, self.offset(y))

    def length(self, y: float) -> float:
        """From back to front [mm]."""
        return self.eye.bounds.width + 2.0 * self.offset(y)

    def width(self, y: float) -> float:
        """Across [mm]."""
        return self.eye.bounds.height + 2.0 * self.offset(y)


def _between(knots: Sequence[Point], y: float) -> float:
    """A broken line at a place; level beyond its ends."""
    if y <= knots[0][0]:
        return knots[0][1]
    for (a, u), (b, v) in pairwise(knots):
        if y <= b:
            return u + (v - u) * (y - a) / (b - a)
    return knots[-1][1]


def _least_so_far(knots: Sequence[Point]) -> list[Point]:
    """The least that a broken line has had on its way up to each place, as a broken line.

    >>> _least_so_far([(-4.0, 2.0), (0.0, 0.0), (5.0, 1.0)])
    [(-4.0, 2.0), (0.0, 0.0), (5.0, 0.0)]
    >>> _least_so_far([(-4.0, 1.0), (0.0, 3.0), (4.0, -1.0)])
    [(-4.0, 1.0), (0.0, 1.0), (2.0, 1.0), (4.0, -1.0)]
    """
    found = [knots[0]]
    for (a, u), (b, v) in pairwise(knots):
        least = found[-1][1]
        if v < least < u:
            found.append((a + (b - a) * (u - least) / (u - v), least))
        found.append((b, min(v, least)))
    return found


def _tongue(head: Head) -> Tongue:
    above, below = eye_heights(head.design)
    knots = [(y, head.eye_offset(y)) for y in (-below, 0.0, above)]
    if slips_on(head.design):  # the same from above
        turned = _least_so_far([(-y, by) for y, by in reversed(knots)])
        least = [(-y, by) for y, by in reversed(turned)]
    else:
        least = _least_so_far(knots)
    fitted = tuple((y, by - FIT) for y, by in least)
    eye = head.eye.contour.moved(-head.eye.length / 2.0, 0.0)
    return Tongue(eye, fitted, sources.HANDLE_PROUD.inside)


# Kerf and wedge ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Kerf:
    """The saw cut for the wedge, along the eye's length: its width and how far below the top of
    the eye it ends [mm]."""

    width: float
    depth: float


@dataclass(frozen=True)
class Wedge:
    """The wedge, as cut and as it lies in the eye when it is home. Lengths [mm].

    ``depth`` of it goes into the eye and ``spare`` stands out. ``tip`` and ``thick`` are its
    thickness at the thin end and where the top of the eye comes; ``room``, ``kerf`` and ``squeeze``
    are what the latter is the sum of, unless the eye is so slim that it is held to less. ``back``
    and ``front`` are its edges, from the handle's line.
    """

    depth: float
    spare: float
    tip: float
    thick: float
    room: float
    squeeze: float
    back: float
    front: float

    @property
    def length(self) -> float:
        """From end to end, as cut."""
        return self.depth + self.spare

    @property
    def width(self) -> float:
        """From edge to edge: front to back in the eye."""
        return self.front - self.back

    @property
    def slope(self) -> float:
        """How much it thickens along each millimetre."""
        return (self.thick - self.tip) / self.depth

    @property
    def butt(self) -> float:
        """Thickness at the end that is struck, as cut."""
        return self.thick + self.slope * self.spare

    @property
    def angle(self) -> float:
        """Between its faces [rad]."""
        return 2.0 * math.atan(self.slope / 2.0)

    def at(self, down: float) -> float:
        """Thickness at a depth below the top of the eye, when it is home."""
        return self.thick - self.slope * down


def _kerf(tongue: Tongue) -> Kerf:
    narrowest = min(tongue.width(y) for y, _ in tongue.knots)
    return Kerf(
        min(sources.SAW_KERF.inside, WIDEST_KERF * narrowest),
        sources.KERF_DEPTH.value * (tongue.above - tongue.bottom),
    )


def _wedge(head: Head, tongue: Tongue, kerf: Kerf) -> Wedge:
    broad = head.eye.width + 2.0 * head.eye_offset(tongue.above)
    room, squeeze = head.wedge_room, SQUEEZE * broad
    made = Wedge(
        depth=WEDGE_SHORT * kerf.depth,
        spare=WEDGE_SPARE,
        tip=WEDGE_TIP * kerf.width,
        thick=min(room + kerf.width + squeeze, THICKEST_WEDGE * broad),
        room=room,
        squeeze=squeeze,
        back=0.0,
        front=0.0,
    )
    # a wedge as broad as the eye is long has its corners in the steel where the eye is rounded:
    # it ends where the eye is as wide as it is thick. Eye and wedge are straight-sided solids
    # between these heights, and convex, so what lies inside at the heights lies inside
    tip = tongue.above - made.depth
    heights = [tip, *(y for y in (0.0,) if y > tip), tongue.above]
    ends = [
        _chord(grown(tongue.eye, head.eye_offset(y)), made.at(tongue.above - y) / 2.0)
        for y in heights
    ]
    return replace(made, back=max(a for a, _ in ends), front=min(b for _, b in ends))


def _chord(section: Contour, z: float) -> tuple[float, float]:
    """Where a level line at z enters and leaves a convex section [mm]."""
    places = []
    for p in section.pieces:
        mirrored = Piece(p.y0, p.x0, p.y1, p.x1, -p.bulge)  # in the diagonal: z becomes x
        places += [p.at(share)[0] for share in mirrored.shares_at_x(z)]
        if abs(p.y0 - z) < 1e-9:
            places.append(p.x0)
    return min(places), max(places)


# Profiles ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Run:
    """A polynomial between two heights, by its coefficients from the constant on, of the share of
    the way up."""

    low: float
    high: float
    coefficients: tuple[float, ...]

    def at(self, y: float) -> float:
        share, value = (y - self.low) / (self.high - self.low), 0.0
        for c in reversed(self.coefficients):
            value = value * share + c
        return value

    def slope(self, y: float) -> float:
        share, value = (y - self.low) / (self.high - self.low), 0.0
        for power in range(len(self.coefficients) - 1, 0, -1):
            value = value * share + power * self.coefficients[power]
        return value / (self.high - self.low)


@dataclass(frozen=True)
class Profile:
    """A measure at each height between the handle's end and its shoulder, run by run upwards."""

    runs: tuple[Run, ...]

    def _run(self, y: float) -> Run:
        return next((run for run in self.runs if y <= run.high), self.runs[-1])

    def at(self, y: float) -> float:
        return self._run(y).at(y)

    def slope(self, y: float) -> float:
        return self._run(y).slope(y)


def _level(low: float, high: float, value: float) -> Run:
    return Run(low, high, (value,))


def _eased(low: float, high: float, start: float, end: float) -> Run:
    """From one value to another, setting out and arriving level and without curvature."""
    rise = end - start
    return Run(low, high, (start, 0.0, 0.0, 10.0 * rise, -15.0 * rise, 6.0 * rise))


def _grown(low: float, high: float, start: float, end: float) -> Run:
    """From one value to another, setting out level and without curvature, steepest at the end."""
    return Run(low, high, (start, 0.0, 0.0, end - start))


# Outline -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Shoulder:
    """Where the handle widens below the head: its height, the gap from the eye's bottom down to it,
    and how long and wide it is there [mm]."""

    y: float
    gap: float
    length: float
    width: float


@dataclass(frozen=True)
class Station:
    """The handle at a height: how far down from the eye's top, how far it reaches ahead of the
    handle's line and behind it, and its width [mm]."""

    down: float
    ahead: float
    behind: float
    width: float

    @property
    def depth(self) -> float:
        """From front to back."""
        return self.ahead + self.behind


@dataclass(frozen=True)
class Shaft:
    """The handle below the eye, and its whole outline.

    ``line`` is how far the handle's own line lies ahead of the plumb line through the eye's middle,
    ``depth`` and ``width`` its measures, from the swell at ``swell`` up to ``start``. ``share`` is
    the mean of its section over the section in the eye; ``asked`` what the design wants. ``touch``
    is where the edge touches a table on which the handle's end rests, as a share from the heel.
    ``held`` is the depth at the end that was asked for, where the eye passes no such depth.
    """

    tongue: Tongue
    shoulder: Shoulder | None
    line: Profile
    depth: Profile
    width: Profile
    end: float
    swell: float
    start: float
    radius: float
    share: float
    asked: float
    touch: float
    held: float | None

    @property
    def length(self) -> float:
        """From the top of the eye to the end [mm]."""
        return self.tongue.above - self.end

    @property
    def end_ahead(self) -> float:
        """How far the end's middle lies ahead of the line through the eye's middle [mm]."""
        return self.line.at(self.swell)

    @property
    def bow(self) -> float:
        """How far the handle's line bows back, at the most [mm]."""
        return max(0.0, *(-self.line.at(run.low) for run in self.line.runs))

    @property
    def steepest(self) -> float:
        """The steepest slope of the handle's line against the straight one."""
        return max(_STEEPEST * abs(r.at(r.high) - r.at(r.low)) / (r.high - r.low)
                   for r in self.line.runs)  # fmt: skip

    @property
    def slimmest(self) -> float:
        """Height of the slimmest place, in the grip [mm]."""
        return self.depth.runs[0].high

    def station(self, down: float) -> Station:
        """The handle at a way down from the eye's top, between shoulder and swell [mm]."""
        y = self.tongue.above - down
        half, line = self.depth.at(y) / 2.0, self.line.at(y)
        return Station(down, half + line, half - line, self.width.at(y))

    def stations(self, pitch: float, clear: float = 0.0) -> tuple[Station, ...]:
        """Start, swell and every multiple of ``pitch`` between that is ``clear`` of both."""
        first, last = self.tongue.above - self.start, self.tongue.above - self.swell
        steps = [k * pitch for k in range(math.ceil(first / pitch), math.floor(last / pitch) + 1)]
        kept = [d for d in steps if first + clear < d < last - clear]
        return tuple(self.station(d) for d in (first, *kept, last))

    @cached_property
    def side(self) -> Contour:
        """The outline from the side: the edge would be to the right."""
        return self._outline(self.depth, self.line, self.tongue.length)

    @cached_property
    def front(self) -> Contour:
        """The outline from the front."""
        straight = Profile((_level(self.swell, self.start, 0.0),))
        return self._outline(self.width, straight, self.tongue.width)

    def _outline(
        self, size: Profile, line: Profile, tongue: Callable[[float], float]
    ) -> Contour:  # fmt: skip
        """Closed, counter-clockwise, from the left of the end."""
        flanks = [self._flank(size, line, tongue, side) for side in (1.0, -1.0)]
        right, left = flanks[0], [piece.backwards() for piece in reversed(flanks[1])]
        top, foot = (right[-1], left[0]), (left[-1], right[0])
        across = [Piece(a.x1, a.y1, b.x0, b.y0) for a, b in (foot, top)]
        return Contour.of_pieces([across[0], *right, across[1], *left])

    def _flank(
        self, size: Profile, line: Profile, tongue: Callable[[float], float], side: float
    ) -> list[Piece]:  # fmt: skip
        """One side, from the end up to the top."""
        quarter, r = side * math.tan(math.pi / 8.0), self.radius

        def x(y: float) -> float:
            return line.at(y) + side * size.at(y) / 2.0

        edge = x(self.swell)
        pieces = [Piece(edge - side * r, self.end, edge, self.swell, quarter)]
        breaks = sorted({y for p in (size, line) for run in p.runs for y in (run.low, run.high)})
        for low, high in pairwise(breaks):
            if high - low > 1e-9:
                pieces += laid(_curve(size, line, side, low, high))
        return pieces + _neck(self.tongue, self.shoulder, tongue, side)


def _neck(
    tongue: Tongue, shoulder: Shoulder | None, size: Callable[[float], float], side: float
) -> list[Piece]:  # fmt: skip
    """One side of the tongue, from the shoulder's corner or the eye's bottom up to the top."""
    half, pieces = side * size(tongue.bottom) / 2.0, list[Piece]()
    if shoulder is not None:
        hollow = shoulder.y + SHOULDER_STEP
        turn = -side * math.tan(math.pi / 8.0)
        pieces.append(Piece(half + side * SHOULDER_STEP, shoulder.y, half, hollow, turn))
        pieces.append(Piece(half, hollow, half, tongue.bottom))
    heights = [y for y, _ in tongue.knots]
    heights.append(tongue.above + tongue.proud)
    for low, high in pairwise(heights):
        pieces.append(Piece(side * size(low) / 2.0, low, side * size(high) / 2.0, high))
    return pieces


def _curve(
    size: Profile, line: Profile, side: float, low: float, high: float
) -> Callable[[float], tuple[float, float, float]]:
    """One side between two heights where no run ends, as a curve with its direction."""
    middle = (low + high) / 2.0
    wide, along = size._run(middle), line._run(middle)

    def at(share: float) -> tuple[float, float, float]:
        y = low + (high - low) * share
        slope = along.slope(y) + side * wide.slope(y) / 2.0
        return along.at(y) + side * wide.at(y) / 2.0, y, math.atan2(1.0, slope)

    return at


def _shaft(head: Head, tongue: Tongue, shoulder: Shoulder | None) -> Shaft | None:
    handle = head.design.handle
    if handle.length is None:
        return None
    end = tongue.above - handle.length
    wanted = head.eye.length if handle.depth is None else handle.depth
    deep, held = wanted, None
    if shoulder is None:
        deep = min(wanted, tongue.length(tongue.bottom))
        held = handle.depth if handle.depth is not None and handle.depth > deep else None
    start = tongue.bottom if shoulder is None else shoulder.y
    grip = end + min(handle.grip, (start - end) / 2.0)
    make = _slipped if shoulder is None else _shouldered
    ask = head.eye.length * head.eye.width * handle.share * (tongue.bottom - end)
    radius = 0.0

    def made(fullness: float) -> tuple[Profile, Profile]:
        nonlocal radius
        # the end's rounding depends on what is there, which does not depend on the rounding
        slim = make(head, tongue, shoulder, fullness, deep, end, grip)
        radius = min(END_RADIUS, deep / 4.0, slim[1].runs[0].at(end) / 4.0, (grip - end) / 4.0)
        return make(head, tongue, shoulder, fullness, deep, end + radius, grip)

    low, high = -1.0, 2.0
    for _ in range(50):  # the section grows with the fullness all along
        middle = (low + high) / 2.0
        if _volume(tongue, shoulder, end, *made(middle)) < ask:
            low = middle
        else:
            high = middle
    depth, width = made((low + high) / 2.0)
    volume = _volume(tongue, shoulder, end, depth, width)
    swell = end + radius
    curved = handle.form == "curved" and shoulder is not None
    line = (
        _curved(head, end, deep, swell, grip, start)
        if curved
        else Profile((_level(swell, start, 0.0),))
    )
    foot = (line.at(swell) + deep / 2.0, end)
    return Shaft(
        tongue=tongue, shoulder=shoulder, line=line, depth=depth, width=width, end=end,
        swell=swell, start=start, radius=radius, share=handle.share * volume / ask,
        asked=handle.share, touch=touching(_edge(head), foot), held=held,
    )  # fmt: skip


def _edge(head: Head) -> Edge:
    """The edge as it lies from the handle's line."""
    return head.side.edge.moved(-head.eye_centre)


def _shouldered(
    head: Head, tongue: Tongue, shoulder: Shoulder | None, fullness: float, deep: float,
    swell: float, grip: float,
) -> tuple[Profile, Profile]:  # fmt: skip
    """Depth and width of a handle with a shoulder.

    As ``fullness`` goes from 0 to 1 the grip's depth goes from the least that the growth towards
    the head allows to as deep as the shoulder, the width staying that of the eye; below 0 the width
    is less, above 1 it is more.
    """
    assert shoulder is not None
    least = 1.0 / sources.HANDLE_GROWTH.value
    slim = shoulder.length * (least + (1.0 - least) * min(max(fullness, 0.0), 1.0))
    across = 1.0
    if fullness < 0.0:
        across += fullness * (1.0 - SLIMMEST)
    elif fullness > 1.0:
        across += (fullness - 1.0) * (THICKEST - 1.0)
    wide = across * head.eye.width
    depth = _eased(swell, grip, deep, slim), _grown(grip, shoulder.y, slim, shoulder.length)
    width = (
        _eased(swell, grip, END_WIDER * wide, wide),
        _grown(grip, shoulder.y, wide, shoulder.width),
    )
    return Profile(depth), Profile(width)


def _slipped(
    head: Head, tongue: Tongue, shoulder: Shoulder | None, fullness: float, deep: float,
    swell: float, grip: float,
) -> tuple[Profile, Profile]:  # fmt: skip
    """Depth and width of a round handle over which the head slips: nowhere more than the eye's
    bottom passes, and without a kink where it comes out of the eye."""
    bottom = tongue.bottom
    (low, first), (high, second) = tongue.knots[:2]
    lean = 2.0 * (second - first) / (high - low)
    size = tongue.length(bottom)
    ease = min(_BLEND, (bottom - grip) / 2.0, 0.3 * size / lean if lean > 0.0 else math.inf)
    under = size - lean * ease / 2.0
    least = 1.0 / sources.HANDLE_GROWTH.value
    thin = under * (least + (1.0 - least) * (fullness + 1.0) / 3.0)
    profile = Profile(
        (
            _eased(swell, grip, deep, thin),
            _eased(grip, bottom - ease, thin, under),
            Run(bottom - ease, bottom, (under, 0.0, lean * ease / 2.0)),
        )
    )
    return profile, profile


def _volume(
    tongue: Tongue, shoulder: Shoulder | None, end: float, depth: Profile, width: Profile
) -> float:  # fmt: skip
    """Depth times width, summed from the handle's end to the eye's bottom [mm3].

    Two nodes of Simpson's rule for each part are enough for products of the profiles' powers at
    this step; the roundings of end and shoulder count as if square.
    """
    total = 0.0
    for run in depth.runs:
        for i in range(8):
            a = run.low + (run.high - run.low) * i / 8.0
            b = run.low + (run.high - run.low) * (i + 1) / 8.0
            ends = [run.at(y) * width.at(y) for y in (a, (a + b) / 2.0, b)]
            total += (b - a) / 6.0 * (ends[0] + 4.0 * ends[1] + ends[2])
    swell, start = depth.runs[0].low, depth.runs[-1].high
    total += (swell - end) * depth.at(swell) * width.at(swell)
    neck = tongue.length(tongue.bottom) * tongue.width(tongue.bottom)
    return total + (tongue.bottom - start) * neck


def _curved(
    head: Head, end: float, deep: float, swell: float, grip: float, start: float
) -> Profile:  # fmt: skip
    """The line of a curved handle: from the shoulder back to a bow, and forward to the end.

    Nowhere steeper than the grain may run across; the end lies where the edge touches a table at
    the place that the hang wants, or as near to it as that slope allows.
    """
    turn = (start + grip) / 2.0
    rise = sources.CROSS_GRAIN.value / _STEEPEST
    back = -BOW * rise * (start - turn)
    edge, third = _edge(head), sources.TOUCH_SHARE.value

    def off(ahead: float) -> float:
        return touching(edge, (ahead + deep / 2.0, end)) - third

    low, high = back, back + rise * (turn - swell)
    if off(low) * off(high) >= 0.0:
        ahead = min((low, high), key=lambda place: abs(off(place)))
    else:
        way = 1.0 if off(high) > 0.0 else -1.0
        for _ in range(60):
            middle = (low + high) / 2.0
            low, high = (low, middle) if way * off(middle) > 0.0 else (middle, high)
        ahead = (low + high) / 2.0
    return Profile((_eased(swell, turn, ahead, back), _eased(turn, start, back, 0.0)))


# All of it ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Hafting:
    """The handle of a head. ``kerf``, ``wedge`` and ``shoulder`` are None where the head slips on
    from the other end, ``shaft`` where the design gives no length."""

    slips_on: bool
    tongue: Tongue
    kerf: Kerf | None
    wedge: Wedge | None
    shoulder: Shoulder | None
    shaft: Shaft | None

    def neck(self, front: bool) -> Contour:
        """The tongue's outline from the side, or from the ``front``: open, from the shoulder's
        right corner over the top to its left one."""
        size = self.tongue.width if front else self.tongue.length
        right = _neck(self.tongue, self.shoulder, size, 1.0)
        left = [p.backwards() for p in reversed(_neck(self.tongue, self.shoulder, size, -1.0))]
        top = Piece(right[-1].x1, right[-1].y1, left[0].x0, left[0].y0)
        return Contour.of_pieces([*right, top, *left], closed=False)

    @property
    def narrows_up(self) -> bool:
        """Whether the eye is narrowest at its top, so that no wedge locks the head."""
        knots = self.tongue.knots
        return (
            self.wedge is not None
            and self.wedge.room < 1e-9
            and knots[-1][1] < max(by for _, by in knots) - 1e-9
        )


@lru_cache(4)
def hafting(head: Head) -> Hafting:
    """Work out the handle of a head: tongue, kerf, wedge, shoulder, and the outline if the design
    gives a length."""
    tongue, slips = _tongue(head), slips_on(head.design)
    if slips:
        return Hafting(True, tongue, None, None, None, _shaft(head, tongue, None))
    kerf = _kerf(tongue)
    shoulder = Shoulder(
        tongue.bottom - SHOULDER_GAP,
        SHOULDER_GAP,
        tongue.length(tongue.bottom) + 2.0 * SHOULDER_STEP,
        tongue.width(tongue.bottom) + 2.0 * SHOULDER_STEP,
    )
    wedge = _wedge(head, tongue, kerf)
    return Hafting(False, tongue, kerf, wedge, shoulder, _shaft(head, tongue, shoulder))
