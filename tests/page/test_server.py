"""The server's answers over HTTP: every question, with sense and with nonsense."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from benches import client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from patterns import profiles, reading
from patterns import texts as flat
from patterns.page import server
from patterns.page.asked import LONGEST_TEXT

BELT = flat.of_table(reading.toml_file(profiles.find("belt-hatchet")))
SAID = {"texts": BELT, "units": "in", "slug": "belt-hatchet"}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with client(tmp_path_factory.mktemp("heads")) as found:
        yield found


@pytest.fixture
def lone(tmp_path: Path) -> Iterator[TestClient]:
    """A server of the test's own: the shared one may be busy with jobs of the tests before."""
    with client(tmp_path) as found:
        yield found


def test_the_start_tells_what_there_is(tmp_path: Path) -> None:
    rack, log = tmp_path / "rack.csv", tmp_path / "log.csv"
    rack.write_text("section,length\n3/8 x 1 1/4 in,36 in\n")
    with client(tmp_path, rack=rack, log=log) as page:
        start = page.get("/api/start", params={"units": "mm"}).json()
        assert start["units"] == "mm"
        assert (start["rack"], start["log"], start["printer"], start["smith"]) == (
            True, True, None, None,
        )  # fmt: skip
        assert start["folder"] == {"name": tmp_path.name, "writable": True, "why": ""}
        assert str(tmp_path) not in json.dumps(start), "where the folder lies is nobody's business"
        assert {paper["name"] for paper in start["papers"]} >= {"letter", "a4"}
        chosen = page.post("/api/choose", json=SAID).json()
        assert [row["section"] for row in chosen["rows"]] == ["3/8 x 1 1/4 in"]


def test_every_head_is_opened_shown_and_drawn(page: TestClient) -> None:
    heads = page.get("/api/shelf").json()["heads"]
    assert [head["slug"] for head in heads if head["own"] is False]
    assert {head["slug"] for head in heads} >= set(profiles.shipped())
    for head in heads:
        opened = page.post("/api/open", json={"id": head["id"]}).json()
        assert opened["faults"] == []
        seen = page.post("/api/view", json={"texts": opened["texts"], "units": "mm"}).json()
        assert seen["faults"] == []
        assert seen["picture"]["side"]["box"][2] > 50.0


def test_a_head_that_is_not_there(page: TestClient) -> None:
    for name in ("own/none.toml", "shelf/none", "own/../x.toml", "", "/etc/passwd", "\ud800"):
        said = json.dumps({"id": name}).encode()  # a lone surrogate as JSON has it
        answer = page.post("/api/open", content=said, headers={"Content-Type": "application/json"})
        assert answer.status_code == 404, name


def test_what_is_saved_is_there_and_a_second_window_is_told(page: TestClient) -> None:
    said = {**SAID, "name": "My hatchet", "base": BELT, "id": "shelf/belt-hatchet", "stamp": None}
    saved = page.post("/api/save", json=said)
    assert saved.status_code == 200
    assert saved.json()["id"] == "own/my-hatchet.toml"
    taken = page.post("/api/save", json=said)
    assert (taken.status_code, taken.json()["why"]) == (409, "taken")
    stamp = saved.json()["stamp"]
    mine = {**said, "id": saved.json()["id"], "stamp": stamp, "name": "my-hatchet"}
    thick = {**BELT, "wall.thickness": "7/32 in"}
    assert page.post("/api/save", json={**mine, "texts": thick}).status_code == 200
    wide = {**BELT, "blade.toe": "1 1/8 in"}
    second = page.post("/api/save", json={**mine, "texts": wide})
    assert (second.status_code, second.json()["why"]) == (409, "changed")
    assert second.json()["theirs"]["wall.thickness"] == "7/32 in"
    changed = {each["key"] for each in second.json()["changed"]}
    assert changed == {"wall.thickness", "blade.toe"}


def test_a_job_from_beginning_to_end(lone: TestClient) -> None:
    assert lone.post("/api/jobs", json={**SAID, "kind": "none"}).status_code == 422
    begun = lone.post("/api/jobs", json={**SAID, "kind": "set", "options": {"sheets": ["bit"]}})
    assert begun.status_code == 202
    at = f"/api/jobs/{begun.json()['id']}"
    for _ in range(600):
        state = lone.get(at).json()
        if state["state"] not in ("waiting", "working"):
            break
        threading.Event().wait(0.1)
    assert state["state"] == "done", state
    names = {file["name"] for file in state["files"]}
    assert names == {"plan.json", "4-bit.svg", "belt-hatchet.pdf"}
    for name in names:
        got = lone.get(f"{at}/files/{name}")
        assert got.status_code == 200
        assert got.headers["content-disposition"] == f'attachment; filename="{name}"'
    assert lone.get(f"{at}/all.zip").content[:2] == b"PK"
    for path in ("/files/other", "/files/..%2f..%2fetc", "/files/all.zip"):
        assert lone.get(at + path).status_code == 404
    for path in ("/api/jobs/none", "/api/jobs/none/all.zip"):
        assert lone.get(path).status_code == 404


