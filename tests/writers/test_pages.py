"""Pages: sheets counted by hand, tiles that lap, a footer that never runs together."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from readers import LEGEND, large, plate
from shapely import Polygon, box

from patterns.contour import Bounds, Contour
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.errors import BadInputError
from patterns.pages import MARGIN, OVERLAP, PAPERS, Legend, Page, fitted, lay

LONG = Legend(
    "The very long name that a customer gave to his broad axe " * 3,
    "Bar 1/2 x 1 1/2 in (12.7 x 38.1 mm), cut 9 3/16 in (233 mm); bit of 1095, "
    "3/16 x 1 x 2 3/4 in, set in a cleft 5/8 in deep; two heats to draw the straps, "
    "three to spread the blade",
    "1f2e3d4c-0.1.0+local.changes.of.mine",
    "2031-02-03",
)
ODD = Legend("斧 <b>&\x00\n", "x" * 300, "1")


def sheet(width: float, height: float) -> Drawing:
    return Drawing("s", "Sheet", (Stroke(Contour.rectangle(0, 0, width, height), Purpose.OUTLINE),))


def check_furniture(page: Page) -> None:
    """Words and bars apart from each other, inside the margins, and large enough to read."""
    labels = [
        (label.text, Polygon(label.outline(0.15).points()))
        for label in page.furniture.labels
        if not label.text.startswith("joins")
    ]
    solid = [
        Polygon(s.contour.points())
        for s in page.furniture.strokes
        if s.filled and s.purpose is Purpose.DIMENSION
    ]
    assert len(solid) == 3
    for (a, one), (b, other) in combinations(labels, 2):
        assert not one.intersects(other), (a, b)
    for bar, other in combinations(solid, 2):
        assert bar.distance(other) > 2.0
    for name, outline in labels:
        assert all(bar.distance(outline) >= 1.3 for bar in solid), name
    printed = box(MARGIN - 0.2, MARGIN - 2.0, page.width - MARGIN + 0.2, page.height - MARGIN)
    for name, outline in labels:
        assert printed.covers(outline), name
    assert all(label.height >= 2.2 for label in page.furniture.labels)
    # nothing of the footer in the art's window
    low = page.window.bottom + page.dy
    window = box(page.window.left + page.dx, low, page.width, page.height)
    for name, outline in labels:
        assert not window.intersects(outline), name


CASES = [
    (drawing, legend, paper)
    for drawing in (plate(), large(), sheet(520, 350))
    for legend in (LEGEND, LONG, ODD)
    for paper in PAPERS
]


@pytest.mark.parametrize(("drawing", "legend", "paper"), CASES)
def test_nothing_runs_together(drawing: Drawing, legend: Legend, paper: str) -> None:
    for page in (*lay(drawing, legend, paper), fitted(drawing, legend)):
        check_furniture(page)


def test_the_check_sees_words_that_run_together() -> None:
    page = lay(plate(), LEGEND)[0]
    first, second, *rest = page.furniture.labels
    onto = replace(first, x=second.x, y=second.y, angle=second.angle)
    spoiled = replace(page, furniture=replace(page.furniture, labels=(onto, second, *rest)))
    with pytest.raises(AssertionError):
        check_furniture(spoiled)


def test_what_the_footer_says() -> None:
    (page,) = lay(plate(), replace(LEGEND, date="2031-02-03"))
    words = [label.text for label in page.furniture.labels]
    for wanted in (
        "Print at 100 %, actual size. Measure the bars before use.",
        "4 in",
        "Lop-sided plate",
        "Plate, seen from above",
        "Bar 1/2 x 1 1/2 in, cut 9 3/16 in (233 mm)",
        "1 of 1",
    ):
        assert words.count(wanted) == 1, wanted
    assert words.count("100 mm") == 2
    assert any("revision 1f2e3d4c" in word for word in words)
    assert any("2031-02-03" in word for word in words)
    (page,) = lay(plate(), LEGEND)
    assert not any("20" in label.text for label in page.furniture.labels)


def test_a_long_recipe_is_wrapped_and_not_cut() -> None:
    (page,) = lay(plate(), LONG)
    words = [label.text for label in page.furniture.labels]
    assert LONG.recipe in " ".join(words)
    assert sum("…" in word for word in words) == 1  # the name alone


def test_a_number_keeps_its_fraction_and_unit_on_one_line() -> None:
    for fill in range(60):
        legend = Legend("n", "a" * fill + " cut 9 3/16 in (233 mm), 1 1/2 in", "1")
        for page in lay(sheet(20, 20), legend):
            text = [label.text for label in page.furniture.labels]
            assert any("9 3/16 in" in word for word in text)
            assert any("1 1/2 in" in word for word in text)


# Sheets counted by hand. Letter lying is 279.4 wide; less two margins of 8 and the strip of 8
# that is 255.4, upright 191.9. Two sheets lying reach 2 x 255.4 - 10 = 500.8 less the pen's 1.0.
@pytest.mark.parametrize(
    ("width", "height", "names", "lying"),
    [
        (254.3, 30.0, ["1"], True),
        (254.5, 30.0, ["A1", "A2"], True),
        (499.7, 30.0, ["A1", "A2"], True),
        (499.9, 30.0, ["A1", "A2", "A3"], True),
        (190.8, 200.0, ["1"], False),
        (30.0, 400.0, ["A1", "B1"], False),
    ],
)
def test_sheets_of_letter_paper(width: float, height: float, names: list[str], lying: bool) -> None:
    pages = lay(sheet(width, height), LEGEND)
    assert [page.name for page in pages] == names
    assert all((page.width > page.height) == lying for page in pages)
    short, long = sorted((pages[0].width, pages[0].height))
    assert (short, long) == pytest.approx((215.9, 279.4), abs=1e-9)


def test_tiles_cover_the_art_and_lap_by_ten_millimetres() -> None:
    drawing = sheet(520, 350)
    pages = {page.name: page for page in lay(drawing, LEGEND)}
    assert list(pages) == ["A1", "A2", "A3", "B1", "B2", "B3"]
    assert all(page.of == 6 and page.tiled for page in pages.values())
    for left, right in (("A1", "A2"), ("A2", "A3"), ("B1", "B2"), ("B2", "B3")):
        assert pages[left].window.right - pages[right].window.left == pytest.approx(OVERLAP)
        assert pages[left].window.bottom == pytest.approx(pages[right].window.bottom)
    for upper, lower in (("A1", "B1"), ("A3", "B3")):
        assert pages[lower].window.top - pages[upper].window.bottom == pytest.approx(OVERLAP)
        assert pages[lower].window.left == pytest.approx(pages[upper].window.left)
    shown = [p.window for p in pages.values()]
    whole = box(0, 0, 520, 350).buffer(0.35)
    for window in shown:
        whole = whole.difference(box(window.left, window.bottom, window.right, window.top))
    assert whole.is_empty


def in_drawing(page: Page, purpose: Purpose, area: Bounds) -> set[tuple[float, ...]]:
    """Bounds of the sheet's own lines that lie within an area of the drawing, in its measure."""
    found = set()
    for stroke in page.furniture.strokes:
        b = stroke.contour.moved(-page.dx, -page.dy).bounds
        inside = (
            b.left >= area.left - 1e-6
            and b.right <= area.right + 1e-6
            and b.bottom >= area.bottom - 1e-6
            and b.top <= area.top + 1e-6
        )
        if stroke.purpose is purpose and not stroke.filled and inside:
            found.add(tuple(round(v, 6) + 0.0 for v in (b.left, b.bottom, b.right, b.top)))
    return found


