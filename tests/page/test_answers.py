"""What the page shows of a head is what the commands say of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from svgelements import Path as SvgPath

from patterns import profiles, reading, report
from patterns import texts as flat
from patterns.blank import plan
from patterns.errors import BadInputError
from patterns.grips import grips
from patterns.page import answers, form, paper
from patterns.parameters import specs

HEADS = list(profiles.shipped())


def texts(name: str) -> dict[str, str]:
    return flat.of_table(reading.toml_file(profiles.find(name)))


@pytest.mark.parametrize("name", HEADS)
def test_texts_are_the_profile(name: str) -> None:
    """Read through texts and read from the file, a head has the same design and given keys."""
    straight = profiles.load(name)
    through = answers.profile_of(texts(name), name, "in")
    assert through.design == straight.design
    assert through.given == straight.given


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", HEADS)
def test_figures_are_those_of_the_summary(name: str, units: str) -> None:
    forge = plan(profiles.load(name).design, units)
    seen = answers.view(texts(name), units)
    said = " ".join(" ".join(report.summary(forge, units)).split())
    both = seen["figures"] + answers.further(texts(name), units)["figures"]
    assert len(both) == len(report.rows(forge, units))
    for figure in both:
        assert " ".join(figure["text"].split()) in said
        assert figure["big"] in figure["text"]
    rows = {figure["name"]: figure for figure in seen["figures"]}
    for name in ("head", "bar", "cut", "inner-face", "dividers", "bit", "balance"):
        assert name in rows
    for name in ("head", "cut", "inner-face", "dividers"):
        assert rows[name]["big"], "what a smith must hit stands out"
    assert len(seen["doubts"]) == len(report.doubts(forge, units))
    assert seen["revision"] == report.revision(forge.design)


@pytest.mark.parametrize("name", HEADS)
def test_the_picture_is_the_head(name: str) -> None:
    """The paths, read by another library, have the outline's size, area and place of the eye."""
    head = plan(profiles.load(name).design).head
    seen = answers.view(texts(name), "in")["picture"]
    (outline,) = [p["d"] for p in seen["side"]["paths"] if p["purpose"] == "outline"]
    path = SvgPath(outline)
    left, top, right, bottom = path.bbox()
    box = head.side.contour.bounds
    assert (left, -bottom, right, -top) == pytest.approx(
        (box.left, box.bottom, box.right, box.top), abs=2e-3
    )
    area = _area(path)
    assert abs(area) == pytest.approx(head.side.contour.area, rel=2e-4)
    for view in seen.values():
        x, y, wide, tall = view["box"]
        for line in view["paths"]:
            a, b, c, d = SvgPath(line["d"]).bbox()
            assert x - 0.01 <= a <= c <= x + wide + 0.01
            assert y - 0.01 <= b <= d <= y + tall + 0.01
    eye = SvgPath(seen["plan"]["paths"][1]["d"]).bbox()
    assert eye[2] - eye[0] == pytest.approx(head.eye.length, abs=2e-3)
    assert eye[3] - eye[1] == pytest.approx(head.eye.width, abs=2e-3)


def _area(path: SvgPath) -> float:
    """By the trapezium rule, y down, each arc in 64 parts."""
    points = [piece.point(i / 64) for piece in path if len(piece) for i in range(64)]
    return sum(
        (a.x * b.y - b.x * a.y) / 2.0
        for a, b in zip(points, points[1:] + points[:1], strict=True)
    )  # fmt: skip


def test_a_fault_leaves_texts_and_says_all_at_once() -> None:
    spoiled = texts("belt-hatchet") | {"eye.length": "3", "wall.thickness": "", "blade.toe": "9 m"}
    seen = answers.view(spoiled, "in")
    assert seen["texts"] == spoiled
    assert {f["field"] for f in seen["faults"]} == {"eye.length", "wall.thickness", "blade.toe"}
    assert "picture" not in seen


def test_faults_do_not_speak_of_the_command_line() -> None:
    spoiled = texts("belt-hatchet") | {
        "eye.perimeter": "4 in", "eye.ratio": "2", "eye.widht": "1 in", "fold.lap": "1 in",
        "blade.toe_back": "1/4 in",
    }  # fmt: skip
    said = json.dumps(answers.view(spoiled, "in")["faults"])
    assert said.count('"field"') == 4
    assert "--" not in said
    assert "eyewrap" not in said


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", HEADS)
def test_told_another_way_it_is_the_same_head(name: str, units: str) -> None:
    """Within what a text to 0.001 in or 0.01 mm can say of an eye and of an edge."""
    begun = texts(name)
    was = plan(answers.profile_of(begun, name, units).design).head
    for either in form.EITHERS:
        for way in either.ways:
            told = answers.swap(begun, units, either.name, way.name)
            others = [key for other in either.ways if other is not way for key in other.keys]
            assert not set(others) & set(told)
            now = plan(answers.profile_of(told, name, units).design).head
            assert now.eye.length == pytest.approx(was.eye.length, abs=0.06)
            assert now.eye.perimeter == pytest.approx(was.eye.perimeter, abs=0.06)
            assert now.side.edge.toe[0] == pytest.approx(was.side.edge.toe[0], abs=0.06)
            assert now.side.edge.radius == pytest.approx(was.side.edge.radius, rel=0.02)


