"""Single-stroke lettering, the same on every machine.

Letters are runs of straight lines, so that one set of strokes serves paper, screen and the marking
tool of a cutting machine, and so that a text's width is known before it is drawn. The letters are
the simplex roman of the Hershey fonts, made by Dr. A. V. Hershey at the U.S. National Bureau of
Standards (NBS Special Publication 424); the form in which they are distributed was devised by
James Hurt, Cognition, Inc. Signs that they lack are drawn here.

A token such as ``3/8`` or the second half of ``1 3/16`` is set as a stacked fraction, as it stands
on a rule. Baseline is y = 0, y runs upwards, and the ink begins at x = 0 exactly.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import cached_property, lru_cache

from .contour import Bounds, Point

Strokes = tuple[tuple[Point, ...], ...]

_CAPITAL = 21.0  # height of a capital in the font's own units
_BASELINE = 9  # y of the baseline in the font's own units, y downwards
_SPACE = 12.0  # the font's own space is 16; single-stroke capitals read better closer
_BESIDE_FRACTION = 4.0  # from the ink of a whole number to its fraction, whose side is 2 more

_SMALL = 0.65  # height of a fraction's figures, of that of the capitals
_CLEAR = 4.0  # from the bar's middle to the figures: leaves white between strokes of height / 9

# Signs of our own: advance, strokes; baseline 0, capitals 21 high, y upwards.
_SIGNS: dict[str, tuple[float, tuple[tuple[Point, ...], ...]]] = {
    "-": (14, (((3, 8), (11, 8)),)),
    "−": (22, (((4, 9), (18, 9)),)),
    "–": (18, (((1, 8), (17, 8)),)),
    "—": (28, (((1, 8), (27, 8)),)),
    "°": (
        13,
        (
            ((5, 21), (8, 21), (10, 19), (10, 16), (8, 14), (5, 14), (3, 16), (3, 19), (5, 21)),
        ),
    ),
    "×": (20, (((4, 3), (16, 15)), ((4, 15), (16, 3)))),
    "±": (22, (((11, 19), (11, 5)), ((4, 12), (18, 12)), ((4, 1), (18, 1)))),
    "÷": (
        22,
        (
            ((4, 9), (18, 9)),
            ((11, 16), (10, 15), (11, 14), (12, 15), (11, 16)),
            ((11, 4), (10, 3), (11, 2), (12, 3), (11, 4)),
        ),
    ),
    "′": (9, (((6, 21), (3, 13)),)),
    "″": (14, (((6, 21), (3, 13)), ((11, 21), (8, 13)))),
    "·": (10, (((4, 9), (5, 10), (6, 9), (5, 8), (4, 9)),)),
    "•": (
        14,
        (
            ((6, 12), (8, 12), (10, 10), (10, 8), (8, 6), (6, 6), (4, 8), (4, 10), (6, 12)),
            ((6, 9), (8, 9)),
        ),
    ),
    "…": (
        24,
        tuple(
            ((x, 1), (x + 1, 2), (x + 2, 1), (x + 1, 0), (x, 1)) for x in (3, 11, 19)
        ),
    ),
    "≈": (
        22,
        tuple(
            ((3, y), (5, y + 2), (8, y + 2), (14, y), (17, y), (19, y + 2)) for y in (5, 11)
        ),
    ),
    "≤": (22, (((18, 20), (4, 12), (18, 4)), ((4, 1), (18, 1)))),
    "≥": (22, (((4, 20), (18, 12), (4, 4)), ((4, 1), (18, 1)))),
    "≠": (22, (((4, 12), (18, 12)), ((4, 6), (18, 6)), ((15, 17), (7, 1)))),
    "→": (26, (((3, 9), (23, 9)), ((17, 14), (23, 9), (17, 4)))),
    "←": (26, (((23, 9), (3, 9)), ((9, 14), (3, 9), (9, 4)))),
    "↑": (18, (((9, 0), (9, 20)), ((4, 14), (9, 20), (14, 14)))),
    "↓": (18, (((9, 20), (9, 0)), ((4, 6), (9, 0), (14, 6)))),
    "↔": (30, (((3, 9), (27, 9)), ((9, 14), (3, 9), (9, 4)), ((21, 14), (27, 9), (21, 4)))),
    "⌀": (
        26,
        (
            (
                (9, 19), (17, 19), (22, 14), (22, 7), (17, 2), (9, 2), (4, 7), (4, 14), (9, 19),
            ),
            ((3, 0), (23, 21)),
        ),
    ),
    "µ": (
        20,
        (
            ((4, 14), (4, -7)),
            ((4, 4), (5, 1), (7, 0), (10, 0), (12, 1), (15, 4)),
            ((15, 14), (15, 0)),
        ),
    ),
}  # fmt: skip

# Signs that are set as another one.
_SAME = {
    "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u200a": " ", "\u202f": " ",
    "\u2010": "-", "\u2011": "-", "\u2012": "–", "\u2015": "—",
    "‘": "'", "’": "'", "‚": ",", "“": '"', "”": '"', "„": '"',
    "⁄": "/", "∕": "/", "∅": "⌀", "μ": "µ", "⋅": "·", "∙": "·", "✕": "×",
}  # fmt: skip
_RAISED = {"¹": "1", "²": "2", "³": "3"}
_STRUCK = {"Ø": "O", "ø": "o"}

# Letters that do not come apart into a plain letter and an accent.
_LATIN = {
    "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "đ": "d", "Đ": "D",
    "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ł": "l", "Ł": "L", "ı": "i", "ħ": "h", "Ħ": "H",
}  # fmt: skip

_FRACTION = re.compile(r"(?<![\w/.])(\d{1,3})/(\d{1,3})(?!\d|/|\.\d)", re.ASCII)
_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"


@dataclass(frozen=True, eq=False)
class Glyph:
    """One sign or fraction in the font's units: baseline 0, capitals 21 high, y upwards.

    There is one object for each sign, so that what is made from it can be kept by it.
    """

    advance: float
    strokes: Strokes

    @cached_property
    def box(self) -> Bounds | None:
        points = [point for stroke in self.strokes for point in stroke]
        return Bounds.around(points) if points else None


@lru_cache(maxsize=1)
def _font() -> dict[str, Glyph]:
    from HersheyFonts import HersheyFonts

    class OneFont(HersheyFonts):  # type: ignore[misc]
        # The list of names costs a second unpacking of all fonts; one is wanted.
        default_font_names = ("futural",)

    font = OneFont()
    font.load_default_font("futural")
    found: dict[str, Glyph] = {}
    for letter, glyph in font.all_glyphs.items():
        if " " <= letter <= "~":
            left = glyph.left_offset
            strokes = tuple(
                tuple((float(x - left), float(_BASELINE - y)) for x, y in stroke)
                for stroke in glyph.strokes
            )
            found[letter] = Glyph(float(glyph.char_width), strokes)
    return found


def _placed(strokes: Strokes, dx: float, dy: float, scale: float) -> Strokes:
    return tuple(
        [tuple([(dx + scale * x, dy + scale * y) for x, y in stroke]) for stroke in strokes]
    )


@lru_cache(maxsize=512)
def _glyph(sign: str) -> Glyph:
    """One sign; :class:`ValueError` for one that cannot be set."""
    sign = _SAME.get(sign, sign)
    if sign == " ":
        return Glyph(_SPACE, ())
    if sign in _SIGNS:
        return Glyph(*_SIGNS[sign])
    if sign in _RAISED:
        plain = _font()[_RAISED[sign]]
        return Glyph(plain.advance * 0.6, _placed(plain.strokes, 0.0, 0.45 * _CAPITAL, 0.6))
    if sign in _STRUCK:
        plain = _font()[_STRUCK[sign]]
        assert plain.box is not None
        bar = ((plain.box.left, plain.box.bottom - 1.0), (plain.box.right, plain.box.top + 1.0))
        return Glyph(plain.advance, (*plain.strokes, bar))
    if sign in _font():
        return _font()[sign]
    raise ValueError(f"no lettering for {sign!r} (U+{ord(sign):04X})")


def _figures(digits: str) -> tuple[Strokes, float, float]:
    """A run of digits with the left and right edge of its ink."""
    found: list[tuple[Point, ...]] = []
    x = 0.0
    for digit in digits:
        glyph = _glyph(digit)
        found += _placed(glyph.strokes, x, 0.0, 1.0)
        x += glyph.advance
    xs = [x for stroke in found for x, _ in stroke]
    return tuple(found), min(xs), max(xs)


@lru_cache(maxsize=512)
def _stacked(top: str, under: str) -> Glyph:
    """A fraction: small figures over a bar at the capitals' mid-height over small figures."""
    upper, a, b = _figures(top)
    lower, c, d = _figures(under)
    bar = max(b - a, d - c) * _SMALL + 4.0
    middle, side = _CAPITAL / 2.0, 2.0
    centre = side + bar / 2.0
    foot = middle - _CLEAR - _SMALL * _CAPITAL
    return Glyph(
        bar + 2.0 * side,
        (
            *_placed(upper, centre - _SMALL * (a + b) / 2.0, middle + _CLEAR, _SMALL),
            ((side, middle), (side + bar, middle)),
            *_placed(lower, centre - _SMALL * (c + d) / 2.0, foot, _SMALL),
        ),
    )


