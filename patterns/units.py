"""Lengths as a smith writes them, read into millimetres and written back.

Read: ``1 1/4 in``, ``1-1/4 in``, ``1.25"``, ``1¼ in``, ``32 mm``, ``3.2 cm``. A number alone has no
unit, so it is refused. Written: fractions of an inch to the finest mark on the rule, or
millimetres. Masses and temperatures likewise: grams and degrees Celsius inside.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction

MM_PER_INCH = 25.4  # exact: international yard and pound agreement, 1959
GRAMS_PER_POUND = 453.59237  # exact: international yard and pound agreement, 1959
ABSOLUTE_ZERO = -273.15  # deg C, exact: the definition of the Celsius temperature

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


_TEMPERATURE = re.compile(
    r"(?P<value>[+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*(?:deg\.?\s*|degrees\s+|\u00b0\s*)?"
    r"(?P<unit>c|f|celsius|fahrenheit)\.?",
    re.ASCII,
)

TEMPERATURE_STEP = 5
"""Degrees, in either unit, that a temperature for people is rounded to: no smith reads finer."""


class NotATemperatureError(ValueError):
    """The text is no temperature; the message says what would be."""


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


def read_bar(text: str) -> tuple[tuple[float, float], float]:
    """A bar as it is asked for, ``"1/2 x 1-1/2 x 8 in"``: its section and its length [mm].

    Each size may have its own unit; one that has none takes the next one's. Raises
    :class:`NotALengthError`.

    >>> read_bar("1/2 x 1-1/2 x 8 in")
    ((12.7, 38.1), 203.2)
    """
    what = 'thickness x width x length with a unit, such as "1/2 x 1 1/2 x 8 in"'
    sizes = _plain(text).split("x") if len(text) <= 120 else []
    if len(sizes) != 3:
        raise NotALengthError(what)
    found, unit = list[float](), ""
    for size in reversed(sizes):
        match = re.search(r"[a-z\"]", size)
        unit = size[match.start() :] if match else unit
        try:
            found.append(read_length(size if match else f"{size} {unit}"))
        except NotALengthError:
            raise NotALengthError(what) from None
    length, width, thickness = found
    return (thickness, width), length


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


def change(mm: float, units: str = "in", finest: int = 64) -> str:
    """A change of a length for people, with its sign.

    >>> change(3.175), change(-0.794), change(0.05), change(-1.0, "mm")
    ('+1/8 in', '-1/32 in', '0', '-1.0 mm')
    """
    shown = length(mm, units, finest)
    if shown.startswith(("0 in", "0.0", "-0.0")):
        return "0"
    return shown if mm < 0.0 else f"+{shown}"


def mass_change(grams: float, units: str = "in") -> str:
    """A change of a mass for people, with its sign, in ounces or grams.

    >>> mass_change(-14.0), mass_change(0.2), mass_change(30.0, "mm")
    ('-0.5 oz', '0', '+30 g')
    """
    if units == "in":
        ounces = round(grams / GRAMS_PER_POUND * 16.0, 1)
        return f"{ounces:+.1f} oz" if ounces else "0"
    return f"{grams:+.0f} g" if round(grams) else "0"


def offness(under: float, over: float, unit: str = "mm", units: str = "in") -> str:
    """How much smaller and larger a measure may be: of mm, degrees or g, as ``unit`` says.

    To 1/64 in or 0.1 mm; finer than that, in the calipers' figures.

    >>> offness(0.8, 0.8), offness(0.2, 0.2), offness(0.0, 1.6, units="mm")
    ('± 1/32 in', '± 0.008 in', '+ 1.6 mm, - 0')
    >>> offness(2.5, 2.5, "degrees"), offness(28.0, 28.0, "g")
    ('± 2.5 degrees', '± 1.0 oz')
    """

    def shown(size: float) -> str:
        match unit:
            case "degrees":
                return f"{size:g} degrees"
            case "g":
                ounces = size / GRAMS_PER_POUND * 16.0
                return f"{ounces:.1f} oz" if units == "in" else f"{size:.0f} g"
        least = MM_PER_INCH / 64.0 if units == "in" else 0.4
        return fine(size, units) if size < least * 0.999 else length(size, units)

    if under == over:
        return f"± {shown(over)}"
    return f"+ {shown(over)}, - {shown(under) if under else 0}"


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
    # to a millionth first: a half that was read back from a file is still a half
    return f"{round(mm / MM_PER_INCH, 6):.3f} in" if units == "in" else f"{round(mm, 6):.2f} mm"


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


def celsius(fahrenheit: float) -> float:
    """Degrees Fahrenheit, as a book prints them, in degrees Celsius.

    >>> celsius(212.0), celsius(1500.0)
    (100.0, 815.5555555555555)
    """
    return (fahrenheit - 32.0) * 5.0 / 9.0


def fahrenheit(celsius: float) -> float:
    """Degrees Celsius in degrees Fahrenheit.

    >>> fahrenheit(100.0)
    212.0
    """
    return celsius * 9.0 / 5.0 + 32.0


def read_temperature(text: str) -> float:
    """Degrees Celsius from what a smith writes; raises :class:`NotATemperatureError`.

    >>> read_temperature("1000 C"), read_temperature("1832 F"), read_temperature("1000 deg C")
    (1000.0, 1000.0, 1000.0)
    """
    what = 'a number with its unit, such as "1000 C" or "1830 F"'
    match = _TEMPERATURE.fullmatch(_plain(text)) if len(text) <= 60 else None
    if match is None:
        raise NotATemperatureError(what)
    value = float(match["value"].rstrip("."))
    found = value if match["unit"].startswith("c") else celsius(value)
    if not found >= ABSOLUTE_ZERO:
        raise NotATemperatureError("a temperature above absolute zero, -273.15 C")
    if not math.isfinite(found):
        raise NotATemperatureError(what)
    return found


def temperature(celsius: float, units: str = "in") -> str:
    """A temperature for people, to the nearest 5 degrees of each unit: Fahrenheit with inches.

    For a temperature to work at or near. A limit is written by :func:`temperature_at_most` or
    :func:`temperature_at_least`, which never pass it.

    >>> temperature(1000.0), temperature(1000.0, "mm")
    ('1830 F (1000 C)', '1000 C (1830 F)')
    """
    return _temperature(celsius, units, round, 0.0)


def temperature_at_most(celsius: float, units: str = "in") -> str:
    """A greatest temperature for people: rounded down, so that what is shown is itself allowed.

    >>> temperature_at_most(1000.0), temperature_at_most(1000.0, "mm")
    ('1830 F (1000 C)', '1000 C (1830 F)')
    >>> temperature_at_most(814.0)
    '1495 F (810 C)'
    """
    return _temperature(celsius, units, math.floor, 1e-6)


def temperature_at_least(celsius: float, units: str = "in") -> str:
    """A least temperature for people: rounded up, so that what is shown is itself allowed.

    >>> temperature_at_least(1000.0), temperature_at_least(814.0, "mm")
    ('1835 F (1000 C)', '815 C (1500 F)')
    """
    return _temperature(celsius, units, math.ceil, -1e-6)


def _temperature(value: float, units: str, to: Callable[[float], int], slack: float) -> str:
    step = TEMPERATURE_STEP
    metric = f"{to(value / step + slack) * step} C"
    imperial = f"{to(fahrenheit(value) / step + slack) * step} F"
    return f"{imperial} ({metric})" if units == "in" else f"{metric} ({imperial})"


def temperatures(low: float, high: float, units: str = "in") -> str:
    """A range of temperatures for people, each limit rounded inward to 5 degrees.

    To whole degrees where the range is too narrow for steps of 5.

    >>> temperatures(815.0, 1175.0), temperatures(204.0, 221.5, "mm")
    ('1500 to 2145 F (815 to 1175 C)', '205 to 220 C (400 to 430 F)')
    >>> temperatures(201.0, 203.0)
    '394 to 397 F (201 to 203 C)'
    """

    def shown(first: float, last: float, unit: str) -> str:
        for step in (TEMPERATURE_STEP, 1):
            least = math.ceil(first / step - 1e-6) * step
            most = math.floor(last / step + 1e-6) * step
            if least < most:
                return f"{least} to {most} {unit}"
        return f"{round((first + last) / 2.0)} {unit}"

    metric = shown(low, high, "C")
    imperial = shown(fahrenheit(low), fahrenheit(high), "F")
    return f"{imperial} ({metric})" if units == "in" else f"{metric} ({imperial})"


def counted(number: int, one: str, many: str = "") -> str:
    """A number of things.

    >>> counted(1, "hole"), counted(3, "hole"), counted(2, "pierce", "pierces")
    ('1 hole', '3 holes', '2 pierces')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
