"""Another mass, edge or eye for a design, with the proportions of its style kept.

A head of the same form and ``f`` times the size has every length ``f`` times as long, every area
``f^2`` and the mass ``f^3`` times as large, as long as its bar is ``f`` times as large too. So one
factor scales every length of the head: every field of the kinds *length*, *points* and *section*
that the schema has, but for those of :data:`KEPT`. Angles, shares and counts stay.

The rule, by what is asked for:

- eye alone: its length and width as asked, all else by the ratio of the lengths;
- edge alone: all by the ratio of the edges;
- mass alone: all by the factor that gives the mass;
- eye with edge or mass: the eye's zone (eye, wall, ears, poll, necks, bar) by the eye's ratio, the
  blade and its bit by the edge's, or by the factor that gives the mass;
- edge with mass, with or without the eye: lengths and heights as above, the thickness of blade and
  bit by the factor that gives the mass.

Where eye and blade go by two factors, what lies between goes over from one to the other evenly from
the front of the eye to the edge. The nose and the taper of the eye go by the ratio of its widths.

A bar must be one that a dealer has. It is scaled and taken to the nearest stock size at which the
design keeps all its rules; then the factor is found anew with that bar held, so that the mass is
met with it. So poll and shoulder step, which come out of the bar, may be a little off the style's.
Lengths come out in whole thousandths of an inch or hundredths of a millimetre. What this makes of
edge and mass is put right by a single step more or less of a few of them.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from . import units as written
from .blank import ForgePlan, plan
from .derived import eye_size
from .errors import BadInputError, Fault
from .head import Head, finish
from .parameters import Design, spec_at, specs
from .schema import Spec, value_at
from .units import MM_PER_INCH

KEPT = ("handle", "allowances", "hand")
"""Groups that stay as they are: the handle is bought, the rest is the fire's and the smith's."""

WIDTHS = ("eye.width", "eye.front_radius", "eye.taper", "eye.flare")
"""What goes with the width of the eye."""

NECKS = ("blade.neck_above", "blade.neck_below")
"""What stands in the blade's group and belongs to the eye's zone."""

THICKNESSES = ("bit.thickness", "bit.tip")
"""What goes with the thickness of the blade, besides its stations and the stock of the bit."""

IDLE: dict[str, tuple[str, tuple[str, ...]]] = {
    "fold.hinge": ("fold.form", ("closed",)),
    "eye.front_radius": ("eye.form", ("teardrop",)),
    "bit.scarf": ("bit.form", ("inserted", "overlaid")),
    "bit.tip": ("bit.form", ("inserted", "overlaid")),
}
"""Lengths that have a default and mean something only with some forms: with others they stay."""

UPWARDS, DOWNWARDS = ("ears.above", "ears.below"), ("eye.front_radius", "eye.taper")
"""What is rounded one way, so that a rule that the exact lengths just keep is kept."""

MASS = Spec("mass", "Mass of the head", "", 50.0, 5000.0)
EDGE = Spec("length", "Length of the edge", "", 15.0, 450.0)
"""What may be asked for at all; what a design can be is less, and depends on it."""

THINNEST, THICKEST = 0.6, 1.6
"""How far the blade's thickness may depart from the style's: our own choice."""

APART = 2.0
"""How many times further than the eye the blade may grow or shrink: our own choice."""

NEAR_MASS, NEAR_EDGE = 0.001, 0.02
"""How near the head must come to what is asked: a share of the mass, and mm of edge."""

SHOWN = 1.5
"""What rounding to 0.1 oz may make of a limit [g]: what is shown is itself allowed."""

NEARBY = sorted(range(-10, 11), key=abs)
"""Ten-thousandths by which a head is made larger or smaller, to see how it rounds."""

MOVES = 4
"""How many lengths may be moved by one step each, to make up for the rounding of all."""

EDGES = ("blade.toe", "blade.heel", "blade.edge_radius")
BACKS = ("blade.toe_back", "blade.heel_back")
"""What the length of the edge comes from: these two in place of the radius."""

TRIED = 9
"""Stock sizes that are tried, the nearest first."""

SIXTEENTH = MM_PER_INCH / 16.0


def _run(*parts: tuple[float, float, float]) -> tuple[float, ...]:
    """Sizes from the first to the second by the third, part by part."""
    found = [low + i * step for low, high, step in parts
             for i in range(round((high - low) / step) + 1)]  # fmt: skip
    return tuple(dict.fromkeys(found))


INCH_THICKNESSES = tuple(n * SIXTEENTH for n in _run((1, 8, 1), (10, 16, 2), (20, 48, 4)))
INCH_WIDTHS = tuple(n * SIXTEENTH for n in _run((4, 16, 2), (20, 96, 4)))
METRIC_THICKNESSES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0,
                      *_run((20.0, 80.0, 5.0)))  # fmt: skip
METRIC_WIDTHS = _run((10.0, 150.0, 5.0))
"""Flat bar as dealers list it [mm]: common practice. In inches the thickness goes by sixteenths to
1/2 in, by eighths to 1 in and by quarters beyond, the width by eighths to 1 in and by quarters
beyond; in mm the thickness as listed and the width by fives. The source's own size counts too."""


