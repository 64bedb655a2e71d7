"""The command ``eyewrap``: the only module that speaks to the terminal."""

from __future__ import annotations

import argparse
import io
import os
import sys
import textwrap
from collections.abc import Sequence

from . import __version__
from .commands import (
    check,
    choose,
    cut,
    draw,
    even,
    hot,
    learn,
    lists,
    nest,
    new,
    page,
    plan,
    predict,
    printer,
    processes,
    proof,
    shelf,
    steels,
    template,
)
from .commands.common import BAD_INPUT, DONE, STOPPED
from .errors import BadInputError

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

    for each in (
        draw, plan, new, predict, choose, cut, learn, even, hot, lists, printer, shelf,
        steels, template, processes, check, nest, proof, page,
    ):  # fmt: skip
        each.add(commands)
    for command in commands.choices.values():  # the examples keep their lines, and so does this
        command.description = textwrap.fill(command.description or "", 78)
    return parser


if __name__ == "__main__":
    sys.exit(main())
