"""The shop card: the whole recipe of a head on two pages, and every figure of its plan on more.

A card is data: sections of tables and notes, in the order in which the work asks for them. The
sheet ``card`` sets it on paper, :func:`as_text` and :func:`as_markdown` write it out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from textwrap import wrap
from typing import Any, TypeAlias

from . import hang as hanging
from . import rounding
from .blank import ForgePlan
from .fire import STATED, Heat, reading
from .heat_treatment import HARDENING_CAUTIONS, HOT_CAUTIONS, card_lines
from .parameters import specs
from .report import plan_data, revision
from .rounding import checked, figures, hit, line
from .schema import value_at
from .sources import cited
from .stages import Check, Stage
from .tolerances import tolerance
from .units import MM_PER_INCH, fine, length, mass, offness, section, temperature

LOG_LINES = 4
"""Blank lines to fill in."""

TRACE = 1e-9
"""What is less than this is rounding, and nought."""
WIDE = 96
"""Letters of a line of the card as text."""


@dataclass(frozen=True)
class Table:
    """Rows under headings; ``blank`` ones are to be written on."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    blank: bool = False


@dataclass(frozen=True)
class Notes:
    """Sentences under a title."""

    title: str
    lines: tuple[str, ...]


Section: TypeAlias = Table | Notes


@dataclass(frozen=True)
class Card:
    """A head's card: ``recipe`` in a line, ``order`` as it was told, or nothing.

    ``front`` and ``back`` are its two pages, the ``checks`` of every stage ahead of the back;
    ``figures`` are all of the plan, one note a group.
    """

    title: str
    order: str
    recipe: str
    revision: str
    front: tuple[Section, ...]
    checks: Table
    back: tuple[Section, ...]
    figures: tuple[Notes, ...]


def card(plan: ForgePlan, units: str) -> Card:
    """The card of a plan, its figures in ``units`` (in or mm)."""
    design = plan.design
    return Card(
        design.name,
        design.order,
        f"{section(design.bar.section)}, cut {hit(plan, 'cut', units)}, {design.bar.steel}; "
        f"{plan.fold.brief}; {mass(plan.head.mass, units)} finished",
        revision(design),
        tuple(_front(plan, units)),
        _checks(plan, units),
        tuple(_back(plan)),
        tuple(_figures(plan)),
    )


def _front(plan: ForgePlan, units: str) -> Iterator[Section]:
    yield _cut_list(plan, units)
    yield _marks(plan, units)
    rounded = line(plan, units)
    yield Notes("", (f"{rounded[0].upper()}{rounded[1:]}.",))
    yield from _heat_treatment(plan, units)
    yield _grind(plan, units)
    yield _hang(plan, units)


def _back(plan: ForgePlan) -> Iterator[Section]:
    if plan.doubts:
        yield Notes("DOUBTS", tuple(f"{d.message} [{d.source}]." for d in plan.doubts))
    yield Table(
        "LOG", ("date", "piece", "heats", "dividers", "eye round", "weighs", "what went otherwise"),
        (("", "", "", "", "", "", ""),) * LOG_LINES, blank=True,
    )  # fmt: skip
    yield Notes("CAUTIONS", (*HOT_CAUTIONS, *HARDENING_CAUTIONS))


# The bar -----------------------------------------------------------------------------------------


def _cut_list(plan: ForgePlan, units: str) -> Table:
    design, masses = plan.design, {stage.name: stage.mass for stage in plan.stages}
    rows = [("bar", section(design.bar.section), hit(plan, "cut", units),
             mass(masses["bar cut"], units), design.bar.steel)]  # fmt: skip
    if plan.bit is not None:
        rows.append(("bit", section(plan.bit.stock), hit(plan, "bit", units),
                     mass(masses["bit cut"], units), design.bit.steel))  # fmt: skip
    if plan.plate is not None:
        rows.append(("plate", section(plan.plate.stock), hit(plan, "plate", units),
                     mass(masses["plate cut"], units), design.plate.steel))  # fmt: skip
    return Table("CUT", ("piece", "stock", "cut", "weighs", "steel"), tuple(rows))


_MARKED = {
    "poll mark": "poll marks",
    "shoulder mark": "shoulder marks",
    "end": "ends of the bar",
    "dividers": "DIVIDERS",
    "over all": "over all, drawn",
    "lap": "scarf of the lap",
}


