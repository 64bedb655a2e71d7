"""The forge plan run forwards: this bar, these marks, so which eye and which head?

The model is the plan's own. A raw strap ``l_raw = (S - P) / 2`` long is drawn from ``T x W`` to a
wall ``t`` thick and on the mean ``w`` high; by volume its length is then
``l = l_raw T W (1 - loss) / (t w)``, and the eye that it closes round is the one whose walls have
the area ``2 l t`` in plan. Where the height is not told it is what drawing gives. So a plan and the
forecast of its bar are each other's inverse.

What the last 1/32 in of the wall does is shown as an interval: a thinner wall is a longer strap and
a larger eye. The mass runs from the most that scale is said to take to the least.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from .derived import hand_spread, mean_height, tips_of
from .errors import BadInputError, Fault
from .eye import EyeForm, eye_form, length_for, perimeter_of
from .forging import spread
from .forging.density import steel_mass
from .forging.scale import fraction_left
from .forging.shoulder import cap_of_eye
from .interval import Interval
from .parameters import EYE_FORMS, spec_at
from .piece import Piece, Told
from .plan_view import PlanError, PlanView, plan_view
from .sources import SCALE_PER_HEAT_LEAST, SCALE_PER_HEAT_MOST, WALL_LOWEST
from .units import MM_PER_INCH, NotALengthError, both, length, read_length

LAST = MM_PER_INCH / 32.0
"""What a wall may still be thicker or thinner than told [mm]: the interval shows what it does."""

ORDINARY_RATIO = 2.8
"""Length over width of an eye, where neither the poll nor the smith tells: common practice."""

NARROWEST = 8.0
"""An eye is not taken for narrower than this between the walls that the poll allows [mm]."""

FINISH_LOW, FINISH_HIGH = 0.5, 1.5
"""Range of what is ground and trimmed away, over what is reckoned: margins of our own."""

BIT_SHARES = Interval(0.0, 0.06, 0.12)
"""What a bit that nobody told of may add to the head, as a share of the body: margins of our own,
about the shipped heads."""


@dataclass(frozen=True)
class DrawnStrap:
    """One strap [mm]: raw, drawn to its finished length, the length of each wall that it becomes,
    the dividers' setting before the drift stretches it, wall, mean height, height from tip to tip.

    Raw, drawn and divider hold the lap of a tongue."""

    raw: float
    drawn: float
    side: float
    divider: float
    wall: float
    height: float
    ears: float
    natural_height: float


@dataclass(frozen=True)
class Forged:
    """Metal as forged and welded, before grinding [mm3]; ``bit`` is None if nothing is known."""

    poll: float
    walls: float
    blade: float
    bit: float | None

    @property
    def body(self) -> float:
        return self.poll + self.walls + self.blade


@dataclass(frozen=True)
class ForecastEye:
    """The eye of one form that the straps close round."""

    form: str
    eye: EyeForm
    view: PlanView


@dataclass(frozen=True)
class Forecast:
    """What a piece gives. Lengths [mm], masses [g], volumes [mm3].

    ``eyes`` holds, for each form, the eye at the thicker wall, at the wall as told and at the
    thinner; ``None`` where no eye of the form closes. ``assumed`` says what was not told.
    """

    piece: Piece
    strap: DrawnStrap
    eye: ForecastEye
    perimeter: Interval
    eyes: dict[str, tuple[ForecastEye | None, ...]]
    forged: Forged
    mass: Interval
    assumed: tuple[str, ...]
    doubts: tuple[str, ...]


@dataclass(frozen=True)
class Ways:
    """Three ways to a wanted eye, each by itself; ``None`` where it leads to none [mm].

    ``divider``: set the dividers to this for each strap, and the wall is ``wall_then``;
    ``shoulders``: mark the shoulders so far apart; ``wall``: keep the marks and draw the walls to
    this.
    """

    perimeter: float
    divider: float
    wall_then: float
    shoulders: float
    wall: float | None


def forecast(told: Told, units: str = "in") -> Forecast:
    """What a bar with these marks gives.

    Raises
    ------
    BadInputError
        If no eye can be closed, in ``units`` (in or mm).
    """
    piece, given = told.piece, told.given
    assumed: list[str] = []
    strap = strap_of(piece)
    if piece.strap.wall is None:
        assumed.append(f"walls of half the bar's thickness, {both(strap.wall, units)}")
    piece, said = _with_eye(piece, strap, units)
    assumed += said
    if piece.strap.height is None and piece.strap.ears is None and piece.strap.drawn is None:
        assumed.append(
            f"walls {both(strap.height, units)} high on the mean, as drawing with a bite of "
            f"{both(piece.hand.bite, units)} gives them"
        )
    chosen = closed(piece, strap)
    if chosen is None:
        raise BadInputError([_too_short(piece, strap, units)])
    thickest = max(0.98 * piece.bar.section[0], strap.wall)
    walls = [min(strap.wall + LAST, thickest), strap.wall]
    walls.append(max(strap.wall - LAST, strap.wall / 2.0))
    eyes = {}
    for form in EYE_FORMS:
        kind = piece if form == piece.eye.form else _of_form(piece, form)
        eyes[form] = tuple(_at_wall(kind, wall) for wall in walls)
    own = eyes[piece.eye.form]
    found = sorted(e.eye.perimeter for e in own if e is not None)
    middle = chosen.eye.perimeter
    perimeter = Interval(min(found[0], middle), middle, max(found[-1], middle))
    mass, said = _masses(piece, given, told.learnt)
    forged = _forged(piece, piece.allowances.scale_per_heat)
    return Forecast(
        piece, strap, chosen, perimeter, eyes, forged, mass, tuple(assumed + said),
        tuple(_doubts(piece, strap, units)),
    )  # fmt: skip


def _doubts(piece: Piece, strap: DrawnStrap, units: str) -> Iterator[str]:
    """What is possible but odd about a piece."""
    wide, least = piece.strap_width, WALL_LOWEST.inside
    if strap.wall < least - 1e-6:
        yield (
            f"a wall of {both(strap.wall, units)}: under {both(least, units)} it may burn in "
            f"welding or crack in drifting [{WALL_LOWEST.basis.value}]"
        )
    narrow = piece.fold.rules.back == "block" and piece.marks.poll < 2.0 * strap.wall - 1e-6
    if narrow:
        yield (
            f"a poll of {both(piece.marks.poll, units)} between the marks is narrower than two "
            f"walls of {both(strap.wall, units)}: the straps run on round the back"
        )
    if not wide / 2.0 <= strap.height <= 2.5 * strap.natural_height:
        yield (
            f"walls {both(strap.height, units)} high on the mean, where drawing gives "
            f"{both(strap.natural_height, units)}: look at strap, ears and wall again"
        )


def strap_of(piece: Piece, wall: float | None = None) -> DrawnStrap:
    """What the raw strap becomes, at a wall [mm]: as told, or half of the bar's thickness."""
    thick, wide, told = piece.bar.section[0], piece.strap_width, piece.strap
    fold = piece.fold.rules
    t = wall or told.wall or thick / 2.0
    _, s = hand_spread(wide, piece.hand)
    natural = spread.drawn(
        thickness_before=thick, thickness_after=t, width=wide, length=1.0, spread=s
    ).width
    lap, raw = piece.fold.lap, piece.raw_strap
    stretch = 1.0 + piece.allowances.drift_stretch
    finished = None if told.drawn is None else (told.drawn - lap) * stretch
    height = told.height
    if height is None and told.ears is not None:
        height = mean_height(wide, told.ears)
    if height is None and finished is not None:
        # what the lap takes of the bar hangs on the height too: both by volume
        height = raw * thick * wide * _left(piece) / (t * (finished + lap / 2.0))
        if piece.fold.lap_bar is not None:
            height = _wrap_bar(piece, t, height) * thick * wide * _left(piece) / (t * finished)
    height = natural if height is None else height
    volume = _wrap_bar(piece, t, height) * thick * wide * _left(piece)
    wrapped = volume / (t * height) if finished is None else finished
    ears = tips_of(wide, height) if told.ears is None else told.ears
    side = wrapped * fold.straps / 2.0
    return DrawnStrap(
        raw, wrapped + lap, side, wrapped / stretch + lap, t, height, ears, natural
    )  # fmt: skip


