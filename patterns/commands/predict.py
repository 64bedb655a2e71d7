"""``eyewrap predict``: this bar, these marks, so which eye and which head?"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import BadInputError, Fault
from .common import (
    DONE,
    Commands,
    add_smith,
    add_units,
    command,
    say,
    smith_of,
    titled,
    tried,
    units_of,
)

if TYPE_CHECKING:
    from ..piece import Told

EXAMPLES = """\
examples:
  eyewrap predict --bar "1/2 x 1-1/2 x 8 in" --poll "1 in" --shoulders "4 in"
  eyewrap predict --bar "3/8 x 1 1/4 x 7 3/8 in" --poll "1 in" --shoulders "3 3/8 in" \\
                  --wall "3/16 in" --ears "1 3/4 in" --width "5/8 in" --want "4 1/4 in"
  eyewrap predict --fold round --bar "1/4 x 1-1/4 x 6 in" --poll "0 in" --shoulders "2 in"
  eyewrap predict piece.toml --set hand.spread=1.2
  eyewrap plan belt-hatchet --piece > piece.toml

Marks are told as they lie: --poll between the two poll marks on the outer face, --shoulders
between the two shoulder marks on the inner face. What is not told is assumed, and said.
"""

OPTIONS = {
    "--fold": ("fold.form", "FORM", "block (default), round, closed, one-sided or cheeks"),
    "--poll": ("marks.poll", "LENGTH", "between the poll marks"),
    "--shoulders": ("marks.shoulders", "LENGTH", "between the shoulder marks"),
    "--wall": ("strap.wall", "LENGTH", "thickness of the walls; half of the bar's, if not given"),
    "--drawn": ("strap.drawn", "LENGTH", "each strap as drawn; by volume, if not given"),
    "--height": ("strap.height", "LENGTH", "mean height of the walls"),
    "--ears": ("strap.ears", "LENGTH", "ears from tip to tip"),
    "--bite": ("hand.bite", "LENGTH", "bar under one blow in drawing the straps"),
    "--heats": ("allowances.heats", "COUNT", "full heats that the bar sees"),
    "--form": ("eye.form", "FORM", "of the eye: teardrop (default), ellipse, stadium, circle or "
               "superellipse"),
    "--width": ("eye.width", "LENGTH", "of the eye: the drift's"),
    "--ratio": ("eye.ratio", "NUMBER", "length over width of the eye, in place of its width"),
}  # fmt: skip
"""Options that stand for one key of a piece."""

BARS = {"--bar": ("bar.section", "bar.length"), "--bit": ("bit.stock", "bit.length")}
"""Options that stand for a section and a length."""


def add(commands: Commands) -> None:
    parser = command(
        commands, "predict", _predict, brief="tell eye and head from a bar and its marks",
        description="Tell which eye and which head a bar with its marks gives; write no files.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument(
        "piece", metavar="PIECE", nargs="?",
        help="a TOML file with the piece's keys (see: eyewrap keys piece)",
    )  # fmt: skip
    for option, what in (("--bar", "the bar as cut"), ("--bit", "the bit's stock as cut")):
        sizes = f'{what}: thickness x width x length, as "1/2 x 1 1/2 x 8 in"'
        parser.add_argument(option, metavar="SIZES", help=sizes)
    for option, (_, metavar, what) in OPTIONS.items():
        parser.add_argument(option, metavar=metavar, help=what)
    parser.add_argument("--want", metavar="LENGTH", help="the perimeter of the eye that is wanted: "
                        "tells what to change")  # fmt: skip
    parser.add_argument("--handles", metavar="FILE", help="your own table of handles (CSV)")
    add_units(parser)
    add_smith(parser)
    parser.add_argument("--set", metavar="KEY=VALUE", action="append", default=[], dest="changes",
                        help="change one value of the piece, as --set hand.spread=1.2")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")


def _predict(options: argparse.Namespace) -> int:
    from .. import forecast, forecast_report
    from ..handles import fits, handles

    units, faults = units_of(options)
    wanted: float | None = None
    if options.want is not None:
        wanted = tried(lambda: forecast.read_wanted(options.want, "--want", units), faults)
    table = None
    try:
        table = handles(None if options.handles is None else Path(options.handles), units)
    except BadInputError as error:
        faults += error.faults
    told = _told(options, units, faults)
    try:
        found = forecast.forecast(told, units)
    except BadInputError as error:
        raise BadInputError([_named(f, options) for f in error.faults]) from None
    assert table is not None
    near = fits(table, found.perimeter)
    ways = None if wanted is None else forecast.ways_to(found, wanted, units)
    if options.json:
        data = forecast_report.data(found, near, ways)
        print(json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False))
    else:
        say(titled(forecast_report.rows(found, near, ways, units)))
    return DONE


def _told(options: argparse.Namespace, units: str, faults: Iterable[Fault]) -> Told:
    """The piece of the file with what the options say."""
    from .. import piece, reading, smith

    found = list(faults)
    raw: dict[str, Any] = {}
    lost, learnt = False, False
    try:
        raw = piece.load(Path(options.piece)) if options.piece is not None else {}
    except BadInputError as error:
        found += error.faults
        lost = True  # what it may have held is not asked for again
    try:
        if (path := smith_of(options)) is not None:
            mine = smith.load(path, units)
            raw, learnt = smith.overlay(raw, mine), mine.allowances.scale_per_heat is not None
    except BadInputError as error:
        found += error.faults
    changes = [
        f"{key}={text}"
        for option, (key, _, _) in OPTIONS.items()
        if (text := getattr(options, option[2:])) is not None
    ]
    for text in (*changes, *options.changes):
        fault = reading.change(piece.Piece, raw, text, units)
        found += [] if fault is None else [fault]
    for option, keys in BARS.items():
        if (text := getattr(options, option[2:])) is not None:
            found += _sizes(raw, option, keys, text)
    try:
        told = piece.read(raw, units)
    except BadInputError as error:
        known = {fault.field for fault in found}
        known |= {key for option, keys in BARS.items() if option in known for key in keys}
        found += [
            fault for fault in error.faults
            if fault.field not in known and not (lost and fault.given == "nothing")
        ]  # fmt: skip
    if found:
        raise BadInputError([_named(fault, options) for fault in found])
    return replace(told, learnt=learnt)


def _sizes(raw: dict[str, Any], option: str, keys: tuple[str, str], text: str) -> list[Fault]:
    """Put a section and a length into the table."""
    from ..units import NotALengthError, read_bar

    try:
        section, length = read_bar(text)
    except NotALengthError as error:
        return [Fault(option, repr(text[:60]), str(error), "write it as shown")]
    group = raw.setdefault(keys[0].partition(".")[0], {})
    if isinstance(group, dict):
        group[keys[0].partition(".")[2]] = f"{section[0]!r} x {section[1]!r} mm"
        group[keys[1].partition(".")[2]] = f"{length!r} mm"
    return []


def _named(fault: Fault, options: argparse.Namespace) -> Fault:
    """The fault under the name of the option that its value came from, or should come from."""
    every = {key: option for option, (key, _, _) in OPTIONS.items()}
    every |= {key: option for option, keys in BARS.items() for key in keys}
    option = every.get(fault.field)
    if option is None or (options.piece is not None and getattr(options, option[2:]) is None):
        return fault
    return replace(fault, field=option)
