"""``eyewrap steels``: forging and heat treatment of bit and body steels, source by source."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import DONE, Commands, add_units, command, say, units_of

if TYPE_CHECKING:
    from ..steels import Steel

EXAMPLES = """\
examples:
  eyewrap steels
  eyewrap steels 1084
  eyewrap steels W1 --hrc 54-58 --units mm
"""

_NUMBER = r"([0-9]{1,3}(?:\.[0-9]{1,3})?)"
_HARDNESS = re.compile(rf"\s*{_NUMBER}(?:\s*(?:-|to|\u2013)\s*{_NUMBER})?\s*(?:hrc)?\s*", re.I)


def add(commands: Commands) -> None:
    parser = command(
        commands, "steels", _steels, brief="forging and heat treatment of bit and body steels",
        description="Without a name, a table of the steels known. With one, its sheet: forging, "
        "normalising, annealing, hardening, and where to temper for the hardness wanted, as each "
        "source has it.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("name", metavar="NAME", nargs="*", help="a steel, as the dealer names it")
    parser.add_argument("--hrc", metavar="HRC",
                        help="hardness wanted of the edge, as 56 or 54-58; one number is taken "
                        "1 HRC either way (default: what is usual of axes)")  # fmt: skip
    parser.add_argument("--json", action="store_true",
                        help="all figures as JSON, in deg C, mm and HRC")  # fmt: skip
    add_units(parser)


def _steels(options: argparse.Namespace) -> int:
    from .. import steel_report
    from ..heat_treatment import temper_for
    from ..steels import find, steels

    units, faults = units_of(options)
    wanted, wrong = _wanted(options.hrc)
    faults += wrong
    name = " ".join(options.name).strip()
    steel = find(name)
    if options.name and steel is None:
        faults.append(_unknown(name))
    if steel is not None and options.hrc is not None and not wrong:
        faults += _not_reached(steel, wanted, options.hrc)
    if faults:
        raise BadInputError(faults)
    if steel is not None:
        temper = temper_for(steel, *wanted)
        if options.json:
            say([steel_report.as_json(steel_report.data(steel, temper))])
        else:
            say(steel_report.sheet(steel, temper, units))
        return DONE
    every = [(each, temper_for(each, *wanted)) for each in steels()]
    if options.json:
        say([steel_report.as_json([steel_report.data(*each) for each in every])])
    else:
        say(steel_report.table(every, units))
    return DONE


# What is asked -----------------------------------------------------------------------------------


def _wanted(text: str | None) -> tuple[tuple[float, float], list[Fault]]:
    from ..heat_treatment import HARDNESS_TOLERANCE, SCALE_ENDS, edge_hardness_usual

    usual = edge_hardness_usual()
    if text is None:
        return usual, []
    found = _HARDNESS.fullmatch(text)
    low, high = SCALE_ENDS
    allowed = f"one number or two, {low:g} to {high:g}, as 56 or 54-58"
    if found is None:
        return usual, [Fault("--hrc", repr(text[:60]), allowed, "write numbers only")]
    first, last = float(found[1]), float(found[2] or found[1])
    if not (low <= min(first, last) and max(first, last) <= high):
        return usual, [Fault("--hrc", repr(text[:60]), allowed, "the Rockwell C scale ends there")]
    if first > last:
        return usual, [Fault("--hrc", repr(text[:60]), "the softer number first",
                             f"write {last:g}-{first:g}")]  # fmt: skip
    if found[2] is None:
        return (first - HARDNESS_TOLERANCE, last + HARDNESS_TOLERANCE), []
    return (first, last), []


def _unknown(name: str) -> Fault:
    from ..steels import close_names, steels

    near = close_names(name)
    change = f"did you mean {' or '.join(near)}?" if near else "see: eyewrap steels"
    known = ", ".join(steel.name for steel in steels())
    return Fault("NAME", repr(name[:60]), f"one of {known}", change)


def _not_reached(steel: Steel, wanted: tuple[float, float], given: str) -> list[Fault]:
    from ..heat_treatment import reach, temper_for

    span = reach(steel)
    if span is None:
        return [Fault("--hrc", repr(given[:60]), f"no hardness: {steel.name} has no tempering data",
                      "leave --hrc out, or take a bit steel")]  # fmt: skip
    if temper_for(steel, *wanted).windows:
        return []
    return [
        Fault("--hrc", repr(given[:60]),
              f"{span[0]:g} to {span[1]:g} HRC, as far as the data of {steel.name} reach",
              "nothing is guessed beyond them: ask for less, or take another steel")
    ]  # fmt: skip
