"""Bars for the head, a piece's forecast, and trial pieces that put the pattern right.

The same words and figures as ``choose``, ``predict`` and ``learn`` print, as plain data. What is
told comes as texts by key, and faults bear that key.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any, TypeAlias

from .. import (
    choice,
    forecast,
    forecast_report,
    learn_report,
    log_row,
    logbook,
    output,
    piece,
    rack,
    rack_report,
    reading,
    rounding,
    rows,
    starting,
)
from .. import learn as lessons
from .. import texts as flat
from ..blank import ForgePlan
from ..contour import Contour, Piece, around
from ..drawing import Purpose
from ..errors import BadInputError, Fault
from ..forecast import ForecastEye
from ..handles import fits, handles
from ..learn import Learnt
from ..logbook import Entry
from ..parameters import Design
from ..piece import Piece as BarAndMarks
from ..plan_view import PlanView
from ..rack import Rack
from ..resize import sold_near
from ..schema import Spec, spec_at, specs, value_at
from ..sensitivity import piece_of as exact_piece
from ..sources import SAW_KERF
from ..units import MM_PER_INCH, both, length, mass
from ..writers.common import number, path
from .answers import planned
from .form import Group

Texts: TypeAlias = Mapping[str, str]

LARGEST = 200_000
"""Letters of a rack that the browser sends."""

MOST_BARS = 200
"""Rows of such a rack: each may ask for a plan of its own."""

SOLD = 24
"""Sizes that are tried where nobody told of a rack."""

SOLD_LENGTH = {"in": 144.0 * MM_PER_INCH, "mm": 3000.0}
"""What a bar that is sold is taken to be long [mm]: common practice. Only that a piece comes out of
it rests on this."""

MOST_PIECES = 2_000
"""Trial pieces that the page takes in; a longer log is for the command."""

PIECE_GROUPS = (
    Group("bar", "Bar and marks", ("name", "bar", "fold.form", "marks")),
    Group("strap", "Straps and eye", ("strap", "eye", "fold.waist", "fold.lap", "fold.lap_bar")),
    Group("bit", "Bit and finish", ("bit", "finish")),
    Group("hands", "My hands", ("hand", "allowances")),
)
"""A piece's fields as a smith comes to them."""

ENTRY_GROUPS = (
    Group("before", "Before the fire", ("name", "fold", "section", "length", "poll", "shoulders",
                                        "mass_in", "bit_mass")),
    Group("fire", "At the fire", ("heats", "bit_heats", "bite", "step", "edges", "drawn_left",
                                  "drawn_right")),
    Group("forged", "Forged, before grinding", ("wall", "ears", "mass_out", "welded")),
    Group("eye", "The eye", ("eye_form", "eye_length", "eye_width", "eye_perimeter", "eye_ratio",
                             "eye_nose", "eye_exponent", "sides_forward", "drift_stretch")),
    Group("note", "Note", ("note",)),
)  # fmt: skip
"""A trial piece's fields in the order in which a smith measures."""


# Bars --------------------------------------------------------------------------------------------


