"""The ways to fold a bar into a head: what the plan asks of each.

A fold is a handful of answers, no plan of its own: how many straps and halves the bar has, what
stands behind the eye, how many shoulder steps close the eye's front and its back, whether the bit
stands between them, and what the parts are called. Plan view, balance, forecast and sheets ask
these and are otherwise the same for all.

The wall of every fold is thinned on the inner face, so that a shoulder of a height ``T - t`` is
left where it begins. Two of them meet in front of the eye of a symmetrical fold; of a one-sided
fold there is one. Behind the eye of a closed fold two more meet.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .forging.shoulder import step_face
from .parameters import Design

Back = Literal["block", "cut", "wall"]


@dataclass(frozen=True)
class Fold:
    """The rules of one fold.

    ``back`` is what stands behind the eye: a *block* left on the outer face, two ends of a *cut*
    folded on each other, or a *wall* like the sides. ``front_steps`` and ``rear_steps`` count the
    shoulder steps that close the eye's front and back. ``bit_in_front``: the bit stands between the
    shoulders, as far back as the eye. ``waisted``: the bar is a plate, cut narrow in its middle.
    ``laps``: the strap's end is scarfed and welded on the cheek. ``both`` is what the halves
    are called together.
    """

    name: str
    brief: str
    back: Back
    straps: int = 2
    halves: int = 2
    front_steps: int = 2
    rear_steps: int = 0
    bit_in_front: bool = False
    waisted: bool = False
    laps: bool = False
    strap: str = "strap"
    half: str = "half"
    both: str = "halves"

    @property
    def logged(self) -> bool:
        """Whether its pieces can be learnt from: two straps, drawn from the bar."""
        return self.straps == 2 and not self.waisted

    @property
    def square_poll(self) -> bool:
        """Whether the poll has a flat back and sides: it can overhang and take a plate."""
        return self.back != "wall"

    def front_step(
        self, *, bar_thickness: float, wall: float, step: float, between: float = 0.0
    ) -> float:
        """Length of the eye's contour that is closed in front, on each side of its nose [mm].

        ``between`` is how thick the bit's back is where it stands between the shoulders.
        """
        face = step_face(bar_thickness=bar_thickness, wall=wall, step=step)
        return face * self.front_steps / 2.0 + (between / 2.0 if self.bit_in_front else 0.0)

    def rear_step(self, *, bar_thickness: float, wall: float, step: float) -> float:
        """Length of the eye's contour that the poll closes, on each side of its back [mm]."""
        face = step_face(bar_thickness=bar_thickness, wall=wall, step=step)
        return face * self.rear_steps / 2.0

    def poll_width(self, *, bar_thickness: float, outside: float) -> float | None:
        """Width of the poll across the head [mm], None where there is no poll.

        ``outside`` is the width of the head at the eye, with what the poll overhangs it.
        """
        match self.back:
            case "block":
                return outside
            case "cut":
                return 2.0 * bar_thickness
        return None


FOLDS = {
    fold.name: fold
    for fold in (
        Fold("block", "symmetrical wrap, the poll left thick in the middle", "block"),
        Fold("round", "symmetrical wrap with a round poll, the strap running through", "wall"),
        Fold(
            "closed", "symmetrical wrap, the back cut nearly through and folded shut", "cut",
            rear_steps=2,
        ),
        Fold(
            "one-sided", "one-sided wrap, a tongue lapped on one cheek", "wall", straps=1,
            halves=1, front_steps=1, laps=True, strap="tongue", half="body", both="body",
        ),
        Fold(
            "cheeks", "two cheeks of one waisted plate, the bit between them", "wall",
            bit_in_front=True, waisted=True, strap="waist", half="cheek", both="cheeks",
        ),
    )
}  # fmt: skip
"""Every fold by its name in a profile."""


def fold_of(design: Design) -> Fold:
    """The rules of a design's fold."""
    return FOLDS[design.fold.form]


def is_undrawn(design: Design) -> bool:
    """Whether the walls are cut to their size from a plate, and not drawn: no waist was told."""
    return fold_of(design).waisted and design.fold.waist is None
