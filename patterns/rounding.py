"""Figures for the smith's rule: rounded to its finest mark, and what that does to the eye.

Each mark's place is rounded by itself, from the datum of all: the centre line, or the body's end of
a one-sided fold. Two marks that stand even about the centre line are then twice their place apart,
and the bar is twice the place of its end. What has no place on the bar, the dividers' setting, the
lap and the lengths that are cut from other stock, is rounded on its own. So no figure is rounded
from a rounded one, and none is more than half a mark off. What lies just between two marks takes
the greater: steel that is too long can still be cut.

What is shown: the rule is what it is, whatever the other figures are in. A figure stands first in
the rule's own unit, a fraction of an inch or whole millimetres, and the exact one beside it as a
decimal in the chosen unit: ``2 3/4 in (2.734 in)``. With *fine* no mark is told: figures are as
everywhere, to 1/64 in or 0.1 mm in the chosen unit, widths too each on its own.

What rounding did to the eye is forecast: the smith marks the rounded places, cuts to the rounded
length and draws each strap until the dividers, set by the rule, step it; the wall is what is left.
Only figures are rounded. Every line is drawn from the plan itself and is exact.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from .blank import ForgePlan
from .doubts import Doubt
from .eye import EyeForm
from .forecast import closed, mass_of, strap_of
from .piece import Marks, Piece
from .sensitivity import blade_growth, piece_of
from .units import MM_PER_INCH, both, change, fine, length, mass_change

FELT = MM_PER_INCH / 16.0
"""What a handle feels of the eye's perimeter [mm]: a margin of our own."""
SLACK = 1e-9
"""Share of a mark within which a figure is taken to lie just between two: far below any steel."""


@dataclass(frozen=True)
class Rule:
    """The marks of a rule: ``parts`` of an inch, or of a millimetre; ``told`` by the smith or not.

    >>> mark = Rule("in", 16)
    >>> mark.shown(mark.nearest(69.45)), mark.shown(mark.nearest(25.4 * 1.03125))
    ('2 3/4 in', '1 1/16 in')
    """

    unit: str
    parts: int
    told: bool = True

    @property
    def step(self) -> float:
        """From one mark to the next [mm]."""
        return (MM_PER_INCH if self.unit == "in" else 1.0) / self.parts

    @property
    def name(self) -> str:
        """The distance of two marks, as it is said."""
        return f"1/{self.parts} in" if self.unit == "in" else f"{self.step:g} mm"

    def nearest(self, mm: float) -> float:
        """The nearest mark [mm]; of two that are as near, the one further from the datum.

        Where no mark is told it is what is printed, whose halves go to the even one.
        """
        if self.told:
            marks = math.floor(abs(mm) / self.step + 0.5 + SLACK)
            return math.copysign(marks * self.step, mm)
        return round(mm, 1) if self.unit == "mm" else round(mm / MM_PER_INCH * 64.0) * self.step

    def shown(self, mm: float) -> str:
        """A length that lies on a mark, in the rule's own unit."""
        if self.unit == "in":
            return length(mm, "in", self.parts)
        return length(mm, "mm") if self.parts > 1 else f"{mm:.0f} mm"


def rule_of(plan: ForgePlan, units: str) -> Rule:
    """The smith's rule; one that is not told has marks of the chosen unit (in or mm)."""
    match finest := plan.design.hand.finest:
        case "fine":
            return Rule(units, 64 if units == "in" else 10, told=False)
        case "mm":
            return Rule("mm", 1)
    return Rule("in", Fraction(finest).denominator)


@dataclass(frozen=True)
class Figure:
    """A figure that is hit with the rule [mm]: as planned, and as it is read on the rule."""

    exact: float
    rounded: float


@dataclass(frozen=True)
class EyeChange:
    """Signed changes of the eye's perimeter, length and width [mm], and of length over width."""

    round: float
    long: float
    wide: float
    ratio: float


@dataclass(frozen=True)
class Residue:
    """What rounding did: signed changes of the eye, of the blade's reach [mm] and the mass [g].

    ``by_thickness`` is the change of the eye's perimeter [mm] if the dividers are left alone and
    the straps are drawn to the wall's thickness. The eye's changes are None where the straps close
    round no eye, ``reach`` where a longer blade of the same style cannot be drawn.
    """

    eye: EyeChange | None
    by_thickness: float | None
    reach: float | None
    mass: float


