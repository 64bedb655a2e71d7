"""A profile's text with some values changed: the rest stays to the byte, and no comment is lost.

Every text is read back with the standard library's reader, which shares no code with what took it
apart.
"""

from __future__ import annotations

import copy
import io
import tokenize
import tomllib
from typing import Any

import pytest
from designs import examples
from hypothesis import given
from hypothesis import strategies as st

from patterns import profiles, reading, starting, texts
from patterns.parameters import Design, spec_at
from patterns.rewrite import NotRewrittenError, differences, rewritten, with_groups

SHELF = {name: path.read_text(encoding="utf-8") for name, path in profiles.shipped().items()}

ODD = '''\
# The axe of the shed   \t
  name = 'Shed "axe"'  # in plain quotes
note = """Two
lines # not a comment"""\t# behind a text

order = "" # nobody's
bar.section = "1/2 x 1 1/2 in"#right behind
bar . steel = "1018"

# before the eye
[eye] # of the handle
length = "2 in"     # along
width = "5/8 in"

# a drawn poll
[ "poll" ]
height = "1 5/8 in"
#thickness = "3/8 in"

[blade.top] # no blade yet
form = "smooth" # fair
"leave" = 2.0
arrive = 2_0 # with a stroke

[blade]
reach = "4 in"
stations = [ # from the eye on
  ["3/8 in", "9/16 in"], # first
    # between
  ["2 in", "1/2 in"],   # second
  ["3 7/8 in", '1/8 in'] # last # of all
] # and that is all
bottom = { form = "arc",  hollow = "1/8 in" } # inline

[wall]
thickness = "1/4 in" # no line end after this'''

NO_TABLES = (
    'name = "A" # one\neye.length = "2 in" # two\neye.width = "1 in"\nwall.thickness = "5 mm"'
)
CROWDED = (
    "[a.b]\nx=1\n[a]\ny=2 # y\n[[row]]\n# in a row\nz=3\n[[row]]\nz=4 # z\n[row.inner]\nq = 5\n"
)

TEXTS = {**SHELF, "odd": ODD, "no tables": NO_TABLES, "crowded": CROWDED, "empty": "",
         "only a comment": "# nothing\n",
         "to start from": starting.text(tomllib.loads(SHELF["camp-axe"]))}  # fmt: skip
TEXTS["windows"] = ODD.replace("\n", "\r\n")
TEXTS["marked"] = "\ufeff" + ODD


def parsed(text: str) -> dict[str, Any]:
    return tomllib.loads(text.removeprefix("\ufeff"))


def comments(text: str) -> list[str]:
    """The comments of a text: by Python's own tokenizer, which quotes as TOML does, line by line.

    Texts over several lines and those in single quotes are alike in both for the texts above.
    """
    flat = text.removeprefix("\ufeff").replace("\r\n", "\n")
    found = []
    for token in tokenize.generate_tokens(io.StringIO(f"({flat}\n)").readline):
        if token.type == tokenize.COMMENT:
            found.append(token.string.rstrip())
    return found


def test_comments_are_found() -> None:
    assert len(comments(ODD)) == 21  # counted by hand
    assert comments("a = '# no' # yes") == ["# yes"]


