"""Requests that never arrive whole keep nobody out, and are ended; answers are not cut."""

import json
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from functools import cache
from itertools import islice
from pathlib import Path

import httpx
import pytest

from handsfree.page import callers as page_callers
from handsfree.page.app import page_app
from handsfree.page.board import PageBoard
from handsfree.page.certificate import kept_certificate
from handsfree.page.pairing import Pairing
from handsfree.page.server import PageServer
from handsfree.page.share import Share
from handsfree.values import Told

SHORT_S = 0.5  # instead of the seconds of a real page
HALF_SENT = {
    "nothing": b"",
    "half a line": b"GET / HT",
    "half a head": b"GET /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ",
    "half a body": (
        b"POST /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        b'Origin: http://127.0.0.1\r\nContent-Length: 300\r\n\r\n{"code": '
    ),
    "half the next one": b"GET /pair HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\nGET /pair HTTP/1.1\r\n",
}
HALF_A_HANDSHAKE = b"\x16\x03\x01"
TOLD = Told("answer", "help", 1.0, "Help.", "help", (("about", "help"),), ("Help.",))


@pytest.fixture
def board() -> PageBoard:
    return PageBoard()


@pytest.fixture(scope="module")
def pem(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return kept_certificate(tmp_path_factory.mktemp("certificate"), ["127.0.0.1"]).chain


@pytest.fixture(params=["http", "https"])
def server(board: PageBoard, pem: Path, request: pytest.FixtureRequest) -> Iterator[PageServer]:
    def nobody(_words: str) -> Told | None:
        return None

    app = page_app(nobody, board, share=Share("127.0.0.1", 1, (), Pairing()))
    with PageServer(app, port=0, certificate=pem if request.param == "https" else None) as running:
        yield running


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_callers, "REQUEST_S", SHORT_S)


def line_to(server: PageServer, sent: bytes, encrypted: bool = True) -> socket.socket:
    port = int(server.key_url.split(":")[2].split("/")[0])
    line: socket.socket = socket.create_connection(("127.0.0.1", port), timeout=10)
    if encrypted and server.key_url.startswith("https"):
        line = _trusting().wrap_socket(line)
    line.sendall(sent)
    return line


@cache
def _trusting() -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    return context


def is_ended(line: socket.socket, within_s: float) -> bool:
    """Whether the server ends it in that time, whatever it has sent until then."""
    line.settimeout(within_s)
    try:
        while line.recv(65536):
            pass
    except TimeoutError:
        return False
    except OSError:  # ended without a goodbye
        pass
    return True


@pytest.fixture
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """No half request is ended for its time, so that only making room lets others in."""
    monkeypatch.setattr(page_callers, "REQUEST_S", 300.0)


def answers(server: PageServer) -> bool:
    reply = httpx.get(f"{server.url}pair", verify=_trusting(), timeout=20)
    return "Type the code" in reply.text


@pytest.mark.parametrize("sent", HALF_SENT.values(), ids=HALF_SENT)
@pytest.mark.parametrize("server", ["http"], indirect=True)
def test_two_hundred_half_sent_requests_keep_nobody_out(
    patient: None, server: PageServer, sent: bytes
) -> None:
    with ExitStack() as lines:
        for _ in range(200):
            lines.enter_context(closing(line_to(server, sent)))
        assert answers(server)
        assert answers(server)


@pytest.mark.parametrize("server", ["https"], indirect=True)
@pytest.mark.parametrize("encrypted", [True, False], ids=["half a head", "half a handshake"])
def test_nor_do_half_sent_ones_to_the_encrypted_page(
    patient: None, server: PageServer, encrypted: bool
) -> None:
    with ExitStack() as lines:
        for _ in range(200):
            sent = HALF_SENT["half a head"] if encrypted else HALF_A_HANDSHAKE
            lines.enter_context(closing(line_to(server, sent, encrypted)))
        assert answers(server)
        assert answers(server)


@pytest.mark.parametrize("sent", HALF_SENT.values(), ids=HALF_SENT)
@pytest.mark.parametrize("server", ["http"], indirect=True)
def test_a_request_that_does_not_arrive_is_ended(
    short: None, server: PageServer, sent: bytes
) -> None:
    with closing(line_to(server, sent)) as line:
        assert is_ended(line, 8)


