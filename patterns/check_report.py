"""A file to cut, checked: in words for people, and as data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from .cut_check import Checked, Finding, Length
from .processes import write_thickness
from .units import MM_PER_INCH, fine, mass

WIDTH = 96
MOST_PLACES = 6
"""No more places of one finding are printed; the data have them all."""

VERSIONS = {
    "AC1009": "R12", "AC1012": "R13", "AC1014": "R14", "AC1015": "R2000", "AC1018": "R2004",
    "AC1021": "R2007", "AC1024": "R2010", "AC1027": "R2013", "AC1032": "R2018",
}  # fmt: skip

NOT_COUNTED = "cutting and piercing only: not the way between contours, nor marking"


@dataclass(frozen=True)
class Entry:
    """One file that was checked, and how many of it are wanted; ``sawn``: it is a length of bar."""

    checked: Checked
    title: str = ""
    quantity: int = 1
    sawn: bool = False


# For people --------------------------------------------------------------------------------------


def lines(entries: Sequence[Entry], units: str) -> list[str]:
    """Every file's verdict, figures and findings; the totals of a set at the end."""
    found: list[str] = []
    for entry in entries:
        found += [*_file(entry, units), ""]
    if len(entries) > 1:
        found += _totals(entries, units)
    return found if len(entries) > 1 else found[:-1]


def _file(entry: Entry, units: str) -> Iterator[str]:
    checked = entry.checked
    verdict = "FIT TO CUT" if checked.fit else "NOT FIT TO CUT"
    told = _counted(checked)
    yield f"{checked.file.name}: {verdict}{f'; {told}' if told else ''}"
    for title, text in _rows(entry, units):
        yield from _wrapped(text, f"  {title:<10} ")
    if checked.findings:
        yield ""
    for number, finding in enumerate(checked.findings, 1):
        yield from _finding(number, finding, units)
    if checked.figures.lengths and checked.rules is not None:
        yield from ("", *_deviations(checked, units))


def _counted(checked: Checked) -> str:
    severities = [finding.severity for finding in checked.findings]
    parts = [
        _plural(severities.count(name), name) for name in ("fault", "doubt") if name in severities
    ]
    return ", ".join(parts)


def _plural(count: int, one: str) -> str:
    return f"{count} {one}{'' if count == 1 else 's'}"


def _rows(entry: Entry, units: str) -> Iterator[tuple[str, str]]:
    checked = entry.checked
    file, rules, figures = checked.file, checked.rules, checked.figures
    version = VERSIONS.get(file.version, file.version)
    if entry.title:
        yield "part", f"{entry.title}, {entry.quantity} of it"
    if rules is None:
        said = "not said: the form alone is checked; see --process and --thickness"
        yield "process", "sawn off a bar: the form alone is checked" if entry.sawn else said
    else:
        yield "process", f"{rules.process} in {write_thickness(rules.thickness, units)}"
    declared = {"header": "in its header", "name": "by its name"}.get(file.declared, "")
    unit = f"{file.units}, declared {declared}" if file.units else "none declared; read as mm"
    yield "file", f"DXF {version}; unit {unit}"
    if figures.bounds is not None:
        box = figures.bounds
        size = f"{fine(box.width, units)} x {fine(box.height, units)}"
        yield "size", f"{size}, from {_at((box.left, box.bottom), units)}"
    counts = figures.counts
    strokes = counts.get("mark", 0)
    yield (
        "contours",
        (
            f"{_plural(figures.parts, 'part')}; {_plural(figures.pierces, 'contour')} to cut "
            f"({counts.get('outside', 0)} outside, {counts.get('inside', 0)} inside); "
            f"{_plural(strokes, 'stroke') if strokes else 'nothing'} to mark"
            + (f"; {counts['unknown']} of no known use" if counts.get("unknown") else "")
        ),
    )
    yield (
        "cut",
        (
            f"{_long(figures.cut_length, units)} with {_plural(figures.pierces, 'pierce')}"
            + (f"; marks {_long(figures.mark_length, units)}" if strokes else "")
        ),
    )
    area = f"area {_area(figures.area, units)}"
    if figures.mass is not None:
        area += f"; mass {mass(figures.mass, units)}, as of steel"
    yield "metal", area
    if figures.time is not None:
        yield "time", f"about {_time(figures.time)}, {NOT_COUNTED}"


def _finding(number: int, finding: Finding, units: str) -> Iterator[str]:
    times = f" ({finding.count} times)" if finding.count > 1 else ""
    yield from _wrapped(
        f"{finding.severity}: {finding.words(units)}{times}", f"  {f'{number}.':<4}"
    )
    if finding.places:
        shown = [_at(place, units) for place in finding.places[:MOST_PLACES]]
        if len(finding.sizes) == len(finding.places) and len(shown) > 1:
            sizes = (fine(size, units) for size in finding.sizes)
            shown = [f"{place} ({size})" for place, size in zip(shown, sizes, strict=False)]
        more = len(finding.places) - len(shown)
        rest = f"; and {more} more" if more else ""
        yield from _wrapped(f"at {'; '.join(shown)}{rest}", "      ")
    yield from _wrapped(finding.change, "      change: ")


