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
    from ..cut_set import Listed
    from ..fire import Heat
    from ..layers import Layers
    from ..processes import Rules
    from ..profiles import Profile
    from ..rack import Rack
    from ..to_cut import Style

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


def add_process(parser: argparse.ArgumentParser, listed: bool = False) -> None:
    """By what a part is cut, and from how thick a sheet; ``listed``: a set's list may say so."""
    kinds = "laser, plasma, waterjet or hand"
    if listed:
        usual_process = "as the set's list has it, if not given"
        usual_sheet = "likewise"
    else:
        usual_process, usual_sheet = "laser, if not given", "16 ga, if not given"
    parser.add_argument("--process", metavar="PROCESS", default=None if listed else "laser",
                        help=f"{kinds}; what each asks: eyewrap processes; "
                        f"{usual_process}")  # fmt: skip
    parser.add_argument("--thickness", metavar="SIZE", default=None if listed else "16 ga",
                        help='of the sheet, as "3/16 in", "1.5 mm" or "16 ga"; '
                        f"{usual_sheet}")  # fmt: skip


def add_kerf(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--kerf", metavar="LENGTH", help="width of cut of your own machine, in "
                        "place of the table's")  # fmt: skip


def kerf_of(options: argparse.Namespace, units: str, faults: list[Fault]) -> float | None:
    """The width of cut that is told [mm]; None where none is, or it is at fault."""
    from ..processes import WIDEST_KERF

    if options.kerf is None:
        return None
    return length_of("--kerf", options.kerf, 0.01, WIDEST_KERF, units, faults)


def told_process(
    options: argparse.Namespace, units: str, faults: list[Fault]
) -> tuple[str | None, float | None]:
    """Process and thickness [mm] as the options have them; None for what they do not say, and, with
    its fault added, for what is at fault."""
    from .. import processes
    from ..units import NotALengthError

    process, thickness = options.process, None
    if process is not None and processes.find(process) is None:
        faults.append(processes.unknown(process))
        process = None
    if options.thickness is not None:
        try:
            thickness = processes.read_thickness(options.thickness)
        except NotALengthError as error:
            faults.append(Fault("--thickness", repr(options.thickness[:60]), str(error),
                                "measure the sheet, or say its gauge"))  # fmt: skip
    if thickness is not None and not 0.0 < thickness <= 1000.0:
        faults.append(Fault("--thickness", repr(options.thickness[:60]), "more than 0",
                            "measure the sheet, or say its gauge"))  # fmt: skip
        thickness = None
    return process, thickness


def process_of(options: argparse.Namespace, units: str, faults: list[Fault]) -> Rules | None:
    """The rules of the process for the sheet; None, with the faults added, for what is at fault."""
    from .. import processes

    before = len(faults)
    kerf = kerf_of(options, units, faults)
    process, thickness = told_process(options, units, faults)
    if process is None or thickness is None:
        return None
    found: Rules | None = tried(
        lambda: processes.rules(process, thickness, units, kerf=kerf), faults
    )
    return found if len(faults) == before else None


def files_of(text: str, faults: list[Fault]) -> tuple[Listed, ...]:
    """The files to cut that an argument means; none, with the faults added, for one at fault."""
    from .. import cut_set

    found = tried(lambda: cut_set.files(Path(text)), faults)
    return found or ()


def layers_of(options: argparse.Namespace, units: str, faults: list[Fault]) -> Layers | None:
    """The shop's own layers; None where none are asked for, or they are at fault."""
    from .. import layers

    if options.layers is None:
        return None
    found: Layers | None = tried(lambda: layers.load(Path(options.layers), units), faults)
    return found


def add_layers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--layers", metavar="FILE", help="the shop's own names and colours of "
                        "layers, in CSV: what,name,colour")  # fmt: skip


def add_style(parser: argparse.ArgumentParser) -> None:
    """How a file to cut is written."""
    parser.add_argument("--offset", action="store_true", help="move the contours by half the kerf, "
                        "for a machine that does not; off, if not given: the shop does "
                        "it")  # fmt: skip
    parser.add_argument("--lead", metavar="LENGTH", nargs="?", const="", help="begin each contour "
                        "with a lead-in from the scrap, for a table of your own; as long as usual "
                        "for the process, if no length is given")  # fmt: skip
    parser.add_argument("--segments", metavar="LENGTH", help="straight segments in place of arcs, "
                        "no more than this off them")  # fmt: skip
    parser.add_argument("--dxf", metavar="VERSION", default="R2000", help="R2000 (default), or R12 "
                        "for an old program")  # fmt: skip
    add_layers(parser)


FINEST_SEGMENTS, COARSEST_SEGMENTS = 0.001, 1.0
"""How far segments may be asked to stand off an arc [mm]."""
LONGEST_LEAD = 50.0


def style_of(
    options: argparse.Namespace, units: str, rules: Rules | None, layers: Layers,
    faults: list[Fault],
) -> Style:  # fmt: skip
    """The style that the options ask for, on these layers; what is at fault adds its faults.

    ``rules`` give the kerf and the usual lead; where there are none, neither can be asked for.
    """
    from ..to_cut import VERSIONS, Style

    version = options.dxf.strip().upper()
    if version not in VERSIONS:
        faults.append(Fault("--dxf", repr(options.dxf[:60]), " or ".join(VERSIONS), "choose one"))
    segments, lead = None, 0.0
    if options.segments is not None:
        segments = length_of("--segments", options.segments, FINEST_SEGMENTS, COARSEST_SEGMENTS,
                             units, faults)  # fmt: skip
    if options.lead == "" and rules is not None:
        lead = rules.lead
        if not lead:
            faults.append(Fault("--lead", "no length", f"none: {rules.process} has no lead-in",
                                "leave it out"))  # fmt: skip
    elif options.lead:
        lead = length_of("--lead", options.lead, 0.1, LONGEST_LEAD, units, faults) or 0.0
    kerf = rules.kerf if options.offset and rules is not None else 0.0
    return Style(version, segments, layers, kerf, lead)


def aside(folder: Path, names: Sequence[str]) -> list[str]:
    """Rename files of an earlier run so that they mislead nobody; returns what to say."""
    from .. import output

    moved = []
    for name in names:
        try:
            path = output.set_aside(folder, name)
        except OSError as error:
            return [f"Of an earlier run, and not to be used: {name}. It could not be renamed: "
                    f"{error.strerror}."]  # fmt: skip
        if path is not None:
            moved.append(path.name)
    return [f"Of an earlier run, and now named so: {', '.join(moved)}."] if moved else []


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
