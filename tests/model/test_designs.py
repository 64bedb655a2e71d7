"""The random heads themselves: what is refused is refused in words, and most are not."""

from __future__ import annotations

import itertools
from collections import Counter
from fractions import Fraction

import pytest
from designs import (
    LOPSIDED,
    SIXTY_FOURTH,
    Raw,
    changed,
    examples,
    in_inches,
    mirrored,
    planned,
    raws,
    scaled,
    written,
)
from hypothesis import given

from patterns import units
from patterns.errors import BadInputError
from patterns.parameters import EYE_FORMS


def counted(form: str, by_perimeter: bool, seen: Counter[str]) -> Counter[str]:
    """How many of 25 heads with such an eye are accepted; ``seen`` counts what these are like."""
    taken: Counter[str] = Counter()

    @examples(25)
    @given(raws(eye_form=form, by_perimeter=by_perimeter))
    def run(raw: Raw) -> None:
        try:
            planned(raw)
        except BadInputError as error:
            taken["refused"] += 1
            for fault in error.faults:
                assert fault.field
                assert fault.given
                assert fault.allowed
        else:
            taken["accepted"] += 1
            seen.update(
                (
                    f"ears {raw['ears']['form']}",
                    "beard" if "beard" in raw["blade"] else "no beard",
                    f"top {raw['blade']['top']['form']}",
                    "taper" if raw["eye"].get("taper") else "no taper",
                )
            )

    run()
    return taken


def test_most_are_accepted_and_the_rest_refused_in_words() -> None:
    """Two of three at least: too few would leave the other tests looking at one kind of head."""
    seen: Counter[str] = Counter()
    total: Counter[str] = Counter()
    for form, by_perimeter in itertools.product(EYE_FORMS, (True, False)):
        taken = counted(form, by_perimeter, seen)
        assert taken["accepted"] >= taken["refused"], (form, by_perimeter, taken)
        total += taken
    assert total["accepted"] >= 2 * total["refused"], total
    kinds = ("ears pointed", "ears rounded", "ears none", "beard", "no beard", "top line",
             "top arc", "top smooth", "taper", "no taper")  # fmt: skip
    assert all(seen[kind] >= 10 for kind in kinds), seen


@pytest.mark.parametrize("name", LOPSIDED)
def test_the_fixed_heads_can_be_planned(name: str) -> None:
    assert planned(LOPSIDED[name]).cut_length > 0.0


def test_both_spellings_of_a_length_are_one_number() -> None:
    for count in (1, 77, 640, -13):
        value = SIXTY_FOURTH * count
        assert units.read_length(written(value, "in")) == units.read_length(written(value, "mm"))
        assert units.read_length(written(value, "mm")) == float(value)
    assert in_inches(SIXTY_FOURTH * 90) == "1 13/32"
    pair = (Fraction(127, 10), Fraction(381, 10))
    assert written(pair, "in") == "1/2 x 1 1/2 in"


def test_the_tools_do_what_they_say() -> None:
    raw = LOPSIDED["stadium"]
    double = scaled(raw, 2)
    assert double["bar"]["section"] == (22, 74)
    assert double["blade"]["stations"][1] == (76, 26)
    assert double["blade"]["edge_angle"] == raw["blade"]["edge_angle"]
    upside = mirrored(raw)
    assert (upside["blade"]["toe"], upside["blade"]["edge_centre"]) == (52, 7)
    assert upside["blade"]["top"]["form"] == "smooth"
    assert mirrored(upside) == raw
    assert changed(raw, wall__thickness=Fraction(5))["wall"]["thickness"] == 5
    assert raw["wall"]["thickness"] == Fraction("5.3")
