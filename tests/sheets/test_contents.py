"""The contents page: right page numbers, a map for each tiled sheet, nothing over anything."""

from __future__ import annotations

import re

import pytest
from test_overlaps import overlaps, planned

from patterns import contents, pages
from patterns.build import NAMES, drawings, legend

PROFILES = ("belt-hatchet", "carpenters-axe", "bow-tie-hatchet", "small-wrap")


@pytest.mark.parametrize("paper", ["letter", "a4", "tabloid"])
@pytest.mark.parametrize("name", PROFILES)
def test_contents(name: str, paper: str) -> None:
    units = "mm" if paper == "a4" else "in"
    plan = planned(name, ("order=for the kindling bin, with a cover",))
    foot = legend(plan, units)
    laid = [(each, pages.lay(each, foot, paper)) for _, each in drawings(plan, units, NAMES)]
    sheet = contents.draw(plan, units, laid)
    assert overlaps(sheet) == []
    front = pages.lay(sheet, foot, paper)
    assert len(front) == 1, "page numbers count the contents as one page"
    texts = [label.text for label in sheet.labels]
    # counted through by hand: every tiled drawing begins where the list says
    page = 2
    for drawing, its in laid:
        if its[0].tiled:
            span = f"{page} to {page + len(its) - 1}"
            at = texts.index(drawing.title)
            assert texts[at + 1] == span
            names = [t for t in texts[at + 2 : at + 2 + len(its)] if re.fullmatch(r"[A-Z]+\d+", t)]
            assert names == [tile.name for tile in its]
        page += len(its)
    ends = [int(t.split()[-1]) for t in texts if re.fullmatch(r"\d+( to \d+)?", t)]
    assert max(ends) == page - 1
    assert "Order: for the kindling bin, with a cover" in " ".join(texts)
