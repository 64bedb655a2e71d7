"""Work that takes long, as it is done in a process of its own: a set, parts to cut, or a nest.

What comes out is byte for byte what ``eyewrap draw``, ``template`` and ``nest`` write.

A request is what the browser sends: ``texts``, ``slug``, ``units`` and ``options``; and, where the
server was started with one, the path of a ``printer``'s file. Faults bear the names of the options.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeAlias, TypeVar

from ..errors import BadInputError, Fault, NotFitToCutError

if TYPE_CHECKING:
    from collections.abc import Collection

    from ..blank import ForgePlan
    from ..pages import Paper
    from ..part_files import PartFiles
    from ..printer import Printer
    from ..profiles import Profile
    from ..templates import Way

Watch = Callable[[str, int, "int | None"], None]
"""Told what is being made, how many steps are done, and of how many; None where that is not known
yet."""

MOST_SETS = 2000
IN_THE_PDF_ALONE = (
    "This is in the PDF alone: SVG and DXF are at true size, and not for this printer."
)
FILES = "files"
"""The folder of a job's files, in its own."""

_T = TypeVar("_T")


# What was asked for ------------------------------------------------------------------------------


@dataclass(frozen=True)
class SetOrder:
    """The patterns of a head, as ``eyewrap draw`` writes them."""

    profile: Profile
    forge: ForgePlan
    units: str
    paper: Paper
    printer: Printer | None
    sheets: Collection[str]
    card: str | None
    dated: bool


@dataclass(frozen=True)
class PartsOrder:
    """The parts to cut for a head, as ``eyewrap template`` writes them."""

    profile: Profile
    forge: ForgePlan
    way: Way


@dataclass(frozen=True)
class NestOrder:
    """So many sets of a head's parts on sheets [mm], as ``eyewrap nest`` writes them.

    Of the ``stock`` that is named; if none is, of the sheet that the parts are cut from.
    """

    parts: PartsOrder
    sheet: tuple[float, float]
    sets: int
    turns: str
    stock: str | None


Order: TypeAlias = SetOrder | PartsOrder | NestOrder


@dataclass(frozen=True)
class Outcome:
    """Every file by name, what could not be made and why, and what to know of the rest."""

    files: dict[str, bytes]
    missing: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


def read(kind: str, request: Mapping[str, Any]) -> Order:
    """What a request asks for.

    Raises :class:`BadInputError` with every fault of options and head, and with each doubt that
    stops the work, since nothing may be made then.
    """
    if kind not in _KINDS:
        raise BadInputError([Fault("kind", _shown(kind), ", ".join(_KINDS), "choose one")])
    faults: list[Fault] = []
    units = request.get("units", "in")
    if units not in ("in", "mm"):
        faults.append(Fault("units", _shown(units), "in or mm", "choose one of these"))
        units = "in"
    options = request.get("options") or {}
    known, make = _KINDS[kind]
    if not isinstance(options, Mapping):
        faults.append(Fault("options", _shown(options), "a table of options"))
        options = {}
    faults += [Fault(_shown(name), "an option that is not known", ", ".join(known), "take it out")
               for name in options if name not in known]  # fmt: skip
    head = _tried(partial(_head, request, units), faults)
    order = make(_Asked(request, options, units, faults), head)
    if faults or order is None:
        raise BadInputError(
            dict.fromkeys(replace(each, field=each.field.removeprefix("--")) for each in faults)
        )
    return order


def _head(request: Mapping[str, Any], units: str) -> tuple[Profile, ForgePlan]:
    from .. import profiles, texts
    from ..blank import plan
    from ..parameters import Design

    given = request.get("texts")
    if not isinstance(given, Mapping) or not all(
        isinstance(text, str) for pair in given.items() for text in pair
    ):
        raise BadInputError([Fault("texts", _shown(given), "a text for each key that is given")])
    slug = request.get("slug")
    raw, faults = texts.to_table(Design, given, units)
    # a name from elsewhere is no path
    name = profiles.slug(slug if isinstance(slug, str) else "")
    profile = profiles.read(raw, name, units, faults)
    forge = plan(profile.design, units)
    if forge.stopped:
        raise BadInputError(
            Fault(
                doubt.field, doubt.message, "a plan that can be forged: nothing is made of another"
            )
            for doubt in forge.doubts
            if doubt.stops
        )
    return profile, forge


