"""``--finest``: the smith's mark in the command, on every sheet, and against ``predict``."""

from __future__ import annotations

import json
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from running import run

from patterns import blank, build, profiles, rounding, templates

FOLDED = ("belt-hatchet", "trade-hatchet", "kindling-hatchet", "small-wrap", "bow-tie-hatchet")
"""A shipped head of each fold: block, round, closed, one-sided, cheeks."""


@cache
def plan(name: str, finest: str, units: str = "in") -> dict[str, Any]:
    done = run("plan", name, "--finest", finest, "--units", units, "--json")
    assert done.code == 0, done.text
    found: dict[str, Any] = json.loads(done.out)
    return found


# The option --------------------------------------------------------------------------------------


@pytest.mark.parametrize("finest", ["1/16", "1/32", "1/64", "mm", "fine"])
def test_the_option_is_short_for_a_key(finest: str) -> None:
    one = run("plan", "belt-hatchet", "--finest", finest)
    other = run("plan", "belt-hatchet", "--set", f"hand.finest={finest}")
    assert one.code == other.code == 0
    assert one.out == other.out
    assert ("Rounded" in one.out) == (finest != "fine")


def test_it_comes_after_every_set() -> None:
    both = run("plan", "belt-hatchet", "--finest", " MM ", "--set", "hand.finest=1/16")
    assert both.out == run("plan", "belt-hatchet", "--finest", "mm").out


@pytest.mark.parametrize("command", ["plan", "draw"])
@pytest.mark.parametrize("bad", ["1/8", "", "1/16 in", "0.5", "x" * 500])
def test_a_bad_mark_names_the_option(command: str, bad: str, tmp_path: Path) -> None:
    more = ("--to", tmp_path / "out") if command == "draw" else ()
    done = run(command, "belt-hatchet", "--finest", bad, *more, "--set", "wall.thickness=9 in")
    assert done.code == 2
    assert "--finest" in done.err
    assert "one of fine, 1/64, 1/32, 1/16, mm" in done.err
    assert "wall.thickness" in done.err  # with every other fault
    assert "hand.finest" not in done.err
    assert not (tmp_path / "out").exists()


# The files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FOLDED)
def test_the_exact_figures_stay(name: str) -> None:
    exact = plan(name, "fine")
    for finest in ("1/16", "mm"):
        found = plan(name, finest)
        for key in exact.keys() - {"rounded", "revision", "parameters", "doubts"}:
            assert found[key] == exact[key], key
        assert found["revision"] != exact["revision"]
        assert found["rounded"]["finest"] == finest
        figures = found["rounded"]["figures"]
        assert figures["cut"]["exact"] == found["bar"]["cut_length"]
        assert figures["dividers"]["exact"] == found["strap"]["divider_setting"]


def test_what_is_not_told_is_what_is_printed_now() -> None:
    """To 1/64 in, each figure on its own; the file is the same in either unit."""
    found = plan("belt-hatchet", "fine")["rounded"]
    assert found == plan("belt-hatchet", "fine", "mm")["rounded"]
    assert found["step"] == pytest.approx(25.4 / 64)
    for figure in found["figures"].values():
        assert abs(figure["rounded"] - figure["exact"]) <= found["step"] * 0.5000001


@pytest.mark.parametrize("finest", ["1/16", "1/64", "mm", "fine"])
@pytest.mark.parametrize("name", profiles.shipped())
def test_predict_agrees(name: str, finest: str, tmp_path: Path) -> None:
    """The piece of the plan, with the rounded figures put in, through ``predict``.

    The wall is thinned or thickened until the strap that predict finds by volume is as long as the
    dividers are set.
    """
    found = plan(name, finest)
    figures = {key: figure["rounded"] for key, figure in found["rounded"]["figures"].items()}
    raw = tomllib.loads(run("plan", name, "--piece").out)
    file = tmp_path / "piece.toml"

    def told(raw: dict[str, Any]) -> dict[str, Any]:
        lines = []
        for key, value in raw.items():
            if not isinstance(value, dict):
                lines.append(f"{key} = {json.dumps(value)}")
        for key, value in raw.items():
            if isinstance(value, dict):
                lines += [f"[{key}]", *(f"{k} = {json.dumps(v)}" for k, v in value.items())]
        file.write_text("\n".join(lines) + "\n", encoding="utf-8")
        done = run("predict", file, "--json")
        assert done.code == 0, done.text
        answer: dict[str, Any] = json.loads(done.out)
        return answer

    def mm(text: str) -> float:
        return float(text.removesuffix(" mm"))

    before = told(raw)
    wall, places = mm(raw["strap"]["wall"]), 2.0
    if found["marks"]["datum"] == "end of the body":
        places = 1.0
        raw["marks"]["shoulders"] = f"{figures['end'] - figures['shoulder_mark']:.9f} mm"
    else:
        raw["marks"]["poll"] = f"{2.0 * figures.get('poll_mark', 0.0):.9f} mm"
        raw["marks"]["shoulders"] = f"{2.0 * figures['shoulder_mark']:.9f} mm"
    raw["bar"]["length"] = f"{places * figures['end']:.9f} mm"
    if found["bit"]:
        stock, plate = found["bit"], found["plate"]
        long = figures["bit"]
        if plate:
            area = stock["stock_thickness"] * stock["stock_width"]
            long += figures["plate"] * plate["stock_thickness"] * plate["stock_width"] / area
        raw["bit"]["length"] = f"{long:.9f} mm"
    lap, lap_bar = figures.get("lap", 0.0), 0.0
    if lap:
        lap_bar = mm(raw["fold"]["lap_bar"]) * lap / mm(raw["fold"]["lap"])
        raw["fold"]["lap"] = f"{lap:.9f} mm"
    undrawn = found["spread"]["verdict"].startswith("cut to its width")
    now, first = wall, wall
    for _ in range(1 if undrawn else 25):
        raw["strap"]["wall"] = f"{now:.12f} mm"
        if lap:
            raw["fold"]["lap_bar"] = f"{lap_bar * now / first:.12f} mm"
        after = told(raw)
        by = (after["strap"]["divider"] - lap) / (figures["dividers"] - lap)
        if abs(by - 1.0) < 1e-9:
            break
        now *= by
    left = found["rounded"]["residue"]
    was, then = before["eye"], after["eye"]
    by = then["perimeter"]["mid"] - was["perimeter"]["mid"]
    assert left["eye"]["perimeter"] == pytest.approx(by, abs=2e-5)
    for key in ("length", "width"):
        assert left["eye"][key] == pytest.approx(then[key] - was[key], abs=2e-5), key
    by = after["head"]["mass"]["mid"] - before["head"]["mass"]["mid"]
    assert left["mass"] == pytest.approx(by, abs=2e-5)


