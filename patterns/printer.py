"""What a printer does to lengths: its test page, what was measured on it, and the two factors.

Few printers are true to a part in a hundred, and many are true one way and short the other, since
one way is the laser's sweep or the carriage's and the other the rollers' feed. The smith prints a
page with long bars, measures them with a rule and types what he reads; the factors follow from
that. They hold for one printer with one paper from one tray.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from . import reading
from .contour import Bounds
from .drawing import Drawing, Purpose
from .errors import BadInputError, Fault
from .lettering import plain
from .pages import LEAST_MARGIN, MARGIN, Correction, Page, Paper, as_paper, read_paper
from .profiles import slug
from .schema import length_field
from .schema import text_field as text
from .sheets.layout import Board
from .units import MM_PER_INCH, NotALengthError, at_most, both, both_limits, read_length

MOST = 0.03
"""Largest correction. What is further off is no printer's habit, but a page scaled to fit."""

READING = MM_PER_INCH / 64.0
"""What one length may be read wrong by [mm]: half a mark of 1/32 in at each end of the rule, taken
together; the program's own choice."""

LONGEST_BAR = 600.0
"""A long rule's length [mm]; longer bars would have to be measured in two goes."""

LEAST_BARS = (180.0, 230.0)
"""Shortest level and upright bar [mm]: between them the page has room for its words."""

ARM = 3.0
"""How far the lines run on beyond a cross [mm]."""

_PIECE = 30.0  # of a diagonal, drawn at each of its ends
_INCH_PAPERS = ("letter", "legal", "tabloid")


@dataclass(frozen=True, kw_only=True)
class Told:
    """Which printer, and the paper that was measured."""

    name: str = text("Name", 40, "of the printer, as it stands on every sheet")
    paper: str = text("Paper", 60, "as --paper has it")


@dataclass(frozen=True, kw_only=True)
class Bar:
    """A bar of the test page."""

    drawn: float = length_field("Drawn", "50 mm", "5080 mm", "as it should be", required=True)
    measured: float = length_field("Measured", "40 mm", "6000 mm", "as it is", required=True)

    @property
    def factor(self) -> float:
        """What this printer's lengths are to be multiplied by.

        >>> Bar(drawn=254.0, measured=250.952).factor
        1.0121457489878543
        """
        return self.drawn / self.measured


@dataclass(frozen=True, kw_only=True)
class Diagonals:
    """From corner to corner of the test page."""

    rising: float | None = length_field("Rising", "40 mm", "9000 mm", "to the upper right")
    falling: float | None = length_field("Falling", "40 mm", "9000 mm", "to the lower right")


