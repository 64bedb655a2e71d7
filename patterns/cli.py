"""The command ``eyewrap``: the only module that speaks to the terminal."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from . import __version__
from .errors import BadInputError, Fault

if TYPE_CHECKING:
    from .blank import ForgePlan
    from .profiles import Profile

DONE, STOPPED, BAD_INPUT = 0, 1, 2

UNITS = ("in", "mm")

DRAW_HELP = """\
examples:
  eyewrap draw belt-hatchet
  eyewrap draw camp-axe --paper a4 --units mm
  eyewrap draw my-axe.toml --to patterns/my-axe
  eyewrap draw camp-axe --set "wall.thickness=5/16 in" --set "eye.length=2 1/8 in"
  eyewrap draw camp-axe --set eye.length= --set eye.width= \\
                        --set "eye.perimeter=5 in" --set eye.ratio=3

The set: one PDF with every sheet, an SVG of each sheet, DXF files for cutting in steel,
each in inches and in mm, and plan.json with every figure. Print at 100 %, actual size,
and measure the check bars before you trust the paper.
"""

PLAN_HELP = """\
examples:
  eyewrap plan belt-hatchet
  eyewrap plan belt-hatchet --settings
  eyewrap plan belt-hatchet --json --set "bar.section=1/2 x 1 1/4 in"
"""

EXIT_CODES = """\
To begin: eyewrap list, then: eyewrap draw belt-hatchet
For the help of one command: eyewrap draw --help