def _marks(plan: ForgePlan, units: str) -> Table:
    """What the rule and the dividers are set to: as the rule has it, decimal inches, mm."""
    faces = {f"{mark.kind} mark": f"{mark.face} face" for mark in plan.marks}
    where = "from the centre line" if plan.fold.halves == 2 else f"from the {plan.fold.half}'s end"
    each = f"each {plan.fold.strap}" if plan.fold.straps == 2 else f"the {plan.fold.strap}"
    if plan.fold.waisted:
        each = "each side"
    rows = []
    for name, figure in figures(plan, units).items():
        if name not in _MARKED or (name == "poll mark" and not figure.exact):
            continue
        place = {"dividers": each, "lap": "the tongue's end", "over all": "end to end"}.get(
            name, f"{faces.get(name, 'both faces')}, {where}"
        )
        rows.append(
            (_MARKED[name], place, hit(plan, name, units),
             f"{figure.exact / MM_PER_INCH:.3f}", f"{figure.exact:.2f}")
        )  # fmt: skip
    return Table("MARKS", ("mark", "where", "on the rule", "exact, in", "exact, mm"), tuple(rows))


def _checks(plan: ForgePlan, units: str) -> Table:
    """Every stage's checks, lengths without their unit; a row of a stage alone is its heading."""
    rows = []
    for stage in plan.stages:
        if stage.name == "bar cut":  # told with the marks
            continue
        rows.append((f"{stage.name.upper()}, weighs {mass(stage.mass, units)}", "", "", "", ""))
        for check in stage.checks:
            off = tolerance(plan, check)
            cold, warm = readings(plan, stage, check, units)
            may = offness(off.under, off.over, check.unit, units).replace(f" {units}", "")
            rows.append((check.what, check.tool, cold, warm, may))
    heat = temperature(STATED, units).split(" (")[0]
    head = (f"measure, {'inches' if units == 'in' else 'mm'}", "with", "cold", heat, "may be off")
    return Table("CHECKS AT EACH STAGE", head, tuple(rows))


def readings(plan: ForgePlan, stage: Stage, check: Check, units: str) -> tuple[str, str]:
    """What a check reads cold, and at the stated heat if it is of hot iron, lengths without unit.

    A figure that is rounded to the smith's finest mark stands as it does on all sheets.
    """
    told = checked(plan, check.guards, units)
    size = check.size if told is None else told[1]
    cold = size_of(check, size, units) if told is None else told[0].removesuffix(f" {units}")
    if check.unit != "mm" or stage.cold:
        return cold, "-"
    hot = reading(size, Heat("stated", STATED, STATED, STATED)).mid
    if told is None:
        return cold, size_of(check, hot, units)
    return cold, rounding.warm(plan, hot, units).removesuffix(f" {units}")


def size_of(check: Check, size: float, units: str) -> str:
    """What a check measures: a length without its unit, as the tool shows it."""
    match check.unit:
        case "degrees":
            return f"{size:g} degrees"
        case "g":
            return mass(size, units).split(" (")[0]
    shown = fine(size, units) if check.tool == "calipers" else length(size, units)
    return shown.removesuffix(f" {units}")


# The steel and the head ---------------------------------------------------------------------------


def _heat_treatment(plan: ForgePlan, units: str) -> Iterator[Section]:
    design = plan.design
    steels = [design.bar.steel if plan.bit is None else design.bit.steel]
    if plan.plate is not None and design.plate.steel not in steels:
        steels.append(design.plate.steel)
    for steel in steels:
        yield Notes(f"HEAT TREATMENT, {steel}", tuple(card_lines(steel, units)))


def _grind(plan: ForgePlan, units: str) -> Table:
    design, blade, front = plan.design, plan.head.blade, plan.head.plan.eye_front
    bevel = {"one": "all on one face", "convex": "convex"}.get(design.blade.bevel, "in all")
    return Table(
        "GRIND", ("what", "to"),
        (
            ("edge angle", f"{design.blade.edge_angle:g} degrees, {bevel}"),
            ("bevel wide", length(blade.bevel_width, units)),
            *((f"thick at station {i}, {length(x - front, units)} ahead",
               fine(thick, units)) for i, (x, thick) in enumerate(blade.stations, 1)),
            ("length", length(plan.head.length, units)),
            ("edge, along its curve", length(plan.head.edge_length, units)),
        ),
    )  # fmt: skip


def _hang(plan: ForgePlan, units: str) -> Notes:
    hang = hanging.hang(plan.head)
    if hang is None:
        return Notes("HANG", ("No handle's length was told: try the hang with the handle.",))
    return Notes("HANG", tuple(f"{title}: {text}." for title, text in hanging.rows(hang, units)))


# Every figure ------------------------------------------------------------------------------------