@dataclass(frozen=True)
class Wanted:
    """What is asked of a head: mass [g], edge along its arc [mm], eye's length and width [mm]."""

    mass: float | None = None
    edge: float | None = None
    eye: tuple[float, float] | None = None


@dataclass(frozen=True)
class Factors:
    """How many times as large: the eye's zone, the eye's width, the blade, and its thickness.

    The blade's thickness is ``blade * thick`` times as large.
    """

    eye: float = 1.0
    width: float = 1.0
    blade: float = 1.0
    thick: float = 1.0

    @classmethod
    def alike(cls, factor: float) -> Factors:
        """One factor for the whole head."""
        return cls(factor, factor, factor)


def scaled(design: Design, by: Factors) -> Design:
    """Every length of the head scaled, nothing rounded; the bar too.

    >>> from patterns.profiles import load
    >>> larger = scaled(load("belt-hatchet").design, Factors.alike(2.0))
    >>> larger.eye.length, larger.bar.section, larger.blade.edge_angle
    (88.9, (19.05, 63.5), 25)
    """

    def changed(key: str, spec: Spec, value: Any) -> Any:
        form, forms = IDLE.get(key, ("", ()))
        if form and value_at(design, form) not in forms:
            return value
        match spec.kind:
            case "length":
                return value * _factor(key, by)
            case "section":
                thick = by.thick if key.startswith("bit.") else 1.0
                return value[0] * _factor(key, by) * thick, value[1] * _factor(key, by)
            case "points":
                thick = by.thick if key == "blade.stations" else 1.0
                return tuple(_point(at, by, design.blade.reach, thick) for at in value)
        return value

    found: Design = _changed(design, changed)
    return found


def _factor(key: str, by: Factors) -> float:
    if key in WIDTHS:
        return by.width
    if key.startswith(("blade.", "bit.")) and key not in NECKS:
        return by.blade * (by.thick if key in THICKNESSES else 1.0)
    return by.eye


def _point(
    point: tuple[float, float], by: Factors, reach: float, thick: float
) -> tuple[float, float]:
    """A point ahead of the eye: by the eye's factor there, by the blade's at the edge."""
    x, y = point
    factor = by.eye + (by.blade - by.eye) * min(max(x / reach, 0.0), 1.0)
    return x * factor, y * factor * thick


def _changed(group: Any, change: Callable[[str, Spec, Any], Any], prefix: str = "") -> Any:
    """A group with every value that is given run through ``change``, but for :data:`KEPT`."""
    new: dict[str, Any] = {}
    for entry in dataclasses.fields(group):
        key, value = f"{prefix}{entry.name}", getattr(group, entry.name)
        if value is None or key in KEPT:
            continue
        if "spec" in entry.metadata:
            new[entry.name] = change(key, entry.metadata["spec"], value)
        else:
            new[entry.name] = _changed(value, change, f"{key}.")
    return replace(group, **new)


def lengths() -> Iterator[str]:
    """Keys of everything that is scaled, in the schema's order.

    >>> found = list(lengths())
    >>> "blade.top.through" in found, "handle.length" in found, "blade.edge_angle" in found
    (True, False, False)
    """
    for key, spec in specs():
        kept = key.partition(".")[0] in KEPT
        if spec.kind in ("length", "points", "section") and not kept:
            yield key