@lru_cache(16)  # every sheet asks for a few
def figures(plan: ForgePlan, units: str) -> Mapping[str, Figure]:
    """Every figure of a plan that is hit with a rule, by its name.

    Places from the datum: *poll mark* (if there is a poll), *shoulder mark*, *end*. Between them:
    *poll* (0 if there is none; not of a one-sided fold), *shoulders* (of a one-sided fold the bar
    of the tongue) and *cut*, the bar's length. On their own: *dividers*, *over all* (the bar with
    its straps drawn), *lap*, *bit* and *plate* (as cut), where there are any.
    """
    rule = rule_of(plan, units)
    places = {kind: Figure(x, rule.nearest(x)) for kind, x in _places(plan).items()}

    def wide(exact: float, marks: float) -> Figure:
        return Figure(exact, marks if rule.told else rule.nearest(exact))

    found = dict(places)
    marked = _marked(places, plan.fold.halves)
    if plan.fold.halves == 2:
        found["poll"] = wide(plan.poll, marked.poll)
    found["shoulders"] = wide(plan.shoulders, marked.shoulders)
    found["cut"] = wide(plan.cut_length, marked.cut)
    alone = {"dividers": plan.strap.divider, "over all": plan.drawn_over_all}
    if plan.strap.lap:
        alone["lap"] = plan.strap.lap
    if plan.bit is not None:
        alone["bit"] = plan.bit.cut_length
    if plan.plate is not None:
        alone["plate"] = plan.plate.cut_length
    found |= {name: Figure(exact, rule.nearest(exact)) for name, exact in alone.items()}
    return MappingProxyType(found)


def _places(plan: ForgePlan) -> dict[str, float]:
    """Where each kind of mark and the bar's end lie from the datum [mm]."""
    if plan.fold.halves == 1:
        return {"shoulder mark": plan.half, "end": plan.cut_length}
    poll = {"poll mark": plan.poll / 2.0} if plan.poll else {}
    return {**poll, "shoulder mark": plan.shoulders / 2.0, "end": plan.cut_length / 2.0}


@dataclass(frozen=True)
class _Marked:
    """The bar as it is marked [mm], as :class:`patterns.piece.Piece` tells it."""

    poll: float
    shoulders: float
    cut: float


def _marked(places: Mapping[str, Figure], halves: int) -> _Marked:
    """The bar that has its marks at the rounded places."""
    shoulder, end = places["shoulder mark"].rounded, places["end"].rounded
    if halves == 1:
        return _Marked(0.0, end - shoulder, end)
    poll = places["poll mark"].rounded if "poll mark" in places else 0.0
    return _Marked(2.0 * poll, 2.0 * shoulder, 2.0 * end)


# What is printed ---------------------------------------------------------------------------------


def hit(plan: ForgePlan, name: str, units: str) -> str:
    """A figure of :func:`figures` as the rule has it: ``2 3/4 in``."""
    figure, rule = figures(plan, units)[name], rule_of(plan, units)
    return rule.shown(figure.rounded) if rule.told else length(figure.exact, units)


def beside(plan: ForgePlan, name: str, units: str) -> str:
    """The figure with the exact one beside it; where no mark is told, in both units.

    ``2 3/4 in (2.734 in)``.
    """
    exact = figures(plan, units)[name].exact
    if not rule_of(plan, units).told:
        return both(exact, units)
    return f"{hit(plan, name, units)} ({fine(exact, units)})"


def stepped(plan: ForgePlan, name: str, units: str) -> str:
    """A figure that dividers or calipers take: the exact one, after the rule's if it is told."""
    if rule_of(plan, units).told:
        return beside(plan, name, units)
    return fine(figures(plan, units)[name].exact, units)


def aim(plan: ForgePlan, name: str, units: str) -> float:
    """What the smith aims at [mm]: the figure as rounded if he tells his mark, else as planned."""
    figure = figures(plan, units)[name]
    return figure.rounded if rule_of(plan, units).told else figure.exact


