"""Names and colours of the layers of a file to cut, and a shop's own table of them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

from .errors import BadInputError, Fault
from .rows import read_rows, row_fault
from .schema import choice_field, count_field, text_field


@dataclass(frozen=True)
class Layer:
    """A layer's name and its colour, a number of the DXF's own table, 1 to 255."""

    name: str
    colour: int


@dataclass(frozen=True)
class Layers:
    """What is cut round the outside, what is cut inside it, what is marked."""

    outside: Layer = Layer("CUT", 1)
    inside: Layer = Layer("CUT", 1)
    mark: Layer = Layer("MARK", 5)

    def of(self, role: str) -> Layer:
        """The layer for outside, inside or mark."""
        return {"outside": self.outside, "inside": self.inside, "mark": self.mark}[role]


OWN = Layers()
"""The layers if nobody asks for others."""

ROLES = ("outside", "inside", "mark")
"""What a layer may be for."""
_NAME = re.compile(r"[A-Za-z0-9_$-]+", re.ASCII)
_LONGEST = 31
"""Signs in the name of a layer: what the oldest version of the format allows."""


def is_name(text: str) -> bool:
    """Whether a text may be a layer's name, in every version of the format.

    >>> is_name("CUT_1"), is_name("cut through")
    (True, False)
    """
    return len(text) <= _LONGEST and _NAME.fullmatch(text) is not None


@dataclass(frozen=True, kw_only=True)
class _Row:
    """One row of a shop's table."""

    what: str = choice_field("What", ROLES, "goes on the layer")
    name: str = text_field("Name", _LONGEST, "of the layer: letters, digits, _ - $")
    colour: int = count_field(
        "Colour", 1, 255, "number of the colour, as the format counts them", 7
    )


def load(path: Path, units: str = "in") -> Layers:
    """A shop's table of layers, in CSV: ``what,name,colour``, one row for each that differs.

    Raises :class:`BadInputError` with every fault of the file. Cuts and marks may not share a
    layer, nor may one layer have two colours.
    """
    read = read_rows(_Row, path, "--layers", units, 20)
    faults: list[Fault] = list(read.faults)
    if faults:
        raise BadInputError(faults)
    found, given = OWN, dict[str, int]()
    for row in read.rows:
        what, name = row.value.what, row.value.name
        if what in given:
            change = f"leave out this row or row {given[what]}"
            faults.append(row_fault("--layers", row.line, "what", what, "each once", change))
        given[what] = row.line
        if not is_name(name):
            allowed = f"letters, digits, _ - $; up to {_LONGEST} of them"
            faults.append(row_fault("--layers", row.line, "name", repr(name), allowed, ""))
        found = replace(found, **{what: Layer(name, row.value.colour)})
    if faults:
        raise BadInputError(faults)
    by_name: dict[str, Layer] = {}
    for what in ROLES:
        layer: Layer = getattr(found, what)
        line = f"--layers row {given[what]}" if what in given else "--layers"
        same = by_name.setdefault(layer.name.lower(), layer)
        if what == "mark" and same is not layer:
            faults.append(Fault(f"{line}, name", layer.name, "a layer of its own for marks",
                                "a machine would cut them"))  # fmt: skip
        elif same.colour != layer.colour:
            faults.append(Fault(f"{line}, colour", str(layer.colour),
                                f"{same.colour}, as of the same layer before"))  # fmt: skip
    if faults:
        raise BadInputError(faults)
    return found
