"""Heads on the shelf and in the smith's own folder: list, open, save, attacks, kills and races."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import tomllib
from pathlib import Path
from typing import Any

import pytest

from patterns import cli, output, profiles, reading, texts
from patterns.errors import BadInputError
from patterns.page import folders
from patterns.page.folders import (
    ChangedMeanwhileError,
    Folders,
    NotThereError,
    Opened,
    Saved,
    TakenError,
)

ROOT = Path(__file__).parent.parent.parent

MINE = """\
# The axe that hangs by the door.
name = "Door axe" # as we call it
note = "Invented for this test."

[eye]
form = "teardrop"   # nose ahead
length = "1 3/4 in"
width = "5/8 in"
front_radius = "1/8 in"

[wall]
thickness = "3/16 in"

[ears]
form = "pointed"
above = "7/8 in"
below = "7/8 in"

[poll]
height = "1 1/4 in"

[blade]
reach = "3 in"
toe = "1 1/16 in"
heel = "1 5/8 in"  # as deep as the hand likes
neck_above = "9/16 in"
neck_below = "9/16 in"
edge_radius = "4 1/2 in"
edge_angle = 25
stations = [ # from the eye
  ["3/8 in", "9/16 in"],
  ["1 1/4 in", "3/8 in"], # thin here
  ["2 1/2 in", "3/16 in"]
]

[blade.top]
form = "smooth"
leave = 2

[blade.bottom]
form = "smooth"
arrive = 42

[bit]
steel = "1084"
stock = "1/4 x 1 in"
thickness = "5/32 in"
insertion = "1 1/8 in"

[bar]
section = "3/8 x 1 1/4 in"
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "heads"
    folder.mkdir()
    (folder / "door-axe.toml").write_text(MINE, encoding="utf-8")
    return folder


def ids(folder: Path) -> list[str]:
    return [entry.id for entry in Folders(folder).entries() if entry.own]


def again(
    at: Folders, opened: Opened, name: str | None = None, stamp: str | None = "", **changes: str
) -> Saved:
    """Save what was opened, with changes such as ``eye__length="2 in"``."""
    told = {**opened.texts, **{key.replace("__", "."): text for key, text in changes.items()}}
    stem = Path(opened.id.partition("/")[2]).stem
    kept = opened.stamp if stamp == "" else stamp
    return at.save(told, name or stem, opened.id, kept, opened.texts)


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


# List and open ----------------------------------------------------------------------------------


def test_the_shelf_is_all_there_without_a_folder() -> None:
    found = Folders().entries()
    assert [entry.slug for entry in found] == list(profiles.shipped())
    assert all(entry.profile is not None and not entry.own for entry in found)
    for entry in found:
        opened = Folders().open(entry.id)
        assert not opened.faults
        assert opened.stamp == entry.stamp
        assert opened.texts == texts.of_table(profiles.table(entry.slug)[1])


def test_only_heads_are_listed(own: Path) -> None:
    for name, text in {
        "hands.toml": "[hand]\nspread = 1.1\n",
        "pyproject.toml": '[project]\nname = "x"\n',
        "rack.toml": '[[bar]]\nsection = "1/2 x 2 in"\n',
        "broken.toml": "[eye\n",
        "notes.txt": MINE,
        ".hidden.toml": MINE,
        "steels.toml": "eye = 1\nblade = 2\n",
    }.items():
        (own / name).write_text(text, encoding="utf-8")
    (own / "folder.toml").mkdir()
    (own / "deep").mkdir()
    (own / "deep" / "other.toml").write_text(MINE)
    (own / "large.toml").write_text(MINE + "#" * reading.LARGEST_FILE)
    assert ids(own) == ["own/door-axe.toml"]


