"""``eyewrap choose``: which bar of the rack for this head?"""

from __future__ import annotations

import argparse
import json
import sys

from .common import (
    DONE,
    STOPPED,
    Commands,
    add_profile,
    add_rack,
    command,
    planned,
    rack_of,
    say,
    tried,
    units_of,
)

EXAMPLES = """\
examples:
  eyewrap choose belt-hatchet --rack rack.csv
  eyewrap choose belt-hatchet --rack rack.csv --pieces 6 --kerf "1/16 in"
  eyewrap choose my-axe.toml --rack rack.toml --units mm --json

Of each row: how many bars, the length to cut, how many pieces one bar gives each and all together,
what is left of one bar, and its waste: the share of it that becomes no piece. wall/bar is how thin
the bar is drawn, spread what the ears need beside what drawing gives, poll upset how much thicker
the poll is wanted than the bar leaves it.

A rack in CSV has a first row of headings, then one row for bars that are alike:
  section,length,count,steel,price,currency,name
  3/8 x 1 1/4 in,36 in,2,1018,14.50,EUR,top shelf
  1/2 x 1 in,12 1/2 in,,,,,
Section and length are needed. A heading may carry the unit, as "length [in]"; the price is of one
whole bar. A rack in TOML has the same keys in one [[bar]] table for each row.
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "choose", _choose, brief="choose a bar of the rack for a head",
        description="Tell which bars on hand can make a head, the best first, and why the others "
        "cannot; with --pieces, how to saw that many; write no files. The rest of the profile must "
        "be sound as it is.",
        epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser)
    add_rack(parser)
    parser.add_argument("--pieces", metavar="COUNT",
                        help="of this head: adds the cut list with the least waste")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")


def _choose(options: argparse.Namespace) -> int:
    from .. import rack_report
    from ..choice import choose

    units, faults = units_of(options)
    bars, kerf = rack_of(options, units, faults)
    pieces = None
    if options.pieces is not None:
        from .. import cutlist

        pieces = tried(lambda: cutlist.read_pieces(options.pieces, "--pieces"), faults)
    profile, _ = planned(options, units, faults)
    assert bars is not None
    assert kerf is not None
    choices = choose(profile.design, bars, kerf, units)
    code = DONE if choices[0].can else STOPPED
    data = rack_report.choice_data(profile.design.name, choices, kerf)
    lines = rack_report.choice_lines(profile.design.name, choices, kerf, units)
    if pieces is not None:
        orders = [cutlist.order_of(profile.slug, pieces, choices)]
        try:
            found = cutlist.cut_list(orders, bars, kerf)
        except cutlist.OutOfTimeError as error:
            print(f"Stopped: {error}; ask for fewer pieces.", file=sys.stderr)
            return STOPPED
        data["cut_list"] = rack_report.cut_data(orders, found, kerf)
        lines += ["", *rack_report.cut_lines(orders, found, kerf, units)]
        code = STOPPED if found.missing else code
    if options.json:
        lines = [json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False)]
    say(lines)
    return code
