"""``eyewrap processes``: what laser, plasma, waterjet and hand ask of a part, source by source."""

from __future__ import annotations

import argparse
import dataclasses

from ..errors import BadInputError, Fault
from .common import DONE, Commands, add_units, command, say, units_of

EXAMPLES = """\
examples:
  eyewrap processes
  eyewrap processes --thickness "16 ga"
  eyewrap processes plasma --thickness "3/16 in"
  eyewrap processes laser --thickness "1.5 mm" --kerf "0.2 mm" --units mm
"""


def add(commands: Commands) -> None:
    parser = command(
        commands, "processes", _processes, brief="what laser, plasma, waterjet and hand ask of a "
        "part in sheet",
        description="Without a name, the processes known; with a thickness, compared in that "
        "sheet. With a name and a thickness, every rule with its figure, source and basis: kerf, "
        "holes, slots, webs, letters, marks, tolerances, feeds.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("name", metavar="NAME", nargs="?",
                        help="laser, plasma, waterjet or hand")  # fmt: skip
    parser.add_argument("--thickness", metavar="SIZE",
                        help='of the sheet, as "3/16 in", "1.5 mm" or "16 ga" (plain sheet '
                        "steel)")  # fmt: skip
    parser.add_argument("--kerf", metavar="LENGTH",
                        help="width of cut of the machine itself, in place of the "
                        "table's")  # fmt: skip
    parser.add_argument("--json", action="store_true",
                        help="all figures as JSON, in mm, mm/s and s")  # fmt: skip
    add_units(parser)


def _processes(options: argparse.Namespace) -> int:
    from .. import process_report as report
    from ..processes import find, processes, rules
    from ..steel_report import as_json

    units, faults = units_of(options)
    thickness = _thickness(options.thickness, faults)
    kerf = _kerf(options, faults)
    name = options.name
    if name is not None:
        faults += _asked(name, thickness, kerf, units, options)
    elif thickness is not None:
        faults += _in_reach(thickness, units, options.thickness)
    if faults:
        raise BadInputError(faults)
    if name is not None:
        process = find(name)
        assert process is not None
        assert thickness is not None
        if options.json:
            say([as_json(report.data(process, thickness, kerf))])
        else:
            say(report.sheet(process, thickness, units, kerf))
        return DONE
    if thickness is None:
        found = [report.summary(process) for process in processes()]
        say([as_json(found)] if options.json else report.table(units))
        return DONE
    able = [process for process in processes() if process.cuts(thickness)]
    if options.json:
        say([as_json([report.data(process, thickness) for process in able])])
    else:
        say(report.compared([rules(process.name, thickness) for process in able], units))
    return DONE


def _thickness(text: str | None, faults: list[Fault]) -> float | None:
    from ..processes import read_thickness
    from ..units import NotALengthError

    if text is None:
        return None
    try:
        return read_thickness(text)
    except NotALengthError as error:
        faults.append(Fault("--thickness", repr(text[:60]), str(error), "write it so"))
        return None


def _kerf(options: argparse.Namespace, faults: list[Fault]) -> float | None:
    from ..units import NotALengthError, read_length

    if options.kerf is None:
        return None
    if options.name is None:
        faults.append(Fault("--kerf", repr(options.kerf[:60]), "with one process",
                            "name the process too"))  # fmt: skip
    try:
        return read_length(options.kerf)
    except NotALengthError as error:
        faults.append(Fault("--kerf", repr(options.kerf[:60]), str(error), "write it so"))
        return None


def _asked(
    name: str, thickness: float | None, kerf: float | None, units: str,
    options: argparse.Namespace,
) -> list[Fault]:  # fmt: skip
    """What is wrong with a process in a sheet, in the command's words."""
    from ..processes import checked, find, unknown
    from ..units import both_limits

    process = find(name)
    if thickness is not None:
        given = {"NAME": repr(name[:60]), "--thickness": repr(options.thickness[:60]),
                 "--kerf": repr((options.kerf or "")[:60])}  # fmt: skip
        try:
            checked(name, thickness, units, kerf=kerf)
        except BadInputError as error:
            named = [dataclasses.replace(each, field=each.field.replace("--process", "NAME"))
                     for each in error.faults]  # fmt: skip
            return [dataclasses.replace(each, given=given[each.field]) for each in named]
        return []
    if process is None:
        return [dataclasses.replace(unknown(name), field="NAME")]
    if options.thickness is not None:  # its fault is there already
        return []
    return [Fault("--thickness", "nothing", both_limits(*process.limits, units),
                  'say the sheet, as --thickness "3/16 in" or "16 ga"')]  # fmt: skip


def _in_reach(thickness: float, units: str, given: str) -> list[Fault]:
    from ..processes import processes
    from ..units import both_limits

    if any(process.cuts(thickness) for process in processes()):
        return []
    thin = min(process.limits[0] for process in processes())
    thick = max(process.limits[1] for process in processes())
    return [Fault("--thickness", repr(given[:60]), both_limits(thin, thick, units),
                  "none of the processes cuts it: take another sheet")]  # fmt: skip
