"""A design resized: the laws of similar bodies, wishes met, stock that is sold, ranges that hold.

For similar bodies lengths go with the factor, volumes with its cube (Euclid, Elements, XI.33 and
XII.18): nothing in the program is asked for that.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from itertools import product
from typing import Any

import pytest
from cases import FOLDED, dealt
from designs import LOPSIDED, designs, examples, read
from hypothesis import assume, given
from hypothesis import strategies as st

from patterns import profiles, reading, starting
from patterns.blank import plan
from patterns.derived import eye_size
from patterns.errors import BadInputError
from patterns.head import Head, finish
from patterns.parameters import Design, Handle, specs
from patterns.resize import (
    IDLE,
    MASS,
    NEAR_EDGE,
    NEAR_MASS,
    Factors,
    Wanted,
    lengths,
    resize,
    scaled,
)
from patterns.schema import value_at
from patterns.units import read_mass

SHIPPED = list(profiles.shipped())
UNITS = ["in", "mm"]

HALF_STEP = 25.4 / 2000.0
"""Lengths come out in thousandths of an inch or finer [mm]."""


@cache
def source(name: str) -> tuple[dict[str, Any], Design, Head]:
    """Table, design and head of a shipped name or of a lopsided one."""
    if name in LOPSIDED:
        profile = read(LOPSIDED[name])
        return {}, profile.design, finish(profile.design)
    _, raw, _ = profiles.table(name)
    design = profiles.load(name).design
    return raw, design, finish(design)


ALL = [*SHIPPED, *LOPSIDED]


STOCK = ("bar.section", "bit.stock", "plate.stock")
"""What goes to the sizes that dealers have."""


def flat(value: Any) -> list[float]:
    return [x for item in value for x in flat(item)] if isinstance(value, tuple) else [value]


def ratios(old: Design, new: Design) -> dict[str, list[float]]:
    """Of every length of the head that is not nothing."""
    return {
        key: [b / a for a, b in zip(flat(before), flat(after), strict=True) if a]
        for key in lengths()
        for before, after in ((value_at(old, key), value_at(new, key)),)
        if before is not None
    }


# Similar heads -----------------------------------------------------------------------------------


@pytest.mark.parametrize("factor", [0.7, 1.25, 2.0])
@pytest.mark.parametrize("name", ALL)
def test_similar_heads_go_with_the_cube(name: str, factor: float) -> None:
    """To 1 in 10 000: curves are laid down as arcs to the same few thousandths of a mm in both."""
    _, design, head = source(name)
    design = replace(design, handle=Handle())  # which stays, and may be too short for the larger
    larger = scaled(design, Factors.alike(factor))
    for key, found in ratios(design, larger).items():
        if key in IDLE and value_at(design, IDLE[key][0]) not in IDLE[key][1]:
            assert set(found) == {1.0}, key
            continue
        assert found == pytest.approx([factor] * len(found), rel=1e-12), key
    similar = finish(larger)
    assert similar.mass == pytest.approx(head.mass * factor**3, rel=1e-4)
    assert similar.edge_length == pytest.approx(head.edge_length * factor, rel=1e-9)
    assert similar.length == pytest.approx(head.length * factor, rel=1e-9)
    assert similar.balance == pytest.approx([factor * x for x in head.balance], rel=1e-4, abs=1e-3)


@pytest.mark.parametrize("name", SHIPPED)
def test_all_but_lengths_stays(name: str) -> None:
    _, design, _ = source(name)
    larger = scaled(design, Factors(1.3, 1.2, 1.1, 0.9))
    stays = {key for key, _ in specs()} - set(lengths())
    assert {"handle.length", "hand.bite", "allowances.grinding", "blade.edge_angle"} <= stays
    assert [key for key in stays if value_at(design, key) != value_at(larger, key)] == []


@examples(40)
@given(designs(), st.sampled_from((0.8, 1.1, 1.5)))
def test_any_similar_head_goes_with_the_cube(made: tuple[Any, Any], factor: float) -> None:
    _, forge = made
    try:
        similar = finish(scaled(forge.design, Factors.alike(factor)))
    except BadInputError:  # a rule in millimetres, such as a handle's
        assume(False)
        raise
    assert similar.mass == pytest.approx(forge.head.mass * factor**3, rel=2e-4)
    assert similar.edge_length == pytest.approx(forge.head.edge_length * factor, rel=1e-9)


# Wishes ------------------------------------------------------------------------------------------


def written(name: str, wanted: Wanted) -> Design:
    """Resized, written as TOML and read back."""
    raw, design, _ = source(name)
    if not raw:
        return resize(design, wanted)
    inch = starting.in_inches(raw)
    table = starting.put(raw, design, resize(design, wanted, inch), inch)
    return profiles.read(reading.toml(starting.text(table)), "trial").design


def check(design: Design, wanted: Wanted) -> Head:
    head = plan(design).head
    if wanted.mass is not None:
        assert abs(head.mass / wanted.mass - 1.0) <= NEAR_MASS == 0.001
    if wanted.edge is not None:
        assert abs(head.edge_length - wanted.edge) <= NEAR_EDGE == 0.02
    if wanted.eye is not None:
        assert eye_size(design.eye) == pytest.approx(wanted.eye, abs=1e-9)
    return head


@pytest.mark.parametrize("times", [0.6, 0.85, 1.0, 1.3, 1.9])
@pytest.mark.parametrize("name", SHIPPED)
def test_a_mass_is_met_and_the_proportions_are_kept(name: str, times: float) -> None:
    _, design, head = source(name)
    wanted = Wanted(mass=head.mass * times)
    new = written(name, wanted)
    check(new, wanted)
    found = ratios(design, new)
    low, high = 0.0, math.inf  # between which one factor explains every length, as it is rounded
    for key, each in found.items():
        if key in STOCK or (key in IDLE and each == [1.0]):
            continue
        one_way = key in ("ears.above", "ears.below", "eye.front_radius", "eye.taper")
        for size, ratio in zip((x for x in flat(value_at(design, key)) if x), each, strict=True):
            # rounded up or down, and perhaps moved by a step
            slack = (4.0 if one_way else 3.0) * (HALF_STEP + 1e-9) / abs(size)
            low, high = max(low, ratio - slack), min(high, ratio + slack)
    assert low <= high < 1.003 * low
    assert low == pytest.approx(times ** (1.0 / 3.0), rel=0.06)  # the bar is not to scale


@pytest.mark.parametrize("times", [0.75, 0.97, 1.1, 1.3])
@pytest.mark.parametrize("name", SHIPPED)
def test_an_edge_is_met(name: str, times: float) -> None:
    _, design, head = source(name)
    wanted = Wanted(edge=head.edge_length * times)
    new = written(name, wanted)
    check(new, wanted)
    found = ratios(design, new)
    assert found["eye.length"] == pytest.approx([times], rel=1e-3)
    assert found["wall.thickness"] == pytest.approx([times], rel=4e-3)


@pytest.mark.parametrize("eye", [(38.1, 15.875), (50.8, 19.05), (60.0, 24.0)])
@pytest.mark.parametrize("name", SHIPPED)
def test_an_eye_is_met(name: str, eye: tuple[float, float]) -> None:
    _, design, _ = source(name)
    eye = eye if design.eye.form != "circle" else (eye[0], eye[0])
    new = written(name, Wanted(eye=eye))
    check(new, Wanted(eye=eye))
    factor = eye[0] / eye_size(design.eye)[0]
    assert ratios(design, new)["blade.reach"] == pytest.approx([factor], rel=1e-3)


@pytest.mark.parametrize("name", SHIPPED)
def test_eye_and_edge_part_ways(name: str) -> None:
    """The eye's zone by the one, the blade by the other, and what lies between between."""
    _, design, head = source(name)
    length, width = eye_size(design.eye)
    wide = 0.95 if design.eye.form == "circle" else 0.9
    wanted = Wanted(edge=head.edge_length * 1.15, eye=(length * 0.95, width * wide))
    new = written(name, wanted)
    check(new, wanted)
    found = ratios(design, new)
    for key in {"wall.thickness", "ears.above", "poll.height", "blade.neck_above"} & set(found):
        assert found[key] == pytest.approx([0.95], rel=6e-3), key
    for key in {"blade.reach", "blade.heel", "blade.edge_radius", "bit.insertion"} & set(found):
        assert found[key] == pytest.approx([1.15], rel=3e-3), key
    assert all(0.945 < r < 1.16 for r in found["blade.stations"])
    assert found["blade.stations"][0] < found["blade.stations"][-2]


