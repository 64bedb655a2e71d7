"""What each way to cut sheet asks of a part: kerf, holes, slots, webs, letters, marks, tolerances.

The figures stand in ``tables/processes.toml``, as their sources print them. What follows from them
for a sheet of one thickness is a :class:`Rules`. Inside: mm, mm/s, s.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Rules:
    """What one process asks of a part in a sheet of one thickness. Lengths [mm].

    ``hole`` is the smallest diameter and ``slot`` the least width of an opening; ``web`` the least
    metal between two openings, ``edge`` that between an opening and the outline; ``spacing`` lies
    between two parts on a sheet, ``margin`` between a part and the sheet's edge. ``letter`` is the
    least height of letters that are cut through, ``bridge`` the least width of what holds their
    islands. ``marks`` says whether the process can mark without cutting through.
    ``tolerance_class`` is of ISO 9013; None for a process outside it, whose limit deviation is
    ``deviation`` at any length. ``feed`` [mm/s], ``pierce`` [s] and ``lead`` [mm], the length of a
    lead-in, serve the estimate of the machine's time.
    """

    process: str
    thickness: float
    kerf: float
    hole: float
    slot: float
    inside_radius: float
    web: float
    edge: float
    spacing: float
    margin: float
    letter: float
    bridge: float
    marks: bool
    tolerance_class: int | None
    deviation: float | None
    feed: float
    pierce: float
    lead: float
