"""By how much each check of the work may be off.

What moves the eye is held so that it alone makes the eye no more than 1/16 in longer or shorter
round; what moves the blade's reach, so that it alone makes it no more than 1/16 in. Both follow
from the plan's own sensitivity. The rest is what is left to trim and to grind, or our own, and says
so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from .blank import ForgePlan
from .forecast import DrawnStrap, closed, mass_of, strap_of
from .piece import Piece
from .sensitivity import MARK, SLACK, blade_growth, piece_of
from .stages import FULLER_LEFT, Check
from .units import MM_PER_INCH

SIXTEENTH = MM_PER_INCH / 16.0
"""What the eye may be off round, and the blade in reach [mm]: what a handle feels."""
RULE = MM_PER_INCH / 32.0
"""What a rule shows without doubt on forged work [mm]: our own."""
ANGLE = 2.5
"""Degrees of the edge's angle: half of the steps that the angle gauges have; our own."""
SCALES = 2.0
"""What scales in a shop tell apart [g]: our own."""
SHARE = 0.1
"""Of a thickness that nothing else rules: our own."""


@dataclass(frozen=True)
class Tolerance:
    """How much smaller and larger a check may be, in its own unit.

    ``keeps`` is what it holds for that, to so much [mm] if it is held to a figure.
    """

    under: float
    over: float
    keeps: str
    to: float | None = None


def tolerance(plan: ForgePlan, check: Check) -> Tolerance:
    """What a check of the plan's stages may be off by.

    Raises :class:`KeyError` for a check that guards nothing known.
    """
    a = plan.design.allowances
    if check.guards in (even := _moved(plan)):
        return even[check.guards]
    match check.guards:
        case "wall":  # drawn to its length, a strap that is thinner is wider by as much
            by = check.size * SIXTEENTH / plan.strap.mean_height
            return Tolerance(by, by, "ears", SIXTEENTH)
        case "eye":
            return Tolerance(SIXTEENTH / 2.0, SIXTEENTH / 2.0, "eye", SIXTEENTH)
        case "ears":
            return Tolerance(SIXTEENTH, SIXTEENTH, "our own")
        case "fuller":
            return Tolerance(0.0, FULLER_LEFT, "metal to draw")
        case "trim":
            return Tolerance(0.0, max(a.trimming, RULE), "metal to trim")
        case "grind":
            return Tolerance(0.0, max(2.0 * a.grinding, RULE / 2.0), "metal to grind")
        case "over":
            return Tolerance(0.0, check.size * SHARE, "metal to forge")
        case "bit" | "bit cut" | "plate cut":
            return Tolerance(0.0, SIXTEENTH, "metal to trim")
        case "bit thick":
            return Tolerance(check.size * SHARE, check.size * SHARE, "our own")
        case "mass":
            return Tolerance(_heat(plan), _heat(plan), "heats")
        case "angle":
            return Tolerance(ANGLE, ANGLE, "our own")
        case "finished":
            return Tolerance(RULE, RULE, "our own")
        case "ours" | "lap":
            return Tolerance(RULE, RULE, "our own")
    raise KeyError(check.guards)


@lru_cache(4)
def _moved(plan: ForgePlan) -> dict[str, Tolerance]:
    """For what rules the eye or the reach: how far it may be off [mm], and which of the two."""
    piece = piece_of(plan).piece
    marks, eye = piece.marks, plan.head.eye
    forged, growth = mass_of(piece)[0].blade, blade_growth(plan)

    def round_off(strap: DrawnStrap, slipped: Piece = piece) -> float | None:
        found = closed(slipped, strap, eye.length, SLACK)
        return None if found is None else abs(found.eye.perimeter - eye.perimeter)

    strap = strap_of(piece)
    drawn = replace(strap, side=strap.side + MARK * plan.fold.straps / 2.0)
    longer = replace(piece, bar=replace(piece.bar, length=piece.bar.length + MARK))
    apart = replace(piece, marks=replace(marks, shoulders=marks.shoulders + MARK))
    poll = replace(piece, marks=replace(marks, poll=marks.poll + MARK))
    effects = {
        "divider": round_off(drawn),
        "shoulders": round_off(strap_of(apart), apart),
        "poll": round_off(strap_of(poll), poll) if marks.poll else None,
    }
    found = {
        name: _even(MARK * SIXTEENTH / off, "eye", SIXTEENTH) if off else _even(RULE, "our own")
        for name, off in effects.items()
    }
    reach = abs(mass_of(longer)[0].blade - forged) / growth if growth else 0.0
    cut = _even(MARK * SIXTEENTH / reach, "reach", SIXTEENTH) if reach else _even(RULE, "our own")
    found["cut"] = cut
    for name in ("half", "end", "mark"):
        found[name] = _even(cut.over / plan.fold.halves, cut.keeps, cut.to)
    each = found["divider"]
    found["over all"] = _even(each.over * plan.fold.straps, each.keeps, each.to)
    return found


def _even(by: float, keeps: str, to: float | None = None) -> Tolerance:
    return Tolerance(by, by, keeps, to)


def _heat(plan: ForgePlan) -> float:
    """What one more heat takes of the head [g], or what scales tell if none is reckoned."""
    piece = piece_of(plan).piece
    a = piece.allowances
    more = replace(piece, allowances=replace(a, heats=a.heats + 1))
    return max(abs(mass_of(more)[1] - mass_of(piece)[1]), SCALES)
