"""What the writers of SVG and PDF share: pens, dashes and the data of paths.

The PDF's art goes through SVG, so one set of rules draws both.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from itertools import pairwise

from .. import lettering
from ..contour import Contour, Piece, Point
from ..drawing import Label, Purpose
from ..lettering import Glyph

PENS: dict[Purpose, float] = {
    Purpose.OUTLINE: 0.7,
    Purpose.CUT: 0.7,
    Purpose.MARK: 0.7,
    Purpose.THIN: 0.35,
    Purpose.HIDDEN: 0.35,
    Purpose.CENTRE: 0.25,
    Purpose.HATCH: 0.25,
    Purpose.DIMENSION: 0.25,
    Purpose.LETTER: 0.25,
}
"""Widths of lines [mm], from the series of ISO 128; thick to thin at least 2:1."""

DASHES: dict[Purpose, tuple[float, ...]] = {
    Purpose.CENTRE: (8.0, 1.5, 1.0, 1.5),
    Purpose.HIDDEN: (3.0, 1.5),
}
"""Lengths of dash, gap, dash, gap [mm]; other lines are whole."""

_STRAIGHT = 1e-6  # an arc that stands off its chord by less [mm] is written as a line
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


def pen(label: Label) -> float:
    """Width of the stroke of a label [mm].

    >>> round(pen(Label("A", 0, 0, 2.7)), 3), round(pen(Label("A", 0, 0, 2.7, bold=True)), 3)
    (0.3, 0.45)
    """
    return max(0.25, label.height / (6.0 if label.bold else 9.0))


def number(value: float) -> str:
    """A coordinate to 0.1 um, without trailing noughts.

    >>> number(215.89999999999998), number(-0.00001), number(3.0)
    ('215.9', '0', '3')
    """
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def eighths(piece: Piece) -> tuple[Piece, ...]:
    """An arc cut into equal parts of 45 degrees or less; a line, or a flat arc, as it is."""
    if piece.bulge == 0.0:
        return (piece,)
    sagitta = abs(piece.bulge) * piece.chord / 2.0
    if sagitta < _STRAIGHT:
        return (Piece(piece.x0, piece.y0, piece.x1, piece.y1),)
    parts = math.ceil(abs(piece.sweep) / (math.pi / 4.0) - 1e-9)
    if parts <= 1:
        return (piece,)
    return tuple(piece.part(part / parts, (part + 1) / parts) for part in range(parts))


def path(contour: Contour, dx: float, dy: float) -> str:
    """Path data of a contour; ``x + dx`` to the right and ``dy - y`` downwards [mm].

    >>> path(Contour.line((0, 0), (3, 4)), 10, 20)
    'M10 20L13 16'
    """
    if contour.straight:
        places = (f"{number(v.x + dx)} {number(dy - v.y)}" for v in contour.vertices)
        return f"M{'L'.join(places)}{'Z' if contour.closed else ''}"
    first = contour.vertices[0]
    found = [f"M{number(first.x + dx)} {number(dy - first.y)}"]
    pieces = contour.pieces
    if contour.closed and pieces and pieces[-1].bulge == 0.0:
        pieces = pieces[:-1]  # Z draws it
    for whole in pieces:
        for piece in eighths(whole):
            end = f"{number(piece.x1 + dx)} {number(dy - piece.y1)}"
            if piece.bulge == 0.0:
                found.append(f"L{end}")
            else:
                radius = number(piece.radius)
                found.append(f"A{radius} {radius} 0 0 {0 if piece.bulge > 0 else 1} {end}")
    if contour.closed:
        found.append("Z")
    return "".join(found)


@lru_cache(maxsize=4096)
def _sign(glyph: Glyph, scale: float, turn: Point) -> tuple[tuple[float, float, str], ...]:
    """A sign's strokes, turned: where each begins, and the rest as relative steps."""
    c, s = turn
    found = []
    for stroke in glyph.strokes:
        placed = [(scale * (c * x - s * y), -scale * (s * x + c * y)) for x, y in stroke]
        # steps between rounded places, so that nothing adds up along the stroke
        fixed = [(round(x, 4), round(y, 4)) for x, y in placed]
        steps = [f"{number(b[0] - a[0])} {number(b[1] - a[1])}" for a, b in pairwise(fixed)]
        found.append((*fixed[0], "l" + (" ".join(steps) or "0 0")))
    return tuple(found)


def letters(label: Label, dx: float, dy: float) -> str:
    """Path data of a label's strokes, placed as in :func:`path`.

    >>> letters(Label("L", 1, 2, height=21), 0, 30)
    'M1 7l0 21M1 28l12 0'
    """
    scale, signs = lettering.line(label.text, label.height)
    (x0, y0), (c, s) = label.start, label.turn
    return "".join(
        [
            f"M{number(x0 + dx + c * at + x)} {number(dy - y0 - s * at + y)}{steps}"
            for at, glyph in signs
            for x, y, steps in _sign(glyph, scale, (c, s))
        ]
    )


def clean(text: str) -> str:
    """Text without the signs that XML does not allow."""
    return _NOT_XML.sub("", text)
