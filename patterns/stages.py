"""The work in order: what the iron weighs at each stage, and what to check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from .bar_plan import BarPlan
from .forging.density import steel_mass


@dataclass(frozen=True)
class Stage:
    """A stage of the work, with the mass of the iron [g] and what to check [mm]."""

    name: str
    mass: float
    checks: tuple[tuple[str, float], ...]


def stages(plan: BarPlan) -> Iterator[Stage]:
    """Every stage of a plan, from the bar to the ground head."""
    head, strap, bit, plate, fold = plan.head, plan.strap, plan.bit, plan.plate, plan.fold
    design = plan.design
    steels = [zone for zone in plan.zones if zone.name in ("bit", "plate")]
    body = [zone for zone in plan.zones if zone not in steels]
    bar = steel_mass(sum(z.bar for z in body))
    forged = steel_mass(sum(z.bar - z.scale - z.weld for z in plan.zones))
    start = "poll" if plan.poll else "centre"
    yield Stage("bar cut", bar, (("length", plan.cut_length),))
    yield Stage("marked", bar, tuple(_mark_checks(plan)))
    drawn = [(f"each strap, {start} to shoulder", strap.divider)]
    if fold.waisted:
        drawn = [("each side of the waist, from the centre", strap.divider)]
    if fold.halves == 1:
        drawn = [("tongue, shoulder to end", strap.divider), ("scarf of the lap", strap.lap)]
    yield Stage("straps drawn", bar, (*drawn, ("strap thick", strap.drawn_thickness),
                                      ("over all", plan.drawn_over_all)))  # fmt: skip
    yield Stage(
        "folded",
        bar,
        (
            ("width at the eye", head.plan.form.width + 2.0 * strap.wall),
            ("eye long", head.eye.length),
            ("eye wide", head.eye.width),
        ),
    )
    if bit is not None:
        zone = plan.zone("bit")
        yield Stage("bit cut", steel_mass(zone.bar), (("length", bit.cut_length),))
        wide = (("wide, flat", 2.0 * bit.depth),) if bit.overlaid else (("deep", bit.depth),)
        yield Stage(
            "bit forged",
            steel_mass(zone.bar - zone.scale),
            (("long", bit.length), *wide, ("thick", bit.thickness), ("scarf", bit.scarf)),
        )
    if plate is not None:
        zone = plan.zone("plate")
        yield Stage("plate cut", steel_mass(zone.bar), (("length", plate.cut_length),))
        yield Stage(
            "plate forged",
            steel_mass(zone.bar - zone.scale),
            (
                ("across the head", plate.forged_width),
                ("along the handle", plate.forged_height),
                ("thick", plate.forged_thickness),
            ),
        )
    yield Stage("welded and forged", forged,
                (("length", head.length + design.allowances.trimming),))  # fmt: skip
    yield Stage("ground", head.mass, (("length", head.length), ("edge", head.edge_length)))


def _mark_checks(plan: BarPlan) -> Iterator[tuple[str, float]]:
    """The figures of the marks: two that stand even about the middle are one width."""
    if plan.fold.halves == 1:
        yield "inner face: shoulder mark from the body's end", plan.half
        return
    for face in ("outer", "inner"):
        for kind, width in (("cut", 0.0), ("poll", plan.poll), ("shoulder", plan.shoulders)):
            if any(mark.face == face and mark.kind == kind for mark in plan.marks):
                if kind == "cut":
                    deep = plan.design.bar.thickness - plan.design.fold.hinge
                    yield f"{face} face: cut across the middle, deep", deep
                else:
                    yield f"{face} face: {kind} marks apart", width
