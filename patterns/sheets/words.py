"""Sentences that stand on more than one sheet."""

from __future__ import annotations

from ..blank import ForgePlan
from ..lettering import plain
from ..units import inches, length

AID = "An aid to skilled work, not a proof of strength: follow local codes and qualified practice."

HOT_WORK = (
    "Hot iron looks cold: eye protection, leather, no synthetics; water and an extinguisher near."
)
WELDING = (
    "Welding heat throws flux and scale, and flux fumes: shield eyes and skin, work in moving air."
)
QUENCHING = (
    "Quench oil flares: metal lid at hand, no water near, face aside. A hard edge is brittle "
    "until it is tempered."
)
GRINDING = (
    "Grinding throws sparks and dust: eye, ear and breath protection. A sharp edge is covered "
    "before it is laid down."
)
HANGING = (
    "Hang with a tight wedge and test the hang before the first blow; a loose head kills. "
    "Never strike poll on poll."
)


def section(size: tuple[float, float]) -> str:
    """A bar's section as its dealer sells it: ``3/8 x 1 1/4 in`` or ``12 x 40 mm``.

    In fractions of an inch where both sides are whole 64ths, otherwise in mm.
    """
    if all(abs(side / 25.4 * 64.0 - round(side / 25.4 * 64.0)) < 1e-6 for side in size):
        return f"{inches(size[0])} x {inches(size[1])} in"
    return f"{size[0]:.5g} x {size[1]:.5g} mm"


def recipe(plan: ForgePlan, units: str) -> str:
    """The one line that tells the bar: section, cut length, steel."""
    bar = plan.design.bar
    cut = length(plan.cut_length, units)
    return f"BAR {section(bar.section)}, cut {cut}, {plain(bar.steel)}"
