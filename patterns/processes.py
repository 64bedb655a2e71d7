"""What each way to cut sheet asks of a part: kerf, holes, slots, webs, letters, marks, tolerances.

The figures stand in ``tables/processes.toml``, as their sources print them; where guides differ all
of them stand there, and the one that asks the most rules. What follows from them for a sheet of one
thickness is a :class:`Rules`. Inside: mm, mm/s, s.
"""

from __future__ import annotations

import difflib
import itertools
import math
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from . import cited_tables
from .cited_tables import Origin
from .errors import BadInputError, Fault
from .sources import Basis, Work
from .units import MM_PER_INCH, NotALengthError, both_limits, fine, inches, read_length

_TABLE = "processes"


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
    lead-in, serve the estimate of the machine's time. A part whose longer side is under
    ``smallest_part`` falls through the table or tips up; 0 where no guide says so.
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
    smallest_part: float = 0.0

    @property
    def fitted(self) -> bool:
        """Whether a cut is brought to its size by file and calipers, whatever the saw left."""
        return self.process == "hand"


# What the sources say ----------------------------------------------------------------------------

FIGURES = (
    "kerf", "inside_radius", "hole", "slot", "web", "edge", "spacing", "margin", "letter", "bridge",
    "smallest_part", "deviation", "feed", "pierce", "lead",
)  # fmt: skip
"""Every rule that is a figure, each after those that it is made of."""

WIDEST_KERF = 10.0  # mm: far beyond any of these tools; more is a slip of the pen


@dataclass(frozen=True)
class Term:
    """One source's part of a rule; see the table for its forms.

    ``low`` and ``high`` are the ends of what is printed: lengths [mm], or multiples of the
    ``measure``, which is ``length``, ``thickness`` or ``kerf``. ``points`` are thickness [mm] and
    figure [mm, mm/s or s]; ``area`` [mm2/s]; ``made`` names other rules and how often they count.
    """

    origin: Origin
    note: str = ""
    measure: str = ""
    low: float = 0.0
    high: float = 0.0
    points: tuple[tuple[float, float], ...] = ()
    area: float = 0.0
    made: tuple[tuple[str, float], ...] = ()

    def figure(self, rule: str, thickness: float, found: Mapping[str, float]) -> float:
        """What it asks in a sheet of one thickness [mm], given the rules found before it.

        Between the rows of a table the figure lies on the line from row to row; of speeds, the
        time that a millimetre takes does.
        """
        if self.points:
            return _between(self.points, thickness, speeds=rule == "feed")
        if self.area:
            return self.area / thickness
        if self.made:
            return sum(found[part] * times for part, times in self.made)
        return self.high * {"thickness": thickness, "kerf": found.get("kerf", 0.0)}.get(
            self.measure, 1.0
        )


def _between(points: Sequence[tuple[float, float]], thickness: float, speeds: bool) -> float:
    if thickness <= points[0][0]:
        return points[0][1]
    for (thin, first), (thick, last) in itertools.pairwise(points):
        if thickness <= thick:
            share = (thickness - thin) / (thick - thin)
            if speeds:
                return 1.0 / (1.0 / first + share * (1.0 / last - 1.0 / first))
            return first + share * (last - first)
    return points[-1][1]


@dataclass(frozen=True)
class Process:
    """One way to cut sheet, from ``thinnest`` to ``thickest`` [mm], with every source's terms.

    ``heat``: it cuts by heat. ``marks`` and ``tolerance_class`` are as in :class:`Rules`.
    """

    name: str
    what: str
    heat: bool
    thinnest: Term
    thickest: Term
    marks: bool
    marks_term: Term
    tolerance_class: int | None
    tolerance_term: Term
    terms: Mapping[str, tuple[Term, ...]]
    cautions: tuple[str, ...]

    @property
    def limits(self) -> tuple[float, float]:
        """Thinnest and thickest sheet [mm]."""
        return self.thinnest.high, self.thickest.high

    def cuts(self, thickness: float) -> bool:
        """Whether a sheet of that thickness [mm] is within its reach."""
        return self.limits[0] <= thickness <= self.limits[1]


@dataclass(frozen=True)
class Figure:
    """One rule in a sheet of one thickness [mm, mm/s or s], what each source asks, which rules."""

    rule: str
    value: float
    asked: tuple[tuple[Term, float], ...]
    ruling: Term


# The table ---------------------------------------------------------------------------------------


@cache
def processes() -> tuple[Process, ...]:
    """Every process of the table, in its order."""
    shared = cited_tables.table(_TABLE)["cautions"]
    return tuple(_process(entry, shared) for entry in cited_tables.table(_TABLE)["process"])


def names() -> tuple[str, ...]:
    """The processes' names, in the table's order.

    >>> names()
    ('laser', 'plasma', 'waterjet', 'hand')
    """
    return tuple(process.name for process in processes())


