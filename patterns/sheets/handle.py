"""The handle: its tongue with kerf and wedge, and its outline if the design gives a length."""

from __future__ import annotations

import math
from itertools import pairwise

from .. import sources
from ..blank import ForgePlan
from ..contour import Contour, Point
from ..drawing import Drawing, Purpose
from ..hafting import FIT, SHOULDER_GAP, Hafting, Kerf, Shaft, Station, Wedge, hafting
from ..head import Head, grown
from ..lettering import width
from ..units import MM_PER_INCH, length
from .common import passes, usual
from .layout import ARROW, CAUTION, FIGURE, NOTE, OFF, Board
from .words import AID, doubts, hanging

NAME = "handle"
TONGUE_TITLE = "Handle: tongue, kerf and wedge"
SLIPPED_TITLE = "Handle: tongue, held by its own taper"
SECTIONS_TITLE = "Handle: sections of the tongue, and seating"
OUTLINE_TITLE = "Handle: outline"

STUB = 7.0
"""How much of the handle is shown below the shoulder [mm]."""
BROAD, WIDEST = 184.0, 250.0
"""How wide words run at least, and at most [mm]."""
PITCH = {"in": 2.0 * MM_PER_INCH, "mm": 50.0}
"""From station to station of the outline [mm]."""
CLEAR = 17.0
"""Room that the figures of a station take along the handle [mm]."""
SMALL = 2.6
"""Height of the stations' figures [mm]."""
SMALLEST = 2.2
"""Height of the figures of a very small section [mm]."""
FIRST = 170.0
"""Widest that words run beside the outline, so that they stay on its first sheet [mm]."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """The tongue on one sheet; the outline, which runs over several, on another."""
    found = hafting(plan.head)
    drawings = _tongues(plan, found, units)
    if found.shaft is not None:
        drawings += (_outline(plan, found, found.shaft, units),)
    return drawings


# Tongue ------------------------------------------------------------------------------------------


def _tongues(plan: ForgePlan, found: Hafting, units: str) -> tuple[Drawing, ...]:
    """Views and sections on one sheet, or on two where one has no room for both.

    The sections stand under the wedge; under all where there is none.
    """
    board = Board(units)
    foot, end = _views(board, plan, found)
    if found.wedge is None:
        foot = _sections(board, plan, found, (0.0, foot - 6.0), row=True)
    else:
        under = found.tongue.above - found.wedge.depth - 14.0
        _sections(board, plan, found, (end, under))
    _words(board, plan, found, foot, end, seat=True)
    title = SLIPPED_TITLE if found.slips_on else TONGUE_TITLE
    whole = board.drawing(f"{NAME}-tongue", title)
    if passes(whole, usual(units)) == 0.0:
        return (whole,)
    first, second = Board(units), Board(units)
    foot, end = _views(first, plan, found)
    _words(first, plan, found, foot, end, seat=False)
    low = _sections(second, plan, found, (0.0, 0.0), row=True)
    second.text("HANDLE  sections of its tongue, seating", 0.0, 14.0, 6.5, bold=True)
    _last_words(second, plan, found, low - 5.0, BROAD)
    return (
        first.drawing(f"{NAME}-tongue", title),
        second.drawing(f"{NAME}-sections", SECTIONS_TITLE),
    )


def _views(board: Board, plan: ForgePlan, found: Hafting) -> tuple[float, float]:
    """The tongue from side and front, and the wedge; y as on the head.

    Returns the lowest of them, and what is free to the right of the front view [mm].
    """
    tongue, shoulder = found.tongue, found.shoulder
    half = max(tongue.length(y) for y, _ in tongue.knots) / 2.0
    across = max(tongue.width(y) for y, _ in tongue.knots) / 2.0
    if shoulder is not None:
        half, across = shoulder.length / 2.0, shoulder.width / 2.0
    side = 16.0 + half
    front = side + half + 14.0 + across
    _view(board, plan.head, found, (side, 0.0), front=False)
    _view(board, plan.head, found, (front, 0.0), front=True)
    end = front + across + (13.5 if found.kerf is not None else 9.0)
    if found.wedge is not None:
        _wedge(board, found, found.wedge, (end + 11.0, 0.0))
    return _foot(found) - 13.0, end


def _distinct(found: Hafting, head: Head) -> list[tuple[str, float]]:
    """Names and heights of the sections, one for all that are alike."""
    grouped: list[tuple[list[str], float]] = []
    for name, height, _ in head.eye_sections:
        by = found.tongue.offset(height)
        for names, other in grouped:
            if abs(found.tongue.offset(other) - by) < 0.02:
                names.append(name)
                break
        else:
            grouped.append(([name], height))
    return [(", ".join(names).upper(), height) for names, height in grouped]


def _sections(
    board: Board, plan: ForgePlan, found: Hafting, at: Point, row: bool = False
) -> float:  # fmt: skip
    """The sections in a column under a place, or in a row; returns the lowest of them [mm]."""
    head, (x, y) = plan.head, at
    tall = max(contour.bounds.height for _, _, contour in head.eye_sections)
    long = max(contour.bounds.width for _, _, contour in head.eye_sections)
    low = y
    sections = _distinct(found, head)
    pitch = max(long + 20.0, *(width(name, FIGURE) + 8.0 for name, _ in sections))
    for name, height in sections:
        low = y - FIGURE - 3.4 - tall - 12.0
        place = (x + long / 2.0, y - FIGURE - 3.4 - tall / 2.0)
        _section(board, head, found, place, name, height)
        if not row:
            y = low - 6.0
        elif x + 2.0 * pitch > BROAD:
            x, y = at[0], low - 8.0
        else:
            x += pitch
    return low


def _words(
    board: Board, plan: ForgePlan, found: Hafting, foot: float, end: float, *, seat: bool
) -> None:  # fmt: skip
    """Title and words round the views, of seating too if it is not told on another sheet."""
    units, top = board.units, _top(found)
    so_far = board.drawing("", "").bounds  # figures of dimensions are set here
    broad = max(BROAD, min(so_far.right, WIDEST))
    above = board.paragraph(
        _fit(found, units), 0.0, max(top + 13.0, so_far.top + 4.0), broad, NOTE, upwards=True
    )
    long = length(plan.head.eye.length, units).removesuffix(f" {units}")
    size = f"{long} x {length(plan.head.eye.width, units)}"
    if plan.design.eye.form == "circle":
        size = f"{length(plan.head.eye.length, units)} round"
    title = f"HANDLE  tongue, eye {size}"
    letters = min(6.5, 6.5 * BROAD / width(title, 6.5))
    board.text(title, 0.0, above + 1.5, letters, bold=True)
    y = min(foot, so_far.bottom) - 6.0
    for text in _kerf_and_wedge(found, units):
        y = board.paragraph(text, 0.0, y, broad, NOTE)
    if seat:
        _last_words(board, plan, found, y, broad)
    else:
        board.paragraph(f"{hanging(plan)} {AID}", 0.0, y, broad, CAUTION)


def _last_words(board: Board, plan: ForgePlan, found: Hafting, y: float, broad: float) -> None:
    """How the head is seated, doubts and cautions, from a baseline down."""
    for text in (_seating(found, board.units), *doubts(plan, "handle")):
        y = board.paragraph(text, 0.0, y, broad, NOTE)
    board.paragraph(f"{hanging(plan)} {AID}", 0.0, y, broad, CAUTION)


def _top(found: Hafting) -> float:
    """Highest of the views [mm]."""
    spare = 0.0 if found.wedge is None else found.wedge.spare
    return found.tongue.above + max(found.tongue.proud, spare)


def _foot(found: Hafting) -> float:
    """Lowest of the views [mm]."""
    return (found.tongue.bottom if found.shoulder is None else found.shoulder.y) - STUB


def _fit(found: Hafting, units: str) -> str:
    """How the tongue fits, and where the hold comes from."""
    assert FIT == 0.0  # so the words say
    if found.slips_on:
        return (
            "Goes in from above, its end first, and holds by its own taper: no kerf, no wedge, no "
            "shoulder. No play: rasp it until the head sits tight all round."
        )
    words = (
        "Goes in from below: nowhere larger than the narrowest of the eye below it. No play: rasp "
        "it until it just drives in. Front, the edge's side, is right. "
    )
    assert found.wedge is not None
    if found.wedge.room > 1e-9:
        return (
            f"{words}Dashed: the eye at its wider places. At the top "
            f"{length(found.wedge.room, units)} is left for the wedge, which spreads the tongue "
            "and locks the head."
        )
    if found.narrows_up:
        return (
            f"{words}CAUTION: this eye is narrowest at its top; no wedge can lock the head, and it "
            "works off over the top. Drift the top wider, or turn the head over."
        )
    return (
        f"{words}The eye is straight: nothing but the wedge's squeeze holds the head. Drifted "
        f"{length(MM_PER_INCH / 32.0, units)} wider at the top, it would lock."
    )


def _kerf_and_wedge(found: Hafting, units: str) -> list[str]:
    kerf, wedge = found.kerf, found.wedge
    if kerf is None or wedge is None:
        return []
    parts = f"kerf {length(kerf.width, units)} + squeeze {length(wedge.squeeze, units)}"
    if wedge.room > 1e-9:
        parts = f"room {length(wedge.room, units)} + {parts}"
    return [
        f"Kerf: {length(kerf.width, units)}, one saw cut along the eye, two thirds of its height "
        f"deep [common practice]. Wedge: dry hardwood, grain along it, "
        f"{length(wedge.thick, units)} thick where the eye's top comes ({parts}); taper 1 in "
        f"{1.0 / wedge.slope:.1f}, {math.degrees(wedge.angle):.1f} degrees. Squeeze, tip and "
        f"{length(wedge.spare, units)} to be struck are our own: try it in scrap."
    ]


def _seating(found: Hafting, units: str) -> str:
    """How the head is seated."""
    dry = "Dry wood only: wet wood shrinks, and the head comes loose."
    if found.shaft is None:
        dry += " With a length of the handle (handle.length or --length) its outline is drawn too."
    if found.slips_on:
        return (
            "Seat: pass the handle's end down through the eye, then strike its top until the head "
            f"sits tight all round. What stands out on top stays. {dry}"
        )
    least, most = sources.SHOULDER_GAP_LEAST, sources.SHOULDER_GAP_MOST
    gap = f"{length(least.inside, units)} to {length(most.inside, units)}"
    return (
        "Seat: hold the axe upright, head lowest and clear of the floor, and strike the handle's "
        "end: the head climbs. Drive the wedge, strike the end again, drive on until it "
        f"stops; then saw off what stands out. Head to shoulder: {gap} "
        f"[{least.work.title if least.work else ''}], here {length(SHOULDER_GAP, units)}. {dry}"
    )


def _view(board: Board, head: Head, found: Hafting, at: Point, *, front: bool) -> None:
    """The tongue from the side or from the front, with what belongs to it."""
    tongue, units = found.tongue, board.units
    size = tongue.width if front else tongue.length
    whole = head.eye.width if front else head.eye.length
    x, (bottom, top) = at[0], (tongue.bottom, tongue.above)
    crest = top + tongue.proud
    neck = found.neck(front)
    board.add(neck, Purpose.OUTLINE, at)
    foot, start = _foot(found), _foot(found) + STUB
    half = neck.vertices[0].x
    for side in (-1.0, 1.0):
        board.line(Purpose.THIN, (x + side * half, start), (x + side * half, foot))
    ends = (foot - 2.0, crest + 2.0) if front else (bottom + 1.0, top - 1.0)
    board.line(Purpose.CENTRE, *((x, y) for y in ends))
    # the eye: its ends as thin lines, its walls dashed where the tongue is clear of them
    heights = sorted({y for y, _ in tongue.knots} | {0.0})
    for side in (-1.0, 1.0):
        wall = [(x + side * (whole / 2.0 + head.eye_offset(y)), y) for y in heights]
        for pair in pairwise(wall):
            if max(head.eye_offset(y) - tongue.offset(y) for _, y in pair) > 0.05:
                board.line(Purpose.HIDDEN, *pair)
    reach = max(size(y) for y in heights) / 2.0
    reach = max(reach, whole / 2.0 + max(head.eye_offset(y) for y in heights))
    for y in (bottom, top):
        for side in (-1.0, 1.0):
            board.line(
                Purpose.THIN, (x + side * (reach + 0.4), y), (x + side * (reach + 4.5), y)
            )  # fmt: skip
    if not front:
        left = x - reach - 9.0
        board.upright(bottom, top, left, length(top - bottom, units))
        proud = length(tongue.proud, units)
        _inside(board, x, size(top), top + tongue.proud / 2.0, (f"{proud} stands out", proud))
        if found.shoulder is not None:
            shoulder, gap = found.shoulder.y, length(found.shoulder.gap, units)
            middle = bottom - found.shoulder.gap / 2.0
            _inside(board, x, size(bottom), middle, (f"{gap} to the shoulder", gap))
            board.arrow(left, bottom, math.pi / 2.0)
            board.arrow(left, shoulder, -math.pi / 2.0)
            board.line(Purpose.DIMENSION, (left, bottom), (left, shoulder))
            board.line(Purpose.DIMENSION, (x - half - OFF, shoulder), (left - OFF, shoulder))
    if found.shoulder is not None:
        board.across(x - half, x + half, foot - 7.0, length(2.0 * half, units),
                     starts=(foot, foot))  # fmt: skip
    if found.kerf is not None and found.wedge is not None:
        _kerf(board, found, found.kerf, found.wedge, at, front=front, reach=reach)
    name = "FRONT" if front else "SIDE"
    high = _top(found) + (4.0 if found.wedge is None else 10.0)
    board.text(name, x, high, FIGURE, "middle", bold=True)


def _inside(board: Board, x: float, wide: float, y: float, texts: tuple[str, ...]) -> None:
    """The first of several texts that fits across the tongue, about a height; or none."""
    for text in texts:
        if board.fits(text, wide - 4.0, CAUTION):
            board.text(text, x, y - CAUTION / 2.0, CAUTION, "middle")
            return


def _kerf(
    board: Board, found: Hafting, kerf: Kerf, wedge: Wedge, at: Point, *, front: bool, reach: float
) -> None:
    """The kerf in a view of the tongue; from the side the wedge as it stands when it is home."""
    tongue, x, units = found.tongue, at[0], board.units
    crest, low = tongue.above + tongue.proud, tongue.above - kerf.depth
    if front:
        half = kerf.width / 2.0
        board.line(Purpose.OUTLINE, (x - half, crest), (x - half, low), (x + half, low),
                   (x + half, crest))  # fmt: skip
        right = x + reach + 8.0
        board.upright(low, tongue.above, right, length(kerf.depth, units),
                      starts=(x + half, right))  # fmt: skip
        return
    behind, ahead = (side * tongue.length(low) / 2.0 for side in (-1.0, 1.0))
    board.line(Purpose.HIDDEN, (x + behind, low), (x + ahead, low))
    tip, butt = tongue.above - wedge.depth, tongue.above + wedge.spare
    back, fore = x + wedge.back, x + wedge.front
    board.line(Purpose.HIDDEN, (back, tip), (fore, tip))
    for edge, wall in ((back, x + behind), (fore, x + ahead)):
        if abs(edge - wall) > 1.0:  # nearer, it would only blur the outline
            board.line(Purpose.HIDDEN, (edge, tip), (edge, crest))
    board.line(Purpose.THIN, (back, crest), (back, butt), (fore, butt), (fore, crest))
    board.across(back, fore, butt + 4.5, length(wedge.width, units),
                 starts=(butt, butt))  # fmt: skip


def _wedge(board: Board, found: Hafting, wedge: Wedge, at: Point) -> None:
    """The wedge from its edge, as high as it stands when it is home."""
    x, units = at[0], board.units
    top = found.tongue.above
    low, high = top - wedge.depth, top + wedge.spare
    tip, butt = wedge.tip / 2.0, wedge.butt / 2.0
    outline = [(x - tip, low), (x + tip, low), (x + butt, high), (x - butt, high)]
    board.add(Contour.polygon(outline), Purpose.OUTLINE)
    half = wedge.thick / 2.0
    board.line(Purpose.THIN, (x - half - 3.0, top), (x + half + 3.0, top))
    right = x + max(butt, half + 3.0) + 6.0
    board.upright(low, high, right, length(wedge.length, units), starts=(x + tip, x + butt))
    board.across(x - tip, x + tip, low - 6.0, length(wedge.tip, units), starts=(low, low))
    board.across(x - butt, x + butt, high + 4.5, length(wedge.butt, units), starts=(high, high))
    board.text("WEDGE", x, high + 10.0, FIGURE, "middle", bold=True)


def _section(
    board: Board, head: Head, found: Hafting, at: Point, name: str, height: float
) -> None:  # fmt: skip
    """The tongue cut level at a height, with its sizes; dashed the eye, where it is wider."""
    tongue, units, (x, y) = found.tongue, board.units, at
    section = tongue.section(height)
    box = section.bounds
    board.add(section, Purpose.OUTLINE, at)
    if head.eye_offset(height) - tongue.offset(height) > 0.05:
        board.add(grown(tongue.eye, head.eye_offset(height)), Purpose.HIDDEN, at)
    kerf = found.kerf
    if kerf is not None and height > tongue.above - kerf.depth:
        half = kerf.width / 2.0
        # as long as the tongue is where the kerf's sides cut it: exact on its middle line
        back, fore = (x + end for end in (box.left, box.right))
        for side in (-1.0, 1.0):
            board.line(Purpose.THIN, (back + 0.6, y + side * half), (fore - 0.6, y + side * half))
    board.text(name, x + box.left, y + box.height / 2.0 + 3.4, FIGURE, bold=True)
    for way, size in (("across", box.width), ("upright", box.height)):
        text = length(size, units)
        # smaller where the figure would else have to stand beside, in the next section's room
        sizes = (FIGURE, NOTE, CAUTION, SMALLEST)
        height = next((h for h in sizes if board.fits(text, size - 3.0, h)), FIGURE)
        if way == "across":
            board.across(x + box.left, x + box.right, y - box.height / 2.0 - 7.0, text,
                         starts=(y, y), height=height)  # fmt: skip
        else:
            board.upright(y + box.bottom, y + box.top, x + box.right + 5.5, text,
                          starts=(x, x), height=height)  # fmt: skip


# Outline -----------------------------------------------------------------------------------------


def _outline(plan: ForgePlan, found: Hafting, shaft: Shaft, units: str) -> Drawing:
    """Side over front, the head's end to the left, the edge's side up; stations between."""
    board, tongue = Board(units), shaft.tongue
    pitch = PITCH[units]
    stations = shaft.stations(pitch, CLEAR)
    # x runs down the handle from the eye's top, so a view is turned and moved
    side = shaft.side.turned(math.pi / 2.0).moved(tongue.above, 0.0)
    front = shaft.front.turned(math.pi / 2.0).moved(tongue.above, 0.0)
    rows = _rows(stations, units)
    room = 5.4 * len(rows)
    below = side.bounds.bottom - 5.0
    drop = below - room - 5.0 - front.bounds.top
    board.add(side, Purpose.OUTLINE)
    board.add(front, Purpose.OUTLINE, (0.0, drop))
    begin, end = -tongue.proud, shaft.length
    for level in (0.0, drop):
        board.line(Purpose.CENTRE, (begin - 5.0, level), (end + 5.0, level))
    for x in (0.0, tongue.above - tongue.bottom):
        for view, level in ((side, 0.0), (front, drop)):
            half = _half(view, x) + 2.0
            board.line(Purpose.THIN, (x, level - half), (x, level + half))
    _stations(board, stations, rows, below, drop)
    high = side.bounds.top + 6.0
    ends = (_half(side, 0.0), shaft.station(end - shaft.radius).ahead)
    _overall(board, end, high, ends)
    base = high + 11.0
    above = base
    for text in reversed(_notes(plan, found, shaft, units)):
        above = board.paragraph(text, begin, above, FIRST, NOTE, upwards=True)
    board.text(f"HANDLE  {_form(plan, found)}, {length(shaft.length, units)}", begin,
               above + 2.0, 6.5, bold=True)  # fmt: skip
    low = drop + front.bounds.bottom - 8.0
    board.paragraph(f"{hanging(plan)} {AID}", begin, low, FIRST, CAUTION)
    return board.drawing(f"{NAME}-outline", OUTLINE_TITLE)


def _overall(board: Board, end: float, y: float, ends: tuple[float, float]) -> None:
    """The length from the eye's top; its figure on the first sheet, clear of the joins."""
    for x, start, angle in ((0.0, ends[0], math.pi), (end, ends[1], 0.0)):
        board.line(Purpose.DIMENSION, (x, start + OFF), (x, y + OFF))
        board.arrow(x, y, angle)
    board.line(Purpose.DIMENSION, (0.0, y), (end, y))
    text = f"{board.measure(end)} from the top of the eye"
    board.text(text, 2.0 * ARROW, y + 1.4 + 0.35 * FIGURE, FIGURE, bold=True)


