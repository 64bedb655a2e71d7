"""The parts that are cut for a head: templates of sheet, and the blanks of its hardenable steel.

Every opening is as wide as the process needs it in a sheet so thick; what cannot be so is refused,
with what to change. Contours are nominal: whoever cuts them offsets the kerf.

Blank
    The bar's face as cut. Poll marks are even notches in one long edge: the mark is in the middle.
    Shoulder marks are notches with one upright side, like the step itself, in the other: that side
    is the mark. So the template cannot be read the wrong way round. A waisted plate has no notches:
    its own outline shows where the waist begins. The centre line is scribed; where the process
    cannot mark, it is a hole.
Head
    The side view. The window's ends stand at the eye's back and front, and it hangs by it.
Gauges
    Of :mod:`gauges`; one that the process cannot cut as true as it is to try is refused.
Bit, plate
    Rectangles of their own stock, whose rolling direction lies along x; the scarf's side marked.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import shapely

from . import cut_check, iso_9013, report, rounding, stencil
from . import gauges as gauge
from .bar_views import bar_face, strip_edges, towards_thick
from .blank import ForgePlan
from .contour import Contour, Point, around
from .drawing import Drawing, Label, Purpose, Stroke
from .errors import BadInputError, Fault
from .gauges import Gauge, Made
from .head import heights_at
from .lettering import plain, width
from .part import Part
from .processes import Rules, rules, write_thickness
from .room import Room
from .to_cut import runs_of
from .units import MM_PER_INCH, counted, fine, length, section

LETTERS = ("mark", "stencil", "none")
"""What becomes of letters: marked, cut through, or left off."""

NOTCH = 4.0
"""Depth of the notches, where the process has no say [mm]."""
HOLE = 3.5
"""Radius of the hanging hole, where the process has no say [mm]."""
CENTRE = 3.0
"""Diameter of the hole for the centre line, where the process has no say [mm]."""
HIGH = 4.0
"""Letters that are marked [mm]."""
SMALL = 2.2
"""Letters of the revision [mm]."""
PITCH = 2.0
"""Distance of two rows of letters over their height; a stacked fraction is 1.68 high."""
POINT = 0.1
"""A cut that leaves no larger radius makes the point of an edge's notch by itself [mm]."""
LIGHT = 0.4
"""What a drift plate's window is larger by than the drift, all round [mm]: as much as shows."""

FINER = "take thinner sheet, or a process with a finer cut"
NO_ODDS = 0.005
"""Two limits that differ by less are the same [mm]."""


@dataclass(frozen=True)
class Way:
    """How parts are cut: by which rules, what becomes of their letters, in which units they are
    lettered."""

    rules: Rules
    letters: str
    units: str

    @property
    def round(self) -> float:
        """Radius that an inside corner is drawn with [mm]: none where the cut leaves it itself."""
        own = self.rules.kerf / 2.0
        return self.rules.inside_radius if self.rules.inside_radius > own + 1e-9 else 0.0

    @property
    def sheet(self) -> str:
        return f"{self.rules.process} in {write_thickness(self.rules.thickness, self.units)}"

    def mm(self, mm: float) -> str:
        return length(mm, self.units)


def way_of(rules: Rules, letters: str | None, units: str) -> Way:
    """The way to cut; letters are marked where nothing is said and the process can, else left off.

    Raises :class:`BadInputError` for letters that it cannot mark.
    """
    if letters is None:
        letters = "mark" if rules.marks else "none"
    if letters not in LETTERS:
        raise BadInputError([Fault("--letters", repr(letters[:60]), ", ".join(LETTERS))])
    if letters == "mark" and not rules.marks:
        raise BadInputError(
            [Fault("--letters", "mark", f"stencil or none: {rules.process} cannot mark",
                   "have them cut through, leave them off, or choose another process")]
        )  # fmt: skip
    return Way(rules, letters, units)


USUAL_PROCESS, USUAL_THICKNESS = "laser", 0.0598 * MM_PER_INCH
"""How the templates that come with a set are to be cut, if nothing else is asked for: a laser, in
sheet of 16 gauge."""


def usual_way(units: str) -> Way:
    """How the templates that come with a set are cut."""
    return way_of(rules(USUAL_PROCESS, USUAL_THICKNESS, units), None, units)


