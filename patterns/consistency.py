"""Rules that several parameters keep together.

A rule names the parameters that it looks at, so that it is passed over where one of them is itself
at fault; the reader can then report every fault of a profile at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from . import derived, schema
from .errors import Fault
from .folds import fold_of
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


@_rule("fold", "poll", "ears.form")
def _the_poll_goes_with_the_fold(design: Design, units: str) -> Iterator[Fault]:
    fold, poll, plate = fold_of(design), design.poll, design.plate
    form = f'fold.form = "{fold.name}"'
    if fold.back == "cut" and poll.thickness is None:
        yield Fault("poll.thickness", "nothing", spec_at("poll.thickness").limits(units),
                    f"add it: {form} folds two ends of the bar shut behind the eye")  # fmt: skip
    if fold.back == "cut" and poll.overhang:
        yield Fault("poll.overhang", shown(poll.overhang, units),
                    f"none with {form}: the poll is twice the bar's thickness wide",
                    "take it out (--set poll.overhang=)")  # fmt: skip
    if fold.square_poll:
        return
    none = f"none: with {form} a wall runs round the back"
    for name, value in (
        ("poll.thickness", poll.thickness), ("poll.overhang", poll.overhang),
        ("poll.sides_forward", poll.sides_forward), ("plate.thickness", plate.thickness),
    ):  # fmt: skip
        if value:
            out = f"--set {name}=" + (" --set plate.stock=" if name == "plate.thickness" else "")
            yield Fault(name, shown(value, units), none,
                        f"take it out ({out}), or choose another fold")  # fmt: skip


@_rule("fold.form", "poll.thickness", "wall.thickness", "plate.thickness")
def _a_poll_is_left(design: Design, units: str) -> Iterator[Fault]:
    poll, plate, back = design.poll.thickness, design.plate.thickness or 0.0, fold_of(design).back
    least = plate + (design.wall.thickness if back == "cut" else 0.0)
    if poll is not None and back != "wall" and poll <= least:
        more = "plate and wall together" if back == "cut" else "its plate"
        yield Fault("poll.thickness", shown(poll, units),
                    f"more than {more}, {at_least(least, units)}",
                    "thicken the poll or thin the plate")  # fmt: skip


@_rule("plate.thickness", "plate.stock")
def _a_plate_has_its_stock(design: Design, units: str) -> Iterator[Fault]:
    plate, others = design.plate, {"stock": "thickness", "thickness": "stock"}
    for name, other in (("stock", plate.thickness), ("thickness", plate.stock)):
        if other is not None and getattr(plate, name) is None:
            yield Fault(f"plate.{name}", "nothing", spec_at(f"plate.{name}").limits(units),
                        "thickness and stock of a plate go together: add it, or take the other "
                        f"out (--set plate.{others[name]}=)")  # fmt: skip
    if plate.stock is not None and plate.thickness is not None:
        thick, _ = plate.stock
        if plate.thickness > thick:
            yield Fault("plate.thickness", shown(plate.thickness, units),
                        f"no more than its stock, {at_most(thick, units)}",
                        "thin the plate or take thicker stock")  # fmt: skip


@_rule("fold", "blade.reach", "bit.form", "bit.insertion")
def _a_lap_goes_with_its_fold(design: Design, units: str) -> Iterator[Fault]:
    fold, lap = fold_of(design), design.fold.lap
    if not fold.laps and lap is not None:
        yield Fault("fold.lap", shown(lap, units), f'none with fold.form = "{fold.name}"',
                    "take it out (--set fold.lap=)")  # fmt: skip
    if fold.laps and lap is None:
        yield Fault("fold.lap", "nothing", spec_at("fold.lap").limits(units),
                    "add it: how far the tongue laps on the cheek")  # fmt: skip
    most = design.blade.reach - (design.bit.insertion or 0.0)
    if fold.laps and lap is not None and lap > most:
        yield Fault("fold.lap", shown(lap, units),
                    f"no more than the way from the eye to the bit, {at_most(most, units)}",
                    "shorten the lap, lengthen the blade or set the bit less deep")  # fmt: skip


@_rule("fold", "poll.height", "bar.section")
def _a_waist_is_narrower_than_the_plate(design: Design, units: str) -> Iterator[Fault]:
    fold, waist = fold_of(design), design.fold.waist
    if not fold.waisted:
        if waist is not None:
            yield Fault("fold.waist", shown(waist, units), f'none with fold.form = "{fold.name}"',
                        "take it out (--set fold.waist=)")  # fmt: skip
    elif waist is not None and waist > design.bar.width:
        yield Fault("fold.waist", shown(waist, units),
                    f"no wider than the plate, {at_most(design.bar.width, units)}",
                    "narrow the waist or take a wider plate")  # fmt: skip
    if fold.waisted and design.poll.height is None:
        yield Fault("poll.height", "nothing", spec_at("poll.height").limits(units),
                    f'add it: with fold.form = "{fold.name}" the eye\'s back is not as high as the '
                    "plate is wide")  # fmt: skip


@_rule("fold.form", "fold.hinge", "bar.section")
def _a_hinge_is_thin(design: Design, units: str) -> Iterator[Fault]:
    most = design.bar.thickness / 2.0
    if fold_of(design).back == "cut" and design.fold.hinge > most:
        yield Fault("fold.hinge", shown(design.fold.hinge, units),
                    f"no more than half the bar, {at_most(most, units)}",
                    "cut deeper: a thick hinge does not fold shut")  # fmt: skip


@_rule("eye", "wall", "bar.section", "ears", "poll.height", "fold", "blade.neck_above",
       "blade.neck_below")  # fmt: skip
def _taper_leaves_wall_and_nose(design: Design, units: str) -> Iterator[Fault]:
    size, eye = _sized(design), design.eye
    if size is None:
        return
    nose = {"teardrop": eye.front_radius, "circle": size[0] / 2.0, "stadium": size[1] / 2.0}
    # the sharpest bend of an ellipse is b^2/a; a superellipse is flatter there but sharper between
    sharpest = nose.get(eye.form, size[1] ** 2 / size[0] / 4.0)
    most = 2.0 * min(0.8 * sharpest, 0.8 * design.wall.thickness)
    above, below = derived.eye_heights(design)
    low, high = derived.eye_leans(design)
    out = 2.0 * max(abs(low) * below, abs(high) * above)
    if eye.flare == 0.0 and abs(eye.taper) > most:
        yield Fault("eye.taper", shown(eye.taper, units),
                    f"no more than {at_most(most, units)} either way, for this wall and nose",
                    "taper less, thicken the wall or round the nose")  # fmt: skip
    elif eye.flare and out > most:
        yield Fault("eye.flare", shown(eye.flare, units),
                    f"so little that flare and taper together open the eye by no more than "
                    f"{at_most(most, units)}, for this wall and nose",
                    "flare or taper less, thicken the wall or round the nose")  # fmt: skip


def _wider_than_thick(key: str) -> None:
    @_rule(key)
    def check(design: Design, units: str) -> Iterator[Fault]:
        thick, wide = value_at(design, key) or (0.0, 0.0)
        if thick > wide:
            yield Fault(key, f"{shown(thick, units)} x {shown(wide, units)}",
                        "thickness first, then the width, which is the larger",
                        "turn the two round")  # fmt: skip


_wider_than_thick("bar.section")
_wider_than_thick("bit.stock")
_wider_than_thick("plate.stock")


@_rule("wall.thickness", "bar.section", "fold.form")
def _wall_is_thinner_than_bar(design: Design, units: str) -> Iterator[Fault]:
    wall, thick = design.wall.thickness, design.bar.thickness
    plate = fold_of(design).waisted  # its straps are not drawn
    if wall > thick or (wall == thick and not plate):
        yield Fault("wall.thickness", shown(wall, units),
                    f"{'no more' if plate else 'less'} than the bar's thickness, "
                    f"{at_most(thick, units)}", "thin the wall or take a thicker bar")  # fmt: skip


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


@_rule("ears", "poll.height", "bar.section", "fold", "blade.neck_above", "blade.neck_below")
def _ears_stand_out(design: Design, units: str) -> Iterator[Fault]:
    half, blade = derived.poll_height(design) / 2.0, design.blade
    for name, neck in (("above", blade.neck_above), ("below", blade.neck_below)):
        ear, least = getattr(design.ears, name), max(half, neck)
        if design.ears.form != "none" and ear is not None and ear < least - 1e-6:
            yield Fault(f"ears.{name}", shown(ear, units),
                        f"at least the poll's half height and the neck, {at_least(least, units)}",
                        'raise the ear, or choose ears.form = "none"')  # fmt: skip


@_rule("ears", "poll.height", "bar.section", "fold", "wall.thickness", "allowances",
       "blade.neck_above", "blade.neck_below")  # fmt: skip
def _a_strap_gives_the_ears(design: Design, units: str) -> Iterator[Fault]:
    tall, most = sum(derived.eye_heights(design)), derived.highest_ears(design)
    wall, thick = design.wall.thickness, design.bar.thickness
    told = wall > thick or (wall == thick and not fold_of(design).waisted)  # by another rule
    if tall > most and not told and design.fold.waist is not None:
        least = design.fold.waist * tall / most
        yield Fault(
            "fold.waist", shown(design.fold.waist, units),
            f"at least {at_least(least, units)}: no waist gains section in drawing, and the walls "
            f"are {shown(tall, units)} high",
            "widen the waist, lower the walls or thin them",
        )  # fmt: skip
    elif tall > most and not told:
        field = "ears" if design.ears.form != "none" else "poll.height"
        yield Fault(
            field, f"{shown(tall, units)} from tip to tip",
            f"at most {at_most(most, units)}: no strap of this bar, "
            f"{shown(design.wall.thickness, units)} thick, stands higher",
            "lower the ears, thin the wall or take a wider or thicker bar",
        )  # fmt: skip


_EDGE = ("blade.edge_radius", "blade.edge_centre", "blade.toe_back", "blade.heel_back",
         "blade.toe", "blade.heel")  # fmt: skip


@_rule(*_EDGE)
def _an_edge_has_a_curve(design: Design, units: str) -> Iterator[Fault]:
    blade = design.blade
    backs = [name for name in ("toe_back", "heel_back") if getattr(blade, name) is not None]
    if blade.edge_radius is not None and backs:
        given = " and ".join(f"blade.{name}" for name in backs)
        out = " ".join(f"--set blade.{name}=" for name in backs)
        yield Fault(
            "blade.edge_radius",
            f"a radius together with {given}",
            "one of the two",
            f"take the radius out (--set blade.edge_radius=) or {given} ({out})",
        )
    elif blade.edge_radius is None and not backs:
        yield Fault(
            "blade.edge_radius",
            "nothing",
            spec_at("blade.edge_radius").limits(units),
            "add it, or give toe_back and heel_back",
        )
    elif blade.edge_radius is None and len(backs) == 1:
        lacking = "heel_back" if backs == ["toe_back"] else "toe_back"
        yield Fault(
            f"blade.{lacking}",
            "nothing",
            spec_at(f"blade.{lacking}").limits(units),
            "toe_back and heel_back go together",
        )
    elif backs and blade.edge_centre is not None:
        yield Fault(
            "blade.edge_centre",
            shown(blade.edge_centre, units),
            "none together with toe_back and heel_back, which give it",
            "take it out (--set blade.edge_centre=)",
        )
    elif backs and _arc(design) is None:
        yield Fault("blade.toe_back", f"toe and heel {shown(blade.toe_back or 0.0, units)} and "
                    f"{shown(blade.heel_back or 0.0, units)} back",
                    "so little that an arc between them reaches both, each less than half of the "
                    f"way from toe to heel, {shown(blade.toe + blade.heel, units)}",
                    "bring toe and heel forward")  # fmt: skip


def _arc(design: Design) -> tuple[float, float] | None:
    """Radius of the edge and height of its foremost point, where they can be told."""
    try:
        return derived.edge_arc(design.blade)
    except ValueError:
        return None


@_rule(*_EDGE)
def _edge_reaches_toe_and_heel(design: Design, units: str) -> Iterator[Fault]:
    blade, arc = design.blade, _arc(design)
    if arc is None:
        return
    radius, middle = arc
    least = max(abs(blade.toe - middle), abs(blade.heel + middle)) / 0.98
    if radius <= least:
        field = "blade.edge_radius" if blade.edge_radius is not None else "blade.toe_back"
        yield Fault(field, shown(radius, units),
                    f"more than {at_least(least, units)}, so that the arc reaches toe and heel",
                    "make the radius larger or the edge shorter")  # fmt: skip


@_rule("blade.bevel", "blade.grind")
def _a_grind_is_of_a_convex_bevel(design: Design, units: str) -> Iterator[Fault]:
    grind = design.blade.grind
    if design.blade.bevel != "convex" and grind is not None:
        yield Fault("blade.grind", shown(grind, units), 'only with blade.bevel = "convex"',
                    "choose it, or take the grind out (--set blade.grind=)")  # fmt: skip


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


@_rule("blade.beard", "blade.neck_below", *_EDGE)
def _the_edge_reaches_the_beard(design: Design, units: str) -> Iterator[Fault]:
    blade, arc = design.blade, _arc(design)
    if blade.beard is None or arc is None:
        return
    radius, middle = arc
    least = abs(blade.neck_below + middle) / 0.98
    if radius <= least:
        yield Fault("blade.edge_radius", shown(radius, units),
                    f"more than {at_least(least, units)}, so that the arc passes the neck, from "
                    "which the beard is measured", "make the radius larger")  # fmt: skip


@_rule("bit.form", "bit.stock", "bit.thickness", "bit.insertion", "bit.barbs", "fold.form")
def _a_bit_is_given(design: Design, units: str) -> Iterator[Fault]:
    bit, fold = design.bit, fold_of(design)
    for name in ("stock", "thickness", "insertion"):
        key, value = f"bit.{name}", getattr(bit, name)
        if bit.form != "none" and value is None:
            yield Fault(
                key,
                "nothing",
                spec_at(key).limits(units),
                "add it" if fold.bit_in_front else 'add it, or choose bit.form = "none"',
            )
        if bit.form == "none" and value is not None:
            yield Fault(key, schema.shown(value, spec_at(key), units),
                        'none, since bit.form is "none"',
                        f"take it out (--set {key}=) or choose another form")  # fmt: skip
    if bit.barbs != "none" and bit.form != "inserted":
        yield Fault(
            "bit.barbs",
            bit.barbs,
            f'none, since bit.form is "{bit.form}"',
            "barbs hold a bit between two faces: take them out or insert the bit",
        )
    if fold.bit_in_front and bit.form != "inserted":
        yield Fault(
            "bit.form",
            bit.form,
            f'inserted, with fold.form = "{fold.name}"',
            "the bit stands between the cheeks: insert it or choose another fold",
        )


@_rule("bit.tip", "bit.thickness")
def _scarf_thins(design: Design, units: str) -> Iterator[Fault]:
    thick = design.bit.thickness
    if thick is not None and design.bit.tip > thick:
        yield Fault("bit.tip", shown(design.bit.tip, units),
                    f"no more than the bit's thickness, {at_most(thick, units)}",
                    "thin the end of the scarf")  # fmt: skip


@_rule("bit.scarf", "bit.insertion")
def _scarf_is_part_of_the_bit(design: Design, units: str) -> Iterator[Fault]:
    deep = design.bit.insertion
    if deep is not None and design.bit.scarf >= deep:
        yield Fault("bit.scarf", shown(design.bit.scarf, units),
                    f"less than the insertion, {at_most(deep, units)}",
                    "shorten the scarf or set the bit deeper")  # fmt: skip


@_rule("bit.insertion", "blade.reach", "blade.stations")
def _bit_ends_ahead_of_the_eye(design: Design, units: str) -> Iterator[Fault]:
    deep = design.bit.insertion
    most = design.blade.reach - min(x for x, _ in design.blade.stations)
    if deep is not None and deep >= most > 0.0:
        yield Fault("bit.insertion", shown(deep, units),
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
