"""The page's app: what it serves, what it takes, and whom it turns away."""

import asyncio
import json
import threading
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.applications import Starlette

from handsfree.engine.answer import answer
from handsfree.errors import TableError
from handsfree.page import sizes as page_sizes
from handsfree.page.app import page_app, page_files
from handsfree.page.board import PageBoard
from handsfree.values import (
    About,
    Answer,
    Fuel,
    Key,
    Piece,
    Pressed,
    Request,
    Rig,
    Shape,
    Status,
    TipBox,
    Told,
    ToldFigure,
)
from handsfree.values.clean_text import clean_text

HOME = "http://127.0.0.1:8765"
TOLD = Told(
    kind="answer",
    heard="oxygen for <b>half inch</b>",
    sureness=1.0,
    understood="Half inch plate.",
    about="oxygen_pressure",
    request=(("about", "oxygen_pressure"), ("thickness_mm", 12.7)),
    sentences=("Half inch plate.", "Thirty."),
    figures=(
        ToldFigure("oxygen_pressure", "oxygen", 30, 30, "psi", "30", "thirty", "x", Status.READ),
    ),
)


class Desk:
    def __init__(self) -> None:
        self.asked: list[str] = []

    def __call__(self, words: str) -> Told:
        self.asked.append(words)
        return TOLD


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def board() -> PageBoard:
    return PageBoard()


@pytest.fixture
def app(desk: Desk, board: PageBoard) -> Starlette:
    return page_app(desk, board)


def call(app: Starlette, method: str, path: str, **more: Any) -> httpx.Response:
    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(app)
        async with httpx.AsyncClient(transport=transport, base_url=HOME) as client:
            return await client.request(method, path, **more)

    return asyncio.run(once())


def post(app: Starlette, words: object, path: str = "/ask", **headers: str) -> httpx.Response:
    sent = {"origin": HOME, "content-type": "application/json"}
    sent.update({name.replace("_", "-"): value for name, value in headers.items()})
    return call(app, "POST", path, content=json.dumps({"words": words}), headers=sent)


def test_serves_the_page_and_every_file_that_it_names(app: Starlette) -> None:
    assert "<!doctype html>" in call(app, "GET", "/").text
    for name in page_files():
        reply = call(app, "GET", f"/{name}")
        assert reply.status_code == 200
        assert reply.headers["content-type"]


def test_the_whole_page_is_light_enough() -> None:
    weight = sum(len(content) for content, _media in page_files().values())
    assert weight <= page_sizes.PAGE_BYTES_AT_MOST


def test_the_page_names_nothing_outside_itself() -> None:
    for name, (content, _media) in page_files().items():
        text = content.decode().replace("http://www.w3.org/2000/svg", "")
        for outside in ("http:", "https:", 'src="//', "@import", "url(", "innerHTML", "eval("):
            assert outside not in text, f"{name} has {outside}"


def test_the_page_s_files_lie_inside_the_package() -> None:
    import handsfree.page.app as module

    package = Path(module.__file__).parent
    for name in page_files():
        assert name == "numbers.js" or (package / "files" / name).is_file()


def test_the_scripts_get_the_numbers_of_the_design() -> None:
    script = page_files()["numbers.js"][0].decode()
    sizes = json.loads(script.split("SIZES = ")[1].split(";\n")[0])
    assert sizes["DIGITS_MM"] == 24
    assert sizes["TARGET_MM"] == 30
    assert sizes["TARGETS_A_SCREEN"] == 6


def test_words_are_asked_and_the_answer_is_pinned_to_the_board(
    app: Starlette, desk: Desk, board: PageBoard
) -> None:
    reply = post(app, "  oxygen for\thalf inch\u0007 ")
    assert reply.status_code == 200
    assert desk.asked == ["oxygen for half inch"]
    assert board.latest().told is TOLD
    told = reply.json()["told"]
    assert told["figures"][0]["digits"] == "30"
    assert told["figures"][0]["status"] == "read"
    assert told["request"] == {"about": "oxygen_pressure", "thickness_mm": 12.7}
    assert told["heard"] == "oxygen for <b>half inch</b>"


