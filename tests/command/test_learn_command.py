"""``eyewrap learn`` as it is run: faults by row and column, the smith's file there and back."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from running import GOOD, ROOT, everything, run, shell

from patterns import smith
from patterns.errors import BadInputError
from patterns.logbook import MOST_ROWS
from patterns.profiles import shipped

EXAMPLE = ROOT / "output" / "examples" / "log.csv"

HEAD = "name,section,length,poll,shoulders,wall,ears,eye length,eye width,heats,mass in,mass out"
ROW = {
    "name": "one", "section": "1/2 x 1 1/2 in", "length": "8 in", "poll": "1 1/8 in",
    "shoulders": "4 in", "wall": "1/4 in", "ears": "2 3/8 in", "eye length": "2 in",
    "eye width": "5/8 in", "heats": "8", "mass in": "772 g", "mass out": "690 g",
}  # fmt: skip


def row(**cells: str) -> str:
    told = ROW | {name.replace("_", " "): text for name, text in cells.items()}
    return ",".join(told[name] for name in HEAD.split(","))


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "log.csv"


def write(path: Path, *rows: str, head: str = HEAD) -> Path:
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return path


# Bad input ---------------------------------------------------------------------------------------

FAULTS = {
    "text in a number's place": ({"heats": "eight"}, "log row 3, heats: given 'eight'"),
    "text in a length's place": ({"wall": "thin"}, "log row 3, wall: given 'thin'"),
    "a unit that changes": ({"wall": "6.4 mm"}, "log row 3, wall: given '6.4 mm'"),
    "no unit": ({"ears": "2 3/8"}, "log row 3, ears: given '2 3/8'"),
    "negative heats": ({"heats": "-1"}, "log row 3, heats: given '-1'"),
    "half a heat": ({"heats": "7.5"}, "log row 3, heats: given '7.5'"),
    "heavier after": ({"mass_out": "800 g"}, "log row 3, mass out: given 1 lb 12.2 oz (800 g)"),
    "marks outside the bar": ({"shoulders": "9 in"}, "log row 3, shoulders: given 9 in"),
    "poll wider than shoulders": ({"poll": "4 1/2 in"}, "log row 3, poll: given 4 1/2 in"),
    "wall as thick as the bar": ({"wall": "1/2 in"}, "log row 3, wall: given 1/2 in"),
    "ears of more than there is": ({"ears": "5 in"}, "log row 3, ears: given 5 in"),
    "eye wider than long": ({"eye_width": "2 1/4 in"}, "log row 3, eye width: given 2 1/4 in"),
    "section turned round": ({"section": "2 x 1/2 in"}, "log row 3, section: given 2 x 1/2 in"),
    "a bar of another weight": ({"mass_in": "1772 g"}, "log row 3, mass in: given 3 lb 14.5 oz"),
    "nothing where it must be": ({"poll": ""}, "log row 3, poll: given nothing"),
    "out of the limits": ({"length": "80 in"}, "log row 3, length: given '80 in'"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_named_by_row_and_column(fault: str, log: Path, tmp_path: Path) -> None:
    cells, said = FAULTS[fault]
    write(log, row(), row(**cells))
    before = everything(tmp_path)
    result = run("learn", log, "--smith", tmp_path / "me.toml")
    assert result.code == 2, result.text
    assert result.out == ""
    assert "1 fault; nothing was written." in result.err
    assert said in result.err
    assert "allowed: " in result.err
    assert everything(tmp_path) == before


def test_every_fault_of_a_log_at_once(log: Path) -> None:
    """All of the above in one log, each in a row of its own: none hides another."""
    result = run("learn", write(log, row(), *(row(**cells) for cells, _ in FAULTS.values())))
    assert result.code == 2
    assert f"{len(FAULTS)} faults" in result.err
    for number, (_, said) in enumerate(FAULTS.values(), 3):
        assert said.replace("row 3", f"row {number}") in result.err


def test_the_bit_counts_before_a_piece_is_too_heavy(log: Path) -> None:
    """772 g of bar and 54 g of bit cannot make 830 g, and can make 800 g."""
    head = HEAD + ",bit mass,bit heats"
    heavy = run("learn", write(log, row(mass_out="830 g") + ",54 g,5", head=head))
    assert heavy.code == 2
    assert "log row 2, mass out: given 1 lb 13.3 oz (830 g)" in heavy.err
    assert "bar and bit" in heavy.err
    assert run("learn", write(log, row(mass_out="800 g") + ",54 g,5", head=head)).code == 0


def test_an_eye_told_twice_must_agree(log: Path) -> None:
    head = HEAD + ",eye perimeter"
    result = run("learn", write(log, row() + ",6 in", head=head))
    assert result.code == 2
    assert "log row 2, eye perimeter: given 6 in" in result.err


def test_missing_and_unknown_columns(log: Path) -> None:
    result = run("learn", write(log, "one,1/4 in,1", head="name,wal,colour"))
    assert result.code == 2
    for said in ("a column section", "a column poll", "a column shoulders", "'wal'",
                 "did you mean wall?", "'colour'"):  # fmt: skip
        assert said in result.err


def test_headings_and_no_row(log: Path) -> None:
    result = run("learn", write(log))
    assert result.code == 2
    assert "at least one row" in result.err


def test_no_file_and_no_log(tmp_path: Path) -> None:
    missing = run("learn", tmp_path / "none.csv")
    assert (missing.code, "log: given" in missing.err) == (2, True)
    nothing = run("learn", "--units", "ells")
    assert nothing.code == 2
    assert "2 faults" in nothing.err
    assert "LOG: given nothing" in nothing.err


def test_a_hundred_thousand_rows_are_one_fault(log: Path) -> None:
    result = run("learn", write(log, *([row()] * 100_000)))
    assert result.code == 2
    assert "1 fault; nothing was written." in result.err
    assert "100,0" in result.err
    assert f"{MOST_ROWS:,}" in result.err


def test_one_row_helps(log: Path) -> None:
    result = run("learn", write(log, row()))
    assert result.code == 0
    assert "helped by 1 piece," in result.out


def test_a_piece_that_is_not_there_cannot_be_left_out(log: Path) -> None:
    result = run("learn", write(log, row()), "--without", "two")
    assert result.code == 2
    assert "--without: given 'two'" in result.err


def test_a_folder_that_cannot_be_written(log: Path, tmp_path: Path) -> None:
    """The smith's file below a file: the fault bears the option's name."""
    (tmp_path / "file").write_text("")
    result = run("learn", write(log, row()), "--smith", tmp_path / "file" / "me.toml")
    assert result.code == 2
    assert "--smith: given" in result.err


# What it says ------------------------------------------------------------------------------------


def test_the_example_in_its_own_process(tmp_path: Path) -> None:
    result = shell("learn", EXAMPLE, "--smith", "me.toml", cwd=tmp_path)
    assert (result.code, result.err) == (0, "")
    assert [path.name for path in tmp_path.iterdir()] == ["me.toml"]
    for said in ("Spread of the hand", "Scale per heat", "Wrap offset", "Weld loss",
                 "So         a strap like that of fourth: set the dividers to",
                 "settled by 4 pieces", "weigh a piece before the weld",
                 "Unused     first:"):  # fmt: skip
        assert said in result.out


def test_without_a_smith_file_nothing_is_written(tmp_path: Path) -> None:
    assert shell("learn", EXAMPLE, cwd=tmp_path).code == 0
    assert everything(tmp_path) == {}


def test_units_change_what_is_said_and_not_what_is_learnt(tmp_path: Path) -> None:
    inch, metric = (
        json.loads(run("learn", EXAMPLE, "--json", "--units", units).out) for units in ("in", "mm")
    )
    assert inch["factors"] == metric["factors"]
    said = run("learn", EXAMPLE, "--units", "mm").out
    wrap = metric["factors"]["hand.wrap"]["fitted"]["mid"]
    assert f"Wrap offset          0 -> +{wrap:.1f} mm" in said


def test_the_same_log_in_millimetres_and_grams(log: Path) -> None:
    """Rewritten from inches, to a thousandth: the same factors."""
    head = HEAD.replace("mass in,mass out", "mass in [g],mass out [g]")
    cells = {
        "section": "12.7 x 38.1 mm", "length": "203.2 mm", "poll": "28.575 mm",
        "shoulders": "101.6 mm", "wall": "6.35 mm", "ears": "60.325 mm", "eye_length": "50.8 mm",
        "eye_width": "15.875 mm", "mass_in": "772", "mass_out": "690",
    }  # fmt: skip
    first = json.loads(run("learn", write(log, row()), "--json").out)["factors"]
    second = json.loads(run("learn", write(log, row(**cells), head=head), "--json").out)["factors"]
    for key, factor in first.items():
        assert second[key]["fitted"] == pytest.approx(factor["fitted"], rel=1e-6, abs=1e-9)


def test_leaving_out_a_piece_by_name_and_by_row(log: Path) -> None:
    write(log, row(), row(name="two", ears="2 5/8 in"))
    whole, name, line = (
        json.loads(run("learn", log, "--json", *more).out)["factors"]["hand.spread"]["fitted"]
        for more in ((), ("--without", "two"), ("--without", "row 3"))
    )
    assert name == line != whole


def test_a_blank_log_can_be_filled_in(tmp_path: Path) -> None:
    blank = tmp_path / "blank.csv"
    assert run("learn", "--blank", blank, "--units", "mm").code == 0
    heads = blank.read_text().strip().split(",")
    values = {"section [mm]": "12.7 x 38.1", "poll [mm]": "28", "shoulders [mm]": "100",
              "wall [mm]": "6.35", "ears [mm]": "60"}  # fmt: skip
    assert set(values) <= set(heads)
    with blank.open("a") as file:
        file.write(",".join(values.get(head, "") for head in heads) + "\n")
    assert "1 with ears" in run("learn", blank).out
    again = run("learn", "--blank", blank)
    assert (again.code, "no log is written over" in again.err) == (2, True)


# The smith's file --------------------------------------------------------------------------------


@pytest.fixture
def me(tmp_path: Path) -> Path:
    path = tmp_path / "me.toml"
    assert run("learn", EXAMPLE, "--smith", path).code == 0
    return path


def test_the_file_reads_back_as_it_was_written(me: Path) -> None:
    found = smith.load(me)
    assert smith.as_toml(found) == me.read_text(encoding="utf-8")
    learnt = json.loads(run("learn", EXAMPLE, "--json").out)["factors"]
    near = 1e-9  # nine figures behind the point are written
    assert found.hand.spread == pytest.approx(learnt["hand.spread"]["fitted"]["mid"], abs=near)
    assert found.hand.wrap == pytest.approx(learnt["hand.wrap"]["fitted"]["mid"], abs=near)
    scale = learnt["allowances.scale_per_heat"]["fitted"]
    assert found.allowances.scale_per_heat == pytest.approx(scale["mid"], abs=near)
    assert found.learnt.scale_per_heat_low == pytest.approx(scale["low"], abs=near)
    assert found.learnt.pieces == 4


def test_only_what_was_taught_is_written(log: Path, tmp_path: Path) -> None:
    """Ears alone teach the spread; the rest stays the profile's own. Marks alone teach nothing."""
    head = "section,poll,shoulders,wall,ears"
    path = tmp_path / "me.toml"
    write(log, "1/2 x 1 1/2 in,1 in,4 in,1/4 in,2 1/2 in", head=head)
    assert run("learn", log, "--smith", path).code == 0
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    assert (set(raw), set(raw["hand"])) == ({"hand", "learnt"}, {"spread"})
    path.unlink()
    write(log, "1/2 x 1 1/2 in,1 in,4 in,,", head=head)
    result = run("learn", log, "--smith", path)
    assert (result.code, result.out, path.exists()) == (2, "", False)
    assert "--smith: given a log that teaches no factor" in result.err


