"""What a log of pieces says of a smith's own hand: four factors by least squares.

The model is the plan's own. A strap drawn from ``T`` to ``t`` keeps, by the hand's spread ``k`` on
the tables' coefficient ``s``,

- a mean height ``w = W (T/t)^(s k)``, taken as half of the bar's width and the ears together;
- a length ``l = l_raw left (T/t)^(1 - s k)``, with ``l_raw = (S - P) / 2``;
- an eye whose plan asks for a strap of ``l - wrap``;

and the fire leaves ``m = m_bar left (1 - g (L - S)/L) + m_bit left_bit (1 - g)`` of bar and bit,
with ``left = (1 - c)^heats``, ``c`` the scale per heat and ``g`` the weld loss.

Each factor has a prior, the figure that the plan takes without a log, with a width. So one piece
moves a factor part of the way, and twenty leave little of the prior. Scale per heat is fitted by
its logarithm. Weld loss cannot be less than nothing: its bounds are those of a normal curve cut off
there.

Scale and weld loss are learnt from the balance alone. What it says of scale is used for the
straps, with its doubt; what the straps say of scale is not let back, since a mean height reckoned
from the tips of the ears is too rough to weigh metal by.

How far pieces stray beside what rule, calipers and balance explain is found from the pieces
themselves: each kind of measure has a factor on its noise, which begins at 1 with the weight of
:data:`NOISE_WEIGHT` pieces. A piece that does not fit is named, and stays in the sums until the
smith takes it out. A loss that gives such pieces less weight was tried on 100 simulated logs of
twenty pieces with one eye 3/16 in too large round. It led the wrap offset 0.09 mm astray on the
mean in place of 0.13 mm, where chance alone makes 0.17 mm: too little to pass measures over unsaid.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from .derived import eye_size, hand_spread, mean_height
from .errors import BadInputError, Fault
from .eye import EyeForm, eye_form, perimeter_of
from .forecast import seen_from_above
from .forging.scale import fraction_left
from .interval import Interval
from .logbook import Entry, called
from .parameters import Allowances, Design, Eye, Hand
from .piece import BarPiece, EyeKind, Finish, FoldPiece, Marks, Piece
from .plan_view import PlanError
from .rows import Row
from .schema import spec_at
from .sources import HOT_NEUTRAL, SCALE_PER_HEAT_LEAST, SCALE_PER_HEAT_MOST, Basis
from .units import MM_PER_INCH, length, mass_change

Array: TypeAlias = NDArray[np.float64]

WITHIN = 1.959963984540054
"""Half of an interval that holds 19 times in 20, in standard deviations of a normal curve."""

RULE = MM_PER_INCH / 64.0
"""Standard deviation of a length by rule or paper strip [mm]: common practice, one mark."""
CALIPERS = 0.1
"""Of a wall by calipers [mm]: our own margin, for forged faces."""
BALANCE = 2.0
"""Of a mass [g]: our own margin, half a mark of a kitchen balance that reads to 5 g."""
UNEVEN_SPREAD = 0.05
"""Of the hand's spread from piece to piece: our own margin."""
UNEVEN_STRAP = 0.01
"""Of a strap's length and height beside that, as a share: our own margin."""
UNEVEN_WRAP = 0.5
"""Of the wrap from piece to piece [mm]: our own margin."""
UNEVEN_FIRE = 0.1
"""Of the scale per heat from piece to piece, as a share of it: our own margin, for fires and hands
that hold a heat now shorter, now longer."""

LITTLE = 0.01
"""By how much thicker a wall is taken, to see what that does [mm]."""

NOISE_WEIGHT = 4.0
"""Pieces that the assumed noise of each kind of measure counts for."""

CHANCE = 0.05
"""Of naming any piece for one kind of measure, in a log where every piece fits."""

OTHERS = 2
"""How many others must have been measured alike before one can be said not to fit."""

SETTLED = 0.9
"""Share of the prior's variance that is gone when a factor is called settled."""

EARS, STRAP, EYE, MASS = range(4)
KINDS = ("ears", "straps", "eye", "mass")