@dataclass(frozen=True, kw_only=True)
class Printer:
    """A printer as it was measured; the schema of its file."""

    printer: Told
    level: Bar
    upright: Bar
    diagonals: Diagonals = dataclasses.field(default_factory=Diagonals)

    @property
    def name(self) -> str:
        return plain(self.printer.name)

    @property
    def correction(self) -> Correction:
        """For the pages, see :func:`patterns.pages.lay`."""
        return Correction(self.name, self.level.factor, self.upright.factor)

    def takes(self, paper: Paper) -> bool:
        """Whether the paper is the one that was measured, but for margin and overlap."""
        own = as_paper(self.printer.paper)
        return math.isclose(own.width, paper.width, abs_tol=0.5) and (
            own.height is paper.height is None
            or math.isclose(own.height or 0.0, paper.height or 0.0, abs_tol=0.5)
        )

    def doubts(self, units: str = "in") -> list[str]:
        """What the diagonals say against the two bars, in words; nothing where they agree.

        With sides L and U that lean by s from square, the diagonals are
        ``r^2, f^2 = L^2 + U^2 +- 2 L U sin s``: so ``sin s = (r^2 - f^2) / (4 L U)``, and
        ``(r^2 + f^2) / 2`` is what the sides alone make it, however the sheet leans.
        """
        across, along = self.level.measured, self.upright.measured
        rising, falling = self.diagonals.rising, self.diagonals.falling
        sides = math.hypot(across, along)
        slack = READING * (1.0 + (across + along) / sides)  # of a diagonal and of both sides
        if rising is not None and falling is not None:
            found = []
            if abs(rising - falling) > 2.0 * READING:
                off = (rising**2 - falling**2) / (4.0 * across)
                found.append(f"{self._skew(off, units)}; {_ASKEW}")
            mean = math.sqrt((rising**2 + falling**2) / 2.0)
            if abs(mean - sides) > slack:
                found.append(
                    f"the diagonals make {both(mean, units)} of what the two bars make "
                    f"{both(sides, units)}: one of the four was misread; measure all of them again"
                )
            return found
        for name, one, sign in (("rising", rising, 1.0), ("falling", falling, -1.0)):
            if one is not None and abs(one - sides) > slack:
                off = sign * (one**2 - sides**2) / (2.0 * across)
                return [
                    f"the {name} diagonal measures {both(one, units)} where the two bars make it "
                    f"{both(sides, units)}: a length was misread, or {self._skew(off, units)}; "
                    f"measure the other diagonal too; {_ASKEW}"
                ]
        return []

    def _skew(self, off: float, units: str) -> str:
        side = "right" if off > 0.0 else "left"
        return (
            f"skew: the print is out of square by {both(abs(off), units)} over the upright's "
            f"{both(self.upright.measured, units)}, leaning to the {side}"
        )


_ASKEW = (
    "no factor mends that: feed a fresh sheet straight, print and measure again, or use another "
    "printer"
)


# Measuring -------------------------------------------------------------------------------------


def bars(paper: Paper) -> tuple[float, float]:
    """Lengths of the level and the upright bar on a paper's test page [mm].

    In half inches on letter, legal and tabloid, in steps of 10 mm on every other paper: by the
    paper alone, never by the units chosen, so that nobody can measure one and type it as the other.

    >>> bars(as_paper("letter")), bars(as_paper("a4"))
    ((190.5, 254.0), (180.0, 270.0))
    """
    step = MM_PER_INCH / 2.0 if paper.name in _INCH_PAPERS else 10.0
    level = _round(paper.width, step)
    return level, max(level, 250.0) if paper.height is None else _round(paper.height, step)


def paper_faults(paper: Paper, units: str = "in") -> list[Fault]:
    """A paper on which the words have no room between the crosses."""
    if all(bar >= least for bar, least in zip(bars(paper), LEAST_BARS, strict=True)):
        return []
    edge = 2.0 * (MARGIN + ARM)
    width, height = (both(bar + edge, units) for bar in LEAST_BARS)
    return [
        Fault("--paper", repr(paper.name), f"{width} by {height} or more", "take a larger paper")
    ]


def _round(side: float, step: float) -> float:
    inside = min(side - 2.0 * (MARGIN + ARM), LONGEST_BAR)
    return math.floor(inside / step + 1e-9) * step