def resize(
    design: Design, wanted: Wanted, inches: frozenset[str] = frozenset(), units: str = "in"
) -> Design:
    """The design with the mass, edge or eye that is asked for.

    Parameters
    ----------
    design : to start from
    wanted : what is asked for; all else follows by the rule in the module's head
    inches : keys whose lengths come out in thousandths of an inch, their bars in inch sizes; all
        others in hundredths of a millimetre
    units : of the messages

    Raises
    ------
    BadInputError
        Where the design itself is at fault, or can never be as asked: then with what it can be.
    """
    if faults := impossible(design.eye.form, wanted, units):
        raise BadInputError(faults)
    return _Search(design, wanted, inches, units).found()


def impossible(form: str, wanted: Wanted, units: str = "in") -> list[Fault]:
    """What is asked for and no head with an eye of this form can have, whatever its proportions."""
    faults = []
    for field, value, spec in (("--mass", wanted.mass, MASS), ("--edge", wanted.edge, EDGE)):
        slack = SHOWN if spec is MASS else 0.0
        if value is not None and not spec.low - slack <= value <= spec.high + slack:
            shown = written.mass(value, units) if spec is MASS else written.length(value, units)
            change = "ask for more" if value < spec.low else "ask for less"
            faults.append(Fault(field, shown, spec.limits(units), change))
    if wanted.eye is not None:
        faults += _impossible_eye(form, wanted.eye, units)
    return faults


def _impossible_eye(form: str, eye: tuple[float, float], units: str) -> list[Fault]:
    faults = []
    length, width = eye
    for name, value in (("length", length), ("width", width)):
        spec = spec_at(f"eye.{name}")
        if not spec.low - 1e-9 <= value <= spec.high + 1e-9:
            change = "make it more" if value < spec.low else "make it less"
            shown = f"a {name} of {written.length(value, units)}"
            allowed = written.both_limits(spec.low, spec.high, units)
            faults.append(Fault("--eye", shown, allowed, change))
    if form == "circle" and abs(length - width) > 1e-6:
        faults.append(Fault("--eye", f"{written.length(length, units)} x "
                            f"{written.length(width, units)}", "one length: this eye is round",
                            "give its diameter alone, or start from another eye"))  # fmt: skip
    elif width > length + 1e-9:
        faults.append(Fault("--eye", f"{written.length(length, units)} x "
                            f"{written.length(width, units)}",
                            "length x width, the length being the larger",
                            "the length runs from poll to edge: turn the two round"))  # fmt: skip
    return faults


