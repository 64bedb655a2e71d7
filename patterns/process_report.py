"""Ways to cut sheet for people and for programs: the list, one sheet of rules, JSON."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from .cited_tables import Origin
from .iso_9013 import ORIGIN, bands
from .processes import (
    Figure,
    Process,
    Rules,
    Term,
    figures,
    gauge_origin,
    gauges,
    processes,
    rules,
    write_thickness,
)
from .sources import Basis
from .steel_report import WIDTH
from .units import MM_PER_INCH, at_least, at_most, fine

LABELS = {
    "kerf": "kerf",
    "hole": "smallest hole, across",
    "slot": "narrowest slot",
    "inside_radius": "inside radius",
    "web": "web between cuts",
    "edge": "hole to outline",
    "spacing": "part to part",
    "margin": "part to sheet's edge",
    "letter": "letters cut through",
    "bridge": "bridges in letters",
    "smallest_part": "smallest part",
    "deviation": "limit deviation",
    "feed": "feed",
    "pierce": "to pierce",
    "lead": "lead-in",
}
"""Every figure in the trade's words."""

_NEAREST = ("kerf", "deviation", "lead")
_LONGEST = 2000.0
"""No band of longer parts is shown [mm]: none of ours reaches it."""
_WORDS = {"in": "inches", "mm": "mm"}
_UNSOURCED = {
    Basis.COMMON_PRACTICE: "common practice, without a source",
    Basis.DERIVED: "derived: it follows from the other rules",
    Basis.MEASURED: "as given",
    Basis.FROM_MEMORY: "from memory, not verified",
}
_GAUGE_NOTE = (
    "gauges are those of plain sheet steel; galvanised and stainless sheet have others, and the "
    "mill's own tolerance comes on top: order by the figure"
)


# Figures -----------------------------------------------------------------------------------------


def amount(rule: str, value: float, units: str) -> str:
    """A rule's figure for people; a least length is rounded up, so that it is itself allowed.

    >>> amount("hole", 7.14375, "in"), amount("hole", 7.14375, "mm"), amount("feed", 25.4, "in")
    ('0.282 in (7.15 mm)', '7.15 mm (0.282 in)', '60 in/min (1.52 m/min)')
    """
    if rule == "feed":
        imperial = f"{value * 60.0 / MM_PER_INCH:.3g} in/min"
        metric = f"{value * 60.0 / 1000.0:.3g} m/min"
        return _both(imperial, metric, units)
    if rule == "pierce":
        return f"{value:.2g} s" if value < 10.0 else f"{value:.0f} s"
    if value == 0.0:
        return "none"
    shown = _both(_length(rule, value, "in"), _length(rule, value, "mm"), units)
    return f"± {shown}" if rule == "deviation" else shown


def _both(imperial: str, metric: str, units: str) -> str:
    return f"{imperial} ({metric})" if units == "in" else f"{metric} ({imperial})"


def _length(rule: str, value: float, units: str) -> str:
    step = MM_PER_INCH / 1000.0 if units == "in" else 0.01
    if rule in _NEAREST:
        return fine(value, units)
    return fine(math.ceil(value / step - 1e-6) * step, units)


def asks(term: Term, rule: str, units: str) -> str:
    """How a term comes to its figure, in words.

    >>> hole = processes()[0].terms["hole"]
    >>> asks(hole[0], "hole", "in"), asks(hole[1], "hole", "mm")
    ('1 x thickness', 'in any sheet')
    """
    if term.points:
        (thin, first), (thick, last) = term.points[0], term.points[-1]
        kind = "table" if len(term.points) > 2 else "grows evenly"
        ends = [amount(rule, each, units).split(" (")[0] for each in (first, last)]
        where = [f"{ends[0]} at {fine(thin, units)} thick", f"{ends[1]} at {fine(thick, units)}"]
        return f"{kind}, from {where[0]} to {where[1]}"
    if term.area:
        return f"{term.area:g} mm2 of section a second"
    if term.made:
        return " + ".join(
            f"{times:g} x {LABELS[part]}" if times != 1 else LABELS[part]
            for part, times in term.made
        )
    if term.measure != "length":
        ends = [f"{each:g}" for each in dict.fromkeys((term.low, term.high))]
        return f"{' to '.join(ends)} x {term.measure}"
    if term.low == term.high:
        return "in any sheet"
    return f"{_span((term.low, term.high), units)} in any sheet"


