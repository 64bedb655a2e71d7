"""The shop card: every figure of the plan is on it, by the paper's own text, and as text."""

from __future__ import annotations

import json
import re
from functools import cache
from typing import Any

import pypdfium2
import pytest

from patterns import blank, card, profiles
from patterns.build import Set, build
from patterns.sheets import card as sheet

NAMES = ("belt-hatchet", "carpenters-axe", "small-wrap", "bow-tie-hatchet", "trade-hatchet")
"""A block, a plate, one-sided without a bit, cheeks, round and overlaid."""
FIGURE = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:e-?\d+)?(?![\w.]*\d)")


@cache
def built(name: str) -> Set:
    return build(profiles.load(name), units="in", sheets=("card", "figures"), card="md")


def extracted(data: bytes) -> str:
    """The text of a PDF by pdfium."""
    document = pypdfium2.PdfDocument(data)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [n for inner in value.values() for n in numbers(inner)]
    if isinstance(value, list):
        return [n for inner in value for n in numbers(inner)]
    return [value] if isinstance(value, int | float) and not isinstance(value, bool) else []


def lacking(wanted: list[float], text: str) -> list[float]:
    """The figures that no figure of the text agrees with, to a thousandth or to four digits."""
    found = sorted({float(each) for each in FIGURE.findall(text)})
    return [
        n for n in wanted
        if not any(abs(n - each) <= (5.1e-4 if abs(n) >= 0.01 else abs(n) * 5.1e-4 + 1e-9)
                   for each in found)
    ]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_of_the_plan_is_on_paper(name: str) -> None:
    """plan.json against the text that another program reads out of the PDF."""
    made = built(name)
    wanted = numbers(json.loads(made.files["plan.json"]))
    assert len(wanted) > 200
    paper = extracted(made.files[f"{profiles.load(name).slug}.pdf"])
    assert lacking(wanted, paper) == []
    assert lacking(wanted, made.files["card.md"].decode()) == []


@pytest.mark.parametrize("name", NAMES)
def test_each_figure_stands_beside_its_name(name: str) -> None:
    """The plan's own groups, in the order that plan.json has them, on paper and as text."""
    made = built(name)
    found = json.loads(made.files["plan.json"])
    paper = " ".join(extracted(made.files[f"{profiles.load(name).slug}.pdf"]).split())
    text = " ".join(made.files["card.md"].decode().replace("\\", "").split())
    said = [
        f"{key.replace('_', ' ')} {card.figure(value)}"
        for group in ("bar", "strap", "spread", "eye", "head", "bit", "plate")
        for key, value in (found[group] or {}).items()
        if isinstance(value, int | float) and not isinstance(value, bool)
    ]
    assert len(said) > 25
    assert [each for each in said if each not in paper] == []
    assert [each for each in said if each not in text] == []


def test_a_figure_that_is_not_there_is_missed() -> None:
    """The check itself: another head's figures, and one figure a little off."""
    paper = extracted(built("belt-hatchet").files["belt-hatchet.pdf"])
    other = numbers(json.loads(built("carpenters-axe").files["plan.json"]))
    assert len(lacking(other, paper)) > 100
    cut = built("belt-hatchet").plan.cut_length
    assert lacking([cut], paper) == []
    assert lacking([cut + 0.013], paper) == [cut + 0.013]


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", profiles.shipped())
def test_two_pages_where_nothing_is_doubted(name: str, units: str) -> None:
    plan = blank.plan(profiles.load(name).design)
    pages = sheet.draw(plan, units)
    assert 2 <= len(pages) <= (2 if not plan.doubts else 3)
    for page in pages:
        assert page.bounds.width <= 186.0  # A4 upright, beside its furniture
        assert page.bounds.height <= 230.0  # letter


@pytest.mark.parametrize("name", NAMES)
def test_fraction_decimal_and_mm_are_one_figure(name: str) -> None:
    """The three columns of the marks: a 128th of an inch apart at most, as 64ths are printed."""
    found = card.card(blank.plan(profiles.load(name).design), "in")
    marks = next(each for each in found.front if each.title == "MARKS")
    assert isinstance(marks, card.Table)
    for row in marks.rows:
        whole, _, part = row[2].removesuffix(" in").rpartition(" ")
        over, _, under = part.partition("/")
        fraction = float(whole or 0) + float(over) / float(under or 1)
        assert fraction == pytest.approx(float(row[3]), abs=1.0 / 128.0 + 6e-4)
        assert float(row[3]) * 25.4 == pytest.approx(float(row[4]), abs=0.02)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", NAMES)
def test_markdown_tables_are_whole(name: str, units: str) -> None:
    """Each row has as many cells as its heading, whatever signs the smith's words have."""
    changes = ("order=for the bin | 2 off, *soon* <b>", "name=A|B `x`")
    text = card.as_markdown(card.card(blank.plan(profiles.load(name, changes).design), units))
    cells = [
        len(re.findall(r"(?<!\\)\|", line)) for line in text.splitlines() if line.startswith("|")
    ]
    assert cells
    for block in text.split("\n\n"):
        rows = [line for line in block.splitlines() if line.startswith("|")]
        assert len({len(re.findall(r"(?<!\\)\|", line)) for line in rows}) <= 1
    assert r"for the bin \| 2 off, \*soon\*" in text
    assert "STRAPS" in text.upper() or name == "small-wrap"


def test_the_order_stands_on_card_and_contents_if_there_is_one() -> None:
    words = "two for the north camp"
    profile = profiles.load("belt-hatchet", (f"order={words}",))
    made = build(profile, sheets=("contents", "card"), card="txt")
    assert extracted(made.files["belt-hatchet.pdf"]).count(words) == 2
    assert f"Order: {words}" in made.files["card.txt"].decode()
    other = blank.plan(profiles.load("camp-axe").design)
    assert "Order:" not in card.as_text(card.card(other, "in"))
