"""``eyewrap new``: a profile to edit, started from another one, resized if need be."""

from __future__ import annotations

import argparse
import dataclasses
import re
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import BadInputError, Fault
from .common import DONE, Commands, add_changes, add_units, command, say, titled, tried, units_of

if TYPE_CHECKING:
    from ..blank import ForgePlan
    from ..profiles import Profile
    from ..resize import Wanted

EXAMPLES = """\
examples:
  eyewrap new "Orchard axe" --from camp-axe
  eyewrap new "Orchard axe" --from camp-axe --mass "2 lb 8 oz"
  eyewrap new "Orchard axe" --from camp-axe --eye "2 x 3/4 in" --edge "4 1/2 in" --units mm
  eyewrap new "Orchard axe" --from my-axe.toml --set "bit.steel=80CrV2" --to axes/orchard.toml

The file has every key with its help: those that the source gives as it spells them, the others
behind a # at their default. No file is written over.

Resized, the head keeps the proportions of its style. --mass, --edge or --eye alone scale all of
it; with --eye the eye, walls, ears, poll and necks follow the eye and the blade follows the other;
with --edge and --mass the blade's thickness makes the mass. Bar and bit stock go to the nearest
size that a dealer lists. The handle, the heats and the allowances stay.
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "new", _new, brief="start a design of your own from another one",
        description="Write a commented TOML file to edit, started from a shipped design or a file.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("name", metavar="NAME", help="what the head is called; the file is named "
                        "after it, in plain letters, figures and dashes")  # fmt: skip
    parser.add_argument("--from", metavar="PROFILE", required=True, dest="profile",
                        help="a shipped name (see: eyewrap list) or the path of a TOML "
                        "file")  # fmt: skip
    parser.add_argument("--to", metavar="FILE", help="the file to write, ending in .toml, in place "
                        "of one named after the head")  # fmt: skip
    parser.add_argument("--mass", metavar="MASS", help="of the finished head, as \"1 lb 8 oz\" or "
                        "\"680 g\"")  # fmt: skip
    parser.add_argument("--edge", metavar="LENGTH", help="along the arc of the edge, as \"4 "
                        "in\"")  # fmt: skip
    parser.add_argument("--eye", metavar="LENGTH x WIDTH", help="as \"2 x 3/4 in\"; of a round eye "
                        "its diameter, as \"1 1/2 in\"")  # fmt: skip
    add_changes(parser)
    add_units(parser)


def _new(options: argparse.Namespace) -> int:
    from .. import output, profiles, reading, starting
    from ..blank import plan
    from ..resize import misses, resize

    units, faults = units_of(options)
    path = _path(options, faults)
    source = tried(lambda: _source(options, units), faults)
    wanted = _wanted(options, units, source[1].design if source else None, faults)
    if faults:
        raise BadInputError(faults)
    assert source is not None
    raw, profile, before = source
    inch = starting.in_inches(raw)
    resized = any(wish is not None for wish in dataclasses.astuple(wanted))
    if resized:
        design = resize(profile.design, wanted, inch, units)
        raw = starting.put(raw, profile.design, design, inch)
    raw["name"] = options.name
    if not any(_key(change) == "note" for change in options.changes):
        raw["note"] = _note(options, profile.slug)
    text = starting.text(raw, units)
    # what is told is told of the file, as it will be read
    written = plan(profiles.read(reading.toml(text), profiles.slug(path.stem), units).design, units)
    if missed := misses(written.head, wanted):
        raise BadInputError(
            [Fault(f"--{wish}", getattr(options, wish), "what the file can say to its last figure",
                   "ask for a little more or less") for wish in missed]
        )  # fmt: skip
    try:
        output.write(path.parent, {path.name: text.encode()})
    except BadInputError as error:
        raise BadInputError(_at_to(fault) for fault in error.faults) from None
    say(_lines(options, wanted, profile, before, written, units))
    shown = f'"{path}"' if " " in str(path) else path
    print(f"\nWritten: {path}. Edit it, then: eyewrap draw {shown}")
    return DONE


def _at_to(fault: Fault) -> Fault:
    return dataclasses.replace(fault, field="--to")


def _key(change: str) -> str:
    return change.partition("=")[0].strip()


def _path(options: argparse.Namespace, faults: list[Fault]) -> Path:
    """Where the file goes; faults of the name and the place are added."""
    from ..parameters import spec_at
    from ..profiles import shipped, slug
    from ..reading import value

    name, spec = options.name, spec_at("name")
    shown = repr(name[:80])
    options.name = name.strip()
    if value(options.name, spec) is None:
        faults.append(Fault("NAME", shown, spec.limits(), "give the head a name"))
    elif options.to is None and not re.search("[a-z0-9]", name.lower()):
        faults.append(Fault("NAME", shown, "a name with at least one plain letter or figure, after "
                            "which the file is named", "name the file by --to"))  # fmt: skip
    if any(_key(change) == "name" for change in options.changes):
        faults.append(Fault("--set", "name", "a key other than name", "NAME is the name: take it "
                            "out"))  # fmt: skip
    field = "NAME" if options.to is None else "--to"
    path = Path(f"{slug(name)}.toml" if options.to is None else options.to)
    shown = repr(str(path)[:120])
    if options.to is not None and (path.suffix.lower() != ".toml" or not options.to.isprintable()):
        faults.append(Fault("--to", shown, "the name of a file that ends in .toml", "name one"))
        return path
    try:
        there = path.exists() or path.is_symlink()
    except (OSError, ValueError):
        there = False  # the reason is told when it is to be written
    if there:
        faults.append(Fault(field, f"{shown}, which is there already", "a file that is not there "
                            "yet", "nothing is written over: give another name"))  # fmt: skip
    elif slug(path.stem) in shipped():
        faults.append(Fault(field, f"{shown}, the name of a shipped design", "a name of its own",
                            "give another: the two would be drawn into one folder"))  # fmt: skip
    return path


def _source(
    options: argparse.Namespace, units: str
) -> tuple[dict[str, Any], Profile, ForgePlan]:  # fmt: skip
    """The source's table with its changes, as written; its design and its plan."""
    from .. import profiles
    from ..blank import plan

    try:
        stem, raw, faults = profiles.table(options.profile, options.changes, units)
    except BadInputError as error:
        raise BadInputError(
            dataclasses.replace(fault, field="--from") if fault.field == "profile" else fault
            for fault in error.faults
        ) from None
    profile = profiles.read(raw, stem, units, faults)
    return raw, profile, plan(profile.design, units)


