"""Sentences that stand on more than one sheet."""

from __future__ import annotations

from .. import hafting, rounding
from ..blank import ForgePlan
from ..lettering import plain

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


def hanging(plan: ForgePlan) -> str:
    """How to hang the head, and what it is never struck on."""
    how = "Drive the handle home from above" if slips_on(plan) else "Hang with a tight wedge"
    never = "poll on poll" if plan.fold.square_poll else "steel on steel"
    return (
        f"{how} and test the hang before the first blow; a loose head kills. Never strike {never}."
    )


def slips_on(plan: ForgePlan) -> bool:
    """Whether the handle goes in from above and holds by its own taper."""
    return hafting.slips_on(plan.design)


def doubts(plan: ForgePlan, *groups: str) -> list[str]:
    """The doubts about some groups of parameters, each with its source, for the sheets."""
    return [
        f"{'STOP' if doubt.stops else 'DOUBT'}: {plain(doubt.message)} [{plain(doubt.source)}]."
        for doubt in (*plan.doubts, *rounding.doubts(plan, plan.units))
        if doubt.field.split(".")[0] in groups
    ]
