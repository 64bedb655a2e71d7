"""One thing has one figure: with the smith's mark told, no sheet shows a finer one beside it."""

from __future__ import annotations

import re
from functools import cache

import pytest

from patterns import blank, card, profiles, rounding
from patterns.blank import ForgePlan
from patterns.sheets import stages

CASES = [
    ("felling-axe", "1/16", "in"), ("belt-hatchet", "1/32", "in"), ("small-wrap", "1/16", "in"),
    ("tomahawk", "1/16", "in"), ("kindling-hatchet", "mm", "mm"), ("camp-axe", "mm", "in"),
]  # fmt: skip
NAMES = {
    "cut": "bar long", "poll": "outer face: poll marks apart", "end": "centre line to each end",
    "shoulders": "inner face: shoulder marks apart", "over all": "over all",
}  # fmt: skip


@cache
def planned(name: str, finest: str) -> ForgePlan:
    return blank.plan(profiles.load(name, (f"hand.finest={finest}",)).design)


@pytest.mark.parametrize(("name", "finest", "units"), CASES)
def test_checks_read_as_the_marks_do(name: str, finest: str, units: str) -> None:
    """On the stages' sheets and on the card: the figures that the blank has."""
    plan = planned(name, finest)
    texts = [label.text for sheet in stages.draw(plan, units) for label in sheet.labels]
    rows = {row[0]: row[2] for row in card.card(plan, units).checks.rows if row[2]}
    found = 0
    for figure, check in NAMES.items():
        if check not in rows or figure not in rounding.figures(plan, units):
            continue
        shown = rounding.hit(plan, figure, units)
        assert rows[check] == shown.removesuffix(f" {units}")
        assert texts[texts.index(check) + 2] == rows[check]  # what, with, cold
        found += 1
    assert found >= 2
    dividers = rounding.hit(plan, "dividers", units)
    assert dividers in texts  # on the drawn straps


@pytest.mark.parametrize(("name", "finest"), [("felling-axe", 16), ("belt-hatchet", 32)])
def test_no_mark_is_finer_than_the_rule(name: str, finest: int) -> None:
    """Every fraction on the marked and the fullered bar, dimensions and cold checks."""
    plan = planned(name, f"1/{finest}")
    marked, *_ = stages.draw(plan, "in")
    said = [
        label.text for label in marked.labels if "±" not in label.text and "+" not in label.text
    ]
    parts = [int(under) for text in said for under in re.findall(r"\d/(\d+)(?: in)?$", text)]
    assert len(parts) >= 4
    assert max(parts) <= finest
    exact = blank.plan(profiles.load(name).design)
    finer = [label.text for label in stages.draw(exact, "in")[0].labels]
    assert any("/64" in text for text in finer)  # where no mark is told
