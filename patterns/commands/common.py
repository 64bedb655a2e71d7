"""What the commands share: the profile and its options, units, exit codes, printing."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any, TypeAlias

from ..errors import BadInputError, Fault

if TYPE_CHECKING:
    from ..blank import ForgePlan
    from ..fire import Heat
    from ..profiles import Profile
    from ..rack import Rack

DONE, STOPPED, BAD_INPUT = 0, 1, 2

UNITS = ("in", "mm")

SHORT = {
    "--handle": ("handle.form", "FORM", "straight or curved: as --set handle.form=FORM, and its "
                 "sheet with the everyday ones"),
    "--length": ("handle.length", "LENGTH", "of the handle, from the top of the eye: as --set "
                 "handle.length=LENGTH, and its sheet with the everyday ones"),
    "--finest": ("hand.finest", "MARK", "the finest mark of your rule: 1/64, 1/32 or 1/16 of an "
                 "inch, mm, or fine: as --set hand.finest=MARK"),
    "--order": ("order", "TEXT", "whose it is, or what to remember of it: as --set order=TEXT"),
}  # fmt: skip
"""Options that stand for one key of the profile; they come after every --set."""

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


def add_profile(parser: argparse.ArgumentParser, optional: bool = False) -> None:
    """PROFILE with the options that change it; None where it is ``optional`` and left out."""
    parser.add_argument("profile", metavar="PROFILE", nargs="?" if optional else None,
                        help="a shipped name (see: eyewrap list) or the path of a TOML "
                        "file")  # fmt: skip
    add_units(parser)
    add_changes(parser)
    add_smith(parser)


def add_changes(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--set", metavar="KEY=VALUE", action="append", default=[], dest="changes",
                        help='change one value, as --set "wall.thickness=3/16 in"; with nothing '
                        "after the =, take the key out, as --set eye.length=; may be given again; "
                        "for every key: eyewrap keys")  # fmt: skip


def add_short(parser: argparse.ArgumentParser, *options: str) -> None:
    """Some of the options of :data:`SHORT`."""
    for option in options:
        _, metavar, what = SHORT[option]
        parser.add_argument(option, metavar=metavar, help=what)


def _short(options: argparse.Namespace, units: str, faults: list[Fault]) -> dict[str, str]:
    """Put the options of :data:`SHORT` behind the other changes; returns which key has its value
    from which option."""
    from ..parameters import spec_at

    used = {}
    for option, (key, *_) in SHORT.items():
        text = getattr(options, option[2:], None)
        if text is None:
            continue
        if not text.strip():
            limits = spec_at(key).limits(units)
            faults.append(Fault(option, repr(text), limits, "say it, or leave the option out"))
            continue
        value = text.strip().lower() if spec_at(key).kind == "choice" else text.strip()
        options.changes = [*options.changes, f"{key}={value}"]
        used[key] = option
    return used


def add_smith(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--smith", metavar="FILE", help="your own factors, as eyewrap learn writes "
                        "them, in place of the file's; --set comes after both")  # fmt: skip


def smith_of(options: argparse.Namespace) -> Path | None:
    return None if options.smith is None else Path(options.smith)


def add_rack(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--rack", metavar="FILE", required=True,
                        help="the bars on hand, in CSV or TOML")  # fmt: skip
    parser.add_argument("--kerf", metavar="LENGTH", help="what the saw takes at each cut; 1/16 in, "
                        "if not given: common practice of a bandsaw")  # fmt: skip


def rack_of(
    options: argparse.Namespace, units: str, faults: list[Fault]
) -> tuple[Rack | None, float | None]:
    """The rack and the kerf [mm]; None, with its faults added, for what is at fault."""
    from .. import rack
    from ..sources import SAW_KERF

    bars = tried(lambda: rack.load(Path(options.rack), units), faults)
    if options.kerf is None:
        return bars, SAW_KERF.inside
    return bars, length_of("--kerf", options.kerf, 0.0, rack.WIDEST_KERF, units, faults)


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

    found = list(faults)
    short = _short(options, units, found)
    try:
        profile, forge = every_fault(
            found,
            lambda: _with_plan(
                load(options.profile, options.changes, units, smith_of(options)), plan, units
            ),
        )
    except BadInputError as error:
        raise BadInputError(
            [replace(fault, field=short.get(fault.field, fault.field)) for fault in error.faults]
        ) from None
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


def tried(make: Callable[[], Any], faults: list[Fault]) -> Any:
    """What ``make`` gives; None, with its faults added to the others, if it is at fault."""
    try:
        return make()
    except BadInputError as error:
        faults += error.faults
        return None


def length_of(
    field: str, text: str, least: float, most: float, units: str, faults: list[Fault]
) -> float | None:  # fmt: skip
    """A length [mm] as an option has it; None, with its fault added, if it is none."""
    from ..units import NotALengthError, both_limits, read_length

    try:
        found = read_length(text)
    except NotALengthError as error:
        faults.append(Fault(field, repr(text[:60]), str(error), "write it so"))
        return None
    if least <= found <= most:
        return found
    faults.append(Fault(field, repr(text[:60]), both_limits(least, most, units), "measure it anew"))
    return None


def heat_of(field: str, text: str, units: str, faults: list[Fault]) -> Heat | None:
    """A heat as an option has it; None, with its fault added, if it is none."""
    from ..fire import NotAHeatError, read_heat

    try:
        return read_heat(text, units)
    except NotAHeatError as error:
        faults.append(Fault(field, repr(text[:60]), str(error), error.change))
        return None


@contextmanager
def watched() -> Iterator[Callable[[str], None]]:
    """A function that shows what is being done, on a terminal; elsewhere it shows nothing."""
    if not sys.stderr.isatty():
        yield lambda doing: None
        return
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    columns = (SpinnerColumn(), TimeElapsedColumn(), TextColumn("{task.description}"))
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("", total=None)
        yield lambda doing: progress.update(task, description=escape(doing))


def titled(rows: Sequence[tuple[str, str]]) -> list[str]:
    """Rows of a title and a text, broken into lines that fit a terminal."""
    return [
        f"{title if i == 0 else '':<10} {line}".rstrip()
        for title, text in rows
        for i, line in enumerate(wrap(text, 88) or [""])
    ]


def say(lines: Sequence[str]) -> None:
    for line in lines:
        print(line)
