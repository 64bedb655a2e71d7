"""Rules of the cutting processes: figures as their sources print them, and what holds for all.

Sources stand in the table beside each figure; the figures here were read there a second time, or
worked out by hand from what is printed. Where a test is of our own rule it says so.
"""

from __future__ import annotations

import dataclasses
import math
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

import patterns
from patterns.errors import BadInputError
from patterns.iso_9013 import deviation
from patterns.process_report import LABELS, amount
from patterns.processes import (
    FIGURES,
    Process,
    Rules,
    _origin,
    figures,
    find,
    gauge_origin,
    names,
    processes,
    read_thickness,
    rules,
    works,
    write_thickness,
)
from patterns.sources import Basis

ALL = processes()
INCH = 25.4


def named(name: str) -> Process:
    found = find(name)
    assert found is not None
    return found


def faults(name: str, thickness: float, **more: float) -> dict[str, str]:
    with pytest.raises(BadInputError) as caught:
        rules(name, thickness, **more)  # type: ignore[arg-type]
    return {fault.field: str(fault) for fault in caught.value.faults}


# As printed --------------------------------------------------------------------------------------


def test_plasma_at_three_sixteenths() -> None:
    """A part maker's table: hole and spacing 1.5 x thickness, corners 1 to 2, text 15 mm."""
    found = rules("plasma", 3 / 16 * INCH)
    assert found.hole == pytest.approx(7.14375)  # 1.5 x 4.7625
    assert found.web == found.edge == found.slot == found.hole
    assert found.inside_radius == 2.0
    assert found.letter >= 15.0
    assert found.spacing == 10.0  # 10 mm in a manual of layouts, 5 mm in the table
    assert found.lead == 6.0  # an article: for plasma 6 mm at least
    assert found.tolerance_class == 2
    assert found.deviation is None
    assert not found.marks
    # 1.5 mm at 3 mm, 3.5 mm at 40 mm: 1.5 + 2 x 1.7625 / 37
    assert found.kerf == pytest.approx(1.595270, abs=1e-6)


def test_plasma_in_thin_sheet_keeps_its_corners() -> None:
    """Corners of 2 mm leave no hole or slot under 4 mm, whatever 1.5 x 1 mm says."""
    found = rules("plasma", 1.0)
    assert found.hole == found.slot == 4.0


def test_laser_at_16_gauge() -> None:
    """A shop's reference: hole and slot the thickness, 1 mm at least, edge and web 1.5 of it."""
    found = rules("laser", read_thickness("16 ga"))
    assert found.hole == found.slot == pytest.approx(0.0598 * INCH)
    assert found.web == found.edge == pytest.approx(1.5 * 0.0598 * INCH)
    assert 0.005 * INCH <= found.kerf <= 0.015 * INCH
    assert found.tolerance_class == 1
    assert found.marks
    assert found.smallest_part == 20.0


def test_laser_in_thin_sheet_keeps_a_millimetre() -> None:
    assert rules("laser", 0.6).hole == 1.0


def test_plasma_and_laser_differ_in_the_same_sheet() -> None:
    thickness = 3 / 16 * INCH
    laser, plasma = rules("laser", thickness), rules("plasma", thickness)
    assert plasma.hole == pytest.approx(1.5 * laser.hole)
    assert plasma.kerf > 4 * laser.kerf
    assert plasma.feed < laser.feed


def test_waterjet() -> None:
    """0.03 and 0.04 in of kerf, 0.02 and 0.032 in of corner: the wider stands."""
    found = rules("waterjet", 6.35)
    assert found.kerf == pytest.approx(0.04 * INCH)
    assert found.inside_radius == pytest.approx(0.032 * INCH)
    assert found.hole == pytest.approx(3.175)  # half the thickness
    assert rules("waterjet", 1.5).hole == pytest.approx(2 * 0.04 * INCH)  # the jet rules
    assert rules("waterjet", 1.5, kerf=0.5).hole == pytest.approx(0.07 * INCH)  # then the guide
    assert found.tolerance_class is None
    assert found.deviation == pytest.approx(0.01 * INCH)
    assert not found.marks


