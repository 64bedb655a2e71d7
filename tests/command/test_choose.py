"""Choosing and cutting as commands: what is printed, exit codes, and every fault of a bad rack."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from running import ROOT, Result, everything, run

EXAMPLE = ROOT / "output" / "examples" / "rack.csv"

GOOD = """\
section,length [in],count,steel,price,currency,name
3/8 x 1 1/4 in,48,2,1018,19.20,EUR,A1
1/4 x 1 in,48,1,1018,8.10,EUR,A2
1/2 x 1 in,8 1/4,1,,,,A3
"""


@pytest.fixture
def choose(tmp_path: Path):
    """Choose from a rack written as told; nothing is ever written beside it."""

    def run_it(rack: str | bytes, *options: str, name: str = "rack.csv") -> Result:
        path = tmp_path / name
        path.write_bytes(rack if isinstance(rack, bytes) else rack.encode())
        before = everything(tmp_path)
        result = run("choose", "belt-hatchet", "--rack", path, *options)
        assert everything(tmp_path) == before
        assert "Traceback" not in result.text
        return result

    return run_it


@pytest.fixture
def refused(choose):
    """A rack that must be refused: the faults by the place that they name."""

    def run_it(rack: str | bytes, *options: str, name: str = "rack.csv") -> dict[str, str]:
        result = choose(rack, *options, name=name)
        assert result.code == 2, result.text
        assert result.out == ""
        assert all(line.isprintable() for line in result.err.splitlines())
        first, rest = result.err.split("\n", 1)
        found = dict(re.findall(r"^  (\S.*?): given (.*(?:\n      .*)*)", rest, re.M))
        assert first == f"{len(found)} fault{'s' if len(found) > 1 else ''}; nothing was written."
        return found

    return run_it


# What is printed ---------------------------------------------------------------------------------


def test_bars_are_ranked_and_the_others_have_their_reason(choose) -> None:
    result = choose(GOOD)
    assert result.code == 0
    assert "2 of 3 rows of the rack can make it; the saw takes 1/16 in (1.6 mm)" in result.out
    assert re.search(r"^1  A1 .*\n2  A3 ", result.out, re.M)
    assert re.search(r"^  A2  1/4 x 1 in, 48 in: ears 1 3/4 in from tip to tip;", result.out, re.M)
    assert "cost EUR" in result.out
    assert "Cut list" not in result.out


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("profile", ["belt-hatchet", "camp-axe", "carving-axe"])
def test_the_example_fits_a_terminal(profile: str, units: str) -> None:
    result = run("choose", profile, "--rack", EXAMPLE, "--pieces", "1", "--units", units)
    assert result.code == 0, result.text
    assert max(map(len, result.out.splitlines())) <= 100


def test_json_says_what_is_printed(choose) -> None:
    """The rows balance: pieces, kerfs and remnant are the bar, in mm."""
    result = choose(GOOD, "--json", "--pieces", "5", "--kerf", "2 mm")
    data = json.loads(result.out)
    assert [row["bar"]["name"] for row in data["can"]] == ["A1", "A3"]
    assert [row["bar"]["name"] for row in data["cannot"]] == ["A2"]
    assert data["kerf"] == 2.0
    for row in data["can"]:
        n, cut = row["pieces"]["from_one"], row["cut_length"]
        assert row["remnant"] + n * (cut + 2.0) == pytest.approx(row["bar"]["length"])
    assert data["can"][1]["bar"]["price"] is None
    assert data["can"][1]["cost"] is None
    cuts = data["cut_list"]["cuts"]
    assert sum(c["bars"] * p["pieces"] for c in cuts for p in c["pieces"]) == 5
    assert data["cut_list"]["waste"]["proven"] is True


def test_toml_and_csv_are_one_rack(choose) -> None:
    tables = """\
[[bar]]
section = "3/8 x 1 1/4 in"
length = "48 in"
count = 2
steel = "1018"
price = 19.20
currency = "EUR"
name = "A1"

[[bar]]
section = "1/4 x 1 in"
length = "48 in"
steel = "1018"
price = 8.10
currency = "EUR"
name = "A2"

