"""A piece of bar with its marks: what a smith has in hand before the head is known.

It is read from TOML or put together from options, by a schema of its own; a forge plan can be
turned into one. What is not said is left to the forecast, which says what it has assumed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from . import reading
from .derived import mean_height, tips_of
from .errors import BadInputError, Fault
from .folds import FOLDS, Fold
from .parameters import EYE_FORMS, FOLD_FORMS, Allowances, Hand
from .schema import (
    choice_field,
    in_full,
    length_field,
    number_field,
    percent_field,
    section_field,
    specs,
    text_field,
    value_at,
)
from .units import at_least, at_most
from .units import length as shown

MEASURING = 1.1
"""What a strap may seem to hold over its bar before it is a fault: rule and calipers stray."""


@dataclass(frozen=True, kw_only=True)
class BarPiece:
    """The bar as cut."""

    section: tuple[float, float] = section_field(
        "Section of the bar", "3 mm", "150 mm", "thickness by width"
    )
    length: float = length_field(
        "Length of the bar", "20 mm", "1000 mm", "as cut", required=True
    )  # fmt: skip
    steel: str = text_field("Steel of the bar", 40, "as the dealer names it", "mild steel")


@dataclass(frozen=True, kw_only=True)
class FoldPiece:
    """How the bar will be folded."""

    form: str = choice_field("Fold", FOLD_FORMS, "as in a profile", "block")
    lap: float = length_field(
        "Lap", "0 mm", "120 mm", "of a tongue, as drawn: the part of it that laps on the cheek",
        "0 mm",
    )  # fmt: skip
    lap_bar: float | None = length_field(
        "Bar of the lap", "0 mm", "120 mm",
        "of the bar at the tongue's end, what becomes the lap; if not given, by volume",
    )  # fmt: skip
    waist: float | None = length_field(
        "Waist", "5 mm", "150 mm", "width of a waisted plate's middle; if not given, the bar's"
    )

    @property
    def rules(self) -> Fold:
        return FOLDS[self.form]


@dataclass(frozen=True, kw_only=True)
class Marks:
    """The marks, even about the middle of the bar.

    A bar without a block has no poll marks, 0 apart. A bar with a tongue has one shoulder mark:
    ``shoulders`` is then the bar of the tongue, from the mark to the end.
    """

    poll: float = length_field(
        "Between the poll marks", "0 mm", "300 mm", "P; 0 where the strap runs through",
        required=True,
    )  # fmt: skip
    shoulders: float = length_field(
        "Between the shoulder marks", "5 mm", "900 mm",
        "S, on the inner face; of a one-sided fold, from the mark to the tongue's end",
        required=True,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Strap:
    """What is known, or wanted, of the drawn straps."""

    wall: float | None = length_field(
        "Thickness of the wall", "1.5 mm", "20 mm",
        "as finished; if not given, half of the bar's thickness",
    )  # fmt: skip
    drawn: float | None = length_field(
        "Drawn strap", "5 mm", "400 mm",
        "from poll to shoulder as the dividers step it, cold, before the finishing drift; if not "
        "given, by volume",
    )  # fmt: skip
    height: float | None = length_field(
        "Mean height of the wall", "5 mm", "250 mm",
        "along the handle, on the mean; if not given, what drawing gives",
    )  # fmt: skip
    ears: float | None = length_field(
        "Ears from tip to tip", "5 mm", "300 mm",
        "along the handle; if not given, flanks that run straight from the bar's width to the tips",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class EyeKind:
    """Which eye is meant; its size is what is looked for."""

    form: str = choice_field("Form of the eye", EYE_FORMS, "as in a profile", "teardrop")
    width: float | None = length_field(
        "Width of the eye", "4 mm", "120 mm",
        "of the drift; if not given, what the poll leaves between two walls",
    )  # fmt: skip
    ratio: float | None = number_field(
        "Length over width", 1.0, 6.0, "of the eye, in place of its width"
    )
    front_radius: float = length_field(
        "Radius of the nose", "0.5 mm", "30 mm", "of a teardrop, at its narrow front", "1/8 in"
    )
    exponent: float = number_field(
        "Exponent", 2.0, 6.0, "of a superellipse: 2 is an ellipse, 5 nearly a rectangle", 2.5
    )


@dataclass(frozen=True, kw_only=True)
class BitPiece:
    """The bit's stock as cut; neither stock nor length, if none is known."""

    form: str = choice_field(
        "Form of the bit", ("stock", "none"),
        "stock: cut from a bar of its own; none: the body's own steel hardens", "stock",
    )  # fmt: skip
    stock: tuple[float, float] | None = section_field(
        "Stock of the bit", "1 mm", "120 mm", "thickness by width", required=False
    )
    length: float | None = length_field("Length of the bit's stock", "3 mm", "500 mm", "as cut")
    back: float = length_field(
        "Back of the bit", "0 mm", "20 mm",
        "its thickness where it stands between two cheeks, in front of the eye", "0 mm",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Finish:
    """What grinder, shears and dressing take."""

    taken: float | None = percent_field(
        "Taken off", 0, 60,
        "share of the forged head that is ground, trimmed and dressed away; if not given, reckoned "
        "from grinding and trimming",
    )  # fmt: skip
    sides_forward: float = length_field(
        "Square sides forward", "0 mm", "30 mm",
        "how far the square sides of the poll are carried forward of the back of the eye", "0 mm",
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A bar with its marks, and all that is known of how it will be worked."""

    name: str = text_field("Name", 60, "what the piece is called", "Piece")
    bar: BarPiece
    fold: FoldPiece = field(default_factory=FoldPiece)
    marks: Marks
    strap: Strap = field(default_factory=Strap)
    eye: EyeKind = field(default_factory=EyeKind)
    bit: BitPiece = field(default_factory=BitPiece)
    finish: Finish = field(default_factory=Finish)
    allowances: Allowances = field(default_factory=Allowances)
    hand: Hand = field(default_factory=Hand)

    @property
    def strap_width(self) -> float:
        """Width of the bar where it becomes the walls [mm]."""
        waist = self.fold.waist if self.fold.rules.waisted else None
        return self.bar.section[1] if waist is None else waist

    @property
    def half_width(self) -> float:
        """Mean width of the bar where it becomes the blade [mm]."""
        return (self.strap_width + self.bar.section[1]) / 2.0

    @property
    def raw_strap(self) -> float:
        """Length of bar from which each strap is drawn, its lap with it [mm]."""
        return (self.marks.shoulders - self.marks.poll) / self.fold.rules.straps


@dataclass(frozen=True)
class Told:
    """A piece with the keys that were given for it; all else is a default.

    ``learnt``: its scale per heat comes from a smith's file.
    """

    piece: Piece
    given: frozenset[str]
    learnt: bool = False


def load(path: Path) -> dict[str, Any]:
    """The table of a piece's TOML file; raises :class:`BadInputError` if it is none."""
    return reading.toml_file(path, "piece")


def as_toml(piece: Piece) -> str:
    """The piece as TOML with every figure in full, so that it reads back as the same piece."""
    lines = ["# A piece of bar with its marks, for: eyewrap predict FILE"]
    group = ""
    for key, spec in specs(Piece):
        value = value_at(piece, key)
        if value is None:
            continue
        at, _, name = key.rpartition(".")
        if at != group:
            lines += ["", f"[{at}]"]
            group = at
        lines.append(f"{name} = {in_full(value, spec)}")
    return "\n".join(lines) + "\n"


def read(
    raw: Mapping[str, Any], units: str = "in", faults: Iterable[Fault] = ()
) -> Told:  # fmt: skip
    """Make a piece from a table; raises :class:`BadInputError` with every fault."""
    table = reading.table(Piece, raw, units)
    found = [*faults, *reading.in_order(Piece, table.faults, raw)]
    found += [f for f in _together(table.value, units) if not _rests_on(f.field, table.bad)]
    if found:
        raise BadInputError(found)
    return Told(table.value, table.given)


_LOOKS_AT = {
    "marks.poll": ("marks.poll", "marks.shoulders", "fold.form"),
    "marks.shoulders": ("marks.shoulders", "bar.length"),
    "strap.wall": ("strap.wall", "bar.section", "fold"),
    "fold.lap": ("fold",),
    "fold.lap_bar": ("fold", "marks"),
    "fold.waist": ("fold", "bar.section"),
    "strap.ears": ("strap.ears", "strap.height", "strap.wall", "bar.section"),
    "strap.drawn": (
        "strap.drawn",
        "strap.ears",
        "strap.height",
        "strap.wall",
        "bar.section",
        "marks.poll",
        "marks.shoulders",
        "allowances",
        "fold",
    ),
    "bar.section": ("bar.section",),
    "eye.width": ("eye.width", "eye.ratio"),
    "bit.length": ("bit.length", "bit.stock"),
    "bit.stock": ("bit.length", "bit.stock"),
    "bit.form": ("bit",),
}


def _rests_on(field: str, bad: frozenset[str]) -> bool:
    return any(b == key or b.startswith(f"{key}.") for key in _LOOKS_AT[field] for b in bad)


def _together(piece: Piece, units: str) -> Iterator[Fault]:
    """Rules that several values keep together."""
    bar, marks, strap = piece.bar, piece.marks, piece.strap
    thick, wide = bar.section
    if thick > wide:
        yield Fault("bar.section", f"{shown(thick, units)} x {shown(wide, units)}",
                    "thickness by width, the lesser first", "turn it round")  # fmt: skip
    if marks.shoulders >= bar.length:
        yield Fault("marks.shoulders", shown(marks.shoulders, units),
                    f"inside the bar: less than {at_most(bar.length, units)}",
                    "the halves beyond the shoulders become the blade: mark them nearer, or take "
                    "a longer bar")  # fmt: skip
    if marks.poll >= marks.shoulders:
        yield Fault("marks.poll", shown(marks.poll, units),
                    f"less than between the shoulders, {at_most(marks.shoulders, units)}",
                    "the straps lie between poll and shoulders: mark the shoulders further apart "
                    "or the poll narrower")  # fmt: skip
    yield from _of_the_fold(piece, units)
    plate = piece.fold.rules.waisted
    if strap.wall is not None and (strap.wall > thick or (strap.wall == thick and not plate)):
        yield Fault("strap.wall", shown(strap.wall, units),
                    f"thinner than the bar, {at_most(thick, units)}",
                    "take a thinner wall or a thicker bar")  # fmt: skip
    if strap.ears is not None and strap.height is not None and strap.ears < strap.height:
        yield Fault("strap.ears", shown(strap.ears, units),
                    f"no less than the walls' mean height, {at_least(strap.height, units)}",
                    "measure the ears from tip to tip")  # fmt: skip
    wide = piece.strap_width
    wall = thick / 2.0 if strap.wall is None else strap.wall
    highest = tips_of(wide, thick * wide / wall)
    if strap.ears is not None and strap.height is None and strap.ears > highest:
        yield Fault("strap.ears", shown(strap.ears, units),
                    f"at most {at_most(highest, units)}: no strap of this bar, "
                    f"{shown(wall, units)} thick, stands higher",
                    "measure the ears from tip to tip, or the wall again")  # fmt: skip
    height = strap.height
    if height is None and strap.ears is not None:
        height = mean_height(wide, strap.ears)
    raw = piece.raw_strap
    if strap.drawn is not None and height is not None and raw > 0.0:
        most = MEASURING * raw * thick * wide / (wall * height) + piece.fold.lap
        if strap.drawn > most:
            yield Fault("strap.drawn", shown(strap.drawn, units),
                        f"at most {at_most(most, units)}, all the metal between the marks",
                        "measure strap, ears and wall again, or the marks")  # fmt: skip
    if piece.eye.width is not None and piece.eye.ratio is not None:
        yield Fault("eye.width", "a width and a ratio", "one of the two", "take one out")
    if piece.bit.form == "none" and (piece.bit.stock or piece.bit.length):
        yield Fault("bit.form", "none, together with a stock", "a stock or none",
                    "take the stock out, or say stock")  # fmt: skip
    elif (piece.bit.stock is None) != (piece.bit.length is None):
        lacking = "stock" if piece.bit.stock is None else "length"
        yield Fault(f"bit.{lacking}", "nothing", "stock and length of the bit together",
                    "add it, or take the other out")  # fmt: skip


def _of_the_fold(piece: Piece, units: str) -> Iterator[Fault]:
    fold, rules, marks = piece.fold, piece.fold.rules, piece.marks
    none = f'with fold.form = "{fold.form}"'
    if rules.back == "wall" and marks.poll > 0.0:
        yield Fault("marks.poll", shown(marks.poll, units), f"0 {none}: the strap runs through",
                    "mark no poll, or name another fold")  # fmt: skip
    if not rules.laps and (fold.lap or fold.lap_bar):
        yield Fault("fold.lap", shown(fold.lap or fold.lap_bar or 0.0, units), f"none {none}",
                    "take it out, or name a one-sided fold")  # fmt: skip
    if not rules.waisted and fold.waist is not None:
        yield Fault("fold.waist", shown(fold.waist, units), f"none {none}",
                    "take it out, or name a fold of cheeks")  # fmt: skip
    if rules.waisted and fold.waist is not None and fold.waist > piece.bar.section[1]:
        yield Fault("fold.waist", shown(fold.waist, units),
                    f"no wider than the plate, {at_most(piece.bar.section[1], units)}",
                    "narrow it or take a wider plate")  # fmt: skip
    if fold.lap_bar is not None and fold.lap_bar >= piece.raw_strap > 0.0:
        yield Fault("fold.lap_bar", shown(fold.lap_bar, units),
                    f"less than the tongue's bar, {at_most(piece.raw_strap, units)}",
                    "lap less, or mark the shoulder further back")  # fmt: skip
