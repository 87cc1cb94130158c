"""Turns the latest reply into one page of huge letters, and taps and typed words into requests.

The app knows `Told`, the board that it is pinned to, and a callable that answers words. It sends
nothing out and loads nothing from elsewhere.
"""

import json
import threading
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping, Sequence
from functools import cache
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from handsfree.drawing.sketch_kept import sketch_of
from handsfree.errors import HandsfreeError
from handsfree.page import asking as page_asking
from handsfree.page import reading as page_reading
from handsfree.page import sizes as page_sizes
from handsfree.page.board import PageBoard, ticks_of
from handsfree.page.share import Guard, Share, share_routes
from handsfree.values import Key, Pressed, Told
from handsfree.values.clean_text import clean_text
from handsfree.voice import tones

FILES = Path(__file__).resolve().parent / "files"
LOOPBACK = ("127.0.0.1", "localhost")
TIPS_ON_PAGE, PIECES_ON_PAGE = 4, 4  # in one picture, so that a phone shows them large
_MEDIA = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
}
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        "connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}


def page_app(
    ask: Callable[[str], Told | None],
    board: PageBoard,
    *,
    press: Callable[[Pressed], None] | None = None,
    speak: Callable[[str], None] | None = None,
    hosts: Sequence[str] = LOOPBACK,
    share: Share | None = None,
) -> Starlette:
    """The page as an ASGI app.

    Args:
        ask: answers words that were typed or tapped; called in a worker thread, one call
            at a time. A running helper puts them into its queue and returns None: its reply
            comes by the board, like that to any spoken request.
        board: what the open pages show; the app pins what `ask` returns to it.
        press: is given each key or pedal that goes down and comes up on a page; a page alone,
            with no helper behind it, has none.
        speak: says one sentence aloud at once, instead of whatever is being said: the step of
            asking by touch that is open, so that it can be done without looking.
        hosts: names and addresses, without port, under which the page may be asked for.
        share: how it is shared with other devices; only this machine may ask when None.

    The app's `state.board` is the board.
    """
    shows = {"keys": press is not None, "speaks": speak is not None}
    routes = [Route(f"/{name}", _page_file(name), methods=["GET"]) for name in page_files()]
    routes += [
        Route("/", _page_file("index.html"), methods=["GET"]),
        Route("/events", _events(board, shows), methods=["GET"]),
        Route("/latest", _latest(board, shows), methods=["GET"]),
        Route("/sketch.svg", _sketch(board), methods=["GET"]),
        Route("/ask", _asked(ask, board, shows), methods=["POST"]),
    ]
    if press is not None:
        routes.append(Route("/key", _pressed(press), methods=["POST"]))
    if speak is not None:
        routes.append(Route("/speak", _spoken(speak, board), methods=["POST"]))
    routes += share_routes(share, _page_file, _sent)
    names = (share.address, *share.names) if share is not None else ()
    middleware = [
        Middleware(_SafeHeaders),
        Middleware(TrustedHostMiddleware, allowed_hosts=[*hosts, *names], www_redirect=False),
    ]
    if share is not None:
        middleware.append(Middleware(Guard, share=share))
    app = Starlette(routes=routes, middleware=middleware)
    app.state.board = board
    return app


@cache
def page_files() -> dict[str, tuple[bytes, str]]:
    """Every file of the page, by name: its bytes and media type; `numbers.js` is made here."""
    files = {
        path.name: (path.read_bytes(), _MEDIA[path.suffix])
        for path in sorted(FILES.iterdir())
        if path.suffix in _MEDIA
    }
    made: dict[str, object] = {
        "SIZES": page_sizes.as_script_values(),
        "CHOICES": page_asking.as_script_values(),
        "READING": page_reading.as_script_values(),
        "TONES": {str(tone): signal.described for tone, signal in tones.SIGNALS.items()},
    }
    numbers = "// Made from page/sizes.py, page/asking.py, page/reading.py and voice/tones.py.\n"
    for name, values in made.items():
        numbers += f"export const {name} = {json.dumps(values, separators=(',', ':'))};\n"
    files["numbers.js"] = (numbers.encode(), _MEDIA[".js"])
    # What a device keeps a copy of: all but the page for pairing, which needs the helper anyway.
    kept = sorted(name for name in files if not name.startswith(("pair", "worker", "index")))
    worker, media = files["worker.js"]
    files["worker.js"] = (worker.replace(b"KEPT_FILES", json.dumps(kept).encode()), media)
    return files


def _page_file(name: str) -> Callable[[Request], Response]:
    content, media = page_files()[name]

    def send(_request: Request) -> Response:
        return Response(content, media_type=media)

    return send


def _latest(board: PageBoard, shows: Mapping[str, object]) -> Callable[[Request], Response]:
    def send(_request: Request) -> Response:
        return JSONResponse({**board.latest().as_plain(), **shows})

    return send


