"""Learning: known factors found again in made logs, closed forms of one piece, and hand sums.

The logs are made here from the formulas of the plan, by plain loops; only the plan view of an eye,
which is the model itself, is asked of the package.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace
from pathlib import Path

import pytest

from patterns.errors import BadInputError
from patterns.eye import teardrop
from patterns.learn import Learnt, learn, priors
from patterns.logbook import Entry, load
from patterns.plan_view import plan_view
from patterns.rows import Row

INCH = 25.4
EXAMPLE = Path(__file__).parent.parent.parent / "output" / "examples" / "log.csv"

SPREAD, SCALE = "hand.spread", "allowances.scale_per_heat"
WRAP, WELD = "hand.wrap", "allowances.weld_loss"
PRIORS = {prior.key: prior for prior in priors()}


def table_spread(bite: float, width: float) -> float:
    """The coefficients of Tomlinson and Stringer, from memory, not verified."""
    share = min(max(bite / width, 0.25), 2.0)
    return 0.14 + 0.36 * share - 0.054 * share**2


def strap_for(eye: tuple[float, float], wall: float, thick: float, poll: float) -> float:
    """Strap that the plan's area asks for, at a square step and a nose of 1/8 in [mm]."""
    view = plan_view(
        form=teardrop(*eye, 3.175), wall=wall, step=thick - wall, poll_width=poll,
        poll_thickness=thick, sides_forward=0.0, station=(thick + 2 * eye[0] + 10 * wall, 0.0),
    )  # fmt: skip
    return view.drawn_strap(neutral=0.5)


def made(
    seed: int, pieces: int, *, spread: float, scale: float, wrap: float, weld: float,
    noise: float = 1.0,
) -> list[Row]:  # fmt: skip
    """A log of pieces whose smith has these factors; ``noise`` 0 measures and works exactly."""
    chance = random.Random(seed)

    def about(deviation: float) -> float:
        return chance.gauss(0.0, deviation * noise)

    log = []
    for i in range(pieces):
        thick = chance.choice([3 / 8, 1 / 2, 5 / 8]) * INCH
        wide = chance.choice([1.25, 1.5, 2.0]) * INCH
        bite = chance.choice([0.5, 0.75, 1.0]) * INCH
        wall = chance.uniform(0.4, 0.6) * thick
        heats, bit_heats = chance.randint(5, 11), chance.randint(3, 6)
        across = chance.uniform(14.0, 20.0)
        eye = (chance.uniform(2.2, 3.0) * across, across)
        poll = across + 2.0 * wall + chance.uniform(-1.0, 3.0)
        thinned = thick / wall
        exponent = table_spread(bite, wide) * (spread + about(0.05))
        height = wide * thinned**exponent * math.exp(about(0.01))
        drawn = strap_for(eye, wall, thick, poll) + wrap + about(0.5)
        left = (1.0 - scale) ** heats
        raw = drawn / (left * thinned ** (1.0 - exponent) * math.exp(about(0.01)))
        shoulders = poll + 2.0 * raw
        long = shoulders + chance.uniform(2.2, 4.0) * INCH
        mass, bit = thick * wide * long * 0.00785, chance.uniform(40.0, 80.0)
        welded = 1.0 - weld * (long - shoulders) / long
        out = mass * left * welded + bit * (1.0 - scale) ** bit_heats * (1.0 - weld)
        mark = INCH / 64.0
        entry = Entry(
            name=f"piece {i + 1}", section=(thick, wide), length=long, poll=poll,
            shoulders=shoulders, wall=wall + about(0.1), drawn_left=drawn + about(mark),
            drawn_right=drawn + about(mark), ears=2.0 * height - wide + about(mark),
            eye_length=eye[0] + about(mark), eye_width=eye[1] + about(mark), bite=bite,
            heats=heats, mass_in=mass, mass_out=out * math.exp(about(0.005)) + about(2.0),
            bit_mass=bit, bit_heats=bit_heats,
        )  # fmt: skip
        log.append(Row(i + 2, entry, frozenset()))
    return log


