"""``eyewrap proof``: what the cutter will do with a file, drawn from the file, at true size."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault, MissingLibraryError
from .common import DONE, STOPPED, Commands, add_units, command, length_of, tried, units_of

if TYPE_CHECKING:
    from ..cut_file import CutFile
    from ..layers import Layers
    from ..pages import Paper
    from ..processes import Rules

EXAMPLES = """\
examples:
  eyewrap proof blank-in.dxf --process plasma --thickness "3/16 in"
  eyewrap proof head-mm.dxf --kerf "0.2 mm" --units mm --paper a4
  eyewrap proof output/belt-hatchet --paper 36in --to proofs
  eyewrap proof blank-in.dxf --kerf "1.6 mm" --on-line

A set is its folder, or its parts.json: process, thickness and kerf of each file stand there. Of a
file alone they are to be said: the process with the sheet's thickness, or the kerf, or both.
"""

MANY = 24
"""More sheets than this for one file are worth a word."""
MOST_FILES = 200


def add(commands: Commands) -> None:
    parser = command(
        commands, "proof", _proof, brief="draw what the cutter will do with a file: SVG and PDF",
        description="Read a DXF back and draw at true size what the machine will do with it: the "
        "kerf, what falls out, marks, pierces, order and sizes. Written beside the file, or where "
        "--to says.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("file", metavar="FILE", help="a DXF file, or a set: its folder or its "
                        "parts.json")  # fmt: skip
    parser.add_argument("--process", metavar="NAME",
                        help="laser, plasma, waterjet or hand")  # fmt: skip
    parser.add_argument("--thickness", metavar="SIZE",
                        help='of the sheet, as "3/16 in", "1.5 mm" or "16 ga" (plain sheet '
                        "steel)")  # fmt: skip
    parser.add_argument("--kerf", metavar="LENGTH",
                        help="width of cut, in place of the process's")  # fmt: skip
    parser.add_argument("--on-line", action="store_true", help="the file allows for the kerf: the "
                        "middle of the cut follows its lines; a set says so itself")  # fmt: skip
    parser.add_argument("--layers", metavar="FILE", help="a shop's own table of layers, in "
                        "CSV")  # fmt: skip
    parser.add_argument("--paper", default="letter", metavar="SIZE",
                        help="letter (default), a4, legal, tabloid, a3, a size as 18x24in, or a "
                        "roll's width as 36in")  # fmt: skip
    parser.add_argument("--no-pdf", action="store_true", help="the SVG alone, which is one "
                        "page however large the sheet is")  # fmt: skip
    parser.add_argument("--to", metavar="DIR", help="the folder to write into; made if need be")
    add_units(parser)


@dataclass(frozen=True)
class _Asked:
    """One file to prove: where it is, by which rules and with which kerf [mm] it is cut."""

    path: Path
    rules: Rules | None
    kerf: float
    on_line: bool


def _proof(options: argparse.Namespace) -> int:
    from .. import layers, output, pages

    units, faults = units_of(options)
    paper = tried(partial(pages.read_paper, options.paper, None, None, units), faults)
    table = layers.OWN
    if options.layers is not None:
        table = tried(partial(layers.load, Path(options.layers), units), faults)
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    asked = list(_asked(options, units, faults))
    read = list(_read(asked, table or layers.OWN, faults))
    if faults:
        raise BadInputError(faults)
    files, said, stopped = _made(read, paper, options, units)
    folder = read[0][0].path.parent if options.to is None else Path(options.to)
    output.write(folder, files)
    for line in said:
        print(line)
    listed = ", ".join(files) if len(files) <= 4 else f"{len(files)} files"
    print(f"{listed} in {folder}{os.sep}")
    if stopped:
        sys.stdout.flush()
        for line in stopped:
            print(line, file=sys.stderr)
        return STOPPED
    return DONE


def _asked(options: argparse.Namespace, units: str, faults: list[Fault]) -> Iterator[_Asked]:
    """The files that are meant, each with how it is cut; faults are added to the others."""
    from .. import cut_set

    path = Path(options.file)
    kerf = None
    if options.kerf is not None:
        kerf = length_of("--kerf", options.kerf, 0.01, 10.0, units, faults)
    if not path.is_dir() and path.suffix.lower() != ".json":
        found = _rules(options, kerf, units, faults)
        if kerf is None and found is not None:
            kerf = found.kerf
        yield _Asked(path, found, kerf or 0.0, options.on_line)  # 0 where a fault is told of
        return
    for option in ("process", "thickness"):
        if getattr(options, option) is not None:
            faults.append(Fault(f"--{option}", repr(getattr(options, option)[:60]),
                                "with one file: a set says it itself", "leave it out"))  # fmt: skip
    listed = tried(partial(cut_set.load, path), faults)
    if listed is None:
        return
    folder = path if path.is_dir() else path.parent
    if not listed.items or len(listed.items) > MOST_FILES:
        faults.append(Fault(options.file[:60], f"{len(listed.items)} files",
                            f"1 to {MOST_FILES}"))  # fmt: skip
        return
    from ..processes import rules

    for item in listed.items:
        own = item.kerf or kerf
        by = tried(partial(rules, item.process, item.thickness, units, kerf=own), faults)
        if by is not None:
            on_line = item.kerf > 0.0 or options.on_line
            yield _Asked(folder / item.file, by, by.kerf, on_line)


def _rules(
    options: argparse.Namespace, kerf: float | None, units: str, faults: list[Fault]
) -> Rules | None:
    """The rules of the process for one file; None if no process is named, or one at fault is."""
    from ..processes import read_thickness, rules
    from ..units import NotALengthError

    process, thickness = options.process, options.thickness
    if process is None and thickness is None:
        if options.kerf is None:
            faults.append(Fault("--process", "nothing", "the process with the sheet's --thickness, "
                                "or the --kerf", "say how wide the cut is"))  # fmt: skip
        return None
    if process is None or thickness is None:
        lacks = "--process" if process is None else "--thickness"
        faults.append(Fault(lacks, "nothing", "process and thickness together", "say both"))
        return None
    try:
        thick = read_thickness(thickness)
    except NotALengthError as error:
        faults.append(Fault("--thickness", repr(thickness[:60]), str(error), "write it so"))
        return None
    found: Rules | None = tried(partial(rules, process, thick, units, kerf=kerf), faults)
    return found


def _read(
    asked: Sequence[_Asked], table: Layers, faults: list[Fault]
) -> Iterator[tuple[_Asked, CutFile]]:
    """The files as they are read; those that cannot be add their faults to the others."""
    from .. import cut_file

    for one in asked:
        found = tried(partial(cut_file.read, one.path, table), faults)
        if found is None:
            continue
        if not found.runs:
            faults.append(Fault(str(one.path), "nothing to cut or to mark", "lines and arcs"))
        yield one, found


def _made(
    read: Sequence[tuple[_Asked, CutFile]], paper: Paper, options: argparse.Namespace, units: str
) -> tuple[dict[str, bytes], list[str], list[str]]:
    """The files' bytes by name, what to say of them, and what stops the work."""
    from .. import pages, proof
    from ..writers import pdf, svg

    files: dict[str, bytes] = {}
    said, stopped = list[str](), list[str]()
    for one, found in read:
        drawing = proof.draw(found, one.rules, one.kerf, units, on_line=one.on_line)
        foot = proof.legend(found, one.rules, one.kerf, units)
        name = _free(proof.name_of(found), files)
        files[f"{name}.svg"] = svg.write(pages.fitted(drawing, foot), drawing)
        every = proof.cuts(found, one.kerf, on_line=one.on_line)
        said.append(f"{found.name}: {proof.facts(found, every, one.rules, one.kerf, units)[1]}")
        stopped += _wrong(found, proof.faults(every, units))
        if options.no_pdf:
            continue
        laid = pages.lay(drawing, foot, paper)
        if len(laid) > MANY:
            said.append(f"  {len(laid)} sheets of {paper.name}: a roll takes fewer, as --paper "
                        "36in; --no-pdf leaves them out")  # fmt: skip
        try:
            files[f"{name}.pdf"] = pdf.write([(drawing, laid)], drawing.title)
        except MissingLibraryError as error:
            stopped.append(f"{name}.pdf was not made: {error}")
    return files, said, stopped


def _free(name: str, files: dict[str, bytes]) -> str:
    """A name that no other file of this run has: a set may hold two of one stem."""
    number, found = 2, name
    while f"{found}.svg" in files:
        found, number = f"{name}-{number}", number + 1
    return found


def _wrong(found: CutFile, faults: list[str]) -> list[str]:
    """What a smith must not send off, in words."""
    open_cuts = sum(
        run.role in ("outside", "inside") and not run.contour.closed for run in found.runs
    )
    said = [f"{found.name}: {fault}" for fault in faults]
    if open_cuts:
        said.append(f"{found.name}: {open_cuts} to cut, not closed")
    if found.others:
        said.append(f"{found.name}: {len(found.others)} things that no cutter should meet")
    if not found.units:
        said.append(f"{found.name}: no unit declared; drawn as if in millimetres")
    return said