@dataclass
class _Search:
    """One search for a design, as :func:`resize` has it."""

    design: Design
    wanted: Wanted
    inches: frozenset[str]
    units: str

    def __post_init__(self) -> None:
        self.before = finish(self.design, self.units)
        wanted, head = self.wanted, self.before
        length, width = eye_size(self.design.eye)
        edge = 1.0 if wanted.edge is None else wanted.edge / head.edge_length
        if wanted.eye is None:
            self.eye = self.width = edge
        else:
            self.eye, self.width = wanted.eye[0] / length, wanted.eye[1] / width
        self.blade = self.eye if wanted.edge is None else edge

    def factors(self, free: float) -> Factors:
        """What follows from the one factor that the mass is to settle."""
        if self.wanted.edge is not None:
            return Factors(self.eye, self.width, self.blade, free)
        if self.wanted.eye is not None:
            return Factors(self.eye, self.width, free)
        return Factors.alike(free)

    @property
    def whole(self) -> bool:
        """Whether the free factor is the whole head's, the bar's too."""
        return self.wanted.edge is None and self.wanted.eye is None

    @property
    def apart(self) -> bool:
        """Whether eye and edge ask for more of the blade than is thought of."""
        return not 1.0 / APART <= self.blade / self.eye <= APART

    @property
    def field(self) -> str:
        """The wish that the last factor is to fulfil."""
        if self.wanted.mass is not None:
            return "--mass"
        return "--edge" if self.wanted.edge is not None else "--eye"

    def made(self, free: float, bar: tuple[float, float] | None = None) -> Design:
        """The design for a free factor, with a bar held if one is given."""
        found = scaled(self.design, self.factors(free))
        if self.wanted.eye is not None:
            length, width = self.wanted.eye
            plain = self.design.eye.form == "circle" and self.design.eye.width is None
            eye = replace(found.eye, length=length, width=None if plain else width,
                          perimeter=None, ratio=None)  # fmt: skip
            found = replace(found, eye=eye)
        if bar is None:
            return found
        if self.undrawn:
            found = replace(found, wall=replace(found.wall, thickness=bar[0]))
        return replace(found, bar=replace(found.bar, section=bar))

    @property
    def undrawn(self) -> bool:
        """Whether the walls are as thick as the bar: then they stay so, whatever the bar is."""
        return abs(self.design.wall.thickness - self.design.bar.thickness) < 1e-9

    def found(self) -> Design:
        """The first design that is as asked, the nearest bars being tried first."""
        start = self.start()
        stopped: Design | None = None
        for bar in () if self.apart else self.bars(start):
            design = self.with_bar(bar, start)
            if design is None:
                continue
            forge = planned(design, self.units)
            if isinstance(forge, Fault):
                continue
            if not forge.stopped:
                return design
            stopped = stopped or design
        if stopped is not None:
            return stopped
        raise BadInputError([self.blamed().out_of_reach()])

    def blamed(self) -> _Search:
        """The search for the fewest of the wishes that cannot be had."""
        wanted = self.wanted
        for fewer in (Wanted(eye=wanted.eye), replace(wanted, mass=None)):
            if fewer in (Wanted(), wanted):
                continue
            search = _Search(self.design, fewer, self.inches, self.units)
            if search.apart or isinstance(search.sound(search.start()), Fault):
                return search
        return self

    def start(self) -> float:
        """The free factor to begin from: that of a head alike in all its proportions."""
        if self.wanted.mass is None or not self.whole:
            return 1.0 if self.wanted.edge is not None else self.eye
        return float((self.wanted.mass / self.before.mass) ** (1.0 / 3.0))

    def bars(self, free: float) -> list[tuple[float, float]]:
        """Stock sizes near the scaled bar, the nearest first."""
        return _near(
            self.made(free).bar.section, self.design.bar.section, "bar.section" in self.inches
        )

    def with_bar(self, bar: tuple[float, float], start: float) -> Design | None:
        """The rounded design that is as asked with this bar; None if there is none."""
        mass = self.wanted.mass
        if mass is None:
            design = self.trimmed(self.made(start, bar))
        else:
            free = self.solved(bar, start, mass)
            if free is None:
                return None
            design = self.rounded_near(free, bar, mass)
        return design if design is not None and self.met(design) else None

    def rounded_near(self, free: float, bar: tuple[float, float], mass: float) -> Design | None:
        """The first of heads a little larger and smaller of which rounding spares the mass."""
        best: Design | None = None
        least = math.inf
        for i in NEARBY:
            design = self.trimmed(self.made(free * (1.0 + i / 10_000.0), bar))
            off = math.inf if design is None else self.off(design, mass)
            if off < least:
                best, least = design, off
            if least <= NEAR_MASS / 4.0:
                return best
        return best if best is None or least <= 0.9 * NEAR_MASS else self.mass_trimmed(best, mass)

    def off(self, design: Design, mass: float) -> float:
        """How far a head is off the mass, as a share of it."""
        head = finished(design, self.units)
        return math.inf if isinstance(head, Fault) else abs(head.mass / mass - 1.0)

    def span(self, start: float) -> tuple[float, float]:
        """Least and greatest free factor that is thought of."""
        if self.wanted.edge is not None:
            return THINNEST, THICKEST
        if self.wanted.eye is not None:
            return self.eye / APART, self.eye * APART
        return start / 1.4, start * 1.4  # what a bar's rounding can ask for is far less

    def solved(self, bar: tuple[float, float], start: float, mass: float) -> float | None:
        """The free factor at which the mass is met with a bar; None if none meets it."""
        from scipy.optimize import brentq

        low, high = self.span(start)

        def over(free: float) -> float | None:
            head = finished(self.made(free, bar), self.units)
            return None if isinstance(head, Fault) else head.mass - mass

        first = over(start)
        if first is None:
            return None
        step = 1.02 if first < 0.0 else 1.0 / 1.02
        here, there = start, start
        while first != 0.0:
            there = min(max(here * step, low), high)
            second = over(there)
            if second is None or there == here:
                return None
            if (first < 0.0) != (second < 0.0):
                break
            here, first = there, second
        try:
            return start if first == 0.0 else float(brentq(over, here, there, xtol=1e-12))
        except TypeError:  # a head between two sound ones that cannot be made
            return None

    # Rounding ----------------------------------------------------------------------------------

    def step(self, key: str) -> float:
        """What a key's lengths come out in whole numbers of [mm]."""
        return MM_PER_INCH / 1000.0 if key in self.inches else 0.01

    def rounded(self, design: Design) -> Design:
        """Lengths that were changed, to whole steps; bars but the main one to stock sizes."""
        asked = () if self.wanted.eye is None else ("eye.length", "eye.width")

        def change(key: str, spec: Spec, value: Any) -> Any:
            before = value_at(self.design, key)
            held = key == "bar.section" or (key == "wall.thickness" and self.undrawn)
            if key in asked or held or before == value:
                return value
            match spec.kind:
                case "length":
                    same = before is not None and abs(before - value) < 1e-9
                    return before if same else _rounded(key, value, self.step(key))
                case "points":
                    step = self.step(key)
                    return tuple((_whole(x, step), _whole(y, step)) for x, y in value)
                case "section":
                    return self.stock(key, value, before)
            return value

        found: Design = _changed(design, change)
        return found

    def stock(
        self, key: str, size: tuple[float, float], before: tuple[float, float]
    ) -> tuple[float, float]:
        """The stock size nearest to a scaled one; none thinner than what is made of it."""
        sizes = _near(size, before, key in self.inches)
        thick = value_at(self.design, f"{key.partition('.')[0]}.thickness")
        if thick is None or before[0] < thick:
            return sizes[0]
        least = size[0] * thick / before[0]
        return next((each for each in sizes if each[0] >= least - 1e-9), sizes[0])

    def trimmed(self, design: Design) -> Design | None:
        """Rounded, and what this makes of the edge put right; None if the head cannot be made."""
        design = self.rounded(design)
        if isinstance(finished(design, self.units), Fault):
            return None
        return design if self.wanted.edge is None else self.edge_trimmed(design, self.wanted.edge)

    def edge_trimmed(self, design: Design, edge: float) -> Design:
        """Toe, heel and radius a step or two either way, whichever comes nearest."""
        keys = [key for key in EDGES if value_at(design, key)]

        def off(shifts: tuple[int, ...]) -> tuple[float, int]:
            head = finished(self.shifted(design, keys, shifts), self.units)
            far = math.inf if isinstance(head, Fault) else abs(head.edge_length - edge)
            return max(far, NEAR_EDGE / 10.0), sum(map(abs, shifts))

        best = min(itertools.product((0, -1, 1), repeat=len(keys)), key=off)
        return self.shifted(design, keys, best)

    def mass_trimmed(self, design: Design, mass: float) -> Design:
        """One length after another moved by a single step, that which helps most first."""
        left = [key for key in lengths() if self.may_move(key, design)]
        for _ in range(MOVES):
            ways = [(self.moved(design, key, by), key) for key in left for by in (-1, 1)]
            best, key = min(ways, key=lambda way: self.off(way[0], mass))
            if self.off(best, mass) >= self.off(design, mass):
                break
            design = best
            left.remove(key)
            if self.off(design, mass) <= NEAR_MASS / 4.0:
                break
        return design

    def may_move(self, key: str, design: Design) -> bool:
        """Whether a length was scaled, and is not settled by another wish."""
        now = value_at(design, key)
        asked = self.wanted.eye is not None and key in ("eye.length", "eye.width")
        edge = self.wanted.edge is not None and key in (*EDGES, *BACKS)
        held = key == "wall.thickness" and self.undrawn
        scaled = isinstance(now, float) and now not in (0.0, value_at(self.design, key))
        return scaled and not (asked or edge or held)

    def moved(self, design: Design, key: str, by: int) -> Design:
        """One length moved by whole steps."""
        step = self.step(key)

        def change(at: str, spec: Spec, value: Any) -> Any:
            return _whole(value + by * step, step) if at == key else value

        found: Design = _changed(design, change)
        return found

    def shifted(self, design: Design, keys: list[str], by: tuple[int, ...]) -> Design:
        """Several lengths moved by whole steps."""
        for key, count in zip(keys, by, strict=True):
            design = self.moved(design, key, count) if count else design
        return design

    def met(self, design: Design) -> bool:
        head = finished(design, self.units)
        return not isinstance(head, Fault) and not misses(head, self.wanted)

    # Out of reach ------------------------------------------------------------------------------

    def out_of_reach(self) -> Fault:
        """What is asked for, with what the design can be, and what stands in the way beyond."""
        least, most, below, above = self.reach()
        wanted, way = self.wanted, self.what_varies()
        if wanted.mass is not None:
            kind, given, show = "mass", wanted.mass, partial(written.mass, units=self.units)
        else:
            kind = "edge" if wanted.edge is not None else "eye's length"
            given = wanted.edge or (wanted.eye or (0.0,))[0]
            show = partial(written.both, units=self.units)
        if least is None or most is None:
            return Fault(self.field, show(given), f"a {kind} that this style can have{way}",
                         f"what stands in the way: {below}")  # fmt: skip
        limits = MASS if wanted.mass is not None else EDGE
        if wanted.mass is not None or wanted.edge is not None:
            least, most = max(least, limits.low), min(most, limits.high)
        if wanted.mass is not None:
            within = f"{show(least + SHOWN)} to {show(most - SHOWN)}"
        else:
            within = written.both_limits(least, most, self.units)
        more = given < (least + most) / 2.0
        change, beyond = ("ask for more", below) if more else ("ask for less", above)
        if least <= given <= most:
            change = "ask for a little more or less: no stock bar near it keeps every rule"
        elif beyond:
            change = f"{change}; what stands in the way: {beyond}"
        return Fault(self.field, show(given), f"{within}{way}", change)

    def what_varies(self) -> str:
        if self.wanted.edge is not None and self.wanted.mass is not None:
            return ", by the thickness of the blade alone, since its edge is given"
        if self.wanted.eye is not None and self.field != "--eye":
            return ", by the blade alone, since the eye is given"
        return ", with these proportions"

    def reach(self) -> tuple[float | None, float | None, str, str]:
        """Least and most that can be had, and what stands in the way below and above.

        A little within the true limits, where rounding could break a rule.
        """
        wanted, search = self.wanted, self
        if wanted.edge is not None and wanted.mass is None:  # any blade, or any whole head
            fewer = replace(wanted, edge=None, mass=None if wanted.eye is None else 1.0)
            search = _Search(self.design, fewer, self.inches, self.units)
        if search.whole or search.wanted.mass is None:
            search = _Search(self.design, Wanted(), self.inches, self.units)
            low, high, middle = 0.1, 10.0, 1.0
        else:
            middle = search.start()
            low, high = search.span(middle)
        ends: list[float] = []
        reasons: list[str] = []
        first = search.sound(middle)
        if isinstance(first, Fault):
            return None, None, _short(first), ""
        for step in (1.0 / 1.02, 1.02):
            free, reason = middle, ""
            end, last = first, first
            while low <= free * step <= high:
                free *= step
                found = search.sound(free)
                if isinstance(found, Fault):
                    reason = _short(found)
                    break
                end, last = last, found
            ends.append(self.measure(end))
            reasons.append(reason)
        return ends[0], ends[1], reasons[0], reasons[1]

    def measure(self, head: Head) -> float:
        if self.wanted.mass is not None:
            return head.mass
        return head.edge_length if self.wanted.edge is not None else head.eye.length

    def sound(self, free: float) -> Head | Fault:
        """The head for a free factor, with the first stock bar that it keeps its rules with."""
        first: Fault | None = None
        for bar in self.bars(free):
            forge = planned(self.made(free, bar), self.units)
            if not isinstance(forge, Fault):
                return forge.head
            first = first or forge
        assert first is not None
        return first