def as_set(me: Path) -> list[str]:
    """The file's factors as ``--set`` options."""
    raw = tomllib.loads(me.read_text(encoding="utf-8"))
    found = []
    for group in ("hand", "allowances"):
        for name, value in raw[group].items():
            found += ["--set", f"{group}.{name}={value}"]
    return found


@pytest.mark.parametrize("profile", ["belt-hatchet", "file"])
def test_plan_with_the_file_is_plan_with_set(profile: str, me: Path, tmp_path: Path) -> None:
    """Also over a profile that sets its own scale per heat, as the one in the file does."""
    if profile == "file":
        path = tmp_path / "trial.toml"
        path.write_text(GOOD, encoding="utf-8")
        profile = str(path)
    plain = run("plan", profile, "--json").out
    with_file = run("plan", profile, "--json", "--smith", me)
    assert with_file.code == 0
    assert with_file.out == run("plan", profile, "--json", *as_set(me)).out
    assert with_file.out != plain


def test_predict_with_the_file_is_predict_with_set(me: Path) -> None:
    piece = ("predict", "--bar", "1/2 x 1-1/2 x 8 in", "--poll", "1 in", "--shoulders", "4 in")
    with_file, with_set, plain = (
        json.loads(run(*piece, "--json", *more).out)
        for more in (("--smith", me), as_set(me), ())
    )  # fmt: skip
    # what was learnt is not doubted: only the bounds of the mass are closer
    one, other = (found["head"].pop("mass") for found in (with_file, with_set))
    assert one["mid"] == other["mid"]
    assert other["low"] < one["low"] < one["high"] < other["high"]
    assert with_file == with_set
    assert with_file["eye"] != plain["eye"]


