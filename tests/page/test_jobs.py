"""Jobs begun, watched, stopped, killed and forgotten: nothing of them is left over.

Where the work itself does not matter, a small script stands in for the process and does as it is
told; what is asked of real work is in :mod:`test_work`.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "command"))
from running import ROOT, run

from patterns import profiles, reading, texts
from patterns.errors import BadInputError
from patterns.page import jobs, work
from patterns.page.jobs import BusyError, Jobs, NotThereError

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/stat").exists(), reason="asks Linux which processes there are"
)

PATIENCE = 60.0  # seconds after which a test gives up; none of them asserts a time

STAND_IN = """\
import json, os, subprocess, sys, time
line = sys.stdin.readline()
asked = json.loads(line) if line else sys.exit()
do, folder = asked["request"]["do"], asked["folder"]
def tell(**told):
    print(json.dumps(told), flush=True)
tell(doing="trying " + do, done=1, of=4)
if do == "sleep":
    time.sleep(1000)
elif do == "family":
    subprocess.Popen([sys.executable, "-c", "import time; time.sleep(1000)"],
                     stdout=subprocess.DEVNULL)
    time.sleep(1000)
elif do == "die":
    os.kill(os.getpid(), 9)
elif do == "leave":
    sys.exit(3)
elif do == "garble":
    print('{"files": [["a.txt", 5', end="", flush=True)
elif do == "faults":
    tell(faults=[{"field": "sheet", "given": "x", "allowed": "y", "change": "z"}])
elif do == "error":
    tell(error="it went wrong")
else:
    os.mkdir(folder + "/files")
    for name in ("a.txt", "b.svg", "c.odd"):
        with open(folder + "/files/" + name, "w") as file:
            file.write(name * 200)
    tell(files=[["a.txt", 1000], ["b.svg", 1000], ["c.odd", 1000]], missing=[["d.dxf", "no"]],
         notes=["a note"])
    time.sleep(1000)
"""


def request(head: str = "belt-hatchet", **options: Any) -> dict:
    given = texts.of_table(reading.toml_file(profiles.find(head)))
    return {"texts": given, "slug": head, "units": "in", "options": options}


LONG_NEST = {"process": "plasma", "thickness": "3/16 in", "sheet": "60 x 40 in", "sets": 60}
"""A nest that is searched for longer than any test takes."""


def until(check: Callable[[], Any]) -> Any:
    end = time.monotonic() + PATIENCE
    while not (found := check()):
        assert time.monotonic() < end, "it never came about"
        time.sleep(0.005)
    return found


def ended(some: Jobs, name: str) -> dict:
    until(lambda: some.state(name)["state"] not in ("waiting", "working"))
    return some.state(name)


def alive(pid: int) -> bool:
    """Whether a process is there and not only waiting to be counted as dead."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except OSError:
        return False


def family(pid: int) -> set[int]:
    """All processes that descend from one."""
    parents = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parents[int(path.parent.name)] = int(path.read_text().rpartition(")")[2].split()[1])
        except OSError:
            continue
    found = {pid}
    while more := {child for child, parent in parents.items() if parent in found} - found:
        found |= more
    return {each for each in found - {pid} if alive(each)}


@pytest.fixture(autouse=True)
def _nothing_is_left(tmp_path: Path) -> Iterator[None]:
    """After each test: no process, no thread, no file more than there were before."""
    threads, before = set(threading.enumerate()), family(os.getpid())
    yield
    until(lambda: family(os.getpid()) <= before)
    assert set(threading.enumerate()) <= threads
    assert list(tmp_path.glob("eyewrap-*")) == []


