"""A nest in words, as data and as a picture of each sheet."""

from __future__ import annotations

import math
import textwrap
from collections import Counter
from dataclasses import dataclass
from typing import Any

from . import lettering
from .contour import Bounds, Contour
from .drawing import Drawing, Label, Purpose
from .forging.density import steel_mass
from .nest import Nest, Sheet
from .sheets.layout import ARROW, FIGURE, NOTE, TITLE, Board
from .units import MM_PER_INCH, both, length, mass

WIDTH = 96
"""Columns of a terminal."""
WORTH_KEEPING = 25.0
"""A remnant narrower than this [mm] is scrap. Our own rule, without a source."""

_HATCH = 6.0
_WAYS = {"search": "by the search", "boxes": "as boxes", "rows": "in rows"}
_SQUARE_INCH, _SQUARE_CM = 645.16, 100.0


@dataclass(frozen=True)
class Remnant:
    """A rectangle left of a sheet [mm]: its lower left corner, its length and its width."""

    left: float
    bottom: float
    length: float
    width: float


def remnants(nest: Nest, sheet: Sheet) -> tuple[Remnant, ...]:
    """What is left beyond the parts, a spacing off them: all across the end, and along the side.

    The one along the side ends where the one at the end begins.
    """
    stock, off = nest.stock, nest.spacing
    left = sheet.reach + off
    over = sheet.across + off
    found = []
    if stock.length - left >= WORTH_KEEPING:
        found.append(Remnant(left, 0.0, stock.length - left, stock.width))
    else:
        left = stock.length
    if stock.width - over >= WORTH_KEEPING:
        found.append(Remnant(0.0, over, left, stock.width - over))
    return tuple(found)


def used(nest: Nest, sheet: Sheet) -> float:
    """Metal of the parts on a sheet, without their windows [mm2]."""
    return sum(nest.wanted[each.wanted].area for each in sheet.placed)


def cut_length(nest: Nest, sheet: Sheet) -> float:
    """Outlines and windows of the parts on a sheet [mm]; what lies between parts is not cut."""
    return sum(cut.length for each in sheet.placed for cut in nest.wanted[each.wanted].part.cuts)


# In words ----------------------------------------------------------------------------------------


CUT_SHORT = (
    "The search was ended by the clock: a slower or busier machine may find another nest. "
    "The files are the nest; to have it again, keep them."
)


def lines(
    nest: Nest, units: str, *, thickness: float | None, stock: str = "", name: str = "sheet"
) -> list[str]:  # fmt: skip
    """The cut list: parts, then sheet after sheet."""
    sheets, count = nest.sheets, sum(each.quantity for each in nest.wanted)
    size = _size(nest.stock.length, nest.stock.width, units)
    head = f"{count} {_of('part', count)} on {len(sheets)} {_of(name, len(sheets))} of {size}"
    found = [head + (f", {stock}" if stock else "")]
    ends, sides = nest.stock.ends, nest.stock.sides
    margin = both(ends, units) if ends == sides else f"{both(ends, units)} at the ends only"
    found += [f"spacing {both(nest.spacing, units)}, margin {margin}", ""]
    for i, each in enumerate(nest.wanted, 1):
        where = ", ".join(
            f"{n} on {name} {k}"
            for k, sheet in enumerate(sheets, 1)
            if (n := sum(p.wanted == i - 1 for p in sheet.placed))
        )
        text = f"{i:>3}  {each.quantity} x {lettering.plain(each.name)}: {where}"
        found += textwrap.wrap(text, WIDTH, subsequent_indent="     ")
    for k, sheet in enumerate(sheets, 1):
        found += ["", f"{name} {k}: {len(sheet.placed)} {_of('part', len(sheet.placed))}, laid "
                  f"{_WAYS[sheet.way]}"]  # fmt: skip
        found += [
            f"  {title:<12} {text}" for title, text in _figures(nest, sheet, units, thickness)
        ]
    if nest.cut_short:
        found += ["", *textwrap.wrap(CUT_SHORT, WIDTH)]
    return found


def _of(word: str, count: int) -> str:
    return word if count == 1 else f"{word}s"


def _size(long: float, wide: float, units: str) -> str:
    return f"{length(long, units).removesuffix(' in').removesuffix(' mm')} x {length(wide, units)}"


def _area(square_mm: float, units: str) -> str:
    if units == "in":
        return f"{square_mm / _SQUARE_INCH:.1f} sq in"
    return f"{square_mm / _SQUARE_CM:.1f} cm2"


