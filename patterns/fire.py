"""At the fire: what a measure reads hot, and two straps that were measured at different heats.

A piece stands longer hot than cold, by the elongation of EN 1993-1-2 (:mod:`forging.expansion`),
which is known from 20 to 1200 deg C. A heat is told by a temperature or by a colour. Tables of
colours disagree by up to 300 deg C about one word, so a colour is a range over the tables, and
what is read at a colour is an interval; the colour of iron also depends on the light of the shop.
A range that passes 1200 deg C is known only up to there: hotter iron reads longer by an amount that
is not told here. Nothing is clamped: such a heat is :attr:`Heat.open`.

A temperature that is told is taken as told; the tables of :data:`TABLES` are all second-hand.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from .forging.expansion import cold_length, elongation, hot_length
from .interval import Interval
from .sources import (
    CHAPMAN_COLOURS,
    ELONGATION_COLDEST,
    ELONGATION_HOTTEST,
    ELONGATION_LEVEL_FROM,
    HALCOMB_COLOURS,
    STIRLING_COLOURS,
    WHITE_TAYLOR_COLOURS,
    HeatColours,
)
from .units import (
    MM_PER_INCH,
    NotATemperatureError,
    fahrenheit,
    length,
    read_temperature,
    temperature,
)

TABLES = (WHITE_TAYLOR_COLOURS, CHAPMAN_COLOURS, STIRLING_COLOURS, HALCOMB_COLOURS)
"""Tables of colours that a colour's range is taken over."""

COLOURS = tuple(
    dict.fromkeys(word for table in reversed(TABLES) for word, *_ in table.colours)
)  # fmt: skip
"""Colours by name, coolest first."""

SHEET_COLOURS = ("cherry", "orange", "yellow")
"""Colours at which straps and blades are worked and measured: common practice."""

STATED = 1000.0
"""Temperature of the hot readings in ``plan.json`` [deg C]: orange by Chapman, a clear cherry by
Stirling, yellow by White and Taylor."""

TOLERANCE = MM_PER_INCH / 64.0
"""Within this, two measures are taken for the same [mm]: the finest mark of a smith's rule."""

_OTHER_WORDS = {
    "dull red": "dark red",
    "dull cherry red": "dull cherry",
    "cherry red": "cherry",
    "full cherry": "cherry",
    "full cherry red": "cherry",
    "light cherry": "bright cherry",
    "light cherry red": "bright cherry",
    "clear cherry": "bright cherry",
    "clear cherry red": "bright cherry",
    "bright cherry red": "bright cherry",
    "deep orange": "orange",
    "clear orange": "orange",
    "black red": "just visible",
    "white heat": "white",
}
_COLD_WORDS = ("cold", "hand warm", "room temperature")
_REDS = ("dark red", "dull cherry", "cherry", "bright cherry")


class NotAHeatError(ValueError):
    """The text is no heat; ``change`` says what might be meant, the message what may stand."""

    def __init__(self, allowed: str, change: str) -> None:
        self.change = change
        super().__init__(allowed)


@dataclass(frozen=True)
class Heat:
    """A heat as it was told: a name, and the temperatures that it may be [deg C].

    ``tables`` are those that a colour's range is taken over; none for a temperature.
    """

    name: str
    low: float
    mid: float
    high: float
    tables: tuple[HeatColours, ...] = ()

    def __post_init__(self) -> None:
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"bounds out of order: {self.low:g}, {self.mid:g}, {self.high:g}")
        coldest, hottest = ELONGATION_COLDEST.value, ELONGATION_HOTTEST.value
        if not coldest <= self.low <= hottest:
            raise ValueError(f"a heat begins within {coldest:g} to {hottest:g} deg C")

    @property
    def open(self) -> bool:
        """Whether it may be hotter than elongation is known for."""
        return self.high > ELONGATION_HOTTEST.value

    @property
    def known(self) -> Interval:
        """The part of its range for which elongation is known [deg C].

        The middle is the heat's own; halfway through the known part where that is not known.
        """
        high = min(self.high, ELONGATION_HOTTEST.value)
        return Interval(self.low, self.mid if self.mid <= high else (self.low + high) / 2.0, high)

    def shown(self, units: str) -> str:
        """The heat in words, with its range and the tables behind it.

        >>> read_heat("cherry").shown("mm")
        'cherry, 745 to 900 C (1375 to 1650 F) by White and Taylor, Chapman, Stirling, Halcomb'
        """
        if not self.tables:
            return self.name
        by = ", ".join(_short(table) for table in self.tables)
        ends = [temperature(end, units).split() for end in (self.low, self.high)]
        (first, unit, other, _), (last, _, beyond, end) = ends
        return f"{self.name}, {first} to {last} {unit} {other} to {beyond[1:]} {end} by {by}"


