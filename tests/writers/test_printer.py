"""A printer's correction, by simulation: the PDF is drawn at 600 dpi, the picture is made shorter
as the printer would, and the check bars are measured on what comes out."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from readers import LEGEND, PIXEL, bars, check_bars, large, plate, render
from shapely import LineString, Polygon, box

from patterns import printer
from patterns.contour import Contour
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.errors import BadInputError
from patterns.pages import MARGIN, PAPERS, Correction, Page, as_paper, lay, read_paper
from patterns.printer import Bar, Diagonals, Printer, Told
from patterns.writers import pdf

SHORT = (1.0, 0.988)
"""A printer that is true across the paper and 1.2 % short along it."""
BOTH = (1.007, 0.979)
"""A printer that is off both ways."""


def made(level: float, upright: float) -> Correction:
    return Correction("shop laser", 1.0 / level, 1.0 / upright)


def tall() -> Drawing:
    """Fits on letter paper upright only."""
    outline = Contour.rectangle(0, 0, 120, 190)
    return Drawing("tall", "Tall", (Stroke(outline, Purpose.OUTLINE),))


def _squeezed(picture: np.ndarray, ratio: float) -> np.ndarray:
    """Every row's height multiplied by ``ratio``: exact averages over the area of each new row."""
    rows = picture.shape[0]
    total = np.zeros((rows + 1, picture.shape[1]), dtype=np.float32)  # sums to a tenth of a grey
    np.cumsum(picture, axis=0, out=total[1:])
    edges = np.arange(math.floor(rows * ratio) + 1) / ratio
    whole = np.minimum(edges.astype(int), rows - 1)
    part = (edges - whole)[:, None].astype(np.float32)
    at = total[whole] * (1.0 - part) + total[whole + 1] * part
    squeezed: np.ndarray = np.diff(at, axis=0) * np.float32(ratio)
    return squeezed


def printed(data: bytes, number: int, makes: tuple[float, float]) -> np.ndarray:
    """What comes out of a printer that makes lengths across and along the paper as given."""
    picture = render(data, number)
    across, along = makes
    if along != 1.0:
        picture = _squeezed(picture, along)
    if across != 1.0:
        picture = _squeezed(picture.T, across).T
    return np.ascontiguousarray(picture)


def as_read(picture: np.ndarray, page: Page) -> np.ndarray:
    """A lying page turned so that it can be read: what was at the left of the paper goes on top."""
    turned = page.lying and page.correction is not None
    return np.ascontiguousarray(np.rot90(picture, -1)) if turned else picture


def drawings() -> list[Drawing]:
    """One for an upright sheet, one for a lying one, one for lying tiles."""
    return [tall(), plate(), large()]


def pages_for(correction: Correction | None, most: int = 3) -> tuple[bytes, list[Page]]:
    laid = [(drawing, lay(drawing, LEGEND, "letter", correction)) for drawing in drawings()[:most]]
    return pdf.write(laid, "Bars"), [page for _, found in laid for page in found]


@pytest.mark.parametrize("makes", [SHORT, BOTH])
def test_bars_are_true_out_of_a_printer_that_is_not(makes: tuple[float, float]) -> None:
    """Upright, lying and tiled sheets: every bar to half a pixel, which is 0.021 mm in 100."""
    data, laid = pages_for(made(*makes))
    assert {page.lying for page in laid} == {False, True}
    assert any(page.tiled for page in laid)
    for number, page in enumerate(laid):
        assert check_bars(as_read(printed(data, number, makes), page)) < PIXEL / 2


@pytest.mark.parametrize("makes", [BOTH])
def test_without_the_correction_and_with_its_axes_swapped_the_bars_are_false(
    makes: tuple[float, float],
) -> None:
    for correction in (None, made(*makes[::-1])):
        data, laid = pages_for(correction, 2)
        assert [page.lying for page in laid] == [False, True]
        for number, page in enumerate(laid):
            # without a correction, a lying page is turned by the printer's own hand
            picture = render(data, number)
            if page.lying and correction is None:
                picture = np.rot90(picture)
            out = _squeezed(_squeezed(picture, makes[1]).T, makes[0]).T
            if page.lying:
                out = np.rot90(out, -1)
            out = np.ascontiguousarray(out)
            with pytest.raises(AssertionError):
                check_bars(out)
            _, upright = bars(out)
            assert upright, "the bars are there, and false"


