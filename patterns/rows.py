"""Read a file of rows (CSV) by a flat schema: every fault is named with its row and its column.

The first row holds the headings, in any order. A heading may carry a unit, ``wall [in]``, and the
cells below it may then be plain numbers; otherwise each cell has its own. Within a column of
measures the unit must not change, for a figure under the wrong one is worse than none; sections
may, since the unit belongs to the bar's name, and so may tables of things as they are sold. Empty
cells take their defaults. A row that begins with ``#`` is a remark.
"""

from __future__ import annotations

import csv
import dataclasses
import difflib
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .errors import BadInputError, Fault
from .reading import given, read_text, remedy, value
from .schema import Spec, specs

LARGEST_FILE = 20_000_000
"""Bytes."""

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
    text = read_text(path, field, LARGEST_FILE, "a CSV file, which is plain text in UTF-8")
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
    if not table:
        reader.faults.append(
            Fault(field, "headings and no row", "at least one row below the headings", "fill it in")
        )
    found = tuple(reader.row(line, cells, columns) for line, cells in table)
    return Rows(found, tuple(reader.faults), frozenset(reader.bad))


def row_fault(
    field: str, line: int, column: str, given: str, allowed: str, change: str = ""
) -> Fault:  # fmt: skip
    """A fault named by its row and column.

    >>> row_fault("log", 7, "drawn_left", "0 in", "more than nothing").field
    'log row 7, drawn left'
    """
    return Fault(f"{field} row {line}, {_shown(column)}", given, allowed, change)


def _shown(column: str) -> str:
    return column.replace("_", " ")


def _too_many(field: str, count: int, most: int) -> Fault:
    return Fault(field, f"{count:,} rows", f"up to {most:,}", "leave some out")


def _cells(text: str, field: str) -> Iterator[tuple[int, list[str]]]:
    """Every row that holds something, with the number of its first line."""
    first = next((ln for ln in text.splitlines() if ln.strip() and not _is_remark(ln)), "")
    separator = max(_SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True)
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
        if any(cell.strip() for cell in cells) and not _is_remark(cells[0]):
            yield here, [cell.strip() for cell in cells]


def _is_remark(text: str) -> bool:
    return text.lstrip().startswith("#")


class _Reader:
    """What is found on the way through a file."""

    def __init__(self, owner: type, field: str, units: str, one_unit: bool) -> None:
        self.owner, self.field, self.units, self.one_unit = owner, field, units, one_unit
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
            row_fault(self.field, line, name, what, spec.limits(self.units), change)
        )  # fmt: skip
        self.bad.add((line, name))

    def cell(self, line: int, column: _Column, text: str) -> Any:
        """The value of a cell; None, with a fault, where it is not allowed."""
        name, spec = column.name, column.spec
        raw: Any = text
        if spec.kind in ("length", "mass", "percent"):
            unit = _unit(text)
            if unit is None and column.unit is not None:
                raw = f"{text} {column.unit}"
            elif unit is not None and self.changes_unit(line, name, text, unit):
                return None
        elif spec.kind == "section" and column.unit is not None and _unit(text) is None:
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
            row_fault(self.field, line, name, given(text), f"{kept}, as in row {since}",
                      "keep to one unit in a column")
        )  # fmt: skip
        self.bad.add((line, name))
        return True


def _unit(text: str) -> str | None:
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
