"""Times inside one process; only what was worked out is asserted, never a time.

Run it as ``python -m pytest tests/bench -q -n 0``. See README.md beside this.
"""

from __future__ import annotations

import bare
import pytest
from whole import PROFILE, count_svg, loaded_by_plan

from patterns import derived, eye, forepart, pages
from patterns.blank import plan
from patterns.build import build, legend
from patterns.forecast import forecast
from patterns.profiles import load, shipped
from patterns.sensitivity import piece_of, sensitivity
from patterns.sheets import SHEETS
from patterns.writers import svg

PROFILES = shipped()


def forget() -> None:
    """What is kept between plans of one head."""
    for kept in (forepart.forepart, forepart.blade_part, eye.eye_form, derived.eye_size):
        kept.cache_clear()


@pytest.mark.parametrize("name", PROFILES)
def test_plan(benchmark, name):
    """A head that was not planned before."""
    design = load(name).design
    made = benchmark.pedantic(plan, (design,), setup=forget, rounds=200, warmup_rounds=5)
    assert made.cut_length > 0.0


@pytest.mark.parametrize("name", PROFILES)
def test_plan_for_another_bar(benchmark, name):
    """The same head again, as ``choose`` asks for it."""
    design = load(name).design
    assert benchmark(plan, design).cut_length > 0.0


@pytest.mark.parametrize("name", PROFILES)
def test_forecast(benchmark, name):
    """Five forms of eye at three walls."""
    told = piece_of(plan(load(name).design))
    assert benchmark(forecast, told).perimeter.mid > 0.0


@pytest.mark.parametrize("name", PROFILES)
def test_sensitivity(benchmark, name):
    forge = plan(load(name).design)
    assert len(benchmark(sensitivity, forge)) == 5


def sheet_svgs(forge, sheet):
    """One sheet's SVGs, as ``build`` makes them."""
    foot = legend(forge, "in")
    return [svg.write(pages.fitted(each, foot), each) for each in sheet.draw(forge, "in")]


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.NAME)
@pytest.mark.parametrize("name", PROFILES)
def test_one_sheet(benchmark, name, sheet):
    assert benchmark(sheet_svgs, plan(load(name).design), sheet)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.NAME)
def test_one_sheet_bare(benchmark, sheet, tmp_path):
    """As many paths and numbers by svgwrite alone: the same yardstick as in ``whole.py``."""
    file = tmp_path / "sheet.svg"
    file.write_bytes(sheet_svgs(plan(load(PROFILE).design), sheet)[0])
    assert benchmark(bare.svg, count_svg(file)).startswith(b"<svg")


@pytest.mark.parametrize("name", PROFILES)
def test_whole_set(benchmark, name):
    profile = load(name)
    built = benchmark.pedantic(build, (profile,), rounds=5, warmup_rounds=1)
    assert not built.missing


def test_plan_loads_no_library_of_a_writer():
    assert loaded_by_plan() == []