def test_what_is_drawn_comes_out_true_too() -> None:
    """The plate's box, 172.5 by 90 as in readers, less than a pixel off on the corrected print."""
    (page,) = lay(plate(labels=False), LEGEND, "letter", made(*BOTH))
    bare = replace(page, furniture=Drawing("", ""))
    data = pdf.write([(plate(labels=False), [bare])], "t")
    dark = as_read(printed(data, 0, BOTH), page) < 128
    ys, xs = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    pen = 0.7
    assert (xs[-1] - xs[0] + 1) * PIXEL == pytest.approx(172.5 + pen, abs=1.5 * PIXEL)
    assert (ys[-1] - ys[0] + 1) * PIXEL == pytest.approx(90.0 + pen, abs=1.5 * PIXEL)


def test_the_page_is_the_real_paper_upright_and_unturned() -> None:
    for name, (width, height) in PAPERS.items():
        for drawing in drawings():
            found = lay(drawing, LEGEND, name, made(*BOTH))
            with pikepdf.open(io.BytesIO(pdf.write([(drawing, found)], "t"))) as opened:
                for page in opened.pages:
                    size = [float(v) * 25.4 / 72.0 for v in page.MediaBox]
                    assert size == pytest.approx([0.0, 0.0, width, height], abs=1e-4)
                    assert "/Rotate" not in page.obj
                    assert opened.check_pdf_syntax() == []


def test_without_a_correction_nothing_is_turned_or_stretched() -> None:
    for drawing in drawings():
        found = lay(drawing, LEGEND)
        with pikepdf.open(io.BytesIO(pdf.write([(drawing, found)], "t"))) as opened:
            for page, laid in zip(opened.pages, found, strict=True):
                size = [float(v) * 25.4 / 72.0 for v in page.MediaBox][2:]
                assert size == pytest.approx([laid.width, laid.height], abs=1e-4)
                assert laid.on_paper == (laid.width, laid.height)


@given(
    st.sampled_from([*PAPERS, "18x24in", "36in"]),
    st.floats(0.9709, 1.0309),
    st.floats(0.9709, 1.0309),
    st.floats(20.0, 700.0),
    st.floats(20.0, 700.0),
)
@settings(max_examples=150, deadline=None)
def test_a_corrected_page_fills_the_paper_and_keeps_its_margins(
    name: str, level: float, upright: float, width: float, height: float
) -> None:
    outline = Contour.rectangle(0, 0, width, height)
    drawing = Drawing("d", "D", (Stroke(outline, Purpose.OUTLINE),))
    paper = read_paper(name)
    for page in lay(drawing, LEGEND, paper, Correction("x", level, upright)):
        a, b, c, d, e, f = page.to_paper
        across, along = page.on_paper
        assert across == pytest.approx(paper.width)
        if paper.height is not None:
            assert along == pytest.approx(paper.height)
        corners = [(a * x + c * y + e, b * x + d * y + f)
                   for x in (0.0, page.width) for y in (0.0, page.height)]  # fmt: skip
        for found, end in zip(zip(*corners, strict=True), (across, along), strict=True):
            assert min(found) == pytest.approx(0.0, abs=1e-9)
            assert max(found) == pytest.approx(end)
        # a millimetre of the page is a factor of a millimetre on the paper, and nothing leans
        assert math.hypot(a, c) == pytest.approx(level)
        assert math.hypot(b, d) == pytest.approx(upright)
        assert a * b + c * d == pytest.approx(0.0, abs=1e-12)
        assert a * d - b * c > 0.0  # no mirror
        left = min(s.contour.bounds.left for s in page.furniture.strokes)
        assert left == pytest.approx(MARGIN)


def test_every_sheet_says_so() -> None:
    data, laid = pages_for(made(*SHORT))
    document = pypdfium2.PdfDocument(data)
    for number in range(len(laid)):
        said = "".join(document[number].get_textpage().get_text_bounded().split())
        assert "Correctedforshoplaser,paperupright:levelx1.0000,uprightx1.0121." in said
    data, laid = pages_for(None)
    document = pypdfium2.PdfDocument(data)
    for number in range(len(laid)):
        assert "Corrected" not in document[number].get_textpage().get_text_bounded()


def test_unseen_text_lies_on_the_drawn_letters() -> None:
    for drawing, word in ((plate(), "eye 1 3/16 in"), (large(), "beyond the join")):
        found = lay(drawing, LEGEND, "letter", made(*BOTH))
        data = pdf.write([(drawing, found)], "t")
        document = pypdfium2.PdfDocument(data)
        seen = 0
        for number, page in enumerate(found):
            text = document[number].get_textpage()
            at = text.search(word).get_next()
            if at is None:
                continue
            seen += 1
            first, last = at[0], at[0] + at[1] - 1
            ends = [text.get_charbox(i) for i in (first, last)]
            left, low = (min(e[i] for e in ends) * 25.4 / 72 for i in (0, 1))
            right, high = (max(e[i] for e in ends) * 25.4 / 72 for i in (2, 3))
            picture = render(data, number)[::-1] < 128
            rows = slice(round(low / PIXEL), round(high / PIXEL))
            columns = slice(round(left / PIXEL), round(right / PIXEL))
            inside = picture[rows, columns]
            assert inside.mean() > 0.05  # letters
            # written upwards on the paper, since the page lies
            assert high - low > 3.0 * (right - left)
            assert page.lying
        assert seen == 1


