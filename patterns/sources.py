"""The works cited, and every number taken from them.

Each number stands as its source prints it, in the source's own unit, with the place where it
stands and the kind of trust that it earns. Code that needs it in the package's units asks for
:attr:`Constant.inside`, which multiplies; nothing is converted by hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from .units import GRAMS_PER_POUND, MM_PER_INCH


class Basis(Enum):
    """How far a number may be trusted, from a definition down to a recollection."""

    EXACT = "exact"
    STANDARD = "standard"
    HANDBOOK = "handbook"
    MEASURED = "measured"
    DERIVED = "derived"
    COMMON_PRACTICE = "common practice"
    SECOND_HAND = "second-hand"
    FROM_MEMORY = "from memory, not verified"


@dataclass(frozen=True)
class Work:
    """A book, standard, paper or page.

    Attributes
    ----------
    title
        Its title.
    author
        Author or issuing body; empty where none is named.
    year
        Year of the edition used; ``None`` where none is stated.
    where
        Publisher, journal or site; empty where the title says it all.
    """

    title: str
    author: str = ""
    year: int | None = None
    where: str = ""

    def __str__(self) -> str:
        parts = (self.author, self.title, self.where, str(self.year or ""))
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True)
class Constant:
    """One number as its source prints it.

    Attributes
    ----------
    name
        What it is, in the trade's words.
    value
        The number as printed, in ``unit``.
    unit
        The source's unit; ``"1"`` for a plain ratio.
    work
        Where it comes from; ``None`` where there is no published source.
    locator
        Clause, page, table or step in that work.
    basis
        How far it may be trusted.
    note
        What a user should know before relying on it.

    Examples
    --------
    >>> print(HARDENED_DEPTH)
    depth hardened, from the edge: 30 mm (DIN 7287:1976, depth of hardening; second-hand)
    >>> WALL_LOWEST.value, WALL_LOWEST.unit, round(WALL_LOWEST.inside, 4)
    (0.1875, 'in', 4.7625)
    """

    name: str
    value: float
    unit: str
    work: Work | None
    locator: str
    basis: Basis
    note: str = ""

    @property
    def inside(self) -> float:
        """The number in the package's units: mm, g, rad, deg C, second; a plain ratio for %."""
        return self.value * _INSIDE[self.unit]

    def __str__(self) -> str:
        unit = "" if self.unit == "1" else f" {self.unit}"
        place = f"{self.work.title}, {self.locator}; " if self.work else ""
        return f"{self.name}: {self.value:g}{unit} ({place}{self.basis.value})"


@dataclass(frozen=True)
class HeatColours:
    """A table of the colours of hot steel, as its source prints it.

    Attributes
    ----------
    work
        Where it comes from.
    locator
        Page or table in that work.
    basis
        How far it may be trusted.
    colours
        Colour in this package's word, the source's own word where it is another, lowest and
        highest temperature [deg C]; the same twice where the source prints one.
    note
        What a user should know before relying on it.

    Examples
    --------
    >>> STIRLING_COLOURS.span("cherry"), STIRLING_COLOURS.span("yellow")
    ((900.0, 900.0), None)
    """

    work: Work
    locator: str
    basis: Basis
    colours: tuple[tuple[str, str, float, float], ...]
    note: str = ""

    def span(self, colour: str) -> tuple[float, float] | None:
        """Lowest and highest temperature [deg C] of a colour; None where the table lacks it."""
        found = [(low, high) for word, _, low, high in self.colours if word == colour]
        return (min(low for low, _ in found), max(high for _, high in found)) if found else None


_INSIDE = {
    "1": 1.0,
    "%": 1.0 / 100.0,
    "mm": 1.0,
    "in": MM_PER_INCH,
    "deg": math.pi / 180.0,
    "deg C": 1.0,
    "HRC": 1.0,
    "1/K": 1.0,
    "1/K2": 1.0,
    "kg/m3": 1000.0 / 1000.0**3,
    "lb/ft3": GRAMS_PER_POUND / (12.0 * MM_PER_INCH) ** 3,
    "g/mm2": 1.0,
    "m/s2": 1000.0,
    "cm2/s": 10.0**2,
    "J/mol": 1.0,
    "J/(mol K)": 1.0,
}


