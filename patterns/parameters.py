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
    The side of the head ahead of the eye; all that lies ahead of the eye; the hardenable steel
    that carries the edge, between the halves or folded over them. *Toe* is the upper corner of the
    edge, *heel* the lower.
fold
    How the bar becomes a head. *Block*: the poll is left thick in the middle. *Round*: the strap
    runs through, and the back is a wall like the sides. *Closed*: the middle is left thick, cut
    from the back nearly through and folded shut. *One-sided*: a single *tongue* is drawn from one
    end of the bar, goes round the drift and *laps* on the cheek. *Cheeks*: a plate, narrow at the
    *waist* and wide at both ends, is folded with the bit between its ends.
plate
    A hardenable plate welded on the poll.
centre line
    Of the head: the line along the middle of the bar's width. Heights above and below are measured
    from it, along the handle. *Above* is the end of the handle that shows above the head.

Each field below carries its label, limits, default and help; the profile reader, the command's
help, the messages and the README's table are all made from them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from . import schema
from .schema import (
    Spec,
    angle_field,
    choice_field,
    count_field,
    length_field,
    number_field,
    percent_field,
    points_field,
    section_field,
    text_field,
)

FOLD_FORMS = ("block", "round", "closed", "one-sided", "cheeks")
EYE_FORMS = ("teardrop", "ellipse", "stadium", "circle", "superellipse")
EAR_FORMS = ("pointed", "rounded", "none")
CURVE_FORMS = ("line", "arc", "smooth")
BEVELS = ("both", "one", "convex")
BIT_FORMS = ("inserted", "overlaid", "none")
BARBS = ("none", "raised")
HANDLE_FORMS = ("straight", "curved")
FINEST = ("fine", "1/64", "1/32", "1/16", "mm")


