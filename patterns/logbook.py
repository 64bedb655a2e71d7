"""The log of pieces: what was measured at the anvil, one row for each piece.

A row needs the bar's section and both pairs of marks; every other cell may be empty, and each piece
teaches what it can. Masses are of the bar as cut, and of the head as forged and welded, before any
grinding, brushed clean of scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from . import reading, rows
from .derived import tips_of
from .errors import BadInputError, Fault
from .eye import perimeter_of
from .folds import FOLDS
from .forging.density import steel_mass
from .parameters import EYE_FORMS
from .rows import Place, Row, Rows, in_file
from .schema import (
    choice_field,
    count_field,
    length_field,
    mass_field,
    number_field,
    percent_field,
    section_field,
    specs,
    text_field,
)
from .units import at_least, at_most, length, mass, section

FIELD = "log"
"""What the file is called in messages."""

MOST_ROWS = 20_000

TWICE = 0.03
"""What two measures of one eye may differ by, as a share: our own margin for rule and strip."""

WEIGHED = 0.25
"""What a bar may weigh beside its section and length, as a share: our own margin for rolled bars,
whose corners and sizes are off by less, and for a unit written wrong, which is off by more."""


LOGGED = tuple(fold.name for fold in FOLDS.values() if fold.logged)
"""Folds whose pieces can be logged."""

EDGES = ("free", "dressed", "peened")


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One piece, as the log has it."""

    name: str = text_field("Name of the piece", 60, "a number or a word", "")
    fold: str = choice_field("Fold", LOGGED, "as in a profile", "block")
    section: tuple[float, float] = section_field(
        "Section of the bar", "3 mm", "150 mm", "thickness by width"
    )
    length: float | None = length_field("Length of the bar", "40 mm", "1000 mm", "as cut")
    poll: float = length_field(
        "Between the poll marks", "0 mm", "300 mm", "P; 0 where the strap runs through",
        required=True,
    )  # fmt: skip
    shoulders: float = length_field(
        "Between the shoulder marks", "5 mm", "900 mm", "S, on the inner face", required=True
    )
    wall: float | None = length_field(
        "Thickness of the wall", "1.5 mm", "20 mm", "by calipers, the mean of both"
    )
    drawn_left: float | None = length_field(
        "Left strap as drawn", "5 mm", "400 mm", "from poll to shoulder, cold, before folding"
    )
    drawn_right: float | None = length_field(
        "Right strap as drawn", "5 mm", "400 mm", "from poll to shoulder, cold, before folding"
    )
    ears: float | None = length_field("Ears from tip to tip", "5 mm", "300 mm", "along the handle")
    eye_form: str = choice_field("Form of the eye", EYE_FORMS, "as in a profile", "teardrop")
    eye_length: float | None = length_field(
        "Length of the eye", "10 mm", "120 mm", "at the middle of its height, as drifted"
    )
    eye_width: float | None = length_field("Width of the eye", "4 mm", "120 mm", "likewise")
    eye_perimeter: float | None = length_field(
        "Perimeter of the eye", "25 mm", "400 mm", "by a strip of paper, in place of both"
    )
    eye_ratio: float | None = number_field(
        "Length over width", 1.0, 6.0, "of the eye; goes with the perimeter"
    )
    eye_nose: float = length_field(
        "Radius of the nose", "0.5 mm", "30 mm", "of a teardrop, at its narrow front", "1/8 in"
    )
    eye_exponent: float = number_field("Exponent", 2.0, 6.0, "of a superellipse", 2.5)
    sides_forward: float = length_field(
        "Square sides forward", "0 mm", "30 mm",
        "how far the poll's square sides are carried forward of the back of the eye", "0 mm",
    )  # fmt: skip
    step: float = number_field(
        "Shoulder step", 1.0, 3.0, "length of its face over its height: 1 is square", 1.0
    )
    bite: float = length_field(
        "Bite", "3 mm", "60 mm", "length of bar under one blow in drawing the straps", "3/4 in"
    )
    edges: str = choice_field(
        "Edges of the straps", EDGES,
        "free: as drawing leaves them; dressed: held in; peened: spread further. Only free ones "
        "tell how the iron spreads", "free",
    )  # fmt: skip
    drift_stretch: float = percent_field(
        "Drift stretch", 0, 8,
        "how much the finishing drift lengthened the walls after the straps were measured", 0,
    )  # fmt: skip
    heats: int | None = count_field("Heats", 0, 60, "full heats that the bar saw")
    mass_in: float | None = mass_field("Mass of the bar", "10 g", "30 kg", "as cut")
    mass_out: float | None = mass_field(
        "Mass of the head", "10 g", "30 kg", "as forged, brushed clean, before any grinding"
    )
    bit_mass: float | None = mass_field(
        "Mass of the bit", "1 g", "5 kg", "as cut, if it is in the mass of the head"
    )
    bit_heats: int | None = count_field("Heats of the bit", 0, 60, "full heats that the bit saw")
    welded: str = choice_field(
        "Welded", ("yes", "no"), "no: the head was weighed before the weld", "yes"
    )
    note: str = text_field("Note", 400, "anything else", "")

    @property
    def drawn(self) -> float | None:
        """The mean of both straps [mm], or the one that was measured, as the drift leaves it."""
        both = [side for side in (self.drawn_left, self.drawn_right) if side is not None]
        return sum(both) / len(both) * (1.0 + self.drift_stretch) if both else None


