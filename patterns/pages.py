"""From a drawing to pages: paper, tiles, check bars, legend.

Nothing is scaled here or anywhere after. A drawing that does not fit on one sheet is cut into
tiles that overlap; crosses and trim lines stand in the same place on both neighbours, so that the
sheets can be laid over each other. Page coordinates are millimetres from the lower left corner, y
upwards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from . import lettering
from .contour import Bounds, Contour, Point
from .drawing import Drawing, Label, Purpose, Stroke
from .errors import BadInputError, Fault
from .units import MM_PER_INCH

PAPERS: dict[str, tuple[float, float]] = {
    "letter": (8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH),
    "a4": (210.0, 297.0),
    "legal": (8.5 * MM_PER_INCH, 14.0 * MM_PER_INCH),
    "tabloid": (11.0 * MM_PER_INCH, 17.0 * MM_PER_INCH),
    "a3": (297.0, 420.0),
}
"""Width and height of the paper, upright [mm]. A4 and A3 as in ISO 216."""

OVERLAP = 10.0
"""Width of what two neighbouring tiles both show [mm]."""

MARGIN = 8.0
"""White edge of every page [mm]; many printers leave 1/4 in unprinted."""

BARS = (100.0, 4.0 * MM_PER_INCH)
"""Lengths of the check bars [mm]: 100 mm (level and upright) and 4 in (level)."""

WORDS = "Print at 100 %, actual size. Measure the bars before use."
JOINING = "Trim one sheet of each pair to the dashed line and lay it on the other, cross on cross."

_STRIP = 8.0  # left edge, for the upright bar
_GAP = 4.0  # between the footer and the art
_BAR = 1.5  # thickness of a check bar
_PEN = 0.5  # what a thick line may stand out over its contour, and a little
_TEXT, _TITLE, _NAME = 2.4, 2.7, 3.2  # heights of capitals
_PITCH = 4.6  # from line to line; a stacked fraction of the text is 3.9 high
_MAP = (24.0, 12.0)  # room for the assembly map
_BESIDE = 95.0  # narrowest column of text beside the bars


@dataclass(frozen=True)
class Legend:
    """What every page says of the pattern; ``date`` only if it was asked for.

    ``words`` stand under the check bars.
    """

    pattern: str
    recipe: str
    revision: str
    date: str | None = None
    words: str = WORDS


@dataclass(frozen=True)
class Page:
    """One sheet.

    ``furniture`` is in page coordinates. ``window`` is the part of the drawing that shows, in the
    drawing's own coordinates; ``dx, dy`` [mm] move the drawing onto the page. ``of`` is the number
    of sheets that make up the drawing. ``name`` is ``"1"`` for a single sheet; tiles are named by
    row and column, ``"A1"`` at the top left.
    """

    name: str
    width: float
    height: float
    furniture: Drawing
    window: Bounds
    dx: float
    dy: float
    of: int = 1

    @property
    def tiled(self) -> bool:
        """Whether the drawing runs on to other sheets, so that it is cut at the window."""
        return self.of > 1


# Lines of text ---------------------------------------------------------------------------------


def _shortened(text: str, width: float, height: float) -> str:
    """The text, or as much of it as fits followed by an ellipsis."""
    if lettering.width(text, height) <= width:
        return text
    kept = text
    while kept and lettering.width(f"{kept}…", height) > width:
        kept = kept[:-1].rstrip()
    return f"{kept}…"


# Footer ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Grid:
    """Tiles of one drawing: how many, and the size of one window [mm]."""

    columns: int
    rows: int
    width: float
    height: float

    @property
    def count(self) -> int:
        return self.columns * self.rows

    def name(self, column: int, row: int) -> str:
        """Row letter and column number, counted from the top left: A1, A2, B1; after Z, AA."""
        letters, rest = "", row + 1
        while rest:
            rest, letter = divmod(rest - 1, 26)
            letters = chr(ord("A") + letter) + letters
        return f"{letters}{column + 1}"


@dataclass(frozen=True)
class _Footer:
    """The footer without what differs from tile to tile; lower left corner at 0, 0."""

    height: float
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    tile: Point
    """Where the baseline of the tile's name begins."""
    map: Point
    """Lower right corner of the assembly map."""


def _bar(left: float, bottom: float, right: float, top: float) -> Stroke:
    return Stroke(Contour.rectangle(left, bottom, right, top), Purpose.DIMENSION, filled=True)


