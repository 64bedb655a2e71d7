"""``eyewrap predict`` and ``plan --piece`` as they are run."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from running import run, shell

from patterns.errors import BadInputError
from patterns.forecast import forecast, ways_to
from patterns.parameters import EYE_FORMS
from patterns.piece import read
from patterns.profiles import shipped

HATCHET = ("--bar", "1/2 x 1-1/2 x 8 in", "--poll", "1 in", "--shoulders", "4 in")
"""A published layout: joetheblacksmith.com, 1 in of poll, twice 1 1/2 in of strap, 1.5 lb."""


def predicted(*arguments: str | Path) -> dict[str, Any]:
    result = run("predict", *arguments, "--json")
    assert result.code == 0, result.text
    found: dict[str, Any] = json.loads(result.out)
    return found


def test_the_example_of_the_help() -> None:
    found = predicted(*HATCHET)
    eye, mass = found["eye"]["perimeter"], found["head"]["mass"]
    assert eye["low"] < eye["mid"] < eye["high"]
    assert mass["low"] < 680.4 < mass["high"]
    assert found["ears"]["height"] > 38.1
    assert set(found["eye"]["forms"]) == {"teardrop", "ellipse", "stadium", "circle",
                                          "superellipse"}  # fmt: skip
    assert any(handle["fits"] for handle in found["handles"])
    for handle in found["handles"]:
        assert handle["fits"] == (eye["low"] <= handle["perimeter"] <= eye["high"])


def test_units_of_what_is_told_do_not_matter() -> None:
    """8 in is 203.2 mm: the same piece in either spelling."""
    metric = ("--bar", "12.7 x 38.1 x 203.2 mm", "--poll", "25.4 mm", "--shoulders", "10.16 cm")
    one, other = predicted(*metric, "--units", "mm"), predicted(*HATCHET)
    for words in (one, other):  # what was assumed is said in the units asked for
        del words["assumed"]
    assert one == other


@pytest.mark.parametrize("name", shipped())
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_plan_and_back(name: str, units: str, tmp_path: Path) -> None:
    """The shipped heads, through the files and the commands: eye and mass to 1e-6."""
    plan = json.loads(run("plan", name, "--json", "--units", units).out)
    piece = run("plan", name, "--piece", "--units", units)
    assert piece.code == 0
    (tmp_path / "piece.toml").write_text(piece.out)
    found = predicted(tmp_path / "piece.toml", "--units", units)
    assert found["eye"]["perimeter"]["mid"] == pytest.approx(plan["eye"]["perimeter"], rel=1e-6)
    assert found["head"]["mass"]["mid"] == pytest.approx(plan["head"]["mass"], rel=1e-6)
    assert found["ears"]["mean_height"] == pytest.approx(plan["strap"]["mean_height"], rel=1e-6)


def test_what_is_wanted_is_told_three_ways() -> None:
    """Each way, put back in as an option, gives the eye that was wanted, 4 1/2 in round."""
    found = predicted(*HATCHET, "--want", "4 1/2 in")
    ways, strap = found["wanted"], found["strap"]
    wanted = 4.5 * 25.4
    width = f"{found['eye']['width']!r} mm"
    changes = (
        ("--drawn", f"{ways['divider']!r} mm", "--wall", f"{strap['wall']!r} mm"),
        ("--shoulders", f"{ways['shoulders']!r} mm", "--wall", f"{strap['wall']!r} mm"),
    )
    for change in changes:
        again = predicted(*HATCHET, "--width", width, *change)
        assert again["eye"]["perimeter"]["mid"] == pytest.approx(wanted, rel=1e-6)
    text = run("predict", *HATCHET, "--want", "4 1/2 in").out
    assert "Wanted" in text
    assert "dividers" in text


def test_the_text_names_handles_sizes_and_what_was_assumed() -> None:
    text = run("predict", *HATCHET).out
    for word in ("Piece", "Straps", "Ears", "Eye", "teardrop", "circle", "In reach", "Head",
                 "Assumed", "8 heats"):  # fmt: skip
        assert word in text
    assert "8 heats" not in run("predict", *HATCHET, "--heats", "5").out


def test_a_table_of_handles_of_ones_own(tmp_path: Path) -> None:
    table = tmp_path / "mine.csv"
    table.write_text("handle,form,length,width\nmine,teardrop,2 in,3/4 in\n")
    found = predicted(*HATCHET, "--handles", table)
    assert [handle["handle"] for handle in found["handles"]] == ["mine"]


def test_what_is_told_narrows_what_is_assumed(tmp_path: Path) -> None:
    piece = tmp_path / "piece.toml"
    piece.write_text(
        '[bar]\nsection = "1/2 x 1 1/2 in"\nlength = "8 in"\n'
        '[marks]\npoll = "1 in"\nshoulders = "4 in"\n'
        '[allowances]\nscale_per_heat = "2 %"\nheats = 10\n'
        '[finish]\ntaken = "5 %"\n[bit]\nstock = "1/4 x 1 in"\nlength = "2 in"\n'
    )
    mass = predicted(piece)["head"]["mass"]
    assert mass["low"] < mass["mid"] < mass["high"]  # second-hand, however surely it is told
    smith = tmp_path / "smith.toml"
    smith.write_text('[allowances]\nscale_per_heat = "2 %"\n')
    learnt = predicted(piece, "--smith", smith)["head"]["mass"]
    assert learnt["mid"] == pytest.approx(mass["mid"])
    assert mass["low"] < learnt["low"] < learnt["mid"] < learnt["high"] < mass["high"]
    # 6 cubic inches of bar at 0.98^10, half a cubic inch of bit at 0.98^5, less 5 %
    inch = 25.4**3 * 0.00785
    assert mass["mid"] == pytest.approx((6 * 0.98**10 + 0.5 * 0.98**5) * 0.95 * inch)
    other = predicted(piece, "--heats", "0", "--set", "finish.taken=0 %")["head"]["mass"]
    assert other["mid"] == pytest.approx((6 + 0.5 * 0.98**5) * inch)


# Bad input ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "fields"),
    [
        ((), ["--bar", "--poll", "--shoulders"]),
        (("--bar", "1/2 x 1 1/2 in"), ["--bar", "--poll", "--shoulders"]),
        (("--bar", "1/2 x 1 1/2 x 8"), ["--bar", "--poll", "--shoulders"]),
        ((*HATCHET, "--shoulders", "9 in"), ["--shoulders"]),
        ((*HATCHET, "--poll", "5 in"), ["--poll"]),
        ((*HATCHET, "--wall", "5/8 in"), ["--wall"]),
        ((*HATCHET, "--wall", "thin"), ["--wall"]),
        ((*HATCHET, "--heats", "-3"), ["--heats"]),
        ((*HATCHET, "--heats", "many"), ["--heats"]),
        ((*HATCHET, "--width", "5/8 in", "--ratio", "3"), ["--width"]),
        ((*HATCHET, "--form", "oval"), ["--form"]),
        ((*HATCHET, "--bit", "1/4 in"), ["--bit"]),
        ((*HATCHET, "--want", "round"), ["--want"]),
        ((*HATCHET, "--want", "-3 in"), ["--want"]),
        ((*HATCHET, "--want", "20 in"), ["--want"]),
        ((*HATCHET, "--ears", "8 in"), ["--ears"]),
        ((*HATCHET, "--drawn", "6 in", "--height", "3 in", "--wall", "1/4 in"), ["--drawn"]),
        ((*HATCHET, "--units", "cubits"), ["--units"]),
        ((*HATCHET, "--set", "hand.spread=9"), ["hand.spread"]),
        ((*HATCHET, "--set", "hand.sprad=1"), ["hand.sprad"]),
        ((*HATCHET, "--shoulders", "1 1/8 in"), ["--shoulders"]),
        ((*HATCHET, "--bar", "1 1/2 x 1/2 x 8 in"), ["--bar"]),
        (("--bar", "1/2 x 1 1/2 x 8 in", "--poll", "10 in", "--shoulders", "9 in", "--wall",
          "5/8 in", "--heats", "-1"), ["--poll", "--wall", "--heats", "--shoulders"]),
    ],
)  # fmt: skip
def test_every_fault_under_the_name_of_its_option(
    arguments: tuple[str, ...], fields: list[str]
) -> None:
    result = run("predict", *arguments)
    assert result.code == 2, result.text
    assert result.out == ""
    named = [
        line.strip().partition(": given")[0]
        for line in result.err.splitlines()
        if ": given " in line
    ]
    assert sorted(set(named)) == sorted(set(fields))
    assert "change:" in result.err


def test_faults_of_all_files_are_told_together(tmp_path: Path) -> None:
    table, piece = tmp_path / "mine.csv", tmp_path / "piece.toml"
    table.write_text("handle,form,length,width\nmine,teardrop,2,3/4 in\n")
    piece.write_text('[bar]\nsection = "1/2 x 1 1/2 in"\nlength = "8 in"\nlenght = "9 in"\n')
    result = run("predict", piece, "--handles", table, "--units", "ell")
    assert result.code == 2
    for field in ("--units", "handles row 2, length", "bar.lenght", "marks.poll"):
        assert f"{field}: given" in result.err


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--wall", "1/16 in"), "burn in welding"),
        (("--poll", "0 in"), "narrower than two walls"),
        (("--drawn", "5 1/2 in", "--wall", "1/4 in"), "look at strap, ears and wall again"),
    ],
)
def test_what_is_odd_is_doubted(more: tuple[str, ...], says: str) -> None:
    result = run("predict", *HATCHET, *more)
    assert result.code == 0
    assert "Doubt" in result.out
    assert says in " ".join(result.out.split())
    assert not predicted(*HATCHET)["doubts"]


def test_no_line_is_too_long_for_a_terminal() -> None:
    text = run("predict", *HATCHET, "--want", "4 1/2 in").out
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize("path", ["none.toml", ".", "x" * 300, "\0"])
def test_no_such_piece(path: str, tmp_path: Path) -> None:
    result = run("predict", tmp_path / path if path != "\0" else path)
    assert result.code == 2
    assert result.err.startswith("1 fault;")  # what it may have held is not asked for too
    assert "piece: given" in result.err


def test_in_a_process_of_its_own(tmp_path: Path) -> None:
    result = shell("predict", *HATCHET, cwd=tmp_path)
    assert result.code == 0
    assert "Traceback" not in result.err
    assert not list(tmp_path.iterdir())


# Anything that lies within the limits -------------------------------------------------------------

sizes = st.floats(3.0, 80.0)


@settings(max_examples=120, deadline=None, derandomize=True)
@given(
    st.tuples(sizes, sizes), st.floats(40.0, 600.0), st.floats(0.0, 80.0), st.floats(5.0, 300.0),
    st.none() | st.floats(1.5, 20.0), st.none() | st.floats(5.0, 150.0),
    st.none() | st.floats(5.0, 150.0), st.none() | st.floats(4.0, 60.0), st.sampled_from(EYE_FORMS),
    st.floats(0.3, 2.0),
)  # fmt: skip
def test_every_piece_is_told_or_refused(
    section: tuple[float, float], length: float, poll: float, shoulders: float,
    wall: float | None, ears: float | None, drawn: float | None, width: float | None, form: str,
    wanted: float,
) -> None:  # fmt: skip
    """An eye in good order, or a fault that says what to change; nothing else is raised."""
    told: dict[str, dict[str, str]] = {
        "bar": {"section": f"{section[0]:.3f} x {section[1]:.3f} mm", "length": f"{length:.3f} mm"},
        "marks": {"poll": f"{poll:.3f} mm", "shoulders": f"{shoulders:.3f} mm"},
        "strap": {}, "eye": {"form": form},
    }  # fmt: skip
    for group, key, value in (("strap", "wall", wall), ("strap", "ears", ears),
                              ("strap", "drawn", drawn), ("eye", "width", width)):  # fmt: skip
        if value is not None:
            told[group][key] = f"{value:.3f} mm"
    try:
        found = forecast(read(told))
        assert 0.0 < found.perimeter.low <= found.perimeter.mid <= found.perimeter.high
        assert 0.0 < found.mass.low <= found.mass.mid <= found.mass.high
        assert found.strap.ears >= found.strap.height or ears is not None
        ways = ways_to(found, wanted * found.perimeter.mid)
        assert ways.divider > 0.0
        assert ways.shoulders > found.piece.marks.poll
    except BadInputError as error:
        silent = [fault for fault in error.faults if not fault.change]
        if silent:
            pytest.fail(f"nothing to change: {silent}")
