"""Anything within its own limits, in any company: a sound plan, or a message that says what to do.

The keys are drawn from the schema, each anywhere within what it allows by itself. Most such tables
are no head at all; so some start from a head of each fold that can be forged and change a few keys
of it, which leads to plans on the border of what is accepted.
"""

from __future__ import annotations

import copy
from collections import Counter
from typing import Any

import pytest
from designs import FOLDED, examples, written
from hypothesis import given
from hypothesis import strategies as st
from soundness import same, sound, told, worded

from patterns import blank, build, pages, profiles, templates
from patterns.errors import BadInputError
from patterns.parameters import specs
from patterns.schema import Spec
from patterns.sheets import SHEETS
from patterns.writers import dxf, svg

SPECS = dict(specs())
SHAPES = {name: written(raw) for name, raw in FOLDED.items()}


def put(raw: dict[str, Any], key: str, value: Any) -> None:
    *groups, last = key.split(".")
    for group in groups:
        raw = raw.setdefault(group, {})
    if value is None:
        raw.pop(last, None)
    else:
        raw[last] = value


def within(spec: Spec) -> st.SearchStrategy[Any]:
    """Any value that the schema by itself allows."""
    low, high = spec.low, spec.high
    lengths = st.floats(low, high).map("{:.3f} mm".format)
    # limits that inches round to are themselves allowed; three places may pass them
    inside = lengths.map(lambda t: f"{min(max(float(t[:-3]), low), high)!r} mm")
    match spec.kind:
        case "length":
            return inside
        case "section":
            return st.lists(st.floats(low, high), min_size=2, max_size=2).map(
                lambda pair: f"{min(pair):.3f} x {max(pair):.3f} mm"
            )
        case "points":
            return st.lists(st.tuples(inside, inside).map(list), max_size=4)
        case "choice":
            return st.sampled_from(spec.choices)
        case "percent":
            return st.floats(low, high).map("{:.3f} %".format)
        case "count":
            return st.integers(int(low), int(high))
        case "text":
            return st.sampled_from(["Trial", "1084", "mild steel", "C15"])
    return st.floats(low, high)


VALUES = {key: within(spec) for key, spec in SPECS.items()}
CHANGES = st.lists(
    st.sampled_from(list(VALUES)).flatmap(
        lambda key: st.tuples(st.just(key), VALUES[key] | st.none())
    ),
    min_size=1, max_size=6,
)  # fmt: skip


def outcome(raw: dict[str, Any]) -> tuple[profiles.Profile, blank.ForgePlan] | None:
    """A sound plan, or None if the table is refused with every fault in full, in both units."""
    taken = []
    for units in ("mm", "in"):
        try:
            profile = profiles.read(raw, "trial", units)
            taken.append((profile, blank.plan(profile.design, units)))
        except BadInputError as error:
            told(error.faults)
    assert len(taken) in (0, 2)  # units are for words only
    if not taken:
        return None
    (profile, plan), (_, other) = taken
    sound(profile, plan, "mm")
    same(plan, other)
    worded(other, "in")
    return taken[0]


@examples(150)
@given(st.fixed_dictionaries({}, optional=VALUES))
def test_every_key_anywhere(values: dict[str, Any]) -> None:
    """Every key by itself allowed, all at random: hardly ever a head, never a crash."""
    raw: dict[str, Any] = {}
    for key, value in values.items():
        put(raw, key, value)
    outcome(raw)


@pytest.mark.parametrize("name", SHAPES)
def test_a_few_keys_anywhere(name: str) -> None:
    """A head of each fold with one to six keys anywhere; some are accepted and some are not."""
    seen: Counter[str] = Counter()

    @examples(80)
    @given(CHANGES)
    def run(changes: list[tuple[str, Any]]) -> None:
        raw = copy.deepcopy(SHAPES[name])
        for key, value in changes:
            put(raw, key, value)
        seen["sound" if outcome(raw) else "refused"] += 1

    run()
    assert seen["sound"] >= 10, seen
    assert seen["refused"] >= 10, seen


@pytest.mark.parametrize("name", SHAPES)
def test_drawn_in_full(name: str) -> None:
    """Sheets, page files and cutting files of odd heads: every one is written."""
    drawn = refused = 0

    @examples(5)
    @given(CHANGES)
    def run(changes: list[tuple[str, Any]]) -> None:
        nonlocal drawn, refused
        raw = copy.deepcopy(SHAPES[name])
        for key, value in changes:
            put(raw, key, value)
        found = outcome(raw)
        if found is None:
            return
        _, plan = found
        sheets = list(build.drawings(plan, "mm", build.NAMES))
        assert len(sheets) >= len(SHEETS)
        foot = build.legend(plan, "mm")
        for _, drawing in sheets:
            assert svg.write(pages.fitted(drawing, foot), drawing).startswith(b"<")
        found_parts = templates.templates(plan, templates.usual_way("mm"), templates.PATTERNS)
        refused += len(found_parts.refused)  # the command says so, and writes no such file
        for template in found_parts.made:
            assert dxf.write(template.drawing(), "mm")
        drawn += 1

    run()
    assert drawn > refused