COLD = Heat(
    "cold", ELONGATION_COLDEST.value, ELONGATION_COLDEST.value, ELONGATION_COLDEST.value
)  # fmt: skip
"""As the plan's measures are meant, at 20 deg C."""


def colour(name: str, tables: Sequence[HeatColours] = TABLES) -> Heat:
    """A colour of :data:`COLOURS` over some tables; its middle is halfway between the ends.

    Raises
    ------
    KeyError
        If no table has the colour.

    Examples
    --------
    >>> heat = colour("orange")
    >>> heat.low, heat.high, colour("orange", [CHAPMAN_COLOURS]).mid
    (899.0, 1200.0, 1037.0)
    """
    found = [(table, span) for table in tables if (span := table.span(name)) is not None]
    if not found:
        raise KeyError(name)
    low, high = min(low for _, (low, _) in found), max(high for _, (_, high) in found)
    return Heat(name, low, (low + high) / 2.0, high, tuple(table for table, _ in found))


def read_heat(text: str, units: str = "in") -> Heat:
    """A heat from what a smith writes: a colour, a temperature, or ``cold``.

    Raises :class:`NotAHeatError`, whose message is in ``units`` (in or mm).

    >>> read_heat("orange").mid, read_heat("1000 C").mid, read_heat("1832 F").mid
    (1049.5, 1000.0, 1000.0)
    >>> read_heat("cold") == COLD
    True
    """
    word = " ".join(text.replace("-", " ").split()).lower().removesuffix(" heat")
    word = word.replace("color", "colour").removesuffix(" colour")
    if word in _COLD_WORDS:
        return COLD
    word = _OTHER_WORDS.get(word, word)
    if word in COLOURS:
        return colour(word)
    coldest, hottest = ELONGATION_COLDEST.value, ELONGATION_HOTTEST.value
    limits = f"{_degrees(coldest, units)} to {_degrees(hottest, units)}"
    allowed = f"cold, a temperature of {limits}, or a colour: {', '.join(COLOURS)}"
    try:
        told = read_temperature(text)
    except NotATemperatureError:
        raise NotAHeatError(allowed, _meant(word)) from None
    if not coldest <= told <= hottest:
        way = "expansion is not known there: let it cool" if told > hottest else "write cold"
        raise NotAHeatError(allowed, way)
    return Heat(temperature(told, units), told, told, told)


def _meant(word: str) -> str:
    """What a word that is no heat may have been meant for."""
    if word == "red":
        near = list(_REDS)
    else:
        known = {name: name for name in COLOURS} | _OTHER_WORDS | {"cold": "cold"}
        close = difflib.get_close_matches(word[:40], list(known), n=2, cutoff=0.6)
        near = list(dict.fromkeys(known[name] for name in close))
    if near:
        return f"did you mean {' or '.join(near)}?"
    if re.fullmatch(r"[+-]?[\d.]+", word):
        return f"put its unit behind it: {word} C or {word} F"
    return "write it as one of these"


def _degrees(celsius: float, units: str) -> str:
    return f"{fahrenheit(celsius):.0f} F" if units == "in" else f"{celsius:.0f} C"


def _short(table: HeatColours) -> str:
    """A table by its author, without first names."""
    author = table.work.author
    if author.startswith(("Halcomb", "Stirling")):
        return author.split()[0]
    return re.sub(r"\b[A-Z]\. ", "", author)