@pytest.mark.parametrize("name", SHIPPED)
def test_edge_and_mass_are_met_by_the_blades_thickness(name: str) -> None:
    _, design, head = source(name)
    wanted = Wanted(mass=head.mass * 1.17, edge=head.edge_length * 1.04)
    new = written(name, wanted)
    check(new, wanted)
    found = ratios(design, new)
    for key in {"eye.length", "wall.thickness", "poll.height", "blade.heel"} & set(found):
        assert found[key] == pytest.approx([1.04], rel=4e-3), key
    thick = found["blade.stations"][1::2]
    assert thick == pytest.approx([thick[0]] * len(thick), rel=5e-3)
    if design.bit.thickness is not None:
        assert found["bit.thickness"] == pytest.approx(thick[:1], rel=5e-3)


@pytest.mark.parametrize("name", SHIPPED)
def test_all_three_at_once(name: str) -> None:
    _, design, head = source(name)
    length, width = eye_size(design.eye)
    wide = 1.02 if design.eye.form == "circle" else 1.01
    wanted = Wanted(head.mass * 1.1, head.edge_length * 1.05, (length * 1.02, width * wide))
    check(written(name, wanted), wanted)


def test_a_perimeter_gives_way_to_length_and_width() -> None:
    _, design, _ = source("superellipse")
    assert design.eye.perimeter is not None
    new = resize(design, Wanted(eye=(50.0, 22.0)))
    eye = new.eye
    assert (eye.length, eye.width, eye.perimeter, eye.ratio) == (50.0, 22.0, None, None)
    kept = resize(design, Wanted(mass=finish(design).mass * 1.2))
    assert kept.eye.length is None
    assert kept.eye.ratio == design.eye.ratio