@dataclass(frozen=True)
class _Asked:
    """A request's options as they are read; what is at fault adds its faults."""

    request: Mapping[str, Any]
    options: Mapping[str, Any]
    units: str
    faults: list[Fault]

    def text(self, name: str) -> str | None:
        found = self.options.get(name)
        if found is None or isinstance(found, str):
            return found
        self.faults.append(Fault(name, _shown(found), "a text", "write it so"))
        return None

    def flag(self, name: str) -> bool:
        found = self.options.get(name)
        if found is None or isinstance(found, bool):
            return bool(found)
        self.faults.append(Fault(name, _shown(found), "true or false", "choose one"))
        return False


def _set(asked: _Asked, head: tuple[Profile, ForgePlan] | None) -> SetOrder | None:
    from .. import printer as printers
    from ..build import CARDS, sheets_of

    faults, units = asked.faults, asked.units
    printer: Printer | None = None
    if asked.flag("printer"):
        path = asked.request.get("printer")
        if isinstance(path, str | Path):
            printer = _tried(partial(printers.load, Path(path), units), faults)
        else:
            faults.append(Fault("printer", "true", "false: no printer was named at the start",
                                "start the page with --printer FILE"))  # fmt: skip
    text = asked.text("paper")
    paper = _tried(partial(printers.paper_for, printer, text, None, None, units), faults)
    names, sheets = asked.options.get("sheets", "everyday"), None
    if isinstance(names, list) and all(isinstance(each, str) for each in names):
        names = ",".join(names)
    if isinstance(names, str):
        usual = names.strip().lower() == "everyday"
        sheets = _tried(partial(sheets_of, None if usual else names), faults)
    else:
        faults.append(Fault("sheets", _shown(names), "everyday, all, or a list of names"))
    card = asked.text("card")
    card = None if card is None else card.strip().lower()
    if card is not None and card not in CARDS:
        faults.append(Fault("card", _shown(card), " or ".join(CARDS), "choose one"))
    dated = asked.flag("date")
    if head is None or paper is None or sheets is None:
        return None
    return SetOrder(*head, units, paper, printer, sheets, card, dated)


def _parts(asked: _Asked, head: tuple[Profile, ForgePlan] | None) -> PartsOrder | None:
    from .. import processes, templates
    from ..units import NotALengthError

    faults, units = asked.faults, asked.units
    process = asked.text("process")
    name = templates.USUAL_PROCESS if process is None else process
    text, thickness = asked.text("thickness"), templates.USUAL_THICKNESS
    if text is not None:
        try:
            thickness = processes.read_thickness(text)
        except NotALengthError as error:
            faults.append(Fault("thickness", _shown(text), str(error),
                                "measure the sheet, or say its gauge"))  # fmt: skip
            if processes.find(name) is None:
                faults.append(processes.unknown(name))
            return None
    rules = _tried(partial(processes.rules, name, thickness, units), faults)
    letters = asked.text("letters")
    letters = None if letters is None else letters.strip().lower()
    way = None
    if rules is not None:
        way = _tried(partial(templates.way_of, rules, letters, units), faults)
    return None if head is None or way is None else PartsOrder(*head, way)


def _nest(asked: _Asked, head: tuple[Profile, ForgePlan] | None) -> NestOrder | None:
    from .. import nest_files

    faults = asked.faults
    parts = _parts(asked, head)
    size = nest_files.read_size(asked.text("sheet") or "", asked.units, faults)
    sets = _whole(asked.options.get("sets", 1))
    if sets is None:
        faults.append(Fault("sets", _shown(asked.options.get("sets")),
                            f"a whole number from 1 to {MOST_SETS}", "write it so"))  # fmt: skip
    turns = asked.text("turns")
    turned = nest_files.read_turns("quarter" if turns is None else turns, faults)
    stock = asked.text("stock")
    if parts is None or size is None or sets is None:
        return None
    return NestOrder(parts, size, sets, turned, stock)


_CUT = ("process", "thickness", "letters")
_KINDS: dict[str, tuple[tuple[str, ...], Callable[[_Asked, Any], Order | None]]] = {
    "set": (("paper", "sheets", "card", "date", "printer"), _set),
    "parts": (_CUT, _parts),
    "nest": ((*_CUT, "sheet", "sets", "turns", "stock"), _nest),
}