@dataclass(frozen=True)
class Template:
    """A part with what it is cut from: ``stock`` in words and its thickness [mm].

    ``along`` tells that x lies along the direction in which the stock was rolled; ``sawn`` that it
    is a length of bar, which no rule of the sheet is for. ``said`` is what its maker or user must
    know of it beyond its name.
    """

    name: str
    title: str
    part: Part
    stock: str
    thickness: float
    along: bool = False
    said: str = ""
    sawn: bool = False

    def drawing(self) -> Drawing:
        """The part by itself, as it goes to the cutter."""
        return self.part.drawing(self.name, self.title)


@dataclass(frozen=True)
class Templates:
    """What was made, and by its name why the rest was not."""

    made: tuple[Template, ...]
    refused: Mapping[str, tuple[Fault, ...]]


def templates(plan: ForgePlan, way: Way, names: Collection[str] | None = None) -> Templates:
    """The parts that are named, of :data:`NAMES`; the usual ones if none are.

    A part that the head has no use for, as a bit where there is none, is left out without a word.
    Of several parts of one name those are made that can be.
    """
    made, refused = list[Template](), dict[str, tuple[Fault, ...]]()
    wanted = USUAL if names is None else names
    for name in [name for name in NAMES if name in wanted]:
        try:
            for template in MAKERS[name](plan, way):
                made.append(template)
        except BadInputError as error:
            refused[name] = error.faults
    return Templates(tuple(made), refused)


# The blank -------------------------------------------------------------------------------------


def blank(plan: ForgePlan, way: Way) -> Iterator[Template]:
    """Outline with notches and hanging hole; centre line and recipe."""
    yield _sheet("blank", f"Blank of {_name(plan)}", blank_part(plan, way), way, _signs(plan, way))


def blank_part(plan: ForgePlan, way: Way) -> Part:
    """The blank's contours and marks, its lower edge at y = 0; x as the plan's marks have it."""
    asked, wide = way.rules, plan.design.bar.width
    start, end = plan.parts[0].start, plan.parts[-1].end
    outline = bar_face(plan).moved(0.0, wide / 2.0)
    deep = min(NOTCH, wide / 5.0)  # a waisted plate's letters keep off its flanks as much
    if not plan.fold.waisted:
        even, upright = _notch_sizes(way, wide)
        deep = max(even[1], upright[1])
        if deep > wide / 3.0 + 1e-9:
            raise BadInputError(
                [Fault("blank, notches", f"{way.mm(deep)} deep in a bar {way.mm(wide)} wide, "
                       f"{way.sheet}", f"{way.mm(wide / 3.0)} deep", FINER)]
            )  # fmt: skip
        _uncrowded(plan, way, even[0], upright[0])
        outline = Contour.rounded(_notched(plan, (start, end, wide), even, upright, way.round))
    radius = max(min(HOLE, wide / 8.0), asked.hole / 2.0)
    hole = end - max(3.5 * radius, radius + asked.edge)
    if plan.fold.halves == 1:  # in the tongue, clear of the letters on the body
        hole = max(hole, plan.half + 3.5 * radius)
    holes = [Contour.circle(hole, wide / 2.0, radius).reversed()]
    marks, labels = list[Stroke](), list[Label]()
    if plan.fold.halves == 2:
        if way.letters == "mark":
            low, high = strip_edges(plan, 0.0)
            inset = max(deep + 1.0, (wide - plan.strap.raw_width) / 2.0 + deep + 1.0 - low)
            marks.append(_line((0.0, low + inset), (0.0, high - inset)))
        else:
            centre = max(CENTRE, asked.hole) / 2.0
            holes.append(Contour.circle(0.0, wide / 2.0, centre).reversed())
    if way.letters == "mark":
        mark_text = report.revision(plan.design)
        labels.append(Label(mark_text, hole, wide / 2.0 - radius - 1.5 - SMALL, SMALL, "middle"))
        right = hole - max(radius + 3.0, width(mark_text, SMALL) / 2.0 + 2.0)
        middle = 0.0 if plan.fold.halves == 2 else (start + right) / 2.0
        room = min(plan.strap.raw_width, wide) - 2.0 * (deep + 1.5)
        ends = (start + 3.0, middle - 2.0, middle + 2.0, right)
        labels += _recipe(plan, way.units, ends, wide, room)
    rows, mark = _mark_rows(plan, way.units), report.revision(plan.design)
    holes += _cut_letters(
        "blank", way, outline, holes,
        [[_name(plan), *rows, mark], [*rows, mark], rows, [mark], [_halved(mark)]],
        ((start + end) / 2.0, wide / 2.0),
    )  # fmt: skip
    return _sound("blank", Part("BLANK", (outline, *holes), tuple(marks), tuple(labels)), way)