def test_a_coarse_mark_is_doubted_and_a_finer_one_is_not(tmp_path: Path) -> None:
    for finest, wanted in (("1/16", True), ("1/64", False)):
        done = run("draw", "trade-hatchet", "--finest", finest, "--to", tmp_path / finest[2:])
        assert done.code == 0
        written = json.loads((tmp_path / finest[2:] / "plan.json").read_text())
        by = written["rounded"]["residue"]["eye"]["perimeter"]
        assert (abs(by) > 25.4 / 16) == wanted  # the margin that the README tells
        assert ("hand.finest: rounded to" in done.out) == wanted
        assert ("hand.finest" in [each["field"] for each in written["doubts"]]) == wanted
        words = "smaller" if by < 0.0 else "larger"
        assert f"in) {words}" in " ".join(done.out.split()) or not wanted


def test_the_dividers_of_even_are_those_of_the_sheet() -> None:
    """1 3/4 in on the sheet of 1/16: two straps of that are right, and 1.733 in is short of it."""
    sizes = ("--left", "1 3/4 in", "--right", "1 3/4 in", "--within", "0.1 mm", "--json")
    done = run("even", "belt-hatchet", "--set", "hand.finest=1/16", *sizes)
    assert json.loads(done.out)["wanted"] == pytest.approx(1.75 * 25.4)
    done = run("even", "belt-hatchet", *sizes)
    assert json.loads(done.out)["wanted"] < 1.74 * 25.4


# The sheets --------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("finest", ["fine", "1/16", "mm"])
@pytest.mark.parametrize("name", FOLDED)
def test_one_figure_for_one_thing(name: str, finest: str, units: str) -> None:
    """Every sheet that tells cut, marks or dividers tells the same figure."""
    forge = blank.plan(profiles.load(name, [f"hand.finest={finest}"]).design, units)
    drawn = {drawing.name: drawing for _, drawing in build.drawings(forge, units)}
    pattern = templates.blank_part(forge, templates.usual_way(units))
    said = {key: [label.text for label in drawing.labels] for key, drawing in drawn.items()}
    said["letters"] = [label.text for label in pattern.labels]
    said["foot"] = [build.legend(forge, units).recipe]

    def hits(sheet: str, pattern: str) -> list[str]:
        found = [m[1] for text in said[sheet] for m in re.finditer(pattern, text)]
        return [figure.strip() for figure in found]

    size = r"((?:\d+ )?\d+(?:[./]\d+)? (?:in|mm))"
    cut = rounding.hit(forge, "cut", units)
    for sheet in ("blank", "letters", "foot"):
        found = hits(sheet, rf"cut +{size}")
        assert set(found) == {cut}, sheet
    for mark, key in (("S", "shoulders"), ("P", "poll")):
        if (key == "poll" and not forge.poll) or forge.fold.halves == 1:
            continue
        wanted = {rounding.hit(forge, key, units)}
        assert set(hits("blank", rf"^{mark} +{size}")) == wanted
        assert set(hits("letters", rf"^{mark} +{size}")) == wanted
    if forge.fold.halves == 1:
        body = {rounding.hit(forge, "shoulder mark", units)}
        assert set(hits("blank", rf"^body +{size}")) == body
        assert set(hits("letters", rf"^body +{size}")) == body
    step = rounding.hit(forge, "dividers", units)
    strap = "side" if forge.fold.waisted else forge.fold.strap
    assert set(hits("straps", rf"^DIVIDERS +{size}")) == {step}
    assert set(hits("straps", rf"^{strap} +{size}")) == {step}
    assert set(hits("letters", rf"^{strap} +{size}")) == {step}
    number = step.removesuffix(f" {units}")
    assert number in said["log"]
    assert cut.removesuffix(f" {units}") in said["log"]
    if forge.bit is not None:
        wide = rounding.hit(forge, "bit", units)
        assert wide in said["bit"]
        assert set(hits("bit", rf"^BIT .*cut +{size}")) == {wide}
    text = " ".join(said["blank"]), " ".join(said["straps"])
    assert all(("The lines are exact" in each) == (finest != "fine") for each in text)
