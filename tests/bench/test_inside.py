"""Times inside one process; only what was worked out is asserted, never a time.

Run it as ``python -m pytest tests/bench -q``. See README.md beside this.
"""

from __future__ import annotations

import bare
import pytest
from whole import PROFILE, count_svg, loaded_by_plan

from patterns.blank import plan
from patterns.build import build, sheet_svg
from patterns.profiles import load, shipped
from patterns.sheets import SHEETS

PROFILES = shipped()


@pytest.mark.parametrize("name", PROFILES)
def test_plan(benchmark, name):
    design = load(name).design
    assert benchmark(plan, design).cut_length > 0.0


@pytest.mark.parametrize("number", range(1, len(SHEETS) + 1))
@pytest.mark.parametrize("name", PROFILES)
def test_one_sheet(benchmark, name, number):
    forge = plan(load(name).design)
    assert benchmark(sheet_svg, forge, number, "in").startswith(b"<?xml")


@pytest.mark.parametrize("number", range(1, len(SHEETS) + 1))
def test_one_sheet_bare(benchmark, number, tmp_path):
    """As many paths and numbers by svgwrite alone: the same yardstick as in ``whole.py``."""
    file = tmp_path / "sheet.svg"
    file.write_bytes(sheet_svg(plan(load(PROFILE).design), number, "in"))
    assert benchmark(bare.svg, count_svg(file)).startswith(b"<svg")


@pytest.mark.parametrize("name", PROFILES)
def test_whole_set(benchmark, name):
    profile = load(name)
    built = benchmark.pedantic(build, (profile,), rounds=5, warmup_rounds=1)
    assert not built.missing


def test_plan_loads_no_library_of_a_writer():
    assert loaded_by_plan() == []
