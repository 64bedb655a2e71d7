"""Grips of the side view: where they lie, where a drag brings them, and what stands still.

Nothing here is compared with what the program printed before: a dragged head is worked out anew,
and its points are looked for on its outline with shapely.
"""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
import shapely
from designs import LOPSIDED, Raw, changed, examples, mm, planned, wide_designs, written
from hypothesis import given
from hypothesis import strategies as st

from patterns import grips as held
from patterns import profiles, texts
from patterns.blank import plan
from patterns.errors import BadInputError
from patterns.head import Head, finish
from patterns.parameters import Design, spec_at

SHIPPED = sorted(profiles.shipped())
INNER = {"eye-front", "eye-back"}
"""Grips that lie on the centre line, in the head."""

CARRIED = {
    "toe": {"edge", "top-hollow", "beard"},
    "heel": {"edge", "bottom-hollow", "beard"},
    "edge": {"toe", "heel", "top-hollow", "bottom-hollow", "beard"},
    "neck-above": {"top-hollow"},
    "neck-below": {"bottom-hollow", "beard"},
    "ear-above": {"ear-below"},
    "ear-below": {"ear-above"},
    "eye-front": {"ear-above", "ear-below", "poll", "eye-back"},
    "poll": set(),
    "eye-back": {"poll"},
}
"""What else moves with a grip, from the front of the eye: the keys do not allow otherwise."""


def put(design: Any, values: dict[str, Any]) -> Any:
    for key, value in values.items():
        first, _, rest = key.partition(".")
        inner = put(getattr(design, first), {rest: value}) if rest else value
        design = dataclasses.replace(design, **{first: inner})
    return design


def by_name(head: Head) -> dict[str, held.Grip]:
    return {grip.name: grip for grip in held.grips(head)}


def shipped_head(name: str) -> Head:
    return finish(profiles.load(name).design)


def off_outline(head: Head, grip: held.Grip) -> float:
    line = shapely.LinearRing(head.side.contour.points(0.002))
    return float(shapely.distance(line, shapely.Point(grip.x, grip.y)))


def flat(value: Any) -> list[float]:
    return [side for pair in value for side in pair] if isinstance(value, tuple) else [value]


def inside_limits(values: dict[str, Any]) -> bool:
    """No value at the end of what its key may be."""
    for key, value in values.items():
        spec = spec_at(key)
        if not all(spec.low + 1e-6 < side < spec.high - 1e-6 for side in flat(value)):
            return False
    return True


def test_every_shipped_head_can_be_taken_hold_of() -> None:
    for name in SHIPPED:
        found = by_name(shipped_head(name))
        assert {"toe", "heel", "edge", "neck-above", "neck-below", "eye-front", "poll"} <= set(
            found
        )
        assert len(found) == len(held.grips(shipped_head(name)))  # each name once


def test_a_head_has_the_grips_of_its_form() -> None:
    heads = {name: by_name(planned(raw).head) for name, raw in LOPSIDED.items()}
    assert "top-hollow" in heads["stadium"]
    assert "bottom-hollow" not in heads["stadium"]
    assert {"top-1", "top-2", "bottom-hollow", "eye-back"} <= set(heads["superellipse"])
    assert not {"ear-above", "ear-below"} & set(heads["superellipse"])
    assert {"ear-above", "ear-below", "top-1"} <= set(heads["circle"])
    assert "eye-back" not in heads["circle"]  # the bar says how thick its poll is
    assert "beard" in heads["bearded"]
    assert not any(name.startswith("bottom") for name in heads["bearded"])
    northern = by_name(shipped_head("northern-axe"))
    assert northern["toe"].keys == ("blade.toe", "blade.toe_back")
    assert northern["edge"].keys == ("blade.reach", "blade.toe_back", "blade.heel_back")
    assert heads["superellipse"]["eye-front"].keys == ("eye.perimeter",)


@pytest.mark.parametrize("name", SHIPPED)
def test_grips_lie_on_the_outline_of_the_shelf(name: str) -> None:
    check_places(shipped_head(name))


