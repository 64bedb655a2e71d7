"""``eyewrap cut``: how to saw the bars on hand into the pieces for several heads."""

from __future__ import annotations

import argparse
import dataclasses
import json
import sys
from functools import partial
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_rack,
    add_smith,
    add_units,
    command,
    planned,
    rack_of,
    say,
    tried,
    units_of,
)

if TYPE_CHECKING:
    from ..profiles import Profile

EXAMPLES = """\
examples:
  eyewrap cut belt-hatchet=3 camp-axe=2 --rack rack.csv
  eyewrap cut belt-hatchet=3 my-axe.toml=1 --rack rack.csv --kerf "3/32 in" --units mm

What a rack holds: eyewrap choose --help. A piece may be sawn from any bar that can make its head.
Waste is the mass of the bars that are cut into, less that of the pieces. Of the lists that waste
least, the one of fewest bars is given, and of these the one with the longest single end left.
"""

MOST_HEADS = 12


def add(commands: Commands) -> None:
    parser = command(
        commands, "cut", _cut, brief="saw the bars on hand into the pieces for several heads",
        description="Tell which bars of the rack to saw into what, with the least waste; write no "
        "files.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("heads", metavar="PROFILE=COUNT", nargs="+",
                        help="a head and how many pieces, as belt-hatchet=3")  # fmt: skip
    add_rack(parser)
    add_smith(parser)
    add_units(parser)
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")


def _cut(options: argparse.Namespace) -> int:
    from .. import cutlist, rack_report
    from ..choice import choose

    units, faults = units_of(options)
    bars, kerf = rack_of(options, units, faults)
    wanted: dict[str, tuple[int | None, Profile | None]] = {}
    for text in options.heads[:MOST_HEADS]:
        name, equals, count = text.rpartition("=")
        if not equals:
            name, count = text, ""
        if name in wanted:
            faults.append(Fault(_shown(name), "the same head twice", "each head once",
                                "add the two together"))  # fmt: skip
            continue
        pieces = tried(partial(cutlist.read_pieces, count, f"{_shown(name)}, pieces"), faults)
        wanted[name] = pieces, tried(partial(_profile, options, name, units), faults)
    if len(options.heads) > MOST_HEADS:
        faults.append(Fault("heads", str(len(options.heads)), f"up to {MOST_HEADS}",
                            "saw for some of them first"))  # fmt: skip
    if faults:
        raise BadInputError(faults)
    assert bars is not None
    assert kerf is not None
    orders = []
    for name, (pieces, profile) in wanted.items():
        assert pieces is not None
        assert profile is not None
        choices = choose(profile.design, bars, kerf, units)
        label = profile.slug if name.endswith(".toml") else name
        orders.append(cutlist.order_of(label, pieces, choices))
    try:
        found = cutlist.cut_list(orders, bars, kerf)
    except cutlist.OutOfTimeError as error:
        print(f"Stopped: {error}; ask for fewer heads at once.", file=sys.stderr)
        return STOPPED
    if options.json:
        data = {"units": {"length": "mm", "mass": "g"}}
        data |= rack_report.cut_data(orders, found, kerf)
        say([json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False)])
    else:
        say(rack_report.cut_lines(orders, found, kerf, units))
    return STOPPED if found.missing else DONE


def _shown(name: str) -> str:
    """A head's name in a message."""
    return name[:60] if name[:60].strip() and name[:60].isprintable() else repr(name[:60])


def _profile(options: argparse.Namespace, name: str, units: str) -> Profile:
    """One of the heads; its faults bear its name."""
    try:
        one = argparse.Namespace(**{**vars(options), "profile": name, "changes": []})
        return planned(one, units)[0]
    except BadInputError as error:
        shown = _shown(name)
        raise BadInputError(
            dataclasses.replace(fault, field=f"{shown}, {fault.field}") for fault in error.faults
        ) from None
