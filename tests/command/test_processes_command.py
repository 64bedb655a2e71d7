"""``eyewrap processes``: the list, the comparison, one sheet, JSON, and what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from running import run, shell

from patterns.processes import names, processes, rules

NAMES = names()


def good(*arguments: str) -> str:
    result = run("processes", *arguments)
    assert result.code == 0, result.text
    assert result.err == ""
    assert all(line.isprintable() for line in result.out.splitlines())
    if "--json" not in arguments:
        assert all(len(line) <= 100 for line in result.out.splitlines())
    return result.out


def refused(*arguments: str) -> list[str]:
    """Fields at fault."""
    result = run("processes", *arguments)
    assert result.code == 2
    assert result.out == ""
    assert "Traceback" not in result.err
    assert all(line.isprintable() for line in result.err.splitlines())
    return re.findall(r"^  (\S.*?): given ", result.err, re.M)


def row(out: str, name: str) -> list[str]:
    (line,) = [line for line in out.splitlines() if line.startswith(f"{name} ")]
    return re.split(r"\s{2,}", line)


def test_the_list() -> None:
    out = good()
    for name in NAMES:
        assert row(out, name)
    assert "class 2" in row(out, "plasma")
    assert "class of ISO 9013" in out
    assert row(good("--units", "mm"), "laser")[1] == "0.5 mm to 25.0 mm"


def test_compared_in_one_sheet() -> None:
    """16 ga is 0.0598 in: the laser's hole; 1.5 x that is its web, 0.0897, shown no smaller."""
    out = good("--thickness", "16 ga")
    assert out.startswith("Sheet of 16 ga, 0.0598 in;")
    assert row(out, "laser")[1:4] == ["0.060", "0.060", "0.090"]
    assert "Not cut by" not in out
    assert "Not cut by hand." in good("--thickness", "3/16 in")


def test_plasma_at_three_sixteenths() -> None:
    """1.5 x 3/16 in = 0.28125 in = 7.14375 mm, rounded up."""
    out = good("plasma", "--thickness", "3/16 in")
    assert "smallest hole, across  0.282 in (7.15 mm): 1.5 x thickness [" in out
    assert "cannot mark, only cut through" in out
    assert "class 2 of ISO 9013" in out
    # 4.7625 mm thick, 35 to 125 mm: 0.9 mm; 125 to 315 mm: 1.1 mm
    metric = good("plasma", "--thickness", "3/16 in", "--units", "mm")
    assert re.search(r"35 to under 125 mm +± 0\.90 mm", metric)
    assert re.search(r"125 to under 315 mm +± 1\.10 mm", metric)
    assert "from memory, not verified" in out


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", NAMES)
def test_every_sheet(name: str, units: str) -> None:
    out = good(name, "--thickness", "16 ga", "--units", units)
    assert out.startswith(f"{name}: ")
    cited = {int(each) for each in re.findall(r"\[(\d+)\]", out.split("\nSources\n")[0])}
    listed = [int(each) for each in re.findall(r"^  \[(\d+)\]", out.split("\nSources\n")[1], re.M)]
    assert listed == sorted(cited) == list(range(1, len(listed) + 1))
    for word in ("kerf", "smallest hole", "marks", "tolerance", "Cautions", "Gauge:"):
        assert word in out


@pytest.mark.parametrize("name", NAMES)
def test_cautions(name: str) -> None:
    out = " ".join(good(name, "--thickness", "2 mm").split())
    for word in ("Who cuts for you decides", "sharp", "eye protection", "fumes", "local codes"):
        assert word in out
    assert ("edge of bit steel hardens" in out) == (name in ("laser", "plasma"))
    assert ("grind back" in out) == (name in ("laser", "plasma"))


def test_gauge_is_named_only_where_it_is_one() -> None:
    assert "Gauge:" not in good("laser", "--thickness", "1.5 mm")


def test_a_kerf_of_ones_own() -> None:
    """Twice 3 mm is more than 1.5 x 2 mm."""
    out = good("plasma", "--thickness", "2 mm", "--kerf", "3 mm", "--units", "mm")
    assert "kerf                   3.00 mm" in out
    assert "smallest hole, across  6.00 mm" in out
    assert "as given" in out


def every_number(found: Any) -> list[float]:
    if isinstance(found, dict):
        return [number for each in found.values() for number in every_number(each)]
    if isinstance(found, list):
        return [number for each in found for number in every_number(each)]
    return [found] if isinstance(found, (int, float)) and not isinstance(found, bool) else []


