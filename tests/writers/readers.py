"""What the written files hold, read by libraries that the writers do not use.

Each ``check_...`` raises AssertionError; the tests show on spoiled files that it does.
"""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pypdfium2
import svgelements

from patterns.contour import Bounds, Contour, Vertex
from patterns.drawing import Drawing, Label, Purpose, Stroke
from patterns.pages import Legend

DPI = 600
PIXEL = 25.4 / DPI  # mm
LEGEND = Legend("Lop-sided plate", "Bar 1/2 x 1 1/2 in, cut 9 3/16 in (233 mm)", "1f2e3d4c")

# A plate with nothing alike on two sides. By hand: the arc of bulge 1/2 on the chord of 50 stands
# off it by bulge x chord / 2 = 12.5, so the plate reaches from -12.5 to 160 and from 0 to 90.
PLATE = Contour(
    (
        Vertex(0.0, 0.0),
        Vertex(120.0, 0.0, math.tan(math.pi / 8.0)),  # quarter turn, radius 40
        Vertex(160.0, 40.0),
        Vertex(160.0, 70.0),
        Vertex(100.0, 90.0),
        Vertex(0.0, 50.0, 0.5),
    )
)
PLATE_BOX = Bounds(-12.5, 0.0, 160.0, 90.0)


def _plate_area() -> float:
    """Corners by the shoelace sum, written out, and two segments r^2 (a - sin a) / 2."""
    corners = (0 + 120 * 40 + 160 * (70 - 40) + (160 * 90 - 100 * 70) + 100 * 50) / 2
    quarter = 40.0**2 * (math.pi / 2 - 1) / 2
    radius = (25.0**2 + 12.5**2) / (2 * 12.5)  # chord 50, height 12.5
    angle = 2 * math.asin(25.0 / radius)
    return corners + quarter + radius**2 * (angle - math.sin(angle)) / 2


PLATE_AREA = _plate_area()
HOLE = (60.0, 30.0, 8.0)


def plate(
    purpose: Purpose = Purpose.OUTLINE, *, moved: float = 0.0, labels: bool = True
) -> Drawing:
    """The plate with a hole and marks; ``moved`` shifts its right edge [mm], to spoil it."""
    outline = replace(
        PLATE,
        vertices=tuple(v._replace(x=v.x + moved) if v.x == 160.0 else v for v in PLATE.vertices),
    )
    words = (
        Label("eye 1 3/16 in × 24°", 70.0, 52.0, 3.0),
        Label("up", 130.0, 30.0, 4.0, "middle", 90.0, True),
    )
    return Drawing(
        "plate",
        "Plate, seen from above",
        (
            Stroke(outline, purpose),
            Stroke(Contour.circle(*HOLE), purpose),
            Stroke(Contour.line((20, 10), (20, 40)), Purpose.MARK),
            Stroke(Contour.line((0, 15), (110, 15)), Purpose.CENTRE),
            Stroke(Contour.line((100, 10), (120, 60)), Purpose.HIDDEN),
            Stroke(Contour.line((85, 10), (85, 40)), Purpose.THIN),
        ),
        words if labels else (),
    )


def large(length: float = 330.0, height: float = 90.0) -> Drawing:
    """A bar with a round end and a slanting line, too long for one sheet of letter paper."""
    return Drawing(
        "bar",
        "Bar",
        (
            Stroke(
                Contour(
                    (
                        Vertex(0, 0),
                        Vertex(length - 30.0, 0, 0.6),
                        Vertex(length - 10.0, height - 20.0),
                        Vertex(40, height),
                        Vertex(0, 30),
                    )
                ),
                Purpose.OUTLINE,
            ),
            Stroke(Contour.line((10, 10), (length - 40.0, height - 30.0)), Purpose.THIN),
            Stroke(Contour.circle(length / 2.0, 40, 21), Purpose.MARK),
        ),
        (Label("beyond the join 3/8", length / 2.0 + 50, 12, 4, "middle"),),
    )


# SVG -------------------------------------------------------------------------------------------


def svg_sizes(data: bytes) -> tuple[str, str, list[float]]:
    """The root's width, height and viewBox as they are written."""
    root = ET.fromstring(data)
    return root.attrib["width"], root.attrib["height"], [
        float(part) for part in root.attrib["viewBox"].split()
    ]  # fmt: skip


def svg_box(data: bytes, name: str) -> Bounds:
    """Box [mm] of a group's paths from the sheet's upper left corner, y downwards."""
    svg = svgelements.SVG.parse(io.BytesIO(data), reify=True, ppi=96)
    (group,) = [e for e in svg.elements() if e.id == name and isinstance(e, svgelements.Group)]
    boxes = [e.bbox() for e in group.select() if isinstance(e, svgelements.Path)]
    mm = 25.4 / 96
    return Bounds(
        min(b[0] for b in boxes) * mm,
        min(b[1] for b in boxes) * mm,
        max(b[2] for b in boxes) * mm,
        max(b[3] for b in boxes) * mm,
    )


