"""What follows from the steels' figures: where to temper, what to be wary of, lines for the shop.

A tempering temperature comes from the steel's own points or from those of a named stand-in,
between the points and never beyond them: no master curve serves all steels, and nothing is
averaged. Inside: deg C, hours, HRC.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from .cited_tables import Origin
from .sources import EDGE_HARDNESS_LEAST, EDGE_HARDNESS_MOST, Basis
from .steels import Steel, Tempering, close_names, colours, find
from .units import celsius, temperature, temperatures

HARDNESS_TOLERANCE = 1.0
"""HRC either way for a hardness given as one number: what a careful test can tell apart, as is
common practice."""

DIFFERENCE_TOLD = 2.0
"""HRC between sources from which it is said: both off by the tolerance, in opposite ways."""

HEAT_DIFFERENCE_TOLD = 20.0
"""Kelvin between sources, for forging and hardening, from which it is said; our own line."""

NARROW = 200.0
"""Kelvin of forging range in common under which bit and body are said to go badly together; our own
line, between the plain 10xx steels, which have more, and the oil and water hardening tool steels.
"""

BRITTLE = (celsius(450.0), celsius(800.0))
"""Tempering range in which many steels turn brittle, as a dealer's sheet for L6 says in passing."""

SCALE_ENDS = (20.0, 70.0)
"""HRC; softer or harder the Rockwell C scale does not hold, as is common practice."""

HOT_CAUTIONS = (
    "Hot work: eyes, hands and feet covered, dry floor, someone within call.",
    "These figures are a guide to skilled work. The data sheet of your own bar's maker rules, and "
    "so do local rules for fire and fume.",
)
"""Common practice."""

HARDENING_CAUTIONS = (
    "Quench oil flares and smokes: steel vessel with a lid, good air, nothing that burns near, a "
    "means to smother the fire at hand; never water on burning oil, no water in the oil.",
    "Temper at once: a piece left hard may crack as it lies, or fly apart in use.",
    "Harden, temper and break a test piece of the same bar first.",
    "Colours are a poor thermometer: they depend on time, alloy, polish and light, and tables "
    "differ by up to 30 degrees F for one word. An oven with a thermometer is surer.",
)
"""Common practice, and the colours' difference from two tables: straw at 460 F and at 430 F."""


# Tempering ---------------------------------------------------------------------------------------


def edge_hardness_usual() -> tuple[float, float]:
    """HRC asked of an axe's edge, grade A of DIN 7287; the default everywhere.

    >>> edge_hardness_usual()
    (51.0, 56.0)
    """
    return EDGE_HARDNESS_LEAST.value, EDGE_HARDNESS_MOST.value


CHANCE = 10.0
"""An overlap of sources narrower than this [K] is no agreement: a margin of our own."""


@dataclass(frozen=True)
class Temper:
    """Where to temper for a wanted hardness.

    Attributes
    ----------
    wanted
        Least and greatest hardness [HRC].
    windows
        Each source that reaches it, with its temperatures [deg C].
    silent
        Sources whose points do not reach it.
    """

    wanted: tuple[float, float]
    windows: tuple[tuple[Tempering, tuple[float, float]], ...]
    silent: tuple[Tempering, ...]

    @property
    def agreed(self) -> tuple[float, float] | None:
        """Temperatures at which every source that reaches the hardness gives it; None if none."""
        if not self.windows:
            return None
        low = max(window[0] for _, window in self.windows)
        high = min(window[1] for _, window in self.windows)
        return (low, high) if low <= high else None

    @property
    def sure(self) -> bool:
        """Whether they agree by more than chance: over :data:`CHANCE`, or one speaks alone."""
        agreed = self.agreed
        return agreed is not None and (len(self.windows) == 1 or agreed[1] - agreed[0] >= CHANCE)

    @property
    def advised(self) -> tuple[float, float] | None:
        """What to begin from: where the sources agree if they do, else from first to last."""
        return self.agreed if self.sure else self.any

    @property
    def any(self) -> tuple[float, float] | None:
        """From the coldest to the hottest temperature at which some source gives it."""
        if not self.windows:
            return None
        return (
            min(window[0] for _, window in self.windows),
            max(window[1] for _, window in self.windows),
        )

    @property
    def time(self) -> str:
        """How long the sources that reach it held the steel hot."""
        stated = [data.hours for data, _ in self.windows if data.hours is not None]
        if not stated:
            return "time not stated"
        low, high = min(each[0] for each in stated), max(each[1] for each in stated)
        return f"{low:g} h" if low == high else f"{low:g} to {high:g} h"

    @property
    def wanted_text(self) -> str:
        return f"{self.wanted[0]:g} to {self.wanted[1]:g} HRC"