def _wrap_bar(piece: Piece, wall: float, height: float) -> float:
    """Of the bar of a strap, what goes round the eye [mm]; a lap's scarf runs out to nothing."""
    taken = piece.fold.lap_bar
    if taken is None:
        section = piece.bar.section[0] * piece.strap_width * _left(piece)
        taken = piece.fold.lap * wall / 2.0 * height / section
    return max(piece.raw_strap - taken, 0.0)


def closed(
    piece: Piece, strap: DrawnStrap, about: float | None = None, slack: float = 1e-11
) -> ForecastEye | None:  # fmt: skip
    """The eye of the piece's form that the straps close round; None if they are too short.

    The width, or the ratio, must be told; ``about`` is a first guess at the length [mm], and
    ``slack`` what the strap may differ by, over that length.
    """
    kind = piece.eye

    def over(long: float) -> tuple[float, PlanView]:
        seen = seen_from_above(piece, _sized(piece, long), strap.wall)
        wanted = seen.drawn_strap(neutral=piece.hand.neutral, offset=piece.hand.wrap)
        return wanted - strap.side, seen

    # a first guess by the middle line of a stadium
    turn = 1.1 * math.pi * strap.wall / 2.0
    cap = cap_of_eye(
        bar_thickness=piece.bar.section[0], wall=strap.wall, step=piece.hand.step
    )  # fmt: skip
    around = 2.0 * (strap.side - piece.hand.wrap) + piece.marks.poll + cap - turn
    least = 0.0 if kind.form == "circle" or kind.ratio is not None else kind.width or 0.0
    guess = around / 2.0 - (math.pi / 2.0 - 1.0) * (kind.width or 0.0)
    if kind.form == "circle":
        guess = around / math.pi
    elif kind.ratio is not None:
        guess = around / (2.0 + (math.pi - 2.0) / kind.ratio)
    found = _root(over, guess if about is None else about, least, slack)
    if found is None:
        return None
    long, seen = found
    return ForecastEye(kind.form, _sized(piece, long), seen)


