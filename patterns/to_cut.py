"""From a drawing to the runs that a machine follows, in the style that a shop asks for.

Nominal size and true arcs, if nothing else is asked for: whoever cuts offsets the kerf. A style may
say otherwise, for one's own machine or a program that reads little: contours moved outwards by half
the kerf, so that the tool's middle runs on them; lead-ins from the scrap; segments in place of
arcs; an older version of the format; other layers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from . import cut_check
from .contour import Contour, Point, Vertex
from .cut_file import Run, nesting
from .drawing import MARKS, Drawing, Purpose
from .errors import NotFitToCutError
from .layers import OWN, Layers
from .units import MM_PER_INCH

VERSIONS = ("R2000", "R12")
"""Versions of the format that can be written."""


@dataclass(frozen=True)
class Style:
    """How a file to cut is written.

    ``segments`` is how far a straight segment in an arc's place may stand off it [mm]; None keeps
    the arcs. ``kerf`` is the width of cut that the contours allow for, ``lead`` the length of
    lead-ins [mm]; 0 for neither.
    """

    version: str = "R2000"
    segments: float | None = None
    layers: Layers = OWN
    kerf: float = 0.0
    lead: float = 0.0


PLAIN = Style()
"""Nominal size, true arcs, no lead-ins."""


def file_name(stem: str, units: str, style: Style = PLAIN) -> str:
    """A file's name, which tells its unit, and the kerf where that is in it.

    >>> file_name("blank", "in"), file_name("blank", "mm", Style(kerf=1.5, lead=6.0))
    ('blank-in.dxf', 'blank-kerf-1.50-with-leads-mm.dxf')
    """
    kerf = ""
    if style.kerf:
        kerf = f"-kerf-{style.kerf:.2f}" if units == "mm" else (
            f"-kerf-{style.kerf / MM_PER_INCH:.3f}")  # fmt: skip
    leads = "-with-leads" if style.lead else ""
    return f"{stem}{kerf}{leads}-{units}.dxf"


def runs_of(drawing: Drawing, layers: Layers = OWN) -> tuple[Run, ...]:
    """What is cut and what is marked of a drawing; its other lines are left out.

    >>> from patterns.drawing import Label, Stroke
    >>> plate = Stroke(Contour.rectangle(0, 0, 30, 20), Purpose.CUT)
    >>> [run.role for run in runs_of(Drawing("p", "P", (plate,), (Label("L", 5, 5, 3),)))]
    ['outside', 'mark', 'mark']
    """
    cuts = [stroke.contour for stroke in drawing.strokes if stroke.purpose is Purpose.CUT]
    marks = [stroke.contour for stroke in drawing.strokes if stroke.purpose in MARKS]
    for label in drawing.labels:
        marks += [Contour.line(*run) for run in label.strokes]
    roles = ["inside" if depth % 2 else "outside" for depth in nesting(cuts)]
    return (
        *(Run(cut, layers.of(role).name, role) for cut, role in zip(cuts, roles, strict=True)),
        *(Run(mark, layers.mark.name, "mark") for mark in marks),
    )


def lint(drawing: Drawing) -> list[str]:
    """What would make a file unfit to cut, whatever cuts it, in words; empty when there is nothing.

    >>> from patterns.drawing import Stroke
    >>> square = Contour.polygon([(0, 0), (30, 0), (30, 20), (0, 20)])
    >>> lint(Drawing("plate", "Plate", (Stroke(square, Purpose.CUT),) * 2))
    ['the same contour twice: it would be cut twice, at 0.00, 0.00 mm']
    """
    return _faults(drawing, runs_of(drawing))


def _faults(drawing: Drawing, runs: Sequence[Run]) -> list[str]:
    """What is wrong with a drawing, and with the runs that it comes to."""
    faults = []
    for stroke in drawing.strokes:
        at = stroke.contour.vertices[0]
        where = f"the contour that begins at {at.x:.2f}, {at.y:.2f} mm"
        if stroke.filled:
            faults.append(f"{where} is filled")
        if stroke.purpose is not Purpose.CUT and stroke.purpose not in MARKS:
            faults.append(f"{where} is for {stroke.purpose.value}: neither cut nor mark")
    if not any(run.role != "mark" for run in runs):
        faults.append("there is nothing to cut")
    for finding in cut_check.faults(runs):
        if finding.severity == "fault":
            places = "; ".join(f"{x:.2f}, {y:.2f} mm" for x, y in finding.places[:3])
            faults.append(f"{finding.words('mm')}, at {places}")
    return faults


def to_cut(drawing: Drawing, style: Style = PLAIN) -> tuple[Run, ...]:
    """The runs of a drawing in a style; a run with a lead is led to its first corner.

    Raises :class:`NotFitToCutError` with every fault that :func:`lint` finds; or where an offset by
    half the kerf would change a contour's form, or there is no room for a lead-in.
    """
    runs = runs_of(drawing, style.layers)
    faults = _faults(drawing, runs)
    if faults:
        raise NotFitToCutError(f"{drawing.name} is not fit to cut:\n" + "\n".join(faults))
    return styled(runs, style, drawing.name)


def styled(runs: Sequence[Run], style: Style, name: str) -> tuple[Run, ...]:
    """Runs of nominal size in a style, on its layers; raises as :func:`to_cut`."""
    faults: list[str] = []
    cuts = [run for run in runs if run.role != "mark"]
    marks = [run for run in runs if run.role == "mark"]
    if style.kerf:
        cuts = list(_offset(cuts, style.kerf, faults))
        if not faults:
            faults += _met(cuts)
    if style.lead and not faults:
        cuts = list(_led(cuts, marks, style, faults))
    if faults:
        raise NotFitToCutError(f"{name} cannot be cut so:\n" + "\n".join(faults))
    found = [replace(run, layer=style.layers.of(run.role).name) for run in (*cuts, *marks)]
    if style.segments is None:
        return tuple(found)
    return tuple(_flat(run, style.segments) for run in found)


def _offset(cuts: Sequence[Run], kerf: float, faults: list[str]) -> Iterator[Run]:
    """Outlines grown and holes shrunk by half the kerf."""
    from .offset import OffsetError, parallel

    for run in cuts:
        by = kerf / 2.0 if run.role == "outside" else -kerf / 2.0
        try:
            yield replace(run, contour=parallel(run.contour, by))
        except OffsetError as error:
            faults.append(f"{run.role}: {error}")


def _met(cuts: Sequence[Run]) -> Iterator[str]:
    """Contours that run into each other once they are offset."""
    for finding in cut_check.faults(cuts):
        if finding.severity == "fault":
            x, y = finding.places[0]
            yield f"offset by half the kerf: {finding.words('mm')}, at {x:.2f}, {y:.2f} mm"


def _led(
    cuts: Sequence[Run], marks: Sequence[Run], style: Style, faults: list[str]
) -> Iterator[Run]:  # fmt: skip
    """Every contour with a lead-in from the scrap."""
    from .leads import LeadError, with_lead

    every = [(other, other.contour.bounds) for other in (*cuts, *marks)]
    for run in cuts:
        box = run.contour.bounds.grown(2.0 * style.lead + style.kerf)
        others = [other.contour for other, its in every if other is not run and box.meets(its)]
        try:
            led = with_lead(
                run.contour, inside=run.role == "inside", length=style.lead,
                clearance=style.kerf / 2.0, obstacles=others,
            )  # fmt: skip
        except LeadError as error:
            faults.append(f"{run.role}: {error}")
            continue
        yield replace(run, contour=led.contour, lead=led.lead)


def _flat(run: Run, sagitta: float) -> Run:
    """A run with its arcs as straight segments; a round hole's lie about it, so that what goes into
    it still does."""
    lead = run.lead
    if lead is not None:
        lead = Contour.line(*lead.points(sagitta))
    points = run.contour.points(sagitta)
    across = cut_check.diameter(run.contour)
    if across is not None and run.role == "inside":
        points = _about(run.contour, across / 2.0, sagitta)
    flat = Contour(tuple(Vertex(*point) for point in points), run.contour.closed)
    return replace(run, contour=flat, lead=lead)


def _about(circle: Contour, radius: float, sagitta: float) -> list[Point]:
    """Where a circle's first vertex is, and the corners of a polygon that lies about it and touches
    it there, no corner further off than ``sagitta`` [mm]."""
    (cx, cy), start = circle.pieces[0].centre, circle.vertices[0]
    sides = max(3, math.ceil(math.pi / math.acos(radius / (radius + sagitta))))
    step = math.copysign(math.tau / sides, circle.area)
    begin = math.atan2(start.y - cy, start.x - cx)
    out = radius / math.cos(math.pi / sides)
    turns = [begin + (side + 0.5) * step for side in range(sides)]
    return [
        (start.x, start.y),
        *((cx + out * math.cos(turn), cy + out * math.sin(turn)) for turn in turns),
    ]
