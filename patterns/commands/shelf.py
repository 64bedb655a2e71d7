"""``eyewrap list`` and ``eyewrap keys``: what there is, and what can be said of a head."""

from __future__ import annotations

import argparse

from ..errors import BadInputError
from .common import DONE, Commands, add_units, command, units_of


def add(commands: Commands) -> None:
    command(commands, "list", _list, brief="list the shipped head designs")
    keys = command(
        commands, "keys", _keys, brief="list every key of a profile, with limits and help"
    )
    add_units(keys)


def _list(options: argparse.Namespace) -> int:
    from ..profiles import load, shipped

    for name in shipped():
        design = load(name).design
        print(f"{name:<16}{design.name}: {design.note}")
    return DONE


def _keys(options: argparse.Namespace) -> int:
    from ..parameters import specs

    units, faults = units_of(options)
    if faults:
        raise BadInputError(faults)
    for key, spec in specs():
        need = "required" if spec.required else f"default {spec.default_text or 'none'}"
        print(f"{key}  ({need})")
        print(f"    {spec.label}: {spec.help}")
        print(f"    {spec.limits(units)}")
    return DONE
