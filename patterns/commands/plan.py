"""``eyewrap plan``: the figures of a head."""

from __future__ import annotations

import argparse
import sys

from .common import (
    DONE,
    STOPPED,
    Commands,
    add_profile,
    add_short,
    command,
    planned,
    say,
    units_of,
)

EXAMPLES = """\
examples:
  eyewrap plan belt-hatchet
  eyewrap plan belt-hatchet --settings
  eyewrap plan belt-hatchet --json --set "bar.section=1/2 x 1 1/4 in"
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "plan", _plan, brief="print the figures only",
        description="Print the figures of a head; write no files.", epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser)
    add_short(parser, "--finest")
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")
    parser.add_argument(
        "--piece", action="store_true", help="bar and marks as TOML, for: eyewrap predict FILE"
    )  # fmt: skip
    parser.add_argument("--settings", action="store_true", help="every parameter with its value")


def _plan(options: argparse.Namespace) -> int:
    from .. import report

    units, faults = units_of(options)
    profile, forge = planned(options, units, faults)
    if options.json:
        sys.stdout.flush()
        sys.stdout.buffer.write(report.as_json(profile, forge))
    elif options.piece:
        from ..piece import as_toml
        from ..sensitivity import piece_of

        sys.stdout.write(as_toml(piece_of(forge).piece))
    elif options.settings:
        say(report.settings(profile, units))
    else:
        say(report.summary(forge, units))
    return STOPPED if forge.stopped else DONE
