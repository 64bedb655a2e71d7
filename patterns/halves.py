"""One half of the bar as it is spread before the weld: both are forged to one outline.

It is the blade's outline with what is trimmed off, from the front of the eye, where the shoulder's
step ends, to where the body ends: at the edge, or where the ground blade is all bit. Turned over,
it serves the other half. How thick it is on the mean follows from its metal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from .bar_plan import BarPlan
from .contour import Contour

SLIVER = 1.0
"""What is smaller is not drawn [mm2]."""


@dataclass(frozen=True)
class SpreadHalf:
    """A half from its face [mm]; x from the shoulder, y from the centre line, toe upwards.

    ``length`` is along the head, ``end`` how wide it is in its foremost half, ``thickness`` on the
    mean.
    """

    contour: Contour
    length: float
    end: float
    thickness: float


def spread_half(plan: BarPlan) -> SpreadHalf:
    """The outline that each half is spread to, with the metal that the plan has for it."""
    contour = half_outline(plan).moved(-plan.head.plan.eye_front, 0.0)
    length = contour.bounds.right
    ahead = [v.y for v in contour.vertices if v.x > 0.5 * length]
    return SpreadHalf(contour, length, max(ahead) - min(ahead), half_thickness(plan))


def body_outline(plan: BarPlan) -> Contour:
    """The blade's outline ahead of the eye, as far as there is body beside the bit.

    No arc of it is further than the sagitta off its chord.
    """
    return _contour(_body(plan))


def half_outline(plan: BarPlan) -> Contour:
    """What a half is spread to: the body's outline, and the trimming all round but at the shoulder.

    Offset with its corners kept, arcs flattened to the sagitta.
    """
    import shapely

    by, front = plan.design.allowances.trimming, plan.head.plan.eye_front
    body = _body(plan)
    if by > 0.0:
        wide = body.buffer(by, join_style="mitre", mitre_limit=3.0)
        _, low, right, high = wide.bounds
        body = _largest(wide.intersection(shapely.box(front, low - 1.0, right + 1.0, high + 1.0)))
    return _contour(body)


def forged_outline(plan: BarPlan) -> Contour:
    """The whole side view with what is trimmed off all round."""
    return _contour(_grown(plan))


def bit_outline(plan: BarPlan) -> Contour:
    """The bit where it lies on a half or over the edge, as far as what is trimmed off."""
    return _contour(_bit(plan))


def uncovered(plan: BarPlan) -> tuple[Contour, ...]:
    """What a bit that lies on a half leaves of it in sight."""
    import shapely

    half = shapely.Polygon(half_outline(plan).points())
    parts = shapely.get_parts(half.difference(_bit(plan)))
    return tuple(_contour(part) for part in parts if part.area > SLIVER)


def half_thickness(plan: BarPlan) -> float:
    """How thick a half is on the mean when it is spread to its outline [mm]: before grinding and
    trimming, after scale and weld."""
    zone = plan.zone("blade")
    forged = zone.bar - zone.scale - zone.weld
    return forged / plan.fold.halves / half_outline(plan).area


def _grown(plan: BarPlan) -> Any:
    import shapely

    whole = shapely.Polygon(plan.head.side.contour.points())
    return whole.buffer(plan.design.allowances.trimming, quad_segs=32)


def _bit(plan: BarPlan) -> Any:
    import shapely

    shape, blade = _grown(plan), plan.head.blade
    _, low, right, high = shape.bounds
    y = np.linspace(low - 1.0, high + 1.0, 200)
    back = np.column_stack([blade.at_depth(blade.bit.depth, y), y])
    ahead = shapely.Polygon([*back.tolist(), (right + 1.0, high + 1.0), (right + 1.0, low - 1.0)])
    return _largest(shape.intersection(ahead))


def _body(plan: BarPlan) -> Any:
    import shapely

    head = plan.head
    blade, edge, front = head.blade, head.side.edge, head.plan.eye_front
    whole = shapely.Polygon(head.side.contour.points())
    _, low, right, high = whole.bounds
    end = min(_cheeks_end(plan), right + 1.0)
    body = _largest(whole.intersection(shapely.box(front, low - 1.0, end, high + 1.0)))
    if blade.cover > 0.0 and edge.radius > blade.cover:
        radius = edge.radius - blade.cover
        disc = shapely.Polygon(Contour.circle(edge.x, edge.y, radius).points())
        band = shapely.box(min(front, edge.x) - 1.0, edge.y - radius, edge.x, edge.y + radius)
        covered = _largest(body.intersection(disc.union(band)))
        body = covered if covered.area > 0.1 * body.area else body
    return body


def _cheeks_end(plan: BarPlan) -> float:
    """x from which on the cheeks are no thicker than the bit between them, whatever the bevel
    [mm]; infinite if they nowhere are."""
    blade, end = plan.head.blade, plan.head.length
    bit = blade.bit
    back = end - bit.depth
    kinks = {back, back + bit.scarf, end, *(x for x, _ in blade.stations if back < x < end)}
    x = np.array(sorted(kinks))
    over = blade.taper(x) - bit.plate(end - x)
    for i in np.flatnonzero(over <= 0.0)[:1]:
        if i == 0:
            return float(x[0])
        return float(np.interp(0.0, (over[i], over[i - 1]), (x[i], x[i - 1])))
    return math.inf


def _largest(shape: Any) -> Any:
    """The largest polygon of a shape."""
    import shapely

    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return max(parts, key=lambda part: part.area, default=shapely.Polygon())


def _contour(shape: Any) -> Contour:
    """A polygon's outside, counter-clockwise, without points that repeat."""
    import shapely

    ring = shapely.get_coordinates(shapely.polygons(shape.exterior.coords).normalize().exterior)
    points = [(float(x), float(y)) for x, y in ring[:-1]]
    kept = [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-6]
    found = Contour.polygon(kept)
    return found if found.area > 0.0 else found.reversed()
