"""DXF for a cutting table: contours on the layer CUT, marks and letters on the layer MARK.

The oldest version that carries a unit and polylines with arcs, R2000. Nothing in the file but
polylines in model space: no text, no curves of other kinds, no blocks, no dimensions. Sizes are
nominal; the cutter allows for the kerf.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from itertools import combinations
from typing import TYPE_CHECKING

from ..contour import SAGITTA, Bounds, Contour
from ..drawing import Drawing, Purpose
from ..errors import NotFitToCutError
from ..units import MM_PER_INCH

if TYPE_CHECKING:
    from shapely import Polygon

CUT, MARK = "CUT", "MARK"

_MARKS = frozenset(
    {
        Purpose.MARK,
        Purpose.CENTRE,
        Purpose.THIN,
        Purpose.HIDDEN,
        Purpose.DIMENSION,
        Purpose.LETTER,
    }
)
_UNITS = {"in": (MM_PER_INCH, 1, 0), "mm": (1.0, 4, 1)}  # divisor, $INSUNITS, $MEASUREMENT
_NONE = 1e-6  # a piece or gap shorter than this [mm] is none
_TOUCH = 2.0 * SAGITTA  # flattened contours are this true [mm]
_LOCK = threading.Lock()


def _marks(drawing: Drawing) -> list[Contour]:
    found = [s.contour for s in drawing.strokes if s.purpose in _MARKS]
    for label in drawing.labels:
        found += [Contour.line(*run) for run in label.strokes]
    return found


def _place(contour: Contour) -> str:
    vertex = contour.vertices[0]
    return f"the contour that begins at {vertex.x:.2f}, {vertex.y:.2f} mm"


def _ring(contour: Contour, faults: list[str]) -> Polygon | None:
    """A cut contour as a polygon, or None with what is wrong with it."""
    from shapely import LinearRing, Polygon

    where = _place(contour)
    if not contour.closed:
        faults.append(f"{where} is open")
        return None
    if any(piece.chord < _NONE for piece in contour.pieces):
        faults.append(f"{where} has a piece without length")
        return None
    points = contour.points()
    if len(points) > 2 and not LinearRing(points).is_simple:
        faults.append(f"{where} crosses or touches itself")
        return None
    if len(points) < 3 or abs(contour.area) < _NONE:
        faults.append(f"{where} has no area")
        return None
    return Polygon(points)


def lint(drawing: Drawing) -> list[str]:
    """What would make the file unfit to cut, in words; empty when there is nothing.

    >>> square = Contour.polygon([(0, 0), (30, 0), (30, 20), (0, 20)])
    >>> from patterns.drawing import Stroke
    >>> lint(Drawing("plate", "Plate", (Stroke(square, Purpose.CUT),) * 2))
    ['the contour that begins at 0.00, 0.00 mm is there twice']
    """
    from shapely import LineString, prepare, union_all

    faults: list[str] = []
    cuts = []
    for stroke in drawing.strokes:
        if stroke.filled:
            faults.append(f"{_place(stroke.contour)} is filled")
        if stroke.purpose is Purpose.CUT:
            ring = _ring(stroke.contour, faults)
            if ring is not None:
                cuts.append((stroke.contour, ring))
        elif stroke.purpose not in _MARKS:
            faults.append(
                f"{_place(stroke.contour)} is for {stroke.purpose.value}: neither cut nor mark"
            )
    if not any(stroke.purpose is Purpose.CUT for stroke in drawing.strokes):
        faults.append("there is nothing to cut")
    for (one, ring), (_, other) in combinations(cuts, 2):
        if ring.symmetric_difference(other).area < _TOUCH * one.length:
            faults.append(f"{_place(one)} is there twice")
        elif ring.exterior.distance(other.exterior) < _TOUCH:
            faults.append(f"{_place(one)} crosses or touches another")
    marks = _marks(drawing)
    for mark in marks:
        if len(mark.vertices) < 2 or any(piece.chord < _NONE for piece in mark.pieces):
            faults.append(f"{_place(mark)} has a piece without length")
    if cuts:
        plate = union_all([ring for _, ring in cuts]).buffer(_TOUCH)
        prepare(plate)
        for mark in marks:
            points = mark.points() + (mark.points()[:1] if mark.closed else [])
            if len(points) > 1 and not plate.covers(LineString(points)):
                faults.append(f"a mark runs off the plate: {_place(mark)}")
    return faults


@contextmanager
def _same_every_time() -> Iterator[None]:
    """Dates and identifiers of ezdxf held fixed within the block, and its option put back."""
    options = import_module("ezdxf").options
    with _LOCK:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before


def write(drawing: Drawing, units: str) -> bytes:
    """The drawing as DXF R2000, in ``"in"`` or ``"mm"``; the same input gives the same bytes.

    Purpose CUT becomes closed polylines on the layer CUT, arcs as bulges. Marks, centre, thin,
    hidden and dimension lines, and the strokes of the letters, go to the layer MARK.

    Raises
    ------
    ValueError
        For other units, a label that cannot be set, or a drawing that :func:`lint` finds fault
        with: all faults at once.
    """
    if units not in _UNITS:
        raise ValueError(f"units are {units!r}; they may be in or mm")
    faults = lint(drawing)
    if faults:
        raise NotFitToCutError(f"{drawing.name} is not fit to cut:\n" + "\n".join(faults))

    from ezdxf.filemanagement import new

    scale, insert, measurement = _UNITS[units]
    with _same_every_time():
        doc = new("R2000", units=insert)
        doc.layers.add(CUT, color=1)
        doc.layers.add(MARK, color=5)
        space = doc.modelspace()
        cuts = [s.contour for s in drawing.strokes if s.purpose is Purpose.CUT]
        marks = _marks(drawing)
        for layer, contours in ((CUT, cuts), (MARK, marks)):
            for contour in contours:
                space.add_lwpolyline(
                    [(v.x / scale, v.y / scale, v.bulge) for v in contour.vertices],
                    format="xyb",
                    close=contour.closed,
                    dxfattribs={"layer": layer},
                )
        box = _around([*cuts, *marks])
        low = (box.left / scale, box.bottom / scale)
        high = (box.right / scale, box.top / scale)
        doc.header["$INSUNITS"] = insert
        doc.header["$MEASUREMENT"] = measurement
        doc.header["$LUNITS"] = 2  # decimal
        doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        doc.header["$LIMMIN"], doc.header["$LIMMAX"] = low, high
        space.dxf.extmin, space.dxf.extmax = (*low, 0.0), (*high, 0.0)
        space.dxf.limmin, space.dxf.limmax = low, high
        out = io.StringIO(newline="")
        doc.write(out)
    return doc.encode(out.getvalue())


def _around(contours: list[Contour]) -> Bounds:
    box = contours[0].bounds
    for contour in contours[1:]:
        box = box.joined(contour.bounds)
    return box
