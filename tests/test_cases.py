"""The cases that a run looks at leave no pair of values out, and no value of any axis."""

from __future__ import annotations

from itertools import combinations, product

import pytest
from cases import FOLDED, dealt, paired

from patterns import profiles
from patterns.parameters import FOLD_FORMS


def lacking(cases: list[tuple], *axes: range) -> set[tuple]:
    """Pairs of values of two axes that stand in no case."""
    return {
        (i, j, a, b)
        for i, j in combinations(range(len(axes)), 2)
        for a, b in product(axes[i], axes[j])
        if not any(case[i] == a and case[j] == b for case in cases)
    }


@pytest.mark.parametrize("sizes", [(13, 8, 2), (13, 3, 2), (3, 13, 3), (2, 2, 2), (5, 4, 3)])
def test_every_pair_stands_in_some_case(
    sizes: tuple[int, int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("EYEWRAP_SOAK", raising=False)
    axes = [range(size) for size in sizes]
    found = paired(*axes)
    assert len(found) == sizes[0] * sizes[1]
    assert lacking(found, *axes) == set()
    assert lacking(found[1:], *axes)
    monkeypatch.setenv("EYEWRAP_SOAK", "1")
    assert sorted(paired(*axes)) == sorted(product(*axes))


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
