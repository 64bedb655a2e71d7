"""What is found in contours: each spoiled set by its own finding alone, widths known by hand."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from shapely import LineString, Point, Polygon, box

from patterns import cut_check
from patterns.contour import Contour, Vertex
from patterns.cut_check import Finding, diameter, faults, figures
from patterns.cut_file import Run
from patterns.iso_9013 import deviation
from patterns.narrow import narrow_places
from patterns.processes import Rules

# Invented, each figure different, so that no rule can stand for another.
RULES = Rules(
    process="trial", thickness=3.0, kerf=1.0, hole=4.0, slot=3.0, inside_radius=0.5, web=5.0,
    edge=6.0, spacing=8.0, margin=10.0, letter=15.0, bridge=5.0, marks=True, tolerance_class=1,
    deviation=None, feed=20.0, pierce=0.5, lead=3.0,
)  # fmt: skip

PLATE = Contour.rectangle(0, 0, 100, 60)


def cut(contour: Contour, role: str = "outside") -> Run:
    return Run(contour, "CUT", role)


def hole(x: float, y: float, across: float) -> Run:
    return cut(Contour.circle(x, y, across / 2.0).reversed(), "inside")


def mark(*points: tuple[float, float]) -> Run:
    return Run(Contour.line(*points), "MARK", "mark")


def polygon(*points: tuple[float, float], role: str = "outside") -> Run:
    return cut(Contour.polygon(points), role)


def names(runs: list[Run], rules: Rules | None = None, kerf: float = 0.0) -> list[str]:
    return [finding.name for finding in faults(runs, rules, kerf)]


def the(runs: list[Run], rules: Rules | None = None) -> Finding:
    (found,) = faults(runs, rules)
    return found


def notched(*points: tuple[float, float]) -> Run:
    """The plate with a notch in its upper edge, from right to left."""
    return polygon((0, 0), (100, 0), (100, 60), *points, (0, 60))


GOOD = [cut(PLATE), hole(20, 30, 10), hole(60, 30, 4), mark((30, 10), (70, 10))]

SPOILED: dict[str, tuple[str, list[Run]]] = {
    "an open outline": ("open", [cut(replace(PLATE, closed=False)), hole(20, 30, 10)]),
    "a bow tie": ("crosses itself", [polygon((0, 0), (60, 40), (60, 0), (0, 40))]),
    "a loop in an edge": ("crosses itself", [polygon((0, 0), (90, 0), (90, 60), (40, 60), (50, 50),
                                                     (50, 70), (30, 60), (0, 60))]),
    "a hole across the edge": ("cross", [cut(PLATE), hole(100, 30, 10)]),
    "a hole that touches the edge": ("cross", [cut(PLATE), hole(95, 30, 10)]),
    "two holes across each other": ("cross", [cut(PLATE), hole(40, 30, 10), hole(47, 30, 10)]),
    "the outline twice": ("twice", [cut(PLATE), cut(PLATE)]),
    "a hole twice, the other way": ("twice", [cut(PLATE), hole(40, 30, 10),
                                              cut(Contour.circle(40, 30, 5), "inside")]),
    "a hole twice, begun elsewhere": ("twice", [
        cut(PLATE), hole(40, 30, 10),
        cut(Contour.circle(0, 0, 5).turned(0.7).moved(40, 30), "inside")]),
    "parts that share an edge": ("double line", [cut(PLATE), cut(PLATE.moved(100, 20))]),
    "a line on an edge": ("double line", [cut(PLATE), cut(Contour.line((20, 0), (60, 0)))]),
    "a line without length": ("no length", [cut(PLATE), cut(Contour.line((20, 20), (20, 20)))]),
    "a mark without length": ("no length", [cut(PLATE), mark((20, 20), (20, 20))]),
    "a corner twice": ("repeated corner",
                       [polygon((0, 0), (100, 0), (100, 0), (100, 60), (0, 60))]),
    "the first corner again": ("repeated corner",
                               [polygon((0, 0), (100, 0), (100, 60), (0, 60), (0, 0))]),
    "a tiny piece": ("tiny piece", [polygon((0, 0), (100, 0), (100.0, 0.05), (100, 60), (0, 60))]),
    "a spike outwards": ("doubled back",
                         [polygon((0, 0), (100, 0), (100, 30), (120, 30), (100, 30), (100, 60),
                                  (0, 60))]),
    "a spike along an edge": ("doubled back",
                              [polygon((0, 0), (120, 0), (100, 0), (100, 60), (0, 60))]),
    "a spike at the beginning": ("doubled back",
                                 [polygon((-20, 0), (100, 0), (100, 60), (0, 60), (0, 0))]),
    "there and back": ("no area", [cut(PLATE), cut(Contour((Vertex(20, 20, 0.3),
                                                           Vertex(60, 20, -0.3))), "inside")]),
    "a hole in nothing": ("hole outside", [cut(PLATE), hole(150, 30, 10)]),
    "an opening among the outlines": ("wrong layer",
                                      [cut(PLATE), cut(Contour.circle(40, 30, 10))]),
    "a part among the openings": ("wrong layer", [
        cut(PLATE), hole(40, 30, 40), cut(Contour.circle(40, 30, 10), "inside")]),
    "a mark off the part": ("mark off the part", [cut(PLATE), mark((50, 30), (50, 61))]),
    "a mark across a hole": ("mark off the part", [*GOOD[:2], mark((10, 30), (30, 30))]),
    "a mark from part to part": ("mark off the part", [cut(PLATE), cut(PLATE.moved(0, 80)),
                                                       mark((50, 50), (50, 90))]),
    "a mark twice": ("mark twice", [cut(PLATE), mark((1, 1), (9, 9)), mark((9, 9), (1, 1))]),
    "a layer of no known use": ("unknown layer", [cut(PLATE), Run(PLATE, "0", "")]),
}  # fmt: skip


@pytest.mark.parametrize("what", SPOILED)
def test_what_is_spoiled_is_found_and_nothing_else(what: str) -> None:
    name, runs = SPOILED[what]
    assert set(names(runs)) == {name}


@pytest.mark.parametrize("what", SPOILED)
def test_it_is_found_wherever_the_part_lies(what: str) -> None:
    name, runs = SPOILED[what]
    turned = [replace(run, contour=run.contour.turned(0.3).moved(-250, 40)) for run in runs]
    assert set(names(turned)) == {name}


def test_a_good_plate_passes_with_and_without_rules() -> None:
    assert names(GOOD) == []
    assert names(GOOD, RULES) == []


def test_a_part_may_lie_in_an_opening_of_another() -> None:
    assert names([cut(PLATE), hole(40, 30, 40), cut(Contour.circle(40, 30, 10))]) == []


def test_every_fault_is_told_at_once() -> None:
    runs = [cut(replace(PLATE, closed=False)), cut(PLATE.moved(200, 0)), cut(PLATE.moved(200, 0)),
            mark((250, 30), (400, 30))]  # fmt: skip
    assert set(names(runs)) == {"open", "twice", "mark off the part"}


def test_the_gap_of_an_open_contour_is_told() -> None:
    found = the([cut(Contour.line((0, 0), (50, 0), (50, 30), (0.0, 0.4)))])
    assert found.figures == {"gap": pytest.approx(0.4)}
    assert found.places == ((0.0, 0.0),)


def test_a_crossing_is_placed() -> None:
    # the diagonals of a rectangle meet in its middle
    assert the([polygon((0, 0), (60, 40), (60, 0), (0, 40))]).places == ((30.0, 20.0),)


# The rules of the process ------------------------------------------------------------------------

BY_RULES: dict[str, tuple[str, list[Run], float, float]] = {
    "a small hole": ("hole too small", [cut(PLATE), hole(40, 30, 3.5)], 3.5, 4.0),
    "a hole smaller than the kerf": ("kerf wider", [cut(PLATE), hole(40, 30, 0.8)], 0.8, 1.0),
    "a slot": ("slot too narrow", [cut(PLATE), polygon((20, 30), (20, 32), (60, 32), (60, 30),
                                                       role="inside")], 2.0, 3.0),
    "a slot as wide as nothing": ("kerf wider", [cut(PLATE), polygon(
        (20, 30), (20, 30.6), (60, 30.6), (60, 30), role="inside")], 0.6, 1.0),
    "a slot from the edge": ("slot too narrow",
                             [notched((52, 60), (52, 30), (50, 30), (50, 60))], 2.0, 3.0),
    "a notch with a narrow mouth": ("slot too narrow",
                                    [notched((51, 60), (50, 57), (49, 60))], 2.0, 3.0),
    "a web": ("thin web", [cut(PLATE), hole(40, 30, 10), hole(54.5, 30, 10)], 4.5, 5.0),
    "an edge": ("thin edge", [cut(PLATE), hole(89.5, 30, 10)], 5.5, 6.0),
    "a tongue": ("thin metal", [polygon((0, 0), (100, 0), (100, 60), (52, 60), (52, 100),
                                        (48, 100), (48, 60), (0, 60))], 4.0, 5.0),
    "a neck": ("thin metal", [polygon((0, 0), (50, 28), (100, 0), (100, 60), (50, 32), (0, 60))],
               4.0, 5.0),
    "a thin strip": ("thin metal", [cut(Contour.rectangle(0, 0, 100, 4))], 4.0, 5.0),
    "two parts": ("parts too near", [cut(PLATE), cut(PLATE.moved(107, 0))], 7.0, 8.0),
    "a part in an opening": ("parts too near", [cut(Contour.rectangle(-60, -60, 60, 60)),
                                                hole(0, 0, 60), cut(Contour.circle(0, 0, 23))],
                             7.0, 8.0),
}  # fmt: skip


@pytest.mark.parametrize("what", BY_RULES)
def test_what_breaks_a_rule_is_found_with_its_width(what: str) -> None:
    name, runs, width, least = BY_RULES[what]
    assert names(runs) == []
    found = [each for each in faults(runs, RULES) if each.name != "inside corner"]
    assert [each.name for each in found] == [name]
    # contours are flattened to 0.005 mm each; an inscribed circle is sought to 0.002
    assert found[0].figures == pytest.approx({"width": width, "least": least}, abs=0.035)


@pytest.mark.parametrize("what", BY_RULES)
def test_just_within_the_rule_nothing_is_found(what: str) -> None:
    """The same shapes, the rules asking 1 % less than they have."""
    name, runs, width, least = BY_RULES[what]
    share = 0.99 * width / least
    kind = {
        "hole too small": "hole",
        "thin web": "web",
        "thin edge": "edge",
        "thin metal": "web",
        "parts too near": "spacing",
        "slot too narrow": "slot",
        "kerf wider": "kerf",
    }[name]
    rules = replace(RULES, **{kind: share * getattr(RULES, kind)})
    if name == "kerf wider":
        rules = replace(rules, slot=rules.kerf, hole=rules.kerf)
    assert [each for each in names(runs, rules) if each != "inside corner"] == []


def test_marks_where_the_process_has_none() -> None:
    assert names(GOOD, replace(RULES, marks=False)) == ["cannot mark"]


def test_a_small_part_is_a_doubt() -> None:
    found = the([cut(Contour.circle(0, 0, 7))], replace(RULES, smallest_part=20.0))
    assert (found.name, found.severity) == ("part too small", "doubt")


def test_contours_that_allow_for_the_kerf_are_taken_as_the_tool_runs() -> None:
    # a hole of 4 mm comes from a circle of 3 with a kerf of 1; an outline stands off by 0.5
    runs = [cut(PLATE), hole(40, 30, 3.0)]
    assert names(runs, RULES) == ["hole too small"]
    assert names(runs, RULES, kerf=1.0) == []


def test_an_inside_corner_is_short_by_what_the_radius_leaves() -> None:
    # a square corner: the circle's centre is r sqrt(2) from it, so that r (sqrt(2) - 1) is left
    rules = replace(RULES, inside_radius=2.0)
    ell = polygon((0, 0), (100, 0), (100, 30), (40, 30), (40, 80), (0, 80))
    found = the([ell], rules)
    assert (found.name, found.severity, found.places) == ("inside corner", "doubt", ((40.0, 30.0),))
    assert found.figures == pytest.approx({"short": 2.0 * (math.sqrt(2.0) - 1.0), "radius": 2.0})


# Narrow places -----------------------------------------------------------------------------------

WIDE = box(0, 0, 60, 40)


def with_notch(*points: tuple[float, float]) -> Polygon:
    return Polygon([(0, 0), (60, 0), (60, 40), *points, (0, 40)])


TIPS = {
    "an even notch": (with_notch((33, 40), (30, 34), (27, 40)), False),
    "a plumb notch, its mouth as wide as asked": (with_notch((35, 40), (30, 34), (30, 40)), False),
    "a slot as wide as asked": (with_notch((32.5, 40), (32.5, 20), (27.5, 20), (27.5, 40)), False),
    "a nick": (with_notch((32, 40), (30, 39), (28, 40)), False),
    "a pointed tongue": (Polygon([(0, 0), (60, 0), (60, 20), (36, 20), (30, 50), (24, 20),
                                  (0, 20)]), True),
    "a star": (Polygon([(0, 0), (10, 3), (20, 0), (17, 10), (20, 20), (10, 17), (0, 20),
                        (3, 10)]), True),
    "a lens": (Point(0, 0).buffer(20, 64) & Point(26, 0).buffer(20, 64), True),
    "a flank that bends": (Polygon([(0, 0), (30, 10), (60, 0), (60, 40), (0, 40), (0, 30), (20, 36),
                                    (0, 36)]).convex_hull, True),
}  # fmt: skip


@pytest.mark.parametrize("what", TIPS)
def test_tips_are_not_narrow(what: str) -> None:
    shape, within = TIPS[what]
    assert narrow_places(shape, 5.0, within) == []


def _fillet_mouth() -> Polygon:
    flare = box(26, 38, 34, 41) - Point(26, 38).buffer(2, 32) - Point(34, 38).buffer(2, 32)
    return WIDE - (box(28, 15, 32, 41) | flare)


NARROW = {
    "stepped": (with_notch((36, 40), (36, 30), (32, 30), (32, 20), (28, 20), (28, 30), (24, 30),
                           (24, 40)), False, 4.0),
    "rounded mouth": (_fillet_mouth(), False, 4.0),
    "keyhole": (WIDE - box(28.5, 30, 31.5, 41) - Point(30, 28).buffer(5, 32), False, 3.0),
    "long neck": (Polygon([(0, 0), (60, 0), (60, 18), (32, 18), (32, 22), (60, 22), (60, 40),
                           (0, 40), (0, 22), (28, 22), (28, 18), (0, 18)]), True, 4.0),
    "round neck": (WIDE - Point(30, -8).buffer(26, 64) - Point(30, 48).buffer(26, 64), True, 4.0),
    "rounded slot": (LineString([(0, 0), (20, 0)]).buffer(2, 32), True, 4.0),
    "aslant": (with_notch((32, 40), (42, 20), (38, 20), (28, 40)), False, 4 / math.hypot(1, 0.5)),
}  # fmt: skip


@pytest.mark.parametrize("what", NARROW)
def test_narrow_places_and_their_width(what: str) -> None:
    shape, within, width = NARROW[what]
    found = narrow_places(shape, 5.0, within)
    assert len(found) == 1
    assert found[0].width == pytest.approx(width, abs=0.05)


def test_a_relief_at_the_point_of_a_notch_is_a_throat() -> None:
    notch = Polygon([(26, 41), (34, 41), (30, 20)])
    (found,) = narrow_places(WIDE - notch - Point(30, 18).buffer(4, 32), 5.0, False)
    # the circle, of 4 about (30, 18), meets the flanks, which stand 4/21 off the middle per mm
    assert found.throat
    assert found.width == pytest.approx(2 * 4 / 21 * (21.99 - 20), abs=0.03)


@pytest.mark.parametrize("seed", range(30))
def test_strips_round_corners_have_the_width_they_were_drawn_with(seed: int) -> None:
    """A line drawn with a known width is narrow under more than that, and not under less."""
    rng = random.Random(seed)
    places = [(0.0, 0.0)]
    for _ in range(4):
        places.append((places[-1][0] + rng.uniform(15, 30), rng.uniform(-30, 30)))
    width = rng.uniform(2.0, 6.0)
    strip = LineString(places).buffer(width / 2, quad_segs=32, join_style="mitre", mitre_limit=20)
    assert narrow_places(strip, width - 0.05) == []
    found = narrow_places(strip, width + 0.1)
    assert found
    # what the circle does not go into at all is as wide as at its widest, in an elbow
    assert width - 0.03 < min(place.width for place in found) < width + 0.1


def test_scaled_twice_a_width_is_twice() -> None:
    from shapely import affinity

    for shape, within, width in NARROW.values():
        (found,) = narrow_places(affinity.scale(shape, 2, 2), 10.0, within)
        assert found.width == pytest.approx(2 * width, abs=0.1)


# Figures -----------------------------------------------------------------------------------------


def test_figures_by_hand() -> None:
    lead = Contour.line((-5, 0), (0, 0))
    found = figures([replace(cut(PLATE), lead=lead), hole(20, 30, 10), mark((0, 1), (0, 21))],
                    RULES)  # fmt: skip
    area = 6000.0 - 25.0 * math.pi
    length = 320.0 + 5.0 + 10.0 * math.pi
    assert found.area == pytest.approx(area)
    assert found.cut_length == pytest.approx(length)
    assert (found.mark_length, found.pierces, found.parts) == (20.0, 2, 1)
    assert found.mass == pytest.approx(area * 3.0 * 7.85e-3)  # EN 1993-1-2: 7850 kg/m3
    assert found.time == pytest.approx(length / 20.0 + 2 * 0.5)
    assert {each.what: (each.nominal, each.deviation) for each in found.lengths} == {
        "part, along x": (100.0, deviation(100.0, 3.0, 1)),
        "part, along y": (60.0, deviation(60.0, 3.0, 1)),
        "hole, diameter": (10.0, deviation(10.0, 3.0, 1)),
    }


def test_a_copy_adds_no_metal_but_is_cut() -> None:
    once, twice = figures([cut(PLATE)]), figures([cut(PLATE), cut(PLATE)])
    assert twice.area == once.area
    assert twice.cut_length == 2 * once.cut_length


def test_outside_iso_9013_the_process_has_a_deviation_of_its_own() -> None:
    rules = replace(RULES, tolerance_class=None, deviation=0.25)
    assert {each.deviation for each in figures([cut(PLATE)], rules).lengths} == {0.25}


def test_a_circle_in_three_arcs_is_a_hole() -> None:
    third = math.tan(math.radians(120) / 4)
    angles = (0.0, math.tau / 3, 2 * math.tau / 3)
    arcs = tuple(Vertex(5 * math.cos(angle), 5 * math.sin(angle), third) for angle in angles)
    assert diameter(Contour(arcs)) == pytest.approx(10.0)


def test_words_have_every_figure_of_every_kind() -> None:
    """A finding's figures are those that its words ask for."""
    rules = replace(RULES, marks=False, inside_radius=2.0, smallest_part=500.0)
    every = [runs for _, runs in SPOILED.values()] + [runs for _, runs, *_ in BY_RULES.values()]
    for runs in every:
        for found in faults(runs, rules):
            for units in ("in", "mm"):
                assert "{" not in found.words(units)
            assert found.severity in ("fault", "doubt")
            assert found.change
    assert {kind.severity for kind in cut_check.KINDS.values()} == {"fault", "doubt"}
