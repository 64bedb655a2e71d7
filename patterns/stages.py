"""The work in order: what to do, what the iron weighs, and what to measure, at each stage.

A stage is told without a figure in its words; every figure is one of its checks, so that units,
tolerances and hot readings are put to it in one place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from .bar_plan import BarPlan, BitPlan, PlatePlan
from .derived import eye_heights
from .forging.density import steel_mass
from .halves import spread_half
from .units import MM_PER_INCH
from .waist import waist

Unit = Literal["mm", "degrees", "g"]

FULLER_LEFT = MM_PER_INCH / 32.0
"""What a fuller leaves over the strap's thickness, to be drawn out of it [mm]: common practice."""

HEATS = {
    "fullered": 1.0,
    "straps drawn": 2.0,
    "ears spread": 1.0,
    "halves spread": 1.0,
    "folded": 1.0,
    "welded": 2.0,
    "forged": 2.0,
}
"""How the bar's heats are shared out over the stages, to tell its mass at each: our own."""


@dataclass(frozen=True)
class Check:
    """One thing to measure: how large it is cold, and with what.

    ``guards`` names what of the plan it holds to: :mod:`tolerances` knows by how much it may be
    off, :mod:`rounding` whether it is rounded to the smith's finest mark. ``unit`` is ``"mm"``,
    ``"degrees"`` or ``"g"``.
    """

    what: str
    size: float
    tool: str
    guards: str
    unit: Unit = "mm"


@dataclass(frozen=True)
class Stage:
    """A stage of the work.

    ``mass`` is that of the iron at its end [g], with the scale of its heats off. ``cold`` tells
    that its checks are measured on cold iron. ``doing`` says in a few sentences what is done;
    a stage of a single piece of stock, to be cut or forged apart, has none.
    """

    name: str
    mass: float
    checks: tuple[Check, ...]
    doing: str = ""
    cold: bool = False

    @property
    def lengths(self) -> tuple[tuple[str, float], ...]:
        """Its checks of length, by name [mm]."""
        return tuple((check.what, check.size) for check in self.checks if check.unit == "mm")


def stages(plan: BarPlan) -> Iterator[Stage]:
    """Every stage of a plan, from the bar to the ground head."""
    bit, plate = plan.bit, plan.plate
    mass = _masses(plan)
    bar, whole = mass["marked"], Check("bar long", plan.cut_length, "rule", "cut")
    yield Stage("bar cut", bar, (whole,), cold=True)
    yield Stage("marked", bar, (whole, *_mark_checks(plan)), _marking(plan), cold=True)
    if not plan.undrawn:
        yield Stage("fullered", mass["fullered"], tuple(_fullered(plan)), _fullering(plan))
    yield Stage("straps drawn", mass["straps drawn"], tuple(_drawn(plan)), _drawing(plan))
    yield Stage("ears spread", mass["ears spread"], tuple(_ears(plan)), _spreading(plan))
    yield Stage("halves spread", mass["halves spread"], tuple(_halves(plan)), _widening(plan))
    if plate is not None:
        yield from _plate(plan, plate)
    if bit is not None:
        yield from _bit(plan, bit)
    folded = tuple(_folded(plan)), _folding(plan)
    if bit is None:
        yield Stage("folded", mass["folded"], *folded)
    else:
        steel = plan.zone("bit")
        more, place = steel_mass(steel.bar - steel.scale), (_set_in(plan, bit), _setting(plan, bit))
        if bit.overlaid:
            yield Stage("folded", mass["folded"], *folded)
            yield Stage("bit in place", mass["folded"] + more, *place)
        else:
            yield Stage("bit in place", mass["halves spread"] + more, *place)
            yield Stage("folded", mass["folded"] + more, *folded)
    yield Stage("welded", mass["welded"], tuple(_welded(plan)), _welding(plan))
    yield Stage("forged", mass["forged"], tuple(_forged(plan, mass["forged"])), _FORGED)
    yield Stage("ground", plan.head.mass, tuple(_ground(plan)), _GROUND, cold=True)


def _masses(plan: BarPlan) -> dict[str, float]:
    """Mass of the bar at each stage that takes heats [g]; bit and plate come to it in the weld."""
    steels = [zone for zone in plan.zones if zone.name in ("bit", "plate")]
    body = [zone for zone in plan.zones if zone not in steels]
    start = sum(z.bar for z in body)
    shares = {name: n for name, n in HEATS.items() if not (name == "fullered" and plan.undrawn)}
    scale, every, taken = sum(z.scale for z in body), sum(shares.values()), 0.0
    found = {"marked": steel_mass(start)}
    for name, heats in shares.items():
        taken += heats
        left = start - scale * taken / every
        if name in ("welded", "forged"):
            left += sum(z.bar - z.scale for z in steels) - sum(z.weld for z in plan.zones)
        found[name] = steel_mass(left)
    return found


