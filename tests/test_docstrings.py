"""Docstrings of the laws say what the code takes, and every number owns up to its source."""

from __future__ import annotations

import dataclasses
import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from types import ModuleType
from typing import Any

import pytest

import patterns.forging
import patterns.sources
from patterns.sources import Basis, Constant, Work, cited

MODULES: list[ModuleType] = [patterns.sources] + [
    importlib.import_module(f"patterns.forging.{info.name}")
    for info in pkgutil.iter_modules(patterns.forging.__path__)
]


def own(module: ModuleType, kind: Callable[[Any], bool]) -> list[Any]:
    """Public members that the module itself defines."""
    return [
        item
        for name, item in inspect.getmembers(module, kind)
        if not name.startswith("_") and item.__module__ == module.__name__
    ]


FUNCTIONS = [item for module in MODULES for item in own(module, inspect.isfunction)]
RECORDS = [
    item
    for module in MODULES
    for item in own(module, inspect.isclass)
    if dataclasses.is_dataclass(item)
]


def section(doc: str, title: str) -> str:
    """Text of a numpydoc section, empty where there is none."""
    head = rf"^{title}\n-{{{len(title)}}}\n"
    found = re.search(head + r"(.*?)(?=^\S[^\n]*\n-{3,}\n|\Z)", doc, re.M | re.S)
    return found[1] if found else ""


def named(doc: str, title: str) -> list[str]:
    """Names that a section describes: ``a, b : float`` is two."""
    heads = [line for line in section(doc, title).splitlines() if re.match(r"\S", line)]
    return [name.strip() for head in heads for name in head.split(" : ")[0].split(",")]


def described(function: Callable[..., Any]) -> list[str]:
    return named(inspect.getdoc(function) or "", "Parameters")


def taken(function: Callable[..., Any]) -> list[str]:
    stars = {
        inspect.Parameter.VAR_KEYWORD: "**",
        inspect.Parameter.VAR_POSITIONAL: "*",
    }
    parameters = inspect.signature(function).parameters.values()
    return [stars.get(p.kind, "") + p.name for p in parameters]


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f"{f.__module__}.{f.__name__}")
def test_function(function: Callable[..., Any]) -> None:
    doc = inspect.getdoc(function) or ""
    assert described(function) == taken(function)
    first, *rest = doc.splitlines()
    assert first.endswith(".")
    assert rest[0] == ""
    assert doctest.DocTestParser().get_examples(section(doc, "Examples"))
    returns_something = inspect.signature(function).return_annotation not in ("None", None)
    assert bool(section(doc, "Returns")) == returns_something


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f"{f.__module__}.{f.__name__}")
def test_refusals_are_announced(function: Callable[..., Any]) -> None:
    if "raise ValueError" in inspect.getsource(function):
        assert "ValueError" in section(inspect.getdoc(function) or "", "Raises")


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: f"{r.__module__}.{r.__name__}")
def test_record(record: Any) -> None:
    fields = [field.name for field in dataclasses.fields(record)]
    assert named(inspect.getdoc(record) or "", "Attributes") == fields


def test_the_check_can_fail() -> None:
    def wrong(*, bite: float, width: float) -> float:
        """Do nothing.

        Parameters
        ----------
        bite : float
            Bite.

        Returns
        -------
        float
        """
        return bite * width

    def right(*, bite: float, width: float, **rest: float) -> None:
        """Do nothing.

        Parameters
        ----------
        bite, width : float
            Bite: width of contact.
        **rest : float
            Rest.
        """

    assert described(wrong) == ["bite"] != taken(wrong)
    assert described(right) == taken(right) == ["bite", "width", "**rest"]


def test_something_was_checked() -> None:
    names = {function.__name__ for function in FUNCTIONS}
    assert {"coefficient_of_spread", "wrapped_strap", "fraction_left", "elongation"} <= names
    assert {record.__name__ for record in RECORDS} >= {"Drawn", "Work", "Constant"}


# Sources -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("constant", cited(), ids=lambda c: c.name)
def test_every_number_owns_up(constant: Constant) -> None:
    assert constant.inside == constant.inside  # its unit is known and it is a number
    if constant.work is None:
        assert constant.basis in {Basis.COMMON_PRACTICE, Basis.DERIVED, Basis.FROM_MEMORY}
    else:
        assert isinstance(constant.work, Work)
        assert constant.locator
    if constant.basis is Basis.DERIVED:
        assert constant.note


def test_the_list_is_complete_and_has_no_doubles() -> None:
    everything = [v for v in vars(patterns.sources).values() if isinstance(v, Constant)]
    assert list(cited()) == everything
    assert len({c.name for c in cited()}) == len(cited()) > 30


@pytest.mark.parametrize(
    ("value", "unit", "inside"),
    [
        (15.0, "deg", 0.2617993878),  # pi / 12
        (1.5, "%", 0.015),
        (1.0, "cm2/s", 100.0),  # 10 mm x 10 mm
        (7850.0, "kg/m3", 0.00785),  # 7.85 g per cm3
        (3 / 16, "in", 4.7625),
    ],
)
def test_conversion_by_hand(value: float, unit: str, inside: float) -> None:
    constant = Constant("x", value, unit, None, "", Basis.COMMON_PRACTICE)
    assert constant.inside == pytest.approx(inside, rel=1e-9)


def test_unknown_unit_is_an_error() -> None:
    with pytest.raises(KeyError):
        _ = Constant("x", 1.0, "furlong", None, "", Basis.EXACT).inside
