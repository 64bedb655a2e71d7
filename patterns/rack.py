"""The bars on hand: read from a file of rows (CSV) or of ``[[bar]]`` tables (TOML)."""

from __future__ import annotations

import dataclasses
import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from . import parameters, reading
from .errors import BadInputError, Fault
from .forging.density import steel_mass
from .rows import Rows, read_rows
from .rows import read as read_csv
from .schema import count_field, length_field, number_field, specs, text_field
from .units import length as shown

MOST = 2_000
"""Rows of a rack."""

TABLES = "bar"
"""The key of the tables in a TOML rack."""


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Bars that are alike: so many, each of one section and length [mm]."""

    section: tuple[float, float] = field(metadata={"spec": parameters.spec_at("bar.section")})
    length: float = length_field("Length", "10 mm", "15000 mm", "of one bar", required=True)
    count: int = count_field("Count", 1, 10_000, "how many bars are alike", 1)
    steel: str = text_field("Steel", 40, "as the dealer names it", "")
    price: float | None = number_field("Price", 0.0, 1e9, "of one whole bar, a plain number")
    currency: str = text_field("Currency", 12, "of the price", "")
    name: str = text_field("Name", 24, "the smith's own mark; the row, if not given", "")

    @property
    def area(self) -> float:
        """Of the section [mm2]."""
        return self.section[0] * self.section[1]

    @property
    def mass(self) -> float:
        """Of one bar [g]."""
        return steel_mass(self.area * self.length)


Rack = tuple[Stock, ...]


def load(path: Path, units: str = "in") -> Rack:
    """Read a rack; a bar without a name takes its row's.

    A file whose name ends in ``.toml`` holds one ``[[bar]]`` table for each row; any other is CSV.

    Raises
    ------
    BadInputError
        With every fault of file, rows and cells; messages in ``units`` (in or mm).
    """
    found = _Found(units)
    if path.suffix.lower() == ".toml":
        found.tables(reading.toml_file(path, "rack"))
    else:
        found.rows(read_rows(Stock, path, "rack", units, MOST))
    return found.sound()


def read(text: str, units: str = "in", most: int = MOST) -> Rack:
    """The rack of a CSV file's text, as :func:`load` reads it; of ``most`` rows.

    >>> read("section,length [in]\\n3/8 x 1 1/4 in,48\\n")[0].name
    'row 2'
    """
    found = _Found(units)
    found.rows(read_csv(Stock, text, "rack", units, most))
    return found.sound()


def _row(fault: Fault) -> int:
    match = re.match(r"rack row (\d+)", fault.field)
    return int(match[1]) if match else 0


class _Found:
    """What is found on the way through a rack."""

    def __init__(self, units: str) -> None:
        self.units = units
        self.stock: list[Stock] = []
        self.faults: list[Fault] = []
        self.currency: tuple[str, str] | None = None

    def sound(self) -> Rack:
        """The bars; raises :class:`BadInputError` if anything about them is at fault."""
        if self.faults:
            raise BadInputError(self.faults)
        return tuple(self.stock)

    def rows(self, read: Rows) -> None:
        bad: dict[int, set[str]] = {}
        for line, column in read.bad:
            bad.setdefault(line, set()).add(column)
        for row in read.rows:
            self.add(f"row {row.line}", row.value, bad.get(row.line, set()))
        self.faults = sorted([*read.faults, *self.faults], key=_row)

    def tables(self, raw: Mapping[str, Any]) -> None:
        keys = [key for key, _ in specs(Stock)]
        holds = f"[[{TABLES}]] tables with: {', '.join(keys)}"
        for key in raw:
            if key != TABLES:
                hint = f"write [[{TABLES}]]" if key.lower() in ("bars", "rack", "stock") else (
                    "take it out")  # fmt: skip
                self.faults.append(
                    Fault(f"rack, {reading.named(key)}", "a key that is not known", holds, hint)
                )
        rows = raw.get(TABLES, [])
        if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
            self.faults.append(Fault(f"rack, {TABLES}", reading.given(rows), holds,
                                     f"write [[{TABLES}]] above each"))  # fmt: skip
        elif not rows:
            self.faults.append(Fault("rack", "no bar", f"at least one of {holds}", "fill it in"))
        elif len(rows) > MOST:
            self.faults.append(
                Fault("rack", f"{len(rows):,} bars", f"up to {MOST:,}", "leave some out")
            )
        else:
            for number, row in enumerate(rows, 1):
                self.faults += self.table(f"bar {number}", row, keys)

    def table(self, place: str, raw: Mapping[str, Any], keys: list[str]) -> Iterator[Fault]:
        read = reading.table(Stock, raw, self.units)
        for fault in reading.in_order(Stock, read.faults, raw):
            allowed, change = fault.allowed, fault.change
            if fault.field not in keys:
                near = difflib.get_close_matches(fault.field.lower()[:60], keys, n=1, cutoff=0.5)
                allowed = ", ".join(keys)
                change = f"did you mean {near[0]}?" if near else "take it out"
            yield Fault(f"rack {place}, {fault.field}", fault.given, allowed, change)
        self.add(place, read.value, set(read.bad))

    def add(self, place: str, stock: Stock, bad: set[str]) -> None:
        """Take a bar in, with the faults that only several of its cells together show."""
        thick, wide = stock.section
        if "section" not in bad and thick > wide:
            self.faults.append(
                Fault(f"rack {place}, section",
                      f"{shown(thick, self.units)} x {shown(wide, self.units)}",
                      "thickness first, then the width, which is the larger", "turn the two round")
            )  # fmt: skip
        if "currency" not in bad and stock.currency:
            kept, since = self.currency = self.currency or (stock.currency, place)
            if stock.currency != kept:
                self.faults.append(
                    Fault(f"rack {place}, currency", reading.given(stock.currency),
                          f"{kept}, as in {since}", "give every price in one currency")
                )  # fmt: skip
        self.stock.append(dataclasses.replace(stock, name=stock.name.strip() or place))


# Sawing ------------------------------------------------------------------------------------------

WIDEST_KERF = 12.7
"""What a saw may take [mm]."""

SLACK = 1e-6
"""What a bar may be too short without being short, for rounding only [mm]."""


def pieces_in(length: float, cut: float, kerf: float) -> int:
    """How many pieces a bar gives: the last one needs no cut behind it if the bar ends there.

    >>> pieces_in(100.0, 24.25, 1.0), pieces_in(99.9, 24.25, 1.0)
    (4, 3)
    """
    return int((length + kerf + SLACK) // (cut + kerf))


def left_over(length: float, cuts: float, pieces: int, kerf: float) -> float:
    """What is left of a bar [mm] from which pieces of that length in all are sawn.

    The saw takes a kerf behind each piece, or what is left of the bar if that is less.

    >>> left_over(100.0, 48.5, 2, 1.0), left_over(100.0, 97.0, 4, 1.0), left_over(9.0, 0.0, 0, 1.0)
    (49.5, 0.0, 9.0)
    """
    return max(length - cuts - pieces * kerf, 0.0)


def prices_in(rack: Rack) -> str:
    """The currency of a rack's prices; empty where none is stated."""
    return next((stock.currency for stock in rack if stock.currency), "")
