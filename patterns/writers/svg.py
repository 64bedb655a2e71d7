"""SVG at true size: one user unit is one millimetre.

The paths' data, the pens and the dashes are used for the PDF's art as well.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any

from ..contour import Contour, Piece, Point
from ..drawing import Drawing, Label, Purpose
from ..pages import Page

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
    return f"{round(value, 4) + 0.0:.12g}"


def eighths(piece: Piece) -> tuple[Piece, ...]:
    """An arc cut into equal parts of 45 degrees or less; a line, or a flat arc, as it is."""
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
        "M" + "L".join([f"{number(x + dx)} {number(dy - y)}" for x, y in stroke])
        for stroke in strokes
    )


def clean(text: str) -> str:
    """Text without the signs that XML does not allow."""
    return _NOT_XML.sub("", text)


def _group(svg: Any, drawing: Drawing, dx: float, dy: float, prefix: str, group: Any) -> None:
    """Fill ``group`` with one group for each purpose, and one for the letters."""
    for purpose in Purpose:
        strokes = [stroke for stroke in drawing.strokes if stroke.purpose is purpose]
        if not strokes and not (purpose is Purpose.LETTER and drawing.labels):
            continue
        part = group.add(svg.g(id=prefix + purpose.value, stroke_width=PENS[purpose]))
        if purpose in DASHES:
            part["stroke-dasharray"] = " ".join(map(number, DASHES[purpose]))
        for stroke in strokes:
            line = part.add(svg.path(d=path(stroke.contour, dx, dy)))
            if stroke.filled:
                line["fill"], line["stroke"] = "#000", "none"
        if purpose is not Purpose.LETTER:
            continue
        part["stroke-linecap"] = "round"
        for label in drawing.labels:
            if not label.strokes:
                continue
            word = part.add(svg.g(stroke_width=number(pen(label))))
            word.set_desc(title=clean(label.text))
            word.add(svg.path(d=runs(label.strokes, dx, dy)))


def write(page: Page, drawing: Drawing) -> bytes:
    """One page as SVG; the same page gives the same bytes.

    The art stands in the group ``art``, with one group in it for each purpose, named by it
    (``outline``, ``cut``, ``mark``, ...); what belongs to the sheet stands in ``page``. Each
    label is a group whose title is its text. Raises :class:`ValueError` for a label that cannot
    be set.
    """
    import svgwrite

    width, height = number(page.width), number(page.height)
    svg = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    sheet = f"sheet {page.name} of {page.of}" if page.tiled else "on one sheet"
    svg.set_desc(
        title=clean(drawing.title),
        desc=clean(f"{drawing.title}, {sheet}, at true size: one user unit is one millimetre."),
    )
    svg.add(svg.rect(id="paper", insert=(0, 0), size=(width, height), fill="#fff"))
    ink = {"fill": "none", "stroke": "#000", "stroke_linejoin": "round"}
    furniture = svg.add(svg.g(id="page", **ink))
    _group(svg, page.furniture, 0.0, page.height, "page-", furniture)
    art = svg.add(svg.g(id="art", **ink))
    if page.tiled:
        window = page.window.grown(max(PENS.values()))
        shape = svg.defs.add(svg.clipPath(id="window"))
        shape.add(
            svg.rect(
                insert=(
                    number(window.left + page.dx),
                    number(page.height - window.top - page.dy),
                ),
                size=(number(window.width), number(window.height)),
            )
        )
        art["clip-path"] = "url(#window)"
    _group(svg, drawing, page.dx, page.height - page.dy, "", art)
    text: str = svg.tostring()
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + text + "\n").encode()
