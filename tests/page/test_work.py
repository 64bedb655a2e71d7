"""What a job makes against what the command writes, byte for byte; and its faults, all at once."""

from __future__ import annotations

import json
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "command"))
from running import GOOD, run

from patterns import nest_files, nest_report, profiles, reading, texts
from patterns.errors import BadInputError
from patterns.nest_files import belongs
from patterns.page import work

# By hand: the body covers a bit of 4.2 mm from 4.2 / (2 tan 12.5 deg) = 9.5 mm behind the edge on,
# so one that is set 9 mm deep has nothing to weld to, and the work stops.
NO_WELD = {"bit.thickness": "4.2 mm", "bit.insertion": "9 mm", "bit.scarf": "3 mm"}


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def _no_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """No search is ended by the clock, so that both sides find one nest on any machine."""
    monkeypatch.setattr(nest_files, "SECONDS", 3000.0)
    monkeypatch.setattr(nest_files, "MOST_UNASKED", 3000.0)


def request(head: str, units: str = "in", printer: str | None = None, **options: Any) -> dict:
    given = texts.of_table(reading.toml_file(profiles.find(head)))
    return {"texts": given, "slug": head, "units": units, "options": options, "printer": printer}


def trial(**changed: str) -> dict:
    given = texts.of_table(tomllib.loads(GOOD)) | changed
    return {"texts": given, "slug": "trial", "units": "in", "options": {}}


def there(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def same(made: dict[str, bytes], folder: Path) -> None:
    written = there(folder)
    assert sorted(made) == sorted(written)
    assert [name for name in made if made[name] != written[name]] == []


# A set -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("head", "units", "options", "arguments"),
    [
        ("belt-hatchet", "in", {}, ()),
        ("small-wrap", "mm", {"paper": "a4", "card": "md", "date": True},
         ("--paper", "a4", "--card", "md", "--date")),
        ("bow-tie-hatchet", "mm", {"paper": "18 x 24 in", "sheets": "all"},
         ("--paper", "18 x 24 in", "--sheets", "all")),
        ("northern-axe", "in", {"paper": "Legal", "sheets": ["Card", "bit"], "card": "txt"},
         ("--paper", "Legal", "--sheets", "Card,bit", "--card", "txt")),
    ],
)  # fmt: skip
def test_a_set_is_that_of_the_command(
    here: Path, head: str, units: str, options: dict, arguments: tuple[str, ...]
) -> None:
    outcome = work.run(work.read("set", request(head, units, **options)), here)
    assert run("draw", head, "--units", units, *arguments, "--to", "set").code == 0
    same(outcome.files, here / "set")
    assert outcome.missing == ()
    assert outcome.notes == ()


def test_a_set_for_a_printer_that_was_measured(here: Path) -> None:
    told = ("--paper", "a4", "--level", "179.2 mm", "--upright", "269 mm", "--rising", "326 mm")
    assert run("printer", "shop laser", *told, "--file", "laser.toml").code == 0
    outcome = work.run(
        work.read("set", request("tomahawk", printer="laser.toml") | {
            "options": {"printer": True, "sheets": "blank"}}), here,
    )  # fmt: skip
    done = run("draw", "tomahawk", "--printer", "laser.toml", "--sheets", "blank", "--to", "set")
    assert done.code == 0, done.text
    same(outcome.files, here / "set")
    corrected, *doubts = outcome.notes
    assert "true size, and not for this printer" in corrected
    assert corrected in done.out
    assert doubts
    assert all(doubt in done.out for doubt in doubts)


def test_a_set_without_its_printer_is_not_corrected(here: Path) -> None:
    given = request("tomahawk", printer="nothing.toml", sheets="blank")
    outcome = work.run(work.read("set", given), here)
    assert run("draw", "tomahawk", "--sheets", "blank", "--to", "set").code == 0
    same(outcome.files, here / "set")