def test_a_round_eye_has_one_length() -> None:
    _, design, _ = source("circle")
    assert resize(design, Wanted(eye=(34.0, 34.0))).eye.length == 34.0
    with pytest.raises(BadInputError, match="one length"):
        resize(design, Wanted(eye=(34.0, 30.0)))


# Other folds, bits and edges ---------------------------------------------------------------------

OTHERWISE: dict[str, tuple[str, ...]] = {
    "round": ("fold.form=round",),
    "closed": ("fold.form=closed", "poll.thickness=3/4 in"),
    "one-sided": ("fold.form=one-sided", "fold.lap=1 in", "bar.section=3/4 x 1 1/4 in"),
    "cheeks": ("fold.form=cheeks", "bar.section=1/4 x 2 1/2 in", "fold.waist=1 1/2 in",
               "wall.thickness=3/16 in", "ears.above=3/4 in", "ears.below=3/4 in",
               "bit.insertion=2 1/2 in", "bit.tip=1/8 in"),
    "cheeks, not drawn": ("fold.form=cheeks", "bar.section=1/4 x 2 1/2 in", "bit.tip=1/8 in",
                          "wall.thickness=1/4 in", "ears.above=3/4 in", "ears.below=3/4 in",
                          "bit.insertion=2 1/2 in"),
    "plate": ("plate.thickness=1/4 in", "plate.stock=1/4 x 1 1/4 in"),
    "overlaid": ("bit.form=overlaid", "bit.thickness=1/8 in"),
    "no bit": ("bit.form=none", "bit.stock=", "bit.thickness=", "bit.insertion="),
    "waisted eye": ("eye.flare=1/16 in", "eye.taper=1/32 in"),
    "one bevel": ("blade.bevel=one",),
    "convex": ("blade.bevel=convex", "blade.grind=1 1/4 in", "blade.edge_angle=35"),
    "toe and heel": ("blade.edge_radius=", "blade.edge_centre=", "blade.toe_back=1/4 in",
                     "blade.heel_back=3/8 in"),
}  # fmt: skip