def test_crosses_and_trim_lines_are_the_same_on_both_neighbours() -> None:
    pages = {page.name: page for page in lay(sheet(520, 350), LEGEND)}
    for one, other in (("A1", "A2"), ("B2", "B3"), ("A1", "B1"), ("A3", "B3"), ("A2", "B2")):
        a, b = pages[one].window, pages[other].window
        both = Bounds(
            max(a.left, b.left), max(a.bottom, b.bottom), min(a.right, b.right), min(a.top, b.top)
        )
        assert min(both.width, both.height) == pytest.approx(OVERLAP)
        crosses = in_drawing(pages[one], Purpose.DIMENSION, both)
        assert len(crosses) == 2 * 3  # two corners: two strokes and a circle each
        assert crosses == in_drawing(pages[other], Purpose.DIMENSION, both)
        trims = in_drawing(pages[one], Purpose.HIDDEN, both)
        assert len(trims) == 1
        assert trims == in_drawing(pages[other], Purpose.HIDDEN, both)


def test_neighbours_are_named_and_the_map_shows_the_sheet() -> None:
    pages = {page.name: page for page in lay(sheet(520, 350), LEGEND)}
    joins = {
        name: sorted(
            lb.text.split(" ")[1] for lb in page.furniture.labels if lb.text.startswith("joins ")
        )
        for name, page in pages.items()
    }
    assert joins["A1"] == ["A2:", "B1:"]
    assert joins["B2"] == ["A2:", "B1:", "B3:"]
    centres = {}
    for name, page in pages.items():
        cells = [s for s in page.furniture.strokes if s.purpose is Purpose.THIN]
        (filled,) = [s.contour.bounds for s in cells if s.filled]
        assert len(cells) == 6 + 1
        centres[name] = (filled.left, filled.bottom)
    assert centres["A1"][0] < centres["A2"][0] < centres["A3"][0]
    assert centres["A1"][1] > centres["B1"][1]
    assert centres["A2"][0] == pytest.approx(centres["B2"][0])


