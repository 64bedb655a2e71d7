"""Gauges to try the work against: what is cut, what is scribed, what is lettered.

A gauge is glued on card or cut from sheet. Its contours are nominal, the iron's own size or that
less or more a stated fit; whoever cuts them offsets the kerf. Notches and slots are cut into the
upper edge of a *card*, with the figure of each under it; plugs, templates and windows are shapes of
the head itself. x and y are each gauge's own [mm]; a sheet carries it to its place.

Edge angle
    A notch whose sides stand open by the edge's whole angle, one 5 degrees keener and one 5 degrees
    blunter. A round hole about the notch's point keeps the edge's own tip from touching. One bevel:
    an upright side for the flat face. Convex: the bevel's own rounding, by the angle at the very
    edge.
Strap
    A slot that it must go into and one that it must not.
Blade
    Slots with a step: as forged, with the grinding on both faces, as far as the step; as ground, to
    the bottom.
Bit
    Slots for its end, the middle of its scarf and its whole thickness, and a notch of its section.
Drift plates
    The drift's own sections as windows, larger by as much as shows for light.
Plugs
    The eye's sections, a little smaller all round; how deep each goes follows from the eye's lean.
Go-over and negative
    The head's outline as a template, and as a window in a frame.
Half
    The blade's outline ahead of the eye, larger by the trimming, as far as the body reaches over
    the bit: what a half is spread to before it is welded.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from . import lettering, report, stencil
from .blank import ForgePlan
from .contour import SAGITTA, Contour, Point, Vertex
from .curves import laid
from .derived import eye_heights
from .drawing import Label, Purpose, Stroke
from .drift import drifts
from .halves import body_outline, half_outline, half_thickness
from .head import Head, grown, heights_at
from .lettering import plain
from .part import Part
from .room import Room
from .sensitivity import WALL
from .thickness import Bevel
from .units import fine, length
from .views import bevel_line

BESIDE = math.radians(5.0)
"""How much keener and blunter the neighbours of the edge's notch are [rad]: our own choice, finer
than the sources on edge angles agree among themselves."""
RELIEF = 1.0
"""Radius of the hole at the point of a notch [mm]."""
SHALLOW, DEEP, BROAD = 6.0, 25.0, 34.0
"""Least and greatest depth of an edge's notch, and its widest mouth [mm]."""
TOLERANCE = WALL / 2.0
"""What a strap may be thicker or thinner by [mm]: half of the slip that the straps' sheet reckons
with, 1/64 in."""
THIN_LINE = "Thin line: as finished."
"""What the use of a half's template says of the line that is marked on it."""
WEB = 6.0
"""Least width of card between two slots, and between a slot and the card's end [mm]."""
DEEPEST = 60.0
"""A slot is cut no deeper [mm]."""
STEP = 12.0
"""How far a blade's slot goes in to its step, and on from there to the bottom [mm]."""
FIT = 0.1
"""What a plug is smaller by than the eye, all round [mm]; less where the eye's nose is sharper."""
FRAME = 10.0
"""Least width of the frame round a window [mm]."""
PLATE = 20.0
"""Width of a drift plate's frame where its words stand [mm]."""
HOLE = 3.0
"""Radius of a hanging hole [mm]."""
WIDEST = 180.0
"""A card that would be wider is made as two [mm]."""
SECTION = 45.0
"""A bit's section is cut as a notch if its scarf is no longer [mm]."""
BARE = 12.0
"""Least depth of a card under its openings, where it has no words [mm]."""
NARROWEST = 62.0
"""Least width of a card, so that its words fit on it [mm]."""

TITLE, FIGURE, SMALL, LEAST = 4.2, 3.0, 2.4, 2.1
"""Letters of a card's name, of its figures, of its words; the smallest that are set [mm]."""
BORDER = 3.0
"""White between a card's edge and its words [mm]."""


@dataclass(frozen=True)
class Opening:
    """A notch or slot in a card's upper edge.

    ``run`` goes along it from right to left, y = 0 at the card's edge; ``figure`` is the angle
    [rad] or the width [mm] that it tries; ``at`` is the x of its mouth's middle on the card, and
    ``rows`` stand under it. ``second`` is the width behind the step of a slot that has one.
    """

    kind: str
    figure: float
    depth: float
    run: tuple[Vertex, ...]
    rows: tuple[str, ...]
    at: float = 0.0
    second: float | None = None

    @property
    def sides(self) -> tuple[float, float]:
        """The least and greatest x of the opening, its mouth's middle at 0 [mm]."""
        box = Contour(self.run, closed=False).bounds
        return box.left, box.right