def _bars_width(words: str) -> float:
    names = max(lettering.width(name, _TEXT) for name in ("100 mm", "4 in"))
    return max(max(BARS) + 3.5 + names, lettering.width(words, _TEXT))


def _footer(width: float, title: str, legend: Legend, tiled: bool) -> _Footer:
    """Bars and words at the left; text beside them where there is room, else above them."""
    strokes: list[Stroke] = []
    labels = [Label(legend.words, 0.0, 0.0, _TEXT)]
    for row, (length, name) in enumerate(zip(BARS, ("100 mm", "4 in"), strict=True)):
        y = 10.8 - 5.2 * row
        strokes.append(_bar(0.0, y, length, y + _BAR))
        labels.append(Label(name, max(BARS) + 3.5, y + (_BAR - _TEXT) / 2.0, _TEXT))
    bars_width, bars_height = _bars_width(legend.words), 10.8 + _BAR

    map_width = _MAP[0] + 5.0 if tiled else 0.0
    side = bars_width + 6.0
    room = width - side - map_width
    beside = room >= _BESIDE
    column = room if beside else width

    name = _shortened(lettering.plain(legend.pattern) or "?", column, _NAME)
    recipe = lettering.plain(legend.recipe)
    text = [(name, _NAME, True)]
    text += [(line, _TITLE, False) for line in lettering.wrapped(title, column, _TITLE)]
    text += [(line, _TEXT, False) for line in lettering.wrapped(recipe, column, _TEXT)]
    if tiled:
        text += [(line, _TEXT, False) for line in lettering.wrapped(JOINING, column, _TEXT)]

    # the short lines: the tile's name (put in by the caller), the revision, the date
    stamp = f"revision {legend.revision}" + (f"   {legend.date}" if legend.date else "")
    tile_width = lettering.width("AA00 of 000", _TITLE) + 5.0
    if beside and lettering.width(stamp, _TEXT) <= room - tile_width:
        tile = (side, 0.0)
        labels.append(Label(stamp, side + tile_width, 0.0, _TEXT))
        short = 1
    else:
        lines = [
            line
            for part in (f"revision {legend.revision}", legend.date or "")
            for line in lettering.wrapped(part, room, _TEXT)
        ]
        short = 1 + len(lines)
        tile = (side, _PITCH * len(lines))
        for row, line in enumerate(reversed(lines)):
            labels.append(Label(line, side, _PITCH * row, _TEXT))

    x = side if beside else 0.0
    y = _PITCH * short if beside else max(bars_height + 4.0, _PITCH * short)
    top = bars_height
    lines_up: list[Label] = []
    for line, height, bold in reversed(text):
        lines_up.append(Label(line, x, y, height, bold=bold))
        top = max(top, y + height)
        y += _PITCH + (0.5 if height == _TITLE else 0.0)
    labels = lines_up[::-1] + labels  # in the order of reading, for search and copy
    top = max(top, tile[1] + _TITLE, _MAP[1] if tiled else 0.0)
    return _Footer(top, tuple(strokes), tuple(labels), tile, (width, 0.0))


def _assembly(grid: _Grid, column: int, row: int, corner: Point) -> Iterator[Stroke]:
    """A small picture of the sheets as they lie, this one filled."""
    scale = min(_MAP[0] / (grid.columns * grid.width), _MAP[1] / (grid.rows * grid.height))
    w, h = grid.width * scale, grid.height * scale
    left, top = corner[0] - grid.columns * w, corner[1] + grid.rows * h
    for j in range(grid.rows):
        for i in range(grid.columns):
            x, y = left + i * w, top - (j + 1) * h
            cell = Contour.rectangle(x, y, x + w, y + h)
            yield Stroke(cell, Purpose.THIN)
            if (i, j) == (column, row):
                yield Stroke(cell, Purpose.THIN, filled=True)


# Joins -----------------------------------------------------------------------------------------


def _segments(drawing: Drawing) -> list[tuple[Point, Point]]:
    """What is drawn, roughly, to keep words off it."""
    found: list[tuple[Point, Point]] = []
    contours = [stroke.contour for stroke in drawing.strokes]
    contours += [label.outline() for label in drawing.labels]
    for contour in contours:
        points = contour.points(0.5)
        found += pairwise(points)
        if contour.closed:
            found.append((points[-1], points[0]))
    return found