def test_json_of_one_is_what_the_rules_are() -> None:
    found = json.loads(good("plasma", "--thickness", "3/16 in", "--json"))
    expected = rules("plasma", 4.7625)
    assert found["thickness"] == 4.7625
    for rule, figure in found["rules"].items():
        assert figure["value"] == pytest.approx(getattr(expected, rule), rel=1e-12)
        assert [each["rules"] for each in figure["asked"]].count(True) == 1
        for each in figure["asked"]:
            assert each["source"]["basis"]
            assert each["rule"]
    assert found["marks"]["value"] is False
    assert found["tolerance"]["class"] == 2
    bands = {each["from"]: each["deviation"] for each in found["tolerance"]["limit_deviations"]}
    assert bands[125.0] == 1.1
    assert found["cautions"]
    assert all(0.0 <= number <= 12000.0 for number in every_number(found))


def test_json_of_all() -> None:
    every = json.loads(good("--json"))
    assert [each["name"] for each in every] == list(NAMES)
    able = json.loads(good("--thickness", "3/16 in", "--json"))
    assert [each["name"] for each in able] == ["laser", "plasma", "waterjet"]
    for each in able:
        assert json.loads(good(each["name"], "--thickness", "3/16 in", "--json")) == each


def test_units_do_not_change_the_json() -> None:
    asked = ("hand", "--thickness", "2 mm", "--json")
    assert good(*asked, "--units", "mm") == good(*asked)


@pytest.mark.parametrize(
    ("arguments", "fields"),
    [
        (("flame", "--thickness", "3 mm"), ["NAME"]),
        (("", "--thickness", "3 mm"), ["NAME"]),
        (("x" * 500, "--thickness", "3 mm"), ["NAME"]),
        (("plasma\x1b[31m", "--thickness", "3 mm"), ["NAME"]),
        (("flame",), ["NAME"]),
        (("plasma",), ["--thickness"]),
        (("plasma", "--thickness", ""), ["--thickness"]),
        (("plasma", "--thickness", "3"), ["--thickness"]),
        (("plasma", "--thickness", "0 mm"), ["--thickness"]),
        (("plasma", "--thickness", "0 ga"), ["--thickness"]),
        (("plasma", "--thickness", "99 ga"), ["--thickness"]),
        (("plasma", "--thickness=-3 mm"), ["--thickness"]),
        (("plasma", "--thickness", "nan"), ["--thickness"]),
        (("plasma", "--thickness", "nan mm"), ["--thickness"]),
        (("plasma", "--thickness", "1/0 in"), ["--thickness"]),
        (("plasma", "--thickness", "9" * 40 + " mm"), ["--thickness"]),
        (("plasma", "--thickness", "30 mm"), ["--thickness"]),
        (("hand", "--thickness", "3/16 in"), ["--thickness"]),
        (("--thickness", "0 mm"), ["--thickness"]),
        (("--thickness", "1 m"), ["--thickness"]),
        (("--thickness", "100 mm"), ["--thickness"]),
        (("laser", "--thickness", "3 mm", "--kerf", "0 mm"), ["--kerf"]),
        (("laser", "--thickness", "3 mm", "--kerf", "wide"), ["--kerf"]),
        (("laser", "--thickness", "3 mm", "--kerf", ""), ["--kerf"]),
        (("laser", "--thickness", "3 mm", "--kerf", "1 in"), ["--kerf"]),
        (("--thickness", "3 mm", "--kerf", "1 mm"), ["--kerf"]),
        (("laser", "--thickness", "3 mm", "--units", "cm"), ["--units"]),
        (
            ("flame", "--thickness", "thin", "--kerf", "wide", "--units", "cm"),
            ["--units", "--thickness", "--kerf", "NAME"],
        ),
        (("flame", "--thickness", "0 mm", "--kerf", "1 in"), ["NAME", "--thickness", "--kerf"]),
    ],
)
def test_refused(arguments: tuple[str, ...], fields: list[str]) -> None:
    assert refused(*arguments) == fields


def test_what_is_given_stands_as_it_was_written() -> None:
    said = run("processes", "hand", "--thickness", "7 ga").err
    assert "given '7 ga'" in said
    assert "laser or plasma or waterjet" in said


@settings(max_examples=60)
@given(st.text(max_size=20), st.text(max_size=12), st.text(max_size=8))
def test_any_text_is_answered(name: str, thickness: str, kerf: str) -> None:
    result = run("processes", f"--thickness={thickness}", f"--kerf={kerf}", "--", name)
    assert result.code in (0, 2)
    assert "Traceback" not in result.text


@settings(max_examples=60)
@given(st.sampled_from(processes()), st.integers(0, 400), st.sampled_from(["mm", "in"]))
def test_any_thickness_is_answered(process: Any, tenths: int, units: str) -> None:
    result = run("processes", process.name, "--thickness", f"{tenths / 10} mm", "--units", units)
    assert result.code == (0 if process.cuts(tenths / 10) else 2)


def test_in_its_own_process(tmp_path: Path) -> None:
    result = shell("processes", "laser", "--thickness", "16 ga", cwd=tmp_path)
    assert result.code == 0
    assert result.out == good("laser", "--thickness", "16 ga")
    assert list(tmp_path.iterdir()) == []