def temper_for(steel: Steel, low_hrc: float, high_hrc: float) -> Temper:
    """Tempering temperatures for a wanted hardness, source by source.

    Parameters
    ----------
    steel : Steel
        From :func:`find`.
    low_hrc, high_hrc : float
        Wanted hardness, least and greatest [HRC].

    Returns
    -------
    Temper
        Empty ``windows`` where the data do not reach. Linear between each source's own points,
        by the middle of what it prints; nothing beyond its first or last point.

    Examples
    --------
    >>> found = temper_for(find("1080"), 58.0, 60.0)
    >>> [tuple(round(t) for t in window) for _, window in found.windows]
    [(245, 290), (209, 228)]
    >>> found.agreed is None, tuple(round(t) for t in found.any)
    (True, (209, 290))
    """
    windows, silent = [], []
    for data in steel.tempering:
        window = data.window(low_hrc, high_hrc)
        if window is None:
            silent.append(data)
        else:
            windows.append((data, window))
    return Temper((low_hrc, high_hrc), tuple(windows), tuple(silent))


def reach(steel: Steel) -> tuple[float, float] | None:
    """Softest and hardest that any source gives after tempering [HRC]; None without data."""
    if not steel.tempering:
        return None
    softest = min(data.softest for data in steel.tempering)
    return softest, max(data.hardest for data in steel.tempering)


@dataclass(frozen=True)
class Difference:
    """How far two sources lie apart at one tempering temperature [deg C; HRC]."""

    temperature: float
    harder: float
    softer: float
    hard_source: Tempering
    soft_source: Tempering

    @property
    def hrc(self) -> float:
        return self.harder - self.softer


def largest_difference(steel: Steel) -> Difference | None:
    """The two sources that lie farthest apart where both have points; None if none overlap.

    Both run straight between their points, so that they are farthest apart at a point of one.
    """
    found: Difference | None = None
    for one, other in itertools.combinations(steel.tempering, 2):
        for at in {point[0] for point in (*one.points, *other.points)}:
            first, second = one.hardness(at), other.hardness(at)
            if first is None or second is None:
                continue
            pair = sorted(((first, one), (second, other)), key=lambda each: each[0])
            (soft, soft_source), (hard, hard_source) = pair
            here = Difference(at, hard, soft, hard_source, soft_source)
            if found is None or (here.hrc, -here.temperature) > (found.hrc, -found.temperature):
                found = here
    return found


def colour_at(celsius: float) -> str:
    """The nearest tempering colour of the table, in words.

    >>> colour_at(260.0), colour_at(180.0), colour_at(400.0)
    ('brownish yellow', 'no colour yet', 'past the colours')
    """
    table, _ = colours()
    step = table[1][0] - table[0][0]
    if celsius < table[0][0] - step / 2.0:
        return "no colour yet"
    if celsius > table[-1][0] + step / 2.0:
        return "past the colours"
    return min(table, key=lambda entry: abs(entry[0] - celsius))[1]


def colours_for(low: float, high: float) -> str:
    """The colours of a range of temperatures [deg C].

    >>> colours_for(260.0, 277.0), colours_for(300.0, 301.0)
    ('brownish yellow to light purple', 'dark blue')
    """
    first, last = colour_at(low), colour_at(high)
    return first if first == last else f"{first} to {last}"


def cautions_for(steel: Steel) -> tuple[str, ...]:
    """What to mind at the fire, and in the quench where the steel hardens."""
    return (*HARDENING_CAUTIONS, *HOT_CAUTIONS) if steel.hardens else HOT_CAUTIONS


# What to be wary of ------------------------------------------------------------------------------


