"""Papers and rolls; the way that needs fewer sheets; trim and glue; tiles composed at 600 dpi."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from readers import LEGEND, PIXEL, check_bars, render
from shapely import Polygon, box, unary_union

from patterns import pages
from patterns.contour import Bounds, Contour, Vertex
from patterns.drawing import Drawing, Label, Purpose, Stroke
from patterns.errors import BadInputError
from patterns.pages import Page, Paper, lay, read_paper
from patterns.writers import pdf

INCH = 25.4


def sheet(width: float, height: float) -> Drawing:
    return Drawing("s", "Sheet", (Stroke(Contour.rectangle(0, 0, width, height), Purpose.OUTLINE),))


# Reading ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "width", "height"),
    [
        ("Letter", 8.5 * INCH, 11 * INCH),
        (" A4 ", 210, 297),
        ("TABLOID", 11 * INCH, 17 * INCH),
        ("36in", 36 * INCH, None),
        ("36 in", 36 * INCH, None),
        ('36"', 36 * INCH, None),
        ("914mm", 914, None),
        ("91.4 cm", 914, None),
        ("18x24in", 18 * INCH, 24 * INCH),
        ("600 x 900 mm", 600, 900),
        ("24 in x 36 in", 24 * INCH, 36 * INCH),
        ("24in x 36", 24 * INCH, 36 * INCH),
        ("36x24in", 24 * INCH, 36 * INCH),
        ("8 1/2 x 14 in", 8.5 * INCH, 14 * INCH),
        ("600 mm × 36 in", 600, 36 * INCH),
    ],
)
def test_papers(text: str, width: float, height: float | None) -> None:
    paper = read_paper(text)
    assert paper.width == pytest.approx(width, abs=1e-9)
    assert paper.height == (None if height is None else pytest.approx(height, abs=1e-9))
    assert (paper.margin, paper.overlap) == (8.0, 10.0)


def test_margin_and_overlap() -> None:
    paper = read_paper("a3", "1/2 in", "25 mm")
    assert (paper.margin, paper.overlap) == (12.7, 25.0)


@pytest.mark.parametrize(
    ("given", "fields", "words"),
    [
        (("foolscap", None, None), ["--paper"], "letter, a4, legal, tabloid, a3"),
        (("18x24", None, None), ["--paper"], "18 x 24 in"),
        (("x", None, None), ["--paper"], "36 in"),
        (("", None, None), ["--paper"], "36 in"),
        (("-36in", None, None), ["--paper"], "or more"),
        (("0 in", None, None), ["--paper"], "or more"),
        (("4x6in", None, None), ["--paper"], "take a larger paper"),
        (("5 in", None, None), ["--paper"], "take a larger paper"),
        (("600in", None, None), ["--paper"], "200 in"),
        (("18 x 400 in", None, None), ["--paper"], "is the unit right?"),
        (("1/0 in", None, None), ["--paper"], "36 in"),
        (("letter", "5 in", None), ["--margin"], "make it less"),
        (("letter", "40 in", None), ["--margin"], "make it less"),
        (("letter", "-8 mm", None), ["--margin"], "make it more"),
        (("letter", "0 mm", None), ["--margin"], "make it more"),
        (("letter", "wide", None), ["--margin"], "unit"),
        (("letter", None, "8 in"), ["--overlap"], "room between joins"),
        (("letter", None, "-1 in"), ["--overlap"], "make it more"),
        (("letter", None, "10"), ["--overlap"], "unit"),
        (("b5", "x", "y"), ["--paper", "--margin", "--overlap"], "choose one"),
        (("letter", "5 in", "-1 mm"), ["--overlap", "--margin"], "make it less"),
    ],
)
def test_every_fault_at_once(
    given: tuple[str, str | None, str | None], fields: list[str], words: str
) -> None:
    with pytest.raises(BadInputError, match=words) as caught:
        read_paper(*given)
    assert [fault.field for fault in caught.value.faults] == fields
    assert all(fault.change and fault.given for fault in caught.value.faults)


@pytest.mark.parametrize(
    "bad", [("letter", "5 in", None), ("4x6in", None, None), ("letter", None, "8 in")]
)
def test_messages_are_in_the_units_chosen(bad: tuple[str, str | None, str | None]) -> None:
    for unit, other in (("in", "mm"), ("mm", "in")):
        with pytest.raises(BadInputError) as caught:
            read_paper(*bad, unit)
        allowed = caught.value.faults[0].allowed
        assert 0 < allowed.index(f" {unit}") < allowed.index(f" {other}")


LENGTHS = st.floats(1.0, 6000.0)


@given(LENGTHS, LENGTHS | st.none(), st.floats(0.0, 400.0), st.floats(0.0, 400.0))
@settings(max_examples=300, deadline=None)
def test_what_is_read_can_be_laid_on(
    width: float, height: float | None, margin: float, overlap: float
) -> None:
    """Any paper that is not refused takes a small and a long drawing, with its bars on the page."""
    text = f"{width:.2f} mm" if height is None else f"{width:.2f} x {height:.2f} mm"
    try:
        paper = read_paper(text, f"{margin:.2f} mm", f"{overlap:.2f} mm")
    except BadInputError:  # what it says is tested above
        return
    for drawing in (sheet(40, 40), sheet(900, 400)):
        for page in lay(drawing, LEGEND, paper):
            whole = box(0, 0, page.width, page.height).buffer(1e-6)
            printed = box(
                paper.margin, paper.margin, page.width - paper.margin, page.height - paper.margin
            ).buffer(0.01)
            solid = [
                s for s in page.furniture.strokes if s.filled and s.purpose is Purpose.DIMENSION
            ]
            assert len(solid) == 3
            for stroke in solid:
                b = stroke.contour.bounds
                assert printed.covers(box(b.left, b.bottom, b.right, b.top))
            for label in page.furniture.labels:
                b = label.outline().bounds
                assert whole.covers(box(b.left, b.bottom, b.right, b.top)), label.text
            if paper.height is not None:
                assert sorted((page.width, page.height)) == pytest.approx(
                    sorted((paper.width, paper.height))
                )  # fmt: skip


# The way that needs fewer sheets ----------------------------------------------------------------


def needed(drawing: Drawing, paper: Paper, lying: bool) -> int:
    """Sheets that one way round takes, counted by laying one tile beside the other."""
    assert paper.height is not None
    wide, high = (paper.height, paper.width) if lying else (paper.width, paper.height)
    counts = []
    for tiled in (False, True):
        footer = pages._footer(wide - 2 * paper.margin, drawing.title, LEGEND, tiled)
        room_x = wide - 2 * paper.margin - 8.0  # the strip of the upright bar
        room_y = high - 2 * paper.margin - footer.height - 4.0  # the white over the footer
        if room_y < 100.0 or wide - 2 * paper.margin < pages.LEAST_ROOM[0]:
            return 10**9
        box_x, box_y = drawing.bounds.width + 1.0, drawing.bounds.height + 1.0  # the pen
        for room, size in ((room_x, box_x), (room_y, box_y)):
            # so near to a whole number of tiles that a dot of 600 to the inch decides
            for count in range(1, 40):
                assume(abs(count * room - (count - 1) * paper.overlap - size) > 0.1 * count)
        if not tiled:
            if box_x <= room_x and box_y <= room_y:
                return 1
            continue
        counts = [1, 1]
        for i, (room, size) in enumerate(((room_x, box_x), (room_y, box_y))):
            reach = room
            while reach < size:
                reach += room - paper.overlap
                counts[i] += 1
    return counts[0] * counts[1]


@given(
    st.sampled_from(["letter", "a4", "legal", "tabloid", "a3", "18x24in", "250 x 210 mm"]),
    st.floats(5.0, 1500.0),
    st.floats(5.0, 1500.0),
    st.floats(3.0, 14.0),
    st.floats(8.0, 40.0),
)
@example("letter", 254.3, 30.0, 8.0, 10.0)
@example("letter", 30.0, 215.0, 8.0, 10.0)
@settings(max_examples=400, deadline=None)
def test_the_fewest_sheets_of_both_ways(
    name: str, width: float, height: float, margin: float, overlap: float
) -> None:
    paper = replace(read_paper(name), margin=margin, overlap=overlap)
    drawing = sheet(width, height)
    wanted = min(needed(drawing, paper, lying) for lying in (False, True))
    assume(wanted < 400)
    found = lay(drawing, LEGEND, paper)
    assert len(found) == wanted
    assert found[0].tiled == (wanted > 1)
    whole = box(0, 0, width, height).buffer(0.35)
    shown = unary_union([box(p.window.left, p.window.bottom, p.window.right, p.window.top)
                         for p in found]).buffer(1e-6)  # fmt: skip
    assert shown.covers(whole)


@given(st.floats(5.0, 2500.0), st.floats(5.0, 2500.0), st.sampled_from(["24in", "36in", "914 mm"]))
@settings(max_examples=200, deadline=None)
def test_a_roll_is_cut_where_the_drawing_ends(width: float, height: float, name: str) -> None:
    paper = read_paper(name)
    drawing = sheet(width, height)
    found = lay(drawing, LEGEND, paper)
    roll = paper.width
    first = found[0]
    assert math.isclose(first.height if first.lying else first.width, roll)
    # by hand: 8 of margin twice, 8 for the strip, 1 for the pen; the footer is 12 to 50 high
    fits_upright = width <= roll - 25.0 - 0.1
    fits_lying = height <= roll - 21.0 - 50.0
    if fits_upright or fits_lying:
        assert len(found) == 1
        long = first.width if first.lying else first.height
        size = width if first.lying else height
        # no more than drawing and furniture, or the bars, need
        assert long <= max(size + 21.0 + 50.0, 201.0) + 0.1
        if fits_upright and fits_lying:
            assert long <= min(max(width + 25.1, 201.1), max(height + 71.0, 201.1)) + 0.1
    if width > roll - 25.0 and height > roll - 21.0 - 12.0:
        assert len(found) > 1
        # across only: one strip beside the other
        assert (
            len({p.window.bottom for p in found}) == 1 or len({p.window.left for p in found}) == 1
        )


def test_a_shelf_on_a_roll_is_cut_below_it() -> None:
    paper = read_paper("36in")
    wide, high = pages.room("T", LEGEND, paper, False)
    assert wide == pytest.approx(914.4 - 25.0)
    assert high > 4000.0
    page = pages.sheet(sheet(500, 300), LEGEND, paper, False, 1, 1)
    assert page.width == pytest.approx(914.4)
    assert 300.0 < page.height < 300.0 + 80.0


# Joins -----------------------------------------------------------------------------------------


def words_of(page: Page) -> dict[str, tuple[str, Label]]:
    """By neighbour: what is to be done with the strip, and the label."""
    found = {}
    for label in page.furniture.labels:
        if label.text.startswith("joins "):
            name, does = label.text.removeprefix("joins ").split(": ")
            assert name not in found
            found[name] = (does.split()[0].rstrip(","), label)
    return found


@pytest.mark.parametrize("overlap", ["8 mm", "10 mm", "3/4 in"])
@pytest.mark.parametrize("paper", ["letter", "a4", "tabloid"])
def test_each_join_is_trimmed_on_one_sheet_and_glued_on_the_other(paper: str, overlap: str) -> None:
    on = read_paper(paper, None, overlap)
    found = {page.name: page for page in lay(sheet(900, 700), LEGEND, on)}
    pairs = 0
    for name, page in found.items():
        for other, (does, label) in words_of(page).items():
            theirs, other_label = words_of(found[other])[name]
            assert {does, theirs} == {"trim", "glue"}
            pairs += 1
            # the trimmed sheet lies on top: what is left of it covers the words of the glued strip,
            # and its own words are cut off
            top = page if does == "trim" else found[other]
            kept = kept_of(top, found, on.overlap)
            for one, said in ((page, label), (found[other], other_label)):
                b = said.outline().moved(-one.dx, -one.dy).bounds
                words = box(b.left, b.bottom, b.right, b.top)
                window = one.window
                assert box(window.left, window.bottom, window.right, window.top).covers(words)
                assert kept.covers(words) == (one is not top)
                assert kept.intersects(words) == (one is not top)
    columns = max(int(name[1:]) for name in found)
    rows = len(found) // columns
    assert pairs == 2 * (rows * (columns - 1) + columns * (rows - 1))


def kept_of(page: Page, found: dict[str, Page], overlap: float) -> Polygon:
    """What is left of a sheet's window, in the drawing, once its left and top are trimmed."""
    w, half = page.window, overlap / 2.0
    left = half if f"{page.name[0]}{int(page.name[1:]) - 1}" in found else 0.0
    top = half if f"{chr(ord(page.name[0]) - 1)}{page.name[1:]}" in found else 0.0
    return box(w.left + left, w.bottom, w.right, w.top - top)


