"""Lengths as a smith writes them, read into millimetres and written back.

Read: ``1 1/4 in``, ``1-1/4 in``, ``1.25"``, ``1¼ in``, ``32 mm``, ``3.2 cm``. A number alone has no
unit, so it is refused. Written: fractions of an inch to the finest mark on the rule, or
millimetres.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction

MM_PER_INCH = 25.4  # exact: international yard and pound agreement, 1959
GRAMS_PER_POUND = 453.59237  # exact: international yard and pound agreement, 1959

_INCH = Fraction("25.4")
_UNITS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": _INCH,
    "inch": _INCH,
    "inches": _INCH,
    '"': _INCH,
}

_NUMBER = (
    r"(?:(?P<whole{n}>\d+)(?:\s+|\s*-\s*))?(?P<top{n}>\d+)\s*/\s*(?P<under{n}>\d+)"
    r"|(?P<plain{n}>\d+(?:\.\d*)?|\.\d+)"
)
_SIGN = r"(?P<sign>[+-]?)\s*"
_UNIT = r"\s*(?P<unit>mm|cm|inches|inch|in|\")\.?"
_LENGTH = re.compile(_SIGN + "(?:" + _NUMBER.format(n="") + ")" + _UNIT, re.ASCII)
_SECTION = re.compile(
    "(?:" + _NUMBER.format(n="1") + ")(?:" + _UNIT.replace("unit", "unit1") + r")?\s*x\s*(?:"
    + _NUMBER.format(n="2") + ")" + _UNIT,
    re.ASCII,
)  # fmt: skip


_MASS_UNITS = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "oz": Fraction(str(GRAMS_PER_POUND)) / 16,
    "lb": Fraction(str(GRAMS_PER_POUND)),
    "lbs": Fraction(str(GRAMS_PER_POUND)),
}
_MASS = re.compile("(?:" + _NUMBER.format(n="") + r")\s*(?P<unit>kg|g|oz|lbs|lb)\.?", re.ASCII)


class NotALengthError(ValueError):
    """The text is no length, section or mass; the message says what would be."""


def _plain(text: str) -> str:
    """Vulgar fractions, typographic quotes and the multiplication sign to their plain forms."""
    spaced = re.sub(r"(?<=\d)(?=[\u00bc-\u00be\u2150-\u215e])", " ", text)
    flat = unicodedata.normalize("NFKC", spaced).replace("\u2044", "/").replace("\u00d7", "x")
    for mark in ("\u201d", "\u2033", "''"):
        flat = flat.replace(mark, '"')
    return flat.strip().lower()


def _number(match: re.Match[str], n: str = "") -> Fraction:
    """The number as an exact fraction, so that 1 1/2 in is 38.1 mm and not 38.099999999999994."""
    if match[f"plain{n}"] is not None:
        return Fraction(match[f"plain{n}"].rstrip("."))
    under = int(match[f"under{n}"])
    if under == 0:
        raise NotALengthError("a fraction over nothing")
    return int(match[f"whole{n}"] or 0) + Fraction(int(match[f"top{n}"]), under)


def read_length(text: str) -> float:
    """Length in millimetres from what a smith writes; raises :class:`NotALengthError`.

    >>> read_length("1 1/4 in"), read_length("1-1/4 in"), read_length("3.2 cm")
    (31.75, 31.75, 32.0)
    """
    if len(text) > 60:
        raise NotALengthError("too long to be a length")
    match = _LENGTH.fullmatch(_plain(text))
    if match is None:
        raise NotALengthError('a number with a unit, such as "1 1/4 in", "32 mm" or "3.2 cm"')
    value = float(_number(match) * _UNITS[match["unit"]])
    return -value if match["sign"] == "-" else value


def read_section(text: str) -> tuple[float, float]:
    """Two lengths, ``"1/2 x 1 1/2 in"``, in millimetres; raises :class:`NotALengthError`.

    >>> read_section("1/2 x 1 1/2 in")
    (12.7, 38.1)
    """
    if len(text) > 80:
        raise NotALengthError("too long to be a section")
    match = _SECTION.fullmatch(_plain(text))
    if match is None:
        raise NotALengthError('thickness x width with a unit, such as "1/2 x 1 1/2 in"')
    second = match["unit"]
    first = match["unit1"] or second
    return float(_number(match, "1") * _UNITS[first]), float(_number(match, "2") * _UNITS[second])


def read_mass(text: str) -> float:
    """Mass in grams from what a smith writes; raises :class:`NotALengthError`.

    >>> read_mass("680 g"), read_mass("1 lb 8 oz"), read_mass("1 1/2 lb")
    (680.0, 680.388555, 680.388555)
    """
    what = 'a number with a unit, such as "680 g", "1.5 lb" or "1 lb 8 oz"'
    if len(text) > 60:
        raise NotALengthError(what)
    rest, total, last = _plain(text), Fraction(0), None
    while rest:
        match = _MASS.match(rest)
        pounds_before = last in ("lb", "lbs")
        if match is None or (last is not None and not (pounds_before and match["unit"] == "oz")):
            raise NotALengthError(what)
        last = match["unit"]
        total += _number(match) * _MASS_UNITS[last]
        rest = rest[match.end() :].strip(" ,")
    if last is None:
        raise NotALengthError(what)
    return float(total)


def inches(mm: float, finest: int = 64) -> str:
    """Inches as a fraction, to the nearest mark of the rule.

    >>> inches(31.75), inches(4.7625), inches(0.0), inches(-12.7)
    ('1 1/4', '3/16', '0', '-1/2')
    """
    parts = round(abs(mm) / MM_PER_INCH * finest)
    whole, rest = divmod(parts, finest)
    sign = "-" if mm < 0 and parts else ""
    if rest == 0:
        return f"{sign}{whole}"
    fraction = Fraction(rest, finest)
    return f"{sign}{whole or ''}{' ' if whole else ''}{fraction.numerator}/{fraction.denominator}"


def length(mm: float, units: str = "in", finest: int = 64) -> str:
    """A length for people, in the units they chose.

    >>> length(31.75), length(31.75, "mm")
    ('1 1/4 in', '31.8 mm')
    """
    return f"{inches(mm, finest)} in" if units == "in" else f"{mm:.1f} mm"


def both(mm: float, units: str = "in", finest: int = 64) -> str:
    """A length in the chosen units with the other beside it.

    >>> both(31.75), both(31.75, "mm")
    ('1 1/4 in (31.8 mm)', '31.8 mm (1 1/4 in)')
    """
    other = "mm" if units == "in" else "in"
    return f"{length(mm, units, finest)} ({length(mm, other, finest)})"


def at_least(mm: float, units: str = "in", finest: int = 64) -> str:
    """A lower limit for people: rounded up, so that what is shown is itself allowed.

    >>> at_least(12.0), at_least(22.225, "mm")
    ('31/64 in', '22.3 mm')
    """
    return _limit(mm, units, finest, math.ceil, -1e-6)


def at_most(mm: float, units: str = "in", finest: int = 64) -> str:
    """An upper limit for people: rounded down, so that what is shown is itself allowed.

    >>> at_most(150.0), at_most(31.75, "mm")
    ('5 57/64 in', '31.7 mm')
    """
    return _limit(mm, units, finest, math.floor, 1e-6)


def _limit(mm: float, units: str, finest: int, to: Callable[[float], int], slack: float) -> str:
    step = MM_PER_INCH / finest if units == "in" else 0.1
    return length(to(mm / step + slack) * step, units, finest)


def both_limits(low: float, high: float, units: str = "in") -> str:
    """A range for people, in the chosen units with the other beside it, each limit allowed.

    >>> both_limits(12.0, 100.0)
    '31/64 in (12.0 mm) to 3 59/64 in (100.0 mm)'
    """
    other = "mm" if units == "in" else "in"
    return (
        f"{at_least(low, units)} ({at_least(low, other)}) to "
        f"{at_most(high, units)} ({at_most(high, other)})"
    )


def fine(mm: float, units: str = "in") -> str:
    """A figure that must be hit: finer than a rule shows, for calipers.

    >>> fine(44.03), fine(44.03, "mm")
    ('1.733 in', '44.03 mm')
    """
    return f"{mm / MM_PER_INCH:.3f} in" if units == "in" else f"{mm:.2f} mm"


def section(size: tuple[float, float]) -> str:
    """A bar's section as its dealer sells it, whatever units the figures are in.

    In fractions of an inch where both sides are whole 64ths, otherwise in mm.

    >>> section((12.7, 38.1)), section((12.0, 40.0))
    ('1/2 x 1 1/2 in', '12 x 40 mm')
    """
    parts = [side / MM_PER_INCH * 64.0 for side in size]
    if all(abs(part - round(part)) < 1e-6 for part in parts):
        return f"{inches(size[0])} x {inches(size[1])} in"
    return f"{size[0]:.5g} x {size[1]:.5g} mm"


def mass(grams: float, units: str = "in") -> str:
    """A mass for people.

    >>> mass(680.388), mass(680.388, "mm")
    ('1 lb 8.0 oz (680 g)', '680 g (1 lb 8.0 oz)')
    """
    ounces = round(grams / GRAMS_PER_POUND * 160) / 10
    pounds, rest = divmod(ounces, 16)
    imperial = f"{pounds:.0f} lb {rest:.1f} oz" if pounds else f"{rest:.1f} oz"
    metric = f"{grams:.0f} g"
    return f"{imperial} ({metric})" if units == "in" else f"{metric} ({imperial})"