def _sketch(board: PageBoard) -> Callable[[Request], Response]:
    """The picture of the latest reply: the cuts of a plan, pieces against tips, or practice."""

    def send(_request: Request) -> Response:
        told = board.latest().told
        if told is not None:
            picture = sketch_of(told, tips=TIPS_ON_PAGE, rows=PIECES_ON_PAGE)
            if picture is not None:
                return Response(picture, media_type=_MEDIA[".svg"])
        return _fault(404, "The latest answer has no picture.")

    return send


def _events(board: PageBoard, shows: Mapping[str, object]) -> Callable[[Request], Response]:
    async def stream() -> AsyncIterator[bytes]:
        known = None  # a reply is long and the meter moves often: each reply is sent once
        async for notice in board.notices():
            plain = {**notice.as_plain(known), **shows}
            known = notice.number
            yield f"data: {json.dumps(plain)}\n\n".encode()

    def send(_request: Request) -> Response:
        return StreamingResponse(stream(), media_type="text/event-stream")

    return send


def _asked(
    ask: Callable[[str], Told | None], board: PageBoard, shows: Mapping[str, object]
) -> Callable[[Request], Awaitable[Response]]:
    one_at_a_time = threading.Lock()  # the page may be served from several event loops

    def take(words: str) -> Told | None:
        with one_at_a_time:
            return ask(words)

    async def answer(request: Request) -> Response:
        sent = await _sent(request)
        if isinstance(sent, Response):
            return sent
        words = _words(sent)
        if words is None:
            return _fault(422, 'Send {"words": "..."} with one sentence of text.')
        try:
            told = await run_in_threadpool(take, words)
        except HandsfreeError as fault:
            return _fault(500, str(fault))
        if told is not None:
            board.publish(told)
        status = 202 if told is None else 200
        return JSONResponse({**board.latest().as_plain(), **shows}, status_code=status)

    return answer


def _pressed(press: Callable[[Pressed], None]) -> Callable[[Request], Awaitable[Response]]:
    async def take(request: Request) -> Response:
        sent = await _sent(request)
        if isinstance(sent, Response):
            return sent
        pressed = _key(sent)
        if pressed is None:
            named = ", ".join(Key)
            return _fault(422, f'Send {{"key": "...", "down": true}} with one of: {named}.')
        press(pressed)
        return Response(status_code=204)

    return take


def _spoken(
    speak: Callable[[str], None], board: PageBoard
) -> Callable[[Request], Awaitable[Response]]:
    async def take(request: Request) -> Response:
        sent = await _sent(request)
        if isinstance(sent, Response):
            return sent
        told = board.latest().told
        offered = told.options if told is not None else ()
        if told is not None:
            offered = (*offered, *(tick["words"] for tick in ticks_of(told)))
        sentence = page_asking.prompt_said(sent.get("prompt"), sent.get("choice"), offered)
        if sentence is None:
            return _fault(422, "Only the page's own prompts and choices are said aloud.")
        speak(sentence)
        return Response(status_code=204)

    return take


async def _sent(request: Request) -> dict[str, object] | Response:
    """The JSON object that one of our own pages sent, or why it is not taken."""
    if not _from_our_page(request):
        return _fault(403, "This is taken from the helper's own page only.")
    if request.headers.get("content-type", "").split(";")[0] != "application/json":
        return _fault(415, "Send it as application/json.")
    try:
        body = await _short_body(request)
    except ClientDisconnect:
        return _fault(400, "That did not arrive whole. Send it again.")  # to whoever hears it
    if body is None:
        return _fault(413, "That was too long. Ask in one sentence.")
    try:
        sent = json.loads(body)
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, dict):
        return _fault(422, "Send one JSON object.")
    return sent


def _from_our_page(request: Request) -> bool:
    """Whether the browser says that a page of this very address sends it.

    Every browser names the origin of a POST; what names none is no page of ours.
    """
    return request.headers.get("origin") == f"{request.url.scheme}://{request.headers['host']}"


async def _short_body(request: Request) -> bytes | None:
    """The body, or None when it is longer than a sentence can be; never read to its end then."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > page_sizes.BODY_BYTES_AT_MOST:
            return None
    return body


def _words(sent: dict[str, object]) -> str | None:
    words = sent.get("words")
    if not isinstance(words, str) or len(words) > page_sizes.WORDS_AT_MOST:
        return None
    return " ".join(clean_text(words).split()) or None


def _key(sent: dict[str, object]) -> Pressed | None:
    key, down, holds = sent.get("key"), sent.get("down", True), sent.get("holds", False)
    if not (isinstance(key, str) and isinstance(down, bool) and isinstance(holds, bool)):
        return None
    return Pressed(Key(key), down, holds) if key in set(Key) else None


def _fault(status: int, sentence: str) -> JSONResponse:
    return JSONResponse({"error": clean_text(sentence)}, status_code=status)


class _SafeHeaders:
    """Adds the headers that shut everything out that the page does not need."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
            await send(message)

        await self._app(scope, receive, with_headers)
