"""What more than one sheet draws of the bar."""

from __future__ import annotations

from collections.abc import Sequence

from ..bar_plan import Mark
from ..blank import ForgePlan
from ..contour import Contour
from ..head import heights_at

STEPS = 48
"""Parts of the outline of one wall."""


def bar_face(plan: ForgePlan) -> Contour:
    """The bar from its face, as cut, its centre line at y = 0; a waisted plate flares to its ends.

    x counts from the datum of the plan's marks.
    """
    wide = plan.design.bar.width / 2.0
    start, end = plan.parts[0].start, plan.parts[-1].end
    if not plan.fold.waisted:
        return Contour.rectangle(start, -wide, end, wide)
    right, waist = _waist(plan), plan.strap.raw_width
    # the cheek holds what it would if it flared straight from the waist's mean width
    (shoulder, up, down) = right[-1]
    bulge = (2.0 * waist + 2.0 * wide - (up + down)) / 4.0
    if abs(up + down - waist) > 1e-6:
        right.append(((shoulder + end) / 2.0, bulge, bulge))
    right.append((end, wide, wide))
    upper = [(x, y) for x, y, _ in right]
    lower = [(x, -y) for x, _, y in right]
    left = [(-x, y) for x, y in reversed(upper[1:])], [(-x, y) for x, y in reversed(lower[1:])]
    return Contour.polygon([*left[1], *lower, *reversed(upper), *reversed(left[0])])


def _waist(plan: ForgePlan) -> list[tuple[float, float, float]]:
    """Half of a plate's waist, from the middle to the shoulder: x, and how far it stands above and
    below the centre line [mm].

    As wide as was told all along; or, where the walls are not drawn, at each place as their own
    height asks, with the mean width that the plan has.
    """
    half, wide = plan.shoulders / 2.0, plan.strap.raw_width
    if not plan.undrawn:
        return [(0.0, wide / 2.0, wide / 2.0), (half, wide / 2.0, wide / 2.0)]
    shares = [i / STEPS for i in range(STEPS + 1)]
    up, down = heights_at(plan.head, beside_eye(plan, shares))
    tall = [a - b for a, b in zip(up, down, strict=True)]
    mean = (sum(tall) - (tall[0] + tall[-1]) / 2.0) / STEPS
    by = wide / mean
    return [(half * share, by * a, -by * b) for share, a, b in zip(shares, up, down, strict=True)]


def beside_eye(plan: ForgePlan, shares: Sequence[float]) -> list[float]:
    """x along the head of points of one wall, at shares of its length from the poll."""
    walls = plan.head.plan.eye_wall
    around = sum(p.length for p in walls)
    places = []
    for share in shares:
        left = share * around
        for piece in walls:
            if left <= piece.length or piece is walls[-1]:
                places.append(piece.at(min(left / piece.length, 1.0))[0])
                break
            left -= piece.length
    return places


def waist_at(plan: ForgePlan, x: float) -> tuple[float, float]:
    """How far a plate's waist reaches below and above its centre line, near a place on it [mm]."""
    _, up, down = min(_waist(plan), key=lambda row: abs(row[0] - abs(x)))
    return -down, up


def towards_thick(plan: ForgePlan, mark: Mark) -> float:
    """On which side of a mark the bar is left thick: 1 to the right, -1 to the left.

    A cut has none.
    """
    if plan.fold.halves == 1:
        return -1.0
    out = 1.0 if mark.x > 0.0 else -1.0
    return out if mark.kind == "shoulder" else -out