@dataclass(frozen=True)
class Prior:
    """What is known of a factor without a log: middle, standard deviation, and how it is known.

    ``label`` is what it is called; the deviation of scale is that of its logarithm.
    """

    key: str
    label: str
    middle: float
    width: float
    basis: str

    @property
    def interval(self) -> Interval:
        """Bounds that hold 19 times in 20."""
        if self.key == SCALE:
            by = math.exp(WITHIN * self.width)
            return Interval(self.middle / by, self.middle, self.middle * by)
        if self.key == WELD:
            return _cut_off(self.middle, self.width, self.middle)
        half = WITHIN * self.width
        return Interval(self.middle - half, self.middle, self.middle + half)


SPREAD, WRAP = "hand.spread", "hand.wrap"
SCALE, WELD = "allowances.scale_per_heat", "allowances.weld_loss"


def priors() -> tuple[Prior, ...]:
    """The priors, in the order in which the factors are told.

    >>> [round(p.interval.high, 3) for p in priors()]
    [1.588, 0.03, 5.88, 0.059]
    """
    hand, allowances = Hand(), Allowances()
    width = math.log(SCALE_PER_HEAT_MOST.inside / allowances.scale_per_heat) / WITHIN
    least, most = SCALE_PER_HEAT_LEAST.value, SCALE_PER_HEAT_MOST.value
    memory, own = Basis.FROM_MEMORY.value, "a width of our own"
    return (
        Prior(SPREAD, "Spread of the hand", hand.spread, 0.3,
              f"the coefficient of spread is {memory}; {own}"),
        Prior(SCALE, "Scale per heat", allowances.scale_per_heat, width,
              f"{least:g} to {most:g} % a heat, {SCALE_PER_HEAT_MOST.basis.value}"),
        Prior(WRAP, "Wrap offset", hand.wrap, 3.0, f"the plan's area is all that there is; {own}"),
        Prior(WELD, "Weld loss", allowances.weld_loss, 0.03,
              f"no published share was found; {own}"),
    )  # fmt: skip


@dataclass(frozen=True)
class Factor:
    """One factor: what was assumed and what the log says, each with bounds that hold 19 in 20.

    ``known`` is the share of the prior's variance that is gone, ``pieces`` how many taught it.
    """

    prior: Prior
    fitted: Interval
    known: float
    pieces: int

    @property
    def key(self) -> str:
        return self.prior.key

    @property
    def moved(self) -> float:
        return self.fitted.mid - self.prior.middle


@dataclass(frozen=True)
class Misfit:
    """One measure of a piece against what the other pieces say of it.

    ``off`` is by how much it is larger [mm, or g for a mass], ``strays`` the same in standard
    deviations, ``named`` whether it is beyond chance. ``kind`` is one of :data:`KINDS`.
    """

    piece: str
    line: int
    kind: str
    off: float
    strays: float
    named: bool

    def words(self, units: str = "in") -> str:
        """What is odd about it.

        >>> print(Misfit("7", 9, "eye", 4.8, 6.0, True).words())
        7: its eye is 3/16 in larger round than the others say
        """
        more, size = self.off > 0.0, length(abs(self.off), units)
        said = {
            "ears": f"its ears stand {size} {'further apart' if more else 'closer'}, tip to tip,",
            "straps": f"its straps came {size} {'longer' if more else 'shorter'}",
            "eye": f"its eye is {size} {'larger' if more else 'smaller'} round",
            "mass": f"it weighs {mass_change(abs(self.off), units).lstrip('+')} "
                    f"{'more' if more else 'less'}",
        }[self.kind]  # fmt: skip
        return f"{self.piece}: {said} than the others say"


@dataclass(frozen=True)
class OnStrap:
    """What the factors do to a strap like one of the log's: without the log, and with it [mm].

    ``drawn`` is what the dividers are set to for the eye that the piece has, ``height`` its mean
    height by drawing alone, ``shoulders`` how far apart the marks must be for the height that it
    came out with; None where ears or heats were not told.
    """

    piece: str
    drawn: tuple[float, float]
    height: tuple[float, float]
    shoulders: tuple[float, float] | None

    def words(self, units: str = "in") -> str:
        """The change of each figure that moves by what a rule shows.

        >>> print(OnStrap("7", (44.0, 45.3), (48.8, 48.8), None).words())
        a strap like that of 7: set the dividers to 1 25/32 in, not 1 47/64 in
        """
        told = [("set the dividers to", self.drawn, ""), ("by drawing alone it comes", self.height,
                                                          " high")]  # fmt: skip
        if self.shoulders is not None:
            told.insert(1, ("mark the shoulders", self.shoulders, " apart"))
        moved = [
            f"{begin} {length(after, units)}{end}, not {length(before, units)}"
            for begin, (before, after), end in told
            if length(after, units) != length(before, units)
        ]
        return f"a strap like that of {self.piece}: {'; '.join(moved) or 'as before'}"


