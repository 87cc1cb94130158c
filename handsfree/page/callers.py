"""Who is connected to the page: a request arrives whole within seconds, or its connection ends.

What sends half a request, or nothing, holds a place until then; of too many such the oldest gives
way to the newest, so that they keep nobody out. An answer that is under way, such as the stream of
events, has no time limit and gives way to none.
"""

import asyncio
import ssl
from pathlib import Path
from typing import ClassVar

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

REQUEST_S = 5.0  # from the first byte of a request, or the first contact, to its last byte
PER_DEVICE = 64  # connections of one address: a browser holds six to a page and one to its stream
IN_ALL = 256  # few beside the 1024 files that a process may commonly have open
OF_CONNECTION = "connection"
"""In the state of a request's scope: a dict that lives as long as its connection."""
_WHOLE = frozenset({h11.DONE, h11.MUST_CLOSE})


def http_server(app: ASGIApp, certificate: Path | None) -> uvicorn.Server:
    """What serves an app on sockets that it is given, encrypted with a PEM file if there is one."""
    return uvicorn.Server(
        uvicorn.Config(
            app,
            log_config=None,
            log_level="error",  # what strangers send is no news for the helper's terminal
            access_log=False,
            server_header=False,
            lifespan="off",
            http=_callers(certificate),
            ws="none",
            loop="asyncio",
            timeout_keep_alive=5,
            timeout_graceful_shutdown=1,
            h11_max_incomplete_event_size=16 * 1024,
            proxy_headers=False,  # who asks is whoever is at the other end, nobody else's word
        )
    )


def _callers(certificate: Path | None) -> "type[Caller]":
    """What the server makes of each connection: plain, or encrypted with that PEM file."""
    if certificate is None:
        return Caller
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(certificate)

    class SecureCaller(Caller):
        tls = context

    return SecureCaller


class Caller(H11Protocol):
    """One connection, counted from its first moment, before anything is encrypted.

    Encryption begins here and not in the server, which would count a connection only once it is
    encrypted and wait a minute for that.
    """

    tls: ClassVar[ssl.SSLContext | None] = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the connection in, in the place of an older one if need be."""
        super().connection_made(transport)
        self.app_state = {**self.app_state, OF_CONNECTION: {}}
        self._line = transport  # itself, without encryption
        self._since = self.loop.time()
        self._deadline: asyncio.TimerHandle | None = None
        self._early: bytes | None = None
        self._await_request()
        self._make_room()
        if self.tls is not None and self in self.connections:
            self._early = b""
            self._encrypting = self.loop.create_task(self._encrypt(self.tls))

    def data_received(self, data: bytes) -> None:
        """Read on; the request's time is over once all of it is there."""
        if self._early is not None:
            if self._line.get_protocol() is self:  # plain bytes ahead of the encryption
                self._line.abort()
            self._early += data
            return
        super().data_received(data)
        if self._answering:
            self._stop_waiting()
        else:
            self._await_request()

    def connection_lost(self, exc: Exception | None) -> None:
        """Let go of it."""
        self._stop_waiting()
        super().connection_lost(exc)

    async def _encrypt(self, tls: ssl.SSLContext) -> None:
        try:
            encrypted = await self.loop.start_tls(
                self._line, self, tls, server_side=True,
                ssl_handshake_timeout=REQUEST_S, ssl_shutdown_timeout=REQUEST_S,
            )  # fmt: skip
        except OSError:  # so are an SSLError and a time-out
            encrypted = None
        if encrypted is None or encrypted.is_closing():
            self._line.abort()
            self.connection_lost(None)
            return
        super().connection_made(encrypted)
        early, self._early = self._early, None
        if early:
            self.data_received(early)

    @property
    def _answering(self) -> bool:
        """Whether a whole request is there and its answer is not at its end."""
        whole = self.conn.their_state in _WHOLE
        return whole and self.cycle is not None and not self.cycle.response_complete

    def _await_request(self) -> None:
        if self._deadline is None:
            self._since = self.loop.time()
            self._deadline = self.loop.call_later(REQUEST_S, self._end)

    def _stop_waiting(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _end(self) -> None:
        """The time is over; what is still being sent to a slow reader goes out first."""
        if self._line.get_write_buffer_size():
            self.transport.close()
        else:
            self._line.abort()

    def _make_room(self) -> None:
        everybody = [other for other in self.connections if isinstance(other, Caller)]
        of_device = [other for other in everybody if other._host == self._host]
        others = [other for other in of_device if other is not self]
        for group, at_most, may_go in (
            (of_device, PER_DEVICE, others),  # where the others are all being answered, it stays
            (everybody, IN_ALL, everybody),
        ):
            waiting = [other for other in may_go if not other._answering]
            if len(group) > at_most and waiting:
                oldest = min(waiting, key=lambda other: other._since)
                self.connections.discard(oldest)  # at once: its end is told a moment later
                oldest._line.abort()

    @property
    def _host(self) -> str:
        return self.client[0] if self.client is not None else ""