def _notch_sizes(way: Way, wide: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Mouth and depth of an even notch, and of one with an upright side [mm].

    Wide enough for the process, and for the rounding at the bottom to leave the sides: at 45
    degrees an upright side keeps a fifth of its length if the notch is three radii deep. They are
    wider than the process's slot, by a tenth and by half, so that the tool gets well in.
    """
    usual, slot, corner = min(NOTCH, wide / 5.0), way.rules.slot, way.round
    even = max(usual, 1.1 * slot, 2.5 * corner)
    deep = max(usual, slot, 3.0 * corner)
    return (even, max(usual, 0.75 * even)), (max(0.75 * usual, 1.5 * slot, 0.75 * deep), deep)


def _uncrowded(plan: ForgePlan, way: Way, even: float, upright: float) -> None:
    """Refuse notches of one edge that have too little metal between them."""
    for face, mouth in (("outer", even), ("inner", upright)):
        ends = []
        for mark in sorted(plan.marks, key=lambda mark: mark.x):
            if mark.face == face:
                lean = towards_thick(plan, mark) if face == "inner" else 0.0
                middle = mark.x + lean * mouth / 2.0
                ends.append((middle - mouth / 2.0, middle + mouth / 2.0))
        web = min((b[0] - a[1] for a, b in pairwise(ends)), default=way.rules.web)
        if web < way.rules.web - 1e-9:
            raise BadInputError(
                [Fault("blank, notches", f"{way.mm(max(web, 0.0))} of metal between two, "
                       f"{way.sheet}", f"{way.mm(way.rules.web)} at least", FINER)]
            )  # fmt: skip


def _notched(
    plan: ForgePlan, bar: tuple[float, float, float], even: tuple[float, float],
    upright: tuple[float, float], radius: float,
) -> list[tuple[float, float, float]]:  # fmt: skip
    """The bar's face with a notch for each mark, corner by corner with its rounding: those of the
    inner face in the lower edge, plumb on the strap's side; those of the outer face in the upper
    one, even."""
    start, end, wide = bar
    low, high = [(start, 0.0, 0.0)], [(end, wide, 0.0)]
    mouth, deep = upright
    for mark in sorted(plan.marks, key=lambda mark: mark.x):
        if mark.face == "inner":
            thick = towards_thick(plan, mark)
            notch = [(mark.x, 0.0, 0.0), (mark.x, deep, radius), (mark.x + thick * mouth, 0.0, 0.0)]
            low += notch if thick > 0.0 else notch[::-1]
    mouth, deep = even
    for mark in sorted(plan.marks, key=lambda mark: -mark.x):
        if mark.face == "outer":
            high += [(mark.x + mouth / 2.0, wide, 0.0), (mark.x, wide - deep, radius),
                     (mark.x - mouth / 2.0, wide, 0.0)]  # fmt: skip
    return [*low, (end, 0.0, 0.0), *high, (start, wide, 0.0)]


def _signs(plan: ForgePlan, way: Way) -> str:
    """What the notches mean."""
    centre = ""
    if plan.fold.halves == 2 and way.letters != "mark":
        centre = " The hole in the middle is the bar's centre line."
    return notches_said(plan) + centre


def notches_said(plan: ForgePlan) -> str:
    """What the notches of the blank's template mean."""
    if plan.fold.waisted:
        return "The outline is the plate's own: the shoulders are where its waist begins."
    steps = "shoulder and poll marks" if plan.fold.back == "cut" else "shoulder marks"
    if plan.fold.halves == 1:
        steps = "shoulder mark"
    sides = f"Notches with an upright side: {steps}, inner face. The upright side is the mark."
    match plan.fold.back:
        case "block":
            return f"Even notches: poll marks, outer face; the middle is the mark. {sides}"
        case "cut":
            return f"Even notch: the cut, outer face; the middle is the mark. {sides}"
    return sides


def _mark_rows(plan: ForgePlan, units: str) -> list[str]:
    """The marks' distances, as they are lettered."""
    if plan.fold.halves == 1:
        return [f"{plan.fold.half} {rounding.hit(plan, 'shoulder mark', units)}"]
    poll = [f"P {rounding.hit(plan, 'poll', units)}"] if plan.poll else []
    return [*poll, f"S {rounding.hit(plan, 'shoulders', units)}"]


def _recipe(
    plan: ForgePlan, units: str, ends: tuple[float, float, float, float], wide: float, room: float,
) -> Iterator[Label]:  # fmt: skip
    """Recipe in two columns beside the middle, clear of the notches.

    ``ends`` are where each column begins and ends, ``room`` the height that they may take [mm].
    """
    each = "side" if plan.fold.waisted else plan.fold.strap
    columns = (
        (*ends[:2], [
            _name(plan),
            section(plan.design.bar.section),
            f"cut {rounding.hit(plan, 'cut', units)}",
        ]),
        (*ends[2:], [
            *_mark_rows(plan, units), f"{each} {rounding.hit(plan, 'dividers', units)}",
        ]),
    )  # fmt: skip
    size = min(HIGH, room / (2.0 * PITCH + 1.7))
    for start, end, rows in columns:
        fit, rows = max(
            (min(room / ((len(some) - 1) * PITCH + 1.7), size,
                 *(size * (end - start) / width(row, size) for row in some)), some)
            for some in (rows, _broken(rows))
        )  # fmt: skip
        y = wide / 2.0 + (len(rows) - 1) / 2.0 * PITCH * fit - fit / 2.0
        for row in rows:
            yield Label(row, start, y, fit)
            y -= PITCH * fit


def _broken(rows: list[str]) -> list[str]:
    """Rows with the first in two, as even as its words allow."""
    words = rows[0].split()
    ways = [[" ".join(words[:i]), " ".join(words[i:])] for i in range(1, len(words))]
    return [*min(ways, key=lambda way: max(map(len, way)), default=rows[:1]), *rows[1:]]


# The head --------------------------------------------------------------------------------------


def head(plan: ForgePlan, way: Way) -> Iterator[Template]:
    """The head's side view with the eye's window; name, bar and revision."""
    said = "The window's ends are the eye's back and front."
    yield _sheet("head", f"Head of {_name(plan)}", head_part(plan, way), way, said)


def head_part(plan: ForgePlan, way: Way) -> Part:
    """The head's contours and letters, the poll's face at x = 0, the centre line at y = 0."""
    made, view = plan.head, plan.head.plan
    outline = made.side.contour
    back, front = view.eye_back, view.eye_front
    if back < way.rules.edge - 1e-9:
        raise BadInputError(
            [Fault("head, eye's window", f"{way.mm(back)} of metal behind the eye",
                   f"{way.mm(way.rules.edge)} at least, {way.sheet}",
                   FINER)]
        )  # fmt: skip
    tops, feet = heights_at(made, [back, front])
    half = max(0.3 * min(*tops, *(-foot for foot in feet)), way.rules.slot / 2.0)
    corner = min(max(way.round, 1.5), 0.6 * half, 0.3 * (front - back))
    window = Contour.rounded(
        (x, y, corner) for x, y in ((back, half), (front, half), (front, -half), (back, -half))
    )
    mark = report.revision(plan.design)
    labels = list[Label]()
    if way.letters == "mark":
        rows = [_name(plan), report.recipe(plan, way.units), f"revision {mark}"]
        labels = list(_ahead_of_eye(plan, rows))
    ahead = ((front + made.length - made.blade.bevel_width) / 2.0, 0.0)
    letters = _cut_letters(
        "head", way, outline, [window],
        [[_name(plan), mark], ["\n".join(_name(plan).split()), _halved(mark)], [mark],
         [_halved(mark)]], ahead,
    )  # fmt: skip
    return _sound("head", Part("HEAD", (outline, window, *letters), (), tuple(labels)), way)


def _ahead_of_eye(plan: ForgePlan, rows: Sequence[str]) -> Iterator[Label]:
    """Rows between the eye and the bevel, as large as they fit."""
    made = plan.head
    start = made.plan.eye_front + 4.0
    room = made.length - made.blade.bevel_width - 6.0 - start
    size = min(HIGH, *(HIGH * room / width(row, HIGH) for row in rows))
    inside = shapely.Polygon(made.side.contour.points(0.05)).buffer(-1.0)
    while size > 0.5 and not inside.covers(_block(rows, start, size)):
        size *= 0.9
    for i, row in enumerate(rows):
        yield Label(row, start, ((len(rows) - 1) / 2.0 - i) * PITCH * size - size / 2.0, size)


def _block(rows: Sequence[str], start: float, size: float) -> shapely.Polygon:
    """What rows of letters cover about the centre line; stacked fractions stand out of them."""
    half = ((len(rows) - 1) * PITCH + 1.7) * size / 2.0
    return shapely.box(start, -half, start + max(width(row, size) for row in rows), half)


# The hardenable steel --------------------------------------------------------------------------


def bit(plan: ForgePlan, way: Way) -> Iterator[Template]:
    """The bit's blank as it is cut from its stock; none if the head has none."""
    found = plan.bit
    if found is None:
        return
    scarf = ("scarf this side", "Scarf one long side.")
    if found.overlaid:
        scarf = ("scarf both long sides, fold in the middle",
                 "Scarf both long sides; fold in the middle.")  # fmt: skip
    yield _of_stock(
        "bit", plan, way, found.cut_length, found.stock, plain(plan.design.bit.steel), scarf
    )


def plate(plan: ForgePlan, way: Way) -> Iterator[Template]:
    """The blank of the poll's plate; none if the head has none."""
    found = plan.plate
    if found is None:
        return
    yield _of_stock(
        "plate", plan, way, found.cut_length, found.stock, plain(plan.design.plate.steel), ("", "")
    )


def _of_stock(
    name: str, plan: ForgePlan, way: Way, cut: float, stock: tuple[float, float], steel: str,
    scarf: tuple[str, str],
) -> Template:  # fmt: skip
    """A blank of its own stock; ``scarf`` is lettered on it, or told where nothing is marked."""
    lettered, told = scarf
    try:
        own = replace(way.rules, thickness=stock[0])  # a saw takes any bar
        if not way.rules.fitted:
            own = rules(way.rules.process, stock[0], way.units)
    except BadInputError as error:
        raise BadInputError(replace(f, field=f"{name}, thickness") for f in error.faults) from None
    outline = Contour.rectangle(0.0, 0.0, cut, stock[1])
    mark = report.revision(plan.design)
    labels, marks = list[Label](), list[Stroke]()
    if way.letters == "mark" and own.marks:
        room = Room(outline, border=1.2, gap=1.0)
        if lettered:
            labels += room.first([([lettered], (3.0, SMALL, 1.8))], (cut / 2.0, stock[1]))
        arrow = _rolled(room, cut, stock[1])
        marks += arrow
        text = f"{steel}  {section(stock)}  {mark}"
        labels += room.first(
            [([text], (HIGH, 3.0)), ([steel, section(stock), mark], (3.0,)), ([text], (SMALL,)),
             ([steel, section(stock), mark], (SMALL, 1.8)),
             ([f"{steel} {mark}"], (SMALL, 1.8)), ([mark], (SMALL, 1.8, 1.2))],
            (cut / 2.0, stock[1] / 2.0),
        )  # fmt: skip
    what = f"{steel}, {section(stock)}"
    said = "The arrow lies along the direction of rolling." if marks else (
        "Its length lies along the direction of rolling.")  # fmt: skip
    if told and not any(lettered in label.text for label in labels):
        said += f" {told}"
    part = _sound(name, Part(name.upper(), (outline,), tuple(marks), tuple(labels)),
                  replace(way, rules=own))  # fmt: skip
    return Template(name, f"{name.title()} of {_name(plan)}", part, what, stock[0], True, said,
                    own.fitted)  # fmt: skip


def _rolled(room: Room, long: float, wide: float) -> list[Stroke]:
    """An arrow with two heads along the direction of rolling, low on a blank."""
    reach = min(24.0, 0.5 * long)
    at = room.spot(reach, 2.4, (long / 2.0, 0.0))
    if at is None:
        return []
    (x, y), half = at, reach / 2.0
    ends = [(x - half, y), (x + half, y)]
    heads = [
        _line((x + s * (half - 3.0), y + up), (x + s * half, y))
        for s in (-1.0, 1.0)
        for up in (-1.0, 1.0)
    ]
    return [_line(*ends), *heads]


# Gauges ----------------------------------------------------------------------------------------


def strap_gauge(plan: ForgePlan, way: Way) -> Iterator[Template]:
    found = gauge.strap_gauge(plan, way.units, _made(way))
    yield from _gauges("strap-gauge", "Strap gauge", [found], way, plan, gauge.TOLERANCE)


def edge_gauge(plan: ForgePlan, way: Way) -> Iterator[Template]:
    made, deep = _made(way), gauge.notch_depth(plan)
    keenest = math.radians(plan.design.blade.edge_angle) - gauge.BESIDE
    relief = gauge.edge_relief(plan, keenest, made)
    if relief > deep / 2.0:  # of the notch's sides, the better half would be gone
        raise BadInputError(
            [Fault("edge-gauge", f"a hole of {way.mm(2.0 * relief)} at the point of a notch "
                   f"{way.mm(deep)} deep, {way.sheet}", f"{way.mm(deep)} across at most", FINER)]
        )  # fmt: skip
    yield from _gauges("edge-gauge", "Edge gauge", [gauge.edge_gauge(plan, made)], way, plan)


def drift_plates(plan: ForgePlan, way: Way) -> Iterator[Template]:
    found = gauge.drift_plates(plan, way.units, LIGHT)
    if way.letters == "none":
        found = tuple(_counted(one, number, way) for number, one in enumerate(found, 1))
    yield from _gauges("drift-plate", "Drift plate", found, way, plan, LIGHT)


def _counted(one: Gauge, number: int, way: Way) -> Gauge:
    """A plate without letters that is known by so many notches in its lower edge."""
    (mouth, deep), _ = _notch_sizes(way, math.inf)
    box, pitch = one.cuts[0].bounds, mouth + max(mouth, way.rules.web)
    first = (box.left + box.right - (number - 1) * pitch) / 2.0
    notches = [
        corner
        for x in (first + i * pitch for i in range(number))
        for corner in ((x - mouth / 2.0, box.bottom, 0.0), (x, box.bottom + deep, way.round),
                       (x + mouth / 2.0, box.bottom, 0.0))
    ]  # fmt: skip
    frame = Contour.rounded(
        [(box.left, box.bottom, 0.0), *notches, (box.right, box.bottom, 0.0),
         (box.right, box.top, 0.0), (box.left, box.top, 0.0)]
    )  # fmt: skip
    known = f"Known by its {counted(number, 'notch', 'notches')}."
    return replace(one, cuts=(frame, *one.cuts[1:]), use=f"{known} {one.use}")


def blade_gauge(plan: ForgePlan, way: Way) -> Iterator[Template]:
    found = gauge.blade_gauges(plan, way.units, _made(way))
    yield from _gauges("blade-gauge", "Blade gauge", found, way, plan, gauge.TOLERANCE)


def bit_gauge(plan: ForgePlan, way: Way) -> Iterator[Template]:
    found = gauge.bit_gauge(plan, way.units, _made(way))
    yield from _gauges("bit-gauge", "Bit gauge", found, way, plan, gauge.TOLERANCE)


def eye_plugs(plan: ForgePlan, way: Way) -> Iterator[Template]:
    found = gauge.plugs(plan, way.units)
    yield from _gauges("eye-plug", "Eye plug", found, way, plan, gauge.plug_fit(plan.head))


def head_window(plan: ForgePlan, way: Way) -> Iterator[Template]:
    yield from _gauges("head-window", "Head window", [gauge.negative(plan, way.units)], way, plan)


def half(plan: ForgePlan, way: Way) -> Iterator[Template]:
    yield from _gauges("half", "Half", [gauge.half_template(plan, way.units)], way, plan)


def _made(way: Way) -> Made:
    """How cards are made for the process."""
    letters = _through(way.rules) if way.letters == "stencil" else None
    neck = None if way.rules.kerf / 2.0 <= POINT else 1.2 * way.rules.kerf
    if way.rules.fitted:
        neck = way.rules.hole * math.sin(gauge.BESIDE)  # drilled first, and sawn to the hole
    return Made(
        max(gauge.WEB, way.rules.web), neck, letters,
        way.letters != "none",
    )  # fmt: skip


def _gauges(
    name: str, title: str, found: Sequence[Gauge], way: Way, plan: ForgePlan,
    fit: float | None = None,
) -> Iterator[Template]:  # fmt: skip
    """The gauges of one kind; those that cannot be made are refused together, after the others."""
    faults = list[Fault]()
    for number, one in enumerate(found, 1):
        try:
            made = _gauge(name, title, one, number if len(found) > 1 else 0, way, plan, fit)
        except BadInputError as error:
            faults += error.faults
        else:
            yield made
    if faults:
        raise BadInputError(faults)


def _gauge(
    name: str, title: str, one: Gauge, number: int, way: Way, plan: ForgePlan, fit: float | None
) -> Template:  # fmt: skip
    """A gauge, ``number`` of its kind or 0 if it is the only one; refused where the cut may be off
    by more than what it tries."""
    named = f"{name}-{number}" if number else name
    sizes = [o.figure for o in one.openings if o.kind != "angle"]
    if not one.openings:
        box = one.cuts[-1].bounds
        sizes = [max(box.width, box.height)]
    off = max((off_at(way.rules, size) for size in sizes), default=0.0)
    if fit is not None and not way.rules.fitted and off > fit + NO_ODDS:
        raise BadInputError(
            [Fault(named, f"cut true to {fine(off, way.units)} by {way.sheet}",
                   f"true to {fine(fit, way.units)}: that is what it tries",
                   "have it cut by a finer process or in thinner sheet, or file one by hand "
                   "to the printed gauge")]
        )  # fmt: skip
    part: Part = one
    if way.letters != "mark":
        part = Part(one.name, one.cuts, (), ())
    if way.letters == "stencil" and not one.openings:
        box = one.cuts[0].bounds
        under = one.cuts[1].bounds.bottom if one.cuts[1:] else box.top
        mark, titled = report.revision(plan.design), one.name.replace(",", "")
        rest = [[mark], [titled], [_halved(mark)]]
        if number:  # told apart by their numbers, if by nothing else
            rest = [[str(number), mark], [titled], [str(number)]]
        letters = _cut_letters(
            named, way, one.cuts[0], one.cuts[1:], [[titled, mark], *rest],
            ((box.left + box.right) / 2.0, (box.bottom + under) / 2.0),
        )  # fmt: skip
        part = replace(part, cuts=(*part.cuts, *letters))
    said = one.use[:1].upper() + one.use[1:]
    if not part.marks:
        said = said.removesuffix(f" {gauge.THIN_LINE}")
    if way.letters == "none":
        said = " ".join(part for part in (_from_left(one), said) if part)
    elif way.letters == "stencil" and one.openings:
        said = f"{_rows_of(one)}. {said}"
    said_of = f"{title} {number}" if number else title
    return _sheet(named, f"{said_of} of {_name(plan)}", _sound(named, part, way), way, said)


def _from_left(one: Gauge) -> str:
    """What its openings are, for a card without letters."""
    if not one.openings:
        return f"No letters: stamp it {one.name}."
    rows = _rows_of(one)
    return f"No letters: stamp or paint them on. {rows}."


def _rows_of(one: Gauge) -> str:
    """What its openings are, in the order in which they stand."""
    rows = ", ".join(" ".join(opening.rows) for opening in one.openings)
    return f"Openings up, from the left: {rows}"


def off_at(asked: Rules, size: float) -> float:
    """By how much a size may be off, either way [mm]; no more than the table's smallest band
    gives where it gives none."""
    if asked.deviation is not None:
        return asked.deviation
    assert asked.tolerance_class is not None
    found = iso_9013.deviation(max(size, 3.01), asked.thickness, asked.tolerance_class)
    return float("inf") if found is None else found


# Every part ------------------------------------------------------------------------------------


def _name(plan: ForgePlan) -> str:
    return plain(plan.design.name)


def _line(*points: Point) -> Stroke:
    return Stroke(Contour.line(*points), Purpose.MARK)


def _sheet(name: str, title: str, part: Part, way: Way, said: str = "") -> Template:
    return Template(name, title, part, "sheet steel", way.rules.thickness, False, said)


def _cut_letters(
    name: str, way: Way, outline: Contour, holes: Sequence[Contour], blocks: Sequence[list[str]],
    wish: Point,
) -> tuple[Contour, ...]:  # fmt: skip
    """The first of some blocks of rows that can be cut through a part, one row under another or
    each where it has room, well clear of the next; none where letters are not cut. Rows that are
    nothing without each other come as one, with a line's end between them. Refused where no block
    has room."""
    if way.letters != "stencil":
        return ()
    asked = way.rules
    high, stroke, bridge = _through(asked)
    for rows in blocks:
        if not stencil.SIGNS.issuperset("".join(rows).replace("\n", "").upper()):
            continue
        gap = max(0.5 * high, bridge)
        lines = [
            [stencil.word(line, high, stroke, bridge) for line in row.split("\n")]
            for row in rows if row
        ]  # fmt: skip
        words = [_stacked(row, gap) for row in lines]
        loose = [line for row in lines for line in row]
        follows = [i > 0 for row in lines for i in range(len(row))]
        for parts, apart in (((_stacked(words, gap),), 0.0), (words, high), (loose, 0.0)):
            room = Room(outline, holes, border=max(asked.edge, asked.web), gap=asked.web)
            found, low = list[Contour](), math.inf
            for i, part in enumerate(parts):
                box = around(part)
                up = ((len(parts) - 1) / 2.0 - i) * (high + gap)
                at = room.spot(box.width + apart, box.height, (wish[0], wish[1] + up), step=0.5)
                if at is None or (parts is loose and follows[i] and at[1] + box.height > low):
                    break  # no room, or it would be read before the line that it follows
                low = at[1]
                x, y = at[0] - (box.left + box.right) / 2.0, at[1] - (box.bottom + box.top) / 2.0
                found += [contour.moved(x, y) for contour in part]
            else:
                return tuple(found)
    raise BadInputError(
        [Fault(f"{name}, letters", f"stencil letters {way.mm(high)} high, by {way.sheet}",
               "letters that have room on it",
               "leave them off with --letters none, take thinner sheet, or a process that marks")]
    )  # fmt: skip


def _through(asked: Rules) -> tuple[float, float, float]:
    """Height, stroke and bridge of letters that are cut through [mm], with a little to spare."""
    stroke, bridge = 1.05 * asked.slot, 1.02 * max(asked.bridge, asked.web)
    return stencil.least_height(stroke, bridge, asked.letter), stroke, bridge


def _stacked(words: Sequence[tuple[Contour, ...]], gap: float) -> tuple[Contour, ...]:
    """Rows one under another, each in the middle."""
    found, y = list[Contour](), 0.0
    for contours in words:
        box = around(contours)
        y -= box.top
        found += [contour.moved(-(box.left + box.right) / 2.0, y) for contour in contours]
        y += box.bottom - gap
    return tuple(found)


def _halved(mark: str) -> str:
    """A revision in two rows, for a part that has no room for it in one."""
    return f"{mark[: len(mark) // 2]}\n{mark[len(mark) // 2 :]}"


def _sound(name: str, part: Part, way: Way) -> Part:
    """The part, if it can be cut so; else refused with every reason."""
    found = cut_check.faults(runs_of(part.drawing(name, part.name)), way.rules)
    faults = [
        Fault(
            f"{name}, {way.sheet}",
            finding.words(way.units),
            "none of it",
            f"{finding.change}; {FINER}",
        )
        for finding in found
        if finding.severity == "fault"
    ]
    if faults:
        raise BadInputError(faults)
    return part


MAKERS: dict[str, Callable[[ForgePlan, Way], Iterator[Template]]] = {
    "blank": blank,
    "head": head,
    "bit": bit,
    "plate": plate,
    "strap-gauge": strap_gauge,
    "edge-gauge": edge_gauge,
    "drift-plate": drift_plates,
    "blade-gauge": blade_gauge,
    "bit-gauge": bit_gauge,
    "eye-plug": eye_plugs,
    "head-window": head_window,
    "half": half,
}
"""How each part is made, by its name."""

NAMES = tuple(MAKERS)
PATTERNS = NAMES[:4]
"""What comes with the drawn set."""
USUAL = NAMES[:7]
"""What comes if no part is named."""