@dataclass(frozen=True)
class Gauge(Part):
    """One gauge, ready to be drawn or cut.

    ``page`` is where it is drawn; ``use`` says what it is for, where the card does not say so
    itself.
    """

    page: str = ""
    use: str = ""
    openings: tuple[Opening, ...] = ()


@dataclass(frozen=True)
class Made:
    """How a card is made: its least web, and how wide a notch must still be where it opens into the
    hole at its point [mm]; None for a point without a hole, as a fine cut leaves it.

    ``stencil`` are height, stroke and bridge of letters that are cut through; then each opening has
    its first row alone, and the card no words. Without ``lettered`` it has none at all.
    """

    web: float = WEB
    neck: float | None = 0.0
    stencil: tuple[float, float, float] | None = None
    lettered: bool = True


ON_PAPER = Made()
"""How a card is made that is printed, or marked where it is cut."""


def gauges(plan: ForgePlan, units: str) -> tuple[Gauge, ...]:
    """Every gauge of a plan, in the order of the sheets; figures in ``units`` (in or mm)."""
    return (
        edge_gauge(plan),
        strap_gauge(plan, units),
        *bit_gauge(plan, units),
        *blade_gauges(plan, units),
        *plugs(plan, units),
        go_over(plan, units),
        negative(plan, units),
        half_template(plan, units),
    )


# The edge's angle ------------------------------------------------------------------------------


def edge_gauge(plan: ForgePlan, made: Made = ON_PAPER) -> Gauge:
    """A card with three notches: keener, right, blunter."""
    blade, form = plan.head.blade, plan.design.blade.bevel
    right = math.radians(plan.design.blade.edge_angle)
    depth = notch_depth(plan)
    openings = []
    for by, word in ((-BESIDE, "too keen"), (0.0, "RIGHT"), (BESIDE, "too blunt")):
        angle = right + by
        relief = edge_relief(plan, angle, made)
        run = _notch(*_lean(form, angle), depth, relief)
        if form == "convex":
            run = _rounded_notch(other_bevel(blade.bevel, angle), depth, relief)
        openings.append(Opening("angle", angle, depth, run, (f"{degrees(angle)}", word)))
    said = "The edge rests in RIGHT with no light on either side. "
    if form == "one":
        said = "Flat face on the upright side: in RIGHT no light shows on either side. "
    elif form == "convex":
        said = "RIGHT is the rounding itself, its angle that of the very edge: no light shows. "
    said += "Light at the bottom of a notch: the edge is blunter than it. Light at the mouth: "
    said += "keener."
    if abs(depth - blade.bevel_width) < 1e-9:
        said += " As deep as the bevel is wide: its back comes to the card's edge."
    return _card(plan, "edge", f"EDGE ANGLE {degrees(right)}", said, openings, made)


def edge_relief(plan: ForgePlan, angle: float, made: Made) -> float:
    """Radius of the hole at the point of an edge's notch [mm]; 0 for a point without one."""
    if made.neck is None:
        return 0.0
    one = plan.design.blade.bevel == "one"
    return max(RELIEF, made.neck / (math.sin(angle) if one else 2.0 * math.sin(angle / 2.0)))


def degrees(angle: float) -> str:
    """An angle [rad] as it stands on a card.

    >>> degrees(math.radians(27.5))
    '27.5°'
    """
    return f"{round(math.degrees(angle), 2):g}°"


def notch_depth(plan: ForgePlan) -> float:
    """How deep the notches are [mm]: as the bevel is wide, within what a card can hold."""
    angle = math.radians(plan.design.blade.edge_angle) + BESIDE
    across = math.tan(angle) if plan.design.blade.bevel == "one" else 2.0 * math.tan(angle / 2.0)
    return max(SHALLOW, min(plan.head.blade.bevel_width, DEEP, BROAD / across))


def other_bevel(bevel: Bevel, angle: float) -> Bevel:
    """A convex bevel of another edge angle [rad] that ends as far back and leans there alike.

    One that would be hollow by that is flat.
    """
    slope = 2.0 * math.tan(angle / 2.0)
    lean = bevel.slope * (1.0 - bevel.reach / bevel.apex)
    apex = slope * bevel.reach / (slope - lean) if slope > lean else math.inf
    return Bevel(slope, bevel.reach, apex)


def _lean(form: str, angle: float) -> tuple[float, float]:
    """How far the left and the right side of a notch lean from upright [rad]."""
    return (0.0, angle) if form == "one" else (angle / 2.0, angle / 2.0)


