"""Shares the page on the local network: who is let in, how a device is paired, what it is shown.

Whoever asks from this machine itself is let in: `owner.py` has looked whose request it is. Every
other device first gives the code that stands on the helper's screen, and gets a token in a cookie
that no script can read and no other site sends.
"""

import io
import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from handsfree.errors import PageError
from handsfree.page.networks import (
    host_name,
    is_address,
    is_loopback,
    is_private,
    network_address,
)
from handsfree.page.pairing import Pairing, Refused

if TYPE_CHECKING:  # its library is loaded only for https
    from handsfree.page.certificate import Certificate

COOKIE = "helper"
COOKIE_DAYS = 400  # the longest that browsers keep one
OPEN = frozenset({"/pair", "/pair.js", "/page.css", "/mark.svg", "/helper.crt"})
"""What a device that is not paired may ask for: enough to pair it, and nothing of the talk."""


@dataclass(frozen=True, slots=True)
class Sharing:
    """How the user wants the page shared.

    Attributes:
        address: of this machine on the network; found out when empty.
        secure: by https.
        afresh: every device that was paired before is forgotten.
    """

    address: str = ""
    secure: bool = False
    afresh: bool = False


@dataclass(frozen=True, slots=True)
class Share:
    """How the page is shared.

    Attributes:
        address: of this machine on the local network.
        port: there.
        names: host names under which it may be asked for there, besides the address.
        pairing: codes and tokens.
        certificate: for https; None for plain http.
    """

    address: str
    port: int
    names: tuple[str, ...]
    pairing: Pairing
    certificate: "Certificate | None" = None

    @property
    def url(self) -> str:
        """Where another device finds the page."""
        scheme = "http" if self.certificate is None else "https"
        shown = f"[{self.address}]" if ":" in self.address else self.address
        return f"{scheme}://{shown}:{self.port}/"

    @property
    def pairing_url(self) -> str:
        """The same with the long code: behind #, so that it is in no request and no log."""
        return f"{self.url}pair#{self.pairing.key}"

    def drawn_for_terminal(self) -> str:
        """The QR code in characters, dark on light whatever the terminal's colours."""
        import segno

        out = io.StringIO()
        segno.make(self.pairing_url, error="m").terminal(out, compact=True)
        return out.getvalue()

    def for_terminal(self) -> str:
        """What the helper's screen says: where, the code, the picture."""
        code = f"{self.pairing.code[:3]} {self.pairing.code[3:]}"
        return (
            f"Other devices: scan this, or open {self.url} and type {code}. It works once.\n"
            f"{self.drawn_for_terminal()}"
        )

    def drawn(self) -> bytes:
        """The QR code as an SVG picture."""
        import segno

        out = io.BytesIO()
        segno.make(self.pairing_url, error="m").save(
            out, kind="svg", scale=4, border=4, dark="#000", light="#fff", xmldecl=False
        )
        return out.getvalue()


def share_page(folder: Path, port: int, sharing: Sharing) -> Share:
    """What is needed to share the page from this machine.

    Args:
        folder: where paired devices and the certificate are kept.
        port: to serve on.
        sharing: what the user wants.

    Raises:
        PageError: there is no private network, or something cannot be kept.
    """
    if not port:
        raise PageError("A shared page needs a port of its own: name one with --port.")
    address = sharing.address or network_address()
    if not is_address(address):
        raise PageError(f"{address!r} is no address. Give one such as 192.168.1.20.")
    if is_loopback(address) or not is_private(address):
        raise PageError(
            f"{address} is not an address of a private network. The page is shared on those only: "
            "connect this machine to one, or name its address there behind --share."
        )
    host = host_name()
    names = (host, f"{host}.local") if host else ()
    certificate = None
    if sharing.secure:
        from handsfree.page.certificate import kept_certificate

        certificate = kept_certificate(folder, [address, *names])
    pairing = Pairing(folder)
    if sharing.afresh:
        pairing.forget()
    return Share(address, port, names, pairing, certificate)


def is_this_machine(scope: Scope) -> bool:
    """Whether a request comes from this machine itself."""
    client = scope.get("client")
    return client is not None and is_loopback(client[0])


