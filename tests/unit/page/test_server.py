"""The page on a real socket of this machine."""

import json
import signal
import threading
from collections.abc import Iterator
from dataclasses import replace

import httpx
import pytest
from starlette.applications import Starlette

from handsfree.errors import PageError
from handsfree.page.app import page_app
from handsfree.page.board import PageBoard
from handsfree.page.server import PageServer, serve
from handsfree.values import Told

TOLD = Told("answer", "help", 1.0, "Help.", "help", (("about", "help"),), ("Help.",))


@pytest.fixture
def board() -> PageBoard:
    return PageBoard()


@pytest.fixture
def app(board: PageBoard) -> Starlette:
    return page_app(lambda _words: replace(TOLD), board)


def test_serves_on_loopback_and_tells_where(app: Starlette) -> None:
    with PageServer(app, port=0) as server:
        assert server.url.startswith("http://127.0.0.1:")
        assert httpx.get(server.url).status_code == 200
    with pytest.raises(httpx.ConnectError):
        httpx.get(server.url)


def test_a_port_in_use_is_one_clear_sentence(app: Starlette) -> None:
    with PageServer(app, port=0) as server:
        port = int(server.url.split(":")[2].strip("/"))
        with pytest.raises(PageError, match=rf"port {port}.*another with --port"):
            PageServer(app, port=port)


@pytest.mark.parametrize("port", [-1, 70000])
def test_an_impossible_port_is_one_clear_sentence(app: Starlette, port: int) -> None:
    with pytest.raises(PageError, match="another with --port"):
        PageServer(app, port=port)


def test_events_flow_to_two_pages_until_the_helper_stops(app: Starlette, board: PageBoard) -> None:
    with (
        PageServer(app, port=0) as server,
        httpx.Client(base_url=server.url) as client,
        client.stream("GET", "events") as one,
        client.stream("GET", "events") as other,
    ):
        streams = [stream.iter_lines() for stream in (one, other)]
        assert [_event(stream)["number"] for stream in streams] == [0, 0]
        board.publish(TOLD)
        assert [_event(stream)["number"] for stream in streams] == [1, 1]
        server.stop()
        for stream in streams:
            assert _event(stream)["closed"] is True
            assert list(stream) == [""]
    assert board.pages == 0


def test_stopping_twice_or_before_the_start_does_nothing(app: Starlette) -> None:
    server = PageServer(app, port=0)
    server.stop()
    server.stop()


def test_serving_ends_with_an_interrupt_and_frees_the_port(app: Starlette) -> None:
    urls: list[str] = []

    def announce(url: str) -> None:
        urls.append(url)
        threading.Timer(0.3, signal.raise_signal, [signal.SIGINT]).start()

    with pytest.raises(KeyboardInterrupt):
        serve(app, port=0, announce=announce)
    port = int(urls[0].split(":")[2].strip("/"))
    PageServer(app, port=port).stop()


def _event(lines: Iterator[str]) -> dict[str, object]:
    for line in lines:
        if line.startswith("data: "):
            event: dict[str, object] = json.loads(line[6:])
            return event
    raise AssertionError("the stream ended")