_GUARDED = {
    "cut": "cut",
    "poll": "poll",
    "shoulders": "shoulders",
    "mark": "shoulder mark",
    "end": "end",
    "divider": "dividers",
    "over all": "over all",
    "lap": "lap",
    "bit cut": "bit",
    "plate cut": "plate",
}
"""Figures by what a check of the stages guards."""


def checked(plan: ForgePlan, guards: str, units: str) -> tuple[str, float] | None:
    """What a check that guards a rounded figure reads, as the rule has it and as a length [mm].

    None for one that guards another, or where the smith has told no mark.
    """
    rule, found = rule_of(plan, units), figures(plan, units)
    if not rule.told:
        return None
    if guards == "half":  # between two places that are rounded, as the bar is marked
        size = found["end"].rounded - found["shoulder mark"].rounded
        return rule.shown(size), size
    name = _GUARDED.get(guards)
    if name is None or name not in found:
        return None
    return rule.shown(found[name].rounded), found[name].rounded


def warm(plan: ForgePlan, mm: float, units: str) -> str:
    """A hot reading of such a figure, on the same rule."""
    rule = rule_of(plan, units)
    return rule.shown(rule.nearest(mm))


def note(plan: ForgePlan, units: str) -> str:
    """What a sheet says of its figures and lines; nothing if no mark is told."""
    rule, eye = rule_of(plan, units), _eye_said(residue(plan, units).eye, units)
    if not rule.told:
        return ""
    return f"The lines are exact; marks, cuts and dividers are to {rule.name}: {eye}."


def line(plan: ForgePlan, units: str) -> str:
    """How the figures are rounded and what that did, in one sentence without its stop."""
    return f"{_how(plan, units)}: {_done(plan, units)}"


def _how(plan: ForgePlan, units: str) -> str:
    datum = "centre line" if plan.fold.halves == 2 else f"{plan.fold.half}'s end"
    return f"rounded to {rule_of(plan, units).name}, each mark from the {datum}"


def _done(plan: ForgePlan, units: str) -> str:
    found = residue(plan, units)
    said = [_eye_said(found.eye, units)]
    if found.reach is not None and (reach := change(found.reach, units)) != "0":
        said.append(f"reach {reach}")
    if (heavier := mass_change(found.mass, units)) != "0":
        said.append(f"head {heavier}")
    return "; ".join(said)


def _eye_said(eye: EyeChange | None, units: str) -> str:
    if eye is None:
        return "the straps close round no eye"
    by = eye.round
    if change(by, units) == "0":
        return f"the eye is unchanged to {'1/64 in' if units == 'in' else '0.1 mm'} round"
    size = fine(abs(by), units)
    if units == "in":
        size = f"{length(abs(by), units)} ({size})"
    return f"the eye comes out {size} {'larger' if by > 0.0 else 'smaller'} round"


def doubts(plan: ForgePlan, units: str) -> tuple[Doubt, ...]:
    """The doubt about a mark that is too coarse for this eye, if it is.

    One that is not told is 1/64 in or finer: dividers and poll marks are then off by half of it on
    either side, which moves the eye by half of :data:`FELT` at most.
    """
    if not rule_of(plan, units).told:
        return ()
    eye = residue(plan, units).eye
    if eye is not None and abs(eye.round) <= FELT:
        return ()
    felt = f"; a handle feels {length(FELT, units)}" if eye is not None else ""
    return (
        Doubt(
            "hand.finest",
            f"{_how(plan, units)}: {_eye_said(eye, units)}{felt}. Use a finer mark, or take marks "
            "and dividers from the printed lines, which are exact",
            "forecast of the rounded piece; the margin is our own",
        ),
    )


# What it does to the eye -------------------------------------------------------------------------


