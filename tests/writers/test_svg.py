"""SVG read back by svgelements and the standard library's XML reader."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from readers import LEGEND, PLATE_BOX, check_svg_box, large, plate, svg_box, svg_sizes

from patterns.contour import Contour, Vertex
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.pages import Legend, fitted, lay
from patterns.writers import common, svg

WITHIN = 0.001  # mm: coordinates are written to 0.0001
NS = "{http://www.w3.org/2000/svg}"


def written(drawing: Drawing) -> bytes:
    return svg.write(fitted(drawing, LEGEND), drawing)


def test_the_outline_has_its_size_and_place() -> None:
    drawing = plate()
    page = fitted(drawing, LEGEND)
    data = svg.write(page, drawing)
    check_svg_box(data, "outline", PLATE_BOX.width, PLATE_BOX.height, WITHIN)
    box = svg_box(data, "outline")
    assert box.left == pytest.approx(PLATE_BOX.left + page.dx, abs=WITHIN)
    assert box.top == pytest.approx(page.height - page.dy - PLATE_BOX.bottom, abs=WITHIN)


def test_a_vertex_moved_a_tenth_of_a_millimetre_is_seen() -> None:
    data = written(plate(moved=0.1))
    with pytest.raises(AssertionError):
        check_svg_box(data, "outline", PLATE_BOX.width, PLATE_BOX.height, WITHIN)


def test_a_page_scaled_by_one_per_cent_is_seen() -> None:
    data = written(plate())
    width = svg_sizes(data)[0]
    spoiled = data.replace(
        f'width="{width}"'.encode(), f'width="{float(width[:-2]) * 1.01:.4f}mm"'.encode()
    )
    height = svg_sizes(data)[1]
    spoiled = spoiled.replace(
        f'height="{height}"'.encode(), f'height="{float(height[:-2]) * 1.01:.4f}mm"'.encode()
    )
    assert spoiled != data
    with pytest.raises(AssertionError):
        check_svg_box(spoiled, "outline", PLATE_BOX.width, PLATE_BOX.height, WITHIN)


def test_root_is_in_millimetres_and_the_view_box_in_the_same_numbers() -> None:
    for page in (*lay(large(), LEGEND), fitted(plate(), LEGEND)):
        width, height, view = svg_sizes(svg.write(page, large()))
        assert width.endswith("mm")
        assert height.endswith("mm")
        assert view == [0.0, 0.0, float(width[:-2]), float(height[:-2])]
        assert float(width[:-2]) == pytest.approx(page.width, abs=1e-4)


def test_bars_are_exact() -> None:
    root = ET.fromstring(written(plate()))
    (group,) = [g for g in root.iter(f"{NS}g") if g.get("id") == "page-dimension"]
    sizes = []
    for path in group.iter(f"{NS}path"):
        if path.get("fill") == "#000":
            numbers = [float(n) for n in re.findall(r"[\d.]+", path.attrib["d"])]
            xs, ys = numbers[::2], numbers[1::2]
            sizes.append(max(max(xs) - min(xs), max(ys) - min(ys)))
    assert sorted(round(size, 6) for size in sizes) == [100.0, 100.0, 101.6]


def test_arcs_are_arcs_of_45_degrees_or_less() -> None:
    # quarter turn of radius 40: two arcs; 4 atan(1/2) = 106 degrees, radius 31.25: three
    outline = plate().strokes[0].contour
    data = common.path(outline, 0.0, 0.0)
    assert [float(r) for r in re.findall(r"A([\d.]+)", data)] == pytest.approx(
        [40.0, 40.0, 31.25, 31.25, 31.25], abs=1e-4
    )
    assert common.path(Contour.circle(0, 0, 8), 0.0, 0.0).count("A8 8 0 0 0 ") == 8


def test_a_clockwise_arc_bends_the_other_way() -> None:
    drawing = Drawing(
        "a",
        "A",
        (Stroke(Contour((Vertex(0, 0, -1.0), Vertex(100, 0)), closed=False), Purpose.OUTLINE),),
    )  # half a circle over the line from left to right, clockwise: above it
    page = fitted(drawing, LEGEND)
    box = svg_box(svg.write(page, drawing), "outline")
    assert box.bottom == pytest.approx(page.height - page.dy - 50.0, abs=WITHIN)
    assert box.top == pytest.approx(page.height - page.dy, abs=WITHIN)


def test_ids_are_unique_and_groups_named_by_purpose() -> None:
    for page, drawing in ((fitted(plate(), LEGEND), plate()), (lay(large(), LEGEND)[0], large())):
        root = ET.fromstring(svg.write(page, drawing))
        ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
        assert len(ids) == len(set(ids))
        for stroke in drawing.strokes:
            assert stroke.purpose.value in ids


def test_thick_lines_are_twice_the_thin_ones() -> None:
    root = ET.fromstring(written(plate()))
    pens = {
        g.attrib["id"]: float(g.attrib["stroke-width"])
        for g in root.iter(f"{NS}g")
        if "id" in g.attrib and "stroke-width" in g.attrib
    }
    for thick in ("outline", "mark"):
        for thin in ("thin", "hidden", "centre"):
            assert pens[thick] >= 2.0 * pens[thin]


def test_labels_can_be_read() -> None:
    root = ET.fromstring(written(plate()))
    titles = [t.text for t in root.iter(f"{NS}title")]
    assert "eye 1 3/16 in × 24°" in titles
    assert "Plate, seen from above" in titles
    assert not list(root.iter(f"{NS}text"))


def test_art_is_clipped_on_tiles_alone() -> None:
    (tile, _), whole = lay(large(), LEGEND), fitted(large(), LEGEND)
    root = ET.fromstring(svg.write(tile, large()))
    (rect,) = next(root.iter(f"{NS}clipPath"))
    assert float(rect.attrib["width"]) == pytest.approx(tile.window.width + 1.4, abs=1e-3)
    assert b"clip" not in svg.write(whole, large())


HOSTILE = "<b>\"Björn's\" & 'axe'</b> ]]> <!-- \x00\x0b\x1b \ufffe \ud800 斧 --> &amp;"


def test_any_name_gives_well_formed_xml() -> None:
    drawing = replace(plate(), title="<b>\"Bjorn's\" & 'axe'</b> ]]> <!-- --> &amp;")
    for legend in (Legend(HOSTILE, HOSTILE, "1"), LEGEND):
        root = ET.fromstring(svg.write(fitted(drawing, legend), drawing))
        assert root.findtext(f"{NS}title") == drawing.title


def test_signs_that_xml_forbids_are_taken_out() -> None:
    assert common.clean("a\x00\x0b\x1b\ud800\ufffeb\tc") == "ab\tc"


def test_two_runs_are_equal_and_carry_no_date() -> None:
    assert written(plate()) == written(plate())
    assert not re.search(rb"20\d\d-\d\d", written(plate()))


def test_no_coordinate_has_more_than_four_decimals() -> None:
    assert not re.search(rb"\d\.\d{5}", written(plate()))


def test_heavy_libraries_are_not_loaded_until_they_are_used() -> None:
    code = (
        "import sys, patterns.pages, patterns.writers.svg, patterns.writers.pdf,"
        "patterns.writers.dxf\n"
        "heavy = {'svgwrite', 'cairosvg', 'cairocffi', 'pikepdf', 'ezdxf', 'shapely', 'numpy',"
        " 'HersheyFonts'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert made.stdout.strip() == "[]"
