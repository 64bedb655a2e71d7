"""Pencil and ruler for the sheets: strokes, dimensions, leaders and lettering in true size.

Sizes follow shop-drawing practice: arrowheads three times as long as wide, extension lines that
begin a little off the outline, dimension figures above their line, or beside it where they do not
fit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from .. import lettering
from ..contour import Contour, Point, Vertex
from ..drawing import Drawing, Label, Purpose, Stroke
from ..units import both

ARROW = 3.0
"""Length of an arrowhead [mm]; it is a third as wide (ASME Y14.2)."""
OFF = 1.2
"""Gap between an outline and its extension line, and how far that passes its arrow [mm]."""

CLEAR = 0.5
"""White kept round the figure of a dimension [mm]."""

BROAD, TALL = 184.0, 228.0
"""What fits one upright page of letter and of A4 [mm]."""

TITLE = 5.0
FIGURE = 3.6
NOTE = 3.0
CAUTION = 2.6
FRACTION_LEADING = 1.95
LEADING = 1.75
"""Distance of two baselines over the height of the capitals; more where fractions are stacked."""


@dataclass(frozen=True)
class Choice:
    """One way to set a dimension's figure: the label and the strokes that go with it."""

    label: Label
    strokes: tuple[Stroke, ...] = ()


class Board:
    """A drawing under way.

    Lines and text are added where they are to stand. The figure of a dimension may stand in several
    places: it is set last, in the first of them that touches neither a line nor another text.
    """

    def __init__(self, units: str) -> None:
        self.units = units
        self.strokes: list[Stroke] = []
        self.labels: list[Label] = []
        self.choices: list[list[Choice]] = []

    def drawing(self, name: str, title: str) -> Drawing:
        """The finished drawing, with every figure in its place."""
        if self.choices:
            self._settle()
        return Drawing(name, title, tuple(self.strokes), tuple(self.labels))

    def _settle(self) -> None:
        import shapely

        lines = _lines(self.strokes)
        tree = shapely.STRtree(lines)
        texts = _boxes(self.labels)
        for ways in self.choices:
            best: tuple[int, Choice] | None = None
            for way in ways:
                (box,) = _boxes([way.label])
                hits = len(tree.query(box, predicate="intersects"))
                hits += int(shapely.intersects(texts, box).sum())
                if best is None or hits < best[0]:
                    best = (hits, way)
                if hits == 0:
                    break
            assert best is not None
            self.labels.append(best[1].label)
            self.strokes += best[1].strokes
            texts += _boxes([best[1].label])
            if best[1].strokes:
                lines += _lines(best[1].strokes)
                tree = shapely.STRtree(lines)
        self.choices = []

    def measure(self, mm: float) -> str:
        """A figure as it stands on the sheets: chosen units first, the other beside it."""
        return both(mm, self.units)

    # Lines -----------------------------------------------------------------------------------

    def add(
        self, contour: Contour, purpose: Purpose, at: Point = (0.0, 0.0), filled: bool = False
    ) -> None:
        self.strokes.append(Stroke(contour.moved(*at), purpose, filled))

    def line(self, purpose: Purpose, *points: Point) -> None:
        self.strokes.append(Stroke(Contour.line(*points), purpose))

    def hatch(
        self, contour: Contour, at: Point = (0.0, 0.0), gap: float = 2.5, angle: float = 45.0
    ) -> None:
        """Fill a closed contour with thin slanting lines."""
        import shapely

        shape = shapely.Polygon(contour.moved(*at).points(0.1))
        left, low, right, high = shape.bounds
        slope = math.radians(angle)
        ux, uy = math.cos(slope), math.sin(slope)
        cx, cy = (left + right) / 2.0, (low + high) / 2.0
        reach = math.hypot(right - left, high - low) / 2.0 + gap
        steps = int(reach // gap)
        rays = []
        for i in range(-steps, steps + 1):
            x, y = cx - uy * gap * i, cy + ux * gap * i
            rays.append([(x - ux * reach, y - uy * reach), (x + ux * reach, y + uy * reach)])
        parts = shapely.get_parts(shapely.intersection(shapely.linestrings(rays), shape))
        for part in parts[shapely.length(parts) > 0.4]:
            self.line(Purpose.HATCH, *map(tuple, shapely.get_coordinates(part).tolist()))

    # Lettering -------------------------------------------------------------------------------

    def text(
        self, text: str, x: float, y: float, height: float = FIGURE, anchor: str = "left",
        angle: float = 0.0, bold: bool = False,
    ) -> Label:  # fmt: skip
        label = Label(text, x, y, height, anchor, angle, bold)
        self.labels.append(label)
        return label

    def word(self, text: str, places: Sequence[Point], height: float = FIGURE) -> None:
        """A text whose baseline begins at the first of some places where it touches nothing."""
        self.choices.append([Choice(Label(text, x, y, height)) for x, y in places])

    def fits(self, text: str, width: float, height: float) -> bool:
        return lettering.width(text, height) <= width

    def paragraph(
        self, text: str, x: float, y: float, width: float, height: float = NOTE,
        upwards: bool = False,
    ) -> float:  # fmt: skip
        """A text broken into rows no wider than ``width``.

        ``y`` is the first row's baseline, or with ``upwards`` the last one's. Returns the next
        free baseline's y below, or above.
        """
        rows = lettering.wrapped(text, width, height)
        steps = [
            height * (FRACTION_LEADING if "/" in row + following or not following else LEADING)
            for row, following in zip(rows, [*rows[1:], ""], strict=True)
        ]
        start = y + sum(steps[:-1]) if upwards else y
        level = start
        for row, step in zip(rows, steps, strict=True):
            self.text(row, x, level, height)
            level -= step
        return start + height * FRACTION_LEADING if upwards else level

    def table(
        self, rows: Sequence[Sequence[str]], x: float, y: float, height: float = NOTE,
        gap: float = 5.0,
    ) -> float:  # fmt: skip
        """Rows of text in columns, the first row over a rule; columns after the first end flush.

        ``y`` is the first row's baseline. Returns the next free baseline's y below.
        """
        widths = _widths(rows, height)
        ends = [x + widths[0]]
        for wide in widths[1:]:
            ends.append(ends[-1] + gap + wide)
        for i, row in enumerate(rows):
            self.text(row[0], x, y, height)
            for cell, end in zip(row[1:], ends[1:], strict=True):
                self.text(cell, end, y, height, "right")
            y -= height * FRACTION_LEADING
            if i == 0:
                rule = y + height * FRACTION_LEADING - 0.62 * height
                self.line(Purpose.DIMENSION, (x, rule), (ends[-1], rule))
                y -= 0.45 * height
        return y

    def table_width(
        self, rows: Sequence[Sequence[str]], height: float = NOTE, gap: float = 5.0
    ) -> float:  # fmt: skip
        """How wide :meth:`table` sets the rows [mm]."""
        widths = _widths(rows, height)
        return sum(widths) + gap * (len(widths) - 1)

    # Dimensions ------------------------------------------------------------------------------

    def arrow(self, x: float, y: float, angle: float) -> None:
        """A filled arrowhead whose point is at (x, y) and which points along ``angle`` [rad]."""
        c, s = math.cos(angle), math.sin(angle)
        half = ARROW / 6.0
        self.strokes.append(
            Stroke(
                Contour.polygon(
                    [
                        (x, y),
                        (x - c * ARROW - s * half, y - s * ARROW + c * half),
                        (x - c * ARROW + s * half, y - s * ARROW - c * half),
                    ]
                ),
                Purpose.DIMENSION,
                filled=True,
            )
        )

    def across(
        self, x0: float, x1: float, y: float, text: str, *, starts: Sequence[float] = (),
        height: float = FIGURE, bold: bool = False,
    ) -> None:  # fmt: skip
        """A level dimension between x0 and x1 at y; extension lines from the heights ``starts``."""
        x0, x1 = min(x0, x1), max(x0, x1)
        for x, start in zip((x0, x1), starts, strict=False):
            way = 1.0 if y > start else -1.0
            self.line(Purpose.DIMENSION, (x, start + way * OFF), (x, y + way * OFF))
        roomy = x1 - x0 >= 2.6 * ARROW
        self.arrow(x0, y, math.pi if roomy else 0.0)
        self.arrow(x1, y, 0.0 if roomy else math.pi)
        out = 0.0 if roomy else 2.0 * ARROW
        self.line(Purpose.DIMENSION, (x0 - out, y), (x1 + out, y))
        wide = lettering.width(text, height)
        rise, drop = y + 1.4 + 0.35 * height, y - 1.4 - 1.35 * height

        def label(x: float, y: float, anchor: str) -> Label:
            return Label(text, x, y, height, anchor, 0.0, bold)

        def beside(x: float, end: float, anchor: str) -> Choice:
            tail = Stroke(Contour.line((x, y), (end, y)), Purpose.DIMENSION)
            lead = 1.2 if end > x else -1.2
            return Choice(label(end + lead, y - height / 2.0, anchor), (tail,))

        ways = []
        middle = (x0 + x1) / 2.0
        if wide + 3.0 <= x1 - x0:
            for level in (rise, drop):
                ways.append(Choice(label(middle, level, "middle")))
                ways.append(Choice(label(x1 - ARROW, level, "right")))
                ways.append(Choice(label(x0 + ARROW, level, "left")))
        for far in (2.0, 8.0, 16.0, 48.0):
            ways.append(beside(x1 + out, x1 + out + far, "left"))
            ways.append(beside(x0 - out, x0 - out - far, "right"))
        ways += [Choice(label(middle, level, "middle")) for level in (rise, drop)]
        self.choices.append(ways)

    def upright(
        self, y0: float, y1: float, x: float, text: str, *, starts: Sequence[float] = (),
        height: float = FIGURE,
    ) -> None:  # fmt: skip
        """A plumb dimension between y0 and y1 at x; extension lines from the places ``starts``.

        The figure is turned to read from the right, or stands level beside the line.
        """
        y0, y1 = min(y0, y1), max(y0, y1)
        for y, start in zip((y0, y1), starts, strict=False):
            way = 1.0 if x > start else -1.0
            self.line(Purpose.DIMENSION, (start + way * OFF, y), (x + way * OFF, y))
        roomy = y1 - y0 >= 2.6 * ARROW
        self.arrow(x, y0, -math.pi / 2 if roomy else math.pi / 2)
        self.arrow(x, y1, math.pi / 2 if roomy else -math.pi / 2)
        out = 0.0 if roomy else 2.0 * ARROW
        self.line(Purpose.DIMENSION, (x, y0 - out), (x, y1 + out))
        middle, level = (y0 + y1) / 2.0, (y0 + y1) / 2.0 - height / 2.0
        left, right = x - 1.4 - 0.35 * height, x + 1.4 + 1.35 * height
        ways = []
        wide, gap = lettering.width(text, height), y1 - y0
        if wide + 3.0 <= gap:
            ways += [Choice(Label(text, p, middle, height, "middle", 90.0)) for p in (left, right)]
        elif roomy and wide <= 2.0 * gap + 4.0:  # clear of the extension lines, which end before it
            ways.append(Choice(Label(text, right, middle, height, "middle", 90.0)))
        beside = [
            Choice(Label(text, x + 1.8, level, height)),
            Choice(Label(text, x - 1.8, level, height, "right")),
        ]
        rightwards = not starts or x >= starts[0]
        ways += beside if rightwards else beside[::-1]
        on_line = x + height / 2.0
        ways.append(Choice(Label(text, on_line, y1 + out + 2.0, height, "left", 90.0)))
        ways.append(Choice(Label(text, on_line, y0 - out - 2.0, height, "right", 90.0)))
        for y in (y1 + out + 2.0, y0 - out - 2.0 - height):
            ways.append(Choice(Label(text, x + 1.8, y, height)))
            ways.append(Choice(Label(text, x - 1.8, y, height, "right")))
        self.choices.append(ways)

    def leader(
        self, x: float, y: float, to: Point, text: str, height: float = FIGURE, side: str = "right"
    ) -> None:
        """A line with an arrow that points at (x, y) and carries its text at ``to``."""
        self.arrow(x, y, math.atan2(y - to[1], x - to[0]))
        shelf = 3.0 if side == "right" else -3.0
        self.line(Purpose.DIMENSION, (x, y), to, (to[0] + shelf, to[1]))
        anchor = "left" if side == "right" else "right"
        self.text(text, to[0] + 1.4 * shelf, to[1] - height / 2.0, height, anchor)


Part: TypeAlias = Callable[[Board, float], float]
"""Draws itself below a height, and returns the next free one."""


def flow(units: str, parts: Sequence[Part], gap: float = 3.0) -> list[Board]:
    """The parts one below the other with a gap between [mm], on as many pages as they need.

    A page is :data:`BROAD` wide and :data:`TALL` high; a part that is higher has one of its own.
    """
    pages, y = [Board(units)], 0.0
    for part in parts:
        if y < 0.0 and part(Board(units), y) < -TALL:
            pages.append(Board(units))
            y = 0.0
        y = part(pages[-1], y) - gap
    return pages


def _widths(rows: Sequence[Sequence[str]], height: float) -> list[float]:
    """Of the columns of a table [mm]."""
    columns = zip(*rows, strict=True)
    return [max(lettering.width(cell, height) for cell in column) for column in columns]


def _lines(strokes: Iterable[Stroke]) -> list[Any]:
    """The strokes as shapely's lines, flattened."""
    import shapely

    runs = [_run(stroke.contour) for stroke in strokes]
    points = [point for run in runs for point in run]
    of = [i for i, run in enumerate(runs) for _ in run]
    return list(shapely.linestrings(points, indices=of)) if points else []


def _boxes(labels: Iterable[Label]) -> list[Any]:
    """The rectangles of labels, with some white round them, as shapely's polygons."""
    import shapely

    rings = [_run(label.outline(CLEAR)) for label in labels]
    return list(shapely.polygons(rings)) if rings else []


def _run(contour: Contour) -> list[Point]:
    points = contour.points(0.1)
    return [*points, points[0]] if contour.closed else points


def wedge_mark(x: float, y: float, down: bool, size: float = 5.0) -> Contour:
    """The sign of a poll mark: a triangle whose point touches (x, y)."""
    lift = size if down else -size
    points = [(x, y), (x + size / 2.2, y + lift), (x - size / 2.2, y + lift)]
    return Contour.polygon(points if down else points[::-1])


def flag_mark(x: float, y: float, out: float, size: float = 5.0) -> Contour:
    """The sign of a shoulder mark: a flag under (x, y) that flies to the side of ``out``."""
    tip = (x + math.copysign(size, out), y - size)
    points = [(x, y), (x, y - size), tip]
    return Contour.polygon(points if out > 0 else points[::-1])


def centre_of_mass(x: float, y: float, radius: float = 3.0) -> list[tuple[Contour, bool]]:
    """The sign of a balance point: a circle with two opposite quarters filled."""
    quarter = math.tan(math.pi / 8.0)
    found: list[tuple[Contour, bool]] = [(Contour.circle(x, y, radius), False)]
    for turn in (0.0, math.pi):
        c, s = radius * math.cos(turn), radius * math.sin(turn)
        found.append(
            (
                Contour((Vertex(x, y), Vertex(x + c, y + s, quarter), Vertex(x - s, y + c))),
                True,
            )
        )
    return found