def _notch(left: float, right: float, depth: float, relief: float) -> tuple[Vertex, ...]:
    """A notch with flat sides, from right to left, its mouth's middle at the origin, and a hole of
    the radius ``relief`` about its point."""
    shift = depth * (math.tan(left) - math.tan(right)) / 2.0  # of the point from the middle
    return (
        Vertex(shift + depth * math.tan(right), 0.0),
        *_relief((shift, -depth), math.pi / 2.0 - right, math.pi / 2.0 + left, relief),
        Vertex(shift - depth * math.tan(left), 0.0),
    )


def _relief(point: Point, start: float, end: float, radius: float) -> tuple[Vertex, ...]:
    """Round below a point, clockwise between two directions seen from it [rad]; the point itself
    where there is no radius."""
    if radius == 0.0:
        return (Vertex(*point),)
    turn = (math.tau - (end - start)) / 2.0
    (x, y), bulge = point, -math.tan(turn / 4.0)
    ways = (start, start - turn, end)
    bulges = (bulge, bulge, 0.0)
    return tuple(
        Vertex(x + radius * math.cos(a), y + radius * math.sin(a), b)
        for a, b in zip(ways, bulges, strict=True)
    )


def _rounded_notch(bevel: Bevel, depth: float, relief: float) -> tuple[Vertex, ...]:
    """A notch of a convex bevel's own section, from right to left."""

    def half(d: float) -> float:
        d = min(d, bevel.reach)
        return bevel.slope * d * (1.0 - d / (2.0 * bevel.apex)) / 2.0

    low, high = 0.0, relief  # where it comes out of the hole
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (
            (middle, high) if math.hypot(half(middle), middle) < relief else (low, middle)
        )  # fmt: skip
    begin = (low + high) / 2.0

    def side(t: float) -> tuple[float, float, float]:
        d = depth + (begin - depth) * t
        gain = bevel.slope * (1.0 - d / bevel.apex) / 2.0 if d <= bevel.reach else 0.0
        return half(d), d - depth, math.atan2(-1.0, -gain)

    pieces = laid(side, SAGITTA / 2.0, 1)
    from_mouth = [Vertex(p.x0, p.y0, p.bulge) for p in pieces]
    to_mouth = [Vertex(-p.x1, p.y1, p.bulge) for p in reversed(pieces)]
    angle = math.atan2(begin, half(begin))
    hole = _relief((0.0, -depth), angle, math.pi - angle, relief)[:2] if relief else ()
    last = pieces[0]
    return (*from_mouth, *hole, *to_mouth, Vertex(-last.x0, last.y0))


# Slots -----------------------------------------------------------------------------------------


def strap_gauge(plan: ForgePlan, units: str, made: Made = ON_PAPER) -> Gauge:
    """A slot that the drawn strap must go into, and one that it must not."""
    strap, name = plan.strap, plan.fold.strap
    depth = strap_reach(plan)
    openings = [
        _slot(strap.drawn_thickness + by, depth, (word, fine(strap.drawn_thickness + by, units)))
        for by, word in ((TOLERANCE, "GO"), (-TOLERANCE, "STOP"))
    ]
    middle = "to its middle" if depth < DEEPEST else f"only {length(depth, units)} of its height"
    wall = ""
    if strap.drawn_thickness - strap.wall > 1e-9:
        wall = f" The drift thins it to the wall's {fine(strap.wall, units)}."
    said = (
        f"Drawn {name}, cold, before the fold: {fine(strap.drawn_thickness, units)}. It goes into "
        f"GO, {middle}, from either edge; into STOP it must not.{wall}"
    )
    return _card(plan, "edge", f"{name.upper()} THICKNESS", said, openings, made)


def strap_reach(plan: ForgePlan) -> float:
    """How deep the strap's slots are [mm]: past its middle, at its ears or as wide as the bar."""
    return min(max(sum(eye_heights(plan.design)), plan.strap.raw_width) / 2.0 + 1.0, DEEPEST)


@dataclass(frozen=True)
class Station:
    """The blade's thickness ground and as forged, at a distance ahead of the eye's front [mm]."""

    ahead: float
    ground: float
    forged: float
    bevel: bool = False
    """Whether the bevel begins there."""


