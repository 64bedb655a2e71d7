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
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_kerf,
    add_layers,
    add_process,
    add_units,
    command,
    files_of,
    kerf_of,
    layers_of,
    told_process,
    tried,
    units_of,
)

if TYPE_CHECKING:
    from ..cut_file import CutFile
    from ..cut_set import Listed
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
    add_process(parser, listed=True)
    add_kerf(parser)
    parser.add_argument("--on-line", action="store_true", help="the file allows for the kerf: the "
                        "middle of the cut follows its lines; a set says so itself")  # fmt: skip
    add_layers(parser)
    parser.add_argument("--paper", default="letter", metavar="SIZE",
                        help="letter (default), a4, legal, tabloid, a3, a size as 18x24in, or a "
                        "roll's width as 36in")  # fmt: skip
    parser.add_argument("--no-pdf", action="store_true", help="the SVG alone, which is one "
                        "page however large the sheet is")  # fmt: skip
    parser.add_argument("--to", metavar="DIR", help="the folder to write into; made if need be")
    add_units(parser)


@dataclass(frozen=True)
class _Asked:
    """One file to prove, by which rules and with which kerf [mm] it is cut."""

    file: Listed
    rules: Rules | None
    kerf: float
    on_line: bool


def _proof(options: argparse.Namespace) -> int:
    from .. import output, pages

    units, faults = units_of(options)
    paper = tried(partial(pages.read_paper, options.paper, None, None, units), faults)
    layers = layers_of(options, units, faults)
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    asked = list(_asked(options, units, faults))
    read = list(_read(asked, layers, faults))
    if faults:
        raise BadInputError(faults)
    files, said, stopped = _made(read, paper, options, units)
    folder = read[0][0].file.path.parent if options.to is None else Path(options.to)
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
    kerf = kerf_of(options, units, faults)
    told = told_process(options, units, faults)
    files = files_of(options.file, faults)
    if len(files) > MOST_FILES:
        faults.append(Fault(options.file[:60], f"{len(files)} files", f"1 to {MOST_FILES}",
                            "prove some of them first"))  # fmt: skip
        return
    for one in files:
        own = one.item.kerf if one.item is not None else 0.0
        rules = tried(partial(one.rules, *told, units, kerf or own or None), faults)
        wide = kerf or own or (rules.kerf if rules is not None else 0.0)
        if not wide and one.item is None and not faults:
            faults.append(Fault("--process", "nothing", "the process with the sheet's --thickness, "
                                "or the --kerf", "say how wide the cut is"))  # fmt: skip
        yield _Asked(one, rules, wide, own > 0.0 or options.on_line)


def _read(
    asked: Sequence[_Asked], layers: Layers | None, faults: list[Fault]
) -> Iterator[tuple[_Asked, CutFile]]:
    """The files as they are read; those that cannot be add their faults to the others."""
    from .. import cut_file

    for one in asked:
        path = one.file.path
        found = tried(partial(cut_file.read, path, layers or one.file.layers), faults)
        if found is None:
            continue
        if not found.runs:
            faults.append(Fault(str(path), "nothing to cut or to mark", "lines and arcs",
                                "see: eyewrap check"))  # fmt: skip
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
        filed = one.rules is not None and one.rules.fitted
        stopped += _wrong(found, [] if filed else proof.faults(every, units))
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
    from ..units import counted

    open_cuts = sum(
        run.role in ("outside", "inside") and not run.contour.closed for run in found.runs
    )
    said = [f"{found.name}: {fault}" for fault in faults]
    if open_cuts:
        said.append(f"{found.name}: {open_cuts} to cut, not closed")
    if found.others:
        things = counted(len(found.others), "thing")
        said.append(f"{found.name}: {things} that no cutter should meet; see: eyewrap check")
    if not found.units:
        said.append(f"{found.name}: no unit declared; drawn as if in millimetres")
    return said
