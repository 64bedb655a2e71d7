"""Read a file of rows (CSV) by a flat schema: every fault is named with its row and its column.

The first row holds the headings, in any order. A heading may carry a unit, ``wall [in]``, and the
cells below it may then be plain numbers; otherwise each cell has its own. Within a column of
measures the unit must not change, for a figure under the wrong one is worse than none; sections
may, since the unit belongs to the bar's name, and so may tables of things as they are sold. Empty
cells take their defaults. A row that begins with ``#`` is a remark.

What a form holds, the text of each field by its key, is read by the same rules (:func:`of_texts`);
there each text has its own unit.
"""

from __future__ import annotations

import csv
import dataclasses
import difflib
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .errors import BadInputError, Fault
from .reading import given, like, named, read_text, remedy, value
from .schema import Spec, specs

LARGEST_FILE = 20_000_000
"""Bytes."""

TEXT = "a CSV file, which is plain text in UTF-8"
"""What a file of rows must be, in a message."""

_SEPARATORS = ",;\t"
_UNIT = re.compile(r"\s*[\[(]\s*([a-z%\"]+)\s*[\])]\s*$")
_WORDS = {"inch": "in", "inches": "in", '"': "in", "lbs": "lb"}
_OF_KIND = {
    "length": ("in", "mm", "cm"), "section": ("in", "mm", "cm"), "mass": ("g", "kg", "oz", "lb"),
    "percent": ("%",),
}  # fmt: skip
"""Units that a heading may carry."""
_UNITS = {unit for units in _OF_KIND.values() for unit in units}


@dataclass(frozen=True)
class Row:
    """One row as read: its number in the file, counted from 1, and the columns that were filled."""

    line: int
    value: Any
    given: frozenset[str]


@dataclass(frozen=True)
class Rows:
    """All rows, with a stand-in for each cell at fault; ``bad`` names these by row and column."""

    rows: tuple[Row, ...]
    faults: tuple[Fault, ...]
    bad: frozenset[tuple[int, str]]


@dataclass(frozen=True)
class _Column:
    name: str
    spec: Spec
    unit: str | None


Place = Callable[[int, str], str]
"""What a cell is called in messages, by its row and its column's key."""


def rows(
    owner: type, path: Path, field: str, units: str = "in", most: int = 20_000,
    one_unit: bool = True,
) -> tuple[Row, ...]:  # fmt: skip
    """The rows of a CSV file.

    Parameters
    ----------
    owner : a schema without groups; its fields are the columns
    path : the file
    field : what the file is called in messages, as ``log``
    units : of the messages, in or mm
    most : how many rows are taken
    one_unit : whether a column keeps to one unit

    Raises
    ------
    BadInputError
        With every fault of the file, its headings and its cells.
    """
    found = read_rows(owner, path, field, units, most, one_unit)
    if found.faults:
        raise BadInputError(found.faults)
    return found.rows


def read_rows(
    owner: type, path: Path, field: str, units: str = "in", most: int = 20_000,
    one_unit: bool = True,
) -> Rows:  # fmt: skip
    """As :func:`rows`, but the faults of headings and cells are handed back with the rows.

    Raises :class:`BadInputError` only if no row can be read at all.
    """
    text = read_text(path, field, LARGEST_FILE, TEXT)
    return read(owner, text, field, units, most, one_unit)


def read(
    owner: type, text: str, field: str, units: str = "in", most: int = 20_000,
    one_unit: bool = True, least: int = 1,
) -> Rows:  # fmt: skip
    """As :func:`read_rows`, from the text of a file; ``least`` is how many rows there must be."""
    if text.count("\n") > 2 * most + 100:  # before any work is done on them
        raise BadInputError([_too_many(field, text.count("\n"), most)])
    lines = _cells(text, field)
    line, headings = next(lines, (0, []))
    if not headings:
        raise BadInputError(
            [Fault(field, "no rows", "a first row of headings, then one row for each",
                   f"the headings are: {', '.join(_shown(k) for k, _ in specs(owner))}")]
        )  # fmt: skip
    reader = _Reader(owner, field, units, one_unit)
    columns = reader.headings(line, headings)
    table = list(lines)
    if len(table) > most:
        raise BadInputError([_too_many(field, len(table), most)])
    if len(table) < least:
        reader.faults.append(
            Fault(field, "headings and no row", "at least one row below the headings", "fill it in")
        )
    found = tuple(reader.row(line, cells, columns) for line, cells in table)
    return Rows(found, tuple(reader.faults), frozenset(reader.bad))