@pytest.fixture
def _stand_in(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    script = tmp_path / "stand_in.py"
    script.write_text(STAND_IN)
    monkeypatch.setattr(jobs, "_START", f"exec(open({str(script)!r}).read())")
    monkeypatch.setattr(work, "read", lambda kind, request: None)


# Real work ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("ready", [False, True])
def test_a_set_from_begin_to_end(tmp_path: Path, ready: bool) -> None:
    with Jobs(tmp_path) as some:
        if ready:
            some.prepare()
            some.prepare()
            assert len(family(os.getpid())) == 1  # one waits, however often it is asked for
        name = some.begin("set", request(paper="a4"))
        state = ended(some, name)
        assert (state["state"], state["error"], state["faults"]) == ("done", "", [])
        assert state["done"] == state["of"]
        assert run("draw", "belt-hatchet", "--paper", "a4", "--to", tmp_path / "set").code == 0
        written = {path.name: path.read_bytes() for path in (tmp_path / "set").iterdir()}
        assert {file["name"]: file["size"] for file in state["files"]} == {
            file: len(content) for file, content in written.items()
        }
        for file, content in written.items():
            assert some.file(name, file).read_bytes() == content
        with zipfile.ZipFile(some.zip(name)) as made:
            assert made.testzip() is None
            assert {each: made.read(each) for each in made.namelist()} == written
        assert json.loads(json.dumps(state)) == state


def test_a_search_is_stopped_with_all_that_it_began(tmp_path: Path) -> None:
    with Jobs(tmp_path) as some:
        name = some.begin("nest", request(**LONG_NEST))
        until(lambda: some.state(name)["doing"].startswith("sheet"))
        pids = family(os.getpid())
        assert len(pids) == 2  # the work, and the search in a process of its own
        assert list(tmp_path.glob(f"eyewrap-*/{name}"))
        some.stop(name)
        state = some.state(name)
        assert (state["state"], state["files"], state["error"]) == ("stopped", [], "")
        until(lambda: not any(alive(pid) for pid in pids))
        until(lambda: not list(tmp_path.glob(f"eyewrap-*/{name}")))
        with pytest.raises(NotThereError):
            some.zip(name)


def test_faults_come_at_once_and_begin_nothing(tmp_path: Path) -> None:
    with Jobs(tmp_path) as some:
        with pytest.raises(BadInputError) as raised:
            some.begin("set", request(paper="a99", sheets="hat"))
        assert [fault.field for fault in raised.value.faults] == ["paper", "sheets"]
        assert family(os.getpid()) == set()


def test_faults_of_the_making_are_told(tmp_path: Path) -> None:
    with Jobs(tmp_path) as some:
        state = ended(some, some.begin("nest", request(sheet="1/4 x 1/4 in")))
        assert state["state"] == "failed"
        assert [fault["field"] for fault in state["faults"]] == ["margin"]
        assert set(state["faults"][0]) == {"field", "given", "allowed", "change"}
        assert state["error"]


SERVER = """\
import json, os, sys, time
sys.path.insert(0, {here!r})
from pathlib import Path
from test_jobs import LONG_NEST, family, request, until
from patterns.page.jobs import Jobs
some = Jobs(Path({folder!r}))
some.prepare()
names = [some.begin("nest", request(**LONG_NEST)) for _ in range(2)]
until(lambda: all(some.state(name)["doing"].startswith("sheet") for name in names))
some.prepare()
print(*family(os.getpid()), flush=True)
time.sleep(1000)
"""


def test_a_killed_server_leaves_nothing(tmp_path: Path) -> None:
    script = SERVER.format(here=str(Path(__file__).parent), folder=str(tmp_path))
    server = subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert server.stdout is not None
    with server:
        try:
            pids = [int(pid) for pid in server.stdout.readline().split()]
        finally:
            server.kill()
    assert len(pids) == 5  # two jobs, a search of each, and the process that waits for the next
    until(lambda: not any(alive(pid) for pid in pids))
    until(lambda: not list(tmp_path.glob("eyewrap-*")))


# With a stand-in ---------------------------------------------------------------------------------


@pytest.mark.usefixtures("_stand_in")
def test_progress_and_outcome(tmp_path: Path) -> None:
    with Jobs(tmp_path) as some:
        name = some.begin("set", {"do": "work"})
        state = ended(some, name)
        assert state.pop("seconds") > 0.0
        assert state == {
            "id": name, "kind": "set", "state": "done", "doing": "", "done": 4, "of": 4,
            "files": [
                {"name": "a.txt", "size": 1000, "type": "text/plain; charset=utf-8"},
                {"name": "b.svg", "size": 1000, "type": "image/svg+xml"},
                {"name": "c.odd", "size": 1000, "type": "application/octet-stream"},
            ],
            "missing": [["d.dxf", "no"]], "notes": ["a note"], "faults": [], "error": "",
        }  # fmt: skip
        assert some.file(name, "a.txt").read_text() == "a.txt" * 200
        some.stop(name)  # which is over: it stays
        assert some.state(name)["state"] == "done"


@pytest.mark.usefixtures("_stand_in")
def test_two_at_once_and_the_others_in_turn(tmp_path: Path) -> None:
    with Jobs(tmp_path, most=2, waiting=2) as some:
        names = [some.begin("set", {"do": "sleep"}) for _ in range(4)]
        until(lambda: all(some.state(name)["done"] == 1 for name in names[:2]))
        assert [some.state(name)["state"] for name in names] == ["working"] * 2 + ["waiting"] * 2
        assert some.state(names[2])["seconds"] == 0.0
        assert len(family(os.getpid())) == 2
        with pytest.raises(BusyError, match="2 jobs are under way and 2 wait"):
            some.begin("set", {"do": "sleep"})
        some.stop(names[2])  # it has not begun
        assert some.state(names[2])["state"] == "stopped"
        some.stop(names[0])
        until(lambda: some.state(names[3])["state"] == "working")
        assert some.state(names[1])["state"] == "working"
        fifth = some.begin("set", {"do": "work"})
        some.stop(names[1])
        assert ended(some, fifth)["state"] == "done"


@pytest.mark.usefixtures("_stand_in")
@pytest.mark.parametrize(
    ("do", "says"),
    [
        ("die", "signal 9"),
        ("leave", "code 3"),
        ("garble", "broken off"),
        ("error", "it went wrong"),
        ("faults", "as it was asked for"),
    ],
)
def test_what_goes_wrong_is_told_in_words(tmp_path: Path, do: str, says: str) -> None:
    with Jobs(tmp_path) as some:
        name = some.begin("set", {"do": do})
        state = ended(some, name)
        assert (state["state"], state["files"]) == ("failed", [])
        assert says in state["error"]
        assert bool(state["faults"]) == (do == "faults")
        with pytest.raises(NotThereError):
            some.file(name, "a.txt")
        assert ended(some, some.begin("set", {"do": "work"}))["state"] == "done"


@pytest.mark.usefixtures("_stand_in")
def test_a_killed_process_takes_those_with_it_that_it_began(tmp_path: Path) -> None:
    with Jobs(tmp_path) as some:
        name = some.begin("set", {"do": "family"})
        pids = until(lambda: len(found := family(os.getpid())) == 2 and found)
        first = min(pids)
        os.kill(first, signal.SIGKILL)
        assert "signal 9" in ended(some, name)["error"]
        until(lambda: not any(alive(pid) for pid in pids))


@pytest.mark.usefixtures("_stand_in")
def test_work_that_takes_too_long_is_ended(tmp_path: Path) -> None:
    with Jobs(tmp_path, seconds=0.25) as some:
        name = some.begin("set", {"do": "family"})
        state = ended(some, name)
        assert state["state"] == "failed"
        assert "0.25 s" in state["error"]
        until(lambda: not family(os.getpid()))


@pytest.mark.usefixtures("_stand_in")
def test_old_jobs_are_forgotten_with_their_files(tmp_path: Path) -> None:
    with Jobs(tmp_path, kept=2) as some:
        names = []
        for _ in range(4):
            names.append(some.begin("set", {"do": "work"}))
            ended(some, names[-1])
        (own,) = tmp_path.glob("eyewrap-*")
        until(lambda: {path.name for path in own.iterdir()} == set(names[2:]))
        for name in names[:2]:
            for ask in (some.state, some.stop, some.zip, lambda name: some.file(name, "a.txt")):
                with pytest.raises(NotThereError):
                    ask(name)
        assert all(some.state(name)["state"] == "done" for name in names[2:])


@pytest.mark.usefixtures("_stand_in")
def test_only_names_of_the_list_are_files(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("secret")
    with Jobs(tmp_path) as some:
        name = some.begin("set", {"do": "work"})
        ended(some, name)
        for bad in ("../../../secret.txt", "..", ".", "", "/etc/passwd", "./a.txt", "a.txt/",
                    "../files/a.txt", "A.TXT", "a.txt\0", str(tmp_path / "secret.txt"),
                    jobs.ZIP):  # fmt: skip
            with pytest.raises(KeyError):
                some.file(name, bad)
        for bad in ("", "..", "../" + name, name[:-1], name + "/"):
            with pytest.raises(KeyError):
                some.state(bad)
        assert len(name) >= 20


@pytest.mark.usefixtures("_stand_in")
def test_the_same_files_make_the_same_zip(tmp_path: Path) -> None:
    with Jobs(tmp_path) as some:
        made = []
        for day in (0.0, 1e9):
            name = some.begin("set", {"do": "work"})
            ended(some, name)
            for file in ("a.txt", "b.svg", "c.odd"):
                os.utime(some.file(name, file), (day, day))
            made.append(some.zip(name).read_bytes())
            assert some.zip(name).read_bytes() == made[-1]
        assert made[0] == made[1]
        assert 0 < len(made[0]) < 3 * 1000  # packed


@pytest.mark.usefixtures("_stand_in")
def test_close_ends_all_and_takes_no_more(tmp_path: Path) -> None:
    some = Jobs(tmp_path, most=2, waiting=3)
    some.prepare()
    names = [some.begin("set", {"do": "family"}) for _ in range(4)]
    until(lambda: len(family(os.getpid())) == 4)
    some.prepare()
    some.close()
    assert {some.state(name)["state"] for name in names} == {"stopped"}
    with pytest.raises(BusyError):
        some.begin("set", {"do": "work"})
    some.prepare()
    some.close()


@pytest.mark.usefixtures("_stand_in")
def test_many_threads_at_once(tmp_path: Path) -> None:
    """Eight threads begin, watch, stop and fetch, whatever comes of it."""
    broken: list[BaseException] = []

    def smith(number: int, some: Jobs) -> None:
        try:
            for turn in range(6):
                try:
                    name = some.begin("set", {"do": ("work", "sleep", "die")[(number + turn) % 3]})
                except BusyError:
                    continue
                for _ in range(20):
                    with contextlib.suppress(NotThereError):
                        some.state(name)
                        some.zip(name)
                with contextlib.suppress(NotThereError):
                    some.stop(name)
        except BaseException as error:
            broken.append(error)

    with Jobs(tmp_path, kept=3) as some:
        threads = [threading.Thread(target=smith, args=(i, some)) for i in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert broken == []
        # none of them took a place with it
        assert ended(some, some.begin("set", {"do": "work"}))["state"] == "done"
