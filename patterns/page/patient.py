"""HTTP whose connections are closed when they do not come to the point.

uvicorn waits for a request's headers for as long as it takes, so that a few connections which say
nothing would keep everybody else out.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

SLOWEST_REQUEST = 10.0
"""Seconds in which a connection must have told a whole request, the first or another."""


class PatientProtocol(H11Protocol):
    """Closes a connection that has told no whole request for a while and is not being answered."""

    _seen: Any = None
    _look: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        if self._look is not None:
            self._look.cancel()
        super().connection_lost(exc)

    def _wait(self) -> None:
        self._look = self.loop.call_later(SLOWEST_REQUEST, self._looked)

    def _looked(self) -> None:
        if self.transport.is_closing():
            return
        answered = self.cycle is None or self.cycle.response_complete
        if answered and self.cycle is self._seen:
            self.transport.close()
            return
        self._seen = self.cycle
        self._wait()