def test_a_head_at_fault_is_listed_with_why(own: Path) -> None:
    (own / "thick.toml").write_text(MINE.replace('"3/16 in"\n\n[ears', '"2 in"\n\n[ears'))
    (own / "torn.toml").write_text(MINE.replace('name = "Door axe"', 'name = "Door'))
    (own / "latin.toml").write_bytes(MINE.replace("the door", "the d\u00f6r").encode("latin-1"))
    found = {entry.id: entry for entry in Folders(own).entries() if entry.own}
    assert set(found) == {f"own/{n}.toml" for n in ("door-axe", "thick", "torn", "latin")}
    assert "wall.thickness" in found["own/thick.toml"].fault
    assert found["own/thick.toml"].name == "Door axe"
    assert "not TOML" in found["own/torn.toml"].fault
    assert "UTF-8" in found["own/latin.toml"].fault
    assert found["own/door-axe.toml"].fault == ""
    for name in ("thick", "torn", "latin"):
        opened = Folders(own).open(f"own/{name}.toml")
        assert opened.faults
    assert Folders(own).open("own/thick.toml").texts["wall.thickness"] == "2 in"


def test_a_file_that_cannot_be_read_does_not_stop_the_list(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (own / "a.toml").write_text(MINE)
    whole = folders._content

    def broken(path: Path) -> bytes | None:
        if path.name == "a.toml":
            raise PermissionError(13, "Permission denied")
        return whole(path)

    monkeypatch.setattr(folders, "_content", broken)
    found = {entry.id: entry for entry in Folders(own).entries() if entry.own}
    assert "Permission denied" in found["own/a.toml"].fault
    assert found["own/door-axe.toml"].profile is not None
    with pytest.raises(NotThereError):
        Folders(own).open("own/a.toml")


def test_a_folder_of_many_files_is_read_so_far(own: Path) -> None:
    for i in range(folders.MOST_HEADS + 5):
        (own / f"axe-{i:04d}.toml").write_text("eye = {}\nblade = {}\n")
    found = ids(own)
    assert len(found) == folders.MOST_HEADS + 1  # the last says that there are more
    assert found == sorted(found)


def test_a_folder_that_is_not_there_lists_nothing(tmp_path: Path) -> None:
    assert ids(tmp_path / "none") == []
    assert Folders(tmp_path / "none").writable() == (False, "there is no such folder")
    assert Folders().writable()[0] is False
    assert Folders(tmp_path).writable() == (True, "")


# What leads elsewhere ---------------------------------------------------------------------------


def test_an_id_leads_to_nothing_outside(own: Path, tmp_path: Path) -> None:
    outside = tmp_path / "secret.toml"
    outside.write_text(MINE)
    (own / "out.toml").symlink_to(outside)
    (own / "round.toml").symlink_to(own / "round.toml")
    (own / "gone.toml").symlink_to(own / "nothing.toml")
    (own / "folder.toml").mkdir()
    (own / "folder.toml" / "in.toml").write_text(MINE)
    (own / "down.toml").symlink_to(own / "folder.toml" / "in.toml")
    (own / "device.toml").symlink_to("/dev/zero")
    os.mkfifo(own / "pipe.toml")
    at = Folders(own)
    for id in (
        "own/../secret.toml", f"own/{outside}", "own//etc/passwd", "own/out.toml",
        "own/round.toml", "own/gone.toml", "own/folder.toml", "own/folder.toml/in.toml",
        "own/down.toml", "own/device.toml", "own/pipe.toml", "own/a\0.toml", "own/..\\secret.toml",
        "own/./door-axe.toml", "own/", "own/.", "own/..", "own", "", "/", "shelf/../heads/door-axe",
        "shelf/", "shelf/none", "shelf/camp-axe.toml", "other/door-axe.toml", "own/.toml",
        "OWN/door-axe.toml", f"own/{'a' * 5000}.toml", "own/door-axe.toml/", "own/%2e%2e/a.toml",
        "own/a\ud800.toml", "own/\u202edoor.toml", "own/door-axe.toml:stream.toml",
    ):  # fmt: skip
        with pytest.raises(NotThereError):
            at.open(id)
    assert ids(own) == ["own/door-axe.toml"]
    assert at.open("own/door-axe.toml").texts["name"] == "Door axe"


def test_a_link_inside_the_folder_is_followed(own: Path) -> None:
    (own / "link.toml").symlink_to("door-axe.toml")
    at = Folders(own)
    opened = at.open("own/link.toml")
    saved = again(at, opened, blade__toe="1 1/8 in")
    assert saved.id == "own/link.toml"
    assert (own / "link.toml").is_symlink()
    assert 'toe = "1 1/8 in"' in (own / "door-axe.toml").read_text()


def test_nothing_is_written_through_a_link_that_leads_out(own: Path, tmp_path: Path) -> None:
    outside = tmp_path / "secret.toml"
    outside.write_text(MINE)
    (own / "out.toml").symlink_to(outside)
    (own / "hollow.toml").symlink_to(tmp_path / "made.toml")
    (own / "folder.toml").mkdir()
    os.mkfifo(own / "pipe.toml")
    at = Folders(own)
    opened = at.open("shelf/camp-axe")
    for name in ("out", "hollow", "folder", "pipe"):
        for id, stamp in (("shelf/camp-axe", opened.stamp), (f"own/{name}.toml", opened.stamp),
                          (f"own/{name}.toml", None), (None, None)):  # fmt: skip
            with pytest.raises(BadInputError) as caught:
                at.save(opened.texts, name, id, stamp, opened.texts)
            assert [fault.field for fault in caught.value.faults] == ["name"]
    assert outside.read_text() == MINE
    assert not (tmp_path / "made.toml").exists()


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("My Axe", "my-axe.toml"),
        ("../../etc/cron", "etc-cron.toml"),
        ("/tmp/x", "tmp-x.toml"),
        ("a\0b", "a-b.toml"),
        ("Bj\u00f6rns \u00c4xt.toml", "bjorns-axt.toml"),
        ("<script>", "script.toml"),
        ("head", "head.toml"),
    ],
)
def test_a_name_becomes_a_plain_one(own: Path, name: str, file: str) -> None:
    opened = Folders().open("shelf/camp-axe")
    saved = Folders(own).save(opened.texts, name, opened.id, opened.stamp, opened.texts)
    assert saved.id == f"own/{file}"
    assert (own / file).is_file()
    assert bool(saved.said) == (f"{name.removesuffix('.toml')}.toml" != file)
    assert sorted(path.name for path in own.iterdir()) == sorted(["door-axe.toml", file])