@dataclass(frozen=True)
class Learnt:
    """What a log has taught.

    ``noise`` is, for each of :data:`KINDS`, how far pieces stray over what was assumed; ``counts``
    how many pieces had that measure. ``unused`` says what of a piece could not be used, and why.
    ``strap`` shows the factors on the last piece that has wall and eye; None where none has.
    """

    pieces: int
    factors: dict[str, Factor]
    misfits: tuple[Misfit, ...]
    noise: dict[str, float]
    counts: dict[str, int]
    unused: tuple[str, ...]
    strap: OnStrap | None

    @property
    def taught(self) -> dict[str, Factor]:
        """The factors that at least one piece speaks of."""
        return {key: factor for key, factor in self.factors.items() if factor.pieces}

    @property
    def named(self) -> tuple[Misfit, ...]:
        """What does not fit, the worst first."""
        odd = [misfit for misfit in self.misfits if misfit.named]
        return tuple(sorted(odd, key=lambda misfit: -abs(misfit.strays)))


def learn(log: Sequence[Row], without: Iterable[str] = ()) -> Learnt:
    """Fit the smith's factors to a log.

    Parameters
    ----------
    log : pieces as :func:`patterns.logbook.load` gives them
    without : names of pieces, or ``row 7``, that are left out

    Raises
    ------
    BadInputError
        If a name is not in the log, or no piece is left.
    """
    left_out = {name.strip() for name in without}
    known = {called(row) for row in log} | {f"row {row.line}" for row in log}
    faults = [
        Fault("--without", repr(name[:60]), "the name of a piece in the log, or its row as row 7",
              "look into the log's name column")
        for name in sorted(left_out - known)
    ]  # fmt: skip
    taken = [r for r in log if called(r) not in left_out and f"row {r.line}" not in left_out]
    if not taken and not faults:
        faults = [Fault("--without", "every piece of the log", "at least one piece left",
                        "leave fewer out")]  # fmt: skip
    if faults:
        raise BadInputError(faults)
    seen = _observed(taken)
    balance = _from_balance(seen)
    hand = _from_rule(seen, balance)
    factors = {prior.key: (balance if prior.key in (SCALE, WELD) else hand).factors[prior.key]
               for prior in priors()}  # fmt: skip
    noise = dict(zip(KINDS, (*hand.noise, *balance.noise), strict=True))
    counts = dict(zip(KINDS, (*hand.counts, *balance.counts), strict=True))
    misfits = _misfits(seen, hand, balance)
    strap = _on_a_strap(taken, factors)
    return Learnt(len(taken), factors, misfits, noise, counts, tuple(seen.unused), strap)


def _on_a_strap(log: Sequence[Row], factors: Mapping[str, Factor]) -> OnStrap | None:
    """The last piece's strap as the priors and as the factors would have it."""
    for row in sorted(log, key=lambda row: -row.line):
        entry: Entry = row.value
        asked = _eye(entry, [])[1]
        if entry.wall is None or not math.isfinite(asked):
            continue
        (thick, wide), thinned = entry.section, entry.section[0] / entry.wall
        coefficient = hand_spread(wide, Hand(bite=entry.bite))[1]
        drawn, height, shoulders = [], [], []
        for spread, wrap, scale in (
            [factors[key].prior.middle for key in (SPREAD, WRAP, SCALE)],
            [factors[key].fitted.mid for key in (SPREAD, WRAP, SCALE)],
        ):
            long = asked + wrap
            drawn.append(long / (1.0 + entry.drift_stretch))
            height.append(wide * thinned ** min(spread * coefficient, 1.0))
            if entry.ears is not None and entry.heats is not None:
                left = fraction_left(entry.heats, loss_per_heat=scale)
                tall = mean_height(wide, entry.ears)
                raw = long * entry.wall * tall / (thick * wide * left)
                shoulders.append(entry.poll + 2.0 * raw)
        return OnStrap(called(row), (drawn[0], drawn[1]), (height[0], height[1]),
                       (shoulders[0], shoulders[1]) if shoulders else None)  # fmt: skip
    return None


