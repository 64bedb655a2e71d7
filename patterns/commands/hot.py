"""``eyewrap hot``: what a measure reads while the iron is hot."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_profile,
    command,
    heat_of,
    length_of,
    planned,
    say,
    titled,
    units_of,
)

if TYPE_CHECKING:
    from ..blank import ForgePlan
    from ..fire import Heat

EXAMPLES = """\
examples:
  eyewrap hot belt-hatchet
  eyewrap hot belt-hatchet --at orange
  eyewrap hot camp-axe --at "850 C" --at "1000 C" --units mm
  eyewrap hot --length "8 in" --at orange

A colour is a range, since tables of heat colours disagree. Without --at, three colours by one table
are shown, as on the sheets.
"""

BY_ONE_TABLE = (
    "Each at the middle of its range by this one table; others put a colour up to 200 C away. With "
    "--at, a colour is a range over all tables."
)

WIDEST = 100
"""Of a line of the table [characters]."""

SHORTEST, LONGEST = 0.1, 5000.0
"""Of a single length [mm]: what is measured at all, and more than any bar lifted to the fire."""


def add(commands: Commands) -> None:
    parser = command(
        commands, "hot", _hot, brief="tell what each measure reads hot",
        description="Tell what every stage measure of a head, or one length, reads at a heat; "
        "write no files.", epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser, optional=True)
    parser.add_argument("--length", metavar="LENGTH", help="one length, in place of a PROFILE")
    parser.add_argument("--at", metavar="HEAT", action="append", default=[],
                        help='a colour, as orange, or a temperature, as "1000 C" or "1800 F"; may '
                        "be given again")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and deg C")


def _hot(options: argparse.Namespace) -> int:
    from ..fire import sheet_heats

    units, faults = units_of(options)
    heats = [heat for text in options.at if (heat := heat_of("--at", text, units, faults))]
    by_one_table = not options.at
    if by_one_table:
        heats = list(sheet_heats())
    if options.length is not None:
        if options.profile is not None or options.changes:
            both = "a PROFILE or --length, not both"
            faults.append(Fault("--length", repr(options.length[:60]), both, "leave one out"))
        cold = length_of("--length", options.length, SHORTEST, LONGEST, units, faults)
        if faults or cold is None:
            raise BadInputError(faults)
        say(_one_json(cold, heats) if options.json else _one(cold, heats, units))
        return DONE
    if options.profile is None:
        faults.append(Fault("PROFILE", "nothing", "a PROFILE, or --length",
                            "name a head (see: eyewrap list) or give one length"))  # fmt: skip
        raise BadInputError(faults)
    _, forge = planned(options, units, faults)
    if options.json:
        say([_plan_json(forge, heats)])
    else:
        say(_plan(forge, heats, units, by_one_table))
    return STOPPED if forge.stopped else DONE


# One length --------------------------------------------------------------------------------------


def _one(cold: float, heats: Sequence[Heat], units: str) -> list[str]:
    from ..fire import bounds, cold_of, reading
    from ..units import both

    rows = [("Length", both(cold, units))]
    for heat in heats:
        known = "; hotter than 1200 C (2190 F) is not known" if heat.open else ""
        there, back = reading(cold, heat), cold_of(cold, heat)
        less = " or less" if heat.open else ""
        rows += [
            ("Heat", heat.shown(units) + known),
            ("If cold", f"at this heat it reads {bounds(there, units, heat.open)}"),
            ("If hot", f"cold it will be {bounds(back, units)}{less}"),
        ]
    return titled(rows)


def _one_json(cold: float, heats: Sequence[Heat]) -> list[str]:
    from dataclasses import asdict

    from ..fire import cold_of, heat_data, reading

    data = {
        "units": {"length": "mm", "temperature": "deg C"},
        "length": cold,
        "heats": [
            {**heat_data(heat), "cold_reads_hot": asdict(reading(cold, heat)),
             "hot_is_cold": asdict(cold_of(cold, heat))}
            for heat in heats
        ],
    }  # fmt: skip
    return [json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False)]


# A plan ------------------------------------------------------------------------------------------


def _plan(forge: ForgePlan, heats: Sequence[Heat], units: str, by_one_table: bool) -> list[str]:
    lines = [f"{forge.design.name}: what the measures read hot"]
    left = list(heats)
    while left:  # as many heats beside each other as a terminal is wide
        for count in range(len(left), 0, -1):
            table = _table(forge, left[:count], units, by_one_table)
            if max(map(len, table)) <= WIDEST:
                break
        lines += ["", *table]
        left = left[count:]
    lines.append("")
    lines += titled([("Heat", heat.shown(units)) for heat in heats if heat.tables])
    if by_one_table:
        lines += titled([("", BY_ONE_TABLE)])
    elif any(heat.open for heat in heats):
        lines += titled([("", "Expansion is known up to 1200 C (2190 F) only.")])
    return lines


def _table(forge: ForgePlan, heats: Sequence[Heat], units: str, by_one_table: bool) -> list[str]:
    from ..fire import hot_table, reading, span_text
    from ..units import length

    table: list[tuple[str, ...]] = []
    for stage in forge.stages:
        if by_one_table:
            rows = hot_table(stage.lengths, heats, units)
        else:
            rows = [("", "cold", *(heat.name for heat in heats))] + [
                (name, length(cold, units),
                 *(span_text(reading(cold, heat), units, heat.open) for heat in heats))
                for name, cold in stage.lengths
            ]  # fmt: skip
        if not table:
            table.append(rows[0])
        table.append((stage.name, *[""] * (len(heats) + 1)))
        table += [(f"  {name}", *cells) for name, *cells in rows[1:]]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    lines = []
    for name, *cells in table:
        row = "  ".join(f"{c:>{w}}" for c, w in zip(cells, widths[1:], strict=True))
        lines.append(f"{name:<{widths[0]}}  {row}".rstrip())
    return lines


def _plan_json(forge: ForgePlan, heats: Sequence[Heat]) -> str:
    from dataclasses import asdict

    from ..fire import heat_data, reading

    data = {
        "units": {"length": "mm", "temperature": "deg C"},
        "name": forge.design.name,
        "heats": [heat_data(heat) for heat in heats],
        "stages": [
            {
                "stage": stage.name,
                "checks": [
                    {"measure": name, "cold": cold,
                     "hot": [asdict(reading(cold, heat)) for heat in heats]}
                    for name, cold in stage.lengths
                ],
            }
            for stage in forge.stages
        ],
    }  # fmt: skip
    return json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False)
