"""``eyewrap template``: the parts to cut for a head, as files for a shop or one's own table."""

from __future__ import annotations

import argparse
import difflib
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_kerf,
    add_process,
    add_profile,
    add_short,
    add_style,
    aside,
    command,
    every_fault,
    layers_of,
    planned,
    process_of,
    say,
    style_of,
    units_of,
)

if TYPE_CHECKING:
    from ..part_files import PartFile

EXAMPLES = """\
examples:
  eyewrap template belt-hatchet
  eyewrap template belt-hatchet --process plasma --thickness "3/16 in"
  eyewrap template belt-hatchet --process waterjet --letters stencil --parts blank,head
  eyewrap template my-axe.toml --process plasma --thickness "10 ga" --offset --lead --to table

Every opening is as wide as the process needs it in that sheet; a part that cannot be cut so is
refused, with what to change, and the others are written. Before they go out: eyewrap check FOLDER,
eyewrap proof FOLDER. Several on a sheet: eyewrap nest FOLDER.
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "template", _template, brief="cut templates and bit blanks: DXF for a shop",
        description="Write a head's parts to cut, one DXF each: the blank's template, the head's "
        "outline with the eye's window, bit and poll plate, gauges for strap and edge, plates of "
        "the drift's section; with their list, parts.json, and a note for the cutter.",
        epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser)
    add_short(parser, "--finest")
    add_process(parser)
    add_kerf(parser)
    parser.add_argument("--letters", metavar="KIND", help="mark, stencil (cut through, held by "
                        "bridges) or none; marked if the process can, else none")  # fmt: skip
    parser.add_argument("--parts", metavar="NAMES", help="which: all, or names with commas "
                        "between, as blank,bit; the usual ones, if not given")  # fmt: skip
    add_style(parser)
    parser.add_argument("--to", metavar="FOLDER", help="where the files go; output/NAME-to-cut, if "
                        "not given")  # fmt: skip


def _template(options: argparse.Namespace) -> int:
    from .. import output, report
    from ..layers import OWN

    units, faults = units_of(options)
    rules = process_of(options, units, faults)
    style = style_of(options, units, rules, layers_of(options, units, faults) or OWN, faults)
    names = _names(options.parts, faults)
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    way = None
    if rules is not None:
        from ..templates import way_of

        letters = None if options.letters is None else options.letters.strip().lower()
        try:
            way = way_of(rules, letters, units)
        except BadInputError as error:
            faults += error.faults
    profile, forge = every_fault(faults, lambda: planned(options, units))
    if forge.stopped:
        say(report.summary(forge, units))
        sys.stdout.flush()
        print("\nStopped: nothing was written. Change what is marked STOP.", file=sys.stderr)
        return STOPPED
    assert rules is not None
    assert way is not None
    from ..part_files import part_files

    found = part_files(forge, way, style, names, usual_lead=options.lead == "",
                       kerf=None if options.kerf is None else rules.kerf)  # fmt: skip
    lost = [why for _, why in found.missing]
    if not found.made:
        for message in lost or ["this head has none of the parts that were named"]:
            print(f"Not made: {message}", file=sys.stderr)
        print("Nothing was written.", file=sys.stderr)
        return STOPPED
    default = Path("output") / f"{profile.slug}-to-cut"
    folder = default if options.to is None else Path(options.to)
    old = _files_there(folder)
    output.write(folder, found.files)
    moved = aside(folder, [name for name in old if name not in found.files])
    _say(found.made, folder, units)
    sys.stdout.flush()
    for message in (*(f"Not made: {message}" for message in lost), *moved):
        print(f"\n{message}", file=sys.stderr)
    return STOPPED if lost else DONE


def _say(made: Sequence[PartFile], folder: Path, units: str) -> None:
    from ..units import counted, fine

    wide = max(len(one.name) for one in made)
    for one in made:
        box = one.template.part.cuts[0].bounds
        size = f"{fine(box.width, units)} x {fine(box.height, units)}"
        say([f"{one.name:<{wide}}  {size}, of {one.template.stock}"])
    print(f"\n{counted(len(made), 'part')} in {folder}{os.sep}, with parts.json and "
          "for-the-cutter.txt")  # fmt: skip
    print(f"Before they go out: eyewrap check {folder}")


def _names(asked: str | None, faults: list[Fault]) -> list[str] | None:
    """The names of the parts that are asked for; a fault is added for each that there is none."""
    from ..templates import NAMES

    if asked is None:
        return None
    names = [name.strip().lower() for name in asked.split(",")]
    if names == ["all"]:
        return list(NAMES)
    for name in dict.fromkeys(names):
        if name not in NAMES:
            near = difflib.get_close_matches(name[:40], NAMES, n=1)
            faults.append(
                Fault("--parts", repr(name[:60]), f"all, {', '.join(NAMES)}",
                      f"did you mean {near[0]}?" if near else "choose among these")
            )  # fmt: skip
    return names


def _files_there(folder: Path) -> list[str]:
    """The files of an earlier list in a folder; none if there is no list."""
    from .. import cut_set

    try:
        return [item.file for item in cut_set.load(folder).items]
    except BadInputError:
        return []
