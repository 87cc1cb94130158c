"""The shared page: this machine and paired devices are let in, and nobody else sees anything."""

import asyncio
import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.applications import Starlette

from handsfree.errors import PageError
from handsfree.page.app import page_app, page_files
from handsfree.page.board import PageBoard
from handsfree.page.certificate import Certificate
from handsfree.page.pairing import TRIES, Pairing
from handsfree.page.share import OPEN, Share, Sharing, share_page
from handsfree.values import Pressed, Told

ADDRESS = "192.168.1.20"
HOME = f"http://{ADDRESS}:8765"
TOLD = Told("answer", "help", 1.0, "Help.", "help", (("about", "help"),), ("Help.",))
PHONE, HERE = "192.168.1.77", "127.0.0.1"


@pytest.fixture
def share() -> Share:
    return Share(ADDRESS, 8765, ("shopbox", "shopbox.local"), Pairing())


class Room:
    """A shared page and what reached the helper behind it."""

    def __init__(self, share: Share) -> None:
        self.asked: list[str] = []
        self.pressed: list[Pressed] = []
        self.app: Starlette = page_app(
            self._ask, PageBoard(), press=self.pressed.append, share=share
        )

    def _ask(self, words: str) -> Told:
        self.asked.append(words)
        return TOLD

    def call(
        self, method: str, path: str, client: str = PHONE, home: str = HOME, **more: Any
    ) -> httpx.Response:
        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, client=(client, 50000))
            async with httpx.AsyncClient(transport=transport, base_url=home) as browser:
                return await browser.request(method, path, **more)

        return asyncio.run(once())

    def post(self, path: str, sent: object, client: str = PHONE, **headers: str) -> httpx.Response:
        given = {"origin": HOME, "content-type": "application/json", **headers}
        return self.call("POST", path, client, content=json.dumps(sent), headers=given)


@pytest.fixture
def room(share: Share) -> Room:
    return Room(share)


def test_a_device_that_is_not_paired_gets_nothing_of_the_talk(room: Room) -> None:
    paths = {f"/{name}" for name in page_files()} | {"/events", "/latest", "/share", "/share.svg"}
    for path in paths - OPEN:
        assert room.call("GET", path).status_code == 401, path
    for path in ("/ask", "/key", "/speak"):
        assert room.post(path, {"words": "help", "key": "stop"}).status_code == 401
    assert (room.asked, room.pressed) == ([], [])
    start = room.call("GET", "/")
    assert (start.status_code, start.headers["location"]) == (303, "/pair")
    assert "Type the code" in room.call("GET", "/pair").text


def test_a_paired_device_may_do_what_this_machine_may(room: Room, share: Share) -> None:
    paired = room.post("/pair", {"code": share.pairing.code})
    assert paired.status_code == 204
    cookie = paired.headers["set-cookie"]
    for part in ("HttpOnly", "SameSite=strict", "Path=/"):
        assert part in cookie
    headers = {"cookie": cookie.split(";")[0]}
    assert room.call("GET", "/", headers=headers).status_code == 200
    assert room.call("GET", "/latest", headers=headers).status_code == 200
    assert room.post("/ask", {"words": "help"}, **headers).status_code == 200
    assert room.post("/key", {"key": "stop"}, **headers).status_code == 204
    assert room.asked == ["help"]


def test_the_cookie_is_kept_off_plain_http_when_the_page_is_served_by_https(
    room: Room, share: Share
) -> None:
    home = HOME.replace("http:", "https:")
    headers = {"origin": home, "content-type": "application/json"}
    content = json.dumps({"code": share.pairing.code})
    paired = room.call("POST", "/pair", home=home, content=content, headers=headers)
    assert "Secure" in paired.headers["set-cookie"]


@pytest.mark.parametrize("token", ["", "x", "x" * 43, "helper", "null", "é".encode("latin-1")])
def test_a_wrong_token_is_no_token(room: Room, share: Share, token: str | bytes) -> None:
    room.post("/pair", {"code": share.pairing.code})
    raw = token if isinstance(token, bytes) else token.encode()
    headers = {b"cookie": b"helper=" + raw}
    assert room.call("GET", "/latest", headers=headers).status_code == 401


def test_a_token_in_the_address_or_another_cookie_lets_nobody_in(room: Room, share: Share) -> None:
    token = share.pairing.pair(share.pairing.code)
    assert room.call("GET", f"/latest?helper={token}").status_code == 401
    assert room.call("GET", "/latest", headers={"cookie": f"other={token}"}).status_code == 401
    assert room.call("GET", "/latest", headers={"cookie": f"helper={token}"}).status_code == 200


def test_a_foreign_page_cannot_pair_or_ask_with_a_paired_browser(room: Room, share: Share) -> None:
    token = share.pairing.pair(share.pairing.code)
    code = share.pairing.code
    for origin in ("http://elsewhere.example", "null", "http://192.168.1.20:9999", ""):
        headers = {"origin": origin, "cookie": f"helper={token}"}
        assert room.post("/pair", {"code": code}, **headers).status_code == 403
        assert room.post("/ask", {"words": "help"}, **headers).status_code == 403
    assert share.pairing.code == code
    assert room.asked == []