def _span(ends: Sequence[float], units: str) -> str:
    """One length, or two with their unit behind the second."""
    shown = [fine(each, units) for each in dict.fromkeys(ends)]
    return " to ".join([*(each.split()[0] for each in shown[:-1]), shown[-1]])


# The list ----------------------------------------------------------------------------------------


def table(units: str) -> list[str]:
    """One line for each process."""
    head = ("process", "sheet", "kerf", "tolerance", "marks", "cut by")
    return [
        *_columns([head, *(_line(process, units) for process in processes())]),
        "",
        _CLASS,
        'For the rules, with their sources: eyewrap processes plasma --thickness "3/16 in"',
        'To compare them in one sheet:      eyewrap processes --thickness "16 ga"',
    ]


def _line(process: Process, units: str) -> tuple[str, ...]:
    thin, thick = process.limits
    kerfs = [figures(process, each)["kerf"].value for each in (thin, thick)]
    return (
        process.name,
        f"{at_least(thin, units)} to {at_most(thick, units)}",
        _span(kerfs, units),
        _tolerance(process, rules(process.name, thin), units),
        "yes" if process.marks else "no",
        process.what,
    )


def compared(found: Sequence[Rules], units: str) -> list[str]:
    """One line for each process in a sheet of one thickness."""
    shown = ("hole", "slot", "web", "edge", "spacing", "letter", "kerf")
    words = ("hole", "slot", "web", "edge", "spacing", "letters", "kerf")
    rows: list[tuple[str, ...]] = [("process", *words, "tolerance", "marks")]
    for each in found:
        cells = (_length(rule, getattr(each, rule), units).split()[0] for rule in shown)
        process = next(p for p in processes() if p.name == each.process)
        rows.append((each.process, *cells, _tolerance(process, each, units),
                     "yes" if each.marks else "no"))  # fmt: skip
    thickness = found[0].thickness
    left = [p.name for p in processes() if p.name not in {each.process for each in found}]
    return [
        f"Sheet of {write_thickness(thickness, units)}; least sizes in {_WORDS[units]}",
        "",
        *_columns(rows),
        *(["", f"Not cut by {' or '.join(left)}."] if left else []),
        "",
        _CLASS,
        "With sources and cautions: eyewrap processes NAME --thickness ...",
    ]


_CLASS = "Tolerance: by its class of ISO 9013, or as it stands."


def _tolerance(process: Process, found: Rules, units: str) -> str:
    if process.tolerance_class is not None:
        return f"class {process.tolerance_class}"
    assert found.deviation is not None
    return f"± {fine(found.deviation, units)}"


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [
        "  ".join(f"{cell:<{w}}" for cell, w in zip(row, wide, strict=True)).rstrip()
        for row in rows
    ]


# One process -------------------------------------------------------------------------------------


class _Sources:
    """Numbers the sources of a sheet as they are first cited, and keeps every place in them."""

    def __init__(self) -> None:
        self._places: dict[tuple[str, Basis], list[str]] = {}

    def cite(self, origin: Origin) -> str:
        key = (str(origin.work or ""), origin.basis)
        places = self._places.setdefault(key, [])
        if origin.work and origin.locator and origin.locator not in places:
            places.append(origin.locator)
        lent = f"(of {origin.stand_in}) " if origin.stand_in else ""
        return f"{lent}[{list(self._places).index(key) + 1}]"

    def lines(self) -> Iterator[str]:
        for number, ((work, basis), places) in enumerate(self._places.items(), 1):
            named = f"{work} ({basis.value})" if work else _UNSOURCED[basis]
            text = f"{named}: {'; '.join(places)}" if places else named
            yield from _wrapped(text, f"  {f'[{number}]':<5}")


def sheet(process: Process, thickness: float, units: str, kerf: float | None = None) -> list[str]:
    """All that a process asks in a sheet of one thickness [mm], every figure with its source."""
    sources = _Sources()
    lines = [
        *_wrapped(f"{process.name}: {process.what}", ""),
        f"In a sheet of {write_thickness(thickness, units)}",
        "",
        "What it asks: the first source rules; what others ask stands below it",
    ]
    for figure in figures(process, thickness, kerf).values():
        lines += _ruled(figure, units, sources)
    term = process.marks_term
    said = "can mark without cutting through" if process.marks else "cannot mark, only cut through"
    lines += _entry("marks", f"{said} {sources.cite(term.origin)}", term.note)
    lines += _deviations(process, thickness, units, sources)
    lines += ["", "It cuts"]
    for word, end in (("from", process.thinnest), ("to", process.thickest)):
        text = f"{fine(end.high, units)} {sources.cite(end.origin)}"
        lines += _entry(word, text, end.note)
    if any(abs(thick - thickness) < 1e-9 for thick in gauges().values()):
        lines += ["", *_wrapped(f"Gauge: {_GAUGE_NOTE} {sources.cite(gauge_origin())}", "")]
    lines += ["", "Cautions"]
    lines += [line for each in process.cautions for line in _wrapped(each, "  - ")]
    return [*lines, "", "Sources", *sources.lines()]