# Hot and cold ------------------------------------------------------------------------------------


def strain(heat: Heat) -> Interval:
    """Elongation over the known part of a heat [-].

    The curve of the standard steps down a little at 750 deg C, so that is looked at too.
    """
    span = heat.known
    step = math.nextafter(ELONGATION_LEVEL_FROM.value, 0.0)
    at = [span.low, span.mid, span.high, *([step] if span.spans(step) else [])]
    every = [elongation(celsius) for celsius in at]
    return Interval(min(every), every[1], max(every))


def reading(cold: float, heat: Heat) -> Interval:
    """What a length [mm] that is right when cold reads at a heat [mm].

    At a heat that is :attr:`Heat.open` it may read longer still.

    >>> reading(203.2, read_heat("1000 C")).mid / 25.4
    8.1104
    """
    if not cold > 0.0:
        raise ValueError(f"a length is more than 0; it is {cold:g}")
    span = strain(heat)
    middle = hot_length(cold, temperature=heat.known.mid)
    low, high = cold * (1.0 + span.low), cold * (1.0 + span.high)
    return Interval(min(low, middle), middle, max(high, middle))


def cold_of(hot: float, heat: Heat) -> Interval:
    """What a length [mm] measured at a heat will be when cold [mm].

    At a heat that is :attr:`Heat.open` it may be shorter still.

    >>> round(cold_of(200.0, read_heat("1000 C")).mid, 2)
    197.28
    """
    if not hot > 0.0:
        raise ValueError(f"a length is more than 0; it is {hot:g}")
    span = strain(heat)
    middle = cold_length(hot, temperature=heat.known.mid)
    low, high = hot / (1.0 + span.high), hot / (1.0 + span.low)
    return Interval(min(low, middle), middle, max(high, middle))


def span_text(span: Interval, units: str, open_above: bool = False) -> str:
    """Bounds for people: one figure where the rule shows no difference.

    >>> span_text(Interval(44.5, 44.6, 44.7), "mm"), span_text(Interval(44.45, 44.5, 44.5), "in")
    ('44.5 to 44.7 mm', '1 3/4 in')
    """
    low, high = length(span.low, units), length(span.high, units)
    unit = f" {units}"
    if low != high:
        low = f"{low.removesuffix(unit)} to {high}"
    return f"{low} or more" if open_above else low


def bounds(span: Interval, units: str, open_above: bool = False) -> str:
    """Bounds in the chosen units, with the other beside them.

    >>> bounds(Interval(44.45, 44.5, 44.7), "in")
    '1 3/4 to 1 49/64 in (44.5 to 44.7 mm)'
    """
    other = "mm" if units == "in" else "in"
    more = " or more" if open_above else ""
    return f"{span_text(span, units)} ({span_text(span, other)}){more}"


def heat_data(heat: Heat) -> dict[str, Any]:
    """A heat for JSON [deg C]; ``open``: it may be hotter than elongation is known for."""
    return {
        "name": heat.name, "low": heat.low, "mid": heat.mid, "high": heat.high, "open": heat.open,
        "tables": [str(table.work) for table in heat.tables],
    }  # fmt: skip


def hot_table(
    lengths: Iterable[tuple[str, float]], heats: Sequence[Heat], units: str, first: str = ""
) -> list[tuple[str, ...]]:
    """Rows of text: a heading, then each measure cold and at the middle of each heat.

    ``lengths`` are names with lengths when cold [mm]; ``first`` stands over the names.

    >>> for row in hot_table([("each strap", 44.03)], [read_heat("1000 C", "mm")], "mm"):
    ...     print(row)
    ('', 'cold', '1000 C (1830 F)')
    ('each strap', '44.0 mm', '44.6 mm')
    """
    rows: list[tuple[str, ...]] = [(first, COLD.name, *(_heading(heat, units) for heat in heats))]
    for name, cold in lengths:
        hot = [length(reading(cold, heat).mid, units) for heat in heats]
        rows.append((name, length(cold, units), *hot))
    return rows