# What to measure -------------------------------------------------------------------------------


def _mark_checks(plan: BarPlan) -> Iterator[Check]:
    """The figures of the marks: two that stand even about the middle are one width."""
    if plan.fold.halves == 1:
        yield Check("inner face: mark from the body's end", plan.half, "rule", "mark")
        yield Check("inner face: mark to the tongue's end", plan.strap.raw_length, "rule",
                    "shoulders")  # fmt: skip
        return
    for face in ("outer", "inner"):
        for kind, width in (("cut", 0.0), ("poll", plan.poll), ("shoulder", plan.shoulders)):
            if any(mark.face == face and mark.kind == kind for mark in plan.marks):
                if kind == "cut":
                    deep = plan.design.bar.thickness - plan.design.fold.hinge
                    yield Check(f"{face} face: cut across the middle, deep", deep, "rule", "ours")
                else:
                    guards = "poll" if kind == "poll" else "shoulders"
                    yield Check(f"{face} face: {kind} marks apart", width, "rule", guards)
    if plan.fold.waisted:
        _, up, down = waist(plan)[0]
        yield Check("waist wide at its middle", up + down, "rule", "ours")
    yield Check("centre line to each end", plan.cut_length / 2.0, "rule", "end")


def _fullered(plan: BarPlan) -> Iterator[Check]:
    strap, fold = plan.strap, plan.fold
    left = strap.drawn_thickness + FULLER_LEFT
    yield Check("thick under each groove", left, "calipers", "fuller")
    if fold.halves == 1:
        yield Check("steep side to the body's end", plan.half, "rule", "mark")
        yield Check("body still thick", plan.design.bar.thickness, "calipers", "ours")
        return
    if plan.poll:
        yield Check("poll grooves apart", plan.poll, "dividers", "poll")
    yield Check("shoulder grooves apart", plan.shoulders, "dividers",
                "shoulders")  # fmt: skip
    yield Check(f"each {fold.half}, groove to its end", plan.half, "rule", "half")


def _drawn(plan: BarPlan) -> Iterator[Check]:
    strap, fold = plan.strap, plan.fold
    if fold.halves == 1:
        yield Check("tongue, shoulder to end", strap.divider, "dividers", "divider")
        yield Check("scarf of the lap", strap.lap, "rule", "lap")
    elif fold.waisted:
        yield Check("each side, from the centre", strap.divider, "dividers",
                    "divider")  # fmt: skip
    else:
        start = "poll" if plan.poll else "centre"
        yield Check(f"each strap, {start} to shoulder", strap.divider, "dividers", "divider")
    if plan.undrawn:  # as thick as it was bought, until scale and peen have been at it
        _, up, down = waist(plan)[0]
        yield Check("waist wide at its middle", up + down, "rule", "ours")
    else:
        yield Check(f"{fold.strap} thick", strap.drawn_thickness, "calipers", "wall")
        yield Check(f"{fold.strap} high, as it comes", plan.spread.natural_height, "rule", "ours")
    yield Check("over all", plan.drawn_over_all, "rule", "over all")


def _ears(plan: BarPlan) -> Iterator[Check]:
    above, below = eye_heights(plan.design)
    what = "ears, tip to tip" if plan.design.ears.form != "none" else "walls, top to bottom"
    yield Check(what, above + below, "rule", "ears")
    yield Check("above the centre line", above, "rule", "ears")
    yield Check("below the centre line", below, "rule", "ears")
    if plan.undrawn:
        yield Check(f"{plan.fold.strap} thick", plan.strap.drawn_thickness, "calipers", "wall")
    each = "each side" if plan.fold.waisted else plan.fold.strap
    yield Check(f"{each} still long", plan.strap.divider, "dividers", "divider")


def _halves(plan: BarPlan) -> Iterator[Check]:
    half = spread_half(plan)
    yield Check(f"{plan.fold.half} long, shoulder to end", half.length, "rule", "trim")
    yield Check("wide at its end, toe to heel", half.end, "rule", "trim")
    yield Check("thick, mean of three places", half.thickness, "calipers", "ours")


def _bit(plan: BarPlan, bit: BitPlan) -> Iterator[Stage]:
    zone = plan.zone("bit")
    yield Stage(
        "bit cut",
        steel_mass(zone.bar),
        (Check("long", bit.cut_length, "rule", "bit cut"),),
        cold=True,
    )
    wide = Check("wide, flat", 2.0 * bit.depth, "rule", "bit")
    deep = Check("deep", bit.depth, "rule", "bit")
    yield Stage(
        "bit forged",
        steel_mass(zone.bar - zone.scale),
        (
            Check("long", bit.length, "rule", "bit"),
            wide if bit.overlaid else deep,
            Check("thick", bit.thickness, "calipers", "bit thick"),
            Check("scarf", bit.scarf, "rule", "ours"),
        ),
    )


