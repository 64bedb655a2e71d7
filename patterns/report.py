"""The plan in figures: as data for ``plan.json``, and as a short summary to read."""

from __future__ import annotations

import hashlib
import json
import math
import textwrap
from typing import Any

from . import __version__, rounding, weighed
from . import hang as hanging
from .bar_plan import BitPlan, PlatePlan
from .blank import ForgePlan
from .doubts import Doubt
from .fire import STATED, Heat, reading
from .forging.density import steel_mass
from .lettering import plain
from .parameters import Design, specs
from .profiles import Profile
from .schema import shown, value_at
from .sensitivity import sensitivity
from .sources import cited
from .units import both, change, fine, length, mass, section

WIDE = 88
"""Letters of a line of the summary, after its name."""


def revision(design: Design) -> str:
    """Eight letters that change with any parameter and with the program's version."""
    values = {key: value_at(design, key) for key, _ in specs()}
    text = json.dumps([__version__, values], sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def recipe(plan: ForgePlan, units: str) -> str:
    """The one line that tells the bar: section, cut length, steel."""
    bar = plan.design.bar
    cut = rounding.hit(plan, "cut", units)
    return f"BAR {section(bar.section)}, cut {cut}, {plain(bar.steel)}"


def data(profile: Profile, plan: ForgePlan) -> dict[str, Any]:
    """All figures: the plan's, the parameters with where they are from, the constants cited."""
    return {
        "units": {
            "length": "mm",
            "area": "mm2",
            "volume": "mm3",
            "mass": "g",
            "angle": "degrees",
            "temperature": "deg C",
        },
        **plan_data(plan),
        "parameters": {
            key: {
                "value": value_at(plan.design, key),
                "from": "profile" if key in profile.given else "default",
            }
            for key, _ in specs()
        },
        "constants": [
            {
                "name": constant.name,
                "value": constant.value,
                "unit": constant.unit,
                "work": constant.work.title if constant.work else "",
                "locator": constant.locator,
                "basis": constant.basis.value,
            }
            for constant in cited()
        ],
    }


def plan_data(plan: ForgePlan) -> dict[str, Any]:
    """The plan's figures: mm, mm2, mm3, g, degrees, deg C; a stage's checks cold and hot."""
    head, design, strap = plan.head, plan.design, plan.strap
    ahead, above = head.balance
    thinnest, thickest = head.wall_range
    stated = Heat("stated", STATED, STATED, STATED)
    return {
        "name": design.name,
        "version": __version__,
        "revision": revision(design),
        "bar": {
            "thickness": design.bar.thickness,
            "width": design.bar.width,
            "cut_length": plan.cut_length,
            "steel": design.bar.steel,
            "mass": plan.stages[0].mass,
        },
        "fold": {"form": plan.fold.name, "brief": plan.fold.brief},
        "marks": {
            "datum": "middle of the bar" if plan.fold.halves == 2 else "end of the body",
            **{
                kind: [mark.x for mark in plan.marks if mark.kind == kind]
                for kind in ("poll", "shoulder", "cut")
            },
            "faces": {mark.kind: mark.face for mark in plan.marks},
            "poll_width": plan.poll,
            "shoulder_width": plan.shoulders,
            "half_length": plan.half,
        },
        "strap": {
            "raw_length": strap.raw_length,
            "raw_width": strap.raw_width,
            "lap": strap.lap,
            "drawn_length": strap.drawn_length,
            "drawn_length_low": strap.shortest,
            "drawn_length_high": strap.longest,
            "plain_length": strap.plain_length,
            "divider_setting": strap.divider,
            "wall_thickness": strap.wall,
            "drawn_thickness": strap.drawn_thickness,
            "mean_height": strap.mean_height,
        },
        "spread": {
            "bite": plan.spread.bite,
            "coefficient": plan.spread.coefficient,
            "coefficient_needed": plan.spread.coefficient_needed,
            "natural_height": plan.spread.natural_height,
            "verdict": plan.spread.verdict,
        },
        "eye": {
            "form": design.eye.form,
            "length": head.eye.length,
            "width": head.eye.width,
            "perimeter": head.eye.perimeter,
            "area": head.eye.area,
            "cap_length": head.plan.cap_length,
            "rear_length": head.plan.rear_length,
            "turning": math.degrees(head.plan.turning),
            "sections": {
                name: {"height": y, "length": c.bounds.width, "width": c.bounds.height}
                for name, y, c in head.eye_sections
            },
            "wedge_room": head.wedge_room,
            "wall_thinnest": thinnest,
            "wall_thickest": thickest,
        },
        "head": {
            "mass": head.mass,
            "length": head.length,
            "edge_length": head.edge_length,
            "balance": {"ahead_of_eye_centre": ahead, "above_centre_line": above},
            "outline_area": head.side.contour.area,
            "volume": head.volume,
            "zones": head.volumes,
            "poll_width": head.plan.poll_width,
            "poll_thickness": head.plan.poll_thickness,
        },
        "hang": None if (found := hanging.hang(head)) is None else hanging.data(found),
        "among_axes": weighed.data(weighed.where(head)),
        "bit": None if plan.bit is None else _bit_data(plan.bit, design),
        "plate": None if plan.plate is None else _plate_data(plan.plate, design),
        "balance": [
            {
                "zone": zone.name,
                "bar": steel_mass(zone.bar),
                "finished": steel_mass(zone.finished),
                "losses": steel_mass(zone.losses),
                "scale": steel_mass(zone.scale),
                "weld": steel_mass(zone.weld),
                "grinding": steel_mass(zone.grinding),
                "trimming": steel_mass(zone.trimming),
                "dressing": steel_mass(zone.dressing),
            }
            for zone in plan.zones
        ],
        "stages": [
            {
                "stage": stage.name,
                "mass": stage.mass,
                "checks": dict(stage.lengths),
                "hot": {
                    "temperature": STATED,
                    "checks": {name: reading(cold, stated).mid for name, cold in stage.lengths},
                },
            }
            for stage in plan.stages
        ],
        "rounded": rounding.data(plan),
        "sensitivity": [
            {"slip": e.slip, "eye_perimeter": e.eye, "reach": e.reach, "mass": e.mass}
            for e in sensitivity(plan, "mm")
        ],
        "doubts": [
            {
                "field": doubt.field,
                "message": doubt.message,
                "source": doubt.source,
                "stops": doubt.stops,
            }
            for doubt in doubts(plan, plan.units)
        ],
    }


def _bit_data(bit: BitPlan, design: Design) -> dict[str, Any]:
    barbs = bit.barbs
    return {
        "form": design.bit.form,
        "steel": design.bit.steel,
        "stock_thickness": bit.stock[0],
        "stock_width": bit.stock[1],
        "cut_length": bit.cut_length,
        "forged_length": bit.length,
        "forged_back": bit.back,
        "forged_depth": bit.depth,
        "forged_thickness": bit.thickness,
        "scarf": bit.scarf,
        "tip": bit.tip,
        "insertion": bit.insertion,
        "overlap": bit.overlap,
        "barbs": None
        if barbs is None
        else {
            "near_face": list(barbs.near),
            "far_face": list(barbs.far),
            "from_back": bit.barb_row,
            "pitch": barbs.pitch,
            "height": barbs.height,
        },
    }


def _plate_data(plate: PlatePlan, design: Design) -> dict[str, Any]:
    return {
        "steel": design.plate.steel,
        "stock_thickness": plate.stock[0],
        "stock_width": plate.stock[1],
        "cut_length": plate.cut_length,
        "thickness": plate.thickness,
        "width": plate.width,
        "height": plate.height,
    }


def as_json(profile: Profile, plan: ForgePlan) -> bytes:
    """``plan.json``; a figure that is no number would be an error, never ``NaN``."""
    found = data(profile, plan)
    return (json.dumps(found, indent=2, allow_nan=False, ensure_ascii=False) + "\n").encode()


def rows(plan: ForgePlan, units: str, further: bool = True) -> list[tuple[str, str]]:
    """What a smith asks for first, each with its name: bar, marks, dividers, bit, mass, balance.

    Without ``further``, what takes as long to tell as all the rest is left out: which measure to
    guard, the hang, the place among weighed axes.
    """
    head, design = plan.head, plan.design
    ahead, above = head.balance
    return [
        ("Head", f"{design.name}, {mass(head.mass, units)}, {both(head.length, units)} long, "
                 f"edge {both(head.edge_length, units)}"),
        ("Fold", plan.fold.brief),
        ("Bar", f"{section(design.bar.section)}, {design.bar.steel}"),
        ("Cut", rounding.beside(plan, "cut", units)),
        *_mark_rows(plan, units),
        *_strap_rows(plan, units, further),
        ("Eye", f"{design.eye.form}, {both(head.eye.length, units)} x "
                f"{both(head.eye.width, units)}, perimeter {both(head.eye.perimeter, units)}"),
        *_steel_rows(plan, units),
        ("Balance", f"{both(abs(ahead), units)} {'ahead of' if ahead >= 0 else 'behind'} the "
                    f"eye's middle, {both(abs(above), units)} {'above' if above >= 0 else 'below'} "
                    "the centre line"),
        *(_beside_others(plan, units) if further else []),
        *_rounded_row(plan, units),
        ("Revision", revision(design)),
    ]  # fmt: skip


def _beside_others(plan: ForgePlan, units: str) -> list[tuple[str, str]]:
    hang = hanging.hang(plan.head)
    hung = [] if hang is None else hanging.rows(hang, units)
    return [*hung, ("Among axes", weighed.line(weighed.where(plan.head)))]


def doubts(plan: ForgePlan, units: str) -> tuple[Doubt, ...]:
    """Every doubt about a plan, those about the smith's own mark among them."""
    return (*plan.doubts, *rounding.doubts(plan, units))


def summary(plan: ForgePlan, units: str) -> list[str]:
    """A few lines: bar, marks, dividers, bit, mass, balance, doubts."""
    said = rows(plan, units)
    for doubt in doubts(plan, units):
        word = "STOP" if doubt.stops else "Doubt"
        said.append((word, f"{doubt.field}: {doubt.message} [{doubt.source}]"))
    return [
        f"{name if i == 0 else '':<11}{line}"
        for name, text in said
        for i, line in enumerate(textwrap.wrap(text, WIDE, break_on_hyphens=False))
    ]


def _rounded_row(plan: ForgePlan, units: str) -> list[tuple[str, str]]:
    """What rounding to the smith's mark did; nothing if he tells none."""
    if not rounding.rule_of(plan, units).told:
        return []
    return [("Rounded", rounding.line(plan, units).removeprefix("rounded "))]


def _mark_rows(plan: ForgePlan, units: str) -> list[tuple[str, str]]:
    """What is marked on each face."""
    said: dict[str, list[str]] = {"outer": [], "inner": []}
    if plan.fold.halves == 1:
        said["inner"].append(
            f"shoulder mark {rounding.beside(plan, 'shoulder mark', units)} from the body's end"
        )
    else:
        for face, marks in said.items():
            kinds = [mark.kind for mark in plan.marks if mark.face == face]
            if "cut" in kinds:
                hinge = plan.design.fold.hinge
                marks.append(
                    f"cut across the middle, to {fine(hinge, units)} of the inner face"
                )  # fmt: skip
            for kind, name in (("poll", "poll"), ("shoulder", "shoulders")):
                if kind in kinds:
                    marks.append(f"{kind} marks {rounding.beside(plan, name, units)} apart")
    return [(f"{face.title()} face", ", ".join(marks)) for face, marks in said.items() if marks]


def _strap_rows(plan: ForgePlan, units: str, further: bool) -> list[tuple[str, str]]:
    strap, drawn = plan.strap, fine(plan.strap.drawn_thickness, units)
    each = "each strap" if plan.fold.straps == 2 else f"the {plan.fold.strap}, lap and all"
    how = f"drawn to {drawn} thick"
    if plan.fold.waisted:
        each = f"each side of the {plan.fold.strap}"
    alone = f", {length(plan.spread.natural_height, units)} by drawing alone"
    if plan.undrawn:
        how, alone = f"{drawn} thick", ""
    rows = [
        ("Dividers", f"{rounding.beside(plan, 'dividers', units)} {each}, {how}"),
        *([("Guard", _slips(plan, units))] if further else []),
        ("Ears", f"walls {both(strap.mean_height, units)} high on the mean{alone}; "
                 f"{plan.spread.verdict}"),
    ]  # fmt: skip
    if plan.fold.waisted:
        mean = "on the mean, as the walls are high" if plan.undrawn else "in the middle"
        rows.insert(
            0,
            (
                "Waist",
                f"{both(strap.raw_width, units)} wide {mean}, flaring to "
                f"{both(plan.design.bar.width, units)} at both ends",
            ),
        )
    if plan.fold.laps:
        rows.insert(
            1, ("Lap", f"{rounding.beside(plan, 'lap', units)} of scarf at the tongue's end")
        )
    return rows


def _steel_rows(plan: ForgePlan, units: str) -> list[tuple[str, str]]:
    design, bit, plate = plan.design, plan.bit, plan.plate
    rows = []
    if bit is None:
        rows.append(("Bit", f"none: the edge is of the body's {design.bar.steel}"))
    else:
        rows.append(("Bit", f"{design.bit.form}, {section(bit.stock)}, {design.bit.steel}, cut "
                            f"{rounding.beside(plan, 'bit', units)}"))  # fmt: skip
        wide = f"{both(bit.depth, units)} deep"
        if bit.overlaid:
            wide = f"{both(2.0 * bit.depth, units)} wide, flat"
        long = f"{both(bit.length, units)} long"
        if bit.back < bit.length:
            long += f", {both(bit.back, units)} at the back"
        rows.append(("Bit forged", f"{long}, {wide}, "
                                   f"{both(bit.thickness, units)} thick"))  # fmt: skip
        if bit.barbs is not None:
            rows.append(("Barbs", f"{bit.barbs.count} in all, {both(bit.barbs.pitch, units)} "
                                  "apart, staggered on the two faces"))  # fmt: skip
    if plate is not None:
        rows.append(("Plate", f"{section(plate.stock)}, {design.plate.steel}, cut "
                              f"{rounding.beside(plan, 'plate', units)}; "
                              f"{both(plate.thickness, units)} thick when ground"))  # fmt: skip
    return rows


def _slips(plan: ForgePlan, units: str) -> str:
    """What the slips of :mod:`sensitivity` do to the eye, the greatest first."""
    found = [e for e in sensitivity(plan, units) if e.eye is not None]
    found.sort(key=lambda e: -abs(e.eye or 0.0))
    told = "; ".join(f"{e.slip}: {change(e.eye or 0.0, units)}" for e in found)
    return f"drawn by thickness alone, the eye comes out off round: {told}"


def settings(profile: Profile, units: str) -> list[str]:
    """Every parameter with its value, and whether it is a default."""
    rows = []
    for key, spec in specs():
        value = shown(value_at(profile.design, key), spec, units)
        mark = "" if key in profile.given else "  (default)"
        rows.append(f"{key:<28}{value}{mark}")
    return rows
