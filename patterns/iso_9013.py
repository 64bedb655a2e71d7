"""ISO 9013, thermal cuts: by how much a length may be off, and how far a cut may lean.

The figures are those of a metal supplier's reprint of the standard's tables, compared with a second
reading of them; the standard itself was not seen. Waterjet and saw are outside it. All in mm.
"""

from __future__ import annotations

import itertools

from .cited_tables import Origin
from .sources import Basis, Work

ISO_9013 = Work(
    "ISO 9013:2017, Thermal cutting - Classification of thermal cuts - Geometrical product "
    "specification and quality tolerances",
    where="tables of limit deviations as a metal supplier reprints them",
)  # fmt: skip
ORIGIN = Origin(ISO_9013, "limit deviations, classes 1 and 2", Basis.SECOND_HAND)
CLASSES = (1, 2)

LENGTHS = (0.0, 3.0, 10.0, 35.0, 125.0, 315.0, 1000.0, 2000.0, 4000.0, 6000.0, 8000.0)
"""Bounds of the bands of nominal length: from one on, to less than the next; the first over 0."""

# Thickest of the row (over the one before it, up to and including this), then a deviation for each
# band of length. None: the standard gives none.
_CLASS_1 = (
    (1.0, (0.075, 0.10, 0.10, 0.20, 0.20, 0.30, 0.40, 0.65, 0.90, 1.60)),
    (3.15, (0.10, 0.15, 0.20, 0.25, 0.25, 0.35, 0.40, 0.65, 1.00, 1.75)),
    (6.3, (0.20, 0.20, 0.25, 0.25, 0.30, 0.40, 0.45, 0.70, 1.10, 1.90)),
    (10.0, (None, 0.25, 0.30, 0.30, 0.35, 0.45, 0.55, 0.75, 1.25, 2.20)),
    (15.0, (None, 0.30, 0.35, 0.40, 0.45, 0.55, 0.65, 0.85, 1.50, 2.50)),
    (20.0, (None, 0.40, 0.40, 0.45, 0.55, 0.75, 0.85, 1.2, 1.90, 2.80)),
    (25.0, (None, 0.45, 0.50, 0.60, 0.70, 0.90, 1.10, 1.60, 2.40, 3.25)),
    (32.0, (None, None, 0.70, 0.70, 0.80, 1.0, 1.6, 2.25, 3.00, 4.00)),
    (50.0, (None, None, 0.7, 0.70, 0.8, 1.0, 1.6, 2.5, 3.8, 5.0)),
    (100.0, (None, None, 1.3, 1.3, 1.4, 1.7, 2.2, 3.1, 4.4, 5.6)),
    (150.0, (None, None, 1.9, 2.0, 2.1, 2.3, 2.9, 3.8, 5.1, 6.3)),
    (200.0, (None, None, 2.6, 2.7, 2.7, 3.0, 3.6, 4.5, 5.7, 7.0)),
    (250.0, (None, None, None, None, None, 3.7, 4.2, 5.2, 6.4, 7.7)),
    (300.0, (None, None, None, None, None, 4.4, 4.9, 5.9, 7.1, 8.4)),
)  # fmt: skip
# Rows over 25 mm were not read.
_CLASS_2 = (
    (1.0, (0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 0.9, None, None)),
    (3.15, (0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0, 1.1, 1.4, 1.4)),
    (6.3, (0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3, 1.6, 1.6)),
    (10.0, (None, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2.0)),
    (15.0, (None, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5)),
    (20.0, (None, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5)),
    (25.0, (None, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5)),
)  # fmt: skip
_TABLES = {1: _CLASS_1, 2: _CLASS_2}

# Range: constant [mm] and share of the thickness.
_LEAN = {1: (0.05, 0.003), 2: (0.15, 0.007), 3: (0.4, 0.01), 4: (0.8, 0.02), 5: (1.2, 0.035)}


def deviation(length: float, thickness: float, tolerance_class: int) -> float | None:
    """By how much a nominal length may be off, either way [mm].

    ``length`` and ``thickness`` [mm]; ``tolerance_class`` 1 or 2, another raises
    :class:`ValueError`. None outside the table, where the standard gives none, and where the table
    was not read (class 2 over 25 mm).

    >>> deviation(200.0, 1.519, 1), deviation(200.0, 4.7625, 2)
    (0.25, 1.1)
    >>> deviation(2.0, 8.0, 1) is None
    True
    """
    if tolerance_class not in _TABLES:
        raise ValueError(f"tolerance class {tolerance_class} is not 1 or 2")
    if not (0.0 < length < LENGTHS[-1] and thickness > 0.0):
        return None
    band = next(i for i, upper in enumerate(LENGTHS[1:]) if length < upper)
    row = next((cells for most, cells in _TABLES[tolerance_class] if thickness <= most), None)
    return None if row is None else row[band]


def bands(thickness: float, tolerance_class: int) -> tuple[tuple[float, float, float | None], ...]:
    """Every band of length with its deviation in a sheet of one thickness [mm].

    >>> bands(1.519, 1)[3]
    (35.0, 125.0, 0.25)
    """
    return tuple(
        (low, high, deviation((low + high) / 2.0, thickness, tolerance_class))
        for low, high in itertools.pairwise(LENGTHS)
    )


def perpendicularity(thickness: float, quality: int) -> float:
    """How far a cut of a range of quality, 1 (best) to 5, may lean over the thickness [mm].

    >>> round(perpendicularity(10.0, 1), 3)
    0.08
    """
    constant, share = _LEAN[quality]
    return constant + share * thickness
