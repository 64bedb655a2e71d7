"""What each check may be off by: worked out once more by moving the piece and forecasting anew."""

from __future__ import annotations

from dataclasses import replace

import pytest
from designs import designs, examples, wide_designs
from hypothesis import given

from patterns import blank, profiles
from patterns.blank import ForgePlan
from patterns.forecast import closed, strap_of
from patterns.sensitivity import piece_of
from patterns.stages import HEATS, Check
from patterns.tolerances import SIXTEENTH, tolerance

NAMES = profiles.shipped()
"""Every shipped head."""


def planned(name: str) -> ForgePlan:
    return blank.plan(profiles.load(name).design)


def guarding(plan: ForgePlan, guards: str) -> Check | None:
    return next((c for stage in plan.stages for c in stage.checks if c.guards == guards), None)


@pytest.mark.parametrize("name", NAMES)
def test_each_stage_has_three_to_six_checks(name: str) -> None:
    """A newcomer is told enough and no more; what is only cut from stock is measured once."""
    for stage in planned(name).stages:
        if stage.doing:
            assert 3 <= len(stage.checks) <= 6, stage.name
            assert stage.doing.endswith(".")
            assert not any(sign.isdigit() for sign in stage.doing), "figures belong to checks"


@pytest.mark.parametrize("name", NAMES)
def test_every_check_has_a_tolerance_that_lets_it_be_met(name: str) -> None:
    plan = planned(name)
    for stage in plan.stages:
        for check in stage.checks:
            off = tolerance(plan, check)
            assert off.under >= 0.0 < off.over, check.what
            assert off.under < check.size, check.what


@pytest.mark.parametrize("name", NAMES)
def test_dividers_off_by_their_tolerance_move_the_eye_a_sixteenth(name: str) -> None:
    """By the forecast, both ways: within a tenth of the sixteenth that is promised."""
    plan = planned(name)
    check = guarding(plan, "divider")
    assert check is not None
    by, piece = tolerance(plan, check).over, piece_of(plan).piece
    strap = strap_of(piece)
    for sign in (1.0, -1.0):
        slipped = replace(strap, side=strap.side + sign * by * plan.fold.straps / 2.0)
        found = closed(piece, slipped, plan.head.eye.length)
        assert found is not None
        moved = found.eye.perimeter - plan.head.eye.perimeter
        assert sign * moved == pytest.approx(SIXTEENTH, rel=0.1)


@pytest.mark.parametrize("name", NAMES)
def test_marks_off_by_their_tolerance_move_the_eye_a_sixteenth(name: str) -> None:
    """A strap is drawn by thickness here, as the sensitivity table has it."""
    plan = planned(name)
    piece = piece_of(plan).piece
    for guards, field in (("poll", "poll"), ("shoulders", "shoulders")):
        check = guarding(plan, guards)
        if check is None:
            continue
        by = tolerance(plan, check).over
        marks = replace(piece.marks, **{field: getattr(piece.marks, field) + by})
        slipped = replace(piece, marks=marks)
        found = closed(slipped, strap_of(slipped), plan.head.eye.length)
        assert found is not None
        moved = abs(found.eye.perimeter - plan.head.eye.perimeter)
        assert moved == pytest.approx(SIXTEENTH, rel=0.1), guards


def test_an_unknown_guard_is_refused() -> None:
    plan = planned("belt-hatchet")
    with pytest.raises(KeyError):
        tolerance(plan, Check("x", 1.0, "rule", "nothing"))


@pytest.mark.parametrize("name", NAMES)
def test_masses_fall_by_the_heats_that_each_stage_takes(name: str) -> None:
    """The bar's scale, shared out by hand over the stages that there are; bit and plate come to
    it where they are set in."""
    plan = planned(name)
    mass = {stage.name: stage.mass for stage in plan.stages}
    steels = [z for z in plan.zones if z.name in ("bit", "plate")]
    scale = sum(z.scale for z in plan.zones if z not in steels) * 0.00785
    heats = {name: n for name, n in HEATS.items() if name in mass}
    one = scale / sum(heats.values())
    assert mass["marked"] - mass["halves spread"] == pytest.approx(
        one * sum(heats[s] for s in list(heats)[: list(heats).index("halves spread") + 1])
    )
    bit = sum(z.bar - z.scale for z in steels if z.name == "bit") * 0.00785
    if plan.bit is not None and not plan.bit.overlaid:
        assert mass["bit in place"] - mass["halves spread"] == pytest.approx(bit)
    assert mass["welded"] - mass["forged"] == pytest.approx(one * heats["forged"])


@examples(40)
@given(designs())
def test_any_design_has_its_stages(drawn: tuple[object, ForgePlan]) -> None:
    _, plan = drawn
    for stage in plan.stages:
        for check in stage.checks:
            off = tolerance(plan, check)
            assert off.over > 0.0


@examples(40)
@given(wide_designs())
def test_any_fold_has_its_stages(drawn: tuple[object, ForgePlan]) -> None:
    _, plan = drawn
    for stage in plan.stages:
        for check in stage.checks:
            assert tolerance(plan, check).over > 0.0, check.what