def _plate(plan: BarPlan, plate: PlatePlan) -> Iterator[Stage]:
    zone = plan.zone("plate")
    yield Stage(
        "plate cut", steel_mass(zone.bar),
        (Check("long", plate.cut_length, "rule", "plate cut"),), cold=True,
    )  # fmt: skip
    yield Stage(
        "plate forged",
        steel_mass(zone.bar - zone.scale),
        (
            Check("across the head", plate.forged_width, "rule", "bit"),
            Check("along the handle", plate.forged_height, "rule", "bit"),
            Check("thick", plate.forged_thickness, "calipers", "bit thick"),
        ),
    )


def _set_in(plan: BarPlan, bit: BitPlan) -> tuple[Check, ...]:
    checks = [
        Check("bit long", bit.length, "rule", "bit"),
        Check("each leg deep" if bit.overlaid else "bit deep", bit.depth, "rule", "bit"),
        Check("bit thick", bit.thickness, "calipers", "bit thick"),
    ]
    if bit.overlap > 0.0 and not bit.overlaid and not plan.fold.bit_in_front:
        over = Check(f"{plan.fold.half} over the bit by", bit.overlap, "rule", "trim")
        checks.append(over)
    return tuple(checks)


def _folded(plan: BarPlan) -> Iterator[Check]:
    head = plan.head
    yield Check("width over the eye", head.plan.form.width + 2.0 * plan.strap.wall, "calipers",
                "eye")  # fmt: skip
    yield Check("eye long", head.eye.length, "rule", "eye")
    yield Check("eye wide", head.eye.width, "calipers", "eye")
    yield Check("poll thick, behind the eye", head.plan.eye_back, "calipers", "ours")


def _welded(plan: BarPlan) -> Iterator[Check]:
    head = plan.head
    thick = head.blade.stations[0][1] + 2.0 * plan.design.allowances.grinding
    yield Check("eye long, on the drift", head.eye.length, "rule", "eye")
    yield Check("eye wide, on the drift", head.eye.width, "calipers", "eye")
    yield Check("thick at station 1", thick, "calipers", "over")


def _forged(plan: BarPlan, mass: float) -> Iterator[Check]:
    head, a = plan.head, plan.design.allowances
    yield Check("length", head.length + a.trimming, "rule", "trim")
    edge = math.dist(head.side.edge.toe, head.side.edge.heel)
    yield Check("toe to heel, straight", edge + 2.0 * a.trimming, "rule", "trim")
    for number, (_, thick) in enumerate(head.blade.stations[:3], 1):
        yield Check(f"thick at station {number}", thick + 2.0 * a.grinding, "calipers", "grind")
    yield Check("weight", mass, "scale", "mass", "g")


def _ground(plan: BarPlan) -> Iterator[Check]:
    head = plan.head
    yield Check("length", head.length, "rule", "finished")
    yield Check("edge, along its curve", head.edge_length, "rule", "finished")
    yield Check("bevel wide", head.blade.bevel_width, "rule", "finished")
    yield Check("edge angle", plan.design.blade.edge_angle, "gauge", "angle", "degrees")
    yield Check("weight", head.mass, "scale", "mass", "g")


# What to do ------------------------------------------------------------------------------------

_SET_IN = (
    "Lay the bit on the inner face of one half, its thick side to the edge and its scarf towards "
    "the eye, even from toe to heel. Clean both faces to bright metal and flux them. Close the "
    "other half on it as you fold; a rivet or a barb keeps it from sliding."
)
_SET_BETWEEN = (
    "The bit stands between the cheeks, its back against the drift. Clean all faces to bright "
    "metal and flux them. Close the cheeks on it and wire or rivet it fast."
)
_SET_OVER = (
    "Scarf the body's edge on both faces. Fold the bit lengthwise over it like a saddle, the legs "
    "even. Clean all faces to bright metal, flux them, and pinch the bit tight at a bright heat."
)
_FORGED = (
    "Spread the blade with peen and face to the outline, both faces alike, and thin it from the "
    "eye to the edge. Drive the drift through again when the eye closes. Leave what will be "
    "trimmed and ground; let it cool in still air, then follow the bit steel's heat treatment."
)
_GROUND = (
    "Trim to the outline. Grind both faces fair from the eye forward, to the thicknesses under "
    "GRIND on the shop card, and then the bevel. Keep the steel cool enough to hold after "
    "hardening. Break every corner that a hand meets, hang the head, and sharpen last."
)


def _marking(plan: BarPlan) -> str:
    """Where every mark is stepped from."""
    start = "Cut the bar to length. Find the middle and scribe a centre line round all four sides"
    line = "that line"
    if plan.fold.halves == 1:
        start, line = "Cut the bar to length. Square one end: that is the body's", "it"
    return (
        f"{start}. Step every mark from {line}, never from the mark beside it, and centre-punch it "
        "on the face that it belongs to: chalk burns off. Look again which face is which before "
        "the first heat."
    )