@pytest.mark.parametrize("host", ["evil.example", "192.168.1.21", "shopbox.evil.example", ""])
def test_another_host_name_is_refused_before_anything_else(room: Room, host: str) -> None:
    for client in (PHONE, HERE):
        for path in ("/", "/pair", "/latest"):
            reply = room.call("GET", path, client, headers={"host": host})
            assert reply.status_code == 400


@pytest.mark.parametrize("host", [ADDRESS, "shopbox", "shopbox.local", f"{ADDRESS}:8765"])
def test_the_machine_s_own_names_are_taken(room: Room, host: str) -> None:
    assert room.call("GET", "/pair", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("name", ["x-forwarded-for", "x-real-ip", "forwarded", "client-ip"])
def test_nobody_becomes_this_machine_by_saying_so(room: Room, name: str) -> None:
    headers = {name: "127.0.0.1" if name != "forwarded" else "for=127.0.0.1"}
    assert room.call("GET", "/latest", headers=headers).status_code == 401


def test_the_code_is_shown_on_this_machine_alone(room: Room, share: Share) -> None:
    told = room.call("GET", "/share", HERE, "http://127.0.0.1:8765").json()
    assert told["code"] == share.pairing.code
    assert told["address"] == f"{HOME}/"
    token = share.pairing.pair(share.pairing.code)
    headers = {"cookie": f"helper={token}"}
    assert room.call("GET", "/share", headers=headers).json() == {"secure": False}
    assert room.call("GET", "/share.svg", headers=headers).status_code == 403


def test_the_picture_is_a_clean_one_of_the_pairing_address(room: Room, share: Share) -> None:
    picture = room.call("GET", "/share.svg", HERE, "http://127.0.0.1:8765")
    assert picture.headers["content-type"] == "image/svg+xml"
    assert ElementTree.fromstring(picture.text).tag.endswith("svg")
    assert share.pairing_url == f"{HOME}/pair#{share.pairing.key}"
    assert share.pairing_url not in picture.text
    assert "\n" in share.drawn_for_terminal()


@pytest.mark.parametrize("sent", [{}, {"code": 7}, {"code": None}, [], "x"])
def test_pairing_says_what_to_send(room: Room, sent: object) -> None:
    assert room.post("/pair", sent).status_code == 422


def test_a_device_that_gives_wrong_codes_is_told_how_long_it_rests(
    room: Room, share: Share
) -> None:
    for _ in range(TRIES - 1):
        assert room.post("/pair", {"code": "x"}).status_code == 403
    rests = room.post("/pair", {"code": "x"})
    assert rests.status_code == 429
    assert "Try again in 60 seconds" in rests.json()["error"]
    assert rests.headers["retry-after"] == "60"
    other = room.post("/pair", {"code": share.pairing.code}, "192.168.1.78")
    assert other.status_code == 204


def test_the_authority_s_certificate_is_given_to_whoever_wants_to_trust_it(tmp_path: Path) -> None:
    certificate = Certificate(tmp_path / "x", b"\x30\x00", "AA")
    room = Room(Share(ADDRESS, 8765, (), Pairing(), certificate))
    reply = room.call("GET", "/helper.crt")
    assert (reply.content, reply.headers["content-type"]) == (
        b"\x30\x00", "application/x-x509-ca-cert",
    )  # fmt: skip


def test_a_page_that_is_not_shared_says_so() -> None:
    app = page_app(lambda _words: TOLD, PageBoard())

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app)
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as browser:
            return await browser.get("/share")

    assert asyncio.run(ask()).json() == {"off": True}


def test_a_share_has_the_address_and_the_names_of_this_machine(tmp_path: Path) -> None:
    share = share_page(tmp_path, 8765, Sharing("10.1.2.3"))
    assert share.url == "http://10.1.2.3:8765/"
    assert share.certificate is None
    secure = share_page(tmp_path, 8765, Sharing("fd00::7", secure=True))
    assert secure.url == "https://[fd00::7]:8765/"
    assert secure.certificate is not None


@pytest.mark.parametrize("address", ["8.8.8.8", "127.0.0.1", "2001:4860::1", "0.0.0.0"])
def test_the_page_is_shared_on_private_networks_only(tmp_path: Path, address: str) -> None:
    with pytest.raises(PageError, match="private network"):
        share_page(tmp_path, 8765, Sharing(address))


def test_what_is_no_address_is_told(tmp_path: Path) -> None:
    with pytest.raises(PageError, match="Give one such as"):
        share_page(tmp_path, 8765, Sharing("my tablet"))


def test_a_shared_page_has_a_port_that_can_be_told(tmp_path: Path) -> None:
    with pytest.raises(PageError, match="--port"):
        share_page(tmp_path, 0, Sharing("10.1.2.3"))


def test_devices_are_forgotten_when_that_is_asked_for(tmp_path: Path) -> None:
    share = share_page(tmp_path, 8765, Sharing("10.1.2.3"))
    token = share.pairing.pair(share.pairing.code)
    assert isinstance(token, str)
    assert share_page(tmp_path, 8765, Sharing("10.1.2.3")).pairing.knows(token)
    afresh = share_page(tmp_path, 8765, Sharing("10.1.2.3", afresh=True))
    assert not afresh.pairing.knows(token)


def test_the_helper_s_screen_tells_where_and_the_code(share: Share) -> None:
    told = share.for_terminal()
    assert HOME in told
    assert f"{share.pairing.code[:3]} {share.pairing.code[3:]}" in told
    assert share.pairing.key not in told