def _heading(heat: Heat, units: str) -> str:
    if not heat.tables:
        return heat.name
    shown = temperature(heat.known.mid, units).partition(" (")[0]
    return f"{heat.name}, {shown}"


def sheet_heats() -> tuple[Heat, ...]:
    """The heats of the table on the sheets: by one table, since a smith reads one column."""
    return tuple(colour(name, (CHAPMAN_COLOURS,)) for name in SHEET_COLOURS)


# Two straps --------------------------------------------------------------------------------------

SHORT, RIGHT, LONG, UNTOLD = "short", "right", "long", "cannot be told"
"""Where a strap stands beside the length wanted."""
LEFT_LONGER, RIGHT_LONGER, AGREE = "left longer", "right longer", "agree"
"""How two straps stand to each other; or :data:`UNTOLD`."""


@dataclass(frozen=True)
class Measured:
    """A length as it was measured [mm], and at what heat."""

    length: float
    heat: Heat = COLD

    @property
    def cold(self) -> Interval:
        """What it will be when cold [mm]; shorter still, perhaps, if the heat is open."""
        return cold_of(self.length, self.heat)


@dataclass(frozen=True)
class Side:
    """One strap beside the length wanted. Lengths [mm].

    ``verdict``: :data:`SHORT`, :data:`RIGHT`, :data:`LONG` or :data:`UNTOLD`. ``missing``: by how
    much it is short of the length wanted, cold; less than 0 where it is long. ``reads``: what it
    reads at its own heat once it is right, ``missing_hot`` what is then still missing there.
    ``thins``: by how much drawing it to the length thins it to the wall wanted; None if no wall was
    told or nothing is to be drawn.
    """

    side: str
    measured: Measured
    verdict: str
    missing: Interval
    reads: Interval
    missing_hot: Interval
    thins: float | None

    @property
    def excess(self) -> float:
        """By how much it is longer than wanted, on the middle [mm]; 0 if it is not."""
        return max(-self.missing.mid, 0.0)


@dataclass(frozen=True)
class Match:
    """The way out when a strap is too long: draw the other to it, and take the larger eye [mm].

    ``side`` is the one to draw to ``length`` by ``draw``, cold; empty where the two agree, or where
    it cannot be told which. ``eye_grows`` is the change of the eye's perimeter to first order, the
    sum of what both straps then have too much.
    """

    side: str
    length: float
    draw: float
    eye_grows: float


@dataclass(frozen=True)
class Evened:
    """What two straps ask for. Lengths [mm].

    ``difference``: left less right, cold; ``pair``: how they stand to each other. ``one_heat``:
    whether both were measured at one colour, so that the colour's doubt falls on both alike.
    """

    target: float
    tolerance: float
    left: Side
    right: Side
    difference: Interval
    pair: str
    one_heat: bool
    match: Match | None

    @property
    def to_draw(self) -> tuple[Side, ...]:
        """The sides that are to be drawn to the length wanted."""
        return tuple(side for side in (self.left, self.right) if side.verdict == SHORT)

    @property
    def agree(self) -> bool:
        """Whether nothing is left to do."""
        return self.left.verdict == self.right.verdict == RIGHT and self.pair == AGREE


