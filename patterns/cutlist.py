"""Several pieces from several bars: which bar is sawn into what, with the least waste.

*Waste* is the mass of the bars that are cut into, less that of the pieces: kerfs and remnants. On
bars of one section it is the same as their length. Of all lists with the least waste the one of
fewest bars is taken, and of these the one with the longest single remnant, since one long end is
worth more than several short ones.

A *pattern* is what one bar is sawn into: so many pieces of each head. All patterns that a least
wasteful list can hold are written down, and how often each is used is settled by integer
programming (HiGHS, by way of ``scipy.optimize.milp``); bars that are alike are counted, not told
apart.
"""

from __future__ import annotations

import dataclasses
import math
import re
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack

from .choice import Choice
from .errors import BadInputError, Fault
from .forging.density import steel_mass
from .rack import SLACK, Rack, Stock, left_over
from .reading import given

Section = tuple[float, float]
Array = NDArray[np.float64]
Rule = tuple[Any, Any, Any]
"""Rows over the patterns, and the least and the most that each row may come to."""

MOST_PATTERNS = 100_000
"""Above this the list would take longer than anyone waits."""

FEW = 1_000
"""How many patterns are searched first."""

SECONDS = 20.0
"""What the search may take in all; the best list found by then is given, and how far off it is."""

INFEASIBLE = (2, 4)
"""What ``milp`` says where no list exists."""

EQUAL = 1e-4
"""Waste that counts as the same [g]: far below the mark on any scale, far above rounding."""