def warnings_about(steel: Steel, units: str = "in") -> list[str]:
    """Where this steel's data are missing, lent by another steel, weak, or at odds."""
    found = []
    if not steel.forging:
        found.append("No forging range was found for this steel.")
    elif steel.forge_range is None:
        found.append("Where to stop forging was not found.")
    if "bit" in steel.use and not steel.tempering:
        found.append("No tempering figures were found: nothing is said of tempering.")
    if steel.tempering and all(data.origin.stand_in for data in steel.tempering):
        lent = dict.fromkeys(data.origin.stand_in for data in steel.tempering)
        found.append(
            f"No tempering figures of {steel.name} itself were found. Those used are of "
            + "; and of ".join(lent) + "."
        )  # fmt: skip
    for word, parts in (
        ("Forging", steel.forging), ("Normalising", steel.normalising),
        ("Annealing", steel.annealing), ("Hardening", steel.hardening),
    ):  # fmt: skip
        found += _weak(word, [part.origin for part in parts])
    found += _forging_at_odds(steel, units)
    found += _hardening_at_odds(steel, units)
    gap = largest_difference(steel)
    if gap is not None and gap.hrc >= DIFFERENCE_TOLD:
        hard, soft = gap.hard_source.origin.short, gap.soft_source.origin.short
        found.append(
            f"The tempering figures differ by up to {gap.hrc:.1f} HRC, at "
            f"{temperature(gap.temperature, units)}: {gap.harder:.1f} ({hard}) against "
            f"{gap.softer:.1f} ({soft})."
        )
    return found


def _weak(word: str, origins: Sequence[Origin]) -> list[str]:
    """A warning where the figures to work by are lent, or not read in a source."""
    if not origins:
        return []
    first = origins[0]
    if first.stand_in:
        return [f"{word}: the figures are those of {first.stand_in}."]
    if first.basis in (Basis.SECOND_HAND, Basis.FROM_MEMORY):
        return [f"{word}: the figures are {first.basis.value}."]
    return []


def _forging_at_odds(steel: Steel, units: str) -> list[str]:
    heats = [each.most for each in steel.forging]
    stops = [each.stop for each in steel.forging if each.stop is not None]
    if not heats or max(_spread(heats), _spread(stops)) < HEAT_DIFFERENCE_TOLD:
        return []
    shown = "; or ".join(each.text(units) for each in steel.forging)
    return [f"Sources differ on forging: {shown}."]


def _hardening_at_odds(steel: Steel, units: str) -> list[str]:
    middles = [(each.low + each.high) / 2.0 for each in steel.hardening]
    if _spread(middles) < HEAT_DIFFERENCE_TOLD:
        return []
    shown = "; or ".join(each.text(units) for each in steel.hardening)
    return [f"Sources differ on hardening: {shown}."]


def _spread(values: Sequence[float]) -> float:
    return max(values) - min(values) if values else 0.0


def temper_warnings(steel: Steel, temper: Temper, units: str = "in") -> list[str]:
    """What to be wary of in tempering to the wanted hardness."""
    found = []
    whole = temper.any
    if whole is None:
        return [beyond(steel, temper)] if steel.tempering else []
    for data in temper.silent:
        found.append(
            f"{data.origin.short}: reaches {data.softest:g} to {data.hardest:g} HRC only, and says "
            f"nothing of {temper.wanted_text}."
        )
    for data, (low, high) in temper.windows:
        if low == data.coldest and data.hardest < temper.wanted[1]:
            found.append(f"{data.origin.short}: its figures begin at {temperature(low, units)}.")
        if high == data.hottest and data.softest > temper.wanted[0]:
            found.append(f"{data.origin.short}: its figures end at {temperature(high, units)}.")
    if temper.agreed is None:
        found.append(
            "The sources agree on no temperature. Begin at the cold end, test, and temper again "
            "hotter: what is too hard can be tempered further, what is too soft must be hardened "
            "anew."
        )
    if not steel.stays_tough and whole[1] > BRITTLE[0] and whole[0] < BRITTLE[1]:
        found.append(
            f"Tempered within {temperatures(*BRITTLE, units)}, many steels turn brittle though "
            "they grow softer (said in passing on a dealer's sheet for L6): break a test piece."
        )
    return found


def beyond(steel: Steel, temper: Temper) -> str:
    """That the data do not reach, and how far they do."""
    span = reach(steel)
    if span is None:
        return f"{steel.name}: no tempering figures were found."
    return (
        f"{temper.wanted_text} is not reached: the figures for {steel.name} run from "
        f"{span[0]:g} to {span[1]:g} HRC, and nothing is guessed beyond them."
    )