def cited() -> tuple[Constant, ...]:
    """Every constant of this module, in the order in which it stands here.

    Returns
    -------
    tuple of Constant

    Examples
    --------
    >>> [str(c) for c in cited() if c.name.startswith("thinnest")]
    ['thinnest wall of an eye without a doubt: 0.1875 in (common practice)']
    """
    return tuple(item for item in globals().values() if isinstance(item, Constant))


# Works -------------------------------------------------------------------------------------------

EN_1993_1_2 = Work("EN 1993-1-2:2005", "CEN", 2005, "Eurocode 3, part 1-2: structural fire design")
DIN_6935 = Work("DIN 6935", "DIN", None, "Cold bending of flat rolled steel")
DIN_7287 = Work("DIN 7287:1976", "DIN", 1976, "as summarised at messerforum.net")
TOMLINSON_STRINGER = Work(
    "Spread and elongation in flat tool forging",
    "A. Tomlinson and J. D. Stringer",
    1959,
    "Journal of the Iron and Steel Institute 193, 157-162",
)
CHEN_YUEN = Work(
    "Review of the high-temperature oxidation of iron and carbon steels in air or oxygen",
    "R. Y. Chen and W. Y. D. Yuen",
    2003,
    "Oxidation of Metals 59, 433-468",
)
GOOGERTY = Work(
    "Hand-Forging and Wrought-Iron Ornamental Work", "Thomas F. Googerty", 1911, "Chicago"
)
GOOGERTY_PRACTICAL = Work(
    "Practical Forging and Art Smithing", "Thomas F. Googerty", 1915, "Milwaukee"
)
SHOP_PRACTICE_2 = Work(
    "Shop Practice, vol. 2, chapters on forging", "after J. L. Bacon", None, "chestofbooks.com"
)
SMITHS_CRAFT = Work(
    "The Blacksmith's Craft",
    "Council for Small Industries in Rural Areas",
    None,
    "as quoted in a smiths' forum",
)
RING_ANSWER = Work("an answer in a smiths' forum on the length of a ring")
UPSET_RULES = Work(
    "Design rules for parts made by upset forging", "Forging Industry Association", None,
    "forging.org",
)  # fmt: skip
CONTROLLED_FORGING = Work("Controlled Hand Forging, lesson 18: using the peen")
SI_BROCHURE = Work("The International System of Units", "BIPM", 2019, "9th edition")
RUSSIAN_SMITHING = Work(
    "a Russian smithing handbook (title page not seen)", "", None, "knigochet.com"
)
SMITHS_PICTORIAL = Work("Axes, a working smith's pictorial", "", None, "joetheblacksmith.com")
SCALE_ANSWER = Work("an unsigned answer on scale loss in forging")
BORISOV = Work("Krivoe - luchshe", "V. Borisov", 1983, "Modelist-Konstruktor 1983, no. 7")
AXE_SHARPENING = Work("an unsigned article on sharpening axes")
AXE_ANGLE_TABLE = Work("a table of axe angles", "", None, "sharpeninghandbook.info")
ARMOURIES_AXE = Work("Broad axe, 10th to 11th century", "Royal Armouries", None, "object 24929")
BRITISH_MUSEUM_AXE = Work("Felling axe, 1st century", "British Museum", None, "1982,0103.231")
AX_TO_GRIND = Work(
    "An Ax to Grind: A Practical Ax Manual",
    "Bernie Weisgerber and Brian Vachowski",
    1999,
    "USDA Forest Service, 9923-2823-MTDC",
)
HANDLE_SPECIFICATION = Work(
    "specification of axe handles",
    "US Forest Service",
    2003,
    "as quoted at bladeforums.com",
)
SPONS = Work("Spons' Mechanics' Own Book", "", None, "chestofbooks.com")
WILDLAND_CACHE = Work(
    "NWCG PMS 448", "National Wildfire Coordinating Group", None, "item 000707, single-bit axe"
)
HALCOMB = Work(
    "a steel maker's table of heat colours", "Halcomb Steel Company", None, "as quoted at sizes.com"
)
WHITE_TAYLOR = Work(
    "a table of the colours of heated steel", "M. White and F. W. Taylor", 1899,
    "as quoted at sizes.com",
)  # fmt: skip
CHAPMAN = Work(
    "Workshop Technology, part 1", "W. A. J. Chapman", 1972,
    '5th edition, as quoted in Wikipedia, "Red heat"',
)  # fmt: skip
STIRLING = Work(
    "A Book of Steam for Engineers", "Stirling Consolidated Boiler Company", 1905,
    'as quoted in Wikipedia, "Red heat"',
)  # fmt: skip