def rounded_piece(plan: ForgePlan, units: str, dividers: bool = True) -> Piece:
    """The piece of bar as it is marked and cut by the rule.

    Its straps are drawn to the ``dividers`` as they are set by the rule, and the wall is what is
    then left; or without them to the wall's own thickness. The walls stay as high as planned, and
    the lap takes of the bar what its length and thickness ask.
    """
    exact, found = piece_of(plan).piece, figures(plan, units)
    marked = _marked(found, plan.fold.halves)
    wall, height = plan.strap.wall, plan.strap.mean_height
    lap = found["lap"].rounded if "lap" in found else 0.0
    raw = (marked.shoulders - marked.poll) / plan.fold.straps
    share = 0.0  # of the lap's length, what it takes of the bar
    if plan.strap.lap and exact.fold.lap_bar is not None:
        share = exact.fold.lap_bar / plan.strap.lap
    drawn = None
    if dividers and not plan.undrawn:
        drawn = found["dividers"].rounded
        # the planned strap's balance: raw strap = wrap + lap, both as their lengths by the wall
        wrapped = exact.raw_strap - share * plan.strap.lap
        per_length = wrapped / (plan.strap.divider - plan.strap.lap)
        wall *= raw / (per_length * (drawn - lap) + share * lap)
        wall = min(wall, exact.bar.section[0])  # a strap as thick as the bar gets no thicker
    bit = exact.bit
    if bit.stock is not None:
        bit = replace(bit, length=_steel(plan, found))
    fold = replace(exact.fold, lap=lap)
    if exact.fold.lap_bar is not None:
        fold = replace(fold, lap_bar=share * lap * wall / plan.strap.wall)
    return replace(
        exact,
        bar=replace(exact.bar, length=marked.cut),
        fold=fold,
        marks=Marks(poll=marked.poll, shoulders=marked.shoulders),
        strap=replace(exact.strap, wall=wall, drawn=drawn, height=height),
        bit=bit,
    )


def _steel(plan: ForgePlan, found: Mapping[str, Figure]) -> float:
    """Bit and plate as cut, as a length of the bit's stock, or of the plate's if there is no bit
    [mm]: so :func:`patterns.sensitivity.piece_of` tells them."""
    plate = found["plate"].rounded if plan.plate else 0.0
    if plan.bit is None:
        return plate
    if plan.plate is None:
        return found["bit"].rounded
    return found["bit"].rounded + plate * math.prod(plan.plate.stock) / math.prod(plan.bit.stock)


@lru_cache(8)
def residue(plan: ForgePlan, units: str) -> Residue:
    """What rounding does to eye, reach and mass, by the forecast of the rounded piece."""
    piece, exact, eye = rounded_piece(plan, units), piece_of(plan).piece, plan.head.eye
    found = closed(piece, strap_of(piece), eye.length)
    loose = rounded_piece(plan, units, dividers=False)
    undivided = closed(loose, strap_of(loose), eye.length)
    forged, mass = mass_of(exact)
    forged_then, mass_then = mass_of(piece)
    growth = blade_growth(plan)
    return Residue(
        None if found is None else _moved(found.eye, eye),
        None if undivided is None else undivided.eye.perimeter - eye.perimeter,
        (forged_then.blade - forged.blade) / growth if growth else None,
        mass_then - mass,
    )


def _moved(then: EyeForm, now: EyeForm) -> EyeChange:
    return EyeChange(
        round=then.perimeter - now.perimeter,
        long=then.length - now.length,
        wide=then.width - now.width,
        ratio=then.length / then.width - now.length / now.width,
    )


def data(plan: ForgePlan) -> dict[str, Any]:
    """The figures and what rounding did, in mm and g, whatever the chosen unit.

    A mark that is not told is then 1/64 in, the coarser of the two that are printed.
    """
    units = "in"
    rule, found = rule_of(plan, units), residue(plan, units)
    return {
        "finest": plan.design.hand.finest,
        "step": rule.step,
        "datum": "middle of the bar" if plan.fold.halves == 2 else "end of the body",
        "figures": {
            name.replace(" ", "_"): {"exact": figure.exact, "rounded": figure.rounded}
            for name, figure in figures(plan, units).items()
        },
        "residue": {
            "eye": None
            if found.eye is None
            else {
                "perimeter": found.eye.round,
                "length": found.eye.long,
                "width": found.eye.wide,
                "length_over_width": found.eye.ratio,
            },
            "eye_perimeter_by_thickness": found.by_thickness,
            "reach": found.reach,
            "mass": found.mass,
        },
    }
