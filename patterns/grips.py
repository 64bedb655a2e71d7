"""Points of a head's side view that a hand can take hold of, and what moves with them.

A grip says where it is, which way it can be dragged and which keys carry it. :func:`moved` turns a
place that it was dragged to into values of these keys; whatever is not dragged stays where it is,
as far as the keys allow:

- toe and heel carry the arc of the edge with them, while the other corner and the foremost of the
  edge stand still: ``d^2 = 2 R b - b^2`` for both corners, with ``d`` the height of a corner from
  the foremost point, ``b`` how far it lies behind it and ``R`` the edge's radius;
- the foremost of the edge carries toe and heel ahead with it;
- the front of the eye carries the blade ahead with it, the back of the eye all that lies ahead.

Lengths [mm] from the back of the poll, y up. A head worked out anew from the values has its grip
where it was dragged to, so that a drag may be asked for step by step or all at once.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from . import starting
from .contour import Point
from .derived import left_of_bar, poll_height
from .eye import perimeter_of
from .folds import fold_of
from .head import Head
from .outline import BEARD_FULLNESS, Edge
from .parameters import Blade, Design, spec_at
from .schema import Spec, value_at
from .texts import to_table
from .units import MM_PER_INCH

Along = Literal["xy", "x", "y"]
Values = dict[str, Any]

FURTHEST = 0.8
"""How far a corner may be dragged behind the foremost of the edge, over the edge's radius: the arc
must still run on there. :mod:`consistency` asks for 0.98 of the radius in height; that is 0.801."""

STEEPEST = 0.979
"""How high a corner may come to stand above the foremost of the edge, over the edge's radius."""

BETWEEN = 1.0
"""Least way between two through points [mm]."""

SHARE = 0.001
"""Step of a share of the eye: a twentieth of a millimetre along an ordinary eye."""


@dataclass(frozen=True)
class Grip:
    """A point to take hold of: where it is [mm], which way it goes, and the keys that carry it."""

    name: str
    label: str
    x: float
    y: float
    along: Along
    keys: tuple[str, ...]


Move = Callable[[float, float], Values]


def grips(head: Head) -> tuple[Grip, ...]:
    """Every point of a head that a hand can move, from the edge back."""
    return tuple(grip for grip, _ in _all(head))


def moved(head: Head, name: str, to: Point) -> Values:
    """The values of the keys that bring a grip to a place, each within its own limits.

    Parameters
    ----------
    head
        The head as it is.
    name
        The grip's.
    to
        Where it is dragged to [mm]: from the back of the poll, and up from the centre line. What
        the grip cannot follow is passed over; a place too far off brings it as far as it goes.

    Returns
    -------
    dict
        Values by key as a design holds them: lengths [mm], shares, points. Whether the head keeps
        all its rules with them is for the plan to say.

    Raises
    ------
    ValueError
        If there is no such grip, or a place is not a finite number.
    """
    x, y = map(float, to)
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError("a grip goes to a place in finite figures")
    # so far off that squares would overflow is as far off as this
    x, y = (max(-1e6, min(1e6, value)) for value in (x, y))
    for grip, move in _all(head):
        if grip.name == name:
            return move(x, y)
    raise ValueError(f"this head has no grip of the name {name[:60]!r}")


def texts_moved(
    head: Head, texts: Mapping[str, str], name: str, to: Point, units: str = "in"
) -> dict[str, str]:
    """The texts that change as a grip comes to a place, in the profile's own spelling.

    Lengths come out in whole 64ths of an inch or tenths of a millimetre, as the key, or most of
    the profile, is spelled; what stays keeps its text. ``texts`` are those of the ``head``. Raises
    :class:`ValueError` as :func:`moved` does.
    """
    values = moved(head, name, to)
    raw, _ = to_table(Design, texts, units)
    inch = starting.in_inches(raw)
    found = {}
    for key, value in values.items():
        before, spec = value_at(head.design, key), spec_at(key)
        if spec.kind == "points":
            rows = _rows(raw, key)
            text = "[{}]".format(
                ", ".join(
                    row
                    if row is not None and _near(point, old)
                    else _pair(point, key in inch, spec)
                    for point, old, row in zip(value, before, rows, strict=True)
                )
            )
        else:
            share = spec.kind != "length"
            near = _stepped(value, SHARE, spec) if share else stepped(value, key in inch, spec)
            if before is not None and abs(near - before) < 1e-9:
                continue
            text = f"{near:g}" if share else starting.length(near, key in inch)
        if text != texts.get(key):
            found[key] = text
    return found