# Weight and heat ---------------------------------------------------------------------------------

STEEL_DENSITY = Constant(
    "density of steel", 7850.0, "kg/m3", EN_1993_1_2, "3.2.2", Basis.STANDARD,
    "taken as the same at every temperature; read in two code libraries that quote the clause",
)  # fmt: skip

WROUGHT_IRON_DENSITY = Constant(
    "density of wrought iron", 480.0, "lb/ft3", SHOP_PRACTICE_2, '"Weight of Forging"',
    Basis.HANDBOOK, "the same page gives 490 for steel",
)  # fmt: skip

_EQUATIONS = "3.4.1.1, eq. 3.1a to 3.1c"

ELONGATION_LINEAR = Constant(
    "elongation below 750 deg C, linear term", 1.2e-5, "1/K", EN_1993_1_2, _EQUATIONS,
    Basis.STANDARD,
)  # fmt: skip
ELONGATION_QUADRATIC = Constant(
    "elongation below 750 deg C, quadratic term", 0.4e-8, "1/K2", EN_1993_1_2, _EQUATIONS,
    Basis.STANDARD,
)  # fmt: skip
ELONGATION_OFFSET = Constant(
    "elongation below 750 deg C, constant term", -2.416e-4, "1", EN_1993_1_2, _EQUATIONS,
    Basis.STANDARD,
)  # fmt: skip
ELONGATION_LEVEL = Constant(
    "elongation from 750 to 860 deg C", 1.1e-2, "1", EN_1993_1_2, _EQUATIONS, Basis.STANDARD,
)  # fmt: skip
ELONGATION_HOT_LINEAR = Constant(
    "elongation above 860 deg C, linear term", 2e-5, "1/K", EN_1993_1_2, _EQUATIONS,
    Basis.STANDARD,
)  # fmt: skip
ELONGATION_HOT_OFFSET = Constant(
    "elongation above 860 deg C, constant term", -6.2e-3, "1", EN_1993_1_2, _EQUATIONS,
    Basis.STANDARD,
)  # fmt: skip
ELONGATION_COLDEST = Constant(
    "elongation, lowest temperature", 20.0, "deg C", EN_1993_1_2, _EQUATIONS, Basis.STANDARD,
)  # fmt: skip
ELONGATION_LEVEL_FROM = Constant(
    "elongation, beginning of the level", 750.0, "deg C", EN_1993_1_2, _EQUATIONS,
    Basis.STANDARD,
)  # fmt: skip
ELONGATION_LEVEL_TO = Constant(
    "elongation, end of the level", 860.0, "deg C", EN_1993_1_2, _EQUATIONS, Basis.STANDARD,
)  # fmt: skip
ELONGATION_HOTTEST = Constant(
    "elongation, highest temperature", 1200.0, "deg C", EN_1993_1_2, _EQUATIONS, Basis.STANDARD,
)  # fmt: skip


# Heat colours ------------------------------------------------------------------------------------

