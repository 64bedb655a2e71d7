"""What more than one sheet draws of the bar."""

from __future__ import annotations

from ..bar_plan import Mark
from ..blank import ForgePlan
from ..contour import Contour, Point


def bar_face(plan: ForgePlan) -> Contour:
    """The bar from its face, as cut, its centre line at y = 0; a waisted plate flares to its ends.

    x counts from the datum of the plan's marks.
    """
    wide, waist = plan.design.bar.width / 2.0, plan.strap.raw_width / 2.0
    start, end = plan.parts[0].start, plan.parts[-1].end
    if waist >= wide:
        return Contour.rectangle(start, -wide, end, wide)
    upper = [(start, wide)]
    for part in plan.parts:
        if part.kind == "strap":
            upper += [(part.start, waist), (part.end, waist)]
    upper.append((end, wide))
    kept: list[Point] = [p for i, p in enumerate(upper) if i == 0 or p != upper[i - 1]]
    return Contour.polygon([*((x, -y) for x, y in kept), *reversed(kept)])


def towards_thick(plan: ForgePlan, mark: Mark) -> float:
    """On which side of a mark the bar is left thick: 1 to the right, -1 to the left.

    A cut has none.
    """
    if plan.fold.halves == 1:
        return -1.0
    out = 1.0 if mark.x > 0.0 else -1.0
    return out if mark.kind == "shoulder" else -out