def _long(mm: float, units: str) -> str:
    """A length that nobody measures off."""
    return f"{mm / MM_PER_INCH:.1f} in" if units == "in" else f"{mm:.0f} mm"


def _figures(
    nest: Nest, sheet: Sheet, units: str, thickness: float | None
) -> list[tuple[str, str]]:  # fmt: skip
    stock = nest.stock
    area, reached = used(nest, sheet), min(sheet.reach + stock.ends, stock.length)
    found = [
        (
            "used",
            f"{_area(area, units)}, {area / (stock.length * stock.width):.0%} of it all; "
            f"{area / (reached * stock.width):.0%} of the {_long(reached, units)} that are begun",
        ),
        ("cut length", _long(cut_length(nest, sheet), units)),
    ]
    if thickness is not None:
        found.append(("parts weigh", mass(steel_mass(area * thickness), units)))
    left = remnants(nest, sheet)
    for each in left:
        place = "at the end" if each.bottom == 0.0 else "along the side"
        found.append(("left over", f"{_size(each.length, each.width, units)}, {place}"))
    if not left:
        found.append(("left over", "no rectangle worth keeping"))
    return found


# As data -----------------------------------------------------------------------------------------


def data(
    nest: Nest, *, seed: int, thickness: float | None, stock: str, files: list[str]
) -> dict[str, Any]:  # fmt: skip
    """All figures, in mm, mm2, g and degrees; each part's turn about its file's origin, then x, y
    from the sheet's lower left corner."""
    sheets = []
    for sheet, file in zip(nest.sheets, files, strict=True):
        area = used(nest, sheet)
        sheets.append(
            {
                "file": file,
                "laid": sheet.way,
                "used_area": area,
                "used_share": area / (nest.stock.length * nest.stock.width),
                "reach": sheet.reach,
                "cut_length": cut_length(nest, sheet),
                "mass": None if thickness is None else steel_mass(area * thickness),
                "remnants": [
                    {"x": r.left, "y": r.bottom, "length": r.length, "width": r.width}
                    for r in remnants(nest, sheet)
                ],
                "placed": [
                    {
                        "part": nest.wanted[each.wanted].name,
                        "copy": each.copy,
                        "turn": each.turn,
                        "x": each.x,
                        "y": each.y,
                    }
                    for each in sheet.placed
                ],
            }
        )
    return {
        "units": {"length": "mm", "area": "mm2", "mass": "g", "angle": "degrees"},
        "sheet": {"length": nest.stock.length, "width": nest.stock.width, "stock": stock,
                  "thickness": thickness, "margin_ends": nest.stock.ends,
                  "margin_sides": nest.stock.sides},
        "spacing": nest.spacing,
        "seed": seed,
        "repeatable": not nest.cut_short,
        "parts": [
            {"name": each.name, "quantity": each.quantity, "area": each.area,
             "turns": list(each.turns)}
            for each in nest.wanted
        ],
        "sheets": sheets,
    }  # fmt: skip


# As a picture ------------------------------------------------------------------------------------


def picture(
    nest: Nest, number: int, units: str, *, stock: str = "", name: str = "sheet",
    thickness: float | None = None,
) -> Drawing:  # fmt: skip
    """One sheet at true size: its edge, the margin, the parts hatched and numbered, what is left.

    What is marked on the parts is left out.
    """
    sheet, board, plate = nest.sheets[number - 1], Board(units), nest.stock
    title = f"{name.title()} {number} of {len(nest.sheets)}"
    board.add(Contour.rectangle(0.0, 0.0, plate.length, plate.width), Purpose.OUTLINE)
    inner = Bounds(plate.ends, plate.sides, plate.length - plate.ends, plate.width - plate.sides)
    if inner.width > 0.0 and inner.height > 0.0 and plate.ends + plate.sides > 0.0:
        edge = Contour.rectangle(inner.left, inner.bottom, inner.right, inner.top)
        board.add(edge, Purpose.HIDDEN)
    for each in sheet.placed:
        part = nest.part(each)
        for cut in part.cuts:
            board.add(cut, Purpose.CUT)
        label = _numbered(part.cuts, str(each.wanted + 1))
        board.labels.append(label)
        _hatch(board, part.cuts, label)
    for left in remnants(nest, sheet):
        _left_over(board, left, inner, units)
    _arrow(board, plate.length)
    top = plate.width + 8.0
    size = _size(plate.length, plate.width, units)
    said = f"{title}: {size}{', ' + lettering.plain(stock) if stock else ''}"
    board.text(said, 0.0, top, TITLE, bold=True)
    _list(board, nest, sheet, units, thickness)
    return board.drawing(f"nest-{number}", f"Nest, {title.lower()}")