# What was measured -------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Observed:
    """The log in arrays, one place for each piece; nan where nothing was measured."""

    rows: Sequence[Row]
    thinned: Array  # log(T/t)
    coefficient: Array  # of spread, before the hand's own factor
    wall: Array
    height: Array  # log of mean height over the bar's width
    mean_height: Array
    drawn: Array
    sides: Array  # straps measured, 1 or 2
    longer: Array  # log of drawn over raw length
    heats: Array
    asked: Array  # strap that the eye's plan asks for
    by_wall: Array  # how it moves with the wall, and by how much rule and strip make it stray
    by_rule: Array
    mass_in: Array
    mass_out: Array
    blade: Array  # share of the bar that is welded
    bit_mass: Array
    bit_heats: Array
    bit_welded: Array
    unused: list[str]


def _observed(log: Sequence[Row]) -> _Observed:
    unused: list[str] = []
    columns = np.full((len(log), 18), np.nan)
    for i, row in enumerate(log):
        entry: Entry = row.value
        said: list[str] = []
        columns[i, :8] = _strap(entry, said)
        columns[i, 8:12] = _eye(entry, said)
        columns[i, 12:] = _masses(entry, said)
        unused += [f"{called(row)}: {text}" for text in said]
    c = columns.T
    return _Observed(
        log, c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7], c[8], c[9], c[10], c[11], c[12],
        c[13], c[14], c[15], c[16], c[17], unused,
    )  # fmt: skip


def _strap(entry: Entry, unused: list[str]) -> tuple[float, ...]:
    thick, wide = entry.section
    _, coefficient = hand_spread(wide, Hand(bite=entry.bite))
    thinned = height = mean = longer = math.nan
    drawn = entry.drawn
    sides = sum(side is not None for side in (entry.drawn_left, entry.drawn_right))
    if entry.wall is not None:
        thinned = math.log(thick / entry.wall)
    elif entry.ears is not None or drawn is not None:
        unused.append("ears and straps teach nothing without the wall")
    free = entry.edges == "free"
    if not free and (entry.ears is not None or drawn is not None):
        unused.append(f"its edges were {entry.edges}: they do not tell how the iron spreads")
    if entry.ears is not None and free:
        mean = mean_height(wide, entry.ears)
        height = math.log(mean / wide)
    if drawn is not None and free:
        longer = math.log(drawn / ((entry.shoulders - entry.poll) / 2.0))
        if entry.heats is None and entry.wall is not None:
            unused.append("its straps do not teach the spread without the heats")
    return (
        thinned, coefficient, entry.wall or math.nan, height, mean, drawn or math.nan,
        float(sides or math.nan), longer,
    )  # fmt: skip


def _eye(entry: Entry, unused: list[str]) -> tuple[float, float, float, float]:
    """Heats; then what the eye's plan asks of the strap, and how that moves with the measures."""
    heats = math.nan if entry.heats is None else float(entry.heats)
    none = (heats, math.nan, math.nan, math.nan)
    given = (entry.eye_length, entry.eye_width, entry.eye_perimeter, entry.eye_ratio)
    if all(value is None for value in given):
        return none
    eye, by_rule = _measured_eye(entry)
    if eye is None:
        unused.append("its eye wants length and width, or perimeter and ratio")
        return none
    if entry.wall is None or entry.drawn is None:
        unused.append("its eye teaches nothing without the wall and a drawn length")
        return none
    piece = Piece(
        bar=BarPiece(section=entry.section, length=entry.length or 2.0 * entry.shoulders),
        fold=FoldPiece(form=entry.fold),
        marks=Marks(poll=entry.poll, shoulders=entry.shoulders),
        eye=EyeKind(form=entry.eye_form, width=eye.width),
        finish=Finish(sides_forward=entry.sides_forward),
        hand=Hand(step=entry.step),
    )
    try:
        asked, thicker = (
            seen_from_above(piece, eye, wall).drawn_strap(neutral=HOT_NEUTRAL.value)
            for wall in (entry.wall, entry.wall + LITTLE)
        )
    except PlanError as error:
        unused.append(f"its eye cannot be drawn round these marks: {error.reason}")
        return none
    return heats, asked, (thicker - asked) / LITTLE, by_rule