def _setting(plan: BarPlan, bit: BitPlan) -> str:
    """How the bit is set and held."""
    if bit.overlaid:
        return _SET_OVER
    return _SET_BETWEEN if plan.fold.bit_in_front else _SET_IN


def _fullering(plan: BarPlan) -> str:
    """Where the grooves go, and where the bar stays thick."""
    fold = plan.fold
    inner = "set a fuller beside the shoulder mark, on the side that will be thin"
    if fold.halves == 2:
        inner = "set a fuller beside each shoulder mark, on the side of the centre line"
    outer = ""
    if fold.back == "block":
        outer = (
            "Then turn it over: on the outer face set the fuller beside each poll mark, on the "
            "side away from the centre line. "
        )
    elif fold.back == "cut":
        outer = (
            "Beside each poll mark too, on the side away from the centre line. Cut the outer face "
            "across the middle last, and only as deep as the check says. "
        )
    thick = f" Block and {fold.both} keep their full thickness." if fold.back == "block" else ""
    return (
        f"At a bright orange heat, on the inner face {inner}. {outer}The groove's steep side "
        f"stands on the mark, square across.{thick}"
    )


def _drawing(plan: BarPlan) -> str:
    fold = plan.fold
    if plan.undrawn:
        return (
            "Cut the plate to its outline. Nothing is drawn: the waist is as wide as the walls "
            "will be high. Round the long edges of the waist so that they do not crack in the bend."
        )
    what = "each strap between its grooves" if fold.straps == 2 else "the tongue from its groove on"
    if fold.waisted:
        what = "each side of the waist"
    two = " Compare the two straps at one and the same heat." * (fold.straps == 2)
    if fold.waisted:
        two = " Compare the two sides at one and the same heat."
    lap = " Scarf the tongue's end to nothing on the face that will lie on the cheek." * fold.laps
    return (
        f"Draw {what}, flat face on the anvil, until the dividers step its length. The length "
        f"makes the eye fit: stop there, whatever the thickness. Dress the edges as often as they "
        f"bulge.{lap}{two}"
    )


def _spreading(plan: BarPlan) -> str:
    strap, both = plan.fold.strap, " on both straps" if plan.fold.straps == 2 else ""
    if plan.design.ears.form == "none":
        return (
            f"There are no ears: dress the {strap}'s edges to the walls' height, as the pattern "
            "shows, and step its length again with the dividers."
        )
    if plan.fold.waisted:
        both = " on both sides"
    return (
        f"With the peen along the {strap}, spread its edges to the ears that the pattern shows, "
        f"beside the middle of where the eye will be, alike{both}. Blows that lengthen the {strap} "
        "spoil the eye: step its length again."
    )


def _widening(plan: BarPlan) -> str:
    if plan.fold.halves == 1:
        return (
            "Spread the body towards the edge with the peen, to the outline. Leave the face for "
            "the lap flat and thick."
        )
    return (
        f"Spread each {plan.fold.half} with the peen, from the shoulder to the end, until it "
        "covers the outline; turn the pattern over for the other one. Keep the inner faces flat: "
        "they are the weld. Both alike, or the blade will lean."
    )


def _folding(plan: BarPlan) -> str:
    strap = plan.fold.strap if plan.fold.waisted else f"{plan.fold.strap}s"
    start = f"Heat the {strap} evenly, the {plan.fold.both} no more than need be"
    if plan.fold.halves == 1:
        return (
            "Heat the tongue evenly. Bend it round the drift, inner face in, and bring its scarf "
            "down on the cheek. Pull it tight to the drift with light blows; the drift slides "
            "freely when it is dipped often."
        )
    seam = " Fold the cut shut until the two inner faces meet." * (plan.fold.back == "cut")
    return (
        f"{start}. Bend over the drift, inner faces together, until the ends meet even.{seam} "
        "Close the walls on the drift with light blows from the back forward; a gap ahead of the "
        "drift is closed before the weld. Dip the drift often."
    )


def _welding(plan: BarPlan) -> str:
    what, end = f"the {plan.fold.both}", "the edge"
    if plan.bit is not None and not plan.bit.overlaid:
        what = f"{plan.fold.both} and bit"
    if plan.fold.halves == 1:
        what, end = "the lap on the cheek", "its end"
    return (
        f"Flux, and take {what} to a welding heat, slippery bright and without sparks. Weld just "
        f"ahead of the eye first, with quick light blows, then towards {end}, one heat after "
        "the other. Keep the drift out of the fire; put it back to true the eye after each weld. "
        "Look along the seam for a dark line: flux and weld it again while it is hot."
    )
