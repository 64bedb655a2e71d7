"""Lettering: sizes from the font's published grid, nothing dropped, fractions stacked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns import lettering
from patterns.lettering import bounds, plain, strokes, width

SIGNS = "°×±–—−′″·½¼¾⅛⅜⅝⅞÷≈≤≥≠→←↑↓↔⌀Øøµ²³…‘’“”"
PRINTABLE = "".join(map(chr, range(33, 127)))


@pytest.mark.parametrize("letter", "AEFHIKLMNTVXYZBDPR")
def test_capitals_stand_exactly_as_high_as_asked(letter: str) -> None:
    box = bounds(letter, 3.3)
    assert box.bottom == 0.0
    assert box.top == pytest.approx(3.3, abs=1e-12)


# Widths of the simplex roman on its grid, capitals 21 units high: H and N 14, E 13 (NBS SP 424).
@pytest.mark.parametrize(("letter", "units"), [("H", 14), ("N", 14), ("E", 13), ("A", 16)])
def test_widths_are_those_of_the_printed_grid(letter: str, units: int) -> None:
    assert width(letter, 21.0) == pytest.approx(units, abs=1e-12)


@pytest.mark.parametrize("sign", SIGNS + PRINTABLE)
def test_every_sign_is_inked_from_nought_to_its_width(sign: str) -> None:
    points = [point for stroke in strokes(sign, 5.0) for point in stroke]
    assert all(len(stroke) >= 2 for stroke in strokes(sign, 5.0))
    assert min(x for x, _ in points) == pytest.approx(0.0, abs=1e-12)
    assert max(x for x, _ in points) == pytest.approx(width(sign, 5.0), abs=1e-12)
    assert (width(sign, 5.0) == 0.0) == (sign in "Il|")  # a single upright has no width


@pytest.mark.parametrize("sign", ["斧", "\n", "\t", "é", "\x7f", "\u200b", "\ud800"])
def test_a_sign_that_cannot_be_set_is_named(sign: str) -> None:
    with pytest.raises(ValueError, match=f"U\\+{ord(sign):04X}"):
        strokes(f"a{sign}b", 3.0)


def test_text_is_longer_by_what_is_added() -> None:
    shorter = width("mark", 3.0)
    assert width("marks", 3.0) > shorter
    assert width("mark", 6.0) == pytest.approx(2.0 * shorter, abs=1e-12)


def test_a_fraction_is_stacked_and_stands_evenly_about_the_middle() -> None:
    box = bounds("11/16", 2.0)
    assert box.bottom + box.top == pytest.approx(2.0, abs=1e-12)
    assert 1.3 * 2.0 < box.height < 1.75 * 2.0
    bar = [s for s in strokes("11/16", 2.0) if {y for _, y in s} == {1.0}]
    assert len(bar) == 1
    assert min(x for x, _ in bar[0]) == pytest.approx(0.0, abs=1e-12)
    over = [s for s in strokes("11/16", 2.0) if min(y for _, y in s) > 1.0]
    under = [s for s in strokes("11/16", 2.0) if max(y for _, y in s) < 1.0]
    assert len(over) == len(strokes("11", 2.0))
    assert len(under) == len(strokes("16", 2.0))
    tall = max(y for s in over for _, y in s) - min(y for s in over for _, y in s)
    assert 0.6 * 2.0 <= tall <= 0.65 * 2.0 + 1e-12
    # figures clear the bar by more than the stroke of height / 9 that draws both
    assert min(y for s in over for _, y in s) - 1.0 > 2.0 / 9.0 * 1.5


@pytest.mark.parametrize("text", ["1/8/2025", "a1/2", "2024/05", "1/", "/2", "1.1/2"])
def test_what_only_looks_like_a_fraction_stays_on_the_line(text: str) -> None:
    assert not any(len({y for _, y in s}) == 1 and s[0][1] == 10.5 for s in strokes(text, 21.0))


@pytest.mark.parametrize("text", ["3/8", "(3/8)", '3/8"', "3/8,", "1-3/8", "1 3/8 in", "⅜", "1⅜"])
def test_a_fraction_is_found_beside_signs(text: str) -> None:
    assert any(len(s) == 2 and s[0][1] == s[1][1] == 10.5 for s in strokes(text, 21.0))


def test_a_whole_number_stands_close_to_its_fraction() -> None:
    assert width("1 3/8", 3.0) < width("1", 3.0) + width("3/8", 3.0) + 0.4 * 3.0
    assert width("1 3/8", 3.0) > width("1", 3.0) + width("3/8", 3.0) + 0.15 * 3.0


def test_accents_come_off_and_the_rest_is_marked() -> None:
    assert plain("Björn Ångström, Łódź, straße") == "Bjorn Angstrom, Lodz, strasse"
    assert plain("斧 axe") == "? axe"
    assert plain("a\x00b\tc\u200bd") == "a b cd"
    assert plain("e\u0301") == "e"


@given(st.text(max_size=60))
def test_plain_text_can_always_be_set(text: str) -> None:
    made = plain(text)
    assert plain(made) == made
    box = bounds(made, 3.0)
    points = [point for stroke in strokes(made, 3.0) for point in stroke]
    for x, y in points:
        assert -1e-9 <= x <= box.right + 1e-9
        assert box.bottom - 1e-9 <= y <= box.top + 1e-9


def test_own_signs_stay_within_the_line() -> None:
    for sign, (advance, drawn) in lettering._SIGNS.items():
        for stroke in drawn:
            for x, y in stroke:
                assert 0 <= x <= advance, sign
                assert -8 <= y <= 22, sign