def stations(plan: ForgePlan) -> tuple[Station, ...]:
    """Where the blade's thickness is tried: its stations as far as the bevel, and the bevel's back.

    Ahead of that a finished blade has no cheek left, and no station can be tried.
    """
    blade, front = plan.head.blade, plan.head.plan.eye_front
    both = 2.0 * plan.design.allowances.grinding
    back = plan.head.length - blade.bevel_width
    found = [Station(x - front, t, t + both) for x, t in blade.stations if x < back - 1.0]
    thick = float(blade.taper(np.array(back)))
    return (*found, Station(back - front, thick, thick + both, bevel=True))


def blade_gauges(
    plan: ForgePlan, units: str, made: Made = ON_PAPER
) -> tuple[Gauge, ...]:  # fmt: skip
    """Slots for the blade's thickness at its stations, on one card or on as many as need be."""
    openings = []
    for station in stations(plan):
        where = "bevel's back" if station.bevel else f"at {length(station.ahead, units)}"
        rows: tuple[str, ...] = (where, f"forged {fine(station.forged, units)}")
        if station.forged > station.ground:
            rows = (*rows, f"ground {fine(station.ground, units)}")
        openings.append(_stepped(station.forged, station.ground, rows))
    said = (
        "Cheek to cheek, so far ahead of the eye's front; tried from above or below, "
        f"{length(2.0 * STEP, units)} deep at most. Forged: it goes in to the step. Ground: to "
        "the bottom, without shake."
    )
    if not plan.design.allowances.grinding:
        said = (
            "Cheek to cheek, so far ahead of the eye's front; tried from above or below: it goes "
            f"in {length(2.0 * STEP, units)} without shake. Nothing is allowed for grinding."
        )
    cards = _shared(openings, made)
    many = len(cards) > 1
    return tuple(
        _card(plan, "edge", f"BLADE THICKNESS{f' {i}' if many else ''}", said, card, made)
        for i, card in enumerate(cards, 1)
    )


def bit_gauge(
    plan: ForgePlan, units: str, made: Made = ON_PAPER
) -> tuple[Gauge, ...]:  # fmt: skip
    """Slots for the forged bit's thickness along its scarf, and its section; none without a bit."""
    bit = plan.bit
    if bit is None:
        return ()
    middle = (bit.thickness + bit.tip) / 2.0
    openings = [
        _slot(thick, STEP, (fine(thick, units), where))
        for thick, where in (
            (bit.tip, "at thin end"),
            (middle, f"{length(bit.scarf / 2.0, units)} on"),
            (bit.thickness, f"{length(bit.scarf, units)} on"),
        )
    ]
    section = ""
    if bit.scarf <= SECTION:
        whole, end, deep = bit.thickness / 2.0, bit.tip / 2.0, bit.scarf + WEB
        run = tuple(
            Vertex(x, y)
            for x, y in ((whole, 0.0), (whole, -WEB), (end, -deep), (-end, -deep), (-whole, -WEB),
                         (-whole, 0.0))
        )  # fmt: skip
        openings.append(
            Opening("section", bit.thickness, deep, run, ("section", "thin end in"), second=bit.tip)
        )
        section = " The last notch is its section: thin end first, to the bottom."
    leg = " (one leg, before it is folded)" if bit.overlaid else ""
    said = (
        f"Forged bit{leg}, tried from its end: at the thin end of the scarf, half-way, and from "
        f"where the scarf begins on.{section}"
    )
    return (_card(plan, "edge", "BIT THICKNESS", said, openings, made),)


def _slot(width: float, depth: float, rows: tuple[str, ...]) -> Opening:
    half = width / 2.0
    corners = ((half, 0.0), (half, -depth), (-half, -depth), (-half, 0.0))
    return Opening("slot", width, depth, tuple(Vertex(x, y) for x, y in corners), rows)


def _stepped(outer: float, inner: float, rows: tuple[str, ...]) -> Opening:
    """A slot that is narrower from half its depth on; its left side runs through."""
    if outer <= inner:
        return _slot(outer, 2.0 * STEP, rows)
    half, step = outer / 2.0, inner - outer / 2.0
    corners = ((half, 0.0), (half, -STEP), (step, -STEP), (step, -2.0 * STEP),
               (-half, -2.0 * STEP), (-half, 0.0))  # fmt: skip
    run = tuple(Vertex(x, y) for x, y in corners)
    return Opening("stepped", outer, 2.0 * STEP, run, rows, second=inner)


# Cards -----------------------------------------------------------------------------------------


def _cell(opening: Opening, made: Made) -> float:
    """Width of card that an opening takes with its web and its words [mm]."""
    left, right = opening.sides
    words = 0.0
    if made.stencil is not None:
        apart = max(made.web, 0.75 * made.stencil[0])  # or two figures are read as one
        words = max(vertex.x for c in _cut_row(opening, made) for vertex in c.vertices) + apart
    elif made.lettered:
        words = max(lettering.width(row, _height(i)) for i, row in enumerate(opening.rows)) + 5.0
    return max(right - left + made.web, words)