def test_the_neighbours_name_keeps_off_the_art() -> None:
    # a line that crosses the middle of the join, where the name would stand otherwise
    page = lay(sheet(300, 120), LEGEND)[0]
    (name,) = [lb for lb in page.furniture.labels if lb.text.startswith("joins A2")]
    spot = name.outline().bounds
    crossing = Contour.line((0, 60), (300, 60))
    drawing = replace(
        sheet(300, 120), strokes=(*sheet(300, 120).strokes, Stroke(crossing, Purpose.THIN))
    )
    page = lay(drawing, LEGEND)[0]
    (moved,) = [lb for lb in page.furniture.labels if lb.text.startswith("joins A2")]
    y = 60 + page.dy
    assert spot.bottom <= y <= spot.top  # where it stood
    assert not moved.outline().bounds.bottom <= y <= moved.outline().bounds.top


@pytest.mark.parametrize("paper", PAPERS)
def test_paper_sizes(paper: str) -> None:
    inches = {"letter": (8.5, 11), "legal": (8.5, 14), "tabloid": (11, 17)}
    millimetres = {"a4": (210, 297), "a3": (297, 420)}
    wanted = millimetres.get(paper) or tuple(25.4 * side for side in inches[paper])
    (page,) = lay(sheet(30, 60), LEGEND, paper)
    assert sorted((page.width, page.height)) == pytest.approx(sorted(wanted), abs=1e-9)


def test_unknown_paper_is_a_fault_that_names_what_there_is() -> None:
    with pytest.raises(BadInputError, match="letter, a4, legal, tabloid, a3") as caught:
        lay(plate(), LEGEND, "foolscap")
    assert caught.value.faults[0].field == "--paper"


def test_nothing_to_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing is drawn"):
        lay(Drawing("none", "None"), LEGEND)


def test_joins_are_laid_where_they_cut_least() -> None:
    """Two plates with a gap of 14 mm off the middle: the join of 10 mm fits between them."""
    left = Stroke(Contour.rectangle(0.0, 0.0, 120.0, 60.0), Purpose.OUTLINE)
    right = Stroke(Contour.rectangle(134.0, 0.0, 300.0, 60.0), Purpose.OUTLINE)
    first, second = lay(Drawing("two", "Two", (left, right)), LEGEND)
    assert first.window.right <= 134.0
    assert second.window.left >= 120.0
    # with nothing to choose, the art stays centred on the two sheets
    whole = Drawing("one", "One", (Stroke(Contour.rectangle(0, 0, 300, 60), Purpose.OUTLINE),))
    a, b = lay(whole, LEGEND)
    # to half a dot of 600 to the inch at the page's side, and one for the tile's own width
    assert a.window.left + b.window.right == pytest.approx(300.0, abs=1.5 * 25.4 / 600)
