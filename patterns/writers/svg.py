"""SVG at true size: one user unit is one millimetre."""

from __future__ import annotations

from typing import Any

from ..drawing import Drawing, Purpose
from ..pages import Page
from .common import DASHES, PENS, clean, letters, number, path, pen


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
            if not label.text.strip():
                continue
            word = part.add(svg.g(stroke_width=number(pen(label))))
            word.set_desc(title=clean(label.text))
            word.add(svg.path(d=letters(label, dx, dy)))


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