def choose(
    design: Design, units: str = "in", *, path: Path | None = None, written: str | None = None,
    kerf: float | None = None,
) -> dict[str, Any]:  # fmt: skip
    """Which bar for this head: those of a rack, the best first, or those that are sold.

    Parameters
    ----------
    design : the head
    units : of what is shown, in or mm
    path : the smith's own rack, if one was named
    written : a rack as CSV text, which is taken in its place
    kerf : what the saw takes [mm]; a bandsaw's, if not given

    Returns
    -------
    dict
        ``from`` (rack, text or sold) and ``said``; ``ranking``, ``currency``, ``kerf``; ``rows``,
        each with ``name``, ``section``, ``steel``, ``can``, ``own`` (the head's bar as it is),
        ``figures`` of one that can, ``notes``, ``why`` one cannot, and ``texts``: what to put into
        the head to take it.

    Raises
    ------
    BadInputError
        With every fault of the rack.
    """
    bars, source = _bars(design, units, path, written)
    taken = SAW_KERF.inside if kerf is None else kerf
    found, ranking = choice.choose(design, bars, taken, units), choice.RANKING
    if source == "sold":  # no length, no price: what is left and what it costs decides nothing
        place = {stock.name: i for i, stock in enumerate(bars)}
        able = [each for each in found if each.can]
        able.sort(key=lambda each: (*choice.rank(each)[:2], place[each.stock.name]))
        found = (*able, *(each for each in found if not each.can))
        ranking = "; ".join([*ranking.split("; ")[:2], "nearest to the bar as it is"])
    said = {
        "rack": "bars of your own rack",
        "text": "bars of the rack that you gave",
        "sold": "sizes that are commonly sold, not your own rack",
    }
    return {
        "name": design.name,
        "from": source,
        "said": said[source],
        "kerf": both(taken, units),
        "ranking": ranking,
        "currency": rack.prices_in(bars),
        "rows": [_bar(each, design, units, source) for each in found],
    }


def _bars(
    design: Design, units: str, path: Path | None, written: str | None
) -> tuple[Rack, str]:  # fmt: skip
    if written is not None and written.strip():
        if len(written) > LARGEST:
            raise BadInputError(
                [Fault("rack", f"{len(written):,} letters", f"up to {LARGEST:,}",
                       "is this the right file?")]
            )  # fmt: skip
        return rack.read(written, units, MOST_BARS), "text"
    if path is not None:
        return rack.load(path, units), "rack"
    own, inch = design.bar.section, units == "in"
    sold = (s for s in sold_near(own, inch, SOLD) if math.dist(s, own) > 1e-6)
    return tuple(
        rack.Stock(section=size, length=SOLD_LENGTH[units], name=starting.section(size, inch))
        for size in (own, *sold)
    ), "sold"


OF_A_RACK = ("length", "count", "pieces", "all", "left", "waste", "cost")
"""Figures that say nothing of a bar that nobody has."""


def _bar(each: choice.Choice, design: Design, units: str, source: str) -> dict[str, Any]:
    stock = each.stock
    told = rack_report.figures(each, units) if each.plan is not None else {}
    spelt = starting.section(stock.section, "in" in _spelling(stock.section))
    texts = {"bar.section": spelt} | ({"bar.steel": stock.steel} if stock.steel else {})
    notes = []
    if each.plan is not None:
        notes = [f"ears: {each.plan.spread.verdict}", *(doubt.message for doubt in each.doubts)]
    same_steel = not stock.steel or stock.steel == design.bar.steel
    return {
        "name": stock.name,
        "section": spelt,
        "steel": stock.steel,
        "can": each.can,
        "own": stock.section == design.bar.section and same_steel,
        "figures": {
            key.replace(" ", "_"): text for key, text in told.items()
            if key != "section" and (source != "sold" or key not in OF_A_RACK)
        },
        "notes": [note for note in notes if note not in each.reasons] + list(each.remarks),
        "why": list(each.reasons),
        "texts": texts,
    }  # fmt: skip


def _spelling(section: tuple[float, float]) -> str:
    """The unit in which a section is said in few figures."""
    return min(("in", "mm"), key=lambda unit: len(starting.section(section, unit == "in")))


# A piece of bar ----------------------------------------------------------------------------------