@pytest.mark.parametrize("sheets", ["everyday", "contents,blank,gauges,steel", "log"])
def test_the_steps_of_a_set_are_counted_to_the_end(here: Path, sheets: str) -> None:
    told: list[tuple[str, int, int | None]] = []
    order = work.read("set", request("belt-hatchet", sheets=sheets.split(",")))
    outcome = work.run(order, here, lambda *step: told.append(step))
    assert [done for _, done, _ in told] == list(range(len(told)))
    totals = {of for _, _, of in told}
    assert totals == {None, len(told)}  # not known until all is drawn, then right
    # drawn and written, each drawing twice; the contents are drawn from the others
    drawings = sum(name.endswith(".svg") for name in outcome.files)
    contents = "0-contents.svg" in outcome.files
    assert len(told) == 2 * drawings - contents + 2 * ("blank-in.dxf" in outcome.files) + 1


# Parts -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("head", "units", "options", "lost"),
    [
        ("belt-hatchet", "in", {}, 0),
        ("small-wrap", "mm", {"process": "waterjet", "thickness": "3 mm", "letters": "stencil"}, 1),
        ("small-wrap", "mm", {"thickness": "2 mm", "letters": "none"}, 0),
        ("belt-hatchet", "in", {"process": "Plasma", "thickness": "3/16 in"}, 1),
    ],
)
def test_parts_are_those_of_the_command(
    here: Path, head: str, units: str, options: dict[str, str], lost: int
) -> None:
    told: list[tuple[str, int, int | None]] = []
    order = work.read("parts", request(head, units, **options))
    outcome = work.run(order, here, lambda *step: told.append(step))
    said = [word for name, text in options.items() for word in (f"--{name}", text)]
    done = run("template", head, "--units", units, *said, "--to", "set")
    assert done.code == (1 if outcome.missing else 0)
    assert bool(outcome.missing) == bool(lost)
    same(outcome.files, here / "set")
    for name, why in outcome.missing:
        assert why.startswith(name)
        assert f"Not made: {why}" in done.err
    counts = [done for _, done, _ in told]
    assert counts == sorted(counts)
    assert {of for _, _, of in told} == {counts[-1] + 1}


# A nest ------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("_no_clock")
@pytest.mark.parametrize(
    ("units", "cut", "options", "arguments"),
    [
        ("in", {"process": "plasma", "thickness": "3/16 in"}, {"sheet": "14 x 10 in", "sets": 2},
         ("--stock", "sheet steel", "--sheet", "14 x 10 in")),
        ("mm", {"process": "laser", "thickness": "2 mm", "letters": "none"},
         {"sheet": "300 x 200 mm", "sets": 1, "turns": "half"},
         ("--stock", "sheet", "--sheet", "300 x 200 mm", "--turns", "half")),
        ("in", {"process": "waterjet", "thickness": "1/4 in"},
         {"sheet": "24 x 2 in", "sets": 3, "stock": "1084"},
         ("--stock", "1084", "--sheet", "24 x 2 in")),
    ],
)  # fmt: skip
def test_a_nest_is_that_of_the_commands(
    here: Path, units: str, cut: dict, options: dict, arguments: tuple[str, ...]
) -> None:
    (here / "work").mkdir()
    order = work.read("nest", request("belt-hatchet", units, **cut, **options))
    outcome = work.run(order, here / "work")
    said = [word for name, text in cut.items() for word in (f"--{name}", text)]
    first = run("template", "belt-hatchet", "--units", units, *said, "--to", "set")
    assert first.code == (1 if outcome.missing else 0), first.text
    done = run("nest", f"set={options['sets']}", "--units", units, *arguments, "--to", "nest")
    assert done.code == 0, done.text
    same(outcome.files, here / "nest")
    assert outcome.notes == ()
    placed = sum(len(s["placed"]) for s in json.loads(outcome.files["nest.json"])["sheets"])
    assert placed % options["sets"] == 0


def test_a_nest_that_the_clock_ended_says_so(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nest_files, "SECONDS", 1e-6)
    given = request("belt-hatchet", process="plasma", thickness="3/16 in", sheet="14 x 10 in")
    outcome = work.run(work.read("nest", given), here)
    assert outcome.notes == (nest_report.CUT_SHORT,)
    assert json.loads(outcome.files["nest.json"])["repeatable"] is False
    assert {name for name in outcome.files if not belongs(name)} == {"nest.json", "parts.json"}