def measured(
    name: str, paper: Paper, given: Mapping[str, str | None], units: str = "in"
) -> Printer:
    """A printer from what was measured on its test page, as it was typed.

    ``given`` holds *level* and *upright*, perhaps *rising* and *falling*. Raises
    :class:`BadInputError` with every fault; fields are the options that they came from.
    """
    faults = [*name_faults(name), *paper_faults(paper, units)]
    drawn = dict(zip(("level", "upright"), bars(paper), strict=True))
    found: dict[str, float] = {}
    for key, said in given.items():
        if said is None:
            if key in drawn:
                faults.append(
                    Fault(f"--{key}", "nothing", "the bar's length as measured",
                          "measure it: the factors need both bars")
                )  # fmt: skip
            continue
        try:
            found[key] = read_length(said)
        except NotALengthError as error:
            faults.append(Fault(f"--{key}", repr(said[:60]), str(error), "write it so"))
    for key, should in drawn.items():
        if key in found:
            faults += _too_far(f"--{key}", should, found[key], units)
    if faults:
        raise BadInputError(faults)
    sides = math.hypot(found["level"], found["upright"])
    for key in ("rising", "falling"):
        if key in found and abs(found[key] / sides - 1.0) > MOST:
            faults.append(
                Fault(f"--{key}", repr(given[key]), both_limits(
                      sides * (1 - MOST), sides * (1 + MOST), units),
                      "measure it anew, from cross to cross")
            )  # fmt: skip
    if faults:
        raise BadInputError(faults)
    return Printer(
        printer=Told(name=name, paper=paper.name),
        level=Bar(drawn=drawn["level"], measured=found["level"]),
        upright=Bar(drawn=drawn["upright"], measured=found["upright"]),
        diagonals=Diagonals(rising=found.get("rising"), falling=found.get("falling")),
    )


def name_faults(name: str) -> list[Fault]:
    """A printer's name must be printable, and give a file's name."""
    shown = repr(name[:60])
    if not name.strip() or len(name) > 40 or not name.isprintable():
        return [Fault("NAME", shown, "a name of 1 to 40 printable letters", "name the printer")]
    if not any(c.isascii() and c.isalnum() for c in name):
        return [Fault("NAME", shown, "a name with a plain letter or figure", "name it otherwise")]
    return []


def _too_far(field: str, drawn: float, found: float, units: str) -> list[Fault]:
    if found > 0.0 and abs(drawn / found - 1.0) <= MOST + 1e-12:
        return []
    off = 100.0 * (found / drawn - 1.0)
    way = "long" if off > 0.0 else "short"
    return [
        Fault(
            field, f"{both(found, units)}, {abs(off):.1f} % {way}",
            f"{both_limits(drawn / (1.0 + MOST), drawn / (1.0 - MOST), units)} for a bar of "
            f"{both(drawn, units)}",
            "so far off, 'fit to page' or another scaling is on, or this is another paper: switch "
            "it off, print the test page again at 100 % and measure it",
        )
    ]  # fmt: skip


# The file --------------------------------------------------------------------------------------


def as_toml(printer: Printer, given: Mapping[str, str | None]) -> str:
    """The file's text: lengths as drawn, and as the smith wrote them."""

    def quoted(value: str) -> str:
        return json.dumps(value, ensure_ascii=False)

    lines = [
        "# What a printer does to lengths, measured on its test page. Give it to draw:",
        "# --printer FILE. It holds for this printer with this paper; the factors are drawn over",
        "# measured.",
        "",
        "[printer]",
        f"name = {quoted(printer.printer.name)}",
        f"paper = {quoted(printer.printer.paper)}",
    ]
    for key, bar in (("level", printer.level), ("upright", printer.upright)):
        lines += [
            "",
            f"[{key}]",
            f'drawn = "{_plainly(bar.drawn, printer.printer.paper)}"',
            f"measured = {quoted(str(given[key]))}",
        ]
    told = [(key, said) for key in ("rising", "falling") if (said := given.get(key)) is not None]
    if told:
        lines += ["", "[diagonals]", *(f"{key} = {quoted(said)}" for key, said in told)]
    return "\n".join(lines) + "\n"


def _plainly(drawn: float, paper: str) -> str:
    return f"{drawn / MM_PER_INCH:g} in" if paper in _INCH_PAPERS else f"{drawn:g} mm"


_TABLES = {"printer", "level", "upright"}
"""What makes a TOML file a printer's."""


def is_one(path: Path) -> bool:
    """Whether a file is a printer's, right or wrong in what it says."""
    try:
        return set(reading.toml_file(path)) >= _TABLES
    except BadInputError:
        return False


