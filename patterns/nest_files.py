"""The files of a nest: which parts of some files go on which stock, and what is written of each
sheet.

What is at fault is added to a list of faults, under the names of the command's options.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from . import cut_file, cut_set, nest_report, pages
from .cut_check import check
from .cut_file import CutFile
from .cut_set import Listed
from .errors import BadInputError, Fault
from .layers import Layers
from .nest import (
    MOST_PARTS,
    SECONDS,
    TURNS,
    Nest,
    Stock,
    Wanted,
    Watch,
    nest,
    parts_of,
    too_large,
)
from .processes import write_thickness
from .to_cut import Style, file_name
from .units import NotALengthError, both_limits, read_section, section
from .writers import dxf, svg

MOST_SHEETS = 100
LARGEST, SMALLEST = 20_000.0, 5.0
"""Limits of a sheet's sides [mm]."""
MOST_UNASKED = 120.0
"""Seconds that a search of many sheets takes at most, if nobody says otherwise."""

_OURS = re.compile(r"nest-\d+(?:-kerf-[\d.]+)?(?:-with-leads)?-(?:in|mm)\.dxf|nest-\d+\.svg")


def belongs(name: str) -> bool:
    """Whether a file's name is one that a nest may have or not, as many sheets as it takes.

    >>> [belongs(name) for name in ("nest-2-in.dxf", "nest-2.svg", "nest-2-in-earlier.dxf")]
    [True, True, False]
    """
    return _OURS.fullmatch(name) is not None


# What is to be laid ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Row:
    """A part's name in messages, its file, and how many."""

    shown: str
    file: Listed
    pieces: int


def rows(
    shown: str, files: Sequence[Listed], pieces: int, stock: str | None, faults: list[Fault]
) -> list[Row]:  # fmt: skip
    """So many of a file, or so many sets of the files of a list; of these, only the parts of the
    ``stock`` that is named, if one is."""
    chosen = [one for one in files
              if one.item is None or stock is None or _same(one.item.stock, stock)]  # fmt: skip
    if files and not chosen:
        told = [one.item.stock for one in files if one.item is not None]
        faults.append(Fault("--stock", repr((stock or "")[:60]), "; ".join(dict.fromkeys(told)),
                            "say one of the set's"))  # fmt: skip
    many = len(files) > 1
    return [
        Row(f"{shown}/{one.path.name}" if many else shown, one,
            pieces * (one.item.quantity if one.item is not None and many else 1))
        for one in chosen
    ]  # fmt: skip


def _same(one: str, other: str) -> bool:
    """Whether a stock is meant by what was said of it, as "1084" says 1084, 1/4 x 1 in."""
    return " ".join(other.lower().split()) in " ".join(one.lower().split())


def stocks(of: Sequence[Row], faults: list[Fault]) -> tuple[str, ...]:
    """What the lists say that the parts are cut from; more than one is a fault."""
    found = tuple(dict.fromkeys(row.file.item.stock for row in of if row.file.item is not None))
    if len(found) > 1:
        faults.append(Fault("--stock", "; ".join(found), "parts of one stock on a sheet",
                            "choose one, and nest the others by themselves"))  # fmt: skip
    return found


def one_thickness(
    of: Sequence[Row], told: float | None, units: str, faults: list[Fault]
) -> None:  # fmt: skip
    """Add a fault where the lists, and the thickness that was ``told`` [mm], do not agree."""
    thicks = {round(row.file.item.thickness, 4) for row in of if row.file.item is not None}
    if told is not None:
        thicks.add(round(told, 4))
    if len(thicks) > 1:
        words = " and ".join(write_thickness(each, units) for each in sorted(thicks))
        faults.append(Fault("--thickness", words, "parts of one thickness on a sheet",
                            "nest each thickness by itself"))  # fmt: skip


def listed_cut(of: Sequence[Row]) -> tuple[str | None, float | None]:
    """Process and thickness [mm] as the first of the lists has them; None for what none tells."""
    item = next((row.file.item for row in of if row.file.item is not None), None)
    return (None, None) if item is None else (item.process or None, item.thickness)


def wanted(
    of: Sequence[Row], turns: str, layers: Layers | None, units: str, faults: list[Fault]
) -> list[Wanted]:  # fmt: skip
    """The parts of all files; a file that is named twice counts twice.

    ``turns`` is of :data:`nest.TURNS`; ``layers`` take the place of those of the lists.
    """
    found: dict[tuple[str, int], Wanted] = {}
    for row in of:
        shown, path, item = row.shown, row.file.path, row.file.item
        try:
            file = cut_file.read(path, layers or row.file.layers)
        except BadInputError as error:
            faults += error.faults
            continue
        parts = parts_of(file)
        if not parts:
            faults.append(Fault(shown, "no closed contour on a layer to cut", "a part to cut",
                                "see: eyewrap check"))  # fmt: skip
        if any(run.lead for run in file.runs) or (item is not None and item.kerf > 0.0):
            faults.append(
                Fault(shown, "contours with lead-ins, or moved for the kerf", "nominal contours",
                      "write the set without them, and nest that")
            )  # fmt: skip
        else:
            faults += _unfit(shown, file, units)
        if not file.units:
            faults.append(Fault(shown, "no units", "in or mm, told by the file",
                                "see: eyewrap check"))  # fmt: skip
        if item is not None and item.along:
            allowed = TURNS["none" if turns == "none" else "half"]
        else:
            allowed = TURNS[turns]
        for k, part in enumerate(parts):
            key = str(path), k
            before = found[key].quantity if key in found else 0
            name = part.name
            if item is not None and item.title.strip() and len(parts) == 1:
                name = item.title
            found[key] = Wanted(name, part, before + row.pieces, allowed)
    count = sum(each.quantity for each in found.values())
    if count > MOST_PARTS:
        faults.append(Fault("PART", f"{count} parts", f"up to {MOST_PARTS}",
                            "nest some of them first"))  # fmt: skip
    names = [each.name for each in found.values()]
    return [
        replace(each, name=f"{each.name} ({Path(path).parent.name})")
        if names.count(each.name) > 1 and Path(path).parent.name else each
        for (path, _), each in found.items()
    ]  # fmt: skip


