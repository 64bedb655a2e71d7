"""The drift: its views with the marks to drive to, its sections, and the bar for it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..blank import ForgePlan
from ..contour import Contour, Point
from ..drawing import Drawing, Purpose
from ..drift import (
    DRESSED,
    FINISHING,
    HEATS,
    LEAST_TAPER,
    MOST_OFF,
    ROUND,
    WARM,
    Drift,
    Mark,
    Stock,
    drifts,
    stock,
)
from ..lettering import width
from ..units import MM_PER_INCH, fine, length, mass, temperature
from .common import best
from .layout import CAUTION, FIGURE, NOTE, OFF, Board
from .words import AID, HOT_WORK

NAME = "drift"
TITLE_TEXT = "Drift: views, with the marks to drive to"
SECTIONS_TITLE = "Drift: sections and stations"
STOCK_TITLE = "Drift: the bar for it"

HEADING = 6.5
STEP = {"in": MM_PER_INCH / 2.0, "mm": 10.0}
"""Distance of two stations [mm]."""
WIDE = 246.0
"""Width of the words [mm]: a sheet of letter, lying."""
BETWEEN = 8.4
"""From the side view to the edge view [mm]."""
LANE = 5.4
"""From one mark's words to the next [mm]."""
TICK = 2.0
SMALL = 2.5
"""Numbers of the stations, and a long table of them [mm]."""
MANY = 18
"""Rows of the table of stations beyond which it is set smaller."""
GAP = 18.0
"""From one section to the next, for a dimension [mm]."""
UNDER = 20.5
"""The same, downwards."""

STRUCK_SAFE = (
    "Grind the bevel anew when the struck end mushrooms: its turned edge flies off under the "
    "hammer. Hold the drift in tongs."
)


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """For each drift its views, its sections with the stations, and its stock."""
    made = drifts(plan.head)
    found: list[Drawing] = []
    for drift in made:
        name = NAME if len(made) == 1 else f"{NAME}-{drift.side}"
        found += [
            _views(plan, drift, units, name),
            best(
                (
                    _sections(drift, units, f"{name}-sections", drift.stations(STEP[units]), broad)
                    for broad in (200.0, WIDE)
                ),
                units,
            ),
            _stock(plan, drift, units, f"{name}-stock"),
        ]
    return tuple(found)


# Views -------------------------------------------------------------------------------------------


def side_outline(drift: Drift, across: bool = False) -> Contour:
    """The drift from its broad side, or ``across`` from its narrow one; its axis at y = 0."""
    places = [0.0, *(part.end for part in drift.parts)]
    half = [drift.size(s)[1 if across else 0] / 2.0 for s in places]
    upper = list(zip(places, half, strict=True))
    return Contour.polygon([*((x, -y) for x, y in upper), *reversed(upper)])


def _views(plan: ForgePlan, drift: Drift, units: str, name: str) -> Drawing:
    board = Board(units)
    long, wide = drift.size(drift.working[1])
    base = -(long / 2.0 + BETWEEN + wide / 2.0)  # the edge view's axis
    bevel = drift.part("bevel").start
    for at, which in ((0.0, 0), (base, 1)):
        board.add(side_outline(drift, which == 1), Purpose.OUTLINE, at=(0.0, at))
        board.line(Purpose.CENTRE, (-3.0, at), (drift.length + 3.0, at))
        for s in (*drift.working, bevel):
            out = drift.size(s)[which] / 2.0
            board.line(Purpose.THIN, (s, at - out), (s, at + out))
    foot = base - wide / 2.0
    for i, s in enumerate(drift.stations(STEP[units])[:-1]):
        for at, which in ((0.0, 0), (base, 1)):
            out = drift.size(s)[which] / 2.0
            board.line(Purpose.THIN, (s, at - out - 0.4), (s, at - out - 0.4 - TICK))
        board.text(str(i), s, foot - 3.2 - SMALL, SMALL, "middle")

    top = _marks(board, drift, long / 2.0, foot)
    left = min(-3.0, *(label.outline().bounds.left for label in board.labels))
    board.across(drift.middle, drift.hot, base + wide / 2.0 + 2.6, length(drift.on, units),
                 height=NOTE)  # fmt: skip
    for at, which in ((0.0, 0), (base, 1)):
        great = drift.size(drift.working[1])[which] / 2.0
        board.upright(at - great, at + great, drift.length + 5.0, length(2.0 * great, units),
                      starts=(bevel, bevel), height=NOTE)  # fmt: skip
    low = _chain(board, drift, foot - 13.0)

    clear = 3.0 if units == "in" else 2.2  # fractions hang lower
    up = board.paragraph(_how(drift, units), left, top + clear, WIDE, NOTE, upwards=True)
    only = f" from {drift.side}" if len(drifts(plan.head)) > 1 else ""
    board.text(
        f"DRIFT{only}  {length(drift.length, units)} long, {mass(drift.mass, units)}",
        left, up + 1.0, HEADING, bold=True,
    )  # fmt: skip
    board.paragraph(f"{STRUCK_SAFE} {HOT_WORK} {AID}", left, low - 4.6, WIDE, CAUTION)
    return board.drawing(name, TITLE_TEXT)


