"""What may pass to the page and what may not: the ways in which another page or machine could ask.

The rules tried are those of the Fetch standard (Origin, Sec-Fetch-Site), of RFC 9110 (Host) and of
CSP level 3; the attacks are the usual ones on a server that listens on one's own machine.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest
from benches import HOST, client
from starlette.testclient import TestClient

from patterns.page import guard
from patterns.page.guard import Door, Guard

VIEW = {"texts": {}, "units": "in"}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with client(tmp_path_factory.mktemp("heads")) as found:
        yield found


def test_its_own_page_may_ask(page: TestClient) -> None:
    own = {"Origin": f"http://{HOST}", "Sec-Fetch-Site": "same-origin"}
    assert page.post("/api/view", json=VIEW, headers=own).status_code == 200
    assert page.post("/api/view", json=VIEW).status_code == 200  # a program without a browser


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8000", "127.0.0.1", "127.0.0.1:8001", "localhost.:8000",
     "127.0.0.1:8000.evil.example", "user@127.0.0.1:8000", "[::1]:8000:8000", "192.168.1.5:8000",
     "0.0.0.0:8000", "2130706433:8000", "127.1:8000", ""],
)  # fmt: skip
def test_another_name_for_this_machine_is_refused(page: TestClient, host: str) -> None:
    answer = page.post("/api/view", json=VIEW, headers={"Host": host})
    assert answer.status_code == 421
    assert page.get("/", headers={"Host": host}).status_code == 421


@pytest.mark.parametrize(
    "origin",
    ["null", "http://evil.example", "https://127.0.0.1:8000", "http://127.0.0.1:8001",
     "http://localhost:8000", "http://127.0.0.1:8000.evil.example", "file://", ""],
)  # fmt: skip
def test_another_origin_is_refused(page: TestClient, origin: str) -> None:
    for method, path in (("POST", "/api/view"), ("GET", "/api/shelf"), ("DELETE", "/api/jobs/x")):
        answer = page.request(method, path, json=VIEW, headers={"Origin": origin})
        assert answer.status_code == 403, (method, path)


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_calls_another_site_is_refused(page: TestClient, site: str) -> None:
    asked = {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": "cors"}
    assert page.get("/api/shelf", headers=asked).status_code == 403
    assert page.get("/page.css", headers={**asked, "Sec-Fetch-Mode": "no-cors"}).status_code == 403
    followed = {**asked, "Sec-Fetch-Mode": "navigate"}  # a link to the page may be followed,
    assert page.get("/", headers=followed).status_code == 200
    assert page.get("/api/shelf", headers=followed).status_code == 403  # but no further


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", None])
def test_what_a_form_of_another_page_can_send_is_refused(page: TestClient, kind: str) -> None:
    headers = {} if kind is None else {"Content-Type": kind}
    answer = page.post("/api/view", content=b'{"texts": {}}', headers=headers)
    assert answer.status_code == 415


def test_no_leave_is_given_to_other_origins(page: TestClient) -> None:
    asked = {"Origin": "http://evil.example", "Access-Control-Request-Method": "POST"}
    answer = page.options("/api/view", headers=asked)
    assert answer.status_code == 403
    assert not [name for name in answer.headers if name.startswith("access-control")]


def test_a_large_body_is_refused_whole_and_in_pieces(page: TestClient) -> None:
    json = {"Content-Type": "application/json"}
    large = b" " * (guard.LARGEST_BODY + 1)
    assert page.post("/api/view", content=large, headers=json).status_code == 413
    pieces = (large[i : i + 4096] for i in range(0, len(large), 4096))  # with no length told
    assert page.post("/api/view", content=pieces, headers=json).status_code == 413
    just = b'{"texts": {}}'.ljust(guard.LARGEST_BODY)
    assert page.post("/api/view", content=just, headers=json).status_code == 200
    for length in ("9" * 30, "-1", "1e3", "0x10"):
        lied = {**json, "Content-Length": length}
        assert page.post("/api/view", content=b"{}", headers=lied).status_code == 413


def test_a_body_that_never_ends_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "SLOWEST_BODY", 0.05)
    reached, sent = [], []

    async def application(scope: object, receive: object, send: object) -> None:
        reached.append(scope)

    async def receive() -> dict[str, object]:
        await asyncio.sleep(0.02)
        return {"type": "http.request", "body": b" ", "more_body": True}

    async def send(message: dict[str, object]) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/api/view", "query_string": b"",
        "headers": [(b"host", HOST.encode()), (b"content-type", b"application/json")],
    }  # fmt: skip
    asyncio.run(Guard(application, Door({HOST}, 8000))(scope, receive, send))
    assert not reached
    assert sent[0]["status"] == 408


@pytest.mark.parametrize(
    "path", ["/", "/page.css", "/api/start", "/api/nothing", "/nothing", "/api/jobs/none"]
)
def test_every_answer_is_closed_to_others(page: TestClient, path: str) -> None:
    headers = page.get(path).headers
    for name, value in guard.HEADERS.items():
        assert headers.get_list(name) == [value], name


def test_nothing_in_the_policy_is_loose() -> None:
    policy = guard.HEADERS["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert "*" not in policy
    assert "http" not in policy


@pytest.mark.parametrize(
    "path",
    ["/../server.py", "/%2e%2e/server.py", "/..%2fserver.py", "/web/../server.py",
     "//etc/passwd", "/%2fetc%2fpasswd", "/page.html%00.css", "/.page.html", "/server.py",
     "/api/../../server.py", "/api/jobs/x/files/..%2f..%2fetc%2fpasswd"],
)  # fmt: skip
def test_no_path_leads_outside(page: TestClient, path: str) -> None:
    answer = page.get(path)
    assert answer.status_code == 404
    assert "import" not in answer.text
    assert "root:" not in answer.text


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "TRACE"])
def test_other_methods_do_nothing(page: TestClient, method: str) -> None:
    answer = page.request(method, "/api/view", json=VIEW)
    assert answer.status_code == 405


# With a key --------------------------------------------------------------------------------------

OPEN = Door({"anvil:8000"}, 8000, anywhere=True, key="a-key_of-ours")


def test_from_the_network_a_key_is_asked_for(tmp_path: Path) -> None:
    with client(tmp_path, OPEN) as page:
        assert page.get("/").status_code == 401
        assert page.post("/api/view", json=VIEW).status_code == 401
        for wrong in ("", "a-key_of-our", "a-key_of-ours0"):
            assert page.get("/", params={"key": wrong}).status_code == 401
            held = {"Cookie": f"eyewrap={wrong}"}
            assert page.get("/", headers=held).status_code == 401
        page.cookies.clear()
        let_in = page.get("/", params={"key": OPEN.key}, follow_redirects=False)
        assert let_in.status_code == 303
        assert let_in.headers["location"] == "/"
        assert "HttpOnly" in let_in.headers["set-cookie"]
        assert "SameSite=Strict" in let_in.headers["set-cookie"]
        assert page.post("/api/view", json=VIEW).status_code == 200


def test_from_the_network_no_other_name_will_do(tmp_path: Path) -> None:
    with client(tmp_path, OPEN) as page:
        page.get("/", params={"key": OPEN.key})
        for host, status in (
            ("192.168.1.20:8000", 200), ("[fe80::1]:8000", 200), ("anvil:8000", 200),
            ("evil.example:8000", 421), ("192.168.1.20:8001", 421), ("192.168.1.20", 421),
        ):  # fmt: skip
            page.cookies.clear()
            headers = {"Host": host, "Cookie": f"eyewrap={OPEN.key}"}
            assert page.get("/", headers=headers).status_code == status, host


def test_the_key_is_not_in_what_is_logged() -> None:
    assert OPEN.key not in repr(OPEN)
