"""Runs the page's app on a socket of this machine, in this thread or beside the voice."""

import secrets
import socket
import threading
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Self

from starlette.applications import Starlette

from handsfree.errors import PageError
from handsfree.page.callers import http_server
from handsfree.page.networks import is_loopback
from handsfree.page.owner import OwnUser, system_tells
from handsfree.page.share import Share

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8765


class PageServer:
    """The page served from a thread of its own; a context manager that starts and stops it.

    Args:
        app: what `page_app` made.
        host: the address to serve on; loopback unless the user shares the page.
        port: 0 takes any free one.
        certificate: PEM file of certificate and key, for https.

    Attributes:
        url: where the page is, for the user to open: with the key where this machine does not
            tell whose a request is.
        key_url: the same with the key, which lets in another user of this machine.

    Raises:
        PageError: the address cannot be served on, at construction.
    """

    def __init__(
        self,
        app: Starlette,
        host: str = DEFAULT_HOST,
        port: int = DEFAULT_PORT,
        certificate: Path | None = None,
    ) -> None:
        self._app = app
        self._socket = _bound(host, port)
        shown = f"[{host}]" if ":" in host else host
        scheme = "http" if certificate is None else "https"
        key = secrets.token_urlsafe(32)
        plain = f"{scheme}://{shown}:{self._socket.getsockname()[1]}/"
        self.key_url = f"{plain}?key={key}"
        self.url = self.key_url if is_loopback(host) and not system_tells() else plain
        self._server = http_server(OwnUser(app, key), certificate)
        self._thread: threading.Thread | None = None

    def run(self) -> None:
        """Serve in this thread until it is interrupted."""
        try:
            self._server.run(sockets=[self._socket])
        finally:
            self._socket.close()

    def start(self) -> Self:
        """Serve from a thread of its own."""
        self._thread = threading.Thread(target=self.run, name="page", daemon=True)
        self._thread.start()
        return self

    def stop(self) -> None:
        """Tell the pages, end their streams, close the socket. Stopping twice does nothing."""
        self._app.state.board.close()
        self._server.should_exit = True
        if self._thread is None:
            self._socket.close()
        else:
            self._thread.join(timeout=5)
            self._thread = None

    def __enter__(self) -> Self:
        return self.start()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()


def serve(
    app: Starlette,
    host: str = DEFAULT_HOST,
    port: int = DEFAULT_PORT,
    announce: Callable[[str], None] | None = None,
    share: Share | None = None,
) -> None:
    """Serve the page in this thread until it is interrupted (KeyboardInterrupt passes through).

    Args:
        app: what `page_app` made.
        host: loopback unless the user shares the page.
        port: 0 takes any free one.
        announce: is given the page's address once the socket is open.
        share: serves it on that address of the local network too; the app was made with it.

    Raises:
        PageError: the address cannot be served on.
    """
    with ExitStack() as stack:
        server = PageServer(app, host, port)
        stack.callback(server.stop)
        if share is not None:
            stack.enter_context(shared_server(app, share))
        if announce is not None:
            announce(server.url)
        server.run()


def shared_server(app: Starlette, share: Share) -> PageServer:
    """The server for other devices, to be started beside the one for this machine.

    Raises:
        PageError: the address cannot be served on.
    """
    certificate = None if share.certificate is None else share.certificate.chain
    return PageServer(app, share.address, share.port, certificate)


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_STREAM)
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((host, port))
        bound.listen(64)
    except (OSError, OverflowError) as fault:
        bound.close()
        raise PageError(
            f"The page cannot be served on {host} port {port}: {fault}. "
            "Stop what uses that port, or choose another with --port."
        ) from fault
    return bound
