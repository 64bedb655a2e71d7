"""What requests say: every kind of nonsense is a fault, told in words, and never an error."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.errors import BadInputError
from patterns.page.asked import LONGEST_TEXT, MOST_TEXTS, Asked

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=12,
)
KEYS = ("texts", "units", "grip", "name", "pieces", "options")


@given(st.dictionaries(st.sampled_from(KEYS), JSON))
def test_any_json_is_read_or_refused_in_words(said: dict[str, object]) -> None:
    asked = Asked(said)
    texts, units, grip = asked.texts(), asked.units(), asked.grip()
    name, pieces, options = (
        asked.text("name", ""),
        asked.tables("pieces", 5),
        asked.table("options"),
    )
    assert units in ("in", "mm")
    assert all(isinstance(text, str) for text in (*texts, *texts.values(), name))
    assert grip is None or all(abs(v) < float("inf") for v in grip[1:])
    assert isinstance(options, dict)
    assert all(isinstance(text, str) for piece in pieces for text in piece.values())
    if not asked.faults:
        assert said.get("texts") == texts
        return
    with pytest.raises(BadInputError) as error:
        asked.done()
    assert all(len(fault.given) <= 60 for fault in error.value.faults)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(body: bytes) -> None:
    try:
        Asked.of(body)
    except BadInputError:
        with pytest.raises((ValueError, AssertionError)):
            assert isinstance(json.loads(body, parse_constant=float.fromhex), dict)


@pytest.mark.parametrize(
    "body",
    [b"", b"null", b"[]", b"1", b'"text"', b"{", b"[" * 100_000, b'{"a":' * 50_000,
     b'{"x": NaN}', b'{"x": Infinity}', b'{"x": 1' + b"0" * 5000 + b"}", b"\xff\xfe", b"{'a': 1}"],
)  # fmt: skip
def test_no_json_object(body: bytes) -> None:
    with pytest.raises(BadInputError):
        Asked.of(body)


@pytest.mark.parametrize(
    "grip",
    [{}, [], 1, "toe", {"name": "toe"}, {"name": "toe", "x": "1", "y": 2},
     {"name": "toe", "x": True, "y": 2}, {"name": 1, "x": 1, "y": 2},
     {"name": "toe", "x": 1, "y": None}, {"name": "toe", "x": 10**400, "y": 2},
     {"name": "t" * 1000, "x": 1, "y": 2}],
)  # fmt: skip
def test_a_grip_that_is_none(grip: object) -> None:
    asked = Asked({"grip": grip})
    assert asked.grip() is None
    assert len(asked.faults) == 1


def test_too_much() -> None:
    many = Asked({"texts": {str(i): "" for i in range(MOST_TEXTS + 1)}})
    long = Asked({"texts": {"name": "n" * (LONGEST_TEXT + 1)}})
    just = Asked({"texts": {str(i): "n" * LONGEST_TEXT for i in range(MOST_TEXTS)}})
    for asked, faults in ((many, 1), (long, 1), (just, 0)):
        asked.texts()
        assert len(asked.faults) == faults