UNEVEN = 1.25
"""Straps of one piece that differ by more are a slip of the pen: a margin of our own."""


def called(row: Row) -> str:
    """What a piece is called in messages: its name, or its row."""
    name: str = row.value.name.strip()
    return name or f"row {row.line}"


def load(path: Path, units: str = "in") -> tuple[Row, ...]:
    """The pieces of a log; each row's ``value`` is an :class:`Entry`.

    Raises
    ------
    BadInputError
        With every fault of the file, its headings, its cells, and of cells that contradict each
        other, each named by row and column.
    """
    return _sound(rows.read_rows(Entry, path, FIELD, units, MOST_ROWS), units, in_file(FIELD))


def read(text: str, units: str = "in", least: int = 1) -> tuple[Row, ...]:
    """The pieces of a log's text, as :func:`load` reads them; ``least`` is how many must be
    there."""
    found = rows.read(Entry, text, FIELD, units, MOST_ROWS, least=least)
    return _sound(found, units, in_file(FIELD))


def content(path: Path) -> bytes | None:
    """What a log's file holds; None where there is none yet.

    Raises :class:`BadInputError` if it cannot be read.
    """
    try:
        if not path.exists():
            return None
    except (OSError, ValueError):  # what the system says of it is told by reading it
        pass
    return reading.read_bytes(path, FIELD, rows.LARGEST_FILE)


def text_of(content: bytes) -> str:
    """The text of a log's file; raises :class:`BadInputError` if it is none."""
    return reading.text_of(content, FIELD, FIELD, rows.TEXT)


def of_texts(
    pieces: Sequence[Mapping[str, str]], units: str = "in", place: Place | None = None
) -> tuple[Row, ...]:  # fmt: skip
    """Pieces that are no file's, by the same rules: the text of each field, with its own unit.

    ``place`` is what a field is called in messages. Raises :class:`BadInputError` with every fault.
    """
    place = place or in_file(FIELD)
    return _sound(rows.of_texts(Entry, pieces, FIELD, units, place), units, place)


def headings(units: str = "in") -> list[str]:
    """The headings of a new log, those of measures with their unit.

    >>> headings("mm")[:4]
    ['name', 'fold', 'section [mm]', 'length [mm]']
    """
    unit = {"length": units, "section": units, "mass": "oz" if units == "in" else "g"}
    return [
        f"{key} [{unit[spec.kind]}]" if spec.kind in unit else key for key, spec in specs(Entry)
    ]


def _sound(found: Rows, units: str, place: Place) -> tuple[Row, ...]:
    faults = list(found.faults)
    for row in found.rows:
        for columns, fault in _together(row, units, place):
            if not any((row.line, column) in found.bad for column in columns):
                faults.append(fault)
    if faults:
        raise BadInputError(faults)
    return found.rows


Checked = tuple[tuple[str, ...], Fault]
"""The columns that a fault looks at, and the fault."""


def _together(row: Row, units: str, place: Place) -> Iterator[Checked]:
    """Rules that several cells of a row keep together."""
    entry: Entry = row.value

    def fault(columns: str, given: str, allowed: str, change: str) -> Checked:
        names = tuple(columns.split())
        return names, Fault(place(row.line, names[0]), given, allowed, change)

    thick, wide = entry.section
    if thick > wide:
        yield fault("section", section(entry.section), "thickness by width, the lesser first",
                    "turn it round")  # fmt: skip
    if entry.length is not None and entry.shoulders >= entry.length:
        yield fault("shoulders length", length(entry.shoulders, units),
                    f"inside the bar: less than {at_most(entry.length, units)}",
                    "measure marks and bar again")  # fmt: skip
    if entry.poll >= entry.shoulders:
        yield fault("poll shoulders", length(entry.poll, units),
                    f"less than between the shoulders, {at_most(entry.shoulders, units)}",
                    "measure both marks again; perhaps they are exchanged")  # fmt: skip
    if FOLDS[entry.fold].back == "wall" and entry.poll > 0.0:
        yield fault("poll fold", length(entry.poll, units), "0 where the strap runs through",
                    "mark no poll, or name another fold")  # fmt: skip
    if entry.wall is not None and entry.wall >= thick:
        yield fault("wall section", length(entry.wall, units),
                    f"thinner than the bar, {at_most(thick, units)}",
                    "measure the wall again")  # fmt: skip
    elif entry.wall is not None and entry.ears is not None:
        most = tips_of(wide, thick * wide / entry.wall)
        if entry.ears > most:
            yield fault("ears wall section", length(entry.ears, units),
                        f"no more than the bar's section gives at that wall, "
                        f"{at_most(most, units)}", "measure ears and wall again")  # fmt: skip
    if entry.ears is not None and entry.ears < wide / 2.0:
        yield fault("ears section", length(entry.ears, units),
                    f"at least half the bar's width, {at_least(wide / 2.0, units)}",
                    "measure from tip to tip, along the handle")  # fmt: skip
    yield from _straps(entry, units, fault)
    yield from _eye(entry, units, fault)
    yield from _masses(entry, units, fault)


