"""What can be wrong with a head's shape, said in the trade's words."""

from __future__ import annotations

import numpy as np

from .errors import Fault
from .outline import Frame, SideView
from .parameters import Design
from .plan_view import PlanError
from .thickness import Blade
from .units import length as shown


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
    first = min(x for x, _ in design.blade.stations)
    return Fault(
        "blade.stations", f"the first {shown(first, units)} ahead of the eye",
        f"further ahead than the wall's thickness, {shown(design.wall.thickness, units)}",
        "move the first station forward",
    )  # fmt: skip


def after(design: Design, side: SideView, blade: Blade, frame: Frame, units: str) -> list[Fault]:
    """Faults of the outline and the blade, measured on the drawn geometry."""
    import shapely

    faults: list[Fault] = []
    start = shown(blade.start - frame.eye_front, units)
    near = blade.start + blade.edge.radius / 4.0
    for name, run in (("top", side.top), ("bottom", side.bottom)):
        passed = False
        for p in run:
            nearest = min(x for x, _ in p.extremes()) if p.x0 < near or p.x1 < near else near
            turns = p.x1 <= p.x0 or nearest < p.x0 - 1e-9
            if (passed and nearest < blade.start) or (not passed and turns):
                beard = " or make the beard narrower" if name == "bottom" else ""
                faults.append(
                    Fault(
                        f"blade.{name}", "a line that turns back over the eye or the neck",
                        f"a line that runs forward as far as the first station ({start} ahead of "
                        "the eye) and stays ahead of it",
                        f"bring the {'toe' if name == 'top' else 'heel'} forward{beard}",
                    )
                )  # fmt: skip
                break
            passed = passed or p.x1 >= blade.start
    polygon = shapely.Polygon(side.contour.points(0.05))
    if not faults and not polygon.is_valid:
        faults.append(
            Fault(
                "blade", "an outline that crosses itself", "top and bottom that never meet",
                "look at neck, toe, heel, beard and the curves between them",
            )
        )  # fmt: skip
    y = np.linspace(side.edge.heel[1], side.edge.toe[1], 33)
    if not faults and polygon.bounds[2] > side.edge.x + side.edge.radius + 0.01:
        faults.append(
            Fault(
                "blade", "a top or bottom that passes ahead of the edge",
                "curves that end at toe and heel", "change the angle at which they arrive",
            )
        )  # fmt: skip
    if float(blade.bevel_line(y).min()) <= blade.start:
        faults.append(
            Fault(
                "blade.edge_angle", f"{design.blade.edge_angle:g} degrees",
                f"an angle whose bevel ends ahead of the first station, {start} ahead of the eye",
                "raise the angle or thin the last stations",
            )
        )  # fmt: skip
    xs, ts = zip(*blade.stations, strict=True)
    steps = np.diff(ts) / np.diff(xs) if len(xs) > 1 else np.zeros(1)
    if float(np.abs(steps).max()) > 0.8 * blade.slope:
        faults.append(
            Fault(
                "blade.stations", "a taper steeper than the bevel",
                "a taper between stations that is flatter than the edge's bevel",
                "spread the stations or thin them evenly",
            )
        )  # fmt: skip
    return faults
