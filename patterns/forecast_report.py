"""What a piece of bar gives, to read and as data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from .forecast import Forecast, ForecastEye, Ways
from .forging.density import steel_mass
from .handles import Fit
from .piece import Piece
from .units import both, fine, length, mass, section

CLOSE = 3.2
"""An eye so near a handle's perimeter fits it [mm], an eighth of an inch: a margin of our own."""


def rows(
    found: Forecast, near: Sequence[Fit], ways: Ways | None, units: str = "in", *,
    sizes: bool = True,
) -> list[tuple[str, str]]:  # fmt: skip
    """What a piece gives, each row a title and a text; a row without a title goes on with the last.

    ``near`` are the handles as :func:`patterns.handles.fits` gives them. The ``sizes`` of each form
    of eye are set in columns of letters of one width.
    """
    piece, strap, eye, bar = found.piece, found.strap, found.eye.eye, found.piece.bar
    low, high = found.perimeter.low, found.perimeter.high
    told = [
        ("Piece", f"{section(bar.section)}, cut {both(bar.length, units)}; {_marks(piece, units)}"),
        ("Fold", piece.fold.rules.brief),
        ("Straps", f"{both(strap.raw, units)} each; dividers {both(strap.divider, units)} at a "
                   f"wall of {fine(strap.wall, units)}"),
        ("Ears", f"walls {both(strap.height, units)} high on the mean; "
                 f"{both(strap.ears, units)} from tip to tip"),
        ("Eye", f"{both(eye.perimeter, units)} round; {length(low, units)} to "
                f"{length(high, units)} with the wall 1/32 in thicker to thinner"),
    ]  # fmt: skip
    for i, (form, *cells) in enumerate(size_table(found, units) if sizes else ()):
        columns = f"{form:<13}" + "".join(f"{cell:<24}" for cell in cells).rstrip()
        told.append(("" if i else "Sizes", columns))
    told += handle_rows(near, units)
    forged = found.forged
    zones = [("poll", forged.poll), ("walls", forged.walls), ("blade", forged.blade)]
    zones = [(name, volume) for name, volume in [*zones, ("bit", forged.bit or 0.0)] if volume]
    told.append(("Forged", ", ".join(f"{k} {mass(steel_mass(v), units)}" for k, v in zones)))
    told.append(("Head", f"{mass(found.mass.mid, units)}; {mass(found.mass.low, units)} to "
                         f"{mass(found.mass.high, units)}"))  # fmt: skip
    if ways is not None:
        told += way_rows(found, ways, units)
    told += [("Doubt", text) for text in found.doubts]
    told += [("Assumed" if i == 0 else "", text) for i, text in enumerate(found.assumed)]
    return told


def _marks(piece: Piece, units: str) -> str:
    shoulders = both(piece.marks.shoulders, units)
    if piece.fold.rules.halves == 1:
        return f"shoulder mark {shoulders} from the tongue's end"
    poll = f"poll marks {both(piece.marks.poll, units)} apart, " if piece.marks.poll else ""
    return f"{poll}shoulder marks {shoulders}"


def size_table(found: Forecast, units: str = "in") -> list[tuple[str, ...]]:
    """The size of the eye of each form, as told and with the wall thicker and thinner; a head."""
    head = ("wall", "thicker 1/32 in", "as told", "thinner 1/32 in")
    return [head, *((form, *(_size(eye, units) for eye in at)) for form, at in found.eyes.items())]


def _size(eye: ForecastEye | None, units: str) -> str:
    if eye is None:
        return "none"
    return f"{length(eye.eye.length, units)} x {length(eye.eye.width, units)}"


def handle_rows(near: Sequence[Fit], units: str = "in") -> list[tuple[str, str]]:
    """The handles that fit or are in reach of it; where there are none, the nearest."""
    within = [fit for fit in near if fit.fits]
    told = [
        ("Fits" if abs(fit.more) <= CLOSE else "In reach", beside(fit, units)) for fit in within
    ]  # fmt: skip
    if not within:
        told.append(("Fits", "no handle of the table"))
        told += [("Nearest", beside(fit, units)) for fit in near[:1]]
    return told


def beside(fit: Fit, units: str = "in") -> str:
    """A handle, and what the eye is beside it."""
    handle, by = fit.handle, length(abs(fit.more), units)
    eye = f"the eye is {by} too {'small' if fit.more > 0 else 'large'} round"
    if abs(fit.more) < 0.2:
        eye = "the eye is just so"
    return (
        f"{handle.handle}: {handle.form}, {length(handle.length, units)} x "
        f"{length(handle.width, units)}, {both(handle.perimeter, units)} round; {eye}"
    )


def way_rows(found: Forecast, ways: Ways, units: str = "in") -> list[tuple[str, str]]:
    """What to change for the eye that is wanted, each way by itself."""
    marks = found.piece.marks
    rows = [
        ("Wanted", f"{both(ways.perimeter, units)} round: either"),
        ("", f"set the dividers to {both(ways.divider, units)} for each strap, not "
             f"{both(found.strap.divider, units)}: the wall is then {fine(ways.wall_then, units)}"),
        ("", f"or mark the shoulders {both(ways.shoulders, units)} apart, not "
             f"{both(marks.shoulders, units)}, and draw to the same wall"),
    ]  # fmt: skip
    if ways.shoulders >= found.piece.bar.length:
        rows[-1] = ("", "(no shoulder marks on this bar give it at the same wall)")
    if ways.wall is not None:
        rows.append(("", f"or keep the marks and draw the walls to {fine(ways.wall, units)}, not "
                         f"{fine(found.strap.wall, units)}"))  # fmt: skip
    return rows


def data(found: Forecast, near: Sequence[Fit], ways: Ways | None) -> dict[str, Any]:
    """All figures: lengths in mm, masses in g."""
    eye, strap, view = found.eye.eye, found.strap, found.eye.view
    return {
        "units": {"length": "mm", "volume": "mm3", "mass": "g"},
        "strap": asdict(strap),
        "eye": {
            "perimeter": asdict(found.perimeter),
            "form": found.eye.form,
            "length": eye.length,
            "width": eye.width,
            "cap_length": view.cap_length,
            "forms": {
                form: [
                    None if e is None else
                    {"wall": e.view.wall, "length": e.eye.length, "width": e.eye.width,
                     "perimeter": e.eye.perimeter}
                    for e in at
                ]
                for form, at in found.eyes.items()
            },
        },
        "ears": {"height": strap.ears, "mean_height": strap.height},
        "forged": asdict(found.forged),
        "blade": {"volume": found.forged.blade},
        "head": {"mass": asdict(found.mass)},
        "handles": [
            {"handle": fit.handle.handle, "perimeter": fit.handle.perimeter, "fits": fit.fits,
             "more": fit.more}
            for fit in near
        ],
        "wanted": None if ways is None else asdict(ways),
        "assumed": list(found.assumed),
        "doubts": list(found.doubts),
    }  # fmt: skip
