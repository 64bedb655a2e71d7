"""The log of pieces: what was marked and measured on each, as a smith writes it down at the anvil.

A file of rows (CSV), read by the schema below. Only the bar's section and the two pairs of marks
must be there; all else may be left blank, and each piece then teaches what it can. Rules that
several columns keep together are checked row by row.

The eye that a piece came out with is laid down here once, by the plan view that the forge plan is
computed from, so that what the log says of the straps and what a plan says are the same thing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from .derived import eye_size
from .errors import BadInputError, Fault
from .eye import EyeForm, eye_form, perimeter_of
from .forecast import NARROWEST, ORDINARY_RATIO
from .forging.density import steel_mass
from .parameters import EYE_FORMS, Allowances, Eye, Hand
from .plan_view import PlanError, PlanView, plan_view
from .rows import read_rows, row_fault
from .schema import (
    choice_field,
    count_field,
    length_field,
    mass_field,
    number_field,
    percent_field,
    section_field,
    text_field,
)
from .units import at_least, at_most, both, fine, mass
from .units import length as shown

MOST_PIECES = 20_000
"""Rows; a smith who forges ten heads a day for seven years."""

AGREE = 0.04
"""What an eye measured twice, with rule and with paper strip, may differ by: margin of our own."""

WEIGHS = 0.2
"""What a bar may weigh more or less than its size says, before a slip is taken for certain: margin
of our own. Rolled bars keep within a few per cent."""

_BIT_HEATS = f"{Allowances().bit_heats}"


@dataclass(frozen=True, kw_only=True)
class LoggedPiece:
    """One row of the log. Lengths cold [mm], masses [g]; ``None`` where nothing was measured."""

    piece: str = text_field("Piece", 60, "what it is called, to find it again", "")
    section: tuple[float, float] = section_field(
        "Section of the bar", "3 mm", "150 mm", "thickness by width"
    )
    length: float | None = length_field("Length of the bar", "40 mm", "1000 mm", "as cut")
    mass_in: float | None = mass_field(
        "Mass of the bar", "20 g", "20 kg", "as cut, without the bit"
    )
    poll: float = length_field(
        "Between the poll marks", "0 mm", "300 mm", "on the outer face", required=True
    )
    shoulders: float = length_field(
        "Between the shoulder marks", "5 mm", "900 mm", "on the inner face", required=True
    )
    bite: float = length_field(
        "Bite", "3 mm", "60 mm", "length of bar under one blow in drawing the straps", "3/4 in"
    )
    drawn_left: float | None = length_field(
        "Left strap as drawn", "5 mm", "400 mm", "poll mark to shoulder mark"
    )
    drawn_right: float | None = length_field(
        "Right strap as drawn", "5 mm", "400 mm", "poll mark to shoulder mark"
    )
    wall: float | None = length_field(
        "Wall", "1.5 mm", "20 mm", "thickness of the drawn strap, by calipers, mean of several"
    )
    ears: float | None = length_field(
        "Ears", "5 mm", "300 mm", "from tip to tip, of a pair that runs straight to its points"
    )
    height: float | None = length_field(
        "Mean height of the wall", "5 mm", "250 mm", "in place of the ears, where it was measured"
    )
    heats_before_weld: int | None = count_field(
        "Heats before the weld", 0, 60, "full heats that the bar saw before it was weighed"
    )
    mass_before_weld: float | None = mass_field(
        "Mass before the weld", "20 g", "20 kg", "of the bar, scale brushed off, without the bit"
    )
    eye_form: str = choice_field(
        "Form of the eye", EYE_FORMS, "as in a profile", "teardrop"
    )  # fmt: skip
    eye_length: float | None = length_field(
        "Length of the eye", "12 mm", "100 mm", "at the middle of its height, as it fits the handle"
    )
    eye_width: float | None = length_field(
        "Width of the eye", "8 mm", "80 mm", "at the middle of its height"
    )
    eye_perimeter: float | None = length_field(
        "Perimeter of the eye", "32 mm", "320 mm",
        "with a strip of paper, in place of length and width",
    )  # fmt: skip
    eye_ratio: float | None = number_field(
        "Length over width", 1.0, 6.0, "goes with the perimeter"
    )  # fmt: skip
    front_radius: float = length_field(
        "Radius of the nose", "0.5 mm", "30 mm", "of a teardrop, at its narrow front", "1/8 in"
    )
    exponent: float = number_field("Exponent", 2.0, 6.0, "of a superellipse", 2.5)
    sides_forward: float = length_field(
        "Square sides forward", "0 mm", "30 mm",
        "how far the square sides of the poll came forward of the back of the eye", "0 mm",
    )  # fmt: skip
    step: float = number_field(
        "Shoulder step", 1.0, 3.0, "length of the step's face over its height", Hand().step
    )
    neutral: float = number_field(
        "Neutral line", 0.3, 0.6, "as planned, as a share of the wall from the inside",
        Hand().neutral,
    )  # fmt: skip
    drift_stretch: float = percent_field(
        "Drift stretch", 0, 8, "as planned: what the finishing drift lengthened the walls by", 0
    )
    heats: int | None = count_field(
        "Heats", 0, 60, "full heats that the bar saw in all, welding included"
    )
    bit_mass: float | None = mass_field(
        "Mass of the bit", "1 g", "5 kg", "as cut; blank, if the piece has no bit"
    )
    bit_heats: int | None = count_field(
        "Heats of the bit", 0, 60, f"full heats that the bit saw; {_BIT_HEATS}, if blank"
    )
    mass_out: float | None = mass_field(
        "Mass of the head", "20 g", "20 kg",
        "as forged and welded, scale brushed off, before anything is ground or trimmed; with the "
        "bit, if its mass is told",
    )  # fmt: skip
    note: str = text_field("Note", 400, "what was odd about it", "")


@dataclass(frozen=True)
class Logged:
    """A piece with its row in the file, and the eye that was measured on it, if it was.

    ``asked`` is the drawn strap that this eye asks for, by its plan view and without any offset
    [mm]; ``around`` the eye's perimeter [mm], ``turning`` the angle that the wall turns through
    [rad]. All three are ``None`` where eye or wall is not known.
    """

    line: int
    piece: LoggedPiece
    asked: float | None = None
    around: float | None = None
    turning: float | None = None

    @property
    def name(self) -> str:
        return self.piece.piece.strip() or f"row {self.line}"

    @property
    def drawn(self) -> float | None:
        """Mean of the straps that were measured [mm]."""
        found = [x for x in (self.piece.drawn_left, self.piece.drawn_right) if x is not None]
        return sum(found) / len(found) if found else None

    @property
    def mean_height(self) -> float | None:
        """Mean height of the walls [mm]: as measured, or by :func:`mean_height` from the ears."""
        if self.piece.height is not None:
            return self.piece.height
        return None if self.piece.ears is None else mean_height(self.piece.section[1],
                                                                self.piece.ears)  # fmt: skip


def mean_height(bar_width: float, ears: float) -> float:
    """Mean height of a strap whose flanks run straight from the bar's width to the tips [mm].

    >>> mean_height(30.0, 44.0)
    37.0
    """
    return (bar_width + ears) / 2.0


def read_log(path: Path, units: str = "in") -> tuple[Logged, ...]:
    """Every piece of a log.

    Parameters
    ----------
    path : a CSV file, as :mod:`patterns.rows` describes it
    units : of the messages, in or mm

    Raises
    ------
    BadInputError
        With every fault of file, headings, cells and rows, each named by row and column.
    """
    found = read_rows(LoggedPiece, path, "log", units, MOST_PIECES)
    faults, pieces = list(found.faults), []
    for row in found.rows:
        piece: LoggedPiece = row.value
        wrong = [
            row_fault("log", row.line, column, given, allowed, change)
            for looks_at, column, given, allowed, change in _together(piece, units)
            if not any((row.line, name) in found.bad for name in looks_at)
        ]
        faults += wrong
        if wrong or any((row.line, name) in found.bad for name in _SEEN_BY):
            continue
        try:
            pieces.append(with_eye(row.line, piece))
        except PlanError as error:
            faults.append(_not_drawn(row.line, piece, error, units))
    if faults:
        raise BadInputError(sorted(faults, key=_row_of))
    return tuple(pieces)


def with_eye(line: int, piece: LoggedPiece) -> Logged:
    """The piece with what its eye asks of the straps; raises :class:`PlanError` if it cannot be."""
    form = eye_of(piece)
    if form is None or piece.wall is None:
        return Logged(line, piece)
    view = _seen(form, piece.wall, piece.section[0], piece.poll, piece.step, piece.sides_forward)
    return Logged(
        line, piece, view.drawn_strap(neutral=piece.neutral), form.perimeter, view.turning
    )


def eye_of(piece: LoggedPiece) -> EyeForm | None:
    """The eye as it was measured; ``None`` where too little was.

    By the perimeter where it was taken. A width that was not taken is what the poll leaves between
    two walls, or goes by an ordinary ratio: it matters little beside the perimeter.
    """
    long, wide, ratio = piece.eye_length, piece.eye_width, piece.eye_ratio
    round_one = piece.eye_form == "circle"
    if piece.eye_perimeter is not None:
        if round_one:
            ratio = 1.0
        elif long is not None and wide is not None:
            ratio = max(long / wide, 1.0)
        elif ratio is None:
            between = piece.poll - 2.0 * (piece.wall or math.inf) if wide is None else wide
            ratio = ORDINARY_RATIO
            if between >= NARROWEST:
                longest = (piece.eye_perimeter - (math.pi - 2.0) * between) / 2.0  # of a stadium
                if 1.0 < longest / between <= 6.0:
                    ratio = longest / between
        long, wide = eye_size(
            Eye(form=piece.eye_form, perimeter=piece.eye_perimeter, ratio=ratio,
                front_radius=piece.front_radius, exponent=piece.exponent)
        )  # fmt: skip
    elif long is None:
        return None
    elif wide is None:
        between = piece.poll - 2.0 * (piece.wall or math.inf)
        if round_one:
            wide = long
        elif ratio is not None:
            wide = long / ratio
        elif NARROWEST <= between < long:
            wide = between
        else:
            return None
    nose = min(piece.front_radius, wide / 2.0)
    return eye_form(piece.eye_form, long, wide, nose, piece.exponent)


@lru_cache(4096)
def _seen(
    form: EyeForm, wall: float, thick: float, poll: float, step: float, sides_forward: float
) -> PlanView:
    """The plan view of a wall; its cheeks, which have no say in the walls, run far ahead."""
    return plan_view(
        form=form, wall=wall, step=step * (thick - wall), poll_width=poll, poll_thickness=thick,
        sides_forward=sides_forward, station=(thick + 2.0 * form.length + 10.0 * wall, 0.0),
    )  # fmt: skip


_SEEN_BY = (
    "section", "poll", "wall", "eye_form", "eye_length", "eye_width", "eye_perimeter", "eye_ratio",
    "front_radius", "exponent", "step", "sides_forward",
)  # fmt: skip
"""Columns that the plan view rests on."""


def _not_drawn(line: int, piece: LoggedPiece, error: PlanError, units: str) -> Fault:
    column = "eye_length" if piece.eye_perimeter is None else "eye_perimeter"
    size = piece.eye_length if piece.eye_perimeter is None else piece.eye_perimeter
    assert size is not None
    return row_fault("log", line, column, both(size, units), "an eye that walls can go round",
                     f"{error.reason}: measure eye, wall and poll again")  # fmt: skip


def _row_of(fault: Fault) -> tuple[bool, int]:
    """Faults of the file first, then by row; those of one row keep their order."""
    words = fault.field.removeprefix("log row ").split(",")[0]
    return words.isdigit(), int(words) if words.isdigit() else 0


def _together(
    piece: LoggedPiece, units: str
) -> Iterator[tuple[tuple[str, ...], str, str, str, str]]:
    """Rules that several columns keep: columns looked at, column blamed, given, allowed, change."""
    thick, wide = piece.section
    if thick > wide:
        yield (("section",), "section", f"{shown(thick, units)} x {shown(wide, units)}",
               "thickness by width, the lesser first", "turn it round")  # fmt: skip
    if piece.length is not None and piece.shoulders >= piece.length:
        yield (("shoulders", "length"), "shoulders", shown(piece.shoulders, units),
               f"inside the bar: less than {at_most(piece.length, units)}",
               "measure from mark to mark on the inner face")  # fmt: skip
    if piece.poll >= piece.shoulders:
        yield (("poll", "shoulders"), "poll", shown(piece.poll, units),
               f"less than between the shoulders, {at_most(piece.shoulders, units)}",
               "the straps lie between poll and shoulders")  # fmt: skip
    if piece.wall is not None and piece.wall >= thick:
        yield (("wall", "section"), "wall", fine(piece.wall, units),
               f"thinner than the bar, {fine(thick, units)}",
               "measure the drawn strap")  # fmt: skip
    if piece.ears is not None and piece.height is not None and piece.ears < piece.height:
        yield (("ears", "height"), "ears", shown(piece.ears, units),
               f"no less than the mean height, {at_least(piece.height, units)}",
               "measure the ears from tip to tip")  # fmt: skip
    yield from _eye_twice(piece, units)
    yield from _masses(piece, units)


def _eye_twice(
    piece: LoggedPiece, units: str
) -> Iterator[tuple[tuple[str, ...], str, str, str, str]]:
    long, wide, around = piece.eye_length, piece.eye_width, piece.eye_perimeter
    eye = ("eye_form", "eye_length", "eye_width", "eye_perimeter", "eye_ratio", "front_radius")
    if long is None or wide is None:
        return
    if wide > long:
        yield (eye[1:3], "eye_width", shown(wide, units),
               f"no more than the length, {at_most(long, units)}",
               "length runs from the poll towards the edge")  # fmt: skip
        return
    if piece.eye_form == "circle" and long > wide * (1.0 + AGREE):
        yield (eye[:3], "eye_form", f"a circle of {shown(long, units)} x {shown(wide, units)}",
               "an eye as long as wide", "name the form that it has")  # fmt: skip
    if piece.eye_ratio is not None and abs(piece.eye_ratio * wide / long - 1.0) > AGREE:
        yield ((*eye[1:3], "eye_ratio"), "eye_ratio", f"{piece.eye_ratio:g}",
               f"{long / wide:.2f}, as length and width say",
               "leave the ratio out, or measure again")  # fmt: skip
    if around is not None:
        nose = min(piece.front_radius, wide / 2.0)
        told = perimeter_of(piece.eye_form, long, wide, nose, piece.exponent)
        if abs(around / told - 1.0) > AGREE:
            yield (eye, "eye_perimeter", both(around, units),
                   f"about {both(told, units)}, as length and width say",
                   "measure again, or leave out one of the two")  # fmt: skip


def _masses(
    piece: LoggedPiece, units: str
) -> Iterator[tuple[tuple[str, ...], str, str, str, str]]:
    before, middle, after = piece.mass_in, piece.mass_before_weld, piece.mass_out
    bit = piece.bit_mass or 0.0
    if before is not None and piece.length is not None:
        size = steel_mass(math.prod(piece.section) * piece.length)
        if abs(before / size - 1.0) > WEIGHS:
            yield (("mass_in", "section", "length"), "mass_in", mass(before, units),
                   f"about {mass(size, units)}, which a bar of this section and length weighs",
                   "weigh again, or look at section, length and units")  # fmt: skip
    if middle is not None and before is not None and middle > before:
        yield (("mass_before_weld", "mass_in"), "mass_before_weld", mass(middle, units),
               f"no more than before the fire, {mass(before, units)}",
               "a bar only loses in the fire: weigh again")  # fmt: skip
    earlier, name = (before, "mass_in") if middle is None else (middle, "mass_before_weld")
    if after is not None and earlier is not None and after > earlier + bit:
        told = "bit included" if bit else "or tell the mass of the bit, if it is in the head"
        yield (("mass_out", name, "bit_mass"), "mass_out", mass(after, units),
               f"no more than before, {mass(earlier + bit, units)}",
               f"a piece only loses in the fire: weigh again, {told}")  # fmt: skip
    few, all_ = piece.heats_before_weld, piece.heats
    if few is not None and all_ is not None and few > all_:
        yield (("heats_before_weld", "heats"), "heats_before_weld", f"{few}",
               f"no more than the heats in all, {all_}", "count every heat in the heats")  # fmt: skip
