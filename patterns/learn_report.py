"""What a log of pieces has taught, to read, as data and as the smith's own file."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from . import __version__
from .interval import Interval
from .learn import SETTLED, Factor, Learnt, Misfit
from .smith import GROUPS, Lesson, SmithAllowances, SmithFile, SmithHand
from .units import change, fine

SEVERAL = 3
"""Pieces that can settle a factor; fewer only help."""

TEACHES = {
    "hand.spread": "measure ears from tip to tip, the wall, and both straps as drawn",
    "hand.wrap": "measure the eye, the wall, and both straps as drawn",
    "allowances.scale_per_heat": "weigh bar and head, and count the heats",
    "allowances.weld_loss": "weigh a piece before the weld too, in a row of its own",
}
"""Which measure would teach a factor that the log leaves open."""


FIGURES = 9
"""Figures behind the point of what is written into the smith's file: far beyond any measure."""


def smith_file(found: Learnt) -> SmithFile:
    """What pieces have taught; of the rest a profile may know better."""
    factors: dict[str, dict[str, Any]] = {group: {} for group in GROUPS}
    bounds: dict[str, Any] = {}
    for key, factor in found.taught.items():
        group, _, name = key.partition(".")
        fitted = factor.fitted
        factors[group][name] = round(fitted.mid, FIGURES)
        bounds |= {f"{name}_low": round(fitted.low, FIGURES)}
        bounds |= {f"{name}_high": round(fitted.high, FIGURES)}
    return SmithFile(
        hand=SmithHand(**factors["hand"]), allowances=SmithAllowances(**factors["allowances"]),
        learnt=Lesson(version=__version__, pieces=found.pieces, **bounds),
    )  # fmt: skip


def shown(key: str, value: float, units: str = "in") -> str:
    """A factor's figure as a smith reads it."""
    if key == "hand.spread":
        return f"{value:.2f}"
    if key == "hand.wrap":
        return change(value, units) if units == "mm" else (
            "0" if abs(value) < 0.0127 else ("+" if value > 0 else "") + fine(value, units)
        )  # fmt: skip
    return f"{value * 100:.2f} %"


def _between(key: str, at: Interval, units: str) -> str:
    low, high = shown(key, at.low, units), shown(key, at.high, units)
    for unit in (" %", " in", " mm"):
        if low.endswith(unit) and high.endswith(unit):
            low = low.removesuffix(unit)
    return f"{low} to {high}"


def factor_rows(found: Learnt, units: str = "in") -> list[tuple[str, str]]:
    """What the log holds, and each factor with its bounds: titles and texts."""
    counts = found.counts
    said = f"{found.pieces} piece{'s' if found.pieces > 1 else ''}: {counts['ears']} with ears, "
    said += f"{counts['straps']} with straps, {counts['eye']} with an eye, "
    rows = [("Log", f"{said}{counts['mass']} weighed")]
    for factor in found.factors.values():
        rows.append((factor.prior.label, factor_text(factor, units)))
    return rows


BOUNDS = "Bounds hold 19 times in 20, if the pieces to come are like these."

MOST_UNUSED = 12
"""Lines of what could not be used, before the rest is only counted."""


def more_rows(
    found: Learnt, units: str = "in", *, leave_out: Callable[[Misfit], str], every: str
) -> list[tuple[str, str]]:  # fmt: skip
    """What the factors come to, what does not fit, what is open: titles and texts.

    ``leave_out`` says how a piece is left out, ``every`` where all that is unused can be seen.
    """
    rest = []
    if found.taught and found.strap is not None:
        rest.append(("So", found.strap.words(units)))
    for misfit in found.named:
        words = f"{misfit.words(units)}; measure again or leave it out{leave_out(misfit)}"
        rest.append(("No fit", words))
    if not found.named:
        rest.append(("No fit", "none: every piece lies within what chance does"))
    for factor in found.factors.values():
        if factor.known < SETTLED:
            more = "more pieces; " if factor.pieces else ""
            rest.append(("Open", f"{factor.prior.label.lower()}: {more}{TEACHES[factor.key]}"))
    rest += [("Unused", text) for text in found.unused[:MOST_UNUSED]]
    if len(found.unused) > MOST_UNUSED:
        rest.append(("", f"and {len(found.unused) - MOST_UNUSED} more of that kind{every}"))
    return rest


def factor_text(factor: Factor, units: str = "in") -> str:
    """What was assumed, what is learnt, its bounds, how far it moved and how well it is known."""
    key = factor.key
    before = shown(key, factor.prior.middle, units)
    after = shown(key, factor.fitted.mid, units)
    bounds = _between(key, factor.fitted, units)
    if not factor.pieces:
        return f"{before}, as before ({bounds}): no piece tells"
    word = "settled" if settled(factor) else "helped"
    by = f"{factor.pieces} piece{'s' if factor.pieces > 1 else ''}"
    narrower = 1.0 - math.sqrt(1.0 - factor.known)
    return f"{before} -> {after} ({bounds}), {word} by {by}, bounds {100 * narrower:.0f} % narrower"


def settled(factor: Factor) -> bool:
    """Whether enough pieces say so, and closely enough, not to look for more."""
    return factor.known >= SETTLED and factor.pieces >= SEVERAL


def data(found: Learnt, units: str = "in") -> dict[str, Any]:
    """All figures: lengths in mm, masses in g."""
    return {
        "units": {"length": "mm", "mass": "g"},
        "pieces": found.pieces,
        "counts": found.counts,
        "factors": {
            key: {
                "prior": asdict(factor.prior.interval), "basis": factor.prior.basis,
                "fitted": asdict(factor.fitted), "moved": factor.moved, "known": factor.known,
                "pieces": factor.pieces,
            }
            for key, factor in found.factors.items()
        },
        "strap": None if found.strap is None else asdict(found.strap),
        "noise": found.noise,
        "misfits": [asdict(misfit) | {"words": misfit.words(units)} for misfit in found.misfits],
        "unused": list(found.unused),
    }  # fmt: skip
