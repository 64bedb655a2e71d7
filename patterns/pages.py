"""From a drawing to pages: paper, tiles, check bars, legend.

Nothing is ever scaled to fit. A drawing that does not fit on one sheet is cut into tiles that
overlap; crosses and trim lines stand in the same place on both neighbours, so that the sheets can
be laid over each other. Page coordinates are millimetres from the lower left corner, y upwards.

A printer that makes everything a little too short or too long is answered by a
:class:`Correction`: the page is laid out on paper as that printer sees it, and the PDF is written
larger or smaller by its factors, so that what comes out of the printer is at true size.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from . import lettering
from .contour import Bounds, Contour, Point
from .drawing import Drawing, Label, Purpose, Stroke
from .errors import BadInputError, Fault
from .units import (
    MM_PER_INCH,
    NotALengthError,
    at_least,
    at_most,
    both,
    both_limits,
    read_length,
    read_section,
)

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

LEAST_OVERLAP = 8.0
"""Narrowest overlap [mm]: half of it takes a line of text."""

MARGIN = 8.0
"""White edge of every page [mm]; many printers leave 1/4 in unprinted."""

LEAST_MARGIN = 3.0
"""Narrowest white edge [mm]."""

LONGEST = 200.0 * MM_PER_INCH
"""Longest side of a page [mm]: 14 400 units of 1/72 in, the most that common readers of PDF take
(PDF Reference 1.7, Annex C)."""

LEAST_ROOM = (185.0, 150.0)
"""Least width and height inside the margins [mm]: bars, words, map and tile's name beside each
other; the upright bar over a footer of ordinary height."""

DOT = MM_PER_INCH / 600.0
"""Art is moved onto its pages by whole dots of 600 to the inch [mm], so that neighbouring tiles
are drawn from the same dots and their joins match exactly."""

BARS = (100.0, 4.0 * MM_PER_INCH)
"""Lengths of the check bars [mm]: 100 mm (level and upright) and 4 in (level)."""

WORDS = "Print at 100 %, actual size. Measure the bars before use."
JOINING = (
    "Where sheets join, trim the left and the top edge to the dashed line; the strips on the right "
    "and at the bottom take the glue and lie below. Lay cross on cross."
)

_STRIP = 8.0  # left edge, for the upright bar
_GAP = 4.0  # between the footer and the art
_BAR = 1.5  # thickness of a check bar
_PEN = 0.5  # what a thick line may stand out over its contour, and a little
_TEXT, _TITLE, _NAME = 2.4, 2.7, 3.2  # heights of capitals
_TAIL = 0.9  # what hangs below the line of the text
_PITCH = 4.6  # from line to line; a stacked fraction of the text is 3.9 high
_MAP = (24.0, 12.0)  # room for the assembly map
_BESIDE = 95.0  # narrowest column of text beside the bars


@dataclass(frozen=True)
class Paper:
    """Paper, upright: ``width`` is the shorter side [mm]; ``height`` is None for a roll.

    ``margin`` is the white edge and ``overlap`` the width of what two tiles both show [mm].
    """

    name: str
    width: float
    height: float | None
    margin: float = MARGIN
    overlap: float = OVERLAP

    @property
    def roll(self) -> bool:
        """Whether it is cut off where the drawing ends."""
        return self.height is None


@dataclass(frozen=True)
class Correction:
    """What a printer's lengths are to be multiplied by, so that they come out true.

    ``level`` belongs to the paper's own width and ``upright`` to its height, as it lies upright
    before the smith; they are 1 over what the printer makes of a millimetre. Printers feed a lying
    page turned, so with a correction every page of the PDF stands upright, and what lies is turned
    a quarter on it: the factors then never change places.
    """

    printer: str
    level: float
    upright: float

    @property
    def words(self) -> str:
        """What every sheet says of it.

        >>> Correction("shop laser", 1.0, 1.01215).words
        'Corrected for shop laser, paper upright: level x 1.0000, upright x 1.0122.'
        """
        return (
            f"Corrected for {self.printer}, paper upright: level x {self.level:.4f}, "
            f"upright x {self.upright:.4f}."
        )


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
    row and column, ``"A1"`` at the top left. All of this is as it shall come out of the printer;
    a PDF for a printer with a ``correction`` is written by ``to_paper`` on a page of the size
    ``on_paper``. ``lying`` says that the page's width runs along the paper's height.
    """

    name: str
    width: float
    height: float
    furniture: Drawing
    window: Bounds
    dx: float
    dy: float
    of: int = 1
    lying: bool = False
    correction: Correction | None = None

    @property
    def on_paper(self) -> tuple[float, float]:
        """Width and height of the PDF's page [mm]; upright wherever there is a correction."""
        if self.correction is None:
            return self.width, self.height
        across, along = (self.height, self.width) if self.lying else (self.width, self.height)
        return across * self.correction.level, along * self.correction.upright

    @property
    def to_paper(self) -> tuple[float, float, float, float, float, float]:
        """Where the PDF has a place of the page: ``(a x + c y + e, b x + d y + f)`` [mm].

        >>> page = Page("1", 280.0, 200.0, Drawing("", ""), Bounds(0, 0, 1, 1), 0.0, 0.0,
        ...             lying=True, correction=Correction("laser", 1.0, 1.01))
        >>> page.to_paper, page.on_paper
        ((0.0, 1.01, -1.0, 0.0, 200.0, 0.0), (200.0, 282.8))
        """
        if self.correction is None:
            return 1.0, 0.0, 0.0, 1.0, 0.0, 0.0
        level, upright = self.correction.level, self.correction.upright
        if self.lying:  # a quarter turn, so that what is on top lies at the left
            return 0.0, upright, -level, 0.0, self.height * level, 0.0
        return level, 0.0, 0.0, upright, 0.0, 0.0

    @property
    def tiled(self) -> bool:
        """Whether the drawing runs on to other sheets, so that it is cut at the window."""
        return self.of > 1