def _measured_eye(entry: Entry) -> tuple[EyeForm | None, float]:
    """The eye, and how far a strap round it strays by the rule [mm]."""
    form, long, wide = entry.eye_form, entry.eye_length, entry.eye_width
    around, ratio = entry.eye_perimeter, entry.eye_ratio
    if form == "circle":
        long, ratio = long or wide, 1.0
        wide = long
    elif long is not None and wide is None and ratio is not None:
        wide = long / ratio
    elif wide is not None and long is None and ratio is not None:
        long = wide * ratio
    if long is not None and wide is not None:
        nose = min(entry.eye_nose, wide / 2.0)
        # half of the perimeter grows as the length does; what the width adds to it, it takes from
        # the corners' fill
        return eye_form(form, max(long, wide), wide, nose, entry.eye_exponent), RULE
    if around is None or ratio is None:
        return None, math.nan
    if form == "teardrop":
        long, wide = eye_size(Eye(form=form, perimeter=around, ratio=ratio,
                                  front_radius=entry.eye_nose))  # fmt: skip
    else:  # these keep their shape, so that the perimeter grows as the length does
        long = around / perimeter_of(form, 1.0, 1.0 / ratio, 0.5 / ratio, entry.eye_exponent)
        wide = long / ratio
    nose = min(entry.eye_nose, wide / 2.0)
    return eye_form(form, long, wide, nose, entry.eye_exponent), RULE / 2.0


def _masses(entry: Entry, unused: list[str]) -> tuple[float, ...]:
    none = (math.nan,) * 6
    if entry.mass_in is None and entry.mass_out is None:
        return none
    welded = entry.welded == "yes"
    lacking = [
        words
        for words, there in (
            ("the mass before", entry.mass_in is not None),
            ("the mass after", entry.mass_out is not None),
            ("the heats", entry.heats is not None),
            ("the bar's length", entry.length is not None or not welded),
            ("the bit's heats", entry.bit_mass is None or entry.bit_heats is not None),
        )
        if not there
    ]
    if lacking:
        unused.append(f"its masses teach nothing without {' and '.join(lacking)}")
        return none
    assert entry.mass_in is not None
    assert entry.mass_out is not None
    blade = (entry.length - entry.shoulders) / entry.length if welded and entry.length else 0.0
    return (
        entry.mass_in, entry.mass_out, blade, entry.bit_mass or 0.0,
        float(entry.bit_heats or 0), float(welded),
    )  # fmt: skip


# The fits ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Fit:
    """Factors with the residuals of each kind: rows are kinds, columns pieces.

    ``residual`` is measured less reckoned, ``deviation`` what it strays by with the noise as found,
    ``leverage`` how much of its own reckoning a measure made.
    """

    factors: dict[str, Factor]
    noise: tuple[float, ...]
    counts: tuple[int, ...]
    residual: Array
    deviation: Array
    leverage: Array
    middle: Array
    covariance: Array


def _from_balance(seen: _Observed) -> _Fit:
    """Scale per heat and weld loss from what was weighed: ``x = (log of scale, weld loss)``."""
    there = np.isfinite(seen.mass_out)
    before, bit = np.where(there, seen.mass_in, 1.0), np.where(there, seen.bit_mass, 0.0)
    after, blade = np.where(there, seen.mass_out, 1.0), np.where(there, seen.blade, 0.0)
    heats, bit_heats = np.where(there, seen.heats, 0.0), np.where(there, seen.bit_heats, 0.0)
    welded = np.where(there, seen.bit_welded, 0.0)

    def residual(x: Array) -> Array:
        keeps = math.log1p(-math.exp(x[0]))
        body = before * np.exp(heats * keeps) * (1.0 - x[1] * blade)
        insert = bit * np.exp(bit_heats * keeps) * (1.0 - x[1] * welded)
        return np.where(there, np.log(after) - np.log(body + insert), 0.0)[None, :]

    often = np.where(there, (heats * before + bit_heats * bit) / (before + bit), 0.0)

    def covariance_at(x: Array) -> Array:
        fire = UNEVEN_FIRE * often * math.exp(x[0])
        whole: Array = ((BALANCE / after) ** 2 + fire**2)[None, None, :]
        return whole

    by_key = {prior.key: prior for prior in priors()}
    scale, weld = by_key[SCALE], by_key[WELD]
    limits = [spec_at(Design, SCALE), spec_at(Design, WELD)]
    bounds = ([math.log(1e-6), limits[1].low / 100.0],
              [math.log(limits[0].high / 100.0), limits[1].high / 100.0])  # fmt: skip
    found = _fit(
        residual, covariance_at, there[None, :],
        np.array([math.log(scale.middle), weld.middle]), np.array([scale.width, weld.width]),
        bounds,
    )  # fmt: skip
    count = int(there.sum())
    taught = int((there & (heats + bit_heats > 0)).sum())
    lost = int((there & (blade + bit * welded > 0)).sum())
    covariance = found.covariance
    middle, free = [float(v) for v in found.middle], [float(v) for v in found.free]
    middle[1] = middle[1] if middle[1] > 1e-8 else 0.0  # the search stops just inside the bound
    width = [float(v) for v in np.sqrt(np.diag(covariance))]
    # the weld's share cannot be less than nothing: what that cuts off moves the scale too
    mean, variance = _cut_moments(free[1], width[1])
    slope = float(covariance[0, 1] / covariance[1, 1])
    centre = free[0] + slope * (mean - free[1])
    half = WITHIN * math.sqrt(
        max(float(covariance[0, 0] - slope**2 * covariance[1, 1]), 0.0) + slope**2 * variance
    )
    scale_is = Interval(
        *(math.exp(v) for v in (min(centre - half, middle[0]), middle[0],
                                max(centre + half, middle[0])))
    )  # fmt: skip
    factors = {
        SCALE: Factor(scale, scale_is, _known(half / WITHIN, scale.width), taught),
        WELD: Factor(weld, _cut_off(free[1], width[1], middle[1]),
                     _known(width[1], weld.width), lost),
    }  # fmt: skip
    return _Fit(
        factors, found.noise, (count,), found.residual, found.deviation, found.leverage,
        np.array([centre, half / WITHIN]), covariance,
    )  # fmt: skip


