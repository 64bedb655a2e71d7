"""The figures that are always in view beside the picture, and what may be doubted."""

from __future__ import annotations

from typing import Any

from .. import report, rounding
from ..blank import ForgePlan
from ..derived import poll_height
from ..parameters import specs
from ..schema import shown, value_at
from ..units import mass

_HITS = {"Cut": "cut", "Dividers": "dividers", "Bit": "bit", "Plate": "plate", "Lap": "lap"}
"""Rows whose foremost figure is hit with the rule, by its name in :mod:`rounding`."""


def figures(plan: ForgePlan, units: str) -> list[dict[str, str]]:
    """The rows of the plan's summary that follow every change at once.

    ``big`` is the one figure that a row is about.
    """
    rows = report.rows(plan, units, further=False)
    return [_figure(label, text, _big(plan, label, units)) for label, text in rows]


def further(plan: ForgePlan, units: str) -> list[dict[str, str]]:
    """The other rows, which take as long as all the rest."""
    first = {label for label, _ in report.rows(plan, units, further=False)}
    rows = report.rows(plan, units)
    return [_figure(label, text, "") for label, text in rows if label not in first]


def _figure(label: str, text: str, big: str) -> dict[str, str]:
    return {"name": label.lower().replace(" ", "-"), "label": label, "text": text, "big": big}


def _big(plan: ForgePlan, label: str, units: str) -> str:
    known = rounding.figures(plan, units)
    match label:
        case "Head":
            return mass(plan.head.mass, units).split(" (")[0]
        case "Outer face":
            marked = any(mark.kind == "poll" and mark.face == "outer" for mark in plan.marks)
            return rounding.hit(plan, "poll", units) if marked else ""
        case "Inner face":
            one = plan.fold.halves == 1
            return rounding.hit(plan, "shoulder mark" if one else "shoulders", units)
    name = _HITS.get(label, "")
    return rounding.hit(plan, name, units) if name in known else ""


def doubts(plan: ForgePlan, units: str) -> list[dict[str, Any]]:
    """What is possible but odd, with its reason."""
    return [
        {"field": d.field, "text": d.message, "source": d.source, "stops": d.stops}
        for d in report.doubts(plan, units)
    ]


def lengths(plan: ForgePlan) -> dict[str, float]:
    """Keys that follow from others where they are not given: their values [mm], and a ratio."""
    head = plan.head
    edge = head.side.edge
    return {
        "eye.length": head.eye.length,
        "eye.width": head.eye.width,
        "eye.perimeter": head.eye.perimeter,
        "eye.ratio": head.eye.length / head.eye.width,
        "poll.thickness": head.plan.poll_thickness,
        "poll.height": poll_height(plan.design),
        "blade.edge_radius": edge.radius,
        "blade.edge_centre": edge.y,
        "blade.toe_back": edge.foremost - edge.toe[0],
        "blade.heel_back": edge.foremost - edge.heel[0],
    }


def values(plan: ForgePlan, units: str) -> dict[str, str]:
    """What each key comes to, of those too that are not given and follow from others."""
    follow, found = lengths(plan), {}
    for key, spec in specs():
        value = value_at(plan.design, key)
        if value is None:
            value = follow.get(key)
        if value is not None:
            found[key] = shown(round(value, 3) if key == "eye.ratio" else value, spec, units)
    return found
