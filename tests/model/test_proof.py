"""The proof: what the cut takes, by Shapely from the file's own contours; measured on the picture.

Every file is written and read back first, so that the proof is of the file.
"""

from __future__ import annotations

import io
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import cairosvg
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image

from patterns import cut_file, pages, profiles, proof, templates
from patterns.blank import plan
from patterns.contour import Contour, Vertex
from patterns.cut_file import CutFile, Other, Run
from patterns.drawing import Drawing, Purpose
from patterns.leads import with_lead
from patterns.offset import parallel
from patterns.processes import Rules, rules
from patterns.writers import dxf, svg

PLASMA = rules("plasma", 4.7625)
LASER = rules("laser", 1.51892)

PLATE = Contour.polygon([(0, 0), (70, 0), (70, 40), (42, 40), (35, 28), (28, 40), (0, 40)])
WINDOW = Contour.rectangle(8, 8, 24, 20).reversed()
HOLE = Contour.circle(55, 14, 5).reversed()


def found(*contours: Contour, marks: tuple[Contour, ...] = ()) -> CutFile:
    """A file by hand: the first contour is the outline."""
    runs = [
        Run(contour, "CUT", "inside" if number else "outside")
        for number, contour in enumerate(contours)
    ]
    runs += [Run(contour, "MARK", "mark") for contour in marks]
    return CutFile("plate-in.dxf", "AC1015", "in", tuple(runs))


@cache
def of_head(name: str, by: Rules) -> tuple[CutFile, ...]:
    """The templates of a head, written and read back."""
    head, way = plan(profiles.load(name).design, "in"), templates.way_of(by, None, "in")
    files = []
    for each in templates.templates(head, way).made:
        path = Path(f"{each.name}-in.dxf")
        files.append((path, dxf.write(each.drawing(), "in")))
    return tuple(_read(path, data) for path, data in files)


def _read(path: Path, data: bytes) -> CutFile:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / path.name).write_bytes(data)
        return cut_file.read(Path(folder) / path.name)