def _from_rule(seen: _Observed, balance: _Fit) -> _Fit:
    """Spread and wrap from rule and calipers: ``x = (spread, wrap, log of scale)``.

    The scale is the balance's, with its doubt.
    """
    measures = (
        np.isfinite(seen.height) & np.isfinite(seen.thinned),
        np.isfinite(seen.longer) & np.isfinite(seen.thinned) & np.isfinite(seen.heats),
        np.isfinite(seen.asked),
    )
    there = np.array(measures)
    thinned, height, longer = map(np.nan_to_num, (seen.thinned, seen.height, seen.longer))
    heats, asked = map(np.nan_to_num, (seen.heats, seen.asked))
    drawn = np.where(np.isfinite(seen.drawn), seen.drawn, 1.0)
    wall = np.where(np.isfinite(seen.wall), seen.wall, 1.0)
    mean = np.where(np.isfinite(seen.mean_height), seen.mean_height, 1.0)
    sides = np.where(np.isfinite(seen.sides), seen.sides, 1.0)
    by_wall, by_rule = map(np.nan_to_num, (seen.by_wall, seen.by_rule))

    def residual(x: Array) -> Array:
        spread = np.minimum(seen.coefficient * x[0], 1.0)
        kept = heats * math.log1p(-math.exp(x[2]))
        return np.where(
            there,
            [
                height - spread * thinned,
                longer - kept - (1.0 - spread) * thinned,
                drawn - asked - x[1],
            ],
            0.0,
        )

    def covariance(x: Array) -> Array:
        """Of the three measures of each piece, which share the calipers' and the rule's errors."""
        spread = np.minimum(seen.coefficient * x[0], 1.0)
        none = np.zeros_like(wall)
        by_hand = seen.coefficient * UNEVEN_SPREAD * thinned
        rule = RULE / np.sqrt(sides)
        shared = np.array(
            [
                [by_hand, -by_hand, none],
                [spread * CALIPERS / wall, (1.0 - spread) * CALIPERS / wall, -by_wall * CALIPERS],
                [none, rule / drawn, rule],
            ]
        )
        own = np.array(
            [np.hypot(RULE / 2.0 / mean, UNEVEN_STRAP), np.full_like(wall, UNEVEN_STRAP),
             np.hypot(by_rule, UNEVEN_WRAP)]
        )  # fmt: skip
        whole: Array = np.einsum("eip,ejp->ijp", shared, shared)
        for i in range(3):
            whole[i, i] += own[i] ** 2
        return whole

    by_key = {prior.key: prior for prior in priors()}
    spread, wrap = by_key[SPREAD], by_key[WRAP]
    limits = [spec_at(Design, SPREAD), spec_at(Design, WRAP)]
    bounds = ([limits[0].low, limits[1].low, -20.0], [limits[0].high, limits[1].high, -0.1])
    found = _fit(
        residual, covariance, there,
        np.array([spread.middle, wrap.middle, balance.middle[0]]),
        np.array([spread.width, wrap.width, max(balance.middle[1], 1e-9)]),
        bounds,
    )  # fmt: skip
    width = np.sqrt(np.diag(found.covariance))
    counts = tuple(int(kind.sum()) for kind in there)
    factors = {}
    for i, (prior, count) in enumerate(
        ((spread, int((there[EARS] | there[STRAP]).sum())), (wrap, counts[EYE]))
    ):
        half = WITHIN * float(width[i])
        at = float(found.middle[i])
        factors[prior.key] = Factor(
            prior, Interval(at - half, at, at + half), _known(float(width[i]), prior.width), count
        )
    return _Fit(
        factors, found.noise, counts, found.residual, found.deviation, found.leverage,
        found.middle, found.covariance,
    )  # fmt: skip