@pytest.mark.parametrize("name", LOPSIDED)
def test_grips_lie_on_the_outline_of_odd_heads(name: str) -> None:
    check_places(planned(LOPSIDED[name]).head)


def check_places(head: Head) -> None:
    design, front = head.design, head.plan.eye_front
    for grip in held.grips(head):
        if grip.name in INNER:
            assert grip.y == 0.0
            continue
        assert off_outline(head, grip) < 0.05, grip
    found = by_name(head)
    assert (found["toe"].y, -found["heel"].y) == pytest.approx(
        (design.blade.toe, design.blade.heel)
    )
    assert max(found["edge"].x, found["toe"].x, found["heel"].x) == pytest.approx(head.length)
    assert found["neck-above"].x == found["neck-below"].x == front
    assert found["eye-front"].x == pytest.approx(head.plan.poll_thickness + head.eye.length)


MOVES = [(1.7, 1.3), (-1.9, 0.8), (0.6, -2.1), (-0.7, -1.1), (6.3, -5.9), (-7.7, 8.3), (0.0, 0.0)]


def check_moves(head: Head, by: list[tuple[float, float]]) -> int:
    """Drag every grip of a head; how often it came to the asked place."""
    arrived = 0
    for grip in held.grips(head):
        for dx, dy in by:
            to = (grip.x + dx, grip.y + dy)
            values = held.moved(head, grip.name, to)
            assert set(values) <= set(grip.keys)
            for key, value in values.items():
                spec = spec_at(key)
                assert all(spec.low - 1e-9 <= side <= spec.high + 1e-9 for side in flat(value))
            try:
                after = finish(put(head.design, values))
            except BadInputError:
                continue  # the head breaks a rule there, which the page tells
            if check_arrival(head, after, grip, to, values):
                arrived += 1
            check_again(after, grip.name, to, values)
    return arrived


def check_again(
    after: Head, name: str, to: tuple[float, float], values: dict[str, Any]
) -> None:  # fmt: skip
    """Asked for once more, the same place changes nothing: a drag does not run away."""
    if name not in by_name(after) or not inside_limits(values):
        return
    for key, value in held.moved(after, name, to).items():
        assert flat(value) == pytest.approx(flat(values[key]), abs=1e-5, rel=1e-5), (name, key)


def check_arrival(
    head: Head, after: Head, grip: held.Grip, to: tuple[float, float], values: dict[str, Any]
) -> bool:
    """Whether a grip came to where it was dragged; fails if another moved without need."""
    before, now = by_name(head), by_name(after)
    origin, there = head.plan.eye_front, after.plan.eye_front
    for name, other in before.items():
        if name == grip.name or name not in now or name in CARRIED.get(grip.name, ()):
            continue
        if name == "eye-front":
            if grip.name not in ("eye-back", "poll"):
                assert now[name].x == pytest.approx(other.x, abs=1e-6)
        elif name in ("poll", "eye-back"):
            if grip.name not in ("poll", "eye-back"):
                assert (now[name].x, now[name].y) == pytest.approx((other.x, other.y), abs=1e-6)
        elif inside_limits(values):
            assert now[name].x - there == pytest.approx(other.x - origin, abs=1e-5), (grip, name)
            assert now[name].y == pytest.approx(other.y, abs=1e-5), (grip, name)
    if grip.name not in now:
        return False
    x, y = now[grip.name].x, now[grip.name].y
    off = {"x": abs(x - to[0]), "y": abs(y - to[1]), "xy": math.hypot(x - to[0], y - to[1])}
    return off[grip.along] < 1e-5


@pytest.mark.parametrize("name", SHIPPED)
def test_a_dragged_grip_arrives_and_the_rest_stays(name: str) -> None:
    head = shipped_head(name)
    count = len(held.grips(head))
    # a few drags of a few millimetres leave what a head can be: an ear below its poll, say
    assert check_moves(head, MOVES[:4]) >= 0.75 * 4 * count
    check_moves(head, MOVES[4:6])
    assert check_moves(head, MOVES[6:]) == count


