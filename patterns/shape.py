"""What can be wrong with a head's shape, said in the trade's words."""

from __future__ import annotations

import math

import numpy as np

from .errors import Fault
from .graph import Array, along
from .outline import SideView
from .parameters import Design
from .plan_view import PlanError
from .thickness import STEEPEST, Blade
from .units import at_least
from .units import length as shown

_SHARES = np.linspace(0.0, 1.0, 9)
"""Where along a piece of the outline it is looked at."""

_PLACES = 400
"""At how many places along the edge its weld is looked at."""


def of_plan(design: Design, error: PlanError, length: float, units: str) -> Fault:
    """The fault behind a plan view that cannot be drawn."""
    if error.reason == PlanError.MEETING:
        return Fault(
            "bar.section", shown(design.bar.thickness, units),
            "thinner: the shoulder steps close more of the eye than its front half",
            "take a thinner bar, a thicker wall or a larger eye",
        )  # fmt: skip
    if error.reason == PlanError.SIDES:
        return Fault(
            "poll.sides_forward", shown(design.poll.sides_forward, units),
            f"well short of the eye's length, {shown(length, units)}",
            "carry the square sides less far forward or lessen the overhang",
        )  # fmt: skip
    if error.reason == PlanError.REAR:
        return Fault(
            "bar.section", shown(design.bar.thickness, units),
            "thinner: the poll's steps close more of the eye than its back half",
            "take a thinner bar, a thicker wall or a larger eye",
        )  # fmt: skip
    first = min(x for x, _ in design.blade.stations)
    return Fault(
        "blade.stations", f"the first {shown(first, units)} ahead of the eye",
        f"further ahead than the wall's thickness, {shown(design.wall.thickness, units)}",
        "move the first station forward",
    )  # fmt: skip


STANDS_OUT = 1.25
"""How far the line over the eye may stand out, over the highest of ear, poll and neck, before it is
no head: a margin of our own. 1,200 random heads came to 1.17 at most."""


def after(
    side: SideView, blade: Blade, angle: float, levels: tuple[float, float], bearded: bool,
    units: str,
) -> list[Fault]:  # fmt: skip
    """Faults of the outline and the blade, measured on the drawn geometry.

    x counts from the front of the eye; ``angle`` is the edge's [degrees]; ``levels`` [mm] are the
    highest of ear, poll and neck, above and below.
    """
    import shapely

    faults: list[Fault] = []
    start = shown(blade.start, units)
    lines = [*side.top, *side.bottom, side.edge.piece]
    x, y, onward, _ = along(lines, np.tile(_SHARES, (len(lines), 1)))
    top, bottom = slice(0, len(side.top)), slice(len(side.top), -1)
    for name, run, level in (("top", top, levels[0]), ("bottom", bottom, levels[1])):
        out = float(np.abs(y[run][x[run] <= 1e-9]).max(initial=0.0))
        if out > STANDS_OUT * level:
            of_beard = name == "bottom" and bearded
            faults.append(
                Fault(
                    "blade.beard" if of_beard else f"blade.{name}",
                    f"a bend at the neck by which the line over the eye stands out "
                    f"{shown(out, units)}",
                    f"little more than ear, poll and neck do, {shown(level, units)}",
                    "make the beard narrower" if of_beard else "bend the curve less at the neck",
                )
            )  # fmt: skip
            continue
        # the pieces as far as the first station must run forward, those after it stay ahead of it
        last = int(np.argmax(x[run, -1] >= blade.start)) + 1
        if (onward[run][:last] <= 0.0).any() or (x[run][last:] < blade.start).any():
            beard = " or make the beard narrower" if name == "bottom" else ""
            faults.append(
                Fault(
                    f"blade.{name}", "a line that turns back over the eye or the neck",
                    f"a line that runs forward as far as the first station ({start} ahead of "
                    "the eye) and stays ahead of it",
                    f"bring the {'toe' if name == 'top' else 'heel'} forward{beard}",
                )
            )  # fmt: skip
    # each corner once: where a piece ends and the next begins, rounding would tie a knot
    around = [
        np.concatenate(
            [field[bottom, :-1].ravel(), field[-1, :-1], field[top, :0:-1][::-1].ravel(), [at]]
        )
        for field, at in ((x, side.top[0].x0), (y, side.top[0].y0))
    ]
    outline = shapely.polygons(np.column_stack(around))
    if not faults and not shapely.is_valid(outline):
        faults.append(
            Fault(
                "blade", "an outline that crosses itself", "top and bottom that never meet",
                "look at neck, toe, heel, beard and the curves between them",
            )
        )  # fmt: skip
    if not faults and float(x.max()) > side.edge.x + side.edge.radius + 0.01:
        faults.append(
            Fault(
                "blade", "a top or bottom that passes ahead of the edge",
                "curves that end at toe and heel", "change the angle at which they arrive",
            )
        )  # fmt: skip
    y = np.linspace(side.edge.heel[1], side.edge.toe[1], 33)
    bevel = blade.bevel
    if bevel.reach < math.inf and not _rounds_in(blade, y):
        least = blade.rounds_in
        if least is not None:
            fault = Fault(
                "blade.grind", shown(bevel.reach, units),
                "so far that the convex bevel meets the cheek, "
                f"{at_least(least, units)} at this angle",
                "take that, raise the angle or thin the last stations",
            )  # fmt: skip
        else:  # no grind would do
            fault = Fault(
                "blade.edge_angle", f"{angle:g} degrees",
                "an angle at which a convex bevel meets the cheek ahead of the first station, "
                f"{start} ahead of the eye",
                "raise the angle or thin the last stations",
            )  # fmt: skip
        faults.append(fault)
    elif float(blade.bevel_line(y).min()) <= blade.start:
        faults.append(
            Fault(
                "blade.edge_angle", f"{angle:g} degrees",
                f"an angle whose bevel ends ahead of the first station, {start} ahead of the eye",
                "raise the angle or thin the last stations",
            )
        )  # fmt: skip
    xs, ts = zip(*blade.stations, strict=True)
    steps = np.diff(ts) / np.diff(xs) if len(xs) > 1 else np.zeros(1)
    if float(np.abs(steps).max()) > STEEPEST * bevel.slope:
        faults.append(
            Fault(
                "blade.stations", "a taper steeper than the bevel",
                "a taper between stations that is flatter than the edge's bevel",
                "spread the stations or thin them evenly",
            )
        )  # fmt: skip
    return faults


def _rounds_in(blade: Blade, y: Array) -> bool:
    """Whether a convex bevel is as thick as the cheek where it ends, everywhere along the edge."""
    reach = blade.bevel.reach
    at_end = float(blade.bevel.thickness(np.array(reach)))
    return bool((blade.taper(blade.at_depth(reach, y)) <= at_end + 1e-9).all())


def covered(side: SideView, blade: Blade, lap: float) -> float:
    """Share of the edge behind which the body still covers the bit by ``lap`` [mm] or more.

    The bit is covered from where the bevel comes to its thickness. A beard that is too narrow, or
    a heel that runs out too thin, undercuts the weld there: all of it is bit, with no halves to
    hold it. Side view and blade with one origin.
    """
    import shapely

    edge = side.edge
    first, last = (math.atan2(y - edge.y, x - edge.x) for x, y in (edge.heel, edge.toe))
    turn = first + (last - first) * (np.arange(_PLACES) + 0.5) / _PLACES
    inside = edge.radius - blade.cover - lap
    if inside <= 0.0:
        return 0.0
    x, y = edge.x + inside * np.cos(turn), edge.y + inside * np.sin(turn)
    return float(shapely.contains_xy(side.flat, x, y).mean())