def test_set_comes_after_the_file(me: Path) -> None:
    told = run("plan", "belt-hatchet", "--json", "--smith", me, "--set", "hand.spread=0.7").out
    parameters = json.loads(told)["parameters"]
    assert parameters["hand.spread"]["value"] == 0.7
    assert parameters["hand.wrap"]["value"] != 0.0


def test_draw_takes_the_file(me: Path, tmp_path: Path) -> None:
    assert run("draw", "belt-hatchet", "--smith", me, "--to", tmp_path / "drawn").code == 0
    drawn = json.loads((tmp_path / "drawn" / "plan.json").read_bytes())["parameters"]
    assert drawn["hand.wrap"]["value"] == pytest.approx(smith.load(me).hand.wrap)


def test_an_earlier_file_is_left_as_it_was_by_a_bad_log(me: Path, log: Path) -> None:
    before = me.read_bytes()
    assert run("learn", write(log, row(wall="thin")), "--smith", me).code == 2
    assert me.read_bytes() == before


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[hand]\nspread = 9\n", "--smith, hand.spread: given 9"),
        ('[hand]\nbite = "1 in"\n', "--smith, hand.bite: given a key that is not known"),
        ("[hand]\n", "--smith: given 'own.toml', which holds none"),
        ("hand = 3\n", "--smith, hand: given 3"),
        ("spread", "--smith: given 'own.toml', which is not TOML"),
        ("[allowances]\nscale_per_heat = 0.015\n", "--smith, allowances.scale_per_heat"),
    ],
)
@pytest.mark.parametrize("command", ["plan", "predict"])
def test_a_bad_file_is_refused(command: str, text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    rest = {
        "plan": ["belt-hatchet"],
        "predict": ["--bar", "1/2 x 1 1/2 x 8 in", "--poll", "1 in", "--shoulders", "4 in"],
    }[command]
    result = run(command, *rest, "--smith", path)
    assert result.code == 2
    assert said in result.err
    assert result.out == ""
    with pytest.raises(BadInputError):
        smith.load(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    result = run("plan", "belt-hatchet", "--smith", tmp_path / "none.toml")
    assert (result.code, "--smith: given 'none.toml'" in result.err) == (2, True)


@pytest.mark.parametrize("kind", ["log", "profile"])
def test_no_other_file_is_written_over(kind: str, tmp_path: Path) -> None:
    there = tmp_path / "there.csv"
    there.write_bytes(
        EXAMPLE.read_bytes() if kind == "log" else shipped()["belt-hatchet"].read_bytes()
    )
    before = there.read_bytes()
    result = run("learn", there if kind == "log" else EXAMPLE, "--smith", there)
    assert result.code == 2
    assert "--smith: given" in result.err
    assert there.read_bytes() == before


def test_a_smiths_file_is_written_anew(tmp_path: Path) -> None:
    path = tmp_path / "me.toml"
    for _ in range(2):
        assert run("learn", EXAMPLE, "--smith", path).code == 0
    assert not (tmp_path / "none").exists()
    assert run("learn", EXAMPLE, "--smith", tmp_path / "none" / "me.toml").code == 2
    assert not (tmp_path / "none").exists()


def test_dressed_edges_do_not_teach_the_spread(tmp_path: Path) -> None:
    """Ears that were held in say nothing of how the iron spreads by itself."""
    log = tmp_path / "log.csv"
    head = "section,poll,shoulders,wall,drawn left,ears,heats"
    row = "3/8 x 1 1/4 in,1 in,3 1/8 in,3/16 in,1 3/4 in,1 3/4 in,7"
    found = {}
    for edges in ("free", "dressed", "peened"):
        log.write_text(f"{head},edges\n{row},{edges}\n")
        learnt = json.loads(run("learn", log, "--json").out)
        found[edges] = json.dumps(learnt)
        text = run("learn", log).out
        assert ("no piece tells" in text.split("Scale per heat")[0]) is (edges != "free")
    assert found["dressed"].replace("dressed", "peened") == found["peened"]


@pytest.mark.parametrize(
    ("column", "cells", "says"),
    [
        ("drawn left,drawn right", "2 in,4 in", "log row 2, drawn right: given 4 in"),
        ("drawn left,wall", "15 in,1/4 in", "log row 2, drawn left: given 15 in"),
        ("ears", "1/2 in", "log row 2, ears: given 1/2 in"),
    ],
)
def test_what_no_piece_can_be(column: str, cells: str, says: str, tmp_path: Path) -> None:
    """A strap at half the bar's width with all the metal between its marks is the longest."""
    log = tmp_path / "log.csv"
    row = f"1/2 x 1 1/2 in,1 in,4 in,{cells}\n"
    log.write_text(f"section,poll,shoulders,{column}\n{row}{row}")
    result = run("learn", log)
    assert result.code == 2
    assert says in result.err
