"""Write as much as one set of patterns holds, with the bare libraries and nothing else.

Run by ``whole.py`` as ``python bare.py COUNTS FOLDER``. COUNTS is a JSON file with the numbers of
entities that were counted in a real set; the places of the entities are made up. There is no
design, no arithmetic of a head and no layout here: what this takes is what the libraries take.
"""

from __future__ import annotations

import io
import json
import math
import sys
from pathlib import Path
from typing import Any


def place(i: int) -> tuple[float, float]:
    """Some place on a sheet [mm]: neighbours lie a few millimetres apart."""
    return 100.0 + 60.0 * math.cos(i * 0.05), 140.0 + 0.01 * i % 40.0 + 60.0 * math.sin(i * 0.05)


def data(numbers: int) -> str:
    """Path data of as many numbers."""
    points = [place(i) for i in range(max(1, numbers // 2))]
    return "M" + "L".join([f"{x:.4f} {y:.4f}" for x, y in points])


def letters(texts: list[str]) -> None:
    """Every text's strokes, out of the one font that the sheets use."""
    from HersheyFonts import HersheyFonts

    class OneFont(HersheyFonts):  # type: ignore[misc]
        default_font_names = ("futural",)

    font = OneFont()
    font.load_default_font("futural")
    for text in texts:
        list(font.strokes_for_text(text))


def shapes(sheet: dict[str, Any]) -> None:
    """A tree of as many lines as the sheet has, asked once for each text."""
    import shapely

    lines = [shapely.LineString([place(i), place(i + 9)]) for i in range(sheet["lines"])]
    tree = shapely.STRtree(lines)
    for i in range(len(sheet["texts"])):
        x, y = place(31 * i)
        tree.query(shapely.box(x, y, x + 20.0, y + 4.0), predicate="intersects")


def svg(sheet: dict[str, Any]) -> bytes:
    """As many groups, titles and paths, with as many numbers in each path."""
    import svgwrite

    drawing = svgwrite.Drawing(size=("200mm", "280mm"), viewBox="0 0 200 280", debug=False)
    for title in sheet["titles"]:
        drawing.add(drawing.g(stroke_width=0.25)).set_desc(title=title)
    group = drawing.add(drawing.g(fill="none", stroke="#000"))
    for numbers in sheet["paths"]:
        group.add(drawing.path(d=data(numbers)))
    text: str = drawing.tostring()
    return text.encode()


def art(form: dict[str, int]) -> bytes:
    """A document that draws as many paths of as many lines and arcs."""
    lines, curves = form["lines"], form["curves"]
    parts = [f"M{x:.4f} {y:.4f}" for x, y in map(place, range(form["moves"]))]
    parts += [f"L{x:.4f} {y:.4f}" for x, y in map(place, range(lines))]
    parts += [f"A200 200 0 0 1 {x:.4f} {y:.4f}" for x, y in map(place, range(curves))]
    share = -(-len(parts) // form["paths"])
    found = ['<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="280mm" '
             'viewBox="0 0 200 280">']  # fmt: skip
    for i in range(0, len(parts), share):
        inside = "".join(parts[i : i + share])
        found.append(f'<path fill="none" stroke="#000" stroke-width="0.25" d="M0 0{inside}"/>')
    return "".join([*found, "</svg>"]).encode()


def pdf(counts: dict[str, Any]) -> bytes:
    """As many forms by CairoSVG, on as many pages with as many operators of their own."""
    import cairosvg
    import pikepdf
    from pikepdf import Dictionary

    made = pikepdf.new()
    forms = []
    for form in counts["forms"]:
        with pikepdf.open(io.BytesIO(cairosvg.svg2pdf(bytestring=art(form)))) as one:
            forms.append(made.copy_foreign(one.pages[0].as_form_xobject()))
    for page in counts["pages"]:
        sheet = made.add_blank_page(page_size=(612, 792))
        content = ["q 2.8346 0 0 2.8346 0 0 cm"]
        content += [f"{x:.4f} {y:.4f} l" for x, y in map(place, range(page["operators"]))]
        content += ["Q q 1 0 0 1 0 0 cm /Art Do Q"]
        sheet.obj.Contents = made.make_stream("\n".join(content).encode())
        sheet.obj.Resources = Dictionary(XObject=Dictionary(Art=forms[page["form"]]))
    out = io.BytesIO()
    made.save(out, min_version="1.7", deterministic_id=True, compress_streams=True)
    return out.getvalue()


def dxf(polylines: list[int]) -> bytes:
    """As many polylines, with as many vertices in each."""
    import ezdxf

    doc = ezdxf.new("R2000", units=4)
    space = doc.modelspace()
    for vertices in polylines:
        space.add_lwpolyline([(*place(i), 0.1) for i in range(vertices)], format="xyb", close=True)
    out = io.StringIO(newline="")
    doc.write(out)
    return out.getvalue().encode()


def main(counts_file: str, folder: str) -> None:
    counts = json.loads(Path(counts_file).read_text())
    out = Path(folder)
    out.mkdir(parents=True, exist_ok=True)
    for number, sheet in enumerate(counts["sheets"]):
        letters(sheet["texts"])
        shapes(sheet)
        (out / f"{number}.svg").write_bytes(svg(sheet))
    for number, polylines in enumerate(counts["dxf"]):
        (out / f"{number}.dxf").write_bytes(dxf(polylines))
    (out / "all.pdf").write_bytes(pdf(counts))


if __name__ == "__main__":
    main(*sys.argv[1:])
