"""The fields of a table as the page asks for them: made from its schema, grouped as a smith thinks.

A key that is new in the schema is asked for by itself, in the group of its table.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ..parameters import Design
from ..schema import Spec, specs


@dataclass(frozen=True)
class Group:
    """Fields that belong together: ``tables`` of the schema, ``""`` for keys outside a table."""

    name: str
    title: str
    tables: tuple[str, ...]


HEAD_GROUPS = (
    Group("handle", "Handle and eye", ("eye", "handle")),
    Group("head", "Head", ("", "wall", "ears", "poll", "blade")),
    Group("bit", "Bit and plate", ("bit", "plate")),
    Group("bar", "Bar and fold", ("bar", "fold")),
    Group("hands", "My hands", ("hand", "allowances")),
)
"""How a smith thinks of a head: what it hangs on, what it is, what it is made of, and by whom."""


@dataclass(frozen=True)
class Told:
    """One of two ways to tell the same thing, by these keys and not by the other way's."""

    name: str
    label: str
    keys: tuple[str, ...]


@dataclass(frozen=True)
class Either:
    """A thing that is told in one of several ways."""

    name: str
    label: str
    group: str
    ways: tuple[Told, ...]


EITHERS = (
    Either(
        "eye", "The eye is told by", "handle",
        (
            Told("calipers", "length and width", ("eye.length", "eye.width")),
            Told("strip", "a strip of paper round the handle", ("eye.perimeter", "eye.ratio")),
        ),
    ),
    Either(
        "edge", "The edge's curve is told by", "head",
        (
            Told("radius", "its radius", ("blade.edge_radius", "blade.edge_centre")),
            Told("corners", "how far its corners lie back", ("blade.toe_back", "blade.heel_back")),
        ),
    ),
)  # fmt: skip
"""What a head tells in one way or in another."""


def head(units: str) -> list[dict[str, Any]]:
    """The groups of a head's fields, for the page."""
    found = groups(Design, HEAD_GROUPS, units)
    for group in found:
        group["ways"] = [_either(each) for each in EITHERS if each.group == group["name"]]
    return found


def groups(owner: type, wanted: Sequence[Group], units: str) -> list[dict[str, Any]]:
    """The fields of a schema in these groups; what no group names stands in the last."""
    named = {table for group in wanted for table in group.tables}
    rows = [(key, spec, key.split(".")[0] if "." in key else "") for key, spec in specs(owner)]
    found = []
    for group in wanted:
        last = group is wanted[-1]
        tables = (*group.tables, *(t for _, _, t in rows if last and t not in named))
        order = {table: i for i, table in reversed(list(enumerate(tables)))}
        held = sorted((row for row in rows if row[2] in order), key=lambda row: order[row[2]])
        fields = [field(key, spec, units) for key, spec, _ in held]
        found.append({"name": group.name, "title": group.title, "fields": fields, "ways": []})
    return found


def _either(each: Either) -> dict[str, Any]:
    ways = [{"name": way.name, "label": way.label, "keys": list(way.keys)} for way in each.ways]
    return {"name": each.name, "label": each.label, "ways": ways}


def field(key: str, spec: Spec, units: str) -> dict[str, Any]:
    """One field, for the page: all that the schema says of it, in words."""
    return {
        "key": key,
        "label": spec.label,
        "kind": spec.kind,
        "help": f"{spec.help[:1].upper()}{spec.help[1:]}.",
        "limits": _limits(spec, units),
        "default": "" if spec.default_text in (None, "[]") else spec.default_text,
        "choices": list(spec.choices) or None,
        "required": spec.required,
        "example": _example(spec, units),
        "group": key.rpartition(".")[0],
    }


def _limits(spec: Spec, units: str) -> str:
    """What may stand there, for a form: no quotes, no brackets."""
    said = spec.limits(units).removesuffix(", a number")
    for more in (", written with its unit", ", in quotes", ', as "'):
        said = said.partition(more)[0]
    return f"{said[:1].upper()}{said[1:]}"


_EXAMPLES = {
    "length": ("1 1/4 in", "32 mm"),
    "section": ("1/2 x 1 1/2 in", "12 x 40 mm"),
    "mass": ("1 lb 8 oz", "680 g"),
    "percent": ("1.5 %", "1.5 %"),
    "points": ('[["1 in", "5/8 in"], ["3 in", "3/8 in"]]', '[["25 mm", "16 mm"]]'),
}


def _example(spec: Spec, units: str) -> str:
    inch, mm = _EXAMPLES.get(spec.kind, ("", ""))
    return inch if units == "in" else mm