def _whole(value: Any) -> int | None:
    if isinstance(value, str) and value.strip().isascii() and value.strip().isdigit():
        value = int(value.strip()[:10])
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_SETS:
        return value
    return None


def _shown(value: Any) -> str:
    return "nothing" if value is None else repr(value)[:60]


def _tried(make: Callable[[], _T], faults: list[Fault]) -> _T | None:
    """What ``make`` gives; None, with its faults added to the others, if it is at fault."""
    try:
        return make()
    except BadInputError as error:
        faults += error.faults
        return None


# The work ----------------------------------------------------------------------------------------


def run(
    order: Order, scratch: Path, watch: Watch = lambda doing, done, of: None
) -> Outcome:  # fmt: skip
    """Make what is ordered; ``scratch`` is a folder of the work's own, for what it must write.

    Raises :class:`BadInputError` for what shows only in the making: nothing that can be cut so, or
    parts that have no room.
    """
    if isinstance(order, SetOrder):
        return _run_set(order, watch)
    if isinstance(order, PartsOrder):
        made = _made(order, watch)
        return Outcome(made.files, made.missing)
    # how long a search takes, nobody knows
    return _run_nest(order, scratch, lambda doing: watch(doing, 0, None))


def _run_set(order: SetOrder, watch: Watch) -> Outcome:
    from .. import contents
    from ..build import belongs, build
    from ..sheets import steel

    done, of = 0, None

    def begun(doing: str) -> None:
        nonlocal done, of
        if of is None and belongs(doing):  # all are drawn: a file for each, and the rest
            front, cut = contents.NAME in order.sheets, steel.NAME in order.sheets
            of = done + (done + front) + 2 * cut + 1
        watch(doing, done, of)
        done += 1

    built = build(
        order.profile, units=order.units, paper=order.paper, printer=order.printer,
        date=date.today().isoformat() if order.dated else None, forge=order.forge,
        sheets=order.sheets, card=order.card, watch=begun,
    )  # fmt: skip
    notes = []
    if order.printer is not None:
        notes = [f"{order.printer.correction.words} {IN_THE_PDF_ALONE}",
                 *(f"Doubt: {doubt}" for doubt in order.printer.doubts(order.units))]  # fmt: skip
    return Outcome(built.files, built.missing, tuple(notes))


def _made(order: PartsOrder, watch: Watch) -> PartFiles:
    from ..part_files import part_files
    from ..templates import NAMES, USUAL
    from ..to_cut import PLAIN

    begun = 0

    def told(doing: str) -> None:
        nonlocal begun
        if doing in NAMES:
            begun += 1
            watch(f"part: {doing}", begun - 1, len(USUAL) + 1)
        else:  # the files, all in one step
            watch(doing, len(USUAL), len(USUAL) + 1)

    made = part_files(order.forge, order.way, PLAIN, watch=told)
    if not made.made:
        raise BadInputError(
            Fault(name, why, "a part that can be cut so", "take another process or thickness")
            for name, why in made.missing
        )
    return made


def _run_nest(order: NestOrder, scratch: Path, watch: Callable[[str], None]) -> Outcome:
    from .. import cut_set, nest_files, nest_report, output, processes
    from ..nest import Stock
    from ..to_cut import Style
    from ..units import length

    made = _made(order.parts, lambda doing, done, of: watch(doing))
    units = order.parts.way.units
    stock = order.stock
    if stock is None:  # a bit of the sheet's own thickness is of another steel
        templates = [one.template for one in made.made]
        stock = next((each for each in templates if not each.along), templates[0]).stock
    # files go to a nest through the same reader as from anywhere else
    folder = scratch / f"{order.parts.profile.slug}-to-cut"
    output.write(folder, made.files)
    faults: list[Fault] = []
    rows = nest_files.rows(folder.name, cut_set.files(folder), order.sets, stock, faults)
    stocks = nest_files.stocks(rows, faults)
    process, thickness = nest_files.listed_cut(rows)
    if rows and process is None:
        faults.append(Fault("stock", stock, "what is cut from a sheet", "saw these off the bar"))
    wanted = nest_files.wanted(rows, order.turns, None, units, faults)
    if faults or process is None or thickness is None:
        raise BadInputError(faults)
    rules = processes.rules(process, thickness, units)
    plate = Stock(*order.sheet, rules.margin, rules.margin)
    faults += nest_files.no_room(wanted, plate, None, units)
    if faults:
        raise BadInputError(faults)

    def said(number: int, parts: int, long: float) -> None:
        watch(f"sheet {number}: {parts} parts on {length(long, units)}")

    watch("laying boxes")
    found = nest_files.nested(wanted, plate, rules.spacing, watch=said)
    if len(found.sheets) > nest_files.MOST_SHEETS:
        raise BadInputError([Fault("sheet", f"{len(found.sheets)} of them, as the parts were laid",
                                   f"up to {nest_files.MOST_SHEETS}",
                                   "ask for fewer sets, or take a larger sheet")])  # fmt: skip
    watch("writing")
    style = Style(layers=rows[0].file.layers)
    try:
        files = nest_files.files(found, units, style, seed=1, process=process,
                                 thickness=thickness, stock=stocks[0])  # fmt: skip
    except NotFitToCutError as error:
        raise BadInputError([Fault("sheet", str(error), "a sheet that is fit to cut")]) from None
    notes = [nest_report.CUT_SHORT] if found.cut_short else []
    return Outcome(files, made.missing, tuple(notes))