def _figures(plan: ForgePlan) -> Iterator[Notes]:
    """Every figure of ``plan.json``, by its groups: mm, g, degrees, deg C."""
    found = plan_data(plan)
    for group, values in found.items():
        said = list(_said(values))
        if said:
            yield Notes(_words(group), ("; ".join(said) + ".",))
    told = [
        f"{key} {_listed(value)}"
        for key, spec in specs()
        if (value := value_at(plan.design, key)) is not None and _numeric(value)
    ]
    yield Notes("parameters", ("; ".join(told) + ".",))
    constants = [f"{each.name} {figure(each.value)} {each.unit}".rstrip() for each in cited()
                 if _numeric(each.value)]  # fmt: skip
    yield Notes("constants", ("; ".join(constants) + ".",))


def _said(values: Any, name: str = "") -> Iterator[str]:
    """Names with their figures, one for each number that is in the data."""
    if isinstance(values, Mapping):
        title = next((str(values[key]) for key in ("stage", "zone", "slip") if key in values), "")
        for key, value in values.items():
            yield from _said(value, " ".join(filter(None, (name, title, _words(str(key))))))
    elif isinstance(values, list | tuple):
        if values and all(_numeric(value) for value in values):
            yield f"{name} {_listed(values)}"
        else:
            for value in values:
                yield from _said(value, name)
    elif _numeric(values):
        yield f"{name} {figure(values)}".strip()


def _numeric(value: Any) -> bool:
    if isinstance(value, list | tuple):
        return bool(value) and all(_numeric(each) for each in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


def _listed(value: Any) -> str:
    if isinstance(value, list | tuple):
        return ", ".join(_listed(each) for each in value)
    return figure(value)


def figure(value: float) -> str:
    """A figure of the plan as the card has it: to a thousandth, a small one to four digits.

    >>> figure(168.86992), figure(9.525), figure(25), figure(0.0007812)
    ('168.87', '9.525', '25', '0.0007812')
    """
    if TRACE <= abs(value) < 0.01:
        return f"{value:.4g}"
    shown = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def _words(key: str) -> str:
    return key.replace("_", " ")


# As text -----------------------------------------------------------------------------------------


def _sections(found: Card) -> Iterator[Section]:
    yield from found.front
    yield found.checks
    yield from found.back
    for each in found.figures:
        yield Notes(f"FIGURES, {each.title}", each.lines)


def as_text(found: Card) -> str:
    """The card as plain text, its tables in columns."""
    lines = [f"SHOP CARD  {found.title}", *_wrapped(found.recipe)]
    if found.order:
        lines += _wrapped(f"Order: {found.order}")
    lines.append(f"Revision {found.revision}")
    for part in _sections(found):
        lines += ["", part.title] if part.title else [""]
        if isinstance(part, Notes):
            lines += [row for text in part.lines for row in _wrapped(text)]
            continue
        table = [part.head, *part.rows]
        widths = [max(len(row[i]) for row in table) for i in range(len(part.head))]
        if part.blank:
            widths = [max(wide, 10) for wide in widths]
            table = [part.head, *(tuple("_" * wide for wide in widths) for _ in part.rows)]
        lines += [
            "  ".join(cell.ljust(wide) for cell, wide in zip(row, widths, strict=True)).rstrip()
            for row in table
        ]
    return "\n".join(lines) + "\n"


def _wrapped(text: str) -> list[str]:
    return wrap(text, WIDE, break_on_hyphens=False) or [""]


def as_markdown(found: Card) -> str:
    """The card in Markdown; stages stand in bold in the table of checks."""
    lines = [f"# Shop card: {_plain(found.title)}", "", _plain(found.recipe), ""]
    if found.order:
        lines += [f"**Order:** {_plain(found.order)}", ""]
    lines += [f"Revision {found.revision}", ""]
    for part in _sections(found):
        if part.title:
            lines += [f"## {_plain(part.title)}", ""]
        if isinstance(part, Notes):
            lines += [f"- {_plain(text)}" for text in part.lines]
        else:
            lines.append(_row(part.head))
            lines.append(_row(["---"] * len(part.head)))
            for row in part.rows:
                cells = [_plain(cell) for cell in row]
                if row[0] and not any(row[1:]):
                    cells[0] = f"**{cells[0]}**"
                lines.append(_row(cells))
        lines.append("")
    return "\n".join(lines)


def _row(cells: Any) -> str:
    return f"| {' | '.join(cells)} |"


def _plain(text: str) -> str:
    """Text whose signs mean nothing to Markdown."""
    for sign in "\\`*_[]<>|#":
        text = text.replace(sign, f"\\{sign}")
    return text
