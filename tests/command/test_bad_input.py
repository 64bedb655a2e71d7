"""Bad input: every fault is named at once, nothing is written, the last good set stays."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from running import GOOD, everything, run, shell

from patterns import output
from patterns.errors import BadInputError


@pytest.fixture(scope="module")
def last(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A set that an earlier run has made."""
    folder = tmp_path_factory.mktemp("last")
    path = folder.parent / "good.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert run("draw", path, "--to", folder).code == 0
    return folder


@pytest.fixture
def refused(last: Path, tmp_path: Path) -> Iterator[Callable[..., str]]:
    """Draw over the last good set; it must be refused. Returns what was said."""
    before = everything(last)

    def draw(profile: str | bytes | Path, *options: str) -> str:
        path = profile
        if not isinstance(profile, Path):
            path = tmp_path / "bad.toml"
            path.write_bytes(profile if isinstance(profile, bytes) else profile.encode())
        result = run("draw", path, "--to", last, *options)
        assert result.code == 2, result.text
        assert result.out == ""
        assert re.match(r"\d+ faults?; nothing was written\.$", result.err.splitlines()[0])
        assert "Traceback" not in result.err
        assert all(line.isprintable() for line in result.err.splitlines())
        assert all(len(line) < 700 for line in result.err.splitlines())
        return result.err

    yield draw
    assert everything(last) == before


def fields(said: str) -> list[str]:
    return re.findall(r"^  (\S.*?): given ", said, re.M)


def changed(old: str, new: str) -> str:
    assert GOOD.count(old) == 1, old
    return GOOD.replace(old, new)


# Values ------------------------------------------------------------------------------------------

