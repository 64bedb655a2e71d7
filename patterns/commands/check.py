"""``eyewrap check``: whether a DXF may go to the cutter, and what it comes to."""

from __future__ import annotations

import argparse
import json
from functools import partial
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import (
    BAD_INPUT,
    DONE,
    Commands,
    add_layers,
    add_process,
    add_units,
    command,
    files_of,
    layers_of,
    say,
    told_process,
    tried,
    units_of,
    watched,
)

if TYPE_CHECKING:
    from ..check_report import Entry
    from ..cut_set import Listed
    from ..layers import Layers

EXAMPLES = """\
examples:
  eyewrap check my-set
  eyewrap check my-set/blank-in.dxf
  eyewrap check other.dxf --process laser --thickness "16 ga" --units mm
  eyewrap check other.dxf --layers shop.csv --json

SET is a folder. Its list, parts.json, says by which process and from how thick a sheet each file is
cut; without a list every .dxf in it is checked. --process and --thickness stand above the list.
Exit codes: 0 no fault, doubts or not; 2 a fault, or bad input.
"""

MOST_FILES = 200


def add(commands: Commands) -> None:
    parser = command(
        commands, "check", _check, brief="whether a DXF may go to the cutter",
        description="Read DXF files back and tell what makes them unfit to cut: units, size, open "
        "or crossing contours, lines that are there twice, what is no line or arc, holes, slots "
        "and webs against the rules of the process. With cut length, pierces, area, mass, time, "
        "and by how much each length may be off.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("files", metavar="FILE|SET", nargs="+",
                        help="a DXF file, or a folder of them")  # fmt: skip
    add_process(parser, listed=True)
    add_layers(parser)
    parser.add_argument("--json", action="store_true",
                        help="all figures as JSON, in mm, mm2, g and s")  # fmt: skip
    add_units(parser)


def _check(options: argparse.Namespace) -> int:
    from .. import check_report

    units, faults = units_of(options)
    told = told_process(options, units, faults)
    layers = layers_of(options, units, faults)
    files = [one for text in options.files for one in files_of(text, faults)]
    if len(files) > MOST_FILES:
        faults.append(Fault("FILE", str(len(files)), f"up to {MOST_FILES}",
                            "check some of them first"))  # fmt: skip
        files = []
    entries: list[Entry] = []
    with watched() as doing:
        for one in files:
            doing(one.path.name)
            entry = tried(partial(_checked, one, told, layers, units), faults)
            if entry is not None:
                entries.append(entry)
    if faults:
        raise BadInputError(dict.fromkeys(faults))  # each once
    if options.json:
        found = check_report.data(entries)
        say([json.dumps(found, indent=2, allow_nan=False, ensure_ascii=False)])
    else:
        say(check_report.lines(entries, units))
    return DONE if all(entry.checked.fit for entry in entries) else BAD_INPUT


def _checked(
    one: Listed, told: tuple[str | None, float | None], layers: Layers | None, units: str
) -> Entry:
    from ..check_report import Entry
    from ..cut_check import check
    from ..cut_file import read

    faults: list[Fault] = []
    rules = tried(partial(one.rules, *told, units), faults)
    found = tried(partial(read, one.path, layers or one.layers), faults)
    if faults:
        raise BadInputError(faults)
    item = one.item
    checked = check(found, rules, item.kerf if item else 0.0)
    if item is None:
        return Entry(checked)
    return Entry(checked, item.title, item.quantity, rules is None and not item.process)
