"""What a request may be: from where it comes, how large it is, how long it takes.

A page on the smith's own machine can be reached by every other page in his browser. So a request is
answered only if its ``Host`` is one that was told at the start (another name may point here: DNS
rebinding), if its ``Origin``, where it has one, is that host, and if the browser does not call it
cross-site. The rules follow the HTML, Fetch and CSP standards.
"""

from __future__ import annotations

import asyncio
import hmac
import ipaddress
import json
from collections.abc import Collection
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = 256_000
"""Bytes of a request: a head is a page of text, a rack or a log somewhat more."""

SLOWEST_BODY = 10.0
"""Seconds in which a request must be told whole."""

COOKIE = "eyewrap"

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' blob:; connect-src 'self'; manifest-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; "
    "trusted-types 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
"""On every answer of the application: nothing from elsewhere is loaded, nobody else may read it."""


@dataclass(frozen=True)
class Door:
    """Where the page may be reached: names as ``host:port``, and a key if not from here alone.

    With ``anywhere``, an address in figures will do in place of a name: no other page can make a
    browser send that, as it can with a name of its own.
    """

    hosts: Collection[str]
    port: int
    anywhere: bool = False
    key: str | None = field(default=None, repr=False)

    def takes(self, host: str) -> bool:
        """Whether a ``Host`` is one of ours.

        >>> door = Door({"127.0.0.1:8000", "localhost:8000"}, 8000)
        >>> [door.takes(host) for host in ("localhost:8000", "LOCALHOST:8000", "evil.example:8000")]
        [True, True, False]
        """
        if host.lower() in self.hosts:
            return True
        name, _, port = host.rpartition(":")
        if not self.anywhere or port != str(self.port):
            return False
        try:
            ipaddress.ip_address(name.strip("[]"))
        except ValueError:
            return False
        return True


class Guard:
    """Stands before the application; answers by itself what may not pass."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app, self.door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return  # a web socket is refused by saying nothing
        headers: dict[str, list[str]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.decode("latin-1"), []).append(value.decode("latin-1"))
        refused = self._refused(scope, headers)
        if refused is not None:
            await _say(send, *refused)
            return
        if (cookie := self._let_in(scope)) is not None:
            await _send(send, 303, b"", {"Location": "/", "Set-Cookie": cookie})
            return
        if not self._has_key(headers):
            await _say(send, 401, "Open the page by the address that was shown when it was begun, "
                       "key and all.")  # fmt: skip
            return
        try:
            async with asyncio.timeout(SLOWEST_BODY):
                body = await _whole(receive)
        except TimeoutError:
            await _say(send, 408, "The request was not told in time.")
            return
        if body is None:
            await _say(send, 413, f"More than {LARGEST_BODY:,} bytes.")
            return
        await self.app(scope, _again(body, receive), _with_headers(send))

    def _refused(self, scope: Scope, headers: dict[str, list[str]]) -> tuple[int, str] | None:
        """Status and words for a request that is none of ours."""
        hosts = headers.get("host", [])
        if len(hosts) != 1 or not self.door.takes(hosts[0]):
            return 421, "This is not the address of the page."
        origins = headers.get("origin", [])
        if any(origin.lower() != f"http://{hosts[0].lower()}" for origin in origins):
            return 403, "Another page may not ask this one."
        site = headers.get("sec-fetch-site", ["none"])[0]
        opened = headers.get("sec-fetch-mode", [""])[0] == "navigate" and scope["path"] == "/"
        if site not in ("same-origin", "none") and not opened:
            return 403, "Another page may not ask this one."
        if scope["method"] == "POST":
            kind = headers.get("content-type", [""])[0].partition(";")[0].strip().lower()
            if kind != "application/json":
                return 415, "Say it as application/json."
        told = headers.get("content-length", ["0"])[0]
        if not told.isdecimal() or len(told) > 12 or int(told) > LARGEST_BODY:
            return 413, f"More than {LARGEST_BODY:,} bytes."
        return None

    def _let_in(self, scope: Scope) -> str | None:
        """The cookie for one who comes with the key in the address, so that it stays no longer."""
        if self.door.key is None or scope["path"] != "/":
            return None
        asked = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
        if not hmac.compare_digest(asked.encode(), self.door.key.encode()):
            return None
        return f"{COOKIE}={self.door.key}; HttpOnly; SameSite=Strict; Path=/"

    def _has_key(self, headers: dict[str, list[str]]) -> bool:
        if self.door.key is None:
            return True
        try:
            held = SimpleCookie("; ".join(headers.get("cookie", []))).get(COOKIE)
        except CookieError:
            return False
        return held is not None and hmac.compare_digest(
            held.value.encode(), self.door.key.encode()
        )  # fmt: skip


async def _whole(receive: Receive) -> bytes | None:
    """The request's body; None if it is too large."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > LARGEST_BODY:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _again(body: bytes, receive: Receive) -> Receive:
    """The body, told once more, and then whatever comes."""
    told = False

    async def tell() -> Message:
        nonlocal told
        if told:
            return await receive()
        told = True
        return {"type": "http.request", "body": body, "more_body": False}

    return tell


def _with_headers(send: Send) -> Send:
    async def headed(message: Message) -> None:
        if message["type"] == "http.response.start":
            mine = [(k.lower().encode(), v.encode()) for k, v in HEADERS.items()]
            message = {**message, "headers": [*message.get("headers", []), *mine]}
        await send(message)

    return headed


async def _say(send: Send, status: int, words: str) -> None:
    await _send(send, status, json.dumps({"error": words}).encode(), {})


async def _send(send: Send, status: int, body: bytes, headers: dict[str, str]) -> None:
    every = {"content-type": "application/json", "content-length": str(len(body)),
             "connection": "close", **HEADERS, **headers}  # fmt: skip
    raw = [(k.lower().encode(), v.encode()) for k, v in every.items()]
    await send({"type": "http.response.start", "status": status, "headers": raw})
    await send({"type": "http.response.body", "body": body})
