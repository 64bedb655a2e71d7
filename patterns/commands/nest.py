"""``eyewrap nest``: parts and quantities on sheets or bars, as files for the cutter."""

from __future__ import annotations

import argparse
import json
import re
import sys
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault, NotFitToCutError
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_kerf,
    add_process,
    add_style,
    add_units,
    command,
    files_of,
    kerf_of,
    layers_of,
    length_of,
    say,
    style_of,
    told_process,
    tried,
    units_of,
    watched,
)

if TYPE_CHECKING:
    from ..cut_file import CutFile
    from ..cut_set import Listed
    from ..layers import Layers
    from ..nest import Nest, Stock, Wanted
    from ..processes import Rules
    from ..to_cut import Style

EXAMPLES = """\
examples:
  eyewrap nest output/belt-hatchet-to-cut --stock sheet --sheet "24 x 12 in" --to nested
  eyewrap nest gauge.dxf=3 blank.dxf=2 --sheet "24 x 12 in" --spacing "1/8 in" --margin "1/4 in"
       --to nested
  eyewrap nest bit.dxf=6 --bar "2 in x 36 in" --turns half --process waterjet --thickness "1/4 in"
       --to nested

The first figure of a sheet is its length, along which it was rolled. Parts are turned, never
mirrored. Those whose rolling direction is told by a set's list keep to it. Spacing and margin, if
not given, are what the process asks for; on a bar the margin is kept at its ends only. As few
sheets are used as are found; every sheet has a file of its own, sheet and margin not in it.
The same seed gives the same nest, on any machine, unless the time was up: then it says so.
"""

MOST_SEED = 2**31 - 1
MOST_SECONDS = 3600.0
MOST_SHEETS = 100
LARGEST, SMALLEST = 20_000.0, 5.0
"""Limits of a sheet's sides [mm]."""
WIDEST = 100.0
"""Limit of spacing and margin [mm]."""
MOST_UNASKED = 120.0
"""Seconds that a search of many sheets takes at most, if nobody says otherwise."""


def add(commands: Commands) -> None:
    parser = command(
        commands, "nest", _nest, brief="lay parts on sheets or bars, as files for the cutter",
        description="Lay several parts, so many of each, on sheets or bars of one size; write a "
        "DXF and a picture of each sheet, and a cut list.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("parts", metavar="PART", nargs="+",
                        help="a DXF file, FILE=3 for three of it; or a set's folder, whose list "
                        "says how many, FOLDER=2 for two sets")  # fmt: skip
    size = parser.add_mutually_exclusive_group(required=True)
    size.add_argument("--sheet", metavar="SIZE", help='length x width, as "24 x 12 in"')
    size.add_argument("--bar", metavar="SIZE", help='width x length, as "2 in x 36 in"')
    parser.add_argument("--sheets", metavar="NUMBER",
                        help="how many there are; more than that are a reason to stop")  # fmt: skip
    parser.add_argument("--stock", metavar="TEXT", help="of a set, only the parts of this stock")
    parser.add_argument("--spacing", metavar="LENGTH", help="between two parts")
    parser.add_argument("--margin", metavar="LENGTH", help="between a part and the sheet's edge")
    parser.add_argument("--turns", metavar="KIND", default="quarter",
                        help="how parts may be turned: free (by 5 degrees), quarter (default), "
                        "half or none")  # fmt: skip
    add_process(parser, listed=True)
    add_kerf(parser)
    add_style(parser)
    parser.add_argument("--seconds", metavar="TIME", help="search this long, for a better nest; if "
                        "not given, until little is gained, 10 s for each sheet at most; 0 lays "
                        "boxes only")  # fmt: skip
    parser.add_argument("--seed", metavar="NUMBER", default="1", help="of the search; 1, if not "
                        "given")  # fmt: skip
    parser.add_argument("--to", metavar="FOLDER", required=True, help="where the files go")
    add_units(parser)


