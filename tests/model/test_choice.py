"""Choosing a bar: against one plan at a time, a saw that is stepped along, and a smith's order."""

from __future__ import annotations

import dataclasses
import functools
import math

import pytest
from designs import examples
from hypothesis import given
from hypothesis import strategies as st

from patterns import blank, choice, profiles, rack
from patterns.choice import Choice, choose
from patterns.errors import BadInputError
from patterns.parameters import Bar, Design
from patterns.rack import Stock

INCH = 25.4
KERF = INCH / 16.0


@pytest.fixture(scope="module")
def hatchet() -> Design:
    return profiles.load("belt-hatchet").design


def bar(
    thick: float, wide: float, length: float, name: str, steel: str = "",
    price: float | None = None, count: int = 1,
) -> Stock:  # fmt: skip
    return Stock(section=(thick * INCH, wide * INCH), length=length * INCH, name=name, steel=steel,
                 price=price, count=count)  # fmt: skip


# Twenty invented bars: thin, thick, narrow and wide, stubs, rivals of one section, odd steels.
TWENTY = (
    bar(3 / 8, 1.25, 48.0, "long", "1018", 16.0, 2),
    bar(3 / 8, 1.25, 20.5, "priced more", "1018", 11.0),
    bar(3 / 8, 1.25, 20.5, "priced less", "1018", 9.0),
    bar(3 / 8, 1.25, 20.5, "not priced", "1018"),
    bar(3 / 8, 1.25, 27.0, "other steel", "5160", 2.0),
    bar(3 / 8, 1.25, 6.5, "stub", "1018", 1.0),
    bar(3 / 8, 1.0, 36.0, "slim", "AISI 1018", 12.0),
    bar(3 / 8, 1.5, 18.0, "wide", "", 8.0),
    bar(7 / 16, 1.125, 24.0, "between"),
    bar(1 / 2, 1.0, 8.25, "one piece", "mild steel", 3.0),
    bar(1 / 2, 1.0, 31.0, "thick", "1018", 14.0),
    bar(1 / 2, 1.5, 30.0, "heavy", "1018", 21.0),
    bar(1 / 2, 2.0, 12.0, "heavier", "1018", 12.0),
    bar(5 / 8, 1.25, 14.0, "deep"),
    bar(5 / 8, 1.5, 24.0, "deeper", "A36", 19.0),
    bar(1 / 4, 2.0, 30.0, "sheet", "1084", 20.0),
    bar(1 / 4, 1.0, 48.0, "too little", "1018", 8.0, 3),
    bar(3 / 16, 2.0, 48.0, "as thin as the wall", "1018", 8.0),
    bar(1 / 8, 3.0, 48.0, "thinner", "1018", 8.0),
    bar(1.0, 1.0, 10.0, "square", "1018", 8.0),
)  # fmt: skip


# A second way ------------------------------------------------------------------------------------


def alone(design: Design, stock: Stock) -> blank.ForgePlan | None:
    """The plan for one bar, asked for by itself; None where there is none or it stops."""
    asked = Bar(section=stock.section, steel=stock.steel or design.bar.steel)
    try:
        found = blank.plan(dataclasses.replace(design, bar=asked))
    except BadInputError:
        return None
    return None if found.stopped else found


def sawn(length: float, cut: float, kerf: float) -> tuple[int, float, float]:
    """Step along a bar with the saw: pieces, what the saw took, what is left.

    A piece may be the bar's very end, to a millionth of a millimetre; the saw never takes more than
    there is.
    """
    pieces, dust = 0, 0.0
    while length >= cut - 1e-6:
        length = max(length - cut, 0.0)
        pieces += 1
        bite = min(kerf, length)
        length -= bite
        dust += bite
    return pieces, dust, length


def before(design: Design, kerf: float):
    """Whether a smith takes one bar before another, by the docstring of ``choice.rank``."""

    def facts(stock: Stock) -> tuple[int, float, bool, float, float | None]:
        plan = alone(design, stock)
        assert plan is not None
        doubts = sum(doubt.field not in ("bar.steel", "bit.steel") for doubt in plan.doubts)
        spread = plan.spread.coefficient_needed - plan.spread.coefficient
        wall = design.wall.thickness / stock.section[0] - 0.5
        other = stock.steel not in ("", "1018", "AISI 1018")  # the profile asks for 1018
        pieces, _, _ = sawn(stock.length, plan.cut_length, kerf)
        waste = (stock.length - pieces * plan.cut_length) / stock.length
        price = None if stock.price is None else stock.price / stock.length * (
            plan.cut_length + min(kerf, stock.length - plan.cut_length))  # fmt: skip
        return doubts, round(abs(spread) + abs(wall), 1), other, round(waste, 2), price

    def compare(a: Stock, b: Stock) -> int:
        *first, cost_a = facts(a)
        *second, cost_b = facts(b)
        for one, two in zip(first, second, strict=True):
            if one != two:
                return -1 if one < two else 1
        if cost_a is None or cost_b is None:
            return (cost_a is None) - (cost_b is None)
        return (cost_a > cost_b) - (cost_a < cost_b)

    return functools.cmp_to_key(compare)


