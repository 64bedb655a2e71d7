"""What the writers of SVG and PDF share: pens, dashes and the data of paths.

The PDF's art goes through SVG, so one set of rules draws both.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from ..contour import Contour, Piece, Point
from ..drawing import Label, Purpose

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
    parts = max(1, math.ceil(abs(piece.sweep) / (math.pi / 4.0) - 1e-9))
    return tuple(piece.part(part / parts, (part + 1) / parts) for part in range(parts))


def path(contour: Contour, dx: float, dy: float) -> str:
    """Path data of a contour; ``x + dx`` to the right and ``dy - y`` downwards [mm].

    >>> path(Contour.line((0, 0), (3, 4)), 10, 20)
    'M10 20L13 16'
    """
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


def runs(strokes: Iterable[Iterable[Point]], dx: float, dy: float) -> str:
    """Path data of open runs of points, placed as in :func:`path`.

    >>> runs([[(0, 0), (1, 0), (1, 1)]], 0, 5)
    'M0 5L1 5L1 4'
    """
    return "".join(
        [
            "M" + "L".join([f"{number(x + dx)} {number(dy - y)}" for x, y in stroke])
            for stroke in strokes
        ]
    )


def clean(text: str) -> str:
    """Text without the signs that XML does not allow."""
    return _NOT_XML.sub("", text)