VALUES = {
    "zero": ("eye.length", '"1 3/4 in"', '"0 in"'),
    "negative": ("eye.length", '"1 3/4 in"', '"-1 3/4 in"'),
    "absurdly small": ("eye.length", '"1 3/4 in"', '"0.001 mm"'),
    "absurdly large": ("blade.reach", '"3 in"', '"4000 in"'),
    "huge number": ("blade.reach", '"3 in"', f'"{"9" * 50} in"'),
    "no unit": ("blade.reach", '"3 in"', '"3"'),
    "a bare number": ("blade.reach", '"3 in"', "3"),
    "a wrong unit": ("blade.reach", '"3 in"', '"3 ft"'),
    "an exponent": ("blade.reach", '"3 in"', '"3e0 in"'),
    "over nothing": ("blade.reach", '"3 in"', '"3/0 in"'),
    "not a number": ("blade.reach", '"3 in"', "nan"),
    "not a number, in quotes": ("blade.reach", '"3 in"', '"nan in"'),
    "infinite": ("blade.reach", '"3 in"', "inf"),
    "1e308": ("blade.reach", '"3 in"', "1e308"),
    "a truth": ("blade.reach", '"3 in"', "true"),
    "a date": ("blade.reach", '"3 in"', "2024-02-29"),
    "a time": ("blade.reach", '"3 in"', "07:32:00"),
    "a list": ("blade.reach", '"3 in"', '["3 in"]'),
    "a table for a length": ("blade.reach", '"3 in"', '{ length = "3 in" }'),
    "empty text": ("blade.reach", '"3 in"', '""'),
    "markup": ("blade.reach", '"3 in"', '"<b>3 in</b>"'),
    "angle: nan": ("blade.edge_angle", "25", "nan"),
    "angle: infinite": ("blade.edge_angle", "25", "-inf"),
    "angle: 1e308": ("blade.edge_angle", "25", "1e308"),
    "angle: text": ("blade.edge_angle", "25", '"25 degrees"'),
    "angle: truth": ("blade.edge_angle", "25", "false"),
    "angle: 400 figures": ("blade.edge_angle", "25", "2" * 400),
    "angle: 5000 figures of a hexadecimal": ("blade.edge_angle", "25", "0x" + "F" * 5000),
    "count: half": ("allowances.heats", "= 7", "= 7.5"),
    "count: too many": ("allowances.heats", "= 7", "= 1000"),
    "count: negative": ("allowances.heats", "= 7", "= -1"),
    "count: huge": ("allowances.heats", "= 7", "= " + "7" * 400),
    "count: date": ("allowances.heats", "= 7", "= 2024-02-29T07:32:00Z"),
    "percent: number": ("allowances.scale_per_heat", '"1.5 %"', "1.5"),
    "percent: negative": ("allowances.scale_per_heat", '"1.5 %"', '"-1.5 %"'),
    "percent: all": ("allowances.scale_per_heat", '"1.5 %"', '"100 %"'),
    "choice": ("ears.form", '"pointed"', '"elfin"'),
    "choice: number": ("ears.form", '"pointed"', "1"),
    "section: one side": ("bar.section", '"3/8 x 1 1/4 in"', '"3/8 in"'),
    "section: no unit": ("bar.section", '"3/8 x 1 1/4 in"', '"3/8 x 1 1/4"'),
    "section: zero": ("bar.section", '"3/8 x 1 1/4 in"', '"0 x 1 1/4 in"'),
    "section: list": ("bar.section", '"3/8 x 1 1/4 in"', '["3/8 in", "1 1/4 in"]'),
    "section: three": ("bar.section", '"3/8 x 1 1/4 in"', '"3/8 x 1 x 2 in"'),
    "points: empty": ("blade.stations", re.search(r"stations = (.*)", GOOD)[1], "[]"),
    "points: text": ("blade.stations", '[["3/8 in", "9/16 in"], ', '["3/8 in", '),
    "points: three in one": ("blade.stations", '["3/8 in", "9/16 in"]', '["1 in", "1 in", "1 in"]'),
    "points: numbers": ("blade.stations", '["3/8 in", "9/16 in"]', "[1, 2]"),
    "points: no unit": ("blade.stations", '["3/8 in", "9/16 in"]', '["3/8 in", "9/16"]'),
    "points: nested": ("blade.stations", '["3/8 in", "9/16 in"]', "[" * 50 + "]" * 50),
    "points: too many": ("blade.stations", '["3/8 in", "9/16 in"], ', '["1 in", "1 in"], ' * 40),
    "name: empty": ("name", '"Trial hatchet"', '""'),
    "name: blanks": ("name", '"Trial hatchet"', '"   "'),
    "name: too long": ("name", '"Trial hatchet"', f'"{"x" * 61}"'),
    "name: a new line": ("name", '"Trial hatchet"', '"two\\nlines"'),
    "name: a terminal's command": ("name", '"Trial hatchet"', '"\\u001b[2J"'),
    "name: a number": ("name", '"Trial hatchet"', "7"),
}  # fmt: skip


@pytest.mark.parametrize("case", VALUES)
def test_a_value(case: str, refused: Callable[..., str]) -> None:
    field, old, new = VALUES[case]
    said = refused(changed(old, new))
    assert fields(said) == [field]
    assert "allowed:" in said
    assert "change:" in said


def test_a_length_tells_its_limits_in_the_users_units(refused: Callable[..., str]) -> None:
    text = changed('"1 3/4 in"', '"9 in"')
    # 12 mm is 30.2 and 100 mm is 251.97 sixty-fourths: rounded so that both ends are allowed
    assert "31/64 in (12.0 mm) to 3 59/64 in (100.0 mm)" in refused(text)
    assert "12.0 mm (31/64 in) to 100.0 mm (3 59/64 in)" in refused(text, "--units", "mm")


