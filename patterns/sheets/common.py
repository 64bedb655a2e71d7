"""The room that a page has, and which drawing fits it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..drawing import Drawing

LETTER = ((190.8, 229.1), (254.3, 177.3))
A4 = ((184.9, 246.7), (271.9, 171.4))
"""What one page has room for, upright and lying [mm]."""


def passes(drawing: Drawing, pages: Sequence[tuple[float, float]] = (*LETTER, *A4)) -> float:
    """By how much a drawing passes the best of some pages [mm]."""
    box = drawing.bounds
    return min(max(box.width - wide, 0.0) + max(box.height - tall, 0.0) for wide, tall in pages)


def usual(units: str) -> tuple[tuple[float, float], ...]:
    """The paper that goes with the units: A4 with mm, letter with inches."""
    return A4 if units == "mm" else LETTER


def best(made: Iterable[Drawing], units: str) -> Drawing:
    """The first that fits one page of letter and of A4; else of the units' own paper; else the one
    that passes a page of it by the least."""
    tried: list[Drawing] = []
    for drawing in made:
        if passes(drawing, LETTER) == passes(drawing, A4) == 0.0:
            return drawing
        tried.append(drawing)
    return min(tried, key=lambda each: (passes(each, usual(units)), passes(each)))