def predict(
    texts: Texts, units: str = "in", want: str = "", *, learnt: bool = False
) -> dict[str, Any]:  # fmt: skip
    """What a piece of bar with its marks gives.

    Parameters
    ----------
    texts : the piece, by the keys of :class:`patterns.piece.Piece`
    units : of what is shown, in or mm
    want : the perimeter of the eye that is wanted, if one is
    learnt : whether its scale per heat comes from the smith's own pieces

    Returns
    -------
    dict
        ``rows`` (label and text) as the command prints them, but for ``sizes``: its table of the
        eye's forms. ``picture``: eye, walls and poll from above, and ``eye``, its sizes. Of what
        the rows say, by itself: ``fits``, ``ways``, ``doubts``, ``assumed``. ``shown``: what keys
        that were not given come to.

    Raises
    ------
    BadInputError
        With every fault, by the piece's keys; that of ``want`` under that name.
    """
    raw, faults = flat.to_table(BarAndMarks, _sound(texts), units)
    wanted = None
    if want.strip():
        try:
            wanted = forecast.read_wanted(want.strip(), "want", units)
        except BadInputError as error:
            faults += error.faults
    told = replace(piece.read(raw, units, faults), learnt=learnt)
    found = forecast.forecast(told, units)
    near = fits(handles(None, units), found.perimeter)
    ways = None
    if wanted is not None:
        try:
            ways = forecast.ways_to(found, wanted, units)
        except BadInputError as error:
            raise BadInputError(replace(fault, field="want") for fault in error.faults) from None
    head, *sizes = forecast_report.size_table(found, units)
    within = [fit for fit in near if fit.fits] or near[:1]
    eye, strap = found.eye.eye, found.strap
    shown = {
        "strap.wall": strap.wall, "strap.drawn": strap.divider, "strap.height": strap.height,
        "strap.ears": strap.ears, "eye.width": eye.width,
    }  # fmt: skip
    return {
        "rows": _rows(forecast_report.rows(found, near, ways, units, sizes=False)),
        "sizes": {"head": list(head), "rows": [list(row) for row in sizes]},
        "picture": _from_above(found.eye),
        "eye": {
            "form": found.eye.form,
            "length": both(eye.length, units),
            "width": both(eye.width, units),
            "perimeter": both(eye.perimeter, units),
        },
        "fits": [
            {
                "handle": fit.handle.handle,
                "text": forecast_report.beside(fit, units),
                "fits": fit.fits,
                "close": abs(fit.more) <= forecast_report.CLOSE,
            }
            for fit in within
        ],
        "ways": [text for _, text in forecast_report.way_rows(found, ways, units)] if ways else [],
        "doubts": list(found.doubts),
        "assumed": list(found.assumed),
        "shown": {k: length(v, units) for k, v in shown.items() if k not in told.given},
    }


def _from_above(found: ForecastEye) -> dict[str, Any]:
    """Eye, walls and poll, looking down the handle: x from the poll's back, y down."""
    view = found.view
    half = view.poll_width / 2.0
    if half:
        poll = Contour.rectangle(0.0, -half, view.poll_thickness, half)
        metal = [poll, view.wall_half, view.wall_half.flipped()]
    else:
        metal = [_whole_wall(view)]
    eye = found.eye.contour.moved(view.eye_back, 0.0)
    ends = view.eye_front + view.wall
    lines = [(Purpose.OUTLINE.value, contour) for contour in [*metal, eye]]
    lines.append((Purpose.CENTRE.value, Contour.line((-view.wall, 0.0), (ends, 0.0))))
    box = around([contour for _, contour in lines])
    return {
        "box": [float(number(v)) for v in (box.left, -box.top, box.width, box.height)],
        "paths": [{"purpose": "fill", "d": path(contour, 0.0, 0.0)} for contour in metal]
        + [{"purpose": purpose, "d": path(contour, 0.0, 0.0)} for purpose, contour in lines],
    }


def _whole_wall(view: PlanView) -> Contour:
    """The wall where it runs on round the back: from one shoulder to the other, in one piece."""
    end = Piece(*view.shoulder, *view.cap)
    inside = [p.backwards() for p in reversed(view.eye_wall)]
    upper = [*view.skin_wall, end, *inside]
    return Contour.of_pieces([*upper, *(p.flipped().backwards() for p in reversed(upper))])


