"""``eyewrap steels``: the table, the sheet of one steel, JSON, and what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from running import Result, run, shell

from patterns.steels import steels

NAMES = [steel.name for steel in steels()]


def good(*arguments: str) -> str:
    result = run("steels", *arguments)
    assert result.code == 0, result.text
    assert result.err == ""
    assert all(line.isprintable() for line in result.out.splitlines())
    if "--json" not in arguments:
        assert all(len(line) <= 100 for line in result.out.splitlines())
    return result.out


def refused(*arguments: str) -> list[str]:
    """Fields at fault."""
    result = run("steels", *arguments)
    assert result.code == 2
    assert result.out == ""
    assert "Traceback" not in result.err
    assert all(line.isprintable() for line in result.err.splitlines())
    return re.findall(r"^  (\S.*?): given ", result.err, re.M)


def test_the_table_has_every_steel() -> None:
    out = good()
    rows = {line[:14].strip() for line in out.splitlines()}
    assert set(NAMES) <= rows
    assert "deg F" in out
    assert "51 to 56 HRC" in out


def test_the_table_in_metric() -> None:
    """1080: forged from 1500 to 2150 F, that is 816 to 1177 deg C, each limit rounded inward."""
    (row,) = [line for line in good("--units", "mm").splitlines() if line.startswith("1080 ")]
    assert "820-1175" in row
    (row,) = [line for line in good().splitlines() if line.startswith("1080 ")]
    assert "1500-2150" in row


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", NAMES)
def test_every_sheet(name: str, units: str) -> None:
    out = good(name, "--units", units)
    assert out.startswith(f"{name}: ")
    for title in ("In working order", "Cautions", "Sources"):
        assert f"\n{title}\n" in out
    body, listed = out.split("\nSources\n")
    cited = set(re.findall(r"\[(\d+)\]", body))
    assert cited == set(re.findall(r"^  \[(\d+)\]", listed, re.M))  # none lost, none idle
    named = " ".join(listed.split())
    for origin in next(steel for steel in steels() if steel.name == name).origins():
        assert str(origin.work or origin.basis.value) in named
        assert origin.locator in named
    assert "data sheet of your own bar's maker rules" in " ".join(out.split())
    if "does not harden" not in out:
        assert "Quench oil flares" in out
        assert "test piece" in out


def test_steps_stand_in_working_order() -> None:
    out = good("1080")
    words = ("forge", "normalise", "anneal", "harden", "quench in", "as quenched", "temper")
    places = [out.index(f"\n  {word:<13}") for word in words]
    assert places == sorted(places)


def test_a_wanted_hardness_by_hand() -> None:
    """O1 to 55 to 57 HRC. The dealer's rows: 57 at 600 F, 53 at 700 F, so 600 to 650 F. The
    newsletter's middles: 59 at 500, 56 at 600, 53 at 700 F, so 567 to 633 F. Both: 600 to 633 F,
    shown in steps of 5 inside that.
    """
    out = good("O1", "--hrc", "55-57")
    assert re.search(r"^  a +600 to 650 F", out, re.M)
    assert re.search(r"^  b +570 to 630 F", out, re.M)
    assert re.search(r"^  all +600 to 630 F", out, re.M)
    assert good("O1", "--hrc", "56") == out  # one number is taken 1 HRC either way


@pytest.mark.parametrize("text", ["54-58", "54 - 58", "54 to 58", "54–58", "54-58 HRC", " 54-58 "])
def test_ways_to_write_a_hardness(text: str) -> None:
    assert "for 54 to 58 HRC" in good("5160", "--hrc", text)


def test_a_name_of_two_words_needs_no_quotes() -> None:
    assert good("mild", "steel") == good("mild steel") == good("A36")


def every_number(found: Any) -> list[float]:
    if isinstance(found, dict):
        return [n for value in found.values() for n in every_number(value)]
    if isinstance(found, list):
        return [n for value in found for n in every_number(value)]
    return [found] if isinstance(found, (int, float)) and not isinstance(found, bool) else []


def test_json_of_one() -> None:
    found = json.loads(good("1080", "--json", "--hrc", "58-60"))
    assert found["name"] == "1080"
    assert found["forge"][0]["most"] == pytest.approx((2150 - 32) / 1.8)
    assert found["forge"][0]["stop"] == pytest.approx((1500 - 32) / 1.8)
    assert found["quench"][0]["up_to"] == pytest.approx(6.35)  # 1/4 in
    assert found["anneal"][0]["kelvin_an_hour"] == pytest.approx(50 / 1.8)
    temper = found["temper"]
    assert temper["wanted"] == {"low": 58.0, "high": 60.0}
    assert temper["agreed"] is None
    # by hand, from the rows: 400 F 60.5, 450 F 57.5; and 260 C 59.5, 315.6 C 56.7
    assert temper["any"]["low"] == pytest.approx(204.444 + 27.778 * 0.5 / 3.0, abs=0.01)
    assert temper["any"]["high"] == pytest.approx(260.0 + 55.6 * 1.5 / 2.8, abs=0.01)
    assert {"work", "locator", "basis", "stand_in"} == set(temper["by_source"][0]["source"])
    assert found["warnings"]
    assert found["cautions"]


def test_json_of_all_is_the_same_as_of_one() -> None:
    every = json.loads(good("--json"))
    assert [each["name"] for each in every] == NAMES
    for each in every:
        assert json.loads(good(each["name"], "--json")) == each
        assert all(-1.0 <= number <= 1600.0 for number in every_number(each))


def test_units_do_not_change_the_json() -> None:
    assert good("L6", "--json", "--units", "mm") == good("L6", "--json")


@pytest.mark.parametrize(
    ("arguments", "fields"),
    [
        (("1048",), ["NAME"]),
        (("",), ["NAME"]),
        (("1084\x1b[31m",), ["NAME"]),
        (("x" * 500,), ["NAME"]),
        (("1084", "--hrc", "hard"), ["--hrc"]),
        (("1084", "--hrc", "58-54"), ["--hrc"]),
        (("1084", "--hrc", "10"), ["--hrc"]),
        (("1084", "--hrc", "90"), ["--hrc"]),
        (("1084", "--hrc", "٥٦"), ["--hrc"]),
        (("1084", "--hrc", ""), ["--hrc"]),
        (("--hrc", "nan"), ["--hrc"]),
        (("1080", "--hrc", "67-69"), ["--hrc"]),
        (("mild steel", "--hrc", "54"), ["--hrc"]),
        (("1084", "--units", "cm"), ["--units"]),
        (("1048", "--hrc", "hard", "--units", "cm"), ["--units", "--hrc", "NAME"]),
    ],
)
def test_refused(arguments: tuple[str, ...], fields: list[str]) -> None:
    assert refused(*arguments) == fields


def test_an_unknown_name_is_answered_with_what_is_known() -> None:
    said = run("steels", "1048").err
    assert "did you mean 1084" in said
    for name in NAMES:
        assert name in said


def test_what_is_not_reached_says_how_far_it_goes() -> None:
    """1080: its softest row is 27, its column begins at 65 HRC."""
    assert "27 to 65 HRC" in run("steels", "1080", "--hrc", "67-69").err


@settings(max_examples=60)
@given(st.text(max_size=30), st.text(max_size=12))
def test_any_text_is_answered(name: str, hrc: str) -> None:
    result: Result = run("steels", f"--hrc={hrc}", "--", name)
    assert result.code in (0, 2)
    assert "Traceback" not in result.text


def test_in_its_own_process(tmp_path: Path) -> None:
    result = shell("steels", "W1", "--hrc", "54-58", cwd=tmp_path)
    assert result.code == 0
    assert result.out == good("W1", "--hrc", "54-58")
    assert list(tmp_path.iterdir()) == []