def misses(head: Head, wanted: Wanted) -> list[str]:
    """Which of the wishes a head does not fulfil: mass, edge, eye."""
    found = []
    if wanted.mass is not None and abs(head.mass / wanted.mass - 1.0) > NEAR_MASS:
        found.append("mass")
    if wanted.edge is not None and abs(head.edge_length - wanted.edge) > NEAR_EDGE:
        found.append("edge")
    if wanted.eye is not None and math.dist(eye_size(head.design.eye), wanted.eye) > 1e-6:
        found.append("eye")
    return found


def finished(design: Design, units: str) -> Head | Fault:
    """The head, or the first thing that is wrong with it."""
    if (fault := _outside(design, units)) is not None:
        return fault
    try:
        return finish(design, units)
    except BadInputError as error:
        return error.faults[0]


def planned(design: Design, units: str) -> ForgePlan | Fault:
    """The plan, or the first thing that is wrong with it."""
    if (fault := _outside(design, units)) is not None:
        return fault
    try:
        return plan(design, units)
    except BadInputError as error:
        return error.faults[0]


def _outside(design: Design, units: str) -> Fault | None:
    """The first length beyond its limits."""
    for key in lengths():
        value, spec = value_at(design, key), spec_at(key)
        for cell in () if value is None else _flat(value):
            if not spec.low - 1e-9 <= cell <= spec.high + 1e-9:
                return Fault(key, written.length(cell, units),
                             written.both_limits(spec.low, spec.high, units), "")  # fmt: skip
    return None