def _meets(segment: tuple[Point, Point], box: Bounds) -> bool:
    """Whether a segment enters a box."""
    (x0, y0), (x1, y1) = segment
    first, last = 0.0, 1.0
    for start, step, low, high in (
        (x0, x1 - x0, box.left, box.right),
        (y0, y1 - y0, box.bottom, box.top),
    ):
        if step == 0.0:
            if not low <= start <= high:
                return False
            continue
        a, b = sorted(((low - start) / step, (high - start) / step))
        first, last = max(first, a), min(last, b)
    return first <= last


def _cross(x: float, y: float) -> Iterator[Stroke]:
    yield Stroke(Contour.line((x - 4.0, y), (x + 4.0, y)), Purpose.DIMENSION)
    yield Stroke(Contour.line((x, y - 4.0), (x, y + 4.0)), Purpose.DIMENSION)
    yield Stroke(Contour.circle(x, y, 2.0), Purpose.DIMENSION)


def _joins(
    grid: _Grid, column: int, row: int, area: Bounds, art: list[tuple[Point, Point]]
) -> tuple[list[Stroke], list[Label]]:
    """Crosses, trim lines and the neighbours' names; ``art`` in page coordinates."""
    half = OVERLAP / 2.0
    inner = area.grown(-half)
    strokes = [
        stroke
        for x in (inner.left, inner.right)
        for y in (inner.bottom, inner.top)
        for stroke in _cross(x, y)
    ]
    labels: list[Label] = []
    for on, di, dj in (
        (column > 0, -1, 0),
        (column < grid.columns - 1, 1, 0),
        (row > 0, 0, -1),
        (row < grid.rows - 1, 0, 1),
    ):
        if not on:
            continue
        text = f"joins {grid.name(column + di, row + dj)}"
        if di:
            x = inner.left if di < 0 else inner.right
            trim = Contour.line((x, area.bottom), (x, area.top))
            strip = x + di * half / 2.0 + _TEXT / 2.0
            places = [
                Label(text, strip, area.bottom + share * area.height, _TEXT, "middle", 90.0)
                for share in _SHARES
            ]
        else:
            y = inner.top if dj < 0 else inner.bottom
            trim = Contour.line((area.left, y), (area.right, y))
            strip = y - dj * half / 2.0 - _TEXT / 2.0
            places = [
                Label(text, area.left + share * area.width, strip, _TEXT, "middle")
                for share in _SHARES
            ]
        strokes.append(Stroke(trim, Purpose.HIDDEN))
        free = (
            place
            for place in places
            if not any(_meets(segment, place.outline(0.8).bounds) for segment in art)
        )
        labels += [place for place in (next(free, None),) if place is not None]
    return strokes, labels


_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.13, 0.87, 0.06, 0.94)
"""Where along a join its name may stand; it is left out where art takes every place."""


# Pages -----------------------------------------------------------------------------------------


def _art_area(width: float, height: float, footer: _Footer) -> Bounds:
    return Bounds(MARGIN + _STRIP, MARGIN + footer.height + _GAP, width - MARGIN, height - MARGIN)


def _furnished(
    width: float,
    height: float,
    footer: _Footer,
    tile: str,
    strokes: list[Stroke],
    labels: list[Label],
    drawing: Drawing,
) -> Drawing:
    """Footer, upright bar and what is given, as one drawing in page coordinates."""
    rule = MARGIN + footer.height + _GAP / 2.0
    area = _art_area(width, height, footer)
    low = (area.bottom + area.top - BARS[0]) / 2.0
    bar = _bar(MARGIN, low, MARGIN + _BAR, low + BARS[0])
    name = Label("100 mm", MARGIN + _BAR + 1.5 + _TEXT, low + BARS[0] / 2.0, _TEXT, "middle", 90.0)
    x, y = footer.tile
    return Drawing(
        drawing.name,
        drawing.title,
        (
            Stroke(Contour.line((MARGIN, rule), (width - MARGIN, rule)), Purpose.DIMENSION),
            bar,
            *(Stroke(s.contour.moved(MARGIN, MARGIN), s.purpose, s.filled) for s in footer.strokes),
            *strokes,
        ),
        (
            name,
            *(
                Label(lb.text, lb.x + MARGIN, lb.y + MARGIN, lb.height, bold=lb.bold)
                for lb in footer.labels
            ),
            Label(tile, x + MARGIN, y + MARGIN, _TITLE, bold=True),
            *labels,
        ),
    )