def _root(
    over: Callable[[float], tuple[float, PlanView]], guess: float, least: float, slack: float
) -> tuple[float, PlanView] | None:
    """The length at which the strap is neither too long nor too short, by the secant's rule."""
    x = max(guess, least * (1.0 + 1e-9), 1.0)
    for _ in range(24):  # an eye too small to be drawn is no guess
        try:
            y, seen = over(x)
            break
        except PlanError:
            x *= 1.15
    else:
        return None
    slope = 1.0
    for _ in range(60):
        if abs(y) < slack * x:
            return x, seen
        step = max(min(-y / slope, x), -x / 2.0)
        for _ in range(40):
            ahead = max(x + step, least)
            try:
                z, seen_ahead = over(ahead)
                break
            except PlanError:
                step /= 2.0
        else:
            return None
        if ahead == x:
            return (x, seen) if abs(y) < 1e-9 * x else None
        slope = (z - y) / (ahead - x) or slope
        x, y, seen = ahead, z, seen_ahead
    return None


def _sized(piece: Piece, long: float) -> EyeForm:
    kind = piece.eye
    wide = long if kind.form == "circle" else kind.width
    if wide is None:
        wide = long / (kind.ratio or ORDINARY_RATIO)
    long = max(long, wide)
    return eye_form(kind.form, long, wide, min(kind.front_radius, wide / 2.0), kind.exponent)


def seen_from_above(piece: Piece, eye: EyeForm, wall: float) -> PlanView:
    """The head at mid-height with this eye; its cheeks, which have no say here, run far ahead."""
    thick, fold, step = piece.bar.section[0], piece.fold.rules, piece.hand.step
    return plan_view(
        form=eye,
        wall=wall,
        step=fold.front_step(bar_thickness=thick, wall=wall, step=step, between=piece.bit.back),
        poll_width=fold.poll_width(bar_thickness=thick, outside=piece.marks.poll),
        poll_thickness=max(thick, wall),
        sides_forward=piece.finish.sides_forward,
        station=(thick + 2.0 * eye.length + 10.0 * wall, 0.0),
        rear=fold.rear_step(bar_thickness=thick, wall=wall, step=step),
    )


def _of_form(piece: Piece, form: str) -> Piece:
    """The piece with an eye of another form, as long for its width."""
    return replace(piece, eye=replace(piece.eye, form=form))