@pytest.mark.parametrize(
    "name", ["", "   ", ".", "..", "/", ".toml", "\u65a7", "camp-axe", "Camp Axe", "a" * 101]
)
def test_a_name_that_is_none_is_refused(own: Path, name: str) -> None:
    opened = Folders().open("shelf/camp-axe")
    with pytest.raises(BadInputError) as caught:
        Folders(own).save(opened.texts, name, opened.id, opened.stamp, opened.texts)
    assert [fault.field for fault in caught.value.faults] == ["name"]
    assert len(list(own.iterdir())) == 1


# Save -------------------------------------------------------------------------------------------


def test_a_save_keeps_comments_and_all_that_did_not_change(own: Path) -> None:
    at = Folders(own)
    saved = again(at, at.open("own/door-axe.toml"), blade__heel="1 11/16 in")
    assert (own / "door-axe.toml").read_text() == MINE.replace('"1 5/8 in"', '"1 11/16 in"')
    assert at.open(saved.id).stamp == saved.stamp
    assert again(at, at.open(saved.id)).stamp == saved.stamp  # nothing changed


def test_line_ends_and_byte_mark_stay(own: Path) -> None:
    content = b"\xef\xbb\xbf" + MINE.replace("\n", "\r\n").encode()
    (own / "door-axe.toml").write_bytes(content)
    at = Folders(own)
    again(at, at.open("own/door-axe.toml"), blade__heel="1 11/16 in")
    after = (own / "door-axe.toml").read_bytes()
    assert after == content.replace(b'"1 5/8 in"', b'"1 11/16 in"')