def _chain(board: Board, drift: Drift, y: float) -> float:
    """The lengths of the parts, one after another; returns how low they reach."""
    first, last = drift.working
    low = y
    for x0, x1, word in (
        (0.0, first, "lead"), (first, last, "working part"), (last, drift.length, "struck end"),
    ):  # fmt: skip
        figure, middle = length(x1 - x0, board.units), (x0 + x1) / 2.0
        board.line(Purpose.DIMENSION, (x0, y), (x1, y))
        for x, way in ((x0, math.pi), (x1, 0.0)):
            board.line(Purpose.DIMENSION, (x, y - OFF), (x, y + OFF))
            board.arrow(x, y, way)
        if board.fits(f"{word} {figure}", x1 - x0 - 2.0, NOTE):
            board.text(f"{word} {figure}", middle, y + 2.6, NOTE, "middle")
        else:
            short = word if board.fits(word, x1 - x0 - 2.0, NOTE) else word.split()[0]
            board.text(short, middle, y + 2.6, NOTE, "middle")
            board.text(figure, middle, y - 2.6 - NOTE, NOTE, "middle")
            low = y - 4.0 - NOTE
    return low


def _marks(board: Board, drift: Drift, top: float, foot: float) -> float:
    """Lines across both views, each with its words beside its upper end; returns the highest."""
    level = top - 0.4
    for mark, words, bold in drawn_marks(drift):
        level += LANE
        purpose = Purpose.CENTRE if mark.name == "middle" else Purpose.THIN
        board.line(Purpose.MARK if bold else purpose, (mark.at, level), (mark.at, foot))
        board.text(f"{words}, {length(mark.at, board.units)}", mark.at - 1.5, level - NOTE,
                   NOTE, "right", bold=bold)  # fmt: skip
    return level


MERGED = 1.0
"""Marks nearer than this are drawn as one [mm]."""


def drawn_marks(drift: Drift) -> list[tuple[Mark, str, bool]]:
    """The marks as they are drawn, in their order, with their words; whether they are bold."""
    ends = {"above": "top", "below": "bottom"}
    found: list[tuple[Mark, str, bool]] = []
    for mark in drift.marks:
        if mark.name == "middle":
            found.append((mark, "middle of the eye", False))
        elif mark.name == "middle, hot":
            found.append((mark, "middle of the eye, hot", False))
        else:
            side, _, state = mark.name.partition(", ")
            hot = state == "hot"
            end = "HOT: DRIVE TO HERE" if hot else f"cold, {ends[side]} of the wall"
            if hot and len(drift.mouths) > 1:
                end += f" FROM {side.upper()}"
            twin = [i for i, (other, _, bold) in enumerate(found)
                    if bold == hot and other.name.endswith(f", {state}")
                    and abs(other.at - mark.at) < MERGED]  # fmt: skip
            if twin:
                other, _, bold = found[twin[0]]
                word = "HOT: DRIVE TO HERE" if hot else "cold, end of the wall"
                found[twin[0]] = (other, word, bold)
            else:
                found.append((mark, end, hot))
    return found


def _how(drift: Drift, units: str) -> str:
    """How it is used, in words that a newcomer follows."""
    ends = {"above": "top", "below": "bottom", "both": "end"}
    waisted = drift.mouths[0][0] == drift.off[0][0]
    if drift.side == "both":
        way = "Waisted eye: drive it in from above, then from below, small end first"
    elif waisted:
        way = f"Waisted eye: this one goes in from {drift.side} only, small end first"
    else:
        way = f"Drive it in from {drift.side}, small end first"
    return (
        f"{way}; in a cold head, to the cold mark. A hot eye must be larger, for it shrinks: drive "
        f"on by {length(drift.on, units)} to the HOT mark, level with the {ends[drift.side]} of "
        "the wall, and knock the drift out at once."
    )


