"""What must hold for any head, whatever its figures are."""

from __future__ import annotations

import copy
from fractions import Fraction
from typing import Any

import pytest
from designs import (
    SIXTY_FOURTH,
    Raw,
    changed,
    designs,
    examples,
    mirrored,
    planned,
    planned_or_dropped,
    read,
    twice,
)
from hypothesis import assume, given
from hypothesis import strategies as st

from patterns import blank, report
from patterns.blank import ForgePlan

EXACT = 1e-9


@examples(40)
@given(designs())
def test_twice_the_size(drawn: tuple[Raw, ForgePlan]) -> None:
    """Similar solids: lengths double, areas grow fourfold, volumes and masses eightfold."""
    raw, one = drawn
    two = twice(raw)
    assert two.cut_length == pytest.approx(2 * one.cut_length, rel=1e-7)
    assert two.poll == pytest.approx(2 * one.poll, rel=1e-7)
    assert two.shoulders == pytest.approx(2 * one.shoulders, rel=1e-7)
    assert two.bit.cut_length == pytest.approx(2 * one.bit.cut_length, rel=1e-6)
    assert two.bit.depth == pytest.approx(2 * one.bit.depth, rel=1e-6)
    for name in ("drawn_length", "divider", "mean_height", "plain_length", "shortest", "longest"):
        assert getattr(two.strap, name) == pytest.approx(2 * getattr(one.strap, name), rel=1e-7)
    assert two.head.eye.perimeter == pytest.approx(2 * one.head.eye.perimeter, rel=EXACT)
    assert two.head.plan.wall_area == pytest.approx(4 * one.head.plan.wall_area, rel=1e-7)
    assert two.head.side.contour.area == pytest.approx(4 * one.head.side.contour.area, rel=1e-7)
    assert two.head.mass == pytest.approx(8 * one.head.mass, rel=1e-7)
    assert two.head.balance == pytest.approx([2 * x for x in one.head.balance], abs=1e-4)
    # how the metal spreads has no size
    assert two.spread.coefficient == pytest.approx(one.spread.coefficient, rel=EXACT)
    assert two.spread.verdict == one.spread.verdict


@examples(40)
@given(designs())
def test_upside_down(drawn: tuple[Raw, ForgePlan]) -> None:
    """A mirrored head weighs the same, from the same bar, and balances as far on the other side."""
    raw, one = drawn
    assume("beard" not in raw["blade"])
    other = planned(mirrored(raw))
    assert other.head.mass == pytest.approx(one.head.mass, rel=EXACT)
    assert other.cut_length == pytest.approx(one.cut_length, rel=EXACT)
    assert other.bit.cut_length == pytest.approx(one.bit.cut_length, rel=EXACT)
    (ahead, above), (ahead_too, below) = one.head.balance, other.head.balance
    assert ahead_too == pytest.approx(ahead, abs=1e-7)
    assert below == pytest.approx(-above, abs=1e-7)
    assert other.head.wall_range == pytest.approx(one.head.wall_range, rel=EXACT)


@examples(40)
@given(designs(step=SIXTY_FOURTH))
def test_inches_and_millimetres(drawn: tuple[Raw, ForgePlan]) -> None:
    """1/64 in is 0.396875 mm exactly: both spellings are one design, one plan, one revision."""
    raw, metric = drawn
    imperial = planned(raw, "in")
    assert imperial.design == metric.design
    assert report.revision(imperial.design) == report.revision(metric.design)
    one, other = (report.data(read(raw, u), p) for u, p in (("mm", metric), ("in", imperial)))
    for group in ("bar", "marks", "strap", "eye", "head", "bit", "balance"):
        assert one[group] == other[group]


def bar_needed(plan: ForgePlan) -> float:
    return plan.cut_length * (1.0 + EXACT)


@examples(40)
@given(designs(), st.integers(1, 12))
def test_a_thicker_wall_never_needs_less_bar(drawn: tuple[Raw, ForgePlan], steps: int) -> None:
    raw, thin = drawn
    wall = raw["wall"]["thickness"] + steps * Fraction(1, 4)
    thick = planned_or_dropped(changed(raw, wall__thickness=wall))
    assert bar_needed(thick) >= thin.cut_length
    assert thick.poll > thin.poll