HALCOMB_COLOURS = HeatColours(
    HALCOMB, "table of colours", Basis.SECOND_HAND,
    (
        ("just visible", "in the dark", 400.0, 400.0),
        ("just visible", "in daylight", 525.0, 525.0),
        ("dark red", "", 700.0, 700.0),
        ("dull cherry", "", 800.0, 800.0),
        ("cherry", "", 900.0, 900.0),
        ("bright cherry", "", 1000.0, 1000.0),
        ("orange", "", 1100.0, 1200.0),
        ("yellow", "", 1300.0, 1300.0),
        ("white", "welding heat", 1400.0, 1400.0),
        ("white", "", 1500.0, 1500.0),
    ),
    "near enough the table of Stirling: hardly a witness of its own",
)  # fmt: skip
WHITE_TAYLOR_COLOURS = HeatColours(
    WHITE_TAYLOR, "table of colours", Basis.SECOND_HAND,
    (
        ("dark red", "", 635.0, 635.0),
        ("dull cherry", "", 677.0, 677.0),
        ("cherry", "", 746.0, 746.0),
        ("bright cherry", "", 843.0, 843.0),
        ("orange", "", 899.0, 941.0),
        ("yellow", "", 996.0, 996.0),
        ("white", "", 1079.0, 1205.0),
    ),
)  # fmt: skip
CHAPMAN_COLOURS = HeatColours(
    CHAPMAN, "table of colours", Basis.SECOND_HAND,
    (
        ("just visible", "black red, in dull light", 426.0, 593.0),
        ("dark red", "", 705.0, 814.0),
        ("cherry", "cherry red", 815.0, 870.0),
        ("bright cherry", "light cherry red", 871.0, 981.0),
        ("orange", "", 982.0, 1092.0),
        ("yellow", "", 1093.0, 1258.0),
        ("white", "1315 and above", 1315.0, 1315.0),
    ),
    "a very dark red, 594 to 704, and a yellow white, 1259 to 1314, stand between these",
)  # fmt: skip
STIRLING_COLOURS = HeatColours(
    STIRLING, "p. 50", Basis.SECOND_HAND,
    (
        ("just visible", "", 525.0, 525.0),
        ("dark red", "dull red", 699.0, 699.0),
        ("dull cherry", "dull cherry red", 800.0, 800.0),
        ("cherry", "full cherry red", 900.0, 900.0),
        ("bright cherry", "clear cherry red", 1000.0, 1000.0),
        ("orange", "deep orange", 1100.0, 1100.0),
        ("orange", "clear orange", 1200.0, 1200.0),
        ("white", "white heat", 1300.0, 1300.0),
        ("white", "bright white", 1400.0, 1400.0),
        ("white", "dazzling white", 1500.0, 1500.0),
    ),
)  # fmt: skip


# Drawing out -------------------------------------------------------------------------------------

_SPREAD_NOTE = "the coefficients and their attribution are unconfirmed; adjust to trial pieces"

SPREAD_CONSTANT = Constant(
    "coefficient of spread, constant term", 0.14, "1", TOMLINSON_STRINGER, "spread equation",
    Basis.FROM_MEMORY, _SPREAD_NOTE,
)  # fmt: skip
SPREAD_LINEAR = Constant(
    "coefficient of spread, factor of bite over width", 0.36, "1", TOMLINSON_STRINGER,
    "spread equation", Basis.FROM_MEMORY, _SPREAD_NOTE,
)  # fmt: skip
SPREAD_QUADRATIC = Constant(
    "coefficient of spread, factor of bite over width squared", -0.054, "1", TOMLINSON_STRINGER,
    "spread equation", Basis.FROM_MEMORY, _SPREAD_NOTE,
)  # fmt: skip
BITE_SHARE_LEAST = Constant(
    "least bite over width for the spread equation", 0.25, "1", TOMLINSON_STRINGER,
    "range of the trials", Basis.FROM_MEMORY, _SPREAD_NOTE,
)  # fmt: skip
BITE_SHARE_MOST = Constant(
    "greatest bite over width for the spread equation", 2.0, "1", TOMLINSON_STRINGER,
    "range of the trials", Basis.FROM_MEMORY, _SPREAD_NOTE,
)  # fmt: skip
PEEN_NARROWEST = Constant(
    "width of a forging hammer's peen, low end", 3 / 8, "in", CONTROLLED_FORGING,
    "shape of the peen", Basis.HANDBOOK, "a sharper peen leaves fissures that fold in",
)  # fmt: skip
PEEN_WIDEST = Constant(
    "width of a forging hammer's peen, high end", 3 / 4, "in", CONTROLLED_FORGING,
    "shape of the peen", Basis.HANDBOOK,
)  # fmt: skip


# Bending -----------------------------------------------------------------------------------------

_TRADE_TABLES = "correction factor k and shortening v"
_TRADE_NOTE = "read in German trade tables that quote the standard; for cold bending"

