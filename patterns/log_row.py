"""A piece as one more row of a log, under the file's own headings and in its own units.

The rest of the file stays to the byte. What is made is read back before it is handed out: a row
that the log would not give back as it was told is a fault.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from . import logbook, rows
from .errors import BadInputError, Fault
from .logbook import FIELD, Entry
from .reading import given
from .rows import Heading, Layout
from .schema import Spec, specs
from .units import GRAMS_PER_POUND, MM_PER_INCH, inches

SIZES = {
    "in": MM_PER_INCH, "mm": 1.0, "cm": 10.0,
    "oz": GRAMS_PER_POUND / 16.0, "lb": GRAMS_PER_POUND, "g": 1.0, "kg": 1000.0,
}  # fmt: skip
"""Units that a column may be in [mm, g]."""


@dataclass(frozen=True)
class Added:
    """A log with one row more: the file's bytes, the number of that row, and the fields, by key,
    that the file has no column for."""

    content: bytes
    line: int
    left: tuple[str, ...]


def with_row(
    content: bytes | None, piece: Mapping[str, str], units: str = "in", *, leave_out: bool = False
) -> Added:  # fmt: skip
    """Add a piece, told as the text of each field by its key, to what a log's file holds.

    Parameters
    ----------
    content : of the file; None for a new one, which gets every heading
    piece : texts, each with its own unit
    units : of the messages and of a new log's headings, in or mm
    leave_out : what the file has no column for is left out, and named; if not, it is a fault

    Raises
    ------
    BadInputError
        With every fault of the piece, each under its key, or of the file, which is then no log.

    >>> file = b"section [in],poll [in],shoulders [in],note\\n1/2 x 1 1/2,1,4,\\n"
    >>> told = {"section": "3/8 x 1 1/4 in", "poll": "25.4 mm", "shoulders": "3 3/8 in"}
    >>> with_row(file, told).content.splitlines()[-1]
    b'3/8 x 1 1/4,1,3 3/8,'
    """
    (row,) = logbook.of_texts([piece], units, lambda line, key: key)
    if content is None:
        content = (",".join(logbook.headings(units)) + "\n").encode()
    text = logbook.text_of(content)
    before = logbook.read(text, units, least=0)
    layout, _ = rows.texts_of(Entry, text)
    left = _without_column(row.value, row.given, layout)
    kinds = dict(specs(Entry))
    told = {key: piece[key].strip() for key in row.given}
    if left and not leave_out:
        raise BadInputError(_no_column(kinds[key], key, told[key]) for key in left)
    cells = [_cell(told, row.value, heading, kinds, layout) for heading in layout.headings]
    if rows.is_remark(cells[0]):
        first = layout.headings[0].key
        raise BadInputError(
            [Fault(first, given(cells[0]), "no # in front: in the first column of the log it makes "
                   "the row a remark", "write it otherwise")]
        )  # fmt: skip
    end = "\r\n" if "\r\n" in text else "\n"
    line = io.StringIO(newline="")
    csv.writer(line, delimiter=layout.separator, lineterminator=end).writerow(cells)
    begin = "" if text.endswith(("\n", "\r")) else end
    made = content + f"{begin}{line.getvalue()}".encode()
    after = logbook.read(logbook.text_of(made), units)
    if len(after) != len(before) + 1 or not _same(after[-1].value, row.value, left):
        raise BadInputError(
            [Fault(FIELD, "a file whose last row is not whole", "a log that gives a row back as it "
                   "was told", "look at its last lines: a quotation mark may be open")]
        )  # fmt: skip
    return Added(made, after[-1].line, left)


def _without_column(entry: Entry, told: Iterable[str], layout: Layout) -> tuple[str, ...]:
    """What is told, has no column, and would not come back as a default."""
    columns = {heading.key for heading in layout.headings}
    plain = {field.name: field.default for field in dataclasses.fields(Entry)}
    return tuple(
        key for key, _ in specs(Entry)
        if key in told and key not in columns and getattr(entry, key) != plain[key]
    )  # fmt: skip


def _no_column(spec: Spec, key: str, text: str) -> Fault:
    heading = key.replace("_", " ")
    return Fault(
        key, given(text), f"nothing: the log has no column {heading}",
        f"add {heading} to the log's headings, or leave {spec.label.lower()} out",
    )  # fmt: skip


def _cell(
    told: Mapping[str, str], entry: Entry, heading: Heading, kinds: Mapping[str, Spec],
    layout: Layout,
) -> str:  # fmt: skip
    """What is written below a heading: as it was told, but in the column's unit."""
    text, kind = told.get(heading.key, ""), kinds[heading.key].kind
    unit = layout.units.get(heading.key)
    if not text or unit is None or kind not in ("length", "mass", "section"):
        return text
    if rows.unit_of(text) != unit:
        if kind == "section":  # the unit belongs to the bar's name
            return text
        text = f"{_measure(getattr(entry, heading.key), unit)} {unit}"
    plain = re.fullmatch(r"([^a-z\"']*\d|\d[^a-z\"']* x [^a-z\"']*\d)\s*[a-z\"']+\.?", text.lower())
    return plain[1] if heading.unit and plain else text


def _measure(value: float, unit: str) -> str:
    """A length [mm] or a mass [g] as a number of a unit.

    >>> _measure(44.45, "in"), _measure(4.7, "in"), _measure(680.0, "oz"), _measure(4.7625, "mm")
    ('1 3/4', '0.1850394', '23.9862941', '4.7625')
    """
    size = value / SIZES[unit]
    if unit == "in" and abs(size * 64.0 - round(size * 64.0)) < 1e-9:
        return inches(value)
    return f"{size:.7f}".rstrip("0").rstrip(".")


def _same(one: Any, other: Any, left: Iterable[str]) -> bool:
    """Whether two entries are alike but for what was left out."""
    skipped = set(left)
    return all(
        key in skipped or _alike(getattr(one, key), getattr(other, key)) for key, _ in specs(Entry)
    )


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, tuple) and isinstance(other, tuple):
        return all(_alike(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-5, abs_tol=1e-4)
    return bool(one == other)
