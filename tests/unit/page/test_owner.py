"""The page of this machine: its own user comes in, others come in by the key or not at all."""

import asyncio
import os
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from handsfree.page.app import page_app
from handsfree.page.board import PageBoard
from handsfree.page.owner import OwnUser, Peer, own_user, owner_of, system_tells
from handsfree.page.server import PageServer
from handsfree.values import Told

ROOT, OTHER, UNKNOWN = 0, 54321, None
KEY = "k" * 43
CLIENT, SERVER = ("127.0.0.1", 50000), ("127.0.0.1", 8765)
HOME = "http://127.0.0.1:8765"
HEAD = (
    "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout\n"
)
HERE, THERE = "0100007F:C350", "0100007F:223D"
MAPPED = "0000000000000000FFFF0000"


def row(local: str, remote: str, user: int, inode: int = 77) -> str:
    return (
        f"   1: {local} {remote} 01 00000000:00000000 00:00000000 00000000 {user:5d} "
        f"       0 {inode} 1 0000000000000000 20 4 0 10 -1\n"
    )


@pytest.fixture
def app() -> Starlette:
    def reply(_request: Request) -> PlainTextResponse:
        return PlainTextResponse("the talk")

    return Starlette(routes=[Route("/", reply), Route("/latest", reply)])


def ask(
    app: Starlette, user: int | None, path: str = "/", cookie: str = "", client: str = CLIENT[0]
) -> httpx.Response:
    guarded = OwnUser(app, KEY, lambda _client, _server: user)

    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(guarded, client=(client, CLIENT[1]))
        headers = {b"cookie": cookie.encode()} if cookie else {}
        async with httpx.AsyncClient(transport=transport, base_url=HOME) as browser:
            return await browser.get(path, headers=headers)

    return asyncio.run(once())


def cookie_of(reply: httpx.Response) -> str:
    return reply.headers["set-cookie"].split(";")[0]


def test_the_own_user_needs_no_key_and_keeps_none(app: Starlette) -> None:
    reply = ask(app, own_user())
    assert (reply.status_code, reply.text) == (200, "the talk")
    assert "set-cookie" not in reply.headers


@pytest.mark.parametrize("user", [OTHER, UNKNOWN, own_user() + 1])
@pytest.mark.parametrize("path", ["/", "/latest", "/nothing"])
def test_whoever_else_it_is_gets_nothing_but_what_to_do(
    app: Starlette, user: int | None, path: str
) -> None:
    reply = ask(app, user, path)
    assert reply.status_code == 403
    assert "the whole address that the helper told" in reply.text
    assert "--share" in reply.text
    assert "the talk" not in reply.text
    kind = "text/html" if path == "/" else "application/json"
    assert reply.headers["content-type"].startswith(kind)
    assert "default-src 'none'" in reply.headers["content-security-policy"]