Exit codes: 0 done; 1 a doubt stops the work, or a file could not be made;
2 bad input, nothing written.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns 0 (done), 1 (stopped by a doubt) or 2 (bad input)."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a sign that the terminal lacks is no fault
            stream.reconfigure(errors="backslashreplace")
    options = _parser().parse_args(arguments)
    try:
        code = int(options.run(options))
        sys.stdout.flush()
        return code
    except BadInputError as error:
        count = len(error.faults)
        print(f"{count} fault{'s' if count > 1 else ''}; nothing was written.", file=sys.stderr)
        for fault in error.faults:
            print(f"  {fault.field}: given {fault.given}", file=sys.stderr)
            print(f"      allowed: {fault.allowed}", file=sys.stderr)
            if fault.change:
                print(f"      change:  {fault.change}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:  # the reader of a pipe has gone away, and has what it wanted
        _discard_output()
        return DONE
    except OSError as error:
        _discard_output()
        print(f"Stopped: the system says: {error}", file=sys.stderr)
        return STOPPED
    except KeyboardInterrupt:
        print("Broken off.", file=sys.stderr)
        return STOPPED


def _discard_output() -> None:
    """So that what could not be printed is not tried again as the program ends."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):  # there is no such output
        return


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="eyewrap",
        description="Full-size patterns for wrapped-eye axe heads: how long to cut the bar, "
        "where to mark each face, how far to draw each strap, which bit.",
        epilog=EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"eyewrap {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    draw = commands.add_parser(
        "draw", help="write the patterns of a head: PDF to print, SVG, DXF to cut, plan.json",
        description="Write the whole set of a head into output/PROFILE/, or where --to says.",
        epilog=DRAW_HELP, formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    _common(draw)
    draw.add_argument("--to", metavar="DIR", help="the folder to write into; made if need be")
    draw.add_argument(
        "--paper", default="letter", metavar="SIZE",
        help="letter (default), a4, legal, tabloid or a3; nothing is ever scaled to fit",
    )  # fmt: skip
    draw.add_argument("--date", action="store_true", help="print today's date on the sheets")
    draw.set_defaults(run=_draw)

    plan = commands.add_parser(
        "plan", help="print the figures only",
        description="Print the figures of a head; write no files.",
        epilog=PLAN_HELP, formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    _common(plan)
    plan.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")
    plan.add_argument("--settings", action="store_true", help="every parameter with its value")
    plan.set_defaults(run=_plan)

    shelf = commands.add_parser("list", help="list the shipped head designs")
    shelf.set_defaults(run=_list)

    keys = commands.add_parser("keys", help="list every key of a profile, with limits and help")
    keys.add_argument("--units", metavar="UNIT", default="in",
                      help="of the limits: in (default) or mm")  # fmt: skip
    keys.set_defaults(run=_keys)
    return parser


def _common(command: argparse.ArgumentParser) -> None:
    command.add_argument("profile", metavar="PROFILE", help="a shipped name (see: eyewrap list) "
                         "or the path of a TOML file")  # fmt: skip
    command.add_argument("--units", metavar="UNIT", default="in",
                         help="of what is printed and lettered: in (default) or mm; a profile may "
                         "use either")  # fmt: skip
    command.add_argument("--set", metavar="KEY=VALUE", action="append", default=[], dest="changes",
                         help='change one value, as --set "wall.thickness=3/16 in"; with nothing '
                         "after the =, take the key out, as --set eye.length=; may be given again; "
                         "for every key: eyewrap keys")  # fmt: skip


def _units(given: str) -> tuple[str, list[Fault]]:
    """The units, inches where they are at fault, with the fault."""
    units = given.strip().lower()
    if units in UNITS:
        return units, []
    return "in", [Fault("--units", repr(given[:60]), "in or mm", "choose one of these")]


def _forged(
    options: argparse.Namespace, units: str, faults: list[Fault]
) -> tuple[Profile, ForgePlan]:
    """The profile and its plan; their faults are raised together with those given."""
    from .blank import plan
    from .profiles import load

    try:
        profile = load(options.profile, options.changes, units)
        forge = plan(profile.design, units)
    except BadInputError as error:
        raise BadInputError([*faults, *error.faults]) from None
    if faults:
        raise BadInputError(faults)
    return profile, forge


def _draw(options: argparse.Namespace) -> int:
    from . import output, report
    from .build import build
    from .pages import check_paper

    units, faults = _units(options.units)
    paper = options.paper.strip().lower()
    faults += check_paper(paper)
    if options.to is not None and not options.to.strip():
        faults.append(Fault("--to", repr(options.to), "the name of a folder", "name one"))
    profile, forge = _forged(options, units, faults)
    if forge.stopped:
        _say(report.summary(forge, units))
        sys.stdout.flush()
        print("\nStopped: nothing was written. Change what is marked STOP.", file=sys.stderr)
        return STOPPED
    today = date.today().isoformat() if options.date else None
    built = build(profile, units=units, paper=paper, date=today, forge=forge)
    folder = Path("output") / profile.slug if options.to is None else Path(options.to)
    written = output.write(folder, built.files)
    left = [_left_over(folder, name, reason) for name, reason in built.missing]
    _say(report.summary(forge, units))
    print(f"\n{len(written)} files in {folder}{os.sep}")
    if f"{profile.slug}.pdf" in built.files:
        print("Print the PDF at 100 %, actual size, and measure the check bars.")
    sys.stdout.flush()
    for message in left:
        print(f"\n{message}", file=sys.stderr)
    return STOPPED if built.missing else DONE


def _left_over(folder: Path, name: str, reason: str) -> str:
    """Put a file of an earlier run aside that this run could not make; returns what to say."""
    from . import output

    said = f"{name} was not made: {reason}"
    try:
        aside = output.set_aside(folder, name)
    except OSError as error:
        return (
            f"{said}\nThe {name} in the folder is of an earlier run, and could not be renamed: "
            + (f"{error.strerror}. Do not use it.")
        )
    return said if aside is None else f"{said}\nThe {name} of an earlier run is now {aside.name}."


def _plan(options: argparse.Namespace) -> int:
    from . import report

    units, faults = _units(options.units)
    profile, forge = _forged(options, units, faults)
    if options.json:
        sys.stdout.flush()
        sys.stdout.buffer.write(report.as_json(profile, forge))
    elif options.settings:
        _say(report.settings(profile, units))
    else:
        _say(report.summary(forge, units))
    return STOPPED if forge.stopped else DONE


def _list(options: argparse.Namespace) -> int:
    from .profiles import load, shipped

    for name in shipped():
        design = load(name).design
        print(f"{name:<16}{design.name}: {design.note}")
    return DONE


def _keys(options: argparse.Namespace) -> int:
    from .parameters import specs

    units, faults = _units(options.units)
    if faults:
        raise BadInputError(faults)
    for key, spec in specs():
        need = "required" if spec.required else f"default {spec.default_text or 'none'}"
        print(f"{key}  ({need})")
        print(f"    {spec.label}: {spec.help}")
        print(f"    {spec.limits(units)}")
    return DONE


def _say(lines: Sequence[str]) -> None:
    for line in lines:
        print(line)


if __name__ == "__main__":
    sys.exit(main())