def _nest(options: argparse.Namespace) -> int:
    from .. import nest_report, output
    from ..layers import OWN
    from ..nest import SECONDS, TURNS, nest, too_large

    units, faults = units_of(options)
    bar = options.bar is not None
    name = "bar" if bar else "sheet"
    size = _size(options, units, faults)
    turns = options.turns.strip().lower()
    if turns not in TURNS:
        faults.append(Fault("--turns", repr(options.turns[:60]), ", ".join(TURNS),
                            "choose one of these"))  # fmt: skip
        turns = "quarter"
    seed = _whole("--seed", options.seed, 0, MOST_SEED, faults)
    most = _whole("--sheets", options.sheets or str(MOST_SHEETS), 1, MOST_SHEETS, faults)
    seconds = _seconds(options.seconds, faults)
    layers = layers_of(options, units, faults)
    rows = [row for text in options.parts for row in _rows(text, options.stock, faults)]
    process, thickness, stock = _stock_of(options, rows, units, faults)
    rules = _rules(options, process, thickness, units, faults)
    spacing, margin = _apart(options, rules, units, faults)
    on = layers or (rows[0].file.layers if rows else OWN)
    style = style_of(options, units, rules, on, faults)
    wanted = _wanted(rows, turns, layers, units, faults)
    plate = None if size is None or margin is None else _plate(size, margin, bar)
    if plate is not None and min(plate.room) <= 0.0:
        faults.append(Fault("--margin", options.margin or "what the process asks for",
                            f"less than half of the {name}",
                            "take less, or a larger one"))  # fmt: skip
    elif plate is not None:
        faults += too_large(wanted, plate, units, name)
    if faults:
        raise BadInputError(dict.fromkeys(faults))
    assert plate is not None
    assert spacing is not None
    assert seed is not None
    assert most is not None

    if seconds is None:
        plain = nest(wanted, plate, spacing, seconds=0.0)
        allowed, patient = min(SECONDS * len(plain.sheets), MOST_UNASKED), False
    else:
        allowed, patient = seconds, True
    with watched() as doing:
        doing("laying boxes")
        watch = partial(_said, doing, units, name)
        found = nest(wanted, plate, spacing, seconds=allowed, seed=seed, patient=patient,
                     watch=watch)  # fmt: skip
        if len(found.sheets) > most:
            print(f"Stopped: the parts take {len(found.sheets)} {name}s as they were laid, and "
                  f"there are {most}; nothing was written. Ask for fewer parts, for larger "
                  f"{name}s, or allow more --seconds.", file=sys.stderr)  # fmt: skip
            return STOPPED
        doing("writing")
        try:
            files = _files(found, units, seed, process, thickness, stock, name, style)
        except NotFitToCutError as error:
            print(f"Stopped: nothing was written. {error}", file=sys.stderr)
            return STOPPED
        folder = Path(options.to)
        paths = output.write(folder, files)
        aside = output.left_over(folder, set(files), lambda file: bool(_OURS.fullmatch(file)))
    say(nest_report.lines(found, units, thickness=thickness, stock=stock, name=name))
    say(["", *(f"written: {path}" for path in paths)])
    say([f"of an earlier nest, renamed: {path}" for path in aside])
    return DONE


_OURS = re.compile(r"nest-\d+(?:-kerf-[\d.]+)?(?:-with-leads)?-(?:in|mm)\.dxf|nest-\d+\.svg")


def _said(doing: object, units: str, name: str, number: int, parts: int, long: float) -> None:
    from ..units import length

    assert callable(doing)
    doing(f"{name} {number}: {parts} parts on {length(long, units)}")