def _centred(box: Bounds, area: Bounds) -> tuple[float, float]:
    return (
        (area.left + area.right - box.left - box.right) / 2.0,
        (area.bottom + area.top - box.bottom - box.top) / 2.0,
    )


def _single(
    drawing: Drawing, width: float, height: float, footer: _Footer, box: Bounds,
    name: str = "1 of 1",
) -> Page:  # fmt: skip
    area = _art_area(width, height, footer)
    dx, dy = _centred(box, area)
    return Page(
        "1",
        width,
        height,
        _furnished(width, height, footer, name, [], [], drawing),
        Bounds(area.left - dx, area.bottom - dy, area.right - dx, area.top - dy),
        dx,
        dy,
    )


def _weighed(drawing: Drawing) -> list[tuple[Bounds, float]]:
    """Every stroke and label with how much is lost where a join cuts it."""
    weights = {Purpose.OUTLINE: 4.0, Purpose.CUT: 4.0, Purpose.MARK: 6.0, Purpose.HATCH: 0.1}
    found = [(s.contour.bounds, weights.get(s.purpose, 1.0)) for s in drawing.strokes]
    return found + [(label.outline().bounds, 3.0) for label in drawing.labels]


def _first_edge(
    spans: list[tuple[float, float, float]], low: float, high: float, count: int, step: float
) -> float:
    """Where the first tile begins, so that the joins cut least; centred where that is all one.

    ``spans`` are the extents of what is drawn, with weights; ``low`` to ``high`` is to be covered
    by ``count`` tiles a ``step`` apart.
    """
    spare = (count * step + OVERLAP - (high - low)) / 2.0
    if count == 1:
        return low - spare

    def cost(start: float) -> float:
        joins = [(start + k * step, start + k * step + OVERLAP) for k in range(1, count)]
        return sum(w for a, b, w in spans for c, d in joins if a < d and b > c)

    shifts = sorted((spare * i / 24.0 for i in range(-24, 25)), key=abs)
    return min((low - spare + shift for shift in shifts), key=cost)


def _tiles(
    drawing: Drawing, width: float, height: float, footer: _Footer, box: Bounds, grid: _Grid
) -> tuple[Page, ...]:
    area = _art_area(width, height, footer)
    step_x, step_y = grid.width - OVERLAP, grid.height - OVERLAP
    across = [(b.left, b.right, weight) for b, weight in _weighed(drawing)]
    upwards = [(-b.top, -b.bottom, weight) for b, weight in _weighed(drawing)]
    left = _first_edge(across, box.left, box.right, grid.columns, step_x)
    top = -_first_edge(upwards, -box.top, -box.bottom, grid.rows, step_y)
    segments = _segments(drawing)
    pages = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            x, y = left + column * step_x, top - row * step_y - grid.height
            dx, dy = area.left - x, area.bottom - y
            art = [((a + dx, b + dy), (c + dx, d + dy)) for (a, b), (c, d) in segments]
            strokes, labels = _joins(grid, column, row, area, art)
            corner = (MARGIN + footer.map[0], MARGIN + footer.map[1])
            strokes += _assembly(grid, column, row, corner)
            name = grid.name(column, row)
            pages.append(
                Page(
                    name,
                    width,
                    height,
                    _furnished(
                        width,
                        height,
                        footer,
                        f"{name} of {grid.count}",
                        strokes,
                        labels,
                        drawing,
                    ),
                    Bounds(x, y, x + grid.width, y + grid.height),
                    dx,
                    dy,
                    grid.count,
                )
            )
    return tuple(pages)


def check_paper(paper: str) -> list[Fault]:
    """The fault of a paper that is not in :data:`PAPERS`, or none."""
    if paper in PAPERS:
        return []
    return [Fault("paper", repr(paper), ", ".join(PAPERS), "choose one of these")]


