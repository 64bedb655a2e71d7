"""``eyewrap nest``: parts and quantities on sheets or bars, as files for the cutter."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
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
    from ..nest import Stock
    from ..nest_files import Row
    from ..processes import Rules

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
WIDEST = 100.0
"""Limit of spacing and margin [mm]."""


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
    from .. import nest_files, nest_report, output
    from ..layers import OWN

    units, faults = units_of(options)
    bar = options.bar is not None
    name = "bar" if bar else "sheet"
    size = nest_files.read_size(options.bar if bar else options.sheet, units, faults, bar)
    turns = nest_files.read_turns(options.turns, faults)
    seed = _whole("--seed", options.seed, 0, MOST_SEED, faults)
    largest = nest_files.MOST_SHEETS
    most = _whole("--sheets", options.sheets or str(largest), 1, largest, faults)
    seconds = _seconds(options.seconds, faults)
    layers = layers_of(options, units, faults)
    rows = [row for text in options.parts for row in _rows(text, options.stock, faults)]
    process, thickness, stock = _stock_of(options, rows, units, faults)
    rules = _rules(options, process, thickness, units, faults)
    spacing, margin = _apart(options, rules, units, faults)
    on = layers or (rows[0].file.layers if rows else OWN)
    style = style_of(options, units, rules, on, faults)
    wanted = nest_files.wanted(rows, turns, layers, units, faults)
    plate = None if size is None or margin is None else _plate(size, margin, bar)
    if plate is not None:
        faults += nest_files.no_room(wanted, plate, options.margin, units, name)
    if faults:
        raise BadInputError(dict.fromkeys(faults))
    assert plate is not None
    assert spacing is not None
    assert seed is not None
    assert most is not None

    with watched() as doing:
        doing("laying boxes")
        found = nest_files.nested(wanted, plate, spacing, seconds=seconds, seed=seed,
                                  watch=partial(_said, doing, units, name))  # fmt: skip
        if len(found.sheets) > most:
            print(f"Stopped: the parts take {len(found.sheets)} {name}s as they were laid, and "
                  f"there are {most}; nothing was written. Ask for fewer parts, for larger "
                  f"{name}s, or allow more --seconds.", file=sys.stderr)  # fmt: skip
            return STOPPED
        doing("writing")
        try:
            files = nest_files.files(found, units, style, seed=seed, process=process,
                                     thickness=thickness, stock=stock, name=name)  # fmt: skip
        except NotFitToCutError as error:
            print(f"Stopped: nothing was written. {error}", file=sys.stderr)
            return STOPPED
        folder = Path(options.to)
        paths = output.write(folder, files)
        aside = output.left_over(folder, set(files), nest_files.belongs)
    say(nest_report.lines(found, units, thickness=thickness, stock=stock, name=name))
    say(["", *(f"written: {path}" for path in paths)])
    say([f"of an earlier nest, renamed: {path}" for path in aside])
    return DONE


def _said(
    doing: Callable[[str], None], units: str, name: str, number: int, parts: int, long: float
) -> None:
    from ..units import length

    doing(f"{name} {number}: {parts} parts on {length(long, units)}")


# What was asked for ------------------------------------------------------------------------------


def _rows(text: str, stock: str | None, faults: list[Fault]) -> list[Row]:
    """The files that an argument names, and how many of each."""
    from .. import nest_files

    name, equals, count = text.rpartition("=")
    if not equals:
        name, count = text, "1"
    shown = name[:60] if name[:60].strip() and name[:60].isprintable() else repr(name[:60])
    pieces = _whole(f"{shown}, quantity", count, 1, 2000, faults) or 1
    return nest_files.rows(shown, files_of(name, faults), pieces, stock, faults)


def _stock_of(
    options: argparse.Namespace, rows: list[Row], units: str, faults: list[Fault]
) -> tuple[str | None, float | None, str]:
    """Process, thickness [mm] and stock: of the options, or of the sets, which must agree."""
    from .. import nest_files

    stocks = nest_files.stocks(rows, faults)
    process, thickness = told_process(options, units, faults)
    if len(stocks) <= 1:
        nest_files.one_thickness(rows, thickness, units, faults)
    listed = nest_files.listed_cut(rows)
    if options.process is None:
        process = listed[0]
    if options.thickness is None:
        thickness = listed[1]
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
