"""``eyewrap list`` and ``eyewrap keys``: what there is, and what can be said of a head."""

from __future__ import annotations

import argparse
import difflib
import importlib

from ..errors import BadInputError, Fault
from .common import DONE, Commands, add_units, command, units_of

FILES = {
    "profile": ("parameters", "Design"),
    "piece": ("piece", "Piece"),
    "rack": ("rack", "Stock"),
    "log": ("logbook", "Entry"),
    "smith": ("smith", "SmithFile"),
    "handles": ("handles", "Handle"),
}
"""Kinds of files that a smith writes, with the schema of each: module and class."""


def add(commands: Commands) -> None:
    command(commands, "list", _list, brief="list the shipped head designs")
    keys = command(
        commands, "keys", _keys,
        brief="list every key of a profile, or of another file, with limits and help",
    )  # fmt: skip
    keys.add_argument("file", metavar="FILE", nargs="?", default="profile",
                      help=f"which kind of file: {', '.join(FILES)}")  # fmt: skip
    add_units(keys)


def _list(options: argparse.Namespace) -> int:
    from ..profiles import load, shipped

    for name in shipped():
        design = load(name).design
        print(f"{name:<18}{design.name}: {design.note}")
    return DONE


def _keys(options: argparse.Namespace) -> int:
    from ..schema import specs

    units, faults = units_of(options)
    if options.file not in FILES:
        close = difflib.get_close_matches(options.file[:40], FILES, n=1)
        hint = f"did you mean {close[0]}?" if close else "choose one"
        faults.append(Fault("FILE", repr(options.file[:40]), ", ".join(FILES), hint))
    if faults:
        raise BadInputError(faults)
    module, name = FILES[options.file]
    schema = getattr(importlib.import_module(f"..{module}", __package__), name)
    for key, spec in specs(schema):
        need = "required" if spec.required else f"default {spec.default_text or 'none'}"
        print(f"{key}  ({need})")
        print(f"    {spec.label}: {spec.help}")
        print(f"    {spec.limits(units)}")
    return DONE
