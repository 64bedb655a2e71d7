"""Temperatures: fixed points from outside, and what is shown never passes a limit."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.units import (
    NotATemperatureError,
    celsius,
    fahrenheit,
    read_temperature,
    temperature,
    temperature_at_least,
    temperature_at_most,
    temperatures,
)

HOT = st.floats(min_value=-50.0, max_value=1600.0)


def shown(text: str) -> list[float]:
    """Every temperature of ``1830 F (1000 C)``, in deg C."""
    parts = re.findall(r"(-?\d+) ([CF])", text)
    assert len(parts) == 2
    return [float(v) if unit == "C" else (float(v) - 32.0) / 1.8 for v, unit in parts]


@pytest.mark.parametrize(("f", "c"), [(32, 0), (212, 100), (-40, -40), (-459.67, -273.15)])
def test_fixed_points(f: float, c: float) -> None:
    """Ice, steam, the crossing of the two scales and absolute zero."""
    assert celsius(f) == pytest.approx(c, abs=1e-9)
    assert fahrenheit(c) == pytest.approx(f, abs=1e-9)
    assert read_temperature(f"{f} F") == pytest.approx(c, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    ["1000 C", "1000C", "1000 °C", "1000℃", "1000 deg C", "1000 degrees C", " 1000. celsius ",
     "1832 F", "1832 °F", "1832 deg. F", "1832 fahrenheit"],
)  # fmt: skip
def test_ways_to_write_it(text: str) -> None:
    assert read_temperature(text) == 1000.0


@pytest.mark.parametrize(
    "text",
    ["", "hot", "1000", "C", "1000 K", "1000 CF", "1e3 C", "10 00 C", "1000 C to 1100 C", "nan C",
     "-274 C", "-460 F", "1" * 400 + " C", "٣٠٠ C"],
)  # fmt: skip
def test_what_is_no_temperature_is_refused(text: str) -> None:
    with pytest.raises(NotATemperatureError) as error:
        read_temperature(text)
    assert "C" in str(error.value)
    assert isinstance(error.value, ValueError)


@given(HOT)
def test_nearest_is_within_half_a_step(value: float) -> None:
    c, f = sorted(shown(temperature(value)), key=lambda each: abs(each - value), reverse=True)
    assert abs(c - value) <= 2.5 + 1e-9
    assert abs(f - value) <= 2.5 + 1e-9


@given(HOT, st.sampled_from(["in", "mm"]))
def test_a_limit_is_never_passed(value: float, units: str) -> None:
    for each in shown(temperature_at_most(value, units)):
        assert value - 5.0 - 1e-5 <= each <= value + 1e-5
    for each in shown(temperature_at_least(value, units)):
        assert value - 1e-5 <= each <= value + 5.0 + 1e-5


@given(HOT, st.floats(min_value=2.0, max_value=400.0))
def test_a_range_stays_inside(low: float, width: float) -> None:
    parts = re.findall(r"(-?\d+) to (-?\d+) ([CF])", temperatures(low, low + width))
    assert len(parts) == 2
    for first, last, unit in parts:
        ends = [float(v) if unit == "C" else (float(v) - 32.0) / 1.8 for v in (first, last)]
        assert low - 1e-5 <= ends[0] < ends[1] <= low + width + 1e-5


def test_units_choose_which_stands_first() -> None:
    assert temperature(100.0, "in") == "210 F (100 C)"
    assert temperature(100.0, "mm") == "100 C (210 F)"
    assert temperatures(100.0, 200.0, "mm").startswith("100 to 200 C (")