def test_the_limits_that_are_shown_are_allowed(tmp_path: Path) -> None:
    """What a message tells the smith to write may not be refused in its turn."""
    from patterns.parameters import specs
    from patterns.profiles import read

    def at_fault(key: str, text: str) -> bool:
        table: dict = {}
        inner = table
        *groups, last = key.split(".")
        for group in groups:
            inner = inner.setdefault(group, {})
        inner[last] = text
        with pytest.raises(BadInputError) as caught:
            read(table, "x")
        return any(f.field == key and f.given == repr(text) for f in caught.value.faults
                   if f.allowed == spec.limits() or f.allowed == spec.limits("mm"))  # fmt: skip

    seen = 0
    for key, spec in specs():
        if spec.kind != "length":
            continue
        for units in ("in", "mm"):
            ends = re.match(r"(.*?) \(.*?\) to (.*?) \(", spec.limits(units)).groups()
            for end in ends:
                assert not at_fault(key, end), (key, end)
                seen += 1
            assert at_fault(key, "9999 mm")
    assert seen > 100


# Keys and structure ------------------------------------------------------------------------------


def test_a_missing_key(refused: Callable[..., str]) -> None:
    said = refused(changed('reach = "3 in"\n', ""))
    assert fields(said) == ["blade.reach"]
    assert "add it: reach" in said


def test_a_missing_table_names_all_that_it_must_hold(refused: Callable[..., str]) -> None:
    text = re.sub(r"\[bit\]\n(.+\n)+", "", GOOD)
    assert fields(refused(text)) == ["bit.stock", "bit.thickness", "bit.insertion"]


def test_an_unknown_key_with_what_was_meant(refused: Callable[..., str]) -> None:
    said = refused(changed("reach =", "raech ="))
    assert fields(said) == ["blade.raech", "blade.reach"]
    assert "did you mean blade.reach?" in said


def test_an_unknown_key_that_is_like_no_other(refused: Callable[..., str]) -> None:
    said = refused("zzzz = 1\n" + GOOD)
    assert fields(said) == ["zzzz"]
    assert "take it out" in said


@pytest.mark.parametrize(
    "key", ['"a\\nb"', '"\\u001b[2J"', '"<script>"', '"🪓"', '""', f'"{"k" * 5000}"']
)
def test_an_unknown_key_of_any_spelling(key: str, refused: Callable[..., str]) -> None:
    assert "a key that is not known" in refused(f"{key} = 1\n{GOOD}")


def test_a_value_where_a_table_belongs(refused: Callable[..., str]) -> None:
    said = refused(re.sub(r"\[wall\]\n.+\n", "", GOOD).replace("[eye]", "wall = 5\n[eye]"))
    assert fields(said) == ["wall"]
    assert "it holds: thickness" in said


def test_a_list_of_tables(refused: Callable[..., str]) -> None:
    assert fields(refused(changed("[wall]", "[[wall]]"))) == ["wall"]


def test_a_table_where_a_value_belongs(refused: Callable[..., str]) -> None:
    assert fields(refused(GOOD + "\n[blade.beard]\nwidth = 1\n")) == ["blade.beard"]


def test_many_unknown_keys_are_all_named_and_do_not_hang(refused: Callable[..., str]) -> None:
    keys = [f"k{i}" for i in range(4000)]
    said = refused("\n".join(f"{key} = 1" for key in keys) + "\n" + GOOD)
    assert fields(said) == keys


# What several parameters must keep together ------------------------------------------------------