@pytest.mark.parametrize(
    ("options", "field"),
    [
        ({"sheet": "4 x 1 in"}, "Template of the blank"),  # no part has room
        ({"sheet": "1/4 x 1/4 in"}, "margin"),
        ({"sheet": "24 x 12 in", "stock": "brass"}, "stock"),
        ({"sheet": "24 x 12 in", "stock": "1084", "process": "hand"}, "stock"),  # it is sawn
    ],
)
def test_what_shows_only_in_the_making_of_a_nest(here: Path, options: dict, field: str) -> None:
    order = work.read("nest", request("belt-hatchet", **options))
    with pytest.raises(BadInputError) as raised:
        work.run(order, here)
    fields = [fault.field.removeprefix("--") for fault in raised.value.faults]
    if field == "Template of the blank":
        assert len(fields) >= 2
        assert "head" in " ".join(fields).lower()
    else:
        assert fields == [field]


# Faults ------------------------------------------------------------------------------------------


def faults(kind: str, given: Any) -> list[str]:
    with pytest.raises(BadInputError) as raised:
        work.read(kind, given)
    return [fault.field for fault in raised.value.faults]


def test_every_fault_of_options_and_head_at_once() -> None:
    bad = {"eye.length": "long", "wall.thickness": ""}
    given = trial(**bad) | {
        "units": "ell", "options": {"paper": "a99", "sheets": "blank,hat", "card": "pdf",
                                    "date": "today", "printer": True, "ink": 1},
    }  # fmt: skip
    assert sorted(faults("set", given)) == sorted(
        ["units", "'ink'", "eye.length", "wall.thickness", "printer", "paper", "sheets", "card",
         "date"]
    )  # fmt: skip
    given["options"] = {"process": "teeth", "thickness": "thick", "letters": "big", "sheet": "wide",
                        "sets": 0, "turns": "odd"}  # fmt: skip
    assert sorted(faults("nest", given)) == sorted(
        ["units", "eye.length", "wall.thickness", "process", "thickness", "sheet", "sets", "turns"]
    )
    del given["options"]["process"], given["options"]["thickness"]
    assert "letters" in faults("nest", given)


def test_a_fault_of_the_printers_file_is_named(here: Path) -> None:
    (here / "bad.toml").write_text('[printer]\nname = "x"\n[level]\ndrawn = "7 in"\n')
    given = request("tomahawk", printer="bad.toml") | {"options": {"printer": True}}
    assert "printer, level.measured" in faults("set", given)


@pytest.mark.parametrize("kind", ["set", "parts", "nest"])
def test_a_plan_that_is_stopped_makes_nothing(kind: str) -> None:
    options = {"sheet": "24 x 12 in"} if kind == "nest" else {}
    assert work.read(kind, trial() | {"options": options})  # as it was, it goes
    assert faults(kind, trial(**NO_WELD) | {"options": options}) == ["bit"]


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"texts": None},
        {"texts": []},
        {"texts": {"name": 1}},
        {"texts": {}, "units": 3, "slug": 4, "options": 5},
        {"texts": {"name": "\0"}, "options": {"paper": 1e999, "sheets": [1], "date": []}},
        {"texts": {"a" * 999: "b" * 9999}, "units": None, "slug": "../../x"},
    ],
)
@pytest.mark.parametrize("kind", ["set", "parts", "nest"])
def test_nonsense_is_a_fault(kind: str, given: dict) -> None:
    found = faults(kind, given)
    assert found
    assert len(found) == len(set(found)) or "options" not in given


def test_an_unknown_kind_is_a_fault() -> None:
    assert faults("axe", trial()) == ["kind"]


@pytest.mark.parametrize("slug", ["../../etc/passwd", "/tmp/x", "..", "", None, "A b/c\\d"])
def test_a_name_is_no_path(here: Path, slug: str | None) -> None:
    order = work.read("set", trial() | {"slug": slug, "options": {"sheets": "log"}})
    outcome = work.run(order, here)
    assert all(Path(name).name == name for name in outcome.files)
    assert all(set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.") for name in outcome.files)
