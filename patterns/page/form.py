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
    """Fields that belong together: keys or whole tables, ``""`` for what stands in no table."""

    name: str
    title: str
    holds: tuple[str, ...]

    def place(self, key: str) -> tuple[int, int] | None:
        """How closely a key is named here, and as which of what the group holds.

        >>> Group("eye", "Eye", ("eye", "eye.form", "")).place("eye.form")
        (8, 1)
        """
        found = [
            (len(held), i) for i, held in enumerate(self.holds)
            if key == held or key.startswith(f"{held}.") or (held == "" and "." not in key)
        ]  # fmt: skip
        return max(found, default=None)


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
    held: dict[str, list[tuple[int, dict[str, Any]]]] = {group.name: [] for group in wanted}
    for key, spec in specs(owner):
        places = [(place, group.name) for group in wanted if (place := group.place(key))]
        (_, order), name = max(places, default=((0, len(wanted[-1].holds)), wanted[-1].name))
        held[name].append((order, field(key, spec, units)))
    return [
        {
            "name": group.name, "title": group.title, "ways": [],
            "fields": [field for _, field in sorted(held[group.name], key=lambda row: row[0])],
        }
        for group in wanted
    ]  # fmt: skip


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