def _spelt(text: str) -> str:
    """Vulgar fractions spelt out: ``1½`` becomes ``1 1/2``."""
    if not any(sign in _VULGAR for sign in text):
        return text
    spaced = re.sub(f"(?<=[0-9])(?=[{_VULGAR}])", " ", text)
    return "".join(
        unicodedata.normalize("NFKC", sign).replace("⁄", "/") if sign in _VULGAR else sign
        for sign in spaced
    )


def _row(text: str) -> tuple[list[tuple[float, Glyph]], float]:
    """Each sign with its place along the line, and where the next one would stand."""
    text = _spelt(text)
    row: list[tuple[float, Glyph]] = []
    x, done = 0.0, 0
    for match in _FRACTION.finditer(text):
        before = text[done : match.start()]
        whole = len(before) > 1 and before[-1] in " \u00a0" and before[-2] in "0123456789"
        for sign in before[:-1] if whole else before:
            row.append((x, _glyph(sign)))
            x += row[-1][1].advance
        if whole:
            digit = row[-1][1].box
            assert digit is not None
            x = row[-1][0] + digit.right + _BESIDE_FRACTION
        row.append((x, _stacked(match[1], match[2])))
        x += row[-1][1].advance
        done = match.end()
    for sign in text[done:]:
        row.append((x, _glyph(sign)))
        x += row[-1][1].advance
    return row, x


