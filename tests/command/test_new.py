"""``eyewrap new``: the file that it writes, read back; wishes; faults, told at once."""

from __future__ import annotations

import dataclasses
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from running import GOOD, everything, run

from patterns import profiles, starting
from patterns.blank import plan
from patterns.parameters import Design, specs
from patterns.schema import group_type
from patterns.units import read_mass

SHIPPED = list(profiles.shipped())


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def nameless(design: Design) -> Design:
    return dataclasses.replace(design, name="", note="")


# The file ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", SHIPPED)
def test_a_copy_reads_back_as_the_same_design(here: Path, name: str, units: str) -> None:
    done = run("new", "Orchard axe", "--from", name, "--units", units)
    assert (done.code, done.err) == (0, "")
    assert list(everything(here)) == ["orchard-axe.toml"]
    was, now = profiles.load(name), profiles.load("orchard-axe.toml")
    assert nameless(now.design) == nameless(was.design)
    assert now.design.name == "Orchard axe"
    assert name in now.design.note
    assert now.given == was.given | {"note"}


@pytest.mark.parametrize("name", SHIPPED)
def test_every_key_stands_there_once_and_explained(here: Path, name: str) -> None:
    run("new", "Orchard axe", "--from", name)
    text = Path("orchard-axe.toml").read_text(encoding="utf-8")
    assert max(map(len, text.splitlines())) < 100
    group, found, before = "", [], ""
    for line in text.splitlines():
        if head := re.fullmatch(r"\[([\w.]+)\]", line):
            group = f"{head[1]}."
        elif key := re.match(r"#?(\w+) = ", line):
            found.append(f"{group}{key[1]}")
            assert before.startswith("# "), line
        before = line
    assert sorted(found) == sorted(key for key, _ in specs())
    for key, spec in specs():
        assert f"# {spec.label}: " in text, key


@pytest.mark.parametrize("name", SHIPPED)
def test_values_stand_as_their_author_spelt_them(here: Path, name: str) -> None:
    run("new", "Orchard axe", "--from", name)
    text = "".join(Path("orchard-axe.toml").read_text(encoding="utf-8").split())
    source = profiles.shipped()[name].read_text(encoding="utf-8").splitlines()
    told = [line for line in source if " = " in line and not line.startswith(("name", "note", "#"))]
    assert len(told) > 20
    for line in told:  # a long list is broken, with a comma at its end
        bare = "".join(line.split(" #")[0].split())
        assert bare in text or bare.replace("]]", "],]") in text, line


@pytest.mark.parametrize("name", SHIPPED)
def test_defaults_may_be_uncommented(here: Path, name: str) -> None:
    """All that have one: the design is the same. The others have dots, which are refused."""
    run("new", "Orchard axe", "--from", name)
    text = Path("orchard-axe.toml").read_text(encoding="utf-8")
    bare = re.sub(r"^#(\w+ = (?!\"?\.\.\.).*)$", r"\1", text, flags=re.M)
    assert bare != text
    Path("bare.toml").write_text(bare, encoding="utf-8")
    design = profiles.load("bare.toml").design
    assert design == profiles.load("orchard-axe.toml").design
    Path("dots.toml").write_text(text.replace('#thickness = "..."', 'thickness = "..."', 1))
    # the first that stands so: of the poll, or of the plate where the poll gives its own
    first = "plate" if design.poll.thickness is not None else "poll"
    assert f"{first}.thickness: given '...'" in run("plan", "dots.toml").err


def test_limits_are_in_the_units_asked_for(here: Path) -> None:
    run("new", "One", "--from", "camp-axe", "--units", "mm")
    run("new", "Two", "--from", "camp-axe")
    metric, imperial = Path("one.toml").read_text(), Path("two.toml").read_text()
    assert "12.0 mm to 100.0 mm" in metric
    assert "31/64 in to 3 59/64 in" in imperial
    assert profiles.load("one.toml").design.eye == profiles.load("two.toml").design.eye


@given(
    st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), max_size=90),
    st.lists(st.sampled_from(["a word", "\\", '"', "'''", '"""', "x" * 120, "  ", "\u00e9 "])),
)
def test_any_text_is_written_and_read_back(word: str, parts: list[str]) -> None:
    note = word + " ".join(parts)
    text = starting.text({"name": "x", "note": note, "bar": {"steel": word}})
    assert tomllib.loads(text)["note"] == note
    assert tomllib.loads(text)["bar"]["steel"] == word
    assert all(len(line) < 100 for line in text.splitlines())


