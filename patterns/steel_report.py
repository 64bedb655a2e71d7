"""Steels for people and for programs: the table of all, the sheet of one, and JSON."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from .cited_tables import Origin
from .heat_treatment import (
    DIFFERENCE_TOLD,
    Temper,
    cautions_for,
    colours_for,
    largest_difference,
    temper_warnings,
    warnings_about,
)
from .sources import Basis
from .steels import Steel, colours
from .units import fahrenheit, temperature, temperature_at_most, temperatures

WIDTH = 96
FAST = "\u00a0"
"""A space at which no line is broken."""
LETTERS = "abcdefghijklmnopqrstuvwxyz"


# The table ---------------------------------------------------------------------------------------

HEADS = ("steel", "use", "% C", "forge", "harden", "quench", "temper", "marks")


def table(every: Sequence[tuple[Steel, Temper]], units: str) -> list[str]:
    """One line for each steel, all tempered for the same hardness."""
    degree = "F" if units == "in" else "C"
    rows = [HEADS, *(_row(steel, temper, units) for steel, temper in every)]
    wide = [max(len(row[i]) for row in rows) for i in range(len(HEADS))]
    wanted = every[0][1].wanted_text
    return [
        f"Temperatures in deg {degree}; tempered for an edge of {wanted}",
        "",
        *("  ".join(f"{cell:<{w}}" for cell, w in zip(row, wide, strict=True)).rstrip()
          for row in rows),
        "",
        "forge: from where to stop to the most it bears, as every source allows",
        "marks: d sources differ; l figures lent by another steel; w second-hand or from memory",
        "-: no figure was found, or the steel is not hardened",
        "For one steel, with its sources: eyewrap steels NAME",
    ]  # fmt: skip


def _row(steel: Steel, temper: Temper, units: str) -> tuple[str, ...]:
    carbon = steel.composition.get("C")
    harden = [(each.low, each.high) for each in steel.hardening[:1]]
    return (
        steel.name,
        ", ".join(steel.use),
        f"{carbon[0]:.2f}-{carbon[1]:.2f}" if carbon else "-",
        _forge(steel, units),
        _span(harden[0] if harden else None, units),
        steel.quench[0].text(units).removesuffix(" thick") if steel.quench else "-",
        _span(temper.advised, units) if "bit" in steel.use else "-",
        _marks(steel, temper),
    )


def _forge(steel: Steel, units: str) -> str:
    if steel.forge_range is not None or not steel.forging:
        return _span(steel.forge_range, units)
    most = min(each.most for each in steel.forging)
    return f"to {temperature_at_most(most, units).split()[0]}"


def _span(ends: tuple[float, float] | None, units: str) -> str:

    if ends is None:
        return "-"
    text = temperature(ends[0], units) if ends[0] == ends[1] else temperatures(*ends, units)
    return re.sub(r" [FC] \(.*", "", text).replace(" to ", "-")


def _marks(steel: Steel, temper: Temper) -> str:

    gap = largest_difference(steel)
    at_odds = (gap is not None and gap.hrc >= DIFFERENCE_TOLD) or (
        bool(temper.windows) and temper.agreed is None
    )
    lead = [
        *(part.origin for part in steel.forging[:1]),
        *(part.origin for part in steel.hardening[:1]),
        *(part.origin for part in steel.tempering),
    ]
    weak = {Basis.SECOND_HAND, Basis.FROM_MEMORY}
    marks = {
        "d": at_odds,
        "l": any(origin.stand_in for origin in lead),
        "w": any(origin.basis in weak for origin in lead),
    }
    return " ".join(mark for mark, stands in marks.items() if stands)


# One steel ---------------------------------------------------------------------------------------


class _Sources:
    """Numbers the works of a sheet as they are first cited, and keeps every place in them."""

    def __init__(self) -> None:
        self._places: dict[tuple[str, str], list[str]] = {}

    def cite(self, origin: Origin) -> str:
        key = (str(origin.work or ""), origin.basis.value)
        places = self._places.setdefault(key, [])
        if origin.locator and origin.locator not in places:
            places.append(origin.locator)
        return f"[{list(self._places).index(key) + 1}]"

    def lines(self) -> Iterator[str]:
        for number, ((work, basis), places) in enumerate(self._places.items(), 1):
            named = f"{work} ({basis})" if work else basis
            text = f"{named}: {'; '.join(places)}" if places else named
            yield from _wrapped(text, f"  {f'[{number}]':<5}")


def sheet(steel: Steel, temper: Temper, units: str) -> list[str]:
    """All that is known of one steel, every figure with its source."""

    sources = _Sources()
    warned = warnings_about(steel, units)
    lines = [f"{steel.name}: {' and '.join(steel.use)} steel, {steel.carbon}"]
    if steel.note:
        lines += _wrapped(f"{steel.note[:1].upper()}{steel.note[1:]}.", "")
    lines += _analysis(steel, sources)
    lines += ["", "In working order", *_steps(steel, temper, units, sources)]
    if steel.tempering:
        warned += temper_warnings(steel, temper, units)
        lines += ["", f"Hardness after tempering, HRC by deg {'F' if units == 'in' else 'C'}"]
        lines += _curves(steel, units, sources)
        lines += ["", f"To temper for {temper.wanted_text}"]
        lines += _windows(steel, temper, units, sources)
    lines += _listed("Warnings", warned)
    lines += _listed("Cautions", cautions_for(steel))
    return [*lines, "", "Sources", *sources.lines()]


def _analysis(steel: Steel, sources: _Sources) -> list[str]:
    if steel.analysis is None:
        return []
    parts = ", ".join(
        f"{element} up to {high:.2f}" if low == 0.0 else f"{element} {low:.2f} to {high:.2f}"
        for element, (low, high) in steel.composition.items()
    )
    return _wrapped(f"Analysis, mass %: {parts} {sources.cite(steel.analysis)}", "")


def _steps(steel: Steel, temper: Temper, units: str, sources: _Sources) -> Iterator[str]:
    groups: list[tuple[str, Sequence[Any]]] = [
        ("forge", steel.forging), ("normalise", steel.normalising), ("anneal", steel.annealing),
        ("harden", steel.hardening), ("quench in", steel.quench),
    ]  # fmt: skip
    for word, parts in groups:
        for number, part in enumerate(parts):
            lead = word if number == 0 else ("" if word == "quench in" else "or")
            text = f"{part.text(units)} {_lent(part.origin, sources)}"
            yield from _wrapped(text, f"  {lead:<13}")
        if word == "anneal" and steel.magnet:
            at, origin = steel.magnet
            text = f"a magnet lets go near {temperature(at, units)} {sources.cite(origin)}"
            yield from _wrapped(text, f"  {'':<13}")
    if not steel.hardens:
        yield f"  {'harden':<13}does not harden enough to hold an edge"
        return
    for number, hard in enumerate(steel.as_quenched):
        lead = "as quenched" if number == 0 else "or"
        yield from _wrapped(f"{hard.text} {_lent(hard.origin, sources)}", f"  {lead:<13}")
    window = temper.advised
    if window is not None:
        odds = "" if temper.sure else ", as sources differ"
        yield from _wrapped(
            f"at once, {temperatures(*window, units)}{odds}, for {temper.wanted_text}; "
            f"{temper.time}; colour {colours_for(*window)}",
            f"  {'temper':<13}",
        )


def _lent(origin: Origin, sources: _Sources) -> str:
    lent = f"(of {origin.stand_in}) " if origin.stand_in else ""
    return lent + sources.cite(origin)


def _curves(steel: Steel, units: str, sources: _Sources) -> Iterator[str]:

    for letter, data in zip(LETTERS, steel.tempering, strict=False):
        cells = []
        for at, low, high in data.points:
            degrees = round(fahrenheit(at) if units == "in" else at)
            hrc = f"{low:g}" if low == high else f"{low:g}-{high:g}"
            cells.append(f"{degrees}:{FAST}{hrc}")
        yield from _wrapped(f"{data.time} {_lent(data.origin, sources)}", f"  {letter}  ")
        yield from _wrapped("   ".join(cells), "     ")


def _windows(steel: Steel, temper: Temper, units: str, sources: _Sources) -> Iterator[str]:

    letters = dict(zip(steel.tempering, LETTERS, strict=False))
    if temper.any is None:
        yield "  no source reaches it"
        return
    for points, window in temper.windows:
        text = f"{temperatures(*window, units)}, {points.time}; {colours_for(*window)}"
        yield from _wrapped(text, f"  {letters[points]:<5}")
    if temper.agreed is not None:
        text = f"{temperatures(*temper.agreed, units)}; {colours_for(*temper.agreed)}"
        yield from _wrapped(text, f"  {'all' if len(temper.windows) > 1 else 'so':<5}")
    else:
        text = f"at no temperature; {temperatures(*temper.any, units)} from first to last"
        yield from _wrapped(text, f"  {'all':<5}")
    yield from _wrapped(f"colours on bright steel, heated briefly {sources.cite(colours()[1])}",
                        "  ")  # fmt: skip


def _listed(title: str, items: Iterable[str]) -> list[str]:
    lines = [line for item in items for line in _wrapped(item, "  - ")]
    return ["", title, *lines] if lines else []


def _wrapped(text: str, lead: str) -> list[str]:
    lines = textwrap.wrap(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead),
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace(FAST, " ") for line in lines]


# JSON --------------------------------------------------------------------------------------------


def as_json(found: Any) -> str:
    """Strict JSON; a figure that is no number would be an error, never ``NaN``."""
    return json.dumps(found, indent=2, allow_nan=False, ensure_ascii=False)


def data(steel: Steel, temper: Temper) -> dict[str, Any]:
    """All that is known of one steel, in deg C, mm and HRC, every figure with its source."""

    window = temper.advised
    return {
        "name": steel.name,
        "also": list(steel.also),
        "use": list(steel.use),
        "hardens": steel.hardens,
        "note": steel.note,
        "composition": {
            "percent": {k: _ends(v) for k, v in steel.composition.items()},
            "source": _source(steel.analysis) if steel.analysis else None,
        },
        "non_magnetic": {"at": steel.magnet[0], "source": _source(steel.magnet[1])}
        if steel.magnet
        else None,
        "forge": [
            {"from": each.start, "most": each.most, "stop": each.stop,
             "source": _source(each.origin)}
            for each in steel.forging
        ],
        "normalise": [_heating(each) for each in steel.normalising],
        "anneal": [
            {**_heating(each), "quickly_to": each.quickly, "slowly_to": each.slowly,
             "kelvin_an_hour": each.an_hour}
            for each in steel.annealing
        ],
        "harden": [_heating(each) for each in steel.hardening],
        "quench": [
            {"medium": each.medium, "up_to": each.up_to, "over": each.over,
             "source": _source(each.origin)}
            for each in steel.quench
        ],
        "as_quenched": [
            {"low": each.low, "high": each.high, "source": _source(each.origin)}
            for each in steel.as_quenched
        ],
        "tempering": [
            {"hours": list(data.hours) if data.hours else None,
             "points": [[at, low, high] for at, low, high in data.points],
             "source": _source(data.origin)}
            for data in steel.tempering
        ],
        "temper": {
            "wanted": _ends(temper.wanted),
            "agreed": _ends(temper.agreed),
            "any": _ends(temper.any),
            "colour": colours_for(*window) if window else None,
            "by_source": [
                {**(_ends(ends) or {}), "source": _source(data.origin)}
                for data, ends in temper.windows
            ],
            "not_reached_by": [_source(data.origin) for data in temper.silent],
        },
        "warnings": [*warnings_about(steel, "mm"), *temper_warnings(steel, temper, "mm")],
        "cautions": list(cautions_for(steel)),
    }  # fmt: skip


def _heating(part: Any) -> dict[str, Any]:
    found = {"low": part.low, "high": part.high, "source": _source(part.origin)}
    note = getattr(part, "note", "")
    return {**found, "note": note} if note else found


def _ends(ends: tuple[float, float] | None) -> dict[str, float | None] | None:
    return None if ends is None else {"low": ends[0], "high": ends[1]}


def _source(origin: Origin) -> dict[str, Any]:
    return {
        "work": str(origin.work) if origin.work else None,
        "locator": origin.locator or None,
        "basis": origin.basis.value,
        "stand_in": origin.stand_in or None,
    }
