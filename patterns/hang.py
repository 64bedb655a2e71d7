"""Head and handle together: where they balance, how they swing, and how the edge meets a table.

x runs ahead from the handle's line, y up the handle from the eye's middle, as the head lies in the
hand. The handle is straight and stands square to the head; its line runs through the middle of the
eye. It is taken as two thin rods, one in the eye and one below it.

The swing is that of a compound pendulum about the lower hand. A plumb bob on a string of length
``q = I / (m d)`` keeps time with it: ``I`` is the moment of inertia about the hand, ``m`` the mass,
``d`` the distance from the hand to the centre of mass. As the axe hangs from the grip, the level
``q`` below it is the centre of percussion: a blow that falls there does not jar the hand. Any
mechanics text has both. They hold for a stiff handle and a hand that only guides it: good to
compare one axe with another, and no promise of comfort.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from . import sources
from .contour import Piece, Point
from .derived import eye_heights
from .graph import Array, Graph, along, nodes
from .head import Head, heights_at
from .outline import Edge
from .units import both, mass

TOUCH_MARGIN = 0.1
"""How far from a third of the edge is still near it: ours, for the manual gives no bounds."""

STEP = 2.5
"""Longest part of the outline that is summed at once [mm]."""

_AROUND, _AROUND_WEIGHTS = np.polynomial.legendre.leggauss(4)
_ALONG, _ALONG_WEIGHTS = np.polynomial.legendre.leggauss(48)
_CUBIC_METRE = 1000.0**3 / 1000.0
"""Cubic millimetres over grams in a kilogram: turns kg/m3 into g/mm3."""


@dataclass(frozen=True)
class Body:
    """A stiff body in the plane of the swing.

    ``mass`` [g], its centre ``(x, y)`` [mm], and ``inertia`` about its own centre [g mm2].
    """

    mass: float
    x: float
    y: float
    inertia: float = 0.0

    def about(self, place: Point) -> float:
        """Moment of inertia about a place [g mm2], by the parallel axes."""
        return self.inertia + self.mass * math.dist((self.x, self.y), place) ** 2


def together(bodies: Iterable[Body]) -> Body:
    """Several bodies, fast to one another, as one.

    >>> together([Body(1.0, 0.0, 0.0), Body(3.0, 0.0, 4.0)])
    Body(mass=4.0, x=0.0, y=3.0, inertia=12.0)
    """
    parts = list(bodies)
    total = sum(part.mass for part in parts)
    x = sum(part.mass * part.x for part in parts) / total
    y = sum(part.mass * part.y for part in parts) / total
    return Body(total, x, y, sum(part.about((x, y)) for part in parts))


def rod(mass: float, low: float, high: float) -> Body:
    """A thin even rod along the handle's line from one height to another [mm].

    >>> rod(12.0, 0.0, 2.0)
    Body(mass=12.0, x=0.0, y=1.0, inertia=4.0)
    """
    return Body(mass, 0.0, (low + high) / 2.0, mass * (high - low) ** 2 / 12.0)


def string_length(body: Body, pivot: Point) -> float:
    """Length of the plain pendulum that keeps time with a body hung from a pivot [mm].

    It is also how far below the pivot the centre of percussion lies.

    >>> round(string_length(rod(1.0, 0.0, 1000.0), (0.0, 0.0)), 1)
    666.7
    """
    return body.about(pivot) / body.mass / math.dist((body.x, body.y), pivot)


def period(string: float) -> float:
    """Time of one small swing, there and back, of a pendulum of that length [mm]; in seconds.

    >>> round(period(2000.0 / 3.0), 4)
    1.6382
    """
    return math.tau * math.sqrt(string / sources.STANDARD_GRAVITY.inside)


@dataclass(frozen=True)
class Hang:
    """A head on its handle. Lengths [mm], masses [g]; above is towards the toe.

    ``balance`` is how far the whole balances below the eye's middle and ahead of the handle's line.
    ``string`` and ``period`` are of the swing about the grip. ``striking`` is how far above the
    edge's middle the centre of percussion lies, measured as the axe hangs from the grip, and
    ``striking_share`` where that level crosses the edge, as a share of it from the heel; None where
    it passes by. ``touch`` is where the edge touches a table on which the handle's end rests, as
    such a share. ``edge_line`` is how far ahead of the middle of the handle's end the straight line
    from toe to heel passes it.
    """

    length: float
    grip: float
    handle_mass: float
    mass: float
    balance: tuple[float, float]
    string: float
    striking: float
    striking_share: float | None
    touch: float
    edge_line: float

    @property
    def period(self) -> float:
        """Seconds of one swing, there and back, hung from the grip."""
        return period(self.string)

    @property
    def verdict(self) -> str:
        """The touching place against the third of the edge that the manual wants."""
        off = self.touch - sources.TOUCH_SHARE.value
        if abs(off) <= TOUCH_MARGIN:
            return "near the third from the heel"
        return "nearer the heel than a third" if off < 0.0 else "nearer the toe than a third"


@lru_cache(4)  # sheet, summary and plan.json all tell of it
def hang(head: Head) -> Hang | None:
    """Hang a head on the handle that its design asks for; None where no length is given."""
    design, handle = head.design, head.design.handle
    if handle.length is None:
        return None
    above, below = eye_heights(design)
    end = above - handle.length
    per_length = handle.density / _CUBIC_METRE * head.eye.area
    in_eye = rod(per_length * (above + below), -below, above)
    under = rod(per_length * handle.share * (-below - end), end, -below)
    whole = together([head_body(head), in_eye, under])
    pivot = (0.0, end + handle.grip)
    string = string_length(whole, pivot)
    edge = head.side.edge.moved(-head.eye_centre)
    striking, share = _striking(edge, pivot, (whole.x, whole.y), string)
    depth = head.eye.length if handle.depth is None else handle.depth
    (toe_x, toe_y), (heel_x, heel_y) = edge.toe, edge.heel
    lean = (toe_x - heel_x) / (toe_y - heel_y)
    return Hang(
        length=handle.length,
        grip=-pivot[1],
        handle_mass=in_eye.mass + under.mass,
        mass=whole.mass,
        balance=(-whole.y, whole.x),
        string=string,
        striking=striking,
        striking_share=share,
        touch=touching(edge, (depth / 2.0, end)),
        edge_line=heel_x + lean * (end - heel_y),
    )


def data(found: Hang) -> dict[str, Any]:
    """The hang as data: mm, g, seconds, shares of one; above is towards the toe."""
    below, ahead = found.balance
    return {
        "handle_length": found.length,
        "handle_mass": found.handle_mass,
        "mass": found.mass,
        "balance": {"below_eye_centre": below, "ahead_of_handle_line": ahead},
        "grip_below_eye_centre": found.grip,
        "string_length": found.string,
        "swing_seconds": found.period,
        "striking_above_edge_middle": found.striking,
        "striking_share_from_heel": found.striking_share,
        "touch_share_from_heel": found.touch,
        "touch_verdict": found.verdict,
        "edge_line_ahead_of_handle_end": found.edge_line,
    }


def rows(found: Hang, units: str) -> list[tuple[str, str]]:
    """The hang to read, each row with its label: how it balances, swings and meets a table."""

    def measure(value: float) -> str:
        return both(abs(value), units, 16)

    down, ahead = found.balance
    side = "above" if found.striking >= 0.0 else "below"
    past = "" if found.striking_share is not None else f", {side} the edge's end"
    return [
        (
            "Hang",
            f"{mass(found.mass, units)} on a handle of {both(found.length, units)}; balances "
            f"{measure(down)} {'below' if down >= 0.0 else 'above'} the eye's middle, "
            f"{measure(ahead)} {'ahead of' if ahead >= 0.0 else 'behind'} the handle's line",
        ),
        (
            "Swing",
            f"hung from the grip, ten swings in {10.0 * found.period:.1f} s; jars the hand least "
            f"where a blow falls {measure(found.striking)} {side} the edge's middle{past}",
        ),
        (
            "Edge line",
            f"on a table, touches {100.0 * found.touch:.0f} % from the heel, {found.verdict} "
            f"[{sources.TOUCH_SHARE.work.title if sources.TOUCH_SHARE.work else ''}]; toe to heel "
            f"passes {measure(found.edge_line)} {'ahead of' if found.edge_line >= 0 else 'behind'} "
            "the handle's end",
        ),
    ]


# The head ----------------------------------------------------------------------------------------


def head_body(head: Head) -> Body:
    """The head as a body, its centre as it balances.

    Its radius of gyration is that of the plumb eye: what a taper moves is of the second order, and
    what a flare takes out of the walls lies near their own centre.
    """
    volume, x, y, second = second_sums(head)
    gyration = second / volume - (x * x + y * y) / volume**2
    ahead, up = head.balance
    return Body(head.mass, ahead, up, head.mass * gyration)


def second_sums(head: Head) -> tuple[float, float, float, float]:
    """Sums over the head with a plumb eye, from the poll's back: of 1, x, y and x2 + y2 [mm3 on].

    Behind the first station they go slice by slice along the head, ahead of it round the outline,
    as in :mod:`thickness`.
    """
    behind, ahead = _behind(head), _ahead(head)
    volume, x, y, second = (float(a + b) for a, b in zip(behind, ahead, strict=True))
    return volume, x, y, second


def _behind(head: Head) -> Array:
    plan = head.plan
    skin, eye = Graph(plan.skin), Graph(plan.eye)
    front, back = plan.eye_front, plan.eye_back
    breaks = [skin.breaks, eye.breaks, head.fore.top.breaks + front,
              head.fore.bottom.breaks + front]  # fmt: skip
    x, weights = nodes(breaks, 0.0, head.blade.start)
    up, down = (np.array(side) for side in heights_at(head, x.tolist()))
    open_ = np.where((x > back) & (x < front), eye(np.clip(x, back, front)), 0.0)
    metal = 2.0 * (skin(x) - open_) * weights
    tall = up - down
    return np.array([
        np.dot(metal, tall),
        np.dot(metal, tall * x),
        np.dot(metal, up**2 - down**2) / 2.0,
        np.dot(metal, tall * x * x + (up**3 - down**3) / 3.0),
    ])  # fmt: skip


def _ahead(head: Head) -> Array:
    blade = head.blade
    start = blade.start
    parts: list[Piece] = []
    for piece in head.side.contour.pieces:
        shares = [0.0, *piece.shares_at_x(start), 1.0]
        for a, b in itertools.pairwise(shares):
            count = max(1, math.ceil(piece.length * (b - a) / STEP))
            cuts = [a + (b - a) * i / count for i in range(count + 1)]
            parts += [piece.part(*pair) for pair in itertools.pairwise(cuts)]
    parts = [part for part in parts if part.chord > 0.0 and part.at(0.5)[0] > start]
    share = np.tile((_AROUND + 1.0) / 2.0, (len(parts), 1))
    x, y, _, dy = (field.ravel() for field in along(parts, share))
    dy = dy * np.tile(_AROUND_WEIGHTS / 2.0, len(parts))
    reach = np.maximum(x - start, 0.0)[:, None]
    within = start + reach * ((_ALONG + 1.0) / 2.0)
    thick = blade.thickness(within, y[:, None]) * reach * (_ALONG_WEIGHTS / 2.0)
    plain, by_x = thick.sum(axis=1), (thick * within).sum(axis=1)
    by_square = (thick * within**2).sum(axis=1)
    return np.array(
        [np.dot(f, dy) for f in (plain, by_x, plain * y, by_square + plain * y * y)]
    )  # fmt: skip


# The edge ----------------------------------------------------------------------------------------


def _angles(edge: Edge) -> tuple[float, float]:
    """Where heel and toe lie about the edge's centre [rad]."""
    (toe_x, toe_y), (heel_x, heel_y) = edge.toe, edge.heel
    return (
        math.atan2(heel_y - edge.y, heel_x - edge.x),
        math.atan2(toe_y - edge.y, toe_x - edge.x),
    )