def of_texts(
    owner: type, rows: Sequence[Mapping[str, str]], field: str, units: str = "in",
    place: Place | None = None,
) -> Rows:  # fmt: skip
    """Rows that are no file's: of each the text of every field that is given, by its key.

    They are counted from 1. ``place`` is what a field is called in messages; as in a file, if not
    given.
    """
    reader = _Reader(owner, field, units, False, place)
    columns = {key: _Column(key, spec, None) for key, spec in specs(owner)}
    found = []
    for line, texts in enumerate(rows, 1):
        for key in texts:
            if key not in columns:
                unknown = Fault(
                    reader.place(line, named(key)), "a key that is not known", *like(owner, key)
                )
                reader.faults.append(unknown)
        cells = [texts.get(key, "").strip() for key in columns]
        found.append(reader.row(line, cells, list(columns.values())))
    return Rows(tuple(found), tuple(reader.faults), frozenset(reader.bad))


@dataclass(frozen=True)
class Heading:
    """A heading of a file that is known: the field's key, and the unit that it carries, if any."""

    key: str
    unit: str | None


@dataclass(frozen=True)
class Layout:
    """How a file of rows is written: what parts its cells, its headings, and in which unit a column
    of measures is."""

    separator: str
    headings: tuple[Heading, ...]
    units: Mapping[str, str]


def texts_of(owner: type, text: str) -> tuple[Layout, list[dict[str, str]]]:
    """How a sound file is laid out, and its rows as texts of their own units.

    The file must have been read without a fault.
    """
    lines = _cells(text, "")
    line, cells = next(lines, (0, []))
    reader = _Reader(owner, "", "in", True)
    headings = tuple(
        Heading(column.name, column.unit)
        for column in reader.headings(line, cells) if column is not None
    )  # fmt: skip
    kinds, found = dict(specs(owner)), list[dict[str, str]]()
    units = {heading.key: heading.unit for heading in headings if heading.unit}
    for _, row in lines:
        told = {}
        for heading, cell in zip(headings, row, strict=False):
            kind = kinds[heading.key].kind
            if cell and kind in _OF_KIND and heading.unit and unit_of(cell) is None:
                cell = f"{cell} {heading.unit}"
            elif cell and kind in ("length", "mass") and heading.key not in units:
                units[heading.key] = unit_of(cell) or ""
            if cell:
                told[heading.key] = cell.lower() if kind == "choice" else cell
        found.append(told)
    return Layout(separator(text), headings, units), found


def row_fault(
    field: str, line: int, column: str, given: str, allowed: str, change: str = ""
) -> Fault:  # fmt: skip
    """A fault named by its row and column.

    >>> row_fault("log", 7, "drawn_left", "0 in", "more than nothing").field
    'log row 7, drawn left'
    """
    return Fault(in_file(field)(line, column), given, allowed, change)


def in_file(field: str) -> Place:
    """What a cell of a file is called."""
    return lambda line, column: f"{field} row {line}, {_shown(column)}"


def _shown(column: str) -> str:
    return column.replace("_", " ")


def _too_many(field: str, count: int, most: int) -> Fault:
    return Fault(field, f"{count:,} rows", f"up to {most:,}", "leave some out")


def _cells(text: str, field: str) -> Iterator[tuple[int, list[str]]]:
    """Every row that holds something, with the number of its first line."""
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=separator(text), skipinitialspace=True
    )  # fmt: skip
    line = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise BadInputError(
                [Fault(f"{field} row {line}", "a row that cannot be read", "plain CSV",
                       f"mend this: {error}")]
            ) from None  # fmt: skip
        if cells is None:
            return
        here, line = line, reader.line_num + 1
        if any(cell.strip() for cell in cells) and not is_remark(cells[0]):
            yield here, [cell.strip() for cell in cells]


def separator(text: str) -> str:
    """What parts the cells of a file: a comma, a semicolon or a tab, by its headings."""
    first = next((ln for ln in text.splitlines() if ln.strip() and not is_remark(ln)), "")
    return max(_SEPARATORS, key=first.count)


def is_remark(text: str) -> bool:
    """Whether a row that begins so is one."""
    return text.lstrip().startswith("#")


