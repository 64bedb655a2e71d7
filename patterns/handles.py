"""Ordinary handles, by the section that goes into the eye: a small table to edit.

Makers' and sellers' sizes differ by a quarter of an inch for one kind of handle, so the table is a
first look and no more; the handle in hand is measured with a strip of paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from .eye import perimeter_of
from .interval import Interval
from .parameters import EYE_FORMS, Eye
from .rows import rows
from .schema import choice_field, length_field, text_field

TABLE = Path(__file__).parent / "tables" / "handles.csv"
MOST = 500
"""Rows of a table of handles."""

NOSE, EXPONENT = Eye.front_radius, Eye.exponent
"""Of a teardrop [mm] and a superellipse, as a profile has them if it says nothing."""


@dataclass(frozen=True, kw_only=True)
class Handle:
    """One kind of handle, where it enters the eye."""

    handle: str = text_field("Handle", 60, "what it is sold as")
    form: str = choice_field("Form", EYE_FORMS, "of its section", "teardrop")
    length: float = length_field(
        "Length", "8 mm", "120 mm", "of the section, along the head", required=True
    )
    width: float = length_field("Width", "8 mm", "90 mm", "across the head", required=True)
    note: str = text_field("Note", 300, "where the sizes come from", "")

    @property
    def perimeter(self) -> float:
        """Of the section [mm]."""
        nose = min(NOSE, self.width / 2.0)
        return perimeter_of(self.form, self.length, self.width, nose, EXPONENT)


def handles(path: Path | None = None, units: str = "in") -> tuple[Handle, ...]:
    """The table of a file, or the one that is shipped.

    Raises :class:`BadInputError` with every fault of the file.
    """
    found = rows(Handle, path or TABLE, "handles", units, MOST, one_unit=False)
    return tuple(row.value for row in found)


@dataclass(frozen=True)
class Fit:
    """A handle beside a forecast eye: how much longer round it is than the eye foreseen [mm]."""

    handle: Handle
    fits: bool
    more: float


def fits(table: Iterable[Handle], perimeter: Interval) -> tuple[Fit, ...]:
    """Every handle, the nearest first; it fits if its perimeter lies within the eye's interval."""
    found = [
        Fit(h, perimeter.spans(h.perimeter), h.perimeter - perimeter.mid) for h in table
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda fit: (not fit.fits, abs(fit.more))))