def _cut_row(opening: Opening, made: Made) -> tuple[Contour, ...]:
    """An opening's first row, cut through, from the origin on."""
    assert made.stencil is not None
    row = "".join(sign for sign in opening.rows[0].upper() if sign in stencil.SIGNS)
    return stencil.word(row, *made.stencil)


def _height(row: int) -> float:
    return FIGURE if row == 0 else SMALL


def _shared(openings: Sequence[Opening], made: Made) -> list[list[Opening]]:
    """The openings in order, on cards that are none too wide."""
    cards: list[list[Opening]] = [[]]
    for opening in openings:
        taken = sum(_cell(one, made) for one in [*cards[-1], opening])
        if cards[-1] and taken + made.web > WIDEST:
            cards.append([])
        cards[-1].append(opening)
    return cards


def _card(
    plan: ForgePlan, page: str, name: str, said: str, openings: Sequence[Opening], made: Made,
) -> Gauge:  # fmt: skip
    """A card with openings in its upper edge, at y = 0; words under them."""
    cells = [_cell(opening, made) for opening in openings]
    wide = sum(cells) + made.web
    worded = made.lettered and made.stencil is None
    if worded:
        wide = max(wide, NARROWEST, lettering.width(name, TITLE) + 2.0 * BORDER + 1.0)
    x = (wide - sum(cells)) / 2.0
    placed, labels, through = list[Opening](), list[Label](), list[Contour]()
    foot = 0.0
    for opening, cell in zip(openings, cells, strict=True):
        left, right = opening.sides
        middle = x + cell / 2.0
        placed.append(replace(opening, at=middle - (left + right) / 2.0))
        low = min(vertex.y for vertex in opening.run)
        if made.stencil is not None:
            through += _through(opening, made, middle, low - made.web)
            low = min(vertex.y for contour in through for vertex in contour.vertices)
        elif worded:
            rows, low = _rows_under(opening, middle, low - 1.5)
            labels += rows
        foot = min(foot, low)
        x += cell
    if worded:
        words = f"{said} {plain(plan.design.name)}, revision {report.revision(plan.design)}."
        rows, foot = _titled(name, words, wide, foot)
        labels += rows
        low = foot - BORDER
    else:
        low = foot - max(made.web, BARE)
    upper = [
        Vertex(v.x + opening.at, v.y, v.bulge) for opening in reversed(placed) for v in opening.run
    ]
    outline = Contour((Vertex(0.0, low), Vertex(wide, low), Vertex(wide, 0.0), *upper,
                       Vertex(0.0, 0.0)))  # fmt: skip
    return Gauge(name, (outline, *through), (), tuple(labels), page, said, openings=tuple(placed))


def _through(opening: Opening, made: Made, middle: float, top: float) -> list[Contour]:
    """An opening's first row, cut through, under it."""
    row = _cut_row(opening, made)
    right = max(vertex.x for contour in row for vertex in contour.vertices)
    high = max(vertex.y for contour in row for vertex in contour.vertices)
    return [contour.moved(middle - right / 2.0, top - high) for contour in row]


def _rows_under(opening: Opening, middle: float, y: float) -> tuple[list[Label], float]:
    """An opening's rows from ``y`` down, and where they end."""
    labels = []
    for i, row in enumerate(opening.rows):
        box = lettering.bounds(row, _height(i))
        y -= box.top
        labels.append(Label(row, middle, y, _height(i), "middle", bold=i == 0))
        y += box.bottom - 1.2
    return labels, y


def _titled(name: str, words: str, wide: float, foot: float) -> tuple[list[Label], float]:
    """A card's name and its words, under all openings, and where they end."""
    y = foot - 2.2 - TITLE
    labels = [Label(name, BORDER, y, TITLE, bold=True)]
    y -= 0.9
    for row in lettering.wrapped(words, wide - 2.0 * BORDER, SMALL):
        box = lettering.bounds(row, SMALL)
        y -= box.top + 0.9
        labels.append(Label(row, BORDER, y, SMALL))
        y += min(box.bottom, -0.25 * SMALL)
    return labels, y


# Plugs -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Seat:
    """Where a plug goes in, and the height above the centre line at which it sticks [mm]; None if
    it goes right through."""

    above: bool
    stop: float | None