@dataclass(frozen=True, kw_only=True)
class Fold:
    """How the bar is folded into a head."""

    form: str = choice_field(
        "Fold", FOLD_FORMS,
        "block: the poll is left thick in the middle of the bar; round: no block, the strap runs "
        "through; closed: a square poll, cut from the back nearly through and folded shut; "
        "one-sided: a tongue goes round the drift and laps on one cheek; cheeks: a waisted plate "
        "with the bit between its ends", "block",
    )  # fmt: skip
    lap: float | None = length_field(
        "Lap", "5 mm", "120 mm",
        "of a one-sided fold: how far the tongue's scarf reaches along the cheek, from the front "
        "of the eye",
    )  # fmt: skip
    hinge: float = length_field(
        "Hinge", "0.5 mm", "8 mm", "of a closed fold: what the cut leaves at the inner face",
        "1/8 in",
    )  # fmt: skip
    waist: float | None = length_field(
        "Waist", "8 mm", "150 mm",
        "of a fold of cheeks: width of the plate's middle; if not given, such that its walls need "
        "no drawing",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Eye:
    """The hole for the handle, at the middle of its height."""

    form: str = choice_field(
        "Form of the eye", EYE_FORMS,
        "teardrop: the hull of a large circle behind and a small one in front; stadium: two half "
        "circles and straight sides; superellipse: between an ellipse and a rectangle",
        "teardrop",
    )  # fmt: skip
    length: float | None = length_field(
        "Length of the eye", "12 mm", "100 mm", "from the poll towards the edge"
    )
    width: float | None = length_field("Width of the eye", "8 mm", "80 mm", "across the head")
    perimeter: float | None = length_field(
        "Perimeter of the handle", "32 mm", "320 mm",
        "measured round a real handle with a strip of paper; in place of length and width",
    )  # fmt: skip
    ratio: float | None = number_field("Length over width", 1.0, 6.0, "goes with the perimeter")
    front_radius: float = length_field(
        "Radius of the nose", "0.5 mm", "30 mm", "of a teardrop, at its narrow front", "1/8 in"
    )
    exponent: float = number_field(
        "Exponent", 2.0, 6.0,
        "of a superellipse: 2 is an ellipse, 5 nearly a rectangle", 2.5,
    )  # fmt: skip
    taper: float = length_field(
        "Taper", "-6 mm", "6 mm",
        "how much wider the eye is at the top of the ears than at their bottom; negative: narrower",
        "0 mm",
    )  # fmt: skip
    flare: float = length_field(
        "Flare", "0 mm", "6 mm",
        "of a waisted eye, drifted from both sides: how much wider than in the middle it is at the "
        "top and at the bottom, besides the taper", "0 mm",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Wall:
    """The finished wall beside the eye."""

    thickness: float = length_field(
        "Thickness of the wall", "1.5 mm", "20 mm", "at the middle of its height", required=True
    )


@dataclass(frozen=True, kw_only=True)
class Ears:
    """The points of the wall along the handle."""

    form: str = choice_field(
        "Form of the ears", EAR_FORMS,
        "pointed: hollow flanks that meet in a point; rounded: a crest; none: a plain "
        "curve from poll to neck",
        "pointed",
    )  # fmt: skip
    above: float | None = length_field(
        "Ear above", "4 mm", "120 mm", "from the centre line to the upper tip"
    )
    below: float | None = length_field(
        "Ear below", "4 mm", "120 mm", "from the centre line to the lower tip"
    )
    place: float = number_field(
        "Place of the tips", 0.15, 0.85,
        "along the eye: 0 at its back, 1 at its front", 0.5,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Poll:
    """The block behind the eye."""

    thickness: float | None = length_field(
        "Thickness of the poll", "2 mm", "60 mm",
        "from its back to the eye, plate and all; if not given, what the bar leaves after scale",
    )  # fmt: skip
    height: float | None = length_field(
        "Height of the poll", "8 mm", "150 mm", "along the handle; if not given, the bar's width"
    )
    overhang: float = length_field(
        "Overhang", "0 mm", "25 mm", "how much wider the poll is than the head at the eye, in all",
        "0 mm",
    )  # fmt: skip
    sides_forward: float = length_field(
        "Square sides forward", "0 mm", "30 mm",
        "how far the square sides of the poll are carried forward of the back of the eye", "0 mm",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Plate:
    """A hardenable plate on the poll."""

    thickness: float | None = length_field(
        "Thickness of the plate", "2 mm", "20 mm",
        "as ground; if not given, the poll has no plate",
    )  # fmt: skip
    steel: str = text_field("Steel of the plate", 40, "as the dealer names it", "1084")
    stock: tuple[float, float] | None = section_field(
        "Stock of the plate", "1 mm", "150 mm", "the bar that it is cut from: thickness by width",
        required=False,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Curve:
    """The top or the bottom of the blade, from the front of the eye to the edge.

    Outwards means away from the centre line: up for the top, down for the bottom.
    """

    form: str = choice_field(
        "Curve", CURVE_FORMS, "line: straight, or through points; arc; smooth: a fair curve",
        "smooth",
    )  # fmt: skip
    hollow: float = length_field(
        "Hollow of the arc", "-60 mm", "60 mm",
        "how far the middle of an arc lies inside its chord; negative: a full, convex arc", "0 mm",
    )  # fmt: skip
    leave: float = angle_field(
        "Leaves the neck at", -60, 80, "angle outwards from the centre line [degrees]", 0.0
    )
    arrive: float | None = angle_field(
        "Arrives at the edge at", -80, 100,
        "angle outwards from the centre line [degrees]; if not given, a plain curve with no second "
        "bend", None,
    )  # fmt: skip
    through: tuple[tuple[float, float], ...] = points_field(
        "Through points",
        "-150 mm",
        "300 mm",
        "points on the way: distance from the front of the eye, height outwards",
    )


@dataclass(frozen=True, kw_only=True)
class Blade:
    """All that lies ahead of the eye."""

    reach: float = length_field(
        "Reach", "20 mm", "300 mm", "from the front of the eye to the foremost of the edge",
        required=True,
    )  # fmt: skip
    toe: float = length_field(
        "Toe", "5 mm", "200 mm", "height of the toe above the centre line", required=True
    )
    heel: float = length_field(
        "Heel", "5 mm", "250 mm", "depth of the heel below the centre line", required=True
    )
    neck_above: float = length_field(
        "Neck above", "4 mm", "80 mm", "height of the top at the front of the eye", required=True
    )
    neck_below: float = length_field(
        "Neck below", "4 mm", "80 mm", "depth of the bottom at the front of the eye", required=True
    )
    beard: float | None = length_field(
        "Beard", "10 mm", "150 mm",
        "width of a beard where it leaves the neck, from the edge back; in place of bottom's curve",
    )  # fmt: skip
    edge_radius: float | None = length_field(
        "Radius of the edge", "20 mm", "2000 mm",
        "of the edge's curve, seen from the side; or give toe_back and heel_back",
    )  # fmt: skip
    edge_centre: float | None = length_field(
        "Foremost point of the edge", "-200 mm", "200 mm",
        "its height above the centre line; if not given, half-way from toe to heel",
    )  # fmt: skip
    toe_back: float | None = length_field(
        "Toe back", "0.2 mm", "100 mm",
        "how far the toe lies behind the foremost of the edge; with heel_back in place of the "
        "radius",
    )  # fmt: skip
    heel_back: float | None = length_field(
        "Heel back", "0.2 mm", "100 mm", "how far the heel lies behind the foremost of the edge"
    )
    edge_angle: float = angle_field(
        "Edge angle", 10, 60, "the whole angle at the edge [degrees]", 25.0
    )
    bevel: str = choice_field(
        "Bevel", BEVELS,
        "both: flat, alike on both faces; one: on one face only, the other flat to the edge; "
        "convex: on both faces, rounded into the cheek", "both",
    )  # fmt: skip
    grind: float | None = length_field(
        "Reach of a convex bevel", "6 mm", "150 mm",
        "how far behind the edge its rounding ends, about twice as far as a flat bevel of the same "
        "angle; if not given, where it meets the cheek",
    )  # fmt: skip
    top: Curve = field(default_factory=Curve)
    bottom: Curve = field(default_factory=Curve)
    stations: tuple[tuple[float, float], ...] = points_field(
        "Thickness stations", "0.5 mm", "300 mm",
        "distance ahead of the front of the eye, and the blade's thickness there", required=True,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Bit:
    """The hardenable steel of the edge."""

    form: str = choice_field(
        "Form of the bit", BIT_FORMS,
        "inserted: between the halves, or in a cleft; overlaid: folded over the edge of the body; "
        "none: the body's own steel hardens", "inserted",
    )  # fmt: skip
    barbs: str = choice_field(
        "Barbs", BARBS,
        "raised with a chisel on the faces of an inserted bit, so that it stays put in the first "
        "welding heat", "none",
    )  # fmt: skip
    steel: str = text_field("Steel of the bit", 40, "as the dealer names it", "1084")
    stock: tuple[float, float] | None = section_field(
        "Stock of the bit", "1 mm", "120 mm", "the bar that the bit is cut from: thickness by "
        "width", required=False,
    )  # fmt: skip
    thickness: float | None = length_field(
        "Thickness of the bit", "1.5 mm", "25 mm",
        "as forged, behind the edge; of one leg, where it is overlaid",
    )  # fmt: skip
    insertion: float | None = length_field(
        "Depth of insertion", "8 mm", "250 mm", "from the finished edge back to the bit's end"
    )
    scarf: float = length_field("Scarf", "2 mm", "80 mm", "length of the tapered back", "3/8 in")
    tip: float = length_field(
        "Thin end of the scarf", "0.2 mm", "20 mm", "its thickness", "1/16 in"
    )


@dataclass(frozen=True, kw_only=True)
class Bar:
    """The flat stock of the body."""

    section: tuple[float, float] = section_field(
        "Section of the bar", "3 mm", "150 mm", "thickness by width"
    )
    steel: str = text_field("Steel of the bar", 40, "as the dealer names it", "mild steel")

    @property
    def thickness(self) -> float:
        return self.section[0]

    @property
    def width(self) -> float:
        return self.section[1]


@dataclass(frozen=True, kw_only=True)
class Allowances:
    """What the fire, the grinder and the drift take."""

    heats: int = count_field(
        "Heats", 0, 60,
        "full heats that the bar sees, bit and welding included", 8,
    )  # fmt: skip
    bit_heats: int = count_field(
        "Heats of the bit", 0, 60,
        "full heats that the bit sees", 5,
    )  # fmt: skip
    scale_per_heat: float = percent_field(
        "Scale per heat", 0, 6, "share of the metal lost to scale in one heat", 1.5
    )
    weld_loss: float = percent_field(
        "Weld loss", 0, 20,
        "share of the blade's and the bit's metal that the weld takes: flux, sparks, squeezed out",
        0,
    )  # fmt: skip
    grinding: float = length_field(
        "Grinding", "0 mm", "3 mm", "ground off each face of the blade", "1/64 in"
    )
    trimming: float = length_field(
        "Trimming", "0 mm", "12 mm", "cut or ground off round the blade's outline", "1/16 in"
    )
    drift_stretch: float = percent_field(
        "Drift stretch", 0, 8,
        "how much the finishing drift lengthens the walls: the strap is drawn shorter by as much", 0
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Hand:
    """The smith's own way of working."""

    bite: float = length_field(
        "Bite", "3 mm", "60 mm", "length of bar under one blow in drawing the straps", "3/4 in"
    )
    spread: float = number_field(
        "Spread of the hand", 0.2, 2.5,
        "spread in drawing over what the tables say: more than 1, the straps come wider and "
        "shorter", 1.0,
    )  # fmt: skip
    wrap: float = length_field(
        "Wrap offset", "-15 mm", "15 mm",
        "how much longer each strap must be drawn than the plan's area says; learnt from pieces",
        "0 mm",
    )  # fmt: skip
    step: float = number_field(
        "Shoulder step", 1.0, 3.0,
        "length of the step's face over its height: 1 is square, "
             "1.4 a ramp of 45 degrees", 1.0,
    )  # fmt: skip
    neutral: float = number_field(
        "Neutral line", 0.3, 0.6,
        "of the bend, as a share of the wall from the inside", 0.5,
    )  # fmt: skip
    finest: str = choice_field(
        "Finest mark", FINEST,
        "of the smith's rule: marks are rounded to it, each from the centre line; fine: to 1/64 in "
        "or 0.1 mm", "fine",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Handle:
    """The handle that the head is hung on; the hang takes it as straight, through the eye's
    middle."""

    form: str = choice_field(
        "Form of the handle", HANDLE_FORMS,
        "straight: its line is plumb; curved: it bows back in the middle and comes forward at the "
        "grip", "straight",
    )  # fmt: skip
    length: float | None = length_field(
        "Length of the handle", "150 mm", "1200 mm",
        "as sold: from the top of the eye to its end; if not given, no hang is reckoned",
    )  # fmt: skip
    grip: float = length_field(
        "Grip", "20 mm", "500 mm",
        "from the end of the handle to the middle of the lower hand", "3 in",
    )  # fmt: skip
    depth: float | None = length_field(
        "Depth at its end", "15 mm", "100 mm",
        "from front to back, swell included; if not given, the eye's length",
    )  # fmt: skip
    share: float = number_field(
        "Section of the handle", 0.4, 1.6,
        "its mean below the eye over the section in the eye", 0.875,
    )  # fmt: skip
    density: float = number_field(
        "Density of the wood", 300.0, 1200.0, "dry, as hung [kg/m3]", 881.0
    )


@dataclass(frozen=True, kw_only=True)
class Design:
    """One head with its bar, as asked for. Lengths [mm], angles [degrees], shares of one."""

    name: str = text_field("Name", 60, "what the head is called")
    note: str = text_field("Note", 400, "what it is for", "")
    order: str = text_field("Order", 200, "whose it is, or what to remember of it", "")
    bar: Bar
    fold: Fold = field(default_factory=Fold)
    eye: Eye
    wall: Wall
    ears: Ears
    poll: Poll
    plate: Plate = field(default_factory=Plate)
    blade: Blade
    bit: Bit = field(default_factory=Bit)
    handle: Handle = field(default_factory=Handle)
    allowances: Allowances = field(default_factory=Allowances)
    hand: Hand = field(default_factory=Hand)


def specs() -> tuple[tuple[str, Spec], ...]:
    """Every field of a design with its dotted key, in the order of the schema.

    >>> keys = [key for key, spec in specs()]
    >>> keys[:4], "blade.top.form" in keys
    (['name', 'note', 'order', 'bar.section'], True)
    """
    return schema.specs(Design)


def spec_at(key: str) -> Spec:
    """What the schema says of a dotted key of a design.

    >>> spec_at("wall.thickness").kind
    'length'
    """
    return schema.spec_at(Design, key)
