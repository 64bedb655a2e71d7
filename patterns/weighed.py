"""Heads that were measured and weighed, and where a head of one's own lies among them.

They are compared by mass over length times edge: a thin broad axe has little of it, a felling axe
with a heavy poll much. Iron that lay in the ground has lost mass, some of it a great deal: a new
head of the same size weighs more, so no head is made to match one of these.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from .head import Head
from .sources import (
    ARMOURIES_AXE,
    BRITISH_MUSEUM_AXE,
    HEAVINESS_LEAST,
    HEAVINESS_MOST,
    Basis,
    Work,
)
from .units import GRAMS_PER_POUND

Range = tuple[float, float]

_FRANCISCA = Work("Francisca", "Portable Antiquities Scheme", None, "CAM-5D8F2E")
_NEW_AXE = Work("a smith's page of July 2006", "", 2006, "warehamforgeblog.blogspot.com")
_KIRPICHNIKOV = Work(
    "axes of the 10th to 13th century", "A. N. Kirpichnikov", None,
    "as translated at warehamforgeblog.blogspot.com",
)  # fmt: skip
_FORUM = Work("statements of users", "", None, "bladeforums.com")
_ILO = Work("Wood harvesting with hand tools", "ILO", 1989, "copy at appropedia.org")
_CACHE = Work("PMS 448", "National Wildfire Coordinating Group", None, "nwcg.gov")
_SOVIET = Work("an article on Soviet axes", "", None, "ice-people.ru")
_LUEGER = Work("Lexikon der gesamten Technik, Axt", "Otto Lueger", 1904, "zeno.org")


@dataclass(frozen=True)
class Weighed:
    """A head, or many of a kind, as measured: length and edge [mm], mass [g], each low and high.

    Where a kind is given by its range, the middle stands for it.
    """

    name: str
    length: Range
    edge: Range
    mass: Range
    buried: bool
    work: Work
    locator: str
    basis: Basis
    note: str = ""

    @property
    def heaviness(self) -> float:
        """Mass over length times edge [g/mm2], of the middles."""
        length, edge, mass = (sum(side) / 2.0 for side in (self.length, self.edge, self.mass))
        return mass / (length * edge)


def _one(value: float) -> Range:
    return value, value


HEADS = (
    Weighed(
        "broad axe of the 10th to 11th century", _one(220.0), _one(190.0), _one(495.0), True,
        ARMOURIES_AXE, "object record", Basis.MEASURED, "some damage to the socket",
    ),
    Weighed(
        "new axe forged in one piece", _one(210.0), _one(90.0), _one(600.0), False,
        _NEW_AXE, "finished axe", Basis.MEASURED, "about 600 g",
    ),
    Weighed(
        "working axe of the 10th to 13th century", (170.0, 180.0), (90.0, 145.0), (600.0, 800.0),
        True, _KIRPICHNIKOV, "working axes", Basis.SECOND_HAND,
        "the usual lengths of some hundreds; 150 to 220 mm in all",
    ),
    Weighed(
        "battle axe of the 10th to 13th century", (90.0, 150.0), (100.0, 120.0), _one(450.0),
        True, _KIRPICHNIKOV, "battle axes", Basis.SECOND_HAND,
        "450 g is the most; special kinds 200 to 350 g",
    ),
    Weighed(
        "francisca", _one(146.0), _one(85.0), _one(600.0), True,
        _FRANCISCA, "object record", Basis.MEASURED, "all about; complete but corroded",
    ),
    Weighed(
        "felling axe of the 1st century", _one(277.0), _one(147.0), _one(2748.5), True,
        BRITISH_MUSEUM_AXE, "object record", Basis.MEASURED, "finely made, heavy butt",
    ),
)  # fmt: skip
"""Lightest for its size first."""


@dataclass(frozen=True)
class Kind:
    """What a kind of axe head weighs [g], as printed in ``unit``; an open end is infinite."""

    name: str
    low: float
    high: float
    unit: str
    work: Work
    locator: str
    basis: Basis
    note: str = ""

    @property
    def grams(self) -> Range:
        """Lightest and heaviest [g]."""
        factor = {"lb": GRAMS_PER_POUND, "kg": 1000.0}[self.unit]
        return self.low * factor, self.high * factor

    def holds(self, mass: float) -> bool:
        low, high = self.grams
        return low <= mass <= high


_USAGE = "what hatchets, boy's axes and full axes weigh"
_NO_STANDARD = "common usage, no standard"

CLASSES = (
    Kind("hatchet", 0.0, 1.75, "lb", _FORUM, _USAGE, Basis.SECOND_HAND, _NO_STANDARD),
    Kind("boy's axe", 2.25, 2.75, "lb", _FORUM, _USAGE, Basis.SECOND_HAND, _NO_STANDARD),
    Kind("full axe", 3.0, float("inf"), "lb", _FORUM, _USAGE, Basis.SECOND_HAND, _NO_STANDARD),
)  # fmt: skip
"""The classes of common usage, lightest first; they leave gaps."""

KINDS = (
    Kind(
        "axes to the Soviet standard", 0.7, 1.6, "kg", _SOVIET, "envelope", Basis.SECOND_HAND,
        "edge 100 to 170 mm; a weak source",
    ),
    Kind(
        "felling and limbing axes of professionals", 0.8, 1.5, "kg", _ILO, "axes",
        Basis.HANDBOOK, "handle 600 to 800 mm; read in a copy",
    ),
    Kind(
        "axes generally", 1.8, 3.6, "kg", _LUEGER, "Axt", Basis.HANDBOOK, "carpenter's among them"
    ),
    Kind(
        "single-bit axes of American fire crews", 3.5, 4.0, "lb", _CACHE,
        "items 000383 and 000707", Basis.STANDARD,
        "nominal; the lighter one's title, 3-5lb, is taken for 3.5 lb",
    ),
)  # fmt: skip
"""Other kinds with a stated mass."""


@dataclass(frozen=True)
class Place:
    """Where a head lies: its mass over length times edge [g/mm2] and its neighbours by that."""

    heaviness: float
    lighter: Weighed | None
    heavier: Weighed | None
    usage: str
    kinds: tuple[Kind, ...]

    @property
    def within(self) -> bool:
        """Whether it lies in the envelope of known heads."""
        return HEAVINESS_LEAST.inside <= self.heaviness <= HEAVINESS_MOST.inside

    @property
    def buried(self) -> bool:
        """Whether a neighbour lay in the ground."""
        return any(n.buried for n in (self.lighter, self.heavier) if n is not None)


def where(head: Head) -> Place:
    """Find the place of a head among those that were weighed."""
    return among(mass=head.mass, length=head.length, edge=head.edge_length)


def among(*, mass: float, length: float, edge: float) -> Place:
    """Find the place of a mass [g] on a length and an edge [mm].

    >>> place = among(mass=700.0, length=170.0, edge=100.0)
    >>> round(place.heaviness, 4), place.lighter.name, place.heavier.name, place.usage
    (0.0412, 'battle axe of the 10th to 13th century', 'francisca', 'hatchet')
    """
    heaviness = mass / (length * edge)
    lighter = [known for known in HEADS if known.heaviness <= heaviness]
    heavier = [known for known in HEADS if known.heaviness > heaviness]
    return Place(
        heaviness,
        max(lighter, key=lambda known: known.heaviness, default=None),
        min(heavier, key=lambda known: known.heaviness, default=None),
        usage(mass),
        tuple(kind for kind in KINDS if kind.holds(mass)),
    )


def usage(mass: float) -> str:
    """The class that common usage gives to a mass [g], or the two that it lies between.

    >>> usage(500.0), usage(900.0), usage(1815.0)
    ('hatchet', "between hatchet and boy's axe", 'full axe')
    """
    for kind in CLASSES:
        if kind.holds(mass):
            return kind.name
    below = [kind.name for kind in CLASSES if kind.grams[1] < mass]
    above = [kind.name for kind in CLASSES if kind.grams[0] > mass]
    return f"between {below[-1]} and {above[0]}"


def line(place: Place) -> str:
    """The place to read: by mass for its size, and by mass alone."""

    def known(head: Weighed) -> str:
        return f"a {head.name} ({head.heaviness:.3f})"

    text = f"{place.heaviness:.3f} g/mm2 of length x edge, "
    match place.lighter, place.heavier:
        case Weighed() as lighter, Weighed() as heavier:
            text += f"between {known(lighter)} and {known(heavier)}"
        case Weighed() as lighter, None:
            text += f"more than {known(lighter)}"
        case None, Weighed() as heavier:
            text += f"less than {known(heavier)}"
    if not place.within:
        text += (
            f", outside the {HEAVINESS_LEAST.value:g} to {HEAVINESS_MOST.value:g} of known heads"
        )
    if place.buried:
        text += "; iron from the ground has lost mass"
    return "; ".join([text, f"by mass {place.usage}", *(f"among {k.name}" for k in place.kinds)])


def data(place: Place) -> dict[str, Any]:
    """The place as data: heaviness in g/mm2, masses in g, lengths in mm."""

    def known(head: Weighed | None) -> dict[str, Any] | None:
        if head is None:
            return None
        return {
            "name": head.name,
            "length": list(head.length),
            "edge": list(head.edge),
            "mass": list(head.mass),
            "heaviness": head.heaviness,
            "buried": head.buried,
            "work": str(head.work),
            "locator": head.locator,
            "basis": head.basis.value,
            "note": head.note,
        }

    return {
        "heaviness": place.heaviness,
        "envelope": [HEAVINESS_LEAST.inside, HEAVINESS_MOST.inside],
        "within": place.within,
        "lighter": known(place.lighter),
        "heavier": known(place.heavier),
        "usage": place.usage,
        "kinds": [
            {
                "name": kind.name,
                "mass": list(kind.grams),
                "work": str(kind.work),
                "locator": kind.locator,
                "basis": kind.basis.value,
                "note": kind.note,
            }
            for kind in place.kinds
        ],
    }
