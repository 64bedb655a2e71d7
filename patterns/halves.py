"""One half of the bar as it is spread before the weld: both are forged to one outline.

It is the blade's outline with what is trimmed off, from the shoulder to where the body ends: at the
edge, or as far behind it as a bit between the halves stands out. Turned over, it serves the other
half. How thick it is on the mean follows from its metal.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .bar_plan import BarPlan
from .contour import Contour
from .folds import fold_of

FLAT = 0.02
"""Sagitta of the flattened outline [mm]."""


@dataclass(frozen=True)
class SpreadHalf:
    """A half from its face [mm]; x from the shoulder, y from the centre line, toe upwards.

    ``length`` is along the centre line, ``end`` how wide it is where it ends, ``thickness`` on the
    mean.
    """

    contour: Contour
    length: float
    end: float
    thickness: float


def spread_half(plan: BarPlan) -> SpreadHalf:
    """The outline that each half is spread to, with the metal that the plan has for it."""
    import shapely

    head, blade = plan.head, plan.head.blade
    trimming = plan.design.allowances.trimming
    start = head.plan.shoulder[0]
    box = head.side.contour.bounds.grown(trimming + 1.0)
    shape = shapely.Polygon(head.side.contour.points(FLAT))
    shape = shape.buffer(trimming, quad_segs=32).intersection(
        shapely.box(start, box.bottom, box.right, box.top)
    )
    bare = 0.0 if plan.bit is None or plan.bit.overlaid else blade.cover
    if bare > 0.0:  # the bit stands out of the halves so far
        y = np.linspace(box.bottom, box.top, 400)
        line = np.column_stack([blade.at_depth(bare, y), y])
        behind = shapely.Polygon([(start - 1.0, box.bottom), *line, (start - 1.0, box.top)])
        shape = shape.intersection(behind)
    parts = list(getattr(shape, "geoms", [shape]))
    shape = max(parts, key=lambda part: part.area)
    shape = shapely.Polygon(shape.exterior).simplify(FLAT / 2.0)
    ring = [(float(x) - start, float(y)) for x, y in shapely.get_coordinates(shape.exterior)[:-1]]
    if shape.exterior.is_ccw is False:
        ring.reverse()
    contour = Contour.polygon(ring)
    zone = plan.zone("blade")
    metal = (zone.bar - zone.scale) / fold_of(plan.design).halves
    end = contour.bounds.right
    near = [y for x, y in ring if x > 0.55 * end]
    middle = max(x for x, y in ring)
    return SpreadHalf(contour, middle, max(near) - min(near), metal / contour.area)
