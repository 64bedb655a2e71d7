"""Sheets as they will print: the same pages as in the PDF, each as an SVG."""

from __future__ import annotations

from typing import Any

from .. import build
from ..blank import plan
from ..errors import BadInputError, Fault
from ..pages import PAPERS
from ..printer import Printer
from ..profiles import Profile
from ..reading import given
from ..sheets import EVERYDAY, SHEETS
from ..units import length
from ..writers import svg

NAMES = tuple(sheet.NAME for sheet in SHEETS)
"""Sheets that can be looked at by themselves; the contents page belongs to a whole set."""


TITLES = {
    "blank": "The bar and its marks",
    "straps": "The straps drawn out",
    "head": "The finished head",
    "bit": "The bit",
    "eye": "The eye, and a strip of paper",
    "steel": "Proof of the steel pattern",
    "log": "Log to fill in at the anvil",
    "card": "Shop card",
    "figures": "Every figure",
    "stages": "The stages, one by one",
    "gauges": "Gauges",
    "drift": "The drift",
    "handle": "The handle",
    "edge-cover": "Cover for the edge",
}
"""What a sheet shows, for a list to choose from."""


def papers(units: str) -> list[dict[str, str]]:
    """The papers that have a name, with their sizes."""
    called = {name: name.upper() if name[-1].isdigit() else name for name in PAPERS}
    return [
        {"name": name, "title": f"{called[name]}, {_size(*PAPERS[name], units)}"} for name in PAPERS
    ]


def _size(width: float, height: float, units: str) -> str:
    if units == "in":
        return f"{length(width, units).removesuffix(' in')} x {length(height, units)}"
    return f"{width:g} x {height:g} mm"


def sheets() -> list[dict[str, Any]]:
    """Every sheet with what it is, in the order of printing."""
    return [{"name": name, "title": TITLES[name], "everyday": name in EVERYDAY} for name in NAMES]


def sheet(
    profile: Profile, units: str, name: str, paper: str = "letter", printer: Printer | None = None
) -> dict[str, Any]:
    """The pages of one sheet.

    Raises :class:`BadInputError` for a name that there is none of, and with the head's faults.
    """
    if name not in NAMES:
        raise BadInputError([Fault("sheet", given(name), ", ".join(NAMES), "choose one")])
    forge = plan(profile.design, units)
    foot = build.legend(forge, units)
    drawn = build.laid(forge, foot, units=units, paper=paper, printer=printer, sheets=(name,))
    return {
        "title": "; ".join(drawing.title for _, drawing, _ in drawn),
        "pages": [
            {
                "name": page.name, "of": page.of, "title": drawing.title,
                "width": page.width, "height": page.height,
                "svg": svg.write(page, drawing).decode(),
            }
            for _, drawing, on in drawn
            for page in on
        ],
    }  # fmt: skip