def works() -> tuple[Work, ...]:
    """Every work that the table cites, in its order."""
    return tuple(work for work, _ in cited_tables.works(_TABLE).values())


def _origin(entry: Mapping[str, Any]) -> Origin:
    return cited_tables.origin(_TABLE, entry)


_INSIDE = {
    "mm": 1.0, "in": MM_PER_INCH, "mm/min": 1.0 / 60.0, "m/min": 1000.0 / 60.0,
    "in/min": MM_PER_INCH / 60.0, "s": 1.0,
}  # fmt: skip


def _term(entry: Mapping[str, Any]) -> Term:
    origin, note = _origin(entry), entry.get("note", "")
    if "from" in entry:
        ends = [(read_length(entry[at]), read_length(entry[size]))
                for at, size in (("thin", "from"), ("thick", "to"))]  # fmt: skip
        return Term(origin, note, points=tuple(ends))
    if "rows" in entry:
        across, along = (_INSIDE[unit] for unit in entry["in"])
        points = tuple((at * across, figure * along) for at, figure in entry["rows"])
        if any(left[0] >= right[0] for left, right in itertools.pairwise(points)):
            raise ValueError(f"{origin}: rows do not grow thicker")
        return Term(origin, note, points=points)
    if "area" in entry:
        return Term(origin, note, area=float(entry["area"]))
    if "made" in entry:
        return Term(origin, note, made=tuple(entry["made"].items()))
    (measure,) = [each for each in ("length", "thickness", "kerf") if each in entry]
    printed = entry[measure] if isinstance(entry[measure], list) else [entry[measure]]
    ends_of = [read_length(each) if measure == "length" else float(each) for each in printed]
    return Term(origin, note, measure, ends_of[0], ends_of[-1])


def _process(entry: Mapping[str, Any], shared: Mapping[str, Sequence[str]]) -> Process:
    def plain(key: str) -> Term:
        return Term(_origin(entry[key]), entry[key].get("note", ""))

    terms = {rule: tuple(_term(row) for row in entry.get(rule, ())) for rule in FIGURES}
    return Process(
        name=entry["name"],
        what=entry["what"],
        heat=entry["heat"],
        thinnest=_term(entry["thinnest"]),
        thickest=_term(entry["thickest"]),
        marks=entry["marks"]["yes"],
        marks_term=plain("marks"),
        tolerance_class=entry["tolerance_class"]["number"] or None,
        tolerance_term=plain("tolerance_class"),
        terms={rule: found for rule, found in terms.items() if found},
        cautions=(*shared["all"], *(shared["heat"] if entry["heat"] else ()), *entry["cautions"]),
    )


# The rules ---------------------------------------------------------------------------------------


def find(name: str) -> Process | None:
    """The process of a name; None if there is none.

    >>> find(" Plasma ").name, find("flame")
    ('plasma', None)
    """
    wanted = name.strip().lower()
    return next((process for process in processes() if process.name == wanted), None)


def rules(name: str, thickness: float, units: str = "in", *, kerf: float | None = None) -> Rules:
    """What a process asks of a part in a sheet of one thickness [mm].

    ``kerf`` [mm] is the width of cut of one's own machine, in place of the table's. Raises
    :class:`BadInputError`, in ``units``, for a process that is not known, and for a thickness that
    it does not cut.

    >>> round(rules("plasma", 4.7625).hole, 2), round(rules("laser", 1.51892).hole, 2)
    (7.14, 1.52)
    """
    process = checked(name, thickness, units, kerf=kerf)
    found = {rule: figure.value for rule, figure in figures(process, thickness, kerf).items()}
    return Rules(
        process=process.name,
        thickness=thickness,
        kerf=found["kerf"],
        hole=found["hole"],
        slot=found["slot"],
        inside_radius=found["inside_radius"],
        web=found["web"],
        edge=found["edge"],
        spacing=found["spacing"],
        margin=found["margin"],
        letter=found["letter"],
        bridge=found["bridge"],
        marks=process.marks,
        tolerance_class=process.tolerance_class,
        deviation=found.get("deviation"),
        feed=found["feed"],
        pierce=found["pierce"],
        lead=found["lead"],
        smallest_part=found.get("smallest_part", 0.0),
    )


def checked(
    name: str, thickness: float, units: str = "in", *, kerf: float | None = None
) -> Process:
    """The process of a name, if it cuts that thickness [mm]; otherwise as :func:`rules`."""
    process, faults = find(name), []
    if process is None:
        faults.append(unknown(name))
    if not (math.isfinite(thickness) and thickness > 0.0):
        faults.append(
            Fault("--thickness", f"{thickness:g} mm", _reach(process, units),
                  "measure the sheet, or say its gauge, as \"16 ga\"")
        )  # fmt: skip
    elif process is not None and not process.cuts(thickness):
        faults.append(
            Fault("--thickness", write_thickness(thickness, units), _reach(process, units),
                  _elsewhere(thickness))
        )  # fmt: skip
    if kerf is not None and not 0.0 < kerf <= WIDEST_KERF:
        given = fine(kerf, units) if math.isfinite(kerf) else f"{kerf:g}"
        allowed = f"more than 0, up to {fine(WIDEST_KERF, units)}"
        faults.append(Fault("--kerf", given, allowed, "measure a cut of the machine"))
    if process is None or faults:
        raise BadInputError(faults)
    return process


