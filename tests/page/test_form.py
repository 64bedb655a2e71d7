"""The form has every key of the schema, once, with what a smith must know to fill it in."""

from __future__ import annotations

import dataclasses

import pytest

from patterns import reading
from patterns.page import form
from patterns.parameters import Design, specs
from patterns.schema import Spec, text_field


@pytest.mark.parametrize("units", ["in", "mm"])
def test_every_key_is_asked_for_once(units: str) -> None:
    asked = [field["key"] for group in form.head(units) for field in group["fields"]]
    assert sorted(asked) == sorted(key for key, _ in specs())


def test_what_is_new_in_the_schema_is_asked_for_by_itself() -> None:
    crest = text_field("Crest", 20, "a sign of the maker")
    made = dataclasses.make_dataclass("New", [("crest", str, crest)])
    (group,) = form.groups(made, (form.Group("known", "Known", ("eye",)),), "in")
    assert [field["key"] for field in group["fields"]] == ["crest"]


@pytest.mark.parametrize(("key", "spec"), list(specs()))
def test_a_field_says_all_in_plain_words(key: str, spec: Spec) -> None:
    for units in ("in", "mm"):
        field = form.field(key, spec, units)
        assert field["label"]
        assert field["limits"]
        assert '"' not in field["limits"], "quotes are for a file, not for a form"
        assert field["kind"] == spec.kind
        assert field["required"] == spec.required
        if field["default"]:  # what a form shows as the default can be typed into it
            raw: dict[str, object] = {}
            assert reading.put(Design, raw, key, field["default"], spec, units) is None
        if field["example"]:
            raw = {}
            assert reading.put(Design, raw, key, field["example"], spec, units) is None


def test_either_names_keys_of_the_schema_in_its_own_group() -> None:
    groups = {group["name"]: {f["key"] for f in group["fields"]} for group in form.head("in")}
    for each in form.EITHERS:
        keys = [key for way in each.ways for key in way.keys]
        assert len(keys) == len(set(keys))
        assert set(keys) <= groups[each.group]