def doubts_about(
    steel: str, bar: str | None, units: str = "in", field: str = "bit.steel"
) -> list[tuple[str, str, str]]:
    """What is doubtful in steel that is to harden and the body that it is welded to.

    Field, message and source of each doubt; ``field`` is where the hard steel is named. Without a
    ``bar`` the body itself is to harden.

    >>> doubts_about("1084", "mild steel")
    []
    >>> [field for field, _, _ in doubts_about("mild steel", "mild steel")]
    ['bit.steel']
    """
    return list(_doubts(steel, bar, units, field))


@lru_cache(maxsize=256)
def _doubts(
    steel: str, bar: str | None, units: str, field: str
) -> tuple[tuple[str, str, str], ...]:
    return tuple(_each_doubt(steel, bar, units, field))


def _each_doubt(
    steel: str, bar: str | None, units: str, field: str
) -> Iterator[tuple[str, str, str]]:
    edge, body = find(steel), None if bar is None else find(bar)
    if edge is None:
        near = close_names(steel)
        meant = f"; was {near[0]} meant?" if near else ""
        yield (
            field,
            "this steel is not in the table of steels, so no heat treatment is given: follow its "
            f"maker's data sheet{meant}",
            "table of steels",
        )
    elif not edge.hardens:
        yield (
            field,
            f"{edge.name} does not harden enough to hold an edge: take a bit steel"
            if field == "bit.steel"
            else f"{edge.name} does not harden enough: take a steel that does",
            str(edge.analysis or Origin(None, "", Basis.COMMON_PRACTICE)),
        )
    if body is not None and body.hardens:
        yield (
            "bar.steel",
            f"a body of {body.name} hardens too: quench the edge only, and keep the eye out of it",
            str(body.hardening[0].origin),
        )
    if edge is None or body is None or edge is body:
        return
    hot, cold = edge.forge_range, body.forge_range
    if hot is None or cold is None or not edge.hardens:
        return
    low, high = max(hot[0], cold[0]), min(hot[1], cold[1])
    if high - low < NARROW:
        shared = f"only {temperatures(low, high, units)}" if low < high else "no forging range"
        yield (
            field,
            f"{edge.name} and {body.name} can both be forged at {shared}: take short heats, no "
            "hotter than the bit bears and no colder than the body"
            if low < high
            else f"{edge.name} and {body.name} share {shared}",
            str(edge.forging[0].origin),
        )


# For a shop sheet --------------------------------------------------------------------------------


def card_lines(steel: str, units: str = "in", hrc: tuple[float, float] | None = None) -> list[str]:
    """Three to six short lines on a bit's steel for a shop sheet.

    >>> for line in card_lines("O1", hrc=(55.0, 57.0)): print(line)
    O1: heat to 1950 F (1065 C) at most, stop at 1550 F (845 C)
    Normalise at 1600 F (870 C); a dealer's sheet says: do not
    Harden at 1450 to 1500 F (790 to 815 C), quench: oil
    Temper at once for 55 to 57 HRC: 600 to 630 F (320 to 330 C), time not stated
    Colour then: pale blue to blue tinged with green
    Test piece first; the maker's data sheet rules.
    """
    found = find(steel)
    if found is None:
        return [
            f"{steel}: not in the table of steels",
            "No heat treatment is given: follow the data sheet of its maker.",
            "Test piece first.",
        ]
    lines = [f"{found.name}: {each.text(units)}" for each in found.forging[:1]]
    lines += [f"Normalise at {each.text(units)}" for each in found.normalising[:1]]
    if not found.hardens:
        return [*lines, "It does not harden enough to hold an edge."]
    quench = "; ".join(each.text(units) for each in found.quench)
    lines.append(f"Harden at {found.hardening[0].text(units)}, quench: {quench}")
    temper = temper_for(found, *(hrc or edge_hardness_usual()))
    window = temper.advised
    if window is None:
        lines.append(f"Temper at once. {beyond(found, temper)}")
    else:
        odds = "" if temper.sure else " as sources differ"
        lines.append(
            f"Temper at once for {temper.wanted_text}: {temperatures(*window, units)}{odds}, "
            f"{temper.time}"
        )
        lines.append(f"Colour then: {colours_for(*window)}")
    return [*lines, "Test piece first; the maker's data sheet rules."]
