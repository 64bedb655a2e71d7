"""Many at once: plans over a grid of bars and eyes, choosing from a rack, learning from a log.

Run it as ``python tests/bench/many.py``; one process, one core. Each is timed beside a bare loop
over numpy that works out the same sums and makes nothing of them: no checks, no words, no types.
See README.md beside this.
"""

from __future__ import annotations

import itertools
import math
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from patterns.blank import plan
from patterns.choice import choose
from patterns.errors import BadInputError
from patterns.learn import learn
from patterns.logbook import Entry
from patterns.parameters import Design
from patterns.profiles import load
from patterns.rack import Stock
from patterns.rows import Row

INCH = 25.4
NODES, WEIGHTS = np.polynomial.legendre.leggauss(12)
SHARES = (1.0 - np.cos(np.pi * (NODES + 1.0) / 2.0)) / 2.0


def designs(base: Design, bars: int, eyes: int) -> Iterator[Design]:
    """A grid of bars by eyes: sections a smith can buy, eyes about a hatchet's."""
    wide = max(1, round(math.sqrt(bars)))
    for thick, width in itertools.product(
        np.linspace(5 / 16, 1 / 2, bars // wide), np.linspace(1 + 3 / 16, 1 + 3 / 4, wide)
    ):
        bar = replace(base.bar, section=(float(thick) * INCH, float(width) * INCH))
        for length in np.linspace(1.6, 2.1, eyes):
            yield replace(base, bar=bar, eye=replace(base.eye, length=float(length) * INCH))


def planned(these: list[Design]) -> int:
    """How many of them can be planned; all are tried."""
    good = 0
    for design in these:
        try:
            plan(design)
            good += 1
        except BadInputError:
            pass
    return good


def bare(these: list[Design]) -> float:
    """The sums of a plan for a teardrop, in numpy and nothing else.

    Walls and neck: heights by interpolation, the eye, the wall's outside and the cheek as arcs and
    lines, over as many spans and nodes as the plan takes; then the marks.
    """
    total = 0.0
    for d in these:
        (thick, wide), t = d.bar.section, d.wall.thickness
        long, b, r = d.eye.length or 0.0, d.eye.width or 0.0, d.eye.front_radius
        R, a = b / 2.0, d.allowances
        left = (1.0 - a.scale_per_heat) ** a.heats
        lean = math.acos((R - r) / (long - R - r))
        reach = math.sqrt((long - R - r) ** 2 - (R - r) ** 2)
        around = 2.0 * (R * (math.pi - lean) + reach + r * lean)
        cap = 2.0 * (thick - t)
        turning = math.tau - cap / r if cap / 2.0 < r * lean else math.tau - 2.0 * lean
        spans = np.linspace(0.0, long + 10.0, 15)
        x = (spans[:-1, None] + np.diff(spans)[:, None] * SHARES).ravel()
        w = (
            np.diff(spans)[:, None] * WEIGHTS * np.pi / 4.0 * np.sin(np.pi * (NODES + 1) / 2)
        ).ravel()
        up = np.interp(x, spans, 16.0 + 6.0 * np.sin(spans / long * np.pi))
        down = -np.interp(x, spans, 16.0 + 6.0 * np.sin(spans / long * np.pi))
        eye = np.sqrt(np.maximum(R * R - (x - R) ** 2, 0.0)) + np.interp(x, spans, spans * 0.0)
        out = np.sqrt(np.maximum((R + t) ** 2 - (x - R) ** 2, 0.0)) + np.interp(
            x, spans, spans * 0.0
        )
        skin = np.maximum(out, np.interp(x, spans, 8.0 - spans * 0.1))
        for across in (out - eye, skin - out):
            metal = 2.0 * across * w
            slices = metal * (up - down)
            total += float(slices.sum()) + float(np.dot(slices, x))
            total += float(np.dot(metal, up**2 - down**2)) / 2.0
        drawn = (around - cap + turning * t / 2.0 - (b + 2.0 * t)) / 2.0
        raw = drawn * t * 35.0 / (thick * wide * left)
        total += b + 2.0 * t + 2.0 * raw
    return total


def rack(count: int) -> tuple[Stock, ...]:
    """As many different bars."""
    return tuple(
        Stock(section=(8.0 + 0.05 * (i % 20), 28.0 + 0.1 * i), length=1000.0 + i, name=str(i))
        for i in range(count)
    )


def bare_rack(base: Design, bars: tuple[Stock, ...]) -> float:
    """The sums of a plan for each bar, then pieces, remnant and order."""
    total = 0.0
    for bar in bars:
        section = replace(base.bar, section=bar.section)
        total += bare([replace(base, bar=section)])
    lengths = np.array([bar.length for bar in bars])
    pieces = np.floor((lengths + 1.6) / 171.6)
    return total + float(np.argsort(lengths - pieces * 171.6).sum())


def log(count: int) -> tuple[Row, ...]:
    """Trial pieces of one hand, each of another eye, with a little scatter."""
    rng = np.random.default_rng(7)
    rows = []
    for i in range(count):
        off = rng.normal(0.0, 0.4, 4)
        length = 48.0 + 8.0 * rng.random()
        entry = Entry(
            section=(12.7, 38.1), length=203.2, poll=28.6, shoulders=102.0 + off[0], wall=6.35,
            drawn_left=49.0 + off[1], drawn_right=49.0 + off[2], ears=58.0 + off[3],
            eye_length=length, eye_width=15.9, bite=19.0, heats=int(rng.integers(6, 11)),
            mass_in=772.0, mass_out=700.0 + float(off[0]), bit_mass=54.0, bit_heats=5,
            name=str(i),
        )  # fmt: skip
        rows.append(Row(i + 2, entry, frozenset()))
    return tuple(rows)


def bare_log(base: Design, rows: tuple[Row, ...]) -> float:
    """The eye's sums for each piece in a loop, then four factors by least squares, eight rounds."""
    total = bare([replace(base, eye=replace(base.eye, length=r.value.eye_length)) for r in rows])
    rng = np.random.default_rng(1)
    design, seen = rng.normal(size=(5 * len(rows), 4)), rng.normal(size=5 * len(rows))
    for _ in range(8):
        total += float(np.linalg.lstsq(design, seen, rcond=None)[0].sum())
    return total


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def pair(title: str, ours: Callable[[], object], bare: Callable[[], object], wanted: str) -> None:
    """Both in turn, three rounds; medians, and the ratio round by round."""
    rounds = [(seconds(ours), seconds(bare)) for _ in range(3)]
    one, other = (statistics.median(column) for column in zip(*rounds, strict=True))
    ratio = statistics.median(a / b for a, b in rounds)
    print(f"{title:<46}{one:>8.3f} s{other:>9.3f} s{ratio:>8.1f}   {wanted}")


def main() -> None:
    base = load("belt-hatchet").design
    print(f"Python {sys.version.split()[0]}, numpy {np.__version__}, one core")
    print(f"{'':<46}{'ours':>10}{'bare':>11}{'ratio':>8}   wanted")
    for bars, eyes in ((25, 40), (50, 100), (100, 100)):
        these = list(designs(base, bars, eyes))
        good = planned(these)
        title = f"{len(these):,} plans, {bars} bars x {eyes} eyes ({good:,} good)"
        wanted = "under 4 s" if len(these) == 10_000 else ""
        pair(title, lambda these=these: planned(these), lambda these=these: bare(these), wanted)
    for count in (50, 200):
        bars = rack(count)
        wanted = "under 0.1 s" if count == 200 else ""
        pair(f"choose among {count} bars", lambda bars=bars: choose(base, bars, 1.6),
             lambda bars=bars: bare_rack(base, bars), wanted)  # fmt: skip
    for count in (250, 1000):
        rows = log(count)
        wanted = "under 1 s" if count == 1000 else ""
        pair(f"learn from {count:,} pieces", lambda rows=rows: learn(rows),
             lambda rows=rows: bare_log(base, rows), wanted)  # fmt: skip


if __name__ == "__main__":
    main()