def _files(
    found: Nest, units: str, seed: int, process: str | None, thickness: float | None, stock: str,
    name: str, style: Style,
) -> dict[str, bytes]:  # fmt: skip
    """A DXF and a picture of each sheet, and the lists."""
    from .. import cut_set, nest_report, pages
    from ..to_cut import file_name
    from ..units import section
    from ..writers import dxf, svg

    files, items = {}, []
    count = len(found.sheets)
    names = [file_name(f"nest-{number}", units, style) for number in range(1, count + 1)]
    foot = pages.Legend(
        "Nest", stock or f"{name} of {_plain_size(found, section)}", "as on the parts"
    )
    for number, (sheet, file) in enumerate(zip(found.sheets, names, strict=True), 1):
        title = f"Nest, {name} {number}"
        drawing = found.drawing(sheet, f"nest-{number}", title)
        files[file] = dxf.write(drawing, units, style)
        shown = nest_report.picture(found, number, units, stock=stock, name=name,
                                    thickness=thickness)  # fmt: skip
        files[f"nest-{number}.svg"] = svg.write(pages.fitted(shown, foot), shown)
        if thickness is not None:
            items.append(cut_set.Item(file, title, 1, process or "", thickness, stock, True,
                                      style.kerf))  # fmt: skip
    data = nest_report.data(found, seed=seed, thickness=thickness, stock=stock, files=names)
    text = json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False)
    files["nest.json"] = (text + "\n").encode()
    if items:
        files[cut_set.NAME] = cut_set.as_json(
            cut_set.CutSet("nest", "", tuple(items), style.layers)
        )
    return files


def _plain_size(found: Nest, section: object) -> str:
    assert callable(section)
    return str(section((found.stock.length, found.stock.width)))


# What was asked for ------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Row:
    """A part's name in messages, its file, and how many."""

    shown: str
    file: Listed
    pieces: int


def _rows(text: str, stock: str | None, faults: list[Fault]) -> list[_Row]:
    """The files that an argument names, and how many of each."""
    name, equals, count = text.rpartition("=")
    if not equals:
        name, count = text, "1"
    shown = name[:60] if name[:60].strip() and name[:60].isprintable() else repr(name[:60])
    pieces = _whole(f"{shown}, quantity", count, 1, 2000, faults) or 1
    files = files_of(name, faults)
    chosen = [one for one in files
              if one.item is None or stock is None or _same(one.item.stock, stock)]  # fmt: skip
    if files and not chosen:
        told = [one.item.stock for one in files if one.item is not None]
        faults.append(Fault("--stock", repr((stock or "")[:60]), "; ".join(dict.fromkeys(told)),
                            "say one of the set's"))  # fmt: skip
    many = len(files) > 1
    return [
        _Row(f"{shown}/{one.path.name}" if many else shown, one,
             pieces * (one.item.quantity if one.item is not None and many else 1))
        for one in chosen
    ]  # fmt: skip


def _same(one: str, other: str) -> bool:
    """Whether a stock is meant by what was said of it, as "1084" says 1084, 1/4 x 1 in."""
    return " ".join(other.lower().split()) in " ".join(one.lower().split())


def _stock_of(
    options: argparse.Namespace, rows: list[_Row], units: str, faults: list[Fault]
) -> tuple[str | None, float | None, str]:
    """Process, thickness [mm] and stock: of the options, or of the sets, which must agree."""
    from ..processes import write_thickness

    items = [row.file.item for row in rows if row.file.item is not None]
    stocks = list(dict.fromkeys(item.stock for item in items))
    if len(stocks) > 1:
        faults.append(Fault("--stock", "; ".join(stocks), "parts of one stock on a sheet",
                            "choose one, and nest the others by themselves"))  # fmt: skip
    process, thickness = told_process(options, units, faults)
    thicks = {round(item.thickness, 4) for item in items}
    if thickness is not None:
        thicks.add(round(thickness, 4))
    if len(thicks) > 1 and len(stocks) <= 1:
        told = " and ".join(write_thickness(each, units) for each in sorted(thicks))
        faults.append(Fault("--thickness", told, "parts of one thickness on a sheet",
                            "nest each thickness by itself"))  # fmt: skip
    if items and options.thickness is None:
        thickness = items[0].thickness
    if items and options.process is None:
        process = items[0].process or None
    return process, thickness, stocks[0] if stocks else ""


