"""Which cases of a large matrix a run looks at.

EYEWRAP_SOAK asks for every case there is, as it asks ``designs.examples`` for more designs.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Any

FOLDED = ("belt-hatchet", "tomahawk", "kindling-hatchet", "small-wrap", "bow-tie-hatchet")
"""A shipped head of each fold."""


def soaked() -> bool:
    """Whether every case is asked for."""
    return int(os.environ.get("EYEWRAP_SOAK", "0")) > 0


def dealt(
    first: Sequence[Any], second: Sequence[Any], each: int, whole: Sequence[Any] = ()
) -> list[Any]:
    """Every value of the first axis with ``each`` values of the second, dealt round in turn.

    Values of the first that stand in ``whole`` have all values of the second.

    >>> dealt("abc", [1, 2, 3], 2, whole="c")
    [('a', 1), ('a', 2), ('b', 3), ('b', 1), ('c', 1), ('c', 2), ('c', 3)]
    """
    assert each * len(first) >= len(second)
    each = len(second) if soaked() else min(each, len(second))
    found, at = [], 0
    for one in first:
        if one in whole:
            found += [(one, other) for other in second]
        else:
            found += [(one, second[(at + i) % len(second)]) for i in range(each)]
            at += each
    return found
