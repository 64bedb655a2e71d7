"""What a plan says of the bar: its parts and marks, its straps, bit and plate, and the balance.

A bar is told by its parts from end to end. x runs along it from the datum of its marks: the middle
of the bar, or the body's end of one that is folded from one side.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from .folds import Fold, fold_of, is_undrawn
from .forging.barbs import Barbs
from .head import Head
from .parameters import Design

NATURAL = 0.1
"""How near the spread needed must be to the spread of drawing to come by itself: our own margin."""


@dataclass(frozen=True)
class Zone:
    """What one zone of the bar was and becomes [mm3]."""

    name: str
    bar: float
    finished: float
    scale: float
    weld: float = 0.0
    grinding: float = 0.0
    trimming: float = 0.0
    dressing: float = 0.0

    @property
    def losses(self) -> float:
        return self.scale + self.weld + self.grinding + self.trimming + self.dressing


@dataclass(frozen=True)
class Strap:
    """One strap between poll and shoulder [mm].

    ``drawn_length`` is finished, ``divider`` before the drift stretches it; both hold the ``lap``
    of a tongue, whose scarf runs out from the wall's thickness to nothing.
    """

    raw_length: float
    raw_width: float
    drawn_length: float
    divider: float
    wall: float
    drawn_thickness: float
    mean_height: float
    plain_length: float
    shortest: float
    longest: float
    lap: float = 0.0


@dataclass(frozen=True)
class Spread:
    """What drawing the strap does to its height [mm], and what the ears ask for."""

    coefficient: float
    coefficient_needed: float
    natural_height: float
    bite: float
    verdict: str
    cut: bool = False
    """Whether the strap is cut to its size and not drawn."""

    @property
    def edges(self) -> str:
        """How the strap's edges come to their height: free, dressed or peened."""
        if self.cut:
            return "peened"
        more = self.coefficient_needed - self.coefficient
        if abs(more) <= NATURAL:
            return "free"
        return "peened" if more > 0.0 else "dressed"


@dataclass(frozen=True)
class BitPlan:
    """The bit as cut from its stock and as forged before it is set in [mm].

    Thickness and tip are of one leg where it is overlaid; its ``depth`` too, so that it is forged
    twice as wide, flat, and folded along its middle. ``back`` is its length at the back: as long as
    in front, but of a bit that stands between two cheeks only as high as these are there.
    """

    stock: tuple[float, float]
    cut_length: float
    length: float
    back: float
    depth: float
    thickness: float
    scarf: float
    tip: float
    insertion: float
    overlap: float
    overlaid: bool
    barbs: Barbs | None = None

    @property
    def barb_row(self) -> float:
        """How far from the bit's back its barbs stand [mm]: in the middle of what the body covers
        of its full thickness, or of what it covers at all."""
        return (self.overlap + (self.scarf if self.overlap > self.scarf else 0.0)) / 2.0


@dataclass(frozen=True)
class PlatePlan:
    """The plate of the poll, as cut and as ground [mm]; ``trimming`` and ``grinding`` are what it
    is forged larger by, all round and on its face."""

    stock: tuple[float, float]
    cut_length: float
    thickness: float
    width: float
    height: float
    trimming: float
    grinding: float

    @property
    def forged_width(self) -> float:
        return self.width + 2.0 * self.trimming

    @property
    def forged_height(self) -> float:
        return self.height + 2.0 * self.trimming

    @property
    def forged_thickness(self) -> float:
        return self.thickness + self.grinding


@dataclass(frozen=True)
class Mark:
    """A mark across one face of the bar, ``x`` [mm] from its datum.

    ``kind`` is what it is for: *poll* and *shoulder* are the ends of a strap, *cut* is where the
    back is cut.
    """

    face: str
    kind: str
    x: float


@dataclass(frozen=True)
class Part:
    """A stretch of the bar [mm]: *half*, *strap* or *poll*."""

    kind: str
    start: float
    end: float

    @property
    def length(self) -> float:
        return self.end - self.start


@dataclass(frozen=True)
class BarPlan:
    """The bar as it is marked, drawn and balanced. Lengths [mm], volumes [mm3].

    ``poll`` is the bar between the straps, ``shoulders`` that and the raw straps together, ``half``
    the length of each half.
    """

    head: Head
    poll: float
    shoulders: float
    half: float
    cut_length: float
    strap: Strap
    spread: Spread
    bit: BitPlan | None
    plate: PlatePlan | None
    zones: tuple[Zone, ...]
    units: str

    @property
    def fold(self) -> Fold:
        return fold_of(self.design)

    @property
    def undrawn(self) -> bool:
        """Whether the walls are cut to their size from a plate, and not drawn."""
        return is_undrawn(self.design)

    @cached_property
    def marks(self) -> tuple[Mark, ...]:
        """Every mark. The datum is the middle of the bar, or the body's end if the fold has one."""
        if self.fold.halves == 1:
            return (Mark("inner", "shoulder", self.half),)
        shoulders = [Mark("inner", "shoulder", x) for x in _either_side(self.shoulders)]
        match self.fold.back:
            case "block":
                return (*(Mark("outer", "poll", x) for x in _either_side(self.poll)), *shoulders)
            case "cut":
                steps = (Mark("inner", "poll", x) for x in _either_side(self.poll))
                return (Mark("outer", "cut", 0.0), *steps, *shoulders)
        return tuple(shoulders)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The bar from end to end as it is marked."""
        return self._laid(self.strap.raw_length)

    @cached_property
    def drawn_parts(self) -> tuple[Part, ...]:
        """The bar from end to end when its straps are drawn."""
        return self._laid(self.strap.divider)

    @property
    def drawn_over_all(self) -> float:
        """Length of the bar with its straps drawn [mm]."""
        return self.drawn_parts[-1].end - self.drawn_parts[0].start

    def _laid(self, strap: float) -> tuple[Part, ...]:
        if self.fold.halves == 1:
            return Part("half", 0.0, self.half), Part("strap", self.half, self.half + strap)
        poll = self.poll / 2.0
        end = poll + strap
        middle = (Part("poll", -poll, poll),) if self.poll else ()
        return (
            Part("half", -end - self.half, -end), Part("strap", -end, -poll), *middle,
            Part("strap", poll, end), Part("half", end, end + self.half),
        )  # fmt: skip

    def zone(self, name: str) -> Zone:
        """The zone of a name; raises :class:`KeyError` if the head has none."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)

    @property
    def design(self) -> Design:
        return self.head.design


def _either_side(width: float) -> tuple[float, float]:
    return -width / 2.0, width / 2.0
