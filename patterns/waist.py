"""The waist of a plate that is cut to its outline, and the walls laid out flat that ask for it."""

from __future__ import annotations

from collections.abc import Sequence

from .bar_plan import BarPlan
from .head import Head, heights_at

STEPS = 48
"""Parts of the outline of one wall."""


def waist(plan: BarPlan) -> list[tuple[float, float, float]]:
    """Half of a plate's waist, from the middle to the shoulder: x, and how far it stands above and
    below the centre line [mm].

    As wide as was told all along; or, where the walls are not drawn, at each place as their own
    height asks, with the mean width that the plan has.
    """
    half, wide = plan.shoulders / 2.0, plan.strap.raw_width
    if not plan.undrawn:
        return [(0.0, wide / 2.0, wide / 2.0), (half, wide / 2.0, wide / 2.0)]
    shares = [i / STEPS for i in range(STEPS + 1)]
    up, down = heights_at(plan.head, beside_eye(plan.head, shares))
    tall = [a - b for a, b in zip(up, down, strict=True)]
    mean = (sum(tall) - (tall[0] + tall[-1]) / 2.0) / STEPS
    by = wide / mean
    return [(half * share, by * a, -by * b) for share, a, b in zip(shares, up, down, strict=True)]


def beside_eye(head: Head, shares: Sequence[float]) -> list[float]:
    """x along the head of points of one wall, at shares of its length from the poll."""
    walls = head.plan.eye_wall
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