@pytest.mark.parametrize("name", LOPSIDED)
def test_a_dragged_grip_of_an_odd_head_arrives(name: str) -> None:
    head = planned(LOPSIDED[name]).head
    count = len(held.grips(head))
    assert check_moves(head, MOVES[:4]) >= 0.75 * 4 * count
    assert check_moves(head, MOVES[6:]) == count


@examples(30)
@given(found=wide_designs(), dx=st.floats(-9, 9), dy=st.floats(-9, 9))
def test_any_head_can_be_dragged(found: tuple[Raw, Any], dx: float, dy: float) -> None:
    head = found[1].head
    check_places(head)
    check_moves(head, [(dx, dy)])
    assert check_moves(head, [(0.0, 0.0)]) == len(held.grips(head))


@pytest.mark.parametrize("corner", ["toe", "heel"])
@pytest.mark.parametrize("name", ["northern-axe", "camp-axe", "carving-axe", "broad-hatchet"])
def test_a_corner_leaves_the_other_and_the_foremost_of_the_edge(name: str, corner: str) -> None:
    """By the arc itself: the other corner and the reach, measured on the edge anew."""
    head = shipped_head(name)
    grip = by_name(head)[corner]
    out = 1.0 if corner == "toe" else -1.0
    to = (grip.x - 2.5, grip.y + 3.0 * out)
    after = finish(put(head.design, held.moved(head, corner, to)))
    old, new = head.side.edge, after.side.edge
    other = "heel" if corner == "toe" else "toe"
    assert getattr(new, other) == pytest.approx(getattr(old, other), abs=1e-6)
    assert getattr(new, corner) == pytest.approx(to, abs=1e-6)
    assert new.foremost == pytest.approx(old.foremost, abs=1e-6)
    for point in (new.toe, new.heel):
        assert math.dist(point, (new.x, new.y)) == pytest.approx(new.radius)


def test_a_corner_dragged_behind_the_arc_stops_on_it() -> None:
    head = shipped_head("camp-axe")
    toe = by_name(head)["toe"]
    for far in (40.0, 90.0, 500.0, 1e9):
        values = held.moved(head, "toe", (toe.x - far, toe.y))
        after = finish_arc(put(head.design, values))
        assert after.toe[0] > after.x  # before the arc's middle, where it can be drawn
        assert after.toe[1] == pytest.approx(head.design.blade.toe)
        assert after.heel == pytest.approx(head.fore.side.edge.heel, abs=1e-6)


def finish_arc(design: Design) -> Any:
    from patterns.outline import edge_of

    return edge_of(design.blade)


def test_a_corner_dragged_ahead_of_the_edge_stops_at_its_foremost() -> None:
    head = shipped_head("camp-axe")
    toe = by_name(head)["toe"]
    after = finish_arc(put(head.design, held.moved(head, "toe", (toe.x + 400.0, toe.y))))
    assert after.toe == pytest.approx((head.design.blade.reach, toe.y), abs=0.01)
    assert after.heel == pytest.approx(head.fore.side.edge.heel, abs=1e-6)
    northern = shipped_head("northern-axe")
    toe = by_name(northern)["toe"]
    values = held.moved(northern, "toe", (toe.x + 400.0, toe.y))
    assert values["blade.toe_back"] == spec_at("blade.toe_back").low


@pytest.mark.parametrize("name", SHIPPED)
def test_absurd_places_bring_a_grip_as_far_as_it_goes(name: str) -> None:
    head = shipped_head(name)
    for grip in held.grips(head):
        for to in ((1e9, 1e9), (-1e9, -1e9), (1e308, -1e308), (0.0, 0.0), (5e-324, -0.0)):
            for key, value in held.moved(head, grip.name, to).items():
                spec = spec_at(key)
                assert all(spec.low - 1e-9 <= side <= spec.high + 1e-9 for side in flat(value)), key
        for bad in (math.nan, math.inf, -math.inf):
            with pytest.raises(ValueError, match="finite"):
                held.moved(head, grip.name, (bad, 0.0))
            with pytest.raises(ValueError, match="finite"):
                held.moved(head, grip.name, (0.0, bad))


def test_a_grip_that_is_not_there_is_refused() -> None:
    head = shipped_head("tomahawk")  # it has no ears
    with pytest.raises(ValueError, match="no grip"):
        held.moved(head, "ear-above", (1.0, 1.0))