def plug_fit(head: Head) -> float:
    """What the plugs are smaller by, all round [mm]: half of the sharpest radius at the most."""
    radii = [p.radius for _, _, eye in head.eye_sections for p in eye.pieces if not p.is_line]
    return min(FIT, *(radius / 2.0 for radius in radii))


def seat(head: Head, height: float, fit: float) -> Seat:
    """How a plug of the eye's section at a height goes into the eye: from the end that it stops
    from sooner, from above where it may be either."""
    high, low = eye_heights(head.design)
    own = head.eye_offset(height) - fit
    ways = []
    for above, way in ((True, (high, 0.0, -low)), (False, (-low, 0.0, high))):
        outs = [head.eye_offset(y) for y in way]
        if outs[0] < own:
            continue
        stop = None
        for (y0, a), (y1, b) in zip(
            list(zip(way, outs, strict=True)), list(zip(way, outs, strict=True))[1:], strict=False
        ):  # fmt: skip
            if b < own - 1e-12:
                stop = y0 + (y1 - y0) * (a - own) / (a - b)
                break
        ways.append(Seat(above, stop))
    stopped = [way for way in ways if way.stop is not None]
    return (stopped or ways)[0]


def plugs(plan: ForgePlan, units: str) -> tuple[Gauge, ...]:
    """A plug for the eye's top, middle and bottom; one for all of an eye that is alike all down."""
    head = plan.head
    fit = plug_fit(head)
    sections = head.eye_sections
    if not plan.design.eye.taper and not plan.design.eye.flare:
        sections = (sections[1],)
    found = []
    for name, height, section in sections:
        named = name if len(sections) > 1 else "eye"
        use = _plug_use(plan, units, height, fit, len(sections) > 1)
        found.append(_plug(plan, units, named, grown(section, -fit), use))
    return tuple(found)


def _plug_use(plan: ForgePlan, units: str, height: float, fit: float, leaning: bool) -> str:
    head = plan.head
    if not leaning:
        return "goes through from top to bottom, held level, without force and without shake."
    found = seat(head, height, fit)
    way = "above" if found.above else "below"
    if found.stop is None:
        return f"goes in from {way} and right through."
    high, low = eye_heights(head.design)
    deep = high - found.stop if found.above else found.stop + low
    return (
        f"goes in from {way}, held level, and sticks {length(deep, units)} "
        f"{'below the top' if found.above else 'above the bottom'}. Less deep: the eye is tight; "
        "deeper: it is large."
    )


def _plug(plan: ForgePlan, units: str, name: str, outline: Contour, use: str) -> Gauge:
    """A plug with its front to the right, its back at the section's own place."""
    box = outline.bounds
    back, nose = box.left + 1.4, box.right - 0.9  # wedges: a dash would read as a minus
    wedges = (
        [(box.left, 0.7), (box.left, -0.7), (back, 0.0)],
        [(nose, 0.0), (nose - 2.0, 0.8), (nose - 2.0, -0.8)],
    )
    marks = [Stroke(Contour.polygon(wedge), Purpose.THIN, filled=True) for wedge in wedges]
    middle = (box.left + box.right) / 2.0
    for up in (1.0, -1.0):
        end = up * box.height / 2.0
        marks.append(Stroke(Contour.line((middle, end), (middle, end - up * 1.2)), Purpose.CENTRE))
    room = Room(outline, marks=marks, border=0.9, gap=0.7)
    size = f"{fine(box.width, units).split()[0]} x {fine(box.height, units)}"
    if abs(box.width - box.height) < 1e-6:
        size = f"{fine(box.width, units)} round"
    mark = report.revision(plan.design)
    short = "EYE" if name == "eye" else f"EYE {name.upper()}"
    front = [(["FRONT"], (LEAST,))]
    labels = room.first(front, (nose - 2.0, 0.0), upright=True, within=0.25 * box.width)
    labels = labels or room.first(front, (box.right, 0.0), within=box.width / 3.0)
    labels += room.first(
        [
            ([short, size, mark], (SMALL + 0.4, SMALL, LEAST)),
            ([f"{short} {mark}", size], (SMALL, LEAST)),
            ([*short.split(), *_halved(size), mark], (SMALL, LEAST)),
            ([size, f"{short} {mark}"], (LEAST,)),
            ([short, mark], (SMALL, LEAST)),
            ([*short.split(), mark], (SMALL, LEAST)),
            ([short], (SMALL, LEAST)),
        ],
        (box.left + 0.42 * box.width, 0.0),
    )
    return Gauge(name, (outline,), tuple(marks), tuple(labels), "eye", use)


