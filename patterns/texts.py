"""A table as a form holds it: the text of every key that is given, under its dotted name.

``{"eye": {"length": "1 3/4 in"}}`` is ``{"eye.length": "1 3/4 in"}``. Numbers and lists of points
stand as TOML writes them. A key without text is not given.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from . import reading
from .errors import Fault
from .schema import Spec, in_full, specs

Texts = Mapping[str, str]


def of_table(raw: Mapping[str, Any]) -> dict[str, str]:
    """The texts of a parsed table, every value as its author spelt it.

    >>> of_table({"name": "Camp axe", "blade": {"edge_angle": 25, "stations": [["0 mm", "9 mm"]]}})
    {'name': 'Camp axe', 'blade.edge_angle': '25', 'blade.stations': '[["0 mm", "9 mm"]]'}
    """
    return dict(_flat(raw, ""))


def _flat(raw: Mapping[str, Any], prefix: str) -> Iterator[tuple[str, str]]:
    for key, value in raw.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{prefix}{key}.")
        elif isinstance(value, str):
            yield f"{prefix}{key}", value
        else:
            yield f"{prefix}{key}", json.dumps(value, ensure_ascii=False, default=str)


def to_table(owner: type, texts: Texts, units: str = "in") -> tuple[dict[str, Any], list[Fault]]:
    """The table of some texts, and the faults of those that stand for no value at all.

    >>> to_table(_design(), {"wall.thickness": "3/16 in", "eye.length": " "})
    ({'wall': {'thickness': '3/16 in'}}, [])
    """
    known, raw, faults = dict(specs(owner)), dict[str, Any](), list[Fault]()
    for key, text in texts.items():
        if key in known and not text.strip():
            continue
        fault = reading.put(owner, raw, key, text.strip(), known.get(key), units)
        if fault is not None:
            faults.append(fault)
    return raw, faults


def text_of(value: Any, spec: Spec) -> str:
    """A value in full as a form would hold it: as in TOML, but for the quotes.

    >>> text_of(31.75, Spec("length", "Cut", "")), text_of(25.0, Spec("angle", "Edge", ""))
    ('31.75 mm', '25.0')
    """
    if value is None:
        return ""
    if spec.kind in ("choice", "text"):
        return str(value)
    written = in_full(value, spec)
    return written if spec.kind == "points" else written.strip('"')


def _design() -> type:
    from .parameters import Design

    return Design