@dataclass(frozen=True)
class Order:
    """Pieces wanted of one head: how many, and the cut length [mm] from each section that serves.

    A section that cannot make the head is left out. ``doubts`` are said of a section and a steel.
    """

    name: str
    pieces: int
    cuts: Mapping[Section, float]
    doubts: Mapping[tuple[Section, str], tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Cut:
    """So many bars of one row of the rack, each sawn into the same pieces.

    ``pieces`` are head, cut length [mm] and number; ``kerf`` is what the saw takes of each bar, in
    all, and ``remnant`` what is left of it [mm].
    """

    stock: Stock
    bars: int
    pieces: tuple[tuple[str, float, int], ...]
    kerf: float
    remnant: float


@dataclass(frozen=True)
class CutList:
    """Every bar to be sawn, or what is missing.

    ``missing`` are the heads, and how many of each, for which the rack does not suffice; there are
    then no cuts. ``waste`` [g] is proven to be the least if ``least`` is the same: no list can
    waste less than ``least``. ``settled``: the fewest bars and longest remnant are proven too.
    """

    cuts: tuple[Cut, ...]
    waste: float
    least: float
    settled: bool
    missing: tuple[tuple[str, int], ...] = ()

    @property
    def bars(self) -> int:
        return sum(cut.bars for cut in self.cuts)

    @property
    def mass(self) -> float:
        """Of the bars that are cut into [g]."""
        return sum(cut.bars * cut.stock.mass for cut in self.cuts)

    @property
    def longest_remnant(self) -> float:
        return max((cut.remnant for cut in self.cuts), default=0.0)

    @property
    def proven(self) -> bool:
        """Whether the waste is proven to be the least."""
        return self.waste <= self.least + EQUAL


class OutOfTimeError(RuntimeError):
    """No list was found in the time given."""


def order_of(name: str, pieces: int, choices: Sequence[Choice]) -> Order:
    """An order for a head, from what each bar of the rack is to it."""
    able = [each for each in choices if each.can]
    return Order(
        name,
        pieces,
        {each.stock.section: each.cut_length for each in able},
        {
            (each.stock.section, each.stock.steel): (
                *(doubt.message for doubt in each.doubts),
                *each.remarks,
            )
            for each in able
        },
    )


def cut_list(orders: Sequence[Order], rack: Rack, kerf: float, seconds: float = SECONDS) -> CutList:
    """The least wasteful way to saw the pieces from the rack.

    Parameters
    ----------
    orders : the pieces, each head once
    rack : the bars on hand
    kerf : what the saw takes [mm]; n pieces take n kerfs, or one less where the bar then ends
    seconds : how long the search may take

    Raises
    ------
    BadInputError
        If there are more ways to saw the bars than can be looked through.
    OutOfTimeError
        If no list at all was found in time.
    """
    kinds = _kinds(rack)
    held = [sum(row.count for row in rows) for rows in kinds.values()]
    patterns = sorted(_patterns(orders, list(kinds), held, kerf), key=lambda p: p.waste)
    problem = _Problem(orders, held, patterns, time.monotonic() + seconds)
    found = problem.solve()
    if found is None:
        return CutList((), 0.0, 0.0, False, problem.missing())
    used, least, settled = found
    waste = sum(p.waste * n for p, n in zip(patterns, used, strict=True))
    cuts = tuple(_cuts(orders, list(kinds.values()), patterns, used))
    return CutList(cuts, waste, min(least, waste), settled)


def _kinds(rack: Rack) -> dict[Stock, list[Stock]]:
    """Rows of the rack that hold the same kind of bar, by that bar."""
    found: dict[Stock, list[Stock]] = {}
    for row in rack:
        found.setdefault(dataclasses.replace(row, count=1, name=""), []).append(row)
    return found


# Patterns ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Pattern:
    """Pieces of each head from one bar of a kind; what is left over [mm] and wasted [g]."""

    kind: int
    counts: tuple[int, ...]
    kerf: float
    remnant: float
    waste: float


def _patterns(
    orders: Sequence[Order], stocks: Sequence[Stock], held: Sequence[int], kerf: float
) -> list[_Pattern]:
    """Every pattern that a least wasteful list can hold.

    A pattern is left out on a bar if shorter bars of the section would bear it, and are more than
    the rest of the pieces can use up: one of them would always be idle, and better used.
    """
    wanted = sum(order.pieces for order in orders)
    found: list[_Pattern] = []
    tried = 0
    for kind, stock in enumerate(stocks):
        cuts = [order.cuts.get(stock.section, math.inf) for order in orders]
        shorter = [
            (other.length, n)
            for other, n in zip(stocks, held, strict=True)
            if other.section == stock.section and other.length < stock.length - SLACK
        ]
        for counts in _counts(orders, cuts, stock.length + kerf + SLACK, kerf):
            tried += 1
            if max(len(found), tried / 5) > MOST_PATTERNS:
                raise BadInputError(
                    [Fault("cut list", f"{wanted} pieces of {len(orders)} heads",
                           f"no more than {MOST_PATTERNS:,} ways to saw the bars",
                           "ask for fewer heads at once, or for fewer pieces")]
                )  # fmt: skip
            pieces = sum(counts)
            if pieces == 0:
                continue
            sawn = sum(n * cut for n, cut in zip(counts, cuts, strict=True) if n)
            least = sawn + (pieces - 1) * kerf - SLACK
            if sum(n for length, n in shorter if length >= least) > wanted - pieces:
                continue
            lost = max(stock.length - sawn, 0.0)
            left = left_over(stock.length, sawn, pieces, kerf)
            found.append(_Pattern(kind, counts, lost - left, left, steel_mass(stock.area * lost)))
    return found


def _counts(
    orders: Sequence[Order], cuts: Sequence[float], room: float, kerf: float
) -> Iterator[tuple[int, ...]]:
    """Every number of pieces of each head that there is room for, the kerfs with them."""
    if not orders:
        yield ()
        return
    for n in range(orders[0].pieces + 1):
        rest = room - n * (cuts[0] + kerf) if n else room
        if rest < 0.0:
            return
        for others in _counts(orders[1:], cuts[1:], rest, kerf):
            yield (n, *others)


def _cuts(
    orders: Sequence[Order],
    kinds: Sequence[Sequence[Stock]],
    patterns: Sequence[_Pattern],
    used: Sequence[int],
) -> Iterator[Cut]:
    """The bars to be sawn, row by row of the rack."""
    by_kind: dict[int, list[tuple[_Pattern, int]]] = {}
    for pattern, n in zip(patterns, used, strict=True):
        if n:
            by_kind.setdefault(pattern.kind, []).append((pattern, n))
    for kind, several in sorted(by_kind.items()):
        rows = [(row, row.count) for row in kinds[kind]]
        for pattern, bars in several:
            section = kinds[kind][0].section
            pieces = tuple(
                (order.name, order.cuts[section], n)
                for order, n in zip(orders, pattern.counts, strict=True)
                if n
            )
            while bars:
                row, on_hand = rows.pop(0)
                taken = min(bars, on_hand)
                yield Cut(row, taken, pieces, pattern.kerf, pattern.remnant)
                bars -= taken
                if on_hand > taken:
                    rows.insert(0, (row, on_hand - taken))


# The search --------------------------------------------------------------------------------------


class _Problem:
    """How often each pattern is used: whole numbers, within the bars on hand.

    No list can hold a pattern that alone wastes more than the list does. So the least wasteful
    patterns are searched first, and what they come to says how many more must be looked at. The
    patterns stand in the order of their waste.
    """

    def __init__(
        self, orders: Sequence[Order], held: Sequence[int], patterns: Sequence[_Pattern], end: float
    ) -> None:
        self.orders, self.end, self.size = orders, end, len(patterns)
        kinds = [p.kind for p in patterns]
        self.counts = csr_array(
            np.array([p.counts for p in patterns], dtype=float).reshape(self.size, len(orders)).T
        )
        self.bars = csr_array(
            (np.ones(self.size), (kinds, range(self.size))), (len(held), self.size)
        )
        self.wanted = np.array([order.pieces for order in orders], dtype=float)
        self.held = np.array(held, dtype=float)
        self.waste = np.array([p.waste for p in patterns], dtype=float)
        self.remnants = np.array([p.remnant for p in patterns], dtype=float)

    def search(self, cost: Array, rules: Sequence[Rule], share: float = 1.0) -> Any:
        """The least of a cost over whole numbers from 0 up, in a share of the time left."""
        return milp(
            cost,
            integrality=np.ones(len(cost)),
            bounds=Bounds(0.0, np.inf),
            constraints=[LinearConstraint(*rule) for rule in rules],
            options={
                "time_limit": max((self.end - time.monotonic()) * share, 0.1),
                "mip_rel_gap": 0.0,
            },
        )

    def rules(self, few: int) -> list[Rule]:
        """The pieces wanted, and the bars on hand, for the first few patterns."""
        return [
            (self.counts[:, :few], self.wanted, self.wanted),
            (self.bars[:, :few], 0.0, self.held),
        ]

    def within(self, waste: float) -> int:
        """How many patterns a list of that waste can hold."""
        return int(np.searchsorted(self.waste, waste + EQUAL, side="right"))

    def solve(self) -> tuple[list[int], float, bool] | None:
        """How often each pattern is used, the least waste proven [g], whether all is settled.

        None if the rack does not suffice.
        """
        few, best, waste, least = min(FEW, self.size), None, math.inf, 0.0
        while self.size:
            found = self.search(self.waste[:few], self.rules(few), 1.0 if few == self.size else 0.4)
            if found.x is not None and self.waste[:few] @ np.round(found.x) < waste:
                best = np.zeros(self.size)
                best[:few] = np.round(found.x)
                waste = float(self.waste @ best)
            elif found.status in INFEASIBLE and few == self.size:
                return None
            if (needed := self.within(waste)) <= few:
                bound = waste if found.status == 0 else found.mip_dual_bound
                least = 0.0 if bound is None else max(float(bound), 0.0)
                break
            few = min(needed, 4 * few) if best is None else needed
        if best is None:
            if not self.size:
                return None
            raise OutOfTimeError("no cutting list was found in the time given")
        if waste > least + EQUAL:
            return _whole(best), least, False
        few = self.within(waste)
        used, settled = self.settled(best[:few], waste)
        return _whole([*used, *best[few:]]), least, settled

    def settled(self, used: Array, waste: float) -> tuple[Array, bool]:
        """Of the lists of that waste, the fewest bars; of these, the longest single remnant."""
        few, ones = len(used), np.ones((1, len(used)))
        rules = [*self.rules(few), (self.waste[None, :few], 0.0, waste + EQUAL)]
        found = self.search(ones[0], rules)
        if found.status != 0:
            return used, False
        used = np.round(found.x)
        # one pattern in use is marked, and worth its remnant
        rules.append((ones, 0.0, used.sum()))
        none, one = np.zeros(few), _diagonal(few)
        marked: list[Rule] = [
            (hstack([csr_array(rows), csr_array(rows.shape)], format="csr"), low, high)
            for rows, low, high in rules
        ]
        marked.append((hstack([one, -one], format="csr"), 0.0, np.inf))
        marked.append((np.concatenate([none, none + 1.0])[None, :], 1.0, 1.0))
        found = self.search(np.concatenate([none, -self.remnants[:few]]), marked)
        return (used if found.x is None else np.round(found.x[:few])), found.status == 0

    def missing(self) -> tuple[tuple[str, int], ...]:
        """The fewest pieces that the rack cannot give; of these, the later heads' first."""
        heads = len(self.orders)
        if self.size == 0:
            return tuple((order.name, order.pieces) for order in self.orders)
        # a piece of any head weighs more than all that their order can weigh
        later = np.arange(heads, 0, -1) / (heads + 1.0) / (self.wanted.sum() + 1.0)
        lacking = _diagonal(heads)
        found = self.search(
            np.concatenate([np.zeros(self.size), 1.0 + later]),
            [
                (hstack([self.counts, lacking], format="csr"), self.wanted, self.wanted),
                (hstack([self.bars, csr_array((len(self.held), heads))], format="csr"), 0.0,
                 self.held),
            ],
        )  # fmt: skip
        if found.status != 0:
            raise OutOfTimeError("what is missing was not found in the time given")
        short = zip(self.orders, _whole(found.x[self.size :]), strict=True)
        return tuple((order.name, n) for order, n in short if n)


def _diagonal(size: int) -> Any:
    return csr_array((np.ones(size), (range(size), range(size))), (size, size))


def _whole(x: Any) -> list[int]:
    return [round(float(each)) for each in x]


MOST_PIECES = 500
"""Of one head."""


def read_pieces(text: str, field: str) -> int:
    """How many pieces are wanted; raises :class:`BadInputError` if it is no such number."""
    number = text.strip()
    if re.fullmatch(r"\d{1,6}", number, re.ASCII) and 1 <= int(number) <= MOST_PIECES:
        return int(number)
    raise BadInputError(
        [Fault(field, given(text) if number else "nothing",
               f"a whole number from 1 to {MOST_PIECES}", "say how many pieces")]
    )  # fmt: skip
