"""The finished head: its views, its volume by zone, its mass and where it balances.

Zones, from the back: *plate*, if the poll has one; *poll*, what the fold leaves behind the eye;
*walls*, from there to the shoulders; *lap*, if the strap laps on a cheek; *blade*, all else ahead
of the shoulders less the bit; *bit*. In plate, poll, walls and neck the plan view stands for every
height, so that a zone's volume is the sum of (metal across the head) x (height of the side view).
The outside stands plumb; a tapered or flared eye takes its lean out of the walls.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from . import consistency, shape
from .contour import Contour, Vertex
from .derived import eye_heights, eye_leans, eye_size, poll_height, poll_left
from .errors import BadInputError
from .eye import EyeForm, eye_form
from .folds import fold_of
from .forepart import Forepart, forepart
from .forging.density import steel_mass
from .graph import Array, Graph, along, nodes
from .outline import SideView
from .parameters import Design
from .plan_view import PlanError, PlanView, plan_view
from .thickness import Blade, BladeSums, Moments


@dataclass(frozen=True)
class Head:
    """A finished head, worked out. Lengths [mm] from the back of the poll, volumes [mm3]."""

    design: Design
    eye: EyeForm
    fore: Forepart
    plan: PlanView
    plate: Moments
    poll: Moments
    walls: Moments
    neck: Moments
    lap: float
    poll_wanted: float

    @cached_property
    def side(self) -> SideView:
        """The outline."""
        return self.fore.side.behind_poll(self.plan.poll_thickness)

    @cached_property
    def blade(self) -> Blade:
        """The blade's thickness."""
        return self.fore.part.blade.moved(self.plan.eye_front)

    @cached_property
    def ahead(self) -> BladeSums:
        """Sums over the blade ahead of the first station."""
        return self.fore.part.sums.moved(self.plan.eye_front)

    @property
    def eye_centre(self) -> float:
        """x of the middle of the eye [mm]."""
        return self.plan.eye_back + self.eye.length / 2.0

    @property
    def length(self) -> float:
        """From the back of the poll to the foremost of the edge [mm]."""
        return self.plan.eye_front + self.fore.side.edge.foremost

    @property
    def edge_length(self) -> float:
        """Along the edge's arc, from heel to toe [mm]."""
        return self.fore.side.edge.length

    @property
    def volumes(self) -> dict[str, float]:
        """Volume of each zone [mm3]."""
        bit = self.ahead.bit.volume
        zones = {
            "plate": self.plate.volume,
            "poll": self.poll.volume,
            "walls": self.walls.volume,
            "lap": self.lap,
            "blade": self.neck.volume + self.ahead.steel.volume - bit - self.lap,
            "bit": bit,
        }
        return {name: volume for name, volume in zones.items() if volume > 0.0}

    @cached_property
    def whole(self) -> Moments:
        return self.plate + self.poll + self.walls + self.neck + self.ahead.steel

    @property
    def volume(self) -> float:
        return self.whole.volume

    @property
    def mass(self) -> float:
        """Mass [g]."""
        return steel_mass(self.volume)

    @property
    def balance(self) -> tuple[float, float]:
        """Centre of mass from the eye's centre: ahead of it, and above the centre line [mm]."""
        m = self.whole
        return m.x / m.volume - self.eye_centre, m.y / m.volume

    def eye_offset(self, y: float) -> float:
        """How far each side of the eye stands out of its middle section at a height [mm]."""
        low, high = eye_leans(self.design)
        return y * (high if y > 0.0 else low)

    @cached_property
    def eye_sections(self) -> tuple[tuple[str, float, Contour], ...]:
        """The eye at the top, middle and bottom of the ears: name, height, contour.

        Each is the middle section offset by its share of taper and flare; its back is at the origin
        of the middle section.
        """
        above, below = eye_heights(self.design)
        heights = (("top", above), ("middle", 0.0), ("bottom", -below))
        return tuple((name, y, grown(self.eye.contour, self.eye_offset(y))) for name, y in heights)

    @property
    def wedge_room(self) -> float:
        """How much wider the eye is at the top than where it is narrowest [mm].

        The handle goes in through the narrowest place; what is left at the top a wedge fills.
        """
        above, below = eye_heights(self.design)
        offsets = [self.eye_offset(y) for y in (above, 0.0, -below)]
        return 2.0 * (offsets[0] - min(offsets))

    @property
    def wall_range(self) -> tuple[float, float]:
        """The thinnest and the thickest wall that taper and flare leave [mm]."""
        above, below = eye_heights(self.design)
        offsets = [self.eye_offset(y) for y in (above, 0.0, -below)]
        wall = self.design.wall.thickness
        return wall - max(offsets), wall - min(offsets)


