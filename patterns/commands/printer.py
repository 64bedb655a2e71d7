"""``eyewrap printer``: a test page for a printer, and its factors from what was measured on it."""

from __future__ import annotations

import argparse
import dataclasses
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault, MissingLibraryError
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_units,
    command,
    every_fault,
    say,
    titled,
    tried,
    units_of,
)

if TYPE_CHECKING:
    from ..pages import Paper
    from ..printer import Printer

EXAMPLES = """\
examples:
  eyewrap printer shop-laser
  eyewrap printer shop-laser --level "7 15/32 in" --upright "9 7/8 in" --file shop-laser.toml
  eyewrap draw belt-hatchet --printer shop-laser.toml

First print the test page at 100 %, actual size, and measure its bars from cross to cross; then
type what the rule says, with the unit. The diagonals tell whether the print is square. The
factors hold for one printer with one paper: give --paper both times, unless it is letter.
"""

MEASURES = ("level", "upright", "rising", "falling")


def add(commands: Commands) -> None:
    parser = command(
        commands, "printer", _printer, brief="correct a printer: a test page, then its factors",
        description="Write a test page for a printer into output/printer/, or where --to says; or, "
        "with what was measured on it, write the printer's file.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("name", metavar="NAME", help="what the printer is called")
    parser.add_argument("--paper", default="letter", metavar="SIZE",
                        help="letter (default), a4, legal, tabloid, a3, a size as 18x24in, or a "
                        "roll's width as 36in")  # fmt: skip
    parser.add_argument("--to", metavar="DIR", help="the folder for the test page; made if need be")
    for key, what in zip(MEASURES, ("the level bar", "the upright bar", "the diagonal that rises",
                                    "the diagonal that falls"), strict=True):  # fmt: skip
        parser.add_argument(f"--{key}", metavar="LENGTH", help=f"{what}, as measured")
    parser.add_argument("--file", metavar="FILE",
                        help="the file to write the factors into, for: eyewrap draw PROFILE "
                        "--printer FILE")  # fmt: skip
    add_units(parser)


def _printer(options: argparse.Namespace) -> int:
    from .. import pages, printer

    units, faults = units_of(options)
    # the least margin: a test page has its own, and a narrow one may be right for the patterns
    margin = f"{pages.LEAST_MARGIN} mm"
    paper = tried(lambda: pages.read_paper(options.paper, margin, None, units), faults)
    given = {key: getattr(options, key) for key in MEASURES}
    if options.file is None and not any(said is not None for said in given.values()):
        faults += printer.name_faults(options.name)
        faults += [] if paper is None else printer.paper_faults(paper, units)
        return _test_page(options, paper, units, faults)
    if options.to is not None:
        faults.append(Fault("--to", repr(options.to[:60]), "for the test page alone",
                            "take it out: --file names the file"))  # fmt: skip
    faults += _file_faults(options.file, units)
    if paper is None:
        raise BadInputError(faults)
    found = every_fault(
        faults, lambda: printer.measured(options.name, paper, given, units)
    )  # fmt: skip
    return _written(options, found, given, units)


def _test_page(
    options: argparse.Namespace, paper: Paper | None, units: str, faults: list[Fault]
) -> int:
    from .. import output, printer
    from ..profiles import slug
    from ..writers import pdf

    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    if faults or paper is None:
        raise BadInputError(faults)
    drawing, page = printer.measuring_page(options.name, paper, units)
    folder = Path("output") / "printer" if options.to is None else Path(options.to)
    name = f"{slug(options.name)}.pdf"
    try:
        content = pdf.write([(drawing, (page,))], drawing.title)
    except MissingLibraryError as error:
        print(f"{name} was not made: {error}", file=sys.stderr)
        return STOPPED
    output.write(folder, {name: content})
    print(f"{name} in {folder}{os.sep}")
    print("Print it at 100 %, actual size, measure the bars from cross to cross, and type what the "
          "rule says, as the page shows.")  # fmt: skip
    return DONE


def _file_faults(file: str | None, units: str) -> list[Fault]:
    """A file that is there and is no printer's file is never written over."""
    from .. import printer

    if file is None or not Path(file).name:
        return [Fault("--file", "nothing" if file is None else repr(file[:60]),
                      "the name of the printer's file",
                      "name one, as shop-laser.toml")]  # fmt: skip
    path, given = Path(file), repr(file[:120])
    try:
        there, folder = path.exists(), path.parent.is_dir()
    except (OSError, ValueError):  # a name that no file system takes
        return [Fault("--file", given, "the name of a file", "give another name")]
    if there:
        if not printer.is_one(path):
            return [Fault("--file", f"{given}, which is another kind of file",
                          "a new file, or a printer's file to write anew",
                          "give another name")]  # fmt: skip
    elif not folder:
        return [Fault("--file", given, "a file in a folder that is there", "make the folder first")]
    return []


def _written(
    options: argparse.Namespace, found: Printer, given: dict[str, str | None], units: str
) -> int:
    from .. import output, printer

    path = Path(options.file)
    try:
        output.write(path.parent, {path.name: printer.as_toml(found, given).encode()})
    except BadInputError as error:
        raise BadInputError(
            [dataclasses.replace(fault, field="--file") for fault in error.faults]
        ) from None
    rows = [("Printer", f"{found.name}, {found.printer.paper} paper")]
    rows += [
        (title, f"x {bar.factor:.4f}: {_off(bar.measured / bar.drawn)}")
        for title, bar in (("Level", found.level), ("Upright", found.upright))
    ]
    doubts = found.doubts(units)
    rows += [("Doubt", doubt) for doubt in doubts]
    if not doubts and any(given[key] is not None for key in ("rising", "falling")):
        rows.append(("Square", "the diagonals agree with the bars, as far as a rule can tell"))
    say(titled(rows))
    print(f"\nWritten: {path}. Give it to draw: --printer {path}")
    print("It corrects the PDF alone; measure the check bars on the first sheet all the same.")
    return DONE


def _off(ratio: float) -> str:
    off = round(100.0 * (ratio - 1.0), 2)
    return f"it prints {abs(off):.2f} % {'long' if off > 0 else 'short'}" if off else "true"
