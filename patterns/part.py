"""A part to be cut: its contours, what is marked on it, and the stock that it is cut from."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .contour import Contour
from .drawing import Drawing, Label, Purpose, Stroke


@dataclass(frozen=True)
class Part:
    """One part, ready to be drawn or cut, in true size [mm].

    ``cuts`` are closed, the outside first and counter-clockwise, windows and holes after it and
    clockwise. ``marks`` are scribed and ``labels`` lettered on it. Contours are nominal: whoever
    cuts them offsets the kerf.
    """

    name: str
    cuts: tuple[Contour, ...]
    marks: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()

    def drawing(self, name: str, title: str) -> Drawing:
        """The part as a drawing of its own, cuts first."""
        cuts = tuple(Stroke(cut, Purpose.CUT) for cut in self.cuts)
        return Drawing(name, title, (*cuts, *self.marks), self.labels)

    def moved(self, dx: float, dy: float) -> Part:
        """Carried to another place."""
        return replace(
            self,
            cuts=tuple(cut.moved(dx, dy) for cut in self.cuts),
            marks=tuple(replace(m, contour=m.contour.moved(dx, dy)) for m in self.marks),
            labels=tuple(replace(one, x=one.x + dx, y=one.y + dy) for one in self.labels),
        )