def piece_of(forge: ForgePlan, units: str = "in") -> dict[str, str]:
    """The head's own bar and marks as a piece's texts, to begin from.

    Lengths are in full where that takes few figures, and else to a ten-thousandth of an inch or a
    thousandth of a millimetre.
    """
    whole = exact_piece(forge).piece
    told = ((key, spec, value_at(whole, key)) for key, spec in specs(BarAndMarks))
    return {
        key: _spelt(value, spec, units == "in") for key, spec, value in told if value is not None
    }


def _spelt(value: Any, spec: Spec, inch: bool) -> str:
    if spec.kind == "length":
        return _length(value, inch)
    if spec.kind == "section":
        return starting.section(value, "in" in _spelling(value))
    if spec.kind == "percent":
        return flat.text_of(round(value, 6), spec)
    return flat.text_of(value, spec)


def _length(mm: float, inch: bool) -> str:
    """A length in few figures, in either unit where these are all; like lengths stay alike.

    >>> _length(31.75, True), _length(31.7, True), _length(31.71234567, False), _length(0.0, True)
    ('1 1/4 in', '31.7 mm', '31.712 mm', '0 in')
    """
    whole = starting.length(mm, inch)
    if "/" in whole or len(whole) <= len("1234.56 mm"):
        return whole
    return f"{_few(mm / MM_PER_INCH, 4)} in" if inch else f"{_few(mm, 3)} mm"


# Trial pieces ------------------------------------------------------------------------------------


def learn(pieces: Sequence[Texts], units: str = "in", texts: Texts | None = None) -> dict[str, Any]:
    """What trial pieces have taught, and what that does to a head's pattern.

    Parameters
    ----------
    pieces : each by the keys of :class:`patterns.logbook.Entry`
    units : of what is shown, in or mm
    texts : the head, if there is one

    Returns
    -------
    dict
        ``rows`` (label and text) as the command prints them, ``bounds``: what its bounds mean;
        ``factors``, each with ``key``, ``label``, ``text``, whether it was ``taught`` and is
        ``settled``; ``misfits``, each with the ``piece``'s place in the list, from 0. ``texts``:
        what to put into the head. ``figures``: ``name``, ``label``, ``was``, ``now`` and whether it
        ``moved``; none where the head has ``faults``, as it is or with the new factors.

    Raises
    ------
    BadInputError
        With every fault of the pieces: ``2.wall`` is the wall of the third.
    """
    if not pieces:
        raise BadInputError([Fault("pieces", "none", "at least one trial piece", "enter one")])
    if len(pieces) > MOST_PIECES:
        raise BadInputError([_too_many(len(pieces))])
    log = logbook.of_texts(
        [_sound(told, f"{i}.") for i, told in enumerate(pieces)], units,
        lambda line, key: f"{line - 1}.{key}",
    )  # fmt: skip
    log = tuple(_called(row) for row in log)
    found = lessons.learn(log)
    taught = factor_texts(found, units)
    figures, faults = _put_right(texts, taught, units)
    more = learn_report.more_rows(found, units, leave_out=lambda _: "", every="")
    places = {row.line: row.line - 1 for row in log}
    return {
        "pieces": found.pieces,
        "rows": _rows([*learn_report.factor_rows(found, units), *more]),
        "bounds": learn_report.BOUNDS,
        "factors": [
            {
                "key": key,
                "label": factor.prior.label,
                "text": learn_report.factor_text(factor, units),
                "taught": key in found.taught,
                "settled": learn_report.settled(factor),
            }
            for key, factor in found.factors.items()
        ],
        "misfits": [
            {"piece": places[odd.line], "kind": odd.kind, "text": odd.words(units)}
            for odd in found.named
        ],
        "texts": taught,
        "figures": figures,
        "faults": [asdict(fault) for fault in faults],
    }


def _called(row: rows.Row) -> rows.Row:
    """A piece without a name is called by its place in the list."""
    named = row.value.name.strip() or f"piece {row.line}"
    return replace(row, value=replace(row.value, name=named))