def _striking(
    edge: Edge, pivot: Point, centre: Point, string: float
) -> tuple[float, float | None]:  # fmt: skip
    """How far the level ``string`` below the hanging pivot lies above the edge's middle [mm].

    And where it crosses the edge, as a share from the heel.
    """
    away = math.dist(centre, pivot)
    ux, uy = (centre[0] - pivot[0]) / away, (centre[1] - pivot[1]) / away

    def level(x: float, y: float) -> float:
        return (x - pivot[0]) * ux + (y - pivot[1]) * uy

    heel, toe = _angles(edge)
    above = string - level(*edge.piece.at(0.5))
    ratio = (string - level(edge.x, edge.y)) / edge.radius
    if abs(ratio) > 1.0:
        return above, None
    share = (math.asin(ratio) - math.atan2(ux, uy) - heel) / (toe - heel)
    return above, share if 0.0 <= share <= 1.0 else None


def touching(edge: Edge, end: Point) -> float:
    """Where the edge touches a table on which the handle's end rests, as a share from the heel.

    The table is the line from ``end``, the foremost of the handle's end, that has the whole edge on
    one side: it touches the arc, or a corner where the arc does not reach so far.
    """
    heel, toe = _angles(edge)
    x, y = edge.x - end[0], edge.y - end[1]
    away = math.hypot(x, y)
    if away <= edge.radius:  # so flat an edge turns away from the end all along
        return 0.0
    angle = math.atan2(y, x) - math.acos(-edge.radius / away)
    return (min(max(angle, heel), toe) - heel) / (toe - heel)
