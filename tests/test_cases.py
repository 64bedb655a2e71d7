"""The cases that a run looks at leave no value of any axis out."""

from __future__ import annotations

from itertools import product

import pytest
from cases import FOLDED, dealt

from patterns import profiles
from patterns.parameters import FOLD_FORMS


def test_every_value_is_dealt(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("EYEWRAP_SOAK", raising=False)
    for rows, columns, each in ((13, 5, 2), (13, 12, 1), (4, 3, 3), (8, 6, 2)):
        found = dealt(range(rows), range(columns), each, whole=(1,))
        assert {a for a, _ in found} == set(range(rows))
        assert {b for a, b in found if a != 1} == set(range(columns))
        assert [b for a, b in found if a == 1] == list(range(columns))
        assert len(set(found)) == len(found) == (rows - 1) * each + columns
    monkeypatch.setenv("EYEWRAP_SOAK", "1")
    assert dealt(range(4), range(3), 1) == list(product(range(4), range(3)))


def test_there_is_a_head_of_each_fold() -> None:
    forms = [profiles.load(name).design.fold.form for name in FOLDED]
    assert sorted(forms) == sorted(FOLD_FORMS)
