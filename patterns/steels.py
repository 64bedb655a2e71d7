"""Bit and body steels: what the sources say of forging, hardening and tempering each one.

The figures stand in ``tables/steels.toml``, as their sources print them; sources that differ stand
side by side. What follows from them is in ``heat_treatment``. Inside: deg C, mm, hours, HRC.
"""

from __future__ import annotations

import difflib
import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from . import cited_tables
from .cited_tables import Origin
from .sources import Basis, Work
from .units import (
    celsius,
    length,
    read_length,
    read_temperature,
    temperature,
    temperature_at_least,
    temperature_at_most,
    temperatures,
)

_TABLE = "steels"

# What the sources say ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Forging:
    """Heat to ``most`` [deg C], at least to ``start``; do not forge below ``stop``."""

    start: float
    most: float
    stop: float | None
    origin: Origin

    def text(self, units: str) -> str:
        heat = f"heat to {temperature_at_most(self.most, units)} at most"
        if self.stop is None:
            return f"{heat}; where to stop is not stated"
        return f"{heat}, stop at {temperature_at_least(self.stop, units)}"


@dataclass(frozen=True)
class Heating:
    """Heat to between ``low`` and ``high`` [deg C], for normalising or hardening."""

    low: float
    high: float
    origin: Origin
    note: str = ""

    def text(self, units: str) -> str:
        if self.low < self.high:
            shown = temperatures(self.low, self.high, units)
        else:
            shown = temperature(self.high, units)
        return f"{shown}; {self.note}" if self.note else shown


@dataclass(frozen=True)
class Annealing:
    """Heat, cool ``quickly`` to one temperature, then slowly to ``slowly`` [deg C; K an hour]."""

    low: float
    high: float
    quickly: float | None
    slowly: float | None
    an_hour: float | None
    origin: Origin

    def text(self, units: str) -> str:
        shown = Heating(self.low, self.high, self.origin).text(units)
        if self.quickly is not None:
            shown += f", cool quickly to {temperature(self.quickly, units)}"
        if self.slowly is None or self.an_hour is None:
            return f"{shown}, cool in the furnace"
        rates = [f"{self.an_hour * 9 / 5:.0f} F", f"{self.an_hour:.0f} C"]
        first, second = rates if units == "in" else rates[::-1]
        slowly = temperature(self.slowly, units)
        return f"{shown}, then to {slowly} by no more than {first} ({second}) an hour"


@dataclass(frozen=True)
class Quench:
    """What to quench in, for sections ``up_to`` or ``over`` a thickness [mm]."""

    medium: str
    up_to: float | None
    over: float | None
    origin: Origin

    def text(self, units: str) -> str:
        if self.up_to is not None:
            return f"{self.medium} up to {length(self.up_to, units)} thick"
        if self.over is not None:
            return f"over {length(self.over, units)}: {self.medium}"
        return self.medium


@dataclass(frozen=True)
class Hardness:
    """Hardness as quenched [HRC]."""

    low: float
    high: float
    origin: Origin
    note: str = ""

    @property
    def text(self) -> str:
        shown = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        return f"{shown} HRC, {self.note}" if self.note else f"{shown} HRC"


@dataclass(frozen=True)
class Tempering:
    """One source's hardness over tempering temperature.

    ``points`` are temperature [deg C], lowest and highest hardness [HRC] as printed, hotter and
    softer down the list. ``hours`` at temperature, least and most; None where not stated.
    """

    points: tuple[tuple[float, float, float], ...]
    hours: tuple[float, float] | None
    origin: Origin

    @property
    def coldest(self) -> float:
        return self.points[0][0]

    @property
    def hottest(self) -> float:
        return self.points[-1][0]

    @property
    def hardest(self) -> float:
        """By the middle of what is printed, as all that is worked out [HRC]."""
        return _middle(self.points[0])

    @property
    def softest(self) -> float:
        return _middle(self.points[-1])

    @property
    def time(self) -> str:
        if self.hours is None:
            return "time not stated"
        low, high = self.hours
        return f"{low:g} h" if low == high else f"{low:g} to {high:g} h"

    def hardness(self, temperature: float) -> float | None:
        """HRC after tempering [deg C], on the line between two points; None beyond them."""
        if not self.coldest <= temperature <= self.hottest:
            return None
        for left, right in itertools.pairwise(self.points):
            if temperature <= right[0]:
                share = (temperature - left[0]) / (right[0] - left[0])
                return _middle(left) + share * (_middle(right) - _middle(left))
        raise AssertionError("the points stand in order")

    def window(self, low: float, high: float) -> tuple[float, float] | None:
        """Temperatures [deg C] that give ``low`` to ``high`` HRC; None if the points reach none."""
        if self.softest > high or self.hardest < low:
            return None
        return self._first(high), self._last(low)

    def _first(self, hardness: float) -> float:
        """The coldest temperature at which it is no harder."""
        for left, right in itertools.pairwise(self.points):
            if _middle(left) <= hardness:
                return left[0]
            if _middle(right) <= hardness:
                return _between(left, right, hardness)
        return self.hottest

    def _last(self, hardness: float) -> float:
        """The hottest temperature at which it is no softer."""
        for left, right in itertools.pairwise(self.points[::-1]):
            if _middle(left) >= hardness:
                return left[0]
            if _middle(right) >= hardness:
                return _between(right, left, hardness)
        return self.coldest


