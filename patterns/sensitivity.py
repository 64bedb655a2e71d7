"""Which measure to guard: how far eye, reach and mass move when one thing comes out a little off.

A plan is turned into the piece of bar that it asks for, one thing about the piece is changed, and
the forecast is made anew. The straps are taken as drawn to the wall by thickness, not stepped with
the dividers: the table so shows what the dividers save.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

from .blank import ForgePlan
from .derived import eye_heights
from .errors import BadInputError
from .forecast import closed, mass_of, strap_of
from .head import finish
from .piece import BarPiece, BitPiece, EyeKind, Finish, FoldPiece, Marks, Piece, Strap, Told
from .schema import specs
from .units import MM_PER_INCH, length

WALL = MM_PER_INCH / 64.0
"""A wall as much thicker [mm]."""
MARK = MM_PER_INCH / 16.0
"""A pair of marks as much further apart [mm]."""
SLACK = 1e-7
"""What a strap may differ by, over the eye's length: far below what the table shows."""
SPREAD = 1.1
"""Spread in drawing over what is expected."""


@dataclass(frozen=True)
class Effect:
    """What one slip does: to the eye's perimeter and the blade's reach [mm], and to the mass [g].

    ``eye`` is None where the straps then close round no eye, ``reach`` where a longer blade of the
    same style cannot be drawn.
    """

    slip: str
    eye: float | None
    reach: float | None
    mass: float


def piece_of(plan: ForgePlan) -> Told:
    """The piece of bar that a plan asks for, with all that the plan says of it."""
    design, strap = plan.design, plan.strap
    above, below = eye_heights(design)
    eye, fold = design.eye, plan.fold
    section = design.bar.thickness * strap.raw_width
    laps = [zone.bar / section for zone in plan.zones if zone.name == "lap"]
    forged = sum(zone.bar - zone.scale - zone.weld for zone in plan.zones)
    piece = Piece(
        name=design.name,
        bar=BarPiece(section=design.bar.section, length=plan.cut_length, steel=design.bar.steel),
        fold=FoldPiece(
            form=design.fold.form, lap=strap.lap, lap_bar=laps[0] if laps else None,
            waist=strap.raw_width if fold.waisted else None,
        ),
        marks=Marks(poll=plan.poll, shoulders=plan.shoulders),
        strap=Strap(
            wall=strap.wall, drawn=None, height=strap.mean_height,
            ears=max(above + below, strap.mean_height),
        ),
        eye=EyeKind(
            form=eye.form, width=None if eye.form == "circle" else plan.head.eye.width,
            front_radius=eye.front_radius, exponent=eye.exponent,
        ),
        bit=_bit(plan),
        finish=Finish(
            taken=max(1.0 - plan.head.volume / forged, 0.0), sides_forward=design.poll.sides_forward
        ),
        allowances=design.allowances,
        hand=design.hand,
    )  # fmt: skip
    return Told(piece, frozenset(key for key, _ in specs(Piece)))


def _bit(plan: ForgePlan) -> BitPiece:
    """The hardenable steel of the head as one piece of stock; plate and bit together."""
    bit, plate = plan.bit, plan.plate
    back = plan.head.fore.part.blade.bit.tip if plan.fold.bit_in_front else 0.0
    if bit is None:
        return (
            BitPiece(stock=plate.stock, length=plate.cut_length) if plate else BitPiece(form="none")
        )
    more = math.prod(plate.stock) * plate.cut_length / math.prod(bit.stock) if plate else 0.0
    return BitPiece(stock=bit.stock, length=bit.cut_length + more, back=back)


def sensitivity(plan: ForgePlan, units: str = "in") -> tuple[Effect, ...]:
    """What each of a few slips, named in ``units``, does to the head of a plan."""
    by = {WALL: length(WALL, units), MARK: length(MARK, units)}
    return tuple(
        Effect(_named(slip, by), eye, reach, mass) for slip, eye, reach, mass in _moved(plan)
    )


def _named(slip: str, by: dict[float, str]) -> str:
    return slip.format(wall=by[WALL], mark=by[MARK])


Moved: TypeAlias = tuple[str, float | None, float | None, float]
"""A slip's name, its sizes yet to be filled in; change of the eye's perimeter, reach and mass."""


@lru_cache(4)  # sheet, summary and plan.json all tell of it
def _moved(plan: ForgePlan) -> tuple[Moved, ...]:
    piece = piece_of(plan).piece
    growth = blade_growth(plan)
    forged, mass = mass_of(piece)
    found = []
    for name, slipped in _slips(plan, piece):
        closes = closed(slipped, strap_of(slipped), plan.head.eye.length, SLACK)
        eye = None if closes is None else closes.eye.perimeter - plan.head.eye.perimeter
        forged_then, mass_then = mass_of(slipped)
        reach = (forged_then.blade - forged.blade) / growth if growth else None
        found.append((name, eye, reach, mass_then - mass))
    return tuple(found)


def _slips(plan: ForgePlan, piece: Piece) -> Iterator[tuple[str, Piece]]:
    """The piece with one thing about it changed, for each that its fold knows."""
    marks, strap, a = piece.marks, piece.strap, piece.allowances
    assert strap.wall is not None
    assert strap.height is not None
    if strap.wall + WALL < piece.bar.section[0]:
        yield "walls +{wall}", replace(piece, strap=replace(strap, wall=strap.wall + WALL))
    many = "shoulder marks +{mark}" if plan.fold.halves == 2 else "shoulder mark +{mark}"
    yield many, replace(piece, marks=replace(marks, shoulders=marks.shoulders + MARK))
    if marks.poll:
        yield "poll marks +{mark}", replace(piece, marks=replace(marks, poll=marks.poll + MARK))
    yield "one more heat", replace(piece, allowances=replace(a, heats=a.heats + 1))
    thinned = piece.bar.section[0] / strap.wall
    higher = strap.height * thinned ** ((SPREAD - 1.0) * plan.spread.coefficient)
    if not plan.undrawn:  # a strap that is not drawn does not spread
        yield "10 % more spread", replace(piece, strap=replace(strap, height=higher, ears=None))


@lru_cache(4)
def blade_growth(plan: ForgePlan) -> float | None:
    """What the blade's metal grows by for each millimetre of reach, at the same style."""
    design, blade = plan.design, plan.design.blade
    longer = 1.0 + 1.0 / blade.reach
    stations = tuple((x * longer, t) for x, t in blade.stations)
    grown = replace(design, blade=replace(blade, reach=blade.reach + 1.0, stations=stations))
    try:
        return finish(grown).volumes["blade"] - plan.head.volumes["blade"]
    except BadInputError:
        return None