def unknown(name: str) -> Fault:
    """The fault of a process that is not in the table."""
    near = difflib.get_close_matches(name.strip().lower()[:80], names(), n=1, cutoff=0.5)
    change = f"did you mean {near[0]}?" if near else "see: eyewrap processes"
    return Fault("--process", repr(name[:60]), f"one of {', '.join(names())}", change)


def _reach(process: Process | None, units: str) -> str:
    if process is None:
        return "more than 0"
    return f"{both_limits(*process.limits, units)}, by {process.name}"


def _elsewhere(thickness: float) -> str:
    others = [process.name for process in processes() if process.cuts(thickness)]
    if not others:
        return "none of the processes cuts it: take another sheet"
    return f"take another sheet, or have it cut by {' or '.join(others)}"


def figures(process: Process, thickness: float, kerf: float | None = None) -> dict[str, Figure]:
    """Every figure of a process in a sheet of one thickness [mm], with what each source asks.

    The term that asks the most rules; of feeds, the slowest. ``kerf`` [mm] takes the place of the
    table's.
    """
    found: dict[str, float] = {}
    made: dict[str, Figure] = {}
    for rule, terms in process.terms.items():
        if rule == "kerf" and kerf is not None:
            own = Origin(None, "the kerf given", Basis.MEASURED)
            terms = (Term(own, measure="length", low=kerf, high=kerf),)
        asked = tuple((term, term.figure(rule, thickness, found)) for term in terms)
        choose = min if rule == "feed" else max
        ruling, value = choose(asked, key=lambda pair: pair[1])
        found[rule] = value
        made[rule] = Figure(rule, value, asked, ruling)
    return made


# Thickness and gauge -----------------------------------------------------------------------------

_GAUGE = re.compile(r"(\d{1,3})\s*(?:ga|gauge|gage)\.?", re.ASCII)
_SAME_GAUGE = 0.5e-4 * MM_PER_INCH  # half of the last place that the table prints


@cache
def gauges() -> dict[int, float]:
    """Number and thickness [mm] of the gauge for plain sheet steel, thickest first."""
    return {
        number: thick * MM_PER_INCH
        for number, thick in cited_tables.table(_TABLE)["gauge"]["inches"]
    }


def gauge_origin() -> Origin:
    """Where the gauge's figures come from."""
    return _origin(cited_tables.table(_TABLE)["gauge"])


def read_thickness(text: str) -> float:
    """A sheet's thickness [mm] as a dealer or a smith writes it; a gauge is of plain sheet steel.

    Raises :class:`NotALengthError`, whose message says what would be one.

    >>> read_thickness("3/16 in"), read_thickness("1.5 mm"), round(read_thickness("16 ga"), 3)
    (4.7625, 1.5, 1.519)
    """
    flat = unicodedata.normalize("NFKC", text).strip().lower() if len(text) <= 60 else ""
    gauge = _GAUGE.fullmatch(flat)
    if gauge is not None:
        number = int(gauge[1])
        if number not in gauges():
            raise NotALengthError(f"a gauge from {min(gauges())} to {max(gauges())}")
        return gauges()[number]
    try:
        return read_length(text)
    except NotALengthError:
        raise NotALengthError(
            'a thickness with its unit, such as "3/16 in" or "1.5 mm", or a gauge of sheet steel, '
            'such as "16 ga"'
        ) from None


def write_thickness(mm: float, units: str = "in") -> str:
    """A sheet's thickness for people, with the gauge that it is, if it is one.

    >>> write_thickness(1.51892), write_thickness(1.51892, "mm")
    ('16 ga, 0.0598 in', '16 ga, 1.519 mm')
    >>> write_thickness(4.7625), write_thickness(1.5), write_thickness(4.7625, "mm")
    ('3/16 in', '0.0591 in', '4.763 mm')
    """
    number = next((n for n, thick in gauges().items() if abs(thick - mm) < _SAME_GAUGE), None)
    parts = mm / MM_PER_INCH * 64.0
    if units == "mm":
        shown = f"{round(mm, 3):.10g} mm"
    elif number is None and mm > 0.0 and abs(parts - round(parts)) < 1e-6:
        shown = f"{inches(mm)} in"
    else:
        shown = f"{mm / MM_PER_INCH:.4f} in"
    return shown if number is None else f"{number} ga, {shown}"