class Guard:
    """Lets in this machine and paired devices; everybody else sees the page for pairing alone."""

    def __init__(self, app: ASGIApp, share: Share) -> None:
        self._app = app
        self._pairing = share.pairing

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request in, or turn it away."""
        if scope["type"] == "http" and not self._let_in(scope):
            await self._turned_away(scope)(scope, receive, send)
            return
        await self._app(scope, receive, send)

    def _let_in(self, scope: Scope) -> bool:
        if is_this_machine(scope) or scope["path"] in OPEN:
            return True
        token = Request(scope).cookies.get(COOKIE)
        return token is not None and self._pairing.knows(token)

    @staticmethod
    def _turned_away(scope: Scope) -> Response:
        if scope["method"] == "GET" and scope["path"] == "/":
            return RedirectResponse("/pair", status_code=303)
        return JSONResponse({"error": "This device is not paired with the helper."}, 401)


def share_routes(
    share: Share | None,
    file: Callable[[str], Callable[[Request], Response]],
    sent: Callable[[Request], Awaitable[dict[str, object] | Response]],
) -> list[Route]:
    """The routes of sharing; without a share only the one that says so.

    Args:
        share: how the page is shared.
        file: makes an endpoint of one of the page's files.
        sent: reads the JSON object that one of our own pages posted, or says why not.
    """
    routes = [Route("/share", _told_of(share), methods=["GET"])]
    if share is None:
        return routes
    return [
        *routes,
        Route("/share.svg", _drawn(share), methods=["GET"]),
        Route("/pair", file("pair.html"), methods=["GET"]),
        Route("/pair", _paired(share, sent), methods=["POST"]),
        Route("/helper.crt", _authority(share), methods=["GET"]),
    ]


def _told_of(share: Share | None) -> Callable[[Request], Response]:
    """What the helper's own screen shows for pairing; other devices are told nothing of it."""

    def tell(request: Request) -> Response:
        if share is None:
            return JSONResponse({"off": True})
        secure = share.certificate is not None
        if not is_this_machine(request.scope):
            return JSONResponse({"secure": secure})
        pairing = share.pairing
        return JSONResponse(
            {
                "address": share.url,
                "code": pairing.code,
                "qr": f"share.svg?{pairing.code}",
                "paired": pairing.paired,
                "secure": secure,
                "fingerprint": share.certificate.fingerprint if share.certificate else "",
            }
        )

    return tell


def _drawn(share: Share) -> Callable[[Request], Response]:
    def draw(request: Request) -> Response:
        if not is_this_machine(request.scope):
            return JSONResponse({"error": "The code is on the helper's own screen."}, 403)
        return Response(share.drawn(), media_type="image/svg+xml")

    return draw


def _paired(
    share: Share, sent: Callable[[Request], Awaitable[dict[str, object] | Response]]
) -> Callable[[Request], Awaitable[Response]]:
    async def pair(request: Request) -> Response:
        given = await sent(request)
        if isinstance(given, Response):
            return given
        code = given.get("code")
        if not isinstance(code, str):
            return JSONResponse({"error": 'Send {"code": "..."}.'}, 422)
        try:
            device = request.client.host if request.client else ""
            token = await run_in_threadpool(share.pairing.pair, code, device)
        except PageError as fault:
            return JSONResponse({"error": str(fault)}, 500)
        if isinstance(token, Refused):
            error = {"error": token.sentence}
            if not token.wait_s:
                return JSONResponse(error, 403)
            return JSONResponse(error, 429, {"Retry-After": str(token.wait_s)})
        reply = Response(status_code=204)
        reply.set_cookie(
            COOKIE, token, max_age=COOKIE_DAYS * 86400, path="/", httponly=True,
            secure=request.url.scheme == "https", samesite="strict",
        )  # fmt: skip
        return reply

    return pair


def _authority(share: Share) -> Callable[[Request], Response]:
    def give(_request: Request) -> Response:
        if share.certificate is None:
            return Response(json.dumps({"error": "The page is shared without https."}), 404)
        return Response(share.certificate.authority, media_type="application/x-x509-ca-cert")

    return give
