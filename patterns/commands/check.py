"""``eyewrap check``: whether a DXF may go to the cutter, and what it comes to."""

from __future__ import annotations

import argparse
import dataclasses
import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import BAD_INPUT, DONE, Commands, add_units, command, say, tried, units_of, watched

if TYPE_CHECKING:
    from ..check_report import Entry
    from ..cut_set import Item
    from ..layers import Layers
    from ..processes import Rules

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
    parser.add_argument("--process", metavar="PROCESS",
                        help="how it will be cut; see: eyewrap processes")  # fmt: skip
    parser.add_argument("--thickness", metavar="SIZE",
                        help='of the sheet, as "3/16 in", "1.5 mm" or "16 ga"')  # fmt: skip
    parser.add_argument("--layers", metavar="FILE", help="names of the layers, in CSV, where they "
                        "are not CUT and MARK")  # fmt: skip
    parser.add_argument("--json", action="store_true",
                        help="all figures as JSON, in mm, mm2, g and s")  # fmt: skip
    add_units(parser)


def _check(options: argparse.Namespace) -> int:
    from .. import check_report
    from ..layers import OWN, load

    units, faults = units_of(options)
    asked = _asked(options, units, faults)
    layers: Layers | None = OWN
    if options.layers is not None:
        layers = tried(lambda: load(Path(options.layers), units), faults)
    files = [pair for text in options.files for pair in tried(partial(_files, text), faults) or ()]
    if len(files) > MOST_FILES:
        faults.append(Fault("FILE", str(len(files)), f"up to {MOST_FILES}",
                            "check some of them first"))  # fmt: skip
        files = []
    entries: list[Entry] = []
    with watched() as doing:
        for path, item in files:
            doing(path.name)
            entry = tried(partial(_checked, path, item, asked, layers or OWN, units), faults)
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


def _asked(
    options: argparse.Namespace, units: str, faults: list[Fault]
) -> tuple[str | None, float | None]:
    """Process and thickness [mm] as the options have them; neither, if they are at fault."""
    from ..processes import find, read_thickness, rules, unknown
    from ..units import NotALengthError

    process, thickness = options.process, None
    if process is not None and find(process) is None:
        faults.append(unknown(process))
        process = None
    if options.thickness is not None:
        try:
            thickness = read_thickness(options.thickness)
        except NotALengthError as error:
            faults.append(Fault("--thickness", repr(options.thickness[:60]), str(error),
                                "measure the sheet, or say its gauge"))  # fmt: skip
    if process is not None and thickness is not None:
        tried(partial(rules, process, thickness, units), faults)
    return (None, None) if faults else (process, thickness)


def _files(text: str) -> list[tuple[Path, Item | None]]:
    """The files that an argument names, each with its row of the list beside it."""
    from .. import cut_set

    path = Path(text)
    if not path.is_dir():
        return [(path, _listed(path))]
    try:
        listed = (path / cut_set.NAME).is_file()
        if listed:
            return [(path / item.file, item) for item in cut_set.load(path).items]
        found = sorted(each for each in path.iterdir() if each.suffix.lower() == ".dxf")
    except OSError as error:
        raise BadInputError([Fault(text, error.strerror or str(error), "a folder of DXF files",
                                   "name another")]) from None  # fmt: skip
    if not found:
        raise BadInputError([Fault(text, "a folder without a .dxf file", "a folder of DXF files",
                                   "name another")])  # fmt: skip
    return [(each, None) for each in found]


def _listed(path: Path) -> Item | None:
    """The file's row in a list beside it; None if there is no list, or it is of something else."""
    from .. import cut_set

    try:
        return cut_set.load(path.parent).item(path.name) if path.name else None
    except BadInputError:
        return None


def _checked(
    path: Path, item: Item | None, asked: tuple[str | None, float | None], layers: Layers,
    units: str,
) -> Entry:  # fmt: skip
    from ..check_report import Entry
    from ..cut_check import check
    from ..cut_file import read

    faults: list[Fault] = []
    rules = tried(partial(_rules, path, item, asked, units), faults)
    found = tried(partial(read, path, layers), faults)
    if faults:
        raise BadInputError(faults)
    checked = check(found, rules, item.kerf if item else 0.0)
    return Entry(checked, item.title if item else "", item.quantity if item else 1)


def _rules(
    path: Path, item: Item | None, asked: tuple[str | None, float | None], units: str
) -> Rules | None:
    """The rules for a file, by the options or by its row; None where neither says a process."""
    from .. import processes

    process, thickness = asked
    if process is None and item is not None and not item.process:
        return None  # sawn off a bar
    if process is None and item is not None:
        process = item.process
    if thickness is None and item is not None:
        thickness = item.thickness
    if process is None and thickness is None:
        return None
    if process is None or thickness is None:
        lacking = "--process" if process is None else "--thickness"
        raise BadInputError([Fault(lacking, "nothing", "both or neither of --process and "
                                   "--thickness, for a file that no list has",
                                   "say it too")])  # fmt: skip
    try:
        return processes.rules(process, thickness, units)
    except BadInputError as error:
        raise BadInputError(
            dataclasses.replace(fault, field=f"{fault.field.removeprefix('--')} of {path.name}")
            for fault in error.faults
        ) from None