def _reckoned(drift: Drift, units: str) -> str:
    """What the hot mark rests on."""
    return (
        f"Hot mark: eye at {temperature(FINISHING, units)} and drift at {temperature(WARM, units)} "
        f"are assumed; by EN 1993-1-2 the drift must then have {100.0 * drift.net:.2f} % more "
        "girth than the cold eye."
    )


def _off(drift: Drift, units: str) -> str:
    """How the drift at its cold place differs from the eye at the wall's ends."""
    ends = {"above": "top", "below": "bottom"}
    told = [
        f"{fine(2.0 * abs(off), units)} {'wider' if off > 0.0 else 'narrower'} at the {ends[side]}"
        for side, off in drift.off
        if abs(off) > 0.005
    ]
    if not told:
        return "It follows the eye's own taper."
    taper = f"1 in {1.0 / LEAST_TAPER:.0f}"
    why = (
        f": where the eye has no taper the drift has {taper} or less, and never more than "
        f"{100.0 * MOST_OFF:.0f} % of the eye's width either way"
        if max(abs(off) for _, off in drift.off) > 0.05
        else ""
    )
    return f"In its cold place it is, beside the eye, {' and '.join(told)}{why}."


# Sections ----------------------------------------------------------------------------------------


def shown_sections(drift: Drift) -> list[tuple[str, float]]:
    """The sections that are drawn, by name and place from the small end."""
    first, last = drift.working
    return [
        ("small end", 0.0), ("end of the lead", first), ("middle of the eye", drift.middle),
        ("middle, hot", drift.hot), ("struck end", last),
    ]  # fmt: skip


