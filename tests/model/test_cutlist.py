"""Cutting lists: against a case solved by hand and against every way to saw a few bars."""

from __future__ import annotations

import dataclasses
import itertools
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from designs import examples
from hypothesis import given
from hypothesis import strategies as st

from patterns import cutlist, profiles
from patterns.choice import choose
from patterns.cutlist import Order, cut_list, order_of
from patterns.errors import BadInputError
from patterns.rack import Stock

FLAT, SQUARE = (10.0, 40.0), (20.0, 20.0)
GRAMS = 7850e-6
"""Of a cubic millimetre of steel: EN 1993-1-2:2005, 3.2.2."""


def bars(length: float, count: int = 1, section: tuple[float, float] = FLAT, **more: Any) -> Stock:
    name = more.pop("name", f"{length:g}")
    return Stock(section=section, length=length, count=count, name=name, **more)


def kept(found: cutlist.CutList, orders: list[Order], rack: list[Stock], kerf: float) -> None:
    """What every list must keep to: the pieces asked for, the bars on hand, the length of each."""
    assert not found.missing
    made: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    by_name = {stock.name: stock for stock in rack}
    for cut in found.cuts:
        assert by_name[cut.stock.name] == cut.stock
        taken[cut.stock.name] += cut.bars
        sizes = {order.name: order.cuts[cut.stock.section] for order in orders if cut.stock.section
                 in order.cuts}  # fmt: skip
        pieces = sum(n for _, _, n in cut.pieces)
        sawn = 0.0
        for name, size, n in cut.pieces:
            assert size == sizes[name]
            made[name] += n * cut.bars
            sawn += n * size
        assert sawn + (pieces - 1) * kerf <= cut.stock.length + 1e-5
        assert sawn + cut.kerf + cut.remnant == pytest.approx(cut.stock.length, abs=1e-5)
        assert cut.kerf <= pieces * kerf + 1e-9
    assert made == Counter({order.name: order.pieces for order in orders})
    assert all(n <= by_name[name].count for name, n in taken.items())
    mass = sum(c.bars * c.stock.length * c.stock.section[0] * c.stock.section[1] * GRAMS
               for c in found.cuts)  # fmt: skip
    pieces_mass = sum(
        c.bars * n * size * c.stock.section[0] * c.stock.section[1] * GRAMS
        for c in found.cuts for _, size, n in c.pieces
    )  # fmt: skip
    assert found.waste == pytest.approx(mass - pieces_mass, abs=1e-3)


# By hand -----------------------------------------------------------------------------------------


def test_a_case_solved_by_hand() -> None:
    """Six pieces A of 160 mm and two B of 240 mm from bars of 1000, 700 and 450 mm; kerf 2 mm.

    The pieces are 6 x 160 + 2 x 240 = 1440 mm. One bar is too short. Of two:

    - 700 + 450 = 1150 mm: too short;
    - 1000 + 450 = 1450 mm leaves 10 mm, but eight pieces from two bars take at least 8 - 2 = 6
      cuts, 12 mm: no;
    - 1000 + 700 = 1700 mm: wastes 260 mm, and can be done, as below.

    All three, 2150 mm, waste 710 mm. So the least is 260 mm of 400 mm2: 816.4 g.

    Of the ways to saw 1000 + 700 the one with the longest end: no more than six pieces A, 960 mm,
    or three A and two B, 960 mm, fit the long bar (1000 = 6 x 160 + 40: for a seventh piece there
    is no room; 4 A and 1 B are 880; 1 A and 2 B 640), so at least 480 mm come from the short one.
    Two B, 480 + 2 kerfs, leave 216 mm of it; three A, 480 + 3 kerfs, only 214. On the other side
    the short bar holds at most 640 mm (4 A, or 1 A and 2 B), so the long one yields at least 800:
    with two A and two B, 4 kerfs, 192 mm are left of it. The longest end is 216 mm.
    """
    orders = [Order("A", 6, {FLAT: 160.0}), Order("B", 2, {FLAT: 240.0})]
    rack = [bars(450.0), bars(1000.0), bars(700.0)]
    found = cut_list(orders, rack, 2.0)
    kept(found, orders, rack, 2.0)
    assert found.waste == pytest.approx(260.0 * 400.0 * GRAMS, rel=1e-9)
    assert found.proven
    assert found.settled
    assert found.longest_remnant == pytest.approx(216.0)
    assert {(c.stock.name, c.pieces) for c in found.cuts} == {
        ("1000", (("A", 160.0, 6),)),
        ("700", (("B", 240.0, 2),)),
    }


