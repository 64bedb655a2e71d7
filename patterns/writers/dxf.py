"""DXF for a cutting table: contours on the layers for cuts, marks and letters on that for marks.

The oldest version that carries a unit and polylines with arcs, R2000; or R12, which carries no
unit. Nothing in the file but polylines in model space: no text, no curves of other kinds, no
blocks, no dimensions. Sizes are nominal, unless the style says otherwise.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from typing import Any

from ..contour import Contour, Vertex, around
from ..cut_file import Run
from ..drawing import Drawing
from ..to_cut import PLAIN, VERSIONS, Style, to_cut
from ..units import MM_PER_INCH

_UNITS = {"in": (MM_PER_INCH, 1, 0), "mm": (1.0, 4, 1)}  # divisor, $INSUNITS, $MEASUREMENT
_LOCK = threading.Lock()


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


def write(drawing: Drawing, units: str, style: Style = PLAIN) -> bytes:
    """The drawing as DXF, in ``"in"`` or ``"mm"``; the same input gives the same bytes.

    Purpose CUT becomes closed polylines on the layers for cuts, arcs as bulges. Marks, centre,
    thin, hidden and dimension lines, and the strokes of the letters, go to the layer for marks. A
    contour with a lead-in is one open polyline: the lead, and all the way round.

    Raises
    ------
    ValueError
        For other units, a label that cannot be set, or a drawing that is not fit to cut in this
        style: all faults at once.
    """
    if units not in _UNITS:
        raise ValueError(f"units are {units!r}; they may be in or mm")
    return write_runs(to_cut(drawing, style), units, style)


def write_runs(runs: Sequence[Run], units: str, style: Style = PLAIN) -> bytes:
    """Runs that are ready to be cut, as DXF; of the style, its version and layers are asked."""
    if style.version not in VERSIONS:
        raise ValueError(f"the version is {style.version!r}; it may be {' or '.join(VERSIONS)}")
    from ezdxf.filemanagement import new

    scale, insert, measurement = _UNITS[units]
    with _same_every_time():
        doc = new(style.version, units=insert)
        layers = style.layers
        used = (layers.outside, layers.inside, layers.mark)
        for layer in {one.name: one for one in used}.values():
            if layer.name not in doc.layers:
                doc.layers.add(layer.name)
            doc.layers.get(layer.name).dxf.color = layer.colour
        space = doc.modelspace()
        for run in runs:
            _add(space, run, scale, style.version)
        box = around([_path(run) for run in runs])
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


def _path(run: Run) -> Contour:
    """What the tool does: the contour, or the lead and the contour back to where it began."""
    if run.lead is None:
        return run.contour
    start = run.contour.vertices[0]
    return Contour(
        (*run.lead.vertices[:-1], *run.contour.vertices, Vertex(start.x, start.y)), closed=False
    )


def _add(space: Any, run: Run, scale: float, version: str) -> None:
    path = _path(run)
    add = space.add_polyline2d if version == "R12" else space.add_lwpolyline
    add(
        [(v.x / scale, v.y / scale, v.bulge) for v in path.vertices],
        format="xyb",
        close=path.closed,
        dxfattribs={"layer": run.layer},
    )