def one(**cells: object) -> list[Row]:
    given = {"section": (12.7, 38.1), "poll": 28.0, "shoulders": 100.0} | cells
    return [Row(2, Entry(**given), frozenset(given))]  # type: ignore[arg-type]


def only(log: list[Row], *names: str) -> list[Row]:
    """The log with nothing but some of its measures."""
    kept = {"name", "section", "poll", "shoulders", *names}
    return [
        replace(row, value=Entry(**{name: getattr(row.value, name) for name in kept}))
        for row in log
    ]


# Simulated smiths --------------------------------------------------------------------------------

SMITHS = {
    "spreads and scales much": {"spread": 1.2, "scale": 0.02, "wrap": 1.0, "weld": 0.02},
    "draws narrow, clean fire": {"spread": 0.8, "scale": 0.012, "wrap": -1.5, "weld": 0.0},
    "far from the priors": {"spread": 1.5, "scale": 0.03, "wrap": 3.0, "weld": 0.005},
}


@pytest.mark.parametrize("noise", [1.0, 2.0])
@pytest.mark.parametrize("smith", SMITHS)
def test_known_factors_lie_in_the_stated_bounds(smith: str, noise: float) -> None:
    """100 seeded logs of twenty pieces: each factor in its bounds at least 90 times.

    With twice the noise too, of which the fit knows nothing but what the pieces show.
    """
    true = SMITHS[smith]
    keys = dict(zip(true, (SPREAD, SCALE, WRAP, WELD), strict=True))
    inside = dict.fromkeys(true, 0)
    for seed in range(1000, 1100):
        found = learn(made(seed, 20, noise=noise, **true))
        for name, key in keys.items():
            inside[name] += found.factors[key].fitted.spans(true[name])
    assert min(inside.values()) >= 90, inside


def test_bounds_are_no_wider_than_they_must_be() -> None:
    """Twenty pieces settle three factors: an interval of everything would hold as well."""
    found = learn(made(7, 20, **SMITHS["spreads and scales much"]))
    assert all(found.factors[key].known > 0.97 for key in (SPREAD, SCALE, WRAP))
    assert all(factor.pieces == 20 for factor in found.factors.values())


def test_exact_work_is_found_exactly() -> None:
    """400 pieces without any error: what is left of the priors is a few thousandths."""
    true = SMITHS["spreads and scales much"]
    found = learn(made(3, 400, noise=0.0, **true)).factors
    assert found[SPREAD].fitted.mid == pytest.approx(true["spread"], rel=2e-3)
    assert found[SCALE].fitted.mid == pytest.approx(true["scale"], rel=5e-3)
    assert found[WRAP].fitted.mid == pytest.approx(true["wrap"], abs=5e-3)
    assert found[WELD].fitted.mid == pytest.approx(true["weld"], abs=1e-3)


def test_more_pieces_never_make_a_factor_less_known() -> None:
    log = made(5, 40, **SMITHS["spreads and scales much"])
    for key in (SPREAD, SCALE, WRAP):
        known = [learn(log[:n]).factors[key].known for n in (1, 4, 12, 40)]
        assert known == sorted(known)
        assert 0.0 < known[0] < known[-1]


def test_the_order_of_the_rows_does_not_matter() -> None:
    log = made(11, 15, **SMITHS["spreads and scales much"])
    there, back = learn(log), learn(log[::-1])
    for key, factor in there.factors.items():
        assert back.factors[key].fitted.mid == pytest.approx(factor.fitted.mid, rel=1e-6)
        assert back.factors[key].fitted.low == pytest.approx(factor.fitted.low, rel=1e-6)


# One piece ---------------------------------------------------------------------------------------