# What is asked for -------------------------------------------------------------------------------


def _wanted(
    options: argparse.Namespace, units: str, design: Any, faults: list[Fault]
) -> Wanted:  # fmt: skip
    """The wishes; faults of those that cannot be read, or that no head can fulfil, are added."""
    from ..resize import Wanted, impossible
    from ..units import read_length, read_mass

    mass = _read("--mass", options.mass, read_mass, faults)
    edge = _read("--edge", options.edge, read_length, faults)
    round_eye = design is not None and design.eye.form == "circle"
    eye = _read("--eye", options.eye, partial(_read_eye, round_eye=round_eye), faults)
    wanted = Wanted(mass, edge, eye)
    faults += impossible("" if design is None else design.eye.form, wanted, units)
    return wanted


def _read(field: str, text: str | None, read: Any, faults: list[Fault]) -> Any:
    from ..units import NotALengthError

    if text is None:
        return None
    try:
        return read(text)
    except NotALengthError as error:
        faults.append(Fault(field, repr(text[:60]), str(error), "write it so"))
        return None


def _read_eye(text: str, *, round_eye: bool) -> tuple[float, float]:
    """Length and width; a single length is a round eye's diameter."""
    from ..units import NotALengthError, read_length, read_section

    try:
        return read_section(text)
    except NotALengthError:
        if not round_eye:
            raise NotALengthError('length x width with a unit, such as "2 x 3/4 in"') from None
    diameter = read_length(text)
    return diameter, diameter


# What is told ------------------------------------------------------------------------------------


def _wishes(options: argparse.Namespace) -> list[str]:
    """The wishes in the smith's own words."""
    return [
        f"{name} {' '.join(getattr(options, name).split())}"
        for name in ("mass", "edge", "eye")
        if getattr(options, name) is not None
    ]


def _note(options: argparse.Namespace, slug: str) -> str:
    wishes = _wishes(options)
    return f"Started from {slug}{', resized: ' if wishes else ''}{', '.join(wishes)}."


def _lines(
    options: argparse.Namespace, wanted: Wanted, profile: Profile, before: ForgePlan,
    after: ForgePlan, units: str,
) -> list[str]:  # fmt: skip
    """What was asked for and what the file gives, with the plan's doubts."""
    from ..lettering import plain
    from ..units import both, fine, mass, section

    head, old, new = after.head, before.design, after.design
    weight = f"{mass(head.mass, units)}"
    edge = f"{both(head.edge_length, units)} along its arc"
    eye = f"{both(head.eye.length, units)} x {both(head.eye.width, units)}"
    if wanted.mass is not None:
        weight = f"wanted {mass(wanted.mass, units)}, got {head.mass:.1f} g"
    if wanted.edge is not None:
        edge = f"wanted {fine(wanted.edge, units)}, got {fine(head.edge_length, units)}"
    if wanted.eye is not None:
        asked, got = (
            f"{fine(a, units)} x {fine(b, units)}"
            for a, b in (wanted.eye, (head.eye.length, head.eye.width))
        )
        eye = f"wanted {asked}, got {asked if asked == got else got}"
    rows = [("Head", f"{plain(new.name)}, from {profile.slug}"), ("Mass", weight), ("Edge", edge),
            ("Eye", eye)]  # fmt: skip
    for title, was, now in (("Bar", old.bar.section, new.bar.section),
                            ("Bit", old.bit.stock, new.bit.stock)):  # fmt: skip
        if now is not None:
            changed = "" if now == was or was is None else f", was {section(was)}"
            rows.append((title, f"{section(now)}{changed}"))
    for doubt in after.doubts:
        word = "STOP" if doubt.stops else "Doubt"
        rows.append((word, f"{doubt.field}: {doubt.message} [{doubt.source}]"))
    return titled(rows)
