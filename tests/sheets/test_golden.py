"""Golden pictures: every drawing of one head as it was when it was last looked at.

They guard against change only, and prove nothing: a picture that changed is to be looked at, and if
it is right, made anew by ``python tests/sheets/test_golden.py``.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from patterns import blank, pages, profiles, report
from patterns.build import NAMES, drawings
from patterns.contour import Contour
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.pages import Legend
from patterns.writers import pdf

FOLDER = Path(__file__).parent / "golden"
CHANGES = ("handle.form=curved", "order=two for the north camp")
DOTS = 50
"""Dots in an inch: half a millimetre, so that a line shows."""
GREY = 100
"""Of 255: two dots that differ by more are told apart, other versions of the renderer are not."""
SHARE = 4e-5
"""Of the dots that may differ."""


@cache
def drawn() -> dict[str, Drawing]:
    """The drawings without the revision's letters, which change with every version."""
    plan = blank.plan(profiles.load("belt-hatchet", CHANGES).design)
    letters = report.revision(plan.design)
    return {
        drawing.name: replace(
            drawing, labels=tuple(lb for lb in drawing.labels if letters not in lb.text)
        )
        for _, drawing in drawings(plan, "in", NAMES)
    }


def picture(drawing: Drawing) -> np.ndarray:
    page = pages.fitted(drawing, Legend("Golden", "no bar", "0"))
    page = replace(page, furniture=replace(page.furniture, labels=()))
    document = pypdfium2.PdfDocument(pdf.write([(drawing, [page])], "golden"))
    return np.asarray(document[0].render(scale=DOTS / 72.0).to_pil().convert("L"))


def differs(made: np.ndarray, kept: np.ndarray) -> bool:
    if made.shape != kept.shape:
        return True
    apart = np.abs(made.astype(int) - kept.astype(int)) > GREY
    return bool(apart.mean() > SHARE)


@pytest.mark.parametrize("name", sorted(path.stem for path in FOLDER.glob("*.png")))
def test_looks_as_it_did(name: str) -> None:
    kept = np.asarray(Image.open(FOLDER / f"{name}.png").convert("L"))
    assert not differs(picture(drawn()[name]), kept), "look at it; see the head of this file"


def test_every_drawing_has_its_picture() -> None:
    assert {path.stem for path in FOLDER.glob("*.png")} == set(drawn())


def test_a_change_is_seen() -> None:
    """A line of 10 mm more, or a word moved by 1 mm, is another picture."""
    sheet = drawn()["eye"]
    kept = picture(sheet)
    box = sheet.bounds
    line = Stroke(Contour.line((box.left + 5.0, box.top - 20.0), (box.left + 15.0, box.top - 20.0)),
                  Purpose.OUTLINE)  # fmt: skip
    assert differs(picture(replace(sheet, strokes=(*sheet.strokes, line))), kept)
    word, *rest = sheet.labels
    moved = replace(sheet, labels=(replace(word, x=word.x + 1.0), *rest))
    assert differs(picture(moved), kept)
    assert not differs(picture(sheet), kept)


if __name__ == "__main__":
    for old in FOLDER.glob("*.png"):
        old.unlink()
    for name, sheet in drawn().items():
        image = Image.fromarray(picture(sheet)).quantize(8)
        image.save(FOLDER / f"{name}.png", optimize=True)
