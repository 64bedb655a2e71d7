"""What the commands share: the profile and its options, units, exit codes, printing."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

from ..errors import BadInputError, Fault

if TYPE_CHECKING:
    from ..blank import ForgePlan
    from ..profiles import Profile

DONE, STOPPED, BAD_INPUT = 0, 1, 2

UNITS = ("in", "mm")

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"
"""What a command adds its parser to."""


def command(
    commands: Commands, name: str, run: Callable[[argparse.Namespace], int], *, brief: str,
    description: str = "", epilog: str = "",
) -> argparse.ArgumentParser:  # fmt: skip
    """A parser for one command."""
    parser = commands.add_parser(
        name, help=brief, description=description or brief[:1].upper() + brief[1:] + ".",
        epilog=epilog, formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.set_defaults(run=run)
    return parser


def add_units(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--units", metavar="UNIT", default="in",
                        help="of what is printed and lettered: in (default) or mm; what is read "
                        "may be in either")  # fmt: skip


def add_profile(parser: argparse.ArgumentParser) -> None:
    """PROFILE with the options that change it."""
    parser.add_argument("profile", metavar="PROFILE", help="a shipped name (see: eyewrap list) "
                        "or the path of a TOML file")  # fmt: skip
    add_units(parser)
    parser.add_argument("--set", metavar="KEY=VALUE", action="append", default=[], dest="changes",
                        help='change one value, as --set "wall.thickness=3/16 in"; with nothing '
                        "after the =, take the key out, as --set eye.length=; may be given again; "
                        "for every key: eyewrap keys")  # fmt: skip


def units_of(options: argparse.Namespace) -> tuple[str, list[Fault]]:
    """The units, inches where they are at fault, with the fault."""
    units = options.units.strip().lower()
    if units in UNITS:
        return units, []
    return "in", [Fault("--units", repr(options.units[:60]), "in or mm", "choose one of these")]


def planned(
    options: argparse.Namespace, units: str, faults: Sequence[Fault] = ()
) -> tuple[Profile, ForgePlan]:
    """The profile and its plan; their faults are raised together with those given."""
    from ..blank import plan
    from ..profiles import load

    profile, forge = every_fault(
        faults,
        lambda: _with_plan(load(options.profile, options.changes, units), plan, units),
    )
    return profile, forge


def _with_plan(
    profile: Profile, plan: Callable[..., ForgePlan], units: str
) -> tuple[Profile, ForgePlan]:
    return profile, plan(profile.design, units)


def every_fault(faults: Sequence[Fault], make: Callable[[], Any]) -> Any:
    """What ``make`` gives; its faults are raised together with those found before."""
    try:
        made = make()
    except BadInputError as error:
        raise BadInputError([*faults, *error.faults]) from None
    if faults:
        raise BadInputError(faults)
    return made


def say(lines: Sequence[str]) -> None:
    for line in lines:
        print(line)
