"""The finished head: its views, its volume by zone, its mass and where it balances.

Zones, from the back: *poll*, the block behind the eye; *walls*, from there to the shoulders;
*blade*, all ahead of the shoulders less the bit; *bit*. In poll, walls and neck the plan view
stands for every height, so that a zone's volume is the sum of (metal across the head) x (height of
the side view). The outside stands plumb; a tapered eye takes its taper out of the walls.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from . import consistency, shape
from .contour import Contour, Vertex
from .derived import eye_heights, eye_size, poll_height, poll_left
from .errors import BadInputError
from .eye import EyeForm, eye_form
from .forepart import Forepart, forepart
from .forging.density import steel_mass
from .forging.shoulder import step_face
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
    poll: Moments
    walls: Moments
    neck: Moments
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
        return {
            "poll": self.poll.volume,
            "walls": self.walls.volume,
            "blade": self.neck.volume + self.ahead.steel.volume - bit,
            "bit": bit,
        }

    @cached_property
    def whole(self) -> Moments:
        return self.poll + self.walls + self.neck + self.ahead.steel

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

    @cached_property
    def eye_sections(self) -> tuple[tuple[str, float, Contour], ...]:
        """The eye at the top, middle and bottom of the ears: name, height, contour.

        Each is the middle section offset by its share of the taper; its back is at the origin of
        the middle section.
        """
        above, below = eye_heights(self.design)
        tall = above + below
        found = []
        for name, y in (("top", above), ("middle", 0.0), ("bottom", -below)):
            by = self.design.eye.taper / 2.0 * y / tall
            found.append((name, y, grown(self.eye.contour, by)))
        return tuple(found)

    @property
    def wall_range(self) -> tuple[float, float]:
        """The thinnest and the thickest wall that the taper leaves [mm]."""
        above, below = eye_heights(self.design)
        side = self.design.eye.taper / 2.0 / (above + below)
        wall = self.design.wall.thickness
        return wall - max(side * above, -side * below), wall + max(-side * above, side * below)


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
    wall = design.wall.thickness
    wanted = poll_left(design) if design.poll.thickness is None else design.poll.thickness
    poll = min(wanted, poll_left(design))
    fore = forepart(
        length, poll_height(design), design.ears, design.blade, design.bit, units
    )  # fmt: skip
    first, thick = fore.part.blade.stations[0]
    bad = list(fore.faults)
    try:
        plan = plan_view(
            form=form,
            wall=wall,
            step=step_face(bar_thickness=design.bar.thickness, wall=wall, step=design.hand.step),
            poll_width=width + 2.0 * wall + design.poll.overhang,
            poll_thickness=poll,
            sides_forward=design.poll.sides_forward,
            station=(poll + length + first, thick / 2.0),
        )
    except PlanError as error:
        raise BadInputError([shape.of_plan(design, error, length, units), *bad]) from None
    if bad:
        raise BadInputError(bad)
    slices = _Slices(plan, fore)
    void = slices.taper_void(design.eye.taper / 2.0 / sum(eye_heights(design)))
    walls, neck = slices.walls_and_neck()
    return Head(
        design=design,
        eye=form,
        fore=fore,
        plan=plan,
        poll=slices.poll(),
        walls=walls - void,
        neck=neck,
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
        """Top and bottom of the side view at places from the poll's back, ahead of the poll."""
        ahead = x - self.plan.eye_front
        return self.fore.top(ahead), self.fore.bottom(ahead)

    def poll(self) -> Moments:
        """A block as far as the eye: plumb sides, level top and bottom, even about both lines."""
        plan, side = self.plan, self.fore.side
        tall = side.top[0].y0 - side.bottom[0].y0
        volume = plan.poll_width * plan.poll_thickness * tall
        return Moments(volume, volume * plan.poll_thickness / 2.0)

    def walls_and_neck(self) -> tuple[Moments, Moments]:
        """The walls as far as the shoulder steps, which stand square to the eye, and what is left.

        What is left lies between them and the first station.
        """
        plan = self.plan
        skin, eye, outside = Graph(plan.skin[1:]), Graph(plan.eye), Graph(plan.skin_wall)
        (cap, low), (shoulder, high) = plan.cap, plan.shoulder
        breaks = [skin.breaks, eye.breaks, outside.breaks, np.array([cap, shoulder])]
        breaks += [graph.breaks + plan.eye_front for graph in (self.fore.top, self.fore.bottom)]
        x, weights = nodes(breaks, plan.eye_back, self.end)
        up, down = self.heights(x)
        across = skin(x)
        in_eye, in_wall, ahead = np.searchsorted(x, (plan.eye_front, shoulder, cap))
        hole = eye(x[:in_eye])
        across[:in_eye] -= hole
        wall = outside(x[:in_wall])
        wall[:ahead] -= hole[:ahead]  # as far as the step, which runs on to the shoulder
        wall[ahead:] -= low + (x[ahead:in_wall] - cap) * (high - low) / max(shoulder - cap, 1e-12)
        across[:in_wall] -= wall

        def moments(across: Array) -> Moments:
            n = len(across)
            metal = 2.0 * across * weights[:n]
            slices = metal * (up[:n] - down[:n])
            return Moments(
                float(slices.sum()),
                float(np.dot(slices, x[:n])),
                float(np.dot(metal, up[:n] ** 2 - down[:n] ** 2)) / 2.0,
            )

        return moments(wall), moments(across)

    def taper_void(self, lean: float) -> Moments:
        """What a taper takes out of the walls besides the middle section.

        The eye stands ``lean * y`` further out at a height y. Exact where the wall is of one
        height; elsewhere what is left out is of the second order in the taper.
        """
        if lean == 0.0:
            return Moments(0.0)
        half = self.plan.eye
        share = np.tile((_TAPER_NODES + 1.0) / 2.0, (len(half), 1))
        x, _, _, _ = along(half, share)
        length, turn = np.array([(p.length, abs(p.sweep)) for p in half]).T[:, :, None]
        run = length * (_TAPER_WEIGHTS / 2.0)
        curve = turn / length
        up, down = (height.reshape(x.shape) for height in self.heights(x.ravel()))
        up2, down2 = up * up, down * down
        flat, lever = (up2 - down2) / 2.0, (up2 * up - down2 * down) / 3.0
        third = (up2 * up2 - down2 * down2) / 4.0
        layer = (lean * flat + curve * lean**2 * lever / 2.0) * run
        lift = (lean * lever + curve * lean**2 * third / 2.0) * run
        return Moments(
            2.0 * float(layer.sum()), 2.0 * float((layer * x).sum()), 2.0 * float(lift.sum())
        )