def test_long_lists_are_broken(here: Path) -> None:
    pairs = [[f"{10 + i} mm", f"{20 - i / 10} mm"] for i in range(20)]
    text = starting.text({"blade": {"stations": pairs}})
    assert tomllib.loads(text)["blade"]["stations"] == pairs
    assert max(map(len, text.splitlines())) < 100


def test_changes_are_taken_in(here: Path) -> None:
    done = run("new", "Orchard axe", "--from", "belt-hatchet", "--set", "bit.steel=80CrV2",
               "--set", "eye.length=", "--set", "eye.width=", "--set", "eye.perimeter=4 1/4 in",
               "--set", "eye.ratio=2.6", "--set", "note=Mine")  # fmt: skip
    assert done.code == 0
    design = profiles.load("orchard-axe.toml").design
    assert (design.bit.steel, design.eye.ratio, design.note) == ("80CrV2", 2.6, "Mine")
    assert 'perimeter = "4 1/4 in"' in Path("orchard-axe.toml").read_text()


def test_a_file_of_ones_own_is_a_source_and_a_folder_is_made(here: Path) -> None:
    Path("Trial.toml").write_text(GOOD, encoding="utf-8")
    done = run("new", "Björn's axe", "--from", "Trial.toml", "--to", "axes/mine.toml")
    assert done.code == 0
    found = profiles.load("axes/mine.toml").design
    assert (found.name, found.note) == ("Björn's axe", "Started from trial.")
    assert "axes/mine.toml" in done.out
    assert run("plan", "axes/mine.toml").code == 0


# Wishes ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHIPPED)
def test_wishes_are_met_by_the_file(here: Path, name: str) -> None:
    before = plan(profiles.load(name).design).head
    done = run("new", "Heavier", "--from", name, "--mass", f"{before.mass * 1.25:.0f} g")
    assert done.code == 0
    head = plan(profiles.load("heavier.toml").design).head
    assert head.mass == pytest.approx(round(before.mass * 1.25), rel=1e-3)
    assert "wanted" in done.out
    assert f"got {head.mass:.1f} g" in done.out
    assert "resized: mass" in profiles.load("heavier.toml").design.note
    was = before.eye
    edge, length, width = before.edge_length * 1.1 / 25.4, was.length * 1.1, was.width * 1.05
    bare = was.length == was.width
    done = run("new", "Longer", "--from", name, "--edge", f"{edge:.2f} in", "--eye",
               f"{length:.1f} mm" if bare else f"{length:.1f} x {width:.1f} mm")  # fmt: skip
    assert done.code == 0
    design = profiles.load("longer.toml").design
    assert plan(design).head.edge_length == pytest.approx(round(edge, 2) * 25.4, abs=0.02)
    assert design.eye.length == round(length, 1)
    assert design.eye.width == (None if bare else round(width, 1))
    text = Path("longer.toml").read_text()
    assert f'\nlength = "{round(length, 1):g} mm"\n' in text
    assert profiles.load(name).design.handle == design.handle


def test_lengths_are_no_finer_than_a_caliper_reads(here: Path) -> None:
    for name, pattern in (("belt-hatchet", r"\d \d+/\d+|\d+/\d+|-?\d*\.?\d{0,3}(?!\d)"),
                          ("carving-axe", r"-?\d+(\.\d{1,2})?(?!\d)")):  # fmt: skip
        run("new", "Heavier", "--from", name, "--mass", "1 lb 13 oz", "--to", f"my-{name}.toml")
        text = Path(f"my-{name}.toml").read_text()
        lengths = re.findall(r'"([^"]*) (?:in|mm)"', "\n".join(
            line for line in text.splitlines() if not line.startswith("#")))  # fmt: skip
        assert len(lengths) > 20
        for figures in lengths:
            assert all(re.fullmatch(pattern, side) for side in figures.split(" x ")), figures


def test_doubts_are_told(here: Path) -> None:
    done = run("new", "Tiny", "--from", "belt-hatchet", "--mass", "8 oz")
    assert done.code == 0
    assert "Doubt      wall.thickness" in done.out
    assert "Bar        5/16 x 1 in, was 3/8 x 1 1/4 in" in done.out


def test_what_was_wanted_is_told_in_the_units_asked_for(here: Path) -> None:
    done = run("new", "Axe", "--from", "camp-axe", "--edge", "110 mm", "--units", "mm")
    assert re.search(r"Edge +wanted 110.00 mm, got (109.9[89]|110.0[012]) mm", done.out)