TOGETHER = {
    "an eye wider than long": ("eye.width", 'width = "5/8 in"', 'width = "2 in"'),
    "a nose blunter than the eye": ("eye.front_radius", '"1/8 in"', '"3/8 in"'),
    "a bar thinner than the wall": ("wall.thickness", 'thickness = "3/16 in"',
                                    'thickness = "3/8 in"'),
    "a bar on edge": ("bar.section", '"3/8 x 1 1/4 in"', '"1 1/4 x 3/8 in"'),
    "ears no strap can give": ("ears", 'above = "7/8 in"', 'above = "3 in"'),
    "ears below the poll": ("ears.above", 'above = "7/8 in"', 'above = "1/4 in"'),
    "an edge of too small a radius": ("blade.edge_radius", '"4 1/2 in"', '"1 in"'),
    "a scarf thicker than the bit": ("bit.tip", 'tip = "1/16 in"', 'tip = "1/4 in"'),
    "a scarf longer than the bit": ("bit.scarf", 'scarf = "3/8 in"', 'scarf = "1 1/2 in"'),
    "a bit into the eye": ("bit.insertion", 'insertion = "1 1/4 in"', 'insertion = "2 3/4 in"'),
    "points on an arc": ("blade.top.through", 'leave = 2',
                         'through = [["1 in", "1 in"]]\nform = "arc"'),
    "a station past the edge": ("blade.stations", '["2 1/2 in", "3/16 in"]',
                                '["4 in", "3/16 in"]'),
    "two stations at one place": ("blade.stations", '["1 1/4 in", "3/8 in"]',
                                  '["3/8 in", "3/8 in"]'),
    "a beard and a curve": ("blade.bottom.arrive", 'edge_angle = 25',
                            'edge_angle = 25\nbeard = "2 in"'),
    "a tongue without its lap": ("fold.lap", "[wall]\n", '[fold]\nform = "one-sided"\n[wall]\n'),
    "a lap over the bit": ("fold.lap", "[wall]\n",
                           '[fold]\nform = "one-sided"\nlap = "2 in"\n[wall]\n'),
    "a lap where nothing laps": ("fold.lap", "[wall]\n", '[fold]\nlap = "1 in"\n[wall]\n'),
    "a waist where nothing is waisted": ("fold.waist", "[wall]\n",
                                         '[fold]\nwaist = "1 in"\n[wall]\n'),
    "a closed poll without its depth": ("poll.thickness", "[wall]\n",
                                        '[fold]\nform = "closed"\n[wall]\n'),
    "an overhang of a closed poll": ("poll.overhang", '[poll]\n',
                                     '[fold]\nform = "closed"\n[poll]\noverhang = "1/8 in"\n'
                                     'thickness = "3/4 in"\n'),
    "a closed poll thinner than its wall": ("poll.thickness", "[poll]\n",
                                            '[fold]\nform = "closed"\n[poll]\n'
                                            'thickness = "1/8 in"\n'),
    "a hinge that does not fold": ("fold.hinge", "[poll]\n",
                                   '[fold]\nform = "closed"\nhinge = "1/4 in"\n[poll]\n'
                                   'thickness = "3/4 in"\n'),
    "a poll of a round fold": ("poll.thickness", "[poll]\n",
                               '[fold]\nform = "round"\n[poll]\nthickness = "3/8 in"\n'),
    "a plate on a round fold": ("plate.thickness", "[poll]\n",
                                '[fold]\nform = "round"\n[plate]\nthickness = "1/8 in"\n'
                                'stock = "1/8 x 1 in"\n[poll]\n'),
    "a plate without its stock": ("plate.stock", "[poll]\n",
                                  '[plate]\nthickness = "1/8 in"\n[poll]\n'),
    "a plate thicker than its stock": ("plate.thickness", "[poll]\n",
                                       '[plate]\nthickness = "1/4 in"\nstock = "1/8 x 1 in"\n'
                                       "[poll]\n"),
    "a poll thinner than its plate": ("poll.thickness", "[poll]\n",
                                      '[plate]\nthickness = "1/4 in"\nstock = "1/4 x 1 in"\n'
                                      '[poll]\nthickness = "1/8 in"\n'),
    "a flare that opens the nose": ("eye.flare", 'width = "5/8 in"',
                                    'width = "5/8 in"\nflare = "6 mm"'),
    "a bit without its stock": ("bit.stock", 'stock = "1/4 x 1 in"\n', ""),
    "barbs on an overlay": ("bit.barbs", 'steel = "1084"',
                            'steel = "1084"\nform = "overlaid"\nbarbs = "raised"'),
    "a grind of a flat bevel": ("blade.grind", "edge_angle = 25",
                                'edge_angle = 25\ngrind = "2 in"'),
    "a convex bevel that stops short": ("blade.grind", "edge_angle = 25",
                                        'edge_angle = 25\nbevel = "convex"\ngrind = "1/2 in"'),
    "a radius and toe and heel": ("blade.edge_radius", "edge_angle = 25",
                                  'edge_angle = 25\ntoe_back = "1/4 in"\nheel_back = "1/4 in"'),
    "no curve of the edge": ("blade.edge_radius", 'edge_radius = "4 1/2 in"\n', ""),
    "a toe without its heel": ("blade.heel_back", 'edge_radius = "4 1/2 in"',
                               'toe_back = "1/4 in"'),
    "toe and heel too far back": ("blade.toe_back", 'edge_radius = "4 1/2 in"',
                                  'toe_back = "3 in"\nheel_back = "3 in"'),
    "toe, heel and a foremost point": ("blade.edge_centre", 'edge_radius = "4 1/2 in"',
                                       'toe_back = "1/4 in"\nheel_back = "1/4 in"\n'
                                       'edge_centre = "0 in"'),
    "length and perimeter": ("eye", 'width = "5/8 in"', 'width = "5/8 in"\nperimeter = "4 in"'),
}  # fmt: skip