@dataclass(frozen=True)
class _Found:
    middle: Array
    free: Array
    covariance: Array
    noise: tuple[float, ...]
    residual: Array
    deviation: Array
    leverage: Array


def _fit(
    residual: Callable[[Array], Array], covariance: Callable[[Array], Array], there: Array,
    middle: Array, width: Array, bounds: tuple[list[float], list[float]],
) -> _Found:  # fmt: skip
    """Least squares with priors, and with the noise of each kind found from the residuals.

    ``residual`` gives kinds by pieces, ``covariance`` kinds by kinds by pieces; both are asked at
    the parameters. ``free`` of what is found is where the least would lie without the bounds.
    """
    from scipy.optimize import least_squares
    from scipy.special import stdtrit

    kinds = len(there)
    noise, x = np.ones(kinds), middle
    counts = there.sum(axis=1)
    for _ in range(8):
        spread_of = _masked(covariance(x), there, noise)
        lower = np.linalg.cholesky(np.moveaxis(spread_of, 2, 0))

        def whole(x: Array, lower: Any = lower) -> Array:
            white = np.linalg.solve(lower, residual(x).T[:, :, None])[:, :, 0]
            return np.concatenate([white.ravel(), (x - middle) / width])

        low, high = map(np.array, bounds)
        start = np.clip(x, low + 1e-9 * (high - low), high - 1e-9 * (high - low))
        result: Any = least_squares(whole, start, bounds=bounds, x_scale=width, xtol=1e-12,
                                    ftol=1e-12, gtol=1e-12)  # fmt: skip
        x = result.x
        jacobian = _slopes(residual, x, width)
        white = np.linalg.solve(lower, np.moveaxis(jacobian, 1, 0))
        prior = np.diag(1.0 / width**2)
        posterior = np.linalg.inv(np.einsum("pka,pkb->ab", white, white) + prior)
        before, r = noise, residual(x)
        assumed = np.einsum("iip->ip", covariance(x))
        squares = np.where(there, r**2 / assumed, 0.0).sum(axis=1)
        leverage = np.einsum("kpa,ab,kpb->kp", jacobian, posterior, jacobian) / (
            assumed * noise[:, None]
        )
        spent = np.minimum(np.where(there, leverage, 0.0).sum(axis=1), counts)
        noise = (NOISE_WEIGHT + squares) / (NOISE_WEIGHT + counts - spent)
        if np.allclose(noise, before, rtol=1e-4):
            break
    # few pieces tell the noise itself but roughly: Student's t in place of the normal curve
    wider = before * (stdtrit(NOISE_WEIGHT + counts, 0.975) / WITHIN) ** 2
    white_residual = np.linalg.solve(lower, r.T[:, :, None])[:, :, 0]
    gradient = np.einsum("pka,pk->a", white, white_residual) + (x - middle) / width**2
    free = x - posterior @ gradient
    lower = np.linalg.cholesky(np.moveaxis(_masked(covariance(x), there, wider), 2, 0))
    white = np.linalg.solve(lower, np.moveaxis(jacobian, 1, 0))
    posterior = np.linalg.inv(np.einsum("pka,pkb->ab", white, white) + prior)
    deviation = np.sqrt(assumed * before[:, None])
    return _Found(
        x, free, posterior, tuple(float(np.sqrt(n)) for n in before), r, deviation,
        np.where(there, np.minimum(leverage, 0.999), 0.0),
    )  # fmt: skip