# Faults ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "fields"),
    [
        (["", "--from", "camp-axe"], ["NAME"]),
        (["x" * 61, "--from", "camp-axe"], ["NAME"]),
        (["a\nb", "--from", "camp-axe"], ["NAME"]),
        (["斧", "--from", "camp-axe"], ["NAME"]),
        (["Belt hatchet", "--from", "camp-axe"], ["NAME"]),
        (["Old", "--from", "camp-axe"], ["NAME"]),
        (["A", "--from", "camp-axe", "--to", "old.toml"], ["--to"]),
        (["A", "--from", "camp-axe", "--to", "folder.toml"], ["--to"]),
        (["A", "--from", "camp-axe", "--to", ""], ["--to"]),
        (["A", "--from", "camp-axe", "--to", "a.txt"], ["--to"]),
        (["A", "--from", "camp-axe", "--to", "old.toml/a.toml"], ["--to"]),
        (["A", "--from", "camp-axe", "--to", "a\0b.toml"], ["--to"]),
        (["A", "--from", "camp-ax"], ["--from"]),
        (["A", "--from", "old.toml"], ["--from"]),
        (["A", "--from", "camp-axe", "--units", "cm"], ["--units"]),
        (["A", "--from", "camp-axe", "--set", "name=B"], ["--set"]),
        (["A", "--from", "camp-axe", "--set", "wall.thickness=9 in"], ["wall.thickness"]),
        (["A", "--from", "camp-axe", "--mass", "2"], ["--mass"]),
        (["A", "--from", "camp-axe", "--mass", "0 g"], ["--mass"]),
        (["A", "--from", "camp-axe", "--mass", "-1 lb"], ["--mass"]),
        (["A", "--from", "camp-axe", "--mass", "30 kg"], ["--mass"]),
        (["A", "--from", "camp-axe", "--mass", "7.5 kg"], ["--mass"]),
        (["A", "--from", "camp-axe", "--mass", ""], ["--mass"]),
        (["A", "--from", "camp-axe", "--edge", "100"], ["--edge"]),
        (["A", "--from", "camp-axe", "--edge", "0 mm"], ["--edge"]),
        (["A", "--from", "camp-axe", "--edge", "-4 in"], ["--edge"]),
        (["A", "--from", "camp-axe", "--edge", "9 m"], ["--edge"]),
        (["A", "--from", "camp-axe", "--edge", "17 in"], ["--edge"]),
        (["A", "--from", "camp-axe", "--eye", "2 in"], ["--eye"]),
        (["A", "--from", "camp-axe", "--eye", "2 x 3/4"], ["--eye"]),
        (["A", "--from", "camp-axe", "--eye", "3/4 x 2 in"], ["--eye"]),
        (["A", "--from", "camp-axe", "--eye", "0 x 0 in"], ["--eye", "--eye"]),
        (["A", "--from", "camp-axe", "--mass", "2 lb", "--edge", "9 in"], ["--edge"]),
        (
            ["Old", "--from", "nothing", "--units", "cm", "--set", "name=B", "--mass", "30 kg",
             "--edge", "4", "--eye", "1 x 2 in"],
            ["--units", "--set", "NAME", "--from", "--edge", "--mass", "--eye"],
        ),
    ],
)  # fmt: skip
def test_faults_are_told_at_once_and_nothing_is_written(
    here: Path, arguments: list[str], fields: list[str]
) -> None:
    Path("old.toml").write_text("not [ toml", encoding="utf-8")
    Path("folder.toml").mkdir()
    before = everything(here)
    done = run("new", *arguments)
    assert (done.code, done.out) == (2, "")
    assert re.findall(r"^  (\S+): given", done.err, re.M) == fields
    assert done.err.count("allowed: ") == done.err.count("change:  ") == len(fields)
    assert everything(here) == before


def test_the_range_of_a_style_is_told(here: Path) -> None:
    done = run("new", "A", "--from", "camp-axe", "--mass", "17 lb")
    low, high = re.search(r"allowed: (.*?) \(.*? to (.*?) \(", done.err).groups()
    assert read_mass(low) < 1000 < read_mass(high) < 17 * 454
    assert run("new", "A", "--from", "camp-axe", "--mass", high).code == 0


def test_no_file_is_written_over(here: Path) -> None:
    assert run("new", "A", "--from", "camp-axe").code == 0
    before = everything(here)
    again = run("new", "A", "--from", "belt-hatchet")
    assert again.code == 2
    assert "nothing is written over" in again.err
    assert everything(here) == before


def test_a_group_that_the_schema_has_is_a_table_of_the_file() -> None:
    text = starting.text({"name": "x"})
    assert re.findall(r"^\[(\w+)\]$", text, re.M) == [
        entry.name for entry in dataclasses.fields(Design) if group_type(Design, entry.name)
    ]