def _too_many(count: int) -> Fault:
    return Fault("pieces", f"{count:,}", f"up to {MOST_PIECES:,} on the page",
                 "a longer log is for: eyewrap learn LOG")  # fmt: skip


def factor_texts(found: Learnt, units: str = "in") -> dict[str, str]:
    """The factors that were taught as a head has them, in no more figures than they are worth.

    A thousandth of spread or of a per cent, or a hundredth of a millimetre of wrap, is far within
    their bounds.
    """
    told = {}
    for key, factor in found.taught.items():
        value, kind = factor.fitted.mid, spec_at(Design, key).kind
        if kind == "length":
            told[key] = f"{_few(value, 2)} mm" if units == "mm" else _length(value, True)
        elif kind == "percent":
            told[key] = f"{_few(value * 100.0)} %"
        else:
            told[key] = _few(value)
    return told


def _few(value: float, places: int = 3) -> str:
    figures = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if figures == "-0" else figures


def _put_right(
    texts: Texts | None, taught: Texts, units: str
) -> tuple[list[dict[str, Any]], tuple[Fault, ...]]:
    """The figures of a head before and after; its faults, where it has any."""
    if not texts:
        return [], ()
    try:
        before, after = (
            dict(_figures(planned(told, units), units)) for told in (texts, {**texts, **taught})
        )
    except BadInputError as error:
        return [], error.faults
    return [
        {"name": name, "label": label, "was": was, "now": now, "moved": was != now}
        for name, (label, was) in before.items()
        for _, now in [after.get(name, (label, "none"))]
    ], ()


LABELS = {
    "cut": "Cut", "poll": "Poll marks", "shoulders": "Shoulder marks",
    "shoulder mark": "Shoulder mark", "dividers": "Dividers", "lap": "Lap", "bit": "Bit, cut",
    "plate": "Plate, cut",
}  # fmt: skip
"""What each figure of :func:`patterns.rounding.figures` that a smith marks or cuts is called."""


def _figures(forge: ForgePlan, units: str) -> Iterator[tuple[str, tuple[str, str]]]:
    """What is marked and cut, each with its label and its text."""
    told = rounding.figures(forge, units)
    other = "shoulder mark" if forge.fold.halves == 2 else "shoulders"
    for name, label in LABELS.items():
        if name in told and name != other and not (name == "poll" and not forge.poll):
            yield name.replace(" ", "_"), (label, rounding.beside(forge, name, units))
    if not forge.undrawn:
        tall = both(forge.spread.natural_height, units)
        yield "height", ("Walls by drawing alone", f"{tall} high; {forge.spread.verdict}")
    yield (
        "mass",
        ("Bar weighs", mass(next(s.mass for s in forge.stages if s.name == "bar cut"), units)),
    )


def entry_of(forge: ForgePlan, units: str = "in") -> dict[str, str]:
    """The log's row for a head with what the plan lays down already in it.

    That is the bar, its marks, the form of eye and shoulder, and how the straps are worked, all to
    be put right where the smith did otherwise. What is measured, weighed or counted is left out:
    straps as drawn, wall, ears, eye, masses, heats. Empty where no log takes pieces of the fold.
    """
    if not forge.fold.logged:
        return {}
    design, inch = forge.design, units == "in"
    eye, forward = design.eye, design.poll.sides_forward
    told = {
        "name": design.name,
        "fold": forge.fold.name,
        "section": starting.section(design.bar.section, "in" in _spelling(design.bar.section)),
        "length": rounding.hit(forge, "cut", units),
        "poll": rounding.hit(forge, "poll", units) if forge.poll else f"0 {units}",
        "shoulders": rounding.hit(forge, "shoulders", units),
        "eye_form": eye.form,
        "step": _few(design.hand.step),
        "bite": _length(design.hand.bite, inch),
        "edges": forge.spread.edges,
    }
    if eye.form == "teardrop":
        told["eye_nose"] = _length(eye.front_radius, inch)
    if eye.form == "superellipse":
        told["eye_exponent"] = _few(eye.exponent)
    if forward:
        told["sides_forward"] = _length(forward, inch)
    if design.allowances.drift_stretch:
        told["drift_stretch"] = f"{_few(design.allowances.drift_stretch * 100.0)} %"
    return told