def test_one_piece_moves_the_spread_part_of_the_way() -> None:
    """Ears alone, against the normal prior with one observation, by hand.

    Bar 1/2 x 1 1/2, wall 1/4, bite 3/4: s = 0.14 + 0.18 - 0.0135 = 0.3065, log(T/t) = log 2, so the
    reading is k = log(w/W) / (0.3065 log 2). Its variance holds the rule, the calipers (0.1 mm on
    6.35), the strap's 1 % and the hand's 0.05; its noise factor is (4 + z^2) / (4 + 1 - h), h the
    share of the fit that the piece makes itself.
    """
    ears = 2.75 * INCH
    slope = 0.3065 * math.log(2.0)
    height = (1.5 * INCH + ears) / 2.0
    reading = math.log(height / (1.5 * INCH)) / slope
    k, noise = 1.0, 1.0
    for _ in range(200):
        variance = (
            (0.05 * slope) ** 2 + (0.3065 * k * 0.1 / 6.35) ** 2
            + (INCH / 64 / 2 / height) ** 2 + 0.01**2
        ) / slope**2  # fmt: skip
        weight = 1.0 / (noise * variance)
        k = (1.0 / 0.3**2 + weight * reading) / (1.0 / 0.3**2 + weight)
        h = weight / (1.0 / 0.3**2 + weight)
        noise = (4.0 + (reading - k) ** 2 / variance) / (4.0 + 1.0 - h)
    found = learn(one(wall=6.35, ears=ears)).factors[SPREAD]
    assert found.fitted.mid == pytest.approx(k, abs=2e-3)
    assert 1.0 < found.fitted.mid < reading
    assert found.pieces == 1


def test_one_weighed_bar_without_a_weld_moves_the_scale() -> None:
    """8 heats and no weld: the reading is 1 - (m1/m0)^(1/8), and the fit lies before it."""
    log = one(length=203.2, mass_in=772.0, mass_out=772.0 * 0.98**8, heats=8, welded="no")
    found = learn(log).factors
    assert 0.015 < found[SCALE].fitted.mid < 0.02
    assert found[SCALE].fitted.mid == pytest.approx(0.02, abs=5e-4)
    assert found[WELD].fitted == PRIORS[WELD].interval
    assert found[WELD].pieces == 0


def test_without_masses_scale_stays_where_it_was() -> None:
    """Not only its middle: its bounds too, since no strap is let speak of it."""
    log = [
        replace(row, value=replace(row.value, mass_in=None, mass_out=None, bit_mass=None))
        for row in made(2, 20, **SMITHS["spreads and scales much"])
    ]
    found = learn(log).factors
    for key in (SCALE, WELD):
        prior = PRIORS[key].interval
        fitted = found[key].fitted
        assert fitted.mid == pytest.approx(prior.mid, abs=1e-9)
        assert (fitted.low, fitted.high) == pytest.approx((prior.low, prior.high), rel=1e-3)
        assert (found[key].known, found[key].pieces) == (pytest.approx(0.0, abs=1e-9), 0)
    assert found[SPREAD].known > 0.9


@pytest.mark.parametrize(
    ("names", "taught"),
    [
        ((), set()),
        (("wall", "ears"), {SPREAD}),
        (("wall", "drawn_left", "eye_length", "eye_width"), {WRAP}),
        (("heats", "mass_in", "mass_out", "length"), {SCALE, WELD}),
    ],
)
def test_each_measure_teaches_its_own_factor(names: tuple[str, ...], taught: set[str]) -> None:
    found = learn(only(made(4, 6, **SMITHS["spreads and scales much"]), *names)).factors
    assert {key for key, factor in found.items() if factor.pieces} == taught
    for key in set(found) - taught:
        assert found[key].moved == pytest.approx(0.0, abs=1e-9)


def test_two_weighings_tell_scale_and_weld_apart() -> None:
    """Each piece weighed before the weld too: the doubt of the weld falls to less than half."""
    log = made(6, 6, **SMITHS["spreads and scales much"])
    before = learn(log).factors[WELD]
    more = []
    for row in log:
        mass = row.value.mass_in * 0.98**row.value.heats
        entry = replace(row.value, mass_out=mass, welded="no", bit_mass=None, bit_heats=None)
        more.append(replace(row, line=row.line + 100, value=entry))
    after = learn([*log, *more]).factors[WELD]
    assert 1.0 - after.known < 0.5 * (1.0 - before.known)