# Measuring -------------------------------------------------------------------------------------

LETTER = as_paper("letter")


def told(**given: str | None) -> dict[str, str | None]:
    return {key: given.get(key) for key in ("level", "upright", "rising", "falling")}


def test_factors_by_hand() -> None:
    found = printer.measured("a", LETTER, told(level="7 15/32 in", upright="9 7/8 in"))
    assert found.correction.level == pytest.approx(7.5 / (7 + 15 / 32), rel=1e-12)
    assert found.correction.upright == pytest.approx(10 / 9.875, rel=1e-12)
    assert found.doubts() == []


@pytest.mark.parametrize(
    ("given", "fields"),
    [
        ({"level": "7 1/2 in"}, ["--upright"]),
        ({"upright": "10 in"}, ["--level"]),
        ({"level": "7.5", "upright": "wide"}, ["--level", "--upright"]),
        ({"level": "7 1/8 in", "upright": "10.4 in"}, ["--level", "--upright"]),
        ({"level": "-7 1/2 in", "upright": "0 in"}, ["--level", "--upright"]),
        ({"level": "7.5 in", "upright": "10 in", "rising": "9 in"}, ["--rising"]),
        ({"level": "7.5 in", "upright": "10 in", "falling": "x"}, ["--falling"]),
    ],
)
def test_faults_of_what_was_measured(given: dict[str, str], fields: list[str]) -> None:
    with pytest.raises(BadInputError) as caught:
        printer.measured("a", LETTER, told(**given))
    assert [fault.field for fault in caught.value.faults] == fields


def test_three_per_cent_is_the_limit_either_way() -> None:
    for drawn, key in ((190.5, "level"), (254.0, "upright")):
        for factor, allowed in ((1.0299, True), (1.0301, False), (0.9701, True), (0.9699, False)):
            given = {"level": "190.5 mm", "upright": "254 mm", key: f"{drawn / factor:.4f} mm"}
            if allowed:
                printer.measured("a", LETTER, told(**given))
                continue
            with pytest.raises(BadInputError, match="fit to page") as caught:
                printer.measured("a", LETTER, told(**given))
            assert [fault.field for fault in caught.value.faults] == [f"--{key}"]


def test_a_leaning_print_is_told() -> None:
    """Corners of a print that leans by known amounts, measured with Pythagoras, not by the law."""
    for lean in (-2.0, -0.9, 0.0, 0.9, 2.0):
        across, along = 190.0, 250.0
        rising = math.hypot(across + lean, math.sqrt(along**2 - lean**2))
        falling = math.hypot(across - lean, math.sqrt(along**2 - lean**2))
        for one in ("", "rising", "falling", "rising falling"):
            made_of = Diagonals(
                rising=rising if "rising" in one else None,
                falling=falling if "falling" in one else None,
            )
            found = Printer(
                printer=Told(name="a", paper="letter"),
                level=Bar(drawn=190.5, measured=across),
                upright=Bar(drawn=254.0, measured=along),
                diagonals=made_of,
            ).doubts("mm")
            needed = 0.7 if " " in one else 1.7
            assert bool(found) == (bool(one) and abs(lean) > needed), (lean, one)
            for doubt in found:
                assert f"out of square by {abs(lean):.1f} mm" in doubt
                assert f"to the {'right' if lean > 0 else 'left'}" in doubt


def test_diagonals_that_no_rectangle_has() -> None:
    given = told(level="7.5 in", upright="10 in", rising="12 9/16 in", falling="12 9/16 in")
    (doubt,) = printer.measured("a", LETTER, given).doubts()
    assert "misread" in doubt
    given = told(level="7.5 in", upright="10 in", rising="12 1/2 in", falling="12 33/64 in")
    assert printer.measured("a", LETTER, given).doubts() == []


