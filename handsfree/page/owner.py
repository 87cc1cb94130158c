"""Keeps the page of this machine for the user who runs the helper: other users are turned away.

Linux tells whose a connection on this machine is. Where the system does not tell, the page's
address carries a key, new at each start, which the browser keeps as a cookie from its first use.
The administrator is no exception: what runs as root may pass on the requests of others, such as a
proxy or a container's network, and an administrator can become the user anyway.
"""

import ipaddress
import os
import secrets
import socket
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeAlias

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from handsfree.page.callers import OF_CONNECTION
from handsfree.page.networks import is_loopback

Peer: TypeAlias = tuple[str, int]
"""Address and port of one end of a connection."""

TABLES = (Path("/proc/net/tcp"), Path("/proc/net/tcp6"))
_LOOKS = 3  # a row can be missed while the system's table changes
_NOBODY_KNOWN = 65534  # what the system shows for every user that this container does not know
_ENDS, _USER, _INODE = slice(1, 3), 7, 9  # columns; without an inode it is nobody's any more

_OWN = "own user"
_REFUSED = "This page answers only the user who runs the helper."
_REMEDY = (
    "Open it in a browser of that user, by the whole address that the helper told as it started. "
    "For others, start the helper with --share, open the address that it tells then, and pair."
)
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


def owner_of(client: Peer, server: Peer, tables: Sequence[Path] = TABLES) -> int | None:
    """The user whose connection on this machine goes from `client` to `server`.

    Args:
        client: the end that is asked about.
        server: the other end.
        tables: where the system lists the connections of this machine.

    Returns:
        The user's number; None where the system does not tell, or the connection has no owner
        any more.
    """
    wanted = [[*ends] for ends in zip(_spelled(client), _spelled(server), strict=True)]
    for table in tables:
        try:
            rows = table.read_text(encoding="ascii").splitlines()[1:]
        except (OSError, ValueError):
            continue
        for row in rows:
            columns = row.split()
            if columns[_ENDS] in wanted and len(columns) > _INODE and columns[_INODE] != "0":
                user = int(columns[_USER])
                return None if user == _NOBODY_KNOWN else user
    return None


def system_tells() -> bool:
    """Whether this system tells whose a connection is: asked about one of our own."""
    try:
        with (
            socket.create_server(("127.0.0.1", 0)) as server,
            socket.create_connection(server.getsockname(), timeout=1) as client,
        ):
            return owner_of(client.getsockname(), client.getpeername()) == own_user()
    except OSError:
        return False


def own_user() -> int:
    """The number of the user who runs the helper; -1, which nobody has, where there is none."""
    return os.geteuid() if hasattr(os, "geteuid") else -1


class OwnUser:
    """Lets in whoever is on another machine, which is not its matter, and here the own user alone.

    Args:
        app: is asked once a request is let in.
        key: what lets in whose user is not told or is another.
        owner: whose a connection is.
    """

    def __init__(
        self, app: ASGIApp, key: str, owner: Callable[[Peer, Peer], int | None] = owner_of
    ) -> None:
        self._app = app
        self._key = key
        self._owner = owner

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request in, or turn it away."""
        client = scope.get("client")
        if scope["type"] != "http" or client is None or not is_loopback(client[0]):
            await self._app(scope, receive, send)
            return
        request, server = Request(scope), scope["server"]
        cookie = f"page-{server[1]}"  # a browser does not keep the cookies of ports apart
        if scope["path"] == "/" and self._is_key(request.query_params.get("key")):
            opened = RedirectResponse("/", status_code=303)  # the key leaves the address
            opened.set_cookie(cookie, self._key, path="/", httponly=True, samesite="strict")
            await opened(scope, receive, send)
            return
        known = scope.get("state", {}).get(OF_CONNECTION, {})  # asking takes milliseconds
        if not (known.get(_OWN) or self._is_key(request.cookies.get(cookie))):
            known[_OWN] = self._is_own(client, server)
            if not known[_OWN]:
                await _turned_away(scope)(scope, receive, send)
                return
        await self._app(scope, receive, send)

    def _is_key(self, given: str | None) -> bool:
        return given is not None and secrets.compare_digest(given.encode(), self._key.encode())

    def _is_own(self, client: Peer, server: Peer) -> bool:
        looks = (self._owner(client, server) for _look in range(_LOOKS))
        return next((user for user in looks if user is not None), None) == own_user()


def _turned_away(scope: Scope) -> Response:
    """A plain page that says what to do, or the same as JSON to what is no page."""
    if scope["path"] != "/":
        return JSONResponse({"error": f"{_REFUSED} {_REMEDY}"}, 403, _HEADERS)
    page = (
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>Not opened</title>'
        f"<h1>{_REFUSED}</h1><p>{_REMEDY}</p></html>"
    )
    return HTMLResponse(page, 403, _HEADERS)


def _spelled(end: Peer) -> tuple[str, ...]:
    """How the system's tables spell an end of a connection: an IPv4 one in two ways."""
    address = ipaddress.ip_address(end[0])
    packed = [address.packed]
    if address.version == 4:
        packed.append(bytes(10) + b"\xff\xff" + address.packed)  # as an IPv6 socket has it
    return tuple(f"{_words(each)}:{end[1]:04X}" for each in packed)


def _words(packed: bytes) -> str:
    """Each four bytes as one number of this machine."""
    parts = (packed[at : at + 4] for at in range(0, len(packed), 4))
    return "".join(f"{int.from_bytes(part, sys.byteorder):08X}" for part in parts)
