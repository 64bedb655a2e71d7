"""Rules that several parameters keep together.

A rule names the parameters that it looks at, so that it is passed over where one of them is itself
at fault; the reader can then report every fault of a profile at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from . import derived
from .errors import Fault
from .parameters import Curve, Design, spec_at
from .schema import value_at
from .units import at_least, at_most
from .units import length as shown

Check = Callable[[Design, str], Iterator[Fault]]


@dataclass(frozen=True)
class Rule:
    """A check with the keys, or the groups, of the parameters that it looks at."""

    keys: tuple[str, ...]
    check: Check

    def touches(self, bad: frozenset[str]) -> bool:
        return any(key == b or b.startswith(f"{key}.") for key in self.keys for b in bad)


RULES: list[Rule] = []


def _rule(*keys: str) -> Callable[[Check], Check]:
    def keep(check: Check) -> Check:
        RULES.append(Rule(keys, check))
        return check

    return keep


def faults(design: Design, units: str, bad: frozenset[str] = frozenset()) -> list[Fault]:
    """Every rule that a design breaks; rules that look at a ``bad`` key are passed over."""
    return [
        fault
        for rule in RULES
        if not (bad and rule.touches(bad))
        for fault in rule.check(design, units)
    ]


@_rule("eye.form", "eye.length", "eye.width", "eye.perimeter", "eye.ratio")
def _eye_is_given(design: Design, units: str) -> Iterator[Fault]:
    eye = design.eye
    if eye.perimeter is None and eye.ratio is None:
        wanted = ("length",) if eye.form == "circle" else ("length", "width")
        for name in wanted:
            if getattr(eye, name) is None:
                yield Fault(f"eye.{name}", "nothing", spec_at(f"eye.{name}").limits(units),
                            "add it, or give perimeter and ratio")  # fmt: skip
    elif eye.length is not None or eye.width is not None:
        pairs = (("eye.length", "eye.width"), ("eye.perimeter", "eye.ratio"))
        sides = [
            [key for key in pair if getattr(eye, key.removeprefix("eye.")) is not None]
            for pair in pairs
        ]
        first, second = (" and ".join(side) for side in sides)
        out, other = (" ".join(f"--set {key}=" for key in side) for side in sides)
        yield Fault("eye", f"{first} together with {second}",
                    "either length and width, or perimeter and ratio",
                    f"take {first} out ({out}) or {second} out ({other})")  # fmt: skip
    elif eye.perimeter is None:
        yield Fault("eye.perimeter", "nothing", spec_at("eye.perimeter").limits(units),
                    "a ratio goes with a perimeter")  # fmt: skip
    elif eye.ratio is None and eye.form != "circle":
        yield Fault("eye.ratio", "nothing", spec_at("eye.ratio").limits(units),
                    "a perimeter goes with a ratio")  # fmt: skip


def _sized(design: Design) -> tuple[float, float] | None:
    """Length and width of the eye, where they can be told."""
    eye = design.eye
    pairs = (eye.perimeter is not None) != (eye.length is not None)
    lacking = eye.length is not None and eye.width is None and eye.form != "circle"
    lacking = lacking or (eye.perimeter is not None and eye.ratio is None and eye.form != "circle")
    return derived.eye_size(eye) if pairs and not lacking else None


@_rule("eye")
def _eye_is_longer_than_wide(design: Design, units: str) -> Iterator[Fault]:
    size, eye = _sized(design), design.eye
    if size is None:
        return
    length, width = size
    if eye.form == "circle" and abs(width - length) > 1e-6:
        yield Fault("eye.width", shown(width, units),
                    f"the same as the length of a round eye, {shown(length, units)}",
                    "leave the width out or choose an ellipse")  # fmt: skip
    elif width > length:
        yield Fault("eye.width", shown(width, units),
                    f"no more than the eye's length, {at_most(length, units)}",
                    "the length runs from poll to edge: turn the two round, or lengthen "
                    "it")  # fmt: skip
    if eye.form == "teardrop" and eye.front_radius > width / 2.0 + 1e-9:
        yield Fault("eye.front_radius", shown(eye.front_radius, units),
                    f"no more than half the eye's width, {at_most(width / 2.0, units)}",
                    "make the nose smaller")  # fmt: skip


@_rule("eye", "wall", "bar.section")
def _taper_leaves_wall_and_nose(design: Design, units: str) -> Iterator[Fault]:
    size, eye = _sized(design), design.eye
    if size is None:
        return
    nose = {"teardrop": eye.front_radius, "circle": size[0] / 2.0, "stadium": size[1] / 2.0}
    # the sharpest bend of an ellipse is b^2/a; a superellipse is flatter there but sharper between
    sharpest = nose.get(eye.form, size[1] ** 2 / size[0] / 4.0)
    most = 2.0 * min(0.8 * sharpest, 0.8 * design.wall.thickness)
    if abs(eye.taper) > most:
        yield Fault("eye.taper", shown(eye.taper, units),
                    f"no more than {at_most(most, units)} either way, for this wall and nose",
                    "taper less, thicken the wall or round the nose")  # fmt: skip


def _wider_than_thick(key: str) -> None:
    @_rule(key)
    def check(design: Design, units: str) -> Iterator[Fault]:
        thick, wide = value_at(design, key)
        if thick > wide:
            yield Fault(key, f"{shown(thick, units)} x {shown(wide, units)}",
                        "thickness first, then the width, which is the larger",
                        "turn the two round")  # fmt: skip


_wider_than_thick("bar.section")
_wider_than_thick("bit.stock")


@_rule("wall.thickness", "bar.section")
def _wall_is_thinner_than_bar(design: Design, units: str) -> Iterator[Fault]:
    wall, thick = design.wall.thickness, design.bar.thickness
    if wall >= thick:
        yield Fault("wall.thickness", shown(wall, units),
                    f"less than the bar's thickness, {at_most(thick, units)}",
                    "thin the wall or take a thicker bar")  # fmt: skip


@_rule("ears.form", "ears.above", "ears.below")
def _ears_are_given(design: Design, units: str) -> Iterator[Fault]:
    ears = design.ears
    for name in ("above", "below"):
        height = getattr(ears, name)
        if ears.form == "none" and height is not None:
            yield Fault(f"ears.{name}", shown(height, units), 'none, since ears.form is "none"',
                        "take it out or choose another form")  # fmt: skip
        if ears.form != "none" and height is None:
            yield Fault(f"ears.{name}", "nothing", spec_at(f"ears.{name}").limits(units),
                        'add it, or choose ears.form = "none"')  # fmt: skip


@_rule("ears", "poll.height", "bar.section", "blade.neck_above", "blade.neck_below")
def _ears_stand_out(design: Design, units: str) -> Iterator[Fault]:
    half, blade = derived.poll_height(design) / 2.0, design.blade
    for name, neck in (("above", blade.neck_above), ("below", blade.neck_below)):
        ear, least = getattr(design.ears, name), max(half, neck)
        if design.ears.form != "none" and ear is not None and ear < least - 1e-6:
            yield Fault(f"ears.{name}", shown(ear, units),
                        f"at least the poll's half height and the neck, {at_least(least, units)}",
                        'raise the ear, or choose ears.form = "none"')  # fmt: skip


@_rule("ears", "poll.height", "bar.section", "wall.thickness", "allowances", "blade.neck_above",
       "blade.neck_below")  # fmt: skip
def _a_strap_gives_the_ears(design: Design, units: str) -> Iterator[Fault]:
    tall, most = sum(derived.eye_heights(design)), derived.highest_ears(design)
    if tall > most and design.wall.thickness < design.bar.thickness:
        field = "ears" if design.ears.form != "none" else "poll.height"
        yield Fault(
            field, f"{shown(tall, units)} from tip to tip",
            f"at most {at_most(most, units)}: no strap of this bar, "
            f"{shown(design.wall.thickness, units)} thick, stands higher",
            "lower the ears, thin the wall or take a wider or thicker bar",
        )  # fmt: skip


@_rule("blade.edge_radius", "blade.edge_centre", "blade.toe", "blade.heel")
def _edge_reaches_toe_and_heel(design: Design, units: str) -> Iterator[Fault]:
    blade, middle = design.blade, derived.edge_middle(design)
    least = max(abs(blade.toe - middle), abs(blade.heel + middle)) / 0.98
    if blade.edge_radius <= least:
        yield Fault("blade.edge_radius", shown(blade.edge_radius, units),
                    f"more than {at_least(least, units)}, so that the arc reaches toe and heel",
                    "make the radius larger or the edge shorter")  # fmt: skip


@_rule("blade.stations", "blade.reach")
def _stations_lie_in_the_blade(design: Design, units: str) -> Iterator[Fault]:
    places, reach = [x for x, _ in design.blade.stations], design.blade.reach
    if len(set(places)) < len(places):
        yield Fault("blade.stations", "two at one place", "one thickness at each place",
                    "take one of them out")  # fmt: skip
    if max(places) >= reach:
        yield Fault("blade.stations", shown(max(places), units),
                    f"behind the edge: less than {at_most(reach, units)}",
                    "move the station back or lengthen the blade")  # fmt: skip


@_rule("blade.beard", "blade.bottom")
def _a_beard_is_the_bottom(design: Design, units: str) -> Iterator[Fault]:
    if design.blade.beard is None:
        return
    plain, curve = Curve(), design.blade.bottom
    for name in ("hollow", "arrive", "through"):
        if getattr(curve, name) != getattr(plain, name):
            yield Fault(f"blade.bottom.{name}", "a curve for the bottom together with a beard",
                        "none: the beard takes its place",
                        f"take it out, or take blade.beard out (--set blade.bottom.{name}= or "
                        "--set blade.beard=)")  # fmt: skip


@_rule("blade.beard", "blade.neck_below", "blade.edge_radius", "blade.edge_centre", "blade.toe",
       "blade.heel")  # fmt: skip
def _the_edge_reaches_the_beard(design: Design, units: str) -> Iterator[Fault]:
    blade, middle = design.blade, derived.edge_middle(design)
    least = abs(blade.neck_below + middle) / 0.98
    if blade.beard is not None and blade.edge_radius <= least:
        yield Fault("blade.edge_radius", shown(blade.edge_radius, units),
                    f"more than {at_least(least, units)}, so that the arc passes the neck, from "
                    "which the beard is measured", "make the radius larger")  # fmt: skip


@_rule("bit.tip", "bit.thickness")
def _scarf_thins(design: Design, units: str) -> Iterator[Fault]:
    if design.bit.tip > design.bit.thickness:
        yield Fault("bit.tip", shown(design.bit.tip, units),
                    f"no more than the bit's thickness, {at_most(design.bit.thickness, units)}",
                    "thin the end of the scarf")  # fmt: skip


@_rule("bit.scarf", "bit.insertion")
def _scarf_is_part_of_the_bit(design: Design, units: str) -> Iterator[Fault]:
    if design.bit.scarf >= design.bit.insertion:
        yield Fault("bit.scarf", shown(design.bit.scarf, units),
                    f"less than the insertion, {at_most(design.bit.insertion, units)}",
                    "shorten the scarf or set the bit deeper")  # fmt: skip


@_rule("bit.insertion", "blade.reach", "blade.stations")
def _bit_ends_ahead_of_the_eye(design: Design, units: str) -> Iterator[Fault]:
    most = design.blade.reach - min(x for x, _ in design.blade.stations)
    if design.bit.insertion >= most > 0.0:
        yield Fault("bit.insertion", shown(design.bit.insertion, units),
                    "less than the way from the edge to the first thickness station, "
                    f"{at_most(most, units)}",
                    "set the bit less deep or lengthen the blade")  # fmt: skip


def _curve(name: str) -> None:
    @_rule(f"blade.{name}")
    def check(design: Design, units: str) -> Iterator[Fault]:
        curve, key = getattr(design.blade, name), f"blade.{name}"
        places = [x for x, _ in curve.through]
        if curve.form == "arc" and places:
            yield Fault(f"{key}.through", "points", "none on an arc",
                        "choose line or smooth, or take the points out")  # fmt: skip
        if places and (min(places) <= 0.0 or places != sorted(set(places))):
            yield Fault(f"{key}.through", "points out of order",
                        "points ahead of the front of the eye, each further than the last",
                        "put them in order")  # fmt: skip
        if curve.form != "arc" and curve.hollow != 0.0:
            yield Fault(f"{key}.hollow", shown(curve.hollow, units), 'only with form = "arc"',
                        "choose arc, or take it out")  # fmt: skip


_curve("top")
_curve("bottom")


@_rule("handle.length", "handle.depth")
def _a_depth_goes_with_a_handle(design: Design, units: str) -> Iterator[Fault]:
    handle = design.handle
    if handle.length is None and handle.depth is not None:
        yield Fault("handle.length", "nothing", spec_at("handle.length").limits(units),
                    "a depth goes with a length: add it, or take the depth out")  # fmt: skip


@_rule("handle", "ears", "poll.height", "bar.section", "blade")
def _the_hands_stay_clear_of_the_head(design: Design, units: str) -> Iterator[Fault]:
    handle = design.handle
    if handle.length is None:
        return
    above, below = derived.eye_heights(design)
    least = 2.0 * (above + max(below, design.blade.heel))
    if handle.length < least:
        yield Fault("handle.length", shown(handle.length, units),
                    "at least twice the way from the top of the eye to the lowest of the head, "
                    f"{at_least(least, units)}",
                    "lengthen the handle: the hand must stay clear of the edge")  # fmt: skip
    elif handle.grip > handle.length / 2.0:
        yield Fault("handle.grip", shown(handle.grip, units),
                    f"at most half the handle's length, {at_most(handle.length / 2.0, units)}",
                    "it is measured from the handle's end")  # fmt: skip