# The log's file ----------------------------------------------------------------------------------

_WRITING = threading.Lock()
"""Two windows of one page add to the log one after the other."""


def read_log(path: Path, units: str = "in") -> list[dict[str, str]]:
    """The pieces of a log as texts, each with its own unit; none where the file is still to come.

    Raises :class:`BadInputError` with every fault of the file, by row and column.
    """
    content = logbook.content(path)
    if content is None:
        return []
    text = logbook.text_of(content)
    found = logbook.read(text, units, least=0)
    if len(found) > MOST_PIECES:
        raise BadInputError([_too_many(len(found))])
    return rows.texts_of(Entry, text)[1]


def append(
    path: Path, texts: Texts, units: str = "in", *, leave_out: bool = False
) -> dict[str, Any]:  # fmt: skip
    """Add a piece to a log, under its own headings; a new log gets every heading.

    The rest of the file stays to the byte, and a run that fails leaves all of it as it was.

    Parameters
    ----------
    path : the log that was named at the start
    texts : the piece, by the keys of :class:`patterns.logbook.Entry`
    units : of messages and of a new log's headings, in or mm
    leave_out : what the file has no column for is left out; if not, it is a fault

    Returns
    -------
    dict
        ``row``, its number in the file; ``new``, whether the file is; ``said``, a sentence; and
        ``left``, key, label and text of what was left out.

    Raises
    ------
    BadInputError
        With every fault of the piece, by its keys, or of the file.
    """
    told = _sound(texts)
    with _WRITING:
        try:
            real = path.resolve()  # what a link stands for is written, and the link stays
        except (OSError, RuntimeError):  # a link that leads round to itself
            real = path
        with output.alone(real.parent):
            before = logbook.content(real)
            added = log_row.with_row(before, told, units, leave_out=leave_out)
            if logbook.content(real) != before:
                raise BadInputError(
                    [Fault("log", f"{path.name!r}, which another program has just changed",
                           "a log that is left alone meanwhile", "save the piece again")]
                )  # fmt: skip
            try:
                output.replace(real, added.content, new=before is None)
            except OSError as error:
                raise BadInputError(
                    [Fault("log", repr(path.name), "a file that can be written",
                           f"the system says: {error.strerror or error}")]
                ) from None  # fmt: skip
    labels = dict(specs(Entry))
    left = [{"key": k, "label": labels[k].label, "text": told[k]} for k in added.left]
    said = f"Row {added.line} of {path.name}"
    if left:
        said += f"; it has no column for {', '.join(each['label'].lower() for each in left)}"
    return {"row": added.line, "new": before is None, "said": f"{said}.", "left": left}


# Texts -------------------------------------------------------------------------------------------


def _sound(texts: Any, before: str = "") -> dict[str, str]:
    """Texts by key, as they must be; raises :class:`BadInputError` where they are not."""
    if not isinstance(texts, Mapping):
        raise BadInputError(
            [Fault(before.rstrip(".") or "piece", reading.given(texts), "texts by key",
                   "say it so")]
        )  # fmt: skip
    faults = [
        Fault(f"{before}{reading.named(str(key))}", reading.given(text), "a text", "say it so")
        for key, text in texts.items() if not isinstance(text, str) or not isinstance(key, str)
    ]  # fmt: skip
    if faults:
        raise BadInputError(faults)
    return dict(texts)


def _rows(told: Sequence[tuple[str, str]]) -> list[dict[str, str]]:
    return [{"label": label, "text": text} for label, text in told]
