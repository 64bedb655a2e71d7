"""The one road from a profile to the bytes of every file.

Command and page both come this way, so that what is shown and what is cut cannot differ.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import partial

from . import card as cards
from . import contents, pages, report, templates
from .blank import ForgePlan, plan
from .drawing import Drawing
from .errors import BadInputError, Fault, MissingLibraryError, NotFitToCutError
from .lettering import plain
from .pages import Legend, Page, Paper
from .printer import Printer
from .profiles import Profile
from .sheets import EVERYDAY, SHEETS, steel

NAMES = (contents.NAME, *(sheet.NAME for sheet in SHEETS))
"""What may be drawn, by name."""

CARDS = {"txt": cards.as_text, "md": cards.as_markdown}
"""The shop card as text, by the file's ending."""


_DRAWINGS = "|".join(
    [f"0-{contents.NAME}", *(f"{n}-{sheet.NAME}" for n, sheet in enumerate(SHEETS, 1))]
)
_FILE = re.compile(
    rf"({_DRAWINGS})(-[a-z0-9-]+)?\.svg|(blank|head|bit|plate)-(in|mm)\.dxf"
    rf"|card\.({'|'.join(CARDS)})"
)


def belongs(name: str) -> bool:
    """Whether a file's name is one that a set may have or not, as it was asked for.

    >>> [belongs(name) for name in ("3-head.svg", "3-hat.svg", "8-card-1-earlier.svg")]
    [True, False, False]
    """
    return "-earlier." not in name and _FILE.fullmatch(name) is not None


def sheets_of(asked: str | None) -> Collection[str]:
    """The names of the sheets that are asked for, with commas between; the everyday ones, if none.

    Raises :class:`BadInputError` with a fault for each name that there is no sheet of.

    >>> sheets_of("Card, bit")
    ['card', 'bit', 'figures']
    """
    if asked is None:
        return EVERYDAY
    names = [name.strip().lower() for name in asked.split(",")]
    if names == ["all"]:
        return NAMES
    faults = []
    for name in dict.fromkeys(names):
        if name not in NAMES:
            near = difflib.get_close_matches(name[:40], NAMES, n=1)
            faults.append(
                Fault(
                    "--sheets", repr(name[:60]), f"all, {', '.join(NAMES)}",
                    f"did you mean {near[0]}?" if near else "choose among these",
                )
            )  # fmt: skip
    if faults:
        raise BadInputError(faults)
    return [*names, "figures"] if "card" in names else names


@dataclass(frozen=True)
class Set:
    """A built set: file names with their bytes, and what could not be made and why."""

    plan: ForgePlan
    files: dict[str, bytes]
    missing: tuple[tuple[str, str], ...] = ()


def legend(forge: ForgePlan, units: str, date: str | None = None) -> Legend:
    """What stands at the foot of every page."""
    return Legend(
        plain(forge.design.name), report.recipe(forge, units), report.revision(forge.design), date
    )


def drawings(
    forge: ForgePlan, units: str, names: Collection[str] = EVERYDAY
) -> Iterator[tuple[str, Drawing]]:
    """The drawings of the sheets that are named, in order, each with the name of its SVG."""
    for number, sheet in enumerate(SHEETS, 1):
        if sheet.NAME in names:
            for drawing in sheet.draw(forge, units):
                yield f"{number}-{drawing.name}.svg", drawing


def laid(
    forge: ForgePlan,
    foot: Legend,
    *,
    units: str = "in",
    paper: Paper | str = "letter",
    printer: Printer | None = None,
    sheets: Collection[str] = EVERYDAY,
    watch: Callable[[str], None] = lambda doing: None,
) -> list[tuple[str, Drawing, tuple[Page, ...]]]:
    """The drawings of the sheets that are named, contents first: each with its SVG's name and the
    pages of paper that show it."""
    lay = partial(
        pages.lay, legend=foot, paper=paper,
        correction=None if printer is None else printer.correction,
    )  # fmt: skip
    found = []
    for name, drawing in drawings(forge, units, sheets):
        watch(drawing.title)
        found.append((name, drawing, lay(drawing)))
    if contents.NAME in sheets:
        front = contents.draw(forge, units, [(drawing, on) for _, drawing, on in found])
        found.insert(0, (f"0-{front.name}.svg", front, lay(front)))
    return found


def build(
    profile: Profile,
    *,
    units: str = "in",
    paper: Paper | str = "letter",
    printer: Printer | None = None,
    date: str | None = None,
    forge: ForgePlan | None = None,
    sheets: Collection[str] = EVERYDAY,
    card: str | None = None,
    watch: Callable[[str], None] = lambda doing: None,
) -> Set:
    """Make every file of a profile's set.

    Parameters
    ----------
    profile : the design with its given keys
    units : ``"in"`` or ``"mm"``, for what is written on the sheets
    paper : as :func:`patterns.pages.read_paper` gives it, or its name
    printer : corrects the PDF, and nothing else: the other files are not for paper
    date : printed on the sheets if given
    forge : the plan of the profile's design, if it was made already
    sheets : names of the sheets to draw, of :data:`NAMES`; with *steel* come the files to cut
    card : an ending of :data:`CARDS`, for the shop card as text too
    watch : is told what is made next

    Raises
    ------
    BadInputError
        With every fault of the design or the paper, before anything is written.
    """
    from .writers import dxf, pdf, svg

    forge = forge or plan(profile.design, units)
    foot = legend(forge, units, date)
    drawn = laid(
        forge, foot, units=units, paper=paper, printer=printer, sheets=sheets, watch=watch
    )  # fmt: skip
    files = {"plan.json": report.as_json(profile, forge)}
    for name, drawing, _ in drawn:
        watch(name)
        files[name] = svg.write(pages.fitted(drawing, foot), drawing)
    if card is not None:
        files[f"card.{card}"] = CARDS[card](cards.card(forge, units)).encode()
    missing: list[tuple[str, str]] = []
    for unit in ("in", "mm") if steel.NAME in sheets else ():
        watch(f"files to cut, in {'inches' if unit == 'in' else 'mm'}")
        found = templates.templates(forge, templates.usual_way(unit), templates.PATTERNS)
        missing += [
            (f"{name}-{unit}.dxf", "; ".join(map(str, faults)))
            for name, faults in found.refused.items()
        ]
        for template in found.made:
            name = f"{template.name}-{unit}.dxf"
            try:
                files[name] = dxf.write(template.drawing(), unit)
            except NotFitToCutError as error:  # better no file than one that spoils a plate
                missing.append((name, str(error)))
    name = f"{profile.slug}.pdf"
    watch(name)
    try:
        files[name] = pdf.write(
            [(drawing, on) for _, drawing, on in drawn], plain(forge.design.name)
        )
    except MissingLibraryError as error:
        missing.append((name, str(error)))
    return Set(forge, files, tuple(missing))