def _ruled(figure: Figure, units: str, sources: _Sources) -> Iterator[str]:
    others = [pair for pair in figure.asked if pair[0] is not figure.ruling]
    first = f"{amount(figure.rule, figure.value, units)}: {asks(figure.ruling, figure.rule, units)}"
    first += f" {sources.cite(figure.ruling.origin)}"
    yield from _entry(LABELS[figure.rule], first, figure.ruling.note)
    for term, value in others:
        text = f"also {amount(figure.rule, value, units)}: {asks(term, figure.rule, units)}"
        yield from _entry("", f"{text} {sources.cite(term.origin)}", term.note)


def _entry(label: str, text: str, note: str) -> list[str]:
    return _wrapped(f"{text}; {note}" if note else text, f"  {label:<22} ")


def _deviations(
    process: Process, thickness: float, units: str, sources: _Sources
) -> Iterator[str]:  # fmt: skip
    term = process.tolerance_term
    if process.tolerance_class is None:
        text = f"outside ISO 9013 {sources.cite(term.origin)}"
        yield from _entry("tolerance", text, term.note)
        return
    text = f"class {process.tolerance_class} of ISO 9013 {sources.cite(term.origin)}"
    yield from _entry("tolerance", text, term.note)
    yield ""
    yield f"Limit deviations of ISO 9013, class {process.tolerance_class} {sources.cite(ORIGIN)}"
    rows = []
    for low, high, off in bands(thickness, process.tolerance_class):
        if high <= _LONGEST:
            shown = f"± {fine(off, units)}" if off is not None else "none is given"
            rows.append(("", f"{_bound(low, units)} to under {_bound(high, units)} {units}", shown))
    yield from _columns(rows)


def _bound(mm: float, units: str) -> str:
    return f"{mm / MM_PER_INCH:.3f}" if units == "in" else f"{mm:g}"


def _wrapped(text: str, lead: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead),
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


# JSON --------------------------------------------------------------------------------------------


def data(process: Process, thickness: float, kerf: float | None = None) -> dict[str, Any]:
    """All that a process asks in a sheet of one thickness, in mm, mm/s and s, with its sources."""
    found = figures(process, thickness, kerf)
    tolerance: dict[str, Any] = {
        "class": process.tolerance_class,
        "source": _source(process.tolerance_term),
    }
    if process.tolerance_class is not None:
        tolerance["limit_deviations"] = [
            {"from": low, "to_less_than": high, "deviation": off}
            for low, high, off in bands(thickness, process.tolerance_class)
        ]
        tolerance["limit_deviations_source"] = _source(Term(ORIGIN))
    return {
        **summary(process),
        "thickness": thickness,
        "units": {"length": "mm", "feed": "mm/s", "pierce": "s"},
        "rules": {rule: _figure(figure) for rule, figure in found.items()},
        "tolerance": tolerance,
        "cautions": list(process.cautions),
    }


def summary(process: Process) -> dict[str, Any]:
    """What a process is, whatever the sheet; lengths in mm."""
    thin, thick = process.limits
    return {
        "name": process.name,
        "what": process.what,
        "heat": process.heat,
        "thinnest": {"value": thin, "source": _source(process.thinnest)},
        "thickest": {"value": thick, "source": _source(process.thickest)},
        "marks": {"value": process.marks, "source": _source(process.marks_term)},
        "tolerance_class": process.tolerance_class,
    }


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "value": figure.value,
        "asked": [
            {
                "value": value,
                "rule": asks(term, figure.rule, "mm"),
                "rules": term is figure.ruling,
                "source": _source(term),
            }
            for term, value in figure.asked
        ],
    }


def _source(term: Term) -> dict[str, Any]:
    origin = term.origin
    return {
        "work": str(origin.work) if origin.work else None,
        "locator": origin.locator or None,
        "basis": origin.basis.value,
        "stand_in": origin.stand_in or None,
        "note": term.note or None,
    }