def test_a_drift_that_stretches_is_not_taken_for_a_wrap_offset() -> None:
    """Straps drawn 3 % shorter and stretched as much by the drift: told of it, nothing changes."""
    log = made(8, 12, **SMITHS["spreads and scales much"])
    stretched = []
    for row in log:
        e = row.value
        short = replace(e, drawn_left=e.drawn_left / 1.03, drawn_right=e.drawn_right / 1.03)
        stretched.append(replace(row, value=replace(short, drift_stretch=0.03)))
    before, after = learn(log).factors, learn(stretched).factors
    for key in before:
        assert after[key].fitted.mid == pytest.approx(before[key].fitted.mid, abs=1e-6)
    untold = [replace(row, value=replace(row.value, drift_stretch=0.0)) for row in stretched]
    assert learn(untold).factors[WRAP].fitted.mid < before[WRAP].fitted.mid - 1.0


def test_what_cannot_be_used_is_said() -> None:
    found = learn(one(ears=50.0, mass_in=700.0, eye_perimeter=110.0))
    assert len(found.unused) == 3
    assert all(text.startswith("row 2: ") for text in found.unused)


# What does not fit -------------------------------------------------------------------------------


def spoilt(kind: str) -> Learnt:
    log = made(1, 20, **SMITHS["spreads and scales much"])
    entry = log[6].value
    change = {
        "ears": {"ears": entry.ears + 12.0},
        "eye": {"eye_length": entry.eye_length + 4.0},
        "mass": {"mass_out": entry.mass_out * 0.95},
    }[kind]
    log[6] = replace(log[6], value=replace(entry, **change))
    return learn(log)


@pytest.mark.parametrize(
    ("kind", "off", "words"),
    [
        ("ears", 12.0, "its ears stand"),
        ("eye", 2 * 4.0, "larger round than the others say"),
        ("mass", None, "less than the others say"),
    ],
)
def test_a_piece_that_does_not_fit_is_named(kind: str, off: float | None, words: str) -> None:
    """And by about as much as it was spoilt, give or take what it strayed before: 3 mm."""
    found = spoilt(kind)
    worst = found.named[0]
    assert (worst.piece, worst.line, worst.kind) == ("piece 7", 8, kind)
    assert words in worst.words()
    if off is not None:
        assert worst.off == pytest.approx(off, abs=3.0)


def test_sound_logs_name_few_pieces() -> None:
    """For each kind of measure no more than one log in twenty should: of 60 logs with four kinds
    about 12, and hardly ever more than 24 (Poisson: 1 in 1000)."""
    logs = (made(seed, 20, **SMITHS["spreads and scales much"]) for seed in range(60))
    assert sum(bool(learn(log).named) for log in logs) <= 24


def test_left_out_is_as_not_there() -> None:
    log = made(1, 12, **SMITHS["spreads and scales much"])
    there = learn([row for row in log if row.value.name != "piece 7"])
    for name in ("piece 7", "row 8"):
        assert learn(log, [name]).factors == there.factors
    with pytest.raises(BadInputError, match="--without"):
        learn(log, ["piece 70"])
    with pytest.raises(BadInputError, match="at least one piece"):
        learn(log[:1], ["piece 1"])


# Four pieces by hand -----------------------------------------------------------------------------


