"""What a table of figures may hold: fields with kind, limits, label and help.

A schema is a frozen dataclass whose fields are made by the makers below, or are groups: dataclasses
of the same kind. Readers, messages, help and documents are made from it.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from typing import Any, Literal, get_type_hints

from .units import both_limits, length, mass, read_length, read_mass, section

Kind = Literal[
    "length", "section", "mass", "angle", "count", "number", "percent", "choice", "text", "points"
]


@dataclass(frozen=True)
class Spec:
    """What one field is: its kind, limits [mm, degrees or a plain number], label and help."""

    kind: Kind
    label: str
    help: str
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    default_text: str | None = None
    required: bool = False

    @property
    def stand_in(self) -> Any:
        """A value of the right kind, to take the place of one at fault until all are found."""
        match self.kind:
            case "section":
                return self.low, self.high
            case "points":
                return ((self.low, self.low),)
            case "text" | "choice":
                return "?"
        return self.low

    def limits(self, units: str = "in") -> str:
        """What may stand in the field, for a message."""
        match self.kind:
            case "length" | "points" | "section":
                shown = both_limits(self.low, self.high, units)
                example = {
                    "length": '"1 1/4 in" or "32 mm"',
                    "section": '"1/2 x 1 1/2 in" (thickness x width)',
                    "points": '[["1 in", "5/8 in"], ["3 in", "3/8 in"]]',
                }[self.kind]
                return f"{shown}, written with its unit, as {example}"
            case "mass":
                shown = f"{mass(self.low, units)} to {mass(self.high, units)}"
                return f'{shown}, written with its unit, as "1 lb 8 oz" or "680 g"'
            case "angle":
                return f"{self.low:g} to {self.high:g} degrees, a number"
            case "percent":
                return f'{self.low:g} to {self.high:g} percent, as "1.5 %"'
            case "choice":
                return "one of " + ", ".join(self.choices)
            case "text":
                least = f"{self.low:g} to " if self.low else "up to "
                return f"text of {least}{self.high:g} printable letters, in quotes, on one line"
            case "count":
                return f"a whole number from {self.low:g} to {self.high:g}"
        return f"a number from {self.low:g} to {self.high:g}"


def _field(spec: Spec, default: Any = None) -> Any:
    if spec.required:
        return field(metadata={"spec": spec})
    return field(default=default, metadata={"spec": spec})


def length_field(
    label: str, low: str, high: str, help: str, default: str | None = None, required: bool = False
) -> Any:
    spec = Spec("length", label, help, read_length(low), read_length(high), (), default, required)
    return _field(spec, None if default is None else read_length(default))


def section_field(label: str, low: str, high: str, help: str, required: bool = True) -> Any:
    spec = Spec("section", label, help, read_length(low), read_length(high), required=required)
    return _field(spec)


def mass_field(label: str, low: str, high: str, help: str, required: bool = False) -> Any:
    return _field(
        Spec("mass", label, help, read_mass(low), read_mass(high), required=required)
    )  # fmt: skip


def angle_field(
    label: str, low: float, high: float, help: str, default: float | None = None
) -> Any:  # fmt: skip
    return _number("angle", label, low, high, help, default, False)


def count_field(
    label: str, low: int, high: int, help: str, default: int | None = None, required: bool = False
) -> Any:
    return _number("count", label, low, high, help, default, required)


def number_field(
    label: str, low: float, high: float, help: str, default: float | None = None,
    required: bool = False,
) -> Any:  # fmt: skip
    return _number("number", label, low, high, help, default, required)


def _number(
    kind: Kind, label: str, low: float, high: float, help: str, default: float | None,
    required: bool,
) -> Any:  # fmt: skip
    text = None if default is None else f"{default:g}"
    return _field(Spec(kind, label, help, low, high, (), text, required), default)


def percent_field(
    label: str, low: float, high: float, help: str, default: float | None = None
) -> Any:  # fmt: skip
    text = None if default is None else f"{default:g} %"
    spec = Spec("percent", label, help, low, high, (), text)
    return _field(spec, None if default is None else default / 100.0)


def choice_field(
    label: str, choices: tuple[str, ...], help: str, default: str | None = None
) -> Any:  # fmt: skip
    return _field(Spec("choice", label, help, choices=choices, default_text=default), default)


def points_field(label: str, low: str, high: str, help: str, required: bool = False) -> Any:
    spec = Spec(
        "points", label, help, read_length(low), read_length(high), default_text="[]",
        required=required,
    )  # fmt: skip
    return _field(spec, ())


def text_field(label: str, most: int, help: str, default: str | None = None) -> Any:
    """Text; required where there is no default."""
    least = 0 if default == "" else 1
    return _field(Spec("text", label, help, least, most, (), default, default is None), default)


@cache  # read out of the annotations' text, which takes longer than planning a head
def _hints(owner: type) -> dict[str, Any]:
    return get_type_hints(owner)


def group_type(owner: type, name: str) -> type | None:
    """The dataclass behind a group such as ``eye``; None for a plain field."""
    hint = _hints(owner)[name]
    return hint if dataclasses.is_dataclass(hint) and isinstance(hint, type) else None


@cache
def specs(owner: type) -> tuple[tuple[str, Spec], ...]:
    """Every field with its dotted key, in the order of the schema."""
    return tuple(_specs(owner, ""))


def _specs(owner: type, prefix: str) -> Iterator[tuple[str, Spec]]:
    for entry in dataclasses.fields(owner):
        inner = group_type(owner, entry.name)
        if inner is not None:
            yield from _specs(inner, f"{prefix}{entry.name}.")
        else:
            yield f"{prefix}{entry.name}", entry.metadata["spec"]


def spec_at(owner: type, key: str) -> Spec:
    """What the schema says of a dotted key."""
    *groups, name = key.split(".")
    at: Any = owner
    for group in groups:
        at = group_type(at, group)
    found: Spec = at.__dataclass_fields__[name].metadata["spec"]
    return found


def value_at(design: Any, key: str) -> Any:
    """The value of a dotted key."""
    for part in key.split("."):
        design = getattr(design, part)
    return design


def in_full(value: Any, spec: Spec) -> str:
    """A value as TOML writes it, with every figure, so that it reads back as it is.

    >>> in_full(31.75, Spec("length", "Cut", "")), in_full(0.015, Spec("percent", "Scale", ""))
    ('"31.75 mm"', '"1.5 %"')
    """
    match spec.kind:
        case "length":
            return f'"{_plain(value)} mm"'
        case "section":
            return f'"{_plain(value[0])} x {_plain(value[1])} mm"'
        case "mass":
            return f'"{_plain(value)} g"'
        case "percent":
            return f'"{_plain(round(value * 100.0, 12))} %"'
        case "points":
            pairs = (f'["{_plain(a)} mm", "{_plain(b)} mm"]' for a, b in value)
            return f"[{', '.join(pairs)}]"
        case "count":
            return str(value)
        case "angle" | "number":
            return _plain(value)
    return json.dumps(value, ensure_ascii=False)


def _plain(value: float) -> str:
    """A number with every figure and no power of ten."""
    return format(Decimal(repr(float(value))), "f")


def shown(value: Any, spec: Spec, units: str = "in") -> str:
    """A field's value for people, in the units they chose."""
    if value is None:
        return "not given"
    match spec.kind:
        case "length":
            return length(value, units)
        case "section":
            return section(value)
        case "points":
            return ", ".join(f"{length(a, units)}: {length(b, units)}" for a, b in value) or "none"
        case "mass":
            return mass(value, units)
        case "percent":
            return f"{value * 100:g} %"
        case "angle":
            return f"{value:g} degrees"
    return str(value)