def _with_eye(piece: Piece, strap: DrawnStrap, units: str) -> tuple[Piece, list[str]]:
    """The piece with a width or a ratio for its eye, and what was assumed."""
    eye = piece.eye
    if eye.width is not None or eye.ratio is not None or eye.form == "circle":
        return piece, []
    between = piece.marks.poll - 2.0 * strap.wall
    if between >= NARROWEST:
        trial = replace(piece, eye=replace(eye, width=between))
        found = closed(trial, strap)
        if found is not None and 1.0 < found.eye.length / between <= 6.0:
            return trial, [
                f"an eye {both(between, units)} wide, what the poll leaves between two walls"
            ]
    return replace(piece, eye=replace(eye, ratio=ORDINARY_RATIO)), [
        f"an eye {ORDINARY_RATIO:g} times as long as wide, since the poll does not tell its width"
    ]


def _at_wall(piece: Piece, wall: float) -> ForecastEye | None:
    return closed(piece, strap_of(piece, wall))


def _too_short(piece: Piece, strap: DrawnStrap, units: str) -> Fault:
    return Fault(
        "marks.shoulders", length(piece.marks.shoulders, units),
        "so far apart that the straps go round an eye",
        f"each strap would be {both(strap.drawn, units)} long with a wall of "
        f"{both(strap.wall, units)}: mark the shoulders further apart, thin the wall or narrow the "
        "eye",
    )  # fmt: skip


def _left(piece: Piece, scale: float | None = None) -> float:
    a = piece.allowances
    return fraction_left(a.heats, loss_per_heat=a.scale_per_heat if scale is None else scale)


def _forged(piece: Piece, scale: float) -> Forged:
    """The metal that is left at a loss to scale for each heat."""
    (thick, wide), marks, a = piece.bar.section, piece.marks, piece.allowances
    left, strap, straps = _left(piece, scale), strap_of(piece), piece.fold.rules.straps
    between = thick * piece.strap_width * left
    walls = straps * _wrap_bar(piece, strap.wall, strap.height) * between
    laps = straps * piece.raw_strap * between - walls
    halves = (piece.bar.length - marks.shoulders) * thick * piece.half_width * left
    welded = 1.0 - a.weld_loss
    bit = 0.0 if piece.bit.form == "none" else None
    if piece.bit.stock is not None and piece.bit.length is not None:
        steel_left = fraction_left(a.bit_heats, loss_per_heat=scale)
        bit = math.prod(piece.bit.stock) * piece.bit.length * steel_left * welded
    return Forged(marks.poll * thick * wide * left, walls, (halves + laps) * welded, bit)


def _reckoned_finish(piece: Piece) -> float:
    """Share of the blade that is ground and trimmed away, where it is not told.

    Grinding takes ``2 g`` off a blade that is on the mean as thick as the bar, and trimming its
    width all round a blade spread to twice the bar's width: ``2 g / T + m / W``.
    """
    a, (thick, wide) = piece.allowances, piece.bar.section
    return 2.0 * a.grinding / thick + a.trimming / wide


def _ground(piece: Piece, forged: Forged, bit: float, more: float = 1.0) -> float:
    """Mass of the finished head [g], with ``more`` times as much taken off as told or reckoned."""
    whole = forged.body + bit
    if piece.finish.taken is not None:
        return steel_mass(whole * (1.0 - min(more * piece.finish.taken, 0.9)))
    return steel_mass(whole - min(more * _reckoned_finish(piece), 0.9) * (forged.blade + bit))


def mass_of(piece: Piece) -> tuple[Forged, float]:
    """The metal as forged, and the mass of the finished head [g], as told and reckoned."""
    forged = _forged(piece, piece.allowances.scale_per_heat)
    bit = BIT_SHARES.mid * forged.body if forged.bit is None else forged.bit
    return forged, _ground(piece, forged, bit)