def _rules(
    options: argparse.Namespace, process: str | None, thickness: float | None, units: str,
    faults: list[Fault],
) -> Rules | None:  # fmt: skip
    """The rules of the process; None where none is told, and, with its fault, where one must be."""
    from .. import processes

    kerf = kerf_of(options, units, faults)
    if process is not None and thickness is not None:
        found: Rules | None = tried(
            partial(processes.rules, process, thickness, units, kerf=kerf), faults
        )
        return found
    asked = [f"--{each}" for each in ("spacing", "margin") if getattr(options, each) is None]
    asked += ["--offset"] * options.offset + ["--lead"] * (options.lead == "")
    if asked and not faults:
        for each in asked:
            faults.append(Fault(each, "nothing" if each in ("--spacing", "--margin") else "given",
                                "a length, or --process and --thickness, which ask for one",
                                "say it"))  # fmt: skip
    return None


def _apart(
    options: argparse.Namespace, rules: Rules | None, units: str, faults: list[Fault]
) -> tuple[float | None, float | None]:  # fmt: skip
    """Spacing and margin [mm]: as given, or as the process asks for them."""
    from ..nest import LEAST_SPACING

    spacing = margin = None
    if options.spacing is not None:
        spacing = length_of("--spacing", options.spacing, LEAST_SPACING, WIDEST, units, faults)
    elif rules is not None:
        spacing = rules.spacing
    if options.margin is not None:
        margin = length_of("--margin", options.margin, 0.0, WIDEST, units, faults)
    elif rules is not None:
        margin = rules.margin
    return spacing, margin


def _size(
    options: argparse.Namespace, units: str, faults: list[Fault]
) -> tuple[float, float] | None:  # fmt: skip
    """Length and width of the sheet or bar [mm]."""
    from ..units import NotALengthError, both_limits, read_section

    bar = options.bar is not None
    field, text = ("--bar", options.bar) if bar else ("--sheet", options.sheet)
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


def _plate(size: tuple[float, float], margin: float, bar: bool) -> Stock:
    from ..nest import Stock

    return Stock(*size, margin, 0.0 if bar else margin)


def _whole(field: str, text: str, least: int, most: int, faults: list[Fault]) -> int | None:
    if re.fullmatch(r"\s*\d{1,10}\s*", text, re.ASCII) and least <= int(text) <= most:
        return int(text)
    faults.append(Fault(field, repr(text[:60]), f"a whole number from {least} to {most}",
                        "write it so"))  # fmt: skip
    return None


def _seconds(text: str | None, faults: list[Fault]) -> float | None:
    if text is None:
        return None
    if re.fullmatch(r"\s*\d{1,6}(?:\.\d*)?\s*s?\s*", text, re.ASCII):
        found = float(text.strip().rstrip("s"))
        if found <= MOST_SECONDS:
            return found
    faults.append(Fault("--seconds", repr(text[:60]), f"a number from 0 to {MOST_SECONDS:.0f}",
                        "write it so"))  # fmt: skip
    return None


def _unfit(shown: str, file: CutFile, units: str) -> list[Fault]:
    """What is wrong with a file itself: a nest would leave it out, or hand it on."""
    from ..cut_check import check

    return [
        Fault(shown, finding.words(units), "a file that is fit to cut", finding.change)
        for finding in check(file).findings
        if finding.severity == "fault" and finding.name not in ("no unit", "nothing to cut")
    ]


def _wanted(
    rows: list[_Row], turns: str, layers: Layers | None, units: str, faults: list[Fault]
) -> list[Wanted]:  # fmt: skip
    """The parts of all files; a file that is named twice counts twice."""
    from ..cut_file import read
    from ..nest import MOST_PARTS, TURNS, Wanted, parts_of

    found: dict[tuple[str, int], Wanted] = {}
    for row in rows:
        shown, path, item = row.shown, row.file.path, row.file.item
        file = tried(partial(read, path, layers or row.file.layers), faults)
        if file is None:
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