HOT_NEUTRAL = Constant(
    "neutral line of a hot bend, from the inside, as a share of the thickness", 0.5, "1", None,
    "", Basis.DERIVED,
    "Pappus: a bend of unchanged section holds the metal of its middle line",
)  # fmt: skip
DIN_K_BASE = Constant(
    "DIN factor k at a radius of one thickness", 0.65, "1", DIN_6935, _TRADE_TABLES,
    Basis.HANDBOOK, _TRADE_NOTE,
)  # fmt: skip
DIN_K_SLOPE = Constant(
    "DIN factor k, rise per tenfold radius", 0.5, "1", DIN_6935, _TRADE_TABLES, Basis.HANDBOOK,
    _TRADE_NOTE,
)  # fmt: skip
DIN_K_MOST = Constant(
    "DIN factor k, greatest", 1.0, "1", DIN_6935, _TRADE_TABLES, Basis.HANDBOOK, _TRADE_NOTE,
)  # fmt: skip
DIN_K_LEVEL_FROM = Constant(
    "radius over thickness above which the DIN factor k stays at its greatest", 5.0, "1",
    DIN_6935, _TRADE_TABLES, Basis.HANDBOOK, _TRADE_NOTE,
)  # fmt: skip
DIN_RADIUS_LEAST = Constant(
    "least radius over thickness for the DIN factor k", 0.65, "1", DIN_6935, "range of k",
    Basis.FROM_MEMORY, "the limit was not seen in the trade tables",
)  # fmt: skip
DIN_OPENING_MOST = Constant(
    "opening angle above which the DIN shortening is neglected", 165.0, "deg", DIN_6935,
    _TRADE_TABLES, Basis.HANDBOOK, _TRADE_NOTE,
)  # fmt: skip


# Scale -------------------------------------------------------------------------------------------

SCALE_PER_HEAT = Constant(
    "metal lost to scale in one heat", 1.5, "%", SCALE_ANSWER, "loss for every reheat",
    Basis.SECOND_HAND,
    "a starting value to adjust by weighing: inside the 1 to 3 % given for every reheat, and "
    "near the 1.6 % a heat that a published head of 680 g from 772 g of bar would need if eight "
    "heats had lost it all as scale; no handbook figure for the open fire was found",
)  # fmt: skip
SCALE_PER_HEAT_LEAST = Constant(
    "metal lost to scale in one reheat, low end", 1.0, "%", SCALE_ANSWER,
    "loss for every reheat", Basis.SECOND_HAND,
)  # fmt: skip
SCALE_PER_HEAT_MOST = Constant(
    "metal lost to scale in one reheat, high end", 3.0, "%", SCALE_ANSWER,
    "loss for every reheat", Basis.SECOND_HAND,
)  # fmt: skip
OXIDE_RATE = Constant(
    "parabolic rate of oxide on iron in air, factor", 6.1, "cm2/s", CHEN_YUEN, "rate equation",
    Basis.FROM_MEMORY, "good for the order of magnitude: half to twice",
)  # fmt: skip
OXIDE_ENERGY = Constant(
    "parabolic rate of oxide on iron in air, activation energy", 169452.0, "J/mol", CHEN_YUEN,
    "rate equation", Basis.FROM_MEMORY, "good for the order of magnitude: half to twice",
)  # fmt: skip
OXIDE_COLDEST = Constant(
    "oxide on iron, lowest temperature", 700.0, "deg C", CHEN_YUEN, "rate equation",
    Basis.FROM_MEMORY,
)  # fmt: skip
OXIDE_HOTTEST = Constant(
    "oxide on iron, highest temperature", 1250.0, "deg C", CHEN_YUEN, "rate equation",
    Basis.FROM_MEMORY,
)  # fmt: skip
GAS_CONSTANT = Constant(
    "molar gas constant", 8.31446261815324, "J/(mol K)", SI_BROCHURE,
    "Boltzmann constant times Avogadro constant", Basis.EXACT,
)  # fmt: skip
OXIDE_SWELLING = Constant(
    "volume of wustite over volume of the iron in it", 1.77, "1", None, "", Basis.FROM_MEMORY,
    "one millimetre of scale has eaten 1/1.77 = 0.565 mm of iron",
)  # fmt: skip


# Upsetting and welding ---------------------------------------------------------------------------

_WELD_NOTE = "given for a ring; that it grows with the thickness is our reading"

