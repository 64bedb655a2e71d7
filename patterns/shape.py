"""What can be wrong with a head's shape, said in the trade's words."""

from __future__ import annotations

import numpy as np

from .errors import Fault
from .outline import Frame, SideView
from .parameters import Design
from .plan_view import PlanError
from .thickness import Blade
from .units import length as shown


def before(design: Design, length: float, width: float, units: str) -> list[Fault]:
    """Faults that show before anything is drawn; ``length`` and ``width`` are the eye's [mm]."""
    faults: list[Fault] = []

    def fault(field: str, given: float, allowed: str, change: str = "") -> None:
        faults.append(Fault(field, shown(given, units), allowed, change))

    d, blade, eye = design, design.blade, design.eye
    thick, wide = d.bar.thickness, d.bar.width
    if thick > wide:
        faults.append(
            Fault(
                "bar.section",
                f"{shown(thick, units)} x {shown(wide, units)}",
                "thickness first, then the width, which is the larger",
                "turn the two round",
            )
        )
    if d.wall.thickness >= thick:
        fault(
            "wall.thickness", d.wall.thickness,
            f"less than the bar's thickness, {shown(thick, units)}",
            "thin the wall or take a thicker bar",
        )  # fmt: skip
    if width > length:
        fault(
            "eye.width", width, f"no more than the eye's length, {shown(length, units)}",
            "the length runs from poll to edge: turn the two round or make the eye longer",
        )  # fmt: skip
    if eye.form == "circle" and abs(width - length) > 1e-6:
        fault("eye.width", width, f"the same as the length of a round eye, {shown(length, units)}",
              "leave the width out or choose an ellipse")  # fmt: skip
    if eye.form == "teardrop" and eye.front_radius > width / 2.0:
        fault("eye.front_radius", eye.front_radius,
              f"no more than half the eye's width, {shown(width / 2.0, units)}",
              "make the nose smaller")  # fmt: skip
    if eye.taper < 0 or eye.taper > 0:
        _taper(design, width, fault)
    middle = blade.edge_centre if blade.edge_centre is not None else (blade.toe - blade.heel) / 2.0
    for name, height in (("toe", blade.toe), ("heel", -blade.heel)):
        least = abs(height - middle)
        if least >= 0.98 * blade.edge_radius:
            fault(
                "blade.edge_radius", blade.edge_radius,
                f"more than {shown(least / 0.98, units)}, so that the edge's arc reaches the {name}",
                "make the radius larger or the edge shorter",
            )  # fmt: skip
    ears = d.ears
    half = wide / 2.0 if d.poll.height is None else d.poll.height / 2.0
    for name, ear, neck in (
        ("above", ears.above, blade.neck_above),
        ("below", ears.below, blade.neck_below),
    ):
        if ears.form != "none" and ear is not None and ear < max(half, neck) - 1e-6:
            fault(
                f"ears.{name}", ear,
                f"at least the poll's half height and the neck, {shown(max(half, neck), units)}",
                'make the ear higher, or choose ears.form = "none"',
            )  # fmt: skip
    places = [x for x, _ in blade.stations]
    if len(set(places)) < len(places):
        faults.append(Fault("blade.stations", "two at one place", "one thickness at each place",
                            "take one of them out"))  # fmt: skip
    bit = d.bit
    if bit.tip > bit.thickness:
        fault("bit.tip", bit.tip, f"no more than the bit's thickness, {shown(bit.thickness, units)}",
              "thin the end of the scarf")  # fmt: skip
    if bit.scarf >= bit.insertion:
        fault("bit.scarf", bit.scarf, f"less than the insertion, {shown(bit.insertion, units)}",
              "make the scarf shorter or set the bit deeper")  # fmt: skip
    if bit.stock[0] > bit.stock[1]:
        faults.append(
            Fault(
                "bit.stock", f"{shown(bit.stock[0], units)} x {shown(bit.stock[1], units)}",
                "thickness first, then the width", "turn the two round",
            )
        )  # fmt: skip
    if bit.insertion >= blade.reach - (min(places) if places else 0.0):
        fault("bit.insertion", bit.insertion,
              f"less than the way from the edge to the first thickness station, "
              f"{shown(blade.reach - min(places), units)}",
              "set the bit less deep or make the blade longer")  # fmt: skip
    if places and max(places) > blade.reach:
        fault("blade.stations", max(places), f"behind the edge: less than {shown(blade.reach, units)}",
              "move the station back or make the blade longer")  # fmt: skip
    return faults


def _taper(design: Design, width: float, fault: object) -> None:
    eye = design.eye
    least = {"teardrop": eye.front_radius}.get(eye.form, width / 4.0)
    if abs(eye.taper) / 2.0 >= min(least, 0.9 * design.wall.thickness):
        fault(  # type: ignore[operator]
            "eye.taper", eye.taper,
            "less than twice the nose's radius and the wall's thickness, both ways",
            "taper less, or give the nose a larger radius",
        )  # fmt: skip


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
    if not polygon.is_valid:
        faults.append(
            Fault(
                "blade", "an outline that crosses itself", "top and bottom that never meet",
                "look at neck, toe, heel, beard and the curves between them",
            )
        )  # fmt: skip
    if faults:
        return faults
    y = np.linspace(side.edge.heel[1], side.edge.toe[1], 33)
    if polygon.bounds[2] > side.edge.x + side.edge.radius + 0.01:
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