def test_an_error_of_our_own_is_told_in_words(
    page: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(bench: object, asked: object) -> None:
        raise ZeroDivisionError("a secret of the program")

    monkeypatch.setitem(server.ANSWERS, "view", broken)
    answer = page.post("/api/view", json=SAID)
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert answer.headers["content-security-policy"]


def test_too_much_at_once_is_asked_to_come_again(
    page: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "WAITING", 0)
    assert page.post("/api/view", json=SAID).status_code == 503


def test_what_takes_too_long_is_left(page: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on = threading.Event()

    def slow(bench: object, asked: object) -> None:
        go_on.wait(20.0)

    monkeypatch.setattr(server, "SLOWEST", 0.2)
    monkeypatch.setitem(server.ANSWERS, "view", slow)
    assert page.post("/api/view", json=SAID).status_code == 503
    go_on.set()


# Nonsense ----------------------------------------------------------------------------------------

ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=10), inner, max_size=4)
    ),
    max_leaves=8,
)
NAMES = ("texts", "units", "slug", "id", "name", "stamp", "base", "grip", "way", "to", "sheet",
         "paper", "piece", "pieces", "want", "rack", "options", "kind", "leave_out")  # fmt: skip
SOUND = {
    "texts": BELT, "base": BELT, "units": "in", "slug": "belt-hatchet", "piece": {}, "pieces": [],
    "name": "a", "id": "shelf/belt-hatchet", "way": "eye", "to": "strip", "sheet": "bit",
    "kind": "set", "options": {},
}  # fmt: skip


@settings(
    max_examples=250, deadline=None, derandomize=True, database=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(
    st.sampled_from([name for name in server.ANSWERS if name not in server.ASKED_FOR]),
    st.dictionaries(st.sampled_from(NAMES), ANY, max_size=3), st.booleans(),
)  # fmt: skip
def test_any_json_gets_an_answer_in_words(
    page: TestClient, name: str, said: dict[str, object], sound: bool
) -> None:
    body = json.dumps((SOUND if sound else {}) | said).encode()
    if name == "jobs" and sound and not said:
        return  # a job indeed
    answer = page.post(
        f"/api/{name}", content=body, headers={"Content-Type": "application/json"}
    )  # fmt: skip
    assert answer.status_code in (200, 202, 404, 409, 422, 503), (answer.status_code, body)
    found = answer.json()
    if answer.status_code == 422:
        assert found["faults"]
        assert all(fault["field"] and fault["allowed"] for fault in found["faults"])
    elif answer.status_code >= 400:
        assert found["error"]


@pytest.mark.parametrize("name", [n for n in server.ANSWERS if n not in server.ASKED_FOR])
@pytest.mark.parametrize(
    "body",
    [b"", b"{}", b"[]", b"null", b"{", b'{"texts": NaN}', b'{"texts": {"eye.length": 3}}',
     b'{"texts": {"' + b"x" * 300 + b'": "1"}}', b'{"grip": {"name": "toe", "x": 1e999, "y": 0}}',
     b'{"texts": {"name": "\\ud800"}, "units": "in"}', b'{"units": "furlong"}', b"[" * 90_000,
     b'{"texts": {"eye.length": "' + b"9" * LONGEST_TEXT + b' in"}}'],
)  # fmt: skip
def test_what_no_page_would_say(page: TestClient, name: str, body: bytes) -> None:
    headers = {"Content-Type": "application/json"}
    answer = page.post(f"/api/{name}", content=body, headers=headers)
    assert answer.status_code in (200, 404, 422), answer.text
    assert answer.json()


@pytest.mark.parametrize("key", ["name", "note", "order", "bar.steel", "eye.length", "\ud800"])
def test_half_a_sign_is_a_fault_and_no_error(lone: TestClient, key: str) -> None:
    """JSON can hold a lone surrogate, which no text in UTF-8 can."""
    body = json.dumps({**SAID, "texts": {**BELT, key: "a\ud800b"}}).encode()
    headers = {"Content-Type": "application/json"}
    more = json.loads(body) | {"sheet": "bit", "name": "n", "base": {}, "kind": "set"}
    said = json.dumps(more).encode()
    for name in ("view", "sheet", "save", "jobs"):
        answer = lone.post(f"/api/{name}", content=said, headers=headers)
        assert answer.status_code in (200, 422), (name, answer.text)
        found = answer.json()
        assert found["faults"], name


def test_a_drag_from_where_the_foremost_point_is_a_corner(page: TestClient) -> None:
    """The toe on the foremost of the edge lies back by nothing, or by rounding even less."""
    carving = flat.of_table(reading.toml_file(profiles.find("carving-axe")))
    edge = {"blade.reach": "143.7 mm", "blade.heel": "127.6 mm", "blade.edge_radius": "1271.8 mm"}
    for toe in range(20, 40):
        texts = carving | edge | {"blade.toe": f"{toe} mm", "blade.edge_centre": f"{toe} mm"}
        for grip in ("toe", "heel"):
            said = {"texts": texts, "grip": {"name": grip, "x": 178.7, "y": 155.58}}
            answer = page.post("/api/view", json=said)
            assert answer.status_code == 200, (toe, grip)