# Papers ----------------------------------------------------------------------------------------

_EXAMPLES = f'{", ".join(PAPERS)}; a size as "18 x 24 in"; or the width of a roll as "36 in"'


def read_paper(
    text: str, margin: str | None = None, overlap: str | None = None, units: str = "in"
) -> Paper:
    """A paper by name, by its size or by the width of its roll, with margin and overlap.

    Raises :class:`BadInputError` with every fault of the three, in the user's ``units``.

    >>> read_paper("A4").width, read_paper("18x24in").height, read_paper("914 mm").roll
    (210.0, 609.6, True)
    """
    faults: list[Fault] = []
    found = _paper(text, units, faults)
    edge = _length("--margin", margin, MARGIN, LEAST_MARGIN, units, faults)
    lap = _length("--overlap", overlap, OVERLAP, LEAST_OVERLAP, units, faults)
    if found is not None:
        most = _most_margin(*found[1:])
        if most < (LEAST_MARGIN if margin is not None else MARGIN):
            faults.append(_too_small(text, LEAST_MARGIN if margin is not None else MARGIN, units))
        elif edge is not None and edge > most + 1e-9:
            faults.append(
                Fault(
                    "--margin", repr((margin or "")[:60]), both_limits(LEAST_MARGIN, most, units),
                    "make it less, or take a larger paper: bars and footer need the room",
                )
            )  # fmt: skip
        if most >= LEAST_MARGIN and lap is not None:
            least = LEAST_MARGIN if edge is None else min(edge, most)
            most = _most_overlap(*found[1:], least)
            if lap > most + 1e-9:
                faults.append(
                    Fault(
                        "--overlap", repr((overlap or "")[:60]),
                        both_limits(LEAST_OVERLAP, most, units),
                        "make it less, or take a larger paper: tiles must have room between joins",
                    )
                )  # fmt: skip
    if faults or found is None or edge is None or lap is None:
        raise BadInputError(faults)
    return Paper(*found, edge, lap)


def _paper(text: str, units: str, faults: list[Fault]) -> tuple[str, float, float | None] | None:
    """Name, width and height; None, with its fault added, if it is no paper."""
    plain = " ".join(text.lower().split())
    if plain in PAPERS:
        return plain, *PAPERS[plain]
    sizes = plain.replace("\u00d7", "x").split("x")
    for trial in (plain, "x".join(sizes[::-1])):  # the unit may stand on either of the two
        try:
            sides = read_section(trial) if len(sizes) == 2 else (read_length(plain),)
        except NotALengthError:
            continue
        if max(sides) > LONGEST + 1e-9:
            given = repr(text[:60])
            faults.append(
                Fault(
                    "--paper",
                    given,
                    f"sides of up to {at_most(LONGEST, units)}",
                    "is the unit right?",
                )
            )
            return None
        return plain, min(sides), max(sides) if len(sides) == 2 else None
    bare = re.fullmatch(r"[\d\s./x-]+", "x".join(sizes)) is not None
    change = "put its unit behind it, in or mm" if bare else "choose one of these"
    faults.append(Fault("--paper", repr(text[:60]), _EXAMPLES, change))
    return None


