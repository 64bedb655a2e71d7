"""``eyewrap draw``: the patterns of a head, written into a folder."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Collection
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import Fault
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_profile,
    add_short,
    command,
    planned,
    say,
    tried,
    units_of,
    watched,
)

if TYPE_CHECKING:
    from ..pages import Paper
    from ..printer import Printer

EXAMPLES = """\
examples:
  eyewrap draw belt-hatchet
  eyewrap draw camp-axe --paper a4 --units mm
  eyewrap draw my-axe.toml --to patterns/my-axe
  eyewrap draw camp-axe --set "wall.thickness=5/16 in" --set "eye.length=2 1/8 in"
  eyewrap draw camp-axe --set eye.length= --set eye.width= \\
                        --set "eye.perimeter=5 in" --set eye.ratio=3

The set: one PDF with every sheet, an SVG of each sheet, DXF files for cutting in steel,
each in inches and in mm, and plan.json with every figure. Print at 100 %, actual size,
and measure the check bars before you trust the paper.
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "draw", _draw,
        brief="write the patterns of a head: PDF to print, SVG, DXF to cut, plan.json",
        description="Write the whole set of a head into output/PROFILE/, or where --to says.",
        epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser)
    add_short(parser, "--handle", "--length", "--finest", "--order")
    parser.add_argument("--to", metavar="DIR", help="the folder to write into; made if need be")
    parser.add_argument(
        "--paper", metavar="SIZE",
        help="letter (default), a4, legal, tabloid, a3, a size as 18x24in, or a roll's width as "
        "36in; nothing is ever scaled to fit",
    )  # fmt: skip
    parser.add_argument("--margin", metavar="LENGTH", help="the white edge of every sheet; 8 mm, "
                        "if not given")  # fmt: skip
    parser.add_argument("--overlap", metavar="LENGTH", help="what two tiles both show; 10 mm, if "
                        "not given")  # fmt: skip
    parser.add_argument("--printer", metavar="FILE", help="correct the PDF for a printer: the file "
                        "that eyewrap printer writes")  # fmt: skip
    parser.add_argument(
        "--sheets", metavar="NAMES",
        help="which sheets: all, or names with commas between, as blank,bit; the everyday ones, "
        "if not given",
    )  # fmt: skip
    parser.add_argument("--card", metavar="KIND", help="write the shop card as text too: txt or "
                        "md (Markdown)")  # fmt: skip
    parser.add_argument("--date", action="store_true", help="print today's date on the sheets")


def _draw(options: argparse.Namespace) -> int:
    from .. import output, report
    from ..build import CARDS, build, sheets_of

    units, faults = units_of(options)
    paper, printer = _paper(options, units, faults)
    sheets: Collection[str] = tried(lambda: sheets_of(options.sheets), faults) or ()
    card = None if options.card is None else options.card.strip().lower()
    if card is not None and card not in CARDS:
        faults.append(Fault("--card", repr(options.card[:60]), " or ".join(CARDS), "choose one"))
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    if options.sheets is None and (options.handle, options.length) != (None, None):
        sheets = [*sheets, "handle"]
    profile, forge = planned(options, units, faults)
    if forge.stopped:
        say(report.summary(forge, units))
        sys.stdout.flush()
        print("\nStopped: nothing was written. Change what is marked STOP.", file=sys.stderr)
        return STOPPED
    today = date.today().isoformat() if options.date else None
    with watched() as watch:
        built = build(
            profile, units=units, paper=paper, printer=printer, date=today, forge=forge,
            sheets=sheets, card=card, watch=watch,
        )  # fmt: skip
    folder = Path("output") / profile.slug if options.to is None else Path(options.to)
    earlier = output.revision_there(folder)
    written = output.write(folder, built.files)
    left = [_left_over(folder, name, reason) for name, reason in built.missing]
    if earlier is not None and earlier != report.revision(profile.design):
        left += _of_another_revision(folder, built.files, earlier)
    say(report.summary(forge, units))
    print(f"\n{len(written)} files in {folder}{os.sep}")
    if f"{profile.slug}.pdf" in built.files:
        print("Print the PDF at 100 %, actual size, and measure the check bars.")
        if printer is not None:
            print(f"{printer.correction.words} This is in the PDF alone: SVG and DXF are at true "
                  "size, and not for this printer.")  # fmt: skip
            say([f"Doubt: {doubt}" for doubt in printer.doubts(units)])
    sys.stdout.flush()
    for message in left:
        print(f"\n{message}", file=sys.stderr)
    return STOPPED if built.missing else DONE


def _paper(
    options: argparse.Namespace, units: str, faults: list[Fault]
) -> tuple[Paper, Printer | None]:
    """The paper, and the printer if there is one; without --paper, the one that was measured.

    Where either is at fault, the faults are added, and what stands in its place is not used.
    """
    from .. import pages
    from .. import printer as printers

    printer: Printer | None = None
    if options.printer is not None:
        printer = tried(lambda: printers.load(Path(options.printer), units), faults)
    read = partial(printers.paper_for, printer, options.paper, options.margin, options.overlap,
                   units)  # fmt: skip
    paper: Paper | None = tried(read, faults)
    return paper or pages.as_paper("letter"), printer


def _of_another_revision(folder: Path, names: Collection[str], revision: str) -> list[str]:
    """Put the sheets of another revision aside that this run did not draw; returns what to say."""
    from .. import output
    from ..build import belongs

    try:
        aside = output.left_over(folder, names, belongs)
    except OSError as error:
        return [
            f"Sheets of another revision, {revision}, are in the folder, and could not be renamed: "
            f"{error.strerror}. Do not use them."
        ]
    if not aside:
        return []
    listed = ", ".join(path.name for path in aside)
    return [f"Of another revision, {revision}, and now named so: {listed}."]


def _left_over(folder: Path, name: str, reason: str) -> str:
    """Put a file of an earlier run aside that this run could not make; returns what to say."""
    from .. import output

    said = f"{name} was not made: {reason}"
    try:
        aside = output.set_aside(folder, name)
    except OSError as error:
        return (
            f"{said}\nThe {name} in the folder is of an earlier run, and could not be renamed: "
            + (f"{error.strerror}. Do not use it.")
        )
    return said if aside is None else f"{said}\nThe {name} of an earlier run is now {aside.name}."