def _middle(point: tuple[float, float, float]) -> float:
    return (point[1] + point[2]) / 2.0


def _between(
    harder: tuple[float, float, float], softer: tuple[float, float, float], hardness: float
) -> float:
    fall = _middle(harder) - _middle(softer)
    if fall == 0.0:
        return harder[0]
    return harder[0] + (softer[0] - harder[0]) * (_middle(harder) - hardness) / fall


@dataclass(frozen=True)
class Steel:
    """One steel, with every source's figures; the one to work by stands first of each kind.

    ``composition`` is element to least and greatest mass per cent. ``magnet``: where it lets go of
    a magnet [deg C] as it is heated. ``stays_tough``: said to be free of the brittle range.
    """

    name: str
    also: tuple[str, ...]
    use: tuple[str, ...]
    note: str
    composition: Mapping[str, tuple[float, float]]
    analysis: Origin | None
    magnet: tuple[float, Origin] | None
    forging: tuple[Forging, ...]
    normalising: tuple[Heating, ...]
    annealing: tuple[Annealing, ...]
    hardening: tuple[Heating, ...]
    quench: tuple[Quench, ...]
    as_quenched: tuple[Hardness, ...]
    tempering: tuple[Tempering, ...]
    stays_tough: bool = False

    @property
    def hardens(self) -> bool:
        return bool(self.hardening)

    @property
    def forge_range(self) -> tuple[float, float] | None:
        """Stop and heat [deg C] that every source allows; None where one end is not known."""
        stops = [each.stop for each in self.forging if each.stop is not None]
        if not stops:
            return None
        return max(stops), min(each.most for each in self.forging)

    @property
    def carbon(self) -> str:
        """For people: ``0.80 to 0.93 % C``."""
        if "C" not in self.composition:
            return "carbon not stated"
        low, high = self.composition["C"]
        return f"{low:.2f} to {high:.2f} % C"

    def origins(self) -> list[Origin]:
        """Every source, once, in the order of the sheet."""
        parts: list[Any] = [
            *self.forging, *self.normalising, *self.annealing, *self.hardening, *self.quench,
            *self.as_quenched, *self.tempering,
        ]  # fmt: skip
        own = [self.analysis] if self.analysis else []
        magnet = [self.magnet[1]] if self.magnet else []
        return list(dict.fromkeys([*own, *magnet, *(part.origin for part in parts)]))


# The table ---------------------------------------------------------------------------------------


@cache
def steels() -> tuple[Steel, ...]:
    """Every steel of the table, bodies first, bits by carbon and alloy."""
    return tuple(_steel(entry) for entry in cited_tables.table(_TABLE)["steel"])


def works() -> tuple[Work, ...]:
    """Every work that the table cites, in its order."""
    return tuple(work for work, _ in cited_tables.works(_TABLE).values())


@cache
def colours() -> tuple[tuple[tuple[float, str], ...], Origin]:
    """Tempering colours, temperature [deg C] and word, with their source."""
    entry = cited_tables.table(_TABLE)["colours"]
    return tuple((celsius(at), word) for at, word in entry["F"]), _origin(entry)


def _origin(entry: Mapping[str, Any]) -> Origin:
    return cited_tables.origin(_TABLE, entry, Basis.FROM_MEMORY)


def _degrees(entry: Mapping[str, Any], key: str) -> float | None:
    return read_temperature(entry[key]) if key in entry else None


def _thickness(entry: Mapping[str, Any], key: str) -> float | None:
    return read_length(entry[key]) if key in entry else None


def _difference(text: str) -> float:
    """Kelvin from ``50 F``, where no zero counts."""
    return read_temperature(text) - read_temperature(f"0 {text.split()[-1]}")