def test_fewer_bars_where_the_waste_is_the_same() -> None:
    """Four pieces of 80 mm, no kerf: 360 mm wastes 40 mm, and so do two bars of 180."""
    orders = [Order("A", 4, {FLAT: 80.0})]
    rack = [bars(120.0, 2), bars(180.0, 2), bars(360.0)]
    found = cut_list(orders, rack, 0.0)
    assert [(c.stock.name, c.bars) for c in found.cuts] == [("360", 1)]
    without = cut_list(orders, rack[:2], 0.0)
    assert without.waste == found.waste == pytest.approx(40.0 * 400.0 * GRAMS)
    assert without.bars == 2


def test_fewer_bars_come_before_a_longer_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six pieces of 100 mm, no kerf, from two bars of 349.5 mm, two of 200 and one of 299.

    They hold 3, 2 and 2. Two bars give six only as 349.5 + 349.5 = 699 mm. Of three bars the least
    length is 200 + 200 + 299, the same 699 mm, with all the waste in one end of 99 mm. The search
    is made to come upon these first.
    """
    real, calls = cutlist.milp, []

    def most_bars_first(cost: Any, **options: Any) -> Any:
        calls.append(real(cost - 1e-5 if not calls else cost, **options))
        return calls[-1]

    monkeypatch.setattr(cutlist, "milp", most_bars_first)
    orders = [Order("A", 6, {FLAT: 100.0})]
    found = cut_list(orders, [bars(299.0), bars(200.0, 2), bars(349.5, 2)], 0.0)
    assert [(c.stock.name, c.bars, c.remnant) for c in found.cuts] == [("349.5", 2, 49.5)]
    assert (calls[0].x.sum(), len(calls)) == (3, 3)


def test_the_longest_end_where_waste_and_bars_are_the_same() -> None:
    """Four pieces of 140 mm and two of 40 are 640 mm: three bars of 300, and 260 mm left over.

    With both short pieces on a bar of their own one end is 220 mm; if one long piece lies there
    too, no end is longer than 300 - 140 = 160.
    """
    orders = [Order("A", 4, {FLAT: 140.0}), Order("B", 2, {FLAT: 40.0})]
    found = cut_list(orders, [bars(300.0, 3)], 0.0)
    assert sorted(c.remnant for c in found.cuts for _ in range(c.bars)) == [20.0, 20.0, 220.0]


def test_waste_is_by_mass_and_not_by_length() -> None:
    """One piece of 100 mm: from a flat of 120 mm or from a heavier bar of 115 mm.

    Flat: 20 x 400 = 8000 mm3. Heavy: 15 x 600 = 9000 mm3, although it is the shorter end.
    """
    heavy = (15.0, 40.0)
    orders = [Order("A", 1, {FLAT: 100.0, heavy: 100.0})]
    rack = [bars(115.0, section=heavy), bars(120.0)]
    (cut,) = cut_list(orders, rack, 0.0).cuts
    assert cut.stock.name == "120"


def test_a_head_has_its_own_length_from_each_section() -> None:
    """300 mm of flat, or 250 mm of square: the square bar of 255 wastes 5 mm, the flat one 20."""
    orders = [Order("A", 1, {FLAT: 300.0, SQUARE: 250.0})]
    rack = [bars(320.0), bars(255.0, section=SQUARE)]
    found = cut_list(orders, rack, 1.0)
    kept(found, orders, rack, 1.0)
    assert found.cuts[0].pieces == (("A", 250.0, 1),)
    assert (found.cuts[0].kerf, found.cuts[0].remnant) == (1.0, 4.0)


def test_a_bar_that_ends_with_its_last_piece() -> None:
    """Three pieces of 100 mm and two kerfs of 3 are 306 mm: with a hair less it takes two bars."""
    orders = [Order("A", 3, {FLAT: 100.0})]
    (cut,) = cut_list(orders, [bars(306.0, 2)], 3.0).cuts
    assert (cut.bars, cut.kerf, cut.remnant) == (1, 6.0, 0.0)
    assert cut_list(orders, [bars(305.99, 2)], 3.0).bars == 2


# Against every way -------------------------------------------------------------------------------


def every_way(
    orders: list[Order], single: list[Stock], kerf: float
) -> Iterator[tuple[int, float, int, float]]:
    """Each piece in turn to each bar, or to none: pieces lacking, waste, bars, longest end."""
    pieces = [order for order in orders for _ in range(order.pieces)]
    for places in itertools.product(range(-1, len(single)), repeat=len(pieces)):
        waste, used, longest, fits = 0.0, 0, 0.0, True
        for i, stock in enumerate(single):
            mine = [order for order, at in zip(pieces, places, strict=True) if at == i]
            if not mine:
                continue
            if any(stock.section not in order.cuts for order in mine):
                fits = False
                break
            sawn = sum(order.cuts[stock.section] for order in mine)
            if sawn + (len(mine) - 1) * kerf > stock.length:
                fits = False
                break
            used += 1
            waste += (stock.length - sawn) * stock.section[0] * stock.section[1] * GRAMS
            longest = max(longest, stock.length - sawn - len(mine) * kerf)
        if fits:
            yield places.count(-1), waste, used, longest


@st.composite
def small_cases(draw: Any) -> tuple[list[Order], list[Stock], float]:
    """A few whole-millimetre bars and pieces, so that equal waste is equal to the last digit."""
    sizes = st.integers(60, 200)
    total = draw(st.integers(1, 5))
    first = draw(st.integers(1, total))
    orders = [Order("A", first, {FLAT: float(draw(sizes))})]
    if draw(st.booleans()):
        orders[0] = dataclasses.replace(
            orders[0], cuts={**orders[0].cuts, SQUARE: float(draw(sizes))}
        )
    if total > first:
        section = draw(st.sampled_from((FLAT, SQUARE)))
        orders.append(Order("B", total - first, {section: float(draw(sizes))}))
    rack = [
        bars(float(draw(st.integers(80, 450))), draw(st.integers(1, 2)),
             draw(st.sampled_from((FLAT, FLAT, SQUARE))), name=f"{i}")
        for i in range(draw(st.integers(1, 2)))
    ]  # fmt: skip
    return orders, rack, float(draw(st.integers(0, 4)))


@st.composite
def level_cases(draw: Any) -> tuple[list[Order], list[Stock], float]:
    """Bars of few lengths and no kerf: many lists waste the same, so bars and ends decide."""
    rack = [
        bars(60.0 * length, count, name=f"{length}")
        for length, count in draw(
            st.dictionaries(st.integers(2, 7), st.integers(1, 2), min_size=1, max_size=3)
        ).items()
    ]
    sizes = st.integers(2, 8).map(lambda n: 20.0 * n)
    a, b = draw(st.integers(1, 4)), draw(st.integers(0, 2))
    orders = [Order("A", a, {FLAT: draw(sizes)})]
    if b:
        orders.append(Order("B", b, {FLAT: draw(sizes)}))
    return orders, rack, 0.0


def agrees(case: tuple[list[Order], list[Stock], float]) -> None:
    orders, rack, kerf = case
    single = [stock for stock in rack for _ in range(stock.count)]
    ways = list(every_way(orders, single, kerf))
    lacking = min(way[0] for way in ways)
    found = cut_list(orders, rack, kerf)
    if lacking:
        assert sum(n for _, n in found.missing) == lacking
        assert found.cuts == ()
        return
    kept(found, orders, rack, kerf)
    assert found.proven
    assert found.settled
    whole = [way[1:] for way in ways if way[0] == 0]
    least = min(way[0] for way in whole)
    whole = [way for way in whole if way[0] < least + 1e-3]
    fewest = min(way[1] for way in whole)
    longest = max(way[2] for way in whole if way[1] == fewest)
    assert found.waste == pytest.approx(least, abs=1e-3)
    assert found.bars == fewest
    assert found.longest_remnant == pytest.approx(max(longest, 0.0), abs=1e-5)


@examples(150)
@given(small_cases())
def test_small_cases_agree_with_every_way(case: tuple[list[Order], list[Stock], float]) -> None:
    agrees(case)


@examples(80)
@given(level_cases())
def test_ties_agree_with_every_way(case: tuple[list[Order], list[Stock], float]) -> None:
    agrees(case)


@examples(80)
@given(small_cases(), st.integers(1, 4))
def test_the_search_may_begin_with_few_patterns(
    case: tuple[list[Order], list[Stock], float], few: int
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cutlist, "FEW", few)
        agrees(case)


@examples(25)
@given(st.integers(0, 10_000))
def test_larger_cases_keep_to_the_rack(seed: int) -> None:
    import random

    roll = random.Random(seed)
    rack = [
        bars(roll.uniform(300.0, 1500.0), roll.randint(1, 3), roll.choice((FLAT, SQUARE)),
             name=f"{i}")
        for i in range(8)
    ]  # fmt: skip
    orders = [
        Order(name, roll.randint(1, 6),
              {FLAT: roll.uniform(120.0, 260.0), SQUARE: roll.uniform(120.0, 260.0)})
        for name in "AB"
    ]  # fmt: skip
    found = cut_list(orders, rack, 1.6)
    kept(found, orders, rack, 1.6)
    assert found.proven


# What is missing, what is unproven ---------------------------------------------------------------


def test_what_the_rack_lacks_is_said() -> None:
    """Two bars of 250 mm hold two pieces each; of six A, two are lacking; B fits no section."""
    orders = [Order("A", 6, {FLAT: 120.0}), Order("B", 2, {})]
    found = cut_list(orders, [bars(250.0, 2)], 1.0)
    assert found.missing == (("A", 2), ("B", 2))
    assert (found.cuts, found.proven) == ((), True)
    assert cut_list(orders[:1], [bars(100.0)], 1.0).missing == (("A", 6),)


def test_of_heads_lacking_the_first_is_served_first() -> None:
    orders = [Order("A", 2, {FLAT: 100.0}), Order("B", 2, {FLAT: 100.0})]
    assert cut_list(orders, [bars(350.0)], 1.0).missing == (("B", 1),)
    assert cut_list(orders[::-1], [bars(350.0)], 1.0).missing == (("A", 1),)


def test_bars_of_one_kind_on_two_rows_are_one_stock() -> None:
    orders = [Order("A", 6, {FLAT: 120.0})]
    rack = [bars(250.0, 2, name="left"), bars(250.0, 2, name="right")]
    found = cut_list(orders, rack, 1.0)
    kept(found, orders, rack, 1.0)
    assert [(c.stock.name, c.bars) for c in found.cuts] == [("left", 2), ("right", 1)]


@pytest.mark.parametrize("bound", [None, 0.0, 300.0])
def test_a_list_cut_short_by_time_says_how_far_off_it_may_be(
    bound: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = cutlist.milp

    def late(*arguments: Any, **options: Any) -> Any:
        answer = real(*arguments, **options)
        answer.status, answer.mip_dual_bound = 1, bound
        return answer

    monkeypatch.setattr(cutlist, "milp", late)
    orders = [Order("A", 6, {FLAT: 160.0}), Order("B", 2, {FLAT: 240.0})]
    found = cut_list(orders, [bars(450.0), bars(1000.0), bars(700.0)], 2.0)
    assert found.waste == pytest.approx(816.4, rel=1e-9)
    assert (found.least, found.proven, found.settled) == (bound or 0.0, False, False)


def test_no_list_in_time_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*arguments: Any, **options: Any) -> Any:
        class Answer:
            status, x, mip_dual_bound = 1, None, None

        return Answer()

    monkeypatch.setattr(cutlist, "milp", never)
    with pytest.raises(cutlist.OutOfTimeError):
        cut_list([Order("A", 1, {FLAT: 100.0})], [bars(250.0)], 1.0)


def test_too_many_ways_are_refused_before_the_search() -> None:
    orders = [Order(str(i), 40, {FLAT: 20.0 + i}) for i in range(9)]
    with pytest.raises(BadInputError, match="ways to saw"):
        cut_list(orders, [bars(6000.0, 40)], 1.0)


def test_an_order_has_the_sections_that_can_make_the_head() -> None:
    design = profiles.load("belt-hatchet").design
    good, thin = (9.525, 31.75), (4.0, 40.0)
    choices = choose(
        design, (bars(1000.0, section=good), bars(90.0, section=(12.7, 25.4)),
                 bars(1000.0, section=thin)), 1.6,
    )  # fmt: skip
    order = order_of("hatchet", 3, choices)
    assert set(order.cuts) == {good}
    assert order.cuts[good] == choices[0].cut_length


@pytest.mark.parametrize("text", ["", "0", "-1", "501", "2.5", "two", "1e2", "\u0663", "9" * 400])
def test_what_is_no_number_of_pieces_is_refused(text: str) -> None:
    with pytest.raises(BadInputError, match="a whole number from 1 to 500"):
        cutlist.read_pieces(text, "--pieces")
    assert cutlist.read_pieces(" 500 ", "--pieces") == 500