def _length(
    name: str, text: str | None, usual: float, least: float, units: str, faults: list[Fault]
) -> float | None:
    """A length of an option [mm], the usual one if it is not given; None if it is at fault."""
    if text is None:
        return usual
    try:
        found = read_length(text)
    except NotALengthError as error:
        faults.append(Fault(name, repr(text[:60]), str(error), "write it so"))
        return None
    if found >= least - 1e-9:
        return found
    faults.append(Fault(name, repr(text[:60]), _or_more(least, units), "make it more"))
    return None


def _or_more(least: float, units: str) -> str:
    """A least length in words, rounded up in both units, so that what is shown is allowed."""
    other = "mm" if units == "in" else "in"
    return f"{at_least(least, units)} ({at_least(least, other)}) or more"


def _rooms(width: float, height: float | None) -> list[tuple[float, float]]:
    """Both ways round that a paper can lie; a roll's free side is as long as it may be."""
    long = LONGEST if height is None else height
    return [(width, long), (long, width)]


def _most_margin(width: float, height: float | None) -> float:
    """The widest margin that leaves room for bars and footer, one way round or the other [mm]."""
    least_wide, least_high = LEAST_ROOM
    return max(
        min((wide - least_wide) / 2.0, (high - least_high) / 2.0)
        for wide, high in _rooms(width, height)
    )


def _most_overlap(width: float, height: float | None, margin: float) -> float:
    """The widest overlap of tiles that still show more than their joins [mm]."""
    foot = LEAST_ROOM[1] - BARS[0]
    return max(
        min(wide - 2.0 * margin - _STRIP, high - 2.0 * margin - foot) / 2.5
        for wide, high in _rooms(width, height)
        if wide - 2.0 * margin >= LEAST_ROOM[0] - 1e-9
        and high - 2.0 * margin >= LEAST_ROOM[1] - 1e-9
    )


def _too_small(text: str, margin: float, units: str) -> Fault:
    long, short = (at_least(side + 2.0 * margin, units) for side in LEAST_ROOM)
    return Fault(
        "--paper", repr(text[:60]), f"{long} by {short} or more, with a margin of "
        f"{both(margin, units)}", "take a larger paper: bars and footer need the room",
    )  # fmt: skip


def as_paper(paper: Paper | str) -> Paper:
    """A paper, or that of a name; raises :class:`BadInputError` as :func:`read_paper`."""
    if isinstance(paper, Paper):
        return paper
    return Paper(paper, *PAPERS[paper]) if paper in PAPERS else read_paper(paper)


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


def _footer(width: float, title: str, legend: Legend, tiled: bool, note: str = "") -> _Footer:
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
    for said in (note, JOINING if tiled else ""):
        if said:
            text += [(line, _TEXT, False) for line in lettering.wrapped(said, column, _TEXT)]

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


def _cross(x: float, y: float, arm: float) -> Iterator[Stroke]:
    yield Stroke(Contour.line((x - arm, y), (x + arm, y)), Purpose.DIMENSION)
    yield Stroke(Contour.line((x, y - arm), (x, y + arm)), Purpose.DIMENSION)
    yield Stroke(Contour.circle(x, y, arm / 2.0), Purpose.DIMENSION)


_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.13, 0.87, 0.06, 0.94)
"""Where along a join its words may stand."""


