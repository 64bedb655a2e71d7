"""The bar from its face and its edge, as cut and as drawn."""

from __future__ import annotations

from .bar_plan import Mark, Part
from .blank import ForgePlan
from .contour import Contour, Point
from .derived import poll_height
from .head import heights_at
from .waist import STEPS, beside_eye, waist


def bar_face(plan: ForgePlan) -> Contour:
    """The bar from its face, as cut, its centre line at y = 0; a waisted plate flares to its ends.

    x counts from the datum of the plan's marks.
    """
    wide = plan.design.bar.width / 2.0
    start, end = plan.parts[0].start, plan.parts[-1].end
    if not plan.fold.waisted:
        return Contour.rectangle(start, -wide, end, wide)
    right = [*waist(plan), *((end if far else (plan.shoulders / 2.0 + end) / 2.0, y, y)
                             for far, y in _cheek(plan))]  # fmt: skip
    upper = [(x, y) for x, y, _ in right]
    lower = [(x, -y) for x, _, y in right]
    left = [(-x, y) for x, y in reversed(upper[1:])], [(-x, y) for x, y in reversed(lower[1:])]
    return Contour.polygon([*left[1], *lower, *reversed(upper), *reversed(left[0])])


def _cheek(plan: ForgePlan) -> list[tuple[bool, float]]:
    """Half of a plate's width in its cheek, half-way if it has a corner there, and at its end.

    The cheek holds what it would if it flared straight from the waist's mean width.
    """
    wide, mean = plan.design.bar.width / 2.0, plan.strap.raw_width
    _, up, down = waist(plan)[-1]
    corner = (2.0 * mean + 2.0 * wide - (up + down)) / 4.0
    return [*([(False, corner)] if abs(up + down - mean) > 1e-6 else []), (True, wide)]


def waist_at(plan: ForgePlan, x: float) -> tuple[float, float]:
    """How far a plate's waist reaches below and above its centre line, near a place on it [mm]."""
    _, up, down = min(waist(plan), key=lambda row: abs(row[0] - abs(x)))
    return -down, up


def strip_edges(plan: ForgePlan, x: float) -> tuple[float, float]:
    """The edges of a face's strip at a mark, its lower edge at 0: a waisted plate is narrow between
    its ends [mm]."""
    wide = plan.design.bar.width
    if not plan.fold.waisted:
        return 0.0, wide
    low, high = waist_at(plan, x)
    return wide / 2.0 + low, wide / 2.0 + high


def towards_thick(plan: ForgePlan, mark: Mark) -> float:
    """On which side of a mark the bar is left thick: 1 to the right, -1 to the left.

    A cut has none.
    """
    if plan.fold.halves == 1:
        return -1.0
    out = 1.0 if mark.x > 0.0 else -1.0
    return out if mark.kind == "shoulder" else -out


def joined(plan: ForgePlan, drawn: list[list[Point]]) -> list[list[Point]]:
    """The outlines to draw: two straps that run on into each other as one."""
    if plan.poll or plan.fold.straps == 1:
        return drawn
    first, left, right, last = drawn
    n = len(left) // 2
    return [first, [*left[:n], *right[1:n], *right[n:], *left[n + 1 :]], last]


def part_face(plan: ForgePlan, part: Part, ears: dict[Part, list[Point]]) -> list[Point]:
    """One part of the drawn bar from its face, closed and counter-clockwise.

    A half is as wide as the bar, or flares to it from the waist; the block as high as the poll.
    """
    if part.kind == "strap":
        return ears[part]
    if plan.undrawn and part.kind == "half":
        return _cheek_face(plan, part)
    tall = plan.design.bar.width / 2.0
    left = right = poll_height(plan.design) / 2.0 if part.kind == "poll" else tall
    if plan.fold.waisted:
        mean = plan.strap.raw_width / 2.0
        left, right = (tall, mean) if part.start < 0.0 else (mean, tall)
    return [(part.start, -left), (part.end, -right), (part.end, right), (part.start, left)]


def _cheek_face(plan: ForgePlan, part: Part) -> list[Point]:
    """A cheek as it was cut, closed and counter-clockwise."""
    _, up, down = waist(plan)[-1]
    inner, outer = (part.end, part.start) if part.start < 0.0 else (part.start, part.end)
    rest = [(outer if far else (inner + outer) / 2.0, y) for far, y in _cheek(plan)]
    lower, upper = [(inner, -down), *((x, -y) for x, y in rest)], [(inner, up), *rest]
    ring = [*lower, *reversed(upper)]
    return ring if part.start >= 0.0 else ring[::-1]


def strap_face(plan: ForgePlan, part: Part) -> list[Point]:
    """One strap from the face, closed: the wall's height beside each point of the eye, laid out.

    A tongue goes from the front of the eye round its back to the front again, and on into its lap.
    """
    held = plan.poll / 2.0 if plan.fold.back == "block" else 0.0
    first = held / (held + part.length)
    if plan.fold.straps == 1:
        shares = [abs(2.0 * i / (2 * STEPS) - 1.0) for i in range(2 * STEPS + 1)]
        wrapped = part.length - plan.strap.lap
        xs = [part.start + wrapped * i / (2 * STEPS) for i in range(2 * STEPS + 1)]
    else:
        steps = range(STEPS + 1)
        shares = [first + (1.0 - first) * i / STEPS for i in steps]
        xs = [part.start + part.length * i / STEPS for i in steps]
        if part.start < 0.0:
            shares.reverse()
    up, down = heights_at(plan.head, beside_eye(plan.head, shares))
    if plan.strap.lap:
        xs, up, down = [*xs, part.end], [*up, up[-1]], [*down, down[-1]]
    return [*zip(xs, down, strict=True), *reversed(list(zip(xs, up, strict=True)))]


def drawn_edge(plan: ForgePlan) -> Contour:
    """The edge view; the straps' inner face lies at z = 0."""
    thick, wall = plan.design.bar.thickness, plan.strap.drawn_thickness
    upper: list[Point] = []
    lower: list[Point] = []
    for part in plan.drawn_parts:
        high, low = wall, 0.0
        if part.kind == "half" or (part.kind == "poll" and plan.fold.back == "cut"):
            low = wall - thick
        elif part.kind == "poll":
            high = thick
        upper += [(part.start, high), (part.end, high)]
        lower += [(part.start, low), (part.end, low)]
    if plan.fold.back == "cut":  # from the back, to the hinge
        hinge, half = wall - thick + plan.design.fold.hinge, 0.6
        upper[5:5] = [(-half, wall), (0.0, hinge), (half, wall)]
    if plan.strap.lap:  # the scarf runs out on the inner face
        lower[-1] = (lower[-1][0], wall)
        lower.insert(-1, (lower[-1][0] - plan.strap.lap, 0.0))
        upper.pop()
    kept = [p for i, p in enumerate(lower) if i == 0 or p != lower[i - 1]]
    over = [p for i, p in enumerate(upper) if i == 0 or p != upper[i - 1]]
    return Contour.polygon([*kept, *reversed(over)])
