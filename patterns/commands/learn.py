"""``eyewrap learn``: what a log of pieces says of the smith's own hand."""

from __future__ import annotations

import argparse
import json
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import BadInputError, Fault
from .common import DONE, Commands, add_units, command, every_fault, say, titled, units_of

if TYPE_CHECKING:
    from ..interval import Interval
    from ..learn import Factor, Learnt
    from ..smith import SmithFile

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

SEVERAL = 3
"""Pieces that can settle a factor; fewer only help."""

TEACHES = {
    "hand.spread": "measure ears from tip to tip, the wall, and both straps as drawn",
    "hand.wrap": "measure the eye, the wall, and both straps as drawn",
    "allowances.scale_per_heat": "weigh bar and head, and count the heats",
    "allowances.weld_loss": "weigh a piece before the weld too, in a row of its own",
}
"""Which measure would teach a factor that the log leaves open."""


FIGURES = 9
"""Figures behind the point of what is written into the smith's file: far beyond any measure."""


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
    from .. import learn, logbook, smith

    if options.smith is not None:
        faults += _in_the_way(Path(options.smith), Path(options.log), units)
    rows = every_fault(faults, lambda: logbook.load(Path(options.log), units))
    found = learn.learn(rows, options.without)
    if options.smith is not None and not found.taught:
        raise BadInputError(
            [Fault("--smith", "a log that teaches no factor", "a log with at least one measure "
                   "that does", "; ".join(TEACHES.values()))]
        )  # fmt: skip
    if options.json:
        print(json.dumps(_data(found, units), indent=2, allow_nan=False, ensure_ascii=False))
    else:
        say(_lines(found, units))
    if options.smith is None:
        return DONE
    path = Path(options.smith)
    _write("--smith", path, smith.as_toml(_file(found)))
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
    from ..logbook import Entry
    from ..schema import specs

    if options.log is not None or options.smith is not None:
        faults.append(Fault("--blank", "with a log or --smith", "by itself", "take the other out"))
    path = Path(options.blank)
    if path.exists():
        faults.append(Fault("--blank", repr(path.name), "a file that is not there yet",
                            "no log is written over: give another name"))  # fmt: skip
    if faults:
        raise BadInputError(faults)
    unit = {"length": units, "section": units, "mass": "oz" if units == "in" else "g"}
    headings = [
        f"{key} [{unit[spec.kind]}]" if spec.kind in unit else key for key, spec in specs(Entry)
    ]
    _write("--blank", path, ",".join(headings) + "\n")
    print(f"Written: {path}")
    return DONE


def _file(found: Learnt) -> SmithFile:
    """What pieces have taught; of the rest a profile may know better."""
    from .. import __version__
    from ..smith import GROUPS, Lesson, SmithAllowances, SmithFile, SmithHand

    factors: dict[str, dict[str, Any]] = {group: {} for group in GROUPS}
    bounds: dict[str, Any] = {}
    for key, factor in found.taught.items():
        group, _, name = key.partition(".")
        fitted = factor.fitted
        factors[group][name] = round(fitted.mid, FIGURES)
        bounds |= {f"{name}_low": round(fitted.low, FIGURES)}
        bounds |= {f"{name}_high": round(fitted.high, FIGURES)}
    return SmithFile(
        hand=SmithHand(**factors["hand"]), allowances=SmithAllowances(**factors["allowances"]),
        learnt=Lesson(version=__version__, pieces=found.pieces, **bounds),
    )  # fmt: skip


def _shown(key: str, value: float, units: str) -> str:
    """A factor's figure as a smith reads it."""
    from ..units import change, fine

    if key == "hand.spread":
        return f"{value:.2f}"
    if key == "hand.wrap":
        return change(value, units) if units == "mm" else (
            "0" if abs(value) < 0.0127 else ("+" if value > 0 else "") + fine(value, units)
        )  # fmt: skip
    return f"{value * 100:.2f} %"


def _between(key: str, at: Interval, units: str) -> str:
    low, high = _shown(key, at.low, units), _shown(key, at.high, units)
    for unit in (" %", " in", " mm"):
        if low.endswith(unit) and high.endswith(unit):
            low = low.removesuffix(unit)
    return f"{low} to {high}"


def _lines(found: Learnt, units: str) -> list[str]:
    from ..learn import SETTLED

    counts = found.counts
    said = f"{found.pieces} piece{'s' if found.pieces > 1 else ''}: {counts['ears']} with ears, "
    said += f"{counts['straps']} with straps, {counts['eye']} with an eye, "
    rows = [("Log", f"{said}{counts['mass']} weighed")]
    for factor in found.factors.values():
        rows.append((factor.prior.label, _factor(factor, units)))
    lines = [f"{title:<20} {text}" for title, text in rows]
    lines.append("Bounds hold 19 times in 20, if the pieces to come are like these.")
    rest = []
    if found.taught and found.strap is not None:
        rest.append(("So", found.strap.words(units)))
    for misfit in found.named:
        words = f"{misfit.words(units)}; measure again or leave it out: --without {misfit.piece!r}"
        rest.append(("No fit", words))
    if not found.named:
        rest.append(("No fit", "none: every piece lies within what chance does"))
    for factor in found.factors.values():
        if factor.known < SETTLED:
            more = "more pieces; " if factor.pieces else ""
            rest.append(("Open", f"{factor.prior.label.lower()}: {more}{TEACHES[factor.key]}"))
    rest += [("Unused", text) for text in found.unused[:12]]
    if len(found.unused) > 12:
        rest.append(("", f"and {len(found.unused) - 12} more of that kind; all of them: --json"))
    return [*lines, "", *titled(rest)]


def _factor(factor: Factor, units: str) -> str:
    """What was assumed, what is learnt, its bounds, how far it moved and how well it is known."""
    from ..learn import SETTLED

    key = factor.key
    before = _shown(key, factor.prior.middle, units)
    after = _shown(key, factor.fitted.mid, units)
    bounds = _between(key, factor.fitted, units)
    if not factor.pieces:
        return f"{before}, as before ({bounds}): no piece tells"
    word = "settled" if factor.known >= SETTLED and factor.pieces >= SEVERAL else "helped"
    by = f"{factor.pieces} piece{'s' if factor.pieces > 1 else ''}"
    narrower = 1.0 - math.sqrt(1.0 - factor.known)
    return f"{before} -> {after} ({bounds}), {word} by {by}, bounds {100 * narrower:.0f} % narrower"


def _data(found: Learnt, units: str) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        "units": {"length": "mm", "mass": "g"},
        "pieces": found.pieces,
        "counts": found.counts,
        "factors": {
            key: {
                "prior": asdict(factor.prior.interval), "basis": factor.prior.basis,
                "fitted": asdict(factor.fitted), "moved": factor.moved, "known": factor.known,
                "pieces": factor.pieces,
            }
            for key, factor in found.factors.items()
        },
        "strap": None if found.strap is None else asdict(found.strap),
        "noise": found.noise,
        "misfits": [asdict(misfit) | {"words": misfit.words(units)} for misfit in found.misfits],
        "unused": list(found.unused),
    }  # fmt: skip
