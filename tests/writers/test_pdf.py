"""PDF drawn by pdfium at 600 dpi (0.042 mm a pixel) and measured; structure read by pikepdf."""

from __future__ import annotations

import builtins
import io
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pikepdf
import pypdfium2
import pytest
from readers import (
    LEGEND,
    PIXEL,
    PLATE_BOX,
    check_bars,
    check_box,
    check_same_picture,
    inked,
    large,
    plate,
    render,
)

from patterns.contour import Bounds
from patterns.drawing import Drawing, Purpose
from patterns.errors import MissingLibraryError
from patterns.pages import Page, fitted, lay
from patterns.writers import pdf

HALF_PEN = 0.35


def written(drawing: Drawing, pages: Sequence[Page] | None = None) -> bytes:
    return pdf.write([(drawing, pages or lay(drawing, LEGEND))], "Plate & bar")


def art_only(page: Page) -> Page:
    return replace(page, furniture=Drawing("", ""))


def crossing_only(page: Page) -> Page:
    """The sheet without words."""
    return replace(page, furniture=replace(page.furniture, labels=()))


@pytest.fixture(scope="module")
def both() -> tuple[bytes, list[Page]]:
    """A single sheet and two tiles in one file."""
    first, second = lay(plate(), LEGEND), lay(large(), LEGEND)
    data = pdf.write([(plate(), first), (large(), second)], "Plate & bar")
    return data, [*first, *second]


def test_bars_on_every_page(both: tuple[bytes, list[Page]]) -> None:
    data, pages = both
    assert len(pages) == 3
    for number in range(3):
        check_bars(render(data, number))


def check_outline(data: bytes, page: Page) -> float:
    window = page.window
    area = Bounds(
        window.left + page.dx,
        window.bottom + page.dy,
        window.right + page.dx,
        window.top + page.dy,
    )
    wanted = PLATE_BOX.grown(HALF_PEN)
    placed = Bounds(
        wanted.left + page.dx,
        wanted.bottom + page.dy,
        wanted.right + page.dx,
        wanted.top + page.dy,
    )
    # half a pixel of rounding, and a tenth for the curves, where a pixel is partly inked
    return check_box(inked(render(data, 0), area), placed, 0.6 * PIXEL)


def test_the_outline_is_where_it_should_be() -> None:
    (page,) = lay(plate(), LEGEND)
    check_outline(written(plate()), page)


def test_a_vertex_moved_a_tenth_of_a_millimetre_is_seen() -> None:
    (page,) = lay(plate(), LEGEND)
    spoiled = written(plate(moved=0.1), [page])
    with pytest.raises(AssertionError):
        check_outline(spoiled, page)


def test_a_page_scaled_by_one_per_cent_is_seen() -> None:
    (page,) = lay(plate(), LEGEND)
    with pikepdf.open(io.BytesIO(written(plate()))) as opened:
        opened.pages[0].contents_add(b"0.99 0 0 0.99 0 0 cm", prepend=True)
        out = io.BytesIO()
        opened.save(out)
    with pytest.raises(AssertionError):
        check_bars(render(out.getvalue(), 0))
    with pytest.raises(AssertionError):
        check_outline(out.getvalue(), page)


def pasted(data: bytes, pages: Sequence[Page], whole: Page, shape: tuple[int, int]) -> np.ndarray:
    """Windows of the tiles laid where they belong on a picture of the whole page."""
    picture = np.full(shape, 255, dtype=np.uint8)
    for number, page in enumerate(pages):
        tile = render(data, number)
        left = round((page.window.left + page.dx) / PIXEL)
        top = tile.shape[0] - round((page.window.top + page.dy) / PIXEL)
        across, down = round(page.window.width / PIXEL), round(page.window.height / PIXEL)
        x = round((page.window.left + whole.dx) / PIXEL)
        y = shape[0] - round((page.window.top + whole.dy) / PIXEL)
        x0, y0 = max(0, -x), max(0, -y)
        x1, y1 = min(across, shape[1] - x), min(down, shape[0] - y)
        part = tile[top + y0 : top + y1, left + x0 : left + x1]
        there = picture[y + y0 : y + y1, x + x0 : x + x1]
        np.minimum(there, part, out=there)
    return picture


def test_two_tiles_laid_together_are_the_whole() -> None:
    drawing = large()
    pages, whole = [art_only(p) for p in lay(drawing, LEGEND)], art_only(fitted(drawing, LEGEND))
    assert len(pages) == 2
    data = written(drawing, pages)
    picture = render(written(drawing, [whole]), 0)
    check_same_picture(pasted(data, pages, whole, picture.shape), picture)
    # the same with the second sheet 0.2 mm out of place
    out = [pages[0], replace(pages[1], dx=pages[1].dx + 0.2)]
    shifted = written(drawing, out)
    with pytest.raises(AssertionError):
        check_same_picture(pasted(shifted, pages, whole, picture.shape), picture)


def test_neighbours_show_the_same_in_the_overlap() -> None:
    drawing = large()
    pages = [crossing_only(page) for page in lay(drawing, LEGEND)]
    data = written(drawing, pages)
    strips = []
    for number, page in enumerate(pages):
        picture = render(data, number)
        left = round((pages[1].window.left + page.dx) / PIXEL)
        top = picture.shape[0] - round((page.window.top + page.dy) / PIXEL)
        across, down = round(10.0 / PIXEL), round(page.window.height / PIXEL)
        strips.append(picture[top : top + down, left : left + across])
    check_same_picture(*strips)