def test_the_file_is_the_head_that_the_window_shows(own: Path, tmp_path: Path) -> None:
    at = Folders(own)
    for id, name in (("own/door-axe.toml", "door-axe"), ("shelf/northern-axe", "north")):
        opened = at.open(id)
        changes = {"blade.toe": "28 mm", "name": "A # 'new' \"name\"", "blade.top.arrive": ""}
        told = {**opened.texts, **changes}
        saved = at.save(told, name, id, opened.stamp, opened.texts, "mm")
        path = own / saved.id.removeprefix("own/")
        raw, faults = texts.to_table(type(profiles.load("camp-axe").design), told)
        assert not faults
        shown = profiles.read(raw, "shown").design
        assert profiles.load(str(path)).design == shown
        assert texts.of_table(tomllib.loads(path.read_text("utf-8-sig"))) == {
            key: text for key, text in told.items() if text
        }
        assert cli.main(["draw", str(path), "--to", str(tmp_path / name)]) == 0
        assert (tmp_path / name / "plan.json").is_file()


def test_a_head_from_the_shelf_comes_with_its_help(own: Path) -> None:
    at = Folders(own)
    opened = at.open("shelf/camp-axe")
    saved = at.save(opened.texts, "mine", opened.id, opened.stamp, opened.texts)
    text = (own / "mine.toml").read_text()
    assert "# A head design to edit" in text
    assert "#perimeter" in text
    # and then its lines are filled in, in place
    mine = at.open(saved.id)
    again(at, mine, plate__thickness="4 mm", plate__stock="6 x 40 mm", poll__thickness="16 mm")
    after = (own / "mine.toml").read_text()
    assert set(text.splitlines()) <= set(after.splitlines())
    assert len(after.splitlines()) == len(text.splitlines()) + 3


def test_a_copy_keeps_comments_too(own: Path) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    saved = again(at, opened, name="second", blade__heel="1 11/16 in")
    assert saved.id == "own/second.toml"
    assert (own / "second.toml").read_text() == MINE.replace('"1 5/8 in"', '"1 11/16 in"')
    assert (own / "door-axe.toml").read_text() == MINE


def test_a_file_keeps_its_name_that_is_not_plain(own: Path) -> None:
    (own / "door-axe.toml").rename(own / "Door Axe.toml")
    at = Folders(own)
    opened = at.open("own/Door Axe.toml")
    for name in ("Door Axe", opened.slug):
        saved = again(at, at.open("own/Door Axe.toml"), name=name)
        assert (saved.id, saved.said) == ("own/Door Axe.toml", "")
    assert [path.name for path in own.iterdir()] == ["Door Axe.toml"]


def test_a_head_with_faults_is_refused_with_all(own: Path) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    before = snapshot(own)
    with pytest.raises(BadInputError) as caught:
        again(at, opened, name="..", wall__thickness="3", blade__toe="9 in", blade__edge_angle="x",
              odd__key="1")  # fmt: skip
    assert {fault.field for fault in caught.value.faults} == {
        "name", "wall.thickness", "blade.toe", "blade.edge_angle", "odd.key",
    }  # fmt: skip
    with pytest.raises(BadInputError) as caught:  # a rule that only the plan keeps
        again(at, opened, blade__beard="100 mm")
    assert snapshot(own) == before


def test_a_name_that_is_taken(own: Path) -> None:
    at = Folders(own)
    opened = at.open("shelf/camp-axe")
    for id, stamp in (("shelf/camp-axe", opened.stamp), (None, None), ("own/none.toml", "0" * 64)):
        with pytest.raises(TakenError, match="door-axe"):
            at.save(opened.texts, "door-axe", id, stamp, opened.texts)
    assert (own / "door-axe.toml").read_text() == MINE


def test_without_a_folder_nothing_is_saved() -> None:
    opened = Folders().open("shelf/camp-axe")
    with pytest.raises(BadInputError) as caught:
        Folders().save(opened.texts, "mine", opened.id, opened.stamp)
    assert [fault.field for fault in caught.value.faults] == ["folder"]


def test_a_text_too_long_to_be_read_again_is_not_written(own: Path) -> None:
    full = MINE + "#" * (reading.LARGEST_FILE - len(MINE))
    (own / "door-axe.toml").write_text(full)
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    with pytest.raises(BadInputError) as caught:
        again(at, opened, order="n" * 199)
    assert [fault.field for fault in caught.value.faults] == ["file"]
    assert (own / "door-axe.toml").read_text() == full