# The process -------------------------------------------------------------------------------------


def serve() -> NoReturn:
    """Be the process of one job: the request on standard input, in one line; on standard output how
    it goes, line by line; the files into the job's folder.

    Standard input stays open as long as whoever began this lives. When it ends, this process ends
    too, with all that it began, and what they all wrote is removed.
    """
    root, ready = Path(sys.argv[1]), "ready" in sys.argv
    out = os.fdopen(os.dup(1), "w", encoding="ascii")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # no library speaks in between

    def tell(**told: Any) -> None:
        print(json.dumps(told), file=out, flush=True)

    if hasattr(os, "nice"):
        os.nice(5)  # the page comes first
    if ready:
        _load()
    line = _line()
    if not line:  # whoever began this is gone
        shutil.rmtree(root, ignore_errors=True)
        os._exit(0)
    asked = json.loads(line)
    folder = Path(asked["folder"])
    threading.Thread(target=_outlive, args=(root,), daemon=True).start()
    try:
        tell(doing="reading the head", done=0, of=None)
        order = read(asked["kind"], asked["request"])
        outcome = run(order, folder, lambda doing, done, of: tell(doing=doing, done=done, of=of))
        from .. import output

        try:
            output.write(folder / FILES, outcome.files)
        except BadInputError as error:  # the system's doing, not of what was asked
            tell(error=f"the files could not be kept: {error.faults[0].change}")
            os._exit(0)
        sizes = [[name, len(content)] for name, content in outcome.files.items()]
        tell(files=sizes, missing=outcome.missing, notes=outcome.notes)
    except BadInputError as error:
        tell(faults=[asdict(fault) for fault in _plain(error.faults)])
    except Exception as error:  # whatever it is, it must end as words
        words = " ".join(str(error).split())[:200]
        tell(error=f"the work broke off, by a fault of the program: {type(error).__name__}"
             + (f", {words}" if words else ""))  # fmt: skip
    os._exit(0)


def _plain(faults: Sequence[Fault]) -> list[Fault]:
    return [replace(fault, field=fault.field.removeprefix("--")) for fault in faults]


def _line() -> bytes:
    """The first line of standard input; past any buffer, since another thread reads on."""
    found = bytearray()
    while not found.endswith(b"\n"):
        some = os.read(0, 1 << 16)
        if not some:
            return b""
        found += some
    return bytes(found)


def _outlive(root: Path) -> None:
    """Wait until whoever began this is gone; then leave nothing behind."""
    with contextlib.suppress(OSError):
        while os.read(0, 1):
            pass
    shutil.rmtree(root, ignore_errors=True)
    if hasattr(os, "killpg") and os.getpgrp() == os.getpid():
        os.killpg(0, signal.SIGKILL)
    os._exit(1)


def _load() -> None:
    """Read in beforehand what every kind of work needs."""
    from .. import build, nest_files, part_files  # noqa: F401
    from ..writers import dxf, pdf, svg  # noqa: F401

    with contextlib.suppress(ImportError, OSError):
        import cairosvg  # noqa: F401
        import pikepdf  # noqa: F401