class _Reader:
    """What is found on the way through a file."""

    def __init__(
        self, owner: type, field: str, units: str, one_unit: bool, place: Place | None = None
    ) -> None:
        self.owner, self.field, self.units, self.one_unit = owner, field, units, one_unit
        self.place = place or in_file(field)
        self.specs = dict(specs(owner))
        self.faults: list[Fault] = []
        self.bad: set[tuple[int, str]] = set()
        self.unit_of: dict[str, tuple[str, int]] = {}
        self.known: dict[tuple[str, str], Any] = {}

    def headings(self, line: int, cells: list[str]) -> list[_Column | None]:
        """A column for each heading; None under one that is not known."""
        columns: list[_Column | None] = []
        seen: set[str] = set()
        where = f"{self.field} row {line}, headings"
        for cell in cells:
            text = cell.lower().replace("\u2033", '"').replace("\u201d", '"')
            match = _UNIT.search(text)
            name = re.sub(r"[\s_-]+", "_", text[: match.start()] if match else text).strip("_")
            spec = self.specs.get(name)
            columns.append(None)
            if spec is None:
                close = difflib.get_close_matches(name[:60], self.specs, n=1, cutoff=0.5)
                hint = f"did you mean {_shown(close[0])}?" if close else "take the column out"
                allowed = ", ".join(_shown(k) for k in self.specs)
                self.faults.append(Fault(where, given(cell) if cell else "none", allowed, hint))
            elif name in seen:
                self.faults.append(Fault(where, f"{_shown(name)} twice", "each column once",
                                         "take one out"))  # fmt: skip
            else:
                seen.add(name)
                unit = _WORDS.get(match[1], match[1]) if match else None
                may = _OF_KIND.get(spec.kind, ())
                if unit is not None and unit not in may:
                    allowed = f"one of {', '.join(may)}" if may else "no unit"
                    self.faults.append(Fault(where, given(cell), allowed, "change the unit"))
                    unit = None
                elif unit is not None:
                    self.unit_of[name] = unit, line
                columns[-1] = _Column(name, spec, unit)
        for name, spec in self.specs.items():
            if spec.required and name not in seen:
                self.faults.append(
                    Fault(where, "nothing", f"a column {_shown(name)}",
                          f"add it: {spec.label.lower()}, {spec.help}")
                )  # fmt: skip
        return columns

    def row(self, line: int, cells: list[str], columns: list[_Column | None]) -> Row:
        values: dict[str, Any] = {}
        filled: set[str] = set()
        if any(cells[len(columns) :]):
            self.faults.append(
                Fault(f"{self.field} row {line}", f"{len(cells)} cells",
                      f"as many as headings, {len(columns)}", "take out what has no heading")
            )  # fmt: skip
        for column, cell in zip(columns, cells, strict=False):
            if column is None or not cell:
                continue
            filled.add(column.name)
            found = self.cell(line, column, cell)
            if found is not None:
                values[column.name] = found
        for entry in dataclasses.fields(self.owner):
            spec: Spec = entry.metadata["spec"]
            if not spec.required or entry.name in values:
                continue
            if entry.name not in filled and any(c and c.name == entry.name for c in columns):
                self.fault(line, entry.name, "nothing", spec, f"add it: {spec.label.lower()}")
            self.bad.add((line, entry.name))
            values[entry.name] = spec.stand_in
        return Row(line, self.owner(**values), frozenset(filled))

    def fault(self, line: int, name: str, what: str, spec: Spec, change: str) -> None:
        self.faults.append(
            Fault(self.place(line, name), what, spec.limits(self.units), change)
        )  # fmt: skip
        self.bad.add((line, name))

    def cell(self, line: int, column: _Column, text: str) -> Any:
        """The value of a cell; None, with a fault, where it is not allowed."""
        name, spec = column.name, column.spec
        raw: Any = text
        if spec.kind in ("length", "mass", "percent"):
            unit = unit_of(text)
            if unit is None and column.unit is not None:
                raw = f"{text} {column.unit}"
            elif unit is not None and self.changes_unit(line, name, text, unit):
                return None
        elif spec.kind == "section" and column.unit is not None and unit_of(text) is None:
            raw = f"{text} {column.unit}"
        elif spec.kind in ("count", "number", "angle"):
            raw = _number(text)
        elif spec.kind == "choice":
            raw = text.lower()
        if (name, text) not in self.known:
            self.known[name, text] = value(raw, spec)
        found = self.known[name, text]
        if found is None:
            change = remedy(raw, spec)
            if spec.kind in ("count", "number", "angle") and isinstance(raw, str):
                change = "write a number"
            self.fault(line, name, given(text), spec, change)
        return found

    def changes_unit(self, line: int, name: str, text: str, unit: str) -> bool:
        """Whether a cell's unit is another than its column's; the first one found is that."""
        kept, since = self.unit_of.setdefault(name, (unit, line))
        if unit == kept or not self.one_unit:
            return False
        self.faults.append(
            Fault(self.place(line, name), given(text), f"{kept}, as in row {since}",
                  "keep to one unit in a column")
        )  # fmt: skip
        self.bad.add((line, name))
        return True


def unit_of(text: str) -> str | None:
    """The first unit in a text; None where there is none that is known."""
    plain = text.lower().replace("\u2033", '"').replace("\u201d", '"').replace("''", '"')
    words = (_WORDS.get(word, word) for word in re.findall(r"[a-wyz]+|[%\"]", plain))
    return next((word for word in words if word in _UNITS), None)


def _number(text: str) -> Any:
    """A whole number or a decimal; the text itself where it is neither."""
    if re.fullmatch(r"[+-]?\d{1,15}", text, re.ASCII):
        return int(text)
    if re.fullmatch(r"[+-]?(\d{1,15}(\.\d{0,15})?|\.\d{1,15})", text, re.ASCII):
        return float(text)
    return text