def _unfit(shown: str, file: CutFile, units: str) -> list[Fault]:
    """What is wrong with a file itself: a nest would leave it out, or hand it on."""
    return [
        Fault(shown, finding.words(units), "a file that is fit to cut", finding.change)
        for finding in check(file).findings
        if finding.severity == "fault" and finding.name not in ("no unit", "nothing to cut")
    ]


# On what -----------------------------------------------------------------------------------------


def read_size(
    text: str, units: str, faults: list[Fault], bar: bool = False
) -> tuple[float, float] | None:  # fmt: skip
    """Length and width of a sheet, written so, or of a bar, written the other way round [mm]."""
    field = "--bar" if bar else "--sheet"
    try:
        sides = read_section(text)
    except NotALengthError:
        kind = 'width x length with a unit, such as "2 in x 36 in"' if bar else (
            'length x width with a unit, such as "24 x 12 in"')  # fmt: skip
        faults.append(Fault(field, repr(text[:60]), kind, "write it so"))
        return None
    if not all(SMALLEST <= side <= LARGEST for side in sides):
        limits = both_limits(SMALLEST, LARGEST, units)
        faults.append(Fault(field, repr(text[:60]), f"{limits} on each side", "measure it anew"))
        return None
    if bar and sides[0] > sides[1]:
        faults.append(Fault(field, repr(text[:60]), "the width first, then the greater length",
                            "change the two round"))  # fmt: skip
        return None
    return (sides[1], sides[0]) if bar else sides


def read_turns(text: str, faults: list[Fault]) -> str:
    """How parts may be turned, of :data:`nest.TURNS`; the usual where it is at fault."""
    turns = text.strip().lower()
    if turns in TURNS:
        return turns
    faults.append(Fault("--turns", repr(text[:60]), ", ".join(TURNS), "choose one of these"))
    return "quarter"


def no_room(
    of: Sequence[Wanted], plate: Stock, margin: str | None, units: str, name: str = "sheet"
) -> list[Fault]:  # fmt: skip
    """What has no room on the stock: the margin itself, as it was told, or else some parts."""
    if min(plate.room) <= 0.0:
        given = margin or "what the process asks for"
        return [Fault("--margin", given, f"less than half of the {name}",
                      "take less, or a larger one")]  # fmt: skip
    return too_large(of, plate, units, name)


def nested(
    of: Sequence[Wanted], plate: Stock, spacing: float, *, seconds: float | None = None,
    seed: int = 1, watch: Watch = lambda sheet, parts, length: None,
) -> Nest:  # fmt: skip
    """The nest, searched for so many ``seconds``; if none are told, until little is gained, and
    longer where boxes take more sheets."""
    if seconds is not None:
        return nest(of, plate, spacing, seconds=seconds, seed=seed, patient=True, watch=watch)
    plain = nest(of, plate, spacing, seconds=0.0)
    seconds = min(SECONDS * len(plain.sheets), MOST_UNASKED)
    return nest(of, plate, spacing, seconds=seconds, seed=seed, watch=watch)


# What is written ---------------------------------------------------------------------------------


def files(
    found: Nest, units: str, style: Style, *, seed: int, process: str | None,
    thickness: float | None, stock: str, name: str = "sheet",
) -> dict[str, bytes]:  # fmt: skip
    """A DXF and a picture of each sheet, and the lists.

    ``thickness`` [mm] and ``stock`` are of what is cut, where they are known; ``name`` is what a
    sheet is called. Raises :class:`NotFitToCutError` for a sheet that no machine should be given.
    """
    made, items = {}, []
    count = len(found.sheets)
    names = [file_name(f"nest-{number}", units, style) for number in range(1, count + 1)]
    size = section((found.stock.length, found.stock.width))
    foot = pages.Legend("Nest", stock or f"{name} of {size}", "as on the parts")
    for number, (sheet, file) in enumerate(zip(found.sheets, names, strict=True), 1):
        title = f"Nest, {name} {number}"
        drawing = found.drawing(sheet, f"nest-{number}", title)
        made[file] = dxf.write(drawing, units, style)
        shown = nest_report.picture(found, number, units, stock=stock, name=name,
                                    thickness=thickness)  # fmt: skip
        made[f"nest-{number}.svg"] = svg.write(pages.fitted(shown, foot), shown)
        if thickness is not None:
            items.append(cut_set.Item(file, title, 1, process or "", thickness, stock, True,
                                      style.kerf))  # fmt: skip
    data = nest_report.data(found, seed=seed, thickness=thickness, stock=stock, files=names)
    text = json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False)
    made["nest.json"] = (text + "\n").encode()
    if items:
        made[cut_set.NAME] = cut_set.as_json(cut_set.CutSet("nest", "", tuple(items), style.layers))
    return made