@pytest.mark.parametrize("case", TOGETHER)
def test_what_does_not_go_together(case: str, refused: Callable[..., str]) -> None:
    field, old, new = TOGETHER[case]
    text = changed(old, new)
    if 'form = "arc"' in new:
        text = text.replace('[blade.top]\nform = "smooth"\n', "[blade.top]\n")
    for units, other in (("in", "mm"), ("mm", "in")):
        said = refused(text, "--units", units)
        assert fields(said) == [field]
        given = re.search(r": given (.*)\n      allowed: (.*)", said)
        assert not re.search(rf"\d {other}\b", given[0].split(" (")[0])
        assert "change:" in said


# Toe and heel are 1 1/16 and 1 5/8 in off the centre line; a top that leaves the neck steeply
# downwards must cross the bottom.
CROSSING = changed("leave = 2\n", 'leave = -60\narrive = 80\nthrough = [["1 in", "-2 in"]]\n')


def test_an_outline_that_crosses_itself(refused: Callable[..., str]) -> None:
    said = refused(CROSSING)
    assert fields(said) == ["blade"]
    assert "crosses itself" in said


def test_faults_of_the_shape_come_together(refused: Callable[..., str]) -> None:
    # plan view: square sides longer than the eye; side view: crossing; section: a steep taper
    text = CROSSING.replace(
        'height = "1 1/4 in"', 'height = "1 1/4 in"\nsides_forward = "30 mm"\noverhang = "25 mm"'
    )
    text = text.replace('["1 1/4 in", "3/8 in"]', '["7/16 in", "3/8 in"]')
    assert fields(refused(text)) == ["poll.sides_forward", "blade", "blade.stations"]


def test_every_fault_at_once_in_the_order_of_the_profile(refused: Callable[..., str]) -> None:
    text = GOOD
    for old, new in (
        ('name = "Trial hatchet"', 'name = ""\nnmae = "x"'),
        ('length = "1 3/4 in"', "length = 2024-01-01"),
        ('above = "7/8 in"', 'above = "-7/8 in"'),
        ('reach = "3 in"', "reach = nan"),
        ("edge_angle = 25", "edge_angle = true"),
        ('tip = "1/16 in"', 'tip = "1/4 in"'),
        ('section = "3/8 x 1 1/4 in"', 'section = "1 1/4 x 3/8 in"'),
        ("heats = 7", "heats = 7.0"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    said = refused(
        text, "--paper", "b5", "--units", "ft", "--set", "bit.steal=x", "--set", "nonsense"
    )
    assert said.startswith("13 faults;")
    assert fields(said) == [
        "--units", "--paper", "bit.steal", "--set", "name", "nmae", "eye.length", "ears.above",
        "blade.reach", "blade.edge_angle", "bit.tip", "bar.section", "allowances.heats",
    ]  # fmt: skip


# Changes on the command line ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ("wall.thickness", "--set"),
        ("", "--set"),
        ("=3 in", "--set"),
        ("wall.thikness=3 mm", "wall.thikness"),
        ("wall=3 mm", "wall"),
        ("wall.thickness=3", "wall.thickness"),
        ("wall.thickness=", "wall.thickness"),
        ("allowances.heats=many", "allowances.heats"),
        ("allowances.heats=" + "9" * 5000, "allowances.heats"),
        ("blade.stations=" + "[" * 5000, "blade.stations"),
        ("blade.stations=[", "blade.stations"),
        ("blade.edge_angle=nan", "blade.edge_angle"),
        ("name=\x1b[2J", "name"),
        ("a\nb=3", "'a\\nb'"),
        ("blade.top.form=round", "blade.top.form"),
    ],
)
def test_a_change_at_fault(
    change: str, field: str, last: Path, refused: Callable[..., str]
) -> None:
    path = last.parent / "good.toml"
    assert fields(refused(path, "--set", change)) == [field]