def lay(drawing: Drawing, legend: Legend, paper: str = "letter") -> tuple[Page, ...]:
    """The sheets of paper that show the drawing at true size.

    One sheet where it fits, upright or lying; otherwise tiles, in the direction that needs fewer
    sheets, row by row from the top left.

    Raises
    ------
    BadInputError
        For a paper that is not in :data:`PAPERS`.
    ValueError
        For a drawing with nothing on it, or a label that cannot be set.

    >>> bar = Drawing("bar", "Bar", (Stroke(Contour.rectangle(0, 0, 300, 38), Purpose.OUTLINE),))
    >>> [page.name for page in lay(bar, Legend("Broad axe", "1/2 x 1 1/2 in", "1"))]
    ['A1', 'A2']
    >>> [page.name for page in lay(bar, Legend("Broad axe", "1/2 x 1 1/2 in", "1"), "a3")]
    ['1']
    """
    if faults := check_paper(paper):
        raise BadInputError(faults)
    box = drawing.bounds.grown(_PEN)
    upright = PAPERS[paper]
    choices: list[tuple[int, float, float, float, _Footer, _Grid]] = []
    for width, height in (upright, upright[::-1]):
        footer = _footer(width - 2.0 * MARGIN, drawing.title, legend, tiled=False)
        area = _art_area(width, height, footer)
        grid = _Grid(1, 1, area.width, area.height)
        if box.width > area.width or box.height > area.height:
            footer = _footer(width - 2.0 * MARGIN, drawing.title, legend, tiled=True)
            area = _art_area(width, height, footer)
            if min(area.width, area.height) <= 2.0 * OVERLAP:
                continue
            grid = _Grid(
                max(1, math.ceil((box.width - OVERLAP) / (area.width - OVERLAP))),
                max(1, math.ceil((box.height - OVERLAP) / (area.height - OVERLAP))),
                area.width,
                area.height,
            )
        shape = abs(math.log(area.width / area.height) - math.log(box.width / box.height))
        choices.append((grid.count, shape, width, height, footer, grid))
    if not choices:
        raise BadInputError(
            [Fault("paper", repr(paper), "a larger paper", "shorten the recipe, or take it")]
        )
    count, _, width, height, footer, grid = min(choices, key=lambda choice: choice[:2])
    if count == 1:
        return (_single(drawing, width, height, footer, box),)
    return _tiles(drawing, width, height, footer, box, grid)


def _turned(paper: str, lying: bool) -> tuple[float, float]:
    width, height = PAPERS[paper]
    return (height, width) if lying else (width, height)


def room(title: str, legend: Legend, paper: str, lying: bool) -> tuple[float, float]:
    """Width and height that a drawing may have on one sheet beside its furniture [mm].

    For what is laid out by the sheet in the first place, so that no join is needed. The paper is
    one of :data:`PAPERS`.
    """
    width, height = _turned(paper, lying)
    area = _art_area(width, height, _footer(width - 2.0 * MARGIN, title, legend, tiled=False))
    return area.width - 2.0 * _PEN, area.height - 2.0 * _PEN


def sheet(
    drawing: Drawing, legend: Legend, paper: str, lying: bool, number: int, count: int
) -> Page:
    """A drawing no larger than :func:`room`, on sheet ``number`` of ``count``, from its top left.

    Raises :class:`ValueError` for a larger one.
    """
    box = drawing.bounds
    most_wide, most_tall = room(drawing.title, legend, paper, lying)
    if box.width > most_wide + 1e-6 or box.height > most_tall + 1e-6:
        raise ValueError(f"{drawing.name!r} is larger than the sheet")
    width, height = _turned(paper, lying)
    footer = _footer(width - 2.0 * MARGIN, drawing.title, legend, tiled=False)
    box = Bounds(box.left, box.top - most_tall, box.left + most_wide, box.top).grown(_PEN)
    return _single(drawing, width, height, footer, box, f"{number} of {count}")


def fitted(drawing: Drawing, legend: Legend) -> Page:
    """One page as large as the drawing and its furniture need; raises as :func:`lay`.

    >>> bar = Drawing("bar", "Bar", (Stroke(Contour.rectangle(0, 0, 300, 38), Purpose.OUTLINE),))
    >>> page = fitted(bar, Legend("Broad axe", "1/2 x 1 1/2 in", "1"))
    >>> page.width, page.window.left < 0.0, page.window.right > 300.0
    (325.0, True, True)
    """
    box = drawing.bounds.grown(_PEN)
    inside = max(box.width + _STRIP, PAPERS["letter"][0] - 2.0 * MARGIN)
    footer = _footer(inside, drawing.title, legend, tiled=False)
    width = inside + 2.0 * MARGIN
    height = max(box.height, BARS[0] + 10.0) + footer.height + _GAP + 2.0 * MARGIN
    return _single(drawing, width, height, footer, box)