def stepped(value: float, inch: bool, spec: Spec) -> float:
    """A length [mm] to the nearest step that lies within the limits: 1/64 in or 0.1 mm.

    >>> stepped(31.9, True, spec_at("blade.toe")), stepped(31.96, False, spec_at("blade.toe"))
    (31.75, 32.0)
    """
    return _stepped(value, MM_PER_INCH / 64.0 if inch else 0.1, spec)


def _stepped(value: float, step: float, spec: Spec) -> float:
    least, most = math.ceil(spec.low / step - 1e-9), math.floor(spec.high / step + 1e-9)
    count = max(least, min(most, round(value / step)))
    # tenths and thousandths as they are written
    return count * step if step > 0.1 else round(count * step, 9)


def _pair(point: Point, inch: bool, spec: Spec) -> str:
    x, y = (starting.length(stepped(value, inch, spec), inch) for value in point)
    return f'["{x}", "{y}"]'


def _near(one: Point, other: Point) -> bool:
    return math.dist(one, other) < 1e-9


def _rows(raw: Mapping[str, Any], key: str) -> list[str | None]:
    """The pairs of a list of points as they are written."""
    at: Any = raw
    for part in key.split("."):
        at = at[part]
    return [f'["{x}", "{y}"]' if '"' not in f"{x}{y}" else None for x, y in at]


def _held(value: float, key: str) -> float:
    """A value within the limits of its key."""
    spec = spec_at(key)
    return max(spec.low, min(spec.high, value))


# The grips ------------------------------------------------------------------------------------


def _all(head: Head) -> Iterator[tuple[Grip, Move]]:
    yield from _corners(head)
    yield from _edge(head)
    for side, up in (("top", 1.0), ("bottom", -1.0)):
        yield from _curve(head, side, up)
    yield from _necks(head)
    yield from _ears(head)
    yield from _eye(head)
    yield from _poll(head)


def _necks(head: Head) -> Iterator[tuple[Grip, Move]]:
    for side, up in (("above", 1.0), ("below", -1.0)):
        key = f"blade.neck_{side}"

        def move(_: float, y: float, key: str = key, up: float = up) -> Values:
            return {key: _held(up * y, key)}

        height = up * value_at(head.design, key)
        yield _grip(f"neck-{side}", f"Neck {side}", head.plan.eye_front, height, "y", key), move


def _ears(head: Head) -> Iterator[tuple[Grip, Move]]:
    ears, length = head.design.ears, head.eye.length
    back = head.plan.eye_back
    if ears.form == "none":
        return
    for side, up in (("above", 1.0), ("below", -1.0)):
        key, height = f"ears.{side}", getattr(ears, side)
        if height is None:
            continue

        def move(x: float, y: float, key: str = key, up: float = up) -> Values:
            return {
                key: _held(up * y, key),
                "ears.place": _held((x - back) / length, "ears.place"),
            }

        x = back + ears.place * length
        yield _grip(f"ear-{side}", f"Ear {side}", x, up * height, "xy", key, "ears.place"), move


def _eye(head: Head) -> Iterator[tuple[Grip, Move]]:
    eye, back = head.design.eye, head.plan.eye_back
    if eye.perimeter is not None:
        keys: tuple[str, ...] = ("eye.perimeter",)
    elif eye.form == "circle" and eye.width is not None:
        keys = ("eye.length", "eye.width")
    else:
        keys = ("eye.length",)

    def move(x: float, _: float) -> Values:
        if eye.perimeter is None:
            length = _held(x - back, keys[0])
            for key in keys[1:]:
                length = _held(length, key)
            return dict.fromkeys(keys, length)
        ratio = 1.0 if eye.form == "circle" or eye.ratio is None else eye.ratio
        length = max(x - back, 1.0)
        nose = min(eye.front_radius, length / ratio / 2.0)
        around = perimeter_of(eye.form, length, length / ratio, nose, eye.exponent)
        return {keys[0]: _held(around, keys[0])}

    yield _grip("eye-front", "Front of the eye", head.plan.eye_front, 0.0, "x", *keys), move


def _poll(head: Head) -> Iterator[tuple[Grip, Move]]:
    design, thickness = head.design, head.design.poll.thickness
    height, square = poll_height(design), fold_of(design).square_poll

    def taller(_: float, y: float) -> Values:
        return {"poll.height": _held(2.0 * y, "poll.height")}

    label = "Corner of the poll" if square else "Back of the eye"
    yield _grip("poll", label, 0.0, height / 2.0, "y", "poll.height"), taller
    if not square or thickness is None:
        return
    most = math.inf
    if fold_of(design).back == "block":  # no thicker than what the bar leaves of it
        left = design.bar.thickness * left_of_bar(design) * design.bar.width / height
        most = left + (design.plate.thickness or 0.0)

    def thicker(x: float, _: float) -> Values:
        return {"poll.thickness": _held(min(x, most), "poll.thickness")}

    place = head.plan.eye_back
    yield _grip("eye-back", "Back of the eye", place, 0.0, "x", "poll.thickness"), thicker


