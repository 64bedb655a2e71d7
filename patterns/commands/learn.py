"""``eyewrap learn``: what a log of pieces says of the smith's own hand."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import DONE, Commands, add_units, command, every_fault, say, titled, units_of

if TYPE_CHECKING:
    from ..learn import Learnt

EXAMPLES = """\
examples:
  eyewrap learn log.csv
  eyewrap learn log.csv --smith me.toml
  eyewrap learn log.csv --without "piece 3" --smith me.toml
  eyewrap learn --blank log.csv
  eyewrap plan belt-hatchet --smith me.toml

A row for each piece, in CSV; section, poll and shoulders must be there, every other cell may be
empty. Weigh the bar as cut, and the head as forged and welded, brushed clean, before any
grinding; with a bit in it, write the bit's own mass and heats beside it. A piece weighed before
the weld has "no" under welded: two weighings of one piece tell scale and weld apart. Eye and
wall are measured as finished; where the last drift stretched them, write by how much under drift
stretch, or it shows as wrap offset.
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "learn", _learn, brief="fit your own factors to a log of pieces",
        description="Fit spread, scale, wrap offset and weld loss to a log of pieces.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("log", metavar="LOG", nargs="?", help="a CSV file, a row for each piece")
    parser.add_argument("--smith", metavar="FILE", help="the file to write the factors into, for "
                        "draw, plan and predict; without it they are only printed")  # fmt: skip
    parser.add_argument("--without", metavar="NAME", action="append", default=[],
                        help="leave a piece out, by its name or as row 7; may be "
                        "given again")  # fmt: skip
    parser.add_argument("--blank", metavar="FILE", help="write an empty log with its headings")
    add_units(parser)
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")


def _learn(options: argparse.Namespace) -> int:
    units, faults = units_of(options)
    for option in ("smith", "blank"):
        text = getattr(options, option)
        if text is not None and not Path(text).name:
            faults.append(Fault(f"--{option}", repr(text[:60]), "the name of a file", "name one"))
    if options.blank is not None:
        return _blank(options, units, faults)
    if options.log is None:
        faults.append(Fault("LOG", "nothing", "a CSV file, a row for each piece",
                            "for an empty one: eyewrap learn --blank log.csv"))  # fmt: skip
        raise BadInputError(faults)
    return _from_log(options, units, faults)


def _from_log(options: argparse.Namespace, units: str, faults: list[Fault]) -> int:
    from .. import learn, learn_report, logbook, smith

    if options.smith is not None:
        faults += _in_the_way(Path(options.smith), Path(options.log), units)
    rows = every_fault(faults, lambda: logbook.load(Path(options.log), units))
    found = learn.learn(rows, options.without)
    if options.smith is not None and not found.taught:
        raise BadInputError(
            [Fault("--smith", "a log that teaches no factor", "a log with at least one measure "
                   "that does", "; ".join(learn_report.TEACHES.values()))]
        )  # fmt: skip
    if options.json:
        data = learn_report.data(found, units)
        print(json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False))
    else:
        say(_lines(found, units))
    if options.smith is None:
        return DONE
    path = Path(options.smith)
    _write("--smith", path, smith.as_toml(learn_report.smith_file(found)))
    if not options.json:
        print(f"\nWritten: {path}. Give it to draw, plan and predict: --smith {path}")
    return DONE


def _in_the_way(path: Path, log: Path, units: str) -> list[Fault]:
    """A file that is there and is no smith's file is never written over."""
    from .. import smith

    given = repr(str(path)[:120])
    if path.is_file():
        try:
            smith.load(path, units)
        except BadInputError:
            itself = log.is_file() and path.samefile(log)
            given += ", which is the log itself" if itself else ", which is another kind of file"
            return [Fault("--smith", given, "a new file, or a smith's file to write anew",
                          "give another name")]  # fmt: skip
    elif not path.parent.is_dir():
        return [
            Fault("--smith", given, "a file in a folder that is there", "make the folder first")
        ]
    return []


def _write(option: str, path: Path, text: str) -> None:
    from dataclasses import replace

    from .. import output

    try:
        output.write(path.parent, {path.name: text.encode()})
    except BadInputError as error:
        raise BadInputError([replace(fault, field=option) for fault in error.faults]) from None


def _blank(options: argparse.Namespace, units: str, faults: list[Fault]) -> int:
    from ..logbook import headings

    if options.log is not None or options.smith is not None:
        faults.append(Fault("--blank", "with a log or --smith", "by itself", "take the other out"))
    path = Path(options.blank)
    if path.exists():
        faults.append(Fault("--blank", repr(path.name), "a file that is not there yet",
                            "no log is written over: give another name"))  # fmt: skip
    if faults:
        raise BadInputError(faults)
    _write("--blank", path, ",".join(headings(units)) + "\n")
    print(f"Written: {path}")
    return DONE


def _lines(found: Learnt, units: str) -> list[str]:
    from .. import learn_report

    lines = [f"{title:<20} {text}" for title, text in learn_report.factor_rows(found, units)]
    rest = learn_report.more_rows(
        found, units, leave_out=lambda misfit: f": --without {misfit.piece!r}",
        every="; all of them: --json",
    )  # fmt: skip
    return [*lines, learn_report.BOUNDS, "", *titled(rest)]