def _joins(
    grid: _Grid,
    column: int,
    row: int,
    area: Bounds,
    overlap: float,
    art: Sequence[tuple[Point, Point]],
) -> tuple[list[Stroke], list[Label]]:
    """Crosses, trim lines, and on each strip whether it is trimmed or glued, with the neighbour.

    The left and the top edge are trimmed: so the foot of a sheet, with its name, map and bars,
    stays until the sheet below covers it. All words stand on what is cut off or covered.
    ``art`` is in page coordinates.
    """
    half = overlap / 2.0
    inner = area.grown(-half)
    arm = min(4.0, 0.8 * half)
    across = ((inner.left, column > 0), (inner.right, column < grid.columns - 1))
    upwards = ((inner.bottom, row < grid.rows - 1), (inner.top, row > 0))
    strokes = [
        stroke
        for x, beside in across
        for y, above in upwards
        if beside or above  # a corner that no neighbour has needs no cross
        for stroke in _cross(x, y, arm)
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
        name = grid.name(column + di, row + dj)
        does = "trim to the dashed line" if di < 0 or dj < 0 else "glue, lies below"
        if di:
            x = inner.left if di < 0 else inner.right
            trim = Contour.line((x, area.bottom), (x, area.top))
            ends = sorted((x, x + di * half))
            strip = Bounds(ends[0], area.bottom, ends[1], area.top)
            low, high, base, angle = (
                area.bottom,
                area.top,
                x + (di * half + _TEXT - _TAIL) / 2.0,
                90.0,
            )
        else:
            y = inner.top if dj < 0 else inner.bottom
            trim = Contour.line((area.left, y), (area.right, y))
            ends = sorted((y, y - dj * half))
            strip = Bounds(area.left, ends[0], area.right, ends[1])
            low, high, base, angle = (
                area.left,
                area.right,
                y - (dj * half + _TEXT - _TAIL) / 2.0,
                0.0,
            )
        strokes.append(Stroke(trim, Purpose.HIDDEN))
        near = [segment for segment in art if _meets(segment, strip)]
        found = _joining(name, does, low + overlap, high - overlap, base, angle, near)
        if found is not None:
            labels.append(found)
    return strokes, labels


def _joining(
    name: str, does: str, low: float, high: float, base: float, angle: float,
    near: Sequence[tuple[Point, Point]],
) -> Label | None:  # fmt: skip
    """The words of a join, clear of the art, between ``low`` and ``high`` along its baseline.

    In full where there is room, else shorter; None where the art leaves room for neither. The
    footer gives the rule in any case.
    """
    for text in (f"joins {name}: {does}", f"joins {name}: {does.split()[0].rstrip(',')}"):
        reach = lettering.width(text, _TEXT) / 2.0
        for share in _SHARES:
            middle = low + share * (high - low)
            if middle - reach < low or middle + reach > high:
                continue
            x, y = (base, middle) if angle else (middle, base)
            place = Label(text, x, y, _TEXT, "middle", angle)
            box = place.outline(0.8).bounds
            if not any(_meets(segment, box) for segment in near):
                return place
    return None


# Pages -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Sheet:
    """One way to lay a drawing on paper: the page's size as it comes out of the printer [mm]."""

    width: float
    height: float
    margin: float
    footer: _Footer
    lying: bool = False
    correction: Correction | None = None

    @property
    def area(self) -> Bounds:
        """What is left for the art."""
        margin = self.margin
        return Bounds(
            margin + _STRIP,
            margin + self.footer.height + _GAP,
            self.width - margin,
            self.height - margin,
        )

    def page(
        self,
        drawing: Drawing,
        window: Bounds,
        moved: tuple[float, float],
        name: str = "1",
        of: int = 1,
        shown: str = "1 of 1",
        strokes: Sequence[Stroke] = (),
        labels: Sequence[Label] = (),
    ) -> Page:
        furniture = self._furnished(drawing, shown, strokes, labels)
        return Page(
            name, self.width, self.height, furniture, window, *moved, of, self.lying,
            self.correction,
        )  # fmt: skip

    def _furnished(
        self, drawing: Drawing, tile: str, strokes: Sequence[Stroke], labels: Sequence[Label]
    ) -> Drawing:
        """Footer, upright bar and what is given, as one drawing in page coordinates."""
        margin, area = self.margin, self.area
        rule = margin + self.footer.height + _GAP / 2.0
        low = (area.bottom + area.top - BARS[0]) / 2.0
        bar = _bar(margin, low, margin + _BAR, low + BARS[0])
        beside = margin + _BAR + 1.5 + _TEXT
        name = Label("100 mm", beside, low + BARS[0] / 2.0, _TEXT, "middle", 90.0)
        x, y = self.footer.tile
        return Drawing(
            drawing.name,
            drawing.title,
            (
                Stroke(
                    Contour.line((margin, rule), (self.width - margin, rule)), Purpose.DIMENSION
                ),
                bar,
                *(
                    Stroke(s.contour.moved(margin, margin), s.purpose, s.filled)
                    for s in self.footer.strokes
                ),
                *strokes,
            ),
            (
                name,
                *(
                    Label(lb.text, lb.x + margin, lb.y + margin, lb.height, bold=lb.bold)
                    for lb in self.footer.labels
                ),
                Label(tile, x + margin, y + margin, _TITLE, bold=True),
                *labels,
            ),
        )


def _centred(box: Bounds, area: Bounds) -> tuple[float, float]:
    return (
        (area.left + area.right - box.left - box.right) / 2.0,
        (area.bottom + area.top - box.bottom - box.top) / 2.0,
    )


def _dots(length: float) -> float:
    """The nearest whole number of dots [mm]."""
    return round(length / DOT) * DOT


def _single(
    drawing: Drawing, sheet: _Sheet, moved: tuple[float, float], shown: str = "1 of 1"
) -> Page:
    area, (dx, dy) = sheet.area, moved
    window = Bounds(area.left - dx, area.bottom - dy, area.right - dx, area.top - dy)
    return sheet.page(drawing, window, moved, shown=shown)


# Tiles -----------------------------------------------------------------------------------------

_WORDS, _HEADING = 10.0, 60.0
"""What is lost where a join cuts a line of text or a heading, beside 4 for an outline: a line that
is cut can still be followed, a figure can no longer be read."""


_CLEAR = 0.6  # between a join and lettering that it just passes: half a heading's pen


def _weighed(drawing: Drawing) -> list[tuple[Bounds, float]]:
    """Every stroke and label with how much is lost where a join cuts it."""
    weights = {Purpose.OUTLINE: 4.0, Purpose.CUT: 4.0, Purpose.MARK: 6.0, Purpose.HATCH: 0.1}
    found = [(s.contour.bounds, weights.get(s.purpose, 1.0)) for s in drawing.strokes]
    return found + [
        (label.outline(_CLEAR).bounds, _HEADING if label.bold or label.height >= 4.0 else _WORDS)
        for label in drawing.labels
        if label.text.strip()
    ]


def _first_edge(
    spans: Sequence[tuple[float, float, float]],
    low: float,
    high: float,
    count: int,
    step: float,
    overlap: float,
) -> tuple[float, float]:
    """Where the first tile begins, so that the joins cut least, and what they cut.

    Centred where that is all one. ``spans`` are the extents of what is drawn, with weights;
    ``low`` to ``high`` is to be covered by ``count`` tiles a ``step`` apart. What the dashed line
    cuts counts in full; what only reaches into the strips beside it counts a quarter, since it is
    whole on one of the sheets.
    """
    spare = (count * step + overlap - (high - low)) / 2.0
    if count == 1:
        return low - spare, 0.0
    opened: list[tuple[float, float]] = []
    closed: list[tuple[float, float]] = []
    for k in range(1, count):
        strip, line = k * step, k * step + overlap / 2.0
        for a, b, weight in spans:
            opened += ((a - line, 0.75 * weight), (a - strip - overlap, 0.25 * weight))
            closed += ((b - line, 0.75 * weight), (b - strip, 0.25 * weight))
    opened.sort()
    closed.sort()
    starts, ends = [at for at, _ in opened], [at for at, _ in closed]
    begun = [0.0, *accumulate(weight for _, weight in opened)]
    done = [0.0, *accumulate(weight for _, weight in closed)]

    def cost(start: float) -> float:
        cut = begun[bisect_left(starts, start)] - done[bisect_right(ends, start)]
        return round(cut, 6)

    middle = low - spare
    shifts = [spare * i / 24.0 for i in range(-24, 25)]
    for past in (0.05, 1.0):  # just beyond each thing, a little more where there is room
        shifts += [at - past - middle for at in starts] + [at + past - middle for at in ends]
    best = min(
        ((cost(middle + shift), abs(shift), middle + shift) for shift in shifts
         if abs(shift) <= spare),
    )  # fmt: skip
    return best[2], best[0]


def _grid(box: Bounds, area: Bounds, overlap: float) -> _Grid | None:
    """Tiles enough for the box; None where the joins would leave no room between them."""
    if min(area.width, area.height) <= 2.0 * overlap:
        return None
    step_x, step_y = (
        math.floor((side - overlap) / DOT + 1e-6) * DOT for side in (area.width, area.height)
    )
    columns = max(1, math.ceil((box.width - overlap) / step_x - 1e-9))
    rows = max(1, math.ceil((box.height - overlap) / step_y - 1e-9))
    return _Grid(columns, rows, step_x + overlap, step_y + overlap)


@dataclass(frozen=True)
class _Tiling:
    """Where the upper left tile begins in the drawing [mm], and what the joins cut."""

    left: float
    top: float
    cut: float


def _tiling(
    box: Bounds, weighed: Sequence[tuple[Bounds, float]], grid: _Grid, overlap: float
) -> _Tiling:
    step_x, step_y = grid.width - overlap, grid.height - overlap
    across = [(b.left, b.right, weight) for b, weight in weighed]
    down = [(-b.top, -b.bottom, weight) for b, weight in weighed]
    left, cut = _first_edge(across, box.left, box.right, grid.columns, step_x, overlap)
    top, more = _first_edge(down, -box.top, -box.bottom, grid.rows, step_y, overlap)
    return _Tiling(left, -top, cut + more)


def _tiles(
    drawing: Drawing, sheet: _Sheet, grid: _Grid, tiling: _Tiling, overlap: float
) -> tuple[Page, ...]:
    area = sheet.area
    area = Bounds(area.left, area.bottom, area.left + grid.width, area.bottom + grid.height)
    step_x, step_y = grid.width - overlap, grid.height - overlap
    segments = _segments(drawing)
    corner = (sheet.margin + sheet.footer.map[0], sheet.margin + sheet.footer.map[1])
    first = _dots(area.left - tiling.left), _dots(area.bottom - tiling.top + grid.height)
    pages = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            dx, dy = first[0] - column * step_x, first[1] + row * step_y
            x, y = area.left - dx, area.bottom - dy
            window = Bounds(x, y, x + grid.width, y + grid.height)
            art = [
                ((a + dx, b + dy), (c + dx, d + dy))
                for (a, b), (c, d) in segments
                if max(a, c) > window.left and min(a, c) < window.right
                and max(b, d) > window.bottom and min(b, d) < window.top
            ]  # fmt: skip
            strokes, labels = _joins(grid, column, row, area, overlap, art)
            strokes += _assembly(grid, column, row, corner)
            name = grid.name(column, row)
            pages.append(
                sheet.page(
                    drawing, window, (dx, dy), name, grid.count, f"{name} of {grid.count}",
                    strokes, labels,
                )
            )  # fmt: skip
    return tuple(pages)


# Laying ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Way:
    """A sheet with its grid, if the drawing does not fit on it."""

    sheet: _Sheet
    grid: _Grid | None
    shape: float
    """How far the room is from the drawing's own proportions."""

    @property
    def rank(self) -> tuple[int, float]:
        """Fewest sheets, then least paper, which tells only on a roll."""
        size = round(self.sheet.width * self.sheet.height, 3)
        return self.grid.count if self.grid else 1, size


def _way(
    drawing: Drawing,
    legend: Legend,
    paper: Paper,
    correction: Correction | None,
    lying: bool,
) -> _Way | None:
    """The drawing on the paper, upright or lying; None where the furniture has no room."""
    box = drawing.bounds.grown(_PEN)
    level, upright = (correction.level, correction.upright) if correction else (1.0, 1.0)
    across, free = paper.width / level, LONGEST / upright
    along = None if paper.height is None else paper.height / upright
    edges = 2.0 * paper.margin
    for tiled in (False, True):
        if lying:  # a dot more than is needed, so that no tile is wanted for rounding
            needed = max(box.width + _STRIP, LEAST_ROOM[0]) + edges + DOT
            width = min(free, needed) if along is None else along
        else:
            width = across
        if width - edges < LEAST_ROOM[0] - 1e-9:
            return None
        note = correction.words if correction else ""
        footer = _footer(width - edges, drawing.title, legend, tiled, note)
        if lying:
            height = across
        else:
            needed = max(box.height, BARS[0] + 10.0) + footer.height + _GAP + edges + DOT
            height = min(free, needed) if along is None else along
        sheet = _Sheet(width, height, paper.margin, footer, lying, correction)
        area = sheet.area
        if area.height < BARS[0]:
            return None
        shape = abs(math.log(area.width / area.height) - math.log(box.width / box.height))
        if box.width <= area.width and box.height <= area.height:
            return _Way(sheet, None, shape)
    grid = _grid(box, area, paper.overlap)
    return None if grid is None else _Way(sheet, grid, shape)


def lay(
    drawing: Drawing,
    legend: Legend,
    paper: Paper | str = "letter",
    correction: Correction | None = None,
) -> tuple[Page, ...]:
    """The sheets of paper that show the drawing at true size.

    One sheet where it fits, upright or lying; otherwise tiles, in the direction that needs fewer
    sheets, row by row from the top left. A roll is cut off where the drawing ends, in the
    direction that takes less of it, and tiled only where the drawing is wider than the roll both
    ways round. With a ``correction`` the sheets are laid out on paper as that printer sees it.

    Raises
    ------
    BadInputError
        For what :func:`read_paper` refuses, and where bars and footer have no room.
    ValueError
        For a drawing with nothing on it, or a label that cannot be set.

    >>> bar = Drawing("bar", "Bar", (Stroke(Contour.rectangle(0, 0, 300, 38), Purpose.OUTLINE),))
    >>> [page.name for page in lay(bar, Legend("Broad axe", "1/2 x 1 1/2 in", "1"))]
    ['A1', 'A2']
    >>> [page.name for page in lay(bar, Legend("Broad axe", "1/2 x 1 1/2 in", "1"), "a3")]
    ['1']
    """
    paper = as_paper(paper)
    ways = [
        way
        for lying in (False, True)
        if (way := _way(drawing, legend, paper, correction, lying)) is not None
    ]
    if not ways:
        raise BadInputError(
            [
                Fault(
                    "--paper", repr(paper.name), "a larger paper or a narrower margin",
                    "or shorten what the footer says: name, bar and bit",
                )
            ]
        )  # fmt: skip
    least = min(way.rank for way in ways)
    ways = sorted((way for way in ways if way.rank == least), key=lambda way: way.shape)
    if ways[0].grid is None:
        laid = ways[0].sheet
        dx, dy = _centred(drawing.bounds, laid.area)
        return (_single(drawing, laid, (_dots(dx), _dots(dy))),)
    box, weighed = drawing.bounds.grown(_PEN), _weighed(drawing)
    tilings = [
        (way.sheet, way.grid, _tiling(box, weighed, way.grid, paper.overlap))
        for way in ways
        if way.grid is not None
    ]
    laid, grid, tiling = min(tilings, key=lambda tried: tried[2].cut)
    return _tiles(drawing, laid, grid, tiling, paper.overlap)


def _turned(paper: Paper, lying: bool) -> tuple[float, float]:
    height = LONGEST if paper.height is None else paper.height
    return (height, paper.width) if lying else (paper.width, height)


def _plain_sheet(title: str, legend: Legend, paper: Paper, lying: bool) -> _Sheet:
    width, height = _turned(paper, lying)
    footer = _footer(width - 2.0 * paper.margin, title, legend, tiled=False)
    return _Sheet(width, height, paper.margin, footer, lying)


def room(title: str, legend: Legend, paper: Paper | str, lying: bool) -> tuple[float, float]:
    """Width and height that a drawing may have on one sheet beside its furniture [mm].

    For what is laid out by the sheet in the first place, so that no join is needed. A roll's free
    side is as long as a page may be.
    """
    area = _plain_sheet(title, legend, as_paper(paper), lying).area
    return area.width - 2.0 * _PEN, area.height - 2.0 * _PEN


def sheet(
    drawing: Drawing, legend: Legend, paper: Paper | str, lying: bool, number: int, count: int
) -> Page:
    """A drawing no larger than :func:`room`, on sheet ``number`` of ``count``, from its top left.

    An upright roll is cut off below it. Raises :class:`ValueError` for a larger one.
    """
    box, paper = drawing.bounds, as_paper(paper)
    most_wide, most_tall = room(drawing.title, legend, paper, lying)
    if box.width > most_wide + 1e-6 or box.height > most_tall + 1e-6:
        raise ValueError(f"{drawing.name!r} is larger than the sheet")
    laid = _plain_sheet(drawing.title, legend, paper, lying)
    if paper.roll and not lying:
        spare = most_tall - max(box.height, BARS[0] + 10.0)
        laid, most_tall = replace(laid, height=laid.height - spare), most_tall - spare
    box = Bounds(box.left, box.top - most_tall, box.left + most_wide, box.top).grown(_PEN)
    return _single(drawing, laid, _centred(box, laid.area), f"{number} of {count}")


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
    height = max(box.height, BARS[0] + 10.0) + footer.height + _GAP + 2.0 * MARGIN
    laid = _Sheet(inside + 2.0 * MARGIN, height, MARGIN, footer)
    return _single(drawing, laid, _centred(box, laid.area))
