"""Random heads for the tests of the model, written as a profile is.

A *raw* table is a profile as TOML gives it, but with its lengths as exact fractions of a
millimetre; ``written`` turns these into text in inches or millimetres. So that both spellings of a
length mean the same number to the last digit, lengths are drawn either in 64ths of an inch
(25.4/64 = 0.396875 mm exactly) or in hundredths of a millimetre.

The ranges are those of a working smith's heads, from a small hatchet to a felling axe; no product
stands behind any of them.
"""

from __future__ import annotations

import copy
import os
from collections.abc import Callable
from fractions import Fraction
from typing import Any
from unittest import mock

from hypothesis import HealthCheck, assume, settings
from hypothesis import strategies as st

from patterns import blank, curves, eye, profiles
from patterns.errors import BadInputError
from patterns.parameters import BEVELS, BIT_FORMS, EYE_FORMS, FOLD_FORMS

Raw = dict[str, Any]

SIXTY_FOURTH = Fraction(254, 640)
HUNDREDTH = Fraction(1, 100)


def examples(count: int) -> settings:
    """The same ``count`` designs every time; EYEWRAP_SOAK=20 asks for 20 times as many, anew."""
    soak = int(os.environ.get("EYEWRAP_SOAK", "0"))
    return settings(
        max_examples=count * max(1, soak),
        derandomize=not soak,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


# Writing -----------------------------------------------------------------------------------------


def decimal(value: Fraction) -> str:
    """An exact decimal; every length here has one of at most eight places.

    >>> decimal(Fraction(254, 640)), decimal(Fraction(-1, 4))
    ('0.396875', '-0.25')
    """
    places = value * 10**8
    assert places.denominator == 1, value
    whole, rest = divmod(abs(places.numerator), 10**8)
    sign = "-" if value < 0 else ""
    return f"{sign}{whole}.{rest:08d}".rstrip("0").rstrip(".")


def in_inches(value: Fraction) -> str:
    """A whole number and a fraction where it is one of 64ths, else a fraction alone."""
    inches = abs(value) / Fraction(254, 10)
    sign = "-" if value < 0 else ""
    whole, rest = divmod(inches.numerator, inches.denominator)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{f'{whole} ' if whole else ''}{rest}/{inches.denominator}"


def written(raw: Any, units: str = "mm") -> Any:
    """The table with every length as text in one unit system."""
    spell = in_inches if units == "in" else decimal
    match raw:
        case Fraction():
            return f"{spell(raw)} {units}"
        case (Fraction() as first, Fraction() as second):
            return f"{spell(first)} x {spell(second)} {units}"
        case dict():
            return {key: written(value, units) for key, value in raw.items()}
        case list():
            return [[written(x, units), written(y, units)] for x, y in raw]
    return raw


def scaled(raw: Any, factor: int) -> Any:
    """The table with every length ``factor`` times as large."""
    match raw:
        case Fraction():
            return raw * factor
        case (Fraction() as first, Fraction() as second):
            return first * factor, second * factor
        case dict():
            return {key: scaled(value, factor) for key, value in raw.items()}
        case list():
            return [(x * factor, y * factor) for x, y in raw]
    return raw


def mirrored(raw: Raw) -> Raw:
    """The head upside down; a bearded one has no mirror image in the schema."""
    found = copy.deepcopy(raw)
    assert "beard" not in raw["blade"]
    for group, one, other in (
        ("ears", "above", "below"),
        ("blade", "toe", "heel"),
        ("blade", "neck_above", "neck_below"),
        ("blade", "top", "bottom"),
    ):
        table = found[group]
        if one in table:
            table[one], table[other] = table[other], table[one]
    for group, key in (("blade", "edge_centre"), ("eye", "taper")):
        if key in found[group]:
            found[group][key] = -found[group][key]
    return found


def changed(raw: Raw, **changes: Any) -> Raw:
    """The table with ``group__key=value`` put in."""
    found = copy.deepcopy(raw)
    for path, value in changes.items():
        *groups, last = path.split("__")
        table = found
        for group in groups:
            table = table.setdefault(group, {})
        table[last] = value
    return found


def read(raw: Raw, units: str = "mm") -> profiles.Profile:
    return profiles.read(written(raw, units), "trial", units)


def planned(raw: Raw, units: str = "mm") -> blank.ForgePlan:
    return blank.plan(read(raw, units).design, units)


def planned_or_dropped(raw: Raw) -> blank.ForgePlan:
    """The plan of a changed design; a change that the schema refuses is not a case."""
    try:
        return planned(raw)
    except BadInputError:
        assume(False)
        raise


def twice(raw: Raw) -> blank.ForgePlan:
    """The head twice as large, its fair curves laid twice as coarsely, so that it is similar."""
    tolerance, pairs = curves.laid.__defaults__ or ()
    with (
        mock.patch.object(curves.laid, "__defaults__", (2 * tolerance, pairs)),
        mock.patch.object(eye, "CURVE_TOLERANCE", 2 * eye.CURVE_TOLERANCE),
    ):
        return planned_or_dropped(scaled(raw, 2))


# Drawing -----------------------------------------------------------------------------------------


@st.composite
def raws(
    draw: Callable[[Any], Any],
    step: Fraction | None = None,
    eye_form: str | None = None,
    by_perimeter: bool | None = None,
) -> Raw:
    """A table that a smith might write; most of them can be planned."""
    unit = step or draw(st.sampled_from((SIXTY_FOURTH, HUNDREDTH)))

    def between(low: float, high: float) -> Fraction:
        """A length [mm] on the chosen rule."""
        first, last = -int(-low // float(unit)), int(high // float(unit))
        return unit * draw(st.integers(first, max(first, last)))

    def number(low: float, high: float, places: int = 3) -> float:
        size = 10**places
        return draw(st.integers(round(low * size), round(high * size))) / size

    def chance() -> bool:
        return draw(st.booleans())

    # bar and wall
    thick = between(7.0, 15.0)
    wide = between(2.2 * float(thick), min(55.0, 4.0 * float(thick)))
    wall = between(0.4 * float(thick), 0.62 * float(thick))
    T, W, t = float(thick), float(wide), float(wall)
    heats, loss = draw(st.integers(0, 14)), number(0.0, 2.5, 2)
    left = (1.0 - loss / 100.0) ** heats

    # eye
    form = eye_form or draw(st.sampled_from(EYE_FORMS))
    eye: Raw = {"form": form}
    ratio = 1.0 if form == "circle" else number(1.3, 3.0)
    width = number(24.0, 34.0) if form == "circle" else number(14.0, 22.0)
    length = min(width * ratio, 49.0)
    if chance() if by_perimeter is None else by_perimeter:
        # between the rectangle round the eye and the rhombus in it; near enough to choose from
        around = 0.8 * (2.0 * (length + width))
        eye["perimeter"] = between(around, around + 3.0)
        if form != "circle":
            eye["ratio"] = ratio
        width *= 0.8  # never smaller than this
    else:
        eye["length"] = between(length, length + 1.0)
        if form != "circle":
            eye["width"] = between(width - 0.5, width)
    eye["front_radius"] = between(0.1 * width, 0.4 * width)
    if form == "superellipse":
        eye["exponent"] = number(2.0, 5.0)
    if chance():
        sharpest = {
            "teardrop": float(eye["front_radius"]),
            "stadium": 0.45 * width,
            "circle": 0.4 * width,
        }.get(form, width / ratio / 4.5)
        most = min(2.9, 1.5 * min(sharpest, t))
        eye["taper"] = between(-most, most)

    # poll, necks, ears
    poll: Raw = {"overhang": between(0.0, 5.0), "sides_forward": between(0.0, 0.25 * length)}
    tall = W
    if chance():
        poll["height"] = between(0.8 * W, 1.2 * W)
        tall = float(poll["height"])
    if chance():
        poll["thickness"] = between(0.6 * T, 1.1 * T)
    neck_above, neck_below = between(0.3 * W, 0.55 * W), between(0.3 * W, 0.55 * W)
    lowest = [max(tall / 2.0, float(neck)) for neck in (neck_above, neck_below)]
    room = T * W * left / t - sum(lowest) - 2.0
    ears: Raw = {"form": draw(st.sampled_from(("pointed", "rounded", "none")))}
    if ears["form"] != "none":
        ears["place"] = number(0.2, 0.8)
        rise = 0.7 * min(ears["place"], 1.0 - ears["place"]) * 0.9 * length
        rise = max(1.0, min(0.5 * room, rise))
        ears["above"] = between(lowest[0] + 0.4, lowest[0] + rise)
        ears["below"] = between(lowest[1] + 0.4, lowest[1] + rise)

    # blade
    reach = between(50.0, 130.0)
    far = float(reach)
    toe = between(max(6.0, 0.9 * float(neck_above)), 2.2 * float(neck_above) + 10.0)
    heel = between(max(6.0, 0.9 * float(neck_below)), 2.5 * float(neck_below) + 12.0)
    blade: Raw = {
        "reach": reach,
        "toe": toe,
        "heel": heel,
        "neck_above": neck_above,
        "neck_below": neck_below,
        "edge_angle": number(20.0, 40.0, 1),
    }
    middle = (float(toe) - float(heel)) / 2.0
    if chance():
        blade["edge_centre"] = between(middle - 12.0, middle + 12.0)
        middle = float(blade["edge_centre"])
    half = max(abs(float(toe) - middle), abs(float(heel) + middle))
    radius = max(20.0, 1.15 * half) * draw(st.sampled_from((1.0, 1.3, 1.8, 3.0, 8.0)))
    blade["edge_radius"] = between(radius, radius + 5.0)
    first = between(1.3 * t, 2.2 * t)
    stations = [(first, between(0.9 * T, 2.0 * T))]
    at, now = float(first), float(stations[0][1])
    for share in draw(st.sampled_from(((0.8,), (0.4, 0.85), (0.3, 0.5, 0.75)))):
        x = between(far * share, far * share + 3.0)
        if float(x) > at + 5.0:
            # no steeper than the flattest bevel allows
            aim = max(3.0, now * (0.3 if share > 0.7 else 0.65), now - 0.25 * (float(x) - at))
            stations.append((x, between(aim, aim + 2.0)))
            at, now = float(x), float(stations[-1][1])
    blade["stations"] = stations[::-1] if chance() else stations
    for name, neck, corner in (("top", neck_above, toe), ("bottom", neck_below, heel)):
        rise = float(corner) - float(neck)
        curve: Raw = {"form": draw(st.sampled_from(("line", "arc", "smooth")))}
        if curve["form"] == "arc":
            curve["hollow"] = between(-0.04 * far, 0.06 * far)
        elif chance():
            curve["through"] = [
                (x, between(float(neck) + share * rise * 0.6 - 1.0,
                            float(neck) + share * rise * 0.6 + 1.0))
                for share in draw(st.sampled_from(((0.5,), (0.35, 0.65))))
                for x in (between(far * share, far * share + 2.0),)
            ]  # fmt: skip
        if curve["form"] == "smooth":
            curve["leave"] = number(-5.0, 12.0, 1)
            if chance():
                curve["arrive"] = number(5.0, 50.0, 1)
        blade[name] = curve
    if draw(st.integers(0, 4)) == 0:
        blade["heel"] = between(float(neck_below) + 25.0, float(neck_below) + 60.0)
        blade["beard"] = between(0.4 * far, 0.6 * far)
        blade["bottom"] = {"leave": number(-3.0, 3.0, 1)}
        blade.pop("edge_centre", None)
        spread = (float(toe) + float(blade["heel"])) / 2.0
        blade["edge_radius"] = between(1.3 * spread, 4.0 * spread)

    # bit
    insertion = between(20.0, min(45.0, 0.7 * (far - float(first))))
    thin = between(3.0, 5.5)
    bit: Raw = {
        "stock": (between(5.0, 8.0), between(25.0, 40.0)),
        "thickness": thin,
        "insertion": insertion,
        "scarf": between(4.0, 0.4 * float(insertion)),
        "tip": between(0.5, 0.6 * float(thin)),
    }
    return {
        "name": "Trial",
        "bar": {"section": (thick, wide)},
        "wall": {"thickness": wall},
        "eye": eye,
        "ears": ears,
        "poll": poll,
        "blade": blade,
        "bit": bit,
        "allowances": {
            "heats": heats,
            "bit_heats": draw(st.integers(0, 8)),
            "scale_per_heat": f"{loss:.2f} %",
            "grinding": between(0.0, 1.0),
            "trimming": between(0.0, 3.0),
            "drift_stretch": f"{number(0.0, 5.0, 1):.1f} %",
        },
        "hand": {
            "bite": between(10.0, 29.0),
            "step": number(1.0, 1.5, 2),
            "neutral": number(0.42, 0.52, 2),
        },
    }


@st.composite
def designs(draw: Callable[[Any], Any], step: Fraction | None = None) -> tuple[Raw, Any]:
    """A raw table and its plan; what the program refuses in its own words is passed over.

    Any other error is left to fail the test.
    """
    raw = draw(raws(step))
    try:
        return raw, planned(raw)
    except BadInputError:
        assume(False)
        raise


# Fixed heads -------------------------------------------------------------------------------------


def mm(value: float | str) -> Fraction:
    return Fraction(str(value))


def inch(value: str) -> Fraction:
    """``inch("1 3/8")``."""
    return sum((Fraction(part) for part in value.split()), Fraction(0)) * Fraction(254, 10)


LOPSIDED: dict[str, Raw] = {
    # no two of ear, neck, toe and heel alike; edge's foremost point off the middle
    "stadium": {
        "name": "Stadium",
        "bar": {"section": (mm(11), mm(37))},
        "wall": {"thickness": mm("5.3")},
        "eye": {"form": "stadium", "length": mm(44), "width": mm(17)},
        "ears": {"form": "pointed", "above": mm(24), "below": mm(33), "place": 0.37},
        "poll": {"height": mm(41), "overhang": mm(3), "sides_forward": mm("4.5")},
        "blade": {
            "reach": mm(91), "toe": mm(25), "heel": mm(52), "neck_above": mm(14),
            "neck_below": mm(18), "edge_radius": mm(83), "edge_centre": mm(-7), "edge_angle": 31,
            "stations": [(mm(9), mm(19)), (mm(38), mm(13)), (mm(74), mm("5.5"))],
            "top": {"form": "arc", "hollow": mm(3)},
            "bottom": {"form": "smooth", "leave": 4, "arrive": 37},
        },
        "bit": {"stock": (mm(6), mm(30)), "thickness": mm("4.1"), "insertion": mm(33),
                "scarf": mm(11), "tip": mm("1.3")},
    },
    # hidden behind a perimeter, no ears, lines through points, a hump above and a hollow below
    "superellipse": {
        "name": "Superellipse",
        "bar": {"section": (mm(13), mm(42))},
        "wall": {"thickness": mm(6)},
        "eye": {"form": "superellipse", "perimeter": mm(118), "ratio": 2.1, "exponent": 2.7},
        "ears": {"form": "none"},
        "poll": {"height": mm(50), "thickness": mm(9), "sides_forward": mm(0)},
        "blade": {
            "reach": mm(104), "toe": mm(31), "heel": mm(44), "neck_above": mm(23),
            "neck_below": mm(16), "edge_radius": mm(310), "edge_centre": mm(11),
            "edge_angle": 24, "stations": [(mm(12), mm(21)), (mm(95), mm(5))],
            "top": {"form": "line", "through": [(mm(40), mm(29)), (mm(66), mm(26))]},
            "bottom": {"form": "arc", "hollow": mm(-4)},
        },
        "bit": {"stock": (mm(5), mm(40)), "thickness": mm("3.6"), "insertion": mm(41),
                "scarf": mm(15), "tip": mm(1)},
    },
    # round eye, one thickness station only, a blunt bevel that takes half the blade
    "circle": {
        "name": "Round",
        "bar": {"section": (mm("9.5"), mm(34))},
        "wall": {"thickness": mm("4.4")},
        "eye": {"form": "circle", "length": mm(31)},
        "ears": {"form": "rounded", "above": mm(29), "below": mm(19), "place": 0.62},
        "poll": {"overhang": mm(0), "sides_forward": mm(2)},
        "blade": {
            "reach": mm(83), "toe": mm(22), "heel": mm(39), "neck_above": mm(15),
            "neck_below": mm(12), "edge_radius": mm(57), "edge_angle": 17,
            "stations": [(mm("7.5"), mm(15)), (mm(50), mm(8))],
            "top": {"form": "smooth", "leave": -6, "through": [(mm(41), mm("13.5"))],
                    "arrive": 30},
            "bottom": {"form": "smooth", "leave": 2},
        },
        "bit": {"stock": (mm(6), mm(25)), "thickness": mm(5), "insertion": mm(30),
                "scarf": mm(9), "tip": mm(2)},
    },
    # bearded, sharp-nosed
    "bearded": {
        "name": "Bearded",
        "bar": {"section": (mm(12), mm(38))},
        "wall": {"thickness": mm("5.5")},
        "eye": {"form": "teardrop", "length": mm(46), "width": mm(20), "front_radius": mm(3)},
        "ears": {"form": "rounded", "above": mm(21), "below": mm(28), "place": 0.55},
        "poll": {"height": mm(34), "overhang": mm(1)},
        "blade": {
            "reach": mm(97), "toe": mm(29), "heel": mm(71), "beard": mm(47),
            "neck_above": mm(17), "neck_below": mm(13), "edge_radius": mm(120),
            "edge_centre": mm(-13), "edge_angle": 27,
            "stations": [(mm(11), mm(17)), (mm(42), mm(10)), (mm(80), mm(5))],
            "top": {"form": "smooth", "leave": 3, "arrive": 22},
            "bottom": {"leave": 2},
        },
        "bit": {"stock": (mm(5), mm(30)), "thickness": mm(4), "insertion": mm(35),
                "scarf": mm(12), "tip": mm("1.4")},
    },
}  # fmt: skip
"""Invented heads with nothing alike on both sides."""


# Every construction ------------------------------------------------------------------------------


@st.composite
def wide_raws(
    draw: Callable[[Any], Any],
    step: Fraction | None = None,
    fold: str | None = None,
    bit: str | None = None,
    bevel: str | None = None,
) -> Raw:
    """A head of any fold, bit, bevel, plate, flare and edge; what is not told is drawn.

    It is a head of :func:`raws` with what its fold asks for put in and what it forbids taken out.
    """
    unit = step or draw(st.sampled_from((SIXTY_FOURTH, HUNDREDTH)))
    raw: Raw = draw(raws(unit))

    def between(low: float, high: float) -> Fraction:
        first, last = -int(-low // float(unit)), int(high // float(unit))
        return unit * draw(st.integers(first, max(first, last)))

    def chance() -> bool:
        return draw(st.booleans())

    fold = fold or draw(st.sampled_from(FOLD_FORMS))
    bevel = bevel or draw(st.sampled_from(BEVELS))
    bit = bit or ("inserted" if fold == "cheeks" else draw(st.sampled_from(BIT_FORMS)))
    thick, wide = map(float, raw["bar"]["section"])
    wall, poll, blade = float(raw["wall"]["thickness"]), raw["poll"], raw["blade"]
    raw["fold"] = {"form": fold}
    plate = 0.0
    if fold in ("block", "closed") and chance():
        raw["plate"] = {
            "thickness": between(2.0, 6.0), "stock": (between(6.0, 8.0), between(20.0, 50.0)),
        }  # fmt: skip
        plate = float(raw["plate"]["thickness"])
    match fold:
        case "block" if "thickness" in poll:
            poll["thickness"] += between(plate, plate + 1.0)
        case "closed":
            raw["fold"]["hinge"] = between(0.5, min(0.4 * thick, 7.0))
            poll["thickness"] = between(plate + wall + 2.0, plate + wall + 20.0)
            poll.pop("overhang")
        case "round" | "one-sided" | "cheeks":
            for key in ("thickness", "overhang", "sides_forward"):
                poll.pop(key, None)
    if fold == "one-sided":
        raw["fold"]["lap"] = between(5.0, 20.0)
    if fold == "cheeks":
        poll.setdefault("height", raw["bar"]["section"][1])
        necks = [float(blade[key]) for key in ("neck_above", "neck_below")]
        tall = sum(
            float(raw["ears"].get(side, max(poll["height"] / 2, neck)))
            for side, neck in zip(("above", "below"), necks, strict=True)
        )
        loss = float(raw["allowances"]["scale_per_heat"][:-2]) / 100.0
        left = (1.0 - loss) ** raw["allowances"]["heats"]
        waist = wide
        if chance():
            raw["fold"]["waist"] = between(0.8 * wide, wide)
            waist = float(raw["fold"]["waist"])
        # a plate that the wall's height can come from, hardly thicker than the wall
        least = max(wall, 1.01 * wall * tall / (waist * left))
        raw["bar"]["section"] = (between(least, 1.2 * least), raw["bar"]["section"][1])
    # bit
    group = raw["bit"]
    if bit != "inserted":
        group["form"] = bit
    if bit == "overlaid":
        group["thickness"] = between(2.0, 0.6 * float(group["thickness"]))
        group["tip"] = between(0.3, 0.6 * float(group["thickness"]))
    elif bit == "none":
        for key in ("stock", "thickness", "insertion"):
            group.pop(key)
    elif chance():
        group["barbs"] = "raised"
    # bevel
    if bevel != "both":
        blade["bevel"] = bevel
    if bevel == "convex":  # it takes twice as far to reach the cheek
        blade["edge_angle"] = min(60.0, blade["edge_angle"] + 18.0)
    if bevel == "convex" and chance():
        blade["grind"] = between(0.35 * float(blade["reach"]), 0.6 * float(blade["reach"]))
    # eye
    if chance():
        most = 0.5 * wall if "taper" not in raw["eye"] else 0.2 * wall
        raw["eye"]["flare"] = between(0.0, most)
    # edge
    if chance():
        radius = float(blade.pop("edge_radius"))
        middle = float(blade.pop("edge_centre", 0.0)) or float(blade["toe"] - blade["heel"]) / 2.0
        for name, height in (("toe", float(blade["toe"])), ("heel", -float(blade["heel"]))):
            back = radius - max(radius**2 - (height - middle) ** 2, 0.25 * radius**2) ** 0.5
            blade[f"{name}_back"] = between(max(0.2, back), max(0.6, back + 1.0))
    return raw


@st.composite
def wide_designs(draw: Callable[[Any], Any], **kinds: Any) -> tuple[Raw, Any]:
    """As :func:`designs`, of every construction."""
    raw = draw(wide_raws(**kinds))
    try:
        return raw, planned(raw)
    except BadInputError:
        assume(False)
        raise


def _folded() -> dict[str, Raw]:
    """A head of each fold, and of each bit, bevel, edge and eye, made from the ones above."""
    made: dict[str, Raw] = {}
    # a block with a plate, an overlaid bit and a convex bevel; waisted eye
    made["block"] = changed(
        LOPSIDED["stadium"],
        fold={"form": "block"}, poll__thickness=mm(13), eye__flare=mm("1.7"), eye__taper=mm("-0.6"),
        plate={"thickness": mm(4), "stock": (mm(6), mm(40))},
        blade__bevel="convex", blade__grind=mm(30), blade__edge_angle=38,
        bit={"form": "overlaid", "stock": (mm(4), mm(60)), "thickness": mm("1.8"),
             "insertion": mm(33), "scarf": mm(11), "tip": mm("0.6")},
    )  # fmt: skip
    # round eye, tapered; one-bevel; edge by its corners; the strap runs through
    made["round"] = changed(
        LOPSIDED["circle"],
        fold={"form": "round"}, poll={"height": mm(30)}, eye__taper=mm("2.4"),
        blade__bevel="one", blade__edge_angle=27, bit__barbs="raised",
        blade__toe_back=mm("5.1"), blade__heel_back=mm("13.2"),
    )  # fmt: skip
    made["round"]["blade"].pop("edge_radius")
    # folded shut, plate, no bit, bevel convex as far as it goes
    made["closed"] = changed(
        LOPSIDED["superellipse"],
        fold={"form": "closed", "hinge": mm(3)}, plate={"thickness": mm(3),
        "stock": (mm(5), mm(45))}, poll={"height": mm(46), "thickness": mm(19)},
        blade__bevel="convex", blade__edge_angle=38, bit={"form": "none"}, eye__flare=mm(1),
    )  # fmt: skip
    made["one-sided"] = changed(
        LOPSIDED["bearded"],
        fold={"form": "one-sided", "lap": mm(17)},
        poll={"height": mm(34)},
        eye__taper=mm("-1.2"),
        blade__bevel="one",
        blade__edge_angle=24,
    )
    made["cheeks"] = changed(
        LOPSIDED["stadium"],
        fold={"form": "cheeks", "waist": mm(37)}, bar={"section": (mm(10), mm(62))},
        poll={"height": mm(41)}, bit__barbs="raised", bit__insertion=mm(80), bit__tip=mm(3),
        eye__flare=mm("0.9"), blade__edge_angle=29,
    )  # fmt: skip
    return made


FOLDED = _folded()
"""One head of each fold; between them every bit, bevel, edge, plate and eye."""