def test_the_words_of_a_join_keep_off_crosses_and_art() -> None:
    lines = tuple(
        Stroke(Contour.line((0.0, y), (900.0, y + 11.0)), Purpose.THIN) for y in range(10, 700, 23)
    )
    drawing = replace(sheet(900, 700), strokes=(*sheet(900, 700).strokes, *lines))
    for page in lay(drawing, LEGEND):
        art = unary_union([box(*edge) for edge in boxes_of(page)])
        for _, label in words_of(page).values():
            b = label.outline(0.5).bounds
            assert not art.intersects(box(b.left, b.bottom, b.right, b.top)), label.text


def boxes_of(page: Page) -> list[tuple[float, float, float, float]]:
    crosses = [s.contour.bounds for s in page.furniture.strokes if s.purpose is Purpose.DIMENSION
               and not s.filled and s.contour.bounds.width < 9.0]  # fmt: skip
    return [(b.left, b.bottom, b.right, b.top) for b in crosses]


def test_a_join_moves_off_a_heading() -> None:
    """The outline spans all, so it is cut wherever the join lies; only the heading tells."""
    for left in np.arange(60.0, 260.0, 9.7):
        heading = Label("HEAD 5 lb 0.4 oz", float(left), 70.0, 6.5, bold=True)
        drawing = replace(sheet(400, 80), labels=(heading,))
        first, second = lay(drawing, LEGEND)
        line = (second.window.left + first.window.right) / 2.0
        words = heading.outline().bounds
        assert not words.left - 0.5 < line < words.right + 0.5, left


