"""Nonsense of every kind: either all faults are told, or there is a plan of sound figures."""

from __future__ import annotations

import copy
import json
import math
import tomllib
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from running import GOOD, run

from patterns import profiles, report
from patterns.blank import ForgePlan, plan
from patterns.errors import BadInputError
from patterns.parameters import specs
from patterns.units import NotALengthError, length, read_length, read_section

BASE = tomllib.loads(GOOD)
SPECS = dict(specs())
KEYS = list(SPECS)
GROUPS = sorted({key.rpartition(".")[0] for key in KEYS} - {""})


def quick(count: int) -> settings:
    """The same ``count`` examples every time."""
    return settings(
        max_examples=count,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


scalars = st.one_of(
    st.text(max_size=20),
    st.text(alphabet='0123456789 ./-+xinmc"½²٣', max_size=12),
    st.integers(),
    st.integers(-(10**400), 10**400),
    st.floats(),
    st.booleans(),
    st.dates(),
    st.datetimes(),
    st.times(),
    st.sampled_from(["0 in", "-1 in", "1e9 in", "3 ft", "1/0 in", "nan", "inf in", "1 in x 2 in"]),
)
nonsense = st.recursive(
    scalars,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=8,
)


def put(raw: dict[str, Any], key: str, value: Any) -> None:
    *groups, last = key.split(".")
    for group in groups:
        raw = raw.setdefault(group, {})
        if not isinstance(raw, dict):
            return
    raw[last] = value


def remove(raw: dict[str, Any], key: str) -> None:
    *groups, last = key.split(".")
    for group in groups:
        raw = raw.get(group, {})
        if not isinstance(raw, dict):
            return
    raw.pop(last, None)


def found(raw: dict[str, Any], key: str) -> Any:
    here: Any = raw
    for part in key.split("."):
        here = here.get(part) if isinstance(here, dict) else None
    return here


def scaled(value: Any, factor: float) -> Any:
    """Every length in it, times a factor."""
    if isinstance(value, list):
        return [scaled(item, factor) for item in value]
    try:
        return f"{read_length(value) * factor:.4f} mm"
    except NotALengthError:
        thick, wide = read_section(value)
        return f"{thick * factor:.4f} x {wide * factor:.4f} mm"


LENGTHS = [k for k in KEYS if SPECS[k].kind in ("length", "section", "points") and found(BASE, k)]


def sound(raw: dict[str, Any], units: str = "in") -> bool:
    """Whether it was accepted; fails if it was neither refused in good order nor sound."""
    try:
        profile = profiles.read(raw, "fuzz", units)
        forge = plan(profile.design, units)
    except BadInputError as error:
        faults = error.faults
    else:
        in_order(profile, forge, units)
        return True
    assert faults
    for fault in faults:
        assert fault.field
        assert fault.given
        assert fault.allowed
        assert str(fault).isprintable()
        assert len(str(fault)) < 700
    return False


def in_order(profile: profiles.Profile, forge: ForgePlan, units: str) -> None:
    """Every figure is a number, every size is positive and every balance closes."""
    data = json.loads(report.as_json(profile, forge), parse_constant=pytest.fail)
    sizes = [
        data["bar"]["cut_length"], data["bar"]["mass"], data["marks"]["half_length"],
        data["strap"]["raw_length"], data["strap"]["divider_setting"], data["eye"]["perimeter"],
        data["eye"]["area"], data["eye"]["wall_thinnest"], data["head"]["mass"],
        data["head"]["length"], data["bit"]["cut_length"], data["bit"]["forged_depth"],
        *data["head"]["zones"].values(), *(stage["mass"] for stage in data["stages"]),
        *(zone["bar"] for zone in data["balance"]),
    ]  # fmt: skip
    assert min(sizes) > 0.0
    assert data["marks"]["shoulder_width"] > data["marks"]["poll_width"]
    for zone in data["balance"]:
        assert zone["bar"] == pytest.approx(zone["finished"] + zone["losses"], abs=1e-6)
        assert min(zone["scale"], zone["grinding"], zone["trimming"], zone["dressing"]) >= 0.0
    assert all(line.isprintable() for line in report.summary(forge, units))


@quick(250)
@given(st.dictionaries(st.sampled_from([*BASE, "x", "eye.length", ""]) | st.text(max_size=8),
                       nonsense, max_size=10))  # fmt: skip
def test_a_table_of_nonsense_is_refused(raw: dict[str, Any]) -> None:
    assert not sound(raw)


@quick(400)
@given(st.lists(st.tuples(st.sampled_from(KEYS + GROUPS), nonsense), min_size=1, max_size=4),
       st.sampled_from(["in", "mm"]))  # fmt: skip
def test_nonsense_in_a_good_profile(changes: list[tuple[str, Any]], units: str) -> None:
    raw = copy.deepcopy(BASE)
    for key, value in changes:
        put(raw, key, value)
    sound(raw, units)


@quick(100)
@given(st.sets(st.sampled_from([k for k in KEYS + GROUPS if found(BASE, k) is not None]),
               min_size=1, max_size=5), st.lists(st.text(max_size=8), max_size=3))  # fmt: skip
def test_keys_are_lacking_or_too_many(lacking: set[str], added: list[str]) -> None:
    raw = copy.deepcopy(BASE)
    for key in lacking:
        remove(raw, key)
    for key in added:
        put(raw, f"blade.x{key}", 1)
    accepted = sound(raw)
    wanted = {k for k in KEYS if SPECS[k].required and found(raw, k) is None}
    if wanted or added:
        assert not accepted


@quick(250)
@given(st.lists(st.tuples(st.sampled_from(LENGTHS),
                          st.floats(math.log(0.01), math.log(100)).map(math.exp)
                          | st.floats(0.7, 1.4)),
                min_size=1, max_size=4))  # fmt: skip
def test_lengths_out_of_proportion(changes: list[tuple[str, float]]) -> None:
    raw = copy.deepcopy(BASE)
    for key, factor in changes:
        put(raw, key, scaled(found(raw, key), factor))
    sound(raw)


def allowed(key: str) -> st.SearchStrategy[Any]:
    """Values that the schema by itself allows."""
    spec = SPECS[key]
    sizes = st.floats(max(spec.low, 0.5), min(spec.high, 120.0)).map("{:.2f} mm".format)
    match spec.kind:
        case "length":
            return st.floats(spec.low, spec.high).map("{:.3f} mm".format)
        case "section":
            return st.floats(spec.low, spec.high).map(lambda t: f"{t:.2f} x {spec.high:g} mm")
        case "points":
            return st.lists(st.tuples(sizes, sizes).map(list), max_size=4)
        case "choice":
            return st.sampled_from(spec.choices)
        case "percent":
            return st.floats(spec.low, spec.high).map("{:.2f} %".format)
        case "count":
            return st.integers(int(spec.low), int(spec.high))
        case "text":
            return st.text(max_size=20)
    return st.floats(spec.low, spec.high)


@quick(300)
@given(st.lists(st.sampled_from(KEYS).flatmap(lambda k: st.tuples(st.just(k), allowed(k))),
                min_size=1, max_size=3))  # fmt: skip
def test_allowed_values_in_odd_company(changes: list[tuple[str, Any]]) -> None:
    raw = copy.deepcopy(BASE)
    for key, value in changes:
        put(raw, key, value)
    sound(raw)


def test_the_fuzz_reaches_accepted_designs_too() -> None:
    raw = copy.deepcopy(BASE)
    assert sound(raw)
    for key in LENGTHS:
        put(raw, key, scaled(found(raw, key), 1.1))
    assert sound(raw)


@quick(150)
@given(
    st.lists(
        st.text(max_size=30)
        | st.builds("{}={}".format, st.sampled_from(KEYS), st.text(max_size=20))
        | st.builds(
            "{}={}".format,
            st.sampled_from(KEYS),
            st.floats(0.0, 200.0).map("{:.3f} mm".format) | st.integers(-5, 90).map(str),
        ),
        max_size=3,
    )
)
def test_changes_of_every_kind(changes: list[str]) -> None:
    options = [part for change in changes for part in ("--set", change)]
    # argparse itself refuses a value that looks like an option; it also ends with 2
    result = run("plan", "belt-hatchet", "--json", *options)
    assert result.code in (0, 1, 2)
    if result.code == 2:
        assert result.out == ""
        assert result.err
    else:
        assert result.err == ""
        json.loads(result.out, parse_constant=pytest.fail)


@quick(500)
@given(st.text(alphabet="0123456789 ./-+xinmc\"”″'½¼²٣⁄", max_size=14) | st.text(max_size=14))
def test_what_is_read_as_a_length_is_one(text: str) -> None:
    try:
        mm = read_length(text)
    except NotALengthError:
        return
    assert math.isfinite(mm)
    for units in ("in", "mm"):
        # written for people and read again it is the same, to half the finest mark
        assert read_length(length(mm, units)) == pytest.approx(mm, abs=25.4 / 128 + 1e-9)