def _curve(head: Head, side: str, up: float) -> Iterator[tuple[Grip, Move]]:
    """Of the top or the bottom of the blade; a beard takes the place of the bottom's curve."""
    blade, front = head.design.blade, head.plan.eye_front
    curve = getattr(blade, side)
    edge = head.fore.side.edge
    if side == "bottom" and blade.beard is not None:
        yield from _beard(head, blade.beard)
        return
    if curve.form == "arc":
        key = f"blade.{side}.hollow"
        neck = (0.0, blade.neck_above if up > 0.0 else blade.neck_below)
        end = (edge.toe[0], edge.toe[1]) if up > 0.0 else (edge.heel[0], -edge.heel[1])
        along, rise = end[0] - neck[0], end[1] - neck[1]
        chord = math.hypot(along, rise)
        half_way = (along / 2.0, (neck[1] + end[1]) / 2.0)
        if along < 0.05 * chord:  # it stands nearly upright: no height tells its hollow
            return

        def hollow(_: float, y: float) -> Values:
            return {key: _held((half_way[1] - up * y) * chord / along, key)}

        x = half_way[0] + curve.hollow * rise / chord
        y = half_way[1] - curve.hollow * along / chord
        label = f"Middle of the {side}"
        yield _grip(f"{side}-hollow", label, front + x, up * y, "y", key), hollow
        return
    key = f"blade.{side}.through"
    points = curve.through
    for i, (x, y) in enumerate(points):
        least = points[i - 1][0] + BETWEEN if i else BETWEEN
        most = points[i + 1][0] - BETWEEN if i + 1 < len(points) else math.inf

        def through(
            x: float, y: float, i: int = i, least: float = least, most: float = most
        ) -> Values:
            place = max(least, min(most, x - front)) if least <= most else points[i][0]
            point = (_held(place, key), _held(up * y, key))
            return {key: (*points[:i], point, *points[i + 1 :])}

        label = f"Point {i + 1} of the {side}"
        yield _grip(f"{side}-{i + 1}", label, front + x, up * y, "xy", key), through


def _beard(head: Head, width: float) -> Iterator[tuple[Grip, Move]]:
    """The middle of a beard's curve, a cubic that swings round a corner below the neck.

    Of the cubic's four points (:func:`outline.blade_curves`) the second and third lie ``f`` of the
    way to the corner, so that its middle is at ``x = (6 f c + (4 - 3 f) h) / 8``, with c and h the
    places of corner and heel ahead of the eye.
    """
    blade, front, edge = head.design.blade, head.plan.eye_front, head.fore.side.edge
    leave, neck, full = math.radians(blade.bottom.leave), blade.neck_below, BEARD_FULLNESS
    heel, deep = edge.heel[0], -edge.heel[1]
    at_neck = edge.x + math.sqrt(edge.radius**2 - (-neck - edge.y) ** 2)
    ahead = at_neck - width
    corner, reach = neck + ahead * math.tan(leave), abs(ahead) * full / math.cos(leave)
    second = (reach * math.cos(leave), neck + reach * math.sin(leave))
    third = (heel + (ahead - heel) * full, deep + (corner - deep) * full)
    x = (3.0 * second[0] + 3.0 * third[0] + heel) / 8.0
    y = (neck + 3.0 * second[1] + 3.0 * third[1] + deep) / 8.0

    def wider(x: float, _: float) -> Values:
        corner = (8.0 * (x - front) - (4.0 - 3.0 * full) * heel) / (6.0 * full)
        return {"blade.beard": _held(at_neck - max(corner, 0.0), "blade.beard")}

    yield _grip("beard", "Beard", front + x, -y, "x", "blade.beard"), wider


# The edge --------------------------------------------------------------------------------------


def _told_by_backs(blade: Blade) -> bool:
    return blade.edge_radius is None


def _between(edge: Edge) -> bool:
    """Whether the foremost of the edge's arc lies between heel and toe."""
    return edge.heel[1] <= edge.y <= edge.toe[1]


