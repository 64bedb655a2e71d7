"""Lines of the finished head that more than one sheet draws."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from .contour import Contour, Piece
from .graph import Array
from .head import Head, heights_at


def eye_lines(head: Head) -> tuple[Contour, Contour]:
    """From the side, where the eye begins and ends behind the wall, over its height."""
    ends = head.plan.eye_back, head.plan.eye_front
    high, low = heights_at(head, ends)
    back, front = (
        Contour.line((x, float(a)), (x, float(b))) for x, a, b in zip(ends, low, high, strict=True)
    )
    return back, front


def bevel_line(head: Head) -> Contour:
    """Where the ground bevel ends, from heel to toe."""
    return _across_blade(head, head.blade.bevel_line, head.blade.bevel_width)


def bit_line(head: Head) -> Contour:
    """Where the bit ends inside the blade."""
    depth = head.blade.bit.depth
    return _across_blade(head, lambda y: head.blade.at_depth(depth, y), depth)


def _across_blade(head: Head, line: Callable[[Array], Array], depth: float) -> Contour:
    """A line x(y) across the blade, so deep behind the edge, as far as the outline."""
    import shapely

    box = head.side.contour.bounds
    y = np.linspace(box.bottom, box.top, 61)
    inside = np.abs(y - head.side.edge.y) < head.side.edge.radius - depth
    y = y[inside] if inside.sum() > 2 else y
    run = shapely.LineString(np.column_stack([line(y), y]))
    cut = run.intersection(head.side.flat)
    parts = [part for part in getattr(cut, "geoms", [cut]) if part.length > 1.0]
    longest = max(parts, key=lambda part: part.length, default=run)
    return Contour.line(*((float(a), float(b)) for a, b in longest.coords))


def blade_section(head: Head, start: float) -> tuple[Array, Array, Array]:
    """The blade cut level through the edge's foremost point: x, and z on either side [mm].

    From ``start`` to the edge, with a point at every corner and enough of a convex bevel.
    """
    blade, end = head.blade, head.length
    corner = end - blade.bevel_width
    places = [start, *(x for x, _ in blade.stations if start < x < corner), corner, end]
    if blade.bevel.reach < math.inf:
        places += np.linspace(corner, end, 16)[1:-1].tolist()
    x = np.array(sorted(places))
    thick = blade.thickness(x, np.full_like(x, head.side.edge.y))
    middle = blade.middle(thick)
    return x, middle - thick / 2.0, middle + thick / 2.0


def plan_contour(head: Head) -> Contour:
    """The outside from above, closed at the edge."""
    x, low, high = blade_section(head, head.blade.start)
    upper = [*head.plan.skin, *_run(x, high)]
    lower = [*(p.flipped() for p in head.plan.skin), *_run(x, low)]
    return Contour.of_pieces([*lower, *(p.backwards() for p in reversed(upper))])


def _run(x: Array, z: Array) -> list[Piece]:
    return [Piece(*a, *b) for a, b in pairwise(zip(x.tolist(), z.tolist(), strict=True))]


def edge_silhouette(head: Head) -> Contour:
    """The blade seen along the head, from the edge: how far it stands out at each height."""
    import shapely

    box = head.side.contour.bounds
    blade = head.blade
    heights = np.linspace(box.bottom, box.top, 72)
    shape = head.side.flat
    ends = [[(blade.start, y), (box.right + 1.0, y)] for y in heights]
    left, _, right, _ = shapely.bounds(shapely.intersection(shapely.linestrings(ends), shape)).T
    met = ~np.isnan(left)
    x = np.linspace(left[met], right[met], 30, axis=1)
    thick = blade.thickness(x, heights[met, None])
    middle = blade.middle(thick)
    tall = heights[met].tolist()
    near = zip((middle + thick / 2.0).max(axis=1).tolist(), tall, strict=True)
    far = zip((middle - thick / 2.0).min(axis=1).tolist(), tall, strict=True)
    points = [*near, *reversed(list(far))]
    return Contour.polygon(p for i, p in enumerate(points) if p != points[i - 1])