def _deviations(checked: Checked, units: str) -> Iterator[str]:
    rules = checked.rules
    assert rules is not None
    if rules.tolerance_class is None:
        yield f"  May be off, by the rule for {rules.process}"
    else:
        yield f"  May be off, by ISO 9013 class {rules.tolerance_class}"
    rows = [(_of(each), fine(each.nominal, units), _off(each, units))
            for each in checked.figures.lengths]  # fmt: skip
    wide = [max(len(row[i]) for row in rows) for i in range(3)]
    for what, nominal, off in rows:
        yield f"    {what:<{wide[0]}}  {nominal:>{wide[1]}}  {off}"


def _of(each: Length) -> str:
    return each.what if each.count == 1 else f"{each.what} ({each.count})"


def _off(each: Length, units: str) -> str:
    return "no figure" if each.deviation is None else f"± {fine(each.deviation, units)}"


def _totals(entries: Sequence[Entry], units: str) -> Iterator[str]:
    sums = _sums(entries)
    unfit = [entry.checked.file.name for entry in entries if not entry.checked.fit]
    verdict = f"NOT FIT TO CUT: {', '.join(unfit)}" if unfit else "ALL FIT TO CUT"
    yield from _wrapped(
        f"{_plural(len(entries), 'file')}, {_plural(sums['pieces'], 'piece')}: {verdict}", ""
    )
    yield from _wrapped(
        f"{_long(sums['cut_length'], units)} with {_plural(sums['pierces'], 'pierce')}; "
        f"area {_area(sums['area'], units)}",
        "  cut        ",
    )
    if sums["mass"] is not None:
        yield from _wrapped(f"{mass(sums['mass'], units)}, as of steel", "  mass       ")
    if sums["time"] is not None:
        yield from _wrapped(f"about {_time(sums['time'])}, {NOT_COUNTED}", "  time       ")


def _sums(entries: Sequence[Entry]) -> dict[str, Any]:
    """Totals over all pieces; a mass or time that is not known of one is not known of all."""

    def total(values: Sequence[float | None]) -> float | None:
        if any(value is None for value in values):
            return None
        return sum(
            (value or 0.0) * entry.quantity for value, entry in zip(values, entries, strict=True)
        )

    every = [entry.checked.figures for entry in entries]
    return {
        "pieces": sum(entry.quantity for entry in entries),
        "pierces": sum(entry.checked.figures.pierces * entry.quantity for entry in entries),
        "cut_length": total([each.cut_length for each in every]),
        "area": total([each.area for each in every]),
        "mass": total([each.mass for each in every]),
        "time": total([each.time for each in every]),
    }


def _at(place: tuple[float, float], units: str) -> str:
    """A place as the drawing's own coordinates have it."""
    scale, digits = (MM_PER_INCH, 3) if units == "in" else (1.0, 2)
    x, y = (round(c / scale, digits) + 0.0 for c in place)
    return f"x {x:.{digits}f}, y {y:.{digits}f} {units}"


def _long(mm: float, units: str) -> str:
    if units == "in":
        return f"{mm / MM_PER_INCH:.1f} in"
    return f"{mm:.0f} mm" if mm < 1000.0 else f"{mm / 1000.0:.2f} m"


def _area(mm2: float, units: str) -> str:
    return f"{mm2 / MM_PER_INCH**2:.2f} sq in" if units == "in" else f"{mm2 / 100.0:.1f} cm2"


def _time(seconds: float) -> str:
    """
    >>> _time(4.2), _time(95.0)
    ('4 s', '1 min 35 s')
    """
    whole = max(1, round(seconds))
    return f"{whole} s" if whole < 60 else f"{whole // 60} min {whole % 60} s"


def _wrapped(text: str, lead: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead),
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


# As data -----------------------------------------------------------------------------------------


def data(entries: Sequence[Entry]) -> dict[str, Any]:
    """All figures and findings in mm, mm2, g and s; words of findings in mm."""
    return {
        "units": {"length": "mm", "area": "mm2", "mass": "g", "time": "s"},
        "fit": all(entry.checked.fit for entry in entries),
        "files": [_data(entry) for entry in entries],
        "totals": _sums(entries),
    }


def _data(entry: Entry) -> dict[str, Any]:
    checked = entry.checked
    figures, rules = checked.figures, checked.rules
    return {
        "file": checked.file.name,
        "title": entry.title or None,
        "quantity": entry.quantity,
        "fit": checked.fit,
        "version": VERSIONS.get(checked.file.version, checked.file.version),
        "declared_unit": checked.file.units or None,
        "declared_in": checked.file.declared or None,
        "process": rules.process if rules else None,
        "thickness": rules.thickness if rules else None,
        "tolerance_class": rules.tolerance_class if rules else None,
        "bounds": asdict(figures.bounds) if figures.bounds else None,
        "contours": dict(figures.counts),
        "parts": figures.parts,
        "cut_length": figures.cut_length,
        "mark_length": figures.mark_length,
        "pierces": figures.pierces,
        "area": figures.area,
        "mass": figures.mass,
        "time": figures.time,
        "lengths": [
            {"what": each.what, "nominal": each.nominal, "deviation": each.deviation,
             "count": each.count}
            for each in figures.lengths
        ],
        "findings": [
            {"name": each.name, "severity": each.severity, "words": each.words("mm"),
             "change": each.change, "of": each.of or None, "count": each.count,
             "figures": dict(each.figures or {}),
             "places": [{"x": x, "y": y} for x, y in each.places], "sizes": list(each.sizes)}
            for each in checked.findings
        ],
    }  # fmt: skip