@pytest.mark.parametrize(
    "odd", ["\ud800", "\udcff", "\uffff", "\x00", "\x1b[2J", "\u202e", "\u200b"]
)
def test_whatever_is_typed_the_page_can_show_what_it_was(
    app: Starlette, desk: Desk, odd: str
) -> None:
    assert post(app, f"half inch {odd} plate").status_code == 200
    [asked] = desk.asked
    assert asked.encode().decode() == clean_text(asked) == asked
    assert asked.startswith("half inch")


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "https://127.0.0.1:8765", "http://127.0.0.1:9", ""]
)
def test_turns_away_words_from_another_page(app: Starlette, desk: Desk, origin: str) -> None:
    reply = post(app, "help", origin=origin)
    assert reply.status_code == 403
    assert desk.asked == []


def test_turns_away_words_that_name_no_origin(app: Starlette, desk: Desk) -> None:
    reply = call(app, "POST", "/ask", json={"words": "help"})
    assert reply.status_code == 403
    assert desk.asked == []


@pytest.mark.parametrize("path", ["/", "/events", "/latest", "/ask", "/main.js"])
def test_turns_away_a_foreign_host(app: Starlette, path: str) -> None:
    method = "POST" if path == "/ask" else "GET"
    assert call(app, method, path, headers={"host": "evil.example"}).status_code == 400


def test_a_form_of_another_site_cannot_send_words(app: Starlette, desk: Desk) -> None:
    assert post(app, "help", content_type="text/plain").status_code == 415
    assert desk.asked == []


def test_stops_reading_what_is_far_too_long(app: Starlette, desk: Desk) -> None:
    reply = post(app, "word " * 200_000)
    assert reply.status_code == 413
    assert "one sentence" in reply.json()["error"]
    assert desk.asked == []


@pytest.mark.parametrize("words", ["", " \n ", "\u0000\u0007", 7, None, ["help"], "a" * 501])
def test_says_what_to_send_when_there_are_no_words(
    app: Starlette, desk: Desk, words: object
) -> None:
    assert post(app, words).status_code == 422
    assert desk.asked == []


@pytest.mark.parametrize("body", [b"", b"words", b"[1]", b"\xff\xfe", b"[" * 4000])
def test_says_what_to_send_when_it_is_no_json(app: Starlette, desk: Desk, body: bytes) -> None:
    headers = {"origin": HOME, "content-type": "application/json"}
    assert call(app, "POST", "/ask", content=body, headers=headers).status_code == 422
    assert desk.asked == []


def test_a_fault_of_the_helper_reaches_the_page_as_its_sentence(board: PageBoard) -> None:
    def broken(_words: str) -> Told:
        raise TableError("tips.yaml row 3: bore is missing.")

    reply = post(page_app(broken, board), "help")
    assert reply.status_code == 500
    assert reply.json() == {"error": "tips.yaml row 3: bore is missing."}
    assert board.latest().told is None


def test_pages_that_ask_together_are_answered_one_after_the_other(board: PageBoard) -> None:
    inside: list[str] = []
    together: list[int] = []

    def slow(words: str) -> Told:
        inside.append(words)
        together.append(len(inside))
        threading.Event().wait(0.02)
        inside.remove(words)
        return TOLD

    async def both() -> list[int]:
        transport = httpx.ASGITransport(page_app(slow, board))
        headers = {"origin": HOME}
        async with httpx.AsyncClient(transport=transport, base_url=HOME, headers=headers) as client:
            asks = [client.post("/ask", json={"words": words}) for words in ("help", "tip")]
            return [reply.status_code for reply in await asyncio.gather(*asks)]

    assert asyncio.run(both()) == [200, 200]
    assert together == [1, 1]