def test_hand() -> None:
    found = rules("hand", 1.5)
    assert found.marks
    assert found.tolerance_class is None
    assert found.deviation == pytest.approx(INCH / 32)
    assert found.feed == pytest.approx(2.0 / 1.5)  # 2 mm2 of section a second


@pytest.mark.parametrize(
    ("name", "thickness", "mm_a_minute"),
    [
        ("plasma", 1.0, 10700.0),
        ("plasma", 0.5, 10700.0),  # no row is thinner
        ("plasma", 3.0, 3150.0),
        ("plasma", 6.0, 1050.0),
        ("plasma", 25.0, 40.0),
        ("laser", 1.0, 30000.0),
        ("laser", 6.0, 2300.0),
        ("laser", 20.0, 500.0),
        # between 4 mm (1900) and 6 mm (1050) a mm takes the mean time: 2 / (1/1900 + 1/1050)
        ("plasma", 5.0, 1352.5423728813),
    ],
)
def test_feeds(name: str, thickness: float, mm_a_minute: float) -> None:
    """A 40 A set's manual; a chart for lasers, 3 kW, the slower end of each range."""
    assert rules(name, thickness).feed * 60.0 == pytest.approx(mm_a_minute)


def test_the_scope_of_iso_9013_holds() -> None:
    """Abstract: plasma 0.5 to 150 mm, laser 0.5 to 32 mm. Ours stay within."""
    for name, thickest in (("plasma", 150.0), ("laser", 32.0)):
        least, most = named(name).limits
        assert least == 0.5
        assert most <= thickest


# What holds for all ------------------------------------------------------------------------------


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Rules, Rules]:
    """One process in a thinner and a thicker sheet."""
    process = draw(st.sampled_from(ALL))
    sheet = st.floats(*process.limits)
    thin, thick = sorted((draw(sheet), draw(sheet)))
    return rules(process.name, thin), rules(process.name, thick)


GROW = ("kerf", "hole", "slot", "inside_radius", "web", "edge", "spacing", "margin", "letter",
        "bridge", "pierce", "lead", "smallest_part")  # fmt: skip


@given(pairs())
def test_thicker_never_asks_for_less(pair: tuple[Rules, Rules]) -> None:
    thin, thick = pair
    for rule in GROW:
        assert getattr(thin, rule) <= getattr(thick, rule) + 1e-9, rule
    assert thin.feed >= thick.feed - 1e-12


@given(pairs())
def test_rules_agree_with_each_other(pair: tuple[Rules, Rules]) -> None:
    for found in pair:
        assert found.hole > found.kerf
        assert found.slot > found.kerf
        assert found.spacing > found.kerf
        assert found.margin > found.kerf
        assert found.inside_radius <= found.hole / 2.0
        assert found.letter >= 3.0 * found.slot + 2.0 * found.web - 1e-9
        assert found.bridge > 0.0
        assert found.feed > 0.0
        assert found.pierce > 0.0
        assert (found.tolerance_class is None) == (found.deviation is not None)
        numbers = [v for v in dataclasses.astuple(found) if isinstance(v, float)]
        assert all(math.isfinite(number) and number >= 0.0 for number in numbers)
        if found.tolerance_class is not None:
            for length in (50.0, 300.0, 1500.0):
                assert deviation(length, found.thickness, found.tolerance_class) is not None


@given(st.sampled_from(ALL), st.floats(0.0, 1.0), st.floats(0.05, 3.0))
def test_a_kerf_of_ones_own(process: Process, share: float, kerf: float) -> None:
    least, most = process.limits
    thickness = least + share * (most - least)
    found = rules(process.name, thickness, kerf=kerf)
    assert found.kerf == kerf
    if process.name != "hand":  # a saw's slot is made by drill and file
        assert found.hole >= 2.0 * kerf
        assert found.slot >= 2.0 * kerf
        assert found.inside_radius >= kerf / 2.0 - 1e-12
    usual = rules(process.name, thickness)
    if kerf >= usual.kerf:
        assert found.hole >= usual.hole


@given(st.sampled_from(ALL), st.floats(0.0, 1.0))
def test_what_rules_is_the_most_careful(process: Process, share: float) -> None:
    least, most = process.limits
    for figure in figures(process, least + share * (most - least)).values():
        values = [value for _, value in figure.asked]
        assert figure.value == (min(values) if figure.rule == "feed" else max(values))
        assert figure.ruling in [term for term, _ in figure.asked]