@pytest.mark.parametrize("way", list(OTHERWISE))
def test_other_heads_are_similar_too(way: str) -> None:
    design = profiles.load("belt-hatchet", (*OTHERWISE[way], "handle.length=")).design
    similar, head = finish(scaled(design, Factors.alike(1.5))), finish(design)
    assert similar.mass == pytest.approx(head.mass * 1.5**3, rel=1e-4)
    assert similar.edge_length == pytest.approx(head.edge_length * 1.5, rel=1e-8)


@pytest.mark.parametrize("way", list(OTHERWISE))
def test_other_heads_are_resized_too(way: str) -> None:
    _, raw, _ = profiles.table("belt-hatchet", OTHERWISE[way])
    design = profiles.load("belt-hatchet", OTHERWISE[way]).design
    head, inch = finish(design), starting.in_inches(raw)
    length, width = eye_size(design.eye)
    for wanted in (
        Wanted(mass=head.mass * 1.3),
        Wanted(mass=head.mass * 0.9),
        Wanted(edge=head.edge_length * 1.1),
        Wanted(edge=head.edge_length * 1.1, eye=(length * 1.1, width * 1.05)),
        Wanted(mass=head.mass * 1.2, eye=(length * 1.03, width * 1.02)),
        Wanted(mass=head.mass * 1.1, edge=head.edge_length * 1.02),
    ):
        table = starting.put(raw, design, resize(design, wanted, inch), inch)
        new = profiles.read(reading.toml(starting.text(table)), "trial").design
        check(new, wanted)
        for key in ("fold.hinge", "bit.scarf"):
            idle = way != "closed" if key == "fold.hinge" else way == "no bit"
            assert not idle or value_at(new, key) == value_at(design, key)
        if way == "cheeks, not drawn":
            assert new.wall.thickness == new.bar.thickness


# Stock -------------------------------------------------------------------------------------------

SOLD_MM = {1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, *range(20, 85, 5)}
"""Thicknesses of flat bar: common practice."""


@pytest.mark.parametrize("times", [0.55, 0.8, 1.4, 1.75, 2.3])
@pytest.mark.parametrize("name", SHIPPED)
def test_bars_are_of_sizes_that_are_sold(name: str, times: float) -> None:
    raw, design, head = source(name)
    new = written(name, Wanted(mass=min(head.mass * times, 4900.0)))
    times = min(times, 4900.0 / head.mass)
    for key in STOCK:
        if value_at(design, key) is None:
            assert value_at(new, key) is None
            continue
        for side, (size, own) in enumerate(
            zip(value_at(new, key), value_at(design, key), strict=True)
        ):
            if size == own:
                continue
            if key in starting.in_inches(raw):
                parts = size / 25.4 * (16 if size <= 12.7 else 8 if size <= 25.4 else 4)
                assert parts == pytest.approx(round(parts), abs=1e-9), key
            else:
                assert size in SOLD_MM if side == 0 else size % 5.0 == 0.0, key
    share = new.bar.thickness / design.bar.thickness / times ** (1.0 / 3.0)
    assert 0.8 < share < 1.25
    if new.bit.thickness is not None:
        assert new.bit.stock is not None
        assert new.bit.stock[0] >= new.bit.thickness - 0.05


# What cannot be ----------------------------------------------------------------------------------


NEVER = [
    Wanted(mass=0.0),
    Wanted(mass=-500.0),
    Wanted(mass=30_000.0),
    Wanted(edge=0.0),
    Wanted(edge=-90.0),
    Wanted(edge=2000.0),
    Wanted(eye=(0.0, 0.0)),
    Wanted(eye=(20.0, 40.0)),
    Wanted(eye=(200.0, 40.0)),
]
"""What no head can be."""
UNLIKE = [
    Wanted(edge=440.0),
    Wanted(mass=60.0, edge=100.0),
    Wanted(mass=4900.0, eye=(30.0, 16.0)),
]
"""What none of these heads can be: that is known only once it has been tried."""


@pytest.mark.parametrize(
    ("name", "wanted"), [*product(SHIPPED, NEVER), *dealt(SHIPPED, UNLIKE, 1, whole=FOLDED)]
)
def test_what_cannot_be_is_told(name: str, wanted: Wanted) -> None:
    """All that is tried for a head of each fold, one of them for every other head."""
    with pytest.raises(BadInputError) as caught:
        resize(source(name)[1], wanted)
    for fault in caught.value.faults:
        assert fault.field in ("--mass", "--edge", "--eye")
        assert fault.given
        assert fault.allowed
        assert fault.change