@lru_cache(maxsize=4096)
def _line(text: str) -> tuple[tuple[tuple[float, Glyph], ...], Bounds]:
    """Each sign with its place along the line, ink from 0, and the bounds of the ink."""
    row, _ = _row(text)
    inked = [(x, glyph, glyph.box) for x, glyph in row if glyph.box is not None]
    if not inked:
        return (), Bounds(0.0, 0.0, 0.0, 0.0)
    left = min(x + box.left for x, _, box in inked)
    return tuple((x - left, glyph) for x, glyph, _ in inked), Bounds(
        0.0,
        min(box.bottom for _, _, box in inked),
        max(x + box.right for x, _, box in inked) - left,
        max(box.top for _, _, box in inked),
    )


@lru_cache(maxsize=1 << 14)
def _ink(text: str) -> Bounds:
    """The bounds of a line's ink: kept for more lines than their signs, since a set of sheets tries
    the width of many thousands and draws few."""
    return _line(text)[1]


@lru_cache(maxsize=1 << 14)
def _word(text: str) -> tuple[float, float, float]:
    """From where to where a word has ink, and where the next sign would stand."""
    row, end = _row(text)
    boxes = [(x, glyph.box) for x, glyph in row if glyph.box is not None]
    left = min((x + box.left for x, box in boxes), default=math.inf)
    return left, max((x + box.right for x, box in boxes), default=-math.inf), end


def strokes(text: str, height: float) -> Strokes:
    """The strokes of a line of text.

    Parameters
    ----------
    text
        One line. Every sign must be one that can be set; see :func:`plain` for free text.
    height
        Height of the capitals [mm].

    Returns
    -------
    Runs of points [mm]: baseline at y = 0, y upwards, ink from x = 0 to :func:`width`.

    Raises
    ------
    ValueError
        For a sign that cannot be set, naming it. Nothing is left out in silence.

    >>> strokes("L", 21.0)
    (((0.0, 21.0), (0.0, 0.0)), ((0.0, 0.0), (12.0, 0.0)))
    >>> strokes("斧", 3.0)
    Traceback (most recent call last):
    ValueError: no lettering for '斧' (U+65A7)
    """
    scale = height / _CAPITAL
    return tuple(
        stroke
        for x, glyph in _line(text)[0]
        for stroke in _placed(glyph.strokes, x * scale, 0.0, scale)
    )


