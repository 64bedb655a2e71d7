"""Letters cut right through, held together by bridges.

Capitals and figures, as on any stencil, a fraction on one line. A letter is cut as wide as its
stroke is drawn; between two letters stands at least a bridge. What a closed stroke surrounds would
fall out: a bridge runs through the middle of every such island, straight up and down, from one side
of the letter to the other, so that a letter of one island comes in two pieces, left and right. The
edges are straight; a curve of a letter is the run of short strokes that the lettering itself has.
"""

from __future__ import annotations

import string
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from .contour import Contour
from .lettering import CAPITAL, Glyph, signs

if TYPE_CHECKING:
    from shapely import Polygon

SIGNS = frozenset(string.ascii_uppercase + string.digits + " /.-×°+")
"""What can be cut; of other signs the counters are too small."""

_FINEST = 0.04
"""Corners of a letter that stand out by less of its stroke's width are left out: they would come as
segments too short for a machine's control."""


def least_height(stroke: float, bridge: float, letter: float) -> float:
    """Least height of letters, where none are cut under ``letter`` [mm].

    Between the arm and the loop of a 6 stand three tenths of what its height is over five strokes;
    that is to be a bridge, here and so in every other sign.

    >>> least_height(1.5, 1.5, 6.0), least_height(1.5, 1.5, 15.0)
    (12.6, 15.0)
    """
    return max(5.0 * stroke + 3.4 * bridge, letter)


def word(text: str, height: float, stroke: float, bridge: float) -> tuple[Contour, ...]:
    """The contours of a line of text that is cut through, clockwise as holes are.

    Parameters
    ----------
    text
        One line; small letters come as capitals.
    height
        Of the capitals over all [mm].
    stroke, bridge
        Width of the strokes, and of what holds islands and parts two letters [mm].

    Returns
    -------
    Contours of straight lines, the ink from x = 0 and y = 0 on. No one lies within another, so
    that nothing falls out but the letters.

    Raises
    ------
    ValueError
        For a sign that is not among :data:`SIGNS`, or letters under :func:`least_height`.

    >>> [len(word(text, 20, 2, 2)) for text in ("L", "O", "B", "8", "3/8 in")]
    [1, 2, 2, 2, 6]
    """
    from shapely import affinity, distance, union_all

    text = text.upper()
    if not SIGNS.issuperset(text):
        raise ValueError(f"no stencil letters for {''.join(sorted(set(text) - SIGNS))!r}")
    if height < least_height(stroke, bridge, 0.0) - 1e-9:
        raise ValueError(f"letters {height:g} mm high are too low for strokes {stroke:g} mm wide")
    scale = (height - stroke) / CAPITAL
    placed: list[Any] = []
    x = 0.0
    for glyph in signs(text):
        body = _body(glyph, scale, stroke)
        if body.is_empty:
            x += glyph.advance * scale
            continue
        if placed:
            before = union_all(placed[-2:])
            near = distance(before, affinity.translate(body, x))
            while near < bridge - 1e-6:
                x += max(bridge - near, 0.01)
                near = distance(before, affinity.translate(body, x))
        placed.append(affinity.translate(body, x))
        x += glyph.advance * scale
    left = min((shape.bounds[0] for shape in placed), default=0.0)
    half = stroke / 2.0
    return tuple(
        Contour.polygon((px - left, py + half) for px, py in part.exterior.coords[:-1])
        for shape in placed
        for part in _opened(shape, stroke, bridge)
    )


def _body(glyph: Glyph, scale: float, stroke: float) -> Any:
    """A sign as wide strokes, islands and all."""
    from shapely import MultiLineString, Point, line_merge, union_all

    runs = [[(scale * x, scale * y) for x, y in run] for run in glyph.strokes]
    dots = [Point(run[0]) for run in runs if len(set(run)) < 2]
    lines = line_merge(MultiLineString([run for run in runs if len(set(run)) > 1]))
    return union_all(
        [
            shape.buffer(stroke / 2.0, cap_style="square", join_style="mitre", mitre_limit=2.0)
            for shape in [*getattr(lines, "geoms", [lines]), *dots]
        ]
    )


def _opened(sign: Any, stroke: float, bridge: float) -> Iterator[Polygon]:
    """The sign with a bridge through each of its islands, and turned as holes are."""
    from shapely import box
    from shapely.geometry.polygon import orient

    for body in _polygons(sign):
        _, low, _, high = body.bounds
        found: Any = body
        held: list[float] = []
        for ring in body.interiors:
            left, _, right, _ = ring.bounds
            if any(left < x < right for x in held):
                continue  # an island above another: the same bridge holds both
            held.append(ring.centroid.x)
            half = bridge / 2.0
            found = found.difference(box(held[-1] - half, low - 1.0, held[-1] + half, high + 1.0))
        for part in _polygons(found):
            if not part.buffer(-0.4 * stroke).is_empty:  # not a splinter beside a bridge
                yield orient(part.simplify(_FINEST * stroke), sign=-1.0)


def _polygons(shape: Any) -> list[Polygon]:
    parts = getattr(shape, "geoms", [shape])
    return [part for part in parts if part.geom_type == "Polygon"]