# Two windows ------------------------------------------------------------------------------------


def test_the_second_save_says_what_changed_and_loses_nothing(own: Path) -> None:
    at = Folders(own)
    first, second = at.open("own/door-axe.toml"), at.open("own/door-axe.toml")
    again(at, first, blade__toe="1 1/8 in", eye__length="1 7/8 in")
    after_first = (own / "door-axe.toml").read_text()
    told = {"blade__toe": "1 3/16 in", "poll__height": "1 3/8 in"}
    with pytest.raises(ChangedMeanwhileError) as caught:
        again(at, second, **told)
    assert (own / "door-axe.toml").read_text() == after_first
    found = caught.value
    assert [(c.key, c.label, c.was, c.theirs, c.yours) for c in found.changed] == [
        ("eye.length", "Length of the eye", "1 3/4 in", "1 7/8 in", "1 3/4 in"),
        ("poll.height", "Height of the poll", "1 1/4 in", "1 1/4 in", "1 3/8 in"),
        ("blade.toe", "Toe", "1 1/16 in", "1 1/8 in", "1 3/16 in"),
    ]
    assert found.theirs == at.open("own/door-axe.toml").texts
    assert found.stamp == at.open("own/door-axe.toml").stamp
    # the smith has seen it, and saves over it
    again(at, second, stamp=found.stamp, **told)
    assert at.open("own/door-axe.toml").texts == {
        **second.texts, "blade.toe": "1 3/16 in", "poll.height": "1 3/8 in",
    }  # fmt: skip
    assert "# as deep as the hand likes" in (own / "door-axe.toml").read_text()


def test_a_comment_that_another_program_wrote_is_a_change_too(own: Path) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    (own / "door-axe.toml").write_text(MINE + "# sharpened\n")
    with pytest.raises(ChangedMeanwhileError) as caught:
        again(at, opened)
    assert caught.value.changed == ()
    again(at, opened, stamp=caught.value.stamp, blade__heel="1 11/16 in")
    assert (own / "door-axe.toml").read_text().endswith("# sharpened\n")


def test_a_file_taken_away_meanwhile_is_made_anew(own: Path) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    (own / "door-axe.toml").unlink()
    with pytest.raises(ChangedMeanwhileError, match="taken away") as caught:
        again(at, opened)
    assert (caught.value.theirs, caught.value.stamp) == ({}, None)
    assert not list(own.iterdir())
    again(at, opened, stamp=None)
    assert at.open("own/door-axe.toml").texts == opened.texts
    with pytest.raises(ChangedMeanwhileError):  # another window thinks it is gone still
        again(at, opened, stamp=None)


def test_a_file_spoilt_meanwhile_is_not_saved_over(own: Path) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    (own / "door-axe.toml").write_text("not = = toml")
    with pytest.raises(ChangedMeanwhileError, match="no profile") as caught:
        again(at, opened)
    with pytest.raises(BadInputError):
        again(at, opened, stamp=caught.value.stamp)
    assert (own / "door-axe.toml").read_text() == "not = = toml"