def _range(entry: Mapping[str, Any]) -> tuple[float, float]:
    high = read_temperature(entry["to"])
    return (read_temperature(entry["from"]) if "from" in entry else high), high


def _steel(entry: Mapping[str, Any]) -> Steel:
    def each(key: str) -> list[tuple[Mapping[str, Any], Origin]]:
        return [(row, _origin(row)) for row in entry.get(key, ())]

    analysis = entry.get("composition", {})
    magnet = entry.get("magnet")
    return Steel(
        name=entry["name"],
        also=tuple(entry.get("also", ())),
        use=tuple(entry["use"]),
        note=entry.get("note", ""),
        composition={k: (v[0], v[1]) for k, v in analysis.items() if k not in ("of", "at")},
        analysis=_origin(analysis) if analysis else None,
        magnet=(read_temperature(magnet["at_temperature"]), _origin(magnet)) if magnet else None,
        forging=tuple(
            Forging(*_range(row), _degrees(row, "stop"), origin) for row, origin in each("forge")
        ),
        normalising=tuple(
            Heating(*_range(row), origin, row.get("note", "")) for row, origin in each("normalise")
        ),
        annealing=tuple(_annealing(row, origin) for row, origin in each("anneal")),
        hardening=tuple(
            Heating(*_range(row), origin, row.get("note", "")) for row, origin in each("harden")
        ),
        quench=tuple(
            Quench(row["medium"], _thickness(row, "up_to"), _thickness(row, "over"), origin)
            for row, origin in each("quench")
        ),
        as_quenched=tuple(
            Hardness(row["HRC"][0], row["HRC"][-1], origin, row.get("note", ""))
            for row, origin in each("as_quenched")
        ),
        tempering=tuple(_tempering(row, origin) for row, origin in each("tempering")),
        stays_tough=entry.get("stays_tough", False),
    )


def _annealing(row: Mapping[str, Any], origin: Origin) -> Annealing:
    low, high = _range(row)
    rate = _difference(row["an_hour"]) if "an_hour" in row else None
    return Annealing(low, high, _degrees(row, "quickly"), _degrees(row, "slowly"), rate, origin)


def _tempering(row: Mapping[str, Any], origin: Origin) -> Tempering:
    printed = row["C"] if "C" in row else [[celsius(at), *hrc] for at, *hrc in row["F"]]
    points = tuple((float(at), float(min(hrc)), float(max(hrc))) for at, *hrc in printed)
    for left, right in itertools.pairwise(points):
        if not (left[0] < right[0] and left[1] >= right[1] and left[2] >= right[2]):
            raise ValueError(f"{origin.locator}: {left} and {right} are not hotter and softer")
    hours = row.get("hours")
    return Tempering(points, (hours[0], hours[-1]) if hours else None, origin)


# Names -------------------------------------------------------------------------------------------

_PREFIX = re.compile(r"^(?:aisi|sae|astm|ansi|uns)+")


def _plain(name: str) -> str:
    """A name without the marks that dealers put round it: ``SAE C-1084 steel`` is ``1084``."""
    flat = re.sub(r"[\s\-_./()]+", "", name.lower())
    flat = re.sub(r"(?:tool)?(?:steel)?(?:flat)?(?:bar)?$", "", _PREFIX.sub("", flat)) or flat
    number = re.fullmatch(r"[cg]?(\d{4,5}h?)", flat)
    if number is None:
        return flat
    digits = number[1]
    unified = flat.startswith("g") and len(digits) == 5 and digits.endswith("0")
    return digits[:-1] if unified else digits  # the unified number of 1084 is G10840


@cache
def _by_name() -> dict[str, Steel]:
    return {_plain(name): steel for steel in steels() for name in (steel.name, *steel.also)}


def find(name: str) -> Steel | None:
    """The steel of a name as dealers write it; None if it is not in the table.

    >>> [find(name).name for name in ("1084", "SAE 1084", "C1084", "w-1", "Mild Steel", "G10180")]
    ['1084', '1084', '1084', 'W1', 'mild steel', '1018']
    >>> find("S7") is None
    True
    """
    return _by_name().get(_plain(name[:80]))


def close_names(name: str) -> list[str]:
    """Names of the table that may have been meant, nearest first, three at most.

    >>> close_names("52000")[0], close_names("?")
    ('52100', [])
    """
    known = _by_name()
    near = difflib.get_close_matches(_plain(name[:80]), list(known), n=6, cutoff=0.6)
    return list(dict.fromkeys(known[each].name for each in near))[:3]
