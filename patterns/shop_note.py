"""What goes to the cutter in words: the note beside the files."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from .processes import find, write_thickness
from .templates import Template, Way
from .to_cut import Style
from .units import fine

NAME = "for-the-cutter.txt"
_WIDE = 96


def note(
    head: str, revision: str, templates: Sequence[Template], names: Sequence[str], way: Way,
    style: Style, kerfs: Sequence[float],
) -> list[str]:  # fmt: skip
    """The lines of the note; ``names`` are the files of the templates, and ``kerfs`` [mm] what
    their contours allow for: another than the style's where the stock is of another thickness."""
    asked, units = way.rules, way.units
    process = find(asked.process)
    assert process is not None
    marked = any(each.part.marks or each.part.labels for each in templates)
    rows = [
        ("For", f"{head}, revision {revision}"),
        ("Process", f"{process.name}: {process.what}"),
        ("Sheet", f"{write_thickness(asked.thickness, units)} of mild steel, where no other stock "
         "is named"),
        ("Unit", f"1 in the files is 1 {units}. {_version(style)}"),
        ("Size", _size(style, way)),
        ("Layers", _layers(style, marked)),
        ("True to", _true_to(way)),
    ]  # fmt: skip
    lines = [*_rows(rows), "", "Parts, one of each"]
    for template, name, kerf in zip(templates, names, kerfs, strict=True):
        box = template.part.cuts[0].bounds
        size = f"{fine(box.width, units)} x {fine(box.height, units)}"
        lines.append(f"  {name}")
        told = [template.title, f"{size} over all, of {template.stock}"]
        if template.along:
            told.append("Keep its length along the direction in which the stock was rolled")
        if kerf != style.kerf:
            told.append(f"Its contours allow for a kerf of {fine(kerf, units)}, as in that stock")
        for text in (". ".join(told) + ".", template.said):
            lines += [f"      {line}" for line in wrap(text, _WIDE - 6, break_on_hyphens=False)]
    lines += ["", "Cautions"]
    for caution in process.cautions:
        first, *rest = wrap(caution, _WIDE - 4)
        lines += [f"  - {first}", *(f"    {line}" for line in rest)]
    return lines


def _rows(rows: Sequence[tuple[str, str]]) -> list[str]:
    return [
        f"{title if i == 0 else '':<9} {line}".rstrip()
        for title, text in rows
        for i, line in enumerate(wrap(text, _WIDE - 10))
    ]


def _version(style: Style) -> str:
    if style.version == "R12":
        return "The version, R12, has no place for a unit: it stands in each file's name."
    return "The files say so themselves."


def _size(style: Style, way: Way) -> str:
    units, found = way.units, "Nominal: offset your kerf."
    if way.rules.fitted:
        found = "Nominal: saw beside the line, in the scrap, and file to it."
    if style.kerf:
        found = (
            f"The contours allow for a kerf of {fine(style.kerf, units)}: follow them with the "
            "middle of the tool, and offset nothing."
        )
    if style.lead:
        found += " Each contour begins with its lead-in, from the scrap."
    if style.segments is not None:
        found += f" Arcs come as straight segments, no more than {fine(style.segments, units)} off."
    return found


def _layers(style: Style, marked: bool) -> str:
    outside, inside, mark = style.layers.outside, style.layers.inside, style.layers.mark
    cut = f"{outside.name}: cut through"
    if inside.name != outside.name:
        cut = f"{outside.name}: cut round the outside; {inside.name}: cut inside, first"
    if not marked:
        return f"{cut}. Nothing is to be marked."
    return f"{cut}. {mark.name}: mark, do not cut through."


def _true_to(way: Way) -> str:
    asked = way.rules
    if asked.tolerance_class is not None:
        return f"ISO 9013, class {asked.tolerance_class}, unless you agree on another."
    assert asked.deviation is not None
    found = f"± {fine(asked.deviation, way.units)} at any length"
    if asked.fitted:
        return f"{found}; what tries the work is filed until it is true."
    return f"{found}."
