"""The shared page in browsers: pairing, https, and what is left when the helper is not there."""

import base64
import hashlib
import re
import socket
import ssl
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from handsfree.errors import PageError
from handsfree.page.app import page_app
from handsfree.page.board import PageBoard
from handsfree.page.certificate import kept_certificate
from handsfree.page.networks import is_loopback, network_address
from handsfree.page.pairing import Pairing
from handsfree.page.server import PageServer, shared_server
from handsfree.page.share import Share
from handsfree.values import Told

pytestmark = pytest.mark.browser


@dataclass(frozen=True, slots=True)
class Shared:
    """A page on this machine and on its network address, and browsers of two devices."""

    share: Share
    here: str
    helper_screen: Any
    phone: Any


def own_address() -> str:
    try:
        address = network_address()
    except PageError as fault:
        pytest.skip(str(fault))
    if is_loopback(address):
        pytest.skip("this machine has no address but its own")
    return address


def free_port(address: str) -> int:
    with socket.socket() as probe:
        probe.bind((address, 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def shared(
    chromium: Any, board: PageBoard, desk: Any, request: pytest.FixtureRequest, tmp_path: Path
) -> Iterator[Shared]:
    address = own_address()
    certificate = None
    if getattr(request, "param", "http") == "https":
        certificate = kept_certificate(tmp_path, [address])
    share = Share(address, free_port(address), (), Pairing(), certificate)
    app = page_app(desk, board, share=share)
    with ExitStack() as stack:
        here = stack.enter_context(PageServer(app, port=0))
        stack.enter_context(shared_server(app, share))
        laptop = stack.enter_context(chromium.new_context(service_workers="block"))
        phone = stack.enter_context(
            chromium.new_context(
                viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True,
                ignore_https_errors=True,
            )
        )  # fmt: skip
        laptop.set_default_timeout(8000)
        phone.set_default_timeout(8000)
        yield Shared(share, here.url, laptop.new_page(), phone.new_page())


def live(page: Any) -> None:
    page.locator('body[data-live="live"]').wait_for()


def test_a_device_is_paired_by_the_code_on_the_helper_s_screen(
    shared: Shared, board: PageBoard, replies: dict[str, Told]
) -> None:
    screen, phone = shared.helper_screen, shared.phone
    screen.goto(shared.here)
    live(screen)
    for name in ("menu", "page", "devices"):
        screen.locator(f'[data-target="{name}"]').click()
    code = screen.locator(".code").inner_text()
    assert screen.locator(".qr").evaluate("(image) => image.decode().then(() => true)")
    assert shared.share.url.rstrip("/") in screen.locator(".address").inner_text()

    phone.goto(shared.share.url)
    assert phone.url.endswith("/pair")
    phone.locator("#code").fill(code)
    phone.locator("#go").tap()
    live(phone)
    screen.locator(".code", has_text=re.compile(rf"^(?!{code})")).wait_for()  # a new code
    assert "One device is paired" in screen.locator("#content").inner_text()
    board.publish(replies["answer"])
    for page in (phone, screen):
        page.locator("#understood", has_text="Three quarter").wait_for()


def test_scanning_the_picture_pairs_at_once_and_leaves_no_code_behind(shared: Shared) -> None:
    key = shared.share.pairing.key
    shared.phone.goto(shared.share.pairing_url)
    live(shared.phone)
    assert key not in shared.phone.url
    shared.phone.reload()
    live(shared.phone)
    assert "helper" not in shared.phone.evaluate("() => document.cookie")


def test_a_spent_code_pairs_nobody_and_says_so(shared: Shared) -> None:
    code = shared.share.pairing.code
    assert isinstance(shared.share.pairing.pair(code), str)
    shared.phone.goto(shared.share.url)
    shared.phone.locator("#code").fill(code)
    shared.phone.keyboard.press("Enter")
    shared.phone.locator("#said", has_text="not the code on the helper's screen").wait_for()
    assert shared.phone.url.endswith("/pair")


def test_a_touch_on_a_paired_phone_asks_the_helper(shared: Shared, desk: Any) -> None:
    phone = shared.phone
    phone.goto(shared.share.pairing_url)
    live(phone)
    for name in ("ask", "use", "use", "use"):
        phone.locator(f'[data-target="{name}"]').tap()
    phone.locator("#understood", has_text="Three quarter").wait_for()
    assert desk.asked == ["what do i set for half inch plate with a tip made for half inch"]


def test_over_plain_http_the_page_says_what_it_cannot_do(shared: Shared) -> None:
    phone = shared.phone
    phone.set_viewport_size({"width": 820, "height": 1180})
    phone.goto(shared.share.pairing_url)
    live(phone)
    assert phone.evaluate("() => isSecureContext") is False
    for name in ("menu", "page", "devices"):
        phone.locator(f'[data-target="{name}"]').tap()
    text = phone.locator("#content")
    text.get_by_text("set its time-out to never").wait_for()
    text.get_by_text("cannot be installed").wait_for()
    assert phone.locator(".code").count() == 0


@pytest.mark.parametrize("shared", ["https"], indirect=True)
def test_over_https_the_screen_may_stay_on(shared: Shared) -> None:
    phone = shared.phone
    phone.goto(shared.share.pairing_url)
    live(phone)
    assert phone.url.startswith("https:")
    assert phone.evaluate("() => isSecureContext") is True
    assert phone.evaluate("() => 'wakeLock' in navigator") is True
    phone.set_viewport_size({"width": 820, "height": 1180})
    for name in ("menu", "page", "devices"):
        phone.locator(f'[data-target="{name}"]').tap()
    phone.locator("#content").get_by_text("The screen stays on").wait_for()
    cookies = phone.context.cookies()
    assert [(cookie["httpOnly"], cookie["secure"], cookie["sameSite"]) for cookie in cookies] == [
        (True, True, "Strict")
    ]


def test_a_device_that_trusts_the_certificate_opens_the_page_without_the_helper(
    launch: Callable[..., Any], board: PageBoard, desk: Any, replies: dict[str, Told],
    tmp_path: Path,
) -> None:  # fmt: skip
    """In a browser that takes this very key as trusted, as a phone does that installed it."""
    address = own_address()
    certificate = kept_certificate(tmp_path, [address])
    share = Share(address, free_port(address), (), Pairing(), certificate)
    app = page_app(desk, board, share=share)
    server = shared_server(app, share).start()
    pin = base64.b64encode(hashlib.sha256(public_key(certificate.chain)).digest()).decode()
    browser = launch(f"--ignore-certificate-errors-spki-list={pin}")
    try:
        page = browser.new_page(viewport={"width": 820, "height": 1180})
        page.set_default_timeout(8000)
        page.goto(share.pairing_url)
        live(page)
        page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
        board.publish(replies["answer"])
        page.locator("#understood", has_text="Three quarter").wait_for()
        server.stop()
        page.reload()
        page.locator("#warning", has_text="No link to the helper").wait_for()
        page.locator("#understood", has_text="Three quarter").wait_for()
        assert page.locator("#ear").inner_text() == "no link"
        assert page.locator("body").get_attribute("data-live") == "lost"
    finally:
        server.stop()
        browser.close()


def public_key(chain: Path) -> bytes:
    """The key of the page's certificate, as DER, cut out by its well-known beginning."""
    pem = chain.read_text(encoding="ascii")
    first = pem[pem.index("-----BEGIN CERT") : pem.index("-----END CERTIFICATE-----") + 26]
    der = ssl.PEM_cert_to_DER_cert(first)
    at = der.index(bytes.fromhex("3059301306072a8648ce3d0201"))  # an EC key on P-256
    return der[at : at + 91]
