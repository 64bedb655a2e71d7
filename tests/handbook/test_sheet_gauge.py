"""The gauge of sheet steel against the weights that the law gives it.

Weights: 15 U.S.C. 206, ounces avoirdupois a square foot, 3 to 30. The Manufacturers' Standard
Gauge is that weight at 41.82 lb a square foot for each inch of thickness (dealers' tables; the
density in it, 501.84 lb a cubic foot, allows for sheets that are cut large and rolled full).
"""

from __future__ import annotations

import pytest

from patterns.processes import gauges, read_thickness, write_thickness
from patterns.units import NotALengthError

OUNCES = {
    3: 160, 4: 150, 5: 140, 6: 130, 7: 120, 8: 110, 9: 100, 10: 90, 11: 80, 12: 70, 13: 60, 14: 50,
    15: 45, 16: 40, 17: 36, 18: 32, 19: 28, 20: 24, 21: 22, 22: 20, 23: 18, 24: 16, 25: 14, 26: 12,
    27: 11, 28: 10, 29: 9, 30: 8,
}  # fmt: skip


@pytest.mark.parametrize(("number", "ounces"), OUNCES.items())
def test_thickness_is_the_weight_over_the_density(number: int, ounces: int) -> None:
    inches = ounces / 16 / 41.82
    assert gauges()[number] / 25.4 == pytest.approx(inches, abs=0.51e-4)  # printed to four places


def test_no_other_gauge() -> None:
    assert list(gauges()) == list(OUNCES)


@pytest.mark.parametrize(
    ("number", "printed"),
    [(3, 0.2391), (10, 0.1345), (11, 0.1196), (14, 0.0747), (16, 0.0598), (18, 0.0478),
     (20, 0.0359)],
)  # fmt: skip
def test_as_dealers_print_it(number: int, printed: float) -> None:
    assert read_thickness(f"{number} ga") == pytest.approx(printed * 25.4, abs=1e-9)


@pytest.mark.parametrize(
    "text", ["16 ga", "16ga", "16 gauge", "16 GAGE", " 16 ga. ", "016 ga", "１６ ga"]
)
def test_ways_to_write_it(text: str) -> None:
    assert read_thickness(text) == pytest.approx(1.51892, abs=1e-9)


@pytest.mark.parametrize("text", ["0 ga", "2 ga", "31 ga", "99 ga", "999 ga"])
def test_no_such_gauge(text: str) -> None:
    with pytest.raises(NotALengthError, match="3 to 30"):
        read_thickness(text)


@pytest.mark.parametrize(
    "text",
    ["", " ", "16", "ga", "-16 ga", "16.5 ga", "1/2 ga", "16 g", "1000 ga", "nan", "inf mm",
     "1e3 mm", "٣ ga", "16 ga 16 ga", "x" * 500, "16 ga\x1b[31m"],
)  # fmt: skip
def test_no_thickness(text: str) -> None:
    with pytest.raises(NotALengthError, match="16 ga"):
        read_thickness(text)


@pytest.mark.parametrize("number", OUNCES)
def test_a_gauge_is_named(number: int) -> None:
    thick = gauges()[number]
    for units in ("in", "mm"):
        name, figure = write_thickness(thick, units).split(", ")
        assert name == f"{number} ga"
        assert read_thickness(figure) == pytest.approx(thick, abs=0.6e-3)
    assert "ga" not in write_thickness(thick + 0.01)