def _masked(covariance: Array, there: Array, noise: Array) -> Array:
    """With the noise's factors; what was not measured stands alone, with a variance of 1."""
    scale = np.sqrt(noise)[:, None] * there
    whole: Array = covariance * scale[:, None, :] * scale[None, :, :]
    for i in range(len(there)):
        whole[i, i] += ~there[i].astype(bool)
    return whole


def _slopes(residual: Callable[[Array], Array], x: Array, width: Array) -> Array:
    """How the residuals move with each parameter: kinds, pieces, parameters."""
    columns = []
    for i, wide in enumerate(width):
        step = np.zeros_like(x)
        step[i] = 1e-5 * wide
        columns.append((residual(x + step) - residual(x - step)) / (2.0 * step[i]))
    return np.stack(columns, axis=2)


def _known(after: float, before: float) -> float:
    return min(max(1.0 - (after / before) ** 2, 0.0), 1.0)


def _cut_moments(middle: float, width: float) -> tuple[float, float]:
    """Mean and variance of a normal curve cut off below nothing."""
    from scipy.special import log_ndtr

    a = -middle / width
    hazard = math.exp(-a * a / 2.0 - 0.5 * math.log(2.0 * math.pi) - float(log_ndtr(-a)))
    mean = middle + width * hazard
    return mean, max(width**2 * (1.0 + a * hazard - hazard**2), 1e-12 * width**2)


def _cut_off(middle: float, width: float, at: float) -> Interval:
    """The shortest interval that holds 19 in 20 of a normal curve cut off below nothing."""
    from scipy.special import ndtr, ndtri

    above = float(ndtr(middle / width))  # the part of the curve that is left
    half = -float(ndtri((1.0 - 0.95 * above) / 2.0)) * width
    if middle - half > 0.0:
        return Interval(min(middle - half, at), at, max(middle + half, at))
    high = middle - width * float(ndtri(0.05 * above))
    return Interval(0.0, at, max(high, at))


# What does not fit -------------------------------------------------------------------------------


def _misfits(seen: _Observed, hand: _Fit, balance: _Fit) -> tuple[Misfit, ...]:
    """Every measure against what it would be reckoned without it, by the leverage it has."""
    from scipy.special import stdtr

    found = []
    kinds = [(hand, 0), (hand, 1), (hand, 2), (balance, 0)]
    for kind, (fit, at) in enumerate(kinds):
        count, noise = fit.counts[-1] if fit is balance else fit.counts[at], fit.noise[at]
        freedom = NOISE_WEIGHT + count - 1.0
        for i in range(len(seen.rows)):
            if not _measured(seen, kind, i):
                continue
            r, h = float(fit.residual[at, i]), float(fit.leverage[at, i])
            strays = r / (float(fit.deviation[at, i]) * math.sqrt(1.0 - h))
            # the noise as the others have it
            others = (noise**2 * (freedom + 1.0) - (noise * strays) ** 2) / freedom
            strays *= noise / math.sqrt(max(others, 0.05 * noise**2))
            chance = 2.0 * float(stdtr(freedom, -abs(strays)))
            off = _off(seen, kind, i, r / (1.0 - h))
            row = seen.rows[i]
            found.append(Misfit(called(row), row.line, KINDS[kind], off, strays,
                                count > OTHERS and chance < CHANCE / count))  # fmt: skip
    return tuple(sorted(found, key=lambda misfit: misfit.line))


def _measured(seen: _Observed, kind: int, i: int) -> bool:
    thinned, heats = np.isfinite(seen.thinned[i]), np.isfinite(seen.heats[i])
    return bool(
        (np.isfinite(seen.height[i]) and thinned,
         np.isfinite(seen.longer[i]) and thinned and heats,
         np.isfinite(seen.asked[i]), np.isfinite(seen.mass_out[i]))[kind]
    )  # fmt: skip


def _off(seen: _Observed, kind: int, i: int, residual: float) -> float:
    """A residual as a smith would measure it [mm or g]."""
    if kind == EYE:
        return -2.0 * residual  # both straps too short for the eye
    residual = min(max(residual, -3.0), 3.0)  # twenty times too large is odd enough
    if kind == EARS:
        return float(2.0 * seen.mean_height[i] * -math.expm1(-residual))
    if kind == STRAP:
        return float(seen.drawn[i] * -math.expm1(-residual))
    return float(seen.mass_out[i] * -math.expm1(-residual))