def test_a_figure_is_worth_more_than_an_outline() -> None:
    # the join must cut one of the two; it cuts the lines and not the figure
    lines = tuple(
        Stroke(Contour.line((x, 0), (x + 130.0, 40)), Purpose.OUTLINE) for x in (0.0, 220.0)
    )
    figure = Label("12 31/32 in (329.4 mm) over all", 130.0, 20.0, 3.6)
    drawing = Drawing("d", "D", lines, (figure,))
    first, second = lay(drawing, LEGEND)
    line = (second.window.left + first.window.right) / 2.0
    words = figure.outline().bounds
    assert not words.left < line < words.right


# Composed at 600 dpi ---------------------------------------------------------------------------

ALIKE = 3
"""Most that a pixel's grey may differ by, of 255. Tiles are moved by whole dots of 600 to the inch,
so both pictures are drawn from the same dots; what is left is the renderer's single precision where
a line's edge takes part of a pixel. Seen: 2."""


def handle(rows: int = 1) -> Drawing:
    """An outline of 19 in with arcs and slanting lines, letters and circles below and above it."""
    long = 19.0 * INCH
    outline = Contour(
        (
            Vertex(0, 0),
            Vertex(60, -4, 0.1),
            Vertex(200, 6, -0.08),
            Vertex(390, -3.3, 0.05),
            Vertex(long, -12, 0.6),
            Vertex(long - 3, 31.7),
            Vertex(300, 27.1, 0.06),
            Vertex(140, 34, -0.04),
            Vertex(0, 29.3),
        )
    )
    strokes = [
        Stroke(outline, Purpose.OUTLINE),
        Stroke(Contour.line((3, 3), (long - 7, 22.2)), Purpose.THIN),
        Stroke(Contour.line((-5, 14), (long + 5, 14)), Purpose.CENTRE),
        Stroke(Contour.line((5, 40), (long, 55.5)), Purpose.HIDDEN),
        *(Stroke(Contour.circle(40 * i + 7.3, 60, 11 + 0.7 * i), Purpose.MARK) for i in range(12)),
    ]
    labels = [Label(f"station {i} 3/8 in", i * 47.3, -28 - 0.7 * i, 3.1) for i in range(11)]
    up = [130.0 * row for row in range(rows)]
    return Drawing(
        "handle",
        "Handle",
        tuple(Stroke(s.contour.moved(0, y), s.purpose) for y in up for s in strokes),
        tuple(replace(label, y=label.y + y) for y in up for label in labels),
    )