def load(path: Path, units: str = "in", option: str = "--printer") -> Printer:
    """Read a printer's file; raises :class:`BadInputError` with every fault."""
    raw = reading.toml_file(path, option, "what eyewrap printer writes")
    if not _TABLES & set(raw):
        given = repr(str(path)[:120])
        change = "eyewrap printer makes one: see eyewrap printer --help"
        raise BadInputError([Fault(option, given, "a printer's file", change)])
    table = reading.table(Printer, raw, units)
    faults = reading.in_order(Printer, table.faults, raw)
    found: Printer = table.value
    for key in ("level", "upright"):
        bar: Bar = getattr(found, key)
        if not table.bad & {f"{key}.drawn", f"{key}.measured"}:
            faults += _too_far(f"{key}.measured", bar.drawn, bar.measured, units)
    if "printer.paper" not in table.bad and not (wrong := _paper_faults(found, units)):
        faults += _too_long(found, table.bad, units)
    elif "printer.paper" not in table.bad:
        faults += wrong
    if "printer.name" not in table.bad:
        faults += [
            dataclasses.replace(fault, field="printer.name")
            for fault in name_faults(found.printer.name)
        ]
    if faults:
        raise BadInputError(
            dataclasses.replace(fault, field=f"{option}, {fault.field}") for fault in faults
        )
    return found


def paper_for(
    printer: Printer | None, text: str | None, margin: str | None = None,
    overlap: str | None = None, units: str = "in",
) -> Paper:  # fmt: skip
    """The paper that is asked for; without a word the one that the printer was measured on, or
    letter.

    Raises :class:`BadInputError` with every fault, that of another paper than was measured too.
    """
    usual = "letter" if printer is None else printer.printer.paper
    asked = usual if text is None else text
    paper = read_paper(asked, margin, overlap, units)
    if printer is not None and not printer.takes(paper):
        raise BadInputError(
            [
                Fault(
                    "--paper", repr(asked[:60]), f"{usual}, which {printer.name} was measured on",
                    "another paper may go through another way: print a test page on it, with "
                    "eyewrap printer NAME --paper",
                )
            ]
        )  # fmt: skip
    return paper


def _too_long(found: Printer, bad: Collection[str], units: str) -> list[Fault]:
    """Bars that the paper does not hold: no test page has them."""
    paper = as_paper(found.printer.paper)
    sides = {"level": paper.width, "upright": paper.height or LONGEST_BAR}
    return [
        Fault(
            f"{key}.drawn", both(getattr(found, key).drawn, units),
            f"what the paper holds, up to {at_most(most, units)}", "print the test page anew",
        )
        for key, most in sides.items()
        if f"{key}.drawn" not in bad and getattr(found, key).drawn > most
    ]  # fmt: skip


def _paper_faults(found: Printer, units: str) -> list[Fault]:
    try:
        read_paper(found.printer.paper, f"{LEAST_MARGIN} mm", None, units)
    except BadInputError as error:
        return [dataclasses.replace(fault, field="printer.paper") for fault in error.faults]
    return []


# The test page ---------------------------------------------------------------------------------


def measuring_page(name: str, paper: Paper, units: str = "in") -> tuple[Drawing, Page]:
    """A page, upright, with a level and an upright bar from cross to cross, and both diagonals.

    The crosses are the corners of one rectangle; its lower side is the level bar, its left side
    the upright one. Only the ends of the diagonals are drawn, and the middle holds what to do.
    """
    level, upright = bars(paper)
    height = upright + 2.0 * (MARGIN + ARM) if paper.height is None else paper.height
    left, low = (paper.width - level) / 2.0, (height - upright) / 2.0
    right, top = left + level, low + upright
    board = Board(units)
    _crosses(board, Bounds(left, low, right, top))
    _names(board, Bounds(left, low, right, top), units)
    _words(board, Bounds(left + 24.0, low, right - 22.0, top - 14.0), name, paper, units)
    drawing = board.drawing("printer", f"Test page of {plain(name)}")
    whole = Bounds(0.0, 0.0, paper.width, height)
    page = Page("1", paper.width, height, Drawing("", ""), whole, 0.0, 0.0)
    return drawing, page


