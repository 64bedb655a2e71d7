"""A neutral drawing: what is to be seen, with its purpose, in true millimetres.

A drawing does not know how it will be written. Strokes say what they are *for*; each writer
decides how thick, how dashed, on which layer. y runs upwards, as on the bench.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from . import lettering
from .contour import Bounds, Contour, Point


class Purpose(Enum):
    """What a line is for. Widths follow ISO 128: thick to thin at least 2:1."""

    OUTLINE = "outline"
    """The edge of the iron, as it is to be: thick."""
    CUT = "cut"
    """The line that a cutting machine follows: drawn as an outline, and cut on a cutting file."""
    MARK = "mark"
    """A mark that the smith punches or chisels on the bar: thick."""
    THIN = "thin"
    """A visible edge of less weight, a bend, the limit of a bevel."""
    CENTRE = "centre"
    """Centre lines: thin, long dash and dot."""
    HIDDEN = "hidden"
    """What lies behind: thin, short dashes."""
    HATCH = "hatch"
    """Hatching, drawn as real lines."""
    DIMENSION = "dimension"
    """Dimension and extension lines, leaders: thin."""
    LETTER = "letter"
    """Lettering."""


MARKS = frozenset(
    {
        Purpose.MARK,
        Purpose.CENTRE,
        Purpose.THIN,
        Purpose.HIDDEN,
        Purpose.DIMENSION,
        Purpose.LETTER,
    }
)
"""What is marked on a part that is cut."""


@dataclass(frozen=True)
class Stroke:
    """A contour with its purpose; ``filled`` paints a closed one solid and leaves out its line."""

    contour: Contour
    purpose: Purpose
    filled: bool = False


@dataclass(frozen=True)
class Label:
    """A line of text, set in single strokes.

    ``height`` is that of the capitals [mm]; ``x, y`` is the place of the baseline's ``anchor``
    (``"left"``, ``"middle"`` or ``"right"``); ``angle`` is in degrees, counter-clockwise.
    ``bold`` doubles the stroke.
    """

    text: str
    x: float
    y: float
    height: float = 3.0
    anchor: str = "left"
    angle: float = 0.0
    bold: bool = False

    @property
    def _shift(self) -> float:
        """How far along the baseline the text begins from its anchor [mm]."""
        if self.anchor == "left":
            return 0.0
        width = lettering.width(self.text, self.height)
        if self.anchor == "middle":
            return -width / 2.0
        if self.anchor == "right":
            return -width
        raise ValueError(f"anchor is {self.anchor!r}; it may be left, middle or right")

    @property
    def turn(self) -> tuple[float, float]:
        """Cosine and sine of the angle, exact for quarter turns."""
        quarters, rest = divmod(self.angle, 90.0)
        if rest == 0.0:
            return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
        angle = math.radians(self.angle)
        return math.cos(angle), math.sin(angle)

    @property
    def start(self) -> Point:
        """Where the baseline begins, whatever the anchor [mm]."""
        dx, (c, s) = self._shift, self.turn
        return self.x + c * dx, self.y + s * dx

    @cached_property
    def strokes(self) -> tuple[tuple[Point, ...], ...]:
        """The lettering's strokes where they stand on the sheet [mm].

        Raises :class:`ValueError` for a sign that cannot be set.
        """
        dx, (c, s), left, base = self._shift, self.turn, self.x, self.y
        strokes = lettering.strokes(self.text, self.height)
        if s == 0.0 and c == 1.0:
            return tuple(
                [tuple([(left + (x + dx), base + y) for x, y in stroke]) for stroke in strokes]
            )
        return tuple(
            [
                tuple([(left + c * (x + dx) - s * y, base + s * (x + dx) + c * y) for x, y in run])
                for run in strokes
            ]
        )

    def outline(self, margin: float = 0.0) -> Contour:
        """The rectangle round the text, turned with it and ``margin`` [mm] wider all round.

        >>> Label("L", 50, 20, height=21, anchor="right").outline().bounds
        Bounds(left=38.0, bottom=20.0, right=50.0, top=41.0)
        >>> Label("L", 50, 20, height=21, angle=90).outline().bounds
        Bounds(left=29.0, bottom=20.0, right=50.0, top=32.0)
        """
        box, dx, (c, s) = lettering.bounds(self.text, self.height), self._shift, self.turn
        box = box.grown(margin)
        return Contour.polygon(
            (self.x + c * (x + dx) - s * y, self.y + s * (x + dx) + c * y)
            for x, y in (
                (box.left, box.bottom),
                (box.right, box.bottom),
                (box.right, box.top),
                (box.left, box.top),
            )
        )


@dataclass(frozen=True)
class Drawing:
    """Strokes and labels in true size [mm]. ``name`` is used for files, ``title`` for people."""

    name: str
    title: str
    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()

    @cached_property
    def bounds(self) -> Bounds:
        """Smallest upright rectangle round lines and letters [mm], without the width of the pen.

        Raises :class:`ValueError` for a drawing with nothing in it.
        """
        boxes = [stroke.contour.bounds for stroke in self.strokes]
        boxes += [label.outline().bounds for label in self.labels if label.text.strip()]
        if not boxes:
            raise ValueError(f"nothing is drawn on {self.name!r}")
        found = boxes[0]
        for box in boxes[1:]:
            found = found.joined(box)
        return found