def test_the_terminal_is_told_nothing_of_what_strangers_send(
    short: None, caplog: pytest.LogCaptureFixture
) -> None:
    with PageServer(page_app(lambda _words: None, PageBoard()), port=0) as server:
        origin = server.url.rstrip("/").encode()
        posts = HALF_SENT["half a body"].replace(b"/pair", b"/ask")
        posts = posts.replace(b"Origin: http://127.0.0.1", b"Origin: " + origin)
        posts = posts.replace(b"Host: 127.0.0.1", b"Host: " + origin.removeprefix(b"http://"))
        for sent in (posts, b"no request\r\n\r\n"):
            with closing(line_to(server, sent)) as line:
                assert is_ended(line, 5)
    assert caplog.records == []


def test_bytes_that_trickle_in_do_not_prolong_it(short: None, server: PageServer) -> None:
    began = time.monotonic()
    with closing(line_to(server, HALF_SENT["half a head"])) as line:
        with pytest.raises(OSError):
            while time.monotonic() - began < 8:
                line.sendall(b"x")
                line.settimeout(0.05)
                try:
                    if not line.recv(1):
                        raise ConnectionResetError
                except TimeoutError:
                    pass
        assert SHORT_S * 0.8 < time.monotonic() - began < 6


def test_a_handshake_that_does_not_end_is_ended(short: None, board: PageBoard, pem: Path) -> None:
    app = page_app(lambda _words: None, board)
    with PageServer(app, port=0, certificate=pem) as server:
        for sent in (b"", HALF_A_HANDSHAKE, b"GET / HTTP/1.1\r\n\r\n"):
            with closing(line_to(server, sent, encrypted=False)) as line:
                assert is_ended(line, 5)


def test_a_stream_goes_on_while_others_are_ended_and_give_way(
    short: None, server: PageServer, board: PageBoard
) -> None:
    with (
        ExitStack() as lines,
        httpx.Client(base_url=server.url, verify=_trusting()) as client,
        client.stream("GET", "events") as stream,
    ):
        events = (json.loads(line[6:]) for line in stream.iter_lines() if line[:6] == "data: ")
        assert next(events)["number"] == 0  # and again and again, as a sign of life
        for _ in range(page_callers.PER_DEVICE + 20):
            lines.enter_context(closing(line_to(server, b"GET")))
        threading.Event().wait(SHORT_S * 2)  # longer than any request may take
        board.publish(TOLD)
        assert any(event["number"] == 1 for event in islice(events, 20))


def test_a_slow_answer_is_waited_for(short: None, board: PageBoard) -> None:
    def slow(_words: str) -> Told:
        threading.Event().wait(SHORT_S * 2)
        return TOLD

    with PageServer(page_app(slow, board), port=0) as server:
        headers = {"origin": server.url.rstrip("/")}
        with httpx.Client(base_url=server.url, headers=headers) as client:
            for _ in range(2):  # the second over the same connection
                assert client.post("ask", json={"words": "help"}).status_code == 200


def test_a_body_that_comes_in_pieces_is_taken(server: PageServer) -> None:
    host = server.url.split("/")[2]
    body = b'{"code": "x"}'
    head = (
        f"POST /pair HTTP/1.1\r\nHost: {host}\r\nOrigin: {server.url.rstrip('/')}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    ).encode()
    with closing(line_to(server, head[:20])) as line:
        for piece in (head[20:], body[:4], body[4:]):
            threading.Event().wait(0.05)
            line.sendall(piece)
        assert line.recv(12) == b"HTTP/1.1 403"


def test_connections_that_gave_way_are_not_counted_any_more(
    server: PageServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page_callers, "PER_DEVICE", 4)
    with ExitStack() as lines:
        sent = [lines.enter_context(closing(line_to(server, b"GET"))) for _ in range(12)]
        assert answers(server)
        kept = [line for line in sent[-3:] if not is_ended(line, 0.1)]
        assert len(kept) == 3
        assert all(is_ended(line, 5) for line in sent[:8])


def test_all_devices_together_have_a_limit_too(
    server: PageServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page_callers, "IN_ALL", 3)
    with ExitStack() as lines:
        sent = [lines.enter_context(closing(line_to(server, b"GET"))) for _ in range(8)]
        assert answers(server)
        assert all(is_ended(line, 5) for line in sent[:5])