def _halved(size: str) -> list[str]:
    """A size in two rows.

    >>> _halved("44.25 x 15.68 mm")
    ['44.25 x', '15.68 mm']
    """
    first, times, second = size.partition(" x ")
    return [f"{first} x", second] if times else size.rsplit(" ", 1)


# The drift -------------------------------------------------------------------------------------


def drift_plates(plan: ForgePlan, units: str, light: float) -> tuple[Gauge, ...]:
    """Plates with the drift's section as a window, larger by ``light`` [mm] all round.

    Of each drift three: where its working part begins, where it is driven on to while hot, and
    where the working part ends.
    """
    found = []
    many = drifts(plan.head)
    for drift in many:
        named = f"DRIFT {drift.side.upper()}" if len(many) > 1 else "DRIFT"
        begin, end = drift.working
        for place, at in (("WORKING END", begin), ("HOT MARK", drift.hot), ("STRUCK END", end)):
            found.append(
                _drift_plate(plan, units, drift.section(at), f"{named}, {place}", at, light)
            )
    return tuple(found)


def _drift_plate(
    plan: ForgePlan, units: str, section: Contour, name: str, at: float, light: float
) -> Gauge:  # fmt: skip
    window = grown(section, light)
    box = window.bounds
    frame = Contour.rectangle(
        box.left - FRAME, box.bottom - PLATE, box.right + FRAME, box.top + FRAME
    )
    where = f"{length(at, units)} from the small end"
    room = Room(frame, (window,), border=1.5, gap=0.9)
    middle, below = (box.left + box.right) / 2.0, box.bottom - PLATE / 2.0
    labels = room.first([(["FRONT"], (FIGURE, SMALL, LEAST))], (box.right + FRAME / 2.0, 0.0),
                        upright=True, within=FRAME)  # fmt: skip
    named, mark = _name(plan), report.revision(plan.design)
    labels += room.first(
        [([name, where, f"{named}  {mark}"], (3.2, SMALL, LEAST)),
         ([*name.split(", "), where, mark], (SMALL, LEAST)), ([name, where, mark], (LEAST,)),
         ([*name.split(", "), mark], (SMALL, LEAST, 1.8))],
        (middle, below),
    )  # fmt: skip
    use = (
        f"Slip the plate over the drift, FRONT to its nose, to {where}, and hold it square: "
        f"{fine(light, units)} of light all round."
    )
    return Gauge(name, (frame, window.reversed()), (), tuple(labels), "drift", use)


# The head's outline ----------------------------------------------------------------------------


def go_over(plan: ForgePlan, units: str) -> Gauge:
    """The head's outline, to lay on the iron; its eye, centre line and bevel to scribe."""
    head = plan.head
    view, outline, middle = head.plan, head.side.contour, head.eye_centre
    (high,), (low,) = heights_at(head, [middle])
    radius = min(HOLE, high / 3.0, -low / 3.0, head.eye.length / 6.0)
    hole = Contour.circle(middle, 0.0, radius).reversed()
    marks = []
    for x in (view.eye_back, view.eye_front):
        (up,), (down,) = heights_at(head, [x])
        marks.append(Stroke(Contour.line((x, down), (x, up)), Purpose.THIN))
    tick = min(8.0, view.poll_thickness, 0.3 * head.blade.bevel_width)
    ends = [0.0, view.eye_back - tick, view.eye_front]
    marks += [Stroke(Contour.line((x, 0.0), (x + tick, 0.0)), Purpose.CENTRE) for x in ends]
    marks.append(Stroke(bevel_line(head), Purpose.THIN))
    room = Room(outline, (hole,), marks, border=1.5)
    ahead = (view.eye_front + head.length - head.blade.bevel_width) / 2.0
    labels = room.first(
        _rows("HEAD, GO-OVER", plan, (4.0, 3.2, SMALL, LEAST)), (ahead, 0.0)
    )  # fmt: skip
    labels += room.first([(["EYE"], (FIGURE, LEAST))], (middle, high - 4.0))
    use = (
        "Lay it on the iron, poll to poll and centre line to centre line: what stands out all "
        f"round is to come off. Head {length(head.length, units)} long."
    )
    return Gauge("HEAD, GO-OVER", (outline, hole), tuple(marks), tuple(labels), "head", use)