def line(text: str, height: float) -> tuple[float, tuple[tuple[float, Glyph], ...]]:
    """A line of text sign by sign, for those who place whole signs.

    Returns the size of the font's unit [mm], and each sign with the place of its own origin along
    the line [mm]: the first lies before 0 by the white that the sign keeps on its left. Raises as
    :func:`strokes`.

    >>> unit, ((first, sign), (second, _)) = line("LL", 21.0)
    >>> unit, second - first == sign.advance
    (1.0, True)
    """
    scale = height / _CAPITAL
    return scale, tuple((x * scale, glyph) for x, glyph in _line(text)[0])


def bounds(text: str, height: float) -> Bounds:
    """Smallest upright rectangle round the text's ink [mm], without the width of the pen.

    >>> box = bounds("3/8", 3.0)  # a fraction stands out above and below alike
    >>> box.bottom < 0.0, box.top > 3.0, round(box.bottom + box.top, 9)
    (True, True, 3.0)
    """
    box, scale = _ink(text), height / _CAPITAL
    return Bounds(box.left * scale, box.bottom * scale, box.right * scale, box.top * scale)


def width(text: str, height: float) -> float:
    """Width of the text's ink [mm], without the width of the pen; 0 for blank text.

    >>> width("L", 21.0), width("", 3.0)
    (12.0, 0.0)
    """
    return _ink(text).right * height / _CAPITAL


def _can_be_set(sign: str) -> bool:
    if sign in _VULGAR:
        return True
    try:
        _glyph(sign)
    except ValueError:
        return False
    return True


def plain(text: str) -> str:
    """Free text made fit to be set: accents off, blanks single, ``?`` for what is left over.

    >>> plain("Åse’s  broad axe №2, 1½ in"), plain("Müller & Søn"), plain("斧")
    ('Ase’s broad axe No2, 1½ in', 'Muller & Søn', '?')
    """
    found: list[str] = []
    for sign in unicodedata.normalize("NFC", text):
        if _can_be_set(sign):
            found.append(sign)
            continue
        kind = unicodedata.category(sign)
        if sign.isspace() or kind == "Cc":
            found.append(" ")
        elif kind not in ("Cf", "Mn", "Me"):
            bare = _LATIN.get(sign) or "".join(
                part
                for part in unicodedata.normalize("NFKD", sign)
                if not unicodedata.combining(part)
            )
            found.append(bare if bare and all(map(_can_be_set, bare)) else "?")
    return " ".join("".join(found).split())


_TIED = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|mm|lb|oz|g|°[CF]|%)(?![A-Za-z]))", re.ASCII)


def wrapped(text: str, widest: float, height: float) -> list[str]:
    """Cut a text into lines no wider than ``widest`` [mm]; a number keeps its fraction and unit.

    >>> wrapped("cut 6 1/2 in", 15.0, 3.0)
    ['cut', '6 1/2 in']
    """
    lines: list[str] = []
    line: list[str] = []
    most, blank = widest * _CAPITAL / height, _glyph(" ").advance
    left, right, end = math.inf, -math.inf, 0.0  # ink of the line, and its length with blanks
    for word in _TIED.sub("\u00a0", text).split(" "):
        ink, far, long = _word(word)
        at = end + blank if line else 0.0
        if max(right, at + far) - min(left, at + ink) <= most:
            if not (word or line):
                continue
            line.append(word)
            left, right, end = min(left, at + ink), max(right, at + far), at + long
            continue
        if line:
            lines.append(" ".join(line))
        while width(word, height) > widest and len(word) > 1:
            cut = len(word) - 1
            while cut > 1 and width(word[:cut], height) > widest:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line, (left, right, end) = [word], _word(word)
    if any(line):
        lines.append(" ".join(line))
    return [line.replace("\u00a0", " ") for line in lines]