@pytest.mark.parametrize("there", [True, False])
def test_of_twenty_saves_at_once_one_wins(own: Path, there: bool) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml" if there else "shelf/camp-axe")
    name = "door-axe" if there else "new-axe"
    won: list[int] = []
    refused: list[int] = []
    odd: list[BaseException] = []
    gate = threading.Barrier(20)

    def one(i: int) -> None:
        gate.wait()
        try:
            again(at, opened, name=name, note=f"number {i}")
            won.append(i)
        except (ChangedMeanwhileError, TakenError):
            refused.append(i)
        except BaseException as error:
            odd.append(error)

    threads = [threading.Thread(target=one, args=(i,)) for i in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not odd
    assert (len(won), len(refused)) == (1, 19)
    assert at.open(f"own/{name}.toml").texts["note"] == f"number {won[0]}"
    assert not [path for path in own.iterdir() if path.name.startswith(".")]


# When it goes wrong -----------------------------------------------------------------------------


def test_a_folder_that_cannot_be_written_to(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    at = Folders(own)
    opened = at.open("own/door-axe.toml")
    before = snapshot(own)

    def refused(*_: Any) -> None:
        raise OSError(30, "Read-only file system")

    for name in ("replace", "fsync"):
        with monkeypatch.context() as patched:
            patched.setattr(os, name, refused)
            with pytest.raises(BadInputError, match="Read-only file system") as caught:
                again(at, opened, blade__toe="1 1/8 in")
        assert [fault.field for fault in caught.value.faults] == ["folder"]
        assert snapshot(own) == before


def test_a_file_in_the_place_of_the_folder(own: Path) -> None:
    opened = Folders().open("shelf/camp-axe")
    for folder in (own / "door-axe.toml", own / "none"):
        with pytest.raises(BadInputError) as caught:
            Folders(folder).save(opened.texts, "mine", opened.id, opened.stamp)
        assert [fault.field for fault in caught.value.faults] == ["folder"]


SCRIPT = """
import os, random, signal, sys, time
from pathlib import Path
sys.path[:0] = [{root!r}]
from patterns import output
from patterns.errors import BadInputError
from patterns.page.folders import Folders
own = Path({own!r})
"""


def run(own: Path, script: str) -> str:
    whole = SCRIPT.format(root=str(ROOT), own=str(own)) + script
    done = subprocess.run(
        [sys.executable, "-c", whole], capture_output=True, text=True, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs root to leave")
def test_a_folder_that_may_only_be_read() -> None:
    """As somebody who is not root."""
    with tempfile.TemporaryDirectory() as place:
        own = Path(place) / "heads"
        own.mkdir()
        (own / "door-axe.toml").write_text(MINE)
        for path in (own, own.parent):
            path.chmod(0o755)
        said = run(own, """
at = Folders(own)
opened = at.open("own/door-axe.toml")
at.save(opened.texts, "door-axe", opened.id, opened.stamp)  # all that it imports is there now
os.setuid(65534)
print(at.writable())
for name, id in (("door-axe", opened.id), ("mine", "shelf/camp-axe")):
    try:
        at.save(opened.texts, name, id, opened.stamp)
    except BadInputError as error:
        print([fault.field for fault in error.faults], error)
""")  # fmt: skip
        lines = said.splitlines()
        assert lines[0] == "(False, 'it may only be read')"
        assert [line.startswith("['folder']") for line in lines[1:]] == [True, True]
        assert (own / "door-axe.toml").read_text() == MINE
        assert [path.name for path in own.iterdir()] == ["door-axe.toml"]


KILLED = """
def killed(work):
    pid = os.fork()
    if pid == 0:
        while True:
            work()
    time.sleep(random.uniform(0.005, 0.08))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_killed_save_leaves_the_old_or_the_new_file_whole(own: Path) -> None:
    """A process that saves in a loop, killed thirty times wherever it is."""
    said = run(own, KILLED + """
at = Folders(own)
file = own / "door-axe.toml"
texts = [{**at.open("own/door-axe.toml").texts, "note": sign * 300} for sign in "ab"]
whole = set()
for told in texts:
    opened = at.open("own/door-axe.toml")
    at.save(told, "door-axe", opened.id, opened.stamp)
    whole.add(file.read_bytes())
def work():
    for told in texts:
        opened = at.open("own/door-axe.toml")
        at.save(told, "door-axe", opened.id, opened.stamp)
seen = []
for _ in range(30):
    killed(work)
    seen.append(file.read_bytes())
print(len(whole), len(seen), all(one in whole for one in seen), len(set(seen)))
""")  # fmt: skip
    assert said.split()[:3] == ["2", "30", "True"]
    assert [entry.id for entry in Folders(own).entries() if entry.own] == ["own/door-axe.toml"]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_killed_write_leaves_no_half_of_a_new_file(own: Path) -> None:
    """The same for files that were not there: each that has a name holds all of its text."""
    said = run(own, KILLED + """
import itertools
for i in range(30):
    count = itertools.count()
    def work():
        path = own / f"new-{i}-{next(count)}.toml"
        output.replace(path, path.name.encode() * 4000, new=True)
    killed(work)
made = list(own.glob("new-*.toml"))
print(len(made) > 30, all(p.read_bytes() == p.name.encode() * 4000 for p in made))
""")  # fmt: skip
    assert said.split() == ["True", "True"]


# One file ---------------------------------------------------------------------------------------


def test_a_file_keeps_its_mode(own: Path) -> None:
    path = own / "door-axe.toml"
    for mode in (0o600, 0o664, 0o755):
        path.chmod(mode)
        output.replace(path, b"x")
        assert path.stat().st_mode & 0o7777 == mode


def test_a_new_file_has_the_mode_of_any_other(own: Path) -> None:
    output.replace(own / "new.toml", b"x", new=True)
    (own / "other.toml").write_bytes(b"x")
    assert (own / "new.toml").stat().st_mode == (own / "other.toml").stat().st_mode
    with pytest.raises(FileExistsError):
        output.replace(own / "new.toml", b"y", new=True)
    assert (own / "new.toml").read_bytes() == b"x"
    assert len(list(own.iterdir())) == 3


def test_a_file_system_without_links(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: Any) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    output.replace(own / "new.toml", b"x", new=True)
    assert (own / "new.toml").read_bytes() == b"x"
    with pytest.raises(FileExistsError):
        output.replace(own / "new.toml", b"y", new=True)
    monkeypatch.setattr(os, "replace", refused)
    with pytest.raises(PermissionError):
        output.replace(own / "newer.toml", b"x", new=True)
    assert sorted(path.name for path in own.iterdir()) == ["door-axe.toml", "new.toml"]


def test_of_two_servers_one_wins(tmp_path: Path) -> None:
    """Two processes save over one file at the same moment, with the same stamp: one is told."""
    script = """
import sys, time
from pathlib import Path
from patterns import reading, texts
from patterns.page.folders import ChangedMeanwhileError, Folders
folder = Path(sys.argv[1])
for turn in range(12):
    found = Folders(folder).open("own/mine.toml")
    changed = {**found.texts, "blade.toe": f"1 {turn * 2 + 1 + int(sys.argv[2]) * 32}/128 in"}
    (folder / f"{sys.argv[2]}-{turn}").touch()
    while not (folder / f"{1 - int(sys.argv[2])}-{turn}").exists():
        time.sleep(0.0005)
    try:
        Folders(folder).save(changed, "mine", found.id, found.stamp, found.texts)
        print("won", flush=True)
    except ChangedMeanwhileError:
        print("told", flush=True)
    (folder / f"{sys.argv[2]}-{turn}-done").touch()
    while not (folder / f"{1 - int(sys.argv[2])}-{turn}-done").exists():
        time.sleep(0.0005)
"""
    (tmp_path / "mine.toml").write_text(MINE)
    both = [
        subprocess.Popen(
            [sys.executable, "-c", script, str(tmp_path), str(which)], stdout=subprocess.PIPE,
            text=True, env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        )
        for which in (0, 1)
    ]  # fmt: skip
    said = [process.communicate(timeout=120)[0].split() for process in both]
    assert [len(each) for each in said] == [12, 12]
    assert all(sorted(pair) == ["told", "won"] for pair in zip(*said, strict=True))


def test_heads_beyond_the_most_are_told_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And other TOML before them in the folder does not count."""
    monkeypatch.setattr(folders, "MOST_HEADS", 3)
    for i in range(5):
        (tmp_path / f"a-list-{i}.toml").write_text("[other]\nkey = 1\n")
        (tmp_path / f"head-{i}.toml").write_text(MINE)
    own = [entry for entry in Folders(tmp_path).entries() if entry.own]
    assert [entry.id for entry in own] == [f"own/head-{i}.toml" for i in range(4)]
    assert [bool(entry.fault) for entry in own] == [False, False, False, True]
    assert "more than 3 heads" in own[-1].fault