def test_every_reply_shuts_out_what_the_page_does_not_need(app: Starlette) -> None:
    for path in ("/", "/main.js", "/latest", "/nothing-here"):
        headers = call(app, "GET", path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store"


def test_only_reading_and_asking_are_possible(app: Starlette) -> None:
    assert call(app, "GET", "/ask").status_code == 405
    assert call(app, "DELETE", "/latest").status_code == 405
    assert call(app, "GET", "/../page.py").status_code == 404
    assert call(app, "GET", "/%2e%2e/page.py").status_code == 404


def send(app: Starlette, path: str, sent: object, **headers: str) -> httpx.Response:
    given = {"origin": HOME, "content-type": "application/json", **headers}
    return call(app, "POST", path, content=json.dumps(sent), headers=given)


def test_keys_reach_a_running_helper_as_they_were_pressed(desk: Desk, board: PageBoard) -> None:
    pressed: list[Pressed] = []
    app = page_app(desk, board, press=pressed.append)
    sent: list[dict[str, object]] = [
        {"key": "talk", "down": True, "holds": True},
        {"key": "talk", "down": False, "holds": True},
    ]
    sent += [{"key": str(key)} for key in Key]
    assert [send(app, "/key", one).status_code for one in sent] == [204] * len(sent)
    assert pressed == [
        Pressed(Key.TALK, True, True),
        Pressed(Key.TALK, False, True),
        *map(Pressed, Key),
    ]


@pytest.mark.parametrize(
    "sent",
    [
        {}, {"key": "self destruct"}, {"key": 7}, {"key": "talk", "down": "no"},
        {"key": "talk", "holds": 1}, {"key": ["talk"]}, {"key": "TALK"}, [], "talk", None,
    ],
)  # fmt: skip
def test_no_other_key_reaches_the_helper(desk: Desk, board: PageBoard, sent: object) -> None:
    pressed: list[Pressed] = []
    app = page_app(desk, board, press=pressed.append)
    assert send(app, "/key", sent).status_code == 422
    assert pressed == []


def test_a_foreign_page_presses_no_key_and_says_nothing(desk: Desk, board: PageBoard) -> None:
    got: list[object] = []
    app = page_app(desk, board, press=got.append, speak=got.append)
    for path, sent in (("/key", {"key": "stop"}), ("/speak", {"prompt": "fuel"})):
        for origin in ("https://elsewhere.example", "null", "http://127.0.0.1:9999"):
            assert send(app, path, sent, origin=origin).status_code == 403
        assert call(app, "POST", path, json=sent).status_code == 403
        assert send(app, path, sent, **{"content-type": "text/plain"}).status_code == 415
    assert got == []


def test_a_page_alone_has_nobody_to_press_or_to_speak(app: Starlette) -> None:
    assert send(app, "/key", {"key": "talk"}).status_code in (404, 405)
    assert send(app, "/speak", {"prompt": "fuel"}).status_code in (404, 405)
    latest = call(app, "GET", "/latest").json()
    assert (latest["keys"], latest["speaks"]) == (False, False)


def test_only_the_page_s_own_prompts_and_choices_are_said(desk: Desk, board: PageBoard) -> None:
    said: list[str] = []
    app = page_app(desk, board, speak=said.append)
    for sent in (
        {"prompt": "thickness", "choice": "half inch"},
        {"prompt": None, "choice": "propane"},
        {"prompt": "fuel", "choice": None},
    ):
        assert send(app, "/speak", sent).status_code == 204
    assert said == ["How thick is it? Half inch.", "Propane.", "Which gas?"]
    for bad in (
        {"prompt": "Set acetylene at thirty."},
        {"choice": "thirty p s i"},
        {"prompt": "fuel", "choice": "thirty p s i"},
        {"prompt": ["fuel"]},
        {"prompt": {}, "choice": 3},
        {},
    ):
        assert send(app, "/speak", bad).status_code == 422
    assert len(said) == 3


def test_words_for_a_running_helper_are_queued_and_answered_by_the_board(board: PageBoard) -> None:
    queue: list[str] = []
    reply = post(page_app(queue.append, board, press=lambda pressed: None), "half inch plate")
    assert reply.status_code == 202
    assert reply.json()["keys"] is True
    assert queue == ["half inch plate"]
    assert board.latest().number == 0


def test_the_picture_of_the_latest_answer_is_clean_svg_or_not_there(
    app: Starlette, board: PageBoard
) -> None:
    assert call(app, "GET", "/sketch.svg").status_code == 404
    beam = Piece(shape=Shape.BEAM, designation="W12X26")
    reply = answer(Request(About.CUT_ORDER, piece=beam, fuel=Fuel.ACETYLENE), Rig(), TipBox())
    assert isinstance(reply, Answer)
    assert reply.plan is not None
    board.publish(replace(TOLD, plan=reply.plan))
    latest = call(app, "GET", "/latest").json()
    assert latest["told"]["picture"] is True
    picture = call(app, "GET", "/sketch.svg")
    assert picture.headers["content-type"] == "image/svg+xml"
    assert ElementTree.fromstring(picture.text).tag.endswith("svg")
    board.publish(TOLD)
    assert call(app, "GET", "/latest").json()["told"]["picture"] is False
    assert call(app, "GET", "/sketch.svg").status_code == 404
