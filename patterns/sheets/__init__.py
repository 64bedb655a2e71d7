"""The sheets, one file each: a forge plan in, drawings in true size out.

To add one, write ``NAME`` and ``draw(plan, units) -> tuple[Drawing, ...]`` in a file of its own and
put it in :data:`SHEETS`; the writers need no change. A sheet is what ``--sheets`` calls by its
name; it may take several drawings, whose names begin with its own.
"""

from __future__ import annotations

from . import (
    bit,
    blank,
    card,
    drift,
    edge_cover,
    eye,
    figures,
    gauges,
    handle,
    head,
    log,
    stages,
    steel,
    straps,
)

SHEETS = (
    blank, straps, head, bit, eye, steel, log, card, figures, stages, gauges, drift, handle,
    edge_cover,
)  # fmt: skip
"""In the order of printing; a sheet's number is its place here, whatever is chosen."""

EVERYDAY = ("blank", "straps", "head", "bit", "eye", "steel", "log", "card")
"""Names of the sheets that are drawn if none are asked for."""