def negative(plan: ForgePlan, units: str) -> Gauge:
    """The window that the finished head passes into, in a frame."""
    outline = plan.head.side.contour
    box = outline.bounds.grown(FRAME)
    frame = Contour.rectangle(box.left, box.bottom, box.right, box.top)
    window = outline.reversed()
    room = Room(frame, (window,), border=2.0)
    labels = room.first(
        [
            *_rows("HEAD, WINDOW", plan, (4.0, 3.2, SMALL)),
            ([f"HEAD, WINDOW  {_name(plan)}  {report.revision(plan.design)}"], (3.2, SMALL)),
            ([f"HEAD, WINDOW  {report.revision(plan.design)}"], (SMALL, LEAST)),
        ],
        ((box.left + box.right) / 2.0, box.bottom + FRAME / 2.0),
    )
    use = (
        "Pass the head into the window from either face: where it binds there is iron to take "
        "off, where light shows there is too little. "
        f"Frame at least {length(FRAME, units)} wide."
    )
    return Gauge("HEAD, WINDOW", (frame, window), (), tuple(labels), "negative", use)


# The halves ------------------------------------------------------------------------------------


def half_template(plan: ForgePlan, units: str) -> Gauge:
    """One template for both halves, turned over for the other; of one body, a template for it."""
    fold, outline = plan.fold, half_outline(plan)
    box = outline.bounds
    marks = []
    if plan.design.allowances.trimming > 0.0:
        finished = body_outline(plan)
        marks.append(Stroke(_inside(finished, box.left), Purpose.THIN))
    marks.append(Stroke(Contour.line((box.left, 0.0), (box.left + 3.0, 0.0)), Purpose.CENTRE))
    room = Room(outline, marks=marks, border=1.2)
    name = fold.half.upper()
    wish = ((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
    if fold.halves == 2:
        rows = [name, "inner face up: right-hand one", "turned over: left-hand one"]
    else:
        rows = [name, "lies on either face"]
    more = [_name(plan), report.revision(plan.design)]
    labels = room.first([(["TOP"], (FIGURE, LEAST))], (wish[0], box.top))
    labels += room.first(
        [(["SHOULDER"], (FIGURE, SMALL, LEAST))], (box.left, wish[1]), upright=True, within=16.0
    )
    labels += room.first(
        [
            ([*rows, *more], (3.6, FIGURE, SMALL, LEAST)),
            ([*rows, more[1]], (SMALL, LEAST)),
            ([name, *(["R up, L turned"] if fold.halves == 2 else []), more[1]], (SMALL, LEAST)),
            ([name, more[1]], (LEAST,)),
        ],
        wish,
    )
    return Gauge(
        name, (outline,), tuple(marks), tuple(labels), "halves", _half_use(plan, units)
    )  # fmt: skip


def _half_use(plan: ForgePlan, units: str) -> str:
    fold, half = plan.fold, plan.fold.half
    thick = f"about {length(half_thickness(plan), units)} thick on the mean"
    trim = plan.design.allowances.trimming
    over = f"{length(trim, units)} of it for trimming; " if trim else ""
    if fold.halves == 1:
        said = (
            f"One {half} only: there is nothing to match it with. Lay the template on either face, "
            "TOP to the head's top, the straight end on the shoulder, and spread the iron until it "
            "stands out all round"
        )
    else:
        each = "cheek" if fold.waisted else "half"
        said = (
            f"Bar unfolded, inner face up, top away from you: lay the template as it is on the "
            f"right-hand {each}, turned over on the left-hand one, the straight end on the "
            "shoulder step. Spread both alike, until they stand out all round"
        )
    bit = ""
    if plan.bit is not None and plan.head.blade.cover > 0.0:
        bit = " In front it ends where the ground blade is all bit."
    return (
        f"{said}; {over}then it is {thick}, more towards the shoulder.{bit}"
        f"{f' {THIN_LINE}' if trim else ''}"
    )


def _inside(finished: Contour, left: float) -> Contour:
    """A closed outline less its straight end at ``left``, which the template's own covers."""
    points = [(v.x, v.y) for v in finished.vertices]
    n = len(points)
    for i in range(n):
        a, b = points[i], points[(i + 1) % n]
        if abs(a[0] - left) < 1e-6 and abs(b[0] - left) < 1e-6:
            return Contour.line(*points[i + 1 :], *points[: i + 1])
    return finished


# Lettering ------------------------------------------------------------------------------------


def _name(plan: ForgePlan) -> str:
    return plain(plan.design.name)


def _rows(
    name: str, plan: ForgePlan, heights: tuple[float, ...]
) -> list[tuple[list[str], tuple[float, ...]]]:  # fmt: skip
    mark = report.revision(plan.design)
    return [([name, _name(plan), f"revision {mark}"], heights), ([name, mark], heights)]