def _form(plan: ForgePlan, found: Hafting) -> str:
    return "straight" if found.slips_on else plan.design.handle.form


def _half(view: Contour, x: float) -> float:
    """How far a view reaches from its line at a place [mm]."""
    places = [
        abs(p.at(share)[1]) for p in view.pieces for share in p.shares_at_x(x)
    ]  # fmt: skip
    places += [abs(v.y) for v in view.vertices if abs(v.x - x) < 1e-6]
    return max(places)


def _rows(stations: tuple[Station, ...], units: str) -> list[tuple[str, list[str]]]:
    """The stations' figures, a row for each measure."""

    def row(name: str, values: list[float]) -> tuple[str, list[str]]:
        return name, [length(v, units).removesuffix(f" {units}") for v in values]

    deep = [row("depth", [s.depth for s in stations])]
    if any(abs(s.ahead - s.behind) > 1e-9 for s in stations):
        deep = [
            row("line to front", [s.ahead for s in stations]),
            row("line to back", [s.behind for s in stations]),
        ]
    down = row("from the top of the eye", [s.down for s in stations])
    return [down, *deep, row("width", [s.width for s in stations])]


def _stations(
    board: Board, stations: tuple[Station, ...], rows: list[tuple[str, list[str]]], below: float,
    drop: float,
) -> None:  # fmt: skip
    """Lines through both views, and their figures between."""
    foot = below - 5.4 * len(rows)
    for i, station in enumerate(stations):
        x, half = station.down, station.width / 2.0
        board.line(Purpose.THIN, (x, station.ahead), (x, -station.behind))
        board.line(Purpose.THIN, (x, drop + half), (x, drop - half))
        board.line(Purpose.DIMENSION, (x, -station.behind - 1.0), (x, below + 1.2))
        board.line(Purpose.DIMENSION, (x, foot - 0.6), (x, drop + half + 1.0))
        for k, (_, figures) in enumerate(rows):
            board.text(figures[i], x, below - 5.4 * (k + 1) + 1.6, SMALL, "middle")
    first = stations[0].down - CLEAR / 2.0
    for k, (name, _) in enumerate(rows):
        board.text(name, first, below - 5.4 * (k + 1) + 1.6, SMALL, "right")