def test_the_administrator_is_another_user(app: Starlette, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert ask(app, ROOT).status_code == 403
    assert ask(app, 1000).status_code == 200


def test_without_numbers_of_users_nobody_is_the_own_user(
    app: Starlette, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(os, "geteuid")
    for user in (ROOT, UNKNOWN):
        assert ask(app, user).status_code == 403


@pytest.mark.parametrize("user", [OTHER, UNKNOWN])
def test_the_key_opens_the_page_once_and_its_cookie_from_then_on(
    app: Starlette, user: int | None
) -> None:
    opened = ask(app, user, f"/?key={KEY}")
    assert (opened.status_code, opened.headers["location"]) == (303, "/")
    for part in ("HttpOnly", "SameSite=strict", "Path=/"):
        assert part in opened.headers["set-cookie"]
    for path in ("/", "/latest"):
        assert ask(app, user, path, cookie_of(opened)).text == "the talk"


@pytest.mark.parametrize("key", ["", "k", KEY[:-1], KEY + "k", KEY.upper(), "%00", "%FF", "é"])
def test_a_wrong_key_opens_nothing(app: Starlette, key: str) -> None:
    for path in (f"/?key={key}", f"/latest?key={key}", f"/latest?key={KEY}"):
        reply = ask(app, OTHER, path)
        assert reply.status_code == 403
        assert "set-cookie" not in reply.headers
    name = cookie_of(ask(app, OTHER, f"/?key={KEY}")).split("=")[0]
    for cookie in (f"{name}={key}", f"other={KEY}"):
        assert ask(app, OTHER, "/", cookie).status_code == 403


@pytest.mark.parametrize("client", ["192.168.1.77", "fd00::7"])
def test_other_machines_are_not_its_matter(app: Starlette, client: str) -> None:
    assert ask(app, OTHER, client=client).status_code == 200


@pytest.mark.skipif(sys.byteorder != "little", reason="the rows are spelled on such a machine")
@pytest.mark.parametrize(
    ("rows", "user"),
    [
        ([row(HERE, THERE, 1000)], 1000),
        ([row(HERE, THERE, 0)], 0),
        ([row(THERE, HERE, 999), row(HERE, THERE, 1000)], 1000),  # the helper's own end is not it
        ([row(MAPPED + HERE, MAPPED + THERE, 1000)], 1000),  # a program that speaks IPv6 alone
        ([row(MAPPED + HERE, THERE, 1000)], None),
        ([row(HERE, "0100007F:223E", 1000), row("0200007F:C350", THERE, 1000)], None),
        ([row(HERE, "00000000:0000", 1000)], None),  # it listens there and asks nothing
        ([row(HERE, THERE, 0, inode=0)], None),  # closed: nobody's any more, and not root's
        ([row(HERE, THERE, 65534)], None),  # a user whom this container does not know
        ([row(HERE, THERE, 1000)[:40]], None),
        ([], None),
    ],
)
def test_a_row_tells_the_owner_by_both_ends_or_nobody(
    tmp_path: Path, rows: list[str], user: int | None
) -> None:
    table = tmp_path / "tcp"
    table.write_text(HEAD + "".join(rows))
    assert owner_of(CLIENT, SERVER, [tmp_path / "missing", table]) == user


def test_what_cannot_be_read_tells_nobody(tmp_path: Path) -> None:
    broken = tmp_path / "tcp"
    broken.write_bytes(b"\xff\xfe")
    assert owner_of(CLIENT, SERVER, [tmp_path / "missing", tmp_path, broken]) is None


def test_a_row_that_was_missed_is_looked_for_again(app: Starlette) -> None:
    told = iter([None, own_user()])
    guarded = OwnUser(app, KEY, lambda _client, _server: next(told))

    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(guarded, client=CLIENT)
        async with httpx.AsyncClient(transport=transport, base_url=HOME) as browser:
            return await browser.get("/")

    assert asyncio.run(once()).status_code == 200


@contextmanager
def as_user(number: int) -> Iterator[None]:
    """What this process opens inside belongs to another user; only root can do that."""
    os.seteuid(number)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def server() -> Iterator[PageServer]:
    def nobody(_words: str) -> Told | None:
        return None

    with PageServer(page_app(nobody, PageBoard()), port=0) as running:
        yield running


def asked_by(server: PageServer, line: socket.socket, cookie: str = "", path: str = "/") -> str:
    with line:
        line.connect(("127.0.0.1", int(server.key_url.split(":")[2].split("/")[0])))
        host = server.key_url.split("/")[2]
        line.sendall(
            f"GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\n"
            "Connection: close\r\n\r\n".encode()
        )
        line.settimeout(5)
        return b"".join(iter(lambda: line.recv(65536), b"")).decode()


needs_telling = pytest.mark.skipif(not system_tells(), reason="this system tells no owner")


@needs_telling
def test_on_a_real_socket_this_user_comes_in(server: PageServer) -> None:
    assert server.url == server.key_url.partition("?")[0]
    assert httpx.get(server.url).status_code == 200
    assert asked_by(server, socket.socket()).startswith("HTTP/1.1 200")


def test_the_system_is_asked_once_a_connection(
    server: PageServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Peer] = []

    def owner(client: Peer, _server: Peer) -> int:
        asked.append(client)
        return own_user()

    guard = server._server.config.app
    assert isinstance(guard, OwnUser)
    monkeypatch.setattr(guard, "_owner", owner)
    for _ in range(2):
        with httpx.Client() as browser:
            for _ in range(3):
                assert browser.get(server.url).status_code == 200
    assert len(asked) == len(set(asked)) == 2


@needs_telling
@pytest.mark.skipif(own_user() != 0, reason="only root can ask as another user")
def test_on_a_real_socket_another_user_is_turned_away_without_the_key(server: PageServer) -> None:
    def line() -> socket.socket:
        with as_user(OTHER):
            return socket.socket()

    for path in ("/", "/latest", "/events"):
        refused = asked_by(server, line(), path=path)
        assert refused.startswith("HTTP/1.1 403")
        assert "--share" in refused
    opened = asked_by(server, line(), path="/" + server.key_url.rpartition("/")[2])
    assert opened.startswith("HTTP/1.1 303")
    cookie = opened.partition("set-cookie: ")[2].split(";")[0]
    assert asked_by(server, line(), cookie).startswith("HTTP/1.1 200")


def test_where_the_system_does_not_tell_the_address_has_the_key(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from handsfree.page import server as page_server

    monkeypatch.setattr(page_server, "system_tells", lambda: False)
    servers = [PageServer(page_app(lambda _words: None, PageBoard()), port=0) for _ in range(2)]
    for server in servers:
        server.stop()
    keys = {server.url.rpartition("/?key=")[2] for server in servers}
    assert len(keys) == 2
    assert all(len(key) >= 43 for key in keys)  # 256 bits
