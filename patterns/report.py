"""The plan in figures: as data for ``plan.json``, and as a short summary to read."""

from __future__ import annotations

import hashlib
import json
import math
import textwrap
from typing import Any

from . import __version__, weighed
from . import hang as hanging
from .blank import ForgePlan
from .fire import STATED, Heat, reading
from .forging.density import steel_mass
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


def data(profile: Profile, plan: ForgePlan) -> dict[str, Any]:
    """All figures: mm, mm2, mm3, g, degrees of angle, deg C; a stage's checks cold and hot."""
    head, design, bit, strap = plan.head, plan.design, plan.bit, plan.strap
    ahead, above = head.balance
    thinnest, thickest = head.wall_range
    stated = Heat("stated", STATED, STATED, STATED)
    return {
        "units": {
            "length": "mm",
            "area": "mm2",
            "volume": "mm3",
            "mass": "g",
            "angle": "degrees",
            "temperature": "deg C",
        },
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
        "marks": {
            "poll": [-plan.poll / 2.0, plan.poll / 2.0],
            "shoulder": [-plan.shoulders / 2.0, plan.shoulders / 2.0],
            "poll_width": plan.poll,
            "shoulder_width": plan.shoulders,
            "half_length": plan.half,
        },
        "strap": {
            "raw_length": strap.raw_length,
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
            "turning": math.degrees(head.plan.turning),
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
        "bit": {
            "steel": design.bit.steel,
            "stock_thickness": bit.stock[0],
            "stock_width": bit.stock[1],
            "cut_length": bit.cut_length,
            "forged_length": bit.length,
            "forged_depth": bit.depth,
            "forged_thickness": bit.thickness,
            "scarf": bit.scarf,
            "tip": bit.tip,
            "insertion": bit.insertion,
            "overlap": bit.overlap,
        },
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
                "checks": dict(stage.checks),
                "hot": {
                    "temperature": STATED,
                    "checks": {name: reading(cold, stated).mid for name, cold in stage.checks},
                },
            }
            for stage in plan.stages
        ],
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
            for doubt in plan.doubts
        ],
        "parameters": {
            key: {
                "value": value_at(design, key),
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


def as_json(profile: Profile, plan: ForgePlan) -> bytes:
    """``plan.json``; a figure that is no number would be an error, never ``NaN``."""
    found = data(profile, plan)
    return (json.dumps(found, indent=2, allow_nan=False, ensure_ascii=False) + "\n").encode()


def summary(plan: ForgePlan, units: str) -> list[str]:
    """A few lines: bar, marks, dividers, bit, mass, balance, doubts."""
    head, design, strap, bit = plan.head, plan.design, plan.strap, plan.bit
    ahead, above = head.balance

    rows = [
        ("Head", f"{design.name}, {mass(head.mass, units)}, {both(head.length, units)} long, "
                 f"edge {both(head.edge_length, units)}"),
        ("Bar", f"{section(design.bar.section)}, {design.bar.steel}"),
        ("Cut", both(plan.cut_length, units)),
        ("Outer face", f"poll marks {both(plan.poll, units)} apart"),
        ("Inner face", f"shoulder marks {both(plan.shoulders, units)} apart"),
        ("Dividers", f"{both(strap.divider, units)} each strap, drawn to "
                     f"{fine(strap.drawn_thickness, units)} thick"),
        ("Guard", _slips(plan, units)),
        ("Ears", f"walls {both(strap.mean_height, units)} high on the mean, "
                 f"{length(plan.spread.natural_height, units)} by drawing alone; "
                 f"{plan.spread.verdict}"),
        ("Eye", f"{design.eye.form}, {both(head.eye.length, units)} x "
                f"{both(head.eye.width, units)}, perimeter {both(head.eye.perimeter, units)}"),
        ("Bit", f"{section(bit.stock)}, {design.bit.steel}, cut {both(bit.cut_length, units)}"),
        ("Bit forged", f"{both(bit.length, units)} long, {both(bit.depth, units)} deep, "
                       f"{both(bit.thickness, units)} thick"),
        ("Balance", f"{both(abs(ahead), units)} {'ahead of' if ahead >= 0 else 'behind'} the "
                    f"eye's middle, {both(abs(above), units)} {'above' if above >= 0 else 'below'} "
                    "the centre line"),
        *([] if (hang := hanging.hang(head)) is None else hanging.rows(hang, units)),
        ("Among axes", weighed.line(weighed.where(head))),
        ("Revision", revision(design)),
    ]  # fmt: skip
    for doubt in plan.doubts:
        word = "STOP" if doubt.stops else "Doubt"
        rows.append((word, f"{doubt.field}: {doubt.message} [{doubt.source}]"))
    return [
        f"{name if i == 0 else '':<11}{line}"
        for name, text in rows
        for i, line in enumerate(textwrap.wrap(text, WIDE, break_on_hyphens=False))
    ]


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