@examples(40)
@given(designs(), st.integers(1, 12))
def test_a_longer_eye_never_needs_less_bar(drawn: tuple[Raw, ForgePlan], steps: int) -> None:
    raw, short = drawn
    key = "perimeter" if "perimeter" in raw["eye"] else "length"
    longer = raw["eye"][key] + steps * Fraction(1, 2)
    long = planned_or_dropped(changed(raw, **{f"eye__{key}": longer}))
    assert bar_needed(long) >= short.cut_length
    assert long.head.eye.perimeter > short.head.eye.perimeter


@examples(40)
@given(designs(), st.integers(1, 9))
def test_more_heats_never_need_less_bar(drawn: tuple[Raw, ForgePlan], more: int) -> None:
    raw, few = drawn
    heats = raw["allowances"]["heats"] + more
    many = planned_or_dropped(changed(raw, allowances__heats=heats))
    assert bar_needed(many) >= few.cut_length
    if raw["allowances"]["scale_per_heat"] != "0.00 %":
        assert many.cut_length > few.cut_length
    # the bit has its own heats
    assert many.bit.cut_length == pytest.approx(few.bit.cut_length, rel=EXACT)


@examples(40)
@given(designs())
def test_without_losses_bar_and_bit_are_the_head(drawn: tuple[Raw, ForgePlan]) -> None:
    """No scale, no grinding, no trimming, and a poll that uses its block: nothing is left over."""
    raw = copy.deepcopy(drawn[0])
    raw["allowances"] |= {"heats": 0, "bit_heats": 0, "grinding": Fraction(0),
                          "trimming": Fraction(0)}  # fmt: skip
    raw["poll"].pop("thickness", None)
    plan = planned_or_dropped(raw)
    bar, bit = plan.design.bar, plan.bit
    body = plan.cut_length * bar.thickness * bar.width
    insert = bit.cut_length * bit.stock[0] * bit.stock[1]
    assert body + insert == pytest.approx(plan.head.volume, rel=EXACT)
    # the forged bit: a plate with a scarf, as long as the chord from toe to heel
    section = bit.thickness * (bit.depth - bit.scarf) + (bit.thickness + bit.tip) * bit.scarf / 2
    assert insert == pytest.approx(section * bit.length, rel=EXACT)


# Revision ----------------------------------------------------------------------------------------


def turned_round(table: Any) -> Any:
    """The same table with its keys in the opposite order."""
    if not isinstance(table, dict):
        return table
    return {key: turned_round(table[key]) for key in reversed(table)}


def nudged(value: Any) -> Any:
    """Another value of the same kind, as near as it can be."""
    match value:
        case Fraction():
            return value + Fraction(1, 1000)
        case (Fraction() as first, Fraction() as second):
            return first, second + Fraction(1, 1000)
        case bool():
            return not value
        case int():
            return value + 1
        case float():
            return value + 1e-6
        case str() if value.endswith("%"):
            return f"{float(value[:-1]) + 0.01:.2f} %"
        case list():
            return [(x + Fraction(1, 1000), y) for x, y in value]
    return None


def leaves(table: Raw, prefix: str = "") -> list[str]:
    return [
        key
        for name, value in table.items()
        for key in (
            leaves(value, f"{prefix}{name}__") if isinstance(value, dict) else [f"{prefix}{name}"]
        )
    ]


@examples(15)
@given(designs())
def test_revision(drawn: tuple[Raw, ForgePlan]) -> None:
    """It changes with any parameter, by however little, and with nothing else."""
    raw, plan = drawn
    revision = report.revision(plan.design)
    assert len(revision) == 8
    assert report.revision(read(turned_round(raw)).design) == revision
    seen = {revision}
    tried = 1
    for key in leaves(raw):
        value: Any = raw
        for part in key.split("__"):
            value = value[part]
        other = "Another" if key == "name" else nudged(value)
        if other is None:  # a choice out of a list
            continue
        try:
            design = read(changed(raw, **{key: other})).design
        except blank.BadInputError:
            continue
        tried += 1
        seen.add(report.revision(design))
    assert len(seen) == tried > 20