def _crosses(board: Board, box: Bounds) -> None:
    left, low, right, top = box.left, box.bottom, box.right, box.top
    thin = Purpose.DIMENSION
    board.line(thin, (left - ARM, low), (right + ARM, low))
    board.line(thin, (left, low - ARM), (left, top + ARM))
    for x, y in ((right, low), (left, top), (right, top)):
        if y == top:
            board.line(thin, (x - ARM, y), (x + ARM, y))
        if x == right:
            board.line(thin, (x, y - ARM), (x, y + ARM))
    share = _PIECE / math.hypot(box.width, box.height)
    dx, dy = share * box.width, share * box.height
    for x, way_x in ((left, 1.0), (right, -1.0)):
        for y, way_y in ((low, 1.0), (top, -1.0)):
            board.line(thin, (x, y), (x + way_x * dx, y + way_y * dy))


def _names(board: Board, box: Bounds, units: str) -> None:
    """Each bar's name along it."""
    middle_x, middle_y = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
    level = f"LEVEL: {both(box.width, units)} from cross to cross"
    upright = f"UPRIGHT: {both(box.height, units)} from cross to cross"
    board.text(level, middle_x, box.bottom + 3.0, 3.6, "middle")
    board.text(upright, box.left + 3.0 + 3.6, middle_y, 3.6, "middle", 90.0)


def _words(board: Board, box: Bounds, name: str, paper: Paper, units: str) -> None:
    x, wide, y = box.left, box.width, box.top - 6.5
    board.text("PRINTER TEST PAGE", x, y, 6.5, bold=True)
    y -= 9.0
    y = board.paragraph(f"{plain(name)}, {paper.name} paper. No pattern.", x, y, wide, 3.6)
    y -= 2.0
    for said in (
        "Print at 100 %, actual size, on the paper and from the tray that the patterns will come "
        "from. Another paper or tray may come out otherwise: a test page for each.",
        "Lay the sheet flat. Measure from cross to cross with the longest good rule there is, to "
        "the finest mark that can be read; write it down:",
    ):
        y = board.paragraph(said, x, y, wide, 3.0) - 1.5
    y -= 3.0
    diagonal = both(math.hypot(*bars(paper)), units)
    level, upright = (both(bar, units) for bar in bars(paper))
    for what, drawn in (
        ("level, at the foot", level),
        ("upright, at the left", upright),
        ("rising, to the upper right", diagonal),
        ("falling, to the lower right", diagonal),
    ):
        board.text(what, x, y, 3.0)
        board.text(drawn, x + 58.0, y, 3.0)
        board.line(Purpose.DIMENSION, (x + 104.0, y - 1.0), (min(x + 140.0, x + wide), y - 1.0))
        y -= 10.0
    file = f"{slug(name)}.toml"
    y = board.paragraph("Then type it, with its unit, on one line:", x, y, wide, 3.0) - 1.0
    given = f'"{plain(name)}"' if " " in name else plain(name)
    size = f'"{paper.name}"' if " " in paper.name else paper.name
    for line in (
        f"eyewrap printer {given} --paper {size}",
        '--level "..." --upright "..." --rising "..." --falling "..."',
        f"--file {file}",
    ):
        y = board.paragraph(line, x + 6.0, y, wide - 6.0, 3.0)
    y = board.paragraph("and draw with it:", x, y - 1.5, wide, 3.0) - 1.0
    y = board.paragraph(f"eyewrap draw PROFILE --printer {file}", x + 6.0, y, wide - 6.0, 3.0)
    y -= 1.5
    for said in (
        "Off by more than 3 %: 'fit to page' or another scaling is on. Switch it off and print "
        "this page again.",
        "The check bars on every sheet stay the proof: measure them before use.",
    ):
        y = board.paragraph(said, x, y, wide, 3.0) - 1.5