def _edge(head: Head) -> Iterator[tuple[Grip, Move]]:
    """The foremost of the edge; its middle where the arc is foremost beyond toe or heel."""
    blade, front, edge = head.design.blade, head.plan.eye_front, head.fore.side.edge
    if not _between(edge):
        x, y = edge.piece.at(0.5)
        behind = blade.reach - x

        def ahead(x: float, _: float) -> Values:
            return {"blade.reach": _held(x - front + behind, "blade.reach")}

        yield _grip("edge", "Edge", front + x, y, "x", "blade.reach"), ahead
        return
    backs = _told_by_backs(blade)
    keys = ("blade.toe_back", "blade.heel_back") if backs else ("blade.edge_centre",)
    radius = edge.radius

    def foremost(x: float, y: float) -> Values:
        found: Values = {"blade.reach": _held(x - front, "blade.reach")}
        high = STEEPEST * radius
        centre = max(blade.toe - high, -blade.heel, min(high - blade.heel, blade.toe, y))
        if not backs:
            found["blade.edge_centre"] = _held(centre, "blade.edge_centre")
            return found
        for key, away in zip(keys, (blade.toe - centre, blade.heel + centre), strict=True):
            found[key] = _held(radius - math.sqrt(radius**2 - away**2), key)
        return found

    x, y = front + blade.reach, edge.y
    yield _grip("edge", "Foremost of the edge", x, y, "xy", "blade.reach", *keys), foremost


def _corners(head: Head) -> Iterator[tuple[Grip, Move]]:
    blade, front = head.design.blade, head.plan.eye_front
    edge = head.fore.side.edge
    shape = (
        ("blade.{0}_back",) if _told_by_backs(blade) else ("blade.edge_radius", "blade.edge_centre")
    )
    for name, label, up, (x, y) in (
        ("toe", "Toe", 1.0, edge.toe), ("heel", "Heel", -1.0, edge.heel),
    ):  # fmt: skip

        def move(x: float, y: float, name: str = name, up: float = up) -> Values:
            return _corner_moved(blade, edge, name, up * y, blade.reach - (x - front))

        keys = (f"blade.{name}", *(key.format(name) for key in shape))
        yield _grip(name, label, front + x, y, "xy", *keys), move


def _corner_moved(blade: Blade, edge: Edge, name: str, height: float, back: float) -> Values:
    """Toe or heel at a height, and so far behind the foremost of the edge [mm].

    Worked with outwards positive on the side of the corner that moves; the other one stands still.
    """
    flip = 1.0 if name == "toe" else -1.0
    key, other = f"blade.{name}", "heel" if name == "toe" else "toe"
    height = _held(height, key)
    still, still_back = getattr(blade, other), blade.reach - getattr(edge, other)[0]
    between = _between(edge)
    most = _most_back(height + still, still_back) if between else FURTHEST * edge.radius
    if _told_by_backs(blade):
        back = max(0.0, min(back, most))
        return {key: height, f"{key}_back": _held(back, f"{key}_back")}
    radius, centre = "blade.edge_radius", "blade.edge_centre"
    back = max(1e-3, min(back, most))
    middle = _middle(height, back, still, still_back, between)
    found = ((height - middle) ** 2 + back**2) / (2.0 * back)
    held = _held(found, radius)
    if held != found:  # as far as the radius goes, on the arc through the corner that stands still
        away = math.sqrt(max(2.0 * held * still_back - still_back**2, 0.0))
        middle = math.copysign(away, still + middle) - still
        steep = STEEPEST * held
        middle = max(height - steep, min(height + steep, middle))
    return {key: height, radius: held, centre: _held(flip * middle, centre)}


def _middle(height: float, back: float, still: float, still_back: float, between: bool) -> float:
    """Height of the foremost point of the arc through both corners, foremost at the reach [mm].

    ``((T - c)^2 + b^2) / b = ((H + c)^2 + h^2) / h``, with T and b for the corner that moves, H
    and h for the other; of its two answers the one between them, or the one beyond.
    """
    back, still_back = max(back, 0.0), max(still_back, 0.0)  # rounding may leave them under nought
    middle = still_back * height + back * still
    root = math.sqrt(still_back * back * ((height + still) ** 2 + (still_back - back) ** 2))
    rest = (
        still_back * height**2 - back * still**2 + still_back * back * (back - still_back)
    )  # fmt: skip
    if between or abs(still_back - back) < 1e-9:
        return rest / (middle + root) if middle + root else 0.0
    return (middle + root) / (still_back - back)


def _most_back(tall: float, still_back: float) -> float:
    """How far back a corner may be dragged while the other stays at its own distance [mm].

    The radius at which the corner that moves lies :data:`FURTHEST` of it back, found by halving.
    """

    def reached(radius: float) -> float:
        other = 2.0 * radius * still_back - still_back**2
        return radius * math.sqrt(2.0 * FURTHEST - FURTHEST**2) + math.sqrt(max(other, 0.0))

    low, high = 0.0, 2.0 * tall
    for _ in range(60):
        radius = (low + high) / 2.0
        low, high = (radius, high) if reached(radius) < tall else (low, radius)
    return FURTHEST * low


def _grip(name: str, label: str, x: float, y: float, along: Along, *keys: str) -> Grip:
    return Grip(name, label, x, y, along, keys)