def bare(found: Sequence[Page]) -> list[Page]:
    return [replace(page, furniture=Drawing("", "")) for page in found]


def drawn(drawing: Drawing, page: Page) -> np.ndarray:
    """The page at 600 dpi, its first row at the foot, so that rows count as y does."""
    return render(pdf.write([(drawing, [page])], "t"), 0)[::-1]


def dots(area: tuple[float, float, float, float], page: Page) -> tuple[int, int, int, int]:
    """The whole pixels of a page within an area of the drawing: left, low, right, high."""
    left, low, right, high = area
    return (
        math.ceil((left + page.dx) / PIXEL),
        math.ceil((low + page.dy) / PIXEL),
        math.floor((right + page.dx) / PIXEL),
        math.floor((high + page.dy) / PIXEL),
    )


def paste(
    onto: np.ndarray, whole: Page, picture: np.ndarray, page: Page,
    area: tuple[float, float, float, float],
) -> None:  # fmt: skip
    """Lay an area of a tile's picture where it belongs on a picture of the whole."""
    left, low, right, high = dots(area, page)
    across, up = round((whole.dx - page.dx) / PIXEL), round((whole.dy - page.dy) / PIXEL)
    left, low = max(left, -across), max(low, -up)
    right, high = min(right, onto.shape[1] - across), min(high, onto.shape[0] - up)
    onto[low + up : high + up, left + across : right + across] = picture[low:high, left:right]


