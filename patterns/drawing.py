"""A neutral drawing: what is to be seen, with its purpose, in true millimetres.

A drawing does not know how it will be written. Strokes say what they are *for*; each writer
decides how thick, how dashed, on which layer. y runs upwards, as on the bench.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from .contour import Contour


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


@dataclass(frozen=True)
class Drawing:
    """Strokes and labels in true size [mm]. ``name`` is used for files, ``title`` for people."""

    name: str
    title: str
    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()