@pytest.mark.parametrize(
    ("name", "wanted", "field"),
    [
        ("camp-axe", Wanted(mass=907.0, edge=228.6), "--edge"),
        ("camp-axe", Wanted(mass=907.0, eye=(99.0, 79.0), edge=60.0), "--edge"),
        ("camp-axe", Wanted(edge=300.0, eye=(57.0, 19.0)), "--edge"),
        ("camp-axe", Wanted(mass=2000.0, edge=300.0, eye=(57.0, 19.0)), "--edge"),
        ("camp-axe", Wanted(mass=3000.0, eye=(57.0, 19.0), edge=100.0), "--mass"),
        ("carving-axe", Wanted(mass=600.0, eye=(99.0, 70.0)), "--eye"),
    ],
)
def test_the_wish_that_cannot_be_is_named(name: str, wanted: Wanted, field: str) -> None:
    with pytest.raises(BadInputError) as caught:
        resize(source(name)[1], wanted)
    assert [fault.field for fault in caught.value.faults] == [field]
    assert " to " in caught.value.faults[0].allowed


def test_every_impossible_wish_is_told_at_once() -> None:
    with pytest.raises(BadInputError) as caught:
        resize(source("belt-hatchet")[1], Wanted(-1.0, 9000.0, (10.0, 30.0)))
    assert [fault.field for fault in caught.value.faults] == [
        "--mass", "--edge", "--eye", "--eye",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "more", "units"),
    [(name, *way) for name, way in dealt(SHIPPED, list(product(["", "edge", "eye"], UNITS)), 1)],
)
def test_the_range_that_is_told_can_be_had(name: str, more: str, units: str) -> None:
    """Both its ends are asked for, as they are printed; one range of each head."""
    _, design, head = source(name)
    beside = {
        "edge": {"edge": head.edge_length}, "eye": {"eye": eye_size(design.eye)}, "": {},
    }[more]  # fmt: skip
    told = []
    for extreme in (MASS.low, MASS.high):
        try:
            resize(design, Wanted(mass=extreme, **beside), units=units)
        except BadInputError as error:
            told += error.faults
    if not told and not more:
        pytest.skip("this style can have any mass that may be asked for")
    assert told
    for fault in told:
        ends = re.findall(r"([\d.]+ lb [\d.]+ oz|[\d.]+ oz|\d+ g) \(", fault.allowed)
        assert len(ends) == 2
        for end in ends:
            wanted = Wanted(mass=read_mass(end), **beside)
            check(resize(design, wanted, units=units), wanted)


@examples(20)
@given(
    designs(),
    st.one_of(st.none(), st.floats(0.3, 4.0)),
    st.one_of(st.none(), st.floats(0.4, 2.5)),
    st.one_of(st.none(), st.tuples(st.floats(0.5, 2.0), st.floats(0.5, 2.0))),
    st.booleans(),
)
def test_any_wish_is_met_or_refused(
    made: tuple[Any, Any], mass: float | None, edge: float | None,
    eye: tuple[float, float] | None, inches: bool,
) -> None:  # fmt: skip
    _, forge = made
    design, head = forge.design, forge.head
    length, width = eye_size(design.eye)
    if eye is not None and design.eye.form == "circle":
        eye = (eye[0], eye[0])
    wanted = Wanted(
        None if mass is None else head.mass * mass,
        None if edge is None else head.edge_length * edge,
        None if eye is None else (length * eye[0], width * eye[1]),
    )
    try:
        new = resize(design, wanted, frozenset(lengths()) if inches else frozenset())
    except BadInputError as error:
        refused = {fault.field for fault in error.faults}
    else:
        refused = set()
    if refused:
        assert refused <= {"--mass", "--edge", "--eye"}
        return
    check(new, wanted)
    step = 0.0254 if inches else 0.01
    assert math.isclose(new.blade.reach / step, round(new.blade.reach / step), abs_tol=1e-6) or (
        new.blade.reach == design.blade.reach
    )