def test_a_change_tells_its_limits_in_the_users_units(
    last: Path, refused: Callable[..., str]
) -> None:
    said = refused(last.parent / "good.toml", "--units", "mm", "--set", "blade.stations=[")
    assert "0.5 mm (1/32 in) to 300.0 mm (11 51/64 in)" in said


def test_one_of_a_pair_tells_how_to_take_the_other_out(
    last: Path, refused: Callable[..., str]
) -> None:
    path = last.parent / "good.toml"
    said = refused(path, "--set", "eye.perimeter=4 in")
    assert fields(said) == ["eye"]
    out = re.search(r"eye\.width out \((--set \S+ --set \S+)\)", said)[1].split()
    assert (
        run("plan", path, *out, "--set", "eye.perimeter=4 in", "--set", "eye.ratio=2.8").code == 0
    )


# Files -------------------------------------------------------------------------------------------

FILES = {
    "empty": b"",
    "not TOML": b"this is no profile",
    "twice the same key": GOOD.replace("leave = 2\n", "leave = 2\nleave = 2\n").encode(),
    "twice the same table": (GOOD + "\n[wall]\nthickness = 1\n").encode(),
    "an open quote": GOOD.encode()[:300],
    "binary": bytes(range(256)) * 20,
    "nothing but zero bytes": bytes(1000),
    "latin-1": GOOD.replace("Trial", "Bj\u00f6rn").encode("latin-1"),
    "UTF-16": GOOD.encode("utf-16"),
    "lists in lists": b"x = " + b"[" * 20_000,
    "tables in tables": b"x = " + b"{a=" * 20_000,
    "a key of many parts": b"a" + b".a" * 30_000 + b" = 1",
    "a table of many parts": b"[a" + b".a" * 30_000 + b"]",
    "a key of many parts with blanks": b"blade.top.through" + b" . a" * 400 + b" = 1",
    "a number without end": b"x = " + b"9" * 60_000,
    "an impossible date": b"x = 2024-02-31",
    "one byte too large": GOOD.encode() + b"#" * (64_001 - len(GOOD)),
}


@pytest.mark.parametrize("case", FILES)
def test_a_file(case: str, refused: Callable[..., str]) -> None:
    said = refused(FILES[case])
    if case in ("empty", "a key of many parts with blanks"):  # both are TOML
        assert {"name", "bar.section", "blade.reach"} <= set(fields(said))
    else:
        assert fields(said) == ["profile"]
        assert "bad.toml" in said
    if case == "a number without end":
        assert "a number with too many figures" in said


def test_a_file_of_50_megabytes_is_not_read(tmp_path: Path, refused: Callable[..., str]) -> None:
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    assert "more than 64,000 bytes" in refused(path)


def test_a_mark_before_the_text_and_line_ends_of_another_system_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "other.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    plain = tmp_path / "plain.toml"
    plain.write_bytes(GOOD.encode())
    assert run("plan", path, "--json") == run("plan", plain, "--json")
    assert run("plan", path).code == 0


