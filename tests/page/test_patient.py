"""Connections that do not come to the point do not keep others out."""

from __future__ import annotations

import asyncio
import contextlib
import socket

import pytest
import uvicorn

from patterns.page import patient


async def answer(scope: dict[str, object], receive: object, send: object) -> None:
    assert scope["type"] == "http"
    if scope["path"] == "/slow":
        await asyncio.sleep(0.6)
    await send(
        {"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]}
    )
    await send({"type": "http.response.body", "body": b"ok"})


async def closed(reader: asyncio.StreamReader) -> bool:
    with contextlib.suppress(ConnectionError):
        return await asyncio.wait_for(reader.read(), 2.0) == b""
    return True


def test_who_says_nothing_is_closed_and_who_is_answered_is_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(patient, "SLOWEST_REQUEST", 0.25)

    async def run() -> None:
        listening = socket.socket()
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        port = listening.getsockname()[1]
        server = uvicorn.Server(
            uvicorn.Config(answer, http=patient.PatientProtocol, log_level="critical", ws="none",
                           lifespan="off")
        )  # fmt: skip
        served = asyncio.create_task(server.serve([listening]))
        silent, silent_writer = await asyncio.open_connection("127.0.0.1", port)
        half, half_writer = await asyncio.open_connection("127.0.0.1", port)
        half_writer.write(b"GET / HTTP/1.1\r\nHost: x\r\n")
        slow, slow_writer = await asyncio.open_connection("127.0.0.1", port)
        slow_writer.write(b"GET /slow HTTP/1.1\r\nHost: x\r\n\r\n")
        assert await closed(silent)
        assert await closed(half)
        assert (await asyncio.wait_for(slow.readline(), 3.0)).startswith(b"HTTP/1.1 200")
        again, again_writer = await asyncio.open_connection("127.0.0.1", port)
        for _ in range(8):  # one that asks again and again stays
            again_writer.write(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
            assert (await again.readuntil(b"ok")).startswith(b"HTTP/1.1 200")
            await asyncio.sleep(0.1)
        for writer in (silent_writer, half_writer, slow_writer, again_writer):
            writer.close()
        server.should_exit = True
        await served

    asyncio.run(run())