# Texts ------------------------------------------------------------------------------------------

INCH_STEP, MM_STEP = 25.4 / 64.0, 0.1


@pytest.mark.parametrize("name", SHIPPED)
def test_texts_are_what_a_smith_can_hit(name: str) -> None:
    """Each length a whole 64th or tenth, spelled as the profile; the grip within half a step.

    The corners of the edge stand by radius and centre, both rounded: with d from the foremost point
    and b back, db = (d / R) dc + (d^2 / 2 R^2) dR, so one and a half halves of a step at the most.
    """
    head = shipped_head(name)
    raw = profiles.table(name)[1]
    told = texts.of_table(raw)
    step = INCH_STEP if " in" in told["eye.length"] else MM_STEP
    tried = 0
    for grip in held.grips(head):
        to = (
            grip.x + (-1.37 if grip.name in ("toe", "heel") else 1.37),
            grip.y + (1.91 if grip.y >= 0 else -1.91),
        )
        new = held.texts_moved(head, told, grip.name, to, "in")
        assert set(new) <= set(grip.keys)
        for key, text in new.items():
            if spec_at(key).kind != "length":
                continue
            assert text.endswith(" in" if step == INCH_STEP else " mm"), (key, text)
            value = read_back(key, text)
            assert value / step == pytest.approx(round(value / step), abs=1e-6)
        table, faults = texts.to_table(Design, {**told, **new})
        assert not faults
        try:
            after = finish(profiles.read(table, "trial").design)
        except BadInputError:
            continue
        now = by_name(after)[grip.name]
        high = "y" in grip.along
        if high:
            assert abs(now.y - to[1]) <= step / 2.0 + 1e-6, grip
        if "x" in grip.along:
            room = 1.5 if grip.name in ("toe", "heel") else 1.0
            assert abs(now.x - to[0]) <= room * step / 2.0 + 1e-6, grip
        tried += 1
    assert tried >= 6


def read_back(key: str, text: str) -> float:
    from patterns.units import read_length

    return read_length(text)


def test_spelling_follows_the_key() -> None:
    raw = written(LOPSIDED["stadium"], "mm")
    raw["blade"]["neck_above"] = "9/16 in"
    told = texts.of_table(raw)
    head = finish(profiles.read(raw, "trial").design)
    grip = by_name(head)["neck-above"]
    new = held.texts_moved(head, told, "neck-above", (grip.x, 15.0), "mm")
    assert new == {"blade.neck_above": "19/32 in"}  # 15 / 25.4 * 64 = 37.8, 38/64
    assert held.texts_moved(head, told, "neck-below", (0.0, -18.449), "in") == {
        "blade.neck_below": "18.4 mm"
    }
    assert held.texts_moved(head, told, "top-hollow", (0.0, 0.0))["blade.top.hollow"].endswith("mm")


def test_a_grip_that_is_not_dragged_changes_no_text() -> None:
    for name in SHIPPED:
        told = texts.of_table(profiles.table(name)[1])
        head = shipped_head(name)
        for grip in held.grips(head):
            new = held.texts_moved(head, told, grip.name, (grip.x, grip.y))
            lacking = {key for key in new if key not in told}
            assert set(new) == lacking, (name, grip.name, new)
            assert lacking <= {"blade.edge_centre"}  # half-way, said in figures: a 64th is nearest


def test_other_points_of_a_curve_keep_their_text() -> None:
    raw = written(LOPSIDED["superellipse"], "mm")
    raw["blade"]["top"]["through"] = [["4 cm", "29.00 mm"], ["66 mm", "26 mm"]]
    told = texts.of_table(raw)
    head = finish(profiles.read(raw, "trial").design)
    grip = by_name(head)["top-2"]
    new = held.texts_moved(head, told, "top-2", (grip.x + 2.03, grip.y + 1.0))
    assert new == {"blade.top.through": '[["4 cm", "29.00 mm"], ["68 mm", "27 mm"]]'}