def grown(eye: Contour, by: float) -> Contour:
    """A convex counter-clockwise contour, offset outwards: its arcs grow by ``by`` [mm]."""
    vertices = []
    for p in eye.pieces:
        a = p.angle_at(0.0) - math.pi / 2.0
        vertices.append(Vertex(p.x0 + by * math.cos(a), p.y0 + by * math.sin(a), p.bulge))
    return Contour(tuple(vertices))


def finish(design: Design, units: str = "in") -> Head:
    """Work out the finished head of a design.

    Raises :class:`BadInputError` with every fault of the head's shape, in the user's units.
    """
    if faults := consistency.faults(design, units):
        raise BadInputError(faults)
    length, width = eye_size(design.eye)
    form = eye_form(design.eye.form, length, width, design.eye.front_radius, design.eye.exponent)
    wall, bar, fold = design.wall.thickness, design.bar.thickness, fold_of(design)
    step = design.hand.step
    left, plate = poll_left(design), design.plate.thickness or 0.0
    if fold.back == "block":
        wanted = left + plate if design.poll.thickness is None else design.poll.thickness
        poll = min(wanted, left + plate)
    else:
        poll = wanted = design.poll.thickness or wall
    fore = forepart(
        length, poll_height(design), design.ears, design.blade, design.bit, units
    )  # fmt: skip
    first, thick = fore.part.blade.stations[0]
    bad = list(fore.faults)
    try:
        plan = plan_view(
            form=form,
            wall=wall,
            step=fold.front_step(
                bar_thickness=bar, wall=wall, step=step, between=fore.part.blade.bit.tip
            ),
            poll_width=fold.poll_width(
                bar_thickness=bar, outside=width + 2.0 * wall + design.poll.overhang
            ),
            poll_thickness=poll,
            sides_forward=design.poll.sides_forward,
            station=(poll + length + first, thick / 2.0),
            rear=fold.rear_step(bar_thickness=bar, wall=wall, step=step),
        )
    except PlanError as error:
        raise BadInputError([shape.of_plan(design, error, length, units), *bad]) from None
    if bad:
        raise BadInputError(bad)
    slices = _Slices(plan, fore)
    low, high = eye_leans(design)
    walls, neck = slices.walls_and_neck()
    return Head(
        design=design,
        eye=form,
        fore=fore,
        plan=plan,
        plate=slices.block(0.0, plate),
        poll=slices.block(plate, poll),
        walls=walls - slices.void(low, high),
        neck=neck,
        lap=slices.lap(design.fold.lap) if fold.laps and design.fold.lap else 0.0,
        poll_wanted=wanted,
    )


def heights_at(head: Head, places: Sequence[float]) -> tuple[list[float], list[float]]:
    """Top and bottom of the side view at places along the head, behind the first station [mm]."""
    poll, fore, front = head.plan.poll_thickness, head.fore, head.plan.eye_front
    x = np.maximum(np.asarray(places), poll) - front  # the poll is level as far as the eye
    return fore.top(x).tolist(), fore.bottom(x).tolist()


# of a quantity that is small itself
_TAPER_NODES, _TAPER_WEIGHTS = np.polynomial.legendre.leggauss(8)