def test_every_process_answers_every_rule() -> None:
    optional = {"smallest_part", "deviation"}
    for process in ALL:
        assert set(FIGURES) - optional <= set(process.terms)
        assert ("deviation" in process.terms) == (process.tolerance_class is None)
    assert set(LABELS) == set(FIGURES)
    assert {field.name for field in dataclasses.fields(Rules)} == {
        *FIGURES, "process", "thickness", "marks", "tolerance_class"
    }  # fmt: skip


def test_every_figure_owns_up_to_its_source() -> None:
    sourced = {Basis.STANDARD, Basis.HANDBOOK, Basis.MEASURED, Basis.SECOND_HAND}
    cited = [gauge_origin()]
    for process in ALL:
        ends = [process.thinnest, process.thickest, process.marks_term, process.tolerance_term]
        cited += [term.origin for term in ends]
        cited += [term.origin for terms in process.terms.values() for term in terms]
    for origin in cited:
        assert (origin.work is not None) == (origin.basis in sourced), origin
        assert origin.work is None or origin.locator, origin
    assert {origin.work for origin in cited if origin.work} == set(works())


def test_the_table_lies_with_the_package() -> None:
    assert (resources.files(patterns) / "tables" / "processes.toml").is_file()


def test_a_figure_without_basis_is_refused() -> None:
    with pytest.raises(ValueError, match="neither work nor basis"):
        _origin({"length": "1 mm"})


# What is refused ---------------------------------------------------------------------------------


@pytest.mark.parametrize("thickness", [0.0, -1.5, math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("name", [*names(), "flame"])
def test_no_thickness(name: str, thickness: float) -> None:
    found = faults(name, thickness)
    assert "--thickness" in found
    assert ("--process" in found) == (name == "flame")


@pytest.mark.parametrize("process", ALL, ids=lambda p: p.name)
def test_beyond_the_reach(process: Process) -> None:
    least, most = process.limits
    for thickness in (math.nextafter(least, 0.0), most + 1e-6, 1e9):
        assert list(faults(process.name, thickness)) == ["--thickness"]
    for thickness in (least, most):
        assert rules(process.name, thickness).thickness == thickness


def test_the_message_says_who_cuts_it() -> None:
    said = faults("hand", 3 / 16 * INCH)["--thickness"]
    assert "3/16 in" in said
    assert "laser or plasma or waterjet" in said
    assert "none of the processes" in faults("laser", 100.0)["--thickness"]


def test_messages_are_in_the_users_units() -> None:
    with pytest.raises(BadInputError) as caught:
        rules("laser", 30.0, "mm")
    assert "30 mm" in str(caught.value)
    assert "25.0 mm" in str(caught.value)


def test_a_slip_of_the_pen_is_guessed() -> None:
    assert "did you mean plasma?" in faults("plasna", 3.0)["--process"]
    assert "laser, plasma, waterjet, hand" in faults("guillotine", 3.0)["--process"]


@pytest.mark.parametrize("kerf", [0.0, -1.0, math.nan, math.inf, 11.0])
def test_no_kerf(kerf: float) -> None:
    assert list(faults("laser", 3.0, kerf=kerf)) == ["--kerf"]


def test_every_fault_at_once() -> None:
    assert list(faults("flame", 0.0, kerf=-1.0)) == ["--process", "--thickness", "--kerf"]


# For people --------------------------------------------------------------------------------------


@given(st.floats(0.001, 500.0))
def test_a_least_size_is_never_shown_smaller(mm: float) -> None:
    imperial, metric = amount("hole", mm, "in").rstrip(")").split(" (")
    assert float(imperial.split()[0]) * INCH >= mm - 1e-5
    assert float(metric.split()[0]) >= mm - 1e-5
    assert float(metric.split()[0]) <= mm + 0.01 + 1e-5


@given(st.floats(0.01, 200.0))
def test_a_thickness_is_written_so_that_it_reads_back(mm: float) -> None:
    for units, step in (("in", 0.0001 * INCH), ("mm", 0.001)):
        shown = write_thickness(mm, units).split(", ")[-1]
        assert read_thickness(shown) == pytest.approx(mm, abs=0.51 * step + 1e-6)
