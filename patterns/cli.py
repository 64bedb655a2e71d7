"""The command ``eyewrap``: the only module that speaks to the terminal."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from . import __version__
from .errors import BadInputError

DONE, STOPPED, BAD_INPUT = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns 0 (done), 1 (stopped by a doubt) or 2 (bad input)."""
    parser = _parser()
    options = parser.parse_args(arguments)
    try:
        return int(options.run(options))
    except BadInputError as error:
        count = len(error.faults)
        print(f"{count} fault{'s' if count > 1 else ''}; nothing was written.", file=sys.stderr)
        for fault in error.faults:
            print(f"  {fault.field}: given {fault.given}", file=sys.stderr)
            print(f"      allowed: {fault.allowed}", file=sys.stderr)
            if fault.change:
                print(f"      change:  {fault.change}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:  # the reader of a pipe has gone away
        sys.stderr.close()
        return DONE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="eyewrap",
        description="Full-size patterns for wrapped-eye axe heads: which bar, how long to cut it, "
        "where to mark each face, how far to draw each strap, which bit.",
        epilog="Exit codes: 0 done; 1 a doubt stops the work, or a file could not be made; "
        "2 bad input, nothing written.",
    )
    parser.add_argument("--version", action="version", version=f"eyewrap {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    draw = commands.add_parser(
        "draw", help="write the patterns of a head: PDF to print, SVG, DXF to cut, plan.json",
        description="Write the whole set of a head into output/PROFILE/, or where --to says.",
    )  # fmt: skip
    _common(draw)
    draw.add_argument("--to", metavar="DIR", type=Path, help="the folder to write into")
    draw.add_argument(
        "--paper", default="letter", metavar="SIZE",
        help="letter (default), a4, legal, tabloid or a3; nothing is ever scaled to fit",
    )  # fmt: skip
    draw.add_argument("--date", action="store_true", help="print today's date on the sheets")
    draw.set_defaults(run=_draw)

    plan = commands.add_parser(
        "plan", help="print the figures only", description="Print the figures of a head, no files."
    )
    _common(plan)
    plan.add_argument("--json", action="store_true", help="all figures as JSON, in mm and g")
    plan.add_argument("--settings", action="store_true", help="every parameter with its value")
    plan.set_defaults(run=_plan)

    shelf = commands.add_parser("list", help="list the shipped head designs")
    shelf.set_defaults(run=_list)

    keys = commands.add_parser("keys", help="list every key of a profile, with limits and help")
    keys.add_argument("--units", choices=("in", "mm"), default="in", help="of the limits")
    keys.set_defaults(run=_keys)
    return parser


def _common(command: argparse.ArgumentParser) -> None:
    command.add_argument("profile", metavar="PROFILE", help="a shipped name (see: eyewrap list) "
                         "or the path of a TOML file")  # fmt: skip
    command.add_argument("--units", choices=("in", "mm"), default="in",
                         help="of what is printed and lettered; in is the default")  # fmt: skip
    command.add_argument("--set", metavar="KEY=VALUE", action="append", default=[], dest="changes",
                         help='change one value, as --set "wall.thickness=3/16 in"; may be given '
                         "again; see: eyewrap keys")  # fmt: skip


def _draw(options: argparse.Namespace) -> int:
    from . import output, report
    from .blank import plan
    from .build import build
    from .pages import check_paper
    from .profiles import load

    paper = options.paper.lower()
    faults = list(check_paper(paper))
    try:
        profile = load(options.profile, options.changes, options.units)
        forge = plan(profile.design, options.units)
    except BadInputError as error:
        raise BadInputError([*error.faults, *faults]) from None
    if faults:
        raise BadInputError(faults)
    if forge.stopped:
        _say(report.summary(forge, options.units))
        print("\nStopped: nothing was written. Change what is marked STOP.", file=sys.stderr)
        return STOPPED
    today = date.today().isoformat() if options.date else None
    built = build(profile, units=options.units, paper=paper, date=today, forge=forge)
    folder = options.to if options.to is not None else Path("output") / profile.slug
    written = output.write(folder, built.files)
    _say(report.summary(forge, options.units))
    print(f"\n{len(written)} files in {folder}/")
    for name, reason in built.missing:
        aside = output.set_aside(folder, name)
        print(f"\n{name} was not made: {reason}", file=sys.stderr)
        if aside is not None:
            print(f"The {name} of an earlier run is now {aside.name}.", file=sys.stderr)
    if not built.missing:
        print("Print the PDF at 100 %, actual size, and measure the check bars.")
    return STOPPED if built.missing else DONE


def _plan(options: argparse.Namespace) -> int:
    from . import report
    from .blank import plan
    from .profiles import load

    profile = load(options.profile, options.changes, options.units)
    forge = plan(profile.design, options.units)
    if options.json:
        sys.stdout.write(report.as_json(profile, forge).decode())
    elif options.settings:
        _say(report.settings(profile, options.units))
    else:
        _say(report.summary(forge, options.units))
    return STOPPED if forge.stopped else DONE


def _list(options: argparse.Namespace) -> int:
    from .profiles import load, shipped

    for name in shipped():
        design = load(name).design
        print(f"{name:<16}{design.name}: {design.note}")
    return DONE


def _keys(options: argparse.Namespace) -> int:
    from .parameters import specs

    for key, spec in specs():
        need = "required" if spec.required else f"default {spec.default_text or 'none'}"
        print(f"{key}  ({need})")
        print(f"    {spec.label}: {spec.help}")
        print(f"    {spec.limits(options.units)}")
    return DONE


def _say(lines: Sequence[str]) -> None:
    for line in lines:
        print(line)


if __name__ == "__main__":
    sys.exit(main())