def _masses(piece: Piece, given: frozenset[str], sure: bool) -> tuple[Interval, list[str]]:
    """The mass at the most and the least that fire and grinder are said to take.

    ``sure``: the scale was learnt from pieces, and is not doubted.
    """
    a = piece.allowances
    assumed: list[str] = []
    told, least, most = a.scale_per_heat, SCALE_PER_HEAT_LEAST.inside, SCALE_PER_HEAT_MOST.inside
    if sure:
        least = most = told
    elif "allowances.scale_per_heat" not in given:
        assumed.append(f"{told * 100:g} % of the metal lost to scale in each heat")
    if "allowances.heats" not in given:
        assumed.append(f"{a.heats} heats")
    if piece.bit.stock is None and piece.bit.form != "none":
        assumed.append(
            f"a bit that brings {BIT_SHARES.mid * 100:g} % of the body, none at the low end and "
            f"{BIT_SHARES.high * 100:g} % at the high"
        )
    if piece.finish.taken is None:
        assumed.append(
            f"{_reckoned_finish(piece) * 100:.0f} % of the blade ground and trimmed away"
        )

    def at(scale: float, more: float, unknown: float) -> float:
        forged = _forged(piece, scale)
        bit = unknown * forged.body if forged.bit is None else forged.bit
        return _ground(piece, forged, bit, more)

    masses = Interval(
        at(max(most, told), FINISH_HIGH, BIT_SHARES.low),
        mass_of(piece)[1],
        at(min(least, told), FINISH_LOW, BIT_SHARES.high),
    )
    return masses, assumed


def read_wanted(text: str, field: str, units: str = "in") -> float:
    """The perimeter of a wanted eye [mm] as it is told; raises :class:`BadInputError`.

    >>> read_wanted("4 1/2 in", "--want")
    114.3
    """
    spec, what = spec_at("eye.perimeter"), "the length of a strip of paper round the handle"
    try:
        wanted = read_length(text)
    except NotALengthError as error:
        raise BadInputError([Fault(field, repr(text[:60]), str(error), what)]) from None
    if not spec.low <= wanted <= spec.high:
        raise BadInputError([Fault(field, text[:60], spec.limits(units), what)])
    return wanted


def ways_to(forecast: Forecast, perimeter: float, units: str = "in") -> Ways:
    """What to change about a piece so that its eye comes to a wanted perimeter [mm].

    Raises :class:`BadInputError` if no eye of the form has it.
    """
    piece, strap, kind = forecast.piece, forecast.strap, forecast.piece.eye

    def measure(long: float) -> float:
        wide = long if kind.form == "circle" else kind.width
        wide = long / (kind.ratio or ORDINARY_RATIO) if wide is None else wide
        nose = min(kind.front_radius, wide / 2.0)
        return perimeter_of(kind.form, max(long, wide), wide, nose, kind.exponent)

    eye = _sized(piece, length_for(perimeter, measure))
    if abs(eye.perimeter - perimeter) > 1e-6 * perimeter:
        raise BadInputError(
            [
                Fault(
                    "--want", f"{both(perimeter, units)} round",
                    f"more than {both(eye.perimeter, units)}, which an eye as long as wide has",
                    "take a narrower eye or a round one",
                )
            ]
        )  # fmt: skip

    def needed(wall: float) -> float:
        seen = seen_from_above(piece, eye, wall)
        return seen.drawn_strap(neutral=piece.hand.neutral, offset=piece.hand.wrap)

    section = piece.bar.section[0] * piece.strap_width * _left(piece)
    thick, sides = piece.bar.section[0], 2.0 / piece.fold.rules.straps
    try:
        side = needed(strap.wall)
    except PlanError as error:
        raise BadInputError(
            [
                Fault(
                    "--want", f"{both(perimeter, units)} round",
                    f"an eye that walls of {both(strap.wall, units)} and a poll of "
                    f"{both(piece.marks.poll, units)} close round: here {error.reason}",
                    "take a larger eye, a thicker wall or a narrower poll",
                )
            ]
        ) from None  # fmt: skip
    volume = _wrap_bar(piece, strap.wall, strap.height) * section
    raw = sides * side * strap.wall * strap.height / section
    lap = strap.raw - _wrap_bar(piece, strap.wall, strap.height)
    low, high, wall = thick / 8.0, 0.98 * thick, None
    free = replace(piece, strap=replace(piece.strap, drawn=None))

    def lacks(t: float) -> float:
        return strap_of(free, t).side - needed(t)

    try:
        if lacks(low) > 0.0 > lacks(high):
            for _ in range(60):
                middle = (low + high) / 2.0
                low, high = (middle, high) if lacks(middle) > 0.0 else (low, middle)
            wall = (low + high) / 2.0
    except PlanError:
        wall = None
    divider = sides * side / (1.0 + piece.allowances.drift_stretch) + piece.fold.lap
    wall_then = volume / (sides * side * strap.height)
    shoulders = piece.marks.poll + piece.fold.rules.straps * (raw + lap)
    return Ways(perimeter, divider, wall_then, shoulders, wall)