def test_points_stay_in_order() -> None:
    head = planned(LOPSIDED["superellipse"]).head
    front = head.plan.eye_front
    first = held.moved(head, "top-1", (front + 400.0, 29.0))["blade.top.through"]
    last = held.moved(head, "top-2", (front - 400.0, 26.0))["blade.top.through"]
    for points in (first, last):
        (a, _), (b, _) = points
        assert 0.0 < a < b


def test_the_eye_by_its_perimeter_keeps_its_ratio() -> None:
    head = planned(LOPSIDED["superellipse"]).head
    grip = by_name(head)["eye-front"]
    after = finish(put(head.design, held.moved(head, "eye-front", (grip.x + 4.0, 0.0))))
    assert after.eye.length == pytest.approx(head.eye.length + 4.0)
    assert after.eye.length / after.eye.width == pytest.approx(2.1)
    assert after.length == pytest.approx(head.length + 4.0)


def test_a_round_eye_told_twice_stays_round() -> None:
    raw = changed(LOPSIDED["circle"], eye={"form": "circle", "length": mm(31), "width": mm(31)})
    head = planned(raw).head
    grip = by_name(head)["eye-front"]
    values = held.moved(head, "eye-front", (grip.x + 1.0, 0.0))
    assert values == {"eye.length": pytest.approx(32.0), "eye.width": pytest.approx(32.0)}


def test_a_block_is_no_thicker_than_its_bar() -> None:
    head = planned(LOPSIDED["superellipse"]).head  # its poll is 9 mm of a bar of 13 x 42 mm
    most = held.moved(head, "eye-back", (1e9, 0.0))["poll.thickness"]
    after = finish(put(head.design, {"poll.thickness": most}))
    assert after.plan.poll_thickness == pytest.approx(most)
    assert most < 13.0 * 42.0 / 50.0


def test_an_edge_that_is_foremost_beyond_its_toe_keeps_its_side() -> None:
    raw = changed(
        LOPSIDED["stadium"], blade__edge_radius=mm(400), blade__edge_centre=mm(60),
        blade__heel=mm(40),
    )  # fmt: skip
    head = planned(raw).head
    grip = by_name(head)
    assert grip["edge"].along == "x"
    for name in ("toe", "heel"):
        to = (grip[name].x - 0.5, grip[name].y + 1.0)
        values = held.moved(head, name, to)
        after = finish(put(head.design, values))
        assert by_name(after)[name].x == pytest.approx(to[0], abs=1e-6)
        assert by_name(after)[name].y == pytest.approx(to[1], abs=1e-6)
        assert values["blade.edge_centre"] > values.get("blade.toe", 25.0)


def test_the_grips_of_a_plan_are_those_of_its_head() -> None:
    design = profiles.load("camp-axe").design
    assert held.grips(plan(design).head) == held.grips(finish(design))


def test_a_beard_wider_than_the_blade_can_be_dragged_back() -> None:
    """Its corner then lies behind the neck, where the curve's middle stands still."""
    raw = changed(LOPSIDED["bearded"], blade__beard=mm(120))
    head = dataclasses.replace(planned(LOPSIDED["bearded"]).head, design=read_design(raw))
    beard = next(move for grip, move in held._beard(head, 120.0))
    width = beard(head.plan.eye_front + 60.0, 0.0)["blade.beard"]
    assert 10.0 < width < 97.0


def read_design(raw: Raw) -> Design:
    return profiles.read(written(raw), "trial").design


@pytest.mark.parametrize("name", ["camp-axe", "carving-axe", "northern-axe", "tomahawk"])
def test_a_drag_round_a_circle_comes_back(name: str) -> None:
    """Each step asked of the head as it was when the drag began: nothing creeps."""
    told = texts.of_table(profiles.table(name)[1])
    head = shipped_head(name)
    toe = by_name(head)["toe"]
    new: dict[str, str] = {}
    for i in range(41):
        turn = math.tau * i / 40
        to = (toe.x - 3.0 + 3.0 * math.cos(turn), toe.y + 3.0 * math.sin(turn))
        new = held.texts_moved(head, told, "toe", to)
    assert set(new) <= {"blade.edge_centre"}