def test_a_line_on_the_edge_of_a_tile_keeps_its_width() -> None:
    # letter paper lying: the window is 255.4 wide, so its right edge is where the second one's
    # left edge is, plus 10; the line is put exactly there
    drawing = large()
    edge = lay(drawing, LEGEND)[0].window.right
    stroke = replace(drawing.strokes[1], purpose=Purpose.OUTLINE)
    line = replace(stroke, contour=type(stroke.contour).line((edge, 20.0), (edge, 60.0)))
    spoiled = Drawing("d", "D", (drawing.strokes[0], line))
    # the page of the drawing without the line: with it, the join would be laid elsewhere
    page = art_only(lay(drawing, LEGEND)[0])
    picture = render(written(spoiled, [page]), 0)
    row = picture[picture.shape[0] - round((40.0 + page.dy) / PIXEL)].astype(float)
    x = round((edge + page.dx) / PIXEL)
    ink = (1.0 - row[x - 30 : x + 31] / 255.0).sum() * PIXEL
    assert ink == pytest.approx(0.7, abs=PIXEL / 2)


def test_page_boxes_are_exact() -> None:
    for paper, wanted in (("letter", (612, 792)), ("legal", (612, 1008)), ("tabloid", (792, 1224))):
        with pikepdf.open(io.BytesIO(written(plate(), lay(plate(), LEGEND, paper)))) as opened:
            box = [float(v) for v in opened.pages[0].MediaBox]
        assert box[:2] == [0, 0]
        assert sorted(box[2:]) == sorted(wanted)
    with pikepdf.open(io.BytesIO(written(plate(), lay(plate(), LEGEND, "a4")))) as opened:
        box = sorted(float(v) for v in opened.pages[0].MediaBox)[2:]
    assert box == pytest.approx([210 * 72 / 25.4, 297 * 72 / 25.4], abs=1e-4)


def test_the_file_asks_to_be_printed_at_actual_size(both: tuple[bytes, list[Page]]) -> None:
    with pikepdf.open(io.BytesIO(both[0])) as opened:
        wishes = opened.Root.ViewerPreferences
        assert wishes.PrintScaling == "/None"
        assert bool(wishes.PickTrayByPDFSize) is True
        assert tuple(map(int, opened.pdf_version.split("."))) >= (1, 6)
        assert str(opened.docinfo["/Title"]) == "Plate & bar"
        assert opened.check_pdf_syntax() == []


def test_each_drawing_is_in_the_file_once(both: tuple[bytes, list[Page]]) -> None:
    with pikepdf.open(io.BytesIO(both[0])) as opened:
        forms = {page.Resources.XObject.Art.objgen for page in opened.pages}
        assert len(opened.pages) == 3
        assert len(forms) == 2


def test_two_runs_are_equal_and_carry_no_date(both: tuple[bytes, list[Page]]) -> None:
    data, pages = both
    again = pdf.write([(plate(), pages[:1]), (large(), pages[1:])], "Plate & bar")
    assert again == data
    assert b"CreationDate" not in data
    assert not re.search(rb"D:20\d\d", data)


def test_words_can_be_searched_and_lie_on_the_drawn_ones(both: tuple[bytes, list[Page]]) -> None:
    data, pages = both
    document = pypdfium2.PdfDocument(data)
    try:
        page = document[0].get_textpage()
        text = page.get_text_bounded()
        assert "Measure the bars before use." in text
        assert "eye 1 3/16 in × 24°" in text
        found = page.search("eye 1 3/16 in").get_next()
        assert found is not None
        left, bottom, _, _ = page.get_charbox(found[0])
        x, y = 70.0 + pages[0].dx, 52.0 + pages[0].dy
        assert left * 25.4 / 72 == pytest.approx(x, abs=0.8)
        assert bottom * 25.4 / 72 == pytest.approx(y, abs=0.8)
        joined = document[1].get_textpage().get_text_bounded()
        assert "joins A2" in joined
        both_sheets = joined + document[2].get_textpage().get_text_bounded()
        assert both_sheets.count("beyond the join 3/8") == 1
    finally:
        document.close()


def test_unseen_text_leaves_no_ink() -> None:
    drawing = plate()
    page = art_only(lay(drawing, LEGEND)[0])
    data = written(drawing, [page])
    with pikepdf.open(io.BytesIO(data)) as opened:
        first = opened.pages[0]
        raw = first.Contents.read_bytes()
        bare = re.sub(rb"(?m)^BT.*ET$", b"", raw)
        assert bare != raw
        first.Contents = opened.make_stream(bare)
        out = io.BytesIO()
        opened.save(out)
    assert (render(data, 0) == render(out.getvalue(), 0)).all()


def test_without_cairo_the_message_names_the_fix(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "cairosvg":
            raise OSError('no library called "cairo-2" was found')
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(MissingLibraryError) as caught:
        written(plate())
    for word in ("apt install libcairo2", "dnf install cairo", "brew install cairo", "Windows"):
        assert word in str(caught.value)