@pytest.fixture(scope="module")
def twenty(hatchet: Design) -> tuple[Choice, ...]:
    assert len(TWENTY) == 20
    return choose(hatchet, TWENTY, KERF)


def test_twenty_bars_agree_with_one_at_a_time(hatchet: Design, twenty: tuple[Choice, ...]) -> None:
    plans = {stock.name: alone(hatchet, stock) for stock in TWENTY}
    can = [
        stock
        for stock in TWENTY
        if (plan := plans[stock.name]) and sawn(stock.length, plan.cut_length, KERF)[0]
    ]
    assert [c.stock.name for c in twenty if c.can] == [
        stock.name for stock in sorted(can, key=before(hatchet, KERF))
    ]
    assert [c.stock for c in twenty if not c.can] == [s for s in TWENTY if s not in can]
    assert len(can) >= 12
    assert len(can) <= 17  # both halves of the question are asked


def test_twenty_bars_have_the_figures_of_their_plans(
    hatchet: Design, twenty: tuple[Choice, ...]
) -> None:
    for each in (c for c in twenty if c.can):
        plan = alone(hatchet, each.stock)
        assert plan is not None
        assert each.cut_length == pytest.approx(plan.cut_length, abs=1e-9)
        assert each.mass == pytest.approx(plan.stages[0].mass, rel=1e-9)
        assert each.spread_needed == pytest.approx(plan.spread.coefficient_needed, abs=1e-9)
        pieces, _, left = sawn(each.stock.length, plan.cut_length, KERF)
        assert each.pieces == pieces
        assert each.remnant == pytest.approx(left, abs=1e-6)
        assert each.pieces_in_all == pieces * each.stock.count


def test_the_reasons_say_what_is_wrong(twenty: tuple[Choice, ...]) -> None:
    reasons = {c.stock.name: " ".join(c.reasons) for c in twenty if not c.can}
    assert "too short: 6 1/2 in" in reasons["stub"]
    assert reasons["as thin as the wall"].startswith("thickness of the wall 3/16 in; allowed: less")
    assert "1/8 in" in reasons["thinner"]
    assert reasons["too little"].startswith("ears 1 3/4 in from tip to tip; allowed: at most")


def test_a_plan_that_stops_is_no_bar_to_choose(hatchet: Design) -> None:
    """A bit only just set into the body leaves nothing to weld, on any bar."""
    bit = dataclasses.replace(hatchet.bit, thickness=4.2, insertion=9.0, scarf=3.0)
    found = choose(dataclasses.replace(hatchet, bit=bit), TWENTY[:2], KERF)
    assert not any(c.can for c in found)
    assert all(c.reasons[0].startswith("no weld") for c in found)


def test_the_reasons_are_in_the_units_asked_for(hatchet: Design) -> None:
    (stub,) = choose(hatchet, (bar(3 / 8, 1.25, 6.5, "stub"),), KERF, "mm")
    assert stub.reasons[0].startswith("too short: 165.1 mm")


def test_a_thicker_poll_than_the_bar_leaves_is_an_upset(hatchet: Design) -> None:
    """A poll of 10 mm at 1 1/4 in from 3/8 x 1 1/4 in: the bar leaves 9.525 less its scale."""
    poll = dataclasses.replace(hatchet.poll, thickness=10.0)
    (found,) = choose(dataclasses.replace(hatchet, poll=poll), TWENTY[:1], KERF)
    left = 9.525 * (1.0 - hatchet.allowances.scale_per_heat) ** hatchet.allowances.heats
    assert found.upset == pytest.approx(10.0 - left, rel=1e-9)
    assert any("block leaves a poll" in doubt.message for doubt in found.doubts)


# Steel, cost, rank -------------------------------------------------------------------------------