def test_four_pieces_by_hand() -> None:
    """The invented log of the examples; each piece's own reading of each factor, summed by hand.

    Ears: w = (W + h)/2, k = log(w/W) / (s log 2), s = 0.3065 on 1 1/2 in and 0.33656 on 1 1/4:
        first   (1.5 + 2.375)/2   = 1.9375,  log 1.29167 = 0.25593, over 0.21245: 1.205
        second  (1.5 + 2.40625)/2 = 1.95313, log 1.30208 = 0.26397, over 0.21245: 1.242
        third   (1.25 + 2.0625)/2 = 1.65625, log 1.325   = 0.28141, over 0.23329: 1.206
        fourth  (1.25 + 2.03125)/2 = 1.64063, log 1.3125 = 0.27193, over 0.23329: 1.166
    Straps at 1.8 % a heat: s k = 1 - (log(l/l_raw) - n log 0.982) / log 2:
        first   l 1.95313, raw 1.45313: log 0.29571 + 0.14531 = 0.44102, s k 0.3637, k 1.187
        second  l 2.01563, raw 1.53125: log 0.27486 + 0.16347 = 0.43833, s k 0.3676, k 1.199
        third   l 1.78125, raw 1.34375: log 0.28184 + 0.12715 = 0.40899, s k 0.4100, k 1.218
        fourth  l 1.82813, raw 1.4375:  log 0.24039 + 0.18164 = 0.42203, s k 0.3911, k 1.162
    So the spread lies among 1.16 to 1.24, about 1.20.
    Balance with 2 % lost in the weld: the bar's share is 1 - 0.02 (L - S)/L:
        second  771 x 0.99047, 54 x 0.98:  c = 1.8 % gives 648.5 + 48.3 = 696.8 g; weighed 696
        third   422 x 0.99054, 40 x 0.98:  c = 1.8 % gives 368.1 + 35.8 = 403.9 g; weighed 405
        fourth  422 x 0.99107, 40 x 0.98:  c = 1.8 % gives 348.8 + 35.8 = 384.6 g; weighed 384
    and 0.1 % a heat is 5.9, 2.8 and 3.7 g: 1.81, 1.76 and 1.82 %.
    """
    found = learn(load(EXAMPLE))
    spread, scale = found.factors[SPREAD].fitted, found.factors[SCALE].fitted
    weld = found.factors[WELD].fitted
    assert spread.mid == pytest.approx(1.20, abs=0.02)  # the prior at 1 has 2 % of the say
    # what is not lost in the weld is lost to scale: 1 % of the blade's half is 0.05 % a heat
    assert scale.mid == pytest.approx(0.018 + (0.02 - weld.mid) * 0.07, abs=5e-4)
    assert found.counts == {"ears": 4, "straps": 4, "eye": 4, "mass": 3}
    assert found.named == ()
    assert found.unused == ("first: its masses teach nothing without the mass after",)
    # wrap: each drawn length less what the plan asks for that eye; the prior's say is 2 to 5 %
    rows = [row.value for row in load(EXAMPLE)]
    offsets = [
        e.drawn - strap_for((e.eye_length, e.eye_width), e.wall, e.section[0], e.poll)
        for e in rows
    ]  # fmt: skip
    wrap = found.factors[WRAP].fitted
    assert min(offsets) < wrap.mid < max(offsets)
    assert wrap.mid == pytest.approx(sum(offsets) / 4.0, abs=0.15)


def test_what_the_factors_do_to_a_strap_by_hand() -> None:
    """The fourth piece: 3/8 x 1 1/4, wall 3/16, ten heats, ears 2 1/32, poll 1 in; in inches.

    Mean height (1.25 + 2.03125)/2 = 1.640625. A strap ``l`` long wants of bar
    l x 0.1875 x 1.640625 / (0.46875 x left) = 0.65625 l / left, left = 0.985^10 = 0.859730 before.
    By drawing alone it comes 1.25 x 2^0.33656 = 1.5784 high before.
    """
    found = learn(load(EXAMPLE))
    strap = found.strap
    assert strap is not None
    assert strap.piece == "fourth"
    asked = strap_for((1.78125 * INCH, 0.625 * INCH), 0.1875 * INCH, 0.375 * INCH, INCH)
    wrap, scale, spread = (found.factors[key].fitted.mid for key in (WRAP, SCALE, SPREAD))
    assert strap.drawn == pytest.approx((asked, asked + wrap), rel=1e-9)
    assert strap.shoulders == pytest.approx(
        (INCH + 2 * 0.65625 * asked / 0.859730,
         INCH + 2 * 0.65625 * (asked + wrap) / (1.0 - scale) ** 10), rel=1e-5,
    )  # fmt: skip
    assert strap.height == pytest.approx((1.5784 * INCH, 1.25 * INCH * 2 ** (0.33656 * spread)),
                                         rel=1e-4)  # fmt: skip
    # what it measured lies nearer to the figures with the log than to those without
    measured = 1.828125 * INCH
    assert abs(strap.drawn[1] - measured) < 0.3 * abs(strap.drawn[0] - measured)


def test_a_log_without_an_eye_shows_no_strap() -> None:
    assert learn(one(wall=6.35, ears=60.0)).strap is None