def test_a_way_that_there_is_none_of() -> None:
    with pytest.raises(BadInputError):
        answers.swap(texts("belt-hatchet"), "in", "eye", "guess")


@pytest.mark.parametrize("name", HEADS)
def test_a_grip_lies_where_the_picture_has_it(name: str) -> None:
    """y is turned once on the way out and once on the way in."""
    begun = texts(name)
    head = plan(profiles.load(name).design).head
    seen = answers.view(begun, "in")
    at = {grip["name"]: grip for grip in seen["grips"]}
    assert {(g.name, g.x, -g.y) for g in grips(head)} == {
        (g["name"], g["x"], g["y"]) for g in at.values()
    }
    toe = at["toe"]
    moved = answers.view(begun, "in", ("toe", toe["x"], toe["y"] - 25.4 / 16))
    assert not moved["faults"]
    then = next(g for g in moved["grips"] if g["name"] == "toe")
    assert then["y"] == pytest.approx(toe["y"] - 25.4 / 16, abs=25.4 / 64)  # higher on the screen
    changed = {k for k in moved["texts"] if moved["texts"][k] != begun.get(k)}
    assert changed <= set(toe["keys"])
    assert "blade.toe" in changed


@pytest.mark.parametrize("sheet", paper.NAMES)
def test_a_sheet_is_the_sheet_of_the_set(sheet: str) -> None:
    """Its pages are those that the PDF is made of."""
    from patterns import build, pages

    profile = profiles.load("belt-hatchet")
    seen = paper.sheet(profile, "in", sheet, "a4")
    forge = plan(profile.design)
    foot = build.legend(forge, "in")
    drawn = [pages.lay(d, foot, "a4") for _, d in build.drawings(forge, "in", (sheet,))]
    laid = [page for on in drawn for page in on]
    assert [(p["width"], p["height"]) for p in seen["pages"]] == [(p.width, p.height) for p in laid]
    for page in seen["pages"]:
        assert f'width="{page["width"]:.4f}'.rstrip("0").rstrip(".") in page["svg"]
        assert "mm" in page["svg"][:300]


def test_a_sheet_that_there_is_none_of() -> None:
    with pytest.raises(BadInputError, match="blank"):
        paper.sheet(profiles.load("belt-hatchet"), "in", "../../etc/passwd")


# Nonsense ----------------------------------------------------------------------------------------

LETTERS = st.text(max_size=40)
LENGTHS = st.one_of(
    LETTERS,
    st.sampled_from(
        ["1e999 in", "-1 in", "0 mm", "999999999 mm", "1/0 in", "nan", "inf mm", "٣ mm", "<b>1</b>",
         '[["1 in", "2 in"]]', "1\n2", '"""', "1 in\x00", "[[[[[[", "{}", "1e5", "true", "½ in"]
    ),
    st.floats(0.1, 300).map(lambda v: f"{v:.3f} mm"),
)  # fmt: skip
KEYS = st.one_of(
    st.sampled_from([key for key, _ in specs()]),
    LETTERS,
    st.sampled_from(["eye", "blade.top", "eye.length.deep", ".", "..", "__class__", "eye."]),
)  # fmt: skip


@settings(max_examples=150)
@given(st.sampled_from(HEADS), st.dictionaries(KEYS, LENGTHS, max_size=6),
       st.sampled_from(["in", "mm"]))  # fmt: skip
def test_any_texts_are_shown_or_at_fault(name: str, changes: dict[str, str], units: str) -> None:
    seen = answers.view(texts(name) | changes, units)
    text = json.dumps(seen, allow_nan=False, ensure_ascii=False)
    assert bool(seen["faults"]) != ("picture" in seen)
    assert len(text) < 200_000


@settings(max_examples=100)
@given(st.sampled_from(HEADS), st.floats(-1e9, 1e9), st.floats(-1e9, 1e9), st.data())
def test_a_grip_may_be_dragged_anywhere(name: str, x: float, y: float, data: st.DataObject) -> None:
    grip = data.draw(st.sampled_from(answers.view(texts(name), "in")["grips"]))
    seen = answers.view(texts(name), "in", (grip["name"], x, y))
    assert bool(seen["faults"]) != ("picture" in seen)
    changed = {k for k, v in seen["texts"].items() if texts(name).get(k) != v}
    assert changed <= set(grip["keys"])


def test_a_grip_that_there_is_none_of_moves_nothing() -> None:
    begun = texts("belt-hatchet")
    seen = answers.view(begun, "in", ("no such point", 1.0, 2.0))
    assert seen["texts"] == begun
    (fault,) = seen["faults"]
    assert fault["field"] == "grip"
    assert "toe" in fault["allowed"]


def test_the_folder_of_the_page_is_in_the_package() -> None:
    assert (Path(answers.__file__).parent / "web" / "page.html").is_file()