def check_svg_box(data: bytes, name: str, width: float, height: float, within: float) -> None:
    box = svg_box(data, name)
    assert abs(box.width - width) < within, box
    assert abs(box.height - height) < within, box


# PDF -------------------------------------------------------------------------------------------


def render(data: bytes, number: int) -> np.ndarray:
    """A page in grey at 600 dpi, 0 black to 255 white, row 0 at the top."""
    document = pypdfium2.PdfDocument(data)
    try:
        page = document[number]
        # a page is drawn to whole pixels: more white at the top and right, never a stretch
        width, height = (math.ceil(side * DPI / 72 - 1e-6) for side in page.get_size())
        page.set_mediabox(0, 0, width * 72 / DPI, height * 72 / DPI)
        picture = page.render(scale=DPI / 72 * (1 - 1e-6), grayscale=True).to_numpy().squeeze()
        assert picture.shape == (height, width)
        return picture.copy()
    finally:
        document.close()


def _level_bars(page: np.ndarray) -> list[float]:
    """Lengths [mm] of solid level bars over 90 mm long and over 1 mm thick."""
    step, least = 8, int(90 / PIXEL)
    every = page[::step]
    # the rows to look at: what is so long crosses one of these columns
    tried = np.flatnonzero((every[:, :: least // 2] < 128).any(axis=1))
    dark = every[tried] < 128
    total = np.zeros((dark.shape[0], dark.shape[1] + 1), dtype=np.int32)
    np.cumsum(dark, axis=1, out=total[:, 1:])
    rows = tried[(total[:, least:] - total[:, :-least] == least).any(axis=1)]
    found = []
    for group in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1):
        if len(group) < 4:  # 4 rows are over 1 mm; a thick line is 0.7 mm
            continue
        ink = 1.0 - page[group[len(group) // 2] * step].astype(float) / 255.0
        solid = np.flatnonzero(ink > 0.5)
        for run in np.split(solid, np.flatnonzero(np.diff(solid) > 1) + 1):
            if len(run) >= least:
                # grey pixels at the ends count for the part of them that is inked
                found.append(ink[run[0] - 2 : run[-1] + 3].sum() * PIXEL)
    return found


def bars(page: np.ndarray) -> tuple[list[float], list[float]]:
    """Lengths [mm] of the level and of the upright bars, shortest first."""
    return sorted(_level_bars(page)), sorted(_level_bars(page.T))


def check_bars(page: np.ndarray) -> float:
    """100 mm and 4 in level, 100 mm upright, each to half a pixel; the worst error [mm]."""
    level, upright = bars(page)
    assert len(level) == 2, level
    assert len(upright) == 1, upright
    errors = [
        abs(level[0] - 100.0),
        abs(level[1] - 101.6),
        abs(upright[0] - 100.0),
    ]
    assert max(errors) < PIXEL / 2, (level, upright)
    return max(errors)


def inked(page: np.ndarray, area: Bounds) -> Bounds:
    """Box [mm, page, y upwards] of what is dark inside an area of the page."""
    height = page.shape[0]
    left, right = round(area.left / PIXEL), round(area.right / PIXEL)
    top, bottom = height - round(area.top / PIXEL), height - round(area.bottom / PIXEL)
    dark = page[top:bottom, left:right] < 128
    ys, xs = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    return Bounds(
        (left + xs[0]) * PIXEL,
        (height - top - ys[-1] - 1) * PIXEL,
        (left + xs[-1] + 1) * PIXEL,
        (height - top - ys[0]) * PIXEL,
    )


def check_box(found: Bounds, wanted: Bounds, within: float) -> float:
    """Every edge where it should be; the worst error [mm]."""
    errors = [
        abs(found.left - wanted.left),
        abs(found.bottom - wanted.bottom),
        abs(found.right - wanted.right),
        abs(found.top - wanted.top),
    ]
    assert max(errors) <= within, (found, wanted)
    return max(errors)


def _fattened(dark: np.ndarray) -> np.ndarray:
    """Dark pixels and their eight neighbours."""
    wide = dark.copy()
    wide[:, 1:] |= dark[:, :-1]
    wide[:, :-1] |= dark[:, 1:]
    tall = wide.copy()
    tall[1:] |= wide[:-1]
    tall[:-1] |= wide[1:]
    return tall


def check_same_picture(one: np.ndarray, other: np.ndarray) -> None:
    """No dark pixel of either is more than one pixel (0.042 mm) from a dark one of the other."""
    a, b = one < 128, other < 128
    assert a.shape == b.shape
    assert a.sum() > 1000
    assert not (a & ~_fattened(b)).any()
    assert not (b & ~_fattened(a)).any()
