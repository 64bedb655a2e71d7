"""``eyewrap draw``: the patterns of a head, written into a folder."""

from __future__ import annotations

import argparse
import difflib
import os
import sys
from collections.abc import Collection
from dataclasses import replace
from datetime import date
from pathlib import Path

from ..errors import BadInputError, Fault
from .common import DONE, STOPPED, Commands, add_profile, command, planned, say, units_of

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

SHORT = {
    "--handle": ("handle.form", "FORM", "straight or curved: as --set handle.form=FORM, and its "
                 "sheet with the everyday ones"),
    "--length": ("handle.length", "LENGTH", "of the handle, from the top of the eye: as --set "
                 "handle.length=LENGTH, and its sheet with the everyday ones"),
}  # fmt: skip
"""Options that stand for one key of the profile; they come after --set."""


def add(commands: Commands) -> None:
    parser = command(
        commands, "draw", _draw,
        brief="write the patterns of a head: PDF to print, SVG, DXF to cut, plan.json",
        description="Write the whole set of a head into output/PROFILE/, or where --to says.",
        epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser)
    parser.add_argument("--to", metavar="DIR", help="the folder to write into; made if need be")
    parser.add_argument(
        "--paper", default="letter", metavar="SIZE",
        help="letter (default), a4, legal, tabloid or a3; nothing is ever scaled to fit",
    )  # fmt: skip
    parser.add_argument(
        "--sheets", metavar="NAMES",
        help="which sheets: all, or names with commas between, as blank,bit; the everyday ones, "
        "if not given",
    )  # fmt: skip
    for option, (_, metavar, what) in SHORT.items():
        parser.add_argument(option, metavar=metavar, help=what)
    parser.add_argument("--date", action="store_true", help="print today's date on the sheets")


def _draw(options: argparse.Namespace) -> int:
    from .. import output, report
    from ..build import build
    from ..pages import check_paper

    units, faults = units_of(options)
    paper = options.paper.strip().lower()
    faults += check_paper(paper)
    sheets = _sheets(options.sheets, faults)
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    short = _short(options, units, faults)
    if short and options.sheets is None:
        sheets = [*sheets, "handle"]
    try:
        profile, forge = planned(options, units, faults)
    except BadInputError as error:
        raise BadInputError(
            [replace(fault, field=short.get(fault.field, fault.field)) for fault in error.faults]
        ) from None
    if forge.stopped:
        say(report.summary(forge, units))
        sys.stdout.flush()
        print("\nStopped: nothing was written. Change what is marked STOP.", file=sys.stderr)
        return STOPPED
    today = date.today().isoformat() if options.date else None
    built = build(profile, units=units, paper=paper, date=today, forge=forge, sheets=sheets)
    folder = Path("output") / profile.slug if options.to is None else Path(options.to)
    written = output.write(folder, built.files)
    left = [_left_over(folder, name, reason) for name, reason in built.missing]
    say(report.summary(forge, units))
    print(f"\n{len(written)} files in {folder}{os.sep}")
    if f"{profile.slug}.pdf" in built.files:
        print("Print the PDF at 100 %, actual size, and measure the check bars.")
    sys.stdout.flush()
    for message in left:
        print(f"\n{message}", file=sys.stderr)
    return STOPPED if built.missing else DONE


def _short(options: argparse.Namespace, units: str, faults: list[Fault]) -> dict[str, str]:
    """Put the options of :data:`SHORT` behind the other changes; returns which key has its value
    from which option."""
    from ..parameters import spec_at

    used = {}
    for option, (key, _, _) in SHORT.items():
        text = getattr(options, option[2:])
        if text is None:
            continue
        if not text.strip():
            limits = spec_at(key).limits(units)
            faults.append(Fault(option, repr(text), limits, "say it, or leave the option out"))
            continue
        options.changes = [*options.changes, f"{key}={text}"]
        used[key] = option
    return used


def _sheets(asked: str | None, faults: list[Fault]) -> Collection[str]:
    """The names of the sheets that are asked for; a fault is added for each that there is none."""
    from ..sheets import EVERYDAY, SHEETS

    if asked is None:
        return EVERYDAY
    known = [sheet.NAME for sheet in SHEETS]
    names = [name.strip().lower() for name in asked.split(",")]
    if names == ["all"]:
        return known
    for name in dict.fromkeys(names):
        if name not in known:
            near = difflib.get_close_matches(name[:40], known, n=1)
            faults.append(
                Fault(
                    "--sheets", repr(name[:60]), f"all, {', '.join(known)}",
                    f"did you mean {near[0]}?" if near else "choose among these",
                )
            )  # fmt: skip
    return names


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