class _Slices:
    """Sums over plan view and side view together, behind the first station, slice by slice."""

    def __init__(self, plan: PlanView, fore: Forepart) -> None:
        self.plan, self.fore = plan, fore
        self.end = fore.part.blade.start + plan.eye_front

    def heights(self, x: Array) -> tuple[Array, Array]:
        """Top and bottom of the side view at places from the back of the head.

        Behind the eye both are level.
        """
        ahead = np.maximum(x - self.plan.eye_front, -self.plan.form.length)
        return self.fore.top(ahead), self.fore.bottom(ahead)

    def across(self, start: float, end: float) -> tuple[Array, Array, Array]:
        """Places and weights between two places, and the metal across half the head there [mm]."""
        plan = self.plan
        skin, eye = Graph(plan.skin), Graph(plan.eye)
        outside = Graph(p for p in plan.skin_wall if p.x1 > p.x0)
        breaks = [skin.breaks, eye.breaks, outside.breaks]
        breaks.append(np.array([plan.cap[0], plan.shoulder[0], plan.eye_back]))
        breaks += [graph.breaks + plan.eye_front for graph in (self.fore.top, self.fore.bottom)]
        x, weights = nodes(breaks, start, end)
        metal = skin(x)
        beside = slice(*np.searchsorted(x, (plan.eye_back, plan.eye_front)))
        metal[beside] -= eye(x[beside])
        return x, weights, metal

    def moments(self, x: Array, weights: Array, across: Array) -> Moments:
        """Sums of the metal across half the head at places, with their weights."""
        up, down = self.heights(x)
        metal = 2.0 * across * weights
        slices = metal * (up - down)
        return Moments(
            float(slices.sum()),
            float(np.dot(slices, x)),
            float(np.dot(metal, up**2 - down**2)) / 2.0,
        )

    def block(self, start: float, end: float) -> Moments:
        """A part of the poll's block: plumb sides, level top and bottom, even about both lines."""
        side = self.fore.side
        tall = side.top[0].y0 - side.bottom[0].y0
        volume = self.plan.poll_width * (end - start) * tall
        return Moments(volume, volume * (start + end) / 2.0)

    def walls_and_neck(self) -> tuple[Moments, Moments]:
        """The walls as far as the shoulder steps, which stand square to the eye, and what is left.

        What is left lies between them and the first station. Behind the eye the walls lie outside
        the poll.
        """
        plan = self.plan
        band = Graph(p for p in plan.skin_wall if p.x1 > p.x0)
        (cap, low), (shoulder, high) = plan.cap, plan.shoulder
        x, weights, rest = self.across(min(float(band.breaks[0]), plan.eye_back), self.end)
        beside, ahead, last = np.searchsorted(x, (plan.eye_back, cap, shoulder))
        wall = band(x[:last])
        wall[:beside] -= plan.poll_width / 2.0
        wall[beside:ahead] -= Graph(plan.eye)(x[beside:ahead])
        wall[ahead:] -= low + (x[ahead:last] - cap) * (high - low) / max(shoulder - cap, 1e-12)
        rest[:last] -= wall
        walls = self.moments(x[:last], weights[:last], wall)
        return walls, self.moments(x[beside:], weights[beside:], rest[beside:])

    def lap(self, reach: float) -> float:
        """Volume of a lap's scarf on one cheek, from the wall's thickness to nothing [mm3]."""
        start, wall = self.plan.shoulder[0], self.plan.wall
        end = min(start + reach, self.end)
        breaks = [graph.breaks + self.plan.eye_front for graph in (self.fore.top, self.fore.bottom)]
        x, weights = nodes(breaks, start, end)
        up, down = self.heights(x)
        near = float(np.dot(wall * (1.0 - (x - start) / reach) * (up - down), weights))
        up, down = self.heights(np.array([end]))
        beyond = wall * (start + reach - end) ** 2 / reach / 2.0  # on the blade as high as the neck
        return near + beyond * float(up[0] - down[0])

    def void(self, low: float, high: float) -> Moments:
        """What a lean of the eye's sides takes out of the walls besides the middle section.

        The eye stands ``low * y`` further out at a height y below the centre line, ``high * y``
        above it. Exact where the wall is of one height; elsewhere what is left out is of the second
        order in the lean.
        """
        if low == high == 0.0:
            return Moments(0.0)
        half = self.plan.eye
        share = np.tile((_TAPER_NODES + 1.0) / 2.0, (len(half), 1))
        x, _, _, _ = along(half, share)
        length, turn = np.array([(p.length, abs(p.sweep)) for p in half]).T[:, :, None]
        run = length * (_TAPER_WEIGHTS / 2.0)
        curve = turn / length
        layer, lift = np.zeros_like(x), np.zeros_like(x)
        for side, lean, heights in zip(
            (1.0, -1.0), (high, low), self.heights(x.ravel()), strict=True
        ):
            y = heights.reshape(x.shape)
            layer += side * (lean * y**2 / 2.0 + curve * lean**2 * y**3 / 6.0) * run
            lift += side * (lean * y**3 / 3.0 + curve * lean**2 * y**4 / 8.0) * run
        return Moments(
            2.0 * float(layer.sum()), 2.0 * float((layer * x).sum()), 2.0 * float(lift.sum())
        )
