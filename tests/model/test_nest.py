"""Nests looked at by other means: Shapely on finely flattened outlines, hand-made nests, rows.

No test asserts how long a search took. Where a nest is compared with another, the other is laid by
hand in the test, or by the plain rows below, which share nothing with the module.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns import nest as nests
from patterns import strip
from patterns.contour import Contour, Vertex
from patterns.cut_file import CutFile, Run
from patterns.nest import (
    TURNS,
    Nest,
    Placed,
    Sheet,
    Stock,
    Wanted,
    nest,
    outside,
    parts_of,
    too_close,
    too_large,
)
from patterns.part import Part

LONG = 120.0  # seconds: no test waits so long, and no clock decides what is found


def part(name: str, *cuts: Contour) -> Part:
    return Part(name, cuts)


def rectangle(wide: float, high: float, name: str = "plate") -> Part:
    return part(name, Contour.rectangle(7.0, -3.0, 7.0 + wide, -3.0 + high))


def triangle(wide: float, high: float) -> Part:
    return part("triangle", Contour.polygon([(0, 0), (wide, 0), (0, high)]))


def elbow(size: float, arm: float) -> Part:
    return part(
        "elbow",
        Contour.polygon([(0, 0), (size, 0), (size, arm), (arm, arm), (arm, size), (0, size)]),
    )


def moon(size: float) -> Part:
    """Bulging and hollow arcs."""
    return part("moon", Contour((Vertex(0, 0, 1.0), Vertex(size, 0, -0.4))))


def stadium(long: float, wide: float) -> Part:
    return part(
        "stadium",
        Contour((Vertex(0, 0), Vertex(long, 0, 1.0), Vertex(long, wide), Vertex(0, wide, 1.0))),
    )


def fine(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(contour.points(0.0005))


def check(found: Nest) -> None:
    """Spacing, margin, numbers and turns, on outlines flattened to 0.0005 mm."""
    stock, count = found.stock, Counter[int]()
    room = shapely.box(
        stock.ends, stock.sides, stock.length - stock.ends, stock.width - stock.sides
    ).buffer(1e-5)
    for sheet in found.sheets:
        shapes = [fine(found.part(each).cuts[0]) for each in sheet.placed]
        assert all(room.covers(shape) for shape in shapes)
        for one, other in combinations(shapes, 2):
            assert one.distance(other) >= found.spacing - 1e-5
        assert sheet.reach == pytest.approx(max(shape.bounds[2] for shape in shapes), abs=1e-3)
        assert sheet.across == pytest.approx(max(shape.bounds[3] for shape in shapes), abs=1e-3)
        for each in sheet.placed:
            count[each.wanted] += 1
            wanted = found.wanted[each.wanted]
            assert each.turn in wanted.turns
            # turned, never mirrored: the area keeps its sign
            assert found.part(each).cuts[0].area == pytest.approx(wanted.part.cuts[0].area)
    assert [count[i] for i in range(len(found.wanted))] == [w.quantity for w in found.wanted]
    for i, wanted in enumerate(found.wanted):
        copies = [p.copy for sheet in found.sheets for p in sheet.placed if p.wanted == i]
        assert sorted(copies) == list(range(1, wanted.quantity + 1))


def rows(wanted: list[Wanted], stock: Stock, spacing: float) -> tuple[int, float]:
    """Plain rows of boxes as drawn: how many sheets, and how far the last is reached."""
    long, wide = stock.length - 2 * stock.ends, stock.width - 2 * stock.sides
    boxes = [w.part.cuts[0].bounds for w in wanted for _ in range(w.quantity)]
    sheets, x, y, deep = 1, 0.0, 0.0, 0.0
    for box in sorted(boxes, key=lambda box: -box.width):
        if y and y + box.height > wide + 1e-9:
            x, y, deep = x + deep + spacing, 0.0, 0.0
        if x + box.width > long + 1e-9:
            sheets, x, y, deep = sheets + 1, 0.0, 0.0, 0.0
        y, deep = y + box.height + spacing, max(deep, box.width)
    return sheets, stock.ends + x + deep


MIXED = [
    Wanted("triangle", triangle(90, 55), 4),
    Wanted("elbow", elbow(70, 22), 4),
    Wanted("moon", moon(60), 3),
    Wanted("stadium", stadium(50, 24), 3),
]


# Outlines ----------------------------------------------------------------------------------------


@given(
    st.lists(st.floats(-2.0, 2.0), min_size=5, max_size=5),
    st.floats(0.01, 0.5),
    st.floats(20.0, 200.0),
)
@settings(max_examples=60, deadline=None)
def test_no_metal_lies_outside_the_outline(
    bulges: list[float], sagitta: float, size: float
) -> None:
    corners = [
        (size * math.cos(i * math.tau / 5), size * math.sin(i * math.tau / 5)) for i in range(5)
    ]
    contour = Contour(
        tuple(Vertex(x, y, 0.3 * b) for (x, y), b in zip(corners, bulges, strict=True))
    )
    true = fine(contour)
    if not true.is_valid:
        return
    coarse = shapely.Polygon(outside(contour, sagitta))
    assert coarse.is_valid
    assert true.difference(coarse).area < 0.002 * contour.length
    assert true.buffer(sagitta + 0.002, quad_segs=64).covers(coarse)


def test_close_parts_are_seen() -> None:
    plates = [shapely.box(0, 0, 10, 10), shapely.box(12, 0, 20, 10)]
    assert not too_close(plates, 1.999)
    assert too_close(plates, 2.001)
    assert too_close([plates[0], plates[0]], 0.1)


def test_a_nest_that_is_not_sound_is_refused() -> None:
    stock = Stock(100, 50, 5, 5)
    plates = (Wanted("plate", part("plate", Contour.rectangle(0, 0, 20, 20)), 2),)
    work = nests._Work(plates, stock, 3.0, 1, False, 0.0, lambda *_: None)
    good = [Placed(0, 1, 0.0, 5.0, 5.0), Placed(0, 2, 0.0, 28.0, 5.0)]
    assert work.sound(good)
    assert not work.sound([good[0], Placed(0, 2, 0.0, 27.9, 5.0)])
    assert not work.sound([good[0], Placed(0, 2, 0.0, 28.0, 4.9)])
    assert not work.sound([good[0], Placed(0, 2, 0.0, 75.1, 5.0)])
    assert not work.sound([good[0], Placed(0, 2, 90.0, 28.0, 5.0)])


# Boxes -------------------------------------------------------------------------------------------


@given(
    st.lists(
        st.tuples(st.floats(8.0, 140.0), st.floats(8.0, 90.0), st.integers(1, 5)),
        min_size=1,
        max_size=8,
    ),
    st.sampled_from(["quarter", "half", "none", "free"]),
    st.floats(0.5, 9.0),
    st.floats(0.0, 8.0),
)
@settings(max_examples=80, deadline=None)
def test_boxes_are_sound_and_no_worse_than_rows(
    sizes: list[tuple[float, float, int]], turns: str, spacing: float, margin: float
) -> None:
    stock = Stock(220.0, 120.0, margin, margin)
    wanted = [
        Wanted(f"plate {i}", rectangle(w, h), n, TURNS[turns]) for i, (w, h, n) in enumerate(sizes)
    ]
    found = nest(wanted, stock, spacing, seconds=0.0)
    check(found)
    assert not found.cut_short
    sheets, reach = rows(wanted, stock, spacing)
    assert (len(found.sheets), found.sheets[-1].reach) <= (sheets, reach + 1e-6)


def test_rectangles_that_fill_a_sheet_fill_it() -> None:
    # by hand: 60 x 60 at the left, 40 x 29 over two of 19 x 29, a spacing of 2 between all
    wanted = [
        Wanted("a", rectangle(60, 60)),
        Wanted("b", rectangle(40, 29)),
        Wanted("c", rectangle(19, 29), 2),
    ]
    found = nest(wanted, Stock(108, 66, 3, 3), 2.0, seconds=0.0)
    check(found)
    assert len(found.sheets) == 1
    # a hair narrower, and it takes a second sheet
    assert len(nest(wanted, Stock(107.99, 66, 3, 3), 2.0, seconds=0.0).sheets) == 2


def test_a_bar_holds_parts_as_wide_as_itself() -> None:
    # 4 x 120 + 3 x 2 + 2 x 7 = 500
    wanted = [Wanted("bit", rectangle(120, 50.8), 4, TURNS["half"])]
    for seconds in (0.0, LONG):
        found = nest(wanted, Stock(500, 50.8, 7, 0), 2.0, seconds=seconds)
        check(found)
        assert len(found.sheets) == 1
        assert found.sheets[0].reach == pytest.approx(493.0)
    assert len(nest(wanted, Stock(499.9, 50.8, 7, 0), 2.0, seconds=0.0).sheets) == 2


def test_parts_too_large_are_named_with_both_sizes() -> None:
    wanted = [
        Wanted("door", rectangle(254, 101.6)),
        Wanted("post", rectangle(50.8, 152.4), 1, TURNS["half"]),
        Wanted("ring", stadium(20, 20)),
    ]
    faults = too_large(wanted, Stock(203.2, 101.6, 0, 0), "in")
    assert [fault.field for fault in faults] == ["door", "post"]
    assert "10 in x 4 in" in faults[0].given
    assert "8 in x 4 in" in faults[0].allowed
    assert "may not be turned" in faults[1].change
    with pytest.raises(ValueError, match="no room"):
        nest(wanted, Stock(203.2, 101.6, 0, 0), 1.0, seconds=0.0)


# The search --------------------------------------------------------------------------------------


def test_mixed_parts_lie_shorter_than_rows() -> None:
    stock = Stock(600, 200, 4, 4)
    told: list[tuple[int, int, float]] = []
    found = nest(MIXED, stock, 3.0, seconds=LONG, watch=lambda *one: told.append(one))
    check(found)
    assert not found.cut_short
    assert {(number, parts) for number, parts, _ in told} == {(1, 14)}
    assert [length for *_, length in told] == sorted((t[2] for t in told), reverse=True)
    plain = nest(MIXED, stock, 3.0, seconds=0.0)
    assert len(found.sheets) == 1
    assert found.sheets[0].way == "search"
    # these hollow and slanting parts gain far more than a tenth
    assert found.sheets[0].reach < 0.9 * plain.sheets[0].reach
    assert found.sheets[0].reach < rows(MIXED, stock, 3.0)[1]


def test_the_same_seed_gives_the_same_nest_whatever_time_is_allowed() -> None:
    stock = Stock(400, 150, 3, 3)
    few = [Wanted("triangle", triangle(70, 45), 3), Wanted("elbow", elbow(50, 15), 3)]
    found = [nest(few, stock, 2.0, seconds=seconds, seed=5) for seconds in (LONG, 2.0 * LONG)]
    assert not any(each.cut_short for each in found)
    assert found[0].sheets == found[1].sheets
    other = nest(few, stock, 2.0, seconds=LONG, seed=6)
    check(other)


def test_right_triangles_pair_as_by_hand() -> None:
    wide, high, off = 80.0, 60.0, 2.0
    wanted = [Wanted("triangle", triangle(wide, high), 8)]
    # by hand: two make a rectangle, the spacing between their slanting sides; the second is moved
    # by what makes their distance the spacing: off over the sine of 3-4-5's angle
    far = off * 100.0 / high
    pair = [shapely.Polygon([(0, 0), (wide, 0), (0, high)]),
            shapely.Polygon([(wide + far, high), (far, high), (wide + far, 0)])]  # fmt: skip
    assert pair[0].distance(pair[1]) == pytest.approx(off)
    stock = Stock(400, 2 * high + off + 10.0, 5, 5)
    # two pairs across the sheet, two along it
    by_hand = 5.0 + 2.0 * (wide + far) + off
    for seconds in (0.0, LONG):
        found = nest(wanted, stock, off, seconds=seconds)
        check(found)
        assert len(found.sheets) == 1
        # each pair is laid 0.002 mm further apart than it must be, and tried at steps of 0.001
        assert found.sheets[0].reach <= by_hand + 0.02


def test_elbows_interlock_as_by_hand() -> None:
    size, arm, off = 60.0, 20.0, 2.0
    wanted = [Wanted("elbow", elbow(size, arm), 2)]
    # by hand: the second, turned half round, stands beside the first, its upper arm over the
    # first one's lower arm and the spacing off the first one's upright arm
    hand = [shapely.Polygon([(v.x, v.y) for v in elbow(size, arm).cuts[0].vertices])]
    turned = [(size + arm + off - x, size - y) for x, y in hand[0].exterior.coords]
    hand.append(shapely.Polygon(turned))
    assert hand[0].distance(hand[1]) == pytest.approx(off)
    stock = Stock(300, size + 2.0, 1, 1)
    for seconds in (0.0, LONG):
        found = nest(wanted, stock, off, seconds=seconds)
        check(found)
        assert found.sheets[0].reach <= 1.0 + size + arm + off + 0.01


def test_several_sheets_hold_everything() -> None:
    stock, few = Stock(120, 100, 4, 4), [MIXED[0], MIXED[2]]
    found = nest(few, stock, 3.0, seconds=LONG)
    check(found)
    plain = nest(few, stock, 3.0, seconds=0.0)
    check(plain)
    assert 1 < len(found.sheets) <= len(plain.sheets)
    metal = sum(w.area * w.quantity for w in few)
    assert len(found.sheets) >= math.ceil(metal / (112 * 92))


def test_rolled_parts_keep_their_direction() -> None:
    wanted = [Wanted("bit", rectangle(40, 70, "bit"), 5, TURNS["half"]),
              Wanted("elbow", elbow(50, 15), 3, TURNS["none"])]  # fmt: skip
    found = nest(wanted, Stock(500, 160, 3, 3), 2.0, seconds=LONG)
    check(found)
    for each in found.sheets[0].placed:
        box = found.part(each).cuts[0].bounds
        if each.wanted == 0:
            assert each.turn in (0.0, 180.0)
            assert (box.width, box.height) == pytest.approx((40.0, 70.0))
        else:
            assert each.turn == 0.0


def test_a_clock_that_runs_out_is_told_and_leaves_a_sound_nest() -> None:
    found = nest(MIXED, Stock(600, 200, 4, 4), 3.0, seconds=1e-6)
    check(found)
    assert found.cut_short
    assert {sheet.way for sheet in found.sheets} <= {"rows", "boxes"}


def test_without_the_search_boxes_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(strip, "__file__", "/nowhere/strip.py")
    found = nest(MIXED, Stock(600, 200, 4, 4), 3.0, seconds=LONG)
    check(found)
    assert found.sheets == nest(MIXED, Stock(600, 200, 4, 4), 3.0, seconds=0.0).sheets


# A file's parts ----------------------------------------------------------------------------------


def test_windows_marks_and_parts_within_windows() -> None:
    frame, window = Contour.rectangle(0, 0, 100, 80), Contour.rectangle(10, 10, 90, 70)
    inner, hole = Contour.circle(50, 40, 20), Contour.circle(50, 40, 5)
    marks = [Contour.line((2, 5), (98, 5)), Contour.line((35, 40), (42, 40)),
             Contour.line((15, 15), (20, 20)), Contour.line((200, 0), (210, 0))]  # fmt: skip
    runs = [Run(hole.reversed(), "CUT", "inside"), Run(window, "CUT", "inside"),
            Run(inner.reversed(), "CUT", "outside"), Run(frame, "CUT", "outside"),
            Run(Contour.line((0, 0), (5, 5)), "CUT", "outside"),
            *(Run(mark, "MARK", "mark") for mark in marks)]  # fmt: skip
    found = parts_of(CutFile("two.dxf", "AC1015", "mm", tuple(runs)))
    assert sorted(one.name for one in found) == ["two, 1 of 2", "two, 2 of 2"]
    small, large = sorted(found, key=lambda one: one.cuts[0].area)
    assert [cut.area for cut in large.cuts] == pytest.approx([8000, -4800])
    assert [cut.area for cut in small.cuts] == pytest.approx([math.pi * 400, -math.pi * 25])
    assert [m.contour for m in large.marks] == [marks[0]]
    assert [m.contour for m in small.marks] == [marks[1]]
    assert nests.metal(large) == pytest.approx(3200.0)


def test_a_sheet_drawn_holds_marks_where_they_were() -> None:
    from patterns.drawing import Label, Purpose, Stroke

    plate = Part("plate", (Contour.rectangle(0, 0, 40, 20),),
                 (Stroke(Contour.line((5, 5), (15, 5)), Purpose.MARK),),
                 (Label("L", 30, 5, 4),))  # fmt: skip
    found = Nest(Stock(100, 100, 0, 0), 1.0, (Wanted("plate", plate),),
                 (Sheet((Placed(0, 1, 90.0, 50.0, 10.0),), "search", 50.0, 50.0),))  # fmt: skip
    drawing = found.drawing(found.sheets[0], "n", "N")
    cut, mark = drawing.strokes
    assert cut.contour.bounds.left == pytest.approx(30.0)
    assert cut.contour.bounds.top == pytest.approx(50.0)
    assert mark.contour.vertices[0][:2] == pytest.approx((45.0, 15.0))
    assert mark.contour.vertices[1][:2] == pytest.approx((45.0, 25.0))
    (label,) = drawing.labels
    assert (label.x, label.y, label.angle) == pytest.approx((45.0, 40.0, 90.0))