def _numbered(cuts: tuple[Contour, ...], text: str) -> Label:
    """A part's number at the place in it that is furthest from all edges."""
    import shapely

    shape = _shape(cuts)
    middle = shapely.maximum_inscribed_circle(shape, tolerance=0.5)
    (x, y), _ = middle.coords
    height = min(8.0, 1.1 * middle.length)
    height = min(height, height * 1.6 * middle.length / lettering.width(text, height))
    return Label(text, x, y - height / 2.0, height, "middle", bold=height > 4.0)


def _shape(cuts: tuple[Contour, ...]) -> Any:
    import shapely

    first, *others = (cut.points(0.05) for cut in cuts)
    return shapely.Polygon(first, others)


def _hatch(board: Board, cuts: tuple[Contour, ...], label: Label) -> None:
    """Slanting lines over the metal of a part, clear of its number."""
    import shapely

    around = shapely.Polygon(label.outline(1.5).points())
    shape = _shape(cuts).difference(around)
    left, low, right, high = shape.bounds
    reach = high - low
    first = math.floor((left - reach) / _HATCH)
    starts = [k * _HATCH for k in range(first, math.ceil(right / _HATCH) + 1)]
    rays = shapely.linestrings([[(x, low), (x + reach, high)] for x in starts])
    found = shapely.get_parts(shapely.intersection(rays, shape))
    for run in found[shapely.length(found) > 1.0]:
        board.line(Purpose.HATCH, *map(tuple, shapely.get_coordinates(run).tolist()))


def _left_over(board: Board, left: Remnant, inner: Bounds, units: str) -> None:
    """A remnant's edge, and its size within the margins."""
    edge = Contour.rectangle(left.left, left.bottom, left.left + left.length,
                             left.bottom + left.width)  # fmt: skip
    board.add(edge, Purpose.THIN)
    text = f"left over: {_size(left.length, left.width, units)}"
    start, low = max(left.left, inner.left), max(left.bottom, inner.bottom)
    end = min(left.left + left.length, inner.right)
    top = min(left.bottom + left.width, inner.top)
    x, y = (start + end) / 2.0, (low + top) / 2.0
    lying, standing = max(end - start - 4.0, 4.0), max(top - low - 4.0, 4.0)
    wide = lettering.width(text, FIGURE)
    if wide <= lying:
        board.text(text, x, y - FIGURE / 2.0, FIGURE, "middle")
    elif wide <= standing:
        board.text(text, x + FIGURE / 2.0, y, FIGURE, "middle", 90.0)
    else:
        size = FIGURE * max(lying, standing) / wide
        if lying >= standing:
            board.text(text, x, y - size / 2.0, size, "middle")
        else:
            board.text(text, x + size / 2.0, y, size, "middle", 90.0)


def _arrow(board: Board, long: float) -> None:
    """The direction in which the stock was rolled, under it."""
    y = -8.0
    wide = lettering.width("rolled", FIGURE)
    reach = min(60.0, max(long / 3.0, wide + 24.0))
    board.line(Purpose.DIMENSION, (0.0, y), (reach / 2.0 - wide / 2.0 - 2.0, y))
    board.line(Purpose.DIMENSION, (reach / 2.0 + wide / 2.0 + 2.0, y), (reach, y))
    board.arrow(0.0, y, math.pi)
    board.arrow(reach, y, 0.0)
    board.text("rolled", reach / 2.0, y - FIGURE / 2.0, FIGURE, "middle")
    assert reach > 2.0 * ARROW


def _list(
    board: Board, nest: Nest, sheet: Sheet, units: str, thickness: float | None
) -> None:  # fmt: skip
    """Numbers and names of the parts, then the sheet's figures, under the picture."""
    count = Counter(each.wanted for each in sheet.placed)
    y = -8.0 - 3.0 * FIGURE
    for i, pieces in sorted(count.items()):
        board.text(f"{i + 1}", 8.0, y, NOTE, "right", bold=True)
        board.text(f"{pieces} x {lettering.plain(nest.wanted[i].name)}", 14.0, y, NOTE)
        y -= 1.95 * NOTE
    y -= NOTE
    for title, text in _figures(nest, sheet, units, thickness):
        board.text(title, 0.0, y, NOTE)
        board.text(text, 32.0, y, NOTE)
        y -= 1.95 * NOTE