@given(
    st.sampled_from([*PAPERS, "36in", "18 x 24 in"]),
    st.floats(0.975, 1.025),
    st.floats(0.975, 1.025),
    st.none() | st.floats(0.999, 1.001),
)
@settings(max_examples=60, deadline=None)
def test_the_file_reads_back_as_it_was_measured(
    tmp_path_factory: pytest.TempPathFactory, name: str, a: float, b: float, c: float | None
) -> None:
    paper = read_paper(name)
    level, upright = printer.bars(paper)
    given = told(level=f"{level * a:.2f} mm", upright=f"{upright * b / 25.4:.4f} in")
    if c is not None:
        given["rising"] = f"{math.hypot(level * a, upright * b) * c:.2f} mm"
    found = printer.measured('The "odd" \\ one', paper, given)
    path = tmp_path_factory.mktemp("p") / "p.toml"
    text = printer.as_toml(found, given)
    path.write_text(text, encoding="utf-8")
    again = printer.load(path)
    assert again.correction.level == pytest.approx(found.correction.level, rel=1e-12)
    assert again.correction.upright == pytest.approx(found.correction.upright, rel=1e-12)
    assert again.printer == found.printer
    assert again.diagonals == found.diagonals
    assert again.takes(paper)
    assert not again.takes(read_paper("11 x 15 in"))
    for said in given.values():
        assert said is None or f'"{said}"' in text  # as the smith wrote it


# The test page ---------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", [*PAPERS, "36in", "610 mm", "18x24in", "205 x 260 mm"])
def test_the_page_to_measure(name: str, units: str) -> None:
    """Crosses where the bars say, at 600 dpi; words apart from each other and from the lines."""
    paper = read_paper(name)
    drawing, page = printer.measuring_page("A shop laser with a long name, 2", paper, units)
    level, upright = printer.bars(paper)
    labels = [Polygon(label.outline(0.3).points()) for label in drawing.labels]
    lines = [LineString(stroke.contour.points()) for stroke in drawing.strokes]
    for i, one in enumerate(labels):
        assert not any(one.intersects(other) for other in labels[:i]), drawing.labels[i].text
        assert not any(one.intersects(line) for line in lines), drawing.labels[i].text
    sheet = box(5.0, 5.0, page.width - 5.0, page.height - 5.0)
    assert all(sheet.covers(shape) for shape in (*labels, *lines))
    assert page.width <= page.height or paper.roll
    words = " ".join(label.text for label in drawing.labels)
    for said in ("Print at 100 %", "cross to cross", "--level", "--file", "fit to page"):
        assert said in words
    assert f"--paper {name}" in words or f'--paper "{name}"' in words
    # as long as the paper lets: one step more would run over the margin
    assert level > min(paper.width - 16.0 - 6.0 - 12.71, 580.0)
    assert upright >= level


def crosses(data: bytes, corners: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Where two thin lines cross near each of some places of the page [mm]."""
    picture = 1.0 - render(data, 0)[::-1].astype(float) / 255.0
    found = []
    for x, y in corners:
        i, j, half = round(x / PIXEL), round(y / PIXEL), round(2.5 / PIXEL)
        # lines are dark all along their row or column; the diagonals are not
        part = picture[j - half : j + half, i - half : i + half]
        across, up = part.mean(axis=0), part.mean(axis=1)
        across, up = (np.where(line > 0.45, line, 0.0) for line in (across, up))
        at = np.arange(2 * half) + 0.5
        found.append(
            (
                (i - half + (across * at).sum() / across.sum()) * PIXEL,
                (j - half + (up * at).sum() / up.sum()) * PIXEL,
            )
        )
    return found


def test_crosses_are_the_bars_apart() -> None:
    drawing, page = printer.measuring_page("laser", LETTER, "in")
    data = pdf.write([(drawing, (page,))], "t")
    # by hand: letter is 215.9 x 279.4, the bars 190.5 and 254 in its middle
    left, low, right, top = 12.7, 12.7, 203.2, 266.7
    a, b, c, d = crosses(data, [(left, low), (right, low), (right, top), (left, top)])
    assert b[0] - a[0] == pytest.approx(190.5, abs=PIXEL / 2)
    assert d[1] - a[1] == pytest.approx(254.0, abs=PIXEL / 2)
    assert math.dist(a, c) == pytest.approx(317.5, abs=PIXEL)  # 7.5, 10 and 12.5 in: 3, 4, 5
    assert math.dist(b, d) == pytest.approx(317.5, abs=PIXEL)


def test_bars_do_not_hang_on_the_units_chosen() -> None:
    """One measured in mm and typed as if drawn in inches would be false by up to 2 %."""
    for name in PAPERS:
        paper = as_paper(name)
        for units in ("in", "mm"):
            drawing, _ = printer.measuring_page("a", paper, units)
            longest = max(
                stroke.contour.bounds.width - 2 * printer.ARM
                for stroke in drawing.strokes
            )  # fmt: skip
            assert longest == pytest.approx(printer.bars(paper)[0])
    inches = [side / 25.4 for side in printer.bars(LETTER)]
    assert inches == pytest.approx([7.5, 10.0])
    assert printer.bars(as_paper("a3")) == (270.0, 390.0)