def _straps(entry: Entry, units: str, fault: Fault | object) -> Iterator[Checked]:
    assert callable(fault)
    left, right = entry.drawn_left, entry.drawn_right
    if left is not None and right is not None and max(left, right) > UNEVEN * min(left, right):
        yield fault("drawn_right drawn_left", length(right, units),
                    f"near the left one, {length(left, units)}",
                    "measure both again: no eye closes over straps so uneven")  # fmt: skip
        return
    if entry.wall is None or entry.poll >= entry.shoulders:
        return
    thick, wide = entry.section
    raw = (entry.shoulders - entry.poll) / 2.0
    most = raw * thick * wide / (entry.wall * wide / 2.0)  # all its metal, at half the bar's width
    for name in ("drawn_left", "drawn_right"):
        drawn = getattr(entry, name)
        if drawn is not None and drawn > most:
            yield fault(f"{name} wall section poll shoulders", length(drawn, units),
                        f"no more than the bar between the marks gives, {at_most(most, units)}",
                        "measure strap, wall and marks again")  # fmt: skip


def _eye(entry: Entry, units: str, fault: Fault | object) -> Iterator[Checked]:
    assert callable(fault)
    long, wide, around = entry.eye_length, entry.eye_width, entry.eye_perimeter
    if entry.eye_form == "circle" and long is not None and wide is None:
        wide = long
    if long is None or wide is None:
        return
    if wide > long * (1.0 + 1e-9):
        yield fault("eye_width eye_length", length(wide, units),
                    f"no wider than long, {at_most(long, units)}",
                    "perhaps length and width are exchanged")  # fmt: skip
        return
    if entry.eye_form == "circle" and long - wide > TWICE * long:
        yield fault("eye_width eye_length eye_form", length(wide, units),
                    f"as wide as long for a circle, {length(long, units)}",
                    "give another form")  # fmt: skip
        return
    if entry.eye_ratio is not None and abs(long / wide / entry.eye_ratio - 1.0) > TWICE:
        yield fault("eye_ratio eye_length eye_width", f"{entry.eye_ratio:g}",
                    f"what length and width give, {long / wide:.2f}",
                    "leave the ratio out")  # fmt: skip
    if around is not None:
        nose = min(entry.eye_nose, wide / 2.0)
        other = perimeter_of(entry.eye_form, long, wide, nose, entry.eye_exponent)
        if abs(around / other - 1.0) > TWICE:
            yield fault("eye_perimeter eye_length eye_width", length(around, units),
                        f"what length and width give, {length(other, units)}, to "
                        f"{100 * TWICE:g} %",
                        "measure again, or leave perimeter or length and width out")  # fmt: skip


def _masses(entry: Entry, units: str, fault: Fault | object) -> Iterator[Checked]:
    assert callable(fault)
    if entry.mass_in is None:
        return
    if entry.length is not None:
        reckoned = steel_mass(math.prod(entry.section) * entry.length)
        if abs(entry.mass_in / reckoned - 1.0) > WEIGHED:
            yield fault("mass_in section length", mass(entry.mass_in, units),
                        f"what section and length weigh, {mass(reckoned, units)}, to "
                        f"{100 * WEIGHED:g} %",
                        "weigh the bar again, or measure it")  # fmt: skip
    if entry.mass_out is None:
        return
    before, what = entry.mass_in, "the bar"
    if entry.bit_mass is not None:
        before, what = before + entry.bit_mass, "bar and bit"
    if entry.mass_out > before:
        yield fault("mass_out mass_in bit_mass", mass(entry.mass_out, units),
                    f"no more than {what} before, {mass(before, units)}",
                    "weigh again" if entry.bit_mass is not None else
                    "weigh again, or give the bit's mass too")  # fmt: skip
