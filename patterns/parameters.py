"""Everything that a smith may decide about a head, in one schema.

Words, as the trade uses them here:

bar
    The flat stock. x runs along it from its centre line, y across its width, z through its
    thickness. The *outer face* becomes the outside of the head and carries the poll; the *inner
    face* becomes the inside of the fold and carries the shoulders.
poll
    The block left thick in the middle of the bar, on the outer face, ``P`` wide along the bar.
shoulders
    The steps on the inner face where the thick halves begin, ``S`` apart.
strap, wall
    What lies between poll and shoulder. It is thinned, and becomes one *wall* of the eye.
ears
    The points that the wall is spread to, along the handle, above and below.
cheek, blade, bit
    The side of the head ahead of the eye; all that lies ahead of the eye; the hardenable insert
    that carries the edge. *Toe* is the upper corner of the edge, *heel* the lower.
centre line
    Of the head: the line along the middle of the bar's width. Heights above and below are measured
    from it, along the handle. *Above* is the end of the handle that shows above the head.

Each field below carries its label, limits, default and help; the profile reader, the command's
help, the messages and the README's table are all made from them.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal, get_type_hints

from .units import both_limits, length, read_length, section

Kind = Literal[
    "length", "section", "angle", "count", "number", "percent", "choice", "text", "points"
]

EYE_FORMS = ("teardrop", "ellipse", "stadium", "circle", "superellipse")
EAR_FORMS = ("pointed", "rounded", "none")
CURVE_FORMS = ("line", "arc", "smooth")


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


def _field(spec: Spec, default: Any) -> Any:
    if spec.required:
        return field(metadata={"spec": spec})
    return field(default=default, metadata={"spec": spec})


def _length(
    label: str, low: str, high: str, help: str, default: str | None = None, required: bool = False
) -> Any:
    spec = Spec("length", label, help, read_length(low), read_length(high), (), default, required)
    return _field(spec, None if default is None else read_length(default))


def _angle(label: str, low: float, high: float, help: str, default: float | None) -> Any:
    text = None if default is None else f"{default:g}"
    return _field(Spec("angle", label, help, low, high, default_text=text), default)


def _choice(label: str, choices: tuple[str, ...], help: str, default: str) -> Any:
    return _field(Spec("choice", label, help, choices=choices, default_text=default), default)


def _points(label: str, low: str, high: str, help: str, required: bool = False) -> Any:
    spec = Spec(
        "points", label, help, read_length(low), read_length(high), default_text="[]",
        required=required,
    )  # fmt: skip
    return _field(spec, ())


def _section(label: str, low: str, high: str, help: str) -> Any:
    spec = Spec("section", label, help, read_length(low), read_length(high), required=True)
    return _field(spec, None)


def _percent(label: str, low: float, high: float, help: str, default: float) -> Any:
    return _field(Spec("percent", label, help, low, high, (), f"{default:g} %"), default / 100.0)


def _text(label: str, most: int, help: str, default: str | None = None) -> Any:
    least = 0 if default == "" else 1
    spec = Spec("text", label, help, least, most, (), default, default is None)
    return _field(spec, default)


@dataclass(frozen=True, kw_only=True)
class Eye:
    """The hole for the handle, at the middle of its height."""

    form: str = _choice(
        "Form of the eye", EYE_FORMS,
        "teardrop: the hull of a large circle behind and a small one in front; stadium: two half "
        "circles and straight sides; superellipse: between an ellipse and a rectangle",
        "teardrop",
    )  # fmt: skip
    length: float | None = _length(
        "Length of the eye", "12 mm", "100 mm", "from the poll towards the edge"
    )
    width: float | None = _length("Width of the eye", "8 mm", "80 mm", "across the head")
    perimeter: float | None = _length(
        "Perimeter of the handle", "32 mm", "320 mm",
        "measured round a real handle with a strip of paper; in place of length and width",
    )  # fmt: skip
    ratio: float | None = _field(
        Spec("number", "Length over width", "goes with the perimeter", 1.0, 6.0), None
    )
    front_radius: float = _length(
        "Radius of the nose", "0.5 mm", "30 mm", "of a teardrop, at its narrow front", "1/8 in"
    )
    exponent: float = _field(
        Spec("number", "Exponent", "of a superellipse: 2 is an ellipse, 5 nearly a rectangle",
             2.0, 6.0, default_text="2.5"), 2.5,
    )  # fmt: skip
    taper: float = _length(
        "Taper", "-6 mm", "6 mm",
        "how much wider the eye is at the top of the ears than at their bottom; negative: narrower",
        "0 mm",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Wall:
    """The finished wall beside the eye."""

    thickness: float = _length(
        "Thickness of the wall", "1.5 mm", "20 mm", "at the middle of its height", required=True
    )


@dataclass(frozen=True, kw_only=True)
class Ears:
    """The points of the wall along the handle."""

    form: str = _choice(
        "Form of the ears", EAR_FORMS,
        "pointed: hollow flanks that meet in a point; rounded: a crest; none: a plain "
        "curve from poll to neck",
        "pointed",
    )  # fmt: skip
    above: float | None = _length(
        "Ear above", "4 mm", "120 mm", "from the centre line to the upper tip"
    )
    below: float | None = _length(
        "Ear below", "4 mm", "120 mm", "from the centre line to the lower tip"
    )
    place: float = _field(
        Spec("number", "Place of the tips", "along the eye: 0 at its back, 1 at its front",
             0.15, 0.85, default_text="0.5"), 0.5,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Poll:
    """The block behind the eye."""

    thickness: float | None = _length(
        "Thickness of the poll", "2 mm", "60 mm",
        "from its back to the eye; if not given, what the bar leaves after scale",
    )  # fmt: skip
    height: float | None = _length(
        "Height of the poll", "8 mm", "150 mm", "along the handle; if not given, the bar's width"
    )
    overhang: float = _length(
        "Overhang", "0 mm", "25 mm", "how much wider the poll is than the head at the eye, in all",
        "0 mm",
    )  # fmt: skip
    sides_forward: float = _length(
        "Square sides forward", "0 mm", "30 mm",
        "how far the square sides of the poll are carried forward of the back of the eye", "0 mm",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Curve:
    """The top or the bottom of the blade, from the front of the eye to the edge.

    Outwards means away from the centre line: up for the top, down for the bottom.
    """

    form: str = _choice(
        "Curve", CURVE_FORMS, "line: straight, or through points; arc; smooth: a fair curve",
        "smooth",
    )  # fmt: skip
    hollow: float = _length(
        "Hollow of the arc", "-60 mm", "60 mm",
        "how far the middle of an arc lies inside its chord; negative: a full, convex arc", "0 mm",
    )  # fmt: skip
    leave: float = _angle(
        "Leaves the neck at", -60, 80, "angle outwards from the centre line [degrees]", 0.0
    )
    arrive: float | None = _angle(
        "Arrives at the edge at", -80, 100,
        "angle outwards from the centre line [degrees]; if not given, a plain curve with no second "
        "bend", None,
    )  # fmt: skip
    through: tuple[tuple[float, float], ...] = _points(
        "Through points",
        "-150 mm",
        "300 mm",
        "points on the way: distance from the front of the eye, height outwards",
    )


@dataclass(frozen=True, kw_only=True)
class Blade:
    """All that lies ahead of the eye."""

    reach: float = _length(
        "Reach", "20 mm", "300 mm", "from the front of the eye to the foremost of the edge",
        required=True,
    )  # fmt: skip
    toe: float = _length(
        "Toe", "5 mm", "200 mm", "height of the toe above the centre line", required=True
    )
    heel: float = _length(
        "Heel", "5 mm", "250 mm", "depth of the heel below the centre line", required=True
    )
    neck_above: float = _length(
        "Neck above", "4 mm", "80 mm", "height of the top at the front of the eye", required=True
    )
    neck_below: float = _length(
        "Neck below", "4 mm", "80 mm", "depth of the bottom at the front of the eye", required=True
    )
    beard: float | None = _length(
        "Beard", "10 mm", "150 mm",
        "width of a beard where it leaves the neck, from the edge back; in place of bottom's curve",
    )  # fmt: skip
    edge_radius: float = _length(
        "Radius of the edge", "20 mm", "2000 mm", "of the edge's curve, seen from the side",
        required=True,
    )  # fmt: skip
    edge_centre: float | None = _length(
        "Foremost point of the edge", "-200 mm", "200 mm",
        "its height above the centre line; if not given, half-way from toe to heel",
    )  # fmt: skip
    edge_angle: float = _angle("Edge angle", 10, 60, "both bevels together [degrees]", 25.0)
    top: Curve = field(default_factory=Curve)
    bottom: Curve = field(default_factory=Curve)
    stations: tuple[tuple[float, float], ...] = _points(
        "Thickness stations", "0.5 mm", "300 mm",
        "distance ahead of the front of the eye, and the blade's thickness there", required=True,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Bit:
    """The hardenable insert."""

    steel: str = _text("Steel of the bit", 40, "as the dealer names it", "1084")
    stock: tuple[float, float] = _section(
        "Stock of the bit", "1 mm", "120 mm", "the bar that the bit is cut from"
    )
    thickness: float = _length(
        "Thickness of the bit", "1.5 mm", "25 mm", "as forged, behind the edge", required=True
    )
    insertion: float = _length(
        "Depth of insertion", "8 mm", "150 mm", "from the finished edge back to the bit's end",
        required=True,
    )  # fmt: skip
    scarf: float = _length("Scarf", "2 mm", "80 mm", "length of the tapered back", "3/8 in")
    tip: float = _length("Thin end of the scarf", "0.2 mm", "10 mm", "its thickness", "1/16 in")


@dataclass(frozen=True, kw_only=True)
class Bar:
    """The flat stock of the body."""

    section: tuple[float, float] = _section(
        "Section of the bar", "3 mm", "150 mm", "thickness by width"
    )
    steel: str = _text("Steel of the bar", 40, "as the dealer names it", "mild steel")

    @property
    def thickness(self) -> float:
        return self.section[0]

    @property
    def width(self) -> float:
        return self.section[1]


@dataclass(frozen=True, kw_only=True)
class Allowances:
    """What the fire, the grinder and the drift take."""

    heats: int = _field(
        Spec("count", "Heats", "full heats that the bar sees, bit and welding included", 0, 60,
             default_text="8"), 8,
    )  # fmt: skip
    bit_heats: int = _field(
        Spec("count", "Heats of the bit", "full heats that the bit sees", 0, 60,
             default_text="5"), 5,
    )  # fmt: skip
    scale_per_heat: float = _percent(
        "Scale per heat", 0, 6, "share of the metal lost to scale in one heat", 1.5
    )
    grinding: float = _length(
        "Grinding", "0 mm", "3 mm", "ground off each face of the blade", "1/64 in"
    )
    trimming: float = _length(
        "Trimming", "0 mm", "12 mm", "cut or ground off round the blade's outline", "1/16 in"
    )
    drift_stretch: float = _percent(
        "Drift stretch", 0, 8,
        "how much the finishing drift lengthens the walls: the strap is drawn shorter by as much", 0
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Hand:
    """The smith's own way of working."""

    bite: float = _length(
        "Bite", "3 mm", "60 mm", "length of bar under one blow in drawing the straps", "3/4 in"
    )
    step: float = _field(
        Spec("number", "Shoulder step", "length of the step's face over its height: 1 is square, "
             "1.4 a ramp of 45 degrees", 1.0, 3.0, default_text="1"), 1.0,
    )  # fmt: skip
    neutral: float = _field(
        Spec("number", "Neutral line", "of the bend, as a share of the wall from the inside", 0.3,
             0.6, default_text="0.5"), 0.5,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Design:
    """One head with its bar, as asked for. Lengths [mm], angles [degrees], shares of one."""

    name: str = _text("Name", 60, "what the head is called")
    note: str = _text("Note", 400, "what it is for", "")
    bar: Bar
    eye: Eye
    wall: Wall
    ears: Ears
    poll: Poll
    blade: Blade
    bit: Bit
    allowances: Allowances = field(default_factory=Allowances)
    hand: Hand = field(default_factory=Hand)


@cache  # read out of the annotations' text, which takes longer than planning a head
def _hints(owner: type) -> dict[str, Any]:
    return get_type_hints(owner)


def group_type(owner: type, name: str) -> type | None:
    """The dataclass behind a group such as ``eye``; None for a plain field."""
    hint = _hints(owner)[name]
    return hint if dataclasses.is_dataclass(hint) and isinstance(hint, type) else None


def specs(owner: type = Design, prefix: str = "") -> Iterator[tuple[str, Spec]]:
    """Every field with its dotted key, in the order of the schema.

    >>> keys = [key for key, spec in specs()]
    >>> keys[:3], "blade.top.form" in keys
    (['name', 'note', 'bar.section'], True)
    """
    for entry in dataclasses.fields(owner):
        inner = group_type(owner, entry.name)
        if inner is not None:
            yield from specs(inner, f"{prefix}{entry.name}.")
        else:
            yield f"{prefix}{entry.name}", entry.metadata["spec"]


def spec_at(key: str) -> Spec:
    """What the schema says of a dotted key.

    >>> spec_at("wall.thickness").kind
    'length'
    """
    *groups, name = key.split(".")
    owner: Any = Design
    for group in groups:
        owner = group_type(owner, group)
    found: Spec = owner.__dataclass_fields__[name].metadata["spec"]
    return found


def value_at(design: Any, key: str) -> Any:
    """The value of a dotted key."""
    for part in key.split("."):
        design = getattr(design, part)
    return design


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
        case "percent":
            return f"{value * 100:g} %"
        case "angle":
            return f"{value:g} degrees"
    return str(value)
