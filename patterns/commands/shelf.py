"""``eyewrap shelf``: a picture of several heads at one scale, to choose by."""

from __future__ import annotations

import argparse
import dataclasses
import os
import sys
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault, MissingLibraryError
from .common import DONE, STOPPED, Commands, add_units, command, tried, units_of

if TYPE_CHECKING:
    from ..contact import Shown

EXAMPLES = """\
examples:
  eyewrap shelf
  eyewrap shelf belt-hatchet my-axe.toml --units mm --paper a4

Every head from above and from the side at 1 : 4, the lightest first, with its mass, edge, length
and bar. It is a picture, not a pattern: for patterns, which are full size, eyewrap draw NAME.
"""

MOST_HEADS = 60


def add(commands: Commands) -> None:
    parser = command(
        commands, "shelf", _shelf, brief="picture all heads at one scale: SVG and PDF",
        description="Write a contact sheet of heads at 1 : 4 into output/shelf/, or where --to "
        "says.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("profiles", metavar="PROFILE", nargs="*",
                        help="a shipped name or the path of a TOML file; all that are shipped, if "
                        "none is given")  # fmt: skip
    parser.add_argument("--to", metavar="DIR", help="the folder to write into; made if need be")
    parser.add_argument("--paper", default="letter", metavar="SIZE",
                        help="letter (default), a4, legal, tabloid, a3, a size as 18x24in, or a "
                        "roll's width as 36in; what does not fit goes on to another "
                        "sheet")  # fmt: skip
    parser.add_argument("--margin", metavar="LENGTH", help="the white edge of every sheet; 8 mm, "
                        "if not given")  # fmt: skip
    parser.add_argument("--date", action="store_true", help="print today's date on the sheets")
    add_units(parser)


def _shelf(options: argparse.Namespace) -> int:
    from .. import contact, output, pages
    from ..profiles import shipped
    from ..writers import pdf, svg

    units, faults = units_of(options)
    paper = tried(partial(pages.read_paper, options.paper, options.margin, None, units), faults)
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    names = list(dict.fromkeys(options.profiles or shipped()))
    if len(names) > MOST_HEADS:
        faults.append(Fault("PROFILE", str(len(names)), f"up to {MOST_HEADS}", "name fewer"))
    heads = [tried(partial(_shown, name, units), faults) for name in names[:MOST_HEADS]]
    if faults:
        raise BadInputError(faults)
    foot = contact.legend(heads, date.today().isoformat() if options.date else None)
    whole = contact.whole(heads, units)
    lying, sheets = contact.paged(heads, units, foot, paper)
    files = {f"{contact.NAME}.svg": svg.write(pages.fitted(whole, foot), whole)}
    missing, printed = "", f"{contact.NAME}.pdf"
    laid = [
        (drawing, (pages.sheet(drawing, foot, paper, lying, number, len(sheets)),))
        for number, drawing in enumerate(sheets, 1)
    ]
    try:
        files[printed] = pdf.write(laid, contact.TITLE_TEXT)
    except MissingLibraryError as error:
        missing = str(error)
    folder = Path("output") / "shelf" if options.to is None else Path(options.to)
    output.write(folder, files)
    count = f"{len(heads)} head{'s' if len(heads) > 1 else ''}"
    on = f"{len(sheets)} sheet{'s' if len(sheets) > 1 else ''}"
    print(f"{count} at 1 : {contact.SCALE} on {on}: {' and '.join(files)} in {folder}{os.sep}")
    print("Pictures to choose by, not patterns; for patterns: eyewrap draw NAME")
    if not missing:
        return DONE
    sys.stdout.flush()
    print(f"\n{printed} was not made: {missing}", file=sys.stderr)
    aside = output.set_aside(folder, printed)
    if aside is not None:
        print(f"The {printed} of an earlier run is now {aside.name}.", file=sys.stderr)
    return STOPPED


def _shown(name: str, units: str) -> Shown:
    """One head; its faults bear its name."""
    from ..contact import Shown
    from ..head import finish
    from ..profiles import load

    try:
        profile = load(name, (), units)
        return Shown(profile.slug, finish(profile.design, units))
    except BadInputError as error:
        short = name[:60] if name[:60].strip() and name[:60].isprintable() else repr(name[:60])
        raise BadInputError(
            dataclasses.replace(fault, field=f"{short}, {fault.field}") for fault in error.faults
        ) from None