SCARF_SHARE = Constant(
    "length of a lap weld's scarf over the thickness", 1.5, "1", SHOP_PRACTICE_2,
    '"Lap Welding"', Basis.HANDBOOK,
    "for two bars; a bit between two cheeks is held better; Googerty's book of 1915 says the same",
)  # fmt: skip
WELD_UPSET = Constant(
    "thickness of an end upset for a lap weld over that of the bar", 4 / 3, "1",
    GOOGERTY_PRACTICAL, "chapter 2, upsetting", Basis.HANDBOOK,
    "3/4 in round upset to about 1 in",
)  # fmt: skip
WELD_THIRD = Constant(
    "extra length for a weld over the thickness, least rule", 1 / 3, "1", RING_ANSWER,
    "worked example", Basis.SECOND_HAND, _WELD_NOTE,
)  # fmt: skip
WELD_WASTE = Constant(
    "extra length for a weld over the thickness, for waste", 3 / 8, "1", GOOGERTY, "p. 69",
    Basis.HANDBOOK, "about 3/8 in on 1 in stock; " + _WELD_NOTE,
)  # fmt: skip
WELD_LAP = Constant(
    "extra length for a weld over the thickness, for the lap", 1 / 2, "1", GOOGERTY_PRACTICAL,
    "exercise 14", Basis.HANDBOOK, "1/2 in on 1 in stock; " + _WELD_NOTE,
)  # fmt: skip
WELD_WHOLE = Constant(
    "extra length for a weld over the thickness, greatest rule", 1.0, "1", SMITHS_CRAFT,
    "length of a ring", Basis.SECOND_HAND, "for upsetting and scarfing; " + _WELD_NOTE,
)  # fmt: skip
UPSET_FREE = Constant(
    "unsupported length upset in one blow without buckling, over the diameter", 3.0, "1",
    UPSET_RULES, "rule 1", Basis.HANDBOOK,
    "for upsetting machines; a smith who straightens between blows goes further",
)  # fmt: skip


# The head ----------------------------------------------------------------------------------------

WALL_SHARE = Constant(
    "wall of the eye over thickness of the bar", 0.5, "1", RUSSIAN_SMITHING,
    "section 1.2.7 b, steps 10 to 14", Basis.DERIVED,
    "strip 10 to 12 mm thick, ends drawn to 5 to 6 mm",
)  # fmt: skip
WALL_LOWEST = Constant(
    "thinnest wall of an eye without a doubt", 3 / 16, "in", None, "", Basis.COMMON_PRACTICE,
)  # fmt: skip
BARB_PITCH_SHARE = Constant(
    "pitch of the barbs on a bit over its thickness", 4.0, "1", None, "", Basis.COMMON_PRACTICE,
    "that bits are barbed is common practice; the figure is our own",
)  # fmt: skip
BARB_PITCH_LEAST = Constant(
    "least pitch of the barbs on a bit", 3 / 8, "in", None, "", Basis.COMMON_PRACTICE,
    "room for a chisel; the figure is our own",
)  # fmt: skip
BARB_HEIGHT_SHARE = Constant(
    "height of a barb over the bit's thickness", 1 / 3, "1", None, "", Basis.COMMON_PRACTICE,
    "the figure is our own",
)  # fmt: skip
BARB_HEIGHT_MOST = Constant(
    "greatest height of a barb", 1 / 16, "in", None, "", Basis.COMMON_PRACTICE,
    "the figure is our own",
)  # fmt: skip
HARDENED_DEPTH = Constant(
    "depth hardened, from the edge", 30.0, "mm", DIN_7287, "depth of hardening",
    Basis.SECOND_HAND, "a bit should reach at least this far back, and what grinding takes",
)  # fmt: skip
EDGE_HARDNESS_LEAST = Constant(
    "hardness of an axe's edge, low end", 51.0, "HRC", DIN_7287, "grade A, steel C60",
    Basis.SECOND_HAND, "grade B, of steels C35 to C40: 47",
)  # fmt: skip
EDGE_HARDNESS_MOST = Constant(
    "hardness of an axe's edge, high end", 56.0, "HRC", DIN_7287, "grade A, steel C60",
    Basis.SECOND_HAND, "grade B, of steels C35 to C40: 55",
)  # fmt: skip
EDGE_ANGLE_LEAST = Constant(
    "smallest usual angle of the edge, both sides together", 15.0, "deg", AXE_SHARPENING,
    "felling axe, green wood", Basis.SECOND_HAND, "sources disagree within 15 to 40 degrees",
)  # fmt: skip
EDGE_ANGLE_MOST = Constant(
    "greatest usual angle of the edge, both sides together", 40.0, "deg", AXE_ANGLE_TABLE,
    "clearing and garden axes", Basis.SECOND_HAND, "sources disagree within 15 to 40 degrees",
)  # fmt: skip
EDGE_RADIUS_LEAST = Constant(
    "radius of the edge's arc, carpenter's and woodcutter's axes, low end", 250.0, "mm",
    BORISOV, "whole article", Basis.HANDBOOK,
)  # fmt: skip
EDGE_RADIUS_MOST = Constant(
    "radius of the edge's arc, carpenter's and woodcutter's axes, high end", 270.0, "mm",
    BORISOV, "whole article", Basis.HANDBOOK,
)  # fmt: skip
HEAVINESS_LEAST = Constant(
    "mass over length times edge, lightest", 0.011, "g/mm2", ARMOURIES_AXE,
    "220 x 190 mm, 495 g", Basis.DERIVED,
    "rounded down from 0.0118, the lightest of six weighed heads or classes of heads",
)  # fmt: skip
HEAVINESS_MOST = Constant(
    "mass over length times edge, heaviest", 0.09, "g/mm2", BRITISH_MUSEUM_AXE,
    "277 x 147 mm, 2748.5 g", Basis.DERIVED,
    "a third above 0.0675, the heaviest of six weighed heads or classes of heads",
)  # fmt: skip