def test_what_is_no_file(tmp_path: Path, refused: Callable[..., str]) -> None:
    (tmp_path / "loop.toml").symlink_to(tmp_path / "loop.toml")
    (tmp_path / "dangling.toml").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe.toml")
    for path in (
        tmp_path,
        tmp_path / "loop.toml",
        tmp_path / "dangling.toml",
        tmp_path / "pipe.toml",
        tmp_path / "not there.toml",
        tmp_path / ("x" * 5000),
        Path("/dev/zero"),
        Path("/dev/null"),
    ):
        assert fields(refused(path)) == ["profile"]


@pytest.mark.parametrize("name", ["", " ", "camp-ax", "a\nb", "a\0b", "\x1b[2J", "../..", "\udcff"])
def test_a_name_that_is_not_shipped(name: str, last: Path) -> None:
    before = everything(last)
    result = run("draw", name, "--to", last)
    assert result.code == 2
    assert fields(result.err) == ["profile"]
    assert all(line.isprintable() for line in result.err.splitlines())
    assert everything(last) == before
    if name == "camp-ax":
        assert "did you mean camp-axe?" in result.err


def test_a_file_name_of_any_spelling(tmp_path: Path, refused: Callable[..., str]) -> None:
    for name in ("<b>&.toml", "🪓.toml", "a\nb.toml", "\x1b[2J.toml"):
        path = tmp_path / name
        path.write_text("x")
        assert fields(refused(path)) == ["profile"]


def test_in_a_process_of_its_own(last: Path, tmp_path: Path) -> None:
    before = everything(last)
    (tmp_path / "bad.toml").write_text(changed('reach = "3 in"', 'reach = "3 ft"'))
    result = shell("draw", "bad.toml", "--to", last, cwd=tmp_path)
    assert (result.code, result.out) == (2, "")
    assert fields(result.err) == ["blade.reach"]
    result = shell("draw", "bad.toml", cwd=tmp_path)
    assert result.code == 2
    assert [path.name for path in tmp_path.iterdir()] == ["bad.toml"]
    assert everything(last) == before


def test_words_that_the_command_does_not_know(last: Path) -> None:
    for words in ((), ("paint",), ("draw",), ("draw", "x", "--scale", "2"), ("plan", "x", "y")):
        result = run(*words)
        assert result.code == 2
        assert result.err.startswith("usage:")


# Folders -----------------------------------------------------------------------------------------


def test_a_folder_that_cannot_be_made(last: Path, tmp_path: Path) -> None:
    path = last.parent / "good.toml"
    stone = tmp_path / "a file"
    stone.write_text("not a folder")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    before = everything(tmp_path)
    for folder in (
        str(stone),
        str(stone / "below"),
        str(stone / "far" / "below"),
        str(tmp_path / "loop"),
        str(tmp_path / "new" / ("x" * 300) / "deep"),
        str(tmp_path / "nul\0byte"),
        "",
        "/proc/nothing/here",
    ):
        result = run("draw", path, "--sheets", "eye", "--to", folder)
        assert result.code == 2, folder
        assert fields(result.err) == ["--to"]
        assert "Traceback" not in result.err
        assert all(line.isprintable() for line in result.err.splitlines())
    assert everything(tmp_path) == before


def test_a_folder_where_a_file_is_to_go(last: Path, tmp_path: Path) -> None:
    (tmp_path / "set").mkdir()
    (tmp_path / "set" / "1-blank.svg").write_text("old")
    (tmp_path / "set" / "plan.json").mkdir()
    before = everything(tmp_path)
    result = run("draw", last.parent / "good.toml", "--to", tmp_path / "set")
    assert result.code == 2
    assert fields(result.err) == ["--to"]
    assert everything(tmp_path) == before


# A disk that fails half-way ----------------------------------------------------------------------

NEW = {"plan.json": b"new plan", "a.svg": b"new a", "b.pdf": b"new b", "added.dxf": b"added"}
OLD = {"plan.json": b"old plan", "a.svg": b"old a", "b.pdf": b"old b", "mine.txt": b"kept"}


