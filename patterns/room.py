"""Where letters may stand inside a shape."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from . import lettering
from .contour import Contour, Point
from .drawing import Label, Stroke


class Room:
    """Where letters may stand inside a shape.

    Clear of its edge, holes and marks by ``border``, of one another by ``gap`` [mm].
    """

    def __init__(
        self, outline: Contour, holes: Iterable[Contour] = (), marks: Iterable[Stroke] = (),
        border: float = 1.2, gap: float = 2.0,
    ) -> None:  # fmt: skip
        import shapely

        self.gap = gap
        shape = shapely.Polygon(outline.points(0.05), [hole.points(0.05) for hole in holes])
        self.shape: Any = shape.buffer(-border)
        for mark in marks:
            points = mark.contour.points(0.05)
            ends = [*points, points[0]] if mark.contour.closed else points
            self.shape = self.shape.difference(shapely.LineString(ends).buffer(border))

    def first(
        self, blocks: Sequence[tuple[list[str], tuple[float, ...]]], wish: Point,
        upright: bool = False, within: float = math.inf,
    ) -> list[Label]:  # fmt: skip
        """The first block of rows that fits, at the largest of its heights, as near as can be to a
        place and ``within`` so far of it [mm]; nothing if none does."""
        for rows, heights in blocks:
            for height in heights:
                if found := self._placed(rows, height, wish, upright, within):
                    return found
        return []

    def _placed(
        self, rows: list[str], height: float, wish: Point, upright: bool, within: float
    ) -> list[Label]:  # fmt: skip
        boxes = [lettering.bounds(row, height) for row in rows]
        levels, y = list[float](), 0.0
        for box in boxes:
            y -= box.top
            levels.append(y)
            y += box.bottom - 0.45 * height
        tall = -(y + 0.45 * height)
        wide = max(box.right for box in boxes)
        across, up = (tall, wide) if upright else (wide, tall)
        at = self.spot(across, up, wish, within)
        return [] if at is None else self._set(rows, levels, height, at, tall, upright)

    def spot(
        self, across: float, up: float, wish: Point, within: float = math.inf,
        step: float | None = None,
    ) -> Point | None:  # fmt: skip
        """Middle of the nearest place to a wished one for a block so wide and so high [mm], which
        is taken by that; None if there is none. ``step`` is how far apart places are tried."""
        import shapely

        if self.shape.is_empty:
            return None
        left, low, right, high = self.shape.bounds
        step = step or max(0.25, (right - left) / 90.0, (high - low) / 90.0)
        xs = np.arange(left + across / 2.0, right - across / 2.0 + step, step)
        ys = np.arange(low + up / 2.0, high - up / 2.0 + step, step)
        x, y_ = (field.ravel() for field in np.meshgrid(xs, ys))
        away = np.hypot(x - wish[0], y_ - wish[1])
        order = np.argsort(away, kind="stable")
        order = order[away[order] <= within]
        x, y_ = x[order], y_[order]
        shapely.prepare(self.shape)
        inner = self.shape.buffer(-0.99 * min(across, up) / 2.0)  # no middle lies nearer to an edge
        shapely.prepare(inner)
        clear = shapely.contains_xy(inner, x, y_)
        x, y_ = x[clear], y_[clear]
        half, rise = across / 2.0, up / 2.0
        for start in range(0, len(x), 200):  # the nearest come first
            some = slice(start, start + 200)
            blocks = shapely.box(x[some] - half, y_[some] - rise, x[some] + half, y_[some] + rise)
            fits = np.flatnonzero(shapely.covers(self.shape, blocks))
            if len(fits):
                at = start + int(fits[0])
                self.shape = self.shape.difference(blocks[fits[0]].buffer(self.gap))
                return float(x[at]), float(y_[at])
        return None

    @staticmethod
    def _set(
        rows: list[str], levels: list[float], height: float, at: Point, tall: float, upright: bool
    ) -> list[Label]:  # fmt: skip
        bold = [len(rows) > 1 and i == 0 for i in range(len(rows))]
        return [
            Label(row, at[0] - (tall / 2.0 + level), at[1], height, "middle", 90.0, thick)
            if upright
            else Label(row, at[0], at[1] + tall / 2.0 + level, height, "middle", 0.0, thick)
            for row, level, thick in zip(rows, levels, bold, strict=True)
        ]