[[bar]]
section = "1/2 x 1 in"
length = "8 1/4 in"
name = "A3"
"""
    assert choose(tables, "--json", name="rack.toml").out == choose(GOOD, "--json").out


@pytest.mark.parametrize(
    "rack",
    [
        GOOD.replace(",", ";"),
        GOOD.replace(",", "\t"),
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace("section", " SECTION ").replace("count", "Count"),
        re.sub(r",([^,\n]+)(?=[,\n])", r',"\1"', GOOD),
        "# a remark\n" + GOOD.replace("A1\n", "A1\n\n# and another\n"),
        "name,currency,price,steel,count,length [in],section\n"
        + "\n".join(",".join(row.split(",")[::-1]) for row in GOOD.splitlines()[1:]),
    ],
)
def test_one_rack_in_many_hands(choose, rack: str) -> None:
    assert choose(rack, "--json").out == choose(GOOD, "--json").out


def test_a_bar_without_a_name_is_called_by_its_row(choose) -> None:
    rack = "section,length\n\n3/8 x 1 1/4 in,48 in\n1/8 x 1 in,48 in\n"
    result = choose(rack)
    assert re.search(r"^1  row 3 ", result.out, re.M)
    assert re.search(r"^  row 4  1/8 x 1 in", result.out, re.M)


def test_no_bar_is_exit_one(choose) -> None:
    result = choose("section,length\n1/8 x 1 in,48 in\n")
    assert (result.code, result.err) == (1, "")
    assert "0 of 1 rows of the rack can make it" in result.out


# Cut lists ---------------------------------------------------------------------------------------


def test_too_small_a_rack_gives_no_list(choose) -> None:
    """48 in holds 7 pieces of 6 21/32 in; there are two such bars, and a stub for one more."""
    assert choose(GOOD, "--pieces", "15").code == 0
    result = choose(GOOD, "--pieces", "18")
    assert result.code == 1
    assert "so there is no cut list. However it is sawn, it lacks 3;" in result.out
    assert result.out.rstrip().endswith("3 of 18 belt-hatchet")
    assert "saw each into" not in result.out


def test_several_heads(tmp_path: Path) -> None:
    result = run("cut", "belt-hatchet=4", "camp-axe=1", "--rack", EXAMPLE, "--json")
    data = json.loads(result.out)
    made: dict[str, int] = {}
    for cut in data["cuts"]:
        sawn = sum(p["pieces"] * p["length"] for p in cut["pieces"])
        assert sawn + cut["kerf"] + cut["remnant"] == pytest.approx(cut["bar"]["length"])
        for p in cut["pieces"]:
            made[p["head"]] = made.get(p["head"], 0) + p["pieces"] * cut["bars"]
    assert made == {"belt-hatchet": 4, "camp-axe": 1}
    printed = run("cut", "belt-hatchet=4", "camp-axe=1", "--rack", EXAMPLE)
    assert printed.code == 0
    assert "5 pieces from" in printed.out
    assert "proven the least" in printed.out
    assert max(map(len, printed.out.splitlines())) <= 100


def test_a_head_that_no_bar_can_make(tmp_path: Path) -> None:
    rack = tmp_path / "rack.csv"
    rack.write_text(GOOD)
    result = run("cut", "camp-axe=2", "belt-hatchet=1", "--rack", rack)
    assert result.code == 1
    assert "  2 of 2 camp-axe: no bar on hand can make one\n" in result.out
    assert "belt-hatchet" not in result.out


def test_faults_of_every_head_together() -> None:
    result = run("cut", "belt-hatchet", "no-such=2", "camp-axe=x", "carving-axe=1",
                 "carving-axe=2", "--rack", EXAMPLE, "--kerf", "3", "--units", "cm")  # fmt: skip
    assert (result.code, result.out) == (2, "")
    assert re.findall(r"^  (\S.*?): given", result.err, re.M) == [
        "--units", "--kerf", "belt-hatchet, pieces", "no-such, profile", "camp-axe, pieces",
        "carving-axe",
    ]  # fmt: skip


def test_the_solver_is_not_loaded_to_choose(tmp_path: Path) -> None:
    """It takes longer to load than two hundred bars to choose from."""
    import subprocess
    import sys

    code = (
        "import sys; from patterns.cli import main; "
        f"main(['choose', 'belt-hatchet', '--rack', {str(EXAMPLE)!r}]); "
        "sys.exit('scipy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


# Bad racks ---------------------------------------------------------------------------------------


def test_every_fault_with_its_row_and_column(refused) -> None:
    found = refused(
        "section,length,count,steel,price,currency,name\n"
        "3/8 x 1 1/4 in,48 in,2,1018,19,EUR,fine\n"
        "3/8,48 in,2,1018,19,EUR,no width\n"
        "1 1/4 x 3/8 in,48 in,2,1018,19,EUR,turned\n"
        "# a remark does not change the count\n"
        "3/8 x 1 1/4 in,48,2,1018,19,EUR,no unit\n"
        "3/8 x 1 1/4 in,1219 mm,2,1018,19,EUR,another unit\n"
        "3/8 x 1 1/4 in,,two,1018,cheap,USD,much\n"
        "3/8 x 1 1/4 in,48 in,0,1018,-1,EUR,fine,and more\n"
        f"3/8 x 1 1/4 in,48 in,2.5,{'x' * 41},1,EUR,\x07\n"
    )
    assert [place.partition(",")[0] for place in found] == [
        f"rack row {row}" for row in (3, 4, 6, 7, 8, 8, 8, 8, 9, 9, 9, 10, 10, 10)
    ]
    assert set(found) == {
        "rack row 3, section", "rack row 4, section", "rack row 6, length", "rack row 7, length",
        "rack row 8, length", "rack row 8, count", "rack row 8, price", "rack row 8, currency",
        "rack row 9", "rack row 9, count", "rack row 9, price", "rack row 10, count",
        "rack row 10, steel", "rack row 10, name",
    }  # fmt: skip
    assert found["rack row 7, length"].startswith("'1219 mm'\n      allowed: in, as in row 2")
    assert found["rack row 8, currency"].startswith("'USD'\n      allowed: EUR, as in row 2")
    assert found["rack row 4, section"].startswith("1 1/4 in x 3/8 in\n")
    assert "change:  turn the two round" in found["rack row 4, section"]


def test_faults_of_rack_profile_and_options_together(refused) -> None:
    found = refused(
        GOOD.replace("48,2", "none,2"), "--kerf", "1 in", "--pieces", "many", "--set",
        "wall.thickness=thin",
    )  # fmt: skip
    assert list(found) == ["rack row 2, length", "--kerf", "--pieces", "wall.thickness"]


@pytest.mark.parametrize(
    ("rack", "place", "word"),
    [
        ("", "rack", "no rows"),
        ("# nothing\n\n", "rack", "no rows"),
        ("section,length\n", "rack", "at least one row"),
        ("section,count\n3/8 x 1 in,2\n", "rack row 1, headings", "a column length"),
        ("section,lenght,length\n3/8 x 1 in,1,48 in\n", "rack row 1, headings", "mean length?"),
        ("section,length,length\n3/8 x 1 in,48 in,48 in\n", "rack row 1, headings", "twice"),
        ("section,length [kg]\n3/8 x 1 in,48\n", "rack row 1, headings", "one of in, mm, cm"),
        (b"section,length\n\xff\xfe,48 in\n", "rack", "UTF-8"),
        (b"PK\x03\x04\x00\x00" * 40, "rack row 1, headings", "section"),
        ("section,length\n" + "3/8 x 1 in,48 in\n" * 2001, "rack", "up to 2,000"),
        ("section,length\n" + "3/8 x 1 in,48 in\n" * 100_000, "rack", "up to 2,000"),
    ],
    ids=range(11),  # not the racks themselves: the last is nearly 2 MB, and would go to and fro
)
def test_a_file_that_is_no_rack(choose, rack: str | bytes, place: str, word: str) -> None:
    result = choose(rack)
    assert (result.code, result.out) == (2, "")
    assert f"  {place}: given" in result.err
    assert word in result.err


def test_a_rack_that_is_not_there(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path / "none.toml", tmp_path):
        result = run("choose", "belt-hatchet", "--rack", path)
        assert (result.code, result.out) == (2, "")
        assert "rack: given" in result.err
    assert run("choose", "belt-hatchet").code == 2
    assert run("cut", "belt-hatchet=1").code == 2


@pytest.mark.parametrize(
    ("rack", "places"),
    [
        ("bar = 3\n", ["rack, bar"]),
        ("", ["rack"]),
        ("bar = []\n", ["rack"]),
        ("bar = [1, {}]\n", ["rack, bar"]),
        ("[[bars]]\nlength = 3\n", ["rack, bars", "rack"]),
        ("[bar]\nlength = 3\n", ["rack, bar"]),
        ("[[bar]]\n", ["rack bar 1, section", "rack bar 1, length"]),
        (
            '[[bar]]\nsection = "3/8 x 1 in"\nlength = 48\ncount = "two"\ncolor = "red"\n'
            '[[bar]]\nsection = "2 x 1 in"\nlength = "9 in"\nprice = "4"\ncurrency = "EUR"\n'
            '[[bar]]\nsection = "1 x 2 in"\nlength = "9 in"\ncurrency = "USD"\nsteel = {a = 1}\n',
            ["rack bar 1, length", "rack bar 1, count", "rack bar 1, color",
             "rack bar 2, price", "rack bar 2, section", "rack bar 3, steel",
             "rack bar 3, currency"],
        ),
    ],
)  # fmt: skip
def test_a_bad_rack_in_toml(refused, rack: str, places: list[str]) -> None:
    assert sorted(refused(rack, name="rack.toml")) == sorted(places)