def test_another_steel_is_a_remark_and_comes_after_the_steel_asked_for(hatchet: Design) -> None:
    rivals = (
        bar(3 / 8, 1.25, 20.0, "no match", "5160", 1.0),
        bar(3 / 8, 1.25, 27.0, "match, more waste", "SAE 1018", 99.0),
    )
    first, second = choose(hatchet, rivals, KERF)
    assert [first.stock.name, second.stock.name] == ["match, more waste", "no match"]
    assert first.remarks == ()
    assert second.remarks[0] == "5160, where the profile has 1018"
    assert any("hardens too" in text for text in second.remarks)
    assert second.doubts == first.doubts  # a remark is no doubt of the work


def test_a_steel_that_no_table_has_is_told_by_its_name(hatchet: Design) -> None:
    own = dataclasses.replace(hatchet, bar=dataclasses.replace(hatchet.bar, steel="Old Wagon Tyre"))
    same, other = choose(
        own, (bar(3 / 8, 1.25, 9.0, "a", "old wagon tyre"), bar(3 / 8, 1.25, 9.0, "b", "new tyre")),
        KERF,
    )  # fmt: skip
    assert (same.other_steel, other.other_steel) == (False, True)


def test_a_piece_costs_its_share_of_the_bar_with_its_kerf(hatchet: Design) -> None:
    (found,) = choose(hatchet, (bar(3 / 8, 1.25, 48.0, "a", price=16.0),), KERF)
    assert found.cost == pytest.approx(16.0 / (48.0 * INCH) * (found.cut_length + KERF))
    whole = found.cut_length  # a bar of one piece and nothing else: the saw is not used
    (found,) = choose(hatchet, (bar(3 / 8, 1.25, whole / INCH, "a", price=16.0),), KERF)
    assert (found.cost, found.pieces) == (16.0, 1)


def test_a_section_is_planned_once(hatchet: Design, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def counted(design: Design, units: str) -> blank.ForgePlan:
        calls.append((design.bar.section, design.bar.steel))
        return blank.plan(design, units)

    monkeypatch.setattr(choice, "plan", counted)
    choose(hatchet, TWENTY, KERF)
    assert len(calls) == len(set(calls))
    assert set(calls) == {(s.section, s.steel or "1018") for s in TWENTY}


@examples(20)
@given(st.permutations(TWENTY))
def test_the_order_of_the_rack_does_not_matter(order: list[Stock]) -> None:
    design = profiles.load("belt-hatchet").design
    found = choose(design, tuple(order), KERF)
    usual = choose(design, TWENTY, KERF)
    assert [c.stock.name for c in found if c.can] == [c.stock.name for c in usual if c.can]


# Sawing ------------------------------------------------------------------------------------------


@examples(300)
@given(
    st.floats(10.0, 3000.0),
    st.floats(20.0, 400.0),
    st.floats(0.0, 6.0),
)
def test_nothing_of_a_bar_is_lost(length: float, cut: float, kerf: float) -> None:
    """Pieces, what the saw took and what is left are the bar; a second saw counts the same."""
    pieces, dust, left = sawn(length, cut, kerf)
    near = abs((length + kerf) / (cut + kerf) - round((length + kerf) / (cut + kerf))) < 1e-7
    if near:  # on the line between two counts rounding decides
        return
    assert rack.pieces_in(length, cut, kerf) == pieces
    assert rack.left_over(length, pieces * cut, pieces, kerf) == pytest.approx(left, abs=1e-6)
    assert pieces * cut + dust + left == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize("kerf", [0.0, 1.5, INCH / 16.0])
@pytest.mark.parametrize("pieces", [1, 2, 7, 40])
def test_a_bar_that_ends_with_its_last_piece_needs_one_cut_less(pieces: int, kerf: float) -> None:
    cut = 169.2236
    exact = pieces * cut + (pieces - 1) * kerf
    assert rack.pieces_in(exact, cut, kerf) == pieces
    assert rack.pieces_in(exact - 0.001, cut, kerf) == pieces - 1
    assert rack.left_over(exact, pieces * cut, pieces, kerf) == 0.0
    # a last sliver thinner than the saw is sawdust too
    assert rack.left_over(exact + kerf / 2.0, pieces * cut, pieces, kerf) == 0.0
    assert rack.left_over(exact + kerf + 5.0, pieces * cut, pieces, kerf) == pytest.approx(5.0)


def test_waste_is_what_becomes_no_piece(twenty: tuple[Choice, ...]) -> None:
    for each in (c for c in twenty if c.can):
        _, dust, left = sawn(each.stock.length, each.cut_length, KERF)
        assert math.isclose(each.waste * each.stock.length, dust + left, abs_tol=1e-6)