def check(text: str, now: dict[str, Any]) -> str:
    found = rewritten(text, parsed(text), now)
    assert parsed(found) == now
    assert sorted(comments(found)) == sorted(comments(text))
    assert found.startswith("\ufeff") == text.startswith("\ufeff")
    if "\r\n" in text:
        assert "\n" not in found.replace("\r\n", "")
    return found


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines that are gone and lines that are new."""
    old, new = before.splitlines(True), after.splitlines(True)
    return [ln for ln in old if ln not in new], [ln for ln in new if ln not in old]


@pytest.mark.parametrize("name", TEXTS)
def test_nothing_changed_comes_back_to_the_byte(name: str) -> None:
    text = TEXTS[name]
    assert rewritten(text, parsed(text), copy.deepcopy(parsed(text))) == text


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_a_value_changes_and_its_comment_stays(ends: str, mark: str) -> None:
    text = mark + ODD.replace("\n", ends)
    now = parsed(text)
    now["eye"]["length"] = "2 1/16 in"
    now["blade"]["top"]["arrive"] = 21
    now["name"] = "Shed axe"
    gone, new = changed_lines(text, check(text, now))
    assert gone == [
        f"  name = 'Shed \"axe\"'  # in plain quotes{ends}",
        f'length = "2 in"     # along{ends}',
        f"arrive = 2_0 # with a stroke{ends}",
    ]
    assert new == [
        f'  name = "Shed axe"  # in plain quotes{ends}',
        f'length = "2 1/16 in"     # along{ends}',
        f"arrive = 21 # with a stroke{ends}",
    ]


def test_a_list_over_several_lines_keeps_its_comments() -> None:
    now = parsed(ODD)
    now["blade"]["stations"][1] = ["2 in", "7/16 in"]
    gone, new = changed_lines(ODD, check(ODD, now))
    assert gone == ['  ["2 in", "1/2 in"],   # second\n']
    assert new == ['  ["2 in", "7/16 in"],   # second\n']
    for stations in (
        [["1 in", "1/2 in"]],
        [*now["blade"]["stations"], ["4 in", "1/16 in"]],
        [["1/4 in", "5/8 in"], *now["blade"]["stations"]],
        [],
    ):
        check(ODD, {**now, "blade": {**now["blade"], "stations": stations}})


def test_a_key_goes_and_its_comment_stays() -> None:
    now = parsed(ODD)
    del now["eye"]["length"], now["order"], now["bar"]["section"], now["blade"]["stations"]
    found = check(ODD, now)
    assert "\n# along\n" in found
    assert "\n# nobody's\n" in found
    assert "\n#right behind\nbar . steel" in found


def test_an_inline_table_is_changed_in_its_place() -> None:
    now = parsed(ODD)
    now["blade"]["bottom"] = {"form": "arc", "hollow": "3/16 in"}
    gone, new = changed_lines(ODD, check(ODD, now))
    assert new == ['bottom = { form = "arc",  hollow = "3/16 in" } # inline\n']
    assert len(gone) == 1
    now["blade"]["bottom"] = {"form": "smooth", "leave": 3, "arrive": 30}
    assert "} # inline\n" in check(ODD, now)
    del now["blade"]["bottom"]
    assert "\n# inline\n" in check(ODD, now)


def test_a_new_key_goes_into_its_table() -> None:
    now = parsed(ODD)
    now["eye"]["form"] = "ellipse"
    now["poll"]["thickness"] = "7/16 in"
    now["wall"]["odd"] = "x"
    now["bar"]["odd"] = 1
    found = check(ODD, now)
    assert '[eye] # of the handle\nform = "ellipse"\nlength = "2 in"' in found
    assert '#thickness = "3/8 in"\nthickness = "7/16 in"\n\n[blade.top]' in found
    assert '# no line end after this\nodd = "x"\n' in found
    assert 'bar . steel = "1018"\nbar.odd = 1\n' in found
    assert changed_lines(ODD, found)[0] == [ODD.splitlines()[-1]]  # it got its line end


def test_a_new_table_goes_where_the_schema_has_it() -> None:
    now = parsed(ODD)
    now["ears"] = {"form": "none"}
    now["handle"] = {"length": "20 in", "grip": "3 in"}
    found = check(ODD, now)
    assert 'thickness = "1/4 in" # no line end after this\n\n[ears]\nform = "none"\n' in found
    text = SHELF["tomahawk"]
    now = parsed(text)
    now["plate"] = {"thickness": "4 mm", "stock": "6 x 40 mm"}
    found = check(text, now)
    before, plate, after = found.partition('[plate]\nthickness = "4 mm"\nstock = "6 x 40 mm"\n\n')
    assert plate
    assert before + after == text
    assert after.startswith("[blade]")
    now = parsed(NO_TABLES)
    now["eye"]["form"] = "ellipse"
    now["poll"] = {"height": "4 cm"}
    assert check(NO_TABLES, now) == (
        NO_TABLES.replace('"2 in" # two', '"2 in" # two').replace(
            'eye.width = "1 in"\n', 'eye.width = "1 in"\neye.form = "ellipse"\n')
        + '\n\n[poll]\nheight = "4 cm"\n'
    )  # fmt: skip


def test_a_comment_above_a_table_stays_above_it() -> None:
    text = '[eye]\nlength = "2 in"\n\n# of the blade\n[blade]\nreach = "4 in"\n'
    now = parsed(text)
    now["wall"] = {"thickness": "5 mm"}
    assert check(text, now) == (
        '[eye]\nlength = "2 in"\n\n[wall]\nthickness = "5 mm"\n\n# of the blade\n[blade]\n'
        'reach = "4 in"\n'
    )


def test_a_text_to_start_from_is_filled_in() -> None:
    """A key at its default is given right after the line that shows it."""
    text = TEXTS["to start from"]
    raw = parsed(text)
    told = {**texts.of_table(raw), "plate.thickness": "5 mm", "plate.stock": "6 x 40 mm"}
    del told["allowances.heats"], told["allowances.drift_stretch"]
    table, _ = texts.to_table(Design, told)
    now = with_groups(raw, table)
    found = check(text, now)
    assert '#thickness = "..."\nthickness = "5 mm"\n' in found
    assert [ln for ln in found.splitlines() if ln.startswith("[")] == [
        ln for ln in text.splitlines() if ln.startswith("[")
    ]
    assert profiles.read(parsed(found), "x").design == profiles.read(table, "x").design


def test_keys_before_the_first_table_stay_there() -> None:
    text = '# head\n\n[eye]\nlength = "2 in"\n'
    assert check(text, {**parsed(text), "name": "A"}).startswith("# head\n")
    assert check("", {"name": "A"}) == 'name = "A"\n'
    assert check("# only\n", {"name": "A", "eye": {"length": "2 in"}}) == (
        '# only\nname = "A"\n\n[eye]\nlength = "2 in"\n'
    )


def test_all_tables_go() -> None:
    for name, text in TEXTS.items():
        if parsed(text):
            found = check(text, {"name": "B"})
            assert "[" not in "".join(ln for ln in found.splitlines(True) if "#" not in ln), name
            check(text, {})


def test_a_table_takes_the_place_of_a_value_and_back() -> None:
    text = 'eye = 3 # odd\n[wall] # w\nthickness = "5 mm" # t\n'
    check(text, {"eye": {"length": "2 in"}, "wall": 5})
    check(CROWDED, {**parsed(CROWDED), "row": 5})
    check(CROWDED, {"row": [{"z": 3}], "a": {"b": {}}})
    check(CROWDED, {**parsed(CROWDED), "a": {"b": 1, "y": {"k": [1, {"m": 2}]}}})


def test_a_yes_is_not_a_one() -> None:
    assert rewritten("a = 1\n", {"a": 1}, {"a": True}) == "a = true\n"
    assert rewritten("a = 1.0\n", {"a": 1.0}, {"a": 1}) == "a = 1.0\n"


def test_what_is_not_toml_is_refused() -> None:
    with pytest.raises(NotRewrittenError):
        rewritten("a = = 1", {"a": 1}, {"a": 2})
    with pytest.raises(NotRewrittenError):
        rewritten("a = 1", {"b": 1}, {"b": "\ud800"})


# Random changes ---------------------------------------------------------------------------------

PLAIN = st.one_of(
    st.sampled_from(["2 in", "31.5 mm", "# no comment", 'a "quoted" text', "it's", "ä\u00a0ö", ""]),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
    st.integers(-99, 99), st.floats(-99.0, 99.0), st.booleans(),
)  # fmt: skip
VALUES = st.one_of(
    PLAIN,
    st.lists(st.lists(PLAIN, min_size=2, max_size=2), max_size=4),
    st.dictionaries(st.sampled_from(["form", "hollow", "odd key"]), PLAIN, max_size=2),
)
KEYS = [*sorted({key for text in TEXTS.values() for key in texts.of_table(parsed(text))}),
    "plate.thickness", "handle.grip", "hand.bite", "blade.bottom.through", "odd", "odd.inner",
    "eye.odd key", "order",
]  # fmt: skip


@examples(100)
@given(data=st.data())
def test_random_changes_lose_no_comment(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(TEXTS)))
    text = TEXTS[name]
    now = copy.deepcopy(parsed(text))
    for _ in range(data.draw(st.integers(1, 6))):
        path = data.draw(st.sampled_from(KEYS)).split(".")
        how = data.draw(st.sampled_from(("put", "put", "take", "take table")))
        if how == "take table":
            now.pop(path[0], None)
            continue
        at: Any = now
        for part in path[:-1]:
            if not isinstance(at.get(part), dict):
                at[part] = {}
            at = at[part]
        if how == "put":
            at[path[-1]] = data.draw(VALUES)
        else:
            at.pop(path[-1], None)
    found = check(text, now)
    # and back again: the values are those that were, in the same places
    assert parsed(rewritten(found, now, parsed(text))) == parsed(text)


OTHER = {"points": '[["7 mm", "8 mm"]]', **dict.fromkeys(("angle", "number", "count"), "7")}


@examples(100)
@given(name=st.sampled_from(sorted(SHELF)), data=st.data())
def test_one_change_touches_one_line(name: str, data: st.DataObject) -> None:
    text = SHELF[name]
    told = texts.of_table(parsed(text))
    key = data.draw(st.sampled_from(sorted(told)))
    table, _ = texts.to_table(Design, {**told, key: OTHER.get(spec_at(key).kind, "77 mm")})
    found = rewritten(text, parsed(text), table)
    assert reading.toml(found) == table
    old, new = text.splitlines(True), found.splitlines(True)
    assert len(old) == len(new)
    assert sum(a != b for a, b in zip(old, new, strict=True)) <= 1


def test_differences_are_told_in_the_schemas_order() -> None:
    was = {"eye.width": "1 in", "name": "A", "odd": "1", "blade.toe": "2 in"}
    now = {"eye.width": "1 in", "blade.toe": "2 1/2 in", "name": "B", "wall.thickness": "5 mm"}
    found = [(d.key, d.label, d.was, d.now) for d in differences(was, now)]
    assert found == [
        ("name", "Name", "A", "B"),
        ("wall.thickness", "Thickness of the wall", None, "5 mm"),
        ("blade.toe", "Toe", "2 in", "2 1/2 in"),
        ("odd", "odd", "1", None),
    ]
    assert differences(was, dict(was)) == ()