def area(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(contour.points(1e-3))


def taken(contour: Contour, kerf: float, inside: bool, on_line: bool) -> shapely.Geometry:
    """What a round tool takes that runs beside a contour, or on it, by Shapely alone."""
    shape, segments = area(contour), 128
    if on_line:
        return shape.exterior.buffer(kerf / 2.0, quad_segs=segments)
    side = -1.0 if inside else 1.0
    path = shape.buffer(side * kerf / 2.0, quad_segs=segments)
    return path.exterior.buffer(kerf / 2.0, quad_segs=segments)


# What the cut takes ------------------------------------------------------------------------------


@pytest.mark.parametrize("on_line", [False, True])
@pytest.mark.parametrize("by", [PLASMA, LASER])
@pytest.mark.parametrize("name", ["belt-hatchet", "camp-axe", "bow-tie-hatchet"])
def test_what_is_black(name: str, by: Rules, on_line: bool) -> None:
    """Of every cut of a head's templates: the band, and the contour that is filled with black."""
    seen = 0
    for file in of_head(name, by):
        for cut in proof.cuts(file, by.kerf, on_line=on_line):
            if cut.why:
                continue
            seen += 1
            wanted = taken(cut.run.contour, by.kerf, cut.inside, on_line)
            off = 5e-3 * cut.run.contour.length
            assert proof.band(cut, by.kerf).symmetric_difference(wanted).area < off
            black = sum(abs(contour.area) for contour in proof._black(cut, by.kerf))
            assert black == pytest.approx(wanted.area, abs=off)
    assert seen >= 4


def test_an_outline_is_left_as_large_as_it_was_drawn() -> None:
    """Round holes keep their size and outlines theirs; on the line both lose half a kerf."""
    plain = found(Contour.rectangle(20, 0, 70, 30), HOLE)
    hole, outline = proof.cuts(plain, 1.6)
    assert hole.inside
    assert not outline.inside
    assert hole.edge is not None
    assert outline.edge is not None
    assert hole.edge.bounds.width == pytest.approx(10.0)
    assert outline.edge.bounds.width == pytest.approx(50.0)
    hole, outline = proof.cuts(plain, 1.6, on_line=True)
    assert hole.edge is not None
    assert outline.edge is not None
    assert hole.edge.bounds.width == pytest.approx(11.6)
    assert outline.edge.bounds.width == pytest.approx(48.4)


def test_what_falls_out() -> None:
    """A disc less by a kerf all round; nothing of a hole no wider than two kerfs; a ring about a
    part within a hole."""
    (disc,) = proof.scrap(proof.cuts(found(PLATE, HOLE), 1.6), 1.6)
    assert disc.area == pytest.approx(math.pi * 3.4**2, rel=1e-3)
    small = Contour.circle(55, 14, 1.5).reversed()
    cuts = proof.cuts(found(PLATE, small), 1.6)
    assert proof.scrap(cuts, 1.6) == []
    # flattened twice: the path and the round of the tool, up to the sagitta each
    off = 2.0 * proof.FLAT * math.tau * 1.5
    assert proof.band(cuts[0], 1.6).area == pytest.approx(math.pi * 1.5**2, abs=off)
    big = Contour.rectangle(5, 5, 65, 25).reversed()
    inner = Run(Contour.rectangle(15, 10, 35, 20), "CUT", "outside")
    file = found(PLATE, big)
    file = replace(file, runs=(*file.runs, inner))
    (ring,) = proof.scrap(proof.cuts(file, 1.6), 1.6)
    # by hand: the window less a kerf all round, less the part with a kerf about it, its corners
    # round by a kerf
    part = 20.0 * 10.0 + 60.0 * 1.6 + math.pi * 1.6**2
    # the scrap's own corners are sharp: the tool's middle turns in them
    assert ring.area == pytest.approx(56.8 * 16.8 - part, rel=1e-3)


def test_metal_that_is_left_in_corners() -> None:
    """Half a kerf over the sine of half the corner, less half a kerf: by hand, for square corners
    and for the notch of 14 in 12; the other way round, on the line, alike."""
    square = proof.cuts(found(Contour.rectangle(0, 0, 50, 30), WINDOW), 1.6)[0]
    assert square.left == pytest.approx(0.8 * (math.sqrt(2.0) - 1.0), abs=1e-3)
    notch = proof.cuts(found(PLATE), 1.6)[0]
    half = math.atan2(7.0, 12.0)
    assert notch.left == pytest.approx(0.8 * (1.0 / math.sin(half) - 1.0), abs=1e-3)
    own = parallel(PLATE, 0.8)
    assert proof.cuts(found(own), 1.6, on_line=True)[0].left == pytest.approx(notch.left, abs=1e-3)
    assert proof.cuts(found(Contour.rectangle(0, 0, 50, 30)), 1.6)[0].left == 0.0
    round_hole = proof.cuts(found(Contour.rectangle(0, 0, 90, 30), HOLE), 1.6)[0]
    assert round_hole.left == 0.0
    words = " ".join(label.text for label in proof.draw(found(PLATE), None, 1.6, "mm").labels)
    assert f"{notch.left:.2f} mm" in words


def test_holes_come_before_their_own_outline() -> None:
    second = [c.moved(100.0, 0.0) for c in (PLATE, HOLE, WINDOW)]
    runs = [
        Run(PLATE, "CUT", "outside"), Run(second[0], "CUT", "outside"),
        *(Run(c, "CUT", "inside") for c in (second[1], WINDOW, second[2], HOLE)),
    ]  # fmt: skip
    cuts = proof.cuts(CutFile("two.dxf", "AC1015", "mm", tuple(runs)), 1.0)
    order = [cut.run.contour for cut in cuts]
    assert order == [WINDOW, HOLE, PLATE, second[1], second[2], second[0]]
    assert [cut.number for cut in cuts] == [1, 2, 3, 4, 5, 6]


def test_a_part_within_a_hole_comes_before_the_hole() -> None:
    """Else it would fall out with the scrap before it is cut."""
    plate, window = Contour.rectangle(0, 0, 90, 50), Contour.rectangle(5, 5, 60, 45).reversed()
    part, eye = Contour.rectangle(15, 15, 40, 35), Contour.circle(25, 25, 4).reversed()
    runs = [Run(plate, "CUT", "outside"), Run(window, "CUT", "inside"),
            Run(part, "CUT", "outside"), Run(eye, "CUT", "inside")]  # fmt: skip
    for turned in (runs, runs[::-1]):
        cuts = proof.cuts(CutFile("in.dxf", "AC1015", "mm", tuple(turned)), 1.0)
        assert [cut.run.contour for cut in cuts] == [eye, part, window, plate]
    labels = proof.draw(CutFile("in.dxf", "AC1015", "mm", tuple(runs)), None, 1.0, "mm").labels
    own = {label.text: shapely.Point(label.x, label.y + label.height / 2.0) for label in labels}
    assert area(window).difference(area(part)).contains(own["3"])
    assert area(part).difference(area(eye)).contains(own["2"])


def test_the_leads_of_a_file(tmp_path: Path) -> None:
    """Lead and contour as one open line, as a table of one's own takes them: written, read back,
    and pierced where they begin."""
    import ezdxf

    document = ezdxf.new("R2000", units=4)
    document.layers.add("CUT")
    pierces = []
    for number, contour in enumerate((PLATE, HOLE)):
        path = parallel(contour, -0.8 if number else 0.8)
        led = with_lead(path, inside=number > 0, length=5.0, clearance=0.8)
        pierces.append(led.pierce)
        document.modelspace().add_lwpolyline(
            [tuple(v) for v in led.path.vertices], format="xyb", dxfattribs={"layer": "CUT"}
        )
    document.saveas(tmp_path / "led-mm.dxf")
    file = cut_file.read(tmp_path / "led-mm.dxf")
    hole, outline = proof.cuts(file, 1.6, on_line=True)
    assert (hole.why, outline.why) == ("", "")
    assert outline.edge is not None
    assert area(outline.edge).symmetric_difference(area(PLATE)).area < 1.0  # the notch's round
    drawing = proof.draw(file, None, 1.6, "mm", on_line=True)
    rings = [
        ((s.contour.bounds.left + s.contour.bounds.right) / 2.0,
         (s.contour.bounds.bottom + s.contour.bounds.top) / 2.0)
        for s in drawing.strokes
        if s.purpose is Purpose.DIMENSION and s.contour.closed and not s.filled
    ]  # fmt: skip
    for pierce in pierces:
        assert min(math.dist(pierce, ring) for ring in rings) < 1e-6
    assert "2 lead-ins" in " ".join(label.text for label in drawing.labels)


def test_a_lead_takes_nothing_of_the_part() -> None:
    runs = []
    for number, contour in enumerate((PLATE, HOLE)):
        led = with_lead(contour, inside=number > 0, length=5.0, clearance=0.8, form="straight")
        runs.append(Run(led.contour, "CUT", "inside" if number else "outside", (), led.lead))
    for cut in proof.cuts(CutFile("led.dxf", "AC1015", "mm", tuple(runs)), 1.6):
        bare = replace(cut, run=replace(cut.run, lead=None))
        more = proof.band(cut, 1.6).area - proof.band(bare, 1.6).area
        # what stands out of the band: a strip as wide as the kerf, and its round end; less, in the
        # hole, a segment of chord 1.6 in the scrap's radius of 3.4: 1.6^3 / (12 x 3.4)
        segment = 1.6**3 / 12.0 / 3.4 if cut.inside else 0.0
        strip = 1.6 * (5.0 - 1.6) + math.pi * 0.8**2 / 2.0 - segment
        assert more == pytest.approx(strip, abs=0.05)
        part = area(PLATE).difference(area(HOLE))
        corners = 0.05  # what an inside corner keeps is no loss
        assert proof.band(cut, 1.6).intersection(part).area < corners


# What cannot be cut ------------------------------------------------------------------------------

SLOTTED = Contour.polygon(
    [(0, 0), (60, 0), (60, 30), (31, 30), (31, 10), (30, 10), (30, 30), (0, 30)]
)


def test_a_slot_narrower_than_the_kerf_is_struck_out() -> None:
    (cut,) = proof.cuts(found(SLOTTED), 1.6)
    assert cut.path is None
    assert cut.wide == pytest.approx(1.0, abs=0.01)
    (words,) = proof.faults([cut], "mm")
    assert words.startswith("cut 1 cannot be made")
    assert "1.00 mm wide" in words
    drawing = proof.draw(found(SLOTTED), None, 1.6, "mm")
    assert any("STOP" in label.text for label in drawing.labels)
    crosses = [s.contour for s in drawing.strokes if s.purpose is Purpose.OUTLINE]
    assert len(crosses) == 2
    assert all(math.dist(((c.bounds.left + c.bounds.right) / 2.0, 30.0), (30.5, 30.0)) < 0.1
               for c in crosses)  # fmt: skip
    assert proof.cuts(found(SLOTTED), 0.9)[0].why == ""


def test_other_things_are_named() -> None:
    strange = replace(
        found(PLATE, HOLE),
        others=(Other("TEXT", "0"), Other("SPLINE", "CUT"), Other("TEXT", "0")),
    )
    strange = replace(
        strange,
        runs=(
            *strange.runs,
            Run(Contour.line((5, 35), (15, 35)), "CUT", "inside"),
            Run(Contour.line((5, 33), (15, 33)), "NOTES", ""),
        ),
    )
    words = " ".join(label.text for label in proof.draw(strange, PLASMA, 1.6, "in").labels)
    for said in ("2 TEXT", "1 SPLINE", "1 line to cut not closed", "other layers (NOTES)"):
        assert said in words
    with pytest.raises(ValueError, match="nothing to cut"):
        proof.draw(CutFile("none.dxf", "AC1015", "in", ()), None, 1.6, "in")


# The picture -------------------------------------------------------------------------------------

DOTS = 20
"""Of a millimetre, in the pictures that are measured."""


def picture(file: CutFile, kerf: float, on_line: bool = False) -> tuple[NDArray[np.bool_], Drawing]:
    """The page as black and white, a row of dots for each twentieth of a millimetre from the top,
    and with its drawing moved to where it stands on the page."""
    drawing = proof.draw(file, None, kerf, "mm", on_line=on_line)
    page = pages.fitted(drawing, proof.legend(file, None, kerf, "mm"))
    png = cairosvg.svg2png(bytestring=svg.write(page, drawing), dpi=25.4 * DOTS)
    dots = np.asarray(Image.open(io.BytesIO(png)).convert("L")) < 128
    assert abs(dots.shape[1] - page.width * DOTS) <= 1.0
    at = np.zeros((2,))
    at[:] = page.dx, page.height - page.dy
    return dots, replace(drawing, name=f"{at[0]!r} {at[1]!r}")


def black_runs(row: NDArray[np.bool_]) -> list[tuple[float, float]]:
    """Where the black begins and ends along a row [mm]."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return [(a / DOTS, b / DOTS) for a, b in zip(edges[::2], edges[1::2], strict=True)]


@pytest.mark.parametrize("kerf", [0.8, 1.6])
def test_the_kerf_on_the_picture(kerf: float) -> None:
    """Along a level line through plate and hole: the black is a kerf wide, beyond the outline and
    within the hole. A dot is 0.05 mm."""
    file = found(Contour.rectangle(0, 0, 60, 40), Contour.circle(40, 10, 6).reversed())
    dots, drawing = picture(file, kerf)
    dx, down = (float(part.split("(")[-1].rstrip(")")) for part in drawing.name.split())
    row = dots[round((down - 10.0) * DOTS)]
    seen = [(a - dx, b - dx) for a, b in black_runs(row) if -kerf - 1 < a - dx < 60 + 2 * kerf]
    bands = [run for run in seen if run[1] - run[0] > 0.6]
    wanted = [(-kerf, 0.0), (34.0, 34.0 + kerf), (46.0 - kerf, 46.0), (60.0, 60.0 + kerf)]
    assert len(bands) == len(wanted)
    for got, want in zip(bands, wanted, strict=True):
        assert got == pytest.approx(want, abs=0.11)


def test_another_file_gives_another_picture() -> None:
    """One corner moved by a tenth of a millimetre."""
    before = found(PLATE, HOLE)
    moved = (*PLATE.vertices[:4], Vertex(35.0, 27.9), *PLATE.vertices[5:])
    after = found(Contour(moved), HOLE)

    def made(file: CutFile) -> bytes:
        drawing = proof.draw(file, PLASMA, 1.6, "in")
        return svg.write(pages.fitted(drawing, proof.legend(file, PLASMA, 1.6, "in")), drawing)

    assert made(before) == made(before)
    assert made(before) != made(after)
    revisions = {proof.legend(file, PLASMA, 1.6, "in").revision for file in (before, after)}
    assert len(revisions) == 2


def lines_of(drawing: Drawing) -> list[shapely.Geometry]:
    """Everything drawn: black as areas, lines as lines."""
    shapes = []
    for stroke in drawing.strokes:
        points = stroke.contour.points(0.02)
        if stroke.filled:
            shapes.append(shapely.Polygon(points).buffer(0))
        else:
            shapes.append(
                shapely.LineString([*points, points[0]] if stroke.contour.closed else points)
            )
    return shapes


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("by", [PLASMA, LASER])
@pytest.mark.parametrize("name", ["belt-hatchet", "camp-axe", "bow-tie-hatchet", "felling-axe"])
def test_no_letter_touches_anything(name: str, by: Rules, units: str) -> None:
    """Neither line nor black nor other letters; the marks of the file are lines too."""
    for file in of_head(name, by):
        drawing = proof.draw(file, by, by.kerf, units)
        tree = shapely.STRtree(lines_of(drawing))
        boxes = [shapely.Polygon(label.outline(0.15).points()) for label in drawing.labels]
        for i, box in enumerate(boxes):
            assert len(tree.query(box, predicate="intersects")) == 0, drawing.labels[i].text
            assert not any(box.intersects(other) for other in boxes[:i]), drawing.labels[i].text


def test_every_cut_has_its_number() -> None:
    drawing = proof.draw(found(PLATE, HOLE, WINDOW), PLASMA, 1.6, "in")
    numbers = [label for label in drawing.labels if label.text in "123"]
    assert sorted(label.text for label in numbers) == ["1", "2", "3"]
    own = {label.text: shapely.Point(label.x, label.y + label.height / 2.0) for label in numbers}
    part = area(PLATE).difference(area(HOLE)).difference(area(WINDOW))
    assert part.contains(own["3"])
    assert area(WINDOW).contains(own["2"])
