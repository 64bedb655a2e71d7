"""Letters cut right through, held together by bridges.

Capitals and figures, as on any stencil, a fraction on one line. The alphabet is our own: strokes of
one width, level, plumb or at a slant, with the outer corners cut off. What a closed letter
surrounds would fall out, so that no letter closes: a stroke stops a bridge short of the next. All
lies on a grid of twenty steps from the middle of the lowest stroke to that of the highest; two
parallel strokes are ten steps apart, so that a stroke and a bridge have room in ten.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from .contour import Contour, Point

Runs = list[list[Point]]

STEPS = 20.0
"""Steps from the middle of the lowest stroke to that of the highest."""
APART = 10.0
"""Steps between two parallel strokes, at the least."""


class _Grid:
    """What the alphabet is drawn by, in steps: where a stroke ends that stops a bridge short.

    ``short`` is how far from the middle of the next stroke its middle line ends, ``half`` how far
    from a gap's middle, ``tip`` how far from a stroke the point of a chevron stands, ``inset`` how
    far a slanting stroke begins from the middle of the one that it leaves.
    """

    def __init__(self, stroke: float, bridge: float, step: float) -> None:
        self.short = (bridge + stroke) / step
        self.half = self.short / 2.0
        self.tip = (bridge + (0.5 + 0.5**0.5) * stroke) / step
        self.inset = 0.25 * stroke / step


def _stem() -> list[Point]:
    return [(0, 0), (0, 20)]


def _bowl(g: _Grid, left: float) -> list[Point]:
    """The upper bowl of B, P and R, from its top to the end of its lower bar."""
    return [(g.short, 20), (12, 20), (16, 16), (16, 14), (12, 10), (left, 10)]


def _ring(g: _Grid, wide: float) -> Runs:
    half = g.half
    upper: list[Point] = [
        (0, 10 + half), (0, 16), (4, 20), (wide - 4, 20), (wide, 16), (wide, 10 + half),
    ]  # fmt: skip
    return [upper, [(x, 20 - y) for x, y in upper]]


def _eight(g: _Grid) -> Runs:
    """Pinched at its waist, or it reads as an H."""
    left: list[Point] = [
        (9 - g.half, 20), (3, 20), (0, 17), (0, 13), (3, 10), (0, 7), (0, 3), (3, 0),
        (9 - g.half, 0),
    ]  # fmt: skip
    return [left, [(18 - x, y) for x, y in left], [(3, 10), (15, 10)]]


_ALPHABET: dict[str, Callable[[_Grid], Runs]] = {
    "A": lambda g: [[(0, 0), (0, 16), (4, 20), (12, 20), (16, 16), (16, 0)],
                    [(0, 8), (16 - g.short, 8)]],
    "B": lambda g: [_stem(), _bowl(g, g.short),
                    [(12, 10), (16, 6), (16, 4), (12, 0), (g.short, 0)]],
    "C": lambda g: [[(16, 20), (4, 20), (0, 16), (0, 4), (4, 0), (16, 0)]],
    "D": lambda g: [_stem(), [(g.short, 20), (12, 20), (16, 16), (16, 4), (12, 0), (g.short, 0)]],
    "E": lambda g: [[(16, 20), (0, 20), (0, 0), (16, 0)], [(0, 10), (12, 10)]],
    "F": lambda g: [[(16, 20), (0, 20), (0, 0)], [(0, 10), (12, 10)]],
    "G": lambda g: [[(16, 20), (4, 20), (0, 16), (0, 4), (4, 0), (16, 0), (16, 10), (10, 10)]],
    "H": lambda g: [_stem(), [(16, 0), (16, 20)], [(0, 10), (16, 10)]],
    "I": lambda g: [_stem()],
    "J": lambda g: [[(12, 20), (12, 4), (8, 0), (0, 0)]],
    "K": lambda g: [_stem(), [(g.tip + 10, 20), (g.tip, 10), (g.tip + 10, 0)]],
    "L": lambda g: [[(0, 20), (0, 0), (14, 0)]],
    "M": lambda g: [[(0, 0), (0, 20), (10, 10), (20, 20), (20, 0)]],
    "N": lambda g: [[(0, 0), (0, 20), (20, 0), (20, 20)]],
    "O": lambda g: _ring(g, 16),
    "P": lambda g: [_stem(), _bowl(g, 0)],
    "Q": lambda g: [*_ring(g, 16), [(12, 0), (20, 0)]],
    "R": lambda g: [_stem(), _bowl(g, 0), [(8 + g.inset, 10 - g.inset), (18, 0)]],
    "S": lambda g: [[(16, 20), (4, 20), (0, 16), (0, 14), (4, 10), (12, 10), (16, 6), (16, 4),
                     (12, 0), (0, 0)]],
    "T": lambda g: [[(0, 20), (16, 20)], [(8, 20), (8, 0)]],
    "U": lambda g: [[(0, 20), (0, 4), (4, 0), (12, 0), (16, 4), (16, 20)]],
    "V": lambda g: [[(0, 20), (9, 0), (18, 20)]],
    "W": lambda g: [[(0, 20), (0, 0), (10, 10), (20, 0), (20, 20)]],
    "X": lambda g: [[(0, 20), (20, 0)], [(0, 0), (20, 20)]],
    "Y": lambda g: [[(0, 20), (10, 10), (20, 20)], [(10, 10), (10, 0)]],
    "Z": lambda g: [[(0, 20), (20, 20), (0, 0), (20, 0)]],
    "0": lambda g: _ring(g, 12),
    "1": lambda g: [[(0, 20), (6, 20), (6, 0)], [(0, 0), (12, 0)]],
    "2": lambda g: [[(0, 20), (12, 20), (16, 16), (16, 14), (12, 10), (4, 10), (0, 6), (0, 0),
                     (16, 0)]],
    "3": lambda g: [[(0, 20), (12, 20), (16, 16), (16, 14), (12, 10), (4, 10)],
                    [(12, 10), (16, 6), (16, 4), (12, 0), (0, 0)]],
    "4": lambda g: [[(0, 20), (0, 8), (16, 8)], [(12, 20), (12, 0)]],
    "5": lambda g: [[(16, 20), (0, 20), (0, 10), (12, 10), (16, 6), (16, 4), (12, 0), (0, 0)]],
    "6": lambda g: [[(16, 20), (4, 20), (0, 16), (0, 4), (4, 0), (12, 0), (16, 4), (16, 6),
                     (12, 10), (g.short, 10)]],
    "7": lambda g: [[(0, 20), (16, 20), (6, 0)]],
    "8": _eight,
    "9": lambda g: [[(0, 0), (12, 0), (16, 4), (16, 16), (12, 20), (4, 20), (0, 16), (0, 14),
                     (4, 10), (16 - g.short, 10)]],
    "/": lambda g: [[(0, 0), (10, 20)]],
    ".": lambda g: [[(0, 0), (0.1, 0)]],
    "-": lambda g: [[(0, 10), (8, 10)]],
    "×": lambda g: [[(0, 4), (12, 16)], [(0, 16), (12, 4)]],
    "+": lambda g: [[(0, 10), (12, 10)], [(6, 4), (6, 16)]],
}  # fmt: skip

SIGNS = frozenset(_ALPHABET) | {" "}
"""What can be cut."""


def least_height(stroke: float, bridge: float, letter: float) -> float:
    """Least height of letters, where none are cut under ``letter`` [mm].

    Three strokes and two bridges, as in an E.

    >>> least_height(1.5, 1.5, 6.0), least_height(1.5, 1.5, 15.0)
    (7.5, 15.0)
    """
    return max(stroke + (stroke + bridge) * STEPS / APART, letter)


def word(text: str, height: float, stroke: float, bridge: float) -> tuple[Contour, ...]:
    """The contours of a line of text that is cut through, clockwise as holes are.

    Parameters
    ----------
    text
        One line; small letters come as capitals.
    height
        Of the capitals over all [mm].
    stroke, bridge
        Width of the strokes, and least width of what holds islands and parts two letters [mm].

    Returns
    -------
    Contours of straight lines, the ink from x = 0 and y = 0 on. No one lies within another, so
    that nothing falls out but the letters.

    Raises
    ------
    ValueError
        For a sign that is not among :data:`SIGNS`, or letters under :func:`least_height`.

    >>> [len(word(text, 20, 2, 2)) for text in ("L", "O", "B", "8", "3/8 in")]
    [1, 2, 2, 1, 5]
    """
    from shapely import affinity, distance, get_parts, union_all
    from shapely.geometry.polygon import orient

    text = text.upper()
    if not SIGNS.issuperset(text):
        raise ValueError(f"no stencil letters for {''.join(sorted(set(text) - SIGNS))!r}")
    if height < least_height(stroke, bridge, 0.0) - 1e-9:
        raise ValueError(f"letters {height:g} mm high are too low for strokes {stroke:g} mm wide")
    step = (height - stroke) / STEPS
    placed: list[Any] = []
    x = 0.0
    for sign in text:
        if sign == " ":
            x += APART * step
            continue
        body = _body(sign, step, stroke, bridge)
        if placed:
            before = union_all(placed[-2:])
            near = distance(before, affinity.translate(body, x))
            while near < bridge - 1e-6:
                x += max(bridge - near, 0.01)
                near = distance(before, affinity.translate(body, x))
        placed.append(affinity.translate(body, x))
        x = float(placed[-1].bounds[2]) + 1.5 * bridge
    half = stroke / 2.0
    return tuple(
        Contour.polygon((px, py + half) for px, py in orient(part, -1.0).exterior.coords[:-1])
        for shape in placed
        for part in get_parts(shape)
    )


def _body(sign: str, step: float, stroke: float, bridge: float) -> Any:
    """A sign as wide strokes, from x = 0 on."""
    from shapely import LineString, affinity, box, union_all

    runs = _ALPHABET[sign](_Grid(stroke, bridge, step))
    lines = [LineString([(x * step, y * step) for x, y in run]) for run in runs]
    body = union_all(
        [
            line.buffer(stroke / 2.0, cap_style="square", join_style="mitre", mitre_limit=2.5)
            for line in lines
        ]
    ).simplify(1e-6)
    left, _, right, _ = body.bounds
    half = stroke / 2.0  # the points of slanting strokes stand out above and below
    body = body.intersection(box(left, -half, right, STEPS * step + half))
    return affinity.translate(body, -body.bounds[0])