def _flat(value: Any) -> Iterator[float]:
    """The lengths of a field of any kind."""
    if not isinstance(value, tuple):
        yield value
        return
    for item in value:
        yield from _flat(item)


def _short(fault: Fault) -> str:
    return f"{fault.field} is {fault.given} and must be {fault.allowed}"


def _whole(value: float, step: float) -> float:
    return round(round(value / step) * step, 9)


def _rounded(key: str, value: float, step: float) -> float:
    if key in UPWARDS:
        return round(math.ceil(value / step - 1e-6) * step, 9)
    if key in DOWNWARDS:
        return round(math.trunc(value / step) * step, 9)
    return _whole(value, step)


def _near(
    size: tuple[float, float], own: tuple[float, float], inches: bool
) -> list[tuple[float, float]]:
    """Stock sizes near a wanted one, the nearest first, by the ratio of each side."""
    if all(abs(a - b) < 1e-9 for a, b in zip(size, own, strict=True)):
        return [own]
    thicknesses, widths = _sold(inches)

    def off(each: tuple[float, float]) -> float:
        return _apart(each, size)

    def near(sizes: tuple[float, ...], wanted: float, beside: float) -> list[float]:
        known = {round(each, 6): each for each in (beside, *sizes)}
        return sorted(known.values(), key=lambda each: abs(math.log(each / wanted)))[:3]

    pairs = itertools.product(near(thicknesses, size[0], own[0]), near(widths, size[1], own[1]))
    return sorted((pair for pair in pairs if pair[0] <= pair[1]), key=off)[:TRIED]


def _sold(inches: bool) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Thicknesses and widths of flat bar that are sold."""
    return (INCH_THICKNESSES, INCH_WIDTHS) if inches else (METRIC_THICKNESSES, METRIC_WIDTHS)


def _apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    """How far two sections differ, by the ratios of their sides."""
    return math.hypot(math.log(one[0] / other[0]), math.log(one[1] / other[1]))


def sold_near(
    size: tuple[float, float], inches: bool, most: int
) -> tuple[tuple[float, float], ...]:
    """Sections of flat bar that are commonly sold, the nearest to a wanted one [mm] first.

    >>> sold_near((12.0, 40.0), False, 4)
    ((12.0, 40.0), (12.0, 45.0), (12.0, 35.0), (10.0, 40.0))
    """
    pairs = (pair for pair in itertools.product(*_sold(inches)) if pair[0] <= pair[1])
    return tuple(sorted(pairs, key=lambda pair: _apart(pair, size))[:most])