def _sections(
    drift: Drift, units: str, name: str, stations: Sequence[float], broad: float
) -> Drawing:  # fmt: skip
    """Sections beside a table of the stations, over words that run as wide as told at least."""
    board = Board(units)
    wide = drift.size(drift.working[1])[1]
    shown = shown_sections(drift)
    column = max(
        drift.size(drift.working[1])[0] + GAP,
        max(width(_named(word, s, units), NOTE) for word, s in shown) + 5.0,
    )
    table = [("No.", "at", f"long [{units}]", f"wide [{units}]")]
    for i, s in enumerate(stations):
        last = i == len(stations) - 1
        sizes = [fine(size, units).removesuffix(f" {units}") for size in drift.size(s)]
        table.append(("end" if last else str(i), length(s, units), sizes[0], sizes[1]))
    small = NOTE if len(table) <= MANY else SMALL
    rows = board.table_width(table, small, 3.5)
    board.text("DRIFT  sections, and sizes at the stations", 0.0, 0.0, HEADING, bold=True)
    a_row = 2 if 2.0 * column + rows <= 250.0 else 1
    low = 0.0
    for i, (word, s) in enumerate(shown):
        x = (i % a_row) * column + (column - GAP) / 2.0
        y = -12.0 - (i // a_row) * (wide + UNDER) - wide / 2.0
        _section(board, drift, (x, y), wide / 2.0, word, s)
        low = y - wide / 2.0 - 13.0
    x = a_row * column
    end = board.table(table, x, -12.0, small, 3.5)
    words = f"{_off(drift, units)} {_reckoned(drift, units)} {_girths(drift, units)}"
    board.paragraph(words, 0.0, min(low, end) - 1.5, min(max(x + rows, broad), WIDE), NOTE)
    return board.drawing(name, SECTIONS_TITLE)


def _named(word: str, s: float, units: str) -> str:
    return f"{word}, {length(s, units)}"


def _girths(drift: Drift, units: str) -> str:
    shorter, wider = drift.unlikeness
    unlike = (
        f", there {fine(-shorter, units)} shorter and {fine(wider, units)} wider than the eye in "
        "its own likeness"
        if wider > 0.01
        else ""
    )
    return (
        f"Girth {fine(drift.girth(drift.middle), units)} at the middle of the eye, which is the "
        f"eye itself; {fine(drift.girth(drift.hot), units)} at the hot mark{unlike}."
    )


def _section(board: Board, drift: Drift, at: Point, half: float, name: str, s: float) -> None:
    contour = drift.section(s).moved(*at)
    box, (x, y) = contour.bounds, at
    board.add(contour, Purpose.OUTLINE)
    board.line(Purpose.CENTRE, (box.left - 3.0, y), (box.right + 3.0, y))
    board.line(Purpose.CENTRE, (x, box.bottom - 2.5), (x, box.top + 2.5))
    board.text(_named(name, s, board.units), x, y + half + 4.5, NOTE, "middle")
    board.across(box.left, box.right, y - half - 7.5, length(box.width, board.units),
                 starts=(y, y), height=NOTE)  # fmt: skip
    board.upright(box.bottom, box.top, box.right + 6.0, length(box.height, board.units),
                  starts=(x, x), height=NOTE)  # fmt: skip


# Stock -------------------------------------------------------------------------------------------


def _stock(plan: ForgePlan, drift: Drift, units: str, name: str) -> Drawing:
    board = Board(units)
    loss = plan.design.allowances.scale_per_heat
    bars = stock(drift, units=units, loss_per_heat=loss, bite=plan.design.hand.bite)
    board.text(f"DRIFT STOCK  {mass(drift.mass, units)} dressed", 0.0, 0.0, HEADING, bold=True)
    if bars:
        table = [("bar", "cut", "flattens to")]
        for bar in bars:
            table.append((_bar(bar, units), board.measure(bar.length), length(bar.flattens, units)))
        y = board.table(table, 0.0, -11.0, NOTE, 6.0)
        y = min(y, _ends(board, bars, board.table_width(table, NOTE, 6.0) + 12.0, -8.0))
    else:
        y = board.paragraph(
            "No bar as sold has the section of this drift: have a block cut that has.",
            0.0, -10.0, WIDE, FIGURE,
        )  # fmt: skip
    for line in _steps(drift, bars, units, loss):
        y = board.paragraph(line, 0.0, y - 1.0, WIDE, NOTE)
    board.paragraph(f"{STRUCK_SAFE} {HOT_WORK} {AID}", 0.0, y - 1.0, WIDE, CAUTION)
    return board.drawing(name, STOCK_TITLE)


def _bar(bar: Stock, units: str) -> str:
    size = length(bar.size, units) if units == "in" else f"{bar.size:g} mm"
    return f"{size} {bar.form}"


def _ends(board: Board, bars: Sequence[Stock], x: float, top: float) -> float:
    """The ends of the first bar, and of the first that comes wide enough, in true size.

    Returns the next free baseline.
    """
    good = _own_width(bars)
    shown = [(bars[0], "least section")]
    if good is not None and good != bars[0]:
        shown.append((good, "wide enough by itself"))
    low = top
    for bar, word in shown:
        half, words = bar.size / 2.0, (_bar(bar, board.units), word)
        y = top - half
        shape = (
            Contour.circle(x + half, y, half) if bar.form == ROUND
            else Contour.rectangle(x, y - half, x + bar.size, y + half)
        )  # fmt: skip
        board.add(shape, Purpose.OUTLINE)
        board.hatch(shape, gap=4.0)
        for i, each in enumerate(words):
            board.text(each, x, y - half - 7.0 - 5.5 * i, NOTE)
        x += max(bar.size, *(width(each, NOTE) for each in words)) + 10.0
        low = min(low, y - half - 19.0)
    return low


def _own_width(bars: Sequence[Stock]) -> Stock | None:
    return next((bar for bar in bars if bar.spreads), None)


def _steps(
    drift: Drift, bars: Sequence[Stock], units: str, loss: float
) -> tuple[str, ...]:  # fmt: skip
    long, wide = drift.size(drift.working[1])
    volume = (
        f"Cut length by volume: the drift with {length(DRESSED, units)} left on all round, and "
        f"{HEATS} heats at {100.0 * loss:.2g} % of scale. Each bar has at least the drift's "
        "greatest section, so it is drawn down and never upset; the first is the least."
    )
    wider = (
        f"Flattens to: how wide it comes at the struck end's thickness, {length(wide, units)}, "
        "under a flat hammer (law of spread, coefficients from memory). The struck end is "
        f"{length(long, units)} wide: a bar that comes narrower is first spread crosswise with "
        "the peen along the bar, or take a stouter one."
    )
    work = (
        "1 Flatten to the struck end's section. 2 Draw the taper from the hot mark to the small "
        "end, turning often, to the stations. 3 Draw the lead. 4 Cut to length, bevel the struck "
        "end. 5 File and smooth along the drift, not across; try the sections. 6 Punch the marks "
        "lightly on the narrow sides: a deep nick begins a crack."
    )
    steel = (
        "Common practice: medium carbon steel, or hot-work tool steel if it sees much use. Cool "
        "the drift often while it works; carbon steel in water when it has lost its red, "
        "air-hardening tool steel in still air only: never quench it red, it cracks."
    )
    return (volume, wider, work, steel) if bars else (work, steel)