def _notes(plan: ForgePlan, found: Hafting, shaft: Shaft, units: str) -> list[str]:
    """What to know before the board is sawn."""
    touch, spec = sources.TOUCH_SHARE, sources.CROSS_GRAIN
    book = touch.work.title.split(":")[0] if touch.work else ""
    agency = f"{spec.work.author}, {spec.basis.value}" if spec.work else ""
    unit = "inches" if units == "in" else "mm"
    sections = "Sections oval, the narrow end to the front [Spons]."
    if found.slips_on:
        sections = "Sections round."
    notes = [
        f"Stations in {unit} from the top of the eye: lay them out from a straight line on a "
        f"board, if you paste no paper. Front, the edge's side, is up. {sections} "
        f"{length(shaft.tongue.proud, units)} more stands out on top.",
        "Grain: rings along the blade's plane [common practice], no knots; cross grain at most "
        f"1 in 20, moisture 12 % [{agency}].",
        "Hang: with edge and handle's end on a table, the edge wants to touch a third from the "
        f"heel [{book}]; here {100.0 * shaft.touch:.0f} %.",
    ]
    if shaft.steepest > 0.0:
        ahead = shaft.end_ahead
        notes.append(
            f"The curve is ours: back {length(shaft.bow, units)}, then forward to "
            f"{length(abs(ahead), units)} {'ahead of' if ahead >= 0.0 else 'behind'} the eye's "
            "line, as near to that hang as a slope of 1 in 20 lets it: straight grain runs through."
        )
    elif plan.design.handle.form == "curved":
        notes.append("Drawn straight: the head slips on over it, and would not pass a curve.")
    if shaft.held is not None:
        notes.append(
            f"Its end was asked for {length(shaft.held, units)} deep, more than the eye passes: "
            f"{length(shaft.depth.at(shaft.swell), units)}."
        )
    if abs(shaft.share - shaft.asked) > 0.005:
        notes.append(
            f"Its mean section is {shaft.share:.2f} of that in the eye, not {shaft.asked:.2f} as "
            "asked: eye, end and a growth to twice the depth at most leave no more way."
        )
    return notes