def differing(found: np.ndarray, wanted: np.ndarray) -> int:
    """Pixels that differ by more than :data:`ALIKE`."""
    assert (wanted < 128).sum() > 100_000
    return int(((np.maximum(found, wanted) - np.minimum(found, wanted)) > ALIKE).sum())


@pytest.mark.parametrize(
    ("rows", "paper", "large", "names"),
    [
        (1, "a4", "12 x 24 in", ["A1", "A2"]),
        (1, "letter", "24in", ["A1", "A2", "A3"]),
        (2, "letter", "15 x 24 in", ["A1", "A2", "A3", "B1", "B2", "B3"]),
    ],
)
def test_tiles_composed_are_one_page(rows: int, paper: str, large: str, names: list[str]) -> None:
    drawing = handle(rows)
    tiles, (whole,) = bare(lay(drawing, LEGEND, paper)), bare(lay(drawing, LEGEND, large))
    assert [page.name for page in tiles] == names
    wanted, pictures = drawn(drawing, whole), [drawn(drawing, page) for page in tiles]
    at = {page.name: page for page in tiles}
    windows = [(p.window.left, p.window.bottom, p.window.right, p.window.top) for p in tiles]
    # as a smith lays them: each without its left and top strip, over those before; and then each
    # with all that it shows
    for areas in ([kept_of(page, at, 10.0).bounds for page in tiles], windows):
        found = np.full_like(wanted, 255)
        for page, picture, area in zip(tiles, pictures, areas, strict=True):
            paste(found, whole, picture, page, area)
        assert differing(found, wanted) == 0
    # a tile on which all is drawn a tenth of a millimetre out of place, either way
    for axis in ("dx", "dy"):
        out = drawn(drawing, replace(tiles[1], **{axis: getattr(tiles[1], axis) + 0.1}))
        spoiled = found.copy()
        paste(spoiled, whole, out, tiles[1], windows[1])
        assert differing(spoiled, wanted) > 10_000


def test_bars_on_a_roll_and_on_an_odd_paper() -> None:
    for paper in (read_paper("24in"), read_paper("400 x 300 mm", "15 mm", "20 mm")):
        found = lay(handle(), LEGEND, paper)
        data = pdf.write([(handle(), found)], "t")
        for number in range(len(found)):
            check_bars(render(data, number))


def test_crosses_stay_in_their_corner() -> None:
    for overlap in ("8 mm", "9 mm", "30 mm"):
        for page in lay(sheet(500, 400), LEGEND, read_paper("letter", None, overlap)):
            window = Bounds(*(page.window.left + page.dx, page.window.bottom + page.dy,
                              page.window.right + page.dx, page.window.top + page.dy))  # fmt: skip
            for left, low, right, high in boxes_of(page):
                assert window.left < left
                assert window.bottom < low
                assert right < window.right
                assert high < window.top