# Sawing ------------------------------------------------------------------------------------------

SAW_KERF = Constant(
    "what a bandsaw takes of the bar at each cut", 1 / 16, "in", None, "", Basis.COMMON_PRACTICE,
    "measure a cut of your own saw",
)  # fmt: skip


# The handle --------------------------------------------------------------------------------------

STANDARD_GRAVITY = Constant(
    "standard acceleration of free fall", 9.80665, "m/s2", SI_BROCHURE,
    "declaration of the 3rd CGPM, 1901", Basis.EXACT,
    "the acceleration where the smith stands differs by up to 0.3 %",
)  # fmt: skip
HANDLE_DENSITY = Constant(
    "density of a handle's wood, at least", 55.0, "lb/ft3", HANDLE_SPECIFICATION,
    "wood of the handle, at most 12 % moisture", Basis.SECOND_HAND,
    "the least that is asked of a handle; weigh a blank of your own wood and put that in",
)  # fmt: skip
HANDLE_SHARE = Constant(
    "mean section of a handle over its section in the eye", 0.875, "1", SPONS, "form of handle",
    Basis.DERIVED,
    "half-way between a handle that keeps its section and one, of even thickness and straight "
    "taper, that is twice as deep at the eye as at the other end, the most that the book gives",
)  # fmt: skip
GRIP_HEIGHT = Constant(
    "middle of the lower hand, from the end of the handle", 3.0, "in", None, "",
    Basis.COMMON_PRACTICE,
)  # fmt: skip
TOUCH_SHARE = Constant(
    "where the edge touches a table, the handle's end touching too: share of the edge from the "
    "heel", 1 / 3, "1", AX_TO_GRIND, "Getting the hang of it, fig. 32", Basis.HANDBOOK,
    "read in a copy on a public site; the manual gives no bounds",
)  # fmt: skip
SHOULDER_GAP_LEAST = Constant(
    "from the bottom of the head to the handle's shoulder, at least", 3 / 8, "in", WILDLAND_CACHE,
    "axe-0707", Basis.STANDARD, "how an agency's own axes are checked; no law elsewhere",
)  # fmt: skip
SHOULDER_GAP_MOST = Constant(
    "from the bottom of the head to the handle's shoulder, at most", 5 / 8, "in", WILDLAND_CACHE,
    "axe-0707", Basis.STANDARD, "how an agency's own axes are checked; no law elsewhere",
)  # fmt: skip
KERF_DEPTH = Constant(
    "depth of the kerf for the wedge, as a share of the eye's height", 2 / 3, "1", None, "",
    Basis.COMMON_PRACTICE,
)  # fmt: skip
HANDLE_PROUD = Constant(
    "how far a handle stands out of the top of the eye before it is trimmed", 1 / 4, "in", None,
    "", Basis.COMMON_PRACTICE, "trimmed once the wedge is home, or left",
)  # fmt: skip
HANDLE_GROWTH = Constant(
    "depth of a handle at the head over its depth at the other end, at most", 2.0, "1", SPONS,
    "form of handle", Basis.HANDBOOK, "the book says that it may be double",
)  # fmt: skip
CROSS_GRAIN = Constant(
    "slope of the grain to a handle's line, at most", 1 / 20, "1", HANDLE_SPECIFICATION,
    "cross grain", Basis.SECOND_HAND,
)  # fmt: skip