class Disk:
    """Lets the calls that write or move fail: the ``first``, or it and all that follow."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, first: int, error: BaseException,
                 for_good: bool) -> None:  # fmt: skip
        self.calls, self.first, self.error, self.for_good = 0, first, error, for_good
        for owner, name in ((os, "replace"), (Path, "write_bytes"), (Path, "mkdir"),
                            (Path, "unlink")):  # fmt: skip
            monkeypatch.setattr(owner, name, self._checked(getattr(owner, name)))

    @property
    def failed(self) -> bool:
        return self.calls >= self.first

    def _checked(self, call: Callable[..., object]) -> Callable[..., object]:
        def checked(*args: object, **kwargs: object) -> object:
            self.calls += 1
            if self.calls == self.first or (self.for_good and self.calls > self.first):
                raise self.error
            return call(*args, **kwargs)

        return checked


def full() -> OSError:
    return OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()}


@pytest.mark.parametrize("there", ["nothing", "an earlier set", "links"])
@pytest.mark.parametrize(
    "error", [full(), PermissionError(errno.EACCES, "no"), KeyboardInterrupt()]
)
def test_a_call_that_fails_is_taken_back(
    there: str, error: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for first in range(1, 100):
        folder = tmp_path / str(first) / "below" / "set"
        if there != "nothing":
            folder.mkdir(parents=True)
            for name, content in OLD.items():
                (folder / name).write_bytes(content)
        if there == "links":
            (folder / "a.svg").unlink()
            (folder / "a.svg").symlink_to(folder / "mine.txt")
            (folder / "added.dxf").symlink_to("nowhere")
        before = everything(tmp_path)
        with monkeypatch.context() as patch:
            disk = Disk(patch, first, error, for_good=False)
            try:
                output.write(folder, NEW)
            except (BadInputError, KeyboardInterrupt) as raised:
                by_hand, finished = isinstance(raised, KeyboardInterrupt), False
            else:
                by_hand, finished = False, True
        assert finished != disk.failed
        assert by_hand == (disk.failed and isinstance(error, KeyboardInterrupt))
        if not disk.failed:
            assert contents(folder) == {**({} if there == "nothing" else OLD), **NEW}
            assert first > 2 * len(NEW)  # every file's writing and moving was made to fail
            return
        assert everything(tmp_path) == before, first
        if there == "links":
            assert (folder / "a.svg").is_symlink()
            assert (folder / "added.dxf").is_symlink()
    pytest.fail("it never ran to its end")


def test_a_disk_that_is_gone_for_good_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the old files cannot be put back, they are kept, and the message says where."""
    kept = 0
    for first in range(1, 100):
        folder = tmp_path / str(first)
        folder.mkdir()
        for name, content in OLD.items():
            (folder / name).write_bytes(content)
        with monkeypatch.context() as patch:
            disk = Disk(patch, first, full(), for_good=True)
            try:
                output.write(folder, NEW)
            except BadInputError as raised:
                said = str(raised)
            else:
                break
        assert disk.failed
        everywhere = {p.name: p.read_bytes() for p in folder.rglob("*")
                      if p.is_file() and p.read_bytes() in OLD.values()}  # fmt: skip
        assert everywhere == OLD
        if contents(folder) != OLD:
            kept += 1
            (staging,) = (p for p in folder.iterdir() if p.is_dir())
            assert str(staging) in said
    else:
        pytest.fail("it never ran to its end")
    assert kept >= len(OLD) - 1


@pytest.mark.parametrize("first", [1, 2, 9, 15, 16, 17, 20, 30, 41])
def test_the_command_tells_of_a_full_disk(
    first: int, last: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = everything(last)
    with monkeypatch.context() as patch:
        disk = Disk(patch, first, full(), for_good=False)
        result = run("draw", last.parent / "good.toml", "--to", last, "--units", "mm")
        assert disk.failed
    assert result.code == 2
    assert fields(result.err) == ["--to"]
    assert "No space left" in result.err
    assert everything(last) == before