def even_up(
    left: Measured,
    right: Measured,
    *,
    target: float,
    tolerance: float = TOLERANCE,
    wall: float | None = None,
    spread: float = 0.0,
) -> Evened:
    """Which strap to draw, and by how much, from two lengths measured at their own heats.

    Parameters
    ----------
    left, right : Measured
        Each strap, poll mark to shoulder mark, as measured.
    target : float
        What each strap should be when cold: the plan's divider setting [mm].
    tolerance : float
        Within this a strap is right, and two straps agree [mm].
    wall : float, optional
        Thickness that the strap should have at that length [mm].
    spread : float
        Coefficient of spread in drawing [-]: 0 where the edges are kept dressed.

    Returns
    -------
    Evened
        Both sides, their difference, and the way out if one is too long to be drawn right.

    Raises
    ------
    ValueError
        If a length, the wall or the tolerance is not more than 0, or if the spread is outside
        0 to 1.

    Notes
    -----
    A side is short, right or long only if it is so for every temperature that its heat may be;
    otherwise it cannot be told. Two sides at one colour were at one temperature, as near as the
    eye can judge, so that their difference is far better known than either. Drawing makes
    ``l1/l0 = (h0/h1)^(1 - s)``, the definition of the coefficient of spread, with the volume kept.

    Examples
    --------
    A plan that wants 1 25/32 in: the left strap reads so at an orange heat, the right one cold.

    >>> found = even_up(Measured(45.24, read_heat("orange")), Measured(45.24), target=45.24)
    >>> found.left.verdict, found.right.verdict, round(found.left.missing.mid, 2)
    ('short', 'right', 0.66)
    """
    if not (target > 0.0 and tolerance > 0.0 and (wall is None or wall > 0.0)):
        raise ValueError("target, tolerance and wall are more than 0")
    if not 0.0 <= spread < 1.0:
        raise ValueError(f"the spread lies between 0 and 1; it is {spread:g}")
    sides = [
        _side(name, measured, target, tolerance, wall, spread)
        for name, measured in (("left", left), ("right", right))
    ]
    one_heat = left.heat == right.heat
    difference = _difference(left, right, one_heat)
    # what is open may be shorter without end; at one heat that falls on both alike
    below = left.heat.open and not one_heat
    above = right.heat.open and not one_heat
    pair = _verdict(difference, tolerance, below, above)
    words = {SHORT: RIGHT_LONGER, LONG: LEFT_LONGER, RIGHT: AGREE, UNTOLD: UNTOLD}
    return Evened(
        target, tolerance, sides[0], sides[1], difference, words[pair], one_heat,
        _match(sides, words[pair], target),
    )  # fmt: skip


def _side(
    name: str, measured: Measured, target: float, tolerance: float, wall: float | None,
    spread: float,
) -> Side:  # fmt: skip
    heat, cold = measured.heat, measured.cold
    reads = reading(target, heat)
    verdict = _verdict(cold.shifted(-target), tolerance, heat.open, False)
    missing = Interval(target - cold.high, target - cold.mid, target - cold.low)
    thins = None
    if wall is not None and verdict == SHORT:
        thins = wall * ((target / cold.mid) ** (1.0 / (1.0 - spread)) - 1.0)
    return Side(
        name, measured, verdict, missing, reads, reads.shifted(-measured.length), thins
    )  # fmt: skip


def _verdict(over: Interval, tolerance: float, open_below: bool, open_above: bool) -> str:
    """Short, right or long, if every figure of the interval says so."""
    edge = tolerance * (1.0 + 1e-9)
    low = -math.inf if open_below else over.low
    high = math.inf if open_above else over.high
    if high < -edge:
        return SHORT
    if low > edge:
        return LONG
    return RIGHT if -edge <= low and high <= edge else UNTOLD


def _difference(left: Measured, right: Measured, one_heat: bool) -> Interval:
    """Left less right when cold [mm]."""
    if one_heat:
        apart = left.length - right.length
        if apart == 0.0:
            return Interval(0.0, 0.0, 0.0)
        span = cold_of(abs(apart), left.heat)
        return span if apart > 0.0 else Interval(-span.high, -span.mid, -span.low)
    a, b = left.cold, right.cold
    return Interval(a.low - b.high, a.mid - b.mid, a.high - b.low)


def _match(sides: Sequence[Side], pair: str, target: float) -> Match | None:
    """Draw the shorter to the longer, if the longer is too long."""
    if LONG not in [side.verdict for side in sides]:
        return None
    longer, shorter = sides if sides[0].excess >= sides[1].excess else reversed(sides)
    goal, other = (side.measured.cold.mid for side in (longer, shorter))
    if pair in (LEFT_LONGER, RIGHT_LONGER) and longer.verdict == LONG:
        return Match(shorter.side, goal, goal - other, 2.0 * (goal - target))
    return Match("", goal, 0.0, longer.excess + shorter.excess)
