"""Sentences that stand on more than one sheet."""

from __future__ import annotations

from ..blank import ForgePlan
from ..lettering import plain
from ..units import inches, length

AID = "An aid to skilled work, not a proof of strength. Follow local codes and qualified practice."

HOT_WORK = (
    "Hot iron looks cold: wear eye protection, leather and no synthetics; keep water and an "
    "extinguisher near."
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


def section(size: tuple[float, float], units: str) -> str:
    """A bar's section: ``3/8 x 1 1/4 in`` or ``10 x 40 mm``."""
    if units == "in":
        return f"{inches(size[0])} x {inches(size[1])} in"
    return f"{size[0]:.4g} x {size[1]:.4g} mm"


def recipe(plan: ForgePlan, units: str) -> str:
    """The one line that tells the bar: section, cut length, steel."""
    bar = plan.design.bar
    cut = length(plan.cut_length, units)
    return f"BAR {section(bar.section, units)}, cut {cut}, {plain(bar.steel)}"
