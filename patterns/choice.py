"""Which bars of a rack can make a head, which of them first, and why the others cannot.

Each section is planned as if the profile had asked for it. A bar *can* make the head if the plan
has no fault, none of its doubts stops the work, and one cut length comes out of it.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cached_property

from . import parameters
from .blank import ForgePlan, plan
from .doubts import Doubt
from .errors import BadInputError, Fault
from .forging.density import steel_mass
from .parameters import Bar, Design
from .rack import Rack, Stock, left_over, pieces_in
from .schema import Spec
from .sources import WALL_SHARE
from .steels import find
from .units import both

RANKING = (
    "fewest doubts; least to do, by spread and wall to a tenth; steel as asked for; least waste; "
    "least cost"
)
"""How the bars that can make the head are ranked, in a line: see :func:`rank`."""


@dataclass(frozen=True)
class Choice:
    """What one row of the rack is to a head. Lengths [mm], masses [g].

    ``plan`` is None, and ``reasons`` say why, where the bar cannot make the head at all; a bar that
    is only too short, or whose plan stops, has both. ``doubts`` are those of the work, ``remarks``
    what is to be said of the bar's steel.
    """

    stock: Stock
    kerf: float
    plan: ForgePlan | None
    reasons: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    remarks: tuple[str, ...] = ()
    other_steel: bool = False

    @property
    def can(self) -> bool:
        return not self.reasons

    @property
    def planned(self) -> ForgePlan:
        """The plan, of a bar that has one."""
        assert self.plan is not None
        return self.plan

    @property
    def cut_length(self) -> float:
        return self.planned.cut_length

    @cached_property
    def pieces(self) -> int:
        """From one bar."""
        return pieces_in(self.stock.length, self.cut_length, self.kerf)

    @property
    def pieces_in_all(self) -> int:
        """From all that are alike."""
        return self.pieces * self.stock.count

    @property
    def remnant(self) -> float:
        """What is left of one bar after as many pieces as it gives."""
        return left_over(
            self.stock.length, self.pieces * self.cut_length, self.pieces, self.kerf
        )  # fmt: skip

    @property
    def waste(self) -> float:
        """Share of one bar that becomes no piece: remnant and kerfs."""
        return 1.0 - self.pieces * self.cut_length / self.stock.length

    @property
    def thinning(self) -> float:
        """The wall as drawn over the bar's thickness."""
        return self.planned.strap.wall / self.stock.section[0]

    @property
    def spread_needed(self) -> float:
        return self.planned.spread.coefficient_needed

    @property
    def spread_drawing(self) -> float:
        """The coefficient of spread that drawing gives by itself."""
        return self.planned.spread.coefficient

    @property
    def upset(self) -> float:
        """How much thicker the poll is wanted than the bar's block leaves it."""
        head = self.planned.head
        return max(head.poll_wanted - head.plan.poll_thickness, 0.0)

    @property
    def work(self) -> float:
        """What the section asks of the hammer: 0 where everything comes by itself.

        How far the spread needed lies from that of drawing, and the wall from half the bar: both
        are plain ratios of like size.
        """
        return abs(self.spread_needed - self.spread_drawing) + abs(self.thinning - WALL_SHARE.value)

    @property
    def mass(self) -> float:
        """Of the piece as cut."""
        return steel_mass(self.stock.area * self.cut_length)

    @property
    def cost(self) -> float | None:
        """Of the metal that a piece takes, its kerf with it, at the price of the whole bar."""
        if self.stock.price is None:
            return None
        return self.stock.price * min((self.cut_length + self.kerf) / self.stock.length, 1.0)


def choose(design: Design, rack: Rack, kerf: float, units: str = "in") -> tuple[Choice, ...]:
    """Every row of the rack: those that can make the head by rank, then the others as they stand.

    Parameters
    ----------
    design : the head; its bar gives the steel where the rack names none
    rack : the bars on hand
    kerf : what the saw takes [mm]
    units : of reasons and doubts, in or mm
    """
    found: dict[tuple[tuple[float, float], str], ForgePlan | tuple[Fault, ...]] = {}
    choices = []
    for stock in rack:
        bar = Bar(section=stock.section, steel=stock.steel or design.bar.steel)
        key = bar.section, bar.steel
        if key not in found:
            try:
                found[key] = plan(dataclasses.replace(design, bar=bar), units)
            except BadInputError as error:
                found[key] = error.faults
        choices.append(_choice(design, stock, found[key], kerf, units))
    able = sorted((each for each in choices if each.can), key=rank)  # ties: as they stand
    return (*able, *(each for each in choices if not each.can))


def rank(choice: Choice) -> tuple[float, ...]:
    """What a bar is ranked by, the lowest first.

    1. Doubts of the work: a bar that raises fewer questions is taken first, whatever it costs.
    2. What the section asks of the hammer (:attr:`Choice.work`), to a tenth: nobody feels less,
       so within a tenth the bars count as alike and thrift decides.
    3. Steel other than the profile asks for comes after.
    4. Waste, to a hundredth of the bar.
    5. Cost of a piece; a bar without a price comes after those that have one.

    What is left goes by the order of the rack.
    """
    cost = choice.cost
    return (
        float(len(choice.doubts)),
        round(choice.work, 1),
        float(choice.other_steel),
        round(choice.waste, 2),
        float("inf") if cost is None else cost,
    )


def _choice(
    design: Design, stock: Stock, found: ForgePlan | tuple[Fault, ...], kerf: float, units: str
) -> Choice:
    if isinstance(found, tuple):
        return Choice(stock, kerf, None, tuple(_in_words(fault) for fault in found))
    other = bool(stock.steel) and not _same_steel(stock.steel, design.bar.steel)
    steel = [doubt.message for doubt in found.doubts if doubt.field.endswith(".steel")]
    remarks = [f"{stock.steel}, where the profile has {design.bar.steel}"] if other else []
    remarks += steel
    doubts = tuple(each for each in found.doubts if each.message not in remarks)
    reasons = [each.message for each in doubts if each.stops]
    if pieces_in(stock.length, found.cut_length, kerf) < 1:
        reasons.append(
            f"too short: {both(stock.length, units)}; one piece is {both(found.cut_length, units)}"
        )
    return Choice(stock, kerf, found, tuple(reasons), doubts, tuple(remarks), other)


def _same_steel(first: str, second: str) -> bool:
    """Whether two names mean one steel, as far as the table of steels can tell."""
    a, b = find(first), find(second)
    if a is None or b is None:
        return first.strip().casefold() == second.strip().casefold()
    return a is b


_KEYS: dict[str, Spec] = dict(parameters.specs())


def _in_words(fault: Fault) -> str:
    """A fault of the plan as the reason why a bar cannot make the head."""
    spec = _KEYS.get(fault.field)
    what = spec.label.lower() if spec else fault.field
    return f"{what} {fault.given}; allowed: {fault.allowed}"
